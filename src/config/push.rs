//! `[push.NAME]`: the channels to phones, each a table with a name of the operator's choice.
//!
//! All sorts of channel share one list of keys; which of them a sort takes and which it needs
//! stands in [`Kind::takes`] and [`Kind::needs`], and the rest is refused.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;
use std::path::PathBuf;
use std::time::Duration;

use reqwest::Url;

use super::error::{ConfigError, Place};
use super::keys::Key;
use super::slot::{Field, Form, Slot};
use crate::alert::hazard::Priority;
use crate::outbox::words::Quiet;

/// One channel.
#[derive(Clone, Debug, PartialEq)]
pub struct Channel {
    /// What sort it is.
    pub kind: Option<Kind>,
    /// Where to.
    pub url: Option<PushUrl>,
    /// A file that holds the address, where the address itself is a secret.
    pub url_file: Option<PathBuf>,
    /// The topic, or where the tree of topics begins.
    pub topic: Option<String>,
    /// The topic where answers are looked for.
    pub replies: Option<String>,
    /// Who we are there.
    pub user: Option<String>,
    /// A file that holds the password.
    pub password_file: Option<PathBuf>,
    /// A file that holds the token.
    pub token_file: Option<PathBuf>,
    /// A file that holds a token for the answer's buttons.
    pub reply_token_file: Option<PathBuf>,
    /// A file that holds the key to sign with.
    pub key_file: Option<PathBuf>,
    /// The sender's mail address.
    pub from: Option<String>,
    /// The receiver's.
    pub to: Option<String>,
    /// The program.
    pub program: Option<PathBuf>,
    /// The least priority that goes there.
    pub least: Priority,
    /// When warnings and cautions wait.
    pub quiet: Option<Quiet>,
    /// How long an alert must have stood unacknowledged.
    pub after: Duration,
    /// How often an unacknowledged alert is sent again.
    pub repeat: Duration,
    /// When the dead man's message comes.
    pub dark_after: Option<Duration>,
    /// How often the way is tried.
    pub every: Duration,
}

/// What sort of channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A push server with topics over HTTP.
    Topic,
    /// JSON posted to an address.
    Webhook,
    /// An MQTT broker.
    Mqtt,
    /// Mail by SMTP.
    Mail,
    /// A program on this computer.
    Program,
    /// An address ashore that is called while the watch runs.
    Ping,
}

impl Kind {
    /// Every sort.
    pub const ALL: [Self; 6] = [
        Self::Topic,
        Self::Webhook,
        Self::Mqtt,
        Self::Mail,
        Self::Program,
        Self::Ping,
    ];

    /// The word in the file.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Topic => "topic",
            Self::Webhook => "webhook",
            Self::Mqtt => "mqtt",
            Self::Mail => "mail",
            Self::Program => "program",
            Self::Ping => "ping",
        }
    }

    /// The keys it needs. Where `url` is among them, `url_file` will do too.
    const fn needs(self) -> &'static [&'static str] {
        match self {
            Self::Topic => &["url", "topic"],
            Self::Webhook | Self::Mqtt | Self::Ping => &["url"],
            Self::Mail => &["url", "from", "to"],
            Self::Program => &["program"],
        }
    }

    /// The keys it may have besides, those of every channel to a person left out.
    const fn takes(self) -> &'static [&'static str] {
        match self {
            Self::Topic => &["token_file", "replies", "reply_token_file", "dark_after"],
            Self::Webhook => &["token_file", "key_file"],
            Self::Mqtt => &["topic", "user", "password_file"],
            Self::Mail => &["user", "password_file"],
            Self::Program | Self::Ping => &[],
        }
    }

    /// The schemes of its address.
    const fn schemes(self) -> &'static [&'static str] {
        match self {
            Self::Topic | Self::Webhook | Self::Ping => &["https", "http"],
            Self::Mqtt => &["mqtts", "mqtt"],
            Self::Mail => &["smtps", "smtp"],
            Self::Program => &[],
        }
    }
}

/// The keys of every channel to a person.
const TO_PEOPLE: [&str; 4] = ["least", "quiet", "after", "repeat"];

/// An address without a secret in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PushUrl(pub Url);

impl PushUrl {
    /// Parses an address; says in words what is wrong. A file that holds it may hold a secret, so
    /// the words never quote it.
    pub fn parse(text: &str) -> Result<Self, String> {
        const EXAMPLE: &str = "write it as `https://push.example/`";
        let url = Url::parse(text.trim()).map_err(|error| format!("{error}; {EXAMPLE}"))?;
        let known = Kind::ALL.iter().flat_map(|kind| kind.schemes());
        if !known.clone().any(|scheme| *scheme == url.scheme()) {
            return Err(format!("its scheme is none of ours; {EXAMPLE}"));
        }
        if url.host_str().is_none_or(str::is_empty) {
            return Err(format!("no host is in it; {EXAMPLE}"));
        }
        if !url.username().is_empty() || url.password().is_some() {
            return Err(format!(
                "user and password have no place in it; use `user`, `password_file` or `token_file` and {EXAMPLE}"
            ));
        }
        if url.fragment().is_some() {
            return Err(format!("nothing may follow a `#` in it; {EXAMPLE}"));
        }
        Ok(Self(url))
    }
}

