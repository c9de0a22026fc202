//! Steps, jumps and gaps.

use super::*;

const STILL: Option<Offset> = Some(Offset::ZERO);

/// A track of this many seconds at the anchor.
fn lain(seconds: u64) -> Track {
    let mut track = Track::new(0.8);
    for second in 0..seconds {
        take(&mut track, second, 0.0);
    }
    track
}

/// She lies still, and the fix is this far off.
fn take(track: &mut Track, second: u64, shift: f64) -> f64 {
    let now = Tick::from_secs(second);
    track
        .take(now, east(shift), STILL, Some(east(1.0)))
        .length()
        .get()
}

/// The fix goes to and fro by two metres each second: a step of five times that is the shortest jump.
#[test]
fn the_steps_of_a_restless_receiver_are_no_jumps() {
    for (off, jumps) in [(10.0, false), (10.2, true)] {
        let mut track = Track::new(0.8);
        let wave = |second: u64| Offset {
            east: 0.0,
            north: if second.is_multiple_of(2) { 1.0 } else { -1.0 },
        };
        for second in 0..1200 {
            let now = Tick::from_secs(second);
            track.take(now, wave(second), STILL, Some(east(1.0)));
            assert_eq!(track.shift(now), Offset::ZERO, "{second}");
        }
        let now = Tick::from_secs(1200);
        track.take(now, wave(1200) + east(off), STILL, Some(east(1.0)));
        assert_eq!(track.shift(now) != Offset::ZERO, jumps, "{off} m");
    }
}

/// Six metres and six more, and back in the same way.
#[test]
fn a_jump_in_two_steps_is_taken_off_as_one() {
    // A velocity of exactly zero counts as unknown, the least other one does not.
    for least in [0.0, 0.001] {
        let mut track = Track::new(0.8);
        for second in 0..400_u64 {
            let shift = match second {
                200 | 230..240 => 6.0,
                201..230 => 12.0,
                _ => 0.0,
            };
            let now = Tick::from_secs(second);
            let at = track.take(now, east(shift), Some(east(least)), Some(east(1.0)));
            assert!(at.length().get() < 0.1, "{least}, {second}: {at:?}");
            let left = (track.shift(now) - east(shift)).length().get();
            assert!(left < 0.1, "{least}, {second}: {left}");
        }
    }
}

/// No reflection shifts a fix by thirty metres, so such a jump is let in after a quarter of a minute.
#[test]
fn a_far_jump_is_let_in_sooner() {
    let mut track = lain(200);
    let mut left = |second: u64| {
        take(&mut track, second, 30.0);
        track.shift(Tick::from_secs(second)).length().get()
    };
    let left: Vec<f64> = (200..340).map(&mut left).collect();
    assert!((left[15] - 30.0).abs() < 1e-9);
    assert!((left[35] - 30.0 * (-1.0_f64).exp()).abs() < 1e-9);
    assert!(left[115] > 0.1 && left[117] < 1e-9, "{:?}", &left[112..]);
}

/// The watch has waited for the far jump already. A near one is still taken for a reflection.
#[test]
fn a_far_jump_that_was_waited_for_is_believed_at_once() {
    for (metres, believes, goes) in [
        (100.0, true, true),
        (16.0, true, true),
        (14.0, true, false),
        (100.0, false, false),
    ] {
        let mut track = lain(200);
        track.believe_far_jumps(believes);
        for second in 200..210 {
            let at = take(&mut track, second, metres);
            let wanted = if goes { metres } else { 0.0 };
            assert!((at - wanted).abs() < 1e-9, "{metres}, {second}: {at}");
        }
    }
}

/// Within twenty seconds she may have got three metres away from where her velocity leads, and two more.
#[test]
fn a_gap_counts_only_if_the_fix_comes_back_elsewhere() {
    for speed in [0.0, 0.5] {
        for (off, since) in [(4.9, 119), (5.1, 0)] {
            let mut track = Track::new(0.8);
            for second in (0..100_u64).chain([119]) {
                let off = if second == 119 { off } else { 0.0 };
                let fix = east(speed * second as f64 + off);
                let now = Tick::from_secs(second);
                track.take(now, fix, Some(east(speed)), Some(east(1.0)));
            }
            let unbroken = track.unbroken(Tick::from_secs(119));
            assert_eq!(unbroken, Duration::from_secs(since), "{speed}, {off}");
        }
    }
}

