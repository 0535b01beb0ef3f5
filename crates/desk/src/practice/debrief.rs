//! The debrief: what was done and what came of it, what it cost by physics, beside the run of good hands.

use chart::{Lanes, Span};
use transient::{Mark as Cost, Ran, Record};

use crate::desk::DeskError;
use crate::typed::digits;

use super::doing::{clock, in_words};
use super::matter::{self, MatterLine};
use super::room::Room;
use super::shown::salinity_unit;
use super::trend::lanes;
use super::view::{Happened, Said};

/// One thing that counts.
#[derive(Debug, Clone, PartialEq)]
pub struct CostLine {
    /// What.
    pub what: &'static str,
    /// This run, with its unit.
    pub value: String,
    /// The reference run, where there is one.
    pub reference: String,
    /// Points it cost.
    pub lost: f64,
    /// When it was worst, or began, by the run's clock; empty where it cost nothing or has no moment.
    pub at: String,
    /// Why it matters.
    pub why: &'static str,
}

/// A trouble that was hidden.
#[derive(Debug, Clone, PartialEq)]
pub struct Revealed {
    /// When it came, by the run's clock; none where the run ended before it.
    pub clock: String,
    /// It came before the run ended.
    pub came: bool,
    /// What it was.
    pub what: String,
}

/// The debrief of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct DebriefView {
    /// Number of the run.
    pub id: u64,
    /// What it was called.
    pub title: String,
    /// Where its clock stood.
    pub clock: String,
    /// It is over; else it may be gone on with.
    pub over: bool,
    /// Points of 100.
    pub points: f64,
    /// It was ended before its time and before what it was about had come to an end: only what had come is judged, and the points rank
    /// nothing.
    pub early: bool,
    /// Causes to choose from, where it is still to be asked what was the matter: nothing of it is told before.
    pub asks: Option<Vec<(&'static str, &'static str)>>,
    /// What was said to be the matter, in order of time.
    pub said: Vec<Said>,
    /// What was the matter.
    pub matter: Vec<MatterLine>,
    /// What the exercise was about, where it was a drill.
    pub aim: Option<CostLine>,
    /// Each thing that counts.
    pub costs: Vec<CostLine>,
    /// What was done against the order of things or ticked without being done, in order of time.
    pub against: Vec<Happened>,
    /// What was left undone at the end, each as it was to be done.
    pub undone: Vec<String>,
    /// How often it was gone back in.
    pub backs: u32,
    /// Water to the tank, kg, and its salt, mg/kg.
    pub to_tank: (f64, f64),
    /// What it was, told after.
    pub told: Option<String>,
    /// Troubles that were set.
    pub revealed: Vec<Revealed>,
    /// Everything in order of time.
    pub happened: Vec<Happened>,
    /// There is a reference run to compare with.
    pub good_hands: bool,
    /// Till when good hands ran, by the run's clock, where this run ended or stands before that.
    pub good_until: Option<String>,
    /// This run in ink, the reference in pencil.
    pub trend: Lanes,
}

/// Scale that calls for acid, 1e-6 m²K/W (ours: near the limit that Findings holds the demonstration plant to).
const ACID_1E6: f64 = 100.0;
/// A figure with its unit as people read it.
fn told(mark: &Cost) -> String {
    // Scale is told by what calls for acid; the bare resistance says nothing at the handles.
    if mark.unit == "1e-6 m2K/W" {
        return format!("{} % of what calls for acid", digits(mark.value / ACID_1E6 * 100.0, 1));
    }
    if mark.unit == "s" && mark.value >= 120.0 {
        return format!("{} min", digits(mark.value / 60.0, 0));
    }
    if let Some(word) = mark.word() {
        return word.to_owned();
    }
    let unit = match mark.unit {
        "degC" => "°C",
        "mg/kg" => salinity_unit(),
        unit => unit,
    };
    let decimals = match unit {
        "thing" | "things" | "named" => 0,
        "bar" => 2,
        _ if mark.value.abs() >= 100.0 => 0,
        _ => 1,
    };
    format!("{} {unit}", digits(mark.value, decimals))
}

fn line(mark: &Cost, reference: Option<&Cost>) -> CostLine {
    CostLine {
        what: mark.what,
        value: told(mark),
        reference: reference.map_or_else(String::new, told),
        lost: mark.lost,
        at: mark.at_s.map_or_else(String::new, clock),
        why: mark.why,
    }
}

impl Room {
    /// What was done against the order of things, and what was ticked without being done.
    fn against_order(&self) -> Vec<Happened> {
        let said = self.play.live.against_order().iter();
        let against = said
            .map(|event| (event.time_s, format!("against the order: {}", in_words(&event.says))));
        let untrue = self.play.untrue.iter().map(|event| (event.time_s, event.says.clone()));
        let told = |(at_s, says)| Happened { at_s, clock: clock(at_s), says, by_hand: false };
        let mut all: Vec<Happened> = against.chain(untrue).map(told).collect();
        all.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        all
    }

