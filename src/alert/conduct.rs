//! The conduct of alerts: one pure function that decides what happens to an alert on each event.
//!
//! After IMO MSC.302(87) and IEC 62923-1:
//!
//! | state | arises or grows graver | goes | acknowledged | silenced | 30 s pass | not answered |
//! |---|---|---|---|---|---|---|
//! | normal | active-unacknowledged¹ | – | refused | refused | – | – |
//! | active-unacknowledged | same, raised again if graver | rectified-unacknowledged² | active-acknowledged | active-silenced³ | – | a warning becomes an alarm |
//! | active-silenced | active-unacknowledged if graver | rectified-unacknowledged² | active-acknowledged | refused | active-unacknowledged | a warning becomes an alarm |
//! | active-acknowledged | active-unacknowledged if graver | normal | refused | refused | – | – |
//! | rectified-unacknowledged | active-unacknowledged | – | normal | refused | – | – |
//!
//! ¹ A caution is shown steadily and needs no acknowledgement: it goes straight to
//! active-acknowledged, and to normal when its condition goes. ² A caution to normal. ³ Not an
//! emergency alarm (the silence is refused).
//!
//! "Graver" is a higher priority, or, once somebody has acknowledged the alert, a severity worse than the acknowledged
//! one by a step that depends on the hazard: a person who acknowledged a drag of 10 m wants to hear of 20 m, and a
//! person who acknowledged 0.4 m under the keel wants to hear of 0.2 m. Another [cause](crate::alert::cause) under the
//! same name is another situation; other words are not.
//!
//! Sources: the silence of 30 s and its end, MSC.302(87) 7.3.5; a warning that nobody answers becomes an alarm, 6.2.2,
//! within a time that the user sets, at most 5 min (from memory); at most one alert for one situation, 5.2. Three rules
//! are our own, because the standards leave them to the equipment or assume a manned bridge: an alert that gets worse
//! is raised again; an alert whose condition has gone is kept until it is seen, warnings included (the crew slept); and
//! every alert that sounds is repeated, since a phone or a display may have missed it.

use std::fmt;

use crate::alert::hazard::{AlertState, Hazard, Priority};

/// One alert before an event.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// The hazard.
    pub hazard: Hazard,
    /// Its state.
    pub state: AlertState,
    /// The priority that is reported.
    pub priority: Priority,
    /// It is reported as graver than it was found, because nobody answered.
    pub escalated: bool,
    /// The severity when it was raised or acknowledged; `None` if the next judgement sets the measure.
    pub measure: Option<f64>,
}

/// What happened to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Happened {
    /// The condition stands.
    Stands {
        /// Its priority.
        priority: Priority,
        /// Its severity, in the hazard's own measure.
        severity: f64,
        /// It has a cause that it did not have before.
        another_cause: bool,
        /// Its words differ from those reported before.
        reworded: bool,
    },
    /// The condition has gone.
    Gone,
    /// Another alert reports the same situation, and in more detail.
    Covered,
    /// Somebody acknowledged it; the priority as last found.
    Acknowledged(Priority),
    /// Somebody silenced it.
    Silenced,
    /// The silence has ended.
    SilenceOver,
    /// It sounds and is due to be reported once more.
    Repeated,
    /// Nobody has answered for too long.
    NotAnswered,
    /// The watch has ended.
    WatchEnded,
}

/// The result for the alert.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Decision {
    /// Its new state.
    pub state: AlertState,
    /// The priority that is now reported.
    pub priority: Priority,
    /// It is reported as graver than it was found.
    pub escalated: bool,
    /// What is reported, and why; `None` if nothing is.
    pub told: Option<(Change, Reason)>,
}

/// The kind of change that is reported.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// Raised, or raised again because it is graver.
    Raised,
    /// The condition has gone.
    Cleared,
    /// Somebody acknowledged it.
    Acknowledged,
    /// It was silenced.
    Silenced,
    /// The silence has ended.
    SoundsAgain,
    /// Reported once more, because nobody has answered.
    Repeated,
    /// Less grave than before, or new words.
    Reworded,
}

/// The reason for a change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// The condition was not there before.
    Arose,
    /// It had gone and came back before anybody saw it.
    CameBack,
    /// Its priority is higher than before.
    Graver,
    /// It is worse, by the hazard's step, than what somebody acknowledged.
    WorseThanAcknowledged,
    /// Another cause under the same name.
    AnotherCause,
    /// Nobody answered the warning.
    NotAnswered,
    /// Its priority is lower than before.
    LessGrave,
    /// The condition has gone.
    Went,
    /// Another alert reports the same situation.
    Covered,
    /// Somebody acknowledged it.
    Acknowledged,
    /// Somebody silenced it.
    Silenced,
    /// 30 s have passed since it was silenced.
    SilenceOver,
    /// It sounds, and nobody has answered yet.
    StillUnanswered,
    /// The watch has ended.
    WatchEnded,
    /// Only its words changed, or it is shown again.
    Words,
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Arose => "it was not so before",
            Self::CameBack => "it is back before anybody has seen that it was there",
            Self::Graver => "it is graver than before",
            Self::WorseThanAcknowledged => "it is worse than what was acknowledged",
            Self::AnotherCause => "it has another cause",
            Self::NotAnswered => "nobody has answered the warning",
            Self::LessGrave => "it is less grave than before",
            Self::Went => "it is over",
            Self::Covered => "another alert tells the same",
            Self::Acknowledged => "somebody acknowledged it",
            Self::Silenced => "somebody silenced it",
            Self::SilenceOver => "the silence has run out",
            Self::StillUnanswered => "nobody has answered yet",
            Self::WatchEnded => "the watch has ended",
            Self::Words => "its words have changed",
        })
    }
}

