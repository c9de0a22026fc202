//! Instruments that fell silent, froze, or report impossible values. Hazard `instrument`.
//!
//! **Which.** Every instrument that was heard since the watch began, or at anchor before a restart
//! ([`Saved`](crate::watch::saved::Saved)). An instrument that was never heard is taken not to be aboard. Some
//! count only while the watch relies on them: the speed over the ground at anchor while there is a fix, the
//! revolutions during a pull test, and AIS at anchor among at least [`COMPANY`] vessels close by
//! ([`Neighbours::company`]). Aweigh, an instrument that has been silent for [`FORGOTTEN`] counts as switched off.
//!
//! **Lost** is an instrument whose trouble has lasted [`LOST_AFTER`]. Trouble begins with the last usable value
//! before a silence longer than [`Hearing::patience`], and ends when the instrument has reported for [`STEADY`]
//! without such a silence. So an instrument that comes and goes is lost as well, and is reported once. A frozen
//! instrument is lost at once, because its readings have been the same for long enough already. All lost
//! instruments share one alert, which grows when another is lost.
//!
//! **One situation, one alert.** While the data server is silent, only its own alert is active, and all counts
//! start again when it is back.
//!
//! **Weakness.** A sounder that repeats its last depth is believed until the tide exposes it
//! ([`sounder`](crate::watch::instruments)). Two wind instruments, or two compasses, count as one, which is lost
//! only when both are. If all neighbours switch their transponders off, the receiver looks lost.
//! Tests: `watch/tests/instrument.rs`.

use std::collections::BTreeMap;
use std::time::Duration;

use serde::{Deserialize, Serialize};
use serde_json::json;

use crate::alert::desk::Finding;
use crate::alert::hazard::Priority;
use crate::speech::Sentence;
use crate::speech::alerts::{Alert, Loss as Told};
use crate::speech::status::Status;
use crate::time::{Now, Tick, Timestamp};
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::instruments::Instruments;
use crate::watch::instruments::hearing::{Failing, Hearing, Instrument};
use crate::watch::judgement::{Judged, finding};
use crate::watch::neighbours::Neighbours;
use crate::watch::round::Round;
use crate::watch::sensors::engine_turns;

/// Follows which instruments are lost.
#[derive(Clone, Debug)]
pub struct Losses {
    begun: Tick,
    /// When the data server was heard again.
    resumed: Tick,
    known: BTreeMap<Instrument, Loss>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Loss {
    trouble: Option<Tick>,
    steady: Option<Tick>,
    lost: bool,
}

/// What the judgement needs besides the round.
#[derive(Clone, Copy, Debug)]
pub struct About<'a> {
    /// What the instruments reported.
    pub instruments: &'a Instruments,
    /// Other vessels.
    pub neighbours: &'a Neighbours,
    /// A pull test runs.
    pub pulls: bool,
    /// The wind was strong when it was last heard.
    pub blows: bool,
    /// The depth under the keel will be too small at a low water that is still to come.
    pub falls_short: bool,
}

/// An instrument without a usable value, for displays.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Quiet {
    /// The instrument.
    pub instrument: Instrument,
    /// What is wrong.
    pub failing: Failing,
    /// When its last usable value came; `None` if none came since the watch began.
    pub since: Option<Timestamp>,
}

struct Lost {
    instrument: Instrument,
    failing: Failing,
    silent: Duration,
    /// It was heard since the watch began.
    heard: bool,
    /// It reports now and then.
    flickers: bool,
}

impl Losses {
    /// Starts with the instruments that were heard at anchor before a restart.
    #[must_use]
    pub fn restored(now: Tick, heard: &[Instrument]) -> Self {
        let known = heard.iter().map(|it| (*it, Loss::default()));
        Self {
            begun: now,
            resumed: now,
            known: known.collect(),
        }
    }

    /// The instruments to remember over a restart. Aweigh there are none, since somebody may have switched them all
    /// off.
    #[must_use]
    pub fn heard_at(&self, phase: AnchorPhase) -> Vec<Instrument> {
        let lasting = |it: &Instrument| {
            phase.is_anchored() && !matches!(it, Instrument::Revolutions | Instrument::Ais)
        };
        self.known.keys().copied().filter(lasting).collect()
    }