impl fmt::Display for PushUrl {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.0.as_str())
    }
}

impl Default for Channel {
    fn default() -> Self {
        Self {
            kind: None,
            url: None,
            url_file: None,
            topic: None,
            replies: None,
            user: None,
            password_file: None,
            token_file: None,
            reply_token_file: None,
            key_file: None,
            from: None,
            to: None,
            program: None,
            least: Priority::Warning,
            quiet: None,
            after: Duration::ZERO,
            repeat: Duration::from_mins(5),
            dark_after: None,
            every: Duration::from_mins(10),
        }
    }
}

/// A name fit for a section, a variable, a topic and an answer.
pub(super) fn is_name(name: &str) -> bool {
    let mut bytes = name.bytes();
    bytes.next().is_some_and(|byte| byte.is_ascii_lowercase())
        && name.len() <= 30
        && bytes.all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_')
}

/// The same for a schema.
pub(super) const NAME_PATTERN: &str = "^[a-z][a-z0-9_]{0,29}$";

/// The keys of one channel.
#[rustfmt::skip]
pub(super) fn channel_keys<'a>(name: &str, channel: &'a mut Channel) -> Vec<Key<'a>> {
    use Field::{Given, Open};
    use Slot::{Path, Text, Time};
    let section: Cow<'static, str> = Cow::Owned(format!("push.{name}"));
    let key = |name, noun, about, slot| Key { section: section.clone(), name, noun, about, slot };
    let s = |least, most| [Duration::from_secs(least), Duration::from_secs(most)];
    let day = 24 * 3600;
    vec![
        key("kind", "a sort of channel",
            "What sort of channel it is.",
            Slot::Kind(Open(&mut channel.kind))),
        key("url", "an address",
            "Where to: the push server, the webhook, the broker, the mail server.",
            Slot::Url(Open(&mut channel.url))),
        key("url_file", "a path",
            "A file that holds the address alone, where whoever knows it may use it.",
            Path(Open(&mut channel.url_file))),
        key("topic", "a topic",
            "The topic on a push server, or where the tree of topics begins on a broker (`windrode`).",
            Text(Open(&mut channel.topic), &TOPIC)),
        key("replies", "a topic",
            "The topic on the push server where answers are looked for; with it the alerts have buttons.",
            Text(Open(&mut channel.replies), &TOPIC)),
        key("user", "a user's name",
            "Who we are there.",
            Text(Open(&mut channel.user), &LINE)),
        key("password_file", "a path",
            "A file that holds the user's password alone.",
            Path(Open(&mut channel.password_file))),
        key("token_file", "a path",
            "A file that holds a token alone, sent as a bearer token.",
            Path(Open(&mut channel.token_file))),
        key("reply_token_file", "a path",
            "A file that holds a token for the buttons; whoever reads the topic sees it.",
            Path(Open(&mut channel.reply_token_file))),
        key("key_file", "a path",
            "A file that holds the key alone that signs what is posted.",
            Path(Open(&mut channel.key_file))),
        key("from", "a mail address",
            "The sender's mail address.",
            Text(Open(&mut channel.from), &MAIL)),
        key("to", "a mail address",
            "The receiver's mail address.",
            Text(Open(&mut channel.to), &MAIL)),
        key("program", "a path",
            "The program that is run with the message on its standard input.",
            Path(Open(&mut channel.program))),
        key("least", "a priority",
            "The least priority that goes there.",
            Slot::Priority(Given(&mut channel.least))),
        key("quiet", "a time of quiet",
            "Hours by the ship's clock in which warnings and cautions wait; alarms never do.",
            Slot::Hours(Open(&mut channel.quiet))),
        key("after", "this time",
            "How long an alert must have stood unacknowledged before it goes there.",
            Time(Given(&mut channel.after), s(0, day))),
        key("repeat", "this time",
            "How often an unacknowledged alert is sent again; `0 s` for once.",
            Time(Given(&mut channel.repeat), s(0, day))),
        key("dark_after", "this time",
            "Without a sign of life for so long, at anchor, the push server delivers a last message by itself.",
            Time(Open(&mut channel.dark_after), s(180, day))),
        key("every", "this time",
            "How often the way there is tried while there is nothing to tell; a ping's pace.",
            Time(Given(&mut channel.every), s(10, day))),
    ]
}

