//! The capacity map: output over sea temperature and jacket temperature or engine load, with where each limit holds.

use chart::{CapacityMap, Grid, Held, Present};
use plant::{Axis, Flag, LimitKind, Plant, Point, Solution, TrimLever, TrimReason};
use rayon::prelude::*;

use super::Answer;

/// Columns and rows of the map's grid.
const COLUMNS: u32 = 33;
const ROWS: u32 = 25;

/// What the map's second axis is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum MapOver {
    /// Jacket water in, °C.
    #[default]
    JacketIn,
    /// Engine load, %: the engine's heat then follows it.
    EngineLoad,
}

impl MapOver {
    /// The word in an address.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            MapOver::JacketIn => "jacket",
            MapOver::EngineLoad => "load",
        }
    }

    /// The choice of this word; jacket temperature for any other.
    #[must_use]
    pub fn from_word(word: &str) -> Self {
        if word == "load" { MapOver::EngineLoad } else { MapOver::JacketIn }
    }

    fn axis(self) -> Axis {
        match self {
            MapOver::JacketIn => Axis::JacketIn,
            MapOver::EngineLoad => Axis::EngineLoad,
        }
    }
}

/// A cell of the map: trimmed and free where the plant runs.
pub(crate) type Cell = Option<(Solution, Solution)>;

/// The map as it is drawn, and its figures as a table.
#[derive(Debug, Clone, PartialEq)]
pub struct MapView {
    /// The picture's content.
    pub map: CapacityMap,
    /// Sea temperatures of the table's columns, °C.
    pub columns: Vec<f64>,
    /// Rows of the table: place on the second axis, output by column, t/day; none where the plant does not run.
    pub rows: Vec<(f64, Vec<Option<f64>>)>,
}

/// Works out the map around an answer's conditions. `now_makes` is the output last read, t/day.
#[must_use]
pub fn map(plant: &Plant, answer: &Answer, over: MapOver, now_makes: Option<f64>) -> MapView {
    let point = &answer.point;
    let (y_here, y_ends) = match over {
        MapOver::JacketIn => (point.jacket_in_c, jacket_ends(plant, point.jacket_in_c)),
        MapOver::EngineLoad => {
            (point.engine_load.unwrap_or(85.0), load_ends(plant, point.engine_load))
        }
    };
    let xs = places((point.sea_temp_c.min(4.0), point.sea_temp_c.max(36.0)), COLUMNS);
    let ys = places(y_ends, ROWS);
    let free = Point { trimmed: false, engine_load: None, ..point.clone() };
    // Left to itself the plant does not know the engine's load: one row does for all.
    let one_row = match over {
        MapOver::EngineLoad => {
            plant.map_row(&free, (Axis::SeaTemp, &xs), (Axis::JacketIn, point.jacket_in_c)).ok()
        }
        MapOver::JacketIn => None,
    };
    let cells: Vec<Cell> = ys
        .par_iter()
        .map(|y| {
            let trimmed = plant.map_row(point, (Axis::SeaTemp, &xs), (over.axis(), *y)).ok();
            let free = match &one_row {
                Some(row) => Some(row.clone()),
                None => plant.map_row(&free, (Axis::SeaTemp, &xs), (Axis::JacketIn, *y)).ok(),
            };
            match trimmed.zip(free) {
                Some((trimmed, free)) => {
                    trimmed.into_iter().zip(free).map(|(t, f)| t.ok().zip(f.ok())).collect()
                }
                None => vec![None; xs.len()],
            }
        })
        .flatten()
        .collect();
    let output: Vec<Option<f64>> =
        cells.iter().map(|c| c.as_ref().map(|(t, _)| t.product_t_day)).collect();
    let load = |i: usize| match over {
        MapOver::JacketIn => point.engine_load,
        MapOver::EngineLoad => ys.get(i / xs.len().max(1)).copied(),
    };
    let held = regions(plant, &load, &cells);
    let grid = Grid { x: xs, y: ys, values: output };
    let (columns, rows) = table(&grid);
    let map = CapacityMap {
        title: "Capacity map".into(),
        says: format!("Output over sea temperature and {}, everything else as asked.", name(over)),
        x_label: "sea temperature, °C".into(),
        y_label: format!("{}, {}", name(over), if over == MapOver::JacketIn { "°C" } else { "%" }),
        unit: "t/day".into(),
        levels: levels(&grid, plant.sheet().product_max_t_day),
        grid,
        held,
        none_label: "no steady running here".into(),
        present: Some(present(answer, y_here, now_makes)),
        track: Vec::new(),
    };
    MapView { map, columns, rows }
}

fn name(over: MapOver) -> &'static str {
    match over {
        MapOver::JacketIn => "jacket water in",
        MapOver::EngineLoad => "engine load",
    }
}

fn present(answer: &Answer, y: f64, now_makes: Option<f64>) -> Present {
    let label = match &answer.made {
        Ok(made) => format!("can make {:.1}", made.product_t_day.middle),
        Err(_) => "cannot run".to_owned(),
    };
    let note = now_makes.map_or_else(String::new, |made| format!("makes {made:.1}"));
    Present { x: answer.point.sea_temp_c, y, label, note }
}

/// Around the rated temperature, wider for a point beyond; one far colder than any plant runs at stays off the map.
fn jacket_ends(plant: &Plant, here: f64) -> (f64, f64) {
    let rated = plant.sheet().rated_jacket_in_c;
    let coldest = (rated - 35.0).max(0.0);
    ((rated - 20.0).min(here).max(coldest), (rated + 7.0).max(here).min(120.0))
}

