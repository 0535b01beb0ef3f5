//! The ship's names, units and ranges, as the importer asks for them: what a heading means, and in which unit.

use logbook::Value;
use logbook::import::{Catalogue, DATE, Decimal, Meant, TIME, WHO};
use quantity::{ReadError, Style, Unit, read_unit};

use crate::desk::DeskError;
use crate::field::{self, Role};
use crate::round::{SOUNDING, WHOLE};
use crate::ship::Ship;
use crate::typed;
use crate::written::written;

/// What the trade also calls a reading, in lower case without blanks.
const ALIASES: [(&str, &str); 25] = [
    ("meload", "engine_load_percent"),
    ("load", "engine_load_percent"),
    ("jacketinlet", "jacket_in_c"),
    ("jacketinlettemp", "jacket_in_c"),
    ("htin", "jacket_in_c"),
    ("htwaterin", "jacket_in_c"),
    ("jacketoutlet", "jacket_out_c"),
    ("jacketoutlettemp", "jacket_out_c"),
    ("htout", "jacket_out_c"),
    ("htwaterout", "jacket_out_c"),
    ("swin", "sea_temp_c"),
    ("seain", "sea_temp_c"),
    ("sea", "sea_temp_c"),
    ("seaout", "sea_out_c"),
    ("barometer", "barometer_hpa"),
    ("swtemp", "sea_temp_c"),
    ("seawatertemp", "sea_temp_c"),
    ("swout", "sea_out_c"),
    ("condensatetemp", "distillate_temp_c"),
    ("distillatecounter", "distillate_meter_m3"),
    ("freshwatermeter", "distillate_meter_m3"),
    ("vac", "shell_gauge_bar_g"),
    ("shell", "shell_gauge_bar_g"),
    ("shellpressure", "shell_gauge_bar_g"),
    ("shellvacuum", "shell_gauge_bar_g"),
];

/// Words at the end of a heading that may be its unit: "bar_g", "deg C".
const MOST_UNIT_WORDS: usize = 3;

/// The catalogue of one ship.
pub(super) struct Names<'a> {
    pub(super) ship: &'a Ship,
}

/// A reading or sounding that a heading may mean.
struct Found {
    name: String,
    label: String,
    /// Units it may be written in, its own first; none for words.
    units: Vec<Unit>,
}

fn folded(text: &str) -> String {
    text.to_lowercase().chars().filter(|c| c.is_alphanumeric()).collect()
}

impl Names<'_> {
    /// The readings and soundings a name without its unit may mean.
    fn found(&self, label: &str) -> Vec<Found> {
        let wanted = folded(label);
        if wanted.is_empty() {
            return Vec::new();
        }
        if let Some(exact) = field::READINGS.iter().find(|r| folded(r.key) == wanted) {
            return vec![Found::of(exact)];
        }
        let alias = ALIASES.iter().find(|(alias, _)| *alias == wanted).map(|(_, key)| *key);
        let named = |r: &&field::Reading| {
            folded(r.label) == wanted
                || folded(field::bare(r.key)) == wanted
                || Some(r.key) == alias
        };
        let readings: Vec<Found> = field::READINGS.iter().filter(named).map(Found::of).collect();
        if !readings.is_empty() {
            return readings;
        }
        let tanks = self.ship.tanks.iter().map(|t| Found {
            name: format!("{SOUNDING}{}", t.key),
            label: format!("Sounding, {}", t.name),
            units: vec![Unit::Cm, Unit::M],
        });
        tanks.filter(|t| [&t.name, &t.label].map(|s| folded(s)).contains(&wanted)).collect()
    }

    /// One of these in this unit; none found is an unknown `label`.
    fn meant(label: &str, found: Vec<Found>, unit: &str) -> Meant {
        if found.is_empty() {
            let nearest = field::nearest(&label.to_lowercase().replace(' ', "_"));
            return Meant::Unknown { nearest: nearest.map(str::to_owned) };
        }
        if let [one] = &found[..]
            && (unit.is_empty() || one.units.is_empty())
        {
            let own = one.units.first().map_or(String::new(), |u| u.code().to_owned());
            return Meant::Reading { name: one.name.clone(), unit: own };
        }
        if let Some((one, unit)) = found.iter().find_map(|f| f.unit(unit).map(|u| (f, u))) {
            return Meant::Reading { name: one.name.clone(), unit: unit.code().to_owned() };
        }
        let units: Vec<String> = found.iter().flat_map(|f| &f.units).map(Unit::to_string).collect();
        let (label, units) = (&found[0].label, units.join(", "));
        let message = if unit.is_empty() {
            format!("{label} can be in {units}: write the unit behind the name, in brackets")
        } else {
            format!(
                "\"{unit}\" does not say how {label} is measured: {units} would do; mend it, or say what this holds and in which unit"
            )
        };
        Meant::Misfit { message }
    }

    /// The unit code of a declared column: a known reading in a unit it can be read in.
    pub(super) fn declared_unit(
        &self,
        heading: &str,
        name: &str,
        unit: &str,
    ) -> Result<String, DeskError> {
        if matches!(name, TIME | DATE | WHO) && !unit.is_empty() {
            let why = format!("\"{heading}\" as {name} has no unit: leave \"{unit}\" out");
            return Err(DeskError::Asked(why));
        }
        if matches!(name, "" | TIME | DATE | WHO) {
            return Ok(String::new());
        }
        let refused = |why: String| DeskError::Asked(format!("\"{heading}\" as {name}: {why}"));
        let found = || self.found(name).into_iter().filter(|f| f.name == name).collect();
        if unit.is_empty() {
            // What the heading says of its unit holds for the reading it is said to be.
            let said = bracketed(heading).into_iter().chain(ended(heading));
            let said = said.map(|(_, unit)| Names::meant(name, found(), unit));
            if let Some(Meant::Reading { unit, .. }) =
                said.into_iter().find(|meant| matches!(meant, Meant::Reading { .. }))
            {
                return Ok(unit);
            }
        }
        let found = found();
        match Names::meant(name, found, unit) {
            Meant::Reading { unit, .. } => Ok(unit),
            Meant::Misfit { message } => Err(refused(message)),
            Meant::Unknown { nearest } => {
                let near = nearest.map_or(String::new(), |n| format!("; did you mean {n}?"));
                Err(refused(format!("no such reading{near}")))
            }
        }
    }
}

