//! The conduct of alerts: what becomes of one alert when something happens, as one pure function.
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
//! "Graver" is a higher priority, or, once somebody has acknowledged it, a severity worse than the
//! one they acknowledged by a step that depends on the hazard: who acknowledged a drag of 10 m
//! wants to hear of 20 m, who acknowledged 0.4 m under the keel of 0.2 m. The watch itself
//! impaired in another way is another situation.
//!
//! Sources: the silence of 30 s and its end, MSC.302(87) 7.3.5; a warning that nobody answers
//! becomes an alarm, 6.2.2, within a time the user sets and that is 5 min at most (from memory);
//! at most one alert for one situation, 5.2. Ours, because the standards leave it to the
//! equipment or speak of a bridge with somebody on it: the re-raise on worsening; that an alert
//! whose condition has gone is kept until seen for warnings too (the crew slept); that every
//! alert which sounds is repeated, since a phone or a display may have missed it.

use std::fmt;

use crate::alert::hazard::{AlertState, Hazard, Priority};

/// One alert as it stands before something happens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// Which.
    pub hazard: Hazard,
    /// How far it is dealt with.
    pub state: AlertState,
    /// How grave it is told to be.
    pub priority: Priority,
    /// It is told as graver than it was found, because nobody answered.
    pub escalated: bool,
    /// How bad it was when it was raised or acknowledged; `None` when the next judgement is the
    /// measure.
    pub measure: Option<f64>,
}

/// What happened to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Happened {
    /// The condition stands.
    Stands {
        /// As grave as this.
        priority: Priority,
        /// As bad as this, in the hazard's own measure.
        severity: f64,
        /// In words that are not those told before.
        reworded: bool,
    },
    /// The condition has gone.
    Gone,
    /// Another alert tells the same situation, and tells more.
    Covered,
    /// Somebody acknowledged it; the condition was last found this grave.
    Acknowledged(Priority),
    /// Somebody wants its sound held.
    Silenced,
    /// The silence has run out.
    SilenceOver,
    /// It sounds and is told once more.
    Repeated,
    /// Nobody has answered for too long.
    NotAnswered,
    /// The watch has ended.
    WatchEnded,
}

/// What becomes of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Decision {
    /// How far it is dealt with now.
    pub state: AlertState,
    /// How grave it is told to be now.
    pub priority: Priority,
    /// It is told as graver than it was found.
    pub escalated: bool,
    /// What is told, and why; `None` when nothing is.
    pub told: Option<(Change, Reason)>,
}

/// What became of a finding or of a person's act.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// Raised, or raised anew because it is graver.
    Raised,
    /// The condition has gone.
    Cleared,
    /// Somebody acknowledged it.
    Acknowledged,
    /// Its sound is held.
    Silenced,
    /// The silence has run out.
    SoundsAgain,
    /// Told once more, because nobody has answered.
    Repeated,
    /// Less grave than before, or new words.
    Reworded,
}

/// Why.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// The condition was not there before.
    Arose,
    /// It had gone and is back before anybody saw it.
    CameBack,
    /// Its priority is higher than before.
    Graver,
    /// It is worse, by the hazard's step, than what somebody acknowledged.
    WorseThanAcknowledged,
    /// Another cause under the same name.
    AnotherCause,
    /// A warning that nobody answered.
    NotAnswered,
    /// Its priority is lower than before.
    LessGrave,
    /// The condition has gone.
    Went,
    /// Another alert tells the same situation.
    Covered,
    /// Somebody acknowledged it.
    Acknowledged,
    /// Somebody held its sound.
    Silenced,
    /// 30 s have passed since.
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
    /// All of it is acknowledged already.
    #[error("it is acknowledged already")]
    Already,
    /// An emergency alarm cannot be silenced.
    #[error("an emergency alarm cannot be silenced; acknowledge it")]
    Emergency,
}

/// Decides. The table above, and nothing else.
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
                reworded,
            },
            _,
        ) => stands(before, priority, severity, reworded),
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
        // Told as cleared when it was over.
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

