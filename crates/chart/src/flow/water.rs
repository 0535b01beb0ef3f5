//! The water side of the flow diagram: feed to distillate and brine.

use super::WaterFlows;
use super::stream::{Columns, End, Figure, Stream, label_ends, ribbon, settle};
use crate::canvas::Canvas;
use crate::number::{number, usable, with_unit};

/// The water streams with their places.
pub(super) struct WaterPlan {
    top: f64,
    feed: Stream,
    ends: Vec<End>,
    bar: f64,
    pub(super) bottom: f64,
}

impl WaterPlan {
    pub(super) fn new(water: &WaterFlows, columns: &Columns, top: f64) -> WaterPlan {
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

    pub(super) fn draw(&self, sheet: &mut Canvas, water: &WaterFlows, columns: &Columns) {
        ribbon(sheet, &self.feed, "f-sea");
        for end in &self.ends {
            ribbon(sheet, &end.stream, end.class);
        }
        sheet.line(columns.evaporator, self.top - 6.0, columns.evaporator, self.bar + 6.0, "ink2");
        let middle = self.top + (self.feed.height / 2.0).max(10.0);
        let feed = Figure { value: number(water.feed_t_h, 2), name: "feed", two_lines: false };
        feed.draw(sheet, 6.0, middle, self.feed.height);
        label_ends(sheet, &self.ends, columns);
    }
}
