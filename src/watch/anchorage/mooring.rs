//! What is on the bottom: one anchor or several, each with its rode and its drag test, and what was entered or
//! found out since.

use crate::geodesy::Position;
use crate::speech::notes::Note;
use crate::tackle::snubber::Snubber;
use crate::time::{Tick, Timestamp};
use crate::units::{Bearing, Metres};
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::anchorage::{Ground, counted};
use crate::watch::drag::{DragEvidence, DragTest, Found, Marked, Origin, Sighting};
use crate::watch::round::Seen;
use crate::watch::saved::{Saved, SavedMark, SavedMooring, SavedSecond};
use crate::watch::settings::WatchSettings;

/// An anchor or what replaces it: a buoy, or her own position where she is made fast.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Anchor {
    /// Where it lies.
    pub position: Position,
    /// Where the crew marked it, if the watch has moved the mark.
    pub made: Option<Position>,
    /// The standard deviation of its position when it was marked.
    pub doubt: Metres,
    /// The additional error if heading or antenna were not known then.
    pub lever: Metres,
    /// What it was marked by, if known.
    pub origin: Option<Origin>,
    /// Depth of water there at that time.
    pub depth: Option<Metres>,
    /// Rode veered to it.
    pub rode: Option<Metres>,
    /// Where the anchor lies, as found by the watch since.
    pub found: Option<Found>,
}

impl Anchor {
    /// Where the crew marked it.
    #[must_use]
    pub fn as_made(&self) -> Position {
        self.made.unwrap_or(self.position)
    }
}

/// How she is moored.
#[derive(Clone, Debug)]
pub struct Mooring {
    kind: MooringKind,
    let_go: Timestamp,
    /// The circle that was given with it, to her centre, if no rode leads to the mark.
    given_radius: Option<Metres>,
    /// The crew's own circle, to her centre.
    ordered_radius: Option<Metres>,
    /// The snubber on the first anchor's rode.
    snubber: Option<Snubber>,
    wind_set: Option<Bearing>,
    wind_seen: Option<Bearing>,
    first: Watched,
    others: Vec<Watched>,
}

#[derive(Clone, Debug)]
struct Watched {
    anchor: Anchor,
    test: DragTest,
}

impl Mooring {
    /// Moored to one anchor, with the circle that was given.
    pub(super) fn new(
        kind: MooringKind,
        let_go: Timestamp,
        radius: Option<Metres>,
        anchor: Anchor,
        test: DragTest,
    ) -> Self {
        Self {
            kind,
            let_go,
            given_radius: radius.filter(|_| kind != MooringKind::Anchor),
            ordered_radius: radius.filter(|_| kind == MooringKind::Anchor),
            snubber: None,
            wind_set: None,
            wind_seen: None,
            first: Watched { anchor, test },
            others: Vec::new(),
        }
    }

    pub(super) fn restored(saved: &Saved, settings: &WatchSettings) -> Option<Self> {
        let mark = saved.mark?;
        let SavedMooring {
            kind,
            radius,
            second,
            wind_seen,
            snubber,
        } = saved.manner;
        let watched = |anchor: Anchor| Watched {
            anchor,
            test: DragTest::new(settings),
        };
        Some(Self {
            kind,
            let_go: mark.let_go,
            given_radius: radius,
            ordered_radius: mark.max_radius,
            snubber,
            wind_set: mark.wind,
            wind_seen,
            first: watched(Anchor {
                position: mark.position,
                made: mark.made,
                doubt: mark.doubt,
                lever: mark.lever,
                origin: mark.origin,
                depth: mark.depth,
                rode: mark.rode,
                found: mark.found,
            }),
            others: second
                .map(|second| {
                    watched(Anchor {
                        position: second.position,
                        made: None,
                        doubt: second.doubt,
                        lever: second.lever,
                        origin: second.origin,
                        depth: second.depth,
                        rode: second.rode,
                        found: None,
                    })
                })
                .into_iter()
                .collect(),
        })
    }

