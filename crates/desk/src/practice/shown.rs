//! What a run shows now: read off the plant in motion and put in words.

use chart::{Flow, VESSEL_HANDLES, VESSEL_PUMPS, Vessel};
use transient::{Row, SETS, SWITCHES, Stands, VALVES};

use crate::desk::DeskError;
use crate::typed::digits;

use super::doing::{capital, clock};
use super::panel::vapour_c;
use super::room::Room;
use super::view::{
    GaugeView, Handles, Happened, PumpView, Says, SetView, Standing, SwitchView, ValveView,
};

/// The last things that happened.
const LATEST: usize = 12;
/// Vapour that is seen to boil, kg/s.
const BOILS_KG_S: f64 = 0.01;

/// Settings that hands reach, with the step of their ± keys.
const REACHED: [(&str, &str); 3] =
    [("salinity limit", "1"), ("engine load", "5"), ("thermostat hand", "0.05")];

impl Room {
    pub(super) fn handles(&self, who: &str) -> Handles {
        match self.hands.as_deref() {
            None => Handles::Free,
            Some(hands) if hands == who => Handles::Yours,
            Some(_) => Handles::Others,
        }
    }

    /// Everything that happened, oldest first.
    pub(super) fn happened(&self) -> Vec<Happened> {
        let done = self.play.live.done();
        let by_hand = |time_s: f64, says: &str| {
            done.iter().any(|action| action.time_s == time_s && action.what.says() == says)
        };
        let mut all: Vec<(f64, Happened)> = self
            .play
            .live
            .events()
            .into_iter()
            .map(|event| {
                let by_hand = by_hand(event.time_s, &event.says);
                (event.time_s, Happened { clock: clock(event.time_s), says: event.says, by_hand })
            })
            .collect();
        all.extend(self.play.notes.iter().map(|event| {
            let says = event.says.clone();
            (event.time_s, Happened { clock: clock(event.time_s), says, by_hand: true })
        }));
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        all.into_iter().map(|(_, happened)| happened).collect()
    }

    /// As it stands now.
    pub(super) fn standing(&self, who: &str) -> Result<Standing, DeskError> {
        let (row, stands) = (self.play.live.row(), self.play.live.run().stands());
        let mut latest = self.happened();
        latest.reverse();
        latest.truncate(LATEST);
        let marks = self.marks.iter().filter(|mark| mark.by_hand);
        Ok(Standing {
            clock: clock(row.time_s),
            time_s: row.time_s,
            says: self.says(&row, &stands),
            pace: self.pace,
            handles: self.handles(who),
            over: self.over(),
            away: self.away,
            broke: self.broke,
            vessel: self.vessel(&row, &stands),
            valves: valves(&stands),
            pumps: pumps(&stands),
            switches: switches(&stands),
            sets: sets(&stands),
            gauges: self.gauges(&row, &stands),
            beside: self.beside()?,
            latest,
            marks: marks.map(|mark| (mark.time_s, clock(mark.time_s))).collect(),
        })
    }

