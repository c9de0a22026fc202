//! One receiver: is what it sends a fix?

use std::time::Duration;

use super::leap::{self, Leaps};
use super::quality::{FEW_SATELLITES, MUCH_SCATTER, POOR_DILUTION};
use super::trust::{Conduct, Trust};
use super::{
    FROZEN_ANYWAY, FROZEN_SPEED, FROZEN_TURN_DEGREES, Fault, JUMP_ROOM, JUMP_SPEED, Motion,
    Receiver, Still, Word,
};
use crate::geodesy::Position;
use crate::observation::{FixIntegrity, FixMethod};
use crate::stats::Running;
use crate::time::Tick;
use crate::units::{Metres, Speed};
use crate::watch::instruments::hearing::Run;

impl Receiver {
    pub(super) fn new() -> Self {
        Self {
            last_good: None,
            good_since: None,
            method: None,
            integrity: None,
            dilution: None,
            satellites: None,
            speed: None,
            course: None,
            heard: None,
            resumed: None,
            vouched: None,
            lived: None,
            still: None,
            run: Run::default(),
            jumps_agreeing: 0,
            jumped_to: None,
            interval: Running::new(Duration::from_mins(1)),
            apart: Running::new(Duration::from_mins(5)),
            scatter: Running::new(Duration::from_mins(2)),
            history: [None, None],
            trust: Trust::default(),
            leaps: Leaps::default(),
            hung: Run::default(),
            hangs: false,
            apart_from_speed: None,
        }
    }

    pub(super) fn judge(
        &mut self,
        now: Tick,
        position: Option<Position>,
        word: &Word,
        motion: &Motion,
        anchored: bool,
    ) -> Result<(), Fault> {
        let position = position.ok_or(Fault::Empty)?;
        if position.is_null_island() {
            return Err(Fault::NullIsland);
        }
        self.check_word(now, position, word)?;
        if let Some((FixIntegrity::Unsafe, _)) = self.integrity {
            return Err(Fault::Unsafe);
        }
        self.check_frozen(now, position, word.speed, motion)?;
        if !anchored {
            self.clear_anchored();
            return self.check_jump(now, position, anchored);
        }
        self.check_repeats(now, position, word)?;
        self.check_hung(now, position, word)?;
        self.check_jump(now, position, anchored)?;
        self.leaps.take(now, position, word.velocity());
        self.check_trust(now, self.without_leap(position), word)
    }

    /// Under way every receiver's coordinates change, and nothing is compared with the speed.
    fn clear_anchored(&mut self) {
        self.run = Run::default();
        self.hung = Run::default();
        self.hangs = false;
        self.leaps = Leaps::default();
        self.trust.clear();
        self.apart_from_speed = None;
    }

    /// A receiver's report about its fix stands until the next one, but only for a limited time: the
    /// sentence that would revoke it may be missing for the same reason as the fix.
    fn check_word(&mut self, now: Tick, position: Position, word: &Word) -> Result<(), Fault> {
        let usual = self.interval.mean().unwrap_or_default();
        let silence = SILENCE.max(Duration::try_from_secs_f64(usual * 3.5).unwrap_or_default());
        if self.heard.is_none_or(|heard| now.since(heard) > silence) {
            self.resumed = Some(now);
            self.run.pause();
        }
        self.heard = Some(now);
        let Some((method, said)) = word.method else {
            return Ok(());
        };
        if method != FixMethod::Satellite {
            return Err(Fault::Method(method));
        }
        self.vouched = Some(said);
        let unmoved = self.last_good.is_some_and(|(_, last)| last == position);
        let waiting = self
            .resumed
            .is_some_and(|resumed| said < resumed && (unmoved || now.since(resumed) < WORD_WAIT));
        // A good receiver that pins its position keeps reporting that it has a fix.
        let still_since = self.still.filter(|still| still.position == position);
        let dumb = now.since(said) > QUALITY_STANDS
            && still_since.is_some_and(|still| still.since <= said);
        if waiting || dumb {
            return Err(Fault::Unsaid);
        }
        Ok(())
    }

