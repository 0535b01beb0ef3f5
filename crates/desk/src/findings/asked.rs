//! What is asked before a closing, a cleaning or an instrument set right is written down: what contradicts itself, or the record.

use std::time::Duration;

use ::findings::{Cause, Instrument, Judged};
use jiff::Timestamp;

use crate::desk::{Desk, DeskError};
use crate::field;
use crate::now::Verdict;
use crate::round::METER;
use crate::typed;

use super::words::{Closing, MENDED, SEEN};
use super::{FindingsView, Lately, Since};

/// How a question about a time ends.
pub const STANDS: &str = "Mend the time, write the shut-down first, or say that it stands.";
/// From shutting down to looking inside, hours at least: heat off, vacuum broken, the shell under 40 °C (our estimate).
const OPENED_H: f64 = 2.0;
/// From this chance on the findings hold an instrument for wrong.
const BELIEVED: f64 = 0.5;
/// A size is asked about that lies so many times as far from the middle as the end of nine in ten.
const FAR: f64 = 2.0;

impl Closing {
    /// What is wrong with it that its words would mend: something else was found, and nobody said what.
    #[must_use]
    pub fn wants_words(&self) -> Option<&'static str> {
        (self.seen == SEEN[2] && self.words.trim().is_empty()).then_some(
            "something else was seen, and no words say what: write what was found instead",
        )
    }

    /// What contradicts itself in it: mended, where nothing was found.
    #[must_use]
    pub fn mends_nothing(&self) -> Option<&'static str> {
        (self.seen == SEEN[1] && !self.mended.is_empty()).then_some(
            "It was not found, and stands beside that as mended or not yet: choose found, or leave mended out.",
        )
    }

    /// What is to be asked where it was found and nobody said whether it was mended; what was cleaned with it says so, where it sits there.
    #[must_use]
    pub fn wants_mended(&self) -> Option<&'static str> {
        let told = !self.cleaned.is_empty() && self.other_part().is_none();
        (self.seen == SEEN[0] && self.mended.is_empty() && !told)
            .then_some("It was found: say whether it is mended. Not mended it stays a known cause.")
    }

    /// What is to be asked where a deposit was found in one part and only the other was cleaned with it, or was mended and nothing was cleaned.
    #[must_use]
    pub fn other_part(&self) -> Option<String> {
        let (deposit, part) = match Cause::of_key(&self.cause)? {
            Cause::Scale => ("Scale", "evaporator"),
            Cause::CondenserFouling => ("What fouls the condenser", "condenser"),
            _ => return None,
        };
        if self.seen != SEEN[0] || self.cleaned.contains(part) {
            return None;
        }
        match &*self.cleaned {
            "" => (self.mended == MENDED[0]).then(|| {
                format!(
                    "{deposit} comes off by cleaning, and no part is named as cleaned: was the {part} cleaned? Findings then count from that day."
                )
            }),
            other => Some(format!(
                "{deposit} sits in the {part}, and what was cleaned with it is the {other}: is that meant?"
            )),
        }
    }

    /// Whether it says that what was found is gone: mended, or its part cleaned.
    pub(super) fn mends(&self) -> bool {
        let deposit =
            matches!(Cause::of_key(&self.cause), Some(Cause::Scale | Cause::CondenserFouling));
        let cleaned = deposit && !self.cleaned.is_empty() && self.other_part().is_none();
        self.seen == SEEN[0] && (self.mended == MENDED[0] || self.mended.is_empty() && cleaned)
    }

    /// Whether it was found where nobody can look while she makes water.
    fn found_inside(&self) -> bool {
        use Cause as C;
        let inside = matches!(
            Cause::of_key(&self.cause),
            Some(
                C::Scale
                    | C::CondenserFouling
                    | C::EjectorWear
                    | C::CarryOver
                    | C::CondenserLeak
                    | C::HeaterLeak
            )
        );
        self.seen == SEEN[0] && inside
    }
}

/// How far and to which side an instrument reads wrong, as the findings have it: in the unit it is read in, the counter in per cent of what it
/// counts.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadsWrong {
    /// How much too high, under nought too low.
    pub high_by: f64,
    /// Between what it lies nine times in ten, the lower first.
    pub between: (f64, f64),
    /// Its unit.
    pub unit: &'static str,
}

