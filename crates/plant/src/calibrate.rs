//! Calibration: the constants that make the model reproduce the sheet's rated point exactly.

use water::number::Number;
use water::{M_AIR_KG_MOL, M_WATER_KG_MOL, liquid, saturation, seawater, steam};

use crate::air::Saturated;
use crate::demister::Mesh;
use crate::error::SheetError;
use crate::model::{BRINE_CAP_G_KG, liquid_enthalpy};
use crate::point::ROOM_TEMP_C;
use crate::sheet::{FeedFrom, SheetNumbers};
use crate::{KG_S_PER_T_DAY, air, condenser, demister, ejector, evaporator};

const STANDARD_ATMOSPHERE_PA: f64 = 101_325.0;
const PA_PER_BAR: f64 = 1.0e5;

/// A condenser more full of gas than this makes no water.
const DROWNED: f64 = 0.95;

/// What calibration finds, in the arithmetic of the solution.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Constants<T> {
    pub(crate) sheet: SheetNumbers<T>,
    pub(crate) rated_vapour: T,
    pub(crate) rated_shell_pa: T,
    pub(crate) rated_evaporator_heat: T,
    pub(crate) rated_condenser_heat: T,
    pub(crate) rated_mostinski: T,
    pub(crate) rated_drive_pa: T,
    pub(crate) rated_jet_left: T,
    pub(crate) rated_volume_factor: T,
    pub(crate) rated_blanketed: T,
    pub(crate) rated_sea_out_c: T,
    pub(crate) rated_vent_c: T,
    pub(crate) rated_jacket_out_c: T,
    pub(crate) rated_brine_c: T,
    pub(crate) rated_gas_mol_s: T,
    pub(crate) evaporator_u: T,
    pub(crate) condenser_u: T,
    pub(crate) evaporator_wall: T,
    pub(crate) condenser_wall: T,
    /// Jacket film at rated flow before its temperature factor, W/m²K.
    pub(crate) jacket_film: T,
    pub(crate) boiling_film: T,
    /// Sea-water film at rated flow before its temperature factor, W/m²K.
    pub(crate) sea_film: T,
    pub(crate) condensing_film: T,
    pub(crate) rated_jacket_film: T,
    pub(crate) rated_sea_film: T,
    pub(crate) mesh: Mesh<T>,
}

impl<T: std::fmt::Debug> std::fmt::Debug for Mesh<T> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Mesh")
            .field("rated", &self.rated)
            .field("rated_load", &self.rated_load)
            .finish()
    }
}

/// The calibration in figures, for the ship's page and for checks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Calibration {
    /// Shell pressure p0, Pa.
    pub shell_pressure_pa: f64,
    /// Vapour made D_g0, kg/s.
    pub vapour_kg_s: f64,
    /// Evaporator duty Q_e0, W.
    pub evaporator_heat_w: f64,
    /// Condenser duty Q_c0, W.
    pub condenser_heat_w: f64,
    /// Overall heat transfer U_e0, W/m²K.
    pub evaporator_u_w_m2k: f64,
    /// Overall heat transfer U_c0, W/m²K.
    pub condenser_u_w_m2k: f64,
    /// Jacket film h_j0, W/m²K.
    pub jacket_film_w_m2k: f64,
    /// Boiling film h_b0, W/m²K.
    pub boiling_film_w_m2k: f64,
    /// Sea-water film h_c0, W/m²K.
    pub sea_film_w_m2k: f64,
    /// Condensing film h_k0, W/m²K.
    pub condensing_film_w_m2k: f64,
    /// Demister load factor K0, m/s.
    pub load_factor_m_s: f64,
    /// Carry-over E0, kg brine per kg vapour.
    pub carry_over: f64,
    /// Blanketed fraction β0.
    pub blanketed_fraction: f64,
    /// Sea water out T_c2,0, °C.
    pub sea_out_c: f64,
    /// Vent temperature T_vent,0, °C.
    pub vent_temp_c: f64,
    /// Jacket water out T_j2,0, °C.
    pub jacket_out_c: f64,
    /// Brine T_b,0, °C.
    pub brine_temp_c: f64,
    /// Gas drawn n_a,0, mol/s.
    pub gas_mol_s: f64,
    /// Wall of the evaporator r_w,e, m²K/W.
    pub evaporator_wall_m2k_w: f64,
    /// Wall of the condenser r_w,c, m²K/W.
    pub condenser_wall_m2k_w: f64,
    /// [`crate::closures::mostinski`] at the rated vapour pressure.
    pub mostinski: f64,
    /// Pressure across the nozzle p_m0 − p0, Pa.
    pub drive_pa: f64,
    /// What the rated lift leaves of the jet, B(N0).
    pub jet_left: f64,
    /// Gas share of the jet's volume v(p0, T_m0).
    pub volume_factor: f64,
}

