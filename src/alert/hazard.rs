//! The words of the alert desk: what can be wrong, how bad it is, and how far it is dealt with.
//!
//! Priorities are those of IMO MSC.302(87) 6.1.1, states those of IEC 62923-1 (the letters of
//! the ALF sentence of IEC 61162-1 stand beside each).

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::time::Timestamp;

/// What can be wrong at anchor. The name is the last segment of the notification's path.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Hazard {
    /// The anchor is moving.
    Dragging,
    /// The boat is outside the swinging circle.
    SwingExceeded,
    /// The wind has gone round since the anchor was set.
    WindShift,
    /// It blows hard.
    WindStrength,
    /// The water under the keel is, or will be, too little.
    Shoaling,
    /// The scope is, or will be, less than wanted.
    ScopeShort,
    /// There is no usable fix.
    Position,
    /// Nothing, or nothing fresh, arrives from the data server, or it does not take what we say.
    DataLink,
    /// windrode itself is impaired.
    Watch,
    /// An instrument that the watch relies on is lost.
    Instrument,
    /// Another vessel comes too close.
    Neighbour,
}

impl Hazard {
    /// Every hazard, gravest first.
    pub const ALL: [Self; 11] = [
        Self::Dragging,
        Self::SwingExceeded,
        Self::Shoaling,
        Self::Neighbour,
        Self::Position,
        Self::DataLink,
        Self::Watch,
        Self::Instrument,
        Self::WindShift,
        Self::WindStrength,
        Self::ScopeShort,
    ];

    /// From which severity on an alert acknowledged at another is worse enough to wake somebody
    /// again; `None` where there is no worse. Severities are metres moved or outside, metres short
    /// of the margin under the keel, minutes blind, thresholds of wind shift that nobody has
    /// acknowledged, knots above a threshold of the wind's strength, instruments lost. Chosen: the doubled, and no less
    /// than ten metres or minutes; a hand's breadth of water; another shift of the size that is
    /// told; ten knots, about two forces; another instrument.
    #[must_use]
    pub fn worse_than(self, acknowledged: f64) -> Option<f64> {
        match self {
            Self::Dragging | Self::SwingExceeded | Self::Position | Self::DataLink => {
                Some((2.0 * acknowledged).max(acknowledged + 10.0))
            }
            Self::Shoaling => Some(acknowledged + 0.2),
            Self::WindShift | Self::Instrument => Some(acknowledged + 1.0),
            Self::WindStrength => Some(acknowledged + 10.0),
            Self::Watch | Self::ScopeShort | Self::Neighbour => None,
        }
    }

    /// The name as it stands in paths and in JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        self.called().0
    }

    /// What an ALF sentence calls it, in at most 16 characters.
    #[must_use]
    pub const fn title(self) -> &'static str {
        self.called().1
    }

    /// The alert identifier of IEC 61162-1, of the range for makers: unique among ours and the same for
    /// ever, since displays keep it.
    #[must_use]
    pub const fn identifier(self) -> u32 {
        self.called().2
    }

    /// Name, title and identifier: the one table of them. What the crew calls it stands in the catalogue.
    #[rustfmt::skip]
    const fn called(self) -> (&'static str, &'static str, u32) {
        match self {
            Self::Dragging => ("dragging", "ANCHOR DRAGGING", 10_001),
            Self::SwingExceeded => ("swingExceeded", "OUTSIDE CIRCLE", 10_002),
            Self::WindShift => ("windShift", "WIND SHIFT", 10_007),
            Self::WindStrength => ("windStrength", "STRONG WIND", 10_009),
            Self::Shoaling => ("shoaling", "SHOALING", 10_003),
            Self::ScopeShort => ("scopeShort", "SCOPE SHORT", 10_008),
            Self::Position => ("position", "POSITION LOST", 10_004),
            Self::DataLink => ("dataLink", "ANCHOR DATA LINK", 10_005),
            Self::Watch => ("watch", "ANCHOR WATCH", 10_006),
            Self::Instrument => ("instrument", "INSTRUMENT LOST", 10_010),
            Self::Neighbour => ("neighbour", "VESSEL CLOSE", 10_011),
        }
    }
}

impl fmt::Display for Hazard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// A word that names no hazard.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no hazard; the hazards are {known}", known = known_hazards())]
pub struct UnknownHazard(pub String);

fn known_hazards() -> String {
    Hazard::ALL.map(|hazard| format!("`{hazard}`")).join(", ")
}

impl FromStr for Hazard {
    type Err = UnknownHazard;
    fn from_str(text: &str) -> Result<Self, UnknownHazard> {
        Self::ALL
            .into_iter()
            .find(|hazard| hazard.name() == text)
            .ok_or_else(|| UnknownHazard(text.to_owned()))
    }
}

