//! Stores the charts on disk: one file for each cell in the folder `charts` of the state folder.
//!
//! Only the blocks that overlap an area are loaded, so memory depends on the area and not on how much coast is stored.

pub mod import;

use std::fs::{self, File};
use std::io::{self, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};

use crate::chart::cell::{Cell, Piece};
use crate::chart::object::About;
use crate::chart::packed::{self, Head, OPENING, PackedError};
use crate::chart::shape::Extent;
use crate::chart::sheet::Sheet;

/// The folder with the cells.
#[derive(Clone, Debug)]
pub struct ChartRoom {
    folder: PathBuf,
}

/// A cell in the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    /// The cell's description of itself.
    pub about: About,
    /// The number of objects.
    pub objects: u32,
    /// The smallest box around it.
    pub extent: Option<Extent>,
    /// The size on disk in bytes.
    pub size: u64,
}

/// A file of the folder as last seen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stamp {
    path: PathBuf,
    length: Option<u64>,
    changed: Option<std::time::SystemTime>,
}

/// A fault with the charts on disk.
#[derive(Debug, thiserror::Error)]
pub enum ChartRoomError {
    /// A folder or file cannot be read or written.
    #[error("cannot {doing} `{}`: {error}", .path.display())]
    Io {
        /// "read", "write", "remove".
        doing: &'static str,
        /// The file or folder.
        path: PathBuf,
        /// The reason.
        error: io::Error,
    },
    /// A file that is not one of our charts.
    #[error("cannot use `{}`: {error}", .path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// The reason.
        error: PackedError,
    },
    /// No cell has that name.
    #[error("there is no chart `{0}`; `windrode chart list` names them")]
    NoSuch(String),
    /// A name that cannot be the name of a file.
    #[error("`{0}` is no name for a chart; use letters, digits, `-` and `_`, 64 at most")]
    Name(String),
    /// More than can be held at once.
    #[error(
        "the charts of this place are too large to load: more than {0} points; take a smaller radius or remove a chart"
    )]
    TooLarge(usize),
}

/// The largest number of points loaded at once: 40 MB. A circle of 2 km with the mile around it overlaps about ten
/// thousand.
const MOST_POINTS: usize = 5_000_000;
const ENDING: &str = "chart";

impl ChartRoom {
    /// In the state folder; nothing is created until a cell is added.
    #[must_use]
    pub fn of(state_folder: &Path) -> Self {
        Self {
            folder: state_folder.join("charts"),
        }
    }

    /// Stores a cell and replaces one with the same name.
    pub fn add(&self, cell: &Cell) -> Result<u64, ChartRoomError> {
        let path = self.path(&cell.about.name)?;
        let bytes = packed::pack(cell).map_err(|error| ChartRoomError::File {
            path: path.clone(),
            error,
        })?;
        let failed = |error| ChartRoomError::Io {
            doing: "write",
            path: path.clone(),
            error,
        };
        fs::create_dir_all(&self.folder).map_err(failed)?;
        // Written to a file beside it and renamed: a reader finds either the old or the new one, complete.
        let fresh = path.with_extension("new");
        File::create(&fresh)
            .and_then(|mut file| file.write_all(&bytes).and_then(|()| file.sync_all()))
            .and_then(|()| fs::rename(&fresh, &path))
            .and_then(|()| File::open(&self.folder)?.sync_all())
            .map_err(failed)?;
        Ok(bytes.len() as u64)
    }

    /// Removes a cell.
    pub fn remove(&self, name: &str) -> Result<(), ChartRoomError> {
        let path = self.path(name)?;
        fs::remove_file(&path).map_err(|error| match error.kind() {
            io::ErrorKind::NotFound => ChartRoomError::NoSuch(name.to_owned()),
            _ => ChartRoomError::Io {
                doing: "remove",
                path,
                error,
            },
        })
    }

    /// Every cell, by name. An unusable file is listed as an error beside the others.
    pub fn list(&self) -> Result<Vec<Result<Kept, ChartRoomError>>, ChartRoomError> {
        Ok(self
            .files()?
            .into_iter()
            .map(|path| {
                let (mut file, head, _) = open(&path)?;
                let size = file
                    .seek(SeekFrom::End(0))
                    .map_err(|error| ChartRoomError::Io {
                        doing: "read",
                        path,
                        error,
                    })?;
                let extent = head
                    .blocks
                    .iter()
                    .map(|block| block.extent)
                    .reduce(Extent::with);
                Ok(Kept {
                    about: head.about,
                    objects: head.objects,
                    extent,
                    size,
                })
            })
            .collect())
    }

