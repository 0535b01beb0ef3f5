//! The page Procedures: lists, runs step by step, guards, overrides, emergencies, texts, runs compared.

use std::time::Duration;

use axum::http::StatusCode;

use crate::help::{Answer, Browser};
use crate::pages::Aboard;

async fn post(browser: &mut Browser, from: &str, to: &str, fields: &[(&str, &str)]) -> Answer {
    let page = browser.get(from).await;
    assert_eq!(page.status, StatusCode::OK, "{from}: {}", page.text);
    let (token, once) = (page.hidden("_token"), page.hidden("_once"));
    let marks = [("_token", token.as_str()), ("_once", once.as_str())];
    browser.post(to, &[&marks, fields].concat()).await
}

/// Begins a run; its address.
async fn begun(browser: &mut Browser, key: &str) -> String {
    let list = format!("/procedures/list?key={key}");
    let fields = [("key", key), ("by", "2e"), ("at", "")];
    let sent = post(browser, &list, "/procedures/begin", &fields).await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.text);
    sent.location().trim_end_matches("&begun").to_owned()
}

fn id_of(run: &str) -> &str {
    run.rsplit('=').next().unwrap()
}

#[tokio::test]
async fn ident_every_list_is_read_whole_and_emergencies_are_one_press_away_everywhere() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let page = browser.get("/procedures").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.text.contains("Nothing is under way"), "{}", page.text);
    let keys: Vec<String> =
        aboard.desk.procedures().unwrap().lists.into_iter().map(|line| line.key).collect();
    assert_eq!(keys.len(), 18);
    for key in &keys {
        assert!(page.text.contains(&format!("href=\"/procedures/list?key={key}\"")), "{key}");
    }
    let run = begun(&mut browser, "start").await;
    for path in [
        "/procedures",
        "/procedures/list?key=start",
        &run,
        "/procedures/text?key=start",
        "/procedures/past?key=start",
    ] {
        let page = browser.get(path).await;
        assert_eq!(page.status, StatusCode::OK, "{path}");
        let row = page.text.split_once("<nav class=\"urgent\"").expect("the row").1;
        let row = row.split_once("</nav>").unwrap().0;
        for key in [
            "blackout",
            "ejector-trip",
            "engine-slow-down",
            "flooding",
            "salinity-alarm",
            "oil",
            "fire",
        ] {
            assert!(row.contains(&format!("href=\"/procedures/list?key={key}\"")), "{path}: {key}");
        }
        let ids: Vec<&str> =
            page.text.split(" id=\"").skip(1).filter_map(|t| t.split('"').next()).collect();
        for id in &ids {
            assert_eq!(ids.iter().filter(|other| other == &id).count(), 1, "{path}: {id} twice");
        }
    }
    for key in &keys {
        let list = browser.get(&format!("/procedures/list?key={key}")).await.text;
        for step in aboard.desk.procedure(key, jiff::Timestamp::UNIX_EPOCH).unwrap().steps {
            let what = step.what.replace('&', "&amp;").replace('"', "&quot;");
            assert!(list.contains(&what), "{key}: {what}");
        }
    }
    assert_eq!(browser.get("/procedures/list?key=../ship").await.status, StatusCode::BAD_REQUEST);
    assert_eq!(browser.get("/procedures/run?id=99").await.status, StatusCode::BAD_REQUEST);
    assert_eq!(browser.get("/procedures/run?id=%3Cb%3E").await.status, StatusCode::BAD_REQUEST);
}

