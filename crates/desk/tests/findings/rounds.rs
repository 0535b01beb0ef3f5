//! Few rounds, one, none, or one whose figures cannot be: what is said of them.

use desk::Desk;
use desk::findings::Since;

use super::{chance, marram, now, round_after, short_round};

/// A week of rounds cannot tell what stood before it: how many there are, what they leave open, what to read next.
#[test]
fn ident_too_few_rounds_say_what_they_cannot_tell() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let view = desk.findings(Since::Days(7), now()).expect("findings");
    let says = view.sentence();
    assert!(!says.contains("Nothing is past its limit"), "{says}");
    for part in [
        format!(
            "{} rounds of 7 days cannot tell why {:.1} t/day are missing",
            view.rounds,
            view.short_t_day().expect("short")
        ),
        "They leave open a fouled condenser".to_owned(),
        "the rounds since the last cleaning tell more".to_owned(),
        "Next to read: the vent pipe's temperature".to_owned(),
    ] {
        assert!(says.contains(&part), "{part}: {says}");
    }
}

/// One round on a ship of her own: fewer readings than unknowns, what to read next, and nothing is called in order.
#[test]
fn ident_one_round_says_that_it_is_fewer_than_the_unknowns() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = Desk::open(folder.path(), now()).expect("opened");
    let figures = [
        ("jacket_in_c", 84.0),
        ("jacket_out_c", 74.0),
        ("sea_temp_c", 31.0),
        ("vapour_temp_c", 45.5),
    ];
    let at = short_round(&desk, &figures.map(|(key, c)| (key, "degC", c, c + 273.15)));
    let view = desk.findings(Since::Cleaned, at).expect("findings");
    let says = view.sentence();
    assert!(says.contains("4 readings against 15 unknowns"), "{says}");
    assert!(says.contains("fewer readings than unknowns"), "{says}");
    assert!(says.contains("Next to read: ") && !says.contains("Nothing is past"), "{says}");
}

#[test]
fn ident_an_empty_record_says_what_to_read() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = Desk::open(folder.path(), now()).expect("opened");
    let why = desk.findings(Since::Cleaned, now()).expect_err("nothing read").to_string();
    assert!(why.contains("Read one: jacket water in and out"), "{why}");
}

/// Three hundred parts in a short round: dump first, the cell doubted, and not the ejector blamed.
#[test]
fn ident_salt_in_a_short_round_says_dump_it() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = Desk::open(folder.path(), now()).expect("opened");
    let at = short_round(
        &desk,
        &[
            ("jacket_in_c", "degC", 84.0, 357.15),
            ("jacket_out_c", "degC", 74.5, 347.65),
            ("vapour_temp_c", "degC", 46.0, 319.15),
            ("product_salt_mg_kg", "mg_kg", 300.0, 300.0e-6),
        ],
    );
    let view = desk.findings(Since::Cleaned, at).expect("findings");
    let says = view.sentence();
    assert!(says.starts_with("Salinity is 300 ppm, over 10: dump it, fill no tank"), "{says}");
    assert!(view.line().starts_with("Dump the distillate"), "{}", view.line());
    assert!(chance(&view, "ejector_wear") < 0.25, "{says}");
    assert!(view.checks.iter().any(|c| c.reading == "second_product_salt_mg_kg" && c.worth));
    desk.write_check("second_product_salt_mg_kg", ("3", ""), at, "3e", at).expect("taken");
    let view = desk.findings(Since::Cleaned, at).expect("findings");
    assert_eq!(view.causes[0].key, "instrument:product_salt_mg_kg", "{}", view.sentence());
    assert_eq!(view.checked[0].watch, Some(300.0));
}

