//! Causes and checks of a ship's findings as tables for a person: the rows of the page, what is new by the last days among them.

use desk::findings::{CauseLine, FindingsView};
use findings::percent;

use super::output;

/// Checks told at most.
const CHECKS: usize = 4;

/// The causes as the page has them: what is new, all rounds together, and what is not explained.
pub fn causes(view: &FindingsView) -> String {
    if let Some(what) = &view.held {
        return format!("  not to be relied on until read again: {what}\n");
    }
    let head =
        ["", "past its limit", "changed", "now", "nine in ten, limit", "costs", "cured alone"];
    let t_day = |x: Option<f64>| match x {
        // A cost under nought is one that does not show.
        Some(x) if x >= 0.05 => format!("{x:.1} t/day"),
        Some(_) => "–".to_owned(),
        None => String::new(),
    };
    let row = |line: &CauseLine, words: String, costs: String| {
        let sign = if line.in_unit.is_empty() { "" } else { " %" };
        let now = format!("{} {}", line.now, line.part_of);
        vec![
            words,
            percent(line.chance),
            percent(line.changed),
            now.trim_end().to_owned(),
            format!("{}{sign}", line.between_bare()),
            costs,
            t_day(line.cure_t_day),
        ]
    };
    let fresh = view.fresh.iter().flat_map(|fresh| {
        fresh.lines.iter().map(|line| {
            let by_all = view.causes.iter().find(|all| all.key == line.key);
            let costs = by_all.and_then(|all| all.loss_t_day).filter(|t| *t >= 0.05);
            let costs = costs.map_or_else(String::new, |t| t_day(Some(t)));
            let words = format!("{} (new, by the last {} days alone)", line.words, fresh.days);
            let mut row = row(line, words, costs);
            row.pop();
            row
        })
    });
    let is_new =
        |key: &str| view.fresh.iter().any(|fresh| fresh.lines.iter().any(|line| line.key == key));
    let all = view.causes.iter().filter(|line| !is_new(&line.key)).map(|line| {
        let known = line.known.map_or_else(String::new, |at| {
            format!(" (found {}, not mended yet)", view.short_day(at))
        });
        let few = line.few_says();
        let few = if few.is_empty() { few } else { format!(" ({few})") };
        row(line, format!("{}{known}{few}", line.words), t_day(line.loss_t_day))
    });
    let rest = view.missing.as_ref().map(|missing| missing.rest_t_day);
    let rest = rest.filter(|t| t.abs() >= 0.05).map(|t| {
        let words = if t > 0.0 { "not explained" } else { "more than is missing" };
        let mut row = vec![words.to_owned()];
        row.extend((0..4).map(|_| String::new()));
        row.push(format!("{t:.1} t/day").replace('-', "−"));
        row
    });
    let head = std::iter::once(head.map(str::to_owned).to_vec());
    output::columns(&head.chain(fresh).chain(all).chain(rest).collect::<Vec<_>>())
}

/// What to read next, that of the first step marked; empty where nothing is worth the walk.
pub fn next(view: &FindingsView) -> String {
    let first = view.first_check();
    let worth: Vec<Vec<String>> = view
        .checks
        .iter()
        .filter(|check| check.worth)
        .take(CHECKS)
        .map(|check| {
            let stopped = if check.stopped { ", plant cold and drained" } else { "" };
            vec![
                format!("{}{}", if first == Some(check) { "first: " } else { "" }, check.words),
                format!("{:.0} min{stopped}", check.minutes),
                format!("takes away {:.0} % of the doubt", 100.0 * check.removes),
            ]
        })
        .collect();
    if worth.is_empty() {
        return String::new();
    }
    format!("\nWhat to read next\n{}", output::columns(&worth))
}
