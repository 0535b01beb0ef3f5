//! Sixty days of rounds: the plant model with its troubles, read by instruments with their errors. Seeded.

use std::collections::BTreeMap;

use jiff::Timestamp;
use plant::{Plant, Point};
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::troubles;
use super::voyage::{self, Doing};
use crate::instrument;
use crate::ship::{Ship, between};

/// What was written at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Round {
    /// When.
    pub at: Timestamp,
    /// Who.
    pub actor: &'static str,
    /// Figures by reading name, each in the field's unit, as the instrument shows them.
    pub figures: BTreeMap<String, f64>,
    /// Words by reading name.
    pub words: BTreeMap<String, String>,
    /// Readings that were not taken, and why.
    pub not_taken: Vec<(String, &'static str)>,
}

/// Something that happened.
#[derive(Debug, Clone, PartialEq)]
pub struct Happening {
    /// When.
    pub at: Timestamp,
    /// Who wrote it.
    pub actor: &'static str,
    /// What.
    pub what: What,
}

/// Kinds of happenings.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// Evaporator on or shut down.
    Plant {
        /// On, or shut down.
        on: bool,
        /// In the log's words.
        words: String,
    },
    /// The ship's clocks were moved to so many hours east of UTC.
    Zone(i8),
    /// A tank was put on filling or serving.
    Tank {
        /// The tank's key.
        tank: &'static str,
        /// `filling` or `serving`.
        duty: &'static str,
    },
    /// The condenser was opened and cleaned.
    CondenserCleaned,
}

/// The whole story, oldest first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Story {
    /// Rounds of readings.
    pub rounds: Vec<Round>,
    /// Happenings.
    pub happenings: Vec<Happening>,
}

const DAY_S: f64 = 86_400.0;
const HOUR_S: f64 = 3600.0;
/// Use of the crew and the ship, t/day.
const USE_T_DAY: f64 = 7.0;
/// Density of distillate at the meter, t/m³ (about 40 °C).
const DISTILLATE_T_M3: f64 = 0.992;

/// The sixty days before `now`, from one seed.
#[must_use]
pub fn story(ship: &Ship, plant: &Plant, now: Timestamp, seed: u64) -> Story {
    let mut teller = Teller::new(ship, plant, now, seed);
    let mut story = Story { happenings: zone_happenings(now), ..Story::default() };
    teller.clean_condenser(&mut story);
    let first = now.as_second() as f64 - voyage::DAYS * DAY_S;
    let mut at = (first / HOUR_S).ceil() * HOUR_S;
    let mut before = at - ship.round_hours * HOUR_S;
    while at <= now.as_second() as f64 - 300.0 {
        // Rounds fall on the ship's own hours; over a night when the clocks move the next one comes sooner or later.
        let zone_h = zone_at((now.as_second() as f64 - at) / DAY_S);
        let local_h = (at / HOUR_S + f64::from(zone_h)).rem_euclid(24.0);
        if local_h.rem_euclid(ship.round_hours) < 0.5 && at - before > HOUR_S {
            teller.round(at, at - before, &mut story);
            before = at;
        }
        at += HOUR_S;
    }
    story.happenings.sort_by_key(|h| h.at);
    story
}

fn stamp(seconds: f64) -> Timestamp {
    Timestamp::from_second(seconds as i64).unwrap_or(Timestamp::UNIX_EPOCH)
}

fn zone_happenings(now: Timestamp) -> Vec<Happening> {
    voyage::zone_changes()
        .into_iter()
        .map(|(days_ago, hours)| {
            // By night: two in the morning of the new time.
            let near = now.as_second() as f64 - days_ago * DAY_S;
            let local = (near + f64::from(hours) * 3600.0) / DAY_S;
            let at = (local.floor() * DAY_S) + 2.0 * 3600.0 - f64::from(hours) * 3600.0;
            Happening { at: stamp(at), actor: "2o", what: What::Zone(hours) }
        })
        .collect()
}

struct Tanks {
    m3: BTreeMap<&'static str, f64>,
    filling: &'static str,
    serving: &'static str,
}

struct Teller<'a> {
    ship: &'a Ship,
    plant: &'a Plant,
    now_s: f64,
    rng: ChaCha8Rng,
    standing: BTreeMap<&'static str, f64>,
    meter_m3: f64,
    barometer_hpa: f64,
    was_making: Option<bool>,
    bypass_percent: f64,
    throttle_percent: f64,
    tanks: Tanks,
}

