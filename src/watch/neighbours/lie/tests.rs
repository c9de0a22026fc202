//! Nights of a neighbour with a receiver of the 10 m class that reports every three minutes, as class B does, or
//! often.

mod figures;

use super::*;
use crate::watch::tests::chance::Chance;

const HERE: Position = Position::of(59.8539, 23.26);

/// A boat at anchor around [`HERE`] and her transponder. The error is a Gauss-Markov process of minutes (tau 150-900
/// s: the facts that shape the watch) with the full deviation that the method assumes.
struct Boat {
    chance: Chance,
    error: Offset,
    /// Horizontal reach of the rode at its tautest, in metres.
    reach: f64,
    sheer: f64,
    anchor: Offset,
    wind: f64,
    second: i64,
    lie: Lie,
    claims: bool,
    last: Option<Offset>,
}

impl Boat {
    fn new(seed: u64) -> Self {
        let mut chance = Chance(seed);
        for _ in 0..20 {
            chance.uniform();
        }
        Self {
            error: Offset {
                east: chance.normal() * FIX,
                north: chance.normal() * FIX,
            },
            chance,
            reach: 35.0,
            sheer: 30.0,
            anchor: Offset::ZERO,
            wind: 0.0,
            second: 0,
            lie: Lie::default(),
            claims: false,
            last: None,
        }
    }

    /// She lies where sheering has taken her, with the rode drawn out by the current gust, and reports
    /// it.
    fn speak(&mut self, every: i64) {
        self.second += every;
        let keep = (-(every as f64) / 300.0).exp();
        let new = FIX * (1.0 - keep * keep).sqrt();
        self.error = Offset {
            east: self.error.east * keep + self.chance.normal() * new,
            north: self.error.north * keep + self.chance.normal() * new,
        };
        let swing = (self.second as f64 / 45.0).sin() * self.sheer;
        let draw = self.reach - 3.0 * self.chance.normal().abs();
        let way = Bearing::from_degrees(self.wind + 180.0 + swing);
        let at = self.anchor + Offset::polar(way, Metres::of(draw)) + self.error;
        let moved = self.last.map(|last| (at - last) * (1.0 / every as f64));
        self.last = Some(at);
        self.lie.take(&Sighting {
            at: Moment::from_secs(self.second),
            position: Plane::at(HERE).position(at),
            speed: Some(Speed::from_knots(0.3)),
            velocity: moved.filter(|_| every < 60),
            claims: self.claims,
            // No two boats lie exactly the same way.
            ours: Some(Bearing::from_degrees(
                self.wind + 180.0 + 20.0 * (self.second as f64 / 900.0).sin(),
            )),
            assumed: 41.0,
            near: true,
        });
    }

    fn quiet(&mut self, reports: usize, every: i64) -> bool {
        (0..reports).all(|_| {
            self.speak(every);
            self.lie.drags().is_none()
        })
    }

    /// Her anchor drags down-wind at this speed; returns the number of metres until it is reported.
    fn drag(&mut self, knots: f64, every: i64, most: f64) -> Option<f64> {
        let step = Speed::from_knots(knots).get() * every as f64;
        let down = Bearing::from_degrees(self.wind + 180.0);
        let mut gone = 0.0;
        while gone < most {
            gone += step;
            self.anchor = self.anchor + Offset::polar(down, Metres::of(step));
            self.speak(every);
            if self.lie.drags().is_some() {
                return Some(gone);
            }
        }
        None
    }
}

#[test]
fn lying_still_is_seen_from_her_track_or_from_her_report() {
    let mut boat = Boat::new(1);
    boat.speak(180);
    boat.speak(180);
    assert!(!boat.lie.lies());
    boat.quiet(3, 180);
    assert!(boat.lie.lies());
    let mut says = Boat::new(1);
    says.claims = true;
    says.speak(180);
    assert!(says.lie.lies());
}

