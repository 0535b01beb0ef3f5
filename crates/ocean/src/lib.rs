//! The sea along a track: positions, the lines sailed between them, and what lies around a position.
//!
//! ```
//! use ocean::{Leg, Position, Track};
//!
//! let moroni: Position = "11°41.6'S 043°12.0'E".parse()?;
//! let mahe: Position = "04 36.0 S, 055 29.0 E".parse()?;
//! let leg = Leg::new(moroni, mahe, Track::RhumbLine);
//! assert_eq!(format!("{:.1} nmi, {:.1}", leg.length().nmi(), leg.course_from().unwrap()), "844.4 nmi, 059.9°");
//! assert_eq!(leg.point_at(leg.length() * 0.5).to_string(), "08°08.8'S 049°22.1'E");
//! # Ok::<(), ocean::PositionError>(())
//! ```

mod coast;
mod course;
mod data;
mod depth;
mod distance;
mod ellipsoid;
mod embedded;
mod grid;
mod leg;
mod line;
mod meridian;
mod outline;
mod position;
mod read;
mod sea;
mod season;
mod shoreline;
mod space;
mod tree;

pub use coast::{Coast, GUARD, Land, NearestLand, TRUST};
pub use course::Course;
pub use data::{Damage, DataError};
pub use distance::Distance;
pub use leg::{Leg, NoDestination, Track};
pub use outline::Shore;
pub use position::{Position, PositionError};
pub use sea::{Basis, Depth, Estimate, Ground, NoData, Sea};
pub use season::{Season, SeasonError};
