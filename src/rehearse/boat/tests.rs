#![allow(clippy::unwrap_used)]
use super::*;
use crate::rehearse::rode::Rode;
use crate::rehearse::sea::tests::knot;
use crate::rehearse::sea::{Sea, SeaSettings};

const STEP: Duration = Duration::from_millis(250);
const SECOND: usize = 4;

fn steady(direction: f64, speed: f64) -> Sea {
    let settings = SeaSettings {
        wind: vec![knot(0, direction, speed)],
        gust: 0.0,
        meander: Angle::ZERO,
        ..SeaSettings::default()
    };
    Sea::new(settings, STEP, 1)
}

fn calm_boat() -> BoatSettings {
    BoatSettings {
        sheer: Angle::ZERO,
        ..BoatSettings::default()
    }
}

fn run(boat: &mut Boat, sea: &mut Sea, seconds: usize) {
    for _ in 0..seconds * SECOND {
        boat.step(sea.step());
    }
}

/// Drag of the 11.2 m boat from ahead, calculated separately: ½ · 1.25 · (0.065 · 11.2²) · V².
fn drag(speed: f64) -> f64 {
    0.5 * 1.25 * 0.065 * 11.2 * 11.2 * speed * speed
}

impl Boat {
    /// Lying to an anchor that is dug in at a point with this much rode out, down-wind of it at
    /// the distance the mean wind would have.
    fn at_anchor(
        settings: BoatSettings,
        step: Duration,
        anchor: Offset,
        rode: Metres,
        sea: &SeaState,
        seed: u64,
    ) -> Self {
        let heading = sea.mean_direction;
        let mut boat = Self::under_way(settings, step, anchor, heading, seed);
        boat.let_go(sea);
        boat.dig_in();
        boat.state.rode_out = rode;
        boat.rode_wanted = rode.get();
        boat.order = EngineOrder::Stopped;
        boat.state.revolutions = Hertz::ZERO;
        let load = boat.wind_load(sea.mean_speed);
        let distance = boat.rode(sea, anchor).distance(load) + Metres::of(load / settings.snubber);
        let roller = anchor + Offset::polar(heading.reversed(), distance);
        boat.state.centre = roller - Offset::polar(heading, Metres::of(boat.hull.lever));
        boat.state.pull = load;
        boat.place_roller();
        boat
    }

    /// Sets what the anchor holds when dug in, newtons.
    fn set_holding(&mut self, newtons: f64) {
        self.settings.holding = newtons.max(0.0);
    }
}

#[test]
fn in_a_steady_wind_she_lies_down_wind_at_the_distance_of_the_catenary() {
    let mut sea = steady(30.0, 10.0);
    let anchor = Offset {
        east: 5.0,
        north: -3.0,
    };
    // She starts far from there: close to the anchor and across the wind.
    let mut boat = Boat::under_way(calm_boat(), STEP, anchor, Bearing::from_degrees(300.0), 1);
    boat.let_go(sea.state());
    boat.dig_in();
    boat.veer(Metres::of(40.0), Speed::of(1.0));
    run(&mut boat, &mut sea, 1800);
    let load = drag(10.0);
    let rode = Rode {
        length: Metres::of(40.0),
        height: Metres::of(9.3),
        weight: Rode::chain_weight(1.4),
        stiffness: 8000.0,
    };
    let wanted = rode.distance(load).get() + load / 8000.0;
    let line = anchor - boat.state().roller;
    assert!((boat.state().pull / load - 1.0).abs() < 0.01);
    assert!((line.length().get() - wanted).abs() < 0.02, "{line:?}");
    assert!((line.bearing().degrees() - 30.0).abs() < 0.2, "{line:?}");
    assert!((boat.state().heading.degrees() - 30.0).abs() < 0.5);
    assert!(boat.state().velocity.speed().get() < 0.005);
    assert!(boat.anchor_moved().get() < 1e-12);
}

