//! The operator's settings for a channel: one variant for each kind, with its own keys.

use std::fmt;
use std::path::PathBuf;
use std::time::Duration;

use reqwest::Url;

use crate::alert::hazard::Priority;
use crate::outbox::words::Quiet;

/// One channel.
#[derive(Clone, Debug, PartialEq)]
pub struct Channel {
    /// The kind of channel, with the settings of that kind.
    pub kind: Kind,
    /// Which alerts are sent to people; a ping sends them nothing.
    pub delivery: Option<Delivery>,
    /// How often the channel is tested while there is nothing to send.
    pub every: Duration,
}

/// The kind of a channel.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// A push server with topics over HTTP.
    Topic {
        /// The server.
        to: Address,
        /// The topic that the phone listens to.
        topic: String,
        /// A file that holds a bearer token.
        token_file: Option<PathBuf>,
        /// Where the buttons send their answers.
        replies: Option<Replies>,
        /// After this long without a sign of life, the server delivers a last message.
        dark_after: Option<Duration>,
    },
    /// JSON posted to an address.
    Webhook {
        /// The address.
        to: Address,
        /// A file that holds a bearer token.
        token_file: Option<PathBuf>,
        /// A file that holds the signing key.
        key_file: Option<PathBuf>,
    },
    /// An MQTT broker.
    Mqtt {
        /// The broker.
        to: Address,
        /// The root of the tree of topics.
        topic: String,
        /// Our login at the broker.
        login: Option<Login>,
    },
    /// Mail by SMTP.
    Mail {
        /// The mail server.
        to: Address,
        /// Our login at the mail server.
        login: Option<Login>,
        /// The sender's mail address.
        sender: String,
        /// The receiver's mail address.
        receiver: String,
    },
    /// A program on this computer.
    Program {
        /// The program's path.
        program: PathBuf,
    },
    /// An address ashore that is called while the watch runs.
    Ping {
        /// The address.
        to: Address,
    },
}

/// Which alerts are sent to people, and when.
#[derive(Clone, Debug, PartialEq)]
pub struct Delivery {
    /// The lowest priority that is sent.
    pub least: Priority,
    /// When warnings and cautions wait.
    pub quiet: Option<Quiet>,
    /// How long an alert must be unacknowledged before it is sent.
    pub after: Duration,
    /// How often an unacknowledged alert is sent again; zero means once.
    pub repeat: Duration,
}

/// An address, or the file that holds it if the address itself is a secret.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Address {
    /// The address itself.
    Url(PushUrl),
    /// A file that contains only the address.
    File(PathBuf),
}

/// A user and the file that holds the password.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Login {
    /// The user's name.
    pub user: String,
    /// The file.
    pub password_file: PathBuf,
}

/// Where answers arrive, and the file with the token for the buttons.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Replies {
    /// The topic.
    pub topic: String,
    /// The file.
    pub token_file: Option<PathBuf>,
}

/// An address without a secret in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PushUrl(pub Url);

impl Default for Delivery {
    fn default() -> Self {
        Self {
            least: Priority::Warning,
            quiet: None,
            after: Duration::ZERO,
            repeat: Duration::from_mins(5),
        }
    }
}

impl Channel {
    /// An empty channel of each kind.
    #[must_use]
    pub fn blanks() -> [Self; 6] {
        let to = || Address::File(PathBuf::new());
        let text = String::new;
        [
            Kind::Topic {
                to: to(),
                topic: text(),
                token_file: None,
                replies: None,
                dark_after: None,
            },
            Kind::Webhook {
                to: to(),
                token_file: None,
                key_file: None,
            },
            Kind::Mqtt {
                to: to(),
                topic: "windrode".to_owned(),
                login: None,
            },
            Kind::Mail {
                to: to(),
                login: None,
                sender: text(),
                receiver: text(),
            },
            Kind::Program {
                program: PathBuf::new(),
            },
            Kind::Ping { to: to() },
        ]
        .map(|kind| Self {
            delivery: (!matches!(kind, Kind::Ping { .. })).then(Delivery::default),
            every: Duration::from_mins(10),
            kind,
        })
    }
}

impl Kind {
    /// The kind's name in the file.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Topic { .. } => "topic",
            Self::Webhook { .. } => "webhook",
            Self::Mqtt { .. } => "mqtt",
            Self::Mail { .. } => "mail",
            Self::Program { .. } => "program",
            Self::Ping { .. } => "ping",
        }
    }

    /// The allowed schemes of its address.
    #[must_use]
    pub const fn schemes(&self) -> &'static [&'static str] {
        match self {
            Self::Topic { .. } | Self::Webhook { .. } | Self::Ping { .. } => &["https", "http"],
            Self::Mqtt { .. } => &["mqtts", "mqtt"],
            Self::Mail { .. } => &["smtps", "smtp"],
            Self::Program { .. } => &[],
        }
    }
}

impl PushUrl {
    /// Parses an address with one of these schemes; describes the error in words. The words never quote the
    /// address, because it may come from a file and hold a secret.
    pub fn parse(text: &str, schemes: &[&str]) -> Result<Self, String> {
        let scheme = schemes.first().unwrap_or(&"https");
        let example = format!("write it as `{scheme}://push.example/`");
        let url = Url::parse(text.trim()).map_err(|error| format!("{error}; {example}"))?;
        if !schemes.contains(&url.scheme()) {
            let known = schemes.join("://` or `");
            return Err(format!("it must begin with `{known}://`; {example}"));
        }
        if url.host_str().is_none_or(str::is_empty) {
            return Err(format!("no host is in it; {example}"));
        }
        if !url.username().is_empty() || url.password().is_some() {
            return Err(format!(
                "user and password have no place in it; use `user`, `password_file` or `token_file` and {example}"
            ));
        }
        if url.fragment().is_some() {
            return Err(format!("nothing may follow a `#` in it; {example}"));
        }
        Ok(Self(url))
    }
}

impl fmt::Display for PushUrl {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.0.as_str())
    }
}
