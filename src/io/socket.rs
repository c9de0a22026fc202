//! The WebSocket to the data server: frames in, frames out, nothing else.
//!
//! Frames arrive in the order they were sent and are handed over one by one; the server's pings are
//! answered while reading. If a write does not get through within [`WRITE_LIMIT`], the connection is dead
//! and is reported as ended.

use std::io::ErrorKind;
use std::sync::Arc;
use std::time::Duration;

use futures_util::{SinkExt, StreamExt};
use tokio::net::TcpStream;
use tokio::time::timeout;
use tokio_tungstenite::tungstenite::client::IntoClientRequest;
use tokio_tungstenite::tungstenite::http::{HeaderValue, StatusCode, header::AUTHORIZATION};
use tokio_tungstenite::tungstenite::protocol::WebSocketConfig;
use tokio_tungstenite::tungstenite::{Error, Message};
use tokio_tungstenite::{Connector, MaybeTlsStream, WebSocketStream};

use crate::io::secrets::Secret;
use crate::io::tls::trust::{Distrust, distrust};
use crate::signalk::session::NOT_ANSWERING;

/// An open connection.
#[derive(Debug)]
pub struct Socket {
    stream: WebSocketStream<MaybeTlsStream<TcpStream>>,
}

/// An event on the connection.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Received {
    /// A text frame.
    Text(String),
    /// The answer to our ping.
    Pong,
    /// The server closed the connection.
    Ended,
    /// The connection broke; the reason in words.
    Broken(String),
}

/// Why there is no connection.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
pub enum ConnectError {
    /// The server does not accept the token.
    #[error("the server refuses the token (HTTP 401)")]
    Unauthorized,
    /// The server sent an HTTP answer other than the upgrade.
    #[error("the server answers HTTP {0} instead of opening a stream")]
    Http(u16),
    /// The server's certificate is not the trusted one; the reason in words.
    #[error("{0}")]
    Distrusted(String),
    /// What is known about the server's certificate cannot be read; the reason in words.
    #[error("{0}")]
    TrustUnreadable(String),
    /// Nothing listens on that address.
    #[error("{NOT_ANSWERING}")]
    NotAnswering,
    /// The connection could not be made.
    #[error("{0}")]
    Io(String),
}

/// Opens a connection. The token goes into the header, never into the address, which servers log.
pub async fn connect(
    url: &str,
    token: Option<&Secret>,
    tls: Arc<rustls::ClientConfig>,
) -> Result<Socket, ConnectError> {
    let io = |error: &dyn std::fmt::Display| ConnectError::Io(error.to_string());
    let mut request = url.into_client_request().map_err(|error| io(&error))?;
    if let Some(token) = token {
        let value = HeaderValue::from_str(&format!("Bearer {}", token.reveal())).map_err(|_| {
            ConnectError::Io("the token holds characters that no header can carry".to_owned())
        })?;
        request.headers_mut().insert(AUTHORIZATION, value);
    }
    let config = WebSocketConfig::default()
        .max_message_size(Some(MOST_BYTES))
        .max_frame_size(Some(MOST_BYTES));
    let opening = tokio_tungstenite::connect_async_tls_with_config(
        request,
        Some(config),
        true,
        Some(Connector::Rustls(tls)),
    );
    match timeout(CONNECT_LIMIT, opening).await {
        Err(_) => Err(ConnectError::Io(format!(
            "no answer within {} s",
            CONNECT_LIMIT.as_secs()
        ))),
        Ok(Ok((stream, _))) => Ok(Socket { stream }),
        Ok(Err(Error::Http(response))) if response.status() == StatusCode::UNAUTHORIZED => {
            Err(ConnectError::Unauthorized)
        }
        Ok(Err(Error::Http(response))) => Err(ConnectError::Http(response.status().as_u16())),
        Ok(Err(Error::Io(error))) if error.kind() == ErrorKind::ConnectionRefused => {
            Err(ConnectError::NotAnswering)
        }
        Ok(Err(error)) => Err(match (distrust(&error), &error) {
            (Some(why @ Distrust::Changed { .. }), _) => ConnectError::Distrusted(why.to_string()),
            (Some(why @ Distrust::Unreadable { .. }), _) => {
                ConnectError::TrustUnreadable(why.to_string())
            }
            (None, Error::Io(error)) => io(error),
            (None, error) => io(error),
        }),
    }
}

