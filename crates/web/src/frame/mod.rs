//! The sheet every page is written on: heading line, thumb index, entries, foot.

pub mod palette;

use maud::{DOCTYPE, Markup, html};

use crate::assets::Asset;
use crate::parts;
use crate::paths::{self, Page};
use crate::reader::Reader;
use crate::shiptime;
use palette::Palette;

/// Modules that every page may use; each does nothing where its marks are missing.
const SHARED: [Asset; 3] = [Asset::Palette, Asset::Step, Asset::Keep];

/// A whole page for a reader who is signed in. `open` is the page marked in the thumb index.
pub(crate) fn page(
    reader: &Reader,
    open: Option<Page>,
    title: &str,
    body: &Markup,
    modules: &[Asset],
) -> Markup {
    let line = &reader.heading;
    let full = format!("{title}, {}, Stillwatch", line.ship);
    sheet(
        reader.palette,
        &full,
        modules,
        &html! {
            header.heading {
                p.vessel { (line.ship) }
                dl.logline {
                    div { dt { (line.doing) } dd { (line.voyage) } }
                    div { dt { "Ship’s time" } dd { time { (line.ships_time) } } }
                    div { dt { "UTC" } dd { (line.utc) } }
                    div { dt { "Watch" } dd { (line.watch) } }
                }
            }
            nav.index aria-label="Pages" {
                ul {
                    @for page in Page::ALL {
                        li { a href=(page.path()) aria-current=[(Some(page) == open).then_some("page")] { (page.name()) } }
                    }
                }
            }
            main.sheet {
                @if let Some(fault) = &line.fault { (broken(fault)) }
                @else if let Some(found) = &line.altered { (altered(found)) }
                @if let Some(behind_s) = line.clock_behind_s { (clock_behind(behind_s)) }
                @if line.unconfirmed > 0 && open.is_some_and(Page::expects) { (unconfirmed(line.unconfirmed)) }
                (body)
            }
            (foot(reader))
        },
    )
}

/// The record's end is out of order: said first on every page until somebody has gone on from it.
fn broken(fault: &str) -> Markup {
    let still = html! {
        (fault) ". It was altered, or the disk is failing. What is written earlier can be read; nothing is added to it until the record is compared with the backup and the chief goes on by name, on the page "
        a href=(Page::Records.path()) { "Records" } "; emergency notes are written there too."
    };
    parts::fault("The newest entry of the record is out of order", still)
}

/// Something further back is not what was written: said on every page until a walk finds it in order.
fn altered(found: &str) -> Markup {
    let still = html! {
        (found) ". What is out of order is left out of every page and every figure. Keep the file, take the last good copy from the backup and compare it with the bound book; the page "
        a href=(Page::Records.path()) { "Records" } " walks the chain again."
    };
    parts::fault("The record is not what was written", still)
}

/// What is read now would stand before what was read already.
fn clock_behind(behind_s: i64) -> Markup {
    let says = html! {
        "It stands " (shiptime::lasting(behind_s)) " before the newest entry of the record: either it was set back, or that entry was written by a wrong clock. Compare it with the bridge before anything is signed."
    };
    html! { section.entry { (parts::caution("This computer’s clock.", says)) } }
}

/// Nothing expected is hers while figures of the sheet are another plant's.
fn unconfirmed(count: usize) -> Markup {
    let says = html! {
        (count) @if count == 1 { " figure of the maker’s is" } @else { " figures of the maker’s are" }
        " still a typical plant’s, so what is expected here is that plant’s too. "
        a href=(Page::Ship.path()) { "Fill in the sheet" } " from the manual or the sea trial."
    };
    html! { section.entry { (parts::caution("Not this ship’s plant yet.", says)) } }
}

/// A page for a stranger: no ship's name, no index, no form but what `body` brings.
pub(crate) fn plain(palette: Palette, title: &str, body: &Markup) -> Markup {
    sheet(palette, &format!("{title}, Stillwatch"), &[], &html! { main.sheet { (body) } })
}

fn sheet(palette: Palette, title: &str, modules: &[Asset], inside: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" data-palette=(palette.key()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content=(palette.scheme());
                title { (title) }
                link rel="icon" type="image/svg+xml" href=(Asset::Icon.url());
                link rel="stylesheet" href=(Asset::Style.url());
                @for module in SHARED.iter().chain(modules) {
                    script type="module" src=(module.url()) {}
                }
            }
            body {
                a.skip href="#answer" { "Skip to the answer" }
                (inside)
            }
        }
    }
}

fn foot(reader: &Reader) -> Markup {
    let choices = html! {
        input type="hidden" name="back" value=(reader.path);
        @for palette in Palette::ALL {
            button name="palette" value=(palette.key()) aria-pressed=[(palette == reader.palette).then_some("true")] { (palette.name()) }
        }
        button type="button" data-print hidden { "Print" }
    };
    html! {
        footer.foot {
            p { "Stillwatch advises; it commands nothing. The maker’s manual, the company’s safety system, flag and port rules and licensed practice come first." }
            (reader.press(paths::PALETTE, choices))
            @if reader.may_leave {
                (reader.press(paths::SIGN_OUT, html! { button { "Sign out" } }))
            }
        }
    }
}
