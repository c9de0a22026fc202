//! The charts on disk and the boat's own soundings, read in a separate thread: the watch asks and does not
//! wait for the disk. With a virtual clock there is no thread, and the answer is ready as soon as the
//! question is asked.
//!
//! Memory holds only the data around the place that was asked for last, and no more than [`MOST_POINTS`].
//! The folder is checked every few seconds, so an added or removed chart counts without a restart.
//! Soundings come from the journal when a place is loaded, and from the watch as it hands them over,
//! possibly before they are on disk.
//!
//! While the disk hangs, only the latest question about each circle waits, with the latest soundings
//! ([`desk`]).

mod desk;

use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::Arc;
use std::thread;
use std::time::Duration;

use tokio::sync::mpsc::UnboundedSender;
use tracing::{info, warn};

use self::desk::Desk;
use super::errands::Errand;
use crate::chart::clearance::SEARCHED_BEYOND;
use crate::chart::own::OwnSounding;
use crate::chart::shape::Extent;
use crate::chart::sheet::Sheet;
use crate::chartroom::{ChartRoom, ChartRoomError, Stamp};
use crate::geodesy::Position;
use crate::journal::{self, JournalError};
use crate::units::Metres;
use crate::watch::charted::{About, ChartAnswer, ChartNews, ChartQuestion};

/// Passes the watch's questions to the charts.
pub(super) enum Charts {
    /// A thread answers once it has read.
    Later(Arc<Desk>),
    /// The caller waits for the answer.
    AtOnce(Box<Reader>),
}

impl Charts {
    /// Starts looking at the charts in the state folder; the results come as an errand's answer.
    pub(super) fn open(folder: PathBuf, out: UnboundedSender<Errand>) -> Self {
        let desk = Arc::new(Desk::default());
        let reader = Reader::new(folder, out);
        let theirs = Arc::clone(&desk);
        let thread = thread::Builder::new().name("charts".to_owned());
        if let Err(error) = thread.spawn(move || reader.run(&theirs)) {
            warn!("no thread to read charts: {error}; room to swing is not checked");
        }
        Self::Later(desk)
    }

    /// Reads and draws while the watch waits: with a virtual clock, nothing may depend on the speed of a
    /// disk.
    pub(super) fn at_once(folder: PathBuf, out: UnboundedSender<Errand>) -> Self {
        let mut reader = Reader::new(folder, out);
        reader.look_for_soundings();
        reader.look();
        Self::AtOnce(Box::new(reader))
    }

    /// Asks a question. Without a thread there is no answer, and the watch was never given charts.
    pub(super) fn ask(&mut self, question: ChartQuestion) {
        match self {
            Self::Later(desk) => desk.put(|tray| tray.ask(question)),
            Self::AtOnce(reader) => reader.handle(&question),
        }
    }

    /// Takes a new sounding of the boat.
    pub(super) fn sounded(&mut self, soundings: Vec<OwnSounding>) {
        match self {
            Self::Later(desk) => desk.put(|tray| tray.add(soundings)),
            Self::AtOnce(reader) => reader.add(soundings),
        }
    }
}

impl Drop for Charts {
    fn drop(&mut self) {
        if let Self::Later(desk) = self {
            desk.put(|tray| tray.closed = true);
        }
    }
}

/// The reader of charts and soundings.
pub(super) struct Reader {
    folder: PathBuf,
    room: ChartRoom,
    out: UnboundedSender<Errand>,
    /// The files as last seen.
    stamps: Vec<Stamp>,
    sheet: Option<Loaded>,
    /// Recent soundings from the watch; they may not be on disk yet.
    lately: VecDeque<OwnSounding>,
    /// At least one sounding is known to exist.
    sounded: bool,
    /// The counter of removed soundings when last checked.
    removals: Option<i64>,
}

/// The charts around a place.
struct Loaded {
    about: Position,
    within: Metres,
    sheet: Sheet,
}

