//! The embedded shoreline: chains of points, unpacked into space.

use crate::data::{Damage, DataError, unpack};
use crate::space::{self, Kept, Point};

/// Units in a degree in which points are written.
const PER_DEGREE: i64 = 500;
/// Most bytes the shoreline may unpack to.
const LARGEST: usize = 16 * 1024 * 1024;
const NAME: &str = "coast";

/// Points in chains.
#[derive(Debug, Default)]
pub struct Chains {
    /// Every point, chain after chain.
    pub points: Vec<Kept>,
    /// Whether a point is joined to the next by a straight piece; a chain's last point is not.
    pub joined: Vec<bool>,
}

impl Chains {
    /// Adds a chain of its own.
    pub fn add(&mut self, chain: impl IntoIterator<Item = Point>) {
        self.points.extend(chain.into_iter().map(Kept::of));
        self.joined.resize(self.points.len(), true);
        if let Some(last) = self.joined.last_mut() {
            *last = false;
        }
    }

    /// Each chain, with where its first point stands among all.
    pub fn each(&self) -> impl Iterator<Item = (usize, &[Kept])> {
        let lengths = self.joined.split_inclusive(|joined| !joined).map(<[bool]>::len);
        let mut first = 0;
        lengths.map(move |length| {
            let begins = first;
            first += length;
            (begins, self.points.get(begins..first).unwrap_or_default())
        })
    }
}

/// Unpacks a shoreline: a head of four 32-bit numbers (chains, points, bytes of the counts, bytes of the steps east),
/// then variable-length counts, steps east and steps north, in units of 1/500 degree from 180 W and 90 S. A chain may
/// run up to a degree past the date line.
pub fn unpacked(packed: &[u8]) -> Result<Chains, DataError> {
    let raw = unpack(NAME, packed, LARGEST)?;
    decoded(&raw).ok_or(DataError { data: NAME, why: Damage::Content })
}

fn decoded(raw: &[u8]) -> Option<Chains> {
    let (head, body) = raw.split_at_checked(16)?;
    let number = |i: usize| {
        let bytes = head.get(4 * i..4 * i + 4)?.try_into().ok()?;
        usize::try_from(u32::from_le_bytes(bytes)).ok()
    };
    let (chains, points) = (number(0)?, number(1)?);
    let (counts, steps) = body.split_at_checked(number(2)?)?;
    let (east, north) = steps.split_at_checked(number(3)?)?;
    // Every point takes a byte of each stream.
    if points > east.len() || chains > points {
        return None;
    }
    let (mut counts, mut east, mut north) = (Bytes(counts), Bytes(east), Bytes(north));
    let turns = Turns::new();
    let mut out = Chains { points: Vec::with_capacity(points), joined: Vec::with_capacity(points) };
    let (mut lon, mut lat) = (180 * PER_DEGREE, 90 * PER_DEGREE);
    for _ in 0..chains {
        let count = counts.varint()?;
        for i in 0..count {
            lon += east.signed()?;
            lat += north.signed()?;
            if !(-PER_DEGREE..=361 * PER_DEGREE).contains(&lon)
                || !(0..=180 * PER_DEGREE).contains(&lat)
            {
                return None;
            }
            let lat = turns.sin_cos(lat - 90 * PER_DEGREE)?;
            let lon = turns.sin_cos(lon - 180 * PER_DEGREE)?;
            out.points.push(Kept::of(space::on_ellipsoid(lat, lon)));
            out.joined.push(i + 1 < count);
        }
    }
    let is_whole = out.points.len() == points
        && counts.0.is_empty()
        && east.0.is_empty()
        && north.0.is_empty();
    is_whole.then_some(out)
}

/// Bytes still to be read.
struct Bytes<'a>(&'a [u8]);

impl Bytes<'_> {
    /// Seven bits a byte, least first, the high bit where more follow; at most 32 bits.
    fn varint(&mut self) -> Option<u32> {
        let mut value = 0;
        for shift in [0, 7, 14, 21, 28] {
            let (byte, rest) = self.0.split_first()?;
            self.0 = rest;
            value |= u32::from(byte & 127) << shift;
            if *byte < 128 {
                return Some(value);
            }
        }
        None
    }

    /// Signed numbers written as 0, -1, 1, -2, 2.
    fn signed(&mut self) -> Option<i64> {
        let value = i64::from(self.varint()?);
        Some((value >> 1) ^ -(value & 1))
    }
}

/// Sines and cosines of whole units by the addition theorem, from two short tables: a tenth of the time of the library's.
struct Turns {
    coarse: Vec<(f64, f64)>,
    fine: Vec<(f64, f64)>,
}

/// Fine steps in a coarse one.
const FINE: i64 = 512;

impl Turns {
    fn new() -> Self {
        let table = |steps: i64, size: i64| {
            let angle = |i: i64| {
                #[allow(clippy::cast_precision_loss)] // at most 90,500
                let units = (i * size) as f64;
                (units / 500.0).to_radians().sin_cos()
            };
            (0..steps).map(angle).collect()
        };
        Self { coarse: table(181 * PER_DEGREE / FINE + 1, FINE), fine: table(FINE, 1) }
    }

    fn sin_cos(&self, units: i64) -> Option<(f64, f64)> {
        let size = units.unsigned_abs();
        let fine = FINE.unsigned_abs();
        let (s1, c1) = *self.coarse.get(usize::try_from(size / fine).ok()?)?;
        let (s2, c2) = *self.fine.get(usize::try_from(size % fine).ok()?)?;
        let sin = s1 * c2 + c1 * s2;
        Some((if units < 0 { -sin } else { sin }, c1 * c2 - s1 * s2))
    }
}
