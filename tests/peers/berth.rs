//! A berth on the real data server: the circle on the chart before letting go, the drop beside it.

use std::fs;

use serde_json::{Value, json};

use super::super::cli;
use super::tern::{Aboard, Instruments, eventually};
use super::{Mode, Rest, SignalK};
use windrode::boat::tern::BERTH;
use windrode::geodesy::Position;

const REGIONS: &str = "/signalk/v2/api/resources/regions";

fn watch(rest: &Rest, name: &str) -> Option<Value> {
    let node = rest.get_json(&format!(
        "/signalk/v1/api/vessels/self/navigation/anchor/watch/{name}"
    ))?;
    Some(node["value"].clone())
}

/// The server writes `40.0` as `40`.
fn is(value: &Value, number: f64) -> bool {
    value
        .as_f64()
        .is_some_and(|value| (value - number).abs() < 1e-9)
}

/// The only region: its name, its description, the middle of its corners.
fn circle(rest: &Rest) -> Option<(String, String, Position)> {
    let regions = rest.get_json(REGIONS)?;
    let region = regions.as_object()?.values().next()?.clone();
    let ring = region["feature"]["geometry"]["coordinates"][0]
        .as_array()?
        .clone();
    let corners = &ring[..ring.len() - 1];
    let mean = |place: usize| {
        let sum: f64 = corners.iter().filter_map(|c| c[place].as_f64()).sum();
        sum / corners.len() as f64
    };
    Some((
        region["name"].as_str()?.to_owned(),
        region["description"].as_str()?.to_owned(),
        Position::new(mean(1), mean(0)).ok()?,
    ))
}

/// West of Tern's berth 5 to 10 m by an invented chart, east of it a shoal.
#[test]
fn the_planned_circle_is_on_the_chart_before_letting_go_and_moves_with_the_drop() {
    let server = SignalK::start(Mode::Open);
    let rest = server.rest();
    let instruments = Instruments::on(&server);
    let mut aboard = Aboard::of(&server);
    let chart = aboard.folder().join("TERNBAY.geojson");
    fs::write(&chart, cli::chart::bay()).unwrap();
    aboard.order(&["chart", "add", chart.to_str().unwrap(), "--scale", "12000"]);
    aboard.run();
    eventually("the daemon takes the link for up", || {
        (aboard.status()?["link"] == "up").then_some(())
    });
    eventually("the charts are found", || {
        aboard.log().contains("1 charts aboard").then_some(())
    });

    // Planned 196 m to the west of where she is, with 40 m of rode.
    let place = Position::new(59.8539, 23.2565).unwrap();
    let output = aboard.windrode(&["berth", "59.8539,23.2565", "--rode", "40m", "--json"]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
    eprintln!("{answer:#}");
    assert_eq!(answer["planned"]["depthBy"], "chart");
    assert_eq!(answer["planned"]["room"]["clears"], true);
    let radius = answer["planned"]["radius"].as_f64().unwrap();
    let (name, description, middle) = eventually("the planned circle is drawn", || {
        circle(&rest).filter(|(_, words, _)| words.contains("room to swing is clear"))
    });
    assert_eq!(name, "Planned swinging circle");
    assert!(
        description.contains("charted depth 5 m to 10 m"),
        "{description}"
    );
    assert!(description.contains("rode 40 m as asked"), "{description}");
    assert!(middle.distance_to(place).get() < 1.0, "{middle:?}");
    eventually("its figures are published", || {
        let shown = watch(&rest, "plannedRadius")?.as_f64()?;
        ((shown - radius).abs() < 0.01
            && is(&watch(&rest, "plannedRode")?, 40.0)
            && is(&watch(&rest, "roomLeast")?, 5.0))
        .then_some(())
    });
    let waypoints = rest
        .get_json("/signalk/v2/api/resources/waypoints")
        .unwrap();
    assert_eq!(waypoints.as_object().unwrap().len(), 1, "{waypoints}");

    // The crew drags the berth on a display: the circle follows.
    let moved = Position::new(59.8539, 23.2568).unwrap();
    drag_berth(&rest);
    eventually("the circle has moved", || {
        let drawn = circle(&rest);
        drawn.filter(|(_, _, middle)| middle.distance_to(moved).get() < 1.0)
    });

    // The anchor goes down at the edge of the shoal: this is reported at once, with the distance from the berth.
    let output = aboard.windrode(&["let-go", "--rode", "40m"]);
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    eprintln!("{said}");
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    assert!(
        said.contains("room to swing NOT CLEAR about the anchor: she grounds at low water"),
        "{said}"
    );
    assert!(said.contains("consider anchoring again now"), "{said}");
    let off = moved.distance_to(BERTH).get();
    eventually("the drop's distance from the berth is published", || {
        let distance = watch(&rest, "berthDistance")?.as_f64()?;
        ((distance - off).abs() < 2.0).then_some(())
    });
    eventually("the circle lies about the anchor", || {
        circle(&rest).filter(|(name, _, middle)| {
            name == "Swinging circle" && middle.distance_to(BERTH).get() < 2.0
        })
    });
    let shoal = eventually("the shoal is told to the displays", || {
        let path = "/signalk/v1/api/vessels/self/notifications/navigation/anchor/shoaling";
        let notice = rest.get_json(path)?["value"].clone();
        (notice["state"] == "warn").then_some(notice)
    });
    let message = shoal["message"].as_str().unwrap();
    assert!(
        message.starts_with("shoaling where she could swing over "),
        "{message}"
    );
    assert!(message.contains("(chart TERNBAY, 1:12 000, "), "{message}");
    // With a snubber on she lies to the rode and the snubber.
    let output = aboard.windrode(&["snubber", "--length", "6m"]);
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(
        said.starts_with("snubber on at 40 m of rode, 6.0 m long: she lies to 46 m"),
        "{said}"
    );
    eventually("the snubber is published", || {
        let snubber = watch(&rest, "snubber")?;
        (is(&snubber["at"], 40.0) && is(&snubber["length"], 6.0)).then_some(())
    });
    drop(instruments);
    assert_eq!(aboard.stop(), Some(0));
}

/// Moves the berth as a display does, and waits for the answer.
fn drag_berth(rest: &Rest) {
    let pending = rest.put_json(
        "/signalk/v1/api/vessels/self/navigation/anchor/watch/berth",
        &json!({"value": {"latitude": 59.8539, "longitude": 23.2568, "rode": 40}}),
    );
    assert_eq!(pending.status, 202, "{pending:?}");
    let href = pending.body["href"].as_str().unwrap().to_owned();
    let answer = eventually("the order is answered", || {
        rest.get_json(&href)
            .filter(|reply| reply["state"] == "COMPLETED")
    });
    assert_eq!(answer["statusCode"], 200, "{answer}");
}
