//! Rust source as tidy reads it: comments and literals blanked, lines kept, test modules marked.

/// The text with comments and the insides of literals turned to spaces, so that a word found is code.
pub fn code_only(text: &str) -> String {
    blanked(text, true)
}

/// The text with comments turned to spaces, literals kept.
pub fn without_comments(text: &str) -> String {
    blanked(text, false)
}

fn blanked(text: &str, literals_too: bool) -> String {
    let mut out = text.as_bytes().to_vec();
    let mut at = 0;
    while at < text.len() {
        let rest = &text[at..];
        let (length, is_comment) = match piece(rest, text[..at].chars().next_back()) {
            Piece::Comment(length) => (length, true),
            Piece::Literal(length) => (length, false),
            Piece::Code(length) => {
                at += length;
                continue;
            }
        };
        if is_comment || literals_too {
            // The quotation marks go too: nothing looks for them.
            for byte in &mut out[at..at + length] {
                if *byte != b'\n' {
                    *byte = b' ';
                }
            }
        }
        at += length;
    }
    String::from_utf8_lossy(&out).into_owned()
}

enum Piece {
    Comment(usize),
    Literal(usize),
    Code(usize),
}

/// The kind and length of what `rest` starts with.
fn piece(rest: &str, before: Option<char>) -> Piece {
    if rest.starts_with("//") {
        return Piece::Comment(rest.find('\n').unwrap_or(rest.len()));
    }
    if rest.starts_with("/*") {
        return Piece::Comment(block_comment(rest));
    }
    let in_word = before.is_some_and(|c| c.is_alphanumeric() || c == '_');
    if let Some(length) = raw_string(rest).filter(|_| !in_word) {
        return Piece::Literal(length);
    }
    if rest.starts_with('"') {
        return Piece::Literal(quoted(rest));
    }
    if let Some(length) = character(rest) {
        return Piece::Literal(length);
    }
    Piece::Code(rest.chars().next().map_or(1, char::len_utf8))
}

/// Block comments nest.
fn block_comment(rest: &str) -> usize {
    let (mut depth, mut at) = (0, 0);
    while at < rest.len() {
        if rest[at..].starts_with("/*") {
            depth += 1;
            at += 2;
        } else if rest[at..].starts_with("*/") {
            depth -= 1;
            at += 2;
            if depth == 0 {
                return at;
            }
        } else {
            at += rest[at..].chars().next().map_or(1, char::len_utf8);
        }
    }
    rest.len()
}

/// `r"…"`, `r#"…"#`, `br…`, `cr…`.
fn raw_string(rest: &str) -> Option<usize> {
    let after_prefix = ["r", "br", "cr"].iter().find_map(|prefix| rest.strip_prefix(prefix))?;
    let inside = after_prefix.trim_start_matches('#');
    let hashes = after_prefix.len() - inside.len();
    let inside = inside.strip_prefix('"')?;
    let start = rest.len() - inside.len();
    let close = format!("\"{}", "#".repeat(hashes));
    Some(inside.find(&close).map_or(rest.len(), |end| start + end + close.len()))
}

fn quoted(rest: &str) -> usize {
    let mut escaped = false;
    for (at, c) in rest.char_indices().skip(1) {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return at + 1,
            _ => {}
        }
    }
    rest.len()
}

/// A character literal, told from a lifetime by where it closes.
fn character(rest: &str) -> Option<usize> {
    let inside = rest.strip_prefix('\'')?;
    let first = inside.chars().next()?;
    if first == '\\' {
        let escape = inside.char_indices().nth(1).map_or(1, |(at, c)| at + c.len_utf8());
        return inside[escape..].find('\'').map(|end| 1 + escape + end + 1);
    }
    let after = first.len_utf8();
    inside[after..].starts_with('\'').then_some(1 + after + 1)
}

/// For each line of `code` (from [`code_only`]), whether it stands in an item marked `#[cfg(test)]`.
pub fn test_lines(code: &str) -> Vec<bool> {
    const MARK: &str = "#[cfg(test)]";
    let mut marked = vec![false; code.lines().count()];
    let line_of = |at: usize| code[..at].matches('\n').count();
    let mut from = 0;
    while let Some(found) = code[from..].find(MARK) {
        let start = from + found;
        let end = item_end(code, start + MARK.len());
        for flag in marked.iter_mut().take(line_of(end) + 1).skip(line_of(start)) {
            *flag = true;
        }
        from = end.max(start + MARK.len());
    }
    marked
}

/// Where the item that begins at `start` closes: its `;`, or the brace that matches its first.
fn item_end(code: &str, start: usize) -> usize {
    let mut depth = 0_usize;
    for (at, byte) in code.bytes().enumerate().skip(start) {
        match byte {
            b';' if depth == 0 => return at,
            b'{' => depth += 1,
            b'}' if depth <= 1 => return at,
            b'}' => depth -= 1,
            _ => {}
        }
    }
    code.len()
}

#[cfg(test)]
mod tests {
    use super::{code_only, test_lines, without_comments};

    #[test]
    fn words_in_comments_and_literals_are_not_code() {
        let text = r###"let a = "panic!()"; // panic!()
/* outer /* panic!() */ panic!() */ let b = 'p'; let c: &'static str = r#"panic!("x")"#;
let d = '\''; let e = b"panic!()"; let f = "\"panic!()"; real.unwrap();"###;
        let code = code_only(text);
        assert!(!code.contains("panic!"), "{code}");
        assert!(code.contains("&'static str"), "{code}");
        assert!(code.contains("real.unwrap();"), "{code}");
        assert_eq!(code.lines().count(), 3);
        assert_eq!(code.len(), text.len());
    }

    #[test]
    fn literals_can_be_kept() {
        let text = "#[path = \"a.rs\"] // why\nmod b;";
        assert_eq!(without_comments(text), "#[path = \"a.rs\"]       \nmod b;");
    }

    #[test]
    fn test_items_are_marked_to_their_closing_brace() {
        let code = "fn a() {}\n#[cfg(test)]\nmod tests {\n    fn b() { {} }\n}\nfn c() {}\n\
                    #[cfg(test)]\nmod more;\nfn d() {}";
        assert_eq!(test_lines(code), [false, true, true, true, true, false, true, true, false]);
    }
}
