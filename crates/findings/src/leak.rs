//! The leak-down test: how much air a shut, cold, drained shell takes in, from its pressure at two moments.

/// Molar gas constant, J/mol K (SI, exact by the kelvin's and the mole's definition of 2019).
const R_J_MOL_K: f64 = 8.314_462_618;
/// Molar mass of dry air, kg/mol (CIPM-2007).
const AIR_KG_MOL: f64 = 0.028_965;

/// Pressure and temperature of the shell at a moment of the test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShellState {
    /// Absolute pressure, Pa, 0 to 110 000.
    pub pressure_pa: f64,
    /// Temperature of the gas in it, K, 250 to 350.
    pub temp_k: f64,
    /// Time since the test began, s.
    pub at_s: f64,
}

/// Air that leaked in between two moments, mol/s: (V/R)(p₂/T₂ − p₁/T₁)/(t₂ − t₁), the vacuum-decay form of US 40 CFR 1065.644.
///
/// `volume_m3` 1e-4 to 100, the second moment at least a second after the first; none outside these ranges. Under nought where the
/// pressure fell.
#[must_use]
pub fn leak_mol_s(volume_m3: f64, first: ShellState, second: ShellState) -> Option<f64> {
    let sound = |s: &ShellState| {
        (0.0..=110_000.0).contains(&s.pressure_pa) && (250.0..=350.0).contains(&s.temp_k)
    };
    let seconds = second.at_s - first.at_s;
    let known = sound(&first) && sound(&second) && (1.0e-4..=100.0).contains(&volume_m3);
    (known && (1.0..=1.0e6).contains(&seconds)).then(|| {
        let held = |s: ShellState| s.pressure_pa / s.temp_k;
        volume_m3 / R_J_MOL_K * (held(second) - held(first)) / seconds
    })
}

/// The same as air, kg/h.
#[must_use]
pub fn leak_kg_h(volume_m3: f64, first: ShellState, second: ShellState) -> Option<f64> {
    leak_mol_s(volume_m3, first, second).map(|mol_s| mol_s * AIR_KG_MOL * 3600.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn state(pressure_pa: f64, temp_k: f64, at_s: f64) -> ShellState {
        ShellState { pressure_pa, temp_k, at_s }
    }

    /// US 40 CFR 1065.644, example: V 2.0000 L, 50.600 and 25.300 kPa, 293.15 K, 70 s; the regulation prints 0.00030 mol/s.
    #[test]
    fn ref_the_regulations_example() {
        let leak = leak_mol_s(2.0e-3, state(25_300.0, 293.15, 0.0), state(50_600.0, 293.15, 70.0));
        let leak = leak.expect("within range");
        assert!((leak - 2.9657e-4).abs() < 5.0e-9, "{leak:e}");
        assert_eq!(format!("{leak:.5}"), "0.00030");
    }

    /// The rule of the trade, 0.07 kg/h for each m³ and mbar/min, holds within its own rounding (0.066 to 0.071) from 22 to 42 °C.
    #[test]
    fn ref_the_rule_of_thumb_for_the_pressure_rise() {
        for (temp_c, volume_m3, rise_mbar_min) in
            [(42.0, 3.0, 2.0), (30.0, 2.0, 1.0), (22.0, 1.0, 3.0)]
        {
            let temp_k = temp_c + 273.15;
            let end = 8_000.0 + 100.0 * rise_mbar_min * 10.0;
            let got = leak_kg_h(volume_m3, state(8_000.0, temp_k, 0.0), state(end, temp_k, 600.0));
            let per = got.expect("within range") / (volume_m3 * rise_mbar_min);
            assert!((0.066..=0.071).contains(&per), "{per} at {temp_c} °C");
        }
        let got = leak_kg_h(3.0, state(8_000.0, 315.15, 0.0), state(10_000.0, 315.15, 600.0));
        assert!((got.expect("within range") - 0.398).abs() < 0.5e-3);
        assert!(
            leak_kg_h(3.0, state(8_000.0, 315.15, 0.0), state(10_000.0, 315.15, 0.0)).is_none()
        );
    }
}