fn load_ends(plant: &Plant, here: Option<f64>) -> (f64, f64) {
    let rows = &plant.sheet().jacket_heat_table;
    let ends = rows.first().zip(rows.last()).map_or((25.0, 100.0), |(a, b)| (a[0], b[0]));
    let here = here.unwrap_or(ends.0);
    (ends.0.min(here), ends.1.max(here))
}

fn places((low, high): (f64, f64), count: u32) -> Vec<f64> {
    (0..count).map(|i| low + (high - low) * f64::from(i) / f64::from(count - 1)).collect()
}

/// Whole tonnes, or as far apart as keeps a dozen contours; none along the flat top, where rounding would draw it.
fn levels(grid: &Grid, most_t_day: f64) -> Vec<f64> {
    let known = grid.values.iter().flatten();
    let (low, high) =
        known.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(*v), h.max(*v)));
    let mut levels = chart::nice_ticks(low, high, 14).values;
    levels.retain(|level| *level < most_t_day * (1.0 - 1.0e-6));
    levels
}

/// Where each limit holds: how far past it, by cell; `load` gives a cell's engine load.
pub(crate) fn regions(
    plant: &Plant,
    load: &dyn Fn(usize) -> Option<f64>,
    cells: &[Cell],
) -> Vec<Held> {
    let sheet = plant.sheet();
    let past = |f: &dyn Fn(usize, &Solution, &Solution) -> f64| -> Vec<Option<f64>> {
        cells.iter().enumerate().map(|(i, c)| c.as_ref().map(|(t, free)| f(i, t, free))).collect()
    };
    let moved = |s: &Solution, why: TrimReason| s.trims.iter().any(|t| t.why == why);
    let over_limit = |s: &Solution, kind: LimitKind| {
        s.limits
            .iter()
            .find(|l| l.kind == kind)
            .map_or(-1.0, |l| -l.room / l.limit.abs().max(1.0e-9))
    };
    // A limit that alone was trimmed for is judged by what the plant would do untrimmed; beside another, by how far its lever
    // was moved. Both are nought at the edge, so that the edge is met from either side.
    let held = |t: &Solution, untrimmed: f64, why: &[TrimReason]| {
        let trim = t.trims.iter().find(|trim| why.contains(&trim.why));
        let share = trim.map_or(0.0, |trim| match trim.lever {
            TrimLever::AirBleed => (trim.to - trim.from) / (trim.to - trim.from + 1.0),
            _ => 1.0 - trim.to / trim.from.max(1.0e-9),
        });
        if t.trims.len() == 1 { untrimmed } else { share }.max(1.0e-9)
    };
    let product = past(&|_, t, free| {
        let over = |s: &Solution| s.product_t_day / sheet.product_max_t_day - 1.0;
        let why = TrimReason::ProductMax;
        if moved(t, why) { held(t, over(free), &[why]) } else { over(t).min(-1.0e-9) }
    });
    let heat = past(&|i, t, free| {
        let Some(load) = load(i) else { return -1.0 };
        let spare = plant.spare_heat_w(load).max(1.0);
        let over = |s: &Solution| s.evaporator_heat_w / spare - 1.0;
        let why = TrimReason::EngineHeat;
        if t.heat_limited { held(t, over(free), &[why]) } else { over(t).min(-1.0e-9) }
    });
    let shell = past(&|_, t, free| {
        let under = |s: &Solution| {
            (sheet.vapour_temp_min_c - s.vapour_temp_c) / sheet.vapour_temp_min_c.max(1.0)
        };
        let why = [
            TrimReason::VapourTempMin,
            TrimReason::SeaOutMax,
            TrimReason::FlowFloor,
            TrimReason::BleedMax,
        ];
        if why.iter().any(|w| moved(t, *w)) {
            held(t, under(free), &why)
        } else {
            under(t).min(-1.0e-9)
        }
    });
    let brine = past(&|_, t, _| over_limit(t, LimitKind::BrineStrength));
    let lifted = past(&|_, t, _| {
        let fading = if t.flags.contains(&Flag::EjectorFading) { 1.0e-9 } else { -1.0 };
        over_limit(t, LimitKind::BrineCapacity).max(fading)
    });
    let named = [
        (format!("held at {:.0} t/day, the maker’s maximum", sheet.product_max_t_day), product),
        ("held by the engine’s heat".to_owned(), heat),
        ("shell kept warm: condenser throttled".to_owned(), shell),
        ("brine too strong: give more feed".to_owned(), brine),
        ("more brine than the ejector lifts".to_owned(), lifted),
    ];
    named
        .into_iter()
        .filter(|(_, past)| past.iter().flatten().any(|p| *p > 0.0))
        .map(|(name, past)| Held { name, past })
        .collect()
}

/// The second axis' value, and the field across.
type TableRow = (f64, Vec<Option<f64>>);

/// Every fourth crossing as a table: sea temperature across, second axis down from the top as in the picture.
fn table(grid: &Grid) -> (Vec<f64>, Vec<TableRow>) {
    let width = grid.x.len();
    let columns = grid.x.iter().copied().step_by(4).collect();
    let rows = grid
        .y
        .iter()
        .enumerate()
        .step_by(3)
        .map(|(j, y)| {
            let row = grid.values.iter().skip(j * width).take(width).step_by(4).copied().collect();
            (*y, row)
        })
        .rev()
        .collect();
    (columns, rows)
}
