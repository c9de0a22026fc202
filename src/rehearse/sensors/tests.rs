#![allow(clippy::unwrap_used)]
use super::*;
use crate::rehearse::boat::Boat;
use crate::rehearse::dice::tests::deviation_and_memory;
use crate::rehearse::sea::{Sea, SeaSettings};

const STEP: Duration = Duration::from_millis(250);

fn cove() -> Position {
    Position::new(59.8539, 23.26).unwrap()
}

fn settings() -> SensorSettings {
    SensorSettings::aboard(&BoatSettings::default(), cove())
}

fn still() -> (Boat, Sea) {
    let sea = Sea::new(SeaSettings::default(), STEP, 1);
    let heading = Bearing::from_degrees(70.0);
    let boat = Boat::under_way(BoatSettings::default(), STEP, Offset::ZERO, heading, 1);
    (boat, sea)
}

/// East and north errors of the fix against the true antenna, one a second.
fn errors(settings: SensorSettings, seed: u64, count: usize) -> (Vec<f64>, Vec<f64>) {
    let (boat, sea) = still();
    let mut sensors = Sensors::new(settings, seed);
    let truth = sensors.antenna(boat.state());
    (0..count)
        .map(|_| {
            let sample = sensors.sample(Timestamp::EPOCH, boat.state(), sea.state());
            let fix = sample.fix.stated().unwrap().unwrap();
            let error = settings.plane.offset(fix.position) - truth;
            (error.east, error.north)
        })
        .unzip()
}

#[test]
fn the_antenna_lies_aft_of_the_roller_and_to_port() {
    let (boat, _) = still();
    let sensors = Sensors::new(settings(), 1);
    // Roller at the origin, 0.4 m ahead of the stem; antenna 0.82 of 11.2 m aft of the stem.
    let antenna = sensors.antenna(boat.state());
    let (aft, port) = (0.4 + 0.82 * 11.2, 0.3);
    let heading = 70.0_f64.to_radians();
    let east = -aft * heading.sin() - port * heading.cos();
    let north = -aft * heading.cos() + port * heading.sin();
    assert!((antenna.east - east).abs() < 1e-9 && (antenna.north - north).abs() < 1e-9);
}

#[test]
fn the_error_of_minutes_has_the_set_size_and_memory() {
    let only_minutes = SensorSettings {
        drift_hours: (Metres::ZERO, Duration::from_secs(5000)),
        jitter: Metres::ZERO,
        multipath_rate: 0.0,
        ..settings()
    };
    let (east, north) = errors(only_minutes, 3, 120_000);
    for axis in [east, north] {
        let (sigma, memory) = deviation_and_memory(&axis);
        // 400 independent values: the deviation is known to 3.5 %, the memory to about 10 %.
        assert!((sigma - 0.7).abs() < 0.08, "{sigma}");
        assert!((110..=190).contains(&memory), "{memory}");
    }
}

#[test]
fn the_error_of_hours_has_the_set_size_and_memory() {
    let only_hours = SensorSettings {
        // One reading in 50 s, so that 400 memories are 40 000 readings.
        period: Duration::from_secs(50),
        drift_minutes: (Metres::ZERO, Duration::from_secs(150)),
        jitter: Metres::ZERO,
        multipath_rate: 0.0,
        ..settings()
    };
    let (east, north) = errors(only_hours, 4, 40_000);
    for axis in [east, north] {
        let (sigma, memory) = deviation_and_memory(&axis);
        assert!((sigma - 0.7).abs() < 0.08, "{sigma}");
        assert!((75..=130).contains(&memory), "{memory}");
    }
}

#[test]
fn jitter_is_what_two_readings_differ_by() {
    let plain = SensorSettings {
        drift_minutes: (Metres::ZERO, Duration::from_secs(150)),
        drift_hours: (Metres::ZERO, Duration::from_secs(5000)),
        multipath_rate: 0.0,
        ..settings()
    };
    let (east, _) = errors(plain, 5, 20_000);
    let pairs = east.iter().zip(east.iter().skip(1));
    let square: f64 = pairs.map(|(a, b)| (a - b) * (a - b)).sum::<f64>() / 19_999.0;
    // Of independent readings twice the variance; 20 000 give it to 1 %.
    assert!((square / 2.0 - 0.09).abs() < 0.004, "{square}");
}

