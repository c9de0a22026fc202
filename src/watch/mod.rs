//! The watch: from what the sensors said to what the crew must know.
//!
//! [`words`] what goes in and comes out; [`settings`] its knobs; [`freshness`] news told from
//! repeats; [`intake`] fixes told from what only looks like one; [`instruments`] heading, true
//! wind, depth of water; [`ground`] reach and swinging circle; [`drag`] whether the anchor moves;
//! [`wind`] whether the wind has gone round; [`water`] tide, scope and keel to come; [`counter`] the
//! windlass' counter; [`findings`] hazards in words; [`commands`] what the
//! crew orders; [`manner`] what she lies to; [`pull`] the pull test; [`power`] what the watch itself lives on; [`lying`] a boat that lies
//! still with nothing marked; [`track`] where she has been; [`keeper`] the engine that holds it
//! all together; [`neighbours`] other vessels.

pub mod anchorage;
pub mod announcer;
pub mod commands;
pub mod counter;
pub mod drag;
pub mod fix;
pub mod freshness;
pub mod health;
pub mod instruments;
pub mod judgement;
pub mod keeper;
pub mod link;
pub mod manner;
pub mod neighbours;
mod picture;
pub mod power;
pub mod pull;
pub mod round;
pub mod scope;
pub mod sensors;
pub mod settings;
pub mod track;
pub mod water;
pub mod wind;
pub mod words;

#[cfg(test)]
mod tests;
