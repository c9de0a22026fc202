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
//! **Without any velocity** since the start, [`alone`](super::alone) takes the place of this filter.
//!
//! **While there is no velocity for a time**, or the watch distrusts it, `x` drifts by `0.3² T` towards the fixes, and is not
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

use super::alone::Alone;
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
    /// The filter without a velocity, and since when it has had fixes without a gap.
    alone: Option<(Tick, Alone)>,
}

/// The filter's result for a fix.
#[derive(Clone, Copy, Debug)]
pub(in super::super) struct Place {
    pub(super) antenna: Offset,
    /// Antenna plus lever.
    pub(super) point: Offset,
    /// A velocity has confirmed it for a while; without any, fixes have come for as long.
    pub(super) trusted: bool,
    /// A velocity shows it.
    pub(super) driven: bool,
}

impl Places {
    /// The plane now has its origin at this point of the old one. Nothing has moved.
    pub(in super::super) fn origin_moved(&mut self, to: Offset) {
        if let Some(driven) = &mut self.driven {
            driven.x = driven.x - to;
        }
        if let Some((_, alone)) = &mut self.alone {
            alone.origin_moved(to);
        }
    }

    /// Takes a fix; `shift` is how far a jump has shifted it. Returns `None` if no time has passed, or if fixes
    /// come seldom and without a velocity.
    pub(in super::super) fn take(
        &mut self,
        now: Tick,
        fix: Offset,
        velocity: Option<Offset>,
        lever: Offset,
        shift: Offset,
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
        if self.velocity.is_none() {
            return self.take_alone(now, seconds, fix - shift + lever);
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
            driven: true,
        })
    }

    /// There has been no velocity yet.
    fn take_alone(&mut self, now: Tick, seconds: f64, bow: Offset) -> Option<Place> {
        if seconds > UNHEARD {
            self.alone = None;
            return None;
        }
        let (since, alone) = self.alone.get_or_insert_with(|| (now, Alone::at(bow)));
        let point = alone.take(seconds, bow);
        Some(Place {
            antenna: point,
            point,
            trusted: now.secs_since(*since) >= TRUSTED_AFTER,
            driven: false,
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

pub(super) fn cut(off: Offset, longest: f64) -> Offset {
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

    /// The variance of a coordinate after one fix, by the filter's formulas.
    #[test]
    fn a_second_adds_what_the_velocity_may_be_off_by_and_a_fix_takes_its_share() {
        let mut driven = Driven::at(Offset::ZERO);
        driven.take(1.0, Offset::ZERO, Offset::ZERO, DOPPLER);
        let xx = 0.3 + DOPPLER * DOPPLER;
        let keep = (-2.0 / ERROR_TAU).exp();
        let bb = 0.05 * keep + DRIVEN_ERROR * DRIVEN_ERROR * (1.0 - keep);
        let should = xx - xx * xx / (xx + bb + WHITE);
        assert!(
            (driven.cover[0] - should).abs() < 1e-12,
            "{:?}",
            driven.cover
        );
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
                    Offset::ZERO,
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
        let first = places.take(
            Tick::from_secs(0),
            Offset::ZERO,
            None,
            Offset::ZERO,
            Offset::ZERO,
        );
        assert!(first.is_some_and(|place| !place.trusted && !place.driven));
        let mut trusted = Vec::new();
        for second in 1..2500_u64 {
            let velocity = (!(1400..1420).contains(&second)).then_some(Offset::ZERO);
            let place = places
                .take(
                    Tick::from_secs(second),
                    Offset::ZERO,
                    velocity,
                    Offset::ZERO,
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
    /// Fixes alone are trusted after ten minutes without a gap. A known jump is taken off, and a boat whose receiver
    /// has given a velocity is never judged without one.
    #[test]
    fn without_any_velocity_the_fixes_alone_show_the_bow() {
        let mut places = Places::default();
        let mut take = |second: u64, velocity: Option<Offset>| {
            let shift = if second > 1000 { 12.0 } else { 0.0 };
            places.take(
                Tick::from_secs(second),
                east(30.0 + shift),
                velocity,
                east(5.0),
                east(shift),
            )
        };
        for second in 1..=1300 {
            let place = take(second, None).unwrap();
            assert_eq!(place.trusted, second >= 601, "{second}");
            assert!((place.point - east(35.0)).length().get() < 1e-6);
        }
        assert!(take(1306, None).is_none());
        assert!(take(1307, None).is_some_and(|place| !place.trusted));
        assert!(take(1308, Some(Offset::ZERO)).is_some_and(|place| place.driven));
        assert!(take(1309, None).is_some_and(|place| place.driven && !place.trusted));
    }
}
