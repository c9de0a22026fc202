//! The pen: elements of SVG 1.1, numbers to a tenth of a unit, texts escaped.

use std::fmt::Write;

use super::lettering::{self, FAMILY};
use super::shapes::{Fill, Shape};

/// The colours: one hue in different lightness; blue is at most a little more than half of the red.
pub(crate) mod ink {
    /// The background.
    pub(crate) const NIGHT: &str = "#120a05";
    /// The area inside the swinging circle.
    pub(crate) const WITHIN: &str = "#2a1709";
    /// Frames, and the oldest parts.
    pub(crate) const FAINT: &str = "#5c3716";
    /// Names of figures, rings.
    pub(crate) const MIDDLE: &str = "#b9752f";
    /// Figures and words.
    pub(crate) const BRIGHT: &str = "#ffb75a";
    /// The ground, darkest first: some water to spare, little to spare, too little, its hatching, land.
    pub(crate) const AMPLE: &str = "#1c1008";
    pub(crate) const SCANT: &str = "#2c190b";
    pub(crate) const SHOAL: &str = "#2c190b";
    pub(crate) const HATCH: &str = "#573516";
    pub(crate) const LAND: &str = "#4a2b11";
    /// The boat.
    pub(crate) const BRIGHTEST: &str = "#ffd78c";
}

/// A place on the picture, units right and down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Point {
    pub(crate) x: f64,
    pub(crate) y: f64,
}

/// A rectangle on the picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Rect {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) width: f64,
    pub(crate) height: f64,
}

impl Point {
    fn rounded(self) -> Self {
        Self {
            x: rounded(self.x),
            y: rounded(self.y),
        }
    }
}

/// Radius of a rectangle's corners.
pub(super) const CORNER: f64 = 10.0;

impl Rect {
    fn rounded(self) -> Self {
        Self {
            x: rounded(self.x),
            y: rounded(self.y),
            width: rounded(self.width.max(0.0)),
            height: rounded(self.height.max(0.0)),
        }
    }

    /// A rectangle with round corners.
    fn attributes(self) -> String {
        format!(
            "x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"{}\"",
            number(self.x),
            number(self.y),
            number(self.width.max(0.0)),
            number(self.height.max(0.0)),
            number(CORNER),
        )
    }

    pub(crate) fn centre(self) -> Point {
        Point {
            x: self.x + self.width / 2.0,
            y: self.y + self.height / 2.0,
        }
    }

    pub(crate) fn contains(self, point: Point) -> bool {
        (self.x..=self.x + self.width).contains(&point.x)
            && (self.y..=self.y + self.height).contains(&point.y)
    }

    pub(crate) fn meets(self, other: Self) -> bool {
        self.x < other.x + other.width
            && other.x < self.x + self.width
            && self.y < other.y + other.height
            && other.y < self.y + self.height
    }

    pub(crate) fn within(self, outer: Self) -> bool {
        self.x >= outer.x
            && self.y >= outer.y
            && self.x + self.width <= outer.x + outer.width
            && self.y + self.height <= outer.y + outer.height
    }
}

/// How a line or an outline is drawn: colour, width, dashes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Stroke {
    pub(crate) ink: &'static str,
    pub(crate) width: f64,
    pub(crate) dashes: &'static str,
}

impl Stroke {
    pub(crate) const fn of(ink: &'static str, width: f64) -> Self {
        Self {
            ink,
            width,
            dashes: "",
        }
    }

    pub(crate) const fn dashed(ink: &'static str, width: f64, dashes: &'static str) -> Self {
        Self { ink, width, dashes }
    }

    fn attributes(self) -> String {
        let dashes = if self.dashes.is_empty() {
            String::new()
        } else {
            format!(" stroke-dasharray=\"{}\"", self.dashes)
        };
        format!(
            " stroke=\"{}\" stroke-width=\"{}\"{dashes}",
            self.ink,
            number(self.width)
        )
    }
}

/// How a text is aligned to its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Side {
    Start,
    Middle,
    End,
}

