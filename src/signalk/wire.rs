//! Reads the frames of the Signal K stream, tolerantly and without panic.
//!
//! What we send must satisfy the schema. What we receive need not, and the reference server's own
//! output does not (its hello has `serverStartId`, cached deltas carry both `source` and `$source`,
//! notifications add `notificationId`). So unknown keys and malformed entries are skipped; only a
//! frame that is not JSON at all, or is larger than anything the boat sends, is an error.
//!
//! Reading is the hot path of a replay (millions of lines), so the visitors in `visit` are written
//! by hand: text is borrowed from the line, numbers and positions are read without building a tree,
//! and the value of a path that is not wanted (`keep`) is skipped without an allocation. Weakness:
//! a value is skipped only if its `path` comes first, as every sender writes it; the other order
//! costs an allocation, but the result is the same.
//!
//! Bounds: [`MAX_FRAME_BYTES`] and [`MAX_ENTRIES`] keep one frame from growing into many times
//! its size; nesting is bounded by `serde_json` (128).

mod visit;

use std::borrow::Cow;
use std::cell::Cell;

use serde::de::DeserializeSeed;
use serde_json::Value;

/// A longer frame is refused unread. Subscribed frames carry one value and have about 300 bytes; a
/// server that buffers for a slow reader sends at most its 512 KiB at once.
pub const MAX_FRAME_BYTES: usize = 1 << 20;

/// A frame with more updates and values than this is refused.
pub const MAX_ENTRIES: u32 = 4096;

/// One frame of the stream, or one line of a recording.
#[derive(Clone, Debug, PartialEq)]
pub enum Incoming<'a> {
    /// The server's greeting, the first frame of a connection.
    Hello(Hello),
    /// Values of one vessel.
    Delta(Delta<'a>),
    /// Another client sends a command.
    Put(Put),
    /// The answer to a request of ours.
    Reply(Reply),
    /// The server reports an error: a JSON string, or an object with `errorMessage`.
    ErrorText(String),
    /// Valid JSON, but no form that we know.
    Unknown,
}

/// The server's greeting.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hello {
    /// Our own vessel's full context, `vessels.urn:…`.
    pub self_context: String,
    /// Different after each start of the server; older servers send none.
    pub start_id: Option<String>,
    /// The server's name.
    pub name: String,
    /// The server's version.
    pub version: String,
}

/// Values of one vessel.
#[derive(Clone, Debug, PartialEq)]
pub struct Delta<'a> {
    /// The vessel; our own if absent.
    pub context: Option<Cow<'a, str>>,
    /// One update for each source and moment.
    pub updates: Vec<Update<'a>>,
}

/// Values of one source at one moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Update<'a> {
    /// `$source`, or the label that the server would make of a `source` object; `unknown` without
    /// either.
    pub source: Cow<'a, str>,
    /// As written by the sender, unchecked.
    pub timestamp: Option<Cow<'a, str>>,
    /// The values that are read, in the order they were written.
    pub values: Vec<PathValue<'a>>,
}

/// A value on a path.
#[derive(Clone, Debug, PartialEq)]
pub struct PathValue<'a> {
    /// Dotted path below the vessel; empty for the vessel's own attributes.
    pub path: Cow<'a, str>,
    /// The value.
    pub value: Wire<'a>,
}

/// A JSON value, divided into the shapes that matter.
#[derive(Clone, Debug, PartialEq)]
pub enum Wire<'a> {
    /// `null`: the value is lost.
    Null,
    /// A boolean.
    Bool(bool),
    /// A number; JSON has no `NaN` and no infinity.
    Number(f64),
    /// A text.
    Text(Cow<'a, str>),
    /// An object with numbers for both coordinates, in degrees; not checked to be on Earth.
    Position {
        /// Degrees north.
        latitude: f64,
        /// Degrees east.
        longitude: f64,
    },
    /// Any other object or array.
    Other(Value),
}

