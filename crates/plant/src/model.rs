//! The equations of the whole plant, explicit in shell pressure and vapour made, over plain or dual numbers.

use water::number::Number;
use water::{M_AIR_KG_MOL, M_WATER_KG_MOL, liquid, saturation, seawater, steam};

use crate::air::Saturated;
use crate::arith::{at_least, at_most};
use crate::calibrate::Constants;
use crate::point::PointNumbers;
use crate::sheet::FeedFrom;
use crate::solution::Figures;
use crate::{air, condenser, demister, ejector, evaporator};

/// Brine strength at which the vapour is capped, g/kg.
pub(crate) const BRINE_CAP_G_KG: f64 = 200.0;

/// Largest number of times the brine may be stronger than the sea: keeps the cap under the feed in fresh water.
const CONCENTRATION_CAP: f64 = 1.0e6;

const SECONDS_PER_HOUR: f64 = 3600.0;
const PA_PER_BAR: f64 = 1.0e5;
const PA_PER_HPA: f64 = 100.0;
const STANDARD_ATMOSPHERE_PA: f64 = 101_325.0;

/// Enthalpy of liquid sea water, J/kg: saturated pure water and what the salt changes.
#[inline]
pub(crate) fn liquid_enthalpy<T: Number>(t_c: T, salinity: T) -> T {
    liquid::saturated_enthalpy_j_kg(t_c) + seawater::enthalpy_difference_j_kg(t_c, salinity)
}

/// What is the same at every trial of shell pressure and vapour: the point in SI, and what follows from it alone.
#[derive(Clone, Copy)]
pub(crate) struct Setting<T> {
    pub(crate) jacket_in_c: T,
    pub(crate) jacket_flow: T,
    pub(crate) sea_c: T,
    pub(crate) salinity: T,
    pub(crate) condenser_flow: T,
    pub(crate) feed: T,
    pub(crate) atmosphere_pa: T,
    pub(crate) motive_pa: T,
    pub(crate) back_pa: T,
    /// Leak while choked, mol/s.
    leak_mol_s: T,
    bleed_mol_s: T,
    feed_gas_mol_s: T,
    motive_vapour_pa: T,
    sea_vapour_pa: T,
    ejector_factor: T,
    pub(crate) scale: T,
    pub(crate) fouling: T,
    room_c: T,
    condenser_leak: T,
    demister_factor: T,
    /// Film coefficients at these flows before the temperature factor, W/m²K.
    jacket_film: T,
    sea_film: T,
}

impl<T: Number> Setting<T> {
    pub(crate) fn new(k: &Constants<T>, at: &PointNumbers<T>) -> Self {
        let atmosphere_pa = at.barometer_hpa * PA_PER_HPA;
        let gas_per_feed = air::from_feed(
            at.sea_temp_c,
            at.sea_salinity_g_kg,
            k.sheet.alkalinity_mmol_kg,
            k.sheet.co2_release,
        );
        let mut setting = Setting {
            jacket_in_c: at.jacket_in_c,
            jacket_flow: at.jacket_flow_kg_s,
            sea_c: at.sea_temp_c,
            salinity: at.sea_salinity_g_kg,
            condenser_flow: at.condenser_flow_kg_s,
            feed: at.feed_kg_s,
            atmosphere_pa,
            motive_pa: at.ejector_pressure_bar_g * PA_PER_BAR + atmosphere_pa,
            back_pa: at.back_pressure_bar_g * PA_PER_BAR + atmosphere_pa,
            leak_mol_s: at.air_leak_kg_h * (atmosphere_pa / STANDARD_ATMOSPHERE_PA)
                / (SECONDS_PER_HOUR * M_AIR_KG_MOL),
            bleed_mol_s: T::from(0.0),
            feed_gas_mol_s: at.feed_kg_s * gas_per_feed,
            motive_vapour_pa: ejector::motive_vapour_pa(at.motive_temp_c),
            sea_vapour_pa: saturation::pressure_pa(at.sea_temp_c),
            ejector_factor: at.ejector_factor,
            scale: at.scale_m2k_w,
            fouling: at.condenser_fouling_m2k_w,
            room_c: at.room_temp_c,
            condenser_leak: at.condenser_leak_kg_h / SECONDS_PER_HOUR,
            demister_factor: at.demister_factor,
            jacket_film: T::from(0.0),
            sea_film: T::from(0.0),
        };
        setting.set_bleed(at.air_bleed_kg_h);
        setting.set_jacket_flow(k, at.jacket_flow_kg_s);
        setting.set_condenser_flow(k, at.condenser_flow_kg_s);
        setting
    }

