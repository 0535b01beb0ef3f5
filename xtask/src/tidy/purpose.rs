//! Every source file says on its first line what it is for.

use super::{Finding, House};
use crate::repo::File;

pub fn check(house: &House) -> Vec<Finding> {
    house.files.iter().filter_map(lacking).collect()
}

fn lacking(file: &File) -> Option<Finding> {
    let (starts, example): (&[&str], &str) = match file.extension() {
        "rs" => (&["//! "], "//! what this file holds"),
        "py" => (&["\"\"\"", "# "], "\"\"\"What this script makes.\"\"\""),
        "css" => (&["/* "], "/* what this sheet is for */"),
        "js" | "mjs" => (&["// ", "/* ", "/** "], "// what this module adds to the page"),
        "sh" => (&["# "], "# what this script does"),
        _ => return None,
    };
    let first = file.lines().find(|(_, line)| !line.starts_with("#!/"));
    let (line, text) = first.unwrap_or((1, ""));
    let says = starts.iter().any(|start| text.len() > start.len() + 3 && text.starts_with(start));
    (!says).then(|| {
        Finding::at(
            &file.path,
            line,
            format!("does not begin with its purpose, such as `{example}`"),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::lacking;
    use crate::repo::File;

    fn is_lacking(path: &str, text: &str) -> bool {
        lacking(&File { path: path.to_owned(), text: text.to_owned() }).is_some()
    }

    #[test]
    fn purpose_comes_first_in_every_language() {
        assert!(!is_lacking("a.rs", "//! Saturation.\n"));
        assert!(is_lacking("a.rs", "// Saturation.\n"));
        assert!(is_lacking("a.rs", "use b;\n//! late"));
        assert!(is_lacking("a.rs", ""));
        assert!(is_lacking("a.rs", "//! \n"));
        assert!(!is_lacking("a.py", "#!/usr/bin/env python3\n\"\"\"Tables.\"\"\""));
        assert!(!is_lacking("a.css", "/* The sheet. */"));
        assert!(is_lacking("a.js", "let a = 1"));
        assert!(!is_lacking("a.toml", "a = 1"));
    }
}
