#![allow(clippy::unwrap_used, clippy::panic)]
use super::*;
use futures_util::{SinkExt as _, StreamExt as _};
use serde_json::json;
use std::sync::atomic::{AtomicI64, Ordering};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::{MaybeTlsStream, WebSocketStream, connect_async};

const OWN: &str = "vessels.urn:mrn:imo:mmsi:230099999";

type Client = WebSocketStream<MaybeTlsStream<TcpStream>>;

async fn server() -> EmbeddedServer {
    let identity = Identity {
        urn: "urn:mrn:imo:mmsi:230099999".to_owned(),
        defaults: vec![delta("defaults", "design.beam", &json!(3.6))],
        seed: 1,
    };
    let clock: Clock = Arc::new(|| Timestamp::EPOCH);
    EmbeddedServer::start(identity, clock).await.unwrap()
}

fn delta(source: &str, path: &str, value: &Value) -> String {
    json!({"updates": [{"$source": source, "values": [{"path": path, "value": value}]}]})
        .to_string()
}

async fn connect(server: &EmbeddedServer) -> Client {
    let address = server.address();
    let query = "subscribe=none&sendCachedValues=false";
    let url = format!("ws://{address}/signalk/v1/stream?{query}");
    let (mut client, _) = connect_async(url).await.unwrap();
    let hello = next(&mut client).await;
    assert_eq!(hello["self"], OWN);
    client
}

/// The next text frame; pings are answered on the way.
async fn next(client: &mut Client) -> Value {
    loop {
        match client.next().await.unwrap().unwrap() {
            Message::Text(text) => return serde_json::from_str(&text).unwrap(),
            Message::Ping(_) | Message::Pong(_) => client.flush().await.unwrap(),
            other => panic!("{other:?}"),
        }
    }
}

async fn send(client: &mut Client, message: &Value) {
    let text = message.to_string();
    client.send(Message::text(text)).await.unwrap();
}

async fn subscribe(client: &mut Client, path: &str) {
    let rows = json!([{"path": path, "policy": "instant"}]);
    send(
        client,
        &json!({"context": "vessels.self", "subscribe": rows}),
    )
    .await;
}

/// Status and body of a plain HTTP request.
async fn http(server: &EmbeddedServer, method: &str, path: &str, body: &str) -> (u16, Value) {
    let mut stream = TcpStream::connect(server.address()).await.unwrap();
    let length = body.len();
    let request = format!(
        "{method} {path} HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Length: {length}\r\n\r\n{body}"
    );
    stream.write_all(request.as_bytes()).await.unwrap();
    let mut text = String::new();
    stream.read_to_string(&mut text).await.unwrap();
    let (head, body) = text.split_once("\r\n\r\n").unwrap();
    let status = head.split(' ').nth(1).unwrap().parse().unwrap();
    (status, serde_json::from_str(body).unwrap_or(Value::Null))
}

#[tokio::test]
async fn a_client_finds_the_stream_subscribes_and_hears_old_and_new_values() {
    let server = server().await;
    let (status, found) = http(&server, "GET", "/signalk", "").await;
    assert_eq!(status, 200);
    let stream = found["endpoints"]["v1"]["signalk-ws"].as_str().unwrap();
    assert_eq!(
        stream,
        format!("{}/signalk/v1/stream", server.url().replace("http", "ws"))
    );
    let (status, login) = http(&server, "GET", "/skServer/loginStatus", "").await;
    assert_eq!(
        (status, &login["authenticationRequired"]),
        (200, &json!(false))
    );
    assert_eq!(http(&server, "GET", "/elsewhere", "").await.0, 404);

    let mut client = connect(&server).await;
    subscribe(&mut client, "*").await;
    let cached = next(&mut client).await;
    assert_eq!(
        cached["updates"][0]["values"][0]["path"],
        json!("design.beam")
    );
    server
        .feed(&delta(
            "sounder.SD",
            "environment.depth.belowTransducer",
            &json!(7.5),
        ))
        .unwrap();
    let fresh = next(&mut client).await;
    assert_eq!(fresh["context"], OWN);
    assert_eq!(fresh["updates"][0]["values"][0]["value"], json!(7.5));
    assert!(server.feed("no delta").is_err());
}