#[test]
fn the_step_does_not_decide_where_she_lies() {
    let place = |millis: u64| {
        let step = Duration::from_millis(millis);
        let mut sea = Sea::new(
            SeaSettings {
                gust: 0.0,
                meander: Angle::ZERO,
                ..SeaSettings::default()
            },
            step,
            1,
        );
        let rode = Metres::of(35.0);
        let mut boat = Boat::at_anchor(calm_boat(), step, Offset::ZERO, rode, sea.state(), 1);
        for _ in 0..900_000 / millis {
            boat.step(sea.step());
        }
        boat.state().roller
    };
    let (fine, coarse, coarser) = (place(100), place(250), place(1000));
    assert!((fine - coarse).length().get() < 0.01);
    assert!((fine - coarser).length().get() < 0.01);
}

/// A gale of 20 m/s for four hours with a front of 140° in six minutes: the anchor holds, so
/// the roller must stay within the chain's reach and the snubber's stretch.
#[test]
fn while_the_anchor_holds_she_never_leaves_her_circle() {
    let settings = SeaSettings {
        wind: vec![
            knot(0, 210.0, 18.0),
            knot(120, 210.0, 20.0),
            knot(126, 350.0, 20.0),
        ],
        ..SeaSettings::default()
    };
    for seed in 0..3 {
        let mut sea = Sea::new(settings.clone(), STEP, seed);
        let boat = BoatSettings {
            holding: 40_000.0,
            ..BoatSettings::default()
        };
        let rode = Metres::of(50.0);
        let mut boat = Boat::at_anchor(boat, STEP, Offset::ZERO, rode, sea.state(), seed);
        let reach = (50.0_f64.powi(2) - 9.3_f64.powi(2)).sqrt();
        let (mut farthest, mut hardest) = (0.0_f64, 0.0_f64);
        let mut bearings = [false; 36];
        for _ in 0..4 * 3600 * SECOND {
            let state = boat.step(sea.step());
            let distance = state.roller.length().get();
            farthest = farthest.max(distance);
            hardest = hardest.max(state.pull);
            assert!(
                distance <= reach + state.pull / 8000.0 + 0.01,
                "{distance} {}",
                state.pull
            );
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "0..36"
            )]
            let sector = (state.roller.bearing().degrees() / 10.0) as usize;
            bearings[sector] = true;
        }
        assert!(farthest > reach - 1.0, "{farthest}");
        assert!(hardest > drag(20.0) && hardest < 25_000.0, "{hardest}");
        assert!(boat.anchor_moved().get() < 1e-12);
        // She lay north-north-east of the anchor, and lies south of it now.
        assert!(bearings[3] && bearings[17]);
    }
}

#[test]
fn she_sheers_about_thirty_degrees_each_way_in_one_to_three_minutes() {
    for (speed, seed) in [(7.0, 1), (12.0, 2), (18.0, 3)] {
        let settings = SeaSettings {
            wind: vec![knot(0, 180.0, speed)],
            ..SeaSettings::default()
        };
        let mut sea = Sea::new(settings, STEP, seed);
        let rode = Metres::of(45.0);
        let mut boat = Boat::at_anchor(
            BoatSettings::default(),
            STEP,
            Offset::ZERO,
            rode,
            sea.state(),
            seed,
        );
        let (mut peaks, mut peak, mut side) = (Vec::new(), 0.0_f64, 0.0);
        for _ in 0..3 * 3600 * SECOND {
            let sea = sea.step();
            let state = boat.step(sea);
            let yaw = state.heading.since(sea.mean_direction).degrees();
            // Count the changes of side, past five degrees.
            if yaw.abs() > 5.0 && yaw * side <= 0.0 {
                peaks.push(peak);
                (peak, side) = (0.0, yaw.signum());
            }
            peak = peak.max(yaw.abs());
        }
        let period = 2.0 * 3.0 * 3600.0 / peaks.len() as f64;
        assert!((60.0..180.0).contains(&period), "{period}");
        peaks.sort_by(f64::total_cmp);
        let (tenth, ninetieth) = (peaks[peaks.len() / 10], peaks[peaks.len() * 9 / 10]);
        assert!(tenth > 12.0 && ninetieth < 45.0, "{tenth} {ninetieth}");
        let middle = peaks[peaks.len() / 2];
        assert!((20.0..45.0).contains(&middle), "{middle}");
    }
}

