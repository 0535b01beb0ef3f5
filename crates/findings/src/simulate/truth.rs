//! A simulated plant: what is truly the matter with it, and what its instruments would show.

use jiff::{SignedDuration, Timestamp};
use plant::{Plant, Sheet};

use crate::cause::Cause;
use crate::instrument::{self, BAROMETER_EACH_MBAR, Instrument, Scale};
use crate::observe::{Moment, Observer, SetFlows};
use crate::prior::{self, BACK_PRESSURE_BAR, CLOSURES, PLANT_UNKNOWNS, SEA_SALINITY_G_KG, Unknown};
use crate::quantity::{QUANTITIES, Quantity};
use crate::set::{INSTRUMENTS, ReadingSet};
use crate::simulate::chance::Chance;
use crate::tables::Tables;

/// What is read each time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Level {
    /// What is read on every round.
    Routine,
    /// Jacket flow, refractometer, vent pipe and brine temperature as well.
    More,
    /// Leak-down, sea flow and second instruments too.
    All,
}

impl Level {
    pub(crate) fn reads(self, instrument: Instrument) -> bool {
        use Instrument as I;
        match instrument {
            I::JacketMeter | I::BrineSalinity | I::VentTemp | I::BrineTemp => {
                self != Level::Routine
            }
            I::SeaMeter
            | I::LeakDown
            | I::SecondJacketIn
            | I::SecondJacketOut
            | I::SecondSeaTemp
            | I::SecondSeaOut
            | I::SecondVapour
            | I::ShellAbsolute
            | I::ProductDip => self == Level::All,
            // The plants that are tried have none.
            I::FeedMeter | I::SecondSalt | I::BackPressure => false,
            _ => true,
        }
    }

    /// The tables that go with it: brine strength by refractometer where it is read.
    #[must_use]
    pub fn tables(self, sheet: &Sheet) -> Tables {
        let mut tables = Tables::usual(sheet.rated_product_t_day);
        if self != Level::Routine
            && let Some(line) =
                tables.instruments.iter_mut().find(|l| l.instrument == Instrument::BrineSalinity)
        {
            (line.standing, line.each) = (0.7, 0.7);
        }
        tables
    }
}

/// How a fault of a simulated history comes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Coming {
    /// It stood before the first reading.
    Stood,
    /// Within the record: at once at this fraction of it, deposits in a line from there.
    At(f64),
}

/// A fault that is put into a simulated plant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fault {
    /// What.
    pub cause: Cause,
    /// Where it ends, in the scale of its unknown (for an instrument: its error).
    pub end: f64,
    /// How it comes.
    pub coming: Coming,
}

/// A simulated plant with its readings.
#[derive(Debug, Clone)]
pub struct Simulated {
    /// The plant unknowns at the end, in their scales.
    pub end: [f64; PLANT_UNKNOWNS],
    /// Every instrument's error at the end, in its scale, by place in [`Instrument::ALL`].
    pub errors: [f64; INSTRUMENTS],
    /// What was put in.
    pub faults: Vec<Fault>,
    /// What was read.
    pub sets: Vec<ReadingSet>,
}

/// What is to be simulated.
#[derive(Debug, Clone)]
pub struct Wanted<'a> {
    /// The plant.
    pub sheet: &'a Sheet,
    /// What is assumed of causes and instruments: also what they are drawn from.
    pub tables: &'a Tables,
    /// What is read.
    pub level: Level,
    /// Faults.
    pub faults: Vec<Fault>,
    /// Readings; more than one make a history, one a day.
    pub moments: usize,
    /// Part of the readings of a history that are missing, and part that are slips.
    pub missing_and_slips: (f64, f64),
    /// Blanketing exponent and convective share of the true plant; drawn from the tables' doubts where none.
    pub closures: Option<(f64, f64)>,
}

/// A plant that makes less than this part of its rated output would be shut down, not explained.
const BARELY: f64 = 0.15;

