//! The configuration: what the operator wrote, what holds where nothing was written, and where
//! each value comes from.
//!
//! A TOML file and the environment are laid over the defaults; the environment wins. Variables
//! are named `WINDRODE__SECTION__KEY` with double underscores; `WINDRODE_CONFIG` and other
//! single-underscore names belong to the command line and are not looked at here.
//!
//! Nothing falls back in silence: a file that was named and cannot be read, an unknown key, a
//! value that cannot be are errors that stop the start, with key, value, line or variable, and
//! what to write. Only when no file was named and none is at [`STANDARD_FILE`] do the defaults
//! hold alone, and [`Config::describe`] says so.
//!
//! Each fact stands once: the defaults in the `Default` of each struct below, the keys with their
//! units and bounds in `keys`. Reading, describing, the schema and the refusal of unknown keys
//! all walk that one list, and tests hold `schemas/config.schema.json` and
//! `deploy/windrode.toml` against it.

mod address;
mod describe;
mod engines;
mod error;
mod keys;
mod load;
mod push;
mod slot;

use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::time::Duration;

pub use address::ServerAddress;
pub use error::{ConfigError, Place};
pub use push::{Channel, Kind, PushUrl};

use crate::boat::BoatFigures;
use crate::io::secrets::Secret;
use crate::tackle::rode::{Chain, Rope};
use crate::tide::Forecast;
use crate::time::Zone;
use crate::units::{Angle, Kilograms, LengthUnit, Metres, Speed, Volts};

/// Where the configuration is looked for when no file is named.
pub const STANDARD_FILE: &str = "/etc/windrode/windrode.toml";

/// The whole configuration in force.
#[derive(Clone, Debug, PartialEq)]
pub struct Config {
    /// The data server.
    pub server: Server,
    /// The boat, with the rode aboard; `None` leaves it to the server's figures.
    pub boat: BoatFigures,
    /// The ground tackle.
    pub tackle: Tackle,
    /// The position fix.
    pub fix: Fix,
    /// The swinging circle.
    pub swing: Swing,
    /// Dragging.
    pub drag: Drag,
    /// Wind shifts and strength.
    pub wind: Wind,
    /// Tide and depth.
    pub water: Water,
    /// The reminder that no anchor is marked.
    pub reminder: Reminder,
    /// The link to the data server.
    pub link: Link,
    /// Alerts that nobody answers.
    pub alerts: Alerts,
    /// What the watch lives on.
    pub power: Power,
    /// How the crew is spoken to.
    pub crew: Crew,
    /// Displays that know no data server.
    pub displays: Displays,
    /// The journal.
    pub journal: Journal,
    /// The local command line's socket.
    pub control: Control,
    /// The boat's name in messages to phones.
    pub name: String,
    /// The channels to phones, taken together.
    pub phones: PhoneSettings,
    /// The channels to phones by their names.
    pub push: BTreeMap<String, Channel>,
    understood: Understood,
}

impl Default for Config {
    fn default() -> Self {
        Self {
            server: Server::default(),
            boat: BoatFigures::default(),
            tackle: Tackle::default(),
            fix: Fix::default(),
            swing: Swing::default(),
            drag: Drag::default(),
            wind: Wind::default(),
            water: Water::default(),
            reminder: Reminder::default(),
            link: Link::default(),
            alerts: Alerts::default(),
            power: Power::default(),
            crew: Crew::default(),
            displays: Displays::default(),
            journal: Journal::default(),
            control: Control::default(),
            name: "the boat".to_owned(),
            phones: PhoneSettings::default(),
            push: BTreeMap::new(),
            understood: Understood::default(),
        }
    }
}

/// `[server]`: the Signal K server.
#[derive(Clone, Debug, PartialEq)]
pub struct Server {
    /// Where it is.
    pub url: ServerAddress,
    /// The token to show it; at most one of this and `token_file`.
    pub token: Option<Secret>,
    /// A file that holds the token.
    pub token_file: Option<PathBuf>,
    /// The source label of what windrode publishes.
    pub source: String,
}

