//! The watchkeeper: one engine that takes every input and returns every output.
//!
//! # How to use it
//! Call [`Watchkeeper::handle`] with each input and its moment, and [`Watchkeeper::handle_timeout`] when
//! [`Watchkeeper::poll_timeout`] is due. After each call, take [`Watchkeeper::poll_output`] until it is empty and
//! carry out the outputs in that order (what must be on disk comes first). Time may stand still or go backwards;
//! nothing happens then. The same inputs at the same moments give the same outputs, byte for byte.
//!
//! # A round
//! Once a second, and whenever somebody waits for an answer: the anchorage updates its phase, everything known now
//! is put together ([`Round`]), each of the [`JUDGEMENTS`] judges its hazard, and the announcer reports what has
//! changed. The phases are described in [`anchorage`](super::anchorage).

mod orders;
mod room;
mod telling;

pub use telling::Lying;

use std::sync::Arc;
use std::time::Duration;

use crate::alert::hazard::{AlertView, Hazard};
use crate::boat::Boat;
use crate::geodesy::Position;
use crate::observation::{Fact, Report, Subject};
use crate::speech::Sentence;
use crate::speech::notes::Note;
use crate::tackle::water::Tide;
use crate::time::{Now, Tick, Timestamp};
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::anchorage::{Anchorage, dragging};
use crate::watch::announcer::Announcer;
use crate::watch::changed::Changes;
use crate::watch::charted::Charted;
use crate::watch::health::Health;
use crate::watch::judgement::Judged;
use crate::watch::link::Link;
use crate::watch::losses::{About, Losses};
use crate::watch::messages::{Input, LinkState, Outcome, Output};
use crate::watch::neighbours::Neighbours;
use crate::watch::neighbours::telling::Neighbour;
use crate::watch::pull::PullTest;
use crate::watch::round::Round;
use crate::watch::saved::Saved;
use crate::watch::scope::ScopeWatch;
use crate::watch::sensors::Sensors;
use crate::watch::settings::WatchSettings;
use crate::watch::track::Track;
use crate::watch::water::Water;
use crate::watch::wind::WindWatch;

/// The engine. See the module documentation.
#[derive(Debug)]
pub struct Watchkeeper {
    settings: Arc<WatchSettings>,
    sensors: Sensors,
    link: Link,
    losses: Losses,
    anchorage: Anchorage,
    wind: WindWatch,
    water: Water,
    charted: Charted,
    scope: ScopeWatch,
    pull: PullTest,
    neighbours: Neighbours,
    health: Health,
    track: Track,
    announcer: Announcer,
    judged: Tick,
}

/// Judges one hazard from the facts in the round.
type Judgement = fn(&mut Watchkeeper, &Round) -> Judged;

/// Every hazard with its judgement, in the order of judging: gravest first.
const JUDGEMENTS: [(Hazard, Judgement); Hazard::ALL.len()] = [
    (Hazard::Dragging, |watch, round| {
        dragging::judge(round, watch.announcer.desk().state(Hazard::Dragging))
    }),
    (Hazard::SwingExceeded, |watch, round| {
        watch.anchorage.judge_swing(round, watch.announcer.desk())
    }),
    (Hazard::Shoaling, |watch, round| {
        let told = watch.announcer.tells(Hazard::Shoaling);
        let sounded = watch.water.judge(round, told);
        watch.charted.judge(round, told, sounded)
    }),
    (Hazard::Neighbour, |watch, round| {
        let told = watch.announcer.tells(Hazard::Neighbour);
        let judged = watch.neighbours.judge(round, told);
        watch.covered_by_link(round).unwrap_or(judged)
    }),
    (Hazard::Position, |watch, round| {
        let (in_grace, fixes) = (watch.in_grace(round), watch.sensors.fixes());
        let covered = watch.covered_by_link(round);
        covered.unwrap_or_else(|| fixes.judge(round.seen.now, round.anchored(), in_grace))
    }),
    (Hazard::DataLink, |watch, round| {
        let (limit, in_grace) = (watch.settings.link_lost_after, watch.in_grace(round));
        watch
            .link
            .judge(round.seen.now, round.anchored(), limit, in_grace)
    }),
    (Hazard::Watch, |watch, round| {
        let unmarked = watch.anchorage.unmarked(&round.seen);
        watch.health.judge(round, unmarked)
    }),
    (Hazard::Instrument, |watch, round| {
        watch.judge_instruments(round)
    }),
    (Hazard::WindShift, |watch, round| {
        watch.wind.judge_shift(round)
    }),
    (Hazard::WindStrength, |watch, round| {
        watch.wind.judge_strength(round)
    }),
    (Hazard::ScopeShort, |watch, round| {
        let told = watch.announcer.told(Hazard::ScopeShort);
        watch.scope.judge(round, told)
    }),
];

