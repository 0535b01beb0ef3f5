//! Reading, converting and showing figures: published conversions, what engineers type, and round trips.

use proptest::prelude::*;
use quantity::{
    ConversionError, Kind, MassFlow, Precision, Pressure, ReadError, Reading, Style, Temperature,
    Unit, Vacuum, decimal, read, read_number, read_styled, show, show_number,
};

const STANDARD: Option<Pressure> = Some(Pressure::STANDARD_ATMOSPHERE);

fn value(text: &str, field: Unit) -> f64 {
    read(text, field).map(|r| r.value).unwrap_or(f64::NAN)
}

#[test]
fn ref_pressure_units_follow_si_brochure_and_iso_80000_4() {
    // Definitions: bar 1e5 Pa, conventional mmHg 133.322387415 Pa (ISO 80000-4:2019, annex), inch 25.4 mm exactly.
    let pa = |v, unit: Unit| unit.to_si(v, STANDARD).unwrap();
    assert_eq!(pa(4.0, Unit::BarG), 501_325.0);
    assert_eq!(pa(1.01325, Unit::BarA), 101_325.0);
    assert_eq!(pa(100.0, Unit::PercentVac), 0.0);
    assert!((pa(93.0, Unit::PercentVac) - 7_092.75).abs() < 1e-9);
    // 760 mmHg is one standard atmosphere to 0.2 ppm, so half of it is half of one.
    assert!((pa(380.0, Unit::MmHgVac) - 50_662.5).abs() < 0.01);
    // 26 inHg of vacuum leave 13.279 kPa; 700 mmHg leave 8.00 kPa (conversion tables of vacuum gauges).
    assert!((pa(26.0, Unit::InHgVac) - 13_279.0).abs() < 1.0);
    assert!((pa(700.0, Unit::MmHgVac) - 8_000.0).abs() < 1.0);
    // NIST SP 811, appendix B.8: psi 6.894 757 kPa; degree Fahrenheit (t + 459.67)/1.8 K.
    assert!((pa(10.0, Unit::PsiA) - 68_947.57).abs() < 0.01);
    assert!((pa(-13.0, Unit::PsiG) - (101_325.0 - 89_631.84)).abs() < 0.01);
    let kelvin = |f| Unit::DegF.to_si(f, None).unwrap();
    assert!((kelvin(32.0) - 273.15).abs() < 1e-9 && (kelvin(212.0) - 373.15).abs() < 1e-9);
    assert!((pa(70.0, Unit::CmHgVac) - pa(700.0, Unit::MmHgVac)).abs() < 1e-9);
}

#[test]
fn ref_flows_follow_their_definitions() {
    assert_eq!(MassFlow::from_t_day(86.4).kg_s(), 1.0);
    assert_eq!(Unit::TDay.to_si(24.0, None).unwrap(), 24_000.0 / 86_400.0);
    assert_eq!(Unit::KgH.to_si(3600.0, None).unwrap(), 1.0);
    assert_eq!(Unit::KWh.to_si(1.0, None).unwrap(), 3.6e6);
    assert_eq!(Unit::USCm.to_si(10_000.0, None).unwrap(), 1.0);
    assert_eq!(Unit::Rpm.to_si(120.0, None).unwrap(), 2.0);
}

#[test]
fn ident_vacuum_moves_with_the_barometer() {
    let shell = Vacuum::from_percent(92.0, Pressure::from_hpa(980.0));
    assert!((shell.to_absolute(Pressure::from_hpa(980.0)).pa() - 7_840.0).abs() < 1e-9);
    let low = Unit::PercentVac.to_si(92.0, Some(Pressure::from_hpa(980.0))).unwrap();
    let high = Unit::PercentVac.to_si(92.0, Some(Pressure::from_hpa(1030.0))).unwrap();
    assert!((high - low - 400.0).abs() < 1e-9, "50 hPa of weather are 4 hPa of shell at 92 %");
}

