//! Where the heat and the water go: streams as wide as they are large, from one surface to the
//! next.

mod heat;
mod stream;
mod water;

use crate::canvas::{Anchor, Canvas, Ids, Size};
use crate::number::{number, usable, with_unit};
use crate::text::Type;
use heat::HeatPlan;
use stream::Columns;
use water::WaterPlan;

/// Heat streams, kW, all counted from sea temperature so that what returns with the feed is seen
/// as a loop.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HeatFlows {
    /// From the engine's jacket water through the evaporator's surface.
    pub jacket_kw: f64,
    /// From the jacket water to the engine's own cooler.
    pub engine_cooler_kw: f64,
    /// Back to the evaporator with feed taken from the condenser's outlet; 0 when the feed is cold.
    pub feed_return_kw: f64,
    /// Overboard with the sea water that cooled the condenser.
    pub sea_kw: f64,
    /// Away with the distillate.
    pub distillate_kw: f64,
    /// Overboard with the brine.
    pub brine_kw: f64,
    /// Lost up the vent and through the casing.
    pub vent_kw: f64,
}

impl HeatFlows {
    /// Heat carried by the vapour: all that leaves the condenser.
    #[must_use]
    pub fn vapour_kw(&self) -> f64 {
        self.sea_kw + self.feed_return_kw + self.distillate_kw
    }

    /// What enters the evaporator less what leaves it: 0 when the balance closes.
    #[must_use]
    pub fn left_over_kw(&self) -> f64 {
        self.jacket_kw + self.feed_return_kw - self.vapour_kw() - self.brine_kw - self.vent_kw
    }

    fn all(&self) -> [f64; 7] {
        let HeatFlows {
            jacket_kw,
            engine_cooler_kw,
            feed_return_kw,
            sea_kw,
            distillate_kw,
            brine_kw,
            vent_kw,
        } = *self;
        [jacket_kw, engine_cooler_kw, feed_return_kw, sea_kw, distillate_kw, brine_kw, vent_kw]
    }
}

/// Water streams, t/h.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct WaterFlows {
    /// Sea water fed to the evaporator.
    pub feed_t_h: f64,
    /// Distillate made.
    pub distillate_t_h: f64,
    /// Brine put overboard.
    pub brine_t_h: f64,
    /// Strength of the brine, g/kg.
    pub brine_g_kg: Option<f64>,
}

impl WaterFlows {
    /// Feed less distillate and brine: 0 when the balance closes.
    #[must_use]
    pub fn left_over_t_h(&self) -> f64 {
        self.feed_t_h - self.distillate_t_h - self.brine_t_h
    }
}

/// The flow diagram, wide and narrow.
#[must_use]
pub fn flow_diagram(ids: &mut Ids, heat: &HeatFlows, water: &WaterFlows) -> String {
    Size::both(|size| draw(ids, heat, water, size))
}

fn draw(ids: &mut Ids, heat: &HeatFlows, water: &WaterFlows, size: Size) -> String {
    let columns = Columns::new(size);
    let heat_known = heat.all().iter().all(|v| usable(*v));
    let water_known =
        [water.feed_t_h, water.distillate_t_h, water.brine_t_h].iter().all(|v| usable(*v));
    let heat_plan = heat_known.then(|| HeatPlan::new(heat, &columns));
    let heat_height = heat_plan.as_ref().map_or(60.0, |p| p.bottom);
    let water_top = heat_height + 30.0;
    let water_plan = water_known.then(|| WaterPlan::new(water, &columns, water_top));
    let bottom = water_plan.as_ref().map_or(water_top + 60.0, |p| p.bottom);

    let mut sheet = Canvas::new(ids, size.class(), columns.width, bottom + 10.0);
    sheet.text(0.0, 12.0, "Heat, kW", Type::Bold, Anchor::Start, "");
    let scale = if heat_known && heat.left_over_kw() < -0.5 {
        format!("{} more leave than enter", number(-heat.left_over_kw(), 0))
    } else {
        String::from("widths to scale")
    };
    sheet.text(columns.width, 12.0, &scale, Type::Tick, Anchor::End, "");
    match &heat_plan {
        Some(plan) => plan.draw(&mut sheet, heat, &columns),
        None => sheet.text(
            0.0,
            40.0,
            "no reading: a heat stream is missing",
            Type::Name,
            Anchor::Start,
            "",
        ),
    }
    sheet.line(0.0, heat_height + 12.0, columns.width, heat_height + 12.0, "hair");
    sheet.text(0.0, water_top + 4.0, "Water, t/h", Type::Bold, Anchor::Start, "");
    match &water_plan {
        Some(plan) => plan.draw(&mut sheet, water, &columns),
        None => sheet.text(
            0.0,
            water_top + 32.0,
            "no reading: a water stream is missing",
            Type::Name,
            Anchor::Start,
            "",
        ),
    }
    sheet.finish("Where the heat and the water go", &words(heat, water, heat_known, water_known))
}

fn words(heat: &HeatFlows, water: &WaterFlows, heat_known: bool, water_known: bool) -> String {
    let n = |v: f64| number(v, 0);
    let mut words = String::new();
    if heat_known {
        let spared = heat.jacket_kw + heat.engine_cooler_kw;
        words.push_str(&format!(
            "Of {} kW of jacket heat, {} go to the evaporator and {} to the engine's own cooler. \
             They leave as {} to the sea, {} with the distillate, {} with the brine and {} by vent \
             and casing; {} return with the feed; {} are left over.",
            n(spared),
            n(heat.jacket_kw),
            n(heat.engine_cooler_kw),
            n(heat.sea_kw),
            n(heat.distillate_kw),
            n(heat.brine_kw),
            n(heat.vent_kw),
            n(heat.feed_return_kw),
            n(heat.left_over_kw())
        ));
    } else {
        words.push_str("No reading: the heat streams are not all known.");
    }
    if water_known {
        words.push_str(&format!(
            " Of {} t/h of feed, {} become distillate and {} go overboard as brine",
            number(water.feed_t_h, 2),
            number(water.distillate_t_h, 2),
            number(water.brine_t_h, 2)
        ));
        if let Some(s) = water.brine_g_kg.filter(|s| usable(*s)) {
            words.push_str(&format!(" of {}", with_unit(s, 1, "g/kg")));
        }
        words.push('.');
    } else {
        words.push_str(" No reading: the water streams are not all known.");
    }
    words
}
