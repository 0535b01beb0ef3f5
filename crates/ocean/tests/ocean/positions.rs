//! How positions are read and written.

use ocean::{Position, PositionError};
use proptest::prelude::*;

#[test]
fn ident_the_ways_officers_write_one_position_are_one_position() {
    let wanted = Position::from_degrees(-(12.0 + 34.5 / 60.0), 45.0 + 10.0 / 60.0).unwrap();
    for text in [
        "12°34.5'S 045°10'E",
        "12°34.5'S, 045°10.0'E",
        "12 34.5 S, 045 10.0 E",
        "12 34.5S 45 10E",
        "12-34.5S 045-10.0E",
        "12-34,5 S / 045-10,0 E",
        "12 34,5S,045 10,0E",
        "S12 34.5 E045 10.0",
        "S 12° 34.5′, E 045° 10.0′",
        "045°10'E 12°34.5'S",
        "12°34'30\"S 045°10'00\"E",
        "12º34’30”s 45º10’00”e",
        "1234.5S 04510.0E",
        "1234,5S 04510E",
        "12.575S 45.16666666666667E",
        "-12.575 45.16666666666667",
        "-12.575, 45.16666666666667",
        "-12.575,45.16666666666667",
        "−12,575; +45,16666666666667",
        "  -12,575 45,16666666666667  ",
    ] {
        let read: Position = text.parse().unwrap_or_else(|e| panic!("{text}: {e}"));
        assert!((read.lat_deg() - wanted.lat_deg()).abs() < 1e-12, "{text}: {read:?}");
        assert!((read.lon_deg() - wanted.lon_deg()).abs() < 1e-12, "{text}: {read:?}");
    }
}

/// Directions as words, in the languages in which routes are found.
#[test]
fn ident_directions_may_be_words() {
    let wanted = Position::from_degrees(-12.5, 45.0).unwrap();
    for text in
        ["12 30 Süd 45 Ost", "12°30'Sud 45°00'Est", "12 30 SOUTH, 45 East", "12 30 sur 45 este"]
    {
        assert_eq!(text.parse::<Position>(), Ok(wanted), "{text}");
    }
    let wanted = Position::from_degrees(12.5, -45.0).unwrap();
    for text in ["12 30 Nord 45 Ouest", "12 30 norte, 45 oeste", "12 30 N 45 West"] {
        assert_eq!(text.parse::<Position>(), Ok(wanted), "{text}");
    }
}

/// O is east in German, west in French and Spanish, and a slip for a nought: it is asked about, never taken.
#[test]
fn ident_the_letter_o_and_words_are_told() {
    let said = |text: &str| text.parse::<Position>().expect_err(text).to_string();
    for text in ["12 30 S 45 O", "12 30 S, 45 o"] {
        let said = said(text);
        assert!(
            ["Ost (east)", "ouest", "slip for 0", text].iter().all(|w| said.contains(w)),
            "{said}"
        );
    }
    for text in ["12 3O S 45 E", "O5 S 45 E"] {
        assert!(said(text).contains("the letter O stands in a figure; write 0"), "{}", said(text));
    }
    assert!(
        said("Paris").starts_with("position \"Paris\": a name is not looked up"),
        "{}",
        said("Paris")
    );
    assert!(said("12 S 45 E Paris").contains("the word \"Paris\""), "{}", said("12 S 45 E Paris"));
}

#[test]
fn ident_other_quarters_edges_and_whole_degrees() {
    for (text, lat, lon) in [
        ("90N 0E", 90.0, 0.0),
        ("0 0", 0.0, 0.0),
        ("-0 -0", 0.0, 0.0),
        ("0°00.0'S 180°00'W", 0.0, 180.0),
        ("5N 179 59.9 W", 5.0, -(179.0 + 59.9 / 60.0)),
        ("-90 -180", -90.0, 180.0),
        ("0930N 00015W", 9.5, -0.25),
    ] {
        let read: Position = text.parse().unwrap_or_else(|e| panic!("{text}: {e}"));
        assert!(
            (read.lat_deg() - lat).abs() < 1e-12 && (read.lon_deg() - lon).abs() < 1e-12,
            "{text}: {read:?}"
        );
    }
}