impl<'a> Teller<'a> {
    fn new(ship: &'a Ship, plant: &'a Plant, now: Timestamp, seed: u64) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let standing = instrument::INSTRUMENTS
            .iter()
            .map(|i| (i.reading, 0.45 * i.standing * normal(&mut rng)))
            .collect();
        Self {
            ship,
            plant,
            now_s: now.as_second() as f64,
            rng,
            standing,
            meter_m3: 46_980.0,
            barometer_hpa: 1013.0,
            was_making: None,
            bypass_percent: 0.0,
            throttle_percent: 100.0,
            tanks: Tanks {
                m3: BTreeMap::from([
                    ("port", 92.0),
                    ("starboard", 61.0),
                    ("drinking", 28.0),
                    ("distilled", 21.0),
                ]),
                filling: "port",
                serving: "starboard",
            },
        }
    }

    fn clean_condenser(&self, story: &mut Story) {
        let at = self.now_s - troubles::CONDENSER_CLEANED_DAYS_AGO * DAY_S;
        story.happenings.push(Happening {
            at: stamp(at),
            actor: "3e",
            what: What::CondenserCleaned,
        });
    }

    fn days_ago(&self, at_s: f64) -> f64 {
        (self.now_s - at_s) / DAY_S
    }

    fn round(&mut self, at_s: f64, every_s: f64, story: &mut Story) {
        let mut moment = voyage::moment(self.days_ago(at_s));
        let full = moment.making && self.enough_aboard(&moment);
        moment.making &= !full;
        let at = stamp(at_s);
        let zone_h = zone_at(self.days_ago(at_s));
        let hour = ((at_s / 3600.0 + f64::from(zone_h)).rem_euclid(24.0)) as u32;
        let actor = match hour {
            4..8 | 16..20 => "2e",
            8..12 | 20..24 => "4e",
            _ => "3e",
        };
        self.barometer_hpa += 1.1 * normal(&mut self.rng) - 0.06 * (self.barometer_hpa - 1012.0);
        let hours = every_s / 3600.0;
        if self.was_making != Some(moment.making) {
            self.was_making = Some(moment.making);
            let words = if moment.making {
                "evaporator on, distillate to tank".to_owned()
            } else if full {
                "evaporator shut down, as much aboard as is wanted".to_owned()
            } else if moment.leg.doing == Doing::ShutDown {
                format!("evaporator shut down, {}", moment.leg.name)
            } else {
                "evaporator shut down, approaching the coast".to_owned()
            };
            story.happenings.push(Happening {
                at,
                actor,
                what: What::Plant { on: moment.making, words },
            });
            if moment.making {
                self.change_tanks(at, actor, story);
            }
        }
        let mut figures = BTreeMap::new();
        let mut words = BTreeMap::new();
        let mut not_taken = Vec::new();
        let mut made_t = 0.0;
        if moment.making {
            if let Some(truth) = self.truth(&moment, at_s) {
                made_t = truth.product_t_day * hours / 24.0;
                self.meter_m3 += made_t / DISTILLATE_T_M3;
                self.read(&truth, &moment, at_s, hour, &mut figures);
                words.insert("brine_level".into(), "steady".into());
            }
            let sea = if self.rng.random_range(0..14) == 0 { "moderate" } else { "slight" };
            words.insert("sea_state".into(), sea.into());
        } else {
            figures.insert("barometer_hpa".into(), self.barometer_hpa.round());
            figures.insert("sea_temp_c".into(), self.shown("sea_temp_c", moment.sea_c));
        }
        self.supply(made_t, hours, &moment);
        if hour == 8 {
            self.sound(&mut figures);
        }
        if moment.making && self.rng.random_range(0..70) == 0 {
            figures.remove("vapour_temp_c");
            not_taken.push(("vapour_temp_c".to_owned(), "weather"));
        }
        story.rounds.push(Round { at, actor, figures, words, not_taken });
        self.change_when_full(at, actor, story);
    }

    /// What the plant truly does, with the by-pass and the throttle where the watch set them.
    fn truth(&mut self, moment: &voyage::Moment, at_s: f64) -> Option<Truth> {
        let days_ago = self.days_ago(at_s);
        let wave = (at_s / DAY_S * 1.7).sin();
        let mut point = Point::rated(self.plant.sheet());
        point.sea_temp_c = moment.sea_c + 0.15 * wave;
        point.jacket_in_c = 83.0 + 0.4 * wave + 0.25 * normal(&mut self.rng);
        point.barometer_hpa = self.barometer_hpa;
        point.scale_m2k_w = troubles::scale_m2k_w(days_ago);
        point.condenser_fouling_m2k_w = troubles::condenser_fouling_m2k_w(days_ago);
        point.ejector_pressure_bar_g = 3.95 + 0.03 * normal(&mut self.rng);
        point.back_pressure_bar_g = 0.42 + 0.02 * normal(&mut self.rng);
        point.air_leak_kg_h = 1.05;
        let load = moment.leg.load_percent + 1.2 * normal(&mut self.rng);
        let mut wanted = point.clone();
        wanted.engine_load = Some(load);
        wanted.trimmed = true;
        let wanted = self.plant.rate(&wanted).ok()?;
        // The watch moves a handle only when it is worth it.
        let bypass = position(&self.ship.positions.bypass, wanted.inside.jacket_flow_kg_s);
        let throttle = position(&self.ship.positions.throttle, wanted.inside.condenser_flow_kg_s);
        if (bypass - self.bypass_percent).abs() > 3.0 {
            self.bypass_percent = (bypass / 5.0).round() * 5.0;
        }
        if (throttle - self.throttle_percent).abs() > 3.0 {
            self.throttle_percent = (throttle / 5.0).round() * 5.0;
        }
        point.jacket_flow_kg_s = between(&self.ship.positions.bypass, self.bypass_percent);
        point.condenser_flow_kg_s = between(&self.ship.positions.throttle, self.throttle_percent);
        let solution = self.plant.free(&point).ok()?;
        Some(Truth { product_t_day: solution.product_t_day, point, solution, load })
    }

    fn read(
        &mut self,
        truth: &Truth,
        moment: &voyage::Moment,
        at_s: f64,
        hour: u32,
        figures: &mut BTreeMap<String, f64>,
    ) {
        let s = &truth.solution;
        let gauge = (self.barometer_hpa * 100.0 - s.shell_pressure_pa) / 101_325.0 * 100.0;
        let sea_out = s.sea_out_c + troubles::sea_out_error_k(self.days_ago(at_s));
        let mut put = |teller: &mut Self, key: &str, value: f64| {
            let shown = teller.shown(key, value);
            figures.insert(key.to_owned(), shown);
        };
        put(self, "engine_load_percent", truth.load);
        put(self, "engine_jacket_out_c", truth.point.jacket_in_c + 0.6);
        put(self, "barometer_hpa", self.barometer_hpa);
        put(self, "ejector_pressure_bar_g", truth.point.ejector_pressure_bar_g);
        put(self, "back_pressure_bar_g", truth.point.back_pressure_bar_g);
        put(self, "shell_gauge_bar_g", gauge);
        put(self, "vapour_temp_c", s.vapour_temp_c);
        put(self, "jacket_in_c", truth.point.jacket_in_c);
        put(self, "jacket_out_c", s.jacket_out_c);
        put(self, "bypass_percent", self.bypass_percent);
        put(self, "sea_temp_c", truth.point.sea_temp_c);
        put(self, "sea_out_c", sea_out);
        put(self, "condenser_throttle_percent", self.throttle_percent);
        put(self, "feed_pressure_bar_g", 2.4);
        put(self, "distillate_meter_m3", self.meter_m3);
        put(self, "product_salt_mg_kg", s.product_salt_mg_kg);
        put(self, "expansion_tank_cm", 84.0);
        if hour == 8 {
            put(self, "distillate_temp_c", s.condensing_temp_c - 1.0);
            put(self, "antiscalant_l_day", 1.4);
            put(self, "chlorine_l_day", 2.1);
            if moment.leg_index + 1 == voyage::LEGS.len() || self.rng.random_range(0..4) == 0 {
                put(self, "brine_salinity_g_kg", s.brine_salinity_g_kg);
            }
        }
    }

    /// The figure the instrument shows: standing error, error of the reading, scale step.
    fn shown(&mut self, key: &str, truth: f64) -> f64 {
        let Some(instrument) = instrument::of(key) else { return round_to(truth, 0.1) };
        let standing = self.standing.get(instrument.reading).copied().unwrap_or(0.0);
        let noise = 0.5 * instrument.each * normal(&mut self.rng);
        let value = if instrument.relative {
            truth * (1.0 + standing + noise)
        } else {
            truth + standing + noise
        };
        round_to(value, instrument.step)
    }

    /// Water is cargo shut out: no more is made than the leg asks for, and the plant is not started again for a day's use.
    fn enough_aboard(&self, moment: &voyage::Moment) -> bool {
        let aboard = ["port", "starboard"].iter().filter_map(|t| self.tanks.m3.get(t)).sum::<f64>();
        let wanted = voyage::wanted_aboard_t(moment);
        let running = self.was_making == Some(true);
        aboard > if running { wanted } else { wanted - 3.0 * USE_T_DAY }
    }

    fn supply(&mut self, made_t: f64, hours: f64, moment: &voyage::Moment) {
        self.pour(self.tanks.serving, -voyage::hold_wash_t_day(moment) * hours / 24.0);
        let used = USE_T_DAY * hours / 24.0 * (1.0 + 0.15 * normal(&mut self.rng));
        self.pour(self.tanks.filling, made_t);
        let technical = 0.25 * used;
        self.pour("distilled", -technical);
        self.pour("drinking", -0.1 * used);
        self.pour(self.tanks.serving, -(used - technical - 0.1 * used));
        // Drinking is topped up from the treated tank, distilled from the plant's own line, by day.
        for (tank, below, to) in [("drinking", 18.0, 34.0), ("distilled", 12.0, 27.0)] {
            let level = self.tanks.m3.get(tank).copied().unwrap_or(0.0);
            if level < below {
                self.pour(tank, to - level);
                self.pour(self.tanks.serving, -(to - level));
            }
        }
    }

    fn pour(&mut self, tank: &str, amount: f64) {
        let capacity = self.ship.tank(tank).map_or(0.0, |t| t.capacity_m3);
        if let Some(level) = self.tanks.m3.get_mut(tank) {
            *level = (*level + amount).clamp(0.0, capacity);
        }
    }

    fn sound(&mut self, figures: &mut BTreeMap<String, f64>) {
        for tank in &self.ship.tanks {
            let volume = self.tanks.m3.get(tank.key.as_str()).copied().unwrap_or(0.0);
            let cm = position(&tank.soundings, volume) + 0.8 * normal(&mut self.rng);
            let full = tank.soundings.last().map_or(0.0, |row| row[0]);
            figures.insert(format!("sounding_cm.{}", tank.key), cm.clamp(0.0, full).round());
        }
    }

    fn change_tanks(&mut self, at: Timestamp, actor: &'static str, story: &mut Story) {
        for (tank, duty) in [(self.tanks.filling, "filling"), (self.tanks.serving, "serving")] {
            story.happenings.push(Happening { at, actor, what: What::Tank { tank, duty } });
        }
    }

    fn change_when_full(&mut self, at: Timestamp, actor: &'static str, story: &mut Story) {
        let level = self.tanks.m3.get(self.tanks.filling).copied().unwrap_or(0.0);
        let serving = self.tanks.m3.get(self.tanks.serving).copied().unwrap_or(0.0);
        if level > 118.0 || serving < 22.0 {
            std::mem::swap(&mut self.tanks.filling, &mut self.tanks.serving);
            self.change_tanks(at, actor, story);
        }
    }
}

