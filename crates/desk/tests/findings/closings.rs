//! Findings closed with what was seen: they become data, set a cause aside, or stay known.

use desk::findings::{Closing, FindingsView, Since};
use jiff::ToSpan;

use super::{chance, marram, now};

/// A cleaning begins the rounds anew; a closed finding is kept with what was seen and moves her own chance of that cause.
#[test]
fn ident_a_closed_finding_and_a_cleaning_become_data() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let odds = |view: &FindingsView| {
        let row = view.tables.causes.iter().find(|row| row.key == "condenser_fouling");
        row.expect("in the table").odds
    };
    let before = desk.findings(Since::Days(30), now()).expect("findings");
    let closing = Closing {
        cause: "condenser_fouling".into(),
        seen: "found".into(),
        words: "mussels on the cover side".into(),
        cleaned: "condenser".into(),
        mended: String::new(),
        chance: Some(chance(&before, "condenser_fouling")),
        at: None,
    };
    desk.close_finding(&closing, "2e", now()).expect("closed");
    let after = desk.findings(Since::Days(30), now()).expect("findings");
    assert_eq!(after.told.closed.len(), 1);
    assert_eq!(after.told.closed[0].words, "mussels on the cover side");
    // Ten usual looks at 0.12 and one of hers that found it.
    assert!((odds(&before) - 0.12).abs() < 1e-12);
    assert!((odds(&after) - (1.2 + 1.0) / 11.0).abs() < 1e-12);
    assert!(after.tables.learned.iter().any(|line| line.contains("looked for once and found")));
    // Nothing new comes out of the rounds before, whatever span is asked about.
    for since in [Since::Cleaned, Since::Days(30)] {
        let cleaned = desk.findings(since, now()).expect("findings");
        for key in ["sea_flow", "air_leak", "jacket_flow", "ejector_wear"] {
            assert!(chance(&cleaned, key) < 0.1, "{key}: {}", cleaned.sentence());
        }
        assert!(!cleaned.sentence().contains("Low sea-water flow"), "{}", cleaned.sentence());
    }
    // The evaporator was never cleaned: its history goes on, and of the condenser nothing was read since.
    let since = desk.findings(Since::Cleaned, now()).expect("findings");
    assert!(chance(&since, "condenser_fouling") < 0.2, "{}", since.sentence());
    let says = since.sentence();
    assert!(says.contains("No round has been read since the condenser was cleaned"), "{says}");
    desk.write_cleaned(("evaporator", ""), now(), "2e", now()).expect("written");
    let since = desk.findings(Since::Cleaned, now()).expect_err("nothing read since");
    assert!(since.to_string().contains("Too few readings"), "{since}");
    // Taken back: the closing with its cleaning, and the cleaning.
    let told = desk.told_of_plant(now()).expect("read");
    let alone = told.cleaned.iter().find(|one| one.seq != told.closed[0].seq);
    let reading = desk.rounds(now(), 3).expect("rounds");
    let round = reading.iter().flat_map(|r| r.cells.values()).next().expect("cell").seq;
    let refused = desk.withdraw_told(round, "no", "2e", now()).expect_err("a round");
    assert!(refused.to_string().contains("no closed finding"), "{refused}");
    assert!(desk.withdraw_told(told.closed[0].seq, "  ", "2e", now()).is_err());
    for seq in [told.closed[0].seq, alone.expect("written").seq] {
        desk.withdraw_told(seq, "other ship", "2e", now()).expect("taken back");
    }
    let again = desk.findings(Since::Days(30), now()).expect("findings");
    assert!(again.told.closed.is_empty() && again.told.cleaned.len() == told.cleaned.len() - 2);
    assert_eq!(odds(&again), odds(&before));
    assert_eq!(chance(&again, "condenser_fouling"), chance(&before, "condenser_fouling"));
    let wrong = Closing { cause: "gremlins".into(), ..closing };
    assert!(desk.close_finding(&wrong, "2e", now()).is_err());
}

