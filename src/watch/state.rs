//! The current state, for displays and for `status`.

use std::time::Duration;

use serde::{Deserialize, Serialize};

use crate::chart::clearance::RoomTold;
use crate::geodesy::Position;
use crate::tackle::snubber::Snubber;
use crate::time::Timestamp;
use crate::units::{Angle, Bearing, Metres, Speed};
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::berth::{DepthBy, Planned};
use crate::watch::losses::Quiet;
use crate::watch::neighbours::telling::Neighbour;
use crate::watch::pull::PullReading;

/// The state as it is published and shown; SI, true bearings, WGS 84. `None` is "not known".
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct WatchState {
    /// The phase of the anchor.
    pub phase: AnchorPhase,
    /// Since when she has been in this phase.
    pub phase_since: Option<Timestamp>,
    /// What she lies to, if she lies to anything.
    #[serde(default)]
    pub kind: Option<MooringKind>,
    /// Where the anchor probably lies.
    pub anchor: Option<Position>,
    /// Depth of water at the anchor when it was let go.
    pub depth_at_anchor: Option<Metres>,
    /// Radius of the swinging circle, to the boat's centre.
    pub max_radius: Option<Metres>,
    /// From the anchor to the boat's centre.
    pub current_radius: Option<Metres>,
    /// From the bow roller to the anchor, true.
    pub anchor_bearing: Option<Bearing>,
    /// From the bow roller to the anchor.
    pub anchor_distance: Option<Metres>,
    /// The point from which bearing and distance are measured.
    #[serde(default)]
    pub measured_from: MeasuredFrom,
    /// Rode veered.
    pub rode_out: Option<Metres>,
    /// A snubber or bridle that is on.
    #[serde(default)]
    pub snubber: Option<Snubber>,
    /// The farthest the bow roller can lie from a holding anchor.
    pub reach: Option<Metres>,
    /// Rode / (depth now + roller height).
    pub scope: Option<f64>,
    /// The same at the coming high water.
    pub scope_at_high_water: Option<f64>,
    /// The probability that the anchor is dragging, 0..1.
    pub drag_probability: Option<f64>,
    /// How far the anchor has probably moved.
    pub anchor_moved: Option<Metres>,
    /// 95 % uncertainty of the bow roller's position.
    pub fix_uncertainty: Option<Metres>,
    /// The state of the pull test, or how the last one about this mark ended.
    pub pull_test: Option<PullReading>,
    /// Change of the wind since the anchor was set, positive veering.
    pub wind_shift: Option<Angle>,
    /// Direction of the mean wind now.
    pub wind_direction: Option<Bearing>,
    /// Speed of the mean wind now.
    pub wind_speed: Option<Speed>,
    /// The strongest gust within the window of the mean.
    pub wind_gust: Option<Speed>,
    /// Depth of water now.
    pub water_depth: Option<Metres>,
    /// Under the keel at low water; needs the tide.
    pub under_keel_at_low_water: Option<Metres>,
    /// The course that heads into the wind.
    pub head_to_wind_course: Option<Bearing>,
    /// The planned position of the anchor.
    pub berth: Option<Position>,
    /// Bearing from the bow roller to the berth; once the anchor is down, from the anchor to the
    /// berth.
    pub berth_bearing: Option<Bearing>,
    /// The distance between the same points.
    pub berth_distance: Option<Metres>,
    /// The circle planned at the berth; `None` without a berth or without a depth there.
    #[serde(default)]
    pub planned: Option<Planned>,
    /// What the chart shows for the circle around the anchor.
    #[serde(default)]
    pub room: Option<RoomTold>,
    /// The smallest depth anywhere in the circle at the lowest water of the stay, by the chart. The circle is that
    /// around the anchor while it is down, before that the one around the berth. `None` if part of it is not
    /// charted.
    #[serde(default)]
    pub room_least: Option<Metres>,
    /// Seconds to the berth at the present speed made good towards it.
    pub berth_time: Option<f64>,
    /// Distance off the line that leads head to wind through the berth, positive to starboard of
    /// it; within a mile.
    pub berth_cross_track: Option<Metres>,
    /// How far beyond the berth to go before turning up into the wind: the distance that she carries from the
    /// present speed.
    pub overshoot: Option<Metres>,
    /// The source of that figure, in words.
    pub way_by: Option<String>,
    /// What common practice advises now, in words.
    pub approach_advice: Option<String>,
    /// Seconds since the fix on which the figures rest; `None` if it is current, or if there was none.
    pub fix_ago: Option<f64>,
    /// Seconds since the last sounding, if it is not current.
    pub depth_ago: Option<f64>,
    /// Seconds since the wind was last heard, if it is not current.
    pub wind_ago: Option<f64>,
    /// The source of the fix.
    pub position_source: Option<String>,
    /// The bow roller, as far as it is known.
    pub roller: Option<Position>,
    /// The boat's centre, as far as it is known.
    pub centre: Option<Position>,
    /// The nearest vessels that were heard recently.
    #[serde(default)]
    pub neighbours: Vec<Neighbour>,
    /// How many vessels were heard recently.
    #[serde(default)]
    pub vessels_heard: usize,
    /// Instruments that send nothing usable now.
    #[serde(default)]
    pub lost: Vec<Quiet>,
    /// What is not judged, and why, in words; what else the crew should know.
    pub remarks: Vec<String>,
}

impl WatchState {
    /// She is made fast to a buoy or the shore: there is no anchor to let go, nothing to set and no rode.
    #[must_use]
    pub fn is_moored(&self) -> bool {
        self.kind.is_some_and(|kind| !kind.has_rode())
    }

    /// The state as a display may show it. A display cannot show how old a figure is, so figures that
    /// rest on an old fix, sounding or wind are `None`.
    #[must_use]
    pub fn live(&self) -> Self {
        let mut live = self.clone();
        if self.fix_ago.is_some() {
            live.current_radius = None;
            live.anchor_bearing = None;
            live.anchor_distance = None;
            live.drag_probability = None;
            live.anchor_moved = None;
            live.fix_uncertainty = None;
            if self.phase == AnchorPhase::Aweigh {
                live.berth_bearing = None;
                live.berth_distance = None;
            }
            live.berth_time = None;
            live.berth_cross_track = None;
            live.overshoot = None;
            live.approach_advice = None;
            live.neighbours.clear();
            live.roller = None;
            live.centre = None;
        }
        if self.depth_ago.is_some() || self.water_depth.is_none() {
            live.water_depth = None;
            live.scope = None;
            live.scope_at_high_water = None;
            live.under_keel_at_low_water = None;
            live.planned
                .take_if(|planned| planned.depth_by == DepthBy::Sounder);
        }
        if self.wind_ago.is_some() {
            live.wind_shift = None;
            live.wind_direction = None;
            live.wind_speed = None;
            live.wind_gust = None;
            live.head_to_wind_course = None;
            live.berth_cross_track = None;
        }
        live
    }
}

/// The point from which bearing and distance to the anchor are measured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum MeasuredFrom {
    /// The bow roller.
    #[default]
    BowRoller,
    /// The antenna: without its place aboard or without a heading the position of the bow is not
    /// known.
    Antenna,
}

/// How old a figure is, if it is not current.
#[must_use]
pub fn age(seconds: Option<f64>) -> Option<Duration> {
    seconds.and_then(|seconds| Duration::try_from_secs_f64(seconds).ok())
}
