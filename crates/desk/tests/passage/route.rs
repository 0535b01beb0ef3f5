//! Passage through the desk: routes, legs, changes told on the form.

use desk::passage::{Foresight, How, Outlook, PassageView, Seas, Wanted};
use jiff::SignedDuration;

use crate::{aboard, now};

/// The route as a chart system takes it is the route that was typed.
#[test]
fn ident_the_route_file_holds_the_route() {
    let (_folder, desk) = aboard();
    let file = desk.route_rtz().expect("read").expect("a route");
    let back = route::Reading::of_bytes(file.as_bytes()).route.expect("a route");
    let text = desk.route_text().expect("read").expect("a route");
    let kept = route::Reading::of_bytes(text.as_bytes()).route.expect("a route");
    assert_eq!(back.waypoints.len(), kept.waypoints.len());
    for (a, b) in back.waypoints.iter().zip(&kept.waypoints) {
        assert!((a.position.lat_deg() - b.position.lat_deg()).abs() < 1.0e-4);
        assert!((a.position.lon_deg() - b.position.lon_deg()).abs() < 1.0e-4);
    }
}

/// A route that was mended by hand into one that cannot be sailed is told as such, once, and not tried again.
#[test]
fn ident_a_route_that_cannot_be_planned_is_told_to_who_looks_in() {
    let (folder, desk) = aboard();
    let lines = "departure: 2025-11-16T02:00Z\n12 00.0 S 045 10.0 E, \"Roads\"\n";
    std::fs::write(folder.path().join(desk::passage::ROUTE_FILE), lines).expect("written");
    let mut foresight = Foresight::default();
    assert!(foresight.look(&desk, now()).expect("looked"));
    assert!(!foresight.look(&desk, now()).expect("looked"));
    let Outlook::Refused(why) = desk.ahead(now()).expect("read") else { panic!("not refused") };
    let asked = desk.passage(now(), How::AtOnce).expect_err("no plan");
    assert_eq!(why, asked.to_string());
}

/// A speed, a sea and a stop told on the form are events in the record; the route stays as it is written, and the next plan
/// is by them. Told empty, the route holds again.
#[test]
fn ident_a_leg_changed_is_an_event_and_replans() {
    let (_folder, desk) = aboard();
    let route = desk.route_text().expect("read").expect("a route");
    let events = desk.events_text().expect("read").unwrap_or_default();
    let first = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let leg = first.legs.iter().find(|leg| leg.nmi > 200.0).expect("a long leg").clone();
    let head = desk.head().expect("read").0;
    let wanted = Wanted::typed(&leg.to.to_string(), "10,5", "30.5", "").expect("figures");
    desk.change_leg(&wanted, "2o", now()).expect("kept");
    assert_eq!(desk.route_text().expect("read").as_ref(), Some(&route));
    assert_eq!(desk.head().expect("read").0, head + 1, "one entry in the record");
    let second = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let changed = second.legs.iter().find(|other| other.to == leg.to).expect("the leg");
    assert!((changed.kn - 10.5).abs() < 1e-9 && changed.sea_temp_c == Some(30.5));
    assert_eq!(changed.told, (Some(10.5), Some(30.5), None));
    let load = leg.load_percent.expect("on it") * (10.5 / leg.kn).powi(3);
    assert!((changed.load_percent.expect("on it") - load).abs() < 0.1, "{changed:?} {load}");
    let later = changed.arrives.duration_since(leg.arrives).as_secs_f64() / 3600.0;
    let whole = leg.nmi / 10.5 - leg.nmi / leg.kn;
    assert!((later - whole).abs() < 0.01, "{later} {whole}");
    // What it made of the plan is told, and only where something was changed.
    assert_eq!(first.edited, None);
    let edited = second.edited.as_deref().expect("an edit");
    let arrives = |view: &PassageView| {
        let sample = &view.timeline.samples[view.arrival];
        view.timeline.clock.local(sample.at).strftime("%-d %b %H:%M").to_string()
    };
    let moved = format!("arrival {}, was {}", arrives(&second), arrives(&first));
    assert!(edited.starts_with("a speed, a stop") && edited.contains(&moved), "{edited}");
    let quarter = now() + SignedDuration::from_mins(15);
    let later = desk.passage(quarter, How::AtOnce).expect("planned").expect("a route");
    assert_eq!(later.edited, None);

    // The stop at Yokohama, a day longer; then everything as the route has it.
    let stop = first.legs.iter().find(|leg| leg.stop_h > 0.0).expect("a stop").clone();
    let hours = format!("{}", stop.stop_h + 24.0);
    let wanted = Wanted::typed(&stop.to.to_string(), "", "", &hours).expect("figures");
    desk.change_leg(&wanted, "2o", now()).expect("kept");
    let third = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let longer = third.legs.iter().find(|leg| leg.to == stop.to).expect("the stop");
    assert!((longer.stop_h - stop.stop_h - 24.0).abs() < 0.01, "{longer:?}");
    for to in [leg.to, stop.to] {
        let wanted = Wanted::typed(&to.to_string(), "", "", "").expect("nothing");
        desk.change_leg(&wanted, "2o", now()).expect("kept");
    }
    assert_eq!(desk.events_text().expect("read").unwrap_or_default(), events);

    for (to, kn, says) in [("1", "9", "waypoints 2 to"), ("900", "9", "waypoints 2 to")] {
        let wanted = Wanted::typed(to, kn, "", "").expect("figures");
        let refused = desk.change_leg(&wanted, "2o", now()).expect_err(to).to_string();
        assert!(refused.contains(says), "{refused}");
    }
    let wanted = Wanted::typed(&leg.to.to_string(), "24", "", "").expect("figures");
    let refused = desk.change_leg(&wanted, "2o", now()).expect_err("too fast").to_string();
    assert!(refused.contains("% engine load") && refused.contains("110 %"), "{refused}");
    let wrong = Wanted::typed("x", "fast", "99", "-3").expect_err("no figures");
    let fields: Vec<&str> = wrong.iter().map(|(field, _)| *field).collect();
    assert_eq!(fields, ["leg_kn", "leg_sea_c", "leg_stop_h", "leg"]);
}

