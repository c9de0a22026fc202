//! Vessels in the offing: the watch gets reports of vessels too far away to matter only once a minute.
//!
//! A receiver in open water receives some hundred vessels, most of them miles away. Each report would be
//! judged and kept in the journal; with 200 vessels these would be most of what the card stores. Reports of
//! a vessel farther than [`FAR`] from the anchor, the bow and the berth pass once in [`EVERY`], with
//! everything that belongs to that report. This happens before the journal, so a replay of the journal gets
//! the same reports. A recording keeps the server's messages, so its replay gets every report.
//!
//! Assumption: no vessel gets from [`FAR`] to where neighbours are judged (3.7 km) between two of these
//! reports; that takes a vessel of 60 m/s. The places are the watch's own, which a wild fix does not move
//! while the boat is at anchor; without a place nothing is held back.

use std::collections::BTreeMap;
use std::time::Duration;

use crate::geodesy::Position;
use crate::observation::{Fact, Label, Report, Subject};
use crate::time::Tick;
use crate::units::Metres;
use crate::watch::neighbours;

/// Vessels that were far away in their last report, and when a report of them last passed; bounded.
#[derive(Debug, Default)]
pub(super) struct Offing(BTreeMap<Label, Tick>);

impl Offing {
    /// Does the watch get this report? `places` are the ones that matter.
    pub(super) fn lets_through(
        &mut self,
        now: Tick,
        report: &Report,
        places: impl Iterator<Item = Position>,
    ) -> bool {
        let Subject::Other(vessel) = &report.subject else {
            return true;
        };
        let Some(position) = report.facts.iter().find_map(|fact| match fact {
            Fact::Position(position) => *position,
            _ => None,
        }) else {
            // Name, length and antenna come every six minutes: they cost nothing, and are needed when she comes near.
            if !report.facts.iter().any(moves) {
                return true;
            }
            let heard = self.0.get(vessel);
            return heard.is_none_or(|heard| now.since(*heard) < TOGETHER);
        };
        let nearest = places
            .map(|place| place.distance_to(position))
            .min_by(|a, b| a.get().total_cmp(&b.get()));
        if nearest.is_none_or(|nearest| nearest <= FAR) {
            self.0.remove(vessel);
            return true;
        }
        if let Some(heard) = self.0.get_mut(vessel) {
            let due = now.since(*heard) >= EVERY;
            if due {
                *heard = now;
            }
            return due;
        }
        if self.0.len() >= MOST {
            self.0.retain(|_, heard| now.since(*heard) < EVERY * 2);
        }
        if self.0.len() < MOST {
            self.0.insert(vessel.clone(), now);
        }
        true
    }
}

/// The facts that every position report of a transponder repeats (ITU-R M.1371, messages 1 to 3).
fn moves(fact: &Fact) -> bool {
    matches!(
        fact,
        Fact::SpeedOverGround(_)
            | Fact::CourseOverGround(_)
            | Fact::HeadingTrue(_)
            | Fact::NavState(_)
    )
}

/// Twice as far as the distance at which neighbours are judged.
const FAR: Metres = Metres::of(2.0 * neighbours::FAR.get());
const EVERY: Duration = Duration::from_mins(1);
/// All facts of one message of a vessel arrive within this time: the server holds each path back for up to 5 s.
const TOGETHER: Duration = Duration::from_secs(6);
/// As many vessels as the watch can keep.
const MOST: usize = neighbours::MOST;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::observation::NavState;
    use crate::units::{Bearing, Speed};

    const COVE: Position = Position::of(59.8539, 23.26);

    fn report(name: &str, distance: Option<f64>) -> Report {
        let away = |metres| COVE.moved(Bearing::from_degrees(70.0), Metres::of(metres));
        let fact = match distance {
            Some(metres) => Fact::Position(Some(away(metres))),
            None => Fact::SpeedOverGround(Some(Speed::of(5.0))),
        };
        Report {
            subject: Subject::Other(Label::new(name)),
            source: Label::new("ais.AI"),
            stamp: None,
            facts: vec![fact],
        }
    }

    /// How many of ten minutes of reports, one every 5 s, pass.
    fn heard(distance: f64, places: &[Position]) -> usize {
        let mut offing = Offing::default();
        (0..600)
            .step_by(5)
            .filter(|second| {
                let now = Tick::from_secs(*second);
                offing.lets_through(now, &report("a", Some(distance)), places.iter().copied())
            })
            .count()
    }

    #[test]
    fn far_vessels_are_heard_once_a_minute_and_near_ones_always() {
        assert_eq!(heard(3_000.0, &[COVE]), 120);
        assert_eq!(heard(20_000.0, &[COVE]), 10);
        let berth = COVE.moved(Bearing::from_degrees(70.0), Metres::of(19_000.0));
        assert_eq!(heard(20_000.0, &[COVE, berth]), 120, "near the berth");
        assert_eq!(heard(20_000.0, &[]), 120, "we do not know where we are");
    }

    #[test]
    fn facts_of_a_report_stay_together_and_a_vessel_that_comes_near_is_heard_at_once() {
        let mut offing = Offing::default();
        let mut hears = |millis, distance| {
            let now = Tick::from_millis(millis);
            offing.lets_through(now, &report("a", distance), std::iter::once(COVE))
        };
        assert!(hears(0, None), "nothing is known of her");
        assert!(hears(10, Some(9_000.0)));
        assert!(hears(500, None));
        // The server holds each path back for up to five seconds.
        assert!(hears(5_020, None));
        assert!(!hears(9_010, Some(9_000.0)));
        assert!(!hears(9_020, None));
        assert!(hears(10_010, Some(7_000.0)));
        assert!(hears(10_020, None));
    }

    #[test]
    fn a_far_vessel_s_state_is_heard_with_her_position() {
        let mut offing = Offing::default();
        let mut hears = |secs, fact| {
            let her = Report {
                facts: vec![fact],
                ..report("a", None)
            };
            offing.lets_through(Tick::from_secs(secs), &her, std::iter::once(COVE))
        };
        let state = Fact::NavState(Some(NavState::AtAnchor));
        assert!(hears(0, state.clone()), "nothing is known of her");
        let far = COVE.moved(Bearing::from_degrees(70.0), Metres::of(9_000.0));
        assert!(hears(10, Fact::Position(Some(far))));
        assert!(hears(11, state.clone()));
        assert!(!hears(20, Fact::Position(Some(far))));
        assert!(!hears(20, state.clone()));
        assert!(hears(30, Fact::Position(Some(COVE))));
        assert!(hears(31, state));
    }

    #[test]
    fn the_memory_of_far_vessels_is_bounded() {
        let mut offing = Offing::default();
        for number in 0..5000 {
            let her = report(&format!("v{number}"), Some(20_000.0));
            assert!(offing.lets_through(Tick::START, &her, std::iter::once(COVE)));
        }
        assert_eq!(offing.0.len(), MOST);
    }
}
