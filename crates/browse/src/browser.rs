//! A browser with one page open, from start to end.

use std::env;
use std::thread;
use std::time::{Duration, Instant};

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::driver::Driver;
use crate::element::Element;
use crate::error::BrowseError;
use crate::outline;
use crate::wire::Wire;

/// Quiet, windowless, sandbox off (the tests run as root in a container), nothing fetched from outside.
const FLAGS: [&str; 13] = [
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--disable-dev-shm-usage",
    "--no-first-run",
    "--no-default-browser-check",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--force-device-scale-factor=1",
    "--font-render-hinting=none",
    "--lang=en",
];

const LOOK_AGAIN_AFTER: Duration = Duration::from_millis(25);

/// How the page is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Palette {
    /// The device asks for light pages.
    Day,
    /// The device asks for dark pages.
    Night,
    /// As it would be printed.
    Paper,
}

/// A key that is not a letter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Key {
    /// On to the next field.
    Tab,
    /// Back to the field before.
    ShiftTab,
    /// Press what is in focus.
    Enter,
    /// Tick what is in focus.
    Space,
    /// Leave.
    Escape,
    /// One more.
    Up,
    /// One less.
    Down,
}

impl Key {
    /// Code points of the WebDriver standard, section "Keyboard actions".
    fn code(self) -> char {
        match self {
            Key::Tab | Key::ShiftTab => '\u{e004}',
            Key::Enter => '\u{e007}',
            Key::Space => ' ',
            Key::Escape => '\u{e00c}',
            Key::Up => '\u{e013}',
            Key::Down => '\u{e015}',
        }
    }
}

/// A browser with a profile of its own. It is closed when this is dropped.
#[derive(Debug)]
pub struct Browser {
    session: Wire,
    // Dropped in this order: the driver ends before its profile is taken away.
    _driver: Driver,
    _profile: TempDir,
}

impl Browser {
    /// Starts the driver and the browser named by `CHROMIUM`, or the one the driver finds.
    /// Animations are asked to stand still, so that two looks at one page see the same.
    ///
    /// # Errors
    /// [`BrowseError::NotStarted`] when no driver is there, otherwise what the driver said.
    pub fn start() -> Result<Browser, BrowseError> {
        let profile = TempDir::new().map_err(BrowseError::Profile)?;
        let mut flags: Vec<String> = FLAGS.iter().map(ToString::to_string).collect();
        flags.push(format!("--user-data-dir={}", profile.path().display()));
        let mut options = json!({ "args": flags });
        if let Ok(binary) = env::var("CHROMIUM") {
            options["binary"] = binary.into();
        }
        let driver = Driver::start()?;
        let wire = Wire::new(driver.address());
        let opened = wire.post(
            "/session",
            &json!({ "capabilities": { "alwaysMatch": {
                "goog:chromeOptions": options,
                "goog:loggingPrefs": { "browser": "ALL" },
            }}}),
        )?;
        let session = wire.below(&format!("/session/{}", text_of(&opened["sessionId"])));
        let browser = Browser { session, _driver: driver, _profile: profile };
        browser.devtools("Emulation.setScrollbarsHidden", json!({ "hidden": true }))?;
        browser.palette(Palette::Day)?;
        browser.resize(1024, 768)?;
        Ok(browser)
    }

    pub(crate) fn session(&self) -> &Wire {
        &self.session
    }

    /// A word of the browser's own protocol, where WebDriver has none.
    fn devtools(&self, command: &str, parameters: Value) -> Result<Value, BrowseError> {
        self.session.post("/goog/cdp/execute", &json!({ "cmd": command, "params": parameters }))
    }

    /// Makes the page exactly so many CSS pixels wide and high, narrower than a window could be.
    ///
    /// # Errors
    /// [`BrowseError::Refused`] for sizes the browser does not take.
    pub fn resize(&self, width_px: u32, height_px: u32) -> Result<(), BrowseError> {
        let size = json!({
            "width": width_px, "height": height_px, "deviceScaleFactor": 1, "mobile": false,
        });
        self.devtools("Emulation.setDeviceMetricsOverride", size).map(drop)
    }

