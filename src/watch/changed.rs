//! Somebody changed the watch: ended it, widened what it lets her do, moved the mark. Hazard `watch`.
//!
//! Who can command is the data server's to decide, and a slip on a display looks like an intention. So each
//! such change is reported. From the boat's own terminal it is a caution: shown, without a sound, and gone
//! after [`SHOWN_FOR`]. Over the network nobody knows who it was: a warning, which sounds, goes to the phones
//! and stands until somebody acknowledges it. A change over the network is a caution too
//! where the crew is plainly about: the watch was ended and she is under way since, or mark or circle
//! changed by less than [`SLIGHT`] in all.
//!
//! Weakness: a crew that weighs without engine from a display hears the warning once.
//!
//! Tests: `watch::tests::changed`.

use std::time::Duration;

use serde::{Deserialize, Serialize};

use crate::alert::cause::Cause;
use crate::alert::hazard::Priority;
use crate::speech::alerts::Changed as Said;
use crate::time::Tick;
use crate::units::Metres;
use crate::watch::anchorage::Lies;
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::messages::{By, Command};
use crate::watch::settings::WatchSettings;

/// What was changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum What {
    /// The watch was ended.
    Ended,
    /// The mark lies elsewhere.
    Mark,
    /// The circle is wider.
    Circle,
    /// More rode than can be meant is said to be out.
    Rode,
}

/// A change that is reported.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Changed {
    what: What,
    by: By,
    /// By how much in all.
    amount: Metres,
    words: String,
    number: u64,
    under_way: bool,
}

/// The changes that are reported.
#[derive(Clone, Debug, Default)]
pub struct Changes {
    told: Vec<(Changed, Tick)>,
    count: u64,
}

impl Changes {
    /// As they were saved.
    #[must_use]
    pub fn restored(now: Tick, saved: &[Changed]) -> Self {
        Self {
            told: saved.iter().map(|changed| (changed.clone(), now)).collect(),
            count: saved
                .iter()
                .map(|changed| changed.number)
                .max()
                .unwrap_or(0),
        }
    }

    /// To be kept over a restart.
    #[must_use]
    pub fn saved(&self) -> Vec<Changed> {
        self.told
            .iter()
            .map(|(changed, _)| changed.clone())
            .collect()
    }

    /// An order was carried out; how she lay `before` it and how `after`.
    pub fn take(
        &mut self,
        now: Tick,
        (command, by): (&Command, By),
        (before, after): (Option<&Lies>, Option<&Lies>),
        settings: &WatchSettings,
    ) {
        if by == By::Terminal && matches!(command, Command::LetGo(_)) {
            // The crew has begun a watch: what was done to the one before is over.
            self.told.clear();
        }
        let Some((what, amount, said)) = change(command, by, before, after, settings) else {
            return;
        };
        self.count += 1;
        let same = |(changed, _): &(Changed, Tick)| changed.what == what && changed.by == by;
        let earlier = self.told.iter().position(same);
        let earlier = earlier.map(|at| self.told.remove(at).0.amount);
        let changed = Changed {
            what,
            by,
            amount: amount + earlier.unwrap_or_default(),
            words: said.words(&settings.wording),
            number: self.count,
            under_way: false,
        };
        self.told.push((changed, now));
    }

    /// Somebody has seen them.
    pub fn seen(&mut self) {
        self.told.clear();
    }

    /// What is to be told now; `under_way`: she makes way or her engine works.
    pub fn judge(&mut self, now: Tick, under_way: bool) -> Vec<(Priority, Cause, String)> {
        for (changed, _) in &mut self.told {
            changed.under_way |= under_way && changed.what == What::Ended;
        }
        self.told.retain(|(changed, at)| {
            changed.priority() > Priority::Caution || now.since(*at) < SHOWN_FOR
        });
        let told = self.told.iter().map(|(changed, _)| {
            let cause = Cause::Changed(changed.number);
            (changed.priority(), cause, changed.words.clone())
        });
        told.collect()
    }
}

impl Changed {
    fn priority(&self) -> Priority {
        let slight = matches!(self.what, What::Mark | What::Circle) && self.amount < SLIGHT;
        if self.by == By::Terminal || self.under_way || slight {
            Priority::Caution
        } else {
            Priority::Warning
        }
    }
}

/// What the order changed that is to be told, and by how much.
fn change(
    command: &Command,
    by: By,
    before: Option<&Lies>,
    after: Option<&Lies>,
    settings: &WatchSettings,
) -> Option<(What, Metres, Said)> {
    let before = before?;
    let mark = before.anchor.position;
    let Some(after) = after else {
        return Some((What::Ended, Metres::ZERO, Said::Ended { by, mark }));
    };
    let (old, new) = (before.ground.max_radius, after.ground.max_radius);
    let wider = new - old;
    match command {
        Command::LetGo(order) if order.kind == MooringKind::SecondAnchor => {
            let (old, _) = before.others.first()?;
            let (new, _) = after.others.first()?;
            let moved = old.position.distance_to(new.position);
            Some((What::Mark, moved, Said::SecondMarked { by, moved }))
        }
        Command::LetGo(_) => {
            let moved = mark.distance_to(after.anchor.position);
            // Whatever was judged about the old mark is lost, however near the new one is.
            let amount = moved.max(SLIGHT);
            Some((What::Mark, amount, Said::Marked { by, moved, mark }))
        }
        Command::CorrectMark(_) => {
            let moved = mark.distance_to(after.anchor.position);
            let said = Said::MarkMoved { by, moved, mark };
            (moved >= LEAST).then_some((What::Mark, moved, said))
        }
        Command::MaxRadius(_) => {
            let said = Said::CircleWidened { by, old, new };
            (wider >= LEAST).then_some((What::Circle, wider, said))
        }
        Command::RodeOut(rode) => {
            let rode = *rode;
            let doubled = after.ground.reach > before.ground.reach * 2.0;
            let told = by != By::Terminal && wider >= LEAST;
            (told && (doubled || rode > settings.longest_rode())).then_some((
                What::Rode,
                wider,
                Said::RodeSet { by, rode },
            ))
        }
        Command::Snubber(_) => {
            let doubled = after.ground.reach > before.ground.reach * 2.0;
            let said = Said::Snubber { by };
            (by != By::Terminal && doubled).then_some((What::Rode, wider, said))
        }
        Command::Weigh
        | Command::Acknowledge(_)
        | Command::Silence(_)
        | Command::Berth(_)
        | Command::PullTest(_) => None,
    }
}

/// How long a caution is shown. Chosen: until whoever is aboard has looked at a display once.
pub const SHOWN_FOR: Duration = Duration::from_mins(10);
/// So little neither blunts the watch nor is worth a sound. Chosen: the margin of the circle.
const SLIGHT: Metres = Metres::of(10.0);
/// Less is no change.
const LEAST: Metres = Metres::of(0.5);
