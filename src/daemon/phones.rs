//! The outbox and the channels it sends through.

use std::sync::Arc;
use std::time::Duration;

use futures_util::FutureExt as _;
use futures_util::future::{BoxFuture, WeakShared};
use tokio::sync::mpsc;
use tracing::{info, warn};
use uuid::Uuid;

use super::{Asker, Daemon, Drawing};
use crate::alert::hazard::AlertView;
use crate::config::Config;
use crate::io::push::{Channels, Heard, PendingPicture, Who};
use crate::outbox::Outbox;
use crate::outbox::reply::Act;
use crate::outbox::words::{Output, Parcel, SavedOutbox};
use crate::plot::PictureInput;
use crate::time::{Now, Timestamp};
use crate::watch::messages::{Command, Input};
use crate::watch::saved::Saved;

/// The latest picture, while a channel still waits for it: all channels that get the same alerts at the same
/// time get the same one.
#[derive(Debug, Default)]
struct Drawn(Option<(Timestamp, Vec<AlertView>, WeakPicture)>);

type WeakPicture = WeakShared<BoxFuture<'static, Option<Arc<[u8]>>>>;

impl Drawn {
    fn of(&self, input: &PictureInput) -> PendingPicture {
        let (time, alerts, picture) = self.0.as_ref()?;
        let fits = *alerts == input.alerts && input.time < time.plus(SAME_MOMENT);
        fits.then(|| picture.upgrade()).flatten()
    }
}

/// The channels to the phones.
pub(super) struct Phones {
    pub(super) outbox: Outbox,
    pub(super) channels: Channels,
    pub(super) heard: mpsc::Receiver<Heard>,
    pub(super) drawing: Drawing,
    drawn: Drawn,
}

impl Phones {
    /// Opens the channels and takes over what was `left` on disk: what people have been sent, and the key
    /// of their answers.
    pub(super) fn open(
        now: Now,
        config: &Config,
        client: Uuid,
        left: (SavedOutbox, [u8; 32]),
        saved: &Saved,
        tls: &Arc<rustls::ClientConfig>,
    ) -> Self {
        let (out, heard) = mpsc::channel(MOST_HEARD);
        let instance: String = client.simple().to_string().chars().take(8).collect();
        let who = Who {
            boat: &config.name,
            instance: &instance,
        };
        let channels = Channels::open(who, &config.push, tls, out);
        let (told, key) = left;
        let outbox = Outbox::new(
            now,
            config.outbox_settings(instance.clone(), key),
            told,
            &saved.alerts,
            saved.phase.is_anchored(),
        );
        Self {
            outbox,
            channels,
            heard,
            drawing: Drawing::default(),
            drawn: Drawn::default(),
        }
    }
}

impl Daemon {
    pub(super) fn handle_heard(&mut self, heard: Heard) {
        let now = self.clock.now();
        let outbox = &mut self.phones.outbox;
        match heard {
            Heard::Verdict {
                channel,
                ticket,
                verdict,
            } => outbox.handle_verdict(now, &channel, ticket, &verdict),
            Heard::Link { channel, verdict } => outbox.handle_link(now, &channel, &verdict),
            Heard::Reply(line) => outbox.handle_reply(now, &line),
        }
    }

    /// To the disk first, then to the phone.
    pub(super) async fn serve_phones(&mut self, output: Output) {
        let now = self.clock.now();
        match output {
            Output::Persist(saved) => self.keep_outbox(now, *saved).await,
            Output::Send {
                channel,
                ticket,
                parcel,
            } => {
                let picture = self.phone_picture(now, &parcel);
                self.phones.channels.send(&channel, ticket, parcel, picture);
            }
            Output::Act {
                channel,
                hazard,
                act,
            } => {
                let command = match act {
                    Act::Acknowledge => Command::Acknowledge(Some(hazard)),
                    Act::Silence => Command::Silence(Some(hazard)),
                };
                self.order(now, command, Asker::Phone(channel));
            }
            Output::Phones(phones) => self.pending.push_back(Input::Phones(phones)),
            Output::Spell(spell) => self.journal.keep_channels(vec![spell]),
            Output::Log { warn: true, text } => warn!("{text}"),
            Output::Log { warn: false, text } => info!("{text}"),
        }
    }

    /// The picture of how she lies, for a message about an alert; it is drawn in the background so that the
    /// watch does not wait.
    fn phone_picture(&mut self, now: Now, parcel: &Parcel) -> PendingPicture {
        let Parcel::Show(message) = parcel else {
            return None;
        };
        message.hazard?;
        let input = self.picture_input(now);
        if let Some(drawn) = self.phones.drawn.of(&input) {
            return Some(drawn);
        }
        let (time, alerts) = (input.time, input.alerts.clone());
        let drawing = self.phones.drawing.clone().png(input);
        let drawn = async move {
            let drawn = drawing.await.map(Arc::from);
            drawn
                .inspect_err(|why| warn!("a message goes out without its picture: {why}"))
                .ok()
        };
        let drawn = drawn.boxed().shared();
        self.phones.drawn = Drawn(drawn.downgrade().map(|picture| (time, alerts, picture)));
        Some(drawn)
    }

    /// The end of a watch at anchor is still reported, but not forever.
    pub(super) async fn last_words(&mut self) {
        let told = async {
            while self.phones.outbox.is_busy()
                && let Some(heard) = self.phones.heard.recv().await
            {
                self.handle_heard(heard);
                self.carry_out().await;
            }
        };
        if tokio::time::timeout(LAST_WORDS, told).await.is_err() {
            warn!("not every phone has taken that the watch was stopped");
        }
    }
}

/// Results of the channels that may queue before the channels have to wait.
const MOST_HEARD: usize = 64;
/// A boat does not move visibly within this time.
const SAME_MOMENT: Duration = Duration::from_secs(1);
const LAST_WORDS: Duration = Duration::from_secs(5);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::daemon::drawing::tests::input;

    #[test]
    fn channels_share_a_picture_of_the_same_moment_while_one_of_them_waits_for_it() {
        let input = |millis| PictureInput {
            time: Timestamp::EPOCH.plus(Duration::from_millis(millis)),
            ..input()
        };
        let png: Arc<[u8]> = Arc::from(*b"png");
        let picture = std::future::ready(Some(Arc::clone(&png))).boxed().shared();
        let weak = picture.downgrade();
        let drawn = Drawn(weak.map(|weak| (Timestamp::EPOCH, Vec::new(), weak)));
        let same = drawn.of(&input(900)).unwrap();
        assert_eq!(same.now_or_never().flatten(), Some(png));
        assert!(drawn.of(&input(1000)).is_none(), "she may have moved");
        drop(picture);
        assert!(drawn.of(&input(0)).is_none(), "nobody waits for it");
    }
}
