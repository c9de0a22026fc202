//! The findings, and how they are printed.

use std::time::Duration;

use serde::{Serialize, Serializer};

use super::super::status::wrapped_to;
use crate::speech::alerts::Health;
use crate::speech::checks::{Check, CheckMargin, Looked, TokenEnd, Without};
use crate::speech::{Sentence, Wording};

/// The findings.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Found {
    #[serde(serialize_with = "in_english")]
    pub(super) server: Sentence,
    /// Its address.
    pub(super) address: String,
    /// The servers that were found on the network, if it had to be asked.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) on_network: Vec<String>,
    /// It was found there, and none was known before: it may be another boat's.
    #[serde(
        skip_serializing_if = "Option::is_none",
        serialize_with = "in_english_if_any"
    )]
    pub(super) may_be_others: Option<Health>,
    #[serde(serialize_with = "in_english")]
    pub(super) rights: Sentence,
    pub(super) rights_suffice: bool,
    pub(super) sensors: Vec<Sensor>,
    pub(super) figures: Vec<Sensor>,
    pub(super) position_sources: Vec<String>,
    /// Why the daemon's granted token could not be sent to the server.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) token_unread: Option<String>,
    /// A note that the token ends soon, or has ended.
    #[serde(
        skip_serializing_if = "Option::is_none",
        serialize_with = "in_english_if_any"
    )]
    pub(super) token_ends: Option<TokenEnd>,
    pub(super) phones: Vec<Phone>,
    /// A daemon runs and answers.
    pub(super) daemon: bool,
}

#[derive(Clone, Debug, Serialize)]
pub(super) struct Sensor {
    #[serde(serialize_with = "in_english")]
    pub(super) name: Looked,
    pub(super) need: Need,
    pub(super) heard: Heard,
    /// What the sensor's absence costs.
    #[serde(serialize_with = "in_english")]
    pub(super) cost: Without,
}

/// Data for programs is in English and metres.
fn in_english<T: Clone + Into<Sentence>, S: Serializer>(
    said: &T,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    let said: Sentence = said.clone().into();
    serializer.serialize_str(&said.words(&Wording::default()))
}

/// The same, where there may be nothing to say.
#[expect(clippy::ref_option, reason = "the form that serde asks for")]
fn in_english_if_any<T: Clone + Into<Sentence>, S: Serializer>(
    said: &Option<T>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    match said {
        Some(said) => in_english(said, serializer),
        None => serializer.serialize_none(),
    }
}

/// How much the watch needs the sensor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) enum Need {
    /// Without this sensor there is no watch.
    Vital,
    /// Without this sensor the watch does less.
    Useful,
    /// Its silence may be normal.
    Optional,
}

/// What the sensor sent, from worst to best.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) enum Heard {
    /// Nothing.
    Nothing,
    /// Only the last value, which the server keeps after a device was switched off.
    Old,
    /// The sensor reports that it has no value.
    Unusable,
    /// A usable current value.
    Usable,
}

/// A channel, and whether it works, if the daemon reports that.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Phone {
    pub(super) channel: String,
    pub(super) works: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) trouble: Option<String>,
}

impl Sensor {
    fn works(&self) -> bool {
        self.heard == Heard::Usable
    }

    fn told(&self, listened: Duration) -> Sentence {
        let (what, cost) = (self.name, self.cost);
        let told = match self.heard {
            Heard::Usable => return what.into(),
            Heard::Unusable => Check::NoUsableValue { what, cost },
            Heard::Old => Check::LastValueOnly {
                what,
                listened,
                cost,
            },
            Heard::Nothing if self.need == Need::Optional => Check::NotHeard {
                what,
                listened,
                cost,
            },
            Heard::Nothing => Check::Missing {
                what,
                listened,
                cost,
            },
        };
        told.into()
    }
}

/// The lines of the page, by what they mean for the watch.
#[derive(Default)]
struct Lists {
    fails: Vec<Sentence>,
    limits: Vec<Sentence>,
    notes: Vec<Sentence>,
    works: Vec<Sentence>,
}

impl Found {
    /// Can the watch do its work?
    pub(super) fn suffices(&self) -> bool {
        let vital = |sensor: &Sensor| sensor.works() || sensor.need != Need::Vital;
        self.rights_suffice && self.sensors.iter().all(vital)
    }

