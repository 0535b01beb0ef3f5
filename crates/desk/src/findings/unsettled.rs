//! What is said where the rounds cannot settle it: how many there are, what they leave open, and what to read next.

use ::findings::{Cause, Check, Finding, Said, WORTH_BITS};

use super::Since;
use super::missing::Missing;

/// From this chance on a cause leads.
pub(super) const LEADS: f64 = 0.20;
/// Left open are causes of this chance at least, and as many.
const OPEN: (f64, usize) = (0.02, 3);
/// So many rounds over so many days tell growth.
pub(super) const GROWTH: (usize, f64) = (6, 2.0);

/// Changes what is said, where nothing leads; `before` are parts that were cleaned or looked at after the last of the rounds. `missing` is
/// none where output is as expected.
pub(super) fn mend(
    said: &mut Said,
    finding: &Finding,
    (rounds, days): (usize, f64),
    missing: Option<&Missing>,
    since: Since,
    before: &[Cause],
) {
    let leads =
        finding.coming().is_some() || finding.causes.iter().any(|j| j.p_over_limit >= LEADS);
    if !said.contradiction.is_empty() || leads {
        return;
    }
    let counted = if rounds == 1 {
        "One round".to_owned()
    } else if days < 1.5 {
        format!("{rounds} rounds within a day")
    } else {
        format!("{rounds} rounds of {days:.0} days")
    };
    let few = rounds < GROWTH.0 || days < GROWTH.1;
    let Some(missing) = missing else {
        if few {
            said.leading += &format!(
                " {counted} cannot tell what grows and what stood wrong from the first: that takes {} rounds over {:.0} days, best in another sea or at another load.",
                GROWTH.0, GROWTH.1
            );
        }
        return;
    };
    let short = missing.short_t_day;
    let open: Vec<String> = finding
        .causes
        .iter()
        .filter(|j| j.p_over_limit >= OPEN.0 && !before.contains(&j.cause))
        .take(OPEN.1)
        .map(|j| format!("{} ({})", j.cause.words(), ::findings::percent(j.p_over_limit)))
        .collect();
    let are = if short >= 1.95 { "are" } else { "is" };
    let mut leading = if !before.is_empty() {
        let named: Vec<String> = before.iter().map(|cause| cause.words()).collect();
        let explains = match missing.of_causes(before) {
            t if t >= 0.05 => format!("{t:.1} of the {short:.1} t/day missing in them"),
            _ => format!("none of the {short:.1} t/day missing in them"),
        };
        format!(
            "All these rounds were read before; {} explains {explains}: the next rounds tell whether that was all.",
            named.join(" with ")
        )
    } else if few || since != Since::Cleaned {
        format!(
            "{counted} cannot tell why {short:.1} t/day {are} missing: no cause is likely past its limit by them."
        )
    } else {
        format!("{counted} show no cause past its limit, and {short:.1} t/day {are} missing.")
    };
    let fewer = finding.fewer_told();
    if !fewer.is_empty() {
        leading = format!("{leading} {fewer}");
    }
    if !open.is_empty() {
        leading += &format!(" They leave open {}.", open.join(", "));
    }
    if !finding.sees_feed() {
        leading += " Low feed does not show in them.";
    }
    if since != Since::Cleaned && before.is_empty() {
        leading += " What stood before they begin does not show as come or growing: the rounds since the last cleaning tell more.";
    } else if few {
        leading += &format!(" What grows shows in {} rounds over {:.0} days.", GROWTH.0, GROWTH.1);
    }
    said.leading = leading;
    let words = |check: &Check| format!("{} ({})", check.instrument.words(), check.takes());
    said.next = match finding.first_check() {
        // What is missing unexplained is looked for by all that may tell of it, in the order of the page.
        Some(check) if missing.leaves_much() || check.bits < WORTH_BITS && finding.is_short() => {
            let usual: Vec<String> = finding
                .checks
                .iter()
                .filter(|check| finding.worth(check))
                .take(3)
                .map(words)
                .collect();
            if usual.is_empty() {
                format!("Next to read: {}.", words(check))
            } else {
                let round = if missing.not_found.is_empty() { "" } else { "a round now; then " };
                format!("Next to read: {round}{}.", usual.join(", "))
            }
        }
        Some(check) => format!("Next to read: {}.", words(check)),
        None => "No one check would tell much: rounds at another load or in another sea would."
            .to_owned(),
    };
}
