//! Publishes what a chart display draws: the swinging circle as a region, the anchor and the berth as
//! waypoints, through the server's resources interface. Before the anchor is let go, the region is
//! the circle planned at the berth, with its figures; when the anchor is let go, the region moves to
//! the anchor.
//!
//! Each resource is a file on the server and is sent to every display, so it is written only when it
//! has moved or grown by more than a metre, and deleted when there is nothing to draw. Resources
//! outlive us and the server: at the start the server's contents are unknown, so the first picture
//! writes or deletes each resource. The ids come from the configuration and are not made up here, so
//! that a restart overwrites the old drawing instead of adding another.
//!
//! The circle is a closed polygon of [`CORNERS`] points, counter-clockwise (RFC 7946, 3.1.6), each
//! on the geodesic circle; the polygon's sides lie inside it by at most `1 - cos(π/72)` = 0.1 % of
//! the radius. Weakness: a circle across the 180° meridian is not cut in two as RFC 7946, 3.1.9
//! asks; its longitudes run on past ±180 instead.

use serde_json::{Value, json};

use super::figures::rounded;
use crate::geodesy::Position;
use crate::speech::Wording;
use crate::speech::picture::Drawing;
use crate::units::{Bearing, Metres};
use crate::watch::state::WatchState;

/// Corners of the drawn circle.
pub const CORNERS: u32 = 72;

/// One request to the server's resources.
#[derive(Clone, Debug, PartialEq)]
pub struct ResourceWrite {
    /// The kind of resource.
    pub kind: ResourceKind,
    /// The id: a plain UUID.
    pub id: String,
    /// The value to store; `None` deletes the resource, and it is no failure if it did not exist.
    pub body: Option<Value>,
}

/// The kinds of resources we write.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ResourceKind {
    /// An area.
    Regions,
    /// A point.
    Waypoints,
}

impl ResourceKind {
    /// The word for the kind in the path `/signalk/v2/api/resources/<word>/<id>`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Regions => "regions",
            Self::Waypoints => "waypoints",
        }
    }
}

/// The ids of our three resources: plain UUIDs of version 4, kept from run to run.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ResourceIds {
    /// The id of the swinging circle.
    pub circle: String,
    /// The id of the anchor.
    pub anchor: String,
    /// The id of the berth.
    pub berth: String,
}

/// Decides what to write. Without ids, it writes nothing.
#[derive(Clone, Debug, Default)]
pub struct Resources {
    ids: Option<ResourceIds>,
    say: Wording,
    circle: Drawn<DrawnCircle>,
    anchor: Drawn<Position>,
    berth: Drawn<Position>,
}

/// What is stored on the server, as far as we know.
#[derive(Clone, Debug, Default, PartialEq)]
enum Drawn<T> {
    #[default]
    Unknown,
    Nothing,
    Something(T),
}

impl<T: Clone> Drawn<T> {
    /// Takes what has to be drawn, and returns whether the change is worth a request.
    fn take(&mut self, wanted: Option<&T>, moved: impl Fn(&T, &T) -> bool) -> bool {
        let write = match (&*self, wanted) {
            (Self::Nothing, None) => false,
            (Self::Something(old), Some(new)) => moved(old, new),
            (Self::Unknown, _) | (Self::Nothing, Some(_)) | (Self::Something(_), None) => true,
        };
        if write {
            *self = wanted.map_or(Self::Nothing, |wanted| Self::Something(wanted.clone()));
        }
        write
    }
}

impl Resources {
    /// With ids, or `None` to draw nothing; descriptions are in the crew's language.
    #[must_use]
    pub fn new(ids: Option<ResourceIds>, say: Wording) -> Self {
        Self {
            ids,
            say,
            ..Self::default()
        }
    }

    /// Another server, or a failed request: what is stored there is unknown.
    pub fn forget(&mut self) {
        self.circle = Drawn::Unknown;
        self.anchor = Drawn::Unknown;
        self.berth = Drawn::Unknown;
    }

