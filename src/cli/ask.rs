//! The crew's orders and `status`, sent to the running daemon over its socket.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::out::{self, Failure, code};
use super::{BerthOptions, Order, Windrode, load, runtime, status};
use crate::daemon::StatusReport;
use crate::io::control::{self, ControlError, Request, Response};
use crate::speech::Wording;
use crate::speech::puts::Refused;
use crate::units::{Metres, Speed};
use crate::watch::anchorage::kind::MooringKind;

/// Sends the order and prints the answer.
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
            file.write(&understood(&data)?)?;
            out::line(&format!("the picture is in `{file}`"))
        }
        (Order::Status { json: true, .. }, Some(data)) => out::line(&pretty(&data)),
        (Order::Status { json: false, .. }, Some(data)) => {
            let report: StatusReport = understood(&data)?;
            for line in status::screen(&report, out::colour()) {
                out::line(&line)?;
            }
            Ok(())
        }
        (Order::Berth(BerthOptions { json: true, .. }), _) => {
            let told = berth_told(parsed, response.message.as_deref())?;
            out::line(&pretty(&told))
        }
        _ => out::line(&response.message.unwrap_or_else(|| "done".to_owned())),
    }
}

/// Asks the daemon for data.
pub(super) fn put(parsed: &Windrode, command: &str, value: Value) -> Result<Value, Failure> {
    Ok(answer(parsed, command, value)?.data.unwrap_or_default())
}

fn answer(parsed: &Windrode, command: &str, value: Value) -> Result<Response, Failure> {
    let socket = socket(parsed)?;
    runtime()?.block_on(ask_daemon(&socket, command, value, &wording(parsed)))
}

/// Asks the daemon and returns its answer, unless it refuses.
pub(super) async fn ask_daemon(
    socket: &Path,
    command: &str,
    value: Value,
    say: &Wording,
) -> Result<Response, Failure> {
    let request = Request {
        command: command.to_owned(),
        value,
    };
    let mut response = control::ask(socket, &request)
        .await
        .map_err(|error| Failure::new(exit_code(&error), error))?;
    let said = response.message.take();
    let said = said.map(|said| spoken_here(command, &said));
    if response.status_code >= 300 {
        let why = said.unwrap_or_else(|| Refused::NoReason.words(say));
        let refused = Refused::Because { why }.words(say);
        return Err(Failure::new(code::NOT_DONE, refused));
    }
    response.message = said;
    Ok(response)
}

/// How messages to the crew are written; in English if the configuration cannot be read.
pub(super) fn wording(parsed: &Windrode) -> Wording {
    load(&parsed.config).map_or_else(|_| Wording::default(), |config| config.wording())
}

/// The daemon's socket.
pub(super) fn socket(parsed: &Windrode) -> Result<PathBuf, Failure> {
    match &parsed.socket {
        Some(socket) => Ok(socket.clone()),
        None => Ok(load(&parsed.config)?.control.socket),
    }
}

/// The daemon's answers name orders and members as in JSON; on the command line these are commands,
/// options, and operands without a name.
fn spoken_here(command: &str, answer: &str) -> String {
    let operand = OPERANDS.iter().find(|(order, ..)| *order == command);
    let said = operand.map_or_else(
        || answer.to_owned(),
        |(_, name, here)| answer.replace(&format!("`{name}`"), &format!("`{here}`")),
    );
    let said = NAMES.iter().fold(said, |text, (name, here)| {
        text.replace(&format!("`{name}`"), &format!("`{here}`"))
    });
    // `kind` = `mooring` is a single word on the command line.
    said.replace("` = `", " ").replace("` = ", "` ")
}

/// The orders whose single value has no option on the command line: the value's name in the daemon's
/// answers and in the help, in every language.
const OPERANDS: [(&str, &str, &str); 3] = [
    ("rodeOut", "rode", "<RODE>"),
    ("position", "position", "<POSITION>"),
    ("berth", "berth", "<POSITION>"),
];

