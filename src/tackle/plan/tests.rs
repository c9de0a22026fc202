use super::*;
use crate::boat::BoatFigures;
use crate::tackle::water::TideSource;
use proptest::prelude::*;

fn feet(value: f64) -> Metres {
    Metres::from_feet(value)
}

fn m(value: f64) -> Metres {
    Metres::of(value)
}

/// The yacht "Tern" in 7 m of water, 1.2 m to the roller, all chain, no tide.
fn tern() -> PlanInputs {
    let sounding = Sounding {
        depth: m(7.0),
        below: Below::Surface,
    };
    let boat = Boat::new(BoatFigures {
        length: Some(m(11.2)),
        beam: Some(m(3.6)),
        draught: Some(m(1.9)),
        roller_height: Some(m(1.2)),
        roller_ahead: Some(m(0.4)),
        antenna_from_bow: Some(m(9.1)),
        freeboard: Some(m(1.1)),
        mast_height: Some(m(15.5)),
        ..BoatFigures::default()
    });
    PlanInputs {
        tackle: GroundTackle {
            chain: "8 mm G40".parse().ok(),
            aboard: Some(m(60.0)),
            marks: Some(m(5.0)),
            ..GroundTackle::default()
        },
        stretch: 0.02,
        holding: Holding::Good,
        ..PlanInputs::of(sounding, boat)
    }
}

fn near(found: Metres, wanted: f64) {
    assert!((found.get() - wanted).abs() < 1e-6, "{found:?} {wanted}");
}

/// Common practice, worked: 4.43 ft under the keel with 6 ft of draught is about 10 ft of water;
/// the roller is 5 ft up; 15 ft at 5:1 are 75 ft, and to the next mark 80 ft are veered.
#[test]
fn the_worked_figures_of_common_practice() {
    let mut inputs = tern();
    inputs.boat = Boat::new(BoatFigures {
        draught: Some(feet(6.0)),
        roller_height: Some(feet(5.0)),
        ..BoatFigures::default()
    });
    inputs.sounding = Sounding {
        depth: feet(4.43),
        below: Below::Keel,
    };
    inputs.say = LengthUnit::Feet;
    inputs.tackle.marks = Some(feet(10.0));
    let plan_as_sounded = plan(&inputs).unwrap();
    near(plan_as_sounded.depth.now, 10.43 * 0.3048);
    near(plan_as_sounded.veer, 80.0 * 0.3048);
    inputs.sounding = Sounding {
        depth: feet(10.0),
        below: Below::Surface,
    };
    let rounded = plan(&inputs).unwrap();
    near(rounded.rode, 75.0 * 0.3048);
    near(rounded.veer, 80.0 * 0.3048);
    assert_eq!(rounded.scope, 5.0);
    inputs.tackle.marks = None;
    let unmarked = plan(&inputs).unwrap();
    near(unmarked.veer, 75.0 * 0.3048);
    // Pythagoras: 75 and 15 are 5 and 1 times 15, so the reach is 15 times the root of 24.
    near(unmarked.reach.unwrap(), 15.0 * 24.0_f64.sqrt() * 0.3048);
    assert!(unmarked.swing_radius.unwrap() > unmarked.reach.unwrap());
}

