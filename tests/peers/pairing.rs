//! The real data server grants access, revokes it and grants it again, and presents its certificate.

use std::net::TcpListener;
use std::sync::Arc;
use std::thread::JoinHandle;

use rustls::ServerConfig;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use serde_json::json;
use tokio::sync::oneshot;
use tokio_rustls::TlsAcceptor;

use super::tern::{Aboard, eventually};
use super::{Mode, Rest, SignalK};
use crate::block_on;

const REQUESTS: &str = "/skServer/security/access/requests";

fn link(aboard: &Aboard) -> Option<String> {
    Some(aboard.status()?["link"].as_str()?.to_owned())
}

/// The id of the device that requests access.
fn requested(admin: &Rest) -> String {
    eventually("access is requested", || {
        let all = admin.get_json(REQUESTS)?;
        let id = &all.as_array()?.first()?["accessIdentifier"];
        Some(id.as_str()?.to_owned())
    })
}

fn is_up(aboard: &Aboard) {
    eventually("the link is up", || (link(aboard)? == "up").then_some(()));
}

/// When the skipper removes the device, windrode reports it and requests access again under the same id.
#[test]
fn a_revoked_device_asks_again_under_its_old_id() {
    let mut server = SignalK::start(Mode::Secure);
    let admin = server.rest_as(server.tokens.admin.as_ref());
    let mut aboard = Aboard::with_token(&server, None);
    aboard.run();
    let asked = || requested(&admin);
    let first = asked();
    server.approve();
    is_up(&aboard);
    let removed = admin.delete(&format!("/skServer/security/devices/{first}"));
    assert_eq!(removed.status, 200, "{removed:?}");
    // On its own the server would take up to a minute to shut it out.
    server.restart();
    eventually("the refused token is told", || {
        link(&aboard).filter(|link| link.contains("refuses our token"))
    });
    assert_eq!(asked(), first);
    server.approve();
    is_up(&aboard);
    assert_eq!(aboard.stop(), Some(0));
}

/// The skipper grants access for a short time. When it expires, windrode reports that and requests access again.
#[test]
fn an_expired_token_is_told_and_asked_for_again() {
    let mut server = SignalK::start(Mode::Secure);
    let admin = server.rest_as(server.tokens.admin.as_ref());
    let mut aboard = Aboard::with_token(&server, None);
    aboard.run();
    let asked = || requested(&admin);
    let id = asked();
    let body = json!({ "permissions": "readwrite", "expiration": "6s" });
    let approved = admin.put_json(&format!("{REQUESTS}/{id}/approved"), &body);
    assert_eq!(approved.status, 200, "{approved:?}");
    eventually("the crew is told that it ends", || {
        let checked = aboard.windrode(&["check", "--listen", "1"]);
        // It may have expired by now, which is reported as the error.
        let text = String::from_utf8([checked.stdout, checked.stderr].concat()).ok()?;
        text.contains("the token for the server expire")
            .then_some(())
    });
    eventually("it is an alert", || {
        let alert = aboard.alert("watch")?;
        let told = alert["message"].as_str()?.to_owned();
        let is_told = told.contains("our token for the server expire");
        (is_told && alert["priority"] == "caution").then_some(())
    });
    eventually("the server refuses the token", || {
        let checked = aboard.windrode(&["check", "--listen", "1"]);
        let text = String::from_utf8(checked.stderr).ok()?;
        text.contains("the token for the server expired")
            .then_some(())
    });
    // On its own the server would take up to a minute to shut it out.
    server.restart();
    eventually("the end of the token is told", || {
        link(&aboard).filter(|link| link.contains("has expired"))
    });
    eventually("its end is an alert", || {
        let alert = aboard.alert("dataLink")?;
        let told = alert["message"].as_str()?.to_owned();
        told.contains("has expired").then_some(())
    });
    assert_eq!(asked(), id);
    server.approve();
    is_up(&aboard);
    eventually("the new token lasts", || {
        let alert = aboard.alert("watch");
        alert.is_none().then_some(())
    });
    assert_eq!(aboard.stop(), Some(0));
}

