//! How she is moored: the anchors and the phase they are in, the circle she may swing in, the planned
//! berth. Hazards `dragging` and `swingExceeded`.
//!
//! # Phases
//!
//! | from | what happens | to |
//! |---|---|---|
//! | aweigh | let go | setting |
//! | aweigh | made fast to a buoy or the shore | set |
//! | setting | seen all the time while she lies quietly for the settling time ([`settling`]) | set |
//! | setting, set | the evidence says she drags | dragging |
//! | dragging | no evidence left, and she lies quietly for half the settling time | set |
//! | dragging | she holds again elsewhere: the mark moves there | set |
//! | setting, set, dragging | let go again (a new mark) | setting |
//! | setting, set, dragging | weigh | aweigh |
//!
//! Veering rode or correcting the mark restarts the evidence, not the phase. Blindness changes no phase: it has a
//! hazard of its own.
//!
//! [`mooring`] holds the anchors with a drag test each; [`ground`] calculates how far they let her go; [`circle`]
//! and [`dragging`] judge; [`letting_go`] and [`orders`] carry out what the crew orders; [`lying`] follows a boat
//! whose anchor is not marked.

mod circle;
pub mod dragging;
mod ground;
pub mod kind;
mod letting_go;
pub mod lying;
mod mooring;
mod orders;
pub mod phase;
mod settling;

use std::time::Duration;

use serde_json::{Map, json};

use circle::Circle;
pub use ground::Ground;
pub use mooring::{Anchor, Mooring};
pub use orders::{Change, Done};

use crate::room::approach::Approach;
use crate::speech::Sentence;
use crate::speech::approach::Approaching;
use crate::speech::notes::Note;
use crate::speech::remarks::Remark;
use crate::tackle::scope;
use crate::tackle::snubber::Snubber;
use crate::time::{Tick, Timestamp};
use crate::units::{Bearing, Metres};
use crate::watch::anchorage::circle::Held;
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::anchorage::lying::Lying;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::anchorage::settling::{Glimpse, Settling};
use crate::watch::announcer::Announcer;
use crate::watch::approach::ApproachWatch;
use crate::watch::berth::{BerthOrder, BerthWishes};
use crate::watch::drag::{DragEvidence, DragTest, Sighting};
use crate::watch::judgement::centimetres;
use crate::watch::round::{Here, Round, Seen};
use crate::watch::saved::Saved;
use crate::watch::sensors::engine_turns;
use crate::watch::settings::WatchSettings;
use crate::watch::wind::WindWatch;

/// See the module documentation.
#[derive(Clone, Debug)]
pub struct Anchorage {
    phase: AnchorPhase,
    phase_since: Option<Timestamp>,
    mooring: Option<Mooring>,
    /// Drag tests without an anchor: what they learned about the receiver helps the next one.
    idle: Vec<DragTest>,
    circle: Circle,
    berth: Option<BerthOrder>,
    approach: ApproachWatch,
    lying: Lying,
    settling: Settling,
    found_kept: Tick,
    /// The last fix shows something that no judgement has reported yet.
    news: bool,
}

/// How she lies at this moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Lies {
    /// What she lies to.
    pub kind: MooringKind,
    /// The anchor that was let go first.
    pub anchor: Anchor,
    /// The limits that it sets.
    pub ground: Ground,
    /// The other anchors, each with the limits that it sets.
    pub others: Vec<(Anchor, Ground)>,
    /// Whether any anchor moves.
    pub evidence: DragEvidence,
    /// Rode out, by the counter if there is one, otherwise as entered.
    pub rode: Option<Metres>,
    /// The counter's reading, if it is plausible.
    pub counted: Option<Metres>,
    /// A snubber or bridle that is on.
    pub snubber: Option<Snubber>,
    /// Where the wind came from when the anchor was set.
    pub wind_set: Option<Bearing>,
    /// The wind when the crew last acknowledged a shift.
    pub wind_seen: Option<Bearing>,
}

impl Anchorage {
    /// Restores the saved state.
    #[must_use]
    pub fn restored(now: Tick, saved: &Saved, settings: &WatchSettings) -> Self {
        Self {
            phase: saved.phase,
            phase_since: saved.phase_since,
            mooring: Mooring::restored(saved, settings),
            idle: Vec::new(),
            circle: Circle::default(),
            berth: saved.berth.map(|position| BerthOrder {
                position,
                wishes: saved.berth_wishes.unwrap_or_default(),
            }),
            approach: ApproachWatch::restored(&saved.coasts),
            lying: Lying::default(),
            settling: Settling::default(),
            found_kept: now,
            news: false,
        }
    }