    /// The data server sends nothing.
    pub fn data_lost(&mut self, now: Tick) {
        self.resumed = now;
        self.known
            .values_mut()
            .for_each(|loss| *loss = Loss::default());
    }

    /// Judges the hazard.
    pub fn judge(&mut self, round: &Round, about: &About) -> Judged {
        let now = round.seen.now.tick;
        for instrument in Instrument::ALL {
            if about.hearing(instrument).is_some() {
                self.known.entry(instrument).or_default();
            }
        }
        let (begun, resumed) = (self.begun, self.resumed);
        for (instrument, loss) in &mut self.known {
            let hearing = about.hearing(*instrument);
            loss.look(now, *instrument, hearing, begun.max(resumed));
        }
        if !round.anchored() {
            let silent = |it: &Instrument| now.since(last(about.hearing(*it), begun));
            self.known.retain(|it, _| silent(it) <= FORGOTTEN);
        }
        let lost: Vec<Lost> = self
            .known
            .iter()
            .filter(|(it, _)| about.relies(round, **it))
            .filter_map(|(it, loss)| loss.told(now, *it, about.hearing(*it), begun))
            .collect();
        told(&lost, round.anchored(), about).map_or(Judged::Gone, Judged::Stands)
    }

    /// The instruments without a usable value, and since when.
    #[must_use]
    pub fn quiet(&self, now: Now, instruments: &Instruments) -> Vec<Quiet> {
        let of = |it: &Instrument| {
            let hearing = instruments.hearing(*it);
            let good = hearing.and_then(Hearing::good);
            let patience = hearing.map_or(Duration::ZERO, Hearing::patience);
            let quiet = now.tick.since(good.unwrap_or(self.begun)) > patience;
            quiet.then(|| Quiet {
                instrument: *it,
                failing: hearing.map_or(Failing::Silent, |hearing| hearing.failing(now.tick)),
                since: good.map(|at| now.utc_of(at)),
            })
        };
        let shown = |it: &&Instrument| !matches!(it, Instrument::Revolutions | Instrument::Ais);
        self.known.keys().filter(shown).filter_map(of).collect()
    }
}

/// A vessel at anchor sends her place every three minutes (ITU-R M.1371).
const AT_ANCHOR: Duration = Duration::from_secs(200);

fn last(hearing: Option<&Hearing>, begun: Tick) -> Tick {
    hearing.and_then(Hearing::good).unwrap_or(begun)
}

impl Loss {
    fn look(&mut self, now: Tick, instrument: Instrument, hearing: Option<&Hearing>, begun: Tick) {
        let last = last(hearing, begun).max(begun);
        let mut patience = hearing.map_or(Duration::ZERO, Hearing::patience);
        if instrument == Instrument::Ais {
            // Each message comes as several frames, so the learned interval says nothing of the next message.
            patience = patience.max(AT_ANCHOR);
        }
        if now.since(last) > patience {
            let trouble = *self.trouble.get_or_insert(last);
            self.steady = None;
            // An instrument that reports again is not reported as lost until it falls silent again.
            let limit = lost_after(instrument, failing(now, hearing));
            self.lost = self.lost || now.since(trouble) > limit;
        } else if now.since(*self.steady.get_or_insert(now)) >= STEADY {
            self.trouble = None;
            self.lost = false;
        }
    }

    fn told(
        self,
        now: Tick,
        instrument: Instrument,
        hearing: Option<&Hearing>,
        begun: Tick,
    ) -> Option<Lost> {
        let failing = failing(now, hearing);
        let trouble = now.since(self.trouble.filter(|_| self.lost)?);
        let silent = now.since(last(hearing, begun));
        let flickers = silent < lost_after(instrument, failing).min(trouble);
        Some(Lost {
            instrument,
            failing,
            silent: if flickers { trouble } else { silent },
            heard: hearing.and_then(Hearing::good).is_some(),
            flickers,
        })
    }
}

fn failing(now: Tick, hearing: Option<&Hearing>) -> Failing {
    hearing.map_or(Failing::Silent, |hearing| hearing.failing(now))
}

const fn lost_after(instrument: Instrument, failing: Failing) -> Duration {
    match (instrument, failing) {
        (_, Failing::Frozen) => Duration::ZERO,
        (Instrument::Ais, _) => AIS_LOST_AFTER,
        (Instrument::Revolutions, _) => REVOLUTIONS_LOST_AFTER,
        _ => LOST_AFTER,
    }
}

