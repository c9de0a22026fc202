//! Where the antenna is, found by a filter that trusts the Doppler velocity over minutes.
//!
//! **Symbols.** `x` place and `b` error of the receiver, both in each coordinate; `z` fix, `u` velocity by the
//! Doppler shift, `T` seconds since the previous fix.
//!
//! **Method.** State `[x, b]`: `x += u T` with variance `0.06² T`; `b` is a Gauss-Markov process (σ 3 m, τ
//! 60 s); `z = x + b + white` (0.5 m). The vector of the two innovations is cut to a length of 1 m: a
//! reflection that shifts the fix by 12 m for a minute moves `x` by a metre at most. So `x` follows the sum of
//! the velocity for about `√(2σ²τ)/0.06` = 550 s. σ, τ and the cut are tuned on simulated nights, not
//! physical.
//!
//! **Without a velocity**, or while the watch distrusts it, `x` drifts by `0.3² T` towards the fixes, and is not
//! trusted until there has been a velocity for [`TRUSTED_AFTER`]. If the fixes have been [`APART`] away from it in
//! the mean over minutes, the velocity is wrong (some receivers show zero below a threshold), and the filter starts
//! again from there. Over gaps and with slow reports the variances grow with the time, and the cut with them.
//!
//! **Weakness.** A Doppler velocity that is wrong by less than 9 m over minutes is believed.
//!
//! **Sources.** Kalman 1960; that a velocity by the Doppler shift tells motion from multipath: the facts that
//! shape the watch.
//!
//! **Tests**: `a_reflection_hardly_moves_the_place`, `a_true_velocity_is_followed_at_once_and_a_stuck_one_is_found_out`,
//! `nothing_is_trusted_until_ten_minutes_of_velocity`.

use crate::geodesy::Offset;
use crate::time::Tick;

/// See the module documentation.
#[derive(Clone, Debug, Default)]
pub(in super::super) struct Places {
    last: Option<Tick>,
    velocity: Option<(Tick, Offset)>,
    driven: Option<Driven>,
    /// Since when every fix has come with a velocity.
    driven_since: Option<Tick>,
    /// How far the fixes lie from the filter's place, over minutes.
    apart: Offset,
}

/// The filter's result for a fix.
#[derive(Clone, Copy, Debug)]
pub(in super::super) struct Place {
    pub(super) antenna: Offset,
    /// Antenna plus lever.
    pub(super) point: Offset,
    /// A velocity has confirmed it for a while.
    pub(super) trusted: bool,
}

impl Places {
    /// The plane now has its origin at this point of the old one. Nothing has moved.
    pub(in super::super) fn origin_moved(&mut self, to: Offset) {
        if let Some(driven) = &mut self.driven {
            driven.x = driven.x - to;
        }
    }

    /// Takes a fix. Returns `None` if no time has passed, or before the first velocity.
    pub(in super::super) fn take(
        &mut self,
        now: Tick,
        fix: Offset,
        velocity: Option<Offset>,
        lever: Offset,
    ) -> Option<Place> {
        let seconds = self.last.map_or(1.0, |last| now.secs_since(last));
        if seconds <= 0.0 {
            return None;
        }
        self.last = Some(now);
        if seconds > BROKEN {
            self.driven = None;
        }
        let then = self
            .velocity
            .filter(|(at, _)| now.secs_since(*at) <= UNHEARD)
            .map(|(_, then)| then);
        if let Some(velocity) = velocity {
            self.velocity = Some((now, velocity));
        }
        if seconds > UNHEARD || velocity.is_none() {
            self.driven_since = None;
        } else {
            self.driven_since.get_or_insert(now);
        }
        if self.driven.is_none() && velocity.is_none() {
            return None;
        }
        let driven = self.driven.get_or_insert_with(|| {
            self.apart = Offset::ZERO;
            Driven::at(fix)
        });
        match (then, velocity) {
            (Some(then), Some(velocity)) => {
                driven.take(seconds, fix, (then + velocity) * 0.5, DOPPLER);
            }
            (None, Some(velocity)) => driven.take(seconds, fix, velocity, DOPPLER),
            (_, None) => driven.take(seconds, fix, Offset::ZERO, UNDRIVEN),
        }
        let share = 1.0 - (-seconds / APART_OVER).exp();
        self.apart = self.apart + (cut(fix - driven.x, FARTHEST) - self.apart) * share;
        if self.apart.length().get() > APART {
            // The velocity does not lead to where the fixes are, so it is wrong.
            *driven = Driven::at(driven.x + self.apart);
            self.apart = Offset::ZERO;
            self.driven_since = None;
        }
        Some(Place {
            antenna: driven.x,
            point: driven.x + lever,
            trusted: self
                .driven_since
                .is_some_and(|since| now.secs_since(since) >= TRUSTED_AFTER),
        })
    }
}

