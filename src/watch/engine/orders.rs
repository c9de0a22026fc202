//! The orders of the crew, and which part carries each of them out.

use super::Watchkeeper;
use crate::alert::desk::DeskRefusal;
use crate::alert::hazard::Hazard;
use crate::speech::Sentence;
use crate::speech::alerts::NoFix;
use crate::speech::answers::{Answer, Refusal};
use crate::time::Now;
use crate::watch::anchorage::{Change, Done};
use crate::watch::messages::{By, Command};
use crate::watch::round::Seen;

impl Watchkeeper {
    /// Carries out an order, or says why not.
    pub(super) fn obey(
        &mut self,
        now: Now,
        command: &Command,
        by: By,
    ) -> Result<Sentence, Refusal> {
        let seen = self.sensors.seen(now, &self.settings, &self.wind);
        let before = self.anchorage.lies(&seen);
        let said = self.carry_out(now, &seen, command)?;
        let after = self.anchorage.lies(&seen);
        self.health.changes_mut().take(
            now.tick,
            (command, by),
            (before.as_ref(), after.as_ref()),
            &self.settings,
        );
        Ok(said)
    }

    fn carry_out(&mut self, now: Now, seen: &Seen, command: &Command) -> Result<Sentence, Refusal> {
        let (anchorage, say) = (&mut self.anchorage, &mut self.announcer);
        let done = match command {
            Command::LetGo(order) => {
                let why_no_fix = match self.link.is_down() {
                    Some(why) => NoFix::NoServer { why: why.clone() },
                    None => self.sensors.fixes().why_none(now.tick),
                };
                let mut done = anchorage.let_go(seen, order, why_no_fix, say)?;
                if let Some(channels) = self.health.phones_doubtful() {
                    let said = done.said;
                    done.said = Answer::PhonesDoubtful { said, channels }.into();
                }
                done
            }
            Command::RodeOut(rode) => anchorage.veer(seen, *rode, say)?,
            Command::Snubber(order) => anchorage.snub(seen, *order, say)?,
            Command::Weigh => anchorage.weigh(seen, say)?,
            Command::CorrectMark(position) => anchorage.correct_mark(seen, *position, say)?,
            Command::MaxRadius(radius) => {
                return anchorage.order_radius(seen, *radius, say).map(Into::into);
            }
            Command::Berth(berth) => {
                let said = anchorage.set_berth(seen, *berth)?;
                self.charted.forget_berth();
                return Ok(said.into());
            }
            Command::Acknowledge(hazard) => {
                let count = say.desk_mut().acknowledge(now, *hazard);
                return count.map_err(refused).map(|count| match hazard {
                    Some(hazard) => Answer::HazardAcknowledged {
                        hazard: hazard.name(),
                    }
                    .into(),
                    None => Answer::Acknowledged {
                        count: count as u64,
                    }
                    .into(),
                });
            }
            Command::Silence(hazard) => {
                let count = say.desk_mut().silence(now, *hazard);
                return count.map_err(refused).map(|count| match hazard {
                    Some(hazard) => Answer::HazardSilenced {
                        hazard: hazard.name(),
                    }
                    .into(),
                    None => Answer::Silenced {
                        count: count as u64,
                    }
                    .into(),
                });
            }
            Command::PullTest(pulls) => return self.pull_test(now, *pulls),
        };
        Ok(self.take_over(now, done))
    }

    /// Informs the parts that measure from the anchor of what has changed.
    fn take_over(&mut self, now: Now, Done { said, change }: Done) -> Sentence {
        let tick = now.tick;
        if !matches!(change, Change::Nothing | Change::Weighed) {
            self.charted.tell_anew();
        }
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
                // Hazards that concern the anchor end with it. If a sensor is still lost, the next judgement
                // reports it again, as a caution because the boat is under way.
                self.announcer
                    .desk_mut()
                    .dismiss(now, |hazard| hazard == Hazard::Watch);
            }
        }
        said
    }

    fn pull_test(&mut self, now: Now, pulls: bool) -> Result<Sentence, Refusal> {
        let mooring = self.anchorage.mooring().ok_or(Refusal::NotAtAnchor)?;
        let kind = mooring.kind();
        if !kind.can_drag() {
            return Err(Refusal::NoPull { kind });
        }
        if pulls {
            let going_on = self.pull.is_running();
            self.pull.start(now.tick);
            if going_on {
                return Ok(Answer::PullRuns.into());
            }
            let said = Sentence::from(Answer::PullBegun);
            self.announcer.note(now, said.clone());
            return Ok(said);
        }
        let reading = self.pull.stop(now.tick).ok_or(Refusal::NoTest)?;
        let said = Sentence::verbatim(reading.sentence(&self.settings.wording));
        self.announcer
            .note_with(now, said.clone(), reading.evidence());
        Ok(said)
    }
}

fn refused(why: DeskRefusal) -> Refusal {
    match why {
        DeskRefusal::Nothing => Refusal::NoAlert,
        DeskRefusal::Already => Refusal::AcknowledgedAlready,
        DeskRefusal::Emergency => Refusal::Emergency,
    }
}
