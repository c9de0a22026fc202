//! The channels to phones: each carries a parcel and reports *sent*, *later* or *refused*.
//!
//! There is one file per channel. Each parcel is carried by a task of its own with a time limit, so a
//! hanging channel holds up neither another channel nor the watch. Results are classified alike everywhere:
//! only an explicit refusal by the right server counts as *refused*. An untrusted certificate or a redirect
//! to another host usually comes from a harbour's log-in page; nothing is sent there, and the parcel is
//! tried again later.
//!
//! Secrets come from files ([`crate::io::secrets`]), appear in no message and no log, and go only to the
//! configured host: no redirect is followed.

mod http;
mod mail;
mod mqtt;
mod program;
pub mod settings;
mod topic;
mod webhook;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use futures_util::future::{BoxFuture, Shared};
use tokio::sync::mpsc;
use tracing::error;

use self::mail::Mail;
use self::mqtt::Mqtt;
use self::program::Program;
use self::settings::{Address, Channel, Kind, Login, PushUrl};
use self::topic::Topic;
use self::webhook::{Ping, Webhook};
use crate::io::secrets::{self, Secret, SecretError};
use crate::outbox::words::{Parcel, Verdict};

pub(crate) use self::topic::message;
pub use self::webhook::SIGNATURE_HEADER;

/// An event from a channel.
#[derive(Debug)]
pub enum Heard {
    /// The verdict on a parcel.
    Verdict {
        /// The channel.
        channel: String,
        /// The parcel.
        ticket: u64,
        /// The verdict.
        verdict: Verdict,
    },
    /// A lasting connection was made or lost.
    Link {
        /// The channel.
        channel: String,
        /// Its state.
        verdict: Verdict,
    },
    /// A message arrived where answers are expected; it is not verified yet.
    Reply(String),
}

/// Why a channel cannot be set up.
#[derive(Debug, thiserror::Error)]
enum PushError {
    /// A secret.
    #[error("`push.{channel}`: {reason}")]
    Secret {
        /// The channel.
        channel: String,
        /// The reason.
        reason: SecretError,
    },
    /// The address in a file is invalid.
    #[error("`push.{channel}.url_file`: `{file}` holds no address: {reason}", file = file.display())]
    Address {
        /// The channel.
        channel: String,
        /// The file.
        file: PathBuf,
        /// The reason, without quoting the address.
        reason: String,
    },
    /// A client could not be made.
    #[error("`push.{channel}`: {reason}")]
    Client {
        /// The channel.
        channel: String,
        /// The reason.
        reason: String,
    },
}

/// A picture to send along (PNG), drawn while the message waits for it; shared by all channels.
pub type PendingPicture = Option<Shared<BoxFuture<'static, Option<Arc<[u8]>>>>>;

/// All channels, open.
#[derive(Debug)]
pub struct Channels {
    ways: BTreeMap<String, Way>,
    heard: mpsc::Sender<Heard>,
}

#[derive(Clone, Debug)]
enum Way {
    Topic(Arc<Topic>),
    Webhook(Arc<Webhook>),
    Mqtt(Arc<Mqtt>),
    Mail(Arc<Mail>),
    Program(Arc<Program>),
    Ping(Arc<Ping>),
    /// The channel could not be opened, for this reason: the watch goes on without it and reports that.
    Broken(Arc<str>),
}

/// Our identity towards the other side.
#[derive(Clone, Copy, Debug)]
pub struct Who<'a> {
    /// The boat's name.
    pub boat: &'a str,
    /// Distinguishes this watch from another.
    pub instance: &'a str,
}

impl Channels {
    /// Opens the configured channels; what they receive is sent through `heard`. A channel that cannot be
    /// opened, for lack of its secret, refuses everything and gives the reason: the watch goes on.
    #[must_use]
    pub fn open(
        who: Who<'_>,
        configured: &BTreeMap<String, Channel>,
        tls: &Arc<rustls::ClientConfig>,
        heard: mpsc::Sender<Heard>,
    ) -> Self {
        let open = |(name, channel): (&String, &Channel)| {
            let way = open(who, name, &channel.kind, tls, &heard).unwrap_or_else(|error| {
                error!("{error}");
                Way::Broken(error.to_string().into())
            });
            (name.clone(), way)
        };
        let ways = configured.iter().map(open).collect();
        Self { ways, heard }
    }

    /// Hands a parcel to a channel; the verdict arrives later as an event.
    pub fn send(&self, channel: &str, ticket: u64, parcel: Parcel, picture: PendingPicture) {
        let Some(way) = self.ways.get(channel).cloned() else {
            return;
        };
        let (channel, heard) = (channel.to_owned(), self.heard.clone());
        tokio::spawn(async move {
            let verdict = way.carry(parcel, picture).await;
            // The daemon may have ended by now.
            let _ = heard
                .send(Heard::Verdict {
                    channel,
                    ticket,
                    verdict,
                })
                .await;
        });
    }

    /// Hands a parcel to a channel and waits for the verdict; `None` if there is no such channel.
    pub async fn try_one(&self, channel: &str, parcel: Parcel) -> Option<Verdict> {
        let way = self.ways.get(channel)?.clone();
        Some(way.carry(parcel, None).await)
    }

