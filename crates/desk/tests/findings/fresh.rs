//! A new fault after a long history.

use desk::findings::Since;

use super::{marram, round_after};

/// One round with an air leak after a long history: what is new is said at once, with what the last days say by themselves.
#[test]
fn ident_a_new_fault_is_told_in_its_first_round() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let leak = [
        ("shell_gauge_bar_g", 86.0),
        ("vapour_temp_c", 53.0),
        ("jacket_out_c", 76.0),
        ("sea_out_c", 37.5),
        ("product_salt_mg_kg", 0.9),
    ];
    let at = round_after(&desk, 4, &leak, 15.7);
    let view = desk.findings(Since::Cleaned, at).expect("findings");
    let fresh = view.fresh.as_ref().unwrap_or_else(|| panic!("{}", view.sentence()));
    assert_eq!(fresh.since, at, "{}", view.line());
    assert!(fresh.causes.iter().any(|(words, p)| words.contains("air") && *p > 0.8), "{fresh:?}");
    // By their own expectation, those that moved most of their usual scatter first.
    let moved = |word: &str| fresh.moved.iter().any(|m| m.starts_with(word));
    for word in ["vacuum", "vapour", "jacket water out"] {
        assert!(moved(word), "{word}: {:?}", fresh.moved);
    }
    assert!(moved("sea water out"), "all that moved: {:?}", fresh.moved);
    assert!(fresh.moved.len() <= 5 && !fresh.moved[0].starts_with("sea"), "{:?}", fresh.moved);
    // Its column stands first among those of what each cause alone would make of the readings.
    assert_eq!(view.explained_by.first().map(String::as_str), Some("an air leak, new"));
    let line = |key: &str| view.evidence.iter().find(|line| line.compared.key == key);
    let alone = |key: &str| line(key).and_then(|line| line.would_read.first().copied().flatten());
    for line in &view.evidence {
        assert_eq!(line.would_read.len(), view.explained_by.len(), "{}", line.compared.key);
    }
    let clean = line("vapour_temp_c").and_then(|line| line.compared.expected).expect("expected");
    assert!(alone("vapour_temp_c").is_some_and(|c| c > clean.middle + 3.0), "{:?}", view.evidence);
    // An instrument that is blamed is read with it too.
    let blamed = view.blamed.iter().find(|b| b.key == "sea_out_c").expect("blamed").says();
    assert!(blamed.contains("an air leak, which is new, it should show"), "{blamed}");
    let leak = &fresh.lines[0];
    assert_eq!(leak.part_of, "times what a tight plant draws in");
    assert!(!leak.now.contains('×') && leak.now.parse::<f64>().is_ok(), "{}", leak.now);
    // The cause has its line, and the checks are those that look for it.
    assert!(fresh.lines.iter().any(|line| line.key == "air_leak"), "{:?}", fresh.lines);
    assert_eq!(fresh.heat, None, "less water of less heat");
    let looks: Vec<&str> =
        view.checks.iter().filter(|check| check.worth).map(|check| check.reading).collect();
    assert_eq!(looks[0], "vent_temp_c", "{looks:?}");
    let leak = view.checks.iter().find(|check| check.reading == "leak_down_kg_h").expect("asked");
    assert!(leak.worth && leak.procedure == Some("leak-test"), "{leak:?}");
    let first = view.first_to_do(&view, &[]);
    assert!(
        first.starts_with("First: read the vent pipe's temperature, two minutes. At the next stop")
            && first.contains("the leak-down test")
            // New by its first round it is checked before it is looked for, and looked for before any cleaning is waited for.
            && first.contains(" Then find the air leak and stop it: "),
        "{first}"
    );
    let missing = view.missing.as_ref().expect("short");
    // What was missing before is not new, explained or not.
    assert!(fresh.t_day <= missing.rest_t_day && fresh.t_day > 3.0, "{fresh:?}");
    assert!(missing.short_t_day - fresh.t_day > 3.0, "{fresh:?} of {}", missing.short_t_day);
    assert!(view.line().contains("is new since"), "{}", view.line());
    assert!(view.sentence().contains("is new since"), "{}", view.sentence());
    // What is not explained has something to be looked for.
    assert!(view.checks.iter().any(|check| check.worth), "{:?}", view.checks);
    assert!(view.said.next.starts_with("Next to read"), "{}", view.said.next);
}

/// A counter that falls behind while jacket and sea water show the heat of before: energy is conserved, so the counter is read again.
#[test]
fn ident_a_counter_that_the_heat_does_not_bear_out_is_to_be_read_again() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let at = round_after(&desk, 4, &[("shell_gauge_bar_g", 87.0), ("vapour_temp_c", 48.0)], 14.5);
    let view = desk.findings(Since::Cleaned, at).expect("findings");
    let fresh = view.fresh.as_ref().unwrap_or_else(|| panic!("{}", view.sentence()));
    let heat = fresh.heat.as_deref().unwrap_or_default();
    assert!(
        heat.contains("is enough for about 2") && heat.contains("Read the counter again"),
        "{heat}"
    );
    assert!(fresh.moved_says().ends_with(heat), "{}", fresh.moved_says());
}

/// Treated water in the brine comes before any water that is short: the expansion tank falls beside a fouled condenser.
#[test]
fn ident_a_leaking_heater_is_told_and_mended_before_all_else() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let level = desk.rounds(super::now(), 14).expect("rounds");
    let level = level.iter().rev().find_map(|round| round.value("expansion_tank_cm"));
    let level = level.expect("read on every round");
    let mut at = super::now();
    for hours in (4..=240).step_by(4) {
        let fallen = level - 3.0 / 24.0 * hours as f64;
        at = round_after(&desk, hours, &[("expansion_tank_cm", fallen)], 20.4);
    }
    let view = desk.findings(Since::Cleaned, at).expect("findings");
    let says = view.sentence();
    assert!(says.contains("here is a leaking heater (over 99"), "{says}");
    let first = view.first_to_do(&view, &[]);
    assert!(first.starts_with("First: stop, shut the heater off"), "{first}: {says}");
    assert_eq!(view.causes[0].key, "heater_leak", "{:?}", view.causes[0]);
    let sure = view.causes.iter().any(|c| c.key == "condenser_fouling" && c.chance > 0.95);
    assert!(sure, "{says}");
}
