//! A question about one circle, and the answer that is held: when to ask again.
//!
//! The charts lie on disk, and a disk may be slow: the watch asks with an output and takes the answer as an input. It
//! asks again when the circle, the lowest tide or the draught differs from what was asked by what would make a
//! difference; an answer of nearly the same circle is held until the new one comes.

use std::time::Duration;

use serde::{Deserialize, Serialize};

use crate::chart::clearance::{DepthThere, Needs, Room, RoomTold};
use crate::chart::own::{MOST_DOUBT, OwnSounding};
use crate::chart::sheet::Sheet;
use crate::geodesy::Position;
use crate::speech::Language;
use crate::time::Tick;
use crate::units::{LengthUnit, Metres};
use crate::watch::charted::About;

/// Asks what the charts say of a place.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct ChartQuestion {
    /// The answer carries it back.
    pub number: u64,
    /// Which circle it is: a later question about it takes the place of one that is not answered yet.
    #[serde(default)]
    pub about: About,
    /// The middle of the circle.
    pub centre: Position,
    /// How far she swings; `None` asks for the depth there alone.
    pub radius: Option<Metres>,
    /// Surface to keel; zero where it is not known.
    pub draught: Metres,
    /// To be left under the keel.
    pub margin: Metres,
    /// The lowest tide of the stay, above chart datum; datum itself where no tide is known.
    pub lowest: Metres,
    /// The tide now.
    pub now: Option<Metres>,
    /// The unit that lengths are reported in.
    pub lengths: LengthUnit,
    /// The language of what is reported.
    #[serde(default)]
    pub language: Language,
}

/// What the charts say of a place.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct ChartSays {
    /// The depth there.
    pub there: Option<DepthThere>,
    /// The circle, where one was asked for.
    pub room: Option<RoomTold>,
}

/// The answer to a question.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct ChartAnswer {
    /// Of the question.
    pub number: u64,
    /// What the charts say, or why they cannot be read.
    pub says: Result<ChartSays, String>,
}

impl ChartQuestion {
    /// What the keel needs.
    #[must_use]
    pub const fn needs(&self) -> Needs {
        Needs {
            draught: self.draught,
            margin: self.margin,
            lowest: self.lowest,
            now: self.now,
            say: self.lengths,
            language: self.language,
        }
    }

    /// Asks the charts of the area.
    #[must_use]
    pub fn put_to(&self, sheet: &Sheet) -> ChartAnswer {
        let there = sheet.depth_at(self.centre);
        let needs = self.needs();
        let room = self
            .radius
            .map(|radius| Room::circle(self.centre, radius))
            .transpose()
            .map(|room| {
                room.map(|room| RoomTold::of(&sheet.clearance(room, &needs), &needs.wording()))
            });
        let says = room
            .map(|room| ChartSays { there, room })
            .map_err(|error| error.to_string());
        ChartAnswer {
            number: self.number,
            says,
        }
    }

    /// Would the answer be the same, as far as that makes a difference?
    fn is_like(&self, other: &Self) -> bool {
        let near = |a: Metres, b: Metres, by: f64| (a - b).get().abs() < by;
        let radius = match (self.radius, other.radius) {
            (Some(a), Some(b)) => near(a, b, WORTH_ASKING),
            (a, b) => a.is_none() && b.is_none(),
        };
        let now = match (self.now, other.now) {
            (Some(a), Some(b)) => near(a, b, TIDE_NOW),
            (a, b) => a.is_none() && b.is_none(),
        };
        radius
            && now
            && self.centre.distance_to(other.centre).get() < WORTH_ASKING
            && near(self.lowest, other.lowest, TIDE)
            && self.draught == other.draught
            && self.margin == other.margin
    }

    /// Does what was said of the other circle tell of this one until there is a better answer?
    fn is_nearly(&self, other: &Self) -> bool {
        let radius = match (self.radius, other.radius) {
            (Some(a), Some(b)) => (a - b).get().abs() < STILL_TELLS,
            _ => true,
        };
        radius && self.centre.distance_to(other.centre).get() < STILL_TELLS
    }
}

