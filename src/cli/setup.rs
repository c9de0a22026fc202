//! `windrode setup`: asks for the few figures that the boat's server does not have and writes them into the
//! configuration, sends a test alarm to the phone, and runs `check` to show whether the watch can work.
//!
//! It changes only the lines of its own questions, so it can be run again, even after the file was edited
//! by hand.

use std::fmt::Display;
use std::io::{self, BufRead, Read as _, Write};
use std::os::unix::fs::{MetadataExt, OpenOptionsExt, PermissionsExt, chown};
use std::path::{Path, PathBuf};
use std::process::Command;

use clap::Args;
use serde_json::Value;

use super::check::{self, CheckOptions};
use super::out::{self, Failure, code};
use super::status::wrapped_to;
use super::{ConfigFile, push, runtime};
use crate::config::amend::{Question, amended};
use crate::config::{Config, STANDARD_FILE, documents};
use crate::daemon::joining::{self, Plan};
use crate::daemon::server_tls;
use crate::io::http::Http;
use crate::io::mdns;
use crate::io::tls::trust::Keeper;
use crate::signalk::discovery::Kept;
use crate::speech::setup::{Ask, Setup};
use crate::speech::{Sentence, Wording};

#[derive(Debug, Args)]
pub(super) struct SetupOptions {
    /// The language of all that the crew reads or hears, and of the questions: en, de, fr or es.
    #[arg(long, value_name = "CODE")]
    language: Option<String>,
    /// The Signal K server, such as `ws://localhost:3000`.
    #[arg(long, value_name = "URL")]
    server: Option<String>,
    /// The boat's name in messages to phones.
    #[arg(long)]
    name: Option<String>,
    /// Length over all, such as 11.2m.
    #[arg(long, value_name = "LENGTH")]
    length: Option<String>,
    /// Greatest draught, such as 1.9m.
    #[arg(long, value_name = "LENGTH")]
    draught: Option<String>,
    /// Height of the bow roller above the water, such as 1.2m.
    #[arg(long, value_name = "LENGTH")]
    roller_height: Option<String>,
    /// Distance of the positioning antenna aft of the stem, such as 9.1m.
    #[arg(long, value_name = "LENGTH")]
    antenna_from_bow: Option<String>,
    /// All the rode aboard, chain and rope together, such as 60m.
    #[arg(long, value_name = "LENGTH")]
    rode: Option<String>,
    /// The chain at the anchor, such as "8 mm G40".
    #[arg(long)]
    chain: Option<String>,
    /// A topic on a push server that a phone listens to, such as <https://push.example/tern-8f2k51x7>.
    #[arg(long, value_name = "URL")]
    phone: Option<String>,
    /// Ask nothing: what is not given as an option stays as it is.
    #[arg(long)]
    yes: bool,
    /// Write the configuration only: no test alarm, no check.
    #[arg(long)]
    offline: bool,
}

