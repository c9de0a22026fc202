//! What `windrode status` shows, and the line the service manager shows.

use serde::{Deserialize, Serialize};

use super::Daemon;
use crate::alert::hazard::AlertView;
use crate::boat::BoatFigures;
use crate::outbox::words::Health;
use crate::speech::faults::Link;
use crate::speech::{Language, Wording};
use crate::tackle::water::Tide;
use crate::time::{Now, ShipClock, Timestamp};
use crate::units::{LengthUnit, Metres, Speed, spoken};
use crate::watch::messages::LinkState;
use crate::watch::neighbours::telling::Neighbour;
use crate::watch::state::{WatchState, age};

/// Everything about the current state.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct StatusReport {
    /// The current time, by the daemon's clock.
    pub time: Timestamp,
    /// The ship's clock.
    #[serde(default)]
    pub clock: ShipClock,
    /// The crew's unit of lengths.
    #[serde(default)]
    pub lengths: LengthUnit,
    /// The crew's language.
    #[serde(default)]
    pub language: Language,
    /// Version of the daemon.
    pub version: String,
    /// State of the connection to the data server, in words: `up`, `not connected yet`, or `down: …` and
    /// `impaired: …` with the reason. English, for programs.
    pub link: String,
    /// The same in the crew's language.
    #[serde(default)]
    pub server: String,
    /// What is wrong with the journal, if anything.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub journal: Option<String>,
    /// The channels to phones, and the state of each.
    #[serde(default)]
    pub phones: Vec<Health>,
    /// Alerts that are not normal, gravest first.
    pub alerts: Vec<AlertView>,
    /// The state.
    pub picture: WatchState,
}

impl StatusReport {
    /// How messages to the crew are written, except for the clock, which is [`Self::clock`].
    #[must_use]
    pub fn wording(&self) -> Wording {
        Wording::of(self.lengths, self.language)
    }
}

/// The daemon's data for a plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Figures {
    /// Depth of water now.
    pub depth: Option<Metres>,
    /// The tide over the stay.
    pub tide: Option<Tide>,
    /// The mean wind now.
    pub wind: Option<Speed>,
    /// Length of rode out.
    pub rode_out: Option<Metres>,
    /// The boat, from the configuration and the server.
    pub boat: BoatFigures,
    /// The vessels near her; none while her own position is unknown.
    #[serde(default)]
    pub neighbours: Vec<Neighbour>,
    /// How many vessels are received.
    #[serde(default)]
    pub vessels_heard: usize,
}

impl Daemon {
    pub(super) fn figures(&self, now: Now) -> Figures {
        let picture = self.keeper.picture(now);
        Figures {
            depth: picture.water_depth,
            tide: self.keeper.outlook(now),
            wind: picture.wind_speed,
            rode_out: picture.rode_out,
            boat: self.keeper.boat().figures(),
            neighbours: self.keeper.neighbours(now),
            vessels_heard: self.keeper.vessels_heard(now),
        }
    }

    pub(super) fn status(&self, now: Now) -> StatusReport {
        let say = &self.config.watch.wording;
        StatusReport {
            time: now.utc,
            clock: self.config.zone().ship_clock(now.utc),
            lengths: self.config.watch.wording.lengths,
            language: self.config.watch.wording.language,
            version: env!("CARGO_PKG_VERSION").to_owned(),
            link: self.link_told().words(&Wording::default()),
            server: self.link_told().words(say),
            journal: self.disk_trouble.fault().cloned().map(|why| why.words(say)),
            phones: self.phones.outbox.health(now),
            alerts: self.keeper.alerts(),
            picture: self.keeper.picture(now),
        }
    }

    pub(super) fn status_line(&self) -> String {
        let picture = &self.picture;
        let distance = picture.anchor_distance.zip(picture.reach).map_or(
            String::new(),
            |(distance, reach)| {
                let say = Wording::in_unit(self.config.watch.wording.lengths);
                let old = age(picture.fix_ago);
                let old = old.map_or(String::new(), |age| format!(", {} ago", spoken(age)));
                format!(
                    ", anchor at {} of {}{old}",
                    say.length(distance),
                    say.length(reach)
                )
            },
        );
        let alerts = match self.keeper.alerts().first() {
            Some(alert) => format!(", {}: {}", alert.priority.name(), alert.hazard),
            None => String::new(),
        };
        format!(
            "{}{distance}{alerts}; server {}",
            picture.phase,
            self.link_told().words(&Wording::default())
        )
    }

    fn link_told(&self) -> Link {
        match self
            .session
            .link()
            .map(|link| self.explained(link, self.clock.now()))
        {
            None => Link::NotConnectedYet,
            Some(LinkState::Up) => Link::Up,
            Some(LinkState::Down(why)) => Link::Down { why: why.into() },
            Some(LinkState::Impaired(why)) => Link::Impaired { why: why.into() },
        }
    }
}
