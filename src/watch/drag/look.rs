//! What half a minute of lying shows about the place of the anchor: how far she can be from it, and how far short
//! of that she likely lies, by wind, rode and depth.
//!
//! A wind that is strong enough lays her near the end of her rode, less what the catenary takes
//! ([`slack`](super::slack)). A light wind, a stream, or a wind she does not lie to shows little. Weakness: the
//! figures are chosen and were tuned together on simulated nights.

use super::anchor::Look;
use super::chart::Bit;
use super::slack;
use super::{MODEL, Sighting};
use crate::units::Speed;

/// Makes a look from the means over the `gone` seconds since the last look.
pub(super) fn a_look(bit: &Bit, seen: &Sighting, minutes: f64, gone: f64) -> Look {
    let rode = seen.rode.get();
    // Without a depth she is assumed to lie to a usual scope, with a share of the rode as additional doubt.
    let (height, unknown) = match seen.height {
        Some(height) => (height.get(), 0.0),
        None => (rode / USUAL_SCOPE, rode * UNKNOWN_DEPTH),
    };
    let slack_at = |speed: f64, kappa: f64| slack::slack(rode, height, speed, kappa);
    let straight = (rode * rode - height * height).max(0.0).sqrt();
    // The part of the bound that exceeds the unstretched rode.
    let stretched = (seen.reach.get() - straight).max(0.0) + stretch(seen.wind);
    let short = seen
        .wind
        .filter(|wind| seen.settled && wind.get() >= LEAST_WIND)
        .map(|wind| {
            let usual = slack_at(wind.get(), slack::USUAL);
            let light = slack_at(wind.get(), slack::LIGHT);
            // A stream matters more the less wind there is; and without a heading the antenna may lie to the side.
            let stream = STREAM_DOUBT * (STREAM_WIND / wind.get()).powi(2);
            let side = SIDE_SHARE * seen.lever_doubt.get();
            let doubt = 0.5 * (light - usual) + 0.5 + side + unknown;
            (usual + stretched, doubt.hypot(stream))
        });
    // In a calm she may lie anywhere, even on top of her anchor. Without a wind instrument it is not known whether
    // there is wind, so such a look shows little.
    let trust = seen.wind.map_or(1.0, |wind| {
        let lies_to_it = seen.wind_ahead.map_or(1.0, |ahead| {
            ((ahead - ACROSS) / (WIND_RODE - ACROSS)).clamp(0.0, 1.0)
        });
        lies_to_it / (1.0 + (LIGHT_WIND / wind.get().max(0.1)).powi(4))
    });
    let calm = seen.wind.is_some_and(|wind| wind.get() < LEAST_WIND);
    let slack = if seen.settled && !calm {
        slack_at(0.0, slack::LIGHT) + stretched + unknown + LULL_SIDE * seen.lever_doubt.get()
    } else {
        bit.bound
    };
    Look {
        at: bit.point,
        bound: bit.bound,
        short,
        slack,
        trust,
        settled: seen.settled,
        sigma: minutes.hypot(MODEL),
        weight: gone / LOOK_RENEWS,
        gone,
    }
}

/// How far a gale stretches a snubber beyond the reach, metres.
pub(super) fn stretch(wind: Option<Speed>) -> f64 {
    wind.map_or(0.0, |wind| {
        ((wind.get() - STRETCHES_FROM) * STRETCH).clamp(0.0, MOST_STRETCH)
    })
}

