//! Words that do not belong: the project speaks of itself alone, and names only files that it holds.

use std::collections::BTreeSet;

use super::{Finding, House};
use crate::repo::File;

/// In halves, so that this file does not find itself. Upper and lower case are the same.
const FORBIDDEN: [[&str; 2]; 17] = [
    ["tran", "script"],
    ["seed docu", "ment"],
    ["design docu", "ment"],
    ["shared/", "design"],
    ["/wo", "rk/"],
    ["/fa", "rm/"],
    ["you", "tube"],
    ["before", "-stop"],
    ["closing ", "note"],
    ["sub", "agent"],
    ["helper ", "agent"],
    ["coding ", "agent"],
    ["language ", "model"],
    ["chat", "gpt"],
    ["anthro", "pic"],
    ["cla", "ude"],
    ["issues", " show"],
];

/// The same, but only as whole words in exactly this spelling.
const FORBIDDEN_WORDS: [[&str; 2]; 2] = [["L", "LM"], ["LL", "Ms"]];

pub fn check(house: &House) -> Vec<Finding> {
    let held: BTreeSet<&str> = house.files.iter().map(File::name).collect();
    let mut findings = Vec::new();
    for file in house.files.iter().filter(|file| file.extension() != "lock") {
        for (line, text) in file.lines() {
            let mut found = forbidden(text);
            found.extend(missing_pages(text, &held));
            findings.extend(found.into_iter().map(|what| Finding::at(&file.path, line, what)));
        }
    }
    findings
}

fn forbidden(text: &str) -> Vec<String> {
    let lower = text.to_lowercase();
    let anywhere =
        FORBIDDEN.iter().map(|halves| halves.concat()).filter(|word| lower.contains(word));
    let whole = FORBIDDEN_WORDS
        .iter()
        .map(|halves| halves.concat())
        .filter(|word| text.split(|c: char| !c.is_alphanumeric()).any(|part| part == word));
    let numbered = lower
        .match_indices("issue ")
        .map(|(at, word)| lower[at + word.len()..].trim_start_matches('#'))
        .filter(|after| after.starts_with(|c: char| c.is_ascii_digit()))
        .map(|_| "issue by number".to_owned());
    anywhere
        .chain(whole)
        .chain(numbered)
        .map(|word| format!("`{word}` does not belong in the project"))
        .collect()
}

/// Markdown files that are named but not held: a reader could not open them.
fn missing_pages(text: &str, held: &BTreeSet<&str>) -> Vec<String> {
    let part_of_name = |c: char| c.is_alphanumeric() || matches!(c, '.' | '_' | '-');
    text.split(|c| !part_of_name(c))
        .map(|word| word.trim_end_matches('.'))
        .filter(|word| word.len() > ".md".len() && word.ends_with(".md") && !held.contains(word))
        .map(|word| format!("`{word}` is named but the repository holds no such file"))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{FORBIDDEN, forbidden, missing_pages};

    #[test]
    fn words_are_found_in_any_case_and_only_whole_where_so_said() {
        assert_eq!(forbidden(&FORBIDDEN[0].concat().to_uppercase()).len(), 1);
        assert_eq!(forbidden(&format!("an {}{} said", "L", "LM")).len(), 1);
        assert_eq!(forbidden(&format!("WE{}{}", "LL", "MADE")).len(), 0);
        assert_eq!(forbidden(&format!("see issue{}2", " #")).len(), 1);
        assert_eq!(forbidden("no issue with the ejector"), Vec::<String>::new());
    }

    #[test]
    fn named_pages_must_be_held() {
        // Put together, since this very file is read by the rule too.
        let (there, nowhere) = ("brine.".to_owned() + "md", "nowhere.".to_owned() + "md");
        let held = [there.as_str()].into();
        assert!(missing_pages(&format!("see docs/{there}."), &held).is_empty());
        assert_eq!(missing_pages(&format!("see [it](docs/{nowhere})"), &held).len(), 1);
        assert!(missing_pages("any .md file, README", &held).is_empty());
    }
}
