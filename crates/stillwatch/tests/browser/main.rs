//! The demonstration ship in a real browser: what must hold on every page, at every width, in every palette.
//!
//! Each test starts the program and a browser of its own. The seed and the clock are fixed, so that a page is the
//! same every time. Run with `cargo xtask test --only browser`.

mod aboard;
mod practice;
mod work;

use std::collections::BTreeSet;

use aboard::Aboard;
use browse::{Key, Palette};
use serde_json::{Value, json};

const WIDTHS_PX: [u32; 3] = [360, 1024, 1920];

#[test]
fn every_page_opens_without_a_complaint_and_marks_itself_in_the_index() {
    let aboard = Aboard::start();
    for page in aboard.pages() {
        aboard.open(&page);
        let complaints = aboard.browser.complaints().unwrap();
        assert!(complaints.is_empty(), "{}: {complaints:#?}", page.name);
        let here = aboard.browser.find("nav.index [aria-current=page]").unwrap();
        assert_eq!(here.text().unwrap(), page.name);
        let title = aboard.browser.title().unwrap();
        assert!(title.contains("Marram"), "{}: titled {title:?}", page.name);
    }
}

#[test]
fn nothing_comes_from_outside_the_ship() {
    let aboard = Aboard::start();
    for page in aboard.pages() {
        aboard.open(&page);
        let script = "return performance.getEntriesByType('resource').map(entry => entry.name)";
        let fetched = aboard.browser.run(script, json!([])).unwrap();
        let fetched = fetched.as_array().unwrap();
        assert!(!fetched.is_empty(), "{}: not even a style sheet", page.name);
        for address in fetched.iter().filter_map(Value::as_str) {
            let ours = address.starts_with(aboard.demo.address()) || address.starts_with("data:");
            assert!(ours, "{}: fetches {address}", page.name);
        }
    }
}

#[test]
fn no_page_scrolls_sideways() {
    let aboard = Aboard::start();
    for width in WIDTHS_PX {
        aboard.browser.resize(width, 900).unwrap();
        for page in aboard.pages() {
            aboard.open(&page);
            let script = "return document.documentElement.scrollWidth";
            let needed = aboard.browser.run(script, json!([])).unwrap().as_u64().unwrap();
            assert!(needed <= u64::from(width), "{} at {width} px needs {needed} px", page.name);
        }
    }
}

/// WCAG 2.2, success criteria 1.1.1, 2.4.4, 3.3.2 and 4.1.2.
#[test]
fn ref_wcag_every_control_link_and_picture_has_a_name() {
    let aboard = Aboard::start();
    // The button that Enter presses first is for the browser alone: neither seen, spoken nor reached by keys.
    let named = "a[href], button:not([aria-hidden=true]), input:not([type=hidden]), select, textarea, summary, [role=img]";
    for page in aboard.pages() {
        aboard.open(&page);
        for element in aboard.browser.find_all(named).unwrap() {
            let shown = "return arguments[0].checkVisibility()";
            if aboard.browser.run(shown, json!([element.as_argument()])).unwrap() == true {
                let (name, role) = element.spoken().unwrap();
                let id = element.attribute("id").unwrap().unwrap_or_default();
                assert!(!name.trim().is_empty(), "{}: a {role} {id:?} has no name", page.name);
            }
        }
    }
}

/// Targets for gloved hands: 48 px, twice what WCAG 2.2, criterion 2.5.8, asks for.
#[test]
fn ref_wcag_what_is_pressed_is_large_enough_for_gloves() {
    let aboard = Aboard::start();
    let script = "return [...document.querySelectorAll(\
        'button, select, input:not([type=hidden]):not([type=checkbox]):not([type=radio]), nav a')]\
        .filter(one => one.getClientRects().length > 0)\
        .map(one => [one.outerHTML.slice(0, 80), one.getBoundingClientRect().height])\
        .filter(([, height]) => height < 47.5)";
    for width in WIDTHS_PX {
        aboard.browser.resize(width, 900).unwrap();
        for page in aboard.pages() {
            aboard.open(&page);
            let small = aboard.browser.run(script, json!([])).unwrap();
            assert_eq!(small, json!([]), "{} at {width} px", page.name);
        }
    }
}

