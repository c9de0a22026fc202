//! The integration tests: one binary, a module per feature.

#![allow(clippy::unwrap_used, clippy::panic)]

mod golden;
mod keystone;
mod layers;
mod peers;
