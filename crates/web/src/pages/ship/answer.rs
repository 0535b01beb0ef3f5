//! Whether the sheet holds together, what calibration found, and what a change would do.

use desk::ship_page;
use maud::{Markup, html};

use super::{Preview, View};
use crate::parts::{self, Mark, Row, Table};

/// The first entry: the sentence, what was wrong, what is unusual.
pub(super) fn entry(view: &View) -> Markup {
    let sheet = view.setup.plant.sheet();
    let c = view.setup.plant.calibration();
    let unconfirmed = view.setup.ship.unconfirmed.len();
    let says = html! {
        @if unconfirmed > 0 {
            "Not yet: " (unconfirmed) " of the maker’s " (desk::ship::HERS.len()) " figures are still a typical plant’s. "
        }
        "The sheet holds together: at its rated point the plant makes "
        (parts::fig(&format!("{:.1}", sheet.rated_product_t_day), "t/day"))
        " and takes " span.nb { (format!("{:.0} kW", c.evaporator_heat_w / 1000.0)) } " from the engine."
    };
    // Of what was typed, once it can be shown what that changes.
    let ship = view.preview.as_ref().map_or(&view.setup.ship, |preview| &preview.ship);
    let typed = if view.preview.is_some() { " as typed" } else { "" };
    let groups = ship_page::groups(ship);
    let unusual: Vec<_> = groups.iter().flat_map(|g| &g.fields).filter(|f| f.unusual).collect();
    let count = view.form.errors().count() + view.form.overall().len() + view.problems.len();
    let then = html! {
        @if let Some(told) = &view.told { p.then role="status" { (parts::state(Mark::Done, told)) } }
        @if count > 0 {
            (parts::fault(&format!("Not kept: {count} to mend"), html! { "Everything typed stands below; the file is as it was." }))
            ul.then {
                @for why in view.form.overall() { li { (why) } }
                @for (name, why) in view.form.errors() { li { a href={ "#" (name) } { (label(&groups, name)) } ": " (why) } }
                @for problem in &view.problems { li { (problem) } }
            }
        }
        @if view.preview.is_none() { (doubtful(&ship_page::doubts(ship))) }
        @if unusual.is_empty() {
            p.then { "No figure" (typed) " lies outside what is usual for a plant of this kind." }
        } @else {
            p.then {
                "Outside what is usual" (typed) ", so worth a second look: "
                @for (i, field) in unusual.iter().enumerate() {
                    @if i > 0 { "; " }
                    a href={ "#" (field.name) } { (field.label) } " (" (field.text) " " (field.unit) ", " (field.usual) ")"
                }
                "."
            }
        }
    };
    let note = html! {
        p { "Everything expected on the other pages is worked out from this sheet." }
        p { "The maker’s manual comes before anything written here." }
    };
    html! {
        (parts::answer("Is the sheet right?", says, then, html! {}, note))
    }
}

/// The label of a field, as the reader knows it.
fn label<'a>(groups: &'a [ship_page::Group], name: &'a str) -> &'a str {
    if name == "actor" {
        return "Initials";
    }
    let mut fields = groups.iter().flat_map(|g| &g.fields);
    fields.find(|f| f.name == name).map_or(name, |f| f.label.as_str())
}

fn doubtful(doubts: &[String]) -> Markup {
    html! { @for doubt in doubts { (parts::caution("Look again.", html! { (doubt) })) } }
}

/// What would change.
pub(super) fn preview(preview: &Preview) -> Markup {
    let dash = |text: &str| if text.is_empty() { "—".to_owned() } else { text.to_owned() };
    let table = |caption: &str, rows: Vec<Row>| {
        Table::new(caption, "").words("Unit").words("Now").words("Then").rows(rows)
    };
    let changed = preview
        .changed
        .iter()
        .map(|c| Row::new(html! { (c.label) }, [c.unit.to_owned(), dash(&c.old), dash(&c.new)]));
    let effects = preview.effects.iter().map(|e| {
        let row = Row::new(html! { (e.label) }, [e.unit.to_owned(), e.old.clone(), e.new.clone()]);
        if e.old == e.new { row } else { row.on() }
    });
    let body = html! {
        @if preview.changed.is_empty() {
            (parts::quiet("Nothing changes", html! { "What was typed is what the file says already." }))
        } @else {
            (doubtful(&preview.doubts))
            (table("Figures that differ", changed.collect()))
            (table("What the plant would then be expected to do", effects.collect()))
            p.then { "Nothing is kept yet: press “Keep it” below." }
        }
    };
    parts::entry("What changes", html! { p { "Same conditions before and after." } }, body)
}

/// What calibration found, with the meaning of each figure.
pub(super) fn calibration(view: &View) -> Markup {
    let table = Table::new("So that the rated point is met exactly", "Found")
        .numbers("Value", "")
        .words("What it is")
        .rows(ship_page::calibration(&view.setup.plant).into_iter().map(|line| {
            Row::new(
                html! { (line.label) },
                [parts::value(&line.value, &line.unit), html! { (line.source) }],
            )
        }));
    let computed = parts::details(
        "How this was computed",
        html! {
            p {
                "From the rated point alone: heat and water balances give both duties, the two rate equations give the overall U of evaporator and condenser, "
                "the shares of resistance split them into films and wall, the ejector’s capacity gives the gas it draws, and the rated salt gives the carry-over. "
                "A sheet that contradicts itself, such as a condenser outlet warmer than the vapour, is refused with the figure to check."
            }
        },
    );
    let note = html! { p { "Compare outlet temperatures with the sea trial’s: a sheet that misses them is not this plant’s." } };
    parts::entry("What the sheet says of the plant", note, html! { (table) (computed) })
}
