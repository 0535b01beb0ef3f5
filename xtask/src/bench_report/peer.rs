//! The scripts in bench/peer that an engineer would write for the same job, each in an environment of its own.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde::Deserialize;

use crate::failure::{Failure, Outcome};
use crate::step;

/// The line a script prints: how many solves took how long.
#[derive(Deserialize)]
pub struct PeerTime {
    pub name: String,
    pub solves: f64,
    pub seconds: f64,
}

/// Runs every script of bench/peer with the libraries of its requirements.txt.
pub fn run(root: &Path, target_directory: &Path) -> Outcome<Vec<PeerTime>> {
    let folder = root.join("bench/peer");
    let scripts = scripts(&folder);
    if scripts.is_empty() {
        println!("no scripts in {}", folder.display());
        return Ok(Vec::new());
    }
    let python = environment(root, &folder.join("requirements.txt"), target_directory)?;
    let mut times = Vec::new();
    for script in scripts {
        times.extend(run_script(&python, &script)?);
    }
    Ok(times)
}

/// Scripts by name; those that begin with `_` are only there to be imported.
fn scripts(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok);
    let is_script = |path: &PathBuf| {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        name.ends_with(".py") && !name.starts_with('_')
    };
    let mut scripts: Vec<PathBuf> = entries.map(|entry| entry.path()).filter(is_script).collect();
    scripts.sort();
    scripts
}

/// Makes the environment, unless it stands with these very requirements; gives its Python.
fn environment(root: &Path, requirements: &Path, target_directory: &Path) -> Outcome<PathBuf> {
    let home = target_directory.join("bench-peer");
    let python = home.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
    let asked = fs::read_to_string(requirements).map_err(Failure::of(requirements.display()))?;
    let installed = home.join("installed-requirements.txt");
    if fs::read_to_string(&installed).is_ok_and(|text| text == asked) {
        return Ok(python);
    }
    let base = if cfg!(windows) { "python" } else { "python3" };
    let (home, list) = (home.display().to_string(), requirements.display().to_string());
    step::run(root, base, &["-m", "venv", "--clear", &home])?;
    let pip = ["-m", "pip", "install", "--quiet", "--requirement", &list];
    step::run(root, &python.display().to_string(), &pip)?;
    fs::write(&installed, asked).map_err(Failure::of(installed.display()))?;
    Ok(python)
}

fn run_script(python: &Path, script: &Path) -> Outcome<Vec<PeerTime>> {
    println!("$ python {}", script.display());
    let answer = Command::new(python)
        .arg(script)
        .stderr(Stdio::inherit())
        .output()
        .map_err(Failure::of(python.display()))?;
    if !answer.status.success() {
        let (script, status) = (script.display(), answer.status);
        return Err(Failure::new(format!("{script} ended with {status}")));
    }
    let text = String::from_utf8_lossy(&answer.stdout);
    let lines = text.lines().filter(|line| line.starts_with('{'));
    let read = |line: &str| serde_json::from_str(line).map_err(Failure::of(script.display()));
    let times: Vec<PeerTime> = lines.map(read).collect::<Outcome<_>>()?;
    if times.is_empty() {
        let script = script.display();
        return Err(Failure::new(format!(
            "{script} printed no line such as {{\"name\": …, \"solves\": …, \"seconds\": …}}"
        )));
    }
    Ok(times)
}

pub fn as_csv(times: &[PeerTime]) -> String {
    let mut text = String::from("name,solves,seconds\n");
    for PeerTime { name, solves, seconds } in times {
        text.push_str(&format!("\"{name}\",{solves},{seconds}\n"));
    }
    text
}
