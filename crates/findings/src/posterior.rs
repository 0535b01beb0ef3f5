//! The linear-Gaussian core: a normal prior and readings made linear around a state give a normal posterior.

use crate::dense::Factor;
use crate::problem::Prior;

/// A posterior around a state.
#[derive(Debug, Clone)]
pub(crate) struct Posterior {
    /// Factor of its precision.
    pub(crate) precision: Factor,
    /// From the state to its mean.
    pub(crate) step: Vec<f64>,
    /// Slope of the ln of likelihood and prior at the state.
    pub(crate) slope: Vec<f64>,
    /// ln of the prior at the state, its constant left out: it goes against that of the posterior.
    pub(crate) ln_prior: f64,
}

/// The posterior of unknowns whose readings have this information matrix (by rows) and gradient at a state; `None` where no posterior
/// is proper.
pub(crate) fn posterior(
    information: &[f64],
    gradient: &[f64],
    prior: &Prior,
    state: &[f64],
) -> Option<Posterior> {
    let n = state.len();
    let mut matrix = information.to_vec();
    let mut slope = gradient.to_vec();
    let mut ln_prior = 0.0;
    for i in 0..n {
        let weight = (prior.sd[i] * prior.sd[i]).recip();
        let off = prior.mean[i] - state[i];
        matrix[i * n + i] += weight;
        slope[i] += off * weight;
        ln_prior -= 0.5 * off * off * weight + prior.sd[i].ln();
    }
    let precision = Factor::of(n, matrix)?;
    let step = precision.solve(&slope);
    Some(Posterior { precision, step, slope, ln_prior })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dense::dot;

    /// Variances of Durbin and Koopman (2012, section 2.10) for the Nile: of the reading, of the level's step.
    const READING: f64 = 15_099.0;
    const STEP: f64 = 1469.1;
    /// The first level is known to nothing: so wide that what is left of it is far under the tolerances.
    const WIDE: f64 = 1.0e6;

    struct Year {
        flow: f64,
        filtered: (f64, f64),
        smoothed: (f64, f64),
    }

    fn years() -> Vec<Year> {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../validation/findings/nile.csv");
        let mut reader = csv::Reader::from_path(path).expect("nile.csv");
        let number = |row: &csv::StringRecord, i: usize| row[i].parse::<f64>().expect("a number");
        reader
            .records()
            .map(|row| {
                let row = row.expect("a row");
                Year {
                    flow: number(&row, 1),
                    filtered: (number(&row, 2), number(&row, 3)),
                    smoothed: (number(&row, 4), number(&row, 5)),
                }
            })
            .collect()
    }

    /// The level model as the findings see a drift: a first level and its steps are the unknowns, every reading sees their sum.
    fn nile(years: &[Year]) -> (Posterior, f64) {
        let n = years.len();
        let mut information = vec![0.0; n * n];
        let mut gradient = vec![0.0; n];
        let mut ln_likelihood = 0.0;
        for (t, year) in years.iter().enumerate() {
            for i in 0..=t {
                gradient[i] += year.flow / READING;
                for j in 0..=t {
                    information[i * n + j] += READING.recip();
                }
            }
            let constant = (std::f64::consts::TAU * READING).ln();
            ln_likelihood -= 0.5 * (year.flow * year.flow / READING + constant);
        }
        let mut prior = Prior { mean: vec![0.0; n], sd: vec![STEP.sqrt(); n] };
        prior.sd[0] = WIDE;
        let found = posterior(&information, &gradient, &prior, &vec![0.0; n]).expect("proper");
        let ln_evidence = ln_likelihood + found.ln_prior + 0.5 * dot(&found.step, &found.slope)
            - 0.5 * found.precision.ln_det();
        (found, ln_evidence)
    }

    fn level(found: &Posterior, t: usize) -> (f64, f64) {
        let row: Vec<f64> = (0..found.step.len()).map(|i| f64::from(u8::from(i <= t))).collect();
        let z = found.precision.forward(&row);
        (dot(&row, &found.step), dot(&z, &z))
    }

    /// Smoothed level and variance of every year against statsmodels 0.15.0 on Cobb's series (validation/findings/nile.csv).
    #[test]
    fn cross_the_niles_smoothed_level_is_that_of_a_kalman_smoother() {
        let years = years();
        assert_eq!(years.len(), 100);
        let (found, _) = nile(&years);
        for (t, year) in years.iter().enumerate() {
            let (mean, variance) = level(&found, t);
            assert!((mean - year.smoothed.0).abs() < 1.0e-3, "{t}: {mean}");
            assert!((variance - year.smoothed.1).abs() < 1.0e-2, "{t}: {variance}");
        }
    }

    /// The filter's level of a year is the posterior of the record up to it.
    #[test]
    fn cross_the_niles_filtered_level_is_that_of_the_record_up_to_it() {
        let years = years();
        for t in [0, 1, 2, 9, 27, 28, 49, 99] {
            let (mean, variance) = level(&nile(&years[..=t]).0, t);
            let (wanted, spread) = years[t].filtered;
            assert!((mean - wanted).abs() < 1.0e-3, "{t}: {mean} against {wanted}");
            assert!((variance - spread).abs() < 1.0e-3 * spread, "{t}: {variance}");
        }
    }

    /// statsmodels' ln likelihood of the series with an exact diffuse start; Laplace's evidence has the wide prior's ln spread beside it.
    #[test]
    fn cross_the_niles_evidence_is_the_diffuse_likelihood() {
        let (_, ln_evidence) = nile(&years());
        let diffuse = ln_evidence + WIDE.ln();
        assert!((diffuse - -633.464_563_6).abs() < 1.0e-4, "{diffuse}");
    }

    /// After many years the filter's variance settles where the Riccati equation of the level model has its root: with q the ratio of
    /// the variances, foretold x = (q + √(q² + 4q))/2 of the reading's, and x/(1 + x) of it once the year is read.
    #[test]
    fn ident_the_filters_variance_settles_at_the_riccati_root() {
        let (found, _) = nile(&years());
        let q = STEP / READING;
        let x = 0.5 * (q + (q * q + 4.0 * q).sqrt());
        let (_, variance) = level(&found, 99);
        assert!((variance / (READING * x / (1.0 + x)) - 1.0).abs() < 1.0e-9, "{variance}");
    }
}
