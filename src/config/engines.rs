//! Converts the operator's configuration into the settings of the engines.

use std::fmt::Write as _;
use std::time::Duration;

use super::keys::keys;
use super::settings::Config;
use crate::io::push::settings::Kind;
use crate::outbox::words::{Route, Settings};
use crate::signalk::SourceLabel;
use crate::signalk::paths::OwnPaths;
use crate::speech::Wording;
use crate::tackle::plan::Scopes;
use crate::tackle::strength::GroundTackle;
use crate::time::Zone;
use crate::watch::berth::PlanSettings;
use crate::watch::settings::WatchSettings;

impl Config {
    /// The watch's settings.
    #[must_use]
    pub fn watch_settings(&self) -> WatchSettings {
        WatchSettings {
            wording: self.wording(),
            plan: PlanSettings {
                tackle: self.ground_tackle(),
                scopes: self.scopes(),
            },
            ..self.watch.clone()
        }
    }

    /// The outbox's settings. `instance` distinguishes this watch from another; `key` signs answers.
    #[must_use]
    pub fn outbox_settings(&self, instance: String, key: [u8; 32]) -> Settings {
        let routes = self.push.iter().map(|(name, channel)| {
            let delivery = channel.delivery.clone();
            let (answers, dark_after) = match &channel.kind {
                Kind::Topic {
                    replies,
                    dark_after,
                    ..
                } => (replies.is_some(), *dark_after),
                other => (matches!(other, Kind::Mqtt { .. }), None),
            };
            Route {
                name: name.clone(),
                least: delivery.as_ref().map(|delivery| delivery.least),
                quiet: delivery.as_ref().and_then(|delivery| delivery.quiet),
                after: delivery
                    .as_ref()
                    .map_or(Duration::ZERO, |delivery| delivery.after),
                repeat: delivery
                    .as_ref()
                    .map_or(Duration::ZERO, |delivery| delivery.repeat),
                answers,
                dark_after,
                probe_every: channel.every,
            }
        });
        Settings {
            boat: self.name.clone(),
            instance,
            routes: routes.collect(),
            lost_after: self.phones_lost_after,
            wording: self.wording(),
            key,
        }
    }

    /// What the boat lies to in the plan's calculation.
    #[must_use]
    pub fn ground_tackle(&self) -> GroundTackle {
        GroundTackle {
            aboard: self.watch.boat.rode_aboard,
            ..self.tackle.clone()
        }
    }

    /// The scopes used for planning.
    #[must_use]
    pub const fn scopes(&self) -> Scopes {
        Scopes {
            asked: None,
            good: self.watch.scope,
            strong: self.watch.scope_strong,
            storm: self.scope_storm,
            strong_wind: self.watch.strong_wind,
            storm_wind: self.storm_wind,
        }
    }

    /// How messages to the crew are written.
    #[must_use]
    pub fn wording(&self) -> Wording {
        Wording {
            zone: self.zone(),
            ..self.watch.wording.clone()
        }
    }

    /// Additional paths that are read on this boat.
    #[must_use]
    pub fn own_paths(&self) -> OwnPaths {
        self.paths.clone()
    }

    /// The given keys that affect the judgement, in the form of a configuration file. It contains no
    /// section with an address or a secret. With `nameless`, keys that reveal the place or the boat are
    /// left out.
    #[must_use]
    pub fn judging(&self, nameless: bool) -> String {
        let mut text = String::new();
        let mut last = "";
        keys(&mut self.clone(), |key| {
            let Some(section) = JUDGING.iter().find(|section| **section == key.section) else {
                return;
            };
            let is_telling = TELLING.contains(&(key.section, key.name));
            if !self.understood.origins.contains_key(&key.full()) || nameless && is_telling {
                return;
            }
            let Some(written) = key.slot.written() else {
                return;
            };
            if last != *section {
                let _ = writeln!(text, "[{section}]");
                last = section;
            }
            // A JSON string is also a TOML string.
            let value = serde_json::Value::from(written);
            let _ = writeln!(text, "{} = {value}", key.name);
        });
        text
    }

    /// The ship's clock.
    #[must_use]
    pub fn zone(&self) -> Zone {
        let own = || Zone::new(jiff::tz::TimeZone::system());
        self.zone.clone().unwrap_or_else(own)
    }

    /// The source label of the values that we publish.
    #[must_use]
    pub fn source_label(&self) -> SourceLabel {
        self.server.source.clone()
    }
}

/// The sections that the watch uses for its judgement.
const JUDGING: [&str; 13] = [
    "boat",
    "tackle",
    "fix",
    "swing",
    "drag",
    "wind",
    "water",
    "reminder",
    "neighbour",
    "link",
    "alerts",
    "power",
    "crew",
];
/// Those keys that reveal the place or the boat.
const TELLING: [(&str, &str); 3] = [("water", "station"), ("crew", "zone"), ("boat", "name")];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_judging_keys_are_read_back_and_no_secret_or_address_is_among_them() {
        let text = "[server]\nurl = \"wss://tern.example:3443\"\ntoken = \"eyJsecret\"\n\
                    [boat]\ndraught = \"2.1 m\"\n[crew]\nzone = \"Europe/Helsinki\"\n\
                    [push.mate]\nkind = \"topic\"\nurl = \"https://push.example\"\ntopic = \"tern-very-secret\"\n";
        let config = Config::of_text(text, "windrode.toml".as_ref()).unwrap();
        let judging = config.judging(false);
        assert_eq!(
            judging,
            "[boat]\ndraught = \"2.1 m\"\n[crew]\nzone = \"Europe/Helsinki\"\n"
        );
        let again = Config::of_text(&judging, "bundle".as_ref()).unwrap();
        assert_eq!(again.watch_settings(), config.watch_settings());
        assert!(!config.judging(true).contains("Helsinki"));
    }
}
