//! The morning after: one stay as a page, as JSON, as a track for other programs.
//!
//! [`stays`] lists what the journal has, [`night`] reads one stay by putting its inputs through the engine again, [`html`] makes a
//! page of it that needs nothing from elsewhere, [`gpx`] and [`geojson`] its track. What is not known is told or left
//! open: no line is drawn across a time in which nothing was seen.

mod export;
mod facts;
mod gather;
mod page;
mod picture;
mod plots;
mod series;
mod stays;
mod told;
mod track;
mod words;

pub use export::{geojson, gpx};
pub use facts::{Night, Stay};
pub use gather::{About, night};
pub use page::html;
pub use stays::stays;

#[cfg(test)]
mod tests;
