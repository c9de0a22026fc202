//! Writes what the watch reads to disk while it runs.
//!
//! The watch's loop never waits for this: it hands over a bundle of lines every few seconds. If the
//! writing thread is behind, the bundle is dropped and counted. Lost lines of a recording matter less
//! than a late alarm. A power cut costs the last minute.
//!
//! Disk use is limited to [`RECORDING_BYTES`]: a recording consists of parts, and the oldest are removed
//! when the total is too large. A failing disk is tried again after [`RETRY`]; the log reports the failure
//! once.

use std::collections::BTreeMap;
use std::fs::{self, File, OpenOptions};
use std::io::{self, BufWriter, Write};
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, TrySendError, sync_channel};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use flate2::Compression;
use flate2::write::GzEncoder;
use tracing::{info, warn};

use super::{Begin, Line};
use crate::signalk::reader::Reader;
use crate::signalk::wire::{self, Incoming, MAX_FRAME_BYTES};
use crate::time::{Now, Tick};

/// A recording being written. Dropping it writes what is still in memory.
#[derive(Debug)]
pub struct Recorder {
    /// `None` only during drop.
    sender: Option<SyncSender<(Tick, Vec<Told>)>>,
    thread: Option<JoinHandle<()>>,
    held: Vec<Told>,
    bytes: usize,
    handed: Option<Tick>,
    wants_part: Arc<AtomicBool>,
    patient: bool,
    /// Lines dropped since the last accepted bundle.
    lost: u64,
    /// The log last had that lines are left out.
    warned: Option<Tick>,
}

#[derive(Debug)]
enum Told {
    Begin(Box<Begin>),
    Message(Now, String),
    Line(Box<Line>),
}

impl Recorder {
    /// Records into `folder`, which is created if it is missing. Keeps those of the server's messages
    /// that `reader` would read. Fails if no writing thread can be started.
    ///
    /// With `patient` nothing is dropped and the caller waits for the disk: for a stepped clock.
    pub fn start(folder: PathBuf, reader: Reader, patient: bool) -> io::Result<Self> {
        let (sender, told) = sync_channel(AHEAD);
        let wants_part = Arc::new(AtomicBool::new(true));
        let parts = Parts {
            folder,
            reader,
            part: None,
            once: BTreeMap::new(),
            wanted: wants_part.clone(),
            refused: None,
        };
        let thread = thread::Builder::new()
            .name("recorder".to_owned())
            .spawn(move || parts.write(&told))?;
        Ok(Self {
            sender: Some(sender),
            thread: Some(thread),
            held: Vec::new(),
            bytes: 0,
            handed: None,
            wants_part,
            patient,
            lost: 0,
            warned: None,
        })
    }

    /// Whether a new part must begin. If so, call [`begin`](Self::begin) before anything else.
    #[must_use]
    pub fn wants_part(&self) -> bool {
        self.wants_part.load(Ordering::Relaxed)
    }

    /// Begins a part.
    pub fn begin(&mut self, begin: Begin) {
        self.wants_part.store(false, Ordering::Relaxed);
        self.held.push(Told::Begin(Box::new(begin)));
    }

    /// Records a message of the server.
    pub fn message(&mut self, now: Now, text: &str) {
        if text.len() > MAX_FRAME_BYTES {
            // The watch does not read it either.
            return;
        }
        self.bytes += text.len();
        self.held.push(Told::Message(now, text.to_owned()));
        self.hand_over(now.tick);
    }

    /// Records another input, or what the watch reported.
    pub fn line(&mut self, now: Tick, line: Line) {
        self.bytes += SOME_LINE;
        self.held.push(Told::Line(Box::new(line)));
        self.hand_over(now);
    }

    fn hand_over(&mut self, now: Tick) {
        let since = *self.handed.get_or_insert(now);
        if self.bytes < HELD_BYTES && now.since(since) < HELD_FOR {
            return;
        }
        self.handed = Some(now);
        self.bytes = 0;
        let mut told = std::mem::take(&mut self.held);
        let lines = told.len() as u64;
        if self.lost > 0 {
            told.insert(0, Told::Line(Box::new(Line::Lost(self.lost))));
        }
        let Some(sender) = &self.sender else { return };
        if self.patient {
            // Without a thread there is nothing to wait for.
            let _ = sender.send((now, told));
            return;
        }
        match sender.try_send((now, told)) {
            Ok(()) => self.lost = 0,
            Err(TrySendError::Full((_, told)) | TrySendError::Disconnected((_, told))) => {
                if self.warned.is_none_or(|at| now.since(at) >= RETRY) {
                    self.warned = Some(now);
                    warn!("the disk is too slow for the recording: lines are left out of it");
                }
                self.lost += lines;
                // A part that lost its first line could not be replayed.
                if told.iter().any(|told| matches!(told, Told::Begin(_))) {
                    self.wants_part.store(true, Ordering::Relaxed);
                }
            }
        }
    }
}

