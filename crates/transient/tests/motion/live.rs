//! A run in a person's hands: marks, pauses, pieces of time, and the same run told beforehand.

use transient::{Live, Record, read_actions};

use crate::{demonstration, scenario};

const TROUBLE: &str = r#"{"begin": "running", "at": {}, "until": 1800,
    "actions": [{"t": 300, "do": {"fault": "air leak", "amount": 6, "over": 60}}]}"#;
const HEAT_BACK: &str = r#"[{"t": 900, "do": {"valve": "jacket by-pass", "percent": 50}}]"#;

#[test]
fn ident_a_mark_gone_back_to_gives_the_same_bits_again() {
    let model = demonstration();
    let mut live = Live::begin(&model, &scenario(&model, TROUBLE));
    live.advance(900.0).unwrap();
    let mark = live.clone();
    let act = read_actions(HEAT_BACK).unwrap()[0].what;
    let go_on = |mut live: Live| {
        live.act(act);
        live.advance(1800.0).unwrap();
        live
    };
    let (one, two) = (go_on(live), go_on(mark));
    assert_eq!(one.run().state(), two.run().state());
    assert_eq!(one.rows(), two.rows());
    assert_eq!(one.events(), two.events());
    assert_eq!(one.rows().len(), 30);
    assert!(one.rows().windows(2).all(|pair| pair[1].time_s - pair[0].time_s == 60.0));
}

#[test]
fn ident_time_in_pieces_comes_to_what_the_whole_comes_to() {
    let model = demonstration();
    let mut told = scenario(&model, TROUBLE);
    told.add(&read_actions(HEAT_BACK).unwrap());
    let whole = Record::of(&model, &told).unwrap();
    let mut live = Live::begin(&model, &scenario(&model, TROUBLE));
    // Twelve seconds at a time: five looks a second at sixty times the speed of the clock.
    while live.time_s() < 1800.0 {
        if live.time_s() == 900.0 {
            live.act(read_actions(HEAT_BACK).unwrap()[0].what);
        }
        live.advance(live.time_s() + 12.0).unwrap();
    }
    let (a, b) = (live.row(), whole.run.row());
    for (column, (x, y)) in transient::Row::COLUMNS.iter().zip(a.values().zip(b.values())) {
        assert!((x - y).abs() <= 1e-3 * y.abs().max(1e-6), "{column}: {x} in pieces, {y} at once");
    }
    assert!((live.score().points - whole.score.points).abs() < 0.5);
    let said = |events: &[transient::Event]| -> Vec<String> {
        events
            .iter()
            .map(|event| event.says.clone())
            .filter(|says| !says.starts_with("trouble"))
            .collect()
    };
    assert_eq!(said(&live.events()), said(&whole.events));
}

#[test]
fn ident_a_moment_that_has_passed_changes_nothing_and_nobody_is_told_of_a_trouble() {
    let model = demonstration();
    let mut live = Live::begin(&model, &scenario(&model, TROUBLE));
    live.advance(400.0).unwrap();
    let (before, rows) = (*live.run().state(), live.rows().len());
    live.advance(100.0).unwrap();
    assert_eq!((*live.run().state(), live.rows().len()), (before, rows));
    assert!(live.events().iter().all(|event| !event.says.contains("trouble")));
}
