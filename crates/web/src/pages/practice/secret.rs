//! Troubles that somebody else sets for the one at the handles, who is told of them in the debrief.

use desk::practice::Secret;
use maud::{Markup, html};

use crate::parts::{self, Cell, Field, Row, Table, Unit, fig};
use crate::reader::Reader;

use super::{PLANT, run_address, said};

pub(super) fn page(reader: &Reader, id: u64, view: &Secret, refused: Option<&str>) -> Markup {
    let says = if view.yours {
        html! { "You have the handles of this run, " (fig(&view.clock, "by its clock")) ": troubles are set by another, from another tablet." }
    } else {
        html! { (fig(&view.planted.len().to_string(), if view.planted.len() == 1 { "trouble" } else { "troubles" })) " set for the one at the handles." }
    };
    let acts = parts::acts(html! { (parts::act(&run_address(id), "To the run", view.yours)) });
    let note = html! { p { (view.title) ", at " (view.clock) "." } p { "The one at the handles is told of none of this before the debrief. Keep this page to yourself." } };
    html! {
        (parts::answer("What shall go wrong?", says, said(refused), acts, note))
        @if !view.yours {
            (parts::entry("Set a trouble", html! { p { "Heat off first is the lesson of most of them: no guard delays it." } }, form(reader, id, view)))
            @if !view.planted.is_empty() { (parts::entry("Set so far", html! {}, table(view))) }
        }
    }
}

fn form(reader: &Reader, id: u64, view: &Secret) -> Markup {
    reader.press(PLANT, html! {
        input type="hidden" name="id" value=(id);
        div.fields {
            div.field {
                label for="trouble" { "Trouble" }
                p.box { select id="trouble" name="trouble" { @for (name, aboard) in &view.troubles { option value=(name) { (aboard) } } } }
            }
            (Field::new("in_min", "In how many minutes").place("by the run’s clock").unit(Unit::Fixed("min")).typed("10"))
        }
        p.acts {
            button.first name="do" value="begin" { "Let it come" }
            button name="do" value="mend" { "Put it right then" }
        }
    })
}

fn table(view: &Secret) -> Markup {
    let rows = view.planted.iter().map(|planted| {
        let cells: [Cell; 2] = [
            planted.clock.as_str().into(),
            if planted.came { "has come" } else { "is to come" }.into(),
        ];
        Row::new(html! { (planted.what) }, cells)
    });
    html! { (Table::new("", "Trouble").words("At").words("Stands").rows(rows)) }
}
