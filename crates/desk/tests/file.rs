//! Files of readings as engineers keep them: headings with units, dates in any order, ship's time, counters that slip.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

use desk::Desk;
use desk::import::{Asked, Import};
use jiff::Timestamp;
use logbook::import::{DayOrder, FileRefused, Times};
use logbook::{Author, Draft, Zone};

fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

fn now() -> Timestamp {
    at("2026-11-25T06:00:00Z")
}

fn asked() -> Asked {
    Asked { name: "log.csv".into(), actor: "ce".into(), ..Asked::default() }
}

/// A ship's folder with an empty record.
struct Aboard {
    _folder: tempfile::TempDir,
    desk: Desk,
}

impl Aboard {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let desk = Desk::open(folder.path(), now()).unwrap();
        Self { desk, _folder: folder }
    }

    fn set_clock(&self, from: &str, hours: i32) {
        let draft = Draft::zone_change(at(from), hours * 60, Author::hand("2o"), "master");
        self.desk.write(draft, now()).unwrap();
    }

    fn look(&self, file: &str) -> Import {
        self.desk.import_plan(file.as_bytes(), &asked(), now()).unwrap()
    }

    fn look_as(&self, file: &str, asked: &Asked) -> Result<Import, desk::DeskError> {
        self.desk.import_plan(file.as_bytes(), asked, now())
    }
}

/// Moment and value in the unit read of every value that would be taken.
fn taken(found: &Import) -> Vec<String> {
    let rows = found.plan.rows.iter();
    rows.flat_map(|row| {
        row.values.iter().map(move |v| {
            let (text, unit) = (v.text.as_deref().unwrap(), v.unit.as_deref().unwrap());
            format!("{} {} {text} {unit}", row.at, v.name)
        })
    })
    .collect()
}

/// Why each cell is not taken.
fn problems(found: &Import) -> Vec<String> {
    let told = found.plan.problems.iter();
    told.map(|p| format!("line {}, {}: {}", p.line, p.column, p.message)).collect()
}

#[test]
fn ref_a_vacuum_is_read_in_the_unit_of_its_heading() {
    // Of the standard atmosphere of 101.325 kPa (by definition) 91.325 kPa are gone at 10 kPa, 100 mbar and −0.91325 bar.
    let aboard = Aboard::new();
    let meant = |heading: &str, text: &str| {
        let found = aboard.look(&format!("time utc;{heading}\n2026-11-20 06:00;{text}\n"));
        assert_eq!(problems(&found), [""; 0], "{heading}");
        found.plan.rows[0].values[0].si.unwrap()
    };
    for (heading, text) in [
        ("Vacuum (kPa abs)", "10"),
        ("shell (mbar abs)", "100"),
        ("shell_gauge_bar_g", "-0.91325"),
        ("shell gauge [cmHg]", "68.5"),
    ] {
        let si = meant(heading, text);
        assert!((si + 91_325.0).abs() < 10.0, "{heading}: {si}");
    }
    assert!((meant("shell_gauge", "90") + 0.9 * 101_325.0).abs() < 1e-6);
}

#[test]
fn ident_a_column_in_a_foreign_unit_is_refused_by_name_and_the_rest_is_taken() {
    let aboard = Aboard::new();
    let found = aboard.look("time utc;Vacuum (°C);Jacket in [°C]\n2026-11-20 06:00;90;83\n");
    assert_eq!(taken(&found), ["2026-11-20T06:00:00Z jacket_in_c 83 degC"]);
    let told = problems(&found);
    assert_eq!(told.len(), 1);
    assert!(
        told[0]
            .starts_with("line 1, Vacuum (°C): \"°C\" does not say how Vacuum is measured: % vac"),
        "{told:?}"
    );
    // A figure that cannot be, of a column whose heading says another unit than the reading's own.
    let found = aboard.look("time utc;shell_gauge_bar_g\n2026-11-20 06:00;92\n");
    assert!(problems(&found)[0].contains("read in bar g, as the file says"), "{found:?}");
}

#[test]
fn ident_a_date_without_a_time_of_day_is_not_taken_for_midnight() {
    let aboard = Aboard::new();
    let found = aboard.look("Date,Jacket in (°C)\n2026-11-01,84\n2026-11-01 08:00,85\n");
    assert_eq!(taken(&found).len(), 1, "{:?}", taken(&found));
    let told = problems(&found);
    assert!(told.iter().any(|p| p.contains("without a time of day")), "{told:?}");
}

