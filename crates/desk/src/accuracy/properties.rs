//! Properties against tables made with other programs.

use water::scale::{self, Carbon, Mineral};
use water::{
    distillate, gas, liquid, osmotic, practical_salinity, saturation, seawater, steam, viscosity,
};

use super::table::{Row, Table};
use super::{AccuracyError, Errors, Evidence::Independent, Finding, Measure};

const IF97: &str = include_str!("../../../../validation/properties/if97.csv");
const SEAWATER: &str = include_str!("../../../../validation/properties/seawater.csv");
const GAS: &str = include_str!("../../../../validation/properties/gas.csv");
const PSS78: &str = include_str!("../../../../validation/properties/pss78.csv");
const DISTILLATE: &str =
    include_str!("../../../../validation/properties/distillate_conductivity.csv");
const SCALE: &str = include_str!("../../../../validation/properties/scale.csv");

pub(crate) fn findings() -> Result<Vec<Finding>, AccuracyError> {
    let mut findings = vec![if97()?];
    findings.extend(sea_water()?);
    findings.extend([gases()?, salinity()?, conductivity()?, scaling()?]);
    Ok(findings)
}

fn if97() -> Result<Finding, AccuracyError> {
    let table = Table::read("properties/if97.csv", IF97)?;
    let mut errors = Errors::default();
    for row in table.rows() {
        let (t, p) = (row.optional("T_C")?, row.optional("p_Pa")?);
        let ours = match (row.text("quantity")?, t, p) {
            ("psat", Some(t), _) => saturation::pressure_pa(t),
            ("Tsat", _, Some(p)) => saturation::temperature_c(p),
            ("region1_h", Some(t), Some(p)) => liquid::enthalpy_j_kg(t, p),
            ("region1_rho", Some(t), Some(p)) => liquid::density_kg_m3(t, p),
            ("region1_cp", Some(t), Some(p)) => liquid::heat_capacity_j_kg_k(t, p),
            ("region2_h", Some(t), Some(p)) => steam::enthalpy_j_kg(p, t),
            ("region2_rho", Some(t), Some(p)) => steam::density_kg_m3(p, t),
            ("hliq_sat", Some(t), _) => liquid::saturated_enthalpy_j_kg(t),
            (other, ..) => return Err(row.wrong(format!("unknown quantity {other}"))),
        };
        errors.relative(ours, row.number("CoolProp_IF97")?);
    }
    let names = ("steam and water, saturation", "CoolProp 8.0.0, IF97", Independent);
    Ok(errors.finding(names, Measure::Relative, 5.0e-12, "to the twelve digits written"))
}

/// Which column, of what, within what; and where it is compared.
struct Against {
    what: &'static str,
    source: &'static str,
    column: &'static str,
    covered: fn(&str, f64, f64) -> bool,
    ours: fn(f64, f64) -> f64,
    measure: Measure,
    claimed: f64,
    note: &'static str,
}

const R13: &str = "IAPWS R13-08 by iapws 1.5.5";
const WRITTEN_OUT: &str = "the same correlations written out anew in Python";

