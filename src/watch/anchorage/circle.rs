//! Is she outside the swinging circle? Hazard `swingExceeded`.
//!
//! The crew's own circle is about the mark, to the letter. The calculated one is about where the anchor is
//! found to lie, as surely as that is known. While she is being dug in and the crew is about, also about
//! the mark, with room for one made [`LATE_MARK`] late: whoever is farther out than that marked badly or
//! has an anchor that never bit, and must hear of either. Once set, a bad mark is no reason to wake
//! anybody. A shift that the drag test sees in the fix moves the calculated circle with it, for as long as
//! multipath lasts.
//!
//! **The last circle** shares nothing with any estimate: a wide one about the mark as the crew made it
//! ([`Anchor::as_made`](super::Anchor::as_made)), which no finding moves, not even that she holds again
//! elsewhere. Whoever is outside it for [`LAST_HOLD`] is told, whatever the drag test believes. Its room
//! beyond the calculated circle, [`LAST_ROOM`] or half the reach, is more than a bad mark and a bad receiver
//! bring together: test `beyond_the_last_circle_the_alarm_sounds_whatever_is_believed`.

use std::time::Duration;

use serde_json::json;

use super::dragging::is_under_way;
use super::{Anchor, Anchorage, Ground, Mooring};
use crate::alert::desk::Desk;
use crate::alert::hazard::{Hazard, Priority};
use crate::geodesy::{Plane, Position};
use crate::speech::alerts::Alert;
use crate::time::Tick;
use crate::units::Metres;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::judgement::{Judged, centimetres, finding};
use crate::watch::round::{Here, Round, Seen};
use crate::watch::settings::WatchSettings;

/// Since when she is outside.
#[derive(Clone, Debug, Default)]
pub(super) struct Circle {
    outside_since: Option<Tick>,
    /// The same for the last circle.
    far_since: Option<Tick>,
}

/// What one fix is held against.
pub(super) struct Held<'a> {
    pub(super) mooring: &'a Mooring,
    /// Of each anchor.
    pub(super) grounds: &'a [Ground],
    pub(super) phase: AnchorPhase,
    /// It is reported already that she is outside.
    pub(super) told: bool,
}

impl Circle {
    /// Another mark: what was seen of the old one does not count.
    pub(super) fn forget(&mut self) {
        *self = Self::default();
    }

    /// Holds a fix against the circles.
    pub(super) fn take(&mut self, seen: &Seen, here: &Here, held: &Held) {
        let now = seen.now.tick;
        if is_outside(seen, here, held) {
            self.outside_since.get_or_insert(now);
        } else {
            self.outside_since = None;
        }
        if is_far_outside(here, held) {
            self.far_since.get_or_insert(now);
        } else {
            self.far_since = None;
        }
    }

    /// Has she been outside for so long that it is to be told, and is not?
    pub(super) fn is_news(&self, seen: &Seen, held: &Held) -> bool {
        let ordered = held.grounds.first().is_some_and(|g| g.radius_ordered);
        let covered = held.told || (!ordered && held.phase == AnchorPhase::Dragging);
        let hold = confirmed(seen, hold(&seen.settings, ordered));
        let long = |since| seen.now.tick.since(since) >= hold;
        !covered && self.outside_since.is_some_and(long)
    }
}

impl Anchorage {
    /// Judges the hazard.
    #[must_use]
    pub fn judge_swing(&self, round: &Round, desk: &Desk) -> Judged {
        let Some(lies) = &round.lies else {
            return Judged::Gone;
        };
        let Some(here) = round.seen.here else {
            return Judged::Unchanged;
        };
        let ground = &lies.ground;
        let settings = &round.seen.settings;
        let now = round.seen.now.tick;
        let far = self
            .circle
            .far_since
            .is_some_and(|since| now.since(since) >= confirmed(&round.seen, LAST_HOLD));
        // A caution sounds nothing, so it stands in for no alarm.
        let drag_sounds = desk
            .told(Hazard::Dragging)
            .is_some_and(|told| told >= Priority::Alarm);
        if far && !drag_sounds {
            let radius = here.centre.distance_to(lies.anchor.as_made());
            let limit = last_limit(&lies.anchor, ground);
            return told(
                (radius, limit),
                Alert::OutsideLastCircle {
                    radius,
                    limit,
                    unseen: round.seen.unseen_since(),
                    under_way: is_under_way(&round.seen),
                },
            );
        }
        let Some(since) = self.circle.outside_since else {
            return Judged::Gone;
        };
        // One alert for one situation: a drag that is told carries her out of the calculated circle
        // anyway. The crew's own circle has shallows and neighbours behind it and is told always.
        if drag_sounds && !ground.radius_ordered {
            return Judged::Covered;
        }
        let hold = confirmed(&round.seen, hold(settings, ground.radius_ordered));
        let standing = desk.state(Hazard::SwingExceeded).is_active();
        if now.since(since) < hold && !standing {
            return Judged::Gone;
        }
        let radius = here.centre.distance_to(lies.anchor.position);
        let limit = ground.max_radius;
        told(
            (radius, limit),
            Alert::OutsideCircle {
                radius,
                limit,
                unseen: round.seen.unseen_since(),
                under_way: is_under_way(&round.seen),
            },
        )
    }
}

