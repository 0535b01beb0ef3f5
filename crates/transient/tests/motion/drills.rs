//! The built-in drills: what their references come to, and that wrong orders cost what they should.

use transient::{Aim, Drill, Ran, read_actions};

use crate::demonstration;

fn debrief(drill: &Drill, hands: &[transient::Action]) -> transient::Debrief {
    ended(drill, hands, drill.scenario.until_s)
}

/// The same, ended at a moment.
fn ended(drill: &Drill, hands: &[transient::Action], until_s: f64) -> transient::Debrief {
    at(drill, hands, until_s, true)
}

/// The same, over or still under way.
fn at(drill: &Drill, hands: &[transient::Action], until_s: f64, over: bool) -> transient::Debrief {
    let model = demonstration();
    let mut cut = drill.clone();
    cut.scenario.until_s = until_s;
    let live = cut.live(&model, hands).unwrap();
    let against = live.against_order().len();
    let record = live.record();
    let good = drill.reference_run(&model).unwrap();
    let score = record.score.clone().with_against(against, None);
    let (run, rows) = (&record.run, &record.rows);
    let hidden = drill.hidden(&model, (hands, rows), (&[], &[])).unwrap();
    drill.debrief(&good, Ran { run, rows, hands, score, over, hidden: &hidden })
}

fn named(key: &str) -> Drill {
    let drills = Drill::all(&demonstration()).unwrap();
    drills.into_iter().find(|drill| drill.key == key).unwrap()
}

fn hands(text: &str) -> Vec<transient::Action> {
    read_actions(text).unwrap()
}

#[test]
fn ident_there_are_a_dozen_and_each_has_its_story() {
    let all = Drill::all(&demonstration()).unwrap();
    assert!(all.len() >= 12, "{}", all.len());
    let mut keys: Vec<&str> = all.iter().map(|drill| drill.key.as_str()).collect();
    keys.sort_unstable();
    keys.dedup();
    assert_eq!(keys.len(), all.len());
    for drill in &all {
        // Nobody is told beforehand what is wrong.
        assert!(drill.story.len() > 40 && drill.told.len() > 40, "{}", drill.key);
    }
}

#[test]
fn ident_every_reference_run_does_what_its_drill_is_about() {
    let mut short = Vec::new();
    let model = demonstration();
    let cooler = Drill::all_beside(&model, 82.0).unwrap();
    for drill in Drill::all(&model).unwrap().into_iter().chain(cooler) {
        let done = debrief(&drill, &drill.reference);
        println!(
            "{}: {:.0} points, {:?} {:.1}, tank {:.0} kg at {:.2}",
            drill.key,
            done.points,
            drill.aim,
            done.aim.value,
            done.score.to_tank_kg,
            done.score.tank_salt_mg_kg
        );
        for mark in done.score.marks.iter().filter(|mark| mark.lost > 0.0) {
            println!("    {} {:.2} {}: -{:.1}", mark.what, mark.value, mark.unit, mark.lost);
        }
        if done.aim.lost > 1e-9 || done.points < 95.0 {
            short.push(drill.key);
        }
    }
    assert!(short.is_empty(), "{short:?} do not show how it is done");
}

/// Heat that came off a little later leaves the body a little warmer, and costs a little.
#[test]
fn ident_heat_nearly_off_is_nearly_done() {
    let model = demonstration();
    let drills = Drill::all(&model).unwrap();
    let drill = drills.iter().find(|drill| drill.key == "blackout").unwrap();
    let later = |by_s: f64| {
        let mut hands = drill.reference.clone();
        hands.iter_mut().for_each(|hand| hand.time_s += by_s);
        debrief(drill, &hands).aim
    };
    let lost = [0.0, 40.0, 100.0, 1200.0].map(|by_s| later(by_s).lost);
    assert!(lost[0] == 0.0 && lost[1] < 10.0 && lost[2] < 40.0, "{lost:?}");
    assert!(lost.windows(2).all(|pair| pair[0] <= pair[1]), "{lost:?}");
}

/// Jacket water is treated: what was sent to the tank beside a leaking heater counts, and idle hands send most.
#[test]
fn ident_water_made_beside_a_leaking_heater_costs() {
    let drills = Drill::all(&demonstration()).unwrap();
    let drill = drills.iter().find(|drill| drill.key == "heater").unwrap();
    let treated = |hands: &[transient::Action]| {
        let score = debrief(drill, hands).score;
        score.marks.iter().find(|mark| mark.what.contains("good hands had shut")).unwrap().clone()
    };
    assert_eq!(treated(&drill.reference).lost, 0.0);
    let idle = treated(&[]);
    assert!(idle.lost >= 25.0 && idle.value > 900.0, "{idle:?}");
}

