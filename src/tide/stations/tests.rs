use super::*;
use crate::speech::tides::TideDatum;
use crate::time::Timestamp;

fn catalogue() -> Catalogue {
    Catalogue::bundled().unwrap()
}

fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

#[test]
fn the_bundled_catalogue_is_whole() {
    let all = catalogue();
    assert!(all.stations().len() > 5000, "{}", all.stations().len());
    let now = at("2026-06-01T00:00:00Z");
    for station in all.stations() {
        let predictor = all
            .predictor(station)
            .unwrap_or_else(|| panic!("{}", station.id));
        let height = predictor.height(now).get();
        // The greatest range on Earth is 16 m; the mean levels of rivers and the Great Lakes are higher.
        assert!(height.abs() < 20.0, "{} {height}", station.id);
        assert_ne!(
            TideDatum::of(all.datum(station)),
            TideDatum::Own,
            "{}",
            station.id
        );
    }
}

#[test]
fn a_station_is_found_by_id_by_its_tail_and_by_name() {
    let all = catalogue();
    for wanted in ["noaa/8443970", "8443970", " NOAA/8443970 ", "boston"] {
        assert_eq!(all.find(wanted).unwrap().name, "Boston", "{wanted}");
    }
    assert_eq!(
        all.find("Nowhere at all").unwrap_err().to_string(),
        "no tide station is called `Nowhere at all`; `windrode tide --near LAT,LON` lists the nearest ones"
    );
    let several = all.find("portland").unwrap_err().to_string();
    assert!(
        several.starts_with("`portland` is the name of "),
        "{several}"
    );
    assert!(several.contains("take one by its id: `noaa/"), "{several}");
    assert!(matches!(
        all.find(""),
        Err(FindError::Several { .. } | FindError::None(_))
    ));
}

#[test]
fn the_nearest_come_in_order() {
    let all = catalogue();
    let place = Position::of(42.35, -71.04);
    let near = all.nearest(place, 5);
    assert_eq!(near.len(), 5);
    assert!(
        near.windows(2)
            .all(|pair| pair[0].distance <= pair[1].distance)
    );
    // No station is nearer than the first.
    let least = all
        .stations()
        .iter()
        .map(|station| place.distance_to(station.position).get())
        .fold(f64::MAX, f64::min);
    assert_eq!(near[0].distance.get(), least);
    // Across the date line, and from the pole.
    let fiji = all.nearest(Position::of(-16.8, -179.99), 1)[0];
    assert!(fiji.distance < Metres::of(400_000.0), "{fiji:?}");
    assert_eq!(all.nearest(Position::of(90.0, 0.0), 3).len(), 3);
}

#[test]
fn a_far_station_and_two_sides_of_a_neck_of_land_are_reported() {
    let all = catalogue();
    // Mid-Atlantic.
    let place = Position::of(35.0, -40.0);
    let nearest = all.nearest(place, 1)[0].station;
    assert!(
        matches!(all.advice(place, nearest)[..], [Advice::Far(distance), ..] if distance > FAR)
    );
    // The Cape Cod Canal: three hours and twice the range from one end to the other (NOAA's tables).
    let canal = Position::of(41.745, -70.59);
    let station = all.nearest(canal, 1)[0].station;
    let advice = all.advice(canal, station);
    assert!(
        advice
            .iter()
            .any(|one| matches!(one, Advice::Disagrees { .. })),
        "{station:?} {advice:?}"
    );
    // All stations in the middle of Boston's harbour agree.
    let harbour = Position::of(42.354, -71.05);
    let station = all.find("8443970").unwrap();
    assert_eq!(all.advice(harbour, station), []);
}

#[test]
fn a_secondary_station_has_its_standard_s_tide_shifted_and_scaled() {
    let all = catalogue();
    let station = all
        .stations()
        .iter()
        .find(|one| match &one.constants {
            Constants::Differences { differences, .. } => {
                matches!(differences.high, HeightDifference::Ratio(ratio) if ratio > 1.05)
                    && differences.high_minutes > 10.0
            }
            Constants::Own { .. } => false,
        })
        .unwrap();
    let Constants::Differences { differences, .. } = &station.constants else {
        panic!("not secondary");
    };
    let (there, here) = (
        all.predictor(station).unwrap(),
        all.predictor(all.standard_of(station).unwrap()).unwrap(),
    );
    let (from, to) = (at("2026-06-02T00:00:00Z"), at("2026-06-09T00:00:00Z"));
    let wide = (at("2026-05-30T00:00:00Z"), at("2026-06-12T00:00:00Z"));
    let ours = there.turns(from, to);
    assert!(ours.len() > 12, "{}", ours.len());
    for turn in ours {
        let (minutes, height) = match turn.kind {
            super::super::Stand::High => (differences.high_minutes, differences.high),
            super::super::Stand::Low => (differences.low_minutes, differences.low),
        };
        let theirs = here.turns(wide.0, wide.1);
        let fits = theirs.iter().any(|other| {
            other.kind == turn.kind
                && (turn.time.millis_since(other.time) as f64 / 60_000.0 - minutes).abs() < 0.01
                && (height.apply(other.height.get()) - turn.height.get()).abs() < 1e-9
        });
        assert!(fits, "{turn:?}");
        // The curve also passes through it.
        assert!((there.height(turn.time) - turn.height).get().abs() < 1e-4);
    }
}

#[test]
fn a_broken_catalogue_is_refused_with_the_line() {
    let told = |text: &str| Catalogue::parse(text).unwrap_err().to_string();
    let head = "windrode tide stations\t1\nwaves\tnoaa\tM2 S2\n";
    assert_eq!(
        told(&format!(
            "{head}P\tnoaa/1\tHere\tThere\t91\t0\tMLLW\t1\tnoaa\t10,0\n"
        )),
        "line 3 of the catalogue of tide stations is wrong: latitude `91`, longitude `0` is no place on Earth; \
         degrees within ±90 and ±180 are expected; rebuild it with `deploy/tides/build.mjs`"
    );
    assert!(
        told(&format!(
            "{head}P\tnoaa/1\tHere\tThere\t1\t0\tMLLW\tNaN\tnoaa\t10,0\n"
        ))
        .contains("`NaN` is not finite")
    );
    assert!(told(&format!("{head}X\n")).contains("neither a head nor a station"));
    assert!(
        told(&format!(
            "{head}S\tnoaa/1\tHere\tThere\t1\t0\tnoaa/2\t1\t1\t=3\t*1\n"
        ))
        .contains("`=3` is no difference in height")
    );
    assert!(matches!(
        Catalogue::unpack(b"no gzip"),
        Err(CatalogueError::Packed(_))
    ));
}
