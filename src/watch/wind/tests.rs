use super::*;

/// Runs an hour of wind at 1 Hz after a first half hour from the south-west that sets the
/// reference. Returns the minutes at which a shift stood.
fn shifted_minutes(wind: impl Fn(u64) -> (f64, f64)) -> Vec<u64> {
    let mut watch = WindWatch::new(&WatchSettings::default());
    let mut reference = None;
    let mut minutes = Vec::new();
    for second in 0..5400 {
        let now = Tick::from_secs(second);
        let (degrees, knots) = if second < 1800 {
            (225.0, 12.0)
        } else {
            wind(second - 1800)
        };
        watch.take(
            now,
            Wind {
                from: Some(Bearing::from_degrees(degrees)),
                angle: None,
                speed: Speed::from_knots(knots),
            },
        );
        if second == 1799 {
            reference = watch.reference(now);
        }
        if watch
            .judge(now, reference, None)
            .is_some_and(|shift| shift.stands)
            && second % 60 == 0
        {
            minutes.push(second / 60);
        }
    }
    minutes
}

#[test]
fn a_front_is_a_shift_and_a_gust_is_not() {
    let front = shifted_minutes(|second| (225.0 + (second as f64 / 10.0).min(140.0), 15.0));
    assert!(
        front
            .first()
            .is_some_and(|minute| (35..60).contains(minute))
    );
    assert_eq!(front.last(), Some(&89));
    // One minute from the north-west at twice the strength.
    let gust = shifted_minutes(|s| {
        if s % 900 < 60 {
            (315.0, 24.0)
        } else {
            (225.0, 12.0)
        }
    });
    assert_eq!(gust, Vec::<u64>::new());
}

#[test]
fn a_lull_says_nothing() {
    let lull = shifted_minutes(|second| ((second * 7 % 360) as f64, 1.5));
    assert_eq!(lull, Vec::<u64>::new());
}

#[test]
fn backing_is_negative() {
    let mut watch = WindWatch::new(&WatchSettings::default());
    for second in 0..600 {
        let wind = Wind {
            from: Some(Bearing::from_degrees(350.0)),
            angle: None,
            speed: Speed::from_knots(10.0),
        };
        watch.take(Tick::from_secs(second), wind);
    }
    let now = Tick::from_secs(600);
    let set = Some(Bearing::from_degrees(20.0));
    let shift = watch.judge(now, set, None).unwrap();
    assert!((shift.since_set.degrees() + 30.0).abs() < 1e-6);
}

#[test]
fn a_silent_vane_has_no_mean() {
    let mut watch = WindWatch::new(&WatchSettings::default());
    let wind = Wind {
        from: Some(Bearing::from_degrees(90.0)),
        angle: None,
        speed: Speed::from_knots(10.0),
    };
    watch.take(Tick::from_secs(1), wind);
    assert!(watch.mean_direction(Tick::from_secs(2)).is_some());
    assert_eq!(watch.mean_direction(Tick::from_secs(90)), None);
}

#[test]
fn an_anemometer_without_a_compass_has_a_strength_and_no_direction() {
    let mut watch = WindWatch::new(&WatchSettings::default());
    for second in 0..1800 {
        let wind = Wind {
            from: None,
            angle: None,
            speed: Speed::from_knots(40.0),
        };
        watch.take(Tick::from_secs(second), wind);
    }
    let now = Tick::from_secs(1800);
    assert_eq!(watch.mean_direction(now), None);
    assert_eq!(watch.reference(now), None);
    watch.strength(now);
    let later = Tick::from_secs(1800 + 120);
    watch.take(
        later,
        Wind {
            from: None,
            angle: None,
            speed: Speed::from_knots(40.0),
        },
    );
    assert!(watch.strength(later).unwrap().mean_over);
}

