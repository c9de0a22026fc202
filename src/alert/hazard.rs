//! The terms of the alert desk: hazards, priorities and states.
//!
//! Priorities are those of IMO MSC.302(87) 6.1.1, states those of IEC 62923-1 (each with its letter in the ALF sentence
//! of IEC 61162-1).

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
    /// The wind has shifted since the anchor was set.
    WindShift,
    /// The wind is strong.
    WindStrength,
    /// There is, or will be, too little water under the keel.
    Shoaling,
    /// The scope is, or will be, too small.
    ScopeShort,
    /// There is no usable fix.
    Position,
    /// The data server sends nothing, or nothing fresh, or does not take what we send.
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

    /// The severity from which an alert acknowledged at another severity is bad enough to wake somebody again; `None`
    /// if it cannot get worse. Severities are metres moved or outside, metres short of the margin under the keel,
    /// minutes without a fix, multiples of the wind-shift threshold that nobody has acknowledged, knots above a
    /// threshold of wind strength, instruments lost. Chosen: twice the severity, and at least ten metres or minutes
    /// more; a hand's breadth of water; another shift of the size that is reported; ten knots, about two forces;
    /// another instrument.
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

    /// The name as it appears in paths and in JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        self.called().0
    }

    /// Its name in an ALF sentence, in at most 16 characters.
    #[must_use]
    pub const fn title(self) -> &'static str {
        self.called().1
    }

    /// The alert identifier of IEC 61162-1, from the range for manufacturers. It is unique among ours and never
    /// changes, since displays keep it.
    #[must_use]
    pub const fn identifier(self) -> u32 {
        self.called().2
    }

    /// The one table of names, titles and identifiers. The crew's words for each are in the catalogue.
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

/// A word that is not a hazard.
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
    /// Every priority, from lowest to highest.
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

/// How far a person has dealt with an alert (IEC 62923-1).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AlertState {
    /// `V`: the condition stands and nobody has acknowledged it.
    ActiveUnacknowledged,
    /// `S`: the same, silenced for a short time.
    ActiveSilenced,
    /// `A`: the condition stands, somebody is dealing with it.
    ActiveAcknowledged,
    /// `U`: the condition has gone, but nobody has seen that it was there.
    RectifiedUnacknowledged,
    /// `N`: nothing to report.
    Normal,
}

impl AlertState {
    /// Whether it should be heard.
    #[must_use]
    pub const fn sounds(self) -> bool {
        matches!(self, Self::ActiveUnacknowledged)
    }

    /// Whether the condition stands.
    #[must_use]
    pub const fn is_active(self) -> bool {
        matches!(
            self,
            Self::ActiveUnacknowledged | Self::ActiveSilenced | Self::ActiveAcknowledged
        )
    }
}

/// One alert as displays and phones show it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct AlertView {
    /// The hazard.
    pub hazard: Hazard,
    /// The priority; for a normal alert, the last one it had.
    pub priority: Priority,
    /// The state.
    pub state: AlertState,
    /// The text for people: the hazard, the number, what to check.
    pub message: String,
    /// Since when it has stood.
    pub since: Timestamp,
    /// Incremented each time the alert is raised or gets graver: when this changes, the displays' sticky
    /// acknowledgement of an earlier raise must be reset.
    pub raise: u64,
    /// Counts the repetitions and escalations of this raise (the escalation counter of the ALF
    /// sentence, which writes 9 for more).
    #[serde(default)]
    pub escalation: u32,
    /// It was found less grave than it is reported, and nobody answered.
    #[serde(default)]
    pub escalated: bool,
}

impl AlertView {
    /// The alarm of a drag that nobody has answered yet, for tests.
    #[must_use]
    pub fn drag(since: Timestamp, message: impl Into<String>) -> Self {
        Self {
            hazard: Hazard::Dragging,
            priority: Priority::Alarm,
            state: AlertState::ActiveUnacknowledged,
            message: message.into(),
            since,
            raise: 1,
            escalation: 0,
            escalated: false,
        }
    }
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

    /// The figures in the documentation of [`Hazard::worse_than`], on both sides of the point where doubling adds more
    /// than ten.
    #[test]
    fn the_step_to_worse_than_acknowledged_depends_on_the_hazard() {
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

    /// Displays keep the identifier: it is unique and from the range for manufacturers of IEC 61162-1.
    #[test]
    fn each_hazard_has_its_own_identifier() {
        let mut identifiers = Hazard::ALL.map(Hazard::identifier).to_vec();
        assert!(identifiers.iter().all(|it| (10_001..=10_011).contains(it)));
        identifiers.sort_unstable();
        identifiers.dedup();
        assert_eq!(identifiers.len(), Hazard::ALL.len());
    }
}
