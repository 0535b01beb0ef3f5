//! Pass-phrase, session, waiting times; nothing of the ship is told to a stranger.

use std::time::Duration;

use axum::http::StatusCode;
use web::{Listen, ListenError};

use crate::help::{Browser, Counted, PHRASE, bench, locked};

async fn sign_in(browser: &mut Browser, phrase: &str) -> crate::help::Answer {
    let token = browser.get("/sign-in?then=%2Freadings").await.hidden("_token");
    browser.post("/sign-in", &[("_token", &token), ("then", "/readings"), ("phrase", phrase)]).await
}

#[tokio::test]
async fn ident_a_stranger_sees_the_sign_in_page_only() {
    let bench = locked();
    let mut browser = Browser::at(&bench, "192.168.7.40");
    for path in ["/", "/readings", "/panic", "/nowhere", "/ship?x=1"] {
        let answer = browser.get(path).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{path}");
        assert!(answer.location().starts_with("/sign-in?then=%2F"), "{}", answer.location());
    }
    let page = browser.get("/sign-in?then=%2Fship%3Fx%3D1").await;
    assert_eq!(page.hidden("then"), "/ship?x=1");
    assert!(!page.text.contains("Marram") && !page.text.contains("Yokohama"));
    let elsewhere = browser.get("/sign-in?then=%2F%2Fattacker.example").await;
    assert_eq!(elsewhere.hidden("then"), "/");
    let (token, temp) = (page.hidden("_token"), ("temp", "83.0"));
    let refused = browser.post("/readings", &[("_token", &token), temp]).await;
    assert_eq!(refused.status, StatusCode::UNAUTHORIZED);
    assert!(!refused.text.contains("Marram"));
    assert!(bench.taken.lock().unwrap().is_empty());
}

#[tokio::test]
async fn ident_the_phrase_opens_and_signing_out_shuts() {
    let bench = locked();
    let mut browser = Browser::at(&bench, "192.168.7.40");
    let wrong = sign_in(&mut browser, "four dull brass valve").await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(wrong.text.contains("This is not the pass-phrase."));
    assert!(!wrong.text.contains("brass"), "what was tried is not written back");
    bench.clock.pass(Duration::from_secs(2));
    let right = sign_in(&mut browser, PHRASE).await;
    assert_eq!((right.status, right.location()), (StatusCode::SEE_OTHER, "/readings"));
    let cookie = right.header("set-cookie");
    assert!(cookie.starts_with("stillwatch-session="), "{cookie}");
    assert!(cookie.ends_with("; Path=/; HttpOnly; SameSite=Strict"), "{cookie}");
    let session = browser.jar["stillwatch-session"].clone();
    assert_eq!(session.len(), 64, "256 bits");
    let page = browser.get("/readings").await;
    assert!(page.text.contains("Marram") && page.text.contains("Sign out"));
    let token = page.hidden("_token");
    assert_eq!(browser.post("/sign-out", &[("_token", &token)]).await.location(), "/sign-in");
    browser.jar.insert("stillwatch-session".into(), session);
    assert_eq!(browser.get("/").await.status, StatusCode::SEE_OTHER, "ended, not only forgotten");
}

/// The token of the sign-in page is not the one of the session: a form drawn before is stale after.
#[tokio::test]
async fn ident_the_token_changes_with_the_session() {
    let bench = locked();
    let mut browser = Browser::at(&bench, "192.168.7.40");
    let before = browser.get("/sign-in").await.hidden("_token");
    sign_in(&mut browser, PHRASE).await;
    let fields = [("_token", before.as_str()), ("temp", "83.0")];
    assert_eq!(browser.post("/readings", &fields).await.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn ident_a_session_ends_after_twelve_idle_hours() {
    let bench = locked();
    let mut browser = Browser::at(&bench, "192.168.7.40");
    sign_in(&mut browser, PHRASE).await;
    bench.clock.pass(Duration::from_secs(12 * 3600 - 1));
    assert_eq!(browser.get("/").await.status, StatusCode::OK);
    bench.clock.pass(Duration::from_secs(12 * 3600));
    assert_eq!(browser.get("/").await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn ident_wrong_tries_wait_and_other_addresses_do_not() {
    let bench = locked();
    let mut browser = Browser::at(&bench, "192.168.7.40");
    for wait in [1, 2, 4, 8] {
        assert_eq!(sign_in(&mut browser, "a wrong pass-phrase").await.status, 422);
        let early = sign_in(&mut browser, PHRASE).await;
        assert_eq!(early.status, StatusCode::TOO_MANY_REQUESTS, "even the right one waits");
        assert_eq!(early.header("retry-after"), wait.to_string());
        assert!(early.text.contains(&format!("Wait {wait} s")));
        bench.clock.pass(Duration::from_secs(wait));
    }
    let mut chief = Browser::at(&bench, "192.168.7.41");
    assert_eq!(sign_in(&mut chief, PHRASE).await.status, StatusCode::SEE_OTHER);
    assert_eq!(sign_in(&mut browser, PHRASE).await.status, StatusCode::SEE_OTHER);
}

/// Many tries at once from one address: one is checked, the others wait.
#[tokio::test]
async fn ident_tries_sent_together_do_not_slip_past_the_wait() {
    let bench = locked();
    let mut first = Browser::at(&bench, "192.168.7.40");
    let token = first.get("/sign-in").await.hidden("_token");
    let mut tries = tokio::task::JoinSet::new();
    for _ in 0..20 {
        let mut browser = Browser::at(&bench, "192.168.7.40");
        browser.jar = first.jar.clone();
        let token = token.clone();
        tries.spawn(async move {
            let fields = [("_token", token.as_str()), ("phrase", "a wrong pass-phrase")];
            browser.post("/sign-in", &fields).await.status
        });
    }
    let answers = tries.join_all().await;
    assert_eq!(answers.iter().filter(|status| **status == 422).count(), 1);
    assert_eq!(answers.iter().filter(|status| **status == 429).count(), 19);
}

#[test]
fn ident_the_network_needs_a_phrase_and_hears_a_warning() {
    let entropy = Counted::default();
    let at =
        |address: &str, phrase| Listen::at(address.parse().unwrap(), Vec::new(), phrase, &entropy);
    for network in ["0.0.0.0:80", "192.168.1.2:80", "[::]:80", "[::ffff:10.0.0.1]:80"] {
        let refused = at(network, None).unwrap_err();
        assert!(matches!(refused, ListenError::NoPhrase { .. }));
        let words = refused.to_string();
        assert!(words.contains("pass-phrase of at least 12 characters or four words"), "{words}");
        assert!(matches!(at(network, Some("short")).unwrap_err(), ListenError::Phrase(_)));
        let listen = at(network, Some(PHRASE)).unwrap();
        assert!(listen.warnings()[0].contains("NOT encrypted"));
        assert!(!format!("{listen:?}").contains("brass"));
    }
    for here in ["127.0.0.1:80", "127.3.2.1:80", "[::1]:80", "[::ffff:127.0.0.1]:80"] {
        assert!(at(here, None).unwrap().warnings().is_empty(), "{here}");
    }
}

/// A pass-phrase given on loopback is asked for there too.
#[tokio::test]
async fn ident_a_phrase_on_this_computer_is_asked_for() {
    let entropy = Counted::default();
    let address = "127.0.0.1:0".parse().unwrap();
    let listen = Listen::at(address, Vec::new(), Some(PHRASE), &entropy).unwrap();
    let mut browser = Browser::of(&bench(&listen, 0));
    assert_eq!(browser.get("/").await.status, StatusCode::SEE_OTHER);
}
