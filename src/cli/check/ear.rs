//! Listens as the daemon would, and remembers which sensors reported.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use super::findings::{Heard, Need, Sensor};
use crate::boat::Boat;
use crate::config::Config;
use crate::observation::{Fact, Label, Report, Subject};
use crate::signalk::paths;
use crate::signalk::reader::Reader;
use crate::signalk::wire::{self, Incoming};
use crate::speech::Sentence;
use crate::speech::checks::{Check, Looked, Without};
use crate::time::Now;
use crate::watch::freshness::Freshness;
use crate::watch::settings::WatchSettings;

pub(super) struct Ear {
    reader: Reader,
    greeting: Sentence,
    heard: BTreeMap<Looked, Heard>,
    boat: Boat,
    positions: BTreeSet<Label>,
    freshness: Freshness,
}

impl Ear {
    pub(super) fn new(config: &Config) -> Self {
        Self {
            reader: Reader::new(Some(config.source_label())).with_paths(config.own_paths()),
            greeting: Check::NoGreeting.into(),
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
                let greeting = Check::Greeting {
                    name: hello.name,
                    version: hello.version,
                    own: hello.self_context,
                };
                self.greeting = greeting.into();
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
                self.note(Looked::Ais, Heard::Usable);
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
            if name == Looked::Position && heard == Heard::Usable {
                self.positions.insert(report.source.clone());
            }
            self.note(name, heard);
        }
    }

    /// The best result counts.
    fn note(&mut self, name: Looked, heard: Heard) {
        let before = self.heard.entry(name).or_insert(heard);
        *before = (*before).max(heard);
    }

    pub(super) fn greeting(&self) -> Sentence {
        self.greeting.clone()
    }

    pub(super) fn position_sources(&self) -> Vec<String> {
        self.positions.iter().map(ToString::to_string).collect()
    }

    pub(super) fn sensors(&self) -> Vec<Sensor> {
        SENSORS
            .iter()
            .map(|(name, need, cost)| Sensor {
                name: *name,
                need: *need,
                heard: self.heard.get(name).copied().unwrap_or(Heard::Nothing),
                cost: *cost,
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
        let assumed = |length, key| Without::Assumed { length, key };
        vec![
            found(
                Looked::Length,
                figures.length.is_some(),
                assumed(self.boat.length_or_default(), "boat.length"),
            ),
            found(
                Looked::Antenna,
                figures.antenna_from_bow.is_some(),
                Without::Antenna,
            ),
            found(
                Looked::Roller,
                figures.roller_height.is_some(),
                assumed(self.boat.roller_height(), "boat.roller_height"),
            ),
            found(
                Looked::Transducer,
                figures.transducer_depth.is_some() || figures.draught.is_some(),
                Without::Transducer,
            ),
            found(
                Looked::Rode,
                figures.rode_aboard.is_some(),
                assumed(settings.longest_rode(), "tackle.rode_aboard"),
            ),
        ]
    }
}

/// Which sensor a value comes from, and whether the value is usable.
fn sensor_of(fact: &Fact) -> Option<(Looked, bool)> {
    Some(match fact {
        Fact::Position(value) => (Looked::Position, value.is_some()),
        Fact::HeadingTrue(value) => (Looked::Heading, value.is_some()),
        Fact::HeadingMagnetic(value) => (Looked::Heading, value.is_some()),
        Fact::WindSpeedApparent(value)
        | Fact::WindSpeedTrue(value)
        | Fact::WindSpeedOverGround(value) => (Looked::Wind, value.is_some()),
        Fact::DepthBelowKeel(value)
        | Fact::DepthBelowSurface(value)
        | Fact::DepthBelowTransducer(value) => (Looked::Depth, value.is_some()),
        Fact::SpeedOverGround(value) => (Looked::Speed, value.is_some()),
        Fact::FixMethod(value) => (Looked::Method, value.is_some()),
        Fact::Revolutions { rate, .. } => (Looked::Revolutions, rate.is_some()),
        _ => return None,
    })
}

/// A vessel at anchor reports every three minutes (ITU-R M.1371-5, from memory), so AIS works if the
/// server's last report of a vessel is no older than this.
const TWO_REPORTS: Duration = Duration::from_mins(6);

/// The sensors to listen for, how much the watch needs each one, and what its absence costs.
const SENSORS: [(Looked, Need, Without); 8] = [
    (Looked::Position, Need::Vital, Without::Position),
    (Looked::Heading, Need::Useful, Without::Heading),
    (Looked::Wind, Need::Useful, Without::Wind),
    (Looked::Depth, Need::Useful, Without::Depth),
    (Looked::Speed, Need::Useful, Without::Speed),
    (Looked::Method, Need::Optional, Without::Method),
    (Looked::Revolutions, Need::Optional, Without::Revolutions),
    (Looked::Ais, Need::Optional, Without::Ais),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::Tick;
    use crate::units::LengthUnit;

    fn heard(ear: &Ear, name: Looked) -> Heard {
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
            (Looked::Position, Heard::Old),
            (Looked::Heading, Heard::Old),
            (Looked::Depth, Heard::Old),
            (Looked::Wind, Heard::Nothing),
            (Looked::Ais, Heard::Usable),
        ] {
            assert_eq!(heard(&ear, name), wanted, "{name:?}");
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
            (Looked::Position, Heard::Usable),
            (Looked::Heading, Heard::Unusable),
            (Looked::Revolutions, Heard::Usable),
        ] {
            assert_eq!(heard(&ear, name), wanted, "{name:?}");
        }
        // A repeated value stays old; a changing one is live, whatever its clock shows.
        ear.hear(
            &delta(own, old, "environment.depth.belowSurface", "7.5"),
            now,
        );
        assert_eq!(heard(&ear, Looked::Depth), Heard::Old);
        let later = "2026-06-01T08:00:01Z";
        ear.hear(
            &delta(own, later, "environment.depth.belowSurface", "7.5"),
            now,
        );
        assert_eq!(heard(&ear, Looked::Depth), Heard::Usable);
        assert_eq!(ear.position_sources(), ["gps0.GP"]);
    }

    #[test]
    fn assumptions_are_shown_in_the_crew_s_unit() {
        let config = Config::default();
        let mut settings = config.watch.clone();
        settings.wording.lengths = LengthUnit::Feet;
        let said = |settings: &WatchSettings| {
            let figures = Ear::new(&config).figures(settings);
            let say = &settings.wording;
            let costs: Vec<String> = figures.into_iter().map(|f| f.cost.words(say)).collect();
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