/// A fault at so many times its limit: twice a deposit or a leak, twice the logarithm of a factor, twice the missing pressure.
#[must_use]
pub fn times_limit(line: &prior::Line, times: f64) -> f64 {
    match line.cause {
        Cause::EjectorWear
        | Cause::JacketFlow
        | Cause::SeaFlow
        | Cause::FeedLow
        | Cause::FeedHigh => times * line.limit.ln(),
        _ => line.transform.to(times * line.limit),
    }
}

/// Draws a plant and its readings; `None` where a drawn plant cannot run, and another draw is to be made.
pub(crate) fn draw(wanted: &Wanted<'_>, chance: &mut Chance) -> Option<Simulated> {
    let observer = Observer::new(wanted.sheet, &wanted.tables.causes);
    let mut start = [0.0; PLANT_UNKNOWNS];
    for line in &wanted.tables.causes {
        // Feed has two lines with one healthy density: the later draw stands.
        let (mean, sd) = line.healthy_u();
        start[line.unknown as usize] = mean + sd * chance.normal();
    }
    for (i, sd) in CLOSURES.into_iter().enumerate() {
        start[Unknown::Blanketing as usize + i] = sd * chance.normal();
    }
    if let Some((exponent, share)) = wanted.closures {
        start[Unknown::Blanketing as usize] = (exponent / wanted.sheet.blanketing_exponent).ln();
        start[Unknown::Convective as usize] = share - wanted.sheet.convective_share;
    }
    let mut model = [0.0; QUANTITIES];
    // No plant tried has a feed meter, a second salinometer or a gauge behind the ejector: chance is asked for the others alone.
    for quantity in
        Quantity::ALL.into_iter().filter(|q| !matches!(q, Quantity::FeedFlow | Quantity::Back))
    {
        model[quantity as usize] = quantity.model_error() * chance.normal();
    }
    let mut errors = [0.0; INSTRUMENTS];
    let never = [Instrument::FeedMeter, Instrument::SecondSalt, Instrument::BackPressure];
    for line in wanted.tables.instruments.iter().filter(|l| !never.contains(&l.instrument)) {
        errors[line.instrument as usize] = line.standing * chance.normal();
    }
    let first_errors = errors;
    let mut end = start;
    for fault in &wanted.faults {
        match fault.cause {
            Cause::Instrument(i) => errors[i as usize] = fault.end,
            cause => {
                let line = wanted.tables.causes.iter().find(|l| l.cause == cause)?;
                end[line.unknown as usize] = fault.end;
            }
        }
    }
    let mut sets = Vec::with_capacity(wanted.moments);
    let phase = std::array::from_fn::<f64, 3, _>(|_| chance.even());
    let plant = observer.plant(&start).ok()?;
    for place in 0..wanted.moments {
        let fraction =
            if wanted.moments > 1 { place as f64 / (wanted.moments - 1) as f64 } else { 1.0 };
        let come = |cause: Cause| {
            let fault = wanted.faults.iter().find(|f| f.cause == cause);
            match fault.map(|f| f.coming) {
                None | Some(Coming::Stood) => 1.0,
                Some(Coming::At(from)) => match cause {
                    Cause::Scale | Cause::CondenserFouling => {
                        ((fraction - from) / (1.0 - from)).clamp(0.0, 1.0)
                    }
                    _ => f64::from(u8::from(fraction >= from)),
                },
            }
        };
        let mut u = end;
        for line in &wanted.tables.causes {
            if wanted.faults.iter().any(|f| f.cause == line.cause) {
                let at = line.unknown as usize;
                let w = come(line.cause);
                u[at] = (1.0 - w) * start[at] + w * end[at];
            }
        }
        let now: [f64; INSTRUMENTS] = std::array::from_fn(|i| {
            let w = come(Cause::Instrument(Instrument::ALL[i]));
            (1.0 - w) * first_errors[i] + w * errors[i]
        });
        let moment = weather(wanted, chance, fraction, &phase);
        let set = read(wanted, &observer, &plant, &u, &model, &now, &moment, place, chance)?;
        sets.push(set);
    }
    Some(Simulated { end, errors, faults: wanted.faults.clone(), sets })
}

