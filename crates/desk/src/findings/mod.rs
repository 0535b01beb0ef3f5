//! "Why is she not making what she should, what do I look at next, and when do I clean?": findings of the ship's own record.

mod alone;
mod answer;
mod asked;
mod blamed;
mod checked;
mod checks;
mod deposits;
mod exported;
mod first;
mod fresh;
mod heat;
mod kept;
mod known;
mod looked;
mod mending;
mod missing;
mod sets;
mod source;
mod stand;
mod tables;
mod taken_back;
mod trust;
mod units;
mod unsettled;
mod view;
mod words;

pub use ::findings::in_hundred;
pub use asked::{ReadsWrong, STANDS};
pub use blamed::Blamed;
pub use checked::CheckMade;
pub use checks::{CHECKS, Check, leak_down_kg_h, looking_for};
pub use exported::{is_export, sets_of_export};
pub use fresh::Fresh;
pub use kept::Lately;
pub use looked::Looked;
pub use missing::Missing;
pub use stand::{Stand, StopCost};
pub use tables::{CauseRow, InstrumentRow, ShipTables, TABLES_FILE, tables_example};
pub use taken_back::closable;
pub use units::in_own_units;
pub use view::{
    CauseLine, CheckLine, CleaningLine, EvidenceLine, FindingJson, FindingsView, GrowthLine,
};
pub use words::{CLEANED, Cleaned, Closed, Closing, MENDED, Recalibrated, SEEN, ToldOfPlant};

pub(crate) use kept::Kept;
pub(crate) use sets::set_of;
pub(crate) use words::counts_from;

use ::findings::Cause;
use jiff::{SignedDuration, Timestamp};

use crate::desk::{Desk, DeskError};
use crate::setup::Setup;

use self::source::Source;
use self::words::ToldOfPlant as Told;

/// Which rounds are explained.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Since {
    /// Those since the plant was last cleaned; all that are looked at where it never was.
    #[default]
    Cleaned,
    /// Those of the last days before the newest round.
    Days(u32),
    /// Those from a moment on.
    Moment(Timestamp),
}

/// Rounds before the first that its counter and its marks may be held against.
const LEADING: usize = 14;
/// Fewest readings of a round that are worth explaining.
const FEWEST: usize = 3;

/// Works findings out; [`Desk::findings`] keeps them.
pub(crate) fn find(
    source: &Source,
    setup: &Setup,
    since: Since,
    tables_text: &str,
) -> Result<FindingsView, DeskError> {
    let (rounds, zone, told) = (&source.rounds, source.zone, source.told.clone());
    let newest = rounds.iter().rev().find(|round| round.running());
    let Some(newest) = newest.map(|round| round.at) else {
        return Err(DeskError::Asked(
            "No round of a running plant has been read yet. Read one: jacket water in and out, sea water in and out, vapour, counter and salinity."
                .into(),
        ));
    };
    let day = |at: Timestamp| zone.to_datetime(at).strftime("%-d %B %Y").to_string();
    let (from, since_words) = begins(since, &told, newest, &day);
    let lead = rounds.partition_point(|round| round.at < from).saturating_sub(LEADING);
    let rounds = &rounds[lead..];
    let sets = sets::sets(setup, rounds, &told, from);
    let last = sets.last.map(|place| &rounds[place]);
    let read = sets.sets.last().map_or(0, |set| set.count());
    let (Some(last), true) = (last, read >= FEWEST) else {
        return Err(DeskError::Asked(format!(
            "Too few readings of a running plant {since_words}. Read a round: jacket water in and out, sea water in and out, vapour, counter and salinity."
        )));
    };
    let mut tables = tables::of(setup, tables_text, &told)
        .map_err(|why| DeskError::Asked(format!("{TABLES_FILE}: {why}")))?;
    let moments: Vec<Timestamp> = sets.sets.iter().map(|set| set.time).collect();
    let looked = looked::looks(&told, (from, newest), &moments, &day);
    looked::weigh(&mut tables.tables, &looked);
    let sheet = setup.plant.sheet();
    let anew = told.anew(&looked::sound(&looked));
    let finding = ::findings::explain_anew(sheet, &tables.tables, &sets.sets, &anew)
        .map_err(|e| DeskError::Asked(e.to_string()))?;
    let stands = source.rounds.last().is_some_and(crate::round::Round::idle);
    let runs = source.plant.is_none_or(|(on, _)| on) && !stands;
    let banding =
        setup.plant.banding(&setup.uncertainty).map_err(|e| DeskError::Asked(e.to_string()))?;
    let switches = told.switched.clone();
    let given = answer::Given {
        setup,
        banding: &banding,
        rounds,
        last,
        sets: &sets,
        told,
        tables,
        looked,
        zone,
        from,
        since,
        since_words,
        runs,
    };
    let first = finding.first_check().and_then(|check| checks::of(check.instrument));
    let first = first.map(|check| check.reading);
    let mut view = answer::answer(given, finding);
    if let Some(last) = sets.last {
        let (sets, anew, switches) = (&sets.sets, &anew, &switches);
        let from = fresh::From { setup, banding: &banding, rounds, last, sets, anew, switches };
        fresh::tell(&mut view, &from);
    }
    view.one_next(first);
    Ok(view)
}

