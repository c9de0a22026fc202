//! Turns deltas into reports: which vessel a delta is about, what it reports, and what must not be
//! counted twice.
//!
//! Three kinds of values are left out. *Our own values*: a delta with our own `$source` is an echo,
//! never a fact. *Second deliveries*: the subscription to `vessels.*` delivers our own vessel
//! again, and a new subscription replays the cache. The same value from the same source with the
//! same stamp is one observation; counted twice, it would make the scatter look smaller and a dead
//! receiver look alive. So the last value of each path and source is remembered. A value without a
//! stamp cannot be told from a fresh one and passes (the server stamps every value, so this
//! concerns recordings only). *Contexts other than vessels* (buoys, shore stations).
//!
//! An impossible value is counted, and reported once for each path and reason.
//!
//! Bounds: labels, remembered values and complaints are capped. A peer that invents sources makes
//! the memory start again from empty, which costs a duplicate and nothing more.

use std::collections::{BTreeMap, VecDeque};

use super::paths::OwnPaths;
use super::paths::{self, PathId};
use super::wire::{Delta, Update, Wire};
use super::{SourceLabel, shortened};
use crate::observation::{Fact, Label, Report, Subject};
use crate::time::Timestamp;
use crate::units::{Metres, Volts};

/// Turns deltas into reports; one reader for each server or recording.
#[derive(Clone, Debug, Default)]
pub struct Reader {
    own_label: Option<SourceLabel>,
    own_paths: OwnPaths,
    self_context: Option<String>,
    own_mmsi: Option<String>,
    labels: BTreeMap<Box<str>, Label>,
    /// The last stamp as written, and its meaning: consecutive updates often share it.
    stamp: (String, Option<Timestamp>),
    last: BTreeMap<PathId, Vec<Remembered>>,
    told: BTreeMap<PathId, Vec<paths::Fault>>,
    complaints: VecDeque<String>,
}

/// The last value of a path from a source, and of each engine if there are several.
#[derive(Clone, Debug)]
struct Remembered {
    source: Label,
    engine: Option<Label>,
    stamp: Timestamp,
    fact: Fact,
}

impl Reader {
    /// A reader without a label of our own, as for a recording: no value is an echo.
    #[must_use]
    pub fn new(own_label: Option<SourceLabel>) -> Self {
        Self {
            own_label,
            ..Self::default()
        }
    }

    /// Also reads the paths that are configured for this boat.
    #[must_use]
    pub fn with_paths(mut self, paths: OwnPaths) -> Self {
        self.own_paths = paths;
        self
    }

    /// The paths that are configured for this boat.
    #[must_use]
    pub const fn own_paths(&self) -> &OwnPaths {
        &self.own_paths
    }

    /// Whether the path is read at all.
    #[must_use]
    pub fn wants(&self, path: &str) -> bool {
        paths::wanted(path) || self.own_paths.has(path)
    }

    /// Our own vessel's full context, from the greeting. Until it is known, only `vessels.self` and
    /// deltas without a context are about us.
    pub fn set_self(&mut self, context: &str) {
        self.self_context = Some(context.to_owned());
    }

    /// Whether the context is our own vessel's.
    #[must_use]
    pub fn is_own(&self, context: Option<&str>) -> bool {
        context.is_none_or(|context| {
            context == "vessels.self" || self.self_context.as_deref() == Some(context)
        })
    }

    /// Whether the context contains our own MMSI while the server uses another name for us.
    fn is_our_transponder(&self, context: &str) -> bool {
        let named = context.rsplit_once(":mmsi:").map(|(_, mmsi)| mmsi);
        named.is_some() && named == self.own_mmsi.as_deref()
    }

    /// Reads our own MMSI from our vessel's identity.
    fn learn_mmsi(&mut self, path: &str, value: &Wire<'_>) {
        if !path.is_empty() {
            return;
        }
        let Wire::Other(serde_json::Value::Object(parts)) = value else {
            return;
        };
        let mmsi = parts.get("mmsi").and_then(serde_json::Value::as_str);
        if let Some(mmsi) = mmsi.filter(|mmsi| (1..=MMSI_CHARS).contains(&mmsi.len())) {
            self.own_mmsi = Some(mmsi.to_owned());
        }
    }

    /// Whether we are the source ourselves.
    #[must_use]
    pub fn is_echo(&self, source: &str) -> bool {
        self.own_label
            .as_ref()
            .is_some_and(|label| label.as_str() == source)
    }

