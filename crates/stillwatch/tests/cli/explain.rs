//! `stillwatch explain`: sheet and readings from files, answers for a person and for a program, mistakes told by their line.

use std::path::{Path, PathBuf};

use super::{run, text};

const READINGS: &str = "time,name,value
2025-11-16T04:20:00Z,jacket_in_c,85
2025-11-16T04:20:00Z,jacket_out_c,77
2025-11-16T04:20:00Z,sea_temp_c,32
2025-11-16T04:20:00Z,sea_out_c,39.5
2025-11-16T04:20:00Z,vapour_temp_c,43.5
2025-11-16T04:20:00Z,product_t_day,18.6
2025-11-16T04:20:00Z,product_salt_mg_kg,1.9
2025-11-16T04:20:00Z,ejector_pressure_bar_g,4.0
";

fn written(folder: &Path, name: &str, content: &str) -> PathBuf {
    let path = folder.join(name);
    std::fs::write(&path, content).unwrap();
    path
}

fn explain(folder: &Path, sheet: &str, readings: &str, more: &[&str]) -> std::process::Output {
    let sheet = written(folder, "sheet", sheet);
    let readings = written(folder, "readings.csv", readings);
    let args =
        ["explain", "--plant", sheet.to_str().unwrap(), "--readings", readings.to_str().unwrap()];
    run(&[&args, more].concat(), b"")
}

/// Little drop of the jacket water, little made, vapour cold: scale (the trade's third case).
#[test]
fn ident_scale_is_named_whatever_the_sheet_is_written_in() {
    let folder = tempfile::tempdir().unwrap();
    for sheet in [
        "rated_product_t_day = 24\n",
        "[plant]\nrated_product_t_day = 24\n",
        "{\"rated_product_t_day\": 24}",
        "{\"plant\": {\"rated_product_t_day\": 24, \"feed_from\": \"condenser\"}}",
    ] {
        let output = explain(folder.path(), sheet, READINGS, &["--json"]);
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        let first = &answer["causes"][0];
        assert_eq!(first["cause"], "scale", "{answer}");
        assert!(first["p_over_limit"].as_f64().unwrap() > 0.8, "{first}");
        for key in ["p_changed", "value", "low", "high", "share_of_loss", "cure"] {
            assert!(first[key].is_number(), "{key}: {first}");
        }
        assert!(answer["next_checks"][0]["bits"].is_number());
        assert_eq!(answer["families"].as_array().unwrap().len(), 3);
    }
    // What a spreadsheet writes is taken, and how is said.
    let rows = READINGS
        .replace(',', ";")
        .replace('.', ",")
        .replace("2025-11-16T04:20:00Z", "16.11.2025 04:20");
    let output = explain(folder.path(), "rated_product_t_day = 24\n", &rows, &[]);
    let said = text(&output.stdout);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    for says in ["day before the month", "taken as UTC", "decimal point", "scale on the evaporator"]
    {
        assert!(said.contains(says), "{says}: {said}");
    }
    let output = explain(folder.path(), "rated_product_t_day = 24\n", READINGS, &[]);
    assert!(text(&output.stdout).contains("scale on the evaporator"), "{}", text(&output.stdout));
}

/// An air leak: the leak-down test is listed, with what it takes, and sizes say what they are counted by; a unit may follow a figure.
#[test]
fn ident_an_air_leak_is_tested_cold_and_a_vacuum_may_be_in_per_cent() {
    let folder = tempfile::tempdir().unwrap();
    let readings = "time,name,value
2025-11-16T04:20:00Z,jacket_in_c,85
2025-11-16T04:20:00Z,jacket_out_c,78
2025-11-16T04:20:00Z,sea_temp_c,30
2025-11-16T04:20:00Z,sea_out_c,37
2025-11-16T04:20:00Z,vapour_temp_c,53
2025-11-16T04:20:00Z,shell_gauge_bar_g,86 % vac
2025-11-16T04:20:00Z,barometer_hpa,1012
2025-11-16T04:20:00Z,vent_temp_c,33
2025-11-16T04:20:00Z,product_t_day,15.7
2025-11-16T04:20:00Z,product_salt_mg_kg,0.9
2025-11-16T04:20:00Z,ejector_pressure_bar_g,4.0
";
    let output = explain(folder.path(), "rated_product_t_day = 24\n", readings, &[]);
    let said = text(&output.stdout);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert!(said.contains("an air leak"), "{said}");
    assert!(said.contains("times what a tight plant draws in"), "{said}");
    let next = said.split("What to read next").nth(1).unwrap_or_default();
    let leak_down = next.lines().find(|line| line.contains("the leak-down test"));
    assert!(leak_down.is_some_and(|line| line.contains("plant cold and drained")), "{said}");
    assert!(!said.contains('×'), "{said}");
    let wrong = readings.replace("86 % vac", "86 kg/h");
    let output = explain(folder.path(), "rated_product_t_day = 24\n", &wrong, &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        text(&output.stderr).contains("line 7, shell_gauge_bar_g: "),
        "{}",
        text(&output.stderr)
    );
}

