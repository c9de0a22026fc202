//! Asking the server for a token, and knowing what a token is worth.
//!
//! # The request
//! A device asks under an id of its own (`POST /signalk/v1/access/requests`), a person approves
//! it in the server's settings, and the device learns of that by polling the address it was
//! given. [`Access`] is that exchange without the HTTP: outputs are requests as data, inputs are
//! responses. The server keeps requests in memory only: after its restart, or an hour, the
//! address answers 500 "not found", and we ask again. A denial is a person's decision and is not
//! asked again until [`Access::handle_needed`] says so: each request raises a notification aboard.
//!
//! Weakness: when *we* are restarted while a request is open and did not keep its address, the
//! server refuses a second one under the same id and the token can no longer be fetched; the crew
//! is told to deny the open request. The shell should keep [`Access::pending`] on disk.
//!
//! # The rights
//! The server drops what a client without rights sends and says nothing. `GET
//! /skServer/loginStatus` tells what the token is good for: [`rights_from_login_status`].

use std::collections::VecDeque;
use std::fmt;
use std::time::Duration;

use serde_json::Value;

use super::shortened;
use crate::time::{Now, Tick};

/// What the server lets us do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Rights {
    /// It has no security: anybody may do anything.
    Open,
    /// We may write; the server's word for the level, `readwrite` or `admin`.
    Granted(String),
    /// We may read only.
    ReadOnly,
    /// It does not know us.
    Anonymous,
    /// It refuses our token; its words.
    Refused(String),
    /// It could not be learnt; why.
    Unknown(String),
}

impl Rights {
    /// May we write? `None` when it could not be learnt.
    #[must_use]
    pub const fn writing(&self) -> Option<bool> {
        match self {
            Self::Open | Self::Granted(_) => Some(true),
            Self::ReadOnly | Self::Anonymous | Self::Refused(_) => Some(false),
            Self::Unknown(_) => None,
        }
    }
}

impl fmt::Display for Rights {
    /// What is wrong and what to do, or that nothing is wrong.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Open => f.write_str("the server is open to everybody"),
            Self::Granted(level) => write!(f, "the server grants us `{level}`"),
            Self::ReadOnly => f.write_str(
                "the server lets us read only; give windrode the permission `readwrite` in the server's security settings, devices",
            ),
            Self::Anonymous => write!(f, "the server does not know us; {HOW_TO_APPROVE}"),
            Self::Refused(words) => write!(
                f,
                "the server refuses our token (`{words}`); remove the token and {HOW_TO_APPROVE}"
            ),
            Self::Unknown(words) => write!(f, "our rights on the server are not known: {words}"),
        }
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

/// A token. It is written nowhere: `Debug` shows `<secret>`.
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

/// What the shell is to do.
#[derive(Clone, Debug, PartialEq, Eq)]
#[must_use = "a request that is not sent is never answered"]
pub enum AccessOutput {
    /// `POST /signalk/v1/access/requests` with these members as JSON.
    Ask {
        /// `clientId`: ours, the same each time.
        client_id: String,
        /// `description`: what the person who approves sees.
        description: String,
        /// `permissions`.
        permissions: &'static str,
    },
    /// `GET` this path on the server.
    Poll {
        /// Absolute path, beginning with `/`.
        href: String,
    },
    /// Keep the token, and tell the session of it.
    Granted(Token),
    /// How it stands, for the crew: said when it changes.
    Say(String),
}

/// How the exchange stands.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Stage {
    /// Nothing is wanted.
    Idle,
    /// To be asked at that moment.
    AskAt(Tick),
    /// Asked; the answer is out, but not beyond that moment.
    Asking(Tick),
    /// A person has to decide; to be polled at that moment.
    PollAt(Tick),
    /// Polled; the answer is out, but not beyond that moment.
    Polling(Tick),
    /// A person decided against us.
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
    /// With the id we ask under (a UUID kept from run to run), what to call us, and the address
    /// of a request that was open when we last ran.
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

    /// The address of the open request, to be kept on disk.
    #[must_use]
    pub fn pending(&self) -> Option<&str> {
        self.href.as_deref()
    }

    /// Rights are missing. Does nothing while an exchange is under way.
    pub fn handle_needed(&mut self, now: Now) {
        match self.stage {
            Stage::Idle | Stage::Denied => {
                self.asked = now.tick;
                if self.href.is_some() {
                    self.poll(now);
                } else {
                    self.ask(now);
                }
            }
            Stage::AskAt(_) | Stage::Asking(_) | Stage::PollAt(_) | Stage::Polling(_) => {}
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

    /// The last request failed on the way.
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

    /// When [`Access::handle_timeout`] is wanted.
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
                self.say("access was denied; windrode can neither show its watch on displays nor take commands from them until it is approved".into());
            }
            _ => {
                self.stage = Stage::AskAt(now.tick + LATER);
                self.say("the server decided about our access in words we do not know".into());
            }
        }
    }

    /// A person who is at it is served quickly; the server allows 1000 polls in 10 min.
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