#[test]
fn what_engineers_type_is_understood() {
    for (text, field, number, unit) in [
        ("31,5 °C", Unit::DegC, 31.5, Unit::DegC),
        ("31.5", Unit::DegC, 31.5, Unit::DegC),
        ("304.65 K", Unit::DegC, 304.65, Unit::K),
        ("92 % vac", Unit::PercentVac, 92.0, Unit::PercentVac),
        ("92%", Unit::PercentVac, 92.0, Unit::PercentVac),
        ("68 cmHg", Unit::PercentVac, 68.0, Unit::CmHgVac),
        ("3.6 bar", Unit::BarG, 3.6, Unit::BarG),
        ("3.6 bar", Unit::BarA, 3.6, Unit::BarA),
        ("0.09 bar(a)", Unit::PercentVac, 0.09, Unit::BarA),
        ("1009 mbar", Unit::HPa, 1009.0, Unit::MbarA),
        ("1 234,5", Unit::KW, 1234.5, Unit::KW),
        ("1\u{202f}234,5\u{202f}kW", Unit::KW, 1234.5, Unit::KW),
        ("1.234,5", Unit::KW, 1234.5, Unit::KW),
        ("1,234.5", Unit::KW, 1234.5, Unit::KW),
        ("1'234'567", Unit::One, 1_234_567.0, Unit::One),
        ("0,234", Unit::One, 0.234, Unit::One),
        ("1013,250", Unit::HPa, 1013.25, Unit::HPa),
        ("\u{2212}2,5", Unit::DegC, -2.5, Unit::DegC),
        ("- 2.5", Unit::DegC, -2.5, Unit::DegC),
        (",5", Unit::One, 0.5, Unit::One),
        ("5.", Unit::One, 5.0, Unit::One),
        ("1e-4", Unit::M2KW, 1e-4, Unit::M2KW),
        ("1E\u{2212}4 m²K/W", Unit::M2KW, 1e-4, Unit::M2KW),
        ("2.5 PPM", Unit::PpmNacl, 2.5, Unit::PpmNacl),
        ("49000 ppm", Unit::GKg, 49_000.0, Unit::MgKg),
        ("24 t/d", Unit::TDay, 24.0, Unit::TDay),
        ("1000 kg/h", Unit::TDay, 1000.0, Unit::KgH),
        ("12.4 μS/cm", Unit::USCm, 12.4, Unit::USCm),
        ("-0,9 bar", Unit::PercentVac, -0.9, Unit::BarG),
        ("\u{2212}13 psi", Unit::PercentVac, -13.0, Unit::PsiG),
        ("50 psi", Unit::BarG, 50.0, Unit::PsiG),
        ("0.4 MPa", Unit::BarG, 0.4, Unit::MPaG),
        ("4 kgf/cm²", Unit::BarG, 4.0, Unit::KgCm2G),
        ("-0.09 MPa", Unit::PercentVac, -0.09, Unit::MPaG),
        ("700 mmHg", Unit::PercentVac, 700.0, Unit::MmHgVac),
        ("760 mmHg", Unit::HPa, 760.0, Unit::MmHgA),
        ("29.92 inHg", Unit::HPa, 29.92, Unit::InHgA),
        ("176 F", Unit::DegC, 176.0, Unit::DegF),
        ("90 m³/d", Unit::M3H, 90.0, Unit::M3Day),
        ("8 °C", Unit::KDiff, 8.0, Unit::KDiff),
    ] {
        assert_eq!(read(text, field), Ok(Reading { value: number, unit }), "{text:?}");
    }
}