/// A denial is a person's decision, and is distinguished from a request that nobody has seen.
#[test]
fn a_denied_device_says_that_it_was_denied() {
    let server = SignalK::start(Mode::Secure);
    let admin = server.rest_as(server.tokens.admin.as_ref());
    let mut aboard = Aboard::with_token(&server, None);
    aboard.run();
    let id = requested(&admin);
    let denied = admin.put_json(&format!("{REQUESTS}/{id}/denied"), &json!({}));
    assert_eq!(denied.status, 200, "{denied:?}");
    eventually("the denial is told", || {
        link(&aboard).filter(|link| link.contains("access to the server was denied"))
    });
    assert_eq!(aboard.stop(), Some(0));
}

/// The data server behind TLS with a certificate of its own: trusted on first use, then another one is refused.
#[test]
fn a_changed_certificate_is_refused_and_explained() {
    let server = SignalK::start(Mode::Open);
    let port = {
        let free = TcpListener::bind("127.0.0.1:0").unwrap();
        free.local_addr().unwrap().port()
    };
    let mut aboard = Aboard::alone("");
    aboard.set("WINDRODE__SERVER__URL", &format!("wss://localhost:{port}"));
    let front = Front::start(port, server.port, TERN);
    aboard.run();
    is_up(&aboard);
    let kept = std::fs::read_to_string(aboard.folder().join("trusted-server")).unwrap();
    assert!(
        kept.starts_with(&format!("localhost:{port} SHA-256 ")),
        "{kept}"
    );
    drop(front);
    let front = Front::start(port, server.port, OTHER);
    eventually("the other certificate is told", || {
        link(&aboard).filter(|link| link.contains("certificate is not the one"))
    });
    let log = aboard.log();
    assert!(
        log.contains("has changed") && log.contains("trusted-server"),
        "{log}"
    );
    let checked = aboard.windrode(&["check", "--listen", "1"]);
    let told = String::from_utf8(checked.stderr).unwrap();
    assert!(told.contains("has changed"), "{told}");
    drop(front);
    let again = std::fs::read_to_string(aboard.folder().join("trusted-server")).unwrap();
    assert_eq!(again, kept);
    assert_eq!(aboard.stop(), Some(0));
}

/// TLS in front of the server, on a port of loopback; ends with all its connections when dropped.
struct Front {
    stop: Option<oneshot::Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

impl Front {
    fn start(port: u16, behind: u16, (certificate, key): (&str, &str)) -> Self {
        let certificate = CertificateDer::from_pem_slice(certificate.as_bytes()).unwrap();
        let key = PrivateKeyDer::from_pem_slice(key.as_bytes()).unwrap();
        let _ = rustls::crypto::ring::default_provider().install_default();
        let config = ServerConfig::builder()
            .with_no_client_auth()
            .with_single_cert(vec![certificate], key)
            .unwrap();
        let acceptor = TlsAcceptor::from(Arc::new(config));
        let (stop, stopped) = oneshot::channel();
        let (ready, is_ready) = std::sync::mpsc::channel();
        let thread = std::thread::spawn(move || {
            block_on(async {
                let listener = tokio::net::TcpListener::bind(("127.0.0.1", port))
                    .await
                    .unwrap();
                ready.send(()).unwrap();
                let serve = async {
                    loop {
                        let (stream, _) = listener.accept().await.unwrap();
                        let acceptor = acceptor.clone();
                        tokio::spawn(async move {
                            let Ok(mut stream) = acceptor.accept(stream).await else {
                                return;
                            };
                            let mut server = tokio::net::TcpStream::connect(("127.0.0.1", behind))
                                .await
                                .unwrap();
                            let _ = tokio::io::copy_bidirectional(&mut stream, &mut server).await;
                        });
                    }
                };
                tokio::select! {
                    _ = stopped => {}
                    () = serve => {}
                }
            });
        });
        is_ready.recv().unwrap();
        Self {
            stop: Some(stop),
            thread: Some(thread),
        }
    }
}

impl Drop for Front {
    fn drop(&mut self) {
        drop(self.stop.take());
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

const TERN: (&str, &str) = (
    include_str!("../../src/io/tls/certificates/tern.pem"),
    include_str!("../../src/io/tls/certificates/tern.key"),
);
const OTHER: (&str, &str) = (
    include_str!("../../src/io/tls/certificates/other.pem"),
    include_str!("../../src/io/tls/certificates/other.key"),
);
