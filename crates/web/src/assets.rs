//! Styles and modules, embedded; the address carries a hash of the content, so a browser keeps them for good.

use std::sync::LazyLock;

use axum::Router;
use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use sha2::{Digest, Sha256};

use crate::app::{App, hex};
use crate::paths;
use crate::trouble::Trouble;

/// A file that pages refer to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Asset {
    /// The style of every page, screen and paper.
    Style,
    /// The small picture on the browser's tab.
    Icon,
    /// What was typed survives a lost link.
    Keep,
    /// ± keys on number fields.
    Step,
    /// Day and night without a reload, and the print button.
    Palette,
    /// Readings checked while they are typed.
    Readings,
    /// Sliders of the what-if.
    Whatif,
    /// A wait counted down.
    Count,
    /// Practice brought up to date while it runs.
    Practise,
}

struct Kept {
    asset: Asset,
    stem: &'static str,
    ending: &'static str,
    mime: &'static str,
    bytes: &'static [u8],
}

const STYLE: &str = "text/css; charset=utf-8";
const MODULE: &str = "text/javascript; charset=utf-8";

const KEPT: [Kept; 9] = [
    Kept {
        asset: Asset::Style,
        stem: "stillwatch",
        ending: "css",
        mime: STYLE,
        bytes: include_bytes!("../assets/stillwatch.css"),
    },
    Kept {
        asset: Asset::Icon,
        stem: "stillwatch",
        ending: "svg",
        mime: "image/svg+xml",
        bytes: include_bytes!("../assets/stillwatch.svg"),
    },
    Kept {
        asset: Asset::Keep,
        stem: "keep",
        ending: "js",
        mime: MODULE,
        bytes: include_bytes!("../assets/keep.js"),
    },
    Kept {
        asset: Asset::Step,
        stem: "step",
        ending: "js",
        mime: MODULE,
        bytes: include_bytes!("../assets/step.js"),
    },
    Kept {
        asset: Asset::Palette,
        stem: "palette",
        ending: "js",
        mime: MODULE,
        bytes: include_bytes!("../assets/palette.js"),
    },
    Kept {
        asset: Asset::Readings,
        stem: "readings",
        ending: "js",
        mime: MODULE,
        bytes: include_bytes!("../assets/readings.js"),
    },
    Kept {
        asset: Asset::Whatif,
        stem: "whatif",
        ending: "js",
        mime: MODULE,
        bytes: include_bytes!("../assets/whatif.js"),
    },
    Kept {
        asset: Asset::Count,
        stem: "count",
        ending: "js",
        mime: MODULE,
        bytes: include_bytes!("../assets/count.js"),
    },
    Kept {
        asset: Asset::Practise,
        stem: "practise",
        ending: "js",
        mime: MODULE,
        bytes: include_bytes!("../assets/practise.js"),
    },
];

/// File names with the first 64 bits of their content's SHA-256, in the order of `KEPT`.
static NAMES: LazyLock<Vec<String>> = LazyLock::new(|| {
    let name = |kept: &Kept| {
        let hash = hex(&Sha256::digest(kept.bytes)[..8]);
        format!("{}.{hash}.{}", kept.stem, kept.ending)
    };
    KEPT.iter().map(name).collect()
});

impl Asset {
    /// The address, which changes with the content.
    pub fn url(self) -> String {
        let mut named = KEPT.iter().zip(NAMES.iter());
        let name = named.find(|(kept, _)| kept.asset == self).map_or("", |(_, name)| name);
        format!("{}{name}", paths::ASSETS)
    }
}

/// Serves the embedded files.
pub(crate) fn routes() -> Router<App> {
    Router::new().route("/assets/{name}", get(serve))
}

async fn serve(Path(name): Path<String>) -> Response {
    match KEPT.iter().zip(NAMES.iter()).find(|(_, known)| **known == name) {
        Some((kept, _)) => {
            let forever = "public, max-age=31536000, immutable";
            ([(CONTENT_TYPE, kept.mime), (CACHE_CONTROL, forever)], kept.bytes).into_response()
        }
        None => Trouble::NotFound.into_response(),
    }
}