#[test]
fn what_cannot_be_meant_is_refused_with_the_reason() {
    let error = |text: &str, field| read(text, field).unwrap_err();
    assert_eq!(error("  ", Unit::DegC), ReadError::Empty);
    assert!(matches!(error("NaN", Unit::DegC), ReadError::NotANumber { .. }));
    assert!(matches!(error("inf", Unit::DegC), ReadError::NotANumber { .. }));
    assert!(matches!(error("-", Unit::DegC), ReadError::NotANumber { .. }));
    assert!(matches!(error("5-3", Unit::DegC), ReadError::NotANumber { .. }));
    assert!(matches!(error("1e5e5", Unit::One), ReadError::NotANumber { .. }));
    assert!(matches!(error("1e999", Unit::One), ReadError::TooLarge { .. }));
    assert!(matches!(error("12 34", Unit::One), ReadError::Grouping { .. }));
    assert!(matches!(error("1,23,4", Unit::One), ReadError::Grouping { .. }));
    assert!(matches!(error("1 234.567,8", Unit::One), ReadError::Grouping { .. }));
    assert!(matches!(error(&"9".repeat(65), Unit::One), ReadError::TooLong { length: 65, .. }));
    assert!(matches!(error("31.5 parsecs", Unit::DegC), ReadError::UnknownUnit { .. }));
    assert_eq!(
        error("3 bar g", Unit::DegC),
        ReadError::WrongKind { read: Unit::BarG, field: Unit::DegC }
    );
    assert_eq!(
        error("1,234", Unit::KW),
        ReadError::Ambiguous { read: "1,234".into(), as_decimal: 1.234, as_thousands: 1234.0 }
    );
    assert_eq!(
        error("0.5 bar", Unit::PercentVac),
        ReadError::UnclearUnit { read: "bar".into(), candidates: vec![Unit::BarG, Unit::BarA] }
    );
    assert_eq!(error("calm", Unit::Word), ReadError::WordField);
    let said = error("1,234", Unit::KW).to_string();
    assert!(said.contains("1.234") && said.contains("1234"), "{said}");
    let said = error("31.5 parsecs", Unit::DegC).to_string();
    assert!(said.contains("parsecs") && said.contains("°C"), "{said}");
}

#[test]
fn a_known_decimal_sign_settles_the_comma() {
    assert_eq!(read_styled("1,234", Unit::KW, Style::Comma).unwrap().value, 1.234);
    assert_eq!(read_styled("1,234", Unit::KW, Style::Point).unwrap().value, 1234.0);
    assert_eq!(read_number("1.234", Style::Comma), Ok(1234.0));
    assert!(read_number("31.5 °C", Style::Either).is_err());
}

#[test]
fn conversions_refuse_what_physics_does() {
    assert_eq!(
        Unit::PercentVac.to_si(92.0, None),
        Err(ConversionError::NeedsBarometer { unit: Unit::PercentVac })
    );
    assert!(matches!(
        Unit::PercentVac.to_si(101.0, STANDARD),
        Err(ConversionError::BelowVacuum { .. })
    ));
    assert!(matches!(Unit::BarG.to_si(-1.2, STANDARD), Err(ConversionError::BelowVacuum { .. })));
    assert!(matches!(
        Unit::DegC.to_si(-300.0, None),
        Err(ConversionError::BelowAbsoluteZero { .. })
    ));
    assert!(matches!(Unit::Word.to_si(1.0, None), Err(ConversionError::NotANumber { .. })));
    assert!(matches!(Unit::KWh.to_si(1e305, None), Err(ConversionError::NotFinite { .. })));
    let dead = Some(Pressure::from_hpa(0.0));
    assert!(matches!(Unit::BarG.to_si(1.0, dead), Err(ConversionError::NeedsBarometer { .. })));
}

#[test]
fn codes_are_stable_distinct_and_read_back() {
    let codes: Vec<&str> = Unit::ALL.iter().map(|unit| unit.code()).collect();
    assert_eq!(
        codes.join(" "),
        "degC K degF K_diff bar_g psi_g psi_a bar_a mbar_a kPa_a Pa hPa percent_vac cmHg_vac mmHg_vac inHg_vac mmHg_a inHg_a MPa_g kg_cm2_g t_day kg_s \
         kg_h t_h m3_h m3_s m3_day L_h L_min L_day t kg m3 g_kg mg_kg ppm_nacl uS_cm percent fraction kW W kWh cm m m2 m2k_w \
         W_m2K mg_L rpm A pH one word"
    );
    for unit in Unit::ALL {
        assert_eq!(unit.code().parse::<Unit>().unwrap(), *unit);
    }
    assert!("bar".parse::<Unit>().is_err());
}

#[test]
fn every_spelling_reads_as_its_own_unit_in_its_own_field() {
    for unit in Unit::ALL.iter().filter(|unit| unit.kind() != Kind::Word) {
        for spelling in unit.spellings().iter().chain(&[unit.code(), unit.symbol()]) {
            let text = format!("7 {spelling}");
            assert_eq!(read(&text, *unit), Ok(Reading { value: 7.0, unit: *unit }), "{text:?}");
        }
    }
}

