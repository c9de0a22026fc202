//! A crew that uses feet never reads a length in metres.

use super::*;
use crate::speech::Wording;
use crate::units::LengthUnit;

/// A number followed by metres.
fn metric(words: &str) -> bool {
    let tokens: Vec<&str> = words
        .split([' ', ',', ';', '(', ')', ':', '.'])
        .filter(|token| !token.is_empty())
        .collect();
    tokens
        .windows(2)
        .any(|pair| pair[1] == "m" && pair[0].chars().all(|c| c.is_ascii_digit()))
}

/// Every message so far, to any recipient.
fn said(scene: &Scene) -> Vec<String> {
    let words = |output: &Output| match output {
        Output::Event(event) => vec![event.message.clone()],
        Output::Alert(alert) => vec![alert.message.clone()],
        Output::Publish(state) => {
            let pull = state.pull_test.as_ref().map(|pull| pull.why.clone());
            state.remarks.iter().cloned().chain(pull).collect()
        }
        Output::Reply { outcome, .. } => match outcome {
            Outcome::Done(words) | Outcome::Refused(words) => vec![words.clone()],
        },
        Output::Persist(_) | Output::AskChart(_) | Output::KeepSoundings(_) => Vec::new(),
    };
    scene.heard.iter().flat_map(words).collect()
}

/// Orders, valid and invalid.
fn slips() -> Vec<Command> {
    let north = |metres: f64| first().moved(Bearing::from_degrees(0.0), Metres::of(metres));
    let again = |order: LetGo| {
        Command::LetGo(LetGo {
            reanchored: true,
            ..order
        })
    };
    vec![
        Command::Berth(Some(north(120.0).into())),
        Command::Berth(Some(north(900_000.0).into())),
        Command::LetGo(LetGo::default()),
        again(LetGo {
            rode: Metres::new(8.0),
            ..LetGo::default()
        }),
        again(LetGo {
            depth: Metres::new(130.0),
            ..LetGo::default()
        }),
        again(LetGo {
            rode: Metres::new(70.0),
            ..LetGo::default()
        }),
        again(LetGo {
            rode: Metres::new(40.0),
            ..LetGo::default()
        }),
        Command::LetGo(LetGo::default()),
        Command::LetGo(LetGo {
            kind: MooringKind::SecondAnchor,
            ..LetGo::default()
        }),
        Command::LetGo(LetGo {
            kind: MooringKind::SecondAnchor,
            position: Some(north(12.0)),
            ..LetGo::default()
        }),
        again(LetGo {
            kind: MooringKind::SecondAnchor,
            position: Some(north(15.0)),
            ..LetGo::default()
        }),
        Command::RodeOut(Metres::of(42.0)),
        Command::RodeOut(Metres::of(75.0)),
        Command::RodeOut(Metres::of(500.0)),
        Command::RodeOut(Metres::of(40.0)),
        Command::MaxRadius(Metres::new(70.0)),
        Command::MaxRadius(Metres::new(90.0)),
        Command::MaxRadius(Metres::new(900.0)),
        Command::CorrectMark(north(11.0)),
        Command::CorrectMark(north(800.0)),
        Command::MaxRadius(None),
        again(LetGo {
            rode: Metres::new(40.0),
            ..LetGo::default()
        }),
    ]
}

/// A bad night with every slip that this crew can make: returns every message.
pub(super) fn night(wording: Wording) -> Vec<String> {
    let mut settings = settings();
    settings.wording = wording;
    settings.boat.rode_aboard = Some(Metres::of(60.0));
    let mut scene = Scene::new();
    scene.keeper = Watchkeeper::new(at(0), settings, Saved::default());
    scene.keeper.handle(at(0), Input::Link(LinkState::Up));
    scene.run(20);
    for order in slips() {
        scene.command_by(By::Server, order);
        scene.run(2);
    }
    for decimetre in 0..300_u32 {
        scene.lie(f64::from(decimetre) / 10.0);
        scene.step();
    }
    scene.command(Command::PullTest(true));
    scene.rpm = Some(2000.0);
    scene.run(100);
    scene.command(Command::PullTest(false));
    scene.rpm = Some(0.0);
    scene.run(700);
    let tide = vec![
        Fact::TideNow(Metres::new(1.0)),
        Fact::TideHigh(Metres::new(4.0)),
        Fact::TideLow(Metres::new(-5.0)),
        Fact::Satellites(Some(4)),
        Fact::HorizontalDilution(Some(4.0)),
    ];
    scene.report("boat.1", tide);
    scene.run(30);
    // A leap of the position, the drag, rest, weighing and drifting.
    let anchored = scene.roller;
    scene.roller = Offset::polar(Bearing::from_degrees(90.0), Metres::of(2000.0));
    scene.run(150);
    scene.roller = anchored;
    scene.run(120);
    for metre in 30..70_u32 {
        scene.lie(f64::from(metre));
        scene.run(2);
    }
    scene.run(1800);
    scene.command(Command::Weigh);
    for metre in 0..60_u32 {
        scene.lie(69.0 + f64::from(metre));
        scene.run(20);
    }
    scene.run(900);
    said(&scene)
}

#[test]
fn no_message_is_in_metres_for_a_crew_that_uses_feet() {
    let of = |lengths| {
        let mut told = night(Wording::in_unit(lengths));
        told.retain(|words| lengths == LengthUnit::Feet || metric(words));
        told.sort();
        told.dedup();
        told
    };
    let metres = of(LengthUnit::Metres);
    // The story must mention lengths, these among them, or the test shows nothing.
    for words in [
        "from the old mark",
        "aboard",
        "does not reach the bottom",
        "is out of range;",
        "was widened",
        "from the first",
        "she moved",
        "jumped by",
        "dragging:",
        "she holds again",
        "under the keel",
        "from the berth",
    ] {
        assert!(metres.iter().any(|said| said.contains(words)), "{words}");
    }
    let feet = of(LengthUnit::Feet);
    let wrong: Vec<&String> = feet.iter().filter(|words| metric(words)).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}
