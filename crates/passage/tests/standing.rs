//! Orders that stand: a plan made anew with nothing changed keeps them, and gives them up for its reasons.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

mod common;

use common::{parse, plain};
use passage::decision::{
    Before, Brief, Changed, Draws, Order, Problem, Standing, Stands, State, brief, brief_after,
};
use proptest::prelude::*;
use serde_json::json;

const DRAWS: Draws = Draws { count: 400, seed: 5 };

/// A passage of which `gone` samples have gone by with nothing else changed: what is aboard is what was foreseen.
fn later(problem: &Problem, before: &Brief, gone: usize) -> Problem {
    let mut later = problem.clone();
    let s = &mut later.samples;
    for list in [&mut s.allowed, &mut s.manned, &mut s.run_ok, &mut s.under_way] {
        list.drain(..gone);
    }
    for list in [
        &mut s.carry,
        &mut s.make_t_day,
        &mut s.use_t_day,
        &mut s.use_scatter_t_day,
        &mut s.ceiling_t,
        &mut s.reserve_t,
        &mut s.sea_slope_per_k,
        &mut later.costs.make_t,
        &mut later.costs.boost_h,
    ] {
        list.drain(..gone);
    }
    s.why.clear();
    later.stock_t = before.policy.stock_t[gone];
    later
}

fn again(problem: &Problem, before: &Brief, gone: usize, margin: f64) -> Brief {
    let standing = Some(Standing::of(&before.policy, gone, margin));
    let price = Some(before.together().below_reserve_price);
    brief_after(problem, DRAWS, &Before { price, standing })
}

/// Orders counted from so many samples earlier.
fn counted(orders: &[Order], from: usize) -> Vec<[Option<usize>; 4]> {
    let moved = |order: &Order| <[Option<usize>; 4]>::from(*order).map(|at| at.map(|k| k + from));
    orders.iter().map(moved).collect()
}

fn two_seas(stock_t: f64, make: f64, day_t: f64, reserve_t: f64) -> Problem {
    let n = 96 * 14;
    let mut problem = plain(14);
    let allowed: Vec<u8> = (0..n).map(|k| u8::from(!(600..760).contains(&k))).collect();
    problem["initial"]["stock_t"] = stock_t.into();
    problem["samples"]["allowed"] = json!(allowed);
    problem["samples"]["make_t_day"] = json!(vec![make; n]);
    problem["samples"]["use_t_day"] = json!(vec![day_t; n]);
    problem["samples"]["reserve_t"] = json!(vec![reserve_t; n]);
    problem["costs"] = json!({"carry_t_day": 0.19});
    problem["noise"] = json!({});
    parse(&problem)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// Made anew a quarter of an hour or more later with nothing new heard, the plan has the same orders from then on.
    #[test]
    fn ident_a_plan_made_anew_with_nothing_changed_keeps_its_orders(
        stock in 40.0..120.0, make in 16.0..26.0, day in 5.0..9.0, reserve in 15.0..40.0, gone in 1_usize..9,
    ) {
        let problem = two_seas(stock, make, day, reserve);
        let first = brief(&problem, DRAWS);
        let anew = later(&problem, &first, gone);
        let second = again(&anew, &first, gone, problem.costs.start);
        match second.stands {
            Some(Stands::AsNow | Stands::Kept { .. }) => {
                prop_assert_eq!(counted(&second.policy.orders, gone), counted(&first.policy.orders, 0));
            }
            other => prop_assert!(false, "{:?}", other),
        }
    }
}

