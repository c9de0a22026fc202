mod compass;
mod expected_noise;
mod figures;
mod reflections;

use super::*;
use crate::units::{Bearing, Speed};
use crate::watch::tests::chance::Chance;
use proptest::prelude::*;

/// A boat with a compass on 40 m of rode over 9 m, seen once a second.
#[derive(Clone, Copy)]
struct World {
    origin: Position,
    turned: f64,
    begins: u64,
    /// The receiver's error of minutes.
    noise: f64,
    sigma: f64,
    doppler: bool,
    mark_off: Offset,
    wind: Option<f64>,
}

impl Default for World {
    fn default() -> Self {
        Self {
            origin: Position::of(59.8539, 23.26),
            turned: 0.0,
            begins: 0,
            noise: 0.0,
            sigma: 2.5,
            doppler: true,
            mark_off: Offset::ZERO,
            wind: Some(9.0),
        }
    }
}

struct Seen {
    drag: DragTest,
    /// Seconds at which the verdict first became "dragging".
    told: Option<u64>,
    last: DragEvidence,
    most: f64,
}

const REACH: f64 = 39.0;

impl World {
    fn mark(&self) -> Marked {
        Marked {
            at: self.place(self.mark_off),
            doubt: Metres::of(2.5),
            lever: Metres::ZERO,
            origin: Some(Origin::Fix),
        }
    }

    fn place(&self, offset: Offset) -> Position {
        let (sin, cos) = self.turned.sin_cos();
        let turned = Offset {
            east: offset.east * cos + offset.north * sin,
            north: offset.north * cos - offset.east * sin,
        };
        self.origin.moved(turned.bearing(), turned.length())
    }

    fn sighting(&self, at: Offset, velocity: Offset) -> Sighting {
        let (sin, cos) = self.turned.sin_cos();
        let turned = Offset {
            east: velocity.east * cos + velocity.north * sin,
            north: velocity.north * cos - velocity.east * sin,
        };
        Sighting {
            antenna: self.place(at),
            sigma: Metres::of(self.sigma),
            doubt: Metres::ZERO,
            velocity: self.doppler.then_some(turned),
            lever: Offset::ZERO,
            lever_doubt: Metres::ZERO,
            reach: Metres::of(REACH),
            rode: Metres::of(40.0),
            height: Some(Metres::of(9.0)),
            wind: self.wind.map(Speed::of),
            wind_now: self.wind.map(Speed::of),
            wind_ahead: None,
            settled: true,
            stays: false,
        }
    }

    /// Shows the test where she is, second by second, until it reports a drag or the time is over; `fix_off` is the
    /// receiver's error apart from its noise.
    fn run(
        &self,
        seconds: u64,
        lies: impl Fn(u64) -> Offset,
        fix_off: impl Fn(u64) -> Offset,
        stop: bool,
    ) -> Seen {
        let mut drag = DragTest::new(&WatchSettings::default());
        let mut chance = Chance(7);
        let decay = (-1.0_f64 / 150.0).exp();
        let kick = self.noise * (1.0 - decay * decay).sqrt();
        let mut error = Offset {
            east: self.noise * chance.normal(),
            north: self.noise * chance.normal(),
        };
        let (mut told, mut most) = (None, 0.0_f64);
        for second in 0..seconds {
            error = error * decay
                + Offset {
                    east: kick * chance.normal(),
                    north: kick * chance.normal(),
                };
            let now = Tick::from_secs(self.begins + second);
            let true_place = lies(second);
            let velocity = true_place - lies(second.saturating_sub(1));
            let seen = self.sighting(true_place + error + fix_off(second), velocity);
            drag.take(now, &self.mark(), None, &seen);
            let evidence = drag.evidence(now);
            most = most.max(evidence.probability);
            if evidence.dragging && told.is_none() {
                told = Some(second);
                if stop {
                    break;
                }
            }
        }
        let last = drag.evidence(Tick::from_secs(self.begins + seconds));
        Seen {
            drag,
            told,
            last,
            most,
        }
    }
}

fn out(distance: f64, degrees: f64) -> Offset {
    Offset::polar(Bearing::from_degrees(degrees), Metres::of(distance))
}

