//! What is drawn apart from the night of a seed: another model of the sea, a real receiver's noise, instruments fitted
//! or removed, a position only every few seconds, every night of one kind.
//!
//! The first sea is [`Plan::new`], the same night for the same seed whatever else is drawn here. The draws here
//! come from another stream of the seed's random numbers.

use std::sync::Arc;
use std::time::Duration;

use crate::geodesy::Offset;
use crate::measure::plan::{Drag, Marking, Plan, RodeTold, Stirred, begin_at, draw_bearing};
use crate::rehearse::boat::{HangingSettings, Kink};
use crate::rehearse::dice::{Dice, Purpose};
use crate::rehearse::receiver::{Recording, WanderingSettings};
use crate::units::{Angle, Metres, Speed};

/// What is drawn apart from the seed's night.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Deal {
    /// Which model of sea, boat and receiver.
    pub sea: SeaModel,
    /// Real receivers' noise in place of the simulated one.
    pub noise: Vec<Arc<Recording>>,
    /// The instruments.
    pub fitted: Fitted,
    /// The interval between positions.
    pub reports: Option<Duration>,
    /// The kinds that every night is made of.
    pub kinds: Vec<Kind>,
}

/// A model of sea, boat and receiver.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum SeaModel {
    /// A boat moved by forces, a catenary, Gauss-Markov noise.
    #[default]
    First,
    /// A boat that hangs in wind and stream, slack and caught rodes, flicker noise and steps, wrong marks.
    Second,
}

/// Which instruments are fitted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum Fitted {
    /// As the night's seed decides.
    #[default]
    Dealt,
    /// Compass and wind instrument on every boat.
    All,
    /// A compass on every boat, a wind instrument on none.
    NoWind,
    /// A wind instrument on every boat, a compass on none.
    NoCompass,
    /// Neither on any boat.
    Neither,
}

/// A kind of night.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Kind {
    /// The anchor begins to drag 3 to 30 minutes after letting go.
    FirstHalfHour,
    /// The crew enters the rode a fifth too short or too long.
    RodeWrong,
    /// The receiver gives no velocity.
    NoVelocity,
    /// In light air she lies far nearer to the anchor than the chain's weight would put her.
    Slack,
    /// The rode is caught on the bottom.
    Kink,
    /// The mark is made late.
    LateMark,
    /// The mark is made from the track.
    FromTrack,
    /// Several reflections an hour shift the fix, and each builds up over some seconds. Only in the first sea.
    Reflections,
    /// The same, but each builds up and goes at different speeds, or at once. Only in the first sea.
    UnevenReflections,
    /// The receiver smooths its velocity over 3 to 15 s, and not its position.
    SmoothedVelocity,
}

impl Fitted {
    /// All sets that are compared, richest first.
    pub const COMPARED: [Self; 4] = [Self::All, Self::NoWind, Self::NoCompass, Self::Neither];

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Dealt => "as dealt",
            Self::All => "all",
            Self::NoWind => "no wind",
            Self::NoCompass => "no compass",
            Self::Neither => "neither",
        }
    }
}

impl Plan {
    /// The night of this seed with these changes.
    #[must_use]
    pub fn dealt(seed: u64, length: Duration, deal: &Deal) -> Self {
        let mut plan = Self::new(seed, length);
        let dice = &mut Dice::new(seed, Purpose::Second);
        if deal.sea == SeaModel::Second {
            plan.stir(dice);
        }
        for kind in &deal.kinds {
            plan.make(*kind, dice);
        }
        if !deal.noise.is_empty() {
            let count = deal.noise.len() as u64;
            let number = usize::try_from(dice.bits() % count).unwrap_or_default();
            plan.recorded = deal.noise.get(number).cloned();
            // The recordings have their own rounding and dropouts.
            plan.sensors.coarse = false;
            plan.sensors.dropout_rate = 0.0;
        }
        match deal.fitted {
            Fitted::Dealt => {}
            fitted => {
                plan.has.compass = matches!(fitted, Fitted::All | Fitted::NoWind);
                plan.has.wind = matches!(fitted, Fitted::All | Fitted::NoCompass);
            }
        }
        plan.reports = deal.reports;
        plan
    }

