//! What can be practised: the exercises, one of one's own, and the runs under way.

use desk::practice::PracticeList;
use maud::{Markup, html};

use crate::form::FormState;
use crate::parts::{self, Field, Unit, fig};
use crate::reader::Reader;

use super::{BEGIN, DEBRIEF, run_address};

pub(super) fn page(reader: &Reader, found: &PracticeList, seed: u32, form: &FormState) -> Markup {
    // A run nobody let on has nothing to go on with.
    let open: Vec<_> = found.rooms.iter().filter(|room| !room.over && room.begun).collect();
    let says = match open.as_slice() {
        [] => {
            html! { "A plant that cannot be damaged, and " (fig(&found.drills.len().to_string(), "exercises")) " to begin with." }
        }
        [one] => html! { (one.title) " is under way, " (fig(&one.clock, "by its clock")) "." },
        many => html! { (fig(&many.len().to_string(), "runs")) " are under way." },
    };
    let then = html! {
        @for why in form.overall() { (parts::fault("Not begun", html! { (why) })) }
        p.then { "It runs on the figures of your own plant sheet. What it shows of times and of damage is plausible and not proven on a ship: learn the order by it, not the minutes." }
    };
    let acts = html! { @if !open.is_empty() { (parts::acts(html! {
        @for (i, room) in open.iter().enumerate() {
            (parts::act(&run_address(room.id), &format!("Go on: {}, {}", room.title, room.clock), i == 0))
        }
    })) } };
    let note = html! {
        p { "Nothing here touches the plant. Nothing here enters the ship’s log, and runs are gone when the program ends." }
        p { "The maker’s manual and your own orders come first; what works here is no leave to do it below." }
    };
    html! {
        (parts::answer("Can I bring it up without upsetting the engine, and find the fault?", says, then, acts, note))
        (parts::entry("Exercises", html! { p { "Some hide a trouble. What it was is told in the debrief." } p { "Six runs are kept; a seventh takes the place of the one looked at longest ago." } }, drills(reader, found)))
        (parts::entry("One of your own", html! { p { @if found.as_now.read { "Sea, engine and barometer stand as last read." } @else { "Nothing was read of late: usual figures stand." } } p { "The same number draws the same hidden trouble again." } }, own(reader, found, seed, form)))
        @if found.rooms.iter().any(|room| room.over) { (parts::entry("Runs that are over", html! {}, over(found))) }
    }
}

fn drills(reader: &Reader, found: &PracticeList) -> Markup {
    html! { ul.lists.drills { @for drill in &found.drills { li {
        (reader.press(BEGIN, html! { button name="drill" value=(drill.key) { (drill.title) } }))
        span { (drill.story) }
    } } } }
}

fn own(reader: &Reader, found: &PracticeList, seed: u32, form: &FormState) -> Markup {
    let sent = form.was_sent("own");
    let digits = desk::typed::digits;
    let (sea, load, barometer, seed) = (
        digits(found.as_now.sea_temp_c, 1),
        digits(found.as_now.load_percent, 0),
        digits(found.as_now.barometer_hpa, 0),
        seed.to_string(),
    );
    let field =
        |name: &'static str, label: &'static str, unit: &'static str, usual: &'static str| {
            Field::new(name, label).unit(Unit::Fixed(unit)).place(usual)
        };
    let filled = |field: Field<'static>, text: &str| {
        let text = text.to_owned();
        html! { @if sent { (field.from_form(form)) } @else { (field.typed(&text)) } }
    };
    let chosen = |name: &str, value: &str, usual: bool| {
        if sent { form.typed(name) == value } else { usual }
    };
    let choice = |value: &str, word: &str, usual: bool| {
        html! { label.tick { input type="radio" name="begin" value=(value) checked[chosen("begin", value, usual)]; span { (word) } } }
    };
    reader.press(BEGIN, html! {
        input type="hidden" name="own" value="yes";
        fieldset.choice { legend { "She is" }
            (choice("cold", "cold, to be brought up", true))
            (choice("running", "running", false))
        }
        @if let Some(why) = form.error("begin") { p.then { span.asks { "Not taken:" } " " (why) } }
        div.fields {
            (filled(field("sea_temp", "Sea water", "°C", "−2 to 36"), &sea))
            (filled(field("load", "Engine load", "%", "0 to 110"), &load))
            (filled(field("barometer", "Barometer", "hPa", "900 to 1080"), &barometer))
            div.field {
                label for="trouble" { "Trouble" }
                p.box { select id="trouble" name="trouble" {
                    option value="" selected[chosen("trouble", "", true)] { "none" }
                    option value="hidden" selected[chosen("trouble", "hidden", false)] { "one, hidden" }
                    @for (name, aboard) in &found.troubles { option value=(name) selected[chosen("trouble", name, false)] { (aboard) } }
                } }
            }
            (filled(Field::new("seed", "Number of the hidden one").place("any whole number"), &seed))
        }
        p.acts { button.first { "Begin" } }
    })
}

fn over(found: &PracticeList) -> Markup {
    html! { ul.lists { @for room in found.rooms.iter().filter(|room| room.over) { li {
        a.act href={ (DEBRIEF) "?id=" (room.id) } { (room.title) }
        span { "ended at " (room.clock) " by its clock; the debrief" }
    } } } }
}
