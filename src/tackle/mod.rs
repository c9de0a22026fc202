//! Ground tackle: rode, scope and reach; how the rode hangs, how hard the wind pulls, how much the
//! tackle bears; the plan of an anchorage.

pub mod catenary;
pub mod circle;
pub mod plan;
pub mod rode;
pub mod scope;
pub mod snubber;
pub mod strength;
pub mod tables;
pub mod water;
pub mod wind;
