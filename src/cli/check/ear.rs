//! Listens as the daemon would, and remembers which sensors reported.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use super::findings::{Heard, Need, Sensor};
use crate::boat::Boat;
use crate::config::Config;
use crate::observation::{Fact, Label, Report, Subject};
use crate::signalk::paths;
use crate::signalk::reader::Reader;
use crate::signalk::wire::{self, Incoming};
use crate::speech::Wording;
use crate::time::Now;
use crate::units::Metres;
use crate::watch::freshness::Freshness;
use crate::watch::settings::WatchSettings;

pub(super) struct Ear {
    reader: Reader,
    server: Option<String>,
    heard: BTreeMap<&'static str, Heard>,
    boat: Boat,
    positions: BTreeSet<Label>,
    freshness: Freshness,
}

impl Ear {
    pub(super) fn new(config: &Config) -> Self {
        Self {
            reader: Reader::new(Some(config.source_label())).with_paths(config.own_paths()),
            server: None,
            heard: BTreeMap::new(),
            boat: Boat::new(config.watch.boat),
            positions: BTreeSet::new(),
            freshness: Freshness::default(),
        }
    }

    /// Takes a frame; returns the reply to send.
    pub(super) fn hear(&mut self, text: &str, now: Now) -> Vec<String> {
        match wire::parse(text, |path| self.reader.wants(path)) {
            Ok(Incoming::Hello(hello)) => {
                self.reader.set_self(&hello.self_context);
                self.server = Some(format!(
                    "{} {}, own vessel `{}`",
                    hello.name, hello.version, hello.self_context
                ));
                return paths::subscriptions(self.reader.own_paths());
            }
            Ok(Incoming::Delta(delta)) => {
                let mut reports = Vec::new();
                self.reader.read(&delta, &mut reports);
                for report in reports {
                    self.take(&report, now);
                }
            }
            Ok(_) | Err(_) => {}
        }
        Vec::new()
    }

    fn take(&mut self, report: &Report, now: Now) {
        if let Subject::Other(vessel) = &report.subject {
            let seen = |fact: &&Fact| matches!(fact, Fact::Position(Some(_)));
            if let Some(fact) = report.facts.iter().find(seen)
                && self
                    .freshness
                    .is_news(now, TWO_REPORTS, vessel, fact, report.stamp)
            {
                self.note(AIS, Heard::Usable);
            }
            return;
        }
        for fact in &report.facts {
            self.boat.take(fact);
            let Some((name, usable)) = sensor_of(fact) else {
                continue;
            };
            // On subscribing, the server sends the last value of each device, even of one that was switched
            // off a moment ago. So the first value proves nothing; a value with another timestamp does,
            // whatever the clock shows.
            let news =
                self.freshness
                    .is_news(now, Duration::ZERO, &report.source, fact, report.stamp);
            let heard = match (usable, news) {
                (_, false) => Heard::Old,
                (true, true) => Heard::Usable,
                (false, true) => Heard::Unusable,
            };
            if name == POSITION && heard == Heard::Usable {
                self.positions.insert(report.source.clone());
            }
            self.note(name, heard);
        }
    }

    /// The best result counts.
    fn note(&mut self, name: &'static str, heard: Heard) {
        let before = self.heard.entry(name).or_insert(heard);
        *before = (*before).max(heard);
    }

    pub(super) fn server(&self) -> String {
        self.server
            .clone()
            .unwrap_or_else(|| "no greeting".to_owned())
    }

    pub(super) fn position_sources(&self) -> Vec<String> {
        self.positions.iter().map(ToString::to_string).collect()
    }

    pub(super) fn sensors(&self) -> Vec<Sensor> {
        SENSORS
            .iter()
            .map(|(name, need, cost)| Sensor {
                name,
                need: *need,
                heard: self.heard.get(name).copied().unwrap_or(Heard::Nothing),
                cost: Cow::Borrowed(cost),
            })
            .collect()
    }

