//! Which values a source sends together, so that an update is known to be complete before its wait is over.
//!
//! Formula: a shape is the set of kinds of value in one report. A report is complete if it has the same shape as
//! one of its source's last [`REMEMBERED`] reports, and none of these had all its kinds and more. A fix is not
//! complete before each kind of quality that its source has ever sent is there. Assumption: a receiver sends the same
//! values in each epoch. Weakness: a value that its source did not send in the last [`REMEMBERED`] reports comes as
//! a report of its own if it is the last of its update; the next update is waited for. The tests below show both.

use std::collections::VecDeque;
use std::mem::{Discriminant, discriminant};

use super::paths::is_quality;
use crate::observation::{Fact, Label, Report};

/// The shapes of some sources' last reports.
#[derive(Clone, Debug, Default)]
pub(super) struct Shapes {
    /// The source that was heard last is at the end.
    sources: VecDeque<Source>,
}

#[derive(Clone, Debug)]
struct Source {
    label: Label,
    reports: u64,
    /// Different shapes, each with the number of the last report that had it.
    shapes: Vec<(Shape, u64)>,
    /// Kinds of quality that it has sent.
    quality: Shape,
}

impl Shapes {
    /// Does the report have all that its source sends with it?
    pub(super) fn is_complete(&self, report: &Report) -> bool {
        let Some(source) = self.sources.iter().find(|it| it.label == report.source) else {
            return false;
        };
        let shape = Shape::of(&report.facts);
        let is_fix = |fact: &Fact| matches!(fact, Fact::Position(_));
        let has_quality = source.quality.is_in(&shape) || !report.facts.iter().any(is_fix);
        let is_known = source.shapes.iter().any(|(it, _)| *it == shape);
        let lacks_nothing = source.shapes.iter().all(|(it, _)| !shape.is_less_than(it));
        has_quality && is_known && lacks_nothing
    }

    /// This much came together.
    pub(super) fn learn(&mut self, report: &Report) {
        let known = self
            .sources
            .iter()
            .position(|it| it.label == report.source)
            .and_then(|place| self.sources.remove(place));
        let mut source = known.unwrap_or_else(|| Source {
            label: report.source.clone(),
            reports: 0,
            shapes: Vec::new(),
            quality: Shape::default(),
        });
        source.learn(&report.facts);
        if self.sources.len() >= SOURCES {
            self.sources.pop_front();
        }
        self.sources.push_back(source);
    }
}

impl Source {
    fn learn(&mut self, facts: &[Fact]) {
        self.reports += 1;
        let (shape, number) = (Shape::of(facts), self.reports);
        for fact in facts.iter().filter(|fact| is_quality(fact)) {
            self.quality.add(fact);
        }
        self.shapes
            .retain(|(it, seen)| *it != shape && number - seen < REMEMBERED);
        if self.shapes.len() >= SHAPES {
            self.shapes.remove(0);
        }
        self.shapes.push((shape, number));
    }
}

/// Kinds of value, each once.
#[derive(Clone, Debug, Default)]
struct Shape(Vec<Discriminant<Fact>>);

impl Shape {
    fn of(facts: &[Fact]) -> Self {
        let mut shape = Self::default();
        for fact in facts {
            shape.add(fact);
        }
        shape
    }

    fn add(&mut self, fact: &Fact) {
        let kind = discriminant(fact);
        if !self.0.contains(&kind) {
            self.0.push(kind);
        }
    }

    fn is_in(&self, other: &Self) -> bool {
        self.0.iter().all(|kind| other.0.contains(kind))
    }

    fn is_less_than(&self, other: &Self) -> bool {
        self.0.len() < other.0.len() && self.is_in(other)
    }
}

impl PartialEq for Shape {
    fn eq(&self, other: &Self) -> bool {
        self.0.len() == other.0.len() && self.is_in(other)
    }
}

/// Chosen: a value that comes every ten seconds beside ten fixes a second is still waited for.
const REMEMBERED: u64 = 100;

