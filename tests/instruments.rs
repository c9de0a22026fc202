//! More instruments must never make the alarm later: the same nights with and without compass and wind instrument.

use std::num::NonZeroUsize;
use std::time::Duration;

use windrode::measure::MeasureOptions;
use windrode::measure::compare::compare;
use windrode::measure::deal::Deal;

/// The seeds were taken once and are used for nothing else. The aim is a tenth. [`MEASURED`] is the ratio of these
/// nights as they are now: a change of the drag test may lower it, and must not raise it.
#[test]
fn more_instruments_do_not_make_the_alarm_later() {
    let options = MeasureOptions {
        nights: 60,
        seed: 72_000_001,
        length: Duration::from_hours(4),
        threads: NonZeroUsize::new(2).unwrap(),
        deal: Deal::default(),
    };
    let rows = compare(&options, |_| ()).rows();
    let all = rows.first().unwrap();
    assert!(all.drags >= 15, "{all:?}");
    assert!(all.later() <= MEASURED, "{:.3}: {all:?}", all.later());
}

const MEASURED: f64 = 1.1;
