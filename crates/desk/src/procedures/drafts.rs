//! What is done in a run as entries of the record.

use jiff::Timestamp;
use logbook::{Author, Book, Draft, Kind, Receipt};
use procedure::{Act, Procedure};

use crate::desk::DeskError;

use super::runs::RUN;

pub(super) fn step_draft(
    act: &Act,
    run: Option<u64>,
    words: String,
    author: Author,
    procedure: &Procedure,
) -> Draft {
    let mut draft = Draft::new(Kind::Step, author);
    draft.details = act.words();
    // Where nothing is to be looked at, nothing is said of it.
    let step = act.step().and_then(|key| procedure.place(key)).map(|p| &procedure.steps[p]);
    if step.is_some_and(|step| step.look.is_empty()) {
        draft.details.remove("looked");
    }
    if let Some(run) = run {
        draft.details.insert(RUN.to_owned(), run.to_string());
    }
    draft.text = Some(words);
    draft
}

/// Writes what belongs together. Nothing stands before a stop or an emergency, so each of theirs is an entry that is taken
/// even when the clock is doubtful, the disk full or the newest entry out of order; a text or a reading that cannot be
/// written then does not keep the step from it.
pub(super) fn append(
    book: &mut Book,
    drafts: Vec<Draft>,
    urgent: bool,
    now: Timestamp,
) -> Result<Vec<Receipt>, DeskError> {
    if !urgent {
        return book.append_together(drafts.into_iter().map(Ok), now);
    }
    let mut receipts = Vec::new();
    for mut draft in drafts {
        draft.emergency = true;
        let is_step = draft.kind == Kind::Step;
        match book.append(draft, now) {
            Ok(receipt) => receipts.push(receipt),
            Err(e) if is_step => return Err(e.into()),
            Err(_) => {}
        }
    }
    Ok(receipts)
}