fn nothing(_: u64) -> Offset {
    Offset::ZERO
}

#[test]
fn lying_taut_all_night_is_no_drag_however_bad_the_receiver() {
    for noise in [0.3, 1.0, 2.0] {
        for doppler in [true, false] {
            let world = World {
                noise,
                doppler,
                ..World::default()
            };
            let taut = |second| out(REACH - 1.0, 30.0 * (second as f64 / 60.0).sin());
            let seen = world.run(8 * 3600, taut, nothing, false);
            assert_eq!(seen.told, None, "{noise} m, {doppler}");
            assert!(seen.most < 0.5, "{noise} m: {}", seen.most);
        }
    }
}

#[test]
fn a_steady_drag_is_found_within_metres() {
    for (noise, within) in [(0.3, 10.0), (1.0, 13.0), (2.0, 17.0)] {
        for speed in [0.02, 0.1, 0.5] {
            let world = World {
                noise,
                ..World::default()
            };
            let begins = 3600;
            let lies = |second: u64| {
                let dragged = speed * second.saturating_sub(begins) as f64;
                out(REACH - 1.0 + dragged, 0.0)
            };
            let seen = world.run(begins + 3600, lies, nothing, true);
            let moved = seen.told.map(|at| speed * (at - begins) as f64);
            // A few seconds of evidence as well.
            assert!(
                moved.is_some_and(|moved| moved < within + 15.0 * speed),
                "{noise} m, {speed} m/s: {moved:?}"
            );
        }
    }
}

/// Multipath shifts a fix by 3-14 m for 5-60 s (the facts that shape the watch).
#[test]
fn multipath_is_no_drag_whatever_its_direction() {
    for (metres, seconds) in [(14.0, 60), (10.0, 60), (5.0, 60), (1000.0, 5)] {
        for doppler in [true, false] {
            let world = World {
                noise: 0.8,
                doppler,
                ..World::default()
            };
            let shifted = |second: u64| {
                if second > 3600 && second % 900 < seconds {
                    out(metres, 0.0)
                } else {
                    Offset::ZERO
                }
            };
            let seen = world.run(3 * 3600, |_| out(REACH - 0.5, 0.0), shifted, false);
            assert_eq!(seen.told, None, "{metres} m for {seconds} s, {doppler}");
        }
    }
}

#[test]
fn one_fix_after_hours_of_silence_is_no_drag() {
    let world = World::default();
    let mut seen = world.run(1800, |_| out(30.0, 0.0), nothing, false);
    let later = Tick::from_secs(6 * 3600);
    let far = world.sighting(out(500.0, 0.0), Offset::ZERO);
    seen.drag.take(later, &world.mark(), None, &far);
    assert!(!seen.drag.evidence(later).dragging);
    assert!(seen.drag.evidence(later).probability < 0.01);
}

#[test]
fn swinging_anywhere_inside_the_reach_is_no_drag() {
    let world = World {
        noise: 1.0,
        ..World::default()
    };
    // Over the anchor to the other side, round abeam, and back.
    let lies = |second: u64| match second {
        3600..4400 => out(38.0 - 38.0 * (second - 3600) as f64 / 800.0, 0.0),
        4400..5200 => out(38.0 * (second - 4400) as f64 / 800.0, 180.0),
        5200..9000 => out(38.5, 180.0),
        9000..10_800 => out(38.5, 180.0 + (second - 9000) as f64 / 10.0),
        // Before and after.
        _ => out(38.0, 0.0),
    };
    let seen = world.run(14_400, lies, nothing, false);
    assert_eq!(seen.told, None);
    assert!(seen.most < 0.2, "{}", seen.most);
}

#[test]
fn an_arc_finds_the_anchor_whether_or_not_it_was_marked_well() {
    for off in [0.0, 8.0, 15.0] {
        let world = World {
            mark_off: out(off, 60.0),
            ..World::default()
        };
        let arc = |second: u64| out(38.0, 60.0 * (second as f64 / 900.0).sin());
        let seen = world.run(3 * 3600, arc, nothing, false);
        let (found, doubt) = seen.drag.estimate().unwrap();
        let error = found.distance_to(world.origin).get();
        assert!(error < 3.0, "{off} m: {error} m off, {doubt} said");
        assert!(doubt < Metres::of(3.0), "{off} m: {doubt}");
        assert_eq!(seen.told, None, "{off} m");
    }
}

