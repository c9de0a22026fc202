//! `windrode status --picture FILE`: the picture, drawn here from the daemon's data.

use std::fmt;
use std::fs;
use std::io::{self, Read, Write};
use std::path::PathBuf;
use std::str::FromStr;

use super::out::{Failure, code};
use crate::plot::{self, PictureInput};

/// A file to draw into, and the format by its ending.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct PictureFile {
    path: PathBuf,
    kind: Kind,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Svg,
    Png,
}

/// The ending is neither of them.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` ends neither in `.svg` nor in `.png`; end it in what the picture is to be")]
pub(super) struct UnknownEnding(String);

impl FromStr for PictureFile {
    type Err = UnknownEnding;
    fn from_str(text: &str) -> Result<Self, UnknownEnding> {
        let path = PathBuf::from(text);
        let ending = path
            .extension()
            .map(|ending| ending.to_ascii_lowercase().to_string_lossy().into_owned());
        let kind = match ending.as_deref() {
            Some("svg") => Kind::Svg,
            Some("png") => Kind::Png,
            _ => return Err(UnknownEnding(text.to_owned())),
        };
        Ok(Self { path, kind })
    }
}

impl fmt::Display for PictureFile {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.path.display().fmt(f)
    }
}

impl PictureFile {
    /// Draws the picture and writes it.
    pub(super) fn write(&self, input: &PictureInput) -> Result<(), Failure> {
        let bytes = match self.kind {
            Kind::Svg => plot::svg(input).into_bytes(),
            Kind::Png => plot::png(input).map_err(|error| Failure::new(code::SOFTWARE, error))?,
        };
        fs::write(&self.path, bytes).map_err(|error| Failure::unwritten(&self.path, &error))
    }
}

/// Draws one picture for the daemon: its data comes on standard input, the PNG goes to standard output.
pub(super) fn draw() -> Result<(), Failure> {
    // Linux: when memory runs out, this process ends before the watch, whose low score it has inherited. Raising the
    // score needs no privilege (proc_pid_oom_score_adj(5)); where it fails, the picture is drawn all the same.
    #[cfg(target_os = "linux")]
    let _ = fs::write("/proc/self/oom_score_adj", FIRST_TO_END);
    let mut data = String::new();
    io::stdin()
        .lock()
        .take(MOST_DATA)
        .read_to_string(&mut data)
        .map_err(|error| Failure::new(code::IO, format!("no data to draw: {error}")))?;
    let input = serde_json::from_str(&data)
        .map_err(|error| Failure::new(code::DATA, format!("not a picture's data: {error}")))?;
    let png = plot::png(&input).map_err(|error| Failure::new(code::SOFTWARE, error))?;
    let mut out = io::stdout().lock();
    out.write_all(&png)?;
    Ok(out.flush()?)
}

/// Of the scale from -1000 (never) to 1000 (first).
#[cfg(target_os = "linux")]
const FIRST_TO_END: &str = "500";
/// Twenty times a picture with a full track and charts.
const MOST_DATA: u64 = 16 * 1024 * 1024;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ending_says_what_it_is_to_be() {
        let kind = |text: &str| text.parse::<PictureFile>().map(|file| file.kind);
        assert_eq!(kind("/srv/tern.svg"), Ok(Kind::Svg));
        assert_eq!(kind("tern.PNG"), Ok(Kind::Png));
        assert_eq!(
            kind("tern.jpg").unwrap_err().to_string(),
            "`tern.jpg` ends neither in `.svg` nor in `.png`; end it in what the picture is to be"
        );
    }
}
