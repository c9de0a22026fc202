//! The charts on disk, read in a thread of their own: the watch asks, and waits for no disk.
//!
//! Held in memory is what lies about the place that was asked for last, and no more than [`MOST_POINTS`]. The folder
//! is looked at every few seconds: a chart that is added or removed counts without a restart.

use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::Duration;

use tokio::sync::mpsc::UnboundedSender;
use tracing::{info, warn};

use super::errands::Errand;
use crate::chart::clearance::SEARCHED_BEYOND;
use crate::chart::shape::Extent;
use crate::chart::sheet::Sheet;
use crate::chartroom::{ChartRoom, ChartRoomError, Stamp};
use crate::geodesy::Position;
use crate::units::Metres;
use crate::watch::charted::{ChartAnswer, ChartNews, ChartQuestion};

/// Puts the watch's questions to the charts.
pub(super) enum Charts {
    /// A thread answers when it has read.
    Later(Sender<ChartQuestion>),
    /// Whoever asks waits.
    AtOnce(Box<Reader>),
}

impl Charts {
    /// Begins to look at the charts; what they say comes as an errand's answer.
    pub(super) fn open(room: ChartRoom, out: UnboundedSender<Errand>) -> Self {
        let (questions, asked) = channel();
        let reader = Reader::new(room, out);
        let thread = thread::Builder::new().name("charts".to_owned());
        if let Err(error) = thread.spawn(move || reader.run(&asked)) {
            warn!("no thread to read charts: {error}; room to swing is not checked");
        }
        Self::Later(questions)
    }

    /// Reads while the watch waits: by a virtual clock nothing may depend on how fast a disk is.
    pub(super) fn at_once(room: ChartRoom, out: UnboundedSender<Errand>) -> Self {
        let mut reader = Reader::new(room, out);
        reader.look();
        Self::AtOnce(Box::new(reader))
    }

    /// Asks. Without a thread nobody answers, and the watch was never told of charts.
    pub(super) fn ask(&mut self, question: &ChartQuestion) {
        match self {
            Self::Later(questions) => {
                let _ = questions.send(*question);
            }
            Self::AtOnce(reader) => reader.handle(question),
        }
    }
}

/// What reads.
pub(super) struct Reader {
    room: ChartRoom,
    out: UnboundedSender<Errand>,
    /// The files as they were seen last.
    stamps: Vec<Stamp>,
    sheet: Option<Loaded>,
}

/// The charts about a place.
struct Loaded {
    about: Position,
    within: Metres,
    sheet: Sheet,
}

impl Reader {
    const fn new(room: ChartRoom, out: UnboundedSender<Errand>) -> Self {
        Self {
            room,
            out,
            stamps: Vec::new(),
            sheet: None,
        }
    }

    fn run(mut self, asked: &Receiver<ChartQuestion>) {
        loop {
            self.look();
            match asked.recv_timeout(LOOK_EVERY) {
                Ok(question) => self.handle(&question),
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => return,
            }
        }
    }

    fn handle(&mut self, question: &ChartQuestion) {
        self.look();
        let answer = self.answer(question);
        self.tell(ChartNews::Said(Box::new(answer)));
    }

    /// Have the charts changed?
    fn look(&mut self) {
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

    fn tell(&self, news: ChartNews) {
        // The daemon may be gone by now.
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

    /// The charts about the place, loaded again when it lies elsewhere than those that are held.
    fn sheet(&mut self, question: &ChartQuestion) -> Result<&Sheet, ChartRoomError> {
        let needed = question.radius.unwrap_or_default() + SEARCHED_BEYOND;
        let holds =
            |loaded: &Loaded| loaded.about.distance_to(question.centre) + needed <= loaded.within;
        let loaded = if let Some(loaded) = self.sheet.take().filter(holds) {
            loaded
        } else {
            let within = needed + SPARE;
            let boxes = Extent::about(question.centre, within.get());
            Loaded {
                about: question.centre,
                within,
                sheet: self.room.load_within(&boxes, MOST_POINTS)?,
            }
        };
        Ok(&self.sheet.insert(loaded).sheet)
    }
}

/// Loaded beyond what is asked for: a berth that is moved a little needs no other load.
const SPARE: Metres = Metres::of(1000.0);
/// Points held at once: 8 MB. The mile about a berth has some ten thousand on the real cell of the tests.
const MOST_POINTS: usize = 500_000;
const LOOK_EVERY: Duration = Duration::from_secs(5);
