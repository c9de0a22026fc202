//! Builds the record of one stay from the journal: its inputs go through the same engine again.
//!
//! **Method.** The journal has every input with its time and, for each run, the initial state, so the engine repeats
//! its output. Every [`SAMPLE`] of the record's time its state goes into [`Rows`], the [`Trail`] and the sectors, all
//! of bounded size. Alerts and other reports are the journal's own events. If a run began long before the anchor was
//! let go, only what stays true (her dimensions, the link) is taken from the time before.
//!
//! **Assumption.** The settings are those of the present configuration. The journal stores the settings of each run as
//! text; if they differ, the report says so.
//!
//! **Weakness.** Peaks shorter than [`SAMPLE`] may be missing in the figures. If the inputs from the beginning of the
//! stay were removed, the drag test starts from the rest, and the report says so.

use std::collections::HashMap;
use std::mem::{Discriminant, discriminant};
use std::time::Duration;

use super::channels;
use super::facts::{
    Anchored, Blind, Counts, Figures, Night, PhoneState, PhonesStood, Sector, Stay, Vessel, Why,
};
use super::latest::Latest;
use super::series::Rows;
use super::stays::SAME;
use super::told::Told;
use super::track::{Spot, Trail};
use super::words;
use crate::journal::{JournalError, Reader, Run};
use crate::observation::{Fact, Label, Report, Subject};
use crate::time::{Now, Tick, Timestamp};
use crate::units::Metres;
use crate::watch::engine::Watchkeeper;
use crate::watch::messages::{Entry, Input, LinkState, Phones};
use crate::watch::saved::Saved;
use crate::watch::settings::WatchSettings;

/// Data from outside the journal.
#[derive(Clone)]
pub struct About<'a> {
    /// Hears up to which moment the stay has been read.
    pub progress: &'a dyn Fn(Timestamp),
    /// The settings that the inputs are judged with.
    pub settings: &'a WatchSettings,
    /// The boat's name.
    pub boat: Option<String>,
    /// The tackle, each with its name.
    pub tackle: Vec<(&'static str, String)>,
    /// The present time.
    pub now: Timestamp,
}

/// Reads the stay.
pub fn night(reader: &Reader, stay: &Stay, about: About<'_>) -> Result<Night, JournalError> {
    let end = stay.weighed.unwrap_or(about.now);
    let runs = reader.runs_within(stay.let_go, end)?;
    let told = Told::read(reader, stay.let_go, end)?;
    let mut gathering = Gathering::of(stay.let_go, end, told);
    let mut figures = about.settings.boat;
    let noted = format!("{:?}", about.settings);
    for run in &runs {
        gathering.read(reader, run, &about, &mut figures)?;
        gathering.other_settings |= run.settings.as_ref() != Some(&noted);
        gathering.dropped += run.dropped;
    }
    gathering.close(stay, &runs);
    gathering.told.join();
    let (channels, damaged) = channels::read(reader, &runs, stay.let_go, end)?;
    gathering.damaged_channels = damaged;
    let until = gathering.last.map_or(stay.let_go, |last| last.min(end));
    let remarks = gathering.remarks(stay);
    let (track, every) = gathering.trail.finish();
    let counts = Counts {
        alerts: gathering.told.alerts.count(),
        events: gathering.told.events.count(),
        blind: gathering.blind.count(),
        phones: gathering.phones.count(),
    };
    let mut blind = gathering.blind.finish();
    blind.sort_by_key(|spell| spell.from);
    Ok(Night {
        stay: stay.clone(),
        until,
        made: about.now,
        cautions: words::CAUTIONS.to_vec(),
        remarks,
        boat: Vessel::of(about.boat, figures),
        anchor: Anchored {
            tackle: about.tackle,
            ..gathering.anchor
        },
        figures: figures_of(&gathering.rows, stay.let_go),
        track,
        track_every: every as f64 / 1000.0,
        swing: gathering.swing,
        alerts: gathering.told.alerts.finish(),
        events: gathering.told.events.finish(),
        blind,
        phones: gathering.phones.finish(),
        channels,
        counts,
        charted: None,
        charts: Vec::new(),
    })
}

/// The record during reading.
struct Gathering {
    begin: Timestamp,
    end: Timestamp,
    rows: Rows<ROWS>,
    trail: Trail,
    swing: Vec<Sector>,
    anchor: Anchored,
    blind: Latest<Blind>,
    phones: Latest<PhonesStood>,
    told: Told,
    /// Depth at the anchor minus the tide, once both were known.
    bottom: Option<f64>,
    /// The time since which there has been no fix.
    unseen: Option<Timestamp>,
    first: Option<Timestamp>,
    last: Option<Timestamp>,
    other_settings: bool,
    /// Whether the first inputs of the run are gone.
    beheaded: bool,
    damaged: u64,
    /// Rows of the channels' health.
    damaged_channels: u64,
    dropped: u64,
}

