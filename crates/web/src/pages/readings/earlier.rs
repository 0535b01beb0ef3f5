//! Earlier rounds, with every correction beside the figure it replaced.

use std::collections::BTreeMap;

use desk::field::{self, Reading};
use desk::findings::Recalibrated;
use desk::round::{Cell as Figure, Round, SOUNDING, made_t_day};
use desk::switched::Switch;
use desk::typed::{digits, shown, unit_of};
use desk::{Desk, DeskError};
use jiff::Timestamp;
use logbook::{Entry as Logged, ShipClock};
use maud::{Markup, html};

use crate::parts::{self, Cell, Mark, Row, Table};
use crate::paths::Page;
use crate::shiptime;

use super::{CORRECT, SHEET, round};

/// Rounds shown at first, and at the most.
pub(super) const FEW: usize = 6;
pub(super) const MOST: usize = 96;

/// The columns, after the round's time and what was made.
const COLUMNS: [&str; 7] = [
    "shell_gauge_bar_g",
    "vapour_temp_c",
    "jacket_in_c",
    "jacket_out_c",
    "sea_temp_c",
    "sea_out_c",
    "product_salt_mg_kg",
];

/// The correcting entries of figures that were corrected, by number.
pub(super) type Corrections = BTreeMap<u64, Logged>;

/// Earlier rounds as read from the record.
pub(super) struct Earlier {
    /// Oldest first; the first one only gives the second its counter difference.
    rounds: Vec<Round>,
    corrections: Corrections,
    clock: ShipClock,
    now: Timestamp,
    count: usize,
    /// Most the plant can make, t/day.
    most_t_day: f64,
    /// Starts and stops, newest first.
    switches: Vec<Switch>,
    /// Instruments set right, newest first.
    set_right: Vec<Recalibrated>,
}

/// One entry of the record.
pub(super) fn entry(desk: &Desk, seq: u64) -> Result<Option<Logged>, DeskError> {
    let found = desk.entries(Some(seq.saturating_add(1)), 1)?;
    Ok(found.into_iter().find(|entry| entry.seq == seq))
}

/// Reads `count` rounds and one before them.
pub(super) fn of(desk: &Desk, now: Timestamp, count: usize) -> Result<Earlier, DeskError> {
    let rounds = desk.whole_rounds(now, count + 1)?;
    let corrections = corrections(desk, &rounds)?;
    let most_t_day = desk.setup().ship.sheet.product_max_t_day;
    let told = desk.told_of_plant(now)?;
    let (set_right, switches) = (told.recalibrated, told.switched);
    let clock = desk.clock()?;
    Ok(Earlier { rounds, corrections, clock, now, count, most_t_day, switches, set_right })
}

/// The entries that corrected figures of these rounds.
pub(super) fn corrections(desk: &Desk, rounds: &[Round]) -> Result<Corrections, DeskError> {
    let mut corrections = Corrections::new();
    let corrected =
        rounds.iter().flat_map(|r| r.cells.values()).filter(|cell| cell.struck.is_some());
    for seq in corrected.map(|cell| cell.seq) {
        if let std::collections::btree_map::Entry::Vacant(place) = corrections.entry(seq)
            && let Some(found) = entry(desk, seq)?
        {
            place.insert(found);
        }
    }
    Ok(corrections)
}

/// Who corrected what of a round, when and why.
pub(super) fn told(
    round: &Round,
    corrections: &Corrections,
    clock: &ShipClock,
    now: Timestamp,
) -> Vec<String> {
    let corrected = round.cells.iter().filter(|(_, cell)| cell.struck.is_some());
    let mut told: Vec<String> = corrected
        .filter_map(|(key, cell)| {
            let entry = corrections.get(&cell.seq)?;
            let label = match key.strip_prefix(SOUNDING) {
                Some(tank) => format!("Sounding of {tank}"),
                None => field::reading(key).map_or(key.as_str(), |r| r.label).to_owned(),
            };
            let when = shiptime::short(clock, entry.logged, now);
            let why = entry.reason.as_deref().map(|why| format!(": {why}")).unwrap_or_default();
            Some(format!("{label} corrected by {} {when}{why}", entry.author.actor))
        })
        .collect();
    told.dedup();
    told
}

impl Earlier {
    /// The entry of the page.
    pub(super) fn entry(&self) -> Markup {
        if self.rounds.is_empty() {
            return parts::entry(
                "Earlier rounds",
                html! {},
                parts::quiet(
                    "No round has been read yet",
                    html! { "Output is worked out from two counter readings: the first round gives none." },
                ),
            );
        }
        let readings: Vec<&'static Reading> =
            COLUMNS.iter().filter_map(|key| field::reading(key)).collect();
        let mut table = Table::new("", "Round").numbers("Made", "t/day");
        for reading in &readings {
            table = table.numbers(reading.label, unit_of(reading).symbol());
        }
        let whole = self.rounds.iter().filter(|round| round.is_whole()).count();
        // Where no round is whole every moment is one.
        let listed = |at: &usize| whole == 0 || self.rounds[*at].is_whole();
        let more = if whole == 0 { self.rounds.len() } else { whole } > self.count;
        let skip = usize::from(more);
        let rows =
            (skip..self.rounds.len()).rev().filter(listed).take(self.count).filter_map(|at| {
                let row = self.row(at, &readings)?;
                Some(std::iter::once(row).chain(self.corrected(at, readings.len() + 2)))
            });
        let table = table.words("Signed").rows(rows.flatten().collect::<Vec<_>>());
        let note = html! {
            p { "A correction is written beside the old figure. Neither is ever erased." }
            p { "Press a figure to correct it, or a round’s time to see all of it." }
        };
        parts::entry(
            "Earlier rounds",
            note,
            html! {
                (table)
                (self.between(skip, whole))
                @for line in self.settings(skip) { p.muted { (line) } }
                p.acts {
                    @if more && self.count < MOST {
                        a.act href={ (Page::Readings.path()) "?rounds=" ((self.count * 4).min(MOST)) } { "More rounds" }
                    }
                    a.act href=(SHEET) { "Blank watch sheet" }
                }
            },
        )
    }