    /// What the device asks pages to look like.
    ///
    /// # Errors
    /// [`BrowseError`] of the call.
    pub fn palette(&self, palette: Palette) -> Result<(), BrowseError> {
        let (media, scheme) = match palette {
            Palette::Day => ("screen", "light"),
            Palette::Night => ("screen", "dark"),
            Palette::Paper => ("print", "light"),
        };
        let wish = json!({ "media": media, "features": [
            { "name": "prefers-color-scheme", "value": scheme },
            { "name": "prefers-reduced-motion", "value": "reduce" },
        ]});
        self.devtools("Emulation.setEmulatedMedia", wish).map(drop)
    }

    /// Turns the pages' own scripts off or on again, from the next page on.
    ///
    /// # Errors
    /// [`BrowseError`] of the call.
    pub fn scripts(&self, run: bool) -> Result<(), BrowseError> {
        self.devtools("Emulation.setScriptExecutionDisabled", json!({ "value": !run })).map(drop)
    }

    /// Cuts the browser's link to the ship's network, or joins it again.
    ///
    /// # Errors
    /// [`BrowseError`] of the call.
    pub fn link(&self, up: bool) -> Result<(), BrowseError> {
        self.devtools("Network.enable", json!({}))?;
        let state = json!({
            "offline": !up, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1,
        });
        self.devtools("Network.emulateNetworkConditions", state).map(drop)
    }

    /// Opens an address and waits until the page has loaded.
    ///
    /// # Errors
    /// [`BrowseError::Refused`] when nothing answers there.
    pub fn goto(&self, address: &str) -> Result<(), BrowseError> {
        self.session.post("/url", &json!({ "url": address })).map(drop)
    }

    /// The address of the open page.
    ///
    /// # Errors
    /// [`BrowseError`] of the call.
    pub fn address(&self) -> Result<String, BrowseError> {
        self.session.get("/url").map(|value| text_of(&value))
    }

    /// The title of the open page.
    ///
    /// # Errors
    /// [`BrowseError`] of the call.
    pub fn title(&self) -> Result<String, BrowseError> {
        self.session.get("/title").map(|value| text_of(&value))
    }

