use super::*;
use crate::boat::BoatFigures;

const NOW: Tick = Tick::from_secs(100);

fn taken(facts: &[Fact]) -> Instruments {
    let mut instruments = Instruments::default();
    for fact in facts {
        instruments.take(NOW, fact);
    }
    instruments
}

/// Motoring north at 3 m/s with an apparent wind of 4 m/s from dead ahead: 1 m/s from north is
/// left. On the beam: an apparent wind of 3 m/s from ahead and 4 m/s from abeam is a true wind of 4
/// m/s from the beam.
#[test]
fn apparent_wind_of_a_moving_boat_becomes_true_wind() {
    let boat = [
        Fact::HeadingTrue(Some(Bearing::from_degrees(0.0))),
        Fact::CourseOverGround(Some(Bearing::from_degrees(0.0))),
        Fact::SpeedOverGround(Some(Speed::of(3.0))),
    ];
    let mut ahead = boat.to_vec();
    ahead.push(Fact::WindAngleApparent(Some(Angle::ZERO)));
    ahead.push(Fact::WindSpeedApparent(Some(Speed::of(4.0))));
    let wind = taken(&ahead).wind(NOW).unwrap();
    assert!((wind.speed.get() - 1.0).abs() < 1e-9);
    assert!(wind.from.unwrap().since(Bearing::default()).get().abs() < 1e-9);

    let mut abeam = boat.to_vec();
    abeam.push(Fact::WindAngleApparent(Some(Angle::of(4.0_f64.atan2(3.0)))));
    abeam.push(Fact::WindSpeedApparent(Some(Speed::of(5.0))));
    let wind = taken(&abeam).wind(NOW).unwrap();
    assert!((wind.speed.get() - 4.0).abs() < 1e-9);
    assert!((wind.from.unwrap().degrees() - 90.0).abs() < 1e-9);
}

#[test]
fn reported_true_wind_takes_precedence_over_calculated() {
    let wind = taken(&[
        Fact::HeadingTrue(Some(Bearing::from_degrees(10.0))),
        Fact::WindAngleApparent(Some(Angle::ZERO)),
        Fact::WindSpeedApparent(Some(Speed::of(9.0))),
        Fact::WindDirectionTrue(Some(Bearing::from_degrees(200.0))),
        Fact::WindSpeedTrue(Some(Speed::of(7.0))),
    ])
    .wind(NOW)
    .unwrap();
    assert!((wind.from.unwrap().degrees() - 200.0).abs() < 1e-9 && wind.speed == Speed::of(7.0));
}

#[test]
fn without_a_heading_the_wind_of_a_boat_that_lies_has_a_strength() {
    let apparent = [
        Fact::WindAngleApparent(Some(Angle::ZERO)),
        Fact::WindSpeedApparent(Some(Speed::of(9.0))),
    ];
    let mut lying = apparent.to_vec();
    lying.push(Fact::SpeedOverGround(Some(Speed::of(0.4))));
    for facts in [apparent.to_vec(), lying] {
        let wind = taken(&facts).wind(NOW).unwrap();
        assert_eq!((wind.from, wind.speed), (None, Speed::of(9.0)));
    }
    let mut steaming = apparent.to_vec();
    steaming.push(Fact::SpeedOverGround(Some(Speed::of(3.0))));
    assert_eq!(taken(&steaming).wind(NOW), None);
    let spoken = taken(&[Fact::WindSpeedTrue(Some(Speed::of(7.0)))]);
    assert_eq!(
        spoken.wind(NOW).map(|wind| (wind.from, wind.speed)),
        Some((None, Speed::of(7.0)))
    );
}

#[test]
fn a_magnetic_heading_needs_the_variation() {
    let mut instruments = taken(&[Fact::HeadingMagnetic(Some(Angle::from_degrees(350.0)))]);
    assert_eq!(instruments.heading(NOW), None);
    instruments.take(
        NOW,
        &Fact::MagneticVariation(Some(Angle::from_degrees(15.0))),
    );
    assert!((instruments.heading(NOW).unwrap().degrees() - 5.0).abs() < 1e-9);
    assert_eq!(instruments.heading(NOW + Duration::from_mins(1)), None);
}

