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
fn ident_a_counter_is_not_under_its_last_reading_whenever_that_was() {
    let board = Board::default().read("distillate_meter_m3", -600, 47_720.0);
    let after = |value| {
        let board = board.clone().read("distillate_meter_m3", 2, value);
        ask("distillate_meter_m3 not under last", &board, 3)
    };
    assert_eq!((after(47_720.0), after(47_731.5)), (Ok(()), Ok(())));
    let back = after(47_700.0);
    assert!(matches!(back, Err(Unmet::Out { found: Some(47_720.0), .. })), "{back:?}");
    let first = Board::default().read("distillate_meter_m3", 2, 0.4);
    assert_eq!(ask("distillate_meter_m3 not under last", &first, 3), Ok(()));
    assert!(matches!(
        ask("distillate_meter_m3 not under last", &board, 3),
        Err(Unmet::NotRead { .. })
    ));
}

#[test]
fn ident_the_pace_that_was_found_and_what_would_be_enough_are_told() {
    let board = Board::default().read("engine_jacket_out_c", 1, 84.0);
    let board = board.read("engine_jacket_out_c", 3, 80.0);
    let fast = ask("engine_jacket_out_c moving <= 1 a min", &board, 5);
    assert!(matches!(fast, Err(Unmet::Out { found: Some(2.0), .. })), "{fast:?}");
    let load = Board::default().read("engine_load_percent", 1, 72.0);
    let load = load.read("engine_load_percent", 4, 73.0).read("engine_load_percent", 9, 72.0);
    let short = ask("engine_load_percent steady 5 for 30 min", &load, 10);
    let Err(Unmet::TooShort { since, until, count, .. }) = short else { panic!("{short:?}") };
    assert_eq!((since, until, count), (minute(1), minute(31), 3));
}

#[test]
fn ident_a_hold_is_shown_by_readings_within_it_and_not_by_two_hours_apart() {
    let at_first = |board: &Board, now: i64| {
        let condition = Condition::parse("engine_load_percent steady 5 for 30 min").expect("it");
        condition.met(board, None, minute(now))
    };
    let hours = Board::default().read("engine_load_percent", -250, 72.0);
    let hours = hours.read("engine_load_percent", -10, 74.0);
    let short = at_first(&hours, 5);
    assert!(
        matches!(short, Err(Unmet::TooShort { since, count: 1, .. }) if since == minute(-10)),
        "nobody looked for four hours: {short:?}"
    );
    let rounds = Board::default().read("engine_load_percent", -40, 72.0);
    let rounds = rounds.read("engine_load_percent", -10, 74.0);
    assert_eq!(at_first(&rounds, 5), Ok(()));
    let condition = Condition::parse("engine_load_percent steady 5 for 30 min").expect("it");
    assert_eq!(condition.shown_by(&rounds, None, minute(5)), [minute(-40), minute(-10)]);
    assert_eq!(condition.shown_by(&hours, None, minute(5)), []);
    // One within the hold is enough for both halves of an hour.
    let within = Board::default().read("engine_load_percent", -250, 72.0);
    let within = within.read("engine_load_percent", -50, 73.0);
    let within = within.read("engine_load_percent", -10, 74.0);
    assert_eq!(at_first(&within, 5), Ok(()));
    assert_eq!(condition.shown_by(&within, None, minute(5)), [minute(-50), minute(-10)]);
    // The newest must be of the last hour, and a watch in which she slowed down ends the hold.
    assert!(matches!(at_first(&rounds, 55), Err(Unmet::NotRead { .. })));
    let slow = Board::default().read("engine_load_percent", -250, 40.0);
    let slow = slow.read("engine_load_percent", -10, 74.0);
    assert!(matches!(at_first(&slow, 5), Err(Unmet::TooShort { count: 1, .. })));
}

#[test]
fn ident_of_several_terms_the_one_nearest_to_it_is_told() {
    let board = Board::default().read("feed_flow_m3_h", 2, 2.0);
    let told = ask("feed_pressure_bar_g >= 2 or feed_flow_m3_h >= 3", &board, 3);
    assert!(matches!(told, Err(Unmet::Out { ref name, .. }) if name == "feed_flow_m3_h"));
    let board = Board::default().read("vacuum_percent", 2, 88.0);
    let told = ask("vacuum_percent >= 90 or vacuum_percent >= 85 for 5 min", &board, 3);
    assert!(matches!(told, Err(Unmet::TooShort { .. })), "{told:?}");
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
        (
            "vacuum_percent",
            "",
            "one of >=, <=, between, within, steady, moving, is, not under last",
        ),
        (
            "vacuum_percent = 90",
            "=",
            "one of >=, <=, between, within, steady, moving, is, not under last",
        ),
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
