//! What the kind of berth, a test of the holding and a forgotten mark add to the judgement.

use super::{BoatNow, Judged, Watchkeeper};
use crate::alert::desk::Finding;
use crate::alert::hazard::{Hazard, Priority};
use crate::geodesy::Plane;
use crate::time::{Now, Tick};
use crate::units::{Hertz, Metres, Speed};
use crate::watch::drag::DragEvidence;
use crate::watch::findings;
use crate::watch::ground::Ground;
use crate::watch::manner::Kind;
use crate::watch::words::{Mark, Phase};

impl Watchkeeper {
    /// Where no rode leads to the mark, the circle that was given is all there is.
    pub(super) fn within_given_circle(&self, ground: Ground) -> Ground {
        let Some(radius) = self.manner.radius else {
            return ground;
        };
        let bow = self.boat.roller_to_centre();
        let reach = if self.manner.kind.can_drag() {
            radius - bow
        } else {
            radius + bow
        };
        Ground {
            reach: reach.max(Metres::ZERO),
            max_radius: if ground.radius_ordered {
                ground.max_radius
            } else {
                radius
            },
            radius_ordered: true,
            rode_assumed: false,
            depth_unknown: false,
            ..ground
        }
    }

    /// The second anchor as a mark of its own, with its ground.
    pub(in crate::watch) fn second_ground(&self, now: Now) -> Option<(Mark, Ground)> {
        let first = self.mark.filter(|_| self.phase.is_anchored())?;
        let second = self.manner.second?;
        let mark = Mark {
            position: second.position,
            doubt: second.doubt,
            lever: second.lever,
            depth: second.depth,
            rode: second.rode,
            max_radius: None,
            ..first
        };
        let depth = self.instruments.water_depth(now.tick, &self.boat);
        Some((
            mark,
            Ground::about(&mark, depth, &self.boat, &self.settings),
        ))
    }

    /// How things stand with the anchor. With two anchors each has a test of its own and she must lie
    /// within both reaches: the one that more speaks against counts.
    pub(in crate::watch) fn drag_evidence(&self, now: Tick) -> DragEvidence {
        let first = self.drag.evidence(now);
        if self.manner.second.is_none() {
            return first;
        }
        let second = self.second_drag.evidence(now);
        let graver = if second.probability > first.probability {
            second
        } else {
            first
        };
        DragEvidence {
            dragging: first.dragging || second.dragging,
            quiet: first.quiet && second.quiet,
            ..graver
        }
    }

    /// Outside the circle about the second anchor? The reckoned one moves with a shift of the fix.
    pub(super) fn outside_second(&self, now: Now, here: &BoatNow, inside_again: Metres) -> bool {
        self.second_ground(now).is_some_and(|(mark, ground)| {
            let middle = if ground.radius_ordered {
                mark.position
            } else {
                Plane::at(mark.position).position(self.drag.shift(now.tick))
            };
            let radius = here.centre.distance_to(middle);
            radius - here.lever_doubt - mark.lever > self.swing_limit(&ground) - inside_again
        })
    }

    /// Runs the pull test and tells what it found.
    pub(super) fn judge_pull(&mut self, now: Now) {
        if !self.phase.is_anchored() || !self.manner.kind.can_drag() {
            return;
        }
        let revolutions = self.instruments.revolutions(now.tick);
        self.pull
            .judge(now.tick, revolutions, self.phase == Phase::Setting);
        while let Some(news) = self.pull.poll_news() {
            self.note_with(now, news.message, findings::pull_evidence(&news.reading));
        }
    }

    /// The engine turns, by its own word; where none is heard it is taken to be off.
    pub(super) fn engine_turns(&self, now: Now) -> bool {
        self.instruments
            .revolutions(now.tick)
            .is_some_and(|rate| rate >= TURNS)
    }

    /// The watch itself: impaired, or kept from watching because nobody marked an anchor. Both are one
    /// hazard, `watch`: nobody watches her, and a display need show only one reason for that at a
    /// time. An impairment comes first.
    pub(super) fn judge_watch(&self, now: Now) -> Judged {
        // A clock that was set is no reason to wake anybody: no timer hangs on it.
        let mild = [self.unmarked(now), self.power.clock(now.tick)];
        let mild: Vec<String> = mild.into_iter().flatten().collect();
        let mild = (!mild.is_empty()).then(|| mild.join("; "));
        match (&self.ailment(), mild) {
            (Some(why), None) => Judged::Stands(findings::impaired(self.phase.is_anchored(), why)),
            (Some(why), Some(words)) => Judged::Stands(findings::impaired(
                self.phase.is_anchored(),
                &format!("{why}; {words}"),
            )),
            (None, Some(words)) => Judged::Stands(Finding {
                priority: Priority::Caution,
                severity: 0.0,
                message: words,
                evidence: serde_json::Map::new(),
            }),
            (None, None) => Judged::Gone,
        }
    }

    /// She lies still with the engine off where a boat can anchor, and nothing is marked.
    fn unmarked(&self, now: Now) -> Option<String> {
        if self.phase.is_anchored() {
            return None;
        }
        let lain = self
            .lying
            .lain(now.tick)
            .filter(|lain| *lain >= self.settings.unmarked_after)?;
        let depth = self.instruments.water_depth(now.tick, &self.boat)?;
        let longest = self.settings.longest_rode();
        let deepest = longest * (1.0 / LEAST_SCOPE) - self.boat.roller_height();
        (depth <= deepest).then(|| {
            let estimate = self.lying.estimate(longest);
            findings::unmarked(&self.settings.wording, lain, depth, estimate.as_ref())
        })
    }

    /// What the circumstances add to an alarm's words.
    pub(super) fn amended(&self, now: Now, hazard: Hazard, mut finding: Finding) -> Finding {
        if !matches!(hazard, Hazard::Dragging | Hazard::SwingExceeded) {
            return finding;
        }
        if self.manner.kind == Kind::Mooring {
            finding.message = finding.message.replace("the anchor has", "the mooring has");
        }
        let pulls = self
            .instruments
            .revolutions(now.tick)
            .is_some_and(|rate| rate >= WORKS);
        let way = self
            .instruments
            .speed_over_ground(now.tick)
            .is_some_and(|speed| speed >= UNDER_WAY);
        if pulls || way {
            // She may drag with the engine holding her up: the alarm sounds all the same.
            finding.message += "; under way? weigh to end the watch";
        }
        finding
    }
}

const TURNS: Hertz = Hertz::of(3.0);
/// A working load, as the pull test has it.
const WORKS: Hertz = Hertz::of(1000.0 / 60.0);
/// No boat drags so fast for long (common practice, no source), and the noise of a receiver that
/// lies still seldom reaches it.
const UNDER_WAY: Speed = Speed::from_knots(3.0);
/// Nobody anchors on less.
const LEAST_SCOPE: f64 = 3.0;
