//! Alerts for displays that know no data server: the sentences of IEC 61162-1, without a socket.
//!
//! [`frame`] what every sentence has: delimiter, fields, checksum, at most 82 characters.
//! [`alerts`] the sentences themselves: ALF, ALC, ARC and HBT written, ACN read. [`exchange`] the
//! engine that decides which is said when, and what becomes of a display's command.
//!
//! # What is kept to
//! IEC 61162-1 and the conduct of IEC 62923-1, as far as the interface appendices of published
//! equipment manuals give them (the field tables of four makers agree on what is used here). The
//! standards' own text was not at hand; where a figure is from memory that is said beside it.
//!
//! # Deviations
//! The maker's mnemonic is left empty, for windrode has none that is registered; its identifiers
//! are of the range that is left to makers. The responsibility for an alert cannot be handed over:
//! command `O` is refused.

pub mod alerts;
pub mod exchange;
pub mod frame;
