//! A field of the configuration: how it is written, read, bounded and shown.

use super::address::ServerAddress;
use super::push::{Kind, PushUrl};
use crate::alert::hazard::Priority;
use crate::io::secrets::Secret;
use crate::outbox::words::Quiet;
use crate::tackle::rode::{Chain, Rope};
use crate::tide::Forecast;
use crate::tide::stations::Catalogue;
use crate::time::Zone;
use crate::units::{
    Angle, Kilograms, LengthUnit, Metres, ParseQuantityError, Speed, Volts, parse_angle,
    parse_duration, parse_length, parse_mass, parse_speed, parse_voltage,
};
use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::Duration;

/// A field and how it is written.
pub(super) enum Slot<'a> {
    Length(Field<'a, Metres>, [Metres; 2]),
    Speed(Field<'a, Speed>, [Speed; 2]),
    Angle(Field<'a, Angle>, [Angle; 2]),
    Time(Field<'a, Duration>, [Duration; 2]),
    Mass(Field<'a, Kilograms>, [Kilograms; 2]),
    Volts(Field<'a, Volts>, [Volts; 2]),
    Number(Field<'a, f64>, [f64; 2]),
    /// Size and grade.
    Chain(Field<'a, Chain>),
    /// Thickness and stuff.
    Rope(Field<'a, Rope>),
    /// Letters, digits and `-_.`, at most so many: a source label or a path of the server.
    Label(Field<'a, String>, usize),
    Address(Field<'a, ServerAddress>),
    Secret(Field<'a, Secret>),
    /// An address of the network and a port.
    Endpoint(Field<'a, SocketAddr>),
    /// An absolute path.
    Path(Field<'a, PathBuf>),
    /// A text of a form.
    Text(Field<'a, String>, &'static Form),
    /// The sort of a channel.
    Kind(Field<'a, Kind>),
    /// An address of a channel.
    Url(Field<'a, PushUrl>),
    Priority(Field<'a, Priority>),
    Lengths(Field<'a, LengthUnit>),
    /// A zone of the tz database, or an offset from UTC.
    Zone(Field<'a, Zone>),
    /// A tide station, by its id or its name.
    Station(Field<'a, Forecast>),
    /// Hours of the day, from and until.
    Hours(Field<'a, Quiet>),
}

/// What a text must look like.
pub(super) struct Form {
    /// For a schema.
    pub(super) pattern: &'static str,
    pub(super) fits: fn(&str) -> bool,
    pub(super) wanted: &'static str,
}

/// A field that always has a value, or one that may be left open.
pub(super) enum Field<'a, T> {
    Given(&'a mut T),
    Open(&'a mut Option<T>),
}

/// Why a value does not fit its key.
#[derive(Debug, PartialEq)]
pub(super) enum Misfit {
    Unreadable(String),
    OutOfRange { least: String, most: String },
}

impl<T> Field<'_, T> {
    pub(super) fn get(&self) -> Option<&T> {
        match self {
            Self::Given(value) => Some(value),
            Self::Open(value) => value.as_ref(),
        }
    }

    fn set(&mut self, new: T) {
        match self {
            Self::Given(value) => **value = new,
            Self::Open(value) => **value = Some(new),
        }
    }
}

impl Slot<'_> {
    /// Reads `text` into the field.
    #[expect(clippy::too_many_lines, reason = "an arm for each kind of value")]
    pub(super) fn read(&mut self, text: &str) -> Result<(), Misfit> {
        match self {
            Self::Length(field, bounds) => {
                within(field, quantity(parse_length(text))?, *bounds, metres)
            }
            Self::Speed(field, bounds) => {
                within(field, quantity(parse_speed(text))?, *bounds, knots)
            }
            Self::Angle(field, bounds) => {
                let angle = parse_angle(text).map_err(|error| match error {
                    ParseQuantityError::BeyondHalfTurn { .. } => out_of_range(*bounds, degrees),
                    other => Misfit::Unreadable(other.to_string()),
                })?;
                within(field, angle, *bounds, degrees)
            }
            Self::Time(field, bounds) => {
                within(field, quantity(parse_duration(text))?, *bounds, time)
            }
            Self::Volts(field, bounds) => {
                within(field, quantity(parse_voltage(text))?, *bounds, volts)
            }
            Self::Mass(field, bounds) => {
                within(field, quantity(parse_mass(text))?, *bounds, kilograms)
            }
            Self::Chain(field) => {
                field.set(text.parse().map_err(unreadable)?);
                Ok(())
            }
            Self::Rope(field) => {
                field.set(text.parse().map_err(unreadable)?);
                Ok(())
            }
            Self::Number(field, bounds) => {
                let number = text.trim().parse().ok().filter(|n: &f64| n.is_finite());
                let number = number.ok_or_else(|| {
                    Misfit::Unreadable("a plain number without a unit is wanted".to_owned())
                })?;
                within(field, number, *bounds, |n| n.to_string())
            }
            Self::Label(field, longest) => {
                let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-_.".contains(&byte);
                if text.is_empty() || text.len() > *longest || !text.bytes().all(plain) {
                    return Err(Misfit::Unreadable(format!(
                        "a label of at most {longest} letters, digits, `-`, `_` and `.` is wanted"
                    )));
                }
                field.set(text.to_owned());
                Ok(())
            }
            Self::Address(field) => {
                field.set(ServerAddress::parse(text).map_err(Misfit::Unreadable)?);
                Ok(())
            }
            Self::Secret(field) => {
                let secret = Secret::token(text).map_err(|fault| {
                    Misfit::Unreadable(format!("the token {fault}; copy it anew, alone"))
                })?;
                field.set(secret);
                Ok(())
            }
            Self::Endpoint(field) => {
                let endpoint = text.trim().parse().ok();
                let endpoint = endpoint.filter(|endpoint: &SocketAddr| endpoint.port() != 0);
                let endpoint = endpoint.ok_or_else(|| {
                    Misfit::Unreadable(
                        "an address in numbers and a port are wanted, such as `127.0.0.1:10110`"
                            .to_owned(),
                    )
                })?;
                field.set(endpoint);
                Ok(())
            }
            Self::Path(field) => {
                let path = PathBuf::from(text);
                if !path.is_absolute() || text.contains('\0') {
                    return Err(Misfit::Unreadable(
                        "a path from the root is wanted, such as `/var/lib/windrode`".to_owned(),
                    ));
                }
                field.set(path);
                Ok(())
            }
            Self::Text(field, form) => {
                if !(form.fits)(text) {
                    return Err(Misfit::Unreadable(form.wanted.to_owned()));
                }
                field.set(text.to_owned());
                Ok(())
            }
            Self::Kind(field) => choose(field, Kind::ALL, Kind::name, text),
            Self::Priority(field) => choose(field, PRIORITIES, Priority::name, text),
            Self::Lengths(field) => choose(field, LENGTHS, LengthUnit::symbol, text),
            Self::Zone(field) => {
                field.set(parse_zone(text).ok_or_else(|| {
                    Misfit::Unreadable(
                        "no such zone is known on this computer; write one of the tz database, such as `Europe/Helsinki`, or an offset, such as `+02:00`"
                            .to_owned(),
                    )
                })?);
                Ok(())
            }
            Self::Station(field) => {
                field.set(find_station(text).map_err(Misfit::Unreadable)?);
                Ok(())
            }
            Self::Url(field) => {
                field.set(PushUrl::parse(text).map_err(Misfit::Unreadable)?);
                Ok(())
            }
            Self::Hours(field) => {
                let hours = parse_hours(text).ok_or_else(|| {
                    Misfit::Unreadable(
                        "two different times of day are wanted, such as `22:00-07:00`".to_owned(),
                    )
                })?;
                field.set(hours);
                Ok(())
            }
        }
    }

    /// The words it may be, where they are few.
    pub(super) fn words(&self) -> Option<Vec<&'static str>> {
        match self {
            Self::Kind(_) => Some(Kind::ALL.map(Kind::name).to_vec()),
            Self::Priority(_) => Some(PRIORITIES.map(Priority::name).to_vec()),
            Self::Lengths(_) => Some(LENGTHS.map(LengthUnit::symbol).to_vec()),
            _ => None,
        }
    }

    /// Is it a text to everybody, a number to nobody?
    pub(super) const fn wants_text(&self) -> bool {
        matches!(
            self,
            Self::Chain(_)
                | Self::Rope(_)
                | Self::Label(..)
                | Self::Address(_)
                | Self::Secret(_)
                | Self::Path(_)
                | Self::Endpoint(_)
                | Self::Text(..)
                | Self::Kind(_)
                | Self::Url(_)
                | Self::Priority(_)
                | Self::Lengths(_)
                | Self::Zone(_)
                | Self::Station(_)
                | Self::Hours(_)
        )
    }

    /// The least and the most of a quantity, as they would be written.
    pub(super) fn bounds(&self) -> Option<(String, String)> {
        fn pair<T>([least, most]: &[T; 2], write: fn(&T) -> String) -> (String, String) {
            (write(least), write(most))
        }
        Some(match self {
            Self::Length(_, bounds) => pair(bounds, |v| metres(*v)),
            Self::Speed(_, bounds) => pair(bounds, |v| knots(*v)),
            Self::Angle(_, bounds) => pair(bounds, |v| degrees(*v)),
            Self::Time(_, bounds) => pair(bounds, |v| time(*v)),
            Self::Mass(_, bounds) => pair(bounds, |v| kilograms(*v)),
            Self::Volts(_, bounds) => pair(bounds, |v| volts(*v)),
            Self::Number(_, bounds) => pair(bounds, f64::to_string),
            _ => return None,
        })
    }

    /// What the field holds, as it would be written; `None` when it is open.
    pub(super) fn written(&self) -> Option<String> {
        match self {
            Self::Length(field, _) => field.get().map(|v| metres(*v)),
            Self::Speed(field, _) => field.get().map(|v| knots(*v)),
            Self::Angle(field, _) => field.get().map(|v| degrees(*v)),
            Self::Time(field, _) => field.get().map(|v| time(*v)),
            Self::Mass(field, _) => field.get().map(|v| kilograms(*v)),
            Self::Volts(field, _) => field.get().map(|v| volts(*v)),
            Self::Number(field, _) => field.get().map(f64::to_string),
            Self::Chain(field) => field.get().map(ToString::to_string),
            Self::Rope(field) => field.get().map(ToString::to_string),
            Self::Label(field, _) | Self::Text(field, _) => field.get().cloned(),
            Self::Address(field) => field.get().map(ToString::to_string),
            Self::Secret(field) => field.get().map(ToString::to_string),
            Self::Endpoint(field) => field.get().map(ToString::to_string),
            Self::Path(field) => field.get().map(|path| path.display().to_string()),
            Self::Kind(field) => field.get().map(|kind| kind.name().to_owned()),
            Self::Url(field) => field.get().map(ToString::to_string),
            Self::Priority(field) => field.get().map(|priority| priority.name().to_owned()),
            Self::Lengths(field) => field.get().map(|unit| unit.symbol().to_owned()),
            Self::Zone(field) => field.get().map(Zone::name),
            Self::Station(field) => field.get().map(|station| station.id().to_owned()),
            Self::Hours(field) => field.get().map(|quiet| {
                let clock = |minute: u16| format!("{:02}:{:02}", minute / 60, minute % 60);
                format!("{}-{}", clock(quiet.from), clock(quiet.until))
            }),
        }
    }
}

fn quantity<T>(parsed: Result<T, ParseQuantityError>) -> Result<T, Misfit> {
    parsed.map_err(|error| Misfit::Unreadable(error.to_string()))
}

#[expect(
    clippy::needless_pass_by_value,
    reason = "errors are handed over whole by `map_err`"
)]
fn unreadable(error: crate::tackle::rode::ParseTackleError) -> Misfit {
    Misfit::Unreadable(error.to_string())
}

fn within<T: PartialOrd + Copy>(
    field: &mut Field<'_, T>,
    value: T,
    bounds: [T; 2],
    write: fn(T) -> String,
) -> Result<(), Misfit> {
    let [least, most] = bounds;
    if value < least || value > most {
        return Err(out_of_range(bounds, write));
    }
    field.set(value);
    Ok(())
}

fn out_of_range<T>([least, most]: [T; 2], write: fn(T) -> String) -> Misfit {
    Misfit::OutOfRange {
        least: write(least),
        most: write(most),
    }
}

/// A zone by its name in the tz database, or by its offset from UTC.
fn parse_zone(text: &str) -> Option<Zone> {
    let text = text.trim();
    if let Some((sign, clock)) = text
        .split_at_checked(1)
        .filter(|(sign, _)| matches!(*sign, "+" | "-"))
    {
        let (hours, minutes) = clock.split_once(':').unwrap_or((clock, "00"));
        let (hours, minutes) = (hours.parse::<i32>().ok()?, minutes.parse::<i32>().ok()?);
        if !(0..=14).contains(&hours) || !(0..60).contains(&minutes) {
            return None;
        }
        let seconds = (hours * 60 + minutes) * 60;
        let seconds = if sign == "-" { -seconds } else { seconds };
        return jiff::tz::Offset::from_seconds(seconds)
            .ok()
            .map(|offset| Zone::new(jiff::tz::TimeZone::fixed(offset)));
    }
    jiff::tz::TimeZone::get(text).ok().map(Zone::new)
}

fn find_station(text: &str) -> Result<Forecast, String> {
    let catalogue = Catalogue::bundled().map_err(|error| error.to_string())?;
    let station = catalogue.find(text).map_err(|error| error.to_string())?;
    Forecast::new(&catalogue, station)
        .ok_or_else(|| "its standard station is not in the catalogue; take another".to_owned())
}

/// Whatever hides below a tenth of a millimetre, knot or degree comes from conversion alone.
fn rounded(number: f64) -> f64 {
    (number * 1e4).round() / 1e4
}

fn metres(length: Metres) -> String {
    format!("{} m", rounded(length.get()))
}

fn knots(speed: Speed) -> String {
    format!("{} kn", rounded(speed.knots()))
}

fn kilograms(mass: Kilograms) -> String {
    format!("{} kg", rounded(mass.get()))
}

fn volts(tension: Volts) -> String {
    format!("{} V", rounded(tension.get()))
}

fn degrees(angle: Angle) -> String {
    format!("{} deg", rounded(angle.degrees()))
}

fn time(duration: Duration) -> String {
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

fn choose<T: Copy, const N: usize>(
    field: &mut Field<'_, T>,
    all: [T; N],
    name: fn(T) -> &'static str,
    text: &str,
) -> Result<(), Misfit> {
    let Some(found) = all.into_iter().find(|value| name(*value) == text) else {
        let names: Vec<String> = all.iter().map(|v| format!("`{}`", name(*v))).collect();
        return Err(Misfit::Unreadable(format!(
            "one of {} is wanted",
            names.join(", ")
        )));
    };
    field.set(found);
    Ok(())
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

const LENGTHS: [LengthUnit; 2] = [LengthUnit::Metres, LengthUnit::Feet];

const PRIORITIES: [Priority; 4] = [
    Priority::Caution,
    Priority::Warning,
    Priority::Alarm,
    Priority::EmergencyAlarm,
];
