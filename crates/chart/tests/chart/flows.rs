//! Flow diagrams: heights as the numbers are, nothing lost between the surfaces.

use crate::any::number;
use crate::sound::{points, sound};
use chart::{HeatFlows, Ids, WaterFlows, flow_diagram};
use proptest::prelude::*;
use roxmltree::Document;

/// Height of a stream's band at its left end, from its drawn outline.
fn height(d: &str) -> f64 {
    let outline = points(d);
    let x0 = outline[0].0;
    let at_start = outline.iter().filter(|p| (p.0 - x0).abs() < 0.06).map(|p| p.1);
    let (low, high) = at_start.fold((f64::MAX, f64::MIN), |(l, h), y| (l.min(y), h.max(y)));
    high - low
}

/// Outlines of the filled streams of the wide drawing, in drawing order, with their class.
fn streams(markup: &str) -> Vec<(String, f64)> {
    let page = format!("<page>{markup}</page>");
    let page = Document::parse(&page).unwrap();
    let wide = page.descendants().find(|n| n.has_tag_name("svg")).unwrap();
    wide.descendants()
        .filter(|n| n.has_tag_name("path"))
        .filter(|n| n.attribute("class").is_some_and(|c| c.starts_with("f-") && !c.contains(' ')))
        .map(|n| (n.attribute("class").unwrap().to_owned(), height(n.attribute("d").unwrap())))
        .collect()
}

#[test]
fn ident_heights_are_in_proportion_and_add_up() {
    let heat = HeatFlows {
        jacket_kw: 624.0,
        engine_cooler_kw: 356.0,
        feed_return_kw: 33.0,
        sea_kw: 557.0,
        distillate_kw: 16.0,
        brine_kw: 49.0,
        vent_kw: 2.0,
    };
    assert!(heat.left_over_kw().abs() < 1e-12);
    let water =
        WaterFlows { feed_t_h: 3.49, distillate_t_h: 0.89, brine_t_h: 2.6, brine_g_kg: Some(46.4) };
    let drawn = streams(&flow_diagram(&mut Ids::new("p"), &heat, &water));
    // In drawing order: cooler, jacket, vapour, then the ends from the last, then water.
    let kw = [356.0, 624.0, 606.0, 2.0, 49.0, 16.0, 557.0];
    let t_h = [3.49, 0.89, 2.6];
    assert_eq!(drawn.len(), kw.len() + t_h.len(), "{drawn:?}");
    let heat_scale = drawn[1].1 / 624.0;
    for ((class, height), kw) in drawn.iter().zip(kw) {
        // Coordinates are kept to a tenth of a unit, so two ends err by a tenth together.
        assert!((height - kw * heat_scale).abs() <= 0.2, "{class} {kw} kW is {height} high");
    }
    let water_scale = drawn[kw.len()].1 / 3.49;
    for ((class, height), flow) in drawn[kw.len()..].iter().zip(t_h) {
        assert!((height - flow * water_scale).abs() <= 0.2, "{class} {flow} t/h is {height} high");
    }
}

#[test]
fn what_does_not_close_is_shown() {
    let heat = HeatFlows { jacket_kw: 600.0, sea_kw: 500.0, ..HeatFlows::default() };
    let water = WaterFlows { feed_t_h: 3.0, distillate_t_h: 1.0, brine_t_h: 1.5, brine_g_kg: None };
    let page = flow_diagram(&mut Ids::new("p"), &heat, &water);
    assert!(page.contains(">100 left over<") && page.contains(">0.50 left over<"));
    let more = HeatFlows { sea_kw: 640.0, ..heat };
    assert!(flow_diagram(&mut Ids::new("p"), &more, &water).contains("40 more leave than enter"));
}

#[test]
fn an_unread_stream_is_said_to_be_so() {
    let heat = HeatFlows { jacket_kw: f64::NAN, ..HeatFlows::default() };
    let page = flow_diagram(&mut Ids::new("p"), &heat, &WaterFlows::default());
    assert!(sound(&page).iter().all(|d| d.contains("No reading")));
}

/// Places of the words at the right ends, with their anchor ignored: they all start there.
fn end_lines(markup: &str) -> Vec<f64> {
    let page = format!("<page>{markup}</page>");
    let page = Document::parse(&page).unwrap();
    let wide = page.descendants().find(|n| n.has_tag_name("svg")).unwrap();
    wide.descendants()
        .filter(|n| n.has_tag_name("text") && n.attribute("x") == Some("608"))
        .map(|n| n.attribute("y").unwrap().parse().unwrap())
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn flows_of_anything(kw in prop::array::uniform7(number()), t_h in prop::array::uniform3(number()), strength in number()) {
        let [jacket_kw, engine_cooler_kw, feed_return_kw, sea_kw, distillate_kw, brine_kw, vent_kw] = kw;
        let heat = HeatFlows { jacket_kw, engine_cooler_kw, feed_return_kw, sea_kw, distillate_kw, brine_kw, vent_kw };
        let [feed_t_h, distillate_t_h, brine_t_h] = t_h;
        let water = WaterFlows { feed_t_h, distillate_t_h, brine_t_h, brine_g_kg: Some(strength) };
        sound(&flow_diagram(&mut Ids::new("p"), &heat, &water));
    }

    #[test]
    fn labels_of_tiny_streams_keep_their_own_lines(
        sea in 0f64..600.0, distillate in 0f64..20.0, brine in 0f64..60.0, vent in 0f64..5.0, loss in 0f64..50.0
    ) {
        let jacket_kw = sea + distillate + brine + vent + loss;
        let heat = HeatFlows { jacket_kw, sea_kw: sea, distillate_kw: distillate, brine_kw: brine, vent_kw: vent, ..HeatFlows::default() };
        let water = WaterFlows { feed_t_h: 3.0, distillate_t_h: 0.0, brine_t_h: 3.0, brine_g_kg: None };
        let mut lines = end_lines(&flow_diagram(&mut Ids::new("p"), &heat, &water));
        lines.sort_by(f64::total_cmp);
        prop_assert!(lines.len() >= 5);
        prop_assert!(lines.windows(2).all(|w| w[1] - w[0] >= 12.5), "{:?}", lines);
    }
}