#[tokio::test]
async fn what_a_client_publishes_comes_back_to_it_and_is_kept() {
    let server = server().await;
    server.keep_published(10);
    let mut client = connect(&server).await;
    subscribe(&mut client, "navigation.anchor.*").await;
    let own = delta("windrode", "navigation.anchor.maxRadius", &json!(45.5));
    client.send(Message::text(own.clone())).await.unwrap();
    let echo = next(&mut client).await;
    assert_eq!(echo["updates"][0]["$source"], "windrode");
    assert_eq!(
        server.value("navigation.anchor.maxRadius"),
        Some(json!(45.5))
    );
    let kept = server.take_published();
    assert_eq!(kept, [serde_json::from_str::<Value>(&own).unwrap()]);
    assert!(server.take_published().is_empty());
}

#[tokio::test]
async fn a_put_makes_the_round_by_the_client() {
    let server = server().await;
    let path = "navigation.anchor.watch.weigh";
    assert_eq!(server.put(path, json!(true)).await.status_code, 405);
    let mut client = connect(&server).await;
    subscribe(&mut client, "navigation.anchor.*").await;
    let publish = delta("windrode", path, &Value::Null);
    client.send(Message::text(publish)).await.unwrap();
    next(&mut client).await;
    let answer = async {
        let request = next(&mut client).await;
        assert_eq!(request["put"], json!([{"path": path, "value": true}]));
        let reply = json!({"requestId": request["requestId"], "state": "COMPLETED",
            "statusCode": 400, "message": "nothing to weigh"});
        send(&mut client, &reply).await;
    };
    let (outcome, ()) = tokio::join!(server.put(path, json!(true)), answer);
    assert_eq!(outcome.status_code, 400);
    assert_eq!(outcome.message, "nothing to weigh");
    // A client that leaves in the middle answers with a time-out.
    let leave = async {
        next(&mut client).await;
        drop(client);
    };
    let (outcome, ()) = tokio::join!(server.put(path, json!(true)), leave);
    assert_eq!(outcome.status_code, 504);
}

#[tokio::test]
async fn a_display_s_acknowledgement_reaches_the_client_and_sticks() {
    let server = server().await;
    let path = "notifications.navigation.anchor.dragging";
    let mut client = connect(&server).await;
    subscribe(&mut client, "notifications.*").await;
    let notice = |state: &str| {
        let value = json!({"state": state, "method": ["visual", "sound"], "message": "m"});
        Message::text(delta("windrode", path, &value))
    };
    client.send(notice("alarm")).await.unwrap();
    let shown = next(&mut client).await;
    let shown = &shown["updates"][0]["values"][0]["value"];
    assert!(shown["id"].is_string());
    assert_eq!(next(&mut client).await["updates"], json!([]));
    server.act(path, NoticeAction::Acknowledge).unwrap();
    let shown = next(&mut client).await;
    let status = &shown["updates"][0]["values"][0]["value"]["status"];
    assert_eq!(status["acknowledged"], json!(true));
    assert!(server.act(path, NoticeAction::Acknowledge).is_err());
    next(&mut client).await;

    // Graver, and still muted.
    client.send(notice("emergency")).await.unwrap();
    let shown = next(&mut client).await;
    let method = &shown["updates"][0]["values"][0]["value"]["method"];
    assert_eq!(method, &json!(["visual"]));
    assert_eq!(server.value(path).unwrap()["state"], "emergency");
    next(&mut client).await;
    client.send(notice("normal")).await.unwrap();
    client.send(notice("alarm")).await.unwrap();
    for _ in 0..2 {
        next(&mut client).await;
    }
    let shown = next(&mut client).await;
    let method = &shown["updates"][0]["values"][0]["value"]["method"];
    assert_eq!(method, &json!(["visual", "sound"]));
}

#[tokio::test]
async fn resources_are_put_streamed_and_deleted() {
    let server = server().await;
    let mut client = connect(&server).await;
    subscribe(&mut client, "resources.*").await;
    server.settle_with(&mut client).await;
    let id = "b5e8a5b2-3a0e-4b6f-9d2a-0a1b2c3d4e5f";
    let path = format!("/signalk/v2/api/resources/regions/{id}");
    let circle = json!({"name": "Swinging circle", "feature": {"type": "Feature",
        "geometry": {"type": "Polygon", "coordinates": [[[24.9, 60.1]]]}, "properties": {}}});
    let (status, body) = http(&server, "PUT", &path, &circle.to_string()).await;
    assert_eq!((status, &body["message"]), (200, &json!(id)));
    let frame = next(&mut client).await;
    let value = &frame["updates"][0]["values"][0];
    assert_eq!(value["path"], format!("resources.regions.{id}"));
    let stored = server.resource("regions", id).unwrap();
    assert_eq!(stored["name"], "Swinging circle");
    assert_eq!(stored["$source"], "resources-provider");

    let urn = "/signalk/v2/api/resources/regions/urn:mrn:signalk:uuid:1";
    assert_eq!(http(&server, "PUT", urn, &circle.to_string()).await.0, 400);
    assert_eq!(http(&server, "PUT", &path, "{}").await.0, 400);
    server.restart().await.unwrap();
    assert!(server.resource("regions", id).is_some());
    assert_eq!(http(&server, "DELETE", &path, "").await.0, 200);
    assert_eq!(http(&server, "DELETE", &path, "").await.0, 404);
    assert_eq!(server.resource("regions", id), None);
}

