//! The limits of the method, by figures worked out by hand.

use super::*;

/// A boat that was seen at these places, ten minutes apart, while we lay to the east of our anchor; the last one is an
/// hour old.
fn lain_at(places: &[Offset]) -> Lie {
    let places = places.iter().zip(0..).map(|(offset, number)| Quiet {
        at: Moment::from_secs(600 * number),
        offset: *offset,
        ours: Some(Bearing::from_degrees(90.0)),
    });
    Lie {
        plane: Some(Plane::at(HERE)),
        places: places.collect(),
        spacing: SPACING,
        lies: true,
        ..Lie::default()
    }
}

fn seen_while_we_lay_east(second: i64) -> Sighting {
    Sighting {
        ours: Some(Bearing::from_degrees(90.0)),
        ..report(second, 0.0, 0.1)
    }
}

/// Three times she lay at the same place, 41 m from where her anchor should be. The prior, 4 m worth four positions,
/// leaves a scatter of `16 · 4/7`; the errors of two fixes are added, `2 (10/2.4477)²`; 3.5 deviations are 22.8 m.
#[test]
fn farther_from_her_anchor_than_she_lay_in_such_a_wind_she_is_off_her_place() {
    let lie = lain_at(&[Offset::ZERO; 3]);
    let off = |east: f64, north: f64| {
        let here = Offset { east, north };
        lie.is_off(&seen_while_we_lay_east(4800), here)
    };
    assert!(!off(22.7, 0.0) && off(22.9, 0.0));
    // Along her arc, and towards her anchor, she sheers freely.
    assert!(!off(0.0, 30.0) && !off(-60.0, 0.0));
    // Two positions are too few to tell, so only what no anchor explains counts.
    let lie = lain_at(&[Offset::ZERO; 2]);
    let here = Offset {
        east: 60.0,
        north: 0.0,
    };
    assert!(!lie.is_off(&seen_while_we_lay_east(4800), here));
}

/// She lay 6 m to each side of her mean distance, four times: the squares are 144, with the prior `(64 + 144)/8` = 26.
#[test]
fn a_boat_that_lies_irregularly_must_be_farther_off() {
    let east = |east: f64| Offset { east, north: 0.0 };
    let off = |by: f64, here: f64| {
        let lie = lain_at(&[east(by), east(-by), east(by), east(-by)]);
        lie.is_off(&seen_while_we_lay_east(6000), east(here))
    };
    let fixes = 2.0 * (10.0 / TWO_D_95).powi(2);
    let limit = 3.5 * (fixes + 26.0).sqrt();
    assert!(!off(6.0, limit - 0.1) && off(6.0, limit + 0.1));
    // However irregularly: a scatter of 8 m at most.
    let most = 3.5 * (fixes + 64.0).sqrt();
    assert!(!off(30.0, most - 0.1) && off(30.0, most + 0.1));
}

/// Twice the assumed radius of 41 m, wider by 1.4, then 15 m and 3.5 errors of a fix: 144.1 m from any of her places.
#[test]
fn without_a_circle_she_is_off_where_no_circle_could_take_her() {
    let lie = Lie::restored(Moment::from_secs(0), HERE, None);
    let off = |metres: f64| {
        let here = Offset::polar(Bearing::from_degrees(30.0), Metres::of(metres));
        lie.is_off(&report(600, 0.0, 0.1), here)
    };
    assert!(!off(144.0) && off(144.2));
}

/// Three knots are 46 m in 30 s.
#[test]
fn a_vessel_that_reports_no_speed_is_under_way_if_her_places_say_so() {
    let makes_way = |seconds: i64, metres: f64| {
        let lie = Lie::restored(Moment::from_secs(0), HERE, None);
        lie.makes_way(&Sighting {
            speed: None,
            ..report(seconds, metres, 0.0)
        })
    };
    assert!(makes_way(30, 61.0));
    // Less than three knots, less than what two fixes may differ by, and too soon.
    assert!(!makes_way(60, 61.0) && !makes_way(30, 59.0) && !makes_way(15, 61.0));
    let says = |knots: f64| {
        let lie = Lie::default();
        lie.makes_way(&report(0, 0.0, knots))
    };
    assert!(says(3.1) && !says(2.9));
}

/// Younger positions teach nothing, unless there are few others; then the older half counts.
#[test]
fn what_she_is_compared_with_is_minutes_old() {
    let east = |number: usize| Offset {
        east: number as f64,
        north: 0.0,
    };
    let lie = lain_at(&(0..6).map(east).collect::<Vec<_>>());
    // The last two, at 2400 s and 3000 s, are younger than four minutes or to come.
    let compared = lie.reference(&seen_while_we_lay_east(2500));
    assert_eq!(compared, (0..4).map(east).collect::<Vec<_>>());
    let compared = lie.reference(&seen_while_we_lay_east(700));
    assert_eq!(compared, (0..3).map(east).collect::<Vec<_>>());
    // Thirty degrees count as alike.
    let turned = |degrees: f64| {
        let ours = Some(Bearing::from_degrees(90.0 + degrees));
        lie.alike(ours).count()
    };
    assert_eq!((turned(29.0), turned(-29.0)), (6, 6));
    assert_eq!((turned(31.0), turned(-31.0)), (0, 0));
}

