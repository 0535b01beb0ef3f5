//! The plan as plain values: for the page, the terminal and the printed list.

use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};
use ocean::Position;
use passage::decision::{Brief, Cannot, Remedied, foreseen_t};

use super::{AtSpeed, How, LegLine, missing};
use passage::timeline::{Aboard, Area, Caution, STEP_MIN, Sample, Timeline};

/// What is to be done at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct OrderLine {
    /// When.
    pub at: Timestamp,
    /// The ship's zone then.
    pub zone: Offset,
    /// What.
    pub what: String,
    /// Whether it concerns the plant; else a tank.
    pub plant: bool,
}

/// What is worth knowing along a stretch of the way.
#[derive(Debug, Clone, PartialEq)]
pub struct CautionLine {
    /// From this moment.
    pub from: Timestamp,
    /// To this one.
    pub to: Timestamp,
    /// Where it begins.
    pub position: Position,
    /// What.
    pub says: String,
    /// The leg, counted from 0, of which the track runs over land: the route is wrong there, or the coast is.
    pub over_land: Option<usize>,
}

/// The moment of a place of the stock, 0 before the first sample, by the ship's clock: "2 Dec 18:15".
pub(super) fn at(line: &Timeline, place: usize) -> String {
    let step = SignedDuration::from_mins(i64::from(STEP_MIN));
    let at = match (line.samples.get(place), line.samples.last()) {
        (Some(sample), _) => sample.at,
        (None, Some(last)) => last.at.checked_add(step).unwrap_or(last.at),
        (None, None) => return String::new(),
    };
    line.clock.local(at).strftime("%-d %b %H:%M").to_string()
}

/// Cautions of samples next to each other as stretches, in the order of their beginnings.
pub(super) fn stretches(samples: &[Sample]) -> Vec<CautionLine> {
    let mut lines: Vec<CautionLine> = Vec::new();
    let mut last_seen: Vec<usize> = Vec::new();
    for (k, sample) in samples.iter().enumerate() {
        let to = samples.get(k + 1).map_or(sample.at, |next| next.at);
        for caution in &sample.cautions {
            let says = caution.sentence();
            let over = |caution: &Caution| match caution {
                Caution::OverLand { leg, .. } => Some(*leg),
                _ => None,
            };
            // A leg is told once, however often it comes to land.
            let open = |i: &usize| match over(caution) {
                Some(leg) => lines[*i].over_land == Some(leg),
                None => last_seen[*i] + 1 == k && lines[*i].says == says,
            };
            if let Some(i) = (0..lines.len()).rev().find(open) {
                (lines[i].to, last_seen[i]) = (to, k);
            } else {
                let position = sample.moment.position;
                let over_land = over(caution);
                lines.push(CautionLine { from: sample.at, to, position, says, over_land });
                last_seen.push(k);
            }
        }
    }
    lines
}

/// What becomes of the heat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Heat<'a> {
    /// It is to be taken off now.
    OffNow,
    /// It is to be taken off at this sample.
    OffBy(&'a Sample),
    /// It stays on to the end of what is planned.
    StaysOn,
    /// No water is to be made.
    None,
}

/// Everything the page Passage shows.
#[derive(Debug, Clone, PartialEq)]
pub struct PassageView {
    /// Name of the route.
    pub name: String,
    /// Where she goes.
    pub to: String,
    /// Miles from the plan's beginning to arrival.
    pub to_go_nmi: f64,
    /// The samples.
    pub timeline: Timeline,
    /// Planned output at each sample, t/day.
    pub making_t_day: Vec<f64>,
    /// The planner's answer.
    pub brief: Brief,
    /// The one sentence over the plan: whether it lasts, else the first reason with its date; then what binds.
    pub says: String,
    /// The same as it is interchanged.
    pub binding: String,
    /// It just lasts: what is missing at a tap is less than soundings tell, in a sentence.
    pub just: Option<String>,
    /// Why heat comes off when it does, where it does.
    pub why_off: Option<String>,
    /// What was changed since the plan before, and what that made of it; none where nothing was.
    pub edited: Option<String>,
    /// Waypoints of the sea passage that lie on land, each in a sentence: the track is not the one she sails.
    pub on_land: Vec<String>,
    /// What of the route's text was taken on an assumption, each in a sentence.
    pub doubts: Vec<String>,
    /// How the stock was reckoned and what its figures mean, each in a sentence.
    pub reckoned: Vec<String>,
    /// Dated draws that begin while she is not on sea passage, each in words.
    pub in_port: Vec<String>,
    /// The route's last moment; the plan looks some days further.
    pub route_ends: Timestamp,
    /// Events dated outside the route's time: of another voyage, most likely.
    pub outside: Vec<String>,
    /// Events of an earlier route, which are not reckoned.
    pub earlier: Vec<String>,
    /// When its orders were given: before the plan was made, where orders stand.
    pub ordered: Timestamp,
    /// What costs are counted in.
    pub currency: String,
    /// How much was asked.
    pub how: How,
    /// What could be done otherwise.
    pub remedies: Vec<Remedied>,
    /// What an hour, five miles and ten tonnes would be worth, in a sentence; none where it was not asked.
    pub worth: Option<String>,
    /// What makes it last, where it does not as ordered and the remedies were planned.
    pub way_out: Option<String>,
    /// The same passage at other speeds from now on.
    pub speeds: Vec<AtSpeed>,
    /// The legs that are still to be sailed, as planned.
    pub legs: Vec<LegLine>,
    /// What is aboard now.
    pub aboard: Aboard,
    /// Tanks that were never sounded: counted as empty.
    pub unsounded: Vec<String>,
    /// The soundings it was made from: the entry that holds each, and cm.
    pub soundings: Vec<(u64, f64)>,
    /// The tanks were sounded long ago: in a sentence.
    pub stale: Option<String>,
    /// The record's clocks and the route's differ: in a sentence.
    pub zones: Option<String>,
    /// What the plan costs if nothing scatters, by what it is for.
    pub costs: Vec<(&'static str, f64)>,
    /// Reserve at each sample, t.
    pub reserve_t: Vec<f64>,
    /// Ceiling at each sample, t.
    pub ceiling_t: Vec<f64>,
    /// The sample of arrival.
    pub arrival: usize,
    /// Orders in time.
    pub orders: Vec<OrderLine>,
    /// What is worth knowing on the way.
    pub cautions: Vec<CautionLine>,
    /// Use of a day at sea, t.
    pub day_t: f64,
    /// Distance off ordered, nmi.
    pub distance_off_nmi: f64,
    /// What she makes of a clean plant's output.
    pub share: f64,
    /// Where that is from: what tells it, in half a sentence.
    pub share_says: String,
    /// The newest rounds make less than rounds scatter: Findings says why.
    pub share_fell: bool,
    /// Ports by name.
    pub ports: Vec<(String, ocean::Position)>,
    /// Areas where no water is made.
    pub areas: Vec<Area>,
    /// Shores around the track.
    pub shores: chart::Coastline,
    /// Now, or the beginning of the route where that lies ahead.
    pub from: Timestamp,
}

impl PassageView {
    /// Whether the water lasts: the reserve holds, the tanks can carry the plan, and nothing is missing at a tap by the split
    /// over them.
    #[must_use]
    pub fn lasts(&self) -> bool {
        self.brief.policy.lasts() && !self.runs_out() && self.cannot().is_none()
    }