impl EmbeddedServer {
    /// Settles while the client reads; returns the text frames that arrived.
    async fn settle_with(&self, client: &mut Client) -> Vec<Value> {
        let mut frames = Vec::new();
        let settled = self.settle();
        tokio::pin!(settled);
        loop {
            tokio::select! {
                biased;
                _ = &mut settled => return frames,
                message = client.next() => {
                    if let Message::Text(text) = message.unwrap().unwrap() {
                        frames.push(serde_json::from_str(&text).unwrap());
                    }
                    client.flush().await.unwrap();
                }
            }
        }
    }
}

/// A client that answers each value with one of its own, and that one with another: after settling
/// everything has been sent, at whatever pace its task ran.
#[tokio::test]
async fn settling_waits_for_everything_a_client_has_to_say() {
    let server = server().await;
    let mut client = connect(&server).await;
    subscribe(&mut client, "*").await;
    let lazy = tokio::spawn(async move {
        while let Some(Ok(message)) = client.next().await {
            let Message::Text(text) = message else {
                continue;
            };
            let frame: Value = serde_json::from_str(&text).unwrap();
            let value = &frame["updates"][0]["values"][0];
            for _ in 0..20 {
                tokio::task::yield_now().await;
            }
            if value["path"] != "count" {
                continue;
            }
            let count = value["value"].as_i64().unwrap();
            if count % 4 != 3 {
                let answer = delta("windrode", "count", &json!(count + 1));
                client.send(Message::text(answer)).await.unwrap();
            }
        }
    });
    server.settle().await;
    for step in 0..50 {
        let count = 4 * step;
        server
            .feed(&delta("story", "count", &json!(count)))
            .unwrap();
        let rounds = server.settle().await;
        assert_eq!(server.value("count"), Some(json!(count + 3)));
        assert!((2..=5).contains(&rounds), "{rounds}");
    }
    server.stop();
    lazy.await.unwrap();
    assert_eq!(server.settle().await, 1);
}

#[tokio::test]
async fn stopped_it_refuses_and_restarted_it_has_forgotten() {
    let server = server().await;
    let mut client = connect(&server).await;
    let own = delta("windrode", "a", &json!(1));
    client.send(Message::text(own)).await.unwrap();
    server.settle_with(&mut client).await;
    assert_eq!(server.value("a"), Some(json!(1)));
    server.stop();
    // Without a closing frame, as a killed server does.
    assert!(!matches!(client.next().await, Some(Ok(_))));
    assert_eq!(server.clients(), 0);
    while TcpStream::connect(server.address()).await.is_ok() {
        tokio::task::yield_now().await;
    }
    server.restart().await.unwrap();
    let _again = connect(&server).await;
    assert_eq!(server.value("a"), None);
    assert_eq!(server.value("design.beam"), Some(json!(3.6)));
}

#[tokio::test]
async fn a_put_into_the_void_times_out_by_the_injected_clock() {
    let time = Arc::new(AtomicI64::new(0));
    let reading = time.clone();
    let clock: Clock = Arc::new(move || Timestamp::from_millis(reading.load(Ordering::Relaxed)));
    let identity = Identity {
        urn: "urn:mrn:imo:mmsi:230099999".to_owned(),
        defaults: Vec::new(),
        seed: 1,
    };
    let server = EmbeddedServer::start(identity, clock).await.unwrap();
    let mut client = connect(&server).await;
    let own = delta("windrode", "a", &Value::Null);
    client.send(Message::text(own)).await.unwrap();
    server.settle_with(&mut client).await;
    let wait = async {
        server.settle_with(&mut client).await;
        time.store(60_000, Ordering::Relaxed);
        server.settle_with(&mut client).await;
    };
    let (outcome, ()) = tokio::join!(server.put("a", json!(1)), wait);
    assert_eq!(outcome.status_code, 504);
}

#[tokio::test]
async fn what_is_no_websocket_is_refused() {
    let server = server().await;
    let (status, _) = http(&server, "GET", "/signalk/v1/stream", "").await;
    assert_eq!(status, 426);
}
