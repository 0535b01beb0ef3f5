//! The heat side of the flow diagram: jacket water to vapour to the sea, with the feed's loop.

use super::HeatFlows;
use super::stream::{Columns, End, Figure, LINE, Stream, label_ends, ribbon, settle};
use crate::canvas::{Anchor, Canvas, Path};
use crate::labels::spread;
use crate::number::number;
use crate::text::Type;

/// Room above the evaporator's entry for names and the feed's return, units.
const HEAD: f64 = 66.0;
/// Clear height inside the feed's loop, units.
const LOOP: f64 = 14.0;

/// The heat streams with their places.
pub(super) struct HeatPlan {
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
    pub(super) bottom: f64,
}

impl HeatPlan {
    pub(super) fn new(heat: &HeatFlows, columns: &Columns) -> HeatPlan {
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
                words: format!("{} brine", number(heat.brine_kw, 0)),
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

    pub(super) fn draw(&self, sheet: &mut Canvas, heat: &HeatFlows, columns: &Columns) {
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
        let two_lines = columns.narrow;
        let value = |kw: f64| number(kw, 0);
        let jacket = Figure { value: value(heat.jacket_kw), name: "jacket water", two_lines };
        let cooler = Figure { value: value(heat.engine_cooler_kw), name: "", two_lines: false };
        let wishes = [
            (inside(&self.jacket), jacket.height()),
            (inside(&self.cooler).max(self.cooler.from.1 + 9.0), cooler.height()),
        ];
        let centres = spread(&wishes, self.top - 4.0, self.bottom);
        jacket.draw(sheet, 6.0, centres[0], self.jacket.height);
        if self.cooler.height > 0.0 {
            cooler.draw(sheet, 6.0, centres[1], self.cooler.height);
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
        let vapour = Figure { value: value(heat.vapour_kw()), name: "vapour", two_lines };
        vapour.draw(sheet, columns.evaporator + 10.0, inside(&self.vapour), self.vapour.height);
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
