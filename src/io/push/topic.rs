//! A push server with topics over HTTP: one POST shows a message on every phone that follows the
//! topic.
//!
//! Title, priority, tags and buttons are sent as headers, the sentence or the picture as the body.
//! `X-Sequence-ID` lets a later message replace an earlier one, `…/clear` removes it from the screen, and
//! `Delay` holds a message back on the server: the dead man's message. The buttons post our own signed line
//! to the topic of answers, which a stream (`GET topic/json`) brings aboard, so no port is opened.

use std::sync::Arc;
use std::time::Duration;

use email_encoding::headers::rfc2047;
use email_encoding::headers::writer::EmailWriter;
use reqwest::header::{HeaderMap, HeaderValue};
use reqwest::{Client, Method, RequestBuilder, StatusCode, Url};
use serde_json::{Value, json};
use tokio::sync::mpsc;
use tracing::debug;

use super::http;
use super::{Heard, later};
use crate::alert::hazard::{AlertState, Priority};
use crate::io::push::settings::PushUrl;
use crate::io::secrets::Secret;
use crate::outbox::reply::Act;
use crate::outbox::words::{Message, MessageKind, Parcel, Verdict};

/// One topic on a server.
#[derive(Debug)]
pub(super) struct Topic {
    client: Client,
    base: Url,
    name: String,
    replies: Option<String>,
    token: Option<Secret>,
    reply_token: Option<Secret>,
}

impl Topic {
    /// Opens the topic; with `replies`, starts to listen there.
    pub(super) fn open(
        url: PushUrl,
        name: String,
        replies: Option<String>,
        token: Option<Secret>,
        reply_token: Option<Secret>,
        tls: &Arc<rustls::ClientConfig>,
        heard: &mpsc::Sender<Heard>,
    ) -> Result<Self, String> {
        let mut base = url.0;
        if !base.path().ends_with('/') {
            base.set_path(&format!("{}/", base.path()));
        }
        if let Some(replies) = &replies {
            let client = http::stream_client(tls)?;
            let url = base
                .join(&format!("{replies}/json"))
                .map_err(|error| error.to_string())?;
            tokio::spawn(listen(client, url, token.clone(), heard.clone()));
        }
        Ok(Self {
            client: http::client(tls)?,
            base,
            name,
            replies,
            token,
            reply_token,
        })
    }

    pub(super) async fn carry(&self, parcel: &Parcel, picture: Option<&[u8]>) -> Verdict {
        match parcel {
            Parcel::Show(message) => {
                let verdict = self.publish(message, picture, None).await;
                if picture.is_some() && matches!(verdict, Verdict::Refused(_)) {
                    // Perhaps the server refused only the picture.
                    return self.publish(message, None, None).await;
                }
                verdict
            }
            Parcel::Renew { message, after } => self.publish(message, None, Some(*after)).await,
            Parcel::Clear(message) => {
                let path = format!("{}/{}/clear", self.name, message.id);
                let (verdict, status) = self.ask(Method::PUT, &path).await;
                // An older server does not support this: a quiet message replaces the loud one.
                match status {
                    Some(StatusCode::NOT_FOUND | StatusCode::METHOD_NOT_ALLOWED) => {
                        self.publish(message, None, None).await
                    }
                    _ => verdict,
                }
            }
            Parcel::Withdraw(message) => {
                let path = format!("{}/{}", self.name, message.id);
                match self.ask(Method::DELETE, &path).await {
                    // The message is already gone.
                    (_, Some(StatusCode::NOT_FOUND)) => Verdict::Sent,
                    (verdict, _) => verdict,
                }
            }
            Parcel::Probe => match self.ask(Method::GET, "v1/health").await {
                // A server of another make has no such page, but it answers.
                (Verdict::Refused(_), Some(_)) => Verdict::Sent,
                (verdict, _) => verdict,
            },
        }
    }

    async fn ask(&self, method: Method, path: &str) -> (Verdict, Option<StatusCode>) {
        match self.request(method, path) {
            Ok(request) => http::send(request).await,
            Err(why) => (later(why), None),
        }
    }