    /// Makes it a night of the second sea.
    fn stir(&mut self, dice: &mut Dice) {
        self.stirred = Some(Stirred {
            hanging: HangingSettings {
                lazy: dice.between(0.05, 0.2),
                until: Speed::of(dice.between(2.0, 3.5)),
                surge: (
                    Metres::of(dice.between(0.2, 2.0)),
                    Duration::from_secs_f64(dice.between(15.0, 90.0)),
                ),
                lag: Duration::from_secs_f64(dice.between(12.0, 40.0)),
                kink: None,
            },
            wandering: WanderingSettings {
                flicker: Metres::of(dice.between(0.4, 1.6)),
                walk: Metres::of(dice.between(0.3, 1.5)),
                wall: Metres::of(dice.between(1.0, 3.0)),
                steps: dice.between(0.0, 3.0),
                step: Metres::of(dice.between(1.5, 4.0)),
                lag: Duration::from_secs_f64(dice.between(0.5, 4.0)),
                threshold: Speed::of(if dice.uniform() < 0.3 { 0.1 } else { 0.0 }),
            },
            bites: Metres::of(dice.between(0.5, 6.0)),
        });
        if dice.uniform() < 0.4 {
            self.make(Kind::Slack, dice);
        }
        if dice.uniform() < 0.3 {
            self.make(Kind::Kink, dice);
        }
        if dice.uniform() < 0.4 {
            self.stream_against_wind(dice);
        }
        match dice.uniform() {
            x if x < 0.15 => self.make(Kind::FirstHalfHour, dice),
            x if x < 0.25 => self.make(Kind::FromTrack, dice),
            _ => {}
        }
        if dice.uniform() < 0.15 {
            self.make(Kind::RodeWrong, dice);
        }
    }

    fn stream_against_wind(&mut self, dice: &mut Dice) {
        let Some(first) = self.sea.wind.first() else {
            return;
        };
        // The flood sets towards the wind, the ebb with it.
        let off = Angle::from_degrees(dice.between(-30.0, 30.0));
        self.sea.flood = first.direction.turned(off);
        self.sea.stream = Speed::of(dice.between(0.2, 0.9));
        let least = Metres::of(0.4);
        self.sea.m2.amplitude = self.sea.m2.amplitude.max(least);
    }

    fn make(&mut self, kind: Kind, dice: &mut Dice) {
        match kind {
            Kind::FirstHalfHour => {
                let begins = Duration::from_secs_f64(LETS_GO + 60.0 * dice.between(3.0, 30.0));
                if let Some(drag) = self.drag {
                    self.drag = Some(Drag { begins, ..drag });
                    begin_at(&mut self.sea.wind, begins, dice.between(7.0, 15.0));
                    if matches!(self.marking, Marking::Typed(_) | Marking::FromTrack) {
                        self.marking = Marking::InTime;
                    }
                }
            }
            Kind::RodeWrong => {
                let (told, share) = if dice.uniform() < 0.5 {
                    (RodeTold::Short, 0.8)
                } else {
                    (RodeTold::Long, 1.2)
                };
                self.told = told;
                self.rode_said = self.rode * share;
            }
            Kind::NoVelocity => self.has.velocity = false,
            Kind::Slack | Kind::Kink => {
                let Some(stirred) = &mut self.stirred else {
                    return;
                };
                if kind == Kind::Slack {
                    stirred.hanging.lazy = dice.between(0.3, 0.5);
                    stirred.hanging.until = Speed::of(dice.between(3.5, 5.5));
                } else {
                    let away = self.rode * dice.between(0.1, 0.35);
                    stirred.hanging.kink = Some(Kink {
                        at: Offset::polar(draw_bearing(dice), away),
                        frees: Speed::of(dice.between(8.0, 14.0)),
                    });
                }
            }
            Kind::Reflections => {
                self.sensors.multipath_rate = dice.between(2.0, 6.0);
                self.sensors.multipath_builds = Some(Speed::of(dice.between(0.5, 3.0)));
                self.sensors.multipath_goes = self.sensors.multipath_builds;
            }
            Kind::UnevenReflections => {
                let mut speed = || {
                    let speed = Speed::of(dice.between(0.3, 4.0));
                    (dice.uniform() < 0.7).then_some(speed)
                };
                self.sensors.multipath_builds = speed();
                self.sensors.multipath_goes = speed();
                self.sensors.multipath_rate = dice.between(2.0, 6.0);
            }
            Kind::SmoothedVelocity => {
                self.sensors.velocity_lags = Duration::from_secs_f64(dice.between(3.0, 15.0));
            }
            Kind::LateMark => {
                self.marking = Marking::Late(Duration::from_secs_f64(dice.between(10.0, 60.0)));
            }
            Kind::FromTrack => {
                let begins = self.drag.map(|drag| drag.begins);
                if begins.is_none_or(|begins| begins >= FROM_TRACK_BEFORE) {
                    self.marking = Marking::FromTrack;
                }
            }
        }
    }
}

