//! Every reading of the watch, defined once: form field, flag, help, import column and report label come from here.

mod table;

pub use table::READINGS;

/// Where in the round a reading is taken; the order of the entry page and of the printed sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Group {
    /// Main engine and the day's atmosphere.
    Engine,
    /// Ejector pump, nozzle and back pressure.
    Ejector,
    /// The shell: vacuum and vapour.
    Shell,
    /// Jacket water through the evaporator.
    Jacket,
    /// Sea water through the condenser.
    Sea,
    /// Feed and brine.
    Feed,
    /// Distillate: meter, salinity.
    Distillate,
    /// Dosing and the engine's expansion tank.
    Dosing,
    /// Weather and remarks.
    Around,
}

impl Group {
    /// The groups in the order of the round.
    pub const ALL: [Group; 9] = [
        Group::Engine,
        Group::Ejector,
        Group::Shell,
        Group::Jacket,
        Group::Sea,
        Group::Feed,
        Group::Distillate,
        Group::Dosing,
        Group::Around,
    ];

    /// Heading over the group.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Group::Engine => "Engine and barometer",
            Group::Ejector => "Ejector",
            Group::Shell => "Shell",
            Group::Jacket => "Jacket water",
            Group::Sea => "Sea water",
            Group::Feed => "Feed and brine",
            Group::Distillate => "Distillate",
            Group::Dosing => "Dosing and expansion tank",
            Group::Around => "Weather",
        }
    }
}

/// What the plant model makes of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// A condition the plant works under; the key of the operating point it sets.
    Condition(&'static str),
    /// A valve or by-pass position; the ship's table turns it into the flow of this key.
    Position(&'static str),
    /// A volume flow; the density of the water makes it the flow of this key.
    Volume(&'static str),
    /// What the plant answers; the key of the model's result it stands beside.
    Answer(&'static str),
    /// A running counter: two of them and the true hours between make a rate.
    Counter,
    /// Kept and shown, not used by the plant model.
    Kept,
    /// A word chosen from a list.
    Word(&'static [&'static str]),
}

/// How often a reading is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Often {
    /// Every watch or round.
    Always,
    /// Once a day or when the instrument is there.
    Daily,
    /// Only when a check asks for it.
    Asked,
    /// Not on the entry page: from files and instruments.
    File,
}

/// One reading of the watch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Name in the record and in files, unit included.
    pub key: &'static str,
    /// What the engineer calls it.
    pub label: &'static str,
    /// Where it is read off.
    pub place: &'static str,
    /// Unit code it is shown and expected in (`quantity` codes); empty for words.
    pub unit: &'static str,
    /// Other unit codes that may be typed instead.
    pub also: &'static [&'static str],
    /// Part of the round.
    pub group: Group,
    /// What the model makes of it.
    pub role: Role,
    /// How often it is wanted.
    pub often: Often,
    /// Impossible outside: refused. In `unit`.
    pub hard: (f64, f64),
    /// Why nothing outside `hard` can be.
    pub why: &'static str,
    /// Unusual outside: asked about, may be kept with a word why. In `unit`. Common practice.
    pub usual: (f64, f64),
    /// What a press of ± changes. In `unit`.
    pub step: f64,
    /// Decimals an instrument of this kind can give.
    pub digits: u8,
    /// One sentence for the help.
    pub help: &'static str,
}

/// The reading of this name.
#[must_use]
pub fn reading(key: &str) -> Option<&'static Reading> {
    READINGS.iter().find(|r| r.key == key)
}

/// A name without the unit at its end: `jacket_in` of `jacket_in_c`.
#[must_use]
pub fn bare(key: &str) -> &str {
    const ENDS: [&str; 14] = [
        "_bar_g", "_mg_kg", "_g_kg", "_kg_s", "_kg_h", "_m3_h", "_t_day", "_l_day", "_percent",
        "_hpa", "_mbar", "_cm", "_m3", "_c",
    ];
    ENDS.iter().find_map(|end| key.strip_suffix(end)).unwrap_or(key)
}

/// The known name most like `typed`, for "did you mean".
#[must_use]
pub fn nearest(typed: &str) -> Option<&'static str> {
    READINGS
        .iter()
        .map(|r| (strsim::jaro_winkler(r.key, typed), r.key))
        .filter(|(score, _)| *score > 0.75)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, key)| key)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_every_number_has_a_range_that_holds_its_usual_range() {
        for r in READINGS.iter().filter(|r| !matches!(r.role, Role::Word(_))) {
            assert!(r.hard.0 < r.hard.1, "{}", r.key);
            assert!(r.hard.0 <= r.usual.0 && r.usual.1 <= r.hard.1, "{}", r.key);
            assert!(!r.why.is_empty() && !r.unit.is_empty() && !r.help.is_empty(), "{}", r.key);
        }
    }

    #[test]
    fn ident_names_are_unique() {
        let mut keys: Vec<_> = READINGS.iter().map(|r| r.key).collect();
        keys.sort_unstable();
        let before = keys.len();
        keys.dedup();
        assert_eq!(before, keys.len());
    }

    #[test]
    fn ident_a_slip_of_the_pen_finds_its_name() {
        assert_eq!(nearest("jacket_in"), Some("jacket_in_c"));
        assert_eq!(nearest("sea_tmp_c"), Some("sea_temp_c"));
        assert_eq!(nearest("zzz"), None);
    }
}
