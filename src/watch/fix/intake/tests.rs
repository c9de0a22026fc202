use super::*;
use crate::observation::Fact;

const STILL: Motion = Motion {
    heading: None,
    arm: Metres::ZERO,
};

fn place(east: f64) -> Position {
    Position::new(59.8539, 23.26)
        .unwrap()
        .moved(Bearing::from_degrees(90.0), Metres::of(east))
}

fn gps(name: &str) -> Label {
    Label::new(name)
}

fn intake() -> Intake {
    Intake::new(&WatchSettings::default())
}

/// Feeds one fix; `east` jitters slightly so that nothing counts as frozen.
fn feed(intake: &mut Intake, second: u64, name: &str, east: f64) -> Verdict {
    let at = Tick::from_secs(second);
    intake.take_position(
        at,
        &gps(name),
        Some(place(east + second as f64 * 1e-4)),
        &STILL,
    )
}

fn is_fix(verdict: &Verdict) -> bool {
    matches!(verdict, Verdict::Fix(_))
}

#[test]
fn two_receivers_never_alternate_and_the_spare_takes_over_when_the_first_is_lost() {
    let mut intake = intake();
    for second in 0..60 {
        assert!(is_fix(&feed(&mut intake, second, "gps0.GP", 0.0)));
        assert_eq!(feed(&mut intake, second, "gps1.GP", 8.0), Verdict::Spare);
    }
    // The first falls silent: after 15 s the second takes over, with the distance between them as
    // doubt.
    for second in 60..=74 {
        assert_eq!(feed(&mut intake, second, "gps1.GP", 8.0), Verdict::Spare);
    }
    let Verdict::Fix(fix) = feed(&mut intake, 75, "gps1.GP", 8.0) else {
        panic!("the spare does not take over");
    };
    assert!((fix.doubt.get() - 8.0).abs() < 0.1);
    // The first comes back and stays a spare.
    assert_eq!(feed(&mut intake, 76, "gps0.GP", 0.0), Verdict::Spare);
    assert_eq!(intake.source(), Some(&gps("gps1.GP")));
}

#[test]
fn two_slow_receivers_do_not_alternate_either() {
    let mut intake = intake();
    let mut changes = 0;
    let mut kept = None;
    for half_minute in 0..60 {
        let second = half_minute * 30;
        feed(&mut intake, second, "gps0.GP", 0.0);
        feed(&mut intake, second + 16, "gps1.GP", 8.0);
        let source = intake.source().cloned();
        changes += u32::from(kept.is_some() && kept != source);
        kept = source;
    }
    assert!(changes <= 1, "{changes} changes of receiver");
}

#[test]
fn a_preferred_receiver_takes_over_once_it_has_been_steady() {
    let mut intake = Intake::new(&WatchSettings {
        preferred_source: Some(gps("gps1.GP")),
        ..WatchSettings::default()
    });
    assert!(is_fix(&feed(&mut intake, 0, "gps0.GP", 0.0)));
    let mut taken = None;
    for second in 1..100 {
        feed(&mut intake, second, "gps0.GP", 0.0);
        if is_fix(&feed(&mut intake, second, "gps1.GP", 3.0)) && taken.is_none() {
            taken = Some(second);
        }
    }
    assert_eq!(taken, Some(61));
}

#[test]
fn no_gps_and_dead_reckoning_are_no_fixes_until_the_receiver_reports_a_fix() {
    let mut intake = intake();
    for (method, words) in [
        (FixMethod::NoFix, "the receiver says it has no fix"),
        (
            FixMethod::DeadReckoning,
            "the receiver carries on by dead reckoning",
        ),
        (FixMethod::Simulator, "the receiver is in simulator mode"),
    ] {
        let at = Tick::from_secs(1);
        intake.take_quality(at, &gps("gps0.GP"), &Fact::FixMethod(Some(method)));
        let Verdict::Refused(fault) = feed(&mut intake, 1, "gps0.GP", 0.0) else {
            panic!("{method:?} was taken for a fix");
        };
        assert_eq!(fault.told().english(), words);
    }
    let better = Fact::FixMethod(Some(FixMethod::Satellite));
    intake.take_quality(Tick::from_secs(2), &gps("gps0.GP"), &better);
    assert!(is_fix(&feed(&mut intake, 2, "gps0.GP", 0.0)));
    // Another receiver's trouble does not affect this one.
    let trouble = Fact::FixMethod(Some(FixMethod::NoFix));
    intake.take_quality(Tick::from_secs(3), &gps("gps1.GP"), &trouble);
    assert!(is_fix(&feed(&mut intake, 3, "gps0.GP", 0.0)));
}

