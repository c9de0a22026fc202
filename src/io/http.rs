//! The data server's HTTP side: our access rights, and the resources that charts draw.
//!
//! No redirect is followed: the token and the boat's data go only to the configured server.

use std::sync::Arc;
use std::time::Duration;

use reqwest::header::LOCATION;
use reqwest::redirect::Policy;
use reqwest::{Client, Method};
use serde_json::Value;

use crate::io::secrets::Secret;

/// A client of one server. Cheap to clone.
#[derive(Clone, Debug)]
pub struct Http {
    client: Client,
    base: String,
    token: Option<Secret>,
}

/// An answer: the status and the body as text (the server sends HTML and plain text for some
/// errors).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// HTTP status.
    pub status: u16,
    /// The body.
    pub body: String,
}

impl Http {
    /// A client for the server at `base` (`http://host:port`).
    pub fn new(
        base: &str,
        token: Option<Secret>,
        tls: &Arc<rustls::ClientConfig>,
    ) -> Result<Self, String> {
        let client = Client::builder()
            .tls_backend_preconfigured(rustls::ClientConfig::clone(tls))
            .timeout(LIMIT)
            .redirect(Policy::none())
            .build()
            .map_err(|error| error.to_string())?;
        Ok(Self {
            client,
            base: base.trim_end_matches('/').to_owned(),
            token,
        })
    }

    /// The same client with another token.
    #[must_use]
    pub fn with_token(&self, token: Option<Secret>) -> Self {
        Self {
            token,
            ..self.clone()
        }
    }

    /// Sends GET.
    pub async fn get(&self, path: &str) -> Result<Answer, String> {
        self.send(Method::GET, path, None).await
    }

    /// Sends POST with a JSON body.
    pub async fn post(&self, path: &str, body: &Value) -> Result<Answer, String> {
        self.send(Method::POST, path, Some(body)).await
    }

    /// Sends PUT with a JSON body.
    pub async fn put(&self, path: &str, body: &Value) -> Result<Answer, String> {
        self.send(Method::PUT, path, Some(body)).await
    }

    /// Sends DELETE.
    pub async fn delete(&self, path: &str) -> Result<Answer, String> {
        self.send(Method::DELETE, path, None).await
    }

    async fn send(
        &self,
        method: Method,
        path: &str,
        body: Option<&Value>,
    ) -> Result<Answer, String> {
        let mut request = self.client.request(method, format!("{}{path}", self.base));
        if let Some(token) = &self.token {
            request = request.bearer_auth(token.reveal());
        }
        if let Some(body) = body {
            request = request.json(body);
        }
        let mut response = request.send().await.map_err(|error| plain(&error))?;
        let status = response.status();
        if status.is_redirection() {
            let location = response.headers().get(LOCATION);
            let host = location
                .and_then(|to| response.url().join(to.to_str().ok()?).ok())
                .and_then(|url| Some(format!("`{}`", url.host_str()?)));
            return Err(format!(
                "`{path}` is redirected to {}, which is not followed: it may be a log-in page; write the server's own address as `server.url`",
                host.unwrap_or_else(|| "nowhere".to_owned())
            ));
        }
        let mut bytes = Vec::new();
        while let Some(chunk) = response.chunk().await.map_err(|error| plain(&error))? {
            bytes.extend_from_slice(&chunk);
            if bytes.len() > MOST_BYTES {
                return Err(format!(
                    "`{path}` answers with more than {MOST_BYTES} bytes"
                ));
            }
        }
        Ok(Answer {
            status: status.as_u16(),
            body: String::from_utf8_lossy(&bytes).into_owned(),
        })
    }
}

impl Answer {
    /// Is the status 2xx?
    #[must_use]
    pub const fn is_success(&self) -> bool {
        matches!(self.status, 200..=299)
    }
}

/// The innermost reason: the outer ones only repeat the address.
fn plain(error: &reqwest::Error) -> String {
    let mut reason: &dyn std::error::Error = error;
    while let Some(source) = reason.source() {
        reason = source;
    }
    reason.to_string()
}

const LIMIT: Duration = Duration::from_secs(10);
const MOST_BYTES: usize = 1 << 20;

#[cfg(test)]
mod tests {
    use tokio::io::{AsyncReadExt, AsyncWriteExt};
    use tokio::net::TcpListener;

    use super::*;

    #[tokio::test]
    async fn a_redirect_is_told_and_not_followed() {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let base = format!("http://{}", listener.local_addr().unwrap());
        let serve = async {
            let mut asked = Vec::new();
            for answer in [
                "HTTP/1.1 302 Found\r\nLocation: /login?secret\r\n",
                "HTTP/1.1 200 OK\r\n",
            ] {
                let (mut socket, _) = listener.accept().await.unwrap();
                let mut request = [0; 4096];
                let length = socket.read(&mut request).await.unwrap();
                let line = request[..length].split(|byte| *byte == b'\r').next();
                asked.push(String::from_utf8_lossy(line.unwrap()).into_owned());
                let answer = format!("{answer}Content-Length: 0\r\nConnection: close\r\n\r\n");
                socket.write_all(answer.as_bytes()).await.unwrap();
            }
            asked
        };
        let http = Http::new(&base, None, &crate::io::tls::client_config()).unwrap();
        let ask = async {
            let redirected = http.get("/a").await;
            (redirected, http.get("/b").await)
        };
        let (asked, (redirected, next)) = tokio::join!(serve, ask);
        assert_eq!(asked, ["GET /a HTTP/1.1", "GET /b HTTP/1.1"]);
        let why = redirected.unwrap_err();
        assert!(
            why.contains("`127.0.0.1`") && why.contains("not followed"),
            "{why}"
        );
        assert!(!why.contains("secret"), "{why}");
        assert!(next.unwrap().is_success());
    }
}
