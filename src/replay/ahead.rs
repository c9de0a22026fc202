//! Reads and parses the recording's lines ahead of the watch, on a thread of its own.
//!
//! Parsing a line takes about as long as judging it and needs nothing from the watch, so one core
//! reads while another judges. The steps keep the order of the lines: the output does not depend on
//! the timing of the two threads.
//!
//! Bounds: a limited number of steps and bytes for each batch (one line may go beyond them, and the
//! wire's bounds limit that line), and at most [`AHEAD`](super::AHEAD) batches. The reader hands on what
//! it has before it waits for more, so a recording that is still being written is reported as it grows.

use std::io::{self, BufRead, BufReader, Read};
use std::sync::mpsc::SyncSender;

use super::{ReplayOptions, recorded_settings};
use crate::observation::Report;
use crate::recording::{Begin, Line};
use crate::signalk::put::{self, PutRefusal};
use crate::signalk::reader::Reader;
use crate::signalk::shortened;
use crate::signalk::wire::{self, Delta, Incoming, Put};
use crate::time::Timestamp;
use crate::watch::messages::Command;

/// The content of some lines, in order.
#[derive(Default)]
pub(super) struct Batch {
    pub(super) steps: Vec<Step>,
    /// The facts of all steps, one after the other.
    pub(super) reports: Vec<Report>,
}

/// The content of a line, with its number.
pub(super) struct Step {
    pub(super) line: u64,
    pub(super) what: What,
}

pub(super) enum What {
    /// Values that share a stamp, and the number of their reports.
    Delta {
        stamp: Option<Timestamp>,
        reports: usize,
    },
    Command(Command),
    /// A line of a recording that is not a message.
    Ours(Line),
    Bad(String),
}

/// Reads to the end, or until the receiver is gone; returns the number of lines.
pub(super) fn read_ahead(
    input: impl Read,
    options: &ReplayOptions,
    batches: &SyncSender<Batch>,
) -> io::Result<u64> {
    let mut lines = Lines {
        input: BufReader::with_capacity(BUFFER, input),
        number: 0,
        long: Vec::new(),
        cut_off: false,
        meaning: Meaning::new(options),
    };
    while let Some(batch) = lines.batch()? {
        if batches.send(batch).is_err() {
            break;
        }
    }
    Ok(lines.number)
}

struct Lines<R> {
    input: BufReader<R>,
    number: u64,
    /// A line that exceeds the buffer.
    long: Vec<u8>,
    /// Whether a packed recording ends in the middle and this has been reported.
    cut_off: bool,
    meaning: Meaning,
}

impl<R: Read> Lines<R> {
    /// The next lines with any content; `None` at the end.
    fn batch(&mut self) -> io::Result<Option<Batch>> {
        let mut batch = Batch::default();
        let mut bytes = 0;
        while batch.steps.len() < MOST_STEPS && bytes < MOST_BYTES {
            let buffer = self.input.buffer();
            if let Some((line, _)) =
                memchr::memchr(b'\n', buffer).and_then(|end| buffer.split_at_checked(end))
            {
                self.number += 1;
                self.meaning.line(self.number, line, &mut batch);
                let length = line.len() + 1;
                bytes += length;
                self.input.consume(length);
            } else if !batch.steps.is_empty() {
                break;
            } else if !self.beyond_buffer(&mut batch)? {
                return Ok(None);
            }
        }
        Ok(Some(batch))
    }

    /// Reads a line that the buffer holds only in part; false at the end.
    fn beyond_buffer(&mut self, batch: &mut Batch) -> io::Result<bool> {
        self.long.clear();
        let mut limited = self.input.by_ref().take(LONGEST_LINE);
        match limited.read_until(b'\n', &mut self.long) {
            Ok(0) => return Ok(false),
            Ok(_) => {}
            // The power failed while it was written, or it is still being written.
            Err(error) if error.kind() == io::ErrorKind::UnexpectedEof && !self.cut_off => {
                self.cut_off = true;
                self.number += 1;
                batch.bad(self.number, "the recording is cut off here");
                return Ok(true);
            }
            Err(error) if error.kind() == io::ErrorKind::UnexpectedEof => return Ok(false),
            Err(error) => return Err(error),
        }
        self.number += 1;
        if !self.long.ends_with(b"\n") && self.long.len() as u64 == LONGEST_LINE {
            self.input.skip_until(b'\n')?;
            batch.bad(self.number, "it is longer than any frame of the stream");
        } else {
            let line = self.long.strip_suffix(b"\n").unwrap_or(&self.long);
            self.meaning.line(self.number, line, batch);
        }
        Ok(true)
    }
}

impl Batch {
    fn step(&mut self, line: u64, what: What) {
        self.steps.push(Step { line, what });
    }

