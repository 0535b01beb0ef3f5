//! A whole record taken back from its exported entries into a new folder, with the ship file that lies beside them.

use std::fs::{self, File};
use std::io::BufReader;
use std::path::{Path, PathBuf};

use jiff::Timestamp;
use logbook::Restored;

use crate::desk::{Desk, DeskError, SHIP_FILE, hand, write_whole};
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
///
/// # Errors
/// The folder holds a record with entries; a line is not right; the ship file beside has problems; a file cannot be read
/// or written.
pub fn restore(
    folder: &Path,
    lines: &Path,
    by: &str,
    now: Timestamp,
) -> Result<TakenBack, DeskError> {
    let author = hand(by)?;
    let failed = |path: &Path, source| DeskError::File { path: path.to_owned(), source };
    let source = BufReader::new(File::open(lines).map_err(|e| failed(lines, e))?);
    let (beside, own) = (lines.with_file_name(SHIP_FILE), folder.join(SHIP_FILE));
    let ship_file = (beside.is_file() && !own.exists()).then_some(beside);
    if let Some(beside) = &ship_file {
        let text = fs::read_to_string(beside).map_err(|e| failed(beside, e))?;
        let setup = Setup::from_text(&text).map_err(DeskError::Ship)?;
        fs::create_dir_all(folder).map_err(|e| failed(folder, e))?;
        write_whole(&own, &setup.text).map_err(|e| failed(&own, e))?;
    }
    let name = lines.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let taken = Desk::open(folder, now)
        .and_then(|desk| Ok(desk.book()?.take_lines(source, &name, author, now)?));
    if taken.is_err() && ship_file.is_some() {
        // No record came with it: the next try starts as this one did.
        let _ = fs::remove_file(&own);
    }
    Ok(TakenBack { record: taken?, ship_file })
}