    pub(crate) fn set_jacket_flow(&mut self, k: &Constants<T>, flow: T) {
        self.jacket_flow = flow;
        self.jacket_film = k.jacket_film * flow_factor(flow / k.sheet.rated_jacket_flow_kg_s);
    }

    pub(crate) fn set_condenser_flow(&mut self, k: &Constants<T>, flow: T) {
        self.condenser_flow = flow;
        self.sea_film = k.sea_film * flow_factor(flow / k.sheet.rated_condenser_flow_kg_s);
    }

    pub(crate) fn set_bleed(&mut self, kg_h: T) {
        self.bleed_mol_s = kg_h / (SECONDS_PER_HOUR * M_AIR_KG_MOL);
    }

    /// Air bled in, kg/h.
    pub(crate) fn bleed_kg_h(&self) -> T {
        self.bleed_mol_s * (SECONDS_PER_HOUR * M_AIR_KG_MOL)
    }

    /// Most vapour the feed allows, kg/s: brine at 200 g/kg.
    pub(crate) fn vapour_cap(&self) -> T {
        let share = at_least(self.salinity / BRINE_CAP_G_KG, T::from(1.0 / CONCENTRATION_CAP));
        self.feed * (-share + 1.0)
    }

    /// Gas to be drawn at a shell pressure, mol/s.
    pub(crate) fn gas_mol_s(&self, shell_pa: T) -> T {
        self.leak_mol_s * air::leak_factor(shell_pa / self.atmosphere_pa)
            + self.bleed_mol_s
            + self.feed_gas_mol_s
    }

    /// The jet against its rated self at a shell pressure.
    pub(crate) fn jet(&self, k: &Constants<T>, shell_pa: T) -> T {
        let left = ejector::stall(self.lift_ratio(shell_pa), k.sheet.stall_ratio);
        let rated = (k.rated_drive_pa, k.rated_jet_left);
        ejector::jet(self.ejector_factor, self.motive_pa, shell_pa, rated.0, left, rated.1)
    }

    /// Gas the jet draws at a shell pressure, m³/s.
    pub(crate) fn gas_capacity_m3_s(&self, k: &Constants<T>, shell_pa: T, jet: T) -> T {
        k.sheet.rated_gas_capacity_m3_s
            * jet
            * (ejector::volume_factor(shell_pa, self.motive_vapour_pa) / k.rated_volume_factor)
    }

    /// Lift over drive of the jet at a shell pressure.
    pub(crate) fn lift_ratio(&self, shell_pa: T) -> T {
        ejector::lift_ratio(self.motive_pa, self.back_pa, shell_pa)
    }
}

/// Turbulent film over its rated value at a flow over its rated value (power 0.8).
#[inline]
fn flow_factor<T: Number>(ratio: T) -> T {
    if ratio.re() <= 0.0 { T::from(0.0) } else { ratio.powf(0.8) }
}

/// Where the inner roots were last found, to start the next search from.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Hints {
    pub(crate) vent_c: f64,
    pub(crate) sea_out_c: f64,
    pub(crate) jacket_out_c: f64,
}

/// Everything the equations say at a trial of shell pressure and vapour made.
#[derive(Clone, Copy)]
pub(crate) struct State<T> {
    pub(crate) shell_pa: T,
    pub(crate) vapour: T,
    pub(crate) gas_mol_s: T,
    pub(crate) vapour_c: T,
    pub(crate) vapour_density: T,
    pub(crate) salinity: T,
    pub(crate) brine_c: T,
    pub(crate) brine: T,
    pub(crate) drop_pa: T,
    pub(crate) velocity: T,
    pub(crate) condensing_c: T,
    pub(crate) jet: T,
    pub(crate) capacity_m3_s: T,
    pub(crate) vent_c: T,
    pub(crate) blanketed: T,
    pub(crate) vent_loss: T,
    pub(crate) condenser_heat: T,
    pub(crate) sea_out_c: T,
    pub(crate) condenser_u: T,
    pub(crate) condenser_rate: T,
    pub(crate) feed_c: T,
    pub(crate) evaporator_heat: T,
    pub(crate) jacket_out_c: T,
    pub(crate) evaporator_u: T,
    pub(crate) evaporator_rate: T,
    pub(crate) loss: T,
    pub(crate) feed_enthalpy: T,
    pub(crate) brine_enthalpy: T,
    pub(crate) vapour_enthalpy: T,
    pub(crate) condensate_enthalpy: T,
}

impl<T: Number> State<T> {
    /// Rate-equation duty less balance duty of evaporator and condenser, W: both nought at the solution.
    #[inline]
    pub(crate) fn residuals(&self) -> [T; 2] {
        [self.evaporator_rate - self.evaporator_heat, self.condenser_rate - self.condenser_heat]
    }