#[test]
fn all_errors_together_make_a_metre_and_a_half() {
    // Nights with their own luck each: the mean square over 300 starts.
    let total: f64 = (0..300)
        .map(|seed| {
            let (east, north) = errors(settings(), seed, 1);
            east[0] * east[0] + north[0] * north[0]
        })
        .sum();
    // 600 squares: the root is known to 3 %.
    let root = (total / 300.0).sqrt();
    assert!((root - 1.46).abs() < 0.18, "{root}");
}

#[test]
fn multipath_shifts_the_fix_as_often_as_set_and_doppler_does_not_see_it() {
    let often = SensorSettings {
        multipath_rate: 20.0,
        ..settings()
    };
    let (east, north) = errors(often, 6, 36_000);
    let steps = east.windows(2).zip(north.windows(2)).filter(|(e, n)| {
        let jump = (e[1] - e[0]).hypot(n[1] - n[0]);
        jump > 2.5
    });
    // 200 in ten hours, on and off each, less those that run into the next.
    let count = steps.count();
    assert!((300..=400).contains(&count), "{count}");
    assert!(east.iter().all(|e| e.abs() < 20.0));

    let (boat, sea) = still();
    let mut sensors = Sensors::new(settings(), 7);
    let at = Timestamp::EPOCH;
    let truth = sensors.antenna(boat.state());
    sensors.multipath(
        Offset {
            east: 12.0,
            north: 0.0,
        },
        Duration::from_secs(30),
    );
    for second in 0..60 {
        let sample = sensors.sample(at, boat.state(), sea.state());
        let fix = sample.fix.stated().unwrap().unwrap();
        let east = sensors.settings.plane.offset(fix.position).east - truth.east;
        assert_eq!(east > 6.0, second < 30, "{second} {east}");
        assert!(fix.speed.get() < 0.3);
    }
}

#[test]
fn a_shift_builds_up_and_goes_at_its_own_speeds() {
    let slow = SensorSettings {
        multipath_builds: Some(Speed::of(2.0)),
        multipath_goes: Some(Speed::of(1.0)),
        jitter: Metres::ZERO,
        ..settings()
    };
    let (boat, sea) = still();
    let mut sensors = Sensors::new(slow, 7);
    let truth = sensors.antenna(boat.state());
    let shift = Offset {
        east: 12.0,
        north: 0.0,
    };
    sensors.multipath(shift, Duration::from_secs(30));
    let first = sensors.sample(Timestamp::EPOCH, boat.state(), sea.state());
    let east = |sample: Sample| {
        let fix = sample.fix.stated().unwrap().unwrap();
        slow.plane.offset(fix.position).east - truth.east
    };
    let drift = east(first);
    for second in 1..40_u32 {
        let seen = east(sensors.sample(Timestamp::EPOCH, boat.state(), sea.state())) - drift;
        let second = f64::from(second);
        let shifted = (2.0 * second).min(30.0 - second).clamp(0.0, 12.0);
        assert!((seen - shifted).abs() < 1.5, "{second} {seen} {shifted}");
    }
}

#[test]
fn dropouts_lose_the_fix_and_say_so() {
    let (boat, sea) = still();
    let poor = SensorSettings {
        dropout_rate: 10.0,
        ..settings()
    };
    let mut sensors = Sensors::new(poor, 8);
    let mut lost = 0;
    let mut method = FixMethod::Satellite;
    for _ in 0..36_000 {
        let sample = sensors.sample(Timestamp::EPOCH, boat.state(), sea.state());
        method = sample.quality.map_or(method, |quality| quality.method);
        let gone = sample.fix == Reading::Lost;
        assert_eq!(gone, method == FixMethod::NoFix);
        lost += i32::from(gone);
    }
    // 100 of them, 32 s each on average.
    assert!((2200..=4200).contains(&lost), "{lost}");
}

#[test]
fn the_coarse_grid_is_a_thousandth_of_a_minute() {
    let (boat, sea) = still();
    let coarse = SensorSettings {
        coarse: true,
        ..settings()
    };
    let mut sensors = Sensors::new(coarse, 9);
    for _ in 0..100 {
        let sample = sensors.sample(Timestamp::EPOCH, boat.state(), sea.state());
        let position = sample.fix.stated().unwrap().unwrap().position;
        for degrees in [position.latitude(), position.longitude()] {
            let thousandths = degrees * 60_000.0;
            assert!((thousandths - thousandths.round()).abs() < 1e-6);
        }
    }
}

