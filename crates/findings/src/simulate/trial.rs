//! One trial: a simulated plant explained, and what was said of it beside the truth.

use plant::Sheet;

use crate::cause::{Cause, Family};
use crate::explain::judged;
use crate::instrument::Instrument;
use crate::judge::Judged;
use crate::prior::{self, INSTRUMENT_ODDS, INSTRUMENT_WIDE};
use crate::simulate::TRIES;
use crate::simulate::chance::Chance;
use crate::simulate::truth::{self, Coming, Fault, Level, Simulated, Wanted, times_limit};
use crate::tables::Tables;

/// What is read in a trial: one row of the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Experiment {
    /// As the table names it.
    pub name: &'static str,
    /// What is read each time.
    pub level: Level,
    /// How many times.
    pub moments: usize,
    /// Whether the fault comes within the record.
    pub within: bool,
    /// Whether the plant's closures are none of those the tables deal, but the ends of what is thinkable.
    pub wrong_closures: bool,
}

/// Closures at the ends of what is thinkable, in turn: blanketing exponent, convective share.
const WRONG_CLOSURES: [(f64, f64); 4] = [(1.0, 0.0), (4.0, 0.0), (1.0, 0.5), (4.0, 0.5)];

/// Part of the readings of a history that is missing, and part that is slips.
const MISSING_AND_SLIPS: (f64, f64) = (0.05, 0.02);

/// The rows of the table.
pub const EXPERIMENTS: [Experiment; 8] = [
    Experiment {
        name: "one set, routine",
        level: Level::Routine,
        moments: 1,
        within: false,
        wrong_closures: false,
    },
    Experiment {
        name: "one set, more",
        level: Level::More,
        moments: 1,
        within: false,
        wrong_closures: false,
    },
    Experiment {
        name: "one set, all",
        level: Level::All,
        moments: 1,
        within: false,
        wrong_closures: false,
    },
    Experiment {
        name: "30 sets, comes within",
        level: Level::Routine,
        moments: 30,
        within: true,
        wrong_closures: false,
    },
    Experiment {
        name: "30 sets, more, comes within",
        level: Level::More,
        moments: 30,
        within: true,
        wrong_closures: false,
    },
    Experiment {
        name: "30 sets, stood from the first",
        level: Level::Routine,
        moments: 30,
        within: false,
        wrong_closures: false,
    },
    Experiment {
        name: "one set, wrong closures",
        level: Level::Routine,
        moments: 1,
        within: false,
        wrong_closures: true,
    },
    Experiment {
        name: "30 sets, wrong closures",
        level: Level::Routine,
        moments: 30,
        within: true,
        wrong_closures: true,
    },
];

/// What was put into the plant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Group {
    /// One of six causes, at its limit.
    AtLimit,
    /// A process cause at twice its limit.
    Process,
    /// An instrument off by twice its limit.
    Instrument,
    /// Two process causes at twice their limits.
    Pair,
    /// Nothing.
    Sound,
    /// Whatever the table of causes deals.
    Dealt,
}

/// Groups in the order in which trials take turns.
const TURNS: [Group; 12] = [
    Group::AtLimit,
    Group::Process,
    Group::Process,
    Group::Instrument,
    Group::Dealt,
    Group::Pair,
    Group::Process,
    Group::Sound,
    Group::AtLimit,
    Group::Process,
    Group::Instrument,
    Group::Dealt,
];

/// The causes that a routine set can see best.
pub const SIX: [Cause; 6] = [
    Cause::Scale,
    Cause::CondenserFouling,
    Cause::AirLeak,
    Cause::JacketFlow,
    Cause::SeaFlow,
    Cause::MotivePressure,
];

/// The causes that are put in: all that cost output or salt, back pressure left out.
const PUT_IN: [Cause; 11] = [
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
];

/// What was said of one cause, and what is true.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Said {
    /// The cause.
    pub cause: Cause,
    /// Probability said that it is past its limit.
    pub p: f64,
    /// Whether it is.
    pub over: bool,
    /// Whether the interval said holds the truth.
    pub inside: bool,
}

/// What came of one trial.
#[derive(Debug, Clone, PartialEq)]
pub struct Trial {
    /// What was put in.
    pub group: Group,
    /// The causes put in; of a dealt plant those past their limit.
    pub truth: Vec<Cause>,
    /// Every cause, most probable first.
    pub said: Vec<Said>,
    /// Whether the most probable cause is of the truth's family, or the truth itself.
    pub family: bool,
}

