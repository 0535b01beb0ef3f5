//! Where answers go: standard output that may be closed early, or a file that is written whole or not at all.

use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};

use crate::fail::{Done, Fail};

/// Prints a text; a reader that has gone away is no mistake.
pub fn print(text: &str) -> Done {
    let mut out = io::stdout().lock();
    settled(out.write_all(text.as_bytes()).and_then(|()| out.flush())).map(|_| ())
}

/// Whether anybody still reads; other troubles of writing are the machine's.
pub fn settled(written: io::Result<()>) -> Result<bool, Fail> {
    match written {
        Ok(()) => Ok(true),
        Err(e) if e.kind() == ErrorKind::BrokenPipe => Ok(false),
        Err(e) => Err(Fail::machine(format!("standard output: {e}"))),
    }
}

/// Writes a file beside its place and moves it there; an existing one only when told so.
pub fn write_file(path: &Path, text: &str, force: bool) -> Done {
    if !force && path.exists() {
        return Err(Fail::usage(format!("{}: is there already", path.display()))
            .hint("another name, or --force to replace it"));
    }
    let mut part = path.as_os_str().to_owned();
    part.push(".part");
    let part = PathBuf::from(part);
    let written = std::fs::File::create(&part)
        .and_then(|mut file| {
            file.write_all(text.as_bytes())?;
            file.sync_all()
        })
        .and_then(|()| std::fs::rename(&part, path));
    written.map_err(|e| {
        // What was begun is taken away; the trouble itself is what is told.
        let _ = std::fs::remove_file(&part);
        Fail::machine(format!("{}: {e}", path.display()))
            .hint("a folder that exists and can be written to")
    })
}

/// A column with more than this in a cell holds sentences, characters.
const FIGURE: usize = 24;

/// Columns lined up by what people see, the first and those of sentences to the left.
pub fn columns(rows: &[Vec<String>]) -> String {
    let width = |i: usize| {
        rows.iter().filter_map(|row| row.get(i)).map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let most = rows.iter().map(Vec::len).max().unwrap_or(0);
    let widths: Vec<usize> = (0..most).map(width).collect();
    let mut text = String::new();
    for row in rows {
        let mut line = String::new();
        for (i, (cell, width)) in row.iter().zip(&widths).enumerate() {
            let pad = " ".repeat(width - cell.chars().count());
            if i == 0 {
                line += &format!("{cell}{pad}");
            } else if *width > FIGURE {
                line += &format!("  {cell}{pad}");
            } else {
                line += &format!("  {pad}{cell}");
            }
        }
        text += line.trim_end();
        text.push('\n');
    }
    text
}