/// Chosen: a receiver sends a handful of different sentences. This bounds the work for a source that changes all the time.
const SHAPES: usize = 16;

/// Chosen: a boat has a few dozen sources. One that was forgotten waits as a new one does.
const SOURCES: usize = 64;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geodesy::Position;
    use crate::observation::{FixMethod, Subject};
    use crate::units::Speed;

    fn report(source: &str, facts: &[Fact]) -> Report {
        Report {
            subject: Subject::Own,
            source: Label::new(source),
            stamp: None,
            facts: facts.to_vec(),
        }
    }

    fn fix() -> Fact {
        Fact::Position(Position::new(59.8539, 23.26).ok())
    }

    fn speed() -> Fact {
        Fact::SpeedOverGround(Some(Speed::from_knots(0.2)))
    }

    fn method() -> Fact {
        Fact::FixMethod(Some(FixMethod::Satellite))
    }

    #[test]
    fn an_update_is_complete_when_it_has_what_the_one_before_had() {
        let mut shapes = Shapes::default();
        let whole = report("gps0.GP", &[fix(), speed()]);
        assert!(!shapes.is_complete(&whole), "nothing is known yet");
        shapes.learn(&whole);
        assert!(shapes.is_complete(&whole));
        assert!(
            shapes.is_complete(&report("gps0.GP", &[speed(), fix(), speed()])),
            "neither order nor number matters"
        );
        assert!(!shapes.is_complete(&report("gps0.GP", &[fix()])));
        assert!(!shapes.is_complete(&report("gps1.GP", &[fix(), speed()])));
    }

    #[test]
    fn two_sentences_of_one_receiver_are_two_shapes_unless_they_came_together() {
        let mut shapes = Shapes::default();
        let (first, second) = ([fix(), method()], [speed()]);
        shapes.learn(&report("gps0.GP", &first));
        shapes.learn(&report("gps0.GP", &second));
        assert!(shapes.is_complete(&report("gps0.GP", &first)));
        assert!(shapes.is_complete(&report("gps0.GP", &second)));
        shapes.learn(&report("gps0.GP", &[fix(), method(), speed()]));
        assert!(!shapes.is_complete(&report("gps0.GP", &first)));
        assert!(!shapes.is_complete(&report("gps0.GP", &second)));
    }

    #[test]
    fn a_fix_waits_for_the_quality_that_its_source_sends_however_rarely() {
        let mut shapes = Shapes::default();
        shapes.learn(&report("gps0.GP", &[fix(), method()]));
        for _ in 0..10 * REMEMBERED {
            shapes.learn(&report("gps0.GP", &[fix()]));
            assert!(!shapes.is_complete(&report("gps0.GP", &[fix()])));
        }
        shapes.learn(&report("gps0.GP", &[speed()]));
        assert!(shapes.is_complete(&report("gps0.GP", &[speed()])));
    }

    #[test]
    fn a_value_that_no_longer_comes_is_forgotten_and_then_no_longer_waited_for() {
        let mut shapes = Shapes::default();
        shapes.learn(&report("gps0.GP", &[fix(), speed()]));
        for _ in 0..REMEMBERED - 1 {
            shapes.learn(&report("gps0.GP", &[fix()]));
            assert!(!shapes.is_complete(&report("gps0.GP", &[fix()])));
        }
        shapes.learn(&report("gps0.GP", &[fix()]));
        assert!(shapes.is_complete(&report("gps0.GP", &[fix()])));
    }

    #[test]
    fn a_flood_of_sources_is_bounded_and_the_one_that_is_heard_stays_known() {
        let mut shapes = Shapes::default();
        let own = report("gps0.GP", &[fix(), speed()]);
        for number in 0..10 * SOURCES {
            shapes.learn(&report(&number.to_string(), &[fix()]));
            shapes.learn(&own);
            assert!(shapes.sources.len() <= SOURCES);
        }
        assert!(shapes.is_complete(&own));
        assert!(!shapes.is_complete(&report("0", &[fix()])));
    }
}
