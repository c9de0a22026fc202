//! The report in other programs: its page in a real browser at desktop and phone width, its tracks in GDAL.

use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::Value;
use tempfile::TempDir;

use crate::cli::report::{told, told_with_a_chart};

/// The checks that run in each page once it has loaded. The results go to the surrounding page.
const QUESTIONS: &str = r##"
addEventListener("load", () => {
  const seen = [...document.querySelectorAll(".plot")].filter((plot) => plot.offsetParent !== null);
  const found = { faults: window.faults, seen: seen.length, sizes: [], overflow: 0 };
  const box = (element) => { const { width, height } = element.getBoundingClientRect(); return [width, height]; };
  found.sizes = [...seen, document.querySelector("#ground"), document.querySelector("#swing")].map((it) => box(it.querySelector("svg")));
  found.overflow = document.documentElement.scrollWidth - document.documentElement.clientWidth;
  const plot = seen[0];
  plot.setPointerCapture = () => {};
  const told = () => document.querySelector(`output[data-key="${plot.dataset.key}"]`).textContent;
  const { left, top, width } = plot.getBoundingClientRect();
  const act = (kind, part) => plot.dispatchEvent(new PointerEvent(kind, { clientX: left + width * part, clientY: top + 20, pointerId: 1, bubbles: true }));
  found.before = told();
  act("pointermove", 0.5);
  found.hover = told();
  act("pointerdown", 0.3); act("pointermove", 0.6); act("pointerup", 0.6);
  found.span = told();
  found.marked = plot.querySelector(".span").getBoundingClientRect().width;
  found.part = document.querySelector(".part").getAttribute("d").length;
  plot.dispatchEvent(new KeyboardEvent("keydown", { key: "Escape" }));
  plot.dispatchEvent(new KeyboardEvent("keydown", { key: "ArrowRight" }));
  found.key = told();
  found.dark = getComputedStyle(document.body).backgroundColor;
  parent.document.body.textContent = "FOUND" + JSON.stringify(found) + "END";
});
"##;

/// Opens the page in a frame of this width and returns the results.
fn opened(page: &str, width: u32, dark: bool) -> Value {
    let folder = TempDir::new().unwrap();
    let watched = "<head>\n<script>window.faults = []; addEventListener(\"error\", (fault) => faults.push(fault.message));</script>";
    let page = page.replacen("<head>", watched, 1);
    let asked = format!("<script>{QUESTIONS}</script>\n</body>");
    let page = page.replacen("</body>", &asked, 1);
    let quoted = page.replace('&', "&amp;").replace('"', "&quot;");
    let around = format!(
        "<!DOCTYPE html><body><iframe style=\"width:{width}px;height:900px\" srcdoc=\"{quoted}\"></iframe></body>"
    );
    let file = folder.path().join("around.html");
    fs::write(&file, around).unwrap();
    let mut command = Command::new("chromium");
    command
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--dump-dom"])
        .args(["--window-size=1400,1000", "--virtual-time-budget=10000"])
        .arg(format!(
            "--user-data-dir={}",
            folder.path().join("profile").display()
        ));
    if dark {
        command.arg("--blink-settings=preferredColorScheme=0");
    }
    let output = command
        .arg(format!("file://{}", file.display()))
        .output()
        .expect("the report is opened in chromium; install it with: tests/peers/install");
    let dom = String::from_utf8_lossy(&output.stdout).into_owned();
    let found = dom
        .split_once("FOUND")
        .and_then(|(_, rest)| rest.split_once("END"));
    let (found, _) = found.unwrap_or_else(|| {
        let told = String::from_utf8_lossy(&output.stderr);
        panic!("the page has not answered; the browser said: {told}")
    });
    serde_json::from_str(
        &found
            .replace("&gt;", ">")
            .replace("&lt;", "<")
            .replace("&amp;", "&"),
    )
    .unwrap()
}

#[test]
fn the_page_is_whole_in_a_browser_at_the_width_of_a_desk_and_of_a_phone() {
    // With a chart on the phone, where there is the least room for its figures.
    let (plain, charted) = (told(&["last"]), told_with_a_chart());
    let mut grounds = Vec::new();
    for (width, dark, page) in [(1280, false, &plain), (390, true, &charted)] {
        let found = opened(page, width, dark);
        let text = |name: &str| found[name].as_str().unwrap();
        assert_eq!(found["faults"], serde_json::json!([]), "{width}");
        assert_eq!(found["overflow"], 0, "{width}");
        // At least distance, evidence, wind, direction and depth.
        assert!(found["seen"].as_u64().unwrap() >= 5, "{found}");
        for size in found["sizes"].as_array().unwrap() {
            assert!(size[0].as_f64().unwrap() >= 300.0, "{width}: {found}");
            assert!(size[1].as_f64().unwrap() >= 150.0, "{width}: {found}");
        }
        assert!(text("before").starts_with("Point at the plot"), "{found}");
        for (name, parts) in [("hover", 1), ("key", 1), ("span", 2)] {
            let told = text(name);
            assert!(told.contains("lay ") && told.contains(" m"), "{told}");
            assert_eq!(told.matches("UTC").count(), parts, "{told}");
        }
        assert!(found["marked"].as_f64().unwrap() > 50.0, "{found}");
        assert!(found["part"].as_u64().unwrap() > 100, "{found}");
        grounds.push(text("dark").to_owned());
    }
    assert_ne!(grounds[0], grounds[1]);
}

/// The number of points that GDAL reads from this layer, and its complaints.
fn read_by_gdal(file: &Path, layer: &[&str]) -> String {
    let output = Command::new("ogrinfo")
        .args(["-ro", "-al", "-so"])
        .arg(file)
        .args(layer)
        .output()
        .expect("the tracks are read by GDAL; install it with: tests/peers/install");
    let faults = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success() && faults.is_empty(), "{faults}");
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn gdal_reads_the_tracks_with_every_point_that_was_told() {
    let folder = TempDir::new().unwrap();
    let json: Value = serde_json::from_str(&told(&["last", "--json"])).unwrap();
    let pieces = json["track"].as_array().unwrap();
    let points: usize = pieces.iter().map(|it| it.as_array().unwrap().len()).sum();
    let gpx = folder.path().join("night.gpx");
    fs::write(&gpx, told(&["last", "--export", "gpx"])).unwrap();
    let read = read_by_gdal(&gpx, &["track_points"]);
    assert!(read.contains(&format!("Feature Count: {points}")), "{read}");
    let marks = read_by_gdal(&gpx, &["waypoints"]);
    assert!(marks.contains("Feature Count: 1"), "{marks}");
    let geojson = folder.path().join("night.geojson");
    fs::write(&geojson, told(&["last", "--export", "geojson"])).unwrap();
    let read = read_by_gdal(&geojson, &[]);
    let features = pieces.len() + 1;
    assert!(
        read.contains(&format!("Feature Count: {features}")),
        "{read}"
    );
    assert!(read.contains("WGS 84"), "{read}");
}
