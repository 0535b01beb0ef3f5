//! What a finding says, as plain values for page, terminal and report.

use ::findings::Said;
use jiff::Timestamp;
use jiff::tz::Offset;

use crate::view::{Band, Compared};

use super::blamed::Blamed;
use super::checked::CheckMade;
use super::fresh::Fresh;
use super::looked::Looked;
use super::missing::{self, Missing};
use super::tables::ShipTables;
use super::unsettled::LEADS;
use super::words::ToldOfPlant;

/// A deposit that takes so much of the clean heat transfer in thirty days, %, grows quicker than deposits do (our estimate).
const QUICK: f64 = 20.0;
/// What is said of it.
const QUICK_SAYS: &str = " That is quicker than deposits grow: no day can be reckoned by it. Find why first, and clean at the first stop that is long enough.";

/// One cause.
#[derive(Debug, Clone, PartialEq)]
pub struct CauseLine {
    /// Its key.
    pub key: String,
    /// In words.
    pub words: String,
    /// Chance that it is past its limit, 0 to 1.
    pub chance: f64,
    /// Chance that it came within the record, 0 to 1.
    pub changed: f64,
    /// When it came, where it changed within the record.
    pub came: Option<::findings::Came>,
    /// What it is now, with its unit; "none found" where there is none.
    pub now: String,
    /// Between what it lies nine times in ten.
    pub between: (String, String),
    /// Past this something is to be done.
    pub limit: String,
    /// What its size is a part of, or counted by: "of its heat transfer", "times what a tight plant draws in"; empty for what has a unit.
    pub part_of: &'static str,
    /// A deposit in its unit, with its limit: "3.01·10⁻⁴ m²K/W, limit 1.76"; empty for what is no deposit.
    pub in_unit: String,
    /// Its part of what is lost, 0 to 1; none where it costs no output or next to nothing is lost.
    pub share: Option<f64>,
    /// What it costs, t/day.
    pub loss_t_day: Option<f64>,
    /// What curing it alone brings back, t/day.
    pub cure_t_day: Option<f64>,
    /// Whether it is an instrument that may read wrong.
    pub instrument: bool,
    /// When it was found, where it is not mended yet.
    pub known: Option<Timestamp>,
    /// Rounds since a deposit's part was cleaned, where they are too few to tell what the cleaning left; none else.
    pub few: Option<usize>,
    /// What is missing only as the distillate meter reads it, t/day; under nought where it counts too much. None of all other causes.
    pub read_low_t_day: Option<f64>,
}

impl CauseLine {
    /// How little the rounds since a cleaning tell of a deposit; empty where they tell enough.
    #[must_use]
    pub fn few_says(&self) -> String {
        match self.few {
            None => String::new(),
            Some(0) => "no round since its cleaning: what is usual then".to_owned(),
            Some(1) => "one round since its cleaning, which tells little".to_owned(),
            Some(n) => format!("{n} rounds since its cleaning, which tell little"),
        }
    }

    /// Between what it lies and its limit, without the unit that stands beside the middle: "2.47 to 3.67, limit 1.76".
    #[must_use]
    pub fn between_bare(&self) -> String {
        let bare = |told: &str| {
            let figure = told.trim_start_matches("× ");
            let end = figure.find(['·', ' ']).unwrap_or(figure.len());
            figure[..end].to_owned()
        };
        let low = if self.between.0 == "none" { "0".to_owned() } else { bare(&self.between.0) };
        let high = if self.between.1 == "none" { "0".to_owned() } else { bare(&self.between.1) };
        format!("{low} to {high}, limit {}", bare(&self.limit))
    }
}

/// One reading beside what it should be, and what each likely cause would make of it.
#[derive(Debug, Clone, PartialEq)]
pub struct EvidenceLine {
    /// As on the pages Now and Readings.
    pub compared: Compared,
    /// As it stood on the dial, where the instrument was set right since and what is laid beside is what it would read now, or nothing.
    pub set_right: Option<f64>,
    /// By likely cause, in the order of [`FindingsView::explained_by`]: what it would read; none where the cause is not weighed.
    pub would_read: Vec<Option<f64>>,
}

/// One check that might be made.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckLine {
    /// Name of its reading.
    pub reading: &'static str,
    /// As a heading.
    pub title: &'static str,
    /// What is read, within a sentence: "the vent pipe's temperature".
    pub words: &'static str,
    /// Minutes of work.
    pub minutes: f64,
    /// What it would tell of which causes are to blame, bits.
    pub bits: f64,
    /// Part of the doubt about the causes that it would remove, 0 to 1.
    pub removes: f64,
    /// Whether it is worth the walk.
    pub worth: bool,
    /// How it is done.
    pub how: &'static str,
    /// What to mind.
    pub mind: &'static str,
    /// Only with the plant stopped, cold and drained.
    pub stopped: bool,
    /// The procedure that leads through it, by its key; none where it needs none.
    pub procedure: Option<&'static str>,
}

