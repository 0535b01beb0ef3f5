//! Whether counter and jacket water tell the same story: what boils takes heat, and the heat came from the engine.

use plant::Solution;

use crate::conditions::Figures;
use crate::expected::Expectation;
use crate::instrument;
use crate::ship::Ship;

/// Seconds of a day over a thousand: t/day to kg/s.
const T_DAY_PER_KG_S: f64 = 86.4;
/// Share of the heat by which flow tables, feed and losses may be off; our own allowance.
const SHARE: f64 = 0.15;
/// Thermometer errors that are let pass, in standard deviations: nineteen in twenty.
const SIGMAS: f64 = 2.0;

/// Heat the jacket water gave, beside what the distillate made needed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// Output by the counter or the meter, t/day.
    pub made_t_day: f64,
    /// From jacket flow and drop as read, kW.
    pub taken_kw: f64,
    /// For boiling that output and warming the feed, kW.
    pub needed_kw: f64,
    /// By how much the two may differ, kW.
    pub slack_kw: f64,
}

/// Heat the jacket water gave, kW: flow as known, drop as read, heat capacity of IAPWS-IF97 region 1 at 3 bar.
pub(crate) fn taken_kw(read: &Figures, expectation: &Expectation) -> Option<f64> {
    let (hot, cold) = (*read.get("jacket_in_c")?, *read.get("jacket_out_c")?);
    Some(flow_capacity_kw_k(expectation, f64::midpoint(hot, cold)) * (hot - cold))
}

fn flow_capacity_kw_k(expectation: &Expectation, temp_c: f64) -> f64 {
    let cp = water::liquid::heat_capacity_j_kg_k(temp_c, 3.0e5);
    expectation.banded.solution.inside.jacket_flow_kg_s * cp / 1000.0
}

/// Heat that an output takes where a sound plant would do as `sound`, kW: what is not boiled saves its latent heat
/// (IAPWS-IF97 at the vapour's temperature); feed and casing take what they take.
pub(crate) fn needed_kw(sound: &Solution, made_t_day: f64) -> f64 {
    let vapour_c = sound.vapour_temp_c;
    let steam = water::steam::enthalpy_j_kg(water::saturation::pressure_pa(vapour_c), vapour_c);
    let latent_j_kg = steam - water::liquid::saturated_enthalpy_j_kg(vapour_c);
    let apart_kg_s = (sound.product_t_day - made_t_day) / T_DAY_PER_KG_S;
    (sound.evaporator_heat_w - apart_kg_s * latent_j_kg) / 1000.0
}

/// Holds the two against each other; none where one of them was not read, or where the jacket water gave no heat at all:
/// that is another mistake, told at the thermometers.
///
/// A sound plant in these conditions shows how much heat goes elsewhere than into steam: that much is allowed for.
#[must_use]
pub fn balance(
    ship: &Ship,
    read: &Figures,
    made_t_day: Option<f64>,
    expectation: &Expectation,
) -> Option<Balance> {
    let made_t_day = made_t_day?;
    let taken_kw = taken_kw(read, expectation).filter(|taken_kw| *taken_kw > 0.0)?;
    let needed_kw = needed_kw(&expectation.banded.solution, made_t_day);
    let sigma_k = |key| {
        let (standing, each) = instrument::errors(ship, key, 0.0);
        standing.hypot(each)
    };
    let drop_k = sigma_k("jacket_in_c").hypot(sigma_k("jacket_out_c"));
    let by_k = flow_capacity_kw_k(expectation, 80.0) * drop_k;
    let slack_kw = SHARE * needed_kw.abs() + SIGMAS * by_k;
    Some(Balance { made_t_day, taken_kw, needed_kw, slack_kw })
}

impl Balance {
    /// Whether both can be so.
    #[must_use]
    pub fn fits(&self) -> bool {
        (self.taken_kw - self.needed_kw).abs() <= self.slack_kw
    }

    /// The contradiction in a sentence.
    #[must_use]
    pub fn says(&self) -> String {
        format!(
            "Making {:.1} t/day takes about {:.0} kW; by its flow and drop the jacket water gave {:.0} kW. Counter, thermometers or by-pass mark: one is misread.",
            self.made_t_day, self.needed_kw, self.taken_kw
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::marram;
    use crate::expected::expect;
    use crate::setup::Setup;

    /// Jacket water of 85 °C cooled by 1 K cannot boil 24 t a day: at 2,394 kJ/kg (IAPWS-IF97, 45 °C) that takes
    /// 665 kW before the feed is warmed.
    #[test]
    fn ident_what_boils_took_its_heat_from_somewhere() {
        let setup = Setup::from_ship(marram()).expect("demonstration sheet");
        let banding = setup.plant.banding(&setup.uncertainty).expect("bands");
        let read = |out_c: f64| {
            let pairs = [("sea_temp_c", 32.0), ("jacket_in_c", 85.0), ("jacket_out_c", out_c)];
            pairs.map(|(key, x)| (key.to_owned(), x)).into_iter().collect::<Figures>()
        };
        let either = |out_c: f64, made_t_day: f64| {
            let read = read(out_c);
            let expectation = expect(&setup, &banding, &read).expect("expectation");
            balance(&setup.ship, &read, Some(made_t_day), &expectation)
        };
        let held = |out_c: f64, made_t_day: f64| either(out_c, made_t_day).expect("both read");
        let sound = held(74.87, 24.0);
        assert!(sound.fits() && sound.needed_kw > 665.0, "{sound:?}");
        assert!(!held(84.0, 24.0).fits());
        // A fouled plant makes less and cools less: both are true.
        assert!(held(78.0, 15.5).fits());
        assert!(!held(74.87, 5.0).fits());
        assert_eq!(either(88.0, 24.0), None);
    }
}