struct Truth {
    point: Point,
    solution: plant::Solution,
    product_t_day: f64,
    load: f64,
}

/// The ship's zone so many days ago, hours east of UTC.
fn zone_at(days_ago: f64) -> i8 {
    let changes = voyage::zone_changes();
    changes
        .iter()
        .rfind(|(when, _)| *when >= days_ago)
        .or(changes.first())
        .map_or(0, |(_, hours)| *hours)
}

/// The first column of a table where its second is `y`; straight lines, ends hold.
fn position(rows: &[[f64; 2]], y: f64) -> f64 {
    let mut turned: Vec<[f64; 2]> = rows.iter().map(|[x, y]| [*y, *x]).collect();
    turned.sort_by(|a, b| a[0].total_cmp(&b[0]));
    between(&turned, y)
}

fn round_to(value: f64, step: f64) -> f64 {
    if step <= 0.0 {
        return value;
    }
    // Multiples of the step without the dust of binary fractions: 84.30000000000001 is not what a dial shows.
    let steps = (value / step).round();
    (steps * step * 1.0e6).round() / 1.0e6
}

/// One draw from the normal distribution (Box and Muller 1958).
fn normal(rng: &mut impl Rng) -> f64 {
    let u: f64 = rng.random_range(f64::EPSILON..1.0);
    let v: f64 = rng.random_range(0.0..1.0);
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::marram;

    fn told(seed: u64) -> Story {
        let ship = marram();
        let plant = Plant::calibrate(&ship.sheet).expect("demonstration sheet");
        story(&ship, &plant, Timestamp::from_second(1_763_266_800).expect("moment"), seed)
    }

    #[test]
    fn ident_the_same_seed_tells_the_same_story() {
        assert_eq!(told(7), told(7));
        assert_ne!(told(7), told(8));
    }

    #[test]
    fn ident_sixty_days_of_rounds_the_plant_runs_on_half() {
        let story = told(1789);
        assert!((350..=366).contains(&story.rounds.len()), "{}", story.rounds.len());
        let running = story.rounds.iter().filter(|r| r.figures.contains_key("jacket_in_c")).count();
        assert!(running > 180, "{running}");
        assert!(story.rounds.windows(2).all(|w| w[0].at < w[1].at));
        let meters: Vec<f64> = story
            .rounds
            .iter()
            .filter_map(|r| r.figures.get("distillate_meter_m3").copied())
            .collect();
        assert!(meters.windows(2).all(|w| w[0] <= w[1] + 0.11), "the counter runs on");
    }

    #[test]
    fn ident_every_figure_is_one_that_can_be_typed() {
        for round in told(3).rounds {
            for (key, value) in &round.figures {
                if let Some(reading) = crate::field::reading(key) {
                    assert!((reading.hard.0..=reading.hard.1).contains(value), "{key} {value}");
                }
            }
        }
    }
}
