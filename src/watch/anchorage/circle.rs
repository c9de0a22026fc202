//! Is she outside the swinging circle? Hazard `swingExceeded`.
//!
//! The crew's own circle is centred on the mark and used exactly as given. The calculated circle is centred on
//! where the anchor is found to lie, and is wider by the uncertainty of that. While the anchor is being dug in and
//! the crew is about, a boat must also stay in a circle about the mark, with room for a mark made [`LATE_MARK`]
//! late: a boat farther out than that was marked badly or has an anchor that never bit, and the crew must hear of
//! either. Once the anchor is set, a bad mark is no reason to wake anybody. A shift of the fix that the drag test
//! detects moves the calculated circle with it, for as long as multipath lasts. So does a
//! leap that no boat can make (`watch/fix/intake/leap.rs`), for 45 s at most. Neither moves the crew's own circle.
//!
//! **The last circle** depends on no estimate. It is a wide circle about the mark as the crew made it
//! ([`Anchor::as_made`](super::Anchor::as_made)), and no finding moves it, not even that she holds again elsewhere.
//! A boat that is outside it for [`LAST_HOLD`] raises the alarm, whatever the drag test believes. Its room beyond
//! the calculated circle, [`LAST_ROOM`] or half the reach, is more than a bad mark and a bad receiver cause
//! together: test `beyond_the_last_circle_the_alarm_sounds_whatever_is_believed`.

use std::time::Duration;

use serde_json::json;

use super::dragging::is_under_way;
use super::{Anchor, Anchorage, Ground, Mooring};
use crate::alert::desk::Desk;
use crate::alert::hazard::{Hazard, Priority};
use crate::geodesy::{Offset, Plane, Position};
use crate::speech::alerts::Alert;
use crate::time::Tick;
use crate::units::Metres;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::judgement::{Judged, centimetres, finding};
use crate::watch::round::{Here, Round, Seen};
use crate::watch::settings::WatchSettings;

/// Since when the boat has been outside.
#[derive(Clone, Debug, Default)]
pub(super) struct Circle {
    outside_since: Option<Tick>,
    /// The same for the last circle.
    far_since: Option<Tick>,
}

/// What a fix is compared with.
pub(super) struct Held<'a> {
    pub(super) mooring: &'a Mooring,
    /// One for each anchor.
    pub(super) grounds: &'a [Ground],
    pub(super) phase: AnchorPhase,
    /// The boat has already been reported outside.
    pub(super) told: bool,
}

impl Circle {
    /// There is a new mark: observations of the old one do not count.
    pub(super) fn forget(&mut self) {
        *self = Self::default();
    }

    /// Compares a fix with the circles.
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

