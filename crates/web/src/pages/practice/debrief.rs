//! The debrief: points, what each thing cost and why, what it was, everything in order of time.

use chart::Ids;
use desk::practice::{CostLine, DebriefView, Happened, MatterLine};
use maud::{Markup, PreEscaped, html};

use crate::parts::{self, Cell, Row, Table, fig};
use crate::reader::Reader;

use super::{DO, run_address};

pub(super) fn page(reader: &Reader, view: &DebriefView) -> Markup {
    if let Some(causes) = &view.asks {
        return asks(reader, view, causes);
    }
    let (points, lost) = (format!("{:.0}", view.points), format!("{:.0}", 100.0 - view.points));
    // What the table has first is what is said first.
    let worst = view.aim.iter().chain(&view.costs).max_by(|a, b| a.lost.total_cmp(&b.lost));
    let says = html! {
        @if view.early { "Ended early at " (fig(&view.clock, "")) "; not judged to the end: " @match worst.filter(|line| line.lost >= 0.5) {
            Some(line) => { (lost) " points were lost by then, most on " (line.what) ", " (line.value) "." },
            None => "nothing was lost by then.",
        } } @else { @match (view.over, worst.filter(|line| line.lost >= 0.5)) {
            (true, Some(line)) => { (fig(&points, "of 100")) " points; most was lost on " (line.what) ": " (line.value) "." }
            (true, None) => { (fig(&points, "of 100")) " points; nothing was lost." }
            (false, Some(line)) => { (fig(&lost, "points")) " are lost so far, most on " (line.what) ": " (line.value) "." }
            (false, None) => { "Nothing is lost by " (fig(&view.clock, "")) ", and the run is not over." }
        } }
    };
    let then = html! {
        @if let Some(line) = worst.filter(|line| line.lost >= 0.5) { p.then { (capital(line.why)) "." } }
        @if !view.over { p.then { "The run is not over: this is how it stands at " (view.clock) ". What is still to be won is counted at its end." } }
        @if !view.against.is_empty() { p.then { b { "What went against the order, or the list:" } } (moments(&view.against)) }
        @if let (true, Some(told)) = (view.over, &view.told) { p.then { b { "What it was: " } (told) } }
        @if !view.matter.is_empty() { (matter(view)) }
        @if view.over { @for revealed in &view.revealed {
            p.then { b { "Set for you: " } (revealed.what) @if revealed.came { ", at " (revealed.clock) "." } @else { ", for " (revealed.clock) "; it had not come yet." } }
        } }
    };
    let acts = parts::acts(html! {
        @if view.over { (parts::act("/practice", "Another exercise", true)) (parts::act(&run_address(view.id), "Back to a mark", false)) }
        @else {
            (parts::act(&run_address(view.id), "Go on", true))
        }
    });
    let note = html! {
        p { (view.title) @if view.over { ", ended at " } @else { ", at " } (view.clock) "." }
        p { "Points are ours: they rank runs of one exercise and nothing else." }
        p { "In every exercise: water sent to a tank past a salinity alarm (the limit raised over the ship’s, or the valve forced), with no sample in limit by the hand meter since it rang, fails the run: eighty are lost, for two instruments must agree. Left overboard, an alarm that nobody tries by hand costs up to thirty. What was the matter, where something was, is worth twenty: named first and within twenty minutes of its showing, all of it; later, or after another, half." }
    };
    html! {
        (parts::answer("What did it cost, and why?", says, then, acts, note))
        @if !view.over { (parts::entry("The end", html! {}, reader.press(DO, html! {
            input type="hidden" name="id" value=(view.id);
            p.acts { button name="do" value="end" { "End the run here and tell what it was" } }
        }))) }
        (parts::entry("What counts", html! { @if view.good_hands { p { "Beside it the run of good hands." } } }, costs(view)))
        (parts::entry("In order of time", html! { p { "Slanting: what came of it." } }, moments(&view.happened)))
        (parts::entry(if view.good_hands { "Beside the run of good hands" } else { "The whole run" }, html! { @if view.good_hands { p { "Ink: this run. Pencil: the reference." } } }, html! {
            figure { (PreEscaped(chart::lanes(&mut Ids::new("d"), &view.trend))) }
        }))
    }
}