/// What the data server makes of RMC V with the last coordinates, before GGA says "no GPS": after a
/// minute of silence it looks like a fix of a receiver whose last report was that it has one.
#[test]
fn a_stale_position_after_a_silence_waits_for_the_receivers_word() {
    let source = gps("gps0.GP");
    let says = |intake: &mut Intake, second: u64, method: FixMethod| {
        let fact = Fact::FixMethod(Some(method));
        intake.take_quality(Tick::from_secs(second), &source, &fact);
    };
    let lies = |intake: &mut Intake, second: u64, east: f64| {
        let at = Tick::from_secs(second);
        intake.take_position(at, &source, Some(place(east)), &STILL)
    };
    let mut lost = intake();
    for second in 0..60 {
        lies(&mut lost, second, second as f64 * 0.01);
        says(&mut lost, second, FixMethod::Satellite);
    }
    let stale = 0.59;
    // Six sentences a second, none of which is a fix; the same holds if GGA never arrives.
    let mut dumb = lost.clone();
    for second in 126..400 {
        assert_eq!(
            lies(&mut dumb, second, stale),
            Verdict::Refused(Fault::Unsaid),
            "{second}"
        );
    }
    assert_eq!(lies(&mut lost, 126, stale), Verdict::Refused(Fault::Unsaid));
    says(&mut lost, 126, FixMethod::NoFix);
    for second in 127..400 {
        let verdict = lies(&mut lost, second, stale);
        let said = Verdict::Refused(Fault::Method(FixMethod::NoFix));
        assert_eq!(verdict, said, "{second}");
    }
    says(&mut lost, 400, FixMethod::Satellite);
    assert!(is_fix(&lies(&mut lost, 400, stale)));
    // A receiver that has a fix again but no longer reports it is believed after a while if its
    // coordinates change.
    let living: Vec<u64> = (126..140)
        .filter(|second| {
            let mut again = dumb.clone();
            again.receivers.get_mut(&source).unwrap().resumed = Some(Tick::from_secs(126));
            is_fix(&lies(&mut again, *second, 3.0 + *second as f64 * 0.01))
        })
        .collect();
    assert_eq!(living.first(), Some(&136));
}

#[test]
fn a_receiver_that_falls_silent_about_its_fix_and_stands_still_has_none() {
    let source = gps("gps0.GP");
    let mut intake = intake();
    let fact = Fact::FixMethod(Some(FixMethod::Satellite));
    let found = (0..300).find(|second| {
        let at = Tick::from_secs(*second);
        if *second <= 60 {
            intake.take_quality(at, &source, &fact);
        }
        let verdict = intake.take_position(at, &source, Some(place(0.0)), &STILL);
        verdict == Verdict::Refused(Fault::Unsaid)
    });
    assert_eq!(found, Some(121));
}

#[test]
fn the_word_of_one_talker_counts_for_the_other() {
    let mut intake = intake();
    let no_fix = Fact::FixMethod(Some(FixMethod::NoFix));
    assert!(is_fix(&feed(&mut intake, 0, "gps0.GP", 0.0)));
    for other in ["gps1.GN", "gps0.HE", "gps0.7"] {
        intake.take_quality(Tick::from_secs(1), &gps(other), &no_fix);
        assert!(is_fix(&feed(&mut intake, 1, "gps0.GP", 0.0)), "{other}");
    }
    intake.take_quality(Tick::from_secs(2), &gps("gps0.GN"), &no_fix);
    assert_eq!(
        feed(&mut intake, 2, "gps0.GP", 0.0),
        Verdict::Refused(Fault::Method(FixMethod::NoFix))
    );
}

