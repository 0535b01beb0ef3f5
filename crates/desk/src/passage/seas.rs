//! The seas as the data built into the program know them.

use jiff::civil::Date;
use ocean::{Coast, Distance, Leg, Position, Season, Track};
use passage::timeline::{Sea, Waters};

use crate::desk::DeskError;

/// Where nobody measured: open ocean at the middle of the year's mean, the standard sea.
const UNKNOWN_TEMP_C: f64 = 15.0;
/// Salinity where nobody measured, g/kg: the standard sea.
const UNKNOWN_SALINITY_G_KG: f64 = 35.0;

/// Coast, depth, temperature and salinity, unpacked at the first use.
#[derive(Debug, Clone, Copy)]
pub struct Seas {
    coast: &'static Coast,
    sea: &'static ocean::Sea,
}

impl Seas {
    /// The data built in.
    ///
    /// # Errors
    /// [`DeskError::Asked`] where the program file is damaged.
    pub fn built_in() -> Result<Seas, DeskError> {
        let damaged = |e: ocean::DataError| DeskError::Asked(e.to_string());
        Ok(Seas {
            coast: Coast::embedded().map_err(damaged)?,
            sea: ocean::Sea::embedded().map_err(damaged)?,
        })
    }
}

impl Seas {
    /// Shores that come near to any of these positions, as chains of (latitude, longitude) in degrees; a chain that ends
    /// where it began is land.
    #[must_use]
    pub fn shores(&self, track: &[Position]) -> Vec<Vec<(f64, f64)>> {
        let Some(middle) = track.get(track.len() / 2).copied() else { return Vec::new() };
        let off = |p: &Position| Leg::new(middle, *p, Track::GreatCircle).length();
        let farthest = track
            .iter()
            .step_by(16)
            .map(off)
            .fold(Distance::ZERO, |a, b| if b > a { b } else { a });
        let reach = farthest * 1.1 + Distance::from_nmi(200.0);
        self.coast
            .shores_near(middle, reach)
            .map(|shore| {
                let mut chain: Vec<(f64, f64)> =
                    shore.positions.iter().map(|p| (p.lat_deg(), p.lon_deg())).collect();
                if let (true, Some(first)) = (shore.closed, chain.first().copied()) {
                    chain.push(first);
                }
                chain
            })
            .collect()
    }
}

impl Waters for Seas {
    fn at(&self, position: Position, date: Date) -> Sea {
        let season = Season::date(date.month().unsigned_abs(), date.day().unsigned_abs()).ok();
        let temp = season.and_then(|s| self.sea.surface_temperature(position, s).ok());
        let salinity = self.sea.surface_salinity(position);
        Sea {
            distance_off: self.coast.nearest_land(position).distance,
            depth_m: self.sea.ground(position).depth().map(|depth| depth.least_m),
            temp_c: temp.map_or(UNKNOWN_TEMP_C, |t| t.value.celsius()),
            salinity_g_kg: salinity.map_or(UNKNOWN_SALINITY_G_KG, |s| s.value.g_kg()),
        }
    }
}
