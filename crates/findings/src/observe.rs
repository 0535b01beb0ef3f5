//! What the readings should be for given unknowns: the plant's free solution and its exact slopes, in the scales of unknowns and
//! instruments.

use plant::{Plant, Point, RESULT_FIGURES, Sheet, SheetError, Solution, Tangents};

use crate::prior::{self, PLANT_UNKNOWNS, PROCESS_UNKNOWNS, Transform, Unknown};
use crate::quantity::{QUANTITIES, Quantity};

/// Directions in which quantities are differentiated: the plant's unknowns, then jacket water in, sea water in, sea
/// salinity.
pub(crate) const DIRECTIONS: usize = PLANT_UNKNOWNS + 3;
pub(crate) const BY_JACKET_IN: usize = PLANT_UNKNOWNS;
pub(crate) const BY_SEA_TEMP: usize = PLANT_UNKNOWNS + 1;
pub(crate) const BY_BACK_PRESSURE: usize = Unknown::Back as usize;
pub(crate) const BY_SALINITY: usize = PLANT_UNKNOWNS + 2;

/// Keys of the plant's point in the order of the directions, closures left out.
const POINT_KEYS: [&str; PROCESS_UNKNOWNS + 3] = [
    "scale_m2k_w",
    "condenser_fouling_m2k_w",
    "air_leak_kg_h",
    "ejector_factor",
    "jacket_flow_kg_s",
    "condenser_flow_kg_s",
    "feed_flow_kg_s",
    "demister_factor",
    "condenser_leak_kg_h",
    "ejector_pressure_bar_g",
    "back_pressure_bar_g",
    "jacket_in_c",
    "sea_temp_c",
    "sea_salinity_g_kg",
];
const SHEET_KEYS: [&str; 3] =
    ["blanketing_exponent", "convective_share", "rated_gas_capacity_m3_s"];

/// Ends of the convective share a fit may reach.
const CONVECTIVE: (f64, f64) = (0.0, 0.9);

/// Flows as they were set, kg/s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SetFlows {
    /// Jacket water through the evaporator, as the by-pass position means.
    pub jacket_kg_s: f64,
    /// Sea water through the condenser, as the throttle's position means.
    pub condenser_kg_s: f64,
    /// Feed, as its mark means.
    pub feed_kg_s: f64,
}

impl SetFlows {
    /// The sheet's rated flows.
    #[must_use]
    pub fn rated(sheet: &Sheet) -> Self {
        SetFlows {
            jacket_kg_s: sheet.rated_jacket_flow_kg_s,
            condenser_kg_s: sheet.rated_condenser_flow_kg_s,
            feed_kg_s: sheet.rated_feed_ratio * sheet.rated_product_t_day * 1000.0 / 86_400.0,
        }
    }
}

/// What is known of the moment beside the unknowns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Moment {
    pub(crate) jacket_in_c: f64,
    pub(crate) sea_temp_c: f64,
    pub(crate) barometer_hpa: f64,
    pub(crate) set: SetFlows,
}

/// Quantities at a moment, and their slopes by every direction.
#[derive(Debug, Clone)]
pub(crate) struct Foretold {
    pub(crate) value: [f64; QUANTITIES],
    pub(crate) slope: [[f64; DIRECTIONS]; QUANTITIES],
    /// Shell pressure in Pa and vapour made in kg/s: where the next search may start.
    pub(crate) start: (f64, f64),
}

/// The plant as its unknowns see it.
#[derive(Debug, Clone)]
pub(crate) struct Observer {
    pub(crate) sheet: Sheet,
    transforms: [Transform; PLANT_UNKNOWNS],
    place: [usize; 6],
}

/// Scales of the plant's unknowns, in their order.
pub(crate) fn transforms(lines: &[prior::Line]) -> [Transform; PLANT_UNKNOWNS] {
    let mut out = [Transform::Ln; PLANT_UNKNOWNS];
    out[Unknown::Convective as usize] = Transform::Plain;
    out[Unknown::Motive as usize] = Transform::Plain;
    out[Unknown::Back as usize] = Transform::Plain;
    for line in lines {
        out[line.unknown as usize] = line.transform;
    }
    out
}

