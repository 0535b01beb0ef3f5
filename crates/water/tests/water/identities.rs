//! Laws of physics the formulas must obey among themselves, and derivatives against differences.

use crate::common::Errors;
use num_dual::{Dual64, DualNum};
use proptest::prelude::*;
use water::scale::{self, Carbon, Mineral};
use water::{
    distillate, gas, liquid, osmotic, practical_salinity, saturation, seawater, steam, viscosity,
};

/// A law of two variables, once for values and once for exact derivatives.
struct Law {
    name: &'static str,
    plain: fn(f64, f64) -> f64,
    dual: fn(Dual64, Dual64) -> Dual64,
    /// A typical state.
    at: (f64, f64),
}

macro_rules! laws {
    ($( $path:path, $x:expr, $y:expr; )+) => {
        [ $( Law { name: stringify!($path), plain: $path, dual: $path, at: ($x, $y) } ),+ ]
    };
}

const fn laws() -> [Law; 25] {
    laws! {
        liquid::enthalpy_j_kg, 46.0, 3e5;
        liquid::density_kg_m3, 46.0, 3e5;
        liquid::heat_capacity_j_kg_k, 46.0, 3e5;
        liquid::entropy_j_kg_k, 46.0, 3e5;
        steam::enthalpy_j_kg, 10_000.0, 47.0;
        steam::density_kg_m3, 10_000.0, 47.0;
        steam::heat_capacity_j_kg_k, 10_000.0, 47.0;
        steam::entropy_j_kg_k, 10_000.0, 47.0;
        seawater::density_kg_m3, 46.0, 50.0;
        seawater::heat_capacity_j_kg_k, 46.0, 50.0;
        seawater::enthalpy_j_kg, 46.0, 50.0;
        seawater::enthalpy_difference_j_kg, 46.0, 50.0;
        seawater::boiling_point_elevation_k, 46.0, 50.0;
        seawater::boiling_temperature_c, 10_000.0, 50.0;
        seawater::thermal_conductivity_w_m_k, 46.0, 50.0;
        seawater::viscosity_pa_s, 46.0, 50.0;
        seawater::latent_heat_j_kg, 46.0, 50.0;
        seawater::vapour_pressure_pa, 46.0, 50.0;
        osmotic::coefficient, 46.0, 50.0;
        osmotic::pressure_pa, 46.0, 50.0;
        gas::dissolved_air_mol_kg, 25.0, 35.0;
        gas::co2_solubility_mol_kg_atm, 25.0, 35.0;
        distillate::conductivity_us_cm, 3.0, 42.0;
        distillate::ppm, 8.0, 42.0;
        viscosity::dynamic_pa_s, 46.0, 990.0;
    }
}

#[test]
fn ident_exact_derivatives_are_the_slopes() {
    for Law { name, plain, dual, at: (x, y) } in laws() {
        let slope = |f: &dyn Fn(f64) -> f64, at: f64| {
            // Fourth-order central difference: its own error is far below the tolerance.
            let h = at.abs() * 1e-3;
            (8.0 * (f(at + h) - f(at - h)) - (f(at + 2.0 * h) - f(at - 2.0 * h))) / (12.0 * h)
        };
        let by_x = dual(Dual64::from(x).derivative(), Dual64::from(y));
        let by_y = dual(Dual64::from(x), Dual64::from(y).derivative());
        let value = plain(x, y);
        assert!((by_x.re - value).abs() <= 1e-13 * value.abs(), "{name}: {} {value}", by_x.re);
        // What 1e-8 of the value makes of a slope over the whole variable.
        let (room_x, room_y) = (1e-8 * (value / x).abs(), 1e-8 * (value / y).abs());
        let (slope_x, slope_y) = (slope(&|x| plain(x, y), x), slope(&|y| plain(x, y), y));
        assert!((by_x.eps - slope_x).abs() <= room_x, "{name} by x: {} {slope_x}", by_x.eps);
        assert!((by_y.eps - slope_y).abs() <= room_y, "{name} by y: {} {slope_y}", by_y.eps);
    }
}

