//! What somebody aboard tells the record beside readings: the clocks are moved, a tank has another duty.

use std::fmt;

use jiff::Timestamp;
use logbook::{Draft, Kind, ShipClock, Zone};

use crate::desk::{Desk, DeskError, hand};

/// Duties of a tank that change; what a tank holds stands on the page Ship.
pub const DUTIES: &[&str] = &["filling", "serving", "standing"];

/// A move of the ship's clocks as it was told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Clocks {
    /// The first instant of the new time.
    pub from: Timestamp,
    /// The new time.
    pub zone: Zone,
    /// By whose order.
    pub order: String,
    /// It stands although it is far from now.
    pub stands: bool,
}

/// Why a move of the clocks is not taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ClocksRefused {
    /// Nobody is named who ordered it, or in too many words.
    Order,
    /// They are on that time already.
    Unchanged(Zone),
    /// Long ago or long to come, in whole days: wants a second look.
    Far {
        /// Days from now; negative is ago.
        days: i64,
    },
}

impl fmt::Display for ClocksRefused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Order => {
                write!(f, "Write by whose order, as master: 1 to {LONGEST_ORDER} signs.")
            }
            Self::Unchanged(zone) => write!(f, "Her clocks are on {zone} then already."),
            Self::Far { days } if *days < 0 => write!(
                f,
                "That is {} days ago: every round since would be read by other clocks. Look at the date again, or let it stand.",
                -days
            ),
            Self::Far { days } => {
                write!(f, "That is {days} days to come. Look at the date again, or let it stand.")
            }
        }
    }
}

impl std::error::Error for ClocksRefused {}

/// Longest name of who ordered it, characters.
const LONGEST_ORDER: usize = 40;

/// A move of the clocks written down so many days late is taken without a question.
const FAR_AGO_DAYS: i64 = 3;
/// One ordered so many days ahead too: a passage's moves are known at departure.
const FAR_AHEAD_DAYS: i64 = 45;

/// Reads an offset from UTC as it is written aboard: `+10:00`, `+10`, `-3.5`, `UTC+10`, `Z`.
///
/// # Errors
/// What was read and how it is written.
pub fn zone(text: &str) -> Result<Zone, String> {
    text.parse().map_err(|_| {
        let read = text.trim();
        format!(
            "“{read}”: write hours from UTC with their sign, −14:00 to +14:00, as +10:00 or −3:30"
        )
    })
}

/// Holds a move of the clocks against those they are on.
///
/// # Errors
/// [`ClocksRefused`].
pub fn check_clocks(clock: &ShipClock, told: &Clocks, now: Timestamp) -> Result<(), ClocksRefused> {
    if !(1..=LONGEST_ORDER).contains(&told.order.trim().chars().count()) {
        return Err(ClocksRefused::Order);
    }
    // Where nobody ever said it, even UTC is news.
    let never_set = clock.changes().is_empty() && told.zone == Zone::UTC;
    if clock.zone(told.from) == told.zone && !never_set {
        return Err(ClocksRefused::Unchanged(told.zone));
    }
    let days = told.from.duration_since(now).as_hours() / 24;
    if !told.stands && !(-FAR_AGO_DAYS..=FAR_AHEAD_DAYS).contains(&days) {
        return Err(ClocksRefused::Far { days });
    }
    Ok(())
}

/// Whether anybody has ever said what the ship's clocks are on; until then they are taken to be on UTC.
#[must_use]
pub fn clocks_set(clock: &ShipClock, now: Timestamp) -> bool {
    !clock.changes().is_empty() || clock.zone(now) != Zone::UTC
}

impl Desk {
    /// Writes a move of the ship's clocks into the record.
    ///
    /// # Errors
    /// In words what does not hold, or why the record cannot be written.
    pub fn move_clocks(&self, told: &Clocks, by: &str, now: Timestamp) -> Result<u64, DeskError> {
        check_clocks(&self.clock()?, told, now).map_err(|e| DeskError::Asked(e.to_string()))?;
        let draft =
            Draft::zone_change(told.from, told.zone.minutes(), hand(by)?, told.order.trim());
        self.write(draft, now)
    }

