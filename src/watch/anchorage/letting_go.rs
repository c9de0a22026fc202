//! The anchor touches bottom, a buoy is picked up, lines are made fast: what is marked, and where.
//!
//! An anchor is marked under the bow roller of the moment, unless a place is given, or the place that
//! the track of a boat that has lain for long tells (see [`lying`](super::lying)). What she can lie to
//! stands in [`kind`](super::kind).

use super::Anchorage;
use super::mooring::{Anchor, Mooring};
use super::orders::{Change, Done};
use crate::geodesy::Position;
use crate::tackle::scope;
use crate::units::{Metres, spoken};
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::announcer::Announcer;
use crate::watch::commands::{
    GIVEN_DOUBT, Refusal, check_circle, check_length, check_mark, check_rode,
};
use crate::watch::drag::DragTest;
use crate::watch::fix::TWO_D_95;
use crate::watch::messages::LetGo;
use crate::watch::round::Seen;
use crate::watch::settings::WatchSettings;
use crate::watch::state::MeasuredFrom;

/// Where the mark is to lie.
struct Place {
    position: Position,
    doubt: Metres,
    lever: Metres,
    /// Told with the order.
    remark: String,
}

impl Anchorage {
    /// The anchor touches bottom. `why_no_fix`: why there would be none, in words.
    pub fn let_go(
        &mut self,
        seen: &Seen,
        order: &LetGo,
        why_no_fix: String,
        say: &mut Announcer,
    ) -> Result<Done, Refusal> {
        check(order)?;
        let kind = order.kind;
        self.check_free(seen, order)?;
        let place = self.place(seen, order, why_no_fix)?;
        let depth = order.depth.or(seen.depth);
        if let Some(rode) = order.rode {
            check_rode(rode, depth, seen.boat.roller_height())?;
        }
        let anchor = Anchor {
            position: place.position,
            made: None,
            doubt: place.doubt,
            lever: place.lever,
            depth,
            rode: order.rode,
            found: None,
        };
        if kind == MooringKind::SecondAnchor {
            return self.second_anchor(seen, anchor, say);
        }
        if let Some(before) = self.mooring.take() {
            self.put_by(before);
        }
        let test = idle_test(&mut self.idle, &seen.settings);
        self.mooring = Some(Mooring::new(kind, seen.now.utc, order.radius, anchor, test));
        self.lying.clear();
        self.restart_judgement(seen.now.tick);
        let said = self.words_for(order, &place, depth, &seen.settings);
        // Made fast there is nothing to set.
        let phase = if kind.has_rode() {
            AnchorPhase::Setting
        } else {
            AnchorPhase::Set
        };
        self.enter(seen, phase, &said, say);
        Ok(Done {
            said,
            change: Change::NewMark,
        })
    }

    /// Is there no mark that the order would give up without saying so?
    fn check_free(&self, seen: &Seen, order: &LetGo) -> Result<(), Refusal> {
        let Some(mooring) = self.mooring().filter(|_| !order.reanchored) else {
            return Ok(());
        };
        let first = mooring.first().position;
        if order.kind == MooringKind::SecondAnchor {
            return mooring.others().next().map_or(Ok(()), |second| {
                let apart = first.distance_to(second.position);
                Err(Refusal::MarkedSecond(apart))
            });
        }
        Err(Refusal::Marked {
            lies: if mooring.kind().has_rode() {
                "at anchor"
            } else {
                "moored"
            },
            since: mooring.let_go().clock(),
            away: seen.here.map(|here| here.distance(first)),
        })
    }

    /// Keeps the drag tests of anchors that are up again.
    pub(super) fn put_by(&mut self, mooring: Mooring) {
        let mut tests = mooring.weighed();
        tests.append(&mut self.idle);
        self.idle = tests;
    }

