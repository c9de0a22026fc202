//! Joins the frames into which the server splits an update.
//!
//! A subscribed stream carries one value per frame, so an update with a position and "no fix" arrives as two
//! frames, the position first. Judged alone, the position would count as a fix for an instant, and each epoch
//! of a receiver would become several reports. Consecutive frames with the same source and stamp are therefore
//! joined into the update they came from.
//!
//! Formula: hold a report about our own vessel until it has all that its source sends together ([`Shapes`]), or a
//! frame with another source or stamp arrives, or [`HOLD`] has passed, or the report has [`MOST`] facts. Assumption:
//! the server sends the values of one update back to back (it does so in one turn of its loop). Weakness: a value
//! of an update that is unlike those before may reach the watch [`HOLD`] late, which does not matter at the pace of an
//! anchor; two epochs of a source that stamps whole seconds only may be joined when both fall into one hold. The
//! tests `a_fix_and_its_denial_are_one_report` and `an_update_like_the_one_before_does_not_wait` show it.

use std::time::Duration;

use super::reader::quality_first;
use super::shapes::Shapes;
use crate::observation::Report;
use crate::time::Tick;

/// The longest time that a report is held back. Nearly all that the server sends
/// in one turn of its loop arrives within it. Measured with Signal K server 2.32.0 on a busy machine, for 400 updates of
/// eight values among 200 other frames a second: all eight had arrived after 0.07 ms (half), 3.5 ms (95 %) and 7.7 ms
/// (99 %). A shorter time would split more updates.
pub const HOLD: Duration = Duration::from_millis(5);

/// A report with this many facts is no longer held.
pub const MOST: usize = 64;

/// Holds at most one report.
#[derive(Clone, Debug, Default)]
pub struct Gather {
    held: Option<(Tick, Report)>,
    shapes: Shapes,
    /// What was released before its time: later frames of the same update show that it was not complete.
    early: Option<(Tick, Report)>,
}

impl Gather {
    /// Takes the next report; returns the reports that this completes, in the order of their arrival.
    pub fn push(&mut self, now: Tick, report: Report) -> [Option<Report>; 2] {
        let mut earlier = None;
        match &mut self.held {
            Some((_, held)) if is_one_update(held, &report) => held.facts.extend(report.facts),
            _ => {
                earlier = self.flush();
                if !report.subject.is_own() || report.stamp.is_none() {
                    return [earlier, Some(report)];
                }
                self.learn_late(now, &report);
                self.held = Some((now + HOLD, report));
            }
        }
        let Some((due, held)) = &self.held else {
            return [earlier, None];
        };
        let is_complete = self.shapes.is_complete(held);
        if is_complete {
            self.early = Some((*due, held.clone()));
        }
        if is_complete || held.facts.len() >= MOST {
            return [earlier, self.flush()];
        }
        [earlier, None]
    }

    /// Learns that the report belongs to one that did not wait for it.
    fn learn_late(&mut self, now: Tick, report: &Report) {
        if let Some((until, early)) = &mut self.early
            && now < *until
            && is_one_update(early, report)
            && early.facts.len() < MOST
        {
            early.facts.extend(report.facts.iter().cloned());
            self.shapes.learn(early);
        }
    }

    /// When the held report is due.
    #[must_use]
    pub fn due(&self) -> Option<Tick> {
        self.held.as_ref().map(|(due, _)| *due)
    }

    /// Releases the held report, either because it is due or because another report must not overtake it.
    pub fn flush(&mut self) -> Option<Report> {
        let (_, mut report) = self.held.take()?;
        self.shapes.learn(&report);
        quality_first(&mut report.facts);
        Some(report)
    }
}

