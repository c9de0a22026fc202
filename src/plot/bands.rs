//! The panels of words: the gravest alert with its number above the chart, the figures, the time
//! and the caution below it.

use std::time::Duration;

use super::lettering::{clean, cut, room_for, size_to_fit, wrap};
use super::writer::{Point, Rect, Side, Stroke, Svg, ink, through};
use super::{HEIGHT, MARGIN, PictureInput, WIDTH};
use crate::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use crate::alert::wording::Wording;
use crate::time::{ShipClock, Timestamp};
use crate::units::{Bearing, Metres, spoken};
use crate::watch::state::{MeasuredFrom, WatchState, ago};

/// Height of the figures and what stands below them.
pub(super) const FIGURES_HEIGHT: f64 = 344.0;

/// One line for who hears the picture.
pub(super) fn title(input: &PictureInput) -> String {
    input.alerts.first().map_or_else(
        || format!("{}, no alerts", input.picture.word()),
        |alert| format!("{}: {}", alert.priority.capitals(), alert.hazard.short()),
    )
}

/// The picture in a sentence.
pub(super) fn description(input: &PictureInput) -> String {
    let told = input
        .alerts
        .first()
        .map_or("no alerts", |alert| alert.message.as_str());
    format!("{told}; {}; {}", input.time, CAUTION.join(" "))
}

/// The gravest alert, or that there is none; returns where the panel ends.
pub(super) fn alert(svg: &mut Svg, input: &PictureInput, top: f64) -> f64 {
    let (head, number, state, message) = match input.alerts.first() {
        Some(alert) => (
            alert.hazard.short().to_uppercase(),
            number(alert, input),
            state_line(alert, &input.clock),
            without_prefix(&clean(&alert.message)).to_owned(),
        ),
        None => (
            input.picture.word().to_uppercase(),
            None,
            since_line(input),
            "no alerts".to_owned(),
        ),
    };
    let others = others(&input.alerts);
    let inner = WIDTH - 2.0 * (MARGIN + PAD);
    let lines = wrap(&message, room_for(inner, SAID), LINES);
    let line_height = SAID * 1.3;
    let height = 2.0 * PAD
        + HEAD
        + SMALL * 1.5
        + line_height * lines.len() as f64
        + others.as_ref().map_or(0.0, |_| SMALL * 1.6);
    let panel = Rect {
        x: MARGIN,
        y: top,
        width: WIDTH - 2.0 * MARGIN,
        height,
    };
    let look = Look::of(input.alerts.first());
    svg.rect(panel, look.fill, look.frame);

    let left = MARGIN + PAD;
    let right = WIDTH - MARGIN - PAD;
    let mut y = top + PAD + HEAD * 0.8;
    let wide = number.as_ref().map_or(0.0, |number| {
        super::lettering::width(number, HEAD).min(inner * 0.45)
    });
    let gap = if wide > 0.0 { HEAD * 0.5 } else { 0.0 };
    let at = |x: f64, y: f64| Point { x, y };
    let size = size_to_fit(&head, HEAD, inner - wide - gap);
    svg.words(&head, at(left, y), size, Side::Start, look.ink);
    if let Some(number) = number {
        let size = size_to_fit(&number, HEAD, wide);
        svg.words(&number, at(right, y), size, Side::End, look.ink);
    }
    y += SMALL * 1.6;
    let state = cut(&state, room_for(inner, SMALL));
    svg.words(&state, at(left, y), SMALL, Side::Start, look.quiet);
    y += SAID * 0.15;
    for line in &lines {
        y += line_height;
        svg.words(line, at(left, y), SAID, Side::Start, look.ink);
    }
    if let Some(others) = others {
        y += SMALL * 1.6;
        let others = cut(&others, room_for(inner, SMALL));
        svg.words(&others, at(left, y), SMALL, Side::Start, look.quiet);
    }
    top + height
}

/// How a panel shows its gravity.
struct Look {
    fill: &'static str,
    frame: Option<Stroke>,
    ink: &'static str,
    quiet: &'static str,
}

impl Look {
    fn of(alert: Option<&AlertView>) -> Self {
        let framed = |width: f64, dashes: &'static str| Self {
            fill: ink::NIGHT,
            frame: Some(Stroke::dashed(ink::BRIGHT, width, dashes)),
            ink: ink::BRIGHT,
            quiet: ink::MIDDLE,
        };
        match alert.map(|alert| (alert.priority, alert.state)) {
            Some((
                Priority::EmergencyAlarm | Priority::Alarm,
                AlertState::ActiveUnacknowledged | AlertState::ActiveSilenced,
            )) => Self {
                fill: ink::BRIGHT,
                frame: None,
                ink: ink::NIGHT,
                quiet: ink::NIGHT,
            },
            Some((
                Priority::Warning,
                AlertState::ActiveUnacknowledged | AlertState::ActiveSilenced,
            )) => framed(9.0, ""),
            Some((_, AlertState::RectifiedUnacknowledged)) => framed(4.0, "2 12"),
            Some(_) => framed(4.0, ""),
            None => Self {
                frame: Some(Stroke::of(ink::FAINT, 2.0)),
                ..framed(0.0, "")
            },
        }
    }
}

