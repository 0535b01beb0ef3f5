//! A field to write one reading or setting in: what was, what is expected, the box, the word on it.

use maud::{Markup, Render, html};

use crate::form::FormState;
use crate::parts::{Mark, state};

/// An entry field. Built up by its methods and rendered in a `div.fields`.
///
/// ```
/// use web::parts::{Field, Unit, Mark, Word};
/// let field = Field::new("jacket_in_c", "Jacket water in")
///     .place("evaporator inlet")
///     .was("12:00", "82.9")
///     .expected("expect 82.2 to 83.8")
///     .typed("83.0")
///     .unit(Unit::Fixed("°C"))
///     .step("0.1", "82.9")
///     .word(Word::Plain(Mark::Fits, "fits"));
/// assert!(maud::Render::render(&field).0.contains("inputmode=\"decimal\""));
/// ```
#[derive(Debug, Clone)]
pub struct Field<'a> {
    name: &'a str,
    label: &'a str,
    place: &'a str,
    was: Option<(&'a str, &'a str)>,
    expected: &'a str,
    typed: &'a str,
    unit: Unit<'a>,
    step: Option<(&'a str, &'a str)>,
    strip: Markup,
    word: Word<'a>,
    words: &'a [&'a str],
    kind: Kind,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Number,
    Words,
    Secret,
    Choice,
}

/// The unit a field is typed in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unit<'a> {
    /// No unit.
    None,
    /// One unit.
    Fixed(&'a str),
    /// The unit is chosen in a box of its own, sent as `name`; `(key, shown)` pairs.
    Choice {
        /// The name the choice is sent under.
        name: &'a str,
        /// Keys and what is shown for them.
        options: &'a [(&'a str, &'a str)],
        /// The key chosen.
        chosen: &'a str,
    },
}