    /// Tells the channels that show it whether an anchor is watched.
    pub fn watching(&self, watching: bool) {
        for way in self.ways.values() {
            if let Way::Mqtt(mqtt) = way {
                mqtt.say(watching);
            }
        }
    }

    /// Says goodbye to the channels that keep a connection.
    pub async fn close(self) {
        for way in self.ways.into_values() {
            if let Way::Mqtt(mqtt) = way {
                mqtt.close().await;
            }
        }
    }
}

impl Way {
    async fn carry(&self, parcel: Parcel, picture: PendingPicture) -> Verdict {
        let carried = async {
            let picture = match (self, picture) {
                (Self::Mqtt(mqtt), Some(drawing)) => {
                    mqtt.show(drawing);
                    None
                }
                // An alert does not wait long for its picture.
                (Self::Topic(_) | Self::Mail(_), Some(drawing)) => {
                    let drawn = tokio::time::timeout(DRAWN_WITHIN, drawing).await;
                    drawn.ok().flatten()
                }
                _ => None,
            };
            match self {
                Self::Topic(topic) => topic.carry(&parcel, picture.as_deref()).await,
                Self::Webhook(webhook) => webhook.carry(&parcel).await,
                Self::Mqtt(mqtt) => mqtt.carry(parcel).await,
                Self::Mail(mail) => mail.carry(&parcel, picture.as_deref()).await,
                Self::Program(program) => program.carry(&parcel).await,
                Self::Ping(ping) => ping.carry(&parcel).await,
                Self::Broken(why) => Verdict::Refused(why.to_string()),
            }
        };
        tokio::time::timeout(LIMIT, carried)
            .await
            .unwrap_or_else(|_| later(format!("no answer within {} s", LIMIT.as_secs())))
    }
}

fn open(
    who: Who<'_>,
    name: &str,
    kind: &Kind,
    tls: &Arc<rustls::ClientConfig>,
    heard: &mpsc::Sender<Heard>,
) -> Result<Way, PushError> {
    let optional = |file: &Option<PathBuf>| {
        let secret = file.as_deref().map(|file| read_secret(name, file));
        secret.transpose()
    };
    let address = |to: &Address| address(name, to, kind.schemes());
    let login = |login: &Option<Login>| {
        let read = |login: &Login| {
            read_secret(name, &login.password_file).map(|password| (login.user.clone(), password))
        };
        login.as_ref().map(read).transpose()
    };
    let client = |reason| PushError::Client {
        channel: name.to_owned(),
        reason,
    };
    Ok(match kind {
        Kind::Topic {
            to,
            topic,
            token_file,
            replies,
            ..
        } => {
            let reply_token = replies
                .as_ref()
                .and_then(|replies| replies.token_file.clone());
            let opened = Topic::open(
                address(to)?,
                topic.clone(),
                replies.as_ref().map(|replies| replies.topic.clone()),
                optional(token_file)?,
                optional(&reply_token)?,
                tls,
                heard,
            );
            Way::Topic(Arc::new(opened.map_err(client)?))
        }
        Kind::Webhook {
            to,
            token_file,
            key_file,
        } => {
            let (token, key) = (optional(token_file)?, optional(key_file)?);
            let opened = Webhook::open(address(to)?, token, key, tls);
            Way::Webhook(Arc::new(opened.map_err(client)?))
        }
        Kind::Mqtt {
            to,
            topic,
            login: account,
        } => {
            let tree = format!("{topic}/{}", who.boat);
            let client_id = format!("windrode-{}-{name}", who.instance);
            let (url, login) = (address(to)?, login(account)?);
            let opened = Mqtt::open(name, &url, client_id, tree, login, tls, heard);
            Way::Mqtt(Arc::new(opened.map_err(client)?))
        }
        Kind::Mail {
            to,
            login: account,
            sender,
            receiver,
        } => {
            let opened = Mail::open(&address(to)?, login(account)?, sender, receiver);
            Way::Mail(Arc::new(opened.map_err(client)?))
        }
        Kind::Program { program } => Way::Program(Arc::new(Program(program.clone()))),
        Kind::Ping { to } => Way::Ping(Arc::new(Ping::open(address(to)?, tls).map_err(client)?)),
    })
}

fn address(name: &str, to: &Address, schemes: &[&str]) -> Result<PushUrl, PushError> {
    let file = match to {
        Address::Url(url) => return Ok(url.clone()),
        Address::File(file) => file,
    };
    let text = read_secret(name, file)?;
    PushUrl::parse(text.reveal(), schemes).map_err(|reason| PushError::Address {
        channel: name.to_owned(),
        file: file.clone(),
        reason,
    })
}

fn read_secret(channel: &str, file: &Path) -> Result<Secret, PushError> {
    secrets::read_token(file).map_err(|reason| PushError::Secret {
        channel: channel.to_owned(),
        reason,
    })
}

fn later(why: impl Into<String>) -> Verdict {
    Verdict::Later {
        after: None,
        why: why.into(),
    }
}

/// A channel that has not answered by then is not waited for any longer.
const LIMIT: Duration = Duration::from_secs(30);
/// A small computer draws for a second or two.
const DRAWN_WITHIN: Duration = Duration::from_secs(5);
