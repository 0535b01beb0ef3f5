//! Readings, Now and Records over a record of their own.

use std::sync::Arc;
use std::time::Duration;

use axum::http::StatusCode;
use desk::Desk;
use web::{App, Listen};

use crate::help::{Answer, Bench, Browser, Counted, Still};

/// A folder with a blank ship, and the program started on it.
pub struct Aboard {
    pub desk: Arc<Desk>,
    _folder: tempfile::TempDir,
}

impl Aboard {
    pub fn new() -> Aboard {
        let folder = tempfile::tempdir().unwrap();
        let desk = Desk::open(folder.path(), "2026-11-16T04:00:00Z".parse().unwrap()).unwrap();
        Aboard { desk: Arc::new(desk), _folder: folder }
    }

    /// A fresh start of the program on the same record.
    pub fn browser(&self) -> Browser {
        self.browser_after(Duration::ZERO)
    }

    /// The same, so long after the first start.
    pub fn browser_after(&self, later: Duration) -> Browser {
        let (clock, entropy) = (Arc::new(Still::default()), Arc::new(Counted::default()));
        clock.pass(later);
        let app = App::new(self.desk.clone(), clock.clone(), entropy, &Listen::here(0)).unwrap();
        Browser::of(&Bench { router: web::router(app), clock, taken: Arc::default() })
    }
}

/// A plausible round, as an engineer types it.
const ROUND: [(&str, &str); 8] = [
    ("barometer_hpa", "1013"),
    ("jacket_in_c", "83,0"),
    ("jacket_out_c", "74.5"),
    ("sea_temp_c", "29.0"),
    ("sea_out_c", "38.5"),
    ("distillate_meter_m3", "48213.4"),
    ("actor", "3e"),
    ("at", "2026-11-16T04:00"),
];

async fn send(browser: &mut Browser, fields: &[(&str, &str)]) -> Answer {
    let (token, once) = browser.marks().await;
    let marks = [("_token", token.as_str()), ("_once", once.as_str())];
    browser.post("/readings", &[&marks, fields].concat()).await
}

fn with<'a>(changes: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let kept = ROUND.iter().filter(|(name, _)| !changes.iter().any(|(c, _)| c == name));
    kept.copied().chain(changes.iter().copied()).collect()
}

/// What stands in the box of `name`.
fn boxed(page: &str, name: &str) -> String {
    let from = page.find(&format!(" id=\"{name}\"")).unwrap_or_else(|| panic!("no box {name}"));
    crate::help::between(&page[from..], "value=\"", "\"")
}

#[tokio::test]
async fn ident_a_refused_round_keeps_everything_typed() {
    let aboard = Aboard::new();
    let fields = with(&[("sea_temp_c", "85"), ("remark", "rolling"), ("do", "sign")]);
    let page = send(&mut aboard.browser(), &fields).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    for (name, text) in
        [("jacket_in_c", "83,0"), ("sea_temp_c", "85"), ("remark", "rolling"), ("actor", "3e")]
    {
        assert_eq!(boxed(&page.text, name), text);
    }
    assert!(page.text.contains("not taken:") && page.text.contains("because"), "range and reason");
    assert_eq!(aboard.desk.head().unwrap().0, 0, "nothing was written");
}