#[test]
fn the_same_seed_makes_the_same_night() {
    let night = |seed| {
        let mut sea = Sea::new(SeaSettings::default(), STEP, seed);
        let rode = Metres::of(40.0);
        let settings = BoatSettings::default();
        let mut boat = Boat::at_anchor(settings, STEP, Offset::ZERO, rode, sea.state(), seed);
        run(&mut boat, &mut sea, 1200);
        *boat.state()
    };
    assert_eq!(night(1), night(1));
    assert_ne!(night(1), night(2));
}

#[test]
fn a_drag_by_the_script_moves_the_anchor_by_speed_times_time() {
    let mut sea = Sea::new(SeaSettings::default(), STEP, 1);
    let rode = Metres::of(40.0);
    let settings = BoatSettings::default();
    let mut boat = Boat::at_anchor(settings, STEP, Offset::ZERO, rode, sea.state(), 1);
    run(&mut boat, &mut sea, 300);
    assert!(boat.anchor_moved().get() < 1e-12);
    let before = boat.state().roller;
    boat.drag_at(Speed::of(0.1));
    run(&mut boat, &mut sea, 600);
    // The pull swings, so the straight line is a little less than 60 m.
    let moved = boat.anchor_moved().get();
    assert!((55.0..=60.0 + 1e-6).contains(&moved), "{moved}");
    // The boat moves with it, down-wind.
    let track = boat.state().roller - before;
    assert!(track.east > 20.0 && track.north > 20.0, "{track:?}");
    boat.hold();
    boat.reckon_from_here();
    run(&mut boat, &mut sea, 600);
    assert!(boat.anchor_moved().get() < 1e-12);

    let mut straight = steady(225.0, 10.0);
    let mut boat = Boat::at_anchor(calm_boat(), STEP, Offset::ZERO, rode, straight.state(), 1);
    boat.drag_at(Speed::of(0.1));
    run(&mut boat, &mut straight, 600);
    assert!((boat.anchor_moved().get() - 60.0).abs() < 1e-3);
}

#[test]
fn an_overloaded_anchor_creeps_with_the_excess_and_stops_with_it() {
    let mut sea = steady(0.0, 15.0);
    let mut boat = Boat::at_anchor(
        calm_boat(),
        STEP,
        Offset::ZERO,
        Metres::of(60.0),
        sea.state(),
        1,
    );
    run(&mut boat, &mut sea, 600);
    boat.set_holding(drag(15.0) * 0.9);
    run(&mut boat, &mut sea, 1200);
    let before = boat.anchor_moved().get();
    assert!(before > 1.0, "{before}");
    boat.set_holding(drag(15.0) * 1.3);
    run(&mut boat, &mut sea, 60);
    boat.reckon_from_here();
    run(&mut boat, &mut sea, 1200);
    assert!(boat.anchor_moved().get() < 0.01);
}

#[test]
fn on_short_scope_the_anchor_lets_go_where_it_held_on_long_scope() {
    let moved = |rode: f64| {
        let mut sea = steady(0.0, 15.0);
        let settings = BoatSettings {
            holding: 2.0 * drag(15.0),
            ..calm_boat()
        };
        let rode = Metres::of(rode);
        let mut boat = Boat::at_anchor(settings, STEP, Offset::ZERO, rode, sea.state(), 1);
        run(&mut boat, &mut sea, 900);
        boat.anchor_moved().get()
    };
    assert!(moved(50.0) < 0.01);
    assert!(moved(17.0) > 10.0, "{}", moved(17.0));
}

