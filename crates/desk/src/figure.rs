//! A figure typed beside its name: any unit that can mean it, volumes as masses and a vacuum as the temperature it boils at.

use plant::{Point, Sheet};
use quantity::{Kind, Pressure, ReadError, Temperature, Unit};

/// What a figure in another unit is turned with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beside {
    /// The day's atmosphere: gauges and vacuums count from it.
    pub barometer: Pressure,
    /// Jacket water at its meter, °C.
    pub jacket_c: f64,
    /// Sea water at its meter, °C.
    pub sea_c: f64,
    /// Salt in it, g/kg.
    pub sea_salinity_g_kg: f64,
}

impl Beside {
    /// At the rated point, under the standard atmosphere: makers' figures count from that.
    #[must_use]
    pub fn rated(sheet: &Sheet) -> Self {
        Self {
            barometer: Pressure::STANDARD_ATMOSPHERE,
            jacket_c: sheet.rated_jacket_in_c,
            sea_c: sheet.rated_sea_temp_c,
            sea_salinity_g_kg: sheet.rated_sea_salinity_g_kg,
        }
    }

    /// At an operating point.
    #[must_use]
    pub fn point(point: &Point) -> Self {
        Self {
            barometer: Pressure::from_hpa(point.barometer_hpa),
            jacket_c: point.jacket_in_c,
            sea_c: point.sea_temp_c,
            sea_salinity_g_kg: point.sea_salinity_g_kg,
        }
    }

    /// Density of the water that flows under this key, kg/m³: jacket water, distillate (a cubic metre counts as a tonne,
    /// common practice aboard, within 1 %) or sea water, which pumps for brine are rated with too.
    fn density_kg_m3(&self, key: &str) -> f64 {
        if key.contains("jacket") {
            jacket_density_kg_m3(self.jacket_c)
        } else if key.contains("product") {
            1000.0
        } else {
            sea_density_kg_m3(self.sea_c, self.sea_salinity_g_kg)
        }
    }
}

/// Density of jacket water at a meter in the evaporator leg, kg/m³ at °C and 3 bar (IAPWS-IF97 region 1).
pub(crate) fn jacket_density_kg_m3(temp_c: f64) -> f64 {
    water::liquid::density_kg_m3(temp_c, 3.0e5)
}

/// Density of sea water, kg/m³ at °C and g/kg (Sharqawy, Lienhard, Zubair 2010, eq. 8).
pub(crate) fn sea_density_kg_m3(temp_c: f64, salinity_g_kg: f64) -> f64 {
    water::seawater::density_kg_m3(temp_c, salinity_g_kg)
}

/// A figure typed for `key`, in its unit `own`. Another unit of the same kind is taken as written, a volume flow where a mass
/// flow is asked for goes by the density of that water, and a pressure for the evaporating temperature by the steam tables.
/// What was turned is kept to six figures.
///
/// # Errors
/// Not a figure, or a unit of something else, in words.
pub fn figure(text: &str, key: &str, own: Unit, beside: &Beside) -> Result<f64, String> {
    let barometer = Some(beside.barometer);
    let (read, bridge) = match quantity::read(text, own) {
        Ok(read) if read.unit == own => return Ok(read.value),
        Ok(read) => (read, None),
        Err(e @ ReadError::WrongKind { read: other, .. }) => {
            let bridge = bridge(key, own, other).ok_or_else(|| e.to_string())?;
            (quantity::read(text, other).map_err(|e| e.to_string())?, Some(bridge))
        }
        Err(e) => return Err(e.to_string()),
    };
    let si = read.si(barometer).map_err(|e| e.to_string())?;
    let si = match bridge {
        None => si,
        Some(Bridge::Density) => si * beside.density_kg_m3(key),
        Some(Bridge::Boiling) => boiling_at(Pressure::from_pa(si))?.kelvin(),
    };
    own.from_si(si, barometer).map(six_figures).map_err(|e| e.to_string())
}

/// Between kinds that mean the same thing of the same water.
enum Bridge {
    /// Volume flow to mass flow.
    Density,
    /// Pressure of the shell to the temperature at which its water boils.
    Boiling,
}

fn bridge(key: &str, own: Unit, other: Unit) -> Option<Bridge> {
    match (own.kind(), other.kind()) {
        (Kind::MassFlow, Kind::VolumeFlow) => Some(Bridge::Density),
        (Kind::Temperature, Kind::Pressure) if key == "rated_vapour_temp_c" => {
            Some(Bridge::Boiling)
        }
        _ => None,
    }
}

fn boiling_at(pressure: Pressure) -> Result<Temperature, String> {
    water::saturation_temperature(pressure).map_err(|e| e.to_string())
}

/// To six figures: no instrument gives more, and a file should not look as if one did.
fn six_figures(x: f64) -> f64 {
    format!("{x:.5e}").parse().unwrap_or(x)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rated(text: &str, key: &str, own: Unit) -> Result<f64, String> {
        figure(text, key, own, &Beside::rated(&Sheet::default()))
    }

    #[test]
    fn ref_a_vacuum_is_the_temperature_it_boils_at() {
        // 93 % of the standard atmosphere leaves 7.093 kPa; steam tables (IAPWS-IF97, table 35: 7.384 kPa at 40 °C) put it a
        // little under 40 °C.
        let c = rated("93 % vac", "rated_vapour_temp_c", Unit::DegC).expect("taken");
        let back = water::saturation_pressure(Temperature::from_celsius(c)).expect("in range").pa();
        assert!((back - 7_092.75).abs() < 0.2 && (39.0..39.5).contains(&c), "{c} {back}");
        assert!(rated("93 % vac", "rated_jacket_in_c", Unit::DegC).is_err());
        assert_eq!(rated("45", "rated_vapour_temp_c", Unit::DegC), Ok(45.0));
    }

    #[test]
    fn ref_cubic_metres_an_hour_go_by_the_density_of_their_water() {
        // Steam tables give 969 kg/m³ for water at 85 °C and 3 bar (IAPWS-IF97, region 1: 0.001032 m³/kg); sea water of 35 g/kg at
        // 30 °C weighs 1022 (Millero and Poisson 1981).
        let jacket = rated("80 m³/h", "rated_jacket_flow_kg_s", Unit::KgS).expect("taken");
        assert!((jacket - 80.0 * 969.0 / 3600.0).abs() < 0.03, "{jacket}");
        let sea = rated("90 m3/h", "rated_condenser_flow_kg_s", Unit::KgS).expect("taken");
        assert!((sea - 90.0 * 1022.0 / 3600.0).abs() < 0.05, "{sea}");
        assert_eq!(rated("24 m³/day", "rated_product_t_day", Unit::TDay), Ok(24.0));
        assert_eq!(rated("1000 L/h", "rated_product_t_day", Unit::TDay), Ok(24.0));
        assert!(rated("24 m³", "rated_product_t_day", Unit::TDay).is_err());
    }

    #[test]
    fn ident_what_was_turned_has_no_tail() {
        assert_eq!(rated("185 °F", "rated_jacket_in_c", Unit::DegC), Ok(85.0));
        assert_eq!(rated("21,3 K", "rated_jacket_in_c", Unit::DegC).map(|c| c < -200.0), Ok(true));
        assert_eq!(rated("76,68 t/h", "rated_jacket_flow_kg_s", Unit::KgS), Ok(21.3));
    }
}
