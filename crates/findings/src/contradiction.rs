//! Readings of one moment that cannot stand together: swapped, in another unit, colder than what cools them. Named; left out unless little.

use plant::Sheet;

use crate::instrument::Instrument;
use crate::set::ReadingSet;

/// An outlet on the wrong side of its inlet by more than this is no scatter, K.
const SIDE_K: f64 = 1.0;
/// Two other thermometers of which the hot one is colder by more than this, K (our estimate: both off by one and a half deviations).
const APART_K: f64 = 2.0;
/// Out of order by less than this one thermometer may be that wrong: it stays in the fit, which can blame it, K (our estimate: off by
/// twice its limit and two of its deviations).
const LITTLE_K: f64 = 8.0;
/// Water of the sea and of the jacket stays within this, °C: sea water freezes under it, jacket water boils over it (common practice).
const WATER_C: (f64, f64) = (-2.5, 110.0);
/// A shell gauge off by more than this from what can be is no scatter, mbar (three deviations of a bourdon tube, barometer unnoted).
const GAUGE_MBAR: f64 = 40.0;
/// The same of an absolute gauge, mbar.
const ABSOLUTE_MBAR: f64 = 6.0;
/// A gauge out by less than this many times those may be that wrong, and stays in the fit (our estimate).
const LITTLE: f64 = 2.0;
/// Standard atmosphere, hPa.
const STANDARD_HPA: f64 = 1013.25;
/// What was read in °F lies, as °C, this near another thermometer, K (our estimate: the steps of the ladder are 5 to 30 K).
const NEAR_K: f64 = 16.0;
/// Jacket water that drops by so much passes the heat of a running plant, K.
const PASSES_HEAT_K: f64 = 4.0;
/// Of the rated output: more cannot be made with the ejector pump standing.
const MAKES: f64 = 0.5;

/// What is odd about a figure or two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Odd {
    /// The hot one reads colder than the cold one, and nothing says which is wrong.
    Between { hot: (Instrument, f64), cold: (Instrument, f64) },
    /// The other way round all temperatures would be in order.
    Swapped { one: (Instrument, f64), other: (Instrument, f64) },
    /// One alone is out of the order of the others: the nearest it cannot stand beside, and by how much at most it is out of order, K.
    Alone { one: (Instrument, f64), beside: (Instrument, f64), below: bool, by_k: f64 },
    /// No water is so cold or so hot.
    NoWater { one: (Instrument, f64) },
    /// In another unit it would be in order: as read, the unit, and what it would be.
    Unit { one: (Instrument, f64), unit: &'static str, then: f64, shown: &'static str },
    /// Vacuum and vapour stand in each other's place: as read, in per cent of a standard atmosphere and °C.
    Exchanged { percent: f64, vapour_c: f64 },
    /// A shell pressure at which nothing boils or nothing condenses: boiling point by it, the reading that forbids it, and by how much.
    Shell {
        one: (Instrument, f64),
        boils_c: f64,
        beside: (Instrument, f64),
        below: bool,
        by_mbar: f64,
    },
}

impl Odd {
    /// The instruments that are left out: none where the order is broken by little, so that the fit can blame one of them.
    pub(crate) fn left_out(&self) -> Vec<Instrument> {
        if self.little() { Vec::new() } else { self.instruments() }
    }

    /// Whether one instrument that is wrong would do.
    fn little(&self) -> bool {
        match *self {
            Odd::Between { hot, cold } => cold.1 - hot.1 < LITTLE_K,
            Odd::Alone { by_k, .. } => by_k < LITTLE_K,
            Odd::Shell { one: (Instrument::ShellGauge, _), by_mbar, .. } => {
                by_mbar < LITTLE * GAUGE_MBAR
            }
            Odd::Shell { by_mbar, .. } => by_mbar < LITTLE * ABSOLUTE_MBAR,
            _ => false,
        }
    }