#[tokio::test]
async fn ident_hostile_text_comes_back_as_text_and_writes_nothing() {
    let aboard = Aboard::new();
    let sly = "\"><script>alert(1)</script>";
    let fields = [
        ("jacket_in_c", sly),
        ("jacket_in_c~unit", sly),
        ("jacket_in_c~kept", sly),
        ("jacket_in_c~not", sly),
        ("no_such_reading", sly),
        ("brine_level", sly),
        ("whole", sly),
        ("remark", sly),
        ("actor", sly),
        ("at", sly),
        ("do", "sign"),
    ];
    let mut browser = aboard.browser();
    let page = send(&mut browser, &fields).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(!page.text.contains("<script>alert"));
    for (action, status) in [("offer:jacket_in_c:999", 200), ("keep::", 200), (sly, 200)] {
        let page = send(&mut browser, &[("jacket_in_c", "83"), ("do", action)]).await;
        assert_eq!(page.status, status, "{action}");
    }
    let long = "9".repeat(50_000);
    assert_eq!(
        send(&mut browser, &with(&[("sea_out_c", &long), ("do", "sign")])).await.status,
        422
    );
    for path in [
        "/readings/correct?seq=x&key=jacket_in_c",
        "/readings/correct?seq=18446744073709551615&key=jacket_in_c",
        "/readings/correct?seq=1&key=%3Cscript%3E",
        "/readings/trend?key=%3Cscript%3E",
        "/readings/round?at=%3Cscript%3E",
        "/readings/round?at=2026-11-16T04:00:00Z",
        "/records?before=-1",
    ] {
        let page = browser.get(path).await;
        assert_eq!(page.status, StatusCode::BAD_REQUEST, "{path}");
        assert!(!page.text.contains("<script>"), "{path}");
    }
    for path in [
        "/readings/trend?from=yesterday",
        "/readings/trend?hours=99999999999999999999",
        "/readings/trend?from=2026-11-16+04:00&to=2026-11-15+04:00",
        "/readings?rounds=99999999&signed=7&corrected=x",
        "/records?before=18446744073709551615",
    ] {
        assert_eq!(browser.get(path).await.status, StatusCode::OK, "{path}");
    }
    assert_eq!(aboard.desk.head().unwrap().0, 0);
}

#[tokio::test]
async fn ident_an_offer_is_taken_by_a_plain_button() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let crossed = with(&[("jacket_in_c", "74.5"), ("jacket_out_c", "83.0")]);
    let page = send(&mut browser, &crossed).await.text;
    assert!(page.contains("name=\"do\" value=\"offer:jacket_out_c:0\""), "{page}");
    let page =
        send(&mut browser, &[&crossed[..], &[("do", "offer:jacket_out_c:0")]].concat()).await;
    assert_eq!(
        (boxed(&page.text, "jacket_in_c").as_str(), boxed(&page.text, "jacket_out_c").as_str()),
        ("83.0", "74.5")
    );
}

#[tokio::test]
async fn ident_a_doubtful_figure_stands_by_one_press_until_it_is_changed() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let doubtful = with(&[("engine_load_percent", "8")]);
    let refused = send(&mut browser, &[&doubtful[..], &[("do", "sign")]].concat()).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("value=\"keep:engine_load_percent:0\""));
    let kept =
        send(&mut browser, &[&doubtful[..], &[("do", "keep:engine_load_percent:0")]].concat())
            .await
            .text;
    assert!(kept.contains("name=\"engine_load_percent~kept\" value=\"read again, same\""));
    let reason =
        [("engine_load_percent~kept", "read again, same"), ("engine_load_percent~kept-for", "8")];
    let changed = with(&[("engine_load_percent", "9"), reason[0], reason[1]]);
    assert!(!send(&mut browser, &changed).await.text.contains("engine_load_percent~kept\""));
    let signed = send(&mut browser, &[&doubtful[..], &reason, &[("do", "sign")]].concat()).await;
    assert_eq!((signed.status, signed.location()), (StatusCode::SEE_OTHER, "/readings?signed=1"));
    let entry = aboard.desk.entries(None, 1).unwrap().remove(0);
    let value = entry.value("engine_load_percent").unwrap();
    assert_eq!(
        (value.quality, value.why.as_deref()),
        (logbook::Quality::Doubtful, Some("read again, same"))
    );
}

#[tokio::test]
async fn ident_a_repeated_sending_is_one_entry_even_after_a_new_start() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let (token, once) = browser.marks().await;
    let marks = [("_token", token.as_str()), ("_once", once.as_str()), ("do", "sign")];
    for _ in 0..2 {
        let signed = browser.post("/readings", &[&marks[..], &ROUND].concat()).await;
        assert_eq!(
            (signed.status, signed.location()),
            (StatusCode::SEE_OTHER, "/readings?signed=1"),
            "{}",
            signed.text
        );
    }
    let mut restarted = aboard.browser();
    let (token, _) = restarted.marks().await;
    let marks = [("_token", token.as_str()), ("_once", once.as_str()), ("do", "sign")];
    let signed = restarted.post("/readings", &[&marks[..], &ROUND].concat()).await;
    assert_eq!(signed.location(), "/readings?signed=1");
    assert_eq!(aboard.desk.head().unwrap().0, 1);
    let page = restarted.get("/readings?signed=1").await.text;
    assert!(page.contains("as entry <b>1</b>") && page.contains("6 readings, by 3e"), "{page}");
}