/// `[tackle]`: the ground tackle. The rode aboard is among the boat's figures.
#[derive(Clone, Debug, PartialEq)]
pub struct Tackle {
    /// How much longer the rode grows under load, as a fraction of its length.
    pub stretch: f64,
    /// The scope to plan with.
    pub scope: f64,
    /// The scope wanted in strong wind.
    pub scope_strong: f64,
    /// The scope to plan with in a storm.
    pub scope_storm: f64,
    /// The chain at the anchor.
    pub chain: Option<Chain>,
    /// How much of it.
    pub chain_length: Option<Metres>,
    /// The rope above the chain.
    pub rope: Option<Rope>,
    /// The rope that takes the pull off the chain at the bow.
    pub snubber: Option<Rope>,
    /// From the bow to its hook.
    pub snubber_length: Metres,
    /// How far apart the rode is marked.
    pub marks: Option<Metres>,
    /// Mass of the anchor.
    pub anchor: Option<Kilograms>,
    /// The path of the windlass' counter of rode.
    pub counter: Option<String>,
}

/// `[fix]`: the position fix.
#[derive(Clone, Debug, PartialEq)]
pub struct Fix {
    /// The preferred source (`$source`) of positions.
    pub source: Option<String>,
    /// A fix older than this is not used.
    pub max_age: Duration,
    /// Without a usable fix for so long, the position is lost.
    pub lost_after: Duration,
    /// Without one from the preferred source for so long, another source is taken.
    pub failover_after: Duration,
    /// One standard deviation of a fix, until the night has shown its own.
    pub accuracy: Metres,
}

/// `[swing]`: the swinging circle.
#[derive(Clone, Debug, PartialEq)]
pub struct Swing {
    /// Added to what rode and boat make.
    pub margin: Metres,
    /// How long outside before it counts.
    pub hold: Duration,
}

/// `[drag]`: dragging.
#[derive(Clone, Debug, PartialEq)]
pub struct Drag {
    /// The least movement of the anchor that counts.
    pub margin: Metres,
    /// How long the evidence must stand.
    pub hold: Duration,
    /// Time since letting go after which the anchor is taken to be set.
    pub settle: Duration,
}

/// `[wind]`: wind shifts and strength.
#[derive(Clone, Debug, PartialEq)]
pub struct Wind {
    /// The shift since set that counts.
    pub shift: Angle,
    /// The time the mean is taken over.
    pub window: Duration,
    /// How long the shift must stand.
    pub hold: Duration,
    /// Mean speed below which the direction means nothing.
    pub least: Speed,
    /// Mean speed from which more scope is wanted.
    pub strong: Speed,
    /// Mean speed that is told.
    pub mean: Speed,
    /// Gust that is told.
    pub gust: Speed,
    /// How long the mean must stand there.
    pub strength_hold: Duration,
    /// Mean speed from which the scope of a storm is planned with.
    pub storm: Speed,
}

/// `[water]`: tide and depth.
#[derive(Clone, Debug, PartialEq)]
pub struct Water {
    /// The least depth wanted under the keel.
    pub keel_margin: Metres,
    /// The station whose tide is predicted.
    pub station: Option<Forecast>,
    /// How long she stays, for the turns to come.
    pub stay: Option<Duration>,
}

/// `[power]`: what the watch lives on.
#[derive(Clone, Debug, PartialEq)]
pub struct Power {
    /// The path of the house battery's voltage.
    pub battery: Option<String>,
    /// The least voltage of it.
    pub least: Volts,
}

/// `[crew]`: how the crew is spoken to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Crew {
    /// The unit of lengths and depths.
    pub lengths: LengthUnit,
    /// The zone of the ship's clock; this computer's own when not given.
    pub zone: Option<Zone>,
}

