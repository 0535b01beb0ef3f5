//! A finding in words.

use jiff::Timestamp;
use jiff::tz::Offset;

use crate::cause::{Cause, Family};
use crate::explain::Finding;
use crate::instrument::Instrument;
use crate::judge::Judged;
use crate::next::Check;
use crate::salt::DUMP_MG_KG;

/// From here on a cause is named without a doubt.
pub(crate) const IS: f64 = 0.95;
/// From here on it is very probable.
pub(crate) const VERY: f64 = 0.80;
/// From here on it is probable.
pub(crate) const PROBABLY: f64 = 0.50;
/// Under this nothing is said to be past its limit.
pub(crate) const NOTHING: f64 = 0.20;
/// A loss under this part of the clean output is not told.
pub(crate) const LOSS_TOLD: f64 = 0.03;

/// A probability as it is said, never none and never certain: "84 %", "over 99 %", "under 1 %".
#[must_use]
pub fn percent(p: f64) -> String {
    format!("{} %", in_hundred(p))
}

/// The same without its sign: "84", "over 99", "under 1".
#[must_use]
pub fn in_hundred(p: f64) -> String {
    match p {
        p if p >= 0.995 => "over 99".to_owned(),
        p if p < 0.005 => "under 1".to_owned(),
        p => format!("{:.0}", 100.0 * p),
    }
}

/// Minutes of work as they are said: "two minutes", "45 minutes", "1.5 hours".
#[must_use]
pub fn lasting(minutes: f64) -> String {
    const WORDS: [&str; 11] =
        ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"];
    let whole = minutes.round() as usize;
    match WORDS.get(whole) {
        _ if minutes >= 60.0 => format!("{:.1} hours", minutes / 60.0),
        Some(word) => format!("{word} minute{}", if whole == 1 { "" } else { "s" }),
        None => format!("{whole} minutes"),
    }
}

pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// A finding in words, part by part; a part with nothing to say is empty.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Said {
    /// What is to be done before anything is looked for: salt over its limit.
    pub first: String,
    /// Figures that cannot be as they stand: left out, or still counted where they are out by little.
    pub odd: Vec<String>,
    /// What was passed over before the readings were explained.
    pub notes: Vec<String>,
    /// Readings that nothing explains.
    pub contradiction: String,
    /// What is missing of the output.
    pub short: String,
    /// The leading cause, how surely, and what is not excluded.
    pub leading: String,
    /// What changed within the record without being past its limit.
    pub changed: Vec<String>,
    /// When growing deposits pass their limits.
    pub dates: Vec<String>,
    /// The check that would tell more.
    pub next: String,
    /// Routine readings that were not taken.
    pub unseen: String,
}

impl Said {
    /// All parts in their order.
    #[must_use]
    pub fn whole(&self) -> String {
        let mut said: Vec<&str> = vec![&self.first];
        said.extend(self.odd.iter().map(String::as_str));
        said.extend([&*self.contradiction, &self.short, &self.leading, &self.next]);
        said.extend(self.dates.iter().chain(&self.changed).map(String::as_str));
        said.push(&self.unseen);
        said.extend(self.notes.iter().map(String::as_str));
        said.retain(|s| !s.is_empty());
        said.join(" ")
    }
}

impl Finding {
    /// What is found, in a few sentences of plain words; dates by UTC.
    #[must_use]
    pub fn sentence(&self) -> String {
        let day = |t: Timestamp| Offset::UTC.to_datetime(t).strftime("%-d %B %Y").to_string();
        self.said(&day).whole()
    }

    /// The same part by part; `day` writes a date.
    #[must_use]
    pub fn said(&self, day: &dyn Fn(Timestamp) -> String) -> Said {
        if self.held().is_some() {
            return Said {
                first: self.salty(DUMP_MG_KG),
                odd: self.odd.clone(),
                notes: self.notes.clone(),
                contradiction: self.contradiction(),
                unseen: self.unseen(),
                ..Said::default()
            };
        }
        Said {
            first: self.salty(DUMP_MG_KG),
            odd: self.odd.clone(),
            notes: self.notes.clone(),
            contradiction: self.contradiction(),
            short: self.short(),
            leading: self.leading_of_few(),
            changed: self.changed(day),
            dates: self.dates(day),
            next: self.splitting().unwrap_or_default(),
            unseen: self.unseen(),
        }
    }

