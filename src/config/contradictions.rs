//! Values that contradict each other, although each one alone is possible.

use std::collections::BTreeMap;

use super::error::{ConfigError, Place};
use super::keys::keys;
use super::quote::cut;
use super::settings::Config;
use crate::units::Metres;

/// Refuses values that are possible alone but contradict each other, and keys that a channel lacks. `missing`
/// is the first key without a value; `place_of` gives the place of a channel.
pub(super) fn refuse_contradictions(
    config: &Config,
    missing: Option<&(String, &str)>,
    place_of: impl Fn(&str) -> Place,
) -> Result<(), ConfigError> {
    let origins = &config.understood.origins;
    for (name, channel) in &config.push {
        let section = format!("push.{name}");
        let origin = |key: &str| origins.get(&format!("{section}.{key}"));
        let has = |key: &str| origin(key).is_some();
        let kind = channel.kind.name();
        let refuse = |key: Option<&str>, reason: String| {
            Err(ConfigError::Channel {
                name: key.map_or_else(|| section.clone(), |key| format!("{section}.{key}")),
                place: key
                    .and_then(origin)
                    .cloned()
                    .unwrap_or_else(|| place_of(name)),
                reason,
            })
        };
        let addressed = channel.kind.schemes().is_empty() || has("url") || has("url_file");
        let lacking = missing
            .filter(|(of, _)| *of == section)
            .map(|(_, key)| *key);
        if let Some(need) = (!addressed).then_some("url").or(lacking) {
            return refuse(None, format!("a channel of kind `{kind}` needs `{need}`"));
        }
        if has("url") && has("url_file") {
            let reason = "the address is given twice, see `url`; take one of them out";
            return refuse(Some("url_file"), reason.to_owned());
        }
        if has("user") != has("password_file") {
            let reason = "`user` and `password_file` go together; give both or none";
            return refuse(None, reason.to_owned());
        }
        if has("reply_token_file") && !has("replies") {
            let reason = "without `replies` there are no buttons to give it to";
            return refuse(Some("reply_token_file"), reason.to_owned());
        }
    }
    let (server, watch, tackle) = (&config.server, &config.watch, &config.tackle);
    let boat = &watch.boat;
    let more = |part: Option<Metres>, whole: Option<Metres>| {
        part.zip(whole).is_some_and(|(part, whole)| part > whole)
    };
    let contradictions = [
        (
            server.token.is_some() && server.token_file.is_some(),
            ["server.token", "server.token_file"],
            "the token is given twice; take one of them out",
        ),
        (
            watch.max_age > watch.lost_after,
            ["fix.max_age", "fix.lost_after"],
            "a fix would be lost before it is too old; make the first the shorter",
        ),
        (
            watch.failover_after > watch.lost_after,
            ["fix.failover_after", "fix.lost_after"],
            "the position would be lost before another source is taken; make the first the shorter",
        ),
        (
            more(boat.antenna_from_bow, boat.length),
            ["boat.antenna_from_bow", "boat.length"],
            "the antenna would be astern of the boat; measure from the stem aft",
        ),
        (
            more(boat.beam, boat.length),
            ["boat.beam", "boat.length"],
            "the boat would be wider than long",
        ),
        (
            more(tackle.chain_length, boat.rode_aboard),
            ["tackle.chain_length", "tackle.rode_aboard"],
            "there would be more chain than rode; the rode is chain and rope together",
        ),
        (
            tackle.chain.is_some() && tackle.rope.is_some() && tackle.chain_length.is_none(),
            ["tackle.chain", "tackle.rope"],
            "where the chain ends is not known; give `tackle.chain_length`",
        ),
    ];
    let Some((_, [first, second], reason)) = contradictions.into_iter().find(|(is, ..)| *is) else {
        return Ok(());
    };
    let mut values = BTreeMap::new();
    keys(&mut config.clone(), |key| {
        values.insert(key.full(), key.slot.written().unwrap_or_default());
    });
    let value_of = |name: &str| cut(values.get(name).map_or("", String::as_str));
    Err(ConfigError::Conflict {
        first,
        first_value: value_of(first),
        second,
        second_value: value_of(second),
        reason,
    })
}
