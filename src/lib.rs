//! windrode: an anchor watch for cruising boats, beside the boat's Signal K server.
//!
//! # Layers
//! A module imports its own layer and those before it in this list, never a later one
//! (`tests/layers.rs` reads this page and checks it).
//!
//! *Words* — [`units`] quantities with unit and reference; [`time`] monotonic ticks and UTC
//! stamps; [`geodesy`] positions and the plane about them; [`stats`] means and scatter.
//!
//! *Facts* — [`observation`] what the sensors said; [`boat`] what is true of this boat.
//!
//! *Judgement* — [`tackle`] rode, scope and reach, the plan of an anchorage; [`tide`] high and low
//! water calculated from moon and sun; [`chart`] what charts say and room to swing; [`room`] the way
//! to the berth and the search for one; [`watch`] the watch itself; [`alert`] the alert desk;
//! [`speech`] every sentence that a crew can read or hear, by language.
//!
//! *Protocols* — [`signalk`] the session with the data server, without a socket; [`outbox`] what
//! is due to which phone, and when again; [`sentences`] alerts for displays without Signal K.
//!
//! The modules below are behind the feature `machine`, which is on by default. Without it, the crate
//! contains nothing that could open a file or a socket or read a clock.
//!
//! *Effects* — [`io`] clocks, sockets, tokens, service manager, control socket; [`journal`] what
//! survives a power cut; [`recording`] what was read and said, in files for a replay; [`chartroom`] the
//! charts kept on disk; [`config`] what the operator wrote.
//!
//! *Programs* — [`daemon`] the loop that keeps the watch; [`replay`] a recording through the same
//! engine; [`rehearse`] a simulated night; [`measure`] thousands of them; [`plot`] how she lies as
//! a picture; [`report`] the morning after; [`fuzz`] an entry for each kind of hostile bytes.
//!
//! *Face* — [`cli`] the command line.

// Tests fail by panicking and compare exact results.
#![cfg_attr(
    test,
    allow(
        clippy::unwrap_used,
        clippy::expect_used,
        clippy::panic,
        clippy::float_cmp,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss
    )
)]

pub mod alert;
pub mod boat;
pub mod chart;
#[cfg(feature = "machine")]
pub mod chartroom;
#[cfg(feature = "machine")]
pub mod cli;
#[cfg(feature = "machine")]
pub mod config;
#[cfg(feature = "machine")]
pub mod daemon;
#[cfg(feature = "machine")]
pub mod fuzz;
pub mod geodesy;
#[cfg(feature = "machine")]
pub mod io;
#[cfg(feature = "machine")]
pub mod journal;
#[cfg(feature = "machine")]
pub mod measure;
pub mod observation;
pub mod outbox;
#[cfg(feature = "machine")]
pub mod plot;
#[cfg(feature = "machine")]
pub mod recording;
#[cfg(feature = "machine")]
pub mod rehearse;
#[cfg(feature = "machine")]
pub mod replay;
#[cfg(feature = "machine")]
pub mod report;
pub mod room;
pub mod sentences;
pub mod signalk;
pub mod speech;
pub mod stats;
pub mod tackle;
pub mod tide;
pub mod time;
pub mod units;
pub mod watch;