/// The mark was made a minute late, so she lies near it. When the wind turns, she lies twice as far on the other
/// side of it, and holds.
#[test]
fn a_late_mark_is_seen_through() {
    let world = World {
        mark_off: out(15.0, 0.0),
        noise: 0.8,
        ..World::default()
    };
    let lies = |second: u64| {
        let turned = (second.saturating_sub(5400) as f64 / 10.0).min(180.0);
        out(38.0, turned)
    };
    let seen = world.run(4 * 3600, lies, nothing, false);
    assert_eq!(seen.told, None);
    let (found, _) = seen.drag.estimate().unwrap();
    assert!(found.distance_to(world.origin) < Metres::of(5.0));
}

/// A night of light airs, or without a wind instrument, gives many looks at a boat that lies near her anchor. When
/// the wind fills in from the other side, she lies taut there, and holds.
#[test]
fn an_hour_in_light_airs_moves_no_anchor() {
    for wind in [None, Some(4.5)] {
        let world = World {
            noise: 0.8,
            wind,
            ..World::default()
        };
        let lies = |second: u64| match second {
            0..10_800 => out(12.0, 20.0 * (second as f64 / 300.0).sin()),
            10_800..11_400 => out(12.0 - 50.0 * (second - 10_800) as f64 / 600.0, 0.0),
            _ => out(38.0, 180.0),
        };
        let seen = world.run(4 * 3600, lies, nothing, false);
        assert_eq!(seen.told, None, "{wind:?}");
        assert!(seen.most < 0.5, "{wind:?}: {}", seen.most);
    }
}

/// Fourteen metres an hour, without a wind instrument to show how taut her rode should be.
#[test]
fn a_creeping_anchor_does_not_take_the_chart_along() {
    let world = World {
        noise: 0.8,
        wind: None,
        ..World::default()
    };
    let begins = 5400;
    let lies = |second: u64| {
        let crept = 0.004 * second.saturating_sub(begins) as f64;
        out(REACH - 2.0 + crept, 15.0 * (second as f64 / 50.0).sin())
    };
    let seen = world.run(begins + 3 * 3600, lies, nothing, true);
    let crept = seen.told.map(|at| 0.004 * (at - begins) as f64);
    assert!(crept.is_some_and(|crept| crept < 22.0), "{crept:?}");
}

/// Eleven metres an hour are never much at once, and both charts follow; the drag shows because a small excess
/// lasts.
#[test]
fn a_creep_of_metres_an_hour_is_reported_because_it_lasts() {
    let world = World {
        noise: 0.5,
        wind: Some(6.0),
        ..World::default()
    };
    let begins = 5400;
    let lies = |second: u64| {
        out(
            REACH - 2.0 + 0.003 * second.saturating_sub(begins) as f64,
            0.0,
        )
    };
    let seen = world.run(begins + 5 * 3600, lies, nothing, true);
    let crept = seen.told.map(|at| 0.003 * (at - begins) as f64);
    assert!(crept.is_some_and(|crept| crept < 14.0), "{crept:?}");
    // Five metres for ten minutes are the receiver's error.
    let passing = |second: u64| {
        let off = (7200..7800).contains(&second);
        out(if off { 5.0 } else { 0.0 }, 0.0)
    };
    let seen = world.run(3 * 3600, |_| out(REACH - 0.5, 0.0), passing, true);
    assert!(
        seen.told.is_none() && seen.most < 0.98,
        "{:?} {}",
        seen.told,
        seen.most
    );
}

