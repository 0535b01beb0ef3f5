//! The ship's figures made ready: ship file, calibrated plant, how far both can be trusted.

use std::path::Path;

use plant::{Plant, Uncertainty};

use crate::desk::{DeskError, SHIP_FILE};
use crate::doubts;
use crate::ship::{self, Problem, Ship};

/// The ship file and what follows from it alone.
#[derive(Debug, Clone)]
pub struct Setup {
    /// The ship file's figures.
    pub ship: Ship,
    /// Her plant, calibrated.
    pub plant: Plant,
    /// How far sheet, settings and instruments can be trusted.
    pub uncertainty: Uncertainty,
    /// The ship file as text.
    pub text: String,
}

impl Setup {
    /// Reads a ship file and calibrates its plant.
    ///
    /// # Errors
    /// Every problem of the file, with its line.
    pub fn from_text(text: &str) -> Result<Self, Vec<Problem>> {
        Self::ready(ship::read(text)?, text.to_owned())
    }

    /// Reads the ship file of a folder; the record in it is neither opened nor locked.
    ///
    /// # Errors
    /// The file cannot be read, or its problems with their lines.
    pub fn of_folder(folder: &Path) -> Result<Self, DeskError> {
        let path = folder.join(SHIP_FILE);
        let text = std::fs::read_to_string(&path)
            .map_err(|source| DeskError::File { path: path.clone(), source })?;
        Self::from_text(&text).map_err(DeskError::Ship)
    }

    /// Calibrates a ship's plant.
    ///
    /// # Errors
    /// Why the sheet cannot be calibrated.
    pub fn from_ship(ship: Ship) -> Result<Self, Vec<Problem>> {
        let text = ship::write(&ship);
        Self::ready(ship, text)
    }

    fn ready(ship: Ship, text: String) -> Result<Self, Vec<Problem>> {
        let plant = Plant::calibrate(&ship.sheet).map_err(|e| {
            vec![Problem { line: None, key: "plant".into(), message: e.to_string() }]
        })?;
        let uncertainty = doubts::uncertainty(&ship);
        Ok(Self { ship, plant, uncertainty, text })
    }
}
