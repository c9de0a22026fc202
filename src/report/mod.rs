//! The morning after: one stay as a page, as JSON, as a track for other programs.
//!
//! [`stays`] lists the stays in the journal, [`night`] reads one by passing its inputs through the engine again,
//! [`html`] makes a self-contained page of it, [`gpx`] and [`geojson`] its track. Unknown values are marked or left
//! open: no line is drawn across a time in which nothing was seen.

mod channels;
mod export;
mod facts;
mod gather;
mod latest;
mod page;
mod picture;
mod plots;
mod series;
mod stays;
mod told;
mod track;
mod words;

pub use export::{geojson, gpx};
pub use facts::{Charted, Night, Stay};
pub use gather::{About, night};
pub use page::html;
pub use stays::stays;

#[cfg(test)]
mod tests;