#[tokio::test]
async fn ident_a_held_step_says_why_keeps_the_reading_and_goes_on_when_it_is_as_wanted() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let run = begun(&mut browser, "acid-clean").await;
    let id = id_of(&run).to_owned();
    let send = |step: &'static str, more: &[(&'static str, &'static str)]| {
        let mut fields = vec![("run", id.as_str()), ("step", step), ("by", "2e"), ("at", "")];
        fields.extend_from_slice(more);
        fields.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect::<Vec<_>>()
    };
    let as_str = |fields: &[(String, String)]| -> Vec<(String, String)> { fields.to_vec() };
    let mut go = async |fields: Vec<(String, String)>| {
        let fields = as_str(&fields);
        let fields: Vec<(&str, &str)> =
            fields.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
        post(&mut browser, &run, "/procedures/step", &fields).await
    };
    let tick = ("do", "tick");
    let looked = ("looked", "yes");
    // What must be looked at is a tick box.
    let held = go(send("permit", &[tick])).await;
    assert_eq!(held.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(held.text.contains("Not ticked as seen: Permit signed"), "{}", held.text);
    assert!(go(send("permit", &[tick, looked])).await.location().ends_with("&done"));
    let warm = ("r~vapour_temp_c", "52");
    let held = go(send("cold", &[tick, looked, warm])).await;
    assert!(held.text.contains("Vapour read 52.0\u{a0}°C at "), "{}", held.text);
    assert!(held.text.contains("wanted: at most 45.0\u{a0}°C"), "{}", held.text);
    assert!(held.text.contains("readings typed are written down"), "{}", held.text);
    // What holds stands in the box itself, with what was found and what is wanted.
    let red = held.text.split_once("<p class=\"verdict\">Held, for it leads to").expect("it").1;
    let red = red.split_once("</div>").unwrap().0;
    assert!(red.contains("Vapour read 52.0") && red.contains("at most 45.0"), "{red}");
    let typed = go(send("cold", &[tick, looked, ("r~vapour_temp_c", "cold")])).await;
    assert_eq!(typed.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(typed.text.contains("value=\"cold\""), "what was typed stands: {}", typed.text);
    let who = go(send("cold", &[("do", "override"), ("who", "watch"), ("reason", "late")])).await;
    assert!(who.text.contains("engineer in charge"), "{}", who.text);
    let over = [("do", "override"), ("who", "engineer"), ("reason", "shell opened, cold by hand")];
    assert!(go(send("cold", &over)).await.location().ends_with("&done"));
    let twice = go(send("cold", &[tick, looked])).await;
    assert!(twice.text.contains("Step 2 was written down by 2e at "), "{}", twice.text);
    let again = browser.get(&run).await.text;
    assert!(again.contains("shell opened, cold by hand") && again.contains("The guard said: "));
    assert!(again.contains("Step <b class=\"fig\">3<small>of 14</small></b>"), "{again}");
    // A new start of the program shows the same run.
    let restarted = aboard.browser().get(&run).await.text;
    assert!(restarted.contains("Step <b class=\"fig\">3<small>of 14</small></b>"));
}

#[tokio::test]
async fn ident_an_emergency_is_written_afterwards_and_offers_to_give_the_start_up() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let start = begun(&mut browser, "start").await;
    let run = begun(&mut browser, "blackout").await;
    let page = browser.get(&run).await.text;
    assert!(page.contains("Start the plant is under way since"), "{page}");
    // What a step asks to write down has its box there, too.
    let alarm = begun(&mut browser, "salinity-alarm").await;
    let alarm = browser.get(&alarm).await.text;
    assert!(alarm.contains("name=\"n~tank\"") && !alarm.contains("value=\"back\" name=\"did\""));
    assert!(alarm.contains("name=\"t~tank\"") && !alarm.contains("name=\"t~back\""), "{alarm}");
    let none = post(
        &mut browser,
        &run,
        "/procedures/afterwards",
        &[("run", id_of(&run)), ("after_by", "3e")],
    )
    .await;
    assert!(none.text.contains("tick what was done"), "{}", none.text);
    let ahead = [
        ("run", id_of(&run)),
        ("after_by", "3e"),
        ("did", "heat-off"),
        ("t~heat-off", "2027-01-01 04:00"),
    ];
    let ahead = post(&mut browser, &run, "/procedures/afterwards", &ahead).await;
    assert_eq!(ahead.status, StatusCode::UNPROCESSABLE_ENTITY);
    let fields = [
        ("run", id_of(&run)),
        ("after_by", "3e"),
        ("did", "tank-shut"),
        ("did", "heat-off"),
        ("t~tank-shut", ""),
        ("t~heat-off", ""),
    ];
    let done = post(&mut browser, &run, "/procedures/afterwards", &fields).await;
    assert!(done.location().ends_with("&done"), "{}", done.text);
    let view =
        aboard.desk.run_view(id_of(&run).parse().unwrap(), "2026-11-16T05:00:00Z".parse().unwrap());
    assert_eq!(view.unwrap().line.done, 2);
    let (by, why) =
        (format!("give_by~{}", id_of(&start)), format!("give_reason~{}", id_of(&start)));
    let up = [
        ("run", id_of(&start)),
        ("back", id_of(&run)),
        (by.as_str(), ""),
        (why.as_str(), "blackout"),
    ];
    let asked = post(&mut browser, &run, "/procedures/give-up", &up).await;
    assert_eq!(asked.status, StatusCode::UNPROCESSABLE_ENTITY, "it is signed");
    let up = [
        ("run", id_of(&start)),
        ("back", id_of(&run)),
        (by.as_str(), "3e"),
        (why.as_str(), "blackout"),
    ];
    let up = post(&mut browser, &run, "/procedures/give-up", &up).await;
    assert_eq!(up.location(), format!("{run}&other={}", id_of(&start)));
    assert!(browser.get(&start).await.text.contains("was given up after"));
    assert!(browser.get("/procedures").await.text.contains("given up at step 1 of 16: blackout"));
    let compared = browser.get("/procedures/past?key=start").await.text;
    assert!(compared.contains("How long does it take us?"), "{compared}");
}

