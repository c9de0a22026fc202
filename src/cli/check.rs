//! `windrode check`: does it work? The verdict comes first, then what does not work and what that costs the
//! watch, then what does work. `--verbose` adds the figures and the configuration.
//!
//! A sensor counts as missing only when it has sent nothing, or nothing usable. An engine that is off, a
//! sea without other vessels and a receiver that does not report its fix method are not faults: they are
//! listed as not heard, and cost nothing until they are needed.

mod ear;
mod findings;

use std::cell::RefCell;
use std::iter;
use std::sync::Arc;
use std::time::Duration;

use clap::Args;
use serde_json::json;

use super::out::{self, Failure, code};
use super::{ConfigFile, InLanguage, ask, load_in, runtime};
use crate::config::{Config, ServerAddress};
use crate::daemon::joining::{self, JoinError, Joined, Plan};
use crate::daemon::{StatusReport, server_tls};
use crate::io::clock::Clock;
use crate::io::http::Http;
use crate::io::mdns;
use crate::io::secrets::Secret;
use crate::io::socket::{ConnectError, Received};
use crate::io::tls::trust::Keeper;
use crate::outbox::words::HealthState;
use crate::signalk::access::{Rights, expiry_told, rights_from_login_status};
use crate::signalk::discovery::{Kept, sorted};
use crate::signalk::session::NOT_ANSWERING;
use crate::speech::alerts::Health;
use crate::speech::checks::Check;
use crate::speech::faults::LinkFault;
use crate::speech::{Language, Sentence, Wording};
use ear::Ear;
use findings::{Found, Phone};

#[derive(Debug, Args)]
pub(super) struct CheckOptions {
    /// Only show the configuration in force; do not contact the server.
    #[arg(long)]
    offline: bool,
    /// Send a test message through this channel to a phone, and do nothing else.
    #[arg(long, value_name = "CHANNEL", conflicts_with = "offline")]
    push: Option<String>,
    /// Show the configuration in force too, and where each value comes from.
    #[arg(long)]
    verbose: bool,
    /// How many seconds to listen to the sensors.
    #[arg(long, value_name = "SECONDS", default_value_t = 10, value_parser = clap::value_parser!(u64).range(1..=600))]
    listen: u64,
    /// As JSON.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    language: InLanguage,
}

impl Default for CheckOptions {
    fn default() -> Self {
        Self {
            offline: false,
            push: None,
            verbose: false,
            listen: 10,
            json: false,
            language: InLanguage { language: None },
        }
    }
}

/// Prints the findings; fails when the watch could not work.
pub(super) fn check(file: &ConfigFile, options: &CheckOptions) -> Result<(), Failure> {
    let config = load_in(file, options.language.language)?;
    let say = config.wording();
    if let Some(channel) = &options.push {
        return super::push::test(&config, channel, options.json);
    }
    if options.offline {
        if options.json {
            return out::line(&json!({ "configuration": config.describe() }).to_string());
        }
        return details(&config);
    }
    let listen = Duration::from_secs(options.listen);
    let found = runtime()?.block_on(look(&config, listen, options.verbose))?;
    if options.json {
        let text = serde_json::to_string_pretty(&found)
            .map_err(|error| Failure::new(code::SOFTWARE, error))?;
        out::line(&text)?;
    } else {
        for line in found.lines(listen, options.verbose, &say) {
            out::line(&line)?;
        }
        if options.verbose {
            out::line("")?;
            details(&config)?;
        }
    }
    if found.suffices() {
        Ok(())
    } else {
        Err(Failure::new(code::NOT_DONE, Check::CannotWork.words(&say)))
    }
}

/// The configuration as understood.
fn details(config: &Config) -> Result<(), Failure> {
    out::line(config.describe().trim_end())?;
    for warning in config.warnings() {
        out::line(&format!("warning: {warning}"))?;
    }
    Ok(())
}

