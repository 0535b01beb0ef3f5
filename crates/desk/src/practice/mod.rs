//! "Can I bring it up without upsetting the engine, and find the fault?": runs on a plant that cannot be damaged.
//!
//! Nothing of it enters the record, and a run is gone when the program ends.

mod debrief;
mod doing;
mod exercise;
mod fold;
mod list;
mod matter;
mod panel;
mod room;
mod shown;
mod suits;
mod ticked;
mod trend;
mod view;

pub use debrief::{CostLine, DebriefView, Revealed};
pub use doing::{Far, Practising};
pub use exercise::{AsNow, BeginError, NotTaken, Wish, set_point_c};
pub use list::{AtStep, Beside};
pub use matter::MatterLine;
pub use room::{Pace, Way};
pub use shown::salinity_unit;
pub use suits::Suits;
pub use view::{
    GaugeView, Handles, Happened, MarkView, PracticeView, PumpView, Said, Says, SetView, Standing,
    SwitchView, ValveView,
};

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use chart::Lanes;
use jiff::Timestamp;
use transient::{Drill, Trouble};

use crate::desk::{Desk, DeskError};

use self::doing::clock;
use self::room::Room;

/// Runs kept at a time; the one that was looked at longest ago makes room.
const MOST_ROOMS: usize = 6;

/// Every run that is practised.
#[derive(Debug, Default)]
pub(crate) struct Rooms(Mutex<Kept>);

#[derive(Debug, Default)]
struct Kept {
    last: u64,
    rooms: Vec<(u64, Arc<Mutex<Room>>)>,
}

/// A drill in the list of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DrillLine {
    /// Its key.
    pub key: String,
    /// What it is called.
    pub title: String,
    /// What is said before.
    pub story: String,
}

/// A run in the list of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RoomLine {
    /// Its number.
    pub id: u64,
    /// What it is called.
    pub title: String,
    /// Where its clock stands.
    pub clock: String,
    /// Minutes since somebody looked.
    pub idle_min: u64,
    /// It is over.
    pub over: bool,
    /// Time went on in it, or something was done.
    pub begun: bool,
}

/// What the page of exercises shows.
#[derive(Debug, Clone, PartialEq)]
pub struct PracticeList {
    /// Exercises that are built in.
    pub drills: Vec<DrillLine>,
    /// Troubles that can be set: name, and what each is called aboard.
    pub troubles: Vec<(&'static str, &'static str)>,
    /// Runs under way, the newest first.
    pub rooms: Vec<RoomLine>,
    /// What the sea and the engine are now.
    pub as_now: AsNow,
}

/// A trouble that waits for the one at the handles.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlantedLine {
    /// When, by the run's clock.
    pub clock: String,
    /// What.
    pub what: String,
    /// It has come.
    pub came: bool,
}

/// What the page of the one who sets troubles shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Secret {
    /// What the run is called.
    pub title: String,
    /// Where its clock stands.
    pub clock: String,
    /// The one who asks has the handles and is told nothing.
    pub yours: bool,
    /// Troubles set so far.
    pub planted: Vec<PlantedLine>,
    /// Troubles that can be set.
    pub troubles: Vec<(&'static str, &'static str)>,
}

fn whole<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    // A run is changed step by step, each of them whole: what a panic leaves behind can be gone on with.
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

fn troubles() -> Vec<(&'static str, &'static str)> {
    Trouble::all().iter().map(|trouble| (trouble.name, trouble.aboard)).collect()
}

impl Rooms {
    fn find(&self, id: u64) -> Result<Arc<Mutex<Room>>, DeskError> {
        let kept = whole(&self.0);
        let found = kept.rooms.iter().find(|(one, _)| *one == id).map(|(_, room)| Arc::clone(room));
        found.ok_or_else(|| {
            DeskError::Asked(format!(
                "run {id} of the practice plant is not there any more: the program was started anew, or newer runs took its place"
            ))
        })
    }
}

