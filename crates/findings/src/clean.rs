//! When to clean: the day that costs least over the years, from how a deposit grows, what it costs in output and what cleaning costs.
//!
//! Renewal argument: cleaned every T days for ever, a plant costs so much a day on average; the T that makes this least is
//! the one to clean at (renewal reward theorem; Ross, Introduction to Probability Models).

use crate::cause::Cause;
use crate::explain::Finding;
use crate::prior::Unknown;

/// What cleaning costs, and what water costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CleaningCosts {
    /// One cleaning: hands, chemicals, gaskets; money, not negative.
    pub cleaning: f64,
    /// A tonne of water not made, money, not negative.
    pub water_t: f64,
    /// Hours the plant stands for it that it would have run, not negative.
    pub standing_h: f64,
    /// Part of the time the plant runs, 0 to 1.
    pub running: f64,
}

/// What a day of cleaning costs, day by day from now on.
#[derive(Debug, Clone, PartialEq)]
pub struct Cleaning {
    /// The deposit.
    pub cause: Cause,
    /// Average cost a day over the years when it is cleaned so many days from now and at that age ever after: days, money a day.
    pub curve: Vec<(f64, f64)>,
    /// The day that costs least, days from now, and what that costs, money a day; day 0 where it has passed.
    pub best: (f64, f64),
    /// Days from now between which it costs at most a twentieth more.
    pub within: (f64, f64),
    /// The day that would cost least if it grew as fast, and as slowly, as nine in ten allow; none past the horizon.
    pub best_between: (f64, Option<f64>),
    /// What the deposit costs now while the plant runs, t/day.
    pub loss_t_day: f64,
    /// Water lost to it from now to a day on: days, tonnes.
    pub lost_t: Vec<(f64, f64)>,
    /// Days since it was clean, as reckoned.
    pub age_days: f64,
}

/// Days beyond which nothing is foretold.
const HORIZON_DAYS: usize = 240;
/// Deposits at which the loss is worked out; between them it is drawn straight.
const DEPOSITS: usize = 13;

impl Finding {
    /// When it costs least to clean a growing deposit; none where it does not grow, or costs nothing.
    ///
    /// `age_days` are the days since it was last cleaned, where that is known; without, it is reckoned back to none by the growth of
    /// now.
    #[must_use]
    pub fn cleaning(
        &self,
        cause: Cause,
        age_days: Option<f64>,
        costs: &CleaningCosts,
    ) -> Option<Cleaning> {
        let unknown = match cause {
            Cause::Scale => Unknown::Scale,
            Cause::CondenserFouling => Unknown::Fouling,
            _ => return None,
        };
        let growth = self.growth.iter().find(|g| g.cause == cause)?;
        let now = self.judged(cause)?.value.max(0.0);
        let (middle, slow, fast) = growth.rate_m2k_w_day;
        if !(middle > 0.0 && middle.is_finite()) {
            return None;
        }
        let horizon = HORIZON_DAYS as f64;
        let losses = self.losses(unknown, now + fast.max(middle) * horizon)?;
        let course = |rate: f64| Course { now, rate, age: age_of(age_days, now, rate) };
        let at = |rate: f64| Renewal { course: course(rate), losses: &losses, costs: *costs };
        let curve: Vec<(f64, f64)> = at(middle).curve();
        let best = least(&curve)?;
        let within = |limit: f64| {
            let inside = |p: &&(f64, f64)| p.1 <= limit;
            let from = curve.iter().find(inside).map_or(best.0, |p| p.0);
            (from, curve.iter().rfind(inside).map_or(best.0, |p| p.0))
        };
        let day = |rate: f64| least(&at(rate).curve()).map(|b| b.0);
        let late = (slow > 0.0).then(|| day(slow)).flatten().filter(|d| *d < horizon);
        Some(Cleaning {
            cause,
            best,
            within: within(1.05 * best.1),
            best_between: (day(fast).unwrap_or(best.0), late),
            loss_t_day: between(&losses, now),
            lost_t: at(middle).lost_t(),
            age_days: course(middle).age,
            curve,
        })
    }

    /// Output lost to a deposit, t/day, from none to so much of it, the rest being as it is now.
    fn losses(&self, unknown: Unknown, most: f64) -> Option<Vec<(f64, f64)>> {
        let fit = &self.mixture.parts.first()?.fit;
        let problem = &self.problem;
        let last = problem.moments.len().checked_sub(1)?;
        let moment = problem.moment_at(&fit.hypothesis, &fit.mean, last);
        let mut u = problem.plant_at(&fit.hypothesis, &fit.mean, last);
        let plant = problem.observer.plant(&u).ok()?;
        let scale = problem.observer.scale_of(unknown);
        let mut start = None;
        let mut made = Vec::new();
        for i in 0..DEPOSITS {
            let deposit = most * (i as f64 / (DEPOSITS - 1) as f64).powi(2);
            u[unknown as usize] = scale.to(deposit);
            // A deposit under which the plant no longer runs ends the table.
            let Ok(found) = plant.fitted(&problem.observer.point(&u, &moment), start) else {
                break;
            };
            start = Some((found.shell_pressure_pa, found.vapour_kg_s));
            made.push((deposit, found.product_t_day));
        }
        let clean = made.first()?.1;
        Some(made.into_iter().map(|(deposit, t_day)| (deposit, clean - t_day)).collect())
    }
}

