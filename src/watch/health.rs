//! The watch itself: is windrode impaired, can it reach anybody's phone, will its power last, and is an anchor
//! marked at all? Hazard `watch`: nobody watches the boat. A display need show only one reason for that at a time,
//! so an impairment comes first; less serious reasons are cautions.

use crate::alert::desk::{Cause, Finding};
use crate::alert::hazard::Priority;
use crate::speech::alerts::Health as Said;
use crate::speech::faults::{JournalFault, LostWatch};
use crate::speech::{Day, Sentence, Wording};
use crate::time::{Now, Timestamp};
use crate::units::Volts;
use crate::watch::anchorage::dragging::is_under_way;
use crate::watch::changed::Changes;
use crate::watch::judgement::{Judged, at_anchor, finding};
use crate::watch::messages::Phones;
use crate::watch::power::Power;
use crate::watch::round::Round;

/// Follows what the watch depends on.
#[derive(Clone, Debug)]
pub struct Health {
    power: Power,
    may_be_lost: Option<LostWatch>,
    impaired: Option<JournalFault>,
    stopped: bool,
    phones: Phones,
    /// When the token for the data server expires.
    token_ends: Option<Timestamp>,
    /// Name and address of a server that may be another boat's.
    found_server: Option<(String, String)>,
    changes: Changes,
}

impl Health {
    /// Starts unimpaired, with the least voltage of the house battery and the changes that were saved.
    #[must_use]
    pub fn new(least_voltage: Volts, changes: Changes) -> Self {
        Self {
            power: Power::new(least_voltage),
            may_be_lost: None,
            impaired: None,
            stopped: false,
            phones: Phones::None,
            token_ends: None,
            found_server: None,
            changes,
        }
    }

    /// windrode became impaired, or works again. Returns whether that is new.
    pub fn take_impaired(&mut self, why: Option<JournalFault>) -> bool {
        std::mem::replace(&mut self.impaired, why) != self.impaired
    }

    /// She may lie at anchor in an unknown place, or that question is settled. Returns whether that is new.
    pub fn take_may_be_lost(&mut self, why: Option<LostWatch>) -> bool {
        std::mem::replace(&mut self.may_be_lost, why) != self.may_be_lost
    }

    /// windrode is being stopped.
    pub const fn stop(&mut self) {
        self.stopped = true;
    }

    /// The state of the channels to people's phones. Returns whether that is new.
    pub fn take_phones(&mut self, phones: Phones) -> bool {
        std::mem::replace(&mut self.phones, phones) != self.phones
    }

    /// When the token for the data server expires, if it does. Returns whether that is new.
    pub fn take_token_ends(&mut self, at: Option<Timestamp>) -> bool {
        std::mem::replace(&mut self.token_ends, at) != self.token_ends
    }

    /// A server was joined that was found on the network, and none was known before: a caution until windrode stops.
    /// Returns whether that is new.
    pub fn take_found_server(&mut self, name: String, url: String) -> bool {
        let found = Some((name, url));
        let is_new = self.found_server != found;
        self.found_server = found;
        is_new
    }

    /// The changes that somebody made to the watch.
    #[must_use]
    pub const fn changes(&self) -> &Changes {
        &self.changes
    }

    /// The same, to take orders.
    pub const fn changes_mut(&mut self) -> &mut Changes {
        &mut self.changes
    }

    /// The watch's power supply, to take voltages.
    pub const fn power_mut(&mut self) -> &mut Power {
        &mut self.power
    }

    /// The names of the phone channels if none has worked lately: a crew that lets go should know.
    #[must_use]
    pub fn phones_doubtful(&self) -> Option<String> {
        match &self.phones {
            Phones::Doubtful(names) | Phones::Lost(names) => Some(names.clone()),
            Phones::None | Phones::Working => None,
        }
    }

