//! "Are we making what we should?": the page Now as plain values.

use jiff::Timestamp;
use plant::{Banding, NINE_IN_TEN};

use crate::always;
use crate::balance::{balance, taken_kw};
use crate::before::{self, Before};
use crate::expected::{self, Expectation, NoExpectation};
use crate::field::{self, Role};
use crate::findings::ToldOfPlant;
use crate::impossible::Impossible;
use crate::instrument;
use crate::mended;
use crate::plausible;
use crate::procedures::{ByList, LeftOpen, Runs, UnderWay};
use crate::round::{Across, DISTILLATE_T_M3, METER, Round, across, made};
use crate::series;
use crate::setup::Setup;
use crate::switched::{self, Switch};
use crate::view::{Band, Compared, Line, Series, State};

/// How output stands to expectation.
#[derive(Debug, Clone, PartialEq)]
pub enum Verdict {
    /// Nothing has been read yet.
    NothingRead,
    /// The plant is shut down.
    ShutDown {
        /// Since this instant, where the record tells.
        since: Option<Timestamp>,
    },
    /// Running; a figure for the output or for the expectation is missing, and why.
    Unknown {
        /// What was made, t/day.
        made: Option<f64>,
        /// Why there is nothing to compare.
        why: String,
    },
    /// Running, and nothing can be compared: it was started or stood between the last two readings of the counter, or since.
    Across {
        /// What the counter ran across that.
        counted: Across,
        /// What it should be now, where that is known.
        should: Option<Band>,
    },
    /// Running, and compared.
    Running {
        /// What was made, t/day.
        made: f64,
        /// What it should be, the meter's error included.
        should: Band,
    },
}

/// A sounding as the record has it.
#[derive(Debug, Clone, PartialEq)]
pub struct Sounded {
    /// Key of the tank.
    pub tank: String,
    /// Sounding, cm.
    pub cm: f64,
    /// When it was sounded.
    pub at: Timestamp,
    /// The entry that holds it.
    pub seq: u64,
}

/// A tank as last sounded.
#[derive(Debug, Clone, PartialEq)]
pub struct TankView {
    /// Her short name in the record.
    pub key: String,
    /// The entry that holds the sounding.
    pub seq: u64,
    /// Her name for it.
    pub name: String,
    /// Filling, serving, standing, or what it holds.
    pub duty: String,
    /// Sounding, cm.
    pub sounding_cm: f64,
    /// Content, m³, from the sounding table; none outside the table.
    pub content_m3: Option<f64>,
    /// What the pump can reach of it, m³.
    pub pumpable_m3: Option<f64>,
    /// Full, m³.
    pub capacity_m3: f64,
    /// What the pump cannot reach, m³.
    pub unpumpable_m3: f64,
    /// When it was sounded.
    pub at: Timestamp,
}

/// Everything the page Now shows.
#[derive(Debug, Clone, PartialEq)]
pub struct NowView {
    /// The answer.
    pub verdict: Verdict,
    /// What a list followed since the last round says of the plant: it is shut down then.
    pub by_list: Option<ByList>,
    /// Every run of a list under way: emergencies first, then the one ticked last.
    pub under_way: Vec<UnderWay>,
    /// Runs given up before their end that nothing settled since.
    pub left_open: Vec<LeftOpen>,
    /// The round it speaks of.
    pub round: Option<Round>,
    /// That round is of before the last start or stop: it tells nothing of now.
    pub before: Option<Before>,
    /// Output of the last day's rounds, vacuum, salinity: strips.
    pub strips: Vec<Series>,
    /// Readings typed at steps of the last day: when, and of which list.
    pub at_steps: Vec<(Timestamp, String)>,
    /// Spans in which the plant was shut down, seconds since 1970.
    pub stopped: Vec<(f64, f64)>,
    /// Readings beside expectation and limits.
    pub rows: Vec<Compared>,
    /// What asks something of the reader, most pressing first.
    pub asks: Vec<String>,
    /// Heat taken from the engine, kW, from the readings: jacket flow and drop.
    pub heat_taken_kw: Option<f64>,
    /// Heat it should take, kW.
    pub heat_should_kw: Option<Band>,
    /// Heat the engine can spare at its load, kW.
    pub heat_spare_kw: Option<f64>,
    /// When figures were last read anew since, where they were.
    pub newer: Option<Timestamp>,
    /// When the next round is due.
    pub due: Timestamp,
    /// Tanks as last sounded.
    pub tanks: Vec<TankView>,
    /// Where a sound plant run like this would go past a limit, or past what a table tells.
    pub beyond: Vec<String>,
    /// How it was computed.
    pub computed: Vec<Line>,
}

