//! The passage: a route as typed, refused with what was typed, kept and planned.

use axum::body::Body;
use axum::http::header::CONTENT_TYPE;
use axum::http::{Request, StatusCode};

use crate::help::{Answer, Browser, between};
use crate::pages::Aboard;

async fn keep(browser: &mut Browser, what: &str, text: &str, actor: &str) -> Answer {
    let page = browser.get("/passage").await;
    let (token, once) = (page.hidden("_token"), page.hidden("_once"));
    let by = format!("{what}_actor");
    let fields =
        [("_token", token.as_str()), ("_once", once.as_str()), (what, text), (by.as_str(), actor)];
    browser.post(&format!("/passage/{what}"), &fields).await
}

#[tokio::test]
async fn ident_a_route_is_refused_as_typed_then_kept_and_planned() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let none = browser.get("/passage").await;
    assert!(none.text.contains("No route has been given yet"), "{}", none.text);
    let route = "departure: 2026-11-16T02:00Z\n12 00.0 S 045 10.0 E, \"Roads\"\n10 00.0 S 050 00.0 E, 12 kn, full away\n08 00.0 S 060 00.0 E, \"There\", 12 kn\n";
    for (text, actor, says) in [
        (route, "", "write one to twelve letters"),
        ("somewhere nice\n", "2o", "Not kept:"),
        ("12 00.0 S 045 10.0 E, \"Roads\"\n", "2o", "Not kept:"),
    ] {
        let page = keep(&mut browser, "route", text, actor).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{text}");
        assert!(page.text.contains(says), "{says}: {}", page.text);
        let top = between(&page.text, "<main", "Will the water last");
        assert!(top.contains("The route: not kept."), "{top}");
        assert_eq!(top.contains("Initials: nothing written"), actor.is_empty(), "{top}");
        let first = text.lines().next().unwrap().replace('"', "&quot;");
        assert!(page.text.contains(&first), "what was typed stands: {}", page.text);
    }
    assert_eq!(aboard.desk.head().unwrap().0, 0, "nothing was written");
    assert_eq!(keep(&mut browser, "route", route, "2o").await.location(), "/passage");
    let events = keep(&mut browser, "events", "[[ceiling]]\nfrom = \"soon\"\nt = 3\n", "ce").await;
    assert!(events.text.contains("is no time; write UTC"), "{}", events.text);
    let page = browser.get("/passage").await;
    assert_eq!(page.status, StatusCode::OK);
    for says in [
        "You reach There with",
        "Where it may be made",
        "The passage on one clock",
        "Not for navigation",
    ] {
        assert!(page.text.contains(says), "{says}: {}", page.text);
    }
    // Without a tank there is no water, whatever the reserve.
    assert!(
        page.text.contains("No tank is known.") && !page.text.contains("It lasts"),
        "{}",
        page.text
    );
    assert!(page.text.len() < 200_000, "{} bytes", page.text.len());
    let file = browser.get("/passage/route.rtz").await;
    assert!(file.text.contains("<route ") && file.text.contains("Roads"), "{}", file.text);
    let now = browser.get("/").await.text;
    assert!(now.contains("The water ahead") && now.contains("There"), "{now}");
    let records = browser.get("/records").await.text;
    assert!(records.contains("route.txt"), "{records}");
}

