//! What hands do in a run that is practised: handles, pumps, switches, time, marks, samples, troubles for another.

use quantity::Style;
use serde_json::{Value, json};
use transient::{Do, SETS, SWITCHES, Trouble, VALVES};

use crate::desk::{Desk, DeskError};
use crate::typed::digits;

use super::list::AtStep;
use super::room::{Pace, Planted, Room};

/// Furthest that time is let on at one press, min.
const FURTHEST_MIN: f64 = 60.0;
/// Troubles set for somebody, at most.
const MOST_PLANTED: usize = 8;

/// How far something is turned or set, as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Far {
    /// To this figure: "40", "40 %".
    To(String),
    /// By so much from where it is going, "+10"; it stops at the ends of its travel.
    By(String),
}

/// Something done in a run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Practising {
    /// A valve is turned.
    Turn {
        /// The valve.
        valve: String,
        /// How far, %.
        to: Far,
    },
    /// A pump is started or stopped.
    Pump {
        /// The pump.
        pump: String,
        /// Started or stopped.
        run: bool,
    },
    /// A switch is turned.
    Switch {
        /// The switch.
        switch: String,
        /// The word it is turned to.
        to: String,
    },
    /// A figure is set.
    Set {
        /// What.
        name: String,
        /// How far, in its unit.
        to: Far,
    },
    /// Time goes on at another pace.
    Pace(Pace),
    /// Time goes on by so many minutes at once.
    On {
        /// Minutes, typed.
        minutes: String,
    },
    /// A mark is set.
    Mark,
    /// Back to a mark: seconds of the run, typed; "-60" is a minute ago.
    Back {
        /// As typed.
        to: String,
    },
    /// A sample of the distillate is tried with the hand meter.
    Sample,
    /// It is said what is the matter; nothing new where it is empty.
    Answer {
        /// Name of the cause.
        cause: String,
    },
    /// Something at the list beside.
    Step(AtStep),
    /// The one who asks takes the handles.
    TakeHandles,
    /// A trouble is set for the one at the handles, or put right.
    Plant {
        /// Its name.
        trouble: String,
        /// In so many minutes, typed.
        in_min: String,
        /// It is put right, not begun.
        mended: bool,
    },
    /// The run is over.
    End,
}

/// A number as people type it: "40", "40 %", "31,5".
pub(super) fn plain_number(text: &str) -> Option<f64> {
    let text = text.trim().trim_end_matches('%').trim();
    quantity::read_number(text, Style::default()).ok()
}

fn asked<T>(words: impl Into<String>) -> Result<T, DeskError> {
    Err(DeskError::Asked(words.into()))
}

