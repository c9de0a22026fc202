//! How the link comes up, is proven, breaks and recovers.

use super::*;

#[test]
fn a_good_link_connects_greets_subscribes_publishes_and_is_proven() {
    let mut night = Night::new(Mood::Good);
    night.pass(1);
    assert_eq!(
        night.links(),
        [LinkState::Down(LinkFault::NotConnectedYet), LinkState::Up]
    );
    let sent = night.sent();
    assert!(sent[0]["subscribe"].is_array() && sent[1]["subscribe"].is_array());
    assert!(sent[2]["updates"][0]["meta"].is_array());
    let beat = &sent[2]["updates"][0];
    assert_eq!(sent[2]["context"], TERN);
    for path in [
        "letGo",
        "rodeOut",
        "weigh",
        "acknowledge",
        "silence",
        "berth",
        "heartbeat",
    ] {
        let path = format!("navigation.anchor.watch.{path}");
        assert!(
            beat["values"]
                .as_array()
                .unwrap()
                .iter()
                .any(|v| v["path"] == path.as_str()),
            "{path} is published, so that a PUT reaches us"
        );
    }
    assert_eq!(night.dragging(), [("normal".to_owned(), json!([]))]);
    assert_eq!(
        night.log(),
        [format!(
            "linked to `rehearsal` {} as `{TERN}`",
            env!("CARGO_PKG_VERSION")
        )]
    );
    night.pass(3600);
    assert_eq!(night.links().len(), 2, "an hour without a change");
    assert_eq!(night.times(&Output::Connect), [0]);
    let beats = night
        .sent()
        .iter()
        .filter(|delta| {
            delta.to_string().contains(HEARTBEAT) && delta.to_string().contains("\"values\"")
        })
        .count();
    // One heartbeat with the greeting, then one each 10 s.
    assert_eq!(beats, 361);
}

#[test]
fn a_silent_anonymous_socket_is_reported_and_does_not_cause_reconnects() {
    let mut night = Night::new(Mood::Deaf);
    night.rights = Rights::Anonymous;
    night.pass(3600);
    assert_eq!(
        night.links(),
        [
            LinkState::Down(LinkFault::NotConnectedYet),
            LinkState::Impaired(LinkFault::Unknown)
        ]
    );
    assert_eq!(night.times(&Output::Connect), [0]);
    assert_eq!(night.log().len(), 1);
}

#[test]
fn a_server_that_drops_our_values_is_found_out_within_half_a_minute() {
    let mut night = Night::new(Mood::Deaf);
    night.rights = Rights::Unknown("`loginStatus` answered with status `404`".into());
    night.pass(24);
    assert_eq!(night.links().len(), 1);
    night.pass(2);
    assert_eq!(
        night.session.link(),
        Some(&LinkState::Impaired(nothing_comes_back()))
    );
    let log = night.log();
    assert!(
        log.last()
            .unwrap()
            .contains("`loginStatus` answered with status `404`"),
        "{log:?}"
    );
    night.mood = Mood::Good;
    night.pass(10);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
}

#[test]
fn a_heartbeat_from_the_server_s_cache_proves_nothing() {
    let mut night = Night::new(Mood::Deaf);
    night.pass(1);
    // The right number with the stamp of an earlier run; then the right stamp with another number.
    for (stamp, number) in [
        ("2026-06-01T12:00:00.000Z", 1),
        ("2026-06-01T21:30:00.000Z", 9),
    ] {
        night.hears(&delta("windrode", stamp, HEARTBEAT, &json!(number)));
    }
    // The right heartbeat, under another source.
    let stamp = "2026-06-01T21:30:00.000Z";
    night.hears(&delta("other", stamp, HEARTBEAT, &json!(1)));
    assert_eq!(night.links().len(), 1);
    night.hears(&delta("windrode", stamp, HEARTBEAT, &json!(1)));
    assert_eq!(night.session.link(), Some(&LinkState::Up));
}

#[test]
fn a_permission_taken_away_at_night_is_noticed() {
    let mut night = Night::linked();
    night.rights = Rights::ReadOnly;
    night.pass(40);
    assert_eq!(
        night.session.link(),
        Some(&LinkState::Impaired(LinkFault::ReadOnly))
    );
    // The permission is given back: the session connects again to use it.
    night.rights = Rights::Granted("readwrite".into());
    night.pass(65);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
    assert_eq!(night.times(&Output::Connect).len(), 1);
}

