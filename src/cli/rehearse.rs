//! `windrode rehearse`: the night as a timeline, a closing table, a progress bar on a terminal.

use std::io::{self, IsTerminal, Write};
use std::path::PathBuf;

use super::out::{self, Failure, code};
use super::picture::PictureFile;
use super::{ConfigFile, RehearseOptions, load, runtime, status};
use crate::daemon::StatusReport;
use crate::plot::PictureInput;
use crate::rehearse::night::{self, Audience, Report};
use crate::speech::Wording;
use crate::time::Timestamp;
use crate::watch::messages::{Event, EventKind};

/// Holds the rehearsal; fails unless all that must happen did.
pub(super) fn rehearse(config: &ConfigFile, options: &RehearseOptions) -> Result<(), Failure> {
    let say = wording(config, options)?;
    let scratch = Scratch::make()?;
    let mut face = Face {
        json: options.json,
        bar: io::stderr().is_terminal(),
        shown: false,
        colour: out::colour(),
        failed: None,
        picture: options.picture.as_ref(),
        say: say.clone(),
    };
    face.line("A rehearsal: an invented boat in an invented cove, on an embedded data server.");
    face.line("An aid, no substitute for a lookout and an anchor watch. Not for navigation.");
    face.line("");
    let report = runtime()?
        .block_on(night::hold(
            options.night,
            options.seed,
            scratch.0.clone(),
            say,
            &mut face,
        ))
        .map_err(|error| Failure::new(code::SOFTWARE, error))?;
    face.clear_bar();
    if let Some(failure) = face.failed {
        return Err(failure);
    }
    if options.json {
        let text = serde_json::to_string_pretty(&report)
            .map_err(|error| Failure::new(code::SOFTWARE, error))?;
        out::line(&text)?;
    } else {
        for line in table(&report) {
            out::line(&line)?;
        }
    }
    if report.passed() {
        Ok(())
    } else {
        Err(Failure::new(
            code::NOT_DONE,
            "the rehearsal failed: not all that must happen did",
        ))
    }
}

/// How the configuration has the crew spoken to; by the ship's clock of the invented cove.
fn wording(config: &ConfigFile, options: &RehearseOptions) -> Result<Wording, Failure> {
    if let Some(language) = options.language {
        return Ok(Wording::in_language(language));
    }
    match load(config) {
        Ok(loaded) => Ok(Wording {
            zone: Wording::default().zone,
            ..loaded.watch.wording
        }),
        // One that was not asked for keeps nobody from rehearsing.
        Err(failure) if config.config_file.is_none() => {
            let _ = writeln!(
                io::stderr(),
                "the rehearsal is in English: {}",
                failure.message
            );
            Ok(Wording::default())
        }
        Err(failure) => Err(failure),
    }
}

fn table(report: &Report) -> Vec<String> {
    let mut lines = vec![String::new(), "What had to happen".to_owned()];
    for demand in &report.demands {
        let mark = if demand.met { "yes" } else { "NO " };
        lines.push(format!("  {mark}  {}", demand.what));
    }
    lines.push(String::new());
    let mut row = |name: &str, value: String| lines.push(format!("{name:<34}{value}"));
    if let Some(drag) = &report.drag {
        row("the anchor began to move", drag.began.to_string());
        row("the alarm came", drag.alarm.to_string());
        row("after", format!("{:.0} s", drag.seconds));
        row("the anchor had moved", format!("{:.1} m", drag.moved.get()));
        row(
            "the boat lay from the mark",
            format!(
                "{:.1} m, of a reach of {:.1} m",
                drag.distance.get(),
                drag.reach.get()
            ),
        );
    }
    if let Some(closing) = &report.neighbour {
        let name = &closing.name;
        row(
            &format!("{name}'s anchor began to move"),
            closing.began.to_string(),
        );
        row("she was told", closing.told.to_string());
        row("after", format!("{:.0} s", closing.seconds));
        row("she was off", format!("{:.0} m", closing.distance.get()));
        row(
            "off when it became an alarm",
            closing
                .distance_at_alarm
                .map_or("never".to_owned(), |off| format!("{:.0} m", off.get())),
        );
    }
    if report.drag.is_none() && report.neighbour.is_none() {
        row("the alarm", "never came".to_owned());
    }
    row(
        "the night",
        format!("{:.1} h simulated, seed {}", report.hours, report.seed),
    );
    lines
}

