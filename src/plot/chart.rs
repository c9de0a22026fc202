//! The chart: circle, reach, anchor, rode, boat and track to scale, north up.

mod ground;
mod labels;
mod strip;
mod track;

use strip::{north, strip};
use track::{age, band_of, recent, runs, stroke_piece};

use std::time::Duration;

use super::lettering;
use super::scale::{Extent, View};
use super::writer::{Point, Rect, Side, Stroke, Svg, ink, through};
use super::{GAP, PictureInput};
use crate::geodesy::{Offset, Position};
use crate::speech::picture::Picture;
use crate::units::{Bearing, Metres};
use crate::watch::state::WatchState;

/// Draws the chart into `frame`.
pub(super) fn draw(svg: &mut Svg, input: &PictureInput, frame: Rect) {
    svg.rect(frame, ink::NIGHT, Some(Stroke::of(ink::FAINT, 2.0)));
    let room = Rect {
        height: frame.height - STRIP,
        ..frame
    };
    let Some(scene) = Scene::of(input, room) else {
        let says = Picture::NoPlace.words(&input.wording());
        let size = lettering::size_to_fit(&says, 40.0, room.width - 2.0 * GAP);
        svg.words(&says, room.centre(), size, Side::Middle, ink::MIDDLE);
        north(svg, frame);
        return;
    };
    svg.clip(Rect {
        x: room.x + 1.0,
        y: room.y + 1.0,
        width: room.width - 2.0,
        height: room.height - 2.0,
    });
    ground::ground(svg, &input.charts, scene.view, room);
    scene.planned(svg);
    scene.neighbours(svg);
    scene.rings(svg);
    scene.track(svg);
    scene.berth(svg);
    scene.rode(svg);
    scene.boat(svg);
    scene.anchor(svg);
    scene.least_depth(svg);
    scene.labels(svg);
    svg.unclip();
    strip(svg, frame, scene.view.units, &input.wording());
    north(svg, frame);
}

/// The elements to draw, in units of the picture.
struct Scene<'a> {
    input: &'a PictureInput,
    room: Rect,
    view: View,
    anchor: Option<Point>,
    berth: Option<Point>,
    /// In units of the picture.
    circle: Option<f64>,
    reach: Option<f64>,
    /// The circle planned at the berth.
    planned: Option<f64>,
    /// Position of the circle's least depth.
    least: Option<Point>,
    centre: Option<Point>,
    roller: Option<Point>,
    /// Age and position, oldest first, in runs without a gap.
    runs: Vec<Vec<(f64, Point)>>,
    /// Where she was last seen, and how long ago, if her position is not current.
    last: Option<(Point, Duration)>,
}

impl<'a> Scene<'a> {
    /// `None` if no position is known at all.
    fn of(input: &'a PictureInput, room: Rect) -> Option<Self> {
        let picture = &input.picture;
        let length = |metres: Option<Metres>| {
            let metres = metres?.get();
            (metres > 0.0).then(|| metres.min(ROUND_THE_WORLD))
        };
        let track = recent(input);
        let seen = track.last().map(|point| point.position);
        let origin = picture
            .anchor
            .or(picture.centre)
            .or(picture.berth)
            .or(seen)?;
        let plane = crate::geodesy::Plane::at(origin);
        let circle = picture.anchor.and(length(picture.max_radius));
        let reach = picture.anchor.and(length(picture.reach));
        let mut extent = Extent::NOTHING;
        if let Some(radius) = circle.or(reach) {
            extent = extent.with(Offset::ZERO, radius);
        }
        let half = boat_length(input) / 2.0;
        let berth = picture.berth.filter(|_| picture.anchor.is_none());
        let planned = berth.and(picture.planned.as_ref());
        let planned = length(planned.and_then(|planned| planned.radius));
        if let Some((berth, radius)) = berth.zip(planned) {
            extent = extent.with(plane.offset(berth), radius);
        }
        for place in [picture.centre.or(seen), berth].into_iter().flatten() {
            extent = extent.with(plane.offset(place), half);
        }
        if let Some(her) = picture.neighbours.first() {
            let offset = plane.offset(her.position);
            if offset.length().get() <= extent.farthest() * 1.5 {
                extent = extent.with(offset, half);
            }
        }
        // A fix that jumped a mile must not make everything else tiny.
        let far = extent.farthest() * 1.5 + 2.0 * half;
        for point in &track {
            let offset = plane.offset(point.position);
            if offset.length().get() <= far {
                extent = extent.with(offset, 0.0);
            }
        }
        let view = View::fit(
            origin,
            extent,
            Rect {
                x: room.x + EDGE,
                y: room.y + EDGE,
                width: room.width - 2.0 * EDGE,
                height: room.height - 2.0 * EDGE,
            },
        );
        let point = |position: Option<Position>| position.map(|position| view.point(position));
        // With an old fix, she is not drawn as if she lay there now.
        let live = picture.live();
        let unseen = live.centre.is_none();
        let place = picture.centre.or(seen).filter(|_| unseen);
        let last = place.map(|place| {
            let of_track = || track.last().map(|last| age(input, last));
            let seconds = picture.fix_ago.or_else(of_track).unwrap_or_default();
            let age = Duration::try_from_secs_f64(seconds).unwrap_or_default();
            (view.point(place), age)
        });
        Some(Self {
            input,
            room,
            view,
            anchor: point(picture.anchor),
            berth: point(berth),
            circle: circle.map(|radius| radius * view.units),
            reach: reach.map(|radius| radius * view.units),
            planned: planned.map(|radius| radius * view.units),
            least: least_place(picture).map(|place| view.point(place)),
            centre: point(live.centre),
            roller: point(live.roller),
            runs: runs(input, &track, view),
            last,
        })
    }

