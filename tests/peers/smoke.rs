//! Checks that the peers are what the other tests assume. The expected values were measured on version
//! 2.32.0 of the server, or come from the standard.

use std::net::TcpStream;

use serde_json::{Value, json};

use super::{Mode, SignalK, Stream, assert_valid_deltas};
use crate::block_on;

const REGION: &str = "/signalk/v2/api/resources/regions/b5e8a5b2-3a0e-4b6f-9d2a-0a1b2c3d4e5f";

#[test]
fn an_open_server_is_the_yachts_and_keeps_folder_and_port_when_it_restarts() {
    let mut server = SignalK::start(Mode::Open);
    let rest = server.rest();
    let boat = "/signalk/v1/api/vessels/self";

    let found = rest.get_json("/signalk").unwrap();
    let stream = format!("ws://127.0.0.1:{}/signalk/v1/stream", server.port);
    assert_eq!(found["endpoints"]["v1"]["signalk-ws"], json!(stream));
    assert_eq!(found["server"]["version"], json!("2.32.0"));
    assert_eq!(rest.get_json(&format!("{boat}/name")), Some(json!("Tern")));
    assert_eq!(
        rest.get_json(&format!("{boat}/mmsi")),
        Some(json!("230099999"))
    );
    for (path, value) in [
        ("design/length", json!({"overall": 11.2})),
        ("design/beam", json!(3.6)),
        ("design/draft", json!({"maximum": 1.9})),
        ("sensors/gps/fromBow", json!(9.1)),
        ("sensors/gps/fromCenter", json!(0.3)),
    ] {
        assert_eq!(
            rest.get_json(&format!("{boat}/{path}/value")),
            Some(value),
            "{path}"
        );
    }
    assert_eq!(
        rest.get_json(&format!("{boat}/navigation/position")),
        None,
        "no data connection"
    );
    assert_eq!(
        rest.get_json("/skServer/loginStatus").unwrap()["authenticationRequired"],
        json!(false)
    );
    assert!(server.tokens.daemon.is_none());

    // Resources are kept in the folder, so they show whether it is the same one after each restart.
    let region = json!({"name": "Swinging circle", "feature": {"type": "Feature", "properties": {}, "geometry":
        {"type": "Polygon", "coordinates": [[[24.9, 60.1], [24.901, 60.1], [24.9, 60.101], [24.9, 60.1]]]}}});
    assert_eq!(rest.put_json(REGION, &region).status, 200);
    let port = server.port;

    server.restart();
    assert_eq!(server.port, port);
    assert_eq!(rest.get_json(REGION).unwrap()["feature"], region["feature"]);

    server.kill();
    let refused = TcpStream::connect(("127.0.0.1", port)).unwrap_err();
    assert_eq!(refused.kind(), std::io::ErrorKind::ConnectionRefused);
    server.start_again();
    assert_eq!(
        rest.get_json(REGION).unwrap()["name"],
        json!("Swinging circle")
    );
    assert_eq!(rest.delete(REGION).status, 200);
    assert_eq!(rest.get_json(REGION), None);

    let dir = server.dir.clone();
    assert!(dir.join("log").exists());
    drop(server);
    assert!(!dir.exists());
    assert!(TcpStream::connect(("127.0.0.1", port)).is_err());
}

#[test]
fn a_secure_server_gives_each_token_its_rights() {
    let server = SignalK::start(Mode::Secure);
    let region = json!({"name": "Berth", "feature": {"type": "Feature", "properties": {}, "geometry":
        {"type": "Polygon", "coordinates": [[[24.9, 60.1], [24.901, 60.1], [24.9, 60.101], [24.9, 60.1]]]}}});

    for (token, level, written) in [
        (&server.tokens.admin, "admin", 200),
        (&server.tokens.daemon, "readwrite", 200),
        (&server.tokens.readonly, "readonly", 401),
    ] {
        let rest = server.rest_as(token.as_ref());
        let status = rest.get_json("/skServer/loginStatus").unwrap();
        assert_eq!(status["status"], json!("loggedIn"), "{status}");
        assert_eq!(status["userLevel"], json!(level), "{status}");
        assert_eq!(
            rest.get_json("/signalk/v1/api/vessels/self/name"),
            Some(json!("Tern"))
        );
        assert_eq!(rest.put_json(REGION, &region).status, written, "{level}");
    }
    let nobody = server.rest();
    assert_eq!(
        nobody.get_json("/skServer/loginStatus").unwrap()["status"],
        json!("notLoggedIn")
    );
    assert_eq!(nobody.put_json(REGION, &region).status, 401);
}

