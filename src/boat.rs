//! What is true of this boat: her dimensions, the positions of the antenna and the bow roller, the
//! reference of the depth, the rode she carries, and her windage.
//!
//! Figures come from the configuration or from the server (`design.*`, `sensors.gps.*`,
//! `environment.depth.surfaceToTransducer`); the configuration wins.

pub mod tern;

use serde::{Deserialize, Serialize};

use crate::geodesy::Offset;
use crate::observation::Fact;
use crate::units::{Bearing, Metres};

/// Figures about the boat from one source; unknown figures are `None`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct BoatFigures {
    /// Length over all.
    pub length: Option<Metres>,
    /// Greatest beam.
    pub beam: Option<Metres>,
    /// Greatest draught, surface to the lowest point of the keel.
    pub draught: Option<Metres>,
    /// Height of the bow roller above the water.
    pub roller_height: Option<Metres>,
    /// How far the bow roller reaches ahead of the stem.
    pub roller_ahead: Option<Metres>,
    /// Antenna aft of the stem.
    pub antenna_from_bow: Option<Metres>,
    /// Antenna to **port** of the centreline.
    pub antenna_from_centre: Option<Metres>,
    /// Depth of the transducer below the surface.
    pub transducer_depth: Option<Metres>,
    /// Keel below the transducer.
    pub transducer_to_keel: Option<Metres>,
    /// How far she carries her way from 2 kn after the engine is stopped.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub way: Option<Metres>,
    /// All the rode aboard.
    pub rode_aboard: Option<Metres>,
    /// Height of the deck above the water, amidships.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub freeboard: Option<Metres>,
    /// Height of the masthead above the water.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mast_height: Option<Metres>,
}

/// The boat as the watch sees her.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Boat {
    configured: BoatFigures,
    reported: BoatFigures,
}

/// Where the antenna is relative to another point of the boat, and how certain that is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeverArm {
    /// From the antenna to the point, on the ground.
    pub offset: Offset,
    /// How far the point may be from there because heading or offsets are not known.
    pub doubt: Metres,
}

impl Boat {
    /// A boat with the configured figures; [`Boat::take`] adds the server's.
    #[must_use]
    pub fn new(configured: BoatFigures) -> Self {
        Self {
            configured,
            reported: BoatFigures::default(),
        }
    }

    /// Takes a figure that the server reported; facts that are not about the boat are ignored.
    pub fn take(&mut self, fact: &Fact) {
        let positive = |value: &Option<Metres>| value.filter(|m| m.get() > 0.0);
        let reported = &mut self.reported;
        match fact {
            Fact::Length(v) => reported.length = positive(v).or(reported.length),
            Fact::Beam(v) => reported.beam = positive(v).or(reported.beam),
            Fact::Draught(v) => reported.draught = positive(v).or(reported.draught),
            Fact::AntennaFromBow(v) => {
                reported.antenna_from_bow = v.or(reported.antenna_from_bow);
            }
            Fact::AntennaFromCentre(v) => {
                reported.antenna_from_centre = v.or(reported.antenna_from_centre);
            }
            Fact::SurfaceToTransducer(v) => {
                reported.transducer_depth = v.or(reported.transducer_depth);
            }
            Fact::TransducerToKeel(v) => {
                reported.transducer_to_keel = v.or(reported.transducer_to_keel);
            }
            _ => {}
        }
    }

    /// The figures in force: the configured ones, then the reported ones.
    #[must_use]
    pub fn figures(&self) -> BoatFigures {
        let (c, r) = (&self.configured, &self.reported);
        BoatFigures {
            length: c.length.or(r.length),
            beam: c.beam.or(r.beam),
            draught: c.draught.or(r.draught),
            roller_height: c.roller_height.or(r.roller_height),
            roller_ahead: c.roller_ahead.or(r.roller_ahead),
            antenna_from_bow: c.antenna_from_bow.or(r.antenna_from_bow),
            antenna_from_centre: c.antenna_from_centre.or(r.antenna_from_centre),
            transducer_depth: c.transducer_depth.or(r.transducer_depth),
            transducer_to_keel: c.transducer_to_keel.or(r.transducer_to_keel),
            way: c.way.or(r.way),
            rode_aboard: c.rode_aboard.or(r.rode_aboard),
            freeboard: c.freeboard.or(r.freeboard),
            mast_height: c.mast_height.or(r.mast_height),
        }
    }

    /// Height of the bow roller above the water, 1 m when it is not entered (common practice, no
    /// source: cruising boats' rollers sit 0.8-1.8 m up).
    #[must_use]
    pub fn roller_height(&self) -> Metres {
        self.figures()
            .roller_height
            .unwrap_or(DEFAULT_ROLLER_HEIGHT)
    }

