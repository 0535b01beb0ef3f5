//! What is pressed in practice, taken: a run begun, something done at the handles, a trouble set.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::StatusCode;
use axum::http::header::ACCEPT;
use axum::response::{IntoResponse, Redirect, Response};
use desk::DeskError;
use desk::practice::{AtStep, BeginError, Far, Pace, Practising, Wish};

use crate::app::App;
use crate::form::FormState;
use crate::reader::Reader;
use crate::trouble::Trouble;

use super::{DEBRIEF, SECRET, list_page, number, run_address, run_page, secret_page};

/// What the page's own module takes as an answer: no page, only whether it was done.
const BRIEF: &str = "text/plain";

pub(super) async fn begin(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    let of = |name: &str| form.typed(name).to_owned();
    let wish = Wish {
        drill: of("drill"),
        begin: of("begin"),
        sea_temp: of("sea_temp"),
        load: of("load"),
        barometer: of("barometer"),
        trouble: of("trouble"),
        seed: of("seed"),
    };
    let (desk, steady, who) = (app.desk().clone(), app.clock().steady(), reader.token.clone());
    let begun = app.work().run(move |_| desk.begin_practice(&wish, &who, steady)).await?;
    match begun {
        Ok(id) => Ok(Redirect::to(&run_address(id)).into_response()),
        Err(refused) => {
            match refused {
                BeginError::Typed(wrong) => {
                    for (field, why) in wrong {
                        form.refuse_whole(why.clone());
                        form.refuse(field, why);
                    }
                }
                BeginError::Desk(e) => form.refuse_whole(e.to_string()),
            }
            let page = list_page(&app, &reader, form).await?;
            Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
        }
    }
}

/// What a button means, by its words: "turn~feed~+10".
fn meant(form: &FormState) -> Option<Vec<Practising>> {
    let pressed = form.typed("do").to_owned();
    let mut words = pressed.splitn(3, '~');
    let mut word = || words.next().unwrap_or_default().to_owned();
    let step = |step: AtStep| vec![Practising::Step(step)];
    Some(match word().as_str() {
        "" | "typed" => typed(form),
        "turn" => vec![Practising::Turn { valve: word(), to: far(word()) }],
        "set" => vec![Practising::Set { name: word(), to: far(word()) }],
        "pump" => vec![Practising::Pump { pump: word(), run: word() == "start" }],
        "switch" => vec![Practising::Switch { switch: word(), to: word() }],
        "pace" => vec![Practising::Pace(Pace::named(&word())?)],
        "on" => vec![Practising::On { minutes: word() }],
        "back" => vec![Practising::Back { to: word() }],
        "mark" => vec![Practising::Mark],
        "sample" => vec![Practising::Sample],
        // The cause chosen, the one of the button, or the one that was named before.
        "answer" => vec![Practising::Answer { cause: form.typed("cause").to_owned() }],
        "answered" => vec![Practising::Answer { cause: word() }],
        "take" => vec![Practising::TakeHandles],
        "tick" => step(AtStep::Tick { looked: form.typed("looked") == "yes" }),
        "anyway" => step(AtStep::Anyway),
        "follow" => step(AtStep::Follow {
            key: Some(word())
                .filter(|key| !key.is_empty())
                .unwrap_or_else(|| form.typed("list").to_owned()),
        }),
        "end" => vec![Practising::End],
        _ => return None,
    })
}

/// Of a button: "+10" and "-10" are steps, "100" is an end.
fn far(text: String) -> Far {
    if text.starts_with(['+', '-']) { Far::By(text) } else { Far::To(text) }
}

/// Every box that was typed in.
fn typed(form: &FormState) -> Vec<Practising> {
    let fields = form.fields().filter(|(_, text)| !text.trim().is_empty());
    fields
        .filter_map(|(field, text)| {
            let to = Far::To(text.to_owned());
            let (kind, name) = field.split_once('~')?;
            match kind {
                "to" => Some(Practising::Turn { valve: name.to_owned(), to }),
                "set" => Some(Practising::Set { name: name.to_owned(), to }),
                _ => None,
            }
        })
        .collect()
}

pub(super) async fn act(
    State(app): State<App>,
    reader: Reader,
    headers: HeaderMap,
    form: FormState,
) -> Result<Response, Trouble> {
    let id = number(form.typed("id"))?;
    let meant = meant(&form).ok_or_else(|| Trouble::Bad {
        what: format!("“{}” is nothing that can be done in a run", form.typed("do")),
        remedy: "Use the buttons of the page Practice.".to_owned(),
    })?;
    // After the end an answer leads on to what it was.
    let tells = form.typed("then") == "debrief";
    let ends = meant == [Practising::End] || tells;
    let brief = headers.get(ACCEPT).is_some_and(|accept| accept.as_bytes() == BRIEF.as_bytes());
    let (desk, steady, who) = (app.desk().clone(), app.clock().steady(), reader.token.clone());
    let done = app.work().run(move |_| {
        // One refused does not keep the others from being done.
        let all = meant.iter().map(|what| desk.practise(id, &who, what, steady));
        let refused: Vec<String> =
            all.filter_map(Result::err).map(|e: DeskError| e.to_string()).collect();
        if refused.is_empty() { Ok(()) } else { Err(refused.join(" ")) }
    });
    Ok(match (done.await?, brief) {
        (Ok(()), true) => StatusCode::NO_CONTENT.into_response(),
        (Ok(()), false) if ends => Redirect::to(&format!("{DEBRIEF}?id={id}")).into_response(),
        (Ok(()), false) => Redirect::to(&run_address(id)).into_response(),
        (Err(why), true) => (StatusCode::UNPROCESSABLE_ENTITY, why).into_response(),
        (Err(why), false) => {
            let page = run_page(&app, &reader, id, Some(why)).await?;
            (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
        }
    })
}

pub(super) async fn plant(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    let id = number(form.typed("id"))?;
    let what = Practising::Plant {
        trouble: form.typed("trouble").to_owned(),
        in_min: form.typed("in_min").to_owned(),
        mended: form.typed("do") == "mend",
    };
    let (desk, steady, who) = (app.desk().clone(), app.clock().steady(), reader.token.clone());
    match app.work().run(move |_| desk.practise(id, &who, &what, steady)).await? {
        Ok(()) => Ok(Redirect::to(&format!("{SECRET}?id={id}")).into_response()),
        Err(e) => {
            let mut page = secret_page(&app, &reader, id, Some(e.to_string())).await?;
            *page.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
            Ok(page)
        }
    }
}
