//! Why an instrument is blamed: its mean error over the rounds, and its last reading with and without it.

use ::findings::{Cause, Evidence, Finding};
use jiff::tz::Offset;

use crate::expected::Expectation;
use crate::field;
use crate::round::Round;
use crate::typed;
use crate::view::Band;

use super::alone::moved;
use super::sets::Sets;
use super::tables::capital;
use super::words::ToldOfPlant;

/// A last round that shows less than this part of an instrument's mean error reads against it.
const AGAINST: f64 = 0.25;
/// From this chance on a cause is probable, and named with what an instrument should show.
const PROBABLE: f64 = 0.5;

/// Why an instrument is blamed.
#[derive(Debug, Clone, PartialEq)]
pub struct Blamed {
    /// The reading as in the table of readings.
    pub key: &'static str,
    /// Probable causes that it is read with, in words: of all rounds together, then those that are new.
    pub with: Vec<String>,
    /// As read.
    pub read: f64,
    /// What it would show by all the other readings if it were right.
    pub right: f64,
    /// The same with the error it is blamed for.
    pub wrong: f64,
    /// By how much it is off, and what was read and is expected, in a sentence without its end.
    off: String,
    digits: u8,
    /// Whether the last round can read against what many rounds say.
    many: bool,
}

impl Blamed {
    /// In sentences.
    #[must_use]
    pub fn says(&self) -> String {
        let with = match &*self.with {
            [] => "by the other readings".to_owned(),
            named => format!("with {}", named.join(" and ")),
        };
        // A mean over the rounds may hide that the last one does not show it.
        let (shown, believed) = (self.read - self.right, self.wrong - self.right);
        let against = if self.many && shown * believed < AGAINST * believed * believed {
            " The last round reads against it."
        } else {
            ""
        };
        format!(
            "{}; {with} it should show {}.{against}",
            self.off,
            typed::digits(self.right, self.digits)
        )
    }

    /// Brings in what is new: what the instrument would show with that too, by the last days' rounds alone.
    pub(super) fn with_new(&mut self, new: &Finding, causes: &[Cause], expected: Option<Band>) {
        let key = self.key;
        let evidence = new.evidence.iter().find(|e| e.instrument.key() == key);
        let Some((evidence, expected)) = evidence.zip(expected) else { return };
        let right = moved(key, expected.middle, evidence.healthy, evidence.sound);
        self.wrong += right - self.right;
        self.right = right;
        for cause in causes {
            let words = cause.words();
            self.with.retain(|known| *known != words);
            self.with.push(format!("{words}, which is new,"));
        }
    }
}

/// Why an instrument is blamed: what it would show by the likeliest explanation with its error and without, on the footing of the
/// other pages' expectation.
pub(super) fn wrong(
    (last, sets, told, zone): (&Round, &Sets, &ToldOfPlant, Offset),
    expectation: Option<&Expectation>,
    made: Option<(f64, Band)>,
    finding: &Finding,
    cause: Cause,
) -> Option<Blamed> {
    let Cause::Instrument(instrument) = cause else { return None };
    let key = instrument.key();
    let evidence = finding.evidence.iter().find(|e| e.instrument == instrument);
    // A check written between rounds stands in an entry of its own.
    let check = || {
        let with = sets.checked.iter().filter(|made| made.with == Some(last.at));
        with.filter(|made| made.instrument == instrument).map(|made| made.figure).next()
    };
    let judged = finding.judged(cause)?;
    let clean = expectation.and_then(|e| e.readings.get(key)).map(|band| band.middle);
    let (read, right, wrong) = match evidence {
        Some(Evidence { read, healthy, fitted, sound, .. }) => {
            let (as_read, expected) = match key {
                "product_t_day" => made.map(|(made, should)| (made, should.middle))?,
                _ => (
                    last.value(key)
                        .and_then(|x| told.set_right(key, last.at, x))
                        .or_else(check)
                        .unwrap_or(*read),
                    expectation?.readings.get(key).map_or(*healthy, |b| b.middle),
                ),
            };
            (
                as_read,
                moved(key, expected, *healthy, *sound),
                moved(key, expected, *healthy, *fitted),
            )
        }
        // What goes into the plant: by the others it is what was read less the error.
        None => {
            let read = told.set_right(key, last.at, last.value(key)?)?;
            (read, read - judged.value, read)
        }
    };
    let reading = field::reading(key)?;
    let text = |x: f64| typed::digits(x, reading.digits);
    let unit = typed::unit_of(reading).symbol();
    let named = capital(instrument.words());
    let over = match finding.came(cause).filter(|_| judged.p_changed >= 0.5) {
        Some(came) if sets.rounds > 1 => {
            format!("since about {}", zone.to_datetime(came.at).strftime("%-d %B"))
        }
        _ if sets.rounds > 1 => format!("over these {} rounds", sets.rounds),
        _ => "in this round".to_owned(),
    };
    let off = format!(
        "{named} is off by {} {over}, {}nine times in ten between {} and {}. In the last round {} {unit} was read{}",
        cause.told(judged.value),
        if sets.rounds > 1 { "on average; " } else { "" },
        cause.told(judged.low.min(judged.high)),
        cause.told(judged.low.max(judged.high)),
        text(read),
        clean.map_or_else(String::new, |x| format!(", {} is expected of a clean plant", text(x))),
    );
    let probable = finding.causes.iter().filter(|j| j.p_over_limit >= PROBABLE);
    let with = probable.filter(|j| !matches!(j.cause, Cause::Instrument(_)));
    Some(Blamed {
        key,
        with: with.map(|j| j.cause.words()).collect(),
        read,
        right,
        wrong,
        off,
        digits: reading.digits,
        many: sets.rounds > 1 && evidence.is_some(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_what_an_instrument_is_read_with_is_named() {
        let mut blamed = Blamed {
            key: "sea_out_c",
            with: vec!["a fouled condenser".into(), "an air leak, which is new,".into()],
            read: 37.5,
            right: 36.0,
            wrong: 37.9,
            off: "Sea water out is off by +1.9 K".into(),
            digits: 1,
            many: true,
        };
        assert_eq!(
            blamed.says(),
            "Sea water out is off by +1.9 K; with a fouled condenser and an air leak, which is new, it should show 36.0."
        );
        // Read where it should stand, it shows nothing of its error.
        blamed.read = 36.1;
        assert!(blamed.says().ends_with("36.0. The last round reads against it."));
        blamed.with.clear();
        assert!(blamed.says().contains("; by the other readings it should show"));
    }
}
