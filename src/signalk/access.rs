//! Asks the server for a token, and finds out what the token allows.
//!
//! # The request
//! A device asks under its own id (`POST /signalk/v1/access/requests`), a person approves the
//! request in the server's settings, and the device learns of the approval by polling the address
//! that the server returned. [`Access`] is this exchange without the HTTP: its outputs are requests
//! as data, its inputs are responses. The server keeps requests in memory only: after a restart, or
//! after an hour, the address answers 500 "not found", and we ask again. A denial is a person's
//! decision: it is reported once and is final until windrode is restarted, because each request
//! raises a notification aboard.
//!
//! Weakness: if *we* are restarted while a request is open and its address was not kept, the server
//! refuses a second request under the same id and the token can no longer be fetched; the crew is
//! told to deny the open request. The shell keeps [`Access::pending`] on disk.
//!
//! # The rights
//! The server silently drops what a client without rights sends. `GET /skServer/loginStatus` shows
//! what the token allows: [`rights_from_login_status`].

mod expiry;

use std::collections::VecDeque;
use std::fmt;
use std::time::Duration;

use serde_json::Value;

pub use self::expiry::{expires, expiry_told};
use super::shortened;
use crate::speech::checks::Right;
use crate::speech::faults::LinkFault;
use crate::speech::{Sentence, Wording};
use crate::time::{Now, Tick};

/// What the server lets us do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Rights {
    /// The server has no security: every client may do everything.
    Open,
    /// We may write; the level as the server names it, `readwrite` or `admin`.
    Granted(String),
    /// We may read only.
    ReadOnly,
    /// The server does not recognize us.
    Anonymous,
    /// The server refuses our token; its message.
    Refused(String),
    /// The rights could not be found out; the reason.
    Unknown(String),
}

impl Rights {
    /// Whether we may write; `None` if that could not be found out.
    #[must_use]
    pub const fn writing(&self) -> Option<bool> {
        match self {
            Self::Open | Self::Granted(_) => Some(true),
            Self::ReadOnly | Self::Anonymous | Self::Refused(_) => Some(false),
            Self::Unknown(_) => None,
        }
    }
}

impl Rights {
    /// What is wrong and what to do, or that nothing is wrong.
    #[must_use]
    pub fn told(&self) -> Sentence {
        match self {
            Self::Open => Right::Open.into(),
            Self::Granted(level) => {
                let level = level.clone();
                Right::Granted { level }.into()
            }
            Self::ReadOnly => LinkFault::ReadOnly.into(),
            Self::Anonymous => LinkFault::Unknown.into(),
            Self::Refused(words) => {
                let words = words.clone();
                Right::Refused { words }.into()
            }
            Self::Unknown(why) => {
                let why = why.clone();
                Right::NotKnown { why }.into()
            }
        }
    }
}

impl fmt::Display for Rights {
    /// In English, for the log.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.told().words(&Wording::default()))
    }
}

/// Reads the answer to `GET /skServer/loginStatus`.
#[must_use]
pub fn rights_from_login_status(status: u16, body: &str) -> Rights {
    if status == 401 || status == 403 {
        return Rights::Refused(refusal_words(body));
    }
    if status != 200 {
        return Rights::Unknown(format!("`loginStatus` answered with status `{status}`"));
    }
    let Ok(Value::Object(answer)) = serde_json::from_str(body) else {
        return Rights::Unknown("`loginStatus` answered with something that is no object".into());
    };
    let word = |name: &str| answer.get(name).and_then(Value::as_str);
    if answer.get("authenticationRequired") == Some(&Value::Bool(false)) {
        return Rights::Open;
    }
    match (word("status"), word("userLevel")) {
        (Some("notLoggedIn"), _) => Rights::Anonymous,
        (_, Some("readonly")) => Rights::ReadOnly,
        (_, Some(level @ ("readwrite" | "admin"))) => Rights::Granted(level.to_owned()),
        (status, level) => Rights::Unknown(format!(
            "`loginStatus` answered with status `{}` and level `{}`",
            shortened(status.unwrap_or("none"), 40),
            shortened(level.unwrap_or("none"), 40)
        )),
    }
}

/// A token. It is never printed: `Debug` shows `<secret>`.
#[derive(Clone, PartialEq, Eq)]
pub struct Token(String);

impl Token {
    /// Takes the text as the server gave it.
    #[must_use]
    pub fn new(text: String) -> Self {
        Self(text)
    }

    /// The text, for the `Authorization: Bearer` header and for the file that keeps it.
    #[must_use]
    pub fn reveal(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("<secret>")
    }
}

