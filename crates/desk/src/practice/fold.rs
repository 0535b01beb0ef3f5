//! What the plant says over and over, told at its first and its last.

use super::view::Happened;

/// A thing said again within so long goes on, s.
const GOES_ON_S: f64 = 600.0;
/// So often a thing is told each time.
const EACH: usize = 2;

/// The same in fewer lines: of what the plant said more than twice, each time within ten minutes of the last, the first stays,
/// and the last with how often it came. What hands did stays as it was done. In order of time, before and after.
pub(super) fn folded(all: Vec<Happened>) -> Vec<Happened> {
    let mut drop = vec![false; all.len()];
    let mut often: Vec<Option<(usize, String)>> = vec![None; all.len()];
    for first in 0..all.len() {
        if all[first].by_hand || drop[first] || often[first].is_some() {
            continue;
        }
        let mut chain = vec![first];
        let mut last_s = all[first].at_s;
        for (place, next) in all.iter().enumerate().skip(first + 1) {
            if next.at_s - last_s > GOES_ON_S {
                break;
            }
            if !next.by_hand && next.says == all[first].says {
                chain.push(place);
                last_s = next.at_s;
            }
        }
        if chain.len() > EACH
            && let Some((last, between)) = chain[1..].split_last()
        {
            between.iter().for_each(|place| drop[*place] = true);
            often[*last] = Some((chain.len(), all[first].clock.clone()));
        }
    }
    let told = |(mut happened, (often, drop)): (Happened, (Option<(usize, String)>, bool))| {
        if let Some((times, since)) = often {
            happened.says = format!("{}: {times} times since {since}", happened.says);
        }
        (!drop).then_some(happened)
    };
    all.into_iter().zip(often.into_iter().zip(drop)).filter_map(told).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(at_s: f64, says: &str, by_hand: bool) -> Happened {
        Happened { at_s, clock: format!("{at_s}"), says: says.to_owned(), by_hand }
    }

    fn told(all: Vec<Happened>) -> Vec<String> {
        folded(all).into_iter().map(|h| format!("{} {}", h.clock, h.says)).collect()
    }

    #[test]
    fn a_valve_that_goes_to_and_fro_is_told_at_its_first_and_its_last() {
        let mut all = Vec::new();
        for k in 0..5 {
            all.push(line(100.0 * f64::from(k), "to dump", false));
            all.push(line(100.0 * f64::from(k) + 30.0, "to the tank", false));
        }
        all.insert(3, line(110.0, "feed to 60 %", true));
        assert_eq!(
            told(all),
            [
                "0 to dump",
                "30 to the tank",
                "110 feed to 60 %",
                "400 to dump: 5 times since 0",
                "430 to the tank: 5 times since 30"
            ]
        );
    }

    #[test]
    fn twice_or_an_hour_apart_or_by_hand_is_told_each_time() {
        let hourly = |by_hand| (0..4).map(move |k| line(3600.0 * f64::from(k), "boiling", by_hand));
        assert_eq!(told(hourly(false).collect()).len(), 4);
        let often = (0..4).map(|k| line(60.0 * f64::from(k), "feed to 60 %", true));
        assert_eq!(told(often.collect()).len(), 4);
        let twice = (0..2).map(|k| line(60.0 * f64::from(k), "boiling", false));
        assert_eq!(told(twice.collect()).len(), 2);
    }
}
