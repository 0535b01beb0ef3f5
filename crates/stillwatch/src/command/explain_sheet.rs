//! A plant sheet from a file: its keys as TOML or JSON, or a ship's file with them in a section of its own.

use std::collections::BTreeMap;
use std::io::Read as _;
use std::path::Path;

use desk::setup::Setup;
use desk::ship;
use plant::{Plant, Sheet, Value};

use crate::fail::Fail;

/// Largest sheet that is read.
const MOST_BYTES: u64 = 1 << 20;

/// Reads a text file of at most so many bytes.
pub fn text(path: &Path, most: u64) -> Result<String, Fail> {
    let told = |e: std::io::Error| {
        Fail::usage(format!("{}: {e}", path.display())).hint("name a text file that can be read")
    };
    let file = std::fs::File::open(path).map_err(told)?;
    let mut bytes = Vec::new();
    file.take(most + 1).read_to_end(&mut bytes).map_err(told)?;
    if bytes.len() as u64 > most {
        return Err(Fail::usage(format!(
            "{}: over {} MB, which is the most that is read",
            path.display(),
            most >> 20
        ))
        .hint("is it another file? take a shorter span"));
    }
    String::from_utf8(bytes).map_err(|e| {
        let before = &e.as_bytes()[..e.utf8_error().valid_up_to()];
        let line = before.iter().filter(|b| **b == b'\n').count() + 1;
        Fail::usage(format!("{}: line {line} is not UTF-8 text", path.display()))
            .hint("is it another file? save it as UTF-8")
    })
}

/// Reads a sheet; what it leaves out is the demonstration plant's.
pub fn read(path: &Path) -> Result<Sheet, Fail> {
    let text = text(path, MOST_BYTES)?;
    let sheet = if text.trim_start().starts_with('{') { json(&text) } else { toml(&text) }
        .map_err(|e| Fail::usage(format!("{}: {e}", path.display())))?;
    Plant::calibrate(&sheet).map_err(|e| Fail::usage(format!("{}: {e}", path.display())))?;
    Ok(sheet)
}

/// Reads a ship's file, or a bare sheet as the plant of a ship that is usual otherwise.
pub fn setup(path: &Path) -> Result<Setup, Fail> {
    let text = text(path, MOST_BYTES)?;
    let told = |problems: Vec<ship::Problem>| {
        let told: Vec<String> = problems.iter().map(ToString::to_string).collect();
        Fail::usage(format!("{}: {}", path.display(), told.join("\n  ")))
    };
    if text.lines().any(|l| l.trim_start().starts_with('[')) && !text.trim_start().starts_with('{')
    {
        return Setup::from_text(&text).map_err(told);
    }
    let ship = ship::Ship { sheet: read(path)?, ..ship::Ship::blank() };
    Setup::from_ship(ship).map_err(told)
}

fn json(text: &str) -> Result<Sheet, String> {
    #[derive(serde::Deserialize)]
    #[serde(untagged)]
    enum Given {
        Plant { plant: BTreeMap<String, Value> },
        Keys(BTreeMap<String, Value>),
    }
    let syntax = |e: serde_json::Error| e.to_string();
    let whole: serde_json::Value = serde_json::from_str(text).map_err(syntax)?;
    let given: Given = serde_json::from_value(whole)
        .map_err(|_| "wanted one object of plant keys with numbers, words or lists".to_owned())?;
    let (Given::Plant { plant: keys } | Given::Keys(keys)) = given;
    Sheet::from_values(keys.iter().map(|(k, v)| (k.as_str(), v.clone()))).map_err(|e| e.to_string())
}

fn toml(text: &str) -> Result<Sheet, String> {
    let has_sections = text.lines().any(|l| l.trim_start().starts_with('['));
    // Bare keys are a plant section without its heading; the heading goes before the first line without adding one.
    let (whole, before) =
        if has_sections { (text.to_owned(), 0) } else { (format!("[plant]\n{text}"), 1) };
    ship::read(&whole).map(|ship| ship.sheet).map_err(|problems| {
        let told: Vec<String> = problems
            .into_iter()
            .map(|mut p| {
                p.line = p.line.map(|l| l.saturating_sub(before));
                p.to_string()
            })
            .collect();
        told.join("\n  ")
    })
}