    async fn publish(
        &self,
        message: &Message,
        picture: Option<&[u8]>,
        delay: Option<Duration>,
    ) -> Verdict {
        let request = match self.request(Method::POST, &self.name) {
            Ok(request) => request,
            Err(why) => return later(why),
        };
        let mut headers = HeaderMap::new();
        let mut put = |name: &'static str, value: &str| {
            // Encoded text is always valid in a header.
            if let Ok(value) = HeaderValue::from_str(value) {
                headers.insert(name, value);
            }
        };
        put("x-title", &encoded(&message.title));
        put("x-priority", priority(message));
        put("x-tags", tags(message));
        put("x-sequence-id", &message.id);
        if let Some(delay) = delay {
            put("x-delay", &format!("{}s", delay.as_secs()));
        }
        if let Some(actions) = self.actions(message) {
            // Labels, addresses, signed lines and tokens are ASCII.
            put("x-actions", &actions.to_string());
        }
        let body = match picture {
            Some(picture) => {
                put("x-message", &encoded(&message.message));
                put("x-filename", "anchor.png");
                picture.to_vec()
            }
            None => message.message.clone().into_bytes(),
        };
        http::send(request.headers(headers).body(body)).await.0
    }

    fn request(&self, method: Method, path: &str) -> Result<RequestBuilder, String> {
        let url = self.base.join(path).map_err(|error| error.to_string())?;
        let request = self.client.request(method, url);
        Ok(match &self.token {
            Some(token) => request.bearer_auth(token.reveal()),
            None => request,
        })
    }

    /// The buttons: each posts its line to the topic of answers.
    fn actions(&self, message: &Message) -> Option<Value> {
        let url = self.base.join(self.replies.as_ref()?).ok()?;
        let buttons: Vec<Value> = message
            .replies
            .iter()
            .map(|reply| {
                let mut button = json!({
                    "action": "http",
                    "label": match reply.act {
                        Act::Acknowledge => "Acknowledge",
                        Act::Silence => "Silence 30 s",
                    },
                    "url": url.as_str(),
                    "method": "POST",
                    "body": reply.body,
                    "clear": false,
                });
                if let (Some(token), Some(button)) = (&self.reply_token, button.as_object_mut()) {
                    let bearer = format!("Bearer {}", token.reveal());
                    button.insert("headers".to_owned(), json!({ "Authorization": bearer }));
                }
                button
            })
            .collect();
        (!buttons.is_empty()).then_some(Value::Array(buttons))
    }
}

/// From one to five; mere news makes no sound.
fn priority(message: &Message) -> &'static str {
    match (message.event, message.priority) {
        (MessageKind::Alert, Some(Priority::EmergencyAlarm | Priority::Alarm))
        | (MessageKind::Dark | MessageKind::Test, _) => "5",
        (MessageKind::Alert, Some(Priority::Warning)) => "4",
        (MessageKind::Alert, _) => "3",
        (MessageKind::Update | MessageKind::Summary, _) => "2",
        (MessageKind::Clear, _) => "1",
    }
}

fn tags(message: &Message) -> &'static str {
    match (message.event, message.priority) {
        (MessageKind::Alert, Some(Priority::EmergencyAlarm | Priority::Alarm)) => {
            "rotating_light,anchor"
        }
        (MessageKind::Alert, _) => "warning,anchor",
        (MessageKind::Dark, _) => "black_circle,anchor",
        (MessageKind::Update, _) if message.state == Some(AlertState::ActiveAcknowledged) => {
            "raised_hand,anchor"
        }
        _ => "anchor",
    }
}

/// A header value; non-ASCII text becomes encoded words of RFC 2047 (base 64, at most 75 characters each).
fn encoded(text: &str) -> String {
    let one_line = text.replace(['\r', '\n'], " ");
    if one_line.bytes().all(|byte| (b' '..=b'~').contains(&byte)) && !one_line.contains("=?") {
        return one_line;
    }
    let mut words = String::new();
    // Writing to a string cannot fail.
    let _ = rfc2047::encode(&one_line, &mut EmailWriter::new(&mut words, 0, 0, false));
    // Mail folds the line between words; HTTP (RFC 9112 section 5.2) does not.
    words.replace("\r\n", "")
}