/// Conditions of a moment: sea from 18 to 33 °C, 70 to 100 % of the jacket flow, the jacket near its set point.
fn weather(wanted: &Wanted<'_>, chance: &mut Chance, fraction: f64, phase: &[f64; 3]) -> Moment {
    let sheet = wanted.sheet;
    let single = wanted.moments == 1;
    let slow = |phase: f64, turns: f64| (std::f64::consts::TAU * (phase + turns * fraction)).sin();
    let part = |slow: f64, chance: &mut Chance| {
        if single {
            chance.even()
        } else {
            (0.5 + 0.45 * slow + 0.1 * chance.normal()).clamp(0.0, 1.0)
        }
    };
    let sea = part(slow(phase[0], 0.7), chance);
    let load = part(slow(phase[1], 3.0), chance);
    let rated = SetFlows::rated(sheet);
    Moment {
        sea_temp_c: 18.0 + 15.0 * sea,
        jacket_in_c: sheet.rated_jacket_in_c - 1.0 + 1.0 * chance.normal(),
        barometer_hpa: 1013.25 + BAROMETER_EACH_MBAR * chance.normal(),
        set: SetFlows { jacket_kg_s: rated.jacket_kg_s * (0.7 + 0.3 * load), ..rated },
    }
}

#[expect(clippy::too_many_arguments, reason = "one moment's whole state, used in one place")]
fn read(
    wanted: &Wanted<'_>,
    observer: &Observer,
    plant: &Plant,
    u: &[f64; PLANT_UNKNOWNS],
    model: &[f64; QUANTITIES],
    errors: &[f64; INSTRUMENTS],
    moment: &Moment,
    place: usize,
    chance: &mut Chance,
) -> Option<ReadingSet> {
    let mut point = observer.point(u, moment);
    point.back_pressure_bar_g += BACK_PRESSURE_BAR * chance.normal();
    point.sea_salinity_g_kg += SEA_SALINITY_G_KG * chance.normal();
    let solution = plant.fitted(&point, None).ok()?;
    if solution.product_t_day < BARELY * wanted.sheet.rated_product_t_day {
        return None;
    }
    let mut value = Observer::quantities(&solution, &point);
    for (value, error) in value.iter_mut().zip(model) {
        *value += error;
    }
    let hours = SignedDuration::from_hours(24 * place as i64);
    let time = Timestamp::from_second(1_750_000_000).ok()?.checked_add(hours).ok()?;
    let mut set = ReadingSet::at(time);
    set.set = Some(moment.set);
    let (missing, slips) = if wanted.moments > 1 { wanted.missing_and_slips } else { (0.0, 0.0) };
    for line in wanted.tables.instruments.iter().filter(|l| wanted.level.reads(l.instrument)) {
        if chance.even() < missing {
            continue;
        }
        let mut error = errors[line.instrument as usize];
        if chance.even() < slips {
            // A slip of the eye or the pen: five to ten times the usual scatter.
            let side = if chance.even() < 0.5 { -1.0 } else { 1.0 };
            error += side * chance.between(5.0, 10.0) * line.each;
        }
        set.put(line.instrument, Some(shown(line, &value, error, moment, chance)));
    }
    Some(set)
}

/// What an instrument shows, in the unit it is read in and in its steps.
fn shown(
    line: &instrument::Line,
    value: &[f64; QUANTITIES],
    error: f64,
    moment: &Moment,
    chance: &mut Chance,
) -> f64 {
    let quantity = value[line.quantity as usize];
    let mut scaled = line.shows(quantity, error).0 + line.each * chance.normal();
    if line.instrument == Instrument::ShellGauge {
        scaled -= moment.barometer_hpa;
    }
    let figure = line.unscaled(scaled);
    let figure = if matches!(line.scale, Scale::Asinh(_)) { figure.max(0.0) } else { figure };
    if line.step > 0.0 { (figure / line.step).round() * line.step } else { figure }
}