/// A route that says nothing of the ship's clocks is planned by the record's, and that is told; one that says UTC is by UTC.
#[test]
fn ident_a_route_without_a_zone_goes_by_the_records_clocks() {
    let (_folder, desk) = aboard();
    let seas = Seas::built_in().expect("data");
    let lines = "04 24 N 154 18 E, ETD 2025-11-16 06:00Z\n09 30 N 152 42 E, 13 kn\n14 30 N 148 12 E, 13 kn\n";
    let planned = |text: &str| desk.passage_of(text, now(), How::AtOnce, &seas).expect("planned");
    let told = |view: &desk::passage::PassageView| {
        view.brief.notes.iter().filter(|note| note.contains("no ship’s time")).count()
    };
    let silent = planned(lines);
    let zone = silent.timeline.clock.zone(now()).seconds();
    assert_eq!((zone, told(&silent), silent.zones.is_none()), (10 * 3600, 1, true));
    let utc = planned(&format!("zone: +00\n{lines}"));
    assert_eq!((utc.timeline.clock.zone(now()).seconds(), told(&utc)), (0, 0));
    assert!(utc.zones.is_some(), "the record's clocks stand elsewhere");
}

/// Faster arrives sooner and burns more, slower later and less; what each comes to is a plan of its own.
#[test]
fn ident_other_speeds_are_planned_beside_the_remedies() {
    let (_folder, desk) = aboard();
    let view = desk.passage(now(), How::Whole).expect("planned").expect("a route");
    let [faster, slower] = view.speeds.get(..2).expect("two at least") else { panic!("two") };
    assert!(faster.more_kn > 0.0 && slower.more_kn < 0.0);
    let (fast, slow) =
        (faster.plan.as_ref().expect("planned"), slower.plan.as_ref().expect("planned"));
    let arrives = view.timeline.samples[view.arrival].at;
    assert!(fast.arrives < arrives && arrives < slow.arrives);
    let (more, less) = (fast.fuel_more.expect("told"), slow.fuel_more.expect("told"));
    assert!(more > 0.0 && less < 0.0, "{more} {less}");
    // By the third power of speed an hour, by the second for the way: about 2 x 1/13.2 of the fuel to arrival.
    let sea_load = desk.setup().ship.orders.sea_load_percent / 100.0;
    let days: f64 = view.timeline.samples[..view.arrival]
        .iter()
        .filter(|sample| sample.moment.is_under_way())
        .map(|sample| sample.load / sea_load / 96.0)
        .sum();
    let burnt = days * 22.0 * 600.0;
    assert!((more / burnt - 2.0 / 13.2).abs() < 0.04, "{more} of {burnt}");
    for (one, plan) in [(faster, fast), (slower, slow)] {
        let (low, middle, high) = plan.on_arrival_t;
        assert!(low <= middle && middle <= high && one.what.contains("from now on"), "{one:?}");
    }
    // Where neither lasts the search goes on; what it ends with lasts.
    if !view.lasts() && view.speeds.len() == 3 {
        assert!(view.speeds[2].plan.as_ref().expect("planned").lasts);
    }
}