    fn rings(&self, svg: &mut Svg) {
        let Some(anchor) = self.anchor else { return };
        if let Some(radius) = self.circle {
            let rope = Stroke::dashed(ink::MIDDLE, 5.0, "20 9");
            // The ground must show through.
            let within = if self.input.charts.is_empty() {
                ink::WITHIN
            } else {
                "none"
            };
            svg.circle("swinging-circle", anchor, radius, within, Some(rope));
        }
        if let Some(radius) = self.reach {
            let dots = Stroke::dashed(ink::MIDDLE, 3.0, "0 9");
            svg.circle("reach", anchor, radius, "none", Some(dots));
        }
    }

    /// Other vessels and their circles: solid where the circle was observed, dashed where it is assumed.
    fn neighbours(&self, svg: &mut Svg) {
        for (number, her) in self.input.picture.live().neighbours.iter().enumerate() {
            if let Some(circle) = her.circle {
                let dashes = if circle.assumed { "9 11" } else { "" };
                // A faint line would be lost on the ground.
                let ink = if self.input.charts.is_empty() {
                    ink::FAINT
                } else {
                    ink::MIDDLE
                };
                let edge = Stroke::dashed(ink, 3.0, dashes);
                let radius = circle.radius.get().clamp(0.0, ROUND_THE_WORLD) * self.view.units;
                let at = self.view.point(circle.anchor);
                svg.circle(
                    &format!("neighbour-circle-{number}"),
                    at,
                    radius,
                    "none",
                    Some(edge),
                );
            }
            let ring = Stroke::of(ink::MIDDLE, 4.0);
            let at = self.view.point(her.position);
            svg.circle(
                &format!("neighbour-{number}"),
                at,
                NEIGHBOUR,
                "none",
                Some(ring),
            );
        }
    }

    fn track(&self, svg: &mut Svg) {
        if !self.input.charts.is_empty() {
            // Dark edges on both sides keep its oldest part visible on bright ground.
            for run in &self.runs {
                let points: Vec<Point> = run.iter().map(|(_, point)| *point).collect();
                svg.path(
                    "",
                    &through(&points),
                    "none",
                    Some(Stroke::of(ink::NIGHT, 9.0)),
                );
            }
        }
        for run in &self.runs {
            // Each piece of one age begins where the older one ends.
            let mut piece: Vec<Point> = Vec::new();
            let mut band = None;
            for &(age, point) in run {
                let own = band_of(age);
                if let Some(before) = band
                    && before != own
                {
                    piece.push(point);
                    stroke_piece(svg, &piece, before);
                    piece.clear();
                }
                band = Some(own);
                piece.push(point);
            }
            if let Some(band) = band {
                stroke_piece(svg, &piece, band);
            }
        }
    }

    /// Where she would swing, before the anchor is let go.
    fn planned(&self, svg: &mut Svg) {
        if let Some((berth, radius)) = self.berth.zip(self.planned) {
            let rope = Stroke::dashed(ink::MIDDLE, 4.0, "14 14");
            svg.circle("planned-circle", berth, radius, "none", Some(rope));
        }
    }

    /// The least depth in the circle that counts.
    fn least_depth(&self, svg: &mut Svg) {
        if let Some(at) = self.least {
            ground::least(svg, at);
        }
    }

    fn berth(&self, svg: &mut Svg) {
        if let Some(at) = self.berth {
            let ring = Stroke::dashed(ink::BRIGHT, 3.0, "6 8");
            svg.circle("berth", at, 22.0, "none", Some(ring));
        }
    }

    fn rode(&self, svg: &mut Svg) {
        if let Some((anchor, roller)) = self.anchor.zip(self.roller) {
            // Without a heading, this is only roughly where the bow is.
            let dashes = self.input.sight.heading.map_or("2 9", |_| "");
            let rode = Stroke::dashed(ink::MIDDLE, 3.0, dashes);
            svg.path("rode", &through(&[anchor, roller]), "none", Some(rode));
        }
    }

