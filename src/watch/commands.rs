//! Why an order of the crew is refused, and what is checked of every order. A refusal changes nothing.

use crate::alert::wording::Wording;
use crate::geodesy::Position;
use crate::tackle::scope;
use crate::units::Metres;
use crate::watch::anchorage::kind::MooringKind;

/// Why an order was refused.
#[derive(Clone, Debug, PartialEq)]
pub enum Refusal {
    /// The anchor cannot be marked without knowing where it is.
    NoFix(String),
    /// The order is for a boat at anchor.
    NotAtAnchor,
    /// The rode does not reach the bottom.
    RodeTooShort {
        /// Which figure.
        name: &'static str,
        /// As ordered.
        rode: Metres,
        /// Depth of water.
        depth: Metres,
        /// Height of the roller.
        roller: Metres,
    },
    /// A length that no boat has.
    Impossible {
        /// Which figure.
        name: &'static str,
        /// As ordered.
        value: Metres,
        /// The least and the most that would do.
        range: (Metres, Metres),
    },
    /// Neither rode nor circle to reckon with.
    NoRadius(MooringKind),
    /// A member that has no meaning for the kind.
    Misplaced {
        /// Which.
        member: &'static str,
        /// With what.
        kind: MooringKind,
    },
    /// A second anchor without a first.
    NoFirst,
    /// The track does not tell where the anchor lies.
    NoTrack(String),
    /// The pull says nothing here.
    NoPull(MooringKind),
    /// A figure of the snubber is not known.
    NoSnubber(&'static str),
    /// The hook would lie beyond the roller.
    HookBeyond {
        /// As ordered.
        at: Metres,
        /// What is out.
        rode: Metres,
    },
    /// There is nothing to end.
    NoTest,
    /// There is a mark already, and the order does not give it up.
    Marked {
        /// At anchor, or moored.
        lies: &'static str,
        /// When it was marked.
        since: String,
        /// How far away the mark is, where that is known.
        away: Option<Metres>,
    },
    /// There is a second anchor already, so far from the first.
    MarkedSecond(Metres),
    /// The position is not here.
    TooFar {
        /// Which position.
        name: &'static str,
        /// How far away it is.
        distance: Metres,
        /// From what.
        from: &'static str,
        /// What is taken.
        limit: Metres,
    },
    /// The alert desk refuses.
    Desk(String),
}

impl Refusal {
    /// In words, for this crew.
    #[must_use]
    pub fn words(&self, say: &Wording) -> String {
        match self {
            Self::NoFix(why) => format!(
                "no usable position to mark the anchor with ({why}); give `position`, or let go again when there is a fix"
            ),
            Self::NotAtAnchor => "not at anchor: `letGo` comes first".to_owned(),
            Self::NoSnubber(lacking) => (*lacking).to_owned(),
            Self::HookBeyond { at, rode } => format!(
                "`at` = {} is more than the {} of rode that is out; tell the rode first",
                say.length(*at),
                say.length(*rode)
            ),
            Self::RodeTooShort {
                name,
                rode,
                depth,
                roller,
            } => format!(
                "`{name}` = {} does not reach the bottom: {} of water and the bow roller {} up; veer more",
                say.length(*rode),
                say.depth(*depth),
                say.depth(*roller)
            ),
            Self::Impossible {
                name,
                value,
                range: (least, most),
            } => format!(
                "`{name}` = {} is out of range; give {} to {}",
                say.depth(*value),
                say.depth(*least),
                say.length(*most)
            ),
            Self::NoRadius(kind) => format!(
                "`kind` = `{kind}` has no rode to reckon a circle from: give `radius`, to the boat's centre"
            ),
            Self::Misplaced { member, kind } => {
                format!("`{member}` has no meaning with `kind` = `{kind}`; leave it out")
            }
            Self::NoFirst => {
                "no first anchor is marked; let go the first one without `kind`".to_owned()
            }
            Self::NoTrack(why) => {
                format!("the track does not tell where the anchor lies: {why}; give `position`")
            }
            Self::NoPull(kind) => format!("no pull test for `{kind}`"),
            Self::NoTest => "no pull test is running; `pullTest` = `true` starts one".to_owned(),
            Self::Marked { lies, since, away } => {
                let away = away.map_or(String::new(), |away| {
                    format!(", the mark is {} from the bow", say.length(away))
                });
                format!(
                    "she is {lies} since {since} UTC{away}; `weigh` first, or give `reanchored` if she was anchored anew, or give `kind` = `secondAnchor` for another anchor besides"
                )
            }
            Self::MarkedSecond(apart) => format!(
                "a second anchor is marked already, {} from the first; give `reanchored` too if it was let go anew",
                say.length(*apart)
            ),
            Self::TooFar {
                name,
                distance,
                from,
                limit,
            } => format!(
                "`{name}` lies {} from the {from}, the limit is {}; check latitude and longitude, west and south are negative",
                far(*distance, say),
                far(*limit, say)
            ),
            Self::Desk(why) => why.clone(),
        }
    }
}

/// A distance in the unit in which people think of it: the crew's near by, nautical miles farther off.
#[must_use]
pub fn far(distance: Metres, say: &Wording) -> String {
    if distance >= Metres::of(10.0 * NAUTICAL_MILE) {
        format!("{:.0} nautical miles", distance.get() / NAUTICAL_MILE)
    } else {
        say.length(distance)
    }
}

/// Does the rode reach the bottom, and can it be?
pub(super) fn check_rode(
    rode: Metres,
    depth: Option<Metres>,
    roller: Metres,
) -> Result<(), Refusal> {
    check_reaches("rode", rode, depth, roller)
}

/// The same of another figure's name.
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
) -> Result<(), Refusal> {
    match value {
        Some(value) if !(least..=most).contains(&value.get()) => {
            let range = (Metres::of(least), Metres::of(most));
            Err(Refusal::Impossible { name, value, range })
        }
        _ => Ok(()),
    }
}

/// The circle that somebody gives.
pub(super) fn check_circle(name: &'static str, radius: Option<Metres>) -> Result<(), Refusal> {
    check_length(name, radius, 1.0, 500.0)
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
        return Err(Refusal::TooFar {
            name,
            distance,
            from,
            limit,
        });
    }
    Ok(())
}

/// Who types a position in, or drags it on a chart, is good for about this.
pub(super) const GIVEN_DOUBT: Metres = Metres::of(5.0);
/// Besides the rode: the boat, a poor chart, a mark made late. Chosen.
const BESIDES: Metres = Metres::of(100.0);
/// Fifty nautical miles. Chosen: a long day's sail, and less than a slip by one degree of latitude.
const FARTHEST_BERTH: Metres = Metres::of(50.0 * NAUTICAL_MILE);
/// International nautical mile, 1852 m exactly (ISO 80000-3).
const NAUTICAL_MILE: f64 = 1852.0;
