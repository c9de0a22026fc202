//! Which client receives which values: subscriptions, patterns, periods.

use std::collections::BTreeMap;
use std::time::Duration;

use serde_json::{Map, Value, json};

use super::{ClientId, Hub, HubOutput, Item, MOST_VALUES};
use crate::time::Timestamp;

/// One row of a subscription.
#[derive(Clone, Debug)]
pub(super) struct Subscription {
    pub(super) context: String,
    pub(super) path: String,
    pub(super) fixed: Option<Fixed>,
}

/// A subscription that receives each value at most once per period.
#[derive(Clone, Debug)]
pub(super) struct Fixed {
    period: Duration,
    /// By context, path and source: when it was last sent, and the value that waits.
    sent: BTreeMap<(String, String, String), (Timestamp, Option<String>)>,
}

impl Hub {
    pub(super) fn deliver(&mut self, now: Timestamp, item: &Item<'_>) {
        let mut text = None;
        for (client, state) in &mut self.clients {
            for subscription in &mut state.subscriptions {
                if !subscription.wants(item) {
                    continue;
                }
                let text = text.get_or_insert_with(|| frame(item));
                if let Some(fixed) = &mut subscription.fixed
                    && !fixed.may_send(now, item, text)
                {
                    continue;
                }
                self.outputs.push_back(HubOutput::Send {
                    client: *client,
                    text: text.clone(),
                });
            }
        }
    }

    pub(super) fn handle_subscribe(
        &mut self,
        client: ClientId,
        message: &Map<String, Value>,
        wanted: &Value,
    ) {
        let context = match message.get("context").and_then(Value::as_str) {
            None => "*".to_owned(),
            Some("vessels.self") => self.own.clone(),
            Some(context) => context.to_owned(),
        };
        for row in wanted.as_array().into_iter().flatten() {
            let Some(path) = row.get("path").and_then(Value::as_str) else {
                continue;
            };
            let period = row.get("period").and_then(Value::as_u64);
            let subscription = Subscription {
                context: context.clone(),
                path: path.to_owned(),
                fixed: period.map(|millis| Fixed::new(Duration::from_millis(millis))),
            };
            self.subscribe(client, subscription);
        }
    }

    fn subscribe(&mut self, client: ClientId, subscription: Subscription) {
        let Some(state) = self.clients.get_mut(&client) else {
            return;
        };
        if state.subscriptions.len() >= MOST_SUBSCRIPTIONS {
            return;
        }
        for ((context, path), node) in &self.nodes {
            for (source, cached) in &node.sources {
                let item = Item {
                    context,
                    path,
                    source,
                    stamp: &cached.stamp,
                    value: &cached.value,
                };
                if subscription.wants(&item) {
                    self.outputs.push_back(HubOutput::Send {
                        client,
                        text: frame(&item),
                    });
                }
            }
        }
        state.subscriptions.push(subscription);
    }

    /// Sends what waited for the end of its period.
    pub(super) fn serve_periods(&mut self, now: Timestamp) {
        let mut due = Vec::new();
        for (client, state) in &mut self.clients {
            for subscription in &mut state.subscriptions {
                let Some(fixed) = &mut subscription.fixed else {
                    continue;
                };
                let period = fixed.period;
                for (last, waiting) in fixed.sent.values_mut() {
                    if now >= last.plus(period)
                        && let Some(text) = waiting.take()
                    {
                        *last = now;
                        due.push((*client, text));
                    }
                }
            }
        }
        for (client, text) in due {
            self.send(client, text);
        }
    }
}

impl Subscription {
    pub(super) fn wants(&self, item: &Item<'_>) -> bool {
        matches(&self.path, item.path) && matches(&self.context, item.context)
    }
}

impl Fixed {
    fn new(period: Duration) -> Self {
        Self {
            period,
            sent: BTreeMap::new(),
        }
    }

    /// Whether a value is sent now; otherwise it waits for its turn.
    fn may_send(&mut self, now: Timestamp, item: &Item<'_>, text: &str) -> bool {
        let key = (item.context, item.path, item.source);
        let key = (key.0.to_owned(), key.1.to_owned(), key.2.to_owned());
        match self.sent.get_mut(&key) {
            Some((last, waiting)) if now < last.plus(self.period) => {
                *waiting = Some(text.to_owned());
                false
            }
            Some(entry) => {
                *entry = (now, None);
                true
            }
            None => {
                if self.sent.len() < MOST_VALUES {
                    self.sent.insert(key, (now, None));
                }
                true
            }
        }
    }
}

/// A value alone in a delta.
fn frame(item: &Item<'_>) -> String {
    json!({
        "context": item.context,
        "updates": [{
            "$source": item.source,
            "timestamp": item.stamp,
            "values": [{"path": item.path, "value": item.value}],
        }],
    })
    .to_string()
}

/// Whether a text matches a pattern in which each `*` stands for any text.
pub(super) fn matches(pattern: &str, text: &str) -> bool {
    let Some((head, mut rest)) = pattern.split_once('*') else {
        return pattern == text;
    };
    let Some(mut text) = text.strip_prefix(head) else {
        return false;
    };
    while let Some((middle, tail)) = rest.split_once('*') {
        let Some((_, after)) = text.split_once(middle) else {
            return false;
        };
        (text, rest) = (after, tail);
    }
    text.ends_with(rest)
}

/// The largest number of rows for one client.
const MOST_SUBSCRIPTIONS: usize = 500;
