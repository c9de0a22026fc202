//! The text panels: above the chart the most serious alert with its number; below it the figures, the time
//! and the caution.

use std::time::Duration;

use super::lettering::{clean, cut, room_for, size_to_fit, wrap};
use super::writer::{Point, Rect, Side, Stroke, Svg, ink, through};
use super::{HEIGHT, MARGIN, PictureInput, WIDTH};
use crate::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use crate::speech::picture::Picture;
use crate::speech::status::Status;
use crate::speech::{Sentence, Whole, Wording};
use crate::time::Timestamp;
use crate::units::{Bearing, Metres};
use crate::watch::state::{MeasuredFrom, WatchState, age};

/// Height of the figures and of the lines below them.
pub(super) const FIGURES_HEIGHT: f64 = 344.0;

/// One line that a screen reader reads aloud.
pub(super) fn title(input: &PictureInput) -> String {
    input.alerts.first().map_or_else(
        || {
            let phase = input.picture.word();
            Picture::Title { phase }.words(&input.wording())
        },
        |alert| {
            let say = input.wording();
            let title = Picture::AlertTitle {
                priority: alert.priority.capitals(&say),
                hazard: alert.hazard.short(),
            };
            title.words(&say)
        },
    )
}

/// The picture in one sentence.
pub(super) fn description(input: &PictureInput) -> String {
    let say = input.wording();
    let no_alerts = || Status::NoAlerts.words(&say);
    let alert = input.alerts.first();
    let told = alert.map_or_else(no_alerts, |alert| alert.message.clone());
    format!("{told}; {}; {}", input.time, caution(&say).join(" "))
}

/// The most serious alert, or a line that there is none; returns where the panel ends.
pub(super) fn alert(svg: &mut Svg, input: &PictureInput, top: f64) -> f64 {
    let say = input.wording();
    let (head, number, state, message) = match input.alerts.first() {
        Some(alert) => (
            alert.hazard.short().words(&say).to_uppercase(),
            number(alert, input),
            state_line(alert, input),
            without_hazard(alert, &say),
        ),
        None => (
            input.picture.word().words(&say).to_uppercase(),
            None,
            since_line(input),
            Status::NoAlerts.words(&say),
        ),
    };
    let others = others(input);
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

/// How a panel shows how serious its alert is.
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

/// The number that belongs to the hazard, if the state has one.
fn number(alert: &AlertView, input: &PictureInput) -> Option<String> {
    let picture = &input.picture.live();
    let say = input.wording();
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
            .map(|speed| say.speed(speed)),
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
            .map(|scope| say.scope(scope)),
        // The only age in the picture: that of the last fix.
        Hazard::Position | Hazard::DataLink => picture
            .fix_ago
            .and_then(|age| Duration::try_from_secs_f64(age).ok())
            .map(|age| say.span(age)),
        Hazard::Instrument | Hazard::Watch | Hazard::Neighbour => None,
    }
    .map(|number| clean(&number))
}

fn state_line(alert: &AlertView, input: &PictureInput) -> String {
    let say = input.wording();
    let line = Status::Alert {
        priority: alert.priority.capitals(&say),
        state: alert.shown(),
        since: input.clock.clock(alert.since),
    };
    line.words(&say)
}

fn since_line(input: &PictureInput) -> String {
    let picture = &input.picture;
    let line = match picture.phase_since {
        _ if picture.anchor.is_none() => Picture::NotWatched,
        None => Picture::SinceUnknown,
        Some(since) => Picture::Since {
            since: input.clock.clock(since),
            time: since_then(input.time, since),
        },
    };
    line.words(&input.wording())
}

fn since_then(now: Timestamp, then: Timestamp) -> Duration {
    Duration::from_millis(now.millis_since(then).max(0).unsigned_abs())
}

/// The hazard is already in the head; the sentence need not begin with it again.
fn without_hazard(alert: &AlertView, say: &Wording) -> String {
    let hazard = alert.hazard.words().words(say);
    let message = clean(&alert.message);
    let rest = message.strip_prefix(&hazard).map(str::trim_start);
    let rest = rest.and_then(|rest| rest.strip_prefix(": "));
    rest.map_or_else(|| message.clone(), str::to_owned)
}

/// The other current alerts.
fn others(input: &PictureInput) -> Option<String> {
    let rest = input.alerts.get(1..).filter(|rest| !rest.is_empty())?;
    let hazards = Sentence::several(rest.iter().map(|alert| alert.hazard.short()), ", ");
    Some(Picture::Also { hazards }.words(&input.wording()))
}

