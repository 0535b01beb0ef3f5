//! `stillwatch plan ROUTE`: a route planned for a ship, by the very plan of the page Passage.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use clap::ArgMatches;
use desk::Desk;
use desk::passage::{AtSpeed, How, OrderLine, PassageView, Seas, TankAhead};
use jiff::Timestamp;
use jiff::tz::Offset;
use serde_json::{Value, json};

use super::{output, serve};
use crate::fail::{Code, Done, Fail};

/// Samples in a day.
const DAY: usize = (24 * 60 / passage::timeline::STEP_MIN) as usize;

/// Faults printed of a file that holds no route at all.
const FIRST_TOLD: usize = 3;
/// Faults printed of a route.
const MOST_TOLD: usize = 100;

/// Plans the route of a file.
pub fn run(matches: &ArgMatches, path: &Path) -> Done {
    let bytes = whole(path)?;
    let now = serve::clock(matches).moment();
    let folder = matches.get_one::<PathBuf>("ship").cloned().unwrap_or_else(|| PathBuf::from("."));
    if !folder.join(desk::SHIP_FILE).is_file() {
        return Err(Fail::usage(format!("{}: no {} there", folder.display(), desk::SHIP_FILE))
            .hint("--ship FOLDER, the folder that `stillwatch open` made"));
    }
    if !folder.join(desk::RECORD_FILE).is_file() {
        return Err(Fail::usage(format!("{}: no {} there, and no sounding to plan with", folder.display(), desk::RECORD_FILE))
            .hint("`stillwatch open --ship FOLDER` begins the record; sound the tanks with the first round"));
    }
    if bytes.trim_ascii().is_empty() && is_exchanged(path) {
        return Err(Fail::usage(format!(
            "{}: the file is empty, there is no route in it",
            path.display()
        ))
        .hint(
            "export the route again as RTZ from the chart system, and look at the size of the file",
        ));
    }
    // The pages may be open meanwhile.
    let desk = Desk::open_to_read(&folder).map_err(serve::desk_fail)?;
    let read = desk::passage::read_route(&bytes);
    // Every fault of a route is told, in the words of the page; of a file that is none the first few.
    if !read.wrong.is_empty() {
        let most = if read.waypoints == 0 { FIRST_TOLD } else { MOST_TOLD };
        let told = read.wrong.iter().take(most);
        let mut lines: Vec<String> =
            told.map(|line| format!("{}: {line}", path.display())).collect();
        let more = read.wrong.len().saturating_sub(most);
        if more > 0 {
            let doubt = if read.waypoints == 0 { ": is it a route?" } else { "" };
            lines.push(format!("{}: and {more} more{doubt}", path.display()));
        }
        let hint = match read.waypoints {
            0 => "see the page Passage for how a route is written".to_owned(),
            1 => "one waypoint could be read; the page Passage takes what could be read into its form, to be mended there".to_owned(),
            count => format!("{count} waypoints could be read; the page Passage takes them into its form, to be mended there"),
        };
        return Err(Fail::usage(lines.join("\n")).hint(hint));
    }
    let how = if matches.get_flag("remedies") { How::Whole } else { How::AtOnce };
    let seas = Seas::built_in().map_err(serve::desk_fail)?;
    let view = desk.passage_of(&bytes, now, how, &seas).map_err(|e| {
        let whose = |line: &str| match line.strip_prefix(desk::passage::EVENTS_LEAD) {
            Some(line) => format!("{}: {line}", folder.join(desk::passage::EVENTS_FILE).display()),
            None => format!("{}: {line}", path.display()),
        };
        let lines: Vec<String> = e.to_string().lines().map(whose).collect();
        Fail::usage(lines.join("\n"))
    })?;
    if matches.get_flag("svg") {
        let file = desk::passage::strip_file(&view, now)
            .ok_or_else(|| Fail::new(Code::Internal, "the plan has no samples"))?;
        return output::print(&file);
    }
    if matches.get_flag("json") {
        return output::print(&format!("{}\n", answer(&view)));
    }
    let doubts = read.doubts.iter();
    let notes: String = doubts.map(|line| format!("! {}: {line}\n", path.display())).collect();
    output::print(&(text(&view) + &notes))
}

