use std::net::Ipv4Addr;
use std::sync::Mutex;

use futures_util::SinkExt;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::TcpListener;
use tokio_rustls::TlsAcceptor;
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::tungstenite::handshake::server::{ErrorResponse, Request, Response};
use tokio_tungstenite::tungstenite::http::StatusCode;

use super::*;
use crate::signalk::discovery::Announced;

const OURS: &str = "urn:mrn:imo:mmsi:230099999";
const THEIRS: &str = "urn:mrn:imo:mmsi:230011111";
const TOKEN: &str = "s3same";
/// Another computer's address at which nothing can be: no TCP reaches a multicast address.
const GONE: &str = "ws://224.0.0.1:3000";
const GONE_SECURE: &str = "wss://224.0.0.1:3443";

/// A data server on loopback that greets with this id, and notes the token of each who comes.
struct Server {
    port: u16,
    secure: bool,
    shown: Arc<Mutex<Vec<Option<String>>>>,
}

/// Who may come in.
#[derive(Clone, Copy, PartialEq)]
enum Door {
    Open,
    /// Only with a token.
    Closed,
    /// Only without one: it was revoked.
    NoToken,
}

impl Server {
    async fn greeting_as(id: &'static str) -> Self {
        Self::with(id, Door::Open, None).await
    }

    async fn encrypted(id: &'static str, certificate: (&str, &str)) -> Self {
        Self::with(id, Door::Open, Some(certificate)).await
    }

