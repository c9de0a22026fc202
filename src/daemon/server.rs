//! The data server's side: socket, rights and token, and what the session wants of them.

use serde_json::json;
use tracing::{debug, info, warn};

use super::{Asker, Daemon};
use crate::config::Config;
use crate::io::secrets::{self, Secret, SecretError};
use crate::io::socket::{self, ConnectError, Received, Socket};
use crate::signalk::access::AccessOutput;
use crate::signalk::session::{self, Closed, Level};
use crate::time::Now;
use crate::watch::messages::Input;

impl Daemon {
    pub(super) fn handle_opened(&mut self, result: Result<Box<Socket>, ConnectError>) {
        self.opening = None;
        let now = self.clock.now();
        match result {
            Ok(socket) => {
                self.socket = Some(socket);
                self.session.handle_connected(now);
            }
            Err(error) => {
                let closed = match error {
                    ConnectError::Unauthorized => {
                        self.want_access(now);
                        Closed::Refused401
                    }
                    ConnectError::Http(status) => Closed::Http(status),
                    ConnectError::Io(why) => Closed::Io(why),
                };
                self.session.handle_closed(now, closed);
            }
        }
    }

    pub(super) fn handle_received(&mut self, received: Received) {
        let now = self.clock.now();
        match received {
            Received::Text(text) => self.session.handle_frame(now, &text),
            Received::Pong => self.session.handle_pong(now),
            Received::Ended => {
                self.socket = None;
                self.session.handle_closed(now, Closed::Ended);
            }
            Received::Broken(why) => self.lost(now, why),
        }
    }

    /// Without rights, and with no token that the operator chose, the crew is asked for access.
    pub(super) fn want_access(&mut self, now: Now) {
        if self.token.is_none() || self.token_is_ours {
            self.access.handle_needed(now);
        }
    }

    pub(super) async fn serve_session(&mut self, output: session::Output) {
        let now = self.clock.now();
        match output {
            session::Output::Connect => {
                let url = self.config.server.url.stream();
                let (token, tls) = (self.token.clone(), self.tls.clone());
                self.opening = Some(Box::pin(async move {
                    let socket = socket::connect(&url, token.as_ref(), tls).await?;
                    Ok(Box::new(socket))
                }));
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
            session::Output::Report(report) => self.feed(now, Input::Report(report)),
            session::Output::Command { request, command } => {
                self.order(now, command, Asker::Server(request));
            }
            session::Output::Link(link) => self.feed(now, Input::Link(link)),
            session::Output::Display(action) => self.feed(now, Input::Display(action)),
            session::Output::PutResource(write) => self.errands.put_resource(write),
            session::Output::Log { level, text } => match level {
                Level::Debug => debug!("{text}"),
                Level::Info => info!("{text}"),
                Level::Warn => warn!("{text}"),
            },
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
                self.token = Some(token);
                self.token_is_ours = true;
                self.session.handle_new_token(now);
            }
            AccessOutput::Say(text) => info!("{text}"),
        }
    }
}

/// The token to show: configured, or granted on an earlier run.
pub(super) fn find_token(config: &Config) -> Result<(Option<Secret>, bool), SecretError> {
    if let Some(token) = &config.server.token {
        return Ok((Some(token.clone()), false));
    }
    let stored = match &config.server.token_file {
        Some(file) => Some(secrets::read_token(file)?),
        None => secrets::stored_token(&config.journal.directory)?,
    };
    let ours = config.server.token_file.is_none();
    Ok(match stored {
        Some(stored) => {
            if let Some(warning) = &stored.warning {
                warn!("{warning}");
            }
            (Some(stored.token), ours)
        }
        None => (None, true),
    })
}