const SEA: &[Against] = &[
    Against {
        what: "density of sea water",
        source: R13,
        column: "R13_rho_kgm3",
        covered: |range, _, _| range == "A",
        ours: seawater::density_kg_m3,
        measure: Measure::Relative,
        claimed: 1.0e-3,
        note: "to 40 °C and 42 g/kg, beyond which R13-08 extrapolates",
    },
    Against {
        what: "heat capacity, to 70 g/kg",
        source: R13,
        column: "R13_cp_JkgK",
        covered: |range, _, s| !range.is_empty() && s <= 70.0,
        ours: seawater::heat_capacity_j_kg_k,
        measure: Measure::Relative,
        claimed: 2.8e-3,
        note: "",
    },
    Against {
        what: "heat capacity, 70 to 120 g/kg",
        source: R13,
        column: "R13_cp_JkgK",
        covered: |range, _, s| !range.is_empty() && s > 70.0,
        ours: seawater::heat_capacity_j_kg_k,
        measure: Measure::Relative,
        claimed: 2.8e-3,
        note: "the two formulations part here; the plant's brine stays under 65",
    },
    Against {
        what: "boiling point elevation, to 100 g/kg",
        source: R13,
        column: "R13_BPE_K",
        covered: |range, _, s| !range.is_empty() && s <= 100.0,
        ours: seawater::boiling_point_elevation_k,
        measure: Measure::Absolute("K"),
        claimed: 0.018,
        note: "",
    },
    Against {
        what: "boiling point elevation, over 100 g/kg",
        source: R13,
        column: "R13_BPE_K",
        covered: |range, _, s| !range.is_empty() && s > 100.0,
        ours: seawater::boiling_point_elevation_k,
        measure: Measure::Absolute("K"),
        claimed: 0.018,
        note: "the correlation ends at 120 g/kg",
    },
    Against {
        what: "osmotic pressure, to 50 °C or 50 g/kg",
        source: "TEOS-10 by gsw 3.6.23",
        column: "TEOS_pi_Pa",
        covered: |range, t, s| !range.is_empty() && (t <= 50.0 || s <= 50.0),
        ours: osmotic::pressure_pa,
        measure: Measure::Relative,
        claimed: 1.4e-2,
        note: "",
    },
    Against {
        what: "osmotic pressure, hotter and saltier",
        source: "TEOS-10 by gsw 3.6.23",
        column: "TEOS_pi_Pa",
        covered: |range, t, s| !range.is_empty() && t > 50.0 && s > 50.0,
        ours: osmotic::pressure_pa,
        measure: Measure::Relative,
        claimed: 1.4e-2,
        note: "the two formulations part here; not used by the plant",
    },
];

/// A property of sea water at °C and g/kg.
type Law = fn(f64, f64) -> f64;

/// Columns that hold our own correlations, written out by another hand.
const SAME: &[(&str, Law)] = &[
    ("SLZ10_rho_kgm3", seawater::density_kg_m3),
    ("SLZ10_cp_JkgK", seawater::heat_capacity_j_kg_k),
    ("N16_k_WmK", seawater::thermal_conductivity_w_m_k),
    ("SLZ10_mu_Pas", seawater::viscosity_pa_s),
    ("SLZ10_hfg_Jkg", seawater::latent_heat_j_kg),
    ("SLZ10_BPE_K", seawater::boiling_point_elevation_k),
    ("N16_pv_Pa", seawater::vapour_pressure_pa),
    ("SLZ10_dh_Jkg", seawater::enthalpy_difference_j_kg),
    ("SLZ10_osm_coeff", osmotic::coefficient),
];

fn sea_water() -> Result<Vec<Finding>, AccuracyError> {
    let table = Table::read("properties/seawater.csv", SEAWATER)?;
    let state = |row: &Row<'_>| Ok((row.number("T_C")?, row.number("S_gkg")?));
    let mut findings = Vec::new();
    let mut same = Errors::default();
    for row in table.rows() {
        let (t, s) = state(&row)?;
        for (column, ours) in SAME {
            if let Some(expected) = row.optional(column)? {
                same.relative(ours(t, s), expected);
            }
        }
    }
    let names = ("sea-water correlations, nine properties", WRITTEN_OUT, Independent);
    findings.push(same.finding(names, Measure::Relative, 2.0e-9, "to the ten digits written"));
    for a in SEA {
        let mut errors = Errors::default();
        for row in table.rows() {
            let (t, s) = state(&row)?;
            let range = row.text("R13_range")?;
            let covered = matches!(range, "A" | "C");
            let expected = row.optional(a.column)?;
            if let Some(expected) = expected.filter(|_| covered && (a.covered)(range, t, s)) {
                match a.measure {
                    Measure::Absolute(_) => errors.absolute((a.ours)(t, s), expected),
                    _ => errors.relative((a.ours)(t, s), expected),
                }
            }
        }
        findings.push(errors.finding(
            (a.what, a.source, Independent),
            a.measure,
            a.claimed,
            a.note,
        ));
    }
    let mut viscous = Errors::default();
    for t in (10..=120).map(f64::from) {
        let density = liquid::density_kg_m3(t, 2.0e5);
        viscous.relative(seawater::viscosity_pa_s(t, 0.0), viscosity::dynamic_pa_s(t, density));
    }
    let names = ("viscosity of sea water at no salt", "IAPWS R12-08", Independent);
    findings.push(viscous.finding(
        names,
        Measure::Relative,
        1.5e-2,
        "our own R12-08, checked above",
    ));
    Ok(findings)
}

