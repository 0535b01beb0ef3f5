//! What is told beside readings: the clocks are moved, a tank has another duty, the sheet is filled in.

use std::sync::Arc;

use axum::http::StatusCode;
use desk::Desk;
use web::{App, Listen};

use crate::help::{Answer, Bench, Browser, Counted, Still};

/// A folder nobody has told anything of, but for one tank.
fn aboard() -> (tempfile::TempDir, Arc<Desk>, Browser) {
    let now = "2026-11-16T04:00:00Z".parse().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let desk = Arc::new(Desk::open(folder.path(), now).unwrap());
    let tank = "[[tank]]\nkey = \"port\"\nname = \"Port\"\ncapacity_m3 = 100.0\nsoundings_cm_m3 = [[0.0, 0.0], [400.0, 100.0]]\n";
    let text = format!("{}\n{tank}", desk.setup().text);
    desk.save_ship(&text, "3e", now).unwrap();
    let (clock, entropy) = (Arc::new(Still::default()), Arc::new(Counted::default()));
    let app = App::new(desk.clone(), clock.clone(), entropy, &Listen::here(0)).unwrap();
    let browser = Browser::of(&Bench { router: web::router(app), clock, taken: Arc::default() });
    (folder, desk, browser)
}

async fn send(browser: &mut Browser, page: &str, to: &str, fields: &[(&str, &str)]) -> Answer {
    let page = browser.get(page).await;
    let marks = [("_token", page.hidden("_token")), ("_once", page.hidden("_once"))];
    let mut all: Vec<(&str, &str)> = marks.iter().map(|(k, v)| (*k, v.as_str())).collect();
    all.extend_from_slice(fields);
    browser.post(to, &all).await
}

#[tokio::test]
async fn ident_ships_time_is_set_on_the_page_and_heads_every_page() {
    let (_folder, desk, mut browser) = aboard();
    assert!(browser.get("/").await.text.contains("not set"));
    let typed = [("zone", "+10"), ("from", ""), ("order", "master"), ("by", "3o")];
    let moved = send(&mut browser, "/ship", "/ship/clocks", &typed).await;
    assert_eq!(
        (moved.status, moved.location()),
        (StatusCode::SEE_OTHER, "/ship?clocks#ships-time")
    );
    let page = browser.get("/ship?clocks").await;
    assert!(page.text.contains("+10:00") && page.text.contains("master"));
    assert!(!browser.get("/").await.text.contains("not set"));
    let entries = desk.entries(None, 1).unwrap();
    assert_eq!(entries[0].details.get("by").map(String::as_str), Some("master"));
    // The same again, nonsense and a blank order are said beside their fields, and nothing typed is lost.
    for (field, value, said) in
        [("zone", "+10", "already"), ("zone", "east", "+10:00"), ("order", " ", "by whose order")]
    {
        let mut wrong = [("zone", "+9:30"), ("from", ""), ("order", "bosun"), ("by", "3o")];
        wrong.iter_mut().filter(|(name, _)| *name == field).for_each(|pair| pair.1 = value);
        let refused = send(&mut browser, "/ship", "/ship/clocks", &wrong).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{field} {value}");
        assert!(refused.text.contains(said), "{field} {value}");
        assert!(field == "order" || refused.text.contains("bosun"));
    }
    assert_eq!(desk.entries(None, 1).unwrap()[0].seq, entries[0].seq);
    // A move written by mistake is taken back with a reason, and only once.
    let seq = entries[0].seq.to_string();
    let back = |why| [("seq", seq.as_str()), ("why", why), ("signed", "3o")];
    let refused = send(&mut browser, "/ship", "/ship/clocks/back", &back(" ")).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("write why the move is taken back"), "{}", refused.text);
    let taken = send(&mut browser, "/ship", "/ship/clocks/back", &back("wrong day")).await;
    assert_eq!(taken.status, StatusCode::SEE_OTHER, "{}", taken.text);
    assert!(desk.clock().unwrap().changes().is_empty());
    let again = send(&mut browser, "/ship", "/ship/clocks/back", &back("wrong day")).await;
    assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn ident_a_tank_changed_over_stands_in_the_record() {
    let (_folder, desk, mut browser) = aboard();
    let now = "2026-11-16T04:00:00Z".parse().unwrap();
    let sounding = logbook::Value::number("sounding_cm.port", "204", "cm", 2.04);
    desk.write(logbook::Draft::reading(now, logbook::Author::hand("3e"), vec![sounding]), now)
        .unwrap();
    // A sounding that was misread is corrected from where it is shown.
    let page = browser.get("/").await;
    let seq = desk.entries(None, 1).unwrap()[0].seq.to_string();
    let path = format!("/readings/correct?seq={seq}&amp;key=sounding_cm.port");
    assert!(page.text.contains(&path), "{path}");
    let right = [
        ("seq", seq.as_str()),
        ("key", "sounding_cm.port"),
        ("text", "2,14 m"),
        ("reason", "misread"),
        ("actor", "3e"),
    ];
    let from = path.replace("&amp;", "&");
    let corrected = send(&mut browser, &from, "/readings/correct", &right).await;
    assert_eq!(corrected.status, StatusCode::SEE_OTHER, "{}", corrected.text);
    assert!(browser.get("/").await.text.contains(">214<"));
    let typed = [("tank", "port"), ("duty", "filling"), ("by", "3e")];
    let written = send(&mut browser, "/", "/tanks/duty", &typed).await;
    assert_eq!(written.status, StatusCode::SEE_OTHER, "{}", written.text);
    assert!(browser.get("/").await.text.contains("filling"));
    assert_eq!(desk.entries(None, 1).unwrap()[0].details["duty"], "filling");
    for (tank, duty, by) in [("port", "filling", ""), ("aft", "filling", "3e"), ("port", "x", "3e")]
    {
        let typed = [("tank", tank), ("duty", duty), ("by", by)];
        let refused = send(&mut browser, "/", "/tanks/duty", &typed).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{tank} {duty} {by}");
    }
}

#[tokio::test]
async fn ident_an_unfilled_sheet_says_so_until_it_is_filled_in() {
    let (_folder, desk, mut browser) = aboard();
    for path in ["/", "/plant", "/readings", "/passage"] {
        assert!(browser.get(path).await.text.contains("still a typical plant’s"), "{path}");
    }
    let base = browser.get("/ship").await.hidden("base");
    let fields = [
        ("base", base.as_str()),
        ("actor", "3e"),
        ("do", "keep"),
        ("plant.rated_vapour_temp_c", "90 % vac"),
        ("plant.rated_jacket_flow_kg_s", "80 m³/h"),
    ];
    let kept = send(&mut browser, "/ship", "/ship", &fields).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text);
    let ship = desk.setup().ship.clone();
    assert_eq!(ship.unconfirmed.len(), desk::ship::HERS.len() - 2);
    assert_eq!(ship.positions.bypass[0][1], ship.sheet.rated_jacket_flow_kg_s);
    assert!(!desk.setup().text.contains("99999"), "no tail of digits");
    let base = browser.get("/ship").await.hidden("base");
    let fields = [("base", base.as_str()), ("actor", "3e"), ("do", "keep"), ("confirmed", "yes")];
    let kept = send(&mut browser, "/ship", "/ship", &fields).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text);
    assert!(desk.setup().ship.unconfirmed.is_empty());
    assert!(!browser.get("/").await.text.contains("still a typical plant’s"));
}
