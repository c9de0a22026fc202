use super::*;
use crate::alert::hazard::Hazard;
use std::fmt::Write as _;
use std::io::Write as _;

#[derive(Default)]
struct Heard {
    events: Vec<Event>,
    bad: Vec<(u64, String)>,
}

impl Listener for Heard {
    fn event(&mut self, event: &Event) -> io::Result<()> {
        self.events.push(event.clone());
        Ok(())
    }
    fn bad_line(&mut self, number: u64, why: &str) -> io::Result<()> {
        self.bad.push((number, why.to_owned()));
        Ok(())
    }
}

fn stamp(second: u64) -> Timestamp {
    Timestamp::from_millis(1_780_000_000_000).plus(Duration::from_secs(second))
}

/// A fix `north` metres north of the first, with heading and depth.
fn line(second: u64, north: f64, context: &str) -> String {
    let latitude = 59.8539 + north / 111_412.0;
    let wobble = 23.26 + 1e-7 * (second % 5) as f64;
    format!(
        r#"{{"context":"{context}","updates":[{{"$source":"gps0.GP","timestamp":"{}","values":[{{"path":"navigation.position","value":{{"latitude":{latitude},"longitude":{wobble}}}}},{{"path":"environment.depth.belowSurface","value":8.0}}]}}]}}"#,
        stamp(second)
    )
}

/// Lies still for 20 minutes, then goes north at 0.2 m/s for as long again.
fn drag(context: &str) -> String {
    let mut text = String::new();
    for second in 0..2400_u64 {
        let north = if second < 1200 {
            0.0
        } else {
            (second - 1200) as f64 * 0.2
        };
        writeln!(text, "{}", line(second, north, context)).unwrap();
    }
    text
}

fn options() -> ReplayOptions {
    ReplayOptions {
        let_go: Some((
            stamp(60),
            LetGo {
                rode: crate::units::Metres::new(40.0),
                ..LetGo::default()
            },
        )),
        ..ReplayOptions::default()
    }
}

fn opened(text: &[u8]) -> Box<dyn Read + Send> {
    unpacked(io::Cursor::new(text.to_vec())).unwrap()
}

fn heard(text: &[u8], options: &ReplayOptions) -> (Counts, Heard) {
    let mut listener = Heard::default();
    let counts = replay(opened(text), options, &mut listener).unwrap();
    (counts, listener)
}

fn alarm(heard: &Heard) -> Option<Timestamp> {
    heard
        .events
        .iter()
        .find(|e| e.is_drag_alarm())
        .map(|e| e.time)
}

#[test]
fn a_drag_is_found_at_the_recording_s_own_time_packed_or_not() {
    let text = drag("vessels.self");
    let (counts, plain) = heard(text.as_bytes(), &options());
    assert_eq!(
        (counts.lines, counts.deltas, counts.commands, counts.bad),
        (2400, 2400, 1, 0)
    );
    assert_eq!(counts.span, Duration::from_secs(2399));
    let time = alarm(&plain).expect("no alarm");
    assert!(time > stamp(1200) && time < stamp(2399), "{time}");

    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    packer.write_all(text.as_bytes()).unwrap();
    let (_, packed) = heard(&packer.finish().unwrap(), &options());
    assert_eq!(plain.events, packed.events);
}

#[test]
fn a_put_in_the_recording_is_judged_at_the_time_of_the_line_before_it() {
    let mut lines: Vec<_> = drag("vessels.self").lines().map(str::to_owned).collect();
    lines.insert(
        100,
        r#"{"context":"vessels.self","requestId":"a","put":{"path":"navigation.anchor.watch.letGo","value":{"rode":40}}}"#.to_owned(),
    );
    let (counts, heard) = heard(lines.join("\n").as_bytes(), &ReplayOptions::default());
    assert_eq!(counts.commands, 1);
    let phase = heard
        .events
        .iter()
        .find(|e| e.event == EventKind::Phase)
        .unwrap();
    assert_eq!(phase.time, stamp(99));
    assert!(alarm(&heard).is_some());
}