    /// The boat's figures from the configuration or the server, and the watch's assumptions for missing
    /// ones.
    pub(super) fn figures(&self, settings: &WatchSettings) -> Vec<Sensor> {
        let figures = self.boat.figures();
        let found = |name, known: bool, cost| Sensor {
            name,
            need: Need::Useful,
            heard: if known { Heard::Usable } else { Heard::Nothing },
            cost,
        };
        let assumed = |length: Metres, key: &str| {
            let length = Wording::in_unit(settings.wording.lengths).length(length);
            Cow::Owned(format!("assuming {length}; set `{key}`"))
        };
        vec![
            found(
                "length",
                figures.length.is_some(),
                assumed(self.boat.length_or_default(), "boat.length"),
            ),
            found(
                "antenna from bow",
                figures.antenna_from_bow.is_some(),
                Cow::Borrowed("adds half a boat length of error; set `boat.antenna_from_bow`"),
            ),
            found(
                "roller height",
                figures.roller_height.is_some(),
                assumed(self.boat.roller_height(), "boat.roller_height"),
            ),
            found(
                "transducer or draught",
                figures.transducer_depth.is_some() || figures.draught.is_some(),
                Cow::Borrowed("the depth of water may be unknown; set `boat.transducer_depth`"),
            ),
            found(
                "rode aboard",
                figures.rode_aboard.is_some(),
                assumed(settings.longest_rode(), "tackle.rode_aboard"),
            ),
        ]
    }
}

/// Which sensor a value comes from, and whether the value is usable.
fn sensor_of(fact: &Fact) -> Option<(&'static str, bool)> {
    Some(match fact {
        Fact::Position(value) => (POSITION, value.is_some()),
        Fact::HeadingTrue(value) => (HEADING, value.is_some()),
        Fact::HeadingMagnetic(value) => (HEADING, value.is_some()),
        Fact::WindSpeedApparent(value)
        | Fact::WindSpeedTrue(value)
        | Fact::WindSpeedOverGround(value) => (WIND, value.is_some()),
        Fact::DepthBelowKeel(value)
        | Fact::DepthBelowSurface(value)
        | Fact::DepthBelowTransducer(value) => (DEPTH, value.is_some()),
        Fact::SpeedOverGround(value) => (SPEED, value.is_some()),
        Fact::FixMethod(value) => (METHOD, value.is_some()),
        Fact::Revolutions { rate, .. } => (REVOLUTIONS, rate.is_some()),
        _ => return None,
    })
}

/// A vessel at anchor reports every three minutes (ITU-R M.1371-5, from memory), so AIS works if the
/// server's last report of a vessel is no older than this.
const TWO_REPORTS: Duration = Duration::from_mins(6);

const POSITION: &str = "position";
const HEADING: &str = "heading";
const WIND: &str = "wind";
const DEPTH: &str = "depth";
const SPEED: &str = "speed over ground";
const METHOD: &str = "method of the fix";
const REVOLUTIONS: &str = "revolutions";
const AIS: &str = "AIS";