#[tokio::test]
async fn ident_a_wait_is_told_as_a_time_and_counted_down_by_a_module() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let run = begun(&mut browser, "stop").await;
    for step in ["heat-off", "tank-shut"] {
        let fields =
            [("run", id_of(&run)), ("step", step), ("by", "2e"), ("looked", "yes"), ("do", "tick")];
        let sent = post(&mut browser, &run, "/procedures/step", &fields).await;
        // Not everything was read: nothing holds a stop, and it is said.
        assert!(sent.location().ends_with(&format!("&warned={step}")), "{}", sent.text);
    }
    let page = browser.get(&run).await.text;
    assert!(page.contains("Wait until <b>") && page.contains("data-until=\"2026-11-16T"), "{page}");
    assert!(page.contains("/assets/count."), "{page}");
    let later = aboard.browser_after(Duration::from_secs(20 * 60)).get(&run).await.text;
    assert!(!later.contains("Wait until <b>"), "{later}");
}

#[tokio::test]
async fn ident_a_text_is_refused_with_its_lines_and_kept_when_it_reads() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let edit = "/procedures/text?key=round";
    let view = aboard.desk.procedure("round", jiff::Timestamp::UNIX_EPOCH).unwrap();
    let bad = view.text.replace("takes_min = [1, 3]", "takes_min = [3, 1]");
    let fields = [("key", "round"), ("base", view.version.as_str()), ("text", &bad), ("by", "ce")];
    let page = post(&mut browser, edit, "/procedures/text", &fields).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    let line = bad.lines().position(|line| line == "takes_min = [3, 1]").unwrap() + 1;
    assert!(page.text.contains(&format!("line {line}")) && page.text.contains("the lesser first"));
    let good = view.text.replace("name = \"Round\"", "name = \"Round <of> the watch\"");
    let stale = [("key", "round"), ("base", "00000000"), ("text", good.as_str()), ("by", "ce")];
    let page = post(&mut browser, edit, "/procedures/text", &stale).await;
    assert!(page.text.contains("changed by somebody else"), "{}", page.text);
    let unsigned = [("key", "round"), ("base", view.version.as_str()), ("text", &good), ("by", "")];
    assert_eq!(
        post(&mut browser, edit, "/procedures/text", &unsigned).await.status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    let fields = [("key", "round"), ("base", view.version.as_str()), ("text", &good), ("by", "ce")];
    let kept = post(&mut browser, edit, "/procedures/text", &fields).await;
    assert_eq!(kept.location(), "/procedures/list?key=round&kept");
    let list = browser.get(kept.location()).await.text;
    assert!(list.contains("Round &lt;of&gt; the watch") && !list.contains("Round <of>"), "{list}");
    let usual = browser.get("/procedures/text?key=round&usual").await.text;
    assert!(usual.contains("name = &quot;Round&quot;"), "{usual}");
    // The second press is said.
    assert!(usual.contains("is not kept yet") && usual.contains("Keep this text"), "{usual}");
    assert!(!browser.get(edit).await.text.contains("is not kept yet"));
}

