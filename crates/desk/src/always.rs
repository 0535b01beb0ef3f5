//! Limits that are judged whatever list is under way: the engine's jacket, and salt in the water. A start, a stop or an emergency silences none.

use jiff::Timestamp;

use crate::expected::compare;
use crate::field;
use crate::round::Round;
use crate::setup::Setup;
use crate::typed;
use crate::view::State;

/// Readings that are judged so.
const JUDGED: [&str; 2] = [ENGINE, "product_salt_mg_kg"];
/// The engine's own.
const ENGINE: &str = "engine_jacket_out_c";
/// Of the plant's own a reading older than a watch says nothing of now, h.
const WATCH_H: i64 = 4;

/// Of each the newest, where it is past its limit: its key, and a sentence with its figure and when it was read. `handled` says
/// whether heat is or may soon be taken from the engine: too cold a jacket is asked about only then, for an engine at rest is cold.
pub(crate) fn past(
    setup: &Setup,
    rounds: &[Round],
    handled: bool,
    now: Timestamp,
) -> Vec<(&'static str, String)> {
    let told = |key: &'static str| Some((key, told(setup, rounds, key, handled, now)?));
    JUDGED.into_iter().filter_map(told).collect()
}

fn told(
    setup: &Setup,
    rounds: &[Round],
    key: &str,
    handled: bool,
    now: Timestamp,
) -> Option<String> {
    let reading = field::reading(key)?;
    let mut newest = rounds.iter().rev().filter(|round| round.at <= now);
    let (at, read) = newest.find_map(|round| Some((round.at, round.value(key)?)))?;
    let compared = compare(setup, reading, Some(read), None, None);
    if compared.state != State::PastLimit {
        return None;
    }
    let (gates, figure) = (compared.gates, |x: f64| typed::digits(x, reading.digits));
    let limit = match gates.low.filter(|low| read < *low) {
        Some(_) if !handled => return None,
        Some(low) => format!("under its limit of {}", figure(low)),
        None => format!("over its limit of {}", figure(gates.high?)),
    };
    let minutes = now.duration_since(at).as_mins();
    if key != ENGINE && (!handled || minutes > 60 * WATCH_H) {
        return None;
    }
    let ago = match minutes {
        0 => "now".to_owned(),
        1..120 => format!("{minutes} min ago"),
        _ => format!("{} h ago", minutes / 60),
    };
    let meaning = compared.meaning?;
    Some(format!(
        "{} {} {}, read {ago}, {limit}: {meaning}",
        reading.label,
        figure(read),
        compared.unit
    ))
}

#[cfg(test)]
mod tests {
    use jiff::SignedDuration;

    use super::*;
    use crate::demo::marram;
    use crate::round::Cell;

    fn rounds(read: &[(i64, f64)]) -> (Vec<Round>, Timestamp) {
        let from = Timestamp::from_second(1_760_000_000).expect("time");
        let all = read.iter().map(|(minutes, jacket)| {
            let at = from + SignedDuration::from_mins(*minutes);
            let cell = Cell {
                value: Some(*jacket),
                text: jacket.to_string(),
                unit: "degC".into(),
                why: None,
                not_taken: false,
                struck: None,
                seq: 1,
            };
            let cells = [("engine_jacket_out_c".to_owned(), cell)].into();
            Round { at, actors: Vec::new(), cells }
        });
        (all.collect(), from + SignedDuration::from_mins(60))
    }

    #[test]
    fn ident_a_hot_engine_is_told_whatever_the_plant_does() {
        let setup = Setup::from_ship(marram()).expect("demonstration sheet");
        let (hot, now) = rounds(&[(0, 83.0), (19, 92.0)]);
        let says = past(&setup, &hot, false, now);
        assert_eq!(
            says[0].1,
            "Engine jacket outlet 92.0 °C, read 41 min ago, over its limit of 90.0: The engine gets too warm: see to the engine first, shut the heat if in doubt."
        );
        let (mended, now) = rounds(&[(19, 92.0), (30, 84.0)]);
        assert!(past(&setup, &mended, true, now).is_empty());
        // Read later than the moment that is looked at, it is not known yet.
        assert!(past(&setup, &hot, true, hot[0].at).is_empty());
    }

    #[test]
    fn ident_salt_is_told_while_anything_is_under_way_and_for_a_watch() {
        let setup = Setup::from_ship(marram()).expect("demonstration sheet");
        let (mut salty, now) = rounds(&[(30, 84.0)]);
        let cell = salty[0].cells["engine_jacket_out_c"].clone();
        let salt = Cell { value: Some(30.0), ..cell };
        salty[0].cells.insert("product_salt_mg_kg".into(), salt);
        let says = past(&setup, &salty, true, now);
        assert!(
            says[0].1.starts_with("Salinity 30.0 ppm, read 30 min ago, over its limit of 10.0")
        );
        assert!(past(&setup, &salty, false, now).is_empty());
        let later = now + SignedDuration::from_hours(5);
        assert!(past(&setup, &salty, true, later).is_empty());
    }

    #[test]
    fn ident_a_cold_engine_is_told_while_heat_is_taken() {
        let setup = Setup::from_ship(marram()).expect("demonstration sheet");
        let (cold, now) = rounds(&[(58, 60.0)]);
        assert!(past(&setup, &cold, false, now).is_empty());
        let says = past(&setup, &cold, true, now);
        assert!(says[0].1.contains("read 2 min ago, under its limit of"), "{says:?}");
    }
}
