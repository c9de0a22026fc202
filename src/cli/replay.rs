//! `windrode replay`: events to standard output, bad lines and counts to standard error.

mod compared;

use std::fs::File;
use std::io::{self, BufReader, Read, Write};
use std::path::{Path, PathBuf};

use clap::Args;

use self::compared::Comparing;
use super::out::{self, Failure, code};
use super::progress::Progress;
use super::{ConfigFile, load};
use crate::config::Config;
use crate::journal::{Reader, Run};
use crate::replay::{self, Counts, Listener};
use crate::time::Timestamp;
use crate::units::{Metres, parse_length, spoken};
use crate::watch::messages::{Event, LetGo};

#[derive(Debug, Args)]
pub(super) struct ReplayOptions {
    /// One Signal K delta or PUT message a line, plain or gzip; a recording; a directory with a
    /// journal; - for standard input.
    file: PathBuf,
    /// Print only what is judged differently now than in the recording or journal.
    ///
    /// The exit code is 1 if anything differs.
    #[arg(long)]
    compare: bool,
    /// The comparison as JSON.
    #[arg(long, requires = "compare")]
    json: bool,
    /// Which run of the daemon in a journal: its number, which grows with each start; by default the last.
    #[arg(long, value_name = "NUMBER")]
    life: Option<i64>,
    /// Let go at this moment of the recording, such as 2026-06-01T20:01:00Z.
    #[arg(long, value_name = "TIME")]
    let_go: Option<Timestamp>,
    /// The rode veered at that moment.
    #[arg(long, value_name = "LENGTH", value_parser = parse_length, requires = "let_go")]
    rode: Option<Metres>,
    /// Depth of water at that moment, if the recording has none.
    #[arg(long, value_name = "LENGTH", value_parser = parse_length, requires = "let_go")]
    depth: Option<Metres>,
    /// Our own vessel's context, if the recording does not name it.
    #[arg(long = "self", value_name = "CONTEXT")]
    own: Option<String>,
}

