//! Which data server is joined, and whether it may have the token.
//!
//! With `server.url` the operator has chosen. Without it the server on this computer is tried first. Then the kept
//! server is tried at its last address, and the network is asked; [`choose`] decides there. The server that was joined is
//! kept on disk as `paired-server`, so that the same one is joined next time. One that was kept at the loopback address
//! is never looked for elsewhere: it cannot move to the network by itself.
//!
//! The token goes only to the server that it was made for. A server that is not the operator's choice must first greet
//! without a token, and with the id that is kept; one that greets with another id is left at once. Then it gets the
//! token at the address where it was last, on this computer, and at a new address over `wss` if an earlier certificate
//! or `server.ca` vouches for it. At any other address it is joined without the token and asked for a new one, since
//! its id is public (by AIS) and plain `ws` proves nothing. At an address that the operator chose, a server that greets
//! with another id, or with none, is joined without the granted token.
//!
//! Weakness: a server over plain `ws` can greet with any id, see [`discovery`](crate::signalk::discovery). At a new
//! address it gets no token, but its positions are taken; if it grants access, it is kept as the boat's server and its
//! token replaces the old one. A boat that has no token keeps the new address and its certificate at once.
//! Tests: below, and `peers::discovery` with the real server.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use tokio::time::timeout;

use crate::config::{Config, ServerAddress};
use crate::io::secrets::{self, Secret, SecretError};
use crate::io::socket::{self, ConnectError, Received, Socket};
use crate::io::tls::{self, FoundTls, trust::Keeper};
use crate::signalk::discovery::{Kept, Offer, Paired, Refusal, ServerId, choose};
use crate::signalk::session::Closed;
use crate::signalk::wire::{self, Incoming};
use crate::speech::faults::LinkFault;

/// What is needed to join a server.
#[derive(Clone, Debug)]
pub(crate) struct Plan {
    /// The address that the operator gave.
    pub(crate) given: Option<ServerAddress>,
    /// This computer's server.
    pub(crate) local: ServerAddress,
    pub(crate) kept: Kept,
    pub(crate) token: Option<Secret>,
    /// The server granted it; else the operator gave it.
    pub(crate) token_is_granted: bool,
    /// The network may be asked.
    pub(crate) may_look: bool,
    /// For the address that is tried first.
    pub(crate) tls: Arc<rustls::ClientConfig>,
    pub(crate) authorities: Option<PathBuf>,
    pub(crate) folder: PathBuf,
    pub(crate) keeper: Keeper,
}

/// A server that was joined.
#[derive(Debug)]
pub(crate) struct Joined {
    pub(crate) socket: Box<Socket>,
    pub(crate) address: ServerAddress,
    pub(crate) tls: Arc<rustls::ClientConfig>,
    /// The token is not for this server, and is used no further.
    pub(crate) withheld: Option<Withheld>,
    /// The server was found on the network.
    pub(crate) offer: Option<Offer>,
}

/// Why a server is joined without the token that is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub(crate) enum Withheld {
    /// It is not the server that granted it.
    #[error("another server granted it")]
    OtherServer,
    /// It has the id that is kept, but nothing proves that it is the same.
    #[error("the server has a new address, and no certificate proves that it is the same")]
    Unproven,
    /// It does not take the token, but a client without one.
    #[error("the server refuses it")]
    Refused,
}

/// Why no server was joined.
#[derive(Debug, thiserror::Error)]
pub(crate) enum JoinError {
    /// The server at this address cannot be reached.
    #[error("{error}")]
    Unreached {
        address: ServerAddress,
        error: ConnectError,
    },
    /// No server was found, or none that may be joined.
    #[error("{refusal}{aside}")]
    Refused {
        refusal: Refusal,
        /// About the server on this computer.
        aside: &'static str,
    },
    /// The server that was found is not the one it announced to be.
    #[error(
        "the server at `{address}` announced itself as `{announced}` and greets as `{greets}`, so it is not joined"
    )]
    Pretends {
        address: ServerAddress,
        announced: ServerId,
        greets: ServerId,
    },
    /// The server was not the operator's choice and admits only clients with a token, so its id is unknown.
    #[error(
        "the server found at `{address}` does not say who it is to a client without a token: if it is this boat's, enter `server.url = \"{address}\"`"
    )]
    Reticent { address: ServerAddress },
}

