//! What one vessel's transponder reports, without repeats and impossible values.
//!
//! **When.** A report counts from its stamp, corrected by the difference between our clock and the server's
//! ([`super::clock`]): the server repeats its cache, up to an hour old, when a client subscribes. A position older
//! than [`OLD`] is ignored; one without a stamp counts from its arrival.
//!
//! **Tolerated**, each with a test beside this file:
//! - the same stamp again, an earlier one, or the same position within [`REPEATED`] from another receiver: not a new
//!   report;
//! - a leap that no vessel can make ([`FASTEST`]): the position is accepted when the next one agrees with it. So two
//!   vessels that share a number count as one, at the position of the first;
//! - figures that are "not available": [`crate::signalk::paths`] turns them into `None`. A lost figure is unknown; a
//!   static one (length, beam, antenna) keeps its last reported value;
//! - a position `null`: the last one gets older.

use std::time::Duration;

use super::clock::Moment;
use super::closest::velocity;
use crate::geodesy::{Offset, Position};
use crate::observation::{Fact, Label, NavState};
use crate::units::{Bearing, Metres, Speed};

/// One vessel as she was last heard.
#[derive(Clone, Debug, Default)]
pub(super) struct Vessel {
    name: Option<Label>,
    place: Option<Place>,
    /// A position too far off to be believed at once.
    doubted: Option<Place>,
    speed: Option<(Moment, Speed)>,
    course: Option<(Moment, Bearing)>,
    heading: Option<(Moment, Bearing)>,
    state: Option<NavState>,
    length: Option<Metres>,
    beam: Option<Metres>,
    from_bow: Option<Metres>,
    from_centre: Option<Metres>,
    ship_type: Option<u32>,
}

/// The position of her antenna.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub(super) at: Moment,
    pub(super) position: Position,
}

impl Vessel {
    /// Restores a saved vessel; `figures`: her length, and the distance of her antenna aft of the
    /// stem.
    pub(super) fn restored(
        at: Moment,
        position: Position,
        name: Option<Label>,
        figures: (Option<Metres>, Option<Metres>),
    ) -> Self {
        let mut vessel = Self {
            name,
            place: Some(Place { at, position }),
            ..Self::default()
        };
        keep(&mut vessel.length, figures.0, LENGTHS);
        keep(&mut vessel.from_bow, figures.1, FROM_BOW);
        vessel
    }

    /// Takes a current report. Returns whether her position is new.
    pub(super) fn take(&mut self, now: Moment, at: Moment, facts: &[Fact]) -> bool {
        let mut news = false;
        for fact in facts {
            match fact {
                Fact::Position(Some(position)) if now.since(at) <= OLD => {
                    news |= self.take_place(Place {
                        at,
                        position: *position,
                    });
                }
                Fact::SpeedOverGround(speed) => replace(&mut self.speed, at, *speed),
                Fact::CourseOverGround(course) => replace(&mut self.course, at, *course),
                Fact::HeadingTrue(heading) => replace(&mut self.heading, at, *heading),
                Fact::NavState(state) => self.state = *state,
                Fact::Name(Some(name)) if !name.as_str().is_empty() => {
                    self.name = Some(name.clone());
                }
                Fact::Length(length) => keep(&mut self.length, *length, LENGTHS),
                Fact::Beam(beam) => keep(&mut self.beam, *beam, BEAMS),
                Fact::AntennaFromBow(from) => keep(&mut self.from_bow, *from, FROM_BOW),
                Fact::AntennaFromCentre(from) => keep(&mut self.from_centre, *from, FROM_CENTRE),
                Fact::ShipType(Some(ship_type)) => self.ship_type = Some(*ship_type),
                _ => {}
            }
        }
        news
    }

    fn take_place(&mut self, place: Place) -> bool {
        let Some(last) = self.place else {
            self.place = Some(place);
            return true;
        };
        if place.at <= last.at {
            return false;
        }
        let gone = place.at.since(last.at);
        if gone <= REPEATED && place.position == last.position {
            return false;
        }
        if !follows(&last, &place) {
            let agrees = self.doubted.is_some_and(|other| follows(&other, &place));
            self.doubted = Some(place);
            if !agrees {
                return false;
            }
        }
        self.doubted = None;
        self.place = Some(place);
        true
    }

