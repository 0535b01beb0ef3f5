//! The sixty days behind the demonstration ship: legs, sea, load and clock, all invented.

/// What the ship is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doing {
    /// Full away on passage, water may be made.
    AtSea,
    /// Within the limit, in port or at anchor: plant shut down.
    ShutDown,
}

/// One stretch of the voyage.
#[derive(Debug, Clone, Copy)]
pub struct Leg {
    /// Begins this many days before the demonstration's present.
    pub from_days_ago: f64,
    /// What she is doing.
    pub doing: Doing,
    /// As the heading line says it.
    pub name: &'static str,
    /// Main engine load, % of rated.
    pub load_percent: f64,
    /// Sea temperature at the beginning and at the end of the leg, °C, and halfway.
    pub sea_c: (f64, f64, f64),
    /// Ship's zone when the leg begins and when it ends, hours east of UTC.
    pub zone_h: (i8, i8),
}

/// Days the demonstration looks back.
pub const DAYS: f64 = 60.0;

/// The legs, oldest first. Sea temperatures are a plausible run between a temperate port at either end and the tropics.
pub const LEGS: &[Leg] = &[
    Leg {
        from_days_ago: 60.0,
        doing: Doing::AtSea,
        name: "Yokohama to Newcastle",
        load_percent: 72.0,
        sea_c: (25.5, 29.2, 19.4),
        zone_h: (9, 11),
    },
    Leg {
        from_days_ago: 47.0,
        doing: Doing::ShutDown,
        name: "loading at Newcastle",
        load_percent: 0.0,
        sea_c: (19.0, 19.0, 19.0),
        zone_h: (11, 11),
    },
    Leg {
        from_days_ago: 42.5,
        doing: Doing::AtSea,
        name: "Newcastle to Yokohama",
        load_percent: 79.0,
        sea_c: (19.2, 29.4, 23.6),
        zone_h: (11, 9),
    },
    Leg {
        from_days_ago: 29.0,
        doing: Doing::ShutDown,
        name: "discharging at Yokohama",
        load_percent: 0.0,
        sea_c: (22.5, 22.5, 22.5),
        zone_h: (9, 9),
    },
    Leg {
        from_days_ago: 25.0,
        doing: Doing::AtSea,
        name: "Yokohama to Newcastle",
        load_percent: 71.0,
        sea_c: (22.4, 29.5, 20.2),
        zone_h: (9, 11),
    },
    Leg {
        from_days_ago: 12.0,
        doing: Doing::ShutDown,
        name: "loading at Newcastle",
        load_percent: 0.0,
        sea_c: (20.5, 20.5, 20.5),
        zone_h: (11, 11),
    },
    Leg {
        from_days_ago: 7.5,
        doing: Doing::AtSea,
        name: "Newcastle to Yokohama",
        load_percent: 78.0,
        sea_c: (20.6, 29.4, 19.6),
        zone_h: (11, 9),
    },
];

/// Length of a sea passage between the two ports, days; the last leg is not finished yet.
const PASSAGE_DAYS: f64 = 13.3;
/// The plant is started this long after full away and shut down as long before the end, days.
const INSIDE_LIMIT_DAYS: f64 = 0.35;

/// State of the ship at one instant.
#[derive(Debug, Clone, Copy)]
pub struct Moment {
    /// The leg she is on.
    pub leg: &'static Leg,
    /// Index of the leg.
    pub leg_index: usize,
    /// Days since the leg began.
    pub days_into: f64,
    /// Whether the plant is making water.
    pub making: bool,
    /// Sea temperature, °C.
    pub sea_c: f64,
}

/// The ship so many days before the demonstration's present.
#[must_use]
pub fn moment(days_ago: f64) -> Moment {
    let leg_index = LEGS.iter().rposition(|leg| leg.from_days_ago >= days_ago).unwrap_or(0);
    let leg = &LEGS[leg_index];
    let end =
        LEGS.get(leg_index + 1).map_or(leg.from_days_ago - PASSAGE_DAYS, |next| next.from_days_ago);
    let length = leg.from_days_ago - end;
    let days_into = leg.from_days_ago - days_ago;
    let making = leg.doing == Doing::AtSea
        && days_into > INSIDE_LIMIT_DAYS
        && length - days_into > INSIDE_LIMIT_DAYS;
    let x = (days_into / length).clamp(0.0, 1.0);
    let (start, middle, finish) = leg.sea_c;
    // Warm in the middle: flat through the tropics, falling off towards either port.
    let ends = start + (finish - start) * x;
    let bulge = (std::f64::consts::PI * x).sin().max(0.0).powf(0.55);
    let sea_c = ends + (middle - (start + finish) / 2.0) * bulge;
    Moment { leg, leg_index, days_into, making, sea_c }
}

/// Fresh water to rinse the holds for the next cargo, t/day: from the third day of a ballast leg, for three days.
#[must_use]
pub fn hold_wash_t_day(moment: &Moment) -> f64 {
    let in_ballast = moment.leg.doing == Doing::AtSea && moment.leg_index.is_multiple_of(4);
    if in_ballast && (3.0..6.0).contains(&moment.days_into) { 50.0 } else { 0.0 }
}

/// Most fresh water wanted in the two main tanks, t: plenty before the holds are rinsed, little when she is to load.
#[must_use]
pub fn wanted_aboard_t(moment: &Moment) -> f64 {
    let in_ballast = moment.leg_index.is_multiple_of(4);
    match (in_ballast, moment.days_into < 6.0) {
        (true, true) => 280.0,
        (true, false) => 110.0,
        (false, _) => 230.0,
    }
}

/// Zone changes as (days ago, hours east of UTC): one hour at a time, spread over the leg, by night.
#[must_use]
pub fn zone_changes() -> Vec<(f64, i8)> {
    let mut changes = planned_zone_changes();
    changes.retain(|(days_ago, _)| *days_ago > 0.0);
    changes
}

/// The same with those that are still to come, which are negative days ago.
#[must_use]
pub fn planned_zone_changes() -> Vec<(f64, i8)> {
    let mut changes = vec![(DAYS + 0.2, LEGS[0].zone_h.0)];
    for (i, leg) in LEGS.iter().enumerate() {
        let end = LEGS.get(i + 1).map_or(leg.from_days_ago - PASSAGE_DAYS, |n| n.from_days_ago);
        let (from, to) = leg.zone_h;
        let steps = (to - from).abs();
        for k in 1..=steps {
            let share = f64::from(k) / f64::from(steps + 1);
            let days_ago = (leg.from_days_ago + (end - leg.from_days_ago) * share).floor() + 0.5;
            changes.push((days_ago, from + (to - from).signum() * k));
        }
    }
    changes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_legs_run_from_old_to_new_without_a_gap() {
        assert!(LEGS.windows(2).all(|w| w[0].from_days_ago > w[1].from_days_ago));
        assert!(LEGS[0].from_days_ago >= DAYS);
    }

    #[test]
    fn ident_the_sea_stays_within_what_seas_do() {
        for i in 0..6000 {
            let m = moment(f64::from(i) / 100.0);
            assert!(
                (10.0..32.0).contains(&m.sea_c),
                "{} days ago {} °C",
                f64::from(i) / 100.0,
                m.sea_c
            );
        }
    }

    #[test]
    fn ident_the_clock_moves_an_hour_at_a_time() {
        for pair in zone_changes().windows(2) {
            assert!((pair[0].1 - pair[1].1).abs() <= 1, "{pair:?}");
            assert!(pair[0].0 > pair[1].0, "{pair:?}");
        }
    }
}