impl<T: Copy> Constants<T> {
    /// The same in another arithmetic.
    pub(crate) fn map<U>(&self, f: impl Fn(T) -> U) -> Constants<U> {
        Constants {
            sheet: self.sheet.map(&f),
            rated_vapour: f(self.rated_vapour),
            rated_shell_pa: f(self.rated_shell_pa),
            rated_evaporator_heat: f(self.rated_evaporator_heat),
            rated_condenser_heat: f(self.rated_condenser_heat),
            rated_mostinski: f(self.rated_mostinski),
            rated_drive_pa: f(self.rated_drive_pa),
            rated_jet_left: f(self.rated_jet_left),
            rated_volume_factor: f(self.rated_volume_factor),
            rated_blanketed: f(self.rated_blanketed),
            rated_sea_out_c: f(self.rated_sea_out_c),
            rated_vent_c: f(self.rated_vent_c),
            rated_jacket_out_c: f(self.rated_jacket_out_c),
            rated_brine_c: f(self.rated_brine_c),
            rated_gas_mol_s: f(self.rated_gas_mol_s),
            evaporator_u: f(self.evaporator_u),
            condenser_u: f(self.condenser_u),
            evaporator_wall: f(self.evaporator_wall),
            condenser_wall: f(self.condenser_wall),
            jacket_film: f(self.jacket_film),
            boiling_film: f(self.boiling_film),
            sea_film: f(self.sea_film),
            condensing_film: f(self.condensing_film),
            rated_jacket_film: f(self.rated_jacket_film),
            rated_sea_film: f(self.rated_sea_film),
            mesh: Mesh {
                rated: f(self.mesh.rated),
                rated_load: f(self.mesh.rated_load),
                flooding_load: f(self.mesh.flooding_load),
                floor: f(self.mesh.floor),
            },
        }
    }
}

impl Constants<f64> {
    pub(crate) fn figures(&self) -> Calibration {
        Calibration {
            shell_pressure_pa: self.rated_shell_pa,
            vapour_kg_s: self.rated_vapour,
            evaporator_heat_w: self.rated_evaporator_heat,
            condenser_heat_w: self.rated_condenser_heat,
            evaporator_u_w_m2k: self.evaporator_u,
            condenser_u_w_m2k: self.condenser_u,
            jacket_film_w_m2k: self.rated_jacket_film,
            boiling_film_w_m2k: self.boiling_film,
            sea_film_w_m2k: self.rated_sea_film,
            condensing_film_w_m2k: self.condensing_film,
            load_factor_m_s: self.mesh.rated_load,
            carry_over: self.mesh.rated,
            blanketed_fraction: self.rated_blanketed,
            sea_out_c: self.rated_sea_out_c,
            vent_temp_c: self.rated_vent_c,
            jacket_out_c: self.rated_jacket_out_c,
            brine_temp_c: self.rated_brine_c,
            gas_mol_s: self.rated_gas_mol_s,
            evaporator_wall_m2k_w: self.evaporator_wall,
            condenser_wall_m2k_w: self.condenser_wall,
            mostinski: self.rated_mostinski,
            drive_pa: self.rated_drive_pa,
            jet_left: self.rated_jet_left,
            volume_factor: self.rated_volume_factor,
        }
    }
}

/// The rated vapour side: what D and p must be for the sheet's net output and vapour temperature.
struct Rated<T> {
    vapour: T,
    shell_pa: T,
    gas_mol_s: T,
    salinity: T,
    brine_c: T,
    vapour_h: T,
    vapour_density: T,
    velocity: T,
    condensing_c: T,
    vent_c: T,
    vent_loss: T,
}