/// Reads which server is this boat's, or why that cannot be read. It is [`Kept::Unnamed`] then: the server on this
/// computer is joined as before, and no server on the network.
pub(crate) fn kept(config: &Config, has_token: bool) -> Result<Kept, String> {
    let folder = &config.journal.directory;
    let unreadable = |why: &dyn std::fmt::Display| {
        format!(
            "the record of the server that windrode is linked to, `{}`, cannot be read: {why}; if it is damaged, remove it, and enter the server's address as `server.url`",
            secrets::paired_file(folder).display()
        )
    };
    let text = secrets::paired(folder).map_err(|why| unreadable(&why))?;
    match text {
        Some(text) => serde_json::from_str(&text)
            .map(Kept::Server)
            .map_err(|why| unreadable(&why)),
        None if has_token || folder.join(secrets::TRUSTED).exists() => Ok(Kept::Unnamed),
        None => Ok(Kept::Nothing),
    }
}

/// The token of the configuration, or the one that the server granted earlier.
pub(crate) fn token(config: &Config) -> Result<Option<Secret>, SecretError> {
    match (&config.server.token, &config.server.token_file) {
        (Some(token), _) => Ok(Some(token.clone())),
        (None, Some(file)) => secrets::read_token(file).map(Some),
        (None, None) => secrets::stored_token(&config.journal.directory),
    }
}

/// Is no token configured, so that the server must grant one?
pub(crate) const fn token_is_granted(config: &Config) -> bool {
    config.server.token.is_none() && config.server.token_file.is_none()
}

/// May the granted token be sent to this address without asking who is there?
pub(crate) fn token_is_for(config: &Config, address: &ServerAddress) -> bool {
    kept(config, true).map_or(true, |kept| kept.may_be_at(&address.to_string()))
}

impl Plan {
    pub(crate) fn new(
        config: &Config,
        kept: Kept,
        tls: Arc<rustls::ClientConfig>,
        keeper: Keeper,
    ) -> Self {
        Self {
            given: config.server.url.clone(),
            local: ServerAddress::local(),
            kept,
            token: None,
            token_is_granted: false,
            may_look: true,
            tls,
            authorities: config.server.ca.clone(),
            folder: config.journal.directory.clone(),
            keeper,
        }
    }

    /// Joins the boat's own server; `look` asks the network.
    pub(crate) async fn join(
        &self,
        look: impl AsyncFnOnce() -> Vec<Offer>,
    ) -> Result<Joined, JoinError> {
        if let Some(given) = &self.given {
            return self.join_given(given).await;
        }
        let mut aside = "";
        if self.kept.may_be_at(&self.local.to_string()) {
            match self.open(&self.local, &self.tls, self.token.as_ref()).await {
                Ok(socket) => return Ok(self.joined(socket, &self.local)),
                Err(JoinError::Unreached {
                    error: ConnectError::NotAnswering,
                    ..
                }) if self.may_look => {}
                Err(error) => return Err(error),
            }
        } else if let Ok(id) = self.greeting(&self.local, &self.tls).await {
            if self.is_ours(&id) {
                let socket = self
                    .open(&self.local, &self.tls, self.token.as_ref())
                    .await?;
                return Ok(self.joined(socket, &self.local));
            }
            aside = OTHER_HERE;
        }
        if !self.may_look {
            return Err(JoinError::Unreached {
                address: self.local.clone(),
                error: ConnectError::NotAnswering,
            });
        }
        let (found, at_last_address) = tokio::join!(look(), self.greeting_at_last_address());
        // Who answers where ours was last, and as ours, comes before anyone who announces the same id elsewhere.
        if let Some((address, found)) = at_last_address {
            return self.enter(address, found, None).await;
        }
        let offer =
            choose(found, &self.kept).map_err(|refusal| JoinError::Refused { refusal, aside })?;
        self.join_found(offer).await
    }

