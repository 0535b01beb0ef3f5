//! What the model foretells of a step, and when it is late: only told, it holds nothing.

use procedure::{Foretold, Run, Step};

use super::view::ForetoldView;
use super::words::Teller;

/// Late is what takes half as long again as foretold, and two minutes more.
const LATE: (f64, f64) = (1.5, 2.0);

/// What is foretold of a step, and of the one under way, where what it `waits` for is not seen, whether it is late.
pub(super) fn view(
    teller: &Teller<'_>,
    step: &Step,
    under_way: Option<(&Run<'_>, usize)>,
    waits: bool,
) -> Option<ForetoldView> {
    let (foretelling, foretold) = (step.foretold.as_ref()?, teller.foretold?);
    let (comes, from, look, seconds) = match foretelling.what {
        Foretold::Vacuum => (
            "the vacuum comes",
            "the ejector pump’s start",
            "look for the leak: breaker, drain, sample cock, sight glass",
            foretold.vacuum_s,
        ),
        Foretold::Boiling => {
            ("it boils", "the first heat", "look at heater vent and outlet", foretold.boiling_s)
        }
        Foretold::Water => (
            "the salinity is in limit",
            "the first heat",
            "hand meter, then the condenser",
            foretold.water_s,
        ),
        Foretold::Cold => (
            "the plates are under 50 °C",
            "the by-pass is first opened",
            "heat is passing the heater valves",
            foretold.cold_s,
        ),
    };
    let min = seconds? / 60.0;
    let words = format!("By the model {comes} about {min:.0} min after {from}.");
    // Counted from the tick of the step it names: no earlier moment of it is in the record.
    let ticked = under_way.and_then(|(run, _)| {
        let place = run.procedure.place(&foretelling.after)?;
        Some((place, run.standing[place].as_ref()?.at()))
    });
    let late = ticked.filter(|_| waits).and_then(|(place, at)| {
        let passed = teller.now.duration_since(at).as_secs_f64() / 60.0;
        (passed > LATE.0 * min + LATE.1).then(|| {
            format!(
                "{passed:.0} min since step {} was ticked, {}: {look}.",
                place + 1,
                teller.time(at)
            )
        })
    });
    Some(ForetoldView { words, late })
}
