//! `windrode check --push CHANNEL`: one message through one channel, marked as a test.

use serde_json::json;
use tokio::sync::mpsc;

use super::out::{self, Failure, code};
use super::runtime;
use crate::config::Config;
use crate::io::clock::Clock;
use crate::io::push::settings::Kind;
use crate::io::push::{Channels, Who};
use crate::io::tls;
use crate::outbox::test_message;
use crate::outbox::words::{Parcel, Verdict};
use crate::speech::checks::Check;

/// Sends the message and reports the result.
pub(super) fn test(config: &Config, channel: &str, as_json: bool) -> Result<(), Failure> {
    let Some(configured) = config.push.get(channel) else {
        return Err(Failure::new(code::CONFIG, unknown(config, channel)));
    };
    let say = config.wording();
    let parcel = if matches!(configured.kind, Kind::Ping { .. }) {
        // This channel takes no message: its address is called once.
        Parcel::Probe
    } else {
        let now = Clock::system().now().utc;
        Parcel::Show(test_message((&config.name, &say), channel, now))
    };
    let only = [(channel.to_owned(), configured.clone())].into();
    let verdict = runtime()?.block_on(async {
        let (heard, _listener) = mpsc::channel(64);
        let who = Who {
            boat: &config.name,
            // This runs beside a running daemon, not in its place.
            instance: "check",
        };
        let channels = Channels::open(who, &only, &tls::client_config(), heard);
        channels.try_one(channel, parcel).await
    });
    let (word, why) = match &verdict {
        Some(Verdict::Sent) => ("sent", None),
        Some(Verdict::Later { why, .. }) => ("later", Some(why)),
        Some(Verdict::Refused(why)) => ("refused", Some(why)),
        None => ("refused", None),
    };
    if as_json {
        let told = json!({ "channel": channel, "verdict": word, "why": why });
        out::line(&told.to_string())?;
    }
    let (channel, why) = (channel.to_owned(), why.cloned());
    let told = match word {
        "sent" if as_json => return Ok(()),
        "sent" => return out::line(&Check::Sent { channel }.words(&say)),
        "later" => Check::NotNow { channel, why },
        _ => Check::Refuses { channel, why },
    };
    Err(Failure::new(code::NOT_DONE, told.words(&say)))
}

fn unknown(config: &Config, channel: &str) -> String {
    let names: Vec<String> = config.push.keys().map(|name| format!("`{name}`")).collect();
    if names.is_empty() {
        return format!(
            "`{channel}` is no channel: none is configured; see `[push.NAME]` in windrode.toml(5)"
        );
    }
    format!("`{channel}` is no channel; there are {}", names.join(", "))
}
