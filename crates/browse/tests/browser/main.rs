//! The harness against two small pages served from here, so that a fault in it is not taken for one of ours.

mod small_site;

use browse::{BrowseError, Browser, Key, Palette, Served};
use serde_json::json;
use small_site::SmallSite;

/// Width, height of a PNG (W3C PNG specification, third edition, 5.3 and 11.2.1: IHDR comes first).
fn png_size(png: &[u8]) -> (u32, u32) {
    assert_eq!(&png[..8], b"\x89PNG\r\n\x1a\n");
    let number = |at: usize| u32::from_be_bytes(png[at..at + 4].try_into().unwrap());
    (number(16), number(20))
}

#[test]
fn typing_pressing_and_reading_back() {
    let site = SmallSite::start();
    let browser = Browser::start().unwrap();
    browser.goto(&site.at("/")).unwrap();
    assert_eq!(browser.title().unwrap(), "Round");
    let field = browser.field("Jacket in, °C").unwrap();
    assert_eq!(field.value().unwrap(), "81.0");
    field.fill("82.4").unwrap();
    field.type_text("5").unwrap();
    assert_eq!(field.value().unwrap(), "82.45");
    browser.pressable("Keep the ship's reading").unwrap().click().unwrap();
    browser.until("the kept page", |b| Ok(b.title()? == "Kept")).unwrap();
    assert!(browser.address().unwrap().ends_with("/kept?jacket-in=82.45"));
    assert_eq!(browser.find("h1").unwrap().text().unwrap(), "Kept");
    assert_eq!(browser.find_all("li").unwrap().len(), 3);
}

#[test]
fn keys_alone_reach_every_field_in_page_order() {
    let site = SmallSite::start();
    let browser = Browser::start().unwrap();
    browser.goto(&site.at("/")).unwrap();
    let spoken = |browser: &Browser| browser.focused().unwrap().spoken().unwrap();
    let pair = |name: &str, role: &str| (name.to_owned(), role.to_owned());
    browser.press(Key::Tab).unwrap();
    assert_eq!(spoken(&browser), pair("Jacket in, °C", "textbox"));
    browser.press(Key::Tab).unwrap();
    assert_eq!(spoken(&browser), pair("Keep the ship's reading", "button"));
    browser.press(Key::ShiftTab).unwrap();
    assert_eq!(spoken(&browser), pair("Jacket in, °C", "textbox"));
    browser.press(Key::Tab).unwrap();
    browser.press(Key::Enter).unwrap();
    browser.until("the kept page", |b| Ok(b.title()? == "Kept")).unwrap();
}

#[test]
fn picture_has_the_asked_width_and_the_whole_height() {
    let site = SmallSite::start();
    let browser = Browser::start().unwrap();
    let mut pictures = Vec::new();
    for palette in [Palette::Day, Palette::Night, Palette::Paper] {
        browser.palette(palette).unwrap();
        browser.resize(360, 740).unwrap();
        browser.goto(&site.at("/")).unwrap();
        let (width, height) = png_size(&browser.picture().unwrap());
        assert_eq!(width, 360);
        // The page holds a block of 2000 px; see small_site.
        assert!((2000..2400).contains(&height), "{height} px high");
        pictures.push(browser.picture().unwrap());
    }
    assert_ne!(pictures[0], pictures[1], "night looks like day");
    assert_ne!(pictures[0], pictures[2], "paper looks like the screen");
    browser.palette(Palette::Day).unwrap();
    assert_eq!(browser.picture().unwrap(), pictures[0], "two looks at one page differ");
}

#[test]
fn outline_holds_names_roles_and_states() {
    let site = SmallSite::start();
    let browser = Browser::start().unwrap();
    browser.goto(&site.at("/")).unwrap();
    let outline = browser.outline().unwrap();
    for line in [
        "- RootWebArea \"Round\"",
        "- heading \"This round\" [level: 1]",
        "- textbox \"Jacket in, °C\" = 81.0 [required: true] (between 60 and 95)",
        "- button \"Keep the ship's reading\"",
        "- image \"Output over two days\"",
    ] {
        assert!(outline.contains(line), "no line {line} in\n{outline}");
    }
}

#[test]
fn complaints_tell_failed_scripts_and_missing_files_once() {
    let site = SmallSite::start();
    let browser = Browser::start().unwrap();
    browser.goto(&site.at("/")).unwrap();
    assert_eq!(browser.complaints().unwrap(), Vec::<String>::new());
    browser.goto(&site.at("/broken")).unwrap();
    // A file that is missing and a script that fails are told as they come, not in one go.
    let mut told = String::new();
    let both = |b: &Browser| {
        told += &b.complaints()?.join("\n");
        Ok(["no such pump", "missing.css"].iter().all(|what| told.contains(what)))
    };
    browser.until("both complaints", both).unwrap();
    assert_eq!(browser.complaints().unwrap(), Vec::<String>::new());
}

#[test]
fn pages_can_be_seen_without_their_scripts_and_without_a_link() {
    let site = SmallSite::start();
    let browser = Browser::start().unwrap();
    let live = |browser: &Browser| browser.find("#live").unwrap().text().unwrap();
    browser.goto(&site.at("/")).unwrap();
    assert_eq!(live(&browser), "script ran");
    browser.scripts(false).unwrap();
    browser.goto(&site.at("/")).unwrap();
    assert_eq!(live(&browser), "script has not run");
    browser.scripts(true).unwrap();
    browser.goto(&site.at("/")).unwrap();
    assert_eq!(live(&browser), "script ran");
    browser.link(false).unwrap();
    assert!(matches!(browser.goto(&site.at("/")), Err(BrowseError::Refused { .. })));
    browser.link(true).unwrap();
    browser.goto(&site.at("/")).unwrap();
}

#[test]
fn a_script_gets_arguments_and_gives_values_back() {
    let site = SmallSite::start();
    let browser = Browser::start().unwrap();
    browser.goto(&site.at("/")).unwrap();
    let heading = browser.find("h1").unwrap();
    let got = browser
        .run(
            "return [arguments[0].textContent, arguments[1] * 2]",
            json!([heading.as_argument(), 21]),
        )
        .unwrap();
    assert_eq!(got, json!(["This round", 42]));
    let thrown = browser.run("throw new Error('air leak')", json!([])).unwrap_err();
    assert!(thrown.to_string().contains("air leak"), "{thrown}");
    let missing = browser.find("#nowhere").unwrap_err();
    assert!(missing.to_string().contains("no such element"), "{missing}");
}

#[test]
fn a_program_that_prints_no_address_is_shown_with_its_last_words() {
    let mut command = std::process::Command::new(env!("CARGO"));
    command.arg("--version");
    let error = Served::start(command).unwrap_err().to_string();
    assert!(error.contains("no http:// address") && error.contains("cargo 1."), "{error}");
    let missing = std::process::Command::new("no-such-program");
    let error = Served::start(missing).unwrap_err();
    assert!(matches!(error, BrowseError::NotStarted { .. }), "{error}");
}
