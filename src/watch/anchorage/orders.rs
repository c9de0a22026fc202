//! What the crew orders about the anchor besides letting go: rode veered, weighed, the mark corrected, a
//! circle of its own, a berth planned. A refusal changes nothing.

use std::time::Duration;

use super::Anchorage;
use super::letting_go::more_than_aboard;
use crate::alert::wording::Wording;
use crate::geodesy::Position;
use crate::tackle::scope;
use crate::tackle::snubber::Snubber;
use crate::units::{Metres, spoken};
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::announcer::Announcer;
use crate::watch::berth::BerthOrder;
use crate::watch::commands::{
    GIVEN_DOUBT, Refusal, check_berth, check_circle, check_length, check_mark, check_reaches,
    check_rode, far,
};
use crate::watch::messages::SnubberOrder;
use crate::watch::round::Seen;
use crate::watch::settings::WatchSettings;

/// An order that was carried out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Done {
    /// In words.
    pub said: String,
    /// What it changed for those who measure from the anchor.
    pub change: Change,
}

/// What an order changed for those who measure from the anchor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// Nothing.
    Nothing,
    /// A new mark.
    NewMark,
    /// Another anchor besides.
    AnotherAnchor,
    /// The mark lies elsewhere.
    MarkMoved,
    /// The rode is another.
    Rode,
    /// There is no anchor down any more.
    Weighed,
}

impl Anchorage {
    /// This much rode is out.
    pub fn veer(
        &mut self,
        seen: &Seen,
        rode: Metres,
        say: &mut Announcer,
    ) -> Result<Done, Refusal> {
        let roller = seen.boat.roller_height();
        let mooring = self.mooring.as_mut().ok_or(Refusal::NotAtAnchor)?;
        let depth = mooring.first().depth.or(seen.depth);
        check_rode(rode, depth, roller)?;
        let kind = mooring.kind();
        if !kind.has_rode() {
            return Err(Refusal::Misplaced {
                member: "rodeOut",
                kind,
            });
        }
        let snubber = mooring.snubber();
        let before = mooring.veer(rode);
        if before.is_some_and(|before| rode < before) {
            // She is hauled in: until then she lies beyond the shorter reach, and holds.
            self.restart_judgement(seen.now.tick);
        }
        let scope = depth.and_then(|depth| scope::scope(rode, depth, roller));
        let beyond = more_than_aboard(rode, &seen.settings);
        let veered = seen.settings.wording.length(rode);
        let mut said = match scope {
            Some(scope) => format!("{veered} of rode out{beyond}, scope {scope:.1}:1"),
            None => format!("{veered} of rode out{beyond}, scope not known without a depth"),
        };
        if let Some(snubber) = snubber {
            said += &still_on(snubber, &seen.settings.wording);
        }
        let change = if before == Some(rode) {
            Change::Nothing
        } else {
            say.note(seen.now, said.clone());
            Change::Rode
        };
        Ok(Done { said, change })
    }

    /// The anchor is up: the watch ends.
    pub fn weigh(&mut self, seen: &Seen, say: &mut Announcer) -> Result<Done, Refusal> {
        let mooring = self.mooring.take().ok_or(Refusal::NotAtAnchor)?;
        let lay = seen.now.utc.millis_since(mooring.let_go()).max(0);
        self.put_by(mooring);
        self.berth = None;
        self.lying.weighed(seen.now.tick);
        self.restart_judgement(seen.now.tick);
        let lay = spoken(Duration::from_millis(lay.unsigned_abs()));
        let said = format!("anchor aweigh after {lay}; the watch has ended");
        self.enter(seen, AnchorPhase::Aweigh, &said, say);
        Ok(Done {
            said,
            change: Change::Weighed,
        })
    }

    /// A snubber or bridle is on, or none is any more.
    pub fn snub(
        &mut self,
        seen: &Seen,
        order: Option<SnubberOrder>,
        say: &mut Announcer,
    ) -> Result<Done, Refusal> {
        let roller = seen.boat.roller_height();
        let mooring = self.mooring.as_mut().ok_or(Refusal::NotAtAnchor)?;
        let kind = mooring.kind();
        if !kind.has_rode() {
            let member = "snubber";
            return Err(Refusal::Misplaced { member, kind });
        }
        let (depth, rode) = (mooring.first().depth.or(seen.depth), mooring.first().rode);
        let snubber = order
            .map(|order| snubber(order, rode, (depth, roller), &seen.settings))
            .transpose()?;
        let before = mooring.snub(snubber);
        let drawn = |snubber: Option<Snubber>| snubber.map(Snubber::drawn).or(rode);
        if drawn(snubber) < drawn(before) {
            // Until she is hauled in she lies beyond the shorter reach, and holds.
            self.restart_judgement(seen.now.tick);
        }
        let said = snubber_words(snubber, rode, (depth, roller), &seen.settings.wording);
        let change = if before == snubber {
            Change::Nothing
        } else {
            say.note(seen.now, said.clone());
            Change::Rode
        };
        Ok(Done { said, change })
    }