#[test]
fn the_scope_follows_the_conditions_and_a_requested_one_wins() {
    let of = |change: &dyn Fn(&mut PlanInputs)| {
        let mut inputs = tern();
        change(&mut inputs);
        let plan = plan(&inputs).unwrap();
        (plan.scope, plan.scope_because.english())
    };
    let kn = |wind: f64| Some(Speed::from_knots(wind));
    assert_eq!(
        of(&|_| ()),
        (5.0, "good holding, no strong wind".to_owned())
    );
    assert_eq!(of(&|i| i.holding = Holding::Unknown).0, 7.0);
    assert_eq!(of(&|i| i.holding = Holding::Poor).0, 7.0);
    assert_eq!(of(&|i| i.wind = kn(29.0)).0, 5.0);
    assert_eq!(
        of(&|i| i.wind = kn(30.0)),
        (7.0, "30 kn of wind is strong".to_owned())
    );
    assert_eq!(
        of(&|i| i.wind = kn(40.0)),
        (10.0, "40 kn of wind is a storm".to_owned())
    );
    let mixed = |chain: f64| {
        move |i: &mut PlanInputs| {
            i.tackle.chain_length = Some(m(chain));
            i.tackle.rope = "14 mm nylon".parse().ok();
        }
    };
    assert_eq!(of(&mixed(45.0)).0, 5.0, "41 m of it are chain throughout");
    assert_eq!(of(&mixed(30.0)).0, 7.0, "rope is at the roller");
    let asked = of(&|i| {
        i.scopes.asked = Some(4.0);
        i.wind = kn(40.0);
    });
    assert_eq!(asked, (4.0, "as asked".to_owned()));
}

#[test]
fn a_rode_that_is_too_short_is_reported_and_not_silently_cut() {
    let mut inputs = tern();
    inputs.sounding.depth = m(13.0);
    inputs.scopes.asked = Some(7.0);
    let plan = plan(&inputs).unwrap();
    // 14.2 m by 7 are 99.4 m; 60 m are 4.2 times 14.2 m.
    near(plan.rode, 99.4);
    near(plan.veer, 60.0);
    assert_eq!(plan.enough, Some(false));
    assert_eq!(
        plan.cautions[0],
        "not enough rode: 100 m needed, 60 m aboard; it would give 4.2:1; find shallower water"
    );
    near(plan.holds_for, 60.0);

    inputs.tackle.aboard = Some(m(14.0));
    let plan = super::plan(&inputs).unwrap();
    assert_eq!(plan.reach, None);
    assert_eq!(
        plan.cautions[0],
        "the rode aboard does not reach the bottom: 14 m of it, 14.2 m from the bottom to the roller"
    );
}

#[test]
fn the_mark_beyond_the_bitter_end_is_not_there() {
    let mut inputs = tern();
    inputs.tackle.aboard = Some(m(42.0));
    let plan = plan(&inputs).unwrap();
    near(plan.rode, 41.0);
    near(plan.veer, 42.0);
    assert_eq!(plan.enough, Some(true));
}

/// High water determines the rode, low water the room.
#[test]
fn the_tide_lengthens_the_rode_and_widens_the_circle() {
    let mut inputs = tern();
    inputs.tide = Some(Tide::rise_and_fall(m(2.0), m(1.0)));
    let plan = plan(&inputs).unwrap();
    near(plan.rode, 51.0);
    near(plan.veer, 55.0);
    let (low, high) = (plan.circles.lowest.unwrap(), plan.circles.highest.unwrap());
    near(low.bow, (56.1_f64 * 56.1 - 7.2 * 7.2).sqrt());
    near(high.bow, (56.1_f64 * 56.1 - 10.2 * 10.2).sqrt());
    near(low.stern, low.bow.get() + 11.6);
    near(plan.under_keel_at_lowest.unwrap(), 4.1);
    assert_eq!(plan.tide.source, "typed");
    assert!(!plan.cautions.iter().any(|c| c.starts_with("tide")));
}

#[test]
fn every_source_of_the_tide_is_named_with_its_cost() {
    let mut inputs = tern();
    let none = plan(&inputs).unwrap();
    assert_eq!(none.tide.source, "none");
    assert_eq!(
        none.tide.cost,
        "1 m of rise leaves a scope of 4.8:1; 1 m of fall takes 1 m from under the keel"
    );
    let told = format!("tide: not known; {}", none.tide.cost);
    assert!(none.cautions.contains(&told));
    for (source, name, words) in [
        (
            TideSource::Server("Tern Haven".to_owned()),
            "server",
            "from the data server: Tern Haven",
        ),
        (
            TideSource::Prediction("Tern Haven".to_owned()),
            "prediction",
            "predicted: Tern Haven",
        ),
        (TideSource::Typed, "typed", "as typed in"),
    ] {
        inputs.tide = Tide::of_heights(m(1.0), [m(2.0), m(0.5)], source);
        let told = plan(&inputs).unwrap().tide;
        assert_eq!((told.source, told.words.as_str()), (name, words));
        assert!(!told.cost.is_empty());
    }
}

