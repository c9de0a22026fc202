//! A question to the charts about one circle, and its latest answer: decides when to ask again.
//!
//! The charts lie on disk, and a disk may be slow: the watch asks with an output and takes the answer as an input.
//! It asks again when the circle, the lowest tide or the draught has changed by enough to matter. Until the new
//! answer comes, the answer for a nearly equal circle stays in use.

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

/// A question to the charts about one place.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct ChartQuestion {
    /// The number of the question; the answer repeats it.
    pub number: u64,
    /// Which circle it is about: a later question about the same circle replaces one that is not answered yet.
    #[serde(default)]
    pub about: About,
    /// The centre of the circle.
    pub centre: Position,
    /// How far she swings; `None` asks only for the depth at the centre.
    pub radius: Option<Metres>,
    /// From the surface to the keel; zero if unknown.
    pub draught: Metres,
    /// The depth to keep under the keel.
    pub margin: Metres,
    /// The lowest tide of the stay, above chart datum; zero if no tide is known.
    pub lowest: Metres,
    /// The present tide.
    pub now: Option<Metres>,
    /// The unit that lengths are reported in.
    pub lengths: LengthUnit,
    /// The language of what is reported.
    #[serde(default)]
    pub language: Language,
}

/// What the charts say about a place.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct ChartSays {
    /// The depth there.
    pub there: Option<DepthThere>,
    /// The circle, if the question was about one.
    pub room: Option<RoomTold>,
}

/// The answer to a question.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct ChartAnswer {
    /// The number of the question.
    pub number: u64,
    /// What the charts say, or why they cannot be read.
    pub says: Result<ChartSays, String>,
}

impl ChartQuestion {
    /// The depths that the keel needs.
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

    /// Are the questions close enough to have the same answer?
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

    /// Is the answer for the other circle good enough for this one until a better answer comes?
    fn is_nearly(&self, other: &Self) -> bool {
        let radius = match (self.radius, other.radius) {
            (Some(a), Some(b)) => (a - b).get().abs() < STILL_TELLS,
            _ => true,
        };
        radius && self.centre.distance_to(other.centre).get() < STILL_TELLS
    }
}

/// One circle and what the charts say about it.
#[derive(Clone, Debug, Default)]
pub(super) struct Inquiry {
    wanted: Option<ChartQuestion>,
    outstanding: Option<(ChartQuestion, Tick)>,
    held: Option<(ChartQuestion, Tick, Result<ChartSays, String>)>,
    /// The boat has taken soundings there since the question was asked.
    doubted: bool,
}

impl Inquiry {
    /// Takes the question of this moment and returns it if it must be asked.
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

    /// Takes an answer. Returns whether it belongs to this question.
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

    /// There is an answer for this place, or a reason why there is none.
    pub(super) const fn is_answered(&self) -> bool {
        self.held.is_some()
    }

    /// No usable answer is held: none has come yet, or only the reason why there is none.
    pub(super) fn is_open(&self) -> bool {
        self.wanted.is_some() && self.says().is_none()
    }

    /// Takes soundings that were taken after the question was asked.
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
/// Metres of present tide; this only tells "grounds now" from "grounds at low water".
const TIDE_NOW: f64 = 0.25;
/// Metres; the old answer stays in use this far until the new one comes.
const STILL_TELLS: f64 = 10.0;
/// How long until charts that could not be read are tried again.
const ASK_AGAIN: Duration = Duration::from_mins(5);
/// An answer that has not come by then counts as lost.
const LOST: Duration = Duration::from_secs(30);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geodesy::Plane;
    use crate::geodesy::east;

    const HERE: Position = Position::of(59.8539, 23.26);

    fn about(metres: f64) -> ChartQuestion {
        ChartQuestion {
            number: 0,
            about: About::Anchor,
            centre: Plane::at(HERE).position(east(metres)),
            radius: Some(Metres::of(40.0)),
            draught: Metres::of(1.9),
            margin: Metres::of(1.0),
            lowest: Metres::of(0.5),
            now: Some(Metres::of(1.0)),
            lengths: LengthUnit::default(),
            language: Language::default(),
        }
    }

    /// An inquiry that asked the first question at the first moment.
    fn asked() -> (Inquiry, u64) {
        let (mut inquiry, mut number) = (Inquiry::default(), 0);
        let first = inquiry.want(Tick::START, Some(about(0.0)), &mut number);
        assert_eq!(first.map(|question| question.number), Some(1));
        (inquiry, number)
    }

