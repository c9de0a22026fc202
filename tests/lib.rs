//! The integration tests: one binary, a module per feature.

#![allow(clippy::unwrap_used)]
#![allow(
    clippy::disallowed_methods,
    reason = "what runs with the real servers runs in real time"
)]

mod cli;
mod documents;
mod drag_memory;
mod golden;
mod instruments;
mod keystone;
mod layers;
mod measured;
mod nights;
mod own_soundings;
mod peers;
mod recorded;
mod recording;
mod reference;
mod schemas;
mod slow_reports;
mod stories;
mod tackle;
mod threats;
mod tide;

/// Runs async code in a test without a runtime.
fn block_on<T>(future: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap()
        .block_on(future)
}
