//! The anchor touches bottom, a buoy is picked up, lines are made fast: what is marked, and where.
//!
//! An anchor is marked under the bow roller of the moment, unless a place is given, or the place that
//! the track of a boat that has lain for long tells (see [`lying`](super::lying)). The kinds of
//! berth stand in [`manner`](super::manner).

use crate::geodesy::Position;
use crate::time::Now;
use crate::units::{Metres, spoken};
use crate::watch::commands::{GIVEN_DOUBT, Refusal, check_length, check_near};
use crate::watch::keeper::Watchkeeper;
use crate::watch::manner::{Kind, Manner, SecondAnchor};
use crate::watch::words::{LetGo, Mark, Phase};

/// Where the mark is to lie.
struct Place {
    position: Position,
    doubt: Metres,
    lever: Metres,
    /// Told with the order.
    remark: String,
}

impl Watchkeeper {
    pub(super) fn let_go(&mut self, now: Now, order: &LetGo) -> Result<String, Refusal> {
        let kind = order.kind;
        if !kind.has_rode() && order.rode.is_some() {
            return Err(Refusal::Misplaced {
                member: "rode",
                kind,
            });
        }
        if kind == Kind::SecondAnchor && order.radius.is_some() {
            return Err(Refusal::Misplaced {
                member: "radius",
                kind,
            });
        }
        if kind != Kind::Anchor && order.from_track {
            return Err(Refusal::Misplaced {
                member: "fromTrack",
                kind,
            });
        }
        check_length("radius", order.radius, 1.0, 2000.0, "1 m to 2000 m")?;
        if !kind.has_rode() && order.radius.is_none() {
            return Err(Refusal::NoRadius(kind));
        }
        check_length("depth", order.depth, 0.0, 200.0, "0 m to 200 m")?;
        let place = self.place(now, order)?;
        let depth = order
            .depth
            .or_else(|| self.instruments.water_depth(now.tick, &self.boat));
        if let Some(rode) = order.rode {
            self.check_rode(rode, depth)?;
        }
        if kind == Kind::SecondAnchor {
            return self.second_anchor(now, order, &place, depth);
        }
        self.mark = Some(Mark {
            position: place.position,
            doubt: place.doubt,
            lever: place.lever,
            let_go: now.utc,
            depth,
            rode: order.rode,
            max_radius: order.radius.filter(|_| kind == Kind::Anchor),
            wind: None,
            found: None,
        });
        self.manner = Manner {
            kind,
            radius: order.radius.filter(|_| kind != Kind::Anchor),
            ..Manner::default()
        };
        self.wind.restart();
        self.water.restart();
        self.pull.reset();
        self.lying.clear();
        self.restart_judgement(now);
        let said = self.words_for(order, &place, depth);
        let how = said.clone();
        self.enter(now, Phase::Setting, &how);
        Ok(said)
    }

    fn second_anchor(
        &mut self,
        now: Now,
        order: &LetGo,
        place: &Place,
        depth: Option<Metres>,
    ) -> Result<String, Refusal> {
        let first = self
            .mark
            .filter(|_| self.manner.kind.has_rode())
            .ok_or(Refusal::NoFirst)?;
        self.manner.kind = Kind::SecondAnchor;
        self.manner.second = Some(SecondAnchor {
            position: place.position,
            doubt: place.doubt,
            lever: place.lever,
            depth,
            rode: order.rode,
        });
        self.pull.reset();
        self.restart_judgement(now);
        let apart = first.position.distance_to(place.position);
        let said = format!(
            "second anchor let go at {}, {apart} from the first{}; {}",
            place.position,
            self.rode_words(order.rode),
            Kind::SecondAnchor.not_judged().unwrap_or_default(),
        );
        let how = said.clone();
        self.enter(now, Phase::Setting, &how);
        Ok(said)
    }

    fn place(&self, now: Now, order: &LetGo) -> Result<Place, Refusal> {
        let here = self.fresh_here(now.tick);
        if let Some(position) = order.position {
            if let Some(here) = here {
                check_near(here.roller, position)?;
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
            .lain(now.tick)
            .filter(|lain| *lain >= self.settings.unmarked_after);
        let estimate = lain.and_then(|_| self.lying.estimate(self.settings.longest_rode()));
        if order.from_track {
            let Some(lain) = lain else {
                let short = spoken(self.settings.unmarked_after);
                return Err(Refusal::NoTrack(format!(
                    "she has not lain still for {short}"
                )));
            };
            let estimate = estimate.ok_or_else(|| {
                Refusal::NoTrack(format!("in {} she has not swung enough", spoken(lain)))
            })?;
            return Ok(Place {
                position: estimate.position,
                doubt: estimate.doubt,
                lever: here.map_or(Metres::ZERO, |here| here.lever_doubt),
                remark: format!(
                    ", estimated from {} of track, good to {} (95 %), {} from the bow roller",
                    spoken(lain),
                    estimate.doubt * TWO_D_95,
                    estimate.radius
                ),
            });
        }
        let here = here.ok_or_else(|| Refusal::NoFix(self.fault_words(now.tick)))?;
        let made_fast = matches!(order.kind, Kind::ShoreLine | Kind::SternTo);
        let remark = match lain.filter(|_| order.kind == Kind::Anchor) {
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
        Ok(Place {
            position: if made_fast { here.centre } else { here.roller },
            doubt: here.fix.sigma,
            lever: here.lever_doubt,
            remark,
        })
    }

    fn words_for(&self, order: &LetGo, place: &Place, depth: Option<Metres>) -> String {
        let position = place.position;
        let berth = self.berth.map_or(String::new(), |berth| {
            format!(", {} from the berth", position.distance_to(berth))
        });
        let water = depth.map_or_else(
            || ", depth not known".to_owned(),
            |depth| format!(", in {depth} of water"),
        );
        let circle = order.radius.map_or(String::new(), |radius| {
            format!(", swinging circle of {radius} to her centre")
        });
        let not_judged = order
            .kind
            .not_judged()
            .map_or(String::new(), |words| format!("; {words}"));
        let remark = &place.remark;
        match order.kind {
            Kind::Anchor | Kind::SecondAnchor => {
                let rode = self.rode_words(order.rode);
                format!("anchor let go at {position}{berth}{rode}{water}{circle}{remark}")
            }
            Kind::Mooring => format!("moored at {position}{circle}{water}{not_judged}"),
            Kind::ShoreLine => {
                format!(
                    "made fast to the shore, her centre at {position}{circle}{water}{not_judged}"
                )
            }
            Kind::SternTo => {
                format!("made fast stern to, her centre at {position}{circle}{water}{not_judged}")
            }
        }
    }

    fn rode_words(&self, rode: Option<Metres>) -> String {
        rode.map_or_else(
            || {
                format!(
                    ", rode not said: all {} aboard is taken to be out until `rodeOut` is given",
                    self.settings.longest_rode()
                )
            },
            |rode| format!(", {rode} of rode to be veered"),
        )
    }
}

/// See the picture's figure of the same name.
const TWO_D_95: f64 = 2.448;
