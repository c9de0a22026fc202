//! Clocks that jump, and random events in any order.

use proptest::prelude::*;

use super::*;

#[test]
fn a_clock_that_jumps_neither_silences_nor_repeats_for_ever() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    bench.taken("skipper");
    for utc in ["1970-01-01T00:00:10Z", "2099-01-01T00:00:00Z"] {
        bench.now.utc = utc.parse().unwrap();
        bench.minutes(10);
        assert_eq!(bench.taken("skipper").len(), 2, "{utc}");
        bench.crash();
        assert_eq!(bench.taken("skipper").len(), 1, "{utc}");
    }
    // Back into the past, and a tick that goes backwards.
    bench.now = Now::new(Tick::START, evening());
    let now = bench.now;
    bench.outbox.handle_timeout(now);
    bench.serve();
    bench.minutes(60);
    assert!(bench.taken("skipper").len() >= 10);
}

#[derive(Clone, Debug)]
enum Deed {
    Alert(usize, Priority, u8),
    Answer(bool, u8),
    Crash,
    Pass(u64),
}

fn deeds() -> impl Strategy<Value = Vec<Deed>> {
    let priority = prop_oneof![
        Just(Priority::Caution),
        Just(Priority::Warning),
        Just(Priority::Alarm),
        Just(Priority::EmergencyAlarm)
    ];
    let deed = prop_oneof![
        6 => (0..8_usize, priority, 0..5_u8).prop_map(|(h, p, s)| Deed::Alert(h, p, s)),
        3 => (any::<bool>(), 0..4_u8).prop_map(|(first, how)| Deed::Answer(first, how)),
        1 => Just(Deed::Crash),
        4 => (0..1000_u64).prop_map(Deed::Pass),
    ];
    proptest::collection::vec(deed, 1..60)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    /// Whatever happens: a message is stored before it is sent (the test bench checks that),
    /// nothing stays due for ever, the disk holds little, and when the channels work again each
    /// phone shows what stands, nothing else, and what it missed in one message.
    #[test]
    fn in_the_end_every_phone_shows_what_stands(deeds in deeds()) {
        let mut bench = Bench::new(vec![route("skipper"), route("mate")]);
        for deed in deeds {
            match deed {
                Deed::Alert(hazard, priority, state) => {
                    let state = match state {
                        0 | 1 if priority > Priority::Caution => AlertState::ActiveUnacknowledged,
                        0..=2 => AlertState::ActiveAcknowledged,
                        3 if priority > Priority::Caution => AlertState::RectifiedUnacknowledged,
                        _ => AlertState::Normal,
                    };
                    let known = bench.outbox.alerts.contains_key(&Hazard::ALL[hazard]);
                    if known || state == AlertState::ActiveUnacknowledged {
                        bench.alert(Hazard::ALL[hazard], priority, state);
                    }
                }
                Deed::Answer(first, how) => {
                    let channel = if first { "skipper" } else { "mate" };
                    bench.hung.retain(|hung| hung != channel);
                    match how {
                        0 => bench.offline(channel),
                        1 => bench.answer(channel, Verdict::Refused("status 413".to_owned())),
                        2 => bench.hung.push(channel.to_owned()),
                        _ => bench.answer(channel, Verdict::Sent),
                    }
                }
                Deed::Crash => bench.crash(),
                Deed::Pass(seconds) => bench.pass(Duration::from_secs(seconds)),
            }
            prop_assert!(serde_json::to_string(&bench.disk).unwrap().len() < 8000);
        }
        bench.hung.clear();
        bench.answers.clear();
        bench.minutes(30);
        let unseen: Vec<Hazard> = bench
            .outbox
            .alerts
            .values()
            .filter(|v| v.state == AlertState::ActiveUnacknowledged && v.priority > Priority::Caution)
            .map(|v| v.hazard)
            .collect();
        for lane in &bench.outbox.lanes {
            prop_assert_eq!(&lane.missed, &None);
            for hazard in &unseen {
                let told = lane.items.get(hazard).and_then(|item| item.told);
                prop_assert_eq!(told.map(|t| t.state), Some(AlertState::ActiveUnacknowledged));
            }
            for hazard in lane.items.keys() {
                prop_assert!(bench.outbox.alerts.contains_key(hazard));
            }
        }
    }
}
