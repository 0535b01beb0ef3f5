//! The small marks of state. A mark is always followed by its word; readers aloud skip it.

/// A state that has a mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Mark {
    /// As expected: a circle.
    Ok,
    /// Low: a triangle pointing down.
    Low,
    /// High: a triangle pointing up.
    High,
    /// Past a limit: a filled triangle under a bar.
    Past,
    /// In doubt: a dashed ring with a question mark.
    Doubt,
    /// Not read: a dashed square.
    Missing,
    /// Done: a tick.
    Done,
    /// Waiting: an empty square.
    Wait,
    /// Held, or cannot be: a square with a stroke.
    Shut,
    /// This one first: a filled pointer.
    Now,
    /// Passed over: a hop.
    Over,
}

impl Mark {
    /// All of them.
    pub const ALL: [Mark; 11] = [
        Mark::Ok,
        Mark::Low,
        Mark::High,
        Mark::Past,
        Mark::Doubt,
        Mark::Missing,
        Mark::Done,
        Mark::Wait,
        Mark::Shut,
        Mark::Now,
        Mark::Over,
    ];

    fn shape(self) -> &'static str {
        match self {
            Mark::Ok => "<circle cx=\"8\" cy=\"8\" r=\"5.2\"/>",
            Mark::Low => "<path d=\"M2.5 4h11L8 13z\"/>",
            Mark::High => "<path d=\"M2.5 12h11L8 3z\"/>",
            Mark::Past => "<path class=\"full\" d=\"M1.5 14h13L8 5z\"/><path d=\"M1.5 2.2h13\"/>",
            Mark::Doubt => {
                "<circle class=\"broken\" cx=\"8\" cy=\"8\" r=\"6.6\"/>\
                 <path d=\"M6 6.4c0-2.6 4-2.6 4 0 0 1.4-2 1.4-2 3M8 11.4v.4\"/>"
            }
            Mark::Missing => "<path class=\"broken\" d=\"M2.5 2.5h11v11h-11z\"/>",
            Mark::Done => "<path class=\"bold\" d=\"M2 8.5l4 4.5 8-10\"/>",
            Mark::Wait => "<path d=\"M2.5 2.5h11v11h-11z\"/>",
            Mark::Shut => "<path d=\"M2.5 2.5h11v11h-11zM2.5 13.5l11-11\"/>",
            Mark::Now => "<path class=\"full\" d=\"M3 2l11 6-11 6z\"/>",
            Mark::Over => "<path d=\"M2 11c3-9 9-9 12 0M11 12l3-1 .6-3\"/>",
        }
    }
}

/// The drawing of a mark, in the colour of the words around it.
#[must_use]
pub fn mark(mark: Mark) -> String {
    format!("<svg class=\"mark\" viewBox=\"0 0 16 16\" aria-hidden=\"true\">{}</svg>", mark.shape())
}
