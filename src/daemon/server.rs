//! The data server's side: socket, rights and token, and the actions that the session requests.

use std::sync::Arc;

use serde_json::json;
use tracing::{debug, error, info, warn};

use super::errands::Errands;
use super::joining::{self, JoinError, Joined, Plan};
use super::{Asker, Daemon};
use crate::config::{Config, ServerAddress};
use crate::io::mdns;
use crate::io::secrets::{self, Secret};
use crate::io::socket::{ConnectError, Received};
use crate::io::tls::{self, trust::Keeper};
use crate::signalk::access::{AccessOutput, expires, expiry_told};
use crate::signalk::discovery::{Kept, Patience};
use crate::signalk::session::{self, Closed, Level};
use crate::speech::Wording;
use crate::speech::faults::LinkFault;
use crate::time::Now;
use crate::watch::messages::{Input, LinkState};

impl Daemon {
    pub(super) fn handle_opened(&mut self, result: Result<Joined, JoinError>) {
        self.opening = None;
        let now = self.clock.now();
        match result {
            Ok(joined) => match self.reach(joined) {
                Ok(()) => self.session.handle_connected(now),
                Err(why) => self.session.handle_closed(now, Closed::Io(why)),
            },
            Err(error) => {
                if let JoinError::Unreached { address, error } = &error {
                    // A request would go to the address in use.
                    if *error == ConnectError::Unauthorized && *address == self.home.address {
                        self.want_access(now);
                    }
                    let is_first = *address == self.config.server.address();
                    match error {
                        ConnectError::NotAnswering if is_first => {
                            self.home.patience.silent(now.tick);
                        }
                        _ if is_first => self.home.patience.answered(),
                        _ => {}
                    }
                }
                self.session.handle_closed(now, error.closed());
            }
        }
    }

    /// From now on everything goes to this server.
    fn reach(&mut self, joined: Joined) -> Result<(), String> {
        self.home.patience.answered();
        self.home.keeps = joined.withheld.is_none();
        match joined.withheld {
            Some(why) if self.token.secret.is_some() => {
                warn!(
                    "the server at `{}` is used without the token: {why}; windrode asks it for access",
                    joined.address
                );
                let without = Token {
                    is_ours: true,
                    ..Token::default()
                };
                self.home.withheld = Some(std::mem::replace(&mut self.token, without));
                self.errands.use_token(None);
                self.token_changed();
            }
            // It was sent again, to the server that it is for.
            None if self.token.secret.is_none() => {
                if let Some(token) = self.home.withheld.take() {
                    self.errands.use_token(token.secret.clone());
                    self.token = token;
                    self.token_changed();
                }
            }
            _ => {}
        }
        if joined.address != self.home.address {
            let base = joined.address.http("");
            self.errands
                .use_server(&base, self.token.secret.clone(), &joined.tls)?;
            if let Some(offer) = &joined.offer {
                info!("the server {offer} was found on the network and is joined");
                if self.home.kept == Kept::Nothing {
                    self.pending.push_back(Input::FoundServer {
                        name: offer.called().to_owned(),
                        url: offer.url(),
                    });
                    warn!(
                        "it was the only one found and none was known: if it is not this boat's, stop windrode, remove `{}` and enter the right one as `server.url`",
                        secrets::paired_file(&self.config.journal.directory).display()
                    );
                }
            }
            self.home.address = joined.address;
        }
        self.socket = Some(joined.socket);
        Ok(())
    }

    /// Keeps who the server is, once it has greeted.
    fn keep_server(&mut self) {
        if !self.home.keeps {
            return;
        }
        let Some(id) = self.session.server_id() else {
            return;
        };
        self.home.keeps = false;
        let record = joining::record(id, &self.home.address);
        let kept = Kept::Server(record.clone());
        if self.home.kept == kept {
            return;
        }
        let folder = &self.config.journal.directory;
        let stored = serde_json::to_string(&record).map_err(std::io::Error::other);
        let stored = stored.and_then(|text| secrets::store_paired(folder, &text));
        if let Err(error) = stored {
            warn!(
                "which server this is cannot be kept as `{}`: {error}",
                secrets::paired_file(folder).display()
            );
        }
        self.home.kept = kept;
    }

