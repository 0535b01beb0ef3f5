//! What a person says of a file: times, order of day and month, what each column holds.

use desk::field::{Often, READINGS};
use desk::import::Asked;
use desk::round::SOUNDING;
use logbook::Zone;
use logbook::import::{Column, DATE, DayOrder, TIME, Times, WHO};
use maud::{Markup, html};
use quantity::Unit;

use crate::form::FormState;
use crate::parts;

use super::IMPORT;

/// Said of the times: they are ship's time.
const SHIP: &str = "ship";

/// Columns that can be declared; a file with more is asked for by the command line.
const MOST_COLUMNS: usize = 80;

/// Everything said of the file, kept in the address so that the page can be read again.
#[derive(Debug, Clone, Default)]
pub(super) struct Wish {
    pub(super) mark: String,
    name: String,
    times: String,
    order: Option<DayOrder>,
    columns: Vec<(String, String, String)>,
}

impl Wish {
    pub(super) fn new(mark: String, name: String) -> Wish {
        Wish { mark, name, ..Wish::default() }
    }

    pub(super) fn of(form: &FormState) -> Wish {
        let columns = (0..MOST_COLUMNS).map_while(|n| {
            let heading = format!("h{n}");
            form.was_sent(&heading).then(|| {
                let of = |letter: char| form.typed(&format!("{letter}{n}")).to_owned();
                (form.typed(&heading).to_owned(), of('c'), of('u'))
            })
        });
        Wish {
            mark: form.typed("file").to_owned(),
            name: form.typed("name").to_owned(),
            times: form.typed("times").trim().to_owned(),
            order: match form.typed("order") {
                "day" => Some(DayOrder::DayFirst),
                "month" => Some(DayOrder::MonthFirst),
                _ => None,
            },
            columns: columns.collect(),
        }
    }

    pub(super) fn name(&self) -> &str {
        &self.name
    }

    pub(super) fn headings(&self) -> Vec<String> {
        self.columns.iter().map(|(heading, ..)| heading.clone()).collect()
    }

    /// # Errors
    /// In words: what is said of the times is no offset.
    pub(super) fn asked(&self) -> Result<Asked, String> {
        let times = match self.times.as_str() {
            "" => None,
            SHIP => Some(Times::Ship),
            zone => Some(Times::At(zone.parse().map_err(|e: logbook::Error| e.to_string())?)),
        };
        Ok(Asked {
            name: self.name.clone(),
            actor: String::new(),
            times,
            day_order: self.order,
            mapping: self.columns.clone(),
        })
    }

    /// Names and texts as a form sends them.
    fn pairs(&self) -> Vec<(String, &str)> {
        let mut pairs = vec![
            ("file".to_owned(), self.mark.as_str()),
            ("name".to_owned(), &self.name),
            ("times".to_owned(), &self.times),
            ("order".to_owned(), self.order_key()),
        ];
        for (n, (heading, name, unit)) in self.columns.iter().enumerate() {
            pairs.push((format!("h{n}"), heading));
            pairs.push((format!("c{n}"), name));
            pairs.push((format!("u{n}"), unit));
        }
        pairs
    }

    fn order_key(&self) -> &'static str {
        match self.order {
            Some(DayOrder::DayFirst) => "day",
            Some(DayOrder::MonthFirst) => "month",
            None => "",
        }
    }

    pub(super) fn address(&self) -> String {
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.extend_pairs(self.pairs());
        format!("{IMPORT}?{}", query.finish())
    }

    pub(super) fn hidden(&self) -> Markup {
        html! { @for (name, text) in self.pairs() { input type="hidden" name=(name) value=(text); } }
    }
}

/// What a column can be declared to hold: key and name.
pub(super) fn names<'a>(tanks: impl Iterator<Item = (&'a str, &'a str)>) -> Vec<(String, String)> {
    let own = [("", "left out"), (TIME, "the time"), (DATE, "the date"), (WHO, "who read")];
    let own = own.map(|(key, name)| (key.to_owned(), name.to_owned())).into_iter();
    let readings = READINGS.iter().filter(|r| r.often != Often::File || !r.unit.is_empty());
    let readings = readings.map(|r| (r.key.to_owned(), r.label.to_owned()));
    let tanks = tanks.map(|(key, name)| (format!("{SOUNDING}{key}"), format!("Sounding, {name}")));
    own.chain(readings).chain(tanks).collect()
}

