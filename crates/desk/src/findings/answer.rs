//! The estimator's answer laid beside what the other pages expect: plain values.

use std::sync::Arc;

use ::findings::{Cause, Finding, Instrument, Judged, Sizes};
use jiff::Timestamp;
use jiff::tz::Offset;
use plant::Banding;

use crate::expected::{self, Expectation};
use crate::field::{self, Role};
use crate::impossible::Impossible;
use crate::now::{over_hours, with_last};
use crate::round::{METER, Round, made};
use crate::setup::Setup;
use crate::view::Band;

use super::alone::Alone;
use super::looked::Looked;
use super::missing::{self, Missing};
use super::sets::Sets;
use super::tables::ShipTables;
use super::view::{CauseLine, CheckLine, EvidenceLine, FindingJson, FindingsView};
use super::words::{ToldOfPlant, counts_from};
use super::{Since, blamed, checked, checks, deposits, unsettled};

/// From this chance on a cause is simply said to be.
const SURE: f64 = 0.95;
/// A cause less likely than this, and not changed, is left out below the first few.
const SHOWN: f64 = 0.02;
/// Causes shown at least.
const LEAST: usize = 3;
/// A cause that costs so much is shown, t/day: what shows in tenths.
const COSTLY_T_DAY: f64 = 0.05;
/// From this chance on what the distillate meter misreads is told.
const METER_WRONG: f64 = 0.5;
/// Causes for which the evidence is shown at most.
const EXPLAINED: usize = 3;
/// A cause so likely has its evidence shown.
const LIKELY: f64 = 0.05;

/// What an answer is made from.
pub(super) struct Given<'a> {
    pub(super) setup: &'a Setup,
    pub(super) banding: &'a Banding<'a>,
    pub(super) rounds: &'a [Round],
    pub(super) last: &'a Round,
    pub(super) sets: &'a Sets,
    pub(super) told: ToldOfPlant,
    pub(super) tables: ShipTables,
    pub(super) looked: Vec<Looked>,
    pub(super) zone: Offset,
    pub(super) from: Timestamp,
    pub(super) since_words: String,
    pub(super) since: Since,
    pub(super) runs: bool,
}