#[test]
fn ident_mistakes_in_the_files_are_told_by_line_and_name() {
    let folder = tempfile::tempdir().unwrap();
    let sheet = "rated_product_t_day = 24\n";
    let wrong = |row: &str| format!("{READINGS}2025-11-16T04:20:00Z,{row}\n");
    for (sheet, readings, names) in [
        ("rated_product_t_dya = 24\n", READINGS.to_owned(), "rated_product_t_day"),
        ("\nrated_product_t_day = 2400\n", READINGS.to_owned(), "line 2"),
        ("{\"rated_product_t_day\": \"much\"}", READINGS.to_owned(), "rated_product_t_day"),
        (
            sheet,
            wrong("vapor_temp_c,44"),
            "line 10: vapor_temp_c: no such reading; did you mean vapour_temp_c?",
        ),
        (sheet, wrong("brine_temp_c,444"), "line 10, brine_temp_c = 444: outside"),
        (sheet, "time|name|value\n".to_owned(), "wanted time,name,value"),
        (sheet, wrong("brine_temp_c,44,4"), "line 10: 4 columns, wanted 3; put a figure"),
        (sheet, "time,name,value\n".to_owned(), "no readings"),
    ] {
        let output = explain(folder.path(), sheet, &readings, &[]);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(output.stdout.is_empty() && said.contains(names), "{said}");
    }
}

/// The by-pass was opened, and the settings say so: what looked like low jacket flow is none.
#[test]
fn ident_settings_say_what_was_set() {
    let folder = tempfile::tempdir().unwrap();
    let readings = "time,name,value
2025-11-16T04:20:00Z,jacket_in_c,85
2025-11-16T04:20:00Z,jacket_out_c,72
2025-11-16T04:20:00Z,sea_temp_c,32
2025-11-16T04:20:00Z,sea_out_c,39.5
2025-11-16T04:20:00Z,vapour_temp_c,43.5
2025-11-16T04:20:00Z,product_t_day,19.2
2025-11-16T04:20:00Z,product_salt_mg_kg,2.0
2025-11-16T04:20:00Z,ejector_pressure_bar_g,4.0
";
    let low = |more: &[&str]| {
        let output = explain(
            folder.path(),
            "rated_product_t_day = 24\n",
            readings,
            &[more, &["--json"]].concat(),
        );
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        let causes = answer["causes"].as_array().unwrap().clone();
        let jacket = causes.iter().find(|c| c["cause"] == "jacket_flow").unwrap();
        jacket["p_over_limit"].as_f64().unwrap()
    };
    assert!(low(&[]) > 0.8);
    let settings =
        written(folder.path(), "set.csv", "time,jacket_flow_set_kg_s\n2025-11-01T00:00:00Z,10.0\n");
    assert!(low(&["--settings", settings.to_str().unwrap()]) < 0.2);
}

#[test]
fn ident_the_selfcheck_is_the_same_for_a_seed_and_counts_every_plant() {
    let args = ["explain", "--selfcheck", "24", "--of", "1", "--seed", "5", "--json"];
    let (first, again) = (run(&args, b""), run(&args, b""));
    assert_eq!(first.status.code(), Some(0), "{}", text(&first.stderr));
    assert_eq!(text(&first.stdout), text(&again.stdout));
    let answer: serde_json::Value = serde_json::from_slice(&first.stdout).unwrap();
    let row = &answer[0];
    let of = |key: &str| row[key]["of"].as_u64().unwrap();
    let put_in =
        ["six_at_limit", "process_twice", "instruments_twice", "pair_leader", "false_alarms"];
    let alone: u64 = put_in.iter().map(|k| of(k)).sum();
    // Two in twelve are dealt from the table and stand in the coverage.
    assert_eq!(
        alone + row["coverage"]["scale"]["of"].as_u64().unwrap() + row["lost"].as_u64().unwrap(),
        24
    );
    let folder = tempfile::tempdir().unwrap();
    let picture = folder.path().join("said.svg");
    let wrong = ["explain", "--selfcheck", "12", "--of", "7", "--svg", picture.to_str().unwrap()];
    let told = run(&wrong, b"");
    assert_eq!(told.status.code(), Some(0), "{}", text(&told.stderr));
    assert!(text(&told.stdout).contains("one set, wrong closures"));
    let drawn = std::fs::read_to_string(&picture).unwrap();
    assert!(drawn.contains("<svg ") && drawn.contains("one set, wrong closures"), "{drawn}");
    let nothing = run(&["explain", "--selfcheck", "24", "--of", "9"], b"");
    assert_eq!(nothing.status.code(), Some(2));
}

