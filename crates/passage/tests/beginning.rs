//! What is aboard as a plan begins is known no nearer than it was sounded: the bands begin with it and the chances count it.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

mod common;

use common::{parse, plain, worked};
use passage::decision::{
    Before, Brief, Draws, Problem, Standing, Stands, TankState, brief, brief_after, policy,
};
use proptest::prelude::*;
use serde_json::json;

const DRAWS: Draws = Draws { count: 400, seed: 5 };
/// Standard deviations below which one in ten lies (Abramowitz and Stegun, table 26.5).
const ONE_IN_TEN: f64 = 1.281_55;

fn known_within(stock_t: f64, stock_sd_t: f64) -> Problem {
    let mut problem = plain(10);
    problem["initial"]["stock_t"] = stock_t.into();
    problem["initial"]["stock_sd_t"] = stock_sd_t.into();
    parse(&problem)
}

#[test]
fn ident_the_band_begins_as_wide_as_what_is_aboard_is_known() {
    let problem = known_within(60.0, 2.5);
    assert_eq!(problem.stock_sd_t, 2.5);
    let (_, bands) = policy(&problem, DRAWS);
    let [low, middle, high] = [bands.p10[0], bands.p50[0], bands.p90[0]];
    for (at, z) in [(low, -ONE_IN_TEN), (middle, 0.0), (high, ONE_IN_TEN)] {
        assert!((at - 60.0 - z * 2.5).abs() < 0.06, "{low} {middle} {high}");
    }
    // A day on it has not gone: known the nearer, the band is the narrower.
    let (_, sure) = policy(&known_within(60.0, 0.0), DRAWS);
    assert_eq!(
        (sure.p10[0].to_bits(), sure.p90[0].to_bits()),
        (60_f64.to_bits(), 60_f64.to_bits())
    );
    let wide = |bands: &passage::decision::Bands| bands.p90[96] - bands.p10[96];
    assert!(wide(&bands) > wide(&sure) + 1.0, "{} {}", wide(&bands), wide(&sure));
}

/// Never below nought nor above what may be aboard.
#[test]
fn ident_no_passage_begins_below_nought_or_above_full() {
    let (_, full) = policy(&known_within(199.0, 5.0), DRAWS);
    assert!(full.p90[0] <= 200.0 && full.p10[0] < 195.0, "{} {}", full.p10[0], full.p90[0]);
    let (_, empty) = policy(&known_within(1.0, 5.0), DRAWS);
    assert!(empty.p10[0] >= 0.0 && empty.p90[0] > 6.0, "{} {}", empty.p10[0], empty.p90[0]);
}

/// For three days she may make nothing and uses 7 t a day of the 25 t she has over her reserve: nearly nobody falls under it if
/// what is aboard is known, more do if it is not.
#[test]
fn ident_the_chance_counts_what_is_not_known() {
    let chance = |sd: f64| {
        let n = 96 * 10;
        let mut problem = plain(10);
        let allowed: Vec<u8> = (0..n).map(|k| u8::from(k > 290)).collect();
        problem["samples"]["allowed"] = json!(allowed);
        problem["initial"]["stock_sd_t"] = sd.into();
        policy(&parse(&problem), Draws { count: 2000, ..DRAWS }).0.chance[270]
    };
    let (sure, not) = (chance(0.0), chance(3.0));
    assert!(not > sure + 0.02, "{sure} {not}");
}

/// The tanks begin with what is not known too, each within what it holds, and together as wide as all of it.
#[test]
fn ident_the_bands_of_the_tanks_begin_with_it() {
    let mut problem = worked();
    problem.stock_sd_t = 3.0;
    let found = brief(&problem, Draws { count: 200, seed: 5 });
    let bands = found.tank_bands.unwrap();
    let mut wide_t = 0.0;
    for (i, tank) in problem.tanks.iter().enumerate() {
        let (low, high) = (bands.p10_t[i][0], bands.p90_t[i][0]);
        assert!((0.0..=tank.cap_t).contains(&low) && high <= tank.cap_t, "{}", tank.name);
        if tank.state == TankState::SetApart {
            assert_eq!(low.to_bits(), high.to_bits());
        }
        wide_t += (high - low).powi(2);
    }
    let together = found.bands.p90[0] - found.bands.p10[0];
    // Each has its own draw: their variances add up, by sixty passages.
    let wide_t = wide_t.sqrt();
    assert!((wide_t - together).abs() < 0.25 * together && together > 5.0, "{wide_t} {together}");
}

/// Half a tonne over the reserve and known within 3 t: no plan can do anything about that, and it is not what is counted. It
/// is told. One that goes under the reserve before she may make water is not given that time.
#[test]
fn ident_what_was_sounded_is_not_held_against_the_plan() {
    let n = 96 * 10;
    let mut near = plain(10);
    near["initial"] = json!({"stock_t": 35.5, "stock_sd_t": 3.0, "state": "making"});
    near["samples"]["manned"] = json!(vec![1; n]);
    let near = parse(&near);
    let found = brief(&near, DRAWS);
    assert!(found.policy.holds, "{} at {}", found.policy.worst_chance, found.policy.worst_at);
    assert!(found.policy.chance[1] > 0.3, "{}", found.policy.chance[1]);
    assert!(found.notes.iter().any(|note| note.starts_with("She begins 0.5 t over the reserve")));
    let mut late = near.clone();
    late.samples.allowed = (0..n).map(|k| k > 200).collect();
    let found = brief(&late, DRAWS);
    assert!(
        !found.policy.holds && found.policy.worst_chance > 0.9,
        "{}",
        found.policy.worst_chance
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, ..ProptestConfig::default() })]

    /// Made anew a while later with nothing new heard, what is aboard being known a little less near: its orders stand.
    #[test]
    fn ident_orders_stand_where_what_is_aboard_is_not_known_nearer(
        stock in 45.0..120.0, make in 16.0..26.0, day in 5.0..9.0, gone in 1_usize..9, sd in 0.5..3.0,
    ) {
        let n = 96 * 10;
        let problem = |gone: usize, stock_t: f64, stock_sd_t: f64| {
            let mut problem = plain(10);
            problem["initial"]["stock_t"] = stock_t.into();
            problem["initial"]["stock_sd_t"] = stock_sd_t.into();
            let rest = n - gone;
            let allowed: Vec<u8> = (gone..n).map(|k| u8::from(!(500..620).contains(&k))).collect();
            let manned: Vec<u8> = (gone..n).map(|k| u8::from((28..76).contains(&(k % 96)))).collect();
            problem["samples"] = json!({
                "allowed": allowed, "manned": manned, "make_t_day": vec![make; rest], "use_t_day": vec![day; rest],
                "ceiling_t": vec![200.0; rest], "reserve_t": vec![30.0; rest],
            });
            parse(&problem)
        };
        let first = brief(&problem(0, stock, sd), DRAWS);
        let later = problem(gone, first.policy.stock_t[gone], sd + 0.02 * gone as f64);
        let second = again(&later, &first, gone);
        prop_assert!(matches!(second.stands, Some(Stands::AsNow | Stands::Kept { .. })), "{:?}", second.stands);
    }
}

fn again(problem: &Problem, before: &Brief, gone: usize) -> Brief {
    let standing = Some(Standing::of(&before.policy, gone, problem.costs.start));
    let price = Some(before.together().below_reserve_price);
    brief_after(problem, DRAWS, &Before { price, standing })
}
