//! Solved backwards: what one lever would have to be for a wanted output, or the best it can do and why.

use crate::bracket;
use crate::error::{FieldError, Infeasible};
use crate::keys::{self, Part};
use crate::neighbours::Neighbours;
use crate::plant::Plant;
use crate::point::Point;
use crate::solution::{LimitKind, Solution};
use crate::value::Value;

/// What may be changed to make more or less water. The engine's set point is not among them and never will be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Lever {
    /// Jacket by-pass: water through the heater, kg/s.
    JacketFlow,
    /// Condenser throttle: sea water through the condenser, kg/s.
    CondenserFlow,
    /// Feed, over rated net output.
    Feed,
    /// Scale taken off the evaporator, m²K/W left.
    Scale,
    /// Condenser cleaned, m²K/W left.
    Fouling,
    /// Air leaks stopped, kg/h left.
    AirLeak,
    /// Ejector pressure, bar gauge.
    EjectorPressure,
    /// Main engine load, percent: more or less jacket heat.
    EngineLoad,
}

impl Lever {
    /// All levers, those at hand first.
    pub const ALL: [Lever; 8] = [
        Lever::JacketFlow,
        Lever::CondenserFlow,
        Lever::EjectorPressure,
        Lever::Feed,
        Lever::AirLeak,
        Lever::Fouling,
        Lever::Scale,
        Lever::EngineLoad,
    ];

    /// The key of the operating point it moves.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Lever::JacketFlow => "jacket_flow_kg_s",
            Lever::CondenserFlow => "condenser_flow_kg_s",
            Lever::Feed => "feed_ratio",
            Lever::Scale => "scale_m2k_w",
            Lever::Fouling => "condenser_fouling_m2k_w",
            Lever::AirLeak => "air_leak_kg_h",
            Lever::EjectorPressure => "ejector_pressure_bar_g",
            Lever::EngineLoad => "engine_load",
        }
    }

    /// What is done, as an engineer says it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Lever::JacketFlow => "jacket by-pass",
            Lever::CondenserFlow => "condenser throttle",
            Lever::Feed => "feed",
            Lever::Scale => "clean the evaporator",
            Lever::Fouling => "clean the condenser",
            Lever::AirLeak => "stop air leaks",
            Lever::EjectorPressure => "ejector pressure",
            Lever::EngineLoad => "engine load",
        }
    }
}

/// What a lever can do for a wanted output.
#[derive(Debug, Clone, PartialEq)]
pub enum Reach {
    /// It gets there.
    At {
        /// The lever's value, in the unit of its key.
        value: f64,
        /// The plant then.
        solution: Box<Solution>,
    },
    /// It does not; this is the nearest it comes.
    Best {
        /// The lever's value then.
        value: f64,
        /// The plant then.
        solution: Box<Solution>,
        /// The limit that holds there, if one does; else the lever has simply come to its end.
        held_by: Option<LimitKind>,
    },
}

/// How finely a lever's range is looked over before the root is bracketed.
const LOOKS: u32 = 24;

impl Plant {
    /// What one lever would have to be for the wanted output, t/day, everything else at `point` as it is.
    ///
    /// `point` is rated as it asks (trimmed, engine limit). Of several answers the one nearest to where the lever stands is given.
    ///
    /// # Errors
    /// The wanted output or the point cannot be taken, or the plant makes nothing anywhere in the lever's range.
    pub fn solve_for(
        &self,
        point: &Point,
        wanted_t_day: f64,
        lever: Lever,
    ) -> Result<Reach, Infeasible> {
        if let Some(key) = keys::find(Part::Result, "product_t_day")
            && !(wanted_t_day.is_finite() && wanted_t_day > 0.0)
        {
            return Err(FieldError::OutOfRange { key, value: wanted_t_day }.into());
        }
        let base = self.rate(point)?;
        let stands = self.stands(point, lever);
        let (low, high) = self.range(point, lever, stands);
        let mut at = point.clone();
        if lever == Lever::Feed {
            // A flow would go before the ratio that is moved here.
            at.feed_flow_kg_s = None;
        }
        let mut rated = |value: f64, neighbours: &mut Neighbours| {
            at.set(lever.key(), &Value::Number(value))?;
            at.check()?;
            let solution = self.rate_from(&at, neighbours);
            if solution.is_err() {
                *neighbours = Neighbours::default();
            }
            solution
        };
        let over = |rated: &Result<Solution, Infeasible>| {
            rated.as_ref().map_or(-1.0, |s| s.product_t_day / wanted_t_day - 1.0)
        };
        let start = stands.clamp(low, high);
        let mut best = Seen { value: stands, over: f64::INFINITY, solution: base };
        let mut begun = Neighbours::default();
        begun.go_to(start);
        let there = rated(start, &mut begun);
        let mut sides = [(start, over(&there), begun.clone()), (start, over(&there), begun)];
        best.take(start, over(&there), there);
        for Step { side, value, .. } in outward(low, high, start) {
            let (before, over_before, neighbours) = &mut sides[side];
            neighbours.go_to(value);
            let there = rated(value, neighbours);
            let over_there = over(&there);
            if (over_there > 0.0) != (*over_before > 0.0) {
                let mut near = neighbours.clone();
                near.go_anywhere();
                let ends = ((*before, *over_before), (value, over_there));
                let root = |value: f64| over(&rated(value, &mut near));
                let value = bracket::root(root, ends.0, ends.1, 1.0e-12);
                if let Ok(solution) = rated(value, &mut near)
                    && (solution.product_t_day / wanted_t_day - 1.0).abs() < 1.0e-6
                {
                    return Ok(Reach::At { value, solution: Box::new(solution) });
                }
            }
            (*before, *over_before) = (value, over_there);
            best.take(value, over_there, there);
        }
        let Seen { value, solution, .. } = best;
        let held_by = solution.limits.iter().find(|limit| limit.acts).map(|limit| limit.kind);
        Ok(Reach::Best { value, solution: Box::new(solution), held_by })
    }