    /// The files as they are now: if the list differs, the charts have changed.
    pub fn stamps(&self) -> Result<Vec<Stamp>, ChartRoomError> {
        let files = self.files()?.into_iter();
        Ok(files
            .map(|path| {
                let about = fs::metadata(&path).ok();
                Stamp {
                    length: about.as_ref().map(fs::Metadata::len),
                    changed: about.and_then(|about| about.modified().ok()),
                    path,
                }
            })
            .collect())
    }

    /// The pieces that overlap one of these boxes. A damaged file is an error: its place must not look uncharted or,
    /// worse, clear.
    pub fn load(&self, boxes: &[Extent]) -> Result<Sheet, ChartRoomError> {
        self.load_within(boxes, MOST_POINTS)
    }

    /// The same with a limit on the points, for a caller that keeps them in memory.
    pub fn load_within(&self, boxes: &[Extent], most: usize) -> Result<Sheet, ChartRoomError> {
        let mut cells = Vec::new();
        let mut points = 0;
        for path in self.files()? {
            let (mut file, head, start) = open(&path)?;
            let mut pieces: Vec<Piece> = Vec::new();
            for block in &head.blocks {
                if !boxes.iter().any(|wanted| wanted.meets(block.extent)) {
                    continue;
                }
                let mut bytes = vec![0; block.length];
                file.seek(SeekFrom::Start(start.saturating_add(block.start)))
                    .and_then(|_| file.read_exact(&mut bytes))
                    .map_err(|error| ChartRoomError::Io {
                        doing: "read",
                        path: path.clone(),
                        error,
                    })?;
                let read = packed::block(&bytes).map_err(|error| ChartRoomError::File {
                    path: path.clone(),
                    error,
                })?;
                points += read.iter().map(|piece| piece.shape.points()).sum::<usize>();
                if points > most {
                    return Err(ChartRoomError::TooLarge(most));
                }
                pieces.extend(read);
            }
            if !pieces.is_empty() {
                cells.push((head.about, pieces));
            }
        }
        Ok(Sheet::of(cells))
    }

    fn files(&self) -> Result<Vec<PathBuf>, ChartRoomError> {
        let failed = |error| ChartRoomError::Io {
            doing: "read",
            path: self.folder.clone(),
            error,
        };
        let entries = match fs::read_dir(&self.folder) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
            other => other.map_err(failed)?,
        };
        let mut files = Vec::new();
        for entry in entries {
            let path = entry.map_err(failed)?.path();
            if path.extension().is_some_and(|ending| ending == ENDING) {
                files.push(path);
            }
        }
        files.sort();
        Ok(files)
    }

    fn path(&self, name: &str) -> Result<PathBuf, ChartRoomError> {
        let fits = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
        if name.is_empty() || name.len() > 64 || !name.chars().all(fits) {
            return Err(ChartRoomError::Name(name.to_owned()));
        }
        Ok(self.folder.join(name).with_extension(ENDING))
    }
}

/// The file, its head, and where its blocks begin.
fn open(path: &Path) -> Result<(File, Head, u64), ChartRoomError> {
    let unreadable = |error| ChartRoomError::Io {
        doing: "read",
        path: path.to_owned(),
        error,
    };
    let unusable = |error| ChartRoomError::File {
        path: path.to_owned(),
        error,
    };
    let mut file = File::open(path).map_err(unreadable)?;
    let mut opening = [0; OPENING];
    file.read_exact(&mut opening)
        .map_err(|_| unusable(PackedError::NotOurs))?;
    let length = packed::head_length(&opening).map_err(unusable)?;
    let mut bytes = vec![0; length];
    file.read_exact(&mut bytes).map_err(unreadable)?;
    let head = packed::head(&bytes).map_err(unusable)?;
    Ok((file, head, (OPENING + length) as u64))
}

#[cfg(test)]
mod tests;
