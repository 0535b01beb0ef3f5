//! Which tank is filled, passed to and changed: the class that would run dry first, what drinking takes, no moves for nothing.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

mod common;

use std::ops::Range;

use common::parse;
use passage::decision::{Draws, Problem, TankOrder, TankPlan, Want, answer};
use serde_json::{Value, json};

const DRAWS: Draws = Draws { count: 20, seed: 5 };
const ALWAYS: Range<usize> = 0..96;
const BY_DAY: Range<usize> = 28..76;

/// A tank: name, class, capacity, stock, t, and what it does as the plan begins.
type Told<'a> = (&'a str, &'a str, f64, f64, &'a str);

/// Two main tanks, drinking and distilled, the plant making; hands in these quarters of each day.
fn ship(
    days: usize,
    allowed: impl Fn(usize) -> bool,
    tanks: &[Told],
    hands: Range<usize>,
) -> Value {
    let n = 96 * days;
    let tanks = tanks.iter().map(|(name, cls, cap, stock, state)| {
        json!({"name": name, "cls": cls, "cap_t": cap, "stock_t": stock, "dead_t": 0.0, "state": state})
    });
    json!({
        "samples": {
            "allowed": (0..n).map(|k| u8::from(allowed(k))).collect::<Vec<_>>(),
            "manned": (0..n).map(|k| u8::from(hands.contains(&(k % 96)))).collect::<Vec<_>>(),
            "make_t_day": vec![21.8; n],
            "use_by_class": {"drinking": 0.2, "domestic": 5.0, "technical": 1.75, "wash_down": 0.0},
        },
        "initial": {"state": "making"},
        "costs": {"run_h": 0, "make_t": 0, "carry_t_day": 0},
        "end": {"target_t": 200, "price_t": 90},
        "tanks": tanks.collect::<Vec<_>>(),
    })
}

fn planned(problem: &Value) -> (Problem, TankPlan) {
    let problem = parse(problem);
    let plan = answer(&problem, 0.1, DRAWS).tank_plan.unwrap();
    (problem, plan)
}

fn short_t(plan: &TankPlan, what: Want) -> f64 {
    plan.short.iter().filter(|short| short.what == what).map(|short| short.tonnes).sum()
}

/// The distilled tank is empty and another is open as the plan begins: the distilled one takes its place at once.
#[test]
fn ident_an_empty_distilled_tank_is_filled_before_the_one_that_is_open() {
    let (_, plan) = planned(&ship(
        6,
        |_| true,
        &[
            ("Port", "domestic", 160.0, 60.0, "serving"),
            ("Starboard", "domestic", 160.0, 0.0, "filling"),
            ("Drinking", "drinking", 40.0, 20.0, "ready"),
            ("Distilled", "technical", 30.0, 0.0, "ready"),
        ],
        BY_DAY,
    ));
    let fills =
        |order: &TankOrder| matches!(order, TankOrder::Fill { tank, .. } if tank == "Distilled");
    let filled = plan.orders.iter().find(|(_, order)| fills(order)).map(|(k, _)| *k);
    assert_eq!(filled, Some(0), "{:?}", plan.orders);
    assert!(plan.short.is_empty(), "{:?}", plan.short);
}

/// 28 t are made and then none: what the boiler takes is in its tank before the rest goes to one that lasts anyway.
#[test]
fn ident_of_little_water_the_class_that_would_run_dry_gets_its_share() {
    let (_, plan) = planned(&ship(
        12,
        |k| k < 123,
        &[
            ("Port", "domestic", 160.0, 60.0, "serving"),
            ("Starboard", "domestic", 160.0, 40.0, "filling"),
            ("Drinking", "drinking", 40.0, 20.0, "ready"),
            ("Distilled", "technical", 30.0, 4.0, "ready"),
        ],
        ALWAYS,
    ));
    assert!(plan.taken_in_t < 29.0, "{} t", plan.taken_in_t);
    // 12 days take 21 t of distilled water, 4 are there.
    assert!(plan.short.is_empty(), "{:?}", plan.short);
}

/// A class that lasts until the open tank is full waits for it.
#[test]
fn ident_the_tank_that_is_open_is_filled_where_the_other_class_lasts() {
    let (_, plan) = planned(&ship(
        8,
        |_| true,
        &[
            ("Port", "domestic", 160.0, 100.0, "serving"),
            ("Starboard", "domestic", 100.0, 60.0, "filling"),
            ("Drinking", "drinking", 40.0, 20.0, "ready"),
            ("Distilled", "technical", 30.0, 7.0, "ready"),
        ],
        ALWAYS,
    ));
    let first = plan.orders.iter().find(|(_, order)| matches!(order, TankOrder::Fill { .. }));
    let (at, order) = first.unwrap();
    assert!(*at > 96 && order.to_string().starts_with("Distilled"), "{order} at {at}");
    assert!(plan.short.is_empty() && plan.levels_t[1][*at] > 99.0, "{:?}", plan.orders);
}

fn passed_t(plan: &TankPlan) -> Vec<f64> {
    let passed = plan.orders.iter().filter_map(|(_, order)| match order {
        TankOrder::Pass { tonnes, .. } => Some(*tonnes),
        _ => None,
    });
    passed.collect()
}

