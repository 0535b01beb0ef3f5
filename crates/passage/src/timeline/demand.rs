//! What is used on the way: by class, at sea and in port, and the dated draws.

use jiff::Timestamp;
use route::Phase;

/// Use of water aboard, t per 24 h where nothing else is said.
#[derive(Debug, Clone, PartialEq)]
pub struct Demand {
    /// To drink and to cook with.
    pub drinking_t_day: f64,
    /// Washing, showers, laundry.
    pub domestic_t_day: f64,
    /// Boiler, separators, engine, at sea.
    pub technical_sea_t_day: f64,
    /// The same in port.
    pub technical_port_t_day: f64,
    /// Dated draws.
    pub draws: Vec<Draw>,
}

/// Water drawn at a date, such as to rinse a hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Draw {
    /// What for.
    pub name: String,
    /// When it begins.
    pub from: Timestamp,
    /// How long it takes, hours.
    pub hours: f64,
    /// How much, t.
    pub t: f64,
    /// What it costs to do with a tonne less; `None` where it cannot be done with less.
    pub less_price_t: Option<f64>,
}

/// Use at a moment, t per 24 h.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Use {
    /// To drink and to cook with.
    pub drinking: f64,
    /// Washing, showers, laundry.
    pub domestic: f64,
    /// Boiler, separators, engine.
    pub technical: f64,
    /// Dated draws.
    pub drawn: f64,
}

impl Use {
    /// All together, t per 24 h.
    #[must_use]
    pub fn sum(&self) -> f64 {
        self.steady() + self.drawn
    }

    /// What scatters from day to day: everything but the dated draws.
    #[must_use]
    pub fn steady(&self) -> f64 {
        self.drinking + self.domestic + self.technical
    }
}

impl Demand {
    /// Use over a step that begins at `at`.
    #[must_use]
    pub fn at(&self, at: Timestamp, step_h: f64, phase: Phase) -> Use {
        let in_port = matches!(phase, Phase::Berth | Phase::Anchorage);
        Use {
            drinking: self.drinking_t_day,
            domestic: self.domestic_t_day,
            technical: if in_port { self.technical_port_t_day } else { self.technical_sea_t_day },
            drawn: self.draws.iter().map(|draw| draw.over(at, step_h)).sum(),
        }
    }

    /// Use of a day at sea without dated draws, t: what a day of reserve means.
    #[must_use]
    pub fn day_at_sea_t(&self) -> f64 {
        self.drinking_t_day + self.domestic_t_day + self.technical_sea_t_day
    }
}

impl Draw {
    /// The part of this draw that falls into a step, as t per 24 h over the step.
    fn over(&self, at: Timestamp, step_h: f64) -> f64 {
        let begins_h = self.from.duration_since(at).as_secs_f64() / 3600.0;
        let hours = self.hours.max(1e-6);
        let overlap = (begins_h + hours).min(step_h) - begins_h.max(0.0);
        if overlap <= 0.0 { 0.0 } else { self.t * (overlap / hours) * 24.0 / step_h }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_a_draw_is_drawn_whole_however_it_falls_on_the_steps() {
        let start: Timestamp = "2026-11-16T00:00:00Z".parse().expect("time");
        for (minute, hours) in [(0, 6.0), (7, 6.0), (52, 0.1), (30, 0.25)] {
            let from = start + jiff::SignedDuration::from_mins(minute);
            let demand = Demand {
                drinking_t_day: 0.2,
                domestic_t_day: 3.6,
                technical_sea_t_day: 3.2,
                technical_port_t_day: 1.8,
                draws: vec![Draw {
                    name: "hold 1".into(),
                    from,
                    hours,
                    t: 30.0,
                    less_price_t: None,
                }],
            };
            let drawn: f64 = (0..48)
                .map(|k| start + jiff::SignedDuration::from_mins(15 * k))
                .map(|at| demand.at(at, 0.25, Phase::SeaPassage).drawn * 0.25 / 24.0)
                .sum();
            assert!((drawn - 30.0).abs() < 1e-9, "{minute} {hours}: {drawn}");
            let berth = demand.at(start, 0.25, Phase::Berth);
            assert!((berth.steady() - 5.6).abs() < 1e-12);
        }
    }
}