    /// Appends one report for each update that contains anything new.
    pub fn read(&mut self, delta: &Delta<'_>, reports: &mut Vec<Report>) {
        let subject = match delta.context.as_deref() {
            context if self.is_own(context) => Subject::Own,
            // Our own transponder, heard by our own receiver, is not another fix of ours.
            Some(context) if self.is_our_transponder(context) => return,
            Some(context) if context.starts_with("vessels.") && context.len() <= LABEL_BYTES => {
                Subject::Other(self.label(context))
            }
            _ => return,
        };
        for update in &delta.updates {
            reports.extend(self.report(&subject, update));
        }
    }

    /// The time that a stamp means; `None` if it is not a valid stamp. Remembers the last one.
    pub fn stamp(&mut self, text: &str) -> Option<Timestamp> {
        if self.stamp.0 != text || text.is_empty() {
            self.stamp.0.clear();
            self.stamp.0.extend(text.chars().take(STAMP_CHARS));
            self.stamp.1 = text.parse().ok();
        }
        self.stamp.1
    }

    /// The next complaint about an impossible value, for the log.
    pub fn poll_complaint(&mut self) -> Option<String> {
        self.complaints.pop_front()
    }

    fn report(&mut self, subject: &Subject, update: &Update<'_>) -> Option<Report> {
        if update.values.is_empty() || self.is_echo(&update.source) {
            return None;
        }
        let source = self.label(&update.source);
        let stamp: Option<Timestamp> = update
            .timestamp
            .as_deref()
            .and_then(|stamp| self.stamp(stamp));
        let mut facts = Vec::with_capacity(update.values.len());
        for value in &update.values {
            let Some(id) = paths::find(&value.path) else {
                let is = |own: &Option<String>| {
                    subject.is_own() && own.as_deref() == Some(value.path.as_ref())
                };
                if is(&self.own_paths.counter) {
                    facts.push(Fact::RodeCounter(metres(&value.value)));
                } else if is(&self.own_paths.battery) {
                    facts.push(Fact::HouseVoltage(volts(&value.value)));
                }
                continue;
            };
            if !id.is_read_of(subject.is_own()) {
                continue;
            }
            let (fact, fault) = if subject.is_own() {
                self.learn_mmsi(&value.path, &value.value);
                id.fact(&value.path, &value.value)
            } else {
                id.fact_of_other(&value.path, &value.value)
            };
            if let Some(fault) = fault {
                self.complain(id, fault, &source);
            }
            let Some(fact) = fact else { continue };
            if subject.is_own() && self.seen_before(id, &source, stamp, &fact) {
                continue;
            }
            facts.push(fact);
        }
        if facts.is_empty() {
            return None;
        }
        quality_first(&mut facts);
        Some(Report {
            subject: subject.clone(),
            source,
            stamp,
            facts,
        })
    }

    fn seen_before(
        &mut self,
        id: PathId,
        source: &Label,
        stamp: Option<Timestamp>,
        fact: &Fact,
    ) -> bool {
        let Some(stamp) = stamp else { return false };
        let engine = match fact {
            Fact::Revolutions { engine, .. } => Some(engine),
            _ => None,
        };
        let alike = self.last.entry(id).or_default();
        let last = alike
            .iter_mut()
            .find(|last| last.source == *source && last.engine.as_ref() == engine);
        if let Some(last) = last {
            if last.stamp == stamp && last.fact == *fact {
                return true;
            }
            last.stamp = stamp;
            last.fact.clone_from(fact);
            return false;
        }
        alike.push(Remembered {
            source: source.clone(),
            engine: engine.cloned(),
            stamp,
            fact: fact.clone(),
        });
        if self.last.values().map(Vec::len).sum::<usize>() >= REMEMBERED {
            self.last.clear();
        }
        false
    }

    fn complain(&mut self, id: PathId, fault: paths::Fault, source: &Label) {
        let told = self.told.entry(id).or_default();
        if told.contains(&fault) || told.len() >= FAULTS_TOLD {
            return;
        }
        told.push(fault);
        self.complaints.push_back(format!(
            "`{}` from `{}` {fault}; it is taken as not known",
            id.path(),
            shortened(source.as_str(), 60)
        ));
    }

    fn label(&mut self, text: &str) -> Label {
        if let Some(label) = self.labels.get(text) {
            return label.clone();
        }
        let end = (0..=LABEL_BYTES.min(text.len()))
            .rev()
            .find(|&end| text.is_char_boundary(end))
            .unwrap_or(0);
        let label = Label::new(text.get(..end).unwrap_or_default());
        if self.labels.len() >= LABELS {
            self.labels.clear();
        }
        self.labels.insert(label.as_str().into(), label.clone());
        label
    }
}

