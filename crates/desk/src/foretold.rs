//! How long a start and a stop should take on this plant, in the sea and at the load of now.

use std::sync::{Arc, Mutex, PoisonError};

use jiff::Timestamp;
use transient::{Foretold, Model, Outside, Parameters};

use crate::desk::{Desk, DeskError};
use crate::practice::AsNow;
use crate::setup::Setup;

/// Usual lengths of a start and a stop where neither ship nor model tells, min (common practice).
const USUAL_MIN: (f64, f64) = (75.0, 45.0);

/// The last one worked out, and for what.
#[derive(Debug, Default)]
pub(crate) struct Last(Mutex<Option<(Arc<Setup>, Outside, Foretold)>>);

/// A start and a stop as the plan reckons them, beside what the model foretells.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StartAndStop {
    /// Sentences.
    pub says: Vec<String>,
    /// The plan reckons with less than the model foretells: what to do.
    pub asks: Option<String>,
}

/// What is around the plant, coarse enough that the same stays the same from round to round.
fn outside(now: &AsNow) -> Outside {
    let coarse = |x: f64, step: f64| (x / step).round() * step;
    Outside {
        sea_temp_c: coarse(now.sea_temp_c, 0.5).clamp(-2.0, 40.0),
        engine_load_percent: coarse(now.load_percent, 5.0).clamp(0.0, 110.0),
        barometer_hpa: coarse(now.barometer_hpa, 5.0).clamp(850.0, 1100.0),
    }
}

impl Desk {
    /// What the model of the plant in motion foretells of a start and a stop now, and the sea and load it is for; none where it
    /// cannot be carried to its end.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn foretold(&self, now: Timestamp) -> Result<Option<(Foretold, AsNow)>, DeskError> {
        let (as_now, setup) = (self.as_now(now)?, self.setup());
        let outside = outside(&as_now);
        let mut last = self.foretellings().0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((known, at, foretold)) = &*last
            && Arc::ptr_eq(known, &setup)
            && *at == outside
        {
            return Ok(Some((*foretold, as_now)));
        }
        let model = Arc::new(Model::new(setup.plant.clone(), Parameters::default()));
        let Ok(foretold) = Foretold::of(&model, &outside) else { return Ok(None) };
        *last = Some((setup, outside, foretold));
        Ok(Some((foretold, as_now)))
    }

    /// What a plan reckons for a start and a stop, min: the ship's own figures, and for one that is nought the model's.
    ///
    /// # Errors
    /// The record cannot be read.
    pub(crate) fn start_and_stop_min(&self, now: Timestamp) -> Result<(f64, f64), DeskError> {
        let setup = self.setup();
        let (start, stop) = (setup.ship.orders.start_min, setup.ship.orders.stop_min);
        if start > 0.0 && stop > 0.0 {
            return Ok((start, stop));
        }
        let found = self.foretold(now)?.map(|(foretold, _)| foretold);
        let minutes = |s: Option<f64>| s.map(|s| s / 60.0);
        let of = |own: f64, model: Option<f64>, usual: f64| match own {
            own if own > 0.0 => own,
            _ => model.map_or(usual, f64::ceil),
        };
        let model = found.map(|found| (minutes(found.start_s), minutes(found.secured_s)));
        let (start_s, stop_s) = model.unwrap_or((None, None));
        Ok((of(start, start_s, USUAL_MIN.0), of(stop, stop_s, USUAL_MIN.1)))
    }

    /// How the plan's start and stop stand beside what the model foretells here; none where it foretells nothing.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn start_and_stop(&self, now: Timestamp) -> Result<Option<StartAndStop>, DeskError> {
        let Some((found, as_now)) = self.foretold(now)? else { return Ok(None) };
        let (start_min, stop_min) = self.start_and_stop_min(now)?;
        let own = &self.setup().ship.orders;
        let reckons = |own: f64, min: f64| match own {
            own if own > 0.0 => format!("the plan reckons {min:.0}"),
            _ => "the plan reckons with that".to_owned(),
        };
        let (mut says, mut asks) = (Vec::new(), None);
        let minutes = |s: f64| s / 60.0;
        if let Some(start) = found.start_s.map(minutes) {
            let vacuum = found.vacuum_s.map_or_else(String::new, |s| {
                format!(", the vacuum {:.0} min after the pump’s start", minutes(s))
            });
            says.push(format!(
                "By the model a start takes about {start:.0} min from lining up to a salinity in limit{vacuum}, with the sea at {:.1} °C and {:.0} % load; {}. It takes up to {:.1} K off the engine’s jacket.",
                as_now.sea_temp_c,
                as_now.load_percent,
                reckons(own.start_min, start_min),
                found.start_dip_k
            ));
            if start > start_min + 1.0 {
                asks = Some(format!(
                    "By the model a start takes {start:.0} min here and the plan reckons {start_min:.0}: look at “Start to first water” on the page Ship."
                ));
            }
        }
        if let Some((cold, secured)) = found.cold_s.zip(found.secured_s) {
            says.push(format!(
                "From the first of the heat taken off to plates under 50 °C about {:.0} min, to shut down {:.0}; {}.",
                minutes(cold),
                minutes(secured),
                reckons(own.stop_min, stop_min)
            ));
        }
        Ok((!says.is_empty()).then_some(StartAndStop { says, asks }))
    }
}