#[test]
fn rode_that_is_out_is_judged_and_what_is_missing_is_named() {
    let mut inputs = tern();
    inputs.rode_out = Some(m(30.0));
    let short = plan(&inputs).unwrap();
    near(short.holds_for, 30.0);
    near(short.veer, 45.0);
    assert!((short.scope_now.unwrap() - 30.0 / 8.2).abs() < 1e-9);
    assert!(short.cautions.contains(
        &"scope: 30 m out are 3.6:1 at the highest water; 11 m more make 5:1".to_owned()
    ));
    inputs.rode_out = Some(m(50.0));
    let plenty = plan(&inputs).unwrap();
    near(plenty.veer, 50.0);
    assert!(!plenty.cautions.iter().any(|c| c.starts_with("scope")));
}

#[test]
fn the_wind_lifts_the_chain_and_the_anchor_and_the_crew_is_told() {
    let mut inputs = tern();
    inputs.wind = Some(Speed::from_knots(12.0));
    let calm = plan(&inputs).unwrap();
    let lift = calm.lift.unwrap();
    // `w(L² - h²)/(2h)` for 45 m over 8.2 m.
    let closed = 11.9366 * (45.0 * 45.0 - 8.2 * 8.2) / 16.4;
    assert!((lift.pull.get() / closed - 1.0).abs() < 1e-4);
    assert!(calm.wind.unwrap().steady.unwrap().on_bottom.get() > 10.0);
    assert!(
        !calm.cautions.iter().any(|c| c.starts_with("anchor")),
        "{:?}",
        calm.cautions
    );
    inputs.wind = Some(Speed::from_knots(45.0));
    inputs.scopes.asked = Some(5.0);
    inputs.tackle.anchor = Some(crate::units::Kilograms::of(9.0));
    let storm = plan(&inputs).unwrap();
    for start in [
        "anchor: the chain lifts clear of the bottom in the wind expected",
        "anchor: lifted by ",
        "anchor: 9.0 kg is lighter than the 16 kg",
    ] {
        assert!(
            storm.cautions.iter().any(|c| c.starts_with(start)),
            "{start} {:?}",
            storm.cautions
        );
    }
    // Of 8 mm G40 the working load is 10 kN; H-40 for 11.2 m and 45 kn is 2.25 times 1014 lbf.
    assert!(
        !storm.cautions.iter().any(|c| c.starts_with("chain 8 mm"))
            || storm.wind.unwrap().design_load.get() > 10_000.0
    );
    inputs.wind = Some(Speed::from_knots(60.0));
    let worse = plan(&inputs).unwrap();
    assert!(
        worse
            .cautions
            .iter()
            .any(|c| c.starts_with("chain 8 mm G40: its working load is 10 kN"))
    );
}

#[test]
fn values_not_entered_are_listed() {
    let mut inputs = tern();
    inputs.boat = Boat::default();
    inputs.tackle = GroundTackle::default();
    let plan = plan(&inputs).unwrap();
    for start in [
        "bottom: ",
        "tide: ",
        "roller: not entered, assuming 1 m",
        "boat: length not entered, assuming 11 m",
        "rode: length aboard not entered",
    ] {
        assert!(
            plan.assumptions.iter().any(|a| a.starts_with(start)),
            "{start}"
        );
    }
    assert_eq!((plan.enough, plan.lift), (None, None));
    assert!(
        plan.cautions
            .iter()
            .any(|c| c.starts_with("keel: draught not entered"))
    );
}

