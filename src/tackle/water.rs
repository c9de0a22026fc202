//! How deep the water is now, and how deep it gets over the stay: from soundings with any
//! reference, and from any source of the tide.
//!
//! **Depth of water.** Below the surface: the figure itself; below the transducer: plus the
//! transducer's depth (or draught less the keel's depth under it); below the keel: plus the
//! draught; a figure of the chart: plus the height of tide. With `d` the depth now and `t` the
//! height of tide now, the depth at a height `T` is `d - t + T` and the depth at chart datum is
//! `d - t`: for rise and fall, heights above any level are enough; a figure of the chart needs
//! heights above chart datum.
//!
//! Weakness: the sounding is taken at the boat and not where the anchor will lie; a predicted tide
//! does not include the weather. Every result names the source of the tide, with the cost of
//! relying on it. Tests: `every_reference_gives_the_same_water`, `the_datum_falls_out`.

use serde::{Deserialize, Serialize};

use crate::boat::Boat;
use crate::speech::plans::TideCost;
use crate::speech::remarks::TideBy;
use crate::time::Timestamp;
use crate::units::Metres;

/// The reference from which a depth is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Below {
    /// The surface: the depth of water.
    Surface,
    /// The sounder's transducer.
    Transducer,
    /// The lowest point of the keel.
    Keel,
    /// Chart datum: a figure of the chart.
    Datum,
}

/// A depth as it was read, with its reference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sounding {
    /// The figure.
    pub depth: Metres,
    /// The reference.
    pub below: Below,
}

/// The figure of the boat that is missing to turn a sounding into a depth of water.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Missing {
    /// For a depth below the keel.
    #[error("a depth below the keel wants the draught")]
    Draught,
    /// For a depth below the transducer.
    #[error("a depth below the transducer wants the transducer's depth below the surface")]
    TransducerDepth,
}

/// Heights of the tide over the stay, above one level: the form in which the plan takes the
/// server's figures, a station's prediction or the crew's entry.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Tide {
    /// At the moment of the sounding.
    pub now: Metres,
    /// The highest of the stay.
    pub highest: Metres,
    /// The lowest of the stay.
    pub lowest: Metres,
    /// Whether the level is chart datum; otherwise it is an arbitrary one.
    pub above_datum: bool,
    /// The source.
    pub source: TideSource,
}

/// The source of the tide.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum TideSource {
    /// The data server, in its words.
    Server(String),
    /// windrode's own prediction, with the station's name.
    Prediction(String),
    /// The crew typed it in.
    Typed,
}

/// The depths of a stay.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Depths {
    /// Now.
    pub now: Metres,
    /// At the highest water of the stay; the same as now if no tide is known.
    pub highest: Metres,
    /// At the lowest water of the stay; the same as now if no tide is known.
    pub lowest: Metres,
    /// At chart datum, if heights above it are known.
    pub at_datum: Option<Metres>,
}

impl Sounding {
    /// The depths over the stay.
    pub fn depths(&self, boat: &Boat, tide: Option<&Tide>) -> Result<Depths, Missing> {
        let figures = boat.figures();
        let limited = |depth: Metres| depth.max(Metres::ZERO).min(DEEPEST);
        let read = limited(self.depth);
        let now = tide.map_or(Metres::ZERO, |tide| height(tide.now));
        let water = match self.below {
            Below::Surface => read,
            Below::Keel => read + height(boat.draught().ok_or(Missing::Draught)?),
            Below::Transducer => {
                let by_keel =
                    || Some(height(figures.draught?) - height(figures.transducer_to_keel?));
                let depth = figures.transducer_depth.map(height).or_else(by_keel);
                read + depth.ok_or(Missing::TransducerDepth)?
            }
            Below::Datum => read + now,
        };
        let at = |tide: Metres| limited(water - now + height(tide));
        Ok(Depths {
            now: limited(water),
            highest: tide.map_or(water, |tide| at(tide.highest.max(tide.now))),
            lowest: tide.map_or(water, |tide| at(tide.lowest.min(tide.now))),
            at_datum: match (self.below, tide) {
                (Below::Datum, _) => Some(read),
                (_, Some(tide)) if tide.above_datum => Some(water - now),
                _ => None,
            },
        })
    }
}

impl Tide {
    /// From heights over the stay, one every few minutes, and the present one; `None` without any.
    #[must_use]
    pub fn of_heights(
        now: Metres,
        heights: impl IntoIterator<Item = Metres>,
        source: TideSource,
    ) -> Option<Self> {
        let mut heights = heights.into_iter();
        let first = heights.next()?;
        let (lowest, highest) = heights.fold((first.min(now), first.max(now)), |(low, high), h| {
            (low.min(h), high.max(h))
        });
        Some(Self {
            now,
            highest,
            lowest,
            above_datum: true,
            source,
        })
    }

    /// A rise and a fall of this much from now on.
    #[must_use]
    pub fn rise_and_fall(rise: Metres, fall: Metres) -> Self {
        Self {
            now: Metres::ZERO,
            highest: height(rise.max(Metres::ZERO)),
            lowest: Metres::ZERO - height(fall.max(Metres::ZERO)),
            above_datum: false,
            source: TideSource::Typed,
        }
    }
}

