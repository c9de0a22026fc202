//! PUT requests on their way to the client that answers for a path, and back.

use serde_json::{Map, Value, json};

use super::{ClientId, Hub, HubOutput, PutOutcome};
use crate::time::Timestamp;

/// A request that waits for its answer.
#[derive(Clone, Debug)]
pub(super) struct Request {
    /// The client that is to answer.
    pub(super) by: ClientId,
    pub(super) asker: Asker,
    pub(super) since: Timestamp,
}

#[derive(Clone, Debug)]
pub(super) enum Asker {
    Local(u64),
    Client(ClientId, Value),
}

impl Hub {
    pub(super) fn handle_client_put(
        &mut self,
        now: Timestamp,
        client: ClientId,
        message: &Map<String, Value>,
        put: &Value,
    ) {
        let id = message.get("requestId").cloned().unwrap_or(Value::Null);
        let asker = Asker::Client(client, id);
        let path = put.get("path").and_then(Value::as_str);
        if self.silence_writes {
            self.answer(&asker, 403, "no right to write");
        } else if let (Some(path), Some(value)) = (path, put.get("value")) {
            let context = message.get("context").and_then(Value::as_str);
            self.put(now, asker, context.unwrap_or("vessels.self"), path, value);
        } else {
            self.answer(&asker, 502, "an object with `path` and `value` is wanted");
        }
    }

    pub(super) fn put(
        &mut self,
        now: Timestamp,
        asker: Asker,
        context: &str,
        path: &str,
        value: &Value,
    ) {
        let Some(&by) = self.publishers.get(path) else {
            let message = format!("PUT not supported for {path}");
            return self.answer(&asker, 405, &message);
        };
        if self.requests.len() >= MOST_REQUESTS {
            return self.answer(&asker, 503, "too many requests are waiting");
        }
        let id = (self.new_id)();
        let text = json!({
            "requestId": id,
            "context": context,
            "put": [{"path": path, "value": value}],
        });
        if let Asker::Client(client, id) = &asker {
            let pending = json!({"requestId": id, "state": "PENDING", "statusCode": 202});
            self.send(*client, pending.to_string());
        }
        let request = Request {
            by,
            asker,
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
        // Anything but a number leaves the request open, as at the server.
        let (Some(status), true) = (status, done) else {
            return;
        };
        if self
            .requests
            .get(id)
            .is_some_and(|request| request.by == client)
            && let Some(request) = self.requests.remove(id)
        {
            self.answer(&request.asker, status, text.unwrap_or_default());
        }
    }

    pub(super) fn fail_requests(&mut self, which: impl Fn(&Request) -> bool) {
        let failed = self.requests.iter().filter(|(_, request)| which(request));
        let failed: Vec<String> = failed.map(|(id, _)| id.clone()).collect();
        for id in failed {
            if let Some(request) = self.requests.remove(&id) {
                self.answer(&request.asker, 504, "no answer");
            }
        }
    }

    fn answer(&mut self, asker: &Asker, status_code: u16, message: &str) {
        match asker {
            Asker::Local(request) => self.outputs.push_back(HubOutput::Answer {
                request: *request,
                outcome: PutOutcome {
                    status_code,
                    message: message.to_owned(),
                },
            }),
            Asker::Client(client, id) => {
                let text = json!({
                    "requestId": id,
                    "state": "COMPLETED",
                    "statusCode": status_code,
                    "message": message,
                });
                self.send(*client, text.to_string());
            }
        }
    }
}

/// Requests that may wait.
const MOST_REQUESTS: usize = 1000;