    /// Whether water is missing at a tap by the split over the tanks.
    #[must_use]
    pub fn runs_out(&self) -> bool {
        !missing::shorts(&self.brief).is_empty()
    }

    /// The next start that is ordered after a moment.
    #[must_use]
    pub fn next_start(&self, now: Timestamp) -> Option<&Sample> {
        let starts = self.brief.policy.orders.iter().filter_map(|order| order.start);
        let mut samples = starts.filter_map(|k| self.timeline.samples.get(k));
        samples.find(|sample| sample.at > now)
    }

    /// The stock on arrival: one in ten below, by the orders, one in ten above, t.
    #[must_use]
    pub fn on_arrival_t(&self) -> (f64, f64, f64) {
        self.stock_t(self.arrival)
    }

    /// The stock when a sample is reached, t, as every figure of the page has it: what can be pumped, one passage in ten having
    /// less, what the orders come to if nothing scatters, one in ten having more.
    #[must_use]
    pub fn stock_t(&self, sample: usize) -> (f64, f64, f64) {
        let brief = &self.brief;
        foreseen_t(&brief.policy, &brief.bands, brief.tank_plan.as_ref(), sample)
    }

    /// The same of a remedy on arrival.
    #[must_use]
    pub fn arriving_t(&self, remedy: &Remedied) -> (f64, f64, f64) {
        let stock_t = &remedy.stock_t;
        stock_t.get(self.arrival).or(stock_t.last()).copied().unwrap_or_default()
    }

    /// Why the tanks cannot carry the plan, where they cannot.
    #[must_use]
    pub fn cannot(&self) -> Option<&Cannot> {
        self.brief.tank_plan.as_ref()?.cannot.as_ref()
    }

    /// Days that the stock on arrival lasts at the use of a day at sea.
    #[must_use]
    pub fn days_in_hand(&self) -> f64 {
        if self.day_t > 0.0 { self.on_arrival_t().1 / self.day_t } else { f64::INFINITY }
    }

    /// Where the stock is lowest in one passage of ten, and how much it is then.
    #[must_use]
    pub fn lowest(&self) -> Option<(&Sample, f64)> {
        let low = (0..self.timeline.samples.len()).map(|k| (k, self.stock_t(k).0));
        let (k, t) = low.min_by(|a, b| a.1.total_cmp(&b.1))?;
        Some((self.timeline.samples.get(k)?, t))
    }

    /// Whether it is lowest only after she has been where she is bound for.
    #[must_use]
    pub fn lowest_beyond(&self) -> bool {
        let arrives = self.timeline.samples.get(self.arrival).map(|sample| sample.at);
        self.lowest().zip(arrives).is_some_and(|((sample, _), arrives)| sample.at > arrives)
    }

    /// The next moment at which heat is taken off, where one is ordered.
    #[must_use]
    pub fn heat_off(&self) -> Option<&Sample> {
        let orders = &self.brief.policy.orders;
        orders.iter().find_map(|order| self.timeline.samples.get(order.heat_off?))
    }

    /// What becomes of the heat, as of a moment.
    #[must_use]
    pub fn heat(&self, now: Timestamp) -> Heat<'_> {
        match self.heat_off() {
            Some(sample) if sample.at <= now => Heat::OffNow,
            Some(sample) => Heat::OffBy(sample),
            None if self.making_t_day.iter().any(|t_day| *t_day > 0.0) => Heat::StaysOn,
            None => Heat::None,
        }
    }
}