/// What one sort of channel needs and another does not take.
pub(super) fn check(
    channels: &mut BTreeMap<String, Channel>,
    origins: &BTreeMap<String, Place>,
    place_of: impl Fn(&str) -> Place,
) -> Result<(), ConfigError> {
    for (name, channel) in channels {
        let kind = channel.kind;
        let url = channel.url.clone();
        let topics = [channel.topic.clone(), channel.replies.clone()];
        let given: Vec<&'static str> = channel_keys(name, channel)
            .iter()
            .filter(|key| origins.contains_key(&format!("{}.{}", key.section, key.name)))
            .map(|key| key.name)
            .collect();
        let has = |key: &str| given.contains(&key);
        let refuse = |key: Option<&str>, reason: String| {
            let full = key.map(|key| format!("push.{name}.{key}"));
            let origin = full.as_ref().and_then(|full| origins.get(full)).cloned();
            Err(ConfigError::Channel {
                name: full.unwrap_or_else(|| format!("push.{name}")),
                place: origin.unwrap_or_else(|| place_of(name)),
                reason,
            })
        };
        let Some(kind) = kind else {
            let all: Vec<String> = Kind::ALL
                .iter()
                .map(|k| format!("`{}`", k.name()))
                .collect();
            let reason = format!("`kind` is not given; it is one of {}", all.join(", "));
            return refuse(None, reason);
        };
        for need in kind.needs() {
            let given = has(need) || (*need == "url" && has("url_file"));
            if !given {
                let reason = format!("a channel of kind `{}` needs `{need}`", kind.name());
                return refuse(None, reason);
            }
        }
        for key in &given {
            let fits = ["kind", "every"].contains(key)
                || kind.needs().contains(key)
                || (*key == "url_file" && kind.needs().contains(&"url"))
                || kind.takes().contains(key)
                || (kind != Kind::Ping && TO_PEOPLE.contains(key));
            if !fits {
                let reason = format!("a channel of kind `{}` has no use for it", kind.name());
                return refuse(Some(key), reason);
            }
        }
        if has("url") && has("url_file") {
            let reason = "the address is given twice, see `url`; take one of them out".to_owned();
            return refuse(Some("url_file"), reason);
        }
        if let Some(url) = url.filter(|url| !kind.schemes().contains(&url.0.scheme())) {
            let schemes: Vec<String> = kind.schemes().iter().map(|s| format!("`{s}://`")).collect();
            let reason = format!(
                "`{url}` is no address for kind `{}`; it begins with {}",
                kind.name(),
                schemes.join(" or ")
            );
            return refuse(Some("url"), reason);
        }
        if kind == Kind::Topic && topics.iter().flatten().any(|topic| topic.contains('/')) {
            let reason = "a push server's topic has no `/`".to_owned();
            return refuse(Some("topic"), reason);
        }
        if has("user") != has("password_file") {
            let reason = "`user` and `password_file` go together; give both or none".to_owned();
            return refuse(None, reason);
        }
        if has("reply_token_file") && !has("replies") {
            let reason = "without `replies` there are no buttons to give it to".to_owned();
            return refuse(Some("reply_token_file"), reason);
        }
    }
    Ok(())
}

/// Letters that neither end a topic nor stand for several.
pub(super) static TOPIC: Form = Form {
    pattern: "^[A-Za-z0-9_/-]{1,64}$",
    fits: |text| {
        (1..=64).contains(&text.len())
            && text
                .bytes()
                .all(|b| b.is_ascii_alphanumeric() || b"_-/".contains(&b))
    },
    wanted: "a topic of at most 64 letters, digits, `-`, `_` and `/` is wanted",
};

/// One address, without a name.
static MAIL: Form = Form {
    pattern: "^[!-?A-~]+@[!-?A-~]+$",
    fits: |text| {
        text.split_once('@').is_some_and(|(user, host)| {
            let plain = |part: &str| {
                !part.is_empty() && part.bytes().all(|b| b.is_ascii_graphic() && b != b'@')
            };
            plain(user) && plain(host)
        }) && text.len() <= 254
    },
    wanted: "a mail address alone is wanted, such as `tern@boat.example`",
};

static LINE: Form = Form {
    pattern: "^[^\\u0000-\\u001f\\u007f]{1,100}$",
    fits: |text| (1..=100).contains(&text.chars().count()) && !text.chars().any(char::is_control),
    wanted: "a text of at most 100 letters on one line is wanted",
};

/// A boat's name, which is also a level in a tree of topics.
pub(super) static BOAT: Form = Form {
    pattern: "^[^/+#\\u0000-\\u001f\\u007f]{1,60}$",
    fits: |text| {
        (1..=60).contains(&text.chars().count())
            && !text.chars().any(|c| c.is_control() || "/+#".contains(c))
    },
    wanted: "a name of at most 60 letters without `/`, `+` and `#` is wanted",
};