fn faults(
    group: Group,
    number: u64,
    experiment: &Experiment,
    tables: &Tables,
    chance: &mut Chance,
) -> Vec<Fault> {
    let coming = |chance: &mut Chance| {
        let from = chance.between(0.2, 0.8);
        if experiment.within { Coming::At(from) } else { Coming::Stood }
    };
    let line = |cause: Cause| tables.causes.iter().find(|l| l.cause == cause);
    let at = |cause: Cause, times: f64, chance: &mut Chance| {
        // A slow deposit has half the record to come in.
        let coming = match (coming(chance), cause) {
            (Coming::At(from), Cause::Scale | Cause::CondenserFouling) => Coming::At(0.6 * from),
            (coming, _) => coming,
        };
        line(cause).map(|l| Fault { cause, end: times_limit(l, times), coming })
    };
    let turn = (number / TURNS.len() as u64) as usize;
    match group {
        Group::Sound => Vec::new(),
        Group::AtLimit => at(SIX[chance.one_of(SIX.len())], 1.0, chance).into_iter().collect(),
        Group::Process => {
            at(PUT_IN[chance.one_of(PUT_IN.len())], 2.0, chance).into_iter().collect()
        }
        Group::Pair => {
            let first = PUT_IN[(turn + chance.one_of(PUT_IN.len())) % PUT_IN.len()];
            let unknown = |cause: Cause| line(cause).map(|l| l.unknown);
            let others: Vec<Cause> =
                PUT_IN.into_iter().filter(|c| unknown(*c) != unknown(first)).collect();
            let second = others[chance.one_of(others.len())];
            [first, second].into_iter().filter_map(|c| at(c, 2.0, chance)).collect()
        }
        Group::Instrument => {
            let all = read(tables, experiment.level);
            let line = all[chance.one_of(all.len())];
            let side = if chance.even() < 0.5 { -1.0 } else { 1.0 };
            let end = side * 2.0 * line.limit;
            vec![Fault { cause: Cause::Instrument(line.instrument), end, coming: coming(chance) }]
        }
        Group::Dealt => {
            let mut out: Vec<Fault> = Vec::new();
            for line in &tables.causes {
                let taken = |f: &Fault| {
                    tables.causes.iter().any(|l| l.cause == f.cause && l.unknown == line.unknown)
                };
                if chance.even() < line.odds && !out.iter().any(taken) {
                    let (mean, sd) = line.fault_u();
                    let end = mean + sd * chance.normal();
                    out.push(Fault { cause: line.cause, end, coming: dealt(experiment, chance) });
                }
            }
            for line in read(tables, experiment.level) {
                if chance.even() < INSTRUMENT_ODDS {
                    let end = INSTRUMENT_WIDE * line.limit * chance.normal();
                    let cause = Cause::Instrument(line.instrument);
                    out.push(Fault { cause, end, coming: dealt(experiment, chance) });
                }
            }
            out
        }
    }
}

/// Three tenths stood from the first, as the table of shapes has it.
fn dealt(experiment: &Experiment, chance: &mut Chance) -> Coming {
    if experiment.moments == 1 || chance.even() < 0.3 {
        return Coming::Stood;
    }
    Coming::At(chance.between(0.0, 0.9))
}

fn read(tables: &Tables, level: Level) -> Vec<&crate::instrument::Line> {
    tables.instruments.iter().filter(|l| level.reads(l.instrument)).collect()
}

/// Runs one trial; `None` where no drawn plant could run.
#[must_use]
pub fn trial(experiment: &Experiment, sheet: &Sheet, seed: u64, number: u64) -> Option<Trial> {
    let group = TURNS[(number % TURNS.len() as u64) as usize];
    let tables = experiment.level.tables(sheet);
    let mut chance = Chance::new(seed, number);
    let simulated = (0..TRIES).find_map(|_| {
        let wanted = Wanted {
            sheet,
            tables: &tables,
            level: experiment.level,
            faults: faults(group, number, experiment, &tables, &mut chance),
            moments: experiment.moments,
            missing_and_slips: MISSING_AND_SLIPS,
            closures: experiment
                .wrong_closures
                .then(|| WRONG_CLOSURES[(number as usize / TURNS.len()) % WRONG_CLOSURES.len()]),
        };
        truth::draw(&wanted, &mut chance)
    })?;
    let finding = judged(sheet, &tables, &simulated.sets, &[]).ok()?;
    let said: Vec<Said> =
        finding.causes.iter().filter_map(|j| said(j, &simulated, sheet, &tables)).collect();
    let truth: Vec<Cause> = match group {
        Group::Dealt => said.iter().filter(|s| s.over).map(|s| s.cause).collect(),
        _ => simulated.faults.iter().map(|f| f.cause).collect(),
    };
    let leader = said.first().map(|s| s.cause);
    let family = leader.is_some_and(|leader| {
        truth.contains(&leader)
            || Family::ALL.into_iter().any(|f| f.holds(leader) && truth.iter().any(|t| f.holds(*t)))
    });
    Some(Trial { group, truth, said, family })
}

fn said(judged: &Judged, simulated: &Simulated, sheet: &Sheet, tables: &Tables) -> Option<Said> {
    let (value, over) = match judged.cause {
        Cause::Instrument(i) => {
            let error = simulated.errors[place(i)];
            (error, error.abs() > tables.instrument(i)?.limit)
        }
        cause => {
            let line: &prior::Line = tables.causes.iter().find(|l| l.cause == cause)?;
            let u = simulated.end[line.unknown as usize];
            let beyond = u - line.limit_u();
            let over = if line.above { beyond > 0.0 } else { beyond < 0.0 };
            let value = line.transform.from(u);
            match cause {
                Cause::MotivePressure => (value + sheet.rated_ejector_pressure_bar_g, over),
                Cause::Overboard => (value + sheet.rated_back_pressure_bar_g, over),
                _ => (value, over),
            }
        }
    };
    let inside = (judged.low..=judged.high).contains(&value);
    Some(Said { cause: judged.cause, p: judged.p_over_limit, over, inside })
}

fn place(instrument: Instrument) -> usize {
    instrument as usize
}
