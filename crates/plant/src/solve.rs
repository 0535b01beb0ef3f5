//! The steady solution: the quick search, and a bracketed one that cannot fail behind it.

use water::saturation;

use crate::bracket;
use crate::calibrate::Constants;
use crate::ejector;
use crate::error::{FieldError, Infeasible};
use crate::guess::{Guess, guess, pressure_to_condense};
use crate::model::{Hints, Setting, State, evaluate};
use crate::quick::{self, Ended, Start};
use crate::sheet::FeedFrom;
use crate::solution::Effort;

/// A flow below this is no flow, kg/s.
const NO_FLOW_KG_S: f64 = 1.0e-9;

/// Jacket water must be hotter than the sea by more than this, K.
const LEAST_DRIVE_K: f64 = 1.0;

/// Vapour under this part of the rated net output is nothing made.
pub(crate) const NOTHING_MADE: f64 = 0.002;

/// A balance missed by more than this, relative, is not rounding.
const STEPPED_OVER: f64 = 1.0e-6;

/// A shell within this part of the atmosphere has no vacuum.
const NO_VACUUM: f64 = 0.99;

/// Pressures tried before a cap of the vapour is left to the sure search.
const HALVINGS: u32 = 8;

/// Least vapour tried, over rated.
const LEAST_TRIED: f64 = 1.0e-7;

/// Where a search for pressure and vapour starts.
pub(crate) type Warm = Start<2>;

/// A solution of the equations.
#[derive(Clone, Copy)]
pub(crate) struct Found {
    pub(crate) state: State<f64>,
    pub(crate) warm: Warm,
    pub(crate) effort: Effort,
}

/// Finds the one steady state at a setting.
///
/// # Errors
/// Which input makes it impossible, with the numbers.
pub(crate) fn solve(
    k: &Constants<f64>,
    at: &Setting<f64>,
    warm: Option<&Warm>,
) -> Result<Found, Infeasible> {
    refuse_at_sight(k, at)?;
    let mut search = Search { k, at, evaluations: 0 };
    if let Some(found) = warm.and_then(|start| search.quickly(start)) {
        return Ok(found);
    }
    let Guess { start, over_cap } = guess(k, at);
    if over_cap {
        search.refuse_starved()?;
    }
    if let Some(found) = search.quickly(&start) {
        return Ok(found);
    }
    if !over_cap {
        search.refuse_starved()?;
    }
    search.surely()
}

/// Whether a root is a plant at work: something made, under a vacuum, with the shell no higher than the jacket water alone could
/// bring it; past that the gas load is too large.
pub(crate) fn makes_water(k: &Constants<f64>, at: &Setting<f64>, state: &State<f64>) -> bool {
    state.vapour >= NOTHING_MADE * k.sheet.rated_product_t_day * crate::KG_S_PER_T_DAY
        && state.shell_pa < NO_VACUUM * at.atmosphere_pa
        && state.shell_pa <= saturation::pressure_pa(at.jacket_in_c)
}

fn refuse_at_sight(k: &Constants<f64>, at: &Setting<f64>) -> Result<(), Infeasible> {
    if at.jacket_in_c <= at.sea_c + LEAST_DRIVE_K || at.jacket_flow < NO_FLOW_KG_S {
        return Err(no_heat(at, 0.0));
    }
    if k.sheet.feed_from == FeedFrom::Condenser && at.feed > at.condenser_flow {
        return Err(Infeasible::Refused(FieldError::FeedOverCondenser {
            feed_kg_s: at.feed,
            condenser_kg_s: at.condenser_flow,
        }));
    }
    if at.vapour_cap() <= 2.0 * LEAST_TRIED * k.rated_vapour {
        return Err(Infeasible::FeedBelowDistillate { feed_kg_s: at.feed, vapour_kg_s: 0.0 });
    }
    if at.condenser_flow < NO_FLOW_KG_S {
        return Err(no_vacuum_at(k, at, saturation::pressure_pa(at.jacket_in_c)));
    }
    Ok(())
}

