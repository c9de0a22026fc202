//! The pull test: does the anchor hold when the engine pulls at it?
//!
//! **Symbols.** `d` distance from the bow roller to the mark, which along the pull is all that
//! matters (sheering sideways does not change it); `t` time under steady load; `T` the length of
//! the stretch that is judged; `v` slope of the straight line through `d(t)` by least squares;
//! `m = v T` the movement along the pull; `s` scatter about the line, `n` independent fixes;
//! `w` = 0.6 `σ` what a fix wanders within minutes, `τ` = 150 s how fast it does.
//!
//! **Method.** When the load comes on she falls back while the rode draws straight, quickly at
//! first, then ever slower. The first [`SETTLING`] of steady load are therefore left out; of the
//! rest, at most the last [`LONGEST`] are judged. The uncertainty of `m` (95 %) is
//! `u = 1.96 √(12 s²/n + 1.2 · 2 w² (1 - e^(-T/τ)))`: the first term the slope's own error (least
//! squares with even spacing), the second the wander of the fix over `T`, whose effect on a slope
//! is 6/5 of that on the difference of two ends. *Yielding*: even `m - u` is more than
//! [`REST`] `T`, and she moved as much in the second half as a steady creep would (a
//! rode that draws straight moves little then). *Held*: even `m + u` is less than
//! [`CREEP`] `T`. Anything else *cannot be told*, and why is said: no fix, the load not steady or
//! not long enough, the position too uncertain, the movement not along the pull.
//!
//! **Load.** Where the engine's revolutions are known, the load is on while they are above
//! [`LEAST_LOAD`], steady while they stay within a tenth; a test begins by itself when that is so
//! while she is setting, or by order at any time at anchor, and it ends with the load. Where they
//! are not known it runs between the orders to start and to stop, and steadiness is the crew's.
//!
//! **Assumptions and weakness.** Revolutions say nothing of the gear: an engine racing in
//! neutral passes for a load, and the anchor would pass for held; look at the wash. Speed by
//! Doppler is not used: many receivers call a creep of 0.2 m/s zero. A creep slower than
//! [`CREEP`] can pass in the first minute; the longer the test, the finer it tells. What holds the
//! engine may not hold the night: the pull of an engine is that of some 20 to 30 kn of wind
//! (common practice, no source).
//!
//! **Source.** Least squares and the error of a slope: any textbook of statistics. `w` and `τ`:
//! receivers standing still 1 to 24 h differ from their own fix a minute before by 0.4 to 1.5 m
//! (root mean square a coordinate, seven reference recordings); 1.2 m follow from 0.6 × 2.5 m.
//! `CREEP`, `REST`, `SETTLING`: chosen; 3 m in a minute is no anchor to sleep on.
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

/// What the pull test says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum PullVerdict {
    /// She lies still under the load.
    Held,
    /// She creeps astern: the anchor drags.
    Yielding,
    /// Neither can be said; the reading says why.
    CannotTell,
}

impl PullVerdict {
    /// Each.
    pub const ALL: [Self; 3] = [Self::Held, Self::Yielding, Self::CannotTell];

    /// The word as it stands in JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Held => "held",
            Self::Yielding => "yielding",
            Self::CannotTell => "cannotTell",
        }
    }
}

/// How a pull test stands, or how the last one ended.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PullReading {
    /// The engine's revolutions, where they are known.
    pub load: Option<Hertz>,
    /// How long the load has been steady, whole seconds.
    pub held: f64,
    /// Movement along the pull, away from the anchor, over the time that is judged.
    pub moved: Metres,
    /// 95 % uncertainty of that.
    pub uncertainty: Metres,
    /// What follows.
    pub verdict: PullVerdict,
    /// In words: what was seen, or why nothing can be said.
    pub why: String,
    /// Still going on?
    pub running: bool,
}

/// Something the crew is to be told of a test.
#[derive(Clone, Debug, PartialEq)]
pub struct PullNews {
    /// In words.
    pub message: String,
    /// The reading behind it.
    pub reading: PullReading,
}

/// Runs pull tests. See the module's page.
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
    /// How often a load that had lasted was changed.
    changes: u32,
    track: VecDeque<(Tick, f64)>,
    /// Standard deviation of the last fix, and the doubt about the roller.
    sigma: f64,
    lever: f64,
    /// The last verdict that was one.
    decided: Option<PullReading>,
}

impl PullTest {
    /// Told in this crew's words.
    #[must_use]
    pub fn new(say: Wording) -> Self {
        Self {
            say,
            ..Self::default()
        }
    }

    /// By order: begin. Going on already is as well.
    pub fn start(&mut self, now: Tick) {
        match &mut self.trial {
            Some(trial) => trial.ordered = true,
            None => self.trial = Some(Trial::new(now, true)),
        }
    }

    /// By order: end. `None` when none was going on.
    pub fn stop(&mut self, now: Tick) -> Option<PullReading> {
        self.finish(now, true)
    }

    /// Is one going on?
    #[must_use]
    pub const fn is_running(&self) -> bool {
        self.trial.is_some()
    }

    /// Another mark, or none: what was measured is void.
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

    /// Takes the distance from the roller to the mark seen by one fix, the fix's standard
    /// deviation, and how far the roller may be from where it is taken to be.
    pub fn take_fix(&mut self, now: Tick, distance: Metres, sigma: Metres, lever: Metres) {
        let Some(trial) = &mut self.trial else { return };
        if trial.steady.is_none() {
            return;
        }
        if !trial.track.is_empty() && (lever.get() - trial.lever).abs() > 0.1 {
            // The heading came or went: another point of the boat is measured now.
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

    /// Looks at the engine and judges; to be called about once a second at anchor. `setting`: she
    /// is being dug in, so that a load begins a test by itself.
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
                // Ordered without a known load until now, and the engine idles.
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

    /// How the test stands, or how the last one about this mark ended.
    #[must_use]
    pub fn reading(&self, now: Tick) -> Option<PullReading> {
        match &self.trial {
            Some(trial) => Some(trial.assess(now, &self.say)),
            None => self.last.clone(),
        }
    }

    /// What the crew is to be told next.
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
        // A burst of the engine is no test that anybody asked for.
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
    /// The numbers behind it, SI.
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

    /// For people: the verdict, the numbers, what to do.
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

/// Does the engine pull with a working load, by its own word?
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
/// The longest stretch that is judged.
const LONGEST: Duration = Duration::from_secs(180);
/// More than this is no holding, metres a second.
const CREEP: f64 = 0.05;
/// Less than this is none, metres a second.
const REST: f64 = 0.02;
/// An order to stop that never comes.
const FORGOTTEN: Duration = Duration::from_mins(10);
/// How long an ordered test waits for the load.
const PATIENCE: Duration = Duration::from_mins(3);
const SPACING: Duration = Duration::from_millis(900);
const LEAST_SIGMA: f64 = 0.1;

#[cfg(test)]
mod tests;
