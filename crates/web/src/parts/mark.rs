//! Marks: a shape for each state. The word beside it is the state; the shape repeats it.

use maud::{Markup, PreEscaped, Render, html};

/// The state a mark stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mark {
    /// As expected.
    Fits,
    /// Below what is expected, inside limits.
    Low,
    /// Above what is expected, inside limits.
    High,
    /// Past a limit.
    Past,
    /// Contradicted by other readings.
    Doubt,
    /// Not read.
    Missing,
    /// Waiting for its time.
    Wait,
    /// Held, or impossible.
    Shut,
    /// Done.
    Done,
    /// Passed over.
    Over,
    /// This one first.
    First,
}

impl Mark {
    /// Every mark, for the page that explains them.
    pub const ALL: [Mark; 11] = [
        Mark::Fits,
        Mark::Low,
        Mark::High,
        Mark::Past,
        Mark::Doubt,
        Mark::Missing,
        Mark::Wait,
        Mark::Shut,
        Mark::Done,
        Mark::Over,
        Mark::First,
    ];

    fn strokes(self) -> &'static str {
        match self {
            Mark::Fits => r#"<circle cx="8" cy="8" r="5.2"/>"#,
            Mark::Low => r#"<path d="M2.5 4h11L8 13Z"/>"#,
            Mark::High => r#"<path d="M2.5 12h11L8 3Z"/>"#,
            Mark::Past => r#"<path class="full" d="M1.5 14h13L8 5Z"/><path d="M1.5 2.2h13"/>"#,
            Mark::Doubt => {
                r#"<circle cx="8" cy="8" r="6" stroke-dasharray="2.6 2.2"/><path d="M6 6.6c0-2.6 4-2.6 4 0 0 1.4-2 1.4-2 3M8 11.2v.4"/>"#
            }
            Mark::Missing => {
                r#"<rect x="2.5" y="2.5" width="11" height="11" stroke-dasharray="2.6 2.2"/>"#
            }
            Mark::Wait => r#"<rect x="2.5" y="2.5" width="11" height="11"/>"#,
            Mark::Shut => {
                r#"<rect x="2.5" y="2.5" width="11" height="11"/><path d="M2.5 13.5l11-11"/>"#
            }
            Mark::Done => r#"<path d="M2 8.5l4 4.5 8-10" stroke-width="2.2"/>"#,
            Mark::Over => r#"<path d="M2 11c3-9 9-9 12 0M11 12l3-1 .6-3"/>"#,
            Mark::First => r#"<path class="full" d="M3 2l11 6-11 6Z"/>"#,
        }
    }
}

impl Render for Mark {
    fn render(&self) -> Markup {
        html! { svg.mark viewBox="0 0 16 16" aria-hidden="true" { (PreEscaped(self.strokes())) } }
    }
}
