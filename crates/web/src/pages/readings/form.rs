//! The watch's entry form, in the order of the round, and the answer over it.

use chart::Ids;
use desk::entry::{Checked, CheckedRound};
use desk::field::{self, Group, Often};
use desk::round::{FEWEST, WHOLE};
use desk::typed::digits;
use jiff::Timestamp;
use logbook::{Entry as Logged, ShipClock};
use maud::{Markup, html};

use crate::parts::{self, Field, Word, fig};
use crate::paths::Page;
use crate::reader::Reader;
use crate::shiptime;

use super::line;
use super::{Entry, SHEET};

/// How long a reading of once a day may lie back before its fold stands open.
const DAILY_S: i64 = 20 * 3600;

/// Lines of the round under their group's title.
pub(super) type Groups<'a> = Vec<(&'static str, Vec<&'a Checked>)>;

/// Whether a round is whole without this line: read once a day, when a check asks for it, or where the instrument is.
pub(super) fn is_seldom(line: &Checked) -> bool {
    line.reading.is_none_or(|r| r.often != Often::Always)
}

/// The lines of every round, then those that are not of every round, each by group in the order they are read and
/// printed; soundings last.
pub(super) fn groups(checked: &CheckedRound) -> [Groups<'_>; 2] {
    [false, true].map(|seldom| {
        let lines: Vec<&Checked> =
            checked.lines.iter().filter(|l| is_seldom(l) == seldom).collect();
        let titled = Group::ALL.map(|group| (group.title(), Some(group)));
        let titled = titled.into_iter().chain([("Tanks", None)]);
        let of = |group| lines.iter().copied().filter(move |l| l.reading.map(|r| r.group) == group);
        let groups = titled.map(|(title, group)| (title, of(group).collect::<Vec<_>>()));
        groups.filter(|(_, lines)| !lines.is_empty()).collect()
    })
}

/// "Can these readings be believed together?"
pub(super) fn answer(entry: &Entry, said: Markup) -> Markup {
    let checked = &entry.checked;
    let then = html! {
        (said)
        @for why in entry.form.overall() { p.then { span.asks { "Not signed:" } " " (why) } }
        @for (name, why) in entry.form.errors() {
            p.then { a href={ "#" (name) } { span.asks { "Not signed:" } } " " (why) "." }
        }
        @for line in checked.lines.iter().filter(|l| l.refused.is_some() || l.waits()) {
            p.then { a href={ "#" (line.key) } { span.asks { (line.label) } } " "
                @if line.refused.is_some() { "cannot be taken as typed." } @else { "does not fit: read it again, or say why it stands." }
            }
        }
        p.then {
            @match (&checked.expectation, &checked.why_not) {
                (Some(e), _) => {
                    "In these conditions the plant should make "
                    (parts::value(&format!("{} ± {}", digits(e.product_t_day.middle, 1), digits(e.product_t_day.half(), 1)), "t/day"))
                    " and take "
                    (parts::value(&format!("{} ± {}", digits(e.heat_kw.middle, 0), digits(e.heat_kw.half(), 0)), "kW"))
                    " from the engine."
                    @for beyond in &checked.beyond { " " (beyond) }
                }
                // Of an empty form it goes without saying.
                (None, Some(why)) if checked.counts().0 > 0 => { (why) "." }
                (None, _) => {}
            }
        }
    };
    let note = html! {
        p { "Round of " b { (shiptime::long(&entry.clock, entry.at)) } ", ship’s time." }
        @if let Some(late) = late(entry) { p { (late) } }
        p { "Kept on this device as you type. It enters the record when you sign." }
        p { a href=(SHEET) { "Blank watch sheet" } " to print, in the same order." }
    };
    let says = html! { span role="status" aria-live="polite" { (says(entry)) } };
    parts::answer("Can these readings be believed together?", says, then, html! {}, note)
}

fn says(entry: &Entry) -> Markup {
    let (filled, fit, open) = entry.checked.counts();
    let wanted = entry.checked.lines.iter().filter(|l| !is_seldom(l));
    let (all, unread) = wanted.fold((0, 0), |(all, unread), l| {
        (all + 1, unread + usize::from(l.text.trim().is_empty() && l.not_taken.is_empty()))
    });
    if filled == 0 {
        return html! { (fig(&all.to_string(), "readings")) " to take; none typed yet." };
    }
    html! {
        (fig(&fit.to_string(), &format!("of {filled}"))) " fit together"
        @if open > 0 { "; " (open) @if open == 1 { " asks a second look" } @else { " ask a second look" } }
        @if unread > 0 { "; " (unread) @if unread == 1 { " is" } @else { " are" } " still to be read" }
        @match entry.checked.made {
            // That figures agree with one another does not say that all is well.
            Some((made, should)) if made < should.low => {
                "; output is low: " (digits(made, 1)) " t/day made, " (digits(should.low, 1)) " to " (digits(should.high, 1)) " expected"
            }
            _ => {}
        }
        "."
    }
}

/// Said before and after signing, so that nobody is surprised by the mark.
fn late(entry: &Entry) -> Option<String> {
    let behind = entry.now.as_second() - entry.at.as_second();
    (behind > logbook::LATE_AFTER_S).then(|| {
        format!(
            "Late entry: {} after it was so. It will be marked late.",
            shiptime::lasting(behind)
        )
    })
}

