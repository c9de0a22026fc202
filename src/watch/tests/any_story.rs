//! Any events, in any order.

use proptest::prelude::*;

use super::*;
use crate::chart::clearance::{DepthThere, Finding, RoomTold};
use crate::units::Angle;
use crate::watch::charted::{ChartAnswer, ChartSays};
use crate::watch::messages::SnubberOrder;

#[expect(clippy::too_many_lines, reason = "one of every input")]
fn arbitrary_input() -> impl Strategy<Value = Input> {
    let far = prop_oneof![-80.0..80.0_f64, Just(50_000.0)];
    let source = prop_oneof![Just("gps0.GP"), Just("gps1.GP")];
    let position =
        (source, far, -80.0..80.0_f64, any::<bool>()).prop_map(|(source, e, n, null)| {
            let offset = Offset { east: e, north: n };
            let place = Plane::at(first()).position(offset);
            (source, Fact::Position((!null).then_some(place)))
        });
    let other = prop_oneof![
        Just(Fact::FixMethod(Some(FixMethod::NoFix))),
        Just(Fact::FixMethod(Some(FixMethod::Satellite))),
        Just(Fact::HeadingTrue(None)),
        (0.0..360.0_f64).prop_map(|d| Fact::HeadingTrue(Some(Bearing::from_degrees(d)))),
        (0.0..360.0_f64).prop_map(|d| Fact::WindDirectionTrue(Some(Bearing::from_degrees(d)))),
        (0.0..40.0_f64).prop_map(|s| Fact::WindSpeedTrue(Speed::new(s))),
        (-5.0..40.0_f64).prop_map(|d| Fact::DepthBelowKeel(Metres::new(d))),
        Just(Fact::WindAngleApparent(Some(Angle::ZERO))),
        (0.0..50.0_f64).prop_map(|rate| Fact::Revolutions {
            engine: Label::new("main"),
            rate: Hertz::new(rate),
        }),
    ]
    .prop_map(|fact| ("gps0.GP", fact));
    let report = prop_oneof![4 => position, 2 => other].prop_map(|(source, fact)| {
        Input::Report(Report {
            subject: Subject::Own,
            source: Label::new(source),
            stamp: None,
            facts: vec![fact],
        })
    });
    let command = prop_oneof![
        Just(Command::LetGo(LetGo::default())),
        Just(Command::LetGo(LetGo {
            rode: Metres::new(40.0),
            reanchored: true,
            ..LetGo::default()
        })),
        (0.0..100.0_f64).prop_map(|m| Command::RodeOut(Metres::of(m))),
        Just(Command::Weigh),
        Just(Command::Acknowledge(None)),
        Just(Command::Silence(None)),
        Just(Command::MaxRadius(Metres::new(20.0))),
        Just(Command::CorrectMark(first())),
        Just(Command::Berth(Some(first().into()))),
        any::<bool>().prop_map(Command::PullTest),
        prop::option::of((5.0..60.0_f64, 1.0..20.0_f64)).prop_map(|snubber| {
            Command::Snubber(snubber.map(|(at, length)| SnubberOrder {
                at: Metres::new(at),
                length: Metres::new(length),
            }))
        }),
        (0..MooringKind::ALL.len(), any::<bool>(), any::<bool>()).prop_map(
            |(kind, given, from_track)| {
                Command::LetGo(LetGo {
                    kind: MooringKind::ALL[kind],
                    radius: given.then_some(Metres::of(15.0)),
                    from_track,
                    ..LetGo::default()
                })
            }
        ),
    ]
    .prop_map(|command| Input::Command {
        id: 1,
        command,
        by: By::Terminal,
    });
    let link = prop_oneof![
        Just(LinkState::Up),
        Just(LinkState::Down("gone".into())),
        Just(LinkState::Impaired("mute".into())),
    ]
    .prop_map(Input::Link);
    let phones = prop_oneof![
        Just(Phones::Working),
        Just(Phones::Doubtful("mate".to_owned())),
        Just(Phones::Lost("mate".to_owned())),
    ]
    .prop_map(Input::Phones);
    let chart = prop_oneof![
        any::<bool>().prop_map(ChartNews::Kept),
        any::<bool>().prop_map(ChartNews::Sounded),
        any::<bool>().prop_map(ChartNews::Forgotten),
        (0..6_u64, any::<bool>(), any::<bool>(), -3.0..9.0_f64).prop_map(
            |(number, fails, shoal, least)| {
                let room = RoomTold {
                    clears: !shoal,
                    findings: if shoal {
                        vec![Finding::Grounds]
                    } else {
                        Vec::new()
                    },
                    reasons: if shoal {
                        vec!["shoal".to_owned()]
                    } else {
                        Vec::new()
                    },
                    ..RoomTold::default()
                };
                let there = DepthThere {
                    least: Metres::of(least),
                    most: None,
                    cell: Some("BAY".to_owned()),
                    sounded: None,
                };
                let says = if fails {
                    Err("no disk".to_owned())
                } else {
                    Ok(ChartSays {
                        there: Some(there),
                        room: Some(room),
                    })
                };
                ChartNews::Said(Box::new(ChartAnswer { number, says }))
            }
        ),
    ]
    .prop_map(Input::Chart);
    prop_oneof![2 => chart, 8 => report, 1 => command, 1 => link, 1 => phones, 2 => Just(Input::Timeout)]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Any events in any order, with gaps, time going backwards and restarts: nothing panics, phase
    /// and hazards agree, no unacknowledged alert is lost, and the same story played twice gives
    /// the same outputs byte for byte.
    #[test]
    fn any_story_keeps_the_watch_whole(
        story in prop::collection::vec((arbitrary_input(), -5_i64..90, 0..40_u8), 1..200),
    ) {
        let tell = || {
            let mut keeper = Watchkeeper::new(at(0), settings(), Saved::default());
            let mut second = 0_u64;
            let mut told = String::new();
            for (input, gap, fate) in &story {
                second = second.saturating_add_signed(*gap);
                let now = at(second);
                keeper.handle(now, input.clone());
                if *fate == 0 {
                    let unseen = |k: &Watchkeeper| {
                        k.alerts()
                            .iter()
                            .filter(|a| a.state != AlertState::ActiveAcknowledged)
                            .filter(|a| a.hazard != Hazard::Watch)
                            .map(|a| a.hazard)
                            .collect::<Vec<_>>()
                    };
                    let before = unseen(&keeper);
                    keeper = Watchkeeper::new(now, settings(), keeper.saved());
                    let last_seen = Some(now.utc);
                    keeper.handle(now, Input::Began { last_seen });
                    prop_assert_eq!(before, unseen(&keeper));
                }
                while let Some(output) = keeper.poll_output() {
                    told += &serde_json::to_string(&output).unwrap();
                }
                let saved = keeper.saved();
                prop_assert_eq!(saved.mark.is_some(), saved.phase.is_anchored());
                if state(&keeper, Hazard::Dragging).is_active() {
                    prop_assert_ne!(saved.phase, AnchorPhase::Aweigh);
                }
                if saved.phase == AnchorPhase::Aweigh {
                    for hazard in [
                        Hazard::Dragging,
                        Hazard::SwingExceeded,
                        Hazard::WindShift,
                        Hazard::WindStrength,
                    ] {
                        prop_assert_eq!(state(&keeper, hazard), AlertState::Normal);
                    }
                }
            }
            Ok(told)
        };
        prop_assert_eq!(tell()?, tell()?);
    }
}