/// Sends a step of a run.
async fn send(browser: &mut Browser, run: &str, step: &str, more: &[(&str, &str)]) -> Answer {
    let fields = [("run", id_of(run)), ("step", step), ("by", "2e"), ("at", ""), ("do", "tick")];
    let fields: Vec<_> = fields
        .into_iter()
        .filter(|(name, _)| more.iter().all(|(other, _)| other != name))
        .chain(more.iter().copied())
        .collect();
    post(browser, run, "/procedures/step", &fields).await
}

#[tokio::test]
async fn ident_what_was_not_as_it_should_be_is_named_marked_and_looked_at_again() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let run = begun(&mut browser, "stop").await;
    send(&mut browser, &run, "heat-off", &[]).await;
    let warned = browser.get(&format!("{run}&warned=heat-off")).await.text;
    assert!(warned.contains("was not as it should be"), "{warned}");
    assert!(warned.contains("thermostat has taken over"), "{warned}");
    let page = browser.get(&run).await.text;
    assert!(page.contains("<b>done, not as wanted</b>"), "{page}");
    assert!(page.contains("Look at step 1 again") && page.contains("name=\"g1-looked\""), "{page}");
    let ids: Vec<&str> = page.split(" id=\"").skip(1).filter_map(|t| t.split('"').next()).collect();
    for id in &ids {
        assert_eq!(ids.iter().filter(|other| other == &id).count(), 1, "{id} twice");
    }
    let look = [
        ("run", id_of(&run)),
        ("step", "heat-off"),
        ("no", "1"),
        ("g1-by", "3e"),
        ("g1-looked", "yes"),
        ("g1-r~engine_jacket_out_c", "83"),
    ];
    let sent = post(&mut browser, &run, "/procedures/again", &look).await;
    assert!(sent.location().ends_with("&again"), "{}", sent.text);
    let page = browser.get(&run).await.text;
    assert!(page.contains("Looked at again"), "{page}");
    assert!(page.contains("Engine jacket outlet <b>83.0\u{a0}°C</b>"), "{page}");
    let list = browser.get("/procedures").await.text;
    assert!(list.contains("Go on: Stop the plant"), "{list}");
}

#[tokio::test]
async fn ident_a_tick_is_taken_back_and_times_against_the_list_are_answered() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let run = begun(&mut browser, "blackout").await;
    let times = [
        ("run", id_of(&run)),
        ("after_by", "3e"),
        ("did", "sea-shut"),
        ("did", "heat-off"),
        ("t~sea-shut", "2026-11-16 03:40"),
        ("t~heat-off", "2026-11-16 03:50"),
    ];
    let sent = post(&mut browser, &run, "/procedures/afterwards", &times).await;
    assert!(sent.location().ends_with("&told"), "{}", sent.text);
    let page = browser.get(&run).await.text;
    assert!(page.contains("What that may have done: heat on standing brine"), "{page}");
    assert!(page.contains("Yes, so it was") && page.contains("href=\"#mend\""), "{page}");
    // On paper the question has a line to be answered on, and no half sentence.
    assert!(page.contains("class=\"not-on-paper\">Is it so?"), "{page}");
    assert!(page.contains("class=\"paper-only\">So it was ____"), "{page}");
    let yes = [("run", id_of(&run)), ("so_by", "3e")];
    let sent = post(&mut browser, &run, "/procedures/so-it-was", &yes).await;
    assert!(sent.location().ends_with("&so"), "{}", sent.text);
    let page = browser.get(&run).await.text;
    assert!(page.contains("<b>So it was.</b>") && !page.contains("Yes, so it was"), "{page}");
    let back = |why: &'static str| {
        [
            ("run", id_of(&run).to_owned()),
            ("mended", "sea-shut".to_owned()),
            ("mend_why", why.to_owned()),
            ("mend_by", "3e".to_owned()),
            ("do", "back".to_owned()),
        ]
    };
    let empty = back("");
    let empty: Vec<(&str, &str)> = empty.iter().map(|(a, b)| (*a, b.as_str())).collect();
    let none = post(&mut browser, &run, "/procedures/mend", &empty).await;
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    let whole = back("it was the condenser valve");
    let whole: Vec<(&str, &str)> = whole.iter().map(|(a, b)| (*a, b.as_str())).collect();
    let sent = post(&mut browser, &run, "/procedures/mend", &whole).await;
    assert!(sent.location().ends_with("&back"), "{}", sent.text);
    let page = browser.get(&run).await.text;
    assert!(page.contains("Taken back ") && page.contains("it was the condenser valve"), "{page}");
    let mend = [
        ("run", id_of(&run)),
        ("mended", "heat-off"),
        ("mend_why", "bell book"),
        ("mend_by", "3e"),
        ("mend_time", "2026-11-16 03:30"),
        ("do", "mend"),
    ];
    let sent = post(&mut browser, &run, "/procedures/mend", &mend).await;
    assert!(sent.location().ends_with("&mended"), "{}", sent.text);
    let own = [("run", id_of(&run)), ("to", "2e"), ("hand_by", "2e")];
    let own = post(&mut browser, &run, "/procedures/hand-over", &own).await;
    assert!(own.text.contains("2e leads it already"), "{}", own.text);
    let over = [("run", id_of(&run)), ("to", "4e"), ("hand_by", "4e")];
    let sent = post(&mut browser, &run, "/procedures/hand-over", &over).await;
    assert!(sent.location().ends_with("&over"), "{}", sent.text);
    let page = browser.get(&run).await.text;
    assert!(
        page.contains("Led by <b>4e</b>") && page.contains("Taken over by <b>4e</b>"),
        "{page}"
    );
}