    /// Adds what must survive a power cut to `saved`.
    pub fn save(&self, saved: &mut Saved) {
        saved.phase = self.phase;
        saved.phase_since = self.phase_since;
        saved.coasts = self.approach.coasts();
        saved.berth = self.berth.map(|berth| berth.position);
        saved.berth_wishes = self
            .berth
            .map(|berth| berth.wishes)
            .filter(|wishes| *wishes != BerthWishes::default());
        if let Some(mooring) = &self.mooring {
            mooring.save(saved);
        }
    }

    /// The present phase.
    #[must_use]
    pub const fn phase(&self) -> AnchorPhase {
        self.phase
    }

    /// When the phase began.
    #[must_use]
    pub const fn phase_since(&self) -> Option<Timestamp> {
        self.phase_since
    }

    /// The planned berth.
    #[must_use]
    pub const fn berth(&self) -> Option<BerthOrder> {
        self.berth
    }

    /// Follows her to the berth by the course into the wind, and returns the step to report now.
    pub fn follow_approach(
        &mut self,
        round: &Round,
        head_to_wind: Option<Bearing>,
    ) -> Option<Approaching> {
        let berth = self.berth.map(|berth| berth.position);
        self.approach.take(round, berth, head_to_wind)
    }

    /// The way to the berth, by the last fix.
    #[must_use]
    pub fn way_to_berth(&self, round: &Round, head_to_wind: Option<Bearing>) -> Option<Approach> {
        let berth = self.berth?.position;
        self.approach.way_to(round, berth, head_to_wind)
    }

    /// How she is moored; `None` aweigh.
    #[must_use]
    pub fn mooring(&self) -> Option<&Mooring> {
        self.mooring.as_ref().filter(|_| self.phase.is_anchored())
    }

    /// How she lies, by the present observations.
    #[must_use]
    pub fn lies(&self, seen: &Seen) -> Option<Lies> {
        let mooring = self.mooring()?;
        let mut grounds = mooring.grounds(seen).into_iter();
        let anchor = *mooring.first();
        let counted = counted(seen, anchor.depth);
        Some(Lies {
            kind: mooring.kind(),
            anchor,
            ground: grounds.next()?,
            others: mooring.others().copied().zip(grounds).collect(),
            evidence: mooring.evidence(),
            rode: counted
                .or(anchor.rode)
                .filter(|_| mooring.kind().has_rode()),
            counted,
            snubber: mooring.snubber(),
            wind_set: mooring.wind_set(),
            wind_seen: mooring.wind_seen(),
        })
    }

    /// Checks a fix against the anchors; `told`: the boat has already been reported outside the circle.
    pub fn take_fix(&mut self, seen: &Seen, here: &Here, told: bool) {
        let now = seen.now.tick;
        if self.phase == AnchorPhase::Aweigh {
            self.lying
                .take(now, here.roller, engine_turns(seen.revolutions));
            return;
        }
        let Some(mooring) = &mut self.mooring else {
            return;
        };
        let grounds = mooring.grounds(seen);
        if mooring.kind().can_drag() {
            let sighting = sighting(seen, here, mooring.first().depth, self.phase);
            mooring.test(now, &grounds, &sighting);
        }
        let held = Held {
            mooring,
            grounds: &grounds,
            phase: self.phase,
            told,
        };
        self.circle.take(seen, here, &held);
        let drags = mooring.evidence().dragging && self.phase != AnchorPhase::Dragging;
        self.news = drags || self.circle.is_news(seen, &held);
    }

    /// Since the last judgement, has a fix shown that the anchor moves, or that she has been outside the circle for
    /// long enough?
    #[must_use]
    pub const fn has_news(&self) -> bool {
        self.news
    }

    /// Updates the phase and stores with the mooring what was found out. Call this before each judgement.
    pub fn handle_timeout(&mut self, seen: &Seen, wind: &WindWatch, say: &mut Announcer) {
        self.news = false;
        self.keep_count(seen);
        self.keep_found(seen.now.tick);
        self.move_phase(seen, wind, say);
    }

    /// Somebody acknowledged a shift of the wind: the next is measured from the present wind.
    pub fn wind_was_seen(&mut self, from: Option<Bearing>) {
        if let Some(mooring) = &mut self.mooring {
            mooring.wind_was_seen(from);
        }
    }

