//! `cargo xtask pictures`: screenshots of the demonstration, the same every time (fixed seed and clock).

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use browse::{Browser, Palette, Served};
use serde_json::{Value, json};

use crate::failure::{Failure, Outcome};
use crate::machine;
use crate::repo;
use crate::step::cargo;

const WIDTHS_PX: [u32; 3] = [360, 1024, 1920];
const PALETTES: [(Palette, &str); 2] = [(Palette::Day, "day"), (Palette::Night, "night")];

/// Height of the window before the page is stretched to its full height.
const HEIGHT_PX: u32 = 900;

/// The pictures in the README: page, width, palette.
const CHOSEN: [(&str, u32, &str); 7] = [
    ("now", 1024, "day"),
    ("now", 1920, "night"),
    ("now", 360, "night"),
    ("plant", 1920, "day"),
    ("passage", 1024, "day"),
    ("findings", 1024, "day"),
    ("practice-run", 1024, "day"),
];

/// What is pressed in a cold start before its picture is taken: on the way up, by-pass half closed.
const PRESSED: [&str; 27] = [
    "turn~feed~0",
    "turn~overboard~100",
    "turn~pump suction~100",
    "turn~pump discharge~100",
    "pump~cooling~start",
    "pump~ejector~start",
    "on~10",
    "on~1",
    "turn~feed~100",
    "switch~antiscalant~on",
    "switch~salinometer~on",
    "turn~jacket outlet~100",
    "turn~jacket inlet~+10",
    "turn~jacket inlet~+10",
    "turn~jacket inlet~+10",
    "on~1",
    "on~1",
    "on~1",
    "turn~jacket inlet~100",
    "on~1",
    "on~1",
    "pump~distillate~start",
    "turn~jacket by-pass~-10",
    "turn~jacket by-pass~-10",
    "turn~jacket by-pass~-10",
    "turn~jacket by-pass~-10",
    "on~1",
];

/// What the chosen pictures may weigh together, since they are kept in the repository.
const LIMIT_BYTES: u64 = 5_000_000;

/// Which pictures to take, and where to put them.
pub struct Wish {
    folder: PathBuf,
    everything: bool,
}

impl Wish {
    /// The few that the README shows, in their place.
    pub fn chosen() -> Outcome<Wish> {
        Ok(Wish { folder: repo::root()?.join("docs/pictures"), everything: false })
    }

    /// Every page at every width in both palettes.
    pub fn everything(folder: &str) -> Wish {
        Wish { folder: folder.into(), everything: true }
    }

    fn wants(&self, page: &str, width_px: u32, palette: &str) -> bool {
        self.everything || CHOSEN.contains(&(page, width_px, palette))
    }
}

/// Builds the program, starts the demonstration and takes the pictures.
pub fn run(wish: &Wish) -> Outcome {
    let root = repo::root()?;
    machine::ensure_browser(&root)?;
    let program = built(&root)?;
    let demo = Served::start(browse::demo(&program))
        .map_err(Failure::of("the demonstration did not start"))?;
    let browser = Browser::start().map_err(Failure::of("no browser"))?;
    fs::create_dir_all(&wish.folder).map_err(Failure::of(wish.folder.display()))?;
    let taken = take_all(wish, &demo, &browser).map_err(Failure::of("a picture failed"))?;
    let mut bytes = 0;
    for (name, png) in &taken {
        let path = wish.folder.join(name);
        fs::write(&path, png).map_err(Failure::of(path.display()))?;
        println!("{} ({} kB)", path.display(), png.len() / 1000);
        bytes += png.len() as u64;
    }
    if wish.everything {
        return Ok(());
    }
    let missing: Vec<String> = CHOSEN
        .iter()
        .map(|(page, width, palette)| file_name(page, *width, palette))
        .filter(|name| !taken.iter().any(|(taken, _)| taken == name))
        .collect();
    if !missing.is_empty() {
        return Err(Failure::new(format!("no such page for {}", missing.join(", "))));
    }
    if bytes > LIMIT_BYTES {
        return Err(Failure::new(format!(
            "the pictures weigh {bytes} bytes together, {LIMIT_BYTES} are allowed: choose fewer"
        )));
    }
    Ok(())
}

fn file_name(page: &str, width_px: u32, palette: &str) -> String {
    format!("{page}-{width_px}-{palette}.png")
}

fn take_all(
    wish: &Wish,
    demo: &Served,
    browser: &Browser,
) -> Result<Vec<(String, Vec<u8>)>, browse::BrowseError> {
    browser.goto(demo.address())?;
    let mut pages = Vec::new();
    for link in browser.find_all("nav.index a")? {
        let name = link.text()?.trim().to_lowercase().replace(' ', "-");
        pages.push((name, link.attribute("href")?.unwrap_or_default()));
    }
    // What is worked out beside the pages is waited for, so that every picture shows its page whole.
    browser.until("the findings", |browser| {
        browser.goto(&demo.at("/findings"))?;
        Ok(!browser.find_all("table")?.is_empty())
    })?;
    pages.push(("practice-run".to_owned(), practised(demo, browser)?));
    let mut taken = Vec::new();
    for width_px in WIDTHS_PX {
        browser.resize(width_px, HEIGHT_PX)?;
        for (palette, palette_name) in PALETTES {
            browser.palette(palette)?;
            for (page, path) in &pages {
                if wish.wants(page, width_px, palette_name) {
                    browser.goto(&demo.at(path))?;
                    taken.push((file_name(page, width_px, palette_name), browser.picture()?));
                }
            }
        }
    }
    Ok(taken)
}

/// A run of practice on its way up; its address. Without script each press is a page, so that one comes after the other.
fn practised(demo: &Served, browser: &Browser) -> Result<String, browse::BrowseError> {
    let press = |css: &str| {
        browser.run("document.body.dataset.before = 'yes'", json!([]))?;
        browser.find(css)?.click()?;
        let script = "return document.readyState === 'complete' && document.body.dataset.before === undefined \
            && document.querySelector('form[action=\"/palette\"]') !== null";
        browser.until("the next page", |browser| Ok(browser.run(script, json!([]))? == true))
    };
    browser.scripts(false)?;
    browser.goto(&demo.at("/practice"))?;
    press("button[name=drill][value=tropics]")?;
    for what in PRESSED {
        press(&format!("button[name=do][value='{what}']"))?;
    }
    let address = browser.address()?;
    browser.scripts(true)?;
    Ok(address.trim_start_matches(demo.address().trim_end_matches('/')).to_owned())
}

/// Builds the program and asks cargo where it put it.
fn built(root: &Path) -> Outcome<PathBuf> {
    println!("$ cargo build --package stillwatch");
    let answer = Command::new(cargo())
        .args(["build", "--package", "stillwatch", "--message-format=json-render-diagnostics"])
        .current_dir(root)
        .stderr(Stdio::inherit())
        .output()
        .map_err(Failure::of("cargo build could not be run"))?;
    if !answer.status.success() {
        return Err(Failure::new("the program does not build; see above"));
    }
    String::from_utf8_lossy(&answer.stdout)
        .lines()
        .filter_map(|line| serde_json::from_str::<Value>(line).ok())
        .filter(|message| message["target"]["name"] == "stillwatch")
        .find_map(|message| message["executable"].as_str().map(PathBuf::from))
        .ok_or_else(|| Failure::new("cargo built no program called stillwatch"))
}
