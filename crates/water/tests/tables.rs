//! Every property against the tables in `validation/`: values from other programs and published papers.

mod common;
use common::{Errors, Table};
use water::{gas, liquid, saturation, seawater, steam};

/// The table prints 12 digits: half a unit of the last one.
const TWELVE_DIGITS: f64 = 5e-12;

#[test]
fn cross_if97_matches_coolprop_and_iapws_to_the_printed_digit() {
    let table = Table::read("properties/if97.csv");
    let mut errors = Errors::new();
    for row in table.rows() {
        let expected = row.number("CoolProp_IF97");
        let (t, p) = (row.optional("T_C"), row.optional("p_Pa"));
        let ours = match (row.text("quantity"), t, p) {
            ("psat", Some(t), _) => saturation::pressure_pa(t),
            ("Tsat", _, Some(p)) => saturation::temperature_c(p),
            ("region1_h", Some(t), Some(p)) => liquid::enthalpy_j_kg(t, p),
            ("region1_rho", Some(t), Some(p)) => liquid::density_kg_m3(t, p),
            ("region1_cp", Some(t), Some(p)) => liquid::heat_capacity_j_kg_k(t, p),
            ("region2_h", Some(t), Some(p)) => steam::enthalpy_j_kg(p, t),
            ("region2_rho", Some(t), Some(p)) => steam::density_kg_m3(p, t),
            ("hliq_sat", Some(t), _) => liquid::saturated_enthalpy_j_kg(t),
            (other, ..) => panic!("unknown quantity {other}"),
        };
        errors.relative(ours, expected);
    }
    errors.within("IF97", 60, TWELVE_DIGITS, TWELVE_DIGITS);
}

#[test]
fn cross_seawater_correlations_match_an_independent_transcription() {
    // The table's own SLZ10 and N16 columns print 10 digits and were written out independently in Python.
    let table = Table::read("properties/seawater.csv");
    let mut errors = Errors::new();
    for row in table.rows() {
        let (t, s) = (row.number("T_C"), row.number("S_gkg"));
        errors.relative(seawater::density_kg_m3(t, s), row.number("SLZ10_rho_kgm3"));
        errors.relative(seawater::heat_capacity_j_kg_k(t, s), row.number("SLZ10_cp_JkgK"));
        errors.relative(seawater::boiling_point_elevation_k(t, s), row.number("SLZ10_BPE_K"));
        errors.relative(seawater::enthalpy_difference_j_kg(t, s), row.number("SLZ10_dh_Jkg"));
    }
    errors.within("seawater transcription", 300, 2e-9, 2e-9);
}

#[test]
fn cross_weiss_air_matches_an_independent_transcription() {
    let table = Table::read("properties/gas.csv");
    let mut errors = Errors::new();
    for row in table.rows() {
        let (t, s) = (row.number("T_C"), row.number("SP") * water::ABSOLUTE_OVER_PRACTICAL);
        errors.relative(gas::dissolved_oxygen_mol_kg(t, s) * 1e6, row.number("O2_umolkg"));
        errors.relative(gas::dissolved_nitrogen_mol_kg(t, s) * 1e6, row.number("N2_umolkg"));
        errors.relative(gas::dissolved_argon_mol_kg(t, s) * 1e6, row.number("Ar_umolkg"));
        errors.relative(gas::dissolved_air_mol_kg(t, s) * 1e6, row.number("air_umolkg"));
        errors.relative(gas::co2_solubility_mol_kg_atm(t, s), row.number("K0_molkgatm"));
    }
    errors.within("Weiss transcription", 40, 2e-9, 2e-9);
}