/// Asks, writes, tries the phone and checks.
pub(super) fn setup(file: &ConfigFile, options: &SetupOptions) -> Result<(), Failure> {
    let named = file.config_file.as_deref();
    let path = named.unwrap_or(Path::new(STANDARD_FILE));
    let before = match std::fs::read_to_string(path) {
        Ok(text) => text,
        Err(error) if error.kind() == io::ErrorKind::NotFound => documents::default_file(),
        Err(error) => return Err(cannot("read", path, &error)),
    };
    let config = parsed(&before, path)?;
    let mut talk = Talk {
        text: before.clone(),
        path: path.to_owned(),
        asks: !options.yes,
        input: io::stdin().lock(),
        say: config.wording(),
    };
    let language = ("crew", "language", Ask::Language);
    talk.settle(&config, language, options.language.as_deref(), None)?;
    talk.say = parsed(&talk.text, path)?.wording();
    let named_file = || path.display().to_string();
    if talk.asks {
        let file = named_file();
        talk.tell(Setup::Enter)?;
        talk.tell(Setup::AnswersGo { file })?;
    }
    let server = ("server", "url", Ask::Server);
    talk.settle(&config, server, options.server.as_deref(), None)?;
    let known = Known::of(&config, &parsed(&talk.text, path)?);
    for (key, option) in options.figures() {
        talk.settle(&config, key, option, known.figure(key.1))?;
    }
    talk.settle_phone(&config, options.phone.as_deref())?;

    let config = parsed(&talk.text, path)?;
    if talk.text == before && path.exists() {
        let file = named_file();
        talk.tell(Setup::Unchanged { file })?;
    } else {
        write(path, &talk.text).map_err(|error| cannot("write", path, &error))?;
        let file = named_file();
        talk.tell(Setup::Written { file })?;
        restart(path, &talk.say)?;
    }
    if options.offline {
        return Ok(());
    }
    let phone = config.push.contains_key(PHONE).then(|| {
        talk.tell(Setup::Sending)?;
        push::test(&config, PHONE, false)
    });
    let checked = check::check(file, &CheckOptions::default());
    match phone {
        Some(Err(failure)) if checked.is_ok() => Err(failure),
        Some(Err(failure)) => {
            out::complain(&format!("windrode: {}", failure.message));
            checked
        }
        _ => checked,
    }
}

impl SetupOptions {
    /// The keys and the given options, in the order of the questions.
    fn figures(&self) -> [(Key, Option<&str>); 7] {
        [
            (("boat", "name", Ask::Name), self.name.as_deref()),
            (("boat", "length", Ask::Length), self.length.as_deref()),
            (("boat", "draught", Ask::Draught), self.draught.as_deref()),
            (
                ("boat", "roller_height", Ask::Roller),
                self.roller_height.as_deref(),
            ),
            (
                ("boat", "antenna_from_bow", Ask::Antenna),
                self.antenna_from_bow.as_deref(),
            ),
            (("tackle", "rode_aboard", Ask::Rode), self.rode.as_deref()),
            (("tackle", "chain", Ask::Chain), self.chain.as_deref()),
        ]
    }
}

/// A key by section and name, and the question about it.
type Key = (&'static str, &'static str, Ask);

/// The questions and answers, and the text that they change.
struct Talk<R> {
    text: String,
    path: PathBuf,
    /// False once the input has ended.
    asks: bool,
    input: R,
    say: Wording,
}

impl<R: BufRead> Talk<R> {
    fn tell(&self, told: Setup) -> Result<(), Failure> {
        for line in wrapped_to("", "  ", &told.words(&self.say)) {
            out::line(&line)?;
        }
        Ok(())
    }

    /// Sets one key from its option, or else asks. Figures that the server has need not be entered.
    fn settle(
        &mut self,
        config: &Config,
        (section, name, ask): Key,
        option: Option<&str>,
        server_knows: Option<String>,
    ) -> Result<(), Failure> {
        let Some(question) = Question::of(config, section, name) else {
            return Err(Failure::new(
                code::SOFTWARE,
                format!("there is no key `{section}.{name}`"),
            ));
        };
        let (text, path) = (self.text.clone(), self.path.clone());
        // The file may give the key in another form, and the key would then be given twice.
        let fits = |answer: &str| {
            question.try_answer(answer)?;
            let read = Config::of_text(&amended(&text, section, name, answer), &path);
            read.map(|_| ()).map_err(|error| error.to_string())
        };
        let answer = if let Some(given) = option {
            fits(given)
                .map_err(|why| Failure::new(code::USAGE, format!("`{section}.{name}`: {why}")))?;
            Some(given.to_owned())
        } else {
            let now = match (&question.now, server_knows) {
                (Some(now), _) => Sentence::verbatim(now.clone()),
                (None, Some(value)) => Setup::FromServer { value }.into(),
                (None, None) => none_yet(question.example.unwrap_or("…")),
            };
            self.ask(Setup::Question { ask, now }, fits)?
        };
        if let Some(answer) = answer {
            self.text = amended(&self.text, section, name, &answer);
        }
        Ok(())
    }