    /// The verdict, then what does not work with its cost, then what works.
    pub(super) fn lines(&self, listened: Duration, verbose: bool, say: &Wording) -> Vec<String> {
        let lists = self.lists(listened, verbose);
        let verdict = match (lists.fails.len() as u64, lists.limits.len() as u64) {
            (0, 0) => Check::Ready,
            (0, count) => Check::ReadyWithLimits { count },
            (count, _) => Check::NotReady { count },
        };
        let works = Sentence::several(lists.works, ", ");
        let lists = [
            (CheckMargin::Fails, lists.fails),
            (CheckMargin::Limits, lists.limits),
            (CheckMargin::Note, lists.notes),
            (CheckMargin::Works, vec![works]),
        ]
        .map(|(head, texts)| (head.words(say), texts));
        let widest = lists.iter().map(|(head, _)| head.chars().count()).max();
        let column = widest.unwrap_or_default() + 2;
        let mut lines = wrapped_to("", "  ", &verdict.words(say));
        for (head, texts) in lists {
            for text in texts {
                let lead = format!("  {head:<column$}");
                lines.extend(wrapped_to(&lead, &" ".repeat(column + 2), &text.words(say)));
            }
        }
        if !verbose {
            lines.extend(wrapped_to("", "  ", &Check::More.words(say)));
        }
        lines
    }

    fn lists(&self, listened: Duration, verbose: bool) -> Lists {
        let (greeting, address) = (self.server.clone(), self.address.clone());
        let mut lists = Lists {
            works: vec![Check::Server { greeting, address }.into()],
            ..Lists::default()
        };
        if self.rights_suffice {
            lists.works.push(Check::MayWrite.into());
        } else {
            let why = self.rights.clone();
            lists.fails.push(Check::MayNotWrite { why }.into());
        }
        if let Some(why) = self.token_unread.clone() {
            lists.notes.push(Check::TokenUnread { why }.into());
        }
        lists
            .limits
            .extend(self.token_ends.clone().map(Sentence::from));
        lists
            .limits
            .extend(self.may_be_others.clone().map(Sentence::from));
        for offer in self.on_network.iter().cloned() {
            lists.notes.push(Check::OnNetwork { offer }.into());
        }
        for sensor in &self.sensors {
            let told = sensor.told(listened);
            match (sensor.works(), sensor.need) {
                (true, _) => lists.works.push(told),
                (false, Need::Vital) => lists.fails.push(told),
                (false, Need::Useful) => lists.limits.push(told),
                (false, Need::Optional) => lists.notes.push(told),
            }
        }
        if self.position_sources.len() > 1 {
            let sources = self.position_sources.join(", ");
            lists.notes.push(Check::SeveralReceivers { sources }.into());
        }
        for figure in &self.figures {
            let (what, cost) = (figure.name, figure.cost);
            match figure.works() {
                true if verbose => lists.works.push(what.into()),
                true => {}
                false => lists.limits.push(Check::NotEntered { what, cost }.into()),
            }
        }
        self.list_phones(&mut lists);
        if self.daemon {
            lists.works.push(Check::Daemon.into());
        } else {
            lists.notes.push(Check::NoDaemon.into());
        }
        lists
    }