    /// Distillate into the tank, kg/s.
    #[inline]
    pub(crate) fn product(&self, at: &Setting<T>) -> T {
        self.vapour - self.vent_loss + at.condenser_leak
    }

    pub(crate) fn hints(&self) -> Hints {
        Hints {
            vent_c: self.vent_c.re(),
            sea_out_c: self.sea_out_c.re(),
            jacket_out_c: self.jacket_out_c.re(),
        }
    }
}

/// Evaluates every equation at shell pressure `p` (Pa) and vapour made `d` (kg/s, above zero, under the cap).
pub(crate) fn evaluate<T: Number>(
    k: &Constants<T>,
    at: &Setting<T>,
    p: T,
    d: T,
    hints: &Hints,
) -> State<T> {
    let sheet = &k.sheet;

    // over the brine
    let gas_mol_s = at.gas_mol_s(p);
    let vapour_mol_s = d * (1.0 / M_WATER_KG_MOL);
    let vapour_pa = p * vapour_mol_s / (gas_mol_s + vapour_mol_s);
    let vapour_c = saturation::temperature_c(vapour_pa);
    let brine = at.feed - d;
    let salinity = at.feed * at.salinity / brine;
    let brine_c =
        vapour_c + seawater::boiling_point_elevation_k(vapour_c, salinity) + sheet.static_head_k;
    let vapour_h = steam::enthalpy_j_kg(vapour_pa, brine_c);
    let vapour_density = steam::density_kg_m3(vapour_pa, brine_c);

    // demister
    let velocity = demister::velocity(d, vapour_density, sheet.separation_area_m2);
    let drop_pa = demister::drop_pa(sheet.demister_drop, vapour_density, velocity);
    let condensing_pa = vapour_pa - drop_pa;
    let condensing_c = saturation::temperature_c(at_least(condensing_pa, T::from(1.0)));
    // where the temperature is held at the triple point, so is the pressure that belongs to it
    let condensing =
        Saturated { c: condensing_c, pa: at_least(condensing_pa, T::from(water::TRIPLE_POINT_PA)) };
    let condensate_h = liquid::enthalpy_j_kg(condensing_c, condensing.pa);

    // ejector and vent
    let jet = at.jet(k, p);
    let capacity_m3_s = at.gas_capacity_m3_s(k, p, jet);
    let vent = if capacity_m3_s.re() > 0.0 {
        air::vent(
            p - drop_pa,
            air::gas_pressure_per_kelvin(gas_mol_s, capacity_m3_s),
            Saturated { c: at.sea_c, pa: at.sea_vapour_pa },
            condensing,
            hints.vent_c,
        )
    } else {
        None
    };
    let (vent_c, blanketed, vent_loss) = match vent {
        Some(vent) => (
            vent.c,
            air::blanketed_fraction(condensing_c, vent.c, at.sea_c, sheet.blanketing_exponent),
            at_most(air::vent_loss(capacity_m3_s, vent), d),
        ),
        None => (at.sea_c, T::from(1.0), T::from(0.0)),
    };

    // condenser
    let condensed = d - vent_loss;
    let condenser_heat = condensed * (vapour_h - condensate_h);
    let (sea_out_c, sea_cp) = condenser::sea_out(
        condenser_heat,
        at.condenser_flow,
        at.sea_c,
        at.salinity,
        condensing_c.re(),
        hints.sea_out_c,
    );
    let sea_film = at.sea_film * evaporator::water_film_factor((at.sea_c + sea_out_c) * 0.5);
    let condensing_film = k.condensing_film * condenser::condensing_film(d / k.rated_vapour);
    let condenser_u = evaporator::overall(sea_film, k.condenser_wall, at.fouling, condensing_film);
    let condenser_rate = condenser::rate_duty(
        condenser_u * sheet.condenser_area_m2,
        -blanketed + 1.0,
        at.condenser_flow * sea_cp,
        condensing_c,
        at.sea_c,
    );

    // evaporator
    let feed_c = match sheet.feed_from {
        FeedFrom::Condenser => sea_out_c,
        FeedFrom::Sea => at.sea_c,
    };
    let feed_enthalpy = at.feed * liquid_enthalpy(feed_c, at.salinity);
    let brine_enthalpy = brine * liquid_enthalpy(brine_c, salinity);
    let vapour_enthalpy = d * vapour_h;
    let loss = sheet.heat_loss_w_k * (brine_c - at.room_c);
    let evaporator_heat = brine_enthalpy + vapour_enthalpy + loss - feed_enthalpy;
    let (jacket_out_c, jacket_cp) =
        evaporator::jacket_out(evaporator_heat, at.jacket_flow, at.jacket_in_c, hints.jacket_out_c);
    let jacket_film =
        at.jacket_film * evaporator::water_film_factor((at.jacket_in_c + jacket_out_c) * 0.5);
    let boiling_film = k.boiling_film
        * evaporator::boiling_film(
            evaporator_heat / k.rated_evaporator_heat,
            evaporator::mostinski(vapour_pa) / k.rated_mostinski,
            sheet.convective_share,
        );
    let evaporator_u = evaporator::overall(jacket_film, k.evaporator_wall, at.scale, boiling_film);
    let jacket_capacity = at.jacket_flow * jacket_cp;
    let evaporator_rate = jacket_capacity
        * (at.jacket_in_c - brine_c)
        * evaporator::effectiveness(evaporator_u * sheet.evaporator_area_m2, jacket_capacity);

    State {
        shell_pa: p,
        vapour: d,
        gas_mol_s,
        vapour_c,
        vapour_density,
        salinity,
        brine_c,
        brine,
        drop_pa,
        velocity,
        condensing_c,
        jet,
        capacity_m3_s,
        vent_c,
        blanketed,
        vent_loss,
        condenser_heat,
        sea_out_c,
        condenser_u,
        condenser_rate,
        feed_c,
        evaporator_heat,
        jacket_out_c,
        evaporator_u,
        evaporator_rate,
        loss,
        feed_enthalpy,
        brine_enthalpy,
        vapour_enthalpy,
        condensate_enthalpy: condensed * condensate_h,
    }
}