/// The address is on the server we asked; nothing else is ever polled.
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
/// How long somebody is taken to stand at the server's settings after the request.
const AT_IT: Duration = Duration::from_mins(5);
const ANSWER_WITHIN: Duration = Duration::from_secs(30);

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]
    use proptest::prelude::*;

    use super::*;
    use crate::time::Timestamp;

    fn at(secs: u64) -> Now {
        Now::new(Tick::START, Timestamp::EPOCH).plus(Duration::from_secs(secs))
    }

    fn access() -> Access {
        Access::new("5f0c6a52".into(), "windrode".into(), None)
    }

    fn all(access: &mut Access) -> Vec<AccessOutput> {
        std::iter::from_fn(|| access.poll_output()).collect()
    }

    /// As answered by signalk-server 2.32.0.
    const PENDING: &str = r#"{"state":"PENDING","requestId":"6a53","statusCode":202,"href":"/signalk/v1/requests/6a53","ip":"::ffff:127.0.0.1","user":null}"#;
    const APPROVED: &str = r#"{"state":"COMPLETED","statusCode":200,"accessRequest":{"permission":"APPROVED","token":"eyJ.x.y"}}"#;
    const DENIED: &str =
        r#"{"state":"COMPLETED","statusCode":200,"accessRequest":{"permission":"DENIED"}}"#;

    fn requested() -> Access {
        let mut access = access();
        access.handle_needed(at(0));
        assert_eq!(
            all(&mut access),
            [AccessOutput::Ask {
                client_id: "5f0c6a52".into(),
                description: "windrode".into(),
                permissions: "readwrite",
            }]
        );
        access.handle_response(at(0), 202, PENDING);
        access
    }

    fn polled(access: &mut Access, secs: u64) {
        access.handle_timeout(at(secs));
        assert_eq!(
            all(access),
            [AccessOutput::Poll {
                href: "/signalk/v1/requests/6a53".into()
            }]
        );
    }

    #[test]
    fn a_person_approves_and_the_token_arrives() {
        let mut access = requested();
        assert_eq!(
            all(&mut access),
            [AccessOutput::Say("access is requested; approve `windrode` in the server's security settings, access requests, with `readwrite`".into())]
        );
        assert_eq!(access.poll_timeout(), Some(at(5).tick));
        polled(&mut access, 5);
        access.handle_response(at(5), 200, PENDING);
        polled(&mut access, 10);
        access.handle_response(at(10), 200, APPROVED);
        let outputs = all(&mut access);
        let AccessOutput::Granted(token) = &outputs[0] else {
            panic!("{outputs:?}");
        };
        assert_eq!(token.reveal(), "eyJ.x.y");
        assert!(
            !format!("{outputs:?}").contains("eyJ"),
            "a token is not printed"
        );
        assert_eq!((access.poll_timeout(), access.pending()), (None, None));
    }

    #[test]
    fn nobody_comes_and_the_polls_become_rare() {
        let mut access = requested();
        let _ = all(&mut access);
        let mut polls = Vec::new();
        let mut secs = 0;
        while secs < 420 {
            secs = access.poll_timeout().unwrap().as_millis() / 1000;
            polled(&mut access, secs);
            access.handle_response(at(secs), 200, PENDING);
            polls.push(secs);
        }
        assert_eq!(polls[..3], [5, 10, 15]);
        assert!(polls.ends_with(&[330, 360, 390, 420]), "{polls:?}");
    }

    #[test]
    fn a_request_the_server_forgot_is_made_again() {
        let mut access = requested();
        let _ = all(&mut access);
        polled(&mut access, 5);
        access.handle_response(at(5), 500, "Unable to check request: not found");
        access.handle_timeout(at(10));
        assert!(matches!(all(&mut access)[..], [AccessOutput::Ask { .. }]));
    }

    #[test]
    fn a_denial_is_not_argued_with() {
        let mut access = requested();
        let _ = all(&mut access);
        polled(&mut access, 5);
        access.handle_response(at(5), 200, DENIED);
        assert!(
            matches!(&all(&mut access)[..], [AccessOutput::Say(words)] if words.starts_with("access was denied"))
        );
        assert_eq!(access.poll_timeout(), None);
        access.handle_needed(at(9000));
        assert!(matches!(all(&mut access)[..], [AccessOutput::Ask { .. }]));
    }

    #[test]
    fn an_open_request_survives_our_restart_by_its_address() {
        let mut access = Access::new(
            "5f0c6a52".into(),
            "windrode".into(),
            Some("/signalk/v1/requests/6a53".into()),
        );
        access.handle_needed(at(0));
        assert!(matches!(all(&mut access)[..], [AccessOutput::Poll { .. }]));
        let mut strange = Access::new("a".into(), "b".into(), Some("http://elsewhere/x".into()));
        strange.handle_needed(at(0));
        assert!(matches!(all(&mut strange)[..], [AccessOutput::Ask { .. }]));
    }

    #[test]
    fn refusals_and_failures_are_said_once_and_tried_again() {
        let mut access = access();
        access.handle_needed(at(0));
        let _ = all(&mut access);
        access.handle_response(at(0), 400, r#"{"message":"x already requested access"}"#);
        assert!(
            matches!(&all(&mut access)[..], [AccessOutput::Say(words)] if words.contains("deny it"))
        );
        access.handle_timeout(at(30));
        let _ = all(&mut access);
        access.handle_response(at(31), 400, r#"{"message":"x already requested access"}"#);
        assert!(all(&mut access).is_empty(), "said before");
        access.handle_timeout(at(61));
        access.handle_timeout(at(91));
        assert_eq!(
            all(&mut access).last(),
            Some(&AccessOutput::Say(
                "the server could not be asked for access: no answer within 30 s".into()
            ))
        );
        access.handle_timeout(at(121));
        access.handle_response(at(121), 404, "<html>");
        assert_eq!(access.poll_timeout(), None, "an open server needs no token");
    }

    /// The granted answer is that of signalk-server 2.32.0; the others are from memory of its
    /// form and checked for what they must not be taken for.
    #[test]
    fn the_login_status_tells_what_a_token_is_worth() {
        for (status, body, rights) in [
            (
                200,
                r#"{"authenticationRequired":true,"status":"loggedIn","userLevel":"readwrite","username":"daemon-device"}"#,
                Rights::Granted("readwrite".into()),
            ),
            (
                200,
                r#"{"authenticationRequired":true,"status":"loggedIn","userLevel":"readonly"}"#,
                Rights::ReadOnly,
            ),
            (
                200,
                r#"{"authenticationRequired":true,"status":"notLoggedIn","readOnlyAccess":true}"#,
                Rights::Anonymous,
            ),
            (
                200,
                r#"{"authenticationRequired":false,"status":"notLoggedIn"}"#,
                Rights::Open,
            ),
            (
                401,
                r#"{"error":"jwt expired"}"#,
                Rights::Refused("jwt expired".into()),
            ),
            (
                503,
                "<html>",
                Rights::Unknown("`loginStatus` answered with status `503`".into()),
            ),
            (
                200,
                "[]",
                Rights::Unknown("`loginStatus` answered with something that is no object".into()),
            ),
        ] {
            assert_eq!(rights_from_login_status(status, body), rights, "{body}");
        }
        assert_eq!(
            Rights::Refused("jwt expired".into()).to_string(),
            "the server refuses our token (`jwt expired`); remove the token and approve `windrode` in the server's security settings, access requests, with `readwrite`"
        );
        assert_eq!(
            Rights::ReadOnly.to_string(),
            "the server lets us read only; give windrode the permission `readwrite` in the server's security settings, devices"
        );
    }

    proptest! {
        /// Whatever the server answers, the exchange goes on or ends; it never asks in a flood.
        #[test]
        fn no_answer_makes_it_ask_more_often_than_each_five_seconds(
            answers in prop::collection::vec((prop_oneof![Just(200_u16), Just(202), Just(400), Just(404), Just(500), any::<u16>()],
                prop_oneof![Just(PENDING.to_owned()), Just(APPROVED.to_owned()), Just("{}".to_owned()), ".{0,40}"]), 1..40)
        ) {
            let mut access = access();
            access.handle_needed(at(0));
            let mut now = at(0);
            let mut requests = 0_u64;
            for (status, body) in answers {
                requests += all(&mut access)
                    .iter()
                    .filter(|o| matches!(o, AccessOutput::Ask { .. } | AccessOutput::Poll { .. }))
                    .count() as u64;
                access.handle_response(now, status, &body);
                let Some(due) = access.poll_timeout() else { break };
                prop_assert!(due > now.tick);
                now = now.plus(due.since(now.tick));
                access.handle_timeout(now);
            }
            prop_assert!(requests <= now.tick.as_millis() / 5000 + 1);
        }
    }
}