impl Desk {
    /// The settings file of the findings as it stands; none where nobody wrote one.
    ///
    /// # Errors
    /// [`DeskError::File`] when it is there and cannot be read.
    pub fn tables_text(&self) -> Result<Option<String>, DeskError> {
        self.kept_text(TABLES_FILE)
    }

    /// Keeps a settings file that can be read.
    ///
    /// # Errors
    /// [`DeskError::Asked`] with what is wrong; or why it cannot be kept.
    pub fn save_tables(&self, text: &str, actor: &str, now: Timestamp) -> Result<(), DeskError> {
        tables::check(&self.setup(), text).map_err(DeskError::Asked)?;
        self.keep_text(TABLES_FILE, text, actor, now)
    }
}

/// A part that was never cleaned is told by the rounds of so many days at least.
const NEVER_CLEANED_DAYS: u32 = 30;

/// Where the rounds begin, and why, as it ends a sentence. The cleaning of one part leaves the other's history alone: rounds begin with
/// the older of both.
fn begins(
    since: Since,
    told: &Told,
    newest: Timestamp,
    day: &dyn Fn(Timestamp) -> String,
) -> (Timestamp, String) {
    let back = |days: u32| {
        let span = SignedDuration::from_hours(24 * i64::from(days));
        newest.checked_sub(span).unwrap_or(Timestamp::UNIX_EPOCH)
    };
    let (from, words) = match since {
        Since::Days(days) => (back(days), format!("of the last {days} days")),
        Since::Moment(at) => (at, "since the moment asked for".to_owned()),
        Since::Cleaned => {
            let parts = [Cause::Scale, Cause::CondenserFouling];
            // A part that was never cleaned is told from an older cleaning of the other, so that a cleaning of now moves no beginning.
            let older = told.cleaned.iter().map(|one| counts_from(one.at));
            let older = older.filter(|at| *at <= back(NEVER_CLEANED_DAYS)).max();
            let never = || older.unwrap_or_else(|| back(NEVER_CLEANED_DAYS));
            let begin = |cause| told.last_cleaned(cause).map_or_else(never, counts_from);
            let from = parts.into_iter().map(begin).min().unwrap_or(newest);
            match told.cleaned.iter().find(|cleaned| counts_from(cleaned.at) == from) {
                _ if told.cleaned.is_empty() => {
                    (Timestamp::UNIX_EPOCH, "since the record began".to_owned())
                }
                Some(cleaned) => (from, format!("since the {} was cleaned", cleaned.what)),
                None => (from, format!("of the last {NEVER_CLEANED_DAYS} days")),
            }
        }
    };
    let later: Vec<(&str, Timestamp)> = told.cleaned_since(from).collect();
    if later.is_empty() {
        return (from, words);
    }
    let counts = |(part, at): &(&str, Timestamp)| {
        format!("; the {part} was cleaned on {}, and counts from there", day(*at))
    };
    let words = words.replace(" was cleaned", &format!(" was cleaned on {}", day(from)));
    (from, words + &later.iter().map(counts).collect::<String>())
}