    /// What was read between the rounds, at a step of a procedure or by itself, folded.
    fn between(&self, skip: usize, whole: usize) -> Markup {
        let rounds =
            self.rounds[skip..].iter().rev().filter(|round| whole > 0 && !round.is_whole());
        let rounds: Vec<&Round> = rounds.collect();
        if rounds.is_empty() {
            return html! {};
        }
        let list = html! { ul { @for round in &rounds { li {
            a.nb href=(round::path(round.at)) { (shiptime::long(&self.clock, round.at)) } ": "
            @for (nth, (key, figure)) in round.cells.iter().enumerate() {
                @let reading = field::reading(key);
                @if nth > 0 { "; " }
                (reading.map_or(key.as_str(), |reading| reading.label)) " " (cell(key, reading, figure))
                @if let Some(reading) = reading.filter(|reading| !reading.unit.is_empty()) { " " (unit_of(reading).symbol()) }
            }
            ". " (round.actors.join(", "))
            @for told in told(round, &self.corrections, &self.clock, self.now) { br; small { (told) } }
        } } } };
        parts::details_shown(&format!("Read between the rounds: {}", rounds.len()), false, list)
    }

    fn row(&self, at: usize, readings: &[&'static Reading]) -> Option<Row> {
        let round = self.rounds.get(at)?;
        let when = shiptime::long(&self.clock, round.at);
        let signed = round.actors.join(", ");
        if let Some(whole) = round.cells.get("round").filter(|cell| cell.not_taken) {
            let why = format!("not taken: {}", whole.why.as_deref().unwrap_or("no reason"));
            let over =
                Cell::over(readings.len() + 1, html! { (parts::state(Mark::Missing, &why)) });
            let when = html! { a.nb href=(round::path(round.at)) { (when) } };
            return Some(Row::new(when, [over, signed.as_str().into()]));
        }
        let before = &self.rounds[..at];
        let (most, switches) = (self.most_t_day, &self.switches);
        let made = made_t_day(before, &round.figures(), round.at, most, switches)
            .map(|x| digits(x, 1))
            .unwrap_or_default();
        let mut cells: Vec<Cell> = vec![made.into()];
        cells.extend(readings.iter().map(|r| {
            Cell::from(round.cells.get(r.key).map_or_else(|| html! {}, |c| cell(r.key, Some(r), c)))
        }));
        cells.push(signed.as_str().into());
        Some(Row::new(html! { a.nb href=(round::path(round.at)) { (when) } }, cells))
    }

    /// Instruments set right after rounds that are shown: their figures stand as they were read.
    fn settings(&self, skip: usize) -> Vec<String> {
        let shown = |event: &&Recalibrated| {
            let read = |r: &Round| r.value(&event.reading).is_some();
            let rounds = self.rounds[skip..].iter();
            rounds.filter(|r| read(r)).any(|r| event.mends(&event.reading, r.at))
        };
        let says = |event: &Recalibrated| {
            let reading = field::reading(&event.reading);
            let label = reading.map_or(event.reading.as_str(), |r| r.label);
            let unit = reading.map_or("", |r| unit_of(r).symbol());
            // A counter is off by a share.
            let unit = if event.reading == "distillate_meter_m3" { "%" } else { unit };
            let day = self.clock.local(event.at).strftime("%-d %b").to_string();
            let by = match event.high_by {
                Some(by) if by < 0.0 => format!("{:.1} {unit} too low before", -by),
                Some(by) => format!("{by:.1} {unit} too high before"),
                None => "wrong before, by how much nobody wrote".to_owned(),
            };
            format!(
                "{label}: set right {day}; it read {by}. The figures stand here as they were read; Now and Findings mend them."
            )
        };
        self.set_right.iter().filter(shown).map(says).collect()
    }

    /// Who corrected what, when and why: a row under the round, `columns` wide.
    fn corrected(&self, at: usize, columns: usize) -> Option<Row> {
        let round = self.rounds.get(at)?;
        let told = told(round, &self.corrections, &self.clock, self.now);
        let says = html! { @for (nth, line) in told.iter().enumerate() { @if nth > 0 { br; } small { (line) } } };
        (!told.is_empty()).then(|| {
            let name = html! { small.muted { "corrected" } };
            Row::new(name, [Cell::over(columns, says)]).under()
        })
    }
}

/// A figure, the one it replaced struck through, with the way to correct it. Without a `reading` it is a sounding.
pub(super) fn cell(key: &str, reading: Option<&'static Reading>, cell: &Figure) -> Markup {
    if cell.not_taken {
        let why = cell.why.as_deref().unwrap_or("no reason");
        return html! { small { "not taken: " (why) } };
    }
    let text = |value: Option<f64>, typed: &str| match (reading, value) {
        (Some(reading), Some(value)) => shown(reading, value),
        (None, Some(value)) => digits(value, 1),
        (_, None) => typed.to_owned(),
    };
    let doubtful = cell.why.as_ref().filter(|_| cell.struck.is_none());
    html! {
        @if let Some((value, typed)) = &cell.struck { s { (text(*value, typed)) } " " }
        a href={ (CORRECT) "?seq=" (cell.seq) "&key=" (key) } title=[doubtful.map(|why| format!("kept: {why}"))] {
            (text(cell.value, &cell.text))
            @if doubtful.is_some() { "?" }
        }
    }
}
