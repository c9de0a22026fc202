//! The list of all keys: section, name, what it gives, its bounds, and the field it fills.
//!
//! The bounds are chosen wide. They catch the slip of a unit or a decimal point, they do not
//! teach seamanship.

use std::borrow::Cow;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::Duration;

use super::Config;
use super::address::ServerAddress;
use super::push::{BOAT, Kind, PushUrl, channel_keys};
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

/// The sections in the order they are shown, and what each is about.
pub(super) const SECTIONS: [(&str, &str); 17] = [
    ("server", "The Signal K server."),
    (
        "boat",
        "The boat's figures. What is not given is taken from the server.",
    ),
    ("tackle", "The ground tackle."),
    ("fix", "The position fix."),
    ("swing", "The swinging circle."),
    ("drag", "Dragging."),
    ("wind", "The wind: shifts and strength."),
    ("water", "Tide and depth."),
    ("reminder", "The reminder that no anchor is marked."),
    ("link", "The link to the server."),
    ("alerts", "Alerts that nobody answers."),
    ("power", "What the watch lives on."),
    ("crew", "How the crew is spoken to."),
    (
        "displays",
        "Older displays, told by the sentences of IEC 61162-1. Off unless an address is given.",
    ),
    ("journal", "What is kept on disk."),
    ("control", "The local command line's way in."),
    ("phones", "The channels to phones, taken together."),
];

/// One key and the field it fills.
pub(super) struct Key<'a> {
    pub(super) section: Cow<'static, str>,
    pub(super) name: &'static str,
    /// What it gives, with its article: "a draught".
    pub(super) noun: &'static str,
    /// One sentence for schema and people.
    pub(super) about: &'static str,
    pub(super) slot: Slot<'a>,
}

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

