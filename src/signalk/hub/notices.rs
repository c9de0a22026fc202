//! Notifications as a Signal K server keeps them.
//!
//! A source publishes a notification; the server adds an identifier and a status, and sends it in
//! that form to all clients under the source's own label. A display acknowledges or silences it at
//! the server; the source learns of that only from the notification that comes back. Both marks are
//! *sticky*: the source can publish the same or a graver state any number of times, and it comes
//! out muted until the source has published `normal` and then another state.
//!
//! Source: the behaviour of signalk-server 2.32.0, observed at its socket. Assumed, not observed: a
//! normal notification can be neither silenced nor acknowledged.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

use crate::time::Timestamp;

/// What a person does with a notification at a display.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoticeAction {
    /// Acknowledges it.
    Acknowledge,
    /// Stops the sound.
    Silence,
    /// Sets it to normal, as older displays do.
    Clear,
}

/// Why an action was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoticeError {
    /// There is no such notification.
    #[error("no notification on `{0}`")]
    Unknown(String),
    /// The notification does not allow the action in its present state.
    #[error("the notification on `{path}` is `{state}` and cannot be {action}")]
    Refused {
        /// The path of the notification.
        path: String,
        /// Its state.
        state: String,
        /// The requested action.
        action: &'static str,
    },
}

/// Identifies a notification: context, path, source.
pub(super) type NoticeKey = (String, String, String);

/// All notifications.
#[derive(Clone, Debug, Default)]
pub(super) struct Notices {
    notices: BTreeMap<NoticeKey, Notice>,
}

#[derive(Clone, Debug)]
struct Notice {
    id: String,
    /// As published, without identifier and status.
    value: Map<String, Value>,
    silenced: bool,
    acknowledged: Option<String>,
}

impl Notices {
    /// A source publishes a notification; returns what all clients receive, or nothing if the value
    /// is not a valid notification. `new_id` supplies the identifier of a new notification.
    pub(super) fn publish(
        &mut self,
        key: &NoticeKey,
        value: &Value,
        now: Timestamp,
        new_id: impl FnOnce() -> String,
    ) -> Option<Value> {
        let value = match value {
            Value::Null => Map::from_iter([
                ("state".to_owned(), json!("normal")),
                ("message".to_owned(), json!("")),
            ]),
            Value::Object(value) => {
                let mut value = value.clone();
                value.remove("id");
                value.remove("status");
                value
            }
            _ => return None,
        };
        if !self.notices.contains_key(key) && self.notices.len() >= MOST_NOTICES {
            return None;
        }
        let notice = self.notices.entry(key.clone()).or_insert_with(|| Notice {
            id: new_id(),
            value: Map::new(),
            silenced: false,
            acknowledged: None,
        });
        let was_normal = notice.state() == "normal";
        notice.value = value;
        if was_normal && notice.state() != "normal" {
            notice.silenced = false;
            notice.acknowledged = None;
        }
        if notice.value.get("acknowledgeStatus") == Some(&json!("Yes")) {
            notice.acknowledge(now);
        }
        Some(notice.shown())
    }

    /// A person acts; returns what all clients then receive.
    pub(super) fn act(
        &mut self,
        key: &NoticeKey,
        action: NoticeAction,
        now: Timestamp,
    ) -> Result<Value, NoticeError> {
        let path = || key.1.clone();
        let notice = self
            .notices
            .get_mut(key)
            .ok_or_else(|| NoticeError::Unknown(path()))?;
        let state = notice.state().to_owned();
        let (allowed, name) = match action {
            NoticeAction::Acknowledge => (
                notice.can("acknowledgeSupport") && notice.acknowledged.is_none(),
                "acknowledged",
            ),
            NoticeAction::Silence => (notice.can_silence() && !notice.silenced, "silenced"),
            NoticeAction::Clear => (true, "cleared"),
        };
        if !allowed {
            return Err(NoticeError::Refused {
                path: path(),
                state,
                action: name,
            });
        }
        match action {
            NoticeAction::Acknowledge => notice.acknowledge(now),
            NoticeAction::Silence => notice.silenced = true,
            NoticeAction::Clear => {
                notice.value.insert("state".to_owned(), json!("normal"));
            }
        }
        Ok(notice.shown())
    }
}

impl Notice {
    fn state(&self) -> &str {
        self.value
            .get("state")
            .and_then(Value::as_str)
            .unwrap_or("normal")
    }

    fn can(&self, support: &str) -> bool {
        self.state() != "normal" && self.value.get(support) != Some(&json!("No"))
    }

    fn can_silence(&self) -> bool {
        self.state() != "emergency" && self.can("temporarySilenceSupport")
    }

    fn acknowledge(&mut self, now: Timestamp) {
        self.silenced = true;
        self.acknowledged.get_or_insert_with(|| now.to_string());
    }