    /// Plans a berth, or none.
    pub fn set_berth(&mut self, seen: &Seen, berth: Option<BerthOrder>) -> Result<String, Refusal> {
        let here = seen.here.map(|here| here.roller);
        let here = here.or_else(|| self.mooring().map(|it| it.first().position));
        if let (Some(berth), Some(here)) = (berth, here) {
            check_berth(here, berth.position)?;
        }
        if let Some(rode) = berth.and_then(|berth| berth.wishes.rode) {
            check_rode(rode, None, Metres::ZERO)?;
        }
        self.berth = berth;
        let Some(BerthOrder { position, .. }) = berth else {
            return Ok("no berth planned".to_owned());
        };
        Ok(match seen.here {
            Some(here) => format!(
                "berth planned at {position}, bearing {} at {}",
                here.roller.bearing_to(position),
                far(here.distance(position), &seen.settings.wording)
            ),
            None => format!("berth planned at {position}"),
        })
    }

    /// The anchor lies elsewhere than it was marked.
    pub fn correct_mark(
        &mut self,
        seen: &Seen,
        position: Position,
        say: &mut Announcer,
    ) -> Result<Done, Refusal> {
        let mooring = self.mooring.as_mut().ok_or(Refusal::NotAtAnchor)?;
        let before = mooring.first().position;
        let rode = mooring.first().rode.unwrap_or_default();
        let from = match seen.here {
            Some(here) => ("boat", here.roller),
            None => ("mark", before),
        };
        check_mark(from, position, rode.max(seen.settings.longest_rode()))?;
        let by = before.distance_to(position);
        if by < SAME_PLACE {
            return Ok(Done {
                said: format!("the mark lies at {position} already"),
                change: Change::Nothing,
            });
        }
        mooring.correct(position, GIVEN_DOUBT);
        self.restart_judgement(seen.now.tick);
        let said = format!(
            "mark corrected by {} to {position}",
            seen.settings.wording.length(by)
        );
        say.note(seen.now, said.clone());
        Ok(Done {
            said,
            change: Change::MarkMoved,
        })
    }

    /// The crew's own circle, or the reckoned one again.
    pub fn order_radius(
        &mut self,
        seen: &Seen,
        radius: Option<Metres>,
        say: &mut Announcer,
    ) -> Result<String, Refusal> {
        check_circle("maxRadius", radius)?;
        let mooring = self.mooring.as_mut().ok_or(Refusal::NotAtAnchor)?;
        mooring.order_radius(radius);
        let mark = mooring.first().position;
        let away = seen.here.map(|here| here.centre.distance_to(mark));
        let said = match radius {
            Some(radius) => {
                let outside = away.filter(|away| *away > radius);
                let outside = outside.map_or(String::new(), |away| {
                    format!(
                        ", and she is outside it now, {} from the mark",
                        seen.settings.wording.length(away)
                    )
                });
                format!(
                    "swinging circle of {} to the boat's centre{outside}",
                    seen.settings.wording.length(radius)
                )
            }
            None if mooring.circle_was_given() => {
                "swinging circle as given with `letGo` again".to_owned()
            }
            None => "swinging circle reckoned from the rode again".to_owned(),
        };
        say.note(seen.now, said.clone());
        Ok(said)
    }
}

/// The snubber that is ordered, with what is known besides.
fn snubber(
    order: SnubberOrder,
    rode: Option<Metres>,
    (depth, roller): (Option<Metres>, Metres),
    settings: &WatchSettings,
) -> Result<Snubber, Refusal> {
    check_length("at", order.at, 1.0, 300.0)?;
    check_length("length", order.length, 0.5, 50.0)?;
    let at = order.at.or(rode).ok_or(Refusal::NoSnubber(
        "the rode from the anchor to the hook is not known; give it as `at`",
    ))?;
    let by_configuration = settings.plan.tackle.snubber_length;
    let length = order.length.or(by_configuration).ok_or(Refusal::NoSnubber(
        "the length of the snubber is not known; give it as `length`, or for good as `tackle.snubber_length`",
    ))?;
    if let Some(rode) = rode.filter(|rode| at > *rode) {
        return Err(Refusal::HookBeyond { at, rode });
    }
    let snubber = Snubber { at, length };
    check_reaches("at` + `length", snubber.drawn(), depth, roller)?;
    Ok(snubber)
}

fn snubber_words(
    snubber: Option<Snubber>,
    rode: Option<Metres>,
    (depth, roller): (Option<Metres>, Metres),
    say: &Wording,
) -> String {
    let Some(snubber) = snubber else {
        return rode.map_or("snubber off".to_owned(), |rode| {
            format!("snubber off: she lies to {} of rode", say.length(rode))
        });
    };
    let drawn = snubber.drawn();
    let scope = depth.and_then(|depth| scope::scope(drawn, depth, roller));
    let scope = scope.map_or(String::new(), |scope| format!(", scope {scope:.1}:1"));
    let more = match rode {
        Some(rode) if rode >= drawn => String::new(),
        _ => format!(
            "; have {} of rode out at least, or the chain bears and not the snubber",
            say.length(drawn)
        ),
    };
    format!(
        "snubber on at {} of rode, {} long: she lies to {}{scope}{more}",
        say.length(snubber.at),
        say.length(snubber.length),
        say.length(drawn)
    )
}

/// After veering: the snubber bears where it was hooked on.
fn still_on(snubber: Snubber, say: &Wording) -> String {
    format!(
        "; the snubber is on at {} of rode and she lies to {}: tell it again if it was moved, or that it is off",
        say.length(snubber.at),
        say.length(snubber.drawn())
    )
}

const SAME_PLACE: Metres = Metres::of(0.5);
