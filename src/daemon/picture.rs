//! The data for the picture: the state, and the track of the last hour, also across a restart.
//!
//! The watch keeps its track in memory. The track from before a restart is read back from the journal's
//! inputs by the same engine, in a separate thread, so that the watch begins at once. Until that is done
//! the picture shows a shorter track, which is correct but incomplete.

use std::sync::{Arc, OnceLock};
use std::time::Duration;

use tracing::debug;

use super::Daemon;
use crate::chart::sketch::Sketch;
use crate::config::Config;
use crate::journal::{JournalError, Reader};
use crate::plot::PictureInput;
use crate::time::Now;
use crate::watch::charted::{About, ChartNews};
use crate::watch::engine::Watchkeeper;
use crate::watch::messages::Input;
use crate::watch::saved::Saved;
use crate::watch::settings::WatchSettings;
use crate::watch::state::WatchState;
use crate::watch::track::{KEPT, MOST, TrackPoint};

/// The track from before the restart, once it has been read.
#[derive(Clone, Debug, Default)]
pub(super) struct Earlier(Arc<OnceLock<Vec<TrackPoint>>>);

impl Earlier {
    /// Starts to read what the runs before `run` left.
    pub(super) fn read(config: &Config, saved: &Saved, run: i64, now: Now) -> Self {
        let earlier = Self::default();
        let (directory, settings) = (config.journal.directory.clone(), config.watch_settings());
        let (saved, found) = (saved.clone(), Arc::clone(&earlier.0));
        let reading = move || {
            let track = Reader::open(&directory)
                .and_then(|reader| track_before(&reader, &settings, &saved, run, now));
            match track {
                Ok(track) => drop(found.set(track)),
                Err(error) => debug!("the track before the restart cannot be read: {error}"),
            }
        };
        let thread = std::thread::Builder::new().name("earlier track".to_owned());
        if let Err(error) = thread.spawn(reading) {
            debug!("no thread to read the track before the restart: {error}");
        }
        earlier
    }

    /// Its points of the last hour that are older than `track`, which is appended to them.
    fn joined_to(&self, track: Vec<TrackPoint>, now: Now) -> Vec<TrackPoint> {
        let Some(earlier) = self.0.get() else {
            return track;
        };
        let begins = track.first().map_or(now.utc, |first| first.time);
        let oldest = now.utc.minus(KEPT);
        let mut joined: Vec<TrackPoint> = earlier
            .iter()
            .filter(|point| point.time >= oldest && point.time < begins)
            .copied()
            .collect();
        joined.extend(track);
        let surplus = joined.len().saturating_sub(MOST + 1);
        joined.drain(..surplus);
        joined
    }
}

/// The charts around the circles that were asked for last: only for display, the watch judges by their
/// answers.
#[derive(Debug, Default)]
pub(super) struct Sketches {
    berth: Vec<Sketch>,
    anchor: Vec<Sketch>,
}

impl Sketches {
    pub(super) fn take(&mut self, about: About, charts: Vec<Sketch>) {
        match about {
            About::Berth => self.berth = charts,
            About::Anchor => self.anchor = charts,
        }
    }

    /// Ground that was drawn from charts or soundings that are gone or have changed is not shown.
    pub(super) fn hear(&mut self, news: &ChartNews) {
        if matches!(news, ChartNews::Kept(_) | ChartNews::Forgotten(_)) {
            *self = Self::default();
        }
    }

    /// The ground of the circle that counts now, if it belongs to this place.
    fn of(&self, picture: &WatchState) -> Vec<Sketch> {
        let (place, charts) = match picture.anchor {
            Some(anchor) => (Some(anchor), &self.anchor),
            None => (picture.berth, &self.berth),
        };
        let near = |sketch: &&Sketch| {
            place.is_some_and(|place| sketch.centre.distance_to(place).get() <= SAME_PLACE)
        };
        charts.iter().filter(near).cloned().collect()
    }
}

/// Metres: within this distance an answer is sent again.
const SAME_PLACE: f64 = 10.0;

impl Daemon {
    /// Everything the picture is drawn from; [`crate::plot::png`] and [`crate::plot::svg`] draw it.
    pub(super) fn picture_input(&self, now: Now) -> PictureInput {
        let mut sight = self.keeper.sight(now);
        sight.track = self.earlier.joined_to(sight.track, now);
        let picture = self.keeper.picture(now);
        PictureInput {
            time: now.utc,
            alerts: self.keeper.alerts(),
            charts: self.sketches.of(&picture),
            picture,
            sight,
            clock: self.config.zone().ship_clock(now.utc),
            lengths: self.config.watch.wording.lengths,
            language: self.config.watch.wording.language,
        }
    }
}

