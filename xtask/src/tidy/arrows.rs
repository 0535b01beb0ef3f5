//! Which crate may use which: the table of ARCHITECTURE.md against Cargo.toml.

use std::collections::BTreeSet;

use super::{Finding, House, table};
use crate::metadata::Package;

const MAP: &str = "ARCHITECTURE.md";

pub fn check(house: &House) -> Vec<Finding> {
    let Some(map) = house.file(MAP) else {
        return vec![Finding::in_file(MAP, "is missing; it holds the table of allowed arrows")];
    };
    let rows = table::rows(&map.text, "arrows");
    let mut findings = Vec::new();
    let mut listed = BTreeSet::new();
    for row in &rows {
        for name in row.names("crate") {
            listed.insert(name);
            match house.metadata.ours().find(|package| package.name == name) {
                None => findings.push(Finding::at(
                    MAP,
                    row.line,
                    format!("crate `{name}` is on the map but not in the workspace"),
                )),
                Some(package) => findings.extend(strays(package, row)),
            }
        }
    }
    for package in house.metadata.ours().filter(|package| !listed.contains(package.name.as_str())) {
        let name = &package.name;
        findings.push(Finding::in_file(
            MAP,
            format!("crate `{name}` is not on the map; add its row and what it may use"),
        ));
    }
    findings
}

/// Arrows that a crate has and its row does not give.
fn strays<'a>(package: &'a Package, row: &'a table::Row) -> impl Iterator<Item = Finding> + 'a {
    let may_use = row.names("may use");
    let tests_may_use = row.names("its tests also");
    package.dependencies.iter().filter(|dependency| dependency.path.is_some()).filter_map(
        move |dependency| {
            let to = dependency.name.as_str();
            let is_test = dependency.kind.as_deref() == Some("dev");
            let allowed = may_use.contains(&to) || (is_test && tests_may_use.contains(&to));
            let from = &package.name;
            (!allowed).then(|| {
                Finding::in_file(
                    format!("crates/{from}/Cargo.toml"),
                    format!(
                        "`{from}` must not use `{to}`: the table of {MAP} (line {}) has no such arrow",
                        row.line
                    ),
                )
            })
        },
    )
}
