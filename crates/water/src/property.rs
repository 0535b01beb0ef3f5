//! Every property in one table: what it is called, its unit, whose law it is, where that holds.

use crate::range::Range;
use crate::scale::{Carbon, Mineral};
use crate::{
    ABSOLUTE_OVER_PRACTICAL, State, gas, liquid, osmotic, practical_salinity, saturation, scale,
    seawater, steam, viscosity,
};

/// A property as it is looked up and listed.
pub struct Property {
    /// Stable key, as in `--json`.
    pub key: &'static str,
    /// Name in words.
    pub name: &'static str,
    /// Symbol in formulas.
    pub symbol: &'static str,
    /// Unit of the value.
    pub unit: &'static str,
    /// Source: authors and year, equation where there are several.
    pub source: &'static str,
    /// Where the source holds.
    pub range: Range,
    /// What water must be for the property to mean something.
    pub phase: Phase,
    value: fn(&State) -> f64,
}

/// Which of liquid and steam a property speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// Not tied to the pressure given.
    Any,
    /// Liquid at the given temperature and pressure.
    Liquid,
    /// Steam at the given temperature and pressure.
    Steam,
}

/// One line of the list of properties at a state.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Entry {
    /// Stable key.
    pub key: &'static str,
    /// Name in words.
    pub name: &'static str,
    /// Symbol in formulas.
    pub symbol: &'static str,
    /// The value, in `unit`.
    pub value: f64,
    /// Unit of the value.
    pub unit: &'static str,
    /// Source of the law.
    pub source: &'static str,
    /// Whether the source covers this state; if not, the value is an extrapolation.
    pub in_range: bool,
}

impl Property {
    /// The property at a state, flagged where its source ends.
    #[must_use]
    pub fn at(&self, state: &State) -> Entry {
        let in_phase = match self.phase {
            Phase::Any => true,
            // Either side of saturation counts at saturation itself, rounding included.
            Phase::Liquid => state.p_pa() >= saturation::pressure_pa(state.t_c()) * (1.0 - 1e-9),
            Phase::Steam => state.p_pa() <= saturation::pressure_pa(state.t_c()) * (1.0 + 1e-9),
        };
        Entry {
            key: self.key,
            name: self.name,
            symbol: self.symbol,
            value: (self.value)(state),
            unit: self.unit,
            source: self.source,
            in_range: in_phase && self.range.holds(state.t_c(), state.s_g_kg()),
        }
    }
}

impl State {
    /// Every property at this state, in the order of [`PROPERTIES`].
    pub fn properties(&self) -> impl Iterator<Item = Entry> {
        PROPERTIES.iter().map(|property| property.at(self))
    }

    /// The property with this key; `None` if there is none.
    #[must_use]
    pub fn find(&self, key: &str) -> Option<Entry> {
        PROPERTIES.iter().find(|property| property.key == key).map(|property| property.at(self))
    }

    /// Concentration factor against standard sea water.
    fn factor(&self) -> f64 {
        self.s_g_kg() / scale::SEA_SALINITY_G_KG
    }

    fn practical(&self) -> f64 {
        self.s_g_kg() / ABSOLUTE_OVER_PRACTICAL
    }
}

const IF97: &str = "IAPWS R7-97(2012)";
const R12: &str = "IAPWS R12-08";
const NAYAR: &str = "Nayar et al. 2016";
const WEISS_1970: &str = "Weiss 1970";
const WEISS_1974: &str = "Weiss 1974";
const PSS78: &str = "PSS-78, UNESCO 1981";
const PHREEQC: &str = "PHREEQC, Pitzer database";

/// The evaporator's range, in which every seawater correlation here holds unless its own is narrower.
const EVAPORATOR: Range = Range::new((10.0, 120.0), (0.0, 120.0));
/// Pure water does not mind the salt of the state.
const FRESH: Range = Range::new((0.0, 180.0), (0.0, 200.0));
const GAS: Range = Range::new((-1.0, 40.0), (0.0, 40.0 * ABSOLUTE_OVER_PRACTICAL));
const SCALE: Range = Range::new(
    scale::TEMPERATURE_RANGE_C,
    (
        scale::FACTOR_RANGE.0 * scale::SEA_SALINITY_G_KG,
        scale::FACTOR_RANGE.1 * scale::SEA_SALINITY_G_KG,
    ),
);

macro_rules! properties {
    ($( $key:ident, $name:literal, $symbol:literal, $unit:literal, $source:expr, $range:expr, $phase:ident, $value:expr; )+) => {
        /// Every property, fresh water first.
        pub const PROPERTIES: &[Property] = &[ $( Property {
            key: stringify!($key),
            name: $name,
            symbol: $symbol,
            unit: $unit,
            source: $source,
            range: $range,
            phase: Phase::$phase,
            value: $value,
        } ),+ ];
    };
}

