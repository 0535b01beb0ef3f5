//! Texts of the ship's own: their problems, versions, and what they may lose by whose word.

use desk::procedures::{Losing, What};
use desk::{Desk, DeskError};
use logbook::Kind;

use crate::{aboard, act, minute, tick};

#[test]
fn ident_a_text_with_problems_is_refused_with_its_lines_and_a_good_one_goes_into_the_record() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let usual = desk.procedure("round", minute(0)).expect("a round");
    assert!(!usual.line.own);
    let text = usual.text.replace("vapour_temp_c <=", "vapour_tmp_c <=");
    let problems = desk.procedure_problems("round", &text);
    let line = text.lines().position(|line| line.contains("vapour_tmp_c")).expect("a line") + 1;
    assert!(
        problems
            .iter()
            .any(|p| p.line == Some(line) && p.message.contains("is “vapour_temp_c” meant?")),
        "{problems:#?}"
    );
    let head = desk.head().expect("a head");
    assert!(desk.save_procedure("round", &text, "ce", minute(1)).is_err());
    assert_eq!(desk.head().expect("a head"), head, "nothing was written");
    let stop = desk.procedure("stop", minute(0)).expect("a stop").text;
    let held =
        desk.procedure_problems("stop", &stop.replace("nature = \"stop\"", "nature = \"work\""));
    assert!(held.iter().any(|p| p.key == "nature" && p.message.contains("nothing holds a stop")));
    // Nothing comes to hold an emergency either; the way back to a tank stays as it is.
    let dark = desk.procedure("blackout", minute(0)).expect("a blackout").text;
    let held = dark.replacen("takes_min = [0, 1]", "takes_min = [0, 1]\ntowards = \"tank\"", 1);
    let held = desk.procedure_problems("blackout", &held);
    assert!(held.iter().any(|p| p.key == "towards" && p.message.contains("heat-off")), "{held:?}");
    let alarm = desk.procedure("salinity-alarm", minute(0)).expect("an alarm").text;
    assert!(
        alarm.contains("towards = \"tank\"")
            && desk.procedure_problems("salinity-alarm", &alarm).is_empty()
    );
    for key in ["../ship", "", "Round"] {
        assert!(matches!(
            desk.save_procedure(key, &stop, "ce", minute(1)),
            Err(DeskError::Asked(_))
        ));
    }
    let mended = usual.text.replace("name = \"Round\"", "name = \"Round of the watch\"");
    desk.save_procedure("round", &mended, "ce", minute(2)).expect("kept");
    let own = desk.procedure("round", minute(0)).expect("her own");
    assert!(own.line.own && own.line.name == "Round of the watch");
    assert_eq!(own.usual.as_deref(), Some(usual.text.as_str()));
    let entry = desk.entries(None, 1).expect("entries").remove(0);
    assert_eq!((entry.kind, entry.details["old"].as_str()), (Kind::Setting, usual.text.as_str()));
    // Spoiled by hand: the usual one holds, and it is told.
    std::fs::write(folder.path().join("procedures/round.toml"), "key = 5\n").expect("written");
    let spoiled = desk.procedure("round", minute(0)).expect("the usual");
    assert!(!spoiled.problems.is_empty() && spoiled.line.name == "Round");
}

