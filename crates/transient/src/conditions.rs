//! What stands around the plant at one moment: openings, settings, troubles, and what follows from them alone.

use plant::closures;
use water::{M_AIR_KG_MOL, saturation};

use crate::model::Model;
use crate::parts::{
    F_AERATION, F_AIR, F_ROLLING, FIRST_FAULT, FIRST_SET, MOVING, S_BAROMETER, S_DRAUGHT, S_HAND,
    S_LOAD, S_ROOM, S_SALT, S_SEA,
};

/// Period of a rolling ship, s (common practice: 8 to 16 s).
const ROLL_S: f64 = 12.0;

/// Density of sea water for heads, kg/m³, and standard gravity.
const HEAD_PA_M: f64 = 1025.0 * 9.806_65;

const STANDARD_PA: f64 = 101_325.0;

/// One moment's conditions.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Conditions {
    /// Valves as openings 0 to 1, sets, faults: what can move by itself.
    pub(crate) moving: [f64; MOVING],
    /// Whether each pump is driven.
    pub(crate) running: [bool; 4],
    /// Where the relay or a hand wants the diverting valve: 0 dump, 1 tank.
    pub(crate) diverter_to: f64,
    pub(crate) salinometer: bool,
    pub(crate) antiscalant: bool,
    /// The dosing pump has power.
    pub(crate) doses: bool,
    pub(crate) thermostat_hand: bool,
    /// Temperature the thermostat holds, °C.
    pub(crate) set_point_c: f64,
    /// Aeration of the ejector's water at this moment of the roll.
    pub(crate) aeration: f64,
    /// What follows from the settings alone.
    pub(crate) around: Around,
}

/// What follows from sea, weather and engine alone.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Around {
    pub(crate) atmosphere_pa: f64,
    pub(crate) sea_c: f64,
    pub(crate) sea_g_kg: f64,
    pub(crate) room_c: f64,
    /// Gas in each kg of feed, mol.
    pub(crate) feed_gas_mol_kg: f64,
    pub(crate) motive_vapour_pa: f64,
    /// Choked leak, mol/s.
    pub(crate) leak_mol_s: f64,
    /// Heat of the running engine to its jacket, W.
    pub(crate) engine_w: f64,
    pub(crate) engine_stopped: bool,
    /// Enthalpy of the sea, J/kg.
    pub(crate) sea_enthalpy: f64,
    /// Head of the sea over the pump's suction, Pa.
    pub(crate) draught_pa: f64,
}

impl Conditions {
    pub(crate) fn valve(&self, place: usize) -> f64 {
        self.moving[place]
    }

    pub(crate) fn set(&self, place: usize) -> f64 {
        self.moving[FIRST_SET + place]
    }

    pub(crate) fn fault(&self, place: usize) -> f64 {
        self.moving[FIRST_FAULT + place]
    }

    pub(crate) fn thermostat_to(&self) -> Option<f64> {
        self.thermostat_hand.then(|| self.set(S_HAND))
    }

    /// Works out what follows from sea, weather and engine.
    pub(crate) fn look_around(&mut self, model: &Model) {
        let (sheet, sea_c, sea_g_kg) = (model.plant.sheet(), self.set(S_SEA), self.set(S_SALT));
        let load = self.set(S_LOAD);
        let atmosphere_pa = self.set(S_BAROMETER);
        let motive_c = sea_c + sheet.rated_motive_temp_c.unwrap_or(sheet.rated_sea_temp_c)
            - sheet.rated_sea_temp_c;
        self.around = Around {
            atmosphere_pa,
            sea_c,
            sea_g_kg,
            room_c: self.set(S_ROOM),
            feed_gas_mol_kg: closures::from_feed(
                sea_c,
                sea_g_kg,
                sheet.alkalinity_mmol_kg,
                sheet.co2_release,
            ),
            motive_vapour_pa: saturation::pressure_pa(motive_c),
            leak_mol_s: self.fault(F_AIR) * (atmosphere_pa / STANDARD_PA) / (3600.0 * M_AIR_KG_MOL),
            engine_w: model.engine_heat_w(load),
            engine_stopped: load <= 0.0,
            sea_enthalpy: water::seawater::enthalpy_j_kg(sea_c, sea_g_kg),
            draught_pa: HEAD_PA_M * self.set(S_DRAUGHT),
        };
    }

    /// Aeration at a moment: a rolling ship draws a third more and a third less.
    pub(crate) fn roll(&mut self, time_s: f64) {
        let roll = self.fault(F_ROLLING);
        let swing = if roll == 0.0 {
            0.0
        } else {
            roll * (std::f64::consts::TAU * time_s / ROLL_S).sin() / 3.0
        };
        self.aeration = (self.fault(F_AERATION) * (1.0 + swing)).min(1.0);
    }
}
