use super::*;

#[test]
fn people_write_units_their_own_way() {
    assert_eq!(parse_length("40m").unwrap().get(), 40.0);
    // 130 ft = 39.624 m by the international foot of 1959.
    assert!((parse_length(" 130 ft ").unwrap().get() - 39.624).abs() < 1e-9);
    assert!((parse_length("3 fathoms").unwrap().get() - 5.4864).abs() < 1e-9);
    assert!((parse_speed("18kn").unwrap().get() - 9.26).abs() < 1e-12);
    assert_eq!(parse_duration("5min").unwrap(), Duration::from_secs(300));
    assert!((parse_angle("180deg").unwrap().get().abs() - PI).abs() < 1e-12);
    assert_eq!(parse_length("-1.5m").unwrap().get(), -1.5);
    assert_eq!(parse_length("1e2m").unwrap().get(), 100.0);
}

#[test]
fn refusals_name_the_value_and_what_to_write() {
    let text = |error: ParseQuantityError| error.to_string();
    assert_eq!(
        text(parse_length("40").unwrap_err()),
        "`40` has no unit; write `40m` or use one of `m`, `ft`, `feet`, `fathoms`, `nm`, `km`, `cm`, `mm`"
    );
    assert_eq!(
        text(parse_length("far").unwrap_err()),
        "`far` does not start with a number; write a number and a unit, such as `40m`"
    );
    assert_eq!(
        text(parse_speed("3 furlongs").unwrap_err()),
        "`3 furlongs` has the unit `furlongs`, which is no unit of speed; use one of `kn`, `kt`, `m/s`, `km/h`"
    );
    assert!(parse_length("inf").is_err() && parse_length("NaN m").is_err());
    assert!(parse_length("").is_err() && parse_length("°").is_err());
    assert!(parse_duration("-5s").is_err());
    assert!(parse_length("1e308km").is_err());
}

#[test]
fn an_angle_of_more_than_half_a_turn_is_refused_not_folded() {
    assert_eq!(
        parse_angle("400deg").unwrap_err().to_string(),
        "`400deg` is more than half a turn; write an angle between `-180deg` and `180deg`"
    );
    assert!(parse_angle("-181°").is_err() && parse_angle("3.2 rad").is_err());
    for whole in ["180deg", "-180 °", "3.141592653589793rad"] {
        assert!((parse_angle(whole).unwrap().get().abs() - PI).abs() < 1e-9);
    }
}

/// A pound of force is 4.448222 N (NIST SP 811, appendix B.8).
#[test]
fn forces_and_masses_have_their_pounds() {
    assert!((Newtons::from_pounds(1.0).get() - 4.448_222).abs() < 1e-6);
    assert!((Newtons::of(5337.866).pounds() - 1200.0).abs() < 1e-3);
    assert!((parse_mass("44 lb").unwrap().get() - 19.958_064).abs() < 1e-6);
    assert_eq!(parse_mass("20kg").unwrap().to_string(), "20 kg");
    assert_eq!(Newtons::of(5338.0).to_string(), "5.3 kN");
    assert_eq!(Newtons::of(340.0).to_string(), "0.34 kN");
    assert_eq!(Newtons::of(12_400.0).to_string(), "12 kN");
}

#[test]
fn bearings_fold_and_differences_take_the_short_way() {
    assert!((Bearing::from_degrees(-10.0).degrees() - 350.0).abs() < 1e-9);
    assert!((Bearing::from_degrees(730.0).degrees() - 10.0).abs() < 1e-9);
    let shift = Bearing::from_degrees(10.0).since(Bearing::from_degrees(350.0));
    assert!((shift.degrees() - 20.0).abs() < 1e-9);
    let backing = Bearing::from_degrees(350.0).since(Bearing::from_degrees(10.0));
    assert!((backing.degrees() + 20.0).abs() < 1e-9);
    assert!(Bearing::of(-1e-20).get() < TAU);
    assert_eq!(Bearing::from_degrees(359.7).to_string(), "000°");
}

#[test]
fn numbers_that_are_not_finite_stay_outside() {
    assert!(Metres::new(f64::NAN).is_none());
    assert!(Bearing::new(f64::INFINITY).is_none());
    assert_eq!(
        Metres::try_from(f64::INFINITY).unwrap_err().to_string(),
        "`inf` is not a finite number"
    );
}

#[test]
fn a_leadsman_calls_metres_without_false_precision() {
    assert_eq!(Metres::of(4.26).to_string(), "4.3 m");
    assert_eq!(Metres::of(38.6).to_string(), "39 m");
    assert_eq!(spoken(Duration::from_secs(45)), "45 s");
    assert_eq!(spoken(Duration::from_secs(11_100)), "3 h 05 min");
}