    /// What is short of a clean and sound plant's output under the readings as they stand; what was not read is not short.
    fn short(&self) -> String {
        let expected = self.loss.as_ref().and_then(|loss| loss.expected_t_day);
        let Some((expected, made)) = expected.zip(self.last_read(Instrument::Product)) else {
            return String::new();
        };
        // From what is shown, so that the figures make up the difference.
        let tenths = |x: f64| (10.0 * x).round() / 10.0;
        let short = tenths(expected) - tenths(made);
        if short <= LOSS_TOLD * expected {
            return String::new();
        }
        format!(
            "Output is {short:.1} t/day short: {made:.1} where a clean, sound plant would make {expected:.1}."
        )
    }

    /// What moved within the record, and is not past its limit: what a history settles long before the level.
    fn changed(&self, day: &dyn Fn(Timestamp) -> String) -> Vec<String> {
        let sizes = self.sizes();
        let led = self.coming().map(|(j, _)| j.cause);
        self.causes
            .iter()
            .filter(|j| j.p_changed >= VERY && j.p_over_limit < PROBABLY && led != Some(j.cause))
            .take(2)
            .map(|j| {
                let (words, p) = (capital(&j.cause.words()), percent(j.p_changed));
                let when = self.came(j.cause).map_or_else(String::new, |came| {
                    format!(", {} about {}", came.how(), day(came.at))
                });
                match j.cause {
                    Cause::Instrument(i) => format!(
                        "{} changed within these readings{when} ({p}), and is off by about {}, under its limit of {}.",
                        capital(i.words()),
                        j.cause.told(j.value),
                        j.cause.told_limit(j.limit)
                    ),
                    _ => format!(
                        "{words} came within these readings{when} ({p}): now {}, not past its limit of {}.",
                        sizes.told(j.cause, j.value),
                        sizes.brief(j.cause, j.limit)
                    ),
                }
            })
            .collect()
    }

    /// Readings that nothing explains, with the one that stands farthest off.
    fn contradiction(&self) -> String {
        if self.mixture.unexplained < PROBABLY {
            return self.until_read_again();
        }
        let worst = self.evidence.iter().max_by(|a, b| a.left.abs().total_cmp(&b.left.abs()));
        let named = worst.map_or_else(String::new, |e| {
            format!(
                " Farthest off is {}: read {:.3}, explained at best as {:.3}.",
                e.instrument.words(),
                e.read,
                e.fitted
            )
        });
        format!(
            "These readings contradict each other: no cause known here, and no two, explain them ({}).{named} Read them again before anything is opened: until then no cause is to be relied on.",
            percent(self.mixture.unexplained)
        )
    }

    /// The leading cause; of few readings that settle little, how few they are.
    fn leading_of_few(&self) -> String {
        let leading = self.leading();
        let lead = self.causes.first().map_or(0.0, |j| j.p_over_limit);
        let few = self.fewer_told();
        if few.is_empty() || !(NOTHING..PROBABLY).contains(&lead) {
            return leading;
        }
        format!("{leading} {few}")
    }

    fn leading(&self) -> String {
        if let Some(growing) = self.growing() {
            return growing;
        }
        let all: Vec<&Judged> = self.causes.iter().collect();
        let lead = all.first().filter(|j| j.p_over_limit >= NOTHING && j.cause.costs_nothing());
        if lead.is_none() || self.short().is_empty() {
            return self.leading_among(&all);
        }
        // Water that is missing is not missing for an instrument that only misleads: it is told apart.
        let (besides, rest): (Vec<&Judged>, Vec<&Judged>) =
            all.into_iter().partition(|j| j.cause.costs_nothing());
        let why = match rest.first() {
            Some(first) if first.p_over_limit >= NOTHING => self.leading_among(&rest),
            _ => "No cause that costs water is likely past its limit.".to_owned(),
        };
        let named: Vec<String> = besides
            .into_iter()
            .filter(|j| j.p_over_limit >= NOTHING)
            .take(2)
            .map(|j| {
                let Cause::Instrument(i) = j.cause else { return j.cause.words() };
                format!("{} reads wrong ({})", i.words(), percent(j.p_over_limit))
            })
            .collect();
        format!("{why} Besides, {}, which costs no water.", named.join(" and "))
    }