/// The receiver is silent for twenty seconds and she begins to drag in a squall.
#[test]
fn a_fix_where_she_was_expected_after_a_gap_is_believed_at_once() {
    let drag_after = |shift: f64| {
        let world = World::default();
        let begins = 3600;
        let lies = |second: u64| out(REACH - 1.0 + second.saturating_sub(begins) as f64, 0.0);
        let mut drag = DragTest::new(&WatchSettings::default());
        (0..begins + 90).find(|second| {
            let gap = (begins - 25..begins - 5).contains(second);
            let velocity = lies(*second) - lies(second.saturating_sub(1));
            let off = if *second >= begins - 5 { shift } else { 0.0 };
            let seen = world.sighting(lies(*second) + out(off, 90.0), velocity);
            let now = Tick::from_secs(*second);
            if !gap {
                drag.take(now, &world.mark(), None, &seen);
            }
            !gap && drag.evidence(now).dragging
        })
    };
    let told = drag_after(0.0).unwrap();
    assert!((3600..3615).contains(&told), "{told}");
    // Ten metres to the side after the gap may be the receiver's error: the report takes longer, but comes.
    let later = drag_after(10.0).unwrap();
    assert!((told + 4..3690).contains(&later), "{told} {later}");
}

#[test]
fn after_a_drag_the_new_place_is_found_only_when_she_rests() {
    let world = World {
        noise: 0.6,
        ..World::default()
    };
    let begins = 3600;
    let lies = |second: u64| {
        let dragged = (0.1 * second.saturating_sub(begins) as f64).min(60.0);
        out(38.0 + dragged, 10.0 * (second as f64 / 50.0).sin())
    };
    let moving = world.run(begins + 600, lies, nothing, false);
    assert!(moving.told.is_some() && moving.drag.rests().is_none());
    let rested = world.run(begins + 600 + 1200, lies, nothing, false);
    let found = rested.drag.rests().unwrap();
    let truth = world.place(out(60.0, 0.0));
    assert!(
        found.position.distance_to(truth) < Metres::of(8.0),
        "{found:?}"
    );
}

#[test]
fn a_restart_continues_from_what_was_found() {
    let world = World {
        mark_off: out(15.0, 60.0),
        ..World::default()
    };
    let arc = |second: u64| out(38.0, 60.0 * (second as f64 / 900.0).sin());
    let before = world.run(2 * 3600, arc, nothing, false);
    let found = before.drag.found().unwrap();
    let mut after = DragTest::new(&WatchSettings::default());
    for second in 0..60 {
        let seen = world.sighting(out(38.0, 0.0), Offset::ZERO);
        after.take(Tick::from_secs(second), &world.mark(), Some(&found), &seen);
    }
    let (position, _) = after.estimate().unwrap();
    assert!(position.distance_to(found.position) < Metres::of(2.0));
    // She drags unobserved, and the test sees it at once.
    for second in 60..180 {
        let seen = world.sighting(out(70.0, 0.0), Offset::ZERO);
        after.take(Tick::from_secs(second), &world.mark(), Some(&found), &seen);
    }
    assert!(after.evidence(Tick::from_secs(180)).dragging);
}

/// The story that the property tests turn, shift and delay: quiet, then a drag.
fn story(world: &World) -> Seen {
    let lies = |second: u64| {
        let dragged = 0.15 * second.saturating_sub(2000) as f64;
        out(37.0 + dragged, 15.0 * (second as f64 / 40.0).sin())
    };
    world.run(2300, lies, nothing, false)
}

