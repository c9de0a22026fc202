//! What we publish: the watch's picture as Signal K values, and the metadata that explains them.
//!
//! Between heartbeats only changed values are sent, rounded to the precision that the watch can have: positions to 1e-7
//! degree (1 cm), lengths to 1 cm, angles to 1e-4 rad, plain numbers to three decimals. With each heartbeat everything
//! is sent again, commands included: the server forwards a PUT to the client that last sent a value on that path, so
//! another client that used our label would otherwise keep the commands. A command without a value of its own is sent
//! as `null`. An unknown value is also `null`, and so is a value that rests on an old fix, sounding or wind
//! ([`WatchState::live`]).
//!
//! Metadata is sent once for each connection, with its first heartbeat (the server keeps it in memory only). Units are
//! given where the schema has the quantity; plain numbers have none, and in particular not `ratio`, which the server
//! shows as percent: a scope of 5 would read 500 %. Zones are never sent: the server would raise its own alarms beside
//! ours, and a lost value would read as normal.
//!
//! `timeout` gives the seconds after which a value is out of date (schema 1.8.2, *meta*). Nothing else shows a display
//! that we were killed, because the server keeps showing the last value, also of notifications. `updateContract` is for
//! a server that enforces timeouts: it takes `navigation.anchor` for a value that changes by events.
//!
//! Shape: every update has `$source` and a `timestamp` ending in `Z`, the context is the full one of our vessel, and no
//! value is an array (schema 1.8.2; checked by `everything_sent_has_the_schema_s_shape`).

mod items;

use serde_json::{Map, Value, json};

use self::items::ITEMS;
use super::SourceLabel;
use super::paths::{DRILL, HEARTBEAT};
use crate::time::Timestamp;
use crate::units::LengthUnit;
use crate::watch::state::WatchState;

/// Writes the deltas of one source label and remembers what was already sent to the server.
#[derive(Clone, Debug)]
pub struct Publisher {
    label: SourceLabel,
    lengths: LengthUnit,
    sent: Vec<Option<Value>>,
}

impl Publisher {
    /// A publisher that has sent nothing yet.
    #[must_use]
    pub fn new(label: SourceLabel, lengths: LengthUnit) -> Self {
        Self {
            label,
            lengths,
            sent: Vec::new(),
        }
    }

    /// A new connection: the server may have none of our values.
    pub fn forget(&mut self) {
        self.sent.clear();
    }

    /// The values that changed since they were last sent, if any did.
    pub fn changed(
        &mut self,
        context: &str,
        utc: Timestamp,
        picture: &WatchState,
    ) -> Option<String> {
        let current = current(picture);
        let values: Vec<Value> = ITEMS
            .iter()
            .zip(&current)
            .enumerate()
            .filter(|(place, (_, value))| {
                self.sent.get(*place).and_then(Option::as_ref) != Some(*value)
            })
            .map(|(_, (item, value))| json!({"path": item.path, "value": value}))
            .collect();
        self.sent = current.into_iter().map(Some).collect();
        (!values.is_empty()).then(|| self.delta(context, utc, values, None))
    }

    /// The first heartbeat of a connection: every value with its metadata. (Metadata alone would be an update without
    /// `values`, which the schema does not allow.)
    pub fn introduction(
        &mut self,
        context: &str,
        utc: Timestamp,
        picture: &WatchState,
        count: u64,
    ) -> String {
        let values = self.everything(picture, count);
        let mut meta = metadata(self.lengths);
        meta.retain(|entry| entry["path"] != DRILL);
        self.delta(context, utc, values, Some(meta))
    }

    /// Every value, every command, and the counter.
    pub fn heartbeat(
        &mut self,
        context: &str,
        utc: Timestamp,
        picture: &WatchState,
        count: u64,
    ) -> String {
        let values = self.everything(picture, count);
        self.delta(context, utc, values, None)
    }

    /// One value on one path, used for notifications.
    #[must_use]
    pub fn single(&self, context: &str, utc: Timestamp, path: &str, value: &Value) -> String {
        let values = vec![json!({"path": path, "value": value})];
        self.delta(context, utc, values, None)
    }

    fn everything(&mut self, picture: &WatchState, count: u64) -> Vec<Value> {
        let current = current(picture);
        let mut values: Vec<Value> = ITEMS
            .iter()
            .zip(&current)
            .map(|(item, value)| json!({"path": item.path, "value": value}))
            .collect();
        values.push(json!({"path": HEARTBEAT, "value": count}));
        self.sent = current.into_iter().map(Some).collect();
        values
    }

    fn delta(
        &self,
        context: &str,
        utc: Timestamp,
        values: Vec<Value>,
        meta: Option<Vec<Value>>,
    ) -> String {
        let mut update = Map::new();
        update.insert("$source".to_owned(), self.label.as_str().into());
        update.insert("timestamp".to_owned(), utc.to_string().into());
        update.insert("values".to_owned(), values.into());
        if let Some(meta) = meta {
            update.insert("meta".to_owned(), meta.into());
        }
        json!({"context": context, "updates": [update]}).to_string()
    }
}