impl Gathering {
    fn of(begin: Timestamp, end: Timestamp, told: Told) -> Self {
        Self {
            begin,
            end,
            rows: Rows::new(),
            trail: Trail::new(),
            swing: vec![Sector::default(); SECTORS],
            anchor: Anchored::default(),
            blind: Latest::of(MOST),
            phones: Latest::of(MOST),
            told,
            bottom: None,
            unseen: None,
            first: None,
            last: None,
            other_settings: false,
            beheaded: false,
            damaged: 0,
            damaged_channels: 0,
            dropped: 0,
        }
    }

    /// Reads a run's part of the stay.
    fn read(
        &mut self,
        reader: &Reader,
        run: &Run,
        about: &About<'_>,
        figures: &mut crate::boat::BoatFigures,
    ) -> Result<(), JournalError> {
        let since = self.begin.minus(WARMING_UP);
        let mut lasting = Lasting::default();
        let mut keeper: Option<Watchkeeper> = None;
        let mut sampled: Option<Tick> = None;
        let mut whole = false;
        let mut first = None;
        for entry in reader.entries(run.id) {
            let entry = match entry {
                Ok(entry) => entry,
                Err(JournalError::Damaged { .. }) => {
                    self.damaged += 1;
                    continue;
                }
                Err(error) => return Err(error),
            };
            let oldest = *first.get_or_insert_with(|| {
                whole = matches!(entry.input, Input::Began { .. });
                self.beheaded |= !whole && entry.now.utc.millis_since(self.begin) > -SAME;
                entry.now.utc
            });
            let Entry { now, input } = entry;
            if now.utc > self.end {
                break;
            }
            let early = now.utc < since && run.started < since;
            if early && keeper.is_none() {
                if let Input::Phones(phones) = &input {
                    self.phones_stood(now.utc, phones);
                }
                lasting.take(input);
                continue;
            }
            let keeper = keeper.get_or_insert_with(|| {
                let state = state_at(
                    reader,
                    run,
                    self.begin,
                    oldest,
                    whole && run.started >= since,
                );
                let mut keeper = Watchkeeper::new(now, about.settings.clone(), state);
                keeper.publish(false);
                lasting.tell(now, &mut keeper);
                keeper
            });
            self.note(now, &input);
            keeper.handle(now, input);
            // The output repeats what was reported then.
            while keeper.poll_output().is_some() {}
            let due = sampled.is_none_or(|at| now.tick.since(at) >= SAMPLE);
            if due && now.utc >= self.begin {
                sampled = Some(now.tick);
                self.sample(now, keeper);
                (about.progress)(now.utc);
            }
        }
        if let Some(keeper) = keeper {
            *figures = keeper.boat().figures();
        }
        self.trail.lose();
        Ok(())
    }

    /// What the report takes from the inputs themselves.
    fn note(&mut self, now: Now, input: &Input) {
        use crate::watch::messages::{Command, DisplayAct};
        if now.utc >= self.begin {
            if let Some(last) = self.last
                && now.utc.millis_since(last) > SILENT
            {
                let began = matches!(input, Input::Began { .. });
                let why = if began {
                    Why::NotRunning
                } else {
                    Why::NoRecord
                };
                self.add_blind(last, now.utc, why);
                self.trail.lose();
            }
            self.first.get_or_insert(now.utc);
            self.last = Some(now.utc);
        }
        match input {
            Input::Command {
                command: Command::Acknowledge(_),
                by,
                ..
            } => self.told.acknowledged(now.utc, || by.to_string()),
            Input::Display(action) if action.act == DisplayAct::Acknowledged => {
                self.told
                    .acknowledged(now.utc, || words::BY_DISPLAY.to_owned());
            }
            Input::Phones(phones) => self.phones_stood(now.utc, phones),
            _ => {}
        }
    }

    fn phones_stood(&mut self, time: Timestamp, phones: &Phones) {
        let (state, channels) = match phones {
            Phones::None => (PhoneState::None, ""),
            Phones::Working => (PhoneState::Working, ""),
            Phones::Doubtful(names) => (PhoneState::Doubtful, names.as_str()),
            Phones::Lost(names) => (PhoneState::Lost, names.as_str()),
        };
        let stood = PhonesStood {
            time,
            state,
            channels: channels.to_owned(),
        };
        // From the time before the stay only the latest counts.
        if time < self.begin {
            self.phones.clear();
        }
        self.phones.push(stood);
    }

