//! The picture: how she lies, at a glance, at night, on a telephone at arm's length.
//!
//! [`svg`] writes it and [`png()`] makes pixels of it, with letters of its own (no font of the
//! machine is asked). It shows what is known and says what is not: no boat without a fix, no bow
//! without a heading.
//!
//! # How it is read
//! At the top the gravest alert with its number; then the chart, north up: the swinging circle as
//! a roped ring, the reach as a dotted one, the anchor, the rode, the boat to scale, her track of
//! the last hour, the brighter the younger; before the anchor is let go the berth and the circle planned there. With charts aboard the
//! ground lies below all that: the shoaler the brighter, what is too shoal for this boat hatched, what no chart covers dotted, dangers
//! as crosses, the least depth of the circle as a ring with a dot and its depth at low water; below, the figures, the time in UTC and the caution.
//!
//! Gravity is told by shape, not by colour: what sounds as an alarm fills the whole panel, a
//! warning that sounds has a heavy frame, what is seen to a light one. All colours are of one hue
//! with little blue (so that night vision is kept as far as a lit screen allows) and differ in
//! lightness alone, so they can be told apart by every eye.
//!
//! # Bounds
//! Whatever comes in, the picture is well-formed and the PNG at most [`LARGEST_PNG`] bytes: words
//! are cut to their place, points thinned, and texts that came from elsewhere are cleaned and
//! escaped.

mod bands;
mod chart;
mod lettering;
mod raster;
mod scale;
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
use writer::{Rect, Svg};

/// What is drawn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct PictureInput {
    /// The moment.
    pub time: Timestamp,
    /// Alerts that are not normal, gravest first.
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
    /// What the charts have about the circle that counts, the coarsest first; empty without charts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub charts: Vec<Sketch>,
}

impl PictureInput {
    /// How the crew is spoken to, but for the clock, which is [`Self::clock`].
    #[must_use]
    pub fn wording(&self) -> Wording {
        Wording {
            lengths: self.lengths,
            language: self.language,
            ..Wording::default()
        }
    }
}

/// The picture as an SVG document of [`WIDTH`] × [`HEIGHT`] units. Colours and letters are named
/// in it; a viewer without the font takes another of fixed width.
#[must_use]
pub fn svg(input: &PictureInput) -> String {
    let mut svg = Svg::new(WIDTH, HEIGHT);
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
    svg.finish()
}

/// Width of the picture.
pub const WIDTH: f64 = 720.0;
/// Height of the picture: 3:5, which fills most of a telephone held upright.
pub const HEIGHT: f64 = 1200.0;
const MARGIN: f64 = 20.0;
const GAP: f64 = 14.0;

#[cfg(test)]
mod tests;
