//! From what the operator wrote to the settings of the engines.

use super::{Config, Kind};
use crate::alert::desk::DeskSettings;
use crate::alert::wording::Wording;
use crate::observation::Label;
use crate::outbox::words::{Route, Settings};
use crate::signalk::SourceLabel;
use crate::signalk::paths::OwnPaths;
use crate::tackle::plan::Scopes;
use crate::tackle::strength::GroundTackle;
use crate::time::Zone;
use crate::watch::settings::WatchSettings;

impl Config {
    /// The watch's settings.
    #[must_use]
    pub fn watch_settings(&self) -> WatchSettings {
        WatchSettings {
            boat: self.boat,
            stretch: self.tackle.stretch,
            preferred_source: self.fix.source.as_deref().map(Label::new),
            max_age: self.fix.max_age,
            lost_after: self.fix.lost_after,
            failover_after: self.fix.failover_after,
            accuracy: self.fix.accuracy,
            drag_margin: self.drag.margin,
            drag_hold: self.drag.hold,
            settle: self.drag.settle,
            swing_margin: self.swing.margin,
            swing_hold: self.swing.hold,
            wind_shift: self.wind.shift,
            wind_window: self.wind.window,
            wind_hold: self.wind.hold,
            wind_least: self.wind.least,
            wind_mean: self.wind.mean,
            wind_gust: self.wind.gust,
            wind_strength_hold: self.wind.strength_hold,
            scope: self.tackle.scope,
            scope_strong: self.tackle.scope_strong,
            strong_wind: self.wind.strong,
            keel_margin: self.water.keel_margin,
            forecast: self.water.station.clone(),
            stay: self.water.stay,
            wording: self.wording(),
            least_voltage: self.power.least,
            link_lost_after: self.link.lost_after,
            desk: DeskSettings {
                repeat: self.alerts.repeat,
                answer_within: self.alerts.answer_within,
            },
            unmarked_after: self.reminder.unmarked_after,
        }
    }

    /// The outbox's settings. `instance` tells this watch from another, `key` signs answers.
    #[must_use]
    pub fn outbox_settings(&self, instance: String, key: [u8; 32]) -> Settings {
        let routes = self.push.iter().map(|(name, channel)| Route {
            name: name.clone(),
            least: (channel.kind != Some(Kind::Ping)).then_some(channel.least),
            quiet: channel.quiet,
            after: channel.after,
            repeat: channel.repeat,
            answers: channel.replies.is_some() || channel.kind == Some(Kind::Mqtt),
            dark_after: channel.dark_after,
            probe_every: channel.every,
        });
        Settings {
            boat: self.name.clone(),
            instance,
            routes: routes.collect(),
            lost_after: self.phones.lost_after,
            // The small computer's own, as its clock shows it.
            zone: self.zone(),
            key,
        }
    }

    /// What the plan reckons the boat to lie to.
    #[must_use]
    pub fn ground_tackle(&self) -> GroundTackle {
        let tackle = &self.tackle;
        GroundTackle {
            chain: tackle.chain,
            chain_length: tackle.chain_length,
            rope: tackle.rope,
            aboard: self.boat.rode_aboard,
            snubber: tackle.snubber,
            snubber_length: Some(tackle.snubber_length),
            marks: tackle.marks,
            anchor: tackle.anchor,
        }
    }

    /// The scopes that are planned with.
    #[must_use]
    pub const fn scopes(&self) -> Scopes {
        Scopes {
            asked: None,
            good: self.tackle.scope,
            strong: self.tackle.scope_strong,
            storm: self.tackle.scope_storm,
            strong_wind: self.wind.strong,
            storm_wind: self.wind.storm,
        }
    }

    /// How the crew is spoken to.
    #[must_use]
    pub fn wording(&self) -> Wording {
        Wording {
            lengths: self.crew.lengths,
            zone: self.zone(),
        }
    }

    /// What is read on this boat besides.
    #[must_use]
    pub fn own_paths(&self) -> OwnPaths {
        OwnPaths {
            counter: self.tackle.counter.clone(),
            battery: self.power.battery.clone(),
        }
    }

    /// The ship's clock.
    #[must_use]
    pub fn zone(&self) -> Zone {
        let own = || Zone::new(jiff::tz::TimeZone::system());
        self.crew.zone.clone().unwrap_or_else(own)
    }

    /// The source label of what we publish.
    #[must_use]
    pub fn source_label(&self) -> SourceLabel {
        // Its form was checked when the configuration was read.
        self.server.source.parse().unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each default stands in the configuration and in the watch; they must not drift apart.
    #[test]
    fn the_defaults_of_file_and_engine_are_the_same() {
        let config = Config::default();
        let mut watch = WatchSettings::default();
        // The clock is this computer's.
        watch.wording.zone = config.zone();
        assert_eq!(config.watch_settings(), watch);
        assert_eq!(config.source_label(), SourceLabel::default());
        assert_eq!(config.scopes(), Scopes::default());
    }
}
