//! The work itself in a real browser: a round typed and signed, a lost link, sliders, the keyboard alone, the paper.

use browse::{Browser, Key};
use serde_json::{Value, json};

use crate::aboard::Aboard;

/// A round of a plant that runs as in the round before; nobody would doubt it.
const ROUND: [(&str, &str); 8] = [
    ("engine_load_percent", "79"),
    ("barometer_hpa", "1014"),
    ("vapour_temp_c", "45.5"),
    ("jacket_in_c", "83.5"),
    ("jacket_out_c", "74.0"),
    ("sea_temp_c", "29.5"),
    ("sea_out_c", "40.0"),
    ("actor", "3e"),
];

fn says(browser: &Browser) -> String {
    browser.find("#answer .says").unwrap().text().unwrap()
}

fn fill(browser: &Browser, fields: &[(&str, &str)]) {
    for (name, text) in fields {
        browser.find(&format!("[id='{name}']")).unwrap().fill(text).unwrap();
    }
}

fn signed(browser: &Browser) {
    browser.until("the signed round", |b| Ok(b.address()?.contains("?signed="))).unwrap();
    let told = browser.find("#answer p[role=status]").unwrap().text().unwrap();
    assert!(told.starts_with("Signed") && told.contains("as entry"), "{told}");
    assert!(told.contains("by 3e"), "{told}");
}

#[test]
fn a_round_is_checked_as_typed_and_signed() {
    let aboard = Aboard::start();
    let browser = &aboard.browser;
    browser.goto(&aboard.demo.at("/readings")).unwrap();
    fill(browser, &ROUND);
    // What is expected appears beside the box, and a word on what was read, before anything is sent.
    // Read in one go: these parts are put in anew while the form is typed in.
    let says_now = |part: &str, wanted: &str| {
        let script = "return document.getElementById(arguments[0])?.textContent.trim() ?? ''";
        let id = json!([format!("jacket_out_c-{part}")]);
        let seen = |b: &Browser| {
            Ok(b.run(script, id.clone())?.as_str().is_some_and(|text| text.contains(wanted)))
        };
        browser.until(wanted, seen).unwrap();
    };
    says_now("was", "expect ");
    says_now("word", "fits");
    browser.find("#sign").unwrap().click().unwrap();
    signed(browser);
    let newest = browser.find("main table tbody tr th").unwrap().text().unwrap();
    assert_eq!(newest, "16 Nov 14:20");
    assert_eq!(browser.find("#jacket_in_c").unwrap().value().unwrap(), "", "the draft is gone");
}

#[test]
fn what_was_typed_is_brought_back_after_the_page_was_closed() {
    let aboard = Aboard::start();
    let browser = &aboard.browser;
    browser.goto(&aboard.demo.at("/readings")).unwrap();
    fill(browser, &[("jacket_in_c", "82.7"), ("remark", "rolling")]);
    browser.goto(&aboard.demo.at("/")).unwrap();
    browser.goto(&aboard.demo.at("/readings")).unwrap();
    assert_eq!(browser.find("#jacket_in_c").unwrap().value().unwrap(), "82.7");
    assert_eq!(browser.find("#remark").unwrap().value().unwrap(), "rolling");
    let told = browser.find("form > .kept").unwrap().text().unwrap();
    assert!(told.contains("Brought back") && told.contains("not in the log yet"), "{told}");
    browser.pressable("Clear it").unwrap().click().unwrap();
    assert_eq!(browser.find("#jacket_in_c").unwrap().value().unwrap(), "");
}

#[test]
fn a_round_signed_while_the_link_is_lost_is_sent_when_it_is_back() {
    let aboard = Aboard::start();
    let browser = &aboard.browser;
    browser.goto(&aboard.demo.at("/readings")).unwrap();
    fill(browser, &ROUND);
    browser.link(false).unwrap();
    browser.find("#sign").unwrap().click().unwrap();
    let told = |b: &Browser| b.find("form > .kept")?.text();
    browser.until("the notice", |b| Ok(told(b)?.contains("No answer"))).unwrap();
    assert_eq!(browser.find("#jacket_in_c").unwrap().value().unwrap(), "83.5");
    browser.link(true).unwrap();
    signed(browser);
}