/// The document being written, or the list of its shapes.
pub(crate) struct Svg {
    text: String,
    shapes: Option<Vec<Shape>>,
}

impl Svg {
    pub(crate) fn new(width: f64, height: f64) -> Self {
        let (width, height) = (number(width), number(height));
        let text = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\" \
             font-family=\"'{FAMILY}', 'DejaVu Sans Mono', 'Liberation Mono', monospace\" font-weight=\"bold\" \
             fill=\"none\" stroke-linecap=\"round\" stroke-linejoin=\"round\">\n"
        );
        Self { text, shapes: None }
    }

    /// Also keeps the shapes, for [`Svg::into_shapes`].
    pub(super) fn keeping_shapes(mut self) -> Self {
        self.shapes = Some(Vec::new());
        self
    }

    pub(super) fn into_shapes(self) -> Vec<Shape> {
        self.shapes.unwrap_or_default()
    }

    fn keep(&mut self, shape: impl FnOnce() -> Option<Shape>) {
        if let Some(shapes) = &mut self.shapes {
            shapes.extend(shape());
        }
    }

    /// The description for screen readers.
    pub(crate) fn about(&mut self, title: &str, description: &str) {
        self.keep(|| super::shapes::ink(ink::NIGHT).map(Shape::Ground));
        self.put(format_args!(
            "<title>{}</title>\n<desc>{}</desc>\n<rect width=\"100%\" height=\"100%\" fill=\"{}\"/>\n",
            escape(title),
            escape(description),
            ink::NIGHT
        ));
    }

    pub(crate) fn rect(&mut self, rect: Rect, fill: &str, stroke: Option<Stroke>) {
        self.keep(|| Some(Shape::Rect(rect.rounded(), Fill::of(fill, stroke))));
        let stroke = stroke.map_or(String::new(), Stroke::attributes);
        self.put(format_args!(
            "<rect {} fill=\"{fill}\"{stroke}/>\n",
            rect.attributes()
        ));
    }

    /// Defines a hatching that a fill can name as `url(#id)`, in the whole document that this picture is in.
    pub(crate) fn hatching(&mut self, id: &str, ink: &str) {
        self.put(format_args!(
            "<pattern id=\"{id}\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\">\
             <path d=\"M-1 1L1 -1M0 7L7 0M6 8L8 6\" stroke=\"{ink}\" stroke-width=\"0.8\"/></pattern>\n"
        ));
    }

    /// Clips the following elements to `rect`, until [`Svg::unclip`].
    pub(crate) fn clip(&mut self, rect: Rect) {
        self.keep(|| Some(Shape::Clip(Some(rect.rounded()))));
        self.put(format_args!(
            "<clipPath id=\"chart\"><rect {}/></clipPath>\n<g clip-path=\"url(#chart)\">\n",
            rect.attributes()
        ));
    }

    pub(crate) fn unclip(&mut self) {
        self.keep(|| Some(Shape::Clip(None)));
        self.text.push_str("</g>\n");
    }

    /// `what` is the group's name, for readers of the file.
    pub(crate) fn circle(
        &mut self,
        what: &str,
        at: Point,
        radius: f64,
        fill: &str,
        stroke: Option<Stroke>,
    ) {
        let fills = Fill::of(fill, stroke);
        self.keep(|| Some(Shape::Circle(at.rounded(), rounded(radius), fills)));
        let stroke = stroke.map_or(String::new(), Stroke::attributes);
        let name = named(what);
        self.put(format_args!(
            "<circle{name} cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"{fill}\"{stroke}/>\n",
            number(at.x),
            number(at.y),
            number(radius),
        ));
    }

    pub(crate) fn path(&mut self, what: &str, data: &str, fill: &str, stroke: Option<Stroke>) {
        self.keep(|| Some(Shape::Path(data.to_owned(), Fill::of(fill, stroke))));
        let stroke = stroke.map_or(String::new(), Stroke::attributes);
        let name = named(what);
        self.put(format_args!(
            "<path{name} d=\"{data}\" fill=\"{fill}\"{stroke}/>\n"
        ));
    }

    pub(crate) fn words(&mut self, text: &str, at: Point, size: f64, side: Side, ink: &str) {
        self.keep(|| {
            let text = lettering::clean(text);
            let (at, size) = (at.rounded(), rounded(size));
            super::shapes::ink(ink).map(|ink| Shape::Words(text, at, size, side, ink))
        });
        let anchor = match side {
            Side::Start => "",
            Side::Middle => " text-anchor=\"middle\"",
            Side::End => " text-anchor=\"end\"",
        };
        self.put(format_args!(
            "<text x=\"{}\" y=\"{}\" font-size=\"{}\"{anchor} fill=\"{ink}\">{}</text>\n",
            number(at.x),
            number(at.y),
            number(size),
            escape(text)
        ));
    }

    pub(crate) fn finish(mut self) -> String {
        self.text.push_str("</svg>\n");
        self.text
    }

    fn put(&mut self, arguments: std::fmt::Arguments<'_>) {
        // Writing to a string cannot fail.
        let written = self.text.write_fmt(arguments);
        debug_assert!(written.is_ok());
    }
}

