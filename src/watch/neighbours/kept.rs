//! What is saved of the neighbours, so that a restart at night does not start from nothing.
//!
//! For each vessel nearby: where she lay, when she was heard there, her size, and the circle that her track has shown.
//! After a restart these data are old, and their age rests on a clock that a power cut may have set wrong. So she is
//! not shown, not counted among the vessels heard and left out of every search until she reports her position. Then the
//! saved circle counts again. If she lies elsewhere by then, she has left her place.
//!
//! Written at anchor only: when another vessel has come to lie here, when a circle has changed, or each [`EACH`]. A
//! changed name alone waits for the next write.
//!
//! **Weakness.** For some minutes after a restart, vessels nearby are missing from picture and search. How close she
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

/// A neighbour that lies still, as she is saved.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct SavedNeighbour {
    /// Her Signal K context.
    pub context: String,
    /// Her name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Length over all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<Metres>,
    /// Distance of her antenna aft of the stem.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_bow: Option<Metres>,
    /// The position of her antenna.
    pub position: Position,
    /// When she was there.
    pub heard: Timestamp,
    /// The observed circle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub circle: Option<SavedCircle>,
}

/// A circle as her track has shown it, measured to her antenna.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct SavedCircle {
    /// The centre of the circle.
    pub anchor: Position,
    /// Her distance from the centre.
    pub radius: Metres,
    /// How certain the circle is.
    pub doubt: Metres,
}

impl SavedNeighbour {
    fn of(now: Now, label: &Label, known: &Known) -> Option<Self> {
        let place = known.vessel.place()?;
        let age = Moment::of(now.tick).since(place.at);
        let ago = i64::try_from(age.as_millis()).unwrap_or(i64::MAX);
        let heard = now.utc.as_millis().saturating_sub(ago);
        // The clock may have been set since: an entry that was read from disk is written back as it
        // was.
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

    /// The vessel as she is known after a restart; nothing if the entry is too old or lies in the
    /// future.
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

    /// The changes that are worth a write.
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

/// What is on disk, and when it was compiled.
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

    /// Compiles the list again, once a minute; `here` is our position.
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
        // Sorted by name, so that two vessels at the same distance do not change places each time.
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

/// After this long she may be anywhere.
pub(super) const OLD: Duration = Duration::from_hours(1);
const LOOK: Duration = Duration::from_mins(1);
/// How old an entry may get on disk while the vessel lies here and reports; each write may stall a bad card.
const EACH: Duration = super::OLD;
/// Metres.
const WORTH: f64 = 5.0;
const MOST: usize = 32;

#[cfg(test)]
mod tests;
