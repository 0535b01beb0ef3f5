//! What the plant remembers: one flat array behind names.

/// Figures that act on others.
pub(crate) const ACTIVE: usize = 36;
/// All of them: the active ones, then what is only counted, then the eight ledgers.
pub(crate) const ALL: usize = 49;

/// One moment's figures, in the order of the names below.
pub type State = [f64; ALL];

macro_rules! states {
    ($($name:ident $key:literal $unit:literal $scale:literal,)*) => {
        states!(@index 0usize; $($name,)*);

        /// Key and unit of every figure, in its order.
        pub const NAMES: [(&str, &str); ALL] = [$(($key, $unit)),*];

        /// What counts as little of each figure: the absolute part of the tolerated error is this times the relative one.
        pub(crate) const SCALES: [f64; ALL] = [$($scale),*];
    };
    (@index $n:expr; $name:ident, $($rest:ident,)*) => {
        pub(crate) const $name: usize = $n;
        states!(@index $n + 1usize; $($rest,)*);
    };
    (@index $n:expr;) => {};
}

states! {
    ENGINE_METAL "T_em" "degC" 50.0,
    ENGINE_OUT "T_ew" "degC" 50.0,
    SUPPLY "T_j1" "degC" 50.0,
    HEATER_1 "T_h1" "degC" 50.0,
    HEATER_2 "T_h2" "degC" 50.0,
    HEATER_3 "T_h3" "degC" 50.0,
    RETURN "T_r" "degC" 50.0,
    ENGINE_IN "T_ei" "degC" 50.0,
    SENSOR "T_sen" "degC" 50.0,
    THERMOSTAT "u" "" 1.0,
    THERMOSTAT_SUM "i" "" 1.0,
    AIR_LOCK "a" "" 1.0,
    BOILING_HEAT "q" "W" 1.0e5,
    BRINE "M_b" "kg" 1.0,
    BRINE_SALT "X_b" "kg" 0.04,
    BRINE_HEAT "E_b" "J" 2.0e6,
    SHELL_METAL "T_sm" "degC" 50.0,
    AIR "N_a" "mol" 0.01,
    VAPOUR "D" "kg/s" 1.0e-3,
    SHELL_LAGGED "p" "Pa" 1.0e3,
    CONDENSER_1 "T_c1" "degC" 50.0,
    CONDENSER_2 "T_c2" "degC" 50.0,
    CONDENSER_3 "T_c3" "degC" 50.0,
    WELL "M_d" "kg" 1.0,
    WELL_SALT "X_d" "kg" 1.0e-5,
    CARRIED_SALT "X_w" "kg" 1.0e-4,
    CELL_SALT "S_l" "mg/kg" 1.0,
    CELL_READING "S_r" "mg/kg" 1.0,
    DIVERTER "z" "" 1.0,
    SCALE "R_e" "m2K/W" 1.0e-5,
    NITRITE "J_b" "kg" 0.1,
    EJECTOR_SPEED "n_e" "" 1.0,
    COOLING_SPEED "n_c" "" 1.0,
    DISTILLATE_SPEED "n_d" "" 1.0,
    JACKET_SPEED "n_j" "" 1.0,
    DOSING "M_ds" "kg" 1.0,
    EXPANSION "M_x" "kg" 1.0,
    TANK "M_t" "kg" 1.0e3,
    TANK_SALT "X_t" "kg" 1.0e-2,
    METER "V_m" "kg" 1.0e3,
    DRY_RUN "t_dry" "s" 10.0,
    WATER_IN "W_n" "kg" 1.0e3,
    WATER_THROUGH "W_t" "kg" 1.0e3,
    SALT_IN "S_n" "kg" 10.0,
    SALT_THROUGH "S_t" "kg" 10.0,
    HEAT_IN "E_n" "J" 1.0e9,
    HEAT_THROUGH "E_t" "J" 1.0e9,
    AIR_IN "A_n" "mol" 10.0,
    AIR_THROUGH "A_t" "mol" 10.0,
}

/// The place of a figure by its key, such as `"T_b"`.
#[must_use]
pub fn place(key: &str) -> Option<usize> {
    NAMES.iter().position(|(name, _)| *name == key)
}
