//! The pull test: does the anchor hold when the engine pulls at it?
//!
//! **Symbols.** `d` is the distance from the bow roller to the mark, which is all that matters
//! along the pull (sheering sideways does not change it); `t` is the time under steady load; `T`
//! the length of the stretch that is judged; `v` the slope of the straight line through `d(t)` by
//! least squares; `m = v T` the movement along the pull; `s` the scatter about the line, `n` the
//! number of independent fixes; `w` = 0.6 `σ` how far a fix wanders within minutes, `τ` = 150 s how
//! fast it does.
//!
//! **Method.** When the load comes on she falls back while the rode draws straight, quickly at
//! first, then ever more slowly. The first [`SETTLING`] of steady load are therefore left out; of
//! the rest, at most the last [`LONGEST`] are judged. The uncertainty of `m` (95 %) is `u = 1.96
//! √(12 s²/n + 1.2 · 2 w² (1 - e^(-T/τ)))`: the first term is the slope's own error (least squares
//! with even spacing), the second is the wander of the fix over `T`, whose effect on a slope is 6/5
//! of its effect on the difference of two ends. *Yielding*: even `m - u` is more than [`REST`] `T`,
//! and she moved as much in the second half as a steady creep would (a rode that is drawing
//! straight moves little then). *Held*: even `m + u` is less than [`CREEP`] `T`. In all other cases
//! the result *cannot be told*, and the reading says why: no fix, the load not steady or not long
//! enough, the position too uncertain, the movement not along the pull.
//!
//! **Load.** If the engine's revolutions are known, the load is on while they are above
//! [`LEAST_LOAD`], and steady while they stay within a tenth. A test then begins by itself under
//! these conditions while she is setting, or by order at any time at anchor, and it ends with the
//! load. If the revolutions are not known, the test runs between the orders to start and to stop,
//! and the crew keeps the load steady.
//!
//! **Assumptions and weakness.** Revolutions do not show the gear: an engine racing in neutral
//! passes for a load, and the anchor would pass for held; look at the wash. Speed by Doppler is not
//! used: many receivers report a creep of 0.2 m/s as zero. A creep slower than [`CREEP`] may go
//! unnoticed in the first minute; a longer test is more sensitive. An anchor that holds against the
//! engine may not hold through the night: an engine pulls about as hard as 20 to 30 kn of wind
//! (common practice, no source).
//!
//! **Source.** Least squares and the error of a slope: any textbook of statistics. `w` and `τ`:
//! receivers standing still for 1 to 24 h differ from their own fix a minute before by 0.4 to 1.5 m
//! (root mean square per coordinate, seven reference recordings); 1.2 m follow from 0.6 × 2.5 m.
//! `CREEP`, `REST`, `SETTLING`: chosen; an anchor that moves 3 m in a minute is not safe to sleep
//! on.
//!
//! **Tests**: `falling_back_while_the_chain_draws_straight_and_then_standing_still_is_held`,
//! `a_steady_creep_is_yielding`, `too_much_noise_no_fix_and_an_unsteady_load_cannot_tell`,
//! `a_wandering_receiver_is_seldom_called_yielding`.

mod trial;

use std::collections::VecDeque;
use std::time::Duration;

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value, json};

use crate::speech::Wording;
use crate::speech::notes::{Pull, PullTest as Said};
use crate::time::Tick;
use crate::units::{Hertz, Metres};
use crate::watch::judgement::centimetres;

/// The result of the pull test.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum PullVerdict {
    /// She lies still under the load.
    Held,
    /// She creeps astern: the anchor drags.
    Yielding,
    /// Neither is certain; the reading says why.
    CannotTell,
}

impl PullVerdict {
    /// All verdicts.
    pub const ALL: [Self; 3] = [Self::Held, Self::Yielding, Self::CannotTell];

    /// The verdict as it is written in JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Held => "held",
            Self::Yielding => "yielding",
            Self::CannotTell => "cannotTell",
        }
    }
}

/// The state of a pull test, or how the last one ended.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PullReading {
    /// The engine's revolutions, if they are known.
    pub load: Option<Hertz>,
    /// How long the load has been steady, whole seconds.
    pub held: f64,
    /// Movement along the pull, away from the anchor, over the stretch that is judged.
    pub moved: Metres,
    /// 95 % uncertainty of the movement.
    pub uncertainty: Metres,
    /// The verdict.
    pub verdict: PullVerdict,
    /// In words: what was observed, or why there is no verdict.
    pub why: String,
    /// Is the test still running?
    pub running: bool,
}

