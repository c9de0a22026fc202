//! The sentences of alert management, field by field.
//!
//! | sentence | fields |
//! |---|---|
//! | ALF, an alert | number of sentences (1-2), number, message (0-9), time of the last change, category,
//! priority, state, maker, identifier, instance, revision (1-99), escalation (0-9), text |
//! | ALC, the list | sentences in all (01-99), number, message (00-99), entries, then of each: maker, identifier, instance, revision |
//! | ACN, a command | time, maker, identifier, instance, command, `C` |
//! | ARC, a command refused | time, maker, identifier, instance, command |
//! | HBT, alive | interval in seconds, `A` or `V`, message (0-9) |
//!
//! Sources: the interface appendices of published installation manuals, among them those of bridge alarm,
//! GNSS and VHF equipment of four makers. The first of an ALF's two sentences has the title in at most 16
//! characters, the second the description with its fields 4 to 8 empty. An entry of an ALC is never split
//! over two sentences.
//!
//! From memory: identifiers from 10000 on are the makers' own; escalation counts 0, then 1 to 9 and again
//! from 1; revision counts 1 to 99 and again from 1.
//! again, revision 1 to 99 and 1 again.

use crate::alert::hazard::{AlertState, Hazard, Priority};
use crate::sentences::frame::{BadSentence, cut, field_text, fields, room, sentence};
use crate::time::Timestamp;

/// The content of an ALF about an alert.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Alf {
    /// The alert's hazard.
    pub hazard: Hazard,
    /// When its state last changed.
    pub changed: Timestamp,
    /// How serious it is.
    pub priority: Priority,
    /// How far it has been dealt with.
    pub state: AlertState,
    /// 1 to 99.
    pub revision: u8,
    /// 0 to 9.
    pub escalation: u8,
    /// The text for people.
    pub description: String,
}

impl Alf {
    /// The two sentences (one, when there is no description) under message number `message`.
    #[must_use]
    pub fn sentences(&self, message: u8) -> Vec<String> {
        let number = self.hazard.identifier();
        let counts = format!("{number},{INSTANCE},{},{}", self.revision, self.escalation);
        let description = field_text(&self.description);
        let total = if description.is_empty() { 1 } else { 2 };
        let first = format!(
            "ALF,{total},1,{},{},{CATEGORY},{},{},,{counts},{}",
            message % 10,
            hhmmss(self.changed),
            priority_letter(self.priority),
            state_letter(self.state),
            self.hazard.title(),
        );
        let mut all = vec![sentence(&first)];
        if total == 2 {
            let second = format!("ALF,2,2,{},,,,,,{counts},", message % 10);
            let text = cut(&description, room(&second));
            all.push(sentence(&format!("{second}{text}")));
        }
        all
    }
}

/// The list of all alerts that are not normal, as hazard and revision, under message number `message`: as
/// many sentences as needed, and one if there are no alerts.
#[must_use]
pub fn alc(entries: &[(Hazard, u8)], message: u8) -> Vec<String> {
    let written: Vec<String> = entries
        .iter()
        .map(|(hazard, revision)| format!(",,{},{INSTANCE},{revision}", hazard.identifier()))
        .collect();
    let room = room("ALC,00,00,00,00");
    let mut groups: Vec<Vec<&str>> = vec![Vec::new()];
    let mut used = 0;
    for entry in &written {
        if used + entry.len() > room {
            groups.push(Vec::new());
            used = 0;
        }
        used += entry.len();
        if let Some(group) = groups.last_mut() {
            group.push(entry);
        }
    }
    let total = groups.len();
    groups
        .iter()
        .enumerate()
        .map(|(index, group)| {
            sentence(&format!(
                "ALC,{total:02},{:02},{:02},{}{}",
                index + 1,
                message % 100,
                group.len(),
                group.concat()
            ))
        })
        .collect()
}

/// The sign of life: another follows within `interval` seconds; `whole` when nothing is impaired.
#[must_use]
pub fn hbt(interval: u64, whole: bool, message: u8) -> String {
    let status = if whole { 'A' } else { 'V' };
    sentence(&format!("HBT,{interval},{status},{}", message % 10))
}

/// The refusal of a command.
#[must_use]
pub fn arc(now: Timestamp, hazard: Hazard, command: Act) -> String {
    sentence(&format!(
        "ARC,{},,{},{INSTANCE},{}",
        hhmmss(now),
        hazard.identifier(),
        command.letter()
    ))
}

/// What a display may request for an alert.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Act {
    /// `A`: acknowledge; a person has seen it.
    Acknowledge,
    /// `S`: silence its sound for a while.
    Silence,
    /// `Q`: send it again.
    Repeat,
    /// `O`: transfer the responsibility.
    Transfer,
}