async fn look(config: &Config, listen: Duration, verbose: bool) -> Result<Found, Failure> {
    // The daemon's own user can read the granted token; the user who runs this may not.
    let (token, unread) = match joining::token(config) {
        Ok(token) => (token, None),
        Err(error) if joining::token_is_granted(config) => (None, Some(error.to_string())),
        Err(error) => return Err(Failure::new(code::NO_PERMISSION, error)),
    };
    let say = config.wording();
    let on_network = RefCell::new(Vec::new());
    let is_first = joining::kept(config, token.is_some()) == Ok(Kept::Nothing);
    let joined = join(config, token.clone(), &on_network, verbose, &say).await?;
    let may_be_others = joined.offer.as_ref().filter(|_| is_first).map(|offer| {
        let (name, url) = (offer.called().to_owned(), offer.url());
        Health::FoundServer { name, url }
    });
    let token = token.filter(|_| joined.withheld.is_none());
    let address = joined.address;
    let http = Http::new(&address.http(""), token.clone(), &joined.tls)
        .map_err(|error| Failure::new(code::SOFTWARE, error))?;
    let unavailable = |why: &dyn std::fmt::Display| unavailable(&address, why, &say);
    let rights = match http.get("/skServer/loginStatus").await {
        Ok(answer) => rights_from_login_status(answer.status, &answer.body),
        Err(why) => return Err(unavailable(&why)),
    };
    let mut socket = joined.socket;
    let clock = Clock::system();
    let mut ear = Ear::new(config);
    let deadline = tokio::time::sleep(listen);
    tokio::pin!(deadline);
    loop {
        tokio::select! {
            () = &mut deadline => break,
            received = socket.next() => match received {
                Received::Text(text) => {
                    for answer in ear.hear(&text, clock.now()) {
                        let sent = socket.send(answer).await;
                        sent.map_err(|why| unavailable(&why))?;
                    }
                }
                Received::Pong => {}
                Received::Ended => return Err(no_server(&address, LinkFault::ServerClosed.into(), &say)),
                Received::Broken(why) => return Err(unavailable(&why)),
            },
        }
    }
    socket.close().await;
    let report = daemon(config).await;
    Ok(Found {
        server: ear.greeting(),
        address: address.to_string(),
        on_network: on_network.take(),
        may_be_others,
        rights: rights.told(),
        rights_suffice: rights.writing() == Some(true),
        sensors: ear.sensors(),
        figures: ear.figures(&config.watch),
        position_sources: ear.position_sources(),
        token_unread: unread,
        token_ends: token.and_then(|it| expiry_told(it.reveal(), clock.now().utc)),
        phones: phones(config, report.as_ref()),
        daemon: report.is_some(),
    })
}

/// Joins the server as the daemon would, and notes what was found on the network.
async fn join(
    config: &Config,
    token: Option<Secret>,
    on_network: &RefCell<Vec<String>>,
    verbose: bool,
    say: &Wording,
) -> Result<Joined, Failure> {
    let tls = server_tls(config, Keeper::Command);
    // The user who runs this may not be able to read the daemon's record.
    let kept = joining::kept(config, token.is_some()).unwrap_or(Kept::Unnamed);
    let wanted = match &kept {
        Kept::Server(paired) => Some(paired.self_id.clone()),
        Kept::Nothing | Kept::Unnamed => None,
    };
    let plan = Plan {
        token: token.clone(),
        token_is_granted: joining::token_is_granted(config),
        ..Plan::new(config, kept, Arc::clone(&tls), Keeper::Command)
    };
    let look = async || {
        let offers = mdns::look().await;
        let each = sorted(offers.clone(), wanted.as_ref());
        *on_network.borrow_mut() = each.iter().map(ToString::to_string).collect();
        offers
    };
    let (address, error) = match plan.join(look).await {
        Ok(joined) => return Ok(joined),
        Err(JoinError::Unreached { address, error }) => (address, error),
        Err(error) => {
            let told = not_joined(&error, &on_network.borrow(), verbose, say);
            return Err(Failure::new(code::UNAVAILABLE, told));
        }
    };
    match error {
        ConnectError::Unauthorized => {
            let now = Clock::system().now().utc;
            let expired = token.and_then(|it| expiry_told(it.reveal(), now));
            let refused = || Rights::Refused("status 401".to_owned()).told();
            let why = expired.map_or_else(refused, Sentence::from);
            Err(Failure::new(code::NO_PERMISSION, why.words(say)))
        }
        // Its HTTP side may say more, such as that it sends us elsewhere.
        ConnectError::Http(_) => {
            let http = Http::new(&address.http(""), None, &tls)
                .map_err(|error| Failure::new(code::SOFTWARE, error))?;
            let answer = http.get("/skServer/loginStatus").await;
            let why = answer.err().unwrap_or_else(|| error.to_string());
            Err(unavailable(&address, &why, say))
        }
        error => Err(unavailable(&address, &error, say)),
    }
}

