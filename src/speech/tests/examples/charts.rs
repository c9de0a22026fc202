//! Messages about the charts and the boat's own soundings.

use super::*;

/// Objections to a circle, from the chart.
fn against() -> Vec<Against> {
    let class = Class::DepthArea.told();
    let (least, most) = (Height::of(metres(-0.4)), Height::of(metres(3.6)));
    let area = Charted::Between {
        class,
        least: least.into(),
        most: most.into(),
    };
    let east = Bearing::from_degrees(90.0);
    let shoal = || Sentence::from(Place::of(area.clone(), metres(30.0), east));
    let rock = Charted::UnknownDepth {
        class: Class::Rock.told(),
    };
    let rock = || Sentence::from(Place::of(rock.clone(), metres(12.5), east));
    let cable = Charted::Ruled {
        what: Class::CableArea.told(),
        rules: Restriction(1).told(),
    };
    let (by, left) = (Exact(metres(0.7)), Down(metres(0.3)));
    vec![
        Against::Solid { what: shoal() },
        Against::Grounds { by, what: shoal() },
        Against::GroundsAtLowWater {
            by,
            what: shoal(),
            left,
        },
        Against::MarginShort {
            left,
            margin: Exact(metres(0.5)),
            what: shoal(),
        },
        Against::UnknownDanger {
            what: rock(),
            count: 3,
        },
        Against::NotCovered {
            share: Share::of(0.5).into(),
        },
        Against::NoDepth {
            share: Share::of(0.001).into(),
        },
        Against::Touches { what: cable.into() },
        Against::Foul { what: rock() },
    ]
}

/// What is reported about the chart: in an answer, and as an alert.
pub(super) fn of_the_chart() -> Vec<Sentence> {
    let cell = || {
        Sheet::Cell {
            name: "BAY".to_owned(),
            scale: Some("12 000".to_owned()),
            datum: None,
            edition: Some("3".to_owned()),
            update: None,
            issued: None,
        }
        .into()
    };
    let chart = |language| {
        let told = Sheet::Told {
            cell: cell(),
            count: 1,
            survey: Some("B".to_owned()),
        };
        told.words(&Wording::in_language(language))
    };
    // In English here; the chart room puts it into the crew's words.
    let chart = Some(chart(Language::English));
    let mut all: Vec<Sentence> = against().into_iter().map(Into::into).collect();
    let planned = |by_soundings| Planning::Circle {
        depth: Planning::DepthWithTide {
            by: Planning::Charted {
                least: Height::of(metres(1.8)).into(),
                most: None,
                own: Some(sounded(1.6)),
            }
            .into(),
            high: Depth(metres(4.8)),
            low: Depth(metres(2.2)),
        }
        .into(),
        rode: metres(42.0),
        scope: Planning::Scope {
            scope: Some(Scope(7.0)),
            planned: Scope(7.0),
            why: ScopeWhy::HoldingUnknown.into(),
        }
        .into(),
        may_be_deeper: true,
        by_soundings,
        aboard: Some(metres(40.0)),
        circle: Some(metres(51.0)),
    };
    let reasons = || "…".to_owned();
    all.extend(of_own_soundings());
    all.extend([
        planned(false).into(),
        planned(true).into(),
        RoomToSwing::Clear {
            least: Some(Depth(metres(2.2))),
            own: Some(sounded(1.6)),
            chart: chart.clone(),
        }
        .into(),
        RoomToSwing::NotClear {
            reasons: reasons(),
            chart: None,
        }
        .into(),
        RoomToSwing::NotClearHere {
            reasons: reasons(),
            chart: None,
        }
        .into(),
        RoomToSwing::NotRead.into(),
        RoomToSwing::NoCharts { own: None }.into(),
        RoomToSwing::NoCharts {
            own: Some(sounded(7.0)),
        }
        .into(),
        RoomToSwing::Unreadable.into(),
        RoomToSwing::NotSized.into(),
        Alert::ShoalingCharted {
            share: Some(Share::of(0.12).into()),
            reasons: Some(reasons()),
            chart: None,
        }
        .into(),
        Alert::ShoalingCharted {
            share: None,
            reasons: None,
            chart: None,
        }
        .into(),
    ]);
    all
}

/// `1.6 m on 2026-05-03, tide from Tern Sound`.
fn sounded(depth: f64) -> Sentence {
    let tide = ReducedBy::Station {
        name: "Tern Sound".to_owned(),
    };
    Sounded::of(metres(depth), sounded_at(), tide).into()
}

fn sounded_at() -> Timestamp {
    "2026-05-03T21:30:00Z".parse().unwrap()
}

/// The boat's own soundings.
fn of_own_soundings() -> Vec<Sentence> {
    let depth = |depth| Sentence::from(Height::of(metres(depth)));
    let in_circle = |squares| Sounded::InCircle {
        squares,
        shoalest: sounded(1.6),
    };
    let shoalest = Sounded::on(sounded_at(), ReducedBy::Server);
    vec![
        Sounded::Own {
            what: sounded(-0.3),
        }
        .into(),
        in_circle(1).into(),
        in_circle(2).into(),
        Planning::ChartedAt {
            depth: depth(3.6),
            own: None,
        }
        .into(),
        Planning::SoundedBefore {
            least: depth(5.2),
            shoalest: Some(shoalest.into()),
        }
        .into(),
    ]
}