    /// The kept server, if it greets where it was last. The server on this computer has been tried before.
    async fn greeting_at_last_address(&self) -> Option<(ServerAddress, FoundTls)> {
        let Kept::Server(paired) = &self.kept else {
            return None;
        };
        let address = ServerAddress::parse(&paired.address).ok()?;
        if address == self.local {
            return None;
        }
        let tls = self.found_tls(&paired.self_id);
        let greets = self.greeting(&address, &tls.config);
        let greets = timeout(GREETS_WITHIN, greets).await.ok()?.ok()?;
        self.is_ours(&greets).then_some((address, tls))
    }

    async fn join_given(&self, given: &ServerAddress) -> Result<Joined, JoinError> {
        let is_sure = self.token.is_none()
            || !self.token_is_granted
            || self.kept.may_be_at(&given.to_string());
        let is_ours = is_sure
            || match self.greeting(given, &self.tls).await {
                Ok(id) => self.is_ours(&id),
                // It does not say who it is without a token.
                Err(
                    JoinError::Reticent { .. }
                    | JoinError::Unreached {
                        error: ConnectError::Http(_),
                        ..
                    },
                ) => false,
                Err(error) => return Err(error),
            };
        let token = self.token.as_ref().filter(|_| is_ours);
        let socket = self.open(given, &self.tls, token).await?;
        Ok(Joined {
            withheld: (!is_ours).then_some(Withheld::OtherServer),
            ..self.joined(socket, given)
        })
    }

    async fn join_found(&self, offer: Offer) -> Result<Joined, JoinError> {
        let address = ServerAddress::found(offer.address(), offer.port, offer.secure);
        // Nothing is joined that announces no id.
        let Some(announced) = offer.id.clone() else {
            return Err(JoinError::Reticent { address });
        };
        let tls = self.found_tls(&announced);
        let greets = self.greeting(&address, &tls.config).await?;
        if announced != greets {
            return Err(JoinError::Pretends {
                address,
                announced,
                greets,
            });
        }
        self.enter(address, tls, Some(offer)).await
    }

    /// Joins a server that has greeted as the boat's own, or as the only one.
    async fn enter(
        &self,
        address: ServerAddress,
        tls: FoundTls,
        offer: Option<Offer>,
    ) -> Result<Joined, JoinError> {
        let FoundTls { config, pin } = tls;
        let is_where_it_was =
            matches!(&self.kept, Kept::Server(paired) if paired.address == address.to_string());
        let is_proven = address.is_secure() && self.is_vouched_for();
        let token = self.token.as_ref();
        let sent = token.filter(|_| is_where_it_was || is_proven);
        let mut withheld = (token.is_some() && sent.is_none()).then_some(Withheld::Unproven);
        // Otherwise an impostor's own certificate would make it trusted at its next connection.
        if withheld.is_none() {
            pin.store();
        }
        let socket = match self.open(&address, &config, sent).await {
            Err(JoinError::Unreached {
                error: ConnectError::Unauthorized,
                ..
            }) if sent.is_some() && self.token_is_granted => {
                withheld = Some(Withheld::Refused);
                self.open(&address, &config, None).await?
            }
            opened => opened?,
        };
        Ok(Joined {
            tls: config,
            offer,
            withheld,
            ..self.joined(socket, &address)
        })
    }

    /// Which certificate is trusted of a server that says it has this id.
    fn found_tls(&self, id: &ServerId) -> FoundTls {
        let authorities = self.authorities.as_deref();
        tls::found_server_config(authorities, &self.folder, id.as_str(), self.keeper)
    }