/// A server that is not joined and a trust record that cannot be read are reported as such.
#[test]
fn what_was_found_on_the_network_goes_into_the_log_and_what_it_means_to_the_crew() {
    let mut night = Night::new(Mood::Deaf);
    night.session.handle_timeout(night.now);
    for (closed, fault, words) in [
        (
            Closed::NotChosen(LinkFault::ServersUnknown, "found: `a`, `b`".into()),
            LinkFault::ServersUnknown,
            "found: `a`, `b`",
        ),
        (
            Closed::TrustUnreadable("the record is damaged".into()),
            LinkFault::TrustUnreadable,
            "the record is damaged",
        ),
    ] {
        night.session.handle_closed(night.now, closed);
        assert_eq!(night.session.link(), Some(&LinkState::Down(fault)));
        while let Some(output) = night.session.poll_output() {
            night.outputs.push((0, output));
        }
        let log = night.log();
        assert!(log.last().unwrap().ends_with(words), "{log:?}");
        let due = night.session.poll_timeout().unwrap();
        night.now = night.now.plus(due.since(night.now.tick));
        night.session.handle_timeout(night.now);
    }
}

#[test]
fn a_broken_network_is_reported_at_once_and_recovers_within_seconds() {
    let mut night = Night::linked();
    night.pass(100);
    night.outputs.clear();
    night.broken();
    assert_eq!(night.links(), [LinkState::Down(LinkFault::ServerClosed)]);
    night.pass(2);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
    let sent = night.sent();
    assert!(sent[0]["subscribe"].is_array());
    assert!(sent[2]["updates"][0]["meta"].is_array());
}

#[test]
fn a_server_that_is_gone_all_night_is_tried_patiently_and_logged_sparingly() {
    let mut night = Night::new(Mood::Gone);
    night.pass(8 * 3600);
    let tries = night.times(&Output::Connect);
    // Half a minute, plus or minus a fifth.
    assert!((800..1300).contains(&tries.len()), "{}", tries.len());
    let gaps: Vec<u64> = tries.windows(2).map(|w| w[1] - w[0]).collect();
    assert!(gaps[..3].iter().all(|gap| *gap <= 5), "{:?}", &gaps[..3]);
    assert!(gaps.iter().all(|gap| *gap <= 37));
    assert_eq!(
        night.links(),
        [
            LinkState::Down(LinkFault::NotConnectedYet),
            LinkState::Down(LinkFault::NoConnection)
        ]
    );
    let log = night.log();
    assert_eq!(log.len(), 1);
    assert!(
        log[0].ends_with("no connection to the server: connection refused"),
        "{log:?}"
    );
}

#[test]
fn the_log_follows_the_cause_and_the_watch_the_fault() {
    let mut night = Night::new(Mood::Gone);
    let told = [
        LinkState::Down(LinkFault::NotConnectedYet),
        LinkState::Down(LinkFault::NoConnection),
    ];
    let causes = [
        "the name is not known",
        "the certificate has expired",
        "the name is not known",
    ];
    for words in causes {
        night.gone_words = words;
        night.pass(300);
        assert_eq!(night.links(), told);
    }
    let log = night.log();
    assert_eq!(log.len(), 2, "{log:?}");
    for (line, cause) in log.iter().zip(causes) {
        assert!(
            line.ends_with(&format!("no connection to the server: {cause}")),
            "{line}"
        );
    }
}

#[test]
fn an_attempt_that_takes_too_long_is_logged_as_such() {
    let mut night = Night::new(Mood::Mute);
    night.pass(40);
    assert_eq!(
        night.session.link(),
        Some(&LinkState::Down(LinkFault::NoConnection))
    );
    let log = night.log();
    assert!(
        log[0].ends_with("no connection to the server: none within 30 s"),
        "{log:?}"
    );
}

#[test]
fn a_refused_token_is_reported_and_tried_once_a_minute() {
    let mut night = Night::new(Mood::Refusing);
    night.pass(600);
    assert!((8..=13).contains(&night.times(&Output::Connect).len()));
    assert_eq!(
        night.session.link(),
        Some(&LinkState::Down(LinkFault::TokenRefused))
    );
    night.mood = Mood::Good;
    night.session.handle_new_token(night.now);
    night.pass(0);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
}

#[test]
fn a_socket_without_a_greeting_is_dropped() {
    let mut night = Night::new(Mood::Dumb);
    night.pass(10);
    assert_eq!(
        night.found(|o| match o {
            Output::Close(words) => Some(words.clone()),
            _ => None,
        }),
        ["the server did not greet us within 10 s; is it a Signal K server?"]
    );
}

