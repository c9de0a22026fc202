//! What is due: attempts, greetings, pings, heartbeats, and the judgement of the link.

use std::collections::VecDeque;
use std::fmt::Write as _;
use std::time::Duration;

use super::super::access::Rights;
use super::super::wire::Wire;
use super::super::{paths, put};
use super::{
    BEAT_EVERY, CONNECT_WITHIN, ECHO_WITHIN, FRAME_WITHIN, Output, PING_EVERY, PONG_WITHIN,
    PROBE_EVERY, Phase, Session, VALUES_EVERY,
};
use crate::alert::hazard::Hazard;
use crate::time::{Now, Tick, Timestamp};
use crate::watch::words::LinkState;

/// A connection on which the server has said who it is.
#[derive(Clone, Debug)]
pub(super) struct Greeted {
    pub(super) context: String,
    /// For the log.
    pub(super) server: String,
    pub(super) up_since: Option<Tick>,
    rights: Option<Rights>,
    /// Without an answer about our rights by then, the echo alone decides.
    rights_by: Option<Tick>,
    probe_at: Option<Tick>,
    beat_at: Tick,
    /// The last heartbeats sent here, number and stamp.
    beats: VecDeque<(u64, String)>,
    /// A heartbeat has come back lately.
    proven: bool,
    echo_by: Option<Tick>,
    values_sent: Tick,
    values_at: Option<Tick>,
}

impl Greeted {
    pub(super) fn new(now: Tick, context: String, server: String) -> Self {
        Self {
            context,
            server,
            up_since: None,
            rights: None,
            rights_by: Some(now + ECHO_WITHIN),
            probe_at: None,
            beat_at: now,
            beats: VecDeque::new(),
            proven: false,
            echo_by: Some(now + ECHO_WITHIN),
            values_sent: now,
            values_at: None,
        }
    }

    fn due(&self) -> Option<Tick> {
        [
            self.rights_by,
            self.probe_at,
            Some(self.beat_at),
            self.echo_by,
            self.values_at,
        ]
        .into_iter()
        .flatten()
        .min()
    }

    /// The server is known to drop what we send.
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
        match self.phase {
            Phase::Waiting(due) if due <= now.tick => {
                if self.link.is_none() {
                    self.link = Some(LinkState::Down(NOT_YET.to_owned()));
                    self.outputs
                        .push_back(Output::Link(LinkState::Down(NOT_YET.to_owned())));
                }
                self.phase = Phase::Connecting(now.tick + CONNECT_WITHIN);
                self.outputs.push_back(Output::Connect);
            }
            Phase::Connecting(limit) if limit <= now.tick => {
                self.hang_up(
                    now,
                    "no connection to the server: no answer within 30 s",
                    None,
                );
            }
            Phase::Waiting(_) | Phase::Connecting(_) => {}
            Phase::Open(_) => self.tend(now),
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
        self.draw(now);
    }

    /// When [`Session::handle_timeout`] is wanted.
    #[must_use]
    pub fn poll_timeout(&self) -> Option<Tick> {
        let phase = match &self.phase {
            Phase::Waiting(due) | Phase::Connecting(due) => Some(*due),
            Phase::Open(connection) => [
                Some(connection.ping_at),
                connection.pong_by,
                match &connection.greeted {
                    None => Some(connection.hello_by),
                    Some(greeted) if greeted.is_barred() => greeted.due(),
                    Some(greeted) => greeted
                        .due()
                        .into_iter()
                        .chain([connection.last_frame + FRAME_WITHIN])
                        .min(),
                },
            ]
            .into_iter()
            .flatten()
            .min(),
        };
        let draw = self.draw_again.filter(|_| self.link == Some(LinkState::Up));
        [
            phase,
            self.gather.due(),
            self.requests.due(),
            self.notices.due().filter(|_| self.context().is_some()),
            draw,
        ]
        .into_iter()
        .flatten()
        .min()
    }

    /// The shell learnt what the server lets us do.
    pub fn handle_rights(&mut self, now: Now, rights: Rights) {
        let Some(greeted) = self.greeted_mut() else {
            return;
        };
        greeted.rights_by = None;
        if greeted.is_barred() && rights.writing() == Some(true) {
            // The rights belong to the token the connection was opened with.
            self.hang_up(
                now,
                "connecting anew with the rights that were granted",
                Some(Duration::from_secs(1)),
            );
            return;
        }
        greeted.rights = Some(rights);
        greeted.probe_at = (greeted.is_barred() || !greeted.proven && greeted.echo_by.is_none())
            .then(|| now.tick + PROBE_EVERY);
        self.judge(now);
    }

