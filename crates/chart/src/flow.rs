//! Where the heat and the water go: streams as wide as they are large, from one surface to the
//! next.

use crate::canvas::{Anchor, Canvas, Ids, Path, Size};
use crate::labels::spread;
use crate::number::{number, usable, with_unit};
use crate::text::Type;

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

/// A stream on its way: a strip of constant height between two places.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Stream {
    from: (f64, f64),
    to: (f64, f64),
    height: f64,
}

/// One named end of a stream at the right of the picture.
struct End {
    words: String,
    class: &'static str,
    stream: Stream,
}

/// Places across the picture, units.
struct Columns {
    evaporator: f64,
    condenser: f64,
    ends: f64,
    width: f64,
    narrow: bool,
}

impl Columns {
    fn new(size: Size) -> Columns {
        let (evaporator, condenser, ends) =
            if size.narrow() { (96.0, 194.0, 226.0) } else { (240.0, 440.0, 600.0) };
        Columns { evaporator, condenser, ends, width: size.width(), narrow: size.narrow() }
    }
}

/// Room above the evaporator's entry for names and the feed's return, units.
const HEAD: f64 = 66.0;
/// Clear height inside the feed's loop, units.
const LOOP: f64 = 14.0;
/// Line height of a stream's label, units.
const LINE: f64 = 19.0;

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
    sheet.text(columns.width, 12.0, "widths to scale", Type::Tick, Anchor::End, "");
    match &heat_plan {
        Some(plan) => plan.draw(&mut sheet, heat, &columns),
        None => sheet.text(
            0.0,
            40.0,
            "no reading: the heat streams are not all known",
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
            "no reading: the water streams are not all known",
            Type::Name,
            Anchor::Start,
            "",
        ),
    }
    sheet.finish("Where the heat and the water go", &words(heat, water, heat_known, water_known))
}

/// The heat streams with their places.
struct HeatPlan {
    /// Top of the evaporator's surface.
    top: f64,
    feed: f64,
    jacket: Stream,
    cooler: Stream,
    vapour: Stream,
    /// From the left when more heat leaves the evaporator than enters it.
    unexplained: f64,
    ends: Vec<End>,
    bar: f64,
    bottom: f64,
}

impl HeatPlan {
    fn new(heat: &HeatFlows, columns: &Columns) -> HeatPlan {
        let positive = |kw: f64| kw.max(0.0);
        let [jacket, cooler, feed, sea, distillate, brine, vent] = heat.all().map(positive);
        let vapour = sea + feed + distillate;
        let left_over = jacket + feed - vapour - brine - vent;
        let largest = (jacket + cooler).max(vapour + brine + vent).max(feed + jacket).max(1e-9);
        let scale = if columns.narrow { 128.0 } else { 150.0 } / largest;
        let h = |kw: f64| kw * scale;

        let top = HEAD + LOOP + h(feed);
        let left = top + h(feed);
        let level = |x0: f64, x1: f64, y: f64, kw: f64| Stream {
            from: (x0, y),
            to: (x1, y),
            height: h(kw),
        };
        let cooler_top = left + h(jacket);
        let turn = columns.evaporator * 0.78;
        let drop = if columns.narrow { 40.0 } else { 44.0 };

        // What leaves, from the top of each surface downwards.
        let condenser_foot = top + h(feed) + h(sea);
        let mut foot = top + h(vapour);
        let mut leave = |kw: f64| {
            let y = foot;
            foot += h(kw);
            Stream { from: (columns.evaporator, y), to: (columns.ends, y), height: h(kw) }
        };
        let from_condenser = |y: f64, kw: f64| level(columns.condenser, columns.ends, y, kw);
        let mut ends = vec![
            End {
                words: format!("{} to the sea", number(heat.sea_kw, 0)),
                class: "f-sea",
                stream: from_condenser(top + h(feed), sea),
            },
            End {
                words: format!("{} distillate", number(heat.distillate_kw, 0)),
                class: "f-fresh",
                stream: from_condenser(condenser_foot, distillate),
            },
            End {
                words: format!("{} with the brine", number(heat.brine_kw, 0)),
                class: "f-sea",
                stream: leave(brine),
            },
        ];
        if vent > 0.0 {
            let words = format!("{} vent, casing", number(heat.vent_kw, 0));
            ends.push(End { words, class: "f-vap", stream: leave(vent) });
        }
        if left_over > largest * 5e-4 {
            let words = format!("{} left over", number(left_over, 0));
            ends.push(End { words, class: "f-doubt", stream: leave(left_over) });
        }
        settle(&mut ends);
        let lowest = ends.iter().map(|e| e.stream.to.1 + e.stream.height).fold(foot, f64::max);
        let cooler_stream = Stream {
            from: (0.0, cooler_top),
            to: (turn, cooler_top + if cooler > 0.0 { drop } else { 0.0 }),
            height: h(cooler),
        };
        let bar = (top + h((jacket + feed).max(vapour + brine + vent))).max(left + h(jacket));
        let bottom = lowest.max(cooler_stream.to.1 + h(cooler) + LINE).max(bar + 8.0) + 6.0;
        HeatPlan {
            top,
            feed: h(feed),
            jacket: level(0.0, columns.evaporator, left, jacket),
            cooler: cooler_stream,
            vapour: level(columns.evaporator, columns.condenser, top, vapour),
            unexplained: h((-left_over).max(0.0)),
            ends,
            bar,
            bottom,
        }
    }