/// Days since it was clean: as told, else back along the growth of now.
fn age_of(told: Option<f64>, now: f64, rate: f64) -> f64 {
    told.unwrap_or(now / rate).max(0.0)
}

/// How a deposit comes and goes on, in a line through what it is now.
#[derive(Debug, Clone, Copy)]
struct Course {
    now: f64,
    rate: f64,
    age: f64,
}

impl Course {
    fn at(&self, days_since_clean: f64) -> f64 {
        (self.now + self.rate * (days_since_clean - self.age)).max(0.0)
    }
}

struct Renewal<'a> {
    course: Course,
    losses: &'a [(f64, f64)],
    costs: CleaningCosts,
}

impl Renewal<'_> {
    /// Average cost a day by the days from now on which it is cleaned.
    fn curve(&self) -> Vec<(f64, f64)> {
        let CleaningCosts { cleaning, water_t, standing_h, running } = self.costs;
        let lost = |day: f64| between(self.losses, self.course.at(day));
        // Up to now by the same course, in days of a day; then day by day.
        let steps = self.course.age.ceil().max(1.0);
        let width = self.course.age / steps;
        let before: f64 = (0..steps as usize).map(|i| width * lost((i as f64 + 0.5) * width)).sum();
        let standing_days = standing_h / 24.0;
        let mut sum = before;
        let mut out = Vec::with_capacity(HORIZON_DAYS + 1);
        for day in 0..=HORIZON_DAYS {
            let age = self.course.age + day as f64;
            if day > 0 {
                sum += lost(age - 0.5);
            }
            let cycle = age + standing_days;
            if cycle > 0.0 {
                out.push((day as f64, (cleaning + water_t * running * sum) / cycle));
            }
        }
        out
    }
}

impl Renewal<'_> {
    /// Water lost from now to each day on, by the part of the time that the plant runs.
    fn lost_t(&self) -> Vec<(f64, f64)> {
        let mut sum = 0.0;
        let mut out = vec![(0.0, 0.0)];
        for day in 1..=HORIZON_DAYS {
            let age = self.course.age + day as f64 - 0.5;
            sum += self.costs.running * between(self.losses, self.course.at(age));
            out.push((day as f64, sum));
        }
        out
    }
}

fn least(curve: &[(f64, f64)]) -> Option<(f64, f64)> {
    curve.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1))
}

/// Straight lines between rows; the ends go on as the last two do.
fn between(rows: &[(f64, f64)], x: f64) -> f64 {
    let straight = |a: (f64, f64), b: (f64, f64)| {
        if b.0 > a.0 { a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0) } else { a.1 }
    };
    match rows {
        [] => 0.0,
        [one] => one.1,
        [.., before, last] => {
            let pair = rows.windows(2).find(|pair| x <= pair[1].0);
            pair.map_or_else(|| straight(*before, *last), |pair| straight(pair[0], pair[1]))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn renewal(cleaning: f64, losses: &[(f64, f64)]) -> Renewal<'_> {
        Renewal {
            course: Course { now: 0.0, rate: 1.0e-6, age: 0.0 },
            losses,
            costs: CleaningCosts { cleaning, water_t: 10.0, standing_h: 0.0, running: 0.5 },
        }
    }

    /// Loss that grows in a line: the cost a day C/T + p k T/2 is least at T = √(2C/(p k)), where both parts are equal.
    #[test]
    fn ident_a_loss_that_grows_in_a_line_has_the_square_root_as_its_best_day() {
        // 1 t/day lost at 1e-4 m²K/W, 1e-6 m²K/W a day: k = 0.01 t/day a day, at 10 × ½ money a tonne.
        let losses = [(0.0, 0.0), (1.0e-3, 10.0)];
        let curve = renewal(90.0, &losses).curve();
        let best = least(&curve).expect("a least");
        let wanted = (2.0_f64 * 90.0 / (5.0 * 0.01)).sqrt();
        assert!((best.0 - wanted).abs() <= 1.0, "{} against {wanted}", best.0);
        assert!((best.1 - 2.0 * 90.0 / wanted).abs() < 0.02, "{}", best.1);
        // Four times the cost of cleaning, twice the days.
        let dear = least(&renewal(360.0, &losses).curve()).expect("a least");
        assert!((dear.0 - 2.0 * best.0).abs() <= 2.0);
    }

    /// 1 t/day lost at 1e-4 m²K/W, growing from there by 1e-6 a day, run half of the time: ½ (d + d²/200) tonnes in d days.
    #[test]
    fn ident_water_lost_till_a_day_is_what_the_growing_deposit_takes() {
        let losses = [(0.0, 0.0), (1.0e-3, 10.0)];
        let mut stands = renewal(90.0, &losses);
        stands.course = Course { now: 1.0e-4, rate: 1.0e-6, age: 100.0 };
        let lost = stands.lost_t();
        assert_eq!(lost[0], (0.0, 0.0));
        for days in [10.0_f64, 40.0] {
            let wanted = 0.5 * (days + days * days / 200.0);
            assert!((lost[days as usize].1 - wanted).abs() < 1e-9, "{lost:?}");
        }
    }

    #[test]
    fn ident_between_rows_is_straight_and_goes_on() {
        let rows = [(0.0, 0.0), (1.0, 2.0), (3.0, 4.0)];
        for (x, y) in [(0.5, 1.0), (2.0, 3.0), (5.0, 6.0)] {
            assert!((between(&rows, x) - y).abs() < 1e-12);
        }
    }
}