impl Desk {
    /// What can be practised, and what is under way.
    ///
    /// # Errors
    /// The record cannot be read, or a built-in exercise does not suit this plant.
    pub fn practice(&self, now: Timestamp, steady: Duration) -> Result<PracticeList, DeskError> {
        let model = exercise::model(&self.setup());
        let drills = Drill::all(&model).map_err(|e| DeskError::Asked(e.to_string()))?;
        let line =
            |drill: Drill| DrillLine { key: drill.key, title: drill.title, story: drill.story };
        let kept: Vec<_> =
            whole(&self.rooms().0).rooms.iter().map(|(_, room)| Arc::clone(room)).collect();
        let mut rooms: Vec<RoomLine> = kept
            .iter()
            .map(|room| {
                let room = whole(room);
                RoomLine {
                    id: room.id,
                    title: room.title.clone(),
                    clock: clock(room.time_s()),
                    idle_min: steady.saturating_sub(room.seen).as_secs() / 60,
                    over: room.over(),
                    begun: room.time_s() > 0.0 || !room.play.live.done().is_empty(),
                }
            })
            .collect();
        rooms.reverse();
        Ok(PracticeList {
            drills: drills.into_iter().map(line).collect(),
            troubles: troubles(),
            rooms,
            as_now: self.as_now(now)?,
        })
    }

    /// Begins a run for somebody; its number.
    ///
    /// # Errors
    /// Fields that are not taken, no such exercise, or a list that cannot be read.
    pub fn begin_practice(
        &self,
        wish: &Wish,
        who: &str,
        steady: Duration,
    ) -> Result<u64, BeginError> {
        let mut room = exercise::room(self, 0, wish, steady)?;
        room.hands = Some(who.to_owned());
        let mut kept = whole(&self.rooms().0);
        if kept.rooms.len() >= MOST_ROOMS {
            let idlest =
                kept.rooms.iter().enumerate().min_by_key(|(_, (_, room))| whole(room).seen);
            if let Some(place) = idlest.map(|(place, _)| place) {
                kept.rooms.remove(place);
            }
        }
        kept.last += 1;
        let id = kept.last;
        room.id = id;
        kept.rooms.push((id, Arc::new(Mutex::new(room))));
        Ok(id)
    }

    /// A run whole.
    ///
    /// # Errors
    /// No such run.
    pub fn practice_view(
        &self,
        id: u64,
        who: &str,
        steady: Duration,
    ) -> Result<PracticeView, DeskError> {
        let room = self.rooms().find(id)?;
        let mut room = whole(&room);
        room.catch_up(steady);
        Ok(PracticeView {
            id,
            title: room.title.clone(),
            story: room.story.clone(),
            until: clock(room.scenario.until_s),
            standing: room.standing(who)?,
            trend: room.trend(),
            lists: list::choices(self)?,
            causes: matter::causes(),
        })
    }

    /// A run as it stands, for bringing a page up to date.
    ///
    /// # Errors
    /// No such run.
    pub fn practice_standing(
        &self,
        id: u64,
        who: &str,
        steady: Duration,
    ) -> Result<Standing, DeskError> {
        let room = self.rooms().find(id)?;
        let mut room = whole(&room);
        room.catch_up(steady);
        room.standing(who)
    }

    /// The run so far and where it is heading.
    ///
    /// # Errors
    /// No such run.
    pub fn practice_trend(&self, id: u64) -> Result<Lanes, DeskError> {
        Ok(whole(&*self.rooms().find(id)?).trend())
    }

    /// Does something in a run.
    ///
    /// # Errors
    /// What cannot be, with what can; nothing has changed then.
    pub fn practise(
        &self,
        id: u64,
        who: &str,
        what: &Practising,
        steady: Duration,
    ) -> Result<(), DeskError> {
        let room = self.rooms().find(id)?;
        let mut room = whole(&room);
        room.catch_up(steady);
        room.practise(self, who, what)
    }

    /// What a run came to.
    ///
    /// # Errors
    /// No such run, or its reference cannot be carried to its end.
    pub fn practice_debrief(&self, id: u64) -> Result<DebriefView, DeskError> {
        whole(&*self.rooms().find(id)?).debrief()
    }

    /// What the one who sets troubles sees.
    ///
    /// # Errors
    /// No such run.
    pub fn practice_secret(&self, id: u64, who: &str) -> Result<Secret, DeskError> {
        let room = self.rooms().find(id)?;
        let room = whole(&room);
        let yours = room.handles(who) == Handles::Yours && !room.over();
        let planted = room.planted.iter().map(|planted| PlantedLine {
            clock: clock(planted.at_s),
            what: match planted.mended {
                true => format!("{}: put right", planted.trouble.aboard),
                false => planted.trouble.aboard.to_owned(),
            },
            came: planted.at_s <= room.time_s(),
        });
        Ok(Secret {
            title: room.title.clone(),
            clock: clock(room.time_s()),
            yours,
            planted: if yours { Vec::new() } else { planted.collect() },
            troubles: troubles(),
        })
    }
}
