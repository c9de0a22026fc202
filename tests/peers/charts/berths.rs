//! What the watch plans at a berth on a real cell, compared with shapely and pyproj.

use super::*;

/// What the watch plans at a berth, with 48 m of rode: its questions go to the charts as in the daemon.
fn planned(room: &ChartRoom, place: Position) -> (Planned, String) {
    let now = Now::new(Tick::START, "2026-06-01T20:00:00Z".parse().unwrap());
    let settings = WatchSettings {
        boat: BoatFigures {
            length: Some(Metres::of(11.2)),
            draught: Some(Metres::of(1.9)),
            roller_height: Some(Metres::of(1.2)),
            ..BoatFigures::default()
        },
        ..WatchSettings::default()
    };
    let mut watch = Watchkeeper::new(now, settings, Saved::default());
    watch.handle(now, Input::Began { last_seen: None });
    watch.handle(now, Input::Chart(ChartNews::Kept(true)));
    let tide = Report {
        subject: Subject::Own,
        source: Label::new("tide.table"),
        stamp: Some(now.utc),
        facts: vec![
            Fact::DepthBelowSurface(Metres::new(8.0)),
            Fact::TideNow(Metres::new(0.4)),
            Fact::TideHigh(Metres::new(0.4)),
            Fact::TideLow(Metres::new(0.0)),
        ],
    };
    watch.handle(now, Input::Report(tide));
    let wishes = BerthWishes {
        rode: Metres::new(48.0),
        ..BerthWishes::default()
    };
    let order = BerthOrder {
        position: place,
        wishes,
    };
    let command = Order::Berth(Some(order));
    watch.handle(
        now,
        Input::Command {
            id: 1,
            command,
            by: By::Terminal,
        },
    );
    let mut said = String::new();
    while let Some(output) = watch.poll_output() {
        match output {
            Output::AskChart(question) => {
                let within = question.radius.unwrap_or_default() + SEARCHED_BEYOND;
                let sheet = room.load(&Extent::about(question.centre, within.get()));
                let answer = question.put_to(&sheet.unwrap());
                let news = ChartNews::Said(Box::new(answer));
                watch.handle(now, Input::Chart(news));
            }
            Output::Reply {
                outcome: Outcome::Done(words),
                ..
            } => said = words,
            _ => {}
        }
    }
    let planned = watch.picture(now).planned;
    (
        planned.unwrap_or_else(|| panic!("not planned: {said}")),
        said,
    )
}

/// The same places as berths: the depth there, the circle the watch plans, and what is in it.
#[test]
#[ignore = "needs the reference data"]
fn berths_of_the_five_cases_are_planned_and_told_apart() {
    let dir = TempDir::new().unwrap();
    let (room, _) = kept(&dir);
    let cases: [(&str, f64, f64, &[Finding], &str); 6] = [
        (
            "clears",
            38.9508,
            -76.4112,
            &[],
            "room to swing is clear by the chart",
        ),
        (
            "grounds at low water only",
            38.8875,
            -76.482,
            &[Finding::GroundsAtLowWater],
            "NOT CLEAR: she grounds at low water, by ",
        ),
        (
            "over a cable",
            38.7668,
            -76.3557,
            &[Finding::Cable],
            "NOT CLEAR: it touches: cable area",
        ),
        (
            "beside a rock of unknown depth",
            38.9913,
            -76.4186,
            &[Finding::Grounds, Finding::UnknownDanger],
            "a danger of unknown depth: rock of unknown depth",
        ),
        (
            "beside an obstruction of unknown depth",
            38.8332,
            -76.3158,
            &[Finding::UnknownDanger],
            "NOT CLEAR: a danger of unknown depth: obstruction",
        ),
        (
            "half off the coverage",
            38.4,
            -76.361_01,
            &[Finding::NotCovered],
            "of it is on no chart here; what is there is not known",
        ),
    ];
    let berths = cases.map(|(_, latitude, longitude, ..)| {
        let place = Position::new(latitude, longitude).unwrap();
        (place, planned(&room, place))
    });
    let requests: Vec<Value> = berths
        .iter()
        .map(|(place, (planned, _))| {
            let asked = Asked {
                centre: *place,
                radius: planned.radius.unwrap().get(),
                between: None,
                needs: needs(0.0, Some(0.4)),
            };
            asked.request()
        })
        .collect();
    let theirs = libraries("charts.py", &[cell().to_str().unwrap()], &requests);
    for (((name, .., findings, words), (_, (planned, said))), theirs) in
        cases.iter().zip(&berths).zip(&theirs)
    {
        let ours = planned.room.as_ref().unwrap();
        assert_eq!(ours.findings, *findings, "{name}: {said}");
        assert!(said.contains(words), "{name}: {said}");
        let near = |what: &str, ours: f64, key: &str| {
            let theirs = theirs[key].as_f64().unwrap();
            assert!(
                (ours - theirs).abs() < 2e-5,
                "{name}: {what}: {ours}, {theirs}"
            );
        };
        near("too shoal", ours.share_too_shoal, "shoal");
        near("not covered", ours.share_not_covered, "notCovered");
        let least = ours.least.as_ref().and_then(|least| least.depth);
        assert_eq!(json!(least), theirs["least"], "{name}");
        assert_eq!(json!(ours.unknown_dangers), theirs["unknown"], "{name}");
        let there = planned
            .charted
            .as_ref()
            .map(|there| (there.least, there.most));
        assert_eq!(json!(there), theirs["there"], "{name}: the depth there");
        // The lowest water is chart datum: the least charted depth is what remains, where all of it is known.
        let known = ![Finding::NotCovered, Finding::UnknownDanger]
            .iter()
            .any(|finding| findings.contains(finding));
        assert_eq!(planned.room_least, least.filter(|_| known), "{name}");
        // 48 m and 2 % over 1.2 m and the least water there, and the boat's 11.2 m.
        let height = planned.depth_at_low_water.get().max(0.0) + 1.2;
        let wanted = (48.96_f64 * 48.96 - height * height).sqrt() + 11.2;
        let radius = planned.radius.unwrap().get();
        assert!((radius - wanted).abs() < 1e-6, "{name}: {radius}, {wanted}");
        assert!(said.contains("(chart US4MD81M, 1:80 000, depths below mean lower low water, edition 31, update 3, "), "{said}");
    }
}
