//! A sort of value: how it is written, parsed, bounded and documented; one function for each.

use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::Duration;

use serde_json::{Value, json};

use super::address::ServerAddress;
use super::bounds::Bounds;
use crate::io::push::settings::PushUrl;
use crate::io::secrets::Secret;
use crate::outbox::words::Quiet;
use crate::tide::Forecast;
use crate::tide::stations::Catalogue;
use crate::time::Zone;
use crate::units::{
    Angle, Kilograms, Metres, ParseQuantityError, Speed, Volts, parse_angle, parse_duration,
    parse_length, parse_mass, parse_speed, parse_voltage,
};

type Read<T> = Box<dyn Fn(&str) -> Result<T, Misfit>>;

/// How values of one sort are read and written.
pub(super) struct Sort<T> {
    pub(super) read: Read<T>,
    pub(super) write: fn(&T) -> String,
    pub(super) shape: Shape,
}

/// The description of a sort for documents and errors.
pub(super) struct Shape {
    /// The description with its article: "a length from 0.1 m to 15 m".
    pub(super) told: String,
    /// Its members in a JSON Schema.
    pub(super) schema: Value,
    /// Minimum and maximum of a quantity, as they would be written.
    pub(super) range: Option<[String; 2]>,
    /// The name of the quantity, with its article: "a draught".
    pub(super) noun: &'static str,
}

/// Why a value does not fit its key.
#[derive(Debug, PartialEq)]
pub(super) enum Misfit {
    Unreadable(String),
    OutOfRange,
}

impl Shape {
    /// A number or a quantity, which the operator may write as a number by mistake; everything else is
    /// text.
    pub(super) const fn is_text(&self) -> bool {
        self.range.is_none()
    }
}

pub(super) fn measure(of: Bounds) -> Sort<Metres> {
    length(of.noun, of.least, of.most)
}

pub(super) fn length(noun: &'static str, least: f64, most: f64) -> Sort<Metres> {
    let range = [least, most].map(Metres::of);
    let write = |length: &Metres| format!("{} m", rounded(length.get()));
    quantity("length", noun, range, parse_length, write)
}

pub(super) fn speed(least: f64, most: f64) -> Sort<Speed> {
    let range = [least, most].map(Speed::from_knots);
    let write = |speed: &Speed| format!("{} kn", rounded(speed.knots()));
    quantity("speed", "a wind speed", range, parse_speed, write)
}

pub(super) fn angle(noun: &'static str, least: f64, most: f64) -> Sort<Angle> {
    let range = [least, most].map(Angle::from_degrees);
    let write = |angle: &Angle| format!("{} deg", rounded(angle.degrees()));
    quantity("angle", noun, range, parse_angle, write)
}

/// Bounds in seconds.
pub(super) fn time(least: u64, most: u64) -> Sort<Duration> {
    let range = [least, most].map(Duration::from_secs);
    quantity("time", "this time", range, parse_duration, duration)
}

pub(super) fn mass(noun: &'static str, least: f64, most: f64) -> Sort<Kilograms> {
    let range = [least, most].map(Kilograms::of);
    let write = |mass: &Kilograms| format!("{} kg", rounded(mass.get()));
    quantity("mass", noun, range, parse_mass, write)
}

pub(super) fn volts(noun: &'static str, least: f64, most: f64) -> Sort<Volts> {
    let range = [least, most].map(Volts::of);
    let write = |volts: &Volts| format!("{} V", rounded(volts.get()));
    quantity("voltage", noun, range, parse_voltage, write)
}

/// A plain number.
pub(super) fn number(noun: &'static str, least: f64, most: f64) -> Sort<f64> {
    let read = |text: &str| {
        let number = text.trim().parse().ok().filter(|n: &f64| n.is_finite());
        number.ok_or_else(|| Misfit::Unreadable("write a plain number without a unit".to_owned()))
    };
    let schema = json!({ "type": "number", "minimum": least, "maximum": most });
    bounded(
        "plain number",
        noun,
        [least, most],
        schema,
        read,
        f64::to_string,
    )
}

