//! Which of 3/4/2026 is the day: as said, or as the dates of the whole file allow.

use quantity::{DayOrder, read_moment};

use super::Reading;
use super::decode::FileRefused;
use super::layout::{Column, Layout};

/// A date with the line it stands in.
type Seen = (u64, String);

/// Who says which comes first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OrderBy {
    /// The person who brings the file.
    Said,
    /// A date that is none the other way round.
    Date {
        /// Its line, counted from 1.
        line: u64,
        /// What was read.
        read: String,
    },
    /// Nobody: all that could be read both ways are parted by points, and there the day comes first.
    Custom,
}

/// Which of day and month comes first in dates of figures, and who says so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Order {
    /// The order.
    pub order: DayOrder,
    /// Who says so.
    pub by: OrderBy,
}

/// The order that the dates of all rows allow; none where it changes no date.
///
/// # Errors
/// Both orders fit every date, or neither does.
pub(super) fn settle(
    rows: csv::Reader<&[u8]>,
    layout: &Layout,
    how: &Reading<'_>,
) -> Result<Option<Order>, FileRefused> {
    if let Some(order) = how.day_order {
        return Ok(Some(Order { order, by: OrderBy::Said }));
    }
    let place = |wanted: &Column| layout.columns.iter().position(|c| c == wanted);
    let Some(at) = place(&Column::Date).or(place(&Column::Time)) else { return Ok(None) };
    let (mut day, mut month, mut open, mut pointed) = (None, None, None, false);
    for record in rows.into_records().flatten() {
        let text = record.get(at).unwrap_or_default().trim();
        // The year first, as most files have it: nothing to learn from it.
        if text.len() > 4 && text.bytes().take(4).all(|b| b.is_ascii_digit()) {
            continue;
        }
        let Some(date) = read_moment(text).map(|moment| moment.date) else { continue };
        let seen = || -> Seen { (record.position().map_or(0, csv::Position::line), text.into()) };
        match date.order() {
            Some(DayOrder::DayFirst) => _ = day.get_or_insert_with(seen),
            // With points the month never comes first: such a date is a slip, and its own row says so.
            Some(DayOrder::MonthFirst) if date.is_pointed() => {}
            Some(DayOrder::MonthFirst) => _ = month.get_or_insert_with(seen),
            None if !date.is_open() => {}
            None if date.is_pointed() => pointed = true,
            None => _ = open.get_or_insert_with(seen),
        }
    }
    let by = |(line, read): Seen| OrderBy::Date { line, read };
    match (day, month, open) {
        (Some(day), Some(month), _) => Err(FileRefused::DayOrders { day, month }),
        (Some(day), None, _) => Ok(Some(Order { order: DayOrder::DayFirst, by: by(day) })),
        (None, Some(month), _) => Ok(Some(Order { order: DayOrder::MonthFirst, by: by(month) })),
        (None, None, Some((line, read))) => Err(FileRefused::DayOrder { line, read }),
        (None, None, None) => {
            Ok(pointed.then_some(Order { order: DayOrder::DayFirst, by: OrderBy::Custom }))
        }
    }
}
