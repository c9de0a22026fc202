//! The integration tests: one binary, a module per feature.

#![allow(clippy::unwrap_used, clippy::panic)]

mod layers;
mod peers;