    /// Her name.
    pub(super) fn name(&self) -> Option<&str> {
        self.name.as_ref().map(Label::as_str)
    }

    /// The position of her antenna, and when she was there.
    pub(super) const fn place(&self) -> Option<Place> {
        self.place
    }

    /// What she reports that she is doing.
    pub(super) const fn state(&self) -> Option<NavState> {
        self.state
    }

    /// Speed and course over the ground, as she reported them with her last position.
    pub(super) fn speed(&self) -> Option<Speed> {
        self.with_place(self.speed)
    }

    /// The same as a velocity.
    pub(super) fn velocity(&self) -> Option<Offset> {
        let (speed, course) = self.speed().zip(self.with_place(self.course))?;
        Some(velocity(speed, course))
    }

    fn with_place<T>(&self, said: Option<(Moment, T)>) -> Option<T> {
        let (at, value) = said?;
        let apart = self.place?.at.since(at);
        (apart <= TOGETHER).then_some(value)
    }

    /// Her heading: by her compass, or by her course while she makes way.
    pub(super) fn heading(&self) -> Option<Bearing> {
        let makes_way = self.speed().is_some_and(|speed| speed >= STEERS);
        self.with_place(self.heading)
            .or_else(|| self.with_place(self.course).filter(|_| makes_way))
    }

    /// Length over all, if she reports it.
    pub(super) const fn told_length(&self) -> Option<Metres> {
        self.length
    }

    /// Distance of her antenna aft of the stem, if she reports it.
    pub(super) const fn told_from_bow(&self) -> Option<Metres> {
        self.from_bow
    }

    /// Length over all; by her type of ship if she does not report it.
    pub(super) fn length(&self) -> Metres {
        self.length.unwrap_or(match self.ship_type {
            Some(60..=69) => Metres::of(60.0),
            Some(70..=89) => Metres::of(120.0),
            _ => Metres::of(12.0),
        })
    }

    /// Beam; if she does not report it, a third of the length, and less for ships.
    pub(super) fn beam(&self) -> Metres {
        let length = self.length();
        let usual = if length <= Metres::of(20.0) {
            1.0 / 3.0
        } else {
            1.0 / 6.0
        };
        self.beam.unwrap_or(length * usual)
    }

    /// Distance of her antenna aft of the stem; amidships if she does not report it.
    pub(super) fn antenna_from_bow(&self) -> Metres {
        let length = self.length();
        self.from_bow
            .filter(|from| *from <= length)
            .unwrap_or(length * 0.5)
    }

    /// From her antenna to her centre with her bow on this heading.
    pub(super) fn antenna_to_centre(&self, heading: Bearing) -> Offset {
        let ahead = self.antenna_from_bow() - self.length() * 0.5;
        Offset::from_boat(ahead, self.from_centre.unwrap_or_default(), heading)
    }
}

/// A vessel may have moved from one place to the other in the time between.
fn follows(earlier: &Place, later: &Place) -> bool {
    let seconds = later.at.since(earlier.at).as_secs_f64();
    let room = FASTEST * seconds + LEAP;
    earlier.position.distance_to(later.position).get() <= room
}

fn replace<T>(kept: &mut Option<(Moment, T)>, at: Moment, said: Option<T>) {
    if kept.as_ref().is_none_or(|(before, _)| *before <= at) {
        *kept = said.map(|value| (at, value));
    }
}

/// A figure out of range is ignored: zero means "not available" for each of them.
fn keep(kept: &mut Option<Metres>, said: Option<Metres>, (least, most): (f64, f64)) {
    if let Some(said) = said.filter(|said| (least..=most).contains(&said.get())) {
        *kept = Some(said);
    }
}

/// A position is useless after this. Class A and B at anchor report every three minutes (ITU-R M.1371-5,
/// annex 1, tables 1 and 2; from memory), and two reports may be lost.
pub(super) const OLD: Duration = Duration::from_mins(10);
/// The same position this soon after is the same report that came by another way.
const REPEATED: Duration = Duration::from_secs(10);
/// Speed, course and heading that were reported this long before the position belong to another
/// moment.
const TOGETHER: Duration = Duration::from_secs(60);
/// m/s: 97 kn.
const FASTEST: f64 = 50.0;
/// Noise of a receiver on top of that, in metres.
const LEAP: f64 = 200.0;
/// Below this speed, course and heading may differ.
const STEERS: Speed = Speed::from_knots(2.0);
/// The largest figures that AIS can report (nine bits and nine bits; six and six), in metres.
const LENGTHS: (f64, f64) = (1.0, 1022.0);
const BEAMS: (f64, f64) = (0.5, 126.0);
const FROM_BOW: (f64, f64) = (0.1, 511.0);
const FROM_CENTRE: (f64, f64) = (-63.0, 63.0);