/// The condition stands: is that news?
fn stands(before: &Standing, found: Priority, severity: f64, reworded: bool) -> Decision {
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
    // Nobody answered it: told as an alarm until somebody does, unless it has become less than a
    // warning.
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
    let another = before.hazard == Hazard::Watch && reworded && !caution;
    match before.state {
        AlertState::Normal => raised(Reason::Arose),
        AlertState::RectifiedUnacknowledged => raised(Reason::CameBack),
        _ if priority > before.priority => raised(Reason::Graver),
        _ if worse => raised(Reason::WorseThanAcknowledged),
        _ if another => raised(Reason::AnotherCause),
        state => Decision {
            // No longer grave enough to be acknowledged.
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
mod tests {
    use super::*;
    use AlertState::{
        ActiveAcknowledged, ActiveSilenced, ActiveUnacknowledged, Normal, RectifiedUnacknowledged,
    };
    use Priority::{Alarm, Caution, EmergencyAlarm, Warning};
    use proptest::prelude::*;

    const STATES: [AlertState; 5] = [
        Normal,
        ActiveUnacknowledged,
        ActiveSilenced,
        ActiveAcknowledged,
        RectifiedUnacknowledged,
    ];

    fn standing(state: AlertState, priority: Priority) -> Standing {
        Standing {
            hazard: Hazard::Dragging,
            state,
            priority,
            escalated: false,
            measure: Some(12.0),
        }
    }

    fn found(priority: Priority, severity: f64) -> Happened {
        Happened::Stands {
            priority,
            severity,
            reworded: false,
        }
    }

    /// The table of the module's page, cell by cell, for an alarm.
    #[test]
    fn every_cell_of_the_table() {
        type Cell = Result<(AlertState, Option<(Change, Reason)>), DeskRefusal>;
        let told = |state, change, reason| -> Cell { Ok((state, Some((change, reason)))) };
        let same = |state| -> Cell { Ok((state, None)) };
        let happened = [
            found(EmergencyAlarm, 12.0),
            Happened::Gone,
            Happened::Covered,
            Happened::Acknowledged(Alarm),
            Happened::Silenced,
            Happened::SilenceOver,
            Happened::Repeated,
            Happened::NotAnswered,
            Happened::WatchEnded,
        ];
        let graver = |reason| told(ActiveUnacknowledged, Change::Raised, reason);
        let over = told(RectifiedUnacknowledged, Change::Cleared, Reason::Went);
        let covered = told(Normal, Change::Cleared, Reason::Covered);
        let seen = |state| told(state, Change::Acknowledged, Reason::Acknowledged);
        let ended = told(Normal, Change::Cleared, Reason::WatchEnded);
        let table: [[Cell; 9]; 5] = [
            [
                graver(Reason::Arose),
                same(Normal),
                same(Normal),
                Err(DeskRefusal::Nothing),
                Err(DeskRefusal::Nothing),
                same(Normal),
                same(Normal),
                same(Normal),
                same(Normal),
            ],
            [
                graver(Reason::Graver),
                over,
                covered,
                seen(ActiveAcknowledged),
                told(ActiveSilenced, Change::Silenced, Reason::Silenced),
                same(ActiveUnacknowledged),
                told(
                    ActiveUnacknowledged,
                    Change::Repeated,
                    Reason::StillUnanswered,
                ),
                same(ActiveUnacknowledged),
                ended,
            ],
            [
                graver(Reason::Graver),
                over,
                covered,
                seen(ActiveAcknowledged),
                Err(DeskRefusal::Already),
                told(
                    ActiveUnacknowledged,
                    Change::SoundsAgain,
                    Reason::SilenceOver,
                ),
                same(ActiveSilenced),
                same(ActiveSilenced),
                ended,
            ],
            [
                graver(Reason::Graver),
                told(Normal, Change::Cleared, Reason::Went),
                covered,
                Err(DeskRefusal::Already),
                Err(DeskRefusal::Already),
                same(ActiveAcknowledged),
                same(ActiveAcknowledged),
                same(ActiveAcknowledged),
                ended,
            ],
            [
                graver(Reason::CameBack),
                same(RectifiedUnacknowledged),
                same(RectifiedUnacknowledged),
                seen(Normal),
                Err(DeskRefusal::Already),
                same(RectifiedUnacknowledged),
                same(RectifiedUnacknowledged),
                same(RectifiedUnacknowledged),
                told(Normal, Change::Reworded, Reason::WatchEnded),
            ],
        ];
        for (state, row) in STATES.into_iter().zip(table) {
            for (what, expected) in happened.into_iter().zip(row) {
                let decision = decide(&standing(state, Alarm), what).map(|d| (d.state, d.told));
                assert_eq!(decision, expected, "{state:?} and {what:?}");
            }
        }
    }

    #[test]
    fn a_warning_nobody_answers_is_an_alarm_until_somebody_does() {
        for state in [ActiveUnacknowledged, ActiveSilenced] {
            let told = decide(&standing(state, Warning), Happened::NotAnswered).unwrap();
            assert_eq!(
                told,
                Decision {
                    state: ActiveUnacknowledged,
                    priority: Alarm,
                    escalated: true,
                    told: Some((Change::Raised, Reason::NotAnswered)),
                }
            );
        }
        let escalated = Standing {
            escalated: true,
            ..standing(ActiveUnacknowledged, Alarm)
        };
        // Found as a warning again and again: it stays an alarm and is no news.
        let again = decide(&escalated, found(Warning, 12.0)).unwrap();
        assert_eq!((again.priority, again.told), (Alarm, None));
        let seen = decide(&escalated, Happened::Acknowledged(Warning)).unwrap();
        assert_eq!((seen.priority, seen.escalated), (Warning, false));
        // It has become a mere caution: no reason to wake anybody.
        let less = decide(&escalated, found(Caution, 1.0)).unwrap();
        assert_eq!((less.priority, less.state), (Caution, ActiveAcknowledged));
    }

    #[test]
    fn a_caution_is_steady_and_needs_no_acknowledgement() {
        let raised = decide(&standing(Normal, Caution), found(Caution, 0.0)).unwrap();
        assert_eq!(raised.state, ActiveAcknowledged);
        let worse = decide(&standing(ActiveAcknowledged, Caution), found(Caution, 1e6)).unwrap();
        assert_eq!(
            worse.told, None,
            "no step is big enough to wake for a caution"
        );
        let gone = decide(&standing(ActiveAcknowledged, Caution), Happened::Gone).unwrap();
        assert_eq!(gone.state, Normal);
    }

    #[test]
    fn an_emergency_alarm_cannot_be_silenced() {
        let refused = decide(
            &standing(ActiveUnacknowledged, EmergencyAlarm),
            Happened::Silenced,
        );
        assert_eq!(refused, Err(DeskRefusal::Emergency));
    }

    fn any_state() -> impl Strategy<Value = AlertState> {
        proptest::sample::select(STATES.to_vec())
    }

    fn any_priority() -> impl Strategy<Value = Priority> {
        proptest::sample::select(vec![Caution, Warning, Alarm, EmergencyAlarm])
    }

    proptest! {
        /// Whatever stands, unseen and above a caution, leaves that state by a person's hand, by
        /// going, by being told otherwise or by the watch's end, never by itself.
        #[test]
        fn nothing_unseen_is_lost(
            state in any_state(), priority in any_priority(), escalated in any::<bool>(),
            found_priority in any_priority(), severity in 0.0..100.0_f64,
        ) {
            let before = Standing { escalated, ..standing(state, priority) };
            for what in [
                found(found_priority, severity), Happened::SilenceOver, Happened::Repeated, Happened::NotAnswered,
            ] {
                let after = decide(&before, what).unwrap();
                if matches!(state, ActiveUnacknowledged | RectifiedUnacknowledged)
                    && after.state != state && found_priority > Caution {
                    prop_assert_eq!(after.state, ActiveUnacknowledged);
                }
                // A higher priority than was told is always told.
                prop_assert!(after.priority <= before.priority || after.told.is_some());
                // Nothing goes normal while its condition stands.
                prop_assert!(after.state != Normal || state == Normal);
            }
        }
    }
}
