//! What may be wrong: the causes a finding can name, their families and their words.

use std::fmt;

use crate::instrument::Instrument;

/// A cause a finding can name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Cause {
    /// Scale on the heated side of the evaporator.
    Scale,
    /// Deposit on the sea side of the condenser.
    CondenserFouling,
    /// Air leaking into the shell.
    AirLeak,
    /// Worn or fouled nozzle of the ejector.
    EjectorWear,
    /// Less jacket water than the by-pass position means.
    JacketFlow,
    /// Less sea water through the condenser than the valve marks mean.
    SeaFlow,
    /// Less feed than its mark means.
    FeedLow,
    /// More feed than its mark means.
    FeedHigh,
    /// Brine carried over with the vapour.
    CarryOver,
    /// Sea water leaking into the distillate in the condenser.
    CondenserLeak,
    /// Low pressure before the ejector's nozzle.
    MotivePressure,
    /// High pressure behind the ejector: an overboard valve not full open.
    Overboard,
    /// Jacket water leaking in the evaporator, told by the expansion tank alone.
    HeaterLeak,
    /// An instrument that reads wrong.
    Instrument(Instrument),
}

/// The process causes, in the order of the table.
pub const PROCESS: [Cause; 12] = [
    Cause::Scale,
    Cause::CondenserFouling,
    Cause::AirLeak,
    Cause::EjectorWear,
    Cause::JacketFlow,
    Cause::SeaFlow,
    Cause::FeedLow,
    Cause::FeedHigh,
    Cause::CarryOver,
    Cause::CondenserLeak,
    Cause::MotivePressure,
    Cause::Overboard,
];

/// Causes that make nearly the same picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Family {
    /// Vacuum side: condenser, air, ejector.
    Vacuum,
    /// Heat side: scale, jacket flow.
    Heat,
    /// Salt in the distillate: carry-over, condenser leak, ejector, feed high, the salinity meter.
    Salt,
}

impl Family {
    /// Every family.
    pub const ALL: [Family; 3] = [Family::Vacuum, Family::Heat, Family::Salt];

    /// Its name in the answer.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Family::Vacuum => "vacuum",
            Family::Heat => "heat",
            Family::Salt => "salt",
        }
    }

    /// As it is said in a sentence.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Family::Vacuum => "the vacuum side (condenser, air or ejector)",
            Family::Heat => "the heat side (scale or jacket flow)",
            Family::Salt => "salt (carry-over, condenser leak, ejector, feed or the salinometer)",
        }
    }

    /// Whether a cause belongs to it.
    #[must_use]
    pub fn holds(self, cause: Cause) -> bool {
        match self {
            Family::Vacuum => {
                matches!(cause, Cause::CondenserFouling | Cause::AirLeak | Cause::EjectorWear)
            }
            Family::Heat => matches!(cause, Cause::Scale | Cause::JacketFlow),
            Family::Salt => matches!(
                cause,
                Cause::CarryOver
                    | Cause::CondenserLeak
                    | Cause::EjectorWear
                    | Cause::FeedHigh
                    | Cause::Instrument(Instrument::ProductSalt)
            ),
        }
    }
}

impl Cause {
    /// Its name in the answer: `scale`, `air_leak`, `instrument:jacket_out_c`.
    #[must_use]
    pub fn key(self) -> String {
        match self {
            Cause::Scale => "scale".into(),
            Cause::CondenserFouling => "condenser_fouling".into(),
            Cause::AirLeak => "air_leak".into(),
            Cause::EjectorWear => "ejector_wear".into(),
            Cause::JacketFlow => "jacket_flow".into(),
            Cause::SeaFlow => "sea_flow".into(),
            Cause::FeedLow => "feed_low".into(),
            Cause::FeedHigh => "feed_high".into(),
            Cause::CarryOver => "carry_over".into(),
            Cause::CondenserLeak => "condenser_leak".into(),
            Cause::MotivePressure => "motive_pressure".into(),
            Cause::Overboard => "overboard".into(),
            Cause::HeaterLeak => "heater_leak".into(),
            Cause::Instrument(i) => format!("instrument:{}", i.key()),
        }
    }

