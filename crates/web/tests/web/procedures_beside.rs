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

#[tokio::test]
async fn ident_an_open_emergency_is_named_on_every_page_but_its_own_and_shuts_the_way_to_a_tank() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let change = begin(&mut browser, "change-tank", &[("by", "2e")]).await;
    let change = change.location().trim_end_matches("&begun").to_owned();
    let alarm = begin(&mut browser, "salinity-alarm", &[("by", "3e")]).await;
    let alarm = alarm.location().trim_end_matches("&begun").to_owned();
    let named = "Open emergency.";
    for page in ["/procedures", "/procedures/list?key=start", "/procedures/text?key=round", &change]
    {
        let page = browser.get(page).await.text;
        let said = page.split_once(named).expect("named").1;
        let said = said.split_once("To it").expect("with a link").0;
        assert!(said.contains("Salinity alarm") && said.contains("next is step 1 of 5: Heat back"));
        assert!(said.contains(&format!("href=\"{alarm}\"")), "{said}");
    }
    assert!(!browser.get(&alarm).await.text.contains(named));
    let step = async |browser: &mut Browser, step: &str, more: &[(&str, &str)]| {
        let page = browser.get(&change).await;
        let (token, once) = (page.hidden("_token"), page.hidden("_once"));
        let id = change.rsplit('=').next().unwrap_or_default();
        let own = [("_token", token.as_str()), ("_once", once.as_str()), ("run", id)];
        let doing = [("step", step), ("by", "2e"), ("at", ""), ("do", "tick"), ("looked", "yes")];
        browser.post("/procedures/step", &[&own[..], &doing[..], more].concat()).await
    };
    step(&mut browser, "sound", &[]).await;
    let held = step(&mut browser, "open-new", &[]).await;
    assert_eq!(held.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(held.text.contains("and shut the way to a tank: its way back is step 5"));
    assert!(held.text.contains(&format!("<a href=\"{alarm}\">To Salinity alarm</a>")));
    assert!(held.text.contains("This one is for the chief engineer"), "{}", held.text);
}

#[tokio::test]
async fn ident_a_step_of_her_own_is_the_chiefs_beside_the_cautions_of_its_list_and_says_so_after() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let view = aboard.desk.procedure("acid-clean", jiff::Timestamp::UNIX_EPOCH).expect("it");
    let step = "[[step]]\nkey = \"more\"\ndo = \"Add 50 kg of hydrochloric acid.\"\nwhy = \"So.\"\ntakes_min = [1, 2]\n";
    let text = format!("{}\n{step}", view.text);
    let keep = async |browser: &mut Browser, more: &[(&str, &str)]| {
        let page = browser.get("/procedures/text?key=acid-clean").await;
        let (token, once) = (page.hidden("_token"), page.hidden("_once"));
        let marks = [("_token", token.as_str()), ("_once", once.as_str()), ("key", "acid-clean")];
        let own = [("base", view.version.as_str()), ("text", text.as_str()), ("by", "3e")];
        browser.post("/procedures/text", &[&marks[..], &own[..], more].concat()).await
    };
    let asked = keep(&mut browser, &[]).await;
    assert_eq!(asked.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(asked.text.contains("is new: “Add 50 kg of hydrochloric acid.”"), "{}", asked.text);
    // What the list warns of stands beside the new text.
    let cautions = asked.text.split_once("The cautions of this list stand").expect("them").1;
    assert!(cautions.contains("No hydrochloric acid on stainless steel"), "{cautions}");
    let word = [("chief", "ce"), ("why", "company order")];
    let kept = keep(&mut browser, &word).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text);
    let list = browser.get("/procedures/list?key=acid-clean").await.text;
    assert!(
        list.contains("Her own step: by 3e, ")
            && list.contains("by the word of ce, “company order”")
    );
    assert!(
        list.contains("Otherwise than the usual text:") && !list.contains("Weaker than"),
        "{list}"
    );
}

