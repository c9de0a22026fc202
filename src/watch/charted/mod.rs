//! What the charts say about the planned circle, and about the one she lies in.
//!
//! The charts are read outside the watch: it asks ([`ChartQuestion`], an output) and takes the answer
//! ([`ChartAnswer`], an input), so replaying a journal needs no chart. The watch holds one short answer for the
//! berth and one for the anchor. [`inquiry`] decides when to ask, and [`telling`] has the sentences.
//!
//! **The circle she lies in** is centred on the anchor where it lies. Its radius is that of the stern, with the
//! rode drawn straight at the lowest water of the stay. On a mooring it is the circle that was given, plus half the
//! boat. On lines to the shore she does not swing, and no chart is asked.
//!
//! **The boat's own soundings** ([`soundings`](super::soundings)) are asked for together with the charts, and the
//! answer takes the shoaler of the two. When there are new soundings in a circle, the question is asked again, and
//! the old answer stays in use until the new one comes. The old answer also stays when a chart cannot be read: that
//! is reported, and it does not end a hazard that was reported because of the chart.
//!
//! **Weakness**: the uncertainty of the anchor's position is not added to the circle; the chart's own error is
//! reported with the answer and not subtracted from the depths.
//! **Tests**: `src/watch/tests/charted.rs`; the figures against shapely and pyproj in `tests/peers/charts.rs`.

pub mod inquiry;
pub mod telling;

use std::time::Duration;

use serde::{Deserialize, Serialize};

use crate::chart::clearance::{DepthThere, OwnTold, RoomTold};
use crate::chart::own::OwnSounding;
use crate::geodesy::Position;
use crate::speech::charts::RoomToSwing;
use crate::tackle::circle::Circle;
use crate::tackle::scope;
use crate::time::Tick;
use crate::units::Metres;
use crate::watch::anchorage::Lies;
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::judgement::Judged;
use crate::watch::messages::Command;
use crate::watch::round::Round;

use inquiry::Inquiry;
pub use inquiry::{ChartAnswer, ChartQuestion, ChartSays};

/// News from the reader of the charts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum ChartNews {
    /// There are charts aboard (or they have changed), or there are none: everything is asked again.
    Kept(bool),
    /// The boat has soundings of its own, or none.
    Sounded(bool),
    /// The crew removed soundings of the boat's own; are any left? Everything is asked again.
    Forgotten(bool),
    /// A question is answered.
    Said(Box<ChartAnswer>),
}

/// Which circle.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum About {
    /// The planned circle.
    #[default]
    Berth,
    /// The circle about the anchor.
    Anchor,
}

/// See the module documentation.
#[derive(Clone, Debug)]
pub struct Charted {
    began: Tick,
    aboard: Aboard,
    asked: u64,
    berth: Inquiry,
    anchor: Inquiry,
    /// The anchor was let go or moved, or its rode changed: what the chart says about it must still be reported.
    untold: bool,
    /// The hazard is reported because of the chart.
    told_by_chart: bool,
    waiting: Vec<Waiting>,
}

/// The sources of depths aboard.
#[derive(Clone, Copy, Debug, Default)]
struct Aboard {
    charts: bool,
    soundings: bool,
}

/// An answer to the crew that waits for the chart.
#[derive(Clone, Debug)]
struct Waiting {
    id: u64,
    about: About,
    said: String,
    since: Tick,
}

impl Charted {
    /// Starts without knowing whether there are charts. `told_by_chart`: before the restart, the hazard was active
    /// because of a chart.
    #[must_use]
    pub fn restored(now: Tick, told_by_chart: bool) -> Self {
        Self {
            began: now,
            aboard: Aboard::default(),
            asked: 0,
            berth: Inquiry::default(),
            anchor: Inquiry::default(),
            untold: false,
            told_by_chart,
            waiting: Vec::new(),
        }
    }

    /// Was the hazard reported because of the chart?
    #[must_use]
    pub const fn told_by_chart(&self) -> bool {
        self.told_by_chart
    }

    /// A report that was made because of the chart cannot be judged yet: the chart is being read, after a restart
    /// or because the circle has just changed.
    fn is_reading(&self, now: Tick) -> bool {
        let open = if self.asks() {
            self.anchor.is_open()
        } else {
            now.since(self.began) < CHARTS_COME
        };
        self.told_by_chart && open
    }

    /// Takes news from the charts.
    pub fn take(&mut self, now: Tick, news: &ChartNews) {
        match news {
            ChartNews::Kept(kept) => {
                self.aboard.charts = *kept;
                self.berth = Inquiry::default();
                self.anchor = Inquiry::default();
            }
            ChartNews::Sounded(sounded) => self.aboard.soundings = *sounded,
            ChartNews::Forgotten(any) => {
                self.aboard.soundings = *any;
                self.berth = Inquiry::default();
                self.anchor = Inquiry::default();
            }
            ChartNews::Said(answer) => {
                let _ = self.berth.take(now, answer) || self.anchor.take(now, answer);
            }
        }
    }