    fn second_anchor(
        &mut self,
        seen: &Seen,
        anchor: Anchor,
        say: &mut Announcer,
    ) -> Result<Done, Refusal> {
        let mooring = self
            .mooring
            .as_mut()
            .filter(|mooring| mooring.kind().has_rode())
            .ok_or(Refusal::NoFirst)?;
        let apart = mooring.first().position.distance_to(anchor.position);
        mooring.second(anchor, || idle_test(&mut self.idle, &seen.settings));
        self.restart_judgement(seen.now.tick);
        let said = format!(
            "second anchor let go at {}, {} from the first{}; {}",
            anchor.position,
            seen.settings.wording.length(apart),
            rode_words(anchor.rode, &seen.settings),
            MooringKind::SecondAnchor.not_judged().unwrap_or_default(),
        );
        self.enter(seen, AnchorPhase::Setting, &said, say);
        Ok(Done {
            said,
            change: Change::AnotherAnchor,
        })
    }

    fn place(&self, seen: &Seen, order: &LetGo, why_no_fix: String) -> Result<Place, Refusal> {
        let settings = &seen.settings;
        let here = seen.fresh_here();
        if let Some(position) = order.position {
            if let Some(here) = here {
                let rode = order.rode.or(order.radius).unwrap_or_default();
                let longest = rode.max(settings.longest_rode());
                check_mark(("boat", here.roller), position, longest)?;
            }
            return Ok(Place {
                position,
                doubt: GIVEN_DOUBT,
                lever: Metres::ZERO,
                remark: String::new(),
            });
        }
        let lain = self
            .lying
            .lain(seen.now.tick)
            .filter(|lain| *lain >= settings.unmarked_after);
        let (least, most) = swings(seen, order);
        let estimate = lain.and_then(|_| self.lying.estimate(least, most));
        if order.from_track {
            let Some(lain) = lain else {
                let short = spoken(settings.unmarked_after);
                return Err(Refusal::NoTrack(format!(
                    "she has not lain still for {short}"
                )));
            };
            let estimate = estimate.ok_or_else(|| {
                Refusal::NoTrack(format!(
                    "in {} she has not swung enough, or not as rode and depth would have her",
                    spoken(lain)
                ))
            })?;
            return Ok(Place {
                position: estimate.position,
                doubt: estimate.doubt,
                lever: here.map_or(Metres::ZERO, |here| here.lever_doubt),
                remark: format!(
                    ", estimated from {} of track, good to {} (95 %), {} from the bow roller",
                    spoken(lain),
                    settings.wording.length(estimate.doubt * TWO_D_95),
                    settings.wording.length(estimate.radius)
                ),
            });
        }
        let here = here.ok_or(Refusal::NoFix(why_no_fix))?;
        let made_fast = matches!(order.kind, MooringKind::ShoreLine | MooringKind::SternTo);
        let remark = match lain.filter(|_| order.kind == MooringKind::Anchor) {
            Some(lain) => format!(
                "; she has lain here for {}: {}",
                spoken(lain),
                match estimate {
                    Some(estimate) => format!(
                        "if the anchor was let go before, it lies at about {}, let go again with `fromTrack` to mark it there",
                        estimate.position
                    ),
                    None => "if the anchor was let go before, it does not lie under the bow now: give its `position`".to_owned(),
                }
            ),
            None => String::new(),
        };
        let remark = remark + &bow_not_known(seen, here.lever_doubt);
        Ok(Place {
            position: if made_fast { here.centre } else { here.roller },
            doubt: here.fix.sigma,
            lever: here.lever_doubt,
            remark,
        })
    }

    fn words_for(
        &self,
        order: &LetGo,
        place: &Place,
        depth: Option<Metres>,
        settings: &WatchSettings,
    ) -> String {
        let say = &settings.wording;
        let position = place.position;
        let berth = self.berth.map_or(String::new(), |berth| {
            format!(
                ", {} from the berth",
                say.length(position.distance_to(berth.position))
            )
        });
        let water = depth.map_or_else(
            || ", depth not known".to_owned(),
            |depth| format!(", in {} of water", say.length(depth)),
        );
        let circle = order.radius.map_or(String::new(), |radius| {
            format!(", swinging circle of {} to her centre", say.length(radius))
        });
        let not_judged = order
            .kind
            .not_judged()
            .map_or(String::new(), |words| format!("; {words}"));
        let remark = &place.remark;
        match order.kind {
            MooringKind::Anchor | MooringKind::SecondAnchor => {
                let rode = rode_words(order.rode, settings);
                format!("anchor let go at {position}{berth}{rode}{water}{circle}{remark}")
            }
            MooringKind::Mooring => format!("moored at {position}{circle}{water}{not_judged}"),
            MooringKind::ShoreLine => {
                format!(
                    "made fast to the shore, her centre at {position}{circle}{water}{not_judged}"
                )
            }
            MooringKind::SternTo => {
                format!("made fast stern to, her centre at {position}{circle}{water}{not_judged}")
            }
        }
    }
}