#[test]
fn each_reference_leads_to_the_same_water() {
    let boat = Boat::new(BoatFigures {
        draught: Some(Metres::of(1.9)),
        transducer_depth: Some(Metres::of(0.5)),
        ..BoatFigures::default()
    });
    for fact in [
        Fact::DepthBelowSurface(Some(Metres::of(8.0))),
        Fact::DepthBelowTransducer(Some(Metres::of(7.5))),
        Fact::DepthBelowKeel(Some(Metres::of(6.1))),
    ] {
        let instruments = taken(&[fact]);
        let depth = instruments.water_depth(NOW, &boat).unwrap();
        assert!((depth.get() - 8.0).abs() < 1e-9);
        // However long ago.
        let (at, depth) = instruments.last_water_depth(&boat).unwrap();
        assert!(at == NOW && (depth.get() - 8.0).abs() < 1e-9);
        assert!(!instruments.has_unusable_soundings(NOW, &boat));
    }
    // A sounding that is kept needs a sounder whose last digit changes.
    let mut sounder = Instruments::default();
    for second in 0..20_u32 {
        let depth = 6.1 + 0.01 * f64::from(second % 2);
        let fact = Fact::DepthBelowKeel(Some(Metres::of(depth)));
        sounder.take(Tick::from_secs(u64::from(second)), &fact);
    }
    let kept = sounder.sounding(Tick::from_secs(20), &boat).unwrap();
    assert!((kept.get() - 8.0).abs() < 0.02, "{kept:?}");
    let blank = Boat::default();
    let instruments = taken(&[Fact::DepthBelowKeel(Some(Metres::of(6.1)))]);
    assert_eq!(instruments.water_depth(NOW, &blank), None);
    assert!(instruments.has_unusable_soundings(NOW, &blank));
}

/// `$HEHDT,---,T` and `$SDDPT,0.0,0.5,` as the data server passes them on.
#[test]
fn a_heading_that_is_no_number_is_not_north() {
    let mut instruments = Instruments::default();
    let mut at = |second: u64, degrees: f64| {
        let heading = Fact::HeadingTrue(Some(Bearing::from_degrees(degrees)));
        instruments.take(Tick::from_secs(second), &heading);
        instruments.heading(Tick::from_secs(second))
    };
    assert!(at(1, 220.0).is_some());
    assert_eq!(at(2, 0.0), None);
    assert_eq!(at(600, 0.0), None);
    // A boat that swings passes through north.
    assert!(at(601, 355.0).is_some());
    assert!(at(602, 0.0).is_some());
    assert!(at(603, 4.0).is_some());
}

#[test]
fn an_offset_is_not_the_depth_of_a_lost_bottom() {
    let boat = Boat::new(BoatFigures {
        draught: Some(Metres::of(1.9)),
        ..BoatFigures::default()
    });
    let sounded = |second: u64, facts: &[Fact], instruments: &mut Instruments| {
        for fact in facts {
            instruments.take_offset(fact);
            instruments.take(Tick::from_secs(second), fact);
        }
        instruments.water_depth(Tick::from_secs(second), &boat)
    };
    let surface = Fact::SurfaceToTransducer(Some(Metres::of(0.5)));
    let mut instruments = Instruments::default();
    let lost = [
        Fact::DepthBelowTransducer(Some(Metres::ZERO)),
        surface,
        Fact::DepthBelowSurface(Some(Metres::of(0.5))),
    ];
    assert_eq!(sounded(1, &lost, &mut instruments), None);
    let keel = [
        Fact::DepthBelowTransducer(Some(Metres::ZERO)),
        Fact::TransducerToKeel(Some(Metres::of(0.5))),
        Fact::DepthBelowKeel(Some(Metres::of(-0.5))),
    ];
    assert_eq!(sounded(2, &keel, &mut instruments), None);
    let good = [Fact::DepthBelowKeel(Some(Metres::of(6.1)))];
    let depth = sounded(3, &good, &mut instruments).unwrap();
    assert!((depth.get() - 8.0).abs() < 1e-9);
}