#[tokio::test]
async fn ident_a_round_ahead_of_the_clock_or_without_initials_is_not_signed() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    for (name, text) in [("at", "2026-11-16T09:00"), ("at", "soon"), ("actor", "")] {
        let page = send(&mut browser, &with(&[(name, text), ("do", "sign")])).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{name} {text}");
        assert!(page.text.contains("class=\"asks\""), "{name} {text}");
    }
    let weather =
        [("whole", "weather"), ("actor", "3e"), ("at", "2026-11-16T04:00"), ("do", "sign")];
    assert_eq!(
        send(&mut browser, &weather).await.status,
        StatusCode::SEE_OTHER,
        "not taken is an entry"
    );
    assert!(browser.get("/readings").await.text.contains("not taken: weather"));
}

#[tokio::test]
async fn ident_a_jumped_clock_takes_nothing_typed_and_is_vouched_for_by_name() {
    let aboard = Aboard::new();
    send(&mut aboard.browser(), &with(&[("do", "sign")])).await;
    let mut browser = aboard.browser_after(Duration::from_secs(3 * 24 * 3600));
    let later = with(&[("at", "2026-11-19T04:00"), ("sea_out_c", "39.1"), ("do", "sign")]);
    let held = send(&mut browser, &later).await;
    assert_eq!(held.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        held.text.contains("Not written down")
            && held.text.contains("If entries are refused because the clock jumped"),
        "{}",
        held.text
    );
    assert_eq!(boxed(&held.text, "sea_out_c"), "39.1");
    let token = browser.get("/records").await.hidden("_token");
    let nobody = browser.post("/records/clock", &[("_token", &token), ("by", "")]).await.text;
    assert!(!nobody.contains("vouches") && nobody.contains("<details open>"), "{nobody}");
    let vouched = browser.post("/records/clock", &[("_token", &token), ("by", "2e")]).await.text;
    assert!(vouched.contains("2e vouches for this computer’s clock"), "{vouched}");
    assert_eq!(send(&mut browser, &later).await.location(), "/readings?signed=3");
}

#[tokio::test]
async fn ident_a_correction_leaves_the_old_figure_readable() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    send(&mut browser, &with(&[("do", "sign")])).await;
    let page = browser.get("/readings/correct?seq=1&key=sea_out_c").await;
    let (token, once) = (page.hidden("_token"), page.hidden("_once"));
    let fields = |text, reason| {
        vec![
            ("_token", token.as_str()),
            ("_once", once.as_str()),
            ("seq", "1"),
            ("key", "sea_out_c"),
            ("unit", "degC"),
            ("text", text),
            ("reason", reason),
            ("actor", "2e"),
        ]
    };
    for (text, reason) in [("39.0", ""), ("warm", "misread")] {
        let refused = browser.post("/readings/correct", &fields(text, reason)).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert_eq!(boxed(&refused.text, "text"), text);
    }
    let done = browser.post("/readings/correct", &fields("39.0", "misread")).await;
    assert_eq!(done.location(), "/readings?corrected=2");
    let page = browser.get("/readings").await.text;
    assert!(page.contains("<s>38.5</s>") && page.contains(">39.0</a>"));
    assert!(page.contains("Sea water out corrected by 2e") && page.contains("misread"));
    let records = browser.get("/records").await.text;
    assert!(records.contains("Correction of entry 1"), "{records}");
    // The round whole: the counter, which has no column among the earlier rounds, is reached from its time.
    let round = "/readings/round?at=2026-11-16T04:00:00Z";
    assert!(page.contains(&format!("href=\"{round}\"")), "{page}");
    let whole = browser.get(round).await.text;
    assert!(whole.contains("/readings/correct?seq=1&amp;key=distillate_meter_m3"), "{whole}");
    assert!(whole.contains("<s>38.5</s>") && whole.contains("corrected by 2e"), "{whole}");
    assert!(whole.contains("/readings?at=2026-11-16T04:00"), "{whole}");
}

