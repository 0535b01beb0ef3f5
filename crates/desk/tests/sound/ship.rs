//! What must hold of any text given to the reader of ship files: shared by the property tests and the fuzz targets.

use desk::ship::{read, write};

/// Any text: a ship that is written and read back the same, or problems that each say something.
pub fn text(text: &str) {
    match read(text) {
        Ok(ship) => assert_eq!(read(&write(&ship)).as_ref(), Ok(&ship)),
        Err(problems) => {
            assert!(!problems.is_empty());
            let lines = text.lines().count().max(1) + 1;
            for problem in problems {
                assert!(!problem.message.is_empty() && !problem.key.is_empty(), "{problem:?}");
                assert!(problem.line.is_none_or(|line| (1..=lines).contains(&line)), "{problem:?}");
            }
        }
    }
}