impl About<'_> {
    fn hearing(&self, instrument: Instrument) -> Option<&Hearing> {
        match instrument {
            Instrument::Ais => Some(self.neighbours.hearing()),
            other => self.instruments.hearing(other),
        }
        .filter(|hearing| hearing.good().is_some())
    }

    /// Does the watch rely on this instrument now?
    fn relies(&self, round: &Round, instrument: Instrument) -> bool {
        match instrument {
            Instrument::Wind
            | Instrument::WindDirection
            | Instrument::Sounder
            | Instrument::Heading => true,
            Instrument::Speed => {
                let here = round.seen.here.filter(|_| round.anchored());
                let now = round.seen.now.tick;
                here.is_some_and(|here| now.since(here.fix.at) <= round.seen.lost_after)
            }
            Instrument::Revolutions => {
                self.pulls && engine_turns(self.instruments.last_revolutions())
            }
            Instrument::Ais => {
                let here = round.seen.here.filter(|_| round.anchored());
                here.is_some_and(|here| self.neighbours.company(here.centre) >= COMPANY)
            }
        }
    }
}

impl Quiet {
    /// What is wrong and for how long.
    #[must_use]
    pub fn told(&self, now: Timestamp) -> Status {
        let what = match (self.instrument, self.failing) {
            (_, Failing::Silent) => "silent",
            (Instrument::Sounder, Failing::Empty) => "noBottom",
            (_, Failing::Empty) => "noValue",
            (_, Failing::Impossible) => "impossible",
            (_, Failing::Frozen) => "frozen",
        };
        self.since.map_or(Status::NotHeard, |since| {
            let millis = now.millis_since(since).max(0).unsigned_abs();
            let time = Duration::from_millis(millis);
            Status::Failing { what, time }
        })
    }
}

impl Lost {
    fn sentence(&self) -> Told {
        let (instrument, time) = (self.instrument.called(), self.silent);
        if self.flickers {
            return Told::Flickers { instrument, time };
        }
        if !self.heard {
            return Told::NotHeard { instrument, time };
        }
        match (self.instrument, self.failing) {
            (_, Failing::Silent) => Told::Silent { instrument, time },
            (Instrument::Sounder, Failing::Empty) => Told::NoBottom { instrument, time },
            (_, Failing::Empty) => Told::NoValue { instrument, time },
            (_, Failing::Impossible) => Told::Impossible { instrument, time },
            (_, Failing::Frozen) => Told::Frozen { instrument },
        }
    }
}

/// The instruments that are lost, and what the watch cannot do without them.
fn told(lost: &[Lost], anchored: bool, about: &About) -> Option<Finding<Sentence>> {
    let is = |which: Instrument| lost.iter().any(|lost| lost.instrument == which);
    // If the wind is lost, so is its direction.
    let wind = is(Instrument::Wind);
    let lost = || {
        lost.iter()
            .filter(move |lost| !(wind && lost.instrument == Instrument::WindDirection))
    };
    let longest = lost().map(|lost| lost.silent).max()?;
    let grave =
        anchored && ((is(Instrument::Sounder) && about.falls_short) || (wind && about.blows));
    Some(finding(
        if grave {
            Priority::Warning
        } else {
            Priority::Caution
        },
        lost().count() as f64,
        Alert::InstrumentLost {
            what: Sentence::several(lost().map(Lost::sentence), ", "),
            costs: Sentence::several(lost().map(|lost| lost.instrument.cost()), ", "),
        },
        json!({
            "silentFor": longest.as_secs(),
            "instruments": lost().map(|lost| lost.instrument).collect::<Vec<_>>(),
        }),
    ))
}

const LOST_AFTER: Duration = Duration::from_mins(2);
const REVOLUTIONS_LOST_AFTER: Duration = Duration::from_secs(30);
/// Class A and B report every three minutes at anchor (ITU-R M.1371-5, annex 1, table 1); two reports may fail.
const AIS_LOST_AFTER: Duration = Duration::from_mins(10);
const STEADY: Duration = Duration::from_mins(1);
const FORGOTTEN: Duration = Duration::from_hours(6);
/// A single vessel that falls silent may have left or switched off.
const COMPANY: usize = 2;
