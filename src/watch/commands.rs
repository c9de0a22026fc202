//! What the crew orders, who carries it out, and why an order is refused. A refusal changes nothing.

use crate::alert::hazard::Hazard;
use crate::geodesy::Position;
use crate::tackle::scope;
use crate::time::{Now, Tick};
use crate::units::Metres;
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::anchorage::{Change, Done};
use crate::watch::engine::Watchkeeper;
use crate::watch::messages::Command;

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

impl Watchkeeper {
    /// Obeys, or says why not.
    pub(super) fn obey(&mut self, now: Now, command: &Command) -> Result<String, Refusal> {
        let seen = self.sensors.seen(now, &self.settings, &self.wind);
        let (anchorage, say) = (&mut self.anchorage, &mut self.announcer);
        let done = match command {
            Command::LetGo(order) => {
                let why_no_fix = match self.link.is_down() {
                    Some(why) => format!("no data server: {why}"),
                    None => self.sensors.fixes().why_none(now.tick),
                };
                let mut done = anchorage.let_go(&seen, order, why_no_fix, say)?;
                done.said += &self.health.phones_caution();
                done
            }
            Command::RodeOut(rode) => anchorage.veer(&seen, *rode, say)?,
            Command::Weigh => anchorage.weigh(&seen, say)?,
            Command::CorrectMark(position) => anchorage.correct_mark(&seen, *position, say)?,
            Command::MaxRadius(radius) => return anchorage.order_radius(*radius),
            Command::Berth(berth) => return Ok(anchorage.set_berth(&seen, *berth)),
            Command::Acknowledge(hazard) => {
                let count = say.desk_mut().acknowledge(now, *hazard);
                return count
                    .map(|count| format!("{} acknowledged", alerts(*hazard, count)))
                    .map_err(|refusal| Refusal::Desk(refusal.to_string()));
            }
            Command::Silence(hazard) => {
                let count = say.desk_mut().silence(now, *hazard);
                return count
                    .map(|count| format!("{} silenced for 30 s", alerts(*hazard, count)))
                    .map_err(|refusal| Refusal::Desk(refusal.to_string()));
            }
            Command::PullTest(pulls) => return self.pull_test(now, *pulls),
        };
        Ok(self.take_over(now, done))
    }

    /// Tells those who measure from the anchor what has changed.
    fn take_over(&mut self, now: Now, Done { said, change }: Done) -> String {
        let tick: Tick = now.tick;
        match change {
            Change::Nothing => {}
            Change::NewMark => {
                self.wind.restart();
                self.water.restart();
                self.pull.reset();
            }
            Change::AnotherAnchor => self.pull.reset(),
            Change::MarkMoved => self.pull.measure_anew(tick),
            Change::Rode => {
                self.announcer.desk_mut().measure_anew(Hazard::Dragging);
                self.pull.measure_anew(tick);
            }
            Change::Weighed => {
                self.pull.reset();
                // What concerns the anchor ends with it. A sensor that is still lost is told anew with
                // the next judgement, as the caution that it is under way.
                self.announcer
                    .desk_mut()
                    .dismiss(now, |hazard| hazard == Hazard::Watch);
            }
        }
        said
    }

    fn pull_test(&mut self, now: Now, pulls: bool) -> Result<String, Refusal> {
        let mooring = self.anchorage.mooring().ok_or(Refusal::NotAtAnchor)?;
        let kind = mooring.kind();
        if !kind.can_drag() {
            return Err(Refusal::NoPull(kind));
        }
        if pulls {
            let going_on = self.pull.is_running();
            self.pull.start(now.tick);
            if going_on {
                return Ok("the pull test is going on".to_owned());
            }
            let said = "pull test begun: put the engine astern, raise it slowly to a working load and hold it there for a minute or more".to_owned();
            self.announcer.note(now, said.clone());
            return Ok(said);
        }
        let reading = self.pull.stop(now.tick).ok_or(Refusal::NoTest)?;
        let said = reading.sentence();
        self.announcer
            .note_with(now, said.clone(), reading.evidence());
        Ok(said)
    }
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

fn alerts(hazard: Option<Hazard>, count: usize) -> String {
    match (hazard, count) {
        (Some(hazard), _) => format!("`{hazard}`"),
        (None, 1) => "one alert".to_owned(),
        (None, count) => format!("{count} alerts"),
    }
}

/// Who types a position in, or drags it on a chart, is good for about this.
pub(super) const GIVEN_DOUBT: Metres = Metres::of(5.0);
const FARTHEST_MARK: Metres = Metres::of(500.0);
