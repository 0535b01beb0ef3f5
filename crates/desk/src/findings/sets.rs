//! From the record's rounds to the sets that are explained: what was set, what was made over true hours, what was checked beside.

use ::findings::{Instrument, ReadingSet, SetFlows};
use jiff::Timestamp;
use plant::Point;

use crate::conditions::{Figures, conditions};
use crate::now::with_last;
use crate::round::{METER, Round, made_t_day};
use crate::setup::Setup;

use super::words::ToldOfPlant;

/// A dial of vacuum is printed for this atmosphere, bar.
const DIAL_BAR: f64 = 1.01325;
/// A plant is not settled for so long after it was started, seconds (trade: permission to water in the tank 45 to 90 min).
const SETTLES_S: i64 = 2 * 3600;
/// Flows set otherwise by more than this part since the last round: the watch's total is of neither setting.
const MOVED: f64 = 0.08;
/// A check goes with a round this near, in rounds' intervals.
const NEAR_ROUNDS: f64 = 1.25;
/// A tank dipped goes with a round within a day.
const DIP_S: f64 = 86_400.0;

/// Salinity for the density of the feed, g/kg: the open sea's.
const FEED_SALINITY_G_KG: f64 = 35.0;

/// Readings that pass as they are, by their name in the record; the name of the instrument is the same but for these.
const METERS: [&str; 4] =
    ["jacket_flow_m3_h", "jacket_flow_kg_s", "condenser_flow_kg_s", "feed_flow_m3_h"];

/// The sets of a record, and what had to be left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Sets {
    pub(crate) sets: Vec<ReadingSet>,
    /// The last round of a running plant among them, by its place among the rounds.
    pub(crate) last: Option<usize>,
    /// Rounds of a running plant that went in.
    pub(crate) rounds: usize,
    pub(crate) notes: Vec<String>,
    /// Checks among the rounds.
    pub(crate) checked: Vec<Made>,
    /// Instruments of the last round whose figures cannot stand together.
    pub(crate) odd_last: Vec<Instrument>,
}

/// A check that was made, with the set it went into.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Made {
    pub(crate) instrument: Instrument,
    pub(crate) at: Timestamp,
    /// Its entry.
    pub(crate) seq: u64,
    /// As read, in the unit of the instrument's name.
    pub(crate) figure: f64,
    /// The moment of the round it went with.
    pub(crate) with: Option<Timestamp>,
    /// Whether it was written down by itself, not in a round.
    pub(crate) alone: bool,
}

/// Turns rounds (oldest first, with some before `from` to lead in) into sets from `from` on.
pub(crate) fn sets(setup: &Setup, rounds: &[Round], told: &ToldOfPlant, from: Timestamp) -> Sets {
    let mut out = Sets::default();
    let mut starting = 0;
    let mut flows_before: Option<SetFlows> = None;
    for (i, round) in rounds.iter().enumerate() {
        if !round.running() {
            flows_before = None;
            continue;
        }
        let mut set = set_of(setup, round);
        let odd = ::findings::contradicted(setup.plant.sheet(), &set);
        let flows = set_flows(setup, rounds, i, &odd);
        let moved = flows_before.zip(flows).is_some_and(|(a, b)| moved(&a, &b));
        flows_before = flows;
        if round.at < from || !is_round(round) {
            continue;
        }
        if just_started(told, round.at) {
            starting += 1;
            continue;
        }
        set.set = flows;
        out.odd_last = odd;
        let made = made_t_day(
            &rounds[..i],
            &round.figures(),
            round.at,
            setup.ship.sheet.product_max_t_day,
            &told.switched,
        )
        .filter(|_| !moved);
        set.put(Instrument::Product, made.filter(|t| *t > 0.0));
        set_right(&mut set, told);
        out.rounds += 1;
        out.last = Some(i);
        out.sets.push(set);
    }
    if starting > 0 {
        out.notes.push(if starting == 1 {
            "One round within two hours of a start was passed over: the plant was not settled.".into()
        } else {
            format!("{starting} rounds within two hours of a start were passed over: the plant was not settled.")
        });
    }
    checks(setup, rounds, from, &mut out);
    out
}