fn no_heat(at: &Setting<f64>, vapour_kg_s: f64) -> Infeasible {
    Infeasible::NoHeat {
        jacket_in_c: at.jacket_in_c,
        sea_temp_c: at.sea_c,
        jacket_flow_kg_s: at.jacket_flow,
        vapour_kg_s,
    }
}

/// Even at the pressure of the jacket water's own vapour the condenser cannot keep up: is it the jet, or the gas?
fn no_vacuum_at(k: &Constants<f64>, at: &Setting<f64>, shell_pa: f64) -> Infeasible {
    let ratio = at.lift_ratio(shell_pa);
    let stall_ratio = k.sheet.stall_ratio;
    let no_drive = at.motive_pa <= shell_pa;
    if no_drive || ejector::stall(ratio, stall_ratio) <= 0.0 {
        return Infeasible::Stalled {
            ejector_pressure_bar_g: (at.motive_pa - at.atmosphere_pa) * 1.0e-5,
            back_pressure_bar_g: (at.back_pa - at.atmosphere_pa) * 1.0e-5,
            ratio: if no_drive { stall_ratio.max(1.0) } else { ratio },
            stall_ratio,
        };
    }
    let state = evaluate(k, at, shell_pa, LEAST_TRIED * k.rated_vapour, &cold_hints(at));
    Infeasible::GasLoad {
        gas_mol_s: state.gas_mol_s,
        capacity_m3_s: state.capacity_m3_s,
        condenser_flow_kg_s: at.condenser_flow,
    }
}

fn cold_hints(at: &Setting<f64>) -> Hints {
    Hints { vent_c: 120.0, sea_out_c: at.sea_c, jacket_out_c: at.jacket_in_c }
}

/// How narrow the brackets get, relative.
struct Width {
    pressure: f64,
    vapour: f64,
}

const ROUGHLY: Width = Width { pressure: 2.0e-3, vapour: 1.0e-4 };
const EXACTLY: Width = Width { pressure: 2.0e-16, vapour: 1.0e-15 };

/// The quick search ends where the rough bracket led it when ln of pressure is this near.
const SAME_PLACE: f64 = 0.02;

struct Search<'a> {
    k: &'a Constants<f64>,
    at: &'a Setting<f64>,
    evaluations: u32,
}

