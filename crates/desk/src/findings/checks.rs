//! The checks an engineer can make: how each is done, what to mind, and whether the plant as it stands allows it.

use ::findings::leak::{ShellState, leak_kg_h};
use ::findings::{Cause, Instrument};
use jiff::Timestamp;
use logbook::Draft;

use crate::desk::{Desk, DeskError, hand};
use crate::history;
use crate::round::Round;
use crate::written::written;

/// One check: common practice, the maker's manual comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Check {
    /// The instrument.
    pub(crate) instrument: Instrument,
    /// Name of the reading in the record.
    pub reading: &'static str,
    /// As a heading.
    pub title: &'static str,
    /// How it is done.
    pub how: &'static str,
    /// What to mind.
    pub mind: &'static str,
    /// Only with the plant stopped, cold and drained.
    pub stopped: bool,
}

const fn check(
    instrument: Instrument,
    reading: &'static str,
    title: &'static str,
    how: &'static str,
    mind: &'static str,
) -> Check {
    Check { instrument, reading, title, how, mind, stopped: false }
}

const HOT: &str = "The pipe is hot: gloves. Write the figure down with the round, or close to one.";
const SECOND: &str =
    "A good thermometer in the same pocket, oil in it, five minutes to settle; read both at once.";

/// Every check that can be entered, in the order of the form.
pub const CHECKS: &[Check] = &[
    check(
        Instrument::VentTemp,
        "vent_temp_c",
        "Vent pipe",
        "Contact thermometer on the air suction pipe between shell and ejector, lagging lifted, close to the shell.",
        HOT,
    ),
    check(
        Instrument::SecondVapour,
        "second_vapour_temp_c",
        "Vapour, second thermometer",
        SECOND,
        HOT,
    ),
    check(
        Instrument::SecondJacketIn,
        "second_jacket_in_c",
        "Jacket water in, second thermometer",
        SECOND,
        HOT,
    ),
    check(
        Instrument::SecondJacketOut,
        "second_jacket_out_c",
        "Jacket water out, second thermometer",
        SECOND,
        HOT,
    ),
    check(
        Instrument::SecondSeaTemp,
        "second_sea_temp_c",
        "Sea water in, second thermometer",
        SECOND,
        "Never open a pocket that is not closed at its end.",
    ),
    check(
        Instrument::SecondSeaOut,
        "second_sea_out_c",
        "Sea water out, second thermometer",
        SECOND,
        "Never open a pocket that is not closed at its end.",
    ),
    check(
        Instrument::SecondSalt,
        "second_product_salt_mg_kg",
        "Salinity, second instrument or titration",
        "A sample from the distillate cock, cooled, by hand meter or titration with silver nitrate; chloride times 1.8 is salt. Read the salinometer at the same minute.",
        "A meter is set against a known sample first. Silver nitrate stains and burns: gloves, goggles.",
    ),
    check(
        Instrument::BrineTemp,
        "brine_temp_c",
        "Brine",
        "Pocket in the brine line, or contact thermometer on it.",
        HOT,
    ),
    check(
        Instrument::BrineSalinity,
        "brine_salinity_g_kg",
        "Brine strength",
        "A sample from the vacuum sampling pot, cooled, by hydrometer or refractometer.",
        "Not at the overboard: motive water dilutes it there. No cock of the shell is opened to the room while it is under vacuum.",
    ),
    check(
        Instrument::ShellAbsolute,
        "shell_absolute_mbar",
        "Shell by absolute gauge",
        "An absolute gauge on a spare gauge cock, its joint made before the cock is opened.",
        "A cock opened to the room lets air in: watch the vacuum.",
    ),
    check(
        Instrument::JacketMeter,
        "jacket_flow_kg_s",
        "Jacket flow, clamp-on meter",
        "Clamp-on meter on a straight run of the pipe to the evaporator, ten diameters before it and five behind. 1 m³/h is 0.27 kg/s at 80 °C.",
        HOT,
    ),
    check(
        Instrument::SeaMeter,
        "condenser_flow_kg_s",
        "Sea flow, clamp-on meter",
        "Clamp-on meter on a straight run of the pipe to the condenser, throttle as it was. 1 m³/h is 0.284 kg/s.",
        "Leave throttle and ejector supply as they are while the heater is hot.",
    ),
    check(
        Instrument::ProductDip,
        "product_dip_t_day",
        "Output by dipping the tank",
        "Dip the filling tank twice some hours apart in a calm, nothing drawn from it meanwhile; tonnes over hours, times 24.",
        "From deck by the sounding pipe: nobody enters a tank for it.",
    ),
    Check {
        stopped: true,
        ..check(
            Instrument::LeakDown,
            "leak_down_kg_h",
            "Leak-down test",
            "Stop, cool, drain dry. Shut feed, drain, breaker, distillate and sample cocks. Ejector to best vacuum, shut its suctions, pump off. Read every 5 minutes for 30: rise in mbar a minute, times the shell's volume in m³, times 0.07, is kg/h.",
            "Only of a cold, stopped and drained plant: while it is hot, flashing counts as air. Never compressed air in the shell.",
        )
    },
];

