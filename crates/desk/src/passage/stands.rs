//! Orders that stand: a plan made anew keeps those given before unless others are better by more than changing them is worth.

use jiff::Timestamp;
use passage::decision::{Before, Changed, Stands};
use passage::timeline::Aboard;

use crate::ship::Ship;

use super::PassageView;
use super::given::Given;
use super::view;

/// A sounding farther off than this from what was foreseen is no matter of reading the rod: t, and share of what is aboard
/// (common practice: a centimetre read, and list and trim not told).
pub(super) const SOUNDED: (f64, f64) = (1.0, 0.02);

/// The plan before, as far as one made now goes on from it.
pub(super) struct Old {
    given: Given,
    /// Its sample at which the new one begins.
    gone: usize,
    /// What was sounded since, less what it foresaw, where that is beyond its band, t.
    off_t: Option<f64>,
    /// Orders are changed where that saves more, in the ship's currency: what one start costs, as whoever lined up for the
    /// old ones did so for nothing.
    margin: f64,
}

impl Old {
    /// Held against what is aboard at the beginning of a new plan.
    pub(super) fn new(
        given: Given,
        begins: Timestamp,
        (aboard, soundings): (&Aboard, &[(u64, f64)]),
        ship: &Ship,
    ) -> Self {
        let gone = given.gone(begins);
        let margin = ship.prices.start;
        let off_t = sounded_off(&given, gone, (aboard, soundings));
        Self { given, gone, off_t, margin }
    }

    /// What the planner is told of it.
    pub(super) fn before(&self) -> Before {
        let standing = || self.given.standing.onward(self.gone);
        Before { price: Some(self.given.price), standing: self.off_t.is_none().then(standing) }
    }

    /// When the orders of the new plan were given, and what became of those of the old one, in a sentence; none where both
    /// begin at the same time and are the same.
    pub(super) fn told(&self, new: &PassageView, ship: &Ship) -> (Timestamp, Option<String>) {
        let given = self.given.ordered;
        let told = new.timeline.clock.local(given).strftime("%-d %b %H:%M").to_string();
        let money = |sum: f64| {
            let fuel = ship.prices.fuel_t;
            let fuel = (fuel > 0.0).then(|| format!(" ({:.1} t of fuel)", sum / fuel));
            format!("{sum:.0} {}{}", ship.currency, fuel.unwrap_or_default())
        };
        let least = |margin: f64| match margin > self.margin {
            true => format!("{margin:.0} {}, a tenth of what the plan costs", ship.currency),
            false => format!("the {margin:.0} {} a start costs", ship.currency),
        };
        let changed = |why: String| {
            (new.from, Some(format!("New orders in place of those of {told}: {why}.")))
        };
        if let Some(off_t) = self.off_t {
            let word = if off_t > 0.0 { "more" } else { "less" };
            return changed(format!("{:.1} t {word} was sounded than they foresaw", off_t.abs()));
        }
        match new.brief.stands {
            None => (new.from, None),
            Some(Stands::AsNow) => {
                let says = format!("The orders of {told} stand: the plan made now has the same.");
                (given, (given < new.from).then_some(says))
            }
            Some(Stands::Kept { saves, margin }) => {
                let saves = if saves < 0.5 { "nothing".into() } else { money(saves) };
                let says = format!(
                    "The orders of {told} stand: the plan made now would save {saves}. They are changed where that saves more than {}.",
                    least(margin)
                );
                (given, Some(says))
            }
            Some(Stands::Changed(_)) if self.given.edited => {
                changed("what they were given for was changed since".into())
            }
            Some(Stands::Changed(why)) => changed(match why {
                Changed::NotDone => "the plant does not do what they say".into(),
                Changed::NotAllowed { at } => {
                    let at = view::at(&new.timeline, at);
                    format!("what they say for {at} is not allowed any more")
                }
                Changed::Saves { saves, margin } => {
                    format!("these save {}, more than {}", money(saves), least(margin))
                }
                Changed::Short(t) => format!(
                    "by them the taps would run dry, for want of {t:.1} t more than by these"
                ),
                Changed::Reserve(chance) => format!(
                    "with them she would be under the reserve {:.0} times in a hundred",
                    100.0 * chance
                ),
            }),
        }
    }
}

/// What was sounded since a plan, less what it foresaw for then, where that is outside its band.
fn sounded_off(
    given: &Given,
    gone: usize,
    (aboard, soundings): (&Aboard, &[(u64, f64)]),
) -> Option<f64> {
    let now_t = aboard.stock_t();
    // What was sounded before that plan, it knew; a stock reckoned forward is no sounding.
    if given.soundings == soundings {
        return None;
    }
    let [low, middle, high] = &given.stock_t;
    let (low, middle, high) = (low.get(gone)?, middle.get(gone)?, high.get(gone)?);
    // The band has the reading of the rod in it; no band is narrower than that.
    let read = SOUNDED.0.max(SOUNDED.1 * now_t);
    let inside = (low.min(middle - read)..=high.max(middle + read)).contains(&now_t);
    (!inside).then_some(now_t - middle)
}
