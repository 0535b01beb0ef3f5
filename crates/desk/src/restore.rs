//! A whole record taken back from its exported entries into a new folder, with the ship file that lies beside them.

use std::fs::{self, File};
use std::io::BufReader;
use std::path::{Path, PathBuf};

use jiff::Timestamp;
use logbook::Restored;

use crate::desk::{Desk, DeskError, RECORD_FILE, SHIP_FILE, hand, write_whole};
use crate::setup::Setup;

/// What was taken back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TakenBack {
    /// The entries.
    pub record: Restored,
    /// The ship file that came with them; none where none lies beside them or the folder has one.
    pub ship_file: Option<PathBuf>,
}

/// Takes the record of the file `lines` back into a folder that has none, each entry proved; the record says by whom.
/// The ship file is the folder's own, or the one beside the lines, or with `blank` one still to be filled in. What is
/// refused leaves the folder as it was.
///
/// # Errors
/// There is no ship file; the folder holds a record with entries; a line is not right; the ship file beside has problems;
/// a file cannot be read or written.
pub fn restore(
    folder: &Path,
    lines: &Path,
    blank: bool,
    by: &str,
    now: Timestamp,
) -> Result<TakenBack, DeskError> {
    let author = hand(by)?;
    let failed = |path: &Path, source| DeskError::File { path: path.to_owned(), source };
    let source = BufReader::new(File::open(lines).map_err(|e| failed(lines, e))?);
    let (beside, own) = (lines.with_file_name(SHIP_FILE), folder.join(SHIP_FILE));
    let ship_file = (beside.is_file() && !own.exists()).then_some(beside);
    if ship_file.is_none() && !own.exists() && !blank {
        return Err(DeskError::Asked(format!(
            "no {SHIP_FILE} lies beside {}, and {} has none: her tanks and her plant would be a typical ship’s. \
             Lay the {SHIP_FILE} of the same backup beside it, or say --blank-ship to fill the sheet in anew",
            lines.display(),
            folder.display()
        )));
    }
    let made = Made::before(folder);
    let taken: Result<Restored, DeskError> = (|| {
        if let Some(beside) = &ship_file {
            let text = fs::read_to_string(beside).map_err(|e| failed(beside, e))?;
            let setup = Setup::from_text(&text).map_err(DeskError::Ship)?;
            fs::create_dir_all(folder).map_err(|e| failed(folder, e))?;
            write_whole(&own, &setup.text).map_err(|e| failed(&own, e))?;
        }
        let name = lines.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
        let desk = Desk::open(folder, now)?;
        Ok(desk.book()?.take_lines(source, &name, author, now)?)
    })();
    if taken.is_err() {
        // The next try starts as this one did.
        made.away();
    }
    Ok(TakenBack { record: taken?, ship_file })
}

/// What a folder had not before.
struct Made {
    folder: PathBuf,
    whole: bool,
    ship_file: bool,
    record: bool,
}

impl Made {
    fn before(folder: &Path) -> Made {
        Made {
            folder: folder.to_owned(),
            whole: !folder.exists(),
            ship_file: !folder.join(SHIP_FILE).exists(),
            record: !folder.join(RECORD_FILE).exists(),
        }
    }

    /// Takes it away again; what cannot be taken away is left, and does no harm.
    fn away(&self) {
        let inside = fs::read_dir(&self.folder).into_iter().flatten().flatten();
        for file in inside {
            let name = file.file_name();
            let name = name.to_string_lossy();
            let ours = (self.ship_file && name == SHIP_FILE)
                || (self.record && name.starts_with(RECORD_FILE));
            if ours {
                let _ = fs::remove_file(file.path());
            }
        }
        if self.whole {
            let _ = fs::remove_dir(&self.folder);
        }
    }
}
