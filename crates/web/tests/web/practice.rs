//! The page Practice: exercises, a run worked without script, live news, two readers, the debrief.

use std::future::poll_fn;
use std::pin::Pin;
use std::sync::Arc;
use std::time::Duration;

use axum::body::Body;
use axum::http::{Request, StatusCode};
use http_body::Body as _;
use tower::ServiceExt;
use web::guard::Arrived;
use web::{App, Listen};

use crate::help::{Answer, Bench, Browser, Counted, Still};

struct School {
    bench: Bench,
    _folder: tempfile::TempDir,
}

impl School {
    fn new() -> School {
        let folder = tempfile::tempdir().unwrap();
        let now = "2026-11-16T04:00:00Z".parse().unwrap();
        let desk = Arc::new(desk::Desk::open(folder.path(), now).unwrap());
        let (clock, entropy) = (Arc::new(Still::default()), Arc::new(Counted::default()));
        let app = App::new(desk, clock.clone(), entropy, &Listen::here(0)).unwrap();
        let bench = Bench { router: web::router(app), clock, taken: Arc::default() };
        School { bench, _folder: folder }
    }

    fn browser(&self) -> Browser {
        Browser::of(&self.bench)
    }
}

async fn post(browser: &mut Browser, to: &str, fields: &[(&str, &str)]) -> Answer {
    let token = browser.get("/practice").await.hidden("_token");
    browser.post(to, &[&[("_token", token.as_str())], fields].concat()).await
}

/// Begins a drill; its address.
async fn begun(browser: &mut Browser, drill: &str) -> String {
    let sent = post(browser, "/practice/begin", &[("drill", drill)]).await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.text);
    sent.location().to_owned()
}

async fn press(browser: &mut Browser, run: &str, what: &str) -> Answer {
    let id = run.rsplit('=').next().unwrap();
    post(browser, "/practice/do", &[("id", id), ("do", what)]).await
}

#[tokio::test]
async fn ident_a_run_is_worked_without_script() {
    let school = School::new();
    let mut browser = school.browser();
    let list = browser.get("/practice").await;
    assert_eq!(list.status, StatusCode::OK, "{}", list.text);
    assert!(list.text.matches("name=\"drill\"").count() >= 12);
    let run = begun(&mut browser, "tropics").await;
    let page = browser.get(&run).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text);
    assert!(page.text.contains("not the ship’s plant"), "{}", page.text);
    let ids: Vec<&str> =
        page.text.split(" id=\"").skip(1).filter_map(|t| t.split('"').next()).collect();
    for id in &ids {
        assert_eq!(ids.iter().filter(|other| other == &id).count(), 1, "{id} twice");
    }
    for valve in chart::VESSEL_HANDLES {
        assert!(page.text.contains(&format!("turn~{valve}~100")), "{valve}");
        assert!(page.text.contains(&format!("name=\"to~{valve}\"")), "{valve}");
    }
    for what in ["turn~overboard~100", "on~1", "mark", "pace~Ten times", "sample"] {
        let sent = press(&mut browser, &run, what).await;
        assert_eq!(sent.status, StatusCode::SEE_OTHER, "{what}: {}", sent.text);
    }
    let page = browser.get(&run).await.text;
    assert!(page.contains("overboard to 100 %"), "{page}");
    assert!(page.contains("Back to 0:01:00"), "{page}");
    assert!(page.contains("0:01:00"), "{page}");
    // What is typed in boxes is set by Enter; one that cannot be does not keep the other from being done.
    let id = run.rsplit('=').next().unwrap();
    let typed = [("id", id), ("do", "typed"), ("to~feed", "140"), ("to~air screw", "20")];
    let sent = post(&mut browser, "/practice/do", &typed).await;
    assert_eq!(sent.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(sent.text.contains("Feed: 140 % cannot be"), "{}", sent.text);
    assert!(sent.text.contains("air screw to 20 %"), "{}", sent.text);
    for (what, status) in [("dance", 400), ("turn~moon~1", 422), ("pace~Warp", 400)] {
        let sent = press(&mut browser, &run, what).await;
        assert_eq!(sent.status.as_u16(), status, "{what}: {}", sent.text);
    }
    press(&mut browser, &run, "switch~diverting valve~forced").await;
    let sent = press(&mut browser, &run, "end").await;
    assert_eq!(sent.location(), format!("/practice/debrief?id={id}"));
    let debrief = browser.get(sent.location()).await.text;
    assert!(debrief.contains("What it was:"), "{debrief}");
    let named = debrief.find("What went against the order").map(|from| &debrief[from..from + 400]);
    assert!(named.is_some_and(|named| named.contains("diverting valve forced")), "{debrief}");
    assert!(debrief.contains("overboard to 100 %"), "{debrief}");
    assert!(debrief.contains("Salt of the water to the tank"), "{debrief}");
    // Nothing of it stands in the record.
    assert!(!browser.get("/records").await.text.contains("overboard to"));
}