#[test]
fn a_device_that_asks_is_let_in_by_the_administrator() {
    let server = SignalK::start(Mode::Secure);
    let admin = server.rest_as(server.tokens.admin.as_ref());
    let nobody = server.rest();
    let asked = nobody.post_json(
        "/signalk/v1/access/requests",
        &json!({"clientId": "9a1c", "description": "windrode", "permissions": "readwrite"}),
    );
    assert_eq!(asked.status, 202, "{asked:?}");
    let href = asked.body["href"].as_str().unwrap();
    assert_eq!(nobody.get_json(href).unwrap()["state"], json!("PENDING"));

    let approved = json!({"permissions": "readwrite", "expiration": "NEVER"});
    let answer = admin.put_json(
        "/skServer/security/access/requests/9a1c/approved",
        &approved,
    );
    assert_eq!(answer.status, 200, "{answer:?}");

    let token = nobody.get_json(href).unwrap()["accessRequest"]["token"]
        .as_str()
        .map(String::from);
    let status = server
        .rest_as(token.as_ref())
        .get_json("/skServer/loginStatus")
        .unwrap();
    assert_eq!(status["userLevel"], json!("readwrite"));
}

#[test]
fn a_notification_is_seen_and_acknowledged() {
    let server = SignalK::start(Mode::Secure);
    let path = "notifications.navigation.anchor.dragging";
    let raised = delta(
        "windrode",
        path,
        &json!({"state": "alarm", "method": ["visual", "sound"], "message": "the anchor drags"}),
    );
    block_on(async {
        let mut daemon =
            Stream::connect(&server, "subscribe=none", server.tokens.daemon.as_ref()).await;
        let mut display =
            Stream::connect(&server, "subscribe=self", server.tokens.readonly.as_ref()).await;
        assert_eq!(
            display.hello["self"],
            json!("vessels.urn:mrn:imo:mmsi:230099999")
        );
        daemon.send(&raised).await;
        let seen = display.value_of(path).await;
        assert_eq!(seen["status"]["acknowledged"], json!(false), "{seen}");

        let crew = server.rest_as(server.tokens.daemon.as_ref());
        let id = seen["id"].as_str().unwrap();
        let done = crew.post(&format!("/signalk/v2/api/notifications/{id}/acknowledge"));
        assert_eq!(done.status, 200, "{done:?}");
        let seen = display.value_of(path).await;
        assert_eq!(seen["status"]["acknowledged"], json!(true), "{seen}");
    });
}

#[test]
fn a_put_to_a_path_that_nobody_serves_is_refused() {
    let server = SignalK::start(Mode::Open);
    let answer = block_on(async {
        let mut tablet = Stream::connect(&server, "subscribe=none", None).await;
        let put = json!({"path": "navigation.anchor.watch.weigh", "value": true});
        tablet
            .request(&json!({"requestId": "7", "context": "vessels.self", "put": put}))
            .await
    });
    assert_eq!(answer["statusCode"], json!(405), "{answer}");
}

#[test]
fn recorded_data_is_played() {
    let server = SignalK::start_with(Mode::Open, &["--sample-n2k-data"]);
    let position = block_on(async {
        let mut display = Stream::connect(&server, "subscribe=self", None).await;
        display.value_of("navigation.position").await
    });
    assert!(
        position["latitude"].is_f64() && position["longitude"].is_f64(),
        "{position}"
    );
}

#[test]
fn the_standards_schema_passes_a_good_delta() {
    assert_valid_deltas(&[delta("windrode", "navigation.anchor.maxRadius", &json!(40))]);
}

#[test]
#[should_panic = "line 2: /updates/0/$source: String does not match pattern"]
fn the_standards_schema_names_the_line_of_a_bad_delta() {
    let good = delta("windrode", "navigation.anchor.maxRadius", &json!(40));
    assert_valid_deltas(&[
        good,
        delta("wind rode", "navigation.anchor.maxRadius", &json!(40)),
    ]);
}

#[test]
#[should_panic = "No enum match for: \"bell\""]
fn the_standards_schema_judges_what_a_notification_holds() {
    let value = json!({"state": "alarm", "method": ["bell"], "message": "the anchor drags"});
    assert_valid_deltas(&[delta(
        "windrode",
        "notifications.navigation.anchor.dragging",
        &value,
    )]);
}

#[test]
#[should_panic = "no delta was given"]
fn the_standards_schema_does_not_pass_nothing() {
    assert_valid_deltas(&[]);
}

fn delta(source: &str, path: &str, value: &Value) -> Value {
    json!({"context": "vessels.self", "updates": [{"$source": source, "timestamp": "2026-06-14T22:10:00Z",
        "values": [{"path": path, "value": value}]}]})
}
