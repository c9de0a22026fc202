//! What we send, validated by the standard's own schema: every delta of an eventful night.

use serde_json::{Value, json};
use tempfile::TempDir;
use windrode::rehearse::night;
use windrode::rehearse::world::World;
use windrode::units::Speed;

use super::assert_valid_deltas;
use crate::block_on;

/// Everything the daemon sends: first connection, letting go, a drag and its acknowledgement,
/// blindness, weighing.
fn sent() -> Vec<Value> {
    let folder = TempDir::new().unwrap();
    block_on(async {
        let mut settings = night::settings(5, folder.path().to_owned());
        settings.begin.1 = windrode::units::Metres::of(1.0);
        let mut world = World::start(settings).await.unwrap();
        world.server().keep_published(20_000);
        // A restart of the server makes the daemon introduce itself again, now that we listen.
        world.server().restart().await.unwrap();
        for _ in 0..120 {
            world.step().await.unwrap();
        }
        let put = async |world: &World, name: &str, value: Value| {
            let path = format!("navigation.anchor.watch.{name}");
            let outcome = world.put(&path, value).await;
            assert_eq!(outcome.status_code, 200, "{name}: {}", outcome.message);
        };
        let berth = json!({ "latitude": 59.854, "longitude": 23.261 });
        put(&world, "berth", berth).await;
        world.step().await.unwrap();
        let sea = *world.sea();
        world.boat.let_go(&sea);
        world.boat.dig_in();
        world
            .boat
            .veer(windrode::units::Metres::of(45.0), Speed::of(1.0));
        put(&world, "letGo", json!({ "rode": 40 })).await;
        put(&world, "rodeOut", json!(45)).await;
        for _ in 0..900 {
            world.step().await.unwrap();
        }
        world.boat.drag_at(Speed::of(0.5));
        for _ in 0..240 {
            world.step().await.unwrap();
        }
        put(&world, "silence", json!(true)).await;
        for _ in 0..40 {
            world.step().await.unwrap();
        }
        put(&world, "acknowledge", json!("dragging")).await;
        for _ in 0..30 {
            world.step().await.unwrap();
        }
        put(&world, "weigh", json!(true)).await;
        for _ in 0..30 {
            world.step().await.unwrap();
        }
        let sent = world.server().take_published();
        world.end().await.unwrap();
        sent
    })
}

#[test]
fn every_delta_of_a_night_satisfies_the_standard_s_schema() {
    let mut sent = sent();
    assert!(sent.len() > 500, "{}", sent.len());
    let paths = |sent: &[Value]| {
        let mut paths: Vec<String> = sent
            .iter()
            .flat_map(|delta| delta["updates"].as_array().unwrap())
            .flat_map(|update| update["values"].as_array().unwrap())
            .map(|value| value["path"].as_str().unwrap().to_owned())
            .collect();
        paths.sort();
        paths.dedup();
        paths
    };
    for path in [
        "navigation.anchor.position",
        "navigation.anchor.maxRadius",
        "navigation.anchor.currentRadius",
        "navigation.anchor.watch.phase",
        "navigation.anchor.watch.heartbeat",
        "navigation.anchor.watch.dragProbability",
        "notifications.navigation.anchor.dragging",
    ] {
        assert!(
            paths(&sent).iter().any(|p| p == path),
            "{path} was not sent"
        );
    }
    // The schema of deltas has no `meta`, though its documentation and the server do: it is removed
    // before the validation and checked separately.
    let mut described = 0;
    for delta in &mut sent {
        for update in delta["updates"].as_array_mut().unwrap() {
            let Some(meta) = update.as_object_mut().unwrap().remove("meta") else {
                continue;
            };
            for entry in meta.as_array().unwrap() {
                described += 1;
                assert!(entry["path"].is_string(), "{entry}");
                assert!(entry["value"]["description"].is_string(), "{entry}");
                assert!(entry["value"]["displayName"].is_string(), "{entry}");
                assert!(entry["value"].get("zones").is_none(), "{entry}");
                assert_ne!(entry["value"]["units"], "ratio", "{entry}");
            }
        }
    }
    assert!(described >= 20, "{described}");
    assert_valid_deltas(&sent);
}
