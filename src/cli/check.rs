//! `windrode check`: what the configuration says, whether the server is there and lets us write,
//! and which sensors speak; what is missing is named with what it costs the watch.

use std::collections::BTreeSet;
use std::time::Duration;

use serde::Serialize;
use serde_json::json;

use super::out::{self, Failure, code};
use super::status::wrapped_to;
use super::{CheckOptions, ConfigFile, load, runtime};
use crate::boat::Boat;
use crate::config::Config;
use crate::io::http::Http;
use crate::io::secrets;
use crate::io::socket::{self, Received};
use crate::io::tls;
use crate::observation::{Fact, Label, Subject};
use crate::signalk::access::{Rights, rights_from_login_status};
use crate::signalk::paths;
use crate::signalk::reader::Reader;
use crate::signalk::wire::{self, Incoming};

/// Prints what was understood and found; fails when the watch could not do its work.
pub(super) fn check(file: &ConfigFile, options: &CheckOptions) -> Result<(), Failure> {
    let config = load(file)?;
    if let Some(channel) = &options.push {
        return super::push::test(&config, channel, options.json);
    }
    if !options.json {
        out::line(config.describe().trim_end())?;
        for warning in config.warnings() {
            out::line(&format!("warning: {warning}"))?;
        }
    }
    if options.offline {
        if options.json {
            out::line(&json!({ "configuration": config.describe() }).to_string())?;
        }
        return Ok(());
    }
    let found = runtime()?.block_on(look(&config, Duration::from_secs(options.listen)))?;
    if options.json {
        let text = serde_json::to_string_pretty(&found)
            .map_err(|error| Failure::new(code::SOFTWARE, error))?;
        out::line(&text)?;
    } else {
        out::line("")?;
        for line in lines(&found, options.listen) {
            out::line(&line)?;
        }
    }
    if found.rights_suffice && found.sensors.iter().all(|s| s.heard || !s.vital) {
        Ok(())
    } else {
        Err(Failure::new(
            code::NOT_DONE,
            "the watch could not do its work like this; see above",
        ))
    }
}

/// What was found.
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Found {
    server: String,
    rights: String,
    rights_suffice: bool,
    sensors: Vec<SensorFound>,
    figures: Vec<SensorFound>,
    position_sources: Vec<String>,
    /// Why the token that the daemon was granted could not be shown to the server.
    #[serde(skip_serializing_if = "Option::is_none")]
    token_unread: Option<String>,
}

#[derive(Debug, Serialize)]
struct SensorFound {
    name: &'static str,
    heard: bool,
    /// Without it there is no watch at all.
    vital: bool,
    /// What its absence costs.
    cost: &'static str,
}

async fn look(config: &Config, listen: Duration) -> Result<Found, Failure> {
    // The daemon's own user can read what it was granted; who runs this may not.
    let mut unread = None;
    let token = match (&config.server.token, &config.server.token_file) {
        (Some(token), _) => Some(token.clone()),
        (None, Some(file)) => Some(
            secrets::read_token(file)
                .map_err(|error| Failure::new(code::NO_PERMISSION, error))?
                .token,
        ),
        (None, None) => match secrets::stored_token(&config.journal.directory) {
            Ok(stored) => stored.map(|stored| stored.token),
            Err(error) => {
                unread = Some(error.to_string());
                None
            }
        },
    };
    let tls = tls::client_config();
    let http = Http::new(&config.server.url.http(""), token.clone(), &tls)
        .map_err(|error| Failure::new(code::SOFTWARE, error))?;
    let unavailable = |why: &dyn std::fmt::Display| {
        Failure::new(
            code::UNAVAILABLE,
            format!(
                "`server.url` = `{}`: {why}; is the data server running?",
                config.server.url
            ),
        )
    };
    let rights = match http.get("/skServer/loginStatus").await {
        Ok(answer) => rights_from_login_status(answer.status, &answer.body),
        Err(why) => return Err(unavailable(&why)),
    };
    let url = config.server.url.stream();
    let mut socket = match socket::connect(&url, token.as_ref(), tls).await {
        Ok(socket) => socket,
        Err(socket::ConnectError::Unauthorized) => {
            return Err(Failure::new(
                code::NO_PERMISSION,
                Rights::Refused("status 401".to_owned()),
            ));
        }
        Err(error) => return Err(unavailable(&error)),
    };
    let mut ear = Ear::new(config);
    let deadline = tokio::time::sleep(listen);
    tokio::pin!(deadline);
    loop {
        tokio::select! {
            () = &mut deadline => break,
            received = socket.next() => match received {
                Received::Text(text) => {
                    for answer in ear.hear(&text) {
                        let sent = socket.send(answer).await;
                        sent.map_err(|why| unavailable(&why))?;
                    }
                }
                Received::Pong => {}
                Received::Ended => return Err(unavailable(&"the server closed the connection")),
                Received::Broken(why) => return Err(unavailable(&why)),
            },
        }
    }
    socket.close().await;
    Ok(Found {
        server: ear
            .server
            .clone()
            .unwrap_or_else(|| "no greeting".to_owned()),
        rights: rights.to_string(),
        rights_suffice: rights.writing() == Some(true),
        sensors: ear.sensors(),
        figures: ear.figures(),
        position_sources: ear.positions.iter().map(ToString::to_string).collect(),
        token_unread: unread,
    })
}

/// Listens as the daemon would, and remembers what spoke.
struct Ear {
    reader: Reader,
    server: Option<String>,
    heard: BTreeSet<&'static str>,
    boat: Boat,
    positions: BTreeSet<Label>,
}