/// The names in JSON and on the command line.
const NAMES: [(&str, &str); 16] = [
    ("rode", "--rode"),
    ("position", "--position"),
    ("depth", "--depth"),
    ("at", "--at"),
    ("length", "--length"),
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
        Order::Snubber { off: true, .. } => ("snubber", json!(false)),
        Order::Snubber { at, length, .. } => ("snubber", json!({"at": at, "length": length})),
        Order::PullTest { end } => ("pullTest", json!(!end)),
        Order::Weigh => ("weigh", json!(true)),
        Order::Mark { position } => ("position", json!(position)),
        Order::Circle { radius, .. } => ("maxRadius", json!(radius)),
        Order::Acknowledge { hazard } => ("acknowledge", one_or_all(*hazard)),
        Order::Silence { hazard } => ("silence", one_or_all(*hazard)),
        Order::Berth(options) => ("berth", berth(options)),
        Order::Status {
            picture: Some(_), ..
        } => ("picture", Value::Null),
        Order::Status { picture: None, .. } => ("status", Value::Null),
        Order::Run { .. }
        | Order::Check(_)
        | Order::Setup(_)
        | Order::Plan(_)
        | Order::Rehearse(_)
        | Order::Measure(_)
        | Order::Replay(_)
        | Order::Report(_)
        | Order::Tide(_)
        | Order::Chart { .. } => {
            return Err(Failure::new(
                code::SOFTWARE,
                "this is no order for the daemon",
            ));
        }
    })
}

/// Parses the daemon's answer as the expected type.
pub(super) fn understood<T: serde::de::DeserializeOwned>(data: &Value) -> Result<T, Failure> {
    control::parsed(data).map_err(|error| {
        let why =
            format!("the daemon's answer is not understood ({error}); is it of another version?");
        Failure::new(code::SOFTWARE, why)
    })
}

fn berth(options: &BerthOptions) -> Value {
    let Some(position) = options.position else {
        return Value::Null;
    };
    let mut value = json!(position);
    for (name, given) in [
        ("scope", options.scope),
        ("rode", options.rode.map(Metres::get)),
        ("wind", options.wind.map(Speed::get)),
        ("stay", options.stay.map(|stay| stay.as_secs_f64())),
    ] {
        if let Some(number) = given {
            value[name] = json!(number);
        }
    }
    value
}

/// The berth as now planned, with the answer's words.
fn berth_told(parsed: &Windrode, said: Option<&str>) -> Result<Value, Failure> {
    let report: StatusReport = understood(&put(parsed, "status", Value::Null)?)?;
    let picture = report.picture;
    Ok(json!({
        "message": said,
        "berth": picture.berth,
        "berthBearing": picture.berth_bearing,
        "berthDistance": picture.berth_distance,
        "planned": picture.planned,
    }))
}

fn one_or_all(hazard: Option<crate::alert::hazard::Hazard>) -> Value {
    hazard.map_or(json!(true), |hazard| json!(hazard))
}

fn pretty(value: &Value) -> String {
    serde_json::to_string_pretty(value).unwrap_or_else(|_| value.to_string())
}

fn exit_code(error: &ControlError) -> u8 {
    match error {
        ControlError::Forbidden { .. } => code::NO_PERMISSION,
        _ => code::UNAVAILABLE,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The texts are taken from the watch's refusals (`watch/tests`).
    #[test]
    fn answers_name_options_and_commands_not_members_of_json() {
        for (said, here) in [
            (
                "`kind` = `mooring` has no rode to calculate a circle from: give `radius`, to the boat's centre",
                "`--kind mooring` has no rode to calculate a circle from: give `--radius`, to the boat's centre",
            ),
            (
                "`weigh` first, or give `reanchored` if she was anchored again",
                "`windrode weigh` first, or give `--reanchored` if she was anchored again",
            ),
            (
                "no pull test is running; `pullTest` = `true` starts one",
                "no pull test is running; `windrode pull-test` starts one",
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
            assert_eq!(spoken_here("letGo", said), here);
        }
    }

    #[test]
    fn an_operand_is_not_called_an_option() {
        for (command, said, here) in [
            (
                "rodeOut",
                "`rode` = 8.5 m does not reach the bottom",
                "`<RODE>` 8.5 m does not reach the bottom",
            ),
            (
                "position",
                "`position` lies 278 m from the boat",
                "`<POSITION>` lies 278 m from the boat",
            ),
            (
                "berth",
                "`berth` lies 189 nautical miles from the boat",
                "`<POSITION>` lies 189 nautical miles from the boat",
            ),
        ] {
            assert_eq!(spoken_here(command, said), here);
        }
    }
}