#[test]
fn ident_a_salinity_over_the_ships_limit_is_told_in_a_file_too() {
    let aboard = Aboard::new();
    let found = aboard.look("time,Salinity (ppm)\n2026-11-01 08:00,25\n");
    let limit = found.odd.iter().find(|odd| odd.read.contains("25")).map(|odd| odd.says.clone());
    assert!(limit.as_ref().is_some_and(|says| says.contains("limit")), "{:?}", found.odd);
}

#[test]
fn ident_a_counter_that_slips_is_told_at_its_row_whatever_the_order_of_rows() {
    let aboard = Aboard::new();
    let before = "time utc,distillate_meter_m3\n2026-11-19T20:00:00Z,995\n";
    aboard.desk.import(before.as_bytes(), &asked(), now()).unwrap();
    let after = "time utc,distillate_meter_m3\n2026-11-20T20:00:00Z,1008\n";
    aboard.desk.import(after.as_bytes(), &asked(), now()).unwrap();
    let sound = "time utc,distillate_meter_m3\n2026-11-20T08:00:00Z,1002\n2026-11-20T00:00:00Z,998\n2026-11-20T04:00:00Z,1000\n";
    assert_eq!(aboard.look(sound).odd, []);
    let back = sound.replace("1000", "990");
    let fast = sound.replace("998", "1300");
    let over = sound.replace("1002", "1012");
    let told = |file: &str| -> Vec<(u64, String)> {
        aboard.look(file).odd.into_iter().map(|odd| (odd.line, odd.says)).collect()
    };
    let said = told(&back);
    assert!(said[1].0 == 4 && said[1].1.contains("does not run back"), "{said:?}");
    // From the low one to the next is more than she makes: which of the two slipped is for a person to say.
    assert!(said[0].0 == 2 && said[0].1.contains("72 m³ a day"), "{said:?}");
    assert_eq!(said.len(), 2);
    let said = told(&fast);
    assert!(said.iter().any(|(line, why)| *line == 3 && why.contains("more than she can make")));
    assert!(said.iter().any(|(line, why)| *line == 4 && why.contains("does not run back")));
    assert_eq!(aboard.look(&over).odd[0].read, "1012.0 m³");
    let said = told(&over);
    assert!(said[0].0 == 2 && said[0].1.contains("The round after stands at"), "{said:?}");
}

#[test]
fn ident_times_are_the_ships_unless_heading_or_person_say_otherwise() {
    let aboard = Aboard::new();
    let file = "time;jacket_in_c\n2026-11-20 06:00;83\n";
    let first = |found: &Import| found.plan.rows[0].at.to_string();
    let found = aboard.look(file);
    assert_eq!(first(&found), "2026-11-20T06:00:00Z");
    assert!(found.times_told().contains("was never set in this record: they are taken as UTC"));
    aboard.set_clock("2026-11-10T00:00:00Z", 10);
    let found = aboard.look(file);
    assert_eq!(first(&found), "2026-11-19T20:00:00Z");
    assert_eq!(
        found.times_told(),
        "Times without an offset are ship’s time as the record has it then."
    );
    let found = aboard.look(&file.replace("time", "Time (UTC)"));
    assert_eq!(first(&found), "2026-11-20T06:00:00Z");
    assert!(found.times_told().ends_with("are UTC, as its heading says."));
    let said = Asked { times: Some(Times::At("+08:00".parse().unwrap())), ..asked() };
    let found = aboard.look_as(file, &said).unwrap();
    assert_eq!(first(&found), "2026-11-19T22:00:00Z");
    assert!(found.times_told().ends_with("are UTC+08:00, as was said."));
    let utc = Asked { times: Some(Times::At(Zone::UTC)), ..asked() };
    assert_eq!(first(&aboard.look_as(file, &utc).unwrap()), "2026-11-20T06:00:00Z");
    // An offset behind the time goes before everything said.
    let found = aboard.look(&file.replace("06:00;", "06:00 +03;"));
    assert_eq!(first(&found), "2026-11-20T03:00:00Z");
    assert_eq!(found.times_told(), "Every time carries its offset from UTC.");
}

