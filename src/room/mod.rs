//! The room around her: the way to the berth, and where a berth can be.
//!
//! [`approach`] is the way to the chosen berth; [`search`] finds berths on the chart.

pub mod approach;
pub mod search;