/// The number that belongs to the hazard, where the state has one.
fn number(alert: &AlertView, input: &PictureInput) -> Option<String> {
    let picture = &input.picture.live();
    let say = Wording::in_unit(input.lengths);
    match alert.hazard {
        Hazard::Dragging => picture.anchor_moved.map(|moved| say.length(moved)),
        Hazard::SwingExceeded => picture
            .current_radius
            .zip(picture.max_radius)
            .map(|(radius, circle)| radius - circle)
            .filter(|over| over.get() > 0.0)
            .map(|over| format!("+{}", say.length(over))),
        Hazard::WindShift => picture.wind_shift.map(|shift| shift.abs().to_string()),
        Hazard::WindStrength => picture
            .wind_gust
            .or(picture.wind_speed)
            .map(|speed| speed.to_string()),
        Hazard::Shoaling if alert.priority >= Priority::Alarm => picture
            .water_depth
            .and(input.sight.under_keel)
            .map(|depth| say.depth(depth)),
        Hazard::Shoaling => picture
            .under_keel_at_low_water
            .map(|depth| say.depth(depth)),
        Hazard::ScopeShort => picture
            .scope_at_high_water
            .or(picture.scope)
            .map(|scope| format!("{scope:.1}:1")),
        // The one age in the picture: of the last fix.
        Hazard::Position | Hazard::DataLink => picture
            .fix_ago
            .and_then(|age| Duration::try_from_secs_f64(age).ok())
            .map(spoken),
        Hazard::Instrument | Hazard::Watch | Hazard::Neighbour => None,
    }
    .map(|number| clean(&number))
}

fn state_line(alert: &AlertView, clock: &ShipClock) -> String {
    let state = match alert.state {
        AlertState::ActiveUnacknowledged => ", not acknowledged",
        AlertState::ActiveSilenced => ", silenced",
        AlertState::ActiveAcknowledged if alert.priority == Priority::Caution => "",
        AlertState::ActiveAcknowledged => ", acknowledged",
        AlertState::RectifiedUnacknowledged => ", cleared, not acknowledged",
        AlertState::Normal => ", over",
    };
    format!(
        "{}{state}, since {}",
        alert.priority.capitals(),
        clock.clock(alert.since)
    )
}

fn since_line(input: &PictureInput) -> String {
    let picture = &input.picture;
    if picture.anchor.is_none() {
        return "the anchor is not watched".to_owned();
    }
    picture
        .phase_since
        .map_or("since when is not known".to_owned(), |since| {
            format!(
                "since {}, for {}",
                input.clock.clock(since),
                since_then(input.time, since)
            )
        })
}

fn since_then(now: Timestamp, then: Timestamp) -> String {
    spoken(Duration::from_millis(
        now.millis_since(then).max(0).unsigned_abs(),
    ))
}

/// The hazard stands in the head; the sentence need not begin with it again.
fn without_prefix(message: &str) -> &str {
    message
        .split_once(": ")
        .filter(|(prefix, _)| PREFIXES.contains(prefix))
        .map_or(message, |(_, rest)| rest)
}

/// What else stands.
fn others(alerts: &[AlertView]) -> Option<String> {
    let rest = alerts.get(1..).filter(|rest| !rest.is_empty())?;
    let names: Vec<&str> = rest.iter().map(|alert| alert.hazard.short()).collect();
    Some(format!("also {}", names.join(", ")))
}

/// Six figures in two columns, the time, the caution.
pub(super) fn figures(svg: &mut Svg, input: &PictureInput, top: f64) {
    let cells = cells(&input.picture, &Wording::in_unit(input.lengths));
    let column = (WIDTH - 2.0 * MARGIN) / 2.0;
    for (index, (name, value)) in cells.iter().enumerate() {
        let x = MARGIN + PAD + column * (index % 2) as f64;
        let y = top + ROW * (index / 2) as f64;
        let dial = input
            .picture
            .live()
            .wind_direction
            .filter(|_| *name == WIND);
        let room = column - PAD - dial.map_or(0.0, |_| DIAL + PAD);
        svg.words(
            name,
            Point { x, y: y + SMALL },
            SMALL,
            Side::Start,
            ink::MIDDLE,
        );
        let value = clean(value.as_deref().unwrap_or("not known"));
        let value = cut(&value, room_for(room, FIGURE * 0.6));
        let size = size_to_fit(&value, FIGURE, room);
        svg.words(
            &value,
            Point {
                x,
                y: y + SMALL + FIGURE * 0.98,
            },
            size,
            Side::Start,
            ink::BRIGHT,
        );
        if let Some(from) = dial {
            let centre = Point {
                x: x + column - PAD - DIAL / 2.0,
                y: y + ROW / 2.0,
            };
            wind_dial(svg, centre, from.get());
        }
    }
    foot(svg, input);
}

