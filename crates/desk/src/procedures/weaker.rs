//! What one text of a procedure takes away of another, or has otherwise: guards, waits, looks, second persons, cautions, order;
//! which steps there are and what each does. What is not plainly as strict as it was counts as taken away.

use procedure::{Condition, Nature, Procedure, Step, Who};

use super::words::{Teller, label};

/// Words by which a step says that something is written down.
const WRITTEN: [&str; 8] = ["write", "written", "note", "noted", "log", "logged", "record", "sign"];

/// Something that is taken away.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Loss {
    /// Key of its step; empty for what is of the whole list.
    step: String,
    /// What of the step it is.
    matter: String,
    /// As a sentence, with the step.
    pub(super) says: String,
}

impl Loss {
    fn of(step: &str, matter: &str, says: String) -> Self {
        Self { step: step.to_owned(), matter: matter.to_owned(), says }
    }

    /// Whether it is what a step does or what is said of it, no guard.
    pub(super) fn is_said(&self) -> bool {
        ["do", "otherwise", "way_out", "why", "new", "name", "about"]
            .contains(&self.matter.as_str())
    }

    /// Whether it is of a step that this text does not have: what comes to it or goes with it is the chief’s.
    pub(super) fn is_step_beside(&self, text: Option<&Procedure>) -> bool {
        let whole = self.is_said() || self.matter == "step";
        whole && !self.step.is_empty() && text.is_none_or(|text| text.place(&self.step).is_none())
    }

    /// Whether both are of the same matter at the same step.
    pub(super) fn same(&self, other: &Self) -> bool {
        self.step == other.step && self.matter == other.matter
    }
}

/// Everything that the new text takes away of the old one.
pub(super) fn of(old: &Procedure, new: &Procedure, teller: &Teller<'_>) -> Vec<Loss> {
    // What stands over the steps leads hands as well.
    let head = [
        ("name", "its name", &old.name, &new.name),
        ("about", "what it is for", &old.about, &new.about),
    ];
    let changed = head.into_iter().filter(|(.., was, is)| was != is && leads(old));
    let mut found: Vec<Loss> = changed
        .map(|(matter, called, was, is)| {
            Loss::of("", matter, format!("over the list: {called} was “{was}” and is now “{is}”."))
        })
        .collect();
    for (place, step) in old.steps.iter().enumerate() {
        let name = named(old, place);
        let mut tell = |matter: &str, what: &str| {
            found.push(Loss::of(&step.key, matter, format!("{name}: {what}.")));
        };
        let Some(same) = new.place(&step.key).map(|place| &new.steps[place]) else {
            tell("step", "the step is gone");
            continue;
        };
        let held = old.holds(step);
        if same.what != step.what {
            tell("do", &format!("what is done was “{}” and is now “{}”", step.what, same.what));
        }
        let led = |matter: &str| matter != "why" || is_led(old, step);
        for (matter, called, was, is) in said(step, same).into_iter().filter(|of| led(of.0)) {
            match (was, is) {
                _ if was == is => {}
                ("", _) => tell(matter, &format!("{called} was not said and is now “{is}”")),
                (_, "") => tell(matter, &format!("{called} is gone; it was “{was}”")),
                _ => tell(matter, &format!("{called} was “{was}” and is now “{is}”")),
            }
        }
        if held && !new.holds(same) {
            tell("holds", "nothing holds there any more");
        }
        for condition in &step.see {
            if let Some((name, what)) = seen(condition, same, teller) {
                tell(&format!("see {name}"), &what);
            }
        }
        // Minutes as they stand in the text.
        if same.wait_min < step.wait_min {
            let (was, is) = (step.wait_min, same.wait_min);
            tell(
                "wait",
                &format!(
                    "{was:.0} min must pass before it, now {}",
                    match is {
                        0.0 => "none".to_owned(),
                        is => format!("{is:.0}"),
                    }
                ),
            );
        }
        if held && same.takes_min.0 < step.takes_min.0 {
            let (was, is) = (step.takes_min.0, same.takes_min.0);
            tell("takes", &format!("it took {was:.0} min at least, now {is:.0}"));
        }
        let ranks =
            |was: Who, is: Who| format!("the {}, who was the {}", is.aboard(), was.aboard());
        if held && same.overridden_by < step.overridden_by {
            let who = ranks(step.overridden_by, same.overridden_by);
            tell("overridden_by", &format!("who may go on against the guard is now {who}"));
        }
        if same.who < step.who {
            tell("who", &format!("who does it is now {}", ranks(step.who, same.who)));
        }
        for (matter, called, was, is) in [
            ("second", "the second person", &step.second, &same.second),
            ("look", "what must be looked at", &step.look, &same.look),
            ("caution", "the caution", &step.caution, &same.caution),
        ] {
            if let Some(what) = text(called, was, is) {
                tell(matter, &what);
            }
        }
        if speaks_of_note(step, same)
            && let Some(what) = text("what is written down", &step.note, &same.note)
        {
            tell("note", &what);
        }
    }
    for caution in &old.cautions {
        if !new.cautions.iter().any(|other| other.contains(caution.as_str())) {
            let says = format!("before step 1: the caution “{caution}” is gone or changed.");
            found.push(Loss::of("", &format!("caution {caution}"), says));
        }
    }
    found.extend(order_lost(old, new));
    found
}

