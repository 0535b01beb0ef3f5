//! `stillwatch explain --ship FOLDER`: the rounds of a ship's own record explained, by the very findings of the page.

use std::path::PathBuf;

use clap::{Arg, ArgMatches};
use desk::findings::{CleaningLine, EvidenceLine, FindingsView, GrowthLine, Since, Stand};
use desk::{Desk, DeskError};
use jiff::Timestamp;
use serde_json::{Value as Json, json};

use super::explain::{as_json, digits};
use super::explain_view::{causes, next};
use super::{output, serve};
use crate::fail::{Done, Fail};

/// A record whose last round is older than this ended then: it is explained as of that round, hours.
const ENDED_H: i64 = 7 * 24;

/// The flags of it.
pub fn flags() -> [Arg; 3] {
    [
        Arg::new("ship")
            .long("ship")
            .value_name("FOLDER")
            .conflicts_with_all(["plant", "readings", "settings", "selfcheck"])
            .value_parser(clap::value_parser!(PathBuf))
            .help("The ship's folder: her plant, marks and record in place of files"),
        Arg::new("since")
            .long("since")
            .value_name("TIME")
            .requires("ship")
            .conflicts_with_all(["plant", "readings", "selfcheck"])
            .help("Rounds from this moment on, as on the pages: 2025-11-16 12:00, 16.11.2025 or 16 Nov 2025 by the ship's clock, 2025-11-16T04:20:00Z (default: since the last cleaning)"),
        Arg::new("clock")
            .long("clock")
            .value_name("RFC 3339")
            .value_parser(clap::value_parser!(Timestamp))
            .hide(true)
            .help("Explain as if it were this moment, for tests"),
    ]
}

/// Runs it.
pub fn run(matches: &ArgMatches) -> Done {
    let Some(folder) = matches.get_one::<PathBuf>("ship") else {
        return Err(Fail::usage("--ship wants the ship's folder"));
    };
    for file in [desk::SHIP_FILE, desk::RECORD_FILE] {
        if !folder.join(file).is_file() {
            return Err(Fail::usage(format!("{}: no {file} there", folder.display()))
                .hint("--ship FOLDER, the folder that `stillwatch open` made"));
        }
    }
    // The pages may be open meanwhile.
    let desk = Desk::open_to_read(folder).map_err(serve::desk_fail)?;
    let now = serve::clock(matches).moment();
    let since = match matches.get_one::<String>("since") {
        None => Since::Cleaned,
        Some(text) => {
            let clock = desk.clock().map_err(serve::desk_fail)?;
            let at = desk::moment::instant(&clock, text, now);
            Since::Moment(at.map_err(|why| Fail::usage(format!("--since: {why}")))?)
        }
    };
    let view = desk.findings(since, now).map_err(|e| match e {
        DeskError::Asked(why) => Fail::usage(format!("{}: {why}", folder.display())),
        other => serve::desk_fail(other),
    })?;
    // Of a record that ended long ago the stops are those that lay ahead then.
    let ended = now.duration_since(view.until).as_hours() > ENDED_H;
    let stands = desk.stands(if ended { view.until } else { now }).map_err(serve::desk_fail)?;
    if matches.get_flag("json") {
        return output::print(&format!("{:#}\n", json_of(&view)));
    }
    // A deposit is told by all rounds since the cleaning, whatever span is asked about.
    let whole = match since {
        Since::Cleaned => view.clone(),
        _ => desk.findings(Since::Cleaned, now).unwrap_or_else(|_| view.clone()),
    };
    let warned = not_hers(desk.setup().ship.unconfirmed.len());
    output::print(&format!("{warned}{}", text(&view, &whole, &stands)))
}

/// What the pages say first of a sheet that is still a typical plant's; empty where it is hers.
fn not_hers(figures: usize) -> String {
    match figures {
        0 => String::new(),
        _ => format!(
            "Not this ship's plant yet: {figures} of the maker's figures are still a typical plant's, so what is expected here is that plant's too. Fill in ship.toml first.\n\n"
        ),
    }
}

