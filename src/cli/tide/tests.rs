use super::*;
use crate::speech::Language;

/// The answer for a place off Boston, whose tide NOAA's constants give, and another that has none for a chart.
fn page(catalogue: &Catalogue, station: &str, say: Wording) -> Vec<String> {
    let time = |text: &str| text.parse::<Timestamp>().unwrap();
    let window = Window {
        from: time("2026-05-31T22:00:00Z"),
        to: time("2026-06-01T22:00:00Z"),
    };
    let place = Position::of(42.34, -70.95);
    let station = catalogue.find(station).unwrap();
    let predictor = catalogue.predictor(station).unwrap();
    let far = Advice::Far(Metres::of(61_000.0));
    let disagrees = Advice::Disagrees {
        id: "noaa/8443970".to_owned(),
        name: "Boston".to_owned(),
        distance: Metres::of(8_600.0),
        hours: -1.25,
        ratio: 1.3,
    };
    let answer = Answer {
        catalogue,
        station,
        predictor: &predictor,
        near: &catalogue.nearest(place, 3),
        advice: vec![far, disagrees],
        place: Some(place),
        window,
        turns: predictor.turns(window.from, window.to),
        heights: [window.from, time("2026-06-01T10:00:00Z")]
            .map(|time| (time, predictor.height(time)))
            .to_vec(),
        now: time("2026-06-01T10:40:00Z"),
        say,
    };
    // Two hours east, without a time zone database.
    let zone = TimeZone::fixed(jiff::tz::offset(2));
    answer.screen(&zone, true)
}

#[test]
fn the_page_in_every_language() {
    let catalogue = Catalogue::bundled().unwrap();
    let pages = Language::ALL.map(|language| {
        let say = Wording::in_language(language);
        let lines = page(&catalogue, "noaa/8444012", say);
        for line in &lines {
            assert!(line.chars().count() <= 80, "{language:?}: {line}");
        }
        lines.join("\n")
    });
    insta::assert_snapshot!(pages.join("\n\n"));
}

/// The figures of all turns are one below the other, whatever the words before them.
#[test]
fn the_columns_hold_in_every_language() {
    let catalogue = Catalogue::bundled().unwrap();
    for language in Language::ALL {
        let say = Wording::in_language(language);
        let lines = page(&catalogue, "noaa/8444012", say);
        let row = |line: &&String| line.starts_with("  ") && line.ends_with(" ft");
        let units = lines.iter().filter(row).map(|line| {
            let metres = line.find(" m ").unwrap();
            (line[..metres].chars().count(), line.chars().count())
        });
        let mut groups: Vec<_> = units.collect();
        assert!(groups.len() >= 6, "{language:?}: {lines:#?}");
        // The table of turns, and that of the heights asked for.
        groups.dedup();
        assert_eq!(groups.len(), 2, "{language:?}: {lines:#?}");
    }
}

#[test]
fn every_day_and_month_has_its_name() {
    let names = |language| {
        let say = Wording::in_language(language);
        let day = |number: i64| {
            dates::written(
                Timestamp::from_millis(number * 86_400_000),
                &TimeZone::UTC,
                &say,
            )
            .0
        };
        [0, 31, 14_579].map(day)
    };
    // 1 January 1970 was a Thursday, 1 February a Sunday, 1 December 2009 a Tuesday.
    assert_eq!(
        names(Language::English),
        ["Thu 1 Jan 1970", "Sun 1 Feb 1970", "Tue 1 Dec 2009"]
    );
    assert_eq!(
        names(Language::German),
        [
            "Do., 1. Jan. 1970",
            "So., 1. Feb. 1970",
            "Di., 1. Dez. 2009"
        ]
    );
    assert_eq!(
        names(Language::French),
        [
            "jeu. 1er janv. 1970",
            "dim. 1er févr. 1970",
            "mar. 1er déc. 2009"
        ]
    );
    assert_eq!(
        names(Language::Spanish),
        ["jue, 1 ene 1970", "dom, 1 feb 1970", "mar, 1 dic 2009"]
    );
}