    pub(super) fn handle_received(&mut self, received: Received) {
        let now = self.clock.now();
        match received {
            Received::Text(text) => {
                self.record_message(now, &text);
                self.session.handle_frame(now, &text);
                self.keep_server();
            }
            Received::Pong => self.session.handle_pong(now),
            Received::Ended => {
                self.socket = None;
                self.session.handle_closed(now, Closed::Ended);
            }
            Received::Broken(why) => self.lost(now, why),
        }
    }

    /// Without rights, and without a token from the operator, we ask the crew for access.
    pub(super) fn want_access(&mut self, now: Now) {
        if self.token.secret.is_none() || self.token.is_ours {
            self.access.handle_needed(now);
        }
    }

    pub(super) async fn serve_session(&mut self, output: session::Output) {
        let now = self.clock.now();
        match output {
            session::Output::Connect => {
                let plan = self.plan(now);
                self.opening = Some(Box::pin(async move { plan.join(mdns::look).await }));
            }
            session::Output::Transmit(text) => {
                if let Some(socket) = &mut self.socket
                    && let Err(why) = socket.send(text).await
                {
                    self.lost(now, why);
                }
            }
            session::Output::Ping => {
                if let Some(socket) = &mut self.socket
                    && let Err(why) = socket.ping().await
                {
                    self.lost(now, why);
                }
            }
            session::Output::Close(why) => {
                debug!("closing the socket: {why}");
                self.opening = None;
                if let Some(mut socket) = self.socket.take() {
                    socket.close().await;
                }
            }
            session::Output::ProbeRights => self.errands.probe_rights(),
            session::Output::LookForNotice(hazard) => self.errands.look_for(hazard),
            session::Output::Report(report) => {
                let it = &self.picture;
                let places = [it.anchor, it.roller, it.berth].into_iter().flatten();
                if self.offing.lets_through(now.tick, &report, places) {
                    self.feed(now, Input::Report(report));
                    self.judge_news(now);
                }
            }
            session::Output::Command { request, command } => {
                self.order(now, command, Asker::Server(request));
            }
            session::Output::Link(link) => {
                let link = self.explained(&link, now);
                self.feed(now, Input::Link(link));
            }
            session::Output::Display(action) => self.feed(now, Input::Display(action)),
            session::Output::PutResource(write) => self.errands.put_resource(write),
            session::Output::Log { level, text } => match level {
                Level::Debug => debug!("{text}"),
                Level::Info => info!("{text}"),
                Level::Warn => warn!("{text}"),
            },
        }
    }

    fn plan(&self, now: Now) -> Plan {
        let home = &self.home;
        let kept = home.kept.clone();
        let local = self.config.server.address().to_string();
        let after = self.config.watch.link_lost_after;
        let tls = Arc::clone(&home.tls);
        let withheld = home.withheld.as_ref();
        let token = withheld.filter(|_| self.token.secret.is_none());
        let token = token.unwrap_or(&self.token);
        Plan {
            may_look: home.patience.is_over(now.tick, &kept, &local, after),
            token: token.secret.clone(),
            token_is_granted: token.is_ours,
            ..Plan::new(&self.config, kept, tls, Keeper::Daemon)
        }
    }

    /// Tells the watch when the token expires.
    pub(super) fn token_changed(&mut self) {
        let token = self.token.secret.as_ref();
        let ends = token.and_then(|it| expires(it.reveal()));
        if ends != self.token_ends {
            self.token_ends = ends;
            self.pending.push_back(Input::TokenEnds(ends));
        }
    }

    /// A server refuses us: has the token expired, or did a person deny access?
    pub(super) fn explained(&self, link: &LinkState, now: Now) -> LinkState {
        let better = |why: LinkFault| match why {
            LinkFault::TokenRefused | LinkFault::Unknown if self.access.is_denied() => {
                LinkFault::AccessDenied
            }
            LinkFault::TokenRefused if self.token.has_expired(now) && self.token.is_ours => {
                LinkFault::TokenExpired
            }
            LinkFault::TokenRefused if self.token.has_expired(now) => LinkFault::GivenTokenExpired,
            why => why,
        };
        match self.token.explains(link) {
            LinkState::Up => LinkState::Up,
            LinkState::Down(why) => LinkState::Down(better(why)),
            LinkState::Impaired(why) => LinkState::Impaired(better(why)),
        }
    }

