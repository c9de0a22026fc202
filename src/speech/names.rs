//! The names of small fixed sets: hazards, priorities, instruments, the ways of an order.

use super::sentence::Arg;
use super::{Sentence, Wording};
use crate::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use crate::observation::FixMethod;
use crate::room::approach::way::WayBy;
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::instruments::hearing::Instrument;
use crate::watch::messages::By;
use crate::watch::pull::PullVerdict;
use crate::watch::state::WatchState;

impl Hazard {
    /// What the crew calls it, as a title of a message.
    #[must_use]
    pub const fn words(self) -> Sentence {
        Sentence::name("Hazard", self.name())
    }

    /// What the crew calls it, where space is short.
    #[must_use]
    pub const fn short(self) -> Sentence {
        Sentence::name("Short", self.name())
    }

    /// The title of a message that it is over.
    #[must_use]
    pub const fn cleared(self) -> Sentence {
        Sentence::name("Cleared", self.name())
    }
}

impl Priority {
    /// What the crew calls it.
    #[must_use]
    pub const fn word(self) -> Sentence {
        Sentence::name("Priority", self.name())
    }

    /// The same in capitals.
    #[must_use]
    pub fn capitals(self, say: &Wording) -> String {
        self.word().words(say).to_uppercase()
    }
}

impl Instrument {
    /// What the crew calls it.
    #[must_use]
    pub const fn called(self) -> Sentence {
        Sentence::name("Instrument", self.key())
    }

    /// What it measures, in a word or two.
    #[must_use]
    pub const fn label(self) -> Sentence {
        Sentence::name("Label", self.key())
    }

    /// What the watch cannot see without it.
    #[must_use]
    pub const fn cost(self) -> Sentence {
        Sentence::name("Cost", self.key())
    }

    const fn key(self) -> &'static str {
        match self {
            Self::Wind => "wind",
            Self::WindDirection => "windDirection",
            Self::Sounder => "sounder",
            Self::Heading => "heading",
            Self::Speed => "speed",
            Self::Revolutions => "revolutions",
            Self::Ais => "ais",
        }
    }
}

impl AnchorPhase {
    /// What the crew calls it.
    #[must_use]
    pub const fn word(self) -> Sentence {
        Sentence::name("PhaseName", self.name())
    }
}

impl WatchState {
    /// How she lies, in a word or two.
    #[must_use]
    pub fn word(&self) -> Sentence {
        match self.phase {
            AnchorPhase::Setting | AnchorPhase::Set if self.is_moored() => {
                Sentence::name("PhaseName", MOORED)
            }
            phase => phase.word(),
        }
    }
}

impl AlertView {
    /// How far it has been handled, for the message that reports this. A caution has nothing to report.
    #[must_use]
    pub const fn shown(&self) -> &'static str {
        match (self.state, self.priority) {
            (AlertState::ActiveUnacknowledged, _) => "unacknowledged",
            (AlertState::ActiveSilenced, _) => "silenced",
            (AlertState::ActiveAcknowledged, Priority::Caution) => "shown",
            (AlertState::ActiveAcknowledged, _) => "acknowledged",
            (AlertState::RectifiedUnacknowledged, _) => "gone",
            (AlertState::Normal, _) => "normal",
        }
    }
}

impl PullVerdict {
    /// What the crew calls it.
    #[must_use]
    pub const fn word(self) -> Sentence {
        Sentence::name("Verdict", self.name())
    }
}

impl From<By> for Arg {
    fn from(by: By) -> Self {
        Self::Key(match by {
            By::Terminal => "terminal",
            By::Server => "server",
            By::Phone => "phone",
            By::Display => "display",
        })
    }
}

impl From<MooringKind> for Arg {
    fn from(kind: MooringKind) -> Self {
        Self::Key(kind.name())
    }
}

impl From<FixMethod> for Arg {
    fn from(method: FixMethod) -> Self {
        Self::Key(match method {
            FixMethod::NoFix => "noFix",
            FixMethod::Satellite => "satellite",
            FixMethod::DeadReckoning => "deadReckoning",
            FixMethod::Manual => "manual",
            FixMethod::Simulator => "simulator",
            FixMethod::Error => "error",
        })
    }
}

const MOORED: &str = "moored";

impl WayBy {
    /// Where the figure comes from.
    #[must_use]
    pub const fn word(self) -> Sentence {
        Sentence::name(
            "WayBy",
            match self {
                Self::Entered => "entered",
                Self::Learned => "learned",
                Self::Assumed => "assumed",
            },
        )
    }
}

/// Every name there is, by group.
#[cfg(test)]
pub(super) fn all() -> Vec<(&'static str, &'static str)> {
    use crate::chart::class::Class;
    use crate::chart::codes::{Datum, Restriction, Sureness, WaterLevel};
    let mut names = Vec::new();
    for hazard in Hazard::ALL {
        names.extend(["Hazard", "Short", "Cleared"].map(|group| (group, hazard.name())));
    }
    let classes = Class::ALL.iter().map(|class| ("Class", class.acronym()));
    names.extend(classes);
    for (group, codes) in [
        ("Restriction", Restriction::ALL),
        ("Datum", Datum::ALL),
        ("Sureness", Sureness::ALL),
        ("WaterLevel", WaterLevel::ALL),
    ] {
        names.extend(codes.iter().map(|(_, name)| (group, *name)));
    }
    for priority in Priority::ALL {
        names.push(("Priority", priority.name()));
    }
    for instrument in Instrument::ALL {
        names.extend(["Instrument", "Label", "Cost"].map(|group| (group, instrument.key())));
    }
    names.extend(["entered", "learned", "assumed"].map(|name| ("WayBy", name)));
    names.extend(super::tides::WEEKDAYS.map(|name| ("Weekday", name)));
    names.extend(super::tides::MONTHS.map(|name| ("Month", name)));
    names.push(("PhaseName", MOORED));
    for phase in AnchorPhase::ALL {
        names.push(("PhaseName", phase.name()));
    }
    for verdict in PullVerdict::ALL {
        names.push(("Verdict", verdict.name()));
    }
    names
}