#[test]
fn a_dead_peer_is_found_by_its_missing_pong() {
    let mut night = Night::linked();
    night.pongs = false;
    night.mood = Mood::Deaf;
    night.pass(45);
    assert_eq!(night.links()[0], LinkState::Impaired(nothing_comes_back()));
    assert_eq!(night.links()[1], LinkState::Down(LinkFault::NoPong));
}

#[test]
fn a_server_that_answers_pings_but_sends_nothing_is_left_and_tried_again() {
    let mut night = Night::linked();
    night.mood = Mood::Deaf;
    night.pass(72);
    assert_eq!(
        night.links().last(),
        Some(&LinkState::Down(LinkFault::Silent))
    );
    night.mood = Mood::Good;
    // The link is proven with the next heartbeat.
    night.pass(12);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
}

#[test]
fn late_reports_about_a_dropped_socket_are_ignored() {
    let mut night = Night::new(Mood::Dumb);
    night.pass(10);
    let waiting = night.session.poll_timeout();
    night.session.handle_closed(night.now, Closed::Ended);
    night.session.handle_connected(night.now);
    night
        .session
        .handle_frame(night.now, &json!({"self": TERN}).to_string());
    night.session.handle_pong(night.now);
    assert_eq!(night.session.poll_timeout(), waiting);
    assert_eq!(night.session.poll_output(), None);
}

/// The heartbeat comes back, the notifications are dropped: no display would show the drag.
#[test]
fn a_server_that_drops_our_notifications_alone_is_found_out_within_half_a_minute() {
    let mut night = Night::new(Mood::Hidden);
    night.pass(24);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
    night.pass(2);
    let Some(LinkState::Impaired(why)) = night.session.link() else {
        panic!("{:?}", night.session.link());
    };
    let LinkFault::AlarmsNotShown { path, .. } = why else {
        panic!("{why:?}");
    };
    assert!(
        path.starts_with("notifications.navigation.anchor."),
        "{path}"
    );
    // The message names the alarm that stands.
    night.raises(AlertState::ActiveUnacknowledged, 1);
    night.pass(120);
    let Some(LinkState::Impaired(why)) = night.session.link() else {
        panic!("{:?}", night.session.link());
    };
    assert!(
        matches!(why, LinkFault::AlarmsNotShown { path, count } if path == DRAGGING && *count > 0),
        "{why:?}"
    );
    // The rights are repaired: the alarm is published again and comes back, and the link is up.
    night.mood = Mood::Good;
    night.pass(61);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
    assert_eq!(night.hub.value(DRAGGING).unwrap()["state"], "alarm");
}

/// A single notification that is lost later in the night is noticed too.
#[test]
fn rights_to_notifications_that_are_taken_away_are_noticed_with_the_next_alarm() {
    let mut night = Night::linked();
    night.mood = Mood::Hidden;
    night.pass(600);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
    night.raises(AlertState::ActiveUnacknowledged, 1);
    night.pass(26);
    let Some(LinkState::Impaired(why)) = night.session.link() else {
        panic!("{:?}", night.session.link());
    };
    let expected = LinkFault::AlarmsNotShown {
        path: DRAGGING.to_owned(),
        count: 0,
    };
    assert_eq!(*why, expected);
}

/// What displays show counts, not what comes back to us.
#[test]
fn a_notification_that_is_in_the_tree_is_shown_though_it_does_not_come_back() {
    let mut night = Night::new(Mood::Unsubscribed);
    night.pass(300);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
    assert_eq!(night.links().len(), 2, "{:?}", night.links());
}

fn nothing_comes_back() -> LinkFault {
    LinkFault::NothingComesBack {
        label: "windrode".to_owned(),
    }
}

/// Three heartbeats later, the answer to the first arrives.
#[test]
fn a_heartbeat_that_comes_back_half_a_minute_late_still_proves_the_link() {
    let proven = |seconds: u64| {
        let mut night = Night::new(Mood::Deaf);
        night.pass(seconds);
        let stamp = "2026-06-01T21:30:00.000Z";
        night.hears(&delta("windrode", stamp, HEARTBEAT, &json!(1)));
        night.session.link() != Some(&LinkState::Impaired(nothing_comes_back()))
    };
    assert!(proven(35) && !proven(45));
}
