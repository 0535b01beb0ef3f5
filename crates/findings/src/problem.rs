//! Readings made ready for the fit: which unknowns there are, what is foretold at which moment, what each figure weighs.

use jiff::Timestamp;
use plant::Sheet;

use crate::cause::Cause;
use crate::instrument::{BAROMETER_EACH_MBAR, Instrument};
use crate::observe::{Moment, Observer, SetFlows};
use crate::prior::{self, CLOSURES, FOUND_SOUND, INSTRUMENT_WIDE, PLANT_UNKNOWNS, Unknown};
use crate::quantity::Quantity;
use crate::set::ReadingSet;
use crate::tables::Tables;

/// A jacket inlet that was not read is known from the rated one to this, K.
const JACKET_UNREAD_K: f64 = 6.0;
/// A sea temperature that was not read, K.
const SEA_UNREAD_K: f64 = 6.0;
/// Standard atmosphere, hPa.
const STANDARD_HPA: f64 = 1013.25;
/// Deposits wander by this much in ln from knot to knot of a history.
const DRIFT: f64 = 0.2;
/// A part that began anew went from knot to knot before by this part of the way from healthy to a usual fault (our estimate).
const BEFORE: f64 = 0.5;
/// Knots of a history, ends included.
pub(crate) const KNOTS: usize = 4;
/// A history has so many moments at least and lasts so many days.
const HISTORY: (usize, f64) = (6, 2.0);

/// Unknowns in their order: plant, instrument errors, model errors, drifts; a hypothesis adds what changed.
#[derive(Debug, Clone)]
pub(crate) struct Layout {
    /// Instruments with an error of their own: jacket and sea water in first, read or not.
    pub(crate) errors: Vec<Instrument>,
    /// Quantities with a model error.
    pub(crate) model: Vec<Quantity>,
    /// Drifting unknowns.
    pub(crate) drifts: Vec<Unknown>,
    /// Parts that began anew within the record; the last places are what each was before.
    pub(crate) restarts: Vec<Restart>,
    /// Instruments looked at within the record and found in order: until which part of its time each had an error of its own, and the
    /// place of that error.
    pub(crate) earlier: Vec<(Instrument, f64, usize)>,
    /// How many unknowns before a hypothesis adds its own.
    pub(crate) count: usize,
}

/// A part or an instrument whose history begins anew at a moment: a deposit taken off, or what was looked at and found in order. Readings
/// before that moment keep what they were explained by: it went its own way up to it, and that way says nothing of it after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Anew {
    /// Which.
    pub cause: Cause,
    /// When.
    pub at: Timestamp,
    /// Whether it was seen to be at fault then.
    pub seen: bool,
}

/// The same among the unknowns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Restart {
    pub(crate) unknown: Unknown,
    /// When, as a part of the record's time; past 1 after the last moment.
    pub(crate) fraction: f64,
    /// Place of its value at the end of the time before among the unknowns; behind it how it came there, knot by knot.
    pub(crate) before: usize,
    /// Seen to be at fault then: as this line of the table has it.
    pub(crate) seen: Option<Cause>,
}

impl Restart {
    /// Weights of the unknowns that make up its value at a moment before, by the record's time that has passed.
    pub(crate) fn weights(&self, fraction: f64) -> impl Iterator<Item = (usize, f64)> + use<> {
        let (before, part) = (self.before, fraction / self.fraction);
        let back = (0..KNOTS - 1).map(move |k| (before + 1 + k, drifted(k, part) - 1.0));
        std::iter::once((before, 1.0)).chain(back)
    }
}

impl Layout {
    /// The new beginning of what stands at a place among the unknowns.
    pub(crate) fn restart(&self, at: usize) -> Option<&Restart> {
        self.restarts.iter().find(|r| r.unknown as usize == at)
    }

    /// Place of an instrument's error at a part of the record's time: of before its look, or of now.
    pub(crate) fn error_at(&self, instrument: Instrument, fraction: f64) -> Option<usize> {
        let before =
            self.earlier.iter().find(|(i, until, _)| *i == instrument && fraction < *until);
        before.map(|(.., place)| *place).or_else(|| self.error(instrument))
    }