fn metres(value: &Wire<'_>) -> Option<Metres> {
    match value {
        Wire::Number(number) => Metres::new(*number).filter(|m| m.get() >= 0.0),
        Wire::Null | Wire::Bool(_) | Wire::Text(_) | Wire::Position { .. } | Wire::Other(_) => None,
    }
}

fn volts(value: &Wire<'_>) -> Option<Volts> {
    match value {
        Wire::Number(number) => Volts::new(*number).filter(|m| m.get() >= 0.0),
        Wire::Null | Wire::Bool(_) | Wire::Text(_) | Wire::Position { .. } | Wire::Other(_) => None,
    }
}

/// Moves the facts about the fix's quality before the fix; the others keep their order.
pub(super) fn quality_first(facts: &mut [Fact]) {
    if facts.iter().any(paths::is_quality) {
        facts.sort_by_key(|fact| !paths::is_quality(fact));
    }
}

/// A busy harbour has a few hundred AIS targets, a boat a few dozen sources.
const LABELS: usize = 2048;
const REMEMBERED: usize = 1024;
const LABEL_BYTES: usize = 200;
const FAULTS_TOLD: usize = 8;
/// An MMSI has nine digits; some senders write more before them.
const MMSI_CHARS: usize = 16;
/// The longest stamp that is remembered. A longer one is cut, so it differs from the remembered one
/// and is parsed again.
const STAMP_CHARS: usize = 64;

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]
    use super::*;
    use crate::geodesy::Position;
    use crate::observation::FixMethod;
    use crate::signalk::wire::{Incoming, parse};
    use crate::units::{Metres, Speed};

    const TERN: &str = "vessels.urn:mrn:imo:mmsi:230099999";

    fn reader() -> Reader {
        let mut reader = Reader::new(Some(SourceLabel::default()));
        reader.set_self(TERN);
        reader
    }

    fn read(reader: &mut Reader, text: &str) -> Vec<Report> {
        let Incoming::Delta(delta) = parse(text, paths::wanted).unwrap() else {
            panic!("no delta: {text}");
        };
        let mut reports = Vec::new();
        reader.read(&delta, &mut reports);
        reports
    }

    fn fix(context: &str, source: &str, second: u32) -> String {
        format!(
            r#"{{"context":"{context}","updates":[{{"$source":"{source}","timestamp":"2026-06-01T21:30:{second:02}Z","values":[{{"path":"navigation.position","value":{{"latitude":59.8539,"longitude":23.26}}}}]}}]}}"#
        )
    }

    #[test]
    fn quality_stands_before_the_fix_it_belongs_to() {
        // The order is that of signalk-server's GGA parser: position first.
        let text = r#"{"context":"vessels.self","updates":[{"$source":"gps0.GP","timestamp":"2026-06-01T21:30:00Z","values":[
            {"path":"navigation.position","value":{"latitude":59.8539,"longitude":23.26}},
            {"path":"navigation.speedOverGround","value":0.2},
            {"path":"navigation.gnss.methodQuality","value":"no GPS"},
            {"path":"navigation.gnss.satellites","value":0}]}]}"#;
        let reports = read(&mut reader(), text);
        assert_eq!(
            reports,
            [Report {
                subject: Subject::Own,
                source: Label::new("gps0.GP"),
                stamp: Some("2026-06-01T21:30:00Z".parse().unwrap()),
                facts: vec![
                    Fact::FixMethod(Some(FixMethod::NoFix)),
                    Fact::Satellites(Some(0)),
                    Fact::Position(Position::new(59.8539, 23.26).ok()),
                    Fact::SpeedOverGround(Some(Speed::of(0.2))),
                ],
            }]
        );
    }

    #[test]
    fn the_second_delivery_of_one_observation_is_not_a_second_observation() {
        let mut reader = reader();
        assert_eq!(read(&mut reader, &fix(TERN, "gps0.GP", 1)).len(), 1);
        assert!(read(&mut reader, &fix(TERN, "gps0.GP", 1)).is_empty());
        // The same place a second later, or from another receiver, is another observation.
        assert_eq!(read(&mut reader, &fix(TERN, "gps0.GP", 2)).len(), 1);
        assert_eq!(read(&mut reader, &fix(TERN, "gps1.GP", 2)).len(), 1);
        assert!(read(&mut reader, &fix(TERN, "gps0.GP", 2)).is_empty());
    }

    #[test]
    fn two_engines_of_one_source_are_two() {
        let mut reader = reader();
        let both = r#"{"updates":[{"$source":"n2k.1","timestamp":"2026-06-01T21:30:00Z","values":[{"path":"propulsion.port.revolutions","value":30},{"path":"propulsion.starboard.revolutions","value":30}]}]}"#;
        assert_eq!(read(&mut reader, both)[0].facts.len(), 2);
        assert!(read(&mut reader, both).is_empty());
    }

    #[test]
    fn our_own_values_are_never_facts() {
        let mut reader = reader();
        assert!(read(&mut reader, &fix(TERN, "windrode", 1)).is_empty());
        assert_eq!(
            read(&mut Reader::new(None), &fix("vessels.self", "windrode", 1)).len(),
            1
        );
    }

    #[test]
    fn other_vessels_are_read_for_what_concerns_a_neighbour() {
        let mut reader = reader();
        let text = r#"{"context":"vessels.urn:mrn:imo:mmsi:244123456","updates":[{"$source":"ais.VDM","timestamp":"2026-06-01T21:30:00Z","values":[
            {"path":"","value":{"name":"Dunlin","mmsi":"244123456"}},
            {"path":"design.length","value":{"overall":14}},
            {"path":"environment.depth.belowKeel","value":2}]}]}"#;
        let reports = read(&mut reader, text);
        assert_eq!(
            reports[0].subject,
            Subject::Other(Label::new("vessels.urn:mrn:imo:mmsi:244123456"))
        );
        assert_eq!(
            reports[0].facts,
            [
                Fact::Name(Some(Label::new("Dunlin"))),
                Fact::Length(Some(Metres::of(14.0)))
            ]
        );
        for context in [
            "atons.urn:mrn:imo:mmsi:992000001",
            "shore.basestations.x",
            "",
        ] {
            assert!(
                read(&mut reader, &fix(context, "ais.VDM", 1)).is_empty(),
                "{context}"
            );
        }
    }

    /// The server uses a name of its own for us, and receives our transponder under our MMSI.
    #[test]
    fn our_own_transponder_is_not_another_vessel() {
        let mut reader = Reader::new(Some(SourceLabel::default()));
        reader.set_self("vessels.urn:mrn:signalk:uuid:c0d79334-4e25-4245-8892-54e8ccc8021d");
        assert_eq!(read(&mut reader, &fix(TERN, "ais.VDM", 1)).len(), 1);
        let identity = r#"{"context":"vessels.self","updates":[{"$source":"defaults","values":[{"path":"","value":{"mmsi":"230099999"}}]}]}"#;
        assert!(read(&mut reader, identity).is_empty());
        assert!(read(&mut reader, &fix(TERN, "ais.VDM", 2)).is_empty());
        let other = "vessels.urn:mrn:imo:mmsi:244123456";
        assert_eq!(read(&mut reader, &fix(other, "ais.VDM", 2)).len(), 1);
    }

    #[test]
    fn an_invalid_stamp_is_passed_on_as_none() {
        let mut reader = reader();
        let text = r#"{"updates":[{"$source":"a","timestamp":"yesterday","values":[{"path":"environment.depth.belowKeel","value":2}]}]}"#;
        assert_eq!(read(&mut reader, text)[0].stamp, None);
        // Without a stamp a repeated value cannot be told from a fresh one.
        assert_eq!(read(&mut reader, text).len(), 1);
    }

    #[test]
    fn a_broken_sensor_is_complained_of_once_for_each_reason() {
        let mut reader = reader();
        for (n, value) in [r#""deep""#, r#""deeper""#, "true", r#""deep""#, "2"]
            .into_iter()
            .enumerate()
        {
            let text = format!(
                r#"{{"updates":[{{"$source":"echo.0","timestamp":"2026-06-01T21:30:0{n}Z","values":[{{"path":"environment.depth.belowKeel","value":{value}}}]}}]}}"#
            );
            assert_eq!(read(&mut reader, &text).len(), 1, "{value}");
        }
        let complaints: Vec<_> = std::iter::from_fn(|| reader.poll_complaint()).collect();
        assert_eq!(
            complaints,
            [
                "`environment.depth.belowKeel` from `echo.0` is a text, no length in metres; it is taken as not known",
                "`environment.depth.belowKeel` from `echo.0` is a boolean, no length in metres; it is taken as not known",
            ]
        );
    }

    #[test]
    fn invented_sources_do_not_grow_the_memory() {
        let mut reader = reader();
        for n in 0..10_000 {
            let _ = read(&mut reader, &fix(TERN, &format!("invented.{n}"), 1));
            let _ = read(&mut reader, &fix(&format!("vessels.{n}"), "ais", 1));
        }
        assert!(reader.labels.len() <= LABELS && reader.last.len() <= REMEMBERED);
        let long = "x".repeat(100_000);
        let reports = read(&mut reader, &fix(TERN, &long, 1));
        assert_eq!(reports[0].source.as_str().len(), LABEL_BYTES);
    }
}