impl Check {
    /// The procedure that leads through it, by its key; none where it needs none.
    #[must_use]
    pub fn procedure(&self) -> Option<&'static str> {
        (self.instrument == Instrument::LeakDown).then_some("leak-test")
    }
}

/// Names of the readings that look for a cause, in the order they are usually made (common practice): what takes minutes of a running
/// plant comes before what stops it.
#[must_use]
pub fn looking_for(cause: Cause) -> Vec<&'static str> {
    use Instrument as I;
    let looks: &[I] = match cause {
        Cause::AirLeak => &[I::VentTemp, I::LeakDown],
        Cause::EjectorWear | Cause::MotivePressure | Cause::Overboard => {
            &[I::VentTemp, I::ShellAbsolute]
        }
        Cause::CondenserFouling => &[I::SecondSeaOut, I::VentTemp],
        Cause::SeaFlow => &[I::SecondSeaOut, I::SeaMeter],
        Cause::Scale => &[I::SecondJacketOut, I::BrineTemp],
        Cause::JacketFlow => &[I::SecondJacketOut, I::JacketMeter],
        Cause::FeedLow | Cause::FeedHigh => &[I::BrineSalinity, I::BrineTemp],
        Cause::CarryOver | Cause::CondenserLeak => &[I::SecondSalt],
        Cause::HeaterLeak => &[],
        Cause::Instrument(instrument) => {
            return ::findings::second(instrument)
                .and_then(of)
                .map(|c| c.reading)
                .into_iter()
                .collect();
        }
    };
    looks.iter().filter_map(|i| of(*i)).map(|check| check.reading).collect()
}

/// Whether only a check reads it: the rounds of the watch have no place for it.
pub(super) fn never_routine(instrument: Instrument) -> bool {
    use Instrument as I;
    of(instrument).is_some() && !matches!(instrument, I::BrineTemp | I::BrineSalinity)
}

/// The check with an instrument.
pub(crate) fn of(instrument: Instrument) -> Option<&'static Check> {
    CHECKS.iter().find(|check| check.instrument == instrument)
}