/// Steps that another text does not have, but for those that stand so in the usual one: which steps a list has is the chief’s.
pub(super) fn new_steps(
    old: Option<&Procedure>,
    new: &Procedure,
    usual: Option<&Procedure>,
) -> Vec<Loss> {
    let has =
        |of: Option<&Procedure>, step: &Step| of.is_some_and(|of| of.place(&step.key).is_some());
    let as_usual = |step: &Step| {
        usual.is_some_and(|usual| usual.place(&step.key).is_some_and(|at| usual.steps[at] == *step))
    };
    let added = new.steps.iter().enumerate();
    let added = added.filter(|(_, step)| !has(old, step) && !as_usual(step));
    let says = |(place, step): (usize, &Step)| {
        Loss::of(&step.key, "new", format!("step {} is new: “{}”", place + 1, step.what))
    };
    added.map(says).collect()
}

/// Whether the matter of a loss stands in this text as well, however strict: what does not is another text's own.
pub(super) fn is_of(text: &Procedure, loss: &Loss) -> bool {
    let Some(step) = text.place(&loss.step).map(|place| &text.steps[place]) else {
        let caution = loss.matter.strip_prefix("caution ");
        return loss.step.is_empty()
            && caution.is_none_or(|of| text.cautions.iter().any(|other| other == of));
    };
    match loss.matter.split_once(' ') {
        Some(("see", name)) => {
            step.see.iter().flat_map(|see| &see.terms).any(|term| term.name == name)
        }
        Some(("after", key)) => step.after.iter().any(|(other, _)| other == key),
        _ => match loss.matter.as_str() {
            "look" => !step.look.is_empty(),
            "second" => !step.second.is_empty(),
            "note" => !step.note.is_empty(),
            "caution" => !step.caution.is_empty(),
            "wait" => step.wait_min > 0.0,
            "holds" => text.holds(step),
            _ => true,
        },
    }
}

/// Whether a step itself says that something is written down: without the line for it, it would say what is not so.
fn speaks_of_note(old: &Step, new: &Step) -> bool {
    let says = |step: &Step| {
        [&step.what, &step.look].into_iter().any(|text| {
            let text = text.to_lowercase();
            let mut words = text.split(|sign: char| !sign.is_alphabetic());
            words.any(|word| WRITTEN.contains(&word))
        })
    };
    !old.note.is_empty() && (says(old) || says(new))
}

/// Whether what stands over a list leads hands: it is a stop or an emergency, or leads to heat, a tank or chemicals.
fn leads(of: &Procedure) -> bool {
    of.nature != Nature::Work || of.steps.iter().any(|step| of.holds(step))
}

/// Whether hands are led by the reason of a step too: it leads to heat, a tank or chemicals, or it is of an emergency.
fn is_led(of: &Procedure, step: &Step) -> bool {
    of.holds(step) || of.nature == Nature::Emergency
}

/// What is said of a step beside what is done, in two texts: its key, what it is called, as it was and as it is.
fn said<'a>(old: &'a Step, new: &'a Step) -> [(&'static str, &'static str, &'a str, &'a str); 3] {
    [
        ("otherwise", "what if it does not", &old.otherwise, &new.otherwise),
        ("way_out", "the way out", &old.way_out, &new.way_out),
        ("why", "why it is done", &old.why, &new.why),
    ]
}

