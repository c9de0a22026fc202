//! Copies lives of the daemon from the journal into one file.

use std::io::{self, Write};

use flate2::Compression;
use flate2::write::GzEncoder;

use super::shift::Shift;
use super::{Begin, Line, judged};
use crate::journal::{JournalError, Reader, Run};
use crate::time::Timestamp;

/// Counts of what a bundle holds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Bundled {
    /// Its first and its last input.
    pub span: Option<(Timestamp, Timestamp)>,
    /// Inputs of the engine.
    pub inputs: u64,
    /// Events that the watch reported.
    pub events: u64,
    /// Batches of the journal that cannot be read.
    pub damaged: u64,
}

/// Writes a packed bundle of these lives of the daemon to `out`. With `shifted`, all positions lie about another
/// origin and no vessel is named. `settings` are written unchanged: leave out everything that would give the
/// place away.
pub fn bundle(
    journal: &Reader,
    runs: &[Run],
    until: Timestamp,
    settings: Option<&str>,
    shifted: bool,
    out: impl Write,
) -> io::Result<Bundled> {
    let mut writer = Writer {
        out: GzEncoder::new(out, Compression::default()),
        shift: shifted.then(Shift::default),
    };
    let mut bundled = Bundled::default();
    for run in runs {
        let begin = Begin::of(run, settings.map(str::to_owned));
        writer.put(Line::Begin(Box::new(begin)))?;
        let mut first = None;
        for entry in journal.entries(run.id) {
            match entry {
                Ok(entry) if entry.now.utc > until => break,
                Ok(entry) => {
                    let time = entry.now.utc;
                    first.get_or_insert(time);
                    let span = bundled.span.get_or_insert((time, time));
                    span.1 = time;
                    bundled.inputs += 1;
                    writer.put(Line::Input(Box::new(entry)))?;
                }
                Err(JournalError::Damaged { .. }) => bundled.damaged += 1,
                Err(error) => return Err(io::Error::other(error)),
            }
        }
        // Events from before the oldest kept input cannot be judged again.
        for event in judged(journal, run, first.unwrap_or(run.started)) {
            match event {
                Ok(event) if event.time > until => {}
                Ok(event) => {
                    bundled.events += 1;
                    writer.put(Line::Judged(Box::new(event)))?;
                }
                Err(JournalError::Damaged { .. }) => bundled.damaged += 1,
                Err(error) => return Err(io::Error::other(error)),
            }
        }
    }
    writer.out.finish()?.flush()?;
    Ok(bundled)
}

struct Writer<W: Write> {
    out: GzEncoder<W>,
    shift: Option<Shift>,
}

impl<W: Write> Writer<W> {
    fn put(&mut self, line: Line) -> io::Result<()> {
        let line = match &mut self.shift {
            Some(shift) => shift.shifted(&line)?,
            None => Some(line),
        };
        if let Some(line) = line {
            self.out.write_all(&serde_json::to_vec(&line)?)?;
            self.out.write_all(b"\n")?;
        }
        Ok(())
    }
}
