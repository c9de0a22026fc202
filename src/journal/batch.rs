//! A batch of inputs as stored on disk: JSON lines, compressed with gzip.
//!
//! JSON can be read without this program, and still after the types have grown. Gzip shrinks a line to a
//! tenth, and its checksum (RFC 1952) shows damage that the database itself would not notice.

use std::io::{Read, Write};

use flate2::Compression;
use flate2::read::GzDecoder;
use flate2::write::GzEncoder;

use crate::watch::messages::Entry;

/// Compresses entries, one JSON object per line.
pub(crate) fn encode<'a>(entries: impl Iterator<Item = &'a Entry>) -> Result<Vec<u8>, String> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
    for entry in entries {
        let line = serde_json::to_vec(entry).map_err(|error| error.to_string())?;
        encoder
            .write_all(&line)
            .map_err(|error| error.to_string())?;
        encoder
            .write_all(b"\n")
            .map_err(|error| error.to_string())?;
    }
    encoder.finish().map_err(|error| error.to_string())
}

/// Unpacks the entries in their order.
pub(crate) fn decode(bytes: &[u8]) -> Result<Vec<Entry>, String> {
    let mut text = String::new();
    GzDecoder::new(bytes)
        .take(LARGEST)
        .read_to_string(&mut text)
        .map_err(|error| error.to_string())?;
    text.lines()
        .map(|line| serde_json::from_str(line).map_err(|error| error.to_string()))
        .collect()
}

/// A few hundred times the size of an unpacked batch: a damaged one must not fill the memory.
const LARGEST: u64 = 64 * 1024 * 1024;
