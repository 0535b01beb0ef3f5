//! What is typed on the page, written down: checks, cleanings, instruments set right, findings closed, tables kept.

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use desk::findings::{Closing, Lately, Since, leak_down_kg_h};
use desk::{Desk, DeskError};
use jiff::Timestamp;

use crate::app::App;
use crate::form::FormState;
use crate::paths::Page;
use crate::reader::Reader;
use crate::shiptime;
use crate::trouble::Trouble;

use super::closed::told_words;
use super::{drawn, of, since};

/// What is said after something was written down, by the word in the address.
pub(super) const DONE: &[(&str, &str)] = &[
    ("checked", "The check is written down."),
    ("closed", "The finding is closed with what was seen; what remains is weighed with it."),
    ("cleaned", "The cleaning is written down: what was cleaned is told by the rounds since."),
    ("set-right", "The instrument is written down as set right."),
    (
        "trusted",
        "The instrument is trusted less: three times the errors of its kind, on every page.",
    ),
    ("trusted-usual", "The instrument is trusted as its kind again, on every page."),
    ("taken-back", "The check is taken back: it stays readable and counts no more."),
    ("untold", "It is taken back: it stays readable with its reason and counts no more."),
    ("kept", "The settings are kept."),
];

/// How a question ends that a second button answers.
pub(super) const SURE: &str = "Press the second button if that is meant.";

/// A field, and what is wrong with it.
type Wrong = (&'static str, String);

/// Who writes, when, and what was typed.
struct Sent<'a> {
    desk: &'a Desk,
    form: &'a FormState,
    by: &'a str,
    now: Timestamp,
}

impl Sent<'_> {
    /// The moment typed in ship's time; now where nothing was.
    fn at(&self, field: &'static str) -> Result<Timestamp, Wrong> {
        let text = self.form.typed(field).trim();
        if text.is_empty() {
            return Ok(self.now);
        }
        let clock = self.desk.clock().map_err(|e| (field, e.to_string()))?;
        shiptime::instant(&clock, text, self.now).map_err(|why| (field, why))
    }

    fn number(&self, field: &'static str) -> Result<Option<f64>, Wrong> {
        let text = self.form.typed(field).trim().replace(',', ".").replace('\u{2212}', "-");
        if text.is_empty() {
            return Ok(None);
        }
        let number = text.parse::<f64>().ok().filter(|x| x.is_finite());
        let wrong = || (field, format!("“{text}” is not a number: write it as 12.5"));
        number.map(Some).ok_or_else(wrong)
    }

    fn wanted(&self, field: &'static str, what: &str) -> Result<f64, Wrong> {
        self.number(field)?.ok_or_else(|| (field, format!("{what}: write it")))
    }
}