/// Why no server was chosen, in the crew's language, and below it the servers that were found. The technical text has
/// more, with the found servers, and is in English: it takes the place of both for a crew that reads English, and
/// `--verbose` adds it in the other languages.
fn not_joined(error: &JoinError, on_network: &[String], verbose: bool, say: &Wording) -> String {
    let technical = error.to_string();
    let Ok(fault) = error.fault() else {
        return technical;
    };
    if say.language == Language::English {
        return technical;
    }
    let found = on_network.iter().cloned();
    let found = found.map(|offer| Check::OnNetwork { offer }.words(say));
    let lines = iter::once(fault.words(say)).chain(found);
    let lines = lines.chain(verbose.then_some(technical));
    lines.collect::<Vec<_>>().join("\n  ")
}

fn unavailable(address: &ServerAddress, why: &dyn std::fmt::Display, say: &Wording) -> Failure {
    let why = why.to_string();
    // The system's message, and our own of the stream.
    let why = if why.contains("Connection refused") || why == NOT_ANSWERING {
        LinkFault::NotAnswering.into()
    } else {
        Sentence::verbatim(why)
    };
    no_server(address, why, say)
}

fn no_server(address: &ServerAddress, why: Sentence, say: &Wording) -> Failure {
    let url = address.to_string();
    Failure::new(code::UNAVAILABLE, Check::NoServer { url, why }.words(say))
}

/// The running daemon's report, if one runs and we may ask it.
async fn daemon(config: &Config) -> Option<StatusReport> {
    let say = Wording::default();
    let answer = ask::ask_daemon(
        &config.control.socket,
        "status",
        serde_json::Value::Null,
        &say,
    );
    let answer = answer.await.ok()?;
    crate::io::control::parsed(&answer.data?).ok()
}

/// The configured channels, with the state of each if a daemon reports it.
fn phones(config: &Config, report: Option<&StatusReport>) -> Vec<Phone> {
    let of = |channel: &String| {
        let health = report?.phones.iter().find(|h| h.channel == *channel)?;
        match health.state {
            HealthState::Untried => None,
            HealthState::Working => Some((true, None)),
            HealthState::Failing | HealthState::Refused => Some((false, health.trouble.clone())),
        }
    };
    config
        .push
        .keys()
        .map(|channel| {
            let known = of(channel);
            Phone {
                channel: channel.clone(),
                works: known.as_ref().map(|(works, _)| *works),
                trouble: known.and_then(|(_, trouble)| trouble),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::signalk::discovery::choose;

    #[test]
    fn why_no_server_is_joined_is_in_the_crew_s_language_with_the_servers_found() {
        let address = ServerAddress::parse("ws://192.168.1.20:3000").unwrap();
        let nobody = JoinError::Refused {
            refusal: choose(Vec::new(), &Kept::Nothing).unwrap_err(),
            aside: "",
        };
        let found = ["`Tern` at ws://192.168.1.20:3000".to_owned()];
        for language in Language::ALL {
            let say = Wording::in_language(language);
            let told = |error: &JoinError, found: &[String], verbose| {
                let told = not_joined(error, found, verbose, &say);
                told.lines().map(ToOwned::to_owned).collect::<Vec<_>>()
            };
            let reticent = JoinError::Reticent {
                address: address.clone(),
            };
            let (short, long) = (
                told(&reticent, &found, false),
                told(&reticent, &found, true),
            );
            if language == Language::English {
                assert_eq!(short, [reticent.to_string()]);
                assert_eq!(
                    (&long, told(&nobody, &[], false)),
                    (&short, vec![nobody.to_string()])
                );
                continue;
            }
            let url = address.to_string();
            let fault = LinkFault::ServerReticent { url };
            let offer = found[0].clone();
            let listed = Check::OnNetwork { offer };
            let wanted = [fault.words(&say), format!("  {}", listed.words(&say))];
            assert_eq!(short, wanted);
            assert_eq!(long[..2], wanted);
            assert_eq!(long[2..], [format!("  {reticent}")]);
            let fault = LinkFault::ServerNotFound.words(&say);
            assert_eq!(told(&nobody, &[], false), [fault]);
        }
    }
}