#[tokio::test]
async fn ident_a_doubtful_reading_is_asked_about_and_stands_with_a_word() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let run = begun(&mut browser, "start").await;
    let field = "r~engine_load_percent";
    let asked = send(&mut browser, &run, "permission", &[("do", "read"), (field, "7.2")]).await;
    assert_eq!(asked.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        asked.text.contains("does not fit:") && asked.text.contains("Use 72"),
        "{}",
        asked.text
    );
    let offer = ("do", "offer:engine_load_percent:72");
    let used = send(&mut browser, &run, "permission", &[offer, (field, "7.2")]).await;
    assert!(used.text.contains("value=\"72\""), "{}", used.text);
    let kept = ("k~engine_load_percent", "engine cold");
    let sent =
        send(&mut browser, &run, "permission", &[("do", "read"), (field, "7.2"), kept]).await;
    assert!(sent.location().ends_with("&read"), "{}", sent.text);
    let page = browser.get(&run).await.text;
    assert!(page.contains("(doubtful: engine cold)"), "{page}");
    let note = page.contains("Position, distance off, and who said yes");
    assert!(note && page.contains("name=\"note\""), "{page}");
}

#[tokio::test]
async fn ident_a_time_that_lies_ahead_is_asked_about_and_not_taken_for_yesterday() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let run = begun(&mut browser, "round").await;
    let now = aboard.desk.run_view(id_of(&run).parse().unwrap(), jiff::Timestamp::MAX).unwrap();
    // A minute on from now by ship's time, which is UTC here: nearly a day ago if yesterday were meant.
    let soon = now.line.began.checked_add(jiff::SignedDuration::from_mins(2)).unwrap();
    let typed = soon.strftime("%H:%M").to_string();
    let step = &now.steps[0];
    let sent = send(&mut browser, &run, &step.key, &[("at", &typed)]).await;
    assert_eq!(sent.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        sent.text.contains("lies ahead") && sent.text.contains("Is yesterday meant?"),
        "{}",
        sent.text
    );
}

