//! The findings, and how they are printed.

use serde::Serialize;
use std::borrow::Cow;

use super::super::status::wrapped_to;

/// The findings.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Found {
    pub(super) server: String,
    /// Its address.
    pub(super) address: String,
    /// The servers that were found on the network, if it had to be asked.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) on_network: Vec<String>,
    pub(super) rights: String,
    pub(super) rights_suffice: bool,
    pub(super) sensors: Vec<Sensor>,
    pub(super) figures: Vec<Sensor>,
    pub(super) position_sources: Vec<String>,
    /// Why the daemon's granted token could not be sent to the server.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) token_unread: Option<String>,
    /// A note that the token ends soon, or has ended.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) token_ends: Option<String>,
    pub(super) phones: Vec<Phone>,
    /// A daemon runs and answers.
    pub(super) daemon: bool,
}

#[derive(Clone, Debug, Serialize)]
pub(super) struct Sensor {
    pub(super) name: &'static str,
    pub(super) need: Need,
    pub(super) heard: Heard,
    /// What the sensor's absence costs.
    pub(super) cost: Cow<'static, str>,
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

    fn words(&self, listened: u64) -> String {
        let what = match self.heard {
            Heard::Usable => format!("{} works", self.name),
            Heard::Unusable => format!("{} sends no usable value", self.name),
            Heard::Old => format!(
                "{} sent nothing in {listened} s, the server has its last value only",
                self.name
            ),
            Heard::Nothing if self.need == Need::Optional => {
                format!("{} not heard in {listened} s", self.name)
            }
            Heard::Nothing => format!("{} missing, nothing in {listened} s", self.name),
        };
        format!("{what}: {}", self.cost)
    }
}

impl Found {
    /// Can the watch do its work?
    pub(super) fn suffices(&self) -> bool {
        let vital = |sensor: &Sensor| sensor.works() || sensor.need != Need::Vital;
        self.rights_suffice && self.sensors.iter().all(vital)
    }

    /// Prints the verdict, then what does not work with its cost, then what works.
    pub(super) fn lines(&self, listened: u64, verbose: bool) -> Vec<String> {
        let mut fails = Vec::new();
        let mut less = Vec::new();
        let mut notes = Vec::new();
        let mut works = vec![format!("server ({}, `{}`)", self.server, self.address)];
        if self.rights_suffice {
            works.push("right to write".to_owned());
        } else {
            fails.push(format!(
                "right to write: {}; until then no display shows an alarm",
                self.rights
            ));
        }
        if let Some(why) = &self.token_unread {
            notes.push(format!(
                "asked without the daemon's token: {why}; try `sudo -u windrode windrode check`"
            ));
        }
        less.extend(self.token_ends.clone());
        notes.extend(
            self.on_network
                .iter()
                .map(|offer| format!("found on the network: {offer}")),
        );
        for sensor in &self.sensors {
            let words = sensor.words(listened);
            match (sensor.works(), sensor.need) {
                (true, _) => works.push(sensor.name.to_owned()),
                (false, Need::Vital) => fails.push(words),
                (false, Need::Useful) => less.push(words),
                (false, Need::Optional) => notes.push(words),
            }
        }
        if self.position_sources.len() > 1 {
            notes.push(format!(
                "several receivers give a position: {}; name the better one as `fix.source`",
                self.position_sources.join(", ")
            ));
        }
        for figure in &self.figures {
            if figure.works() {
                if verbose {
                    works.push(figure.name.to_owned());
                }
            } else {
                less.push(format!("{} not entered: {}", figure.name, figure.cost));
            }
        }
        self.phone_lines(&mut works, &mut less, &mut notes);
        if self.daemon {
            works.push("daemon".to_owned());
        } else {
            notes.push("no daemon answers here: nobody is watching yet".to_owned());
        }
        let mut lines = vec![if !fails.is_empty() {
            format!(
                "NOT READY: {} the watch cannot do without",
                counted(fails.len())
            )
        } else if less.is_empty() {
            "READY: everything the watch needs works".to_owned()
        } else {
            format!("READY, with limits: {} below", counted(less.len()))
        }];
        for (head, texts) in [("fails", &fails), ("less", &less), ("note", &notes)] {
            for text in texts {
                lines.extend(told(head, text));
            }
        }
        lines.extend(told("works", &works.join(", ")));
        if !verbose {
            lines.push("`windrode check --verbose` shows the configuration too".to_owned());
        }
        lines
    }