/// A wind weaker than this does not show how she lies, m/s.
const LEAST_WIND: f64 = 4.0;
/// A wind of this strength is trusted by half to show how she lies; a stream of half a knot may hold her
/// differently (chosen).
const LIGHT_WIND: f64 = 6.0;
/// Mean cosine of the wind's angle from the bow: from the first figure on she lies to the wind, below the second
/// she lies across it. She sheers by sixty degrees at most.
const WIND_RODE: f64 = 0.6;
const ACROSS: f64 = 0.3;
/// Ten metres of nylon stretch by a metre or so in a gale (common practice, no source): this much for each m/s
/// above the second figure.
const STRETCH: f64 = 0.12;
const STRETCHES_FROM: f64 = 12.0;
const MOST_STRETCH: f64 = 1.5;
/// Without a depth: a usual scope, and the uncertainty of that as a share of the rode.
pub(super) const USUAL_SCOPE: f64 = 5.0;
pub(super) const UNKNOWN_DEPTH: f64 = 0.03;
/// How far a stream may keep her from where a wind of this strength would hold her, metres and m/s.
const STREAM_DOUBT: f64 = 4.0;
const STREAM_WIND: f64 = 4.0;
/// Share of the antenna's distance from the roller by which the antenna may lie nearer than in line; and the same
/// if the wind is not known.
const SIDE_SHARE: f64 = 0.25;
const LULL_SIDE: f64 = 0.5;
/// Seconds after which a look counts as another independent one.
const LOOK_RENEWS: f64 = 300.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geodesy::Offset;
    use crate::time::Tick;
    use crate::units::Metres;

    /// 40 m of rode in a wind of 8 m/s: how far short of her reach she likely lies, by the formulas.
    #[test]
    fn a_fresh_wind_shows_how_far_short_she_lies_and_how_surely() {
        let seen = Sighting {
            lever_doubt: Metres::of(4.0),
            ..Sighting::in_wind(Some(8.0))
        };
        let bit = Bit {
            at: Tick::START,
            point: Offset::ZERO,
            bound: 39.0,
            fixes: 30.0,
        };
        let look = a_look(&bit, &seen, 1.0, 30.0);
        let slack = |kappa: f64| slack::slack(40.0, 9.0, 8.0, kappa);
        let (usual, light) = (slack(slack::USUAL), slack(slack::LIGHT));
        let stretched = 39.0 - f64::sqrt(40.0 * 40.0 - 9.0 * 9.0);
        let (short, doubt) = look.short.unwrap();
        assert!((short - usual - stretched.max(0.0)).abs() < 1e-12);
        let should = (0.5 * (light - usual) + 0.5 + 1.0_f64).hypot(1.0);
        assert!((doubt - should).abs() < 1e-12, "{doubt}, not {should}");
        assert!((look.weight - 0.1).abs() < 1e-12);
    }

    fn looked(seen: &Sighting) -> Look {
        let bit = Bit {
            at: Tick::START,
            point: Offset::ZERO,
            bound: 39.0,
            fixes: 30.0,
        };
        a_look(&bit, seen, 1.0, 30.0)
    }

    /// A wind of 6 m/s is trusted by half; one of 12 m/s, by sixteen in seventeen.
    #[test]
    fn a_stronger_wind_is_trusted_more_and_one_across_is_not() {
        let trust = |wind: Option<f64>, ahead: Option<f64>| {
            let seen = Sighting {
                wind_ahead: ahead,
                ..Sighting::in_wind(wind)
            };
            looked(&seen).trust
        };
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a}, not {b}");
        near(trust(Some(6.0), None), 0.5);
        near(trust(Some(12.0), None), 16.0 / 17.0);
        near(trust(Some(6.0), Some(0.9)), 0.5);
        near(trust(Some(6.0), Some(0.45)), 0.25);
        near(trust(Some(6.0), Some(0.2)), 0.0);
        near(trust(None, None), 1.0);
    }

    /// In a calm and before she has fallen back, she may lie anywhere within the bound.
    #[test]
    fn how_near_she_may_lie_depends_on_the_wind() {
        let seen = Sighting {
            lever_doubt: Metres::of(4.0),
            ..Sighting::in_wind(Some(8.0))
        };
        let slackest = slack::slack(40.0, 9.0, 0.0, slack::LIGHT);
        let stretched = (39.0 - f64::sqrt(40.0 * 40.0 - 9.0 * 9.0)).max(0.0);
        // Half of the antenna's distance is added.
        assert!((looked(&seen).slack - slackest - stretched - 2.0).abs() < 1e-9);
        let settled = false;
        assert!((looked(&Sighting { settled, ..seen }).slack - 39.0).abs() < 1e-12);
        assert!((looked(&Sighting::in_wind(Some(3.9))).slack - 39.0).abs() < 1e-12);
    }

    /// Without a depth the rode is taken to lie at a scope of five, with an uncertainty of 3 % of its length.
    #[test]
    fn without_a_depth_she_is_less_sure_to_lie_where_expected() {
        let seen = Sighting {
            height: None,
            ..Sighting::in_wind(Some(8.0))
        };
        let (_, doubt) = looked(&seen).short.unwrap();
        let slack = |kappa: f64| slack::slack(40.0, 8.0, 8.0, kappa);
        let wanted = (0.5 * (slack(slack::LIGHT) - slack(slack::USUAL)) + 0.5 + 1.2_f64).hypot(1.0);
        assert!((doubt - wanted).abs() < 1e-9, "{doubt}, not {wanted}");
    }

    #[test]
    fn a_gale_stretches_the_snubber_and_a_breeze_does_not() {
        let stretch = |wind: f64| stretch(Some(Speed::of(wind)));
        assert!(stretch(12.0).abs() < 1e-12);
        assert!((stretch(17.0) - 0.6).abs() < 1e-12);
        assert!((stretch(40.0) - 1.5).abs() < 1e-12);
    }
}