    /// The topic of the skipper's phone.
    fn settle_phone(&mut self, config: &Config, option: Option<&str>) -> Result<(), Failure> {
        let (text, path) = (self.text.clone(), self.path.clone());
        let with = |answer: &str| -> Result<String, String> {
            let (url, topic) = answer
                .trim_end_matches('/')
                .rsplit_once('/')
                .unwrap_or(("", ""));
            let text = amended(&text, "push.skipper", "topic", topic);
            let text = amended(&text, "push.skipper", "url", url);
            let text = amended(&text, "push.skipper", "kind", "topic");
            match Config::of_text(&text, &path) {
                Ok(_) => Ok(text),
                Err(error) => Err(format!(
                    "`{answer}`: {error}; write server and topic, such as `https://push.example/tern-8f2k51x7`"
                )),
            }
        };
        let answer = if let Some(given) = option {
            with(given).map_err(|why| Failure::new(code::USAGE, why))?;
            Some(given.to_owned())
        } else {
            let now = match config.push.get(PHONE) {
                Some(channel) => Sentence::verbatim(format!("`{PHONE}`, {}", channel.kind.name())),
                None => none_yet("https://push.example/tern-8f2k51x7"),
            };
            let ask = Ask::Topic;
            let question = Setup::Question { ask, now };
            self.ask(question, |answer| with(answer).map(|_| ()))?
        };
        if let Some(answer) = answer {
            self.text = with(&answer).map_err(|why| Failure::new(code::USAGE, why))?;
        }
        Ok(())
    }

    /// Asks until the answer is valid; `None` if the answer is an empty line, or the input has ended.
    fn ask(
        &mut self,
        question: Setup,
        fits: impl Fn(&str) -> Result<(), String>,
    ) -> Result<Option<String>, Failure> {
        let text = wrapped_to("", "  ", &question.words(&self.say)).join("\n");
        while self.asks {
            let mut screen = io::stdout().lock();
            out::tolerate(write!(screen, "{text} ").and_then(|()| screen.flush()))?;
            drop(screen);
            let mut line = String::new();
            let read = self.input.by_ref().take(LONGEST).read_line(&mut line);
            if read.map_err(|error| {
                Failure::new(code::IO, format!("cannot read the answer: {error}"))
            })? == 0
            {
                self.asks = false;
                out::line("")?;
                break;
            }
            let answer = line.trim();
            if answer.is_empty() {
                break;
            }
            match fits(answer) {
                Ok(()) => return Ok(Some(answer.to_owned())),
                Err(why) => out::line(&format!("  {why}"))?,
            }
        }
        Ok(None)
    }
}

/// No value yet: an example of one.
fn none_yet(example: &str) -> Sentence {
    let example = example.to_owned();
    Setup::NoneYet { example }.into()
}

/// The server's figures about the boat.
#[derive(Debug, Default)]
struct Known(Value);

impl Known {
    /// Asks the server; a server that is off, or refuses read access, gives nothing. The token is sent only
    /// to the server that was configured `before`.
    fn of(before: &Config, config: &Config) -> Self {
        let token = joining::token(config).ok().flatten();
        let token = token.filter(|_| before.server.url == config.server.url);
        let ask = async {
            let kept = joining::kept(config, token.is_some()).unwrap_or(Kept::Unnamed);
            let tls = server_tls(config, Keeper::Command);
            let plan = Plan {
                token,
                token_is_granted: joining::token_is_granted(config),
                ..Plan::new(config, kept, tls, Keeper::Command)
            };
            let joined = plan.join(mdns::look).await.ok()?;
            let token = plan.token.filter(|_| joined.withheld.is_none());
            let http = Http::new(&joined.address.http(""), token, &joined.tls).ok()?;
            let answer = http.get("/signalk/v1/api/vessels/self").await.ok()?;
            serde_json::from_str(&answer.body).ok()
        };
        let body = runtime().ok().and_then(|runtime| runtime.block_on(ask));
        Self(body.unwrap_or_default())
    }

