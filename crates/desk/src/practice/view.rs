//! A run that is practised as plain values: the sentence, the vessel, its handles and gauges, what happened.

use chart::{Lanes, Vessel};

use super::list::Beside;
use super::room::{Pace, Way};
use super::suits::Suits;

/// Who has the handles.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Handles {
    /// Nobody yet: the first who acts.
    Free,
    /// The one who asks.
    Yours,
    /// Somebody else.
    Others,
}

/// A valve.
#[derive(Debug, Clone, PartialEq)]
pub struct ValveView {
    /// Number on the drawing.
    pub no: usize,
    /// Name in requests.
    pub name: &'static str,
    /// Label.
    pub label: String,
    /// Where it stands, "60 %", "shut", and where it is being turned.
    pub stands: String,
    /// Where it is going, %.
    pub to_percent: f64,
}

/// A pump.
#[derive(Debug, Clone, PartialEq)]
pub struct PumpView {
    /// Name in requests.
    pub name: &'static str,
    /// Label.
    pub label: String,
    /// Whether it runs.
    pub runs: bool,
}

/// A switch.
#[derive(Debug, Clone, PartialEq)]
pub struct SwitchView {
    /// Name in requests.
    pub name: &'static str,
    /// Label.
    pub label: String,
    /// Its words.
    pub words: &'static [&'static str],
    /// The one it stands at.
    pub at: &'static str,
}

/// A figure that is set.
#[derive(Debug, Clone, PartialEq)]
pub struct SetView {
    /// Name in requests.
    pub name: &'static str,
    /// Label.
    pub label: String,
    /// As it stands.
    pub stands: String,
    /// Its unit.
    pub unit: &'static str,
    /// What a press of ± changes.
    pub step: &'static str,
}

/// A gauge: label, figure with unit.
#[derive(Debug, Clone, PartialEq)]
pub struct GaugeView {
    /// A key for bringing it up to date.
    pub key: &'static str,
    /// Label.
    pub label: &'static str,
    /// Figure and unit.
    pub value: String,
}

/// The answer: words, the one figure with its unit, words.
#[derive(Debug, Clone, PartialEq)]
pub struct Says {
    /// Before the figure.
    pub before: String,
    /// The figure.
    pub figure: String,
    /// Its unit.
    pub unit: &'static str,
    /// After it.
    pub after: String,
}

/// Something that happened.
#[derive(Debug, Clone, PartialEq)]
pub struct Happened {
    /// When, s of the run.
    pub at_s: f64,
    /// The run's clock.
    pub clock: String,
    /// What.
    pub says: String,
    /// It was done by hand, not by the plant.
    pub by_hand: bool,
}

/// What was said to be the matter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// When, by the run's clock.
    pub clock: String,
    /// Name of the cause in requests.
    pub name: &'static str,
    /// What it is called aboard.
    pub aboard: &'static str,
}

/// A mark set by hand.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkView {
    /// When, s of the run.
    pub at_s: f64,
    /// The run's clock.
    pub clock: String,
    /// How it lies to where the run stands.
    pub way: Way,
}

/// A run as it stands, brought up to date several times a second.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// Its clock, "0:34:10".
    pub clock: String,
    /// Seconds of the run.
    pub time_s: f64,
    /// The answer.
    pub says: Says,
    /// How fast time goes on.
    pub pace: Pace,
    /// Who has the handles.
    pub handles: Handles,
    /// It is over: its time has come or it was ended.
    pub over: bool,
    /// It was held because nobody looked.
    pub away: bool,
    /// Its equations could not be carried on from here.
    pub broke: bool,
    /// The vessel.
    pub vessel: Vessel,
    /// Every valve, in the order of work.
    pub valves: Vec<ValveView>,
    /// The plant's pumps.
    pub pumps: Vec<PumpView>,
    /// The switches.
    pub switches: Vec<SwitchView>,
    /// Figures that are set.
    pub sets: Vec<SetView>,
    /// Gauges that stand beside the drawing.
    pub gauges: Vec<GaugeView>,
    /// The list beside.
    pub beside: Option<Beside>,
    /// What was said last to be the matter, and when, by the run's clock.
    pub answered: Option<Said>,
    /// The list that suits what the gauges show, where another is followed.
    pub suits: Option<Suits>,
    /// What happened last, the newest first.
    pub latest: Vec<Happened>,
    /// Marks that can be gone to.
    pub marks: Vec<MarkView>,
}

/// A run whole, for its page.
#[derive(Debug, Clone, PartialEq)]
pub struct PracticeView {
    /// Its number.
    pub id: u64,
    /// What it is called.
    pub title: String,
    /// What is said before.
    pub story: String,
    /// When it is over, by its clock.
    pub until: String,
    /// As it stands.
    pub standing: Standing,
    /// The run so far and where it is heading.
    pub trend: Lanes,
    /// Lists that can be followed: key and name.
    pub lists: Vec<(String, String)>,
    /// Causes that can be named: name, and what each is called aboard.
    pub causes: Vec<(&'static str, &'static str)>,
}
