//! The cells of an area in memory, with a tree to find the objects near a place.

use rstar::{AABB, RTree, RTreeObject};

use super::cell::Piece;
use super::object::{About, Object, Says};
use super::own::{OwnSounding, OwnSoundings};
use super::shape::{Extent, Shape};

/// Cells, the one with precedence first, and their pieces.
#[derive(Debug, Default)]
pub struct Sheet {
    cells: Vec<About>,
    tree: RTree<Placed>,
    own: OwnSoundings,
}

/// A piece with its cell and extent.
#[derive(Clone, Debug)]
pub(super) struct Placed {
    pub(super) cell: usize,
    pub(super) piece: Piece,
    extent: Extent,
}

impl RTreeObject for Placed {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        envelope(self.extent)
    }
}

fn envelope(extent: Extent) -> AABB<[f64; 2]> {
    AABB::from_corners(extent.low.degrees(), extent.high.degrees())
}

impl Sheet {
    /// From these cells and the pieces of them that were loaded.
    #[must_use]
    pub fn of(mut cells: Vec<(About, Vec<Piece>)>) -> Self {
        cells.sort_by_cached_key(|(about, _)| about.precedence());
        let mut placed = Vec::new();
        let mut abouts = Vec::new();
        for (cell, (about, pieces)) in cells.into_iter().enumerate() {
            abouts.push(about);
            placed.extend(pieces.into_iter().filter_map(|piece| {
                let extent = piece.shape.extent()?;
                Some(Placed {
                    cell,
                    piece,
                    extent,
                })
            }));
        }
        Self {
            cells: abouts,
            tree: RTree::bulk_load(placed),
            own: OwnSoundings::default(),
        }
    }

    /// Replaces the boat's own soundings by those of the area.
    #[must_use]
    pub fn with_own(self, soundings: Vec<OwnSounding>) -> Self {
        Self {
            own: OwnSoundings::of(soundings),
            ..self
        }
    }

    /// Adds one of the boat's own soundings.
    pub fn add_own(&mut self, sounding: OwnSounding) {
        self.own.add(sounding);
    }

    /// The number of the boat's own soundings in it.
    #[must_use]
    pub fn own_count(&self) -> usize {
        self.own.len()
    }

    pub(super) const fn own(&self) -> &OwnSoundings {
        &self.own
    }

    /// The cells' descriptions of themselves, the one with precedence first.
    #[must_use]
    pub fn cells(&self) -> &[About] {
        &self.cells
    }

    /// The number of pieces, and the number of points.
    #[must_use]
    pub fn size(&self) -> (usize, usize) {
        self.tree.iter().fold((0, 0), |(pieces, points), placed| {
            (pieces + 1, points + placed.piece.shape.points())
        })
    }

    /// The pieces that overlap the box.
    pub(super) fn within(&self, extent: Extent) -> impl Iterator<Item = &Placed> {
        self.tree.locate_in_envelope_intersecting(&envelope(extent))
    }

    /// Whether this object shows that its cell has data at its place.
    pub(super) fn covers(&self, cell: usize, object: &Object, shape: &Shape) -> bool {
        let assumed = self
            .cells
            .get(cell)
            .is_some_and(|about| about.coverage_assumed);
        object.says == Says::Covered
            || assumed && object.class.is_skin() && matches!(shape, Shape::Area(_))
    }
}