/// Calibrates a sheet whose fields have been checked one by one.
///
/// # Errors
/// Where the rated point contradicts itself, with the numbers.
pub(crate) fn calibrate<T: Number>(sheet: &SheetNumbers<T>) -> Result<Constants<T>, SheetError> {
    let atmosphere = T::from(STANDARD_ATMOSPHERE_PA);
    let motive_pa = sheet.rated_ejector_pressure_bar_g * PA_PER_BAR + atmosphere;
    let back_pa = sheet.rated_back_pressure_bar_g * PA_PER_BAR + atmosphere;
    let feed = sheet.rated_feed_ratio * sheet.rated_product_t_day * KG_S_PER_T_DAY;
    let rated = rated_vapour_side(sheet, feed)?;

    let lift = ejector::lift_ratio(motive_pa, back_pa, rated.shell_pa);
    let drive = motive_pa - rated.shell_pa;
    let left = ejector::stall(lift, sheet.stall_ratio);
    if drive.re() <= 0.0 || left.re() <= 0.0 {
        return Err(SheetError::EjectorStalled {
            ratio: lift.re(),
            stall_ratio: sheet.stall_ratio.re(),
        });
    }
    let volume_factor = ejector::volume_factor(
        rated.shell_pa,
        ejector::motive_vapour_pa(sheet.rated_motive_temp_c),
    );
    if volume_factor.re() <= 0.0 {
        return Err(gas_over_capacity(sheet, rated.gas_mol_s.re(), 0.0));
    }
    let blanketed = air::blanketed_fraction(
        rated.condensing_c,
        rated.vent_c,
        sheet.rated_sea_temp_c,
        sheet.blanketing_exponent,
    );
    if blanketed.re() > DROWNED {
        let capacity = sheet.rated_gas_capacity_m3_s.re();
        return Err(gas_over_capacity(sheet, rated.gas_mol_s.re(), capacity));
    }

    let condenser = calibrate_condenser(sheet, &rated, blanketed)?;
    let evaporator = calibrate_evaporator(sheet, &rated, feed, condenser.out_c, condenser.heat)?;

    let brine_density = seawater::density_kg_m3(rated.brine_c, rated.salinity);
    let [e_film, e_wall, e_far] = shares(&sheet.evaporator_split);
    let [c_film, c_wall, c_far] = shares(&sheet.condenser_split);
    let rated_jacket_film = evaporator.u / e_film;
    let rated_sea_film = condenser.u / c_film;
    let jacket_mean = (sheet.rated_jacket_in_c + evaporator.out_c) * 0.5;
    let sea_mean = (sheet.rated_sea_temp_c + condenser.out_c) * 0.5;
    Ok(Constants {
        sheet: *sheet,
        rated_vapour: rated.vapour,
        rated_shell_pa: rated.shell_pa,
        rated_evaporator_heat: evaporator.heat,
        rated_condenser_heat: condenser.heat,
        rated_mostinski: evaporator::mostinski(saturation::pressure_pa(sheet.rated_vapour_temp_c)),
        rated_drive_pa: drive,
        rated_jet_left: left,
        rated_volume_factor: volume_factor,
        rated_blanketed: blanketed,
        rated_sea_out_c: condenser.out_c,
        rated_vent_c: rated.vent_c,
        rated_jacket_out_c: evaporator.out_c,
        rated_brine_c: rated.brine_c,
        rated_gas_mol_s: rated.gas_mol_s,
        evaporator_u: evaporator.u,
        condenser_u: condenser.u,
        evaporator_wall: e_wall / evaporator.u,
        condenser_wall: c_wall / condenser.u,
        jacket_film: rated_jacket_film / evaporator::water_film_factor(jacket_mean),
        boiling_film: evaporator.u / e_far,
        sea_film: rated_sea_film / evaporator::water_film_factor(sea_mean),
        condensing_film: condenser.u / c_far,
        rated_jacket_film,
        rated_sea_film,
        mesh: Mesh {
            rated: sheet.rated_product_salt_mg_kg / (rated.salinity * 1000.0),
            rated_load: demister::load_factor(rated.velocity, rated.vapour_density, brine_density),
            flooding_load: sheet.flooding_velocity_m_s,
            floor: sheet.mist_floor,
        },
    })
}

