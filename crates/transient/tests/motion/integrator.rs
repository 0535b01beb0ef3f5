//! Six runs beside SciPy's integrator on the same equations, written again in Python (validation/transient/motion.py).

use transient::{NAMES, place};

use crate::{demonstration, scenario};

/// Agreement asked for, relative to the figure or to a twentieth of the greatest it reaches.
const WITHIN: f64 = 1.0e-3;

fn held(name: &str) -> String {
    let path = format!("{}/../../validation/transient/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).unwrap()
}

#[test]
fn cross_another_integrator_comes_to_the_same() {
    let model = demonstration();
    let text = held("motion.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let columns: Vec<usize> =
        reader.headers().unwrap().iter().skip(2).map(|key| place(key).unwrap()).collect();
    let rows: Vec<(String, f64, Vec<f64>)> = reader
        .records()
        .map(|row| {
            let row = row.unwrap();
            let figures = row.iter().skip(2).map(|x| x.parse().unwrap()).collect();
            (row[0].to_owned(), row[1].parse().unwrap(), figures)
        })
        .collect();
    let mut names: Vec<&str> = rows.iter().map(|row| row.0.as_str()).collect();
    names.dedup();
    assert!(names.len() >= 5, "{names:?}");
    let mut apart = Vec::new();
    for name in names {
        let scenario = scenario(&model, &held(&format!("{name}.json")));
        let mut run = scenario.start(&model);
        let of = || rows.iter().filter(|row| row.0 == name);
        for (_, time_s, want) in of() {
            run.advance(*time_s).unwrap();
            let dry = want[6] < 0.1;
            for (k, (column, want)) in columns.iter().zip(want).enumerate() {
                // in a shell all but empty brine and salt are what rounding leaves
                if dry && matches!(NAMES[*column].0, "M_b" | "X_b" | "D") {
                    continue;
                }
                let most = of().map(|row| row.2[k].abs()).fold(0.0, f64::max);
                let off = (run.state()[*column] - want).abs() / want.abs().max(0.05 * most);
                if off > WITHIN {
                    apart.push(format!(
                        "{name} {time_s} s {}: got {}, want {want} ({off:.1e})",
                        NAMES[*column].0,
                        run.state()[*column]
                    ));
                }
            }
        }
        assert!(run.ledgers().worst() < 1.0e-10, "{name}: {:?}", run.ledgers());
    }
    assert!(apart.is_empty(), "{}", apart.join("\n"));
}
