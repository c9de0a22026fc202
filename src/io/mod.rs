//! Effects: the only modules besides `journal` and `config` that touch the machine.
//!
//! [`clock`] reads the clocks, [`secrets`] the tokens, [`systemd`] talks to the service manager,
//! [`control`] to the local command line.

pub mod clock;
pub mod control;
pub mod secrets;
pub mod systemd;
