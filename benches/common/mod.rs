//! What several benches use: the kernel's figures for a process, and the command line.

#![allow(
    dead_code,
    clippy::panic,
    reason = "each bench uses a part; a wrong option ends it"
)]

use std::fs;

/// What a process has used so far.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Used {
    /// Seconds of a core.
    pub(crate) cpu: f64,
    /// Number of wake-ups.
    pub(crate) wakes: u64,
    /// Bytes written to the disk.
    pub(crate) written: u64,
}

impl Used {
    /// The present threads of a process.
    pub(crate) fn of(pid: u32) -> Self {
        let threads = fs::read_dir(format!("/proc/{pid}/task"));
        let mut used = Self {
            cpu: cpu(pid),
            wakes: 0,
            written: number(&read(pid, "io"), "write_bytes:"),
        };
        for thread in threads.into_iter().flatten().flatten() {
            let status = fs::read_to_string(thread.path().join("status")).unwrap_or_default();
            used.wakes += number(&status, "voluntary_ctxt_switches:");
        }
        used
    }

    /// What was used since an earlier reading.
    pub(crate) fn since(self, earlier: Self) -> Self {
        Self {
            cpu: self.cpu - earlier.cpu,
            wakes: self.wakes.saturating_sub(earlier.wakes),
            written: self.written.saturating_sub(earlier.written),
        }
    }
}

/// Resident memory now, in MB of 10^6 bytes.
pub(crate) fn resident(pid: u32) -> f64 {
    number(&read(pid, "status"), "VmRSS:") as f64 * 1024.0 / 1e6
}

/// User and system time, of threads that have ended too: fields 14 and 15 of `stat`, in hundredths (proc(5)).
fn cpu(pid: u32) -> f64 {
    let stat = read(pid, "stat");
    // The second field is a name in brackets that may contain anything.
    let fields = stat.rsplit_once(')').map_or("", |(_, rest)| rest);
    let ticks: u64 = fields
        .split_whitespace()
        .skip(11)
        .take(2)
        .filter_map(|field| field.parse::<u64>().ok())
        .sum();
    ticks as f64 / 100.0
}

/// The most memory that this process has had so far, in MB of 10^6 bytes.
pub(crate) fn peak() -> f64 {
    number(&read(std::process::id(), "status"), "VmHWM:") as f64 * 1024.0 / 1e6
}

/// The number after an option of the command line.
pub(crate) fn option(name: &str, default: u64) -> u64 {
    let mut arguments = std::env::args().skip_while(|argument| argument != name);
    arguments.nth(1).map_or(default, |number| {
        number
            .parse()
            .unwrap_or_else(|_| panic!("`{number}` is not a number"))
    })
}

fn read(pid: u32, what: &str) -> String {
    fs::read_to_string(format!("/proc/{pid}/{what}")).unwrap_or_default()
}

fn number(text: &str, name: &str) -> u64 {
    text.lines()
        .find_map(|line| line.strip_prefix(name))
        .and_then(|rest| rest.split_whitespace().next()?.parse().ok())
        .unwrap_or(0)
}