/// A round of the watch, not a check written down in between.
fn is_round(round: &Round) -> bool {
    round.is_whole() || round.value("jacket_in_c").is_some()
}

fn just_started(told: &ToldOfPlant, at: Timestamp) -> bool {
    let last = told.switched.iter().find(|(when, _)| *when <= at);
    last.is_some_and(|(when, on)| {
        let since = at.as_second() - when.as_second();
        *on && (0..SETTLES_S).contains(&since) && !first_switch(told, *when)
    })
}

/// The first of a record may only say that the plant ran already.
fn first_switch(told: &ToldOfPlant, when: Timestamp) -> bool {
    told.switched.last().is_some_and(|(first, _)| *first == when)
}

fn moved(a: &SetFlows, b: &SetFlows) -> bool {
    let apart = |x: f64, y: f64| (x / y - 1.0).abs() > MOVED;
    apart(b.jacket_kg_s, a.jacket_kg_s) || apart(b.condenser_kg_s, a.condenser_kg_s)
}

/// What by-pass and throttle mean; where they were not read the plant is taken as trimmed to its limits, as on the other pages. `odd`
/// are instruments whose figures cannot stand: nothing is trimmed by them.
fn set_flows(
    setup: &Setup,
    rounds: &[Round],
    place: usize,
    odd: &[Instrument],
) -> Option<SetFlows> {
    let mut read: Figures = with_last(&rounds[..=place], &rounds[place]);
    read.retain(|key, _| !odd.iter().any(|i| i.key() == key));
    for meter in METERS {
        // What a meter reads is evidence here, not what was set.
        read.remove(meter);
    }
    let point = conditions(&setup.ship, &setup.plant, &read).ok()?.point;
    let rated = SetFlows::rated(setup.plant.sheet());
    Some(match trimmed(setup, &point) {
        Some((jacket_kg_s, condenser_kg_s)) => SetFlows { jacket_kg_s, condenser_kg_s, ..rated },
        None => SetFlows {
            jacket_kg_s: point.jacket_flow_kg_s,
            condenser_kg_s: point.condenser_flow_kg_s,
            ..rated
        },
    })
}

fn trimmed(setup: &Setup, point: &Point) -> Option<(f64, f64)> {
    if !point.trimmed {
        return None;
    }
    let solution = setup.plant.rate(point).ok()?;
    Some((solution.inside.jacket_flow_kg_s, solution.inside.condenser_flow_kg_s))
}

/// The figures of a round, each in the unit of the instrument's name; what was made is not among them.
pub(crate) fn set_of(setup: &Setup, round: &Round) -> ReadingSet {
    let mut set = ReadingSet::at(round.at);
    for (key, cell) in &round.cells {
        if let Some(value) = cell.value {
            put(setup, &mut set, round, key, value);
        }
    }
    set.barometer_hpa = round.value("barometer_hpa");
    set.expansion_tank_cm = round.value("expansion_tank_cm");
    set.feed_pressure_bar_g = round.value("feed_pressure_bar_g");
    set
}

/// Puts a figure of the record where its instrument is; what none reads is passed over.
fn put(setup: &Setup, set: &mut ReadingSet, round: &Round, key: &str, value: f64) {
    let sheet = setup.plant.sheet();
    let (instrument, figure) = match key {
        "shell_gauge_bar_g" => (Instrument::ShellGauge, -value / 100.0 * DIAL_BAR),
        "jacket_flow_m3_h" => {
            let jacket_in = round.value("jacket_in_c").unwrap_or(sheet.rated_jacket_in_c);
            let density = crate::figure::jacket_density_kg_m3(jacket_in);
            (Instrument::JacketMeter, value * density / 3600.0)
        }
        "feed_flow_m3_h" => {
            // It comes from the condenser.
            let sea = round.value("sea_out_c").or(round.value("sea_temp_c"));
            let sea = sea.unwrap_or(sheet.rated_sea_temp_c);
            let density = crate::figure::sea_density_kg_m3(sea, FEED_SALINITY_G_KG);
            (Instrument::FeedMeter, value * density / 3600.0)
        }
        "product_t_day" => return,
        _ => match Instrument::ALL.iter().find(|i| i.key() == key) {
            Some(instrument) => (*instrument, value),
            None => return,
        },
    };
    let table = ::findings::instrument::usual();
    let taken = table.iter().find(|line| line.instrument == instrument);
    if taken.is_some_and(|line| (line.range.0..=line.range.1).contains(&figure)) {
        set.put(instrument, Some(figure));
    }
}