fn gas_over_capacity<T: Number>(
    sheet: &SheetNumbers<T>,
    gas_mol_s: f64,
    capacity_m3_s: f64,
) -> SheetError {
    SheetError::GasOverCapacity {
        gas_mol_s,
        capacity_m3_s,
        sea_temp_c: sheet.rated_sea_temp_c.re(),
    }
}

/// The three shares of a resistance over their sum, which the sheet's check has found to be one but for rounding.
fn shares<T: Number>(split: &[T; 3]) -> [T; 3] {
    let [film, wall, far] = *split;
    let sum = film + wall + far;
    [film / sum, wall / sum, far / sum]
}

/// D − m_v = D0 and p (1 − y) = p_sat(T_v0), by repeated substitution: each pass shrinks the error by the vent's share of the
/// vapour, a few parts in a thousand.
fn rated_vapour_side<T: Number>(sheet: &SheetNumbers<T>, feed: T) -> Result<Rated<T>, SheetError> {
    let sea_c = sheet.rated_sea_temp_c;
    let salinity_in = sheet.rated_sea_salinity_g_kg;
    let net = sheet.rated_product_t_day * KG_S_PER_T_DAY;
    let vapour_pa = saturation::pressure_pa(sheet.rated_vapour_temp_c);
    let leak_mol_s = sheet.rated_air_leak_kg_h / (3600.0 * M_AIR_KG_MOL);
    let feed_gas =
        feed * air::from_feed(sea_c, salinity_in, sheet.alkalinity_mmol_kg, sheet.co2_release);

    let mut vapour = net;
    let mut shell_pa = vapour_pa;
    // After the value stands still, a few more passes let a derivative settle as well.
    let mut settled = 0;
    for _ in 0..200 {
        let gas_mol_s = leak_mol_s * air::leak_factor(shell_pa / STANDARD_ATMOSPHERE_PA) + feed_gas;
        let vapour_mol_s = vapour * (1.0 / M_WATER_KG_MOL);
        let next_shell = vapour_pa * (gas_mol_s + vapour_mol_s) / vapour_mol_s;
        let brine = feed - vapour;
        if brine.re() <= feed.re() * salinity_in.re() / BRINE_CAP_G_KG {
            return Err(SheetError::FeedTooSmall {
                feed_kg_s: feed.re(),
                vapour_kg_s: vapour.re(),
            });
        }
        let salinity = feed * salinity_in / brine;
        let brine_c = sheet.rated_vapour_temp_c
            + seawater::boiling_point_elevation_k(sheet.rated_vapour_temp_c, salinity)
            + sheet.static_head_k;
        let vapour_density = steam::density_kg_m3(vapour_pa, brine_c);
        let velocity = demister::velocity(vapour, vapour_density, sheet.separation_area_m2);
        let drop_pa = demister::drop_pa(sheet.demister_drop, vapour_density, velocity);
        let condensing_pa = vapour_pa - drop_pa;
        let condensing_c = if condensing_pa.re() > 0.0 {
            saturation::temperature_c(condensing_pa)
        } else {
            T::from(0.01)
        };
        let capacity = sheet.rated_gas_capacity_m3_s;
        let vent = air::vent(
            next_shell - drop_pa,
            air::gas_pressure_per_kelvin(gas_mol_s, capacity),
            Saturated { c: sea_c, pa: saturation::pressure_pa(sea_c) },
            Saturated { c: condensing_c, pa: saturation::pressure_pa(condensing_c) },
            condensing_c.re(),
        );
        let Some(vent) = vent else {
            if condensing_c.re() <= sea_c.re() {
                return Err(SheetError::SeaOutTooWarm {
                    sea_out_c: sea_c.re(),
                    condensing_c: condensing_c.re(),
                });
            }
            return Err(gas_over_capacity(sheet, gas_mol_s.re(), capacity.re()));
        };
        let vent_loss = air::vent_loss(capacity, vent);
        let next_vapour = net + vent_loss;
        let moved = (next_vapour.re() / vapour.re() - 1.0).abs()
            + (next_shell.re() / shell_pa.re() - 1.0).abs();
        if moved < 1.0e-13 {
            settled += 1;
        }
        (vapour, shell_pa) = (next_vapour, next_shell);
        if settled > 5 {
            return Ok(Rated {
                vapour,
                shell_pa,
                gas_mol_s,
                salinity,
                brine_c,
                vapour_h: steam::enthalpy_j_kg(vapour_pa, brine_c),
                vapour_density,
                velocity,
                condensing_c,
                vent_c: vent.c,
                vent_loss,
            });
        }
    }
    // The vent would take most of the vapour and the passes do not settle: more gas than the sheet's ejector is made for.
    let capacity = sheet.rated_gas_capacity_m3_s.re();
    Err(gas_over_capacity(sheet, (leak_mol_s + feed_gas).re(), capacity))
}

