//! Does what is due: attempts, greetings, pings, heartbeats, and the judgement of the link.

use std::collections::VecDeque;
use std::time::Duration;

use super::super::access::Rights;
use super::super::wire::Wire;
use super::super::{paths, put};
use super::timers::Timer;
use super::{
    BEAT_EVERY, CONNECT_WITHIN, Connection, ECHO_WITHIN, FRAME_WITHIN, Output, PING_EVERY,
    PONG_WITHIN, PROBE_EVERY, Session, VALUES_EVERY,
};
use crate::alert::hazard::Hazard;
use crate::speech::faults::LinkFault;
use crate::time::{Now, Tick, Timestamp};
use crate::watch::messages::LinkState;

/// A connection on which the server has identified itself.
#[derive(Clone, Debug)]
pub(super) struct Greeted {
    pub(super) context: String,
    /// The server's name, for the log.
    pub(super) server: String,
    pub(super) up_since: Option<Tick>,
    rights: Option<Rights>,
    /// The last heartbeats sent on this connection, each with number and stamp.
    beats: VecDeque<(u64, String)>,
    /// Whether a heartbeat has come back lately.
    proven: bool,
    values_sent: Tick,
}

impl Greeted {
    pub(super) fn new(now: Tick, context: String, server: String) -> Self {
        Self {
            context,
            server,
            up_since: None,
            rights: None,
            beats: VecDeque::new(),
            proven: false,
            values_sent: now,
        }
    }

    /// Whether the server is known to drop what we send.
    fn is_barred(&self) -> bool {
        self.rights.as_ref().and_then(Rights::writing) == Some(false)
    }
}

impl Session {
    /// [`Session::poll_timeout`] is due.
    pub fn handle_timeout(&mut self, now: Now) {
        if self.gather.due().is_some_and(|due| due <= now.tick) {
            self.let_go_of_held();
        }
        if self.timers.is_expired(Timer::Attempt, now.tick) {
            if self.link.is_none() {
                let link = LinkState::Down(LinkFault::NotConnectedYet);
                self.link = Some(link.clone());
                self.outputs.push_back(Output::Link(link));
            }
            self.connection = Connection::Connecting;
            self.timers.stop(Timer::Attempt);
            self.timers.set(Timer::Connect, now.tick + CONNECT_WITHIN);
            self.outputs.push_back(Output::Connect);
        } else if let Some(fault) = self.given_up(now.tick) {
            self.hang_up(now, fault, None);
        } else {
            self.tend(now);
        }
        while let Some(id) = self.requests.overdue(now.tick) {
            self.outputs.push_back(Output::Transmit(put::answer(
                &id,
                504,
                "the watch did not answer within 50 s; ask for its state before trying again",
            )));
        }
        if self.context().is_some() {
            self.tend_notices(now);
        }
        if self.timers.is_expired(Timer::Draw, now.tick) {
            self.timers.stop(Timer::Draw);
            self.resources.forget();
        }
        self.draw();
    }

    /// When [`Session::handle_timeout`] is due.
    #[must_use]
    pub fn poll_timeout(&self) -> Option<Tick> {
        [
            self.timers.next_timeout(),
            self.gather.due(),
            self.requests.due(),
            self.notices.due().filter(|_| self.context().is_some()),
        ]
        .into_iter()
        .flatten()
        .min()
    }

    /// The shell found out our rights on the server.
    pub fn handle_rights(&mut self, now: Now, rights: Rights) {
        let Connection::Greeted(greeted) = &mut self.connection else {
            return;
        };
        self.timers.stop(Timer::Rights);
        if greeted.is_barred() && rights.writing() == Some(true) {
            // The rights belong to the token the connection was opened with.
            self.hang_up(now, LinkFault::Reconnecting, Some(Duration::from_secs(1)));
            return;
        }
        greeted.rights = Some(rights);
        if greeted.is_barred() {
            // A server that refuses us rights is expected to stay silent.
            self.timers.stop(Timer::Frame);
        } else {
            self.timers.start(Timer::Frame, now.tick + FRAME_WITHIN);
        }
        let nothing_back = !greeted.proven && !self.timers.is_running(Timer::Echo);
        if greeted.is_barred() || nothing_back {
            self.timers.set(Timer::Probe, now.tick + PROBE_EVERY);
        } else {
            self.timers.stop(Timer::Probe);
        }
        self.judge(now);
    }

