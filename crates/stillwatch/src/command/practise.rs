//! `stillwatch practise`: a scenario run on the plant in motion: its trace, what happened, what it cost.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::{Arg, ArgAction, ArgMatches, Command};
use serde_json::json;
use transient::{
    Action, Begin, Debrief, Drill, FULL_SCALE_MG_KG, Mark, Model, Parameters, Ran, Record, Row,
    Scenario, ScenarioError, Verdict,
};

use super::{figures, output};
use crate::fail::{Code, Done, Fail};

const ABOUT: &str = "\
Runs a plant that cannot be damaged from a scenario's beginning to its end, and prints what it showed every minute and at
every action, what happened, and what it cost. Nothing in it is left to chance: the same scenario and actions give the
same trace, to the last digit.

A scenario is JSON, times in seconds:

  {\"begin\": \"cold\", \"at\": {\"sea_temp_c\": 18, \"engine_load\": 75}, \"until\": 7200, \"actions\": [
    {\"t\": 0, \"do\": {\"valve\": \"overboard\", \"percent\": 100}},
    {\"t\": 120, \"do\": {\"pump\": \"ejector\", \"run\": true}},
    {\"t\": 930, \"do\": {\"set\": \"salinometer\", \"to\": \"on\"}},
    {\"t\": 3600, \"do\": {\"sample\": \"hand meter\"}},
    {\"t\": 4300, \"do\": {\"answer\": \"air leak\"}},
    {\"t\": 4000, \"do\": {\"fault\": \"air leak\", \"amount\": 6, \"over\": 60}}]}

Without a file, `--drill` runs one of the scenarios that are built in, each with a story and perhaps with a trouble that is not
told before: its actions are yours (`--actions`), or those of the reference run (`--reference`); what it was is told after, and
your run is held against the reference. `--drills` lists them. Where something is hidden, \"answer\" says what is the matter: the
first right answer within twenty minutes of its showing is worth all, a later or second one half; \"not known\" says that you do not know.
Water sent to a tank past a salinity alarm without a \"sample\" in limit since fails the run, in every scenario.

\"begin\" is cold or running. A running plant with anything around it of its own (\"at\") is brought to rest there before the clock
begins; without, she is the one that runs are exchanged with, near her rest and not at it: the output says which. An engine too hot
slows down by itself and trips, as on the page Practice. With the power off, the jacket pump started is driven by the emergency
generator. A valve's \"over\" is the time its travel takes; by hand when left out. A name that is not
known is answered with those that are.";

/// Rows of the table a person reads: so many minutes apart.
const TABLE_S: f64 = 300.0;

/// Every name that may stand in a scenario.
fn names() -> String {
    use transient::{FAULTS, PUMPS, SETS, SWITCHES, VALVES};
    let parts = |parts: &[transient::Part]| {
        let told = parts.iter().map(|part| match part.unit {
            "" | "%" => part.name.to_owned(),
            unit => format!("{} ({unit})", part.name),
        });
        told.collect::<Vec<_>>().join(", ")
    };
    let switches = SWITCHES.iter().map(|(name, words)| format!("{name} ({})", words.join("/")));
    format!(
        "Valves: {}.\n\nPumps: {}.\n\nSet to a figure: {}.\n\nSet to a word: {}.\n\nFaults: {}.\n\nAnswers: {}.",
        parts(&VALVES),
        PUMPS.join(", "),
        parts(&SETS),
        switches.collect::<Vec<_>>().join(", "),
        parts(&FAULTS),
        transient::causes().iter().map(|cause| cause.name).collect::<Vec<_>>().join(", ")
    )
}

/// The command's words.
pub fn command() -> Command {
    let file = |name: &'static str, help: &'static str| {
        Arg::new(name)
            .long(name)
            .value_name("FILE")
            .value_parser(clap::value_parser!(PathBuf))
            .help(help)
    };
    Command::new("practise")
        .about("A plant that cannot be damaged, run by a scenario: trace, events and score")
        .long_about(format!("{ABOUT}\n\n{}", names()))
        .arg(
            file("scenario", "The scenario, JSON").required_unless_present_any(["drill", "drills"]),
        )
        .arg(
            Arg::new("drill")
                .long("drill")
                .value_name("KEY")
                .conflicts_with_all(["scenario", "name"])
                .help("A scenario that is built in, by its key"),
        )
        .arg(
            Arg::new("drills")
                .long("drills")
                .action(ArgAction::SetTrue)
                .help("Lists the scenarios that are built in"),
        )
        .arg(
            Arg::new("reference")
                .long("reference")
                .action(ArgAction::SetTrue)
                .requires("drill")
                .conflicts_with("actions")
                .help("Runs the drill as its reference does"),
        )
        .arg(
            Arg::new("name")
                .long("name")
                .value_name("NAME")
                .help("Which one, where the file holds a list of scenarios"),
        )
        .arg(file("actions", "A list of actions, JSON, done beside the scenario's own"))
        .arg(file(
            "sheet",
            "The ship's file with her plant sheet; the demonstration plant when left out",
        ))
        .arg(
            Arg::new("csv")
                .long("csv")
                .action(ArgAction::SetTrue)
                .conflicts_with("json")
                .help("Only the trace, as CSV"),
        )
        .arg(
            Arg::new("json")
                .long("json")
                .action(ArgAction::SetTrue)
                .help("Trace, events and score as one JSON object"),
        )
}

/// Runs it.
pub fn run(matches: &ArgMatches) -> Done {
    let setup = figures::setup(matches)?;
    // The engine's jacket as the ship has it, as on the page.
    let set_point_c = desk::practice::set_point_c(&setup);
    let model = Arc::new(Model::new(setup.plant, Parameters::default()));
    if matches.get_flag("drills") {
        let all = Drill::all(&model).map_err(|e| refused(Path::new("drills"), &e))?;
        let told = |drill: &Drill| format!("{}: {}\n    {}\n", drill.key, drill.title, drill.story);
        return output::print(&all.iter().map(told).collect::<String>());
    }
    if let Some(key) = matches.get_one::<String>("drill") {
        return drill(matches, &model, set_point_c, key);
    }
    let Some(path) = matches.get_one::<PathBuf>("scenario") else {
        return Err(Fail::usage("no scenario").hint("--scenario FILE"));
    };
    let name = matches.get_one::<String>("name").map(String::as_str);
    let scenario = Scenario::read(&model, &text(path)?, name).map_err(|e| refused(path, &e))?;
    let mut scenario = scenario.settled();
    scenario.add(&hands(matches)?);
    let record = Record::of(&model, &scenario)
        .map_err(|e| Fail::new(Code::Internal, e).hint("send the scenario with the report"))?;
    if matches.get_flag("csv") {
        return output::print(&csv(&record.rows));
    }
    if matches.get_flag("json") {
        let answer = json!({
            "rows": record.rows,
            "events": record.events,
            "score": record.score,
            "ledgers": {
                "water": record.ledgers.water, "salt": record.ledgers.salt,
                "heat": record.ledgers.heat, "air": record.ledgers.air,
            },
        });
        return output::print(&format!("{answer}\n"));
    }
    let begins = match (scenario.begin, scenario.comes_to_rest()) {
        (Begin::Cold, _) => "",
        (_, true) => {
            "Begins as running plants are exchanged: near the rest of the rated line-up, and comes to it in the first minutes.\n\n"
        }
        (_, false) => "Brought to rest in its own line-up before the clock began.\n\n",
    };
    output::print(&format!("{begins}{}", told(&record)))
}

/// The actions of the file that is named; none where none is.
fn hands(matches: &ArgMatches) -> Result<Vec<Action>, Fail> {
    let Some(path) = matches.get_one::<PathBuf>("actions") else { return Ok(Vec::new()) };
    transient::read_actions(&text(path)?).map_err(|e| refused(path, &e))
}

/// Runs a built-in scenario and holds the run against its reference.
fn drill(matches: &ArgMatches, model: &Arc<Model>, set_point_c: f64, key: &str) -> Done {
    let all =
        Drill::all_beside(model, set_point_c).map_err(|e| refused(Path::new("drills"), &e))?;
    let Some(drill) = all.iter().find(|drill| drill.key == key) else {
        let keys: Vec<&str> = all.iter().map(|drill| drill.key.as_str()).collect();
        let message = format!("--drill {key}: no such scenario; there are {}", keys.join(", "));
        return Err(Fail::usage(message).hint("stillwatch practise --drills"));
    };
    let hands =
        if matches.get_flag("reference") { drill.reference.clone() } else { hands(matches)? };
    let broken = |e| Fail::new(Code::Internal, e).hint("send the actions with the report");
    let live = drill.live(model, &hands).map_err(broken)?;
    let (against, hands) = (live.against_order().to_vec(), live.done().to_vec());
    let record = live.record();
    if matches.get_flag("csv") {
        return output::print(&csv(&record.rows));
    }
    let good = drill.reference_run(model).map_err(broken)?;
    let first_s = against.first().map(|event| event.time_s);
    let score = record.score.clone().with_against(against.len(), first_s);
    let hidden = drill.hidden(model, (&hands, &record.rows), (&[], &[])).map_err(broken)?;
    let (run, rows, hands, hidden) = (&record.run, &record.rows, &hands[..], &hidden[..]);
    let debrief = drill.debrief(&good, Ran { run, rows, hands, score, over: true, hidden });
    if matches.get_flag("json") {
        let answer = json!({
            "rows": record.rows, "events": record.events, "against_order": against, "debrief": debrief, "told": drill.told,
        });
        return output::print(&format!("{answer}\n"));
    }
    let head = format!("{}\n{}\n\n", drill.title, drill.story);
    let mut text = head + &happened(&record) + &debriefed(drill, &debrief);
    for one in &against {
        text += &format!("Against the order, at {:.0} s: {}\n", one.time_s, in_unit(&one.says));
    }
    output::print(&text)
}

/// The run beside the reference run, mark by mark.
fn debriefed(drill: &Drill, debrief: &Debrief) -> String {
    let mut rows =
        vec![["", "this run", "reference", "", "at", "points lost"].map(str::to_owned).to_vec()];
    for (mark, reference) in debrief.score.marks.iter().zip(&debrief.reference.marks) {
        rows.push(vec![
            mark.what.to_owned(),
            value(mark),
            value(reference),
            if mark.word().is_some() { String::new() } else { in_unit(mark.unit) },
            mark.at_s.map_or_else(String::new, |at_s| format!("{at_s:.0} s")),
            lost(mark),
        ]);
    }
    let aim = &debrief.aim;
    let mut text = format!(
        "\n{:.0} points of 100. What it was about: {}, {:.1} {}{}\n\n",
        debrief.points,
        aim.what,
        aim.value,
        in_unit(aim.unit),
        if aim.lost > 0.0 {
            format!(" ({:.0} points: {})", aim.lost, aim.why)
        } else {
            String::new()
        }
    );
    text += &output::columns(&rows);
    if !debrief.undone.is_empty() {
        text += &format!("\nLeft undone: {}\n", debrief.undone.join(", "));
    }
    text += &format!("\nWhat it was: {}\n", drill.told);
    for verdict in &debrief.matter {
        text += &matter(verdict);
    }
    text
}

/// A hidden trouble: when it came, when it could be seen, what was said of it.
fn matter(verdict: &Verdict) -> String {
    let shown = match verdict.shown_s.zip(verdict.gauge) {
        Some((at_s, gauge)) => format!("could be seen first at {at_s:.0} s, by {gauge}"),
        None => "no gauge came to show it".to_owned(),
    };
    let named = verdict.named_s.map_or_else(String::new, |at_s| format!(", at {at_s:.0} s"));
    let (what, came_s, says) = (verdict.what, verdict.came_s, verdict.says);
    format!("What was the matter: {what}, from {came_s:.0} s; {shown}; {says}{named}\n")
}

/// A figure that counts, or its word.
fn value(mark: &Mark) -> String {
    mark.word().map_or_else(|| format!("{:.1}", mark.value), str::to_owned)
}

/// Words with salinity in the unit that the pages have it in.
fn in_unit(words: &str) -> String {
    words.replace("mg/kg", desk::practice::salinity_unit())
}

/// What the salinometer shows.
fn cell(mg_kg: f64) -> String {
    match mg_kg {
        over if over > FULL_SCALE_MG_KG => format!("over {FULL_SCALE_MG_KG:.0}"),
        read => format!("{read:.1}"),
    }
}

fn lost(mark: &Mark) -> String {
    if mark.lost > 0.0 { format!("{:.0}: {}", mark.lost, mark.why) } else { String::new() }
}

fn text(path: &Path) -> Result<String, Fail> {
    let bytes = std::fs::read(path).map_err(|e| {
        Fail::usage(format!("{}: {e}", path.display())).hint("name a file that can be read")
    })?;
    String::from_utf8(bytes).map_err(|_| {
        Fail::usage(format!("{}: not UTF-8 text", path.display())).hint("save it as UTF-8")
    })
}

fn refused(path: &Path, e: &ScenarioError) -> Fail {
    let fail = Fail::usage(format!("{}: {e}", path.display()));
    if e.field == "name" {
        fail.hint("--name NAME")
    } else {
        fail.hint("stillwatch practise --help shows how it is written")
    }
}

/// Seven digits, as short as they go.
fn digits(x: f64) -> String {
    if x == 0.0 || !x.is_finite() {
        return if x == 0.0 { "0".to_owned() } else { x.to_string() };
    }
    let exponential = format!("{x:.6e}");
    let Some((mantissa, exponent)) = exponential.split_once('e') else { return exponential };
    let power: i32 = exponent.parse().unwrap_or(0);
    if (-5..15).contains(&power) {
        let places = usize::try_from(6 - power).unwrap_or(0);
        let text = format!("{x:.places$}");
        return if text.contains('.') {
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        } else {
            text
        };
    }
    let mantissa = mantissa.trim_end_matches('0').trim_end_matches('.');
    format!("{mantissa}e{power:+03}")
}

fn csv(rows: &[Row]) -> String {
    let mut text = Row::COLUMNS.join(",");
    text.push('\n');
    for row in rows {
        let cells: Vec<String> = row.values().map(digits).collect();
        text += &cells.join(",");
        text.push('\n');
    }
    text
}

fn clock(time_s: f64) -> String {
    let seconds = time_s.round() as u64;
    format!("{}:{:02}:{:02}", seconds / 3600, seconds / 60 % 60, seconds % 60)
}

/// The run every five minutes, and what happened in it.
fn happened(record: &Record) -> String {
    let mut table = vec![
        [
            "time",
            "vacuum %",
            "brine C",
            "made t/day",
            "jacket C",
            "by heater C",
            "sea out C",
            "level",
            "feed kg/s",
            "drawn t/day",
            "salt mg/kg",
            "to",
        ]
        .map(in_unit)
        .to_vec(),
    ];
    let last = record.rows.last().map_or(0.0, |row| row.time_s);
    for row in record.rows.iter().filter(|row| row.time_s % TABLE_S == 0.0 || row.time_s == last) {
        table.push(vec![
            clock(row.time_s),
            format!("{:.1}", row.vacuum_percent),
            format!("{:.1}", row.brine_temp_c),
            format!("{:.1}", row.product_kg_s * 86.4),
            format!("{:.1}", row.engine_outlet_c),
            format!("{:.1}", row.jacket_out_c),
            format!("{:.1}", row.sea_out_c),
            format!("{:.2}", row.brine_level),
            format!("{:.2}", row.feed_kg_s),
            format!("{:.1}", row.drawn_kg_s * 86.4),
            cell(row.cell_reading_mg_kg),
            if row.diverting_valve > 0.5 { "tank" } else { "dump" }.to_owned(),
        ]);
    }
    let mut text = output::columns(&table);
    text += "\nWhat happened\n";
    for event in &record.events {
        text += &format!("{:>8}  {}\n", clock(event.time_s), in_unit(&event.says));
    }
    text
}

fn told(record: &Record) -> String {
    let mut text = happened(record);
    let score = &record.score;
    text += &format!(
        "\nScore {:.0} of 100; {:.0} kg to the tank at {:.1} {}\n",
        score.points,
        score.to_tank_kg,
        score.tank_salt_mg_kg,
        desk::practice::salinity_unit()
    );
    for mark in &score.marks {
        let unit = if mark.word().is_some() { String::new() } else { in_unit(mark.unit) };
        text += &format!("{:>8} {unit:<11}  {}", value(mark), mark.what);
        if mark.lost > 0.0 {
            text += &format!(", {:.0} points: {}", mark.lost, mark.why);
        }
        text.push('\n');
    }
    text
}

#[cfg(test)]
mod tests {
    use super::digits;

    #[test]
    fn ident_seven_digits_and_no_more() {
        for (x, want) in [
            (102_155.0, "102155"),
            (-0.819_152_149, "-0.8191521"),
            (5.458_17e-5, "0.0000545817"),
            (6.944_595_12e-11, "6.944595e-11"),
            (85.0, "85"),
            (0.0, "0"),
        ] {
            assert_eq!(digits(x), want);
            assert!(digits(x).parse::<f64>().is_ok_and(|read| (read - x).abs() <= 1e-6 * x.abs()));
        }
    }
}
