//! The watch itself: is windrode impaired, does anybody ashore hear it, does its power last, and is an
//! anchor marked at all? Hazard `watch`: nobody watches her, and a display need show only one reason for
//! that at a time. An impairment comes first; what is only to be known is a caution.

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
    phones: Phones,
}

impl Health {
    /// Whole, with the least voltage of the house battery.
    #[must_use]
    pub fn new(least_voltage: Volts) -> Self {
        Self {
            power: Power::new(least_voltage),
            impaired: None,
            phones: Phones::None,
        }
    }

    /// windrode is impaired, or whole again. Returns whether that is new.
    pub fn take_impaired(&mut self, why: Option<String>) -> bool {
        std::mem::replace(&mut self.impaired, why) != self.impaired
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
        let ailing = joined([
            self.impaired.clone(),
            self.no_phone(),
            self.power.battery(now.tick),
        ]);
        let (priority, message) = match (ailing, mild) {
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
        Judged::Stands(finding(priority, 0.0, message, serde_json::Value::Null))
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
