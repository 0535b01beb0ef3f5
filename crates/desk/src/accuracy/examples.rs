//! Worked examples of others put through the whole plant: the example's figures as its rated point.

use std::collections::BTreeMap;

use plant::{Plant, Point, Sheet, Solution};

use super::table::Table;
use super::{AccuracyError, Errors, Evidence, Finding, Measure};

const JACKET: &str = include_str!("../../../../validation/published/jacket_case_a.csv");
const TEXTBOOK: &str = include_str!("../../../../validation/published/single_effect.csv");

/// t/day in one kg/s.
const T_DAY_PER_KG_S: f64 = 86.4;

/// Figures by name; of a name given twice, the later (recomputed with every digit) counts.
fn figures(name: &'static str, text: &str) -> Result<BTreeMap<String, f64>, AccuracyError> {
    let table = Table::read(name, text)?;
    table.rows().map(|row| Ok((row.text("quantity")?.to_owned(), row.number("value")?))).collect()
}

/// A sheet without losses and pressure drops, as examples of the desk have it. The sea's dissolved air cannot be left out:
/// it is drawn off at so little capacity that hardly any vapour goes with it, and blankets next to nothing.
fn ideal() -> Sheet {
    Sheet {
        rated_gas_capacity_m3_s: 1.3e-3,
        blanketing_exponent: 8.0,
        rated_air_leak_kg_h: 0.0,
        brine_capacity_kg_s: 10.0,
        separation_area_m2: 100.0,
        static_head_k: 0.0,
        heat_loss_w_k: 0.0,
        alkalinity_mmol_kg: 0.0,
        rated_product_salt_mg_kg: 0.001,
        ..Sheet::default()
    }
}

fn solve(case: &'static str, sheet: &Sheet) -> Result<Solution, AccuracyError> {
    let wrong = |why: String| AccuracyError::Case { case: case.to_owned(), why };
    let plant = Plant::calibrate(sheet).map_err(|e| wrong(e.to_string()))?;
    plant.free(&Point::rated(sheet)).map_err(|e| wrong(e.to_string()))
}

pub(crate) fn findings() -> Result<Vec<Finding>, AccuracyError> {
    Ok([jacket()?, textbook()?].concat())
}

struct Compared {
    duties: Errors,
    temperatures: Errors,
}

/// Duties and coefficients relative, temperatures in K.
fn compared(duties: &[(f64, f64)], temperatures: &[(f64, f64)]) -> Compared {
    let mut out = Compared { duties: Errors::default(), temperatures: Errors::default() };
    duties.iter().for_each(|(ours, theirs)| out.duties.relative(*ours, *theirs));
    temperatures.iter().for_each(|(ours, theirs)| out.temperatures.absolute(*ours, *theirs));
    out
}

fn jacket() -> Result<Vec<Finding>, AccuracyError> {
    let case = "jacket_case_a.csv";
    let all = figures(case, JACKET)?;
    let f = |name: &str| all.get(name).copied().unwrap_or(f64::NAN);
    let sheet = Sheet {
        rated_product_t_day: f("distillate"),
        rated_jacket_in_c: f("jacket_in"),
        rated_jacket_flow_kg_s: f("jacket_flow"),
        rated_sea_temp_c: f("sea_temp"),
        rated_sea_salinity_g_kg: 35.16504,
        rated_condenser_flow_kg_s: f("condenser_flow"),
        rated_feed_ratio: f("feed_ratio"),
        rated_vapour_temp_c: f("vapour_temp"),
        evaporator_area_m2: f("evaporator_area"),
        condenser_area_m2: f("condenser_area"),
        ..ideal()
    };
    let s = solve(case, &sheet)?;
    let duties = [
        (s.evaporator_heat_w, 1.0e3 * f("evaporator_heat")),
        (s.condenser_heat_w, 1.0e3 * f("condenser_heat")),
        (s.shell_pressure_pa, 1.0e3 * f("shell_pressure")),
        (s.brine_salinity_g_kg, f("brine_salinity")),
        (s.inside.feed_kg_s, f("feed_flow")),
        (s.inside.brine_kg_s, f("brine_flow")),
        (s.vapour_kg_s, f("distillate_flow")),
    ];
    let temperatures = [
        (s.brine_temp_c, f("brine_temp")),
        (s.jacket_out_c, f("jacket_out")),
        (s.sea_out_c, f("feed_temp")),
        (s.brine_temp_c - s.vapour_temp_c, f("boiling_point_elevation")),
    ];
    let transfer = [
        (s.evaporator_u_w_m2k, 1.0e3 * f("evaporator_u")),
        (s.condenser_u_w_m2k, 1.0e3 * f("condenser_u")),
    ];
    let source = "balance built from IAPWS R7-97 and R13-08 alone (case A)";
    let own = compared(&duties, &temperatures);
    let u = compared(&transfer, &[]);
    let kind = Evidence::Independent;
    Ok(vec![
        own.duties.finding(
            ("jacket-water plant: flows, duties, pressure", source, kind),
            Measure::Relative,
            1.0e-3,
            "sea-water formulations differ by that",
        ),
        own.temperatures.finding(
            ("jacket-water plant: temperatures", source, kind),
            Measure::Absolute("K"),
            0.02,
            "",
        ),
        u.duties.finding(
            ("jacket-water plant: heat transfer of both bundles", source, kind),
            Measure::Relative,
            5.0e-3,
            "0.02 K on a driving difference of 5 K",
        ),
    ])
}

