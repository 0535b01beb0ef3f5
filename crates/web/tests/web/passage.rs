//! The passage: a route as typed, refused with what was typed, kept and planned.

use axum::http::StatusCode;

use crate::help::{Answer, Browser};
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