#[test]
fn the_first_fix_is_withdrawn_when_the_receiver_reports_none() {
    let mut intake = intake();
    let Verdict::Fix(fix) = feed(&mut intake, 5, "gps0.GP", 0.0) else {
        panic!("nothing speaks against it yet");
    };
    for (method, back) in [(FixMethod::NoFix, true), (FixMethod::Satellite, false)] {
        let fact = Fact::FixMethod(Some(method));
        intake.take_quality(Tick::from_secs(5), &gps("gps0.GP"), &fact);
        assert_eq!(intake.takes_back(&fact, &fix), back, "{method:?}");
    }
}

/// Another source's speed is not compared with this one's positions.
#[test]
fn a_position_is_compared_only_with_the_speed_of_its_own_source() {
    let drags = |speaker: &str| {
        let mut intake = intake();
        intake.set_anchored(true);
        (0..120).find_map(|second| {
            let rest = Fact::SpeedOverGround(Some(Speed::ZERO));
            intake.take_quality(Tick::from_secs(second), &gps(speaker), &rest);
            match feed(&mut intake, second, "gps0.GP", second as f64) {
                Verdict::Fix(fix) => fix.disagrees,
                other => panic!("{other:?}"),
            }
        })
    };
    assert_eq!(drags("log.0"), None);
    let apart = drags("gps0.GP").unwrap();
    assert!((apart.get() - 25.0).abs() < 0.1, "{apart:?}");
}

#[test]
fn null_null_island_and_unsafe_are_refused() {
    let mut intake = intake();
    let at = Tick::from_secs(1);
    let source = gps("gps0.GP");
    let lost = intake.take_position(at, &source, None, &STILL);
    assert_eq!(lost, Verdict::Refused(Fault::Empty));
    let island = intake.take_position(at, &source, Position::new(0.0, 0.0).ok(), &STILL);
    assert_eq!(island, Verdict::Refused(Fault::NullIsland));
    intake.take_quality(at, &source, &Fact::FixIntegrity(Some(FixIntegrity::Unsafe)));
    assert_eq!(
        feed(&mut intake, 1, "gps0.GP", 0.0),
        Verdict::Refused(Fault::Unsafe)
    );
}

#[test]
fn a_jump_of_a_thousand_miles_is_not_believed_at_anchor() {
    let mut intake = intake();
    intake.set_anchored(true);
    assert!(is_fix(&feed(&mut intake, 0, "gps0.GP", 0.0)));
    for second in 1..7200 {
        let verdict = feed(&mut intake, second, "gps0.GP", 1_852_000.0);
        assert!(
            matches!(verdict, Verdict::Refused(Fault::Jump(_))),
            "{second}: {verdict:?}"
        );
    }
    assert!(is_fix(&feed(&mut intake, 7200, "gps0.GP", 0.0)));
}

#[test]
fn aweigh_ten_fixes_that_agree_are_believed() {
    let mut intake = intake();
    feed(&mut intake, 0, "gps0.GP", 0.0);
    let believed = (1..20).find(|second| is_fix(&feed(&mut intake, *second, "gps0.GP", 50_000.0)));
    assert_eq!(believed, Some(10));
}

#[test]
fn a_drag_of_a_metre_a_second_is_not_a_jump() {
    let mut intake = intake();
    intake.set_anchored(true);
    for second in 0..600 {
        assert!(is_fix(&feed(&mut intake, second, "gps0.GP", second as f64)));
    }
}

