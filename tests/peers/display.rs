//! A night seen on a display that knows nothing of anchors: the instrument panel of the Signal K project, which the
//! server offers as a web app and which shows every path by its metadata alone. It is opened in a real browser.
//!
//! The panel has no button that acknowledges. The server has a call for displays that do, and the panel's page makes
//! it, with the rights that the panel has.
//!
//! Pictures of the panel are left in `target/tmp/display-*.png`, to be looked at.

use std::collections::BTreeMap;
use std::path::Path;

use serde_json::{Value, json};

use super::chromium::Browser;
use super::tern::{Aboard, Instruments, eventually};
use super::{Mode, Rest, SignalK};

const ANCHOR: &str = "/signalk/v1/api/vessels/self/navigation/anchor";

/// What the crew puts on the page, below `navigation.anchor.`.
const SHOWN: [&str; 8] = [
    "watch.phase",
    "watch.anchorDistance",
    "watch.rodeOut",
    "watch.reach",
    "maxRadius",
    "watch.anchorBearing",
    "watch.scope",
    "watch.heartbeat",
];

/// Those of them that are lengths and do not change while she lies still.
const LENGTHS: [&str; 4] = [
    "watch.anchorDistance",
    "watch.rodeOut",
    "watch.reach",
    "maxRadius",
];

/// The international foot (1959): 0.3048 m exactly.
const FOOT: f64 = 0.3048;

/// The panel's colour of an alarm, red, green and blue: the borders of everything while an alarm stands.
const ALARM: [u8; 3] = [0xff, 0x40, 0x00];

#[test]
fn a_plain_panel_shows_the_night_in_metres_and_feet_and_its_alarm() {
    let server = SignalK::start(Mode::Open);
    let rest = server.rest();
    let instruments = Instruments::on(&server);
    let mut aboard = Aboard::of(&server);
    aboard.anchor();
    instruments.lie_at(25.0);

    let mut browser = Browser::open(1000, 420);
    arrange(&mut browser, &server);
    for (unit, metres) in [("m", 1.0), ("feet", FOOT)] {
        let preferred = if unit == "m" {
            json!({})
        } else {
            json!({ "m": unit })
        };
        keep(&mut browser, "instrumentpanelPreferredUnits", &preferred);
        browser.visit(&panel(&server, unit));
        for path in LENGTHS {
            let label = about(&rest, path)["displayName"].clone();
            eventually("the panel shows the length as it was published", || {
                let length = value(&rest, path)?.as_f64()? / metres;
                let shown = cells(&mut browser).remove(label.as_str()?)?;
                let number: f64 = shown.1.parse().ok()?;
                // The panel rounds to three or four digits.
                let step = if length >= 50.0 { 1.0 } else { 0.1 };
                (shown.0 == unit && (number - length).abs() <= step * 0.51).then_some(())
            });
        }
        let phase = &cells(&mut browser)["Anchor watch"];
        assert_eq!(phase.1, "setting", "{phase:?}");
        assert_eq!(
            taken(&mut browser, unit),
            0,
            "nothing is in the alarm's colour"
        );
    }

    // She drags: every border turns red, and the panel's list has the sentence.
    instruments.drag(3.0, 130.0);
    let alarm = eventually("the alarm stands", || {
        aboard
            .alert("dragging")
            .filter(|a| a["state"] == "active-unacknowledged")
    });
    eventually("the panel turns red", || {
        (taken(&mut browser, "alarm") > 1000).then_some(())
    });
    eventually("the panel shows her dragging", || {
        (cells(&mut browser).get("Anchor watch")?.1 == "dragging").then_some(())
    });
    open_list(&mut browser);
    let sentence = alarm["message"].as_str().unwrap();
    assert!(
        sentence.starts_with("dragging: the anchor has moved"),
        "{sentence}"
    );
    eventually("the panel's list has windrode's sentence", || {
        let lines = browser.run(
            "[...document.querySelectorAll('.react-grid-item p')].map((line) => line.textContent)",
        );
        let line = lines
            .as_array()?
            .iter()
            .filter_map(Value::as_str)
            .find(|line| line.contains("anchor.dragging]"))?;
        (line.contains("alarm:") && line.contains("dragging: the anchor has moved")).then_some(())
    });
    taken(&mut browser, "list");

    let status = browser.run(
        "fetch('/signalk/v2/api/notifications').then((answer) => answer.json()).then((all) => {
          const [id] = Object.entries(all).find(([, notice]) => notice.path === 'notifications.navigation.anchor.dragging');
          return fetch(`/signalk/v2/api/notifications/${id}/acknowledge`, { method: 'POST' });
        }).then((answer) => answer.status)",
    );
    assert_eq!(status, 200);
    eventually("windrode knows that a person has seen it", || {
        (aboard.alert("dragging")?["state"] == "active-acknowledged").then_some(())
    });

    // Weighed, it is over: no figure of the night is left.
    browser.visit(&panel(&server, "m"));
    eventually("the panel is red again when it is opened again", || {
        (taken(&mut browser, "acknowledged") > 1000).then_some(())
    });
    aboard.order(&["weigh"]);
    eventually("the panel is as before", || {
        let cells = cells(&mut browser);
        let aweigh = cells.get("Anchor watch")?.1 == "aweigh";
        let number = cells.get("Distance to anchor")?.1.parse::<f64>().is_ok();
        (aweigh && !number).then_some(())
    });
    // The panel stays red for a while: displays are told that the watch was ended.
    let notices = rest.get_json("/signalk/v1/api/vessels/self/notifications/navigation/anchor");
    assert_eq!(notices.unwrap()["dragging"]["value"]["state"], "normal");
    taken(&mut browser, "aweigh");
    assert_eq!(aboard.stop(), Some(0));
}