/// An empty drinking tank gets ten days' drinking where the taps need the rest, and is filled where they do not.
#[test]
fn ident_a_drinking_tank_is_passed_what_it_needs() {
    let passed = |port_t: f64| {
        let (_, plan) = planned(&ship(
            3,
            |k| k < 8,
            &[
                ("Port", "domestic", 160.0, port_t, "serving"),
                ("Starboard", "domestic", 160.0, 0.0, "ready"),
                ("Drinking", "drinking", 40.0, 0.0, "ready"),
                ("Distilled", "technical", 30.0, 20.0, "ready"),
            ],
            ALWAYS,
        ));
        assert!(short_t(&plan, Want::Drinking) < 1.0e-6, "{:?}", plan.short);
        passed_t(&plan)
    };
    // 0.2 t a day.
    let some = passed(45.0);
    assert!(some.len() == 1 && (some[0] - 2.0).abs() < 1.0e-9, "{some:?}");
    // Nine tenths of 40 t, and three days at 5.2 t stay in Port.
    let full = passed(52.0);
    assert!(full.len() == 1 && (full[0] - 36.0).abs() < 1.0e-9, "{full:?}");
}

/// Of two days' drinking that the ship has, ten are not passed; a small tank is filled to its nine tenths at most.
#[test]
fn ident_a_small_drinking_tank_is_not_passed_more_than_it_holds() {
    let (_, plan) = planned(&ship(
        3,
        |k| k < 8,
        &[
            ("Port", "domestic", 160.0, 14.0, "serving"),
            ("Starboard", "domestic", 160.0, 0.0, "ready"),
            ("Drinking", "drinking", 1.0, 0.1, "ready"),
            ("Distilled", "technical", 30.0, 20.0, "ready"),
        ],
        ALWAYS,
    ));
    let passed = passed_t(&plan);
    assert!(passed.first().is_some_and(|t| (t - 0.8).abs() < 1.0e-9), "{passed:?}");
    assert!(plan.levels_t[2].iter().all(|t| *t <= 0.9 + 1.0e-9));
}

/// At dusk a drinking tank falls under two fifths: it is not filled from a serving tank that has to last the night.
#[test]
fn ident_what_is_passed_to_drink_leaves_the_taps_their_night() {
    let (_, plan) = planned(&ship(
        3,
        |_| true,
        &[
            ("Port", "domestic", 160.0, 10.4, "serving"),
            ("Starboard", "domestic", 160.0, 20.0, "filling"),
            ("Drinking", "drinking", 40.0, 16.13, "ready"),
            ("Distilled", "technical", 30.0, 20.0, "ready"),
        ],
        36..68,
    ));
    assert!(plan.short.is_empty(), "{:?} {:?}", plan.short, plan.orders);
}

/// The distilled tank is full with a quarter of an hour left to be made: nobody opens and doses another for that.
#[test]
fn ident_nothing_is_opened_for_the_last_quarter_of_an_hour() {
    let (_, plan) = planned(&ship(
        2,
        |k| k < 8,
        &[
            ("Port", "domestic", 160.0, 80.0, "serving"),
            ("Starboard", "domestic", 160.0, 80.0, "ready"),
            ("Drinking", "drinking", 40.0, 20.0, "ready"),
            ("Distilled", "technical", 30.0, 28.44, "filling"),
        ],
        ALWAYS,
    ));
    let orders: Vec<String> = plan.orders.iter().map(|(k, o)| format!("{k} {o}")).collect();
    assert_eq!(orders, ["8 Distilled: shut"]);
    assert!(plan.taken_in_t > 1.6 && plan.lost_t < 0.23, "{} t lost", plan.lost_t);
}

/// By the usual choice of tanks a tap would be dry beside a tank that is filled or stands; by another choice none is.
#[test]
fn ident_a_tap_that_would_be_dry_by_the_choice_of_tanks_has_another_chosen() {
    let tanks: [Told; 5] = [
        ("FW 0", "domestic", 63.436, 12.996, "serving"),
        ("FW 1", "domestic", 47.552, 25.592, "filling"),
        ("FW 2", "domestic", 28.458, 18.654, "ready"),
        ("Drinking", "drinking", 11.551, 3.437, "ready"),
        ("Distilled", "technical", 15.361, 1.552, "ready"),
    ];
    let mut problem = ship(6, |k| k % 338 >= 24, &tanks, BY_DAY);
    for (tank, dead_t) in [1.903, 1.427, 0.854, 0.5, 0.5].into_iter().enumerate() {
        problem["tanks"][tank]["dead_t"] = dead_t.into();
    }
    let n = 96 * 6;
    let wash: Vec<f64> = (0..n).map(|k| if (k + 49) % 53 < 14 { 49.658 } else { 0.0 }).collect();
    problem["samples"]["make_t_day"] = vec![17.411; n].into();
    problem["samples"]["use_by_class"] =
        json!({"drinking": 0.4, "domestic": 5.0, "technical": 1.7, "wash_down": wash});
    problem["initial"] = json!({"state": "off"});
    problem["costs"] = json!({});
    problem["end"] = json!({"target_t": 40, "price_t": 60});
    let (_, plan) = planned(&problem);
    assert!(short_t(&plan, Want::Domestic) < 0.05, "{:?}", plan.short);
}