/// Whether a file is by its name a route exchange file or its container.
fn is_exchanged(path: &Path) -> bool {
    let ending = path.extension().and_then(|ending| ending.to_str());
    ending.is_some_and(|ending| ["rtz", "rtzp"].contains(&ending.to_lowercase().as_str()))
}

/// The file's bytes; of one larger than any route only so many as tell it.
fn whole(path: &Path) -> Result<Vec<u8>, Fail> {
    let unread = |e: std::io::Error| {
        Fail::usage(format!("{}: {e}", path.display())).hint("name a route file that can be read")
    };
    let file = File::open(path).map_err(unread)?;
    let size = file.metadata().map_err(unread)?.len();
    if let Some(told) = desk::passage::too_large(size) {
        return Err(Fail::usage(format!("{}: {told}", path.display()))
            .hint("is it another file? a route has a few hundred kilobytes"));
    }
    let mut bytes = Vec::new();
    file.take(desk::passage::LARGEST_ROUTE + 1).read_to_end(&mut bytes).map_err(unread)?;
    Ok(bytes)
}

fn local(at: Timestamp, zone: Offset) -> String {
    zone.to_datetime(at).strftime("%-d %b %H:%M").to_string()
}

fn row(order: &OrderLine) -> Vec<String> {
    vec![
        local(order.at, order.zone),
        format!("UTC{}", order.zone),
        local(order.at, Offset::UTC),
        order.what.clone(),
    ]
}

fn text(view: &PassageView) -> String {
    let (low, middle, high) = view.on_arrival_t();
    let zone = |at: Timestamp| view.timeline.clock.zone(at);
    let over_land = view.cautions.iter().find(|line| line.over_land.is_some());
    let mut text = match over_land {
        _ if !view.on_land.is_empty() => {
            let says = view.on_land.iter().map(|says| format!("! {says}\n")).collect::<String>();
            format!("The route leads over land: mend it before you go by this.\n{says}")
        }
        Some(line) => {
            format!("The track crosses land; no water is planned there. {}\n", line.says)
        }
        None => String::new(),
    };
    text += &format!(
        "{}\n{}: {:.0} nmi to go, {middle:.0} t to use on arrival",
        view.says, view.to, view.to_go_nmi
    );
    text += &match view.cannot() {
        Some(_) => "\n".to_owned(),
        None => format!(", eight times in ten {low:.0} to {high:.0} t\n"),
    };
    if let Some(just) = &view.just {
        text += &format!("{just}\n");
    }
    if !view.unsounded.is_empty() {
        text += &format!("! not sounded, counted as empty: {}\n", view.unsounded.join(", "));
    }
    if let Some(why) = &view.why_off {
        text += &format!("{why}\n");
    }
    if !view.share_says.is_empty() {
        text += &format!("{}\n", view.share_says);
    }
    for note in view.brief.notes.iter().chain(&view.reckoned) {
        text += &format!("! {note}\n");
    }
    for line in &view.cautions {
        let told = |at: Timestamp| format!("{} UTC{}", local(at, zone(at)), zone(at));
        let (from, to) = (told(line.from), told(line.to));
        text += &format!("! {from} to {to}, from {}: {}\n", line.position, line.says);
    }
    text += "\nOrders\n";
    if view.orders.is_empty() {
        text += "None: no water is to be made.\n";
    } else {
        let head = ["ship's time", "zone", "UTC", "what"].map(str::to_owned).to_vec();
        let rows: Vec<_> = std::iter::once(head).chain(view.orders.iter().map(row)).collect();
        text += &output::columns(&rows);
    }
    let tanks = view.tanks_ahead();
    if !tanks.is_empty() {
        let head =
            ["tank", "now t", "on arrival t", "between, 8 in 10", "full t"].map(str::to_owned);
        let row = |tank: &TankAhead| {
            let (low, planned, high) = tank.on_arrival_t;
            vec![
                tank.name.clone(),
                format!("{:.0}", tank.now_t),
                format!("{planned:.0}"),
                format!("{low:.0} to {high:.0}"),
                format!("{:.0}", tank.full_t),
            ]
        };
        let rows: Vec<_> = std::iter::once(head.to_vec()).chain(tanks.iter().map(row)).collect();
        text += &format!("\nTank by tank at {}, what can be pumped\n", view.to);
        text += &output::columns(&rows);
    }
    text += "\nThe way, once a day\n";
    text += &output::columns(&way(view));
    if !view.remedies.is_empty() {
        text += "\nWhat could be done\n";
        text += &view.way_out.iter().map(|says| format!("{says}\n")).collect::<String>();
        text += &output::columns(&remedies(view));
        for speed in &view.speeds {
            if let Err(why) = &speed.plan {
                text += &format!("{}: no, {why}\n", speed.what);
            }
        }
        text += &view.worth.iter().map(|says| format!("{says}\n")).collect::<String>();
    }
    text + "\nAdvice to the master, never an order. Not for navigation.\n"
}