    /// The first element that the CSS selector picks.
    ///
    /// # Errors
    /// [`BrowseError::Refused`] with `no such element`.
    pub fn find(&self, css: &str) -> Result<Element<'_>, BrowseError> {
        let found = self.session.post("/element", &by_css(css))?;
        Element::from_json(self, &found).ok_or_else(|| no_element(css))
    }

    /// Every element that the CSS selector picks, in page order; none is no error.
    ///
    /// # Errors
    /// [`BrowseError::Refused`] when the selector cannot be read.
    pub fn find_all(&self, css: &str) -> Result<Vec<Element<'_>>, BrowseError> {
        let found = self.session.post("/elements", &by_css(css))?;
        let elements = found.as_array().map(Vec::as_slice).unwrap_or_default();
        elements
            .iter()
            .map(|value| Element::from_json(self, value).ok_or_else(|| no_element(css)))
            .collect()
    }

    /// Finds and presses; found again where the page put it in anew in between.
    ///
    /// # Errors
    /// [`BrowseError`] of the call.
    pub fn click(&self, css: &str) -> Result<(), BrowseError> {
        self.until(css, |browser| match browser.find(css)?.click() {
            Err(error) if error.is_stale() => Ok(false),
            pressed => pressed.map(|()| true),
        })
    }

    /// Puts a finger on the middle of an element, and leaves it there until [`Browser::lift`].
    ///
    /// # Errors
    /// [`BrowseError`] of the call.
    pub fn touch(&self, css: &str) -> Result<(), BrowseError> {
        let on = self.find(css)?.as_argument();
        self.pointer(json!([
            { "type": "pointerMove", "duration": 0, "origin": on, "x": 0, "y": 0 },
            { "type": "pointerDown", "button": 0 },
        ]))
    }

    /// Lifts the finger.
    ///
    /// # Errors
    /// [`BrowseError`] of the call.
    pub fn lift(&self) -> Result<(), BrowseError> {
        self.pointer(json!([{ "type": "pointerUp", "button": 0 }]))
    }

    fn pointer(&self, strokes: Value) -> Result<(), BrowseError> {
        let actions =
            json!({ "actions": [{ "type": "pointer", "id": "finger", "actions": strokes }] });
        self.session.post("/actions", &actions).map(drop)
    }

    /// The element in focus.
    ///
    /// # Errors
    /// [`BrowseError::Refused`] when the page has none.
    pub fn focused(&self) -> Result<Element<'_>, BrowseError> {
        let found = self.session.get("/element/active")?;
        Element::from_json(self, &found).ok_or_else(|| no_element("element in focus"))
    }

    /// The link or button whose visible words are exactly these.
    ///
    /// # Errors
    /// [`BrowseError::Refused`] with `no such element`.
    pub fn pressable(&self, words: &str) -> Result<Element<'_>, BrowseError> {
        let quoted = xpath_text(words);
        let path = format!(
            "//*[(self::a or self::button or self::summary or self::label) and \
             normalize-space(.)={quoted}]"
        );
        let wanted = json!({ "using": "xpath", "value": path });
        let found = self.session.post("/element", &wanted)?;
        Element::from_json(self, &found).ok_or_else(|| no_element(words))
    }

    /// The field that carries this label.
    ///
    /// # Errors
    /// [`BrowseError::Refused`] with `no such element` when no field is labelled so.
    pub fn field(&self, label: &str) -> Result<Element<'_>, BrowseError> {
        let script = "const said = arguments[0];\
            const plain = text => text.replace(/\\s+/g, ' ').trim();\
            return [...document.querySelectorAll('input,select,textarea')].find(field =>\
                [...(field.labels ?? [])].some(label => plain(label.textContent) === said)\
                || field.getAttribute('aria-label') === said) ?? null;";
        let found = self.run(script, json!([label]))?;
        Element::from_json(self, &found).ok_or_else(|| no_element(label))
    }

    /// Presses one key where the focus is.
    ///
    /// # Errors
    /// [`BrowseError`] of the call.
    pub fn press(&self, key: Key) -> Result<(), BrowseError> {
        const SHIFT: char = '\u{e008}';
        let stroke = |kind: &str, value: char| json!({ "type": kind, "value": value.to_string() });
        let mut strokes = vec![stroke("keyDown", key.code()), stroke("keyUp", key.code())];
        if key == Key::ShiftTab {
            strokes.insert(0, stroke("keyDown", SHIFT));
            strokes.push(stroke("keyUp", SHIFT));
        }
        let actions = json!({ "actions": [
            { "type": "key", "id": "keyboard", "actions": strokes },
        ]});
        self.session.post("/actions", &actions).map(drop)
    }

    /// Runs a script in the page with `arguments` (an array) and returns what it returns.
    ///
    /// # Errors
    /// [`BrowseError::Refused`] with `javascript error` when it throws.
    pub fn run(&self, script: &str, arguments: Value) -> Result<Value, BrowseError> {
        self.session.post("/execute/sync", &json!({ "script": script, "args": arguments }))
    }

    /// Looks again and again until `seen` says yes.
    ///
    /// # Errors
    /// [`BrowseError::NotSeen`] after ten seconds, or the first error of `seen` itself.
    pub fn until(
        &self,
        what: &str,
        mut seen: impl FnMut(&Browser) -> Result<bool, BrowseError>,
    ) -> Result<(), BrowseError> {
        const LIMIT: Duration = Duration::from_secs(10);
        let started = Instant::now();
        while !seen(self)? {
            if started.elapsed() > LIMIT {
                let waited = started.elapsed();
                return Err(BrowseError::NotSeen { what: what.to_owned(), waited });
            }
            thread::sleep(LOOK_AGAIN_AFTER);
        }
        Ok(())
    }

    /// The page as a screen reader is told it: one line per element, indented, role, name, state.
    ///
    /// # Errors
    /// [`BrowseError`] of the call.
    pub fn outline(&self) -> Result<String, BrowseError> {
        let tree = self.devtools("Accessibility.getFullAXTree", json!({}))?;
        Ok(outline::written(&tree))
    }

    /// Errors the page has raised since the last look: failed scripts, refused or missing files.
    ///
    /// # Errors
    /// [`BrowseError`] of the call.
    pub fn complaints(&self) -> Result<Vec<String>, BrowseError> {
        let log = self.session.post("/se/log", &json!({ "type": "browser" }))?;
        let entries = log.as_array().map(Vec::as_slice).unwrap_or_default();
        Ok(entries
            .iter()
            .filter(|entry| entry["level"] == "SEVERE")
            .map(|entry| text_of(&entry["message"]))
            .collect())
    }

    /// How many sheets of paper the page takes, by the paper size its own style asks for.
    ///
    /// # Errors
    /// [`BrowseError`] of the call.
    pub fn sheets(&self) -> Result<usize, BrowseError> {
        let wish = json!({ "preferCSSPageSize": true });
        // As a printer is told it, not as the last palette asked.
        self.devtools("Emulation.setEmulatedMedia", json!({ "media": "", "features": [] }))?;
        let printed = self.devtools("Page.printToPDF", wish)?;
        let pdf = STANDARD.decode(text_of(&printed["data"])).map_err(|error| {
            BrowseError::Wire { call: "Page.printToPDF".to_owned(), cause: error.to_string() }
        })?;
        Ok(sheets_in(&pdf))
    }

    /// The whole page, top to bottom, as a PNG at one picture point per CSS pixel.
    ///
    /// # Errors
    /// [`BrowseError`] of the call.
    pub fn picture(&self) -> Result<Vec<u8>, BrowseError> {
        self.session.post(
            "/execute/async",
            &json!({ "script": "document.fonts.ready.then(() => arguments[0]())", "args": [] }),
        )?;
        let metrics = self.devtools("Page.getLayoutMetrics", json!({}))?;
        let size = &metrics["cssContentSize"];
        let shot = self.devtools(
            "Page.captureScreenshot",
            json!({
                "format": "png",
                "captureBeyondViewport": true,
                "clip": {
                    "x": 0, "y": 0, "scale": 1,
                    "width": size["width"], "height": size["height"],
                },
            }),
        )?;
        STANDARD.decode(text_of(&shot["data"])).map_err(|error| BrowseError::Wire {
            call: "Page.captureScreenshot".to_owned(),
            cause: error.to_string(),
        })
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // Closing the session ends the browser itself; killing the driver alone would orphan it.
        let _ = self.session.delete("");
    }
}

