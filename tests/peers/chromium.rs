//! A real browser that opens a page of a server, reads it and takes its picture: chromium without a screen, driven by
//! the browser's debugging protocol (`Chrome DevTools Protocol` 1.3).

#![expect(
    clippy::expect_used,
    reason = "a test whose browser does not answer fails, and says why"
)]

use std::net::TcpStream;
use std::process::{Child, Command, Stdio};

use data_encoding::BASE64;
use serde_json::{Value, json};
use tempfile::TempDir;
use tokio_tungstenite::tungstenite::stream::MaybeTlsStream;
use tokio_tungstenite::tungstenite::{Message, WebSocket, connect};

use super::Rest;
use super::tern::{LONG, eventually};

/// A browser with one page, ended when this is dropped.
pub(crate) struct Browser {
    child: Child,
    page: WebSocket<MaybeTlsStream<TcpStream>>,
    calls: u64,
    _profile: TempDir,
}

impl Browser {
    /// Opens an empty page of this width and height.
    pub(crate) fn open(width: u32, height: u32) -> Self {
        let profile = TempDir::new().expect("a folder can be made");
        let child = Command::new("chromium")
            .args(["--headless", "--no-sandbox", "--disable-gpu"])
            .arg("--remote-debugging-port=0")
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .arg("about:blank")
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromium is missing; install it with: tests/peers/install");
        let file = profile.path().join("DevToolsActivePort");
        let port: u16 = eventually("the browser names its port", || {
            let text = std::fs::read_to_string(&file).ok()?;
            text.lines().next()?.parse().ok()
        });
        let rest = Rest::new(format!("http://127.0.0.1:{port}"), None);
        let address = eventually("the browser has a page", || {
            let all = rest.get_json("/json/list")?;
            let mut pages = all.as_array()?.iter();
            let page = pages.find(|page| page["type"] == "page")?;
            Some(page["webSocketDebuggerUrl"].as_str()?.to_owned())
        });
        let (page, _) = connect(address).expect("the page can be reached");
        if let MaybeTlsStream::Plain(stream) = page.get_ref() {
            // A browser that hangs fails the test.
            stream
                .set_read_timeout(Some(LONG))
                .expect("a timeout above zero");
        }
        let mut browser = Self {
            child,
            page,
            calls: 0,
            _profile: profile,
        };
        let size =
            json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false });
        browser.call("Emulation.setDeviceMetricsOverride", &size);
        browser
    }

    /// Goes to an address; returns when the page has loaded.
    pub(crate) fn visit(&mut self, address: &str) {
        self.call("Page.navigate", &json!({ "url": address }));
        eventually("the page has loaded", || {
            let there = self.run("[location.href, document.readyState]");
            (there == json!([address, "complete"])).then_some(())
        });
    }

    /// Runs a script in the page and returns its value, once that is there.
    pub(crate) fn run(&mut self, script: &str) -> Value {
        let asked = json!({ "expression": script, "returnByValue": true, "awaitPromise": true });
        let answer = self.call("Runtime.evaluate", &asked);
        let fault = &answer["exceptionDetails"];
        assert!(fault.is_null(), "`{script}` failed: {fault}");
        answer["result"]["value"].clone()
    }

    /// What is to be seen, PNG.
    pub(crate) fn picture(&mut self) -> Vec<u8> {
        let answer = self.call("Page.captureScreenshot", &json!({ "format": "png" }));
        let data = answer["data"].as_str().expect("a picture was taken");
        BASE64.decode(data.as_bytes()).expect("it is Base64")
    }

    fn call(&mut self, method: &str, params: &Value) -> Value {
        self.calls += 1;
        let call = json!({ "id": self.calls, "method": method, "params": params });
        let sent = self.page.send(Message::text(call.to_string()));
        sent.expect("the browser takes the call");
        loop {
            let said = self.page.read().expect("the browser answers");
            let said: Value = said
                .to_text()
                .ok()
                .and_then(|text| serde_json::from_str(text).ok())
                .unwrap_or_default();
            // Events have no number.
            if said["id"] == self.calls {
                assert!(said["error"].is_null(), "{method}: {}", said["error"]);
                return said["result"].clone();
            }
        }
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