pub(super) fn answer(given: Given<'_>, finding: Finding) -> FindingsView {
    let Given { setup, rounds, last, sets, zone, .. } = given;
    let before = &rounds[..rounds.partition_point(|round| round.at < last.at)];
    let until = rounds.partition_point(|round| round.at <= last.at);
    let figures = with_last(&rounds[..until], last);
    let expectation = expected::expect(setup, given.banding, &figures).ok();
    let made = made(
        before,
        &last.figures(),
        last.at,
        setup.ship.sheet.product_max_t_day,
        &given.told.switched,
    );
    // As Now has it: the counter's own error within the band.
    let should =
        |e: &Expectation| e.readings.get("product_t_day").copied().unwrap_or(e.product_t_day);
    // What should be made is worked out from jacket and sea water in: nothing is short by figures that cannot be.
    let sound = |i: &Instrument| !matches!(i, Instrument::JacketIn | Instrument::SeaTemp);
    let made = made
        .filter(|_| sets.odd_last.iter().all(sound))
        .zip(expectation.as_ref())
        .map(|(made, e)| (made.t_day, over_hours(setup, should(e), made.hours)));
    let day = |at: Timestamp| zone.to_datetime(at).strftime("%-d %B %Y").to_string();
    let held = finding.held();
    let mut said = finding.said(&day);
    said.first = finding.salty(setup.ship.limits.salinity_dump_mg_kg);
    said.notes.splice(0..0, sets.notes.iter().cloned());
    said.notes.extend(given.told.cleaned_since(last.at).map(|(part, at)| {
        format!(
            "No round has been read since the {part} was cleaned on {}: what is said of its deposit is what is usual after a cleaning, and the costs are those of the last round, before it.",
            day(at)
        )
    }));
    let days = sets.sets.first().map_or(0, |set| last.at.as_second() - set.time.as_second());
    let days = days as f64 / 86_400.0;
    let anew = given.told.anew(&[]);
    let cleaned = anew.iter().filter(|a| a.at > last.at).map(|a| a.cause);
    let mut before_it: Vec<Cause> = cleaned
        .filter(|cause| !given.looked.iter().any(|l| l.cause == *cause && l.set_aside))
        .collect();
    before_it.sort();
    before_it.dedup();
    let sizes = finding.sizes();
    let mut causes: Vec<CauseLine> = finding
        .causes
        .iter()
        .enumerate()
        .filter(|(i, j)| {
            // What costs output is told however likely it is; instruments that are probably right are not.
            let cost = finding.loss.as_ref().and_then(|loss| loss.of(j.cause));
            let costly = cost.is_some_and(|cost| cost.loss_t_day >= COSTLY_T_DAY);
            let least = match j.cause {
                Cause::Instrument(_) => LIKELY,
                _ => SHOWN,
            };
            let known = given.looked.iter().any(|l| l.known && l.cause == j.cause);
            *i < LEAST || known || j.p_over_limit >= least || j.p_changed >= 0.5 || costly
        })
        .map(|(_, judged)| {
            let mut line = cause(&finding, &sizes, judged);
            line.read_low_t_day = made.and_then(|(made, _)| read_low(judged, made));
            line.known =
                given.looked.iter().find(|l| l.known && l.cause == judged.cause).map(|l| l.at);
            line.few = few_since(&given.told, sets, judged.cause);
            // What was looked for and not found costs nothing.
            if given.looked.iter().any(|l| l.set_aside && l.cause == judged.cause) {
                (line.share, line.loss_t_day, line.cure_t_day) = (None, None, None);
            }
            line
        })
        .collect();
    // Of those that are sure, which stand before all others, a leaking heater before all and then the dearest, as the sentence has
    // them.
    let sure = causes.iter().take_while(|line| line.chance >= SURE).count();
    let costs = |line: &CauseLine| line.loss_t_day.unwrap_or(0.0);
    let leaks = |line: &CauseLine| Cause::of_key(&line.key) == Some(Cause::HeaterLeak);
    causes[..sure].sort_by(|a, b| leaks(b).cmp(&leaks(a)).then(costs(b).total_cmp(&costs(a))));
    let part = missing::no_more_than_short(made, &mut causes);
    let laid = missing::laid(&given.looked, |looked| {
        finding.loss.as_ref().and_then(|loss| loss.of(looked.cause)).map(|cost| cost.loss_t_day)
    });
    let missing = Missing::of(made, &causes, laid).filter(|_| held.is_none());
    let checks = checks_of(&finding);
    if held.is_none() {
        unsettled::mend(
            &mut said,
            &finding,
            (sets.rounds, days),
            missing.as_ref(),
            given.since,
            &before_it,
        );
    }
    let leads = said.leading.clone();
    let looks = given.looked.iter().map(|looked| looked.says.as_str());
    said.leading = looks.chain([said.leading.as_str()]).collect::<Vec<_>>().join(" ");
    let laid_beside = likely(&finding);
    let first = sets.sets.first().map_or(last.at, |set| set.time);
    FindingsView {
        from: first.max(given.from),
        until: last.at,
        rounds: sets.rounds,
        zone,
        since_words: given.since_words,
        said,
        leads,
        leader: causes.first().filter(|_| held.is_none()).cloned(),
        fresh: None,
        held,
        coming: finding.coming().map(|(j, p)| (finding.clause(j.cause), p)),
        made,
        missing,
        families: finding
            .families
            .iter()
            .map(|f| (f.family.words().to_owned(), f.p_over_limit))
            .collect(),
        evidence: evidence(
            setup,
            (last, &given.told),
            made,
            expectation.as_ref(),
            &finding,
            &laid_beside,
        ),
        blamed: laid_beside
            .iter()
            .filter_map(|cause| {
                blamed::wrong(
                    (last, sets, &given.told, zone),
                    expectation.as_ref(),
                    made,
                    &finding,
                    *cause,
                )
            })
            .collect(),
        checked: checked::made(sets, &finding),
        explained_by: laid_beside.iter().map(|cause| cause.words()).collect(),
        checks,
        growth: deposits::growth(setup, &finding, rounds, &given.told, given.from, part),
        causes,
        told: given.told,
        tables: given.tables,
        looked: given.looked,
        runs: given.runs,
        finding: FindingJson(Arc::new(finding)),
    }
}

/// Rounds since a deposit's part was cleaned, where they are fewer than tell what the cleaning left.
fn few_since(told: &ToldOfPlant, sets: &Sets, cause: Cause) -> Option<usize> {
    let cleaned = counts_from(told.last_cleaned(cause)?);
    let since = sets.sets.iter().filter(|set| set.time >= cleaned).count();
    (since < unsettled::GROWTH.0).then_some(since)
}