    fn draw(&self, sheet: &mut Canvas, heat: &HeatFlows, columns: &Columns) {
        ribbon(sheet, &self.cooler, "f-fresh");
        ribbon(sheet, &self.jacket, "f-fresh");
        if self.unexplained > 0.5 {
            let y = self.jacket.from.1 + self.jacket.height;
            let from = columns.evaporator - 34.0;
            ribbon(
                sheet,
                &Stream { from: (from, y), to: (columns.evaporator, y), height: self.unexplained },
                "f-doubt",
            );
        }
        ribbon(sheet, &self.vapour, "f-vap");
        for end in self.ends.iter().rev() {
            ribbon(sheet, &end.stream, end.class);
        }
        self.feed_loop(sheet, columns);
        for x in [columns.evaporator, columns.condenser] {
            sheet.line(x, self.top - 5.0, x, self.bar + 6.0, "ink2");
        }

        let names = HEAD - 40.0;
        sheet.text(columns.evaporator, names + 2.0, "evaporator", Type::Name, Anchor::Middle, "");
        sheet.text(columns.condenser, names + 2.0, "condenser", Type::Name, Anchor::Middle, "");
        if self.feed > 0.0 {
            let back = format!("{} back with the feed", number(heat.feed_return_kw, 0));
            let middle = (columns.evaporator + columns.condenser) / 2.0;
            sheet.text(middle, HEAD - 19.0, &back, Type::Small, Anchor::Middle, "halo");
        }
        let inside = |stream: &Stream| stream.from.1 + stream.height / 2.0;
        let rows = if columns.narrow { 2.0 } else { 1.0 };
        let mut wishes = vec![(inside(&self.jacket), rows * LINE)];
        let mut named = vec![(heat.jacket_kw, "jacket water")];
        if self.cooler.height > 0.0 {
            wishes.push((inside(&self.cooler).max(self.cooler.from.1 + 9.0), LINE));
            named.push((heat.engine_cooler_kw, ""));
        }
        let centres = spread(&wishes, self.top - 4.0, self.bottom);
        for ((kw, name), centre) in named.into_iter().zip(centres) {
            figure(sheet, (6.0, centre), kw, name, columns.narrow && !name.is_empty());
        }
        if self.cooler.height > 0.0 {
            let under = self.cooler.to.1 + self.cooler.height + 14.0;
            let (x, words) = if columns.narrow {
                (0.0, "to engine cooler")
            } else {
                (columns.evaporator * 0.78, "to the engine’s own cooler")
            };
            let anchor = if columns.narrow { Anchor::Start } else { Anchor::End };
            sheet.text(x, under, words, Type::Small, anchor, "halo");
        }
        let vapour = (columns.evaporator + 10.0, inside(&self.vapour));
        figure(sheet, vapour, heat.vapour_kw(), "vapour", columns.narrow);
        label_ends(sheet, &self.ends, columns);
    }