    fn says(&self, row: &Row, stands: &Stands) -> Says {
        let off = row.engine_outlet_c - self.play.live.run().set_point_c();
        let engine = match off {
            off if off <= -0.5 => {
                format!("; the engine has lost {} °C of jacket water temperature", digits(-off, 1))
            }
            off if off >= 0.5 => {
                format!("; the engine’s jacket is {} °C over its set point", digits(off, 1))
            }
            _ => "; the engine’s jacket stands where it should".to_owned(),
        };
        let made = |after: &str| Says {
            before: "She makes ".to_owned(),
            figure: digits(row.product_kg_s * 86.4, 1),
            unit: "t/day",
            after: format!("{after}{engine}."),
        };
        let vacuum = |before: &str, after: &str| Says {
            before: before.to_owned(),
            figure: digits(row.vacuum_percent.max(0.0), 1),
            unit: "%",
            after: format!("{after}{engine}."),
        };
        let heated = row.evaporator_heat_w > 20_000.0;
        if row.vapour_made_kg_s > BOILS_KG_S {
            if row.diverting_valve > 0.5 {
                return made(", and it goes to the tank");
            }
            return made(", and it is dumped back into the shell");
        }
        if row.shell_pressure_pa > self.play.live.run().atmosphere_pa() + 1000.0 {
            return Says {
                before: "The shell stands ".to_owned(),
                figure: digits(
                    (row.shell_pressure_pa - self.play.live.run().atmosphere_pa()) / 1.0e5,
                    2,
                ),
                unit: "bar",
                after: format!(" over the atmosphere{engine}."),
            };
        }
        match (stands.pump("ejector"), heated) {
            (Some(true), true) => {
                vacuum("Vacuum stands at ", " and the shell is taking heat without boiling")
            }
            (Some(true), false) => {
                vacuum("Vacuum stands at ", " and there is no heat on the shell")
            }
            (_, true) => vacuum("The ejector pump stands and heat is on: vacuum ", ""),
            _ => vacuum("Nothing runs on the plant: vacuum ", ""),
        }
    }

    fn vessel(&self, row: &Row, stands: &Stands) -> Vessel {
        let point = self.play.live.run().as_point();
        let sheet = &self.setup.ship.sheet;
        let open = |name: &str| stands.valve(name).map_or(0.0, |valve| valve.at_percent);
        let runs = |name: &str| stands.pump(name).unwrap_or(false);
        let rated_kg_s = sheet.rated_product_t_day / 86.4;
        let share = |x: f64, of: f64| Flow::of(x / of.max(1.0e-9));
        let jet = (point.ejector_pressure_bar_g / sheet.rated_ejector_pressure_bar_g).max(0.0);
        let drawn = runs("distillate") && open("distillate discharge") > 1.0 && row.well_kg > 1.0;
        let gauges = [
            format!("{} %", digits(row.vacuum_percent.max(0.0), 1)),
            format!("{} °C", digits(vapour_c(row.shell_pressure_pa, row.brine_temp_c), 1)),
            format!("{} %", digits(glass_percent(row.brine_level), 0)),
            format!("{} °C", digits(point.sea_temp_c, 1)),
            format!("{} °C", digits(row.sea_out_c, 1)),
            format!("{} °C", digits(row.jacket_in_c, 1)),
            format!("{} °C", digits(row.jacket_out_c, 1)),
            format!("{} kg/s", digits(row.feed_kg_s, 2)),
            format!("{} bar", digits(point.ejector_pressure_bar_g, 1)),
            format!("{} bar", digits(point.back_pressure_bar_g, 2)),
            self.cell(row, stands),
            format!("{} t/day", digits(if drawn { row.product_kg_s * 86.4 } else { 0.0 }, 1)),
        ];
        Vessel {
            openings: VESSEL_HANDLES.map(open),
            pumps: VESSEL_PUMPS.map(runs),
            gauges,
            cooling: share(
                if runs("cooling") { point.condenser_flow_kg_s } else { 0.0 },
                sheet.rated_condenser_flow_kg_s,
            ),
            feed: share(row.feed_kg_s, rated_kg_s * sheet.rated_feed_ratio),
            jacket: share(row.jacket_flow_kg_s, sheet.rated_jacket_flow_kg_s),
            by_pass: Flow::of(if runs("jacket") { open("jacket by-pass") / 100.0 } else { 0.0 }),
            distillate: share(if drawn { row.product_kg_s } else { 0.0 }, rated_kg_s),
            motive: Flow::of(jet),
            air: Flow::of(if jet > 0.6 { jet } else { 0.0 }),
            brine: Flow::of(if row.brine_level > 0.02 && jet > 0.5 {
                row.brine_level
            } else {
                0.0
            }),
            level: row.brine_level,
            glass_percent: glass_percent(row.brine_level),
            boiling: row.vapour_made_kg_s > BOILS_KG_S,
            to_tank: row.diverting_valve,
        }
    }

