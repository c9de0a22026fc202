//! Plain HTTP requests to a server, for tests.

#![expect(
    clippy::expect_used,
    reason = "a test whose server does not answer fails, and says why"
)]

use reqwest::Method;
use serde_json::Value;

/// A server as one of its users sees it.
#[derive(Clone, Debug)]
pub(crate) struct Rest {
    base: String,
    token: Option<String>,
}

/// The server's answer.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Reply {
    /// The HTTP status.
    pub(crate) status: u16,
    /// The body; a string if it is not JSON, as with some of the server's errors.
    pub(crate) body: Value,
}

impl Rest {
    /// `base` is like `http://127.0.0.1:PORT`; the token goes into every request.
    pub(crate) fn new(base: String, token: Option<String>) -> Self {
        Self { base, token }
    }

    /// The value at `path`, such as `/signalk/v1/api/vessels/self`; `None` for a 404.
    pub(crate) fn get_json(&self, path: &str) -> Option<Value> {
        let reply = self.send(&Method::GET, path, None);
        assert!([200, 404].contains(&reply.status), "GET {path}: {reply:?}");
        (reply.status == 200).then_some(reply.body)
    }

    /// Puts a body, and returns the answer whatever its status.
    pub(crate) fn put_json(&self, path: &str, body: &Value) -> Reply {
        self.send(&Method::PUT, path, Some(body))
    }

    /// Posts a body, and returns the answer whatever its status.
    pub(crate) fn post_json(&self, path: &str, body: &Value) -> Reply {
        self.send(&Method::POST, path, Some(body))
    }

    /// Posts an empty body, which is how notifications are acknowledged and silenced.
    pub(crate) fn post(&self, path: &str) -> Reply {
        self.send(&Method::POST, path, None)
    }

    /// Deletes what is at `path`.
    pub(crate) fn delete(&self, path: &str) -> Reply {
        self.send(&Method::DELETE, path, None)
    }

    fn send(&self, method: &Method, path: &str, body: Option<&Value>) -> Reply {
        // On a thread of its own, because no runtime may be started inside the one that the test may be running.
        std::thread::scope(|scope| {
            let asked = scope.spawn(|| crate::block_on(self.ask(method, path, body)));
            asked.join().expect("the server answers")
        })
    }

    async fn ask(&self, method: &Method, path: &str, body: Option<&Value>) -> Reply {
        // The client needs a cryptography provider even for plain HTTP; one may be installed already.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let client = reqwest::Client::builder()
            .no_proxy()
            .build()
            .expect("a client can be built");
        let mut request = client.request(method.clone(), format!("{}{path}", self.base));
        if let Some(token) = &self.token {
            request = request.bearer_auth(token);
        }
        if let Some(body) = body {
            request = request.json(body);
        }
        let response = request.send().await.expect("the server answers");
        let status = response.status().as_u16();
        let text = response.text().await.expect("the answer is text");
        let body = serde_json::from_str(&text).unwrap_or(Value::String(text));
        Reply { status, body }
    }
}
