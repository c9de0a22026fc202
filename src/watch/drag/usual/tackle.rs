//! How far from her anchor she should lie by tackle, depth and wind, for each way of lying.
//!
//! For each way, the reach is reduced by the slack of the catenary ([`slack`](super::super::slack)), with its own
//! pull for a wind. If she lies nearer than that, the difference is learned, but not without limit: she comes out
//! again from a swing or a calm. With a wind instrument the expected distance follows the wind, and she may come
//! out to within [`SLACKEST`] of it. Without one, the wind may freshen unnoticed and straighten the rode: whatever
//! the way of lying, she may come out to within [`SLACKEST_NO_WIND`] of taut.
//!
//! **Weakness.** Without a wind instrument, the drag of a boat that lies slacker than that shows later by the
//! difference. **Test** beside this file.

use super::super::look::USUAL_SCOPE;
use super::super::slack::slack;
use super::WAYS;
use crate::units::Metres;
use crate::watch::drag::Sighting;

/// How near she may come to where tackle and depth would have her, for each way of lying. If there is no wind
/// instrument, a gale may come and straighten the rode, whatever that way of lying predicts.
pub(super) fn slackest(seen: &Sighting) -> [f64; WAYS] {
    if seen.wind_now.is_some() {
        return [SLACKEST; WAYS];
    }
    let (rode, height) = tackle(seen);
    KAPPAS.map(|kappa| SLACKEST_NO_WIND - short(rode, height, NO_WIND, kappa))
}

/// The rode that is out and the height of the roller above the bottom, at most the length of the rode.
pub(super) fn tackle(seen: &Sighting) -> (f64, f64) {
    let rode = seen.rode.get();
    let height = seen
        .height
        .map_or(rode / USUAL_SCOPE, Metres::get)
        .min(rode);
    (rode, height)
}

/// How far short of her reach she lies; `force` is the square of the wind speed.
pub(super) fn short(rode: f64, height: f64, force: f64, kappa: Option<f64>) -> f64 {
    kappa.map_or(0.0, |kappa| slack(rode, height, force.sqrt(), kappa))
}

/// The ways of lying: metres of horizontal pull over weight a (m/s)²; the last way is taut.
pub(super) const KAPPAS: [Option<f64>; WAYS] = [Some(0.1), Some(0.25), Some(0.6), Some(1.5), None];
const SLACKEST: f64 = 5.0;
const SLACKEST_NO_WIND: f64 = 3.0;
/// The moderate wind that is assumed without a wind instrument, (m/s)².
pub(super) const NO_WIND: f64 = 36.0;

#[cfg(test)]
mod tests {
    use super::*;

    /// 40 m over 9 m in 6 m/s: by the catenary, a light boat on heavy chain lies metres short of taut.
    #[test]
    fn without_a_wind_instrument_she_may_come_out_to_within_three_metres_of_taut() {
        // With a wind instrument, the expected distance follows the wind.
        let follows = slackest(&Sighting::in_wind(Some(8.0)));
        assert!(follows.iter().all(|may| (may - SLACKEST).abs() < 1e-12));
        let may = slackest(&Sighting::in_wind(None));
        assert!((may[WAYS - 1] - 3.0).abs() < 1e-12);
        for (may, kappa) in may.iter().zip(KAPPAS) {
            let short = kappa.map_or(0.0, |kappa| slack(40.0, 9.0, 6.0, kappa));
            assert!((may + short - 3.0).abs() < 1e-9, "{kappa:?}: {may}");
        }
        assert!(may[0] < 0.0, "{may:?}");
    }
}