fn is_one_update(held: &Report, report: &Report) -> bool {
    held.subject == report.subject
        && held.source == report.source
        && held.stamp.is_some()
        && held.stamp == report.stamp
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::geodesy::Position;
    use crate::observation::{Fact, FixMethod, Label, Subject};

    fn report(source: &str, stamp: &str, fact: Fact) -> Report {
        Report {
            subject: Subject::Own,
            source: Label::new(source),
            stamp: stamp.parse().ok(),
            facts: vec![fact],
        }
    }

    fn position() -> Fact {
        Fact::Position(Position::new(59.8539, 23.26).ok())
    }

    const FIRST: &str = "2026-06-01T21:30:00Z";
    const SECOND: &str = "2026-06-01T21:30:01Z";
    const THIRD: &str = "2026-06-01T21:30:02Z";

    #[test]
    fn a_fix_and_its_denial_are_one_report() {
        let mut gather = Gather::default();
        let now = Tick::from_secs(9);
        let denial = Fact::FixMethod(Some(FixMethod::NoFix));
        assert_eq!(
            gather.push(now, report("gps0.GP", FIRST, position())),
            [None, None]
        );
        assert_eq!(
            gather.push(now, report("gps0.GP", FIRST, denial.clone())),
            [None, None]
        );
        assert_eq!(gather.due(), Some(now + HOLD));
        let [joined, rest] = gather.push(now, report("gps0.GP", SECOND, position()));
        assert_eq!(joined.unwrap().facts, [denial, position()]);
        assert_eq!(rest, None);
        assert_eq!(gather.flush().unwrap().facts, [position()]);
        assert_eq!((gather.flush(), gather.due()), (None, None));
    }

    #[test]
    fn an_update_like_the_one_before_does_not_wait() {
        let mut gather = Gather::default();
        let satellites = Fact::Satellites(Some(9));
        let at = Tick::from_millis;
        let part = |stamp: &str, fact: &Fact| report("gps0.GP", stamp, fact.clone());
        // The first one is learned when its time is over.
        for fact in [position(), satellites.clone()] {
            assert_eq!(gather.push(at(0), part(FIRST, &fact)), [None, None]);
        }
        assert_eq!(gather.flush().unwrap().facts.len(), 2);
        // The second one is passed on with its last value.
        assert_eq!(
            gather.push(at(1000), part(SECOND, &position())),
            [None, None]
        );
        let [earlier, whole] = gather.push(at(1001), part(SECOND, &satellites));
        assert_eq!(earlier, None);
        assert_eq!(whole.unwrap().facts, [satellites.clone(), position()]);
        assert_eq!(gather.due(), None);
        // A value that comes after it is held by itself, and the next update waits for it.
        let denial = Fact::FixMethod(Some(FixMethod::NoFix));
        assert_eq!(gather.push(at(1002), part(SECOND, &denial)), [None, None]);
        assert_eq!(gather.flush().unwrap().facts, std::slice::from_ref(&denial));
        for fact in [position(), satellites.clone()] {
            assert_eq!(gather.push(at(2000), part(THIRD, &fact)), [None, None]);
        }
        let [_, whole] = gather.push(at(2003), part(THIRD, &denial));
        assert_eq!(whole.unwrap().facts, [satellites, denial, position()]);
    }

    #[test]
    fn another_source_another_vessel_or_no_stamp_is_not_joined() {
        let mut gather = Gather::default();
        let now = Tick::START;
        let _ = gather.push(now, report("gps0.GP", FIRST, position()));
        let [first, second] = gather.push(now, report("gps1.GP", FIRST, position()));
        assert_eq!((first.unwrap().source.as_str(), second), ("gps0.GP", None));
        let mut neighbour = report("gps1.GP", FIRST, position());
        neighbour.subject = Subject::Other(Label::new("vessels.x"));
        let [first, second] = gather.push(now, neighbour);
        assert!(first.unwrap().subject.is_own());
        assert!(!second.unwrap().subject.is_own());
        let [first, second] = gather.push(now, report("a", "", position()));
        assert_eq!((first, second.unwrap().stamp), (None, None));
    }

    #[test]
    fn a_flood_with_one_stamp_is_passed_on_in_bounded_pieces() {
        let mut gather = Gather::default();
        let given: usize = (0..1000)
            .flat_map(|_| gather.push(Tick::START, report("a", FIRST, position())))
            .flatten()
            .map(|report| {
                assert!(report.facts.len() <= MOST);
                report.facts.len()
            })
            .sum();
        assert_eq!(given + gather.flush().map_or(0, |r| r.facts.len()), 1000);
    }
}
