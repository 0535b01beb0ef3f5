//! Every component on one page, with a form that takes a reading: `cargo run -p web --example parts`.
//!
//! `parts [PORT] [PHRASE]` listens on this computer; with a phrase it asks for it. Look here first when
//! changing the stylesheet or a component.

use std::net::Ipv4Addr;
use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::Router;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use maud::{Markup, html};
use web::parts::{self, Cell, Field, Mark, Row, Table, Unit, Word};
use web::{App, Clock, Entropy, FormState, Heading, Listen, NoEntropy, Page, Reader, Shell};

struct Ship;

impl Shell for Ship {
    fn heading(&self, now: jiff::Timestamp) -> Heading {
        Heading {
            ship: "Marram".to_owned(),
            doing: "At sea, day 8".to_owned(),
            voyage: "Newcastle to Yokohama".to_owned(),
            ships_time: "Sun 16 Nov 14:20".to_owned(),
            utc: now.strftime("%H:%M").to_string(),
            watch: "12 to 16".to_owned(),
            fault: None,
            altered: None,
            clock_behind_s: None,
            unconfirmed: 0,
        }
    }
}

struct Machine(Instant);

impl Clock for Machine {
    #[allow(clippy::disallowed_methods, reason = "a binary may ask the machine for the time")]
    fn now(&self) -> jiff::Timestamp {
        jiff::Timestamp::now()
    }

    fn steady(&self) -> Duration {
        self.0.elapsed()
    }
}

impl Entropy for Machine {
    fn fill(&self, bytes: &mut [u8]) -> Result<(), NoEntropy> {
        getrandom::fill(bytes).map_err(|error| NoEntropy { cause: error.to_string() })
    }
}

fn notices() -> Markup {
    html! {
        (parts::entry("States and values", html! { p { "The word is the state; the mark repeats it." } }, html! {
            p { @for mark in Mark::ALL { (parts::state(mark, &format!("{mark:?}").to_lowercase())) "  " } }
            p { "Vacuum " (parts::value("90.4", "%")) ", sea " (parts::value("29.4", "°C")) }
        }))
        (parts::entry("What is said aside", html! {}, html! {
            (parts::caution("Hot surfaces.", html! { "Shut the heat before opening any cover; the shell is under vacuum." }))
            (parts::quiet("No refractometer reading this voyage", html! { "The salt balance uses the feed ratio instead." }))
            (parts::fault("The salinity feed has been silent since 14:06", html! { "Readings by hand are taken meanwhile." }))
            (parts::progress("Checking these readings", 38, 61, "38 of 61 days"))
            (parts::details("How this was computed", html! { p { "One energy balance and one rate equation." } }))
        }))
    }
}

fn rounds() -> Table {
    Table::new("Earlier rounds", "Round")
        .numbers("Made", "t/day")
        .numbers("Vacuum", "%")
        .words("Signed")
        .row(Row::new(html! { "12:00" }, ["21.3", "90.4", "3/E"]).on())
        .row(Row::new(
            html! { "04:00" },
            [Cell::over(2, html! { "not taken: weather" }), "2/E".into()],
        ))
        .row(Row::new(html! { "Mean" }, ["21.4", "90.4", ""]).sum())
}

fn show(reader: &Reader, form: &FormState) -> Markup {
    let units = [("pct", "%"), ("cmhg", "cmHg"), ("kpa", "kPa")];
    let fields = html! {
        div.fields {
            (Field::new("jacket_in_c", "Jacket water in").place("evaporator inlet").was("12:00", "82.9")
                .expected("expect 82.2 to 83.8").unit(Unit::Fixed("°C")).step("0.1", "82.9")
                .word(Word::Unread("not read yet")).from_form(form))
            (Field::new("vacuum", "Vacuum").place("shell gauge").was("12:00", "90.4")
                .unit(Unit::Choice { name: "vacuum.unit", options: &units, chosen: "pct" })
                .step("0.1", "90.4").from_form(form))
            (Field::new("sea_out_c", "Sea water out").was("12:00", "39.7").typed("39.9").unit(Unit::Fixed("°C"))
                .step("0.1", "39.7").word(Word::Doubt { word: "does not fit", why: "1.9 °C above what the heat balance leaves room for.",
                    choices: html! { button name="sea_out_c.keep" value="again" { "Read again, same" } } }).from_form(form))
            (Field::new("remark", "Remark").text().from_form(form))
        }
        (parts::acts(html! { button.first { "Sign the readings" } }))
    };
    let then = html! { p.then { "Most of the loss is the condenser." } };
    let acts = parts::acts(
        html! { (parts::act("/readings", "Enter the readings", true)) (parts::act("/plant", "Why", false)) },
    );
    reader.page(Page::Now, html! {
        (parts::answer("Are we making what we should?", html! { "Making " (parts::fig("21.3", "t/day")) ", 1.7 less than expected." },
            then, acts, html! { p { "Read 14:00 by the third engineer." } }))
        (parts::entry("Readings", html! { p { "Comma or point, either will do." } }, reader.form("/", "parts-readings", fields)))
        (notices())
        (parts::entry("Earlier rounds", html! {}, html! { (rounds()) }))
    })
}

async fn take(reader: Reader, mut form: FormState) -> Response {
    let typed = form.typed("jacket_in_c").replace(',', ".");
    if typed.trim().parse::<f64>().is_ok() {
        return Redirect::to("/?taken").into_response();
    }
    form.refuse("jacket_in_c", "Not a number. Type one such as 82.9.");
    (StatusCode::UNPROCESSABLE_ENTITY, show(&reader, &form)).into_response()
}

#[tokio::main]
async fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut given = std::env::args().skip(1);
    let port = given.next().map_or(Ok(0), |port| port.parse())?;
    let machine = Arc::new(Machine(Instant::now()));
    let address = (Ipv4Addr::LOCALHOST, port).into();
    let listen = Listen::at(address, Vec::new(), given.next().as_deref(), &*machine)?;
    let folder = tempfile::tempdir()?;
    let desk = desk::Desk::open(folder.path(), machine.now())?;
    let app = App::with_shell(Arc::new(desk), Arc::new(Ship), machine.clone(), machine, &listen)?;
    let page = get(async |reader: Reader, form: FormState| show(&reader, &form)).post(take);
    let bound = web::bind(&listen).await?;
    println!("{}", bound.url());
    bound.serve(web::router_of(app, Router::new().route("/", page)), std::future::pending()).await;
    Ok(())
}