/// The filter, with or without a velocity.
#[derive(Clone, Debug)]
struct Driven {
    x: Offset,
    b: Offset,
    /// Covariance, the same for both coordinates: xx, xb, bb.
    cover: [f64; 3],
}

impl Driven {
    fn at(x: Offset) -> Self {
        Self {
            x,
            b: Offset::ZERO,
            cover: [0.3, 0.0, 0.05],
        }
    }

    fn take(&mut self, seconds: f64, fix: Offset, velocity: Offset, wanders: f64) {
        let slow = (seconds - SLOW).max(0.0);
        let added = (UNSEEN_SPEED * slow).powi(2);
        self.x = self.x + velocity * seconds;
        let keep = (-seconds / ERROR_TAU).exp();
        self.b = self.b * keep;
        let [xx, xb, bb] = self.cover;
        let xx = xx + wanders * wanders * seconds + added;
        let xb = xb * keep;
        let bb = bb * keep * keep + DRIVEN_ERROR * DRIVEN_ERROR * (1.0 - keep * keep);
        let spread = xx + 2.0 * xb + bb + WHITE;
        let gain = [(xx + xb) / spread, (xb + bb) / spread];
        let off = cut(fix - self.x - self.b, DRIVEN_CUT + 2.0 * added.sqrt());
        self.x = self.x + off * gain[0];
        self.b = self.b + off * gain[1];
        self.cover = [
            xx - gain[0] * (xx + xb),
            xb - gain[0] * (xb + bb),
            bb - gain[1] * (xb + bb),
        ];
    }
}

fn cut(off: Offset, longest: f64) -> Offset {
    let length = off.length().get();
    if length > longest {
        off * (longest / length)
    } else {
        off
    }
}

