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
        another_cause: false,
        reworded: false,
    }
}

/// The table in the module's documentation, cell by cell, for an alarm.
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
    // It is found as a warning again and again: it stays an alarm and is no news.
    let again = decide(&escalated, found(Warning, 12.0)).unwrap();
    assert_eq!((again.priority, again.told), (Alarm, None));
    let seen = decide(&escalated, Happened::Acknowledged(Warning)).unwrap();
    assert_eq!((seen.priority, seen.escalated), (Warning, false));
    // It has become a caution: no reason to wake anybody.
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
    /// An unseen alert above a caution leaves that state only because a person acts, its condition
    /// goes, another alert reports it or the watch ends, never by itself.
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
            // A priority higher than the reported one is always reported.
            prop_assert!(after.priority <= before.priority || after.told.is_some());
            // No alert becomes normal while its condition stands.
            prop_assert!(after.state != Normal || state == Normal);
        }
    }
}

/// The journal and the log use a different word for each reason.
#[test]
fn every_reason_has_its_own_words() {
    let reasons = [
        Reason::Arose,
        Reason::CameBack,
        Reason::Graver,
        Reason::WorseThanAcknowledged,
        Reason::AnotherCause,
        Reason::NotAnswered,
        Reason::LessGrave,
        Reason::Went,
        Reason::Covered,
        Reason::Acknowledged,
        Reason::Silenced,
        Reason::SilenceOver,
        Reason::StillUnanswered,
        Reason::WatchEnded,
        Reason::Words,
    ];
    let words: std::collections::BTreeSet<String> = reasons.iter().map(Reason::to_string).collect();
    assert_eq!(words.len(), reasons.len(), "{words:?}");
    assert_eq!(Reason::Went.to_string(), "it is over");
}

#[test]
fn a_condition_that_gets_less_grave_is_told_without_a_raise() {
    let decision = decide(
        &standing(ActiveUnacknowledged, EmergencyAlarm),
        found(Alarm, 12.0),
    )
    .unwrap();
    assert_eq!(decision.state, ActiveUnacknowledged);
    assert_eq!(decision.priority, Alarm);
    assert_eq!(decision.told, Some((Change::Reworded, Reason::LessGrave)));
}
