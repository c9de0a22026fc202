//! The crew's orders and `status`, put to the running daemon over its socket.

use std::path::PathBuf;

use serde_json::{Value, json};

use super::out::{self, Failure, code};
use super::{Order, Windrode, load, runtime, status};
use crate::daemon::StatusReport;
use crate::io::control::{self, ControlError, Request, Response};
use crate::watch::anchorage::kind::MooringKind;

/// Puts the order and prints the answer.
pub(super) fn ask(parsed: &Windrode, order: &Order) -> Result<(), Failure> {
    let (command, value) = request(order)?;
    let response = answer(parsed, command, value)?;
    match (order, response.data) {
        (
            Order::Status {
                picture: Some(file),
                ..
            },
            Some(data),
        ) => {
            file.write(&understood(data)?)?;
            out::line(&format!("the picture is in `{file}`"))
        }
        (Order::Status { json: true, .. }, Some(data)) => out::line(&pretty(&data)),
        (Order::Status { json: false, .. }, Some(data)) => {
            let report: StatusReport = understood(data)?;
            for line in status::screen(&report, out::colour()) {
                out::line(&line)?;
            }
            Ok(())
        }
        _ => out::line(&spoken_here(
            &response.message.unwrap_or_else(|| "done".to_owned()),
        )),
    }
}

/// Asks the daemon for data.
pub(super) fn put(parsed: &Windrode, command: &str, value: Value) -> Result<Value, Failure> {
    Ok(answer(parsed, command, value)?.data.unwrap_or_default())
}

/// Asks the daemon, and has its answer unless that is a refusal.
fn answer(parsed: &Windrode, command: &str, value: Value) -> Result<Response, Failure> {
    let socket = socket(parsed)?;
    let request = Request {
        command: command.to_owned(),
        value,
    };
    let response = runtime()?
        .block_on(control::ask(&socket, &request))
        .map_err(|error| Failure::new(exit_code(&error), error))?;
    if response.status_code >= 300 {
        let why = response
            .message
            .unwrap_or_else(|| "no reason given".to_owned());
        // With `mark` the position is no option.
        let why = if command == "position" {
            why.replace("`position` lies", "the position lies")
        } else {
            why
        };
        let why = spoken_here(&why);
        return Err(Failure::new(code::NOT_DONE, format!("refused: {why}")));
    }
    Ok(response)
}

/// The daemon's socket.
pub(super) fn socket(parsed: &Windrode) -> Result<PathBuf, Failure> {
    match &parsed.socket {
        Some(socket) => Ok(socket.clone()),
        None => Ok(load(&parsed.config)?.control.socket),
    }
}

/// The daemon's answers name orders and members as they are in JSON; here they are commands and options.
pub(super) fn spoken_here(answer: &str) -> String {
    let said = NAMES.iter().fold(answer.to_owned(), |text, (name, here)| {
        text.replace(&format!("`{name}`"), &format!("`{here}`"))
    });
    // `kind` = `mooring` is one word here.
    said.replace("` = `", " ").replace("` = ", "` ")
}

/// As in JSON, and as on the command line.
const NAMES: [(&str, &str); 14] = [
    ("rode", "--rode"),
    ("position", "--position"),
    ("depth", "--depth"),
    ("kind", "--kind"),
    ("radius", "--radius"),
    ("fromTrack", "--from-track"),
    ("reanchored", "--reanchored"),
    ("pullTest` = `true", "windrode pull-test"),
    ("letGo", "windrode let-go"),
    ("rodeOut", "windrode veer"),
    ("weigh", "windrode weigh"),
    ("pullTest", "windrode pull-test"),
    ("maxRadius", "windrode circle"),
    ("berth", "windrode berth"),
];

