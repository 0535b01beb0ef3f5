//! Drawings of one picture at several widths: the page shows the one that fits its column.

use crate::alone::stand_alone;

/// Rules that the pictures of a passage need in a file of their own, beside the common ones.
const STYLE: &str = "\
.land{fill:#eee8da;stroke:#857e70;stroke-width:.8;fill-rule:evenodd}\
.isles{stroke:#857e70;stroke-width:1.4}.edge{stroke:#857e70;stroke-width:1}\
.pen{stroke:#5d5a53;stroke-width:1.1}.dash{stroke-dasharray:5 4}\
.may{stroke:#1e5f9e;stroke-width:4.6}.between{stroke:#fffdf8;stroke-width:2.2}\
.made{stroke:#1e5f9e;stroke-width:4.6}.butt{stroke-linecap:butt}\
.event{stroke:#1b2430;stroke-width:1;stroke-dasharray:1.5 3}\
.f-band{fill:#dcd5c6;stroke:#857e70;stroke-width:.7}\
.f-sea{fill:#d5e5d8}.f-fresh{fill:#d6e3ee}.f-ink{fill:#1b2430}.f-paper{fill:#fffdf8}";

/// The drawings in one box that shows the one its width has room for.
pub(crate) fn fitted(drawings: impl IntoIterator<Item = String>) -> String {
    let drawings: String = drawings.into_iter().collect();
    format!("<div class=\"fitted\">{drawings}</div>")
}

/// One drawing as a file of its own.
pub(crate) fn file(drawing: &str) -> String {
    stand_alone(drawing).replacen("</style>", &format!("{STYLE}</style>"), 1)
}
