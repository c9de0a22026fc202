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
//! *Judgement* — [`tackle`] rode, scope and reach, the plan of an anchorage; [`tide`] high and low
//! water reckoned from moon and sun; [`watch`] the watch itself; [`alert`] the alert desk.
//!
//! *Protocols* — [`signalk`] the session with the data server, without a socket; [`outbox`] what
//! is due to which phone, and when again; [`sentences`] alerts for displays that know no data
//! server.
//!
//! *Effects* — [`io`] clocks, sockets, tokens, service manager, control socket; [`journal`] what
//! survives a power cut; [`config`] what the operator wrote.
//!
//! *Programs* — [`daemon`] the loop that keeps the watch; [`replay`] a recording through the same
//! engine; [`rehearse`] a simulated night; [`measure`] thousands of them; [`plot`] how she lies as
//! a picture.
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
pub mod cli;
pub mod config;
pub mod daemon;
pub mod geodesy;
pub mod io;
pub mod journal;
pub mod measure;
pub mod observation;
pub mod outbox;
pub mod plot;
pub mod rehearse;
pub mod replay;
pub mod sentences;
pub mod signalk;
pub mod stats;
pub mod tackle;
pub mod tide;
pub mod time;
pub mod units;
pub mod watch;