    pub(super) fn save(&self, saved: &mut Saved) {
        let first = &self.first.anchor;
        saved.mark = Some(SavedMark {
            position: first.position,
            made: first.made,
            doubt: first.doubt,
            lever: first.lever,
            origin: first.origin,
            let_go: self.let_go,
            depth: first.depth,
            rode: first.rode,
            max_radius: self.ordered_radius,
            wind: self.wind_set,
            found: first.found,
        });
        saved.manner = SavedMooring {
            kind: self.kind,
            radius: self.given_radius,
            second: self.others().next().map(|other| SavedSecond {
                position: other.position,
                doubt: other.doubt,
                lever: other.lever,
                origin: other.origin,
                depth: other.depth,
                rode: other.rode,
            }),
            wind_seen: self.wind_seen,
            snubber: self.snubber,
        };
    }

    /// What she lies to.
    #[must_use]
    pub const fn kind(&self) -> MooringKind {
        self.kind
    }

    /// When the first anchor was let go.
    #[must_use]
    pub const fn let_go(&self) -> Timestamp {
        self.let_go
    }

    /// The anchor that was let go first.
    #[must_use]
    pub const fn first(&self) -> &Anchor {
        &self.first.anchor
    }

    /// The other anchors.
    pub fn others(&self) -> impl Iterator<Item = &Anchor> {
        self.others.iter().map(|watched| &watched.anchor)
    }

    pub(super) const fn wind_set(&self) -> Option<Bearing> {
        self.wind_set
    }

    pub(super) const fn wind_seen(&self) -> Option<Bearing> {
        self.wind_seen
    }

    /// A circle was given because there is no rode to calculate it from.
    pub(super) const fn circle_was_given(&self) -> bool {
        self.given_radius.is_some()
    }

    /// The limits that each anchor sets, the first one's first.
    pub(super) fn grounds(&self, seen: &Seen) -> Vec<Ground> {
        let first = &self.first.anchor;
        // While the crew heaves in she is still as far from her anchor as the rode let her be.
        let counted =
            counted(seen, first.depth).and_then(|_| seen.counter.map(|counter| counter.longest));
        let about = Ground::about(
            first.depth,
            counted.or(first.rode),
            self.snubber,
            self.ordered_radius,
            seen,
        );
        let about = match self.given_radius {
            Some(radius) => about.within(radius, self.kind, &seen.boat),
            None => about,
        };
        let mut grounds = vec![about];
        grounds.extend(
            self.others()
                .map(|other| Ground::about(other.depth, other.rode, None, None, seen)),
        );
        grounds
    }

    /// Passes a fix to each drag test.
    pub(super) fn test(&mut self, now: Tick, grounds: &[Ground], sighting: &Sighting) {
        let all = std::iter::once(&mut self.first).chain(&mut self.others);
        for (Watched { anchor, test }, ground) in all.zip(grounds) {
            let marked = Marked {
                at: anchor.position,
                doubt: anchor.doubt,
                lever: anchor.lever,
                origin: anchor.origin,
            };
            let sighting = Sighting {
                reach: ground.reach,
                rode: ground.rode,
                ..*sighting
            };
            test.take(now, &marked, anchor.found.as_ref(), &sighting);
        }
    }

    /// The drag test of the first anchor: where the anchor lies and how far the fix is shifted.
    pub(in crate::watch) const fn first_test(&self) -> &DragTest {
        &self.first.test
    }

    /// The evidence about the anchors. Each has a test of its own and she must lie within every reach, so the test
    /// with the strongest evidence counts.
    pub(in crate::watch) fn evidence(&self) -> DragEvidence {
        // The evidence belongs to the last fix; the present time is not used.
        let evidence = |watched: &Watched| watched.test.evidence(Tick::START);
        self.others
            .iter()
            .map(evidence)
            .fold(evidence(&self.first), |first, other| {
                let graver = if other.probability > first.probability {
                    other
                } else {
                    first
                };
                DragEvidence {
                    dragging: first.dragging || other.dragging,
                    quiet: first.quiet && other.quiet,
                    ..graver
                }
            })
    }

