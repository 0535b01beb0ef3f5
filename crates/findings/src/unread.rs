//! Jacket or sea water in left out of a moment of a history: taken to be what that moment's other readings make of it.
//!
//! Its doubt stays as wide as that of one not read. What is foretold bends over so wide a doubt, and is made straight about a value: about
//! the mean of the history it would miss by more than the readings do, and a fault of that one moment would be made up for it.

use crate::dense::dot;
use crate::fit::{Around, Starts};
use crate::hypothesis::Hypothesis;
use crate::problem::Problem;

/// Times the values are worked out, each about those of the time before.
const TIMES: usize = 2;
/// Longest way a value goes at once, in the doubt of one not read.
const LONGEST: f64 = 1.5;

/// Puts what the other readings say in the place of inputs that were not read, the unknowns standing as they are, where the moment's
/// readings then agree better; what is foretold then.
pub(crate) fn fill(problem: &mut Problem, state: &[f64], starts: &mut Starts) -> Option<Around> {
    let none = Hypothesis::default();
    let mut around = problem.around(&none, state, starts)?;
    for _ in 0..TIMES {
        let before = problem.clone();
        if !step(problem, &around) {
            break;
        }
        let moved = problem.around(&none, state, starts);
        let mut back = 0;
        for (place, old) in around.moments.iter().enumerate() {
            let better = moved.as_ref().is_some_and(|moved| {
                let new = &moved.moments[place].misses;
                dot(new, new) <= dot(&old.misses, &old.misses)
            });
            if !better {
                problem.moments[place].moment = before.moments[place].moment;
                back += 1;
            }
        }
        around = match moved {
            Some(moved) if back == 0 => moved,
            _ => problem.around(&none, state, starts)?,
        };
    }
    Some(around)
}

/// Moves every input that was not read to its mean given the misses of its moment; whether there was one.
fn step(problem: &mut Problem, around: &Around) -> bool {
    let n = problem.layout.count;
    let mut any = false;
    for (ready, whitened) in problem.moments.iter_mut().zip(&around.moments) {
        for input in 0..2 {
            if ready.input_read[input] || whitened.misses.is_empty() {
                continue;
            }
            let at = ready.input_error[input];
            let slopes: Vec<f64> = whitened.slopes.chunks_exact(n).map(|row| row[at]).collect();
            let variance = ready.input_variance[input];
            let most = LONGEST * variance.sqrt();
            // An error in a reading is taken off it: the slope is that of the input with its sign turned.
            let by = (-variance * dot(&slopes, &whitened.misses)).clamp(-most, most);
            let value = match input {
                0 => &mut ready.moment.jacket_in_c,
                _ => &mut ready.moment.sea_temp_c,
            };
            *value += by;
            any |= by != 0.0;
        }
    }
    any
}
