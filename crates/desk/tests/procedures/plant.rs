//! What lists say of the plant, and the record of a list.

use desk::procedures::{Outcome, What};
use desk::round::{Cell, DISTILLATE_T_M3, Round, across, made_t_day};
use desk::switched::Switch;
use jiff::Timestamp;

use crate::{aboard, act, minute, tick, whole_round};

#[test]
fn ident_the_record_is_asked_before_a_start_of_a_plant_that_makes_water() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let round = |at: i64, running: bool| {
        let mut readings = vec![
            ("engine_load_percent", "72"),
            ("engine_jacket_out_c", "83"),
            ("barometer_hpa", "1012"),
            ("sea_temp_c", "26"),
        ];
        if running {
            readings.extend([("jacket_in_c", "82"), ("vapour_temp_c", "46")]);
        }
        let entry = |(key, text): (&str, &str)| {
            desk::written::written(&desk.setup().ship, key, text, "", quantity::Style::Either)
                .expect("a figure")
                .value
        };
        let values = readings.into_iter().map(entry).collect();
        let draft = logbook::Draft::reading(minute(at), logbook::Author::hand("3e"), values);
        desk.write(draft, minute(at)).expect("written");
    };
    round(-120, true);
    let remark = |key: &str, at: i64| desk.procedure(key, minute(at)).expect("a list").remark;
    let told = remark("start", 0).expect("a question");
    assert_eq!(told, "She is making water by the round of 02:00: is it a start?");
    assert_eq!((remark("stop", 0), remark("round", 0)), (None, None));
    // It is a question only.
    let run = desk.begin_run("start", "2e", None, minute(0)).expect("nothing holds");
    assert_eq!(desk.run_view(run, minute(1)).expect("it").remark.as_deref(), Some(told.as_str()));
    act(&desk, (run, "", 2), &[], What::GiveUp { reason: "she runs" }).expect("given up");
    let stop = desk.begin_run("stop", "2e", None, minute(3)).expect("begun");
    tick(&desk, (stop, "heat-off", 9), &[]);
    assert_eq!(remark("start", 60), None, "the stop says more than the round before it");
    round(120, false);
    act(&desk, (stop, "", 121), &[], What::GiveUp { reason: "stopped" }).expect("given up");
    assert_eq!(
        remark("stop", 122).as_deref(),
        Some("She stands by the round of 06:00: is it a stop?")
    );
}

#[test]
fn ident_what_is_read_at_steps_pushes_no_round_out_of_sight_and_the_counter_counts_there_too() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    whole_round(&desk, -480, 1000.0);
    whole_round(&desk, -240, 1004.0);
    let run = desk.begin_run("change-tank", "2e", None, minute(0)).expect("begun");
    for at in 1..40 {
        let salt = [("product_salt_mg_kg", "3")];
        act(&desk, (run, "open-new", at), &salt, What::Read).expect("read");
    }
    let now = desk.now(minute(40)).expect("now");
    let round = now.round.expect("the last round stands");
    assert_eq!(round.at, minute(-240));
    assert!(matches!(now.verdict, desk::now::Verdict::Running { .. }), "{:?}", now.verdict);
    // 4 m³ since the round, four hours and forty-one minutes ago.
    let made = |now: desk::now::NowView| match now.verdict {
        desk::now::Verdict::Running { made, .. } => made,
        other => panic!("{other:?}"),
    };
    let before = made(desk.now(minute(40)).expect("now"));
    act(&desk, (run, "shut-old", 41), &[("distillate_meter_m3", "1008")], What::Read)
        .expect("read");
    let after = made(desk.now(minute(42)).expect("now"));
    assert!((before - 4.0 * 0.992 * 6.0).abs() < 1e-6, "{before}");
    assert!((after - 4.0 * 0.992 * 24.0 * 60.0 / 281.0).abs() < 1e-6, "{after}");
    // "=" is the last of the record, however much was read since.
    act(&desk, (run, "shut-old", 43), &[("distillate_meter_m3", "=")], What::Read).expect("read");
    let rounds = desk.rounds(minute(43), 1).expect("rounds");
    assert_eq!(rounds[0].value("distillate_meter_m3"), Some(1008.0));
}

#[test]
fn ident_now_says_that_the_plant_was_stopped_by_the_list_and_that_a_start_is_under_way() {
    use desk::now::Verdict;
    use desk::procedures::ByList;
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    whole_round(&desk, -480, 1000.0);
    whole_round(&desk, -240, 1004.0);
    assert!(matches!(desk.now(minute(0)).expect("now").verdict, Verdict::Running { .. }));
    let stop = desk.begin_run("stop", "2e", None, minute(0)).expect("begun");
    assert!(desk.now(minute(1)).expect("now").by_list.is_none(), "begun is not done");
    tick(&desk, (stop, "heat-off", 15), &[("engine_jacket_out_c", "83")]);
    let now = desk.now(minute(20)).expect("now");
    assert_eq!(now.verdict, Verdict::ShutDown { since: Some(minute(15)) });
    assert!(now.rows.is_empty() && now.heat_should_kw.is_none(), "nothing is expected of it");
    let stopped = ByList::Stopped { at: minute(15), name: "Stop the plant".into() };
    assert_eq!(now.by_list, Some(stopped));
    act(&desk, (stop, "", 21), &[], What::GiveUp { reason: "bridge wants water" }).expect("up");
    let start = desk.begin_run("start", "2e", None, minute(22)).expect("begun");
    let anyway =
        What::Override { who: "chief", chief: "ce", reason: "steady by the log", looked: true };
    act(&desk, (start, "permission", 25), &[], anyway).expect("by the chief's word");
    let now = desk.now(minute(41)).expect("now");
    let Some(ByList::Starting { since, run, done, steps, .. }) = now.by_list else {
        panic!("{:?}", now.by_list)
    };
    assert_eq!((since, run, done, steps), (minute(22), start, 1, 16));
    // A round of a running plant says more than any list before it.
    whole_round(&desk, 240, 1006.0);
    let now = desk.now(minute(241)).expect("now");
    assert!(now.by_list.is_none() && !matches!(now.verdict, Verdict::ShutDown { .. }));
}

