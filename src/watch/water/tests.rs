use super::*;
use crate::units::LengthUnit;

fn now(second: u64) -> Now {
    let gone = Duration::from_secs(second);
    Now::new(Tick::from_secs(second), Timestamp::EPOCH.plus(gone))
}

fn water() -> Water {
    let mut water = Water::default();
    let at = Tick::from_secs(0);
    water.take(at, &Fact::TideNow(Some(Metres::of(1.0))));
    water.take(at, &Fact::TideHigh(Some(Metres::of(3.5))));
    water.take(at, &Fact::TideLow(Some(Metres::of(0.4))));
    water.take(
        at,
        &Fact::TideTimeHigh(Some(Timestamp::from_millis(3_600_000))),
    );
    water
}

#[test]
fn scope_and_keel_follow_the_tide() {
    let mut water = water();
    let outlook = water.outlook(now(10)).unwrap();
    assert_eq!(
        (outlook.highest, outlook.lowest),
        (Metres::of(3.5), Metres::of(0.4))
    );
    assert_eq!(
        outlook.source.told().words(&Wording::default()),
        "from the data server: high water 3.5 m at 01:00 UTC, low water 0.4 m; later tides are not known"
    );
    // 5 m sounded at 1.0 m of tide: 4 m at datum, 4.4 m at low water.
    water.sound(Metres::of(5.0), Some(&outlook));
    assert!((water.least_depth(&outlook).unwrap().get() - 4.4).abs() < 1e-9);
    assert!(water.outlook(now(4000)).is_none(), "an hour old is too old");
}

#[test]
fn the_shallowest_spot_she_has_swung_over_counts() {
    let mut water = water();
    let outlook = water.outlook(now(10)).unwrap();
    for depth in [5.0, 3.2, 6.0] {
        water.sound(Metres::of(depth), Some(&outlook));
    }
    assert!((water.least_depth(&outlook).unwrap().get() - 2.6).abs() < 1e-9);
    water.restart();
    assert_eq!(water.least_depth(&outlook), None);
}

#[test]
fn surge_is_what_the_tide_does_not_explain() {
    let mut water = water();
    let outlook = water.outlook(now(10)).unwrap();
    water.sound(Metres::of(5.0), Some(&outlook));
    // The tide rose by 0.5 m, the sounder shows 0.8 m more depth.
    let surge = water.surge(Metres::of(5.8), Metres::of(1.5)).unwrap();
    assert!((surge.get() - 0.3).abs() < 1e-9);
}

#[test]
fn without_a_turn_or_a_height_there_is_no_outlook() {
    let mut water = Water::default();
    assert!(water.outlook(now(1)).is_none());
    water.take(Tick::START, &Fact::TideNow(Some(Metres::of(1.0))));
    assert!(water.outlook(now(1)).is_none());
}

/// Heights above different datums must not be mixed.
#[test]
fn another_source_of_the_tide_restarts_the_soundings() {
    let mut water = water();
    water.sound(Metres::of(2.0), None);
    let outlook = water.outlook(now(10)).unwrap();
    water.sound(Metres::of(5.0), Some(&outlook));
    assert_eq!(water.least_reduced(), Some(Metres::of(4.0)));
    water.sound(Metres::of(4.5), Some(&outlook));
    assert_eq!(water.least_reduced(), Some(Metres::of(3.5)));
}

/// Boston on 1 June 2026, by the station's own predictor: all turns of the stay are used, not just
/// the next, and the station comes before the server.
#[test]
fn a_station_s_prediction_looks_over_the_stay() {
    let catalogue = crate::tide::stations::Catalogue::bundled().unwrap();
    let boston = catalogue.find("noaa/8443970").unwrap();
    let forecast = Forecast::new(&catalogue, boston).unwrap();
    let begin: Timestamp = "2026-06-01T20:00:00Z".parse().unwrap();
    let at = |minutes: u64| {
        let gone = Duration::from_mins(minutes);
        Now::new(Tick::START + gone, begin.plus(gone))
    };
    let mut water = Water::new(Some(forecast.clone()), None, Wording::default(), None);
    assert_eq!(water.outlook(at(0)), None, "nothing is predicted yet");
    water.predict(at(0));
    water.take(Tick::START, &Fact::TideNow(Some(Metres::of(9.0))));
    water.take(Tick::START, &Fact::TideHigh(Some(Metres::of(9.5))));
    let outlook = water.outlook(at(0)).unwrap();
    let noon: Timestamp = "2026-06-02T12:00:00Z".parse().unwrap();
    let stay = forecast.stay(begin, noon);
    assert_eq!(
        (outlook.now, outlook.highest, outlook.lowest),
        (stay.now, stay.highest.1, stay.lowest.1)
    );
    let words = outlook.source.told().words(&Wording::default());
    assert!(
        words.starts_with("predicted: Boston, until 12:00 UTC: highest "),
        "{words}"
    );
    // The current height is updated between predictions.
    water.predict(at(3));
    assert_eq!(
        water.outlook(at(3)).unwrap().now,
        forecast.height(at(3).utc)
    );
    // After a jump of the clock the stay is a different one.
    let later = Now::new(Tick::from_secs(240), noon);
    water.predict(later);
    assert!(
        water
            .outlook(later)
            .unwrap()
            .source
            .told()
            .words(&Wording::default())
            .contains("until 12:00 UTC")
    );
    assert_ne!(water.outlook(later).unwrap().highest, outlook.highest);
}

#[test]
fn the_sentence_says_what_is_under_the_keel_in_the_crew_s_unit() {
    let feet = Wording {
        lengths: LengthUnit::Feet,
        ..Wording::default()
    };
    let shoal = told(
        Some(Metres::of(0.3)),
        None,
        Metres::of(0.5),
        Metres::ZERO,
        None,
    )
    .unwrap();
    assert_eq!(
        shoal.message.words(&feet),
        "shoaling: 1.0 ft under the keel, minimum 1.5 ft; check sounder and tide, move to deeper water"
    );
}

#[test]
fn the_severity_is_what_is_missing_from_the_margin() {
    let severity = |now: Option<f64>, low: Option<f64>| {
        let metres = |depth: Option<f64>| depth.map(Metres::of);
        let margin = Metres::of(1.0);
        told(metres(now), metres(low), margin, HYSTERESIS, None).map(|it| it.severity)
    };
    assert_eq!(severity(Some(0.25), None), Some(0.75));
    assert_eq!(severity(Some(-0.5), None), Some(1.5));
    assert_eq!(severity(None, Some(0.75)), Some(0.25));
    assert_eq!(severity(None, Some(1.1)), Some(0.0));
    assert_eq!(severity(Some(1.3), Some(1.3)), None);
}
