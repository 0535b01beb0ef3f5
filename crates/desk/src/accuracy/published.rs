//! Figures printed by standards bodies and in papers, each within what its source claims.

use water::{
    dielectric, distillate, gas, liquid, practical_salinity, saturation, seawater, steam, viscosity,
};

use super::table::{Row, Table};
use super::{AccuracyError, Errors, Evidence::Published, Finding, Measure};

/// Name, text, what is compared, whose figures.
const TABLES: &[(&str, &str, &str, &str)] = &[
    (
        "if97.csv",
        include_str!("../../../../validation/published/water/if97.csv"),
        "steam and water, saturation",
        "IAPWS R7-97(2012), tables 5, 15, 35, 36",
    ),
    (
        "seawater.csv",
        include_str!("../../../../validation/published/water/seawater.csv"),
        "sea water",
        "IAPWS R13-08 table 8, AN5-13 table A1, guideline on conductivity (2015)",
    ),
    (
        "practical_salinity.csv",
        include_str!("../../../../validation/published/water/practical_salinity.csv"),
        "practical salinity",
        "PSS-78: Fofonoff and Millard 1983, UNESCO technical paper 44",
    ),
    (
        "gas.csv",
        include_str!("../../../../validation/published/water/gas.csv"),
        "dissolved gas",
        "Weiss 1970, 1974; Garcia and Gordon 1992",
    ),
    (
        "distillate.csv",
        include_str!("../../../../validation/published/water/distillate.csv"),
        "conductivity of distillate",
        "IAPWS 1990 (pure water); handbook conductivity of NaCl",
    ),
    (
        "transport.csv",
        include_str!("../../../../validation/published/water/transport.csv"),
        "viscosity, dielectric constant",
        "IAPWS R12-08 table 4; IAPWS R8-97",
    ),
];

pub(crate) fn findings() -> Result<Vec<Finding>, AccuracyError> {
    let mut findings = Vec::new();
    for (name, text, what, source) in TABLES {
        let table = Table::read(name, text)?;
        let mut errors = Errors::default();
        for row in table.rows() {
            let (value, tolerance) = (row.number("value")?, row.number("tolerance")?);
            let allowed = match row.text("tolerance_kind")? {
                "absolute" => tolerance,
                "relative" => tolerance * value.abs(),
                other => return Err(row.wrong(format!("unknown kind of tolerance {other}"))),
            };
            errors.push((ours(&row)? - value).abs() / allowed);
        }
        findings.push(errors.finding((what, source, Published), Measure::OfClaim, 1.0, ""));
    }
    findings.extend(boiling()?);
    Ok(findings)
}

fn boiling() -> Result<Vec<Finding>, AccuracyError> {
    let text = include_str!("../../../../validation/published/an5_boiling.csv");
    let table = Table::read("an5_boiling.csv", text)?;
    let mut errors: [Errors; 3] = Default::default();
    for row in table.rows() {
        let (p, s) = (row.number("p_mpa")? * 1.0e6, row.number("s_kg_kg")? * 1.0e3);
        let ours = seawater::boiling_temperature_c(p, s) + water::CELSIUS_ZERO_K;
        let group = if s == 0.0 { 0 } else { 1 + usize::from(s > 110.0) };
        errors[group].absolute(ours, row.number("t_k")?);
    }
    let source = "IAPWS AN5-13, table A2";
    let [pure, salt, strong] = errors;
    let k = Measure::Absolute("K");
    Ok(vec![
        pure.finding(
            ("boiling temperature, pure water", source, Published),
            k,
            0.006,
            "printed to 0.01 K",
        ),
        salt.finding(
            ("boiling temperature, 20 to 100 g/kg", source, Published),
            k,
            0.024,
            "correlation's claim 0.018 K and the table's digit",
        ),
        strong.finding(
            ("boiling temperature, 120 g/kg", source, Published),
            k,
            0.024,
            "the correlation ends here; the plant's brine stays under 65",
        ),
    ])
}

/// Our value for one row.
fn ours(row: &Row<'_>) -> Result<f64, AccuracyError> {
    let given = |column| Ok(row.optional(column)?.unwrap_or(f64::NAN));
    let (t, p, s, x) = (given("t_c")?, given("p_pa")?, given("s_g_kg")?, given("x")?);
    Ok(match row.text("quantity")? {
        "saturation_pressure_pa" => saturation::pressure_pa(t),
        "saturation_temperature_c" => saturation::temperature_c(p),
        "liquid_specific_volume_m3_kg" => 1.0 / liquid::density_kg_m3(t, p),
        "liquid_enthalpy_j_kg" => liquid::enthalpy_j_kg(t, p),
        "liquid_entropy_j_kg_k" => liquid::entropy_j_kg_k(t, p),
        "liquid_heat_capacity_j_kg_k" => liquid::heat_capacity_j_kg_k(t, p),
        "steam_specific_volume_m3_kg" => 1.0 / steam::density_kg_m3(p, t),
        "steam_enthalpy_j_kg" => steam::enthalpy_j_kg(p, t),
        "steam_entropy_j_kg_k" => steam::entropy_j_kg_k(p, t),
        "steam_heat_capacity_j_kg_k" => steam::heat_capacity_j_kg_k(p, t),
        "seawater_density_kg_m3" => seawater::density_kg_m3(t, s),
        "seawater_heat_capacity_j_kg_k" => seawater::heat_capacity_j_kg_k(t, s),
        "seawater_enthalpy_j_kg" => seawater::enthalpy_j_kg(t, s),
        "seawater_thermal_conductivity_w_m_k" => seawater::thermal_conductivity_w_m_k(t, s),
        "practical_salinity" => practical_salinity::from_conductivity(x, t, p * 1.0e-4),
        "co2_solubility_mol_kg_atm" => gas::co2_solubility_mol_kg_atm(t, s),
        "dissolved_oxygen_mol_kg" => gas::dissolved_oxygen_mol_kg(t, s),
        "dissolved_nitrogen_mol_kg" => gas::dissolved_nitrogen_mol_kg(t, s),
        "dissolved_argon_mol_kg" => gas::dissolved_argon_mol_kg(t, s),
        "distillate_conductivity_us_cm" => distillate::conductivity_us_cm(x, t),
        "water_viscosity_pa_s" => viscosity::dynamic_pa_s(t, x),
        "dielectric_constant" => dielectric::constant(t, x),
        other => return Err(row.wrong(format!("unknown quantity {other}"))),
    })
}