    /// A frame arrived, so the server is alive.
    pub(super) fn heard(&mut self, now: Now) {
        self.timers.stop(Timer::Pong);
        if self.timers.is_running(Timer::Frame) {
            self.timers.set(Timer::Frame, now.tick + FRAME_WITHIN);
        }
    }

    pub(super) fn greeted_by(&mut self, now: Now, greeted: Greeted) {
        self.connection = Connection::Greeted(Box::new(greeted));
        self.timers.stop(Timer::Hello);
        self.timers.set(Timer::Frame, now.tick + FRAME_WITHIN);
        self.timers.set(Timer::Rights, now.tick + ECHO_WITHIN);
        self.timers.set(Timer::Echo, now.tick + ECHO_WITHIN);
    }

    pub(super) fn heartbeat(&mut self, now: Now) {
        self.beat += 1;
        let count = self.beat;
        let Connection::Greeted(greeted) = &mut self.connection else {
            return;
        };
        self.timers.set(Timer::Beat, now.tick + BEAT_EVERY);
        self.timers.stop(Timer::Values);
        greeted.values_sent = now.tick;
        let (context, utc, picture) = (&greeted.context, now.utc, &self.picture);
        let frame = if greeted.beats.is_empty() {
            self.publisher.introduction(context, utc, picture, count)
        } else {
            self.publisher.heartbeat(context, utc, picture, count)
        };
        greeted.beats.push_back((count, utc.to_string()));
        if greeted.beats.len() > BEATS_KEPT {
            greeted.beats.pop_front();
        }
        self.outputs.push_back(Output::Transmit(frame));
    }

    pub(super) fn beat_came_back(&mut self, now: Now, value: &Wire<'_>, stamp: Option<&str>) {
        let Connection::Greeted(greeted) = &mut self.connection else {
            return;
        };
        // A server may be configured to put its own, slightly later stamps on everything.
        let came = stamp.and_then(|stamp| stamp.parse::<Timestamp>().ok());
        let ours = greeted.beats.iter().any(|(count, sent)| {
            let near = sent
                .parse::<Timestamp>()
                .ok()
                .zip(came)
                .is_some_and(|(sent, came)| came.millis_since(sent).abs() <= STAMP_ROOM_MS);
            *value == Wire::Number(*count as f64) && near
        });
        if ours {
            let again = !std::mem::replace(&mut greeted.proven, true);
            self.timers.set(Timer::Echo, now.tick + ECHO_WITHIN);
            if !greeted.is_barred() {
                self.timers.stop(Timer::Probe);
            }
            if again {
                self.publish_again(now, self.notices.all_missing());
            }
            self.judge(now);
        }
    }

    pub(super) fn picture_changed(&mut self, now: Now, urgent: bool) {
        let Some(sent) = self.greeted().map(|greeted| greeted.values_sent) else {
            return;
        };
        if urgent || now.tick.since(sent) >= VALUES_EVERY {
            self.changed_values(now);
        } else {
            self.timers.start(Timer::Values, sent + VALUES_EVERY);
        }
    }

    fn changed_values(&mut self, now: Now) {
        let Connection::Greeted(greeted) = &mut self.connection else {
            return;
        };
        self.timers.stop(Timer::Values);
        let frame = self
            .publisher
            .changed(&greeted.context, now.utc, &self.picture);
        if let Some(frame) = frame {
            greeted.values_sent = now.tick;
            self.outputs.push_back(Output::Transmit(frame));
        }
    }