#[cfg(test)]
mod tests {
    use super::*;

    fn place(east: f64) -> Position {
        Position::of(59.85, 23.26).moved(Bearing::from_degrees(90.0), Metres::of(east))
    }

    fn at(second: i64) -> Moment {
        Moment::from_secs(second)
    }

    fn seen(vessel: &mut Vessel, second: i64, east: f64) -> bool {
        vessel.take(at(second), at(second), &[Fact::Position(Some(place(east)))])
    }

    #[test]
    fn repeats_and_stamps_out_of_order_are_no_reports() {
        let mut vessel = Vessel::default();
        assert!(seen(&mut vessel, 100, 0.0));
        assert!(!seen(&mut vessel, 100, 5.0), "the same stamp");
        assert!(!seen(&mut vessel, 90, 5.0), "an earlier one");
        assert!(!seen(&mut vessel, 102, 0.0), "by another receiver");
        assert!(seen(&mut vessel, 280, 0.0), "she lies still");
        // An hour old, as the server keeps it in its cache.
        let mut cached = Vessel::default();
        let fact = [Fact::Position(Some(place(0.0)))];
        assert!(!cached.take(at(4000), at(400), &fact));
        assert!(cached.take(at(4000), at(3700), &fact));
    }

    #[test]
    fn a_leap_is_believed_when_the_next_report_agrees() {
        let mut vessel = Vessel::default();
        assert!(seen(&mut vessel, 0, 0.0));
        assert!(!seen(&mut vessel, 10, 9000.0));
        assert!(seen(&mut vessel, 20, 4.0));
        assert!(!seen(&mut vessel, 30, 9000.0));
        assert!(seen(&mut vessel, 40, 9010.0));
        assert_eq!(vessel.place().unwrap().position, place(9010.0));
    }

    /// Two vessels report under one number in turn: the first one is followed.
    #[test]
    fn two_vessels_with_one_number_are_one() {
        let mut vessel = Vessel::default();
        let taken: Vec<bool> = (0..20)
            .map(|turn| {
                let there = if turn % 2 == 0 { 0.0 } else { 9000.0 };
                seen(&mut vessel, i64::from(turn) * 10, there + f64::from(turn))
            })
            .collect();
        assert!(taken.iter().step_by(2).all(|taken| *taken), "{taken:?}");
        assert!(!taken.iter().skip(1).step_by(2).any(|taken| *taken));
    }

    #[test]
    fn lost_figures_are_unknown_and_static_figures_stay() {
        let mut vessel = Vessel::default();
        let facts = [
            Fact::Position(Some(place(0.0))),
            Fact::SpeedOverGround(Some(Speed::from_knots(5.0))),
            Fact::CourseOverGround(Some(Bearing::from_degrees(90.0))),
            Fact::Length(Some(Metres::of(14.0))),
            Fact::AntennaFromBow(Some(Metres::of(12.0))),
            Fact::ShipType(Some(70)),
        ];
        vessel.take(at(0), at(0), &facts);
        assert_eq!(vessel.heading(), Some(Bearing::from_degrees(90.0)));
        assert!(vessel.velocity().is_some());
        let lost = [
            Fact::Position(None),
            Fact::SpeedOverGround(None),
            Fact::Length(Some(Metres::ZERO)),
            Fact::AntennaFromBow(None),
        ];
        vessel.take(at(10), at(10), &lost);
        assert_eq!((vessel.speed(), vessel.heading()), (None, None));
        assert_eq!(vessel.length(), Metres::of(14.0));
        assert!(vessel.place().is_some());
        // Her antenna sits 5 m aft of her centre.
        let centre = vessel.antenna_to_centre(Bearing::from_degrees(0.0));
        assert!((centre.north - 5.0).abs() < 1e-9);
    }
}