#[test]
fn ident_a_run_is_shown_by_the_text_it_was_begun_with() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = desk.begin_run("change-tank", "2e", None, minute(0)).expect("begun");
    tick(&desk, (run, "sound", 5), &[]);
    let before = desk.run_view(run, minute(6)).expect("a run");
    let text = desk.procedure("change-tank", minute(0)).expect("a text").text;
    let text = text.replace("do = \"Sound both tanks.\"", "do = \"Sound all tanks, twice.\"");
    let word = Losing { chief: "ce", why: "three tanks aboard" };
    assert!(desk.keep_procedure("change-tank", &text, "2e", word, minute(7)).expect("kept"));
    let after = desk.run_view(run, minute(8)).expect("the run");
    assert!(after.text_changed && !after.text_lost && !before.text_changed);
    assert_eq!(after.steps[0].what, "Sound both tanks.");
    assert_eq!(after.line.version, before.line.version);
    // And of her own text, when that is changed again.
    act(&desk, (run, "", 9), &[], What::GiveUp { reason: "tanks full" }).expect("given up");
    let second = desk.begin_run("change-tank", "2e", None, minute(10)).expect("begun");
    let third = text.replace("twice.", "three times.");
    assert!(desk.keep_procedure("change-tank", &third, "2e", word, minute(11)).expect("kept"));
    let desk = {
        drop(desk);
        Desk::open(folder.path(), minute(12)).expect("again")
    };
    assert_eq!(
        desk.run_view(second, minute(12)).expect("a run").steps[0].what,
        "Sound all tanks, twice."
    );
    assert_eq!(desk.run_view(run, minute(12)).expect("a run").steps[0].what, "Sound both tanks.");
    let compared = desk.compare_runs("change-tank").expect("compared");
    // What was given up is no measure of how long it takes.
    assert_eq!(compared.runs.iter().map(|run| run.id).collect::<Vec<_>>(), [second]);
    assert_eq!(compared.given_up.iter().map(|run| run.id).collect::<Vec<_>>(), [run]);
    assert_eq!(compared.steps[0].took_min, [None]);
}

#[test]
fn ident_guards_lost_want_the_chief_and_the_usual_text_is_the_usual_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let usual = desk.procedure("start", minute(0)).expect("a start");
    let guard = "see = [\"vacuum_percent >= 90 or vacuum_percent >= limit.vacuum_min_percent for 5 min\"]\n";
    assert!(usual.text.contains(guard));
    let text = usual.text.replace(guard, "");
    let lost = desk.guards_lost("start", &text).expect("looked through");
    assert_eq!(lost.len(), 1, "{lost:?}");
    let gone = "step 6, Pull vacuum: Vacuum, corrected is no longer asked for; it was: ";
    assert!(lost[0].starts_with(gone), "{lost:?}");
    let refused = desk.save_procedure("start", &text, "2e", minute(1)).expect_err("asked");
    assert!(refused.to_string().contains("chief engineer"), "{refused}");
    let no_why =
        desk.keep_procedure("start", &text, "2e", Losing { chief: "ce", why: " " }, minute(1));
    assert!(no_why.is_err());
    let losing = Losing { chief: "ce", why: "gauge ashore for repair" };
    assert!(desk.keep_procedure("start", &text, "2e", losing, minute(2)).expect("kept"));
    let entry = desk.entries(None, 1).expect("entries").remove(0);
    assert_eq!((entry.details["chief"].as_str(), entry.author.actor.as_str()), ("ce", "2e"));
    assert!(entry.details["guards taken away"].contains("Pull vacuum"));
    assert!(desk.procedure("start", minute(3)).expect("it").line.own);
    // The usual text again, from her own and from one that cannot be read.
    assert!(
        desk.keep_procedure("start", &usual.text, "2e", Losing::default(), minute(4))
            .expect("kept")
    );
    let again = desk.procedure("start", minute(5)).expect("it");
    assert!(!again.line.own && again.version == usual.version && again.usual.is_none());
    assert!(!folder.path().join("procedures/start.toml").exists());
    assert!(
        !desk
            .keep_procedure("start", &usual.text, "2e", Losing::default(), minute(6))
            .expect("as it was")
    );
    std::fs::create_dir_all(folder.path().join("procedures")).expect("a folder");
    std::fs::write(folder.path().join("procedures/start.toml"), "key = 5\n").expect("written");
    assert!(!desk.procedure("start", minute(7)).expect("it").problems.is_empty());
    assert!(
        desk.keep_procedure("start", &usual.text, "2e", Losing::default(), minute(8))
            .expect("kept")
    );
    assert!(desk.procedure("start", minute(9)).expect("it").problems.is_empty());
    // A copy that is the usual one word for word is the usual one.
    std::fs::write(folder.path().join("procedures/start.toml"), &usual.text).expect("written");
    assert!(!desk.procedure("start", minute(10)).expect("it").line.own);
}