/// By then she has reached the berth and let go, seconds.
const LETS_GO: f64 = 75.0;
/// A drag that begins sooner leaves no track to mark from.
const FROM_TRACK_BEFORE: Duration = Duration::from_mins(70);

#[cfg(test)]
mod tests {
    use super::*;

    const NIGHT: Duration = Duration::from_hours(8);

    fn deal(kind: Kind, sea: SeaModel) -> Deal {
        Deal {
            sea,
            kinds: vec![kind],
            ..Deal::default()
        }
    }

    #[test]
    fn the_first_sea_deals_the_night_of_its_seed() {
        for seed in 0..40 {
            let (dealt, new) = (
                Plan::dealt(seed, NIGHT, &Deal::default()),
                Plan::new(seed, NIGHT),
            );
            assert_eq!(format!("{dealt:?}"), format!("{new:?}"));
        }
    }

    #[test]
    fn every_night_is_of_the_kind_that_is_asked_for() {
        for seed in 0..40 {
            let plan = |kind| Plan::dealt(seed, NIGHT, &deal(kind, SeaModel::Second));
            let early = plan(Kind::FirstHalfHour);
            if let Some(drag) = early.drag {
                let begins = drag.begins.as_secs_f64() / 60.0;
                assert!((4.0..32.0).contains(&begins), "{begins}");
                let before = early.sea.wind.iter().rfind(|knot| knot.at <= drag.begins);
                let blows = before.unwrap().speed.get();
                assert!(blows >= 7.0, "{blows}");
            }
            let wrong = plan(Kind::RodeWrong);
            let share = wrong.rode_said.get() / wrong.rode.get();
            assert!((share - 0.8).abs() < 1e-9 || (share - 1.2).abs() < 1e-9);
            assert!(!plan(Kind::NoVelocity).has.velocity);
            let alike = plan(Kind::Reflections).sensors;
            assert!(alike.multipath_builds.is_some());
            assert_eq!(alike.multipath_builds, alike.multipath_goes);
            let uneven = plan(Kind::UnevenReflections).sensors;
            let instant = uneven.multipath_builds.is_none() && uneven.multipath_goes.is_none();
            assert!(instant || uneven.multipath_builds != uneven.multipath_goes);
            let smoothed = plan(Kind::SmoothedVelocity).sensors.velocity_lags;
            assert!((3.0..15.0).contains(&smoothed.as_secs_f64()));
            assert!(plan(Kind::Slack).stirred.unwrap().hanging.lazy >= 0.3);
            assert!(plan(Kind::Kink).stirred.unwrap().hanging.kink.is_some());
            assert!(matches!(plan(Kind::LateMark).marking, Marking::Late(_)));
            // A drag that begins too soon leaves no track.
            let tracked = plan(Kind::FromTrack);
            let too_soon = tracked
                .drag
                .is_some_and(|drag| drag.begins < FROM_TRACK_BEFORE);
            assert_eq!(tracked.marking == Marking::FromTrack, !too_soon);
        }
    }

    #[test]
    fn a_night_can_be_of_two_kinds() {
        let deal = Deal {
            kinds: vec![Kind::NoVelocity, Kind::Reflections],
            ..Deal::default()
        };
        let plan = Plan::dealt(1, NIGHT, &deal);
        assert!(!plan.has.velocity && plan.sensors.multipath_builds.is_some());
    }

    #[test]
    fn instruments_are_fitted_and_taken_away_and_the_night_stays() {
        let with = |fitted| {
            let deal = Deal {
                fitted,
                ..Deal::default()
            };
            Plan::dealt(7, NIGHT, &deal)
        };
        let (all, neither) = (with(Fitted::All), with(Fitted::Neither));
        assert!(all.has.compass && all.has.wind);
        assert!(!neither.has.compass && !neither.has.wind);
        assert_eq!(all.sea, neither.sea);
        assert_eq!(all.rode, neither.rode);
    }
}