impl Socket {
    /// The next frame. Cancel-safe.
    pub async fn next(&mut self) -> Received {
        loop {
            return match self.stream.next().await {
                Some(Ok(Message::Text(text))) => Received::Text(text.as_str().to_owned()),
                Some(Ok(Message::Pong(_))) => Received::Pong,
                // The library answers pings itself; the protocol has no binary frames.
                Some(Ok(Message::Ping(_) | Message::Binary(_) | Message::Frame(_))) => continue,
                Some(Ok(Message::Close(_))) | None => Received::Ended,
                Some(Err(error)) => Received::Broken(error.to_string()),
            };
        }
    }

    /// Sends a text frame.
    pub async fn send(&mut self, text: String) -> Result<(), String> {
        self.write(Message::text(text)).await
    }

    /// Sends a ping.
    pub async fn ping(&mut self) -> Result<(), String> {
        self.write(Message::Ping(Vec::new().into())).await
    }

    /// Sends a close frame; whether the other side receives it does not matter.
    pub async fn close(&mut self) {
        let _ = timeout(GOODBYE_LIMIT, self.stream.close(None)).await;
    }

    async fn write(&mut self, message: Message) -> Result<(), String> {
        match timeout(WRITE_LIMIT, self.stream.send(message)).await {
            Ok(Ok(())) => Ok(()),
            Ok(Err(error)) => Err(error.to_string()),
            Err(_) => Err(format!(
                "the server took nothing for {} s",
                WRITE_LIMIT.as_secs()
            )),
        }
    }
}

/// The server sends frames of at most 10 MiB.
const MOST_BYTES: usize = 16 << 20;
const CONNECT_LIMIT: Duration = Duration::from_secs(10);
/// Longer than a busy server's pause, and shorter than a drag alarm can wait.
const WRITE_LIMIT: Duration = Duration::from_secs(5);
const GOODBYE_LIMIT: Duration = Duration::from_secs(1);

#[cfg(test)]
mod tests {
    use super::*;
    use tokio::io::{AsyncReadExt, AsyncWriteExt};
    use tokio::net::TcpListener;

    /// A server that answers the upgrade with a custom status line.
    async fn refusing(status: &'static str) -> String {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let port = listener.local_addr().unwrap().port();
        tokio::spawn(async move {
            let (mut stream, _) = listener.accept().await.unwrap();
            let mut request = [0; 1024];
            let read = stream.read(&mut request).await.unwrap();
            assert!(read > 0);
            let answer = format!("HTTP/1.1 {status}\r\ncontent-length: 0\r\n\r\n");
            stream.write_all(answer.as_bytes()).await.unwrap();
        });
        format!("ws://127.0.0.1:{port}/signalk/v1/stream")
    }

    #[tokio::test]
    async fn a_refused_token_is_told_from_other_refusals() {
        let tls = crate::io::tls::client_config();
        let url = refusing("401 Unauthorized").await;
        let error = connect(&url, None, tls.clone()).await.unwrap_err();
        assert_eq!(error.to_string(), "the server refuses the token (HTTP 401)");
        let url = refusing("302 Found").await;
        let error = connect(&url, None, tls.clone()).await.unwrap_err();
        assert_eq!(error, ConnectError::Http(302));
        let free = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let url = format!("ws://{}/", free.local_addr().unwrap());
        drop(free);
        let error = connect(&url, None, tls).await.unwrap_err();
        assert_eq!(error.to_string(), "Signal K server not answering");
    }
}
