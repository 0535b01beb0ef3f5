//! What is sent about steps that stand: taken back, mended, confirmed in their order; and a run handed over.

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use desk::procedures::{Doing, More, StepError, What};
use desk::{Desk, DeskError};
use jiff::Timestamp;

use crate::app::App;
use crate::form::FormState;
use crate::reader::Reader;
use crate::trouble::Trouble;

use super::take::{Wrong, moment, of_desk, refuse, wrong};
use super::{Said, number, run_address, run_page};

/// Takes a tick back, or mends its time or initials.
pub(super) async fn mend(
    state: State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    amend(state, reader, form, |desk, form, now| {
        let (why, by) = (form.typed("mend_why"), form.typed("mend_by"));
        let (what, word) = match form.typed("do") {
            "mend" => {
                let time = moment(desk, "mend_time", form.typed("mend_time"), now)?;
                let hand = form.typed("mend_hand");
                (What::Mend { time, hand, reason: why }, "mended")
            }
            "back-from" => (What::TakeBackFrom { reason: why }, "back"),
            _ => (What::TakeBack { reason: why }, "back"),
        };
        did(desk, form, (by, "mend_by"), form.typed("mended"), what, now)?;
        Ok(word)
    })
    .await
}

/// Says that times against the list are true.
pub(super) async fn so_it_was(
    state: State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    amend(state, reader, form, |desk, form, now| {
        did(desk, form, (form.typed("so_by"), "so_by"), "", What::SoItWas, now)?;
        Ok("so")
    })
    .await
}

/// Hands a run over.
pub(super) async fn hand_over(
    state: State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    amend(state, reader, form, |desk, form, now| {
        let what = What::HandOver { to: form.typed("to") };
        did(desk, form, (form.typed("hand_by"), "hand_by"), "", what, now)?;
        Ok("over")
    })
    .await
}

async fn amend(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
    does: impl FnOnce(&Desk, &FormState, Timestamp) -> Result<&'static str, Wrong> + Send + 'static,
) -> Result<Response, Trouble> {
    let id = number(form.typed("run"))?;
    let (desk, sent, now) = (app.desk().clone(), form.clone(), app.clock().now());
    match app.work().run(move |_| does(&desk, &sent, now)).await? {
        Ok(word) => Ok(Redirect::to(&format!("{}&{word}", run_address(id))).into_response()),
        Err(faults) => {
            refuse(&mut form, faults);
            run_page(&app, &reader, id, form, Said::Nothing).await
        }
    }
}

fn did(
    desk: &Desk,
    form: &FormState,
    (by, field): (&str, &str),
    step: &str,
    what: What<'_>,
    now: Timestamp,
) -> Result<(), Wrong> {
    let run = form.typed("run").trim().parse().map_err(|_| wrong("", "no run of this number"))?;
    let more = More::default();
    let doing = Doing { run, step, by, at: None, readings: &[], what, more, token: form.once() };
    match desk.do_step(&doing, now) {
        Ok(_) => Ok(()),
        Err(StepError::Desk(e)) => Err(of_desk(field)(e)),
        // No reading is sent with it.
        Err(StepError::Typed(_) | StepError::Doubtful(_)) => {
            Err(of_desk(field)(DeskError::Asked("no reading belongs here".to_owned())))
        }
    }
}
