//! A stretch of time that has passed, for those who look: rows anywhere in it, and what the handles had the plant bear.

use crate::alarm;
use crate::controls::Controls;
use crate::model::Model;
use crate::moment::{Hints, moment};
use crate::noted::{Noted, Sample};
use crate::parts::{
    P_COOLING, P_DISTILLATE, P_EJECTOR, P_JACKET, S_BAROMETER, V_BYPASS, V_COOLING, V_DRAIN, V_IN,
    V_OUT, V_OVERBOARD, W_POWER, W_SALINOMETER,
};
use crate::record::HEATED_KG_S;
use crate::row::Row;
use crate::score::Borne;
use crate::smooth::step;
use crate::solver::Step;
use crate::state::{AIR_LOCK, State, WELL};

/// A valve open by less is shut, %.
const SHUT_PERCENT: f64 = 1.0;

/// What is told of a stretch of time that has passed: rows can be read anywhere in it.
#[derive(Debug)]
pub struct Passed<'a> {
    pub(crate) model: &'a Model,
    pub(crate) controls: &'a Controls,
    pub(crate) step: &'a Step,
    pub(crate) hints: Hints,
    pub(crate) noted: &'a Noted,
}

impl Passed<'_> {
    /// Where it begins, s.
    #[must_use]
    pub fn from_s(&self) -> f64 {
        self.step.from_s
    }

    /// Where it ends, s.
    #[must_use]
    pub fn to_s(&self) -> f64 {
        self.step.to_s
    }

    /// Everything the plant remembered where it begins.
    #[must_use]
    pub fn state(&self) -> &State {
        &self.step.before
    }

    /// Salt at which the relay dumps, mg/kg.
    #[must_use]
    pub fn limit_mg_kg(&self) -> f64 {
        self.controls.limit(self.step.to_s)
    }

    /// What the handles had the plant bear.
    pub(crate) fn borne(&self) -> Borne {
        let stands = self.controls.stands(self.step.to_s);
        let shut = |valve: usize| stands.valves[valve].at_percent < SHUT_PERCENT;
        Borne {
            shut_in: stands.driven[P_EJECTOR] && shut(V_OVERBOARD),
            uncooled: !stands.driven[P_COOLING] || shut(V_COOLING),
            pumps_distillate: stands.driven[P_DISTILLATE],
            reads: stands.switches[W_SALINOMETER] == 1 && stands.switches[W_POWER] == 1,
            no_way: stands.driven[P_JACKET] && shut(V_BYPASS) && (shut(V_IN) || shut(V_OUT)),
            drain_open: !shut(V_DRAIN),
            air_lock: self.step.after[AIR_LOCK],
            flooded: step(
                (self.step.after[WELL] - self.model.p.well_flood_kg)
                    / self.model.p.well_flood_span_kg,
            ),
        }
    }

    /// What stands at the salinometer and its valve when the plant shows this.
    pub(crate) fn at_alarm(&self, row: &Row, borne: Borne) -> alarm::At {
        alarm::At {
            reads: borne.reads,
            forced: self.controls.is_forced(),
            limit_mg_kg: self.limit_mg_kg(),
            heated: row.jacket_flow_kg_s > HEATED_KG_S,
        }
    }

    /// Samples tried so far.
    pub(crate) fn samples(&self) -> &[Sample] {
        &self.noted.samples
    }

    /// Pressure of the air around, Pa.
    pub(crate) fn atmosphere_pa(&self) -> f64 {
        self.controls.stands(self.step.to_s).sets[S_BAROMETER]
    }

    /// What the plant showed at a time in it.
    #[must_use]
    pub fn row(&self, time_s: f64) -> Row {
        let state =
            if time_s >= self.step.to_s { self.step.after } else { self.step.between(time_s) };
        let at = self.controls.conditions(self.model, time_s);
        Row::of(time_s, &at, &state, &moment(self.model, &at, &state, self.hints))
    }
}
