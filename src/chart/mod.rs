//! What official charts say of a place, and whether a boat has room to swing there.
//!
//! [`parse`] takes GeoJSON with S-57 classes and attributes; [`cell`] makes a cell of it, cut into pieces that can be
//! loaded by area; [`packed`] is its form on disk; [`sheet`] holds the cells of an area in memory; [`clearance`]
//! judges a circle or sector; [`own`] has the boat's own soundings, which make a place shoaler and never deeper; [`soundings`] has the depth at a place, [`fetch`] how far the water is open from it.
//!
//! Depths are metres below the chart's datum, a negative one is a drying height. An object without a depth is of unknown
//! depth and so dangerous. A place without coverage is reported as such, never taken for deep. Not for navigation.

pub mod cell;
pub mod class;
pub mod clearance;
pub mod codes;
pub mod faults;
pub mod fetch;
mod local;
pub mod object;
pub mod own;
pub mod packed;
pub mod parse;
pub mod shape;
pub mod sheet;
pub mod sketch;
pub mod soundings;
mod zone;