/// The same bad input on the page: refused with every fault once, as typed, and a file read into the form as far as it goes.
#[tokio::test]
async fn ident_bad_input_is_told_once_by_place_value_range_and_remedy() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let at = "departure: 2026-11-16T02:00Z\n20 S 160 E, A\n";
    let cases: [(&str, &[&str]); 5] = [
        (
            "15 S 160 E, ETA 2026-11-20 00:00Z\n10 S 160 E, ETA 2026-11-18 00:00Z\n5 S 160 E, ETA 2026-11-17 00:00Z\n",
            &[
                "waypoint 3: ETA 2026-11-18",
                "waypoint 4: ETA 2026-11-17",
                "when she leaves the waypoints before; correct the ETA, shorten a stay before it, or put the waypoints in the order she comes to them</p></div>",
            ],
        ),
        ("20 S 160 E, 12 kn\n10 S 160 E\n", &["same place", "leave one of them out"]),
        ("10 S 160 E, ETA 2026-11-15 00:00Z\n", &["she sails on 2026-11-16", "correct the ETA"]),
        ("10 S 160 O, 12 kn\n", &["line 3: position", "Ost (east)", "slip for 0"]),
        (
            "91 S 160 E, 12 kn\nParis\n5 S 160 E, 99 kn\n",
            &["line 3", "latitude -91", "line 4", "line 5: speed 99 kn"],
        ),
    ];
    for (text, wanted) in cases {
        let page = keep(&mut browser, "route", &format!("{at}{text}"), "2o").await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{text}");
        let faults = page.text.split_once("id=\"route-word\"").expect("faults").1;
        for part in wanted {
            let part = part.replace('"', "&quot;");
            assert_eq!(faults.matches(&part).count(), 1, "{part}: {faults}");
        }
    }
    let events = "[[area]]\nname = \"bow\"\ncorners = [\"0 N 50 E\", \"10 N 60 E\", \"10 N 50 E\", \"0 N 60 E\"]\n[[draw]]\nname = \"x\"\nfrom = \"soon\"\nhours = -1\nt = 3\n";
    let page = keep(&mut browser, "events", events, "ce").await.text;
    for part in ["side 1 crosses side 3", "is no time; write UTC", "hours -1, allowed 0.1 to 240 h"]
    {
        assert!(page.contains(part), "{part}: {page}");
    }
    assert_eq!(aboard.desk.head().unwrap().0, 0, "nothing was written");
}

/// A refusal stands where the reader looks first, with the way to what was typed; the last plan stays.
#[tokio::test]
async fn ident_what_is_refused_is_told_at_the_top_of_the_page() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let page = keep(&mut browser, "route", "somewhere nice\nnowhere else\n", "2o").await.text;
    let (top, form) = page.split_once("Will the water last").expect("the question");
    assert!(top.contains("The route: not kept.") && top.contains("href=\"#route\""), "{top}");
    assert!(form.contains("id=\"route\"") && form.contains("Not kept:"), "{form}");
}

/// Events of the voyage before are told as such beside a new route's plan, and dropped in one press.
#[tokio::test]
async fn ident_events_of_another_voyage_are_told_and_dropped() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let route = "departure: 2026-11-16T02:00Z\n12 00.0 S 045 10.0 E\n10 00.0 S 050 00.0 E, 12 kn, full away\n08 00.0 S 060 00.0 E, \"There\", 12 kn\n";
    let old = "[[ceiling]]\nfrom = \"2026-08-01T00:00Z\"\nt = 240\n";
    let new = "[[draw]]\nname = \"hold 1\"\nfrom = \"2026-11-18T00:00Z\"\nhours = 6\nt = 3\n";
    keep(&mut browser, "route", route, "2o").await;
    keep(&mut browser, "events", &format!("{old}{new}"), "ce").await;
    let page = browser.get("/passage").await;
    let says = "at most 240 t aboard from 1 Aug 2026, which still holds";
    assert!(page.text.contains("Of another voyage?") && page.text.contains(says), "{}", page.text);
    let (token, once) = (page.hidden("_token"), page.hidden("_once"));
    let fields = [
        ("_token", token.as_str()),
        ("_once", once.as_str()),
        ("events", &format!("{old}{new}")),
        ("events_actor", "ce"),
        ("outside", "drop"),
    ];
    assert_eq!(browser.post("/passage/events", &fields).await.location(), "/passage");
    assert_eq!(aboard.desk.events_text().unwrap().as_deref(), Some(new));
    assert!(!browser.get("/passage").await.text.contains("Of another voyage?"));
}

