//! A plant that is run: time goes on, hands act, the relay answers.

use std::sync::Arc;

use plant::Point;

use crate::action::{Action, Do};
use crate::begin::{self, Begin};
use crate::conditions::Conditions;
use crate::controls::Controls;
use crate::error::Stopped;
use crate::ledger::Ledgers;
use crate::model::Model;
use crate::moment::{Hints, moment};
use crate::noted::{Answered, Noted, SAVES_S, SLOW_PERCENT, SLOWS_K, Sample, Saved, TRIPS_K};
use crate::parts::{F_AIR, F_CONDENSER, F_DEMISTER, F_FOULING, F_NOZZLE, S_LOAD, W_ANTISCALANT};
use crate::passed::Passed;
use crate::row::Row;
use crate::solver::{Rates, Solver, Step, Work};
use crate::stands::Stands;
use crate::state::{
    CELL_READING, DIVERTER, ENGINE_OUT, METER, SCALE, SUPPLY, State, TANK, TANK_SALT,
};

/// Tolerated error of a step, relative, when nothing else is asked.
pub const TOLERANCE: f64 = 1.0e-5;

/// Longest step, s, and while the ship rolls.
const LONGEST_S: f64 = 60.0;
const LONGEST_ROLLING_S: f64 = 1.0;

/// First step after something was done, s.
const FIRST_S: f64 = 1.0;

/// The relay's moment is found to this, relative to its limit.
const FOUND: f64 = 1.0e-6;

/// A plant under way. A clone is a mark that can be gone back to: what is done from it gives the same bits again.
#[derive(Debug, Clone)]
pub struct Run {
    model: Arc<Model>,
    controls: Controls,
    state: State,
    start: State,
    time_s: f64,
    solver: Solver,
    hints: Hints,
    waiting: Vec<Action>,
    noted: Noted,
    ship_limit_mg_kg: f64,
}

struct System<'a> {
    model: &'a Model,
    controls: &'a Controls,
    at: Conditions,
    hints: Hints,
}

impl Rates for System<'_> {
    fn rates(&mut self, time_s: f64, y: &State) -> State {
        self.controls.follow(&mut self.at, self.model, time_s);
        let moment = moment(self.model, &self.at, y, self.hints);
        self.hints = moment.hints;
        moment.rates
    }
}

/// Water in the well of which a sample can be taken, kg.
const SAMPLE_KG: f64 = 1.0;

impl Run {
    /// Begins a run; `put` may change the settings and troubles it begins with.
    pub(crate) fn begin(
        model: Arc<Model>,
        begin: Begin,
        set_point_c: f64,
        put: impl FnOnce(&mut Controls),
        tolerance: f64,
    ) -> Self {
        let mut controls = Controls::new(begin == Begin::Running, set_point_c);
        put(&mut controls);
        let at = controls.conditions(&model, 0.0);
        let state = begin::state(&model, &at, begin);
        let ship_limit_mg_kg = controls.limit(0.0);
        Run {
            model,
            controls,
            state,
            start: state,
            time_s: 0.0,
            solver: Solver::new(tolerance),
            hints: Hints::NONE,
            waiting: Vec::new(),
            noted: Noted::default(),
            ship_limit_mg_kg,
        }
    }

    /// The demonstration of a plant at its usual settings.
    #[must_use]
    pub fn new(model: Arc<Model>, begin: Begin) -> Self {
        let set_point = model.plant.sheet().rated_jacket_in_c;
        Self::begin(model, begin, set_point, |_| {}, TOLERANCE)
    }

    /// Where the clock stands, s.
    #[must_use]
    pub fn time_s(&self) -> f64 {
        self.time_s
    }

    /// Everything the plant remembers, in the order of [`crate::NAMES`].
    #[must_use]
    pub fn state(&self) -> &State {
        &self.state
    }

    /// Puts one remembered figure to a value, in the unit of [`crate::NAMES`]: how a run is begun elsewhere than cold or running.
    pub fn put(&mut self, place: usize, value: f64) {
        if let Some(x) = self.state.get_mut(place) {
            *x = value;
            self.start = self.state;
            self.solver.restart(0.1);
        }
    }

    /// Brings a running plant to rest, its dosing on or off, and begins the clock anew: what it laid down and filled meanwhile is not its own.
    pub(crate) fn come_to_rest(&mut self, for_s: f64, dosed: bool) {
        if dosed {
            self.act(&Do::Switch { place: W_ANTISCALANT, word: 1 });
        }
        let before = self.state;
        // A run that cannot be carried on is told of when it is run.
        if self.advance(for_s).is_ok() {
            for counted in [SCALE, TANK, TANK_SALT, METER] {
                self.state[counted] = before[counted];
            }
            self.noted = Noted::default();
            self.start = self.state;
            self.time_s = 0.0;
            self.solver.restart(FIRST_S);
        }
    }

    /// Temperature the thermostat holds, °C.
    #[must_use]
    pub fn set_point_c(&self) -> f64 {
        self.controls.set_point_c()
    }