/// All keys, in the order they are shown.
#[rustfmt::skip]
#[expect(clippy::too_many_lines, reason = "a table")]
pub(super) fn keys(config: &mut Config) -> Vec<Key<'_>> {
    use Field::{Given, Open};
    use Slot::{Address, Endpoint, Label, Length, Number, Path, Time};
    let key = |section, name, noun, about, slot| Key { section: Cow::Borrowed(section), name, noun, about, slot };
    let m = |least, most| [Metres::of(least), Metres::of(most)];
    let s = |least, most| [Duration::from_secs(least), Duration::from_secs(most)];
    let Config { server, boat, tackle, fix, swing, drag, wind, water, reminder, link, alerts, power, crew, displays, journal, control, name, phones, push, .. } = config;
    let hour = 3600;
    let day = 24 * hour;
    let mut keys = vec![
        key("server", "url", "an address",
            "Scheme, host and port of the server.",
            Address(Given(&mut server.url))),
        key("server", "token", "a token",
            "The token to show the server; better kept in a file, see `token_file`.",
            Slot::Secret(Open(&mut server.token))),
        key("server", "token_file", "a path",
            "A file that holds the token alone.",
            Path(Open(&mut server.token_file))),
        key("server", "source", "a label",
            "The source label of what windrode publishes.",
            Label(Given(&mut server.source), LONGEST_LABEL)),
        key("boat", "name", "a name",
            "The boat's name, as it stands in messages to phones.",
            Slot::Text(Given(name), &BOAT)),
        key("boat", "length", "a length over all",
            "Length over all.",
            Length(Open(&mut boat.length), m(2.0, 150.0))),
        key("boat", "beam", "a beam",
            "Greatest beam.",
            Length(Open(&mut boat.beam), m(0.5, 40.0))),
        key("boat", "draught", "a draught",
            "Greatest draught, surface to the lowest point of the keel.",
            Length(Open(&mut boat.draught), m(0.1, 15.0))),
        key("boat", "roller_height", "a roller's height",
            "Height of the bow roller above the water.",
            Length(Open(&mut boat.roller_height), m(0.0, 15.0))),
        key("boat", "roller_ahead", "a roller's reach ahead",
            "How far the bow roller reaches ahead of the stem.",
            Length(Open(&mut boat.roller_ahead), m(-2.0, 5.0))),
        key("boat", "antenna_from_bow", "an antenna's distance from the bow",
            "The positioning antenna, aft of the stem.",
            Length(Open(&mut boat.antenna_from_bow), m(-5.0, 150.0))),
        key("boat", "antenna_from_centre", "an antenna's distance from the centreline",
            "The positioning antenna, to port of the centreline; to starboard is negative.",
            Length(Open(&mut boat.antenna_from_centre), m(-20.0, 20.0))),
        key("boat", "transducer_depth", "a transducer's depth",
            "The depth transducer below the surface.",
            Length(Open(&mut boat.transducer_depth), m(0.0, 15.0))),
        key("boat", "transducer_to_keel", "a keel's depth below the transducer",
            "The lowest point of the keel below the depth transducer.",
            Length(Open(&mut boat.transducer_to_keel), m(-5.0, 15.0))),
        key("boat", "freeboard", "a freeboard",
            "Height of the deck above the water, amidships: the wind blows on it.",
            Length(Open(&mut boat.freeboard), m(0.1, 15.0))),
        key("boat", "mast_height", "a masthead's height",
            "Height of the masthead above the water: the wind blows on it.",
            Length(Open(&mut boat.mast_height), m(0.0, 100.0))),
        key("tackle", "rode_aboard", "a rode",
            "All the rode aboard.",
            Length(Open(&mut boat.rode_aboard), m(1.0, 1000.0))),
        key("tackle", "stretch", "a stretch",
            "How much longer the rode grows under load, as a fraction of its length.",
            Number(Given(&mut tackle.stretch), [0.0, 0.4])),
        key("tackle", "scope", "a scope",
            "The scope to plan with: rode by depth and height of the roller.",
            Number(Given(&mut tackle.scope), [1.5, 20.0])),
        key("tackle", "scope_strong", "a scope",
            "The scope wanted in strong wind, see `wind.strong`.",
            Number(Given(&mut tackle.scope_strong), [1.5, 20.0])),
        key("tackle", "scope_storm", "a scope",
            "The scope to plan with in a storm, see `wind.storm`.",
            Number(Given(&mut tackle.scope_storm), [1.5, 20.0])),
        key("tackle", "chain", "a chain",
            "The chain at the anchor, by size and grade.",
            Slot::Chain(Open(&mut tackle.chain))),
        key("tackle", "chain_length", "a length of chain",
            "How much of the rode is chain, where there is rope too.",
            Length(Open(&mut tackle.chain_length), m(0.5, 1000.0))),
        key("tackle", "rope", "a rope",
            "The rope above the chain, by thickness and stuff, where the rode is not all chain.",
            Slot::Rope(Open(&mut tackle.rope))),
        key("tackle", "snubber", "a rope",
            "The rope that takes the pull off an all-chain rode at the bow, by thickness and stuff.",
            Slot::Rope(Open(&mut tackle.snubber))),
        key("tackle", "snubber_length", "a snubber's length",
            "From the bow to the snubber's hook on the chain.",
            Length(Given(&mut tackle.snubber_length), m(0.5, 50.0))),
        key("tackle", "marks", "a distance between marks",
            "How far apart the rode is marked: what to veer is rounded up to it.",
            Length(Open(&mut tackle.marks), m(0.5, 50.0))),
        key("tackle", "anchor", "an anchor's mass",
            "Mass of the anchor.",
            Slot::Mass(Open(&mut tackle.anchor), [Kilograms::of(1.0), Kilograms::of(2000.0)])),
        key("tackle", "counter", "a path",
            "The path of the windlass' counter of rode in metres, where the boat has one.",
            Label(Open(&mut tackle.counter), LONGEST_NAME)),
        key("fix", "source", "a label",
            "The preferred source of positions, as the server names it.",
            Label(Open(&mut fix.source), LONGEST_NAME)),
        key("fix", "max_age", "a fix's age",
            "A fix older than this is not used.",
            Time(Given(&mut fix.max_age), s(1, 600))),
        key("fix", "lost_after", "this time",
            "Without a usable fix for so long, the position is lost.",
            Time(Given(&mut fix.lost_after), s(5, hour))),
        key("fix", "failover_after", "this time",
            "Without a fix from the preferred source for so long, another is taken.",
            Time(Given(&mut fix.failover_after), s(1, hour))),
        key("fix", "accuracy", "a fix's standard deviation",
            "One standard deviation of a fix, until the night has shown its own.",
            Length(Given(&mut fix.accuracy), m(0.01, 100.0))),
        key("swing", "margin", "a margin",
            "Added to the circle that rode and boat make.",
            Length(Given(&mut swing.margin), m(0.0, 500.0))),
        key("swing", "hold", "this time",
            "How long the boat must be outside the circle.",
            Time(Given(&mut swing.hold), s(0, 600))),
        key("drag", "margin", "a margin",
            "The least movement of the anchor that counts as dragging.",
            Length(Given(&mut drag.margin), m(0.5, 500.0))),
        key("drag", "hold", "this time",
            "How long the evidence of dragging must stand.",
            Time(Given(&mut drag.hold), s(0, 1800))),
        key("drag", "settle", "this time",
            "Time since letting go after which the anchor is taken to be set.",
            Time(Given(&mut drag.settle), s(0, 2 * hour))),
        key("wind", "shift", "a wind shift",
            "The shift of the mean wind since set that counts.",
            Slot::Angle(Given(&mut wind.shift), [Angle::from_degrees(5.0), Angle::from_degrees(175.0)])),
        key("wind", "window", "this time",
            "The time the mean wind is taken over.",
            Time(Given(&mut wind.window), s(10, hour))),
        key("wind", "hold", "this time",
            "How long the shift must stand.",
            Time(Given(&mut wind.hold), s(0, hour))),
        key("wind", "least", "a wind speed",
            "Mean speed below which the direction means nothing.",
            Slot::Speed(Given(&mut wind.least), [Speed::ZERO, Speed::from_knots(30.0)])),
        key("wind", "strong", "a wind speed",
            "Mean speed from which `tackle.scope_strong` is wanted.",
            Slot::Speed(Given(&mut wind.strong), [Speed::from_knots(10.0), Speed::from_knots(80.0)])),
        key("wind", "mean", "a wind speed",
            "Mean speed that is told as strong.",
            Slot::Speed(Given(&mut wind.mean), [Speed::from_knots(10.0), Speed::from_knots(80.0)])),
        key("wind", "gust", "a wind speed",
            "Gust that is told as strong: the greatest mean over three seconds.",
            Slot::Speed(Given(&mut wind.gust), [Speed::from_knots(10.0), Speed::from_knots(120.0)])),
        key("wind", "strength_hold", "this time",
            "How long the strong mean must stand.",
            Time(Given(&mut wind.strength_hold), s(0, hour))),
        key("wind", "storm", "a wind speed",
            "Mean speed from which `tackle.scope_storm` is planned with.",
            Slot::Speed(Given(&mut wind.storm), [Speed::from_knots(20.0), Speed::from_knots(100.0)])),
        key("water", "keel_margin", "a margin",
            "The least depth wanted under the keel, now and at low water.",
            Length(Given(&mut water.keel_margin), m(0.0, 10.0))),
        key("water", "station", "a tide station",
            "The station whose tide is predicted; without it the server's tide is taken.",
            Slot::Station(Open(&mut water.station))),
        key("water", "stay", "this time",
            "How long she stays, for the turns to come; by default until noon tomorrow by the ship's clock.",
            Time(Open(&mut water.stay), s(hour, 30 * day))),
        key("reminder", "unmarked_after", "this time",
            "Lying still for so long in anchoring depth, engine off, she is taken to be at anchor unmarked.",
            Time(Given(&mut reminder.unmarked_after), s(60, 7 * day))),
        key("link", "lost_after", "this time",
            "With nothing heard from the server for so long, the link is lost.",
            Time(Given(&mut link.lost_after), s(5, hour))),
        key("alerts", "repeat", "this time",
            "How often an alert that sounds is told again.",
            Time(Given(&mut alerts.repeat), s(30, 300))),
        key("alerts", "answer_within", "this time",
            "How long a warning may go unanswered before it becomes an alarm.",
            Time(Given(&mut alerts.answer_within), s(60, 300))),
        key("power", "battery", "a path",
            "The path of the house battery's voltage, where it is watched.",
            Label(Open(&mut power.battery), LONGEST_NAME)),
        key("power", "least", "a voltage",
            "The least voltage of the house battery.",
            Slot::Volts(Given(&mut power.least), [Volts::of(5.0), Volts::of(100.0)])),
        key("crew", "lengths", "a unit",
            "The unit lengths are told in.",
            Slot::Lengths(Given(&mut crew.lengths))),
        key("crew", "zone", "a zone",
            "The zone of the ship's clock; by default this computer's.",
            Slot::Zone(Open(&mut crew.zone))),
        key("displays", "listen", "an address",
            "Address and port at which older displays may connect (TCP), be told of alerts and acknowledge them.",
            Endpoint(Open(&mut displays.listen))),
        key("displays", "send", "an address",
            "Address and port to which alerts are sent as datagrams (UDP); it may be a broadcast address.",
            Endpoint(Open(&mut displays.send))),
        key("journal", "directory", "a path",
            "The state directory; by default the one the service manager gives.",
            Path(Given(&mut journal.directory))),
        key("journal", "keep", "this time",
            "How long the track is kept.",
            Time(Given(&mut journal.keep), s(day, 400 * day))),
        key("journal", "batch", "this time",
            "How much of the track a power cut may cost.",
            Time(Given(&mut journal.batch), s(1, 600))),
        key("control", "socket", "a path",
            "The Unix socket; by default in the service manager's runtime directory.",
            Path(Given(&mut control.socket))),
        key("phones", "lost_after", "this time",
            "With no channel that works for so long, the watch is impaired.",
            Time(Given(&mut phones.lost_after), s(30, day))),
    ];
    for (name, channel) in push {
        keys.extend(channel_keys(name, channel));
    }
    keys
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

/// Paths and sources of the server.
const LONGEST_NAME: usize = 100;
/// What the server takes for a source of ours, see `signalk::SourceLabel`.
const LONGEST_LABEL: usize = 64;

const LENGTHS: [LengthUnit; 2] = [LengthUnit::Metres, LengthUnit::Feet];

const PRIORITIES: [Priority; 4] = [
    Priority::Caution,
    Priority::Warning,
    Priority::Alarm,
    Priority::EmergencyAlarm,
];