fn quantity<T: PartialOrd + Copy + 'static>(
    dimension: &str,
    noun: &'static str,
    range: [T; 2],
    parse: fn(&str) -> Result<T, ParseQuantityError>,
    write: fn(&T) -> String,
) -> Sort<T> {
    let read = move |text: &str| {
        parse(text).map_err(|error| match error {
            ParseQuantityError::BeyondHalfTurn { .. } => Misfit::OutOfRange,
            other => Misfit::Unreadable(other.to_string()),
        })
    };
    let units = units(parse).join("|");
    let schema = json!({ "type": "string", "pattern": format!("^\\s*{NUMBER}\\s*({units})\\s*$") });
    bounded(dimension, noun, range, schema, read, write)
}

fn bounded<T: PartialOrd + Copy + 'static>(
    dimension: &str,
    noun: &'static str,
    [least, most]: [T; 2],
    schema: Value,
    read: impl Fn(&str) -> Result<T, Misfit> + 'static,
    write: fn(&T) -> String,
) -> Sort<T> {
    let range = [write(&least), write(&most)];
    let within = move |value: &T| (least..=most).contains(value);
    let article = if dimension.starts_with('a') {
        "an"
    } else {
        "a"
    };
    Sort {
        read: Box::new(move |text| Some(read(text)?).filter(within).ok_or(Misfit::OutOfRange)),
        write,
        shape: Shape {
            told: format!("{article} {dimension} from {} to {}", range[0], range[1]),
            schema,
            range: Some(range),
            noun,
        },
    }
}

/// The units in which a quantity may be written, as its parser lists them when one is missing.
pub(super) fn units<T>(parse: fn(&str) -> Result<T, ParseQuantityError>) -> Vec<String> {
    let Err(ParseQuantityError::NoUnit { known, .. }) = parse("1") else {
        return Vec::new();
    };
    let known = known.split(", ");
    known
        .map(|unit| unit.trim_matches('`').to_owned())
        .collect()
}

/// A text: its description, its pattern in a JSON Schema, and how it is read and written.
fn text<T>(
    told: &str,
    pattern: &str,
    read: impl Fn(&str) -> Result<T, String> + 'static,
    write: fn(&T) -> String,
) -> Sort<T> {
    Sort {
        read: Box::new(move |text| read(text).map_err(Misfit::Unreadable)),
        write,
        shape: Shape {
            told: told.to_owned(),
            schema: json!({ "type": "string", "pattern": pattern }),
            range: None,
            noun: "",
        },
    }
}

/// A text that has a given form and is kept unchanged.
fn formed(told: &'static str, pattern: &str, fits: fn(&str) -> bool) -> Sort<String> {
    let read = move |text: &str| {
        if fits(text) {
            Ok(text.to_owned())
        } else {
            Err(format!("write {told}"))
        }
    };
    text(told, pattern, read, String::clone)
}

/// A text whose type parses and formats itself.
pub(super) fn parsed<T>(told: &str, pattern: &str) -> Sort<T>
where
    T: std::str::FromStr<Err: ToString> + ToString,
{
    text(
        told,
        pattern,
        |text| text.parse().map_err(|error: T::Err| error.to_string()),
        T::to_string,
    )
}

/// One of a few words.
pub(super) fn word<T: Copy + 'static>(all: Vec<T>, name: fn(&T) -> String) -> Sort<T> {
    let names: Vec<String> = all.iter().map(name).collect();
    let listed: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    let told = format!("one of {}", listed.join(", "));
    let refusal = format!("write {told}");
    let read = move |text: &str| {
        let found = all.iter().find(|value| name(value) == text);
        found.copied().ok_or_else(|| refusal.clone())
    };
    let mut sort = text(&told, "", read, name);
    sort.shape.schema = json!({ "type": "string", "enum": names });
    sort
}

/// A path or a source of the server.
pub(super) fn label<T>(make: fn(&str) -> T, write: fn(&T) -> String) -> Sort<T>
where
    T: 'static,
{
    let told = "a label of at most 100 letters, digits, `-`, `_` and `.`";
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-_.".contains(&byte);
    let fits = move |text: &str| (1..=100).contains(&text.len()) && text.bytes().all(plain);
    let read = move |text: &str| {
        if fits(text) {
            Ok(make(text))
        } else {
            Err(format!("write {told}"))
        }
    };
    text(told, "^[A-Za-z0-9._-]{1,100}$", read, write)
}

