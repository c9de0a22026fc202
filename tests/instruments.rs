//! More instruments must never make the alarm later: the same nights with and without compass and wind instrument.

use std::num::NonZeroUsize;
use std::time::Duration;

use windrode::measure::MeasureOptions;
use windrode::measure::compare::compare;
use windrode::measure::deal::Deal;

/// The seeds were chosen once and are used for nothing else.
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
    assert!(all.later() <= MOST, "{:.3}: {all:?}", all.later());
}

/// The aim: at most a tenth later.
const MOST: f64 = 1.1;
