//! What is reported on the way to the berth.

use super::sentence::sentences;
use super::{Slow, Whole};
use crate::units::{Bearing, Metres};

sentences! {
    /// A step of the approach, or what common practice advises.
    pub enum Approaching {
        TurnUp { beyond: Metres, course: Bearing, carries: Metres },
        LetGo { distance: Metres },
        LetGoStopped { distance: Metres },
        LetGoMoving { distance: Metres, speed: Slow, carries: Metres, stop: bool },
        Passed { bearing: Bearing, distance: Metres },
        StopEngine { speed: Slow, carries: Metres, distance: Metres },
        SlowDown { speed: Slow, limit: Slow, within: Whole },
    }
}
