//! A batch of inputs as it lies on disk: JSON lines, compressed with gzip.
//!
//! JSON because it can be read without this program and after the types have grown; gzip because
//! it brings a line down to a tenth, and because its checksum (RFC 1952) shows damage that the
//! database itself would not notice.

use std::io::{Read, Write};

use flate2::Compression;
use flate2::read::GzDecoder;
use flate2::write::GzEncoder;

use crate::watch::messages::Entry;

/// Compresses entries, one JSON object a line.
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

/// The entries again, in their order.
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

/// Some hundred times what a batch unpacks to: a damaged one must not fill the memory.
const LARGEST: u64 = 64 * 1024 * 1024;