impl Observer {
    pub(crate) fn new(sheet: &Sheet, lines: &[prior::Line]) -> Self {
        let place = [
            "jacket_out_c",
            "sea_out_c",
            "vapour_temp_c",
            "brine_temp_c",
            "brine_salinity_g_kg",
            "vent_temp_c",
        ]
        .map(place_of);
        Observer { sheet: sheet.clone(), transforms: transforms(lines), place }
    }

    /// The scale of an unknown.
    pub(crate) fn scale_of(&self, unknown: Unknown) -> Transform {
        self.transforms[unknown as usize]
    }

    /// Values of the plant's unknowns from their scales.
    pub(crate) fn values(&self, u: &[f64; PLANT_UNKNOWNS]) -> [f64; PLANT_UNKNOWNS] {
        std::array::from_fn(|i| self.transforms[i].from(u[i]))
    }

    /// The plant with its closures where the unknowns say.
    pub(crate) fn plant(&self, u: &[f64; PLANT_UNKNOWNS]) -> Result<Plant, SheetError> {
        let [n, f, v] = self.closures(u);
        let mut sheet = self.sheet.clone();
        sheet.blanketing_exponent = n;
        sheet.convective_share = f;
        sheet.rated_gas_capacity_m3_s = v;
        Plant::calibrate(&sheet)
    }

    fn closures(&self, u: &[f64; PLANT_UNKNOWNS]) -> [f64; 3] {
        let v = self.values(u);
        let sheet = &self.sheet;
        [
            (sheet.blanketing_exponent * v[Unknown::Blanketing as usize]).clamp(0.2, 20.0),
            (sheet.convective_share + v[Unknown::Convective as usize])
                .clamp(CONVECTIVE.0, CONVECTIVE.1),
            sheet.rated_gas_capacity_m3_s * v[Unknown::GasCapacity as usize],
        ]
    }