    /// The requests that bring the server's drawing up to date with the picture.
    pub fn update(&mut self, picture: &WatchState) -> Vec<ResourceWrite> {
        let Some(ids) = &self.ids else {
            return Vec::new();
        };
        let mut writes = Vec::new();
        let circle = DrawnCircle::of(picture, &self.say);
        if self.circle.take(circle.as_ref(), DrawnCircle::differs) {
            writes.push(ResourceWrite {
                kind: ResourceKind::Regions,
                id: ids.circle.clone(),
                body: circle.map(|circle| circle.region(&self.say)),
            });
        }
        if self.anchor.take(picture.anchor.as_ref(), far) {
            writes.push(ResourceWrite {
                kind: ResourceKind::Waypoints,
                id: ids.anchor.clone(),
                body: picture
                    .anchor
                    .map(|at| waypoint((Drawing::Anchor, Drawing::AnchorText), at, &self.say)),
            });
        }
        if self.berth.take(picture.berth.as_ref(), far) {
            writes.push(ResourceWrite {
                kind: ResourceKind::Waypoints,
                id: ids.berth.clone(),
                body: picture
                    .berth
                    .map(|at| waypoint((Drawing::Berth, Drawing::BerthText), at, &self.say)),
            });
        }
        writes
    }
}

/// A circle on the chart: the planned one until the anchor is down, then the one in which she may
/// swing.
#[derive(Clone, Debug, PartialEq)]
struct DrawnCircle {
    centre: Position,
    radius: Metres,
    /// The figures of the planned circle.
    plan: Option<String>,
}

impl DrawnCircle {
    fn of(picture: &WatchState, say: &Wording) -> Option<Self> {
        if let Some((centre, radius)) = picture.anchor.zip(picture.max_radius) {
            return Some(Self {
                centre,
                radius,
                plan: None,
            });
        }
        let planned = picture.planned.as_ref()?;
        Some(Self {
            centre: picture.berth?,
            radius: planned.radius?,
            plan: Some(planned.told().words(say)),
        })
    }

    /// Whether the change is worth a request.
    fn differs(old: &Self, new: &Self) -> bool {
        far(&old.centre, &new.centre)
            || (old.radius - new.radius).get().abs() > WORTH_WRITING
            || old.plan != new.plan
    }

    fn region(self, say: &Wording) -> Value {
        let mut region = swinging_circle(self.centre, self.radius, say);
        if let Some(plan) = self.plan {
            region["name"] = "Planned swinging circle".into();
            region["description"] = plan.into();
        }
        region
    }
}

/// The swinging circle as a region: a closed polygon of [`CORNERS`] corners about `centre`.
#[must_use]
pub fn swinging_circle(centre: Position, radius: Metres, say: &Wording) -> Value {
    let corner = |n: u32| {
        let turn = -f64::from(n % CORNERS) / f64::from(CORNERS) * 360.0;
        let at = centre.moved(Bearing::from_degrees(turn), radius);
        let mut longitude = at.longitude();
        // Keep the ring in one piece across the 180° meridian.
        if longitude - centre.longitude() > 180.0 {
            longitude -= 360.0;
        } else if centre.longitude() - longitude > 180.0 {
            longitude += 360.0;
        }
        json!([rounded(longitude, 1e7), rounded(at.latitude(), 1e7)])
    };
    let ring: Vec<Value> = (0..=CORNERS).map(corner).collect();
    json!({
        "name": Drawing::Circle.words(say),
        "description": Drawing::CircleText { radius }.words(say),
        "feature": {
            "type": "Feature",
            "geometry": {"type": "Polygon", "coordinates": [ring]},
            "properties": {},
        },
    })
}

/// A waypoint with a name.
#[must_use]
pub fn waypoint((name, text): (Drawing, Drawing), at: Position, say: &Wording) -> Value {
    json!({
        "name": name.words(say),
        "description": text.words(say),
        "feature": {
            "type": "Feature",
            "geometry": {
                "type": "Point",
                "coordinates": [rounded(at.longitude(), 1e7), rounded(at.latitude(), 1e7)],
            },
            "properties": {},
        },
    })
}

fn far(old: &Position, new: &Position) -> bool {
    old.distance_to(*new).get() > WORTH_WRITING
}