    /// The day's atmosphere, Pa.
    #[must_use]
    pub fn atmosphere_pa(&self) -> f64 {
        self.controls.conditions(&self.model, self.time_s).around.atmosphere_pa
    }

    /// Salt at which the relay dumps, mg/kg.
    #[must_use]
    pub fn limit_mg_kg(&self) -> f64 {
        self.controls.limit(self.time_s)
    }

    /// The ship's own limit: where it was set at the beginning, mg/kg.
    #[must_use]
    pub fn ship_limit_mg_kg(&self) -> f64 {
        self.ship_limit_mg_kg
    }

    /// What was written down beside the figures.
    #[must_use]
    pub fn noted(&self) -> &Noted {
        &self.noted
    }

    /// How everything that is handled stands now.
    #[must_use]
    pub fn stands(&self) -> Stands {
        self.controls.stands(self.time_s)
    }

    /// Forgets what was left to be done later.
    pub fn forget_plans(&mut self) {
        self.waiting.clear();
    }

    /// Work done so far.
    #[must_use]
    pub fn work(&self) -> Work {
        self.solver.work
    }

    /// What water, salt, heat and air do not balance by since the beginning.
    #[must_use]
    pub fn ledgers(&self) -> Ledgers {
        Ledgers::of(&self.model, &self.start, &self.state)
    }

    /// Does something now.
    pub fn act(&mut self, what: &Do) {
        let at_s = self.time_s;
        match *what {
            Do::Sample => {
                let row = self.row();
                let mg_kg = (row.well_kg >= SAMPLE_KG).then_some(row.product_salt_mg_kg);
                return self.noted.samples.push(Sample { at_s, mg_kg });
            }
            Do::Answer { cause } => return self.noted.answers.push(Answered { at_s, cause }),
            _ => {}
        }
        self.controls.apply(what, self.time_s);
        self.controls.read(self.state[CELL_READING], self.time_s);
        self.solver.restart(FIRST_S);
    }

    /// Leaves things to be done later; those whose time has passed are done at once.
    pub fn plan(&mut self, actions: &[Action]) {
        // the next to be done stands last; at one moment the order given is kept
        self.waiting.reverse();
        self.waiting.extend_from_slice(actions);
        self.waiting.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
        self.waiting.reverse();
    }

    /// What the plant shows now.
    #[must_use]
    pub fn row(&self) -> Row {
        let at = self.controls.conditions(&self.model, self.time_s);
        Row::of(self.time_s, &at, &self.state, &moment(&self.model, &at, &self.state, self.hints))
    }

    /// The flows and temperatures of this moment as a point of the steady plant: at rest both show the same.
    #[must_use]
    pub fn as_point(&self) -> Point {
        let at = self.controls.conditions(&self.model, self.time_s);
        let m = moment(&self.model, &at, &self.state, self.hints);
        let (around, y) = (&at.around, &self.state);
        Point {
            sea_temp_c: around.sea_c,
            sea_salinity_g_kg: around.sea_g_kg,
            jacket_in_c: y[SUPPLY],
            jacket_flow_kg_s: m.jacket.heater,
            condenser_flow_kg_s: m.cooling,
            ejector_pressure_bar_g: (m.jet.motive_pa - around.atmosphere_pa) * 1.0e-5,
            back_pressure_bar_g: (m.jet.back_pa - around.atmosphere_pa) * 1.0e-5,
            air_leak_kg_h: at.fault(F_AIR),
            air_bleed_kg_h: m.bled * 3600.0 * water::M_AIR_KG_MOL,
            scale_m2k_w: y[SCALE],
            condenser_fouling_m2k_w: at.fault(F_FOULING),
            condenser_leak_kg_h: at.fault(F_CONDENSER),
            ejector_factor: at.fault(F_NOZZLE),
            demister_factor: at.fault(F_DEMISTER),
            barometer_hpa: around.atmosphere_pa / 100.0,
            feed_flow_kg_s: Some(m.flows.feed),
            room_temp_c: Some(around.room_c),
            ..Point::rated(self.model.plant.sheet())
        }
    }

    /// Lets time go on.
    ///
    /// # Errors
    /// [`Stopped`] when the solver finds no step it can stand for.
    pub fn advance(&mut self, until_s: f64) -> Result<(), Stopped> {
        self.advance_telling(until_s, &mut |_| {})
    }

