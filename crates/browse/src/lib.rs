//! A real browser for tests and pictures: starts the program, opens its pages, types, clicks, looks.
//!
//! Only tests and the chores use this crate; nothing that goes to sea depends on it. It speaks the
//! W3C WebDriver protocol to `chromedriver`, and through it the browser's own protocol where
//! WebDriver has no word for something (exact page width, palette, accessibility tree, full height).
//!
//! ```no_run
//! # fn main() -> Result<(), browse::BrowseError> {
//! let demo = browse::Served::start(browse::demo("target/debug/stillwatch".as_ref()))?;
//! let browser = browse::Browser::start()?;
//! browser.resize(360, 740)?;
//! browser.palette(browse::Palette::Night)?;
//! browser.goto(demo.address())?;
//! assert_eq!(browser.complaints()?, Vec::<String>::new());
//! # Ok(())
//! # }
//! ```

mod browser;
mod driver;
mod element;
mod error;
mod outline;
mod served;
mod wire;

pub use browser::{Browser, Key, Palette};
pub use element::Element;
pub use error::BrowseError;
pub use served::{CLOCK, SEED, Served, demo};
