//! What is known of the sea at a position: depth, surface temperature by time of year, surface salinity.

use std::fmt;
use std::sync::OnceLock;

use quantity::{Salinity, Temperature};

use crate::data::DataError;
use crate::{Position, Season};
use crate::{depth::Depths, embedded, grid::Field};

/// What sort of ground a position is on, by the depth at the corners of the 6' square around it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ground {
    /// Land at every corner.
    Land,
    /// Land at some corners: a coast, a harbour, an islet.
    Shore(Depth),
    /// Sea at every corner.
    Sea(Depth),
}

impl Ground {
    /// The depth, where there is sea.
    #[must_use]
    pub const fn depth(self) -> Option<Depth> {
        match self {
            Self::Land => None,
            Self::Shore(depth) | Self::Sea(depth) => Some(depth),
        }
    }
}

/// Depth of the sea, for advice only: steps of 5 % of depth plus 15 m, and on shelves the survey itself may be far out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Depth {
    /// Between the corners that are sea, m.
    pub depth_m: f64,
    /// The least of them, m: what a caution about shallow water goes by.
    pub least_m: f64,
}

/// What an estimate rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// Observations of this water.
    Observed,
    /// Carried over from water up to two cells away, or one figure known for a whole enclosed sea.
    Neighbours,
}

/// A value and what it rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate<T> {
    /// The value.
    pub value: T,
    /// What it rests on.
    pub basis: Basis,
}

/// Nothing is known here.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NoData {
    /// Of what.
    pub field: &'static str,
    /// Where.
    pub position: Position,
    /// The position is on land.
    pub on_land: bool,
}

impl fmt::Display for NoData {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let why = if self.on_land { "the position is on land" } else { "no data here" };
        write!(f, "{} at {}: {why}; enter what is measured aboard", self.field, self.position)
    }
}

impl std::error::Error for NoData {}

static EMBEDDED: OnceLock<Result<Sea, DataError>> = OnceLock::new();

/// Depth, temperature and salinity of the seas, ready to be asked.
#[derive(Debug)]
pub struct Sea {
    depths: Depths,
    temperature: Field,
    salinity: Field,
}

impl Sea {
    /// The data that are built in, unpacked at the first call (some 60 ms) and kept.
    ///
    /// # Errors
    /// [`DataError`] where the program file is damaged.
    pub fn embedded() -> Result<&'static Self, DataError> {
        let sea = EMBEDDED.get_or_init(|| {
            Self::unpack(embedded::DEPTH, embedded::SEA_TEMPERATURE, embedded::SALINITY)
        });
        sea.as_ref().map_err(|e| *e)
    }

    /// Unpacks depth, temperature and salinity as the build script packs them.
    ///
    /// # Errors
    /// [`DataError`] for bytes that are not such data.
    pub fn unpack(depth: &[u8], temperature: &[u8], salinity: &[u8]) -> Result<Self, DataError> {
        Ok(Self {
            depths: Depths::unpack(depth)?,
            temperature: Field::unpack("sea temperature", temperature, 12, 90, 0.1)?,
            salinity: Field::unpack("salinity", salinity, 1, 180, 0.05)?,
        })
    }

    /// Land, shore or sea, and how deep (ETOPO1, every 6').
    ///
    /// The Caspian's depths count from the ocean's level, 27 m above its own. Lakes whose bed is above it are land here.
    #[must_use]
    pub fn ground(&self, position: Position) -> Ground {
        self.depths.ground(position)
    }

    /// Mean sea-surface temperature at a time of year (ships 1946-1989, World Ocean Atlas 1994), -1.9 to 34 °C.
    ///
    /// Straight between the middles of 2° cells and of months. Today's mean is some 0.5 °C warmer; off upwelling coasts the
    /// water inshore is colder.
    ///
    /// # Errors
    /// [`NoData`] on land and where nobody measured.
    pub fn surface_temperature(
        &self,
        position: Position,
        season: Season,
    ) -> Result<Estimate<Temperature>, NoData> {
        let (one, two, share) = season.months();
        let known = self.temperature.at(position, &[(one, 1.0 - share), (two, share)]);
        self.estimate("sea temperature", position, known, Temperature::from_celsius)
    }

    /// Mean salinity of the surface over the year (Levitus 1982), practical salinity 0 to 41.
    ///
    /// Straight between the middles of 1° cells. River mouths and their plumes are far fresher than it says.
    ///
    /// # Errors
    /// [`NoData`] on land and where nobody measured.
    pub fn surface_salinity(&self, position: Position) -> Result<Estimate<Salinity>, NoData> {
        let known = self.salinity.at(position, &[(0, 1.0)]);
        self.estimate("salinity", position, known, Salinity::from_practical)
    }

    fn estimate<T>(
        &self,
        field: &'static str,
        position: Position,
        known: Option<(f64, Basis)>,
        unit: impl Fn(f64) -> T,
    ) -> Result<Estimate<T>, NoData> {
        let (value, basis) = known.ok_or_else(|| {
            let on_land = self.ground(position) == Ground::Land;
            NoData { field, position, on_land }
        })?;
        Ok(Estimate { value: unit(value), basis })
    }
}
