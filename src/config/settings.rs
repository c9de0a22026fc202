//! The whole configuration: the engines' own settings, and those that only effects use.

use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::Duration;

use super::address::ServerAddress;
use super::error::Place;
use crate::io::push::settings::Channel;
use crate::io::secrets::Secret;
use crate::signalk::SourceLabel;
use crate::signalk::paths::OwnPaths;
use crate::tackle::plan::Scopes;
use crate::tackle::strength::GroundTackle;
use crate::time::Zone;
use crate::units::{Metres, Speed};
use crate::watch::settings::WatchSettings;

/// The configuration file that is read when none is named.
pub const STANDARD_FILE: &str = "/etc/windrode/windrode.toml";

/// The whole configuration in force.
#[derive(Clone, Debug, PartialEq)]
pub struct Config {
    /// The data server.
    pub server: Server,
    /// The watch, with the boat's figures; [`Config::watch_settings`] adds the ship's clock.
    pub watch: WatchSettings,
    /// The ground tackle; [`Config::ground_tackle`] adds the rode aboard.
    pub tackle: GroundTackle,
    /// The scope to plan with in a storm.
    pub scope_storm: f64,
    /// The wind that counts as a storm.
    pub storm_wind: Speed,
    /// The paths that differ from boat to boat.
    pub paths: OwnPaths,
    /// The zone of the ship's clock; this computer's zone if not given.
    pub zone: Option<Zone>,
    /// Displays that do not use a data server.
    pub displays: Displays,
    /// The journal.
    pub journal: Journal,
    /// The local command line's socket.
    pub control: Control,
    /// The boat's name in messages to phones.
    pub name: String,
    /// If no channel works for this long, the watch is impaired.
    pub phones_lost_after: Duration,
    /// The channels to phones, by name.
    pub push: BTreeMap<String, Channel>,
    pub(super) understood: Understood,
}

/// `[server]`: the Signal K server.
#[derive(Clone, Debug, PartialEq)]
pub struct Server {
    /// The server's address; without it the server on this computer, or the boat's own one on the network.
    pub url: Option<ServerAddress>,
    /// The token to send to the server; at most one of this and `token_file`.
    pub token: Option<Secret>,
    /// A file that holds the token.
    pub token_file: Option<PathBuf>,
    /// The authorities that may vouch for the server.
    pub ca: Option<PathBuf>,
    /// The source label of the values that windrode publishes.
    pub source: SourceLabel,
}

impl Server {
    /// The address to try first: the one that was given, or else this computer's.
    #[must_use]
    pub fn address(&self) -> ServerAddress {
        self.url.clone().unwrap_or_else(ServerAddress::local)
    }
}

/// `[displays]`: displays that do not use a data server. No port is opened unless it is named here.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Displays {
    /// The address on which displays may connect.
    pub listen: Option<SocketAddr>,
    /// The address to which datagrams are sent.
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
    /// Are the server's messages recorded too?
    pub record: bool,
}

/// `[control]`: the local command line.
#[derive(Clone, Debug, PartialEq)]
pub struct Control {
    /// The Unix socket.
    pub socket: PathBuf,
}

/// The origin of the values.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Understood {
    /// The file that was read.
    pub(super) file: Option<PathBuf>,
    /// Where each given key was given, by `section.key`.
    pub(super) origins: BTreeMap<String, Place>,
}

impl Default for Config {
    fn default() -> Self {
        let scopes = Scopes::default();
        Self {
            server: Server {
                url: None,
                token: None,
                token_file: None,
                ca: None,
                source: SourceLabel::default(),
            },
            watch: WatchSettings::default(),
            tackle: GroundTackle {
                snubber_length: Some(Metres::of(6.0)),
                ..GroundTackle::default()
            },
            scope_storm: scopes.storm,
            storm_wind: scopes.storm_wind,
            paths: OwnPaths::default(),
            zone: None,
            displays: Displays::default(),
            journal: Journal {
                directory: PathBuf::from("/var/lib/windrode"),
                keep: Duration::from_hours(7 * 24),
                batch: Duration::from_secs(30),
                record: false,
            },
            control: Control {
                socket: PathBuf::from("/run/windrode").join(SOCKET_NAME),
            },
            name: "the boat".to_owned(),
            phones_lost_after: Duration::from_mins(10),
            push: BTreeMap::new(),
            understood: Understood::default(),
        }
    }
}

impl Config {
    /// Warnings for the operator that do not stop the start, in words.
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
}

/// Name of the socket in the runtime directory.
pub(super) const SOCKET_NAME: &str = "windrode.sock";