    /// Place of the error that a wrong instrument is blamed by: where it was looked at and found right, that of before.
    pub(crate) fn blamed(&self, instrument: Instrument) -> Option<usize> {
        self.error_at(instrument, f64::NEG_INFINITY)
    }

    /// Place of an instrument's error now, and at the end of the record.
    pub(crate) fn error(&self, instrument: Instrument) -> Option<usize> {
        self.errors.iter().position(|i| *i == instrument).map(|i| PLANT_UNKNOWNS + i)
    }

    pub(crate) fn model_error(&self, quantity: Quantity) -> Option<usize> {
        let place = self.model.iter().position(|q| *q == quantity)?;
        Some(PLANT_UNKNOWNS + self.errors.len() + place)
    }

    /// First drift of an unknown; the others follow.
    pub(crate) fn drift(&self, unknown: Unknown) -> Option<usize> {
        let place = self.drifts.iter().position(|u| *u == unknown)?;
        Some(PLANT_UNKNOWNS + self.errors.len() + self.model.len() + place * (KNOTS - 1))
    }
}

/// Part of a drift's increment that has come at a fraction of the record.
pub(crate) fn drifted(knot: usize, fraction: f64) -> f64 {
    let span = (KNOTS - 1) as f64;
    (fraction * span - knot as f64).clamp(0.0, 1.0)
}

/// One figure that is foretold.
#[derive(Debug, Clone)]
pub(crate) struct Row {
    /// Place in the instrument table.
    pub(crate) line: usize,
    pub(crate) quantity: Quantity,
    /// As read, in the scale of its line.
    pub(crate) figure: f64,
    /// Variance of this one reading.
    pub(crate) variance: f64,
    /// Its instrument's error among the unknowns.
    pub(crate) error: usize,
    /// Its quantity's model error among the unknowns.
    pub(crate) model: Option<usize>,
}

/// One moment made ready.
#[derive(Debug, Clone)]
pub(crate) struct Ready {
    /// Jacket and sea water in as read (or as assumed), barometer and set flows.
    pub(crate) moment: Moment,
    /// Variance of one reading of jacket and sea water in.
    pub(crate) input_variance: [f64; 2],
    /// Whether they were read.
    pub(crate) input_read: [bool; 2],
    /// Their instruments' errors among the unknowns.
    pub(crate) input_error: [usize; 2],
    pub(crate) rows: Vec<Row>,
    /// Part of the record's time that has passed.
    pub(crate) fraction: f64,
    /// Moments that were drawn together here.
    pub(crate) of: f64,
}

/// Readings, tables and plant made ready.
#[derive(Debug, Clone)]
pub(crate) struct Problem {
    pub(crate) observer: Observer,
    pub(crate) tables: Tables,
    pub(crate) layout: Layout,
    pub(crate) moments: Vec<Ready>,
    /// Days from first to last.
    pub(crate) days: f64,
    /// The last set and moment as read, however moments are drawn together.
    pub(crate) last: Option<(ReadingSet, Moment)>,
    /// The highest salinity that was read, by either instrument, mg/kg; 0 where none was.
    pub(crate) saltiest: f64,
}

/// Mean and standard deviation of every unknown before anything is read.
#[derive(Debug, Clone)]
pub(crate) struct Prior {
    pub(crate) mean: Vec<f64>,
    pub(crate) sd: Vec<f64>,
}

impl Problem {
    /// Part of the time that has passed for an unknown at a moment: since its cleaning, where it was cleaned.
    pub(crate) fn fraction_of(&self, at: usize, place: usize) -> f64 {
        let fraction = self.moments[place].fraction;
        match self.layout.restart(at) {
            None => fraction,
            Some(r) if r.fraction < 1.0 => {
                ((fraction - r.fraction) / (1.0 - r.fraction)).clamp(0.0, 1.0)
            }
            Some(_) => 0.0,
        }
    }

    /// Days since the cleaning of what stands at a place, or since the first moment, to the last.
    pub(crate) fn days_of(&self, at: usize) -> f64 {
        let whole = self.layout.restart(at).map_or(1.0, |r| (1.0 - r.fraction).max(0.0));
        self.days * whole
    }