    fn phone_lines(
        &self,
        works: &mut Vec<String>,
        less: &mut Vec<String>,
        notes: &mut Vec<String>,
    ) {
        if self.phones.is_empty() {
            less.push(
                "phones: no channel is configured, so an alarm is heard at a display only"
                    .to_owned(),
            );
        }
        for phone in &self.phones {
            let channel = &phone.channel;
            match phone.works {
                Some(true) => works.push(format!("phone `{channel}`")),
                Some(false) => less.push(format!(
                    "phone `{channel}` fails: {}",
                    phone.trouble.as_deref().unwrap_or("no reason given")
                )),
                None => notes.push(format!(
                    "phone `{channel}` not tried: `windrode check --push {channel}` sends a test"
                )),
            }
        }
    }
}

fn counted(things: usize) -> String {
    if things == 1 {
        "1 thing".to_owned()
    } else {
        format!("{things} things")
    }
}

fn told(head: &str, text: &str) -> Vec<String> {
    wrapped_to(&format!("  {head:<7}"), &" ".repeat(9), text)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sensor(name: &'static str, need: Need, heard: Heard) -> Sensor {
        Sensor {
            name,
            need,
            heard,
            cost: Cow::Borrowed("the cost"),
        }
    }

    fn good() -> Found {
        Found {
            server: "signalk-server 2.32.0".to_owned(),
            address: "ws://localhost:3000".to_owned(),
            on_network: Vec::new(),
            rights: "the server grants us `readwrite`".to_owned(),
            rights_suffice: true,
            sensors: vec![
                sensor("position", Need::Vital, Heard::Usable),
                sensor("wind", Need::Useful, Heard::Usable),
                sensor("revolutions", Need::Optional, Heard::Nothing),
            ],
            figures: vec![sensor("length", Need::Useful, Heard::Usable)],
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

    #[test]
    fn the_verdict_comes_first_and_an_engine_that_is_off_is_not_missing() {
        let lines = good().lines(10, false);
        assert_eq!(
            lines,
            [
                "READY: everything the watch needs works",
                "  note   revolutions not heard in 10 s: the cost",
                "  works  server (signalk-server 2.32.0, `ws://localhost:3000`), right to write,",
                "         position, wind, phone `skipper`, daemon",
                "`windrode check --verbose` shows the configuration too",
            ]
        );
        assert!(good().suffices());
        assert!(!lines.join(" ").contains("missing"));
    }

    #[test]
    fn a_missing_sensor_is_shown_with_its_cost() {
        let mut found = good();
        found.sensors[1].heard = Heard::Old;
        found
            .sensors
            .push(sensor("depth", Need::Useful, Heard::Nothing));
        found
            .sensors
            .push(sensor("heading", Need::Useful, Heard::Unusable));
        found.figures[0].heard = Heard::Nothing;
        found.phones.clear();
        let lines = found.lines(10, false);
        assert_eq!(lines[0], "READY, with limits: 5 things below");
        for wanted in [
            "  less   wind sent nothing in 10 s, the server has its last value only: the cost",
            "  less   depth missing, nothing in 10 s: the cost",
            "  less   heading sends no usable value: the cost",
            "  less   length not entered: the cost",
            "  less   phones: no channel is configured, so an alarm is heard at a display",
        ] {
            assert!(
                lines.iter().any(|line| line == wanted),
                "{wanted}\n{lines:#?}"
            );
        }
        assert!(found.suffices());
        assert!(lines.iter().all(|line| line.chars().count() <= 80));
    }

    #[test]
    fn without_a_position_or_the_right_to_write_it_is_not_ready() {
        let mut blind = good();
        blind.sensors[0].heard = Heard::Nothing;
        assert!(!blind.suffices());
        assert_eq!(
            blind.lines(10, false)[0],
            "NOT READY: 1 thing the watch cannot do without"
        );
        let mut mute = good();
        mute.rights_suffice = false;
        mute.rights = "the server does not know us; approve it".to_owned();
        mute.daemon = false;
        mute.phones[0].works = None;
        assert!(!mute.suffices());
        let said = mute.lines(10, false).join("\n");
        for wanted in [
            "NOT READY: 1 thing",
            "  fails  right to write: the server does not know us",
            "  note   phone `skipper` not tried: `windrode check --push skipper`",
            "  note   no daemon answers here",
        ] {
            assert!(said.contains(wanted), "{wanted}\n{said}");
        }
    }
}
