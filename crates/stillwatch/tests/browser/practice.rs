//! Practice in a real browser: a run that goes on by itself, handles turned without a new page, a link that is lost.

use browse::{Browser, Key, Palette};
use serde_json::{Value, json};

use crate::aboard::Aboard;

fn begin(aboard: &Aboard, drill: &str) {
    let browser = &aboard.browser;
    browser.goto(&aboard.demo.at("/practice")).unwrap();
    browser.find(&format!("button[name=drill][value={drill}]")).unwrap().click().unwrap();
    browser.until("the run", |b| Ok(b.address()?.contains("/practice/run?id="))).unwrap();
}

fn press(browser: &Browser, what: &str) {
    browser.click(&format!("button[name=do][value='{what}']")).unwrap();
}

/// Waits until a place shows some words; read in one go, for it is put in anew all the while.
fn shows(browser: &Browser, place: &str, wanted: &str) {
    let script = "return document.querySelector(arguments[0])?.textContent ?? ''";
    let seen = |b: &Browser| {
        Ok(b.run(script, json!([place]))?.as_str().is_some_and(|text| text.contains(wanted)))
    };
    browser.until(&format!("{wanted} in {place}"), seen).unwrap();
}

#[test]
fn a_run_goes_on_by_itself_and_its_handles_turn_without_a_new_page() {
    let aboard = Aboard::start();
    let browser = &aboard.browser;
    begin(&aboard, "tropics");
    browser.run("window.same = true", json!([])).unwrap();
    press(browser, "pace~Sixty times");
    press(browser, "turn~overboard~100");
    shows(browser, "[data-cell='stands-1']", "100 %");
    shows(browser, "[data-live='open-1']", "100 %");
    shows(browser, "[data-part='event']", "overboard to 100 %");
    let lever = "return document.querySelector('[data-live=lever-1]').getAttribute('transform')";
    let open = |b: &Browser| Ok(b.run(lever, json!([]))? == json!("rotate(0 722 604)"));
    browser.until("the lever along its pipe", open).unwrap();
    // Typed by keys alone, and refused without losing the page.
    let box_of = |b: &Browser, text: &str| {
        b.find("input[name='to~feed']").unwrap().fill(text).unwrap();
        b.press(Key::Enter).unwrap();
    };
    box_of(browser, "140");
    shows(browser, "#said", "140 % cannot be");
    box_of(browser, "40");
    shows(browser, "[data-cell='stands-8']", "40 %");
    press(browser, "pace~Hold");
    let held = "return document.querySelector('[data-hold]').classList.contains('held')";
    browser.until("the run held", |b| Ok(b.run(held, json!([]))? == true)).unwrap();
    assert_eq!(browser.run("return window.same === true", json!([])).unwrap(), true);
    // The browser itself notes the refusal of 140 %; nothing else.
    let complaints = browser.complaints().unwrap();
    assert!(complaints.iter().all(|words| words.contains("status of 422")), "{complaints:?}");
}

#[test]
fn a_press_is_not_lost_with_what_changes_under_the_finger() {
    let aboard = Aboard::start();
    let browser = &aboard.browser;
    begin(&aboard, "tropics");
    let [held, sixty] = ["Hold", "Sixty times"].map(|pace| format!("button[value='pace~{pace}']"));
    browser.touch(&sixty).unwrap();
    // What the stream brings meanwhile, here at once: the same place with other words in it.
    let changed = "const place = document.querySelector('[data-part=pace]');\
        const html = place.innerHTML.replaceAll('Sixty times', 'Sixty  times');\
        return import(document.querySelector('script[src*=practise]').src).then(({ take }) => {\
            take({ parts: { pace: html } }); return place.innerHTML !== html });";
    assert_eq!(browser.run(changed, json!([])).unwrap(), true, "changed under the finger");
    browser.lift().unwrap();
    let goes = "return !document.querySelector('[data-hold]').classList.contains('held')";
    browser.until("the run going", |b| Ok(b.run(goes, json!([]))? == true)).unwrap();
    browser.click(&held).unwrap();
    shows(browser, "#said", "");
}

#[test]
fn a_lost_link_is_told_and_found_again() {
    let aboard = Aboard::start();
    let browser = &aboard.browser;
    begin(&aboard, "tropics");
    browser.link(false).unwrap();
    press(browser, "turn~overboard~100");
    shows(browser, "#said", "No answer from the ship’s computer");
    browser.link(true).unwrap();
    press(browser, "turn~overboard~100");
    shows(browser, "#said", "");
    shows(browser, "[data-part='event']", "overboard to 100 %");
}

#[test]
fn a_run_holds_on_every_width_and_palette() {
    let aboard = Aboard::start();
    let browser = &aboard.browser;
    begin(&aboard, "scaled");
    let small = "return [...document.querySelectorAll('button:not(.unseen), select, input:not([type=hidden]):not([type=checkbox])')]\
        .filter(one => one.getClientRects().length > 0 && one.getBoundingClientRect().height < 47.5)\
        .map(one => one.outerHTML.slice(0, 80))";
    let nameless = "return [...document.querySelectorAll('button, input:not([type=hidden]), select')]\
        .filter(one => !(one.getAttribute('aria-label') || one.textContent || one.labels?.length)).length";
    for palette in [Palette::Day, Palette::Night] {
        browser.palette(palette).unwrap();
        for width in [360, 1024, 1920] {
            browser.resize(width, 900).unwrap();
            let needed = browser.run("return document.documentElement.scrollWidth", json!([]));
            assert!(needed.unwrap().as_u64().unwrap() <= u64::from(width), "{width} px");
            assert_eq!(browser.run(small, json!([])).unwrap(), json!([]), "{width} px");
            assert_eq!(browser.run(nameless, json!([])).unwrap(), json!(0));
        }
    }
    // Every picture tells in words what it shows, every valve with it.
    let told =
        "return [...document.querySelectorAll('.vessel-picture desc')].map(one => one.textContent)";
    let told = browser.run(told, json!([])).unwrap();
    let told = told.as_array().unwrap();
    assert_eq!(told.len(), 2);
    for words in
        ["jacket by-pass shut", "overboard 100 %", "The brine boils", "ejector pump running"]
    {
        assert!(told.iter().filter_map(Value::as_str).all(|text| text.contains(words)), "{words}");
    }
}