#[test]
fn bad_lines_are_told_with_their_number_and_skipped() {
    let mut lines: Vec<_> = drag("vessels.self").lines().map(str::to_owned).collect();
    lines[4] = "{\"half a line".to_owned();
    lines[9] = "[1,2,3]".to_owned();
    lines[14] = format!("\"{}\"", "x".repeat(2 << 20));
    lines[19] = r#"{"context":"vessels.urn:mrn:imo:mmsi:244123456","put":[{"path":"navigation.anchor.watch.weigh","value":true}]}"#.to_owned();
    let (counts, heard) = heard(lines.join("\n").as_bytes(), &options());
    let numbers: Vec<_> = heard.bad.iter().map(|(number, _)| *number).collect();
    assert_eq!((counts.bad, numbers), (4, vec![5, 10, 15, 20]));
    assert_eq!(heard.bad[2].1, "it is longer than any frame of the stream");
    assert!(alarm(&heard).is_some());
}

#[test]
fn one_line_from_the_future_does_not_end_the_night() {
    let text = drag("vessels.self");
    let mut lines: Vec<_> = text.lines().map(str::to_owned).collect();
    lines.insert(300, line(3_000_000_000, 0.0, "vessels.self"));
    lines.insert(400, line(0, 0.0, "vessels.self"));
    let (counts, with) = heard(lines.join("\n").as_bytes(), &options());
    let (_, without) = heard(text.as_bytes(), &options());
    assert_eq!(counts.span, Duration::from_secs(2399));
    // A stray fix at the mark is also evidence, though weak: it costs some seconds.
    let (with, without) = (alarm(&with).unwrap(), alarm(&without).unwrap());
    assert!(with.millis_since(without).abs() <= 5000, "{with} {without}");
}

#[test]
fn a_gap_of_hours_is_passed_and_told() {
    let mut text = String::new();
    for second in (0..600).chain(30_000..30_600) {
        writeln!(text, "{}", line(second, 0.0, "vessels.self")).unwrap();
    }
    let (_, heard) = heard(text.as_bytes(), &options());
    let kinds: Vec<_> = heard.events.iter().map(|e| (e.event, e.hazard)).collect();
    assert!(
        kinds.contains(&(EventKind::Raised, Some(Hazard::DataLink))),
        "{kinds:?}"
    );
    assert!(
        kinds.contains(&(EventKind::Cleared, Some(Hazard::DataLink))),
        "{kinds:?}"
    );
    assert!(
        !kinds.contains(&(EventKind::Raised, Some(Hazard::Dragging))),
        "{kinds:?}"
    );
}

#[test]
fn our_own_vessel_is_found_by_what_no_transponder_sends() {
    let (_, heard) = heard(
        drag("vessels.urn:mrn:imo:mmsi:230099999").as_bytes(),
        &options(),
    );
    assert!(alarm(&heard).is_some());
}

#[test]
fn a_let_go_after_the_end_is_told() {
    let late = ReplayOptions {
        let_go: Some((stamp(9_999_999), LetGo::default())),
        ..ReplayOptions::default()
    };
    let (counts, heard) = heard(drag("vessels.self").as_bytes(), &late);
    assert_eq!(counts.bad, 1);
    assert!(
        heard.bad[0]
            .1
            .starts_with("the recording ends before `--let-go`")
    );
}

/// A recording in two parts; between them a closure runs.
struct Parts<F> {
    first: io::Cursor<Vec<u8>>,
    second: io::Cursor<Vec<u8>>,
    between: Option<F>,
}

impl<F: FnOnce() -> io::Result<()>> Read for Parts<F> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let read = self.first.read(into)?;
        if read > 0 {
            return Ok(read);
        }
        if let Some(between) = self.between.take() {
            between()?;
        }
        self.second.read(into)
    }
}

/// A recording that is still being written: the second half comes only when the first is reported.
#[test]
fn what_is_read_is_told_before_the_reader_waits_for_more() {
    struct Telling(mpsc::Sender<()>);
    impl Listener for Telling {
        fn event(&mut self, _: &Event) -> io::Result<()> {
            let _ = self.0.send(());
            Ok(())
        }
        fn bad_line(&mut self, _: u64, _: &str) -> io::Result<()> {
            Ok(())
        }
    }
    let text = drag("vessels.self");
    // In the middle of a line.
    let (first, second) = text.split_at(text.len() / 2 + 17);
    let (told, heard) = mpsc::channel();
    let parts = Parts {
        first: io::Cursor::new(first.into()),
        second: io::Cursor::new(second.into()),
        between: Some(move || {
            heard
                .recv_timeout(Duration::from_mins(2))
                .map_err(io::Error::other)
        }),
    };
    let counts = replay(parts, &options(), &mut Telling(told)).unwrap();
    assert_eq!(counts.deltas, 2400);
}

