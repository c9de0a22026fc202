//! The server's WebSocket stream as another client sees it: a display, or a crew member's tablet.

#![expect(
    clippy::expect_used,
    clippy::panic,
    reason = "a test whose server does not answer fails, and says why"
)]

use futures_util::{FutureExt as _, SinkExt as _, StreamExt as _};
use serde_json::Value;
use tokio::net::TcpStream;
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::{WebSocketStream, client_async};

use super::SignalK;

/// One connection. It is async, unlike the rest; a test without a runtime uses [`super::block_on`].
#[derive(Debug)]
pub(crate) struct Stream {
    socket: WebSocketStream<TcpStream>,
    /// The server's first frame: its name, version, the vessel's context, `serverStartId`.
    pub(crate) hello: Value,
}

impl Stream {
    /// Connects with a query such as `subscribe=none`, with or without a token.
    pub(crate) async fn connect(server: &SignalK, query: &str, token: Option<&String>) -> Self {
        Self::try_connect(server.port, query, token)
            .await
            .expect("the server lets this client in")
    }

    /// The same; `None` while the server is away.
    pub(crate) async fn try_connect(
        port: u16,
        query: &str,
        token: Option<&String>,
    ) -> Option<Self> {
        let tcp = TcpStream::connect(("127.0.0.1", port)).await.ok()?;
        // The stream takes a token in its query too, which spares this client the headers.
        let token = token
            .map(|token| format!("&token={token}"))
            .unwrap_or_default();
        let url = format!("ws://127.0.0.1:{port}/signalk/v1/stream?{query}{token}");
        let (socket, _) = client_async(url, tcp).await.ok()?;
        let mut stream = Self {
            socket,
            hello: Value::Null,
        };
        stream.hello = stream.next().await;
        Some(stream)
    }

    /// Sends one frame; returns whether the server is still there.
    pub(crate) async fn try_send(&mut self, frame: &Value) -> bool {
        // Pings are answered when they are read; a server that gets no answer for a minute hangs up.
        while self.socket.next().now_or_never().flatten().is_some() {}
        self.socket
            .send(Message::text(frame.to_string()))
            .await
            .is_ok()
    }

    /// Sends one frame.
    pub(crate) async fn send(&mut self, frame: &Value) {
        self.socket
            .send(Message::text(frame.to_string()))
            .await
            .expect("the server listens");
    }

    /// The next frame, however long it takes; pings are answered on the way.
    pub(crate) async fn next(&mut self) -> Value {
        loop {
            let message = self
                .socket
                .next()
                .await
                .expect("the server goes on")
                .expect("the server goes on");
            match message {
                Message::Text(text) => {
                    return serde_json::from_str(&text)
                        .unwrap_or_else(|error| panic!("{error} in {text}"));
                }
                Message::Close(why) => panic!("the server closed the stream: {why:?}"),
                Message::Binary(_) | Message::Ping(_) | Message::Pong(_) | Message::Frame(_) => {}
            }
        }
    }

    /// Skips frames until one has a value for `path`, and returns that value.
    pub(crate) async fn value_of(&mut self, path: &str) -> Value {
        loop {
            let frame = self.next().await;
            let updates = frame["updates"].as_array().into_iter().flatten();
            let mut values = updates
                .filter_map(|update| update["values"].as_array())
                .flatten();
            if let Some(found) = values.find(|value| value["path"] == path) {
                return found["value"].clone();
            }
        }
    }

    /// Sends a request (`put`, `login`, `accessRequest`) under `requestId`, and returns its final answer.
    pub(crate) async fn request(&mut self, request: &Value) -> Value {
        self.send(request).await;
        loop {
            let frame = self.next().await;
            if frame["requestId"] == request["requestId"] && frame["state"] == "COMPLETED" {
                return frame;
            }
        }
    }
}