#[test]
fn an_impossible_plan_is_an_error() {
    let mut inputs = tern();
    inputs.tackle.rope = "14 mm nylon".parse().ok();
    assert_eq!(plan(&inputs), Err(PlanError::ChainLength));
    let mut inputs = tern();
    inputs.boat = Boat::default();
    inputs.sounding.below = Below::Keel;
    assert_eq!(plan(&inputs), Err(PlanError::Depth(Missing::Draught)));
    let mut inputs = tern();
    inputs.boat = Boat::new(BoatFigures {
        roller_height: Some(Metres::ZERO),
        ..BoatFigures::default()
    });
    inputs.sounding.depth = Metres::ZERO;
    assert_eq!(plan(&inputs), Err(PlanError::NoHeight));
}

#[test]
fn lengths_are_rounded_to_the_safe_side() {
    let say = LengthUnit::Feet;
    assert_eq!(say.up(feet(75.0)), "75 ft");
    assert_eq!(say.up(feet(75.01)), "76 ft");
    assert_eq!(say.exact(feet(10.43)), "10.4 ft");
    assert_eq!(LengthUnit::Metres.down(m(0.49)), "0.4 m");
    assert_eq!(LengthUnit::Metres.exact(m(-0.01)), "0 m");
    assert_eq!(ratio(4.99), "4.9:1");
    assert_eq!(ratio(75.0 / 15.0), "5:1");
}

/// Any number, more often odd ones than not.
fn any_length() -> impl Strategy<Value = Metres> {
    prop_oneof![
        any::<f64>().prop_filter_map("finite", Metres::new),
        (-10.0..500.0_f64).prop_map(Metres::of),
        Just(Metres::ZERO),
        Just(Metres::of(f64::MAX)),
        Just(Metres::of(f64::MIN_POSITIVE)),
    ]
}

fn any_speed() -> impl Strategy<Value = Speed> {
    any_length().prop_map(|length| Speed::of(length.get()))
}

/// Nylon in a gale lets her lie farther out than the stretch that is set for the watch.
#[test]
fn the_room_is_that_of_the_widest_circle() {
    let mut inputs = tern();
    inputs.tackle.rope = "14 mm nylon".parse().ok();
    inputs.tackle.chain_length = Some(m(10.0));
    inputs.wind = Some(Speed::from_knots(35.0));
    let plan = plan(&inputs).unwrap();
    let (low, wind) = (plan.circles.lowest.unwrap(), plan.circles.wind.unwrap());
    assert!(wind.stern > low.stern);
    assert_eq!(plan.swing_radius, Some(wind.stern));
    let told = plan
        .cautions
        .iter()
        .any(|c| c.starts_with("rode: it stretches farther"));
    assert!(told, "{:?}", plan.cautions);
}

#[test]
fn rode_that_is_out_and_does_not_reach_is_reported() {
    let mut inputs = tern();
    inputs.rode_out = Some(m(8.0));
    let plan = plan(&inputs).unwrap();
    assert_eq!((plan.reach, plan.swing_radius), (None, None));
    let told = "the rode that is out does not reach the bottom: 8 m of it, 8.2 m from the bottom to the roller";
    assert!(
        plan.cautions.iter().any(|c| c == told),
        "{:?}",
        plan.cautions
    );
}

#[test]
fn forces_are_shown_in_the_crew_s_units() {
    assert_eq!(LengthUnit::Metres.force(Newtons::of(5338.0)), "5.3 kN");
    assert_eq!(
        LengthUnit::Feet.force(Newtons::from_pounds(1234.0)),
        "1200 lbf"
    );
    assert_eq!(LengthUnit::Feet.force(Newtons::from_pounds(87.4)), "87 lbf");
    assert_eq!(LengthUnit::Feet.force(Newtons::ZERO), "0 lbf");
}