/// The rounds of a ship's own record: the demonstration's condenser, by the same words as on her page; a folder without a ship is told.
#[test]
fn ident_a_ships_own_record_is_explained() {
    let folder = tempfile::tempdir().unwrap();
    let at: jiff::Timestamp = "2025-11-16T04:20:00Z".parse().unwrap();
    drop(desk::demo::open(folder.path(), at, 1789).unwrap());
    let ship = folder.path().to_str().unwrap();
    let clock = ["--clock", "2025-11-16T04:20:00Z"];
    let told = run(&[&["explain", "--ship", ship, "--json"], &clock[..]].concat(), b"");
    assert_eq!(told.status.code(), Some(0), "{}", text(&told.stderr));
    let answer: serde_json::Value = serde_json::from_slice(&told.stdout).unwrap();
    assert_eq!(answer["causes"][0]["cause"], "condenser_fouling", "{answer}");
    assert!(answer["cleaning"][0]["best"].is_string() && answer["rounds"].as_u64().unwrap() > 100);
    let week =
        run(&[&["explain", "--ship", ship, "--since", "2025-11-09"], &clock[..]].concat(), b"");
    assert!(text(&week.stdout).contains("since the moment asked for"), "{}", text(&week.stdout));
    for (args, says) in [
        (vec!["explain", "--ship", "/nowhere/at/all"], "no ship.toml there"),
        (vec!["explain", "--ship", ship, "--since", "lately"], "is not a date and time"),
        (vec!["explain", "--since", "2025-11-09"], "--ship"),
    ] {
        let refused = run(&args, b"");
        assert_eq!(refused.status.code(), Some(2), "{args:?}");
        assert!(text(&refused.stderr).contains(says), "{}", text(&refused.stderr));
    }
}

/// What the program writes out it takes in again: the same rounds, marks and counter, and the same clean plant as on the pages.
#[test]
fn ident_the_programs_own_export_is_explained() {
    let folder = tempfile::tempdir().unwrap();
    let ship = folder.path().join("ship");
    let at: jiff::Timestamp = "2025-11-16T04:20:00Z".parse().unwrap();
    drop(desk::demo::open(&ship, at, 1789).unwrap());
    let ship = ship.to_str().unwrap();
    let export = run(&["log", "export", ship], b"");
    assert_eq!(export.status.code(), Some(0), "{}", text(&export.stderr));
    let readings = written(folder.path(), "export.csv", &text(&export.stdout));
    let sheet = std::path::Path::new(ship).join("ship.toml");
    let args =
        ["explain", "--plant", sheet.to_str().unwrap(), "--readings", readings.to_str().unwrap()];
    let told = run(&[&args[..], &["--json"]].concat(), b"");
    assert_eq!(told.status.code(), Some(0), "{}", text(&told.stderr));
    let of_file: serde_json::Value = serde_json::from_slice(&told.stdout).unwrap();
    // The pages since the record began, for the file knows no cleaning.
    let page = ["explain", "--ship", ship, "--since", "1.1.2025", "--json"];
    let page = run(&[&page[..], &["--clock", "2025-11-16T04:20:00Z"]].concat(), b"");
    assert_eq!(page.status.code(), Some(0), "{}", text(&page.stderr));
    let of_page: serde_json::Value = serde_json::from_slice(&page.stdout).unwrap();
    let (file, page) = (&of_file["expected_t_day"], &of_page["expected_t_day"]);
    let apart = file.as_f64().unwrap() / page.as_f64().unwrap() - 1.0;
    assert!(apart.abs() < 0.01, "{file} against {page}");
    let plain = text(&run(&args, b"").stdout).to_owned();
    for says in [
        "by-pass and throttle",
        "Costs add up to",
        "Averages of the last",
        "scale on the evaporator",
    ] {
        assert!(plain.contains(says), "{says}: {plain}");
    }
    let wrong = run(&["explain", "--ship", ship, "--since", "soon"], b"");
    assert!(
        text(&wrong.stderr).contains("--since: “soon” is not a date"),
        "{}",
        text(&wrong.stderr)
    );
}