#[test]
fn speed_course_heading_wind_and_depth_follow_the_truth() {
    let (mut boat, mut sea) = still();
    boat.steam_to(
        Offset {
            east: 2000.0,
            north: 0.0,
        },
        Speed::of(2.5),
    );
    let mut sensors = Sensors::new(settings(), 10);
    let mut sums = [0.0; 5];
    let (warm, count) = (200, 400);
    for second in 0..warm + count {
        (0..4).for_each(|_| _ = boat.step(sea.step()));
        let sample = sensors.sample(Timestamp::EPOCH, boat.state(), sea.state());
        if second < warm {
            continue;
        }
        let fix = sample.fix.stated().unwrap().unwrap();
        let (wind, angle) = sample.wind.stated().unwrap().unwrap();
        // Apparent wind plus own motion is the true wind again.
        let heading = boat.state().heading;
        let air = Velocity::towards(heading.turned(angle).reversed(), wind);
        let true_wind = air + boat.state().velocity - sea.state().air;
        let depth = sample.depth.stated().unwrap().unwrap();
        for (sum, value) in sums.iter_mut().zip([
            fix.speed.get() - 2.5,
            fix.course.since(Bearing::from_degrees(90.0)).degrees(),
            sample
                .heading
                .stated()
                .unwrap()
                .unwrap()
                .since(heading)
                .degrees(),
            true_wind.east,
            depth.get() - 7.5,
        ]) {
            *sum += value / f64::from(count);
        }
    }
    let [speed, course, heading, wind, depth] = sums;
    assert!(speed.abs() < 0.02, "{speed}");
    assert!(course.abs() < 1.0, "{course}");
    assert!((heading - 1.5).abs() < 0.2, "{heading}");
    assert!(wind.abs() < 0.15, "{wind}");
    assert!(depth.abs() < 0.02, "{depth}");
}

#[test]
fn a_swinging_antenna_has_speed_though_midships_is_at_rest() {
    let (boat, sea) = still();
    let state = BoatState {
        yaw_rate: 0.1,
        heading: Bearing::from_degrees(0.0),
        ..*boat.state()
    };
    let exact = SensorSettings {
        doppler: Speed::ZERO,
        ..settings()
    };
    let mut sensors = Sensors::new(exact, 1);
    let sample = sensors.sample(Timestamp::EPOCH, &state, sea.state());
    let fix = sample.fix.stated().unwrap().unwrap();
    // She turns to starboard: the antenna, aft and to port, goes to port and a little ahead.
    let (aft, port) = (0.82 * 11.2 - 5.6, 0.3_f64);
    assert!((fix.speed.get() - 0.1 * f64::hypot(aft, port)).abs() < 1e-9);
    let course = (-aft).atan2(port).to_degrees() + 360.0;
    assert!((fix.course.degrees() - course).abs() < 1e-6);
}

#[test]
fn instruments_fail_in_their_own_ways() {
    let (boat, sea) = still();
    let mut sensors = Sensors::new(settings(), 11);
    let read = |sensors: &mut Sensors| sensors.sample(Timestamp::EPOCH, boat.state(), sea.state());
    let good = read(&mut sensors);
    sensors.set(Instrument::Gnss, Condition::Frozen);
    sensors.set(Instrument::Wind, Condition::Silent);
    sensors.set(Instrument::Sounder, Condition::Lost);
    sensors.set(Instrument::Compass, Condition::Frozen);
    let bad = read(&mut sensors);
    assert_eq!(bad.fix, good.fix);
    assert_eq!(bad.heading, good.heading);
    assert_eq!(bad.wind, Reading::Silent);
    assert_eq!(bad.depth.stated(), Some(None));
    sensors.set(Instrument::Gnss, Condition::Estimated);
    let estimated = read(&mut sensors);
    assert_eq!(estimated.quality.unwrap().method, FixMethod::DeadReckoning);
    assert!(matches!(estimated.fix, Reading::Value(_)));
    sensors.set(Instrument::Gnss, Condition::Silent);
    let silent = read(&mut sensors);
    assert_eq!((silent.fix, silent.quality), (Reading::Silent, None));
    sensors.set(Instrument::Gnss, Condition::Working);
    assert_eq!(
        read(&mut sensors).quality.unwrap().method,
        FixMethod::Satellite
    );
}

#[test]
fn the_same_seed_gives_the_same_readings() {
    assert_eq!(errors(settings(), 1, 50), errors(settings(), 1, 50));
    assert_ne!(errors(settings(), 1, 50), errors(settings(), 2, 50));
}
