//! Every library used, and what it uses, is under a licence that ours can be joined with.

use super::{Finding, House, spdx};

/// Permissive, and asking for no more than a notice.
const ALLOWED: [&str; 13] = [
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

pub fn check(house: &House) -> Vec<Finding> {
    let refused = house.metadata.theirs().filter_map(|package| {
        let licence = package.license.as_deref().unwrap_or("no licence named");
        let (name, version) = (&package.name, &package.version);
        (!spdx::allows(licence, &ALLOWED)).then(|| {
            Finding::in_file(
                "Cargo.lock",
                format!("`{name}` {version}: {licence} is not on the list of allowed licences"),
            )
        })
    });
    let ours = house.metadata.ours().filter_map(|package| {
        let path = format!("crate `{}`", package.name);
        (package.license.as_deref() != Some("MIT OR Apache-2.0"))
            .then(|| Finding::in_file(path, "its licence is not MIT OR Apache-2.0"))
    });
    refused.chain(ours).collect()
}
