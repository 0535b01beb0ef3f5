//! The repository as files: its root, what belongs to it, their text.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::failure::{Failure, Outcome};

/// The folder that holds the workspace's Cargo.toml.
pub fn root() -> Outcome<PathBuf> {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .map(Path::to_path_buf)
        .ok_or_else(|| Failure::new("xtask does not stand in a workspace"))
}

/// One text file of the repository.
pub struct File {
    /// Path from the root, with `/` on every system.
    pub path: String,
    pub text: String,
}

impl File {
    pub fn extension(&self) -> &str {
        self.path.rsplit_once('.').map_or("", |(_, extension)| extension)
    }

    /// The last part of the path.
    pub fn name(&self) -> &str {
        self.path.rsplit('/').next().unwrap_or_default()
    }

    /// The path of the folder, without a closing `/`; empty at the root.
    pub fn folder(&self) -> &str {
        self.path.rsplit_once('/').map_or("", |(folder, _)| folder)
    }

    /// Lines with their numbers, counted from 1.
    pub fn lines(&self) -> impl Iterator<Item = (usize, &str)> {
        (1..).zip(self.text.lines())
    }
}

/// Every text file that is in git or would be with the next `git add`; pictures and the like are left out.
pub fn text_files(root: &Path) -> Outcome<Vec<File>> {
    let listed = Command::new("git")
        .args(["ls-files", "--cached", "--others", "--exclude-standard", "-z"])
        .current_dir(root)
        .output()
        .map_err(Failure::of("git ls-files could not be run"))?;
    if !listed.status.success() {
        let said = String::from_utf8_lossy(&listed.stderr);
        return Err(Failure::new(format!("git ls-files: {}", said.trim())));
    }
    let mut paths: Vec<String> = listed
        .stdout
        .split(|&byte| byte == 0)
        .filter(|path| !path.is_empty())
        .map(|path| String::from_utf8_lossy(path).into_owned())
        .collect();
    paths.sort();
    paths.dedup();
    let mut files = Vec::new();
    for path in paths {
        // A file that is deleted but still listed, or that is no text, has nothing to be read.
        if let Ok(text) = fs::read_to_string(root.join(&path)) {
            files.push(File { path, text });
        }
    }
    Ok(files)
}