impl Watchkeeper {
    /// Starts a new watch, or continues one after a restart from what was `saved`. [`Input::Began`] must be the
    /// first input.
    #[must_use]
    pub fn new(now: Now, settings: WatchSettings, saved: Saved) -> Self {
        Self {
            sensors: Sensors::new(now.tick, &settings),
            link: Link::new(now.tick),
            losses: Losses::restored(now.tick, &saved.heard),
            anchorage: Anchorage::restored(now.tick, &saved, &settings),
            wind: WindWatch::new(&settings),
            water: Water::new(
                settings.forecast.clone(),
                settings.stay,
                settings.wording.clone(),
                saved.least_sounded,
            ),
            charted: Charted::restored(now.tick, saved.shoal_by_chart),
            scope: ScopeWatch::default(),
            pull: PullTest::new(settings.wording.clone()),
            neighbours: Neighbours::restored(now, &saved.neighbours),
            health: Health::new(
                settings.least_voltage,
                Changes::restored(now.tick, &saved.changes),
            ),
            track: Track::default(),
            announcer: Announcer::restored(now, settings.wording.clone(), settings.desk, saved),
            judged: now.tick,
            settings: Arc::new(settings),
        }
    }

    /// Takes an input.
    pub fn handle(&mut self, now: Now, input: Input) {
        let urgent = match input {
            Input::Began { last_seen } => {
                self.begin(now, last_seen);
                return;
            }
            Input::Report(report) => {
                self.take_report(now, &report);
                false
            }
            Input::Command { id, command, by } => {
                match (self.obey(now, &command, by), self.charted.waits(&command)) {
                    (Ok(said), Some(about)) => {
                        let said = said.words(&self.settings.wording);
                        self.charted.answer_later(now.tick, id, about, said);
                    }
                    (Ok(said), None) => {
                        let said = said.words(&self.settings.wording);
                        self.announcer.reply(id, Outcome::Done(said));
                    }
                    (Err(refusal), _) => {
                        let why = refusal.words(&self.settings.wording);
                        self.announcer.reply(id, Outcome::Refused(why));
                    }
                }
                true
            }
            Input::Link(state) => {
                let down = matches!(state, LinkState::Down(_));
                let changed = self.link.take(now.tick, state);
                if changed && down {
                    self.sensors.link_lost();
                }
                changed
            }
            Input::Display(action) => {
                self.announcer.handle_display(now, action);
                true
            }
            Input::Impaired(why) => self.health.take_impaired(why),
            Input::MayBeLost(why) => self.health.take_may_be_lost(why),
            Input::Stopping => {
                self.health.stop();
                self.water.stop();
                true
            }
            Input::TokenEnds(at) => self.health.take_token_ends(at),
            Input::FoundServer { name, url } => self.health.take_found_server(name, url),
            Input::Phones(phones) => self.health.take_phones(phones),
            Input::Chart(news) => {
                if matches!(news, crate::watch::charted::ChartNews::Forgotten(_)) {
                    self.water.forget_soundings();
                }
                self.charted.take(now.tick, &news);
                true
            }
            Input::Timeout => true,
        };
        if urgent || now.tick.since(self.judged) >= JUDGE_EVERY {
            self.handle_timeout(now);
        }
    }

    /// Sets whether the state is put together for publishing: a replay that nobody looks at needs none.
    pub const fn publish(&mut self, publishes: bool) {
        self.announcer.publish(publishes);
    }