impl<'a> Wire<'a> {
    /// The text, if the value is one.
    #[must_use]
    pub fn into_text(self) -> Option<Cow<'a, str>> {
        match self {
            Self::Text(text) => Some(text),
            Self::Null
            | Self::Bool(_)
            | Self::Number(_)
            | Self::Position { .. }
            | Self::Other(_) => None,
        }
    }

    /// The kind of the value, for a complaint.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Null => "null",
            Self::Bool(_) => "a boolean",
            Self::Number(_) => "a number",
            Self::Text(_) => "a text",
            Self::Position { .. } => "a position",
            Self::Other(Value::Array(_)) => "an array",
            Self::Other(_) => "an object",
        }
    }
}

/// A command from another client: in the server's form (`put` is an array) or in a client's (an
/// object).
#[derive(Clone, Debug, PartialEq)]
pub struct Put {
    /// The id under which the caller waits for the answer; the caller chooses it, and it may
    /// repeat.
    pub request_id: Option<String>,
    /// The vessel whose value is to change; the server does not check it.
    pub context: Option<String>,
    /// The entries that have both `path` and `value`.
    pub entries: Vec<PutEntry>,
}

/// One entry of a [`Put`].
#[derive(Clone, Debug, PartialEq)]
pub struct PutEntry {
    /// Dotted path.
    pub path: String,
    /// The requested value.
    pub value: Value,
}

/// The answer to a request of ours.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reply {
    /// The request's id.
    pub request_id: String,
    /// `PENDING`, `COMPLETED` or another word.
    pub state: String,
    /// The HTTP-like status.
    pub status_code: Option<u16>,
    /// The message for people.
    pub message: Option<String>,
}

/// Why a frame could not be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WireError {
    /// The frame is longer than anything a boat sends.
    #[error(
        "a frame of `{0}` bytes is refused; at most {MAX_FRAME_BYTES} are read, so leave large values off the stream"
    )]
    TooLong(usize),
    /// The frame is not JSON, is nested too deeply, or has too many entries.
    #[error("the frame cannot be read: {0}; one JSON object a frame is expected")]
    Malformed(String),
}

