//! One stock everywhere: what is told together is what can be pumped of the tanks, and water out of reach is no gain.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

mod common;

use common::parse;
use passage::decision::{
    Brief, Draws, Problem, Remedy, Supply, TankOrder, brief, foreseen_t, remedies,
};
use serde_json::json;

const DRAWS: Draws = Draws { count: 200, seed: 5 };

/// A tank that serves and an empty one of which the pump does not reach so much; water may be made for so many quarters.
fn two_tanks(days: usize, quarters: usize, dead_t: f64, reserve_t: f64) -> Problem {
    let n = 96 * days;
    let manned: Vec<u8> = (0..n).map(|k| u8::from((28..76).contains(&(k % 96)))).collect();
    let allowed: Vec<u8> = (0..n).map(|k| u8::from((30..30 + quarters).contains(&k))).collect();
    parse(&json!({
        "samples": {
            "allowed": allowed, "manned": manned, "make_t_day": vec![24.0; n], "reserve_t": vec![reserve_t; n],
            "use_by_class": {"drinking": 0.5, "domestic": 4.0, "technical": 0.5},
        },
        "tanks": [
            {"name": "FW port", "cls": "domestic", "cap_t": 100, "stock_t": 50, "dead_t": 3, "state": "serving"},
            {"name": "FW starboard", "cls": "domestic", "cap_t": 100, "stock_t": 0, "dead_t": dead_t},
        ],
        "end": {"target_t": 60, "price_t": 9},
    }))
}

/// What can be pumped of all tanks in use at a place, by their levels.
fn pumpable_t(problem: &Problem, found: &Brief, k: usize) -> f64 {
    let levels = &found.tank_plan.as_ref().unwrap().levels_t;
    let tanks = problem.tanks.iter().zip(levels);
    tanks.map(|(tank, levels)| (levels[k] - tank.dead_t).max(0.0)).sum()
}

/// The stock that is told is what the tanks have to use at every place.
#[test]
fn ident_the_stock_is_what_can_be_pumped_of_the_tanks() {
    let problem = two_tanks(6, 300, 8.0, 20.0);
    let found = brief(&problem, DRAWS);
    assert!(!found.policy.orders.is_empty());
    for k in 0..=problem.samples.len() {
        let (low, planned, high) =
            foreseen_t(&found.policy, &found.bands, found.tank_plan.as_ref(), k);
        let pumpable = pumpable_t(&problem, &found, k);
        assert!((planned - pumpable).abs() < 1.0e-9, "{planned} {pumpable} at {k}");
        assert!(low <= planned && planned <= high);
    }
}

/// Six hours of making into a tank of which the pump does not reach the first ten tonnes gain nothing: they are not offered. With
/// its pump reaching all they are.
#[test]
fn ident_a_run_that_only_fills_what_no_pump_reaches_is_not_offered() {
    let orders = |dead_t: f64| brief(&two_tanks(6, 30, dead_t, 40.0), DRAWS).policy.orders;
    assert!(!orders(0.0).is_empty());
    assert_eq!(orders(10.0), []);
}

/// What the plan as ordered comes to stands in its row among the remedies as it stands over the page, and what is made, bought
/// and used makes the difference between the first figure and the last.
#[test]
fn ident_the_remedies_are_reckoned_as_the_headline() {
    let mut problem = two_tanks(6, 300, 8.0, 20.0);
    problem.supply =
        vec![Supply { name: "barge".into(), at: 200, price_t: 1.0, fixed: 0.0, max_t: 20.0 }];
    let found = brief(&problem, DRAWS);
    let list = Remedy::usual(&problem);
    let told = remedies(&problem, &found, &list, DRAWS);
    let n = problem.samples.len();
    let headline = foreseen_t(&found.policy, &found.bands, found.tank_plan.as_ref(), n);
    assert_eq!(told[0].stock_t[n], headline);
    for remedied in &told {
        let (low, planned, high) = remedied.stock_t[n];
        assert!(low <= planned && planned <= high, "{}", remedied.what);
    }
}

/// A shortage ends in the order when it ends in the plan: with the sample after the last that is short.
#[test]
fn ident_a_shortage_ends_at_one_time() {
    let found = brief(&two_tanks(12, 0, 3.0, 20.0), DRAWS);
    let plan = found.tank_plan.unwrap();
    let short = plan.short.first().unwrap();
    let until = plan.orders.iter().find_map(|(_, order)| match order {
        TankOrder::Missing { what, until, .. } if *what == short.what => Some(*until),
        _ => None,
    });
    assert_eq!(until, Some(short.to + 1));
}

/// What ran into a tank before the plan is dosed with what runs in by it; where nobody knows how much, the order says so.
#[test]
fn ident_a_tank_that_is_filled_already_is_dosed_for_what_ran_in_before() {
    let told = |undosed: Option<f64>| {
        let mut problem = two_tanks(3, 60, 3.0, 60.0);
        problem.tanks[1].stock_t = 20.0;
        problem.tanks[1].state = passage::decision::TankState::Filling;
        problem.tanks[1].undosed_t = undosed;
        problem.state = passage::decision::State::Making { trim: 0 };
        problem.samples.allowed[..60].fill(true);
        let orders = brief(&problem, DRAWS).tanks;
        let order = orders.into_iter().map(|(_, order)| order);
        let mut doses = order.filter(|order| matches!(order, TankOrder::ShutAndDose { .. }));
        let dose = doses.next().unwrap();
        let TankOrder::ShutAndDose { tonnes, .. } = dose else { unreachable!() };
        (tonnes, dose.words(|k| k.to_string()))
    };
    let ((without, words), (with, counted)) = (told(None), told(Some(5.3)));
    assert!((with - without - 5.3).abs() < 0.2, "{with} {without}");
    assert!(words.contains("what ran in before is not counted"), "{words}");
    assert!(counted.contains("since its last dose"), "{counted}");
}

/// A shortage that no sounding tells leaves nobody without; one that soundings tell does.
#[test]
fn ident_a_shortage_that_no_sounding_tells_just_lasts() {
    let plan = |stock_t: f64| {
        let mut problem = two_tanks(6, 0, 3.0, 0.0);
        problem.tanks[0].stock_t = 3.0 + stock_t;
        problem.stock_t = stock_t;
        brief(&problem, DRAWS).tank_plan.unwrap()
    };
    let (hardly, clearly) = (plan(30.0 - 0.1), plan(30.0 - 2.0));
    assert!(hardly.short.iter().any(|short| short.tonnes > 0.05), "{:?}", hardly.short);
    assert!(!hardly.leaves_dry() && clearly.leaves_dry(), "{:?} {:?}", hardly.short, clearly.short);
}

/// Two tanks that hold alike are not off by the same: each band is that of its own draw.
#[test]
fn ident_each_tank_has_its_own_draw() {
    let mut problem = two_tanks(3, 0, 3.0, 20.0);
    problem.tanks[1].stock_t = 50.0;
    problem.stock_t = 94.0;
    problem.stock_sd_t = 3.0;
    let found = brief(&problem, DRAWS);
    let bands = found.tank_bands.unwrap();
    let wide = |i: usize| bands.p90_t[i][0] - bands.p10_t[i][0];
    let together = found.bands.p90[0] - found.bands.p10[0];
    for i in 0..2 {
        // By half of it together they would have half; apart they have one over the root of two.
        assert!(wide(i) > 0.58 * together && wide(i) < 0.9 * together, "{} {together}", wide(i));
    }
}
