//! Licence expressions: whether a choice among what is offered can be made from an allowed list.

/// Whether an expression such as `(MIT OR Apache-2.0) AND Unicode-3.0` can be met. `/` is an old way of writing OR.
pub fn allows(expression: &str, allowed: &[&str]) -> bool {
    let spaced = expression.replace('/', " OR ").replace('(', " ( ").replace(')', " ) ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut reader = Reader { words: &words, allowed };
    reader.any_of() == Some(true) && reader.words.is_empty()
}

struct Reader<'a> {
    words: &'a [&'a str],
    allowed: &'a [&'a str],
}

/// `None` is a text that cannot be read.
impl<'a> Reader<'a> {
    fn next_if(&mut self, word: &str) -> bool {
        match self.words {
            [first, rest @ ..] if *first == word => {
                self.words = rest;
                true
            }
            _ => false,
        }
    }

    fn any_of(&mut self) -> Option<bool> {
        let mut met = self.all_of()?;
        while self.next_if("OR") {
            met |= self.all_of()?;
        }
        Some(met)
    }

    fn all_of(&mut self) -> Option<bool> {
        let mut met = self.one()?;
        while self.next_if("AND") {
            met &= self.one()?;
        }
        Some(met)
    }

    fn one(&mut self) -> Option<bool> {
        if self.next_if("(") {
            let met = self.any_of()?;
            return self.next_if(")").then_some(met);
        }
        let (name, rest) = self.words.split_first()?;
        self.words = rest;
        if self.next_if("WITH") {
            let (exception, rest) = self.words.split_first()?;
            self.words = rest;
            return Some(self.allowed.contains(&format!("{name} WITH {exception}").as_str()));
        }
        Some(self.allowed.contains(name))
    }
}

#[cfg(test)]
mod tests {
    use super::allows;

    /// Precedence by the SPDX specification 2.3, annex D: WITH, then AND, then OR.
    #[test]
    fn ref_spdx_precedence() {
        let allowed = ["MIT", "Unicode-3.0", "Apache-2.0 WITH LLVM-exception"];
        for yes in [
            "MIT",
            "MIT/Apache-2.0",
            "GPL-3.0-only OR MIT",
            "(MIT OR Apache-2.0) AND Unicode-3.0",
            "MIT OR GPL-3.0-only AND LGPL-3.0-only",
            "Apache-2.0 WITH LLVM-exception OR GPL-2.0-only",
        ] {
            assert!(allows(yes, &allowed), "{yes}");
        }
        for no in ["GPL-3.0-only", "MIT AND GPL-3.0-only", "(MIT", "", "MIT MIT", "Apache-2.0"] {
            assert!(!allows(no, &allowed), "{no}");
        }
    }
}