    fn move_phase(&mut self, seen: &Seen, wind: &WindWatch, say: &mut Announcer) {
        let Some(mooring) = &mut self.mooring else {
            return;
        };
        let now = seen.now.tick;
        let evidence = mooring.evidence();
        let mark = mooring.first().position;
        let glimpse = seen.fresh_here().map(|here| Glimpse {
            distance: here.distance(mark),
            sigma: Metres::of(here.fix.sigma.get().hypot(here.fix.doubt.get())),
        });
        if !evidence.quiet {
            self.settling.restart(now);
        }
        let settle = match self.phase {
            AnchorPhase::Dragging => seen.settings.settle / 2,
            AnchorPhase::Aweigh | AnchorPhase::Setting | AnchorPhase::Set => seen.settings.settle,
        };
        let lost_after = seen.lost_after;
        match self.phase {
            AnchorPhase::Aweigh => {}
            AnchorPhase::Setting | AnchorPhase::Set if evidence.dragging => {
                self.settling.restart(now);
                self.enter(seen, AnchorPhase::Dragging, Note::Moves, say);
            }
            AnchorPhase::Setting => {
                if self.settling.take(now, glimpse, settle, lost_after) && evidence.quiet {
                    let how = Note::Holds { quiet: settle };
                    self.enter(seen, AnchorPhase::Set, how, say);
                }
            }
            AnchorPhase::Set => mooring.set_wind(|| wind.reference(now)),
            AnchorPhase::Dragging => {
                if let Some(how) = mooring.hold_again() {
                    self.restart_judgement(now);
                    self.enter(seen, AnchorPhase::Set, how, say);
                } else if self.settling.take(now, glimpse, settle, lost_after) && evidence.quiet {
                    self.enter(seen, AnchorPhase::Set, Note::WithinReach, say);
                }
            }
        }
    }

    /// Evidence that she still moves, while she is not set.
    #[must_use]
    pub fn not_settled(&self, seen: &Seen) -> Option<Remark> {
        let settle = seen.settings.settle;
        let moved = self
            .settling
            .moved(settle)
            .filter(|moved| self.phase == AnchorPhase::Setting && moved.get().abs() >= TOLD)?;
        Some(Remark::NotSettled {
            settle,
            moved: Metres::of(moved.get().abs()),
            farther: moved.get() > 0.0,
        })
    }

    /// Stores the last reading of the counter with the anchor: the counter may fall silent when the windlass is
    /// switched off.
    fn keep_count(&mut self, seen: &Seen) {
        if let Some(mooring) = &mut self.mooring
            && let Some(counted) = counted(seen, mooring.first().depth)
        {
            mooring.keep_count(counted);
        }
    }

    /// Stores with the anchor what was found out about it, for a restart; only now and then, to spare the memory
    /// card.
    fn keep_found(&mut self, now: Tick) {
        let due = now.since(self.found_kept) >= KEEP_FOUND_EVERY;
        let quiet = matches!(self.phase, AnchorPhase::Setting | AnchorPhase::Set);
        if let Some(mooring) = self.mooring.as_mut().filter(|_| due && quiet)
            && mooring.keep_found()
        {
            self.found_kept = now;
        }
    }

    fn enter(
        &mut self,
        seen: &Seen,
        phase: AnchorPhase,
        how: impl Into<Sentence>,
        say: &mut Announcer,
    ) {
        self.phase = phase;
        self.phase_since = Some(seen.now.utc);
        let mut evidence = Map::new();
        if let Some(lies) = self.lies(seen) {
            evidence.insert("reach".to_owned(), json!(centimetres(lies.ground.reach)));
            if let Some(here) = seen.here {
                let distance = here.distance(lies.anchor.position);
                evidence.insert("anchorDistance".to_owned(), json!(centimetres(distance)));
            }
        }
        say.phase(seen.now, phase, how.into(), evidence);
    }

    /// There is a new mark: everything that was judged against the old one starts again.
    fn restart_judgement(&mut self, now: Tick) {
        if let Some(mooring) = &mut self.mooring {
            mooring.forget_evidence();
        }
        self.circle.forget();
        self.settling.restart(now);
    }
}

/// The counter's reading, unless it is impossible at anchor: not reset, or heaved up and down.
fn counted(seen: &Seen, depth_at_anchor: Option<Metres>) -> Option<Metres> {
    let depth = seen.depth.or(depth_at_anchor).unwrap_or_default();
    let least = scope::height(depth, seen.boat.roller_height());
    seen.counter
        .map(|counter| counter.rode)
        .filter(|reading| *reading >= least)
}

/// What one fix shows, with its circumstances; the reach and the rode belong to each anchor.
fn sighting(
    seen: &Seen,
    here: &Here,
    depth_at_anchor: Option<Metres>,
    phase: AnchorPhase,
) -> Sighting {
    let lever = seen.boat.antenna_to_roller(seen.heading);
    let depth = seen.depth.or(depth_at_anchor);
    Sighting {
        antenna: here.fix.without_leap(),
        sigma: here.fix.sigma,
        doubt: here.fix.doubt,
        velocity: seen.velocity,
        lever: lever.offset,
        lever_doubt: lever.doubt,
        reach: Metres::ZERO,
        rode: Metres::ZERO,
        height: depth.map(|depth| scope::height(depth, seen.boat.roller_height())),
        wind: seen.wind,
        wind_now: seen.wind_now,
        wind_ahead: seen.wind_ahead,
        settled: phase == AnchorPhase::Set,
        stays: here.fix.stays,
    }
}

/// Metres: a smaller difference is not reported.
const TOLD: f64 = 5.0;
const KEEP_FOUND_EVERY: Duration = Duration::from_mins(10);
