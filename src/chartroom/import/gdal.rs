//! Reads S-57 cells through GDAL's `ogrinfo` and `ogr2ogr`, which apply the updates that lie beside a
//! cell.

use std::io;
use std::path::Path;
use std::process::{Command, Output};

use super::{ImportError, LARGEST};
use crate::chart::class::Class;
use crate::chart::parse::Reading;

/// The programs are not installed.
#[derive(Debug, thiserror::Error)]
#[error(
    "`{0}` is needed to read S-57 cells and is not installed; install it with: sudo apt-get install gdal-bin"
)]
pub struct Missing(&'static str);

/// Each sounding separately with its depth, objects without their primitives, updates applied.
const OPTIONS: &str = "SPLIT_MULTIPOINT=ON,ADD_SOUNDG_DEPTH=ON,RETURN_PRIMITIVES=OFF,UPDATES=APPLY";

/// Reads the cell with all classes that matter.
pub(super) fn read(path: &Path) -> Result<Reading, ImportError> {
    let size = path
        .metadata()
        .map_err(|error| ImportError::Io {
            path: path.to_owned(),
            error,
        })?
        .len();
    if size > LARGEST {
        return Err(ImportError::TooLarge(path.to_owned()));
    }
    let name = path
        .file_stem()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned();
    let mut reading = Reading::of(&name);
    let layers = layers(path)?;
    // A class that the cell lacks is an error in ogr2ogr, so only existing classes are requested.
    for layer in layers {
        let class = Class::of(&layer);
        if layer != "DSID" && class.is_none() {
            continue;
        }
        let mut command = Command::new("ogr2ogr");
        command
            .args(["-f", "GeoJSONSeq", "/vsistdout/"])
            .arg(path)
            .arg(&layer);
        let output = run("ogr2ogr", command, path)?;
        let text = String::from_utf8_lossy(&output.stdout);
        reading
            .take(&text, class)
            .map_err(|error| ImportError::Parse {
                path: path.to_owned(),
                error,
            })?;
        for line in String::from_utf8_lossy(&output.stderr).lines() {
            // GDAL writes this for the layer without geometry.
            if !line.contains("No SRS set on layer") {
                reading.faults.count("ogr2ogr warns", line);
            }
        }
    }
    Ok(reading)
}

fn layers(path: &Path) -> Result<Vec<String>, ImportError> {
    let mut command = Command::new("ogrinfo");
    command.arg("-q").arg(path);
    let output = run("ogrinfo", command, path)?;
    // `21: DEPARE (Polygon)`
    Ok(String::from_utf8_lossy(&output.stdout)
        .lines()
        .filter_map(|line| line.split_once(": ")?.1.split_whitespace().next())
        .map(str::to_owned)
        .collect())
}

fn run(program: &'static str, mut command: Command, path: &Path) -> Result<Output, ImportError> {
    let output = command
        .env("OGR_S57_OPTIONS", OPTIONS)
        .output()
        .map_err(|error| match error.kind() {
            io::ErrorKind::NotFound => ImportError::Missing(Missing(program)),
            _ => ImportError::Program {
                program,
                path: path.to_owned(),
                said: error.to_string(),
            },
        })?;
    if output.status.success() {
        return Ok(output);
    }
    let said = String::from_utf8_lossy(&output.stderr);
    let said = said
        .lines()
        .filter(|line| !line.trim().is_empty())
        .take(3)
        .collect::<Vec<_>>()
        .join("; ");
    Err(ImportError::Program {
        program,
        path: path.to_owned(),
        said,
    })
}