    /// The cleaning that what stands at a place still had before it at a moment.
    pub(crate) fn not_yet(&self, at: usize, place: usize) -> Option<&Restart> {
        let fraction = self.moments[place].fraction;
        self.layout.restart(at).filter(|r| fraction < r.fraction)
    }

    /// Makes readings ready; the caller has passed over what cannot be used. `anew` are parts taken off or looked at, and when.
    pub(crate) fn new(sheet: &Sheet, tables: &Tables, sets: &[ReadingSet], anew: &[Anew]) -> Self {
        let observer = Observer::new(sheet, &tables.causes);
        let read = |i: Instrument| sets.iter().any(|s| s.get(i).is_some());
        let mut errors = vec![Instrument::JacketIn, Instrument::SeaTemp];
        let mut model = Vec::new();
        for line in tables.instruments.iter().filter(|l| !l.is_input() && read(l.instrument)) {
            errors.push(line.instrument);
            if line.quantity.model_error() > 0.0 && !model.contains(&line.quantity) {
                model.push(line.quantity);
            }
        }
        let seconds = |s: &ReadingSet| s.time.as_second() as f64;
        let (from, to) = match (sets.first(), sets.last()) {
            (Some(first), Some(last)) => (seconds(first), seconds(last)),
            _ => (0.0, 0.0),
        };
        let days = (to - from) / 86_400.0;
        let history = sets.len() >= HISTORY.0 && days >= HISTORY.1;
        let drifts = if history { vec![Unknown::Scale, Unknown::Fouling] } else { Vec::new() };
        let mut count = PLANT_UNKNOWNS + errors.len() + model.len() + drifts.len() * (KNOTS - 1);
        let mut restarts = Vec::new();
        for line in &tables.causes {
            let known = |r: &Restart| r.unknown == line.unknown;
            let own = |a: &&Anew| {
                tables.causes.iter().any(|l| l.cause == a.cause && l.unknown == line.unknown)
            };
            let Some(last) = anew.iter().filter(own).max_by_key(|a| a.at) else { continue };
            let at = last.at.as_second() as f64;
            if at <= from || restarts.iter().any(known) {
                continue;
            }
            // Of one moment: it was before, or there is nothing to tell.
            let fraction = if to > from { (at - from) / (to - from) } else { 2.0 };
            let seen = last.seen.then_some(last.cause);
            restarts.push(Restart { unknown: line.unknown, fraction, before: count, seen });
            count += KNOTS;
        }
        let mut earlier: Vec<(Instrument, f64, usize)> = Vec::new();
        for instrument in &errors {
            let own = |a: &&Anew| a.cause == Cause::Instrument(*instrument);
            let Some(last) = anew.iter().filter(own).max_by_key(|a| a.at) else { continue };
            let at = last.at.as_second() as f64;
            if at > from {
                let fraction = if to > from { (at - from) / (to - from) } else { 2.0 };
                earlier.push((*instrument, fraction, count));
                count += 1;
            }
        }
        let layout = Layout { errors, model, drifts, restarts, earlier, count };
        let usual = |i: Instrument, rated: f64| {
            let figures: Vec<f64> = sets.iter().filter_map(|s| s.get(i)).collect();
            let mean = figures.iter().sum::<f64>() / figures.len() as f64;
            // Never read, it is an unknown of its own; left out now and then, it scatters as widely.
            let never = figures.is_empty();
            let wide = if i == Instrument::JacketIn { JACKET_UNREAD_K } else { SEA_UNREAD_K };
            if never {
                (rated, if sets.len() > 1 { wide * wide } else { 0.0 })
            } else {
                (mean, wide * wide)
            }
        };
        let unread = [
            usual(Instrument::JacketIn, sheet.rated_jacket_in_c),
            usual(Instrument::SeaTemp, sheet.rated_sea_temp_c),
        ];
        let moments = sets
            .iter()
            .map(|set| {
                let fraction = if to > from { (seconds(set) - from) / (to - from) } else { 1.0 };
                ready(sheet, tables, &layout, set, fraction, unread)
            })
            .collect();
        let moments: Vec<Ready> = moments;
        let last = sets.last().cloned().zip(moments.last().map(|ready| ready.moment));
        let salt = |s: &ReadingSet| [s.get(Instrument::ProductSalt), s.get(Instrument::SecondSalt)];
        let saltiest = sets.iter().flat_map(salt).flatten().fold(0.0, f64::max);
        Problem { observer, tables: tables.clone(), layout, moments, days, last, saltiest }
    }