#[tokio::test]
async fn ident_a_newest_entry_out_of_order_is_said_on_every_page_and_nothing_follows_it() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    send(&mut browser, &with(&[("do", "sign")])).await;
    assert!(!browser.get("/").await.text.contains("out of order"));
    let Aboard { desk, _folder: folder } = aboard;
    drop((browser, desk));
    let file = folder.path().join(desk::RECORD_FILE);
    // Closed by its writer, everything is in the file itself, as soon as nobody looks for findings any more.
    let (mut bytes, place) = loop {
        drop(logbook::Book::open(&file, "A1", "2026-11-16T04:50:00Z".parse().unwrap()).unwrap());
        let bytes = std::fs::read(&file).unwrap();
        match bytes.windows(7).position(|seen| seen == b"48213.4") {
            Some(place) => break (bytes, place),
            None => tokio::time::sleep(std::time::Duration::from_millis(20)).await,
        }
    };
    bytes[place] ^= 1;
    std::fs::write(&file, bytes).unwrap();

    let desk = Desk::open(folder.path(), "2026-11-16T05:00:00Z".parse().unwrap()).unwrap();
    let aboard = Aboard { desk: Arc::new(desk), _folder: folder };
    let mut browser = aboard.browser();
    for page in ["/", "/readings", "/records", "/plant", "/ship", "/passage"] {
        let answer = browser.get(page).await;
        assert_eq!(answer.status, StatusCode::OK, "{page}");
        assert!(answer.text.contains("entry 1: text and hash do not fit"), "{page}");
    }
    let refused = send(&mut browser, &with(&[("do", "sign")])).await.text;
    assert!(refused.contains("go on from entry 1 by name"), "{refused}");
    let token = browser.get("/records").await.hidden("_token");
    let walked = browser.post("/records/verify", &[("_token", &token)]).await.text;
    assert!(walked.contains("entry 1"), "{walked}");
    // An emergency is written all the same, and on the same page the chief goes on.
    let page = browser.get("/records").await;
    assert!(
        page.text.contains("When nothing else is taken") && page.text.contains("Go on after it")
    );
    for (address, words, by, seq) in [
        ("/records/emergency", ("note", "flooding, plant shut down"), "noted_by", 2),
        ("/records/go-on", ("found", "sheet compared"), "chief", 3),
    ] {
        let page = browser.get("/records").await;
        let (token, once) = (page.hidden("_token"), page.hidden("_once"));
        let hidden = [("_token", token.as_str()), ("_once", once.as_str())];
        let empty =
            browser.post(address, &[&hidden[..], &[(words.0, ""), (by, "ce")]].concat()).await;
        assert_eq!(empty.status, StatusCode::UNPROCESSABLE_ENTITY, "{address}");
        let done = browser.post(address, &[&hidden[..], &[words, (by, "ce")]].concat()).await;
        assert_eq!(done.location(), format!("/records?written={seq}#stopped"), "{}", done.text);
        assert!(browser.get(done.location()).await.text.contains(words.1));
    }
    assert!(!browser.get("/").await.text.contains("do not fit"));
    assert_eq!(send(&mut browser, &with(&[("do", "sign")])).await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn ident_the_chain_is_walked_and_a_wrong_code_is_told_from_a_mistyped_one() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    send(&mut browser, &with(&[("do", "sign")])).await;
    let now = "2026-11-16T04:20:00Z".parse().unwrap();
    let (_, seal) = aboard.desk.seal("ce", now).unwrap();
    let token = browser.get("/records").await.hidden("_token");
    let walked = browser.post("/records/verify", &[("_token", &token)]).await.text;
    assert!(walked.contains("All 2 entries follow each other unbroken"), "{walked}");
    let (day, code) = (seal.day.to_string(), seal.code().to_string());
    for (day, code, says) in [
        (day.as_str(), code.as_str(), "is the record’s own"),
        (&day, "7381-FKRX-XVV7-7", "The code is not this record’s"),
        (&day, "7381-FKRX-XVV7-8", "That is no seal"),
        ("2020-01-01", &code, "No seal for that day"),
        ("yesterday", &code, "is not a date: write it as 2026-11-25"),
        (&day, "", "Write the thirteen signs"),
    ] {
        let page = browser
            .post("/records/seal", &[("_token", &token), ("day", day), ("code", code)])
            .await
            .text;
        assert!(page.contains(says), "{day} {code}: {says}");
    }
}