/// A name with a capital.
pub(super) fn capital(name: &str) -> String {
    let mut letters = name.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The moment of a run as its clock reads: "0:34:10".
pub(super) fn clock(at_s: f64) -> String {
    let seconds = at_s.max(0.0).round() as u64;
    format!("{}:{:02}:{:02}", seconds / 3600, seconds / 60 % 60, seconds % 60)
}

/// One action by the words of the scenario language.
fn action(time_s: f64, what: Value) -> Result<Do, DeskError> {
    let read = transient::read_action(time_s, &what);
    read.map(|action| action.what).map_err(|e| DeskError::Asked(e.to_string()))
}

/// A typed figure within the range of a part.
fn figure(
    name: &str,
    far: &Far,
    from: f64,
    (low, high): (f64, f64),
    unit: &str,
) -> Result<f64, DeskError> {
    let (text, by) = match far {
        Far::To(text) => (text.trim(), false),
        Far::By(text) => (text.trim(), true),
    };
    let range = format!("type {low} to {high} {unit}");
    let plain = text.trim_start_matches('+').replace('\u{2212}', "-");
    let Some(x) = plain_number(&plain) else {
        return asked(format!("{}: “{text}” is not a number; {}.", aboard(name), range.trim_end()));
    };
    if by {
        return Ok((from + x).clamp(low, high));
    }
    if !(low..=high).contains(&x) {
        let ends = if name_is_valve(name) {
            "; a valve goes from 0 (shut) to 100 (full open)"
        } else {
            ""
        };
        return asked(format!(
            "{}: {} {unit} cannot be{ends}: {}.",
            aboard(name),
            digits(x, 1).trim_end_matches(".0"),
            range.trim_end()
        ));
    }
    Ok(x)
}

fn name_is_valve(name: &str) -> bool {
    VALVES.iter().any(|part| part.name == name)
}

/// What a handle is called in the lists: the jacket's valves at the heater are the heater's.
pub(super) fn aboard(name: &str) -> String {
    match name {
        "jacket inlet" => "Heater inlet".to_owned(),
        "jacket outlet" => "Heater outlet".to_owned(),
        "jacket vent" => "Heater vent".to_owned(),
        name => capital(name),
    }
}

/// The same in a line of what happened.
pub(super) fn in_words(says: &str) -> String {
    let says = says.replace("mg/kg", super::shown::salinity_unit());
    ["inlet", "outlet", "vent"].iter().fold(says, |says, end| {
        says.replace(&format!("jacket {end} to"), &format!("heater {end} to"))
    })
}

impl Room {
    /// Does something, for the one who has the handles where it needs them.
    pub(super) fn practise(
        &mut self,
        desk: &Desk,
        who: &str,
        what: &Practising,
    ) -> Result<(), DeskError> {
        match what {
            Practising::TakeHandles => {
                self.hands = Some(who.to_owned());
                return Ok(());
            }
            Practising::Plant { trouble, in_min, mended } => {
                return self.plant(who, trouble, in_min, *mended);
            }
            _ => {}
        }
        if self.hands.as_deref().is_some_and(|hands| hands != who) {
            return asked(
                "The handles are in another’s hands: take them over first, then do it again.",
            );
        }
        self.hands = Some(who.to_owned());
        self.away = false;
        if let Practising::Back { to } = what {
            let Some(x) = plain_number(&to.replace('\u{2212}', "-")) else {
                return asked(format!("“{to}” is no moment of this run."));
            };
            return self.back(if x < 0.0 { self.time_s() + x } else { x });
        }
        if matches!(what, Practising::Mark) {
            self.mark();
            return Ok(());
        }
        if let Practising::Answer { cause } = what {
            return self.answer(cause);
        }
        if self.over() {
            return asked(
                "This run is over: read the debrief, go back to a mark, or begin another.",
            );
        }
        if self.broke {
            return asked(
                "The figures of this run cannot be carried on from here: go back to a mark.",
            );
        }
        self.do_it(desk, what)
    }

    fn do_it(&mut self, desk: &Desk, what: &Practising) -> Result<(), DeskError> {
        let (now, stands) = (self.time_s(), self.play.live.run().stands());
        match what {
            Practising::Turn { valve, to } => {
                let going = stands.valve(valve).map_or(0.0, |turned| turned.to_percent);
                if !VALVES.iter().any(|part| part.name == valve) {
                    return asked(format!("“{valve}” is no valve of this plant."));
                }
                let percent = figure(valve, to, going, (0.0, 100.0), "%")?;
                self.act(action(now, json!({ "valve": valve, "percent": percent }))?);
            }
            Practising::Pump { pump, run } => {
                if stands.pump(pump).is_none() {
                    return asked(format!("“{pump}” is no pump of this plant."));
                }
                let what = action(now, json!({ "pump": pump, "run": run }))?;
                if let Some(why) = self.play.live.refuses(&what) {
                    return asked(format!("The {pump} pump cannot be started: {why}."));
                }
                if *run && stands.switch("power") == Some("off") {
                    return asked(format!(
                        "The {pump} pump cannot be started: there is no power. Put the power back first."
                    ));
                }
                self.act(what);
            }
            Practising::Switch { switch, to } => {
                let Some((_, words)) = SWITCHES.iter().find(|(name, _)| name == switch) else {
                    return asked(format!("“{switch}” is no switch of this plant."));
                };
                if !words.contains(&to.as_str()) {
                    let known = words.join(", ");
                    return asked(format!(
                        "{}: “{to}” is no position of it; there are {known}.",
                        capital(switch)
                    ));
                }
                let what = action(now, json!({ "set": switch, "to": to }))?;
                if let Some(why) = self.play.live.refuses(&what) {
                    return asked(format!("The power cannot be put back: {why}."));
                }
                self.act(what);
            }
            Practising::Set { name, to } => {
                let Some(part) = SETS.iter().find(|part| part.name == name) else {
                    return asked(format!("“{name}” cannot be set on this plant."));
                };
                let from = stands.set(name).unwrap_or(part.usual);
                let value = figure(name, to, from, (part.low, part.high), part.unit)?;
                // The bridge takes a minute over a change of load.
                let over = if name == "engine load" { 60.0 } else { 0.0 };
                self.act(action(now, json!({ "set": name, "to": value, "over": over }))?);
            }
            Practising::Pace(pace) => self.pace = *pace,
            Practising::On { minutes } => match plain_number(minutes) {
                Some(min) if min > 0.0 && min <= FURTHEST_MIN => self.go_on(60.0 * min),
                _ => {
                    return asked(format!(
                        "“{minutes}”: time is let on by 1 to {FURTHEST_MIN:.0} minutes at once."
                    ));
                }
            },
            Practising::Sample => self.act(Do::Sample),
            Practising::Step(step) => self.at_step(desk, step)?,
            Practising::End => (self.ended, self.pace) = (true, Pace::Hold),
            Practising::Mark
            | Practising::Back { .. }
            | Practising::Answer { .. }
            | Practising::TakeHandles
            | Practising::Plant { .. } => {}
        }
        Ok(())
    }

    /// Sets a trouble for the one at the handles.
    fn plant(
        &mut self,
        who: &str,
        name: &str,
        in_min: &str,
        mended: bool,
    ) -> Result<(), DeskError> {
        if self.hands.as_deref() == Some(who) {
            return asked(
                "You have the handles: somebody else sets the troubles, from another tablet.",
            );
        }
        if self.over() {
            return asked("This run is over.");
        }
        let Some(trouble) = Trouble::named(name) else {
            return asked(format!("“{name}” is no trouble that can be set."));
        };
        let min = match plain_number(in_min) {
            Some(min) if (0.0..=240.0).contains(&min) => min,
            _ => return asked(format!("“{in_min}”: a trouble comes in 0 to 240 minutes.")),
        };
        if self.planted.len() >= MOST_PLANTED {
            return asked(format!("{MOST_PLANTED} troubles are set for this run: that is enough."));
        }
        // Just after now, so that it is not taken for one that has come already.
        let at_s = self.time_s() + (60.0 * min).max(0.5);
        self.planted.push(Planted { at_s, trouble: *trouble, mended, hidden: true });
        Ok(())
    }
}