/// Without a gap, no step breaks the track.
#[test]
fn a_jump_is_no_gap() {
    let mut track = lain(100);
    take(&mut track, 103, 12.0);
    let unbroken = track.unbroken(Tick::from_secs(103));
    assert_eq!(unbroken, Duration::from_secs(103));
}

/// A step soon after a gap shows that the fix came back shifted. Later it is a jump like any other.
#[test]
fn the_end_of_a_shift_that_came_in_a_gap_is_seen_at_once() {
    for (ends, at_once) in [(260, true), (300, true), (320, false)] {
        let mut track = lain(200);
        for second in 230..ends {
            take(&mut track, second, 20.0);
        }
        let at = take(&mut track, ends, 0.0);
        assert_eq!(at < 0.1, at_once, "{ends}: {at}");
        let shift = track.shift(Tick::from_secs(ends));
        assert_eq!(shift == Offset::ZERO, at_once, "{ends}: {shift:?}");
    }
}

#[test]
fn after_three_minutes_without_a_fix_the_track_starts_again() {
    for (gone, again) in [(180, false), (181, true)] {
        let mut track = lain(200);
        take(&mut track, 200, 8.0);
        let second = 200 + gone;
        let at = take(&mut track, second, 10.0);
        assert_eq!((at - 10.0).abs() < 1e-9, again, "{gone} s: {at}");
        let unbroken = track.unbroken(Tick::from_secs(second));
        assert_eq!(unbroken.is_zero(), again, "{gone} s");
        assert!(!again || track.shift(Tick::from_secs(second)) == Offset::ZERO);
    }
}

/// Two metres are no jump: over half a minute the track goes there, or over eight seconds without a velocity.
#[test]
fn the_track_goes_to_the_fix_over_its_time_constant() {
    for (velocity, seconds) in [(STILL, 30_u64), (None, 8)] {
        for every in [1, 2] {
            let mut track = Track::new(0.8);
            let mut at = Offset::ZERO;
            for second in (0..=200 + seconds).step_by(every) {
                let off = if second > 200 { 2.0 } else { 0.0 };
                let now = Tick::from_secs(second);
                at = track.take(now, east(off), velocity, Some(east(1.0)));
            }
            let left = 2.0 - at.east;
            let wanted = 2.0 * (-1.0_f64).exp();
            assert!((left - wanted).abs() < 1e-9, "{velocity:?}: {left}");
        }
    }
}

/// Her speed grows evenly; or it is steady and comes with every other fix only.
#[test]
fn the_track_follows_a_velocity_that_changes_or_is_sometimes_missing() {
    let (mut growing, mut steady) = (Track::new(0.8), Track::new(0.8));
    for second in 0..60_u64 {
        let (now, t) = (Tick::from_secs(second), second as f64);
        let at = growing.take(now, east(0.02 * t * t), Some(east(0.04 * t)), None);
        assert!((at.east - 0.02 * t * t).abs() < 1e-9, "{second}: {at:?}");
        let velocity = second.is_multiple_of(2).then(|| east(0.5));
        let at = steady.take(now, east(0.5 * t), velocity, None);
        assert!((at.east - 0.5 * t).abs() < 1e-9, "{second}: {at:?}");
    }
}

#[test]
fn two_fixes_at_one_moment_are_one() {
    let mut track = lain(100);
    let before = take(&mut track, 100, 1.0);
    for _ in 0..20 {
        let again = take(&mut track, 100, 1.0);
        assert!((again - before).abs() < 1e-12, "{before}, then {again}");
    }
}

/// It has built up to eighteen metres. What is added slowly afterwards does not show that it was motion.
#[test]
fn a_reflection_that_grows_on_slowly_is_still_taken_off() {
    let mut track = lain(200);
    for second in 200..270_u64 {
        let since = second as f64 - 200.0;
        let shift = (2.5 * since).min(18.0) + 0.15 * (since - 20.0).max(0.0);
        let at = take(&mut track, second, shift);
        assert!(at < 6.0, "{second}: {at}, shifted by {shift}");
    }
}

/// Fifty fixes a second. The last twenty seconds are kept at ten a second.
#[test]
fn a_fast_receiver_fills_no_memory() {
    let mut track = Track::new(0.8);
    for count in 0..3000 {
        let now = Tick::from_millis(20 * count);
        track.take(now, Offset::ZERO, STILL, Some(east(1.0)));
    }
    assert!(track.lately.len() <= 201, "{}", track.lately.len());
}