    /// Derivatives made ready for a plant of [`Observer::plant`].
    pub(crate) fn slopes<'p>(&self, plant: &'p Plant) -> Result<Tangents<'p>, SheetError> {
        plant.tangents(&SHEET_KEYS, &POINT_KEYS)
    }

    /// The operating point of a moment.
    pub(crate) fn point(&self, u: &[f64; PLANT_UNKNOWNS], moment: &Moment) -> Point {
        let v = self.values(u);
        let at = |i: Unknown| v[i as usize];
        Point {
            sea_temp_c: moment.sea_temp_c,
            jacket_in_c: moment.jacket_in_c,
            barometer_hpa: moment.barometer_hpa,
            jacket_flow_kg_s: moment.set.jacket_kg_s * at(Unknown::JacketFlow),
            condenser_flow_kg_s: moment.set.condenser_kg_s * at(Unknown::SeaFlow),
            feed_flow_kg_s: Some(moment.set.feed_kg_s * at(Unknown::Feed)),
            ejector_pressure_bar_g: self.sheet.rated_ejector_pressure_bar_g + at(Unknown::Motive),
            back_pressure_bar_g: self.sheet.rated_back_pressure_bar_g + at(Unknown::Back),
            air_leak_kg_h: self.rated_air() * at(Unknown::Air),
            scale_m2k_w: at(Unknown::Scale),
            condenser_fouling_m2k_w: at(Unknown::Fouling),
            condenser_leak_kg_h: at(Unknown::Leak),
            ejector_factor: at(Unknown::Ejector),
            demister_factor: at(Unknown::CarryOver),
            ..Point::rated(&self.sheet)
        }
    }

    /// Rated in-leak, kg/h; a sheet without one still leaks a little.
    fn rated_air(&self) -> f64 {
        self.sheet.rated_air_leak_kg_h.max(1.0e-3 * self.sheet.rated_product_t_day)
    }

    /// Quantities and slopes at a moment; `None` where the plant cannot run so.
    pub(crate) fn at(
        &self,
        slopes: &Tangents<'_>,
        u: &[f64; PLANT_UNKNOWNS],
        moment: &Moment,
        start: Option<(f64, f64)>,
    ) -> Option<Foretold> {
        let point = self.point(u, moment);
        let tangent = slopes.at(&point, start).ok()?;
        let step = self.steps(u, &point);
        let s = &tangent.solution;
        let mut out = Foretold {
            value: Self::quantities(s, &point),
            slope: [[0.0; DIRECTIONS]; QUANTITIES],
            start: (s.shell_pressure_pa, s.vapour_kg_s),
        };
        for (row, quantity) in self.rows(s).into_iter().zip(FIGURES) {
            let Some((place, factor)) = row else { continue };
            for (input, column) in COLUMNS.into_iter().enumerate() {
                let slope = tangent.slope(place, input)?;
                out.slope[quantity as usize][column] = slope * factor * step[column];
            }
        }
        for (quantity, direction, slope) in [
            (Quantity::JacketIn, BY_JACKET_IN, 1.0),
            (Quantity::SeaTemp, BY_SEA_TEMP, 1.0),
            (Quantity::Motive, Unknown::Motive as usize, 1.0),
            (Quantity::JacketFlow, Unknown::JacketFlow as usize, 1.0),
            (Quantity::SeaFlow, Unknown::SeaFlow as usize, 1.0),
            (Quantity::AirLeak, Unknown::Air as usize, 1.0),
            (Quantity::FeedFlow, Unknown::Feed as usize, 1.0),
            (Quantity::Back, BY_BACK_PRESSURE, 1.0),
        ] {
            out.slope[quantity as usize][direction] = slope;
        }
        Some(out)
    }

    /// d(plant's own input)/d(scale of the unknown), by direction.
    fn steps(&self, u: &[f64; PLANT_UNKNOWNS], point: &Point) -> [f64; DIRECTIONS] {
        let mut step = [1.0; DIRECTIONS];
        for (i, step) in step.iter_mut().enumerate().take(PLANT_UNKNOWNS) {
            *step = self.transforms[i].slope(u[i]);
        }
        step[Unknown::Air as usize] = point.air_leak_kg_h;
        step[Unknown::JacketFlow as usize] = point.jacket_flow_kg_s;
        step[Unknown::SeaFlow as usize] = point.condenser_flow_kg_s;
        step[Unknown::Feed as usize] = point.feed_flow_kg_s.unwrap_or_default();
        let [n, f, v] = self.closures(u);
        step[Unknown::Blanketing as usize] = n;
        let held = !(CONVECTIVE.0 < f && f < CONVECTIVE.1);
        step[Unknown::Convective as usize] = if held { 0.0 } else { 1.0 };
        step[Unknown::GasCapacity as usize] = v;
        step
    }

    /// Every quantity of a solution, in its scale.
    pub(crate) fn quantities(s: &Solution, point: &Point) -> [f64; QUANTITIES] {
        let mut value = [0.0; QUANTITIES];
        for (quantity, figure) in [
            (Quantity::JacketIn, point.jacket_in_c),
            (Quantity::SeaTemp, point.sea_temp_c),
            (Quantity::JacketOut, s.jacket_out_c),
            (Quantity::SeaOut, s.sea_out_c),
            (Quantity::Vapour, s.vapour_temp_c),
            (Quantity::Shell, s.shell_pressure_pa * 0.01),
            (Quantity::Product, s.product_t_day.max(LEAST).ln()),
            (Quantity::Salt, s.product_salt_mg_kg.max(LEAST).ln()),
            (Quantity::Motive, point.ejector_pressure_bar_g),
            (Quantity::BrineTemp, s.brine_temp_c),
            (Quantity::BrineSalinity, s.brine_salinity_g_kg),
            (Quantity::Vent, s.vent_temp_c),
            (Quantity::JacketFlow, point.jacket_flow_kg_s.max(LEAST).ln()),
            (Quantity::SeaFlow, point.condenser_flow_kg_s.max(LEAST).ln()),
            (Quantity::AirLeak, point.air_leak_kg_h.max(LEAST).ln()),
            (Quantity::FeedFlow, point.feed_flow_kg_s.unwrap_or_default().max(LEAST).ln()),
            (Quantity::Back, point.back_pressure_bar_g),
        ] {
            value[quantity as usize] = figure;
        }
        value
    }

    /// Place among the plant's results and factor to the scale, in the order of [`FIGURES`].
    fn rows(&self, s: &Solution) -> [Option<(usize, f64)>; 9] {
        let [jacket_out, sea_out, vapour, brine, salinity, vent] = self.place;
        let plain = |place: usize| Some((place, 1.0));
        let log = |key: &str, value: f64| (value > LEAST).then(|| (place_of(key), value.recip()));
        [
            plain(jacket_out),
            plain(sea_out),
            plain(vapour),
            Some((place_of("shell_pressure_pa"), 0.01)),
            log("product_t_day", s.product_t_day),
            log("product_salt_mg_kg", s.product_salt_mg_kg),
            plain(brine),
            plain(salinity),
            plain(vent),
        ]
    }
}

