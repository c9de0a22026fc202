//! A bad night without leaving the berth: a simulated sea, boat, instruments and data server.
//!
//! The parts know nothing of the watch they serve and share no formula with it, so an error in one
//! is not repeated in the other. Everything random comes from [`dice`] with a seed from the caller,
//! so a night can be repeated to the last bit.
//!
//! [`sea`] has wind, tide and bottom; [`rode`] the pull of a chain; [`boat`] the boat and her anchor; [`sensors`] the
//! instruments, [`receiver`] receivers of another kind, [`speech`] their messages; [`fleet`] other boats and their
//! transponders; [`server`] the sockets of a data server; [`night`] nights written as acts, [`library`] nights that are
//! TOML files; [`drill`] and [`against`] show such a night on the displays of the boat's own server.

pub mod against;
pub mod boat;
pub mod dice;
pub mod drill;
pub mod fleet;
pub mod library;
pub mod night;
pub mod receiver;
pub mod rode;
pub mod sea;
pub mod sensors;
pub mod server;
pub mod speech;
pub mod world;
