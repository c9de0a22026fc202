//! What the crew orders, and why an order is refused. A refusal changes nothing.

use crate::alert::hazard::Hazard;
use crate::geodesy::Position;
use crate::tackle::scope;
use crate::time::Now;
use crate::units::Metres;
use crate::watch::keeper::Watchkeeper;
use crate::watch::words::{Command, LetGo, Mark, Phase};

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
    /// The position is not here.
    #[error(
        "`position` lies {0} from the boat; check latitude and longitude, west and south are negative"
    )]
    TooFar(Metres),
    /// The alert desk refuses.
    #[error("{0}")]
    Desk(String),
}

impl Watchkeeper {
    /// Obeys, or says why not.
    pub(super) fn obey(&mut self, now: Now, command: &Command) -> Result<String, Refusal> {
        match command {
            Command::LetGo(let_go) => self.let_go(now, let_go),
            Command::RodeOut(rode) => self.veer(now, *rode),
            Command::Weigh => self.weigh(now),
            Command::Acknowledge(hazard) => self
                .desk
                .acknowledge(*hazard)
                .map(|count| format!("{} acknowledged", alerts(*hazard, count)))
                .map_err(|refusal| Refusal::Desk(refusal.to_string())),
            Command::Silence(hazard) => self
                .desk
                .silence(now, *hazard)
                .map(|count| format!("{} silenced for 30 s", alerts(*hazard, count)))
                .map_err(|refusal| Refusal::Desk(refusal.to_string())),
            Command::Berth(berth) => Ok(self.set_berth(now, *berth)),
            Command::CorrectMark(position) => self.correct_mark(now, *position),
            Command::MaxRadius(radius) => self.order_radius(*radius),
        }
    }

    fn let_go(&mut self, now: Now, order: &LetGo) -> Result<String, Refusal> {
        let here = self.fresh_here(now.tick);
        let mut lever = Metres::ZERO;
        let (position, doubt) = match (order.position, here) {
            (Some(position), Some(here)) => {
                check_near(here.roller, position)?;
                (position, GIVEN_DOUBT)
            }
            (Some(position), None) => (position, GIVEN_DOUBT),
            (None, Some(here)) => {
                lever = here.lever_doubt;
                (here.roller, here.fix.sigma)
            }
            (None, None) => return Err(Refusal::NoFix(self.fault_words(now.tick))),
        };
        check_length("depth", order.depth, 0.0, 200.0, "0 m to 200 m")?;
        let depth = order
            .depth
            .or_else(|| self.instruments.water_depth(now.tick, &self.boat));
        if let Some(rode) = order.rode {
            self.check_rode(rode, depth)?;
        }
        self.mark = Some(Mark {
            position,
            doubt,
            lever,
            let_go: now.utc,
            depth,
            rode: order.rode,
            max_radius: None,
            wind: None,
            found: None,
        });
        self.wind.restart();
        self.water.restart();
        self.restart_judgement(now);
        let berth = self.berth.map_or(String::new(), |berth| {
            format!(", {} from the berth", position.distance_to(berth))
        });
        let rode = order.rode.map_or_else(
            || {
                format!(
                    ", rode not said: all {} aboard is taken to be out until `rodeOut` is given",
                    self.settings.longest_rode()
                )
            },
            |rode| format!(", {rode} of rode to be veered"),
        );
        let water = depth.map_or_else(
            || ", depth not known".to_owned(),
            |depth| format!(", in {depth} of water"),
        );
        let said = format!("anchor let go at {position}{berth}{rode}{water}");
        let how = said.clone();
        self.enter(now, Phase::Setting, &how);
        Ok(said)
    }

    fn veer(&mut self, now: Now, rode: Metres) -> Result<String, Refusal> {
        let depth_now = self.instruments.water_depth(now.tick, &self.boat);
        let roller = self.boat.roller_height();
        let depth = self.mark.ok_or(Refusal::NotAtAnchor)?.depth.or(depth_now);
        self.check_rode(rode, depth)?;
        let before = self.mark.and_then(|mark| mark.rode);
        if let Some(mark) = &mut self.mark {
            mark.rode = Some(rode);
        }
        if before != Some(rode) {
            self.desk.measure_anew(Hazard::Dragging);
        }
        if before.is_some_and(|before| rode < before) {
            // She is hauled in: until then she lies beyond the shorter reach, and holds.
            self.restart_judgement(now);
        }
        let scope = depth.and_then(|depth| scope::scope(rode, depth, roller));
        let said = match scope {
            Some(scope) => format!("{rode} of rode out, scope {scope:.1}:1"),
            None => format!("{rode} of rode out, scope not known without a depth"),
        };
        if before != Some(rode) {
            self.note(now, said.clone());
        }
        Ok(said)
    }

