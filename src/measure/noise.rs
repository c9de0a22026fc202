//! Real receivers' noise from files: `t,lat,lon,...` on each line, degrees on WGS 84, from a receiver that stood
//! still.
//!
//! The error is the position shown minus the middle of all positions shown. Recordings with a fix only every few
//! seconds are interpolated linearly to one error a second; a gap of more than five intervals counts as a time without
//! a fix. A recording whose error exceeds [`WORST`] in one fix of twenty is left out and named: under such a sky the
//! watch reports that the position is in doubt, and no figure in metres means much.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use crate::geodesy::{Offset, Plane, Position};
use crate::measure::tally::quantile;
use crate::rehearse::receiver::Recording;
use crate::time::Timestamp;

/// The recordings used, and the names of those left out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Noise {
    /// The recordings used.
    pub recordings: Vec<Arc<Recording>>,
    /// Names of those left out, with their error in metres.
    pub left_out: Vec<(String, f64)>,
}

/// Why no noise could be read.
#[derive(Debug, thiserror::Error)]
pub enum NoiseError {
    /// The file cannot be read.
    #[error("`{0}` cannot be read: {1}")]
    Read(String, std::io::Error),
    /// A line is not a fix.
    #[error(
        "`{file}`, line {line}: `{text}` is no time, latitude and longitude; write `2026-06-01T20:00:00Z,59.85,23.26`"
    )]
    Line {
        /// The file.
        file: String,
        /// The line number.
        line: usize,
        /// The line.
        text: String,
    },
    /// There is nothing usable.
    #[error(
        "`{0}` has no recording of {MOST_COMMON} fixes or more within {WORST} m; give a `.csv` file or a folder of them"
    )]
    Nothing(String),
}

/// Reads a file, or every `.csv` of a folder, in order of their names.
pub fn read(path: &Path) -> Result<Noise, NoiseError> {
    let told = |error| NoiseError::Read(path.display().to_string(), error);
    let mut files = vec![path.to_owned()];
    if path.is_dir() {
        files = fs::read_dir(path)
            .and_then(|entries| {
                entries
                    .map(|entry| Ok(entry?.path()))
                    .collect::<Result<_, _>>()
            })
            .map_err(told)?;
        files.retain(|file| file.extension().is_some_and(|extension| extension == "csv"));
        files.sort();
    }
    let mut noise = Noise::default();
    for file in files {
        let text = fs::read_to_string(&file)
            .map_err(|error| NoiseError::Read(file.display().to_string(), error))?;
        let name = file.file_stem().unwrap_or_default().to_string_lossy();
        let fixes = parse(&file.display().to_string(), &text)?;
        if fixes.len() < MOST_COMMON {
            continue;
        }
        let (recording, off) = recording(name.as_ref(), &fixes);
        if off <= WORST {
            noise.recordings.push(Arc::new(recording));
        } else {
            noise.left_out.push((name.into_owned(), off));
        }
    }
    if noise.recordings.is_empty() {
        return Err(NoiseError::Nothing(path.display().to_string()));
    }
    Ok(noise)
}

fn parse(file: &str, text: &str) -> Result<Vec<(i64, Position)>, NoiseError> {
    let lines = text.lines().enumerate().skip(1);
    lines
        .filter(|(_, line)| !line.trim().is_empty())
        .map(|(number, line)| {
            let mut cells = line.split(',');
            let mut next = || cells.next().map(str::trim);
            let fix = (|| {
                let at: Timestamp = next()?.parse().ok()?;
                let (latitude, longitude) = (next()?.parse().ok()?, next()?.parse().ok()?);
                Some((at.as_millis(), Position::new(latitude, longitude).ok()?))
            })();
            fix.ok_or_else(|| NoiseError::Line {
                file: file.to_owned(),
                line: number + 1,
                text: line.chars().take(60).collect(),
            })
        })
        .collect()
}

/// The errors, one a second, and the error that 95 % of the fixes stay within.
fn recording(name: &str, fixes: &[(i64, Position)]) -> (Recording, f64) {
    let plane = fixes.first().map(|(_, position)| Plane::at(*position));
    let places: Vec<(i64, Offset)> = fixes
        .iter()
        .filter_map(|(at, position)| Some((*at, plane.as_ref()?.offset(*position))))
        .collect();
    let middle = |coordinate: fn(&Offset) -> f64| {
        share(places.iter().map(|(_, place)| coordinate(place)), 0.5)
    };
    let middle = Offset {
        east: middle(|place| place.east),
        north: middle(|place| place.north),
    };
    let steps = places
        .windows(2)
        .map(|pair| (pair[1].0 - pair[0].0) as f64 / 1000.0);
    let gap = 5.0 * share(steps, 0.5).max(1.0);
    let mut errors = Vec::new();
    for pair in places.windows(2) {
        let seconds = (pair[1].0 - pair[0].0) as f64 / 1000.0;
        let mut at = 0.0;
        // Times that stand still or go back are skipped.
        while at < seconds.min(LONGEST_GAP) {
            let there = pair[0].1 + (pair[1].1 - pair[0].1) * (at / seconds);
            errors.push((seconds <= gap).then_some(there - middle));
            at += 1.0;
        }
    }
    let off = share(
        errors.iter().flatten().map(|error| error.length().get()),
        0.95,
    );
    let recording = Recording {
        name: name.to_owned(),
        errors,
    };
    (recording, off)
}

fn share(values: impl Iterator<Item = f64>, share: f64) -> f64 {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    quantile(&sorted, share)
}

/// Fewer fixes than this do not make a night.
const MOST_COMMON: usize = 300;
/// Metres.
const WORST: f64 = 15.0;
/// A longer recording is cut to this many seconds.
const LONGEST_GAP: f64 = 120.0;

#[cfg(test)]
mod tests {
    use super::*;

    fn text(count: i64, every: i64) -> String {
        let lines = (0..count).map(|n| {
            let at = Timestamp::from_millis(1_780_000_000_000 + 1000 * n * every);
            let off = if n % 2 == 0 { 1.0 } else { -1.0 };
            format!("{at},{:.8},23.26,1.0,9\n", 59.85 + off / 111_412.0)
        });
        format!("t,lat,lon,hdop,sats\n{}", lines.collect::<String>())
    }

    #[test]
    fn errors_are_metres_from_the_middle_a_second_each() {
        let fixes = parse("x.csv", &text(400, 30)).unwrap();
        let (recording, off) = recording("x", &fixes);
        assert_eq!(recording.errors.len(), 399 * 30);
        // To and fro by two metres, about either end of it.
        assert!((off - 2.0).abs() < 0.15, "{off}");
        let step = recording.errors.windows(2).map(|pair| {
            let (a, b) = (pair[0].unwrap(), pair[1].unwrap());
            (b - a).length().get()
        });
        assert!(step.fold(0.0, f64::max) < 0.08);
    }

    #[test]
    fn a_gap_is_a_time_without_a_fix_and_a_bad_line_is_named() {
        let mut fixes = parse("x.csv", &text(400, 1)).unwrap();
        for (at, _) in fixes.iter_mut().skip(200) {
            *at += 40_000;
        }
        let (recording, _) = recording("x", &fixes);
        let none = recording.errors.iter().filter(|e| e.is_none()).count();
        assert_eq!(none, 41);
        let error = parse("x.csv", "t,lat,lon\nnow,1,2\n").unwrap_err();
        assert!(
            error.to_string().contains("`x.csv`, line 2: `now,1,2`"),
            "{error}"
        );
    }
}
