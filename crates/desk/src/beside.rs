//! Texts kept beside the ship file: route, events, settings; each change goes into the record.

use std::fs;

use jiff::Timestamp;
use logbook::Draft;

use crate::desk::{Desk, DeskError, hand, staged};

impl Desk {
    /// A text kept in the ship's folder; none where there is none.
    pub(crate) fn kept_text(&self, name: &str) -> Result<Option<String>, DeskError> {
        let path = self.folder().join(name);
        match fs::read_to_string(&path) {
            Ok(text) => Ok(Some(text)),
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(None),
            Err(source) => Err(DeskError::File { path, source }),
        }
    }

    /// File and record change together or not at all.
    pub(crate) fn keep_text(
        &self,
        name: &str,
        text: &str,
        actor: &str,
        now: Timestamp,
    ) -> Result<(), DeskError> {
        let old = self.kept_text(name)?;
        if old.as_deref() == Some(text) {
            return Ok(());
        }
        let draft = Draft::setting(hand(actor)?, name, old, text.to_owned());
        let path = self.folder().join(name);
        let file = |source| DeskError::File { path: path.clone(), source };
        let part = staged(&path, text).map_err(file)?;
        if let Err(e) = self.write(draft, now) {
            let _ = fs::remove_file(&part);
            return Err(e);
        }
        fs::rename(&part, &path).map_err(file)
    }
}
