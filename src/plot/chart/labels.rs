//! Names and figures on the chart, each placed where it hides least.

use super::super::lettering;
use super::super::writer::{Point, Rect, Side, Svg, ink};
use super::{NEIGHBOUR, Scene, boat_length, ground};
use crate::speech::Depth;
use crate::speech::picture::Picture;

impl Scene<'_> {
    /// Names at the rings and at the boat, each placed where it hides least. A name without a free place is
    /// left out, because its figure is below.
    pub(super) fn labels(&self, svg: &mut Svg) {
        let mut taken: Vec<Rect> = Vec::new();
        if let Some(anchor) = self.anchor {
            taken.push(about(anchor, 22.0));
        }
        for boat in [self.centre, self.last.as_ref().map(|(at, _)| *at)]
            .into_iter()
            .flatten()
        {
            let half = (boat_length(self.input) * self.view.units / 2.0).clamp(26.0, 120.0);
            taken.push(about(boat, half));
        }
        let say = self.input.wording();
        let mut wanted: Vec<(String, Vec<Rect>, &'static str)> = Vec::new();
        if let Some((at, ago)) = &self.last {
            let text = Picture::Seen { ago: *ago }.words(&say);
            let places = beside(*at, 26.0, &text);
            wanted.push((text, places, ink::BRIGHT));
        } else if let Some(at) = self.centre.filter(|_| self.input.sight.heading.is_none()) {
            let half = (boat_length(self.input) * self.view.units / 2.0).clamp(26.0, 120.0);
            let text = Picture::NoHeading.words(&say);
            let places = beside(at, half, &text);
            wanted.push((text, places, ink::BRIGHT));
        }
        if let Some(at) = self.berth {
            taken.push(about(at, 22.0));
            let text = Picture::BerthLabel.words(&say);
            let places = beside(at, 26.0, &text);
            wanted.push((text, places, ink::BRIGHT));
        }
        let depth = self.input.picture.room_least;
        if let Some((at, depth)) = self.least.zip(depth) {
            let text = Picture::LeastLabel {
                depth: Depth(depth),
            }
            .words(&say);
            // It may be at the berth, or under other names.
            let clear = [ground::LEAST + 2.0, 28.0, 60.0];
            let places = clear.map(|clear| beside(at, clear, &text)).concat();
            taken.push(about(at, ground::LEAST));
            wanted.push((text, places, ink::BRIGHT));
        }
        for her in &self.input.picture.live().neighbours {
            let at = self.view.point(her.position);
            let mark = about(at, NEIGHBOUR + 2.0);
            if mark.within(self.room) {
                let name = lettering::clean(&her.name);
                let text: String = name.chars().take(NAME_CHARS).collect();
                let places = beside(at, NEIGHBOUR + 4.0, &text);
                taken.push(mark);
                wanted.push((text, places, ink::MIDDLE));
            }
        }
        let rings = [
            (true, self.circle, self.input.picture.max_radius),
            (false, self.reach, self.input.picture.reach),
        ];
        for (circle, radius, metres) in rings {
            if let Some(((anchor, radius), metres)) = self.anchor.zip(radius).zip(metres)
                && radius > 40.0
            {
                let label = if circle {
                    Picture::CircleLabel { radius: metres }
                } else {
                    Picture::ReachLabel { radius: metres }
                };
                let text = label.words(&say);
                let places = along(anchor, radius, &text);
                wanted.push((text, places, ink::MIDDLE));
            }
        }
        if let Some((berth, radius)) = self.berth.zip(self.planned)
            && let Some(metres) = self.input.picture.planned.as_ref().and_then(|it| it.radius)
            && radius > 40.0
        {
            let text = Picture::PlannedLabel { radius: metres }.words(&say);
            let places = along(berth, radius, &text);
            wanted.push((text, places, ink::MIDDLE));
        }
        for (text, places, ink) in wanted {
            let best = places
                .into_iter()
                .filter(|place| place.within(self.room))
                .filter(|place| !taken.iter().any(|other| other.meets(*place)))
                .min_by_key(|place| self.hidden_by(*place));
            if let Some(place) = best {
                let foot = Point {
                    x: place.x + LABEL_PAD,
                    y: place.y + LABEL_PAD + LABEL * 0.78,
                };
                svg.rect(place, ink::NIGHT, None);
                svg.words(&text, foot, LABEL, Side::Start, ink);
                taken.push(place);
            }
        }
    }

    /// How many points of track and rode are under a place.
    fn hidden_by(&self, place: Rect) -> usize {
        let track = self.runs.iter().flatten().map(|(_, point)| *point);
        let rode = self.anchor.zip(self.roller).map(|(anchor, roller)| {
            (0..=40).map(move |step| {
                let part = f64::from(step) / 40.0;
                Point {
                    x: anchor.x + (roller.x - anchor.x) * part,
                    y: anchor.y + (roller.y - anchor.y) * part,
                }
            })
        });
        track
            .chain(rode.into_iter().flatten())
            .filter(|point| place.contains(*point))
            .count()
    }
}

/// A square centred there.
pub(super) fn about(at: Point, half: f64) -> Rect {
    Rect {
        x: at.x - half,
        y: at.y - half,
        width: 2.0 * half,
        height: 2.0 * half,
    }
}

fn size_of(text: &str) -> (f64, f64) {
    (
        lettering::width(text, LABEL) + 2.0 * LABEL_PAD,
        LABEL + 2.0 * LABEL_PAD,
    )
}

/// Places for a text around a point, at the distance `clear`.
fn beside(at: Point, clear: f64, text: &str) -> Vec<Rect> {
    let (width, height) = size_of(text);
    let off = clear + 2.0;
    let place = |x: f64, y: f64| Rect {
        x,
        y,
        width,
        height,
    };
    vec![
        place(at.x - width / 2.0, at.y + off),
        place(at.x - width / 2.0, at.y - off - height),
        place(at.x + off, at.y - height / 2.0),
        place(at.x - off - width, at.y - height / 2.0),
        place(at.x + off, at.y + off),
        place(at.x - off - width, at.y + off),
        place(at.x + off, at.y - off - height),
        place(at.x - off - width, at.y - off - height),
    ]
}

/// Places for a text on a ring, centred on the line.
fn along(centre: Point, radius: f64, text: &str) -> Vec<Rect> {
    let (width, height) = size_of(text);
    [0, 180, 330, 30, 210, 150, 300, 60, 240, 120, 270, 90]
        .into_iter()
        .map(|degrees| {
            let (sin, cos) = f64::from(degrees).to_radians().sin_cos();
            Rect {
                x: centre.x + radius * sin - width / 2.0,
                y: centre.y - radius * cos - height / 2.0,
                width,
                height,
            }
        })
        .collect()
}

pub(super) const LABEL: f64 = 24.0;
const LABEL_PAD: f64 = 5.0;
/// Letters in a vessel's name.
const NAME_CHARS: usize = 12;