pub(super) fn address() -> Sort<ServerAddress> {
    let pattern = "^(ws|wss|http|https)://[^/?#@]+/?$";
    text(
        "an address such as `ws://localhost:3000`",
        pattern,
        ServerAddress::parse,
        ToString::to_string,
    )
}

/// The address of a channel.
pub(super) fn push_url(schemes: &'static [&'static str]) -> Sort<PushUrl> {
    let pattern = format!("^({})://[^#@]+$", schemes.join("|"));
    let told = format!(
        "an address that begins with `{}://`",
        schemes.join("://` or `")
    );
    text(
        &told,
        &pattern,
        |text| PushUrl::parse(text, schemes),
        ToString::to_string,
    )
}

pub(super) fn secret() -> Sort<Secret> {
    let read = |text: &str| {
        Secret::token(text).map_err(|fault| format!("the token {fault}; copy it again, alone"))
    };
    text("a token", "^[!-~]+$", read, ToString::to_string)
}

/// A network address with a port.
pub(super) fn endpoint() -> Sort<SocketAddr> {
    let read = |text: &str| {
        let endpoint = text.trim().parse().ok();
        let endpoint = endpoint.filter(|endpoint: &SocketAddr| endpoint.port() != 0);
        endpoint.ok_or_else(|| {
            "write an address in numbers and a port, such as `127.0.0.1:10110`".to_owned()
        })
    };
    let pattern = "^([0-9.]+|\\[[0-9A-Fa-f:.%]+\\]):[0-9]{1,5}$";
    text(
        "an address in numbers and a port",
        pattern,
        read,
        ToString::to_string,
    )
}

pub(super) fn path() -> Sort<PathBuf> {
    let read = |text: &str| {
        let path = PathBuf::from(text);
        if path.is_absolute() && !text.contains('\0') {
            Ok(path)
        } else {
            Err("write a path from the root, such as `/var/lib/windrode`".to_owned())
        }
    };
    text("a path from the root", "^/", read, |path| {
        path.display().to_string()
    })
}

/// A zone by its name in the tz database, or by its offset from UTC.
pub(super) fn zone() -> Sort<Zone> {
    let read = |text: &str| {
        parse_zone(text.trim()).ok_or_else(|| {
            "this computer has no such zone; write one of the tz database, such as `Europe/Helsinki`, or an offset, such as `+02:00`"
                .to_owned()
        })
    };
    text(
        "a zone of the tz database, or an offset from UTC",
        "^.",
        read,
        Zone::name,
    )
}

fn parse_zone(text: &str) -> Option<Zone> {
    let signed = text
        .split_at_checked(1)
        .filter(|(sign, _)| matches!(*sign, "+" | "-"));
    let Some((sign, clock)) = signed else {
        return jiff::tz::TimeZone::get(text).ok().map(Zone::new);
    };
    let (hours, minutes) = clock.split_once(':').unwrap_or((clock, "00"));
    let (hours, minutes) = (hours.parse::<i32>().ok()?, minutes.parse::<i32>().ok()?);
    if !(0..=14).contains(&hours) || !(0..60).contains(&minutes) {
        return None;
    }
    let seconds = (hours * 60 + minutes) * 60;
    let offset = jiff::tz::Offset::from_seconds(if sign == "-" { -seconds } else { seconds });
    Some(Zone::new(jiff::tz::TimeZone::fixed(offset.ok()?)))
}

/// A tide station, by its id or its name.
pub(super) fn station() -> Sort<Forecast> {
    let read = |text: &str| {
        let catalogue = Catalogue::bundled().map_err(|error| error.to_string())?;
        let station = catalogue.find(text).map_err(|error| error.to_string())?;
        Forecast::new(&catalogue, station)
            .ok_or_else(|| "its standard station is not in the catalogue; take another".to_owned())
    };
    text(
        "the id or the name of a tide station",
        "^.",
        read,
        |station| station.id().to_owned(),
    )
}

