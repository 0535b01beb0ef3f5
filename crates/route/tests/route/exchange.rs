//! Route exchange files: those written keep the schema, those of others are read in their versions and with their slips.

use jiff::SignedDuration;
use ocean::Track;
use proptest::prelude::*;
use route::{Fault, Mark, Pace, Place, Reading, Version};

use crate::schema::faults;
use crate::{at, clear};

/// A file as a chart system may write it, with the namespace and the spelling of its version.
fn file(version: Version, schedule: &str) -> String {
    let element = if version == Version::V1_0 { "sheduleElement" } else { "scheduleElement" };
    format!(
        r#"<?xml version="1.0" encoding="UTF-8"?>
<route version="{}" xmlns="{}" xmlns:other="urn:other" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
  <routeInfo routeName="Islands" vesselName="none" validityPeriodStart="2026-01-01T00:00:00Z">
    <extensions><extension manufacturer="Other" name="secret" version="2"><other:thing level="3">kept out</other:thing></extension></extensions>
  </routeInfo>
  <waypoints>
    <defaultWaypoint radius="0.5"><leg geometryType="Orthodrome" starboardXTD="0.1" portsideXTD="0.1"/></defaultWaypoint>
    <waypoint id="10" revision="1" name="Start"><position lat="-20.1" lon="57.45"/></waypoint>
    <waypoint id="30" revision="1"><position lat="-20.5" lon="56.5"/><leg geometryType="Loxodrome" speedMax="15"/></waypoint>
    <waypoint id="20" revision="1" name="End"><position lat="-20.9" lon="55.3"/></waypoint>
  </waypoints>
  <schedules>{}</schedules>
</route>"#,
        version.number(),
        version.namespace(),
        schedule.replace("element", element)
    )
}

const BY_HAND: &str = r#"<schedule id="1" name="Plan"><manual>
  <element waypointId="10" etd="2026-05-04T06:00:00Z"/>
  <element waypointId="20" eta="2026-05-04T18:00:00Z" speed="10"/>
  <element waypointId="30" speed="11.5"/></manual>
  <calculated><element waypointId="20" eta="2030-01-01T00:00:00Z"/></calculated></schedule>"#;

#[test]
fn ref_files_of_every_version_are_read() {
    for version in Version::ALL {
        let text = file(version, BY_HAND);
        assert_eq!(faults(&text, version), [""; 0]);
        let route = clear(&text);
        assert_eq!(route.name, "Islands");
        let [start, middle, end] = route.waypoints.as_slice() else { panic!("three waypoints") };
        assert_eq!((start.name.as_str(), start.etd), ("Start", Some(at("2026-05-04T06:00Z"))));
        assert_eq!((middle.track, end.track), (Track::RhumbLine, Track::GreatCircle));
        assert_eq!(middle.pace, Some(Pace::Speed { kn: 11.5 }));
        assert_eq!(end.pace, Some(Pace::Eta(at("2026-05-04T18:00Z"))));
    }
}

/// The most speed of a leg is held against the speed it is sailed at, by hand or by its times.
#[test]
fn ident_a_leg_sailed_over_its_speed_max_is_told() {
    let told = |schedule: &str| {
        let reading = Reading::of_bytes(file(Version::V1_1, schedule).as_bytes());
        assert!(reading.is_clear(), "{:?}", reading.problems);
        let faults = reading.problems.into_iter().map(|problem| problem.fault);
        faults.filter(|fault| matches!(fault, Fault::OverLegLimit { .. })).collect::<Vec<_>>()
    };
    assert_eq!(told(BY_HAND), []);
    let fast = BY_HAND.replace("speed=\"11.5\"", "speed=\"16.5\"");
    assert_eq!(told(&fast), [Fault::OverLegLimit { kn: 16.5, most_kn: 15.0 }]);
    // 58.2 miles in three hours.
    let timed = BY_HAND.replace("speed=\"11.5\"", "eta=\"2026-05-04T09:00:00Z\"");
    let [Fault::OverLegLimit { kn, most_kn }] = told(&timed)[..] else { panic!("one") };
    assert!((kn - 19.4).abs() < 0.3 && most_kn == 15.0, "{kn}");
    let reading = Reading::of_bytes(file(Version::V1_1, &fast).as_bytes());
    let says = reading.problems.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ");
    let wanted = ["16.5 kn", "speedMax", "15 kn"];
    assert!(wanted.iter().all(|wanted| says.contains(wanted)), "{says}");
}