impl ReadsWrong {
    fn of(view: &FindingsView, instrument: Instrument, judged: &Judged) -> Option<Self> {
        let reading = field::reading(instrument.key())?;
        let read = || {
            let line = view.evidence.iter().find(|line| line.compared.key == reading.key);
            line.and_then(|line| line.compared.read)
        };
        let share = |value: f64| 1.0 - (-value).exp();
        let own = |value: f64| match (instrument, instrument.error_unit()) {
            // The gauge is weighed as pressure, and read as vacuum.
            (Instrument::ShellGauge, _) => Some(-value / 10.132_5),
            (Instrument::Product, _) => Some(100.0 * share(value)),
            (_, "ln" | "share") => Some(read()? * share(value)),
            _ => Some(value),
        };
        let ends = (own(judged.low)?, own(judged.high)?);
        let unit = match (instrument, typed::unit_of(reading).symbol()) {
            (Instrument::Product, _) => "%",
            (_, "°C") => "K",
            (_, symbol) => symbol,
        };
        Some(Self {
            high_by: own(judged.value)?,
            between: (ends.0.min(ends.1), ends.0.max(ends.1)),
            unit,
        })
    }

    /// The question to who says another side or another size: `by` is typed, in the reading's own unit, under nought too low. None where it
    /// agrees.
    #[must_use]
    pub fn against(&self, by: f64) -> Option<String> {
        let side = |high: bool| if high { "too high" } else { "too low" };
        let high = self.high_by > 0.0;
        let have =
            format!("The findings have it {:.1} {} {}", self.high_by.abs(), self.unit, side(high));
        if by != 0.0 && (by > 0.0) != high {
            let say = format!("{} {}", by.abs(), side(by > 0.0));
            return Some(format!("{have}; you say {say}: is that meant?"));
        }
        let (low, top) = self.between;
        let end = if by > self.high_by { top - self.high_by } else { self.high_by - low };
        if (by - self.high_by).abs() <= FAR * end {
            return None;
        }
        // From nought away from it, as it is said.
        let (near, far) = if high { (low, top) } else { (-top, -low) };
        let band = format!("{near:.1} to {far:.1}").replace('-', "\u{2212}");
        Some(format!("{have} ({band}); you say {}: is that meant?", by.abs()))
    }
}

