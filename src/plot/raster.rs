//! Pixels: the shapes drawn with the embedded font and packed as PNG.
//!
//! The shapes come from the pen that also writes the SVG, so both say the same. The rules are those of SVG 1.1:
//! round corners, caps and joins, dashes from the right end of a circle clockwise, non-zero winding. Letters are the
//! outlines of the embedded font, a fixed step apart: no library for the layout of text is needed. The test
//! `the_pixels_are_those_of_a_foreign_renderer` compares the pixels with those that resvg makes of the SVG.

use tiny_skia::{
    FillRule, LineCap, LineJoin, Mask, Paint, PathBuilder, Pixmap, StrokeDash, Transform,
};
use ttf_parser::{Face, OutlineBuilder};

use super::lettering::{self, FONT};
use super::shapes::{Fill, Ink, Shape, Step, steps};
use super::writer::{CORNER, Point, Rect, Side, Stroke};
use super::{HEIGHT, PictureInput, WIDTH, shapes};

/// A size that every push channel can carry.
pub const LARGEST_PNG: usize = 60_000;

/// Why there is no picture: always a fault of ours, because all input is cleaned first.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PlotError {
    /// The picture cannot be drawn.
    #[error("the picture cannot be drawn: {0}")]
    Drawn(String),
    /// The pixels cannot be packed.
    #[error("the picture cannot be packed: {0}")]
    Packed(String),
}

/// The picture as PNG, at most [`LARGEST_PNG`] bytes. If it is larger (a track all over the chart), it is
/// drawn smaller. At a quarter of its size it has 54 000 pixels of one byte, which is within the bound even
/// without compression.
pub fn png(input: &PictureInput) -> Result<Vec<u8>, PlotError> {
    let shapes = shapes(input);
    let mut drawn = Vec::new();
    for scale in [1.0, 0.75, 0.5, 0.25] {
        drawn = pack(&draw(&shapes, scale)?)?;
        if drawn.len() <= LARGEST_PNG {
            break;
        }
    }
    Ok(drawn)
}

/// Draws the shapes at a fraction of their size.
pub(super) fn draw(shapes: &[Shape], scale: f32) -> Result<Pixmap, PlotError> {
    let face = Face::parse(FONT, 0).map_err(|error| PlotError::Drawn(error.to_string()))?;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a constant of the picture, scaled down"
    )]
    let pixels = |units: f64| (units * f64::from(scale)).ceil() as u32;
    let pixmap = Pixmap::new(pixels(WIDTH), pixels(HEIGHT))
        .ok_or_else(|| PlotError::Drawn("no room for its pixels".to_owned()))?;
    let mut easel = Easel {
        pixmap,
        mask: None,
        transform: Transform::from_scale(scale, scale),
        face,
    };
    for shape in shapes {
        easel.put(shape);
    }
    Ok(easel.pixmap)
}

struct Easel<'a> {
    pixmap: Pixmap,
    mask: Option<Mask>,
    transform: Transform,
    face: Face<'a>,
}