#[test]
fn of_two_engines_the_one_that_pulls_counts() {
    let turns = |engine: &str, rate: f64| Fact::Revolutions {
        engine: Label::new(engine),
        rate: Hertz::new(rate),
    };
    let mut instruments = taken(&[turns("port", 30.0), turns("starboard", 0.0)]);
    assert_eq!(instruments.revolutions(NOW), Hertz::new(30.0));
    instruments.take(NOW, &turns("port", 0.0));
    assert_eq!(instruments.revolutions(NOW), Hertz::new(0.0));
    assert_eq!(instruments.revolutions(NOW + Duration::from_mins(1)), None);
    for n in 0..100 {
        instruments.take(NOW, &turns(&format!("liar{n}"), 1.0));
    }
    assert!(instruments.revolutions.len() <= MOST_ENGINES);
}

#[test]
fn a_spike_of_the_sounder_is_not_the_depth() {
    let boat = Boat::default();
    let mut instruments = Instruments::default();
    for (second, depth) in [8.0, 8.1, 0.4, 8.0, 7.9].into_iter().enumerate() {
        let at = Tick::from_secs(second as u64);
        instruments.take(at, &Fact::DepthBelowSurface(Metres::new(depth)));
    }
    let depth = instruments.water_depth(Tick::from_secs(5), &boat).unwrap();
    assert_eq!(depth, Metres::of(8.0));
    instruments.take(NOW, &Fact::DepthBelowSurface(Metres::new(-3.0)));
    assert_eq!(instruments.water_depth(NOW, &boat), None);
}

/// A magnetic heading of zero is north only if she pointed there before: 15° true with this variation.
#[test]
fn a_magnetic_heading_of_zero_needs_a_heading_near_it() {
    let heading = |before: f64| {
        let instruments = taken(&[
            Fact::MagneticVariation(Some(Angle::from_degrees(15.0))),
            Fact::HeadingMagnetic(Some(Angle::from_degrees(before))),
            Fact::HeadingMagnetic(Some(Angle::ZERO)),
        ]);
        instruments.heading(NOW).map(Bearing::degrees)
    };
    assert!((heading(1.0).unwrap() - 15.0).abs() < 1e-9);
    assert!((heading(359.0).unwrap() - 15.0).abs() < 1e-9);
    assert_eq!(heading(90.0), None);
    // 345° magnetic is 0° true, and 20° is near 0° but not near 335°.
    assert!((heading(10.0).unwrap() - 15.0).abs() < 1e-9);
}

/// The heading before may have been a true one: 0° magnetic is 15° true, which is near 30°.
#[test]
fn a_magnetic_heading_of_zero_is_compared_as_a_true_heading() {
    let mut instruments = taken(&[
        Fact::MagneticVariation(Some(Angle::from_degrees(15.0))),
        Fact::HeadingTrue(Some(Bearing::from_degrees(30.0))),
    ]);
    let later = NOW + Duration::from_mins(1);
    instruments.take(later, &Fact::HeadingMagnetic(Some(Angle::ZERO)));
    assert!((instruments.heading(later).unwrap().degrees() - 15.0).abs() < 1e-9);
}

#[test]
fn a_magnetic_wind_direction_needs_the_variation() {
    let mut instruments = taken(&[
        Fact::WindSpeedTrue(Some(Speed::of(7.0))),
        Fact::WindDirectionMagnetic(Some(Angle::from_degrees(350.0))),
    ]);
    let from = |instruments: &Instruments| instruments.wind(NOW).unwrap().from;
    assert_eq!(from(&instruments), None);
    instruments.take(
        NOW,
        &Fact::MagneticVariation(Some(Angle::from_degrees(15.0))),
    );
    assert!((from(&instruments).unwrap().degrees() - 5.0).abs() < 1e-9);
}
