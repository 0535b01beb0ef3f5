//! The demonstration ship, opened in a folder of its own: told, read, signed, corrected, kept.

#![allow(clippy::expect_used, reason = "a test's helpers may fail it")]

use desk::correct::Correction;
use desk::entry::TypedRound;
use desk::now::Verdict;
use desk::{Desk, DeskError, demo};
use jiff::Timestamp;

fn now() -> Timestamp {
    "2025-11-16T04:20:00Z".parse().expect("a moment")
}

fn typed(pairs: &[(&str, &str)]) -> TypedRound {
    TypedRound {
        actor: "3e".into(),
        values: pairs
            .iter()
            .map(|(k, v)| ((*k).to_owned(), ((*v).to_owned(), String::new())))
            .collect(),
        ..TypedRound::default()
    }
}

#[test]
fn ident_the_demonstration_answers_the_question_of_now() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = demo::open(folder.path(), now(), 1789).expect("opened");
    let view = desk.now(now()).expect("now");
    let Verdict::Running { made, should } = view.verdict else { panic!("{:?}", view.verdict) };
    // The condenser has been fouling for weeks: less than it should, but no disaster.
    assert!(made < should.middle && made > 0.7 * should.middle, "{made} {should:?}");
    assert_eq!((view.strips.len(), view.tanks.len()), (3, 4));
    assert!(view.rows.len() >= 8, "{:?}", view.rows);
    assert!(
        view.heat_taken_kw.is_some_and(|kw| kw > 300.0 && kw < 1000.0),
        "{:?}",
        view.heat_taken_kw
    );
    assert!(desk.verify().expect("walk").is_whole());
    // Again: the same record, not told twice.
    let (count, head) = desk.head().expect("head");
    drop(desk);
    let again = demo::open(folder.path(), now(), 1789).expect("opened again");
    assert_eq!(again.head().expect("head"), (count, head));
}

#[test]
fn ident_a_round_is_checked_signed_once_and_corrected() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = demo::open(folder.path(), now(), 1789).expect("opened");
    let mut round = typed(&[
        ("jacket_in_c", "83,0"),
        ("jacket_out_c", "73.7"),
        ("sea_temp_c", "29.4"),
        ("vapour_temp_c", "45"),
    ]);
    round.token = "one".into();
    let at = "2025-11-16T04:10:00Z".parse().expect("a moment");
    let checked = desk.check_round(&round, at).expect("checked");
    assert!(checked.is_sound(), "{:?}", checked.overall);
    assert!(checked.expectation.is_some());
    let first = desk.sign_round(&round, at, now()).expect("signed");
    let second = desk.sign_round(&round, at, now()).expect("signed");
    assert_eq!(first.seq, second.seq);
    assert!(second.repeated && !first.repeated);
    let to = Correction {
        seq: first.seq,
        key: "vapour_temp_c",
        text: "45.5",
        unit: "degC",
        reason: "misread",
        actor: "3e",
        stands: false,
    };
    desk.correct(to, now()).expect("corrected");
    let rounds = desk.rounds(now(), 3).expect("rounds");
    let cell = &rounds.last().expect("round").cells["vapour_temp_c"];
    assert_eq!(cell.value, Some(45.5));
    assert_eq!(cell.struck.as_ref().and_then(|s| s.0), Some(45.0));
    assert!(desk.correct(Correction { reason: " ", ..to }, now()).is_err());
    // What would not have been taken at first without a word is not taken now either.
    let slipped = Correction { text: "88", ..to };
    assert!(matches!(desk.correct(slipped, now()), Err(DeskError::Doubtful(_))));
    desk.correct(Correction { stands: true, ..slipped }, now()).expect("stands by a word");
}

