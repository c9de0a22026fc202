//! A receiver that reports every 10 s to every minute: drags are found, quiet nights stay quiet, and the watch is not
//! blind between two reports. A receiver that reports every 3 min, as a transponder at anchor does (ITU-R M.1371-5,
//! annex 1, table 1), is not included: a mark made from a position that old is off by tens of metres, and false alarms
//! follow. Dropouts stay in the dragging nights: after one, the next report must make the position usable again.

use std::time::Duration;

use windrode::alert::hazard::Hazard;
use windrode::measure::deal::{Deal, Fitted};
use windrode::measure::night::{Trial, night};
use windrode::measure::plan::{Drag, Marking, Plan};
use windrode::units::Speed;

const NIGHT: Duration = Duration::from_hours(5);
const INTERVALS: [u64; 3] = [10, 30, 60];

fn plan(seed: u64, every: u64) -> Plan {
    let deal = Deal {
        fitted: Fitted::All,
        reports: Some(Duration::from_secs(every)),
        ..Deal::default()
    };
    let mut plan = Plan::dealt(seed, NIGHT, &deal);
    plan.marking = Marking::InTime;
    plan
}

fn wolf(trial: &Trial) -> Vec<f64> {
    let alarms = trial.raised.iter().filter(|raised| raised.is_drag_alarm());
    alarms.map(|raised| raised.at).collect()
}

/// Intervals and speeds, three nights each. A watch that lets her drag beyond a fleet's swinging room is useless: the
/// alarm must come within 80 m, or within four reports if that is farther.
#[test]
fn a_drag_is_found_at_every_interval_and_speed() {
    for every in INTERVALS {
        for speed in [0.05, 0.15, 0.5] {
            for seed in [71_000_002, 71_000_004, 71_000_006] {
                let mut plan = plan(seed, every);
                plan.drag = Some(Drag {
                    speed: Speed::of(speed),
                    jerks: None,
                    holds_after: None,
                    begins: plan.drag.map_or(NIGHT / 2, |drag| drag.begins),
                });
                let trial = night(plan);
                let which = format!("every {every} s, {speed} m/s, seed {seed}");
                assert_eq!(wolf(&trial), [0.0; 0], "{which}");
                assert!(trial.alarm.is_some(), "not found: {which}");
                let metres = trial.alarm.map_or(f64::INFINITY, |(_, metres)| metres);
                let most = 80.0_f64.max(30.0 + 4.0 * every as f64 * speed);
                assert!(metres <= most, "{metres} m: {which}");
            }
        }
    }
}

#[test]
fn quiet_nights_stay_quiet_and_she_is_not_blind_between_two_reports() {
    for every in INTERVALS {
        for seed in (71_000_001..71_000_013).step_by(2) {
            let mut plan = plan(seed, every);
            // A dropout of a minute is reported as one.
            plan.sensors.dropout_rate = 0.0;
            let trial = night(plan);
            assert_eq!(wolf(&trial), [0.0; 0], "every {every} s, seed {seed}");
            // Before the second report the interval is unknown.
            let learned = 2.0 * every as f64 + 120.0;
            let lost = |at: f64| at > learned;
            let blind = trial
                .raised
                .iter()
                .filter(|raised| raised.hazard == Hazard::Position && lost(raised.at))
                .count();
            assert!(
                blind <= 1,
                "{blind} times blind: every {every} s, seed {seed}"
            );
        }
    }
}