    /// The instruments whose figures are odd.
    pub(crate) fn instruments(&self) -> Vec<Instrument> {
        match *self {
            Odd::Between { hot, cold } => vec![hot.0, cold.0],
            Odd::Swapped { one, other } => vec![one.0, other.0],
            Odd::Exchanged { .. } => vec![Instrument::ShellGauge, Instrument::VapourTemp],
            Odd::Alone { one, .. }
            | Odd::NoWater { one }
            | Odd::Unit { one, .. }
            | Odd::Shell { one, .. } => vec![one.0],
        }
    }

    /// Whether it is open which of the figures are wrong.
    pub(crate) fn open(&self) -> bool {
        matches!(self, Odd::Between { .. } | Odd::Swapped { .. } | Odd::Exchanged { .. })
    }

    /// Whether it is the same oddity of the same instruments, both left out or both still counted.
    pub(crate) fn same(&self, other: &Odd) -> bool {
        self.open() == other.open()
            && self.little() == other.little()
            && self.instruments() == other.instruments()
    }

    /// Whether it says more than that a figure cannot be.
    pub(crate) fn explains(&self) -> bool {
        matches!(self, Odd::Unit { .. })
    }

    /// In a sentence; `times` stands behind what was read.
    pub(crate) fn says(&self, times: &str) -> String {
        let ends = if self.little() {
            ("both still count", "it still counts")
        } else {
            ("both were left out", "it was left out")
        };
        self.ending(times, ends)
    }

    /// The same with what becomes of both figures, or of the one.
    fn ending(&self, times: &str, (both, it): (&str, &str)) -> String {
        match *self {
            Odd::Exchanged { percent, vapour_c } => format!(
                "The shell's vacuum gauge ({} % vacuum) and the vapour temperature ({} °C) stand as if swapped{times}: the other way round both fit; {both}.",
                figure(percent),
                figure(vapour_c)
            ),
            Odd::Between { hot: (hot, h), cold: (cold, c) } => format!(
                "{} ({} °C) reads colder than {} ({} °C){times}: swapped, or one of them is wrong; {both}.",
                capital(hot.words()),
                figure(h),
                cold.words(),
                figure(c)
            ),
            Odd::Swapped { one: (one, x), other: (other, y) } => format!(
                "{} ({} °C) and {} ({} °C) stand as if swapped{times}: the other way round all temperatures are in order; {both}.",
                capital(one.words()),
                figure(x),
                other.words(),
                figure(y)
            ),
            Odd::Alone { one: (one, x), beside: (other, y), below, .. } => format!(
                "{} ({} °C) cannot be {} than {} ({} °C){times}: misread or wrong; {it}.",
                capital(one.words()),
                figure(x),
                if below { "colder" } else { "warmer" },
                other.words(),
                figure(y)
            ),
            Odd::NoWater { one: (one, x) } => format!(
                "{} ({} °C) is outside what such water can be, {} to {} °C{times}: misread or wrong; {it}.",
                capital(one.words()),
                figure(x),
                WATER_C.0,
                WATER_C.1
            ),
            Odd::Unit { one: (one, x), unit, then, shown } => format!(
                "{} ({}) cannot be{times}. Read in {unit} it would be {} {shown}: mind the unit; {it}.",
                capital(one.words()),
                figure(x),
                figure(then)
            ),
            Odd::Shell { one: (one, x), boils_c, beside: (other, y), below, .. } => format!(
                "{} ({} mbar absolute) means boiling at {boils_c:.0} °C, {} than {} ({} °C){times}: misread, in another unit, or wrong; {it}.",
                capital(one.words()),
                figure(x),
                if below { "colder" } else { "warmer" },
                other.words(),
                figure(y)
            ),
        }
    }
}

/// Instruments of a set whose figures cannot stand together by more than a little, as they would be left out of a finding.
#[must_use]
pub fn contradicted(sheet: &Sheet, set: &ReadingSet) -> Vec<Instrument> {
    let mut set = set.clone();
    odd(sheet, &mut set).iter().flat_map(Odd::left_out).collect()
}