impl Easel<'_> {
    fn put(&mut self, shape: &Shape) {
        match shape {
            Shape::Ground(ink) => {
                let [red, green, blue] = *ink;
                let color = tiny_skia::Color::from_rgba8(red, green, blue, 255);
                self.pixmap.fill(color);
            }
            Shape::Rect(rect, fill) => self.outline(round_corners(*rect), *fill),
            Shape::Circle(at, radius, fill) => self.outline(circle(*at, *radius), *fill),
            Shape::Path(data, fill) => self.outline(path(data), *fill),
            Shape::Words(text, at, size, side, ink) => self.words(text, *at, *size, *side, *ink),
            Shape::Clip(rect) => self.mask = rect.and_then(|rect| self.mask_of(rect)),
        }
    }

    fn outline(&mut self, path: PathBuilder, fill: Fill) {
        // SVG draws nothing for an empty one.
        let Some(path) = path.finish() else { return };
        let mask = self.mask.as_ref();
        if let Some(ink) = fill.inside {
            let rule = FillRule::Winding;
            self.pixmap
                .fill_path(&path, &paint(ink), rule, self.transform, mask);
        }
        if let Some(edge) = fill.edge
            && let Some(ink) = super::shapes::ink(edge.ink)
        {
            let stroke = pen(edge);
            self.pixmap
                .stroke_path(&path, &paint(ink), &stroke, self.transform, mask);
        }
    }

    fn words(&mut self, text: &str, at: Point, size: f64, side: Side, ink: Ink) {
        let scale = single(size) / f32::from(self.face.units_per_em());
        let back = match side {
            Side::Start => 0.0,
            Side::Middle => lettering::width(text, size) / 2.0,
            Side::End => lettering::width(text, size),
        };
        let mut letters = Letters {
            path: PathBuilder::new(),
            x: single(at.x - back),
            y: single(at.y),
            scale,
        };
        for letter in text.chars() {
            if let Some(glyph) = self.face.glyph_index(letter) {
                // A space has no outline.
                let _ = self.face.outline_glyph(glyph, &mut letters);
            }
            letters.x += single(lettering::ADVANCE * size);
        }
        let fill = Fill {
            inside: Some(ink),
            edge: None,
        };
        self.outline(letters.path, fill);
    }

    fn mask_of(&self, rect: Rect) -> Option<Mask> {
        let mut mask = Mask::new(self.pixmap.width(), self.pixmap.height())?;
        // Nothing is drawn inside an empty rectangle.
        if let Some(path) = round_corners(rect).finish() {
            mask.fill_path(&path, FillRule::Winding, true, self.transform);
        }
        Some(mask)
    }
}

fn paint(ink: Ink) -> Paint<'static> {
    let [red, green, blue] = ink;
    let mut paint = Paint::default();
    paint.set_color_rgba8(red, green, blue, 255);
    paint
}

fn pen(stroke: Stroke) -> tiny_skia::Stroke {
    let dashes = stroke.dashes.split_whitespace();
    let dashes = dashes.filter_map(|length| length.parse().ok()).collect();
    tiny_skia::Stroke {
        width: single(stroke.width),
        line_cap: LineCap::Round,
        line_join: LineJoin::Round,
        dash: StrokeDash::new(dashes, 0.0),
        ..tiny_skia::Stroke::default()
    }
}

fn path(data: &str) -> PathBuilder {
    let mut path = PathBuilder::new();
    for step in steps(data) {
        match step {
            Step::Move(to) => path.move_to(single(to.x), single(to.y)),
            Step::Line(to) => path.line_to(single(to.x), single(to.y)),
            Step::Curve(by, to) => {
                path.quad_to(single(by.x), single(by.y), single(to.x), single(to.y));
            }
            Step::Close => path.close(),
        }
    }
    path
}

/// From its right end clockwise, in four arcs.
fn circle(at: Point, radius: f64) -> PathBuilder {
    let mut path = PathBuilder::new();
    if radius <= 0.0 {
        return path;
    }
    let (x, y, r) = (single(at.x), single(at.y), single(radius));
    path.move_to(x + r, y);
    for (across, down) in [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)] {
        let centre = (x, y);
        arc(&mut path, centre, r, (across, down));
    }
    path.close();
    path
}

fn round_corners(rect: Rect) -> PathBuilder {
    let mut path = PathBuilder::new();
    let (width, height) = (single(rect.width), single(rect.height));
    if width <= 0.0 || height <= 0.0 {
        return path;
    }
    let r = single(CORNER).min(width / 2.0).min(height / 2.0);
    let (left, top) = (single(rect.x), single(rect.y));
    let (right, bottom) = (left + width, top + height);
    path.move_to(left + r, top);
    path.line_to(right - r, top);
    arc(&mut path, (right - r, top + r), r, (0.0, -1.0));
    path.line_to(right, bottom - r);
    arc(&mut path, (right - r, bottom - r), r, (1.0, 0.0));
    path.line_to(left + r, bottom);
    arc(&mut path, (left + r, bottom - r), r, (0.0, 1.0));
    path.line_to(left, top + r);
    arc(&mut path, (left + r, top + r), r, (-1.0, 0.0));
    path.close();
    path
}