    fn weigh(&mut self, now: Now) -> Result<String, Refusal> {
        let mark = self.mark.ok_or(Refusal::NotAtAnchor)?;
        self.mark = None;
        self.berth = None;
        self.restart_judgement(now);
        // What concerns the anchor ends with it; lost sensors stay told, as cautions.
        self.desk.dismiss(|hazard| {
            matches!(hazard, Hazard::Position | Hazard::DataLink | Hazard::Watch)
        });
        let lay = crate::units::spoken(std::time::Duration::from_millis(
            now.utc.millis_since(mark.let_go).max(0).unsigned_abs(),
        ));
        let said = format!("anchor aweigh after {lay}; the watch has ended");
        let how = said.clone();
        self.enter(now, Phase::Aweigh, &how);
        Ok(said)
    }

    fn set_berth(&mut self, now: Now, berth: Option<Position>) -> String {
        let Some(position) = berth else {
            self.berth = None;
            return "no berth planned".to_owned();
        };
        self.berth = Some(position);
        match self.boat_now(now.tick) {
            Some(here) => format!(
                "berth planned at {position}, bearing {} at {}",
                here.roller.bearing_to(position),
                here.distance(position)
            ),
            None => format!("berth planned at {position}"),
        }
    }

    fn correct_mark(&mut self, now: Now, position: Position) -> Result<String, Refusal> {
        let mark = self.mark.as_mut().ok_or(Refusal::NotAtAnchor)?;
        check_near(mark.position, position)?;
        let by = mark.position.distance_to(position);
        if by < SAME_PLACE {
            return Ok(format!("the mark lies at {position} already"));
        }
        mark.position = position;
        mark.doubt = GIVEN_DOUBT;
        mark.lever = Metres::ZERO;
        mark.found = None;
        self.restart_judgement(now);
        let said = format!("mark corrected by {by} to {position}");
        self.note(now, said.clone());
        Ok(said)
    }

    fn order_radius(&mut self, radius: Option<Metres>) -> Result<String, Refusal> {
        check_length("maxRadius", radius, 1.0, 2000.0, "1 m to 2000 m")?;
        let mark = self.mark.as_mut().ok_or(Refusal::NotAtAnchor)?;
        mark.max_radius = radius;
        Ok(match radius {
            Some(radius) => format!("swinging circle of {radius} to the boat's centre"),
            None => "swinging circle reckoned from the rode again".to_owned(),
        })
    }

    fn check_rode(&self, rode: Metres, depth: Option<Metres>) -> Result<(), Refusal> {
        check_length("rode", Some(rode), 1.0, 1000.0, "1 m to 1000 m")?;
        let roller = self.boat.roller_height();
        match depth {
            Some(depth) if rode < scope::height(depth, roller) => Err(Refusal::RodeTooShort {
                rode,
                depth,
                roller,
            }),
            _ => Ok(()),
        }
    }
}

fn check_length(
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

fn check_near(here: Position, there: Position) -> Result<(), Refusal> {
    let distance = here.distance_to(there);
    if distance > FARTHEST_MARK {
        Err(Refusal::TooFar(distance))
    } else {
        Ok(())
    }
}

fn alerts(hazard: Option<Hazard>, count: usize) -> String {
    match (hazard, count) {
        (Some(hazard), _) => format!("`{hazard}`"),
        (None, 1) => "one alert".to_owned(),
        (None, count) => format!("{count} alerts"),
    }
}

/// Who types a position in, or drags it on a chart, is good for about this.
const GIVEN_DOUBT: Metres = Metres::of(5.0);
const SAME_PLACE: Metres = Metres::of(0.5);
const FARTHEST_MARK: Metres = Metres::of(500.0);
