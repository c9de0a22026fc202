//! Imports charts: official cells through GDAL's programs, GeoJSON directly.
//!
//! The programs are run only here, when the crew adds a chart, never by the daemon.

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

/// The source of a chart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// An S-57 cell, with its updates beside it.
    S57(PathBuf),
    /// Files of GeoJSON that together make one cell.
    GeoJson {
        /// The cell's name.
        name: String,
        /// The files.
        files: Vec<PathBuf>,
    },
}

/// Facts that GeoJSON does not contain.
#[derive(Clone, Debug, Default)]
pub struct Said {
    /// The cell's name, if it is not that of the file or folder.
    pub name: Option<String>,
    /// The denominator of the scale.
    pub scale: Option<u32>,
    /// The level that depths are measured from.
    pub datum: Option<Datum>,
}

/// Why a chart cannot be added.
#[derive(Debug, thiserror::Error)]
pub enum ImportError {
    /// It cannot be read.
    #[error("cannot read `{}`: {error}", .path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// The reason.
        error: io::Error,
    },
    /// It is too large to be a cell.
    #[error("`{}` is larger than {} MB, which no cell is", .0.display(), LARGEST >> 20)]
    TooLarge(PathBuf),
    /// It is in neither of the usable formats.
    #[error("no chart in `{}`: give an S-57 cell (`.000`), a folder or exchange set with cells, or GeoJSON (`.geojson`, `.json`, `.gz` too)", .0.display())]
    Nothing(PathBuf),
    /// GDAL's programs are not installed.
    #[error(transparent)]
    Missing(#[from] Missing),
    /// A program failed.
    #[error("`{program}` failed on `{}`: {said}", .path.display())]
    Program {
        /// The program.
        program: &'static str,
        /// The file.
        path: PathBuf,
        /// The program's own message.
        said: String,
    },
    /// The contents cannot be used.
    #[error("`{}`: {error}", .path.display())]
    Parse {
        /// The file.
        path: PathBuf,
        /// The reason.
        error: ParseError,
    },
    /// It contains nothing that matters at anchor.
    #[error(transparent)]
    Cell(#[from] CellError),
}

/// Bytes of one file, unpacked. The largest cells have 5 MB; GeoJSON of one has about 40 MB.
const LARGEST: u64 = 512 << 20;
/// The depth of folders, and the number of files, of an exchange set.
const DEEPEST: u32 = 7;
const MOST_FILES: usize = 20_000;

/// The sources under a path: cells if there are any, otherwise GeoJSON.
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
    // A skipped file could be the one with the rocks: so an unreadable file is an error, and links
    // are followed.
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

/// Reads a source into a cell; problems with single objects are added to the faults.
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

/// `US4MD81M_M_COVR.geojson.gz` has its class at the end of the name.
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
