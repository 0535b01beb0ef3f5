//! What the machine must have beside the Rust toolchain: a browser and its driver.

use std::env;
use std::path::Path;
use std::process::Command;

use crate::failure::{Failure, Outcome};
use crate::step;

/// Makes sure that a browser and its driver are there, through apt where that is to be had.
pub fn ensure_browser(root: &Path) -> Outcome {
    if have_browser() {
        return Ok(());
    }
    let remedy = "install Chromium and chromedriver of the same version and put both on the path, \
                  or name them in CHROMIUM and CHROMEDRIVER \
                  (Debian: apt-get install chromium chromium-driver)";
    if !cfg!(target_os = "linux") || !step::exists("apt-get", &["--version"]) {
        return Err(Failure::new(format!("No browser to test with: {remedy}.")));
    }
    println!("No browser to test with; asking apt for Debian's.");
    let installed = step::run(root, "apt-get", &["update", "--quiet"]).and_then(|()| {
        let install = "DEBIAN_FRONTEND=noninteractive";
        let packages = ["chromium", "chromium-driver"];
        let mut arguments =
            vec![install, "apt-get", "install", "--yes", "--quiet", "--no-install-recommends"];
        arguments.extend(packages);
        step::run(root, "env", &arguments)
    });
    installed.map_err(|failure| Failure::new(format!("{failure}; as root, {remedy}")))?;
    if have_browser() {
        return Ok(());
    }
    Err(Failure::new(format!("apt ended well but no browser is on the path: {remedy}.")))
}

fn have_browser() -> bool {
    let named = |variable: &str, usual: &[&str]| match env::var(variable) {
        Ok(program) => step::exists(&program, &["--version"]),
        Err(_) => usual.iter().any(|program| step::exists(program, &["--version"])),
    };
    let browsers = ["chromium", "chromium-browser", "google-chrome", "chrome"];
    named("CHROMEDRIVER", &["chromedriver"]) && named("CHROMIUM", &browsers)
}

/// Processor, cores and system, for the head of a report.
pub fn description() -> String {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let (system, kind) = (env::consts::OS, env::consts::ARCH);
    format!("{}, {cores} cores, {system} {kind}", processor().unwrap_or_else(|| kind.to_owned()))
}

/// The processor's name by its maker, where the system tells it in plain text.
pub fn processor() -> Option<String> {
    let told = std::fs::read_to_string("/proc/cpuinfo").ok()?;
    let line = told.lines().find(|line| line.starts_with("model name"))?;
    Some(line.split_once(':')?.1.trim().to_owned())
}

/// First line that a program prints about its version.
pub fn version(program: &str) -> String {
    let answer = Command::new(program).arg("--version").output();
    let text = answer.map(|answer| String::from_utf8_lossy(&answer.stdout).into_owned());
    text.ok().and_then(|text| text.lines().next().map(str::to_owned)).unwrap_or_default()
}