    /// What the salinometer shows.
    fn cell(&self, row: &Row, stands: &Stands) -> String {
        if stands.switch("salinometer") == Some("off") || stands.switch("power") == Some("off") {
            return "off".to_owned();
        }
        format!("{} mg/kg", digits(row.cell_reading_mg_kg, 1))
    }

    fn gauges(&self, row: &Row, stands: &Stands) -> Vec<GaugeView> {
        let gauge = |key, label, value| GaugeView { key, label, value };
        let set = |name: &str| stands.set(name).unwrap_or(0.0);
        vec![
            gauge(
                "g-jacket",
                "Engine jacket outlet",
                format!("{} °C", digits(row.engine_outlet_c, 1)),
            ),
            gauge("g-load", "Engine load", format!("{} %", digits(set("engine load"), 0))),
            gauge(
                "g-cooler",
                "Jacket water through the engine’s cooler",
                format!("{} %", digits(100.0 * row.thermostat_valve, 0)),
            ),
            gauge(
                "g-expansion",
                "Jacket expansion tank",
                format!("{} kg", digits(row.expansion_tank_kg, 0)),
            ),
            gauge("g-well", "Distillate well", format!("{} kg", digits(row.well_kg, 0))),
            gauge("g-cell", "Salinity at the cell", self.cell(row, stands)),
            gauge("g-diverter", "Diverting valve", diverter(row.diverting_valve).to_owned()),
            gauge(
                "g-tank",
                "To the tank so far",
                format!("{} kg", digits(self.play.live.score().to_tank_kg.max(0.0), 0)),
            ),
            gauge(
                "g-barometer",
                "Barometer",
                format!("{} hPa", digits(self.play.live.run().atmosphere_pa() / 100.0, 0)),
            ),
        ]
    }
}

/// Percent of the glass: the weir stands at its top.
fn glass_percent(level: f64) -> f64 {
    (100.0 * level / 2.0).clamp(0.0, 100.0)
}

fn diverter(at: f64) -> &'static str {
    match at {
        at if at > 0.98 => "to the tank",
        at if at < 0.02 => "back to the shell",
        _ => "moving",
    }
}

fn valves(stands: &Stands) -> Vec<ValveView> {
    let view = |(place, name): (usize, &&'static str)| {
        let turned = stands.valve(name)?;
        let word = |percent: f64| match percent {
            p if p < 0.5 => "shut".to_owned(),
            p => format!("{p:.0} %"),
        };
        let going = (turned.at_percent - turned.to_percent).abs() > 0.5;
        let stands = match going {
            true => format!("{}, turning to {}", word(turned.at_percent), word(turned.to_percent)),
            false => word(turned.at_percent),
        };
        Some(ValveView {
            no: place + 1,
            name,
            label: capital(name),
            stands,
            to_percent: turned.to_percent,
        })
    };
    debug_assert!(VESSEL_HANDLES.iter().all(|name| VALVES.iter().any(|part| part.name == *name)));
    VESSEL_HANDLES.iter().enumerate().filter_map(view).collect()
}

fn pumps(stands: &Stands) -> Vec<PumpView> {
    let view = |name: &&'static str| {
        Some(PumpView { name, label: format!("{} pump", capital(name)), runs: stands.pump(name)? })
    };
    VESSEL_PUMPS.iter().filter_map(view).collect()
}

fn switches(stands: &Stands) -> Vec<SwitchView> {
    let view = |(name, words): &(&'static str, &'static [&'static str])| {
        Some(SwitchView { name, label: capital(name), words, at: stands.switch(name)? })
    };
    SWITCHES.iter().filter_map(view).collect()
}

fn sets(stands: &Stands) -> Vec<SetView> {
    let view = |(name, step): &(&'static str, &'static str)| {
        let part = SETS.iter().find(|part| part.name == *name)?;
        let value = stands.set(name)?;
        let decimals = if part.unit.is_empty() { 2 } else { 0 };
        Some(SetView {
            name,
            label: capital(name),
            stands: digits(value, decimals),
            unit: part.unit,
            step,
        })
    };
    REACHED.iter().filter_map(view).collect()
}
