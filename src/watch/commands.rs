//! The checks on every order of the crew. A refused order changes nothing.

use crate::geodesy::Position;
use crate::speech::answers::Refusal;
use crate::speech::{Depth, Far};
use crate::tackle::scope;
use crate::units::Metres;

/// Is the length of rode possible, and does it reach the bottom?
pub(super) fn check_rode(
    rode: Metres,
    depth: Option<Metres>,
    roller: Metres,
) -> Result<(), Refusal> {
    check_reaches("rode", rode, depth, roller)
}

/// The same check for a length with another name.
pub(super) fn check_reaches(
    name: &'static str,
    rode: Metres,
    depth: Option<Metres>,
    roller: Metres,
) -> Result<(), Refusal> {
    check_length(name, Some(rode), 1.0, 300.0)?;
    match depth {
        Some(depth) if rode < scope::height(depth, roller) => Err(Refusal::RodeTooShort {
            name,
            rode,
            depth: Depth(depth),
            roller: Depth(roller),
        }),
        _ => Ok(()),
    }
}

pub(super) fn check_length(
    name: &'static str,
    value: Option<Metres>,
    least: f64,
    most: f64,
) -> Result<(), Refusal> {
    match value {
        Some(value) if !(least..=most).contains(&value.get()) => Err(Refusal::Impossible {
            name,
            value: Depth(value),
            least: Depth(Metres::of(least)),
            most: Metres::of(most),
        }),
        _ => Ok(()),
    }
}

/// Checks the radius of a circle.
pub(super) fn check_circle(name: &'static str, radius: Option<Metres>) -> Result<(), Refusal> {
    check_length(name, radius, 1.0, 500.0)
}

/// Could she lie to an anchor `there` with this much rode? `from` is the mark (`true`) or the boat (`false`).
pub(super) fn check_mark(
    from: (bool, Position),
    there: Position,
    rode: Metres,
) -> Result<(), Refusal> {
    check_within("position", from, there, rode + BESIDES)
}

/// Is a berth `there` plausible? The boat is still on her way to it.
pub(super) fn check_berth(here: Position, there: Position) -> Result<(), Refusal> {
    check_within("berth", (false, here), there, FARTHEST_BERTH)
}

fn check_within(
    name: &'static str,
    (from_mark, here): (bool, Position),
    there: Position,
    limit: Metres,
) -> Result<(), Refusal> {
    let distance = here.distance_to(there);
    if distance > limit {
        return Err(Refusal::TooFar {
            name,
            distance: Far(distance),
            from_mark,
            limit: Far(limit),
        });
    }
    Ok(())
}

/// The accuracy of a position that is typed in or dragged on a chart, about.
pub(super) const GIVEN_DOUBT: Metres = Metres::of(5.0);
/// Allowance beyond the rode: the boat, a poor chart, a mark made late. Chosen.
const BESIDES: Metres = Metres::of(100.0);
/// Fifty nautical miles. Chosen: a long day's sail, and less than an error of one degree of latitude.
const FARTHEST_BERTH: Metres = Metres::of(50.0 * NAUTICAL_MILE);
/// International nautical mile, 1852 m exactly (ISO 80000-3).
const NAUTICAL_MILE: f64 = 1852.0;
