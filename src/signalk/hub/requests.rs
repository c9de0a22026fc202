//! Carries PUT requests to the client that handles a path, and the answers back.

use serde_json::{Map, Value, json};

use super::{ClientId, Hub, HubOutput, PutOutcome};
use crate::time::Timestamp;

/// A request that waits for its answer.
#[derive(Clone, Debug)]
pub(super) struct Request {
    /// The client that has to answer.
    pub(super) by: ClientId,
    /// The number that the requesting client gave it.
    pub(super) number: u64,
    pub(super) since: Timestamp,
}

impl Hub {
    pub(super) fn put(&mut self, now: Timestamp, number: u64, path: &str, value: &Value) {
        let Some(&by) = self.publishers.get(path) else {
            let message = format!("PUT not supported for {path}");
            return self.answer(number, 405, &message);
        };
        if self.requests.len() >= MOST_REQUESTS {
            return self.answer(number, 503, "too many requests are waiting");
        }
        let id = (self.new_id)();
        let text = json!({
            "requestId": id,
            "context": "vessels.self",
            "put": [{"path": path, "value": value}],
        });
        let request = Request {
            by,
            number,
            since: now,
        };
        self.requests.insert(id, request);
        self.send(by, text.to_string());
    }

    pub(super) fn handle_reply(&mut self, client: ClientId, message: &Map<String, Value>) {
        let id = message.get("requestId").and_then(Value::as_str);
        let Some(id) = id else { return };
        let status = message.get("statusCode").and_then(Value::as_u64);
        let status = status.and_then(|status| u16::try_from(status).ok());
        let text = message.get("message").and_then(Value::as_str);
        let done = message.get("state").and_then(Value::as_str) == Some("COMPLETED");
        // An answer whose status is not a number leaves the request open, as on the server.
        let (Some(status), true) = (status, done) else {
            return;
        };
        if self
            .requests
            .get(id)
            .is_some_and(|request| request.by == client)
            && let Some(request) = self.requests.remove(id)
        {
            self.answer(request.number, status, text.unwrap_or_default());
        }
    }

    pub(super) fn fail_requests(&mut self, which: impl Fn(&Request) -> bool) {
        let failed = self.requests.iter().filter(|(_, request)| which(request));
        let failed: Vec<String> = failed.map(|(id, _)| id.clone()).collect();
        for id in failed {
            if let Some(request) = self.requests.remove(&id) {
                self.answer(request.number, 504, "no answer");
            }
        }
    }

    fn answer(&mut self, request: u64, status_code: u16, message: &str) {
        let outcome = PutOutcome {
            status_code,
            message: message.to_owned(),
        };
        self.outputs
            .push_back(HubOutput::Answer { request, outcome });
    }
}

/// The largest number of waiting requests.
const MOST_REQUESTS: usize = 1000;