#[test]
fn ident_hours_that_the_ships_clocks_doubled_or_left_out_are_told() {
    let aboard = Aboard::new();
    aboard.set_clock("2026-11-10T00:00:00Z", 10);
    // Put back an hour when they showed 03:00 on the 20th, on again an hour when they showed 02:00 on the 22nd.
    aboard.set_clock("2026-11-19T17:00:00Z", 9);
    aboard.set_clock("2026-11-21T17:00:00Z", 10);
    let found = aboard.look(
        "time;jacket_in_c\n2026-11-20 02:30;83\n2026-11-20 02:30 +10;83\n2026-11-22 02:30;84\n",
    );
    let moments: Vec<String> = found.plan.rows.iter().map(|row| row.at.to_string()).collect();
    assert_eq!(moments, ["2026-11-19T17:30:00Z", "2026-11-19T16:30:00Z"]);
    assert!(found.times_told().contains("1 of them stand in an hour that was lived twice"));
    assert!(problems(&found)[0].starts_with("line 4, time: her clocks never showed this"));
}

#[test]
fn ident_dates_are_taken_in_the_order_that_the_whole_file_allows() {
    let aboard = Aboard::new();
    let file = |dates: [&str; 2]| {
        format!("time utc;jacket_in_c\n{} 06:00;83\n{} 06:00;84\n", dates[0], dates[1])
    };
    let days = |found: &Import| -> Vec<String> {
        found.plan.rows.iter().map(|row| row.at.strftime("%m-%d").to_string()).collect()
    };
    for (dates, wanted, says) in [
        (
            ["26.11.2025", "27.11.2025"],
            ["11-26", "11-27"],
            "the day comes first, as “26.11.2025 06:00” in line 2",
        ),
        (
            ["3/4/2026", "26/4/2026"],
            ["04-03", "04-26"],
            "the day comes first, as “26/4/2026 06:00” in line 3",
        ),
        (
            ["3/4/2026", "3/26/2026"],
            ["03-04", "03-26"],
            "the month comes first, as “3/26/2026 06:00” in line 3",
        ),
        (
            ["03.04.2026", "05.04.2026"],
            ["04-03", "04-05"],
            "the day comes first, as is the custom with points",
        ),
        (["25-Oct-26", "25 Nov 2026"], ["10-25", "11-25"], ""),
    ] {
        let found = aboard.look(&file(dates));
        assert_eq!(days(&found), wanted, "{dates:?}");
        assert!(found.dates_told().contains(says), "{}", found.dates_told());
        assert_eq!(found.dates_told().is_empty(), says.is_empty());
    }
    let found = aboard.look(&file(["24.11.2026", "11.25.2026"]));
    assert_eq!(days(&found), ["11-24"]);
    let told = &problems(&found)[0];
    assert!(told.contains("write 2026-11-25 or 25 Nov 2026, or say that the month"), "{told}");
    let why = |dates| match aboard.look_as(&file(dates), &asked()) {
        Err(desk::DeskError::Import { why, .. }) => why,
        other => panic!("{other:?}"),
    };
    assert!(matches!(why(["3/4/2026", "5/4/2026"]), FileRefused::DayOrder { line: 2, .. }));
    let both = why(["26/11/2025", "11/27/2025"]);
    assert!(both.to_string().contains("no one order fits both"), "{both}");
    let said = Asked { day_order: Some(DayOrder::MonthFirst), ..asked() };
    let found = aboard.look_as(&file(["26/11/2025", "11/27/2025"]), &said).unwrap();
    assert_eq!(days(&found), ["11-27"]);
    assert_eq!(found.plan.refused, 1);
    assert!(found.dates_told().ends_with("the month comes first, as you say."));
}

#[test]
fn ident_what_is_written_out_has_one_decimal_sign_and_comes_back_as_it_was_typed() {
    let aboard = Aboard::new();
    let comma = "time utc;jacket_in_c;distillate_meter_m3;brine_level;shell_gauge_bar_g\n2026-11-20T06:00:00Z;83,5;1 234,5;steady;-0,91\n";
    let point = "time utc,jacket_in_c,sea_temp_c\n2026-11-20T10:00:00Z,83.0,29.5\n";
    for file in [comma, point] {
        aboard.desk.import(file.as_bytes(), &asked(), now()).unwrap();
    }
    let written = |desk: &Desk| {
        let mut out = Vec::new();
        desk::export::csv(&desk.record().unwrap(), &mut out).unwrap();
        String::from_utf8(out).unwrap()
    };
    let first = written(&aboard.desk);
    let cells = |text: &str| -> Vec<[String; 4]> {
        let mut rows: Vec<_> = csv::Reader::from_reader(text.as_bytes())
            .records()
            .map(|row| [2, 3, 4, 5].map(|i| row.as_ref().unwrap()[i].to_owned()))
            .collect();
        rows.sort();
        rows
    };
    let wanted = [
        ["brine_level", "", "steady", ""],
        ["distillate_meter_m3", "1234.5", "1 234,5", "m3"],
        ["jacket_in_c", "83.0", "83.0", "degC"],
        ["jacket_in_c", "83.5", "83,5", "degC"],
        ["sea_temp_c", "29.5", "29.5", "degC"],
        ["shell_gauge_bar_g", "-0.91", "'-0,91", "bar_g"],
    ];
    assert_eq!(cells(&first), wanted);
    let again = aboard.look(&first);
    assert_eq!((again.new, again.known, problems(&again).len()), (0, 6, 0));
    let other = Aboard::new();
    other.desk.import(first.as_bytes(), &asked(), now()).unwrap();
    assert_eq!(cells(&written(&other.desk)), wanted);
    // A figure changed beside its text is told, not guessed.
    let spoiled = aboard.look(&first.replace("29.5,29.5", "29.6,29.5"));
    assert!(problems(&spoiled)[0].contains("mend one of the two"), "{:?}", problems(&spoiled));
}

