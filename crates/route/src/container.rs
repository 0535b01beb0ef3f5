//! The container of a route exchange file (.rtzp): a ZIP file with one .rtz in it, beside attachments that are not looked at.

use std::io::Write;

use miniz_oxide::deflate::compress_to_vec;
use miniz_oxide::inflate::decompress_to_vec_with_limit;
use rawzip::{CompressionMethod, ZipArchive, ZipArchiveWriter};

use crate::problem::Fault;
use crate::reading::LARGEST_FILE;
use crate::route::Route;
use crate::rtz::Version;

/// The most files looked through in a container.
const MOST_FILES: usize = 1_000;

/// How hard to press a file of a few kilobytes, 0 to 10.
const PRESS: u8 = 6;

/// Whether these bytes begin like a ZIP file.
pub(crate) fn is_one(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

/// The one route exchange file in a container.
pub(crate) fn route_file(bytes: &[u8]) -> Result<Vec<u8>, Fault> {
    let refused = |error: rawzip::Error| Fault::Zip { said: error.to_string() };
    let archive = ZipArchive::from_slice(bytes).map_err(refused)?;
    let mut entries = archive.entries();
    let mut found = None;
    let mut count = 0;
    for _ in 0..MOST_FILES {
        let Some(entry) = entries.next_entry().map_err(refused)? else { break };
        let path = entry.file_path().as_bytes().to_ascii_lowercase();
        if !entry.is_dir() && path.ends_with(b".rtz") {
            count += 1;
            found = Some((entry.wayfinder(), entry.compression_method()));
        }
    }
    let Some((place, method)) = found.filter(|_| count == 1) else {
        return Err(Fault::ZipRoutes { count });
    };
    let entry = archive.get_entry(place).map_err(refused)?;
    let limit = usize::try_from(LARGEST_FILE).unwrap_or(usize::MAX);
    let inside =
        match method {
            CompressionMethod::STORE => entry.data().to_vec(),
            CompressionMethod::DEFLATE => decompress_to_vec_with_limit(entry.data(), limit)
                .map_err(|error| match error.status {
                    miniz_oxide::inflate::TINFLStatus::HasMoreOutput => {
                        Fault::TooLarge { bytes: LARGEST_FILE + 1, allowed: LARGEST_FILE }
                    }
                    _ => Fault::Zip { said: "its packed data are damaged".to_owned() },
                })?,
            other => return Err(Fault::Zip { said: format!("packed by method {other:?}") }),
        };
    if inside.len() > limit {
        return Err(Fault::TooLarge { bytes: inside.len() as u64, allowed: LARGEST_FILE });
    }
    let mut verified = Vec::with_capacity(inside.len());
    std::io::copy(&mut entry.verifying_reader(inside.as_slice()), &mut verified)
        .map_err(|error| Fault::Zip { said: error.to_string() })?;
    Ok(verified)
}

impl Route {
    /// The route as a container with one route exchange file in it.
    ///
    /// # Errors
    /// [`Fault::Zip`] for what the packing says; none is known for writing to memory.
    pub fn to_rtzp(&self, version: Version) -> Result<Vec<u8>, Fault> {
        pack(self.to_rtz(version).as_bytes()).map_err(|said| Fault::Zip { said })
    }
}

fn pack(file: &[u8]) -> Result<Vec<u8>, String> {
    let mut out = Vec::new();
    let mut archive = ZipArchiveWriter::new(&mut out);
    let start = archive.new_file("route.rtz").compression_method(CompressionMethod::DEFLATE);
    let (mut entry, sums) = start.start().map_err(|error| error.to_string())?;
    // The sums are of what goes in, the entry holds what comes out.
    let mut counted = sums.wrap(std::io::sink());
    counted.write_all(file).map_err(|error| error.to_string())?;
    let (_, sums) = counted.finish().map_err(|error| error.to_string())?;
    entry.write_all(&compress_to_vec(file, PRESS)).map_err(|error| error.to_string())?;
    entry.finish(sums).map_err(|error| error.to_string())?;
    archive.finish().map_err(|error| error.to_string())?;
    Ok(out)
}
