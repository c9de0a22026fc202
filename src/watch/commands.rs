//! Why an order of the crew is refused, and what is checked of every order. A refusal changes nothing.

use std::fmt;

use crate::alert::wording::Wording;
use crate::geodesy::Position;
use crate::tackle::scope;
use crate::units::Metres;
use crate::watch::anchorage::kind::MooringKind;

/// Why an order was refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// The anchor cannot be marked without knowing where it is.
    #[error(
        "no usable position to mark the anchor with ({0}); give `position`, or let go again when there is a fix"
    )]
    NoFix(String),
    /// The order is for a boat at anchor.
    #[error("not at anchor: `letGo` comes first")]
    NotAtAnchor,
    /// The rode does not reach the bottom.
    #[error(
        "`rode` = {rode} does not reach the bottom: {depth} of water and the bow roller {roller} up; veer more"
    )]
    RodeTooShort {
        /// As ordered.
        rode: Metres,
        /// Depth of water.
        depth: Metres,
        /// Height of the roller.
        roller: Metres,
    },
    /// A length that no boat has.
    #[error("`{name}` = {value:.1} is out of range; give {range}")]
    Impossible {
        /// Which figure.
        name: &'static str,
        /// As ordered.
        value: Metres,
        /// What would do.
        range: &'static str,
    },
    /// Neither rode nor circle to reckon with.
    #[error(
        "`kind` = `{0}` has no rode to reckon a circle from: give `radius`, to the boat's centre"
    )]
    NoRadius(MooringKind),
    /// A member that has no meaning for the kind.
    #[error("`{member}` has no meaning with `kind` = `{kind}`; leave it out")]
    Misplaced {
        /// Which.
        member: &'static str,
        /// With what.
        kind: MooringKind,
    },
    /// A second anchor without a first.
    #[error("no first anchor is marked; let go the first one without `kind`")]
    NoFirst,
    /// The track does not tell where the anchor lies.
    #[error("the track does not tell where the anchor lies: {0}; give `position`")]
    NoTrack(String),
    /// The pull says nothing here.
    #[error("no pull test for `{0}`")]
    NoPull(MooringKind),
    /// There is nothing to end.
    #[error("no pull test is running; `pullTest` = `true` starts one")]
    NoTest,
    /// There is a mark already, and nobody said that it is to be given up.
    #[error(
        "she is {lies} since {since} UTC{away}; `weigh` first, or give `reanchored` if she was anchored anew, or give `kind` = `secondAnchor` for another anchor besides"
    )]
    Marked {
        /// At anchor, or moored.
        lies: &'static str,
        /// When it was marked.
        since: String,
        /// How far away the mark is, in words.
        away: String,
    },
    /// There is a second anchor already.
    #[error(
        "a second anchor is marked already, {0} from the first; give `reanchored` too if it was let go anew"
    )]
    MarkedSecond(Metres),
    /// The position is not here.
    #[error(
        "`{name}` lies {distance} from the {from}, the limit is {limit}; check latitude and longitude, west and south are negative"
    )]
    TooFar {
        /// Which position.
        name: &'static str,
        /// How far away it is.
        distance: Distance,
        /// From what.
        from: &'static str,
        /// What is taken.
        limit: Distance,
    },
    /// The alert desk refuses.
    #[error("{0}")]
    Desk(String),
}

/// Does the rode reach the bottom, and can it be?
pub(super) fn check_rode(
    rode: Metres,
    depth: Option<Metres>,
    roller: Metres,
) -> Result<(), Refusal> {
    check_length("rode", Some(rode), 1.0, 300.0, "1 m to 300 m")?;
    match depth {
        Some(depth) if rode < scope::height(depth, roller) => Err(Refusal::RodeTooShort {
            rode,
            depth,
            roller,
        }),
        _ => Ok(()),
    }
}

pub(super) fn check_length(
    name: &'static str,
    value: Option<Metres>,
    least: f64,
    most: f64,
    range: &'static str,
) -> Result<(), Refusal> {
    match value {
        Some(value) if !(least..=most).contains(&value.get()) => {
            Err(Refusal::Impossible { name, value, range })
        }
        _ => Ok(()),
    }
}

/// The circle that somebody gives.
pub(super) fn check_circle(name: &'static str, radius: Option<Metres>) -> Result<(), Refusal> {
    check_length(name, radius, 1.0, 500.0, "1 m to 500 m")
}

/// Is an anchor that lies `there` one that she can lie to, with so much rode?
pub(super) fn check_mark(
    from: (&'static str, Position),
    there: Position,
    rode: Metres,
) -> Result<(), Refusal> {
    check_within("position", from, there, rode + BESIDES)
}

/// Can a berth lie `there`? Who plans one is still under way to it.
pub(super) fn check_berth(here: Position, there: Position) -> Result<(), Refusal> {
    check_within("berth", ("boat", here), there, FARTHEST_BERTH)
}

fn check_within(
    name: &'static str,
    (from, here): (&'static str, Position),
    there: Position,
    limit: Metres,
) -> Result<(), Refusal> {
    let distance = here.distance_to(there);
    if distance > limit {
        let (distance, limit) = (Distance(distance), Distance(limit));
        return Err(Refusal::TooFar {
            name,
            distance,
            from,
            limit,
        });
    }
    Ok(())
}

/// A distance in the unit in which people think of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distance(pub Metres);

impl Distance {
    /// Near by in the crew's unit.
    #[must_use]
    pub fn words(self, say: &Wording) -> String {
        if self.is_far() {
            self.to_string()
        } else {
            say.length(self.0)
        }
    }

    fn is_far(self) -> bool {
        self.0 >= Metres::of(10.0 * NAUTICAL_MILE)
    }
}

impl fmt::Display for Distance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_far() {
            write!(f, "{:.0} nautical miles", self.0.get() / NAUTICAL_MILE)
        } else {
            write!(f, "{}", self.0)
        }
    }
}

/// Who types a position in, or drags it on a chart, is good for about this.
pub(super) const GIVEN_DOUBT: Metres = Metres::of(5.0);
/// Besides the rode: the boat, a poor chart, a mark made late. Chosen.
const BESIDES: Metres = Metres::of(100.0);
/// Fifty nautical miles. Chosen: a long day's sail, and less than a slip by one degree of latitude.
const FARTHEST_BERTH: Metres = Metres::of(50.0 * NAUTICAL_MILE);
/// International nautical mile, 1852 m exactly (ISO 80000-3).
const NAUTICAL_MILE: f64 = 1852.0;
