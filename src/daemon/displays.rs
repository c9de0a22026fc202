//! The displays that do not use a data server: their engine together with their sockets.

use std::future::pending;

use tracing::info;

use super::{Asker, Daemon};
use crate::config::Config;
use crate::io::displays::{DisplayAddresses, Displays, Heard};
use crate::sentences::exchange::{Exchange, Output};
use crate::time::{Now, Tick};

/// Both, if the configuration names an address.
pub(super) struct OlderDisplays {
    pub(super) exchange: Exchange,
    sockets: Displays,
}

impl OlderDisplays {
    pub(super) fn open(config: &Config, now: Now) -> Option<Self> {
        let sockets = Displays::open(DisplayAddresses {
            listen: config.displays.listen,
            send: config.displays.send,
        })?;
        let exchange = Exchange::new(now);
        Some(Self { exchange, sockets })
    }

    pub(super) fn poll_timeout(displays: Option<&Self>) -> Option<Tick> {
        displays.and_then(|displays| displays.exchange.poll_timeout())
    }

    /// Lets the last sentences go out.
    pub(super) async fn flush(displays: Option<&Self>) {
        if let Some(displays) = displays {
            displays.sockets.flush().await;
        }
    }

    /// Waits forever if there are no displays.
    pub(super) async fn next(displays: Option<&mut Self>) -> Heard {
        match displays {
            Some(displays) => displays.sockets.next().await,
            None => pending().await,
        }
    }
}

impl Daemon {
    pub(super) fn handle_display(&mut self, heard: &Heard) {
        let now = self.clock.now();
        if let Some(displays) = &mut self.displays {
            match heard {
                Heard::Joined => displays.exchange.handle_joined(now),
                Heard::Line(line) => displays.exchange.handle_line(now, line),
            }
        }
    }

    pub(super) fn handle_displays_due(&mut self, now: Now) {
        if let Some(displays) = &mut self.displays
            && displays
                .exchange
                .poll_timeout()
                .is_some_and(|due| due <= now.tick)
        {
            displays.exchange.handle_timeout(now);
        }
    }

    /// Carries out one pending action; returns whether there was one.
    pub(super) fn serve_displays(&mut self) -> bool {
        let Some(displays) = &mut self.displays else {
            return false;
        };
        match displays.exchange.poll_output() {
            None => return false,
            Some(Output::Send(line)) => displays.sockets.send(line),
            Some(Output::Order { id, command }) => {
                let now = self.clock.now();
                self.order(now, command, Asker::Display(id));
            }
            Some(Output::Say(text)) => info!("{text}"),
        }
        true
    }
}
