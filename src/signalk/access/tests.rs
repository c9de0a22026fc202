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

/// As signalk-server 2.32.0 answers.
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
fn polls_become_rare_when_nobody_approves() {
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

/// The daemon reports each minute that rights are missing.
#[test]
fn a_denial_is_reported_once_and_is_final() {
    let mut access = requested();
    let _ = all(&mut access);
    polled(&mut access, 5);
    access.handle_response(at(5), 200, DENIED);
    assert!(
        matches!(&all(&mut access)[..], [AccessOutput::Say(words)] if words.starts_with("access was denied") && words.ends_with("restart windrode"))
    );
    for minute in 1..600 {
        access.handle_needed(at(minute * 60));
        access.handle_timeout(at(minute * 60));
        assert_eq!(all(&mut access), []);
        assert_eq!((access.poll_timeout(), access.pending()), (None, None));
    }
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
fn refusals_and_failures_are_reported_once_and_tried_again() {
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

/// The granted answer is that of signalk-server 2.32.0. The others are written from memory; the
/// test checks what they must not be mistaken for.
#[test]
fn the_login_status_shows_what_a_token_allows() {
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
    /// Whatever the server answers, the exchange continues or ends; it never floods the server with
    /// requests.
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