    /// A shank with its stock and two flukes, centred on the position.
    fn anchor(&self, svg: &mut Svg) {
        let Some(anchor) = self.anchor else { return };
        let at = |x: f64, y: f64| Point {
            x: anchor.x + x,
            y: anchor.y + y,
        };
        svg.circle("anchor", anchor, 17.0, ink::NIGHT, None);
        let shape = format!(
            "{}{}M{} {}Q{} {} {} {}Q{} {} {} {}",
            through(&[at(0.0, 11.0), at(0.0, -11.0)]),
            through(&[at(-6.0, -6.0), at(6.0, -6.0)]),
            super::writer::number(anchor.x - 11.0),
            super::writer::number(anchor.y + 1.0),
            super::writer::number(anchor.x - 9.0),
            super::writer::number(anchor.y + 11.0),
            super::writer::number(anchor.x),
            super::writer::number(anchor.y + 11.0),
            super::writer::number(anchor.x + 9.0),
            super::writer::number(anchor.y + 11.0),
            super::writer::number(anchor.x + 11.0),
            super::writer::number(anchor.y + 1.0),
        );
        let pen = Stroke::of(ink::BRIGHT, 4.0);
        svg.path("anchor-shape", &shape, "none", Some(pen));
    }

    fn boat(&self, svg: &mut Svg) {
        if let Some((at, _)) = &self.last {
            let arm = 13.0;
            let corner = |x: f64, y: f64| Point {
                x: at.x + x * arm,
                y: at.y + y * arm,
            };
            let cross = format!(
                "{}{}",
                through(&[corner(-1.0, -1.0), corner(1.0, 1.0)]),
                through(&[corner(-1.0, 1.0), corner(1.0, -1.0)])
            );
            svg.path(
                "last-seen",
                &cross,
                "none",
                Some(Stroke::of(ink::MIDDLE, 5.0)),
            );
        }
        let Some(centre) = self.centre else { return };
        let length = boat_length(self.input) * self.view.units;
        let beam = self
            .input
            .sight
            .beam
            .map_or(length / 3.2, |beam| beam.get().abs() * self.view.units)
            .min(length);
        if let Some(heading) = self.input.sight.heading {
            let hull = hull(centre, length, beam, heading);
            let edge = Stroke::of(ink::NIGHT, 2.0);
            svg.path("boat", &hull, ink::BRIGHTEST, Some(edge));
        } else {
            // She lies somewhere inside; the direction is unknown.
            let ring = Stroke::dashed(ink::BRIGHTEST, 4.0, "3 8");
            let half = (length / 2.0).max(6.0);
            svg.circle("boat-any-way", centre, half, "none", Some(ring));
            svg.circle("boat", centre, 4.0, ink::BRIGHTEST, None);
        }
        if length < SMALL_BOAT {
            let finder = Stroke::of(ink::BRIGHTEST, 2.0);
            svg.circle("finder", centre, 24.0, "none", Some(finder));
        }
    }
}

/// Where the circle in force has its least depth, as far as the chart shows it.
fn least_place(picture: &WatchState) -> Option<Position> {
    let (centre, room) = match picture.anchor {
        Some(anchor) => (anchor, picture.room.as_ref()),
        None => (picture.berth?, picture.planned.as_ref()?.room.as_ref()),
    };
    let least = room?.least.as_ref().filter(|least| least.depth.is_some())?;
    Some(centre.moved(least.bearing, least.distance))
}

/// A hull to scale: pointed at the stem, broad at the stern.
fn hull(centre: Point, length: f64, beam: f64, heading: Bearing) -> String {
    let (sin, cos) = heading.get().sin_cos();
    let at = |ahead: f64, starboard: f64| {
        let (ahead, starboard) = (ahead * length, starboard * beam);
        Point {
            x: centre.x + ahead * sin + starboard * cos,
            y: centre.y - ahead * cos + starboard * sin,
        }
    };
    let outline = [
        at(0.5, 0.0),
        at(0.3, 0.3),
        at(0.05, 0.48),
        at(-0.25, 0.47),
        at(-0.5, 0.36),
        at(-0.5, -0.36),
        at(-0.25, -0.47),
        at(0.05, -0.48),
        at(0.3, -0.3),
    ];
    format!("{}Z", through(&outline))
}

fn boat_length(input: &PictureInput) -> f64 {
    input.sight.length.get().abs().clamp(1.0, 500.0)
}

const ROUND_THE_WORLD: f64 = 40_000_000.0;
const STRIP: f64 = 58.0;
const EDGE: f64 = 26.0;
const SMALL_BOAT: f64 = 22.0;
/// Radius of the mark of another vessel.
const NEIGHBOUR: f64 = 9.0;
