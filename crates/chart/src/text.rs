//! Text in pictures: escaping, the type sizes, and how wide a line of it will be at most.

/// The type sizes and pens of words in pictures; each is one set of classes in the stylesheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Type {
    /// A label in ink, 12.5 px.
    Label,
    /// A label in pencil, 12.5 px.
    Pencil,
    /// An axis figure in pencil, 11.5 px.
    Tick,
    /// A small label in ink, 11.5 px.
    Small,
    /// The name of a lane or a tank, 12.5 px bold.
    Bold,
    /// A name on the drawing, italic serif, 14 px.
    Name,
    /// The figure that matters, 16 px.
    Figure,
    /// What asks or marks now, red, 12.5 px bold.
    Red,
}

impl Type {
    pub(crate) fn class(self) -> &'static str {
        match self {
            Type::Label => "",
            Type::Pencil => "tp",
            Type::Tick => "tp ts",
            Type::Small => "ts",
            Type::Bold => "tb",
            Type::Name => "ti",
            Type::Figure => "tl",
            Type::Red => "tr",
        }
    }

    /// Font size, px.
    pub(crate) fn size(self) -> f64 {
        match self {
            Type::Label | Type::Pencil | Type::Bold | Type::Red => 12.5,
            Type::Tick | Type::Small => 11.5,
            Type::Name => 14.0,
            Type::Figure => 16.0,
        }
    }

    /// Widest likely advance of `text`, px.
    pub(crate) fn width(self, text: &str) -> f64 {
        let weight = match self {
            Type::Bold | Type::Red | Type::Figure => 1.08,
            Type::Name => 0.93,
            _ => 1.0,
        };
        text.chars().map(advance).sum::<f64>() * self.size() * weight
    }

    /// `text`, cut with an ellipsis when it would be wider than `room` px.
    pub(crate) fn fit(self, text: &str, room: f64) -> String {
        if self.width(text) <= room {
            return String::from(text);
        }
        let mut kept = String::new();
        for c in text.chars() {
            kept.push(c);
            if self.width(&kept) + self.width("…") > room {
                kept.pop();
                break;
            }
        }
        let kept = kept.trim_end();
        if kept.is_empty() { String::new() } else { format!("{kept}…") }
    }
}

/// Advance of one character in em, on the wide side of the usual interface faces so that a label
/// measured here still fits when the reader's font is a broad one.
fn advance(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '’' | '·' | 'I' => 0.31,
        ' ' | '\u{a0}' | 'f' | 't' | 'r' | '(' | ')' | '/' | '-' | '[' | ']' => 0.38,
        '\u{2009}' | '\u{202f}' => 0.2,
        'm' | 'w' | 'M' | 'W' | '%' | '@' | '…' | '—' => 0.96,
        'A'..='Z' => 0.7,
        '0'..='9' | 'a'..='z' | '–' | '°' | '²' | '³' | 'µ' => 0.61,
        '\u{2212}' | '±' | '+' | '<' | '>' | '=' => 0.78,
        c if (c as u32) < 0x2e80 => 0.72,
        _ => 1.05,
    }
}

/// `text` safe inside markup and attribute values; characters XML forbids are dropped.
#[must_use]
pub fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\t' | '\n' | '\r' => safe.push(' '),
            '\u{0}'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => {}
            c => safe.push(c),
        }
    }
    safe
}

/// The first letter of `text` in upper case, for a sentence that begins with a name.
pub(crate) fn sentence_case(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_is_escaped_and_controls_dropped() {
        assert_eq!(escape("a<b & \"c\">\u{7}\u{0}d\n"), "a&lt;b &amp; &quot;c&quot;&gt;d ");
    }

    #[test]
    fn long_text_is_cut_to_the_room_there_is() {
        let cut = Type::Label.fit("condenser cooling water outlet", 80.0);
        assert!(cut.ends_with('…') && Type::Label.width(&cut) <= 80.0);
        assert_eq!(Type::Label.fit("short", 80.0), "short");
        assert_eq!(Type::Label.fit("anything", 2.0), "");
    }
}