/// The question before the debrief: what is told after would answer it.
fn asks(reader: &Reader, view: &DebriefView, causes: &[(&str, &str)]) -> Markup {
    let said = view.said.last();
    let says = html! { "The run is over at " (fig(&view.clock, "")) ". Before it is told: what was the matter?" };
    let then = html! { @if let Some(said) = said { p.then { "You said at " (said.clock) ": " (said.aboard) "." } } };
    html! {
        (parts::answer("What was the matter?", says, then, html! {}, html! { p { (view.title) "." } }))
        (parts::entry("Your answer", html! { p { "The first right answer in time is worth most; one that is changed to the right one is worth half." } }, reader.press(DO, html! {
            input type="hidden" name="id" value=(view.id);
            input type="hidden" name="then" value="debrief";
            p.box { select name="cause" aria-label="What was the matter" { @for (name, aboard) in causes {
                option value=(name) selected[*name == said.map_or("not known", |said| said.name)] { (aboard) }
            } } }
            p.acts {
                @if said.is_some() { button.first name="do" value="answered~" { "It stands as I said" } }
                button.first[said.is_none()] name="do" value="answer" { "That was the matter" }
                @if said.is_none() { button name="do" value="answered~not known" { "I do not know" } }
            }
        })))
    }
}

/// What was the matter, when it could be seen, and what was said when.
fn matter(view: &DebriefView) -> Markup {
    let one = |line: &MatterLine| {
        html! { p.then {
            b { "What was the matter: " } (line.what) ", from " (line.came) ". "
            @match &line.shown {
                Some((clock, gauge)) => { "It could be seen first at " (clock) ", by " (gauge) ". " },
                None => "No gauge came to show it. ",
            }
            (capital(line.says)) @if let Some(named) = &line.named { ", at " (named) } "."
            @if !line.counts { " There was no time to see it: not counted." }
        } }
    };
    html! {
        @for line in &view.matter { (one(line)) }
        @if view.said.is_empty() { p.then { "Nothing was said to be the matter." } }
        @else { p.then { "You said: " @for (i, said) in view.said.iter().enumerate() { @if i > 0 { "; " } (said.clock) " " (said.aboard) } "." } }
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn costs(view: &DebriefView) -> Markup {
    let until = view.good_until.as_ref();
    let good = until.map_or("Good hands".to_owned(), |until| format!("Good hands, till {until}"));
    let table = Table::new("", "What").words("This run");
    let table = if view.good_hands { table.words(&good) } else { table };
    let table = table.words("Points lost").words("At").words("Why it counts");
    let row = |(to_be_won, line): (bool, &CostLine)| {
        let lost = match line.lost {
            lost if lost >= 0.5 => format!("{lost:.0}"),
            _ if to_be_won => "at the end".to_owned(),
            _ => "none".to_owned(),
        };
        let good = view.good_hands.then(|| Cell::from(line.reference.as_str()));
        let rest: [Cell; 3] = [lost.into(), line.at.as_str().into(), line.why.into()];
        let cells = std::iter::once(line.value.as_str().into()).chain(good).chain(rest);
        Row::new(html! { (capital(line.what)) }, cells)
    };
    let (water, salt) = view.to_tank;
    let mut worst_first: Vec<&CostLine> = view.costs.iter().collect();
    worst_first.sort_by(|a, b| b.lost.total_cmp(&a.lost));
    html! {
        (table.rows(view.aim.iter().map(|aim| (!view.over, aim)).chain(worst_first.into_iter().map(|line| (false, line))).map(row)))
        @let sum: f64 = view.aim.iter().chain(&view.costs).map(|line| line.lost).sum();
        @if sum > 100.5 { p { "That is " (format!("{sum:.0}")) " lost of a hundred: fewer than none cannot be left." } }
        @if !view.undone.is_empty() { p { b { "Left undone: " } (view.undone.join(", ")) "." } }
        @if view.backs > 0 { p { "The clock was put back " @if view.backs == 1 { "once" } @else { (view.backs) " times" } ": what was undone by it is not counted." } }
        p { "To the tank: " (desk::typed::digits(water, 0)) " kg" @if water > 0.5 { ", with " (desk::typed::digits(salt, 1)) " " (desk::practice::salinity_unit()) " of salt" } "." }
    }
}

/// What came one after another, each at its moment.
fn moments(all: &[Happened]) -> Markup {
    html! { ol.happened { @for happened in all { li {
        b { (happened.clock) } " "
        @if happened.by_hand { (happened.says) } @else { i { (happened.says) } }
    } } } }
}