#[test]
fn every_page_says_the_same_without_script() {
    let aboard = Aboard::start();
    let script = "return [...document.querySelectorAll('h1, h2, h3, .says, form, svg[role=img] > title')]\
        .map(one => one.matches('form') ? one.getAttribute('action') : one.textContent)";
    for page in aboard.pages() {
        aboard.browser.scripts(false).unwrap();
        aboard.open(&page);
        let without = aboard.browser.run(script, json!([])).unwrap();
        aboard.browser.scripts(true).unwrap();
        aboard.open(&page);
        let with = aboard.browser.run(script, json!([])).unwrap();
        assert!(without.as_array().is_some_and(|all| all.len() > 1), "{}: {without}", page.name);
        let set = |list: &Value| -> BTreeSet<String> {
            list.as_array().unwrap().iter().map(Value::to_string).collect()
        };
        let lost: Vec<String> = set(&with).difference(&set(&without)).cloned().collect();
        assert!(lost.is_empty(), "{}: only with script: {lost:?}", page.name);
    }
}

#[test]
fn keys_alone_reach_the_skip_link_then_every_page() {
    let aboard = Aboard::start();
    let pages = aboard.pages();
    aboard.open(&pages[0]);
    let mut reached = Vec::new();
    for _ in 0..=pages.len() {
        aboard.browser.press(Key::Tab).unwrap();
        reached.push(aboard.browser.focused().unwrap().spoken().unwrap().0);
    }
    let mut wanted = vec!["Skip to the answer".to_owned()];
    wanted.extend(pages.iter().map(|page| page.name.clone()));
    assert_eq!(reached, wanted);
    aboard.browser.press(Key::Enter).unwrap();
    let last = aboard.demo.at(&pages[pages.len() - 1].path);
    aboard.browser.until("the last page", |browser| Ok(browser.address()? == last)).unwrap();
}

/// Relative luminance and contrast by WCAG 2.2, "relative luminance" and "contrast ratio"; 4.5 by criterion 1.4.3.
#[test]
fn ref_wcag_text_stands_out_by_day_and_by_night() {
    let aboard = Aboard::start();
    for (palette, is_light) in [(Palette::Day, true), (Palette::Night, false)] {
        aboard.browser.palette(palette).unwrap();
        for page in aboard.pages() {
            aboard.open(&page);
            let style = "const style = getComputedStyle(arguments[0] === 'page'\
                ? (getComputedStyle(document.body).backgroundColor === 'rgba(0, 0, 0, 0)'\
                ? document.documentElement : document.body) : document.querySelector('main'));\
                return arguments[0] === 'page' ? style.backgroundColor : style.color";
            let colour = |of: &str| {
                let text = aboard.browser.run(style, json!([of])).unwrap();
                luminance(text.as_str().unwrap())
            };
            let (paper, ink) = (colour("page"), colour("ink"));
            assert_eq!(paper > ink, is_light, "{} {palette:?}: {paper} {ink}", page.name);
            let contrast = (paper.max(ink) + 0.05) / (paper.min(ink) + 0.05);
            assert!(contrast >= 4.5, "{} {palette:?}: contrast {contrast:.2}", page.name);
        }
    }
}

fn luminance(colour: &str) -> f64 {
    let parts: Vec<f64> = colour
        .split(|c: char| !c.is_ascii_digit() && c != '.')
        .filter_map(|part| part.parse().ok())
        .collect();
    let linear = |part: f64| {
        let share = part / 255.0;
        if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * linear(parts[0]) + 0.7152 * linear(parts[1]) + 0.0722 * linear(parts[2])
}

#[test]
fn paper_leaves_out_what_cannot_be_pressed_there() {
    let aboard = Aboard::start();
    aboard.browser.palette(Palette::Paper).unwrap();
    for page in aboard.pages() {
        aboard.open(&page);
        let script = "return [...document.querySelectorAll('nav.index, .foot button')]\
            .filter(one => one.getClientRects().length > 0).length";
        assert_eq!(aboard.browser.run(script, json!([])).unwrap(), json!(0), "{}", page.name);
        let ink = "return getComputedStyle(document.body).color";
        let ink = aboard.browser.run(ink, json!([])).unwrap();
        assert!(luminance(ink.as_str().unwrap()) < 0.05, "{}: printed in {ink}", page.name);
    }
}