    /// Where the lever stands at a point.
    fn stands(&self, point: &Point, lever: Lever) -> f64 {
        match (point.get(lever.key()), lever) {
            (Ok(Value::Number(x)), _) => x,
            (_, Lever::Feed) => {
                point.feed_flow_kg_s.map_or(self.sheet().rated_feed_ratio, |flow| {
                    flow / (self.sheet().rated_product_t_day * crate::KG_S_PER_T_DAY)
                })
            }
            // No load given: the engine at full sea speed.
            _ => 85.0,
        }
    }

    /// Between what the lever can be moved aboard.
    fn range(&self, point: &Point, lever: Lever, stands: f64) -> (f64, f64) {
        let sheet = self.sheet();
        match lever {
            Lever::JacketFlow => {
                (0.02 * sheet.rated_jacket_flow_kg_s, sheet.rated_jacket_flow_kg_s.max(stands))
            }
            Lever::CondenserFlow => {
                let feed = point.feed_flow_kg_s.unwrap_or_else(|| {
                    point.feed_ratio.unwrap_or(sheet.rated_feed_ratio)
                        * sheet.rated_product_t_day
                        * crate::KG_S_PER_T_DAY
                });
                (1.25 * feed, sheet.rated_condenser_flow_kg_s.max(stands).max(1.26 * feed))
            }
            Lever::Feed => (1.2, 6.0_f64.max(stands)),
            // What is laid down can be taken off, not more.
            Lever::Scale | Lever::Fouling | Lever::AirLeak => (0.0, stands.max(1.0e-9)),
            Lever::EjectorPressure => {
                let rated = sheet.rated_ejector_pressure_bar_g;
                ((0.5 * rated).min(stands), (1.1 * rated).max(stands))
            }
            Lever::EngineLoad => {
                let rows = &sheet.jacket_heat_table;
                (rows.first().map_or(25.0, |r| r[0]), rows.last().map_or(100.0, |r| r[0]))
            }
        }
    }
}

/// The nearest to the wanted output seen so far.
struct Seen {
    value: f64,
    over: f64,
    solution: Solution,
}

impl Seen {
    /// Takes another that is nearer by more than rounding: along a flat limit the lever is moved least.
    fn take(&mut self, value: f64, over: f64, solution: Result<Solution, Infeasible>) {
        if let Ok(solution) = solution
            && over.abs() < self.over - 1.0e-9
        {
            *self = Seen { value, over: over.abs(), solution };
        }
    }
}

/// A place to look at next on one side of where the lever stands, and how far off the one before it was.
struct Step {
    side: usize,
    value: f64,
    past: f64,
}

/// The places looked at on either side of `start`, nearest first.
fn outward(low: f64, high: f64, start: f64) -> Vec<Step> {
    let looks: Vec<f64> =
        (0..=LOOKS).map(|i| low + (high - low) * f64::from(i) / f64::from(LOOKS)).collect();
    let below: Vec<f64> = looks.iter().rev().copied().filter(|value| *value < start).collect();
    let above: Vec<f64> = looks.into_iter().filter(|value| *value > start).collect();
    let mut steps = Vec::with_capacity(below.len() + above.len());
    for (side, values) in [below, above].into_iter().enumerate() {
        let mut before = start;
        for value in values {
            steps.push(Step { side, value, past: (before - start).abs() });
            before = value;
        }
    }
    steps.sort_by(|a, b| a.past.total_cmp(&b.past));
    steps
}