/// Headings as German officers write them; headings nobody knows are told with those that are.
#[test]
fn ident_headings_in_german_are_read_and_unknown_ones_told() {
    let table = "Name;Breite;Länge;Fahrt\nElbe;54,0;8,1;\nDogger;54,5;3,0;12,5\n";
    let reading = Reading::of_bytes(
        format!("departure: 2026-05-04 06:00Z\n\n{table}")
            .replace("departure", "# departure")
            .as_bytes(),
    );
    let route = reading.route.clone().unwrap_or_else(|| panic!("{:?}", reading.problems));
    assert!(reading.is_clear(), "{:?}", reading.problems);
    assert_eq!(route.waypoints[0].name, "Elbe");
    assert!((route.waypoints[1].position.lon_deg() - 3.0).abs() < 1e-9);
    assert_eq!(route.waypoints[1].pace, Some(Pace::Speed { kn: 12.5 }));
    let unknown = Reading::of_bytes(b"Punkt;Hoch;Rechts\nElbe;54,0;8,1\nDogger;54,5;3,0\n");
    let says = unknown.problems.iter().map(ToString::to_string).collect::<Vec<_>>();
    assert_eq!(says.len(), 1, "{says:?}");
    assert!(
        says[0].contains("Punkt") && says[0].contains("Breite") && says[0].contains("position"),
        "{says:?}"
    );
}

#[test]
fn a_worked_out_schedule_serves_where_none_is_entered() {
    let text = r#"<schedule id="1"><manual><element waypointId="10"/></manual><calculated>
      <element waypointId="10" etd="2026-05-04T06:00:00"/>
      <element waypointId="30" etd="2026-05-04T11:00:00Z"/>
      <element waypointId="20" eta="2026-05-04T18:00:00+00:00" speed="9.8"/></calculated></schedule><schedule id="2"/>"#;
    let reading = Reading::of_bytes(file(Version::V1_1, text).as_bytes());
    assert!(reading.is_clear());
    assert!(matches!(reading.problems[0].fault, Fault::Schedules { count: 2, .. }));
    let route = reading.route.unwrap();
    assert_eq!(route.waypoints[0].etd, Some(at("2026-05-04T06:00Z")));
    assert_eq!(route.waypoints[1].pace, Some(Pace::Eta(at("2026-05-04T11:00Z"))));
}

#[test]
fn a_stay_of_others_is_taken_as_at_anchor_and_told() {
    for (version, stay) in [(Version::V1_0, "06:30:00"), (Version::V1_2, "PT6H30M")] {
        let text = format!(
            r#"<schedule id="1"><manual><element waypointId="10" etd="2026-05-04T06:00:00Z" speed="12"/>
            <element waypointId="30" stay="{stay}"/></manual></schedule>"#
        );
        let reading = Reading::of_bytes(file(version, &text).as_bytes());
        assert!(reading.is_clear());
        assert!(
            reading
                .problems
                .iter()
                .any(|one| matches!(one.fault, Fault::LyingTaken { hours: 6.5 }))
        );
        let stays = &reading.route.unwrap().waypoints[1].stays;
        assert_eq!(stays[0].length, Some(SignedDuration::from_mins(390)));
    }
}

#[test]
fn what_a_file_lacks_is_told_with_the_waypoint_s_id() {
    let right = file(Version::V1_2, BY_HAND);
    let changes: [(&str, &str, &str); 9] = [
        (" lat=\"-20.5\"", "", "waypoint with id \"30\": lat missing"),
        (" lon=\"56.5\"", "", "waypoint with id \"30\": lon missing"),
        ("<position lat=\"-20.5\" lon=\"56.5\"/>", "", "waypoint with id \"30\": position missing"),
        ("-20.5", "south", "waypoint with id \"30\": lat \"south\""),
        ("-20.5", "-95", "waypoint with id \"30\": position latitude -95"),
        ("id=\"30\"", "id=\"10\"", "waypoint with id \"10\": id given to two waypoints"),
        ("id=\"30\" ", "", "waypoint 2: id missing"),
        ("eta=\"2026-05-04T18:00:00Z\"", "eta=\"noon\"", "waypoint with id \"20\": ETA \"noon\""),
        ("speed=\"11.5\"", "speed=\"fast\"", "waypoint with id \"30\": speed \"fast\""),
    ];
    for (from, to, wanted) in changes {
        let reading = Reading::of_bytes(right.replacen(from, to, 1).as_bytes());
        let said: Vec<String> = reading.problems.iter().map(ToString::to_string).collect();
        assert!(!reading.is_clear(), "{wanted}");
        assert!(said.iter().any(|line| line.starts_with(wanted)), "{wanted}: {said:#?}");
        // The rest is there to be shown.
        assert!(reading.waypoints_read() >= 2, "{wanted}");
    }
}

