//! The watch itself: is windrode impaired, does anybody ashore hear it, does its power last, and is an
//! anchor marked at all? Hazard `watch`: nobody watches her, and a display need show only one reason for
//! that at a time. An impairment comes first; what is only to be known is a caution.

use crate::alert::desk::{Cause, Finding};
use crate::alert::hazard::Priority;
use crate::time::Now;
use crate::units::Volts;
use crate::watch::anchorage::dragging::is_under_way;
use crate::watch::changed::Changes;
use crate::watch::judgement::{Judged, at_anchor, finding};
use crate::watch::messages::Phones;
use crate::watch::power::Power;
use crate::watch::round::Round;

/// Follows what the watch needs.
#[derive(Clone, Debug)]
pub struct Health {
    power: Power,
    may_be_lost: Option<String>,
    impaired: Option<String>,
    stopped: bool,
    phones: Phones,
    changes: Changes,
}

impl Health {
    /// Whole, with the least voltage of the house battery and what is known of changes.
    #[must_use]
    pub fn new(least_voltage: Volts, changes: Changes) -> Self {
        Self {
            power: Power::new(least_voltage),
            may_be_lost: None,
            impaired: None,
            stopped: false,
            phones: Phones::None,
            changes,
        }
    }

    /// windrode is impaired, or whole again. Returns whether that is new.
    pub fn take_impaired(&mut self, why: Option<String>) -> bool {
        std::mem::replace(&mut self.impaired, why) != self.impaired
    }

    /// She may lie at anchor and nobody knows where, or that is settled. Returns whether that is new.
    pub fn take_may_be_lost(&mut self, why: Option<String>) -> bool {
        std::mem::replace(&mut self.may_be_lost, why) != self.may_be_lost
    }

    /// windrode is being stopped.
    pub const fn stop(&mut self) {
        self.stopped = true;
    }

    /// How the ways to people's phones stand. Returns whether that is new.
    pub fn take_phones(&mut self, phones: Phones) -> bool {
        std::mem::replace(&mut self.phones, phones) != self.phones
    }

    /// How somebody changed the watch.
    #[must_use]
    pub const fn changes(&self) -> &Changes {
        &self.changes
    }

    /// The same: to be told of orders.
    pub const fn changes_mut(&mut self) -> &mut Changes {
        &mut self.changes
    }

    /// What it lives on: to be told of voltages.
    pub const fn power_mut(&mut self) -> &mut Power {
        &mut self.power
    }

    /// What who lets go should know of the phones; nothing while one works.
    #[must_use]
    pub fn phones_caution(&self) -> String {
        match &self.phones {
            Phones::Doubtful(names) | Phones::Lost(names) => format!(
                "; no phone channel has worked lately ({names}): alerts may reach displays aboard only"
            ),
            Phones::None | Phones::Working => String::new(),
        }
    }

    /// Judges the hazard. `unmarked`: she seems to lie to an anchor that nobody marked, in words.
    pub fn judge(&mut self, round: &Round, unmarked: Option<String>) -> Judged {
        let now = round.seen.now;
        let changes = self.changes.judge(now.tick, is_under_way(&round.seen));
        let mut priority = changes.iter().map(|(priority, ..)| *priority).max();
        let (sounding, shown): (Vec<_>, Vec<_>) = changes
            .into_iter()
            .partition(|(priority, ..)| *priority > Priority::Caution);
        let ailing = self.ailing(now);
        // A clock that was set is no reason to wake anybody: no timer hangs on it.
        let mild = [unmarked, self.power.clock(now.tick)].into_iter().flatten();
        let mild: Vec<String> = mild.collect();
        if self.may_be_lost.is_some() {
            // As grave as dragging.
            priority = Some(Priority::Alarm);
        } else if !ailing.is_empty() {
            priority = priority.max(Some(at_anchor(round.anchored(), Priority::Warning)));
        } else if !mild.is_empty() {
            priority = priority.max(Some(Priority::Caution));
        }
        let Some(priority) = priority else {
            return Judged::Gone;
        };
        let said = |words: Vec<String>, before: &str| {
            (!words.is_empty()).then(|| format!("{before}{}", words.join("; ")))
        };
        let causes = sounding.iter().map(|(_, cause, _)| *cause);
        let causes = causes
            .chain(ailing.iter().map(|(cause, _)| *cause))
            .collect();
        let changed = sounding.into_iter().chain(shown).map(|(.., words)| words);
        let ailing = ailing.into_iter().map(|(_, words)| words);
        let words = [
            said(changed.collect(), "the watch was changed: "),
            said(ailing.collect(), "the watch is impaired: "),
            said(mild, ""),
        ];
        let message: Vec<String> = words.into_iter().flatten().collect();
        Judged::Stands(Finding {
            causes,
            ..finding(priority, 0.0, message.join("; "), serde_json::Value::Null)
        })
    }

    /// What impairs the watch, each with its words.
    fn ailing(&self, now: Now) -> Vec<(Cause, String)> {
        let stopped = self
            .stopped
            .then(|| "windrode was stopped: the anchor is not watched".to_owned());
        let lost = self.may_be_lost.as_ref().map(|why| {
            format!(
                "a watch may have been lost: {why}; if she is at anchor, enter its position (`windrode let-go --position`), otherwise acknowledge"
            )
        });
        let causes = [
            (Cause::MayBeLost, lost),
            (Cause::Stopped, stopped),
            (Cause::Journal, self.impaired.clone()),
            (Cause::Phones, self.no_phone()),
            (Cause::Battery, self.power.battery(now.tick)),
        ];
        causes
            .into_iter()
            .filter_map(|(cause, words)| Some((cause, words?)))
            .collect()
    }

    fn no_phone(&self) -> Option<String> {
        match &self.phones {
            Phones::Lost(names) => Some(format!(
                "no phone channel works ({names}): nobody ashore will be alerted; check the boat's internet link"
            )),
            Phones::None | Phones::Working | Phones::Doubtful(_) => None,
        }
    }
}
