//! What is on disk of the neighbours, so that a restart at night does not start from nothing.
//!
//! Where each one near lay, when she was heard there, her size, and the circle that her track has shown. After a restart
//! that is of before the restart: how old it is rests on a clock that a power cut may have put wrong. So she is not
//! shown, not among the vessels heard and left out of every search until she tells where she is. Then what was seen of
//! her circle counts again, and if she lies elsewhere by then, she has left her place.
//!
//! Written at anchor only: when another vessel has come to lie here, a circle has become another, or [`EACH`]. A changed
//! name waits for that.
//!
//! **Weakness.** For some minutes after a restart those who lie near are missing from picture and search. How close she
//! lay, and which way she lies in which wind, are learned again.

use std::collections::BTreeMap;
use std::time::Duration;

use serde::{Deserialize, Serialize};

use super::clock::Moment;
use super::danger::Vigil;
use super::lie::Lie;
use super::vessel::Vessel;
use super::{CIRCLED, Known};
use crate::geodesy::Position;
use crate::observation::Label;
use crate::time::{Now, Tick, Timestamp};
use crate::units::Metres;
use crate::watch::round::Round;

/// A neighbour who lies still, as she is saved.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct SavedNeighbour {
    /// Her context.
    pub context: String,
    /// Her name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Over all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<Metres>,
    /// Her antenna aft of the stem.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_bow: Option<Metres>,
    /// Where her antenna was.
    pub position: Position,
    /// When that was.
    pub heard: Timestamp,
    /// The circle that was seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub circle: Option<SavedCircle>,
}

/// A circle as her track has shown it, to her antenna.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct SavedCircle {
    /// Its middle.
    pub anchor: Position,
    /// How far she lies from it.
    pub radius: Metres,
    /// How sure that is.
    pub doubt: Metres,
}

impl SavedNeighbour {
    fn of(now: Now, label: &Label, known: &Known) -> Option<Self> {
        let place = known.vessel.place()?;
        let age = Moment::of(now.tick).since(place.at);
        let ago = i64::try_from(age.as_millis()).unwrap_or(i64::MAX);
        let heard = now.utc.as_millis().saturating_sub(ago);
        // The clock may have been set since: what was read from disk goes back as it was.
        let heard = known
            .before_restart
            .unwrap_or(Timestamp::from_millis(heard));
        Some(Self {
            context: label.as_str().to_owned(),
            name: known.vessel.name().map(str::to_owned),
            length: known.vessel.told_length(),
            from_bow: known.vessel.told_from_bow(),
            position: place.position,
            heard,
            circle: known.lie.saved(),
        })
    }

    /// As she is known after a restart; not when it was long ago, or lies ahead.
    pub(super) fn known(&self, now: Now, number: u32) -> Option<(Label, Known)> {
        let age = Duration::from_millis(u64::try_from(now.utc.millis_since(self.heard)).ok()?);
        if age > OLD {
            return None;
        }
        let at = Moment::before(now.tick, age);
        let name = self.name.as_deref().map(Label::new);
        let vessel = Vessel::restored(at, self.position, name, (self.length, self.from_bow));
        let known = Known {
            number,
            heard: at,
            vessel,
            lie: Lie::restored(at, self.position, self.circle),
            vigil: Vigil::default(),
            fresh: false,
            apart: true,
            before_restart: Some(self.heard),
        };
        Some((Label::new(&self.context), known))
    }

    /// What is worth a write.
    fn is_like(&self, other: &Self) -> bool {
        let circle = match (&self.circle, &other.circle) {
            (Some(a), Some(b)) => {
                (a.radius - b.radius).get().abs() < WORTH
                    && a.anchor.distance_to(b.anchor).get() < WORTH
            }
            (a, b) => a.is_none() && b.is_none(),
        };
        circle && self.context == other.context
    }
}

/// What is on disk, and when it was put together.
#[derive(Clone, Debug, Default)]
pub(super) struct Kept {
    saved: Vec<SavedNeighbour>,
    looked: Option<Tick>,
    written: Option<Tick>,
}

impl Kept {
    pub(super) fn of(saved: &[SavedNeighbour]) -> Self {
        Self {
            saved: saved.to_vec(),
            ..Self::default()
        }
    }

    pub(super) fn saved(&self) -> Vec<SavedNeighbour> {
        self.saved.clone()
    }

    /// Puts it together again, once a minute; `here` is where we are.
    pub(super) fn keep(&mut self, round: &Round, vessels: &BTreeMap<Label, Known>, here: Position) {
        let now = round.seen.now;
        if !round.anchored() {
            *self = Self::default();
            return;
        }
        if self.looked.is_some_and(|at| now.tick.since(at) < LOOK) {
            return;
        }
        self.looked = Some(now.tick);
        let off = |known: &Known| {
            let place = known.vessel.place()?;
            let lies = known.lie.lies() && known.apart;
            let off = here.distance_to(place.position);
            (lies && off <= CIRCLED).then_some(off)
        };
        let mut near: Vec<(Metres, &Label, &Known)> = vessels
            .iter()
            .filter_map(|(label, known)| Some((off(known)?, label, known)))
            .collect();
        near.sort_by(|a, b| a.0.get().total_cmp(&b.0.get()).then_with(|| a.1.cmp(b.1)));
        near.truncate(MOST);
        // By name, so that two who are as far off do not change places with each look.
        near.sort_by(|a, b| a.1.cmp(b.1));
        let fresh: Vec<SavedNeighbour> = near
            .into_iter()
            .filter_map(|(_, label, known)| SavedNeighbour::of(now, label, known))
            .collect();
        let alike = fresh.len() == self.saved.len()
            && fresh.iter().zip(&self.saved).all(|(a, b)| a.is_like(b));
        let long = self.written.is_none_or(|at| now.tick.since(at) >= EACH);
        if !alike || (long && fresh != self.saved) {
            self.saved = fresh;
            self.written = Some(now.tick);
        }
    }
}

/// After so long she may be anywhere.
pub(super) const OLD: Duration = Duration::from_hours(1);
const LOOK: Duration = Duration::from_mins(1);
/// How much older she may be on disk while she lies here and speaks; each write may hold up a bad card.
const EACH: Duration = super::OLD;
/// Metres.
const WORTH: f64 = 5.0;
const MOST: usize = 32;

#[cfg(test)]
mod tests;