/// Listens for answers forever; reconnects when the stream ends. Messages sent meanwhile are requested from
/// where we left off; the first time, from as far back as servers keep them.
async fn listen(client: Client, url: Url, token: Option<Secret>, heard: mpsc::Sender<Heard>) {
    let mut since = "12h".to_owned();
    let mut pause = FIRST_PAUSE;
    loop {
        let mut url = url.clone();
        url.query_pairs_mut().append_pair("since", &since);
        let mut request = client.get(url);
        if let Some(token) = &token {
            request = request.bearer_auth(token.reveal());
        }
        match request.send().await {
            Ok(mut response) if response.status().is_success() => {
                pause = FIRST_PAUSE;
                let mut line = Vec::new();
                while let Ok(Some(chunk)) = response.chunk().await {
                    for byte in chunk {
                        if byte != b'\n' {
                            line.push(byte);
                            continue;
                        }
                        if let Some((id, text)) = message(&line) {
                            since = id;
                            if heard.send(Heard::Reply(text)).await.is_err() {
                                return;
                            }
                        }
                        line.clear();
                    }
                    if line.len() > LONGEST_LINE {
                        debug!("the stream of answers sends an endless line");
                        break;
                    }
                }
                debug!("the stream of answers has ended");
            }
            Ok(response) => debug!("the stream of answers: status {}", response.status()),
            Err(error) => debug!("the stream of answers: {}", http::plain(&error)),
        }
        if heard.is_closed() {
            return;
        }
        tokio::time::sleep(pause).await;
        pause = (pause * 2).min(LONGEST_PAUSE);
    }
}

/// Id and text of a line that is a message; the stream also sends open and keepalive lines.
pub(crate) fn message(line: &[u8]) -> Option<(String, String)> {
    let line: Value = serde_json::from_slice(line).ok()?;
    if line.get("event")?.as_str()? != "message" {
        return None;
    }
    let id = line.get("id")?.as_str()?;
    let plain = (1..=64).contains(&id.len()) && id.bytes().all(|b| b.is_ascii_alphanumeric());
    let text = line.get("message")?.as_str()?;
    plain.then(|| (id.to_owned(), text.to_owned()))
}

const FIRST_PAUSE: Duration = Duration::from_secs(2);
const LONGEST_PAUSE: Duration = Duration::from_secs(60);
const LONGEST_LINE: usize = 64 * 1024;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_breaks_a_header() {
        assert_eq!(encoded("Tern: alarm, dragging"), "Tern: alarm, dragging");
        assert_eq!(encoded("Tärna"), "=?utf-8?b?VMOkcm5h?=");
        assert_eq!(encoded("one\r\nX-Other: two"), "one  X-Other: two");
        assert_eq!(encoded("ä\r\nX: y"), "=?utf-8?b?w6QgIFg6IHk=?=");
    }

    /// RFC 2047 section 2: an encoded word has at most 75 characters, and blanks separate them.
    #[test]
    fn a_long_title_is_more_than_one_word() {
        let title = encoded(&"Tärna släpar. ".repeat(12));
        let words: Vec<&str> = title.split(' ').collect();
        assert!(words.len() > 2, "{title}");
        assert!(words.iter().all(|word| word.len() <= 75), "{title}");
        assert!(HeaderValue::from_str(&title).is_ok());
    }

    #[test]
    fn a_line_of_the_stream_is_a_message_or_nothing() {
        let read = |line: &str| message(line.as_bytes());
        assert_eq!(
            read(r#"{"id":"hwQ2YpKdmg","event":"message","topic":"t","message":"hello"}"#),
            Some(("hwQ2YpKdmg".to_owned(), "hello".to_owned()))
        );
        for line in [
            "",
            "{}",
            "null",
            r#"{"id":"a","event":"open"}"#,
            r#"{"id":"a","event":"message"}"#,
            r#"{"id":"a&since=all","event":"message","message":"x"}"#,
        ] {
            assert_eq!(read(line), None, "{line}");
        }
    }
}