impl Drop for Recorder {
    fn drop(&mut self) {
        if let Some(sender) = self.sender.take() {
            let now = self.handed.unwrap_or(Tick::START);
            let last = (now, std::mem::take(&mut self.held));
            let _ = if self.patient {
                sender.send(last).is_ok()
            } else {
                sender.try_send(last).is_ok()
            };
        }
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

/// The thread's side: the parts on disk.
struct Parts {
    folder: PathBuf,
    /// Decides what the watch reads.
    reader: Reader,
    part: Option<Part>,
    /// What the server sends once for each connection, by topic: each part begins with it.
    once: BTreeMap<String, String>,
    wanted: Arc<AtomicBool>,
    /// When the disk last failed.
    refused: Option<Tick>,
}

struct Part {
    packed: GzEncoder<BufWriter<Counted>>,
    flushed: Tick,
}

/// A file that counts the bytes written to it.
struct Counted {
    file: File,
    bytes: u64,
}

impl Write for Counted {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.file.write(bytes)?;
        self.bytes += written as u64;
        Ok(written)
    }
    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

impl Parts {
    fn write(mut self, told: &Receiver<(Tick, Vec<Told>)>) {
        while let Ok((now, lines)) = told.recv() {
            if let Err(error) = self.all(now, lines) {
                self.part = None;
                if error.kind() == io::ErrorKind::StorageFull {
                    // The journal needs the room more.
                    let _ = make_room(&self.folder, LEFT_WHEN_FULL);
                }
                if self.refused.is_none() {
                    warn!("the recording cannot be written: {error}");
                }
                self.refused = Some(now);
            }
            if self.part.is_none() && self.refused.is_some_and(|since| now.since(since) >= RETRY) {
                self.wanted.store(true, Ordering::Relaxed);
            }
        }
        let _ = self.end();
    }

    fn all(&mut self, now: Tick, lines: Vec<Told>) -> io::Result<()> {
        for told in lines {
            match told {
                Told::Begin(begin) => {
                    self.end()?;
                    self.part = Some(self.open(now, &begin)?);
                    self.put(&serde_json::to_vec(&Line::Begin(begin))?)?;
                    for line in self.once.clone().into_values() {
                        self.put(line.as_bytes())?;
                    }
                }
                Told::Message(now, text) => {
                    // A message must be one line, whatever it contains.
                    let line = text.trim().replace(['\n', '\r'], " ");
                    if self.is_read(&line) {
                        self.put(&serde_json::to_vec(&Line::At(now))?)?;
                        self.put(line.as_bytes())?;
                    }
                }
                Told::Line(line) => self.put(&serde_json::to_vec(&line)?)?,
            }
        }
        let Some(part) = &mut self.part else {
            return Ok(());
        };
        if now.since(part.flushed) >= FLUSH {
            part.flushed = now;
            part.packed.flush()?;
            if self.refused.take().is_some() {
                info!("the recording is written again");
            }
        }
        if part.packed.get_ref().get_ref().bytes >= PART_BYTES {
            self.wanted.store(true, Ordering::Relaxed);
        }
        Ok(())
    }

    /// Whether the watch reads anything in this message. Keeps what is sent once.
    fn is_read(&mut self, text: &str) -> bool {
        let once = match wire::parse(text, |path| self.reader.wants(path)) {
            Ok(Incoming::Put(_)) => return true,
            Ok(Incoming::Hello(hello)) => {
                self.reader.set_self(&hello.self_context);
                Some((String::new(), text.to_owned()))
            }
            Ok(Incoming::Delta(delta)) => {
                let mut paths = delta
                    .updates
                    .iter()
                    .flat_map(|it| &it.values)
                    .map(|it| &it.path);
                let Some(first) = paths.next() else {
                    return false;
                };
                let is_once = self.reader.is_own(delta.context.as_deref())
                    && ONCE.iter().any(|start| first.starts_with(start));
                is_once
                    .then(|| unstamped(text).map(|text| (first.to_string(), text)))
                    .flatten()
            }
            _ => return false,
        };
        if let Some((about, line)) = once
            && (self.once.len() < MOST_ONCE || self.once.contains_key(&about))
        {
            self.once.insert(about, line);
        }
        true
    }

    fn put(&mut self, line: &[u8]) -> io::Result<()> {
        let Some(part) = &mut self.part else {
            return Ok(());
        };
        part.packed.write_all(line)?;
        part.packed.write_all(b"\n")
    }

    fn end(&mut self) -> io::Result<()> {
        let Some(part) = self.part.take() else {
            return Ok(());
        };
        part.packed.finish()?.flush()
    }

    fn open(&self, now: Tick, begin: &Begin) -> io::Result<Part> {
        fs::create_dir_all(&self.folder)?;
        make_room(&self.folder, RECORDING_BYTES - PART_BYTES)?;
        let file = new_file(&self.folder, &stem(begin))?;
        let counted = Counted { file, bytes: 0 };
        Ok(Part {
            packed: GzEncoder::new(BufWriter::new(counted), Compression::default()),
            flushed: now,
        })
    }
}

/// `20260601T200000Z`: sorted by name is sorted by time.
fn stem(begin: &Begin) -> String {
    let time = begin.time.to_string();
    let time = time.split('.').next().unwrap_or_default();
    let digits: String = time.chars().filter(|c| !matches!(c, ':' | '-')).collect();
    format!("{}Z", digits.trim_end_matches('Z'))
}

/// A delta without its stamps: it takes the time of the part that holds it.
fn unstamped(text: &str) -> Option<String> {
    let mut delta: serde_json::Value = serde_json::from_str(text).ok()?;
    for update in delta.get_mut("updates")?.as_array_mut()? {
        update.as_object_mut()?.remove("timestamp");
    }
    Some(delta.to_string())
}

fn new_file(folder: &Path, stem: &str) -> io::Result<File> {
    let mut last = io::Error::from(io::ErrorKind::AlreadyExists);
    for number in 0..MOST_ALIKE {
        let name = match number {
            0 => format!("{stem}{SUFFIX}"),
            _ => format!("{stem}-{number}{SUFFIX}"),
        };
        let opened = OpenOptions::new()
            .write(true)
            .create_new(true)
            .mode(0o640)
            .open(folder.join(name));
        match opened {
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => last = error,
            opened => return opened,
        }
    }
    Err(last)
}

/// Removes the oldest parts until the rest take at most `bytes`.
fn make_room(folder: &Path, bytes: u64) -> io::Result<()> {
    let mut parts = Vec::new();
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let is_ours = entry
            .file_name()
            .to_str()
            .is_some_and(|n| n.ends_with(SUFFIX));
        if is_ours && entry.file_type()?.is_file() {
            parts.push((entry.file_name(), entry.metadata()?.len()));
        }
    }
    parts.sort_unstable();
    let mut total: u64 = parts.iter().map(|(_, size)| size).sum();
    let count = parts.len();
    for (index, (name, size)) in parts.into_iter().enumerate() {
        if total <= bytes && count - index <= MOST_PARTS {
            break;
        }
        fs::remove_file(folder.join(name))?;
        total -= size;
    }
    Ok(())
}

/// All recordings of the daemon together take at most this much on disk.
pub const RECORDING_BYTES: u64 = 256 << 20;
/// A part ends when it has grown to this size.
const PART_BYTES: u64 = 16 << 20;
/// Paths that the server sends once for each connection.
const ONCE: [&str; 2] = ["design.", "sensors."];
const MOST_ONCE: usize = 64;
/// A disk that refuses leaves parts without anything in them.
const MOST_PARTS: usize = 200;
/// A full disk gets back all room but this.
const LEFT_WHEN_FULL: u64 = 32 << 20;
const SUFFIX: &str = ".windrode.gz";
/// Most parts that may begin in the same second.
const MOST_ALIKE: u32 = 100;
/// At most this many bundles of lines wait for the disk.
const AHEAD: usize = 16;
/// The loop keeps lines for at most this long, or this many bytes of them.
const HELD_FOR: Duration = Duration::from_secs(5);
const HELD_BYTES: usize = 64 << 10;
/// Approximate size of one of our own lines.
const SOME_LINE: usize = 200;
/// The most a power cut costs, besides what the loop keeps.
const FLUSH: Duration = Duration::from_mins(1);
/// A failing disk is tried again after this time.
const RETRY: Duration = Duration::from_mins(10);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_oldest_parts_go_and_nothing_else_does() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        for name in ["20260103T000000Z", "20260101T000000Z", "20260102T000000Z"] {
            fs::write(at(&format!("{name}{SUFFIX}")), [0; 100]).unwrap();
        }
        fs::write(at("notes.txt"), [0; 1000]).unwrap();
        make_room(folder.path(), 200).unwrap();
        assert!(!at("20260101T000000Z.windrode.gz").exists());
        assert!(at("20260102T000000Z.windrode.gz").exists());
        assert!(at("20260103T000000Z.windrode.gz").exists());
        assert!(at("notes.txt").exists());
    }

    #[test]
    fn parts_of_one_second_do_not_overwrite_each_other() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["a.windrode.gz", "a-1.windrode.gz", "a-2.windrode.gz"] {
            new_file(folder.path(), "a").unwrap();
            assert!(folder.path().join(name).exists(), "{name}");
        }
    }
}