/// Words that another text has otherwise and that are nobody’s word but who changes them, each with its step: told in the
/// record, no guard.
pub(super) fn words_changed(old: &Procedure, new: &Procedure) -> Vec<String> {
    let mut found = Vec::new();
    for (place, step) in old.steps.iter().enumerate() {
        let Some(same) = new.place(&step.key).map(|place| &new.steps[place]) else { continue };
        let free = said(step, same).into_iter().filter(|of| of.0 == "why" && !is_led(old, step));
        let mut changed: Vec<&str> =
            free.filter(|(_, _, was, is)| was != is).map(|(_, called, ..)| called).collect();
        let noted = step.note != same.note && !speaks_of_note(step, same);
        changed.extend(noted.then_some("what is written down"));
        let shorter = old.holds(step) && same.takes_min.0 < step.takes_min.0;
        let lasts = step.takes_min != same.takes_min && !shorter;
        changed.extend(lasts.then_some("how long it takes"));
        if !changed.is_empty() {
            found.push(format!("{}: {}.", named(old, place), changed.join(", ")));
        }
    }
    let whole = [
        ("the name", old.name != new.name && !leads(old)),
        ("what it is for", old.about != new.about && !leads(old)),
        ("where it comes from", old.source != new.source),
    ];
    let whole: Vec<&str> = whole.into_iter().filter(|(_, is)| *is).map(|(word, _)| word).collect();
    if !whole.is_empty() {
        found.push(format!("of the list: {}.", whole.join(", ")));
    }
    found
}

/// What of a condition a step asks no more: the name of its reading, and that in words.
fn seen(condition: &Condition, same: &Step, teller: &Teller<'_>) -> Option<(String, String)> {
    if same.see.iter().any(|other| other.asks_no_less_than(condition)) {
        return None;
    }
    let name = condition.terms.first().map(|term| term.name.clone())?;
    let about = |other: &&Condition| other.terms.iter().any(|term| term.name == name);
    // Of several about one reading, those that say what was said already are not what it became.
    let became = same.see.iter().filter(about).filter(|other| other.text != condition.text);
    let became: Vec<String> = became.map(|other| teller.wanted(other)).collect();
    let was = teller.wanted(condition);
    Some(match became.as_slice() {
        [] => {
            let called = label(&name);
            (name, format!("{called} is no longer asked for; it was: {was}"))
        }
        now => (name, format!("asked for was {was}; now {}", now.join(", and "))),
    })
}

/// What became of a text that must still stand whole, as it was or within a longer one.
fn text(called: &str, was: &str, is: &str) -> Option<String> {
    match (was, is) {
        ("", _) => None,
        (_, "") => Some(format!("{called} is no longer asked for; it was “{was}”")),
        _ if is.contains(was) => None,
        _ => Some(format!("{called} was “{was}” and is now “{is}”")),
    }
}

/// A step as a sentence begins with it.
fn named(of: &Procedure, place: usize) -> String {
    let what = &of.steps[place].what;
    let first = what.split(['.', ';', ':']).next().unwrap_or(what).trim();
    format!("step {}, {first}", place + 1)
}

/// What of the order of one text another has no more: steps that moved, each once; what was forbidden and is not; and in a
/// stop or an emergency the step that comes first.
fn order_lost(old: &Procedure, new: &Procedure) -> Vec<Loss> {
    let mut found = Vec::new();
    let places = old.steps.iter().enumerate();
    let mut kept: Vec<(usize, usize)> =
        places.filter_map(|(place, step)| Some((place, new.place(&step.key)?))).collect();
    let first = kept.first().is_some_and(|(was, is)| (*was, *is) == (0, 0));
    if old.nature != Nature::Work && !first {
        found.push(Loss::of("", "order", format!("{} no longer comes first.", named(old, 0))));
    }
    let against = |a: &(usize, usize), b: &(usize, usize)| (a.0 < b.0) != (a.1 < b.1) && a != b;
    loop {
        // The step that stands against most of the others is the one that was moved.
        let count = |one: &(usize, usize)| kept.iter().filter(|other| against(one, other)).count();
        let most = (0..kept.len()).rev().max_by_key(|at| count(&kept[*at]));
        let Some(moved) = most.filter(|at| count(&kept[*at]) > 0).map(|at| kept.remove(at)) else {
            break;
        };
        let other = kept.iter().filter(|other| against(&moved, other));
        // Of those it passed, the one furthest from where it stood.
        let Some(other) = other.max_by_key(|other| other.0.abs_diff(moved.0)) else { continue };
        let side = if other.0 > moved.0 { "after" } else { "before" };
        let says = format!("{} comes {side} {} now.", named(old, moved.0), named(old, other.0));
        found.push(Loss::of("", "order", says));
    }
    for (place, step) in old.steps.iter().enumerate() {
        let Some(same) = new.place(&step.key).map(|place| &new.steps[place]) else { continue };
        for (key, _) in &step.after {
            let Some(before) = old.place(key) else { continue };
            if !same.after.iter().any(|(other, _)| other == key) {
                let (this, other) = (named(old, place), named(old, before));
                let says =
                    format!("{this}: nothing is said any more when it is done before {other}.");
                found.push(Loss::of(&step.key, &format!("after {key}"), says));
            }
        }
    }
    found
}