#[test]
fn ident_heat_capacity_is_the_slope_of_enthalpy_and_of_entropy() {
    let mut errors = Errors::new();
    for t in (1..120).map(f64::from) {
        let (td, t_k) = (Dual64::from(t).derivative(), t + 273.15);
        let p = Dual64::from(3e5);
        let cp = liquid::heat_capacity_j_kg_k(t, 3e5);
        errors.relative(liquid::enthalpy_j_kg(td, p).eps, cp);
        errors.relative(liquid::entropy_j_kg_k(td, p).eps * t_k, cp);
        let p = Dual64::from(500.0);
        let cp = steam::heat_capacity_j_kg_k(500.0, t);
        errors.relative(steam::enthalpy_j_kg(p, td).eps, cp);
        errors.relative(steam::entropy_j_kg_k(p, td).eps * t_k, cp);
    }
    errors.within("c_p = dh/dT = T ds/dT", 400, 1e-11, 1e-11);
}

#[test]
fn ident_maxwell_entropy_falls_with_pressure_as_volume_grows_with_temperature() {
    let mut errors = Errors::new();
    for t in (5..120).map(f64::from) {
        let volume = liquid::density_kg_m3(Dual64::from(t).derivative(), Dual64::from(3e5)).recip();
        let entropy = liquid::entropy_j_kg_k(Dual64::from(t), Dual64::from(3e5).derivative());
        errors.absolute(entropy.eps / 5e-7, -volume.eps / 5e-7);
        let p = 0.9 * saturation::pressure_pa(t);
        let volume = steam::density_kg_m3(Dual64::from(p), Dual64::from(t).derivative()).recip();
        let entropy = steam::entropy_j_kg_k(Dual64::from(p).derivative(), Dual64::from(t));
        errors.relative(entropy.eps, -volume.eps);
    }
    errors.within("Maxwell", 200, 1e-10, 1e-9);
}

#[test]
fn ident_clausius_clapeyron_holds_along_saturation() {
    // Regions 1, 2 and 4 are separate fits: the release joins them within its tolerances.
    let mut errors = Errors::new();
    for t in (1..=120).map(f64::from) {
        let p = saturation::pressure_pa(Dual64::from(t).derivative());
        let latent = steam::enthalpy_j_kg(p.re, t) - liquid::saturated_enthalpy_j_kg(t);
        let swell = 1.0 / steam::density_kg_m3(p.re, t) - 1.0 / liquid::density_kg_m3(t, p.re);
        errors.relative(p.eps, latent / ((t + 273.15) * swell));
    }
    errors.within("Clausius-Clapeyron", 100, 3e-4, 3e-4);
}

#[test]
fn ident_saturation_goes_there_and_back() {
    let mut errors = Errors::new();
    for t in (1..=1200).map(|n| f64::from(n) * 0.1) {
        errors.absolute(saturation::temperature_c(saturation::pressure_pa(t)), t);
    }
    // Equation 31 solves equation 30 exactly: only rounding is left.
    errors.within("T(p(T))", 1000, 1e-9, 1e-9);
}

#[test]
fn ident_below_the_triple_point_the_temperature_is_held_without_slope() {
    let below = saturation::temperature_c(Dual64::from(500.0).derivative());
    assert_eq!((below.re, below.eps), (0.01, 0.0));
    assert!((saturation::temperature_c(611.658_f64) - 0.01).abs() < 1e-4);
}