/// A quarter of a circle clockwise, from `from` of its centre, as a cubic curve: 0.03 % of the radius off at most.
fn arc(path: &mut PathBuilder, centre: (f32, f32), r: f32, from: (f32, f32)) {
    // A quarter turn clockwise on the picture, where y points down.
    let to = (-from.1, from.0);
    let at = |along: f32, ahead: f32| {
        let across = along * from.0 + ahead * to.0;
        let down = along * from.1 + ahead * to.1;
        (centre.0 + r * across, centre.1 + r * down)
    };
    let (one, two, end) = (at(1.0, KAPPA), at(KAPPA, 1.0), at(0.0, 1.0));
    path.cubic_to(one.0, one.1, two.0, two.1, end.0, end.1);
}

/// Turns a glyph's outline, y up in the font's units, into a part of a path.
struct Letters {
    path: PathBuilder,
    x: f32,
    y: f32,
    scale: f32,
}

impl Letters {
    fn at(&self, x: f32, y: f32) -> (f32, f32) {
        (self.x + x * self.scale, self.y - y * self.scale)
    }
}

impl OutlineBuilder for Letters {
    fn move_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.at(x, y);
        self.path.move_to(x, y);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.at(x, y);
        self.path.line_to(x, y);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let ((x1, y1), (x, y)) = (self.at(x1, y1), self.at(x, y));
        self.path.quad_to(x1, y1, x, y);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let ((x1, y1), (x2, y2)) = (self.at(x1, y1), self.at(x2, y2));
        let (x, y) = self.at(x, y);
        self.path.cubic_to(x1, y1, x2, y2, x, y);
    }

    fn close(&mut self) {
        self.path.close();
    }
}

/// The pen keeps all numbers within a range that single precision resolves to a hundredth.
#[expect(clippy::cast_possible_truncation, reason = "held by the pen")]
const fn single(value: f64) -> f32 {
    value as f32
}

/// 4/3 (√2 − 1): the cubic curve then passes through the middle of its arc.
const KAPPA: f32 = 0.552_284_8;

/// Packs the pixels with a palette of [`LEVELS`] colours, one for each step of lightness. All inks have one
/// hue, so lightness distinguishes them, and the blend of two inks at an edge also lies between them in
/// lightness. The colour of a step is the mean of its pixels. This saves a fifth to a half of the bytes of
/// full colour, depending on the picture.
fn pack(pixmap: &Pixmap) -> Result<Vec<u8>, PlotError> {
    let mut sums = [[0_u64; 4]; LEVELS];
    let levels: Vec<u8> = pixmap
        .pixels()
        .iter()
        .map(|pixel| {
            // Opaque everywhere: the ground is drawn first.
            let parts = [pixel.red(), pixel.green(), pixel.blue()].map(u64::from);
            // ITU-R BT.709 luma in 1/256, then in steps of 4.
            let luma = (54 * parts[0] + 183 * parts[1] + 19 * parts[2]) >> 8;
            let level = u8::try_from(luma >> 2).unwrap_or(u8::MAX).min(63);
            if let Some([red, green, blue, count]) = sums.get_mut(usize::from(level)) {
                *red += parts[0];
                *green += parts[1];
                *blue += parts[2];
                *count += 1;
            }
            level
        })
        .collect();
    let palette: Vec<u8> = sums
        .iter()
        .flat_map(|[red, green, blue, count]| {
            [red, green, blue].map(|sum| u8::try_from(sum / (*count).max(1)).unwrap_or(u8::MAX))
        })
        .collect();
    let mut bytes = Vec::new();
    let packed = |error: png::EncodingError| PlotError::Packed(error.to_string());
    let mut encoder = png::Encoder::new(&mut bytes, pixmap.width(), pixmap.height());
    encoder.set_color(png::ColorType::Indexed);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_palette(palette);
    encoder.set_compression(png::Compression::High);
    encoder.set_filter(png::Filter::NoFilter);
    let mut writer = encoder.write_header().map_err(packed)?;
    writer.write_image_data(&levels).map_err(packed)?;
    writer.finish().map_err(packed)?;
    Ok(bytes)
}

/// Steps of lightness: finer than an eye can distinguish at night.
const LEVELS: usize = 64;
