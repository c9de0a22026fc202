//! Whole conversations with displays.

use proptest::prelude::*;

use super::*;
use crate::sentences::frame::{LONGEST, checksum, fields};
use crate::time::Timestamp;

fn at(second: u64) -> Now {
    let begin: Timestamp = "2026-06-02T00:00:00Z".parse().unwrap();
    Now::new(Tick::START, begin).plus(Duration::from_secs(second))
}

fn view(state: AlertState, raise: u64) -> AlertView {
    let message = "dragging: the anchor has moved 14 m or more";
    AlertView {
        state,
        raise,
        ..AlertView::drag(at(0).utc, message)
    }
}

/// What the exchange sends, each sentence split into fields.
fn said(exchange: &mut Exchange) -> Vec<Vec<String>> {
    std::iter::from_fn(|| exchange.poll_output())
        .filter_map(|output| match output {
            Output::Send(line) => {
                assert!(line.len() <= LONGEST, "{line}");
                Some(
                    fields(&line)
                        .unwrap()
                        .into_iter()
                        .map(str::to_owned)
                        .collect(),
                )
            }
            Output::Order { .. } | Output::Say(_) => None,
        })
        .collect()
}

/// The formatters alone.
fn kinds(exchange: &mut Exchange) -> Vec<String> {
    said(exchange)
        .iter()
        .map(|fields| fields[0][2..].to_owned())
        .collect()
}

fn command(hazard: u32, letter: char) -> String {
    let body = format!("CAACN,000100.00,,{hazard},1,{letter},C");
    format!("${body}*{:02X}\r\n", checksum(&body))
}

/// The life of an alarm according to IEC 62923-1, by the letters of the table.
#[test]
fn an_alarm_from_raised_to_normal() {
    use AlertState::{
        ActiveAcknowledged, ActiveSilenced, ActiveUnacknowledged, Normal, RectifiedUnacknowledged,
    };
    let mut exchange = Exchange::new(at(0));
    let mut told = Vec::new();
    for (second, state, raise) in [
        (1, ActiveUnacknowledged, 1),
        (5, ActiveSilenced, 1),
        (35, ActiveUnacknowledged, 1),
        (40, ActiveUnacknowledged, 2),
        (50, ActiveAcknowledged, 2),
        (60, RectifiedUnacknowledged, 2),
        (70, Normal, 2),
        (80, ActiveUnacknowledged, 3),
    ] {
        let view = AlertView {
            escalation: u32::from(raise == 2),
            ..view(state, raise)
        };
        exchange.handle_alert(at(second), &view);
        // The same alert again is nothing new.
        exchange.handle_alert(at(second + 1), &view);
        let lines = said(&mut exchange);
        assert_eq!(lines.len(), 2, "{state:?}");
        let first = &lines[0];
        told.push(format!(
            "{} {} revision {} escalation {}",
            first[4], first[7], first[11], first[12]
        ));
        assert_eq!(lines[1][13], "the anchor has moved 14 m or more");
    }
    assert_eq!(
        told,
        [
            "000001.00 V revision 1 escalation 0",
            "000005.00 S revision 2 escalation 0",
            "000035.00 V revision 3 escalation 0",
            "000035.00 V revision 4 escalation 1",
            "000050.00 A revision 5 escalation 1",
            "000060.00 U revision 6 escalation 1"
                .replace("000060", "000100")
                .as_str(),
            "000110.00 N revision 7 escalation 1",
            "000120.00 V revision 8 escalation 0",
        ]
    );
}

#[test]
fn the_list_comes_every_thirty_seconds_and_the_heart_beats_within_sixty() {
    let mut exchange = Exchange::new(at(0));
    exchange.handle_alert(at(0), &view(AlertState::ActiveUnacknowledged, 1));
    let _ = said(&mut exchange);
    let mut lists = Vec::new();
    let mut beats = Vec::new();
    for second in 0..300 {
        if exchange.poll_timeout().unwrap() <= at(second).tick {
            exchange.handle_timeout(at(second));
        }
        for fields in said(&mut exchange) {
            match fields[0].as_str() {
                "IIALC" => {
                    assert_eq!(fields[4..], ["1", "", "10001", "1", "1"]);
                    lists.push(second);
                }
                "IIHBT" => {
                    assert_eq!(fields[1..3], ["30", "A"]);
                    beats.push(second);
                }
                other => panic!("{other}"),
            }
        }
    }
    assert_eq!(lists, (0..300).step_by(30).collect::<Vec<_>>());
    assert!(beats.windows(2).all(|pair| pair[1] - pair[0] <= 60));
}

#[test]
fn the_heartbeat_shows_an_impaired_watch() {
    let mut exchange = Exchange::new(at(0));
    let mut impaired = view(AlertState::ActiveAcknowledged, 1);
    impaired.hazard = Hazard::Watch;
    exchange.handle_alert(at(0), &impaired);
    exchange.handle_timeout(at(0));
    assert_eq!(said(&mut exchange).last().unwrap()[2], "V");
}