    /// Why the connection, or the attempt at one, has ended.
    fn given_up(&self, now: Tick) -> Option<LinkFault> {
        [
            (Timer::Connect, LinkFault::NoConnection),
            (Timer::Hello, LinkFault::NoHello),
            (Timer::Pong, LinkFault::NoPong),
            (Timer::Frame, LinkFault::Silent),
        ]
        .into_iter()
        .find(|(timer, _)| self.timers.is_expired(*timer, now))
        .map(|(_, fault)| fault)
    }

    /// Does what is due on an open socket.
    fn tend(&mut self, now: Now) {
        if self.timers.is_expired(Timer::Ping, now.tick) {
            self.timers.set(Timer::Ping, now.tick + PING_EVERY);
            self.timers.start(Timer::Pong, now.tick + PONG_WITHIN);
            self.outputs.push_back(Output::Ping);
        }
        let Connection::Greeted(greeted) = &mut self.connection else {
            return;
        };
        if self.timers.is_expired(Timer::Rights, now.tick) {
            self.timers.stop(Timer::Rights);
            greeted
                .rights
                .get_or_insert_with(|| Rights::Unknown("no answer about them within 25 s".into()));
        }
        if self.timers.is_expired(Timer::Echo, now.tick) {
            self.timers.stop(Timer::Echo);
            greeted.proven = false;
            // The token may have lost its permission meanwhile.
            self.timers.set(Timer::Probe, now.tick);
        }
        if self.timers.is_expired(Timer::Probe, now.tick) {
            self.timers.set(Timer::Probe, now.tick + PROBE_EVERY);
            self.outputs.push_back(Output::ProbeRights);
        }
        if self.timers.is_expired(Timer::Beat, now.tick) {
            self.heartbeat(now);
        } else if self.timers.is_expired(Timer::Values, now.tick) {
            self.changed_values(now);
        }
        self.judge(now);
    }

    /// Alerts that another client overwrote, and alerts that do not come back.
    fn tend_notices(&mut self, now: Now) {
        let mut again = self.notices.corrections(now.tick);
        let (look, unshown) = self.notices.missing_due(now.tick);
        again.extend(unshown);
        self.publish_again(now, again);
        self.outputs
            .extend(look.into_iter().map(Output::LookForNotice));
        self.judge(now);
    }

    /// The state of the link, from rights and echo. Until either is known it stays unchanged.
    pub(super) fn judge(&mut self, now: Now) {
        let label = self.label.to_string();
        let missing = self.notices.missing();
        let Connection::Greeted(greeted) = &mut self.connection else {
            return;
        };
        let mut words = None;
        let state = match &greeted.rights {
            Some(rights) if rights.writing() == Some(false) => LinkState::Impaired(match rights {
                Rights::ReadOnly => LinkFault::ReadOnly,
                Rights::Refused(said) => {
                    words = Some(format!("`{said}`"));
                    LinkFault::TokenRefused
                }
                _ => LinkFault::Unknown,
            }),
            Some(_) if greeted.proven => match missing {
                None => LinkState::Up,
                Some((hazard, count)) => LinkState::Impaired(not_shown(hazard, count)),
            },
            rights if !self.timers.is_running(Timer::Echo) => {
                let unknown = rights.as_ref().filter(|it| it.writing().is_none());
                words = unknown.map(ToString::to_string);
                LinkState::Impaired(LinkFault::NothingComesBack { label })
            }
            _ => return,
        };
        greeted.up_since = match state {
            LinkState::Up => greeted.up_since.or(Some(now.tick)),
            LinkState::Down(_) | LinkState::Impaired(_) => None,
        };
        self.set_link(now, state, words.as_deref());
    }
}

fn not_shown(hazard: Hazard, count: usize) -> LinkFault {
    LinkFault::AlarmsNotShown {
        path: format!("{}{hazard}", paths::NOTIFICATIONS),
        count: count.saturating_sub(1) as u64,
    }
}

/// A heartbeat of an earlier run with the same number differs by more, because a restart takes
/// longer.
const STAMP_ROOM_MS: i64 = 1000;
const BEATS_KEPT: usize = 4;