/// What is reported and nothing else depends on: carry-over, product salt, level, vacuum.
pub(crate) fn figures<T: Number>(k: &Constants<T>, at: &Setting<T>, s: &State<T>) -> Figures<T> {
    let sheet = &k.sheet;
    let brine_density = seawater::density_kg_m3(s.brine_c, s.salinity);
    let load = demister::load_factor(s.velocity, s.vapour_density, brine_density);
    let capacity = sheet.brine_capacity_kg_s * s.jet;
    let over_level = demister::over_level(s.brine, capacity);
    let carry_over = at.demister_factor
        * demister::carry_over(&k.mesh, load)
        * demister::level_factor(over_level);
    let product = s.product(at);
    let carried = carry_over * s.salinity * 1000.0;
    let leaked = at.condenser_leak * at.salinity * 1000.0;
    let salt = if product.re() > 0.0 {
        (carried * (s.vapour - s.vent_loss) + leaked) / product
    } else {
        // all the vapour goes up the vent: what the first drop would hold
        carried
    };
    Figures {
        product_t_day: product / crate::KG_S_PER_T_DAY,
        vapour_kg_s: s.vapour,
        shell_pressure_pa: s.shell_pa,
        vacuum_percent: (-s.shell_pa / at.atmosphere_pa + 1.0) * 100.0,
        vapour_temp_c: s.vapour_c,
        brine_temp_c: s.brine_c,
        condensing_temp_c: s.condensing_c,
        vent_temp_c: s.vent_c,
        jacket_out_c: s.jacket_out_c,
        sea_out_c: s.sea_out_c,
        brine_salinity_g_kg: s.salinity,
        product_salt_mg_kg: salt,
        evaporator_heat_w: s.evaporator_heat,
        condenser_heat_w: s.condenser_heat,
        blanketed_fraction: s.blanketed,
        vent_loss_kg_s: s.vent_loss,
        over_level,
        evaporator_u_w_m2k: s.evaporator_u,
        condenser_u_w_m2k: s.condenser_u,
        jacket_in_c: at.jacket_in_c,
        jacket_flow_kg_s: at.jacket_flow,
        condenser_flow_kg_s: at.condenser_flow,
        air_bleed_kg_h: at.bleed_kg_h(),
        feed_kg_s: at.feed,
        feed_temp_c: s.feed_c,
        brine_kg_s: s.brine,
        brine_capacity_kg_s: capacity,
        condenser_leak_kg_s: at.condenser_leak,
        gas_mol_s: s.gas_mol_s,
        ejector_capacity_m3_s: s.capacity_m3_s,
        ejector_ratio: at.lift_ratio(s.shell_pa),
        demister_drop_pa: s.drop_pa,
        load_factor_m_s: load,
        carry_over,
        heat_loss_w: s.loss,
        feed_enthalpy_w: s.feed_enthalpy,
        brine_enthalpy_w: s.brine_enthalpy,
        vapour_enthalpy_w: s.vapour_enthalpy,
        condensate_enthalpy_w: s.condensate_enthalpy,
    }
}
