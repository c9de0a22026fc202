//! Answers from phones: which ones are used, and what is reported about the others.

use std::time::Duration;

use crate::alert::hazard::{AlertState, Hazard};
use crate::outbox::Outbox;
use crate::outbox::reply::{Act, Genuine, ReplyFault};
use crate::outbox::words::{Output, Used};
use crate::time::Now;

impl Outbox {
    /// An answer arrived at the place where we look for answers.
    pub fn handle_reply(&mut self, now: Now, line: &str) {
        match self.judge_reply(line) {
            Ok((genuine, hazard)) => {
                self.used.push_back(Used {
                    id: genuine.id,
                    raise: genuine.raise,
                    act: genuine.act,
                    channel: genuine.channel.clone(),
                });
                while self.used.len() > MOST_USED {
                    self.used.pop_front();
                }
                self.persist();
                self.outputs.push_back(Output::Act {
                    channel: genuine.channel,
                    hazard,
                    act: genuine.act,
                });
            }
            Err(ReplyFault::Used) if self.is_recalled(line) => {}
            Err(fault) => self.note_fault(now, fault),
        }
    }

    /// Whether it was used before the restart and is fetched again only because of the restart.
    /// True once for each answer.
    fn is_recalled(&mut self, line: &str) -> bool {
        let Ok(genuine) = self.mint.read(line) else {
            return false;
        };
        let place = self.recalled.iter().position(|used| is_of(used, &genuine));
        place.map(|place| self.recalled.remove(place)).is_some()
    }

    fn judge_reply(&self, line: &str) -> Result<(Genuine, Hazard), ReplyFault> {
        let genuine = self.mint.read(line)?;
        if self.used.iter().any(|used| is_of(used, &genuine)) {
            return Err(ReplyFault::Used);
        }
        let lane = self.lanes.iter().find(|l| l.route.name == genuine.channel);
        let view = lane
            .and_then(|lane| lane.items.iter().find(|(_, item)| item.id == genuine.id))
            .and_then(|(hazard, _)| self.alerts.get(hazard))
            .filter(|view| view.raise == genuine.raise)
            .ok_or(ReplyFault::Late)?;
        match (genuine.act, view.state) {
            (
                Act::Acknowledge,
                AlertState::ActiveUnacknowledged
                | AlertState::ActiveSilenced
                | AlertState::RectifiedUnacknowledged,
            )
            | (Act::Silence, AlertState::ActiveUnacknowledged) => Ok((genuine, view.hazard)),
            _ => Err(ReplyFault::Answered),
        }
    }

    /// Each reason is reported at once, and then at most every ten minutes, with a count.
    fn note_fault(&mut self, now: Now, fault: ReplyFault) {
        let more = match self.faults.get_mut(&fault) {
            Some((told, untold)) if now.tick.since(*told) < FAULT_EVERY => {
                *untold = untold.saturating_add(1);
                return;
            }
            Some((_, untold)) => *untold,
            None => 0,
        };
        self.faults.insert(fault, (now.tick, 0));
        let more = match more {
            0 => String::new(),
            more => format!(" (and {more} more like it before)"),
        };
        self.outputs.push_back(Output::Log {
            warn: matches!(fault, ReplyFault::Forged),
            text: format!("an answer from a phone was not taken: {fault}{more}"),
        });
    }
}

fn is_of(used: &Used, answer: &Genuine) -> bool {
    used.id == answer.id
        && used.raise == answer.raise
        && used.act == answer.act
        && used.channel == answer.channel
}

const FAULT_EVERY: Duration = Duration::from_mins(10);
/// The number of used answers that are remembered: far more than the alerts that can stand at once.
const MOST_USED: usize = 64;

#[cfg(test)]
mod tests;
