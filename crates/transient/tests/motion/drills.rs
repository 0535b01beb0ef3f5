//! The built-in drills: what their references come to, and that wrong orders cost what they should.

use transient::{Aim, Drill, read_actions};

use crate::demonstration;

/// Highest salinity that counts as in limit where a drill sets none, mg/kg.
const LIMIT_MG_KG: f64 = 10.0;

fn debrief(drill: &Drill, hands: &[transient::Action]) -> transient::Debrief {
    let model = demonstration();
    let record = drill.run(&model, hands).unwrap();
    let body = record.run.row().heater_body_c;
    let good = drill.reference_run(&model).unwrap();
    drill.debrief(&good, record.score, record.run.time_s(), body, LIMIT_MG_KG)
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
    for drill in Drill::all(&demonstration()).unwrap() {
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
        let nothing_to_do =
            drill.reference.is_empty() || drill.key == "cell" || drill.key == "tubes";
        assert!(
            nothing_to_do || idle.points + 5.0 < done.points,
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
