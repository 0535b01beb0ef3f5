//! A start near the answer: rated heat transfer, one latent heat, a linear heat balance, and the gas where it would gather.

use water::{CELSIUS_ZERO_K, M_WATER_KG_MOL, saturation};

use crate::calibrate::Constants;
use crate::model::{Hints, Setting};
use crate::quick::Start;
use crate::{air, bracket};

const LATENT_J_KG: f64 = 2.38e6;
const FRESH_CP: f64 = 4190.0;
const SEA_CP: f64 = 3990.0;
/// Brine over vapour, K: boiling point elevation and the head.
const BRINE_OVER_K: f64 = 1.0;
/// Condensing under vapour, K: what the demister takes.
const CONDENSING_UNDER_K: f64 = 0.3;
/// How near the vapour temperature is guessed, relative.
const NEAR: f64 = 2.0e-3;

/// A guess of shell pressure and vapour made.
pub(crate) struct Guess {
    pub(crate) start: Start<2>,
    /// Whether the heat would boil off more than the feed allows.
    pub(crate) over_cap: bool,
}

/// Guesses the steady state at a setting.
pub(crate) fn guess(k: &Constants<f64>, at: &Setting<f64>) -> Guess {
    let rough = Rough::new(k, at);
    let vapour_c = rough.vapour_c();
    let gathered = rough.gathered(vapour_c);
    let cap = at.vapour_cap();
    let wanted = rough.made(vapour_c, gathered.blanketed);
    let made = wanted.clamp(0.02 * k.rated_vapour.min(cap), 0.9 * cap);
    let start = Start {
        x: [gathered.shell_pa.max(1.0).ln(), made / k.rated_vapour],
        jacobian: None,
        hints: Hints {
            vent_c: gathered.vent_c,
            sea_out_c: at.sea_c + made * LATENT_J_KG / rough.sea_w_k,
            jacket_out_c: at.jacket_in_c - made * LATENT_J_KG / rough.jacket_w_k,
        },
    };
    Guess { start, over_cap: wanted > 0.9 * cap }
}

/// Shell pressure, Pa, over which the condenser takes `vapour` kg/s, or more.
pub(crate) fn pressure_to_condense(k: &Constants<f64>, at: &Setting<f64>, vapour: f64) -> f64 {
    let rough = Rough::new(k, at);
    let per_kelvin = rough.made(at.sea_c + CONDENSING_UNDER_K + 1.0, 0.3);
    let vapour_c = at.sea_c + CONDENSING_UNDER_K + vapour / per_kelvin;
    saturation::pressure_pa(vapour_c.min(at.jacket_in_c))
}

/// The plant with every coefficient as rated but for flows and deposits.
struct Rough<'a> {
    k: &'a Constants<f64>,
    at: &'a Setting<f64>,
    /// Heat capacities of the streams, W/K.
    jacket_w_k: f64,
    sea_w_k: f64,
    feed_w_k: f64,
    /// What the jacket water passes to the brine, W/K of the whole difference.
    heater_w_k: f64,
    /// U A of the condenser, clear of gas, W/K.
    condenser_w_k: f64,
    /// Part of the condenser's heat that the feed does not bring back.
    not_returned: f64,
}

/// The gas at a vapour temperature.
struct Gathered {
    shell_pa: f64,
    vent_c: f64,
    blanketed: f64,
}

