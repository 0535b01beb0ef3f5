//! Where in a JSON text each element of an array begins, so that a fault can be told by its line.

/// Lines (from 1) on which the elements of an array begin: of the array under `key` in the outermost object, or of the text itself
/// when it is an array and no key is given.
pub(crate) fn of_elements(text: &str, key: Option<&str>) -> Vec<usize> {
    let bytes = text.as_bytes();
    let (mut line, mut depth, mut at) = (1, 0_usize, 0);
    let mut last_text = String::new();
    // depth of the brackets inside which the wanted elements stand
    let mut inside: Option<usize> = None;
    let mut expecting = false;
    let mut found = Vec::new();
    while at < bytes.len() {
        let byte = bytes[at];
        let begins = !matches!(byte, b' ' | b'\t' | b'\r' | b'\n' | b',' | b']' | b'}' | b':');
        if begins && expecting && inside == Some(depth) {
            found.push(line);
            expecting = false;
        }
        match byte {
            b'\n' => line += 1,
            b'"' => {
                let start = at + 1;
                at += 1;
                while at < bytes.len() && bytes[at] != b'"' {
                    if bytes[at] == b'\\' {
                        at += 1;
                    }
                    if at < bytes.len() && bytes[at] == b'\n' {
                        line += 1;
                    }
                    at += 1;
                }
                last_text = text.get(start..at.min(bytes.len())).unwrap_or_default().to_owned();
            }
            b'[' => {
                let wanted = match key {
                    Some(key) => depth == 1 && last_text == key,
                    None => depth == 0,
                };
                depth += 1;
                if wanted && inside.is_none() {
                    inside = Some(depth);
                    expecting = true;
                }
            }
            b'{' => depth += 1,
            b']' | b'}' => {
                if inside == Some(depth) {
                    return found;
                }
                depth = depth.saturating_sub(1);
            }
            b',' if inside == Some(depth) => expecting = true,
            _ => {}
        }
        at += 1;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::of_elements;

    #[test]
    fn ident_each_element_is_found_on_its_line() {
        let text = "{\n \"name\": \"a [b], {c}\",\n \"at\": {\"x\": [1,\n 2]},\n \"actions\": [\n  {\"t\": 0,\n \"do\": {}},\n\n  {\"t\": 1}, {\"t\": 2}\n ]\n}";
        assert_eq!(of_elements(text, Some("actions")), [6, 9, 9]);
        assert_eq!(of_elements("[\n1,\n2]", None), [2, 3]);
        assert!(of_elements("{\"actions\": 3}", Some("actions")).is_empty());
    }
}
