//! Between two samples: where the track comes nearer to land than ordered, and where it crosses the coast.
//!
//! Distance off changes by no more than the way sailed, so that on a piece of track of length L with d₁ and d₂ at its
//! ends it is nowhere less than (d₁ + d₂ − L)/2. Only a piece for which that is below the limit is halved.

use jiff::{SignedDuration, Timestamp};
use ocean::{Distance, Position};
use route::{Moment, Schedule};

use super::sea::{Near, Waters};

/// Pieces shorter than this are not halved further, nmi: about three seconds at 12 knots.
const FINE_NMI: f64 = 0.01;
/// A track so near to the coast as the data have it is on it, nmi: they are written to 0.12.
const TOUCH_NMI: f64 = 0.1;
/// The clock is kept to the millisecond: what the way may come out shorter for it, nmi.
const SLACK_NMI: f64 = 1.0e-4;

/// The track passes the distance ordered.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// When.
    pub at: Timestamp,
    /// Where.
    pub position: Position,
    /// Away from land; else towards it.
    pub outward: bool,
}

/// A place on the track.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot {
    pub at: Timestamp,
    pub position: Position,
    pub run_nmi: f64,
    pub near: Near,
}

impl Spot {
    pub fn of(at: Timestamp, moment: &Moment, near: Near) -> Self {
        Self { at, position: moment.position, run_nmi: moment.run.nmi(), near }
    }
}

/// Which distance is held against a limit.
#[derive(Debug, Clone, Copy)]
struct Asked {
    off: fn(&Near) -> Distance,
    limit_nmi: f64,
}

impl Asked {
    fn nmi(&self, spot: &Spot) -> f64 {
        (self.off)(&spot.near).nmi()
    }

    fn is_under(&self, spot: &Spot) -> bool {
        self.nmi(spot) < self.limit_nmi
    }
}

/// The track from one sample to the next.
pub(super) struct Between<'a> {
    pub schedule: &'a Schedule,
    pub waters: &'a dyn Waters,
    pub from: Spot,
    pub to: Spot,
}

impl Between<'_> {
    /// The least distance off that was found, so exactly that it says whether it is ever under the limit; and where the
    /// limit is passed.
    pub fn nearest(&self, limit: Distance) -> (Distance, Vec<Crossing>) {
        let asked = Asked { off: |near| near.off, limit_nmi: limit.nmi() };
        let least = |a: Distance, b: Distance| if b < a { b } else { a };
        let own = self.from.near.off;
        let (from_under, to_under) = (asked.is_under(&self.from), asked.is_under(&self.to));
        if from_under && to_under {
            return (least(own, self.to.near.off), Vec::new());
        }
        let crossing =
            |spot: Spot, outward| Crossing { at: spot.at, position: spot.position, outward };
        let Some(first) = self.first_under(&asked, self.from, self.to) else {
            return (own, Vec::new());
        };
        let mut crossings = Vec::new();
        if !from_under {
            crossings.push(crossing(first, false));
        }
        if !to_under && let Some(last) = self.last_under(&asked, self.from, self.to) {
            crossings.push(crossing(last, true));
        }
        (least(least(own, first.near.off), self.to.near.off), crossings)
    }

    /// Whether it comes nearer than this anywhere.
    pub fn is_under(&self, limit: Distance) -> bool {
        let asked = Asked { off: |near| near.off, limit_nmi: limit.nmi() };
        self.first_under(&asked, self.from, self.to).is_some()
    }

    /// Where it first touches the coast.
    pub fn ashore(&self) -> Option<(Timestamp, Position)> {
        let asked = Asked { off: |near| near.coast, limit_nmi: TOUCH_NMI };
        let spot = self.first_under(&asked, self.from, self.to)?;
        Some((spot.at, spot.position))
    }

    /// Where it is under the limit first, to [`FINE_NMI`].
    fn first_under(&self, asked: &Asked, a: Spot, b: Spot) -> Option<Spot> {
        if asked.is_under(&a) {
            return Some(a);
        }
        match self.halved(asked, &a, &b) {
            Halved::Clear => None,
            Halved::Fine => asked.is_under(&b).then_some(b),
            Halved::At(mid) => {
                let first = self.first_under(asked, a, mid);
                first.or_else(|| self.first_under(asked, mid, b))
            }
        }
    }

    /// Where it is under the limit last, to [`FINE_NMI`].
    fn last_under(&self, asked: &Asked, a: Spot, b: Spot) -> Option<Spot> {
        if asked.is_under(&b) {
            return Some(b);
        }
        match self.halved(asked, &a, &b) {
            Halved::Clear => None,
            Halved::Fine => asked.is_under(&a).then_some(a),
            Halved::At(mid) => {
                let last = self.last_under(asked, mid, b);
                last.or_else(|| self.last_under(asked, a, mid))
            }
        }
    }

    fn halved(&self, asked: &Asked, a: &Spot, b: &Spot) -> Halved {
        let way = b.run_nmi - a.run_nmi;
        if asked.nmi(a) + asked.nmi(b) - way - SLACK_NMI >= 2.0 * asked.limit_nmi {
            return Halved::Clear;
        }
        let half_ms = b.at.duration_since(a.at).as_millis() / 2;
        let half = i64::try_from(half_ms).map_or(SignedDuration::ZERO, SignedDuration::from_millis);
        match a.at.checked_add(half) {
            Ok(at) if way > FINE_NMI && at > a.at => {
                let moment = self.schedule.at(at);
                Halved::At(Spot::of(at, &moment, self.waters.near(moment.position)))
            }
            _ => Halved::Fine,
        }
    }
}

/// What is known of a piece of track.
enum Halved {
    /// It is nowhere under the limit.
    Clear,
    /// It is too short to be halved.
    Fine,
    /// Its middle.
    At(Spot),
}
