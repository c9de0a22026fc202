//! Alerts for displays that do not use a data server: the sentences of IEC 61162-1, without a socket.
//!
//! [`frame`] has the common form of every sentence: delimiter, fields, checksum, at most 82 characters.
//! [`alerts`] has the sentences themselves: ALF, ALC, ARC and HBT are written, ACN is read. [`exchange`] is
//! the engine that decides what is sent when, and how a display's command is handled.
//!
//! # What is kept to
//! IEC 61162-1 and the conduct of IEC 62923-1, as far as the interface appendices of published equipment
//! manuals give them (the field tables of four makers agree on what is used here). The standards' own text
//! was not at hand; figures from memory are marked as such.
//!
//! # Deviations
//! The maker's mnemonic is left empty, because windrode has none registered; its identifiers are from the
//! range reserved for makers. The responsibility for an alert cannot be transferred: command `O` is
//! refused.

pub mod alerts;
pub mod exchange;
pub mod frame;
