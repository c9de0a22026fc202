//! The room around her: the way to the berth, and where a berth can be.
//!
//! [`approach`] is the way to a berth that is chosen; [`search`] finds berths on the chart.

pub mod approach;
pub mod search;