/// Rows of "how near the limits", in their order.
const ROWS: [&str; 9] = [
    "product_salt_mg_kg",
    "shell_gauge_bar_g",
    "vapour_temp_c",
    "jacket_out_c",
    "sea_out_c",
    "brine_salinity_g_kg",
    "ejector_pressure_bar_g",
    "back_pressure_bar_g",
    "engine_jacket_out_c",
];

/// What the page needs from the record.
#[derive(Debug, Clone, Default)]
pub struct Recent {
    /// Rounds of the last two days, oldest first.
    pub rounds: Vec<Round>,
    /// When the next round is due; none before the first.
    pub due: Option<Timestamp>,
    /// Last change of the plant: on or shut down, and when.
    pub plant: Option<(bool, Timestamp)>,
    /// What lists followed since the last round say of the plant.
    pub by_list: Option<ByList>,
    /// Runs of lists under way, and those given up that nothing settled since.
    pub(crate) runs: Runs,
    /// Starts and stops, newest first.
    pub switches: Vec<Switch>,
    /// Readings typed at steps of the last day: when, and of which list.
    pub at_steps: Vec<(Timestamp, String)>,
    /// Newest sounding of each tank.
    pub soundings: Vec<Sounded>,
    /// Tank on each duty: (tank key, duty).
    pub duties: Vec<(String, String)>,
    /// Which instruments were set right.
    pub settings: ToldOfPlant,
}

