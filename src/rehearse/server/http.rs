//! The HTTP side of the embedded server: connections, routes and the upgrade to a WebSocket.

use std::convert::Infallible;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use http_body_util::{BodyExt as _, Full, Limited};
use hyper::body::{Bytes, Incoming};
use hyper::header::{CONNECTION, CONTENT_TYPE, HeaderValue, SEC_WEBSOCKET_ACCEPT, UPGRADE};
use hyper::header::{SEC_WEBSOCKET_KEY, SEC_WEBSOCKET_VERSION};
use hyper::{Method, Request, Response, StatusCode};
use hyper_util::rt::TokioIo;
use serde_json::{Value, json};
use tokio::net::{TcpListener, TcpStream};
use tokio::task::JoinSet;
use tokio_tungstenite::tungstenite::handshake::derive_accept_key;

use super::session::session;
use super::{LARGEST_MESSAGE, Shared};

type Reply = Response<Full<Bytes>>;

/// Accepts connections until it is aborted, which ends them too.
pub(super) async fn accept(listener: TcpListener, shared: Arc<Shared>, start: u64) {
    let mut connections = JoinSet::new();
    loop {
        if let Ok((stream, _)) = listener.accept().await {
            connections.spawn(serve(stream, shared.clone(), start));
        } else {
            // Most likely out of file descriptors.
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        while connections.try_join_next().is_some() {}
    }
}

async fn serve(stream: TcpStream, shared: Arc<Shared>, start: u64) {
    // The frames are small and go back and forth: waiting to fill packets would cost 40 ms each time.
    _ = stream.set_nodelay(true);
    let service = hyper::service::service_fn(move |request| {
        let shared = shared.clone();
        async move { Ok::<_, Infallible>(route(request, shared, start).await) }
    });
    let connection = hyper::server::conn::http1::Builder::new()
        .serve_connection(TokioIo::new(stream), service)
        .with_upgrades();
    // An error means that the peer closed the connection.
    _ = connection.await;
}

async fn route(request: Request<Incoming>, shared: Arc<Shared>, start: u64) -> Reply {
    let path = request.uri().path().to_owned();
    let parts: Vec<&str> = path.split('/').filter(|part| !part.is_empty()).collect();
    match (request.method(), parts.as_slice()) {
        (&Method::GET, ["signalk"]) => end_points(shared.address),
        (&Method::GET, ["skServer", "loginStatus"]) => reply(
            StatusCode::OK,
            &json!({"status": "notLoggedIn", "readOnlyAccess": false, "authenticationRequired": false}),
        ),
        (&Method::GET, ["signalk", "v1", "stream"]) => upgrade(request, shared, start),
        (_, ["signalk", "v2", "api", "resources", kind, id]) => {
            resource(request, &shared, kind, id).await
        }
        _ => not_found(),
    }
}

fn end_points(address: SocketAddr) -> Reply {
    let version = env!("CARGO_PKG_VERSION");
    reply(
        StatusCode::OK,
        &json!({
            "endpoints": {"v1": {
                "version": version,
                "signalk-http": format!("http://{address}/signalk/v1/api/"),
                "signalk-ws": format!("ws://{address}/signalk/v1/stream"),
            }},
            "server": {"id": "rehearsal", "version": version},
        }),
    )
}

async fn resource(request: Request<Incoming>, shared: &Shared, kind: &str, id: &str) -> Reply {
    if !RESOURCE_KINDS.contains(&kind) {
        return not_found();
    }
    let method = request.method().clone();
    if uuid::Uuid::parse_str(id).is_err() || id.starts_with("urn:") {
        return completed(StatusCode::BAD_REQUEST, "the identifier is no plain UUID");
    }
    let value = if method == Method::DELETE {
        if shared.lock().hub.resource(kind, id).is_none() {
            return completed(StatusCode::NOT_FOUND, &format!("no `{kind}` with `{id}`"));
        }
        None
    } else if method == Method::PUT {
        let body = Limited::new(request.into_body(), LARGEST_MESSAGE);
        let Ok(body) = body.collect().await else {
            return completed(StatusCode::PAYLOAD_TOO_LARGE, "the body is too large");
        };
        match serde_json::from_slice::<Value>(&body.to_bytes()) {
            Ok(value) if has_shape(kind, &value) => Some(value),
            _ => return completed(StatusCode::BAD_REQUEST, "the body is no such resource"),
        }
    } else {
        return not_found();
    };
    shared.with(|state, now| state.hub.handle_resource(now, kind, id, value));
    completed(StatusCode::OK, id)
}

/// Regions and waypoints carry a feature with a geometry; the other kinds are just objects.
fn has_shape(kind: &str, value: &Value) -> bool {
    let geometry = value.pointer("/feature/geometry/type");
    match kind {
        "waypoints" => geometry == Some(&json!("Point")),
        "regions" => {
            geometry == Some(&json!("Polygon")) || geometry == Some(&json!("MultiPolygon"))
        }
        _ => value.is_object(),
    }
}

fn upgrade(mut request: Request<Incoming>, shared: Arc<Shared>, start: u64) -> Reply {
    let headers = request.headers();
    let version = headers.get(SEC_WEBSOCKET_VERSION);
    let Some(key) = headers
        .get(SEC_WEBSOCKET_KEY)
        .filter(|_| version.is_some_and(|version| version == "13"))
    else {
        return completed(StatusCode::UPGRADE_REQUIRED, "a WebSocket is required");
    };
    let Ok(accept) = HeaderValue::from_str(&derive_accept_key(key.as_bytes())) else {
        return completed(StatusCode::BAD_REQUEST, "a WebSocket key is required");
    };
    if shared.lock().links.len() >= MOST_CLIENTS {
        return completed(StatusCode::TOO_MANY_REQUESTS, "too many clients");
    }
    tokio::spawn(async move {
        if let Ok(upgraded) = hyper::upgrade::on(&mut request).await {
            session(upgraded, shared, start).await;
        }
    });
    let mut response = Response::new(Full::default());
    *response.status_mut() = StatusCode::SWITCHING_PROTOCOLS;
    let headers = response.headers_mut();
    headers.insert(CONNECTION, HeaderValue::from_static("Upgrade"));
    headers.insert(UPGRADE, HeaderValue::from_static("websocket"));
    headers.insert(SEC_WEBSOCKET_ACCEPT, accept);
    response
}

fn completed(status: StatusCode, message: &str) -> Reply {
    let code = status.as_u16();
    let state = if status.is_success() {
        "COMPLETED"
    } else {
        "FAILED"
    };
    reply(
        status,
        &json!({"state": state, "statusCode": code, "message": message}),
    )
}

fn reply(status: StatusCode, body: &Value) -> Reply {
    let mut response = Response::new(Full::from(body.to_string()));
    *response.status_mut() = status;
    let json = HeaderValue::from_static("application/json");
    response.headers_mut().insert(CONTENT_TYPE, json);
    response
}

/// Answers an unknown path as the server does: with text, not JSON.
fn not_found() -> Reply {
    let mut response = Response::new(Full::from("not found"));
    *response.status_mut() = StatusCode::NOT_FOUND;
    response
}

/// The most connections that the server allows from one address.
const MOST_CLIENTS: usize = 30;
const RESOURCE_KINDS: [&str; 4] = ["regions", "waypoints", "routes", "notes"];