impl<'a> Rough<'a> {
    fn new(k: &'a Constants<f64>, at: &'a Setting<f64>) -> Self {
        let sheet = &k.sheet;
        let film = |m: f64, m0: f64, rated: f64| ((m / m0).powf(-0.8) - 1.0) / rated;
        let heater_film = film(at.jacket_flow, sheet.rated_jacket_flow_kg_s, k.rated_jacket_film);
        let sea_film = film(at.condenser_flow, sheet.rated_condenser_flow_kg_s, k.rated_sea_film);
        let heater_u = (k.evaporator_u.recip() + at.scale + heater_film).recip();
        let condenser_u = (k.condenser_u.recip() + at.fouling + sea_film).recip();
        let jacket_w_k = at.jacket_flow * FRESH_CP;
        let effectiveness = -(-heater_u * sheet.evaporator_area_m2 / jacket_w_k).exp_m1();
        Rough {
            k,
            at,
            jacket_w_k,
            sea_w_k: at.condenser_flow * SEA_CP,
            feed_w_k: at.feed * SEA_CP,
            heater_w_k: effectiveness * jacket_w_k,
            condenser_w_k: condenser_u * sheet.condenser_area_m2,
            not_returned: (1.0 - at.feed / at.condenser_flow).clamp(0.0, 1.0),
        }
    }

    /// What the clear part of the condenser passes, W/K of its whole difference.
    fn condenser(&self, blanketed: f64) -> f64 {
        -self.sea_w_k * (-self.condenser_w_k * (1.0 - blanketed) / self.sea_w_k).exp_m1()
    }

    fn made(&self, vapour_c: f64, blanketed: f64) -> f64 {
        let drive = (vapour_c - CONDENSING_UNDER_K - self.at.sea_c).max(0.1);
        self.condenser(blanketed) * drive / LATENT_J_KG
    }

    /// Vapour temperature at which heater, condenser and feed balance:
    /// heater (T_j1 − T_b) = condenser (T_cond − T_s)(1 − m_f/m_c) + m_f c (T_b − T_s).
    fn balance(&self, blanketed: f64) -> f64 {
        let warms = self.condenser(blanketed) * self.not_returned;
        let sea_c = self.at.sea_c;
        let top = self.heater_w_k * (self.at.jacket_in_c - BRINE_OVER_K)
            + warms * (sea_c + CONDENSING_UNDER_K)
            + self.feed_w_k * (sea_c - BRINE_OVER_K);
        top / (self.heater_w_k + warms + self.feed_w_k)
    }

    /// Where the gas is when the vapour is this warm.
    fn gathered(&self, vapour_c: f64) -> Gathered {
        let (k, at) = (self.k, self.at);
        let condensing_c = vapour_c - CONDENSING_UNDER_K;
        let vapour_pa = saturation::pressure_pa(vapour_c);
        let gas = at.gas_mol_s(vapour_pa);
        let clear = self.made(vapour_c, k.rated_blanketed);
        let share = (gas / (gas + clear / M_WATER_KG_MOL)).min(0.9);
        let shell_pa = vapour_pa / (1.0 - share);
        let capacity_m3_s = at.gas_capacity_m3_s(k, shell_pa, at.jet(k, shell_pa));
        let gas_pa =
            air::gas_pressure_per_kelvin(gas, capacity_m3_s) * (condensing_c + CELSIUS_ZERO_K);
        let vent_pa = saturation::pressure_pa(condensing_c) + shell_pa * share - gas_pa;
        let vent_c = saturation::temperature_c(vent_pa.max(1.0)).max(at.sea_c).min(condensing_c);
        let exponent = k.sheet.blanketing_exponent;
        let blanketed = air::blanketed_fraction(condensing_c, vent_c, at.sea_c, exponent);
        Gathered { shell_pa, vent_c, blanketed }
    }

    /// A warmer shell gathers less gas, and less gas cools the shell: one meeting point, bracketed.
    fn vapour_c(&self) -> f64 {
        let low = self.at.sea_c + 0.5;
        let high = self.balance(1.0).min(self.at.jacket_in_c);
        let apart = |vapour_c: f64| vapour_c - self.balance(self.gathered(vapour_c).blanketed);
        if high <= low {
            return low;
        }
        let (at_low, at_high) = (apart(low), apart(high));
        if !(at_low < 0.0 && at_high > 0.0) {
            return if at_low < 0.0 { high } else { low };
        }
        bracket::root(apart, (low, at_low), (high, at_high), NEAR)
    }
}