/// What the crew asks: at anchor how she lies, before that the way to the berth.
fn cells(picture: &WatchState, say: &Wording) -> [(&'static str, Option<String>); 6] {
    let length = |length: Option<Metres>| length.map(|length| say.length(length));
    let vector = |distance: Option<Metres>, bearing: Option<Bearing>| {
        distance.zip(bearing).map(|(distance, bearing)| {
            format!("{} {bearing}{}", say.length(distance), ago(picture.fix_ago))
        })
    };
    let wind = picture
        .wind_speed
        .zip(picture.wind_direction)
        .map(|(speed, from)| format!("{speed} {from}{}", ago(picture.wind_ago)));
    let doubt = match (picture.fix_uncertainty, picture.fix_ago) {
        (Some(doubt), _) => Some(format!("±{}", say.whole(doubt))),
        (None, Some(age)) => Some(
            ago(Some(age))
                .replace(", ", "none for ")
                .replace(" ago", ""),
        ),
        (None, None) => None,
    };
    let depth_only = picture
        .water_depth
        .map(|depth| format!("{}{}", say.length(depth), ago(picture.depth_ago)));
    if picture.anchor.is_none() {
        let time = picture
            .berth_time
            .and_then(|seconds| Duration::try_from_secs_f64(seconds).ok())
            .map(spoken);
        return [
            (
                match picture.measured_from {
                    MeasuredFrom::BowRoller => "berth from bow",
                    MeasuredFrom::Antenna => "berth from antenna",
                },
                vector(picture.berth_distance, picture.berth_bearing),
            ),
            ("time to berth", time),
            (WIND, wind),
            (
                "head to wind",
                picture.head_to_wind_course.map(|course| course.to_string()),
            ),
            ("depth", depth_only),
            (FIX, doubt),
        ];
    }
    let depth = match (picture.water_depth, picture.scope) {
        (Some(depth), Some(scope)) if picture.depth_ago.is_none() => {
            Some(format!("{} {scope:.1}:1", say.length(depth)))
        }
        _ => depth_only,
    };
    [
        (
            match picture.measured_from {
                MeasuredFrom::BowRoller => "anchor from bow",
                MeasuredFrom::Antenna => "anchor from antenna",
            },
            vector(picture.anchor_distance, picture.anchor_bearing),
        ),
        ("reach of rode", length(picture.reach)),
        (WIND, wind),
        ("swinging circle", length(picture.max_radius)),
        ("depth, scope", depth),
        (FIX, doubt),
    ]
}

/// A ring with an arrow that flies with the wind; north is up as on the chart.
fn wind_dial(svg: &mut Svg, centre: Point, from: f64) {
    let radius = DIAL / 2.0 - 4.0;
    let (sin, cos) = from.sin_cos();
    // Along the wind and across it.
    let at = |along: f64, across: f64| Point {
        x: centre.x - along * sin + across * cos,
        y: centre.y + along * cos + across * sin,
    };
    svg.circle(
        "wind",
        centre,
        radius,
        ink::NIGHT,
        Some(Stroke::of(ink::FAINT, 3.0)),
    );
    let shaft = through(&[at(-radius + 4.0, 0.0), at(radius * 0.35, 0.0)]);
    svg.path(
        "wind-shaft",
        &shaft,
        "none",
        Some(Stroke::of(ink::BRIGHT, 5.0)),
    );
    let head = through(&[
        at(radius - 5.0, 0.0),
        at(radius * 0.1, radius * 0.42),
        at(radius * 0.3, 0.0),
        at(radius * 0.1, -radius * 0.42),
    ]);
    svg.path("wind-head", &format!("{head}Z"), ink::BRIGHT, None);
}

fn foot(svg: &mut Svg, input: &PictureInput) {
    let (date, clock) = input.clock.day_and_time(input.time);
    let y = HEIGHT - MARGIN - SMALL * 2.8;
    let left = MARGIN + PAD;
    svg.words(&clock, Point { x: left, y }, TIME, Side::Start, ink::BRIGHT);
    svg.words(
        &date,
        Point {
            x: WIDTH - MARGIN - PAD,
            y,
        },
        SMALL,
        Side::End,
        ink::MIDDLE,
    );
    for (index, line) in CAUTION.iter().rev().enumerate() {
        let y = HEIGHT - MARGIN - SMALL * 1.25 * index as f64;
        svg.words(line, Point { x: left, y }, SMALL, Side::Start, ink::MIDDLE);
    }
}

const WIND: &str = "wind from";
const FIX: &str = "fix, 95 %";
const CAUTION: [&str; 2] = [
    "An aid, no substitute for a lookout.",
    "Not for navigation.",
];
/// How the desk's sentences begin where they begin with the hazard.
const PREFIXES: [&str; 5] = [
    "dragging",
    "outside the swinging circle",
    "wind shift",
    "shoaling",
    "scope short",
];
const PAD: f64 = 18.0;
const HEAD: f64 = 60.0;
const SAID: f64 = 29.0;
/// Of the sentence: the longest of the hazards' own goes into four.
const LINES: usize = 4;
const SMALL: f64 = 23.0;
const FIGURE: f64 = 42.0;
const TIME: f64 = 38.0;
const ROW: f64 = 76.0;
const DIAL: f64 = 66.0;