/// As long, and no less than until the next fix is due: one fix of a receiver that reports seldom is a reflection
/// as likely as not.
fn confirmed(seen: &Seen, hold: Duration) -> Duration {
    hold.max(seen.fix_interval * 5 / 4)
}

/// For how long she must be outside before it is told.
fn hold(settings: &WatchSettings, radius_ordered: bool) -> Duration {
    if radius_ordered {
        settings.swing_hold
    } else {
        // The drag test has the first word: it says more.
        settings.swing_hold.max(settings.drag_hold * 2)
    }
}

fn is_outside(seen: &Seen, here: &Here, held: &Held) -> bool {
    let Held { mooring, phase, .. } = held;
    let Some((ground, others)) = held.grounds.split_first() else {
        return false;
    };
    let inside_again = if held.told { HYSTERESIS } else { Metres::ZERO };
    let away = |middle: Position, doubt: Metres| {
        here.centre.distance_to(middle) - here.lever_doubt - doubt + inside_again
    };
    let margin = mooring.evidence().margin;
    let limit = |ground: &Ground| ground.swing_limit(margin, seen.settings.swing_margin);
    let shift = mooring.first_test().shift(seen.now.tick);
    let shifted = |place: Position| Plane::at(place).position(shift);
    let (mark, lever) = (mooring.first().position, mooring.first().lever);
    let found = mooring
        .first_test()
        .estimate()
        .filter(|_| !ground.radius_ordered);
    let outside = match found {
        // How sure the drag test is of the anchor has no bearing on a circle about the mark.
        Some((position, spread)) => {
            away(shifted(position), spread * 2.0) > limit(ground)
                || (*phase == AnchorPhase::Setting
                    && away(shifted(mark), lever) > ground.max_radius + LATE_MARK)
        }
        None => away(mark, lever) > limit(ground),
    };
    outside
        || mooring.others().zip(others).any(|(other, ground)| {
            let radius = here.centre.distance_to(shifted(other.position));
            radius - here.lever_doubt - other.lever > limit(ground) - inside_again
        })
}

/// By what is measured now and by the mark as it was made, by nothing else.
fn is_far_outside(here: &Here, held: &Held) -> bool {
    let anchor = held.mooring.first();
    let Some(ground) = held
        .grounds
        .first()
        .filter(|_| held.mooring.kind().can_drag())
    else {
        return false;
    };
    let inside_again = if held.told { HYSTERESIS } else { Metres::ZERO };
    let radius = here.centre.distance_to(anchor.as_made()) - here.lever_doubt;
    radius > last_limit(anchor, ground) - inside_again
}

/// The last circle, to her centre.
fn last_limit(anchor: &Anchor, ground: &Ground) -> Metres {
    let room = LAST_ROOM.max(ground.reach * LAST_SHARE);
    let limit = ground.max_radius + room;
    if anchor.made.is_some() {
        limit
    } else {
        limit + anchor.doubt * 2.0 + anchor.lever
    }
}

/// The boat is outside the swinging circle.
fn told((radius, limit): (Metres, Metres), alert: Alert) -> Judged {
    Judged::Stands(finding(
        Priority::Alarm,
        radius.get() - limit.get(),
        alert,
        json!({ "currentRadius": centimetres(radius), "maxRadius": centimetres(limit) }),
    ))
}

/// She yaws by this and more at the edge of a circle.
const HYSTERESIS: Metres = Metres::of(5.0);
/// So far she may have fallen back before somebody made the mark. Chosen: half a boat's length and
/// the way of some seconds.
const LATE_MARK: Metres = Metres::of(10.0);
/// The last circle is wider than the calculated one by this or by so much of the reach (chosen).
const LAST_ROOM: Metres = Metres::of(30.0);
const LAST_SHARE: f64 = 0.5;
/// Longer than multipath lasts (a minute at most, from the reference figures).
const LAST_HOLD: Duration = Duration::from_secs(90);