/// The form that says it; sent by GET, so that looking again writes nothing.
pub(super) fn form(
    wish: &Wish,
    headings: &[String],
    found: &[Column],
    names: &[(String, String)],
    order: bool,
) -> Markup {
    let long = found.contains(&Column::Value);
    let note =
        html! { p { "What is said here of a heading is remembered for this ship’s next file." } };
    let columns = if long { &[][..] } else { headings.get(..MOST_COLUMNS).unwrap_or(headings) };
    let form = html! {
        form method="get" action=(IMPORT) {
            input type="hidden" name="file" value=(wish.mark);
            input type="hidden" name="name" value=(wish.name);
            div.fields {
                (choice("times", "Times without an offset", "not said: UTC where their heading has it, else ship’s time", &wish.times, &times(&wish.times)))
                @if order {
                    (choice("order", "In dates like 3/4", "", wish.order_key(), &[("", "the file settles it"), ("day", "the day comes first"), ("month", "the month comes first")]))
                }
                @for (n, heading) in columns.iter().enumerate() {
                    @let (key, unit) = standing(wish, heading, found.get(n));
                    div.field {
                        label for={ "c" (n) } { "Column “" (heading) "”" small { (hint(found.get(n), names)) } }
                        p.box {
                            input type="hidden" name={ "h" (n) } value=(heading);
                            select.value.words id={ "c" (n) } name={ "c" (n) } {
                                @for (name, shown) in names { option value=(name) selected[*name == key] { (shown) } }
                            }
                            select.unit name={ "u" (n) } aria-label={ "Unit of column " (heading) } {
                                option value="" { "as headed" }
                                @for symbol in Unit::ALL { option value=(symbol.code()) selected[symbol.code() == unit] { (symbol.symbol()) } }
                            }
                        }
                    }
                }
            }
            p.acts { button { "Look again" } }
        }
    };
    parts::entry("How the file is understood", note, form)
}

/// What times can be said to be: nothing, the ship's, UTC, and the offsets a ship's clocks are usually on.
fn times(said: &str) -> Vec<(String, String)> {
    let own = [("", "not said"), (SHIP, "ship’s time"), ("UTC", "UTC")];
    let mut all: Vec<(String, String)> = own.map(|(k, v)| (k.to_owned(), v.to_owned())).into();
    let hours = (-12..=14).filter(|hours| *hours != 0).filter_map(|h| Zone::from_hours(h).ok());
    all.extend(hours.map(|zone| (zone.to_string(), format!("UTC{zone}"))));
    if !all.iter().any(|(key, _)| key == said) {
        all.push((said.to_owned(), format!("UTC{said}")));
    }
    all
}

fn choice<S: AsRef<str>>(
    name: &str,
    label: &str,
    note: &str,
    chosen: &str,
    options: &[(S, S)],
) -> Markup {
    html! {
        div.field {
            label for=(name) { (label) @if !note.is_empty() { small { (note) } } }
            p.box { select.value.words id=(name) name=(name) {
                @for (key, shown) in options { option value=(key.as_ref()) selected[key.as_ref() == chosen] { (shown.as_ref()) } }
            } }
        }
    }
}

/// Key and unit code a column stands at: as declared, else as found.
fn standing(wish: &Wish, heading: &str, found: Option<&Column>) -> (String, String) {
    if let Some((_, name, unit)) = wish.columns.iter().find(|(h, ..)| h == heading) {
        return (name.clone(), unit.clone());
    }
    match found {
        Some(Column::Reading { name, unit }) => (name.clone(), unit.clone()),
        Some(Column::Time) => (TIME.to_owned(), String::new()),
        Some(Column::Date) => (DATE.to_owned(), String::new()),
        Some(Column::Actor) => (WHO.to_owned(), String::new()),
        _ => (String::new(), String::new()),
    }
}

fn hint(found: Option<&Column>, names: &[(String, String)]) -> Markup {
    match found {
        Some(Column::Ignored { nearest: Some(near) }) => {
            let name = names.iter().find(|(key, _)| key == near).map_or(near.as_str(), |n| &n.1);
            html! { "not known; perhaps " (name) }
        }
        Some(Column::Misfit { message }) => html! { (message) },
        _ => html! {},
    }
}