#[test]
fn a_pinned_receiver_at_rest_is_not_frozen_but_on_a_moving_boat_it_is() {
    let source = gps("gps0.GP");
    let steady = |intake: &mut Intake, second: u64, motion: &Motion| {
        intake.take_position(Tick::from_secs(second), &source, Some(place(0.0)), motion)
    };
    // 806 s without a changed digit: the longest such stretch in the reference recordings of a
    // receiver at rest (adsb_west_gstar4_usb).
    let mut at_rest = intake();
    for second in 0..806 {
        assert!(is_fix(&steady(&mut at_rest, second, &STILL)));
    }
    // Half a knot and more over the ground, yet the coordinates do not change.
    let mut hung = intake();
    let found = (0..600).find(|second| {
        let speed = Fact::SpeedOverGround(Some(Speed::of(0.8)));
        hung.take_quality(Tick::from_secs(*second), &source, &speed);
        !is_fix(&steady(&mut hung, *second, &STILL))
    });
    assert_eq!(found, Some(31));
    // She swings through half the compass around her roller, with the antenna 9 m aft of it.
    let mut swinging = intake();
    let found = (0..600).find(|second| {
        let motion = Motion {
            heading: Some(Bearing::from_degrees(*second as f64)),
            arm: Metres::of(9.0),
        };
        !is_fix(&steady(&mut swinging, *second, &motion))
    });
    assert_eq!(found, Some(120));
}

/// At anchor; `sky` is what the receiver reports about its satellites; the coordinates change until
/// the 200th second.
#[test]
fn a_receiver_that_repeats_all_it_says_is_frozen() {
    let source = gps("gps0.GP");
    let refused = |sky: fn(u64) -> Option<u32>, coarse: u64| {
        let mut intake = intake();
        intake.set_anchored(true);
        (0..1000).find(|second| {
            let at = Tick::from_secs(*second);
            if let Some(satellites) = sky(*second) {
                intake.take_quality(at, &source, &Fact::Satellites(Some(satellites)));
            }
            let east = 0.3 * ((*second).min(200) / coarse % 5) as f64;
            !is_fix(&intake.take_position(at, &source, Some(place(east)), &STILL))
        })
    };
    assert_eq!(refused(|_| Some(9), 1), Some(320));
    // It pins its position, while its satellites change.
    assert_eq!(
        refused(|second| Some(9 + (second / 40 % 2) as u32), 1),
        None
    );
    // A coarse receiver, whose coordinates seldom change; and one that reports nothing else.
    assert_eq!(refused(|_| Some(9), 20), None);
    assert_eq!(refused(|_| None, 1), None);
}

/// A receiver at anchor whose position, course and speed change each second, or each so many, until the 200th second;
/// `rest` is the speed it repeats from then on, while its satellites still change. Returns the seconds after which its
/// speed is not used, and its position is refused.
fn hangs(rest: f64, coarse: u64) -> (Option<u64>, Option<u64>) {
    let source = gps("gps0.GP");
    let mut intake = intake();
    intake.set_anchored(true);
    let (mut unused, mut refused) = (None, None);
    for second in 0..1000_u64 {
        let at = Tick::from_secs(second);
        let lives = second.min(200) / coarse;
        let speed = if lives < 200 / coarse {
            0.1 + 0.02 * (lives % 5) as f64
        } else {
            rest
        };
        for fact in [
            Fact::Satellites(Some(9 + (second / 40 % 2) as u32)),
            Fact::SpeedOverGround(Some(Speed::of(speed))),
            Fact::CourseOverGround(Some(Bearing::from_degrees((lives * 7) as f64))),
        ] {
            intake.take_quality(at, &source, &fact);
        }
        let east = 0.3 * (lives % 5) as f64;
        let fix = is_fix(&intake.take_position(at, &source, Some(place(east)), &STILL));
        if second > 200 && intake.velocity(at).is_none() {
            unused.get_or_insert(second - 200);
        }
        if !fix {
            refused.get_or_insert(second - 200);
        }
    }
    (unused, refused)
}

/// A receiver that pins its position says that she lies still: it is believed.
#[test]
fn a_receiver_that_repeats_a_speed_above_zero_with_its_position_hangs() {
    assert_eq!(hangs(0.1, 1), (Some(4), Some(20)));
    assert_eq!(hangs(0.0, 1), (None, None));
    // One that changes only every third second, and one whose habits are not known yet.
    assert_eq!(hangs(0.1, 3), (Some(7), Some(28)));
    assert_eq!(hangs(0.1, 20), (None, None));
}

