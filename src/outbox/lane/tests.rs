use super::*;
use crate::alert::hazard::AlertState;

fn show(hazard: Hazard, priority: Priority) -> Job {
    let at = Timestamp::EPOCH;
    let told = Told {
        raise: 1,
        priority,
        state: AlertState::ActiveUnacknowledged,
        at,
    };
    Job::Show(hazard, told)
}

fn summary() -> Job {
    Job::Summary(Missed {
        count: 1,
        hazards: vec![Hazard::WindShift],
        since: Timestamp::EPOCH,
        until: Timestamp::EPOCH,
    })
}

/// First the messages that wake people, then those that let them sleep, then those that are only
/// for the record.
#[test]
fn alarms_go_before_warnings_and_both_before_ended_alerts() {
    let order = [
        show(Hazard::Dragging, Priority::EmergencyAlarm),
        show(Hazard::Dragging, Priority::Alarm),
        show(Hazard::WindShift, Priority::Warning),
        Job::Clear(Hazard::Dragging),
        summary(),
        Job::Withdraw,
        Job::Renew,
        Job::Probe,
    ];
    for pair in order.windows(2) {
        assert!(pair[0].rank() > pair[1].rank(), "{pair:?}");
    }
}

#[test]
fn a_parcel_is_about_its_own_hazard_and_a_try_about_none() {
    for job in [
        show(Hazard::Dragging, Priority::Alarm),
        Job::Clear(Hazard::Dragging),
    ] {
        assert!(job.is_about(Hazard::Dragging), "{job:?}");
        assert!(!job.is_about(Hazard::WindShift), "{job:?}");
    }
    for job in [summary(), Job::Withdraw, Job::Renew, Job::Probe] {
        assert!(!job.is_about(Hazard::WindShift), "{job:?}");
    }
}