/// Berth, let go, fall back while veering, dig in under power: a whole anchoring.
#[test]
fn she_comes_in_lets_go_falls_back_and_digs_in() {
    let mut sea = steady(225.0, 6.0);
    let berth = Offset {
        east: -40.0,
        north: -60.0,
    };
    let start = Offset {
        east: 150.0,
        north: 140.0,
    };
    let mut boat = Boat::under_way(calm_boat(), STEP, start, Bearing::from_degrees(180.0), 1);
    assert!(boat.arrived());
    boat.steam_to(berth, Speed::of(2.0));
    run(&mut boat, &mut sea, 30);
    assert!(!boat.arrived() && boat.state().velocity.speed().get() > 0.5);
    assert!(boat.state().revolutions > Hertz::of(14.0));
    run(&mut boat, &mut sea, 400);
    assert!(boat.arrived());
    assert!((boat.state().roller - berth).length().get() < 1.0);
    assert!(boat.state().velocity.speed().get() < 1e-9);

    boat.let_go(sea.state());
    assert_eq!(boat.state().anchor, Some(boat.state().roller));
    assert!((boat.state().rode_out.get() - 9.3).abs() < 1e-9);
    boat.veer(Metres::of(40.0), Speed::of(0.4));
    boat.engine(EngineOrder::Astern(Hertz::of(18.0)));
    run(&mut boat, &mut sea, 50);
    assert!((boat.state().rode_out.get() - 29.3).abs() < 0.2);
    run(&mut boat, &mut sea, 120);
    assert!((boat.state().rode_out.get() - 40.0).abs() < 1e-9);
    boat.engine(EngineOrder::Neutral);
    run(&mut boat, &mut sea, 120);
    assert!(boat.anchor_moved().get() < 1.0, "{:?}", boat.anchor_moved());

    boat.engine(EngineOrder::Astern(Hertz::of(42.0)));
    run(&mut boat, &mut sea, 180);
    // Full pull: the propeller astern and the wind. The anchor has dug in on the way.
    let astern = 28.0 * 11.2 * 11.2 * 0.6 * (42.0_f64 / 47.0).powi(2);
    let pull = boat.state().pull;
    assert!((pull / (astern + drag(6.0)) - 1.0).abs() < 0.05, "{pull}");
    assert!((boat.state().revolutions.get() - 42.0).abs() < 0.1);
    let moved = boat.anchor_moved().get();
    assert!(moved > 0.02 && moved < 1.5, "{moved}");
    boat.reckon_from_here();
    run(&mut boat, &mut sea, 60);
    assert!(boat.anchor_moved().get() < 0.02);

    boat.engine(EngineOrder::Stopped);
    run(&mut boat, &mut sea, 60);
    assert!(boat.state().revolutions.get() < 0.1);
    boat.weigh();
    assert_eq!(boat.state().anchor, None);
    assert!(boat.arrived());
}

#[test]
fn a_strong_stream_makes_her_lie_to_it_against_the_wind() {
    let settings = SeaSettings {
        wind: vec![knot(0, 0.0, 4.0)],
        m2: crate::rehearse::sea::Constituent {
            amplitude: Metres::of(1.0),
            // Three hours before high water the flood runs full.
            phase: Angle::from_degrees(90.0),
        },
        mean_level: Metres::of(1.0),
        stream: Speed::of(1.2),
        flood: Bearing::from_degrees(0.0),
        ..SeaSettings::default()
    };
    let mut sea = Sea::new(settings, STEP, 1);
    let mut boat = Boat::at_anchor(
        BoatSettings::default(),
        STEP,
        Offset::ZERO,
        Metres::of(40.0),
        sea.state(),
        1,
    );
    run(&mut boat, &mut sea, 2400);
    let heading = boat.state().heading.degrees();
    assert!((150.0..210.0).contains(&heading), "{heading}");
    assert!(boat.state().roller.north > 20.0);
}