/// The same, each with a sentence that says what is wrong and asks for the reading again.
#[must_use]
pub fn impossible(sheet: &Sheet, set: &ReadingSet) -> Vec<(Vec<Instrument>, String)> {
    let mut set = set.clone();
    let odd = odd(sheet, &mut set);
    let out = odd.iter().filter(|odd| !odd.little());
    let again = ("read both again", "read it again");
    out.map(|odd| (odd.instruments(), odd.ending("", again))).collect()
}

/// Per cent of a standard atmosphere of a gauge in bar, as a vacuum dial shows it.
const PERCENT_A_BAR: f64 = -100_000.0 / STANDARD_HPA;
/// Vacuum and vapour fit where they boil within so much of each other, K (our estimate: 27 mbar of the gauge at 45 °C).
const FIT_K: f64 = 8.0;

/// Vacuum and vapour written in each other's place: neither can stand as read, and both fit the other way round.
fn exchanged(set: &ReadingSet) -> Option<Odd> {
    let (gauge, vapour_c) = (set.get(Instrument::ShellGauge)?, set.get(Instrument::VapourTemp)?);
    let percent = gauge * PERCENT_A_BAR;
    let alone = |set: &ReadingSet| {
        let mut out = temperatures(set);
        out.extend(shell(set, Instrument::ShellGauge));
        out.retain(|odd| !odd.little());
        out
    };
    let wrong: Vec<Instrument> = alone(set).iter().flat_map(Odd::instruments).collect();
    if ![Instrument::ShellGauge, Instrument::VapourTemp].iter().all(|i| wrong.contains(i)) {
        return None;
    }
    let mut other = set.clone();
    other.put(Instrument::ShellGauge, Some(vapour_c / PERCENT_A_BAR));
    other.put(Instrument::VapourTemp, Some(percent));
    let pa =
        100.0 * (set.barometer_hpa.unwrap_or(STANDARD_HPA) + 1000.0 * vapour_c / PERCENT_A_BAR);
    let fits = pa > 0.0 && (water::saturation::temperature_c(pa) - percent).abs() < FIT_K;
    (fits && alone(&other).is_empty()).then_some(Odd::Exchanged { percent, vapour_c })
}

/// Takes out of a set what cannot stand together by more than a little, and says what it was.
pub(crate) fn odd(sheet: &Sheet, set: &mut ReadingSet) -> Vec<Odd> {
    let mut out: Vec<Odd> = exchanged(set).into_iter().collect();
    take_out(set, &out);
    out.extend(temperatures(set));
    take_out(set, &out);
    let more = [shell(set, Instrument::ShellGauge), shell(set, Instrument::ShellAbsolute)];
    out.extend(more.into_iter().flatten());
    out.extend(output(sheet, set));
    take_out(set, &out);
    let motive = motive(sheet, set);
    out.extend(motive);
    take_out(set, &out);
    out
}

fn take_out(set: &mut ReadingSet, odd: &[Odd]) {
    for instrument in odd.iter().flat_map(Odd::left_out) {
        set.put(instrument, None);
    }
}

/// Rungs of the ladder a thermometer stands on, lowest and highest: whoever stands wholly above another is hotter.
fn rungs(instrument: Instrument) -> Option<(u8, u8)> {
    use Instrument as I;
    Some(match instrument {
        I::SeaTemp | I::SecondSeaTemp => (0, 0),
        I::SeaOut | I::SecondSeaOut => (1, 1),
        // The vent pipe is cooled by the condenser's cold end.
        I::VentTemp => (1, 2),
        I::VapourTemp | I::SecondVapour => (3, 3),
        I::BrineTemp => (4, 4),
        I::JacketOut | I::SecondJacketOut => (5, 5),
        I::JacketIn | I::SecondJacketIn => (6, 6),
        _ => return None,
    })
}

type Read = (Instrument, f64);