/// Hours of the day, from and to.
pub(super) fn hours() -> Sort<Quiet> {
    let read = |text: &str| {
        parse_hours(text)
            .ok_or_else(|| "write two different times of day, such as `22:00-07:00`".to_owned())
    };
    let time = "([01][0-9]|2[0-3]):[0-5][0-9]";
    text(
        "two times of day",
        &format!("^{time}-{time}$"),
        read,
        |quiet| {
            let clock = |minute: u16| format!("{:02}:{:02}", minute / 60, minute % 60);
            format!("{}-{}", clock(quiet.from), clock(quiet.until))
        },
    )
}

fn parse_hours(text: &str) -> Option<Quiet> {
    let minute = |text: &str| -> Option<u16> {
        let (hour, minute) = text.trim().split_once(':')?;
        let digits = |part: &str, most: u16| {
            let fits = part.len() == 2 && part.bytes().all(|b| b.is_ascii_digit());
            part.parse().ok().filter(|n: &u16| fits && *n < most)
        };
        Some(digits(hour, 24)? * 60 + digits(minute, 60)?)
    };
    let (from, until) = text.split_once('-')?;
    let quiet = Quiet {
        from: minute(from)?,
        until: minute(until)?,
    };
    (quiet.from != quiet.until).then_some(quiet)
}

/// A topic on a push server.
pub(super) fn topic() -> Sort<String> {
    formed(
        "a topic of at most 64 letters, digits, `-` and `_`",
        "^[A-Za-z0-9_-]{1,64}$",
        |text| !text.contains('/') && is_topic(text),
    )
}

/// The root of a tree of topics on a broker: without letters that end a topic or act as wildcards.
pub(super) fn topic_root() -> Sort<String> {
    formed(
        "a topic of at most 64 letters, digits, `-`, `_` and `/`",
        "^[A-Za-z0-9_/-]{1,64}$",
        is_topic,
    )
}

fn is_topic(text: &str) -> bool {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"_-/".contains(&byte);
    (1..=64).contains(&text.len()) && text.bytes().all(plain)
}

/// One address, without a name.
pub(super) fn mail() -> Sort<String> {
    formed(
        "a mail address alone, such as `tern@boat.example`",
        "^[!-?A-~]+@[!-?A-~]+$",
        |text| {
            let plain = |part: &str| {
                !part.is_empty() && part.bytes().all(|b| b.is_ascii_graphic() && b != b'@')
            };
            let parts = text.split_once('@');
            text.len() <= 254 && parts.is_some_and(|(user, host)| plain(user) && plain(host))
        },
    )
}

/// A name on one line.
pub(super) fn line() -> Sort<String> {
    formed(
        "a text of at most 100 letters on one line",
        "^[^\\u0000-\\u001f\\u007f]{1,100}$",
        |text| (1..=100).contains(&text.chars().count()) && !text.chars().any(char::is_control),
    )
}

/// A boat's name, which is also a level in a tree of topics.
pub(super) fn boat_name() -> Sort<String> {
    formed(
        "a name of at most 60 letters without `/`, `+` and `#`",
        "^[^/+#\\u0000-\\u001f\\u007f]{1,60}$",
        |text| {
            (1..=60).contains(&text.chars().count())
                && !text.chars().any(|c| c.is_control() || "/+#".contains(c))
        },
    )
}

/// Digits below a tenth of a millimetre, knot or degree come only from conversion.
fn rounded(number: f64) -> f64 {
    (number * 1e4).round() / 1e4
}

fn duration(duration: &Duration) -> String {
    let seconds = duration.as_secs();
    if duration.subsec_nanos() != 0 {
        return format!("{} s", duration.as_secs_f64());
    }
    match seconds {
        0 => "0 s".to_owned(),
        _ if seconds.is_multiple_of(86_400) => format!("{} d", seconds / 86_400),
        _ if seconds.is_multiple_of(3600) => format!("{} h", seconds / 3600),
        _ if seconds.is_multiple_of(60) => format!("{} min", seconds / 60),
        _ => format!("{seconds} s"),
    }
}

const NUMBER: &str = "[+-]?([0-9]+\\.?[0-9]*|\\.[0-9]+)([eE][+-]?[0-9]+)?";
