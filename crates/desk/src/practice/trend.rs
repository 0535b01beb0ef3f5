//! A run over time: what was in ink, what is foreseen or what good hands did in pencil.

use chart::{Clock, Expected, Lane, Lanes, Limit, Reading, Span, TimeTick};
use transient::Row;

use super::room::Room;
use super::shown::salinity_unit;

/// What is foreseen, min.
const AHEAD_MIN: u32 = 20;
/// What is shown of the past, s.
const BEHIND_S: f64 = 2400.0;

impl Room {
    /// The run so far, and where it is heading should nobody touch anything.
    pub(super) fn trend(&self) -> Lanes {
        let now_s = self.time_s();
        let span =
            Span { from_s: (now_s - BEHIND_S).max(0.0), to_s: now_s + 60.0 * f64::from(AHEAD_MIN) };
        let mut rows: Vec<Row> = self.play.live.rows().to_vec();
        rows.push(self.play.live.row());
        rows.retain(|row| row.time_s >= span.from_s);
        let ahead = if self.over() || self.broke {
            Vec::new()
        } else {
            self.play.live.foreseen(AHEAD_MIN).unwrap_or_default()
        };
        lanes(&self.setup.ship.limits, self.play.live.run(), &rows, &ahead, span, Some(now_s))
    }
}

/// Lanes of a run: vacuum, engine jacket, made, salinity, expansion tank; what is in pencil comes beside what is in ink.
pub(super) fn lanes(
    limits: &crate::ship::Limits,
    run: &transient::Run,
    ink: &[Row],
    pencil: &[Row],
    span: Span,
    now_s: Option<f64>,
) -> Lanes {
    let lane = |name: &str,
                unit: &str,
                decimals: u8,
                limit: Option<(f64, &str)>,
                of: &dyn Fn(&Row) -> Option<f64>| Lane {
        name: name.to_owned(),
        unit: unit.to_owned(),
        decimals,
        readings: ink.iter().filter_map(|row| Some(Reading::new(row.time_s, of(row)?))).collect(),
        expected: pencil
            .iter()
            .filter_map(|row| Some(Expected { at_s: row.time_s, middle: of(row)?, band: None }))
            .collect(),
        limits: limit
            .into_iter()
            .map(|(value, label)| Limit { value, label: label.to_owned() })
            .collect(),
        joined_within_s: Some(3600.0),
        ..Lane::default()
    };
    let low = limits.get("engine_jacket_min_c").unwrap_or(run.set_point_c() - 5.0);
    Lanes {
        title: "The run so far, and where it is heading".to_owned(),
        says: "Ink: what was. Pencil: what is to be expected.".to_owned(),
        span,
        now_s,
        clock: Clock::Given(ticks(span)),
        stopped: Vec::new(),
        lanes: vec![
            lane("Vacuum", "%", 1, Some((90.0, "heat may go on at 90")), &|row| {
                Some(row.vacuum_percent.max(0.0))
            }),
            lane("Engine jacket", "°C", 1, Some((low, "engine’s low limit")), &|row| {
                Some(row.engine_outlet_c)
            }),
            lane("Made", "t/day", 1, None, &|row| Some(row.product_kg_s * 86.4)),
            lane(
                "Salinity",
                salinity_unit(),
                1,
                Some((run.limit_mg_kg(), "dumps at its limit")),
                // A cell that is off or dry shows nothing.
                &|row| {
                    let read = row.cell_reading_mg_kg.min(10.0 * run.limit_mg_kg());
                    (read > 0.0).then_some(read)
                },
            ),
            lane("Expansion tank", "kg", 0, None, &|row| Some(row.expansion_tank_kg)),
        ],
    }
}

/// Marks of the run's own clock at round minutes.
pub(super) fn ticks(span: Span) -> Vec<TimeTick> {
    let steps = [300.0, 600.0, 1200.0, 1800.0, 3600.0, 7200.0];
    let step = steps.into_iter().find(|step| span.length_s() / step <= 7.0).unwrap_or(14_400.0);
    let first = (span.from_s / step).ceil() as u64;
    let last = (span.to_s / step).floor() as u64;
    let label = |at_s: f64| {
        let minutes = (at_s / 60.0).round() as u64;
        format!("{}:{:02}", minutes / 60, minutes % 60)
    };
    (first..=last)
        .map(|k| k as f64 * step)
        .map(|at_s| TimeTick { at_s, label: label(at_s) })
        .collect()
}