fn gases() -> Result<Finding, AccuracyError> {
    let table = Table::read("properties/gas.csv", GAS)?;
    let mut errors = Errors::default();
    for row in table.rows() {
        let (t, s) = (row.number("T_C")?, row.number("SP")? * water::ABSOLUTE_OVER_PRACTICAL);
        if let Some(theirs) = row.optional("sw_O2_mlkg")? {
            errors.relative(gas::dissolved_oxygen_mol_kg(t, s) * 0.022391e6, theirs);
        }
        if let Some(theirs) = row.optional("gsw_O2_umolkg")? {
            errors.relative(gas::dissolved_oxygen_mol_kg(t, s) * 1.0e6, theirs);
        }
        if let Some(theirs) = row.optional("pyco2_K0")? {
            errors.relative(gas::co2_solubility_mol_kg_atm(t, s), theirs);
        }
    }
    let names = ("dissolved gas", "seawater 3.3.5, gsw 3.6.23, PyCO2SYS 1.8.3.4", Independent);
    Ok(errors.finding(names, Measure::Relative, 5.0e-3, "gsw has a newer oxygen formula"))
}

fn salinity() -> Result<Finding, AccuracyError> {
    let table = Table::read("properties/pss78.csv", PSS78)?;
    let mut errors = Errors::default();
    for row in table.rows() {
        // Below 2 the library has another polynomial.
        if row.text("range")?.starts_with("Hill") {
            continue;
        }
        let (c, t, p) = (row.number("C_mScm")?, row.number("t_C")?, row.number("p_dbar")?);
        errors.absolute(practical_salinity::from_conductivity(c, t, p), row.number("SP")?);
    }
    let names = ("practical salinity", "gsw 3.6.23", Independent);
    Ok(errors.finding(names, Measure::Absolute(""), 1.0e-8, ""))
}

fn conductivity() -> Result<Finding, AccuracyError> {
    let table = Table::read("properties/distillate_conductivity.csv", DISTILLATE)?;
    let mut errors = Errors::default();
    for row in table.rows() {
        let (t, ppm) = (row.number("T_C")?, row.number("NaCl_ppm")?);
        errors.relative(distillate::conductivity_us_cm(ppm, t), row.number("kappa_uScm")?);
    }
    let names = (
        "conductivity of distillate, NaCl",
        "limiting law written out anew in Python",
        Independent,
    );
    Ok(errors.finding(names, Measure::Relative, 1.0e-8, ""))
}

fn scaling() -> Result<Finding, AccuracyError> {
    let table = Table::read("properties/scale.csv", SCALE)?;
    let mut errors = Errors::default();
    let columns = ["calcite", "aragonite", "brucite", "gypsum", "anhydrite", "hemihydrate"];
    for row in table.rows() {
        let carbon =
            if row.text("carbon")? == "closed" { Carbon::Closed } else { Carbon::Degassed };
        for (mineral, column) in Mineral::ALL.into_iter().zip(columns) {
            let (t, factor) = (row.number("T_C")?, row.number("CF")?);
            let ours = scale::saturation_index(mineral, carbon, t, factor);
            errors.absolute(ours, row.number(&format!("SI_{column}"))?);
        }
    }
    let names =
        ("scale saturation indices", "PHREEQC by phreeqpython 1.6.2, pitzer.dat", Independent);
    Ok(errors.finding(names, Measure::Absolute("SI"), 6.0e-5, "at the table's own states"))
}