/// Runs a job on what was sent: written down and shown anew, or the page again as it was typed.
async fn done(
    (app, reader, mut form): (App, Reader, FormState),
    by: &'static str,
    word: &'static str,
    job: impl FnOnce(&Sent<'_>) -> Result<(), Wrong> + Send + 'static,
) -> Result<Response, Trouble> {
    let span = since(form.typed("days"));
    match desk::written::initials(form.typed(by)) {
        Err(refusal) => form.refuse(by, refusal.to_string()),
        Ok(initials) => {
            let (desk, sent, initials) = (app.desk().clone(), form.clone(), initials.to_owned());
            let now = app.clock().now();
            let wrong = app
                .work()
                .run(move |_| job(&Sent { desk: &desk, form: &sent, by: &initials, now }).err());
            match wrong.await? {
                None => {
                    let days = match span {
                        Since::Days(days) => format!("&days={days}"),
                        _ => String::new(),
                    };
                    let to = format!("{}?{word}{days}", Page::Findings.path());
                    return Ok(Redirect::to(&to).into_response());
                }
                Some((field, why)) => form.refuse(field, why),
            }
        }
    }
    let shown = of(&app, span, form, None).await?;
    Ok(drawn(&reader, &shown))
}

/// Asks what speaks against a cleaning at a moment, unless it was said that its time stands: of a cleaning by itself and of one with a
/// closing alike.
fn cleaning_asked(
    sent: &Sent<'_>,
    at: Timestamp,
    (field, stands): (&'static str, &str),
) -> Result<(), Wrong> {
    if !sent.form.typed(stands).is_empty() {
        return Ok(());
    }
    match sent.desk.doubt_of_cleaning(at).map_err(beside(field))? {
        Some(doubt) => Err((field, doubt)),
        None => Ok(()),
    }
}

/// Asks before a deposit found in one part is closed with the cleaning of the other, or mended with none.
fn part_asked(sent: &Sent<'_>, closing: &Closing) -> Result<(), Wrong> {
    if !sent.form.typed("close_part").is_empty() {
        return Ok(());
    }
    match closing.other_part() {
        Some(asks) => Err(("close_cleaned", format!("{asks} {SURE}"))),
        None => Ok(()),
    }
}

/// Asks where something was found inside a plant that was making water then, unless it was said that the time stands.
fn inside_asked(sent: &Sent<'_>, closing: &Closing, at: Timestamp) -> Result<(), Wrong> {
    if !sent.form.typed("close_stands").is_empty() {
        return Ok(());
    }
    match sent.desk.doubt_of_finding(closing, at).map_err(beside("close_at"))? {
        Some(doubt) => Err(("close_at", doubt)),
        None => Ok(()),
    }
}

/// A cause closed again within so many hours may have been sent twice.
const TWICE_H: i64 = 24;

/// Asks before the same cause is closed again within a day.
fn again_asked(sent: &Sent<'_>, closing: &Closing, at: Timestamp) -> Result<(), Wrong> {
    if !sent.form.typed("close_again").is_empty() {
        return Ok(());
    }
    let told = sent.desk.told_of_plant(sent.now).map_err(beside("close"))?;
    let near = |other: Timestamp| at.duration_since(other).as_secs().abs() < 3600 * TWICE_H;
    let same = |one: &&desk::findings::Closed| one.cause.key() == closing.cause && near(one.at);
    if told.closes_known(closing) {
        return Ok(());
    }
    let Some(one) = told.closed.iter().find(same) else { return Ok(()) };
    let clock = sent.desk.clock().map_err(beside("close"))?;
    Err((
        "close",
        format!(
            "It was closed already, {}, {}, by {}. Closed again it counts as a second look. {SURE}",
            shiptime::dated(&clock, one.at),
            one.seen,
            one.by
        ),
    ))
}

/// Asks before an instrument is set right to the other side of what the findings have it, or by another size.
fn sign_asked(sent: &Sent<'_>, reading: &str, high_by: Option<f64>) -> Result<(), Wrong> {
    let Some(by) = high_by.filter(|_| sent.form.typed("right_sure").is_empty()) else {
        return Ok(());
    };
    let believed = sent.desk.believed_high(reading, sent.now).map_err(beside("right_high"))?;
    match believed.and_then(|error| error.against(by)) {
        Some(asks) => Err(("right_high", format!("{asks} {SURE}"))),
        None => Ok(()),
    }
}

/// Asks before the same instrument is set right again within a day: a form may have been sent twice.
fn right_again_asked(sent: &Sent<'_>, reading: &str, at: Timestamp) -> Result<(), Wrong> {
    if !sent.form.typed("right_again").is_empty() {
        return Ok(());
    }
    let told = sent.desk.told_of_plant(sent.now).map_err(beside("right"))?;
    let near = |other: Timestamp| at.duration_since(other).as_secs().abs() < 3600 * TWICE_H;
    let same = |one: &&desk::findings::Recalibrated| one.reading == reading && near(one.at);
    let Some(one) = told.recalibrated.iter().rfind(same) else { return Ok(()) };
    let clock = sent.desk.clock().map_err(beside("right"))?;
    Err((
        "right",
        format!(
            "It was set right already, {} (entry {}). Set right again, what it read in between was wrong too. {SURE}",
            shiptime::dated(&clock, one.at),
            one.seq
        ),
    ))
}

/// Asks before something is taken back, once it has its reason.
fn back_asked(
    sent: &Sent<'_>,
    (field, why): (&'static str, &str),
    what: &str,
) -> Result<(), Wrong> {
    let reason = !sent.form.typed(why).trim().is_empty();
    if reason && sent.form.typed("back_sure").is_empty() {
        return Err((
            field,
            format!(
                "Take back {what}? It stays readable with its reason and counts no more. {SURE}"
            ),
        ));
    }
    Ok(())
}

/// What the desk refuses, beside a field.
fn beside(field: &'static str) -> impl Fn(DeskError) -> Wrong {
    move |e| (field, e.to_string())
}

/// Writes the result of a check down.
pub(super) async fn check(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    done((app, reader, form), "check_by", "checked", |sent| {
        let at = sent.at("check_at")?;
        let (reading, text) = (sent.form.typed("check"), sent.form.typed("check_read").trim());
        if text.is_empty() {
            return Err(("check_read", "write what it read".to_owned()));
        }
        let written = sent.desk.write_check(reading, (text, ""), at, sent.by, sent.now);
        written.map(drop).map_err(beside("check_read"))
    })
    .await
}

/// Writes a leak-down test down by its pressures.
pub(super) async fn leak_down(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    done((app, reader, form), "leak_by", "checked", |sent| {
        let at = sent.at("leak_at")?;
        let start = sent.wanted("leak_start", "the pressure at the start")?;
        let end = sent.wanted("leak_end", "the pressure at the end")?;
        let minutes = sent.wanted("leak_minutes", "the minutes between")?;
        let shell_c = sent.wanted("leak_c", "the shell's temperature")?;
        let by_file = sent.desk.setup().ship.checks.shell_volume_m3;
        let volume_m3 = match sent.number("leak_m3")? {
            None if by_file > 0.0 => by_file,
            _ => sent.wanted("leak_m3", "the shell's volume, or set it on the page Ship")?,
        };
        let leak = leak_down_kg_h((start, end), minutes, shell_c, volume_m3)
            .map_err(|why| ("leak_end", why))?;
        let text = format!("{leak:.3}");
        let written = sent.desk.write_check("leak_down_kg_h", (&text, ""), at, sent.by, sent.now);
        written.map(drop).map_err(beside("leak_end"))
    })
    .await
}

/// Closes a finding with what was seen.
pub(super) async fn close(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    let (desk, now) = (app.desk().clone(), app.clock().now());
    let span = since(form.typed("days"));
    let lately =
        app.work().run(move |_| desk.findings_lately(span, now, std::time::Duration::ZERO));
    let chance = match lately.await?? {
        Lately::Found(view) | Lately::Before(view) => view.chance_of(form.typed("close")),
        _ => None,
    };
    done((app, reader, form), "close_by", "closed", move |sent| {
        let of = |name: &str| sent.form.typed(name).to_owned();
        let at = sent.at("close_at")?;
        let closing = Closing {
            cause: of("close"),
            seen: of("close_seen"),
            words: of("close_words"),
            cleaned: of("close_cleaned"),
            mended: of("close_mended"),
            chance,
            at: Some(at),
        };
        if let Some(why) = closing.wants_words() {
            return Err(("close_words", why.to_owned()));
        }
        part_asked(sent, &closing)?;
        if let Some(why) = closing.wants_mended().or(closing.mends_nothing()) {
            return Err(("close_mended", why.to_owned()));
        }
        if !closing.cleaned.is_empty() {
            cleaning_asked(sent, at, ("close_at", "close_stands"))?;
        }
        inside_asked(sent, &closing, at)?;
        again_asked(sent, &closing, at)?;
        let written = sent.desk.close_finding(&closing, sent.by, sent.now);
        written.map(drop).map_err(beside("close"))
    })
    .await
}

/// Writes that the plant was cleaned.
pub(super) async fn cleaned(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    done((app, reader, form), "cleaned_by", "cleaned", |sent| {
        let at = sent.at("cleaned_at")?;
        let of = (sent.form.typed("cleaned_what"), sent.form.typed("cleaned_words"));
        cleaning_asked(sent, at, ("cleaned_at", "cleaned_stands"))?;
        let written = sent.desk.write_cleaned(of, at, sent.by, sent.now);
        written.map(drop).map_err(beside("cleaned_what"))
    })
    .await
}

/// Writes that an instrument was set right.
pub(super) async fn set_right(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    done((app, reader, form), "right_by", "set-right", |sent| {
        let at = sent.at("right_at")?;
        let high_by = sent.number("right_high")?;
        let reading = sent.form.typed("right");
        sign_asked(sent, reading, high_by)?;
        right_again_asked(sent, reading, at)?;
        let since = match sent.form.typed("right_since").trim() {
            // As the findings have it; as far back as rounds go where they do not say.
            "" => sent
                .desk
                .believed_since(reading, sent.now)
                .map_err(beside("right_since"))?
                .filter(|since| *since < at),
            _ => Some(sent.at("right_since")?),
        };
        let written =
            sent.desk.write_recalibrated((reading, high_by, since), at, sent.by, sent.now);
        written.map(drop).map_err(beside("right"))
    })
    .await
}

/// Trusts an instrument less, or as its kind again.
pub(super) async fn trust(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    let word = if form.typed("how") == "usual" { "trusted-usual" } else { "trusted" };
    done((app, reader, form), "trust_by", word, |sent| {
        let reading = sent.form.typed("trust");
        let kept = if sent.form.typed("how") == "usual" {
            sent.desk.trust_as_usual(reading, sent.by, sent.now)
        } else {
            sent.desk.trust_less(reading, sent.by, sent.now)
        };
        kept.map_err(beside("trust"))
    })
    .await
}

/// Takes a check back.
pub(super) async fn take_back(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    done((app, reader, form), "back_by", "taken-back", |sent| {
        let text = sent.form.typed("back");
        let seq: u64 =
            text.parse().map_err(|_| ("back", format!("“{text}” is no entry's number")))?;
        let reason = sent.form.typed("back_why");
        back_asked(sent, ("back", "back_why"), &format!("the check of entry {seq}"))?;
        sent.desk.withdraw_check(seq, reason, sent.by, sent.now).map_err(beside("back"))
    })
    .await
}

/// Takes back a closing, a cleaning or an instrument set right.
pub(super) async fn untold(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    done((app, reader, form), "untold_by", "untold", |sent| {
        let text = sent.form.typed("untold");
        let seq: u64 =
            text.parse().map_err(|_| ("untold", format!("“{text}” is no entry's number")))?;
        let reason = sent.form.typed("untold_why");
        let told = sent.desk.told_of_plant(sent.now).map_err(beside("untold"))?;
        if let Some(what) = told_words(&told, seq) {
            back_asked(sent, ("untold", "untold_why"), &format!("“{what}”"))?;
        }
        sent.desk.withdraw_told(seq, reason, sent.by, sent.now).map_err(beside("untold"))
    })
    .await
}

/// Keeps the settings file.
pub(super) async fn tables(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    done((app, reader, form), "tables_by", "kept", |sent| {
        let text = sent.form.typed("tables").replace("\r\n", "\n");
        sent.desk.save_tables(&text, sent.by, sent.now).map_err(beside("tables"))
    })
    .await
}