    /// The feed's way from the condenser back over the top into the evaporator.
    fn feed_loop(&self, sheet: &mut Canvas, columns: &Columns) {
        if self.feed <= 0.0 {
            return;
        }
        let (left, right) = (columns.evaporator, columns.condenser);
        let inner = LOOP / 2.0;
        let outer = inner + self.feed;
        let middle = self.top - inner;
        let mut path = sheet.pen();
        // Outside from the condenser's foot of the stream, over, and down into the evaporator.
        path.go(right, middle + outer);
        half_turn(&mut path, (right, middle), outer, 1.0);
        path.to(left, middle - outer);
        half_turn(&mut path, (left, middle), outer, -1.0);
        path.to(left, middle + inner);
        half_turn_back(&mut path, (left, middle), inner, -1.0);
        path.to(right, middle - inner);
        half_turn_back(&mut path, (right, middle), inner, 1.0);
        path.close();
        sheet.path(&path, "f-sea ink1");
    }
}

/// Half a circle round `centre`: from below it to above when `side` is 1 (on the right), from
/// above to below when it is -1 (on the left).
fn half_turn(path: &mut Path, centre: (f64, f64), radius: f64, side: f64) {
    let reach = radius * 4.0 / 3.0;
    let (from, to) = (centre.1 + radius * side, centre.1 - radius * side);
    let x = centre.0 + reach * side;
    path.curve((x, from), (x, to), (centre.0, to));
}

/// The same half circle walked the other way.
fn half_turn_back(path: &mut Path, centre: (f64, f64), radius: f64, side: f64) {
    let reach = radius * 4.0 / 3.0;
    let (from, to) = (centre.1 - radius * side, centre.1 + radius * side);
    let x = centre.0 + reach * side;
    path.curve((x, from), (x, to), (centre.0, to));
}

/// The water streams with their places.
struct WaterPlan {
    top: f64,
    feed: Stream,
    ends: Vec<End>,
    bar: f64,
    bottom: f64,
}

impl WaterPlan {
    fn new(water: &WaterFlows, columns: &Columns, top: f64) -> WaterPlan {
        let feed = water.feed_t_h.max(0.0);
        let (distillate, brine) = (water.distillate_t_h.max(0.0), water.brine_t_h.max(0.0));
        let left_over = feed - distillate - brine;
        let largest = feed.max(distillate + brine).max(1e-9);
        let scale = 46.0 / largest;
        let from = top + 22.0;
        let mut foot = from;
        let mut leave = |flow: f64, apart: f64| {
            let y = foot;
            foot += flow * scale;
            Stream {
                from: (columns.evaporator, y),
                to: (columns.ends, y + apart),
                height: flow * scale,
            }
        };
        let strength = match water.brine_g_kg.filter(|s| usable(*s)) {
            Some(s) if !columns.narrow => format!(", {}", with_unit(s, 1, "g/kg")),
            _ => String::new(),
        };
        let mut ends = vec![
            End {
                words: format!("{} distillate", number(water.distillate_t_h, 2)),
                class: "f-fresh",
                stream: leave(distillate, -6.0),
            },
            End {
                words: format!("{} brine{strength}", number(water.brine_t_h, 2)),
                class: "f-sea",
                stream: leave(brine, 10.0),
            },
        ];
        if left_over > largest * 5e-4 {
            let words = format!("{} left over", number(left_over, 2));
            ends.push(End { words, class: "f-doubt", stream: leave(left_over, 20.0) });
        }
        settle(&mut ends);
        let lowest = ends.iter().map(|e| e.stream.to.1 + e.stream.height).fold(foot, f64::max);
        let bar = from + 46.0;
        WaterPlan {
            top: from,
            feed: Stream {
                from: (0.0, from),
                to: (columns.evaporator, from),
                height: feed * scale,
            },
            ends,
            bar,
            bottom: lowest.max(bar + 8.0),
        }
    }

