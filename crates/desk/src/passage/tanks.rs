//! What each tank is foreseen to hold: on arrival, and all the way as lanes.

use chart::{Remark, StripLane, StripPoint};
use passage::decision::Duty;

use super::PassageView;

/// A tank in the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct TankAhead {
    /// Its name.
    pub name: String,
    /// Pumpable water as the plan begins, t.
    pub now_t: f64,
    /// The same on arrival: one passage in ten has less, the plan, one in ten has more, t.
    pub on_arrival_t: (f64, f64, f64),
    /// The most pumpable water it holds, t.
    pub full_t: f64,
}

/// One tank's figures through the plan, pumpable t.
struct Course {
    name: String,
    full_t: f64,
    /// Sample; one in ten below, the plan, one in ten above.
    figures: Vec<(usize, (f64, f64, f64))>,
}

impl PassageView {
    /// The tanks as they will be on arrival; empty where the plan cannot be split over them. A tank set apart is in no plan.
    #[must_use]
    pub fn tanks_ahead(&self) -> Vec<TankAhead> {
        let courses = self.courses().into_iter();
        let ahead = courses.filter_map(|course| {
            let (_, (_, now_t, _)) = *course.figures.first()?;
            let on_arrival = course.figures.iter().rfind(|(k, _)| *k <= self.arrival)?;
            let (name, full_t) = (course.name, course.full_t);
            Some(TankAhead { name, now_t, on_arrival_t: on_arrival.1, full_t })
        });
        ahead.collect()
    }

    fn courses(&self) -> Vec<Course> {
        let brief = &self.brief;
        let (Some(plan), Some(bands)) = (&brief.tank_plan, &brief.tank_bands) else {
            return Vec::new();
        };
        if plan.cannot.is_some() {
            return Vec::new();
        }
        let in_plan =
            |i: &usize| plan.duty.get(*i).is_some_and(|duty| duty.first() != Some(&Duty::SetApart));
        let tanks = self.aboard.tanks.iter().enumerate().filter(|(i, _)| in_plan(i));
        let course = |(i, tank): (usize, &passage::decision::Tank)| {
            let pumpable = |t: f64| (t - tank.dead_t).max(0.0);
            let level = |k: usize| plan.levels_t.get(i)?.get(k).copied();
            let rows = bands.p10_t.get(i)?.iter().zip(bands.p90_t.get(i)?).enumerate();
            let figures = rows.filter_map(|(row, (low, high))| {
                let k = row * bands.every;
                // Where valves move at other times in most passages the plan itself may be the rare one.
                let planned = level(k)?;
                let band = (low.min(planned), planned, high.max(planned));
                Some((k, (pumpable(band.0), pumpable(band.1), pumpable(band.2))))
            });
            let full_t = pumpable(tank.cap_t);
            Some(Course { name: tank.name.clone(), full_t, figures: figures.collect() })
        };
        tanks.filter_map(course).collect()
    }

    /// A lane for each tank, with the figures of `told` beside it.
    pub(super) fn tank_lanes(&self, told: Option<&Remark>) -> Vec<StripLane> {
        let samples = &self.timeline.samples;
        let lane = |course: Course| {
            let points = course.figures.iter().filter_map(|(k, (low, planned, high))| {
                let at_s = samples.get(*k)?.at.as_second() as f64;
                Some(StripPoint::banded(at_s, *planned, *low, *high))
            });
            StripLane {
                name: course.name,
                unit: "t".to_owned(),
                points: points.collect(),
                told: told.cloned(),
                ..StripLane::default()
            }
        };
        self.courses().into_iter().map(lane).collect()
    }
}
