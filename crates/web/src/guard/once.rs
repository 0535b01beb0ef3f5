//! A form sent twice is taken once: a lost answer may be asked for again without writing twice.

use std::collections::{HashMap, VecDeque};
use std::sync::{Arc, Mutex, PoisonError};

use axum::http::StatusCode;
use axum::http::header::LOCATION;
use axum::response::{IntoResponse, Redirect, Response};
use sha2::{Digest, Sha256};

/// Sendings remembered; the oldest is forgotten first.
const REMEMBERED: usize = 1024;

/// One sending: the address, its mark and everything in it.
pub(crate) type Sending = [u8; 32];

/// Where the reader was sent on to, once that is known; held locked while the form is worked on.
type Outcome = Arc<tokio::sync::Mutex<Option<String>>>;

/// The sendings of this start of the program.
#[derive(Default)]
pub(crate) struct Once(Mutex<Known>);

#[derive(Default)]
struct Known {
    outcomes: HashMap<Sending, Outcome>,
    order: VecDeque<Sending>,
}

/// The sending of a form, or nothing when it carries no mark. The token is left out: a repeat after
/// a new start of the program brings another one.
pub(crate) fn sending(path: &str, fields: &[(String, String)]) -> Option<Sending> {
    fields.iter().find(|(name, mark)| name == "_once" && !mark.is_empty())?;
    let mut hash = Sha256::new();
    let mut add = |text: &str| {
        hash.update((text.len() as u64).to_be_bytes());
        hash.update(text);
    };
    add(path);
    for (name, text) in fields.iter().filter(|(name, _)| name != "_token") {
        add(name);
        add(text);
    }
    Some(hash.finalize().into())
}

impl Once {
    /// Runs `work`, or gives the answer of the same sending before it. Only a redirect (the answer
    /// of a form that was taken) is remembered; a refused form may be sent again as it is.
    pub(crate) async fn take(
        &self,
        sending: Sending,
        work: impl Future<Output = Response>,
    ) -> Response {
        let outcome = self.outcome(sending);
        let mut known = outcome.lock().await;
        if let Some(location) = known.as_deref() {
            return Redirect::to(location).into_response();
        }
        let response = work.await;
        if response.status() == StatusCode::SEE_OTHER {
            let location = response.headers().get(LOCATION).and_then(|to| to.to_str().ok());
            *known = location.map(str::to_owned);
        }
        response
    }

    fn outcome(&self, sending: Sending) -> Outcome {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(outcome) = known.outcomes.get(&sending) {
            return outcome.clone();
        }
        if known.order.len() >= REMEMBERED
            && let Some(oldest) = known.order.pop_front()
        {
            known.outcomes.remove(&oldest);
        }
        let outcome = Outcome::default();
        known.order.push_back(sending);
        known.outcomes.insert(sending, outcome.clone());
        outcome
    }
}
