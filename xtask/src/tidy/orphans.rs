//! Every Rust file is reached from a target of its crate, so that no test is forgotten.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use super::{Finding, House};
use crate::source;

pub fn check(house: &House) -> Vec<Finding> {
    let mut reached = BTreeSet::new();
    for package in house.metadata.ours() {
        for target in &package.targets {
            reach(house, &relative(&house.root, &target.src_path), true, &mut reached);
        }
    }
    house
        .with_extension("rs")
        .filter(|file| file.path.starts_with("crates/") || file.path.starts_with("xtask/"))
        .filter(|file| !reached.contains(&file.path))
        .map(|file| {
            Finding::in_file(
                &file.path,
                "no target reaches this file: name it by `mod`, or take it out",
            )
        })
        .collect()
}

fn relative(root: &Path, path: &Path) -> String {
    let below = path.strip_prefix(root).unwrap_or(path);
    let parts: Vec<_> = below.components().map(|part| part.as_os_str().to_string_lossy()).collect();
    parts.join("/")
}

/// Adds a file and all that its `mod` lines lead to. Modules of a target's own file and of a `mod.rs` stand
/// beside it, those of any other in the folder of its name.
fn reach(house: &House, path: &str, is_target: bool, reached: &mut BTreeSet<String>) {
    let Some(file) = house.file(path).filter(|file| reached.insert(file.path.clone())) else {
        return;
    };
    let folder = PathBuf::from(file.folder());
    let inside = if is_target || file.name() == "mod.rs" {
        folder.clone()
    } else {
        folder.join(file.name().trim_end_matches(".rs"))
    };
    for module in modules(&file.text) {
        let candidates = match &module.path {
            Some(path) => vec![folder.join(path)],
            None => {
                let place =
                    module.inside.iter().fold(inside.clone(), |place, part| place.join(part));
                let name = &module.name;
                vec![place.join(format!("{name}.rs")), place.join(name).join("mod.rs")]
            }
        };
        for candidate in candidates {
            reach(house, &relative(&house.root, &normal(&candidate)), false, reached);
        }
    }
}

/// `a/../b` as `b`.
fn normal(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        if part.as_os_str() == ".." {
            out.pop();
        } else {
            out.push(part);
        }
    }
    out
}

#[derive(Debug, PartialEq, Eq)]
struct Module {
    name: String,
    /// Names of the modules written out around it, outermost first.
    inside: Vec<String>,
    /// What `#[path]` says.
    path: Option<String>,
}

/// The modules that a file leaves to other files.
fn modules(text: &str) -> Vec<Module> {
    let code = source::code_only(text);
    let literal = source::without_comments(text);
    let mut found = Vec::new();
    let mut around: Vec<(String, usize)> = Vec::new();
    let mut depth = 0_usize;
    let mut path = None;
    for (line, with_literals) in code.lines().zip(literal.lines()) {
        if let Some(after) = with_literals.split_once("#[path") {
            path = after.1.split('"').nth(1).map(str::to_owned);
        }
        if let Some(name) = module_name(line) {
            if line.trim_end().ends_with(';') {
                let inside = around.iter().map(|(name, _)| name.clone()).collect();
                found.push(Module { name, inside, path: path.take() });
            } else if line.contains('{') {
                around.push((name, depth));
            }
        }
        for byte in line.bytes() {
            match byte {
                b'{' => depth += 1,
                b'}' => depth = depth.saturating_sub(1),
                _ => {}
            }
        }
        while around.last().is_some_and(|(_, at)| depth <= *at) {
            around.pop();
        }
    }
    found
}

fn module_name(line: &str) -> Option<String> {
    let mut words = line.split_whitespace().skip_while(|word| *word != "mod");
    words.next()?;
    let name: String =
        words.next()?.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
    (!name.is_empty()).then_some(name)
}

#[cfg(test)]
mod tests {
    use super::{Module, modules};

    #[test]
    fn modules_left_to_other_files_are_found() {
        let text = "//! mod no;\npub mod a;\n#[path = \"../b.rs\"]\nmod b;\nmod c {\n    mod d;\n}\npub(crate) mod e;\n";
        let module = |name: &str, inside: &[&str], path: Option<&str>| Module {
            name: name.to_owned(),
            inside: inside.iter().map(ToString::to_string).collect(),
            path: path.map(str::to_owned),
        };
        assert_eq!(
            modules(text),
            [
                module("a", &[], None),
                module("b", &[], Some("../b.rs")),
                module("d", &["c"], None),
                module("e", &[], None),
            ]
        );
    }
}
