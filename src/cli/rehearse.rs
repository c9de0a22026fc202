//! `windrode rehearse`: the night as a timeline, a closing table, a progress bar on a terminal.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use super::out::{self, Failure, code};
use super::picture::PictureFile;
use super::progress::Progress;
use super::{ConfigFile, RehearseOptions, load, runtime, status};
use crate::config::{Config, ServerAddress};
use crate::daemon::{StatusReport, joining, server_tls};
use crate::io::tls;
use crate::io::tls::trust::Keeper;
use crate::plot::PictureInput;
use crate::rehearse::against::{self, Against, AgainstError, Night};
use crate::rehearse::library::script::Script;
use crate::rehearse::library::{self, NIGHTS, player};
use crate::rehearse::night::{self, Audience, Name, Report};
use crate::signalk::discovery::{Kept, Paired};
use crate::speech::notes::Note;
use crate::speech::{Sentence, Wording};
use crate::time::Timestamp;
use crate::watch::messages::{Event, EventKind};

/// The night to rehearse.
#[derive(Clone, Debug)]
pub(super) enum Choice {
    /// A night in acts.
    Acts(Name),
    /// A night of the library.
    Library(&'static str),
    /// A night from the crew's own file.
    File(PathBuf),
}

/// Parses the choice of a night.
pub(super) fn choice(text: &str) -> Result<Choice, String> {
    if let Some(name) = Name::ALL.into_iter().find(|name| name.word() == text) {
        return Ok(Choice::Acts(name));
    }
    if let Some((name, _)) = NIGHTS.into_iter().find(|(name, _)| *name == text) {
        return Ok(Choice::Library(name));
    }
    let path = Path::new(text);
    if path.extension().is_some_and(|ending| ending == "toml") {
        return Ok(Choice::File(path.to_owned()));
    }
    Err("no night of that name; `windrode rehearse --list` shows the nights, and a file of your own ends in `.toml`".to_owned())
}

/// Runs the rehearsal; fails unless everything that must happen has happened.
pub(super) fn rehearse(config: &ConfigFile, options: &RehearseOptions) -> Result<(), Failure> {
    if options.list {
        return list();
    }
    let script = match &options.night {
        Choice::Acts(_) => None,
        Choice::Library(name) => library::named(name),
        Choice::File(file) => Some(library::of_file(file)),
    };
    let script = script
        .transpose()
        .map_err(|error| Failure::new(code::DATA, error))?;
    let say = wording(config, options)?;
    let mut face = Face {
        json: options.json,
        bar: Progress::of_share("the night"),
        colour: out::colour(),
        failed: None,
        picture: options.picture.as_ref(),
        say: say.clone(),
        pace: options.speed.map(|speed| Duration::from_secs(1) / speed),
    };
    face.line(if script.is_some() {
        "A rehearsal: an invented boat in an invented cove, and the watch in the same process."
    } else {
        "A rehearsal: an invented boat in an invented cove, on an embedded data server."
    });
    face.line("An aid, no substitute for a lookout and an anchor watch. Not for navigation.");
    face.line("");
    if let Some(script) = &script {
        face.introduce(script);
    }
    let scratch = match &options.night {
        Choice::Acts(name) => Some((*name, Scratch::make()?)),
        Choice::Library(_) | Choice::File(_) => None,
    };
    let night = match (&script, &scratch) {
        (Some(script), _) => Night::Script(script),
        (None, Some((name, scratch))) => Night::Acts(*name, scratch.0.clone()),
        (None, None) => return Ok(()),
    };
    let report = match &options.against {
        Some(server) => {
            let with = against_with(config, server, options, say)?;
            // The drill has a pace of its own.
            face.pace = None;
            let held = runtime()?.block_on(against::hold(night, with, &mut face));
            let held = held.map_err(|error| Failure::new(not_held(&error), error))?;
            let Some(report) = held else {
                face.line("The drill is over: every value and alert of it is cleared.");
                return Ok(());
            };
            report
        }
        None => alone(night, options.seed, say, &mut face)?,
    };
    face.close(&report)
}

/// Holds the night without another server.
fn alone(
    night: Night<'_>,
    seed: u64,
    say: Wording,
    face: &mut Face<'_>,
) -> Result<Report, Failure> {
    match night {
        Night::Script(script) => Ok(player::hold(script, seed, say, face)),
        Night::Acts(name, journal) => runtime()?
            .block_on(night::hold(name, seed, journal, say, face))
            .map_err(|error| Failure::new(code::SOFTWARE, error)),
    }
}

/// The configuration's token and label for a drill.
fn against_with(
    config: &ConfigFile,
    server: &ServerAddress,
    options: &RehearseOptions,
    wording: Wording,
) -> Result<Against, Failure> {
    let loaded = load(config)?;
    // A token is sent only to the server it is for, and so is what was trusted on first use.
    let linked = linked_server(&loaded);
    let own = own_server(&loaded, linked.as_ref());
    let configured = same_server(&own, server);
    let token = joining::token(&loaded).map(|token| {
        token
            .filter(|_| !joining::token_is_granted(&loaded) || joining::token_is_for(&loaded, &own))
    });
    let token = match token {
        token if configured => token.map_err(|error| Failure::new(code::NO_PERMISSION, error))?,
        Ok(Some(_)) => {
            out::complain(&format!(
                "windrode: the token is for `{own}` and is not sent to `{server}`"
            ));
            None
        }
        Ok(None) | Err(_) => None,
    };
    let tls = if configured {
        own_tls(&loaded, linked)
    } else {
        tls::client_config()
    };
    let label = format!("{}-drill", loaded.source_label()).parse();
    Ok(Against {
        server: server.clone(),
        token,
        tls,
        label: label.map_err(|error| Failure::new(code::CONFIG, error))?,
        speed: options.speed.unwrap_or(DRILL_SPEED),
        seed: options.seed,
        wording,
    })
}

/// Without `server.url`: the server that windrode is linked to, which it may have found on the network.
fn linked_server(config: &Config) -> Option<Paired> {
    match (&config.server.url, joining::kept(config, true)) {
        (None, Ok(Kept::Server(paired))) => Some(paired),
        _ => None,
    }
}

fn own_server(config: &Config, linked: Option<&Paired>) -> ServerAddress {
    linked
        .and_then(|it| ServerAddress::parse(&it.address).ok())
        .unwrap_or_else(|| config.server.address())
}

/// What was trusted of the boat's own server counts for it at whatever address it was found.
fn own_tls(config: &Config, linked: Option<Paired>) -> Arc<rustls::ClientConfig> {
    let (folder, keeper) = (&config.journal.directory, Keeper::Command);
    let authorities = config.server.ca.as_deref();
    linked.map_or_else(
        || server_tls(config, keeper),
        |it| tls::found_server_config(authorities, folder, it.self_id.as_str(), keeper).config,
    )
}

/// `ws` and `http` are two ways to the same server.
fn same_server(one: &ServerAddress, other: &ServerAddress) -> bool {
    one.http("") == other.http("")
}

fn not_held(error: &AgainstError) -> u8 {
    match error {
        AgainstError::Real(_) => code::NOT_DONE,
        AgainstError::NotShown(_) => code::NO_PERMISSION,
        AgainstError::Unreachable(..) | AgainstError::Lost(..) => code::UNAVAILABLE,
        AgainstError::World(_) | AgainstError::Signals(_) => code::SOFTWARE,
    }
}

/// The list of nights.
fn list() -> Result<(), Failure> {
    for name in Name::ALL {
        out::line(&format!("{:<12} {}", name.word(), name.title()))?;
    }
    for (name, _) in NIGHTS {
        let script = library::named(name).transpose();
        let script = script.map_err(|error| Failure::new(code::SOFTWARE, error))?;
        let title = script.map(|script| script.title).unwrap_or_default();
        out::line(&format!("{name:<12} {title}"))?;
    }
    Ok(())
}

/// The configuration's wording for messages to the crew, with the ship's clock of the invented cove.
fn wording(config: &ConfigFile, options: &RehearseOptions) -> Result<Wording, Failure> {
    if let Some(language) = options.language {
        return Ok(Wording::in_language(language));
    }
    match load(config) {
        Ok(loaded) => Ok(Wording {
            zone: Wording::default().zone,
            ..loaded.watch.wording
        }),
        // A configuration that was not named does not stop a rehearsal.
        Err(failure) if config.config_file.is_none() => {
            out::complain(&format!(
                "windrode: the rehearsal is in English: {}",
                failure.message
            ));
            Ok(Wording::default())
        }
        Err(failure) => Err(failure),
    }
}

fn table(report: &Report) -> Vec<String> {
    let mut lines = vec![String::new(), "What had to happen".to_owned()];
    for demand in &report.demands {
        let mark = if demand.met { "yes" } else { "NO " };
        lines.extend(status::wrapped_to(
            &format!("  {mark}  "),
            "       ",
            &demand.what,
        ));
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
        row("she was reported", closing.told.to_string());
        row("after", format!("{:.0} s", closing.seconds));
        row(
            "her distance then",
            format!("{:.0} m", closing.distance.get()),
        );
        row(
            "her distance at the alarm",
            closing
                .distance_at_alarm
                .map_or("never".to_owned(), |off| format!("{:.0} m", off.get())),
        );
    }
    row(
        "the night",
        format!("{:.1} h simulated, seed {}", report.hours, report.seed),
    );
    lines
}

struct Face<'a> {
    json: bool,
    bar: Progress,
    colour: bool,
    failed: Option<Failure>,
    /// Where the alarm's picture is written.
    picture: Option<&'a PictureFile>,
    say: Wording,
    /// How long a second of the night takes.
    pace: Option<Duration>,
}

