//! One element of a page: read it, type in it, press it.

use serde_json::{Value, json};

use crate::browser::{Browser, text_of};
use crate::error::BrowseError;

/// The key under which the WebDriver standard hands out element references.
const REFERENCE: &str = "element-6066-11e4-a52e-4f735466cecf";

/// An element of the page that is open; stale once the page is left.
#[derive(Debug, Clone)]
pub struct Element<'b> {
    browser: &'b Browser,
    reference: String,
}

impl<'b> Element<'b> {
    pub(crate) fn from_json(browser: &'b Browser, value: &Value) -> Option<Element<'b>> {
        let reference = value[REFERENCE].as_str()?.to_owned();
        Some(Element { browser, reference })
    }

    /// The reference as an argument for a script.
    pub fn as_argument(&self) -> Value {
        json!({ REFERENCE: self.reference })
    }

    /// The text as a reader sees it.
    ///
    /// # Errors
    /// [`BrowseError::Refused`] when the page has been left.
    pub fn text(&self) -> Result<String, BrowseError> {
        self.get("text").map(|value| text_of(&value))
    }

    /// An attribute as written in the page, if it is there.
    ///
    /// # Errors
    /// [`BrowseError::Refused`] when the page has been left.
    pub fn attribute(&self, name: &str) -> Result<Option<String>, BrowseError> {
        let value = self.get(&format!("attribute/{name}"))?;
        Ok(value.as_str().map(str::to_owned))
    }

    /// What a field holds now.
    ///
    /// # Errors
    /// [`BrowseError::Refused`] when the page has been left.
    pub fn value(&self) -> Result<String, BrowseError> {
        self.get("property/value").map(|value| text_of(&value))
    }

    /// Name and role as a screen reader is told them; a blank at an end of the name, which some browsers keep, is not spoken.
    ///
    /// # Errors
    /// [`BrowseError::Refused`] when the page has been left.
    pub fn spoken(&self) -> Result<(String, String), BrowseError> {
        let name = self.get("computedlabel")?;
        let role = self.get("computedrole")?;
        Ok((text_of(&name).trim().to_owned(), text_of(&role)))
    }

    /// Presses it, as a finger or mouse would: it must be in view and not covered.
    ///
    /// # Errors
    /// [`BrowseError::Refused`], such as `element click intercepted`.
    pub fn click(&self) -> Result<(), BrowseError> {
        self.post("click", json!({})).map(drop)
    }

    /// Types after what the field holds.
    ///
    /// # Errors
    /// [`BrowseError::Refused`] when it cannot be typed in.
    pub fn type_text(&self, text: &str) -> Result<(), BrowseError> {
        self.post("value", json!({ "text": text })).map(drop)
    }

    /// Empties the field.
    ///
    /// # Errors
    /// [`BrowseError::Refused`] when it cannot be typed in.
    pub fn clear(&self) -> Result<(), BrowseError> {
        self.post("clear", json!({})).map(drop)
    }

    /// Empties the field, then types.
    ///
    /// # Errors
    /// [`BrowseError::Refused`] when it cannot be typed in.
    pub fn fill(&self, text: &str) -> Result<(), BrowseError> {
        self.clear()?;
        self.type_text(text)
    }

    fn get(&self, what: &str) -> Result<Value, BrowseError> {
        self.browser.session().get(&format!("/element/{}/{what}", self.reference))
    }

    fn post(&self, what: &str, body: Value) -> Result<Value, BrowseError> {
        self.browser.session().post(&format!("/element/{}/{what}", self.reference), &body)
    }
}
