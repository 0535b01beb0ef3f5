//! How long a start and a stop should take on this plant, in the sea and at the load of now.

use std::sync::{Arc, Mutex, PoisonError};

use jiff::Timestamp;
use transient::{Foretold, Model, Outside, Parameters};

use crate::desk::{Desk, DeskError};
use crate::practice::AsNow;
use crate::setup::Setup;

/// The last one worked out, and for what.
#[derive(Debug, Default)]
pub(crate) struct Last(Mutex<Option<(Arc<Setup>, Outside, Foretold)>>);

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
}
