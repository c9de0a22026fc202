//! Letters and pixels, compared with a foreign renderer's.

use super::*;

/// The pixels that resvg makes of a document.
fn rendered(tree: &Tree) -> Pixmap {
    let mut pixels = Pixmap::new(WIDTH as u32, HEIGHT as u32).unwrap();
    let whole = resvg::tiny_skia::Transform::default();
    resvg::render(tree, whole, &mut pixels.as_mut());
    pixels
}

/// The subset matches what the program assumes about it, and all letters have one width.
#[test]
fn the_font_has_every_letter_that_is_let_through() {
    let mut fonts = resvg::usvg::fontdb::Database::new();
    fonts.load_font_data(lettering::FONT.to_vec());
    assert_eq!(fonts.faces().count(), 1);
    assert_eq!(fonts.faces().next().unwrap().families[0].0, "Windrode Mono");
    assert!(lettering::FONT.len() < 40_000);
    let letters: Vec<char> = ('\u{20}'..='\u{2300}')
        .filter(|letter| lettering::covered(*letter) && !letter.is_whitespace())
        .collect();
    assert!(letters.len() > 320);
    for row in letters.chunks(16) {
        let says: String = row.iter().collect();
        let mut pen = writer::Svg::new(WIDTH, HEIGHT);
        let at = writer::Point { x: 10.0, y: 100.0 };
        pen.words(&says, at, 40.0, writer::Side::Start, writer::ink::BRIGHT);
        let tree = read(&pen.finish()).unwrap();
        let Some(Node::Text(text)) = tree.root().children().first() else {
            panic!("no text");
        };
        let glyphs = &text.layouted()[0].positioned_glyphs;
        assert_eq!(glyphs.len(), says.chars().count(), "{says}");
        for glyph in glyphs {
            // Glyph zero stands for letters that the font lacks.
            assert_ne!(glyph.id.0, 0, "`{}`", glyph.text);
        }
        let left = |at: usize| f64::from(glyphs[at].transform().tx);
        let step = left(1) - left(0);
        assert!((step - 40.0 * lettering::ADVANCE).abs() < 0.05, "{step}");
    }
}

/// resvg reads the SVG with its own parser, font library and layout. Only at edges may a pixel differ, by the
/// rounding of curves.
#[test]
fn the_pixels_are_those_of_a_foreign_renderer() {
    let mut ashore = charts::night();
    ashore.sight.heading = None;
    for input in [tern(), dragging(), silent(), ashore] {
        let theirs = rendered(&read(&svg(&input)).unwrap());
        let ours = raster::draw(&shapes(&input), 1.0).unwrap();
        let differences = theirs.pixels().iter().zip(ours.pixels()).map(|(a, b)| {
            let part = |a: u8, b: u8| a.abs_diff(b);
            let blue = part(a.blue(), b.blue());
            part(a.red(), b.red())
                .max(part(a.green(), b.green()))
                .max(blue)
        });
        let all: Vec<u8> = differences.collect();
        let beyond = |limit: u8| all.iter().filter(|it| **it > limit).count();
        assert!(beyond(2) < all.len() / 500, "{} pixels", beyond(2));
        assert!(beyond(64) < 20, "{} pixels", beyond(64));
    }
}

#[test]
fn the_pixels_are_there_and_few_bytes() {
    for input in [tern(), dragging()] {
        let bytes = png(&input).unwrap();
        assert!(bytes.len() <= LARGEST_PNG, "{}", bytes.len());
        let pixmap = Pixmap::decode_png(&bytes).unwrap();
        assert_eq!((pixmap.width(), pixmap.height()), (720, 1200));
        // Night vision: the whole picture emits little blue.
        let sum = |part: fn(&resvg::tiny_skia::PremultipliedColorU8) -> u8| -> u64 {
            pixmap
                .pixels()
                .iter()
                .map(|pixel| u64::from(part(pixel)))
                .sum()
        };
        assert!(sum(|p| p.blue()) * 2 < sum(|p| p.red()));
        // Something bright is on it, and the background is dark.
        assert!(pixmap.pixels().iter().any(|pixel| pixel.red() > 240));
        let corner = pixmap.pixel(1, 1).unwrap();
        assert!(corner.red() < 30 && corner.alpha() == 255);
    }
}