/// One line of the table of causes.
pub(super) fn cause(finding: &Finding, sizes: &Sizes, judged: &Judged) -> CauseLine {
    let cost = finding.loss.as_ref().and_then(|loss| loss.of(judged.cause));
    let told = |value: f64| sizes.brief(judged.cause, value);
    let deposit = sizes.lost(judged.cause, judged.value).is_some();
    let none = sizes.none_found(judged.cause, judged.value);
    CauseLine {
        key: judged.cause.key(),
        words: judged.cause.words(),
        chance: judged.p_over_limit,
        changed: judged.p_changed,
        // A factor stands before what it is counted by.
        now: none
            .map_or_else(|| told(judged.value).trim_start_matches("× ").to_owned(), Into::into),
        came: finding.came(judged.cause).filter(|_| judged.p_changed >= 0.5),
        between: (told(judged.low.min(judged.high)), told(judged.low.max(judged.high))),
        limit: sizes.limit(judged.cause, judged.limit),
        part_of: match none {
            Some(_) => "",
            None if deposit => "of its heat transfer",
            None => judged.cause.counted_by(),
        },
        in_unit: if deposit {
            let least = judged.cause.told(judged.value.max(0.0));
            format!("{least}, limit {:.2}", 1.0e4 * judged.limit)
        } else {
            String::new()
        },
        share: finding.loss.as_ref().and_then(|loss| loss.share(judged.cause)),
        loss_t_day: cost.map(|c| c.loss_t_day),
        cure_t_day: cost.map(|c| c.cure_t_day),
        instrument: matches!(judged.cause, Cause::Instrument(_)),
        known: None,
        few: None,
        read_low_t_day: None,
    }
}

/// What is made and not counted where the distillate meter probably reads wrong, t/day; under nought where it counts too much.
fn read_low(judged: &Judged, made: f64) -> Option<f64> {
    let meter = judged.cause == Cause::Instrument(Instrument::Product);
    // Its error is one of the logarithm.
    (meter && judged.p_over_limit >= METER_WRONG).then(|| made * ((-judged.value).exp() - 1.0))
}

/// The causes whose picture is worth laying beside the readings.
fn likely(finding: &Finding) -> Vec<Cause> {
    let telling = |j: &&Judged| {
        j.cause != Cause::HeaterLeak && (j.p_over_limit >= LIKELY || j.p_changed >= 0.5)
    };
    finding.causes.iter().filter(telling).take(EXPLAINED).map(|j| j.cause).collect()
}

/// The readings of the last round beside the expectation of the other pages, and what each likely cause makes of that expectation.
fn evidence(
    setup: &Setup,
    (last, told): (&Round, &ToldOfPlant),
    made: Option<(f64, Band)>,
    expectation: Option<&Expectation>,
    finding: &Finding,
    blamed: &[Cause],
) -> Vec<EvidenceLine> {
    let by_cause: Vec<Alone> = blamed.iter().map(|cause| Alone::of(finding, *cause)).collect();
    let barometer = last.value("barometer_hpa");
    let impossible = Impossible::of(setup, last);
    field::READINGS
        .iter()
        .filter_map(|reading| {
            let back = reading.key == Instrument::BackPressure.key();
            if !back && !matches!(reading.role, Role::Answer(_)) {
                return None;
            }
            let output = reading.key == "product_t_day";
            let read = if output { made.map(|(made, _)| made) } else { last.value(reading.key) };
            let as_read = read?;
            // As it would be read now, where the instrument was set right since.
            let meter = if output { METER } else { reading.key };
            let read = told.set_right(meter, last.at, as_read);
            let set_right = read.is_none_or(|x| x != as_read).then_some(as_read);
            let expected = match expectation {
                Some(_) if output => made.map(|(_, should)| should),
                Some(e) => e.readings.get(reading.key).copied(),
                None => None,
            };
            let would_read =
                by_cause.iter().map(|alone| alone.reads(reading.key, expected)).collect();
            let mut compared = expected::compare(setup, reading, read, expected, barometer);
            impossible.doubt(&mut compared);
            Some(EvidenceLine { compared, would_read, set_right })
        })
        .collect()
}

pub(super) fn checks_of(finding: &Finding) -> Vec<CheckLine> {
    let mut out: Vec<CheckLine> = finding
        .checks
        .iter()
        .filter_map(|check| {
            let known = checks::of(check.instrument)?;
            Some(CheckLine {
                reading: known.reading,
                title: known.title,
                words: check.instrument.words(),
                minutes: check.minutes,
                bits: check.bits,
                removes: finding.removes(check),
                worth: finding.worth(check),
                how: known.how,
                mind: known.mind,
                stopped: known.stopped,
                procedure: known.procedure(),
            })
        })
        .collect();
    out.sort_by_key(|check| std::cmp::Reverse(check.worth));
    out
}
