//! Every night of the library, and the errors for a night that is written wrongly.

use super::*;
use crate::daemon::StatusReport;
use crate::rehearse::night::Audience;
use crate::speech::Wording;
use crate::time::Timestamp;
use crate::watch::messages::Event;

struct Silent;

impl Audience for Silent {
    fn story(&mut self, _at: Timestamp, _words: &str) {}
    fn event(&mut self, _event: &Event) {}
    fn progress(&mut self, _done: f64, _at: Timestamp) {}
    fn screen(&mut self, _report: &StatusReport) {}
}

/// A known failure must fail: once it is fixed, the night's file must say so.
#[test]
fn every_night_ends_as_its_file_says() {
    let mut wrong = Vec::new();
    for (name, _) in NIGHTS {
        let script = named(name).unwrap().unwrap();
        assert!(
            !script.must.is_empty() || !script.must_not.is_empty(),
            "{name}"
        );
        let report = player::hold(&script, 1, Wording::default(), &mut Silent);
        for demand in report.demands {
            if demand.met == demand.known {
                wrong.push(format!("{name}: {}", demand.what));
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}
