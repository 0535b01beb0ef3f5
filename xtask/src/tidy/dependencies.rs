//! Every library is named in docs/dependencies.md with its reason, version and licence, and their number is kept.

use std::collections::BTreeMap;

use super::table::{self, Row};
use super::{Finding, House};
use crate::metadata::Package;

const LIST: &str = "docs/dependencies.md";

/// Crates that do not go to sea.
const CHORES: [&str; 2] = ["browse", "xtask"];

pub fn check(house: &House) -> Vec<Finding> {
    let Some(list) = house.file(LIST) else {
        return vec![Finding::in_file(LIST, "is missing; it gives the reason for every library")];
    };
    let aboard = table::rows(&list.text, "aboard");
    let ashore = table::rows(&list.text, "ashore");
    let mut findings = Vec::new();
    // Whether each library is used by the program itself, and by which crate first.
    let mut used: BTreeMap<&str, (bool, &str)> = BTreeMap::new();
    for package in house.metadata.ours() {
        let goes_to_sea = !CHORES.contains(&package.name.as_str());
        for dependency in package.dependencies.iter().filter(|one| one.path.is_none()) {
            let aboard = goes_to_sea && dependency.kind.as_deref() != Some("dev");
            let entry = used.entry(&dependency.name).or_insert((aboard, &package.name));
            if aboard && !entry.0 {
                *entry = (true, &package.name);
            }
        }
    }
    for (name, (is_aboard, user)) in &used {
        let rows = if *is_aboard { &aboard } else { &ashore };
        let part = if *is_aboard { "aboard" } else { "ashore" };
        match row_of(rows, name) {
            None => findings.push(Finding::in_file(
                LIST,
                format!("`{name}`, used by `{user}`, is missing from the table `{part}`: say why it is taken"),
            )),
            Some(row) => findings.extend(outdated(row, name, house)),
        }
    }
    for (rows, part, wanted) in [(&aboard, "aboard", true), (&ashore, "ashore", false)] {
        for row in rows {
            for name in row.names("library") {
                if used.get(name).is_none_or(|(is_aboard, _)| *is_aboard != wanted) {
                    let what = format!("`{name}` is in the table `{part}` but not used so");
                    findings.push(Finding::at(LIST, row.line, what));
                }
            }
        }
    }
    findings.extend(over_budget(house, &list.text));
    findings
}

fn row_of<'a>(rows: &'a [Row], name: &str) -> Option<&'a Row> {
    rows.iter().find(|row| row.names("library").contains(&name))
}

/// A row whose version or licence is no longer that of the lock file.
fn outdated(row: &Row, name: &str, house: &House) -> Option<Finding> {
    let chosen: Vec<&Package> =
        house.metadata.theirs().filter(|package| package.name == name).collect();
    let holds = |package: &&Package| {
        row.cell("version") == package.version
            && Some(row.cell("licence")) == package.license.as_deref()
    };
    if chosen.is_empty() || chosen.iter().any(holds) {
        return None;
    }
    let real: Vec<String> = chosen
        .iter()
        .map(|package| {
            format!("{} | {}", package.version, package.license.as_deref().unwrap_or("?"))
        })
        .collect();
    Some(Finding::at(LIST, row.line, format!("`{name}` is now | {} |", real.join(" or "))))
}

/// The line `Budget: N libraries` against what is built into the program on any system.
fn over_budget(house: &House, text: &str) -> Option<Finding> {
    let budget = text
        .lines()
        .find_map(|line| line.strip_prefix("Budget: ")?.split(' ').next()?.parse::<usize>().ok());
    let built = house.metadata.built_into("stillwatch");
    let count = built.iter().filter(|id| !house.metadata.workspace_members.contains(**id)).count();
    match budget {
        None => Some(Finding::in_file(LIST, "has no line `Budget: N libraries`")),
        Some(budget) if count > budget => Some(Finding::in_file(
            LIST,
            format!(
                "{count} libraries are built into the program, {budget} are budgeted; drop one, or raise the budget and say why"
            ),
        )),
        Some(_) => None,
    }
}