    /// There is another berth: the answer for the previous one does not count.
    pub fn forget_berth(&mut self) {
        self.berth = Inquiry::default();
    }

    /// Are there charts aboard?
    #[must_use]
    pub const fn kept(&self) -> bool {
        self.aboard.charts
    }

    /// Is there any source of depths aboard?
    const fn asks(&self) -> bool {
        self.aboard.charts || self.aboard.soundings
    }

    /// She has taken soundings: they may change the answer for a circle that they lie in, which is asked again.
    pub fn sounded(&mut self, soundings: &[OwnSounding]) {
        for inquiry in [&mut self.berth, &mut self.anchor] {
            inquiry.doubt(soundings);
        }
    }

    /// Asks for what is not known. The question about the berth uses the radius planned there, if there is a plan.
    pub fn inquire(
        &mut self,
        round: &Round,
        berth: Option<(Position, Option<Metres>)>,
    ) -> Vec<ChartQuestion> {
        if !self.asks() {
            return Vec::new();
        }
        let now = round.seen.now.tick;
        // Before the chart has given the depth there, the circle would be that of the sounder, a different one.
        let radius = |radius: Option<Metres>| radius.filter(|_| self.berth.is_answered());
        let berth =
            berth.map(|(place, planned)| question(round, About::Berth, place, radius(planned)));
        let anchor = round.lies.as_ref().and_then(|lies| swings(round, lies));
        let anchor =
            anchor.map(|(place, circle)| question(round, About::Anchor, place, Some(circle)));
        let number = &mut self.asked;
        [
            self.berth.want(now, berth, number),
            self.anchor.want(now, anchor, number),
        ]
        .into_iter()
        .flatten()
        .collect()
    }

    /// The depth that the chart gives at the berth.
    #[must_use]
    pub fn depth_at_berth(&self) -> Option<&DepthThere> {
        self.berth.there()
    }

    /// What the charts and the boat's own soundings say about a circle. Without charts, soundings alone do not
    /// clear a circle, and the missing chart is not reported: only soundings that are too shoal are.
    #[must_use]
    pub fn room(&self, about: About) -> Option<&RoomTold> {
        let room = self.inquiry(about).room()?;
        let shoal = || room.findings.iter().any(|it| telling::is_shoal(*it));
        (self.aboard.charts || shoal()).then_some(room)
    }

    /// The boat's own soundings in a circle.
    fn own(&self, about: About) -> Option<&OwnTold> {
        self.inquiry(about).room()?.soundings.as_ref()
    }

    /// Why there is no answer about a circle.
    #[must_use]
    pub fn why_not(&self, about: About) -> Option<RoomToSwing> {
        let inquiry = self.inquiry(about);
        if !self.aboard.charts {
            let own = self.own(about).map(|own| own.told().into());
            Some(RoomToSwing::NoCharts { own })
        } else if inquiry.has_failed() {
            Some(RoomToSwing::Unreadable)
        } else {
            inquiry.is_open().then_some(RoomToSwing::NotRead)
        }
    }

    const fn inquiry(&self, about: About) -> &Inquiry {
        match about {
            About::Berth => &self.berth,
            About::Anchor => &self.anchor,
        }
    }

    /// The circle about the anchor has changed: report it when the chart has answered.
    pub const fn tell_anew(&mut self) {
        self.untold = true;
    }

    /// What to report about the circle about the anchor now; reported once.
    pub fn news(&mut self) -> Option<RoomTold> {
        if !self.untold || !self.anchor.is_settled() {
            return None;
        }
        let Some(room) = self.room(About::Anchor).cloned() else {
            self.untold = self.anchor.room().is_none();
            return None;
        };
        self.untold = false;
        (!room.clears).then_some(room)
    }

    /// The circle that the answer to an order must wait for.
    #[must_use]
    pub fn waits(&self, command: &Command) -> Option<About> {
        match command {
            Command::Berth(Some(_)) => Some(About::Berth),
            Command::LetGo(order) if self.asks() && has_circle(order.kind) => Some(About::Anchor),
            _ => None,
        }
    }

    /// An order was carried out; its answer waits for the chart's answer.
    pub fn answer_later(&mut self, now: Tick, id: u64, about: About, said: String) {
        self.waiting.push(Waiting {
            id,
            about,
            said,
            since: now,
        });
    }

