//! The results of a search for a berth on a real cell, compared with shapely and pyproj.

use super::*;

/// Searches for berths about six places of the real cell. The libraries check each circle, depth, distance and ray, and
/// no search may take long (the time is reported; the aim is a second).
#[test]
#[ignore = "needs the reference data"]
fn berths_that_a_search_finds_are_as_shapely_and_pyproj_have_them() {
    let dir = TempDir::new().unwrap();
    let (room, _) = kept(&dir);
    let needs = needs(0.0, None);
    let inputs = inputs();
    let winds = [0, 45, 90, 135, 180, 225, 270, 315];
    let mut berths = Vec::new();
    let mut requests = Vec::new();
    for (latitude, longitude, within) in [
        (38.9508, -76.4112, 500.0),
        (38.8875, -76.482, 500.0),
        (38.7668, -76.3557, 800.0),
        (38.8332, -76.3158, 1852.0),
        (38.4, -76.361_01, 500.0),
        (38.97, -76.475, 400.0),
    ] {
        let centre = Position::new(latitude, longitude).unwrap();
        let area = Area::about(centre, Metres::of(within)).unwrap();
        let sheet = room
            .load(&Extent::about(centre, area.charts_within().get()))
            .unwrap();
        let begun = std::time::Instant::now();
        let found = search(
            &area,
            &sheet,
            &Wishes {
                inputs: &inputs,
                needs,
                neighbours: &[],
            },
        );
        eprintln!(
            "{latitude} {longitude} within {within} m: {} places in {} ms, {} berths; {:?}",
            found.looked_at,
            begun.elapsed().as_millis(),
            found.candidates.len(),
            found
                .rejected
                .iter()
                .map(|it| (it.against, it.count))
                .collect::<Vec<_>>()
        );
        for berth in found.candidates {
            let at = berth.position;
            let asked = Asked {
                centre: at,
                radius: berth.radius.get(),
                between: None,
                needs,
            };
            requests.push(asked.request());
            requests.push(json!({
                "latitude": at.latitude(), "longitude": at.longitude(), "fetch": 9260.0, "bearings": winds,
                "from": [latitude, longitude],
            }));
            berths.push((asked, berth));
        }
    }
    assert!(berths.len() >= 10, "{}", berths.len());
    let theirs = libraries("charts.py", &[cell().to_str().unwrap()], &requests);
    let mut ends = std::collections::BTreeSet::new();
    for (pair, (asked, berth)) in theirs.chunks(2).zip(&berths) {
        ends.extend(assert_berth(berth, &asked.answer(&room), asked, pair));
    }
    assert_eq!(
        ends.len(),
        3,
        "land, the end of the chart and the limit: {ends:?}"
    );
}

/// A berth compared with the libraries' circle and rays; returns what the rays end at.
#[track_caller]
fn assert_berth(berth: &Candidate, ours: &Clearance, asked: &Asked, pair: &[Value]) -> Vec<String> {
    let mut ends = Vec::new();
    let needs = asked.needs;
    let name = format!("berth at {:?}", berth.position);
    let near = |what: &str, ours: f64, theirs: f64, by: f64| {
        assert!(
            (ours - theirs).abs() <= by,
            "{name}: {what}: ours {ours}, theirs {theirs}"
        );
    };
    assert_same(&name, ours, &pair[0]);
    assert!(
        pair[0]["least"].as_f64().unwrap() >= needs.depth().get() - 1e-9,
        "{name}"
    );
    assert_eq!(
        (&pair[0]["solid"], &pair[0]["unknown"]),
        (&json!(false), &json!(0))
    );
    let danger = pair[0]["danger"]["distance"].as_f64();
    let danger = danger.unwrap_or(asked.radius + SEARCHED_BEYOND.get());
    near(
        "room to spare",
        berth.spare.get(),
        danger - asked.radius,
        0.06,
    );
    near(
        "depth",
        berth.charted_depth.get(),
        pair[1]["depth"].as_f64().unwrap(),
        1e-9,
    );
    near(
        "distance",
        berth.distance.get(),
        pair[1]["distance"].as_f64().unwrap(),
        0.002,
    );
    let bearing = Bearing::from_degrees(pair[1]["bearing"].as_f64().unwrap());
    near(
        "bearing",
        berth.bearing.since(bearing).get() * berth.distance.get(),
        0.0,
        0.01,
    );
    for (fetch, ray) in berth.fetch.iter().zip(pair[1]["rays"].as_array().unwrap()) {
        let (land, gap) = (ray[0].as_f64(), ray[1].as_f64());
        let (wanted, end) = match (land, gap) {
            (Some(land), gap) if gap.is_none_or(|gap| land <= gap + 1.0) => (land, Ends::Land),
            (_, Some(gap)) => (gap, Ends::Chart),
            (_, None) => (9260.0, Ends::Limit),
        };
        assert_eq!(fetch.ends, end, "{name}: {fetch:?}, {ray}");
        // 5 cm, plus the small difference between an edge that is straight in degrees and one on the plane.
        near("fetch", fetch.distance.get(), wanted, 0.1);
        ends.push(format!("{end:?}"));
    }
    ends
}

/// A yacht of 11 m with 60 m of rode at 5:1.
fn inputs() -> PlanInputs {
    let sounding = Sounding {
        depth: Metres::ZERO,
        below: Below::Datum,
    };
    let boat = Boat::new(BoatFigures {
        length: Some(Metres::of(11.0)),
        draught: Some(Metres::of(1.9)),
        roller_height: Some(Metres::of(1.0)),
        ..BoatFigures::default()
    });
    PlanInputs {
        tackle: GroundTackle {
            aboard: Some(Metres::of(60.0)),
            ..GroundTackle::default()
        },
        stretch: 0.02,
        scopes: Scopes {
            asked: Some(5.0),
            ..Scopes::default()
        },
        holding: Holding::Good,
        ..PlanInputs::of(sounding, boat)
    }
}