    fn shown(&self) -> Value {
        let mut value = self.value.clone();
        if let Some(Value::Array(method)) = value.get_mut("method") {
            let emergency = self.state() == "emergency";
            method.retain(|way| match (way.as_str(), &self.acknowledged) {
                (Some("visual"), Some(_)) => emergency,
                (_, Some(_)) => false,
                (Some("sound"), None) => !self.silenced,
                (_, None) => true,
            });
        }
        let mut status = json!({
            "silenced": self.silenced,
            "acknowledged": self.acknowledged.is_some(),
            "canSilence": self.can_silence(),
            "canAcknowledge": self.can("acknowledgeSupport"),
            "canClear": false,
        });
        if let (Some(at), Some(status)) = (&self.acknowledged, status.as_object_mut()) {
            status.insert("acknowledgedAt".to_owned(), json!(at));
        }
        value.insert("id".to_owned(), json!(self.id));
        value.insert("status".to_owned(), status);
        Value::Object(value)
    }
}

const MOST_NOTICES: usize = 1000;

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn key() -> NoticeKey {
        let path = "notifications.navigation.anchor.dragging";
        ("vessels.x".into(), path.into(), "windrode".into())
    }

    fn publish(notices: &mut Notices, state: &str) -> Value {
        let value = json!({"state": state, "method": ["visual", "sound"], "message": "m"});
        notices
            .publish(&key(), &value, Timestamp::EPOCH, || "id-1".to_owned())
            .unwrap()
    }

    fn act(notices: &mut Notices, action: NoticeAction) -> Result<Value, NoticeError> {
        notices.act(&key(), action, Timestamp::EPOCH)
    }

    /// As observed: the frame that the server sends after an alarm.
    #[test]
    fn an_alarm_comes_back_with_identifier_and_status() {
        let shown = publish(&mut Notices::default(), "alarm");
        assert_eq!(
            shown,
            json!({"state": "alarm", "method": ["visual", "sound"], "message": "m", "id": "id-1",
                "status": {"silenced": false, "acknowledged": false, "canSilence": true,
                    "canAcknowledge": true, "canClear": false}})
        );
    }

    #[test]
    fn an_acknowledgement_sticks_until_the_state_has_been_normal() {
        let mut notices = Notices::default();
        publish(&mut notices, "alarm");
        let shown = act(&mut notices, NoticeAction::Acknowledge).unwrap();
        assert_eq!(shown["method"], json!([]));
        assert_eq!(
            shown["status"],
            json!({"silenced": true, "acknowledged": true, "canSilence": true,
                "canAcknowledge": true, "canClear": false,
                "acknowledgedAt": "1970-01-01T00:00:00.000Z"})
        );
        // Published again, or with a graver state: still muted.
        assert_eq!(publish(&mut notices, "alarm")["method"], json!([]));
        assert_eq!(
            publish(&mut notices, "emergency")["method"],
            json!(["visual"])
        );
        publish(&mut notices, "normal");
        let again = publish(&mut notices, "alarm");
        assert_eq!(again["method"], json!(["visual", "sound"]));
        assert_eq!(again["status"]["acknowledged"], json!(false));
        assert_eq!(again["id"], "id-1");
    }

    #[test]
    fn silence_takes_the_sound_only_and_not_that_of_an_emergency() {
        let mut notices = Notices::default();
        publish(&mut notices, "alarm");
        let shown = act(&mut notices, NoticeAction::Silence).unwrap();
        assert_eq!(shown["method"], json!(["visual"]));
        assert_eq!(
            act(&mut notices, NoticeAction::Silence)
                .unwrap_err()
                .to_string(),
            "the notification on `notifications.navigation.anchor.dragging` is `alarm` and cannot be silenced"
        );
        let mut notices = Notices::default();
        publish(&mut notices, "emergency");
        assert!(act(&mut notices, NoticeAction::Silence).is_err());
        assert!(act(&mut notices, NoticeAction::Acknowledge).is_ok());
        assert!(act(&mut notices, NoticeAction::Acknowledge).is_err());
    }

    #[test]
    fn null_is_normal_and_a_text_is_nothing() {
        let mut notices = Notices::default();
        let mut publish =
            |value: Value| notices.publish(&key(), &value, Timestamp::EPOCH, || "id-1".to_owned());
        assert_eq!(publish(json!("alarm")), None);
        let shown = publish(Value::Null).unwrap();
        assert_eq!(shown["state"], "normal");
        assert_eq!(shown["message"], "");
        assert!(matches!(
            Notices::default().act(&key(), NoticeAction::Clear, Timestamp::EPOCH),
            Err(NoticeError::Unknown(_))
        ));
    }

    #[test]
    fn a_source_can_declare_an_acknowledgement_of_its_own_and_forge_no_status() {
        let mut notices = Notices::default();
        let value = json!({"state": "alarm", "method": ["sound"], "acknowledgeStatus": "Yes",
            "id": "forged", "status": {"acknowledged": false}});
        let shown = notices
            .publish(&key(), &value, Timestamp::EPOCH, || "id-1".to_owned())
            .unwrap();
        assert_eq!(shown["id"], "id-1");
        assert_eq!(shown["status"]["acknowledged"], json!(true));
        let cleared = act(&mut notices, NoticeAction::Clear).unwrap();
        assert_eq!(cleared["state"], "normal");
    }
}
