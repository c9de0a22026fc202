//! Pixels: the SVG drawn with the embedded font and packed as PNG.

use std::sync::Arc;

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{self, fontdb};

use super::lettering::{FAMILY, FONT};
use super::{HEIGHT, PictureInput, WIDTH, svg};

/// A size that every push channel can carry.
pub const LARGEST_PNG: usize = 60_000;

/// Why there is no picture: always a fault of ours, because all input is cleaned first.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PlotError {
    /// The document cannot be parsed.
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
    let tree = read(&svg(input))?;
    let mut drawn = Vec::new();
    for scale in [1.0, 0.75, 0.5, 0.25] {
        drawn = draw(&tree, scale)?;
        if drawn.len() <= LARGEST_PNG {
            break;
        }
    }
    Ok(drawn)
}

/// Parses a document with only our embedded font.
pub(super) fn read(text: &str) -> Result<usvg::Tree, PlotError> {
    let mut options = usvg::Options {
        font_family: FAMILY.to_owned(),
        ..usvg::Options::default()
    };
    let mut fonts = fontdb::Database::new();
    fonts.load_font_data(FONT.to_vec());
    fonts.set_monospace_family(FAMILY);
    options.fontdb = Arc::new(fonts);
    usvg::Tree::from_str(text, &options).map_err(|error| PlotError::Drawn(error.to_string()))
}

fn draw(tree: &usvg::Tree, scale: f32) -> Result<Vec<u8>, PlotError> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a constant of the picture, scaled down"
    )]
    let pixels = |units: f64| (units * f64::from(scale)).ceil() as u32;
    let mut pixmap = Pixmap::new(pixels(WIDTH), pixels(HEIGHT))
        .ok_or_else(|| PlotError::Drawn("no room for its pixels".to_owned()))?;
    resvg::render(
        tree,
        Transform::from_scale(scale, scale),
        &mut pixmap.as_mut(),
    );
    pack(&pixmap)
}

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
