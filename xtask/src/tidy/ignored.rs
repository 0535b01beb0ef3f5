//! No test is passed over, and none is empty.

use super::{Finding, House};
use crate::source;

pub fn check(house: &House) -> Vec<Finding> {
    let rust = house.with_extension("rs").map(|file| (file, source::code_only(&file.text)));
    let script = ["js", "mjs"].into_iter().flat_map(|extension| house.with_extension(extension));
    let script = script.map(|file| (file, file.text.clone()));
    let in_rust = rust.map(|both| (both, &["#[ignore", "assert!(true", "should_panic]"][..]));
    let in_script = script.map(|both| (both, &["test.skip(", "it.skip(", "test.only("][..]));
    let mut findings = Vec::new();
    for ((file, code), signs) in in_rust.chain(in_script) {
        for (line, text) in (1..).zip(code.lines()) {
            for sign in signs.iter().filter(|sign| text.contains(**sign)) {
                let what = format!("`{sign}`: a test is run and can fail, or it is taken out");
                findings.push(Finding::at(&file.path, line, what));
            }
        }
    }
    findings
}