/// A stretch forbidden by distance tells its least and most, and when the order is passed.
#[test]
fn ident_a_stretch_tells_its_least_and_most() {
    let (_folder, desk) = aboard();
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let near = view.stretches();
    let near: Vec<_> = near.iter().filter(|s| s.says.contains("nmi off")).collect();
    assert!(!near.is_empty());
    for stretch in near {
        let inside =
            view.timeline.samples.iter().filter(|s| s.at >= stretch.from && s.at < stretch.to);
        let offs: Vec<f64> = inside.map(|s| s.sea.distance_off.nmi()).collect();
        let least = offs.iter().copied().fold(f64::INFINITY, f64::min);
        let told: Vec<f64> =
            stretch.says.split([' ', ',']).filter_map(|word| word.parse::<f64>().ok()).collect();
        assert!(told[0] <= least + 0.05, "{}: {least}", stretch.says);
        assert!(told.contains(&20.0), "{}", stretch.says);
    }
}

/// The small form reads a sea temperature in another unit, and a unit after a figure; what is out of range is told in its own.
#[test]
fn ident_the_small_form_takes_units() {
    let wanted = Wanted::typed("3", "10.5 kn", "86 F", "36 h").expect("figures");
    assert!((wanted.sea_temp_c.expect("a sea") - 30.0).abs() < 1.0e-9, "{wanted:?}");
    assert_eq!((wanted.kn, wanted.stop_h), (Some(10.5), Some(36.0)));
    let wrong = Wanted::typed("3", "10 kg", "120 F", "").expect_err("refused");
    let said: Vec<_> = wrong.iter().map(|(field, why)| format!("{field}: {why}")).collect();
    assert!(said.iter().any(|s| s.starts_with("leg_kn: ")), "{said:?}");
    assert!(said.iter().any(|s| s.starts_with("leg_sea_c: 48.9 °C, allowed")), "{said:?}");
}

/// A drift and an anchorage on the way are no arrival: she is bound for the last waypoint, or where she goes alongside.
#[test]
fn ident_a_stop_on_the_way_is_no_arrival() {
    let (_folder, desk) = aboard();
    let route = "departure: 2025-11-16 06:00Z\n34 S 152 E, Cape, full away, 12 kn\n30 S 160 E, drift 2 d\n25 S 165 E, anchor 12 h\n20 S 170 E, Vila, end of passage, berth 3 d\n";
    desk.save_route(route, "2o", now()).expect("kept");
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    assert_eq!(view.to, "Vila");
    let arrives = view.timeline.samples[view.arrival].at;
    let last = view.legs.last().expect("a leg").arrives;
    let apart = arrives.duration_since(last).as_secs_f64().abs();
    assert!(apart <= 900.0, "{arrives} {last}");
}

#[test]
fn ident_a_route_that_is_over_does_not_take_the_place_of_one_that_is_not() {
    let (_folder, desk) = aboard();
    let kept = desk.route_text().expect("read");
    let over =
        "departure: 2020-12-01 06:00Z\n34 S 152 E, Cape, full away, 12 kn\n20 S 170 E, Vila\n";
    let why = desk.save_route(over, "2o", now()).expect_err("refused").to_string();
    assert!(why.contains("1 Dec 2020") && why.contains("Correct the year"), "{why}");
    assert_eq!(desk.route_text().expect("read"), kept);
}

/// A route of which a part is sailed: the ways still to go add up to what is to go.
#[test]
fn ident_the_legs_add_up_to_what_is_to_go() {
    let (_folder, desk) = aboard();
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let arrives = view.timeline.samples[view.arrival].at;
    // She arrives within the sample.
    let end = arrives + SignedDuration::from_mins(15);
    let before = |leg: &&desk::passage::LegLine| leg.arrives < end;
    let to_go: f64 = view.legs.iter().filter(before).map(|leg| leg.nmi).sum();
    assert!((to_go - view.to_go_nmi).abs() < 4.0, "{to_go} {}", view.to_go_nmi);
}

/// A changed cost says what of it is more and what is less.
#[test]
fn ident_a_changed_cost_says_what_it_is_made_of() {
    let (_folder, desk) = aboard();
    desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let kept = desk.events_text().expect("read").expect("events");
    let rinse = "[[draw]]\nname = \"hold 9\"\nfrom = \"2025-11-24T02:00Z\"\nhours = 6\nt = 25\n";
    desk.save_events(&format!("{kept}\n{rinse}"), "ce", now()).expect("kept");
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let says = view.edited.clone().expect("told");
    let cost = says.split("; ").find(|part| part.starts_with("expected cost"));
    let cost = cost.unwrap_or_else(|| panic!("{says}"));
    assert!(cost.contains("(less: ") || cost.contains("(more: "), "{says}");
}
