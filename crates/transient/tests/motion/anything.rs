//! Whatever is done, in whatever order: time goes on, and water, salt, heat and air balance.

use proptest::prelude::*;
use transient::{Action, Begin, Do, FAULTS, PUMPS, Run, SETS, SWITCHES, VALVES};

use crate::demonstration;

fn doing() -> impl Strategy<Value = Do> {
    let over = prop_oneof![Just(None), (0.0..120.0_f64).prop_map(Some)];
    prop_oneof![
        4 => (0..VALVES.len(), prop_oneof![Just(0.0), Just(100.0), 0.0..100.0_f64], over)
            .prop_map(|(place, percent, over_s)| Do::Valve { place, percent, over_s }),
        3 => (0..PUMPS.len(), any::<bool>()).prop_map(|(place, run)| Do::Pump { place, run }),
        1 => (0..SETS.len(), 0.0..1.0_f64, 0.0..300.0_f64).prop_map(|(place, part, over_s)| {
            let of = &SETS[place];
            Do::Set { place, value: of.low + part * (of.high - of.low), over_s }
        }),
        2 => (0..SWITCHES.len(), 0..2_usize).prop_map(|(place, word)| Do::Switch { place, word }),
        2 => (0..FAULTS.len(), 0.0..1.0_f64).prop_map(|(place, part)| {
            let of = &FAULTS[place];
            // most troubles are small beside their range
            Do::Fault { place, amount: of.low + part.powi(4) * (of.high - of.low), over_s: 0.0 }
        }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn ident_any_list_of_actions_can_be_run_and_balances(
        running in any::<bool>(),
        list in prop::collection::vec((0.0..3000.0_f64, doing()), 1..14),
    ) {
        let model = demonstration();
        let mut run = Run::new(model, if running { Begin::Running } else { Begin::Cold });
        let actions: Vec<Action> = list.into_iter().map(|(time_s, what)| Action { time_s, what }).collect();
        run.plan(&actions);
        run.advance(3600.0).map_err(|e| TestCaseError::fail(e.to_string()))?;
        prop_assert!(run.state().iter().all(|x| x.is_finite()));
        prop_assert!(run.row().values().all(f64::is_finite));
        let ledgers = run.ledgers();
        prop_assert!(ledgers.worst() < 1.0e-10, "{ledgers:?}");
    }
}