/// The confirmation after signing.
pub(super) fn signed(entry: &Logged, clock: &ShipClock, now: Timestamp) -> Markup {
    let count = entry.values.iter().filter(|v| v.text.is_some()).count();
    let readings = if count == 1 { "reading" } else { "readings" };
    let left = left_blank(entry);
    let again = format!("{}?at={}", Page::Readings.path(), shiptime::typed(clock, entry.at));
    html! {
        p.then role="status" {
        (parts::state(parts::Mark::Done, "Signed")) " as entry " b { (entry.seq) } ": round of "
        (shiptime::short(clock, entry.at, now)) ", " (count) " " (readings) ", by " (entry.author.actor)
        @if entry.is_late() { ", marked late" } ". It can be corrected below, never erased."
        }
        @if !left.is_empty() { p.then {
            "Left blank: " (left.join(", ")) ". " a href=(again) { "Add to this round" } "."
        } }
    }
}

/// What belongs to every round of a running plant and stands in this one neither as a figure nor as not taken.
fn left_blank(entry: &Logged) -> Vec<&'static str> {
    if entry.values.len() < FEWEST || entry.value(WHOLE).is_some() {
        return Vec::new();
    }
    field::READINGS
        .iter()
        .filter(|r| r.often == Often::Always && entry.value(r.key).is_none())
        .map(|r| r.label)
        .collect()
}

/// The whole form.
pub(super) fn form(reader: &Reader, entry: &Entry) -> Markup {
    let keep = if entry.first {
        "readings-first".to_owned()
    } else {
        format!("readings-{}", shiptime::typed(&entry.clock, entry.due))
    };
    reader.form(
        Page::Readings.path(),
        &keep,
        html! {
            // Return in a field presses the first button of the form: it must be one that only checks.
            button.unseen name="do" value="check" tabindex="-1" aria-hidden="true" { "Check" }
            (lines(entry))
            (close(entry))
        },
    )
}

/// Every line of the round: those of every round first, the others folded until they are due or written in.
pub(super) fn lines(entry: &Entry) -> Markup {
    let mut ids = Ids::new("read");
    let [always, seldom] = groups(&entry.checked);
    html! {
        @for (nth, (title, lines)) in always.iter().enumerate() {
            section.entry.group {
                h2 { (title) }
                @if nth == 0 { div.note {
                    p { "In each line: the last reading, what is expected now, what you read, and whether it fits." }
                    p { "Comma or point, either will do. “=” repeats the last reading; Return goes to the next line." }
                } }
                (fields(&mut ids, lines, entry))
            }
        }
        section.entry.group {
            details.seldom open[seldom.iter().flat_map(|(_, lines)| lines).any(|l| stands_open(l, entry))] {
                summary { "Not every round: " (listed(&seldom)) }
                @for (title, lines) in &seldom { h3 { (title) } (fields(&mut ids, lines, entry)) }
            }
        }
    }
}

fn fields(ids: &mut Ids, lines: &[&Checked], entry: &Entry) -> Markup {
    html! { div.fields { @for line in lines { (line::draw(ids, line, &entry.clock, entry.now)) } } }
}

/// "shell, sea water, tanks": what the fold holds.
fn listed(groups: &Groups<'_>) -> String {
    groups.iter().map(|(title, _)| title.to_lowercase()).collect::<Vec<_>>().join(", ")
}

/// Whether a line of the fold is written in, asks something, or was last read a day ago.
fn stands_open(line: &Checked, entry: &Entry) -> bool {
    let written = !line.text.trim().is_empty() || !line.not_taken.is_empty();
    let due = line
        .before
        .as_ref()
        .is_some_and(|(at, _)| entry.at.as_second() - at.as_second() >= DAILY_S);
    written || line.refused.is_some() || line.waits() || due
}

/// Who, when, and what is to be said of the round as a whole.
fn close(entry: &Entry) -> Markup {
    let form = &entry.form;
    let at = if form.was_sent("at") {
        form.typed("at").to_owned()
    } else {
        shiptime::typed(&entry.clock, entry.at).replace('T', " ")
    };
    let late = late(entry);
    let mut time = Field::new("at", "Time of the round").place("ship’s time").typed(&at).text();
    if let Some(late) = &late {
        time = time.word(Word::Plain(parts::Mark::Wait, late));
    }
    html! {
        section.entry {
            h2 { "Sign" }
            div.note { p { "A late entry is taken and marked late. A round that was not taken is an entry too; a guess is not." } }
            div.fields {
                (time.from_form(form))
                (line::words(Field::new("remark", "Remark").place("optional").from_form(form)))
                (whole(form.typed("whole")))
                (line::words(Field::new("actor", "Initials").place("who read").from_form(form)))
            }
            (acts(entry))
        }
    }
}

fn whole(chosen: &str) -> Markup {
    html! { div.field {
        label for="whole" { "Whole round not taken" small { "only if nothing was read" } }
        p.box { select.value.words id="whole" name="whole" {
            option value="" { "–" }
            @for reason in line::REASONS { option value=(reason) selected[reason == chosen] { (reason) } }
        } }
    } }
}

/// Sign and check.
pub(super) fn acts(entry: &Entry) -> Markup {
    let (filled, ..) = entry.checked.counts();
    let label = match (filled, entry.form.typed("whole")) {
        (0, "") => "Sign the round".to_owned(),
        (0, _) => "Sign: not taken".to_owned(),
        (1, _) => "Sign 1 reading".to_owned(),
        (n, _) => format!("Sign {n} readings"),
    };
    html! { p.acts {
        button.first id="sign" name="do" value="sign" { (label) }
        button name="do" value="check" { "Check" }
    } }
}