impl Search<'_> {
    fn state(&mut self, p: f64, d: f64, hints: &Hints) -> State<f64> {
        self.evaluations += 1;
        evaluate(self.k, self.at, p, d, hints)
    }

    /// The root near a start, where the quick search finds one that is a plant at work.
    fn quickly(&mut self, start: &Warm) -> Option<Found> {
        let ended = self.near(start).or_else(|| {
            start.jacobian?;
            self.near(&Start { jacobian: None, ..*start })
        })?;
        let effort = Effort { evaluations: self.evaluations, bracketed: false };
        makes_water(self.k, self.at, &ended.state).then_some(Found {
            state: ended.state,
            warm: ended.start,
            effort,
        })
    }

    fn near(&mut self, start: &Warm) -> Option<Ended<2>> {
        let at = *self.at;
        let ended = quick::search(self.k, start, |_| at, |_, _, _| {})?;
        self.evaluations += ended.evaluations;
        Some(ended)
    }

    /// Refuses a plant whose heat would boil off more than its feed allows, without working out where it would end.
    ///
    /// With the vapour at its cap the evaporator's balance falls in shell pressure and the condenser's rises. A pressure at which
    /// neither is short therefore lies above the root of the condenser's, and at that root the vapour is at its cap.
    fn refuse_starved(&mut self) -> Result<(), Infeasible> {
        let cap = self.at.vapour_cap();
        let mut hints = cold_hints(self.at);
        let mut low = saturation::pressure_pa(self.at.sea_c).ln();
        let mut high = saturation::pressure_pa(self.at.jacket_in_c).ln();
        let mut ln_p = pressure_to_condense(self.k, self.at, cap).ln();
        for _ in 0..HALVINGS {
            let state = self.state(ln_p.exp(), cap, &hints);
            hints = state.hints();
            let [evaporator, condenser] = state.residuals();
            match (evaporator >= 0.0, condenser >= 0.0) {
                (true, true) => {
                    return Err(Infeasible::FeedBelowDistillate {
                        feed_kg_s: self.at.feed,
                        vapour_kg_s: cap,
                    });
                }
                (true, false) => low = ln_p,
                (false, true) => high = ln_p,
                (false, false) => return Ok(()),
            }
            ln_p = 0.5 * (low + high);
        }
        Ok(())
    }

    /// For given shell pressure the evaporator's energy balance has one root in the vapour made: its residual falls in it.
    fn vapour_at(&mut self, p: f64, width: f64, hints: &mut Hints) -> f64 {
        let low = LEAST_TRIED * self.k.rated_vapour;
        let high = self.at.vapour_cap();
        let at_low = self.state(p, low, hints).residuals()[0];
        if at_low <= 0.0 {
            return low;
        }
        let at_high = self.state(p, high, hints).residuals()[0];
        if at_high >= 0.0 {
            return high;
        }
        let mut seen = *hints;
        let d = bracket::root(
            |d| {
                let state = self.state(p, d, &seen);
                seen = state.hints();
                state.residuals()[0]
            },
            (low, at_low),
            (high, at_high),
            width,
        );
        *hints = seen;
        d
    }

    /// The bracketed search: roughly, for the quick one to end from there; if it does not, to the last bit.
    fn surely(&mut self) -> Result<Found, Infeasible> {
        let mut hints = cold_hints(self.at);
        let (p, d) = self.bracketed(&ROUGHLY, &mut hints)?;
        let start = Warm { x: [p.ln(), d / self.k.rated_vapour], jacobian: None, hints };
        if let Some(ended) = self.near(&start)
            && (ended.start.x[0] - start.x[0]).abs() < SAME_PLACE
        {
            return self.judge(ended.state);
        }
        let mut hints = cold_hints(self.at);
        let (p, d) = self.bracketed(&EXACTLY, &mut hints)?;
        let state = self.polish(self.k.rated_vapour, p, d, &hints);
        self.judge(state)
    }

    /// What the condenser could pass less what it must, rising in shell pressure, is bracketed between the pressures of sea and
    /// jacket water. Gives pressure and vapour at the root.
    fn bracketed(&mut self, to: &Width, hints: &mut Hints) -> Result<(f64, f64), Infeasible> {
        let mut low = saturation::pressure_pa(self.at.sea_c);
        let high = saturation::pressure_pa(self.at.jacket_in_c);
        let mut excess = |search: &mut Self, p: f64| {
            let d = search.vapour_at(p, to.vapour, hints);
            search.state(p, d, hints).residuals()[1]
        };
        let at_high = excess(self, high);
        if at_high <= 0.0 {
            return Err(no_vacuum_at(self.k, self.at, high));
        }
        let mut at_low = excess(self, low);
        if at_low >= 0.0 {
            // a sea at its freezing point: the saturation line ends above it
            low = 10.0;
            at_low = excess(self, low);
        }
        let p = bracket::root(|p| excess(self, p), (low, at_low), (high, at_high), to.pressure);
        Ok((p, self.vapour_at(p, to.vapour, hints)))
    }

    /// Where the condenser's balance is so steep in pressure that the last bit of `p` shows in it, the vapour takes up the rest:
    /// secant steps at one pressure, kept while the worse residual falls.
    fn polish(&mut self, scale: f64, p: f64, d: f64, hints: &Hints) -> State<f64> {
        let worse = |s: &State<f64>| {
            let [e, c] = s.residuals();
            (e / s.evaporator_heat).abs().max((c / s.condenser_heat).abs())
        };
        let mut best = self.state(p, d, hints);
        let mut step = 1.0e-9 * d.min(scale);
        for _ in 0..6 {
            let before = best.residuals()[1];
            if worse(&best) <= 1.0e-11 || before == 0.0 {
                break;
            }
            let beside = self.state(p, best.vapour + step, hints);
            let slope = (beside.residuals()[1] - before) / step;
            step = -before / slope;
            if !step.is_finite() || step == 0.0 || step.abs() > 1.0e-3 * d {
                break;
            }
            let next = self.state(p, best.vapour + step, hints);
            if worse(&next) >= worse(&best) {
                break;
            }
            best = next;
        }
        best
    }

    fn judge(&self, state: State<f64>) -> Result<Found, Infeasible> {
        let d = state.vapour;
        if d >= self.at.vapour_cap() * (1.0 - 1.0e-12) {
            return Err(Infeasible::FeedBelowDistillate {
                feed_kg_s: self.at.feed,
                vapour_kg_s: d,
            });
        }
        // Where the vent takes all that is made, the equations step over nought instead of meeting it: nothing condenses.
        let [e, c] = state.residuals();
        let settled = e.abs() <= STEPPED_OVER * state.evaporator_heat.abs()
            && c.abs() <= STEPPED_OVER * self.k.rated_condenser_heat;
        if !settled || !makes_water(self.k, self.at, &state) {
            return Err(
                if state.blanketed > 0.95 || state.shell_pa >= NO_VACUUM * self.at.atmosphere_pa {
                    Infeasible::NoVacuum {
                        shell_pressure_pa: state.shell_pa,
                        blanketed_fraction: state.blanketed,
                        vapour_kg_s: d,
                    }
                } else {
                    no_heat(self.at, d)
                },
            );
        }
        let warm = Warm {
            x: [state.shell_pa.ln(), d / self.k.rated_vapour],
            jacobian: None,
            hints: state.hints(),
        };
        let effort = Effort { evaluations: self.evaluations, bracketed: true };
        Ok(Found { state, warm, effort })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::plant::{Plant, setting};
    use crate::point::Point;
    use crate::sheet::Sheet;

    fn sure(k: &Constants<f64>, at: &Setting<f64>) -> Result<Found, Infeasible> {
        refuse_at_sight(k, at)?;
        let mut search = Search { k, at, evaluations: 0 };
        let mut hints = cold_hints(at);
        let (p, d) = search.bracketed(&EXACTLY, &mut hints)?;
        let state = search.polish(k.rated_vapour, p, d, &hints);
        search.judge(state)
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

        /// However it is come by, an answer is that of the bracketed search to the last bit, and so is a refusal.
        #[test]
        fn ident_the_quick_ways_end_where_the_sure_one_does(
            sea_temp_c in 2.0..36.0_f64, jacket_in_c in 45.0..95.0_f64, jacket in 0.05..1.2_f64, cool in 0.2..1.2_f64,
            feed in 0.3..6.0_f64, air_leak_kg_h in 0.0..20.0_f64, ejector_pressure_bar_g in 1.5..4.5_f64,
            fouling in 0.0..6.0e-4_f64,
        ) {
            let Ok(plant) = Plant::calibrate(&Sheet::default()) else { unreachable!("it is rated") };
            let point = Point {
                sea_temp_c, jacket_in_c, jacket_flow_kg_s: 16.2 * jacket, condenser_flow_kg_s: 17.5 * cool,
                feed_ratio: Some(feed), air_leak_kg_h, ejector_pressure_bar_g, condenser_fouling_m2k_w: fouling,
                ..Point::default()
            };
            let (k, at) = (&plant.constants, setting(&plant.constants, &point));
            match (solve(k, &at, None), sure(k, &at)) {
                (Ok(quick), Ok(sure)) => {
                    let (a, b) = (&quick.state, &sure.state);
                    prop_assert!((a.shell_pa / b.shell_pa - 1.0).abs() < 1e-10, "{} {}", a.shell_pa, b.shell_pa);
                    prop_assert!((a.vapour / b.vapour - 1.0).abs() < 1e-8, "{} {}", a.vapour, b.vapour);
                }
                (Err(quick), Err(sure)) => {
                    prop_assert_eq!(quick.kind(), sure.kind());
                    for ((name, a), (_, b)) in quick.numbers().into_iter().zip(sure.numbers()) {
                        prop_assert!((a - b).abs() <= 1e-6 * b.abs().max(1e-3), "{} {} {}", name, a, b);
                    }
                }
                (quick, sure) => {
                    let told = |r: Result<Found, Infeasible>| r.map(|f| f.state.vapour);
                    prop_assert!(false, "{:?} {:?}", told(quick), told(sure));
                }
            }
        }
    }
}
