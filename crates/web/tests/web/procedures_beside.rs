//! The page Procedures: lists beside each other, and a list begun as Records tell it.

use axum::http::StatusCode;

use crate::help::{Answer, Browser};
use crate::pages::Aboard;

async fn begin(browser: &mut Browser, key: &str, more: &[(&str, &str)]) -> Answer {
    let page = browser.get(&format!("/procedures/list?key={key}")).await;
    let (token, once) = (page.hidden("_token"), page.hidden("_once"));
    let own = [("_token", token.as_str()), ("_once", once.as_str()), ("key", key), ("at", "")];
    browser.post("/procedures/begin", &[&own, more].concat()).await
}

#[tokio::test]
async fn ident_a_list_asks_what_becomes_of_one_that_it_excludes_before_it_is_begun() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let by = ("by", "2e");
    let start = begin(&mut browser, "start", &[by]).await;
    assert_eq!(start.status, StatusCode::SEE_OTHER, "{}", start.text);
    let start = start.location().trim_end_matches("&begun").to_owned();
    let list = browser.get("/procedures/list?key=leak-test").await.text;
    let question = "abandon it there, or go on with both?";
    assert!(
        list.contains("Start the plant is under way since") && list.contains(question),
        "{list}"
    );
    assert!(list.contains("Abandon Start the plant, and begin"), "{list}");
    let asked = begin(&mut browser, "leak-test", &[by]).await;
    assert_eq!(asked.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(asked.text.contains(question), "{}", asked.text);
    let begun = begin(&mut browser, "leak-test", &[by, ("meanwhile", "give-up")]).await;
    assert_eq!(begun.status, StatusCode::SEE_OTHER, "{}", begun.text);
    let over = browser.get(&start).await.text;
    assert!(over.contains("was given up") && over.contains("begun"), "{over}");
    // A stop asks nothing, and offers to abandon what it stops.
    let start = begin(&mut browser, "start", &[by, ("meanwhile", "both")]).await;
    assert_eq!(start.status, StatusCode::SEE_OTHER, "{}", start.text);
    assert!(!browser.get("/procedures/list?key=stop").await.text.contains(question));
    let stop = begin(&mut browser, "stop", &[("by", "")]).await;
    let stop = browser.get(stop.location().trim_end_matches("&begun")).await.text;
    assert!(stop.contains("Abandon: Start the plant") && stop.contains("(step 1)"), "{stop}");
    // Signed with initials and a reason, as the start’s own page asks for; nothing of it is filled in beforehand.
    assert!(stop.contains("name=\"give_by~") && stop.contains("name=\"give_reason~"), "{stop}");
    assert!(!stop.contains("name=\"give_by\" value=\"2e\""), "{stop}");
    // On the list of the start neither answer is the first.
    let list = browser.get("/procedures/list?key=start").await.text;
    assert!(!list.contains("class=\"first big\" name=\"meanwhile\""), "{list}");
}

#[tokio::test]
async fn ident_records_tell_a_list_that_was_begun_as_a_list_and_no_change_of_settings() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let begun = begin(&mut browser, "blackout", &[("by", "")]).await;
    assert_eq!(begun.status, StatusCode::SEE_OTHER, "{}", begun.text);
    let records = browser.get("/records").await.text;
    assert!(records.contains("Text of a list, kept with its run"), "{records}");
    assert!(!records.contains("new: #"), "{records}");
}

#[tokio::test]
async fn ident_a_run_given_up_from_another_shows_its_way_out_there_and_now_both_lists() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let by = ("by", "2e");
    let alarm = begin(&mut browser, "salinity-alarm", &[by]).await;
    let alarm = alarm.location().trim_end_matches("&begun").to_owned();
    let stop = begin(&mut browser, "stop", &[by]).await;
    let stop = stop.location().trim_end_matches("&begun").to_owned();
    let now = browser.get("/").await.text;
    assert!(now.contains("step 1 of 8 (heat off)") && now.contains("nothing ticked yet"), "{now}");
    assert!(now.contains("Water in doubt goes overboard:"), "{now}");
    let start = begin(&mut browser, "start", &[by, ("meanwhile", "both")]).await;
    let start = start.location().trim_end_matches("&begun").to_owned();
    let page = browser.get(&start).await;
    let (token, once) = (page.hidden("_token"), page.hidden("_once"));
    let run = start.rsplit('=').next().expect("a number").to_owned();
    let send = |more: &[(&'static str, &'static str)]| -> Vec<(&str, &str)> {
        let own = [("_token", token.as_str()), ("_once", once.as_str()), ("run", run.as_str())];
        own.into_iter().chain(more.iter().copied()).collect()
    };
    let chief = [
        ("step", "permission"),
        ("do", "override"),
        ("who", "chief"),
        ("chief", "ce"),
        ("reason", "trial"),
        ("looked", "yes"),
        ("by", "2e"),
    ];
    let ticked = browser.post("/procedures/step", &send(&chief)).await;
    assert_eq!(ticked.status, StatusCode::SEE_OTHER, "{}", ticked.text);
    let page = browser.get(&stop).await;
    let (token, once) = (page.hidden("_token"), page.hidden("_once"));
    let back = stop.rsplit('=').next().expect("a number");
    let (why, who) = (format!("give_reason~{run}"), format!("give_by~{run}"));
    let up = browser
        .post(
            "/procedures/give-up",
            &[
                ("_token", token.as_str()),
                ("_once", once.as_str()),
                ("run", run.as_str()),
                ("back", back),
                (why.as_str(), "bridge"),
                (who.as_str(), "2e"),
            ],
        )
        .await;
    assert_eq!(up.status, StatusCode::SEE_OTHER, "{}", up.text);
    let told = browser.get(up.location()).await.text;
    assert!(told.contains("is given up after 1 of 16 steps"), "{told}");
    assert!(
        told.contains("Its way out from there: </b>Nothing has been opened: leave it."),
        "{told}"
    );
    assert!(browser.get(&alarm).await.text.contains("Step "), "the alarm goes on");
}