/// Replays the recording.
pub(super) fn replay(config: &ConfigFile, options: &ReplayOptions) -> Result<(), Failure> {
    let is_own_choice = config.config_file.is_some();
    let config = load(config)?;
    let replay_options = replay::ReplayOptions {
        settings: config.watch_settings(),
        recorded_settings: !is_own_choice,
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
    if options.compare {
        let mut comparing = Comparing::default();
        let mut listener = Complaining::about(&mut comparing);
        play(&config, options, &replay_options, &mut listener)?;
        return comparing.tell(options.json);
    }
    let mut printer = Printer(io::stdout().lock());
    let mut listener = Complaining::about(&mut printer);
    let played = play(&config, options, &replay_options, &mut listener);
    let flushed = printer.0.flush();
    played?;
    out::tolerate(flushed)
}

/// Plays the file, or the journal in the directory, and reports on standard error what was read.
fn play(
    config: &Config,
    options: &ReplayOptions,
    replay_options: &replay::ReplayOptions,
    listener: &mut Complaining<'_, impl Listener>,
) -> Result<(), Failure> {
    let name = options.file.display();
    let failed = |error: io::Error| match error.kind() {
        io::ErrorKind::BrokenPipe => Failure::new(0, String::new()),
        _ => Failure::new(code::IO, format!("`{name}` cannot be read: {error}")),
    };
    let counts = if options.file.is_dir() {
        let journal = Reader::open(&options.file).map_err(|error| Failure::new(code::IO, error))?;
        let run = chosen(&journal, options.life)?;
        warn_of(config, &run);
        replay::replay_run(&journal, &run, replay_options, listener).map_err(failed)?
    } else {
        let input = open(&options.file, options.compare).map_err(failed)?;
        replay::unpacked(input)
            .and_then(|input| replay::replay(input, replay_options, listener))
            .map_err(failed)?
    };
    listener.end();
    out::complain(&summary(&counts));
    if counts.deltas == 0 && counts.inputs == 0 {
        return Err(Failure::new(
            code::DATA,
            format!("`{name}` holds no Signal K delta; one JSON message a line is expected"),
        ));
    }
    Ok(())
}

/// Opens the file, with a progress bar unless events are printed on the same screen.
fn open(file: &Path, is_silent: bool) -> io::Result<Box<dyn io::BufRead + Send>> {
    if file.as_os_str() == "-" {
        return Ok(Box::new(BufReader::new(io::stdin())));
    }
    let file = File::open(file)?;
    let bytes = file.metadata()?.len();
    let input: Box<dyn Read + Send> = if is_silent || !io::IsTerminal::is_terminal(&io::stdout()) {
        Box::new(Progress::of_bytes(bytes).reading(file))
    } else {
        Box::new(file)
    };
    Ok(Box::new(BufReader::with_capacity(1 << 18, input)))
}

/// The run of the daemon with this number, or the last run with any data.
fn chosen(journal: &Reader, number: Option<i64>) -> Result<Run, Failure> {
    let told = |error| Failure::new(code::IO, error);
    let runs = journal.runs(u32::MAX).map_err(told)?;
    let listed: Vec<String> = runs.iter().map(|run| run.id.to_string()).collect();
    let has_inputs = |run: &Run| journal.entries(run.id).next().is_some();
    let found = match number {
        Some(number) => runs.into_iter().find(|run| run.id == number),
        None => runs.into_iter().find(has_inputs),
    };
    found.ok_or_else(|| match number {
        Some(number) => Failure::new(
            code::DATA,
            format!(
                "the journal has no run {number} of the daemon; it has {}",
                listed.join(", ")
            ),
        ),
        None => Failure::new(code::DATA, "the journal holds no inputs"),
    })
}

fn warn_of(config: &Config, run: &Run) {
    let now = format!("{:?}", config.watch_settings());
    if run.settings.as_ref().is_some_and(|then| *then != now) {
        out::complain(
            "windrode: the watch had other settings then: they may be the cause of the differences",
        );
    }
    if run.dropped > 0 {
        out::complain(&format!(
            "windrode: {} inputs are missing, because the disk could not keep up",
            run.dropped
        ));
    }
}

fn summary(counts: &Counts) -> String {
    let inputs = match counts.inputs {
        0 => String::new(),
        inputs => format!(" {inputs} inputs,"),
    };
    format!(
        "{} lines over {}: {} deltas, {} commands,{inputs} {} skipped; {} events",
        counts.lines,
        spoken(counts.span),
        counts.deltas,
        counts.commands,
        counts.bad,
        counts.events
    )
}

struct Printer<'a>(io::StdoutLock<'a>);

impl Listener for Printer<'_> {
    fn event(&mut self, event: &Event) -> io::Result<()> {
        let mut line = serde_json::to_vec(event)?;
        line.push(b'\n');
        self.0.write_all(&line)
    }

    fn bad_line(&mut self, _number: u64, _why: &str) -> io::Result<()> {
        Ok(())
    }
}

/// Reports bad lines on standard error, up to a readable number.
struct Complaining<'a, L> {
    listener: &'a mut L,
    complaints: u64,
}

impl<'a, L: Listener> Complaining<'a, L> {
    fn about(listener: &'a mut L) -> Self {
        Self {
            listener,
            complaints: 0,
        }
    }

    fn end(&self) {
        if self.complaints > MOST_COMPLAINTS {
            out::complain(&format!(
                "windrode: {} more lines could not be read",
                self.complaints - MOST_COMPLAINTS
            ));
        }
    }
}

impl<L: Listener> Listener for Complaining<'_, L> {
    fn event(&mut self, event: &Event) -> io::Result<()> {
        self.listener.event(event)
    }

    fn bad_line(&mut self, number: u64, why: &str) -> io::Result<()> {
        self.complaints += 1;
        if self.complaints <= MOST_COMPLAINTS {
            out::complain(&format!("windrode: line {number} skipped: {why}"));
        }
        Ok(())
    }

    fn judged(&mut self, then: &Event) {
        self.listener.judged(then);
    }
}

/// A binary file read by mistake has a million bad lines; the first few are enough.
const MOST_COMPLAINTS: u64 = 20;