/// Seen every minute since she left, at these distances to the east of where she lay.
fn gone(distances: impl IntoIterator<Item = f64>) -> Moved {
    let trail = distances.into_iter().zip(0..).map(|(east, minute)| {
        let place = Offset { east, north: 0.0 };
        (Moment::from_secs(60 * minute), place)
    });
    Moved {
        trail: trail.collect(),
        since: Moment::from_secs(0),
        sure: true,
        says: None,
    }
}

#[test]
fn she_rests_where_she_stayed_for_twelve_minutes() {
    let drifts_then_stays = |minutes: usize| {
        let drift = (0..10).map(|minute| 20.0 * f64::from(minute));
        gone(drift.chain(std::iter::repeat_n(200.0, minutes)))
    };
    assert!(!drifts_then_stays(12).rests() && drifts_then_stays(14).rests());
    // 19 m from where she is now may be the receiver, 20 m are not.
    let wanders = |by: f64| {
        let mut moved = drifts_then_stays(14);
        moved.trail[17].1.north += by;
        moved.rests()
    };
    assert!(wanders(19.0) && !wanders(20.0));
    // Nobody knows about a boat that was seen twice.
    assert!(!gone([0.0]).rests());
}

/// 0.4 m/s over the last four minutes; before that she was faster.
#[test]
fn her_velocity_is_that_of_the_last_minutes() {
    let moved = gone([0.0, 90.0, 180.0, 204.0, 228.0, 252.0, 276.0]);
    let velocity = moved.velocity();
    assert!(
        (velocity.east - 0.4).abs() < 1e-9 && velocity.north == 0.0,
        "{velocity:?}"
    );
    // Reported once: she has no velocity.
    assert_eq!(gone([0.0]).velocity(), Offset::ZERO);
}

/// She says that she makes half a knot: away from where she lay, to the side, or less than that.
#[test]
fn one_report_is_believed_if_her_own_course_leads_away() {
    let sure = |knots: f64, course: f64| {
        let mut moved = gone([0.0]);
        (moved.sure, moved.since) = (false, Moment::from_secs(60));
        let seen = Sighting {
            velocity: Some(Offset::polar(
                Bearing::from_degrees(course),
                Metres::of(Speed::from_knots(knots).get()),
            )),
            ..report(60, 40.0, knots)
        };
        let here = Offset {
            east: 40.0,
            north: 0.0,
        };
        moved.take(&seen, here);
        moved.sure
    };
    assert!(sure(0.5, 90.0) && sure(0.5, 140.0) && sure(0.5, 40.0));
    assert!(!sure(0.5, 160.0) && !sure(0.5, 20.0) && !sure(0.5, 270.0));
    assert!(!sure(0.3, 90.0));
}

/// Two hours and more of positions fit: they are thinned to every other one and wider spacing, and the last two hours
/// remain when the widest is reached.
#[test]
fn her_places_cover_two_hours_evenly() {
    let mut lie = Lie::default();
    for second in (0..30_000).step_by(10) {
        lie.take(&report(second, 0.0, 0.1));
    }
    assert_eq!((lie.spacing, lie.places.len()), (WIDEST_SPACING, MOST));
    let gaps = lie.places.windows(2).map(|two| two[1].at.since(two[0].at));
    assert!(gaps.into_iter().all(|gap| gap == WIDEST_SPACING));
    let mut young = Lie::default();
    for second in (0..=480).step_by(10) {
        young.take(&report(second, 0.0, 0.1));
    }
    // The forty-ninth thins them out.
    assert_eq!((young.spacing, young.places.len()), (2 * SPACING, 25));
}

/// A place each minute on 47 min of a full circle: 18.8 independent ones, so the doubt is sqrt(2/18.8) = 0.33 m. A circle
/// may be 1.4 times as wide as assumed, 42 m, and twice that doubt.
#[test]
fn a_circle_far_wider_than_her_rode_allows_is_not_hers() {
    let found = |radius: f64| {
        let places: Vec<Offset> = (0..48)
            .map(|step| {
                let way = Bearing::from_degrees(7.5 * f64::from(step));
                Offset::polar(way, Metres::of(radius))
            })
            .collect();
        let mut lie = lain_at(&places);
        for (place, minute) in lie.places.iter_mut().zip(0..) {
            place.at = Moment::from_secs(60 * minute);
        }
        lie.find_circle(30.0);
        lie.seen.is_some()
    };
    assert!(found(42.5) && !found(43.0));
}

/// She has moved by a metre every five seconds for four minutes, and faster before that. Her last position is five
/// metres off.
#[test]
fn her_drift_is_that_of_the_last_four_minutes() {
    let place = |minute: i64| match minute {
        0..=5 => 60.0 * minute as f64,
        6..=8 => 300.0 + 12.0 * (minute - 5) as f64,
        _ => 353.0,
    };
    let trail = (0..=9).map(|minute| {
        let offset = Offset {
            east: place(minute),
            north: 0.0,
        };
        (Moment::from_secs(60 * minute), offset)
    });
    let moved = Moved {
        trail: trail.collect(),
        since: Moment::from_secs(0),
        sure: true,
        says: None,
    };
    let drift = moved.velocity();
    assert!((drift.east - 53.0 / 240.0).abs() < 1e-9, "{drift:?}");
}