/// The metadata of every path that windrode publishes; [`DRILL`] comes from a drill only.
#[must_use]
pub fn metadata(lengths: LengthUnit) -> Vec<Value> {
    let of_watch = ITEMS.iter().map(|item| {
        let mut about = Map::new();
        if let Some(quantity) = item.quantity {
            about.insert("units".to_owned(), quantity.units().into());
            about.insert("displayUnits".to_owned(), quantity.display_units(lengths));
        }
        if item.is_live() {
            about.insert("timeout".to_owned(), TIMEOUT.into());
            about.insert("updateContract".to_owned(), "periodic".into());
        }
        about.insert("displayName".to_owned(), item.name.into());
        about.insert("description".to_owned(), item.description.into());
        json!({"path": item.path, "value": about})
    });
    let others = OTHERS.map(|(path, name, description)| {
        json!({"path": path, "value": {
            "displayName": name,
            "description": description,
            "timeout": TIMEOUT,
            "updateContract": "periodic",
        }})
    });
    of_watch.chain(others).collect()
}

/// What is published beside the watch's picture: path, name, description.
const OTHERS: [(&str, &str, &str); 2] = [
    (
        HEARTBEAT,
        "Watch heartbeat",
        "Counts up every 10 s while windrode keeps watch; if it stops, nobody keeps watch",
    ),
    (
        DRILL,
        "Anchor drill",
        "Title of the night that a drill shows on this server; null when there is no drill",
    ),
];

/// Three heartbeats.
const TIMEOUT: u32 = 30;

