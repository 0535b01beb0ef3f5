//! The steady solution: the quick search, and a bracketed one that cannot fail behind it.

use water::saturation;

use crate::bracket;
use crate::calibrate::Constants;
use crate::ejector;
use crate::error::{FieldError, Infeasible};
use crate::model::{Hints, Setting, State, evaluate};
use crate::quick::{self, Start};
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
    let start = warm.copied().unwrap_or_else(|| guess(k, at));
    let quick = |start: &Warm| quick::search(k, start, |_| *at, |_, _, _| {});
    let found = quick(&start)
        .or_else(|| start.jacobian.and_then(|_| quick(&Start { jacobian: None, ..start })));
    if let Some(ended) = found
        && makes_water(k, at, &ended.state)
    {
        let effort = Effort { evaluations: ended.evaluations, bracketed: false };
        return Ok(Found { state: ended.state, warm: ended.start, effort });
    }
    Search { k, at, evaluations: 0 }.bracketed()
}

/// Whether a root is a plant at work: something made, under a vacuum.
pub(crate) fn makes_water(k: &Constants<f64>, at: &Setting<f64>, state: &State<f64>) -> bool {
    state.vapour >= NOTHING_MADE * k.sheet.rated_product_t_day * crate::KG_S_PER_T_DAY
        && state.shell_pa < NO_VACUUM * at.atmosphere_pa
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

/// A start near the answer: rated heat transfer, one latent heat, everything else linear.
fn guess(k: &Constants<f64>, at: &Setting<f64>) -> Warm {
    const LATENT_J_KG: f64 = 2.38e6;
    const FRESH_CP: f64 = 4190.0;
    const SEA_CP: f64 = 3990.0;
    let sheet = &k.sheet;
    let jacket_c = at.jacket_flow * FRESH_CP;
    let sea_c = at.condenser_flow * SEA_CP;
    let clean_e = k.evaporator_u.recip();
    let film_e = |m: f64, m0: f64| (m / m0).powf(-0.8);
    let u_e = (clean_e
        + at.scale
        + (film_e(at.jacket_flow, sheet.rated_jacket_flow_kg_s) - 1.0) / k.rated_jacket_film)
        .recip();
    let u_c = (k.condenser_u.recip()
        + at.fouling
        + (film_e(at.condenser_flow, sheet.rated_condenser_flow_kg_s) - 1.0) / k.rated_sea_film)
        .recip();
    let gas = at.gas_mol_s(k.rated_shell_pa);
    let blanket = (k.rated_blanketed * gas / k.rated_gas_mol_s).clamp(0.0, 0.8);
    let e_e = -(-u_e * sheet.evaporator_area_m2 / jacket_c).exp_m1();
    let e_c = -(-u_c * sheet.condenser_area_m2 * (1.0 - blanket) / sea_c).exp_m1();

    // e_e C_j (T_j1 − T_v − 1) = Q_c (1 − m_f/m_c) + m_f c (T_v + 1 − T_s), Q_c = e_c C_c (T_v − 0.3 − T_s)
    let feed_c = at.feed * SEA_CP;
    let preheat = (1.0 - at.feed / at.condenser_flow).clamp(0.0, 1.0);
    let warm_up = e_c * sea_c * preheat;
    let top = e_e * jacket_c * (at.jacket_in_c - 1.0)
        + warm_up * (at.sea_c + 0.3)
        + feed_c * (at.sea_c - 1.0);
    let vapour_c = (top / (e_e * jacket_c + warm_up + feed_c))
        .clamp(at.sea_c + 0.2 * (at.jacket_in_c - at.sea_c).min(5.0), at.jacket_in_c);
    let cap = at.vapour_cap();
    let made = (e_c * sea_c * (vapour_c - 0.3 - at.sea_c).max(0.1) / LATENT_J_KG)
        .clamp(0.02 * k.rated_vapour.min(cap), 0.9 * cap);
    let share = gas / (gas + made / water::M_WATER_KG_MOL);
    let shell_pa = saturation::pressure_pa(vapour_c) / (1.0 - share.min(0.9));
    Warm {
        x: [shell_pa.max(1.0).ln(), made / k.rated_vapour],
        jacobian: None,
        hints: Hints {
            vent_c: vapour_c - 3.0,
            sea_out_c: at.sea_c + made * LATENT_J_KG / sea_c,
            jacket_out_c: at.jacket_in_c - made * LATENT_J_KG / jacket_c,
        },
    }
}

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

    /// For given shell pressure the evaporator's energy balance has one root in the vapour made: its residual falls in it.
    fn vapour_at(&mut self, p: f64, hints: &mut Hints) -> f64 {
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
            1.0e-15,
        );
        *hints = seen;
        d
    }

    /// What the condenser could pass less what it must, rising in shell pressure, is bracketed between the pressures of sea and
    /// jacket water.
    fn bracketed(&mut self) -> Result<Found, Infeasible> {
        let mut hints = cold_hints(self.at);
        let mut low = saturation::pressure_pa(self.at.sea_c);
        let high = saturation::pressure_pa(self.at.jacket_in_c);
        let mut excess = |search: &mut Self, p: f64| {
            let d = search.vapour_at(p, &mut hints);
            search.state(p, d, &hints).residuals()[1]
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
        let p = bracket::root(|p| excess(self, p), (low, at_low), (high, at_high), 2.0e-16);
        let d = self.vapour_at(p, &mut hints);
        let state = self.polish(self.k.rated_vapour, p, d, &hints);
        self.judge(state)
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