/// Blows for this many seconds, then judges.
fn blow(watch: &mut WindWatch, from: &mut u64, seconds: u64, degrees: f64, knots: f64) {
    for _ in 0..seconds {
        let wind = Wind {
            from: Some(Bearing::from_degrees(degrees)),
            angle: None,
            speed: Speed::from_knots(knots),
        };
        watch.take(Tick::from_secs(*from), wind);
        watch.strength(Tick::from_secs(*from));
        *from += 1;
    }
}

#[test]
fn the_next_shift_counts_from_the_wind_that_was_acknowledged() {
    let mut watch = WindWatch::new(&WatchSettings::default());
    let (set, mut second) = (Some(Bearing::from_degrees(225.0)), 0);
    let judge = |watch: &mut WindWatch, second: &mut u64, seen, degrees, minutes| {
        let mut last = None;
        for _ in 0..minutes {
            blow(watch, second, 60, degrees, 15.0);
            last = watch.judge(Tick::from_secs(*second), set, seen);
        }
        last.unwrap()
    };
    // A front: 140° veered, reported.
    let front = judge(&mut watch, &mut second, None, 365.0, 15);
    assert!(front.stands && (front.unseen - 140.0 / 60.0).abs() < 1e-3);
    // Acknowledged; the wind stays: nothing new, but she still lies to another wind.
    watch.seen();
    let seen = Some(Bearing::from_degrees(365.0));
    let same = judge(&mut watch, &mut second, seen, 365.0, 15);
    assert!(same.stands && same.unseen == 0.0);
    // It goes back to its direction when the anchor was set: that is a new shift.
    let back = judge(&mut watch, &mut second, seen, 225.0, 15);
    assert!(back.stands && back.since_set.abs().degrees() < 0.1);
    assert!((back.since_seen.unwrap().degrees() + 140.0).abs() < 0.1);
    assert!(back.unseen > 2.3);
    watch.seen();
    let seen = Some(Bearing::from_degrees(225.0));
    assert!(!judge(&mut watch, &mut second, seen, 225.0, 15).stands);
}

#[test]
fn a_strong_mean_is_reported_once_it_has_lasted() {
    let mut watch = WindWatch::new(&WatchSettings::default());
    let mut second = 0;
    blow(&mut watch, &mut second, 1200, 225.0, 15.0);
    let calm = watch.strength(Tick::from_secs(second)).unwrap();
    assert!(!calm.mean_over && !calm.gust_over && calm.excess == Speed::ZERO);
    // The mean needs its time, and then the hold time.
    blow(&mut watch, &mut second, 60, 225.0, 28.0);
    assert!(!watch.strength(Tick::from_secs(second)).unwrap().mean_over);
    blow(&mut watch, &mut second, 1200, 225.0, 28.0);
    let strong = watch.strength(Tick::from_secs(second)).unwrap();
    assert!(strong.mean_over && !strong.gust_over);
    assert!((strong.excess.knots() - 3.0).abs() < 0.1);
    // Just below the threshold it stands; well below it is over.
    blow(&mut watch, &mut second, 1200, 225.0, 23.5);
    assert!(watch.strength(Tick::from_secs(second)).unwrap().mean_over);
    blow(&mut watch, &mut second, 1200, 225.0, 21.0);
    assert!(!watch.strength(Tick::from_secs(second)).unwrap().mean_over);
    // A silent anemometer raises nothing.
    assert_eq!(watch.strength(Tick::from_secs(second + 120)), None);
}

#[test]
fn a_gust_is_reported_and_a_wild_reading_is_not() {
    let mut watch = WindWatch::new(&WatchSettings::default());
    let mut second = 0;
    blow(&mut watch, &mut second, 600, 225.0, 15.0);
    blow(&mut watch, &mut second, 1, 225.0, 99.0);
    blow(&mut watch, &mut second, 60, 225.0, 15.0);
    let wild = watch.strength(Tick::from_secs(second)).unwrap();
    assert!(!wild.gust_over && (wild.gust.knots() - 15.0).abs() < 1e-9);
    blow(&mut watch, &mut second, 6, 225.0, 38.0);
    blow(&mut watch, &mut second, 30, 225.0, 15.0);
    let gust = watch.strength(Tick::from_secs(second)).unwrap();
    assert!(gust.gust_over && !gust.mean_over);
    assert!((gust.gust.knots() - 38.0).abs() < 1e-9);
    // It is over when the window has passed.
    blow(&mut watch, &mut second, 330, 225.0, 15.0);
    assert!(!watch.strength(Tick::from_secs(second)).unwrap().gust_over);
}