/// The last hour's track of the runs before `run`, as the watch saw it at the time.
fn track_before(
    reader: &Reader,
    settings: &WatchSettings,
    saved: &Saved,
    run: i64,
    now: Now,
) -> Result<Vec<TrackPoint>, JournalError> {
    let since = now.utc.minus(KEPT + WARMING_UP);
    let mut runs = reader.runs(MOST_RUNS)?;
    runs.retain(|earlier| earlier.id != run && earlier.last_seen >= since);
    runs.reverse();
    let mut track = Vec::new();
    for earlier in runs {
        let mut keeper: Option<Watchkeeper> = None;
        let mut last = None;
        // A damaged batch costs only its part of the track.
        for entry in reader.entries_since(earlier.id, since).flatten() {
            let Input::Report(_) = &entry.input else {
                continue;
            };
            let keeper = keeper.get_or_insert_with(|| {
                Watchkeeper::new(entry.now, settings.clone(), saved.clone())
            });
            keeper.handle(entry.now, entry.input);
            // Its alerts were already reported then.
            while keeper.poll_output().is_some() {}
            last = Some(entry.now);
        }
        if let Some((keeper, last)) = keeper.zip(last) {
            track.extend(keeper.sight(last).track);
        }
    }
    let surplus = track.len().saturating_sub(MOST);
    track.drain(..surplus);
    Ok(track)
}

/// Starts this long before the hour, so that heading and receiver are known when it begins.
const WARMING_UP: Duration = Duration::from_mins(2);
/// A daemon that restarts more often than this in an hour has other problems.
const MOST_RUNS: u32 = 8;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geodesy::Position;
    use crate::journal::Journal;
    use crate::observation::{Fact, Label, Report, Subject};
    use crate::time::{Tick, Timestamp};
    use crate::units::{Bearing, Metres};
    use crate::watch::messages::Entry;

    const COVE: Position = Position::of(59.8539, 23.26);

    fn at(second: u64) -> Now {
        let begin: Timestamp = "2026-06-02T00:00:00Z".parse().unwrap();
        Now::new(Tick::START, begin).plus(Duration::from_secs(second))
    }

    fn east(second: u64) -> Position {
        COVE.moved(
            Bearing::from_degrees(90.0),
            Metres::of(second as f64 / 100.0),
        )
    }

    #[test]
    fn the_ground_of_charts_that_were_removed_is_not_drawn() {
        let picture = WatchState {
            anchor: Some(COVE),
            ..Watchkeeper::new(at(0), WatchSettings::default(), Saved::default()).picture(at(0))
        };
        let sketch = Sketch {
            centre: COVE,
            within: Metres::of(100.0),
            areas: Vec::new(),
            marks: Vec::new(),
        };
        for news in [
            ChartNews::Kept(false),
            ChartNews::Kept(true),
            ChartNews::Forgotten(false),
        ] {
            let mut sketches = Sketches::default();
            sketches.take(About::Anchor, vec![sketch.clone()]);
            sketches.hear(&ChartNews::Sounded(true));
            assert_eq!(sketches.of(&picture), std::slice::from_ref(&sketch));
            sketches.hear(&news);
            assert_eq!(sketches.of(&picture), []);
        }
    }

    /// An hour and a half is in the journal; the last hour before the restart becomes the track.
    #[test]
    fn the_track_goes_on_across_a_restart() {
        let dir = tempfile::TempDir::new().unwrap();
        let open = |now| Journal::open(dir.path(), Duration::from_secs(30), now).unwrap();
        let (mut journal, first) = open(at(0));
        for second in 0..5400 {
            let now = at(second);
            let report = Report {
                subject: Subject::Own,
                source: Label::new("gps0.GP"),
                stamp: Some(now.utc),
                facts: vec![Fact::Position(Some(east(second)))],
            };
            let input = Input::Report(report);
            journal.record(Entry { now, input }).unwrap();
        }
        journal.close(at(5400)).unwrap();
        let restarted = at(5430);
        let (journal, second) = open(restarted);
        let reader = Reader::open(dir.path()).unwrap();
        let settings = WatchSettings::default();
        let track = track_before(&reader, &settings, &first.saved, second.run, restarted).unwrap();
        assert!(
            (700..=MOST).contains(&track.len()),
            "{} points",
            track.len()
        );
        let last = track.last().unwrap();
        assert!(last.position.distance_to(east(5399)).get() < 0.01);

        let earlier = Earlier::default();
        earlier.0.set(track).unwrap();
        let live = vec![TrackPoint {
            time: at(5440).utc,
            position: east(5440),
        }];
        let joined = earlier.joined_to(live.clone(), at(5440));
        assert!(joined.len() > 700 && joined.len() <= MOST + 1);
        assert!(joined.windows(2).all(|pair| pair[0].time < pair[1].time));
        assert!(joined[0].time >= at(5440 - 3600).utc);
        // Half an hour later, half an hour of it is left.
        let later = earlier.joined_to(live.clone(), at(5440 + 1800));
        assert!((300..400).contains(&later.len()), "{}", later.len());
        // With a clock set in the past, none of it is shown.
        assert!(earlier.joined_to(Vec::new(), at(10)).is_empty());
        journal.close(at(5441)).unwrap();
    }
}