impl Act {
    const ALL: [Self; 4] = [
        Self::Acknowledge,
        Self::Silence,
        Self::Repeat,
        Self::Transfer,
    ];

    /// The letter as it appears in the sentence.
    #[must_use]
    pub const fn letter(self) -> char {
        match self {
            Self::Acknowledge => 'A',
            Self::Silence => 'S',
            Self::Repeat => 'Q',
            Self::Transfer => 'O',
        }
    }
}

/// A display's command for one of our alerts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Acn {
    /// The alert.
    pub hazard: Hazard,
    /// The request.
    pub act: Act,
}

/// Why a line is not a command for us.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoCommand {
    /// Not a sentence.
    #[error("this is no sentence: {0}")]
    Bad(#[from] BadSentence),
    /// A sentence of another kind, or a command for somebody else's alert: to be ignored.
    #[error("it is not for us")]
    NotOurs,
    /// A command that cannot be understood.
    #[error("the command `{0}` is not understood")]
    Unknown(String),
}

/// Reads a line that a display sent.
pub fn acn(line: &str) -> Result<Acn, NoCommand> {
    let fields = fields(line)?;
    let [address, _time, maker, number, instance, command, flag] = fields.as_slice() else {
        let ours = fields
            .first()
            .is_some_and(|address| address.ends_with("ACN"));
        return Err(if ours {
            NoCommand::Unknown(line.trim_end().to_owned())
        } else {
            NoCommand::NotOurs
        });
    };
    if address.len() != 5 || !address.ends_with("ACN") || !maker.is_empty() {
        return Err(NoCommand::NotOurs);
    }
    let hazard = Hazard::ALL
        .into_iter()
        .find(|hazard| number.parse() == Ok(hazard.identifier()))
        .filter(|_| instance.is_empty() || instance.parse() == Ok(INSTANCE))
        .ok_or(NoCommand::NotOurs)?;
    let act = Act::ALL
        .into_iter()
        .find(|act| *command == act.letter().to_string())
        // A sentence that is not a command has another flag, or no flag.
        .filter(|_| *flag == "C")
        .ok_or_else(|| NoCommand::Unknown(line.trim_end().to_owned()))?;
    Ok(Acn { hazard, act })
}

const fn priority_letter(priority: Priority) -> char {
    match priority {
        Priority::EmergencyAlarm => 'E',
        Priority::Alarm => 'A',
        Priority::Warning => 'W',
        Priority::Caution => 'C',
    }
}

const fn state_letter(state: AlertState) -> char {
    match state {
        AlertState::ActiveUnacknowledged => 'V',
        AlertState::ActiveSilenced => 'S',
        AlertState::ActiveAcknowledged => 'A',
        AlertState::RectifiedUnacknowledged => 'U',
        AlertState::Normal => 'N',
    }
}

/// The time of day, `hhmmss.ss`.
fn hhmmss(time: Timestamp) -> String {
    let hundredths = time.as_millis().div_euclid(10).rem_euclid(8_640_000);
    let (seconds, rest) = (hundredths / 100, hundredths % 100);
    format!(
        "{:02}{:02}{:02}.{rest:02}",
        seconds / 3600,
        seconds / 60 % 60,
        seconds % 60
    )
}