/// A round left out because the plant is shut down says so on Now, and the next one is due at the next watch.
#[test]
fn ident_a_plant_written_shut_down_is_shut_down() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = demo::open(folder.path(), now(), 1789).expect("opened");
    assert!(matches!(desk.now(now()).expect("now").verdict, Verdict::Running { .. }));
    let round = TypedRound {
        actor: "3e".into(),
        whole_not_taken: "plant shut down".into(),
        ..TypedRound::default()
    };
    desk.sign_round(&round, now(), now()).expect("signed");
    let view = desk.now(now()).expect("now");
    assert_eq!(view.verdict, Verdict::ShutDown { since: Some(now()) });
    // 14:20 by her clocks: too early to stand for the 16:00 round; a sounding by itself never does.
    let due: Timestamp = "2025-11-16T06:00:00Z".parse().expect("a moment");
    assert_eq!(view.due, due);
    let later: Timestamp = "2025-11-16T05:50:00Z".parse().expect("a moment");
    let sounding = typed(&[("sounding_cm.port", "200")]);
    desk.sign_round(&sounding, later, later).expect("signed");
    assert_eq!(desk.due(later).expect("due"), Some(due));
}

#[test]
fn ident_the_impossible_is_not_signed_and_the_doubtful_waits_for_a_word() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = demo::open(folder.path(), now(), 1789).expect("opened");
    let before = desk.head().expect("head").0;
    let impossible = typed(&[("sea_temp_c", "290")]);
    assert!(desk.sign_round(&impossible, now(), now()).is_err());
    let mut doubtful =
        typed(&[("jacket_in_c", "74"), ("jacket_out_c", "83"), ("sea_temp_c", "29.4")]);
    assert!(desk.sign_round(&doubtful, now(), now()).is_err());
    assert_eq!(desk.head().expect("head").0, before);
    for key in ["jacket_in_c", "jacket_out_c"] {
        doubtful.kept.insert(key.into(), "plant just started".into());
    }
    let signed = desk.sign_round(&doubtful, now(), now()).expect("signed with a word");
    assert_eq!(signed.seq, before + 1);
    let mut ahead = typed(&[("sea_temp_c", "29")]);
    ahead.actor = "3e".into();
    assert!(
        desk.sign_round(&ahead, "2025-11-17T00:00:00Z".parse().expect("moment"), now()).is_err()
    );
    let none = TypedRound {
        actor: "3e".into(),
        whole_not_taken: "weather".into(),
        ..TypedRound::default()
    };
    assert!(desk.sign_round(&none, now(), now()).is_ok());
}

#[test]
fn ident_the_ship_file_is_saved_whole_or_not_at_all() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = demo::open(folder.path(), now(), 1789).expect("opened");
    let text = desk.setup().text.clone();
    assert!(desk.save_ship(&text.replace("crew = 22", "crew = many"), "ce", now()).is_err());
    assert_eq!(desk.setup().text, text);
    assert_eq!(std::fs::read_to_string(folder.path().join(desk::SHIP_FILE)).expect("file"), text);
    desk.save_ship(&text.replace("crew = 22", "crew = 21"), "ce", now()).expect("saved");
    assert!((desk.setup().ship.crew - 21.0).abs() < 1e-9);
    assert!(desk.save_ship(&text.replace("node = \"A1\"", "node = \"B2\""), "ce", now()).is_err());
    let newest = &desk.entries(None, 1).expect("entries")[0];
    assert_eq!(newest.kind, logbook::Kind::Setting);
}