impl Reader {
    fn new(folder: PathBuf, out: UnboundedSender<Errand>) -> Self {
        Self {
            room: ChartRoom::of(&folder),
            folder,
            out,
            stamps: Vec::new(),
            sheet: None,
            lately: VecDeque::new(),
            sounded: false,
            removals: None,
        }
    }

    fn run(mut self, desk: &Desk) {
        self.look_for_soundings();
        loop {
            self.look();
            let tray = desk.take(LOOK_EVERY);
            if !tray.sounded.is_empty() {
                self.add(tray.sounded);
            }
            for question in tray.questions {
                self.handle(&question);
            }
            if tray.closed {
                return;
            }
        }
    }

    fn handle(&mut self, question: &ChartQuestion) {
        self.look();
        let answer = self.answer(question);
        let readable = answer.says.is_ok();
        // The watch first, then the picture.
        self.tell(ChartNews::Said(Box::new(answer)));
        self.draw(question, readable);
    }

    /// Have the charts changed, or were soundings removed?
    fn look(&mut self) {
        self.look_for_removals();
        // A folder that cannot be read for a moment does not mean that the charts are gone.
        let Ok(stamps) = self.room.stamps() else {
            return;
        };
        if stamps == self.stamps {
            return;
        }
        info!("{} charts aboard", stamps.len());
        self.sheet = None;
        self.tell(ChartNews::Kept(!stamps.is_empty()));
        self.stamps = stamps;
    }

    /// Did an earlier run take any soundings?
    fn look_for_soundings(&mut self) {
        let any = journal::Reader::open(&self.folder).and_then(|it| it.has_any_sounding());
        match any {
            Ok(true) => self.tell_of_soundings(),
            Ok(false) | Err(JournalError::Missing { .. }) => {}
            Err(error) => warn!("the boat's own soundings cannot be read: {error}"),
        }
    }

    /// Has the crew removed soundings?
    fn look_for_removals(&mut self) {
        // A journal that cannot be read for a moment does not mean that they are gone.
        let read = journal::Reader::open(&self.folder)
            .and_then(|it| Ok((it.sounding_removals()?, it.has_any_sounding()?)));
        let Ok((removals, any)) = read else {
            return;
        };
        let before = self.removals.replace(removals);
        if before.is_some_and(|before| before != removals) {
            info!("soundings were removed");
            self.sheet = None;
            self.lately.clear();
            self.sounded = any;
            self.tell(ChartNews::Forgotten(any));
        }
    }

    fn tell_of_soundings(&mut self) {
        if !self.sounded {
            self.sounded = true;
            self.tell(ChartNews::Sounded(true));
        }
    }

    fn add(&mut self, soundings: Vec<OwnSounding>) {
        if let Some(loaded) = &mut self.sheet {
            for sounding in &soundings {
                loaded.sheet.add_own(sounding.clone());
            }
            // Otherwise a week at one place would grow without limit.
            if loaded.sheet.own_count() > MOST_HELD {
                self.sheet = None;
            }
        }
        self.lately.extend(soundings);
        let surplus = self.lately.len().saturating_sub(MOST_SOUNDED);
        self.lately.drain(..surplus);
        self.tell_of_soundings();
    }

    /// What a picture shows: the circle and its surroundings; for a berth, also the way there.
    fn draw(&self, question: &ChartQuestion, readable: bool) {
        let loaded = self.sheet.as_ref().filter(|_| readable);
        let charted = loaded.filter(|it| !it.sheet.cells().is_empty() || it.sheet.own_count() > 0);
        let near = question.radius.unwrap_or_default().max(NEAREST) * 3.0;
        let far = (question.about == About::Berth).then_some(APPROACH);
        let needs = question.needs();
        let widths = far.into_iter().filter(|far| *far > near).chain([near]);
        let charts = charted.map_or_else(Vec::new, |loaded| {
            widths
                .map(|width| loaded.sheet.sketch(question.centre, width, &needs))
                .collect()
        });
        let _ = self.out.send(Errand::Sketch(question.about, charts));
    }