/// B: a display shows enough to decide on it (MSC.302(87) 6.3).
const CATEGORY: char = 'B';
/// There is one instance of each alert.
const INSTANCE: u32 = 1;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sentences::frame::LONGEST;

    fn dragging() -> Alf {
        Alf {
            hazard: Hazard::Dragging,
            changed: "2026-06-02T00:18:50.250Z".parse().unwrap(),
            priority: Priority::Alarm,
            state: AlertState::ActiveUnacknowledged,
            revision: 3,
            escalation: 1,
            description: "the anchor has moved 14 m or more; the mark bears 045° at 53 m, the rode reaches 39 m".to_owned(),
        }
    }

    #[test]
    fn an_alert_is_two_sentences_with_title_and_description() {
        assert_eq!(
            dragging().sentences(17),
            [
                "$IIALF,2,1,7,001850.25,B,A,V,,10001,1,3,1,ANCHOR DRAGGING*0E\r\n",
                "$IIALF,2,2,7,,,,,,10001,1,3,1,the anchor has moved 14 m or more; the mark*2B\r\n",
            ]
        );
        let bare = Alf {
            description: String::new(),
            ..dragging()
        };
        assert_eq!(
            bare.sentences(0),
            ["$IIALF,1,1,0,001850.25,B,A,V,,10001,1,3,1,ANCHOR DRAGGING*0A\r\n"]
        );
    }

    /// The example ALF in published descriptions of NMEA 0183 (of a transponder; from memory, and its
    /// checksum confirms it): ours has each field in the same place.
    #[test]
    fn the_fields_stand_where_the_published_example_has_them() {
        let example = "$VDALF,1,1,0,220516,B,A,S,SAL,001,1,2,0,My alarm*2c";
        let theirs = fields(example).unwrap();
        let written = Alf {
            description: String::new(),
            state: AlertState::ActiveSilenced,
            ..dragging()
        }
        .sentences(0)
        .remove(0);
        let ours = fields(&written).unwrap();
        assert_eq!(ours.len(), theirs.len());
        // Sentences, number, message; category, priority, state; instance.
        for place in [1, 2, 3, 5, 6, 7, 10] {
            assert_eq!(ours[place], theirs[place], "field {place}");
        }
        assert_eq!(ours[4].len(), theirs[4].len() + ".25".len());
    }

    #[test]
    fn no_title_is_longer_than_sixteen_and_no_identifier_is_given_twice() {
        let mut seen = std::collections::BTreeSet::new();
        for hazard in Hazard::ALL {
            assert!(hazard.title().len() <= 16, "{hazard}");
            assert_eq!(field_text(hazard.title()), hazard.title());
            assert!((10_000..=9_999_999).contains(&hazard.identifier()));
            assert!(seen.insert(hazard.identifier()), "{hazard}");
        }
    }

    #[test]
    fn no_sentence_is_longer_than_82_whatever_is_described() {
        for text in ["x".repeat(500), "*".repeat(500), "ä°, ".repeat(90)] {
            for hazard in Hazard::ALL {
                let alf = Alf {
                    hazard,
                    revision: 99,
                    escalation: 9,
                    description: text.clone(),
                    ..dragging()
                };
                for line in alf.sentences(9) {
                    assert!(line.len() <= LONGEST, "{line}");
                    fields(&line).unwrap();
                }
            }
        }
    }

    #[test]
    fn the_list_is_split_between_entries() {
        assert_eq!(alc(&[], 3), ["$IIALC,01,01,03,0*7D\r\n"]);
        let all: Vec<(Hazard, u8)> = Hazard::ALL.into_iter().map(|hazard| (hazard, 99)).collect();
        let lines = alc(&all, 104);
        assert_eq!(lines.len(), 3);
        let mut entries = 0;
        for (index, line) in lines.iter().enumerate() {
            assert!(line.len() <= LONGEST);
            let fields = fields(line).unwrap();
            assert_eq!(
                fields[..4],
                ["IIALC", "03", &format!("{:02}", index + 1), "04"]
            );
            let count: usize = fields[4].parse().unwrap();
            assert_eq!(fields.len(), 5 + 4 * count);
            entries += count;
        }
        assert_eq!(entries, Hazard::ALL.len());
    }

    #[test]
    fn commands_are_read_and_those_to_others_ignored() {
        let with_sum = |body: &str| {
            let sum = crate::sentences::frame::checksum(body);
            format!("${body}*{sum:02X}\r\n")
        };
        for (letter, act) in [
            ("A", Act::Acknowledge),
            ("S", Act::Silence),
            ("Q", Act::Repeat),
            ("O", Act::Transfer),
        ] {
            let line = with_sum(&format!("CAACN,001901.00,,10001,1,{letter},C"));
            let hazard = Hazard::Dragging;
            assert_eq!(acn(&line), Ok(Acn { hazard, act }));
        }
        for other in [
            "CAACN,001901.00,XYZ,10001,1,A,C",
            "CAACN,001901.00,,3001,1,A,C",
            "CAACN,001901.00,,10001,2,A,C",
            "GPRMC,001901.00,V,,,,,,,020626,,,N",
            "IIHBT,30,A,1",
        ] {
            assert_eq!(acn(&with_sum(other)), Err(NoCommand::NotOurs), "{other}");
        }
        for odd in [
            "CAACN,001901.00,,10001,1,X,C",
            "CAACN,001901.00,,10001,1,A,",
            "CAACN,001901.00,,10001,1,A",
        ] {
            let refused = acn(&with_sum(odd));
            assert!(matches!(refused, Err(NoCommand::Unknown(_))), "{odd}");
        }
        assert!(matches!(acn("$CAACN*00"), Err(NoCommand::Bad(_))));
    }

    #[test]
    fn refusals_and_heartbeats_have_the_fields_of_the_table() {
        let now = "2026-06-02T23:59:59.999Z".parse().unwrap();
        let refusal = arc(now, Hazard::Position, Act::Silence);
        assert_eq!(
            fields(&refusal).unwrap(),
            ["IIARC", "235959.99", "", "10004", "1", "S"]
        );
        assert_eq!(
            fields(&hbt(30, true, 12)).unwrap(),
            ["IIHBT", "30", "A", "2"]
        );
        assert_eq!(
            fields(&hbt(30, false, 3)).unwrap(),
            ["IIHBT", "30", "V", "3"]
        );
    }
}
