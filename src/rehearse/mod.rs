//! A bad night without leaving the berth: a simulated sea, boat, instruments and data server.
//!
//! The parts know nothing of the watch they serve, and share no formula with it: what one of
//! them gets wrong, the other cannot get wrong in the same way. Everything random comes from
//! [`dice`] with a seed that the caller gives, so a night can be had again to the last bit.
//!
//! [`sea`] wind, tide and bottom; [`rode`] the pull of a chain; [`boat`] the boat and her anchor;
//! [`sensors`] what the instruments make of it, [`receiver`] receivers of another kind, [`speech`] how they tell
//! it; [`fleet`] other boats and what their transponders say; [`server`] the sockets of a data server; [`night`] nights in acts,
//! [`library`] nights that are TOML files; [`drill`] and [`against`] such a night on the displays of the boat's own server.

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
