//! What somebody aboard tells the record beside readings: the clocks are moved, a tank has another duty.

use jiff::Timestamp;
use logbook::{Draft, Kind, ShipClock, Zone};

use crate::desk::{Desk, DeskError, hand};
use crate::ship::Ship;
use crate::typed::Refusal;

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
}

/// Reads an offset from UTC as it is written aboard: `+10:00`, `+10`, `-3.5`, `UTC+10`, `Z`.
///
/// # Errors
/// What was read and how it is written.
pub fn zone(text: &str) -> Result<Zone, String> {
    let plain = text.trim().replace('\u{2212}', "-");
    let bare = plain.strip_prefix("UTC").or_else(|| plain.strip_prefix("utc")).unwrap_or(&plain);
    let bare = bare.trim();
    let half = |text: &str| {
        let (hours, tenths) = text.split_once(['.', ','])?;
        let minutes = match tenths {
            "0" | "00" => "00",
            "25" => "15",
            "5" | "50" => "30",
            "75" => "45",
            _ => return None,
        };
        Some(format!("{hours}:{minutes}"))
    };
    let text = if bare.is_empty() && !plain.is_empty() { "Z" } else { bare };
    let text = half(text).unwrap_or_else(|| text.to_owned());
    text.parse().map_err(|_| {
        format!(
            "“{plain}”: write hours from UTC with their sign, −14:00 to +14:00, as +10:00 or −3:30"
        )
    })
}

/// Holds a move of the clocks against those they are on.
///
/// # Errors
/// In words: no order, or nothing would change.
pub fn check_clocks(clock: &ShipClock, told: &Clocks) -> Result<(), Refusal> {
    let refuse = |label: &str, message: String| Err(Refusal { label: label.to_owned(), message });
    if told.order.trim().is_empty() || told.order.chars().count() > 40 {
        return refuse("By whose order", "Write by whose order, as master: 1 to 40 signs.".into());
    }
    let never_set = clock.changes().is_empty() && told.zone == Zone::UTC;
    if clock.zone(told.from) == told.zone && !never_set {
        return refuse("Ship’s time", format!("Her clocks are on {} then already.", told.zone));
    }
    Ok(())
}

/// Whether anybody has ever said what the ship's clocks are on; until then they are taken to be on UTC.
#[must_use]
pub fn clocks_set(clock: &ShipClock, now: Timestamp) -> bool {
    !clock.changes().is_empty() || clock.zone(now) != Zone::UTC
}

fn known<'s>(ship: &'s Ship, key: &str) -> Result<&'s str, DeskError> {
    ship.tank(key).map(|tank| tank.name.as_str()).ok_or_else(|| {
        let keys: Vec<&str> = ship.tanks.iter().map(|tank| tank.key.as_str()).collect();
        DeskError::Asked(format!("no tank \"{key}\": one of {}", keys.join(", ")))
    })
}

impl Desk {
    /// Writes a move of the ship's clocks into the record.
    ///
    /// # Errors
    /// In words what does not hold, or why the record cannot be written.
    pub fn move_clocks(&self, told: &Clocks, by: &str, now: Timestamp) -> Result<u64, DeskError> {
        check_clocks(&self.clock()?, told).map_err(|e| DeskError::Asked(e.message))?;
        let draft =
            Draft::zone_change(told.from, told.zone.minutes(), hand(by)?, told.order.trim());
        self.write(draft, now)
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
        known(&self.setup().ship, tank)?;
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
        let told =
            Clocks { from: now, zone: zone("+10").expect("zone"), order: "master".to_owned() };
        desk.move_clocks(&told, "3o", now).expect("moved");
        let clock = desk.clock().expect("clock");
        assert!(clocks_set(&clock, now) && clock.zone(now).minutes() == 600);
        let again = desk.move_clocks(&told, "3o", now).expect_err("nothing changes");
        assert!(again.to_string().contains("already"), "{again}");
        let nobody = Clocks { order: " ".to_owned(), zone: Zone::UTC, from: now };
        assert!(desk.move_clocks(&nobody, "3o", now).is_err());
        assert!(desk.tank_duty("port", "filling", "3e", now).is_err(), "no such tank");
    }
}
