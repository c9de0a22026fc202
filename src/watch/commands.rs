//! What the crew orders, and why an order is refused. A refusal changes nothing.

use crate::alert::hazard::Hazard;
use crate::geodesy::Position;
use crate::tackle::scope;
use crate::time::Now;
use crate::units::Metres;
use crate::watch::findings;
use crate::watch::keeper::Watchkeeper;
use crate::watch::manner::{Kind, Manner};
use crate::watch::words::{Command, Phase};

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
    NoRadius(Kind),
    /// A member that has no meaning for the kind.
    #[error("`{member}` has no meaning with `kind` = `{kind}`; leave it out")]
    Misplaced {
        /// Which.
        member: &'static str,
        /// With what.
        kind: Kind,
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
    NoPull(Kind),
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

impl Watchkeeper {
    /// Obeys, or says why not.
    pub(super) fn obey(&mut self, now: Now, command: &Command) -> Result<String, Refusal> {
        match command {
            Command::LetGo(let_go) => self
                .let_go(now, let_go)
                .map(|said| said + &self.phones_caution()),
            Command::RodeOut(rode) => self.veer(now, *rode),
            Command::Weigh => self.weigh(now),
            Command::Acknowledge(hazard) => self
                .desk
                .acknowledge(now, *hazard)
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
            Command::PullTest(pulls) => self.pull_test(now, *pulls),
        }
    }

    fn veer(&mut self, now: Now, rode: Metres) -> Result<String, Refusal> {
        let depth_now = self.instruments.water_depth(now.tick, &self.boat);
        let roller = self.boat.roller_height();
        let depth = self.mark.ok_or(Refusal::NotAtAnchor)?.depth.or(depth_now);
        self.check_rode(rode, depth)?;
        if !self.manner.kind.has_rode() {
            return Err(Refusal::Misplaced {
                member: "rodeOut",
                kind: self.manner.kind,
            });
        }
        let before = self.mark.and_then(|mark| mark.rode);
        if let Some(mark) = &mut self.mark {
            mark.rode = Some(rode);
        }
        if before != Some(rode) {
            self.desk.measure_anew(Hazard::Dragging);
            self.pull.measure_anew(now.tick);
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
        self.manner = Manner::default();
        self.berth = None;
        self.pull.reset();
        self.lying.clear();
        self.restart_judgement(now);
        // What concerns the anchor ends with it. A sensor that is still lost is told anew with the
        // next judgement, as the caution that it is under way.
        self.desk.dismiss(now, |hazard| hazard == Hazard::Watch);
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
        self.pull.measure_anew(now.tick);
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
            None if self.manner.radius.is_some() => {
                "swinging circle as given with `letGo` again".to_owned()
            }
            None => "swinging circle reckoned from the rode again".to_owned(),
        })
    }

    fn pull_test(&mut self, now: Now, pulls: bool) -> Result<String, Refusal> {
        if !self.phase.is_anchored() {
            return Err(Refusal::NotAtAnchor);
        }
        let kind = self.manner.kind;
        if !kind.can_drag() {
            return Err(Refusal::NoPull(kind));
        }
        if pulls {
            if self.pull.is_running() {
                self.pull.start(now.tick);
                return Ok("the pull test is going on".to_owned());
            }
            self.pull.start(now.tick);
            let said = "pull test begun: put the engine astern, raise it slowly to a working load and hold it there for a minute or more".to_owned();
            self.note(now, said.clone());
            return Ok(said);
        }
        let reading = self.pull.stop(now.tick).ok_or(Refusal::NoTest)?;
        let said = reading.sentence();
        self.note_with(now, said.clone(), findings::pull_evidence(&reading));
        Ok(said)
    }

    pub(super) fn check_rode(&self, rode: Metres, depth: Option<Metres>) -> Result<(), Refusal> {
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

fn alerts(hazard: Option<Hazard>, count: usize) -> String {
    match (hazard, count) {
        (Some(hazard), _) => format!("`{hazard}`"),
        (None, 1) => "one alert".to_owned(),
        (None, count) => format!("{count} alerts"),
    }
}

/// Who types a position in, or drags it on a chart, is good for about this.
pub(super) const GIVEN_DOUBT: Metres = Metres::of(5.0);
const SAME_PLACE: Metres = Metres::of(0.5);
const FARTHEST_MARK: Metres = Metres::of(500.0);