/// Readings of the time in which an instrument was wrong, as it would have read set right; left out where nobody wrote by how much.
fn set_right(set: &mut ReadingSet, told: &ToldOfPlant) {
    let time = set.time;
    let mut readings: Vec<&str> = told.recalibrated.iter().map(|e| e.reading.as_str()).collect();
    readings.sort_unstable();
    readings.dedup();
    for reading in readings {
        let instrument = match reading {
            METER => Some(Instrument::Product),
            _ => Instrument::ALL.iter().find(|i| i.key() == reading).copied(),
        };
        let Some(instrument) = instrument else { continue };
        // The record has the gauge in per cent of a standard atmosphere.
        let gauge = instrument == Instrument::ShellGauge;
        let to_own = |x: f64| if gauge { -x / DIAL_BAR * 100.0 } else { x };
        let back = |x: f64| if gauge { -x / 100.0 * DIAL_BAR } else { x };
        let read = set.get(instrument);
        set.put(instrument, read.and_then(|x| told.set_right(reading, time, to_own(x))).map(back));
    }
}

/// Puts checks written down between rounds beside the round they go with.
fn checks(setup: &Setup, rounds: &[Round], from: Timestamp, out: &mut Sets) {
    let near_s = NEAR_ROUNDS * setup.ship.round_hours * 3600.0;
    let mut alone = 0;
    for round in rounds.iter().filter(|r| r.at >= from && !(r.running() && is_round(r))) {
        let check = set_of(setup, round);
        let asked = |i: &Instrument| super::checks::of(*i).is_some();
        for (instrument, figure) in check.read().filter(|(i, _)| asked(i)) {
            let reach = match instrument {
                // Of a plant that stands: it goes with the plant, not with a moment.
                Instrument::LeakDown => f64::INFINITY,
                Instrument::ProductDip => DIP_S,
                _ => near_s,
            };
            let with = match nearest(&mut out.sets, round.at, reach) {
                Some(set) => {
                    set.put(instrument, Some(figure));
                    Some(set.time)
                }
                None => {
                    alone += 1;
                    None
                }
            };
            out.checked.extend(made_check(round, instrument, figure, with, true));
        }
    }
    // Those that only a check reads, in a round of the watch.
    for (round, set) in out.sets.iter().filter_map(|set| {
        rounds.iter().find(|round| round.at == set.time).map(|round| (round, set))
    }) {
        let checked = set.read().filter(|(i, _)| super::checks::never_routine(*i));
        let checked = checked.filter(|(i, _)| round.value(i.key()).is_some());
        for (instrument, figure) in checked {
            out.checked.extend(made_check(round, instrument, figure, Some(round.at), false));
        }
    }
    out.checked.sort_by_key(|made| std::cmp::Reverse(made.at));
    if alone > 0 {
        out.notes.push(format!(
            "{alone} {} no round of the running plant beside and {} not used: read a round with {}.",
            if alone == 1 { "check has" } else { "checks have" },
            if alone == 1 { "is" } else { "are" },
            if alone == 1 { "it" } else { "them" },
        ));
    }
}

fn made_check(
    round: &Round,
    instrument: Instrument,
    figure: f64,
    with: Option<Timestamp>,
    alone: bool,
) -> Option<Made> {
    let cell = round.cells.get(instrument.key()).or_else(|| {
        // A meter's volume stands under a name of its own.
        let volume = instrument == Instrument::JacketMeter;
        volume.then(|| round.cells.get("jacket_flow_m3_h")).flatten()
    })?;
    Some(Made { instrument, at: round.at, seq: cell.seq, figure, with, alone })
}

fn nearest(sets: &mut [ReadingSet], at: Timestamp, reach_s: f64) -> Option<&mut ReadingSet> {
    let apart = |set: &ReadingSet| (set.time.as_second() - at.as_second()).abs();
    let found = sets.iter_mut().min_by_key(|set| apart(set))?;
    (apart(found) as f64 <= reach_s).then_some(found)
}
