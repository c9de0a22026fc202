//! `windrode replay` as its users meet it.

use std::io::Write as _;

use flate2::Compression;
use flate2::write::GzEncoder;

use super::Windrode;

/// Ten seconds of position and depth, with an order to let go in the middle.
pub(super) fn recording() -> String {
    let mut lines = Vec::new();
    for second in 0..10 {
        lines.push(format!(
            r#"{{"context":"vessels.self","updates":[{{"$source":"gps0.GP","timestamp":"2026-06-01T21:30:0{second}Z","values":[{{"path":"navigation.position","value":{{"latitude":59.8539,"longitude":23.26}}}},{{"path":"environment.depth.belowSurface","value":8.0}}]}}]}}"#
        ));
        if second == 4 {
            lines.push(PUT.to_owned());
        }
    }
    lines.join("\n") + "\n"
}

const PUT: &str = r#"{"context":"vessels.self","put":{"path":"navigation.anchor.watch.letGo","value":{"rode":40}}}"#;
/// 40 m of rode over 8 m of water and 1 m of freeboard: sqrt((40 · 1.02)² - 9²) = 39.79 m.
const LET_GO: &str = concat!(
    r#"{"time":"2026-06-01T21:30:04.000Z","event":"phase","message":"setting: anchor let go at 59°51.234'N 023°15.600'E, 40 m of rode to be veered, in 8.0 m of water; there is no heading, so this is the position of the GPS antenna, and the anchor may lie 11 m from it","evidence":{"anchorDistance":0.0,"phase":"setting","reach":39.79}}"#,
    "\n"
);
const COUNTS: &str = "11 lines over 9 s: 10 deltas, 1 commands, 0 skipped; 1 events\n";

#[test]
fn a_recording_is_replayed_from_a_file_packed_or_not_and_from_standard_input() {
    let text = recording();
    let mut packer = GzEncoder::new(Vec::new(), Compression::default());
    packer.write_all(text.as_bytes()).unwrap();
    let packed = packer.finish().unwrap();
    Windrode::new(&["replay", "night.jsonl"])
        .file("night.jsonl", text.as_bytes())
        .says(LET_GO)
        .complains(COUNTS)
        .status(0);
    Windrode::new(&["replay", "night.jsonl.gz"])
        .file("night.jsonl.gz", &packed)
        .says(LET_GO)
        .complains(COUNTS)
        .status(0);
    Windrode::new(&["replay", "-"])
        .stdin(text.as_bytes())
        .says(LET_GO)
        .complains(COUNTS)
        .status(0);
    Windrode::new(&["replay", "-"])
        .stdin(&packed)
        .says(LET_GO)
        .complains(COUNTS)
        .status(0);
}

#[test]
fn letting_go_can_be_said_for_a_recording_that_has_no_order() {
    let text = recording().replace(&format!("{PUT}\n"), "");
    Windrode::new(&[
        "replay",
        "-",
        "--let-go",
        "2026-06-01T21:30:04Z",
        "--rode",
        "40m",
    ])
    .stdin(text.as_bytes())
    .says(LET_GO)
    .complains("10 lines over 9 s: 10 deltas, 1 commands, 0 skipped; 1 events\n")
    .status(0);
    Windrode::new(&["replay", "-", "--rode", "40m"])
        .complains(
            "error: the following required arguments were not provided:\n  --let-go <TIME>\n\n\
             Usage: windrode replay --let-go <TIME> --rode <LENGTH> --config <FILE> <FILE>\n\n\
             For more information, try '--help'.\n",
        )
        .status(64);
}

#[test]
fn bad_lines_are_told_with_their_number_and_skipped() {
    let text = recording().replacen('\n', "\n{\"updates\":\n", 1);
    Windrode::new(&["replay", "-"])
        .stdin(text.as_bytes())
        .says(LET_GO)
        .complains(
            "windrode: line 2 skipped: the frame cannot be read: EOF while parsing a value at line 1 \
             column 11; one JSON object a frame is expected\n\
             12 lines over 9 s: 10 deltas, 1 commands, 1 skipped; 1 events\n",
        )
        .status(0);
}

#[test]
fn what_is_no_recording_is_said_to_be_none() {
    Windrode::new(&["replay", "none.jsonl"])
        .complains(
            "windrode: `none.jsonl` cannot be read: No such file or directory (os error 2)\n",
        )
        .status(74);
    // The first bytes of a picture: not UTF-8, and no lines to speak of.
    Windrode::new(&["replay", "tern.png"])
        .file("tern.png", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\xff\xfe")
        .complains(
            "windrode: line 1 skipped: invalid utf-8 sequence of 1 bytes from index 0\n\
             windrode: line 2 skipped: the frame cannot be read: expected value at line 1 column 1; one \
             JSON object a frame is expected\n\
             windrode: line 3 skipped: invalid utf-8 sequence of 1 bytes from index 8\n\
             3 lines over 0 s: 0 deltas, 0 commands, 3 skipped; 0 events\n\
             windrode: `tern.png` holds no Signal K delta; one JSON message a line is expected\n",
        )
        .status(65);
    Windrode::new(&["replay", "cut.gz"])
        .file("cut.gz", b"\x1f\x8b\x08\0\0\0\0\0\0\x03\xcbH")
        .complains(
            "windrode: line 1 skipped: the recording is cut off here\n\
             1 lines over 0 s: 0 deltas, 0 commands, 1 skipped; 0 events\n\
             windrode: `cut.gz` holds no Signal K delta; one JSON message a line is expected\n",
        )
        .status(65);
    Windrode::new(&["replay", "-"])
        .complains(
            "0 lines over 0 s: 0 deltas, 0 commands, 0 skipped; 0 events\n\
             windrode: `-` holds no Signal K delta; one JSON message a line is expected\n",
        )
        .status(65);
}
