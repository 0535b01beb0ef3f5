//! What a guard takes for met, and what it says else.

use procedure::{Condition, Unmet};

use crate::help::{Board, minute};

fn ask(text: &str, board: &Board, now: i64) -> Result<(), Unmet> {
    Condition::parse(text).expect(text).met(board, Some(minute(0)), minute(now))
}

#[test]
fn ident_a_figure_is_at_its_limit_and_no_further() {
    let board = Board::default().read("ejector_pressure_bar_g", 2, 3.0);
    assert_eq!(ask("ejector_pressure_bar_g >= 3", &board, 3), Ok(()));
    assert!(matches!(ask("ejector_pressure_bar_g >= 3.01", &board, 3), Err(Unmet::Out { .. })));
    assert_eq!(ask("ejector_pressure_bar_g between 2.5 and 3", &board, 3), Ok(()));
    assert_eq!(ask("ejector_pressure_bar_g within 0.5 of 3.5", &board, 3), Ok(()));
    assert!(ask("ejector_pressure_bar_g within 0.4 of 3.5", &board, 3).is_err());
}

#[test]
fn ident_what_was_read_before_the_step_or_comes_after_now_does_not_count() {
    let board = Board::default().read("vapour_temp_c", -5, 45.0).read("vapour_temp_c", 9, 45.0);
    assert!(matches!(ask("vapour_temp_c >= 40", &board, 8), Err(Unmet::NotRead { .. })));
    assert_eq!(ask("vapour_temp_c >= 40", &board, 9), Ok(()));
}

#[test]
fn ident_two_readings_ten_minutes_apart_with_one_between_out_do_not_last() {
    let salt = |values: [f64; 3]| {
        let [a, b, c] = values;
        Board::default()
            .stands("limit.salinity_dump_mg_kg", 10.0)
            .read("product_salt_mg_kg", 1, a)
            .read("product_salt_mg_kg", 6, b)
            .read("product_salt_mg_kg", 11, c)
    };
    let ask = |values, now| {
        ask("product_salt_mg_kg <= limit.salinity_dump_mg_kg for 10 min", &salt(values), now)
    };
    assert_eq!(ask([9.0, 10.0, 8.0], 11), Ok(()));
    let short = ask([9.0, 10.0, 8.0], 6);
    assert!(
        matches!(short, Err(Unmet::TooShort { so_far_min, .. }) if so_far_min == 5.0),
        "{short:?}"
    );
    let broken = ask([9.0, 11.0, 8.0], 12);
    assert!(matches!(broken, Err(Unmet::TooShort { so_far_min: 0.0, .. })), "{broken:?}");
    assert!(matches!(ask([9.0, 9.0, 10.1], 12), Err(Unmet::Out { .. })));
}

#[test]
fn ident_steadiness_and_pace_want_two_readings() {
    let board = Board::default().read("engine_jacket_out_c", 1, 84.0);
    for text in ["engine_jacket_out_c steady 1", "engine_jacket_out_c moving <= 1 a min"] {
        assert!(matches!(ask(text, &board, 5), Err(Unmet::TooShort { .. })), "{text}");
    }
    let board = board.read("engine_jacket_out_c", 3, 82.5);
    assert_eq!(ask("engine_jacket_out_c moving <= 1 a min", &board, 5), Ok(()));
    assert!(ask("engine_jacket_out_c moving <= 0.7 a min", &board, 5).is_err());
    assert!(ask("engine_jacket_out_c steady 1", &board, 5).is_err());
    assert_eq!(ask("engine_jacket_out_c steady 1.5", &board, 5), Ok(()));
}

#[test]
fn ident_one_of_several_terms_is_enough_and_the_first_is_told() {
    let board = Board::default().read("vacuum_percent", 2, 88.0).word("brine_level", 2, "steady");
    assert_eq!(ask("vacuum_percent >= 90 or brine_level is steady", &board, 3), Ok(()));
    let told = ask("vacuum_percent >= 90 or brine_level is surging|over_glass", &board, 3);
    assert!(
        matches!(told, Err(Unmet::Out { ref name, .. }) if name == "vacuum_percent"),
        "{told:?}"
    );
}

#[test]
fn ident_a_figure_nobody_knows_is_named_and_never_passes() {
    let board = Board::default().read("product_salt_mg_kg", 2, 1.0);
    let told = ask("product_salt_mg_kg <= limit.salinity_dump_mg_kg", &board, 3);
    assert!(
        matches!(told, Err(Unmet::NoFigure { ref name, .. }) if name == "limit.salinity_dump_mg_kg")
    );
}

#[test]
fn ident_figures_are_multiplied_and_added_to() {
    let board =
        Board::default().stands("expected.vapour_temp_c", 46.0).read("vapour_temp_c", 1, 48.0);
    assert_eq!(ask("vapour_temp_c <= expected.vapour_temp_c + 2", &board, 2), Ok(()));
    assert!(ask("vapour_temp_c <= expected.vapour_temp_c - 2", &board, 2).is_err());
    assert_eq!(ask("vapour_temp_c >= 0.75 * expected.vapour_temp_c", &board, 2), Ok(()));
}

#[test]
fn ident_a_reading_that_is_no_number_is_never_in_a_range() {
    let board =
        Board::default().word("vapour_temp_c", 2, "not taken").read("sea_temp_c", 2, f64::NAN);
    assert!(ask("vapour_temp_c >= 0", &board, 3).is_err());
    assert!(ask("sea_temp_c between -2 and 40", &board, 3).is_err());
}

#[test]
fn ident_a_condition_stops_at_the_word_that_does_not_fit() {
    for (text, at, wanted) in [
        ("", "", "a reading’s name"),
        ("vacuum_percent", "", "one of >=, <=, between, within, steady, moving, is"),
        ("vacuum_percent = 90", "=", "one of >=, <=, between, within, steady, moving, is"),
        ("vacuum_percent >= ninety,", "ninety,", "a number or a figure’s name"),
        ("vacuum_percent between 80 to 90", "to", "“and”"),
        ("vacuum_percent >= 90 for ten min", "ten", "minutes"),
        ("vacuum_percent >= 90 and more", "and", "“for … min”, “or” or the end"),
        ("vacuum_percent moving <= 1 per min", "per", "“a min”"),
    ] {
        let e = Condition::parse(text).expect_err(text);
        assert_eq!((e.at.as_str(), e.wanted), (at, wanted), "{text}");
    }
}

proptest::proptest! {
    #[test]
    fn ident_no_text_stops_the_reading_of_conditions(text in "[a-z0-9 .*+<>=|_-]{0,60}") {
        if let Ok(condition) = Condition::parse(&text) {
            let again = Condition::parse(&condition.text);
            proptest::prop_assert_eq!(again.as_ref(), Ok(&condition));
            let _ = condition.met(&Board::default(), None, minute(0));
        }
    }
}