impl TideSource {
    /// In one word, for programs.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Server(_) => "server",
            Self::Prediction(_) => "prediction",
            Self::Typed => "typed",
        }
    }

    /// The source, for the crew.
    #[must_use]
    pub fn told(&self) -> TideBy {
        match self.clone() {
            Self::Server(words) => TideBy::Server { words },
            Self::Prediction(words) => TideBy::Prediction { words },
            Self::Typed => TideBy::Typed,
        }
    }

    /// The cost of relying on it.
    #[must_use]
    pub const fn cost(&self) -> TideCost {
        match self {
            Self::Server(_) => TideCost::Server,
            Self::Prediction(_) => TideCost::Prediction,
            Self::Typed => TideCost::Typed,
        }
    }
}

/// Noon of the day after `now`, by a clock that is this many seconds ahead of UTC: the end of the
/// stay if none is entered.
#[must_use]
pub fn noon_tomorrow(now: Timestamp, ahead_of_utc: i32) -> Timestamp {
    let ahead = i64::from(ahead_of_utc) * 1000;
    let local = now.as_millis().saturating_add(ahead);
    let midnight = local.saturating_sub(local.rem_euclid(DAY));
    let noon = midnight.saturating_add(DAY + DAY / 2);
    Timestamp::from_millis(noon.saturating_sub(ahead))
}

/// Larger heights and offsets do not occur with any tide or boat.
fn height(value: Metres) -> Metres {
    value.max(Metres::of(-MOST)).min(Metres::of(MOST))
}

const MOST: f64 = 1000.0;
const DEEPEST: Metres = Metres::of(12_000.0);
const DAY: i64 = 86_400_000;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::BoatFigures;

    fn boat() -> Boat {
        Boat::new(BoatFigures {
            draught: Some(Metres::of(1.9)),
            transducer_depth: Some(Metres::of(0.5)),
            ..BoatFigures::default()
        })
    }

    fn water(depth: f64, below: Below, tide: Option<&Tide>) -> Depths {
        let depth = Metres::of(depth);
        Sounding { depth, below }.depths(&boat(), tide).unwrap()
    }

    /// Above chart datum: 1.2 m now, 3.5 m and 0.4 m over the stay.
    fn tide() -> Tide {
        let heights = [1.2, 3.5, 0.4, 3.1].map(Metres::of);
        let source = TideSource::Prediction("Tern Haven".to_owned());
        Tide::of_heights(Metres::of(1.2), heights, source).unwrap()
    }

    #[test]
    fn every_reference_gives_the_same_water() {
        let tide = tide();
        for (depth, below) in [
            (6.2, Below::Surface),
            (5.7, Below::Transducer),
            (4.3, Below::Keel),
            (5.0, Below::Datum),
        ] {
            let depths = water(depth, below, Some(&tide));
            assert!((depths.now.get() - 6.2).abs() < 1e-9, "{below:?}");
            assert!((depths.highest.get() - 8.5).abs() < 1e-9, "{below:?}");
            assert!((depths.lowest.get() - 5.4).abs() < 1e-9, "{below:?}");
            assert!((depths.at_datum.unwrap().get() - 5.0).abs() < 1e-9);
        }
    }

    #[test]
    fn the_datum_falls_out() {
        let typed = Tide::rise_and_fall(Metres::of(2.3), Metres::of(0.8));
        let (typed, told) = (
            water(6.2, Below::Surface, Some(&typed)),
            water(6.2, Below::Surface, Some(&tide())),
        );
        assert!((typed.highest.get() - told.highest.get()).abs() < 1e-9);
        assert!((typed.lowest.get() - told.lowest.get()).abs() < 1e-9);
        assert_eq!(typed.at_datum, None);
        let none = water(6.2, Below::Surface, None);
        assert_eq!((none.highest, none.lowest), (none.now, none.now));
    }

    #[test]
    fn missing_figures_are_named() {
        let sounding = |below| Sounding {
            depth: Metres::of(4.0),
            below,
        };
        let unknown = Boat::default();
        assert_eq!(
            sounding(Below::Keel).depths(&unknown, None),
            Err(Missing::Draught)
        );
        assert_eq!(
            sounding(Below::Transducer).depths(&unknown, None),
            Err(Missing::TransducerDepth)
        );
        assert!(sounding(Below::Surface).depths(&unknown, None).is_ok());
        // Draught less the keel's depth below the transducer gives the same.
        let by_keel = Boat::new(BoatFigures {
            draught: Some(Metres::of(1.9)),
            transducer_to_keel: Some(Metres::of(1.4)),
            ..BoatFigures::default()
        });
        let depths = sounding(Below::Transducer).depths(&by_keel, None).unwrap();
        assert!((depths.now.get() - 4.5).abs() < 1e-9);
    }

    /// A sounding at 22:30 of a summer evening two hours ahead of UTC: noon is 13½ h away there.
    #[test]
    fn noon_tomorrow_is_noon_by_the_boat_s_clock() {
        let at = |text: &str| text.parse::<Timestamp>().unwrap();
        let now = at("2026-06-01T20:30:00Z");
        assert_eq!(noon_tomorrow(now, 7200), at("2026-06-02T10:00:00Z"));
        // 23:30 UTC is already tomorrow.
        let late = at("2026-06-01T23:30:00Z");
        assert_eq!(noon_tomorrow(late, 7200), at("2026-06-03T10:00:00Z"));
        assert_eq!(noon_tomorrow(late, -18_000), at("2026-06-02T17:00:00Z"));
    }
}
