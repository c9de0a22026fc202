//! The watch itself: is windrode impaired, does anybody ashore hear it, does its power last, and is an
//! anchor marked at all? Hazard `watch`: nobody watches her, and a display need show only one reason for
//! that at a time. An impairment comes first; what is only to be known is a caution.

use crate::alert::desk::{Cause, Finding};
use crate::alert::hazard::Priority;
use crate::time::Now;
use crate::units::Volts;
use crate::watch::judgement::{Judged, at_anchor, finding};
use crate::watch::messages::Phones;
use crate::watch::power::Power;

/// Follows what the watch needs.
#[derive(Clone, Debug)]
pub struct Health {
    power: Power,
    impaired: Option<String>,
    stopped: bool,
    phones: Phones,
}

impl Health {
    /// Whole, with the least voltage of the house battery.
    #[must_use]
    pub fn new(least_voltage: Volts) -> Self {
        Self {
            power: Power::new(least_voltage),
            impaired: None,
            stopped: false,
            phones: Phones::None,
        }
    }

    /// windrode is impaired, or whole again. Returns whether that is new.
    pub fn take_impaired(&mut self, why: Option<String>) -> bool {
        std::mem::replace(&mut self.impaired, why) != self.impaired
    }

    /// windrode is being stopped.
    pub const fn stop(&mut self) {
        self.stopped = true;
    }

    /// How the ways to people's phones stand. Returns whether that is new.
    pub fn take_phones(&mut self, phones: Phones) -> bool {
        std::mem::replace(&mut self.phones, phones) != self.phones
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
                "; no phone channel has worked lately ({names}): alerts may be shown aboard only"
            ),
            Phones::None | Phones::Working => String::new(),
        }
    }

    /// Judges the hazard. `unmarked`: she seems to lie to an anchor that nobody marked, in words.
    #[must_use]
    pub fn judge(&self, now: Now, anchored: bool, unmarked: Option<String>) -> Judged {
        // A clock that was set is no reason to wake anybody: no timer hangs on it.
        let mild = joined([unmarked, self.power.clock(now.tick)]);
        let (causes, ailing): (Vec<Cause>, Vec<String>) = self.ailing(now).into_iter().unzip();
        let (priority, message) = match (joined(ailing.into_iter().map(Some)), mild) {
            (None, None) => return Judged::Gone,
            (None, Some(mild)) => (Priority::Caution, mild),
            (Some(why), mild) => (
                at_anchor(anchored, Priority::Warning),
                format!(
                    "the watch is impaired: {}",
                    joined([Some(why), mild]).unwrap_or_default()
                ),
            ),
        };
        Judged::Stands(Finding {
            causes,
            ..finding(priority, 0.0, message, serde_json::Value::Null)
        })
    }

    /// What impairs the watch, each with its words.
    fn ailing(&self, now: Now) -> Vec<(Cause, String)> {
        let stopped = self
            .stopped
            .then(|| "windrode was stopped; nobody watches the anchor".to_owned());
        let causes = [
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
                "no phone channel works ({names}), nobody ashore would be called; look at the boat's link ashore"
            )),
            Phones::None | Phones::Working | Phones::Doubtful(_) => None,
        }
    }
}

fn joined(words: impl IntoIterator<Item = Option<String>>) -> Option<String> {
    let words: Vec<String> = words.into_iter().flatten().collect();
    (!words.is_empty()).then(|| words.join("; "))
}