fn way(view: &PassageView) -> Vec<Vec<String>> {
    let head = [
        "ship's time",
        "zone",
        "position",
        "off nmi",
        "sea C",
        "load %",
        "t/day",
        "aboard t",
        "1 in 10 below",
        "above",
        "water may be made",
    ];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for (k, sample) in view.timeline.samples.iter().enumerate().step_by(DAY) {
        let figure = |list: &[f64]| list.get(k).map_or_else(String::new, |t| format!("{t:.1}"));
        let (low, planned, high) = view.stock_t(k);
        rows.push(vec![
            local(sample.at, view.timeline.clock.zone(sample.at)),
            format!("UTC{}", view.timeline.clock.zone(sample.at)),
            sample.moment.position.to_string(),
            format!("{:.0}", sample.sea.distance_off.nmi()),
            format!("{:.1}", sample.sea.temp_c),
            format!("{:.0}", 100.0 * sample.load),
            figure(&view.making_t_day),
            format!("{planned:.1}"),
            format!("{low:.1}"),
            format!("{high:.1}"),
            sample.rule.as_ref().map_or_else(|| "yes".to_owned(), |rule| format!("no: {rule}")),
        ]);
    }
    rows
}

fn remedies(view: &PassageView) -> Vec<Vec<String>> {
    let head = [
        "plan",
        "cost",
        "fuel more",
        "arrives",
        "on arrival t",
        "lowest 1 in 10",
        "chance under reserve",
        "bought or cut t",
    ];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    rows.extend(view.remedies.iter().map(|remedy| {
        let (low, middle, high) = view.arriving_t(remedy);
        vec![
            match (remedy.take, remedy.lasts) {
                (true, _) => format!("take this: {}", remedy.what),
                (false, true) if !view.lasts() => format!("{}: it lasts", remedy.what),
                _ => remedy.what.clone(),
            },
            format!("{:.0}", remedy.expected_cost),
            String::new(),
            String::new(),
            format!("{middle:.0} ({low:.0} to {high:.0})"),
            format!("{:.0}", remedy.lowest_p10_t),
            format!("{:.0} %", 100.0 * remedy.worst_chance),
            format!("{:.0}", remedy.bought_t),
        ]
    }));
    let speeds = view.speeds.iter().filter_map(|s| Some((&s.what, s.plan.as_ref().ok()?)));
    rows.extend(speeds.map(|(what, plan)| {
        let (low, middle, high) = plan.on_arrival_t;
        vec![
            if plan.lasts { format!("{what}: it lasts") } else { what.clone() },
            format!("{:.0}", plan.expected_cost),
            plan.fuel_more.map_or_else(|| "not told".to_owned(), |more| format!("{more:.0}")),
            local(plan.arrives, plan.zone),
            format!("{middle:.0} ({low:.0} to {high:.0})"),
            format!("{:.0}", plan.lowest_p10_t),
            format!("{:.0} %", 100.0 * plan.worst_chance),
            format!("{:.0}", plan.bought_t),
        ]
    }));
    rows
}