/// A run that is under way is held against what good hands had come to by then.
#[test]
fn ident_a_run_under_way_is_not_held_against_a_finished_one() {
    let model = demonstration();
    let drills = Drill::all(&model).unwrap();
    for key in ["tropics", "arrival"] {
        let drill = drills.iter().find(|drill| drill.key == key).unwrap();
        let [going, ended] = [false, true].map(|over| at(drill, &drill.reference, 60.0, over));
        assert!(going.points > 99.0 && !going.early, "{key}: {going:?}");
        // Ended by hand before it could come to anything it is not judged to the end, and nobody has won anything.
        assert!(ended.early && ended.undone.is_empty(), "{key}: {ended:?}");
    }
}

/// What is called a move against the order is none of what good hands do, in any drill.
#[test]
fn ident_good_hands_do_nothing_against_the_order() {
    let model = demonstration();
    for drill in Drill::all(&model).unwrap() {
        let against = drill.live(&model, &drill.reference).unwrap().against_order().to_vec();
        assert!(against.is_empty(), "{}: {against:?}", drill.key);
    }
}

/// Trade's five rules of order (common practice) broken one after another: each is named, at its moment.
#[test]
fn ident_what_goes_against_the_order_is_named_at_its_moment() {
    let model = demonstration();
    let drills = Drill::all(&model).unwrap();
    let said = |key: &str, hands: &str| {
        let drill = drills.iter().find(|drill| drill.key == key).unwrap();
        let hands = read_actions(hands).unwrap();
        let against = drill.live(&model, &hands).unwrap().against_order().to_vec();
        against.iter().map(|e| format!("{:.0} {}", e.time_s, e.says)).collect::<Vec<_>>()
    };
    let cold = said(
        "tropics",
        r#"[{"t": 10, "do": {"valve": "jacket outlet", "percent": 100}},
            {"t": 30, "do": {"valve": "feed", "percent": 0}},
            {"t": 60, "do": {"valve": "jacket inlet", "percent": 100}},
            {"t": 90, "do": {"pump": "ejector", "run": true}},
            {"t": 120, "do": {"pump": "distillate", "run": true}}]"#,
    );
    for wanted in [
        "60 heat before vacuum",
        "60 heat before cooling water",
        "60 heat before feed",
        "60 heater inlet opened from 0 to 100 %",
        "90 ejector pump started against a shut overboard",
        "120 distillate pump started with no water",
    ] {
        assert!(cold.iter().any(|says| says.starts_with(wanted)), "{wanted}: {cold:?}");
    }
    let hot = said(
        "arrival",
        r#"[{"t": 10, "do": {"set": "diverting valve", "to": "forced"}},
            {"t": 20, "do": {"valve": "feed", "percent": 0}},
            {"t": 30, "do": {"pump": "cooling", "run": false}},
            {"t": 40, "do": {"valve": "overboard", "percent": 0}},
            {"t": 50, "do": {"valve": "vacuum breaker", "percent": 100}},
            {"t": 60, "do": {"pump": "ejector", "run": false}}]"#,
    );
    assert_eq!(hot.len(), 6, "{hot:?}");
    // Shutting the heat goes against nothing, at any moment and however fast.
    let off = r#"[{"t": 10, "do": {"valve": "jacket by-pass", "percent": 100, "over": 0}},
                  {"t": 11, "do": {"valve": "jacket inlet", "percent": 0, "over": 0}}]"#;
    assert!(said("arrival", off).is_empty());
}