/// What the shell has to do.
#[derive(Clone, Debug, PartialEq, Eq)]
#[must_use = "a request that is not sent is never answered"]
pub enum AccessOutput {
    /// `POST /signalk/v1/access/requests` with these members as JSON.
    Ask {
        /// `clientId`: ours, the same each time.
        client_id: String,
        /// `description`: what the person who approves the request sees.
        description: String,
        /// `permissions`.
        permissions: &'static str,
    },
    /// `GET` this path on the server.
    Poll {
        /// Absolute path, beginning with `/`.
        href: String,
    },
    /// Keep the token and pass it to the session.
    Granted(Token),
    /// The state of the exchange, for the crew; sent when it changes.
    Say(String),
}

/// The state of the exchange.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Stage {
    /// Nothing to do.
    Idle,
    /// The request is due at this moment.
    AskAt(Tick),
    /// The request was sent; we wait for the answer until this moment.
    Asking(Tick),
    /// A person has to decide; the next poll is due at this moment.
    PollAt(Tick),
    /// The poll was sent; we wait for the answer until this moment.
    Polling(Tick),
    /// A person denied the request; this holds for as long as we run.
    Denied,
}

/// The exchange. Call [`Access::handle_needed`] when rights are missing, then follow
/// [`Access::poll_output`] and [`Access::poll_timeout`].
#[derive(Clone, Debug)]
pub struct Access {
    client_id: String,
    description: String,
    stage: Stage,
    href: Option<String>,
    asked: Tick,
    outputs: VecDeque<AccessOutput>,
    said: String,
}

impl Access {
    /// Starts with the id we ask under (a UUID kept from run to run), the name we go by, and the
    /// address of a request that was open when we last ran.
    #[must_use]
    pub fn new(client_id: String, description: String, pending: Option<String>) -> Self {
        Self {
            client_id,
            description,
            stage: Stage::Idle,
            href: pending.filter(|href| is_path(href)),
            asked: Tick::START,
            outputs: VecDeque::new(),
            said: String::new(),
        }
    }

    /// The address of the open request, to keep on disk.
    #[must_use]
    pub fn pending(&self) -> Option<&str> {
        self.href.as_deref()
    }

    /// Whether a person denied the request.
    #[must_use]
    pub const fn is_denied(&self) -> bool {
        matches!(self.stage, Stage::Denied)
    }

    /// Rights are missing. Does nothing while an exchange is under way or after a denial.
    pub fn handle_needed(&mut self, now: Now) {
        match self.stage {
            Stage::Idle => {
                self.asked = now.tick;
                if self.href.is_some() {
                    self.poll(now);
                } else {
                    self.ask(now);
                }
            }
            Stage::AskAt(_)
            | Stage::Asking(_)
            | Stage::PollAt(_)
            | Stage::Polling(_)
            | Stage::Denied => {}
        }
    }

    /// The server answered the last request.
    pub fn handle_response(&mut self, now: Now, status: u16, body: &str) {
        match self.stage {
            Stage::Asking(_) => self.asked_and_answered(now, status, body),
            Stage::Polling(_) => self.polled_and_answered(now, status, body),
            Stage::Idle | Stage::AskAt(_) | Stage::PollAt(_) | Stage::Denied => {}
        }
    }

    /// The last request got no answer from the server.
    pub fn handle_failed(&mut self, now: Now, reason: &str) {
        match self.stage {
            Stage::Asking(_) => {
                self.say(format!(
                    "the server could not be asked for access: {}",
                    shortened(reason, 200)
                ));
                self.stage = Stage::AskAt(now.tick + LATER);
            }
            Stage::Polling(_) => self.stage = Stage::PollAt(now.tick + self.pace(now)),
            Stage::Idle | Stage::AskAt(_) | Stage::PollAt(_) | Stage::Denied => {}
        }
    }

    /// [`Access::poll_timeout`] is due.
    pub fn handle_timeout(&mut self, now: Now) {
        match self.stage {
            Stage::AskAt(due) if due <= now.tick => self.ask(now),
            Stage::PollAt(due) if due <= now.tick => self.poll(now),
            Stage::Asking(limit) | Stage::Polling(limit) if limit <= now.tick => {
                self.handle_failed(now, "no answer within 30 s");
            }
            Stage::Idle
            | Stage::AskAt(_)
            | Stage::Asking(_)
            | Stage::PollAt(_)
            | Stage::Polling(_)
            | Stage::Denied => {}
        }
    }

    /// When [`Access::handle_timeout`] is due.
    #[must_use]
    pub fn poll_timeout(&self) -> Option<Tick> {
        match self.stage {
            Stage::AskAt(due) | Stage::PollAt(due) | Stage::Asking(due) | Stage::Polling(due) => {
                Some(due)
            }
            Stage::Idle | Stage::Denied => None,
        }
    }

    /// The next thing to do.
    pub fn poll_output(&mut self) -> Option<AccessOutput> {
        self.outputs.pop_front()
    }