/// Why a person's act was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DeskRefusal {
    /// There is no such alert.
    #[error("there is no alert to acknowledge or silence")]
    Nothing,
    /// Every such alert is already acknowledged.
    #[error("it is acknowledged already")]
    Already,
    /// An emergency alarm cannot be silenced.
    #[error("an emergency alarm cannot be silenced; acknowledge it")]
    Emergency,
}

/// Decides by the table above, and by nothing else.
pub fn decide(before: &Standing, happened: Happened) -> Result<Decision, DeskRefusal> {
    use AlertState::{
        ActiveAcknowledged, ActiveSilenced, ActiveUnacknowledged, Normal, RectifiedUnacknowledged,
    };
    let same = Decision {
        state: before.state,
        priority: before.priority,
        escalated: before.escalated,
        told: None,
    };
    let to = |state, change, reason| Decision {
        state,
        told: Some((change, reason)),
        ..same
    };
    Ok(match (happened, before.state) {
        (
            Happened::Stands {
                priority,
                severity,
                another_cause,
                reworded,
            },
            _,
        ) => stands(before, priority, severity, another_cause, reworded),
        (Happened::Gone, ActiveUnacknowledged | ActiveSilenced) => {
            to(RectifiedUnacknowledged, Change::Cleared, Reason::Went)
        }
        (Happened::Gone, ActiveAcknowledged) => to(Normal, Change::Cleared, Reason::Went),
        (Happened::Covered, ActiveUnacknowledged | ActiveSilenced | ActiveAcknowledged) => {
            to(Normal, Change::Cleared, Reason::Covered)
        }
        (Happened::Acknowledged(found), ActiveUnacknowledged | ActiveSilenced) => Decision {
            priority: found,
            escalated: false,
            ..to(
                ActiveAcknowledged,
                Change::Acknowledged,
                Reason::Acknowledged,
            )
        },
        (Happened::Acknowledged(_), RectifiedUnacknowledged) => {
            to(Normal, Change::Acknowledged, Reason::Acknowledged)
        }
        (Happened::Silenced, ActiveUnacknowledged) => {
            if before.priority == Priority::EmergencyAlarm {
                return Err(DeskRefusal::Emergency);
            }
            to(ActiveSilenced, Change::Silenced, Reason::Silenced)
        }
        (Happened::Acknowledged(_) | Happened::Silenced, Normal) => {
            return Err(DeskRefusal::Nothing);
        }
        (Happened::Acknowledged(_) | Happened::Silenced, _) => return Err(DeskRefusal::Already),
        (Happened::SilenceOver, ActiveSilenced) => to(
            ActiveUnacknowledged,
            Change::SoundsAgain,
            Reason::SilenceOver,
        ),
        (Happened::Repeated, ActiveUnacknowledged) => to(
            ActiveUnacknowledged,
            Change::Repeated,
            Reason::StillUnanswered,
        ),
        (Happened::NotAnswered, ActiveUnacknowledged | ActiveSilenced)
            if before.priority == Priority::Warning =>
        {
            Decision {
                priority: Priority::Alarm,
                escalated: true,
                ..to(ActiveUnacknowledged, Change::Raised, Reason::NotAnswered)
            }
        }
        (Happened::WatchEnded, ActiveUnacknowledged | ActiveSilenced | ActiveAcknowledged) => {
            to(Normal, Change::Cleared, Reason::WatchEnded)
        }
        // It was reported as cleared when the condition went.
        (Happened::WatchEnded, RectifiedUnacknowledged) => {
            to(Normal, Change::Reworded, Reason::WatchEnded)
        }
        (
            Happened::Gone
            | Happened::Covered
            | Happened::SilenceOver
            | Happened::Repeated
            | Happened::NotAnswered
            | Happened::WatchEnded,
            _,
        ) => same,
    })
}

/// The condition stands: decides whether that is news.
fn stands(
    before: &Standing,
    found: Priority,
    severity: f64,
    another_cause: bool,
    reworded: bool,
) -> Decision {
    let caution = found == Priority::Caution;
    let raised = |reason| Decision {
        state: if caution {
            AlertState::ActiveAcknowledged
        } else {
            AlertState::ActiveUnacknowledged
        },
        priority: found,
        escalated: false,
        told: Some((Change::Raised, reason)),
    };
    // Nobody answered it: it is reported as an alarm until somebody does, unless it has become less than a warning.
    let escalated = before.escalated && found >= Priority::Warning;
    let priority = if escalated {
        found.max(Priority::Alarm)
    } else {
        found
    };
    let worse = before.state == AlertState::ActiveAcknowledged
        && !caution
        && before
            .measure
            .and_then(|measure| before.hazard.worse_than(measure))
            .is_some_and(|limit| severity >= limit);
    let another = another_cause && !caution;
    match before.state {
        AlertState::Normal => raised(Reason::Arose),
        AlertState::RectifiedUnacknowledged => raised(Reason::CameBack),
        _ if priority > before.priority => raised(Reason::Graver),
        _ if worse => raised(Reason::WorseThanAcknowledged),
        _ if another => raised(Reason::AnotherCause),
        state => Decision {
            // It is no longer grave enough to need an acknowledgement.
            state: if caution {
                AlertState::ActiveAcknowledged
            } else {
                state
            },
            priority,
            escalated,
            told: if priority < before.priority {
                Some((Change::Reworded, Reason::LessGrave))
            } else if reworded {
                Some((Change::Reworded, Reason::Words))
            } else {
                None
            },
        },
    }
}

#[cfg(test)]
mod tests;
