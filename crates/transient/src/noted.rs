//! What a run writes down beside its figures: samples tried by hand, what was said to be the matter, how the engine saved itself.

/// A sample of the distillate tried with the hand meter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// When, s.
    pub at_s: f64,
    /// Its salt, mg/kg; none where there was no water to take.
    pub mg_kg: Option<f64>,
}

impl Sample {
    /// In words.
    #[must_use]
    pub fn says(&self) -> String {
        match self.mg_kg {
            Some(mg_kg) => format!("sample by hand meter: {mg_kg:.1} mg/kg"),
            None => "sample by hand meter: there is no water in the well".to_owned(),
        }
    }
}

/// What was said to be the matter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Answered {
    /// When, s.
    pub at_s: f64,
    /// Place among [`crate::causes`].
    pub cause: usize,
}

/// What the engine's own safeties did.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Saved {
    /// When, s.
    pub at_s: f64,
    /// Its jacket then, °C.
    pub jacket_c: f64,
    /// It tripped; else it slowed down.
    pub tripped: bool,
}

impl Saved {
    /// In words.
    #[must_use]
    pub fn says(&self) -> String {
        let did = if self.tripped { "trips" } else { "slows down by itself" };
        format!("the engine {did}: its jacket stands at {:.0} °C", self.jacket_c)
    }
}

/// All of it, in order of time.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Noted {
    /// Samples tried.
    pub samples: Vec<Sample>,
    /// Answers given.
    pub answers: Vec<Answered>,
    /// What the engine did to save itself.
    pub saved: Vec<Saved>,
}

/// Over its set point by so much the engine slows down by itself, and trips, K (ours; the engine's own figures come first).
pub(crate) const SLOWS_K: f64 = 10.0;
pub(crate) const TRIPS_K: f64 = 18.0;
/// Load it slows down to, %.
pub(crate) const SLOW_PERCENT: f64 = 40.0;
/// Time it takes, s.
pub(crate) const SAVES_S: f64 = 30.0;
