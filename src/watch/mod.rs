//! The watch: from what the sensors report to what the crew must know.
//!
//! [`engine`] takes every input and returns every output: [`messages`] defines both, [`state`] is what is
//! published, [`saved`] is what is on disk, [`settings`] holds the settings, [`commands`] checks the orders of the
//! crew. Every group of state has one owner:
//!
//! | owner | what it holds | hazards |
//! |---|---|---|
//! | [`sensors`] | the boat, [`fix`] (which position counts, how old it is), [`instruments`] with the windlass's [`counter`], [`freshness`] (new values told from repeats) | `position` |
//! | [`link`] | the data server: up, down, impaired, since when | `dataLink` |
//! | [`losses`] | instruments that fell silent, froze, or report impossible values | `instrument` |
//! | [`anchorage`] | how she is moored: anchors with a [`drag`] test each, phase, circle, berth | `dragging`, `swingExceeded` |
//! | [`wind`] | mean, gusts, turns | `windShift`, `windStrength` |
//! | [`water`] | tide and soundings, and which soundings are kept ([`soundings`]) | `shoaling` |
//! | [`scope`] | whether the wind is strong | `scopeShort` |
//! | [`health`] | windrode's own troubles, its [`power`], the phones, how somebody [`changed`] the watch | `watch` |
//! | [`neighbours`] | other vessels: where they lie and whether they come too close | `neighbour` |
//! | [`pull`], [`track`], [`approach`] | the pull test, where she has been, the way to the berth | – |
//! | [`charted`] | what the charts say about the planned circle ([`berth`]) and the one she lies in | `shoaling` |
//! | [`announcer`] | alert desk, events, what is published and when, what is saved | – |
//!
//! A [`round`] holds what all of them know at one moment; each [`judgement`] is made from it.
//!
//! All inputs and outputs are values, and the clock is an argument. In this example the anchor is let go and then
//! no data arrives: the watch reports that by itself.
//!
//! ```
//! use std::time::Duration;
//! use windrode::alert::hazard::Hazard;
//! use windrode::geodesy::Position;
//! use windrode::time::{Now, Tick};
//! use windrode::units::Metres;
//! use windrode::watch::engine::Watchkeeper;
//! use windrode::watch::settings::WatchSettings;
//! use windrode::watch::messages::{By, Command, Input, LetGo, LinkState, Outcome, Output};
//! use windrode::watch::saved::Saved;
//!
//! let mut now = Now::new(Tick::from_secs(0), "2026-06-01T20:00:00Z".parse()?);
//! let mut watch = Watchkeeper::new(now, WatchSettings::default(), Saved::default());
//! watch.handle(now, Input::Link(LinkState::Up));
//! let command = Command::LetGo(LetGo {
//!     rode: Metres::new(40.0),
//!     position: Some(Position::new(56.4217, -5.6128)?),
//!     ..LetGo::default()
//! });
//! watch.handle(now, Input::Command { id: 7, command, by: By::Terminal });
//! let mut done = false;
//! while let Some(output) = watch.poll_output() {
//!     done |= matches!(output, Output::Reply { id: 7, outcome: Outcome::Done(_) });
//! }
//! assert!(done);
//!
//! for _ in 0..120 {
//!     now = now.plus(Duration::from_secs(1));
//!     watch.handle_timeout(now);
//! }
//! assert!(watch.alerts().iter().any(|alert| alert.hazard == Hazard::DataLink));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod anchorage;
pub mod announcer;
pub mod approach;
pub mod berth;
pub mod changed;
pub mod charted;
pub mod commands;
pub mod counter;
pub mod drag;
pub mod engine;
pub mod fix;
pub mod freshness;
pub mod health;
pub mod instruments;
pub mod judgement;
pub mod link;
pub mod losses;
pub mod messages;
pub mod neighbours;
pub mod power;
pub mod pull;
pub mod round;
pub mod saved;
pub mod scope;
pub mod sensors;
pub mod settings;
pub mod soundings;
pub mod state;
pub mod track;
pub mod water;
pub mod wind;

#[cfg(test)]
mod tests;