/// The passage at other speeds, as JSON.
fn speeds(view: &PassageView) -> Vec<Value> {
    let one = |speed: &AtSpeed| match &speed.plan {
        Err(why) => json!({"what": speed.what, "more_kn": speed.more_kn, "refused": why}),
        Ok(plan) => {
            let (low, middle, high) = plan.on_arrival_t;
            json!({
                "what": speed.what, "more_kn": speed.more_kn, "arrives_utc": plan.arrives.to_string(),
                "lasts": plan.lasts, "on_arrival_t": {"p10": low, "p50": middle, "p90": high},
                "expected_cost": plan.expected_cost, "lowest_p10_t": plan.lowest_p10_t,
                "worst_chance": plan.worst_chance, "bought_t": plan.bought_t, "fuel_more": plan.fuel_more,
            })
        }
    };
    view.speeds.iter().map(one).collect()
}

fn answer(view: &PassageView) -> Value {
    let (low, planned, high) = view.on_arrival_t();
    let orders = view.orders.iter().map(|order| {
        json!({
            "utc": order.at.to_string(), "ships_time": order.zone.to_datetime(order.at).to_string(),
            "zone_h": f64::from(order.zone.seconds()) / 3600.0, "what": order.what, "plant": order.plant,
        })
    });
    let cautions = view.cautions.iter().map(|line| {
        json!({
            "from_utc": line.from.to_string(), "to_utc": line.to.to_string(),
            "position": line.position.to_string(), "says": line.says,
        })
    });
    let samples = view.timeline.samples.iter().enumerate().map(|(k, sample)| {
        let at = |list: &[f64]| list.get(k).copied();
        let (low, planned, high) = view.stock_t(k);
        json!({
            "utc": sample.at.to_string(),
            "lat": sample.moment.position.lat_deg(), "lon": sample.moment.position.lon_deg(),
            "distance_nmi": sample.sea.distance_off.nmi(), "depth_m": sample.sea.depth_m,
            "sea_temp_c": sample.sea.temp_c, "salinity_g_kg": sample.sea.salinity_g_kg,
            "load": sample.load, "make_t_day": at(&view.making_t_day),
            "stock_t": {"p10": low, "planned": planned, "p90": high},
            "reserve_t": at(&view.reserve_t), "ceiling_t": at(&view.ceiling_t),
            "forbidden_by": sample.rule.as_ref().map(ToString::to_string),
        })
    });
    let tanks = view.tanks_ahead().into_iter().map(|tank| {
        let (low, planned, high) = tank.on_arrival_t;
        json!({
            "name": tank.name, "now_t": tank.now_t, "full_t": tank.full_t,
            "on_arrival_t": {"p10": low, "planned": planned, "p90": high},
        })
    });
    let policy = &view.brief.policy;
    json!({
        "name": view.name, "to": view.to, "to_go_nmi": view.to_go_nmi, "from_utc": view.from.to_string(),
        "binding": view.binding, "says": view.says, "holds": policy.holds, "lasts": view.lasts(), "expected_cost": policy.expected_cost,
        "worst_chance": policy.worst_chance,
        "on_arrival_t": {"p10": low, "planned": planned, "p90": high},
        "tanks": tanks.collect::<Vec<_>>(),
        "orders": orders.collect::<Vec<_>>(), "cautions": cautions.collect::<Vec<_>>(),
        "notes": view.brief.notes, "reckoned": view.reckoned, "remedies": view.remedies, "way_out": view.way_out, "worth": view.worth, "speeds": speeds(view),
        "samples": samples.collect::<Vec<_>>(),
    })
}