/// Looked for and not found: what was sure a moment ago is set aside at once, and what remains is said.
#[test]
fn ident_a_finding_closed_as_not_found_is_set_aside_at_once() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let before = desk.findings(Since::Cleaned, now()).expect("findings");
    assert_eq!(before.looked_first(), "");
    let closing = Closing {
        cause: "condenser_fouling".into(),
        seen: "not found".into(),
        words: "tubes bright".into(),
        cleaned: String::new(),
        mended: String::new(),
        chance: Some(chance(&before, "condenser_fouling")),
        at: None,
    };
    desk.close_finding(&closing, "2e", now()).expect("closed");
    let after = desk.findings(Since::Cleaned, now()).expect("findings");
    assert!(chance(&after, "condenser_fouling") < 0.05, "{}", after.sentence());
    // The rounds before keep what explained them: nothing else comes out of them, and the usual looks are open.
    for cause in after.causes.iter().filter(|c| c.key != "condenser_fouling") {
        let was = before
            .causes
            .iter()
            .find(|c| c.key == cause.key)
            .map_or((0.0, 0.0), |c| (c.chance, c.changed));
        assert!(cause.chance < was.0 + 0.1 && cause.changed < was.1 + 0.3, "{cause:?}");
    }
    for reading in ["vent_temp_c", "leak_down_kg_h"] {
        let check = after.checks.iter().find(|check| check.reading == reading);
        assert!(check.is_some_and(|check| check.worth), "{reading}: {:?}", after.checks);
    }
    // What is explained of what is missing, what is not, and what to read about that: they add up.
    let missing = after.missing.as_ref().expect("short");
    let parts: f64 = missing.parts.iter().map(|(_, t)| t).sum();
    let short = after.short_t_day().expect("short");
    assert!(
        (parts + missing.rest_t_day - short).abs() < 1e-9 && missing.leaves_much(),
        "{missing:?}"
    );
    assert!(missing.parts.iter().all(|(words, _)| words != "a fouled condenser"), "{missing:?}");
    assert!(missing.not_found.iter().any(|(words, t)| words == "a fouled condenser" && *t > 1.0));
    let said = after.sentence();
    let rest = missing.rest_t_day;
    for part in [
        format!("Of the {short:.1} t/day missing"),
        format!("Not explained: {rest:.1} t/day"),
        "that was not found, so it is open again".to_owned(),
    ] {
        assert!(said.contains(&part), "{part}: {said}");
    }
    let next = &after.said.next;
    assert!(next.starts_with("Next to read: a round now; then "), "{next}");
    // The usual look for air is among those that are told; the first of the table is the first that is told.
    assert!(next.contains("the vent pipe's temperature"), "{next}");
    let first = after.checks.iter().find(|check| check.worth).expect("a check");
    assert!(next.contains(&format!("then {}", first.words)), "{next}: {first:?}");
    assert_eq!(after.looked_first(), "Not a fouled condenser: looked for, not found.");
    assert!(after.leader.as_ref().is_some_and(|l| l.key != "condenser_fouling"));
    let says = after.sentence();
    for part in
        ["was looked for on 16 November 2025 and not found", "The readings gave it over 99 in 100"]
    {
        assert!(says.contains(part), "{part}: {says}");
    }
    assert!(after.line().starts_with("Not a fouled condenser"), "{}", after.line());
    // Closed a second time, the chance stays that of the first; something else is said in words.
    let again = Closing { chance: Some(0.001), ..closing.clone() };
    desk.close_finding(&again, "2e", now()).expect("closed");
    let told = desk.told_of_plant(now()).expect("read");
    assert!(told.closed.iter().all(|one| one.chance.is_some_and(|p| p > 0.9)), "{told:?}");
    let other = Closing { seen: "something else".into(), words: " ".into(), ..closing };
    let refused = desk.close_finding(&other, "2e", now()).expect_err("no words");
    assert!(refused.to_string().contains("write what was found instead"), "{refused}");
}

