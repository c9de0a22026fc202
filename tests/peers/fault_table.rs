//! One table of the faults that the real process went through: what the crew saw of each, how long
//! recovery took once the fault was over, and what was lost. `tests/run faults -- --nocapture` prints
//! it when the last of the chosen tests ends. Each test measures its own cells.

#![allow(clippy::print_stderr, reason = "the table is the test's output")]

use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// The effect of one fault.
pub(crate) struct Row {
    pub(crate) fault: String,
    /// A sentence shown in the status, at a display, on a phone or in an answer.
    pub(crate) saw: String,
    /// Time since the end of the fault; `None` if it was not ended.
    pub(crate) recovered: Option<Duration>,
    pub(crate) lost: String,
}

/// The rows of one test, added to the others when it ends.
pub(crate) struct Table {
    rows: Vec<Row>,
}

impl Table {
    pub(crate) fn begin() -> Self {
        let thread = std::thread::current();
        let name = thread.name().unwrap_or_default();
        // With a single thread the tests have no names.
        assert!(
            name == "main" || FAULTS.contains(&name),
            "`{name}` is not listed"
        );
        Self { rows: Vec::new() }
    }

    pub(crate) fn row(
        &mut self,
        fault: impl Into<String>,
        saw: impl Into<String>,
        recovered: Option<Duration>,
        lost: impl Into<String>,
    ) {
        self.rows.push(Row {
            fault: fault.into(),
            saw: saw.into(),
            recovered,
            lost: lost.into(),
        });
    }
}

impl Drop for Table {
    fn drop(&mut self) {
        let mut all = ALL.lock().unwrap_or_else(PoisonError::into_inner);
        all.rows.append(&mut self.rows);
        all.ended += 1;
        let arguments: Vec<String> = std::env::args().skip(1).collect();
        if all.ended
            == FAULTS
                .iter()
                .filter(|test| is_chosen(test, &arguments))
                .count()
        {
            print(&mut all.rows);
        }
    }
}

struct All {
    rows: Vec<Row>,
    ended: usize,
}

static ALL: Mutex<All> = Mutex::new(All {
    rows: Vec::new(),
    ended: 0,
});

/// The tests whose rows make the table.
const FAULTS: [&str; 20] = [
    "peers::clock_faults::a_clock_a_year_back_a_day_ahead_or_in_1970_moves_no_mark_and_hides_no_drag",
    "peers::clock_faults::a_phone_link_that_is_gone_for_an_hour_brings_the_alarm_once_when_it_is_back",
    "peers::disk_faults::a_disk_that_fails_ends_no_watch_and_hides_no_alarm",
    "peers::disk_faults::a_read_only_card_ends_no_watch",
    "peers::disk_faults::a_token_that_cannot_be_read_ends_no_watch",
    "peers::faults::each_fault_means_what_it_should_and_none_holds_up_another",
    "peers::flood_faults::a_client_that_orders_without_end_fills_neither_log_nor_card_nor_descriptors",
    "peers::flood_faults::a_saturating_stream_holds_up_no_order",
    "peers::flood_faults::standard_error_that_nobody_reads_holds_up_no_order",
    "peers::frame_faults::a_monstrous_a_deeply_nested_and_a_garbled_frame_end_no_watch",
    "peers::frame_faults::ten_thousand_deltas_a_second_and_five_thousand_other_vessels_hide_no_drag",
    "peers::journal_faults::a_bit_that_flips_in_the_journal_changes_no_mark_unnoticed",
    "peers::journal_faults::a_journal_that_is_cut_or_of_another_version_is_told_and_is_left_as_it_is",
    "peers::kill_faults::kill_9_at_random_moments_under_load_loses_no_order_that_was_answered",
    "peers::link_faults::a_half_open_connection_and_a_server_that_reads_slowly_are_found_out",
    "peers::link_faults::a_network_that_is_unplugged_and_plugged_in_is_told_and_found_again",
    "peers::link_faults::a_server_that_restarts_every_three_seconds_is_told_and_the_watch_goes_on",
    "peers::link_faults::displays_and_terminals_that_do_not_read_hold_up_nobody",
    "peers::starving_faults::a_hanging_disk_a_clock_that_is_set_and_a_drag_at_once_are_told_in_time",
    "peers::starving_faults::a_watch_whose_outputs_do_not_leave_does_not_feed_the_watchdog",
];

/// Chooses as the test harness does, by its arguments.
fn is_chosen(test: &str, arguments: &[String]) -> bool {
    let mut named = None;
    let mut arguments = arguments.iter();
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--skip" => {
                if arguments
                    .next()
                    .is_some_and(|skipped| test.contains(skipped.as_str()))
                {
                    return false;
                }
            }
            "--test-threads" => drop(arguments.next()),
            option if option.starts_with('-') => {}
            filter => named = Some(named == Some(true) || test.contains(filter)),
        }
    }
    named.unwrap_or(true)
}

#[test]
fn the_table_is_printed_after_the_last_of_the_chosen_tests() {
    let chosen = |arguments: &[&str]| {
        let arguments: Vec<String> = arguments.iter().map(ToString::to_string).collect();
        FAULTS
            .iter()
            .filter(|test| is_chosen(test, &arguments))
            .count()
    };
    assert_eq!(chosen(&[]), FAULTS.len());
    assert_eq!(
        chosen(&["faults", "--nocapture", "--test-threads", "1"]),
        FAULTS.len()
    );
    assert_eq!(chosen(&["disk_faults", "--include-ignored"]), 3);
    assert_eq!(chosen(&["disk_faults", "flood_faults"]), 6);
    assert_eq!(chosen(&["--skip", "peers::"]), 0);
}

fn print(rows: &mut [Row]) {
    rows.sort_by(|a, b| a.fault.cmp(&b.fault));
    eprintln!("\n| fault | what the crew saw | recovered in | lost |\n|---|---|---|---|");
    for row in rows {
        let recovered = row.recovered.map_or("not mended".to_owned(), |time| {
            format!("{:.1} s", time.as_secs_f64())
        });
        eprintln!(
            "| {} | {} | {recovered} | {} |",
            row.fault, row.saw, row.lost
        );
    }
}

/// A duration in words.
pub(crate) fn timed<T>(work: impl FnOnce() -> T) -> (Duration, T) {
    let begun = Instant::now();
    let result = work();
    (begun.elapsed(), result)
}