/// Off, cooled and shut down before the pilot: done early it is done, half done it is not, and not begun least of all.
#[test]
fn ident_a_shutdown_counts_when_it_is_done_and_only_when_it_is_whole() {
    let drills = Drill::all(&demonstration()).unwrap();
    let drill = drills.iter().find(|drill| drill.key == "arrival").unwrap();
    let whole = ended(drill, &drill.reference, 4800.0);
    for early_s in [2700.0, 3300.0] {
        let early = ended(drill, &drill.reference, early_s);
        assert!((early.points - whole.points).abs() < 1.0, "{early_s}: {early:?}");
        assert!(early.undone.is_empty(), "{:?}", early.undone);
    }
    let heat: Vec<_> = drill.reference.iter().filter(|a| a.time_s < 1100.0).copied().collect();
    let half = ended(drill, &heat, 4800.0);
    assert_eq!(half.aim.lost, 0.0, "the heat was off in time");
    let left = ["feed to 0 %", "overboard to 0 %", "ejector pump stopped"];
    assert!(left.iter().all(|what| half.undone.iter().any(|left| left == what)), "{half:?}");
    assert!(half.points + 20.0 < whole.points, "{half:?}");
    let idle = debrief(drill, &[]);
    assert!(idle.points < 20.0 && idle.points < half.points, "{idle:?}");
    assert!(ended(drill, &[], 1.0).early);
    // Begun after the time told: the heat is off at the end, and was not when it had to be.
    let mut late = drill.reference.clone();
    late.iter_mut().for_each(|action| action.time_s += 2900.0);
    assert!(ended(drill, &late, 4800.0).aim.lost > 0.0);
}

/// What harms costs, whatever the tank says: each beside the run of good hands.
#[test]
fn ident_steam_with_nowhere_to_go_is_named_and_counted() {
    let drills = Drill::all(&demonstration()).unwrap();
    let drill = drills.iter().find(|drill| drill.key == "tropics").unwrap();
    let mark = |hands: &str, what: &str| {
        let mut all = drill.reference.clone();
        all.extend(read_actions(hands).unwrap());
        all.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
        let debrief = debrief(drill, &all);
        debrief.score.marks.into_iter().find(|mark| mark.what == what).unwrap()
    };
    let stop = r#"[{"t": 4000, "do": {"pump": "cooling", "run": false}}]"#;
    let uncooled = mark(stop, "heat on without cooling water");
    assert!(uncooled.value > 30.0 && uncooled.lost >= 20.0, "{uncooled:?}");
    assert!(uncooled.at_s.is_some_and(|at_s| (4000.0..4060.0).contains(&at_s)), "{uncooled:?}");
    // Heat before the vacuum, everything shut: what is in the shell can only press.
    let first = r#"[{"t": 60, "do": {"valve": "jacket outlet", "percent": 100}}, {"t": 90, "do": {"valve": "jacket inlet", "percent": 100}}]"#;
    let heated = debrief(drill, &read_actions(first).unwrap());
    let over = heated.score.marks.iter().find(|mark| mark.what == "shell over the atmosphere");
    assert!(over.is_some_and(|over| over.value > 0.1 && over.lost > 5.0), "{over:?}");
    let shut = r#"[{"t": 4000, "do": {"valve": "overboard", "percent": 0}}]"#;
    let shut = mark(shut, "ejector pump against a shut overboard");
    assert!(shut.value > 30.0 && shut.lost >= 15.0, "{shut:?}");
    assert!(mark("[]", "shell over the atmosphere").lost == 0.0);
}

/// What a leaking tube lets into the well is nobody's doing; brine that is driven over the weir besides is.
#[test]
fn ident_a_leaking_tube_costs_no_points_and_brine_over_the_weir_does() {
    let drills = Drill::all(&demonstration()).unwrap();
    let drill = drills.iter().find(|drill| drill.key == "tubes").unwrap();
    let brine = |hands: &[transient::Action]| {
        let marks = debrief(drill, hands).score.marks;
        let mark = marks.iter().find(|mark| mark.what == "brine in the distillate well").unwrap();
        (mark.value, mark.lost)
    };
    let good = brine(&drill.reference);
    assert!(good.0 > 10.0 && good.1 == 0.0, "{good:?}");
    // The ejector pump stops while the feed runs on: what is fed is not drawn off.
    let stop = r#"[{"t": 3000, "do": {"pump": "ejector", "run": false}}, {"t": 3001, "do": {"valve": "condenser cooling", "percent": 100}}]"#;
    let mut flooded = drill.reference.clone();
    flooded.extend(transient::read_actions(stop).unwrap());
    let flooded = brine(&flooded);
    assert!(flooded.0 > good.0 + 5.0 && flooded.1 > 10.0, "{flooded:?}");
}