proptest! {
    #[test]
    fn no_finite_figures_make_it_panic(
        lengths in prop::collection::vec(prop::option::of(any_length()), 20),
        sure in prop::collection::vec(any_length(), 5),
        speeds in prop::collection::vec(any_speed(), 3),
        numbers in prop::collection::vec(any::<f64>(), 5),
        which in any::<u8>(), tide in any::<bool>(),
    ) {
        let figures = BoatFigures {
            length: lengths[0],
            beam: lengths[1],
            draught: lengths[2],
            roller_height: lengths[3],
            roller_ahead: lengths[4],
            antenna_from_bow: lengths[5],
            antenna_from_centre: lengths[6],
            transducer_depth: lengths[7],
            transducer_to_keel: lengths[8],
            rode_aboard: lengths[9],
            freeboard: lengths[10],
            mast_height: lengths[11],
            way: lengths[0],
        };
        let heights = [sure[1], sure[2]];
        let inputs = PlanInputs {
            sounding: Sounding {
                depth: sure[0],
                below: [Below::Surface, Below::Transducer, Below::Keel, Below::Datum][usize::from(which % 4)],
            },
            tide: tide.then(|| Tide::of_heights(sure[3], heights, TideSource::Typed)).flatten(),
            until: None,
            boat: Boat::new(figures),
            tackle: GroundTackle {
                chain: ["8 mm G40", "1/4 in"].get(usize::from(which % 3)).and_then(|c| c.parse().ok()),
                chain_length: lengths[12],
                rope: "14 mm nylon".parse().ok().filter(|_| which & 4 > 0),
                aboard: lengths[13],
                snubber: "12 mm nylon".parse().ok().filter(|_| which & 8 > 0),
                snubber_length: lengths[14],
                marks: lengths[15],
                anchor: lengths[16].map(|l| crate::units::Kilograms::of(l.get())),
            },
            stretch: numbers[0],
            scopes: Scopes {
                asked: Some(numbers[1]).filter(|_| which & 16 > 0),
                good: numbers[2],
                strong: numbers[3],
                storm: numbers[4],
                strong_wind: speeds[0],
                storm_wind: speeds[1],
            },
            holding: [Holding::Good, Holding::Unknown, Holding::Poor][usize::from(which % 3)],
            wind: Some(speeds[2]).filter(|_| which & 32 > 0),
            rode_out: lengths[17],
            keel_margin: sure[4],
            say: if which & 64 > 0 { LengthUnit::Feet } else { LengthUnit::Metres },
            language: crate::speech::Language::English,
            heard: Vec::new(),
        };
        if let Ok(plan) = plan(&inputs) {
            let json = serde_json::to_value(&plan).unwrap();
            prop_assert!(json["rode"].as_f64().is_some() && json["scope"].as_f64().is_some());
        }
    }

    #[test]
    fn more_scope_more_rode_more_reach(
        depth in 0.5..40.0_f64, roller in 0.0..3.0_f64, scope in 1.5..15.0_f64, more in 0.1..5.0_f64,
        rise in 0.0..6.0_f64, fall in 0.0..0.5_f64, wind in 0.0..30.0_f64,
    ) {
        let mut inputs = tern();
        inputs.boat = Boat::new(BoatFigures { roller_height: Some(m(roller)), ..BoatFigures::default() });
        inputs.tackle.aboard = None;
        inputs.sounding.depth = m(depth);
        inputs.tide = Some(Tide::rise_and_fall(m(rise), m(fall)));
        inputs.wind = Some(Speed::of(wind));
        inputs.scopes.asked = Some(scope);
        let small = plan(&inputs).unwrap();
        inputs.scopes.asked = Some(scope + more);
        let large = plan(&inputs).unwrap();
        prop_assert!(large.rode > small.rode && large.veer >= small.veer);
        prop_assert!(large.reach >= small.reach && large.swing_radius >= small.swing_radius);
        // The rode to veer gives at least the required scope, at the worst moment of the stay.
        prop_assert!(small.scope_at_highest.unwrap() >= scope * (1.0 - 1e-9));
        prop_assert!(large.lift.unwrap().pull >= small.lift.unwrap().pull);
        let lead = |plan: &Plan| plan.wind.unwrap().design.unwrap().lead;
        prop_assert!(lead(&large).get() <= lead(&small).get() + 1e-9);
        inputs.sounding.depth = m(depth + 1.0);
        prop_assert!(plan(&inputs).unwrap().rode > large.rode);
    }
}
