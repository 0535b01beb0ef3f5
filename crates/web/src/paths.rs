//! Every address the program answers on, in one place.

/// A page in the thumb index.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Page {
    /// Are we making what we should?
    Now,
    /// Will the water last, and when do we stop?
    Passage,
    /// What can the plant make here, and what would it take?
    Plant,
    /// The watch's entry form, earlier rounds and trends.
    Readings,
    /// Why is she not making what she should, what is looked at next, when is she cleaned?
    Findings,
    /// Which step next, and is it safe to go on?
    Procedures,
    /// Can I bring it up without upsetting the engine, and find the fault?
    Practice,
    /// The log, its proof, import and export.
    Records,
    /// The plant sheet, tanks and limits.
    Ship,
}

impl Page {
    /// The pages in the order of the thumb index.
    pub const ALL: [Page; 9] = [
        Page::Now,
        Page::Passage,
        Page::Plant,
        Page::Readings,
        Page::Findings,
        Page::Procedures,
        Page::Practice,
        Page::Records,
        Page::Ship,
    ];

    /// Whether the page tells what the plant is expected to do.
    pub const fn expects(self) -> bool {
        matches!(self, Page::Now | Page::Passage | Page::Plant | Page::Readings | Page::Findings)
    }

    /// The address of the page; addresses below it belong to the same page.
    pub const fn path(self) -> &'static str {
        match self {
            Page::Now => "/",
            Page::Passage => "/passage",
            Page::Plant => "/plant",
            Page::Readings => "/readings",
            Page::Findings => "/findings",
            Page::Procedures => "/procedures",
            Page::Practice => "/practice",
            Page::Records => "/records",
            Page::Ship => "/ship",
        }
    }

    /// The name on the thumb index.
    pub const fn name(self) -> &'static str {
        match self {
            Page::Now => "Now",
            Page::Passage => "Passage",
            Page::Plant => "Plant",
            Page::Readings => "Readings",
            Page::Findings => "Findings",
            Page::Procedures => "Procedures",
            Page::Practice => "Practice",
            Page::Records => "Records",
            Page::Ship => "Ship",
        }
    }
}

/// Where the palette form is sent.
pub const PALETTE: &str = "/palette";
/// The page that asks for the pass-phrase.
pub const SIGN_IN: &str = "/sign-in";
/// Where the sign-out button is sent.
pub const SIGN_OUT: &str = "/sign-out";
/// The folder of styles and modules; the name carries a hash of the content.
pub const ASSETS: &str = "/assets/";

/// Returns `path` when it leads to a page of this program, else the start page.
///
/// Guards the "go back to" fields of forms against leading the reader to another site: only an
/// absolute path with one leading slash, printable ASCII, without a backslash, is taken.
pub fn own_path(path: &str) -> &str {
    let plain = path.bytes().all(|b| b.is_ascii_graphic() && b != b'\\');
    if plain && path.starts_with('/') && !path.starts_with("//") && path.len() <= 1024 {
        path
    } else {
        Page::Now.path()
    }
}