#[test]
fn ident_what_can_mean_two_things_or_nothing_is_refused_with_the_reason() {
    let kind = |text: &str| text.parse::<Position>().expect_err(text);
    for text in ["12,34", "12,34.5", "12,34,5 45"] {
        assert!(matches!(kind(text), PositionError::Comma { .. }), "{text}: {:?}", kind(text));
    }
    for text in ["12 34.5 45 10", "12 34 30 45", "1 2 3"] {
        assert!(matches!(kind(text), PositionError::NoLetters { .. }), "{text}: {:?}", kind(text));
    }
    for text in [
        "12",
        "12S",
        "12S 13N",
        "12S 45E 7",
        "12S 45E 7N",
        "-12S 45E",
        "12.5 30S 45E",
        "S12 45",
        "12 S 45",
        "S E",
        "1 2 3 4S 45E",
    ] {
        assert!(matches!(kind(text), PositionError::Parts { .. }), "{text}: {:?}", kind(text));
    }
    assert!(matches!(kind("12 60S 45E"), PositionError::Sixty { value: 60.0, .. }));
    assert!(matches!(kind("1275S 04510E"), PositionError::Sixty { value: 75.0, .. }));
    assert!(matches!(kind("12 30 61S 45E"), PositionError::Sixty { value: 61.0, .. }));
    assert!(matches!(kind("91N 45E"), PositionError::Latitude { value_deg: 91.0 }));
    assert!(matches!(kind("89 59.9N 180 00.1W"), PositionError::Longitude { .. }));
    assert!(matches!(kind("  "), PositionError::Empty));
    assert!(matches!(kind("12 S 45 E x"), PositionError::Sign { sign: 'x', .. }));
    assert!(matches!(kind(&"1".repeat(65)), PositionError::TooLong { length: 65, allowed: 64 }));
    let said = kind("12 61S 45E").to_string();
    assert!(
        said.contains("12 61S 45E")
            && said.contains("61")
            && said.contains("below 60")
            && said.contains("write 12°34.5'S"),
        "{said}"
    );
}

#[test]
fn ident_shown_as_degrees_and_minutes_that_never_read_sixty() {
    let shown = |lat, lon| Position::from_degrees(lat, lon).unwrap().to_string();
    assert_eq!(shown(-12.575, 45.0 + 1.0 / 6.0), "12°34.5'S 045°10.0'E");
    assert_eq!(shown(9.99999, -0.0001), "10°00.0'N 000°00.0'E");
    assert_eq!(shown(-89.9999, 179.9999), "90°00.0'S 180°00.0'E");
    let p = Position::from_degrees(1.5, -2.2625).unwrap();
    assert_eq!(format!("{p:.3} {p:.0}"), "01°30.000'N 002°15.750'W 01°30'N 002°16'W");
}

proptest! {
    #[test]
    fn ident_shown_then_read_is_the_same_to_the_last_shown_digit(lat in -90.0..=90.0, lon in -180.0..=180.0) {
        let p = Position::from_degrees(lat, lon).unwrap();
        let back: Position = format!("{p:.3}").parse().unwrap();
        prop_assert!((back.lat_deg() - p.lat_deg()).abs() <= 0.000_500_1 / 60.0);
        let turn = (back.lon_deg() - p.lon_deg()).rem_euclid(360.0);
        prop_assert!(turn.min(360.0 - turn) <= 0.000_500_1 / 60.0);
    }

    #[test]
    fn ident_no_text_panics(text in ".{0,70}") {
        let _ = text.parse::<Position>();
    }

    #[test]
    fn ident_no_nearly_right_text_panics(text in "[-0-9NSEWnsew°'\", .;+]{0,30}") {
        if let Ok(p) = text.parse::<Position>() {
            prop_assert!(p.lat_deg().abs() <= 90.0 && p.lon_deg() > -180.0 && p.lon_deg() <= 180.0);
        }
    }
}