    /// From the surface to the lowest point of the keel.
    #[must_use]
    pub fn draught(&self) -> Option<Metres> {
        let figures = self.figures();
        figures.draught.or_else(|| {
            let (transducer, keel) = figures.transducer_depth.zip(figures.transducer_to_keel)?;
            // A server may send anything, even values that overflow.
            Metres::new(transducer.get() + keel.get())
        })
    }

    /// From the antenna to the bow roller for a boat with this `heading`.
    ///
    /// Without a heading the roller is somewhere on a circle around the antenna: no offset is guessed, and
    /// the radius becomes doubt. Without the antenna's place the whole length is doubt, because antennas
    /// are also mounted on the taffrail.
    #[must_use]
    pub fn antenna_to_roller(&self, heading: Option<Bearing>) -> LeverArm {
        let figures = self.figures();
        let ahead = figures
            .antenna_from_bow
            .map(|from_bow| from_bow + figures.roller_ahead.unwrap_or_default());
        self.lever(ahead, heading, self.length_or_default())
    }

    /// From the antenna to midships on the centreline.
    #[must_use]
    pub fn antenna_to_centre(&self, heading: Option<Bearing>) -> LeverArm {
        let figures = self.figures();
        let ahead = figures
            .antenna_from_bow
            .zip(figures.length)
            .map(|(from_bow, length)| from_bow - length * 0.5);
        self.lever(ahead, heading, self.length_or_default() * 0.5)
    }

    /// Horizontal distance from the bow roller to midships.
    #[must_use]
    pub fn roller_to_centre(&self) -> Metres {
        let figures = self.figures();
        self.length_or_default() * 0.5 + figures.roller_ahead.unwrap_or_default()
    }

    /// Length over all, 11 m when it is not entered.
    #[must_use]
    pub fn length_or_default(&self) -> Metres {
        self.figures().length.unwrap_or(DEFAULT_LENGTH)
    }

    fn lever(&self, ahead: Option<Metres>, heading: Option<Bearing>, unknown: Metres) -> LeverArm {
        // The antenna sits to port by `from_centre`, so the centreline lies to starboard of it.
        let starboard = self.figures().antenna_from_centre.unwrap_or_default();
        match (ahead, heading) {
            (Some(ahead), Some(heading)) => LeverArm {
                offset: Offset::from_boat(ahead, starboard, heading),
                doubt: Metres::ZERO,
            },
            (Some(ahead), None) => LeverArm {
                offset: Offset::ZERO,
                doubt: Metres::of(ahead.get().hypot(starboard.get())),
            },
            (None, _) => LeverArm {
                offset: Offset::ZERO,
                doubt: unknown,
            },
        }
    }
}

const DEFAULT_ROLLER_HEIGHT: Metres = Metres::of(1.0);
const DEFAULT_LENGTH: Metres = Metres::of(11.0);

#[cfg(test)]
mod tests {
    use super::*;

    fn tern() -> Boat {
        let mut boat = Boat::new(BoatFigures {
            roller_ahead: Some(Metres::of(0.4)),
            ..BoatFigures::default()
        });
        boat.take(&Fact::Length(Some(Metres::of(11.2))));
        boat.take(&Fact::AntennaFromBow(Some(Metres::of(9.1))));
        boat.take(&Fact::AntennaFromCentre(Some(Metres::of(0.3))));
        boat
    }

    #[test]
    fn the_roller_lies_ahead_of_the_antenna_and_turns_with_the_boat() {
        let arm = tern().antenna_to_roller(Some(Bearing::from_degrees(0.0)));
        // 9.1 m to the stem, 0.4 m on to the roller; the antenna 0.3 m to port.
        assert!((arm.offset.north - 9.5).abs() < 1e-9 && (arm.offset.east - 0.3).abs() < 1e-9);
        let arm = tern().antenna_to_roller(Some(Bearing::from_degrees(180.0)));
        assert!((arm.offset.north + 9.5).abs() < 1e-9 && (arm.offset.east + 0.3).abs() < 1e-9);
    }

    #[test]
    fn without_heading_the_offset_is_doubt_not_a_guess() {
        let arm = tern().antenna_to_roller(None);
        assert_eq!(arm.offset, Offset::ZERO);
        assert!((arm.doubt.get() - 9.5_f64.hypot(0.3)).abs() < 1e-9);
    }

    #[test]
    fn the_configuration_wins_over_the_server() {
        let mut boat = Boat::new(BoatFigures {
            draught: Some(Metres::of(2.1)),
            ..BoatFigures::default()
        });
        boat.take(&Fact::Draught(Some(Metres::of(1.9))));
        assert_eq!(boat.figures().draught, Some(Metres::of(2.1)));
    }

    #[test]
    fn nonsense_dimensions_do_not_replace_good_ones() {
        let mut boat = tern();
        boat.take(&Fact::Length(Some(Metres::of(-3.0))));
        boat.take(&Fact::Length(None));
        assert_eq!(boat.figures().length, Some(Metres::of(11.2)));
    }
}