#[test]
fn scatter_and_poor_geometry_widen_the_error() {
    let mut quiet = intake();
    let mut noisy = intake();
    let (mut last_quiet, mut last_noisy) = (Metres::ZERO, Metres::ZERO);
    for second in 0..600 {
        if let Verdict::Fix(fix) = feed(&mut quiet, second, "gps0.GP", 0.0) {
            last_quiet = fix.sigma;
        }
        let shaken = if second % 2 == 0 { 4.0 } else { -4.0 };
        if let Verdict::Fix(fix) = feed(&mut noisy, second, "gps0.GP", shaken) {
            last_noisy = fix.sigma;
        }
    }
    assert!((last_quiet.get() - 2.5).abs() < 0.05, "{last_quiet:?}");
    assert!(last_noisy.get() > 4.0, "{last_noisy:?}");
    let poor = Fact::HorizontalDilution(Some(6.0));
    quiet.take_quality(Tick::from_secs(600), &gps("gps0.GP"), &poor);
    let Verdict::Fix(fix) = feed(&mut quiet, 600, "gps0.GP", 0.0) else {
        panic!("a poor geometry is still a fix");
    };
    assert!((fix.sigma.get() - 7.5).abs() < 0.1);
}

/// A leap is not the scatter of a receiver that sees badly, and the speed contradicts nothing but the leap.
#[test]
fn a_leap_that_is_held_does_not_widen_the_error() {
    let source = gps("gps0.GP");
    let mut intake = intake();
    intake.set_anchored(true);
    for second in 0..150 {
        let rest = Fact::SpeedOverGround(Some(Speed::ZERO));
        intake.take_quality(Tick::from_secs(second), &source, &rest);
        let off = if (100..130).contains(&second) {
            40.0
        } else {
            0.0
        };
        let Verdict::Fix(fix) = feed(&mut intake, second, "gps0.GP", off) else {
            panic!("a leap is a fix, {second}");
        };
        assert!(fix.sigma.get() < 2.6, "{second}: {:?}", fix.sigma);
        assert_eq!(fix.disagrees, None, "{second}");
        assert_eq!(intake.doubts(Tick::from_secs(second)), [], "{second}");
    }
}

#[test]
fn no_peer_can_make_it_grow() {
    let mut intake = intake();
    for n in 0..1000 {
        feed(&mut intake, n, &format!("liar.{n}"), 0.0);
    }
    assert!(intake.receivers.len() <= MOST_RECEIVERS);
}

/// Without a speed, positions that wander are no fix if the receiver sees badly, by any of three signs.
#[test]
fn positions_that_wander_are_refused_if_the_receiver_sees_badly() {
    let source = gps("gps0.GP");
    let runs = |quality: Option<Fact>| {
        let mut intake = intake();
        intake.set_anchored(true);
        (0..120).any(|second| {
            if let Some(quality) = &quality {
                intake.take_quality(Tick::from_secs(second), &source, quality);
            }
            let gone = 2.0 * (second as f64 - 60.0).clamp(0.0, 40.0);
            let verdict = feed(&mut intake, second, "gps0.GP", gone);
            matches!(verdict, Verdict::Refused(Fault::Wanders(_)))
        })
    };
    assert!(!runs(None));
    assert!(!runs(Some(Fact::HorizontalDilution(Some(1.0)))));
    assert!(runs(Some(Fact::HorizontalDilution(Some(6.0)))));
    assert!(!runs(Some(Fact::Satellites(Some(9)))));
    assert!(runs(Some(Fact::Satellites(Some(3)))));
}

/// The mean follows within a minute: of a dropout of 100 s, it takes `1 - e^(-100/60)` of the way to 30 s.
#[test]
fn a_dropout_counts_as_three_usual_intervals() {
    let mut intake = intake();
    for ten in 0..60 {
        feed(&mut intake, ten * 10, "gps0.GP", 0.0);
    }
    assert_eq!(intake.interval(), Some(Duration::from_secs(10)));
    feed(&mut intake, 690, "gps0.GP", 0.0);
    let usual = intake.interval().unwrap().as_secs_f64();
    let wanted = 10.0 + 20.0 * (1.0 - (-100.0_f64 / 60.0).exp());
    assert!((usual - wanted).abs() < 1e-6, "{usual}, not {wanted}");
}