/// Something about a test that the crew must be told.
#[derive(Clone, Debug, PartialEq)]
pub struct PullNews {
    /// The message.
    pub message: String,
    /// The reading behind it.
    pub reading: PullReading,
}

/// Runs pull tests. See the module documentation.
#[derive(Clone, Debug, Default)]
pub struct PullTest {
    say: Wording,
    trial: Option<Trial>,
    last: Option<PullReading>,
    news: VecDeque<PullNews>,
}

#[derive(Clone, Debug)]
struct Trial {
    ordered: bool,
    begun: Tick,
    load: Option<Hertz>,
    /// Since when the load is on and steady.
    steady: Option<Tick>,
    /// How often the load changed after it had been steady.
    changes: u32,
    track: VecDeque<(Tick, f64)>,
    /// Standard deviation of the last fix, and the doubt about the roller.
    sigma: f64,
    lever: f64,
    /// The last definite verdict.
    decided: Option<PullReading>,
}

impl PullTest {
    /// Messages use this crew's language and units.
    #[must_use]
    pub fn new(say: Wording) -> Self {
        Self {
            say,
            ..Self::default()
        }
    }

    /// Begins a test by order. A test that is already running goes on.
    pub fn start(&mut self, now: Tick) {
        match &mut self.trial {
            Some(trial) => trial.ordered = true,
            None => self.trial = Some(Trial::new(now, true)),
        }
    }

    /// Ends a test by order. `None` if none was running.
    pub fn stop(&mut self, now: Tick) -> Option<PullReading> {
        self.finish(now, true)
    }

    /// Is a test running?
    #[must_use]
    pub const fn is_running(&self) -> bool {
        self.trial.is_some()
    }

    /// Another mark, or none: the measurements are void.
    pub fn reset(&mut self) {
        *self = Self::new(std::mem::take(&mut self.say));
    }

    /// Rode was veered or the mark corrected: the distance starts again, the load does not.
    pub fn measure_anew(&mut self, now: Tick) {
        if let Some(trial) = &mut self.trial {
            trial.track.clear();
            trial.steady = trial.steady.map(|_| now);
            trial.decided = None;
        }
    }

    /// Takes the distance from the roller to the mark by one fix, the fix's standard deviation, and
    /// how far the roller may be from its assumed position.
    pub fn take_fix(&mut self, now: Tick, distance: Metres, sigma: Metres, lever: Metres) {
        let Some(trial) = &mut self.trial else { return };
        if trial.steady.is_none() {
            return;
        }
        if !trial.track.is_empty() && (lever.get() - trial.lever).abs() > 0.1 {
            // The heading appeared or was lost: another point of the boat is measured now.
            self.measure_anew(now);
            return self.take_fix(now, distance, sigma, lever);
        }
        trial.lever = lever.get();
        trial.sigma = sigma.get().max(LEAST_SIGMA);
        let close = |(at, _): &(Tick, f64)| now.since(*at) < SPACING;
        if !trial.track.back().is_some_and(close) {
            trial.track.push_back((now, distance.get()));
        }
        while trial
            .track
            .front()
            .is_some_and(|(at, _)| now.since(*at) > LONGEST)
        {
            trial.track.pop_front();
        }
    }

    /// Reads the engine and judges; must be called about once a second at anchor. `setting`: she is
    /// being dug in, so a load begins a test by itself.
    pub fn judge(&mut self, now: Tick, revolutions: Option<Hertz>, setting: bool) {
        let pulls = revolutions.filter(|_| works(revolutions));
        if self.trial.is_none() && setting && pulls.is_some() {
            self.trial = Some(Trial::new(now, false));
        }
        let Some(trial) = &mut self.trial else { return };
        match (revolutions, pulls) {
            (_, Some(rate)) => trial.pull_with(now, rate),
            (Some(_), None) => {
                let over = trial.load.is_some() || now.since(trial.begun) > PATIENCE;
                if over {
                    self.finish(now, false);
                    return;
                }
                // The test was ordered without a known load, and now the engine is heard idling.
                trial.steady = None;
                trial.track.clear();
            }
            (None, None) => {
                if trial.load.is_some() && !trial.ordered {
                    self.finish(now, false);
                    return;
                }
                if trial.load.take().is_some() || trial.steady.is_none() {
                    trial.begin(now);
                }
            }
        }
        let reading = trial.assess(now, &self.say);
        if reading.verdict == PullVerdict::CannotTell {
            if trial.ordered && now.since(trial.begun) > FORGOTTEN {
                self.finish(now, false);
            }
            return;
        }
        let told = trial.decided.as_ref().map(|decided| decided.verdict);
        if told != Some(reading.verdict) {
            self.news.push_back(PullNews {
                message: reading.sentence(&self.say),
                reading: reading.clone(),
            });
        }
        trial.decided = Some(reading);
        if now.since(trial.begun) > FORGOTTEN {
            self.finish(now, false);
        }
    }