/// Every three minutes and every ten seconds; steady winds, a wind that turns half-way round, and half an hour of
/// lull in which her rode hangs down.
#[test]
fn a_night_of_swinging_is_not_a_drag() {
    let mut wrong = Vec::new();
    let mut nights = 0;
    for seed in 0..16 {
        for (every, reports) in [(180, 160_usize), (30, 900), (10, 2000)] {
            for turn in [0.0, 1.0, 3.0] {
                nights += 1;
                let mut boat = Boat::new(seed);
                for report in 0..reports {
                    let minute = report * every as usize / 60;
                    boat.wind = (turn * minute as f64).min(180.0);
                    let calm = (200..230).contains(&minute);
                    boat.reach = if calm { 15.0 } else { 35.0 };
                    if !boat.quiet(1, every) {
                        wrong.push((seed, every, turn, minute));
                        break;
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{} of {nights}: {wrong:?}", wrong.len());
}

/// At half a knot she moves 46 m from one report of class B to the next.
#[test]
fn a_drag_is_reported_at_the_second_report_beyond_her_usual_place() {
    for (every, most) in [(180, 140.0), (30, 60.0), (10, 60.0)] {
        let mut told = Vec::new();
        for seed in 0..40 {
            let mut boat = Boat::new(seed);
            boat.quiet(3600 / every as usize, every);
            assert!(boat.lie.drags().is_none(), "{seed}");
            told.push(boat.drag(0.5, every, 200.0).unwrap_or(f64::INFINITY));
        }
        told.sort_by(f64::total_cmp);
        let worst = told[37];
        assert!(worst <= most, "{every} s: {worst} m, median {} m", told[20]);
    }
}

#[test]
fn a_drag_has_the_speed_of_the_drag() {
    let mut boat = Boat::new(7);
    boat.sheer = 10.0;
    assert!(boat.quiet(60, 60));
    assert!(boat.drag(0.8, 60, 300.0).is_some());
    let south = Bearing::from_degrees(180.0);
    for _ in 0..4 {
        boat.anchor = boat.anchor + Offset::polar(south, Metres::of(24.7));
        boat.speak(60);
    }
    let drift = boat.lie.drags().unwrap();
    let off = drift.bearing().since(south).abs();
    assert!(off.get() < 0.4, "{drift:?}");
    assert!(
        (drift.length().get() / 0.4116 - 1.0).abs() < 0.35,
        "{drift:?}"
    );
}

#[test]
fn a_vessel_that_rests_elsewhere_lies_there() {
    let mut boat = Boat::new(3);
    boat.sheer = 10.0;
    assert!(boat.quiet(20, 180));
    boat.anchor = Offset {
        east: 0.0,
        north: -120.0,
    };
    boat.quiet(2, 180);
    boat.speak(180);
    assert!(boat.lie.drags().is_some());
    for _ in 0..8 {
        boat.speak(180);
    }
    assert!(boat.lie.drags().is_none() && boat.lie.lies());
}

/// She turns most of the way round in the night: the circle is found by the same estimator that
/// finds our own.
#[test]
fn a_circle_is_found_where_she_swings_far_enough() {
    let mut found = 0;
    for seed in 0..20 {
        let mut boat = Boat::new(seed);
        for report in 0..60 {
            boat.wind = f64::from(report) * 4.0;
            boat.speak(120);
        }
        let Some((anchor, radius)) = boat.lie.circle() else {
            continue;
        };
        found += 1;
        let off = HERE.distance_to(anchor).get();
        assert!(
            off < 25.0 && (radius.get() - 33.0).abs() < 15.0,
            "{seed}: {off} {radius}"
        );
    }
    assert!(found >= 12, "{found} of 20");
    let mut still = Boat::new(1);
    still.sheer = 5.0;
    still.quiet(60, 120);
    assert!(still.lie.circle().is_none());
}

#[test]
fn the_track_is_bounded() {
    let mut boat = Boat::new(5);
    boat.quiet(20_000, 10);
    assert!(boat.lie.places.len() <= MOST + 1);
    boat.drag(0.5, 10, 500.0);
    for _ in 0..200 {
        boat.anchor = boat.anchor + Offset::polar(Bearing::from_degrees(90.0), Metres::of(30.0));
        boat.speak(30);
    }
    let trail = boat.lie.moved.as_ref().map_or(0, |moved| moved.trail.len());
    assert!(trail <= TRAIL + 1);
}

fn report(second: i64, east: f64, knots: f64) -> Sighting {
    Sighting {
        at: Moment::from_secs(second),
        position: HERE.moved(Bearing::from_degrees(90.0), Metres::of(east)),
        speed: Some(Speed::from_knots(knots)),
        velocity: None,
        claims: true,
        ours: None,
        assumed: 41.0,
        near: true,
    }
}

#[test]
fn a_boat_that_falls_back_within_a_minute_and_a_half_begins_again() {
    let since = |second: i64, knots: f64| {
        let mut lie = Lie::default();
        lie.take(&report(0, 0.0, 0.1));
        assert!(lie.lies());
        lie.take(&report(second, 20.0, knots));
        lie.since
    };
    assert_eq!(since(60, 0.8), Moment::from_secs(60));
    assert_eq!(since(60, 0.3), Moment::from_secs(0));
    assert_eq!(since(120, 0.8), Moment::from_secs(0));
}

/// 15 m, 3.5 errors of a fix of 10 m (95 %), and twice the doubt of the circle.
#[test]
fn outside_an_observed_circle_by_more_than_its_doubt_she_is_off_her_place() {
    let circle = SavedCircle {
        anchor: HERE,
        radius: Metres::of(30.0),
        doubt: Metres::of(5.0),
    };
    let lie = Lie::restored(Moment::from_secs(0), HERE, Some(circle));
    let off = |beyond: f64| {
        let seen = report(600, 30.0 + beyond, 0.1);
        let here = Plane::at(HERE).offset(seen.position);
        lie.is_off(&seen, here)
    };
    let limit = 15.0 + 3.5 * 10.0 / TWO_D_95 + 2.0 * 5.0;
    assert!(!off(limit - 0.1) && off(limit + 0.1));
}

/// She moves 12 m in 30 s, which is too short a time if she reports a speed of her own.
#[test]
fn her_velocity_is_that_of_her_track_where_she_reports_none() {
    let east = |east: f64| Offset { east, north: 0.0 };
    let moved = |says: Option<Offset>| Moved {
        trail: vec![
            (Moment::from_secs(0), Offset::ZERO),
            (Moment::from_secs(30), east(12.0)),
        ],
        since: Moment::from_secs(0),
        sure: true,
        says,
    };
    assert!((moved(None).velocity() - east(0.4)).length().get() < 1e-9);
    assert_eq!(moved(Some(east(0.3))).velocity(), east(0.3));
}