    fn bad(&mut self, line: u64, why: &str) {
        self.step(line, What::Bad(why.to_owned()));
    }
}

/// What the recording has shown so far.
struct Meaning {
    options: ReplayOptions,
    reader: Reader,
    /// Whether the caller named our own vessel.
    named: bool,
    own_known: bool,
}

impl Meaning {
    fn new(options: &ReplayOptions) -> Self {
        let mut reader = Reader::new(None).with_paths(options.own_paths.clone());
        if let Some(own) = &options.own {
            reader.set_self(own);
        }
        Self {
            options: options.clone(),
            reader,
            named: options.own.is_some(),
            own_known: options.own.is_some(),
        }
    }

    fn line(&mut self, number: u64, line: &[u8], batch: &mut Batch) {
        let text = match std::str::from_utf8(line) {
            Ok(text) => text.trim(),
            Err(error) => return batch.bad(number, &error.to_string()),
        };
        if text.is_empty() {
            return;
        }
        match Line::read(text) {
            Some(Ok(line)) => {
                if let Line::Begin(begin) = &line {
                    self.begin(begin);
                }
                return batch.step(number, What::Ours(line));
            }
            Some(Err(error)) => return batch.bad(number, &error.to_string()),
            None => {}
        }
        match wire::parse(text, |path| self.reader.wants(path)) {
            Ok(Incoming::Delta(delta)) => self.delta(number, &delta, batch),
            Ok(Incoming::Put(put)) => self.put(number, &put, batch),
            Ok(Incoming::Hello(hello)) => {
                if !self.named {
                    self.reader.set_self(&hello.self_context);
                    self.own_known = true;
                }
            }
            Ok(Incoming::Reply(_)) => {}
            Ok(Incoming::ErrorText(_) | Incoming::Unknown) => {
                batch.bad(number, "it is neither a delta nor a PUT message");
            }
            Err(error) => batch.bad(number, &error.to_string()),
        }
    }

    /// Another recording begins: our own vessel and the paths are read again.
    fn begin(&mut self, begin: &Begin) {
        let mut options = self.options.clone();
        if let Some(Ok(config)) = recorded_settings(&options, begin) {
            options.own_paths = config.own_paths();
        }
        *self = Self {
            options: self.options.clone(),
            ..Self::new(&options)
        };
    }

    fn delta(&mut self, number: u64, delta: &Delta<'_>, batch: &mut Batch) {
        let stamp = delta
            .updates
            .iter()
            .find_map(|update| self.reader.stamp(update.timestamp.as_deref()?));
        self.adopt(delta);
        let before = batch.reports.len();
        self.reader.read(delta, &mut batch.reports);
        let reports = batch.reports.len() - before;
        batch.step(number, What::Delta { stamp, reports });
    }

    /// Finds our own vessel in a recording that does not name her.
    fn adopt(&mut self, delta: &Delta<'_>) {
        if self.own_known {
            return;
        }
        let mut values = delta.updates.iter().flat_map(|update| &update.values);
        if self.reader.is_own(delta.context.as_deref()) {
            self.own_known = true;
        } else if values.any(|value| OWN_INSTRUMENTS.iter().any(|p| value.path.starts_with(p)))
            && let Some(context) = &delta.context
        {
            self.reader.set_self(context);
            self.own_known = true;
        }
    }

    fn put(&self, number: u64, request: &Put, batch: &mut Batch) {
        if !self.reader.is_own(request.context.as_deref()) {
            if !request.entries.is_empty() {
                let context = request.context.as_deref().unwrap_or_default();
                let refusal = PutRefusal::Context(shortened(context, CONTEXT_CHARS));
                batch.bad(number, &refusal.to_string());
            }
            return;
        }
        for entry in &request.entries {
            match put::parse_put(&entry.path, &entry.value) {
                Ok(command) => batch.step(number, What::Command(command)),
                Err(refusal) => batch.bad(number, &refusal.to_string()),
            }
        }
    }
}

/// Paths that a transponder does not send: instruments, and the place of her own antenna, which a
/// recording gives once at the very start (that of another vessel is under `sensors.ais`).
const OWN_INSTRUMENTS: [&str; 4] = [
    "sensors.gps.",
    "environment.wind.",
    "environment.depth.",
    "navigation.headingMagnetic",
];
const BUFFER: usize = 1 << 18;
/// Most characters of another vessel's name in an error message.
const CONTEXT_CHARS: usize = 120;
const LONGEST_LINE: u64 = 1 << 20;
/// Size of a batch: large enough that handing it on costs little, small enough to stay in the
/// cores' caches.
const MOST_STEPS: usize = 256;
const MOST_BYTES: usize = 1 << 18;