    /// Logged at the start and each time that the journal is pruned; `windrode check` shows it too.
    pub(super) fn warn_of_expiry(&self, now: Now) {
        let token = self.token.secret.as_ref();
        if let Some(told) = token.and_then(|it| expiry_told(it.reveal(), now.utc)) {
            warn!("{}", told.words(&Wording::default()));
        }
    }

    fn lost(&mut self, now: Now, why: String) {
        self.socket = None;
        self.session.handle_closed(now, Closed::Io(why));
    }

    pub(super) fn serve_access(&mut self, output: AccessOutput) {
        let now = self.clock.now();
        match output {
            AccessOutput::Ask {
                client_id,
                description,
                permissions,
            } => self.errands.ask_access(&json!({
                "clientId": client_id,
                "description": description,
                "permissions": permissions,
            })),
            AccessOutput::Poll { href } => self.errands.poll_access(href),
            AccessOutput::Granted(token) => {
                let Ok(token) = Secret::token(token.reveal()) else {
                    warn!("the server granted something that is no token");
                    return;
                };
                if let Err(error) = secrets::store_token(&self.config.journal.directory, &token) {
                    warn!("{error}");
                }
                self.errands.use_token(Some(token.clone()));
                self.token = Token {
                    secret: Some(token),
                    is_ours: true,
                    is_unreadable: false,
                };
                // It is this server's, whichever server was known before.
                self.home.withheld = None;
                self.home.keeps = true;
                self.keep_server();
                self.token_changed();
                self.session.handle_new_token(now);
            }
            AccessOutput::Say(text) => {
                info!("{text}");
                // A person's decision does not change the link itself, only its description.
                if self.access.is_denied()
                    && let Some(link) = self.session.link()
                {
                    let link = self.explained(link, now);
                    self.feed(now, Input::Link(link));
                }
            }
        }
    }
}

/// Which certificates of the data server are trusted.
pub(crate) fn tls(config: &Config, keeper: Keeper) -> Arc<rustls::ClientConfig> {
    let server = &config.server;
    let address = server.address();
    let name = format!("{}:{}", address.host(), address.port());
    tls::server_config(
        server.ca.as_deref(),
        &config.journal.directory,
        &name,
        keeper,
    )
}

/// The boat's own server: what is known about it, and where it is now.
#[derive(Debug)]
pub(super) struct Home {
    kept: Kept,
    patience: Patience,
    /// Everything is sent there.
    address: ServerAddress,
    /// For the address that is tried first.
    tls: Arc<rustls::ClientConfig>,
    /// The next server that greets is kept.
    keeps: bool,
    /// The token of the kept server, while another one is used.
    withheld: Option<Token>,
}

impl Home {
    pub(super) fn of(config: &Config, token: &Token) -> Self {
        let kept = joining::kept(config, token.secret.is_some()).unwrap_or_else(|why| {
            error!("{why}");
            Kept::Unnamed
        });
        Self {
            kept,
            patience: Patience::default(),
            address: config.server.address(),
            tls: tls(config, Keeper::Daemon),
            keeps: false,
            withheld: None,
        }
    }

    /// For requests to the address that is tried first.
    pub(super) fn errands(&self, token: &Token) -> Result<Errands, String> {
        Errands::new(&self.address.http(""), token.secret.clone(), &self.tls)
    }
}

/// The token to send, and where it came from.
#[derive(Debug, Default)]
pub(super) struct Token {
    pub(super) secret: Option<Secret>,
    /// The server granted it, and we may ask for another.
    pub(super) is_ours: bool,
    /// There should be a token, but it cannot be read.
    pub(super) is_unreadable: bool,
}

