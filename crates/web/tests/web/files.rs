//! Files of readings brought in through the page, and the record taken out again.

use axum::body::Body;
use axum::http::header::CONTENT_TYPE;
use axum::http::{Request, StatusCode};

use crate::help::{Answer, Browser, between};
use crate::pages::Aboard;

const KEPT: &str = "HT in;Sea temp (°C);Zeit;Remark\r\n83,0;29,1;2026-11-15 08:00;clear\r\n82,4;warm;2026-11-15 12:00;\r\n";

/// Sends a file as a browser's own form does and follows to the page.
async fn send(browser: &mut Browser, name: &str, content: &[u8]) -> (String, Answer) {
    let token =
        between(&browser.get("/readings/import").await.text, "/readings/import?_token=", "\"");
    let head = format!(
        "--b\r\ncontent-disposition: form-data; name=\"file\"; filename=\"{name}\"\r\ncontent-type: text/csv\r\n\r\n"
    );
    let body = [head.as_bytes(), content, b"\r\n--b--\r\n"].concat();
    let request = Request::post(format!("/readings/import?_token={token}"))
        .header(CONTENT_TYPE, "multipart/form-data; boundary=b")
        .header("origin", format!("http://{}", browser.host))
        .body(Body::from(body))
        .unwrap();
    let sent = browser.send(request).await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.text);
    let to = sent.location().to_owned();
    let page = browser.get(&to).await;
    (to, page)
}

async fn take(browser: &mut Browser, page: &Answer, address: &str, actor: &str) -> Answer {
    let query = address.split_once('?').unwrap().1.to_owned();
    let mut fields: Vec<(String, String)> = query
        .split('&')
        .map(|pair| {
            let (name, text) = pair.split_once('=').unwrap();
            (name.to_owned(), decoded(text))
        })
        .collect();
    fields.push(("_token".into(), page.hidden("_token")));
    fields.push(("_once".into(), page.hidden("_once")));
    fields.push(("actor".into(), actor.into()));
    let fields: Vec<_> = fields.iter().map(|(n, t)| (n.as_str(), t.as_str())).collect();
    browser.post("/readings/import/take", &fields).await
}

fn decoded(text: &str) -> String {
    let mut bytes = Vec::new();
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'+' => b' ',
            b'%' => {
                let hex = [rest.next().unwrap(), rest.next().unwrap()];
                u8::from_str_radix(std::str::from_utf8(&hex).unwrap(), 16).unwrap()
            }
            plain => plain,
        });
    }
    String::from_utf8(bytes).unwrap()
}

#[tokio::test]
async fn ident_a_file_is_understood_by_what_is_said_of_it_then_taken_once() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let (address, page) = send(&mut browser, "..\\<b>round.csv", KEPT.as_bytes()).await;
    assert!(page.text.contains("no column of times") && !page.text.contains("<b>round"));
    let said = "&times=UTC&h0=HT+in&c0=jacket_in_c&u0=degC&h1=Sea+temp+(%C2%B0C)&c1=sea_temp_c&u1=\
                &h2=Zeit&c2=time&u2=&h3=Remark&c3=&u3=";
    let address = format!("{}{said}", address.replace("&times=", ""));
    let page = browser.get(&address).await;
    let text = &page.text;
    assert!(
        text.contains("<b class=\"fig\">3<small>values</small></b> new to the record"),
        "{text}"
    );
    assert!(text.contains("decimal comma") && text.contains(">warm<"), "{text}");
    assert_eq!(aboard.desk.head().unwrap().0, 0, "looking writes nothing");

    let nobody = take(&mut browser, &page, &address, "").await;
    assert_eq!(nobody.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(nobody.text.contains("write one to twelve letters"), "{}", nobody.text);
    let taken = take(&mut browser, &page, &address, "3e").await;
    assert_eq!(taken.location(), "/readings/import?taken=3");
    let told = browser.get(taken.location()).await.text;
    assert!(told.contains("3 values") && told.contains("1 cell was not taken"), "{told}");

    let (_, again) = send(&mut browser, "round.csv", KEPT.as_bytes()).await;
    assert!(again.text.contains("Nothing new"), "what was said is remembered: {}", again.text);
    let readings = browser.get("/readings").await.text;
    assert!(readings.contains("83,0") || readings.contains("83.0"), "{readings}");
}