#[test]
fn ident_boiling_point_elevation_and_vapour_pressure_tell_the_same_story() {
    // Two independent fits of one law, p_v(T + BPE, S) = p_sat(T). Vapour pressure claims ±0.26 %, the
    // elevation ±0.018 K (0.1 % of pressure): together 0.36 %, which holds to 90 g/kg. At 120 g/kg the vapour
    // pressure lies 0.7 % low; the boiling points of R13-08 side with the elevation.
    let (mut to_90, mut all) = (Errors::new(), Errors::new());
    for t in (20..=100).step_by(5).map(f64::from) {
        for s in (10..=120).step_by(10).map(f64::from) {
            let boiling = t + seawater::boiling_point_elevation_k(t, s);
            let (ours, expected) =
                (seawater::vapour_pressure_pa(boiling, s), saturation::pressure_pa(t));
            all.relative(ours, expected);
            if s <= 90.0 {
                to_90.relative(ours, expected);
            }
        }
    }
    to_90.within("boiling point against vapour pressure, to 90 g/kg", 150, 3.6e-3, 3.6e-3);
    all.within("boiling point against vapour pressure, to 120 g/kg", 200, 7e-3, 7e-3);
}

#[test]
fn ident_salt_beyond_120_changes_no_enthalpy_difference() {
    let at = |s: f64| {
        seawater::enthalpy_difference_j_kg(Dual64::from(50.0), Dual64::from(s).derivative())
    };
    assert_eq!(at(150.0).re, at(120.0).re);
    assert_eq!(at(150.0).eps, 0.0);
}

#[test]
fn ident_gypsum_saturates_near_three_concentrations() {
    // Marshall and Slusher 1968 put gypsum in sea water at about three times its salt, hardly moved by
    // temperature below 60 °C.
    for t in [30.0, 40.0, 50.0, 60.0] {
        let index = |factor| scale::saturation_index(Mineral::Gypsum, Carbon::Closed, t, factor);
        assert!(index(2.5) < 0.0 && index(3.5) > 0.0, "{t} °C");
    }
}

#[test]
fn ident_losing_carbon_dioxide_never_helps_against_alkaline_scale() {
    for t in (20..=100).map(f64::from) {
        for mineral in [Mineral::Calcite, Mineral::Aragonite, Mineral::Brucite] {
            let of = |carbon| scale::saturation_ratio(mineral, carbon, t, 1.7);
            assert!(of(Carbon::Degassed) > of(Carbon::Closed), "{mineral:?} {t}");
        }
    }
}

proptest! {
    #[test]
    fn ident_practical_salinity_goes_there_and_back(s in 2.0..42.0f64, t in -2.0..35.0f64, p in 0.0..10_000.0f64) {
        let c = practical_salinity::to_conductivity(s, t, p);
        prop_assert!((practical_salinity::from_conductivity(c, t, p) - s).abs() < 1e-10);
    }

    #[test]
    fn ident_distillate_salt_goes_there_and_back(ppm in 0.0..1000.0f64, t in 0.0..80.0f64) {
        let back = distillate::ppm(distillate::conductivity_us_cm(ppm, t), t);
        prop_assert!((back - ppm).abs() <= 1e-9 * (1.0 + ppm));
    }

    #[test]
    fn ident_saltier_brine_is_denser_boils_higher_and_holds_less_gas(
        t in 10.0..100.0f64, s in 0.0..115.0f64, more in 0.1..5.0f64,
    ) {
        prop_assert!(seawater::density_kg_m3(t, s + more) > seawater::density_kg_m3(t, s));
        prop_assert!(seawater::boiling_point_elevation_k(t, s + more) > seawater::boiling_point_elevation_k(t, s));
        prop_assert!(seawater::vapour_pressure_pa(t, s + more) < seawater::vapour_pressure_pa(t, s));
        prop_assert!(seawater::heat_capacity_j_kg_k(t, s + more) < seawater::heat_capacity_j_kg_k(t, s));
        if t < 40.0 && s < 40.0 {
            prop_assert!(gas::dissolved_air_mol_kg(t, s + more) < gas::dissolved_air_mol_kg(t, s));
        }
    }
}
