//! The mark of a drill: nobody may take its alerts for real ones.
//!
//! The words are those of SOLAS chapter III, regulation 19, in each language (from memory).

use super::sentence::sentences;

sentences! {
    /// What a drill says beside the alerts of its night.
    pub enum DrillTold {
        // In capitals.
        Mark,
        // The mark comes first, so that a display that cuts the text still shows it.
        Message { message: String },
    }
}
