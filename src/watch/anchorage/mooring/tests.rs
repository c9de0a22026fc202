//! What the watch keeps about the anchors.

use super::*;
use crate::geodesy::{Offset, Plane};
use crate::time::Tick;
use crate::units::Speed;

fn mark() -> Position {
    Position::of(59.8539, 23.26)
}

fn anchor(rode: Option<f64>) -> Anchor {
    Anchor {
        position: mark(),
        made: None,
        doubt: Metres::of(2.5),
        lever: Metres::ZERO,
        origin: Some(Origin::Fix),
        depth: Some(Metres::of(8.0)),
        rode: rode.map(Metres::of),
        found: None,
    }
}

fn moored(rode: Option<f64>, test: DragTest) -> Mooring {
    Mooring::new(
        MooringKind::Anchor,
        Timestamp::EPOCH,
        None,
        anchor(rode),
        test,
    )
}

/// A test that has seen her lie at 30 m from the mark for ten minutes, and then move to this distance at half a metre a
/// second and lie there for two. Her reach is 39 m.
fn lay_at(distance: f64) -> DragTest {
    let mut test = DragTest::new(&WatchSettings::default());
    let marked = Marked {
        at: mark(),
        doubt: Metres::of(2.5),
        lever: Metres::ZERO,
        origin: Some(Origin::Fix),
    };
    let north = |north: f64| Offset { east: 0.0, north };
    let takes = (distance - 30.0) / 0.5;
    for second in 0..780 {
        let moved = (second as f64 - 600.0).clamp(0.0, takes) * 0.5;
        let moves = moved > 0.0 && moved < takes * 0.5;
        let seen = Sighting {
            velocity: Some(north(if moves { 0.5 } else { 0.0 })),
            ..Sighting::of_tern(
                Plane::at(mark()).position(north(30.0 + moved)),
                Some(Speed::of(8.0)),
            )
        };
        test.take(Tick::from_secs(second), &marked, None, &seen);
    }
    test
}

#[test]
fn a_counted_length_counts_from_a_metre_of_difference() {
    let new = || DragTest::new(&WatchSettings::default());
    let kept = |before: Option<f64>, counted: f64| {
        let mut mooring = moored(before, new());
        mooring.keep_count(Metres::of(counted));
        mooring.first().rode.unwrap().get()
    };
    assert_eq!(kept(None, 20.3), 20.3);
    assert_eq!(kept(Some(40.0), 40.9), 40.0);
    assert_eq!(kept(Some(40.0), 39.1), 40.0);
    assert_eq!(kept(Some(40.0), 41.0), 41.0);
    assert_eq!(kept(Some(40.0), 35.0), 35.0);
}

/// She must lie within both reaches.
#[test]
fn of_two_anchors_the_one_with_the_strongest_evidence_counts() {
    let (near, far) = (lay_at(30.0), lay_at(60.0));
    let (quiet, drags) = (near.evidence(Tick::START), far.evidence(Tick::START));
    assert!(
        quiet.probability < 0.1 && drags.probability > 0.9,
        "{quiet:?} {drags:?}"
    );
    for (first, other) in [(near.clone(), far.clone()), (far, near)] {
        let mut mooring = moored(Some(40.0), first);
        mooring.second(anchor(Some(40.0)), || other);
        let evidence = mooring.evidence();
        assert_eq!(evidence.probability, drags.probability);
        assert_eq!(evidence.moved, drags.moved);
        assert!(drags.dragging && evidence.dragging && !evidence.quiet);
    }
}

/// A change of a metre, or of half a metre of doubt, is worth a write.
#[test]
fn what_was_found_is_kept_if_it_makes_a_difference() {
    let mut mooring = moored(Some(40.0), lay_at(30.0));
    assert!(mooring.keep_found());
    let found = mooring.first().found.unwrap();
    for (off, doubt, kept) in [
        (0.9, 0.0, true),
        (1.1, 0.0, false),
        (0.0, 0.4, true),
        (0.0, 0.6, false),
    ] {
        let before = Found {
            position: found
                .position
                .moved(Bearing::from_degrees(90.0), Metres::of(off)),
            doubt: found.doubt + Metres::of(doubt),
            ..found
        };
        mooring.first.anchor.found = Some(before);
        assert!(mooring.keep_found());
        assert_eq!(
            mooring.first().found == Some(before),
            kept,
            "{off} m, {doubt} m"
        );
    }
}