#[tokio::test]
async fn ident_a_wrong_declaration_and_what_is_no_file_are_told() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let (address, _) = send(&mut browser, "a.csv", KEPT.as_bytes()).await;
    for (said, says) in [
        ("&h0=HT+in&c0=jacket_in&u0=", "no such reading; did you mean jacket_in_c?"),
        (
            "&h0=HT+in&c0=jacket_in_c&u0=bar",
            "does not say how Jacket water in is measured: °C, K, °F would do",
        ),
    ] {
        let page = browser.get(&format!("{address}{said}")).await;
        assert_eq!(page.status, StatusCode::OK);
        assert!(page.text.contains(says), "{says}: {}", page.text);
    }
    let (_, binary) = send(&mut browser, "a.xls", b"\xd0\xcf\x11\xe0\x00\x01").await;
    assert!(binary.text.contains("this is not a CSV file"), "{}", binary.text);
    let gone = browser.get(&format!("/readings/import?file={}", "0".repeat(64))).await;
    assert!(gone.text.contains("no longer held here"));
    let outside = browser.get("/readings/import?file=../ship.toml").await;
    assert!(outside.text.contains("no longer held here"));
}

#[tokio::test]
async fn ident_the_look_says_whose_time_which_order_and_what_is_odd() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let file = "Time;Vacuum (°C);distillate_meter_m3\n14.11.2026 08:00;45;1000\n15.11.2026 08:00;45;990\n11.16.2026 08:00;45;999\n";
    let (address, page) = send(&mut browser, "a.csv", file.as_bytes()).await;
    let text = &page.text;
    assert!(text.contains("was never set in this record: they are taken as UTC"), "{text}");
    assert!(text.contains("the day comes first, as “14.11.2026 08:00” in line 2"), "{text}");
    assert!(text.contains("does not say how Vacuum is measured: % vac"), "{text}");
    assert!(text.contains("write 2026-11-16 or 16 Nov 2026"), "{text}");
    assert!(text.contains("Worth a second look") && text.contains("A counter does not run back"));
    let page = browser.get(&address.replace("&times=", "&times=%2B10:00")).await;
    assert!(page.text.contains("are UTC+10:00, as was said"), "{}", page.text);
    assert!(page.text.contains("2026-11-13 22:00"), "{}", page.text);
    let page = browser.get(&address.replace("&times=", "&times=noon")).await;
    assert!(page.text.contains("Not understood") && page.text.contains("noon"), "{}", page.text);
}

#[tokio::test]
async fn ident_what_is_taken_out_brings_nothing_new_back() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let file = "time,jacket_in_c,sea_temp_c\n2026-11-15T08:00:00Z,83.0,29.1\n2026-11-15T12:00:00Z,82.4,29.0\n";
    let (address, page) = send(&mut browser, "a.csv", file.as_bytes()).await;
    assert_eq!(take(&mut browser, &page, &address, "3e").await.status, StatusCode::SEE_OTHER);
    let csv = browser.get("/records/record.csv").await;
    assert_eq!(csv.header("content-type"), "text/csv; charset=utf-8");
    assert_eq!(
        csv.header("content-disposition"),
        "attachment; filename=\"record-2026-11-16-0420.csv\""
    );
    let (_, back) = send(&mut browser, "back.csv", csv.text.as_bytes()).await;
    assert!(
        back.text.contains("Nothing new: 4 stand already, in it or twice in the file, 0 cells"),
        "{}",
        back.text
    );
    let lines = browser.get("/records/record.jsonl").await.text;
    assert_eq!(lines.lines().count(), 3);
    assert!(lines.lines().all(|line| line.starts_with("{\"") && line.contains("\"hash\":\"")));
}
