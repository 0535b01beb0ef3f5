//! The program with its demonstration, and a browser looking at it.

use browse::{Browser, Served};
use serde_json::json;

pub struct Aboard {
    pub demo: Served,
    pub browser: Browser,
}

/// A page of the thumb index.
pub struct Page {
    pub name: String,
    pub path: String,
}

impl Aboard {
    pub fn start() -> Aboard {
        let program = env!("CARGO_BIN_EXE_stillwatch");
        let demo = Served::start(browse::demo(program.as_ref())).unwrap_or_else(|e| panic!("{e}"));
        let browser = Browser::start().unwrap_or_else(|e| panic!("{e}"));
        browser.goto(demo.address()).unwrap();
        Aboard { demo, browser }
    }

    /// The pages as the index lists them, so that a new one is tested from its first day.
    pub fn pages(&self) -> Vec<Page> {
        let links = self.browser.find_all("nav.index a").unwrap();
        assert!(links.len() >= 5, "the index has only {} pages", links.len());
        links
            .iter()
            .map(|link| Page {
                name: link.text().unwrap(),
                path: link.attribute("href").unwrap().unwrap_or_default(),
            })
            .collect()
    }

    pub fn open(&self, page: &Page) {
        self.browser.goto(&self.demo.at(&page.path)).unwrap();
        // Without script the driver does not wait for the end of a long page.
        let script = "return document.readyState === 'complete' \
            && document.querySelector('form[action=\"/palette\"]') !== null";
        let whole = |browser: &Browser| Ok(browser.run(script, json!([]))? == true);
        self.browser.until("the foot of the page", whole).unwrap();
    }
}
