//! What a run shows now: read off the plant in motion and put in words.

use chart::{Flow, Gauge, VESSEL_HANDLES, VESSEL_PUMPS, Vessel};
use transient::{FULL_SCALE_MG_KG, FULL_WELL_KG, Row, SETS, SWITCHES, Stands, VALVES};

use crate::desk::DeskError;
use crate::field;
use crate::typed::{digits, unit_of};

use super::doing::{aboard, capital, clock, in_words};
use super::panel::vapour_c;
use super::room::Room;
use super::view::{
    GaugeView, Handles, Happened, MarkView, PumpView, Says, SetView, Standing, SwitchView,
    ValveView,
};

/// The last things that happened.
const LATEST: usize = 12;
/// Engine's jacket over its set point that comes before everything else, K.
const ALARM_K: f64 = 5.0;
/// Jacket water through the heater that is heat, kg/s.
pub(super) const HEATED_KG_S: f64 = 0.3;
/// A shell this far over the atmosphere is told, Pa: what a day's warmth in a shut shell does is less.
const OVER_PA: f64 = 5.0e3;
/// Heat on the shell that counts as heat, W.
const HEATED_W: f64 = 5.0e3;
/// Water in the distillate well at the foot and at the head of its glass, kg (ours).
const WELL_KG: (f64, f64) = (2.0, FULL_WELL_KG);
/// A vacuum that changes by more is rising or falling, % a minute (ours).
const GOING_PERCENT: f64 = 0.5;
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
        let line = |at_s: f64, says: String, by_hand: bool| Happened {
            at_s,
            clock: clock(at_s),
            says,
            by_hand,
        };
        // What was done at one moment stands as it was done: each with how much had been done at the handles.
        let mut hands = 0;
        let mut all: Vec<(usize, Happened)> = Vec::new();
        for event in self.play.live.events() {
            let next = done.get(hands);
            let by_hand = next.is_some_and(|action| {
                // A sample is told with what it read.
                action.time_s == event.time_s && event.says.starts_with(&action.what.says())
            });
            hands += usize::from(by_hand);
            all.push((hands, line(event.time_s, in_words(&event.says), by_hand)));
        }
        all.extend(
            self.play.notes.iter().map(|(done, e)| (*done, line(e.time_s, e.says.clone(), true))),
        );
        all.sort_by(|(a_done, a), (b_done, b)| a.at_s.total_cmp(&b.at_s).then(a_done.cmp(b_done)));
        let all: Vec<Happened> = all.into_iter().map(|(_, happened)| happened).collect();
        super::fold::folded(all)
    }

    /// As it stands now.
    pub(super) fn standing(&self, who: &str) -> Result<Standing, DeskError> {
        let (row, stands) = (self.play.live.row(), self.play.live.run().stands());
        let vessel = self.vessel(&row, &stands);
        let mut latest = self.happened();
        latest.reverse();
        latest.truncate(LATEST);
        let marks = self.marks.iter();
        Ok(Standing {
            clock: clock(row.time_s),
            time_s: row.time_s,
            says: self.says(&row, &stands),
            pace: self.pace,
            handles: self.handles(who),
            over: self.over(),
            away: self.away,
            broke: self.broke,
            valves: valves(&stands),
            pumps: pumps(&stands),
            switches: switches(&stands),
            sets: sets(&stands),
            gauges: self.gauges(&row, &stands, &vessel),
            vessel,
            beside: self.beside()?,
            answered: self.answered(),
            suits: if self.over() { None } else { self.suits(&row, &stands) },
            latest,
            marks: marks
                .map(|mark| MarkView {
                    at_s: mark.time_s,
                    clock: clock(mark.time_s),
                    way: self.way_to(mark),
                })
                .collect(),
        })
    }

    /// The answer: what threatens first, then what is made, then how far she is.
    fn says(&self, row: &Row, stands: &Stands) -> Says {
        let run = self.play.live.run();
        let off = row.engine_outlet_c - run.set_point_c();
        if self.broke {
            return Says {
                before: "The figures of this run cannot be carried on from ".to_owned(),
                figure: clock(row.time_s),
                unit: "",
                after: ": go back to a mark, or begin another.".to_owned(),
            };
        }
        let engine = match off {
            off if off <= -0.5 => {
                format!("; the engine has lost {} °C of jacket water temperature", digits(-off, 1))
            }
            off if off >= 0.5 => {
                format!("; the engine’s jacket is {} °C over its set point", digits(off, 1))
            }
            _ => "; the engine’s jacket stands where it should".to_owned(),
        };
        let told = |before: &str, figure: String, unit: &'static str, after: &str| Says {
            before: before.to_owned(),
            figure,
            unit,
            after: format!("{after}{engine}."),
        };
        let open = |name: &str| stands.valve(name).map_or(0.0, |valve| valve.at_percent);
        let runs = |name: &str| stands.pump(name) == Some(true);
        let dark = stands.switch("power") == Some("off");
        let stands_still = dark || !runs("ejector") && !runs("cooling");
        let hot = row.jacket_flow_kg_s > HEATED_KG_S || boils(row);
        if stands_still && hot {
            let vacuum = digits(row.vacuum_percent.max(0.0), 1);
            let lead = if dark { "No power: e" } else { "E" };
            let heat = if row.jacket_flow_kg_s > HEATED_KG_S {
                "the heat on"
            } else {
                "the shell still boiling"
            };
            let before = format!("{lead}very pump of the plant stands with {heat}: vacuum ");
            return told(&before, vacuum, "%", "");
        }
        if off >= ALARM_K {
            return Says {
                before: "The engine’s jacket stands at ".to_owned(),
                figure: digits(row.engine_outlet_c, 1),
                unit: "°C",
                after: format!(", {} over its set point: its heat has no way out.", digits(off, 1)),
            };
        }
        let over_pa = row.shell_pressure_pa - run.atmosphere_pa();
        if over_pa > OVER_PA {
            return told(
                "The shell stands ",
                digits(over_pa / 1.0e5, 2),
                "bar",
                " over the atmosphere",
            );
        }
        if row.brine_level > self.model.parameters().weir_level {
            let glass = digits(self.glass_percent(row.brine_level), 0);
            return told(
                "The glass stands at ",
                glass,
                "%",
                ": brine runs over the weir into the distillate",
            );
        }
        let salty = row.cell_reading_mg_kg > run.limit_mg_kg();
        let past = self.play.live.past_alarm();
        let unproven = self.play.live.unproven_alarm();
        if past || unproven && row.diverting_valve > 0.5 && open("tank filling") > 1.0 {
            let read = match row.cell_reading_mg_kg {
                over if over > FULL_SCALE_MG_KG => format!("over {FULL_SCALE_MG_KG:.0}"),
                read => digits(read, 1),
            };
            let before = if past {
                "Water goes to the tank past an alarm that no second instrument bears out: the cell reads "
            } else {
                "Water over the limit goes to the tank: the cell reads "
            };
            return told(before, read, salinity_unit(), "");
        }
        let heat_on = row.jacket_flow_kg_s > HEATED_KG_S;
        let wetted = row.brine_level > 0.15;
        if heat_on && !wetted && row.heater_body_c > 60.0 {
            let body = digits(row.heater_body_c, 0);
            let bakes = if self.play.live.bakes() {
                " and salt bakes on them"
            } else {
                ": nothing is on them to bake, and feed let on to them now shocks them"
            };
            return told("The plates stand dry at ", body, "°C", bakes);
        }
        let vacuum = digits(row.vacuum_percent.max(0.0), 1);
        if boils(row) {
            let made = digits(row.product_kg_s * 86.4, 1);
            let drawn = runs("distillate") && open("distillate discharge") > 1.0;
            let after = match (drawn, row.diverting_valve > 0.5, open("tank filling") > 1.0) {
                (false, ..) => ", and the well fills: nothing draws it off",
                (true, false, _) if salty => ", over the limit, and it is dumped",
                (true, false, _) => ", and it is dumped",
                (true, true, false) => {
                    ", and it has nowhere to go: the tank’s filling valve is shut"
                }
                (true, true, true) => ", and it goes to the tank",
            };
            return told("She makes ", made, "t/day", after);
        }
        let going = match self.vacuum_a_minute(row) {
            a_minute if a_minute > GOING_PERCENT => "Vacuum is rising, ",
            a_minute if a_minute < -GOING_PERCENT => "Vacuum is falling, ",
            _ => "Vacuum stands at ",
        };
        match (runs("ejector"), heat_on) {
            (true, true) => {
                told(going, vacuum, "%", ", and the shell is taking heat without boiling")
            }
            (true, false) if open("jacket inlet") > 1.0 => {
                told(going, vacuum, "%", ", and the heater inlet is cracked open")
            }
            (true, false) => told(going, vacuum, "%", ", and there is no heat on the shell"),
            (false, true) => {
                told("The ejector pump stands and heat is on: vacuum ", vacuum, "%", "")
            }
            (false, false) if runs("cooling") || runs("distillate") => {
                told("The ejector pump stands: vacuum ", vacuum, "%", "")
            }
            (false, false) => told("Nothing runs on the plant: vacuum ", vacuum, "%", ""),
        }
    }

    /// How the vacuum goes, % a minute, since it was last looked at half a minute ago or more.
    fn vacuum_a_minute(&self, row: &Row) -> f64 {
        let mut looks = self.play.looks.iter().rev();
        let before = looks.find(|look| (30.0..=180.0).contains(&(row.time_s - look.at_s)));
        before
            .and_then(|look| {
                let was = look.figure(crate::procedures::VACUUM_PERCENT)?;
                Some(60.0 * (row.vacuum_percent - was) / (row.time_s - look.at_s))
            })
            .unwrap_or(0.0)
    }

    fn vessel(&self, row: &Row, stands: &Stands) -> Vessel {
        let point = self.play.live.run().as_point();
        let sheet = &self.setup.ship.sheet;
        let open = |name: &str| stands.valve(name).map_or(0.0, |valve| valve.at_percent);
        let runs = |name: &str| stands.pump(name).unwrap_or(false);
        let rated_kg_s = sheet.rated_product_t_day / 86.4;
        let share = |x: f64, of: f64| Flow::of(x / of.max(1.0e-9));
        let jet = (point.ejector_pressure_bar_g / sheet.rated_ejector_pressure_bar_g).max(0.0);
        let gauges = [
            format!("{} %", digits(row.vacuum_percent.max(0.0), 1)),
            format!("{} °C", digits(vapour_c(row.shell_pressure_pa, row.brine_temp_c), 1)),
            format!("{} %", digits(self.glass_percent(row.brine_level), 0)),
            format!("{} °C", digits(point.sea_temp_c, 1)),
            format!("{} °C", digits(row.sea_out_c, 1)),
            format!("{} °C", digits(row.jacket_in_c, 1)),
            format!("{} °C", digits(row.jacket_out_c, 1)),
            format!("{} kg/s", digits(row.feed_kg_s, 2)),
            format!("{} bar", digits(point.ejector_pressure_bar_g, 1)),
            format!("{} bar", digits(point.back_pressure_bar_g, 2)),
            self.cell(row, stands),
            format!("{} t/day", digits(row.drawn_kg_s * 86.4, 1)),
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
            distillate: share(row.drawn_kg_s, rated_kg_s),
            motive: Flow::of(jet),
            air: Flow::of(if jet > 0.6 { jet } else { 0.0 }),
            brine: Flow::of(if row.brine_level > 0.02 && jet > 0.5 {
                row.brine_level
            } else {
                0.0
            }),
            level: row.brine_level,
            glass_percent: self.glass_percent(row.brine_level),
            boiling: boils(row),
            to_tank: row.diverting_valve,
        }
    }

    /// Percent of the glass: the weir stands at its top.
    fn glass_percent(&self, level: f64) -> f64 {
        (100.0 * level / self.model.parameters().weir_level).clamp(0.0, 100.0)
    }

    /// What the salinometer shows.
    fn cell(&self, row: &Row, stands: &Stands) -> String {
        if stands.switch("salinometer") == Some("off") || stands.switch("power") == Some("off") {
            return "off".to_owned();
        }
        match row.cell_reading_mg_kg {
            over if over > FULL_SCALE_MG_KG => {
                format!("over {FULL_SCALE_MG_KG:.0} {}", salinity_unit())
            }
            read => format!("{} {}", digits(read, 1), salinity_unit()),
        }
    }

    /// The feed as lists ask for it.
    fn feed(&self, row: &Row) -> String {
        let look = super::panel::Look::at(&self.play.live);
        let m3_h = look.figure("feed_flow_m3_h").unwrap_or(0.0);
        format!("{} m³/h, {} kg/s", digits(m3_h, 2), digits(row.feed_kg_s, 2))
    }

    fn gauges(&self, row: &Row, stands: &Stands, vessel: &Vessel) -> Vec<GaugeView> {
        let gauge = |key, label, value| GaugeView { key, label, value };
        let set = |name: &str| stands.set(name).unwrap_or(0.0);
        let drawn = |gauge: Gauge| {
            let place = Gauge::ALL.iter().position(|one| *one == gauge);
            place.and_then(|place| vessel.gauges.get(place)).cloned().unwrap_or_default()
        };
        vec![
            gauge("g-vacuum", "Vacuum", drawn(Gauge::Vacuum)),
            gauge("g-vapour", "Vapour", drawn(Gauge::Vapour)),
            gauge("g-glass", "Brine in the glass", drawn(Gauge::Glass)),
            gauge("g-nozzle", "Nozzle inlet", drawn(Gauge::Nozzle)),
            gauge("g-outlet", "Ejector outlet", drawn(Gauge::Outlet)),
            gauge("g-feed", "Feed", self.feed(row)),
            gauge(
                "g-heater",
                "Jacket water, heater in and out",
                format!("{}, {}", drawn(Gauge::JacketIn), drawn(Gauge::JacketOut)),
            ),
            gauge(
                "g-sea",
                "Sea water, condenser in and out",
                format!("{}, {}", drawn(Gauge::SeaIn), drawn(Gauge::SeaOut)),
            ),
            gauge("g-made", "Distillate drawn off", drawn(Gauge::Made)),
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
            gauge("g-well", "Distillate well", well(row.well_kg)),
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

/// The salinometer's unit, as on every page.
#[must_use]
pub fn salinity_unit() -> &'static str {
    field::reading("product_salt_mg_kg").map_or("mg/kg", |reading| unit_of(reading).symbol())
}

/// Whether it is seen to boil: steam that a cold shell gives off as air comes in is none.
fn boils(row: &Row) -> bool {
    row.vapour_made_kg_s > BOILS_KG_S && row.evaporator_heat_w > HEATED_W
}

/// The distillate well as its glass is read.
fn well(kg: f64) -> String {
    let word = match kg {
        kg if kg < WELL_KG.0 => ", glass empty",
        kg if kg > WELL_KG.1 => ", over the glass",
        _ => "",
    };
    format!("{} kg{word}", digits(kg, 0))
}

fn diverter(at: f64) -> &'static str {
    match at {
        at if at > 0.98 => "to the tank",
        at if at < 0.02 => "to dump",
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
            label: aboard(name),
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