/// Swapped in the newest round: named, nothing short by them, no cause named surely.
#[test]
fn ident_swapped_thermometers_of_a_round_blame_no_plant() {
    for swapped in [("jacket_in_c", "jacket_out_c"), ("sea_temp_c", "vapour_temp_c")] {
        let folder = tempfile::tempdir().expect("folder");
        let desk = Desk::open(folder.path(), now()).expect("opened");
        let mut figures = [
            ("jacket_in_c", 84.0),
            ("jacket_out_c", 74.0),
            ("sea_temp_c", 31.0),
            ("sea_out_c", 40.5),
            ("vapour_temp_c", 45.0),
        ];
        let place = |key: &str| figures.iter().position(|f| f.0 == key).expect("read");
        let (a, b) = (place(swapped.0), place(swapped.1));
        (figures[a].1, figures[b].1) = (figures[b].1, figures[a].1);
        let figures = figures.map(|(key, c)| (key, "degC", c, c + 273.15));
        let at = short_round(&desk, &figures);
        let view = desk.findings(Since::Cleaned, at).expect("findings");
        let says = view.sentence();
        assert!(says.contains("swapped"), "{says}");
        assert!(!says.contains("short"), "{says}");
        assert!(view.causes.iter().all(|cause| cause.chance < 0.3), "{says}");
        // No leader, no cost and no day from it, and what to read again is said.
        assert!(view.leader.is_none() && view.missing.is_none() && view.growth.is_empty());
        assert!(view.held.is_some() && says.contains("Read again: "), "{says}");
        assert!(says.contains("no cause is to be relied on"), "{says}");
    }
}

/// Vacuum and vapour in each other's place: the page Now doubts both, and neither loses the vacuum nor heats the shell.
#[test]
fn ident_now_gives_no_advice_from_figures_that_cannot_be() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let at = round_after(&desk, 4, &[("shell_gauge_bar_g", 45.5), ("vapour_temp_c", 90.0)], 20.0);
    let page = desk.now(at).expect("now");
    let asks = page.asks.join("\n");
    assert!(asks.contains("stand as if swapped"), "{asks}");
    assert!(!asks.contains("acuum lost") && !asks.contains("too hot"), "{asks}");
    for key in ["shell_gauge_bar_g", "vapour_temp_c"] {
        let row = page.rows.iter().find(|row| row.key == key).expect("row");
        assert_eq!(row.state, desk::view::State::InDoubt, "{key}");
        let says = "Vacuum and vapour cannot stand together: read both again.";
        assert_eq!(row.meaning.as_deref(), Some(says), "{key}");
    }
    let view = desk.findings(Since::Cleaned, at).expect("findings");
    assert!(
        view.said.odd.iter().any(|says| says.contains("stand as if swapped")),
        "{:?}",
        view.said.odd
    );
    for key in ["shell_gauge_bar_g", "vapour_temp_c"] {
        let line = view.evidence.iter().find(|line| line.compared.key == key).expect("read");
        assert_eq!(line.compared.state, desk::view::State::InDoubt, "{key}");
    }
    assert_eq!(view.first_to_do(&view, &[]), "First: read vacuum and vapour again.");
    // The form of the round says the same of both, and judges no limit of them.
    let mut typed = desk::entry::TypedRound { actor: "3e".to_owned(), ..Default::default() };
    for (key, text) in [
        ("shell_gauge_bar_g", "45.5"),
        ("vapour_temp_c", "90"),
        ("jacket_in_c", "84"),
        ("jacket_out_c", "74"),
        ("sea_temp_c", "29"),
        ("sea_out_c", "39"),
        ("barometer_hpa", "1012"),
    ] {
        typed.values.insert(key.to_owned(), (text.to_owned(), String::new()));
    }
    let checked = desk.check_round(&typed, at).expect("checked");
    for key in ["shell_gauge_bar_g", "vapour_temp_c"] {
        let line = checked.lines.iter().find(|line| line.key == key).expect("line");
        let says: Vec<&str> = line.remarks.iter().map(|remark| remark.says.as_str()).collect();
        assert_eq!(says, ["Vacuum and vapour cannot stand together: read both again."], "{key}");
        let row = line.compared.as_ref().expect("compared");
        assert_eq!(row.state, desk::view::State::InDoubt, "{key}");
    }
    // The form of the round offers the exchange.
    let figures = [("shell_gauge_bar_g".to_owned(), 45.5), ("vapour_temp_c".to_owned(), 90.0)];
    let remarks = desk::plausible::remarks(&figures.into(), &desk::plausible::Around::default());
    let swap = remarks.iter().filter_map(|r| r.offer.as_ref()).find(|o| o.label == "Swap the two");
    let set = &swap.expect("offered").set;
    assert!(set.contains(&("shell_gauge_bar_g", 90.0)) && set.contains(&("vapour_temp_c", 45.5)));
}