/// How near and how far from her anchor she swings, by rode and depth; an antenna whose place is not known
/// may be as much nearer or farther.
fn swings(seen: &Seen, order: &LetGo) -> (Metres, Metres) {
    let longest = seen.settings.longest_rode();
    let doubt = seen.here.map_or(Metres::ZERO, |here| here.lever_doubt);
    let (Some(rode), Some(depth)) = (order.rode, order.depth.or(seen.depth)) else {
        return (Metres::ZERO, longest + doubt);
    };
    let height = scope::height(depth, seen.boat.roller_height());
    // In a calm what is not on the bottom hangs straight down.
    let least = (rode - height - SWINGS_ROOM - doubt).max(Metres::ZERO);
    (least, rode + SWINGS_ROOM + doubt)
}

fn idle_test(idle: &mut Vec<DragTest>, settings: &WatchSettings) -> DragTest {
    if idle.is_empty() {
        DragTest::new(settings)
    } else {
        idle.remove(0)
    }
}

/// Without the bow the mark lies under the antenna: whoever lets go is told at once.
fn bow_not_known(seen: &Seen, doubt: Metres) -> String {
    let why = if seen.measured_from() == MeasuredFrom::BowRoller {
        return String::new();
    } else if seen.heading.is_none() {
        "no heading is heard"
    } else {
        "`boat.antenna_from_bow` is not set"
    };
    format!(
        "; {why}, so this is the place of the GPS antenna, and the anchor may lie {} from it",
        seen.settings.wording.length(doubt)
    )
}

/// How much rode there is to be, as far as that is known.
fn rode_words(rode: Option<Metres>, settings: &WatchSettings) -> String {
    rode.map_or_else(
        || {
            format!(
                ", rode not entered: assuming all {} is out until `rodeOut` is given",
                settings.wording.length(settings.longest_rode())
            )
        },
        |rode| {
            format!(
                ", {} of rode to be veered{}",
                settings.wording.length(rode),
                more_than_aboard(rode, settings)
            )
        },
    )
}

/// More rode than there is aboard, by the configuration: a slip, or a figure to be corrected.
pub(super) fn more_than_aboard(rode: Metres, settings: &WatchSettings) -> String {
    match settings.boat.rode_aboard {
        Some(aboard) if rode > aboard => {
            format!(
                ", which is more than the {} aboard (`tackle.rode_aboard`)",
                settings.wording.length(aboard)
            )
        }
        _ => String::new(),
    }
}

/// Does what is given make sense with the kind?
fn check(order: &LetGo) -> Result<(), Refusal> {
    let kind = order.kind;
    let misplaced = [
        ("rode", !kind.has_rode() && order.rode.is_some()),
        (
            "radius",
            kind == MooringKind::SecondAnchor && order.radius.is_some(),
        ),
        ("fromTrack", kind != MooringKind::Anchor && order.from_track),
    ];
    if let Some((member, _)) = misplaced.into_iter().find(|(_, misplaced)| *misplaced) {
        return Err(Refusal::Misplaced { member, kind });
    }
    check_circle("radius", order.radius)?;
    if !kind.has_rode() && order.radius.is_none() {
        return Err(Refusal::NoRadius(kind));
    }
    check_length("depth", order.depth, 0.5, 100.0)
}

/// A receiver's error of hours, and what a rode is told wrongly by.
const SWINGS_ROOM: Metres = Metres::of(5.0);
