//! What is said where the rounds cannot settle it: how many there are, what they leave open, and what to read next.

use ::findings::{Finding, Said, WORTH_BITS, lasting};

use super::Since;

/// From this chance on a cause leads.
pub(super) const LEADS: f64 = 0.20;
/// Left open are causes of this chance at least, and as many.
const OPEN: (f64, usize) = (0.02, 3);
/// So many rounds over so many days tell growth.
const GROWTH: (usize, f64) = (6, 2.0);

/// Changes what is said, where nothing leads: `short_t_day` is missing of the output outside its band, none where it is as expected.
pub(super) fn mend(
    said: &mut Said,
    finding: &Finding,
    (rounds, days): (usize, f64),
    short_t_day: Option<f64>,
    since: Since,
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
    let Some(short) = short_t_day else {
        if few {
            said.leading += &format!(
                " {counted} cannot tell what grows, what came when, and what stood wrong from the first: a thermometer off by a degree or two looks like the plant. That takes {} rounds over {:.0} days, best in another sea or at another load.",
                GROWTH.0, GROWTH.1
            );
        }
        return;
    };
    let open: Vec<String> = finding
        .causes
        .iter()
        .filter(|j| j.p_over_limit >= OPEN.0)
        .take(OPEN.1)
        .map(|j| format!("{} ({:.0} %)", j.cause.words(), 100.0 * j.p_over_limit))
        .collect();
    let are = if short >= 1.95 { "are" } else { "is" };
    let mut leading = if few || since != Since::Cleaned {
        format!(
            "{counted} cannot tell why {short:.1} t/day {are} missing: no cause is likely past its limit by them."
        )
    } else {
        format!("{counted} show no cause past its limit, and {short:.1} t/day {are} missing.")
    };
    if !open.is_empty() {
        leading += &format!(" They leave open {}.", open.join(", "));
    }
    if !finding.sees_feed() {
        leading += " Low feed does not show in them.";
    }
    if since != Since::Cleaned {
        leading += " What stood before they begin does not show as come or growing: the rounds since the last cleaning tell more.";
    } else if few {
        leading += &format!(" What grows shows in {} rounds over {:.0} days.", GROWTH.0, GROWTH.1);
    }
    said.leading = leading;
    said.next = match finding.checks.iter().find(|check| check.bits >= WORTH_BITS) {
        Some(check) => {
            format!("Next to read: {} ({}).", check.instrument.words(), lasting(check.minutes))
        }
        None => "No one check would tell much: rounds at another load or in another sea would."
            .to_owned(),
    };
}