    fn draw(&self, sheet: &mut Canvas, water: &WaterFlows, columns: &Columns) {
        ribbon(sheet, &self.feed, "f-sea");
        for end in &self.ends {
            ribbon(sheet, &end.stream, end.class);
        }
        sheet.line(columns.evaporator, self.top - 6.0, columns.evaporator, self.bar + 6.0, "ink2");
        let middle = self.top + (self.feed.height / 2.0).max(10.0);
        let value = number(water.feed_t_h, 2);
        sheet.text(6.0, middle + 5.5, &value, Type::Figure, Anchor::Start, "");
        let after = 6.0 + Type::Figure.width(&value) + 6.0;
        sheet.text(after, middle + 5.0, "feed", Type::Label, Anchor::Start, "");
        label_ends(sheet, &self.ends, columns);
    }
}

/// Move the right ends apart so that each has a line for its label.
fn settle(ends: &mut [End]) {
    let wishes: Vec<(f64, f64)> = ends
        .iter()
        .map(|e| (e.stream.to.1 + e.stream.height / 2.0, e.stream.height.max(LINE - 5.0) + 8.0))
        .collect();
    // The first end keeps its level: the others make room below it.
    let low = wishes.first().map_or(0.0, |w| w.0 - w.1 / 2.0);
    for (end, centre) in ends.iter_mut().zip(spread(&wishes, low, f64::MAX)) {
        end.stream.to.1 = centre - end.stream.height / 2.0;
    }
}

fn label_ends(sheet: &mut Canvas, ends: &[End], columns: &Columns) {
    for end in ends {
        let y = end.stream.to.1 + end.stream.height / 2.0 + 4.5;
        let room = columns.width - columns.ends - 8.0;
        let words = Type::Label.fit(&end.words, room);
        sheet.text(columns.ends + 8.0, y, &words, Type::Label, Anchor::Start, "");
    }
}

/// A figure that matters with its name, on one line or on two.
fn figure(sheet: &mut Canvas, (x, centre): (f64, f64), kw: f64, name: &str, two_lines: bool) {
    let value = number(kw, 0);
    if two_lines {
        sheet.text(x, centre - 1.0, &value, Type::Figure, Anchor::Start, "");
        sheet.text(x, centre + 14.0, name, Type::Small, Anchor::Start, "");
    } else {
        sheet.text(x, centre + 5.5, &value, Type::Figure, Anchor::Start, "");
        let after = x + Type::Figure.width(&value) + 7.0;
        sheet.text(after, centre + 5.0, name, Type::Label, Anchor::Start, "");
    }
}

/// A stream of true height with ink edges, its ends left open.
fn ribbon(sheet: &mut Canvas, stream: &Stream, class: &str) {
    if stream.height <= 0.0 {
        return;
    }
    let Stream { from, to, height } = *stream;
    let mut body = sheet.pen();
    body.go(from.0, from.1);
    body.sway(to.0, to.1);
    body.to(to.0, to.1 + height);
    body.sway(from.0, from.1 + height);
    body.close();
    sheet.path(&body, class);
    let mut edges = sheet.pen();
    for y in [0.0, height] {
        edges.go(from.0, from.1 + y);
        edges.sway(to.0, to.1 + y);
    }
    sheet.path(&edges, "ink1");
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