#[test]
fn what_can_be_read_is_told_before_the_error_that_ends_it() {
    let text = drag("vessels.self");
    let parts = Parts {
        first: io::Cursor::new(text.into()),
        second: io::Cursor::default(),
        between: Some(|| Err(io::Error::other("the card is gone"))),
    };
    let mut listener = Heard::default();
    let error = replay(parts, &options(), &mut listener).unwrap_err();
    assert_eq!(error.to_string(), "the card is gone");
    assert!(alarm(&listener).is_some());
}

#[test]
fn a_listener_that_cannot_write_ends_it() {
    struct Full;
    impl Listener for Full {
        fn event(&mut self, _: &Event) -> io::Result<()> {
            Err(io::Error::other("full"))
        }
        fn bad_line(&mut self, _: u64, _: &str) -> io::Result<()> {
            Ok(())
        }
    }
    // More is to come, at some time.
    let (keep, never) = mpsc::channel::<()>();
    let parts = Parts {
        first: io::Cursor::new(drag("vessels.self").into()),
        second: io::Cursor::default(),
        between: Some(move || never.recv().map_err(io::Error::other)),
    };
    let error = replay(parts, &options(), &mut Full).unwrap_err();
    assert_eq!(error.to_string(), "full");
    drop(keep);
}

/// Before the first stamp there is no time: facts about the boat are kept until there is one.
#[test]
fn what_comes_before_the_first_stamp_is_not_lost() {
    let unstamped = r#"{"context":"vessels.self","updates":[{"$source":"defaults","values":[{"path":"design.length","value":{"overall":14}},{"path":"environment.depth.belowSurface","value":12.0}]}]}"#;
    let text = drag("vessels.self").replace("8.0}]", "null}]");
    let mut options = options();
    options.let_go.as_mut().unwrap().0 = stamp(2);
    let reach = |text: &str| {
        let (_, heard) = heard(text.as_bytes(), &options);
        let phase = heard.events.iter().find(|e| e.event == EventKind::Phase);
        phase.unwrap().evidence["reach"].as_f64().unwrap()
    };
    let known = reach(&format!("{unstamped}\n{text}"));
    let unknown = reach(&text);
    assert!(known < unknown - 1.0, "12 m of 40: {known}, {unknown}");
}

/// A PUT that is not for us costs one error message, however large it is.
#[test]
fn a_monstrous_put_costs_no_memory() {
    let context = "x".repeat(500_000);
    let entries = |count: usize| vec![r#"{"path":"","value":0}"#; count].join(",");
    let foreign = format!(r#"{{"context":"{context}","put":[{}]}}"#, entries(4000));
    let many = format!(r#"{{"put":[{}]}}"#, entries(5000));
    let (counts, heard) = heard(format!("{foreign}\n{many}").as_bytes(), &options());
    assert_eq!(counts.bad, 3, "and the recording ends before `--let-go`");
    assert!(heard.bad.iter().all(|(_, why)| why.len() < 300));
    assert!(
        heard.bad[1].1.contains("more than 4096 entries"),
        "{}",
        heard.bad[1].1
    );
}

/// The place of her own antenna is given once, before any instrument reports.
#[test]
fn what_is_said_of_her_antenna_first_of_all_is_taken() {
    let facts = |context: &str| {
        format!(
            r#"{{"context":"{context}","updates":[{{"$source":"defaults","timestamp":"{}","values":[{{"path":"design.length","value":{{"overall":17.0}}}},{{"path":"sensors.gps.fromBow","value":12.0}}]}}]}}"#,
            stamp(0)
        )
    };
    let told = |context: &str, said: bool| {
        let said = if said { facts(context) } else { String::new() };
        let (_, heard) = heard(format!("{said}\n{}", drag(context)).as_bytes(), &options());
        let circle = |event: &Event| event.evidence.get("margin").cloned();
        heard.events.iter().find_map(circle).unwrap()
    };
    let other = "vessels.urn:mrn:imo:mmsi:230000001";
    assert_eq!(told(other, true), told("vessels.self", true));
    assert_ne!(told(other, true), told(other, false));
}
