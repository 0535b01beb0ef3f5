//! What is done about a cause that is found: where to look, in a few words (common practice; the maker's manual comes first).

use ::findings::Cause;

use super::view::{CauseLine, FindingsView};

/// From this chance on what is past its limit is looked for before a day of cleaning is waited for …
const PROBABLE: f64 = 0.5;
/// … and from this one a cause that came within the rounds and costs so many t/day, though it is under its limit.
const CAME: (f64, f64) = (0.8, 0.5);
/// From this chance on it is looked for at once, and a check comes after it.
const SURE: f64 = 0.95;

/// What is done about a cause, as the end of a sentence; none about what is cleaned off or reads wrong, which have lines of their own.
#[must_use]
pub(super) fn mending(cause: Cause) -> Option<&'static str> {
    Some(match cause {
        Cause::AirLeak => {
            "find the air leak and stop it: gauge glasses, breaker, glands, sample cocks, door joints"
        }
        Cause::EjectorWear => "at the next stop gauge the ejector's nozzle and diffuser",
        Cause::JacketFlow => {
            "look why little jacket water runs through the heater: by-pass not shut as marked, inlet or outlet not full open, strainer"
        }
        Cause::SeaFlow => {
            "look why little sea water runs through the condenser: strainer, throttle, pump"
        }
        Cause::FeedLow => "look why little feed comes: strainer, orifice, feed valve",
        Cause::FeedHigh => "set the feed back to its mark",
        Cause::CarryOver => "look at brine level, feed and load; at the next stop at the demister",
        Cause::CondenserLeak => "at the next stop test the condenser for a leaking tube or gasket",
        Cause::MotivePressure => {
            "look at the ejector pump: suction strainer, discharge valve, air in its chest"
        }
        Cause::Overboard => "see that the overboard valve behind the ejector is full open",
        Cause::HeaterLeak => {
            "stop, shut the heater off, set the tanks filled since apart and test for nitrite"
        }
        Cause::Scale | Cause::CondenserFouling | Cause::Instrument(_) => return None,
    })
}

/// A cause that is found and can be mended, with what is done about it.
pub(super) struct ToMend {
    pub(super) cause: Cause,
    pub(super) what: &'static str,
    /// Whether all rounds are so sure of it that it is looked for before any check; what is new is checked first.
    pub(super) sure: bool,
}

impl FindingsView {
    /// A leaking heater, where one is likely: what is done about it, before all else.
    pub(super) fn leaking_heater(&self) -> Option<&'static str> {
        let leak = Cause::HeaterLeak;
        let line = self.causes.iter().find(|line| Cause::of_key(&line.key) == Some(leak))?;
        mending(leak).filter(|_| line.chance >= PROBABLE && line.known.is_none())
    }

    /// Of what is likely at fault and can be mended that which costs most; of what costs no output the likeliest. What is new by the last
    /// days' rounds counts as what all rounds tell.
    pub(super) fn to_mend(&self) -> Option<ToMend> {
        let fresh = self.fresh.iter().flat_map(|fresh| &fresh.lines).map(|line| (line, false));
        let all = self.causes.iter().map(|line| (line, true));
        let named = fresh.chain(all).filter(|(line, _)| found(line)).filter_map(|(line, all)| {
            let cause = Cause::of_key(&line.key)?;
            let mend = ToMend { cause, what: mending(cause)?, sure: all && line.chance >= SURE };
            Some((mend, line.loss_t_day.unwrap_or(0.0), line.chance))
        });
        let most = named.max_by(|a, b| a.1.total_cmp(&b.1).then(a.2.total_cmp(&b.2)));
        most.map(|(mend, ..)| mend)
    }
}

fn found(line: &CauseLine) -> bool {
    let came = line.changed >= CAME.0 && line.loss_t_day.is_some_and(|t| t >= CAME.1);
    line.known.is_none() && (line.chance >= PROBABLE || came)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_what_can_be_mended_has_its_words_and_what_is_cleaned_has_none() {
        for cause in ::findings::Tables::usual(24.0).causes.into_iter().map(|line| line.cause) {
            let cleaned = matches!(cause, Cause::Scale | Cause::CondenserFouling);
            assert_eq!(mending(cause).is_none(), cleaned, "{cause:?}");
        }
    }
}