#[tokio::test]
async fn ident_the_day_is_sealed_by_a_press_and_its_code_is_the_records_own() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    send(&mut browser, &with(&[("do", "sign")])).await;
    let token = browser.get("/records").await.hidden("_token");
    let nobody = browser.post("/records/seal-day", &[("_token", &token), ("sealer", "")]).await;
    assert_eq!(nobody.status, 422, "{}", nobody.text);
    assert_eq!(aboard.desk.seals(5).unwrap().len(), 0);
    let token = nobody.hidden("_token");
    let done = browser.post("/records/seal-day", &[("_token", &token), ("sealer", "ce")]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let seals = aboard.desk.seals(5).unwrap();
    let [sealed] = &seals[..] else { panic!("{} seals", seals.len()) };
    let page = browser.get(&format!("/records?sealed={}", sealed.seq)).await.text;
    assert!(page.contains(&sealed.code.to_string()) && page.contains("Sealed."), "{page}");
    // An address made up announces nothing; nothing new is nothing to seal.
    assert!(!browser.get("/records?sealed=1").await.text.contains("Sealed."));
    let check = aboard.desk.compare_seal(sealed.seal.day, &sealed.code.to_string()).unwrap();
    assert!(matches!(check, logbook::SealCheck::Matches { .. }), "{check:?}");
}

/// A figure that cannot be so waits for a word; one that was read is not read again beside itself.
#[tokio::test]
async fn ident_a_doubtful_correction_and_a_second_reading_of_one_minute_are_asked_about() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let signed = send(&mut browser, &with(&[("do", "sign")])).await;
    assert_eq!(signed.status, 303, "{}", signed.text);
    let again = send(&mut browser, &with(&[("do", "sign")])).await;
    assert_eq!(again.status, 422);
    assert!(
        again.text.contains("for this minute already, with the same figures"),
        "{}",
        again.text
    );
    let seq = aboard.desk.head().unwrap().0.to_string();
    let to = format!("/readings/correct?seq={seq}&key=jacket_in_c");
    let token = browser.get(&to).await.hidden("_token");
    let fields = |stands: &'static str| {
        let mut fields = vec![("seq", seq.as_str()), ("key", "jacket_in_c"), ("text", "40")];
        fields.extend([("unit", "degC"), ("reason", "misread"), ("actor", "2e")]);
        fields.push(("stands", stands));
        fields
    };
    let asked = browser
        .post("/readings/correct", &[&[("_token", token.as_str())], &fields("")[..]].concat())
        .await;
    assert_eq!(asked.status, 422, "{}", asked.text);
    assert!(
        asked.text.contains("Does not fit:")
            && asked.text.contains("cannot stand together: read both again")
            && asked.text.contains("Let 40 stand")
    );
    let token = asked.hidden("_token");
    let taken = browser
        .post("/readings/correct", &[&[("_token", token.as_str())], &fields("40")[..]].concat())
        .await;
    assert_eq!(taken.status, 303, "{}", taken.text);
}

/// Names in the order of the page, between two marks in it.
fn order<'a>(page: &'a str, before: &str) -> Vec<&'a str> {
    page.split(before).skip(1).map(|rest| rest.split('"').next().unwrap()).collect()
}

#[tokio::test]
async fn ident_the_printed_sheet_has_the_order_of_the_form() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let form = browser.get("/readings").await.text;
    let sheet = browser.get("/readings/sheet").await.text;
    let form: Vec<_> =
        order(&form, "<label for=\"").into_iter().take_while(|name| *name != "at").collect();
    let sheet = order(&sheet, "data-key=\"");
    assert!(sheet.len() > 20, "{sheet:?}");
    assert_eq!(form, sheet);
}

/// An address space of identifiers is one page: no two elements share one, and nothing is inline.
#[tokio::test]
async fn ident_pages_carry_no_inline_code_and_no_identifier_twice() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    send(&mut browser, &with(&[("do", "sign")])).await;
    for path in
        ["/", "/readings", "/readings/sheet", "/readings/trend?key=sea_out_c&hours=24", "/records"]
    {
        let page = browser.get(path).await;
        assert_eq!(page.status, StatusCode::OK, "{path}");
        assert!(page.text.len() < 200_000, "{path}: {} bytes", page.text.len());
        for inline in [" style=", "<style", " onclick", "javascript:"] {
            assert!(!page.text.contains(inline), "{path}: {inline}");
        }
        let mut ids = order(&page.text, " id=\"");
        let all = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), all, "{path}");
    }
}