#[test]
fn ident_no_output_is_told_by_a_counter_read_across_a_start_of_the_list() {
    use desk::now::Verdict;
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    whole_round(&desk, -480, 1000.0);
    whole_round(&desk, -240, 1004.0);
    let stop = desk.begin_run("stop", "2e", None, minute(-200)).expect("begun");
    tick(&desk, (stop, "heat-off", -190), &[("engine_jacket_out_c", "83")]);
    act(&desk, (stop, "", -180), &[], What::GiveUp { reason: "bridge wants water" }).expect("up");
    let start = desk.begin_run("start", "2e", None, minute(-100)).expect("begun");
    let over = What::Override { who: "chief", chief: "ce", reason: "trial", looked: true };
    for (at, step) in ["permission", "line-up", "overboard", "cooling", "ejector-pump", "vacuum"]
        .into_iter()
        .chain(["feed", "guards-on", "crack-heat"])
        .enumerate()
    {
        let at = -95 + 5 * i64::try_from(at).expect("few");
        let ticked = act(&desk, (start, step, at), &[], What::Tick { looked: true });
        if !matches!(ticked, Ok(Outcome::Written { .. })) {
            act(&desk, (start, step, at), &[], over).expect(step);
        }
    }
    // Heat came on at minute -55; the round at minute 0 has 1.2 t more on the counter than the one before the stop.
    whole_round(&desk, 0, 1005.2);
    let now = desk.now(minute(1)).expect("now");
    let Verdict::Across { counted, .. } = now.verdict else { panic!("{:?}", now.verdict) };
    assert_eq!((counted.since, counted.switch), (minute(-240), Some((minute(-55), true))));
    assert!((counted.made_t.expect("counted") - 1.2 * 0.992).abs() < 1e-9);
    assert!(now.asks.iter().all(|ask| !ask.contains("Output is")), "{:?}", now.asks);
    let made = desk.trend("product_t_day", minute(-600), minute(1)).expect("a trend");
    assert_eq!(made.spots.last().and_then(|spot| spot.read), None);
    // The round after it tells.
    whole_round(&desk, 240, 1009.2);
    assert!(matches!(desk.now(minute(241)).expect("now").verdict, Verdict::Running { .. }));
    // The tick of the heat taken back, the start was none.
    act(&desk, (start, "crack-heat", 242), &[], What::TakeBack { reason: "wrong list" }).expect("");
    assert!(desk.switches(minute(250)).expect("them").iter().all(|(_, on)| !on));
}

#[test]
fn ident_a_counter_read_across_a_start_tells_no_rate_and_what_ran_since() {
    let round = |at_s: i64, m3: f64| {
        let cell = |value: f64| Cell {
            value: Some(value),
            text: value.to_string(),
            unit: String::new(),
            why: None,
            not_taken: false,
            struck: None,
            seq: 1,
        };
        let cells = [("distillate_meter_m3", m3), ("jacket_in_c", 83.0)];
        let cells = cells.map(|(key, value)| (key.to_owned(), cell(value))).into();
        Round { at: Timestamp::from_second(at_s).expect("time"), actors: Vec::new(), cells }
    };
    let (a, b, c) = (round(0, 1000.0), round(4 * 3600, 1004.0), round(8 * 3600, 1006.0));
    let at = |s: i64| Timestamp::from_second(s).expect("time");
    let rate = |switches: &[Switch]| {
        made_t_day(&[a.clone(), b.clone()], &c.figures(), c.at, 25.0, switches)
    };
    assert!(rate(&[]).is_some());
    // Started two hours ago, stopped before: the pair straddles both.
    let straddled = [(at(6 * 3600), true), (at(5 * 3600), false)];
    assert_eq!(rate(&straddled), None);
    let rounds = [a.clone(), b.clone(), c.clone()];
    let found = across(&rounds, at(9 * 3600), 25.0, &straddled).expect("across");
    assert_eq!((found.since, found.switch), (b.at, Some(straddled[0])));
    assert!((found.made_t.expect("counted") - 2.0 * DISTILLATE_T_M3).abs() < 1e-9);
    // Read twice within minutes behind it, the reading before it is still the one that is told.
    let soon = round(8 * 3600 + 300, 1006.1);
    let again = [a.clone(), b.clone(), c.clone(), soon];
    let found = across(&again, at(9 * 3600), 25.0, &straddled).expect("across");
    assert_eq!((found.since, found.switch), (b.at, Some(straddled[0])));
    // Before both readings it says nothing of them; behind the last, nothing can be told by them any more.
    let before = [(at(3600), true)];
    assert!(rate(&before).is_some() && across(&rounds, c.at, 25.0, &before).is_none());
    let behind = [(at(8 * 3600 + 60), true)];
    let found = across(&rounds, at(9 * 3600), 25.0, &behind).expect("behind the last");
    assert_eq!((found.since, found.made_t), (c.at, None));
}
