//! One call to the driver: JSON out, JSON back, its errors as ours.

use std::time::Duration;

use serde_json::Value;
use ureq::Agent;

use crate::error::BrowseError;

/// A full page at 1920 px is a few megabytes once it is written as text.
const ANSWER_LIMIT_BYTES: u64 = 256 << 20;

/// Longer than any page here may take, shorter than anybody's patience.
const CALL_LIMIT: Duration = Duration::from_secs(120);

/// Calls under one address.
#[derive(Debug)]
pub(crate) struct Wire {
    agent: Agent,
    root: String,
}

impl Wire {
    /// Calls go to paths below `root`. A proxy set for the machine is passed by: the driver is on it.
    pub(crate) fn new(root: String) -> Wire {
        let agent = Agent::config_builder()
            .http_status_as_error(false)
            .timeout_global(Some(CALL_LIMIT))
            .proxy(None)
            .build()
            .into();
        Wire { agent, root }
    }

    /// The same calls, below a further path.
    pub(crate) fn below(&self, path: &str) -> Wire {
        Wire { agent: self.agent.clone(), root: format!("{}{path}", self.root) }
    }

    pub(crate) fn get(&self, path: &str) -> Result<Value, BrowseError> {
        let call = || format!("GET {path}");
        let answer = self.agent.get(format!("{}{path}", self.root)).call();
        unpack(answer, call)
    }

    pub(crate) fn post(&self, path: &str, body: &Value) -> Result<Value, BrowseError> {
        let call = || format!("POST {path} {}", shortened(&body.to_string()));
        let answer = self
            .agent
            .post(format!("{}{path}", self.root))
            .header("content-type", "application/json; charset=utf-8")
            .send(body.to_string());
        unpack(answer, call)
    }

    pub(crate) fn delete(&self, path: &str) -> Result<Value, BrowseError> {
        let call = || format!("DELETE {path}");
        let answer = self.agent.delete(format!("{}{path}", self.root)).call();
        unpack(answer, call)
    }
}

fn unpack(
    answer: Result<ureq::http::Response<ureq::Body>, ureq::Error>,
    call: impl Fn() -> String,
) -> Result<Value, BrowseError> {
    let broken = |cause: String| BrowseError::Wire { call: call(), cause };
    let mut answer = answer.map_err(|error| broken(error.to_string()))?;
    let status = answer.status();
    let text = answer
        .body_mut()
        .with_config()
        .limit(ANSWER_LIMIT_BYTES)
        .read_to_string()
        .map_err(|error| broken(error.to_string()))?;
    let mut json: Value = serde_json::from_str(&text)
        .map_err(|error| broken(format!("status {status}, no JSON ({error})")))?;
    let value = json["value"].take();
    if status.is_success() {
        return Ok(value);
    }
    let field = |name: &str| value[name].as_str().unwrap_or_default();
    Err(BrowseError::Refused {
        call: call(),
        kind: field("error").to_owned(),
        message: field("message").lines().next().unwrap_or_default().to_owned(),
    })
}

fn shortened(text: &str) -> String {
    const SHOWN: usize = 160;
    match text.char_indices().nth(SHOWN) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}
