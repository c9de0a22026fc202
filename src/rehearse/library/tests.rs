//! Every night of the library, and the errors for a night that is written wrongly.

use super::*;
use crate::speech::Wording;

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
        let report = player::hold(&script, 1, Wording::default(), &mut ());
        for demand in report.demands {
            if demand.met == demand.known {
                wrong.push(format!("{name}: {}", demand.what));
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}
