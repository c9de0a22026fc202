//! Sentences of a transponder: `!AIVDM` of IEC 61162-1 with the messages of ITU-R M.1371-5 (annex 8; tables from
//! memory, checked against a published sentence below).

use windrode::geodesy::Position;

/// Message 1: position report of class A.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Report {
    pub(crate) mmsi: u32,
    /// 1 at anchor, 5 moored, 15 not defined.
    pub(crate) status: u8,
    /// Tenths of a knot; 1023 not available.
    pub(crate) speed: u16,
    /// Ten-thousandths of a minute; 181° not available.
    pub(crate) longitude: i32,
    /// 91° not available.
    pub(crate) latitude: i32,
    /// Tenths of a degree; 3600 not available.
    pub(crate) course: u16,
    /// Degrees; 511 not available.
    pub(crate) heading: u16,
    /// Of the minute.
    pub(crate) second: u8,
    /// Of the radio.
    pub(crate) state: u32,
}

/// In ten-thousandths of a minute.
pub(crate) fn coordinates(position: Position) -> (i32, i32) {
    #[expect(clippy::cast_possible_truncation, reason = "108 000 000 at most")]
    let fine = |degrees: f64| (degrees * 600_000.0).round() as i32;
    (fine(position.latitude()), fine(position.longitude()))
}

impl Report {
    /// The sentence, without its checksum.
    pub(crate) fn sentence(&self) -> String {
        let mut bits = Bits::default();
        bits.put(1, 6).put(0, 2).put(i64::from(self.mmsi), 30);
        bits.put(i64::from(self.status), 4).put(0, 8);
        bits.put(i64::from(self.speed), 10).put(0, 1);
        bits.put(i64::from(self.longitude), 28);
        bits.put(i64::from(self.latitude), 27);
        bits.put(i64::from(self.course), 12);
        bits.put(i64::from(self.heading), 9);
        bits.put(i64::from(self.second), 6).put(0, 2).put(0, 3);
        bits.put(0, 1).put(i64::from(self.state), 19);
        format!("!AIVDM,1,1,,B,{},0", bits.armoured().0)
    }
}

/// Message 24, part A: her name, of at most 20 letters.
pub(crate) fn name(mmsi: u32, name: &str) -> String {
    let mut bits = Bits::default();
    bits.put(24, 6).put(0, 2).put(i64::from(mmsi), 30).put(0, 2);
    bits.text(name, 20);
    let (payload, fill) = bits.armoured();
    format!("!AIVDM,1,1,,A,{payload},{fill}")
}

/// Message 24, part B: a sailing vessel, and the distances from her antenna to bow, stern, port and starboard side.
pub(crate) fn figures(mmsi: u32, [bow, stern, port, starboard]: [u16; 4]) -> String {
    let mut bits = Bits::default();
    bits.put(24, 6).put(0, 2).put(i64::from(mmsi), 30).put(1, 2);
    bits.put(36, 8).text("", 7).text("", 7);
    bits.put(i64::from(bow), 9).put(i64::from(stern), 9);
    bits.put(i64::from(port), 6).put(i64::from(starboard), 6);
    bits.put(0, 6);
    let (payload, fill) = bits.armoured();
    format!("!AIVDM,1,1,,A,{payload},{fill}")
}

#[derive(Default)]
struct Bits(Vec<bool>);

impl Bits {
    fn put(&mut self, value: i64, width: u32) -> &mut Self {
        self.0
            .extend((0..width).rev().map(|bit| value >> bit & 1 == 1));
        self
    }

    /// Six bits a letter: `@` and the letters are 0 to 31, digits and marks keep their ASCII codes.
    fn text(&mut self, text: &str, letters: usize) -> &mut Self {
        let padded = text.bytes().chain(std::iter::repeat(b'@'));
        for letter in padded.take(letters) {
            self.put(i64::from(letter & 0x3f), 6);
        }
        self
    }

    /// Six bits a character, and the number of fill bits in the last one.
    fn armoured(&self) -> (String, usize) {
        let fill = (6 - self.0.len() % 6) % 6;
        let padded = self.0.iter().copied().chain(vec![false; fill]);
        let all: Vec<bool> = padded.collect();
        let characters = all.chunks(6).map(|six| {
            let value = six.iter().fold(0_u8, |sum, bit| sum << 1 | u8::from(*bit));
            char::from(if value < 40 { value + 48 } else { value + 56 })
        });
        (characters.collect(), fill)
    }
}

/// The sentence that a public description of the format decodes field by field (gpsd's *AIVDM/AIVDO protocol
/// decoding*, from memory): moored at Seattle, 47.582833° N 122.345833° W, course 51°, heading 181°.
#[test]
fn the_encoder_makes_a_published_sentence() {
    let (latitude, longitude) = coordinates(Position::of(47.582_833_333, -122.345_833_333));
    let report = Report {
        mmsi: 477_553_000,
        status: 5,
        speed: 0,
        longitude,
        latitude,
        course: 510,
        heading: 181,
        second: 15,
        state: 149_208,
    };
    assert_eq!(
        report.sentence(),
        "!AIVDM,1,1,,B,177KQJ5000G?tO`K>RA1wUbN0TKH,0"
    );
}