    fn list_phones(&self, lists: &mut Lists) {
        if self.phones.is_empty() {
            lists.limits.push(Check::NoPhones.into());
        }
        for phone in &self.phones {
            let (channel, why) = (phone.channel.clone(), phone.trouble.clone());
            match phone.works {
                Some(true) => lists.works.push(Check::PhoneWorks { channel }.into()),
                Some(false) => lists.limits.push(Check::PhoneFails { channel, why }.into()),
                None => lists.notes.push(Check::PhoneUntried { channel }.into()),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::speech::Language;
    use crate::speech::faults::LinkFault;

    const LISTENED: Duration = Duration::from_secs(10);

    fn sensor(name: Looked, need: Need, heard: Heard, cost: Without) -> Sensor {
        Sensor {
            name,
            need,
            heard,
            cost,
        }
    }

    fn good() -> Found {
        let usable = |name, need, cost| sensor(name, need, Heard::Usable, cost);
        Found {
            server: Sentence::verbatim("signalk-server 2.32.0"),
            address: "ws://localhost:3000".to_owned(),
            on_network: Vec::new(),
            may_be_others: None,
            rights: Sentence::verbatim("the server grants us `readwrite`"),
            rights_suffice: true,
            sensors: vec![
                usable(Looked::Position, Need::Vital, Without::Position),
                usable(Looked::Wind, Need::Useful, Without::Wind),
                sensor(
                    Looked::Revolutions,
                    Need::Optional,
                    Heard::Nothing,
                    Without::Revolutions,
                ),
            ],
            figures: vec![usable(Looked::Antenna, Need::Useful, Without::Antenna)],
            position_sources: vec!["gps0.GP".to_owned()],
            token_unread: None,
            token_ends: None,
            phones: vec![Phone {
                channel: "skipper".to_owned(),
                works: Some(true),
                trouble: None,
            }],
            daemon: true,
        }
    }

    fn english(found: &Found) -> Vec<String> {
        found.lines(LISTENED, false, &Wording::default())
    }

    #[test]
    fn the_verdict_comes_first_and_an_engine_that_is_off_is_not_missing() {
        let lines = english(&good());
        assert_eq!(lines[0], "READY: everything the watch needs works");
        assert!(lines[1].starts_with("  note   revolutions not heard in 10 s: normal"));
        let works =
            "  works  server (signalk-server 2.32.0, `ws://localhost:3000`), right to write,";
        assert!(lines.iter().any(|line| line == works), "{lines:#?}");
        assert!(good().suffices());
        assert!(!lines.join(" ").contains("missing"));
    }

    /// What can be wrong, all at once.
    fn bad() -> Found {
        let mut found = good();
        let useful = |name, heard, cost| sensor(name, Need::Useful, heard, cost);
        found.sensors[1].heard = Heard::Old;
        let depth = useful(Looked::Depth, Heard::Nothing, Without::Depth);
        let heading = useful(Looked::Heading, Heard::Unusable, Without::Heading);
        found.sensors.extend([depth, heading]);
        found.figures[0].heard = Heard::Nothing;
        found.phones.clear();
        found
    }

    #[test]
    fn a_missing_sensor_is_shown_with_its_cost() {
        let found = bad();
        let lines = english(&found);
        assert_eq!(lines[0], "READY, with limits: 5 things below");
        for wanted in [
            "  limit  wind sent nothing in 10 s, the server has its last value only: no alert",
            "  limit  depth missing, nothing in 10 s: no alert for shoaling",
            "  limit  heading sends no usable value: ",
            "  limit  antenna from bow not entered: adds half a boat length of error",
            "  limit  phones: no channel is configured, so an alarm is heard at a display",
        ] {
            assert!(
                lines.iter().any(|line| line.starts_with(wanted)),
                "{wanted}\n{lines:#?}"
            );
        }
        assert!(found.suffices());
    }

    #[test]
    fn without_a_position_or_the_right_to_write_it_is_not_ready() {
        let mut blind = good();
        blind.sensors[0].heard = Heard::Nothing;
        assert!(!blind.suffices());
        assert_eq!(
            english(&blind)[0],
            "NOT READY: 1 thing the watch cannot do without"
        );
        let mute = mute(good());
        assert!(!mute.suffices());
        let said = english(&mute).join("\n");
        for wanted in [
            "NOT READY: 1 thing",
            "  fails  right to write: the server does not know us",
            "  note   phone `skipper` not tried: `windrode check --push skipper`",
            "  note   no daemon answers here",
        ] {
            assert!(said.contains(wanted), "{wanted}\n{said}");
        }
    }

    fn mute(mut found: Found) -> Found {
        found.rights_suffice = false;
        found.rights = LinkFault::Unknown.into();
        found.daemon = false;
        for phone in &mut found.phones {
            phone.works = None;
        }
        found
    }

    /// The figures are invented.
    #[test]
    fn the_page_in_every_language() {
        let mut worst = mute(bad());
        worst.sensors[0].heard = Heard::Nothing;
        worst.token_unread = Some("the token file `token` cannot be read: denied".to_owned());
        let at = "2026-06-12 10:00 UTC".to_owned();
        worst.token_ends = Some(TokenEnd::Ends { at });
        worst.position_sources = vec!["gps0.GP".to_owned(), "gps1.GP".to_owned()];
        let (length, key) = (crate::units::Metres::of(11.0), "boat.length");
        let assumed = Without::Assumed { length, key };
        let length = sensor(Looked::Length, Need::Useful, Heard::Nothing, assumed);
        worst.figures.push(length);
        let phone = |works: Option<bool>| Phone {
            channel: "mate".to_owned(),
            works,
            trouble: works.map(|_| "status 403".to_owned()),
        };
        worst.phones = vec![phone(Some(false)), phone(None)];
        let (ais, method) = (Without::Ais, Without::Method);
        for (name, cost) in [(Looked::Ais, ais), (Looked::Method, method)] {
            let silent = sensor(name, Need::Optional, Heard::Nothing, cost);
            worst.sensors.push(silent);
        }
        let pages = Language::ALL.map(|language| {
            let say = Wording::in_language(language);
            let pages = [good(), bad(), worst.clone()].map(|found| {
                let lines = found.lines(LISTENED, false, &say);
                for line in &lines {
                    assert!(line.chars().count() <= 80, "{language:?}: {line}");
                }
                lines.join("\n")
            });
            pages.join("\n--\n")
        });
        insta::assert_snapshot!(pages.join("\n\n"));
    }

    /// Data for programs is the same in every language of the crew.
    #[test]
    fn the_data_is_in_english() {
        let data = serde_json::to_value(bad()).unwrap();
        assert_eq!(data["rights"], "the server grants us `readwrite`");
        assert_eq!(data["sensors"][1]["name"], "wind");
        assert_eq!(
            data["sensors"][1]["cost"],
            "no alert for wind shift or strong wind, no head-to-wind course"
        );
        assert!(data.get("tokenEnds").is_none(), "{data}");
    }
}