/// How soon somebody must act (MSC.302(87) 6.2).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Priority {
    /// To be aware of.
    Caution,
    /// Immediate attention, no immediate action.
    Warning,
    /// Immediate attention and action.
    Alarm,
    /// Immediate danger to life or to the boat.
    EmergencyAlarm,
}

impl Priority {
    /// Every priority, the least first.
    pub const ALL: [Self; 4] = [
        Self::Caution,
        Self::Warning,
        Self::Alarm,
        Self::EmergencyAlarm,
    ];

    /// The word in JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Caution => "caution",
            Self::Warning => "warning",
            Self::Alarm => "alarm",
            Self::EmergencyAlarm => "emergencyAlarm",
        }
    }
}

/// How far an alert is dealt with (IEC 62923-1).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AlertState {
    /// `V`: the condition stands and nobody has said they know.
    ActiveUnacknowledged,
    /// `S`: the same, its sound held for a short time.
    ActiveSilenced,
    /// `A`: the condition stands, somebody is dealing with it.
    ActiveAcknowledged,
    /// `U`: the condition has gone but nobody has seen that it was there.
    RectifiedUnacknowledged,
    /// `N`: nothing to tell.
    Normal,
}

impl AlertState {
    /// Should it be heard?
    #[must_use]
    pub const fn sounds(self) -> bool {
        matches!(self, Self::ActiveUnacknowledged)
    }

    /// Does the condition stand?
    #[must_use]
    pub const fn is_active(self) -> bool {
        matches!(
            self,
            Self::ActiveUnacknowledged | Self::ActiveSilenced | Self::ActiveAcknowledged
        )
    }
}

/// One hazard as displays and phones are to show it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct AlertView {
    /// Which.
    pub hazard: Hazard,
    /// How grave; of a normal alert, how grave it last was.
    pub priority: Priority,
    /// How far it is dealt with.
    pub state: AlertState,
    /// For people: the hazard, the number, what to look at.
    pub message: String,
    /// Since when it stands.
    pub since: Timestamp,
    /// Counts each time the alert is raised or made graver: the displays' sticky
    /// acknowledgement of an earlier raise must be undone when this changes.
    pub raise: u64,
    /// Counts the repetitions and escalations of this raise (the escalation counter of the ALF
    /// sentence, which writes 9 for more).
    #[serde(default)]
    pub escalation: u32,
    /// It was found less grave than it is told, and nobody answered.
    #[serde(default)]
    pub escalated: bool,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_read_back_and_unknown_ones_list_the_known() {
        for hazard in Hazard::ALL {
            assert_eq!(hazard.name().parse::<Hazard>().unwrap(), hazard);
            assert_eq!(
                serde_json::to_string(&hazard).unwrap(),
                format!("\"{hazard}\"")
            );
        }
        assert_eq!(
            "draging".parse::<Hazard>().unwrap_err().to_string(),
            "`draging` is no hazard; the hazards are `dragging`, `swingExceeded`, `shoaling`, `neighbour`, `position`, `dataLink`, `watch`, `instrument`, `windShift`, `windStrength`, `scopeShort`"
        );
    }

    /// MSC.302(87), 6.2: the priorities' names; ours are written as in JSON.
    #[test]
    fn priorities_have_the_standard_s_names() {
        for (priority, name) in [
            (Priority::EmergencyAlarm, "emergencyAlarm"),
            (Priority::Alarm, "alarm"),
            (Priority::Warning, "warning"),
            (Priority::Caution, "caution"),
        ] {
            assert_eq!(priority.name(), name);
            assert_eq!(
                serde_json::to_string(&priority).unwrap(),
                format!("\"{name}\"")
            );
        }
    }

    #[test]
    fn only_an_unacknowledged_alert_is_heard() {
        assert!(AlertState::ActiveUnacknowledged.sounds());
        for quiet in [
            AlertState::ActiveSilenced,
            AlertState::ActiveAcknowledged,
            AlertState::RectifiedUnacknowledged,
            AlertState::Normal,
        ] {
            assert!(!quiet.sounds());
        }
    }

    /// The figures of [`Hazard::worse_than`]'s own page, from both sides of where the doubled becomes more than ten.
    #[test]
    fn what_is_worse_than_acknowledged_depends_on_the_hazard() {
        for hazard in Hazard::ALL {
            let limits = [4.0, 30.0].map(|severity| hazard.worse_than(severity));
            let expected = match hazard {
                Hazard::Dragging | Hazard::SwingExceeded | Hazard::Position | Hazard::DataLink => {
                    [Some(14.0), Some(60.0)]
                }
                Hazard::Shoaling => [Some(4.2), Some(30.2)],
                Hazard::WindShift | Hazard::Instrument => [Some(5.0), Some(31.0)],
                Hazard::WindStrength => [Some(14.0), Some(40.0)],
                Hazard::Watch | Hazard::ScopeShort | Hazard::Neighbour => [None, None],
            };
            assert_eq!(limits, expected, "{hazard}");
        }
    }
}
