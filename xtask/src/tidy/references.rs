//! Reference data stands beside a SOURCE file that names every table with its SHA-256, by a path from there or
//! from the root.

use std::fs;

use sha2::{Digest, Sha256};

use super::{Finding, House};
use crate::repo::File;

const DATA: [&str; 4] = ["csv", "json", "jsonl", "tsv"];

pub fn check(house: &House) -> Vec<Finding> {
    let mut findings = Vec::new();
    for source in house.files.iter().filter(|file| file.name() == "SOURCE") {
        for entry in entries(source) {
            let beside = house.root.join(source.folder()).join(&entry.file);
            let from_root = house.root.join(&entry.file);
            let found = fs::read(&beside).or_else(|_| fs::read(&from_root));
            let found = found.map(|bytes| hex(&Sha256::digest(bytes)));
            match found {
                Err(error) => findings.push(Finding::at(
                    &source.path,
                    entry.line,
                    format!("names {}, which cannot be read: {error}", entry.file),
                )),
                Ok(sum) if sum != entry.sha256 => findings.push(Finding::at(
                    &source.path,
                    entry.line,
                    format!("{} has SHA-256 {sum}, not {}: made again without saying so, or changed by hand", entry.file, entry.sha256),
                )),
                Ok(_) => {}
            }
        }
    }
    let validation = house.files.iter().filter(|file| file.path.starts_with("validation/"));
    for table in validation.filter(|file| DATA.contains(&file.extension())) {
        let source = house.file(&format!("{}/SOURCE", table.folder()));
        let listed = source
            .is_some_and(|source| entries(source).iter().any(|entry| entry.file == table.name()));
        if !listed {
            findings.push(Finding::in_file(
                &table.path,
                "the SOURCE file beside it does not name this table with its SHA-256",
            ));
        }
    }
    findings
}

struct Entry {
    line: usize,
    file: String,
    sha256: String,
}

/// Lines that carry a file name and, later on the line, 64 hexadecimal digits.
fn entries(source: &File) -> Vec<Entry> {
    source.lines().filter_map(|(line, text)| entry(line, text)).collect()
}

fn entry(line: usize, text: &str) -> Option<Entry> {
    let words: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || matches!(c, '|' | '`' | ',' | ':' | '(' | ')' | '='))
        .filter(|word| !word.is_empty())
        .collect();
    let is_sum = |word: &&str| word.len() == 64 && word.bytes().all(|b| b.is_ascii_hexdigit());
    let sha256 = words.iter().find(|word| is_sum(word))?.to_ascii_lowercase();
    let has_extension = |word: &&&str| {
        word.rsplit_once('.').is_some_and(|(stem, extension)| {
            !stem.is_empty() && extension.starts_with(|c: char| c.is_ascii_lowercase())
        })
    };
    let file = words.iter().find(has_extension)?.to_string();
    Some(Entry { line, file, sha256 })
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use sha2::{Digest, Sha256};

    use super::{entry, hex};

    /// FIPS 180-4 example, SHA-256 of "abc" (NIST, "SHA256.pdf" of the cryptographic standards examples).
    const ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

    #[test]
    fn ref_sha256_of_abc() {
        assert_eq!(hex(&Sha256::digest(b"abc")), ABC);
    }

    #[test]
    fn table_row_and_plain_line_are_both_read() {
        for line in [
            format!("| if97.csv | IAPWS R7-97(2012): CoolProp 8.0.0 | {ABC} |"),
            format!("{ABC}  if97.csv"),
            format!("sha256 of `if97.csv`: {ABC}"),
        ] {
            let entry = entry(1, &line).unwrap();
            assert_eq!((entry.file.as_str(), entry.sha256.as_str()), ("if97.csv", ABC), "{line}");
        }
        assert!(entry(1, "| if97.csv | no sum |").is_none());
    }
}