#[test]
fn ident_hands_in_the_pockets_win_nothing_where_something_is_to_be_done() {
    for drill in Drill::all(&demonstration()).unwrap() {
        let idle = debrief(&drill, &[]);
        let done = debrief(&drill, &drill.reference);
        assert!(
            idle.points + 5.0 < done.points,
            "{}: idle {:.1}, done {:.1}",
            drill.key,
            idle.points,
            done.points
        );
        if drill.aim == Aim::Off {
            assert!(idle.aim.lost > 0.0, "{}: the heat went off by itself", drill.key);
        }
    }
}

#[test]
fn ident_heat_slammed_on_costs_more_than_heat_in_steps() {
    let all = Drill::all(&demonstration()).unwrap();
    let tropics = all.iter().find(|drill| drill.key == "tropics").unwrap();
    let good = debrief(tropics, &tropics.reference);
    let slam = r#"[{"t": 1080, "do": {"valve": "jacket inlet", "percent": 100, "over": 5}},
                   {"t": 1090, "do": {"valve": "jacket by-pass", "percent": 0, "over": 5}}]"#;
    let kept = tropics.reference.iter().filter(|action| {
        let says = action.what.says();
        !says.starts_with("jacket inlet") && !says.starts_with("jacket by-pass")
    });
    let mut hands: Vec<_> = kept.copied().collect();
    hands.extend(read_actions(slam).unwrap());
    let slammed = debrief(tropics, &hands);
    assert!(
        slammed.points + 10.0 < good.points,
        "slammed {:.1}, good {:.1}",
        slammed.points,
        good.points
    );
}

