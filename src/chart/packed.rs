//! The stored form of a cell: a head with the extents of its blocks, then the blocks, each packed separately, so that
//! an area can be loaded without the rest.
//!
//! ```text
//! "windrode chart 1\n"  u32 length of the head  head  block block ...
//! ```
//! Numbers are little-endian. The head and each block are JSON, packed by zlib (RFC 1950). A file of another version is refused:
//! the cell is added again from its source. Nothing in a file can make a reader take more memory than the bounds below.

use std::io::{Read as _, Write as _};

use flate2::Compression;
use flate2::read::ZlibDecoder;
use flate2::write::ZlibEncoder;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use super::cell::{Cell, Piece};
use super::object::About;
use super::shape::Extent;

/// The first bytes of each file; the number is the version.
const MAGIC: &[u8] = b"windrode chart 1\n";
/// The number of bytes that give the length of the head.
pub const OPENING: usize = MAGIC.len() + 4;
/// The largest head, packed: 200 000 blocks.
pub const LARGEST_HEAD: usize = 4 << 20;
/// The largest block, packed.
pub const LARGEST_BLOCK: usize = 8 << 20;
/// The largest head or block, unpacked.
const LARGEST_OUT: u64 = 64 << 20;

/// The head of a file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Head {
    /// The cell's description of itself.
    pub about: About,
    /// The number of objects.
    pub objects: u32,
    /// Its blocks.
    pub blocks: Vec<Block>,
}

/// Where a block is, in the file and on Earth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Block {
    /// The box around everything in it.
    pub extent: Extent,
    /// The offset from the end of the head, in bytes.
    pub start: u64,
    /// The length in bytes.
    pub length: usize,
}

/// A file that is not one of our charts.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PackedError {
    /// It has a different beginning.
    #[error("it is no chart of this version; add the cell again from its source")]
    NotOurs,
    /// It is cut short or altered.
    #[error("it is damaged ({0}); add the cell again from its source")]
    Damaged(String),
}

/// A cell as a file.
pub fn pack(cell: &Cell) -> Result<Vec<u8>, PackedError> {
    let mut body = Vec::new();
    let mut blocks = Vec::new();
    for (extent, pieces) in cell.blocks() {
        let packed = deflated(&pieces)?;
        blocks.push(Block {
            extent,
            start: body.len() as u64,
            length: packed.len(),
        });
        body.extend(packed);
    }
    let objects = cell
        .pieces
        .iter()
        .map(|piece| piece.feature + 1)
        .max()
        .unwrap_or(0);
    let head = deflated(&Head {
        about: cell.about.clone(),
        objects,
        blocks,
    })?;
    let length =
        u32::try_from(head.len()).map_err(|error| PackedError::Damaged(error.to_string()))?;
    let mut file = MAGIC.to_vec();
    file.extend(length.to_le_bytes());
    file.extend(head);
    file.extend(body);
    Ok(file)
}

/// The length of the head, from the first [`OPENING`] bytes of a file.
pub fn head_length(opening: &[u8]) -> Result<usize, PackedError> {
    let rest = opening.strip_prefix(MAGIC).ok_or(PackedError::NotOurs)?;
    let bytes: [u8; 4] = rest
        .get(..4)
        .and_then(|bytes| bytes.try_into().ok())
        .ok_or(PackedError::NotOurs)?;
    let length = u32::from_le_bytes(bytes) as usize;
    if length > LARGEST_HEAD {
        return Err(PackedError::Damaged(format!("a head of {length} bytes")));
    }
    Ok(length)
}

/// The head, from its bytes.
pub fn head(bytes: &[u8]) -> Result<Head, PackedError> {
    let head: Head = inflated(bytes)?;
    match head
        .blocks
        .iter()
        .find(|block| block.length > LARGEST_BLOCK)
    {
        Some(block) => Err(PackedError::Damaged(format!(
            "a block of {} bytes",
            block.length
        ))),
        None => Ok(head),
    }
}

/// The pieces of a block, from its bytes.
pub fn block(bytes: &[u8]) -> Result<Vec<Piece>, PackedError> {
    inflated(bytes)
}

fn deflated(value: &impl Serialize) -> Result<Vec<u8>, PackedError> {
    let failed = |error: &dyn std::fmt::Display| PackedError::Damaged(error.to_string());
    let text = serde_json::to_vec(value).map_err(|error| failed(&error))?;
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::default());
    encoder
        .write_all(&text)
        .and_then(|()| encoder.finish())
        .map_err(|error| failed(&error))
}

fn inflated<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, PackedError> {
    let mut text = String::new();
    ZlibDecoder::new(bytes)
        .take(LARGEST_OUT)
        .read_to_string(&mut text)
        .map_err(|error| PackedError::Damaged(error.to_string()))?;
    serde_json::from_str(&text).map_err(|error| PackedError::Damaged(error.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::class::Class;
    use crate::chart::faults::Faults;
    use crate::chart::parse::Reading;

    fn cell() -> Cell {
        let mut reading = Reading::of("A");
        let square = r#"{"type":"Feature","properties":{"OBJL":42,"DRVAL1":1.8,"DRVAL2":3.6},"geometry":{"type":"Polygon","coordinates":[[[1,1],[2,1],[2,2],[1,1]]]}}"#;
        let rock = r#"{"type":"Feature","properties":{"OBJL":153,"QUASOU":[2],"OBJNAM":"Tern Rock"},"geometry":{"type":"Point","coordinates":[1.5,1.2]}}"#;
        reading.take(&format!("{square}\n{rock}\n"), None).unwrap();
        Cell::of(reading, &mut Faults::default()).unwrap()
    }

    fn unpacked(file: &[u8]) -> Result<(Head, Vec<Piece>), PackedError> {
        let length = head_length(file.get(..OPENING).unwrap_or_default())?;
        let (start, end) = (OPENING, OPENING + length);
        let head = head(file.get(start..end).unwrap_or_default())?;
        let mut pieces = Vec::new();
        for at in &head.blocks {
            let from = end + usize::try_from(at.start).unwrap();
            pieces.extend(block(file.get(from..from + at.length).unwrap_or_default())?);
        }
        Ok((head, pieces))
    }

    #[test]
    fn a_cell_comes_back_as_it_was_packed() {
        let cell = cell();
        let (head, mut pieces) = unpacked(&pack(&cell).unwrap()).unwrap();
        pieces.sort_by_key(|piece| piece.feature);
        assert_eq!(head.about, cell.about);
        assert_eq!(head.objects, 2);
        assert_eq!(pieces, cell.pieces);
        assert_eq!(pieces[1].object.class, Class::Rock);
    }

    #[test]
    fn a_file_that_is_cut_short_or_of_another_version_is_refused() {
        let file = pack(&cell()).unwrap();
        for length in 0..file.len() {
            assert!(unpacked(&file[..length]).is_err(), "{length}");
        }
        let other = [b"windrode chart 2\n", &file[MAGIC.len()..]].concat();
        assert_eq!(unpacked(&other), Err(PackedError::NotOurs));
        let mut long = file;
        long[MAGIC.len()..OPENING].copy_from_slice(&u32::MAX.to_le_bytes());
        assert!(matches!(unpacked(&long), Err(PackedError::Damaged(_))));
    }
}