/// Which of two is the hot one, where the ladder says.
fn hot_cold(a: Read, b: Read) -> Option<(Read, Read)> {
    let (x, y) = (rungs(a.0)?, rungs(b.0)?);
    if x.1 < y.0 {
        Some((b, a))
    } else if y.1 < x.0 {
        Some((a, b))
    } else {
        None
    }
}

fn clash(a: Read, b: Read) -> bool {
    use Instrument as I;
    let side =
        |hot, cold| matches!((hot, cold), (I::JacketIn, I::JacketOut) | (I::SeaOut, I::SeaTemp));
    hot_cold(a, b).is_some_and(|(hot, cold)| {
        let apart = if side(hot.0, cold.0) { SIDE_K } else { APART_K };
        hot.1 < cold.1 - apart
    })
}

fn no_water(x: f64) -> bool {
    !(WATER_C.0..=WATER_C.1).contains(&x)
}

fn in_order(read: &[Read]) -> bool {
    read.iter().all(|(_, x)| !no_water(*x))
        && (0..read.len()).all(|i| (i + 1..read.len()).all(|j| !clash(read[i], read[j])))
}

/// Those that clash with one, by their places.
fn clashes(read: &[Read], i: usize) -> Vec<usize> {
    (0..read.len()).filter(|j| *j != i && clash(read[i], read[*j])).collect()
}

fn temperatures(set: &ReadingSet) -> Vec<Odd> {
    let mut read: Vec<Read> = set.read().filter(|(i, _)| rungs(*i).is_some()).collect();
    let mut out = Vec::new();
    // Each round takes at least one away.
    while !in_order(&read) {
        let odd = one_odd(&read);
        let gone = odd.instruments();
        read.retain(|(i, _)| !gone.contains(i));
        out.push(odd);
    }
    out
}

/// The likeliest account of temperatures out of order.
fn one_odd(read: &[Read]) -> Odd {
    let with = |i: usize, x: f64| -> Vec<Read> {
        let mut other = read.to_vec();
        other[i].1 = x;
        other
    };
    let bad = |i: usize| no_water(read[i].1) || !clashes(read, i).is_empty();
    let wrong: Vec<usize> = (0..read.len()).filter(|i| bad(*i)).collect();
    for i in &wrong {
        let celsius = (read[*i].1 - 32.0) / 1.8;
        let near = (0..read.len()).any(|j| j != *i && (read[j].1 - celsius).abs() < NEAR_K);
        // A cold sea in °F is in nobody's way: only what stands above its place is taken for that.
        let above =
            no_water(read[*i].1) || clashes(read, *i).iter().any(|j| read[*j].1 < read[*i].1);
        if above && near && in_order(&with(*i, celsius)) {
            return Odd::Unit { one: read[*i], unit: "°F", then: celsius, shown: "°C" };
        }
    }
    if let Some(i) = wrong.iter().find(|i| no_water(read[**i].1)) {
        return Odd::NoWater { one: read[*i] };
    }
    let without = |i: usize| -> Vec<Read> {
        read.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, r)| *r).collect()
    };
    for i in &wrong {
        let against = clashes(read, *i);
        if against.len() > 1 && in_order(&without(*i)) {
            return alone(read, *i, &against);
        }
    }
    // Two neighbours out of order: either may be wrong.
    if let ([i, j], true) = (&wrong[..], wrong.len() == 2)
        && let Some((hot, cold)) = hot_cold(read[*i], read[*j])
    {
        return Odd::Between { hot, cold };
    }
    for (place, i) in wrong.iter().enumerate() {
        for j in &wrong[place + 1..] {
            let mut other = with(*i, read[*j].1);
            other[*j].1 = read[*i].1;
            if in_order(&other) {
                return Odd::Swapped { one: read[*i], other: read[*j] };
            }
        }
    }
    let most = wrong.iter().max_by_key(|i| clashes(read, **i).len()).copied().unwrap_or_default();
    alone(read, most, &clashes(read, most))
}

