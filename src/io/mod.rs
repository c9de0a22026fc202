//! Effects: the only modules apart from `journal` and `config` that touch the machine.
//!
//! [`clock`] reads the clocks, [`socket`] and [`http`] talk to the data server over one [`tls`],
//! [`secrets`] reads and stores the tokens, [`systemd`] talks to the service manager, [`control`] to the
//! local command line, [`mdns`] finds data servers on the network, [`displays`] to displays without a data server and [`push`] to phones; [`log`] keeps
//! the log from holding up the watch.

pub mod clock;
pub mod control;
pub mod displays;
pub mod http;
pub mod log;
pub mod mdns;
pub mod push;
pub mod secrets;
pub mod socket;
pub mod systemd;
pub mod tls;