/// `[reminder]`: the reminder that no anchor is marked.
#[derive(Clone, Debug, PartialEq)]
pub struct Reminder {
    /// How long she may lie still before it comes.
    pub unmarked_after: Duration,
}

/// `[link]`: the link to the data server.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// With nothing heard for so long, the link is lost.
    pub lost_after: Duration,
}

/// `[alerts]`: alerts that nobody answers.
#[derive(Clone, Debug, PartialEq)]
pub struct Alerts {
    /// How often an alert that sounds is told again.
    pub repeat: Duration,
    /// How long a warning may go unanswered before it becomes an alarm.
    pub answer_within: Duration,
}

/// `[displays]`: displays that know no data server. Nothing is opened for them unless named.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Displays {
    /// Where they may connect.
    pub listen: Option<SocketAddr>,
    /// Where they are told by datagrams.
    pub send: Option<SocketAddr>,
}

/// `[journal]`: what is kept on disk.
#[derive(Clone, Debug, PartialEq)]
pub struct Journal {
    /// The state directory.
    pub directory: PathBuf,
    /// How long the track is kept.
    pub keep: Duration,
    /// How much of the track a power cut may cost.
    pub batch: Duration,
}

/// `[phones]`: the channels to phones, taken together.
#[derive(Clone, Debug, PartialEq)]
pub struct PhoneSettings {
    /// With no channel that works for so long, the watch is impaired.
    pub lost_after: Duration,
}

impl Default for PhoneSettings {
    fn default() -> Self {
        Self {
            lost_after: Duration::from_mins(10),
        }
    }
}

/// `[control]`: the local command line.
#[derive(Clone, Debug, PartialEq)]
pub struct Control {
    /// The Unix socket.
    pub socket: PathBuf,
}

impl Default for Server {
    fn default() -> Self {
        Self {
            url: ServerAddress::local(),
            token: None,
            token_file: None,
            source: "windrode".to_owned(),
        }
    }
}

impl Default for Tackle {
    fn default() -> Self {
        Self {
            stretch: 0.02,
            scope: 5.0,
            scope_strong: 7.0,
            scope_storm: 10.0,
            chain: None,
            chain_length: None,
            rope: None,
            snubber: None,
            snubber_length: Metres::of(6.0),
            marks: None,
            anchor: None,
            counter: None,
        }
    }
}

impl Default for Fix {
    fn default() -> Self {
        Self {
            source: None,
            max_age: Duration::from_secs(10),
            lost_after: Duration::from_secs(60),
            failover_after: Duration::from_secs(15),
            accuracy: Metres::of(2.5),
        }
    }
}

impl Default for Swing {
    fn default() -> Self {
        Self {
            margin: Metres::of(10.0),
            hold: Duration::from_secs(15),
        }
    }
}

impl Default for Drag {
    fn default() -> Self {
        Self {
            margin: Metres::of(3.0),
            hold: Duration::from_secs(2),
            settle: Duration::from_mins(10),
        }
    }
}

impl Default for Wind {
    fn default() -> Self {
        Self {
            shift: Angle::from_degrees(60.0),
            window: Duration::from_mins(5),
            hold: Duration::from_mins(5),
            least: Speed::from_knots(5.0),
            strong: Speed::from_knots(30.0),
            mean: Speed::from_knots(25.0),
            gust: Speed::from_knots(35.0),
            strength_hold: Duration::from_mins(1),
            storm: Speed::from_knots(34.0),
        }
    }
}

impl Default for Water {
    fn default() -> Self {
        Self {
            keel_margin: Metres::of(0.5),
            station: None,
            stay: None,
        }
    }
}

impl Default for Reminder {
    fn default() -> Self {
        Self {
            unmarked_after: Duration::from_mins(10),
        }
    }
}

impl Default for Link {
    fn default() -> Self {
        Self {
            lost_after: Duration::from_secs(30),
        }
    }
}