    /// Lets time go on and tells each stretch as it passes. Steps do not depend on what is told or read.
    ///
    /// # Errors
    /// As [`Run::advance`].
    pub fn advance_telling(
        &mut self,
        until_s: f64,
        tell: &mut dyn FnMut(&Passed<'_>),
    ) -> Result<(), Stopped> {
        loop {
            self.do_what_is_due();
            if self.time_s >= until_s {
                return Ok(());
            }
            let mut next = until_s.min(self.controls.next_change(self.time_s));
            if let Some(action) = self.waiting.last() {
                next = next.min(action.time_s);
            }
            self.stretch(next, tell)?;
        }
    }

    fn do_what_is_due(&mut self) {
        while let Some(action) = self.waiting.last() {
            if action.time_s > self.time_s {
                return;
            }
            let what = action.what;
            self.waiting.pop();
            self.act(&what);
        }
    }

    /// One step of the solver, cut where the relay changes its mind.
    fn stretch(&mut self, next_s: f64, tell: &mut dyn FnMut(&Passed<'_>)) -> Result<(), Stopped> {
        let model = Arc::clone(&self.model);
        let longest = if self.controls.rolls() { LONGEST_ROLLING_S } else { LONGEST_S };
        let mut system = System {
            model: &model,
            controls: &self.controls,
            at: self.controls.conditions(&model, self.time_s),
            hints: self.hints,
        };
        let stopped = || Stopped { time_s: self.time_s };
        let step = self
            .solver
            .step(&mut system, self.time_s, &self.state, next_s, longest)
            .ok_or_else(stopped)?;
        self.hints = system.hints;
        let step = match self.crossing(&step) {
            None => step,
            Some(_) => self.cut(&model, step)?,
        };
        self.time_s = step.to_s;
        self.state = step.after;
        let (controls, hints, noted) = (&self.controls, self.hints, &self.noted);
        tell(&Passed { model: &model, controls, step: &step, hints, noted });
        self.save_engine();
        let ended = self.time_s >= next_s;
        if ended {
            let before = self.controls.conditions(&model, self.time_s).diverter_to;
            self.controls.settle(self.time_s);
            // a relay that is let go changes course; a hand that has stopped does not
            if self.controls.next_change(next_s - 1.0e-9) <= next_s
                || before != step.after[DIVERTER].round()
            {
                self.solver.restart(FIRST_S);
            }
        }
        let limit = self.controls.watched(self.time_s);
        let reading = self.state[CELL_READING];
        let snapped = if (reading - limit).abs() <= 2.0 * FOUND * limit { limit } else { reading };
        if self.controls.read(snapped, self.time_s) {
            self.solver.restart(FIRST_S);
        }
        Ok(())
    }

    /// Jacket at which the engine's own safeties act next, °C; none where they have done what they can.
    fn safety_c(&self) -> Option<f64> {
        let over_k = match self.controls.load_to() {
            load if load > SLOW_PERCENT => SLOWS_K,
            load if load > 0.0 => TRIPS_K,
            _ => return None,
        };
        Some(self.set_point_c() + over_k)
    }

    /// An engine too hot slows down by itself, and trips when that does not help: whoever runs it, and however.
    fn save_engine(&mut self) {
        let (jacket_c, at_s) = (self.state[ENGINE_OUT], self.time_s);
        if self.safety_c().is_none_or(|mark_c| jacket_c < mark_c * (1.0 - FOUND)) {
            return;
        }
        let tripped = jacket_c - self.set_point_c() >= TRIPS_K - 0.001;
        let value = if tripped { 0.0 } else { SLOW_PERCENT };
        self.noted.saved.push(Saved { at_s, jacket_c, tripped });
        self.act(&Do::Set { place: S_LOAD, value, over_s: SAVES_S });
    }

    /// Where in a step something happens by itself: the reading passes the mark the relay waits for, the jacket one of the engine's.
    fn crossing(&self, step: &Step) -> Option<f64> {
        let past = |state: &State, time_s: f64| {
            let mark = self.controls.watched(time_s);
            let over = state[CELL_READING] - mark;
            (if self.controls.is_clean() { over } else { -over }) / mark
        };
        let hot = self.safety_c().and_then(|mark_c| {
            let over = |state: &State, _: f64| (state[ENGINE_OUT] - mark_c) / mark_c;
            Self::crossed(step, &over)
        });
        let relay = Self::crossed(step, &past);
        relay.into_iter().chain(hot).reduce(f64::min)
    }

    /// Where in a step a figure comes from under nought to over it.
    fn crossed(step: &Step, past: &dyn Fn(&State, f64) -> f64) -> Option<f64> {
        let (before, after) = (past(&step.before, step.from_s), past(&step.after, step.to_s));
        if before >= -FOUND || after <= FOUND {
            return None;
        }
        let (mut low, mut high) = (step.from_s, step.to_s);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if past(&step.between(middle), middle) < 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(high)
    }

    /// Takes a step again so that it ends where the reading meets the mark.
    fn cut(&mut self, model: &Arc<Model>, mut step: Step) -> Result<Step, Stopped> {
        for _ in 0..20 {
            let Some(at_s) = self.crossing(&step) else { return Ok(step) };
            let mut system = System {
                model,
                controls: &self.controls,
                at: self.controls.conditions(model, self.time_s),
                hints: self.hints,
            };
            self.solver.restart(at_s - self.time_s);
            let again = self
                .solver
                .step(&mut system, self.time_s, &self.state, at_s, LONGEST_S)
                .ok_or(Stopped { time_s: self.time_s })?;
            if again.to_s >= step.to_s {
                return Ok(again);
            }
            step = again;
        }
        Ok(step)
    }
}
