//! The settings of the watch, with their defaults. Their meaning, their ranges and the effects of
//! raising or lowering them are in windrode.toml(5), which is generated with the ranges from
//! `config::keys`.

use std::time::Duration;

use crate::alert::desk::DeskSettings;
use crate::boat::BoatFigures;
use crate::observation::Label;
use crate::speech::Wording;
use crate::tackle::plan::Scopes;
use crate::tide::Forecast;
use crate::units::{Angle, Metres, Speed, Volts};
use crate::watch::berth::PlanSettings;

/// Settings of the watch, each named by its key in the configuration. The defaults are chosen for a
/// cruising boat of 8-17 m with an ordinary satellite receiver.
#[derive(Clone, Debug, PartialEq)]
pub struct WatchSettings {
    /// `boat.*` and `tackle.rode_aboard`; they take precedence over what the server reports.
    pub boat: BoatFigures,
    /// `tackle.stretch`: a fraction of the rode's length.
    pub stretch: f64,
    /// `fix.source`.
    pub preferred_source: Option<Label>,
    /// `fix.max_age`.
    pub max_age: Duration,
    /// `fix.lost_after`.
    pub lost_after: Duration,
    /// `fix.failover_after`.
    pub failover_after: Duration,
    /// `fix.accuracy`: one standard deviation of a coordinate.
    pub accuracy: Metres,
    /// `drag.margin`.
    pub drag_margin: Metres,
    /// `drag.hold`.
    pub drag_hold: Duration,
    /// `drag.settle`.
    pub settle: Duration,
    /// `swing.margin`.
    pub swing_margin: Metres,
    /// `swing.hold`.
    pub swing_hold: Duration,
    /// `wind.shift`.
    pub wind_shift: Angle,
    /// `wind.window`.
    pub wind_window: Duration,
    /// `wind.hold`.
    pub wind_hold: Duration,
    /// `wind.least`.
    pub wind_least: Speed,
    /// `wind.mean`: below [`Self::strong_wind`], so that there is time to veer before more scope is
    /// needed.
    pub wind_mean: Speed,
    /// `wind.gust`.
    pub wind_gust: Speed,
    /// `wind.strength_hold`.
    pub wind_strength_hold: Duration,
    /// `tackle.scope`: a plain number.
    pub scope: f64,
    /// `tackle.scope_strong`: a plain number.
    pub scope_strong: f64,
    /// `wind.strong`.
    pub strong_wind: Speed,
    /// `water.keel_margin`.
    pub keel_margin: Metres,
    /// `water.station`.
    pub forecast: Option<Forecast>,
    /// `water.stay`.
    pub stay: Option<Duration>,
    /// The parameters with which a berth is planned.
    pub plan: PlanSettings,
    /// `power.least`.
    pub least_voltage: Volts,
    /// `neighbour.watch`.
    pub neighbours: bool,
    /// `neighbour.distance`: from hull to hull.
    pub neighbour_distance: Metres,
    /// `crew.*`.
    pub wording: Wording,
    /// `link.lost_after`.
    pub link_lost_after: Duration,
    /// `alerts.*`.
    pub desk: DeskSettings,
    /// `reminder.unmarked_after`.
    pub unmarked_after: Duration,
}

impl Default for WatchSettings {
    fn default() -> Self {
        let scopes = Scopes::default();
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
            wind_shift: Angle::from_degrees(60.0),
            wind_window: Duration::from_mins(5),
            wind_hold: Duration::from_mins(5),
            wind_least: Speed::from_knots(5.0),
            wind_mean: Speed::from_knots(25.0),
            wind_gust: Speed::from_knots(35.0),
            wind_strength_hold: Duration::from_mins(1),
            scope: scopes.good,
            scope_strong: scopes.strong,
            strong_wind: scopes.strong_wind,
            keel_margin: Metres::of(0.5),
            forecast: None,
            stay: None,
            plan: PlanSettings::default(),
            least_voltage: Volts::of(11.8),
            neighbours: true,
            neighbour_distance: Metres::of(20.0),
            wording: Wording::default(),
            link_lost_after: Duration::from_secs(30),
            desk: DeskSettings::default(),
            unmarked_after: Duration::from_mins(10),
        }
    }
}

impl WatchSettings {
    /// The longest rode that can be out: all that is aboard, or 60 m if that is not entered.
    #[must_use]
    pub fn longest_rode(&self) -> Metres {
        self.boat.rode_aboard.unwrap_or(Metres::of(60.0))
    }
}
