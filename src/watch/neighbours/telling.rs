//! Every sentence about neighbours, and the figures behind them. Hazard `neighbour`.

use std::time::Duration;

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::danger::{Danger, Found};
use crate::alert::desk::{Cause, Finding};
use crate::alert::wording::Wording;
use crate::geodesy::Position;
use crate::units::{Bearing, Metres, Speed, spoken};
use crate::watch::judgement::{centimetres, finding};

/// What a neighbour does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Doing {
    /// At anchor, by what she says or because she lies still.
    AtAnchor,
    /// Moored or aground, by what she says.
    Moored,
    /// She lay still and has left her place.
    LeftHerPlace,
    /// Under way.
    UnderWay,
}

impl Doing {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::AtAnchor => "at anchor",
            Self::Moored => "moored",
            Self::LeftHerPlace => "has left her place",
            Self::UnderWay => "under way",
        }
    }
}

/// A neighbour as displays may show her; SI, true bearings, WGS 84.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Neighbour {
    /// Her name, or the context the server gives her.
    pub name: String,
    /// What she does.
    pub doing: Doing,
    /// Her centre, as far as it is known, when she was last heard.
    pub position: Position,
    /// From our centre to hers.
    pub bearing: Bearing,
    /// From our centre to hers.
    pub distance: Metres,
    /// Seconds since then.
    pub heard_ago: f64,
    /// Over the ground, when she was last heard.
    pub speed: Option<Speed>,
    /// The circle she swings in, while she lies still.
    pub circle: Option<HerCircle>,
    /// Between our circle and hers where each lies at the near edge; negative where they overlap.
    pub room_at_worst: Option<Metres>,
    /// Between the boats where both lie the same way, whichever that is.
    pub room_together: Option<Metres>,
}

/// A neighbour's circle.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct HerCircle {
    /// Where her anchor seems to lie.
    pub anchor: Position,
    /// To the farthest part of her hull.
    pub radius: Metres,
    /// By common practice for her length in this depth; otherwise by her track.
    pub assumed: bool,
}

impl Neighbour {
    /// In words, without her name.
    #[must_use]
    pub fn words(&self, say: &Wording) -> String {
        let speed = self
            .speed
            .filter(|_| self.circle.is_none())
            .map_or(String::new(), |speed| format!(" at {speed}"));
        let heard = Duration::try_from_secs_f64(self.heard_ago).unwrap_or_default();
        let circle = self.circle.map_or(String::new(), |circle| {
            let how = if circle.assumed {
                "assumed"
            } else {
                "by her track"
            };
            format!("; her circle {} ({how})", say.whole(circle.radius))
        });
        let room = self.room_together.zip(self.room_at_worst).map_or(
            String::new(),
            |(together, worst)| {
                format!(
                    ", room {} swinging together, {} at worst",
                    room(say, together),
                    room(say, worst)
                )
            },
        );
        format!(
            "bears {} at {}, {}{speed}, heard {} ago{circle}{room}",
            self.bearing,
            say.length(self.distance),
            self.doing.words(),
            spoken(heard)
        )
    }
}

fn room(say: &Wording, room: Metres) -> String {
    if room < Metres::ZERO {
        "none".to_owned()
    } else {
        say.whole(room)
    }
}

/// A danger with whom it comes from.
#[derive(Clone, Debug)]
pub(super) struct Told {
    pub(super) number: u32,
    pub(super) name: String,
    pub(super) found: Found,
}

/// The dangers, gravest first; at least one.
pub(super) fn told(say: &Wording, all: &[Told]) -> Option<Finding> {
    let (first, others) = all.split_first()?;
    let (shown, more) = others.split_at(others.len().min(MOST_TOLD - 1));
    let also: Vec<String> = shown
        .iter()
        .map(|told| {
            let found = &told.found;
            format!(
                "; also {}, {} off at {}",
                told.name,
                say.whole(found.gap),
                found.bearing
            )
        })
        .collect();
    let more = match more.len() {
        0 => String::new(),
        count => format!("; and {count} more"),
    };
    let causes = [first].into_iter().chain(shown);
    let causes = causes.map(|told| Cause::Neighbour(told.number)).collect();
    let found = &first.found;
    Some(Finding {
        causes,
        ..finding(
            found.priority,
            0.0,
            format!(
                "{}{}{more}; {}",
                sentence(say, first),
                also.concat(),
                act(found.danger)
            ),
            evidence(first),
        )
    })
}

fn sentence(say: &Wording, told: &Told) -> String {
    let Told { name, found, .. } = told;
    let (off, bears) = (say.whole(found.gap), found.bearing);
    let heard = if found.heard > HEARD_NOW {
        format!(" (heard {} ago)", spoken(found.heard))
    } else {
        String::new()
    };
    let closing = Speed::of(found.closing.max(0.0));
    match found.danger {
        Danger::Leaves => {
            let then = found.after.map_or(String::new(), |after| {
                let (what, least) = if found.least <= MAY_TOUCH {
                    ("may touch", String::new())
                } else {
                    ("passes", format!(" {} off", say.whole(found.least)))
                };
                format!(", closing at {closing}, {what}{least} in {}", spoken(after))
            });
            format!(
                "neighbour dragging or under way: {name} has left her place, {off} off, bears {bears}{then}{heard}"
            )
        }
        Danger::Passes => {
            let after = found.after.unwrap_or_default();
            let what = if found.least <= MAY_TOUCH {
                "may touch".to_owned()
            } else {
                format!("comes within {}", say.whole(found.least))
            };
            format!(
                "vessel passes close: {name} {what} in {}; {off} off now, bears {bears}, closing at {closing}{heard}",
                spoken(after)
            )
        }
        Danger::LiesCloser => format!(
            "neighbour lies closer: {name} is {off} off, bears {bears}, closer than she lay before{heard}"
        ),
    }
}

const fn act(danger: Danger) -> &'static str {
    match danger {
        Danger::Leaves => "look outside, wake her crew, start the engine",
        Danger::Passes => "look outside, show a light",
        Danger::LiesCloser => "look outside, fenders out, shorten or move",
    }
}

fn evidence(told: &Told) -> Value {
    let found = &told.found;
    json!({
        "neighbour": told.name,
        "neighbourBearing": (found.bearing.get() * 1e4).round() / 1e4,
        "neighbourGap": centimetres(found.gap),
        "neighbourLeast": centimetres(found.least),
        "neighbourClosing": (found.closing * 100.0).round() / 100.0,
        "neighbourAfter": found.after.map(|after| after.as_secs()),
    })
}

/// As many are named and acknowledged one by one.
const MOST_TOLD: usize = 3;
/// The error of a fix.
const MAY_TOUCH: Metres = Metres::of(10.0);
const HEARD_NOW: Duration = Duration::from_secs(30);
