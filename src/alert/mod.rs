//! The alert desk and its words: hazards, priorities and states after IMO MSC.302(87) and
//! IEC 62923.

pub mod cause;
pub mod conduct;
pub mod desk;
pub mod hazard;