    /// The prior under which nothing is at fault.
    pub(crate) fn healthy(&self) -> Prior {
        let n = self.layout.count;
        let mut prior = Prior { mean: vec![0.0; n], sd: vec![DRIFT; n] };
        for line in &self.tables.causes {
            let (mean, sd) = line.healthy_u();
            prior.mean[line.unknown as usize] = mean;
            prior.sd[line.unknown as usize] = sd;
        }
        for line in self.tables.causes.iter().filter(|line| line.found_sound) {
            if let Some(first) = self.layout.drift(line.unknown) {
                prior.sd[first..first + KNOTS - 1].fill(DRIFT * FOUND_SOUND);
            }
        }
        for (i, sd) in CLOSURES.into_iter().enumerate() {
            prior.sd[Unknown::Blanketing as usize + i] = sd;
        }
        for instrument in &self.layout.errors {
            if let Some(at) = self.layout.error(*instrument) {
                prior.sd[at] = self.standing(*instrument);
            }
            if let Some(at) = self.layout.blamed(*instrument) {
                prior.sd[at] = self.standing(*instrument);
            }
        }
        for quantity in &self.layout.model {
            if let Some(at) = self.layout.model_error(*quantity) {
                prior.sd[at] = quantity.model_error();
            }
        }
        for restart in &self.layout.restarts {
            let lines = || self.tables.causes.iter().filter(|l| l.unknown == restart.unknown);
            // What came off, or what there was before the look, may have been little or much, unless it was seen.
            let seen = lines().find(|l| Some(l.cause) == restart.seen).map(prior::Line::fault_u);
            if let Some((mean, sd)) = seen.or_else(|| self.wide_of(restart.unknown as usize)) {
                (prior.mean[restart.before], prior.sd[restart.before]) = (mean, sd);
            }
            let far = |l: &prior::Line| (l.fault_u().0 - l.usual_u().0).abs();
            let knot = lines().map(far).fold(DRIFT, f64::max) * BEFORE;
            prior.sd[restart.before + 1..restart.before + KNOTS].fill(knot);
        }
        prior
    }

    /// The middle of a plant with nothing at fault, before a new beginning as after it.
    pub(crate) fn sound(&self) -> Vec<f64> {
        let mut mean = self.healthy().mean;
        for restart in &self.layout.restarts {
            mean[restart.before] = mean[restart.unknown as usize];
        }
        mean
    }

    /// One normal density over healthy and fault together, of an unknown that may be at fault.
    fn wide_of(&self, unknown: usize) -> Option<(f64, f64)> {
        let lines: Vec<&prior::Line> =
            self.tables.causes.iter().filter(|l| l.unknown as usize == unknown).collect();
        let first = lines.first()?;
        let sound = 1.0 - lines.iter().map(|l| l.odds).sum::<f64>();
        let parts: Vec<(f64, f64, f64)> = std::iter::once((sound, first.usual_u()))
            .chain(lines.iter().map(|l| (l.odds, l.fault_u())))
            .map(|(weight, (mean, sd))| (weight, mean, sd))
            .collect();
        let mean: f64 = parts.iter().map(|(w, m, _)| w * m).sum();
        let second: f64 = parts.iter().map(|(w, m, s)| w * (s * s + m * m)).sum();
        Some((mean, (second - mean * mean).sqrt()))
    }