#[test]
fn a_display_acknowledges_and_sees_the_new_state() {
    let mut exchange = Exchange::new(at(0));
    exchange.handle_alert(at(0), &view(AlertState::ActiveUnacknowledged, 1));
    let _ = said(&mut exchange);
    for (letter, wanted) in [
        ('A', Command::Acknowledge(Some(Hazard::Dragging))),
        ('S', Command::Silence(Some(Hazard::Dragging))),
    ] {
        exchange.handle_line(at(1), &command(10_001, letter));
        let Some(Output::Order { id, command }) = exchange.poll_output() else {
            panic!("no order");
        };
        assert_eq!(command, wanted);
        exchange.handle_reply(at(1), id, &Outcome::Done("done".to_owned()));
        assert_eq!(exchange.poll_output(), None);
        // A second answer belongs to no order.
        exchange.handle_reply(at(1), id, &Outcome::Refused("late".to_owned()));
        assert_eq!(exchange.poll_output(), None);
    }
}

#[test]
fn impossible_commands_are_refused_by_arc() {
    let mut exchange = Exchange::new(at(0));
    // No alert stands.
    exchange.handle_line(at(60), &command(10_001, 'A'));
    assert_eq!(
        said(&mut exchange),
        [["IIARC", "000100.00", "", "10001", "1", "A"]]
    );
    exchange.handle_alert(at(60), &view(AlertState::ActiveUnacknowledged, 1));
    let _ = said(&mut exchange);
    // The responsibility cannot be transferred.
    exchange.handle_line(at(60), &command(10_001, 'O'));
    assert_eq!(said(&mut exchange)[0][5], "O");
    // The watch refuses.
    exchange.handle_line(at(60), &command(10_001, 'S'));
    let Some(Output::Order { id, .. }) = exchange.poll_output() else {
        panic!("no order");
    };
    exchange.handle_reply(at(60), id, &Outcome::Refused("it cannot be".to_owned()));
    assert_eq!(said(&mut exchange)[0][5], "S");
    // Commands for other equipment's alerts are ignored.
    exchange.handle_line(at(60), &command(3001, 'A'));
    assert_eq!(exchange.poll_output(), None);
}

#[test]
fn a_late_display_gets_everything_and_can_ask_again() {
    let mut exchange = Exchange::new(at(0));
    exchange.handle_timeout(at(0));
    exchange.handle_alert(at(1), &view(AlertState::ActiveUnacknowledged, 1));
    let _ = said(&mut exchange);
    exchange.handle_joined(at(10));
    exchange.handle_timeout(at(10));
    assert_eq!(kinds(&mut exchange), ["ALF", "ALF", "ALC", "HBT"]);
    // Many displays together are served once a second.
    for _ in 0..100 {
        exchange.handle_joined(at(10));
        exchange.handle_timeout(at(10));
    }
    assert_eq!(kinds(&mut exchange), [""; 0]);
    exchange.handle_timeout(at(11));
    assert_eq!(kinds(&mut exchange), ["ALF", "ALF", "ALC", "HBT"]);
    exchange.handle_line(at(12), &command(10_001, 'Q'));
    assert_eq!(kinds(&mut exchange), ["ALF", "ALF"]);
}

#[test]
fn counters_turn_over_as_the_sentence_has_room_for_them() {
    let mut exchange = Exchange::new(at(0));
    let mut last = (0, 0);
    for raise in 1..=150_u64 {
        let view = AlertView {
            escalation: u32::try_from(raise - 1).unwrap(),
            ..view(AlertState::ActiveUnacknowledged, raise)
        };
        exchange.handle_alert(at(raise), &view);
        let first = said(&mut exchange).remove(0);
        let now: (u64, u64) = (first[11].parse().unwrap(), first[12].parse().unwrap());
        assert_eq!(now.0, last.0 % 99 + 1);
        let escalated = if raise == 1 { 0 } else { last.1 % 9 + 1 };
        assert_eq!(now.1, escalated);
        last = now;
    }
}

proptest! {
    /// Whatever a display sends and a message contains: sentences have at most 82 characters, and orders
    /// are bounded.
    #[test]
    fn any_conversation_keeps_to_the_form(
        lines in prop::collection::vec("\\PC{0,120}|\\$[A-Z]{5}(,[0-9A-Z]{0,6}){0,8}\\*[0-9A-F]{2}", 0..40),
        messages in prop::collection::vec(".{0,200}", 1..8),
        letters in "[ASQOX]{0,60}",
    ) {
        let mut exchange = Exchange::new(at(0));
        for (index, message) in messages.iter().enumerate() {
            let mut shown = view(AlertState::ActiveUnacknowledged, index as u64);
            message.clone_into(&mut shown.message);
            shown.hazard = Hazard::ALL[index % Hazard::ALL.len()];
            exchange.handle_alert(at(index as u64), &shown);
        }
        for line in &lines {
            exchange.handle_line(at(9), line);
        }
        for letter in letters.chars() {
            exchange.handle_line(at(9), &command(10_001, letter));
        }
        exchange.handle_timeout(at(10));
        prop_assert!(exchange.orders.len() <= MOST_ORDERS);
        let _ = said(&mut exchange);
    }
}