#[test]
fn ident_what_is_written_out_comes_back_the_same() {
    use desk::import::Asked;
    let folder = tempfile::tempdir().expect("folder");
    let desk = demo::open(folder.path(), now(), 1789).expect("opened");
    let mut first = Vec::new();
    let reader = |folder: &std::path::Path| {
        logbook::Reader::open(&folder.join(desk::RECORD_FILE)).expect("reader")
    };
    let written = desk::export::csv(&reader(folder.path()), &mut first).expect("export");
    assert!(written > 4000, "{written}");
    let asked = Asked { name: "all.csv".into(), actor: "ce".into(), ..Asked::default() };
    // Into the record it came from: nothing new.
    let again = desk.import(&first, &asked, now()).expect("import");
    assert_eq!((again.new, again.plan.problems.len()), (0, 0), "{:?}", again.plan.problems.first());
    // Into an empty one with the same ship: the same values.
    let other = tempfile::tempdir().expect("folder");
    std::fs::write(other.path().join(desk::SHIP_FILE), &desk.setup().text).expect("ship file");
    let empty = Desk::open(other.path(), now()).expect("empty");
    let taken = empty.import(&first, &asked, now()).expect("import");
    assert_eq!(
        (taken.new as u64, taken.plan.problems.len()),
        (written, 0),
        "{:?}",
        taken.plan.problems.first()
    );
    let repeated = empty.import(&first, &asked, now()).expect("import");
    assert_eq!((repeated.new, repeated.entry), (0, None));
    let values = |bytes: &[u8]| -> Vec<Vec<String>> {
        let mut rows: Vec<Vec<String>> = csv::Reader::from_reader(bytes)
            .records()
            .map(|r| [0, 2, 3, 4, 5, 6, 7].map(|i| r.as_ref().expect("row")[i].to_owned()).to_vec())
            .collect();
        rows.sort();
        rows
    };
    let mut second = Vec::new();
    desk::export::csv(&reader(other.path()), &mut second).expect("export");
    assert_eq!(values(&first), values(&second));
    let mut lines = Vec::new();
    let count = desk::export::lines(&reader(folder.path()), &mut lines).expect("lines");
    assert_eq!(String::from_utf8(lines).expect("utf8").lines().count() as u64, count);
}

#[test]
fn ident_a_bad_row_never_stops_the_good_ones() {
    use desk::import::Asked;
    let folder = tempfile::tempdir().expect("folder");
    let desk = demo::open(folder.path(), now(), 1789).expect("opened");
    let file = "Date;Time;Jacket water in (°C);vacuum [%];Sea water in;Nonsense\n\
                01.10.2025;04:00;83,5;90,5;27,0;1\n\
                01.10.2025;08:00;hot;90,5;27,5;1\n\
                never;08:00;83,5;90,5;27,0;1\n\
                01.10.2025;12:00;835;90,0;28,0;1\n";
    let asked = Asked { name: "old.csv".into(), actor: "ce".into(), ..Asked::default() };
    let dry = desk.import_plan(file.as_bytes(), &asked, now()).expect("plan");
    assert_eq!(dry.new, 7);
    assert_eq!(dry.plan.problems.len(), 3, "{:?}", dry.plan.problems);
    assert!(dry.plan.problems.iter().all(|p| p.line >= 3 && !p.message.is_empty()));
    let done = desk.import(file.as_bytes(), &asked, now()).expect("import");
    assert_eq!(done.new, 7);
    assert_eq!(desk.import(file.as_bytes(), &asked, now()).expect("again").new, 0);
    for bad in [&b""[..], b"\x00\x01\x02", b"just words\n", b"time,foo\n2025-10-01T00:00:00Z,3\n"] {
        assert!(desk.import_plan(bad, &asked, now()).is_err());
    }
}

#[test]
fn ident_a_round_of_a_running_plant_after_a_shut_down_says_it_runs() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = demo::open(folder.path(), now(), 1789).expect("opened");
    let shut = logbook::Draft::new(logbook::Kind::Event, logbook::Author::hand("3e"))
        .at("2025-11-16T03:00:00Z".parse().expect("moment"))
        .detail("plant", "shut down");
    desk.write(shut, now()).expect("written");
    assert!(matches!(desk.now(now()).expect("now").verdict, Verdict::ShutDown { since: Some(_) }));
    let mut round =
        typed(&[("jacket_in_c", "83"), ("sea_temp_c", "29"), ("distillate_meter_m3", "47990")]);
    round.kept.insert("distillate_meter_m3".into(), "meter was changed".into());
    desk.sign_round(&round, "2025-11-16T04:10:00Z".parse().expect("moment"), now())
        .expect("signed");
    assert!(!matches!(desk.now(now()).expect("now").verdict, Verdict::ShutDown { .. }));
}