    /// One normal density an unknown over healthy and fault together, for the first fit.
    pub(crate) fn broad(&self) -> Prior {
        let mut prior = self.healthy();
        for unknown in 0..PLANT_UNKNOWNS {
            let first = self.tables.causes.iter().find(|l| l.unknown as usize == unknown);
            if first.is_none_or(|l| l.found_sound) {
                continue;
            }
            if let Some((mean, sd)) = self.wide_of(unknown) {
                (prior.mean[unknown], prior.sd[unknown]) = (mean, sd);
            }
        }
        for instrument in &self.layout.errors {
            if let Some(at) = self.layout.blamed(*instrument)
                && let Some(wide) = self.wide(*instrument)
            {
                let sd = prior.sd[at];
                let odds = self.tables.instrument(*instrument).map_or(0.0, |l| l.odds);
                let variance = (1.0 - odds) * sd * sd + odds * wide * wide;
                prior.sd[at] = variance.sqrt();
            }
        }
        prior
    }

    /// Standing error of an instrument; of an input that was never read, how far it is known at all.
    fn standing(&self, instrument: Instrument) -> f64 {
        let line = self.tables.instrument(instrument).map_or(0.0, |l| l.standing);
        if self.is_read(instrument) {
            return line;
        }
        match instrument {
            Instrument::JacketIn => JACKET_UNREAD_K,
            Instrument::SeaTemp => SEA_UNREAD_K,
            _ => line,
        }
    }

    /// Error of an instrument that reads wrong, one standard deviation; none for what was not read.
    pub(crate) fn wide(&self, instrument: Instrument) -> Option<f64> {
        let line = self.tables.instrument(instrument)?;
        self.is_read(instrument).then_some(INSTRUMENT_WIDE * line.limit)
    }

    pub(crate) fn is_read(&self, instrument: Instrument) -> bool {
        match instrument {
            Instrument::JacketIn => self.moments.iter().any(|m| m.input_read[0]),
            Instrument::SeaTemp => self.moments.iter().any(|m| m.input_read[1]),
            other => self.layout.error(other).is_some(),
        }
    }
}

fn ready(
    sheet: &Sheet,
    tables: &Tables,
    layout: &Layout,
    set: &ReadingSet,
    fraction: f64,
    unread: [(f64, f64); 2],
) -> Ready {
    let input = |instrument: Instrument, otherwise: (f64, f64)| {
        let line = tables.instrument(instrument);
        match (set.get(instrument), line) {
            (Some(figure), Some(line)) => (figure, line.each_variance(figure), true),
            _ => (otherwise.0, otherwise.1, false),
        }
    };
    let (jacket_in_c, jacket_variance, jacket_read) = input(Instrument::JacketIn, unread[0]);
    let (sea_temp_c, sea_variance, sea_read) = input(Instrument::SeaTemp, unread[1]);
    let barometer_hpa = set.barometer_hpa.unwrap_or(STANDARD_HPA);
    let mut rows = Vec::new();
    for (place, line) in tables.instruments.iter().enumerate().filter(|(_, l)| !l.is_input()) {
        let error = layout.error_at(line.instrument, fraction);
        let (Some(figure), Some(error)) = (set.get(line.instrument), error) else {
            continue;
        };
        let mut variance = line.each_variance(figure);
        let mut scaled = line.scaled(figure);
        if line.instrument == Instrument::ShellGauge {
            // From gauge to absolute, by the day's atmosphere.
            scaled += barometer_hpa;
            if set.barometer_hpa.is_none() {
                variance += BAROMETER_EACH_MBAR * BAROMETER_EACH_MBAR;
            }
        }
        rows.push(Row {
            line: place,
            quantity: line.quantity,
            figure: scaled,
            variance,
            error,
            model: layout.model_error(line.quantity),
        });
    }
    Ready {
        moment: Moment {
            jacket_in_c,
            sea_temp_c,
            barometer_hpa,
            set: set.set.unwrap_or_else(|| SetFlows::rated(sheet)),
        },
        input_variance: [jacket_variance, sea_variance],
        input_read: [jacket_read, sea_read],
        // Both are always among the errors, first and second.
        input_error: [(Instrument::JacketIn, 0), (Instrument::SeaTemp, 1)].map(
            |(instrument, i)| layout.error_at(instrument, fraction).unwrap_or(PLANT_UNKNOWNS + i),
        ),
        rows,
        fraction,
        of: 1.0,
    }
}