/// The thermometer that is bent since 3 November is looked at and not found wrong: it is sound from then on, and the rounds before keep it.
#[test]
fn ident_an_instrument_looked_at_frees_none_of_the_rounds_before() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let before = desk.findings(Since::Cleaned, now()).expect("findings");
    let closing = Closing {
        cause: "instrument:sea_out_c".into(),
        seen: "not found".into(),
        ..Closing::default()
    };
    desk.close_finding(&closing, "2e", now()).expect("closed");
    let after = desk.findings(Since::Cleaned, now()).expect("findings");
    let said = after.sentence();
    let fouled = |view: &FindingsView| {
        let line = view.causes.iter().find(|c| c.key == "condenser_fouling").expect("weighed");
        (line.chance, line.loss_t_day.expect("costs"))
    };
    let (was, is) = (fouled(&before), fouled(&after));
    assert!((was.0 - is.0).abs() < 0.05 && (was.1 - is.1).abs() < 0.25, "{was:?} {is:?} {said}");
    for cause in &after.causes {
        let earlier = before.causes.iter().find(|c| c.key == cause.key);
        let earlier = earlier.map_or((0.0, 0.0), |c| (c.chance, c.changed));
        assert!(cause.chance < earlier.0 + 0.1, "{cause:?} {said}");
        assert!(cause.changed < earlier.1 + 0.2, "{cause:?} {said}");
    }
    assert!(!said.contains("Sea water out changed"), "{said}");
    assert!(said.contains("from then on it is weighed as sound"), "{said}");
    assert!(after.blamed.iter().all(|blamed| blamed.key != "sea_out_c"), "{:?}", after.blamed);
}

/// Found and not mended, a cause stays known until that is written; mended, it is sound from then on.
#[test]
fn ident_what_is_found_and_not_mended_stays_a_known_cause() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let mut closing = Closing {
        cause: "air_leak".into(),
        seen: "found".into(),
        words: "shaft seal of the brine pump".into(),
        ..Closing::default()
    };
    assert!(closing.wants_mended().is_some());
    closing.mended = "not yet".into();
    let then = now().checked_sub((24 * 40).hours()).expect("moment");
    desk.close_finding(&Closing { at: Some(then), ..closing.clone() }, "2e", now())
        .expect("closed");
    // However short the span and long ago the look.
    let view = desk.findings(Since::Days(30), now()).expect("findings");
    let line = view.causes.iter().find(|c| c.key == "air_leak").expect("listed");
    assert_eq!(line.known, Some(then));
    assert_eq!(view.told.closed[0].seen_words(), "found, not mended yet");
    assert!(
        view.looked_first().contains("Known, and not mended yet: an air leak."),
        "{}",
        view.line()
    );
    let first = view.first_to_do(&view, &[]);
    assert!(first.starts_with("First: mend what was found, an air leak."), "{first}");
    closing.mended = "mended".into();
    desk.close_finding(&closing, "2e", now()).expect("closed");
    let view = desk.findings(Since::Days(30), now()).expect("findings");
    assert!(view.causes.iter().all(|c| c.known.is_none()), "{:?}", view.causes);
    assert_eq!(view.told.closed[0].seen_words(), "found, mended");
    assert!(!view.first_to_do(&view, &[]).contains("mend what was found"));
}

/// Found inside a plant that was making water then is asked about; what is found outside, or later, is not.
#[test]
fn ident_nothing_is_found_inside_a_plant_that_makes_water() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let rounds = desk.rounds(now(), 14).expect("rounds");
    let ran = rounds.iter().rev().find(|r| r.running() && r.counts()).expect("ran").at;
    let found = |cause: &str, seen: &str| Closing {
        cause: cause.into(),
        seen: seen.into(),
        ..Closing::default()
    };
    let doubt = |closing: &Closing, at| desk.doubt_of_finding(closing, at).expect("read");
    let asks = doubt(&found("scale", "found"), ran).unwrap_or_default();
    assert!(asks.contains("making water") && asks.contains("seen only with her cold"), "{asks}");
    assert_eq!(doubt(&found("air_leak", "found"), ran), None, "a leak is heard from outside");
    assert_eq!(doubt(&found("scale", "not found"), ran), None);
    let later = ran.checked_add(3.hours()).expect("moment");
    assert_eq!(doubt(&found("scale", "found"), later), None, "three hours are enough to open her");
}