impl Ear {
    fn new(config: &Config) -> Self {
        Self {
            reader: Reader::new(Some(config.source_label())).with_paths(config.own_paths()),
            server: None,
            heard: BTreeSet::new(),
            boat: Boat::new(config.watch.boat),
            positions: BTreeSet::new(),
        }
    }

    /// Takes a frame; gives what is to be sent in answer.
    fn hear(&mut self, text: &str) -> Vec<String> {
        match wire::parse(text, |path| self.reader.wants(path)) {
            Ok(Incoming::Hello(hello)) => {
                self.reader.set_self(&hello.self_context);
                self.server = Some(format!(
                    "{} {}, own vessel `{}`",
                    hello.name, hello.version, hello.self_context
                ));
                return paths::subscriptions(self.reader.own_paths());
            }
            Ok(Incoming::Delta(delta)) => {
                let mut reports = Vec::new();
                self.reader.read(&delta, &mut reports);
                for report in reports.iter().filter(|r| r.subject == Subject::Own) {
                    for fact in &report.facts {
                        self.boat.take(fact);
                        if let Fact::Position(Some(_)) = fact {
                            self.positions.insert(report.source.clone());
                        }
                        if let Some(name) = sensor_of(fact) {
                            self.heard.insert(name);
                        }
                    }
                }
            }
            Ok(_) | Err(_) => {}
        }
        Vec::new()
    }

    fn sensors(&self) -> Vec<SensorFound> {
        SENSORS
            .iter()
            .map(|(name, vital, cost)| SensorFound {
                name,
                heard: self.heard.contains(name),
                vital: *vital,
                cost,
            })
            .collect()
    }
}

impl Ear {
    /// The boat's figures, from the configuration or the server.
    fn figures(&self) -> Vec<SensorFound> {
        let figures = self.boat.figures();
        let found = |name, known: bool, cost| SensorFound {
            name,
            heard: known,
            vital: false,
            cost,
        };
        vec![
            found(
                "length",
                figures.length.is_some(),
                "11 m are assumed; set `boat.length`",
            ),
            found(
                "antenna from bow",
                figures.antenna_from_bow.is_some(),
                "half the boat is doubt; set `boat.antenna_from_bow`",
            ),
            found(
                "roller height",
                figures.roller_height.is_some(),
                "1 m is assumed; set `boat.roller_height`",
            ),
            found(
                "transducer or draught",
                figures.transducer_depth.is_some() || figures.draught.is_some(),
                "soundings may not become depth of water; set `boat.transducer_depth`",
            ),
            found(
                "rode aboard",
                figures.rode_aboard.is_some(),
                "60 m are assumed; set `tackle.rode_aboard`",
            ),
        ]
    }
}

fn sensor_of(fact: &Fact) -> Option<&'static str> {
    Some(match fact {
        Fact::Position(Some(_)) => POSITION,
        Fact::HeadingTrue(Some(_)) | Fact::HeadingMagnetic(Some(_)) => HEADING,
        Fact::WindSpeedApparent(Some(_))
        | Fact::WindSpeedTrue(Some(_))
        | Fact::WindSpeedOverGround(Some(_)) => WIND,
        Fact::DepthBelowKeel(Some(_))
        | Fact::DepthBelowSurface(Some(_))
        | Fact::DepthBelowTransducer(Some(_)) => DEPTH,
        Fact::SpeedOverGround(Some(_)) => SPEED,
        Fact::FixMethod(Some(_)) => METHOD,
        _ => return None,
    })
}

fn lines(found: &Found, listened: u64) -> Vec<String> {
    let mut lines = vec![
        format!("server    {}", found.server),
        format!("rights    {}", found.rights),
    ];
    if let Some(why) = &found.token_unread {
        lines.extend(wrapped_to(
            "          ",
            "          ",
            &format!(
                "asked without the token the daemon was granted: {why}; try as the user `windrode`"
            ),
        ));
    }
    if !found.rights_suffice {
        lines.push(
            "          without the right to write, no display aboard shows an alarm".to_owned(),
        );
    }
    lines.push(format!("sensors   heard within {listened} s"));
    for sensor in &found.sensors {
        lines.push(found_line(sensor, "heard"));
    }
    lines.push("figures   of the boat, configured or from the server".to_owned());
    for figure in &found.figures {
        lines.push(found_line(figure, "known"));
    }
    if found.position_sources.len() > 1 {
        lines.push(format!(
            "  several receivers give a position: {}; name the better one as `fix.source`",
            found.position_sources.join(", ")
        ));
    }
    lines
}

fn found_line(found: &SensorFound, good: &str) -> String {
    if found.heard {
        format!("  {:<23}{good}", found.name)
    } else {
        format!("  {:<23}MISSING: {}", found.name, found.cost)
    }
}

const POSITION: &str = "position";
const HEADING: &str = "heading";
const WIND: &str = "wind";
const DEPTH: &str = "depth";
const SPEED: &str = "speed over ground";
const METHOD: &str = "method of the fix";

/// Name, whether there is no watch without it, and what its absence costs.
const SENSORS: [(&str, bool, &str); 6] = [
    (POSITION, true, "there is no anchor watch without it"),
    (
        HEADING,
        false,
        "the bow is not known, a drag is found later by the antenna's distance from it",
    ),
    (WIND, false, "no wind shift is told, no head-to-wind course"),
    (
        DEPTH,
        false,
        "the reach is taken as the whole rode, no scope is shown",
    ),
    (SPEED, false, "frozen coordinates are found later"),
    (
        METHOD,
        false,
        "a fix by dead reckoning cannot be told from a real one",
    ),
];
