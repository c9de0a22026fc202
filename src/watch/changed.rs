//! Somebody changed the watch: ended it, widened its limits, or moved the mark. Hazard `watch`.
//!
//! The data server decides who may send commands, and a slip on a display looks like an intention. So every such
//! change is reported. From the boat's own terminal it is a caution: displays show it without a sound, and it
//! clears after [`SHOWN_FOR`]. Over the network the sender is unknown, so the change is a warning: it sounds, goes
//! to the phones and stays until somebody acknowledges it. A change over the network is also only a caution where
//! the crew is plainly there: the watch was ended and the boat has been under way since, or the mark or the circle
//! changed by less than [`SLIGHT`] in all.
//!
//! Weakness: a crew that weighs without the engine and ends the watch from a display hears the warning once.
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
    /// The mark was moved.
    Mark,
    /// The circle was widened.
    Circle,
    /// An implausible length of rode was entered.
    Rode,
}

/// A change that is reported.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Changed {
    what: What,
    by: By,
    /// The total amount of the change.
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
    /// Restores the saved changes.
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

    /// What to save for a restart.
    #[must_use]
    pub fn saved(&self) -> Vec<Changed> {
        self.told
            .iter()
            .map(|(changed, _)| changed.clone())
            .collect()
    }

    /// Takes an order that was carried out, with how she lay `before` and `after` it.
    pub fn take(
        &mut self,
        now: Tick,
        (command, by): (&Command, By),
        (before, after): (Option<&Lies>, Option<&Lies>),
        settings: &WatchSettings,
    ) {
        if by == By::Terminal && matches!(command, Command::LetGo(_)) {
            // The crew has begun a new watch, so changes to the previous one no longer matter.
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

    /// Somebody has acknowledged the changes.
    pub fn seen(&mut self) {
        self.told.clear();
    }

    /// What to report now. `under_way`: she makes way or her engine works.
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

/// The reportable change that the order made, and its size.
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
            // All judgements about the old mark are lost, however near the new one is.
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

/// How long a caution is shown. Chosen: long enough for somebody aboard to look at a display once.
pub const SHOWN_FOR: Duration = Duration::from_mins(10);
/// A change this small neither weakens the watch nor deserves a sound. Chosen: the margin of the circle.
const SLIGHT: Metres = Metres::of(10.0);
/// A smaller difference is no change.
const LEAST: Metres = Metres::of(0.5);