#[test]
fn shown_digits_are_plausible() {
    assert_eq!(show(9.996, Unit::USCm), "10.0\u{202f}µS/cm");
    assert_eq!(show(0.0, Unit::USCm), "0\u{202f}µS/cm");
    assert_eq!(show(1234.5, Unit::USCm), "1230\u{202f}µS/cm");
    assert_eq!(show_number(-1234.0, Precision::Decimals(0)), "\u{2212}1234");
    assert_eq!(show_number(-123_456.0, Precision::Decimals(1)), "\u{2212}123\u{202f}456.0");
    assert_eq!(show_number(f64::NAN, Precision::Decimals(1)), "—");
    assert_eq!(show(0.42, Unit::Fraction), "0.420");
}

proptest! {
    #[test]
    fn ident_si_and_back(value in -1e6..1e6f64, at in 0..Unit::ALL.len(), hpa in 900.0..1080.0f64) {
        let unit = Unit::ALL[at];
        let barometer = Some(Pressure::from_hpa(hpa));
        if let Ok(si) = unit.to_si(value, barometer) {
            let back = unit.from_si(si, barometer).unwrap();
            // One rounding of the largest number on the way, in the unit's own size.
            let atmosphere = unit.from_si(0.0, barometer).unwrap().abs();
            let room = 4.0 * f64::EPSILON * (value.abs() + atmosphere + 300.0);
            prop_assert!((back - value).abs() <= room, "{unit}: {value} came back as {back}");
        }
    }

    #[test]
    fn ident_log_decimals_read_back_exactly(bits in any::<u64>()) {
        let value = f64::from_bits(bits);
        match decimal(value) {
            Some(text) => prop_assert_eq!(text.parse::<f64>().unwrap(), value),
            None => prop_assert!(!value.is_finite()),
        }
    }

    #[test]
    fn ident_shown_figures_read_back(value in -1e7..1e7f64, at in 0..Unit::ALL.len()) {
        let unit = Unit::ALL[at];
        if unit.kind() != Kind::Word && matches!(unit.precision(), Precision::Decimals(_)) {
            let Precision::Decimals(decimals) = unit.precision() else { unreachable!() };
            let back = read(&show(value, unit), unit).unwrap();
            prop_assert_eq!(back.unit, unit);
            prop_assert!((back.value - value).abs() <= 0.5001 * 10f64.powi(-i32::from(decimals)));
        }
    }

    #[test]
    fn ident_decimal_comma_and_point_agree(thousandths in -9_999_999i64..9_999_999) {
        let point = format!("{}", thousandths as f64 / 1000.0);
        let comma = point.replace('.', ",");
        let expected = read_number(&point, Style::Either).unwrap();
        prop_assert_eq!(read_number(&comma, Style::Comma).unwrap(), expected);
        match read_number(&comma, Style::Either) {
            Ok(value) => prop_assert_eq!(value, expected),
            Err(ReadError::Ambiguous { as_decimal, .. }) => prop_assert_eq!(as_decimal, expected),
            Err(other) => prop_assert!(false, "{}", other),
        }
    }

    #[test]
    fn ident_any_text_gives_a_finite_figure_or_a_reason(text in "\\PC{0,80}", at in 0..Unit::ALL.len()) {
        let unit = Unit::ALL[at];
        match read(&text, unit) {
            Ok(reading) => prop_assert!(reading.value.is_finite()),
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }

    #[test]
    fn ident_number_like_text_never_breaks(text in "[-+−0-9.,eE '%°CbarK \u{202f}]{0,24}") {
        if let Ok(reading) = read(&text, Unit::BarG) {
            prop_assert!(reading.value.is_finite());
        }
    }

    #[test]
    fn ident_temperatures_shift_by_differences(a in -100.0..400.0f64, b in -100.0..400.0f64) {
        let (a, b) = (Temperature::from_celsius(a), Temperature::from_celsius(b));
        prop_assert!(((b + (a - b)).celsius() - a.celsius()).abs() < 1e-12 * 500.0);
    }
}

#[test]
fn a_decimal_comma_reads_the_same_number() {
    assert_eq!(value("31,5", Unit::DegC), value("31.5", Unit::DegC));
}