/// From this chance on a deposit is said to grow.
const GROWS: f64 = 0.80;
/// Unless it surely grows, growth shows from this much of its heat transfer in thirty days on, per cent (our estimate).
const SHOWS: f64 = 2.0;

/// How a deposit grows.
#[derive(Debug, Clone, PartialEq)]
pub struct GrowthLine {
    /// Key of the cause.
    pub key: String,
    /// In words.
    pub words: String,
    /// The chance that it grows at all, 0 to 1.
    pub p_grows: f64,
    /// Growth, 10⁻⁶ m²K/W a day: middle, and between what it lies nine times in ten.
    pub rate: Band,
    /// The same as per cent of the clean heat transfer in thirty days, from where it stands.
    pub percent_month: Band,
    /// What it costs more after thirty days, t/day, at its middle growth; none where it costs nothing now.
    pub more_t_day_month: Option<f64>,
    /// What a plant just cleaned has of it, 10⁻⁴ m²K/W: middle, and between what it lies nine times in ten.
    pub clean: Band,
    /// The limit, 10⁻⁴ m²K/W.
    pub limit: f64,
    /// When the limit is passed: middle, earliest, latest.
    pub crossed: [Option<Timestamp>; 3],
    /// Moment in seconds since 1970, and the deposit then in 10⁻⁴ m²K/W.
    pub course: Vec<(f64, Band)>,
    /// When it costs least to clean it; none where it does not grow or costs nothing.
    pub cleaning: Option<CleaningLine>,
}

impl GrowthLine {
    /// Whether it grows, as far as these rounds tell: very probably.
    #[must_use]
    pub fn grows(&self) -> bool {
        self.p_grows >= GROWS && (self.rate.low > 0.0 || self.percent_month.middle >= SHOWS)
    }

    /// Whether it grows so fast that no usual day of cleaning can be reckoned: first it is looked for why.
    #[must_use]
    pub fn quick(&self) -> bool {
        self.grows() && self.percent_month.middle >= QUICK
    }

    /// How fast it grows, as a sentence: what it takes of the heat transfer and of the output in a month, its unit second.
    #[must_use]
    pub fn says(&self) -> String {
        self.plainly().replace('-', "−")
    }

    /// Whether a day to clean it can be said: it grows as deposits do, and costs something.
    #[must_use]
    pub fn tells_a_day(&self) -> bool {
        self.grows() && self.cleaning.is_some() && !self.quick()
    }

    fn plainly(&self) -> String {
        let (month, rate) = (&self.percent_month, &self.rate);
        let unit = || {
            format!(
                "{:.1}·10⁻⁶ m²K/W a day, {:.1} to {:.1}",
                rate.middle + 0.0,
                rate.low,
                rate.high
            )
        };
        if self.grows() {
            let sure = if rate.low > 0.0 { "In" } else { "Very probably it grows: in" };
            let costs = self.more_t_day_month.filter(|t| *t >= 0.05);
            let costs = costs.map_or_else(String::new, |t| format!(", {t:.1} t/day of output"));
            return format!(
                "{sure} thirty days it takes another {:.0} % of its heat transfer{costs}; nine times in ten {:.0} to {:.0} % ({}).",
                month.middle,
                month.low.max(0.0),
                month.high,
                unit()
            ) + if self.quick() { QUICK_SAYS } else { "" };
        }
        // A deposit that does not show as growing does not shrink either.
        format!(
            "No growth that shows: in thirty days no more than {:.0} % of its heat transfer, nine times in ten.",
            month.high.max(0.0)
        )
    }
}

/// When cleaning costs least.
#[derive(Debug, Clone, PartialEq)]
pub struct CleaningLine {
    /// Moment in seconds since 1970, and the average cost a day if it is cleaned then.
    pub curve: Vec<(f64, f64)>,
    /// The day that costs least; the present where it has passed.
    pub best: Timestamp,
    /// Whether that day has passed.
    pub due: bool,
    /// Days between which it costs at most a twentieth more.
    pub within: (Timestamp, Timestamp),
    /// The best day if it grew as fast and as slowly as nine in ten allow; none beyond eight months.
    pub between: (Timestamp, Option<Timestamp>),
    /// What cleaning it alone brings back now while the plant runs, t/day: as in the table of causes.
    pub loss_t_day: f64,
    /// Moment in seconds since 1970, and the water lost to it from now to then, tonnes.
    pub lost_t: Vec<(f64, f64)>,
    /// Average cost a day on the best day.
    pub cost_day: f64,
    /// What was reckoned with: one cleaning, a tonne, hours standing, part of the time she runs.
    pub cleaning: f64,
    /// Money for a tonne not made.
    pub water_t: f64,
    /// Hours the plant stands.
    pub standing_h: f64,
    /// Part of the time the plant runs.
    pub running: f64,
    /// When it was last cleaned, where that is in the record.
    pub cleaned: Option<Timestamp>,
    /// What prices are counted in.
    pub currency: String,
    /// The price of a cleaning is the usual one, not yet hers.
    pub usual_price: bool,
}

