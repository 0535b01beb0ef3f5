//! Where the heat and the water go: the flow diagram to scale, and its table.

use chart::Ids;
use desk::whatif::flows;
use maud::{Markup, html};

use super::View;
use crate::parts::{self, Row, Table};

/// The diagram with its table beside it.
pub(super) fn entry(view: &View) -> Markup {
    let heading = "Where the heat and the water go";
    let Ok(made) = &view.answer.made else {
        let cost = html! { "No heat and no water flow while it cannot run." };
        return parts::entry(heading, html! {}, parts::quiet("Nothing to draw", cost));
    };
    let heat = flows::heat(&view.setup.plant, &view.answer.point, &made.solution);
    let water = flows::water(&made.solution);
    let svg = chart::flow_diagram(&mut Ids::new("flow"), &heat.drawn(), &water.drawn());
    let share = |kw: f64| chart::number(100.0 * kw / heat.jacket_kw.max(1.0e-9), 1);
    let row = |name: &str, kw: f64| Row::new(html! { (name) }, [chart::number(kw, 1), share(kw)]);
    let heats = Table::new("Heat, run to limits", "")
        .numbers("kW", "")
        .numbers("% of in", "")
        .row(row("Jacket water to the evaporator", heat.jacket_kw))
        .row(row("Sea, from the condenser", heat.sea_kw))
        .row(row("Brine", heat.brine_kw))
        .row(row("Distillate", heat.distillate_kw))
        .row(row("Vent", heat.vent_kw))
        .row(row("Casing, to the engine room", heat.casing_kw))
        .row(row("Left over", heat.left_over_kw()).sum());
    let stream = |name: &str, t_h: f64| {
        Row::new(html! { (name) }, [chart::number(t_h, 3), chart::number(t_h * 24.0, 1)])
    };
    let waters = Table::new("Water, run to limits", "")
        .numbers("t/h", "")
        .numbers("t/day", "")
        .row(stream("Feed", water.feed_t_h))
        .row(stream("Distillate", water.distillate_t_h))
        .row(stream("Brine", water.brine_t_h))
        .row(stream("Vapour up the vent", water.vent_t_h))
        .row(stream("Left over", water.left_over_t_h()).sum());
    let note = html! {
        p { "Heat counted from sea temperature, so what returns with the feed is seen as a loop: " (chart::number(heat.feed_return_kw, 0)) " kW." }
    };
    parts::entry(
        heading,
        note,
        parts::beside(parts::picture(&svg, ""), html! { div { (heats) (waters) } }),
    )
}