    /// The value as it would be written in the file.
    fn figure(&self, name: &str) -> Option<String> {
        let metres = |pointer: &str| {
            let value = self.0.pointer(pointer)?.as_f64()?;
            value.is_finite().then(|| format!("{value} m"))
        };
        match name {
            "length" => metres("/design/length/value/overall"),
            "draught" => metres("/design/draft/value/maximum"),
            "antenna_from_bow" => metres("/sensors/gps/fromBow/value"),
            _ => None,
        }
    }
}

fn parsed(text: &str, path: &Path) -> Result<Config, Failure> {
    Config::of_text(text, path).map_err(|error| Failure::new(code::CONFIG, error))
}

/// Writes the new file beside the old one and renames it into place; owner, group and mode are kept. A new
/// file has mode 0640, and the daemon's group may read the one at [`STANDARD_FILE`].
fn write(path: &Path, text: &str) -> io::Result<()> {
    // A link keeps pointing to the same file.
    let path = &std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let folder = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty());
    if let Some(folder) = folder {
        std::fs::create_dir_all(folder)?;
    }
    let mut new = path.as_os_str().to_owned();
    new.push(".new");
    let new = PathBuf::from(new);
    let _ = std::fs::remove_file(&new);
    let written = write_new(&new, path, text).and_then(|()| std::fs::rename(&new, path));
    if written.is_err() {
        let _ = std::fs::remove_file(&new);
    }
    written
}

fn write_new(new: &Path, path: &Path, text: &str) -> io::Result<()> {
    let mut file = std::fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .mode(0o640)
        .open(new)?;
    file.write_all(text.as_bytes())?;
    match std::fs::metadata(path) {
        Ok(old) => {
            chown(new, Some(old.uid()), Some(old.gid()))?;
            file.set_permissions(std::fs::Permissions::from_mode(old.mode() & 0o7777))?;
        }
        Err(_) if path == Path::new(STANDARD_FILE) => chown(new, None, daemons_group())?,
        Err(_) => {}
    }
    file.sync_all()
}

/// The group that the package creates, by `group(5)`.
fn daemons_group() -> Option<u32> {
    let groups = std::fs::read_to_string("/etc/group").ok()?;
    let mut fields = groups
        .lines()
        .find_map(|line| line.strip_prefix("windrode:"))?
        .split(':');
    fields.nth(1)?.parse().ok()
}

/// Has the service manager restart the daemon with the new figures; a running watch continues after a
/// second.
fn restart(path: &Path, say: &Wording) -> Result<(), Failure> {
    let managed = path == Path::new(STANDARD_FILE) && Path::new("/run/systemd/system").exists();
    if !managed {
        return out::line(&Setup::AtNextStart.words(say));
    }
    let asked = Command::new("systemctl")
        .args(["restart", "windrode.service"])
        .status();
    if asked.is_ok_and(|status| status.success()) {
        return out::line(&Setup::Restarted.words(say));
    }
    Err(Failure::new(code::NOT_DONE, Setup::NotRestarted.words(say)))
}

fn cannot(what: &str, path: &Path, error: &dyn Display) -> Failure {
    Failure::new(
        code::IO,
        format!(
            "cannot {what} `{}`: {error}; run it with sudo, or give another file by --config",
            path.display()
        ),
    )
}

const PHONE: &str = "skipper";
/// The longest answer in bytes.
const LONGEST: u64 = 4096;

#[cfg(test)]
mod tests {
    use super::*;

    /// In English a question is what the configuration's manual says about the key.
    #[test]
    fn a_question_asks_for_what_its_key_means() {
        let options = SetupOptions {
            language: None,
            server: None,
            name: None,
            length: None,
            draught: None,
            roller_height: None,
            antenna_from_bow: None,
            rode: None,
            chain: None,
            phone: None,
            yes: true,
            offline: true,
        };
        let figures = options.figures().map(|(key, _)| key);
        for (section, name, ask) in figures.into_iter().chain([("server", "url", Ask::Server)]) {
            let question = Question::of(&Config::default(), section, name).unwrap();
            assert_eq!(ask.english(), question.about);
        }
    }
}