#[test]
fn ident_order_that_goes_with_a_text_is_named_like_a_guard() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let usual = desk.procedure("stop", minute(0)).expect("a stop");
    let (head, steps) = usual.text.split_once("[[step]]").expect("steps");
    let mut steps: Vec<&str> = steps.split("[[step]]").collect();
    steps.swap(0, 1);
    let text = format!("{head}[[step]]{}", steps.join("[[step]]"));
    let lost = desk.guards_lost("stop", &text).expect("looked through");
    assert!(lost[0].starts_with("step 1, ") && lost[0].ends_with("no longer comes first."));
    assert!(lost[1].contains(" comes after step 2, "), "{lost:?}");
    assert!(desk.save_procedure("stop", &text, "2e", minute(1)).is_err(), "the chief is asked");
}

#[test]
fn ident_a_guard_made_weaker_goes_like_one_taken_away_and_the_way_back_is_free() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let usual = desk.procedure("start", minute(0)).expect("a start").text;
    let with = |from: &str, to: &str| {
        assert!(usual.contains(from), "{from}");
        usual.replacen(from, to, 1)
    };
    let salt = "product_salt_mg_kg <= limit.salinity_dump_mg_kg for 10 min";
    let vacuum = "vacuum_percent >= 90 or vacuum_percent >= limit.vacuum_min_percent for 5 min";
    let second = "second = \"Second person, who looked at the tank’s valve\"\n";
    let hot = "  \"Jacket pipes and heater are hot enough to burn through gloves.\",\n";
    for (text, says) in [
        (with(salt, "product_salt_mg_kg <= 500 for 10 min"), "step 13, Let it dump until"),
        (with(vacuum, "vacuum_percent >= 10"), "step 6, Pull vacuum: asked for was Vacuum"),
        (with("wait_min = 3\n", ""), "3 min must pass before it, now none"),
        (with("wait_min = 60", "wait_min = 5"), "60 min must pass before it, now 5"),
        (
            with("overridden_by = \"chief\"", "overridden_by = \"watch\""),
            "step 1, Ask the bridge: who may go on against the guard is now the watch-keeper",
        ),
        (with(second, ""), "the second person is no longer asked for"),
        (with("look = \"Amps as usual\"", "look = \"Running\""), "was “Amps as usual” and is now"),
        (with(hot, ""), "the caution “Jacket pipes and heater"),
        (with("caution = \"Hot: stand aside of vent and flange.\"\n", ""), "step 9, "),
    ] {
        let lost = desk.guards_lost("start", &text).expect("looked through");
        assert!(lost.len() == 1 && lost[0].contains(says), "{says}: {lost:?}");
        let refused = desk.save_procedure("start", &text, "2e", minute(1)).expect_err("asked");
        assert!(refused.to_string().contains(says), "{refused}");
    }
    // What is plainly stricter asks nobody.
    for text in [
        with(vacuum, "vacuum_percent >= 92 for 5 min"),
        with("wait_min = 3\n", "wait_min = 4\n"),
        with("look = \"Amps as usual\"", "look = \"Amps as usual, no shake\""),
    ] {
        assert_eq!(desk.guards_lost("start", &text).expect("looked through"), [""; 0]);
    }
    let weak = with(salt, "product_salt_mg_kg <= 500 for 10 min").replacen(second, "", 1);
    let own = Losing { chief: "CE", why: "trial" };
    let same = desk.keep_procedure("start", &weak, "ce", own, minute(2)).expect_err("one hand");
    assert!(same.to_string().starts_with("Chief engineer: the same initials"), "{same}");
    assert!(desk.keep_procedure("start", &weak, "2e", own, minute(2)).expect("kept"));
    // Nearer to the usual text, and nothing else touched: the chief's word stands.
    let nearer = weak.replacen("<= 500 for", "<= 300 for", 1);
    assert_eq!(desk.guards_lost("start", &nearer).expect("looked through"), [""; 0]);
    let worse = weak.replacen("<= 500 for", "<= 900 for", 1);
    assert_eq!(desk.guards_lost("start", &worse).expect("looked through").len(), 1);
    // A stricter text of her own goes back to the usual one without the chief.
    let strict = with(salt, "product_salt_mg_kg <= 1 for 30 min");
    desk.keep_procedure("start", &usual, "2e", Losing::default(), minute(3)).expect("the usual");
    desk.keep_procedure("start", &strict, "2e", Losing::default(), minute(4))
        .expect_err("1 ppm is no ship's limit");
    let strict = with(salt, "product_salt_mg_kg <= limit.salinity_dump_mg_kg - 1 for 30 min");
    desk.keep_procedure("start", &strict, "2e", Losing::default(), minute(5)).expect("stricter");
    assert!(
        desk.keep_procedure("start", &usual, "2e", Losing::default(), minute(6)).expect("free")
    );
}

