//! Every picture on one page, with the pages' stylesheet: `cargo run -p chart --example gallery -- DIR`.

mod invented;
mod passage;

use chart::{
    ExpectedRead, HeatFlows, Ids, LimitStrip, Mark, StripSize, TrackMap, WaterFlows, capacity_map,
    capacity_map_file, evr, flow_diagram, lanes, limit_strip, mark, passage_strip,
    passage_strip_file, share_bar, spark, tanks, track_map, track_map_file, trend, vessel,
};
use invented::{
    HEAT, bare, corrected, day, fresh_water, holed_map, map, sixty_days, strips, thinned,
};
use std::fmt::Write;
use std::path::PathBuf;

/// 16 November 2025, 00:00 UTC.
const STYLE: &str =
    include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../web/assets/stillwatch.css"));

fn main() -> std::io::Result<()> {
    let dir = PathBuf::from(std::env::args().nth(1).unwrap_or_else(|| String::from(".")));
    std::fs::create_dir_all(&dir)?;
    std::fs::write(dir.join("stillwatch.css"), STYLE)?;
    // A coast of "latitude longitude" lines, chains parted by blank lines, stands in for the invented one.
    let coast = std::env::args().nth(2).map(std::fs::read_to_string).transpose()?;
    let coast = coast.map_or_else(passage::coast, |text| passage::read_coast(&text));
    for palette in ["day", "night"] {
        std::fs::write(dir.join(format!("gallery-{palette}.html")), page(palette, &coast))?;
    }
    std::fs::write(dir.join("track.svg"), track_map_file(&passage::north(&coast)))?;
    std::fs::write(dir.join("strip.svg"), passage_strip_file(&passage::strip()))?;
    std::fs::write(dir.join("map.svg"), capacity_map_file(&map()))?;
    println!("wrote the gallery to {}", dir.display());
    Ok(())
}

/// A repeatable wobble between -1 and 1, so that invented readings look read.
fn page(palette: &str, coast: &[Vec<(f64, f64)>]) -> String {
    let mut ids = Ids::new("g");
    let mut out = String::new();
    let mut entry = |heading: &str, note: &str, body: &str| {
        let note = if note.is_empty() {
            String::new()
        } else {
            format!("<div class=\"note\"><p>{note}</p></div>")
        };
        let _ = write!(out, "<section class=\"entry\"><h2>{heading}</h2>{note}{body}</section>");
    };
    let figure = |picture: String| format!("<figure>{picture}</figure>");
    entry(
        "The last 24 hours",
        "Pencil: expected. Ink: read. Red: now.",
        &figure(lanes(&mut ids, &day())),
    );
    entry(
        "Sixty days",
        "Every watch of the passage so far.",
        &figure(lanes(&mut ids, &sixty_days())),
    );
    entry(
        "Made, with a correction",
        "A correction stands beside the old figure.",
        &figure(trend(&mut ids, &corrected())),
    );
    entry(
        "A year, thinned",
        "Grey: least and most of each day.",
        &figure(trend(&mut ids, &thinned())),
    );
    entry("Little or nothing read", "", &figure(lanes(&mut ids, &bare())));
    entry("How near the limits", "Gates are limits; hatched lies past them.", &rows(&mut ids));
    entry("The evidence", "", &evidence(&mut ids));
    entry("Entry", "Last watch, expected, read, and whether it fits.", &fields(&mut ids));
    entry("The capacity map", "", &figure(capacity_map(&mut ids, &map())));
    entry(
        "The same with a field that has holes",
        "",
        &figure(capacity_map(&mut ids, &holed_map())),
    );
    let water =
        WaterFlows { feed_t_h: 3.49, distillate_t_h: 0.89, brine_t_h: 2.6, brine_g_kg: Some(46.4) };
    let flows = flow_diagram(&mut ids, &HEAT, &water);
    entry("Where the heat and the water go", "Heat counted from sea temperature.", &figure(flows));
    let small = HeatFlows {
        jacket_kw: 90.0,
        engine_cooler_kw: 820.0,
        feed_return_kw: 6.0,
        sea_kw: 74.0,
        distillate_kw: 0.4,
        brine_kw: 8.0,
        vent_kw: 1.0,
    };
    let trickle =
        WaterFlows { feed_t_h: 3.4, distillate_t_h: 0.01, brine_t_h: 3.2, brine_g_kg: None };
    entry("Hardly running, and not closing", "", &figure(flow_diagram(&mut ids, &small, &trickle)));
    entry("185 tonnes aboard", "Soundings 08:00.", &figure(tanks(&mut ids, &fresh_water())));
    entry("The evaporator, running", "", &figure(vessel(&mut ids, &invented::running())));
    entry("The evaporator, cold", "", &figure(vessel(&mut ids, &chart::Vessel::default())));
    let beside = format!(
        "<div class=\"even\"><figure>{}</figure><p>The orders stand here.</p></div>",
        track_map(&mut ids, &passage::north(coast))
    );
    entry("Where it may be made", "", &beside);
    entry("The same, on its own", "", &figure(track_map(&mut ids, &passage::north(coast))));
    entry("From east to west", "", &figure(track_map(&mut ids, &passage::east(coast))));
    entry("Far north", "", &figure(track_map(&mut ids, &passage::ice(coast))));
    entry("No track", "", &figure(track_map(&mut ids, &TrackMap::default())));
    entry("The passage on one clock", "", &figure(passage_strip(&mut ids, &passage::strip())));
    entry("Little known", "", &figure(passage_strip(&mut ids, &passage::bare())));
    entry("In a table", "", &table(&mut ids));
    let marks: String = Mark::ALL
        .iter()
        .map(|m| format!("<p><span class=\"state\">{} {m:?}</span></p>", mark(*m)))
        .collect();
    entry("Marks", "", &marks);
    format!(
        "<!doctype html><html lang=\"en\" data-palette=\"{palette}\"><head><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\
         <title>Gallery</title><link rel=\"stylesheet\" href=\"stillwatch.css\"></head><body>\
         <header class=\"heading\"><p class=\"vessel\">Marram</p></header>\
         <main class=\"sheet\"><section class=\"entry\" id=\"answer\"><h1 class=\"question\">Do the pictures read?</h1>\
         <p class=\"says\">Making <b class=\"fig\">21.3<small>t/day</small></b>, 1.7 less than this sea and this engine should give.</p>\
         <p class=\"acts\"><a class=\"act first\" href=\"#answer\">Enter the 16:00 readings</a><a class=\"act\" href=\"#answer\">Why 1.7 less</a></p></section>\
         {out}</main></body></html>"
    )
}

