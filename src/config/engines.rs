//! From what the operator wrote to the settings of the engines.

use std::time::Duration;

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

    /// The outbox's settings. `instance` tells this watch from another, `key` signs answers.
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

    /// What the plan calculates that the boat lies to.
    #[must_use]
    pub fn ground_tackle(&self) -> GroundTackle {
        GroundTackle {
            aboard: self.watch.boat.rode_aboard,
            ..self.tackle.clone()
        }
    }

    /// The scopes that are planned with.
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

    /// What else is read on this boat.
    #[must_use]
    pub fn own_paths(&self) -> OwnPaths {
        self.paths.clone()
    }

    /// The ship's clock.
    #[must_use]
    pub fn zone(&self) -> Zone {
        let own = || Zone::new(jiff::tz::TimeZone::system());
        self.zone.clone().unwrap_or_else(own)
    }

    /// The source label of what we publish.
    #[must_use]
    pub fn source_label(&self) -> SourceLabel {
        self.server.source.clone()
    }
}