/// The sensors to listen for, how much the watch needs each one, and what its absence costs.
const SENSORS: [(&str, Need, &str); 8] = [
    (POSITION, Need::Vital, "without it there is no anchor watch"),
    (
        HEADING,
        Need::Useful,
        "the bow is not known, so a drag is found later, by the antenna's distance from the bow",
    ),
    (
        WIND,
        Need::Useful,
        "no alert for wind shift or strong wind, no head-to-wind course",
    ),
    (
        DEPTH,
        Need::Useful,
        "no alert for shoaling, no scope; the reach is taken as the whole rode",
    ),
    (SPEED, Need::Useful, "a frozen position is found later"),
    (
        METHOD,
        Need::Optional,
        "dead reckoning cannot be told from a real fix",
    ),
    (
        REVOLUTIONS,
        Need::Optional,
        "normal while the engine is off; if the server never has them, start and end the pull test yourself",
    ),
    (AIS, Need::Optional, "normal where no other vessel is near"),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::Tick;
    use crate::units::LengthUnit;

    fn heard(ear: &Ear, name: &str) -> Heard {
        ear.sensors().iter().find(|s| s.name == name).unwrap().heard
    }

    fn delta(context: &str, time: &str, path: &str, value: &str) -> String {
        format!(
            r#"{{"context":"{context}","updates":[{{"$source":"gps0.GP","timestamp":"{time}","values":[{{"path":"{path}","value":{value}}}]}}]}}"#
        )
    }

    /// Each first value may come from the server's cache: from last night or from a second ago.
    #[test]
    fn a_null_and_a_cached_value_are_not_current_values() {
        let now = Now::new(Tick::START, "2026-06-01T20:00:00Z".parse().unwrap());
        let mut ear = Ear::new(&Config::default());
        let hello = r#"{"name":"signalk-server","version":"2.32.0","self":"vessels.self-1","roles":["main"],"timestamp":"2026-06-01T20:00:00Z"}"#;
        assert!(!ear.hear(hello, now).is_empty());
        let (own, live, old) = (
            "vessels.self-1",
            "2026-06-01T19:59:59Z",
            "2026-06-01T08:00:00Z",
        );
        let place = r#"{"latitude":59.8539,"longitude":23.26}"#;
        for (context, time, path, value) in [
            (own, live, "navigation.position", place),
            (own, live, "navigation.headingTrue", "null"),
            (own, old, "environment.depth.belowSurface", "7.5"),
            (
                own,
                "2026-06-01T19:59:58Z",
                "propulsion.main.revolutions",
                "13.5",
            ),
            (
                "vessels.urn:mrn:imo:mmsi:230099998",
                live,
                "navigation.position",
                place,
            ),
        ] {
            let sent = ear.hear(&delta(context, time, path, value), now);
            assert!(sent.is_empty());
        }
        for (name, wanted) in [
            (POSITION, Heard::Old),
            (HEADING, Heard::Old),
            (DEPTH, Heard::Old),
            (WIND, Heard::Nothing),
            (AIS, Heard::Usable),
        ] {
            assert_eq!(heard(&ear, name), wanted, "{name}");
        }
        let next = "2026-06-01T20:00:00Z";
        for (path, value) in [
            ("navigation.position", place),
            ("navigation.headingTrue", "null"),
            ("propulsion.main.revolutions", "13.5"),
        ] {
            ear.hear(&delta(own, next, path, value), now);
        }
        for (name, wanted) in [
            (POSITION, Heard::Usable),
            (HEADING, Heard::Unusable),
            (REVOLUTIONS, Heard::Usable),
        ] {
            assert_eq!(heard(&ear, name), wanted, "{name}");
        }
        // A repeated value stays old; a changing one is live, whatever its clock shows.
        ear.hear(
            &delta(own, old, "environment.depth.belowSurface", "7.5"),
            now,
        );
        assert_eq!(heard(&ear, DEPTH), Heard::Old);
        let later = "2026-06-01T08:00:01Z";
        ear.hear(
            &delta(own, later, "environment.depth.belowSurface", "7.5"),
            now,
        );
        assert_eq!(heard(&ear, DEPTH), Heard::Usable);
        assert_eq!(ear.position_sources(), ["gps0.GP"]);
    }

    #[test]
    fn assumptions_are_shown_in_the_crew_s_unit() {
        let config = Config::default();
        let mut settings = config.watch.clone();
        settings.wording.lengths = LengthUnit::Feet;
        let said = |settings: &WatchSettings| {
            let figures = Ear::new(&config).figures(settings);
            let costs: Vec<String> = figures.into_iter().map(|f| f.cost.into_owned()).collect();
            costs.join(", ")
        };
        let metres = said(&config.watch);
        assert!(metres.contains("assuming 11 m;") && metres.contains("assuming 60 m;"));
        let feet = said(&settings);
        assert!(
            feet.contains("assuming 36 ft;") && !feet.contains(" m;"),
            "{feet}"
        );
    }
}