fn text(view: &FindingsView, whole: &FindingsView, stands: &[Stand]) -> String {
    let mut text = format!(
        "{} {} from {} to {} by the ship's clock, {}.\n\n{}{}\n\n",
        view.rounds,
        if view.rounds == 1 { "round" } else { "rounds" },
        view.day(view.from),
        view.day(view.until),
        view.since_words,
        first_of(view, whole, stands),
        view.sentence()
    );
    text += "Causes, likeliest first\n";
    text += &causes(view);
    text += &evidence(view);
    text += &next(view.telling(whole));
    if !whole.growth.is_empty() && whole.from != view.from {
        text += &format!("\nDeposits, by the rounds {}", whole.since_words);
    }
    for growth in &whole.growth {
        text += &format!("\n{}. {}\n", capital(&growth.words), growth.says());
        match growth.crossed[0].filter(|_| growth.grows()) {
            Some(at) if at <= whole.until => text += "  past its limit already\n",
            Some(at) => text += &format!("  passes its limit about {}\n", whole.day(at)),
            None => {}
        }
        if let Some(clean) = growth.cleaning.as_ref().filter(|_| growth.tells_a_day()) {
            text += &cleaning(whole, clean, stands);
        }
    }
    for line in &view.tables.learned {
        text += &format!("\n{line}");
    }
    text
}

/// What to do first, as a paragraph of its own; empty where the page says nothing.
fn first_of(view: &FindingsView, whole: &FindingsView, stands: &[Stand]) -> String {
    let first = view.first_to_do(whole, stands);
    if first.is_empty() { first } else { format!("{first}\n\n") }
}

/// The last readings beside what the pages expect of a clean, sound plant, and what each likely cause would make of them.
fn evidence(view: &FindingsView) -> String {
    let mut head = vec![String::new(), "read".to_owned(), "expected".to_owned()];
    head.extend(view.explained_by.iter().map(|words| format!("with {words}")));
    let rows = view.evidence.iter().map(|line| {
        let row = &line.compared;
        let text = |x: Option<f64>| x.map_or_else(|| "–".to_owned(), |x| row.text(x));
        let expected = row.expected.map_or_else(
            || "–".to_owned(),
            |band| {
                format!(
                    "{} ({} to {})",
                    row.text(band.middle),
                    row.text(band.low),
                    row.text(band.high)
                )
            },
        );
        let mut cells = vec![format!("{}, {}", row.label, row.unit), text(row.read), expected];
        cells.extend(line.would_read.iter().map(|x| text(*x)));
        cells
    });
    let rows: Vec<Vec<String>> = std::iter::once(head).chain(rows).collect();
    if rows.len() == 1 {
        return String::new();
    }
    let mut text = format!(
        "\nThe last readings, beside what the pages expect of a clean, sound plant\n{}",
        output::columns(&rows)
    );
    for blamed in &view.blamed {
        text += &format!("{}\n", blamed.says());
    }
    for made in &view.checked {
        let watch =
            made.watch.map_or_else(String::new, |x| format!(" where the watch read {x:.2}"));
        text += &format!(
            "Check of {}: {} read {:.2}{watch} (entry {}){}\n",
            view.day(made.at),
            made.reading,
            made.read,
            made.seq,
            if made.used { "" } else { ", not used: no round beside it" }
        );
    }
    text
}

