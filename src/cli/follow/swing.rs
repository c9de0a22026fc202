//! How she lies, in characters: north up, the circle around the anchor, the boat with her bow.
//!
//! A character is about twice as high as wide, so a column stands for half as many metres as a line.

use crate::geodesy::{Offset, Plane};
use crate::units::Metres;
use crate::watch::state::WatchState;

/// The signs, in the order in which they cover one another.
const CIRCLE: char = '\u{b7}';
const REACH: char = '.';
const RODE: char = '\'';
const ANCHOR: char = '\u{2021}';
/// The bow, by the eighth of the circle that it points to.
const BOWS: [char; 8] = [
    '\u{2191}', '\u{2197}', '\u{2192}', '\u{2198}', '\u{2193}', '\u{2199}', '\u{2190}', '\u{2196}',
];
/// The boat, if her heading is unknown.
const BOAT: char = 'o';

/// The picture in this many columns and lines; `None` without an anchor. Only live values are drawn.
pub(super) fn swing(state: &WatchState, columns: usize, lines: usize) -> Option<Vec<String>> {
    let anchor = state.anchor?;
    let live = state.live();
    let plane = Plane::at(anchor);
    let offset = |position: Option<_>| position.map(|position| plane.offset(position));
    let (centre, roller) = (offset(live.centre), offset(live.roller));
    let boat = centre.or(roller);
    let rings = [state.max_radius, state.reach].map(|radius| radius.map_or(0.0, Metres::get));
    let far = boat.map_or(0.0, |boat| boat.length().get()) * 1.1;
    let extent = rings.into_iter().fold(far, f64::max).max(5.0);
    let mut sheet = Sheet::new(columns, lines, extent);
    let [circle, reach] = rings;
    sheet.ring(reach, REACH);
    sheet.ring(circle, CIRCLE);
    if let Some(boat) = boat {
        for step in 1..20 {
            let part = f64::from(step) / 20.0;
            sheet.put(
                Offset {
                    east: boat.east * part,
                    north: boat.north * part,
                },
                RODE,
            );
        }
    }
    sheet.put(Offset::ZERO, ANCHOR);
    if let Some(boat) = boat {
        let bow = centre.zip(roller).filter(|(centre, roller)| {
            (roller.east - centre.east).hypot(roller.north - centre.north) > 0.5
        });
        sheet.put(
            boat,
            bow.map_or(BOAT, |(centre, roller)| {
                bow_of(roller.east - centre.east, roller.north - centre.north)
            }),
        );
    }
    Some(sheet.rows())
}

fn bow_of(east: f64, north: f64) -> char {
    let eighth = (east.atan2(north).to_degrees() / 45.0)
        .round()
        .rem_euclid(8.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "0 to 8"
    )]
    let place = eighth as usize % BOWS.len();
    BOWS.get(place).copied().unwrap_or(BOAT)
}

struct Sheet {
    cells: Vec<Vec<char>>,
    /// Metres per line.
    scale: f64,
}

impl Sheet {
    fn new(columns: usize, lines: usize, extent: f64) -> Self {
        // A line at each edge stays clear of the circle.
        let half_height = (lines.max(3) - 1) as f64 / 2.0;
        let half_width = (columns.max(3) - 1) as f64 / 4.0;
        Self {
            cells: vec![vec![' '; columns]; lines],
            scale: extent / half_height.min(half_width),
        }
    }

    fn ring(&mut self, radius: f64, sign: char) {
        if radius <= 0.0 {
            return;
        }
        for step in 0..240 {
            let (sine, cosine) = (f64::from(step) * std::f64::consts::TAU / 240.0).sin_cos();
            self.put(
                Offset {
                    east: radius * sine,
                    north: radius * cosine,
                },
                sign,
            );
        }
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "what is off the sheet is left out"
    )]
    fn put(&mut self, at: Offset, sign: char) {
        let lines = self.cells.len();
        let columns = self.cells.first().map_or(0, Vec::len);
        let column = (columns.saturating_sub(1) as f64 / 2.0 + 2.0 * at.east / self.scale).round();
        let line = (lines.saturating_sub(1) as f64 / 2.0 - at.north / self.scale).round();
        if column < 0.0 || line < 0.0 {
            return;
        }
        if let Some(cell) = self
            .cells
            .get_mut(line as usize)
            .and_then(|row| row.get_mut(column as usize))
        {
            *cell = sign;
        }
    }

    fn rows(self) -> Vec<String> {
        self.cells
            .into_iter()
            .map(|row| row.into_iter().collect())
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bow_points_where_she_heads() {
        for (east, north, sign) in [
            (0.0, 1.0, '↑'),
            (1.0, 1.0, '↗'),
            (1.0, 0.0, '→'),
            (-1.0, -1.0, '↙'),
            (-1.0, 0.1, '←'),
            (-0.1, 1.0, '↑'),
        ] {
            assert_eq!(bow_of(east, north), sign, "{east} {north}");
        }
    }
}