/// Metres. Chosen: at harbour scale a display shows about a metre per pixel.
const WORTH_WRITING: f64 = 1.0;

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn bay() -> Position {
        Position::new(59.8539, 23.26).unwrap()
    }

    fn resources() -> Resources {
        Resources::new(
            Some(ResourceIds {
                circle: "b5e8a5b2-3a0e-4b6f-9d2a-0a1b2c3d4e5f".into(),
                anchor: "5f0c6a52-5d54-4c6b-8f0e-3c3a0b0f4a11".into(),
                berth: "0b8f2a7e-1c55-4f57-9a0b-6a2f5f1a2b3c".into(),
            }),
            Wording::default(),
        )
    }

    fn anchored(at: Position, radius: f64) -> WatchState {
        WatchState {
            anchor: Some(at),
            max_radius: Some(Metres::of(radius)),
            ..WatchState::default()
        }
    }

    #[test]
    fn the_circle_is_closed_counter_clockwise_and_of_the_right_size() {
        let body = swinging_circle(bay(), Metres::of(52.0), &Wording::default());
        let ring: Vec<(f64, f64)> = body["feature"]["geometry"]["coordinates"][0]
            .as_array()
            .unwrap()
            .iter()
            .map(|c| (c[0].as_f64().unwrap(), c[1].as_f64().unwrap()))
            .collect();
        assert_eq!(ring.len(), 73);
        assert_eq!(ring.first(), ring.last());
        for &(longitude, latitude) in &ring {
            let corner = Position::new(latitude, longitude).unwrap();
            // The rounding to 1e-7 degree is 1 cm.
            assert!((bay().distance_to(corner).get() - 52.0).abs() < 0.02);
        }
        let doubled_area: f64 = ring
            .windows(2)
            .map(|w| w[0].0 * w[1].1 - w[1].0 * w[0].1)
            .sum();
        assert!(
            doubled_area > 0.0,
            "RFC 7946 wants the outer ring counter-clockwise"
        );
        assert_eq!(
            body["description"],
            "The boat's centre stays within 52 m of the anchor"
        );
        let feet = Wording::in_unit(crate::units::LengthUnit::Feet);
        assert_eq!(
            swinging_circle(bay(), Metres::of(52.0), &feet)["description"],
            "The boat's centre stays within 171 ft of the anchor"
        );
    }

    #[test]
    fn a_circle_across_the_date_line_stays_in_one_piece() {
        let body = swinging_circle(
            Position::new(-17.0, 179.9999).unwrap(),
            Metres::of(60.0),
            &Wording::default(),
        );
        let ring = body["feature"]["geometry"]["coordinates"][0]
            .as_array()
            .unwrap()
            .clone();
        let longitudes: Vec<f64> = ring.iter().map(|c| c[0].as_f64().unwrap()).collect();
        assert!(longitudes.iter().all(|l| (179.99..180.01).contains(l)));
        assert!(longitudes.iter().any(|l| *l > 180.0));
    }

    #[test]
    fn the_first_picture_clears_what_an_earlier_run_left() {
        let mut resources = resources();
        let writes = resources.update(&WatchState::default());
        assert_eq!(writes.len(), 3);
        assert!(writes.iter().all(|write| write.body.is_none()));
        assert!(resources.update(&WatchState::default()).is_empty());
    }

    #[test]
    fn only_a_move_of_more_than_a_metre_is_written() {
        let mut resources = resources();
        let _ = resources.update(&WatchState::default());
        let writes = resources.update(&anchored(bay(), 52.0));
        let kinds: Vec<_> = writes
            .iter()
            .map(|w| (w.kind.name(), w.body.is_some()))
            .collect();
        assert_eq!(kinds, [("regions", true), ("waypoints", true)]);
        let near = bay().moved(Bearing::from_degrees(45.0), Metres::of(0.9));
        assert!(resources.update(&anchored(near, 52.9)).is_empty());
        // Small steps add up: the distance from the last drawing counts.
        let farther = bay().moved(Bearing::from_degrees(45.0), Metres::of(1.1));
        assert_eq!(resources.update(&anchored(farther, 52.9)).len(), 2);
        let grown = resources.update(&anchored(farther, 54.0));
        assert_eq!(grown.len(), 1);
        assert_eq!(grown[0].kind, ResourceKind::Regions);
        let weighed = resources.update(&WatchState::default());
        assert_eq!(weighed.len(), 2);
        assert!(weighed.iter().all(|write| write.body.is_none()));
    }

    #[test]
    fn the_berth_is_a_waypoint_in_the_order_of_geojson() {
        let mut resources = resources();
        let picture = WatchState {
            berth: Some(bay()),
            ..WatchState::default()
        };
        let writes = resources.update(&picture);
        let body = writes.last().unwrap().body.as_ref().unwrap();
        assert_eq!(body["name"], "Berth");
        assert_eq!(
            body["feature"]["geometry"]["coordinates"],
            json!([23.26, 59.8539])
        );
        resources.forget();
        assert_eq!(resources.update(&picture).len(), 3);
        assert!(
            Resources::new(None, Wording::default())
                .update(&picture)
                .is_empty()
        );
    }
}