fn cleaning(view: &FindingsView, clean: &CleaningLine, stands: &[Stand]) -> String {
    let when = if clean.due {
        "the day that costs least has passed: clean when the plant is off anyway".to_owned()
    } else {
        format!(
            "costs least to clean about {}, {} a day ({} to {} cost at most a twentieth more)",
            view.day(clean.best),
            clean.money(clean.cost_day),
            view.day(clean.within.0),
            view.day(clean.within.1)
        )
    };
    let stands_of = stands;
    let stands = clean.where_to(view, stands);
    let stands = if stands.is_empty() { stands } else { format!("\n  {stands}") };
    format!(
        "  {}\n  {when}{stands}\n  reckoned with {:.0} {} a cleaning{}, {:.1} a tonne not made, {:.0} h standing, running {:.0} % of the time; {}\n",
        clean.advice(view, stands_of),
        clean.cleaning,
        clean.currency,
        if clean.usual_price { " (the usual price: set hers on the page Ship)" } else { "" },
        clean.water_t,
        clean.standing_h,
        100.0 * clean.running,
        if clean.loss_t_day >= 0.05 {
            format!(
                "cleaning it brings back {:.1} t/day of water now while she runs",
                clean.loss_t_day
            )
        } else {
            "no loss that shows now".to_owned()
        }
    )
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

fn json_of(view: &FindingsView) -> Json {
    let mut answer = as_json(view.finding.finding());
    if let Json::Object(fields) = &mut answer {
        // Within the band the causes cost no more than is short, as on the page.
        for cause in fields.get_mut("causes").and_then(Json::as_array_mut).into_iter().flatten() {
            let line = view.causes.iter().find(|line| cause["cause"] == json!(line.key));
            if let Some((line, Json::Object(cause))) = line.map(|line| (line, cause)) {
                cause.insert("loss_t_day".into(), json!(line.loss_t_day.map(digits)));
                cause.insert("cure".into(), json!(line.cure_t_day.map(digits)));
            }
        }
        fields.insert("sentence".into(), json!(view.sentence()));
        fields.insert("from".into(), json!(view.from.to_string()));
        fields.insert("until".into(), json!(view.until.to_string()));
        fields.insert("rounds".into(), json!(view.rounds));
        // What is expected is what the pages expect; the estimator's own clean plant allows for instruments that read wrong.
        let clean = fields.remove("clean_t_day");
        let fitted = fields.remove("made_t_day");
        fields.insert("expected_t_day".into(), json!(view.made.map(|(_, e)| digits(e.middle))));
        fields.insert("made_t_day".into(), json!(view.made.map(|(made, _)| digits(made))));
        fields.insert("fitted_clean_t_day".into(), clean.unwrap_or_default());
        fields.insert("fitted_made_t_day".into(), fitted.unwrap_or_default());
        fields.insert("evidence".into(), json!(evidence_json(view)));
        fields.insert(
            "cleaning".into(),
            json!(view.growth.iter().filter_map(clean_json).collect::<Vec<_>>()),
        );
    }
    answer
}

fn evidence_json(view: &FindingsView) -> Vec<Json> {
    let finding = view.finding.finding();
    let line = |line: &EvidenceLine| {
        let row = &line.compared;
        let fitted = finding.evidence.iter().find(|e| e.instrument.key() == row.key);
        json!({
            "reading": row.key,
            "unit": row.unit,
            "read": row.read.map(digits),
            "expected": row.expected.map(|b| digits(b.middle)),
            "low": row.expected.map(|b| digits(b.low)),
            "high": row.expected.map(|b| digits(b.high)),
            "off_sigma": fitted.map(|e| digits(e.off)),
            "left_sigma": fitted.map(|e| digits(e.left)),
        })
    };
    view.evidence.iter().map(line).collect()
}

fn clean_json(growth: &GrowthLine) -> Option<Json> {
    let clean = growth.cleaning.as_ref()?;
    let second = |s: f64| Timestamp::from_second(s as i64).ok().map(|t| t.to_string());
    let curve: Vec<Json> = clean
        .curve
        .iter()
        .step_by(5)
        .map(|(at, cost)| json!({"at": second(*at), "cost_day": digits(*cost)}))
        .collect();
    Some(json!({
        "cause": growth.key,
        "best": clean.best.to_string(),
        "passed": clean.due,
        "within": [clean.within.0.to_string(), clean.within.1.to_string()],
        "loss_t_day": digits(clean.loss_t_day),
        "cost_day": digits(clean.cost_day),
        "curve": curve,
    }))
}