    async fn with(id: &'static str, door: Door, certificate: Option<(&str, &str)>) -> Self {
        let _ = tls::client_config();
        let secure = certificate.map(acceptor);
        let is_secure = secure.is_some();
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let port = listener.local_addr().unwrap().port();
        let shown: Arc<Mutex<Vec<Option<String>>>> = Arc::default();
        let noted = Arc::clone(&shown);
        tokio::spawn(async move {
            loop {
                let (stream, _) = listener.accept().await.unwrap();
                let noted = Arc::clone(&noted);
                #[expect(clippy::result_large_err, reason = "the library's own type")]
                let note = move |request: &Request, response: Response| {
                    let token = request.headers().get("authorization");
                    let token = token.map(|it| it.to_str().unwrap().to_owned());
                    let refused = match door {
                        Door::Open => false,
                        Door::Closed => token.is_none(),
                        Door::NoToken => token.is_some(),
                    };
                    noted.lock().unwrap().push(token);
                    if refused {
                        let mut refusal = ErrorResponse::new(None);
                        *refusal.status_mut() = StatusCode::UNAUTHORIZED;
                        return Err(refusal);
                    }
                    Ok(response)
                };
                let stream: Box<dyn Stream> = match &secure {
                    Some(acceptor) => match acceptor.accept(stream).await {
                        Ok(stream) => Box::new(stream),
                        Err(_) => continue,
                    },
                    None => Box::new(stream),
                };
                let Ok(mut socket) = tokio_tungstenite::accept_hdr_async(stream, note).await else {
                    continue;
                };
                let hello =
                    format!(r#"{{"name":"x","version":"1","self":"vessels.{id}","roles":[]}}"#);
                let _ = socket.send(Message::text(hello)).await;
                // The one who came ends it.
                tokio::spawn(async move {
                    while let Some(Ok(_)) = futures_util::StreamExt::next(&mut socket).await {}
                });
            }
        });
        Self {
            port,
            secure: is_secure,
            shown,
        }
    }

    fn address(&self) -> ServerAddress {
        ServerAddress::found(Ipv4Addr::LOCALHOST, self.port, self.secure)
    }

    /// Announced under an id, be it its own or not.
    fn announced(&self, id: &str) -> Offer {
        let announced = Announced {
            name: "pi".to_owned(),
            port: self.port,
            secure: self.secure,
            self_id: Some(id.to_owned()),
            ..Announced::default()
        };
        Offer::new(Ipv4Addr::LOCALHOST, &announced).unwrap()
    }

    /// The tokens it was shown.
    fn tokens(&self) -> Vec<String> {
        self.shown
            .lock()
            .unwrap()
            .iter()
            .flatten()
            .cloned()
            .collect()
    }

    fn was_visited(&self) -> bool {
        !self.shown.lock().unwrap().is_empty()
    }
}

trait Stream: AsyncRead + AsyncWrite + Send + Unpin {}
impl<T: AsyncRead + AsyncWrite + Send + Unpin> Stream for T {}

fn acceptor((certificate, key): (&str, &str)) -> TlsAcceptor {
    let certificate = CertificateDer::from_pem_slice(certificate.as_bytes()).unwrap();
    let key = PrivateKeyDer::from_pem_slice(key.as_bytes()).unwrap();
    let config = rustls::ServerConfig::builder()
        .with_no_client_auth()
        .with_single_cert(vec![certificate], key)
        .unwrap();
    TlsAcceptor::from(Arc::new(config))
}

fn paired(address: &str, secure: bool) -> Kept {
    Kept::Server(Paired {
        self_id: ServerId::parse(OURS).unwrap(),
        address: address.to_owned(),
        secure,
    })
}

fn plan(local: ServerAddress, kept: Kept, token: Option<&str>) -> Plan {
    let config = Config::default();
    Plan {
        local,
        token: token.map(|it| Secret::token(it).unwrap()),
        token_is_granted: true,
        ..Plan::new(&config, kept, tls::client_config(), Keeper::Command)
    }
}

/// Nothing listens there.
fn nowhere() -> ServerAddress {
    ServerAddress::found(Ipv4Addr::LOCALHOST, 1, false)
}

#[tokio::test]
async fn the_server_on_this_computer_comes_first_and_the_network_is_not_asked() {
    let local = Server::greeting_as(OURS).await;
    let here = local.address();
    for kept in [
        Kept::Nothing,
        Kept::Unnamed,
        paired(&here.to_string(), false),
    ] {
        let plan = plan(here.clone(), kept, Some(TOKEN));
        let joined = plan.join(async || panic!("asked")).await.unwrap();
        assert_eq!(joined.address, here);
    }
    assert_eq!(local.tokens(), ["Bearer s3same"; 3]);
}

/// Its id is public: AIS sends it.
#[tokio::test]
async fn nobody_takes_the_place_of_a_server_on_this_computer_that_is_off() {
    let impostor = Server::greeting_as(OURS).await;
    let here = nowhere();
    for address in [here.to_string(), "ws://localhost:1".to_owned()] {
        let plan = plan(here.clone(), paired(&address, false), Some(TOKEN));
        let found = vec![impostor.announced(OURS)];
        let error = plan.join(async || found).await.unwrap_err();
        let told = error.to_string();
        assert!(told.contains("no server on the network takes its place"));
        assert!(told.contains(&impostor.address().to_string()), "{told}");
        assert!(matches!(
            error.closed(),
            Closed::NotChosen(LinkFault::NotAnswering, _)
        ));
    }
    assert!(!impostor.was_visited());
}

#[tokio::test]
async fn the_paired_server_is_followed_in_the_clear_without_its_token() {
    let ours = Server::greeting_as(OURS).await;
    let theirs = Server::greeting_as(THEIRS).await;
    let found = vec![theirs.announced(THEIRS), ours.announced(OURS)];
    for is_granted in [true, false] {
        let plan = Plan {
            token_is_granted: is_granted,
            ..plan(nowhere(), paired(GONE, false), Some(TOKEN))
        };
        let joined = plan.join(async || found.clone()).await.unwrap();
        assert_eq!(joined.address, ours.address());
        assert_eq!(joined.withheld, Some(Withheld::Unproven));
    }
    assert!(ours.tokens().is_empty() && !theirs.was_visited());
    // Without a token nothing is withheld, and the new address is kept.
    let plan = plan(nowhere(), paired(GONE, false), None);
    let joined = plan.join(async || found).await.unwrap();
    assert_eq!(joined.withheld, None);
}

#[tokio::test]
async fn the_paired_server_gets_its_token_at_its_new_address_once_it_has_greeted() {
    let ours = Server::encrypted(OURS, TERN).await;
    let folder = tempfile::tempdir().unwrap();
    let plan = Plan {
        folder: folder.path().to_owned(),
        keeper: Keeper::Daemon,
        ..plan(nowhere(), paired(GONE_SECURE, true), Some(TOKEN))
    };
    // Nothing vouches for it, however often it is joined: its own certificate must not.
    let look = async || vec![ours.announced(OURS)];
    for _ in 0..2 {
        let joined = plan.join(look).await.unwrap();
        assert_eq!(joined.withheld, Some(Withheld::Unproven));
        assert!(ours.tokens().is_empty());
        assert!(!folder.path().join("trusted-server").exists());
    }
    // It greets where it was last, so its certificate is kept, and vouches for it elsewhere.
    let there = Plan {
        kept: paired(&ours.address().to_string(), true),
        ..plan.clone()
    };
    there.join(async || Vec::new()).await.unwrap();
    assert!(folder.path().join("trusted-server").exists());
    let joined = plan.join(look).await.unwrap();
    assert_eq!((joined.address, joined.withheld), (ours.address(), None));
    let shown = ours.shown.lock().unwrap().clone();
    let same = Some("Bearer s3same".to_owned());
    assert_eq!(shown[4..], [None, same.clone(), None, same]);
    // Somebody with another certificate.
    let impostor = Server::encrypted(OURS, OTHER).await;
    let look = async || vec![impostor.announced(OURS)];
    let error = plan.join(look).await.unwrap_err();
    assert!(matches!(error.closed(), Closed::Distrusted(_)));
    assert!(!impostor.was_visited());
}

/// Otherwise the right server would be refused from then on.
#[tokio::test]
async fn the_certificate_of_a_server_that_pretends_is_not_kept() {
    let theirs = Server::encrypted(THEIRS, OTHER).await;
    let folder = tempfile::tempdir().unwrap();
    let plan = Plan {
        folder: folder.path().to_owned(),
        keeper: Keeper::Daemon,
        ..plan(nowhere(), paired(GONE, false), Some(TOKEN))
    };
    let error = plan.join(async || vec![theirs.announced(OURS)]).await;
    assert!(matches!(error.unwrap_err(), JoinError::Pretends { .. }));
    assert!(theirs.was_visited() && theirs.tokens().is_empty());
    assert!(!folder.path().join("trusted-server").exists());
}

/// It does not announce itself, or somebody else announces its id.
#[tokio::test]
async fn the_paired_server_is_joined_at_its_last_address_whoever_announces_its_id() {
    let ours = Server::greeting_as(OURS).await;
    let impostor = Server::greeting_as(OURS).await;
    let last = paired(&ours.address().to_string(), false);
    let plan = plan(nowhere(), last, Some(TOKEN));
    let joined = plan.join(async || Vec::new()).await.unwrap();
    assert_eq!((joined.address, joined.withheld), (ours.address(), None));
    let found = vec![impostor.announced(OURS)];
    let joined = plan.join(async || found).await.unwrap();
    assert_eq!(joined.address, ours.address());
    assert_eq!(ours.tokens(), ["Bearer s3same"; 2]);
    assert!(!impostor.was_visited());
    // Another boat's server has the address now.
    let theirs = Server::greeting_as(THEIRS).await;
    let plan = Plan {
        kept: paired(&theirs.address().to_string(), false),
        ..plan
    };
    assert!(plan.join(async || Vec::new()).await.is_err());
    assert!(theirs.was_visited() && theirs.tokens().is_empty());
}

#[tokio::test]
async fn a_found_server_that_lets_in_nobody_without_a_token_is_told_as_that() {
    let closed = Server::with(OURS, Door::Closed, None).await;
    let plan = plan(nowhere(), paired(GONE, false), Some(TOKEN));
    let error = plan.join(async || vec![closed.announced(OURS)]).await;
    let error = error.unwrap_err();
    let url = closed.address().to_string();
    assert!(error.to_string().contains(&url), "{error}");
    let Closed::NotChosen(fault, _) = error.closed() else {
        panic!("it is reported as something else");
    };
    assert_eq!(fault, LinkFault::ServerReticent { url });
    assert!(closed.tokens().is_empty());
}

/// The request for access must reach the server that refuses, so it is joined.
#[tokio::test]
async fn a_granted_token_that_is_refused_is_laid_aside() {
    let ours = Server::with(OURS, Door::NoToken, None).await;
    let last = paired(&ours.address().to_string(), false);
    let plan = plan(nowhere(), last, Some(TOKEN));
    let joined = plan.join(async || Vec::new()).await.unwrap();
    assert_eq!(joined.withheld, Some(Withheld::Refused));
    let operators = Plan {
        token_is_granted: false,
        ..plan
    };
    let error = operators.join(async || Vec::new()).await.unwrap_err();
    assert!(matches!(error.closed(), Closed::Refused401));
}

/// Its address now belongs to another boat, or somebody announces our id.
#[tokio::test]
async fn a_server_that_greets_with_another_id_gets_no_token_and_is_left() {
    let theirs = Server::greeting_as(THEIRS).await;
    let plan = plan(nowhere(), paired(GONE, false), Some(TOKEN));
    let found = vec![theirs.announced(OURS)];
    let error = plan.join(async || found).await.unwrap_err();
    assert!(
        error
            .to_string()
            .contains("greets as `urn:mrn:imo:mmsi:230011111`"),
        "{error}"
    );
    assert!(matches!(
        error.closed(),
        Closed::NotChosen(LinkFault::OtherServers, _)
    ));
    assert!(theirs.was_visited() && theirs.tokens().is_empty());
}

#[tokio::test]
async fn a_stranger_is_not_even_visited() {
    let theirs = Server::greeting_as(THEIRS).await;
    for (kept, token) in [
        (paired(GONE, false), None),
        (paired(GONE_SECURE, true), Some(TOKEN)),
        (Kept::Unnamed, Some(TOKEN)),
    ] {
        let found = vec![theirs.announced(THEIRS)];
        let plan = plan(nowhere(), kept, token);
        let error = plan.join(async || found).await.unwrap_err();
        assert!(error.to_string().contains("server.url"), "{error}");
    }
    // It claims to be ours, but ours was encrypted.
    let plan = plan(nowhere(), paired(GONE_SECURE, true), Some(TOKEN));
    let found = vec![theirs.announced(OURS)];
    let error = plan.join(async || found).await.unwrap_err();
    assert!(matches!(
        error.closed(),
        Closed::NotChosen(LinkFault::ServerNotSecure, _)
    ));
    assert!(!theirs.was_visited());
}

/// The boat's own server is elsewhere; somebody started another one on this computer.
#[tokio::test]
async fn another_server_on_this_computer_is_told_and_gets_no_token() {
    let local = Server::greeting_as(THEIRS).await;
    let ours = Server::greeting_as(OURS).await;
    let kept = paired(GONE, false);
    let found = vec![ours.announced(OURS)];
    let plan = plan(local.address(), kept, Some(TOKEN));
    let joined = plan.join(async || found).await.unwrap();
    assert_eq!(joined.address, ours.address());
    let error = plan.join(async || Vec::new()).await.unwrap_err();
    assert!(
        error
            .to_string()
            .contains("the server on this computer is another one"),
        "{error}"
    );
    assert!(local.was_visited() && local.tokens().is_empty());
    // It has moved here.
    let local = Server::greeting_as(OURS).await;
    let plan = Plan {
        local: local.address(),
        ..plan
    };
    plan.join(async || panic!("asked")).await.unwrap();
    assert_eq!(local.tokens(), ["Bearer s3same"]);
}

#[tokio::test]
async fn a_granted_token_does_not_follow_the_operator_to_another_server() {
    let theirs = Server::greeting_as(THEIRS).await;
    let given = Some(theirs.address());
    let granted = Plan {
        given: given.clone(),
        ..plan(nowhere(), paired("ws://old:3000", false), Some(TOKEN))
    };
    let joined = granted.join(async || panic!("asked")).await.unwrap();
    assert!(joined.withheld.is_some() && theirs.tokens().is_empty());
    // The operator's own token goes where the operator says.
    let operators = Plan {
        token_is_granted: false,
        ..granted.clone()
    };
    let joined = operators.join(async || panic!("asked")).await.unwrap();
    assert_eq!(joined.withheld, None);
    assert_eq!(theirs.tokens(), ["Bearer s3same"]);
    // The same server under another name.
    let ours = Server::greeting_as(OURS).await;
    let moved = Plan {
        given: Some(ours.address()),
        ..granted
    };
    let joined = moved.join(async || panic!("asked")).await.unwrap();
    assert_eq!(joined.withheld, None);
    assert_eq!(ours.tokens(), ["Bearer s3same"]);
}

#[tokio::test]
async fn while_the_local_server_may_be_starting_the_network_is_not_asked() {
    let plan = Plan {
        may_look: false,
        ..plan(nowhere(), Kept::Nothing, None)
    };
    let error = plan.join(async || panic!("asked")).await.unwrap_err();
    assert!(matches!(error.closed(), Closed::NotAnswering));
}

#[test]
fn a_damaged_record_is_told_and_counts_as_a_server_that_nobody_knows() {
    let folder = tempfile::tempdir().unwrap();
    let mut config = Config::default();
    config.journal.directory = folder.path().to_owned();
    assert_eq!(kept(&config, false), Ok(Kept::Nothing));
    assert_eq!(kept(&config, true), Ok(Kept::Unnamed));
    let id = ServerId::parse(OURS).unwrap();
    let record = record(id, &ServerAddress::found(Ipv4Addr::LOCALHOST, 3000, true));
    let text = serde_json::to_string(&record).unwrap();
    secrets::store_paired(folder.path(), &text).unwrap();
    assert_eq!(kept(&config, true), Ok(Kept::Server(record)));
    for damaged in ["", &text[..20], "null", "\u{0}\u{0}"] {
        std::fs::write(folder.path().join("paired-server"), damaged).unwrap();
        let why = kept(&config, false).unwrap_err();
        assert!(
            why.contains("paired-server") && why.contains("remove it"),
            "{why}"
        );
    }
    std::fs::remove_file(folder.path().join("paired-server")).unwrap();
    std::fs::write(folder.path().join("trusted-server"), "x").unwrap();
    assert_eq!(kept(&config, false), Ok(Kept::Unnamed));
}

const TERN: (&str, &str) = (
    include_str!("../../io/tls/certificates/tern.pem"),
    include_str!("../../io/tls/certificates/tern.key"),
);
const OTHER: (&str, &str) = (
    include_str!("../../io/tls/certificates/other.pem"),
    include_str!("../../io/tls/certificates/other.key"),
);