    fn check_trust(&mut self, now: Tick, position: Position, word: &Word) -> Result<(), Fault> {
        let velocity = word.velocity();
        // A speed without a course supports the distance covered, although it cannot be integrated.
        let poor = self.sees_badly(now) && word.speed.is_none_or(|speed| speed <= FROZEN_SPEED);
        // A leap that was held and has stayed explains a disagreement: it is reported, but delays nothing any more.
        let explained = self.leaps.stays(now);
        let conduct = self.trust.take(now, position, velocity, poor);
        self.apart_from_speed = match conduct {
            Conduct::Doubtful(apart) | Conduct::Disagrees(apart) if !explained => {
                let since = self.apart_from_speed.map_or(now, |(_, since)| since);
                Some((apart, since))
            }
            _ => None,
        };
        match conduct {
            Conduct::Fits | Conduct::Doubtful(_) => Ok(()),
            Conduct::Disagrees(apart) => Err(Fault::Disagrees(apart)),
            Conduct::Wanders(gone) => Err(Fault::Wanders(gone)),
        }
    }

    /// By its own report, or by how its fixes scatter.
    fn sees_badly(&self, now: Tick) -> bool {
        self.dilution_now(now).is_some_and(|d| d >= POOR_DILUTION)
            || self.satellites_now(now).is_some_and(|n| n < FEW_SATELLITES)
            || self.scatter_now() >= MUCH_SCATTER
    }

    pub(super) fn dilution_now(&self, now: Tick) -> Option<f64> {
        self.dilution
            .filter(|(d, at)| now.since(*at) <= QUALITY_STANDS && d.is_finite())
            .map(|(d, _)| d)
    }

    pub(super) fn satellites_now(&self, now: Tick) -> Option<u32> {
        self.satellites
            .filter(|(_, at)| now.since(*at) <= QUALITY_STANDS)
            .map(|(n, _)| n)
    }

    pub(super) fn scatter_now(&self) -> f64 {
        self.scatter.mean().unwrap_or(0.0).max(0.0).sqrt()
    }

    fn check_frozen(
        &mut self,
        now: Tick,
        position: Position,
        speed: Option<Speed>,
        motion: &Motion,
    ) -> Result<(), Fault> {
        let still = match &mut self.still {
            Some(still) if still.position == position => still,
            other => {
                *other = Some(Still {
                    position,
                    since: now,
                    heading: motion.heading,
                    turned: 0.0,
                    moving_since: None,
                });
                return Ok(());
            }
        };
        if let Some(heading) = motion.heading {
            let turn = heading.since(*still.heading.get_or_insert(heading));
            still.turned = still.turned.max(turn.get().abs());
        }
        if speed.is_some_and(|speed| speed > FROZEN_SPEED) {
            still.moving_since.get_or_insert(now);
        } else {
            still.moving_since = None;
        }
        let moving = still
            .moving_since
            .is_some_and(|since| now.since(since) >= FROZEN_MOVING);
        let swung = still.turned > FROZEN_TURN_DEGREES.to_radians()
            && motion.arm > FROZEN_ARM
            && now.since(still.since) >= FROZEN_SWUNG;
        let age = now.since(still.since);
        if moving || swung || age >= FROZEN_ANYWAY {
            return Err(Fault::Frozen(age));
        }
        Ok(())
    }

    /// Everything the receiver sends is unchanged.
    fn check_repeats(&mut self, now: Tick, position: Position, word: &Word) -> Result<(), Fault> {
        let alike = self.run.is_frozen(now, position, FROZEN_REPEATS);
        let speaks = word.sky.is_some_and(|at| now.since(at) <= SILENCE);
        let lives = word.lived.is_none_or(|at| now.since(at) < FROZEN_REPEATS);
        if alike && speaks && !lives {
            return Err(Fault::Frozen(self.run.alike(now)));
        }
        Ok(())
    }