#[tokio::test]
async fn ident_a_reading_at_a_step_is_not_taken_for_a_reason_chosen_below_its_box() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let stop = begin(&mut browser, "stop", &[("by", "3e")]).await;
    let stop = stop.location().trim_end_matches("&begun").to_owned();
    let send = async |browser: &mut Browser, more: &[(&str, &str)]| {
        let page = browser.get(&stop).await;
        let (token, once) = (page.hidden("_token"), page.hidden("_once"));
        let id = stop.rsplit('=').next().unwrap_or_default();
        let own = [("_token", token.as_str()), ("_once", once.as_str()), ("run", id)];
        let doing =
            [("step", "heat-off"), ("by", "3e"), ("at", ""), ("do", "tick"), ("looked", "yes")];
        browser.post("/procedures/step", &[&own[..], &doing[..], more].concat()).await
    };
    let page = browser.get(&stop).await.text;
    assert!(page.contains("name=\"x~engine_jacket_out_c\""), "{page}");
    let asked = send(&mut browser, &[("r~engine_jacket_out_c", "n/a")]).await;
    assert_eq!(asked.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(asked.text.contains("say why it was not taken"), "{}", asked.text);
    assert!(asked.text.contains("name=\"x~engine_jacket_out_c\""), "the choice is there");
    let why = [("r~engine_jacket_out_c", "n/a"), ("x~engine_jacket_out_c", "instrument broken")];
    let sent = send(&mut browser, &why).await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.text);
    let page = browser.get(&stop).await.text;
    assert!(page.contains("Engine jacket outlet <b>not taken</b>"), "{page}");
    assert!(page.contains("instrument broken"), "{page}");
}

#[tokio::test]
async fn ident_a_start_ticked_to_its_end_behind_a_stop_is_not_said_to_be_done() {
    use desk::procedures::{Doing, Meanwhile, More, What};
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let stop = begin(&mut browser, "stop", &[("by", "3e")]).await;
    let stop: u64 = stop
        .location()
        .trim_end_matches("&begun")
        .rsplit('=')
        .next()
        .unwrap_or_default()
        .parse()
        .expect("a number");
    let began = aboard.desk.run_view(stop, jiff::Timestamp::MAX).expect("it").line.began;
    let later =
        |min: i64| began.checked_add(jiff::SignedDuration::from_mins(min)).expect("a moment");
    let start = aboard
        .desk
        .begin_run_beside("start", "2e", Some(began), Meanwhile::GoOn, began)
        .expect("begun");
    let act = |run: u64, step: &str, min: i64, what: What<'_>| {
        let (at, more) = (Some(later(min)), More::default());
        aboard.desk.do_step(
            &Doing { run, step, by: "2e", at, readings: &[], what, more, token: "" },
            later(min),
        )
    };
    let over = What::Override { who: "chief", chief: "ce", reason: "trial", looked: true };
    let steps = aboard.desk.run_view(start, began).expect("it").steps;
    for (min, step) in (1..).zip(&steps) {
        if step.key == "disinfection" {
            act(stop, "heat-off", min, What::Tick { looked: true }).expect("off");
        }
        let later = if step.key == "first-round" { min + 60 } else { min };
        let done = act(start, &step.key, later + 1, over);
        done.or_else(|_| act(start, &step.key, later + 1, What::Tick { looked: true }))
            .expect("done");
    }
    let page = browser.get(&format!("/procedures/run?id={start}")).await.text;
    assert!(page.contains("is ticked to its end, and not all of it stands:"), "{page}");
    assert!(page.contains("step 9 was undone: by the list Stop the plant the heat is off since"));
    let list = browser.get("/procedures").await.text;
    assert!(
        list.contains("ticked to its end, not all of it stands: ")
            && !list.contains("every step; "),
        "{list}"
    );
    let compared = browser.get("/procedures/past?key=start").await.text;
    assert!(compared.contains("Undone by another list"), "{compared}");
}