/// Where the reserve binds, these had other orders a while later: a ship that began early because she had less was
/// stopped again as soon as she had more than was foreseen, and the reserve seemed not to hold with the orders that stood.
#[test]
fn ident_orders_stand_where_the_reserve_binds() {
    for (stock, make, day, reserve, gone) in [
        (40.286959, 16.439442, 7.347298, 21.231095, 8),
        (75.431283, 18.858576, 8.559572, 21.991964, 5),
        (58.106938, 19.420162, 8.786101, 18.809223, 2),
        (71.007078, 18.644263, 7.654009, 20.498642, 2),
        (74.091198, 18.077275, 8.412537, 33.360634, 8),
    ] {
        let problem = two_seas(stock, make, day, reserve);
        let first = brief(&problem, DRAWS);
        let anew = later(&problem, &first, gone);
        let second = again(&anew, &first, gone, problem.costs.start);
        assert!(!matches!(second.stands, Some(Stands::Changed(_))), "{:?}", second.stands);
        let both = [(&second, gone), (&first, 0)].map(|(b, k)| counted(&b.policy.orders, k));
        assert_eq!(both[0], both[1]);
        // As it is told: not surer than it was counted.
        let told = second.notes.iter().any(|note| note.contains("orders that stand"));
        assert_eq!(told, second.policy.worst_chance > problem.noise.alpha, "{:?}", second.notes);
    }
}

/// Among plans made anew a few of the program's own orders differ from those that stand: it is not for nothing.
#[test]
fn ident_without_standing_orders_the_plan_would_have_moved() {
    let (mut moved, mut kept) = (0, 0);
    for (i, gone) in [(0_u8, 1), (1, 2), (2, 4), (3, 8), (4, 3), (5, 6)] {
        let problem = two_seas(60.0 + 7.3 * f64::from(i), 22.7, 6.3 + 0.2 * f64::from(i), 30.0);
        let first = brief(&problem, DRAWS);
        let anew = later(&problem, &first, gone);
        let own = brief(&anew, DRAWS);
        moved += usize::from(counted(&own.policy.orders, gone) != counted(&first.policy.orders, 0));
        let second = again(&anew, &first, gone, problem.costs.start);
        kept += usize::from(matches!(second.stands, Some(Stands::Kept { .. })));
        if let Some(Stands::Kept { saves, margin }) = second.stands {
            let most = problem.costs.start.max(0.12 * own.policy.simulated_cost);
            assert!(
                saves <= margin && (problem.costs.start..=most).contains(&margin),
                "{saves} {margin}"
            );
            // What is kept is sailed: its bands begin with what is aboard, and its cost is near the other's.
            assert!((second.bands.p50[0] - anew.stock_t).abs() < 1.0e-3);
            let more = second.policy.simulated_cost - own.policy.simulated_cost;
            assert!(more.abs() < margin + 0.05 * own.policy.simulated_cost, "{more}");
        }
    }
    assert!(moved > 0 && kept > 0, "{moved} {kept}");
}

/// Orders are given up where others save more than the margin, where they may not be carried out, and where the plant does
/// something else; then the plan is the one that is made without them.
#[test]
fn ident_orders_are_given_up_for_a_reason() {
    let problem = two_seas(60.0, 22.0, 7.0, 30.0);
    let first = brief(&problem, DRAWS);
    let start = first.policy.orders[0].start.unwrap();
    let first_water = first.policy.orders[0].first_water.unwrap();
    let rich = brief(&two_seas(150.0, 22.0, 7.0, 30.0), DRAWS);
    assert_ne!(rich.policy.orders, first.policy.orders);
    let mut closed = problem.clone();
    closed.samples.allowed[first_water] = false;
    let mut making = problem.clone();
    making.state = State::Making { trim: 0 };
    let cases = [
        (problem.clone(), &rich, "saves"),
        (closed, &first, "not allowed"),
        (making, &first, "not done"),
    ];
    for (problem, old, why) in cases {
        let second = again(&problem, old, 0, 1.0);
        let changed = match second.stands {
            Some(Stands::Changed(changed)) => changed,
            other => panic!("{why}: {other:?}"),
        };
        match changed {
            Changed::Saves { saves, margin } => {
                assert!(why == "saves" && saves > margin && margin >= 1.0, "{why} {saves}")
            }
            Changed::NotAllowed { at } => {
                assert!(why == "not allowed" && (start..=first_water).contains(&at), "{why} {at}");
            }
            Changed::NotDone => assert_eq!(why, "not done"),
            Changed::Short(_) | Changed::Reserve(_) => panic!("{why}: {changed:?}"),
        }
        assert_eq!(second.policy.orders, brief(&problem, DRAWS).policy.orders, "{why}");
    }
    let same = again(&problem, &first, 0, 1.0);
    assert_eq!(same.stands, Some(Stands::AsNow));
}