#[tokio::test]
async fn ident_no_run_no_page_and_no_stranger_may_act() {
    let school = School::new();
    let mut browser = school.browser();
    for path in ["/practice/run?id=7", "/practice/debrief?id=7", "/practice/live?id=7x"] {
        assert_eq!(browser.get(path).await.status, StatusCode::BAD_REQUEST, "{path}");
    }
    let run = begun(&mut browser, "tropics").await;
    let id = run.rsplit('=').next().unwrap().to_owned();
    let fields = [("_token", "0"), ("id", id.as_str()), ("do", "turn~overboard~100")];
    assert_eq!(browser.post("/practice/do", &fields).await.status, StatusCode::FORBIDDEN);
    let mut other = school.browser();
    let page = other.get(&run).await.text;
    assert!(page.contains("Another has the handles"), "{page}");
    let sent = press(&mut other, &run, "turn~overboard~100").await;
    assert_eq!(sent.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(sent.text.contains("take them over first"), "{}", sent.text);
    let secret = format!("/practice/troubles?id={id}");
    assert!(browser.get(&secret).await.text.contains("You have the handles"));
    let plant = [("id", id.as_str()), ("trouble", "air leak"), ("in_min", "5"), ("do", "begin")];
    let sent = post(&mut other, "/practice/plant", &plant).await;
    assert_eq!(sent.location(), secret);
    assert!(other.get(&secret).await.text.contains("Air leaks into the shell"));
    assert!(!browser.get(&secret).await.text.contains("is to come"));
    // Once, among all the causes that can be named.
    assert_eq!(browser.get(&run).await.text.matches("Air leaks").count(), 1);
    let debrief = browser.get(&format!("/practice/debrief?id={id}")).await.text;
    assert!(!debrief.contains("Air leaks"), "not before the end");
    let sent = post(&mut browser, "/practice/plant", &plant).await;
    assert_eq!(sent.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn ident_an_exercise_of_ones_own_is_checked_field_by_field() {
    let school = School::new();
    let mut browser = school.browser();
    let own = |sea: &'static str, seed: &'static str| {
        [
            ("own", "yes"),
            ("begin", "running"),
            ("sea_temp", sea),
            ("load", "80"),
            ("barometer", "1009"),
            ("trouble", "hidden"),
            ("seed", seed),
        ]
    };
    let sent = post(&mut browser, "/practice/begin", &own("55", "x")).await;
    assert_eq!(sent.status, StatusCode::UNPROCESSABLE_ENTITY);
    for told in [
        "“55” °C cannot be here: type -2 to 36 °C.",
        "“x” is not a whole number",
        "value=\"55\"",
        "value=\"1009\"",
    ] {
        assert!(sent.text.contains(told), "{told}: {}", sent.text);
    }
    let sent = post(&mut browser, "/practice/begin", &own("28,5", "12")).await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.text);
    let page = browser.get(sent.location()).await.text;
    assert!(page.contains("one hidden trouble") && page.contains("28.5 °C"), "{page}");
}

#[tokio::test]
async fn ident_news_come_as_they_happen_and_only_what_is_new() {
    let school = School::new();
    let mut browser = school.browser();
    let run = begun(&mut browser, "tropics").await;
    let id = run.rsplit('=').next().unwrap();
    press(&mut browser, &run, "pace~Sixty times").await;
    let jar: Vec<_> = browser.jar.iter().map(|(k, v)| format!("{k}={v}")).collect();
    let mut request = Request::get(format!("/practice/live?id={id}"))
        .header("host", &browser.host)
        .header("cookie", jar.join("; "))
        .body(Body::empty())
        .unwrap();
    let here = "127.0.0.1:8080".parse().unwrap();
    request.extensions_mut().insert(Arrived { here, peer: browser.peer });
    let answer = school.bench.router.clone().oneshot(request).await.unwrap();
    assert_eq!(answer.headers()["content-type"], "text/event-stream");
    let mut body = answer.into_body();
    let mut news = async || {
        let frame = poll_fn(|cx| Pin::new(&mut body).poll_frame(cx)).await.unwrap().unwrap();
        String::from_utf8(frame.into_data().unwrap().to_vec()).unwrap()
    };
    let first = news().await;
    assert!(first.starts_with("data: {") && first.ends_with("\n\n"), "{first}");
    assert!(first.contains("lever-15") && first.contains("\"hold\":false"), "{first}");
    school.bench.clock.pass(Duration::from_secs(1));
    let second = news().await;
    assert!(second.contains("\"clock\":\"0:01:00\""), "{second}");
    // Levers that nobody touched are not sent again.
    assert!(!second.contains("lever-15"), "{second}");
    assert!(second.len() < first.len() / 2, "{} of {}", second.len(), first.len());
}

/// Ended early is said so, and no points are told; where something is hidden it is asked before anything is told.
#[tokio::test]
async fn ident_the_debrief_asks_first_and_says_what_was_not_judged() {
    let school = School::new();
    let mut browser = school.browser();
    let run = begun(&mut browser, "tropics").await;
    press(&mut browser, &run, "on~10").await;
    let sent = press(&mut browser, &run, "end").await;
    let debrief = browser.get(sent.location()).await.text;
    assert!(debrief.contains("not judged to the end"), "{debrief}");
    assert!(!debrief.contains("of 100"), "{debrief}");

    let run = begun(&mut browser, "cell").await;
    let page = browser.get(&run).await.text;
    assert!(page.contains("What is the matter?") && page.contains("The salinity cell is fouled"));
    press(&mut browser, &run, "on~20").await;
    let id = run.rsplit('=').next().unwrap();
    let answer = [("id", id), ("do", "answer"), ("cause", "cell reading")];
    let sent = post(&mut browser, "/practice/do", &answer).await;
    assert_eq!(sent.location(), run);
    assert!(browser.get(&run).await.text.contains("You said at <b>0:20:00</b>"));
    for _ in 0..4 {
        press(&mut browser, &run, "on~10").await;
    }
    let address = format!("/practice/debrief?id={id}");
    let asked = browser.get(&address).await.text;
    assert!(asked.contains("what was the matter?") && !asked.contains("What it was:"), "{asked}");
    let stands = [("id", id), ("do", "answered~"), ("then", "debrief")];
    assert_eq!(post(&mut browser, "/practice/do", &stands).await.location(), address);
    let told = browser.get(&address).await.text;
    assert!(told.contains("What it was:") && told.contains("Named first and in time, at 0:20:00"));
    // What the table has first is what is said first.
    assert!(told.contains("most was lost on salinity alarm not tried"), "{told}");
}