const DOPPLER: f64 = 0.06;
/// The same if there is no velocity.
const UNDRIVEN: f64 = 0.3;
/// Seconds of velocity until a place is trusted again: by then the filter has forgotten any shift.
const TRUSTED_AFTER: f64 = 600.0;
const DRIVEN_ERROR: f64 = 3.0;
const DRIVEN_CUT: f64 = 1.0;
const ERROR_TAU: f64 = 60.0;
/// Variance of the white noise in each coordinate.
const WHITE: f64 = 0.25;
/// The time for which a velocity shows where she has gone; after that she may have moved at this speed unseen.
const SLOW: f64 = 2.5;
const UNSEEN_SPEED: f64 = 0.15;
/// After this time without a velocity the first filter is of no use, seconds.
const UNHEARD: f64 = 5.0;
const APART: f64 = 9.0;
const APART_OVER: f64 = 200.0;
/// Multipath and wild fixes count no farther than this, metres.
const FARTHEST: f64 = 25.0;
/// A gap after which everything starts again, seconds.
pub(super) const BROKEN: f64 = 600.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geodesy::east;

    /// One step of a Kalman filter (R. E. Kalman, "A new approach to linear filtering and prediction problems", 1960)
    /// for place and error, calculated with matrices.
    #[test]
    fn one_fix_is_one_step_of_a_kalman_filter() {
        for (seconds, wanders) in [(1.0, DOPPLER), (2.5, DOPPLER), (10.0, UNDRIVEN)] {
            let mut driven = Driven::at(east(3.0));
            driven.b = east(0.7);
            driven.cover = [0.4, -0.1, 2.0];
            driven.take(seconds, east(4.2), east(0.05), wanders);
            let keep = f64::exp(-seconds / 60.0);
            // In ten seconds she may have moved for 7.5 s at 0.15 m/s unseen.
            let unseen = 0.15 * (seconds - 2.5);
            let added = [
                wanders * wanders * seconds + unseen.max(0.0).powi(2),
                9.0 * (1.0 - keep * keep),
            ];
            let before = [
                [0.4 + added[0], -0.1 * keep],
                [-0.1 * keep, 2.0 * keep * keep + added[1]],
            ];
            let rows = before.map(|row| row[0] + row[1]);
            let gain = rows.map(|row| row / (rows[0] + rows[1] + 0.25));
            let predicted = (3.0 + 0.05 * seconds, 0.7 * keep);
            let most = 1.0 + 2.0 * unseen.max(0.0);
            let off = (4.2 - predicted.0 - predicted.1).clamp(-most, most);
            let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a}, not {b}: {seconds} s");
            near(driven.x.east, predicted.0 + gain[0] * off);
            near(driven.b.east, predicted.1 + gain[1] * off);
            near(driven.cover[0], before[0][0] - gain[0] * rows[0]);
            near(driven.cover[1], before[0][1] - gain[0] * rows[1]);
            near(driven.cover[2], before[1][1] - gain[1] * rows[1]);
        }
    }

    /// A reflection counts as a metre; over ten seconds she herself may have gone two more and a quarter.
    #[test]
    fn what_a_fix_may_move_is_bounded() {
        for (seconds, most) in [(1.0, 1.0), (10.0, 3.25)] {
            let place = |off: f64| {
                let mut driven = Driven::at(Offset::ZERO);
                driven.take(seconds, east(off), Offset::ZERO, DOPPLER);
                driven.x.east
            };
            let (less, at_most) = (place(0.9 * most), place(most));
            assert!((less / at_most - 0.9).abs() < 1e-9, "{seconds} s");
            assert!((place(12.0) - at_most).abs() < 1e-9, "{seconds} s");
            assert!((place(-12.0) + at_most).abs() < 1e-9, "{seconds} s");
        }
    }

    fn still(places: &mut Places, second: u64, at: f64, velocity: Option<Offset>) -> Option<Place> {
        places.take(Tick::from_secs(second), east(at), velocity, Offset::ZERO)
    }

    #[test]
    fn a_new_origin_changes_only_the_coordinates_of_the_place() {
        let to = Offset {
            east: 30.0,
            north: -50.0,
        };
        let (mut plain, mut moved) = (Places::default(), Places::default());
        moved.origin_moved(to);
        for second in 0..100 {
            let fix = east(if second % 20 < 10 { 0.0 } else { 1.5 });
            let now = Tick::from_secs(second);
            if second == 50 {
                moved.origin_moved(to);
            }
            let origin = if second < 50 { Offset::ZERO } else { to };
            let here = plain
                .take(now, fix, Some(Offset::ZERO), Offset::ZERO)
                .unwrap();
            let there = moved
                .take(now, fix - origin, Some(Offset::ZERO), Offset::ZERO)
                .unwrap();
            let off = here.antenna - origin - there.antenna;
            assert!(off.length().get() < 1e-9, "{second}: {off:?}");
        }
    }

    /// The velocity of an interval is the mean of both its ends.
    #[test]
    fn a_boat_that_speeds_up_is_followed() {
        let mut places = Places::default();
        for second in 0..60 {
            let t = second as f64;
            let x = 0.02 * t * t;
            let place = still(&mut places, second, x, Some(east(0.04 * t))).unwrap();
            assert!((place.antenna.east - x).abs() < 1e-9, "{second}");
        }
        // After six seconds the velocity before counts no more.
        let (before, x) = (0.02 * 59.0 * 59.0, 0.02 * 59.0 * 59.0 + 60.0);
        let place = still(&mut places, 65, x, Some(east(10.0))).unwrap();
        assert!((place.antenna.east - before - 60.0).abs() < 1e-9);
    }

    /// Time has not passed.
    #[test]
    fn a_second_fix_at_one_moment_is_none() {
        let mut places = Places::default();
        assert!(still(&mut places, 5, 0.0, Some(Offset::ZERO)).is_some());
        assert!(still(&mut places, 5, 0.0, Some(Offset::ZERO)).is_none());
    }

    /// Within ten minutes, it goes on from where she was.
    #[test]
    fn after_ten_minutes_without_a_fix_the_place_starts_again() {
        for (gone, again) in [(600, false), (601, true)] {
            let mut places = Places::default();
            still(&mut places, 5, 0.0, Some(Offset::ZERO));
            let place = still(&mut places, 5 + gone, 400.0, Some(Offset::ZERO)).unwrap();
            assert_eq!((place.antenna.east - 400.0).abs() < 1e-9, again, "{gone} s");
        }
    }

    /// After that, a velocity must confirm the place again for ten minutes.
    #[test]
    fn a_silence_of_more_than_five_seconds_ends_the_trust() {
        for (gone, trusted) in [(4, true), (6, false)] {
            let mut places = Places::default();
            for second in 0..1000 {
                still(&mut places, second, 0.0, Some(Offset::ZERO));
            }
            let later = 999 + gone;
            let place = still(&mut places, later, 0.0, Some(Offset::ZERO)).unwrap();
            assert_eq!(place.trusted, trusted, "{gone} s");
        }
    }

    /// The velocity is stuck at zero while she drifts away. When that is found out, the place is no longer trusted.
    #[test]
    fn a_place_that_its_velocity_missed_is_not_trusted() {
        let mut places = Places::default();
        let (mut lost, mut before) = (None, 0.0);
        for second in 0..2000_u64 {
            let x = 0.1 * second.saturating_sub(800) as f64;
            let place = still(&mut places, second, x, Some(Offset::ZERO)).unwrap();
            if second > 800 && !place.trusted && lost.is_none() {
                lost = Some(second);
                // It goes to where the fixes were in the mean over minutes: nine metres on.
                let step = place.antenna.east - before;
                assert!((9.0..9.5).contains(&step), "{step}");
            }
            before = place.antenna.east;
        }
        assert!(lost.is_some_and(|second| second < 1200), "{lost:?}");
    }

    /// 12 m for a minute, and back.
    #[test]
    fn a_reflection_hardly_moves_the_place() {
        let mut places = Places::default();
        for second in 0..600 {
            let shift = if (300..360).contains(&second) {
                12.0
            } else {
                0.0
            };
            let place = places
                .take(
                    Tick::from_secs(second),
                    east(shift),
                    Some(Offset::ZERO),
                    east(5.0),
                )
                .unwrap();
            let off = place.antenna.length().get();
            assert!(off < 1.5, "{second}: {off}");
            assert!((place.point - place.antenna - east(5.0)).length().get() < 1e-9);
        }
    }

    #[test]
    fn a_true_velocity_is_followed_at_once_and_a_stuck_one_is_found_out() {
        for (told, most) in [(1.0, 1.0), (0.0, 30.0)] {
            let mut places = Places::default();
            let mut behind: f64 = 0.0;
            for second in 0..1800_u64 {
                let x = 0.1 * second as f64;
                let place = places
                    .take(
                        Tick::from_secs(second),
                        east(x),
                        Some(east(0.1 * told)),
                        Offset::ZERO,
                    )
                    .unwrap();
                behind = behind.max(x - place.antenna.east);
            }
            assert!(behind < most, "{told}: {behind}");
        }
    }

    #[test]
    fn nothing_is_trusted_until_ten_minutes_of_velocity() {
        let mut places = Places::default();
        assert!(
            places
                .take(Tick::from_secs(0), Offset::ZERO, None, Offset::ZERO)
                .is_none()
        );
        let mut trusted = Vec::new();
        for second in 1..2500_u64 {
            let velocity = (!(1400..1420).contains(&second)).then_some(Offset::ZERO);
            let place = places
                .take(
                    Tick::from_secs(second),
                    Offset::ZERO,
                    velocity,
                    Offset::ZERO,
                )
                .unwrap();
            if place.trusted {
                trusted.push(second);
            }
        }
        assert_eq!(trusted.first(), Some(&601));
        assert!(!trusted.iter().any(|second| (1400..2020).contains(second)));
        assert!(trusted.contains(&2020) && trusted.contains(&1399));
    }
}