#[test]
fn ident_a_dry_run_needs_no_lock() {
    let folder = tempfile::tempdir().unwrap();
    let desk = Desk::open(folder.path(), now()).unwrap();
    assert!(Desk::open(folder.path(), now()).is_err(), "one writes at a time");
    let beside = Desk::open_to_read(folder.path()).unwrap();
    let file = "time utc,jacket_in_c\n2026-11-20T06:00:00Z,83\n";
    let found = beside.import_plan(file.as_bytes(), &asked(), now()).unwrap();
    assert_eq!((found.new, desk.head().unwrap().0), (1, 0));
    assert!(beside.import(file.as_bytes(), &asked(), now()).is_err());
    desk.import(file.as_bytes(), &asked(), now()).unwrap();
    assert_eq!(beside.head().unwrap().0, 2, "what is written meanwhile is seen");
}

/// Three weeks of hourly rounds are too many to be worked out one by one: what the counter gained is drawn all the same,
/// 1 m³ an hour at 992 kg/m³ (IAPWS-IF97, 40 °C), and the two days she was shut down are marked.
#[test]
fn ident_output_over_many_rounds_comes_from_the_counter() {
    let aboard = Aboard::new();
    let begin = at("2026-11-01T00:00:00Z");
    let hour = |h: i64| begin.checked_add(jiff::SignedDuration::from_hours(h)).unwrap();
    let mut file = String::from("time,name,value,unit,quality,why\n");
    let mut counter = 100;
    for h in 0..500 {
        if (200..248).contains(&h) {
            if h % 4 == 0 {
                file += &format!("{},round,,,not taken,plant shut down\n", hour(h));
            }
            continue;
        }
        counter += 1;
        file += &format!(
            "{0},jacket_in_c,82,degC,,\n{0},distillate_meter_m3,{counter},m3,,\n",
            hour(h)
        );
    }
    let done = aboard.desk.import(file.as_bytes(), &asked(), now()).unwrap();
    assert_eq!(problems(&done), [""; 0]);
    let series = aboard.desk.trend("product_t_day", begin, now()).unwrap();
    assert!(series.thinned);
    assert_eq!(series.spots.len(), 500 - 48 - 1);
    let idle = series.spots.iter().filter(|spot| spot.read.unwrap() < 23.0).count();
    assert_eq!(idle, 1, "the piece over the two days alone made less a day");
    let made = series.spots[0].read.unwrap();
    assert!((made - 24.0 * 0.992).abs() < 1.0e-9, "{made}");
    let said: Vec<_> = series.stopped.iter().map(|(a, b)| ((b - a) / 3600.0).round()).collect();
    assert_eq!(said, [48.0]);
}

/// What is told of a file when it is taken is what was told when it was looked at: not held against itself.
#[test]
fn ident_taking_a_file_tells_the_same_oddities_as_looking_at_it() {
    let aboard = Aboard::new();
    let file = "time utc;distillate_meter_m3\n2026-11-20 04:00;500\n2026-11-20 08:00;504\n2026-11-20 12:00;490\n2026-11-20 16:00;494\n";
    let looked = aboard.look(file);
    assert_eq!(looked.all_odd, 1, "{:?}", looked.odd);
    let taken = aboard.desk.import(file.as_bytes(), &asked(), now()).unwrap();
    assert_eq!((taken.odd, taken.all_odd), (looked.odd, looked.all_odd));
}
