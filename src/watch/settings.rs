//! The knobs of the watch, each with its unit, its sensible range and what turning it does.

use std::time::Duration;

use crate::alert::desk::DeskSettings;
use crate::alert::wording::Wording;
use crate::boat::BoatFigures;
use crate::observation::Label;
use crate::tide::Forecast;
use crate::units::{Angle, Metres, Speed, Volts};

/// Settings of the watch. The defaults are chosen for a cruising boat of 8-17 m with an ordinary
/// satellite receiver.
#[derive(Clone, Debug, PartialEq)]
pub struct WatchSettings {
    /// What is known of the boat; wins over what the server says.
    pub boat: BoatFigures,
    /// The rode's stretch under load (fraction of its length, 0-0.4). Higher forgives more
    /// excess before it counts as dragging; nylon wants 0.1 and more, chain 0.02.
    pub stretch: f64,
    /// The source of the fix to prefer, if any.
    pub preferred_source: Option<Label>,
    /// How far a first value's stamp may lie from our clock to be taken as fresh (s, 1-60).
    pub max_age: Duration,
    /// How long without a usable fix before the `position` hazard (s, 5-600). Lower wakes the
    /// crew for every dropout, higher leaves the boat unwatched for longer.
    pub lost_after: Duration,
    /// How long the chosen receiver may be without a usable fix before another takes over
    /// (s, 2-600).
    pub failover_after: Duration,
    /// Error of a fix (m, one standard deviation a coordinate, 0.5-20). The margin before a drag
    /// is suspected is a multiple of it.
    pub accuracy: Metres,
    /// Least distance beyond the reach that counts as evidence of dragging (m, 0.5-500).
    pub drag_margin: Metres,
    /// How long evidence that is just enough must last (s, 0-1800); what is overwhelming need not.
    pub drag_hold: Duration,
    /// How long she must lie quietly after letting go to count as set (s, 60-3600).
    pub settle: Duration,
    /// What is added to the reckoned swinging circle (m, 0-100).
    pub swing_margin: Metres,
    /// How long outside the circle before the alarm (s, 1-600).
    pub swing_hold: Duration,
    /// Turn of the mean wind that is a shift (20°-180°).
    pub wind_shift: Angle,
    /// Over what time the wind is averaged (s, 60-3600).
    pub wind_window: Duration,
    /// How long the shift must last (s, 0-3600).
    pub wind_hold: Duration,
    /// Mean wind below which its direction means nothing (0-15 kn).
    pub wind_least: Speed,
    /// Mean wind that is told (10-80 kn). Below [`Self::strong_wind`], so that there is time to
    /// veer before more scope is wanted.
    pub wind_mean: Speed,
    /// Gust that is told (10-120 kn).
    pub wind_gust: Speed,
    /// How long the mean must stay there (s, 0-3600).
    pub wind_strength_hold: Duration,
    /// The scope the crew wants at high water (a plain number, 2-20).
    pub scope: f64,
    /// The scope it wants when the mean wind passes [`Self::strong_wind`] (a plain number, 2-20).
    pub scope_strong: f64,
    /// Mean wind from which `scope_strong` is wanted (10-60 kn).
    pub strong_wind: Speed,
    /// Least depth wanted under the keel (m, 0-10).
    pub keel_margin: Metres,
    /// The station whose tide is predicted; without one the server's figures are taken.
    pub forecast: Option<Forecast>,
    /// How long she stays, for the turns to come (1 h to 30 d); until noon tomorrow by the ship's
    /// clock when nobody said.
    pub stay: Option<Duration>,
    /// The least voltage of the house battery, where it is heard (V, 5-100).
    pub least_voltage: Volts,
    /// How the crew is spoken to.
    pub wording: Wording,
    /// How long without the server before the `dataLink` hazard (s, 5-600).
    pub link_lost_after: Duration,
    /// How alerts are repeated and escalated.
    pub desk: DeskSettings,
    /// How long she may lie still in anchoring depth, engine off, before somebody is reminded
    /// that no anchor is marked (s, 60-86400).
    pub unmarked_after: Duration,
}

impl Default for WatchSettings {
    fn default() -> Self {
        Self {
            boat: BoatFigures::default(),
            stretch: 0.02,
            preferred_source: None,
            max_age: Duration::from_secs(10),
            lost_after: Duration::from_secs(60),
            failover_after: Duration::from_secs(15),
            accuracy: Metres::of(2.5),
            drag_margin: Metres::of(3.0),
            drag_hold: Duration::from_secs(2),
            settle: Duration::from_mins(10),
            swing_margin: Metres::of(10.0),
            swing_hold: Duration::from_secs(15),
            wind_shift: Angle::of(60.0 * std::f64::consts::PI / 180.0),
            wind_window: Duration::from_mins(5),
            wind_hold: Duration::from_mins(5),
            wind_least: Speed::from_knots(5.0),
            wind_mean: Speed::from_knots(25.0),
            wind_gust: Speed::from_knots(35.0),
            wind_strength_hold: Duration::from_mins(1),
            scope: 5.0,
            scope_strong: 7.0,
            strong_wind: Speed::from_knots(30.0),
            keel_margin: Metres::of(0.5),
            forecast: None,
            stay: None,
            least_voltage: Volts::of(11.8),
            wording: Wording::default(),
            link_lost_after: Duration::from_secs(30),
            desk: DeskSettings::default(),
            unmarked_after: Duration::from_mins(10),
        }
    }
}

impl WatchSettings {
    /// The longest rode that can be out: all that is aboard, or 60 m when nobody said.
    #[must_use]
    pub fn longest_rode(&self) -> Metres {
        self.boat.rode_aboard.unwrap_or(Metres::of(60.0))
    }
}