    /// Takes a move of the clocks back that was written by mistake: its entry stays readable and no longer counts.
    ///
    /// # Errors
    /// No such move stands, no reason or initials, or why the record cannot be written.
    pub fn take_back_move(
        &self,
        seq: u64,
        reason: &str,
        by: &str,
        now: Timestamp,
    ) -> Result<u64, DeskError> {
        if !self.clock()?.changes().iter().any(|change| change.seq == seq) {
            return Err(DeskError::Asked(format!(
                "entry {seq} is no move of the clocks that stands"
            )));
        }
        let reason = reason.trim();
        if reason.is_empty() {
            return Err(DeskError::Asked("write why the move is taken back".to_owned()));
        }
        Ok(self.book()?.withdraw(seq, reason, hand(by)?, now)?.seq)
    }

    /// Writes that a tank is on another duty from now on: one tank is filled at a time, and one serves.
    ///
    /// # Errors
    /// No such tank or duty, or why the record cannot be written.
    pub fn tank_duty(
        &self,
        tank: &str,
        duty: &str,
        by: &str,
        now: Timestamp,
    ) -> Result<u64, DeskError> {
        let setup = self.setup();
        if setup.ship.tank(tank).is_none() {
            let keys: Vec<&str> = setup.ship.tanks.iter().map(|t| t.key.as_str()).collect();
            return Err(DeskError::Asked(format!(
                "no tank \"{tank}\": one of {}",
                keys.join(", ")
            )));
        }
        if !DUTIES.contains(&duty) {
            let words = DUTIES.join(", ");
            return Err(DeskError::Asked(format!("duty \"{duty}\": one of {words}")));
        }
        let draft = Draft::new(Kind::Event, hand(by)?).at(now);
        self.write(draft.detail("tank", tank).detail("duty", duty), now)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_offsets_are_read_as_they_are_written_aboard() {
        for (text, minutes) in [
            ("+10:00", 600),
            ("+10", 600),
            ("UTC+9", 540),
            ("\u{2212}3:30", -210),
            ("-3,5", -210),
            ("+5.75", 345),
            ("UTC", 0),
            ("Z", 0),
        ] {
            assert_eq!(zone(text).map(|z| z.minutes()), Ok(minutes), "{text}");
        }
        for text in ["", "10", "+15", "east", "+10.3"] {
            assert!(zone(text).is_err_and(|why| why.contains("+10:00")), "{text}");
        }
    }

    #[test]
    fn ident_clocks_move_once_and_duties_are_known() {
        let folder = tempfile::tempdir().expect("folder");
        let now: Timestamp = "2026-11-16T04:20:00Z".parse().expect("time");
        let desk = Desk::open(folder.path(), now).expect("opened");
        assert!(!clocks_set(&desk.clock().expect("clock"), now));
        let told = Clocks {
            from: now,
            zone: zone("+10").expect("zone"),
            order: "master".to_owned(),
            stands: false,
        };
        desk.move_clocks(&told, "3o", now).expect("moved");
        let clock = desk.clock().expect("clock");
        assert!(clocks_set(&clock, now) && clock.zone(now).minutes() == 600);
        let again = desk.move_clocks(&told, "3o", now).expect_err("nothing changes");
        assert!(again.to_string().contains("already"), "{again}");
        let old = Clocks {
            from: "2026-09-01T00:00:00Z".parse().expect("time"),
            zone: zone("+9").expect("zone"),
            ..told.clone()
        };
        let far = desk.move_clocks(&old, "3o", now).expect_err("weeks ago");
        assert!(far.to_string().contains("76 days ago"), "{far}");
        desk.move_clocks(&Clocks { stands: true, ..old }, "3o", now).expect("it stands");
        let nobody = Clocks { order: " ".to_owned(), zone: Zone::UTC, from: now, stands: false };
        assert!(desk.move_clocks(&nobody, "3o", now).is_err());
        assert!(desk.tank_duty("port", "filling", "3e", now).is_err(), "no such tank");
    }
}