    /// Causes of which each is so likely that it is simply said to be: a leaking heater before all, then what costs most.
    fn sure<'c>(&self, causes: &[&'c Judged]) -> Vec<&'c Judged> {
        const NAMED: usize = 3;
        let costs = |j: &Judged| {
            self.loss.as_ref().and_then(|l| l.of(j.cause)).map_or(0.0, |c| c.loss_t_day)
        };
        let mut sure: Vec<&Judged> =
            causes.iter().copied().filter(|j| j.p_over_limit >= IS).collect();
        let leaks = |j: &Judged| j.cause == Cause::HeaterLeak;
        sure.sort_by(|a, b| leaks(b).cmp(&leaks(a)).then(costs(b).total_cmp(&costs(a))));
        sure.truncate(NAMED);
        sure
    }

    fn leading_among(&self, causes: &[&Judged]) -> String {
        let Some(first) = causes.first() else { return String::new() };
        let others: Vec<&Judged> = causes
            .iter()
            .copied()
            .skip(1)
            .filter(|j| j.p_over_limit >= 0.10 && j.p_over_limit >= 0.2 * first.p_over_limit)
            .take(2)
            .collect();
        let and_others = || {
            let list: Vec<String> = others
                .iter()
                .map(|j| format!("{} ({})", j.cause.words(), percent(j.p_over_limit)))
                .collect();
            list.join(" or ")
        };
        let words = capital(&first.cause.words());
        let p = first.p_over_limit;
        if p < NOTHING {
            return self.nothing();
        }
        let sure = self.sure(causes);
        if sure.len() > 1 {
            let named: Vec<String> = sure
                .iter()
                .map(|j| {
                    let clause = self.clause(j.cause);
                    let is = if clause == j.cause.words() { "there is " } else { "" };
                    format!("{is}{clause} ({})", percent(j.p_over_limit))
                })
                .collect();
            return format!("{}.", capital(&named.join(", and ")));
        }
        // The second may be at fault and yet under its limit: that is told with what changed.
        let second = causes.get(1).map_or(0.0, |j| j.p_over_limit);
        if self.two_at_once() > PROBABLY && p >= PROBABLY && second >= NOTHING {
            let named: Vec<String> = causes
                .iter()
                .take(2)
                .map(|j| format!("{} ({})", j.cause.words(), percent(j.p_over_limit)))
                .collect();
            return format!(
                "No single cause explains these readings; most likely are {}.",
                named.join(" and ")
            );
        }
        let probably = others.iter().all(|j| j.p_over_limit >= PROBABLY);
        let rest = match others.is_empty() {
            true => String::new(),
            false if probably => {
                format!("; probably there is {} as well", and_others().replace(") or ", ") and "))
            }
            false => format!("; these readings do not exclude {}", and_others()),
        };
        if p >= IS {
            let clause = self.clause(first.cause);
            let is = if clause == first.cause.words() { "It is " } else { "" };
            return format!("{} ({}){rest}.", capital(&format!("{is}{clause}")), percent(p));
        }
        let named = self.clause(first.cause);
        if p >= VERY {
            return format!("Very probably {named} ({}){rest}.", percent(p));
        }
        if p >= PROBABLY {
            return format!("Probably {named} ({}): check before opening up{rest}.", percent(p));
        }
        let family = self
            .families
            .iter()
            .filter(|f| f.family.holds(first.cause) && f.p_over_limit >= PROBABLY)
            .max_by(|a, b| a.p_over_limit.total_cmp(&b.p_over_limit));
        let within = family.map_or_else(String::new, |f| {
            format!("Something on {} ({}). ", f.family.words(), percent(f.p_over_limit))
        });
        if others.is_empty() {
            return format!("{within}{words} is possible ({}), nothing is sure.", percent(p));
        }
        format!(
            "{within}These readings cannot tell {} ({}) from {}.",
            first.cause.words(),
            percent(p),
            and_others()
        )
    }

    fn nothing(&self) -> String {
        let feed = !self.sees_feed();
        let mut hidden = Vec::new();
        if feed {
            hidden.push("low feed");
        }
        hidden.push("a worn ejector");
        if !self.ever_reads(Instrument::VentTemp) {
            hidden.push("half a condenser's fouling");
        }
        let few = self.fewer_told();
        if few.is_empty() {
            return format!(
                "Nothing is past its limit. Not seen by these readings: {}.",
                hidden.join(", ")
            );
        }
        format!(
            "{few} No cause is likely past its limit by them; that none is they cannot tell. Not seen by them: {}.",
            hidden.join(", ")
        )
    }

    /// When a growing deposit passes its limit, where it has not and that is likely within the year.
    fn dates(&self, day: &dyn Fn(Timestamp) -> String) -> Vec<String> {
        self.growth
            .iter()
            .filter(|g| self.judged(g.cause).is_some_and(|j| j.p_over_limit < PROBABLY))
            .filter(|g| {
                let led = self.coming().is_some_and(|(first, _)| first.cause == g.cause);
                g.rate_m2k_w_day.1 > 0.0 || led
            })
            .filter_map(|g| {
                let [Some(middle), early, late] = g.crossed else { return None };
                let late = late.map_or_else(|| "later than a year".to_owned(), &day);
                let early = early.map_or_else(|| "now".to_owned(), &day);
                let what = match self.coming() {
                    Some((first, _)) if first.cause == g.cause => "the limit is reached".to_owned(),
                    _ => format!("{} reaches its limit", g.cause.words()),
                };
                Some(format!("At this rate {what} about {} ({early} to {late}).", day(middle)))
            })
            .collect()
    }

    /// The check that would tell more, when the leader is in doubt.
    fn splitting(&self) -> Option<String> {
        let over = self.causes.first()?.p_over_limit;
        let (p, apart) = match self.coming() {
            Some((first, p)) => {
                (p, self.causes.iter().any(|j| j.cause != first.cause && self.is_open(j)))
            }
            None => (over, false),
        };
        let open = apart || (NOTHING..IS).contains(&p);
        if !open {
            return self.few_lead_nowhere().then(|| self.read_next());
        }
        self.checks.first()?;
        // Of salt out of all measure the instrument is doubted before anything else is walked to.
        let salty = !self.salty(DUMP_MG_KG).is_empty();
        let second = |check: &&Check| salty && check.instrument == Instrument::SecondSalt;
        let checks = &self.checks;
        let best = checks.iter().filter(|check| self.worth(check)).find(second);
        let Some(best) = best.or_else(|| self.first_check()) else {
            return Some("No further check is worth the walk.".into());
        };
        let minutes = lasting(best.minutes);
        let stopped = if best.instrument == Instrument::LeakDown {
            ", only with the plant stopped, cold and drained"
        } else {
            ""
        };
        let words = best.instrument.words();
        if apart {
            return Some(format!("{} would tell them apart: {minutes}{stopped}.", capital(words)));
        }
        Some(format!("Next to read: {words} ({minutes}{stopped})."))
    }

    /// Routine readings that were not taken.
    fn unseen(&self) -> String {
        let missing: Vec<&str> = self.not_read().into_iter().map(Instrument::words).collect();
        if missing.is_empty() || (self.few_lead_nowhere() && self.held().is_none()) {
            String::new()
        } else {
            format!("Not read: {}.", missing.join(", "))
        }
    }

    /// Readings of a usual round that were not taken.
    pub(crate) fn not_read(&self) -> Vec<Instrument> {
        use Instrument as I;
        [
            I::JacketIn,
            I::JacketOut,
            I::SeaTemp,
            I::SeaOut,
            I::VapourTemp,
            I::Product,
            I::ProductSalt,
            I::EjectorPressure,
        ]
        .into_iter()
        .filter(|i| !self.reads(*i))
        .collect()
    }

    /// Probability that two things are at fault together.
    fn two_at_once(&self) -> f64 {
        let two = |p: &&crate::search::Part| p.fit.hypothesis.blames.len() == 2;
        self.mixture.parts.iter().filter(two).map(|p| p.weight).sum()
    }

    /// Whether an instrument is among the readings of any moment.
    fn ever_reads(&self, instrument: Instrument) -> bool {
        self.problem.layout.error(instrument).is_some()
    }

    /// Whether low feed would show: only the brine's strength and a feed meter tell of it.
    #[must_use]
    pub fn sees_feed(&self) -> bool {
        self.ever_reads(Instrument::BrineSalinity) || self.ever_reads(Instrument::FeedMeter)
    }

    /// Whether an instrument is among the last readings.
    #[must_use]
    pub fn reads(&self, instrument: Instrument) -> bool {
        let Some(last) = self.problem.moments.last() else { return false };
        match instrument {
            Instrument::JacketIn => last.input_read[0],
            Instrument::SeaTemp => last.input_read[1],
            other => {
                let table = &self.problem.tables.instruments;
                last.rows.iter().any(|r| table[r.line].instrument == other)
            }
        }
    }

    /// Probability that some cause of a family is past its limit.
    #[must_use]
    pub fn family(&self, family: Family) -> f64 {
        self.families.iter().find(|f| f.family == family).map_or(0.0, |f| f.p_over_limit)
    }

    /// What is said of a cause.
    #[must_use]
    pub fn judged(&self, cause: Cause) -> Option<&Judged> {
        self.causes.iter().find(|j| j.cause == cause)
    }
}