/// The page of the panel whose lengths are in this unit.
fn panel(server: &SignalK, unit: &str) -> String {
    format!("{}/@signalk/instrumentpanel/?layout={unit}", server.http())
}

fn node(rest: &Rest, path: &str) -> Option<Value> {
    rest.get_json(&format!("{ANCHOR}/{}", path.replace('.', "/")))
}

fn value(rest: &Rest, path: &str) -> Option<Value> {
    Some(node(rest, path)?["value"].clone())
}

fn about(rest: &Rest, path: &str) -> Value {
    eventually("the metadata is there", || {
        node(rest, &format!("{path}.meta"))
    })
}

/// Arranges the panel's page as a person does by dragging; the panel keeps that in the browser.
fn arrange(browser: &mut Browser, server: &SignalK) {
    let places = (0..SHOWN.len())
        .map(|n| json!({ "i": format!("0-{n}"), "x": n % 2 * 3, "y": n / 2 * 2, "w": 3, "h": 2 }));
    let things = SHOWN.iter().enumerate().map(|(n, path)| {
        let path = format!("navigation.anchor.{path}");
        let options = json!({ "sourceId": "windrode", "key": format!("windrode.{path}"), "path": path, "active": true });
        json!({ "id": format!("0-{n}"), "type": "universal", "options": options })
    });
    let page = json!({ "pages": [{
        "layouts": {}, "knownKeys": {},
        "layout": places.collect::<Vec<_>>(),
        "widgets": things.collect::<Vec<_>>(),
    }] });
    // What is kept belongs to the server's address.
    browser.visit(&format!("{}/signalk", server.http()));
    keep(
        browser,
        "instrumentpanelLayouts",
        &json!({ "127.0.0.1": { "m": page, "feet": page } }),
    );
    // It adds nothing to the page by itself, and does not begin with the list of its changes.
    browser.run("localStorage.setItem('instrumentpanelWidgetActiveMode', 'no'); localStorage.setItem('instrumentpanelVersion', '0.26.0')");
}

fn keep(browser: &mut Browser, key: &str, what: &Value) {
    let text = Value::String(what.to_string());
    browser.run(&format!("localStorage.setItem('{key}', {text})"));
}

/// Unit and text of each thing on the page, by its label.
fn cells(browser: &mut Browser) -> BTreeMap<String, (String, String)> {
    let found = browser.run(
        "[...document.querySelectorAll('.react-grid-item svg')].map((it) => [...it.querySelectorAll('text')].map((text) => text.textContent))",
    );
    let found: Vec<Vec<String>> = serde_json::from_value(found).unwrap();
    let cells = found.into_iter().filter_map(|cell| {
        let [label, unit, text] = <[String; 3]>::try_from(cell).ok()?;
        Some((label, (unit, text)))
    });
    cells.collect()
}

/// Opens the panel's list of notifications, by its bell. The buttons hide after a while.
fn open_list(browser: &mut Browser) {
    eventually("the bell is there", || {
        browser.run("document.body.click()");
        let pressed = browser.run("document.querySelector('nav .btn-group')?.lastElementChild?.click() ?? document.querySelector('.react-grid-item p') !== null");
        (pressed == true).then_some(())
    });
}

/// Takes a picture, leaves it to be looked at, and counts the pixels in the alarm's colour.
fn taken(browser: &mut Browser, name: &str) -> usize {
    let picture = browser.picture();
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"));
    std::fs::write(folder.join(format!("display-{name}.png")), &picture).unwrap();
    let mut reader = png::Decoder::new(std::io::Cursor::new(picture))
        .read_info()
        .unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let frame = reader.next_frame(&mut pixels).unwrap();
    let width = frame.color_type.samples();
    assert!(width >= 3, "the browser's pictures have colours");
    let all = pixels[..frame.buffer_size()].chunks(width);
    all.filter(|pixel| pixel[..3] == ALARM).count()
}
