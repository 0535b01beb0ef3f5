//! Plant: "What can it make here?", with what-if, heat balance, capacity map, limits, and what a wanted output would take.

mod answer;
mod ask;
mod balance;
mod capacity;
mod reach;

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::routing::get;
use desk::Setup;
use desk::whatif::{self, Answer, Asked, Base, Latest, MapOver, MapView, Wanted};
use logbook::ShipClock;
use maud::{Markup, html};

use crate::app::App;
use crate::assets::Asset;
use crate::form::FormState;
use crate::paths::Page;
use crate::reader::Reader;
use crate::trouble::Trouble;

/// Where the part of the page that follows the sliders is fetched from.
const FIGURES: &str = "/plant/figures";

/// Rounds looked at for the latest one of a running plant.
const ROUNDS: usize = 14;

/// The addresses of the page.
pub(super) fn routes() -> Router<App> {
    Router::new().route(Page::Plant.path(), get(page)).route(FIGURES, get(figures))
}

async fn page(State(app): State<App>, reader: Reader, form: FormState) -> Result<Markup, Trouble> {
    let view = view(&app, form).await?;
    Ok(reader.page_with(Page::Plant, whole(&view), &[Asset::Whatif]))
}

async fn figures(State(app): State<App>, form: FormState) -> Result<Markup, Trouble> {
    let view = view(&app, form).await?;
    Ok(html! { (answer::entry(&view)) (capacity::figure(&view)) (live(&view)) })
}

async fn view(app: &App, form: FormState) -> Result<View, Trouble> {
    let (desk, now) = (Arc::clone(app.desk()), app.clock().now());
    app.work()
        .run(move |_| {
            let setup = desk.setup();
            let rounds = desk.whole_rounds(now, ROUNDS)?;
            let latest =
                whatif::latest(&rounds, setup.ship.sheet.product_max_t_day, &desk.switches(now)?);
            View::of(setup, latest, desk.clock()?, form)
        })
        .await?
}

/// Everything the page shows, worked out.
struct View {
    setup: Arc<Setup>,
    latest: Option<Latest>,
    clock: ShipClock,
    base: Base,
    asked: Asked,
    form: FormState,
    answer: Answer,
    over: MapOver,
    map: MapView,
    wanted: Option<Result<Wanted, String>>,
}

impl View {
    fn of(
        setup: Arc<Setup>,
        latest: Option<Latest>,
        clock: ShipClock,
        form: FormState,
    ) -> Result<View, Trouble> {
        let base = whatif::base(&setup, latest.as_ref().map(|l| &l.figures));
        let asked = whatif::asked(&setup, &base, |key| form.was_sent(key).then(|| form.typed(key)));
        let banding = setup
            .plant
            .banding(&setup.uncertainty)
            .map_err(|e| Trouble::Internal { cause: e.to_string() })?;
        let answer = whatif::answer(&setup, &banding, &asked.point);
        let over = MapOver::from_word(form.typed("map"));
        let made = latest.as_ref().and_then(|l| l.made_t_day).filter(|_| asked.changed.is_empty());
        let map = whatif::map::map(&setup.plant, &answer, over, made);
        let typed = form.typed("want").trim();
        // Who says how fouled the plant is has said what she lacks.
        let fouled = ["scale_m2k_w", "condenser_fouling_m2k_w", "air_leak_kg_h"]
            .iter()
            .any(|key| asked.changed.contains(key));
        let share = latest.as_ref().filter(|_| !fouled);
        let share = share.and_then(|latest| whatif::reach::share(&setup, &banding, latest));
        let wanted = (!typed.is_empty()).then(|| {
            whatif::reach::read_wanted(typed, setup.plant.sheet())
                .map(|t_day| whatif::wanted(&setup, &answer, t_day, share.unwrap_or(1.0)))
        });
        drop(banding);
        Ok(View { setup, latest, clock, base, asked, form, answer, over, map, wanted })
    }
}

fn whole(view: &View) -> Markup {
    html! {
        (answer::entry(view))
        (capacity::entry(view))
        (live(view))
    }
}

/// What follows the sliders below the map.
fn live(view: &View) -> Markup {
    html! {
        div id="plant-figures" data-live {
            (balance::entry(view))
            (answer::sides(view))
        }
    }
}