fn rows(ids: &mut Ids) -> String {
    let row = |(strip, place, state, word): (LimitStrip, &str, Mark, &str)| {
        let read = strip.read.map_or_else(|| String::from("–"), |v| format!("{v:.1}"));
        let picture = limit_strip(ids, &strip, StripSize::Row);
        format!(
            "<div class=\"row\"><p class=\"name\">{}<small>{place}</small></p><p class=\"read\">{read}<small> {}</small></p>\
             <div class=\"strip\">{picture}</div><p class=\"word\"><span class=\"state\">{} {word}</span></p></div>",
            strip.name,
            strip.unit,
            mark(state)
        )
    };
    format!("<div class=\"rows\">{}</div>", strips().into_iter().map(row).collect::<String>())
}

fn evidence(ids: &mut Ids) -> String {
    let mut out = String::from("<div class=\"rows\">");
    let rows = [
        ("Made", "t/day", 23.0, 0.6, Some(21.3), false),
        ("Sea water out", "°C", 38.7, 0.7, Some(39.8), true),
        ("Jacket water out", "°C", 73.1, 0.7, Some(73.7), false),
        ("Vacuum", "%", 91.3, 0.1, Some(90.2), false),
        ("Salinity", "µS/cm", 6.6, 2.0, None, false),
    ];
    for (name, unit, expected, half_band, read, in_doubt) in rows {
        let row = ExpectedRead {
            name: name.into(),
            unit: unit.into(),
            decimals: 1,
            expected,
            half_band,
            read,
            in_doubt,
        };
        let figure = read.map_or_else(|| String::from("–"), |v| format!("{v:.1}"));
        let _ = write!(
            out,
            "<div class=\"row\"><p class=\"name\">{name}<small>expected {expected:.1}</small></p><p class=\"read\">{figure}<small> {unit}</small></p>\
             <div class=\"strip\">{}</div><p class=\"word\"></p></div>",
            evr(ids, &row)
        );
    }
    let share = share_bar(ids, "Share of the lost output", 0.88);
    let _ = write!(
        out,
        "<div class=\"row\"><p class=\"name\">Share</p><p class=\"read\">1.5</p><div class=\"strip\">{share}</div><p class=\"word\"></p></div></div>"
    );
    out
}

fn fields(ids: &mut Ids) -> String {
    let mut out = String::from("<div class=\"fields\">");
    for (k, (strip, place, state, word)) in strips().into_iter().enumerate() {
        let value = strip.read.map_or_else(String::new, |v| format!("{v:.1}"));
        let class = match state {
            Mark::Doubt => " asks-you",
            Mark::Missing => " unread",
            _ => "",
        };
        let expect = strip
            .expected
            .map_or_else(String::new, |b| format!("expect {:.1} to {:.1}", b.low, b.high));
        let words = if state == Mark::Doubt {
            format!(
                "<div class=\"word\"><p><span class=\"state\">{}</span> <b>does not fit</b> 1.9 °C above what the heat balance leaves room for.</p>\
                 <p class=\"choices\"><button type=\"button\">Read again, same</button><button type=\"button\">Second thermometer</button><button type=\"button\">Keep, with a remark</button></p></div>",
                mark(state)
            )
        } else {
            format!("<p class=\"word\"><span class=\"state\">{} {word}</span></p>", mark(state))
        };
        let _ = write!(
            out,
            "<div class=\"field{class}\"><label for=\"f{k}\">{}<small>{place}</small></label><p class=\"was\">12:00 <b>{value}</b><br>{expect}</p>\
             <p class=\"box\"><button class=\"step\" type=\"button\">−</button><input id=\"f{k}\" inputmode=\"decimal\" value=\"{value}\"><button class=\"step\" type=\"button\">+</button><span class=\"unit\">{}</span></p>\
             <div class=\"strip\">{}</div>{words}</div>",
            strip.name,
            strip.unit,
            limit_strip(ids, &strip, StripSize::Field)
        );
    }
    out.push_str("</div>");
    out
}

/// An invented field with the shape of a capacity map.
fn table(ids: &mut Ids) -> String {
    let picture = day();
    let mut out = String::from(
        "<div class=\"wide-table\"><table><thead><tr><th>What</th><th>Last day</th><th class=\"n\">Now</th></tr></thead><tbody>",
    );
    for lane in &picture.lanes {
        let line = spark(ids, lane, picture.span, &picture.clock);
        let last = lane.readings.last().and_then(|r| r.value).unwrap_or_default();
        let _ = write!(
            out,
            "<tr><th>{}</th><td>{line}</td><td class=\"n\">{last:.1} <small>{}</small></td></tr>",
            lane.name, lane.unit
        );
    }
    out.push_str("</tbody></table></div>");
    out
}