    /// Everything that happened, with what went against the order; after the end with the troubles that came.
    fn told_after(&self) -> Vec<Happened> {
        let mut all = self.happened();
        for against in self.against_order() {
            let place = all.iter().position(|h| h.at_s > against.at_s).unwrap_or(all.len());
            all.insert(place, against);
        }
        if !self.over() {
            return all;
        }
        let of_drill = self.scenario.actions.iter().filter(|_| self.drill.is_some());
        let of_drill = of_drill.map(|action| (action.time_s, in_words(&action.what.says())));
        let planted = self.planted.iter().map(|planted| {
            let did = if planted.mended { "put right" } else { "comes" };
            (planted.at_s, format!("{}: {did}", planted.trouble.aboard))
        });
        for (at_s, says) in of_drill.chain(planted).filter(|(at_s, _)| *at_s <= self.time_s()) {
            let says = format!("not told then: {says}");
            let place = all.iter().position(|h| h.at_s > at_s).unwrap_or(all.len());
            all.insert(place, Happened { at_s, clock: clock(at_s), says, by_hand: false });
        }
        all
    }

    /// What the run came to so far.
    ///
    /// # Errors
    /// The reference run cannot be carried to its end.
    pub(super) fn debrief(&self) -> Result<DebriefView, DeskError> {
        let against = self.play.live.against_order();
        let first_s = against.first().map(|event| event.time_s);
        let score = self.play.live.score().with_against(against.len(), first_s);
        let (now_s, run) = (self.time_s(), self.play.live.run());
        let stopped = |e: transient::Stopped| DeskError::Asked(e.to_string());
        let reference: Option<Record> = match &self.drill {
            Some(drill) => Some(drill.reference_run(&self.model).map_err(stopped)?),
            None => None,
        };
        let hidden = self.hidden().map_err(stopped)?;
        let verdicts = transient::judged(&hidden, &run.noted().answers, now_s);
        let score = match (&self.drill, verdicts.is_empty()) {
            (None, false) => score.with_matter(&verdicts),
            _ => score,
        };
        let debrief = self.drill.as_ref().zip(reference.as_ref()).map(|(drill, good)| {
            let live = &self.play.live;
            let (rows, hands, score) = (live.rows(), live.done(), score.clone());
            let (over, hidden) = (self.over(), hidden.as_slice());
            drill.debrief(good, Ran { run, rows, hands, score, over, hidden })
        });
        // In a drill some of it is nobody's doing: the marks are the drill's, as its points are.
        let score = debrief.as_ref().map_or(score, |debrief| debrief.score.clone());
        let beside = debrief.as_ref().map(|debrief| &debrief.reference.marks);
        let costs = score.marks.iter().enumerate();
        let costs = costs.map(|(i, mark)| line(mark, beside.and_then(|marks| marks.get(i))));
        let costs: Vec<CostLine> = costs.collect();
        let planted = self.planted.iter().map(|planted| Revealed {
            clock: clock(planted.at_s),
            came: planted.at_s <= now_s,
            what: match planted.mended {
                true => format!("{}: put right", planted.trouble.aboard),
                false => planted.trouble.aboard.to_owned(),
            },
        });
        let mut ink = self.play.live.rows().to_vec();
        ink.push(self.play.live.row());
        let pencil: Vec<_> =
            reference.as_ref().map(|record| record.rows.clone()).unwrap_or_default();
        let last = pencil.last().map_or(0.0, |row| row.time_s);
        let span = Span { from_s: 0.0, to_s: now_s.max(last).max(600.0) };
        let mut trend = lanes(&self.setup.ship.limits, run, &ink, &pencil, span, Some(now_s));
        trend.title = if reference.is_some() {
            "This run beside the run of good hands".to_owned()
        } else {
            "This run".to_owned()
        };
        trend.says = if reference.is_some() {
            "Ink: this run. Pencil: the reference run.".to_owned()
        } else {
            String::new()
        };
        Ok(DebriefView {
            id: self.id,
            title: self.title.clone(),
            clock: clock(now_s),
            over: self.over(),
            points: debrief.as_ref().map_or(score.points, |debrief| debrief.points),
            early: debrief.as_ref().is_some_and(|debrief| debrief.early),
            asks: self.asks().then(matter::causes),
            said: self.said(),
            matter: match &debrief {
                Some(debrief) => debrief.matter.iter().map(matter::line).collect(),
                None => verdicts.iter().map(matter::line).collect(),
            },
            aim: debrief.as_ref().map(|debrief| {
                let good = Cost { value: debrief.aim_reference, ..debrief.aim.clone() };
                line(&debrief.aim, Some(&good))
            }),
            costs,
            against: self.against_order(),
            undone: debrief.map_or_else(Vec::new, |debrief| {
                debrief.undone.iter().map(|what| in_words(what)).collect()
            }),
            backs: self.backs,
            to_tank: (score.to_tank_kg, score.tank_salt_mg_kg),
            told: self.drill.as_ref().map(|drill| drill.told.clone()),
            revealed: planted.collect(),
            happened: self.told_after(),
            good_hands: reference.is_some(),
            good_until: (now_s + 1.0 < self.scenario.until_s).then(|| clock(self.scenario.until_s)),
            trend,
        })
    }
}
