//! The keys of `[push.NAME]`: those of the channel's kind, and those of every channel.

use std::path::PathBuf;

use super::key::Field::{Given, Need, Open, Part};
use super::key::Walk;
use super::sort::{hours, line, mail, path, push_url, time, topic, topic_root, word};
use crate::alert::hazard::Priority;
use crate::io::push::settings::{Address, Channel, Kind, Login};

/// Visits the keys that a channel of this kind has.
#[rustfmt::skip]
pub(super) fn channel_keys(walk: &mut Walk<'_>, name: &str, channel: &mut Channel) {
    walk.section(format!("push.{name}"), kind_about(&channel.kind));
    let kinds = Channel::blanks().map(|blank| blank.kind.name()).to_vec();
    let kind = channel.kind.name();
    walk.key("kind", Part(Some(kind), Box::new(|_| ()), kind), word(kinds, |name| (*name).to_owned()),
        "What the channel is.",
        "Each kind has keys of its own.");
    kind_keys(walk, &mut channel.kind);
    if let Some(delivery) = &mut channel.delivery {
        let priorities = vec![Priority::Caution, Priority::Warning, Priority::Alarm, Priority::EmergencyAlarm];
        walk.key("least", Given(&mut delivery.least), word(priorities, |priority| priority.name().to_owned()),
            "The least priority that is sent.",
            "Higher sends fewer messages.");
        walk.key("quiet", Open(&mut delivery.quiet, "22:00-07:00"), hours(),
            "Hours by the ship's clock in which warnings and cautions wait.",
            "Alarms never wait. Without it nothing waits.");
        walk.key("after", Given(&mut delivery.after), time(0, DAY),
            "How long an alert must be unacknowledged before it is sent.",
            "Higher sends it later: `5 min` suits the phone of a second person.");
        walk.key("repeat", Given(&mut delivery.repeat), time(0, DAY),
            "How often an unacknowledged alert is sent again.",
            "Higher sends it less often; `0 s` sends it once.");
    }
    walk.key("every", Given(&mut channel.every), time(10, DAY),
        "How often the channel is tried while there is nothing to send. It is the interval of a ping.",
        "Higher notices a broken channel later. Lower uses more data.");
}

#[rustfmt::skip]
fn kind_keys(walk: &mut Walk<'_>, kind: &mut Kind) {
    let schemes = kind.schemes();
    match kind {
        Kind::Topic { to, topic: name, token_file, replies, dark_after } => {
            address_keys(walk, to, schemes);
            walk.key("topic", Need(name, "tern-8f2k51x7"), topic(), TOPIC, TOPIC_EFFECT);
            walk.key("token_file", Open(token_file, "/etc/windrode/skipper.token"), path(), TOKEN, TOKEN_EFFECT);
            let (now, token) = (replies.clone(), replies.as_ref().and_then(|r| r.token_file.clone()));
            walk.key("replies", Part(now.map(|r| r.topic), Box::new(|topic| replies.get_or_insert_default().topic = topic), "tern-8f2k51x7-reply"), topic(),
                "The topic on the push server where the buttons under an alert send their answers.",
                "Without it there are no buttons. Anyone who can read the topic can answer.");
            walk.key("reply_token_file", Part(token, Box::new(|file| replies.get_or_insert_default().token_file = Some(file)), "/etc/windrode/reply.token"), path(),
                "A file that holds a token for the buttons and nothing else, for a server that requires one for writing.",
                "Anyone who reads the topic sees this token: it should be able to write there and nothing else.");
            walk.key("dark_after", Open(dark_after, "30 min"), time(180, DAY),
                "Time without a sign of life, at anchor, after which the push server delivers a last message by itself.",
                "Higher allows longer gaps in the boat's internet. Lower tells you sooner that the watch is dark. Without it there is no such message.");
        }
        Kind::Webhook { to, token_file, key_file } => {
            address_keys(walk, to, schemes);
            walk.key("token_file", Open(token_file, "/etc/windrode/hook.token"), path(), TOKEN, TOKEN_EFFECT);
            walk.key("key_file", Open(key_file, "/etc/windrode/hook.key"), path(),
                "A file that holds the key that signs what is posted and nothing else.",
                "The header `X-Windrode-Signature` then holds `sha256=` and the HMAC-SHA256 of the body in 64 hexadecimal digits. Without it nothing is signed.");
        }
        Kind::Mqtt { to, topic, login } => {
            address_keys(walk, to, schemes);
            walk.key("topic", Given(topic), topic_root(), TOPIC, TOPIC_EFFECT);
            login_keys(walk, login);
        }
        Kind::Mail { to, login, sender, receiver } => {
            address_keys(walk, to, schemes);
            login_keys(walk, login);
            walk.key("from", Need(sender, "tern@boat.example"), mail(), "The mail address of the sender.", "Answers to the mail go there; windrode does not read them.");
            walk.key("to", Need(receiver, "owner@home.example"), mail(), "The mail address of the receiver.", "One channel has one receiver.");
        }
        Kind::Program { program } => walk.key("program", Need(program, "/usr/local/bin/siren"), path(),
            "The program that is run with the message as JSON on its standard input.",
            "It is run without a shell and killed after 25 s. It has the rights of the service: a modem needs a `DeviceAllow=` of its own in the unit."),
        Kind::Ping { to } => address_keys(walk, to, schemes),
    }
}

