//! A passage as an officer knows it: waypoints, legs, speeds and ETAs, stays, marks and the ship's clock.
//!
//! A [`Route`] is what is written; a [`Schedule`] is the route in time; a [`Reading`] is what could be read of a file or a
//! pasted text, with everything that is wrong with it.
//!
//! ```
//! use ocean::Track;
//! use route::{Mark, Pace, Phase, Route, Waypoint};
//!
//! let mut departure = Waypoint::at("22°15.0'S 014°25.0'E".parse()?);
//! departure.etd = Some("2026-03-02T06:00Z".parse()?);
//! departure.mark = Some(Mark::FullAway);
//! let mut arrival = Waypoint::at("23°05.0'S 043°20.0'W".parse()?);
//! arrival.track = Track::GreatCircle;
//! arrival.pace = Some(Pace::Speed { kn: 13.0 });
//! let schedule = Route::new("South Atlantic", vec![departure, arrival]).schedule().unwrap();
//! let moment = schedule.at("2026-03-05T06:00Z".parse()?);
//! assert_eq!(moment.phase, Phase::SeaPassage);
//! assert_eq!(format!("{:.0} nmi", moment.run.nmi()), "936 nmi");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod clock;
mod container;
mod fault;
mod heading;
mod lines;
mod notes;
mod phase;
mod problem;
mod reading;
mod resail;
mod route;
mod rtz;
mod schedule;
mod table;
mod times;
mod told;
mod waypoint;
mod when;
mod words;

pub use clock::{Clock, Day};
pub use phase::Phase;
pub use problem::{Fault, Place, Problem};
pub use reading::{LARGEST_FILE, Reading};
pub use resail::Sail;
pub use route::{MOST_CLOCK_CHANGES, MOST_WAYPOINTS, Route};
pub use rtz::Version;
pub use schedule::{Moment, Schedule, ScheduledLeg, SeaPassage};
pub use times::Call;
pub use waypoint::{
    FASTEST_KN, HIGHEST_LOAD, LONGEST_STAY_DAYS, Lying, Mark, Pace, Stay, Waypoint,
};