fn request(order: &Order) -> Result<(&'static str, Value), Failure> {
    Ok(match order {
        Order::LetGo(options) => {
            let mut value = serde_json::Map::new();
            if let Some(rode) = options.rode {
                value.insert("rode".to_owned(), json!(rode));
            }
            if let Some(position) = options.position {
                value.insert("position".to_owned(), json!(position));
            }
            if let Some(depth) = options.depth {
                value.insert("depth".to_owned(), json!(depth));
            }
            if options.kind != MooringKind::default() {
                value.insert("kind".to_owned(), json!(options.kind));
            }
            if let Some(radius) = options.radius {
                value.insert("radius".to_owned(), json!(radius));
            }
            if options.from_track {
                value.insert("fromTrack".to_owned(), json!(true));
            }
            if options.reanchored {
                value.insert("reanchored".to_owned(), json!(true));
            }
            let plain = value.is_empty();
            (
                "letGo",
                if plain {
                    json!(true)
                } else {
                    Value::Object(value)
                },
            )
        }
        Order::Veer { rode } => ("rodeOut", json!(rode)),
        Order::PullTest { end } => ("pullTest", json!(!end)),
        Order::Weigh => ("weigh", json!(true)),
        Order::Mark { position } => ("position", json!(position)),
        Order::Circle { radius, .. } => ("maxRadius", json!(radius)),
        Order::Acknowledge { hazard } => ("acknowledge", one_or_all(*hazard)),
        Order::Silence { hazard } => ("silence", one_or_all(*hazard)),
        Order::Berth { position, .. } => ("berth", json!(position)),
        Order::Status {
            picture: Some(_), ..
        } => ("picture", Value::Null),
        Order::Status { picture: None, .. } => ("status", Value::Null),
        Order::Run
        | Order::Check(_)
        | Order::Plan(_)
        | Order::Rehearse(_)
        | Order::Measure(_)
        | Order::Replay(_)
        | Order::Tide(_)
        | Order::Chart { .. } => {
            return Err(Failure::new(
                code::SOFTWARE,
                "this is no order for the daemon",
            ));
        }
    })
}

/// The daemon's answer as what it must be.
pub(super) fn understood<T: serde::de::DeserializeOwned>(data: Value) -> Result<T, Failure> {
    serde_json::from_value(data).map_err(|error| {
        let why =
            format!("the daemon's answer is not understood ({error}); is it of another version?");
        Failure::new(code::SOFTWARE, why)
    })
}

fn one_or_all(hazard: Option<crate::alert::hazard::Hazard>) -> Value {
    hazard.map_or(json!(true), |hazard| json!(hazard))
}

fn pretty(value: &Value) -> String {
    serde_json::to_string_pretty(value).unwrap_or_else(|_| value.to_string())
}

pub(super) fn exit_code(error: &ControlError) -> u8 {
    match error {
        ControlError::Forbidden { .. } => code::NO_PERMISSION,
        _ => code::UNAVAILABLE,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The texts are those of the watch's refusals (`watch/tests`).
    #[test]
    fn answers_name_options_and_commands_not_members_of_json() {
        for (said, here) in [
            (
                "`kind` = `mooring` has no rode to reckon a circle from: give `radius`, to the boat's centre",
                "`--kind mooring` has no rode to reckon a circle from: give `--radius`, to the boat's centre",
            ),
            (
                "`weigh` first, or give `reanchored` if she was anchored anew",
                "`windrode weigh` first, or give `--reanchored` if she was anchored anew",
            ),
            (
                "no pull test is going on; `pullTest` = `true` begins one",
                "no pull test is going on; `windrode pull-test` begins one",
            ),
            (
                "`rode` = 8.5 m does not reach the bottom",
                "`--rode` 8.5 m does not reach the bottom",
            ),
            (
                "not at anchor: `letGo` comes first",
                "not at anchor: `windrode let-go` comes first",
            ),
            ("the gps is `gps0.GP`", "the gps is `gps0.GP`"),
        ] {
            assert_eq!(spoken_here(said), here);
        }
    }
}
