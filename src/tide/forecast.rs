//! The tide at one station in the form that the watch and the plan need: its height now, and its highest
//! and lowest level during a stay.

use std::sync::Arc;

use super::Predictor;
use super::stations::{Catalogue, Station};
use crate::geodesy::Position;
use crate::time::Timestamp;
use crate::units::Metres;

/// A station's tide. Cheap to copy.
#[derive(Clone, Debug, PartialEq)]
pub struct Forecast {
    id: String,
    name: String,
    position: Position,
    datum: String,
    predictor: Arc<Predictor>,
}

/// Heights during a stay, above the station's datum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stay {
    /// The height at the start.
    pub now: Metres,
    /// The highest level, and when.
    pub highest: (Timestamp, Metres),
    /// The lowest level, and when.
    pub lowest: (Timestamp, Metres),
}

impl Forecast {
    /// The tide of a station of the catalogue; `None` when its standard station is not in the catalogue.
    #[must_use]
    pub fn new(catalogue: &Catalogue, station: &Station) -> Option<Self> {
        Some(Self {
            id: station.id.clone(),
            name: station.name.clone(),
            position: station.position,
            datum: catalogue.datum(station).to_owned(),
            predictor: Arc::new(catalogue.predictor(station)?),
        })
    }

    /// The station's id.
    #[must_use]
    pub fn id(&self) -> &str {
        &self.id
    }

    /// The station's name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The level that its heights refer to, such as `MLLW`.
    #[must_use]
    pub fn datum(&self) -> &str {
        &self.datum
    }

    /// The height at a moment.
    #[must_use]
    pub fn height(&self, time: Timestamp) -> Metres {
        self.predictor.height(time)
    }

    /// The highest and the lowest level during a stay.
    #[must_use]
    pub fn stay(&self, from: Timestamp, to: Timestamp) -> Stay {
        Stay {
            now: self.height(from),
            highest: self.predictor.highest(from, to),
            lowest: self.predictor.lowest(from, to),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn a_stay_holds_its_own_beginning_and_its_extremes() {
        let catalogue = Catalogue::bundled().unwrap();
        let boston = catalogue.find("noaa/8443970").unwrap();
        let forecast = Forecast::new(&catalogue, boston).unwrap();
        let from: Timestamp = "2026-06-01T18:00:00Z".parse().unwrap();
        let to = from.plus(Duration::from_hours(22));
        let stay = forecast.stay(from, to);
        assert_eq!(stay.now, forecast.height(from));
        // A range of about three metres (NOAA's station page, mean range 9.49 ft).
        let range = (stay.highest.1 - stay.lowest.1).get();
        assert!((2.0..5.0).contains(&range), "{range}");
        for (time, _) in [stay.highest, stay.lowest] {
            assert!(from <= time && time <= to);
        }
        let mut time = from;
        while time <= to {
            let height = forecast.height(time);
            assert!(stay.lowest.1 <= height && height <= stay.highest.1);
            time = time.plus(Duration::from_mins(10));
        }
        assert_eq!((forecast.id(), forecast.datum()), ("noaa/8443970", "MLLW"));
    }
}