    /// Position, course and a speed above zero are repeated to the last digit.
    fn check_hung(&mut self, now: Tick, position: Position, word: &Word) -> Result<(), Fault> {
        self.hangs = false;
        let moving = word
            .speed
            .filter(|speed| *speed > Speed::ZERO)
            .filter(|_| word.speed_at.is_some_and(|at| now.since(at) <= SILENCE));
        let Some(speed) = moving else {
            // At rest it may pin its position.
            self.hung.pause();
            return Ok(());
        };
        let interval = Duration::try_from_secs_f64(self.interval.mean().unwrap_or_default())
            .unwrap_or_default();
        let all = (position, speed, word.course);
        self.hangs = self.hung.is_unusual(now, all, interval * HANGS_REPORTS);
        if self
            .hung
            .is_frozen(now, all, HUNG.max(interval * HUNG_REPORTS))
        {
            return Err(Fault::Frozen(self.hung.alike(now)));
        }
        Ok(())
    }

    /// Where the position would be without a leap that is held.
    pub(super) fn without_leap(&self, position: Position) -> Position {
        leap::without(position, self.leaps.shift())
    }

    fn check_jump(&mut self, now: Tick, position: Position, anchored: bool) -> Result<(), Fault> {
        let Some((at, last)) = self.last_good else {
            return Ok(());
        };
        let distance = last.distance_to(position);
        let possible = JUMP_ROOM.get() + JUMP_SPEED.get() * now.secs_since(at);
        if distance.get() <= possible {
            self.jumps_agreeing = 0;
            return Ok(());
        }
        let agrees = self
            .jumped_to
            .is_some_and(|there| there.distance_to(position).get() <= JUMP_ROOM.get());
        self.jumps_agreeing = if agrees { self.jumps_agreeing + 1 } else { 1 };
        self.jumped_to = Some(position);
        if !anchored && self.jumps_agreeing >= JUMPS_BELIEVED {
            self.jumps_agreeing = 0;
            return Ok(());
        }
        Err(Fault::Jump(distance))
    }

    pub(super) fn accept(&mut self, now: Tick, position: Position) {
        if let Some((at, _)) = self.last_good {
            let step = now.secs_since(at);
            // A dropout does not make a receiver slow.
            let longest = self.interval.mean().map_or(300.0, |mean| mean * 3.0);
            if step > 0.0 && step < 300.0 {
                self.interval.push(now, step.min(longest));
            }
        }
        let here = self.without_leap(position);
        // The second difference of three fixes removes steady motion; for independent errors its
        // variance is six times that of one fix.
        if let [Some((_, middle)), Some((first_at, first))] = self.history
            && now.since(first_at) <= SCATTER_SPAN
        {
            let half = first.distance_to(here) * 0.5;
            let halfway = first.moved(first.bearing_to(here), half);
            let off = middle.distance_to(halfway).get() * 2.0;
            // Two coordinates share the squared distance.
            self.scatter.push(now, (off * off / 12.0).min(MOST_SCATTER));
        }
        self.history = [Some((now, here)), self.history[0]];
        self.last_good = Some((now, position));
        self.good_since.get_or_insert(now);
    }
}

const FROZEN_REPEATS: Duration = Duration::from_mins(2);
const FROZEN_ARM: Metres = Metres::of(4.0);
const FROZEN_MOVING: Duration = Duration::from_secs(30);
const FROZEN_SWUNG: Duration = Duration::from_mins(2);
/// A receiver hangs if it repeats all of its last report, with a speed above zero, for this long, and at least so many
/// times: twenty seconds cost a drag little, and no working receiver in the recordings repeats more than three
/// reports. From the second number on, its speed is not used.
const HUNG: Duration = Duration::from_secs(20);
const HUNG_REPORTS: u32 = 10;
const HANGS_REPORTS: u32 = 4;
const JUMPS_BELIEVED: u32 = 10;
const MOST_SCATTER: f64 = 100.0;
const SCATTER_SPAN: Duration = Duration::from_secs(5);
/// A receiver counts as silent after this long without coordinates, or after three and a half of
/// its intervals.
const SILENCE: Duration = Duration::from_secs(10);
/// A receiver reports its method every few seconds; chosen.
const WORD_WAIT: Duration = Duration::from_secs(10);
/// Satellites and dilution count for this long after they were last reported.
const QUALITY_STANDS: Duration = Duration::from_mins(1);
