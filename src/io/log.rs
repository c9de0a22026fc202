//! The log, which must not hold up the watch.
//!
//! Standard error may be a pipe that nobody reads: a write to it would wait forever, and the watch with it.
//! So lines go through a bounded queue to a thread that may wait. When the queue is full, lines are dropped
//! and counted, and the next line that goes through reports the number.

use std::io::{self, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, TrySendError, sync_channel};
use std::time::Duration;

/// The handle of the log. Cheap to clone; each line is one `write`.
#[derive(Clone, Debug)]
pub struct Log {
    lines: SyncSender<Line>,
    dropped: Arc<AtomicU64>,
}

#[derive(Debug)]
enum Line {
    Text(Vec<u8>),
    /// Answered when everything before it is written.
    Flush(SyncSender<()>),
}

impl Log {
    /// Starts the thread that writes to `sink`.
    pub fn to(mut sink: impl Write + Send + 'static) -> io::Result<Self> {
        let (lines, queue) = sync_channel(MOST_LINES);
        let dropped = Arc::new(AtomicU64::new(0));
        let lost = Arc::clone(&dropped);
        std::thread::Builder::new()
            .name("log".to_owned())
            .spawn(move || write_all(&queue, &lost, &mut sink))?;
        Ok(Self { lines, dropped })
    }

    /// Waits until everything logged is written, but no longer than `limit`; returns whether it is.
    #[must_use]
    pub fn flush(&self, limit: Duration) -> bool {
        let (done, written) = sync_channel(1);
        self.lines.try_send(Line::Flush(done)).is_ok() && written.recv_timeout(limit).is_ok()
    }
}

impl Write for Log {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self.lines.try_send(Line::Text(bytes.to_vec())) {
            Ok(()) => {}
            Err(TrySendError::Full(_) | TrySendError::Disconnected(_)) => {
                self.dropped.fetch_add(1, Ordering::Relaxed);
            }
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn write_all(queue: &Receiver<Line>, dropped: &AtomicU64, sink: &mut impl Write) {
    // If the log cannot be written, only the log is lost.
    while let Ok(line) = queue.recv() {
        match line {
            Line::Text(text) => {
                let _ = sink.write_all(&text);
            }
            Line::Flush(done) => {
                let _ = sink.flush();
                let _ = done.try_send(());
            }
        }
        let lost = dropped.swap(0, Ordering::Relaxed);
        if lost > 0 {
            let _ = writeln!(
                sink,
                " WARN {lost} log lines were dropped: standard error was not read"
            );
        }
    }
}

/// A few hundred kilobytes at most.
const MOST_LINES: usize = 1024;

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Mutex;
    use std::sync::mpsc::Sender;
    use std::sync::mpsc::channel;

    /// A pipe that is not read until the gate is opened.
    struct Pipe {
        gate: Option<Receiver<()>>,
        read: Arc<Mutex<Vec<u8>>>,
    }

    impl Write for Pipe {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            if let Some(gate) = self.gate.take() {
                let _ = gate.recv();
            }
            self.read.lock().unwrap().extend_from_slice(bytes);
            Ok(bytes.len())
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    fn pipe() -> (Pipe, Sender<()>, Arc<Mutex<Vec<u8>>>) {
        let (open, gate) = channel();
        let read = Arc::default();
        let pipe = Pipe {
            gate: Some(gate),
            read: Arc::clone(&read),
        };
        (pipe, open, read)
    }

    #[test]
    fn an_unread_log_holds_nothing_up_and_reports_what_it_lost() {
        let (pipe, open, read) = pipe();
        let log = Log::to(pipe).unwrap();
        for number in 0..5000 {
            let line = format!("line {number}\n");
            assert_eq!(log.clone().write(line.as_bytes()).unwrap(), line.len());
        }
        assert!(!log.flush(Duration::from_millis(1)), "nothing is written");
        open.send(()).unwrap();
        while !log.flush(Duration::from_secs(60)) {
            std::thread::yield_now();
        }
        let text = String::from_utf8(read.lock().unwrap().clone()).unwrap();
        let kept = text.lines().filter(|line| line.starts_with("line")).count();
        let lost: usize = text
            .lines()
            .filter_map(|line| {
                line.strip_prefix(" WARN ")?
                    .split(' ')
                    .next()?
                    .parse::<usize>()
                    .ok()
            })
            .sum();
        assert!((MOST_LINES..=MOST_LINES + 1).contains(&kept), "{kept}");
        assert_eq!(kept + lost, 5000);
    }
}