    /// Makes a round. Call this when [`Watchkeeper::poll_timeout`] is due.
    pub fn handle_timeout(&mut self, now: Now) {
        self.judged = now.tick;
        self.announcer.handle_timeout(now);
        // The stay entered with a berth is for planning only; at anchor the watch looks ahead as far as configured.
        let berth = self.anchorage.berth();
        let planning = berth.filter(|_| self.anchorage.phase() == AnchorPhase::Aweigh);
        self.water
            .stay_as(planning.and_then(|berth| berth.wishes.stay));
        self.water.predict(now);
        self.health.power_mut().handle_timeout(now);
        let seen = self.sensors.seen(now, &self.settings, &self.wind);
        self.anchorage
            .handle_timeout(&seen, &self.wind, &mut self.announcer);
        let round = self.round(now);
        if let Some(tide) = &round.tide {
            self.sensors.see_tide(tide.now);
        }
        self.run_pull_test(&round);
        self.follow_approach(&round);
        self.keep_soundings(&round);
        self.look_at_the_chart(&round);
        for (hazard, judge) in JUDGEMENTS {
            let judged = judge(self, &round);
            self.announcer.judged(now, hazard, judged);
        }
        let acknowledged = self.announcer.tell_changes(now);
        if acknowledged.contains(&Hazard::Watch) {
            self.health.changes_mut().seen();
        }
        if acknowledged.contains(&Hazard::WindShift) {
            // The crew has dealt with this shift, so the next one is measured from the present wind.
            self.anchorage
                .wind_was_seen(self.wind.mean_direction(now.tick));
            self.wind.seen();
            self.announcer.desk_mut().measure_anew(Hazard::WindShift);
        }
        if self.announcer.wants_state(now) {
            let state = self.picture_of(&round);
            self.announcer.state(now, state);
        }
        self.announcer.flush(self.saved());
    }

    /// The last time it judged, which shows that it is alive.
    #[must_use]
    pub const fn judged(&self) -> Tick {
        self.judged
    }

    /// When to call [`Watchkeeper::handle_timeout`] next.
    #[must_use]
    pub fn poll_timeout(&self) -> Option<Tick> {
        Some(self.judged + JUDGE_EVERY)
    }

    /// Has a fix shown something for which the next round will raise an alarm? A daemon then calls
    /// [`Watchkeeper::handle_timeout`] at once. A replay need not: its verdicts are the same and at most a second
    /// later.
    #[must_use]
    pub const fn has_news(&self) -> bool {
        self.anchorage.has_news()
    }

    /// The next output.
    pub fn poll_output(&mut self) -> Option<Output> {
        self.announcer.poll_output()
    }

    /// The boat, from the configuration and the server.
    #[must_use]
    pub const fn boat(&self) -> &Boat {
        self.sensors.boat()
    }

    /// Alerts that are not normal, gravest first.
    #[must_use]
    pub fn alerts(&self) -> Vec<AlertView> {
        self.announcer.desk().standing()
    }

    /// The predicted tide.
    #[must_use]
    pub fn outlook(&self, now: Now) -> Option<Tide> {
        self.water.outlook(now)
    }

    /// Every vessel heard nearby, the nearest first; none while our own position is unknown.
    #[must_use]
    pub fn neighbours(&self, now: Now) -> Vec<Neighbour> {
        self.neighbours.nearest(&self.round(now), MOST_NEIGHBOURS)
    }

    /// The number of vessels heard.
    #[must_use]
    pub fn vessels_heard(&self, now: Now) -> usize {
        self.neighbours.heard(now.tick)
    }

    /// What must be on disk now.
    #[must_use]
    pub fn saved(&self) -> Saved {
        let desk = self.announcer.desk();
        let mut saved = Saved {
            alerts: desk.standing(),
            measures: desk.measures(),
            raises: desk.raises(),
            changes: self.health.changes().saved(),
            least_sounded: self.water.least_reduced(),
            heard: self.losses.heard_at(self.anchorage.phase()),
            shoal_by_chart: self.charted.told_by_chart(),
            neighbours: self.neighbours.saved(),
            ..Saved::default()
        };
        self.anchorage.save(&mut saved);
        saved
    }

    /// Everything that is known now.
    fn round(&self, now: Now) -> Round {
        let seen = self.sensors.seen(now, &self.settings, &self.wind);
        Round {
            phase: self.anchorage.phase(),
            lies: self.anchorage.lies(&seen),
            tide: self.water.outlook(now),
            seen,
        }
    }

    /// Reports to the crew how long the watch was blind, and sends the active alerts to the displays, which may
    /// still show old ones.
    fn begin(&mut self, now: Now, last_seen: Option<Timestamp>) {
        let phase = self.anchorage.phase();
        if phase.is_anchored() {
            let phase = phase.word();
            let told = match last_seen {
                Some(seen) if seen < now.utc => Note::GoesOn {
                    phase,
                    since: seen.clock(),
                    blind: Duration::from_millis(now.utc.millis_since(seen).unsigned_abs()),
                },
                Some(_) => Note::GoesOnClockBack { phase },
                None => Note::GoesOnUnknown { phase },
            };
            self.announcer.note(now, told);
        }
        self.announcer.show_standing();
        self.announcer.flush(self.saved());
    }

