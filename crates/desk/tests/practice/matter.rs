//! "What is the matter?": asked in a run and before its debrief, answered when one knows, and an alarm passed over.

use super::*;

fn answer(cause: &str) -> Practising {
    Practising::Answer { cause: cause.to_owned() }
}

fn lost(debrief: &desk::practice::DebriefView, what: &str) -> f64 {
    debrief.costs.iter().find(|line| line.what == what).map_or(0.0, |line| line.lost)
}

#[test]
fn ident_the_matter_is_asked_before_the_debrief_tells_it() {
    let aboard = aboard();
    let id = aboard.begin("cell");
    aboard.on_to(id, 720.0);
    aboard.act(id, Practising::Sample);
    aboard.act(id, answer("condenser leak"));
    let said = aboard.desk.practice_standing(id, "a", at(0)).unwrap().answered.unwrap();
    assert_eq!((said.clock.as_str(), said.aboard), ("0:12:00", "A condenser tube leaks"));
    assert!(aboard.refused(id, "a", &answer("steam")).contains("no cause"));
    aboard.on_to(id, 900.0);
    let so_far = aboard.desk.practice_debrief(id).unwrap();
    assert!(so_far.asks.is_none() && so_far.matter.is_empty(), "not over: nothing is told");
    aboard.on_to(id, 3600.0);
    let asked = aboard.desk.practice_debrief(id).unwrap();
    assert!(asked.asks.is_some_and(|causes| causes.len() > 15));
    aboard.act(id, answer("cell reading"));
    let debrief = aboard.desk.practice_debrief(id).unwrap();
    assert!(debrief.asks.is_none() && debrief.said.len() == 2, "{debrief:?}");
    let line = &debrief.matter[0];
    assert_eq!((line.what, line.came.as_str()), ("The salinity cell is fouled", "0:10:00"));
    let shown = line.shown.as_ref().expect("seen");
    assert!(shown.0 == "0:11:00" && shown.1 == "the salinometer", "{shown:?}");
    assert_eq!(lost(&debrief, "what was the matter"), 10.0, "second: half");
    assert!(aboard.refused(id, "a", &answer("nozzle")).contains("has told"));
    // Back to before, the handles can be tried again; the answer is known.
    aboard.act(id, Practising::Back { to: "0".to_owned() });
    aboard.on_to(id, 720.0);
    let says = aboard.refused(id, "a", &answer("cell reading"));
    assert!(says.contains("no answer counts any more in this run"), "{says}");
}

#[test]
fn ident_a_hidden_trouble_slept_through_cannot_have_all() {
    let aboard = aboard();
    let wish = |trouble: &str| Wish {
        begin: "running".into(),
        sea_temp: "30".into(),
        load: "85".into(),
        barometer: "1013".into(),
        trouble: trouble.into(),
        ..Wish::default()
    };
    let begin = |trouble: &str| {
        let id = aboard.desk.begin_practice(&wish(trouble), "a", at(0)).expect("begun");
        let plant =
            Practising::Plant { trouble: "air leak".into(), in_min: "5".into(), mended: false };
        if trouble.is_empty() {
            aboard.desk.practise(id, "b", &plant, at(0)).expect("planted by another");
        }
        aboard.on_to(id, 3600.0);
        aboard.act(id, Practising::End);
        id
    };
    let slept = begin("");
    assert!(aboard.desk.practice_debrief(slept).unwrap().asks.is_some());
    aboard.act(slept, answer("not known"));
    let debrief = aboard.desk.practice_debrief(slept).unwrap();
    assert!(debrief.points <= 80.0 && debrief.matter[0].says == "not named", "{debrief:?}");
    // One that was chosen by the one at the handles is no riddle.
    let told = aboard.desk.practice_debrief(begin("air leak")).unwrap();
    assert!(told.asks.is_none() && told.matter.is_empty(), "{told:?}");
}

#[test]
fn ident_an_alarm_silenced_is_said_in_the_headline_and_fails_the_run() {
    let aboard = aboard();
    let id = aboard.begin("cell");
    aboard.on_to(id, 720.0);
    aboard.act(id, Practising::Set { name: "salinity limit".into(), to: Far::To("100".into()) });
    aboard.on_to(id, 900.0);
    let standing = aboard.desk.practice_standing(id, "a", at(0)).unwrap();
    assert!(
        standing.says.before.starts_with("Water goes to the tank past an alarm"),
        "{:?}",
        standing.says
    );
    let cell = standing.gauges.iter().find(|gauge| gauge.key == "g-cell").unwrap();
    assert_eq!(cell.value, "over 100 ppm");
    aboard.on_to(id, 3600.0);
    let debrief = aboard.desk.practice_debrief(id).unwrap();
    assert!(debrief.points <= 20.0, "{debrief:?}");
    assert!(lost(&debrief, "water to the tank past an unproven alarm") >= 80.0);
    assert!(debrief.against.iter().any(|h| h.says.contains("salinity limit raised to 100 ppm")));
}

/// An emergency generator drives the jacket pump and nothing of the plant, as long as the story says so.
#[test]
fn ident_nothing_of_a_dead_board_starts() {
    let aboard = aboard();
    let id = aboard.begin("blackout");
    aboard.on_to(id, 900.0);
    for what in [pump("cooling", true), pump("ejector", true), switch("power", "on")] {
        let why = aboard.refused(id, "a", &what);
        assert!(why.contains("no power on that board until"), "{why}");
    }
    let suits = |id| aboard.desk.practice_standing(id, "a", at(0)).unwrap().suits;
    aboard.act(id, turn("jacket inlet", "0"));
    aboard.on_to(id, 1200.0);
    assert!(suits(id).is_some_and(|suits| suits.key == "blackout"), "offered until it is followed");
    aboard.act(id, Practising::Step(AtStep::Follow { key: "blackout".to_owned() }));
    assert!(suits(id).is_none());
    let live = aboard.desk.practice_standing(id, "a", at(0)).unwrap();
    let made = live.gauges.iter().find(|gauge| gauge.key == "g-made").unwrap();
    assert_eq!(made.value, "0.0 t/day");
}

/// A hidden trouble has its time told and the exercise its end.
#[test]
fn ident_an_exercise_with_a_hidden_trouble_says_when_it_ends() {
    let aboard = aboard();
    let wish = Wish {
        begin: "running".into(),
        sea_temp: "30".into(),
        load: "85".into(),
        barometer: "1013".into(),
        trouble: "hidden".into(),
        seed: "7".into(),
        ..Wish::default()
    };
    let id = aboard.desk.begin_practice(&wish, "a", at(0)).expect("begun");
    let view = aboard.desk.practice_view(id, "a", at(0)).unwrap();
    assert_eq!(view.until, "2:30:00");
    assert!(view.story.contains("between 0:15:00 and 1:30:00"), "{}", view.story);
}