impl Token {
    /// The configured token, or the one granted on an earlier run. An unreadable token does not end the
    /// watch: a server without security needs none, and with any other server the crew learns that it
    /// refuses us, and why.
    pub(super) fn find(config: &Config) -> Self {
        let is_ours = joining::token_is_granted(config);
        match joining::token(config) {
            Ok(secret) => Self {
                secret,
                is_ours,
                is_unreadable: false,
            },
            Err(error) => {
                error!("{error}; the watch begins without it");
                Self {
                    secret: None,
                    is_ours,
                    is_unreadable: true,
                }
            }
        }
    }

    fn has_expired(&self, now: Now) -> bool {
        let end = self.secret.as_ref().and_then(|it| expires(it.reveal()));
        end.is_some_and(|end| end <= now.utc)
    }

    /// The state of the connection. If the server does not know us and a token cannot be read, that is the
    /// reason.
    pub(super) fn explains(&self, link: &LinkState) -> LinkState {
        let about_rights = |why: &LinkFault| {
            matches!(
                why,
                LinkFault::TokenRefused
                    | LinkFault::ReadOnly
                    | LinkFault::Unknown
                    | LinkFault::NothingComesBack { .. }
                    | LinkFault::Status { status: 401 | 403 }
            )
        };
        match link {
            LinkState::Impaired(why) if self.is_unreadable && about_rights(why) => {
                LinkState::Impaired(LinkFault::TokenUnreadable)
            }
            // Some servers refuse even read access without a token.
            LinkState::Down(why) if self.is_unreadable && about_rights(why) => {
                LinkState::Down(LinkFault::TokenUnreadable)
            }
            link => link.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unreadable_token_is_reported_and_does_not_end_the_watch() {
        let dir = tempfile::tempdir().unwrap();
        let mut config = Config::default();
        config.journal.directory = dir.path().to_owned();
        let found = Token::find(&config);
        assert!(found.secret.is_none() && !found.is_unreadable && found.is_ours);
        // A folder is in the place of the granted token; root could read anything else.
        std::fs::create_dir(dir.path().join("token")).unwrap();
        let found = Token::find(&config);
        assert!(found.secret.is_none() && found.is_ours);
        for (link, explained) in [
            (LinkState::Up, LinkState::Up),
            (
                LinkState::Impaired(LinkFault::Unknown),
                LinkState::Impaired(LinkFault::TokenUnreadable),
            ),
            (
                LinkState::Down(LinkFault::TokenRefused),
                LinkState::Down(LinkFault::TokenUnreadable),
            ),
            (
                LinkState::Down(LinkFault::Status { status: 401 }),
                LinkState::Down(LinkFault::TokenUnreadable),
            ),
            (
                LinkState::Down(LinkFault::Status { status: 403 }),
                LinkState::Down(LinkFault::TokenUnreadable),
            ),
            (
                LinkState::Down(LinkFault::Status { status: 503 }),
                LinkState::Down(LinkFault::Status { status: 503 }),
            ),
            (
                LinkState::Down(LinkFault::NotAnswering),
                LinkState::Down(LinkFault::NotAnswering),
            ),
        ] {
            assert_eq!(found.explains(&link), explained);
        }
        config.server.token_file = Some(dir.path().join("nowhere"));
        let found = Token::find(&config);
        assert!(found.secret.is_none() && !found.is_ours && found.is_unreadable);
    }

    #[test]
    fn a_configured_token_comes_before_the_granted_one() {
        let dir = tempfile::tempdir().unwrap();
        let token = |text: &str| Secret::token(text).unwrap();
        let mut config = Config::default();
        config.journal.directory = dir.path().to_owned();
        secrets::store_token(dir.path(), &token("granted")).unwrap();
        let found = |config: &Config| {
            let found = Token::find(config);
            (found.secret.unwrap().reveal().to_owned(), found.is_ours)
        };
        assert_eq!(found(&config), ("granted".to_owned(), true));
        // A copy in another place counts as configured.
        let file = dir.path().join("copy");
        std::fs::copy(dir.path().join("token"), &file).unwrap();
        config.server.token_file = Some(file);
        assert_eq!(found(&config), ("granted".to_owned(), false));
        config.server.token = Some(token("configured"));
        assert_eq!(found(&config), ("configured".to_owned(), false));
    }
}
