//! How a file was understood, in words: whose clock its times are by, and which of day and month comes first.

use logbook::Zone;
use logbook::import::{DayOrder, OrderBy, Times, TimesBy};

use super::Import;

impl Import {
    /// One sentence on its times; what to do follows where an hour was lived twice.
    #[must_use]
    pub fn times_told(&self) -> String {
        let taken = &self.plan.times;
        if taken.rows == 0 {
            return "Every time carries its offset from UTC.".into();
        }
        let by = match taken.by {
            TimesBy::Said => ", as was said",
            TimesBy::Heading => ", as its heading says",
            TimesBy::Custom => "",
        };
        match taken.times {
            Times::At(Zone::UTC) => format!("Times without an offset are UTC{by}."),
            Times::At(zone) => format!("Times without an offset are UTC{zone}{by}."),
            Times::Ship if !self.clock_set => {
                "Times without an offset are ship’s time, which was never set in this record: they are taken as UTC.".into()
            }
            Times::Ship if taken.doubled == 0 => {
                format!("Times without an offset are ship’s time as the record has it then{by}.")
            }
            Times::Ship => format!(
                "Times without an offset are ship’s time as the record has it then{by}; {} of them stand in an hour that was lived twice and mean the later: write +10 or the like behind those that mean the earlier.",
                taken.doubled
            ),
        }
    }

    /// One sentence on its dates; empty where day and month cannot change places.
    #[must_use]
    pub fn dates_told(&self) -> String {
        let Some(order) = &self.plan.order else { return String::new() };
        let first = match order.order {
            DayOrder::DayFirst => "day",
            DayOrder::MonthFirst => "month",
        };
        let why = match &order.by {
            OrderBy::Said => "as you say".to_owned(),
            OrderBy::Date { line, read } => {
                format!("as “{read}” in line {line} allows nothing else")
            }
            OrderBy::Custom => "as is the custom with points".to_owned(),
        };
        format!("In its dates the {first} comes first, {why}.")
    }
}