    /// The answers that need not wait any longer: the chart has answered, or has taken too long.
    pub fn answers(&mut self, now: Tick) -> Vec<(u64, About, String)> {
        let (asks, berth, anchor) = (
            self.asks(),
            self.berth.is_settled(),
            self.anchor.is_settled(),
        );
        let ready = |waiting: &Waiting| {
            let settled = match waiting.about {
                About::Berth => berth,
                About::Anchor => anchor,
            };
            !asks || settled || now.since(waiting.since) >= WAITS
        };
        let (ready, waiting) = std::mem::take(&mut self.waiting)
            .into_iter()
            .partition(ready);
        self.waiting = waiting;
        let ready: Vec<Waiting> = ready;
        ready
            .into_iter()
            .map(|waiting| (waiting.id, waiting.about, waiting.said))
            .collect()
    }

    /// The hazard `shoaling`, from what the chart says about the area she could swing over and what the sounder
    /// says. `told`: the hazard is already reported.
    pub fn judge(&mut self, round: &Round, told: bool, sounded: Judged) -> Judged {
        if !round.anchored() {
            self.told_by_chart = false;
            return sounded;
        }
        let (settings, now) = (&round.seen.settings, round.seen.now.tick);
        let slack = if told { HYSTERESIS } else { Metres::ZERO };
        let charted = self.anchor.room().and_then(|room| {
            let draught = round.seen.boat.draught();
            telling::shoaling(room, draught, lowest(round), settings.keel_margin, slack)
        });
        match (sounded, charted) {
            (Judged::Stands(sounded), Some(charted)) => {
                let sounder =
                    sounded.priority > charted.priority || sounded.severity >= charted.severity;
                self.told_by_chart = !sounder;
                Judged::Stands(if sounder { sounded } else { charted })
            }
            (Judged::Gone, Some(charted)) => {
                self.told_by_chart = true;
                Judged::Stands(charted)
            }
            // What the sounder reported before it lost the bottom may be graver.
            (Judged::Unchanged, Some(charted)) if self.told_by_chart || !told => {
                self.told_by_chart = true;
                Judged::Stands(charted)
            }
            (Judged::Gone | Judged::Unchanged, None) if told && self.is_reading(now) => {
                Judged::Unchanged
            }
            // From here on the alarm is the sounder's.
            (Judged::Stands(sounded), None) if !self.is_reading(now) => {
                self.told_by_chart = false;
                Judged::Stands(sounded)
            }
            // An alarm ends only when its condition has been gone for some seconds. Until then it is the chart's. If the
            // charts themselves are gone, nothing shows that the shoal is.
            (Judged::Unchanged, None) if self.told_by_chart && self.asks() => {
                self.told_by_chart = told;
                Judged::Gone
            }
            (Judged::Gone, None) => {
                self.told_by_chart = false;
                Judged::Gone
            }
            (sounded, _) => sounded,
        }
    }
}

/// The lowest water of the stay above chart datum; zero if no tide is known.
#[must_use]
pub fn lowest(round: &Round) -> Metres {
    let tide = round.tide.as_ref().filter(|tide| tide.above_datum);
    tide.map_or(Metres::ZERO, |tide| tide.lowest)
}

fn question(
    round: &Round,
    about: About,
    centre: Position,
    radius: Option<Metres>,
) -> ChartQuestion {
    let seen = &round.seen;
    let draught = seen.boat.draught();
    let tide = round.tide.as_ref().filter(|tide| tide.above_datum);
    ChartQuestion {
        number: 0,
        about,
        centre,
        radius,
        draught: draught.unwrap_or_default(),
        // Without a draught, the depth under the keel cannot be calculated.
        margin: draught.map_or(Metres::ZERO, |_| seen.settings.keel_margin),
        lowest: lowest(round),
        now: tide.map(|tide| tide.now),
        lengths: seen.settings.wording.lengths,
        language: seen.settings.wording.language,
    }
}

const fn has_circle(kind: MooringKind) -> bool {
    kind.can_drag()
}

/// The circle that she can swing over, including her stern.
fn swings(round: &Round, lies: &Lies) -> Option<(Position, Metres)> {
    if !has_circle(lies.kind) {
        return None;
    }
    let seen = &round.seen;
    let boat = &seen.boat;
    let place = lies.anchor.position;
    if !lies.kind.has_rode() {
        let half = boat.length_or_default() * 0.5;
        return Some((place, lies.ground.max_radius + half));
    }
    let depth = match (&round.tide, seen.depth) {
        (Some(tide), Some(depth)) => Some(depth - tide.now + tide.lowest),
        (_, depth) => depth.or(lies.anchor.depth),
    };
    let low = depth.and_then(|depth| {
        let roller = boat.roller_height();
        scope::reach(lies.ground.rode, depth, roller, lies.ground.stretch)
    });
    let reach = low.map_or(lies.ground.reach, |low| low.max(lies.ground.reach));
    Some((place, Circle::about(reach, boat).stern))
}

/// A crew that has let go waits no longer than this for a slow disk.
const WAITS: Duration = Duration::from_secs(2);
/// After a start, the reader of the charts reports within this time whether there are charts.
const CHARTS_COME: Duration = Duration::from_mins(1);
const HYSTERESIS: Metres = Metres::of(0.2);