#[test]
fn ident_what_a_step_does_is_the_chiefs_words_are_told_and_her_own_guards_go_for_a_reason() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let usual = desk.procedure("start", minute(0)).expect("a start").text;
    let with = |text: &str, from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        text.replacen(from, to, 1)
    };
    let pull = "do = \"Pull vacuum. Correct the gauge by the barometer.\"";
    let other = with(&usual, pull, "do = \"Pull vacuum.\"");
    let refused = desk.save_procedure("start", &other, "2e", minute(1)).expect_err("the chief's");
    assert!(refused.to_string().contains("what is done was “Pull vacuum. Correct"), "{refused}");
    // So are the words by which hands go on or back; what is written down and how long it takes are free, and named.
    for (from, to) in [
        ("otherwise = \"More than 20 minutes", "otherwise = \"After 20 minutes"),
        ("way_out = \"Breaker open, pump off, suction", "way_out = \"Pump off, suction"),
        ("why = \"A warming engine", "why = \"A cold engine"),
    ] {
        let text = with(&usual, from, to);
        let refused = desk.save_procedure("start", &text, "2e", minute(2)).expect_err("asked");
        assert!(refused.to_string().starts_with("This changes what is done or said"), "{refused}");
        assert!(!desk.takes_guards("start", &text).expect("looked through"));
    }
    let alarm = desk.procedure("salinity-alarm", minute(2)).expect("it").text;
    let cause = with(&alarm, "why = \"A leak gives", "why = \"It gives");
    assert_eq!(desk.guards_lost("salinity-alarm", &cause).expect("looked through").len(), 1);
    let words = with(&usual, "takes_min = [10, 15]", "takes_min = [10, 20]");
    desk.save_procedure("start", &words, "2e", minute(2)).expect("free");
    let entry = desk.entries(None, 1).expect("entries").remove(0);
    assert_eq!(entry.details["words changed"], "step 6, Pull vacuum: how long it takes.");
    assert!(desk.procedure("start", minute(2)).expect("it").weaker.is_empty());
    // A guard of her own goes for a reason, without the chief.
    let amps = "look = \"Amps as usual\"";
    let own = with(&words, amps, &format!("{amps}\nsecond = \"Second person at the amps\""));
    desk.save_procedure("start", &own, "2e", minute(3)).expect("stricter is free");
    assert_eq!(desk.guards_lost("start", &words).expect("looked through"), [""; 0]);
    assert_eq!(desk.own_guards_lost("start", &words).expect("looked through").len(), 1);
    let refused = desk.save_procedure("start", &words, "2e", minute(4)).expect_err("say why");
    assert!(refused.to_string().contains("what the ship added herself"), "{refused}");
    let why = Losing { chief: "", why: "two hands only on watch" };
    assert!(desk.keep_procedure("start", &words, "2e", why, minute(5)).expect("for a reason"));
    let entry = desk.entries(None, 1).expect("entries").remove(0);
    assert!(entry.details["guards taken away"].contains("second person"), "{entry:?}");
    assert!(!entry.details.contains_key("chief"));
    // The list says what is other than the usual, and by whose word.
    let word = Losing { chief: "ce", why: "the gauge corrects itself" };
    let other = with(&words, pull, "do = \"Pull vacuum.\"");
    assert!(desk.keep_procedure("start", &other, "2e", word, minute(6)).expect("by his word"));
    let list = desk.procedure("start", minute(7)).expect("it");
    assert!(list.weaker.is_empty() && list.otherwise[0].contains("is now “Pull vacuum.”"));
    let by = list.by_word.expect("a word");
    assert_eq!(
        (by.0.as_str(), by.1, by.2.as_str()),
        ("ce", minute(6), "the gauge corrects itself")
    );
}