impl Found {
    fn of(reading: &field::Reading) -> Found {
        let units = match reading.role {
            Role::Word(_) => Vec::new(),
            _ => typed::units(reading),
        };
        Found { name: reading.key.to_owned(), label: reading.label.to_owned(), units }
    }

    /// The unit spelled like this, if this may be written in it.
    fn unit(&self, spelled: &str) -> Option<Unit> {
        let own = self.units.first()?;
        let read = match (spelled.parse::<Unit>(), read_unit(spelled, *own)) {
            (Ok(by_code), _) => by_code,
            // A salinometer's µS/cm is of another kind than its ppm, and yet in the list.
            (_, Ok(read) | Err(ReadError::WrongKind { read, .. })) => read,
            // "bar" can be a gauge's or absolute: guessing is worse than asking.
            (_, Err(_)) => return None,
        };
        Some(read).filter(|unit| self.units.contains(unit))
    }
}

/// Whether a vacuum's unit leaves open from where it counts: 92 kPa may be nearly all there is, or nearly nothing.
fn either_way(label: &str, unit: &str) -> bool {
    let open = ["kpa", "mbar", "hpa", "pa", "torr"];
    folded(label).contains("vac") && open.contains(&folded(unit).as_str())
}

/// "Vacuum (kPa)" and "Vacuum [kPa]" as name and unit.
fn bracketed(heading: &str) -> Option<(&str, &str)> {
    [('(', ')'), ('[', ']')].into_iter().find_map(|(open, close)| {
        let (label, rest) = heading.split_once(open)?;
        Some((label.trim(), rest.trim().strip_suffix(close)?.trim()))
    })
}

/// "jacket_in_c" and "shell mbar abs" as name and unit, for each of the last words; only where they are a unit.
fn ended(heading: &str) -> impl Iterator<Item = (&str, &str)> {
    let ends = heading.rmatch_indices(|c: char| matches!(c, '_' | '-' | ',') || c.is_whitespace());
    let parts = ends.take(MOST_UNIT_WORDS);
    let parts = parts.map(|(at, sign)| (heading[..at].trim(), heading[at + sign.len()..].trim()));
    parts.filter(|(_, end)| Unit::ALL.iter().any(|unit| read_unit(end, *unit).is_ok()))
}

