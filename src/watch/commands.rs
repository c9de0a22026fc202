//! Why an order of the crew is refused, and what is checked of every order. A refusal changes nothing.

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
    #[error("`{name}` = {value:.1} cannot be; {range} is sensible")]
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
    #[error(
        "no anchor is marked that this could be the second of; let go the first without `kind`"
    )]
    NoFirst,
    /// The track does not tell where the anchor lies.
    #[error("the track does not tell where the anchor lies: {0}; give `position`")]
    NoTrack(String),
    /// The pull says nothing here.
    #[error("a pull test says nothing of `{0}`")]
    NoPull(MooringKind),
    /// There is nothing to end.
    #[error("no pull test is going on; `pullTest` = `true` begins one")]
    NoTest,
    /// The position is not here.
    #[error(
        "`position` lies {0} from the boat; check latitude and longitude, west and south are negative"
    )]
    TooFar(Metres),
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
    check_length("rode", Some(rode), 1.0, 1000.0, "1 m to 1000 m")?;
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

pub(super) fn check_near(here: Position, there: Position) -> Result<(), Refusal> {
    let distance = here.distance_to(there);
    if distance > FARTHEST_MARK {
        Err(Refusal::TooFar(distance))
    } else {
        Ok(())
    }
}

/// Who types a position in, or drags it on a chart, is good for about this.
pub(super) const GIVEN_DOUBT: Metres = Metres::of(5.0);
const FARTHEST_MARK: Metres = Metres::of(500.0);