impl Face<'_> {
    /// The result, as a table or as JSON.
    fn close(self, report: &Report) -> Result<(), Failure> {
        self.bar.end();
        if let Some(failure) = self.failed {
            return Err(failure);
        }
        if self.json {
            let text = serde_json::to_string_pretty(report)
                .map_err(|error| Failure::new(code::SOFTWARE, error))?;
            out::line(&text)?;
        } else {
            for line in table(report) {
                out::line(&line)?;
            }
        }
        if report.passed() {
            Ok(())
        } else {
            Err(Failure::new(
                code::NOT_DONE,
                "the rehearsal failed: not everything that must happen has happened",
            ))
        }
    }

    fn introduce(&mut self, script: &Script) {
        self.line(&script.title);
        for line in status::wrapped_to("", "", &script.story.replace('\n', " ")) {
            self.line(&line);
        }
        for assumption in &script.assumptions {
            let assumed = format!("Assumed: {assumption}.");
            for line in status::wrapped_to("", "  ", &assumed) {
                self.line(&line);
            }
        }
        self.line("");
    }

    /// The sentence of an alert that is over but not acknowledged begins with that.
    fn says_cleared(&self, message: &str) -> bool {
        let alert = String::new();
        let begins = Sentence::from(Note::GoneNotAcknowledged { alert }).words(&self.say);
        message.starts_with(begins.trim_end())
    }

    fn line(&mut self, text: &str) {
        if self.json || self.failed.is_some() {
            return;
        }
        if let Err(failure) = self.bar.aside(|| out::line(text)) {
            self.failed = Some(failure);
        }
    }

    /// Lines of the timeline: time, speaker, text, wrapped to 80 columns.
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
            EventKind::Cleared if self.says_cleared(&event.message) => event.message.clone(),
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

    fn second(&mut self) {
        if let Some(pace) = self.pace {
            std::thread::sleep(pace);
        }
    }

    fn progress(&mut self, done: f64, _at: Timestamp) {
        self.bar.at_share(done);
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

/// Seconds of the night per second, on the boat's own displays.
const DRILL_SPEED: u32 = 30;

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::io::secrets;

    #[test]
    fn a_server_that_was_found_is_the_boat_s_own_until_another_is_configured() {
        let folder = tempfile::tempdir().unwrap();
        let mut config = Config::default();
        config.journal.directory = folder.path().to_owned();
        let address = |config: &Config| own_server(config, linked_server(config).as_ref());
        let own = |config: &Config| address(config).to_string();
        assert_eq!(own(&config), "ws://localhost:3000");
        let record = r#"{"selfId":"urn:mrn:imo:mmsi:230099999","address":"wss://192.168.1.20:3443","secure":true}"#;
        secrets::store_paired(folder.path(), record).unwrap();
        assert_eq!(own(&config), "wss://192.168.1.20:3443");
        assert!(joining::token_is_for(&config, &address(&config)));
        config.server.url = ServerAddress::parse("ws://tern.local:3000").ok();
        assert_eq!(own(&config), "ws://tern.local:3000");
        assert!(!joining::token_is_for(&config, &address(&config)));
    }

    #[test]
    fn the_same_server_may_be_written_as_http_or_as_ws() {
        let address = |text: &str| ServerAddress::parse(text).unwrap();
        for (one, other, same) in [
            ("http://tern.local:3000", "ws://tern.local:3000", true),
            ("https://tern.local:3443", "wss://tern.local:3443", true),
            ("http://tern.local:3000", "https://tern.local:3000", false),
            ("http://tern.local:3000", "ws://tern.local:3001", false),
            ("http://tern.local:3000", "ws://tern.example:3000", false),
        ] {
            let found = same_server(&address(one), &address(other));
            assert_eq!(found, same, "{one} {other}");
        }
    }
}
