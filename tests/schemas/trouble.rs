//! An hour in which everything happens: deltas, status, events.

use super::*;

/// An hour with every command, a receiver that fails, a wind that turns and an anchor that drags.
#[test]
fn all_that_is_published_in_an_hour_of_trouble_is_as_the_schemas_say() {
    let hour = crate::block_on(hour_of_trouble()).unwrap();
    let (values, status, event) = (validator("values"), validator("status"), validator("event"));
    let mut seen: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    let mut latest = Map::new();
    for (path, value) in entries(&hour.published) {
        let told = json!({ path: value });
        assert_eq!(faults(&values, &told), "", "{told}");
        let kind = if value.is_null() { "null" } else { "value" };
        seen.entry(path.to_owned()).or_default().insert(kind);
        latest.insert(path.to_owned(), value.clone());
    }
    // Checks that the hour was eventful: each path appeared, and each calculated value was known at some time.
    for path in schema("values")["properties"].as_object().unwrap().keys() {
        // The watch never publishes it.
        if path == DRILL {
            continue;
        }
        let kinds = seen
            .get(path)
            .unwrap_or_else(|| panic!("`{path}` was never published"));
        let last = path.rsplit('.').next().unwrap();
        let never_known = [
            "letGo",
            "weigh",
            "acknowledge",
            "silence",
            "scopeAtHighWater",
            "underKeelAtLowWater",
            "roomLeast",
            "snubber",
        ];
        assert_eq!(
            kinds.contains("value"),
            !never_known.contains(&last) || path.starts_with("notifications"),
            "{path}"
        );
    }
    assert!(hour.events.len() > 10);
    for told in &hour.events {
        assert_eq!(faults(&event, &json!(told)), "", "{told:?}");
    }
    let told: BTreeSet<String> = hour
        .events
        .iter()
        .map(|e| json!(e.event).to_string())
        .collect();
    assert_eq!(told.len(), 5, "{told:?}");
    for report in &hour.screens {
        assert_eq!(faults(&status, &json!(report)), "", "{report:?}");
    }

    let worst = hour
        .screens
        .iter()
        .max_by_key(|report| report.alerts.len())
        .unwrap();
    assert!(!worst.alerts.is_empty());
    // The rehearsed boat has no phones.
    let mut worst = json!(worst);
    worst["phones"] = json!([{
        "channel": "skipper",
        "state": "working",
        "worked": worst["time"],
        "waiting": 0,
    }]);
    rebuild("status", &worst);
    let drag = hour
        .events
        .iter()
        .find(|event| event.hazard == Some(Hazard::Dragging))
        .unwrap();
    rebuild("event", &json!(drag));
    let mut dragging = Map::new();
    for (path, value) in entries(&hour.published_while_dragging) {
        dragging.insert(path.to_owned(), value.clone());
    }
    rebuild("values", &Value::Object(dragging));
}

/// The output of an hour.
#[derive(Default)]
struct Hour {
    published: Vec<Value>,
    /// Up to the drag alarm, with a heartbeat after it.
    published_while_dragging: Vec<Value>,
    events: Vec<Event>,
    screens: Vec<StatusReport>,
}

impl Hour {
    async fn seconds(&mut self, world: &mut World, seconds: u32) -> Result<(), WorldError> {
        for _ in 0..seconds {
            world.step().await?;
            self.published.extend(world.server().take_published());
            self.events.extend(
                world
                    .outputs()
                    .into_iter()
                    .filter_map(|output| match output {
                        Output::Event(event) => Some(event),
                        _ => None,
                    }),
            );
        }
        self.screens.extend(world.status().await);
        Ok(())
    }
}

async fn hour_of_trouble() -> Result<Hour, WorldError> {
    let dir = TempDir::new().unwrap();
    let mut settings = night::settings(1, dir.path().to_owned());
    settings.begin = (Bearing::from_degrees(45.0), Metres::of(40.0));
    let berth = json!(settings.origin);
    let mut world = World::start(settings).await?;
    world.server().keep_published(1000);
    let mut hour = Hour::default();
    let put = |name: &'static str, value: Value| (format!("navigation.anchor.watch.{name}"), value);

    // Approach, with the mean wind known.
    world.boat.steam_to(Offset::ZERO, Speed::from_knots(1.0));
    order(&world, put("berth", berth.clone())).await;
    hour.seconds(&mut world, 60).await?;
    // At anchor: under 50 m of rode, then all of it as if unknown.
    let sea = *world.sea();
    world.boat.let_go(&sea);
    world.boat.veer(Metres::of(50.0), Speed::of(1.0));
    order(&world, put("letGo", json!({"rode": 50}))).await;
    hour.seconds(&mut world, 60).await?;
    order(&world, put("rodeOut", json!(50))).await;
    order(
        &world,
        ("navigation.anchor.maxRadius".to_owned(), json!(90)),
    )
    .await;
    world.boat.dig_in();
    hour.seconds(&mut world, 15 * 60).await?;
    assert_eq!(
        hour.screens.last().map(|s| s.picture.phase.name()),
        Some("set")
    );
    // The server is down for three quarters of a minute, and has forgotten everything.
    world.server().stop();
    hour.seconds(&mut world, 45).await?;
    world.server().restart().await.unwrap();
    hour.seconds(&mut world, 6 * 60).await?;
    // Blind for two minutes; the crew acknowledges.
    world.sensors().set(Instrument::Gnss, Condition::Lost);
    hour.seconds(&mut world, 80).await?;
    order(&world, put("silence", json!(true))).await;
    hour.seconds(&mut world, 40).await?;
    order(&world, put("acknowledge", json!("position"))).await;
    world.sensors().set(Instrument::Gnss, Condition::Working);
    hour.seconds(&mut world, 10).await?;
    // She drags; the crew acknowledges at a display.
    world.boat.reckon_from_here();
    world.boat.drag_at(Speed::of(0.2));
    for _ in 0..20 {
        hour.seconds(&mut world, 15).await?;
        if hour.events.iter().any(Event::is_drag_alarm) {
            break;
        }
    }
    hour.published_while_dragging = hour.published.clone();
    assert!(
        world
            .acknowledge("notifications.navigation.anchor.dragging")
            .await
    );
    hour.seconds(&mut world, 5 * 60).await?;
    order(&world, put("weigh", json!(true))).await;
    world.boat.weigh();
    hour.seconds(&mut world, 15).await?;
    world.end().await?;
    Ok(hour)
}

async fn order(world: &World, (path, value): (String, Value)) {
    let outcome = world.put(&path, value).await;
    assert_eq!(outcome.status_code, 200, "{path}: {outcome:?}");
}

/// Paths and values of deltas, in order.
fn entries(deltas: &[Value]) -> impl Iterator<Item = (&str, &Value)> {
    deltas
        .iter()
        .flat_map(|delta| delta["updates"].as_array().unwrap())
        .flat_map(|update| update["values"].as_array().unwrap())
        .map(|entry| (entry["path"].as_str().unwrap(), &entry["value"]))
}