    /// Has she been outside for long enough to report, and has that not been reported yet?
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
        // A caution does not sound, so it cannot replace an alarm.
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
        // One alert for one situation: a reported drag carries her out of the calculated circle anyway. The crew's
        // own circle has shallows and neighbours behind it and is always reported.
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

/// Returns `hold`, but no less than the time until the next fix is due: a single fix of a receiver that reports
/// seldom is as likely as not a reflection.
fn confirmed(seen: &Seen, hold: Duration) -> Duration {
    hold.max(seen.fix_interval * 5 / 4)
}

/// How long she must be outside before it is reported.
fn hold(settings: &WatchSettings, radius_ordered: bool) -> Duration {
    if radius_ordered {
        settings.swing_hold
    } else {
        // The drag test reports first: it says more.
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
    let leapt = here.fix.leapt.unwrap_or(Offset::ZERO);
    let shift = mooring.first_test().shift(seen.now.tick) + leapt;
    let shifted = |place: Position| Plane::at(place).position(shift);
    let (mark, lever) = (mooring.first().position, mooring.first().lever);
    let found = mooring
        .first_test()
        .estimate()
        .filter(|_| !ground.radius_ordered);
    let outside = match found {
        // The certainty of the drag test has no bearing on a circle about the mark.
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

/// Uses only the present measurement and the mark as it was made.
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
        // A mark from an old fix may be very doubtful. It must not widen the last circle by more than this.
        limit + (anchor.doubt * 2.0).min(LAST_ROOM) + anchor.lever
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

/// She yaws by at least this much at the edge of a circle.
const HYSTERESIS: Metres = Metres::of(5.0);
/// How far she may have fallen back before somebody made the mark. Chosen: half a boat's length and the way made in
/// some seconds.
const LATE_MARK: Metres = Metres::of(10.0);
/// The last circle is wider than the calculated one by this length, or by this share of the reach (chosen).
const LAST_ROOM: Metres = Metres::of(30.0);
const LAST_SHARE: f64 = 0.5;
/// Longer than multipath lasts (at most a minute, by the reference figures).
const LAST_HOLD: Duration = Duration::from_secs(90);

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::time::{Now, Timestamp};
    use crate::watch::anchorage::kind::MooringKind;
    use crate::watch::drag::{DragTest, Marked, Origin, Sighting};
    use crate::watch::sensors::Sensors;
    use crate::watch::wind::WindWatch;

    const MARK: Position = Position::of(59.8539, 23.26);

    fn north(of: Position, metres: f64) -> Position {
        Plane::at(of).position(Offset {
            east: 0.0,
            north: metres,
        })
    }

    fn held_since_a_minute() -> Mooring {
        let (doubt, lever) = (Metres::of(2.5), Metres::ZERO);
        let origin = Some(Origin::Fix);
        let marked = Marked {
            at: MARK,
            doubt,
            lever,
            origin,
        };
        let mut test = DragTest::new(&WatchSettings::default());
        for second in 0..60 {
            let seen = Sighting::of_tern(north(MARK, 30.0), None);
            test.take(Tick::from_secs(second), &marked, None, &seen);
        }
        let anchor = Anchor {
            position: MARK,
            made: None,
            doubt,
            lever,
            origin,
            depth: Some(Metres::of(8.0)),
            rode: Some(Metres::of(40.0)),
            found: None,
        };
        Mooring::new(MooringKind::Anchor, Timestamp::EPOCH, None, anchor, test)
    }

    /// A moment after a minute at anchor, with the grounds of each anchor.
    fn moment(mooring: &Mooring) -> (Seen, Vec<Ground>) {
        let settings = WatchSettings::default();
        let now = Now::new(Tick::from_secs(60), Timestamp::EPOCH);
        let sensors = Sensors::new(now.tick, &settings);
        let wind = WindWatch::new(&settings);
        let seen = sensors.seen(now, &Arc::new(settings), &wind);
        let grounds = mooring.grounds(&seen);
        (seen, grounds)
    }

    fn limit(mooring: &Mooring, seen: &Seen, ground: &Ground) -> f64 {
        let margin = mooring.evidence().margin;
        ground.swing_limit(margin, seen.settings.swing_margin).get()
    }

    fn outside_at(centre: Position, lever_doubt: f64, mooring: &Mooring, told: bool) -> bool {
        let (seen, grounds) = moment(mooring);
        let here = Here::lying(seen.now.tick, centre, Metres::of(lever_doubt));
        let held = Held {
            mooring,
            grounds: &grounds,
            phase: AnchorPhase::Set,
            told,
        };
        is_outside(&seen, &here, &held)
    }

    /// Before the alert is raised, she may be farther out by twice the deviation of the anchor's place, and by what her
    /// centre may be off. To clear it, she must come five metres inside.
    #[test]
    fn the_calculated_circle_is_about_the_anchor_as_it_is_found() {
        let mooring = held_since_a_minute();
        let (seen, grounds) = moment(&mooring);
        let (anchor, spread) = mooring.first_test().estimate().unwrap();
        for lever_doubt in [0.0, 4.0] {
            let farthest = limit(&mooring, &seen, &grounds[0]) + 2.0 * spread.get() + lever_doubt;
            let outside = |beyond: f64, told: bool| {
                outside_at(
                    north(anchor, farthest + beyond),
                    lever_doubt,
                    &mooring,
                    told,
                )
            };
            assert!(!outside(-0.1, false) && outside(0.1, false));
            assert!(!outside(-5.1, true) && outside(-4.9, true));
        }
    }

    /// The reach is 40 m, so the room is 30 m.
    #[test]
    fn a_doubtful_mark_widens_the_last_circle_by_thirty_metres_at_most() {
        let mooring = held_since_a_minute();
        let (_, grounds) = moment(&mooring);
        let beyond = |doubt: f64| {
            let anchor = Anchor {
                made: None,
                doubt: Metres::of(doubt),
                lever: Metres::of(2.0),
                ..*mooring.first()
            };
            (last_limit(&anchor, &grounds[0]) - grounds[0].max_radius).get()
        };
        assert!((beyond(5.0) - (30.0 + 10.0 + 2.0)).abs() < 1e-9);
        assert!((beyond(80.0) - (30.0 + 30.0 + 2.0)).abs() < 1e-9);
    }

    /// The second anchor lies sixty metres north of the first, on 20 m of rode, and was marked to within three metres.
    #[test]
    fn she_must_stay_in_the_circle_of_a_second_anchor_too() {
        let mut mooring = held_since_a_minute();
        let second = Anchor {
            position: north(MARK, 60.0),
            lever: Metres::of(3.0),
            rode: Some(Metres::of(20.0)),
            ..*mooring.first()
        };
        mooring.second(second, || DragTest::new(&WatchSettings::default()));
        let (seen, grounds) = moment(&mooring);
        for lever_doubt in [0.0, 4.0] {
            let farthest = limit(&mooring, &seen, &grounds[1]) + 3.0 + lever_doubt;
            let outside = |beyond: f64, told: bool| {
                let centre = north(second.position, -(farthest + beyond));
                outside_at(centre, lever_doubt, &mooring, told)
            };
            assert!(!outside(-0.1, false) && outside(0.1, false));
            assert!(!outside(-5.1, true) && outside(-4.9, true));
        }
    }
}