/// Of 2.5 m: three times as much with a dilution of 6 where 2 is good, half as much more with few satellites.
#[test]
fn what_a_receiver_reported_about_the_sky_counts_for_a_minute() {
    let source = gps("gps0.GP");
    for (quality, wanted) in [
        (Fact::HorizontalDilution(Some(6.0)), 7.5),
        (Fact::Satellites(Some(4)), 3.75),
    ] {
        let mut intake = intake();
        let sigma = |intake: &mut Intake, second: u64| match feed(intake, second, "gps0.GP", 0.0) {
            Verdict::Fix(fix) => fix.sigma.get(),
            other => panic!("{other:?}"),
        };
        sigma(&mut intake, 0);
        intake.take_quality(Tick::from_secs(1), &source, &quality);
        for second in 1..120 {
            let wanted = if second <= 61 { wanted } else { 2.5 };
            let found = sigma(&mut intake, second);
            assert!((found - wanted).abs() < 0.01, "{second}: {found}");
        }
    }
}

/// At 12 m/s, 720 m in a minute, and 40 m of room.
#[test]
fn after_a_silence_a_boat_may_be_as_far_as_a_fast_one_goes() {
    let after_a_minute = |metres: f64| {
        let mut intake = intake();
        feed(&mut intake, 0, "gps0.GP", 0.0);
        is_fix(&feed(&mut intake, 60, "gps0.GP", metres))
    };
    assert!(after_a_minute(750.0) && !after_a_minute(770.0));
}

/// The positions leave by 12 m while the receiver says that she lies still.
#[test]
fn a_speed_that_the_positions_contradict_is_not_used() {
    let source = gps("gps0.GP");
    let mut intake = intake();
    intake.set_anchored(true);
    for second in 0..90 {
        for rest in [
            Fact::SpeedOverGround(Some(Speed::ZERO)),
            Fact::CourseOverGround(Some(Bearing::default())),
        ] {
            intake.take_quality(Tick::from_secs(second), &source, &rest);
        }
        let off = 0.5 * second.saturating_sub(60).min(24) as f64;
        feed(&mut intake, second, "gps0.GP", off);
        let used = intake.velocity(Tick::from_secs(second)).is_some();
        // From 8 m on they contradict each other.
        if !(75..=77).contains(&second) {
            assert_eq!(used, second < 76, "{second}");
        }
    }
}

#[test]
fn what_another_talker_of_the_same_receiver_reports_shows_that_it_lives() {
    let mut intake = intake();
    for (second, name) in [
        (0, "gps0.GP"),
        (5, "gps0.GN"),
        (7, "gps1.GN"),
        (9, "boat.1"),
    ] {
        let seen = Fact::Satellites(Some(7));
        intake.take_quality(Tick::from_secs(second), &gps(name), &seen);
    }
    let lived = |name: &str| intake.word(Tick::from_secs(10), &gps(name)).lived;
    assert_eq!(lived("gps0.GP"), Some(Tick::from_secs(5)));
    assert_eq!(lived("gps1.GN"), Some(Tick::from_secs(7)));
    assert_eq!(lived("boat.1"), Some(Tick::from_secs(9)));
}

/// A fix each half minute, and that it is one, five seconds before.
#[test]
fn a_receiver_that_reports_seldom_has_not_been_silent() {
    let source = gps("gps0.GP");
    let mut intake = intake();
    for half_minute in 1..40 {
        let second = 30 * half_minute;
        if half_minute > 20 {
            let word = Fact::FixMethod(Some(FixMethod::Satellite));
            intake.take_quality(Tick::from_secs(second - 5), &source, &word);
        }
        let verdict = feed(&mut intake, second, "gps0.GP", 0.0);
        assert!(is_fix(&verdict), "{second}: {verdict:?}");
    }
}
