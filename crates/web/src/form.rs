//! What was typed into a form, kept as typed beside each field's error.

use std::collections::BTreeMap;

use axum::body::Bytes;
use axum::extract::{FromRequest, Request};
use axum::http::Method;

use crate::trouble::Trouble;

/// Fields a form may have at most; more is a fault or an attack.
const MOST_FIELDS: usize = 1024;

/// What was typed and what was wrong with it, field by field.
///
/// As an extractor it reads a POST's body or a GET's query. Leading and trailing blanks are kept as
/// typed; names that start with `_` belong to the guards and are left out.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct FormState {
    typed: BTreeMap<String, Vec<String>>,
    errors: BTreeMap<String, String>,
    overall: Vec<String>,
    once: String,
}

impl FormState {
    /// A form filled with `pairs` of field name and text.
    pub fn from_pairs<K: Into<String>, V: Into<String>>(
        pairs: impl IntoIterator<Item = (K, V)>,
    ) -> FormState {
        let mut form = FormState::default();
        for (name, text) in pairs {
            form.fill(name, text);
        }
        form
    }

    /// Puts `text` into the field `name`, after what stands there already.
    pub fn fill(&mut self, name: impl Into<String>, text: impl Into<String>) {
        self.typed.entry(name.into()).or_default().push(text.into());
    }

    /// Puts `text` into the field `name` in place of what stands there.
    pub fn set(&mut self, name: &str, text: impl Into<String>) {
        self.typed.insert(name.to_owned(), vec![text.into()]);
    }

    /// What was typed into `name`; empty when it was not sent.
    pub fn typed(&self, name: &str) -> &str {
        self.typed.get(name).and_then(|texts| texts.first()).map_or("", String::as_str)
    }

    /// Every text sent under `name`, in order (boxes ticked in a group).
    pub fn all(&self, name: &str) -> &[String] {
        self.typed.get(name).map_or(&[], Vec::as_slice)
    }

    /// Whether the field was sent at all, filled or not.
    pub fn was_sent(&self, name: &str) -> bool {
        self.typed.contains_key(name)
    }

    /// Names and first texts of every field sent, by name.
    pub fn fields(&self) -> impl Iterator<Item = (&str, &str)> {
        self.typed.keys().map(|name| (name.as_str(), self.typed(name)))
    }

    /// Notes what is wrong with the field `name`; the first fault noted stands.
    pub fn refuse(&mut self, name: impl Into<String>, why: impl Into<String>) {
        self.errors.entry(name.into()).or_insert_with(|| why.into());
    }

    /// Notes what is wrong with the form as a whole.
    pub fn refuse_whole(&mut self, why: impl Into<String>) {
        self.overall.push(why.into());
    }

    /// What is wrong with the field `name`.
    pub fn error(&self, name: &str) -> Option<&str> {
        self.errors.get(name).map(String::as_str)
    }

    /// What is wrong with the form as a whole.
    pub fn overall(&self) -> &[String] {
        &self.overall
    }

    /// Every field with a fault, by name.
    pub fn errors(&self) -> impl Iterator<Item = (&str, &str)> {
        self.errors.iter().map(|(name, why)| (name.as_str(), why.as_str()))
    }

    /// Whether nothing was refused.
    pub fn is_sound(&self) -> bool {
        self.errors.is_empty() && self.overall.is_empty()
    }

    /// The mark of this sending, the same when it is repeated; empty where the form has none.
    /// Stored with what the form writes, it lets the record refuse a second copy even after a restart.
    pub fn once(&self) -> &str {
        &self.once
    }

    /// Reads `name=value&…`.
    ///
    /// # Errors
    /// [`Trouble::Bad`] when there are more than 1024 fields.
    pub fn parse(encoded: &[u8]) -> Result<FormState, Trouble> {
        let mut form = FormState::default();
        for (count, (name, text)) in form_urlencoded::parse(encoded).enumerate() {
            if count >= MOST_FIELDS {
                return Err(Trouble::Bad {
                    what: format!("the form has more than {MOST_FIELDS} fields"),
                    remedy: "Send it from this program’s own page.".to_owned(),
                });
            }
            if name == "_once" {
                form.once = text.into_owned();
            } else if !name.starts_with('_') {
                form.fill(name, text);
            }
        }
        Ok(form)
    }
}

impl<S: Send + Sync> FromRequest<S> for FormState {
    type Rejection = Trouble;

    async fn from_request(request: Request, state: &S) -> Result<FormState, Trouble> {
        if request.method() == Method::GET || request.method() == Method::HEAD {
            return FormState::parse(request.uri().query().unwrap_or("").as_bytes());
        }
        let body = Bytes::from_request(request, state).await.map_err(|refused| Trouble::Bad {
            what: format!("the form could not be read: {refused}"),
            remedy: "Go back and send it again.".to_owned(),
        })?;
        FormState::parse(&body)
    }
}