/// After a drag, the mark is 60 m away from the old one; that is neither a motion of the boat nor a jump of the
/// fix.
#[test]
fn a_moved_mark_is_no_motion_of_the_boat() {
    let world = World::default();
    let lies = Offset {
        east: 0.0,
        north: 92.0,
    };
    let mut drag = DragTest::new(&WatchSettings::default());
    let far = Marked {
        at: world.place(Offset {
            east: 0.0,
            north: 60.0,
        }),
        ..world.mark()
    };
    for second in 0..1200 {
        let now = Tick::from_secs(second);
        // By the first mark she would be dragging, but she is shown there for too short a time.
        let mark = if second < 20 { world.mark() } else { far };
        if second == 20 {
            drag.reset();
        }
        drag.take(now, &mark, None, &world.sighting(lies, Offset::ZERO));
        let evidence = drag.evidence(now);
        assert!(second < 20 || evidence.quiet, "{second}: {evidence:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// Turning, shifting and delaying the world changes only the coordinates. The chart is square and the plane is
    /// flat to a centimetre, which sets the tolerances.
    #[test]
    fn turning_shifting_and_delaying_the_world_changes_nothing(
        turned in -3.1..3.1_f64, latitude in -70.0..70.0_f64, longitude in -180.0..180.0_f64,
        begins in 0..1_000_000_u64,
    ) {
        let here = story(&World::default());
        let there = story(&World {
            origin: Position::new(latitude, longitude).unwrap(),
            turned,
            begins,
            ..World::default()
        });
        let (here_told, there_told) = (here.told.unwrap(), there.told.unwrap());
        prop_assert!(here_told.abs_diff(there_told) <= 8, "{here_told} {there_told}");
        prop_assert!((here.last.moved - there.last.moved).get().abs() < 0.7);
    }

    /// Two boats have had the same night; then the receiver of one of them grows worse.
    #[test]
    fn more_noise_never_gives_more_confidence(
        excess in -5.0..25.0_f64, sigma in 2.5..6.0_f64, more in 0.0..6.0_f64,
    ) {
        let probability = |sigma: f64| {
            let world = World::default();
            let mut seen = world.run(900, |_| out(37.0, 0.0), nothing, false);
            for second in 900..1100 {
                let mut sighting = world.sighting(out(REACH + excess, 0.0), Offset::ZERO);
                sighting.sigma = Metres::of(sigma);
                seen.drag.take(Tick::from_secs(second), &world.mark(), None, &sighting);
            }
            seen.drag.evidence(Tick::from_secs(1100)).probability
        };
        prop_assert!(probability(sigma + more) <= probability(sigma) + 1e-9);
    }
}

/// For two hours in the same wind she has lain six metres short of her reach. The hard bound stays quiet until she
/// has used them up; the test of what is usual tonight does not.
#[test]
fn unusual_lying_is_reported_before_the_reach_is_used_up() {
    let begins = 7200;
    let lies = |second: u64| {
        let dragged = 0.1 * second.saturating_sub(begins) as f64;
        let sheer = 25.0 * (second as f64 / 60.0).sin();
        out(REACH - 6.0, sheer) + out(dragged, 0.0)
    };
    for (doppler, least, most) in [(true, 4.0, 9.0), (false, 9.0, 25.0)] {
        let world = World {
            noise: 0.7,
            doppler,
            ..World::default()
        };
        let seen = world.run(begins + 900, lies, nothing, true);
        let dragged = seen.told.map(|at| 0.1 * (at as f64 - begins as f64));
        assert!(
            dragged.is_some_and(|dragged| (least..most).contains(&dragged)),
            "{doppler}: {dragged:?}"
        );
        assert!(seen.last.probability >= 0.9 && !seen.last.quiet);
        assert!(seen.drag.found().is_none());
        let moved = seen.last.moved.get();
        assert!((3.0..most).contains(&moved), "{moved}");
    }
}

/// She lies far inside her reach all night, and comes out to it when the wind goes round.
#[test]
fn coming_out_to_the_reach_on_the_other_side_is_no_drag() {
    let world = World {
        noise: 0.7,
        wind: Some(6.0),
        ..World::default()
    };
    let lies = |second: u64| {
        let turned = ((second as f64 - 9000.0) / 10.0).clamp(0.0, 180.0);
        out(REACH - 5.0 + turned / 36.0, turned)
    };
    let seen = world.run(5 * 3600, lies, nothing, true);
    assert_eq!(seen.told, None);
    assert!(seen.most < 0.5, "{}", seen.most);
}

/// She slides back from the mark at once, at several speeds, with and without a velocity.
#[test]
fn a_slide_from_letting_go_is_reported_within_ten_metres() {
    for speed in [0.04, 0.06, 0.09, 0.12, 0.15] {
        for doppler in [true, false] {
            let world = World {
                noise: 0.5,
                doppler,
                ..World::default()
            };
            let seen = world.run(
                3000,
                |second| out(speed * second as f64, 0.0),
                nothing,
                true,
            );
            let beyond = seen.told.map(|at| speed * at as f64 - REACH);
            assert!(
                beyond.is_some_and(|beyond| beyond < 10.0),
                "{speed} m/s, {doppler}: {beyond:?}"
            );
            assert!(seen.last.probability >= 0.9 && !seen.last.quiet);
        }
    }
}
