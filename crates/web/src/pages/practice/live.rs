//! A run brought up to date on the page: server-sent events, five a second, each only with what has changed.

use std::collections::BTreeMap;
use std::convert::Infallible;
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;

use axum::body::{Body, Bytes};
use axum::extract::State;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use chart::Attribute;
use desk::practice::Standing;
use http_body::Frame;
use serde_json::{Map, Value, json};
use tokio::sync::mpsc;
use tokio::time::{MissedTickBehavior, interval};

use crate::app::App;
use crate::form::FormState;
use crate::reader::Reader;
use crate::trouble::Trouble;

use super::{number, run};

/// So often the page is brought up to date.
const BEAT: Duration = Duration::from_millis(200);
/// Every so many beats the run so far is drawn anew.
const TREND_BEATS: u32 = 15;
/// Every so many beats something is said even where nothing has changed, so that a lost link is found.
const WORD_BEATS: u32 = 50;

/// The stream of one page.
struct Stream(mpsc::Receiver<Bytes>);

impl http_body::Body for Stream {
    type Data = Bytes;
    type Error = Infallible;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, Infallible>>> {
        self.0.poll_recv(cx).map(|bytes| bytes.map(|bytes| Ok(Frame::data(bytes))))
    }
}

/// What was last sent to a page.
#[derive(Default)]
struct Sent(BTreeMap<String, String>);

impl Sent {
    /// Whether this is new; it counts as sent then.
    fn is_new(&mut self, key: &str, value: &str) -> bool {
        if self.0.get(key).is_some_and(|sent| sent == value) {
            return false;
        }
        self.0.insert(key.to_owned(), value.to_owned());
        true
    }
}

pub(super) async fn stream(
    State(app): State<App>,
    reader: Reader,
    asked: FormState,
) -> Result<Response, Trouble> {
    let id = number(asked.typed("id"))?;
    let who = reader.token.clone();
    let (send, receive) = mpsc::channel(2);
    tokio::spawn(async move {
        let mut sent = Sent::default();
        let mut beats = interval(BEAT);
        beats.set_missed_tick_behavior(MissedTickBehavior::Delay);
        let mut drawn_s = f64::NAN;
        for beat in 0_u32.. {
            beats.tick().await;
            let (desk, who, steady) = (app.desk().clone(), who.clone(), app.clock().steady());
            let with_trend = beat % TREND_BEATS == 0;
            let found = app.work().run(move |_| {
                let standing = desk.practice_standing(id, &who, steady)?;
                let trend =
                    (with_trend && standing.time_s != drawn_s).then(|| desk.practice_trend(id));
                Ok::<_, desk::DeskError>((standing, trend.transpose()?))
            });
            let text = match found.await {
                Ok(Ok((standing, trend))) => {
                    if trend.is_some() {
                        drawn_s = standing.time_s;
                    }
                    let trend = trend.map(|lanes| run::trend(&lanes).into_string());
                    match changes(&standing, trend, &mut sent) {
                        Some(changes) => format!("data: {changes}\n\n"),
                        None if beat % WORD_BEATS == 0 => ": all as it was\n\n".to_owned(),
                        None => continue,
                    }
                }
                Ok(Err(e)) => {
                    let gone = json!({ "gone": e.to_string() });
                    let _ = send.send(format!("data: {gone}\n\n").into()).await;
                    return;
                }
                // Too busy for one beat: the next brings it.
                Err(_) => continue,
            };
            // A page that has gone away ends it; the run holds itself when nobody looks.
            if send.send(text.into()).await.is_err() {
                return;
            }
        }
    });
    Ok(([(CONTENT_TYPE, "text/event-stream")], Body::new(Stream(receive))).into_response())
}

/// What has changed since it was last sent: attributes of drawn things, words of cells, whole parts.
fn changes(standing: &Standing, trend: Option<String>, sent: &mut Sent) -> Option<Value> {
    let (mut cells, mut moves, mut parts) = (Map::new(), Map::new(), Map::new());
    let mut cell = |key: String, text: &str| {
        if sent.is_new(&format!("cell {key}"), text) {
            cells.insert(key, json!(text));
        }
    };
    cell("clock".to_owned(), &standing.clock);
    for gauge in &standing.gauges {
        cell(gauge.key.to_owned(), &gauge.value);
    }
    for valve in &standing.valves {
        cell(format!("stands-{}", valve.no), &valve.stands);
    }
    for set in &standing.sets {
        cell(format!("set-{}", set.name), &format!("{} {}", set.stands, set.unit));
    }
    for change in chart::vessel_moves(&standing.vessel) {
        if sent.is_new(&format!("move {}", change.key), &change.value) {
            let attribute = match change.attribute {
                Attribute::Transform => "transform",
                Attribute::Class => "class",
                Attribute::Text => "",
            };
            moves.insert(change.key, json!([attribute, change.value]));
        }
    }
    let beside = standing.beside.as_ref();
    let mut part = |key: &str, html: String| {
        if sent.is_new(&format!("part {key}"), &html) {
            parts.insert(key.to_owned(), json!(html));
        }
    };
    part("says", run::says(standing).into_string());
    part("event", run::event(standing).into_string());
    part("next", run::next(standing).into_string());
    part("pace", run::pace(standing).into_string());
    part("switches", run::switches(standing).into_string());
    part("list", run::list(beside).into_string());
    part("why", run::why(beside).into_string());
    part("answered", run::answered(standing).into_string());
    part("latest", run::latest(standing).into_string());
    part("marks", run::marks(standing).into_string());
    if let Some(trend) = trend {
        part("trend", trend);
    }
    if cells.is_empty() && moves.is_empty() && parts.is_empty() {
        return None;
    }
    let hold = standing.pace.times() == 0.0;
    Some(json!({ "cells": cells, "moves": moves, "parts": parts, "hold": hold }))
}