/// Six figures in two columns, the time, the caution.
pub(super) fn figures(svg: &mut Svg, input: &PictureInput, top: f64) {
    let say = input.wording();
    let cells = cells(&input.picture, &say);
    let column = (WIDTH - 2.0 * MARGIN) / 2.0;
    for (index, (name, value)) in cells.iter().enumerate() {
        let x = MARGIN + PAD + column * (index % 2) as f64;
        let y = top + ROW * (index / 2) as f64;
        let dial = input
            .picture
            .live()
            .wind_direction
            .filter(|_| *name == Picture::WindFrom);
        let room = column - PAD - dial.map_or(0.0, |_| DIAL + PAD);
        svg.words(
            &name.clone().words(&say),
            Point { x, y: y + SMALL },
            SMALL,
            Side::Start,
            ink::MIDDLE,
        );
        let value = clean(
            &value
                .clone()
                .unwrap_or_else(|| Picture::NotKnown.into())
                .words(&say),
        );
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

/// The crew's main question: at anchor, how she lies; before that, the way to the berth.
fn cells(picture: &WatchState, say: &Wording) -> [(Picture, Option<Sentence>); 6] {
    let length = |length: Option<Metres>| length.map(|it| Sentence::verbatim(say.length(it)));
    let antenna = picture.measured_from == MeasuredFrom::Antenna;
    let vector = |distance: Option<Metres>, bearing: Option<Bearing>| {
        let (distance, bearing) = distance.zip(bearing)?;
        let ago = age(picture.fix_ago);
        let vector = Picture::Vector {
            distance,
            bearing,
            ago,
        };
        Some(vector.into())
    };
    let wind = picture.wind_speed.zip(picture.wind_direction);
    let wind = wind.map(|(speed, from)| {
        let ago = age(picture.wind_ago);
        Picture::Wind { speed, from, ago }.into()
    });
    let doubt = match (picture.fix_uncertainty, age(picture.fix_ago)) {
        (Some(doubt), _) => {
            let doubt = Whole(doubt);
            Some(Picture::FixDoubt { doubt }.into())
        }
        (None, Some(time)) => Some(Picture::NoFixFor { time }.into()),
        (None, None) => None,
    };
    let depth_only = picture.water_depth.map(|depth| {
        let ago = age(picture.depth_ago);
        Picture::DepthAgo { depth, ago }.into()
    });
    if picture.anchor.is_none() {
        let time = age(picture.berth_time).map(|time| Sentence::verbatim(say.span(time)));
        let course = picture.head_to_wind_course;
        return [
            (
                Picture::BerthFrom { antenna },
                vector(picture.berth_distance, picture.berth_bearing),
            ),
            (Picture::TimeToBerth, time),
            (Picture::WindFrom, wind),
            (
                Picture::HeadToWind,
                course.map(|course| Sentence::verbatim(course.to_string())),
            ),
            (Picture::Depth, depth_only),
            (Picture::Fix, doubt),
        ];
    }
    let depth = match (picture.water_depth, picture.scope) {
        (Some(depth), Some(scope)) if picture.depth_ago.is_none() => {
            let both = format!("{} {}", say.length(depth), say.scope(scope));
            Some(Sentence::verbatim(both))
        }
        _ => depth_only,
    };
    [
        (
            Picture::AnchorFrom { antenna },
            vector(picture.anchor_distance, picture.anchor_bearing),
        ),
        (Picture::Reach, length(picture.reach)),
        (Picture::WindFrom, wind),
        (Picture::Circle, length(picture.max_radius)),
        (Picture::DepthAndScope, depth),
        (Picture::Fix, doubt),
    ]
}

/// A ring with an arrow that points down-wind; north is up as on the chart.
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
    for (index, line) in caution(&input.wording()).iter().rev().enumerate() {
        let y = HEIGHT - MARGIN - SMALL * 1.25 * index as f64;
        svg.words(line, Point { x: left, y }, SMALL, Side::Start, ink::MIDDLE);
    }
}

fn caution(say: &Wording) -> [String; 2] {
    [
        Picture::Aid.words(say),
        Picture::NotForNavigation.words(say),
    ]
}

const PAD: f64 = 18.0;
const HEAD: f64 = 60.0;
const SAID: f64 = 29.0;
/// Lines of the sentence: the longest sentence of a hazard fits into four.
const LINES: usize = 4;
const SMALL: f64 = 23.0;
const FIGURE: f64 = 42.0;
const TIME: f64 = 38.0;
const ROW: f64 = 76.0;
const DIAL: f64 = 66.0;