    fn answer(number: u64, says: Result<ChartSays, String>) -> ChartAnswer {
        ChartAnswer { number, says }
    }

    /// Returns whether this question is asked, so many seconds after the first one.
    fn asks(inquiry: &Inquiry, seconds: u64, wanted: ChartQuestion) -> bool {
        let (mut inquiry, mut number) = (inquiry.clone(), 1);
        let now = Tick::from_secs(seconds);
        inquiry.want(now, Some(wanted), &mut number).is_some()
    }

    #[test]
    fn a_question_is_asked_once_and_again_if_its_answer_is_lost() {
        let (inquiry, _) = asked();
        assert!(!asks(&inquiry, 29, about(0.0)) && asks(&inquiry, 31, about(0.0)));
        // Another circle does not wait for that.
        assert!(asks(&inquiry, 1, about(50.0)));
    }

    /// A metre of the circle, five centimetres of the lowest water and a quarter of a metre of the present one.
    #[test]
    fn an_answer_stands_until_something_changes_that_matters() {
        let (mut inquiry, _) = asked();
        assert!(inquiry.take(Tick::from_secs(1), &answer(1, Ok(ChartSays::default()))));
        let here = about(0.0);
        let alike = [
            here,
            about(0.9),
            ChartQuestion {
                radius: Some(Metres::of(40.9)),
                lowest: Metres::of(0.46),
                now: Some(Metres::of(0.8)),
                ..here
            },
        ];
        for question in alike {
            assert!(!asks(&inquiry, 7200, question), "{question:?}");
        }
        let differ = [
            about(1.1),
            ChartQuestion {
                radius: Some(Metres::of(38.9)),
                ..here
            },
            ChartQuestion {
                radius: None,
                ..here
            },
            ChartQuestion {
                lowest: Metres::of(0.44),
                ..here
            },
            ChartQuestion {
                now: Some(Metres::of(1.3)),
                ..here
            },
            ChartQuestion { now: None, ..here },
            ChartQuestion {
                draught: Metres::of(2.0),
                ..here
            },
            ChartQuestion {
                margin: Metres::of(0.5),
                ..here
            },
        ];
        for question in differ {
            assert!(asks(&inquiry, 7200, question), "{question:?}");
        }
    }

    #[test]
    fn charts_that_cannot_be_read_are_tried_again_after_five_minutes() {
        let (mut inquiry, _) = asked();
        inquiry.take(Tick::START, &answer(1, Err("torn".to_owned())));
        assert!(inquiry.has_failed() && inquiry.is_open() && inquiry.is_answered());
        assert!(!asks(&inquiry, 299, about(0.0)) && asks(&inquiry, 301, about(0.0)));
    }

    /// The answer for a circle ten metres off, or ten metres wider, is not used.
    #[test]
    fn the_old_answer_stays_in_use_for_a_circle_that_is_nearly_the_same() {
        let uses = |wanted: ChartQuestion| {
            let (mut inquiry, mut number) = asked();
            inquiry.take(Tick::START, &answer(1, Ok(ChartSays::default())));
            inquiry.want(Tick::from_secs(2), Some(wanted), &mut number);
            assert!(!inquiry.is_settled());
            inquiry.is_answered()
        };
        let wider = |metres: f64| ChartQuestion {
            radius: Some(Metres::of(40.0 + metres)),
            ..about(0.0)
        };
        assert!(uses(about(9.0)) && !uses(about(11.0)));
        assert!(uses(wider(9.0)) && !uses(wider(11.0)) && !uses(wider(-11.0)));
        let both = ChartQuestion {
            centre: about(11.0).centre,
            ..wider(5.0)
        };
        assert!(!uses(both));
    }

    #[test]
    fn an_answer_to_another_question_is_not_taken() {
        let (mut inquiry, _) = asked();
        assert!(!inquiry.is_settled() && inquiry.is_open());
        assert!(!inquiry.take(Tick::START, &answer(2, Ok(ChartSays::default()))));
        assert!(!inquiry.is_settled());
        assert!(inquiry.take(Tick::START, &answer(1, Ok(ChartSays::default()))));
        assert!(inquiry.is_settled() && !inquiry.is_open());
        // It is answered, and only once.
        assert!(!inquiry.take(Tick::START, &answer(1, Ok(ChartSays::default()))));
    }
}