/// What is said of what was typed.
#[derive(Debug, Clone)]
pub enum Word<'a> {
    /// Nothing.
    None,
    /// A state in a word ("fits", "low, inside limits").
    Plain(Mark, &'a str),
    /// Nothing typed yet ("not read yet").
    Unread(&'a str),
    /// Nothing typed yet, and a box to say why not.
    Why(Markup),
    /// Anything, such as a state with the reason it was kept for.
    Free(Markup),
    /// Taken, but past a limit: the word, and what it means as a sentence.
    Limit {
        /// "past the limit".
        word: &'a str,
        /// What it means.
        why: &'a str,
    },
    /// Possible but not believed: the word, why as a sentence, and choices that need no typing.
    Doubt {
        /// "does not fit".
        word: &'a str,
        /// Why, as a sentence.
        why: &'a str,
        /// Buttons, or nothing.
        choices: Markup,
    },
    /// Not taken: the word, why and what would be taken.
    Refused {
        /// "cannot be", "not taken".
        word: &'a str,
        /// Why and the remedy, as one or two sentences.
        why: &'a str,
        /// Buttons, or nothing.
        choices: Markup,
    },
}

impl<'a> Field<'a> {
    /// A field sent as `name`, which is also its id in the page.
    pub fn new(name: &'a str, label: &'a str) -> Field<'a> {
        Field {
            name,
            label,
            place: "",
            was: None,
            expected: "",
            typed: "",
            unit: Unit::None,
            step: None,
            strip: html! {},
            word: Word::None,
            words: &[],
            kind: Kind::Number,
        }
    }

    /// Where it is read off, or what it means; small under the label.
    pub fn place(self, place: &'a str) -> Field<'a> {
        Field { place, ..self }
    }

    /// What it was, and when ("12:00", "yesterday").
    pub fn was(self, when: &'a str, value: &'a str) -> Field<'a> {
        Field { was: Some((when, value)), ..self }
    }

    /// What is expected now, or the range it usually has, in words.
    pub fn expected(self, expected: &'a str) -> Field<'a> {
        Field { expected, ..self }
    }

    /// What stands in the box.
    pub fn typed(self, typed: &'a str) -> Field<'a> {
        Field { typed, ..self }
    }

    /// The unit beside the box.
    pub fn unit(self, unit: Unit<'a>) -> Field<'a> {
        Field { unit, ..self }
    }

    /// Gives the box ± keys that step by `by`, and from `from` where nothing is typed yet.
    pub fn step(self, by: &'a str, from: &'a str) -> Field<'a> {
        Field { step: Some((by, from)), ..self }
    }

    /// The limit strip beside the box.
    pub fn strip(self, strip: Markup) -> Field<'a> {
        Field { strip, ..self }
    }

    /// The word on it.
    pub fn word(self, word: Word<'a>) -> Field<'a> {
        Field { word, ..self }
    }

    /// Takes words instead of a number.
    pub fn text(self) -> Field<'a> {
        Field { kind: Kind::Words, ..self }
    }

    /// Takes one of `words`, or nothing.
    pub fn one_of(self, words: &'a [&'a str]) -> Field<'a> {
        Field { words, kind: Kind::Choice, ..self }
    }

    /// Takes a secret, which is not shown while it is typed.
    pub fn secret(self) -> Field<'a> {
        Field { kind: Kind::Secret, ..self }
    }

    /// Takes what was typed and what was refused from `form`, if it was sent with this field.
    pub fn from_form(self, form: &'a FormState) -> Field<'a> {
        let name = self.name;
        let field = if form.was_sent(name) { self.typed(form.typed(name)) } else { self };
        match form.error(name) {
            Some(why) => field.word(Word::Refused { word: "not taken:", why, choices: html! {} }),
            None => field,
        }
    }

    fn class(&self) -> &'static str {
        match self.word {
            Word::Doubt { .. } | Word::Refused { .. } | Word::Limit { .. } => "field asks-you",
            Word::Unread(_) | Word::Why(_) => "field unread",
            Word::None | Word::Plain(..) | Word::Free(_) => "field",
        }
    }

    fn described_by(&self) -> Option<String> {
        let was = self.was.is_some() || !self.expected.is_empty();
        let word = !matches!(self.word, Word::None);
        let ids = [(was, "was"), (word, "word")];
        let ids: Vec<_> = ids
            .iter()
            .filter(|(there, _)| *there)
            .map(|(_, id)| format!("{}-{id}", self.name))
            .collect();
        (!ids.is_empty()).then(|| ids.join(" "))
    }

    fn input(&self) -> Markup {
        let refused = matches!(self.word, Word::Refused { .. });
        if self.kind == Kind::Choice {
            let other = !self.typed.is_empty() && !self.words.contains(&self.typed);
            return html! {
                select.value.words id=(self.name) name=(self.name)
                    aria-describedby=[self.described_by()] aria-invalid=[refused.then_some("true")]
                {
                    option value="" { "–" }
                    @if other { option value=(self.typed) selected { (self.typed) } }
                    @for word in self.words { option value=(word) selected[*word == self.typed] { (word) } }
                }
            };
        }
        html! {
            input
                class=[(self.kind != Kind::Number).then_some("words")]
                type=(if self.kind == Kind::Secret { "password" } else { "text" })
                id=(self.name)
                name=(self.name)
                value=(self.typed)
                inputmode=[(self.kind == Kind::Number).then_some("decimal")]
                autocomplete=(if self.kind == Kind::Secret { "current-password" } else { "off" })
                enterkeyhint="next"
                data-by=[self.step.map(|(by, _)| by)]
                data-from=[self.step.map(|(_, from)| from)]
                aria-describedby=[self.described_by()]
                aria-invalid=[refused.then_some("true")];
        }
    }

    /// A ± key, shown by its module; the arrow keys do the same, so it is no tab stop.
    fn key(&self, sign: &str, words: &str) -> Markup {
        html! {
            @if let Some((by, _)) = self.step {
                button.step type="button" hidden tabindex="-1"
                    data-step={ (sign) (by) } data-for=(self.name)
                    aria-label={ (self.label) ", " (by) " " (words) }
                { @if sign == "-" { "−" } @else { "+" } }
            }
        }
    }

    fn unit_box(&self) -> Markup {
        html! {
            @match self.unit {
                Unit::None => {}
                Unit::Fixed(unit) => span.unit { (unit) },
                Unit::Choice { name, options, chosen } => {
                    select.unit name=(name) aria-label={ "Unit of " (self.label) } {
                        @for (key, shown) in options {
                            option value=(key) selected[*key == chosen] { (shown) }
                        }
                    }
                }
            }
        }
    }

    fn word_box(&self) -> Markup {
        let id = format!("{}-word", self.name);
        let sentence = |mark: Mark, word: &str, why: &str, choices: &Markup| {
            html! {
                div.word id=(id) {
                    p { span.state { (mark) " " b { (word) } } " " (why) }
                    @if !choices.0.is_empty() { p.choices { (choices) } }
                }
            }
        };
        match &self.word {
            Word::None => html! {},
            Word::Plain(mark, word) => html! { p.word id=(id) { (state(*mark, word)) } },
            Word::Free(content) => html! { div.word id=(id) { (content) } },
            Word::Why(control) => html! { div.word id=(id) { (Mark::Missing) " " (control) } },
            Word::Limit { word, why } => sentence(Mark::Past, word, why, &html! {}),
            Word::Unread(word) => html! { p.word id=(id) { (state(Mark::Missing, word)) } },
            Word::Doubt { word, why, choices } => sentence(Mark::Doubt, word, why, choices),
            Word::Refused { word, why, choices } => sentence(Mark::Shut, word, why, choices),
        }
    }
}

impl Render for Field<'_> {
    fn render(&self) -> Markup {
        html! {
            div class=(self.class()) {
                label for=(self.name) {
                    (self.label)
                    @if !self.place.is_empty() { small { (self.place) } }
                }
                @if self.was.is_some() || !self.expected.is_empty() {
                    p.was id={ (self.name) "-was" } {
                        @if let Some((when, value)) = self.was { span { (when) " " b { (value) } } " " }
                        @if !self.expected.is_empty() { span { (self.expected) } }
                    }
                }
                p.box { (self.key("-", "less")) (self.input()) (self.key("", "more")) (self.unit_box()) }
                div.strip { (self.strip) }
                (self.word_box())
            }
        }
    }
}
