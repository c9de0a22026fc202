//! Reads from official charts what surrounds a place, and whether a boat has room to swing there.
//!
//! [`parse`] takes GeoJSON with S-57 classes and attributes; [`cell`] makes a cell of it, cut into pieces that can be
//! loaded by area; [`packed`] is its form on disk; [`sheet`] holds the cells of an area in memory; [`clearance`] judges
//! a circle or sector; [`own`] has the boat's own soundings, which make a place shoaler and never deeper; [`soundings`]
//! gives the depth at a place, and [`fetch`] how far the water is open from it.
//!
//! Depths are metres below the chart's datum; a negative depth is a drying height. An object without a depth has an
//! unknown depth and is therefore dangerous. A place without coverage is reported as such, never taken for deep. Not
//! for navigation.

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