    /// Judges the hazard. `unmarked`: she seems to lie to an anchor that has not been marked.
    pub fn judge(&mut self, round: &Round, unmarked: Option<Said>) -> Judged {
        let now = round.seen.now;
        let changes = self.changes.judge(now.tick, is_under_way(&round.seen));
        let mut priority = changes.iter().map(|(priority, ..)| *priority).max();
        let (sounding, shown): (Vec<_>, Vec<_>) = changes
            .into_iter()
            .partition(|(priority, ..)| *priority > Priority::Caution);
        let ailing = self.ailing(now);
        // A clock that was set is no reason to wake anybody, since no timer depends on it.
        // Nor is a token that expires: there is time, and once it has expired the link is reported as lost.
        // Nor is a server that may be another boat's: the crew sees at once whether it is theirs.
        let mild = [
            unmarked,
            self.power.clock(now.tick),
            self.token(now.utc),
            self.found_server(),
        ];
        let mild: Vec<_> = mild.into_iter().flatten().collect();
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
        let causes = sounding.iter().map(|(_, cause, _)| *cause);
        let causes = causes
            .chain(ailing.iter().map(|(cause, _)| *cause))
            .collect();
        let all = |sentences: Vec<Sentence>| {
            (!sentences.is_empty()).then(|| Sentence::several(sentences, "; "))
        };
        let changed = sounding.into_iter().chain(shown);
        let changes = all(changed
            .map(|(.., words)| Sentence::verbatim(words))
            .collect());
        let ailing = all(ailing.into_iter().map(|(_, why)| why).collect());
        let sentences = [
            changes.map(|changes| Said::Changed { changes }.into()),
            ailing.map(|causes| Said::Impaired { causes }.into()),
            all(mild.into_iter().map(Into::into).collect()),
        ];
        let sentence = Sentence::several(sentences.into_iter().flatten(), "; ");
        Judged::Stands(Finding {
            causes,
            ..finding(priority, 0.0, sentence, serde_json::Value::Null)
        })
    }

    /// What impairs the watch.
    fn ailing(&self, now: Now) -> Vec<(Cause, Sentence)> {
        let lost = self.may_be_lost.clone().map(|why| Said::MayBeLost { why });
        let causes = [
            (Cause::MayBeLost, lost.map(Into::into)),
            (Cause::Stopped, self.stopped.then(|| Said::Stopped.into())),
            (Cause::Journal, self.impaired.clone().map(Into::into)),
            (Cause::Phones, self.no_phone().map(Into::into)),
            (Cause::Battery, self.power.battery(now.tick).map(Into::into)),
        ];
        causes
            .into_iter()
            .filter_map(|(cause, words)| Some((cause, words?)))
            .collect()
    }

    /// The token for the data server has expired, or expires soon.
    fn token(&self, now: Timestamp) -> Option<Said> {
        let end = self.token_ends?;
        let left = end.millis_since(now);
        (left <= TOLD_AHEAD_MS).then_some(Said::TokenEnds {
            over: left <= 0,
            day: Day(end),
        })
    }

    fn found_server(&self) -> Option<Said> {
        let (name, url) = self.found_server.clone()?;
        Some(Said::FoundServer { name, url })
    }

    fn no_phone(&self) -> Option<Said> {
        match &self.phones {
            Phones::Lost(names) => Some(Said::NoPhone {
                channels: names.clone(),
            }),
            Phones::None | Phones::Working | Phones::Doubtful(_) => None,
        }
    }
}

/// How long before its end an expiring token is reported: a fortnight, enough for a crew that looks once a week.
pub const TOLD_AHEAD_MS: i64 = 14 * 86_400_000;

/// The title of an alert of the hazard `watch`: its first clause, which says who did what or what is wrong.
#[must_use]
pub fn headline<'a>(message: &'a str, say: &Wording) -> &'a str {
    let changes = Sentence::verbatim("");
    let before = Said::Changed { changes }.words(say);
    let message = message.strip_prefix(&before).unwrap_or(message);
    let end = message.find([',', ';', ':']).unwrap_or(message.len());
    message.get(..end).unwrap_or(message).trim_end()
}