impl Desk {
    /// How much an instrument reads too high or too low as far as the findings at hand have it; none where they hold it for right.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn believed_high(
        &self,
        reading: &str,
        now: Timestamp,
    ) -> Result<Option<ReadsWrong>, DeskError> {
        let lately = self.findings_lately(Since::Cleaned, now, Duration::ZERO)?;
        let (Lately::Found(view) | Lately::Before(view)) = lately else { return Ok(None) };
        let key = if reading == METER { "product_t_day" } else { reading };
        let instrument = Instrument::ALL.iter().find(|i| i.key() == key).copied();
        let judged = instrument.and_then(|i| {
            view.finding.finding().judged(Cause::Instrument(i)).map(|judged| (i, judged))
        });
        let believed = judged.filter(|(_, j)| {
            j.value != 0.0 && (j.p_over_limit >= BELIEVED || j.p_changed >= BELIEVED)
        });
        Ok(believed.and_then(|(i, judged)| ReadsWrong::of(&view, i, judged)))
    }

    /// What speaks against a cleaning at a moment: the plant was making water by a round so short a time before that it cannot
    /// have been opened meanwhile. `None` where nothing does.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn doubt_of_cleaning(&self, at: Timestamp) -> Result<Option<String>, DeskError> {
        let takes_h = self.setup().ship.prices.clean_h;
        let Some((round, before_h)) = self.ran_before(at, takes_h)? else { return Ok(None) };
        Ok(Some(format!(
            "By the round of {round} the plant was making water {before_h:.0} h before, and no shut-down is written since; a cleaning is reckoned with {takes_h:.0} h. {STANDS}"
        )))
    }

    /// What speaks against what was found at a moment where it is seen only with the plant opened up: she was making water so short a time
    /// before. `None` where nothing does.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn doubt_of_finding(
        &self,
        closing: &Closing,
        at: Timestamp,
    ) -> Result<Option<String>, DeskError> {
        let Some(cause) = Cause::of_key(&closing.cause).filter(|_| closing.found_inside()) else {
            return Ok(None);
        };
        let Some((round, _)) = self.ran_before(at, OPENED_H)? else { return Ok(None) };
        Ok(Some(format!(
            "By the round of {round} the plant was making water, and no shut-down is written since; {} is seen only with her cold and opened up. {STANDS}",
            cause.words()
        )))
    }

    /// The round by which the plant was making water less than so many hours before a moment, by the ship's clock, and how many hours; none
    /// where she was shut down since.
    fn ran_before(&self, at: Timestamp, hours: f64) -> Result<Option<(String, f64)>, DeskError> {
        let seen = self.now(at)?;
        let Some(round) = seen.round.map(|round| round.at) else { return Ok(None) };
        let running = matches!(
            seen.verdict,
            Verdict::Running { .. } | Verdict::Unknown { .. } | Verdict::Across { .. }
        );
        let before_h = at.duration_since(round).as_secs_f64() / 3600.0;
        if !running || before_h >= hours {
            return Ok(None);
        }
        let round = self.clock()?.local(round).strftime("%-d %b %H:%M").to_string();
        Ok(Some((round, before_h)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_another_side_or_a_size_far_off_is_asked_about() {
        let high = ReadsWrong { high_by: 1.9, between: (1.2, 2.6), unit: "K" };
        for by in [1.9, 1.2, 2.6, 3.2, 0.6] {
            assert_eq!(high.against(by), None, "{by}");
        }
        assert_eq!(
            high.against(9.0).as_deref(),
            Some("The findings have it 1.9 K too high (1.2 to 2.6); you say 9: is that meant?")
        );
        assert!(high.against(0.4).is_some());
        assert_eq!(
            high.against(-1.9).as_deref(),
            Some("The findings have it 1.9 K too high; you say 1.9 too low: is that meant?")
        );
        let low = ReadsWrong { high_by: -3.0, between: (-7.0, 0.5), unit: "% vac" };
        assert_eq!(
            low.against(-12.0).as_deref(),
            Some(
                "The findings have it 3.0 % vac too low (\u{2212}0.5 to 7.0); you say 12: is that meant?"
            )
        );
        assert_eq!(low.against(-5.0), None);
    }

    #[test]
    fn ident_a_deposit_found_in_one_part_and_the_other_cleaned_is_asked_about() {
        let mut closing = Closing {
            cause: "scale".into(),
            seen: SEEN[0].into(),
            cleaned: "condenser".into(),
            ..Closing::default()
        };
        let asks = closing.other_part().unwrap_or_default();
        assert!(asks.starts_with(
            "Scale sits in the evaporator, and what was cleaned with it is the condenser"
        ));
        assert!(closing.wants_mended().is_some(), "the other part's cleaning mends nothing");
        for cleaned in ["evaporator", "condenser and evaporator"] {
            closing.cleaned = cleaned.into();
            assert!(closing.other_part().is_none() && closing.mends(), "{cleaned}");
        }
        closing.cause = "condenser_fouling".into();
        closing.cleaned = "evaporator".into();
        assert!(closing.other_part().is_some() && !closing.mends());
        // Mended, and nothing cleaned with it.
        closing.cleaned = String::new();
        assert!(closing.other_part().is_none(), "nobody said that it is mended");
        closing.mended = MENDED[0].into();
        let asks = closing.other_part().unwrap_or_default();
        assert!(
            asks.contains("comes off by cleaning") && asks.contains("was the condenser cleaned?")
        );
        // A deposit that was not found, or what is no deposit, is not asked about.
        closing.seen = SEEN[1].into();
        assert!(closing.other_part().is_none());
        let leak = Closing { cause: "air_leak".into(), seen: SEEN[0].into(), ..closing };
        assert!(leak.other_part().is_none());
    }
}