/// The highest of the window, as a search through all of them would find it.
#[test]
fn a_gust_that_is_over_leaves_the_next_greatest() {
    let window = Duration::from_mins(5);
    let mut gusts = Gusts::new(window);
    let speed = |second: u64| match second {
        100..110 => 18.0,
        200..210 => 12.0,
        210..220 => 14.0,
        _ => 5.0,
    };
    let greatest = |gusts: &Gusts, second| gusts.greatest(Tick::from_secs(second)).map(Speed::get);
    for second in 0..1000 {
        gusts.push(Tick::from_secs(second), Speed::of(speed(second)));
        let wanted = match second {
            105..=400 => 18.0,
            420..=500 => 14.0,
            530.. => 5.0,
            _ => continue,
        };
        assert_eq!(greatest(&gusts, second), Some(wanted), "{second}");
    }
}

#[test]
fn sentences_say_the_turn_or_the_strength_and_where_to_look() {
    let turn = Shift {
        since_set: Angle::from_degrees(-75.0),
        since_seen: None,
        stands: true,
        unseen: 1.25,
    };
    let from = Some(Bearing::from_degrees(150.0));
    let shift = shift_told(&turn, from);
    assert_eq!(
        shift.message.english(),
        "wind shift: backed 75° since the anchor was set, now from 150°; check shelter, swinging room and how she is lying"
    );
    let again = shift_told(
        &Shift {
            since_seen: Some(Angle::from_degrees(65.0)),
            ..turn
        },
        from,
    );
    assert_eq!(
        again.message.english(),
        "wind shift: veered 65° since it was acknowledged, backed 75° since the anchor was set, now from 150°; check shelter, swinging room and how she is lying"
    );
    let blow = blow_told(&Blow {
        mean: Speed::from_knots(27.2),
        gust: Speed::from_knots(38.0),
        mean_over: true,
        gust_over: true,
        excess: Speed::from_knots(3.0),
    });
    assert_eq!(
        blow.message.english(),
        "strong wind: mean 27 kn, gusts to 38 kn; check the rode for chafe, veer if there is room, have the engine ready"
    );
}

/// The shift had been reported for the old mark.
#[test]
fn a_shift_must_last_again_after_a_new_mark() {
    let mut watch = WindWatch::new(&WatchSettings::default());
    let (set, mut second) = (Some(Bearing::from_degrees(225.0)), 0);
    let judge = |watch: &mut WindWatch, second: &mut u64, minutes: u64| {
        let mut stands = false;
        for _ in 0..minutes {
            blow(watch, second, 60, 5.0, 15.0);
            let shift = watch.judge(Tick::from_secs(*second), set, None);
            stands = shift.is_some_and(|shift| shift.stands);
        }
        stands
    };
    assert!(judge(&mut watch, &mut second, 30));
    watch.restart();
    assert!(!judge(&mut watch, &mut second, 1) && judge(&mut watch, &mut second, 30));
}

/// The mean direction of a light air, or of a minute, is not fit to be compared with another.
#[test]
fn a_reference_needs_half_a_window_of_enough_wind() {
    let known = |seconds: u64, knots: f64| {
        let mut watch = WindWatch::new(&WatchSettings::default());
        let mut second = 0;
        blow(&mut watch, &mut second, seconds, 225.0, knots);
        let now = Tick::from_secs(second);
        assert!(watch.mean_direction(now).is_some());
        watch.reference(now).is_some()
    };
    assert!(known(1800, 6.0));
    assert!(!known(1800, 4.0) && !known(60, 6.0) && !known(60, 4.0));
}
