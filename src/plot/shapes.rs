//! What a picture consists of, as the pen drew it: the pixels are made from it without reading the SVG back.

use super::writer::{Point, Rect, Side, Stroke};

/// Red, green and blue.
pub(super) type Ink = [u8; 3];

/// One element, with what lies inside its outline; its edge is drawn over that.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Shape {
    /// Over the whole picture.
    Ground(Ink),
    /// With round corners.
    Rect(Rect, Fill),
    Circle(Point, f64, Fill),
    /// The data of an SVG path, of `M`, `L`, `Q` and `Z` with absolute numbers.
    Path(String, Fill),
    /// A cleaned text on its base line, with its size.
    Words(String, Point, f64, Side, Ink),
    /// What follows is cut off at the rectangle, until the next of these.
    Clip(Option<Rect>),
}

/// How an element is filled, and its edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Fill {
    pub(super) inside: Option<Ink>,
    pub(super) edge: Option<Stroke>,
}

impl Fill {
    pub(super) fn of(inside: &str, edge: Option<Stroke>) -> Self {
        Self {
            inside: ink(inside),
            edge,
        }
    }
}

/// `#rrggbb`; `None` for `none`.
pub(super) fn ink(text: &str) -> Option<Ink> {
    let digits = text.strip_prefix('#').filter(|digits| digits.len() == 6)?;
    let [_, red, green, blue] = u32::from_str_radix(digits, 16).ok()?.to_be_bytes();
    Some([red, green, blue])
}

/// A step of a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Step {
    Move(Point),
    Line(Point),
    Curve(Point, Point),
    Close,
}

/// The steps of a path's data; what is not understood ends them.
pub(super) fn steps(data: &str) -> impl Iterator<Item = Step> {
    let mut rest = data;
    std::iter::from_fn(move || {
        let letter = rest.chars().next()?;
        let from = letter.len_utf8();
        let length = rest.get(from..)?.find(['M', 'L', 'Q', 'Z']);
        let to = length.map_or(rest.len(), |length| from + length);
        let mut numbers = rest.get(from..to)?.split(' ').map_while(|n| n.parse().ok());
        rest = rest.get(to..)?;
        let mut point = || {
            Some(Point {
                x: numbers.next()?,
                y: numbers.next()?,
            })
        };
        Some(match letter {
            'M' => Step::Move(point()?),
            'L' => Step::Line(point()?),
            'Q' => Step::Curve(point()?, point()?),
            'Z' => Step::Close,
            _ => return None,
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_read_as_it_was_written() {
        let at = |x, y| Point { x, y };
        let read: Vec<Step> = steps("M1 -2.5L3 4Q5 6 7 8ZM9 0").collect();
        let meant = [
            Step::Move(at(1.0, -2.5)),
            Step::Line(at(3.0, 4.0)),
            Step::Curve(at(5.0, 6.0), at(7.0, 8.0)),
            Step::Close,
            Step::Move(at(9.0, 0.0)),
        ];
        assert_eq!(read, meant);
        assert_eq!(steps("M1 2Lx").count(), 1);
        assert_eq!(steps("M1 2éL3 4").count(), 0);
    }

    #[test]
    fn an_ink_is_read() {
        assert_eq!(ink("#120a05"), Some([0x12, 0x0a, 0x05]));
        assert_eq!((ink("none"), ink("#12"), ink("#00é00")), (None, None, None));
    }
}
