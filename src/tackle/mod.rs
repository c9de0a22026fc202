//! Ground tackle: rode, scope and reach.

pub mod scope;
