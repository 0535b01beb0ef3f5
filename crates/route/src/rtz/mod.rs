//! The route exchange format RTZ (IEC 61174, IEC PAS 61174-1), versions 1.0, 1.1 and 1.2.
//!
//! The format has no place for what a stay is, for marks, loads and the ship's clock. They go into an `extension` of ours, as
//! the format provides, which other readers pass over; those of others are passed over here.

mod length;
mod read;
mod schedules;
mod write;

use roxmltree::Node;

pub(crate) use read::read;

/// A version of the format.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Version {
    /// 1.0, of IEC 61174:2015: what every chart system reads.
    V1_0,
    /// 1.1, a draft that is much in use.
    V1_1,
    /// 1.2, of IEC PAS 61174-1:2021.
    V1_2,
}

impl Version {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::V1_0, Self::V1_1, Self::V1_2];

    /// Its number as it stands in a file.
    #[must_use]
    pub const fn number(self) -> &'static str {
        match self {
            Self::V1_0 => "1.0",
            Self::V1_1 => "1.1",
            Self::V1_2 => "1.2",
        }
    }

    /// The namespace of its elements.
    #[must_use]
    pub const fn namespace(self) -> &'static str {
        match self {
            Self::V1_0 => "http://www.cirm.org/RTZ/1/0",
            Self::V1_1 => "http://www.cirm.org/RTZ/1/1",
            Self::V1_2 => "http://www.cirm.org/RTZ/1/2",
        }
    }

    /// What the schema calls the element of a schedule; that of 1.0 is misspelt.
    const fn schedule_element(self) -> &'static str {
        match self {
            Self::V1_0 => "sheduleElement",
            Self::V1_1 | Self::V1_2 => "scheduleElement",
        }
    }
}

/// Who our extensions are from.
const MANUFACTURER: &str = "Stillwatch";

/// Children of a node by their name in the file's namespace.
fn children<'a, 'input>(
    node: Node<'a, 'input>,
    name: &'static str,
) -> impl Iterator<Item = Node<'a, 'input>> {
    let namespace = node.tag_name().namespace().map(str::to_owned);
    node.children().filter(move |child| {
        let tag = child.tag_name();
        child.is_element() && tag.name() == name && tag.namespace() == namespace.as_deref()
    })
}

/// The extension of ours that a node carries.
fn ours<'a, 'input>(node: Node<'a, 'input>) -> Option<Node<'a, 'input>> {
    children(node, "extensions")
        .flat_map(|extensions| children(extensions, "extension"))
        .find(|extension| extension.attribute("manufacturer") == Some(MANUFACTURER))
}