impl Default for Power {
    fn default() -> Self {
        Self {
            battery: None,
            least: Volts::of(11.8),
        }
    }
}

impl Default for Alerts {
    fn default() -> Self {
        Self {
            repeat: Duration::from_mins(2),
            answer_within: Duration::from_mins(5),
        }
    }
}

impl Default for Journal {
    fn default() -> Self {
        Self {
            directory: PathBuf::from("/var/lib/windrode"),
            keep: Duration::from_hours(7 * 24),
            batch: Duration::from_secs(30),
        }
    }
}

impl Default for Control {
    fn default() -> Self {
        Self {
            socket: PathBuf::from("/run/windrode").join(SOCKET_NAME),
        }
    }
}

/// What the environment contributes: variables of ours and the service manager's directories.
#[derive(Clone, Debug, Default)]
pub struct Surroundings {
    /// `WINDRODE__…` by name; others may be among them and are not looked at.
    pub variables: BTreeMap<String, String>,
    /// `STATE_DIRECTORY`, set by the service manager.
    pub state_directory: Option<PathBuf>,
    /// `RUNTIME_DIRECTORY`, likewise.
    pub runtime_directory: Option<PathBuf>,
}

impl Surroundings {
    /// Those of this process.
    #[must_use]
    pub fn of_process() -> Self {
        // A value that is not Unicode keeps its replacement characters and is refused by the key
        // it is meant for, rather than skipped.
        let variables = std::env::vars_os()
            .map(|(name, value)| {
                (
                    name.to_string_lossy().into_owned(),
                    value.to_string_lossy().into_owned(),
                )
            })
            .filter(|(name, _)| name.starts_with(load::PREFIX))
            .collect();
        // The service manager separates several directories by colons (`systemd.exec(5)`).
        let first_of = |name: &str| {
            let value = std::env::var_os(name)?;
            std::env::split_paths(&value)
                .next()
                .filter(|path| path.is_absolute())
        };
        Self {
            variables,
            state_directory: first_of("STATE_DIRECTORY"),
            runtime_directory: first_of("RUNTIME_DIRECTORY"),
        }
    }
}

impl Config {
    /// Reads the named file, or the one at [`STANDARD_FILE`] if there is one, and the variables.
    pub fn load(named: Option<&Path>, surroundings: &Surroundings) -> Result<Self, ConfigError> {
        load::load(named, surroundings)
    }

    /// What was understood: the file, then one line a key with its value and where that comes
    /// from. Secrets are not shown.
    #[must_use]
    pub fn describe(&self) -> String {
        describe::describe(self)
    }

    /// The JSON Schema (2020-12) of the file, as `schemas/config.schema.json` has it.
    #[must_use]
    pub fn schema() -> serde_json::Value {
        describe::schema()
    }

    /// What the operator should know though it stops nothing, in words.
    #[must_use]
    pub fn warnings(&self) -> Vec<String> {
        let written = matches!(
            self.understood.origins.get("server.token"),
            Some(Place::Line { .. })
        );
        let file = self.understood.file.as_deref().filter(|_| written);
        file.and_then(crate::io::secrets::loose_mode)
            .into_iter()
            .collect()
    }

    /// The defaults as they are in these surroundings.
    fn standing_in(surroundings: &Surroundings) -> Self {
        let mut config = Self::default();
        if let Some(directory) = &surroundings.state_directory {
            config.journal.directory.clone_from(directory);
        }
        if let Some(directory) = &surroundings.runtime_directory {
            config.control.socket = directory.join(SOCKET_NAME);
        }
        config
    }
}

/// How the values came about.
#[derive(Clone, Debug, Default, PartialEq)]
struct Understood {
    /// The file that was read.
    file: Option<PathBuf>,
    /// Of the keys that were given: by `section.key`.
    origins: BTreeMap<String, Place>,
}

const SOCKET_NAME: &str = "windrode.sock";

#[cfg(test)]
mod tests;
