//! Library code does not panic, or a comment beside the place proves that it cannot.

use super::{Finding, House};
use crate::repo::File;
use crate::source;

const PANICS: [&str; 6] =
    [".unwrap()", ".expect(", "panic!(", "todo!(", "unimplemented!(", "unreachable!("];

/// A proof stands on the line itself or so many lines above it.
const PROOF_REACHES: usize = 3;

pub fn check(house: &House) -> Vec<Finding> {
    house.with_extension("rs").filter(|file| is_library(file)).flat_map(unproved).collect()
}

fn is_library(file: &File) -> bool {
    let is_test = file.name() == "tests.rs" || file.path.contains("/tests/");
    file.path.starts_with("crates/") && file.path.contains("/src/") && !is_test
}

fn unproved(file: &File) -> Vec<Finding> {
    let code = source::code_only(&file.text);
    let in_test = source::test_lines(&code);
    let written: Vec<&str> = file.text.lines().collect();
    let mut findings = Vec::new();
    for (index, line) in code.lines().enumerate() {
        let Some(panic) = PANICS.iter().find(|panic| line.contains(*panic)) else { continue };
        let above = index.saturating_sub(PROOF_REACHES);
        let proved = written[above..=index].iter().any(|line| line.contains("// proof: "));
        if !proved && !in_test[index] {
            findings.push(Finding::at(
                &file.path,
                index + 1,
                format!("`{panic}` in library code: return a typed error, or prove beside it in a comment `// proof: …` that it cannot happen"),
            ));
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::unproved;
    use crate::repo::File;

    #[test]
    fn a_panic_wants_a_proof_unless_it_is_in_a_test() {
        let text = "fn a() {\n    b.unwrap();\n}\n// proof: the list is never empty\nfn c() { d.expect(\"\") }\n\
                    #[cfg(test)]\nmod tests {\n    fn e() { panic!() }\n}\n// f.unwrap()\n";
        let file = File { path: "crates/x/src/lib.rs".to_owned(), text: text.to_owned() };
        let lines: Vec<usize> = unproved(&file).iter().map(|finding| finding.line).collect();
        assert_eq!(lines, [2]);
    }
}