/// A dark ship whose heater is shut and whose by-pass is left shut: the engine goes beyond what the blackout did to it, and what was not
/// done is named; the heat is off when the heater is shut, not when the pumps stopped.
#[test]
fn ident_a_blackout_counts_what_hands_left_undone() {
    let drills = Drill::all(&demonstration()).unwrap();
    let drill = drills.iter().find(|drill| drill.key == "blackout").unwrap();
    let shut =
        read_actions(r#"[{"t": 660, "do": {"valve": "jacket inlet", "percent": 0}}]"#).unwrap();
    let left = debrief(drill, &shut);
    for what in ["jacket by-pass to 100 %", "tank filling to 0 %", "overboard to 0 %"] {
        assert!(left.undone.iter().any(|undone| undone == what), "{what}: {:?}", left.undone);
    }
    assert!((left.aim.value - 1.0).abs() < 0.1, "{:?}", left.aim);
    let over = |debrief: &transient::Debrief| {
        let mut marks = debrief.score.marks.iter();
        marks.find(|mark| mark.what == "engine jacket over its set point").unwrap().clone()
    };
    assert!(over(&left).lost > 10.0, "{:?}", over(&left));
    let good = debrief(drill, &drill.reference);
    assert!(good.undone.is_empty() && over(&good).lost == 0.0, "{good:?}");
    assert!(left.points + 20.0 < good.points, "{} of {}", left.points, good.points);
}

fn mark(debrief: &transient::Debrief, what: &str) -> transient::Mark {
    debrief.score.marks.iter().find(|mark| mark.what == what).unwrap().clone()
}

const PAST: &str = "water to the tank past an unproven alarm";

/// An alarm is silenced by the limit or by force: the exercise fails, unless the hand meter was in limit first.
#[test]
fn ident_water_past_an_alarm_that_nobody_proved_fails_the_exercise() {
    let drill = named("cell");
    let silenced = [
        r#"[{"t": 700, "do": {"set": "salinity limit", "to": 100}}]"#,
        r#"[{"t": 700, "do": {"set": "diverting valve", "to": "forced"}}]"#,
        // The instrument put out with the valve forced is no proof.
        r#"[{"t": 700, "do": {"set": "salinometer", "to": "off"}}, {"t": 720, "do": {"set": "diverting valve", "to": "forced"}}]"#,
        // A sample taken before the alarm says nothing of the water since.
        r#"[{"t": 300, "do": {"sample": "hand meter"}}, {"t": 700, "do": {"set": "diverting valve", "to": "forced"}}]"#,
    ];
    for text in silenced {
        let failed = debrief(&drill, &hands(text));
        let past = mark(&failed, PAST);
        assert!(past.value > 500.0 && past.at_s.is_some_and(|at_s| at_s < 760.0), "{past:?}");
        assert!(failed.points <= 20.0, "{text}: {failed:?}");
        assert!(past.why.contains("two instruments must agree"));
    }
    let proved = debrief(
        &drill,
        &hands(
            r#"[{"t": 650, "do": {"sample": "hand meter"}}, {"t": 700, "do": {"set": "salinity limit", "to": 100}},
                {"t": 1200, "do": {"sample": "hand meter"}}, {"t": 1750, "do": {"sample": "hand meter"}}, {"t": 2300, "do": {"sample": "hand meter"}},
                {"t": 2850, "do": {"sample": "hand meter"}}, {"t": 3400, "do": {"sample": "hand meter"}}]"#,
        ),
    );
    assert_eq!(mark(&proved, PAST).value, 0.0, "{proved:?}");
    // What one sample says holds ten minutes, and no watch.
    let once = debrief(
        &drill,
        &hands(
            r#"[{"t": 650, "do": {"sample": "hand meter"}}, {"t": 700, "do": {"set": "diverting valve", "to": "forced"}}]"#,
        ),
    );
    let past = mark(&once, PAST);
    assert!(past.at_s.is_some_and(|at_s| (1250.0..1320.0).contains(&at_s)), "{past:?}");
    assert!(once.points <= 20.0, "{once:?}");
    let idle = debrief(&drill, &[]);
    assert_eq!(mark(&idle, PAST).value, 0.0);
    assert!(idle.points < 70.0 && idle.points > 30.0, "{idle:?}");
    let done = debrief(&drill, &drill.reference);
    assert!(done.points > 99.0, "{done:?}");
    // A sample alone is worth more than idle hands, and less than naming what it was.
    let tried = debrief(&drill, &hands(r#"[{"t": 660, "do": {"sample": "hand meter"}}]"#));
    assert!(idle.points + 10.0 < tried.points && tried.points + 10.0 < done.points, "{tried:?}");
}

/// The rule is no one drill's: a limit raised over the ship's by whoever starts her salts the tank all the same.
#[test]
fn ident_the_rule_of_two_instruments_holds_in_every_scenario() {
    let drill = named("tropics");
    let mut all = drill.reference.clone();
    all.extend(hands(
        r#"[{"t": 1750, "do": {"valve": "tank filling", "percent": 100}}, {"t": 1760, "do": {"set": "salinity limit", "to": 100}},
            {"t": 1770, "do": {"set": "diverting valve", "to": "forced"}}]"#,
    ));
    all.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
    let failed = debrief(&drill, &all);
    assert!(mark(&failed, PAST).lost >= 80.0 && failed.points <= 20.0, "{failed:?}");
    let salt = mark(&failed, "salt of the water to the tank");
    assert!(salt.value <= 10.0 || salt.lost > 0.0, "the raised limit excuses nothing: {salt:?}");
}

/// First and in time is worth all, late or after another half, not at all nothing; what is taken back does not stand.
#[test]
fn ident_what_was_the_matter_is_asked_and_counted() {
    let drill = named("air");
    let lost = |answers: &str| {
        let mut all = drill.reference.clone();
        all.retain(|action| !matches!(action.what, transient::Do::Answer { .. }));
        all.extend(hands(answers));
        all.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
        let debrief = debrief(&drill, &all);
        let verdict = debrief.matter[0].clone();
        assert!(verdict.shown_s.is_some_and(|at_s| at_s < 1200.0), "{verdict:?}");
        (mark(&debrief, "what was the matter").lost, verdict.says)
    };
    assert_eq!(lost(r#"[{"t": 1320, "do": {"answer": "air leak"}}]"#).0, 0.0);
    let (late, says) = lost(r#"[{"t": 6000, "do": {"answer": "air leak"}}]"#);
    assert!(late == 10.0 && says.contains("late"), "{late} {says}");
    let second = lost(
        r#"[{"t": 900, "do": {"answer": "not known"}}, {"t": 1000, "do": {"answer": "nozzle"}}, {"t": 1320, "do": {"answer": "air leak"}}]"#,
    );
    assert_eq!(second.0, 10.0, "{second:?}");
    let open =
        r#"[{"t": 900, "do": {"answer": "not known"}}, {"t": 1320, "do": {"answer": "air leak"}}]"#;
    assert_eq!(lost(open).0, 0.0, "not to know first is no wrong answer");
    let back = lost(
        r#"[{"t": 1000, "do": {"answer": "air leak"}}, {"t": 5000, "do": {"answer": "nozzle"}}]"#,
    );
    assert_eq!(back, (20.0, "named, and taken back"));
    assert_eq!(lost("[]"), (20.0, "not named"));
}

/// Every drill with something hidden has hands that name it in time; what the story tells is not asked.
#[test]
fn ident_good_hands_name_what_is_hidden() {
    let all = Drill::all(&demonstration()).unwrap();
    assert!(all.iter().filter(|drill| !drill.matter.is_empty()).count() >= 6);
    for drill in all.iter().filter(|drill| !drill.matter.is_empty()) {
        let done = debrief(drill, &drill.reference);
        assert_eq!(done.matter.len(), drill.matter.len(), "{}", drill.key);
        for verdict in &done.matter {
            assert!(verdict.lost == 0.0 && verdict.shown_s.is_some(), "{}: {verdict:?}", drill.key);
        }
        let slept: Vec<_> = drill
            .reference
            .iter()
            .filter(|action| !matches!(action.what, transient::Do::Answer { .. }))
            .copied()
            .collect();
        assert!(debrief(drill, &slept).points <= 80.5, "{}: slept through", drill.key);
    }
}

/// Heat opened too early in steps is one move, told once; opened again after it was shut is another.
#[test]
fn ident_one_opening_in_steps_is_one_move() {
    let drill = named("tropics");
    let steps = hands(
        r#"[{"t": 10, "do": {"valve": "jacket outlet", "percent": 100}}, {"t": 20, "do": {"valve": "feed", "percent": 0}},
            {"t": 60, "do": {"valve": "jacket inlet", "percent": 10}}, {"t": 120, "do": {"valve": "jacket inlet", "percent": 20}},
            {"t": 180, "do": {"valve": "jacket inlet", "percent": 30}}, {"t": 240, "do": {"valve": "jacket inlet", "percent": 0}},
            {"t": 300, "do": {"valve": "jacket inlet", "percent": 10}}]"#,
    );
    let live = drill.live(&demonstration(), &steps).unwrap();
    let feed = live.against_order().iter().filter(|e| e.says.starts_with("heat before feed"));
    assert_eq!(feed.map(|e| e.time_s).collect::<Vec<_>>(), [60.0, 300.0]);
    let drain = hands(r#"[{"t": 100, "do": {"valve": "shell drain", "percent": 100}}]"#);
    let opened = named("cell").live(&demonstration(), &drain).unwrap();
    assert!(opened.against_order()[0].says.starts_with("shell drain opened at 90 % vacuum"));
}

/// Ended before its time and before anything was settled: only what had come is judged, and nothing that good hands had as well.
#[test]
fn ident_a_run_ended_early_is_judged_by_what_had_come() {
    let cell = ended(&named("cell"), &[], 700.0);
    assert!(cell.early && cell.aim.lost == 0.0 && cell.points > 95.0, "{cell:?}");
    let dark = named("blackout");
    let late = ended(&dark, &[], 1500.0);
    assert!(
        late.early && late.aim.lost > 30.0 && late.undone.is_empty(),
        "what had come counts: {late:?}"
    );
    // Done before its time is done.
    let whole = ended(&named("heater"), &named("heater").reference, 3600.0);
    assert!(!whole.early && whole.points > 95.0, "{whole:?}");
}

/// Why there was little water is said where something stood in its way.
#[test]
fn ident_what_cost_the_water_is_named() {
    let drill = named("tropics");
    let without = |name: &str| {
        let keeps = |says: String| !says.starts_with(name) || says.ends_with(" 0 %");
        let mut all = drill.reference.clone();
        all.retain(|action| keeps(action.what.says()));
        debrief(&drill, &all).aim
    };
    let (unfed, unvented) = (without("feed to"), without("jacket vent to"));
    assert!(unfed.lost > 50.0 && unfed.why.contains("feed comes before heat"), "{unfed:?}");
    assert!(unvented.why.contains("it was never vented"), "{unvented:?}");
}

/// What a person would be refused at the handles is refused to a list of actions, and told.
#[test]
fn ident_a_list_of_actions_is_refused_what_a_person_is() {
    let drill = named("blackout");
    let wants = hands(
        r#"[{"t": 900, "do": {"set": "power", "to": "on"}}, {"t": 910, "do": {"pump": "cooling", "run": true}}]"#,
    );
    let record = drill.run(&demonstration(), &wants).unwrap();
    let refused = record.events.iter().filter(|e| e.says.contains("no power on that board until"));
    assert_eq!(refused.count(), 2, "{:?}", record.events);
    let stands = record.run.stands();
    assert!(stands.pump("cooling") == Some(false) && stands.pump("jacket") == Some(true));
}
