//! The picture: how she lies, readable at a glance, at night, on a telephone at arm's length.
//!
//! [`svg`] writes the picture and [`png()`] draws it in pixels, with an embedded font (no font of the
//! machine is used). It shows what is known and states what is unknown: no boat without a fix, no bow
//! without a heading.
//!
//! # How it is read
//! At the top is the most serious alert with its number. Then comes the chart, north up: the swinging
//! circle as a roped ring, the reach as a dotted one, the anchor, the rode, the boat to scale, and her
//! track of the last hour, the younger the brighter. Before the anchor is let go, the chart shows the berth
//! and the circle planned there. With charts aboard, the ground is drawn below all that: the shoaler the
//! brighter, water too shoal for this boat hatched, uncharted areas dotted, dangers as crosses, and the
//! least depth of the circle as a ring with a dot and its depth at low water. Below the chart are the
//! figures, the time and the caution.
//!
//! Shape, not colour, shows how serious an alert is: an alarm that sounds fills the whole panel, a warning
//! that sounds has a heavy frame, and an alert that is dealt with has a light one. All colours
//! have one hue with little blue (to keep night vision as far as a lit screen allows) and differ only in
//! lightness, so that every eye can tell them apart.
//!
//! # Bounds
//! Whatever the input, the picture is well-formed and the PNG is at most [`LARGEST_PNG`] bytes: words are
//! cut to their place, points are thinned, and texts from outside are cleaned and escaped.

mod bands;
mod chart;
mod lettering;
mod raster;
mod scale;
mod shapes;
pub(crate) mod writer;

use serde::{Deserialize, Serialize};

pub use raster::{LARGEST_PNG, PlotError, png};

use crate::alert::hazard::AlertView;
use crate::chart::sketch::Sketch;
use crate::speech::{Language, Wording};
use crate::time::{ShipClock, Timestamp};
use crate::units::LengthUnit;
use crate::watch::state::WatchState;
use crate::watch::track::Sight;
use shapes::Shape;
use writer::{Rect, Svg};

/// The content of the picture.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct PictureInput {
    /// The current time.
    pub time: Timestamp,
    /// Alerts that are not normal, most serious first.
    pub alerts: Vec<AlertView>,
    /// The state.
    pub picture: WatchState,
    /// The boat and her track.
    pub sight: Sight,
    /// The ship's clock.
    #[serde(default)]
    pub clock: ShipClock,
    /// The crew's unit of lengths.
    #[serde(default)]
    pub lengths: LengthUnit,
    /// The crew's language.
    #[serde(default)]
    pub language: Language,
    /// The charts around the circle in force, coarsest first; empty without charts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub charts: Vec<Sketch>,
}

impl PictureInput {
    /// How messages to the crew are written, except for the clock, which is [`Self::clock`].
    #[must_use]
    pub fn wording(&self) -> Wording {
        Wording::of(self.lengths, self.language)
    }
}

/// The picture as an SVG document of [`WIDTH`] × [`HEIGHT`] units. It names its colours and its font; a
/// viewer without the font uses another fixed-width one.
#[must_use]
pub fn svg(input: &PictureInput) -> String {
    drawn(input, Svg::new(WIDTH, HEIGHT)).finish()
}

/// The same as a list of shapes.
fn shapes(input: &PictureInput) -> Vec<Shape> {
    drawn(input, Svg::new(WIDTH, HEIGHT).keeping_shapes()).into_shapes()
}

fn drawn(input: &PictureInput, mut svg: Svg) -> Svg {
    svg.about(&bands::title(input), &bands::description(input));
    let top = bands::alert(&mut svg, input, MARGIN);
    let below = HEIGHT - bands::FIGURES_HEIGHT - MARGIN;
    let room = Rect {
        x: MARGIN,
        y: top + GAP,
        width: WIDTH - 2.0 * MARGIN,
        height: below - GAP - (top + GAP),
    };
    chart::draw(&mut svg, input, room);
    bands::figures(&mut svg, input, below);
    svg
}

/// Width of the picture.
pub const WIDTH: f64 = 720.0;
/// Height of the picture: 3:5, which fills most of a telephone held upright.
pub const HEIGHT: f64 = 1200.0;
const MARGIN: f64 = 20.0;
const GAP: f64 = 14.0;

#[cfg(test)]
mod tests;