#[tokio::test]
async fn ident_guards_that_go_are_named_before_a_text_is_kept_and_names_stand_beside_it() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let edit = "/procedures/text?key=start";
    let page = browser.get(edit).await.text;
    assert!(page.contains("<code>vapour_temp_c</code>") && page.contains("<code>limit."), "{page}");
    let view = aboard.desk.procedure("start", jiff::Timestamp::UNIX_EPOCH).unwrap();
    let text = view.text.replace(
        "see = [\"vacuum_percent >= 90 or vacuum_percent >= limit.vacuum_min_percent for 5 min\"]\n",
        "",
    );
    assert_ne!(text, view.text);
    let base = view.version.as_str();
    let fields = [("key", "start"), ("base", base), ("text", &text), ("by", "2e")];
    let asked = post(&mut browser, edit, "/procedures/text", &fields).await;
    assert_eq!(asked.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        asked.text.contains("Guards or order go with this text.")
            && asked.text.contains("Pull vacuum")
    );
    assert!(asked.text.contains("name=\"chief\""), "{}", asked.text);
    let more = [("chief", "ce"), ("why", "gauge ashore")];
    let kept =
        post(&mut browser, edit, "/procedures/text", &[&fields[..], &more[..]].concat()).await;
    assert_eq!(kept.location(), "/procedures/list?key=start&kept");
    // And the usual one again.
    let own = aboard.desk.procedure("start", jiff::Timestamp::UNIX_EPOCH).unwrap();
    let usual = browser.get("/procedures/text?key=start&usual").await.text;
    assert!(usual.contains("vacuum_percent &gt;= 90"), "{usual}");
    let base = own.version.as_str();
    let fields = [("key", "start"), ("base", base), ("text", view.text.as_str()), ("by", "2e")];
    let kept = post(&mut browser, edit, "/procedures/text", &fields).await;
    assert_eq!(kept.location(), "/procedures/list?key=start&kept", "{}", kept.text);
    assert!(!aboard.desk.procedure("start", jiff::Timestamp::UNIX_EPOCH).unwrap().line.own);
}

#[tokio::test]
async fn ident_times_compared_are_written_as_on_the_list() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let run = begun(&mut browser, "fire").await;
    let keys = aboard.desk.procedure("fire", jiff::Timestamp::UNIX_EPOCH).unwrap().steps;
    let mut fields = vec![("run".to_owned(), id_of(&run).to_owned())];
    for (nth, step) in keys.iter().enumerate() {
        fields.push(("did".to_owned(), step.key.clone()));
        let at = ["2026-11-15 20:00", "2026-11-15 21:00", "2026-11-15 23:40"][nth.min(2)];
        fields.push((format!("t~{}", step.key), at.to_owned()));
    }
    let fields: Vec<(&str, &str)> = fields.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
    let sent = post(&mut browser, &run, "/procedures/afterwards", &fields).await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.text);
    let compared = browser.get("/procedures/past?key=fire").await.text;
    assert!(compared.contains("3 h 40 min") && !compared.contains("220"), "{compared}");
}

#[tokio::test]
async fn ident_now_says_that_the_plant_was_stopped_by_the_list() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let run = begun(&mut browser, "stop").await;
    let fields = [
        ("run", id_of(&run)),
        ("step", "heat-off"),
        ("do", "tick"),
        ("looked", "yes"),
        ("by", "2e"),
        ("at", ""),
        ("r~engine_jacket_out_c", "83"),
    ];
    let sent = post(&mut browser, &run, "/procedures/step", &fields).await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.text);
    let now = browser.get("/").await.text;
    assert!(now.contains("by the list Stop the plant"), "{now}");
}

#[tokio::test]
async fn ident_the_way_back_to_a_tank_offers_no_passing_over() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let run = begun(&mut browser, "salinity-alarm").await;
    let first = browser.get(&run).await.text;
    assert!(first.contains("Pass it over"), "{first}");
    let keys = ["heat-back", "hand-meter", "cause", "tank"];
    let mut fields = vec![("run", id_of(&run)), ("after_by", "2e")];
    fields.extend(keys.iter().map(|key| ("did", *key)));
    let sent = post(&mut browser, &run, "/procedures/afterwards", &fields).await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.text);
    let last = browser.get(&run).await.text;
    assert!(last.contains("Back to the tank only") && !last.contains("Pass it over"), "{last}");
    let pass =
        [("run", id_of(&run)), ("step", "back"), ("do", "pass"), ("by", "2e"), ("reason", "now")];
    let sent = post(&mut browser, &run, "/procedures/step", &pass).await;
    assert_eq!(sent.status, StatusCode::UNPROCESSABLE_ENTITY);
}