    /// Must a server over `wss` show a certificate that was trusted before, or that an authority of the operator's
    /// vouches for?
    fn is_vouched_for(&self) -> bool {
        self.authorities.is_some() || self.folder.join(secrets::TRUSTED).exists()
    }

    fn joined(&self, socket: Socket, address: &ServerAddress) -> Joined {
        Joined {
            socket: Box::new(socket),
            address: address.clone(),
            tls: Arc::clone(&self.tls),
            withheld: None,
            offer: None,
        }
    }

    fn is_ours(&self, id: &ServerId) -> bool {
        matches!(&self.kept, Kept::Server(paired) if paired.self_id == *id)
    }

    async fn open(
        &self,
        address: &ServerAddress,
        tls: &Arc<rustls::ClientConfig>,
        token: Option<&Secret>,
    ) -> Result<Socket, JoinError> {
        let opened = socket::connect(&address.stream(), token, Arc::clone(tls)).await;
        opened.map_err(|error| JoinError::Unreached {
            address: address.clone(),
            error,
        })
    }

    /// Who the server at this address says it is to a stranger. The connection is closed again.
    async fn greeting(
        &self,
        address: &ServerAddress,
        tls: &Arc<rustls::ClientConfig>,
    ) -> Result<ServerId, JoinError> {
        let opened = self.open(address, tls, None).await;
        let mut socket = opened.map_err(|error| match error {
            JoinError::Unreached {
                address,
                error: ConnectError::Unauthorized,
            } => JoinError::Reticent { address },
            error => error,
        })?;
        let first = timeout(GREETS_WITHIN, socket.next()).await;
        socket.close().await;
        let greets = match first {
            Ok(Received::Text(text)) => match wire::parse(&text, |_| false) {
                Ok(Incoming::Hello(hello)) => ServerId::parse(&hello.self_context),
                _ => None,
            },
            _ => None,
        };
        greets.ok_or_else(|| JoinError::Unreached {
            address: address.clone(),
            error: ConnectError::Io(
                "it does not say who it is to a client without a token; enter its address as `server.url`"
                    .to_owned(),
            ),
        })
    }
}

impl JoinError {
    /// What the crew reads, in its language; or why the server that was chosen cannot be reached.
    pub(crate) fn fault(&self) -> Result<LinkFault, &ConnectError> {
        match self {
            Self::Unreached { error, .. } => Err(error),
            Self::Refused { refusal, .. } => Ok(refusal.fault()),
            Self::Pretends { .. } => Ok(LinkFault::OtherServers),
            Self::Reticent { address } => Ok(LinkFault::ServerReticent {
                url: address.to_string(),
            }),
        }
    }

    /// For the session.
    pub(super) fn closed(&self) -> Closed {
        match self.fault() {
            Ok(fault) => Closed::NotChosen(fault, self.to_string()),
            Err(ConnectError::Unauthorized) => Closed::Refused401,
            Err(ConnectError::Http(status)) => Closed::Http(*status),
            Err(ConnectError::Distrusted(why)) => Closed::Distrusted(why.clone()),
            Err(ConnectError::TrustUnreadable(why)) => Closed::TrustUnreadable(why.clone()),
            Err(ConnectError::NotAnswering) => Closed::NotAnswering,
            Err(ConnectError::Io(why)) => Closed::Io(why.clone()),
        }
    }
}

/// What to keep of the server that has greeted.
pub(super) fn record(id: ServerId, address: &ServerAddress) -> Paired {
    Paired {
        self_id: id,
        address: address.to_string(),
        secure: address.is_secure(),
    }
}

const GREETS_WITHIN: Duration = Duration::from_secs(5);
const OTHER_HERE: &str = "; the server on this computer is another one: if it is this boat's, enter `server.url = \"ws://localhost:3000\"`";

#[cfg(test)]
mod tests;
