//! The story written into a record, each entry with the time it was written.

use std::path::Path;

use jiff::Timestamp;
use logbook::{Author, Draft, Kind, Value};

use super::marram;
use super::rounds::{Happening, Round, What, story};
use crate::desk::{Desk, DeskError};
use crate::field;
use crate::round::SOUNDING;
use crate::ship::Ship;
use crate::typed::{shown, to_si, unit_of};

/// Opens the demonstration in a folder; tells the story into it when it is new.
///
/// # Errors
/// The folder or the record cannot be written, or holds another ship.
pub fn open(folder: &Path, now: Timestamp, seed: u64) -> Result<Desk, DeskError> {
    let ship = marram();
    let desk = Desk::open_or_make(folder, &ship, now)?;
    let setup = desk.setup();
    if setup.ship.name != ship.name {
        return Err(DeskError::Asked(format!(
            "{} holds the ship {}, not the demonstration: name another folder",
            folder.display(),
            setup.ship.name
        )));
    }
    if desk.head()?.0 > 0 {
        return Ok(desk);
    }
    let drafts = drafts(&setup.ship, &story(&setup.ship, &setup.plant, now, seed));
    {
        let mut book = desk.book()?;
        let receipts = book.append_many(drafts)?;
        correct_one(&mut book, &receipts, now)?;
    }
    desk.save_route(&super::route_text(now), "2o", now)?;
    desk.save_events(&super::events_text(now), "ce", now)?;
    Ok(desk)
}

/// Minutes between reading and writing down.
const WRITTEN_AFTER_S: i64 = 9 * 60;

fn drafts(ship: &Ship, told: &super::rounds::Story) -> Vec<(Draft, Timestamp)> {
    let mut out: Vec<(Draft, Timestamp)> = Vec::new();
    let mut happenings = told.happenings.iter().peekable();
    for round in &told.rounds {
        while let Some(h) = happenings.next_if(|h| h.at <= round.at) {
            out.push((happening(h), later(h.at, 60)));
        }
        out.push((reading(ship, round), later(round.at, WRITTEN_AFTER_S)));
    }
    out.extend(happenings.map(|h| (happening(h), later(h.at, 60))));
    out.sort_by_key(|(_, logged)| *logged);
    out
}

fn later(at: Timestamp, seconds: i64) -> Timestamp {
    Timestamp::from_second(at.as_second() + seconds).unwrap_or(at)
}

fn reading(ship: &Ship, round: &Round) -> Draft {
    let mut values = Vec::new();
    for r in field::READINGS {
        if let Some(value) = round.figures.get(r.key) {
            values.push(Value::number(
                r.key,
                plain(&shown(r, *value)),
                unit_of(r).code(),
                to_si(r, *value),
            ));
        } else if let Some(word) = round.words.get(r.key) {
            values.push(Value::word(r.key, word.clone()));
        } else if let Some((_, why)) = round.not_taken.iter().find(|(k, _)| k == r.key) {
            values.push(Value::not_taken(r.key, *why));
        }
    }
    for tank in &ship.tanks {
        let key = format!("{SOUNDING}{}", tank.key);
        if let Some(cm) = round.figures.get(&key) {
            values.push(Value::number(key, format!("{cm}"), "cm", cm / 100.0));
        }
    }
    Draft::reading(round.at, Author::hand(round.actor), values)
}

/// As it would be typed: no thin spaces, a plain minus.
fn plain(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace())
        .map(|c| if c == '\u{2212}' { '-' } else { c })
        .collect()
}

fn happening(h: &Happening) -> Draft {
    let author = Author::hand(h.actor);
    match &h.what {
        What::Plant { on, words } => {
            let mut draft = Draft::new(Kind::Event, author)
                .at(h.at)
                .detail("plant", if *on { "on" } else { "shut down" });
            draft.text = Some(words.clone());
            draft
        }
        What::Tank { tank, duty } => {
            Draft::new(Kind::Event, author).at(h.at).detail("tank", *tank).detail("duty", *duty)
        }
        What::CondenserCleaned => {
            let mut draft = Draft::new(Kind::Event, author).at(h.at).detail("cleaned", "condenser");
            draft.text = Some("condenser opened and brushed, growth on the cover side".into());
            draft
        }
        What::Zone(hours) => Draft::zone_change(h.at, i32::from(*hours) * 60, author, "master"),
    }
}

/// One watch-keeper wrote two figures the wrong way round and corrected it twenty minutes later.
fn correct_one(
    book: &mut logbook::Book,
    receipts: &[logbook::Receipt],
    now: Timestamp,
) -> Result<(), DeskError> {
    let reader = book.reader()?;
    for receipt in receipts.iter().rev().skip(5) {
        let Some(entry) = reader.entry(receipt.seq)? else { continue };
        let Some(old) = entry.value("shell_gauge_bar_g") else { continue };
        let (Some(si), Some(reading)) = (old.si, field::reading("shell_gauge_bar_g")) else {
            continue;
        };
        let wrong = Value::number(
            "shell_gauge_bar_g",
            plain(&shown(reading, crate::typed::from_si(reading, si) + 0.5)),
            "percent_vac",
            to_si(reading, crate::typed::from_si(reading, si) + 0.5),
        );
        book.correct(
            receipt.seq,
            vec![wrong],
            "read again with the glass wiped",
            entry.author.clone(),
            now,
        )?;
        break;
    }
    Ok(())
}
