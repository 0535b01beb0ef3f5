//! Salt over a limit: what is to be done at once, whatever brought it; and what is short of the output as read.

use crate::contradiction::figure;
use crate::explain::Finding;
use crate::instrument::Instrument;

/// Over this the distillate is dumped, mg/kg (common practice; a ship's own setting stands in her file).
pub(crate) const DUMP_MG_KG: f64 = 10.0;

impl Finding {
    /// What salt over a limit in mg/kg asks for at once, whatever brought it: none of it to a tank, and the order of looking. Empty
    /// where the last readings hold none over it.
    #[must_use]
    pub fn salty(&self, limit_mg_kg: f64) -> String {
        let read = |i: Instrument| self.last_read(i).filter(|x| *x > limit_mg_kg);
        let (salt, second) =
            (read(Instrument::ProductSalt), self.last_read(Instrument::SecondSalt));
        let Some(read) = salt.or(second.filter(|x| *x > limit_mg_kg)) else { return String::new() };
        let held = second.filter(|x| *x <= limit_mg_kg && salt.is_some());
        let first = match (held, second) {
            (Some(second), _) => format!(
                "A second instrument read {}: set the salinometer right first, and dump until both agree.",
                figure(second)
            ),
            (None, Some(second)) => {
                format!("A second instrument read {} too: it is salt.", figure(second))
            }
            (None, None) => {
                "Is the salinometer right? A second instrument or a titration says.".to_owned()
            }
        };
        format!(
            "Salinity is {} ppm, over {}: dump it, fill no tank with it. {first} Then look at the brine level, the brine's strength and the load (carry-over), and for a leaking condenser: its salt comes in the same whatever is made.",
            figure(read),
            figure(limit_mg_kg)
        )
    }

    /// The last moment's figure of an instrument that is foretold, in the unit of its name.
    pub(crate) fn last_read(&self, instrument: Instrument) -> Option<f64> {
        self.problem.last.as_ref()?.0.get(instrument)
    }
}
