use super::*;
use crate::geodesy::Position;

fn us() -> Us {
    Us {
        hull: Hull {
            centre: Position::of(59.8539, 23.26),
            length: Metres::of(11.0),
            beam: Metres::of(3.7),
            heading: None,
        },
        way: None,
        depth: None,
        distance: Metres::of(30.0),
        settled: true,
    }
}

fn found(gap: f64, least: f64, closing: f64) -> Found {
    Found {
        danger: Danger::Leaves,
        priority: Priority::Warning,
        bearing: Bearing::default(),
        gap: Metres::of(gap),
        closing,
        least: Metres::of(least),
        after: None,
        heard: Duration::ZERO,
    }
}

fn standing(danger: Danger) -> Vigil {
    Vigil {
        standing: Some((danger, Priority::Warning)),
        ..Vigil::default()
    }
}

const fn at(second: i64) -> Moment {
    Moment::from_secs(second)
}

/// With a distance of 30 m: twice that, and three times while it is reported.
#[test]
fn a_drift_that_leads_past_at_a_distance_is_not_reported() {
    let told = |vigil: &Vigil, gap: f64, least: f64, then: f64| {
        vigil.leaves(&us(), &mut found(gap, least, 0.2), (then, then))
    };
    let new = Vigil::default();
    assert!(told(&new, 100.0, 59.0, 300.0) && !told(&new, 100.0, 61.0, 300.0));
    let stands = standing(Danger::Leaves);
    assert!(told(&stands, 100.0, 89.0, 300.0) && !told(&stands, 100.0, 91.0, 300.0));
    // It leads away, from near and from farther off.
    assert!(told(&new, 29.0, 29.0, 0.0) && !told(&new, 31.0, 31.0, 0.0));
}

/// At 0.3 m/s, 90 m are five minutes.
#[test]
fn a_drift_is_an_alarm_when_she_may_touch_within_five_minutes() {
    let told = |gap: f64, least: f64, closing: f64, after: f64| {
        let mut found = found(gap, least, closing);
        Vigil::default().leaves(&us(), &mut found, (400.0, after));
        (found.priority, found.after.map(|after| after.as_secs()))
    };
    assert_eq!(told(89.7, 0.0, 0.3, 400.0), (Priority::Alarm, Some(299)));
    assert_eq!(told(93.0, 0.0, 0.3, 400.0), (Priority::Warning, Some(310)));
    // The nearest point comes before she would be where we are.
    assert_eq!(told(93.0, 0.0, 0.3, 200.0), (Priority::Alarm, Some(200)));
    // She will pass clear, and she goes away.
    assert_eq!(told(89.7, 9.0, 0.3, 400.0), (Priority::Warning, Some(299)));
    assert_eq!(told(20.0, 0.0, -0.3, 400.0), (Priority::Warning, None));
    // She is as good as alongside.
    assert_eq!(told(7.0, 7.0, -0.3, 400.0), (Priority::Alarm, None));
}

#[test]
fn a_pass_is_reported_three_minutes_ahead_by_two_reports() {
    let told = |vigil: &Vigil, least: f64, after: f64| {
        let (mut vigil, mut found) = (vigil.clone(), found(200.0, least, 2.0));
        vigil.passes(&us(), &mut found, (at(0), after), true);
        vigil.passes(&us(), &mut found, (at(10), after), true)
    };
    let new = Vigil::default();
    assert!(told(&new, 29.0, 179.0));
    assert!(!told(&new, 31.0, 179.0) && !told(&new, 29.0, 181.0) && !told(&new, 29.0, 0.0));
    // Once reported, until she turns away by half the distance more.
    let stands = standing(Danger::Passes);
    assert!(told(&stands, 44.0, 60.0) && !told(&stands, 46.0, 60.0));
}

#[test]
fn a_pass_is_an_alarm_in_the_last_minute_if_she_may_touch() {
    let priority = |least: f64, after: f64| {
        let mut found = found(200.0, least, 2.0);
        Vigil::default().passes(&us(), &mut found, (at(0), after), true);
        assert_eq!(found.after, Some(Duration::from_secs_f64(after)));
        found.priority
    };
    assert_eq!(priority(4.0, 59.0), Priority::Alarm);
    assert_eq!(priority(4.0, 61.0), Priority::Warning);
    assert_eq!(priority(6.0, 59.0), Priority::Warning);
}

/// In her first twenty minutes she lay 25 m off.
#[test]
fn a_vessel_lies_closer_if_she_is_ten_metres_nearer_than_she_was() {
    let learned = |us: &Us| {
        let mut vigil = Vigil::default();
        for (second, gap) in [(0, 28.0), (600, 25.0), (1199, 27.0)] {
            let told = vigil.lies_closer(us, &mut found(gap, gap, 0.0), at(second), true);
            assert!(!told, "{second}");
        }
        vigil
    };
    let told = |vigil: &mut Vigil, gap: f64, second: i64| {
        let mut found = found(gap, gap, 0.0);
        let told = vigil.lies_closer(&us(), &mut found, at(second), true);
        (told, found.priority)
    };
    let twice = |gap: f64| {
        let mut vigil = learned(&us());
        assert!(!told(&mut vigil, gap, 1300).0, "one report may be wild");
        told(&mut vigil, gap, 1310)
    };
    assert_eq!(twice(14.0), (true, Priority::Warning));
    assert_eq!(twice(16.0), (false, Priority::Warning));
    assert_eq!(twice(7.0), (true, Priority::Alarm));
    // While it is reported, half of that is enough.
    let mut stands = Vigil {
        standing: Some((Danger::LiesCloser, Priority::Warning)),
        ..learned(&us())
    };
    assert!(told(&mut stands, 19.0, 1300).0 && !told(&mut stands, 21.0, 1310).0);
    // While we still fall back to our rode, it is learned again.
    let falls_back = Us {
        settled: false,
        ..us()
    };
    let mut moving = learned(&falls_back);
    assert_eq!(moving.learned, Some((at(1199), Metres::of(25.0))));
    assert!(!told(&mut moving, 7.0, 1300).0 && !told(&mut moving, 7.0, 1310).0);
}

#[test]
fn two_reports_in_a_row_must_say_the_same() {
    let mut vigil = Vigil::default();
    assert!(!vigil.said_twice(Danger::Passes, at(0), true));
    assert!(
        !vigil.said_twice(Danger::Passes, at(0), false),
        "no new one"
    );
    assert!(vigil.said_twice(Danger::Passes, at(10), true));
    vigil.forget_unless(true);
    assert!(vigil.said_twice(Danger::Passes, at(20), true));
    vigil.forget_unless(false);
    assert!(!vigil.said_twice(Danger::Passes, at(30), true));
    assert!(!vigil.said_twice(Danger::LiesCloser, at(40), true));
    assert!(vigil.said_twice(Danger::LiesCloser, at(50), true));
}
