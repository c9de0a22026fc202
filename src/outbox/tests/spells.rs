//! The record of each channel's health.

use super::*;
use crate::outbox::words::Fault;

fn of(bench: &Bench, channel: &str) -> Vec<Spell> {
    let all = bench.spells.values();
    all.filter(|spell| spell.channel == channel)
        .cloned()
        .collect()
}

#[test]
fn each_channel_has_its_own_spells_with_counts_and_the_kind_of_the_failure() {
    let mut bench = Bench::new(vec![route("skipper"), route("mate")]);
    bench.minutes(30);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    let sent = bench.taken("skipper").len() as u64;
    let begun = bench.now.utc;
    bench.offline("skipper");
    bench.minutes(60);
    let failed = bench
        .handed
        .iter()
        .filter(|handed| handed.channel == "skipper")
        .count() as u64;
    bench.answer(
        "skipper",
        Verdict::Refused("status 403: topic-with-a-secret".to_owned()),
    );
    bench.minutes(30);
    bench.answers.clear();
    bench.minutes(60);
    let spells = of(&bench, "skipper");
    let told: Vec<_> = spells.iter().map(|it| (it.state, it.fault)).collect();
    assert_eq!(
        told,
        [
            (HealthState::Untried, None),
            (HealthState::Working, None),
            (HealthState::Failing, Some(Fault::NotTaken)),
            (HealthState::Refused, Some(Fault::Refused)),
            (HealthState::Working, None),
        ]
    );
    let [_, working, failing, refused, again] = spells.as_slice() else {
        panic!("{spells:?}");
    };
    assert_eq!((working.delivered, working.failed), (sent, 0));
    assert_eq!((failing.delivered, failing.failed), (0, failed));
    assert!(failed > 20 && refused.failed > 0 && again.delivered > 0);
    assert_eq!(failing.waiting, 1);
    // The last success is that of the time before, and not the one that ended the failure.
    assert!(failing.since >= begun && failing.worked <= Some(begun));
    assert!(again.worked > Some(refused.since));
    let text = serde_json::to_string(&spells).unwrap();
    assert!(
        !text.contains("secret") && !text.contains("status"),
        "{text}"
    );

    let mate = of(&bench, "mate");
    assert!(mate.iter().all(|spell| spell.failed == 0), "{mate:?}");
}

/// A night of checks each ten minutes, with the dead man's switch each minute: the counts do not change.
#[test]
fn a_channel_that_works_all_night_writes_its_record_seldom() {
    let mut dark = route("skipper");
    dark.dark_after = Some(Duration::from_mins(15));
    let mut bench = Bench::new(vec![dark]);
    bench.minutes(10);
    let before = bench.told;
    bench.minutes(10 * 60);
    assert!(bench.told - before <= 61, "{}", bench.told - before);
    let spells = of(&bench, "skipper");
    assert_eq!(spells.len(), 2, "{spells:?}");
    let age = bench.now.utc.millis_since(spells[1].worked.unwrap());
    assert!(age <= 21 * 60_000, "{age}");
}

#[test]
fn weighing_begins_a_new_spell() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.minutes(10);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    bench.outbox.handle_anchored(bench.now, false);
    bench.serve();
    let spells = of(&bench, "skipper");
    let anchored: Vec<_> = spells.iter().map(|it| it.anchored).collect();
    assert_eq!(anchored, [true, true, false]);
    assert_eq!((spells[1].delivered, spells[2].delivered), (1, 0));
}

/// A link that comes and goes every two seconds, as seen on the edge of a mobile network (invented times).
#[test]
fn a_link_that_comes_and_goes_is_one_failure_with_many_attempts() {
    let mut bench = Bench::new(vec![route("mate")]);
    bench.minutes(30);
    let lost = Verdict::Later {
        after: None,
        why: "connection reset".to_owned(),
    };
    let begun = bench.now.utc;
    for _ in 0..900 {
        for link in [&lost, &Verdict::Sent] {
            bench.outbox.handle_link(bench.now, "mate", link);
            bench.serve();
            bench.pass(Duration::from_secs(1));
        }
    }
    let well = bench.now.utc;
    bench.minutes(30);
    let spells = of(&bench, "mate");
    let told: Vec<_> = spells.iter().map(|it| it.state).collect();
    assert_eq!(
        told,
        [
            HealthState::Untried,
            HealthState::Working,
            HealthState::Failing,
            HealthState::Working,
        ]
    );
    assert_eq!((spells[2].since, spells[2].failed), (begun, 900));
    // The moment at which it worked for good, though that was written a minute later.
    let late = well.millis_since(spells[3].since);
    assert!((0..=2000).contains(&late), "{late}");
}

/// Each change lasts just long enough to be written.
#[test]
fn at_most_one_spell_a_minute_begins() {
    let mut bench = Bench::new(vec![route("mate")]);
    bench.minutes(30);
    let lost = Verdict::Later {
        after: None,
        why: "connection reset".to_owned(),
    };
    let before = of(&bench, "mate").len();
    let mut minutes = 0;
    for secs in [1, 61, 3, 62, 59, 64, 30, 120].repeat(10).chunks(2) {
        bench.outbox.handle_link(bench.now, "mate", &lost);
        bench.serve();
        bench.pass(Duration::from_secs(secs[0]));
        bench.outbox.handle_link(bench.now, "mate", &Verdict::Sent);
        bench.serve();
        bench.pass(Duration::from_secs(secs[1]));
        minutes += secs[0] + secs[1];
    }
    let spells = of(&bench, "mate");
    let fresh = spells.len() - before;
    assert!(fresh > 10 && fresh as u64 <= minutes / 60, "{fresh}");
    let failed: u64 = spells.iter().map(|spell| spell.failed).sum();
    assert_eq!(failed, 40, "no failure is lost");
}

/// Successes alone are written each ten minutes: the last one is written when the spell ends.
#[test]
fn a_spell_that_ends_has_the_last_success_in_it() {
    let mut bench = Bench::new(vec![route("mate")]);
    bench.minutes(30);
    bench.outbox.handle_link(bench.now, "mate", &Verdict::Sent);
    bench.serve();
    bench.pass(Duration::from_secs(20));
    bench.outbox.handle_link(bench.now, "mate", &Verdict::Sent);
    bench.serve();
    let last = bench.now.utc;
    let before = of(&bench, "mate")[1].worked;
    assert!(before < Some(last), "{before:?}");
    bench.offline("mate");
    let lost = Verdict::Later {
        after: None,
        why: "connection reset".to_owned(),
    };
    bench.outbox.handle_link(bench.now, "mate", &lost);
    bench.serve();
    bench.minutes(5);
    let spells = of(&bench, "mate");
    let states: Vec<_> = spells.iter().map(|it| it.state).collect();
    assert_eq!(
        states,
        [
            HealthState::Untried,
            HealthState::Working,
            HealthState::Failing
        ]
    );
    assert_eq!(spells[1].worked, Some(last));
}