    /// As the start of a sentence: "Scale on the evaporator".
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Cause::Scale => "scale on the evaporator".into(),
            Cause::CondenserFouling => "a fouled condenser".into(),
            Cause::AirLeak => "an air leak".into(),
            Cause::EjectorWear => "a worn ejector".into(),
            Cause::JacketFlow => "low jacket flow".into(),
            Cause::SeaFlow => "low sea-water flow through the condenser".into(),
            Cause::FeedLow => "low feed".into(),
            Cause::FeedHigh => "high feed".into(),
            Cause::CarryOver => "carry-over past the demister".into(),
            Cause::CondenserLeak => "a leaking condenser".into(),
            Cause::MotivePressure => "low ejector pump pressure".into(),
            Cause::Overboard => "high pressure behind the ejector (overboard not full open)".into(),
            Cause::HeaterLeak => "a leaking heater".into(),
            Cause::Instrument(i) => format!("a wrong reading of {}", i.words()),
        }
    }

    /// The unit its value is given in; empty for a factor.
    #[must_use]
    pub fn unit(self) -> &'static str {
        match self {
            Cause::Scale | Cause::CondenserFouling => "m2K_W",
            Cause::CondenserLeak => "kg_h",
            Cause::MotivePressure | Cause::Overboard => "bar_g",
            Cause::HeaterLeak => "cm_day",
            Cause::Instrument(i) => i.error_unit(),
            _ => "",
        }
    }
}

impl Cause {
    /// A value of it with its unit as it is read aboard.
    #[must_use]
    pub fn told(self, value: f64) -> String {
        match self.unit() {
            "m2K_W" => format!("{:.2}·10⁻⁴ m²K/W", value * 1.0e4),
            "kg_h" => format!("{value:.2} kg/h"),
            "bar_g" => format!("{value:.2} bar").replace('-', "−"),
            "share" => format!("{:+.0} %", 100.0 * value).replace('-', "−"),
            "ln" => format!("× {:.2}", value.exp()),
            // Of many times a second decimal says nothing.
            "" if value.abs() >= 2.0 => format!("× {value:.1}"),
            "" => format!("× {value:.2}"),
            "cm_day" => format!("{value:.1} cm/day"),
            unit => format!("{value:+.1} {}", unit.replace("g_kg", "g/kg")).replace('-', "−"),
        }
    }

    /// What its size is counted by, where that is a factor: "times what a tight plant draws in"; empty for what has a unit.
    #[must_use]
    pub fn counted_by(self) -> &'static str {
        match self {
            Cause::AirLeak => "times what a tight plant draws in",
            Cause::EjectorWear => "of what it draws as new",
            Cause::JacketFlow | Cause::SeaFlow | Cause::FeedLow | Cause::FeedHigh => {
                "of what is set"
            }
            Cause::CarryOver => "times what is usual",
            Cause::Instrument(i) if i.error_unit() == "ln" => "of the true figure",
            _ => "",
        }
    }

    /// Whether it is an instrument that neither counts the output nor reads what the expectation is worked out from.
    #[must_use]
    pub fn costs_nothing(self) -> bool {
        use Instrument as I;
        match self {
            Cause::Instrument(i) => !matches!(i, I::Product | I::JacketIn | I::SeaTemp),
            _ => false,
        }
    }

    /// Its limit with its unit: an instrument may be off to either side.
    #[must_use]
    pub fn told_limit(self, limit: f64) -> String {
        match (self, self.unit()) {
            (Cause::Instrument(_), unit) if unit != "ln" => {
                format!("±{}", self.told(limit.abs()).trim_start_matches('+'))
            }
            (Cause::Instrument(_), _) => format!("{} or ÷ {:.2}", self.told(limit), limit.exp()),
            _ => self.told(limit),
        }
    }

    /// Whether a value lies where the cause is none: an ejector as new or better, flows as set or more, air and carry-over as rated or
    /// less. Of deposits, leaks, pressures and instruments the value itself says it.
    #[must_use]
    pub fn on_the_sound_side(self, value: f64) -> bool {
        match self {
            Cause::EjectorWear | Cause::JacketFlow | Cause::SeaFlow | Cause::FeedLow => {
                value >= 0.995
            }
            Cause::FeedHigh | Cause::CarryOver | Cause::AirLeak => value <= 1.005,
            _ => false,
        }
    }

    /// The cause of this key.
    #[must_use]
    pub fn of_key(key: &str) -> Option<Cause> {
        let instruments = Instrument::ALL.iter().map(|i| Cause::Instrument(*i));
        PROCESS
            .into_iter()
            .chain([Cause::HeaterLeak])
            .chain(instruments)
            .find(|cause| cause.key() == key)
    }
}

impl fmt::Display for Cause {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.key())
    }
}