    fn sample(&mut self, now: Now, keeper: &Watchkeeper) {
        let state = keeper.picture(now);
        let (live, lying) = (state.live(), keeper.lying());
        let Some(lying) = lying else { return };
        let metres = |length: Option<Metres>| length.map(Metres::get);
        let tide = keeper.outlook(now).map(|tide| tide.now.get());
        if self.bottom.is_none() {
            self.bottom = metres(state.depth_at_anchor)
                .zip(tide)
                .map(|(depth, tide)| depth - tide);
        }
        let after = now.utc.millis_since(self.begin).max(0).unsigned_abs();
        let mut values = [None; ROWS];
        values[DISTANCE] = metres(live.anchor_distance);
        values[REACH] = metres(live.reach);
        values[EXPECTED] = metres(lying.usually.filter(|_| live.centre.is_some()));
        values[PROBABILITY] = live.drag_probability;
        values[UNCERTAINTY] = metres(live.fix_uncertainty);
        values[WIND] = live.wind_speed.map(crate::units::Speed::get);
        values[GUST] = live.wind_gust.map(crate::units::Speed::get);
        values[WIND_FROM] = live.wind_direction.map(crate::units::Bearing::get);
        values[DEPTH] = metres(live.water_depth);
        values[TIDE_DEPTH] = self.bottom.zip(tide).map(|(bottom, tide)| bottom + tide);
        values[RODE] = metres(live.rode_out);
        values[SCOPE] = live.scope;
        self.rows.take(after, values);
        self.anchor = Anchored {
            kind: state.kind,
            mark: Some(lying.mark),
            estimate: Some(lying.estimate),
            uncertainty: Some(lying.uncertainty.get()),
            depth: metres(state.depth_at_anchor),
            rode: metres(state.rode_out),
            snubber: state.snubber,
            circle: metres(state.max_radius),
            reach: metres(state.reach),
            tackle: Vec::new(),
        };
        let Some(centre) = live.centre else {
            let ago = Duration::try_from_secs_f64(state.fix_ago.unwrap_or_default());
            let since = now.utc.minus(ago.unwrap_or_default());
            self.unseen.get_or_insert(since.max(self.begin));
            self.trail.lose();
            return;
        };
        self.seen_again(now.utc);
        let distance = state.anchor.map(|anchor| anchor.distance_to(centre).get());
        self.trail.take(Spot {
            time: now.utc,
            position: centre,
            distance,
        });
        if let Some((anchor, distance)) = state.anchor.zip(distance) {
            let from_north = anchor.bearing_to(centre).degrees() + 180.0 / SECTORS as f64;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a bearing is from 0 to 360 degrees"
            )]
            let place = (from_north / 360.0 * SECTORS as f64) as usize % SECTORS;
            if let Some(sector) = self.swing.get_mut(place) {
                sector.seconds += SAMPLE.as_secs_f64();
                sector.farthest = sector.farthest.max(distance);
            }
        }
    }

    fn seen_again(&mut self, now: Timestamp) {
        if let Some(since) = self.unseen.take()
            && now.millis_since(since) > SILENT
        {
            self.add_blind(since, now, Why::NoFix);
        }
    }

    fn add_blind(&mut self, from: Timestamp, until: Timestamp, why: Why) {
        self.blind.push(Blind { from, until, why });
    }

    /// Adds what was missing at the beginning and at the end.
    fn close(&mut self, stay: &Stay, runs: &[Run]) {
        let until = stay
            .weighed
            .or_else(|| runs.last().map(|run| run.last_seen));
        let last = self.last.unwrap_or(stay.let_go);
        if self.unseen.is_some() {
            self.seen_again(last);
        }
        match self.first {
            Some(first) if first.millis_since(self.begin) > SILENT => {
                self.add_blind(self.begin, first, Why::Removed);
            }
            _ => {}
        }
        if let Some(until) = until
            && until.millis_since(last) > SILENT
        {
            let why = if self.first.is_none() {
                Why::Removed
            } else {
                Why::NoRecord
            };
            self.add_blind(last, until, why);
        }
    }

    fn remarks(&self, stay: &Stay) -> Vec<String> {
        let mut remarks = Vec::new();
        let mut say = |holds: bool, words: &str| {
            if holds {
                remarks.push(words.to_owned());
            }
        };
        say(!stay.begin_known, words::BEGIN_UNKNOWN);
        say(stay.weighed.is_none(), words::NOT_WEIGHED);
        say(self.first.is_none(), words::NOTHING_KEPT);
        say(self.beheaded, words::BEGIN_REMOVED);
        say(self.other_settings, words::OTHER_SETTINGS);
        say(self.damaged > 0, &words::damaged(self.damaged));
        say(
            self.damaged_channels > 0,
            &words::damaged_channels(self.damaged_channels),
        );
        say(self.dropped > 0, &words::dropped(self.dropped));
        remarks
    }
}

