//! The watch: from what the sensors said to what the crew must know.
//!
//! [`words`] holds what goes in and comes out.

pub mod words;