fn current(picture: &WatchState) -> Vec<Value> {
    let live = picture.live();
    ITEMS.iter().map(|item| (item.value)(&live)).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::geodesy::Position;
    use crate::units::{Angle, Bearing, Metres};
    use crate::watch::anchorage::phase::AnchorPhase;

    const TERN: &str = "vessels.urn:mrn:imo:mmsi:230099999";

    fn utc() -> Timestamp {
        "2026-06-01T21:30:00Z".parse().unwrap()
    }

    fn publisher() -> Publisher {
        Publisher::new(SourceLabel::default(), LengthUnit::Metres)
    }

    fn riding() -> WatchState {
        WatchState {
            phase: AnchorPhase::Set,
            anchor: Position::new(59.853_912_345_678, 23.260_000_012).ok(),
            max_radius: Some(Metres::of(52.004_9)),
            current_radius: Some(Metres::of(31.4)),
            anchor_bearing: Some(Bearing::of(std::f64::consts::TAU - 1e-5)),
            scope: Some(5.012_345),
            water_depth: Some(Metres::of(7.0)),
            drag_probability: Some(0.000_4),
            wind_shift: Some(Angle::of(-0.123_456)),
            berth_time: Some(83.4),
            ..WatchState::default()
        }
    }

    fn parsed(text: &str) -> Value {
        serde_json::from_str(text).unwrap()
    }

    fn value(delta: &Value, path: &str) -> Option<Value> {
        delta["updates"][0]["values"]
            .as_array()?
            .iter()
            .find(|entry| entry["path"] == path)
            .map(|entry| entry["value"].clone())
    }

    #[test]
    fn a_heartbeat_sends_everything_rounded_to_known_precision() {
        let delta = parsed(&publisher().heartbeat(TERN, utc(), &riding(), 7));
        assert_eq!(delta["context"], TERN);
        let update = &delta["updates"][0];
        assert_eq!(update["$source"], "windrode");
        assert_eq!(update["timestamp"], "2026-06-01T21:30:00.000Z");
        assert_eq!(update["values"].as_array().unwrap().len(), ITEMS.len() + 1);
        for (path, wanted) in [
            (
                "navigation.anchor.position",
                json!({"latitude": 59.853_912_3, "longitude": 23.26}),
            ),
            ("navigation.anchor.maxRadius", json!(52.0)),
            ("navigation.anchor.currentRadius", json!(31.4)),
            ("navigation.anchor.watch.phase", json!("set")),
            // Just under a full turn rounds to more than a turn: that is north.
            ("navigation.anchor.watch.anchorBearing", json!(0.0)),
            ("navigation.anchor.watch.scope", json!(5.012)),
            ("navigation.anchor.watch.dragProbability", json!(0.0)),
            ("navigation.anchor.watch.windShift", json!(-0.1235)),
            ("navigation.anchor.watch.berthTime", json!(83.0)),
            ("navigation.anchor.watch.scopeAtHighWater", Value::Null),
            ("navigation.anchor.watch.underKeelAtLowWater", Value::Null),
            ("navigation.anchor.watch.berth", Value::Null),
            ("navigation.anchor.watch.letGo", Value::Null),
            ("navigation.anchor.watch.weigh", Value::Null),
            ("navigation.anchor.watch.acknowledge", Value::Null),
            ("navigation.anchor.watch.silence", Value::Null),
            ("navigation.anchor.watch.heartbeat", json!(7)),
        ] {
            assert_eq!(value(&delta, path), Some(wanted), "{path}");
        }
    }

    #[test]
    fn between_heartbeats_only_changes_are_sent() {
        let mut publisher = publisher();
        let _ = publisher.heartbeat(TERN, utc(), &riding(), 1);
        assert_eq!(publisher.changed(TERN, utc(), &riding()), None);
        let mut nearer = riding();
        // A millimetre does not count as a change, half a metre does.
        nearer.current_radius = Some(Metres::of(31.401));
        assert_eq!(publisher.changed(TERN, utc(), &nearer), None);
        nearer.current_radius = Some(Metres::of(30.9));
        nearer.scope = None;
        let delta = parsed(&publisher.changed(TERN, utc(), &nearer).unwrap());
        assert_eq!(
            delta["updates"][0]["values"],
            json!([
                {"path": "navigation.anchor.currentRadius", "value": 30.9},
                {"path": "navigation.anchor.watch.scope", "value": null},
            ])
        );
        publisher.forget();
        let all = parsed(&publisher.changed(TERN, utc(), &nearer).unwrap());
        assert_eq!(
            all["updates"][0]["values"].as_array().unwrap().len(),
            ITEMS.len()
        );
    }

    /// The rules are those of `delta.json` and `definitions.json` in the schema 1.8.2, except
    /// for `ratio`, which signalk-server 2.32.0 shows as percent.
    #[test]
    fn everything_sent_has_the_schema_s_shape() {
        let mut publisher = publisher();
        for delta in [
            parsed(&publisher.introduction(TERN, utc(), &riding(), 1)),
            parsed(&publisher.heartbeat(TERN, utc(), &riding(), 1)),
            parsed(&publisher.single(TERN, utc(), "notifications.x", &json!({"a": 1}))),
        ] {
            let update = delta["updates"][0].as_object().unwrap();
            for required in ["$source", "timestamp", "values"] {
                assert!(update.contains_key(required), "{required}");
            }
            for key in update.keys() {
                assert!(
                    ["$source", "timestamp", "values", "meta"].contains(&key.as_str()),
                    "{key}"
                );
            }
            assert!(update["timestamp"].as_str().unwrap().ends_with('Z'));
            for entry in update
                .get("values")
                .and_then(Value::as_array)
                .into_iter()
                .flatten()
            {
                assert!(!entry["value"].is_array(), "{entry}");
            }
            for entry in update
                .get("meta")
                .and_then(Value::as_array)
                .into_iter()
                .flatten()
            {
                let about = entry["value"].as_object().unwrap();
                assert!(!about["description"].as_str().unwrap().is_empty());
                assert!(!about["displayName"].as_str().unwrap().is_empty());
                assert!(!about.contains_key("zones"));
                assert!(
                    ["m", "rad", "s", ""]
                        .contains(&about.get("units").map_or("", |u| u.as_str().unwrap()))
                );
            }
        }
    }

    /// From it a display can tell that the watch has stopped; and 25 m are not 0.0 nautical miles.
    #[test]
    fn metadata_gives_the_timeout_and_the_display_unit_of_a_value() {
        let about = |lengths: LengthUnit| {
            let mut publisher = Publisher::new(SourceLabel::default(), lengths);
            parsed(&publisher.introduction(TERN, utc(), &riding(), 1))["updates"][0]["meta"].clone()
        };
        let of = |about: &Value, path: &str| -> Value {
            let mut entries = about.as_array().unwrap().iter();
            let full = format!("navigation.anchor.{path}");
            entries
                .find(|entry| entry["path"] == full.as_str())
                .unwrap()["value"]
                .clone()
        };
        let metres = about(LengthUnit::Metres);
        for path in [
            "position",
            "maxRadius",
            "watch.phase",
            "watch.dragProbability",
            "watch.heartbeat",
        ] {
            assert_eq!(of(&metres, path)["timeout"], 30, "{path}");
        }
        assert_eq!(of(&metres, "watch.letGo").get("timeout"), None);
        for (path, wanted) in [
            ("maxRadius", json!({"category": "length"})),
            ("watch.anchorDistance", json!({"category": "length"})),
            ("watch.underKeelAtLowWater", json!({"category": "depth"})),
            ("watch.anchorBearing", json!({"category": "angle"})),
            (
                "watch.berthTime",
                json!({"category": "time", "targetUnit": "minute"}),
            ),
        ] {
            assert_eq!(of(&metres, path)["displayUnits"], wanted, "{path}");
        }
        let feet = about(LengthUnit::Feet);
        let wanted = json!({"category": "length", "targetUnit": "foot"});
        assert_eq!(of(&feet, "watch.rodeOut")["displayUnits"], wanted);
    }

    #[test]
    fn every_published_path_has_its_metadata() {
        let mut publisher = publisher();
        let both = parsed(&publisher.introduction(TERN, utc(), &WatchState::default(), 1));
        let paths = |what: &Value| -> Vec<String> {
            what.as_array()
                .unwrap()
                .iter()
                .map(|entry| entry["path"].as_str().unwrap().to_owned())
                .collect()
        };
        assert_eq!(
            paths(&both["updates"][0]["meta"]),
            paths(&both["updates"][0]["values"])
        );
    }
}
