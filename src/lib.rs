//! windrode: an anchor watch for cruising boats, beside the boat's Signal K server.
//!
//! # Layers
//! A module imports its own layer and those above it in this list, never below; a test reads the
//! `use` lines and checks it.
//!
//! *Words* — [`units`] quantities with unit and reference; [`time`] monotonic ticks and UTC
//! stamps; [`geodesy`] positions and the plane about them; [`stats`] means and scatter.
//!
//! *Facts* — [`observation`] what the sensors said; [`boat`] what is true of this boat.
//!
//! *Judgement* — [`alert`] the alert desk; [`watch`] the watch itself.
//!
//! *Protocols* — [`signalk`] the boat's data server, without a socket.

pub mod alert;
pub mod boat;
pub mod geodesy;
pub mod observation;
pub mod signalk;
pub mod stats;
pub mod time;
pub mod units;
pub mod watch;