/// The data of a path through these points.
pub(crate) fn through(points: &[Point]) -> String {
    let mut data = String::new();
    for (index, point) in points.iter().enumerate() {
        data.push(if index == 0 { 'M' } else { 'L' });
        data.push_str(&number(point.x));
        data.push(' ');
        data.push_str(&number(point.y));
    }
    data
}

/// Rounded to a tenth; a value that is not finite, or beyond any renderer's range, is limited.
pub(crate) fn number(value: f64) -> String {
    format!("{}", rounded(value))
}

fn rounded(value: f64) -> f64 {
    let held = if value.is_nan() {
        0.0
    } else {
        value.clamp(-EDGE, EDGE)
    };
    let tenths = (held * 10.0).round() / 10.0;
    // No minus sign before zero.
    tenths + 0.0
}

/// The attribute with an element's name, if it has one.
fn named(what: &str) -> String {
    if what.is_empty() {
        String::new()
    } else {
        format!(" id=\"{what}\"")
    }
}

/// Removes what the font does not have, then escapes the rest.
fn escape(text: &str) -> String {
    escaped(&lettering::clean(text))
}

/// Any text as text of an XML or HTML document, or within quotes in one. XML forbids control characters; they become
/// spaces.
pub(crate) fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&apos;"),
            letter if letter.is_control() => escaped.push(' '),
            other => escaped.push(other),
        }
    }
    escaped
}

/// Single-precision renderers can still resolve tenths here.
const EDGE: f64 = 100_000.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_always_numbers() {
        for (value, written) in [
            (1.0, "1"),
            (-0.04, "0"),
            (2.345, "2.3"),
            (f64::NAN, "0"),
            (f64::INFINITY, "100000"),
            (-1e300, "-100000"),
        ] {
            assert_eq!(number(value), written);
        }
    }

    #[test]
    fn no_text_becomes_markup() {
        assert_eq!(
            escape("<script>\"&'\u{0}]]>"),
            "&lt;script&gt;&quot;&amp;&apos;?]]&gt;"
        );
    }

    /// Short waves spoil night vision most; each colour has more red than green, and little blue.
    #[test]
    fn the_inks_have_little_blue() {
        let inks = [
            ink::NIGHT,
            ink::WITHIN,
            ink::FAINT,
            ink::MIDDLE,
            ink::BRIGHT,
            ink::BRIGHTEST,
        ];
        let mut before = 0;
        for ink in inks {
            let part = |at: usize| u32::from_str_radix(&ink[at..at + 2], 16).unwrap();
            let (red, green, blue) = (part(1), part(3), part(5));
            assert!(red > green && green > blue, "{ink}");
            assert!(f64::from(blue) <= 0.55 * f64::from(red), "{ink}");
            // Distinguished by lightness: each clearly lighter than the previous one.
            let light = 2126 * red + 7152 * green + 722 * blue;
            assert!(light > before + 60_000, "{ink}: {light} after {before}");
            before = light;
        }
    }
}