fn alone(read: &[Read], i: usize, against: &[usize]) -> Odd {
    let apart = |j: &usize| (read[*j].1 - read[i].1).abs();
    let by_k = against.iter().map(apart).fold(0.0, f64::max);
    let beside = against.iter().min_by(|a, b| apart(a).total_cmp(&apart(b))).copied();
    let beside = read[beside.unwrap_or(i)];
    Odd::Alone { one: read[i], beside, below: read[i].1 < beside.1, by_k }
}

/// A shell in which, by its gauge, nothing can condense against the sea, or nothing boil before the jacket water.
fn shell(set: &ReadingSet, gauge: Instrument) -> Option<Odd> {
    let read = set.get(gauge)?;
    let (mbar, apart) = match gauge {
        Instrument::ShellGauge => {
            (1000.0 * read + set.barometer_hpa.unwrap_or(STANDARD_HPA), GAUGE_MBAR)
        }
        _ => (read, ABSOLUTE_MBAR),
    };
    let at = |i: Instrument| set.get(i).map(|x| (i, x));
    let mbar_at = |c: f64| 0.01 * water::saturation::pressure_pa(c);
    let sea = at(Instrument::SeaTemp).filter(|(_, c)| mbar < mbar_at(*c) - apart);
    let jacket = at(Instrument::JacketOut)
        .or(at(Instrument::JacketIn))
        .filter(|(_, c)| mbar > mbar_at(*c) + apart);
    let beside = sea.or(jacket)?;
    if gauge == Instrument::ShellAbsolute && sea.is_some() {
        for (unit, factor) in [("kPa", 10.0), ("mmHg", 1.333_22)] {
            let fits = set
                .get(Instrument::VapourTemp)
                .is_some_and(|c| (factor * mbar / mbar_at(c) - 1.0).abs() < 0.15);
            if fits {
                let then = factor * read;
                return Some(Odd::Unit { one: (gauge, read), unit, then, shown: "mbar" });
            }
        }
    }
    Some(Odd::Shell {
        one: (gauge, mbar),
        boils_c: water::saturation::temperature_c(100.0 * mbar),
        beside,
        below: sea.is_some(),
        by_mbar: (mbar - mbar_at(beside.1)).abs(),
    })
}

/// An output that is none while the heat of a running plant passes: written by the hour.
fn output(sheet: &Sheet, set: &ReadingSet) -> Option<Odd> {
    let made = set.get(Instrument::Product)?;
    let drop = set.get(Instrument::JacketIn)? - set.get(Instrument::JacketOut)?;
    let by_hour = (0.5..=1.4).contains(&(24.0 * made / sheet.rated_product_t_day));
    (drop > PASSES_HEAT_K && by_hour).then_some(Odd::Unit {
        one: (Instrument::Product, made),
        unit: "tonnes an hour",
        then: 24.0 * made,
        shown: "t/day",
    })
}

/// A motive pressure at which no plant makes water, and which another unit explains.
fn motive(sheet: &Sheet, set: &ReadingSet) -> Option<Odd> {
    let read = set.get(Instrument::EjectorPressure)?;
    let rated = sheet.rated_ejector_pressure_bar_g;
    let makes = set.get(Instrument::Product).is_some_and(|t| t > MAKES * sheet.rated_product_t_day);
    let units = [("MPa", 10.0), ("psi", 0.068_947_6)];
    let fits = units.iter().find(|(_, factor)| (0.75..=1.25).contains(&(factor * read / rated)));
    fits.filter(|_| makes).map(|(unit, factor)| Odd::Unit {
        one: (Instrument::EjectorPressure, read),
        unit,
        then: factor * read,
        shown: "bar",
    })
}

/// A figure as it was read, without the noise of its last digits.
pub(crate) fn figure(x: f64) -> String {
    let rounded = (100.0 * x).round() / 100.0 + 0.0;
    format!("{rounded}").replace('-', "−")
}

pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}