/// One exchanger at the rated point: duty, overall heat transfer, outlet of the stream that runs through.
struct Exchanger<T> {
    heat: T,
    u: T,
    out_c: T,
}

fn calibrate_condenser<T: Number>(
    sheet: &SheetNumbers<T>,
    rated: &Rated<T>,
    blanketed: T,
) -> Result<Exchanger<T>, SheetError> {
    let sea_c = sheet.rated_sea_temp_c;
    let condensed = rated.vapour - rated.vent_loss;
    let heat = condensed * (rated.vapour_h - liquid::saturated_enthalpy_j_kg(rated.condensing_c));
    let flow = sheet.rated_condenser_flow_kg_s;
    let (out_c, cp) = condenser::sea_out(
        heat,
        flow,
        sea_c,
        sheet.rated_sea_salinity_g_kg,
        // far enough over the vapour to show by how much the sheet is wrong
        rated.condensing_c.re() + 50.0,
        sea_c.re(),
    );
    if heat.re() <= 0.0 {
        return Err(SheetError::NoDuty { evaporator_w: 0.0, condenser_w: heat.re() });
    }
    if out_c.re() >= rated.condensing_c.re() {
        return Err(SheetError::SeaOutTooWarm {
            sea_out_c: out_c.re(),
            condensing_c: rated.condensing_c.re(),
        });
    }
    let transfer_units = ((rated.condensing_c - sea_c) / (rated.condensing_c - out_c)).ln();
    let u = transfer_units * flow * cp / (sheet.condenser_area_m2 * (-blanketed + 1.0));
    Ok(Exchanger { heat, u, out_c })
}

fn calibrate_evaporator<T: Number>(
    sheet: &SheetNumbers<T>,
    rated: &Rated<T>,
    feed: T,
    sea_out_c: T,
    condenser_heat: T,
) -> Result<Exchanger<T>, SheetError> {
    let feed_c = match sheet.feed_from {
        FeedFrom::Condenser => sea_out_c,
        FeedFrom::Sea => sheet.rated_sea_temp_c,
    };
    let brine = feed - rated.vapour;
    let heat = brine * liquid_enthalpy(rated.brine_c, rated.salinity)
        + rated.vapour * rated.vapour_h
        + sheet.heat_loss_w_k * (rated.brine_c - ROOM_TEMP_C)
        - feed * liquid_enthalpy(feed_c, sheet.rated_sea_salinity_g_kg);
    if heat.re() <= 0.0 {
        return Err(SheetError::NoDuty {
            evaporator_w: heat.re(),
            condenser_w: condenser_heat.re(),
        });
    }
    let flow = sheet.rated_jacket_flow_kg_s;
    let in_c = sheet.rated_jacket_in_c;
    let (out_c, cp) = evaporator::jacket_out(heat, flow, in_c, in_c.re());
    if out_c.re() <= rated.brine_c.re() {
        return Err(SheetError::JacketOutTooCold {
            jacket_out_c: out_c.re(),
            brine_c: rated.brine_c.re(),
        });
    }
    let transfer_units = ((in_c - rated.brine_c) / (out_c - rated.brine_c)).ln();
    let u = transfer_units * flow * cp / sheet.evaporator_area_m2;
    Ok(Exchanger { heat, u, out_c })
}
