use std::net::Ipv4Addr;
use std::sync::Mutex;

use futures_util::SinkExt;
use tokio::net::TcpListener;
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::tungstenite::handshake::server::{Request, Response};

use super::*;
use crate::signalk::discovery::Announced;

const OURS: &str = "urn:mrn:imo:mmsi:230099999";
const THEIRS: &str = "urn:mrn:imo:mmsi:230011111";
const TOKEN: &str = "s3same";

/// A data server on loopback that greets with this id, and notes the token of each who comes.
struct Server {
    port: u16,
    shown: Arc<Mutex<Vec<Option<String>>>>,
}

impl Server {
    async fn greeting_as(id: &'static str) -> Self {
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
                    noted.lock().unwrap().push(token);
                    Ok(response)
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
        Self { port, shown }
    }

    fn address(&self) -> ServerAddress {
        ServerAddress::found(Ipv4Addr::LOCALHOST, self.port, false)
    }

    /// Announced under an id, be it its own or not.
    fn announced(&self, id: &str) -> Offer {
        let announced = Announced {
            name: "pi".to_owned(),
            port: self.port,
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

#[tokio::test]
async fn the_paired_server_gets_its_token_at_its_new_address_once_it_has_greeted() {
    let ours = Server::greeting_as(OURS).await;
    let theirs = Server::greeting_as(THEIRS).await;
    let found = vec![theirs.announced(THEIRS), ours.announced(OURS)];
    let plan = plan(
        nowhere(),
        paired("ws://192.168.1.9:3000", false),
        Some(TOKEN),
    );
    let joined = plan.join(async || found).await.unwrap();
    assert_eq!(joined.address, ours.address());
    assert!(!joined.withheld);
    let shown = ours.shown.lock().unwrap().clone();
    assert_eq!(shown, [None, Some("Bearer s3same".to_owned())]);
    assert!(!theirs.was_visited());
}

/// Its address now belongs to another boat, or somebody announces our id.
#[tokio::test]
async fn a_server_that_greets_with_another_id_gets_no_token_and_is_left() {
    let theirs = Server::greeting_as(THEIRS).await;
    let plan = plan(
        nowhere(),
        paired("ws://192.168.1.9:3000", false),
        Some(TOKEN),
    );
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
        (paired("ws://192.168.1.9:3000", false), None),
        (paired("wss://192.168.1.9:3443", true), Some(TOKEN)),
        (Kept::Unnamed, Some(TOKEN)),
    ] {
        let found = vec![theirs.announced(THEIRS)];
        let plan = plan(nowhere(), kept, token);
        let error = plan.join(async || found).await.unwrap_err();
        assert!(error.to_string().contains("server.url"), "{error}");
    }
    // It claims to be ours, but ours was encrypted.
    let plan = plan(
        nowhere(),
        paired("wss://192.168.1.9:3443", true),
        Some(TOKEN),
    );
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
    let kept = paired("ws://192.168.1.9:3000", false);
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
    assert!(joined.withheld && theirs.tokens().is_empty());
    // The operator's own token goes where the operator says.
    let operators = Plan {
        token_is_granted: false,
        ..granted.clone()
    };
    let joined = operators.join(async || panic!("asked")).await.unwrap();
    assert!(!joined.withheld);
    assert_eq!(theirs.tokens(), ["Bearer s3same"]);
    // The same server under another name.
    let ours = Server::greeting_as(OURS).await;
    let moved = Plan {
        given: Some(ours.address()),
        ..granted
    };
    assert!(!moved.join(async || panic!("asked")).await.unwrap().withheld);
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