#[test]
fn notes_do_not_stop_a_file() {
    let right = file(Version::V1_2, BY_HAND);
    for (from, to, wanted) in [
        ("version=\"1.2\"", "version=\"1.1\"", "route: version \"1.1\": the namespace is"),
        (
            "Loxodrome",
            "Spiral",
            "waypoint with id \"30\": geometryType \"Spiral\": there are Loxodrome",
        ),
        (
            "waypointId=\"30\"",
            "waypointId=\"77\"",
            "waypoint with id \"77\": schedule for a waypoint",
        ),
    ] {
        let reading = Reading::of_bytes(right.replacen(from, to, 1).as_bytes());
        assert!(reading.is_clear(), "{wanted}");
        assert!(reading.problems.iter().any(|one| one.to_string().starts_with(wanted)), "{wanted}");
    }
}

#[test]
fn a_wrong_namespace_or_root_is_named() {
    for (text, root, space) in [
        ("<route xmlns=\"http://www.cirm.org/RTZ/1/9\"/>", "route", "http://www.cirm.org/RTZ/1/9"),
        ("<route/>", "route", ""),
        ("<gpx xmlns=\"urn:tracks\"/>", "gpx", "urn:tracks"),
    ] {
        let reading = Reading::of_bytes(text.as_bytes());
        let fault = Fault::NotRtz { root: root.to_owned(), namespace: space.to_owned() };
        assert_eq!(reading.problems[0].fault, fault);
        assert_eq!(reading.problems[0].place, Place::Whole);
        assert!(reading.problems[0].to_string().contains("RTZ 1.0, 1.1 or 1.2"));
    }
}

#[test]
fn ref_files_written_keep_the_schema() {
    let route = clear(
        "route: <A> & \"B\"\nfrom: X\nzone: +9\nclock: 2026-05-05 12:00Z +10\n\
         0 0 N 179 0 E, \"5 < 6\", ETD 2026-05-04 06:00Z, full away, 12 kn, berth 2 d\n\
         0 0 N 180 0 E, load 80 %, anchor 6 h, gc\n\
         0 0 N 179 0 W, end of passage, ETA 2026-05-05 12:00Z, anchor 40 h\n",
    );
    for version in Version::ALL {
        let text = route.to_rtz(version);
        assert_eq!(faults(&text, version), [""; 0], "{text}");
        assert!(text.contains("lon=\"-180\""));
    }
    assert_eq!(route.waypoints[2].mark, Some(Mark::EndOfPassage));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn ref_any_route_written_keeps_the_schema(
        name in "\\PC{0,20}",
        places in proptest::collection::vec((-90.0..=90.0_f64, -180.0..=180.0_f64, 0.1..60.0_f64, 0..200_000_000_i64), 2..6),
    ) {
        let mut waypoints = Vec::new();
        for (lat, lon, kn, stay) in places {
            let mut waypoint = route::Waypoint::at(ocean::Position::from_degrees(lat, lon).unwrap());
            waypoint.name.clone_from(&name);
            waypoint.pace = Some(Pace::Speed { kn });
            let length = Some(SignedDuration::from_millis(stay));
            waypoint.stays.push(route::Stay { lying: route::Lying::AtBerth, length });
            waypoints.push(waypoint);
        }
        waypoints[0].etd = Some(at("2026-05-04T06:00:00.25Z"));
        let route = route::Route::new(name, waypoints);
        for version in Version::ALL {
            let text = route.to_rtz(version);
            prop_assert_eq!(faults(&text, version), [""; 0], "{}", text);
        }
    }
}