/// What stays true from the time before: what the server sends once about the boat, and the state of the link.
#[derive(Default)]
struct Lasting {
    facts: HashMap<Discriminant<Fact>, (Label, Fact)>,
    link: Option<LinkState>,
}

impl Lasting {
    fn take(&mut self, input: Input) {
        match input {
            Input::Link(state) => self.link = Some(state),
            Input::Report(report) if report.subject == Subject::Own => {
                for fact in report.facts.into_iter().filter(is_lasting) {
                    self.facts
                        .insert(discriminant(&fact), (report.source.clone(), fact));
                }
            }
            _ => {}
        }
    }

    fn tell(&mut self, now: Now, keeper: &mut Watchkeeper) {
        if let Some(state) = self.link.take() {
            keeper.handle(now, Input::Link(state));
        }
        for (_, (source, fact)) in self.facts.drain() {
            let report = Report {
                subject: Subject::Own,
                source,
                stamp: None,
                facts: vec![fact],
            };
            keeper.handle(now, Input::Report(report));
        }
    }
}

const fn is_lasting(fact: &Fact) -> bool {
    matches!(
        fact,
        Fact::Length(_)
            | Fact::Beam(_)
            | Fact::Draught(_)
            | Fact::AntennaFromBow(_)
            | Fact::AntennaFromCentre(_)
            | Fact::SurfaceToTransducer(_)
            | Fact::TransducerToKeel(_)
            | Fact::MagneticVariation(_)
            | Fact::TideHigh(_)
            | Fact::TideLow(_)
    )
}

/// The initial state. If the run's first input exists, it is the run's own; before letting go she was aweigh; if the
/// inputs no longer contain the letting go, it is the saved state.
fn state_at(
    reader: &Reader,
    run: &Run,
    let_go: Timestamp,
    oldest: Timestamp,
    whole: bool,
) -> Saved {
    let of_stay = |saved: &Saved| {
        let mark = saved.mark.as_ref();
        mark.is_some_and(|mark| mark.let_go.millis_since(let_go).abs() < SAME)
    };
    if whole || of_stay(&run.restored) {
        return run.restored.clone();
    }
    if oldest <= let_go {
        return Saved::default();
    }
    reader.saved().ok().filter(of_stay).unwrap_or_default()
}

fn figures_of(rows: &Rows<ROWS>, from: Timestamp) -> Figures {
    Figures {
        from,
        every: rows.every() as f64 / 1000.0,
        distance: rows.spreads(DISTANCE),
        reach: rows.spreads(REACH),
        expected: rows.spreads(EXPECTED),
        probability: rows.spreads(PROBABILITY),
        fix_uncertainty: rows.spreads(UNCERTAINTY),
        wind: rows.spreads(WIND),
        gust: rows.spreads(GUST),
        wind_from: rows.directions(WIND_FROM),
        depth: rows.spreads(DEPTH),
        tide_depth: rows.spreads(TIDE_DEPTH),
        rode: rows.spreads(RODE),
        scope: rows.spreads(SCOPE),
    }
}

const DISTANCE: usize = 0;
const REACH: usize = 1;
const EXPECTED: usize = 2;
const PROBABILITY: usize = 3;
const UNCERTAINTY: usize = 4;
const WIND: usize = 5;
const GUST: usize = 6;
const WIND_FROM: usize = 7;
const DEPTH: usize = 8;
const TIDE_DEPTH: usize = 9;
const RODE: usize = 10;
const SCOPE: usize = 11;
const ROWS: usize = 12;
const SECTORS: usize = 36;
/// Time between two samples of the state.
const SAMPLE: Duration = Duration::from_secs(5);
/// Time before the anchor is let go, so that heading, wind and receiver are known at that moment.
const WARMING_UP: Duration = Duration::from_mins(20);
/// Milliseconds without an input: windrode runs a round each second, so there is no record.
const SILENT: i64 = 60_000;
/// Length limit of each list; the report says how many there were.
const MOST: usize = 1000;
