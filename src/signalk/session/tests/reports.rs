//! How the sensors' values reach the watch.

use super::*;

#[test]
fn an_update_that_the_server_took_apart_is_one_report() {
    let mut night = Night::linked();
    night.hears(&fix("gps0.GP", 1, 59.8539));
    night.hears(&delta(
        "gps0.GP",
        "2026-06-01T21:30:01.000Z",
        "navigation.gnss.methodQuality",
        &json!("no GPS"),
    ));
    assert!(night.reports().is_empty());
    night.pass(1);
    let reports = night.reports();
    assert_eq!(reports.len(), 1);
    assert_eq!(
        reports[0].facts,
        [
            Fact::FixMethod(Some(FixMethod::NoFix)),
            Fact::Position(Position::new(59.8539, 23.26).ok())
        ]
    );
}

#[test]
fn second_deliveries_by_the_second_subscription_are_not_counted() {
    let mut night = Night::linked();
    for stamp in 1..=5 {
        night.hears(&fix("gps0.GP", stamp, 59.8539));
        night.pass(1);
    }
    night.hears(&fix("gps0.GP", 5, 59.8539));
    night.pass(1);
    assert_eq!(night.reports().len(), 5);
}

#[test]
fn a_broken_sensor_is_logged_once_not_ten_times_a_second() {
    let mut night = Night::linked();
    for _ in 0..1000 {
        night.hears(&delta(
            "echo.0",
            "2026-06-01T21:30:01Z",
            "environment.depth.belowKeel",
            &json!("deep"),
        ));
        night.hears("{ not json");
    }
    assert_eq!(
        night.log(),
        [
            "`environment.depth.belowKeel` from `echo.0` is a text, no length in metres; it is taken as not known",
            "the frame cannot be read: key must be a string at line 1 column 3; one JSON object a frame is expected",
        ]
    );
}
