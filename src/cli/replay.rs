//! `windrode replay`: events to standard output, bad lines and counts to standard error.

use std::fs::File;
use std::io::{self, BufReader, Write};

use super::out::{self, Failure, code};
use super::{ConfigFile, ReplayOptions, load};
use crate::replay::{self, Counts, Listener};
use crate::units::spoken;
use crate::watch::messages::{Event, LetGo};

/// Replays the recording.
pub(super) fn replay(config: &ConfigFile, options: &ReplayOptions) -> Result<(), Failure> {
    let config = load(config)?;
    let replay_options = replay::ReplayOptions {
        settings: config.watch_settings(),
        own_paths: config.own_paths(),
        let_go: options.let_go.map(|time| {
            let order = LetGo {
                rode: options.rode,
                depth: options.depth,
                ..LetGo::default()
            };
            (time, order)
        }),
        own: options.own.clone(),
    };
    let name = options.file.display();
    let mut printer = Printer {
        out: io::stdout().lock(),
        complaints: 0,
    };
    let unreadable =
        |error: io::Error| Failure::new(code::IO, format!("`{name}` cannot be read: {error}"));
    let input: Box<dyn io::BufRead + Send> = if options.file.as_os_str() == "-" {
        Box::new(BufReader::new(io::stdin()))
    } else {
        let file = File::open(&options.file).map_err(unreadable)?;
        Box::new(BufReader::with_capacity(1 << 18, file))
    };
    let played = replay::unpacked(input)
        .and_then(|input| replay::replay(input, &replay_options, &mut printer));
    let flushed = printer.out.flush();
    let counts = match played {
        Ok(counts) => counts,
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => {
            return out::tolerate(Err(error));
        }
        Err(error) => return Err(unreadable(error)),
    };
    out::tolerate(flushed)?;
    if printer.complaints > MOST_COMPLAINTS {
        out::complain(&format!(
            "windrode: {} more lines could not be read",
            printer.complaints - MOST_COMPLAINTS
        ));
    }
    out::complain(&summary(&counts));
    if counts.deltas == 0 {
        return Err(Failure::new(
            code::DATA,
            format!("`{name}` holds no Signal K delta; one JSON message a line is expected"),
        ));
    }
    Ok(())
}

fn summary(counts: &Counts) -> String {
    format!(
        "{} lines over {}: {} deltas, {} commands, {} skipped; {} events",
        counts.lines,
        spoken(counts.span),
        counts.deltas,
        counts.commands,
        counts.bad,
        counts.events
    )
}

struct Printer<'a> {
    out: io::StdoutLock<'a>,
    complaints: u64,
}

impl Listener for Printer<'_> {
    fn event(&mut self, event: &Event) -> io::Result<()> {
        let mut line = serde_json::to_vec(event)?;
        line.push(b'\n');
        self.out.write_all(&line)
    }

    fn bad_line(&mut self, number: u64, why: &str) -> io::Result<()> {
        self.complaints += 1;
        if self.complaints <= MOST_COMPLAINTS {
            out::complain(&format!("windrode: line {number} skipped: {why}"));
        }
        Ok(())
    }
}

/// A binary file read by mistake has a million bad lines; the first say it all.
const MOST_COMPLAINTS: u64 = 20;
