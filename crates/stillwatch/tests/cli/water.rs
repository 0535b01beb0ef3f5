//! `stillwatch water`: what it prints against the check tables of general-purpose libraries.

use std::collections::BTreeMap;

use super::{lines, run, text};

/// A table's rows, by the names of its columns; empty cells left out.
fn table(csv: &'static str) -> Vec<BTreeMap<&'static str, &'static str>> {
    let mut rows = csv.lines().filter(|line| !line.starts_with('#'));
    let header: Vec<&str> = rows.next().unwrap().split(',').collect();
    rows.map(|row| {
        header.iter().copied().zip(row.split(',')).filter(|(_, cell)| !cell.is_empty()).collect()
    })
    .collect()
}

fn number(row: &BTreeMap<&str, &str>, column: &str) -> Option<f64> {
    row.get(column).map(|cell| cell.parse().unwrap())
}

/// IAPWS R7-97(2012) by CoolProp 8.0.0 (IF97 backend): regions 1, 2 and 4 as they are asked for on the command line.
#[test]
fn cross_steam_and_water_are_those_of_the_release() {
    let rows = table(include_str!("../../../../validation/properties/if97.csv"));
    let at = |row: &BTreeMap<&str, &str>| (number(row, "T_C"), number(row, "p_Pa"));
    let question = |row: &BTreeMap<&str, &str>| match at(row) {
        (Some(t), Some(p)) => format!("{{\"temp_c\": {t}, \"pressure_pa\": {p}}}\n"),
        (Some(t), None) => format!("{{\"temp_c\": {t}}}\n"),
        // Saturation temperature takes the pressure alone; any temperature will do.
        (None, Some(p)) => format!("{{\"temp_c\": 50, \"pressure_pa\": {p}}}\n"),
        (None, None) => panic!("a row with no state"),
    };
    let input: String = rows.iter().map(question).collect();
    let output = run(&["water", "--lines"], input.as_bytes());
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stdout));
    let mut compared = 0;
    for (row, answer) in rows.iter().zip(lines(&output)) {
        let key = match row["quantity"] {
            "psat" => "saturation_pressure",
            "Tsat" => "saturation_temperature",
            "hliq_sat" => "saturated_liquid_enthalpy",
            "region1_h" => "water_enthalpy",
            "region1_rho" => "water_density",
            "region1_cp" => "water_heat_capacity",
            "region2_h" => "steam_enthalpy",
            "region2_rho" => "steam_density",
            other => panic!("{other}: no such quantity"),
        };
        let got = answer["properties"][key]["value"].as_f64().unwrap();
        let printed = number(row, "CoolProp_IF97").unwrap();
        let scale = if row["unit"].starts_with("kJ") { 1.0e3 } else { 1.0 };
        let off = (got / (scale * printed) - 1.0).abs();
        assert!(off < 1.0e-8, "{row:?}: {got}");
        compared += 1;
    }
    assert!(compared >= 60, "{compared} compared");
}

/// Sharqawy, Lienhard and Zubair 2010 and Nayar et al. 2016, as the table prints their equations.
#[test]
fn ref_sea_water_is_that_of_its_correlations() {
    let rows = table(include_str!("../../../../validation/properties/seawater.csv"));
    let question = |row: &BTreeMap<&str, &str>| {
        format!("{{\"temp_c\": {}, \"salinity_g_kg\": {}}}\n", row["T_C"], row["S_gkg"])
    };
    let input: String = rows.iter().map(question).collect();
    let output = run(&["water", "--lines"], input.as_bytes());
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stdout));
    let pairs = [
        ("seawater_density", "SLZ10_rho_kgm3"),
        ("seawater_heat_capacity", "SLZ10_cp_JkgK"),
        ("seawater_viscosity", "SLZ10_mu_Pas"),
        ("seawater_latent_heat", "SLZ10_hfg_Jkg"),
        ("seawater_conductivity", "N16_k_WmK"),
        ("boiling_point_elevation", "SLZ10_BPE_K"),
        ("seawater_vapour_pressure", "N16_pv_Pa"),
    ];
    let mut compared = 0;
    for (row, answer) in rows.iter().zip(lines(&output)) {
        for (key, column) in pairs {
            let got = answer["properties"][key]["value"].as_f64();
            if let (Some(got), Some(printed)) = (got, number(row, column)) {
                assert!(
                    (got - printed).abs() <= 1.0e-6 * printed.abs().max(1e-9),
                    "{key}, {row:?}: {got}"
                );
                compared += 1;
            }
        }
    }
    assert!(compared > 6 * rows.len(), "{compared} compared");
}

/// The readable form shows the figure of the JSON form, and says where a source ends.
#[test]
fn ident_a_person_and_a_program_are_told_the_same() {
    let state = ["water", "--temp", "45,5", "--salinity", "60", "--pressure", "90 % vac"];
    let json = &lines(&run(&[&state[..], &["--json"]].concat(), b""))[0];
    assert!((json["pressure_pa"].as_f64().unwrap() - 10_132.5).abs() < 1e-6);
    let page = text(&run(&state, b"").stdout);
    let density = json["properties"]["seawater_density"]["value"].as_f64().unwrap();
    let line = page.lines().find(|l| l.contains("density") && l.contains("Sharqawy")).unwrap();
    assert!(line.contains(&format!("{density:.2}")), "{line} against {density}");
    assert!(!page.contains("Weiss") && page.trim_end().ends_with("their sources: --all"), "{page}");
    let page = text(&run(&[&state[..], &["--all"]].concat(), b"").stdout);
    let outside = page.lines().find(|l| l.contains("Weiss")).unwrap();
    assert!(outside.ends_with("outside its range"), "{outside}");
}