    fn take_report(&mut self, now: Now, report: &Report) {
        self.link.hear(now.tick);
        if let Subject::Other(vessel) = &report.subject {
            self.neighbours
                .take(now, vessel, report.stamp, &report.facts);
            return;
        }
        for fact in &report.facts {
            if !self.sensors.is_news(now, &self.settings, report, fact) {
                continue;
            }
            match fact {
                Fact::Position(position) => self.take_position(now, report, *position),
                Fact::HouseVoltage(reading) => self.health.power_mut().take(now.tick, *reading),
                other => {
                    self.sensors.take(now.tick, &report.source, other);
                    self.water.take(now.tick, other);
                }
            }
        }
        if report.facts.iter().any(Fact::is_wind)
            && let Some(wind) = self.sensors.instruments().wind(now.tick)
        {
            self.wind.take(now.tick, wind);
        }
    }

    fn take_position(&mut self, now: Now, report: &Report, position: Option<Position>) {
        let anchor = self.anchorage.mooring().map(|it| it.first().position);
        let taken = self
            .sensors
            .take_position(now.tick, &report.source, position, anchor);
        if let Some(note) = taken.note {
            self.announcer.note(now, note);
        }
        let seen = self.sensors.seen(now, &self.settings, &self.wind);
        let Some(here) = seen.here.filter(|_| taken.is_fix) else {
            return;
        };
        self.track.take(now.tick, here.centre);
        let told = self.announcer.tells(Hazard::SwingExceeded);
        self.anchorage.take_fix(&seen, &here, told);
        if let Some(anchor) = anchor {
            let distance = here.distance(anchor);
            self.pull
                .take_fix(now.tick, distance, here.fix.sigma, here.lever_doubt);
        }
    }

    /// Runs the pull test and reports its results.
    fn run_pull_test(&mut self, round: &Round) {
        let now = round.seen.now;
        if !round.lies.as_ref().is_some_and(|lies| lies.kind.can_drag()) {
            return;
        }
        let setting = round.phase == AnchorPhase::Setting;
        self.pull.judge(now.tick, round.seen.revolutions, setting);
        while let Some(news) = self.pull.poll_news() {
            let evidence = news.reading.evidence();
            let told = Sentence::verbatim(news.message);
            self.announcer.note_with(now, told, evidence);
        }
    }

    /// Follows her to the berth and reports each step.
    fn follow_approach(&mut self, round: &Round) {
        let head_to_wind = self.wind.mean_direction(round.seen.now.tick);
        if let Some(step) = self.anchorage.follow_approach(round, head_to_wind) {
            self.announcer.note(round.seen.now, step);
        }
    }

    /// While the data server is silent, its own alert covers this hazard: nothing else is known either.
    fn covered_by_link(&self, round: &Round) -> Option<Judged> {
        let (limit, in_grace) = (self.settings.link_lost_after, self.in_grace(round));
        let mute = self.link.is_mute(round.seen.now.tick, limit, in_grace);
        let told = self.announcer.tells(Hazard::DataLink);
        mute.then_some(if told {
            Judged::Covered
        } else {
            Judged::Unchanged
        })
    }

    fn judge_instruments(&mut self, round: &Round) -> Judged {
        let now = round.seen.now.tick;
        if let Some(covered) = self.covered_by_link(round) {
            self.losses.data_lost(now);
            return covered;
        }
        let mean = self.wind.last_mean_speed();
        let about = About {
            instruments: self.sensors.instruments(),
            neighbours: &self.neighbours,
            pulls: self.pull.reading(now).is_some_and(|pull| pull.running),
            blows: mean.is_some_and(|mean| mean >= self.settings.wind_mean),
            falls_short: self.water.falls_short(round),
        };
        self.losses.judge(round, &about)
    }

    /// The link has just come back: missing values may still arrive.
    fn in_grace(&self, round: &Round) -> bool {
        let lost_after = self.sensors.fixes().lost_after();
        self.link.in_grace(round.seen.now.tick, lost_after)
    }
}

const JUDGE_EVERY: Duration = Duration::from_secs(1);
/// The most neighbours given to a crew that plans a berth.
const MOST_NEIGHBOURS: usize = 256;
