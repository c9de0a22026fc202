//! Any input gives a picture.

use proptest::prelude::*;

use super::*;

/// Any values that the sensors, the crew or a corrupted file could give.
fn any_input() -> impl Strategy<Value = PictureInput> {
    let metres = || {
        prop_oneof![
            Just(0.0),
            -1e3..1e3_f64,
            -1e308..1e308_f64,
            0.0..5.0_f64,
            Just(1e-300)
        ]
        .prop_map(Metres::of)
    };
    let near = (-0.01..0.01_f64, -0.01..0.01_f64)
        .prop_map(|(north, east)| Position::new(59.8539 + north, 23.26 + east).unwrap());
    let anywhere = (-90.0..=90.0_f64, -180.0..=180.0_f64)
        .prop_map(|(north, east)| Position::new(north, east).unwrap());
    let position = prop_oneof![3 => near, 1 => anywhere].boxed();
    let bearing = (0.0..360.0_f64).prop_map(Bearing::from_degrees);
    let millis = prop_oneof![0..4_000_000_i64, any::<i64>()];
    let point = (millis, position.clone()).prop_map(|(ago, position)| TrackPoint {
        time: Timestamp::from_millis(time().as_millis().saturating_sub(ago)),
        position,
    });
    let track = prop_oneof![
        9 => prop::collection::vec(point.clone(), 0..60),
        1 => prop::collection::vec(point, 0..3000)
    ];
    let one_alert = (
        prop::sample::select(&Hazard::ALL[..]),
        prop::sample::select(&Priority::ALL[..]),
        prop::sample::select(vec![
            AlertState::ActiveUnacknowledged,
            AlertState::ActiveSilenced,
            AlertState::ActiveAcknowledged,
            AlertState::RectifiedUnacknowledged,
        ]),
        "\\PC{0,300}|[\\x00-\\x7f]{0,900}",
    )
        .prop_map(|(hazard, priority, state, message)| alert(hazard, priority, state, &message));
    let some = prop::option::of::<BoxedStrategy<Position>>;
    (
        (
            some(position.clone()),
            some(position.clone()),
            some(position.clone()),
            some(position),
        ),
        prop::collection::vec(prop::option::of(metres()), 7),
        (
            prop::option::of(bearing.clone()),
            prop::option::of(bearing),
            prop::option::of(any::<f64>()),
        ),
        (metres(), track, prop::collection::vec(one_alert, 0..9)),
    )
        .prop_map(
            |(
                (anchor, centre, roller, berth),
                lengths,
                (heading, wind, number),
                (length, track, alerts),
            )| {
                PictureInput {
                    lengths: LengthUnit::Metres,
                    language: Language::default(),
                    clock: crate::time::ShipClock::default(),
                    charts: Vec::new(),
                    time: time(),
                    alerts,
                    picture: WatchState {
                        anchor,
                        centre,
                        roller,
                        berth,
                        max_radius: lengths[0],
                        reach: lengths[1],
                        current_radius: lengths[2],
                        anchor_distance: lengths[3],
                        anchor_moved: lengths[4],
                        fix_uncertainty: lengths[5],
                        anchor_bearing: wind,
                        wind_direction: wind,
                        wind_speed: lengths[5].map(|metres| Speed::of(metres.get())),
                        wind_shift: Some(Angle::from_degrees(70.0)),
                        water_depth: lengths[6],
                        scope: number,
                        berth_time: number,
                        ..WatchState::default()
                    },
                    sight: Sight {
                        heading,
                        length,
                        beam: lengths[6],
                        under_keel: lengths[6],
                        track,
                    },
                }
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn any_input_gives_a_picture_within_the_bound(input in any_input()) {
        let document = svg(&input);
        prop_assert!(document.len() < 60_000, "{}", document.len());
        let bytes = png(&input).unwrap();
        prop_assert!(bytes.len() <= LARGEST_PNG, "{}", bytes.len());
        prop_assert!(Pixmap::decode_png(&bytes).is_ok());
        no_collisions(&input);
    }
}