/// Answers "are we making what we should?" from recent rounds.
#[must_use]
pub fn now(setup: &Setup, banding: &Banding<'_>, recent: &Recent, now: Timestamp) -> NowView {
    let rounds = &recent.rounds;
    let counted = rounds.iter().rposition(Round::counts);
    let ran = rounds.iter().rposition(Round::running);
    // Readings of a running plant taken after it was written shut down say that it was started again.
    let after = |since: &Timestamp| ran.is_none_or(|i| rounds[i].at <= *since);
    let told = recent.plant.filter(|(on, _)| !on).map(|(_, since)| since);
    let seen = rounds.iter().rev().find(|round| round.shut_down()).map(|round| round.at);
    let listed = recent.by_list.as_ref().map(ByList::since);
    let shut = listed.or(told.filter(after)).or(seen.filter(after));
    // What is made is told at the newest round with a counter, every other figure as it was last read.
    let at = counted.or(ran).filter(|_| shut.is_none());
    let round = at.map(|i| rounds[i].clone());
    let (settings, switches) = (&recent.settings, &recent.switches);
    // Of a round from before the last start or stop nothing is told as it is: the plant is another since.
    let before = at.and_then(|i| before::of(rounds, i, switches, now));
    let newest = at.map(|i| {
        let all = rounds[i..].iter().map(|round| mended::round(settings, round));
        before::newest(&all.collect::<Vec<Round>>(), before.as_ref())
    });
    let most_t_day = setup.ship.sheet.product_max_t_day;
    let made_at =
        |i: usize| made(&rounds[..i], &rounds[i].figures(), rounds[i].at, most_t_day, switches);
    // The counter is the counter wherever it was read, at a step of a procedure too.
    let read = rounds.iter().rposition(|round| round.value(METER).is_some());
    let read = read.filter(|read| at.is_some_and(|at| *read > at)).and_then(made_at);
    let made = read.or_else(|| at.and_then(made_at));
    let across = at.and_then(|_| across(rounds, now, most_t_day, switches));
    let made = made.filter(|made| across.is_none() || made.hours.is_none());
    let made = made.filter(|_| before.is_none());
    let (made, over_h) = (made.map(|made| made.t_day), made.and_then(|made| made.hours));
    let expect = |r: &Round| expected::expect(setup, banding, &with_last(rounds, r));
    let expectation = round.as_ref().map(expect);
    let doubted = newest.as_ref().map(|r| Impossible::of(setup, r)).unwrap_or_default();
    let verdict = verdict(recent, shut, round.as_ref(), made, expectation.as_ref());
    let verdict = match (verdict, across) {
        (Verdict::Unknown { made: None, .. }, Some(counted)) => {
            let known = expectation.as_ref().and_then(|e| e.as_ref().ok());
            let known = known.filter(|_| !doubted.spoils_expectation());
            let output = |e: &Expectation| e.readings.get("product_t_day").copied();
            let should = known.map(|e| output(e).unwrap_or(e.product_t_day));
            Verdict::Across { counted, should }
        }
        (other, _) => other,
    };
    let verdict = match verdict {
        Verdict::Running { made, .. } if doubted.spoils_expectation() => Verdict::Unknown {
            made: Some(made),
            why: "jacket or sea water in cannot be as it was read, and what should be made goes by them".into(),
        },
        Verdict::Running { made, should } => {
            Verdict::Running { made, should: over_hours(setup, should, over_h) }
        }
        other => other,
    };
    let strips = strips(setup, banding, rounds, switches);
    let ok = expectation.as_ref().and_then(|e| e.as_ref().ok());
    let now_expected = newest.as_ref().filter(|n| Some(*n) != round.as_ref()).map(expect);
    let now_ok = now_expected.as_ref().map_or(ok, |e| e.as_ref().ok());
    let mut rows: Vec<Compared> = newest.as_ref().map_or(Vec::new(), |r| rows(setup, r, now_ok));
    rows.iter_mut().for_each(|row| doubted.doubt(row));
    if let Some(i) = at.filter(|_| before.is_none()) {
        mended::tell(settings, &rounds[i..], &mut rows);
    }
    let told = ok.filter(|_| before.is_none());
    let balance = round
        .as_ref()
        .zip(ok)
        .and_then(|(r, e)| balance(&setup.ship, &r.figures(), made, e))
        .filter(|balance| !balance.fits() && !doubted.spoils_heat() && before.is_none());
    let heat_taken_kw = round
        .as_ref()
        .zip(ok)
        .and_then(|(r, e)| taken_kw(&r.figures(), e))
        .filter(|_| !doubted.spoils_heat() && before.is_none());
    let mut asks: Vec<String> =
        doubted.says.iter().map(|says| format!("Cannot be as read: {says}")).collect();
    asks.extend(self::asks(setup, rounds, at, &doubted.sound(&rows), &verdict));
    // The engine's limits, and salt, are told whatever list is under way and whether she makes water or not.
    let handled = shut.is_none() || !recent.runs.under_way.is_empty();
    asks.extend(
        always::past(setup, rounds, handled, now)
            .into_iter()
            .filter(|(key, _)| !rows.iter().any(|row| row.key == *key && row.state.asks()))
            .map(|(_, says)| says),
    );
    asks.extend(told.and_then(|e| expected::over_spare(setup, e, heat_taken_kw)));
    asks.extend(balance.map(|b| format!("Counter and jacket water contradict: {}", b.says())));
    NowView {
        heat_taken_kw,
        heat_should_kw: told.map(|e| e.heat_kw),
        heat_spare_kw: newest
            .as_ref()
            .and_then(|r| r.value("engine_load_percent"))
            .map(|load| setup.plant.spare_heat_w(load) / 1000.0),
        due: recent.due.unwrap_or(now),
        tanks: tanks(setup, recent),
        beyond: told
            .filter(|_| !doubted.spoils_expectation())
            .map_or_else(Vec::new, |e| expected::beyond(setup, e)),
        computed: told.map(computed).unwrap_or_default(),
        by_list: recent.by_list.clone(),
        under_way: recent.runs.under_way.clone(),
        left_open: recent.runs.left.clone(),
        verdict,
        newer: newest.map(|n| n.at).filter(|at| round.as_ref().is_some_and(|r| *at > r.at)),
        round,
        before,
        strips,
        at_steps: recent.at_steps.clone(),
        stopped: switched::stopped(rounds, switches, now),
        rows,
        asks,
    }
}

