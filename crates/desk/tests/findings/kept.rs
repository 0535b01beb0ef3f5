//! Findings are kept until what they were made from changes, and no page waits for them.

use std::sync::Arc;
use std::time::Duration;

use desk::Desk;
use desk::findings::{Lately, Since};
use logbook::{Author, Draft, Value};

use super::{marram, now};

/// A route, its events, tanks sounded and the ship's demand weigh nothing in a finding: it stands, and is not worked out again. A round does.
#[test]
fn ident_what_is_written_for_the_passage_changes_no_finding() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let before = desk.findings(Since::Cleaned, now()).expect("findings");
    let stands = |what: &str| match desk.findings_lately(Since::Cleaned, now(), Duration::ZERO) {
        Ok(Lately::Found(view)) => assert!(Arc::ptr_eq(&view, &before), "{what}: anew"),
        other => panic!("{what}: {other:?}"),
    };
    let route = desk.route_text().expect("read").expect("a route");
    desk.save_route(&route.replace("12°00.00'S", "12°01.00'S"), "2o", now()).expect("kept");
    stands("route");
    let events = desk.events_text().expect("read").expect("events");
    desk.save_events(&events.replacen("t = 30", "t = 31", 1), "2o", now()).expect("kept");
    stands("events");
    let tank = format!("sounding_cm.{}", desk.setup().ship.tanks[0].key);
    let sounded = vec![Value::number(&tank, "212".to_owned(), "cm", 2.12)];
    desk.write(Draft::reading(now(), Author::hand("3e"), sounded), now()).expect("written");
    stands("sounding");
    let mut ship = desk.setup().ship.clone();
    ship.tanks.truncate(1);
    ship.voyage = "elsewhere".to_owned();
    desk.save_ship(&desk::ship::write(&ship), "ce", now()).expect("kept");
    stands("tanks and voyage");
    ship.limits.salinity_dump_mg_kg += 1.0;
    desk.save_ship(&desk::ship::write(&ship), "ce", now()).expect("kept");
    let lately = desk.findings_lately(Since::Cleaned, now(), Duration::ZERO).expect("asked");
    assert!(matches!(lately, Lately::Before(_)), "a limit that is weighed changes it");
    // The same readings, asked anew by another who opens the record: the same figures.
    let other = Desk::open_to_read(folder.path()).expect("opened");
    let again = other.findings(Since::Cleaned, now()).expect("findings");
    assert_eq!(again.causes, before.causes);
    assert_eq!(again.missing, before.missing);
}

#[test]
fn ident_no_page_waits_for_a_finding_and_a_new_reading_makes_it_anew() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = Arc::new(marram(folder.path()));
    let first = desk.findings_lately(Since::Cleaned, now(), Duration::ZERO).expect("asked");
    assert!(matches!(first, Lately::UnderWay | Lately::Found(_)));
    let waited = desk.findings(Since::Cleaned, now()).expect("findings");
    let at_hand = desk.findings_lately(Since::Cleaned, now(), Duration::ZERO).expect("asked");
    assert_eq!(at_hand, Lately::Found(waited));
    desk.write(Draft::note(Author::hand("2e"), "a note"), now()).expect("written");
    let noted = desk.findings_lately(Since::Cleaned, now(), Duration::ZERO).expect("asked");
    assert_eq!(noted, at_hand, "a note weighs nothing");
    let read = vec![Value::number("vapour_temp_c", "45.0".to_owned(), "degC", 318.15)];
    desk.write(Draft::reading(now(), Author::hand("3e"), read), now()).expect("written");
    let anew = desk.findings_lately(Since::Cleaned, now(), Duration::ZERO).expect("asked");
    assert!(matches!(anew, Lately::Before(_) | Lately::Found(_)), "the last ones stand meanwhile");
}