/// The air leak of a leak-down test, kg/h, from absolute pressures in mbar, the minutes between, the shell's temperature in °C and its
/// volume in m³.
///
/// # Errors
/// In words which figure cannot be, and its range.
pub fn leak_down_kg_h(
    (start_mbar, end_mbar): (f64, f64),
    minutes: f64,
    shell_c: f64,
    volume_m3: f64,
) -> Result<f64, String> {
    for (name, value, (low, high)) in [
        ("Pressure at the start", start_mbar, (1.0, 1100.0)),
        ("Pressure at the end", end_mbar, (1.0, 1100.0)),
        ("Minutes", minutes, (1.0, 1440.0)),
        ("Shell temperature", shell_c, (-10.0, 60.0)),
        ("Shell volume", volume_m3, (0.01, 100.0)),
    ] {
        if !(low..=high).contains(&value) {
            return Err(format!("{name} {value}: write {low} to {high}"));
        }
    }
    let state = |mbar: f64, at_s: f64| ShellState {
        pressure_pa: 100.0 * mbar,
        temp_k: shell_c + 273.15,
        at_s,
    };
    let leak = leak_kg_h(volume_m3, state(start_mbar, 0.0), state(end_mbar, 60.0 * minutes));
    match leak {
        Some(leak) if leak > 0.0 => Ok(leak),
        _ => Err(format!(
            "the pressure did not rise ({start_mbar} to {end_mbar} mbar): read again, start before end"
        )),
    }
}

/// Name of the leak-down test's reading.
const LEAK_DOWN: &str = "leak_down_kg_h";
/// A plant that was read running so lately is running still unless its stand was written down, seconds.
const RAN_LATELY_S: i64 = 6 * 3600;
/// Rounds and checks looked through for it.
const LOOKED_BACK: usize = 12;

impl Desk {
    /// Writes the result of a check down as a reading of its own moment: it goes with the nearest round of the running plant.
    ///
    /// # Errors
    /// No such check, not a figure of it or outside what can be, a time ahead, no initials, or why the record cannot be written.
    pub fn write_check(
        &self,
        reading: &str,
        (text, unit): (&str, &str),
        at: Timestamp,
        by: &str,
        now: Timestamp,
    ) -> Result<u64, DeskError> {
        if !CHECKS.iter().any(|check| check.reading == reading) {
            let names: Vec<&str> = CHECKS.iter().map(|check| check.reading).collect();
            return Err(DeskError::Asked(format!(
                "{reading}: no check; one of {}",
                names.join(", ")
            )));
        }
        if at > now {
            return Err(DeskError::Asked(
                "the check's time lies ahead of the clock: mend it".into(),
            ));
        }
        if reading == LEAK_DOWN {
            self.stands_at(at)?;
        }
        let setup = self.setup();
        let value = written(&setup.ship, reading, text, unit, quantity::Style::Either)
            .map_err(|refusal| DeskError::Asked(refusal.to_string()))?;
        self.write(Draft::reading(at, hand(by)?, vec![value.value]), now)
    }

    /// Refuses a leak-down test of a plant that was running: hot, with the ejector drawing, its pressure tells nothing.
    fn stands_at(&self, at: Timestamp) -> Result<(), DeskError> {
        // Checks stand among the rounds: the newest that tells how the plant was.
        let rounds = self.rounds(at, LOOKED_BACK)?;
        let told = rounds.into_iter().rev().find(|round| round.running() || round.idle());
        let round = told.filter(Round::running);
        let lately = round.filter(|round| at.as_second() - round.at.as_second() < RAN_LATELY_S);
        let Some(round) = lately else { return Ok(()) };
        let told = history::plant_state(&self.reader(), at)?;
        if told.is_some_and(|(on, since)| !on && since >= round.at) {
            return Ok(());
        }
        let ran = self.clock()?.local(round.at).strftime("%-d %b %H:%M").to_string();
        Err(DeskError::Asked(format!(
            "the plant was running at {ran}: a leak-down is read of a cold, stopped and drained plant only. Give the time of the test, or first write a round as not taken: plant shut down"
        )))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_every_check_has_a_reading_of_its_own() {
        for check in CHECKS {
            let reading = crate::field::reading(check.reading).expect(check.reading);
            assert!(!reading.unit.is_empty());
            assert!(!check.how.is_empty() && !check.mind.is_empty());
        }
        let mut keys: Vec<&str> = CHECKS.iter().map(|c| c.reading).collect();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), CHECKS.len());
    }
}