/// The first of these with every figure that was read anew after it, at the time of the newest of them.
pub(crate) fn with_newer(rounds: &[Round]) -> Round {
    let mut all = rounds[0].clone();
    for round in &rounds[1..] {
        for (key, cell) in round.cells.iter().filter(|(_, cell)| cell.value.is_some()) {
            all.cells.insert(key.clone(), cell.clone());
            all.at = round.at;
        }
    }
    all
}

fn verdict(
    recent: &Recent,
    shut_since: Option<Timestamp>,
    round: Option<&Round>,
    made: Option<f64>,
    expectation: Option<&Result<Expectation, NoExpectation>>,
) -> Verdict {
    if let Some(since) = shut_since {
        return Verdict::ShutDown { since: Some(since) };
    }
    if round.is_none() {
        return if recent.rounds.is_empty() {
            Verdict::NothingRead
        } else if recent.rounds.iter().any(Round::idle) {
            Verdict::ShutDown { since: None }
        } else {
            let why = "of the last rounds none has the plant’s own readings: jacket water in, the counter";
            Verdict::Unknown { made: None, why: why.into() }
        };
    }
    match (made, expectation) {
        (Some(made), Some(Ok(e))) => {
            let should = e.readings.get("product_t_day").copied().unwrap_or(e.product_t_day);
            Verdict::Running { made, should }
        }
        (made, Some(Err(why))) => Verdict::Unknown { made, why: why.to_string() },
        (made, _) => Verdict::Unknown {
            made,
            why: "no two counter readings within a day of each other".into(),
        },
    }
}

/// The band as a counter read over these hours can tell it: the shorter, the less.
pub(crate) fn over_hours(setup: &Setup, should: Band, hours: Option<f64>) -> Band {
    let Some(hours) = hours else { return should };
    let (_, each_m3) = instrument::errors(&setup.ship, "distillate_meter_m3", 0.0);
    let rate = NINE_IN_TEN * std::f64::consts::SQRT_2 * each_m3 * DISTILLATE_T_M3 / hours * 24.0;
    let wider = |side: f64| side.hypot(rate);
    Band {
        middle: should.middle,
        low: should.middle - wider(should.middle - should.low),
        high: should.middle + wider(should.high - should.middle),
    }
}

/// A round's figures; conditions that are read less often stand from the rounds before, up to a day.
#[must_use]
pub fn with_last(rounds: &[Round], round: &Round) -> crate::conditions::Figures {
    let mut figures = round.figures();
    for reading in field::READINGS {
        let lasting =
            matches!(reading.role, Role::Condition(_) | Role::Position(_) | Role::Volume(_));
        if lasting
            && !figures.contains_key(reading.key)
            && !matches!(reading.key, "sea_temp_c" | "jacket_in_c")
        {
            let day = 24.0 * 3600.0;
            let found = rounds
                .iter()
                .rev()
                .filter(|r| r.at <= round.at && round.at_s() - r.at_s() <= day)
                .find_map(|r| r.value(reading.key));
            if let Some(value) = found {
                figures.insert(reading.key.to_owned(), value);
            }
        }
    }
    figures
}

fn rows(setup: &Setup, round: &Round, expectation: Option<&Expectation>) -> Vec<Compared> {
    let around = plausible::Around::default();
    let remarks = plausible::remarks(&round.figures(), &around);
    ROWS.iter()
        .filter_map(|key| field::reading(key))
        .filter_map(|reading| {
            let band = expectation.and_then(|e| e.readings.get(reading.key)).copied();
            let barometer = expectation.map(|e| e.conditions.point.barometer_hpa);
            let mut row =
                expected::compare(setup, reading, round.value(reading.key), band, barometer);
            let doubted = remarks.iter().find(|m| m.key == reading.key);
            if let (Some(remark), false) = (doubted, row.state == State::PastLimit) {
                row.state = State::InDoubt;
                row.meaning = Some(remark.says.clone());
            }
            // A reading that is taken once a day is not missing from every round.
            (row.read.is_some() || reading.often == field::Often::Always).then_some(row)
        })
        .collect()
}