/// Least figure whose logarithm is taken.
const LEAST: f64 = 1.0e-6;

const FIGURES: [Quantity; 9] = [
    Quantity::JacketOut,
    Quantity::SeaOut,
    Quantity::Vapour,
    Quantity::Shell,
    Quantity::Product,
    Quantity::Salt,
    Quantity::BrineTemp,
    Quantity::BrineSalinity,
    Quantity::Vent,
];

/// Direction of each input the plant differentiates by, in its order: sheet keys first.
const COLUMNS: [usize; DIRECTIONS] = [11, 12, 13, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 14, 15, 16];

fn place_of(key: &str) -> usize {
    RESULT_FIGURES.iter().position(|k| *k == key).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn observer() -> Observer {
        Observer::new(&Sheet::default(), &prior::usual(24.0))
    }

    fn healthy(observer: &Observer) -> [f64; PLANT_UNKNOWNS] {
        let mut u = [0.0; PLANT_UNKNOWNS];
        for line in prior::usual(24.0) {
            u[line.unknown as usize] = line.healthy_u().0;
        }
        assert_eq!(observer.values(&u)[Unknown::Motive as usize], 0.0);
        u
    }

    fn moment() -> Moment {
        let sheet = Sheet::default();
        Moment {
            jacket_in_c: 84.0,
            sea_temp_c: 28.0,
            barometer_hpa: 1008.0,
            set: SetFlows::rated(&sheet),
        }
    }

    fn at(observer: &Observer, u: &[f64; PLANT_UNKNOWNS], moment: &Moment) -> Foretold {
        let plant = observer.plant(u).unwrap();
        let banding = observer.slopes(&plant).unwrap();
        observer.at(&banding, u, moment, None).unwrap()
    }

    #[test]
    fn ident_every_key_is_the_plants_own_and_in_its_place() {
        let observer = observer();
        let u = healthy(&observer);
        let plant = observer.plant(&u).unwrap();
        // None is refused, none left out.
        assert!(observer.slopes(&plant).is_ok());
        assert!(SHEET_KEYS.len() <= plant::MOST_SHEET_INPUTS);
        assert!(SHEET_KEYS.len() + POINT_KEYS.len() <= plant::MOST_INPUTS);
        for key in ["shell_pressure_pa", "product_t_day", "product_salt_mg_kg", "vent_temp_c"] {
            assert_eq!(RESULT_FIGURES[place_of(key)], key);
        }
    }

    /// Central differences of the same equations, closures through a fresh calibration: every slope of every quantity.
    #[test]
    fn ident_slopes_are_those_of_differences() {
        let observer = observer();
        for fault in [None, Some((Unknown::Air, 5.0_f64.ln())), Some((Unknown::Motive, -1.1))] {
            let mut u = healthy(&observer);
            if let Some((unknown, value)) = fault {
                u[unknown as usize] = value;
            }
            let here = at(&observer, &u, &moment());
            for direction in 0..BY_SALINITY {
                const H: f64 = 2.0e-4;
                let moved = |h: f64| {
                    let (mut u, mut moment) = (u, moment());
                    match direction {
                        BY_JACKET_IN => moment.jacket_in_c += h,
                        BY_SEA_TEMP => moment.sea_temp_c += h,
                        _ => u[direction] += h,
                    }
                    at(&observer, &u, &moment).value
                };
                let (up, down) = (moved(H), moved(-H));
                for quantity in Quantity::ALL {
                    let i = quantity as usize;
                    let slope = (up[i] - down[i]) / (2.0 * H);
                    let got = here.slope[i][direction];
                    let off = (got - slope).abs();
                    assert!(
                        off < 2.0e-4 * slope.abs().max(1.0),
                        "{quantity:?} by {direction}: {got} against {slope}, fault {fault:?}"
                    );
                }
            }
        }
    }
}