impl Catalogue for Names<'_> {
    fn heading(&self, heading: &str) -> Meant {
        let heading = heading.trim();
        let tank = |f: &Found| f.name == heading && heading.starts_with(SOUNDING);
        let whole = self.found(heading);
        // A tank's own key may end like a unit.
        if whole.iter().any(tank) {
            return Names::meant(heading, whole, "");
        }
        for (label, unit) in bracketed(heading).into_iter().chain(ended(heading)) {
            let found = self.found(label);
            if !found.is_empty() {
                if either_way(label, unit) {
                    return Meant::Misfit {
                        message: format!(
                            "{label} in {unit} can count from nothing or down from the atmosphere: say \"{unit} abs\" in the heading, or give it as % vac, mmHg vac or bar g"
                        ),
                    };
                }
                return Names::meant(label, found, unit);
            }
        }
        let label = bracketed(heading).map_or(heading, |(label, _)| label);
        Names::meant(label, whole, "")
    }

    fn named(&self, name: &str, unit: &str) -> Meant {
        // A round left out, as an exported record writes it.
        if name == WHOLE {
            return Meant::Reading { name: name.to_owned(), unit: String::new() };
        }
        Names::meant(name, self.found(name), unit)
    }

    fn take(&self, name: &str, text: &str, unit: &str, decimal: Decimal) -> Result<Value, String> {
        let style = if decimal == Decimal::Comma { Style::Comma } else { Style::Point };
        written(self.ship, name, text, unit, style).map(|w| w.value).map_err(|e| {
            let foreign = field::reading(name).filter(|r| !unit.is_empty() && r.unit != unit);
            let message = match foreign.and_then(|_| unit.parse::<Unit>().ok()) {
                Some(unit) => format!("{} (read in {unit}, as the file says)", e.message),
                None => e.message,
            };
            match decimal {
                Decimal::Comma if text.contains('.') => {
                    format!("{message} (this file writes its decimals with a comma)")
                }
                _ => message,
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::marram;

    fn meant(heading: &str) -> String {
        match (Names { ship: &marram() }).heading(heading) {
            Meant::Reading { name, unit } => format!("{name} in {unit}"),
            Meant::Misfit { message } => message,
            Meant::Unknown { nearest } => format!("unknown, {nearest:?}"),
        }
    }

    #[test]
    fn ident_a_heading_says_its_unit_in_brackets_or_behind_its_name() {
        for (heading, wanted) in [
            ("shell_gauge_bar_g", "shell_gauge_bar_g in bar_g"),
            ("shell_gauge", "shell_gauge_bar_g in percent_vac"),
            ("Vacuum", "shell_gauge_bar_g in percent_vac"),
            ("Vacuum (kPa abs)", "shell_gauge_bar_g in kPa_a"),
            ("Vacuum [%]", "shell_gauge_bar_g in percent_vac"),
            ("shell (mbar abs)", "shell_gauge_bar_g in mbar_a"),
            ("Shell pressure mbar abs", "shell_gauge_bar_g in mbar_a"),
            ("vacuum, cmHg", "shell_gauge_bar_g in cmHg_vac"),
            ("Jacket water out °F", "jacket_out_c in degF"),
            ("Jacket in [°C]", "jacket_in_c in degC"),
            ("Jacket water in (K)", "jacket_in_c in K"),
            ("jacket in deg C", "jacket_in_c in degC"),
            ("Jacket flow (kg/s)", "jacket_flow_kg_s in kg_s"),
            ("Jacket flow (m³/h)", "jacket_flow_m3_h in m3_h"),
            ("Salinity µS/cm", "product_salt_mg_kg in uS_cm"),
            ("Output t/h", "product_t_day in t_h"),
            ("Brine level (sight glass)", "brine_level in "),
            ("sounding_cm.port (m)", "sounding_cm.port in m"),
        ] {
            assert_eq!(meant(heading), wanted, "{heading}");
        }
        for reading in field::READINGS.iter().filter(|r| r.key != "shell_gauge_bar_g") {
            let wanted = format!("{} in {}", reading.key, reading.unit);
            assert_eq!(meant(reading.key), wanted, "its own key is its own unit");
        }
        for tank in &marram().tanks {
            let key = format!("{SOUNDING}{}", tank.key);
            assert_eq!(meant(&key), format!("{key} in cm"));
        }
    }

    #[test]
    fn ident_a_unit_of_something_else_is_refused_with_those_that_would_do() {
        let told = meant("Vacuum (°C)");
        assert!(told.starts_with("\"°C\" does not say how Vacuum is measured: % vac, "), "{told}");
        assert!(told.contains("mbar abs"), "{told}");
        assert!(meant("Jacket in (condenser)").contains("°C, K, °F would do"));
        let unclear = meant("Shell (bar)");
        assert!(unclear.contains("bar g, ") && unclear.contains("bar abs"), "{unclear}");
        let open = meant("Vacuum (kPa)");
        assert!(open.contains("down from the atmosphere") && open.contains("kPa abs"), "{open}");
        assert!(meant("Jacket flow").contains("write the unit behind the name"));
        assert!(meant("Output t").contains("does not say how Output is"));
        assert_eq!(meant("Nonsense (°C)"), "unknown, None");
    }
}