#[rustfmt::skip]
fn address_keys(walk: &mut Walk<'_>, to: &mut Address, schemes: &'static [&'static str]) {
    let example = match schemes.first() {
        Some(&"mqtts") => "mqtts://broker.example:8883",
        Some(&"smtps") => "smtps://mail.example:465",
        _ => "https://push.example/",
    };
    let (url, file) = match to.clone() {
        Address::Url(url) => (Some(url), None),
        Address::File(file) => (None, Some(file).filter(|file| file.is_absolute())),
    };
    walk.key("url", Part(url, Box::new(|url| *to = Address::Url(url)), example), push_url(schemes),
        "The address of the push server, the webhook, the broker, the mail server or the watch ashore.",
        "Without the last letter of `https`, `mqtts` or `smtps` the connection is not encrypted; mail is then encrypted by STARTTLS unless the server is on this computer.");
    walk.key("url_file", Part(file, Box::new(|file: PathBuf| *to = Address::File(file)), "/etc/windrode/hook.url"), path(),
        "A file that holds the address and nothing else, for an address that is itself a secret.",
        "Give this or `url`, not both.");
}

#[rustfmt::skip]
fn login_keys(walk: &mut Walk<'_>, login: &mut Option<Login>) {
    let (user, file) = login.clone().map(|login| (login.user, login.password_file)).unzip();
    walk.key("user", Part(user, Box::new(|user| login.get_or_insert_default().user = user), "tern"), line(),
        "The user's name on the server.",
        "Without it windrode does not log in.");
    walk.key("password_file", Part(file, Box::new(|file| login.get_or_insert_default().password_file = file), "/etc/windrode/push.password"), path(),
        "A file that holds the user's password and nothing else, mode 0640 or tighter.",
        "It is needed with `user`.");
}

/// The channel's keys by kind, for the documents.
const fn kind_about(kind: &Kind) -> &'static str {
    match kind {
        Kind::Topic { .. } => "A push server with topics over HTTP.",
        Kind::Webhook { .. } => "JSON that is posted to an address; with a key it is signed.",
        Kind::Mqtt { .. } => {
            "An MQTT broker, for watching a boat or a fleet from ashore; windrode(1) has its topics."
        }
        Kind::Mail { .. } => "Mail by SMTP.",
        Kind::Program { .. } => "A program on this computer: a siren, a modem.",
        Kind::Ping { .. } => {
            "An address ashore that is called while the watch runs, and that raises the alarm when the calls stop."
        }
    }
}

const TOPIC: &str = "The topic on a push server, or the root of the topics on a broker.";
const TOPIC_EFFECT: &str = "Where anybody may read a push server, a long name is all that keeps strangers out; then this file needs mode 0640.";
const TOKEN: &str = "A file that holds a bearer token and nothing else, mode 0640 or tighter.";
const TOKEN_EFFECT: &str = "Without it no token is sent.";
const DAY: u64 = 24 * 3600;