#[test]
fn a_slider_moves_its_number_and_the_page_follows() {
    let aboard = Aboard::start();
    let browser = &aboard.browser;
    browser.goto(&aboard.demo.at("/plant")).unwrap();
    browser.run("window.sameVisit = true", json!([])).unwrap();
    let (before, map) = (says(browser), drawn(browser));
    // A press in the middle of the slider puts the sea half way along it.
    browser.find("input[data-of=sea_temp_c]").unwrap().click().unwrap();
    let sea = browser.find("#sea_temp_c").unwrap().value().unwrap();
    assert_ne!(sea, "29.5");
    let wanted = format!("In {:.1} °C sea", sea.parse::<f64>().unwrap());
    browser.until("the new answer", |b| Ok(says(b).starts_with(&wanted))).unwrap();
    assert_ne!(says(browser), before);
    assert_ne!(drawn(browser), map, "the point on the map stands where it stood");
    assert!(browser.address().unwrap().contains(&format!("sea_temp_c={sea}")));
    assert_eq!(browser.run("return window.sameVisit ?? false", json!([])).unwrap(), json!(true));
    // The address alone gives the same page again.
    let answer = says(browser);
    browser.scripts(false).unwrap();
    browser.goto(&browser.address().unwrap()).unwrap();
    assert_eq!(says(browser), answer);
}

fn drawn(browser: &Browser) -> Value {
    let script = "return document.querySelector('#plant-map svg').outerHTML";
    browser.run(script, json!([])).unwrap()
}

/// The whole job without a mouse: WCAG 2.2, success criterion 2.1.1.
#[test]
fn ref_wcag_a_round_is_read_and_signed_by_keys_alone() {
    let aboard = Aboard::start();
    let browser = &aboard.browser;
    let here = |b: &Browser| b.focused()?.attribute("id").map(Option::unwrap_or_default);
    let walk = |key: Key, to: &str| {
        for _ in 0..200 {
            if here(browser).unwrap() == to {
                return;
            }
            browser.press(key).unwrap();
        }
        panic!("{to} is not reached");
    };
    while browser.focused().unwrap().text().unwrap() != "Readings" {
        browser.press(Key::Tab).unwrap();
    }
    browser.press(Key::Enter).unwrap();
    browser.until("the page Readings", |b| Ok(b.address()?.ends_with("/readings"))).unwrap();
    walk(Key::Tab, "engine_load_percent");
    let line = |key: &str| browser.find(&format!("[id='{key}']")).unwrap();
    // "=" repeats the last reading, the arrow adds a step, Return goes to the next line.
    browser.focused().unwrap().type_text("=").unwrap();
    assert_eq!(line("engine_load_percent").value().unwrap(), "79");
    browser.press(Key::Up).unwrap();
    assert_eq!(line("engine_load_percent").value().unwrap(), "80");
    browser.press(Key::Enter).unwrap();
    assert_eq!(here(browser).unwrap(), "engine_jacket_out_c");
    for (key, text) in &ROUND[3..7] {
        walk(Key::Enter, key);
        browser.focused().unwrap().type_text(text).unwrap();
    }
    // A reading that was not taken is a word away.
    browser.press(Key::Tab).unwrap();
    browser.press(Key::Down).unwrap();
    let why = browser.run("return document.activeElement.value", json!([])).unwrap();
    assert_eq!(why, "weather");
    walk(Key::Tab, "remark");
    walk(Key::Tab, "actor");
    browser.focused().unwrap().type_text("3e").unwrap();
    browser.press(Key::Enter).unwrap();
    assert_eq!(here(browser).unwrap(), "sign");
    browser.press(Key::Enter).unwrap();
    signed(browser);
}

#[test]
fn the_watch_sheet_is_one_side_of_paper() {
    let aboard = Aboard::start();
    aboard.browser.goto(&aboard.demo.at("/readings/sheet")).unwrap();
    assert_eq!(aboard.browser.sheets().unwrap(), 1);
}

/// The index carries more pages than it has today, and keeps every one in view.
#[test]
fn ten_pages_are_all_in_view_on_a_phone() {
    let aboard = Aboard::start();
    aboard.browser.resize(360, 740).unwrap();
    let script = "const list = document.querySelector('nav.index ul');\
        const names = ['Now', 'Passage', 'Plant', 'Readings', 'Findings', 'Procedures', 'Water', 'Practice', 'Records', 'Ship'];\
        const one = list.querySelector('li:not(:has([aria-current]))');\
        list.replaceChildren(...names.map(name => {\
            const item = one.cloneNode(true); item.firstChild.textContent = name; return item; }));\
        return [...list.querySelectorAll('a')].map(a => {\
            const box = a.getBoundingClientRect();\
            return [Math.round(box.top), box.left >= 0 && box.right <= 360.5, a.scrollWidth <= a.clientWidth]; })";
    let places = aboard.browser.run(script, json!([])).unwrap();
    let places = places.as_array().unwrap();
    let rows: std::collections::BTreeSet<_> = places.iter().map(|p| p[0].to_string()).collect();
    assert_eq!(rows.len(), 2, "{places:?}");
    assert!(places.iter().all(|p| p[1] == true && p[2] == true), "{places:?}");
}
