//! The watch: from what the sensors said to what the crew must know.
//!
//! [`words`] what goes in and comes out; [`settings`] its knobs; [`freshness`] news told from
//! repeats; [`intake`] fixes told from what only looks like one; [`instruments`] heading, true
//! wind, depth of water; [`ground`] reach and swinging circle; [`drag`] whether the anchor moves;
//! [`wind`] whether the wind has gone round; [`water`] tide, scope and keel to come; [`counter`] the
//! windlass' counter; [`findings`] hazards in words; [`commands`] what the
//! crew orders; [`manner`] what she lies to; [`pull`] the pull test; [`power`] what the watch itself lives on; [`lying`] a boat that lies
//! still with nothing marked; [`track`] where she has been; [`keeper`] the engine that holds it
//! all together; [`neighbours`] other vessels.
//!
//! Everything goes in and comes out by values, and the clock is an argument. Here the anchor is let go and then no fix
//! comes: the watch says so by itself.
//!
//! ```
//! use std::time::Duration;
//! use windrode::alert::hazard::Hazard;
//! use windrode::geodesy::Position;
//! use windrode::time::{Now, Tick};
//! use windrode::units::Metres;
//! use windrode::watch::keeper::Watchkeeper;
//! use windrode::watch::settings::WatchSettings;
//! use windrode::watch::words::{Command, Input, LetGo, LinkState, Outcome, Output, Saved};
//!
//! let mut now = Now::new(Tick::from_secs(0), "2026-06-01T20:00:00Z".parse()?);
//! let mut watch = Watchkeeper::new(now, WatchSettings::default(), Saved::default(), None);
//! watch.handle(now, Input::Link(LinkState::Up));
//! let command = Command::LetGo(LetGo {
//!     rode: Metres::new(40.0),
//!     position: Some(Position::new(56.4217, -5.6128)?),
//!     ..LetGo::default()
//! });
//! watch.handle(now, Input::Command { id: 7, command });
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
//! assert!(watch.alerts().iter().any(|alert| alert.hazard == Hazard::Position));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod commands;
pub mod counter;
pub mod drag;
pub mod findings;
pub mod freshness;
pub mod ground;
pub mod instruments;
pub mod intake;
pub mod keeper;
mod letting_go;
pub mod lying;
pub mod manner;
pub mod neighbours;
mod picture;
pub mod power;
pub mod pull;
pub mod settings;
pub mod track;
pub mod water;
pub mod wind;
pub mod words;
