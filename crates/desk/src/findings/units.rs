//! Figures of a file of readings with a unit behind them, brought to the unit that stands in their name.

use plant::Sheet;
use quantity::{Pressure, Unit};

use crate::figure::{Beside, figure};

/// The columns of such a file.
const COLUMNS: usize = 3;

/// Rows of `time,name,value` with every figure that has a unit behind it ("86 % vac", "79.4 inHg") turned to the unit of its name; a vacuum counts
/// from the barometer read at the same time, from the standard atmosphere where none was. Anything else stays as it is, to the letter.
///
/// # Errors
/// The first figure whose unit cannot be that of its name, with its line.
pub fn in_own_units(text: &str) -> Result<String, String> {
    let heading = text.lines().find(|line| !line.trim().is_empty() && !line.starts_with('#'));
    let parted =
        if heading.is_some_and(|h| h.contains(';') && !h.contains(',')) { ';' } else { ',' };
    let cells = |line: &str| {
        let cells: Vec<String> =
            line.split(parted).map(|cell| cell.trim().trim_matches('"').to_owned()).collect();
        (cells.len() == COLUMNS && !line.starts_with('#')).then_some(cells)
    };
    let barometer = |time: &str| {
        let read = text.lines().filter_map(cells).find(|c| c[0] == time && c[1] == "barometer_hpa");
        let hpa = read.and_then(|c| {
            figure(&c[2], "barometer_hpa", Unit::HPa, &Beside::rated(&Sheet::default())).ok()
        });
        hpa.filter(|hpa| *hpa > 0.0).map_or(Pressure::STANDARD_ATMOSPHERE, Pressure::from_hpa)
    };
    let mut out = String::with_capacity(text.len());
    for (place, line) in text.split_inclusive('\n').enumerate() {
        let turned = cells(line).filter(|cells| has_unit(&cells[2])).and_then(|cells| {
            let own = of_name(&cells[1])?;
            let beside =
                Beside { barometer: barometer(&cells[0]), ..Beside::rated(&Sheet::default()) };
            Some(figure(&cells[2], &cells[1], own, &beside).map(|x| (cells, x)))
        });
        match turned {
            None => out.push_str(line),
            Some(Ok((cells, x))) => {
                out += &format!("{}{parted}{}{parted}{x}\n", cells[0], cells[1]);
            }
            Some(Err(why)) => {
                let name = cells(line).map_or_else(String::new, |cells| cells[1].clone());
                return Err(format!("line {}, {name}: {why}", place + 1));
            }
        }
    }
    Ok(out)
}

/// Whether something stands behind the figure of a cell that begins with one.
fn has_unit(cell: &str) -> bool {
    let sign = cell.trim_start_matches(['-', '+', '\u{2212}']);
    let number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',');
    let rest = sign.trim_start_matches(number);
    // 1e-3 is a figure.
    rest.len() < sign.len() && !rest.is_empty() && cell.parse::<f64>().is_err()
}

/// The unit at the end of a reading's name: `shell_gauge_bar_g` is in bar gauge.
fn of_name(name: &str) -> Option<Unit> {
    let code = |unit: Unit| match unit {
        Unit::DegC => "c".to_owned(),
        // Of an instrument that reads absolute pressure.
        Unit::MbarA => "mbar".to_owned(),
        unit => unit.code().to_lowercase(),
    };
    let ends = |unit: &Unit| name.ends_with(&format!("_{}", code(*unit)));
    Unit::ALL.iter().copied().filter(ends).max_by_key(|unit| code(*unit).len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_a_unit_behind_a_figure_is_turned_to_that_of_its_name() {
        let text = "time,name,value\n\
                    2025-11-16T04:20:00Z,shell_gauge_bar_g,86 % vac\n\
                    2025-11-16T04:20:00Z,barometer_hpa,1000\n\
                    2025-11-16T04:20:00Z,jacket_in_c,185 °F\n\
                    2025-11-16T04:20:00Z,product_salt_mg_kg,1.9\n\
                    2025-11-16T04:20:00Z,ejector_pressure_bar_g,5e-1\n";
        let turned = in_own_units(text).expect("taken");
        let row = |name: &str| {
            let line = turned.lines().find(|line| line.contains(name)).expect("kept");
            line.rsplit(',').next().and_then(|x| x.parse::<f64>().ok()).unwrap_or(f64::NAN)
        };
        // A standard atmosphere's 86 % or the day's: the same as the pages take it.
        assert!((row("shell_gauge_bar_g") + 0.86).abs() < 0.02, "{turned}");
        assert!((row("jacket_in_c") - 85.0).abs() < 1e-3, "{turned}");
        assert!(turned.contains("mg_kg,1.9\n") && turned.contains("bar_g,5e-1\n"), "{turned}");
        let semicolons = "time;name;value\n16.11.2025 04:20;vapour_temp_c;43,5 °C\n";
        let turned = in_own_units(semicolons).expect("taken");
        assert!(turned.ends_with("vapour_temp_c;43.5\n"), "{turned}");
        let wrong = "time,name,value\n2025-11-16T04:20:00Z,jacket_in_c,85 kg/h\n";
        let why = in_own_units(wrong).expect_err("no temperature");
        assert!(why.starts_with("line 2, jacket_in_c: "), "{why}");
        // What is no figure is told by who reads the rows.
        let odd = "time,name,value\n2025-11-16T04:20:00Z,jacket_in_c,warm\n";
        assert_eq!(in_own_units(odd).as_deref(), Ok(odd));
    }
}