    pub(super) fn forget_evidence(&mut self) {
        self.first.test.reset();
        for other in &mut self.others {
            other.test.reset();
        }
    }

    /// The anchor has moved and holds again: from now on the watch uses its new place. Returns how it moved. This
    /// does not apply if the crew ordered a circle of its own, which has shallows and neighbours behind it and
    /// stays, nor with two anchors, where it is not known which one moved.
    pub(super) fn hold_again(&mut self) -> Option<Note> {
        if !self.others.is_empty() || self.ordered_radius.is_some() {
            return None;
        }
        let found = self.first.test.rests()?;
        let anchor = &mut self.first.anchor;
        let before = anchor.position;
        anchor.made.get_or_insert(before);
        anchor.position = found.position;
        anchor.doubt = found.doubt;
        anchor.lever = Metres::ZERO;
        // The place was found from fixes and shares their error.
        anchor.origin = Some(Origin::Fix);
        anchor.found = Some(found);
        Some(Note::HoldsElsewhere {
            moved: before.distance_to(found.position),
            bearing: before.bearing_to(found.position),
            doubt: found.doubt * 2.0,
        })
    }

    pub(super) fn keep_count(&mut self, counted: Metres) {
        let rode = &mut self.first.anchor.rode;
        if rode.is_none_or(|rode| (rode - counted).get().abs() >= 1.0) {
            *rode = Some(counted);
        }
    }

    /// Stores what was found out if it makes a difference. Returns whether it did.
    pub(super) fn keep_found(&mut self) -> bool {
        let Some(found) = self.first.test.found() else {
            return false;
        };
        let differs = self.first.anchor.found.is_none_or(|kept| {
            kept.position.distance_to(found.position) >= Metres::of(1.0)
                || (kept.doubt - found.doubt).get().abs() >= 0.5
        });
        if differs {
            self.first.anchor.found = Some(found);
        }
        true
    }

    /// Stores the wind she was set in, unless it is already known.
    pub(super) fn set_wind(&mut self, wind: impl FnOnce() -> Option<Bearing>) {
        self.wind_set = self.wind_set.or_else(wind);
    }

    pub(super) fn wind_was_seen(&mut self, from: Option<Bearing>) {
        self.wind_seen = from.or(self.wind_seen);
    }

    /// Rode was veered or hauled in. Returns the length that was out before.
    pub(super) const fn veer(&mut self, rode: Metres) -> Option<Metres> {
        self.first.anchor.rode.replace(rode)
    }

    /// A snubber was put on or taken off. Returns the previous one.
    pub(super) const fn snub(&mut self, snubber: Option<Snubber>) -> Option<Snubber> {
        std::mem::replace(&mut self.snubber, snubber)
    }

    pub(super) const fn snubber(&self) -> Option<Snubber> {
        self.snubber
    }

    /// The crew corrects the position of the first anchor.
    pub(super) fn correct(&mut self, position: Position, doubt: Metres) {
        let anchor = &mut self.first.anchor;
        anchor.position = position;
        anchor.made = None;
        anchor.doubt = doubt;
        anchor.lever = Metres::ZERO;
        anchor.origin = Some(Origin::Given);
        anchor.found = None;
    }

    pub(super) const fn order_radius(&mut self, radius: Option<Metres>) {
        self.ordered_radius = radius;
    }

    /// A second anchor, replacing an earlier second one.
    pub(super) fn second(&mut self, anchor: Anchor, test: impl FnOnce() -> DragTest) {
        self.kind = MooringKind::SecondAnchor;
        let test = match self.others.pop() {
            Some(before) => before.test,
            None => test(),
        };
        self.others = vec![Watched { anchor, test }];
    }

    /// Weighed: returns the drag tests, with what they have learned about the receiver.
    pub(super) fn weighed(mut self) -> Vec<DragTest> {
        self.forget_evidence();
        let others = self.others.into_iter().map(|watched| watched.test);
        std::iter::once(self.first.test).chain(others).collect()
    }
}

#[cfg(test)]
mod tests;