/// Page objects of a PDF (ISO 32000-1, 7.7.3.3: `/Type /Page`, not the tree's `/Pages`).
fn sheets_in(pdf: &[u8]) -> usize {
    const MARK: &[u8] = b"/Type /Page";
    let starts = pdf.windows(MARK.len() + 1).filter(|here| here.starts_with(MARK));
    starts.filter(|here| !here[MARK.len()].is_ascii_alphabetic()).count()
}

/// A JSON string's text; empty for anything else.
pub(crate) fn text_of(value: &Value) -> String {
    value.as_str().unwrap_or_default().to_owned()
}

fn by_css(css: &str) -> Value {
    json!({ "using": "css selector", "value": css })
}

fn no_element(what: &str) -> BrowseError {
    BrowseError::Refused {
        call: "look".to_owned(),
        kind: "no such element".to_owned(),
        message: format!("nothing on the page is {what}"),
    }
}

/// XPath has no escapes: a text with both kinds of quotation marks is put together from parts.
fn xpath_text(text: &str) -> String {
    if !text.contains('\'') {
        return format!("'{text}'");
    }
    let parts: Vec<String> = text.split('\'').map(|part| format!("'{part}'")).collect();
    format!("concat({})", parts.join(", \"'\", "))
}

#[cfg(test)]
mod tests {
    use super::{sheets_in, xpath_text};

    #[test]
    fn page_objects_are_counted_and_their_tree_is_not() {
        let pdf = b"<</Type /Pages /Count 2>> <</Type /Page\n>> <</Type /Page /Parent 1 0 R>>";
        assert_eq!(sheets_in(pdf), 2);
    }

    #[test]
    fn quotation_marks_survive_the_search() {
        assert_eq!(xpath_text("Save"), "'Save'");
        assert_eq!(xpath_text("ship's time"), "concat('ship', \"'\", 's time')");
    }
}