#[expect(
    clippy::struct_excessive_bools,
    reason = "four independent switches of a terminal"
)]
struct Face<'a> {
    json: bool,
    bar: bool,
    shown: bool,
    colour: bool,
    failed: Option<Failure>,
    /// Where the picture of the alarm goes.
    picture: Option<&'a PictureFile>,
    say: Wording,
}

impl Face<'_> {
    fn line(&mut self, text: &str) {
        if self.json || self.failed.is_some() {
            return;
        }
        self.clear_bar();
        if let Err(failure) = out::line(text) {
            self.failed = Some(failure);
        }
    }

    fn clear_bar(&mut self) {
        if self.shown {
            self.shown = false;
            let _ = write!(io::stderr().lock(), "\r\x1b[K");
        }
    }

    /// Lines of the timeline: time, who, what, wrapped to 80 columns.
    fn entry(&mut self, at: Timestamp, who: &str, what: &str, loud: bool) {
        let lead = format!("{}  {who:<8} ", at.clock());
        let indent = " ".repeat(lead.chars().count());
        let lines = status::wrapped_to(&lead, &indent, what);
        for line in lines {
            if loud && self.colour {
                self.line(&format!("\x1b[1m{line}\x1b[0m"));
            } else {
                self.line(&line);
            }
        }
    }
}

impl Audience for Face<'_> {
    fn story(&mut self, at: Timestamp, words: &str) {
        self.entry(at, "aboard", words, false);
    }

    fn event(&mut self, event: &Event) {
        let priority = event
            .priority
            .map_or_else(String::new, |priority| priority.capitals(&self.say));
        let what = match event.event {
            EventKind::Raised => format!("{priority} {}", event.message),
            EventKind::Cleared => format!("cleared: {}", event.message),
            EventKind::Acknowledged => format!(
                "acknowledged: {}",
                event.hazard.map_or("", |hazard| hazard.name())
            ),
            EventKind::Phase | EventKind::Note => event.message.clone(),
        };
        let loud = event.event == EventKind::Raised;
        self.entry(event.time, "windrode", &what, loud);
    }

    fn progress(&mut self, done: f64, at: Timestamp) {
        if !self.bar {
            return;
        }
        self.shown = true;
        let filled = (0..BAR)
            .filter(|cell| f64::from(*cell) < done * f64::from(BAR))
            .count();
        let _ = write!(
            io::stderr().lock(),
            "\r\x1b[K[{}{}] {:3.0} %  {}",
            "=".repeat(filled),
            " ".repeat(BAR as usize - filled),
            done * 100.0,
            at.clock()
        );
    }

    fn screen(&mut self, report: &StatusReport) {
        self.line("");
        self.line("  $ windrode status");
        for line in status::screen(report, self.colour) {
            self.line(format!("  {line}").trim_end());
        }
        self.line("");
    }

    fn picture(&mut self, picture: &PictureInput) {
        let Some(file) = self.picture else { return };
        match file.write(picture) {
            Ok(()) => self.line(&format!("  the phone's picture is in `{file}`")),
            Err(failure) => self.failed = Some(failure),
        }
        self.line("");
    }
}

/// A directory for the rehearsal's journal, removed at the end.
struct Scratch(PathBuf);

impl Scratch {
    fn make() -> Result<Self, Failure> {
        let path = std::env::temp_dir().join(format!("windrode-rehearsal-{}", std::process::id()));
        std::fs::create_dir_all(&path).map_err(|error| {
            Failure::new(
                code::IO,
                format!("`{}` cannot be made: {error}; set `TMPDIR`", path.display()),
            )
        })?;
        Ok(Self(path))
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

const BAR: u32 = 40;