fn asks(
    setup: &Setup,
    rounds: &[Round],
    at: Option<usize>,
    rows: &[Compared],
    verdict: &Verdict,
) -> Vec<String> {
    let mut asks: Vec<String> = rows
        .iter()
        .filter(|row| row.state.asks())
        .filter_map(|row| {
            let meaning = row.meaning.as_ref()?;
            let named = meaning.starts_with(&row.label);
            Some(if named { meaning.clone() } else { format!("{}: {meaning}", row.label) })
        })
        .collect();
    // Inside the band it is as it should be, whatever its share.
    if let Verdict::Running { made, should } = verdict
        && !should.holds(*made)
    {
        let share = made / should.middle * 100.0;
        if share < setup.ship.limits.output_act_percent {
            asks.push(format!(
                "Output is {share:.0} % of what it should be: find out why before the next watch."
            ));
        } else if share < setup.ship.limits.output_look_percent {
            asks.push(format!(
                "Output is {:.0} % of what it should be: worth looking for the cause.",
                share.floor()
            ));
        }
    }
    if let Some(i) = at
        && let Some(fall) = expansion_fall_cm(&rounds[..=i])
        && fall >= 3.0
    {
        asks.push(format!(
            "The expansion tank fell {fall:.0} cm in a day: if the heater leaks, treated water is in the brine. Stop, set the tanks filled since apart, and test for nitrite."
        ));
    }
    asks
}

fn expansion_fall_cm(rounds: &[Round]) -> Option<f64> {
    let last = rounds.last()?;
    let now = last.value("expansion_tank_cm")?;
    let before = rounds.iter().find(|r| {
        last.at_s() - r.at_s() <= 24.5 * 3600.0 && r.value("expansion_tank_cm").is_some()
    })?;
    Some(before.value("expansion_tank_cm")? - now)
}

/// One series of made, vacuum, salinity against expectation, over the rounds given.
fn strips(
    setup: &Setup,
    banding: &Banding<'_>,
    rounds: &[Round],
    switches: &[Switch],
) -> Vec<Series> {
    let keys = ["product_t_day", "shell_gauge_bar_g", "product_salt_mg_kg"];
    let mut strips: Vec<Series> = keys
        .iter()
        .filter_map(|key| field::reading(key))
        .map(|r| series::empty(setup, r))
        .collect();
    for (i, read) in series::read(rounds).iter().enumerate() {
        let bands = series::bands(setup, banding, read);
        for strip in &mut strips {
            strip.spots.push(series::spot(
                &strip.key,
                rounds,
                i,
                &bands,
                (setup.ship.sheet.product_max_t_day, switches),
            ));
        }
    }
    if let Some(made) = strips.iter_mut().find(|s| s.key == "product_t_day") {
        made.label = "Made".into();
    }
    strips
}

fn tanks(setup: &Setup, recent: &Recent) -> Vec<TankView> {
    setup
        .ship
        .tanks
        .iter()
        .filter_map(|tank| {
            let sounded = recent.soundings.iter().find(|sounded| sounded.tank == tank.key)?;
            let duty = recent.duties.iter().find(|(key, _)| *key == tank.key).map_or_else(
                || match tank.holds {
                    crate::ship::Holds::Fresh => "standing".to_owned(),
                    other => other.word().to_owned(),
                },
                |(_, duty)| duty.clone(),
            );
            let content_m3 = tank.volume_m3(sounded.cm);
            Some(TankView {
                key: tank.key.clone(),
                seq: sounded.seq,
                name: tank.name.clone(),
                duty,
                sounding_cm: sounded.cm,
                content_m3,
                pumpable_m3: content_m3.map(|m3| tank.pumpable_m3(m3)),
                capacity_m3: tank.capacity_m3,
                unpumpable_m3: tank.unpumpable_m3,
                at: sounded.at,
            })
        })
        .collect()
}

/// The conditions an expectation stands on, each with where it comes from.
#[must_use]
pub fn computed(expectation: &Expectation) -> Vec<Line> {
    expectation
        .conditions
        .known
        .iter()
        .map(|known| {
            let key = plant::keys::find(plant::keys::Part::Point, known.key);
            let unit = key.and_then(|k| k.unit.parse::<quantity::Unit>().ok());
            Line {
                label: key.map_or(known.key, |k| k.label).to_owned(),
                value: unit.map_or_else(
                    || format!("{:.2}", known.value),
                    |u| quantity::show_number(known.value, u.precision()),
                ),
                unit: unit.map_or("", quantity::Unit::symbol).to_owned(),
                source: known.how.clone(),
            }
        })
        .collect()
}