/// The speed of one leg and the length of one stop, by a form without script: refused as typed, kept as events, replanned.
#[tokio::test]
async fn ident_a_leg_is_changed_by_a_form_and_the_route_is_left_alone() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let route = "departure: 2026-11-16T02:00Z\n12 00.0 S 045 10.0 E, \"Roads\"\n10 00.0 S 050 00.0 E, 12 kn, full away\n08 00.0 S 060 00.0 E, \"There\", 12 kn, anchor 12 h\n";
    keep(&mut browser, "route", route, "2o").await;
    let page = browser.get("/passage?leg=3").await;
    let form = page.text.split_once("Another speed, sea or stop").expect("the form").1;
    assert!(form.contains("3: There") && form.contains("<option value=\"3\" selected"), "{form}");
    let (token, once) = (page.hidden("_token"), page.hidden("_once"));
    let send = |kn: &'static str, sea: &'static str, stop: &'static str, by: &'static str| {
        [
            ("_token", token.clone()),
            ("_once", once.clone()),
            ("leg", "3".to_owned()),
            ("leg_kn", kn.to_owned()),
            ("leg_sea_c", sea.to_owned()),
            ("leg_stop_h", stop.to_owned()),
            ("leg_actor", by.to_owned()),
        ]
    };
    for (fields, says) in [
        (send("fast", "", "", "2o"), "not taken:"),
        (send("9", "", "", ""), "write one to twelve letters"),
        (send("30", "", "", "2o"), "engine load by the third power"),
    ] {
        let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (*n, v.as_str())).collect();
        let page = browser.post("/passage/leg", &fields).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{says}");
        assert!(page.text.contains(says), "{says}: {}", page.text);
    }
    assert_eq!(aboard.desk.events_text().unwrap(), None, "nothing was kept");
    let fields = send("9,5", "30,5", "36", "2o");
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (*n, v.as_str())).collect();
    assert_eq!(browser.post("/passage/leg", &fields).await.location(), "/passage");
    assert_eq!(aboard.desk.route_text().unwrap().as_deref(), Some(route));
    let events = aboard.desk.events_text().unwrap().unwrap();
    for says in ["to = 3", "kn = 9.5", "sea_temp_c = 30.5", "hours = 36"] {
        assert!(events.contains(says), "{says}: {events}");
    }
    let page = browser.get("/passage").await.text;
    for told in ["<b>9.5</b>", "<b>30.5</b>", "<b>36</b>"] {
        assert!(page.contains(told), "{told}");
    }
    let records = browser.get("/records").await.text;
    assert!(records.contains("events.toml"), "{records}");
    // Boxes that were filled for leg 3 and not touched are not meant for leg 2.
    let drawn = browser.get("/passage?leg=3").await;
    let was: Vec<(&str, String)> = ["leg_kn", "leg_sea_c", "leg_stop_h"]
        .map(|name| (name, drawn.hidden(&format!("{name}_drawn"))))
        .to_vec();
    assert_eq!(was[0].1, "9.5");
    let mut fields = vec![
        ("_token", drawn.hidden("_token")),
        ("_once", drawn.hidden("_once")),
        ("leg", "2".to_owned()),
        ("leg_drawn", "3".to_owned()),
        ("leg_actor", "2o".to_owned()),
        ("leg_kn_drawn", was[0].1.clone()),
        ("leg_sea_c_drawn", was[1].1.clone()),
        ("leg_stop_h_drawn", was[2].1.clone()),
    ];
    fields.extend(was);
    if let Some(kn) = fields.iter_mut().find(|(name, _)| *name == "leg_kn") {
        kn.1 = "11".to_owned();
    }
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (*n, v.as_str())).collect();
    browser.post("/passage/leg", &fields).await;
    let events = aboard.desk.events_text().unwrap().unwrap();
    assert!(events.contains("to = 2") && events.contains("kn = 11"), "{events}");
    assert_eq!(events.matches("sea_temp_c").count(), 1, "the sea of leg 3 stays leg 3's: {events}");
}

/// A leg over land is told with the answer, its waypoints and its position.
#[tokio::test]
async fn ident_a_leg_over_land_is_told_with_the_answer() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let route = "departure: 2026-11-16T02:00Z\n57 00.0 N 006 00.0 E, \"Out\"\n56 36.0 N 006 54.0 E, 12 kn, full away\n56 36.0 N 011 18.0 E, 12 kn\n57 30.0 N 011 00.0 E, \"In\"\n";
    keep(&mut browser, "route", route, "2o").await;
    let page = browser.get("/passage").await.text;
    let answer = page.split_once("Where it may be made").expect("the map").0;
    let says = "From waypoint 2 to waypoint 3 the track runs over land, at 56°36.0&#39;N 008°";
    let says = [says.to_owned(), says.replace("&#39;", "'")];
    assert!(
        answer.contains("The track crosses land")
            && answer.contains("A leg over land.")
            && says.iter().any(|s| answer.contains(s)),
        "{answer}"
    );
}