    fn tell(&self, news: ChartNews) {
        // The daemon may have ended by now.
        let _ = self.out.send(Errand::Chart(news));
    }

    fn answer(&mut self, question: &ChartQuestion) -> ChartAnswer {
        match self.sheet(question) {
            Ok(sheet) => question.put_to(sheet),
            Err(error) => {
                warn!("{error}");
                ChartAnswer {
                    number: question.number,
                    says: Err(error.to_string()),
                }
            }
        }
    }

    /// The charts around the place, loaded again when it is outside the area in memory.
    fn sheet(&mut self, question: &ChartQuestion) -> Result<&Sheet, ChartRoomError> {
        let needed = question.radius.unwrap_or_default() + SEARCHED_BEYOND;
        let holds =
            |loaded: &Loaded| loaded.about.distance_to(question.centre) + needed <= loaded.within;
        let loaded = if let Some(loaded) = self.sheet.take().filter(holds) {
            loaded
        } else {
            let within = needed + SPARE;
            let boxes = Extent::about(question.centre, within.get());
            let sheet = self.room.load_within(&boxes, MOST_POINTS)?;
            Loaded {
                about: question.centre,
                within,
                sheet: sheet.with_own(self.soundings(&boxes)),
            }
        };
        Ok(&self.sheet.insert(loaded).sheet)
    }

    /// The soundings on disk, and those still on their way there.
    fn soundings(&self, boxes: &[Extent]) -> Vec<OwnSounding> {
        let read = journal::Reader::open(&self.folder).and_then(|it| it.soundings(boxes));
        let mut soundings = match read {
            Ok(soundings) => soundings,
            Err(JournalError::Missing { .. }) => Vec::new(),
            Err(error) => {
                warn!("the boat's own soundings cannot be read: {error}");
                Vec::new()
            }
        };
        soundings.extend(self.lately.iter().cloned());
        soundings
    }
}

/// The smallest circle that is drawn, and how far off her approach is drawn.
const NEAREST: Metres = Metres::of(40.0);
const APPROACH: Metres = Metres::of(1200.0);
/// Margin around the requested area: moving a berth a little needs no reload.
const SPARE: Metres = Metres::of(1000.0);
/// Points in memory: 8 MB. The mile around a berth has some ten thousand in the real cell of the tests.
const MOST_POINTS: usize = 500_000;
/// Soundings that may not be on disk: eight full batches.
const MOST_SOUNDED: usize = 4096;
/// Soundings in memory, 100 bytes each: as many as are read at once, and those added since.
const MOST_HELD: usize = 30_000;
const LOOK_EVERY: Duration = Duration::from_secs(5);

#[cfg(test)]
pub(in crate::daemon) mod tests {
    use super::*;
    use crate::chart::own::ReducedBy;
    use crate::speech::Language;
    use crate::time::Timestamp;
    use crate::units::LengthUnit;

    const COVE: Position = Position::of(59.8539, 23.26);

    pub(super) fn question(number: u64, about: About) -> ChartQuestion {
        ChartQuestion {
            number,
            about,
            centre: COVE,
            radius: Some(Metres::of(50.0)),
            draught: Metres::of(1.9),
            margin: Metres::of(0.5),
            lowest: Metres::ZERO,
            now: None,
            lengths: LengthUnit::Metres,
            language: Language::default(),
        }
    }

    pub(super) fn sounding(depth: f64) -> OwnSounding {
        OwnSounding {
            position: COVE,
            depth: Metres::of(depth),
            doubt: Metres::of(5.0),
            at: Timestamp::EPOCH,
            tide: ReducedBy::Server,
        }
    }