fn textbook() -> Result<Vec<Finding>, AccuracyError> {
    let case = "single_effect.csv";
    let all = figures(case, TEXTBOOK)?;
    let f = |name: &str| all.get(name).copied().unwrap_or(f64::NAN);
    // Condensing steam is stood in for by much hot water whose mean is the steam's temperature.
    let flow = 1000.0;
    let drop = f("evaporator_heat") / (flow * f("heat_capacity"));
    let sea_cp = water::seawater::heat_capacity_j_kg_k(
        f64::midpoint(f("sea_temp"), f("feed_temp")),
        f("feed_salinity") / 1.0e3,
    );
    let sheet = Sheet {
        rated_product_t_day: T_DAY_PER_KG_S * f("distillate"),
        rated_jacket_in_c: f("steam_temp") + drop / 2.0,
        rated_jacket_flow_kg_s: flow,
        rated_sea_temp_c: f("sea_temp"),
        rated_sea_salinity_g_kg: f("feed_salinity") / 1.0e3,
        // The book's one heat capacity sets its flow; the temperatures it is to have set ours.
        rated_condenser_flow_kg_s: f("condenser_flow") * 1.0e3 * f("heat_capacity") / sea_cp,
        rated_feed_ratio: f("feed_flow") / f("distillate"),
        rated_vapour_temp_c: f("vapour_temp"),
        evaporator_area_m2: f("evaporator_area"),
        condenser_area_m2: f("condenser_area"),
        ..ideal()
    };
    let s = solve(case, &sheet)?;
    let duties = [
        (s.evaporator_heat_w, 1.0e3 * f("evaporator_heat")),
        (s.condenser_heat_w, 1.0e3 * f("condenser_heat")),
        (s.brine_salinity_g_kg, f("brine_salinity") / 1.0e3),
        (s.inside.brine_kg_s, f("brine_flow")),
    ];
    let temperatures = [(s.brine_temp_c, f("boiling_temp"))];
    let source = "El-Dessouky and Ettouney 2002, chapter 2";
    let own = compared(&duties, &temperatures);
    let u = compared(
        &[
            (s.evaporator_u_w_m2k, 1.0e3 * f("evaporator_u")),
            (s.condenser_u_w_m2k, 1.0e3 * f("condenser_u")),
        ],
        &[],
    );
    let kind = Evidence::Published;
    let note = "the book has one heat capacity, 4.2 kJ/kg K, for every stream";
    Ok(vec![
        own.duties.finding(
            ("single-effect example: flows, salt, duties", source, kind),
            Measure::Relative,
            1.0e-2,
            note,
        ),
        own.temperatures.finding(
            ("single-effect example: boiling temperature", source, kind),
            Measure::Absolute("K"),
            0.1,
            "the book's own boiling point elevation",
        ),
        u.duties.finding(
            ("single-effect example: heat transfer", source, kind),
            Measure::Relative,
            5.0e-2,
            "hot water stands in for the steam; condenser flow follows from its temperatures",
        ),
    ])
}
