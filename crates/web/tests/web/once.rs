//! A form sent twice is taken once.

use std::time::Duration;

use axum::http::StatusCode;

use crate::help::{Browser, open};

#[tokio::test]
async fn ident_a_repeat_gets_the_first_answer_and_writes_nothing() {
    let bench = open();
    let mut browser = Browser::of(&bench);
    let (token, once) = browser.marks().await;
    let fields = [("_token", token.as_str()), ("_once", &once), ("temp", "83.0")];
    for _ in 0..3 {
        let answer = browser.post("/readings", &fields).await;
        assert_eq!((answer.status, answer.location()), (StatusCode::SEE_OTHER, "/readings?taken"));
    }
    assert_eq!(bench.taken.lock().unwrap().len(), 1);
    let changed = [("_token", token.as_str()), ("_once", &once), ("temp", "84.0")];
    browser.post("/readings", &changed).await;
    let unmarked = [("_token", token.as_str()), ("temp", "84.0")];
    browser.post("/readings", &unmarked).await;
    browser.post("/readings", &unmarked).await;
    assert_eq!(*bench.taken.lock().unwrap(), ["83.0", "84.0", "84.0", "84.0"]);
}

#[tokio::test]
async fn ident_a_refused_form_may_be_sent_again_as_it_is() {
    let bench = open();
    let mut browser = Browser::of(&bench);
    let (token, once) = browser.marks().await;
    let fields = [("_token", token.as_str()), ("_once", &once), ("temp", "warm")];
    for _ in 0..2 {
        let answer = browser.post("/readings", &fields).await;
        assert_eq!(
            (answer.status, answer.text.as_str()),
            (StatusCode::UNPROCESSABLE_ENTITY, "refused")
        );
    }
}

/// The link is lost while the form is worked on; the repeat arrives before the work is done.
#[tokio::test(start_paused = true)]
async fn ident_work_goes_on_when_the_link_is_lost_and_the_repeat_waits_for_it() {
    let bench = open();
    let mut browser = Browser::of(&bench);
    let (token, once) = browser.marks().await;
    let fields = [("_token", token.as_str()), ("_once", &once), ("temp", "83.0")];
    let lost = tokio::time::timeout(Duration::from_secs(1), browser.post("/late", &fields)).await;
    assert!(lost.is_err());
    let answer = browser.post("/late", &fields).await;
    assert_eq!((answer.status, answer.location()), (StatusCode::SEE_OTHER, "/readings?late"));
    assert_eq!(bench.taken.lock().unwrap().len(), 1);
}