    pub(super) fn heartbeat(&mut self, now: Now) {
        self.beat += 1;
        let count = self.beat;
        let Phase::Open(connection) = &mut self.phase else {
            return;
        };
        let Some(greeted) = &mut connection.greeted else {
            return;
        };
        greeted.beat_at = now.tick + BEAT_EVERY;
        greeted.values_sent = now.tick;
        greeted.values_at = None;
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
        let Some(greeted) = self.greeted_mut() else {
            return;
        };
        // A server may be told to put its own stamps on everything, a moment later.
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
            greeted.echo_by = Some(now.tick + ECHO_WITHIN);
            if !greeted.is_barred() {
                greeted.probe_at = None;
            }
            if again {
                self.publish_again(now, self.notices.all_missing());
            }
            self.judge(now);
        }
    }

    pub(super) fn picture_changed(&mut self, now: Now, urgent: bool) {
        let Some(greeted) = self.greeted_mut() else {
            return;
        };
        if urgent || now.tick.since(greeted.values_sent) >= VALUES_EVERY {
            self.changed_values(now);
        } else {
            greeted
                .values_at
                .get_or_insert(greeted.values_sent + VALUES_EVERY);
        }
    }

    fn changed_values(&mut self, now: Now) {
        let Phase::Open(connection) = &mut self.phase else {
            return;
        };
        let Some(greeted) = &mut connection.greeted else {
            return;
        };
        greeted.values_at = None;
        let frame = self
            .publisher
            .changed(&greeted.context, now.utc, &self.picture);
        if let Some(frame) = frame {
            greeted.values_sent = now.tick;
            self.outputs.push_back(Output::Transmit(frame));
        }
    }

    /// What is due on an open socket.
    fn tend(&mut self, now: Now) {
        let due = |moment: Option<Tick>| moment.is_some_and(|moment| moment <= now.tick);
        let Phase::Open(connection) = &mut self.phase else {
            return;
        };
        if connection.greeted.is_none() && due(Some(connection.hello_by)) {
            self.hang_up(
                now,
                "the server did not say hello within 10 s; is it a Signal K server?",
                None,
            );
            return;
        }
        if due(connection.pong_by) {
            self.hang_up(
                now,
                "the server gave no sign of life within 15 s of a ping",
                None,
            );
            return;
        }
        // Of a server that bars us, silence is to be expected.
        let silent = connection
            .greeted
            .as_ref()
            .is_some_and(|greeted| !greeted.is_barred())
            && due(Some(connection.last_frame + FRAME_WITHIN));
        if silent {
            self.hang_up(now, "the server has sent nothing for 70 s", None);
            return;
        }
        if due(Some(connection.ping_at)) {
            connection.ping_at = now.tick + PING_EVERY;
            connection.pong_by.get_or_insert(now.tick + PONG_WITHIN);
            self.outputs.push_back(Output::Ping);
        }
        let Some(greeted) = &mut connection.greeted else {
            return;
        };
        if due(greeted.rights_by) {
            greeted.rights_by = None;
            greeted
                .rights
                .get_or_insert_with(|| Rights::Unknown("no answer about them within 25 s".into()));
        }
        if due(greeted.echo_by) {
            greeted.echo_by = None;
            greeted.proven = false;
            // Perhaps the token has lost its permission meanwhile.
            greeted.probe_at = Some(now.tick);
        }
        if due(greeted.probe_at) {
            greeted.probe_at = Some(now.tick + PROBE_EVERY);
            self.outputs.push_back(Output::ProbeRights);
        }
        let (beat, values) = (due(Some(greeted.beat_at)), due(greeted.values_at));
        if beat {
            self.heartbeat(now);
        } else if values {
            self.changed_values(now);
        }
        self.judge(now);
    }

    /// Alerts that somebody overwrote, and those that do not come back.
    fn tend_notices(&mut self, now: Now) {
        let mut again = self.notices.corrections(now.tick);
        let (look, unshown) = self.notices.missing_due(now.tick);
        again.extend(unshown);
        self.publish_again(now, again);
        self.outputs
            .extend(look.into_iter().map(Output::LookForNotice));
        self.judge(now);
    }

    fn publish_again(&mut self, now: Now, hazards: Vec<Hazard>) {
        for hazard in hazards {
            let values = self.notices.publish(now, hazard);
            self.publish_notices(now, &values);
        }
    }

    /// How the link stands, from rights and echo. Before either is known it stays as it was.
    pub(super) fn judge(&mut self, now: Now) {
        let label = self.label.clone();
        let missing = self.notices.missing();
        let Some(greeted) = self.greeted_mut() else {
            return;
        };
        let state = match &greeted.rights {
            Some(rights) if rights.writing() == Some(false) => {
                LinkState::Impaired(rights.to_string())
            }
            Some(_) if greeted.proven => match missing {
                None => LinkState::Up,
                Some((hazard, count)) => LinkState::Impaired(not_shown(hazard, count)),
            },
            rights if greeted.echo_by.is_none() => {
                let mut words = format!(
                    "the server takes no values from us: what we send does not come back; see that our token has the permission `readwrite` and that no other client publishes as `{label}`"
                );
                if let Some(rights @ Rights::Unknown(_)) = rights {
                    let _ = write!(words, " ({rights})");
                }
                LinkState::Impaired(words)
            }
            _ => return,
        };
        greeted.up_since = match state {
            LinkState::Up => greeted.up_since.or(Some(now.tick)),
            LinkState::Down(_) | LinkState::Impaired(_) => None,
        };
        self.set_link(now, state);
    }
}

fn not_shown(hazard: Hazard, count: usize) -> String {
    let others = match count {
        0 | 1 => String::new(),
        _ => format!(" and {} more", count - 1),
    };
    format!(
        "the server shows no alarm of ours: `{}{hazard}`{others} did not come back within 25 s; see that our token may write and read `notifications.*` on the server",
        paths::NOTIFICATIONS
    )
}

/// An earlier run's beat of the same number lies farther back than a restart takes.
const STAMP_ROOM_MS: i64 = 1000;
const BEATS_KEPT: usize = 4;
const NOT_YET: &str = "not connected to the server yet";