/// Reads one frame. Values whose path is refused by `keep` are left out.
pub fn parse(text: &str, keep: impl Fn(&str) -> bool) -> Result<Incoming<'_>, WireError> {
    if text.len() > MAX_FRAME_BYTES {
        return Err(WireError::TooLong(text.len()));
    }
    let sieve = visit::Sieve {
        keep,
        budget: Cell::new(MAX_ENTRIES),
    };
    let mut deserializer = serde_json::Deserializer::from_str(text);
    let frame = visit::Frame(&sieve)
        .deserialize(&mut deserializer)
        .map_err(|error| WireError::Malformed(error.to_string()))?;
    deserializer
        .end()
        .map_err(|error| WireError::Malformed(error.to_string()))?;
    Ok(frame)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]
    use proptest::prelude::*;
    use serde_json::json;

    use super::*;

    fn read(text: &str) -> Incoming<'_> {
        parse(text, |_| true).unwrap()
    }

    fn delta(text: &str) -> Delta<'_> {
        match read(text) {
            Incoming::Delta(delta) => delta,
            other => panic!("no delta: {other:?}"),
        }
    }

    /// As received from signalk-server 2.32.0 on loopback.
    #[test]
    fn the_greeting_names_self_and_the_start() {
        let text = r#"{"name":"signalk-server","version":"2.32.0","self":"vessels.urn:mrn:imo:mmsi:230099999","roles":["master","main"],"timestamp":"2026-11-25T06:45:48.940Z","serverStartId":"ec20257b-fce9-4001-8a9f-92ed270b96fd"}"#;
        assert_eq!(
            read(text),
            Incoming::Hello(Hello {
                self_context: "vessels.urn:mrn:imo:mmsi:230099999".into(),
                start_id: Some("ec20257b-fce9-4001-8a9f-92ed270b96fd".into()),
                name: "signalk-server".into(),
                version: "2.32.0".into(),
            })
        );
    }

    /// As received from signalk-server 2.32.0: a notification of our own, rewritten.
    #[test]
    fn a_notification_comes_back_with_id_and_status() {
        let text = r#"{"context":"vessels.urn:mrn:imo:mmsi:230099999","updates":[{"$source":"tern.1","timestamp":"2026-11-25T06:50:14.020Z","notificationId":"0d31","values":[{"path":"notifications.navigation.anchor","value":{"state":"alarm","method":["visual","sound"],"message":"Boat outside circle","id":"0d311f5c","status":{"silenced":false,"acknowledged":false,"canSilence":true,"canAcknowledge":true,"canClear":false}}}]}]}"#;
        let delta = delta(text);
        let update = &delta.updates[0];
        assert_eq!(update.source, "tern.1");
        let Wire::Other(value) = &update.values[0].value else {
            panic!("no object");
        };
        assert_eq!(value["status"]["canSilence"], json!(true));
    }

    #[test]
    fn a_position_is_distinguished_from_other_objects_with_or_without_altitude() {
        let text = r#"{"updates":[{"values":[
            {"path":"a","value":{"longitude":23.26,"latitude":59.8539}},
            {"path":"b","value":{"longitude":-3,"latitude":59.8539,"altitude":null,"more":[1]}},
            {"path":"c","value":{"longitude":"23","latitude":59.8539}},
            {"path":"d","value":{"latitude":59.5}},
            {"path":"e","value":{"overall":11.2}}]}]}"#;
        let delta = delta(text);
        let values: Vec<_> = delta.updates[0].values.iter().map(|v| &v.value).collect();
        assert_eq!(
            *values[0],
            Wire::Position {
                latitude: 59.8539,
                longitude: 23.26
            }
        );
        assert_eq!(
            *values[1],
            Wire::Position {
                latitude: 59.8539,
                longitude: -3.0
            }
        );
        assert_eq!(
            *values[2],
            Wire::Other(json!({"latitude": 59.8539, "longitude": "23"}))
        );
        assert_eq!(*values[3], Wire::Other(json!({"latitude": 59.5})));
        assert_eq!(*values[4], Wire::Other(json!({"overall": 11.2})));
    }

    /// `helm.XX` and `helm.0` are what signalk-server 2.32.0 made of such `source` objects;
    /// the talker's form is from memory of the same function.
    #[test]
    fn the_source_is_named_as_the_server_would_name_it() {
        let source = |update: &str| {
            let text = format!(r#"{{"updates":[{update}]}}"#);
            match parse(&text, |_| true).unwrap() {
                Incoming::Delta(delta) => delta.updates[0].source.to_string(),
                other => panic!("{other:?}"),
            }
        };
        assert_eq!(
            source(r#"{"$source":"gps0.GP","source":{"label":"x"}}"#),
            "gps0.GP"
        );
        assert_eq!(
            source(r#"{"source":{"label":"x"},"$source":"gps0.GP"}"#),
            "gps0.GP"
        );
        assert_eq!(source(r#"{"source":{"label":"helm"}}"#), "helm.XX");
        assert_eq!(
            source(r#"{"source":{"label":"helm","type":"NMEA2000","src":0}}"#),
            "helm.0"
        );
        assert_eq!(
            source(r#"{"source":{"label":"helm","src":"17","pgn":129025}}"#),
            "helm.17"
        );
        assert_eq!(
            source(r#"{"source":{"label":"gps0","talker":"GP"}}"#),
            "gps0.GP"
        );
        assert_eq!(source(r#"{"source":null,"$source":7}"#), "unknown");
        assert_eq!(source("{}"), "unknown");
    }

    #[test]
    fn escapes_are_resolved_and_plain_text_is_borrowed() {
        let text = r#"{"updates":[{"values":[{"path":"caf\u00e9","value":"a\"b"},{"path":"plain","value":"x"}]}]}"#;
        let delta = delta(text);
        let values = &delta.updates[0].values;
        assert_eq!(values[0].path, "café");
        assert_eq!(values[0].value, Wire::Text("a\"b".into()));
        assert!(matches!(values[1].path, Cow::Borrowed("plain")));
        assert!(matches!(values[1].value, Wire::Text(Cow::Borrowed("x"))));
    }

    #[test]
    fn only_wanted_paths_are_kept_whichever_key_comes_first() {
        let text = r#"{"updates":[{"values":[{"path":"no","value":{"deep":[1,2]}},{"value":3,"path":"yes"},{"value":{"a":1},"path":"no"}]}]}"#;
        let Incoming::Delta(delta) = parse(text, |path| path == "yes").unwrap() else {
            panic!("no delta");
        };
        assert_eq!(delta.updates[0].values.len(), 1);
        assert_eq!(delta.updates[0].values[0].value, Wire::Number(3.0));
    }

    #[test]
    fn odd_deltas_are_read_as_far_as_they_are_readable() {
        for (text, updates, values) in [
            (r#"{"context":"vessels.self","updates":[]}"#, 0, 0),
            (r#"{"updates":null}"#, 0, 0),
            (r#"{"updates":{"a":1}}"#, 0, 0),
            (
                r#"{"context":7,"updates":[3,null,{"values":"x"},[]]}"#,
                1,
                0,
            ),
            (
                r#"{"updates":[{"meta":[{"path":"x","value":{"units":"m"}}]}]}"#,
                1,
                0,
            ),
            (
                r#"{"$backpressure":{"accumulated":20,"duration":1424},"updates":[{"values":[{"path":"x","value":null},7,{"path":3,"value":1},{"path":"y"},{"value":1}]}]}"#,
                1,
                1,
            ),
        ] {
            let delta = delta(text);
            assert_eq!(delta.updates.len(), updates, "{text}");
            let found: usize = delta.updates.iter().map(|u| u.values.len()).sum();
            assert_eq!(found, values, "{text}");
        }
    }

    /// Both forms as seen on the wire of signalk-server 2.32.0: the server sends us an array, a
    /// client sends an object.
    #[test]
    fn a_put_is_read_in_the_server_s_and_in_the_client_s_form() {
        let from_server = r#"{"requestId":"f60de2a5","context":"vessels.self","put":[{"path":"navigation.anchor.watch.rodeOut","value":35.5}]}"#;
        let from_client = r#"{"context":"vessels.self","requestId":"f60de2a5","put":{"path":"navigation.anchor.watch.rodeOut","value":35.5}}"#;
        let wanted = Incoming::Put(Put {
            request_id: Some("f60de2a5".into()),
            context: Some("vessels.self".into()),
            entries: vec![PutEntry {
                path: "navigation.anchor.watch.rodeOut".into(),
                value: json!(35.5),
            }],
        });
        assert_eq!(read(from_server), wanted);
        assert_eq!(read(from_client), wanted);
        let Incoming::Put(put) = read(r#"{"requestId":7,"put":[{"path":"a"},3]}"#) else {
            panic!("no put");
        };
        assert_eq!(
            (put.request_id.as_deref(), put.entries.len()),
            (Some("7"), 0)
        );
    }

    /// The strings are frames that signalk-server 2.32.0 sends before it closes a connection.
    #[test]
    fn complaints_and_answers_are_recognised() {
        assert_eq!(
            read(r#""primus::server::close""#),
            Incoming::ErrorText("primus::server::close".into())
        );
        assert_eq!(
            read(r#"{"errorMessage":"Server outgoing buffer overflow, terminating connection"}"#),
            Incoming::ErrorText("Server outgoing buffer overflow, terminating connection".into())
        );
        assert_eq!(
            read(r#"{"requestId":"l1","state":"COMPLETED","statusCode":403,"message":"no"}"#),
            Incoming::Reply(Reply {
                request_id: "l1".into(),
                state: "COMPLETED".into(),
                status_code: Some(403),
                message: Some("no".into()),
            })
        );
        for text in ["null", "7", "[1,2]", "{}", r#"{"a":{"b":1}}"#] {
            assert_eq!(read(text), Incoming::Unknown, "{text}");
        }
    }

    #[test]
    fn hostile_frames_are_errors_that_say_why() {
        let text = |frame: &str| parse(frame, |_| true).unwrap_err().to_string();
        assert_eq!(
            text(r#"{"updates":[{"values":[{"path":"x","value":NaN}]}]}"#),
            "the frame cannot be read: expected value at line 1 column 44; one JSON object a frame is expected"
        );
        let deep = format!(
            r#"{{"updates":[{{"values":[{{"path":"x","value":{}1{}}}]}}]}}"#,
            "[".repeat(5000),
            "]".repeat(5000)
        );
        assert!(
            text(&deep).contains("recursion limit exceeded"),
            "{}",
            text(&deep)
        );
        assert_eq!(
            text(&" ".repeat(10_000_000)),
            "a frame of `10000000` bytes is refused; at most 1048576 are read, so leave large values off the stream"
        );
        let many = format!(r#"{{"updates":[{}{{}}]}}"#, "{},".repeat(5000));
        assert!(
            text(&many).contains("more than 4096 entries"),
            "{}",
            text(&many)
        );
        for broken in [
            "",
            "{",
            "hello",
            r#"{"updates":[]} x"#,
            r#"{"updates":[{"values":[{"path":"x","value":1e999}]}]}"#,
        ] {
            assert!(parse(broken, |_| true).is_err(), "{broken}");
        }
    }

    #[test]
    fn a_skipped_value_may_nest_as_deep_as_it_likes() {
        let text = format!(
            r#"{{"updates":[{{"values":[{{"path":"no","value":{}1{}}},{{"path":"yes","value":1}}]}}]}}"#,
            "[".repeat(5000),
            "]".repeat(5000)
        );
        let Incoming::Delta(delta) = parse(&text, |path| path == "yes").unwrap() else {
            panic!("no delta");
        };
        assert_eq!(delta.updates[0].values.len(), 1);
    }

    fn any_json() -> impl Strategy<Value = Value> {
        let leaf = prop_oneof![
            Just(Value::Null),
            any::<bool>().prop_map(Value::from),
            any::<f64>().prop_map(Value::from),
            any::<i64>().prop_map(Value::from),
            ".{0,12}".prop_map(Value::from),
        ];
        leaf.prop_recursive(5, 64, 6, |inner| {
            let key = prop_oneof![
                Just("updates".to_owned()),
                Just("values".to_owned()),
                Just("path".to_owned()),
                Just("value".to_owned()),
                Just("$source".to_owned()),
                Just("source".to_owned()),
                Just("put".to_owned()),
                Just("requestId".to_owned()),
                Just("self".to_owned()),
                Just("latitude".to_owned()),
                Just("longitude".to_owned()),
                ".{0,6}",
            ];
            prop_oneof![
                prop::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
                prop::collection::vec((key, inner), 0..6)
                    .prop_map(|pairs| Value::Object(pairs.into_iter().collect())),
            ]
        })
    }

    proptest! {
        /// Every JSON value is read as some frame: the tolerance has no gaps.
        #[test]
        fn every_json_value_is_some_frame(value in any_json()) {
            let text = value.to_string();
            prop_assert!(parse(&text, |_| true).is_ok(), "{text}");
        }

        #[test]
        fn any_text_at_all_is_an_answer_not_a_panic(text in ".{0,200}") {
            let strict = serde_json::from_str::<Value>(&text).is_ok();
            prop_assert_eq!(parse(&text, |_| true).is_ok(), strict);
        }
    }
}