    /// The state of the test, or how the last one about this mark ended.
    #[must_use]
    pub fn reading(&self, now: Tick) -> Option<PullReading> {
        match &self.trial {
            Some(trial) => Some(trial.assess(now, &self.say)),
            None => self.last.clone(),
        }
    }

    /// What the crew must be told next.
    pub fn poll_news(&mut self) -> Option<PullNews> {
        self.news.pop_front()
    }

    fn finish(&mut self, now: Tick, by_order: bool) -> Option<PullReading> {
        let trial = self.trial.take()?;
        let undecided = trial.decided.is_none();
        let mut reading = trial.decided.clone().unwrap_or_else(|| {
            let mut reading = trial.assess(now, &self.say);
            if reading.verdict == PullVerdict::CannotTell && trial.changes >= 2 {
                reading.why = Pull::NotSteady {
                    changes: trial.changes.into(),
                    needed: HOLD.as_secs(),
                }
                .words(&self.say);
            }
            reading
        });
        reading.running = false;
        // A burst of the engine is not a test that anybody asked for.
        let asked = trial.ordered || reading.held >= HOLD.as_secs_f64() / 2.0;
        if undecided && asked && !by_order {
            self.news.push_back(PullNews {
                message: reading.sentence(&self.say),
                reading: reading.clone(),
            });
        }
        if asked || !undecided {
            self.last = Some(reading.clone());
        }
        Some(reading)
    }
}

impl PullReading {
    /// The numbers behind the verdict, SI.
    #[must_use]
    pub fn evidence(&self) -> Map<String, Value> {
        let mut evidence = Map::new();
        if let Some(load) = self.load {
            evidence.insert(
                "pullLoad".to_owned(),
                json!((load.get() * 100.0).round() / 100.0),
            );
        }
        evidence.insert("pullHeld".to_owned(), json!(self.held));
        evidence.insert("pullMoved".to_owned(), json!(centimetres(self.moved)));
        evidence.insert(
            "pullUncertainty".to_owned(),
            json!(centimetres(self.uncertainty)),
        );
        evidence
    }

    /// For people: the verdict, the numbers and what to do.
    #[must_use]
    pub fn sentence(&self, say: &Wording) -> String {
        let why = self.why.clone();
        let said = match self.verdict {
            PullVerdict::Held => Said::Held { why },
            PullVerdict::Yielding => Said::Yielding { why },
            PullVerdict::CannotTell => Said::CannotTell { why },
        };
        said.words(say)
    }
}

/// Does the engine pull with a working load, by its own report?
#[must_use]
pub fn works(revolutions: Option<Hertz>) -> bool {
    revolutions.is_some_and(|rate| rate.get() >= LEAST_LOAD)
}

/// Below this an engine idles (1000 rpm; common practice, no source: cruising diesels idle at 750
/// to 900), hertz.
const LEAST_LOAD: f64 = 1000.0 / 60.0;
/// How long the load must be steady.
const HOLD: Duration = Duration::from_secs(60);
/// How long the rode is given to draw straight.
const SETTLING: Duration = Duration::from_secs(20);
/// The longest stretch of time that is judged.
const LONGEST: Duration = Duration::from_secs(180);
/// Faster than this the anchor does not hold, metres a second.
const CREEP: f64 = 0.05;
/// Slower than this does not count as movement, metres a second.
const REST: f64 = 0.02;
/// A test ends after this long if the order to stop never comes.
const FORGOTTEN: Duration = Duration::from_mins(10);
/// How long an ordered test waits for the load.
const PATIENCE: Duration = Duration::from_mins(3);
const SPACING: Duration = Duration::from_millis(900);
const LEAST_SIGMA: f64 = 0.1;

#[cfg(test)]
mod tests;