    fn ask(&mut self, now: Now) {
        self.stage = Stage::Asking(now.tick + ANSWER_WITHIN);
        self.outputs.push_back(AccessOutput::Ask {
            client_id: self.client_id.clone(),
            description: self.description.clone(),
            permissions: "readwrite",
        });
    }

    fn poll(&mut self, now: Now) {
        let Some(href) = self.href.clone() else {
            self.ask(now);
            return;
        };
        self.stage = Stage::Polling(now.tick + ANSWER_WITHIN);
        self.outputs.push_back(AccessOutput::Poll { href });
    }

    fn asked_and_answered(&mut self, now: Now, status: u16, body: &str) {
        match status {
            202 => {
                let href = serde_json::from_str::<Value>(body)
                    .ok()
                    .and_then(|answer| answer.get("href")?.as_str().map(str::to_owned))
                    .filter(|href| is_path(href));
                if let Some(href) = href {
                    self.href = Some(href);
                    self.asked = now.tick;
                    self.stage = Stage::PollAt(now.tick + SOON);
                    self.say(format!("access is requested; {HOW_TO_APPROVE}"));
                } else {
                    self.stage = Stage::AskAt(now.tick + LATER);
                    self.say("the server took our request for access but gave no address to ask about it".into());
                }
            }
            404 => {
                self.stage = Stage::Idle;
                self.say("the server has no security, so no access is needed".into());
            }
            400 if body.contains("already requested") => {
                self.stage = Stage::AskAt(now.tick + LATER);
                self.say(
                    "an earlier request of windrode is still open and its answer can no longer be fetched; deny it in the server's security settings, access requests, and a new one follows"
                        .into(),
                );
            }
            _ => {
                self.stage = Stage::AskAt(now.tick + LATER);
                self.say(format!(
                    "the server refuses to take a request for access: status `{status}`, `{}`",
                    refusal_words(body)
                ));
            }
        }
    }

    fn polled_and_answered(&mut self, now: Now, status: u16, body: &str) {
        let answer: Value = serde_json::from_str(body).unwrap_or(Value::Null);
        if matches!(status, 404 | 500) {
            // Lost at a restart of the server, or pruned after an hour.
            self.href = None;
            self.stage = Stage::AskAt(now.tick + SOON);
            return;
        }
        if status != 200 || answer.get("state").and_then(Value::as_str) != Some("COMPLETED") {
            self.stage = Stage::PollAt(now.tick + self.pace(now));
            return;
        }
        let decision = answer.get("accessRequest");
        let word = |name: &str| decision.and_then(|d| d.get(name)).and_then(Value::as_str);
        self.href = None;
        match (word("permission"), word("token")) {
            (Some("APPROVED"), Some(token)) if !token.is_empty() => {
                self.stage = Stage::Idle;
                self.outputs
                    .push_back(AccessOutput::Granted(Token::new(token.to_owned())));
                self.say("access is granted".into());
            }
            (Some("DENIED"), _) => {
                self.stage = Stage::Denied;
                self.say("access was denied, and windrode does not ask again by itself; it can neither show its watch on displays nor take commands from them; to ask again, restart windrode".into());
            }
            _ => {
                self.stage = Stage::AskAt(now.tick + LATER);
                self.say("the server decided about our access in words we do not know".into());
            }
        }
    }

    /// Polls often while a person is probably at the settings; the server allows 1000 polls in 10
    /// min.
    fn pace(&self, now: Now) -> Duration {
        if now.tick.since(self.asked) < AT_IT {
            SOON
        } else {
            LATER
        }
    }

    fn say(&mut self, words: String) {
        if self.said != words {
            self.said.clone_from(&words);
            self.outputs.push_back(AccessOutput::Say(words));
        }
    }
}

/// Whether the address is on the server we asked; no other address is ever polled.
fn is_path(href: &str) -> bool {
    href.starts_with('/') && !href.starts_with("//") && href.len() <= 500
}

/// The server's errors may be JSON, HTML or plain text.
fn refusal_words(body: &str) -> String {
    let answer: Option<Value> = serde_json::from_str(body).ok();
    let words = answer
        .as_ref()
        .and_then(|answer| answer.get("error").or_else(|| answer.get("message")))
        .and_then(Value::as_str)
        .unwrap_or(body);
    shortened(words.trim(), 100)
}

const HOW_TO_APPROVE: &str =
    "approve `windrode` in the server's security settings, access requests, with `readwrite`";

const SOON: Duration = Duration::from_secs(5);
const LATER: Duration = Duration::from_secs(30);
/// How long we assume that somebody is at the server's settings after the request.
const AT_IT: Duration = Duration::from_mins(5);
const ANSWER_WITHIN: Duration = Duration::from_secs(30);

#[cfg(test)]
mod tests;