/// A route file that was read into the form is looked at, not refused; what is noted of it stands at the field. One with a
/// waypoint that cannot be read is refused: nothing is planned over a hole.
/// A waypoint in the middle of a continent, though it lies astern: the page does not say first that it lasts.
#[tokio::test]
async fn ident_a_waypoint_on_land_is_told_before_anything_else() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let route = "departure: 2026-11-12T02:00Z\n36 50 N 003 10 E, \"Roads\", 12 kn, full away\n28 00 N 003 00 E, 12 kn\n37 10 N 005 10 E, 12 kn\n37 30 N 011 00 E, 12 kn\n";
    assert_eq!(keep(&mut browser, "route", route, "2o").await.location(), "/passage");
    let page = browser.get("/passage").await.text;
    let answer = between(&page, "Will the water last", "Where it may be made");
    // Nor is a place at the other end of the route called by the only name on it.
    assert!(!answer.contains("Roads"), "{answer}");
    let first = answer.find("The route leads over land: mend it before you go by this.").unwrap();
    let which = answer.find("Waypoint 2: its position 28°00.0'N 003°00.0'E lies on land").unwrap();
    assert!(answer.find("Eight times in ten").is_some_and(|at| first < which && which < at));
}

/// What was assumed, what an ETA asks of the engine and a draw that falls into port are told with the answer.
#[tokio::test]
async fn ident_what_is_odd_in_a_route_is_told_with_the_plan() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let route = "36 30 N 010 50 E, \"Roads\", full away, ETD 2026-11-15 22:00\n36 40 N 014 00 E, 13 kn\n35 00 N 020 00 E, ETA 2026-11-16 20:00Z, end of passage\n34 30 N 021 00 E, 10 kn, anchor 48 h\n34 00 N 022 00 E, 10 kn\n";
    assert_eq!(keep(&mut browser, "route", route, "2o").await.location(), "/passage");
    let events =
        "[[draw]]\nname = \"hold 1, last rinse\"\nfrom = \"2026-11-17T12:00Z\"\nhours = 6\nt = 3\n";
    assert_eq!(keep(&mut browser, "events", events, "2o").await.location(), "/passage");
    let page = browser.get("/passage").await.text;
    for says in [
        "without a zone it is taken as UTC",
        "Waypoint 3: its ETA asks for",
        "the fastest speed written on this route is 13.0",
        "Dated while she is not on sea passage:",
        "hold 1, last rinse",
    ] {
        assert!(page.contains(says), "{says}: {page}");
    }
}

#[tokio::test]
async fn ident_a_route_file_is_looked_at_and_not_yet_kept() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let page = browser.get("/passage").await;
    let token = between(&page.text, "/passage/file?_token=", "\"").to_owned();
    let route = "departure: 2026-11-16T02:00Z\n12 00.0 S 045 10.0 E\n10 00.0 S 050 00.0 E, 12 kn\n08 00.0 S 060 00.0 E, \"There\", 12 kn\n";
    let holed = route.replace("10 00.0 S", "95 00.0 S");
    for (route, is_whole) in [(route, true), (&*holed, false)] {
        let body = format!(
            "--b\r\ncontent-disposition: form-data; name=\"file\"; filename=\"r.txt\"\r\ncontent-type: text/plain\r\n\r\n{route}\r\n--b--\r\n"
        );
        let request = Request::post(format!("/passage/file?_token={token}"))
            .header(CONTENT_TYPE, "multipart/form-data; boundary=b")
            .header("origin", format!("http://{}", browser.host))
            .body(Body::from(body))
            .unwrap();
        let sent = browser.send(request).await.text;
        assert!(sent.contains("looked at, not yet kept."), "{sent}");
        assert_eq!(sent.contains("Worth a look:"), is_whole, "{sent}");
        assert_eq!(sent.contains("To be mended:"), !is_whole, "{sent}");
        assert_eq!(sent.contains("-8 60, There"), is_whole, "{sent}");
        // What could be read of it stands in the form, and so does what is to be mended.
        assert_eq!(sent.contains("95 00.0 S 050 00.0 E, 12 kn"), !is_whole, "{sent}");
        assert_eq!(aboard.desk.route_text().unwrap(), None);
    }
}