properties! {
    saturation_pressure, "saturation pressure at this temperature", "p_sat", "Pa", IF97, FRESH, Any, |s| saturation::pressure_pa(s.t_c());
    saturation_temperature, "saturation temperature at this pressure", "T_sat", "°C", IF97, FRESH, Any, |s| saturation::temperature_c(s.p_pa());
    saturated_liquid_enthalpy, "enthalpy of saturated water", "h'", "J/kg", IF97, FRESH, Any, |s| liquid::saturated_enthalpy_j_kg(s.t_c());
    saturated_steam_enthalpy, "enthalpy of saturated steam", "h''", "J/kg", IF97, FRESH, Any, |s| steam::enthalpy_j_kg(saturation::pressure_pa(s.t_c()), s.t_c());
    saturated_steam_density, "density of saturated steam", "ρ''", "kg/m³", IF97, FRESH, Any, |s| steam::density_kg_m3(saturation::pressure_pa(s.t_c()), s.t_c());
    water_density, "density of fresh water", "ρ", "kg/m³", IF97, FRESH, Liquid, |s| liquid::density_kg_m3(s.t_c(), s.p_pa());
    water_heat_capacity, "heat capacity of fresh water", "c_p", "J/kgK", IF97, FRESH, Liquid, |s| liquid::heat_capacity_j_kg_k(s.t_c(), s.p_pa());
    water_enthalpy, "enthalpy of fresh water", "h", "J/kg", IF97, FRESH, Liquid, |s| liquid::enthalpy_j_kg(s.t_c(), s.p_pa());
    water_viscosity, "viscosity of fresh water", "µ", "Pa s", R12, FRESH, Liquid, |s| viscosity::dynamic_pa_s(s.t_c(), liquid::density_kg_m3(s.t_c(), s.p_pa()));
    steam_density, "density of steam", "ρ", "kg/m³", IF97, FRESH, Steam, |s| steam::density_kg_m3(s.p_pa(), s.t_c());
    steam_heat_capacity, "heat capacity of steam", "c_p", "J/kgK", IF97, FRESH, Steam, |s| steam::heat_capacity_j_kg_k(s.p_pa(), s.t_c());
    steam_enthalpy, "enthalpy of steam", "h", "J/kg", IF97, FRESH, Steam, |s| steam::enthalpy_j_kg(s.p_pa(), s.t_c());
    seawater_density, "density of sea water", "ρ_sw", "kg/m³", "Sharqawy et al. 2010, eq. 8", EVAPORATOR, Any, |s| seawater::density_kg_m3(s.t_c(), s.s_g_kg());
    seawater_heat_capacity, "heat capacity of sea water", "c_p,sw", "J/kgK", "Sharqawy et al. 2010, eq. 9", EVAPORATOR, Any, |s| seawater::heat_capacity_j_kg_k(s.t_c(), s.s_g_kg());
    seawater_conductivity, "thermal conductivity of sea water", "k_sw", "W/mK", NAYAR, Range::new((10.0, 90.0), (0.0, 120.0)), Any, |s| seawater::thermal_conductivity_w_m_k(s.t_c(), s.s_g_kg());
    seawater_viscosity, "viscosity of sea water", "µ_sw", "Pa s", "Sharqawy et al. 2010, eq. 22", EVAPORATOR, Any, |s| seawater::viscosity_pa_s(s.t_c(), s.s_g_kg());
    seawater_latent_heat, "latent heat of sea water", "h_fg,sw", "J/kg", "Sharqawy et al. 2010, eq. 37", EVAPORATOR, Any, |s| seawater::latent_heat_j_kg(s.t_c(), s.s_g_kg());
    seawater_enthalpy, "enthalpy of sea water", "h_sw", "J/kg", "IAPWS R7-97(2012) + Sharqawy et al. 2010, eq. 43", EVAPORATOR, Any, |s| seawater::enthalpy_j_kg(s.t_c(), s.s_g_kg());
    boiling_point_elevation, "boiling point elevation", "BPE", "K", "Sharqawy et al. 2010, eq. 36", EVAPORATOR, Any, |s| seawater::boiling_point_elevation_k(s.t_c(), s.s_g_kg());
    boiling_temperature, "boiling temperature at this pressure", "T_b", "°C", "IAPWS R7-97(2012) + Sharqawy et al. 2010, eq. 36", EVAPORATOR, Any, |s| seawater::boiling_temperature_c(s.p_pa(), s.s_g_kg());
    seawater_vapour_pressure, "vapour pressure of sea water", "p_v,sw", "Pa", NAYAR, EVAPORATOR, Any, |s| seawater::vapour_pressure_pa(s.t_c(), s.s_g_kg());
    osmotic_coefficient, "osmotic coefficient", "φ", "", "Sharqawy et al. 2010, eq. 49", Range::new((10.0, 120.0), (10.0, 120.0)), Any, |s| osmotic::coefficient(s.t_c(), s.s_g_kg());
    osmotic_pressure, "osmotic pressure", "π", "Pa", "Sharqawy et al. 2010, eq. 49", Range::new((10.0, 120.0), (10.0, 120.0)), Any, |s| osmotic::pressure_pa(s.t_c(), s.s_g_kg());
    practical_salinity, "practical salinity", "S_P", "", "TEOS-10", Range::new((0.0, 180.0), (2.0 * ABSOLUTE_OVER_PRACTICAL, 42.0 * ABSOLUTE_OVER_PRACTICAL)), Any, |s| s.practical();
    electric_conductivity, "electric conductivity of sea water", "C", "mS/cm", PSS78, Range::new((-2.0, 35.0), (2.0 * ABSOLUTE_OVER_PRACTICAL, 42.0 * ABSOLUTE_OVER_PRACTICAL)), Any, |s| practical_salinity::to_conductivity(s.practical(), s.t_c(), 0.0);
    dissolved_oxygen, "oxygen dissolved at 1 atm", "c_O2", "mol/kg", WEISS_1970, GAS, Any, |s| gas::dissolved_oxygen_mol_kg(s.t_c(), s.s_g_kg());
    dissolved_nitrogen, "nitrogen dissolved at 1 atm", "c_N2", "mol/kg", WEISS_1970, GAS, Any, |s| gas::dissolved_nitrogen_mol_kg(s.t_c(), s.s_g_kg());
    dissolved_argon, "argon dissolved at 1 atm", "c_Ar", "mol/kg", WEISS_1970, GAS, Any, |s| gas::dissolved_argon_mol_kg(s.t_c(), s.s_g_kg());
    dissolved_air, "air dissolved at 1 atm", "c_gas", "mol/kg", WEISS_1970, GAS, Any, |s| gas::dissolved_air_mol_kg(s.t_c(), s.s_g_kg());
    co2_solubility, "solubility of carbon dioxide", "K_0", "mol/kg atm", WEISS_1974, GAS, Any, |s| gas::co2_solubility_mol_kg_atm(s.t_c(), s.s_g_kg());
    calcite_closed, "saturation index of calcite, no gas lost", "SI", "", PHREEQC, SCALE, Any, |s| scale::saturation_index(Mineral::Calcite, Carbon::Closed, s.t_c(), s.factor());
    calcite_degassed, "saturation index of calcite, degassed", "SI", "", PHREEQC, SCALE, Any, |s| scale::saturation_index(Mineral::Calcite, Carbon::Degassed, s.t_c(), s.factor());
    aragonite_closed, "saturation index of aragonite, no gas lost", "SI", "", PHREEQC, SCALE, Any, |s| scale::saturation_index(Mineral::Aragonite, Carbon::Closed, s.t_c(), s.factor());
    aragonite_degassed, "saturation index of aragonite, degassed", "SI", "", PHREEQC, SCALE, Any, |s| scale::saturation_index(Mineral::Aragonite, Carbon::Degassed, s.t_c(), s.factor());
    brucite_closed, "saturation index of brucite, no gas lost", "SI", "", PHREEQC, SCALE, Any, |s| scale::saturation_index(Mineral::Brucite, Carbon::Closed, s.t_c(), s.factor());
    brucite_degassed, "saturation index of brucite, degassed", "SI", "", PHREEQC, SCALE, Any, |s| scale::saturation_index(Mineral::Brucite, Carbon::Degassed, s.t_c(), s.factor());
    gypsum, "saturation index of gypsum", "SI", "", PHREEQC, SCALE, Any, |s| scale::saturation_index(Mineral::Gypsum, Carbon::Closed, s.t_c(), s.factor());
    anhydrite, "saturation index of anhydrite", "SI", "", PHREEQC, SCALE, Any, |s| scale::saturation_index(Mineral::Anhydrite, Carbon::Closed, s.t_c(), s.factor());
    hemihydrate, "saturation index of hemihydrate", "SI", "", PHREEQC, SCALE, Any, |s| scale::saturation_index(Mineral::Hemihydrate, Carbon::Closed, s.t_c(), s.factor());
}