/// Everything the page Findings and `explain --ship` tell.
#[derive(Debug, Clone, PartialEq)]
pub struct FindingsView {
    /// The rounds that were explained: from, until, how many, days.
    pub from: Timestamp,
    /// The last of them.
    pub until: Timestamp,
    /// How many.
    pub rounds: usize,
    /// The ship's time of the last.
    pub zone: Offset,
    /// Why they begin where they do.
    pub since_words: String,
    /// In words, part by part, dates by the ship's clock.
    pub said: Said,
    /// The leading cause, or what remains, in words.
    pub leads: String,
    /// What is newly missing and not explained by what all rounds together tell.
    pub fresh: Option<Fresh>,
    /// What has to be read again before any cause can be relied on: readings cannot stand together. Nothing is reckoned from them.
    pub held: Option<String>,
    /// The leading cause.
    pub leader: Option<CauseLine>,
    /// A deposit that grows and is not past its limit, where nothing else is past its own: as a clause, and its chance.
    pub coming: Option<(String, f64)>,
    /// What was made by the last round and what should have been, as on the page Now, t/day.
    pub made: Option<(f64, Band)>,
    /// What is missing of the output and what it goes to; none where nothing is missing outside the band, or nothing is reckoned.
    pub missing: Option<Missing>,
    /// The causes, likeliest first.
    pub causes: Vec<CauseLine>,
    /// Families: in words, chance that some member is past its limit.
    pub families: Vec<(String, f64)>,
    /// The last readings.
    pub evidence: Vec<EvidenceLine>,
    /// Instruments that are blamed among the likely causes.
    pub blamed: Vec<Blamed>,
    /// Checks among the rounds, newest first.
    pub checked: Vec<CheckMade>,
    /// The likely causes that the evidence is shown for, in words.
    pub explained_by: Vec<String>,
    /// Checks that might be made, the most telling a minute first.
    pub checks: Vec<CheckLine>,
    /// How deposits grow.
    pub growth: Vec<GrowthLine>,
    /// What was told of the plant.
    pub told: ToldOfPlant,
    /// Tables that were weighed with.
    pub tables: ShipTables,
    /// Parts looked at within the rounds, newest first.
    pub looked: Vec<Looked>,
    /// Whether the plant runs as far as the record knows.
    pub runs: bool,
    /// Tables of the estimator's own answer, for another program.
    pub finding: FindingJson,
}

/// The estimator's answer, kept for the command line.
#[derive(Debug, Clone)]
pub struct FindingJson(pub(crate) std::sync::Arc<::findings::Finding>);

impl FindingJson {
    /// The finding itself.
    #[must_use]
    pub fn finding(&self) -> &::findings::Finding {
        &self.0
    }
}

impl PartialEq for FindingJson {
    fn eq(&self, other: &Self) -> bool {
        self.0.sentence() == other.0.sentence()
    }
}

impl FindingsView {
    /// A day by the ship's clock, "28 November 2026".
    #[must_use]
    pub fn day(&self, at: Timestamp) -> String {
        self.zone.to_datetime(at).strftime("%-d %B %Y").to_string()
    }

    /// A day by the ship's clock without its year, "28 Nov".
    #[must_use]
    pub fn short_day(&self, at: Timestamp) -> String {
        self.zone.to_datetime(at).strftime("%-d %b").to_string()
    }

    /// What is short of the output, t/day, in the words of the page Now; none where the counter said nothing or nothing is short.
    #[must_use]
    pub fn short_t_day(&self) -> Option<f64> {
        self.made.map(|(made, should)| missing::short(made, should))
    }