/// One circle and what the charts say of it.
#[derive(Clone, Debug, Default)]
pub(super) struct Inquiry {
    wanted: Option<ChartQuestion>,
    outstanding: Option<(ChartQuestion, Tick)>,
    held: Option<(ChartQuestion, Tick, Result<ChartSays, String>)>,
    /// The boat has sounded there since it was asked.
    doubted: bool,
}

impl Inquiry {
    /// Takes what is to be known now; the question to be asked, if it is one.
    pub(super) fn want(
        &mut self,
        now: Tick,
        wanted: Option<ChartQuestion>,
        number: &mut u64,
    ) -> Option<ChartQuestion> {
        self.wanted = wanted;
        let Some(wanted) = wanted else {
            *self = Self::default();
            return None;
        };
        self.held = self.held.take().filter(|(of, ..)| wanted.is_nearly(of));
        let known = self.held.as_ref().is_some_and(|(of, at, says)| {
            !self.doubted && wanted.is_like(of) && (says.is_ok() || now.since(*at) < ASK_AGAIN)
        });
        let asked = self
            .outstanding
            .is_some_and(|(of, at)| !self.doubted && wanted.is_like(&of) && now.since(at) < LOST);
        if known || asked {
            return None;
        }
        self.doubted = false;
        *number += 1;
        let question = ChartQuestion {
            number: *number,
            ..wanted
        };
        self.outstanding = Some((question, now));
        Some(question)
    }

    /// Takes an answer; was it to this question?
    pub(super) fn take(&mut self, now: Tick, answer: &ChartAnswer) -> bool {
        let Some((question, _)) = self
            .outstanding
            .filter(|(of, _)| of.number == answer.number)
        else {
            return false;
        };
        self.outstanding = None;
        self.held = Some((question, now, answer.says.clone()));
        true
    }

    /// The last question has been answered.
    pub(super) fn is_settled(&self) -> bool {
        match (&self.wanted, &self.held) {
            (None, _) => true,
            (Some(wanted), Some((of, ..))) => wanted.is_like(of),
            (Some(_), None) => false,
        }
    }

    /// Something has been said of this place, or why not.
    pub(super) const fn is_answered(&self) -> bool {
        self.held.is_some()
    }

    /// Nothing is held that could tell: no answer yet, or only why there is none.
    pub(super) fn is_open(&self) -> bool {
        self.wanted.is_some() && self.says().is_none()
    }

    /// These were sounded after it was asked.
    pub(super) fn doubt(&mut self, soundings: &[OwnSounding]) {
        let Some(wanted) = &self.wanted else {
            return;
        };
        let within = wanted.radius.unwrap_or_default() + MOST_DOUBT;
        let lies = |it: &OwnSounding| wanted.centre.distance_to(it.position) <= within;
        self.doubted |= soundings.iter().any(lies);
    }

    pub(super) fn there(&self) -> Option<&DepthThere> {
        self.says()?.there.as_ref()
    }

    pub(super) fn room(&self) -> Option<&RoomTold> {
        self.says()?.room.as_ref()
    }

    /// The charts cannot be read.
    pub(super) fn has_failed(&self) -> bool {
        matches!(&self.held, Some((_, _, Err(_))))
    }

    fn says(&self) -> Option<&ChartSays> {
        let (_, _, says) = self.held.as_ref()?;
        says.as_ref().ok()
    }
}

/// Metres. Chosen: a display at harbour scale shows about a metre a pixel.
const WORTH_ASKING: f64 = 1.0;
/// Metres of lowest water; charts give decimetres.
const TIDE: f64 = 0.05;
/// Metres of tide now, which tells "grounds now" from "grounds at low water" and no more.
const TIDE_NOW: f64 = 0.25;
/// Metres, while the new answer is not there.
const STILL_TELLS: f64 = 10.0;
/// Charts that could not be read are tried again.
const ASK_AGAIN: Duration = Duration::from_mins(5);
/// An answer that has not come by then is lost.
const LOST: Duration = Duration::from_secs(30);
