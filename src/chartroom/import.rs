//! Charts from elsewhere: official cells by way of GDAL's programs, GeoJSON as it is.
//!
//! The programs are run here and nowhere else: when the crew adds a chart, never by the daemon.

mod gdal;

use std::fs;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

use flate2::read::MultiGzDecoder;

use crate::chart::cell::{Cell, CellError};
use crate::chart::class::Class;
use crate::chart::codes::Datum;
use crate::chart::faults::Faults;
use crate::chart::parse::{ParseError, Reading};

pub use gdal::Missing;

/// What a chart can be made from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// An S-57 cell, its updates beside it.
    S57(PathBuf),
    /// Files of GeoJSON that make one cell together.
    GeoJson {
        /// The cell's name.
        name: String,
        /// The files.
        files: Vec<PathBuf>,
    },
}

/// What GeoJSON does not say of itself.
#[derive(Clone, Debug, Default)]
pub struct Said {
    /// The cell's name, if not that of the file or folder.
    pub name: Option<String>,
    /// The denominator of the scale.
    pub scale: Option<u32>,
    /// The level that depths are measured from.
    pub datum: Option<Datum>,
}

/// Why a chart cannot be added.
#[derive(Debug, thiserror::Error)]
pub enum ImportError {
    /// Cannot be read.
    #[error("cannot read `{}`: {error}", .path.display())]
    Io {
        /// Which.
        path: PathBuf,
        /// Why.
        error: io::Error,
    },
    /// Too large to be a cell.
    #[error("`{}` is larger than {} MB, which no cell is", .0.display(), LARGEST >> 20)]
    TooLarge(PathBuf),
    /// Neither of what can be used.
    #[error("no chart in `{}`: give an S-57 cell (`.000`), a folder or exchange set with cells, or GeoJSON (`.geojson`, `.json`, `.gz` too)", .0.display())]
    Nothing(PathBuf),
    /// GDAL's programs are not there.
    #[error(transparent)]
    Missing(#[from] Missing),
    /// They failed.
    #[error("`{program}` failed on `{}`: {said}", .path.display())]
    Program {
        /// Which program.
        program: &'static str,
        /// On which file.
        path: PathBuf,
        /// Its own words.
        said: String,
    },
    /// The contents cannot be used.
    #[error("`{}`: {error}", .path.display())]
    Parse {
        /// Which.
        path: PathBuf,
        /// Why.
        error: ParseError,
    },
    /// Nothing in it that matters.
    #[error(transparent)]
    Cell(#[from] CellError),
}

/// Bytes of one file, packed out. The largest cells have 5 MB; GeoJSON of one some 40 MB.
const LARGEST: u64 = 512 << 20;
/// Folders within folders, and files, of an exchange set.
const DEEPEST: u32 = 7;
const MOST_FILES: usize = 20_000;

/// What there is under a path: cells first of all; GeoJSON where there is no cell.
pub fn sources(path: &Path, said: &Said) -> Result<Vec<Source>, ImportError> {
    let mut files = Vec::new();
    collect(path, DEEPEST, &mut files)?;
    files.sort();
    let cells: Vec<Source> = files
        .iter()
        .filter(|file| ends(file, ".000"))
        .cloned()
        .map(Source::S57)
        .collect();
    if !cells.is_empty() {
        return Ok(cells);
    }
    files.retain(|file| {
        [".geojson", ".json", ".geojson.gz", ".json.gz"]
            .iter()
            .any(|ending| ends(file, ending))
    });
    if files.is_empty() {
        return Err(ImportError::Nothing(path.to_owned()));
    }
    let own = path
        .file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default();
    let own = own.split('.').next().unwrap_or_default().to_owned();
    Ok(vec![Source::GeoJson {
        name: said.name.clone().unwrap_or(own),
        files,
    }])
}

fn ends(file: &Path, ending: &str) -> bool {
    file.to_string_lossy()
        .to_ascii_lowercase()
        .ends_with(ending)
}

fn collect(path: &Path, depth: u32, files: &mut Vec<PathBuf>) -> Result<(), ImportError> {
    let failed = |error| ImportError::Io {
        path: path.to_owned(),
        error,
    };
    // What is passed over could be the file of the rocks: an error, links are followed.
    let kind = fs::metadata(path).map_err(failed)?;
    if kind.is_file() {
        if files.len() >= MOST_FILES {
            let many = format!("more than {MOST_FILES} files; give their folders one by one");
            return Err(failed(io::Error::other(many)));
        }
        files.push(path.to_owned());
    } else if kind.is_dir() {
        let deeper = depth.checked_sub(1).ok_or_else(|| {
            failed(io::Error::other(
                "too many folders within folders; give an inner one",
            ))
        })?;
        for entry in fs::read_dir(path).map_err(failed)? {
            collect(&entry.map_err(failed)?.path(), deeper, files)?;
        }
    }
    Ok(())
}

/// Reads a source into a cell; what was wrong with single objects is in the faults.
pub fn read(source: &Source, said: &Said) -> Result<(Cell, Faults), ImportError> {
    let mut reading = match source {
        Source::S57(path) => gdal::read(path)?,
        Source::GeoJson { name, files } => {
            let mut reading = Reading::of(name);
            for path in files {
                let text = text(path)?;
                reading
                    .take(&text, class_of(path))
                    .map_err(|error| ImportError::Parse {
                        path: path.clone(),
                        error,
                    })?;
            }
            reading.about.scale = said.scale.or(reading.about.scale);
            reading.about.datum = said.datum.or(reading.about.datum);
            reading
        }
    };
    let mut faults = std::mem::take(&mut reading.faults);
    let cell = Cell::of(reading, &mut faults)?;
    Ok((cell, faults))
}

/// `US4MD81M_M_COVR.geojson.gz` names its class at the end.
fn class_of(path: &Path) -> Option<Class> {
    let name = path.file_name()?.to_str()?;
    let stem = name.split('.').next()?;
    Class::ALL
        .iter()
        .copied()
        .find(|class| stem == class.acronym() || stem.ends_with(&format!("_{}", class.acronym())))
}

fn text(path: &Path) -> Result<String, ImportError> {
    let failed = |error| ImportError::Io {
        path: path.to_owned(),
        error,
    };
    let file = fs::File::open(path).map_err(failed)?;
    let mut text = String::new();
    let read = if ends(path, ".gz") {
        MultiGzDecoder::new(file)
            .take(LARGEST)
            .read_to_string(&mut text)
    } else {
        file.take(LARGEST).read_to_string(&mut text)
    };
    match read.map_err(failed)? as u64 {
        LARGEST.. => Err(ImportError::TooLarge(path.to_owned())),
        _ => Ok(text),
    }
}
