//! Other vessels about us, as far as their transponders say; for the crew to look at. Whether
//! they come too close is not judged here yet.

use std::collections::HashMap;
use std::time::Duration;

use crate::geodesy::Position;
use crate::observation::{Fact, Label};
use crate::time::Tick;
use crate::units::{Bearing, Metres};
use crate::watch::instruments::hearing::Hearing;

/// A vessel and where she was last.
#[derive(Clone, Debug)]
struct Vessel {
    name: Option<Label>,
    position: Option<Position>,
    heard: Tick,
}

/// The table of vessels heard lately; bounded.
#[derive(Clone, Debug, Default)]
pub struct Neighbours {
    vessels: HashMap<Label, Vessel>,
    hearing: Hearing,
}

/// The nearest of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Nearest {
    /// Her name, or the context the server gives her.
    pub name: String,
    /// From us to her transponder's antenna.
    pub bearing: Bearing,
    /// From us to her transponder's antenna.
    pub distance: Metres,
    /// How many are heard in all.
    pub heard: usize,
}

impl Neighbours {
    /// Takes what a vessel said.
    pub fn take(&mut self, now: Tick, vessel: &Label, facts: &[Fact]) {
        self.hearing.take(now, Ok(()));
        if self.vessels.len() >= MOST && !self.vessels.contains_key(vessel) {
            self.vessels.retain(|_, v| now.since(v.heard) <= FORGOTTEN);
            if self.vessels.len() >= MOST {
                return;
            }
        }
        let entry = self.vessels.entry(vessel.clone()).or_insert(Vessel {
            name: None,
            position: None,
            heard: now,
        });
        entry.heard = now;
        for fact in facts {
            match fact {
                Fact::Position(position) => entry.position = *position,
                Fact::Name(Some(name)) => entry.name = Some(name.clone()),
                _ => {}
            }
        }
    }

    /// When any of them was heard.
    #[must_use]
    pub const fn hearing(&self) -> &Hearing {
        &self.hearing
    }

    /// How many were near when the last word came.
    #[must_use]
    pub fn company(&self, from: Position) -> usize {
        let Some(last) = self.hearing.good() else {
            return 0;
        };
        let lately = self
            .vessels
            .values()
            .filter(|v| last.since(v.heard) <= FORGOTTEN);
        lately
            .filter(|v| v.position.is_some_and(|at| from.distance_to(at) <= NEAR))
            .count()
    }

    /// The vessel nearest to `from` among those heard lately.
    #[must_use]
    pub fn nearest(&self, now: Tick, from: Position) -> Option<Nearest> {
        let heard: Vec<_> = self
            .vessels
            .iter()
            .filter(|(_, v)| now.since(v.heard) <= FORGOTTEN)
            .filter_map(|(id, v)| Some((id, v, v.position?)))
            .collect();
        let count = heard.len();
        heard
            .into_iter()
            .map(|(id, v, position)| (from.distance_to(position), id, v, position))
            .min_by(|a, b| a.0.get().total_cmp(&b.0.get()).then_with(|| a.1.cmp(b.1)))
            .map(|(distance, id, vessel, position)| Nearest {
                name: vessel.name.as_ref().unwrap_or(id).as_str().to_owned(),
                bearing: from.bearing_to(position),
                distance,
                heard: count,
            })
    }
}

const MOST: usize = 256;
/// Who lies here is heard from here: less than half the range of a class B transponder (5 to 8 miles; common practice, no
/// source).
const NEAR: Metres = Metres::of(3000.0);
/// Class B at anchor speaks every three minutes (ITU-R M.1371, table 2); two are allowed to fail.
const FORGOTTEN: Duration = Duration::from_mins(10);

#[cfg(test)]
mod tests {
    use super::*;

    fn place(east: f64) -> Position {
        Position::new(59.85, 23.26)
            .unwrap()
            .moved(Bearing::from_degrees(90.0), Metres::of(east))
    }

    #[test]
    fn the_nearest_is_named_and_the_silent_are_forgotten() {
        let mut neighbours = Neighbours::default();
        let far = [Fact::Position(Some(place(300.0)))];
        let near = [
            Fact::Position(Some(place(80.0))),
            Fact::Name(Some(Label::new("Plover"))),
        ];
        neighbours.take(Tick::from_secs(500), &Label::new("vessels.a"), &far);
        neighbours.take(Tick::from_secs(0), &Label::new("vessels.b"), &near);
        let nearest = neighbours
            .nearest(Tick::from_secs(500), place(0.0))
            .unwrap();
        assert_eq!((nearest.name.as_str(), nearest.heard), ("Plover", 2));
        assert!((nearest.distance.get() - 80.0).abs() < 1e-6);
        let later = neighbours
            .nearest(Tick::from_secs(700), place(0.0))
            .unwrap();
        assert_eq!((later.name.as_str(), later.heard), ("vessels.a", 1));
    }

    #[test]
    fn a_crowd_does_not_grow_the_table_without_end() {
        let mut neighbours = Neighbours::default();
        for n in 0..1000 {
            neighbours.take(Tick::START, &Label::new(&format!("vessels.{n}")), &[]);
        }
        assert_eq!(neighbours.vessels.len(), MOST);
    }
}