    /// No chart, and at first no sounding: new soundings are reported, and count before they are on disk.
    fn what_she_has_sounded_answers(open: fn(PathBuf, UnboundedSender<Errand>) -> Charts) {
        let dir = tempfile::TempDir::new().unwrap();
        let (out, mut back) = tokio::sync::mpsc::unbounded_channel();
        let mut charts = open(dir.path().to_owned(), out);
        charts.ask(question(1, About::Anchor));
        let mut next = || loop {
            match back.blocking_recv() {
                Some(Errand::Chart(news)) => break news,
                Some(Errand::Sketch(..)) => {}
                other => panic!("{other:?}"),
            }
        };
        let told = |news: ChartNews| match news {
            ChartNews::Said(answer) => answer.says.unwrap().room.unwrap().soundings,
            other => panic!("{other:?}"),
        };
        assert_eq!(told(next()), None);
        charts.sounded(vec![sounding(2.0), sounding(2.4)]);
        assert_eq!(next(), ChartNews::Sounded(true));
        charts.ask(question(2, About::Anchor));
        let own = told(next()).unwrap();
        assert_eq!(
            (own.count, own.least, own.governs),
            (1, Metres::of(2.0), true)
        );
        drop(charts);
        // The thread ends, and its answer channel closes.
        while let Some(errand) = back.blocking_recv() {
            assert!(matches!(errand, Errand::Sketch(..)), "{errand:?}");
        }
    }
    #[test]
    fn a_thread_answers_without_charts() {
        what_she_has_sounded_answers(Charts::open);
    }

    #[test]
    fn a_question_that_waits_is_answered_without_charts() {
        what_she_has_sounded_answers(Charts::at_once);
    }

    /// Another program removes them: the next check reports that, and the answer after it no longer has
    /// them.
    #[test]
    fn soundings_removed_beside_the_daemon_no_longer_count() {
        let dir = tempfile::TempDir::new().unwrap();
        let now = crate::time::Now::new(crate::time::Tick::START, Timestamp::EPOCH);
        let (mut journal, _) =
            journal::Journal::open(dir.path(), Duration::from_secs(30), now).unwrap();
        journal.keep_soundings(&[sounding(2.0)]).unwrap();
        let (out, mut back) = tokio::sync::mpsc::unbounded_channel();
        let mut charts = Charts::at_once(dir.path().to_owned(), out);
        charts.sounded(vec![sounding(2.0)]);
        let mut asked = |number| {
            charts.ask(question(number, About::Anchor));
            let mut news = Vec::new();
            while let Ok(errand) = back.try_recv() {
                if let Errand::Chart(told) = errand {
                    news.push(told);
                }
            }
            let Some(ChartNews::Said(answer)) = news.pop() else {
                panic!("{news:?}");
            };
            (news, answer.says.unwrap().room.unwrap().soundings)
        };
        let (news, own) = asked(1);
        assert_eq!(news, [ChartNews::Sounded(true)]);
        assert_eq!(own.unwrap().count, 1);
        journal::forget_soundings(dir.path(), None).unwrap();
        assert_eq!(asked(2), (vec![ChartNews::Forgotten(false)], None));
        assert_eq!(asked(3), (Vec::new(), None));
        journal.close(now).unwrap();
    }

    /// The answer and the drawing are ready without waiting.
    #[test]
    fn by_a_virtual_clock_the_answer_and_the_drawing_come_with_the_question() {
        let dir = tempfile::TempDir::new().unwrap();
        let (out, mut back) = tokio::sync::mpsc::unbounded_channel();
        let mut charts = Charts::at_once(dir.path().to_owned(), out);
        charts.sounded(vec![sounding(2.0)]);
        charts.ask(question(7, About::Anchor));
        let sounded = back.try_recv().unwrap();
        let sounded = matches!(sounded, Errand::Chart(ChartNews::Sounded(true)));
        assert!(sounded);
        let said = back.try_recv().unwrap();
        assert!(
            matches!(&said, Errand::Chart(ChartNews::Said(answer)) if answer.number == 7),
            "{said:?}"
        );
        let drawn = back.try_recv().unwrap();
        assert!(
            matches!(&drawn, Errand::Sketch(About::Anchor, charts) if charts.len() == 1),
            "{drawn:?}"
        );
    }
}
