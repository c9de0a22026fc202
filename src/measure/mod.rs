//! How many metres has the anchor moved when the alarm comes, and how often is there a false one?
//!
//! Thousands of nights: the rehearsal's sea, boat and instruments ([`crate::rehearse`]), which share no formula with
//! the watch, run against the real watch and its rivals. [`plan`] describes a night, [`deal`] what is drawn as well (a
//! second sea, real receivers' [`noise`]); [`night`] holds one; [`rivals`] are what the watch is compared with;
//! [`tally`] has the figures and [`classes`] the same by class of night; [`shares`] checks the published probability;
//! [`compare`] shows what instruments are worth; [`picture`] draws the figures.
//!
//! The nights are shared out among threads and put back into their order, so that the same seed
//! gives the same figures on one thread and on many (test
//! `the_figures_do_not_depend_on_the_number_of_threads`).

pub mod classes;
pub mod compare;
pub mod deal;
pub mod night;
pub mod noise;
pub mod picture;
pub mod plan;
pub mod rivals;
pub mod shares;
pub mod tally;

use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc;
use std::thread;
use std::time::Duration;

use deal::Deal;
use night::Trial;
use plan::Plan;
use tally::Report;

/// How many nights, and which.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasureOptions {
    /// How many.
    pub nights: u64,
    /// The seed of the first; the others follow.
    pub seed: u64,
    /// How long each is.
    pub length: Duration,
    /// On how many threads.
    pub threads: NonZeroUsize,
    /// What is drawn apart from the nights of the seeds.
    pub deal: Deal,
}

/// Holds the nights; `progress` receives the number done.
pub fn trials(options: &MeasureOptions, mut progress: impl FnMut(u64)) -> Vec<Trial> {
    let next = AtomicU64::new(0);
    let (sender, receiver) = mpsc::channel();
    let mut trials = Vec::new();
    thread::scope(|scope| {
        for _ in 0..options.threads.get() {
            let (sender, next) = (sender.clone(), &next);
            scope.spawn(move || {
                loop {
                    let number = next.fetch_add(1, Ordering::Relaxed);
                    if number >= options.nights {
                        return;
                    }
                    let seed = options.seed.wrapping_add(number);
                    let plan = Plan::dealt(seed, options.length, &options.deal);
                    if sender.send((number, night::night(plan))).is_err() {
                        return;
                    }
                }
            });
        }
        drop(sender);
        while let Ok(done) = receiver.recv() {
            trials.push(done);
            progress(trials.len() as u64);
        }
    });
    trials.sort_by_key(|(number, _)| *number);
    trials.into_iter().map(|(_, trial)| trial).collect()
}

/// Holds the nights and sums them up.
pub fn measure(options: &MeasureOptions, progress: impl FnMut(u64)) -> Report {
    let trials = trials(options, progress);
    tally::tally(options.seed, options.length.as_secs_f64() / 3600.0, &trials)
}

#[cfg(test)]
mod tests;
