//! How far from her anchor tackle, depth and wind would have her, by way of lying.
//!
//! Each way takes off the reach what the catenary leaves slack ([`slack`](super::super::slack)) with its own
//! pull for a wind. What she lies nearer than that is learned, but not without limit: from a swing or a calm she
//! comes out again. With a wind instrument the expected distance follows the wind, and she may come out to
//! within [`SLACKEST`] of it. Without one, the wind may freshen unheard and straighten the rode: whatever the way
//! of lying, she may come out to within [`SLACKEST_NO_WIND`] of taut.
//!
//! **Weakness.** Without a wind instrument, a drag of a boat that lies slacker than that shows later by the
//! difference. **Test** beside this.

use super::super::look::USUAL_SCOPE;
use super::super::slack::slack;
use super::WAYS;
use crate::units::Metres;
use crate::watch::drag::Sighting;

/// How near to where tackle and depth would have her she may come out, by way of lying. Where it is not heard
/// how it blows, a gale may come and straighten the rode, whatever is expected of the way she lies.
pub(super) fn slackest(seen: &Sighting) -> [f64; WAYS] {
    if seen.wind_now.is_some() {
        return [SLACKEST; WAYS];
    }
    let (rode, height) = tackle(seen);
    KAPPAS.map(|kappa| SLACKEST_NO_WIND - short(rode, height, NO_WIND, kappa))
}

/// Rode out, and the roller above the bottom: as deep as the rode is long at most.
pub(super) fn tackle(seen: &Sighting) -> (f64, f64) {
    let rode = seen.rode.get();
    let height = seen
        .height
        .map_or(rode / USUAL_SCOPE, Metres::get)
        .min(rode);
    (rode, height)
}

/// How far short of her reach she lies in a wind of this strength squared.
pub(super) fn short(rode: f64, height: f64, force: f64, kappa: Option<f64>) -> f64 {
    kappa.map_or(0.0, |kappa| slack(rode, height, force.sqrt(), kappa))
}

/// Ways of lying: metres of horizontal pull over weight a (m/s)²; the last is taut.
pub(super) const KAPPAS: [Option<f64>; WAYS] = [Some(0.1), Some(0.25), Some(0.6), Some(1.5), None];
const SLACKEST: f64 = 5.0;
const SLACKEST_NO_WIND: f64 = 3.0;
/// Where no wind is heard: a moderate one, (m/s)².
pub(super) const NO_WIND: f64 = 36.0;

#[cfg(test)]
mod tests {
    use super::*;

    /// 40 m over 9 m in 6 m/s: by the catenary a light boat on heavy chain lies metres short of taut.
    #[test]
    fn where_no_wind_is_heard_she_may_come_out_to_within_three_metres_of_taut() {
        // With a wind instrument the distance expected follows the wind.
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