    /// What is short, as a sentence.
    #[must_use]
    pub fn short(&self) -> String {
        match self.made {
            Some((made, should)) if !should.holds(made) && made < should.middle => format!(
                "Output is {:.1} t/day short: {made:.1} where a clean, sound plant would make {:.1}.",
                self.short_t_day().unwrap_or_default(),
                should.middle
            ),
            Some((made, should)) if made > should.middle && !should.holds(made) => {
                let over = -self.short_t_day().unwrap_or_default();
                format!("Output is {over:.1} t/day over what is expected.")
            }
            Some((made, should)) => format!(
                "Output is as expected: {made:.1} t/day, and a clean, sound plant would make {:.1} to {:.1}.",
                should.low, should.high
            ),
            None => String::new(),
        }
    }

    /// Everything in sentences.
    #[must_use]
    pub fn sentence(&self) -> String {
        let explained = self.explained();
        let fresh = self.fresh.as_ref().map_or_else(String::new, |fresh| {
            format!("{}. {} By all rounds together:", fresh.clause(), fresh.moved_says())
                .replace("  ", " ")
        });
        let parts = [fresh.as_str(), self.said.leading.as_str(), explained.as_str()];
        let leading =
            parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ");
        Said { short: self.short(), leading, ..self.said.clone() }.whole()
    }

    /// What is explained of what is missing and what is not, where no cause leads or much is left; empty else.
    #[must_use]
    pub fn explained(&self) -> String {
        let told = |missing: &&Missing| !self.is_led() || missing.leaves_much();
        self.missing.as_ref().filter(told).map_or_else(String::new, Missing::says)
    }

    /// The chance of a cause by these rounds, 0 to 1, whether or not it stands in the table.
    #[must_use]
    pub fn chance_of(&self, key: &str) -> Option<f64> {
        let cause = ::findings::Cause::of_key(key)?;
        self.finding.finding().judged(cause).map(|judged| judged.p_over_limit)
    }

    /// Whether a cause leads, by its limit or by its growth.
    #[must_use]
    pub fn is_led(&self) -> bool {
        self.coming.is_some() || self.leader.as_ref().is_some_and(|leader| leader.chance >= LEADS)
    }

    /// One line for who looks in: the leading finding, or that nothing stands out.
    #[must_use]
    pub fn line(&self) -> String {
        let first = if self.said.first.is_empty() {
            ""
        } else {
            "Dump the distillate: salinity is over its limit. "
        };
        if !self.said.contradiction.is_empty() {
            let again = self.held.as_deref().unwrap_or("the round");
            return format!("{first}The readings contradict each other: read {again} again.");
        }
        let looked = self.looked_first();
        if let (Some(fresh), Some(missing)) = (&self.fresh, &self.missing) {
            let says = fresh.says(missing.short_t_day);
            return format!("{first}{says} By all rounds together: {}", self.leads);
        }
        format!("{first}{looked}{}{}", if looked.is_empty() { "" } else { " " }, self.leads)
    }

    /// What was looked at lately, in front of what remains; empty where nothing was.
    #[must_use]
    pub fn looked_first(&self) -> String {
        let first: Vec<String> = self.looked.iter().map(Looked::first).collect();
        first.into_iter().filter(|first| !first.is_empty()).collect::<Vec<_>>().join(" ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_a_deposit_that_does_not_grow_tells_no_day() {
        let band = |middle: f64, by: f64| Band { middle, low: middle - by, high: middle + by };
        let line = |rate: Band, month: Band| GrowthLine {
            key: "scale".to_owned(),
            words: "scale on the evaporator".to_owned(),
            p_grows: if rate.low > 0.0 { 0.99 } else { 0.6 },
            rate,
            percent_month: month,
            more_t_day_month: Some(0.4),
            clean: band(0.15, 0.15),
            limit: 0.88,
            crossed: [None; 3],
            course: Vec::new(),
            cleaning: None,
        };
        let grows = line(band(2.7, 1.0), band(6.0, 2.0));
        assert!(grows.grows());
        assert_eq!(
            grows.says(),
            "In thirty days it takes another 6 % of its heat transfer, 0.4 t/day of output; nine times in ten 4 to 8 % (2.7·10⁻⁶ m²K/W a day, 1.7 to 3.7)."
        );
        let stands = line(band(0.1, 0.4), band(0.0, 1.0));
        assert!(!stands.grows() && !stands.tells_a_day());
        let slow = GrowthLine { p_grows: 0.85, ..stands.clone() };
        assert!(!slow.grows(), "{}", slow.says());
        let says =
            GrowthLine { p_grows: 0.85, percent_month: band(3.0, 4.0), ..stands.clone() }.says();
        assert!(says.starts_with("Very probably it grows: in thirty days"), "{says}");
        assert!(stands.says().starts_with("No growth that shows"), "{}", stands.says());
        assert!(stands.says().contains("no more than 1 %") && !stands.says().contains('-'));
    }
}
