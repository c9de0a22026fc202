//! The world of a rehearsal: sea, boat and instruments feed the embedded server, and the daemon
//! watches over a real WebSocket, all by one virtual clock.
//!
//! A step is a second of that clock: the clock moves on, wind and water move the boat, the
//! instruments speak, and the world waits until the daemon has judged it all (see
//! [`EmbeddedServer::settle`]). So a night takes as long as the machine needs to calculate it, and
//! the same seed gives the same night on any machine.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use serde_json::Value;
use tokio::sync::{mpsc, oneshot};
use tokio::task::JoinHandle;

use crate::boat::BoatFigures;
use crate::chart::codes::Datum;
use crate::chartroom::ChartRoom;
use crate::chartroom::import::{self, Said};
use crate::config::{Config, ServerAddress};
use crate::daemon::{Daemon, DaemonError, StatusReport};
use crate::geodesy::{Plane, Position};
use crate::io::clock::{Clock, VirtualClock};
use crate::io::control::{self, Asked, Request};
use crate::observation::Fact;
use crate::plot::PictureInput;
use crate::rehearse::boat::{Boat, BoatSettings};
use crate::rehearse::fleet::{Fleet, VesselSettings};
use crate::rehearse::sea::{Sea, SeaSettings, SeaState};
use crate::rehearse::sensors::{SensorSettings, Sensors};
use crate::rehearse::server::{EmbeddedServer, Identity};
use crate::rehearse::speech::{Speech, delta, static_delta};
use crate::signalk::hub::{NoticeAction, PutOutcome};
use crate::signalk::paths::NOTIFICATIONS;
use crate::speech::Wording;
use crate::time::Timestamp;
use crate::units::{Bearing, Metres};
use crate::watch::messages::{DisplayAct, DisplayAction, Output};

/// The parts of a world.
pub struct WorldSettings {
    /// When the night begins.
    pub start: Timestamp,
    /// The berth: the plane of sea and boat touches the Earth here.
    pub origin: Position,
    /// The sea.
    pub sea: SeaSettings,
    /// The boat.
    pub boat: BoatSettings,
    /// Her figures, as the crew configured them and the server knows them.
    pub figures: BoatFigures,
    /// Where she begins, relative to the berth.
    pub begin: (Bearing, Metres),
    /// Other boats at anchor.
    pub neighbours: Vec<VesselSettings>,
    /// A chart in GeoJSON, and the name it is kept by.
    pub chart: Option<(&'static str, &'static str)>,
    /// Where the journal goes.
    pub journal: std::path::PathBuf,
    /// The seed of the night.
    pub seed: u64,
    /// The language in which the crew is addressed.
    pub wording: Wording,
}

/// See the module documentation.
pub struct World {
    sea: Sea,
    /// The boat; what the crew does at the wheel, the windlass and the engine.
    pub boat: Boat,
    /// The boats near her.
    pub fleet: Fleet,
    sensors: Sensors,
    speech: Speech,
    clock: VirtualClock,
    server: EmbeddedServer,
    control: mpsc::Sender<Asked>,
    outputs: mpsc::UnboundedReceiver<Output>,
    stop: Option<oneshot::Sender<()>>,
    daemon: JoinHandle<Result<(), DaemonError>>,
    plane: Plane,
}

/// Why a rehearsal could not be held. A failure of the watch is not an error but the result.
#[derive(Debug, thiserror::Error)]
pub enum WorldError {
    /// The embedded server.
    #[error("the embedded server cannot start: {0}")]
    Server(std::io::Error),
    /// Its address.
    #[error("the embedded server's address is not an address: {0}")]
    Address(String),
    /// The daemon.
    #[error(transparent)]
    Daemon(#[from] DaemonError),
    /// The chart.
    #[error("the chart of the rehearsal cannot be added: {0}")]
    Chart(String),
    /// The daemon ended during the night.
    #[error("the daemon ended in the middle of the rehearsal")]
    Ended,
}

impl World {
    /// Starts the server and the daemon.
    pub async fn start(settings: WorldSettings) -> Result<Self, WorldError> {
        if let Some((name, text)) = settings.chart {
            add_chart(&settings.journal, name, text).map_err(WorldError::Chart)?;
        }
        let (clock, virtual_clock) = Clock::virtual_at(settings.start);
        let server_clock = clock.clone();
        let defaults = static_delta("Tern", &settings.figures, settings.start);
        let identity = Identity {
            urn: "urn:mrn:imo:mmsi:230099999".to_owned(),
            defaults: vec![defaults],
            seed: settings.seed,
        };
        let server = EmbeddedServer::start(identity, Arc::new(move || server_clock.now().utc))
            .await
            .map_err(WorldError::Server)?;
        let mut config = Config::default();
        let address = ServerAddress::parse(&server.url()).map_err(WorldError::Address)?;
        config.server.url = Some(address);
        config.watch.boat = settings.figures;
        config.watch.wording = settings.wording;
        config.journal.directory = settings.journal;
        config.journal.record = true;
        let (control, asked) = mpsc::channel(4);
        let (tell, outputs) = mpsc::unbounded_channel();
        let (stop, stopped) = oneshot::channel();
        let daemon = Daemon::open(config, clock, asked)?.with_listener(tell);
        let daemon = tokio::spawn(daemon.run(async {
            // Dropping a world also stops its daemon.
            let _ = stopped.await;
            "the rehearsal is over"
        }));
        let (bearing, distance) = settings.begin;
        let plane = Plane::at(settings.origin);
        let begin = crate::geodesy::Offset::polar(bearing, distance);
        let sensor_settings = SensorSettings {
            antenna_from_bow: settings.figures.antenna_from_bow.unwrap_or_default(),
            antenna_from_centre: settings.figures.antenna_from_centre.unwrap_or_default(),
            ..SensorSettings::aboard(&settings.boat, settings.origin)
        };
        let sea = Sea::new(settings.sea, STEP, settings.seed);
        let world = Self {
            fleet: Fleet::lying(&settings.neighbours, STEP, sea.state(), settings.seed),
            sea,
            boat: Boat::under_way(
                settings.boat,
                STEP,
                begin,
                bearing.reversed(),
                settings.seed,
            ),
            speech: Speech::new(sensor_settings.variation),
            sensors: Sensors::new(sensor_settings, settings.seed),
            clock: virtual_clock,
            server,
            control,
            outputs,
            stop: Some(stop),
            daemon,
            plane,
        };
        world.come_up().await;
        Ok(world)
    }

    /// The clock stands while the daemon connects and learns its rights: that takes real time.
    async fn come_up(&self) {
        for _ in 0..PATIENCE {
            self.server.settle().await;
            if self
                .status()
                .await
                .is_some_and(|report| report.link == "up")
            {
                return;
            }
            tokio::time::sleep(Duration::from_millis(1)).await;
        }
    }

    /// Lets a second pass.
    pub async fn step(&mut self) -> Result<(), WorldError> {
        for _ in 0..STEPS_A_SECOND {
            let sea = self.sea.step();
            self.boat.step(sea);
            self.fleet.step(sea);
        }
        self.clock.advance(Duration::from_secs(1));
        let sample = self
            .sensors
            .sample(self.now(), self.boat.state(), self.sea.state());
        // Our own instruments speak well-formed deltas.
        let _ = self.server.feed(&self.speech.delta(&sample));
        for heard in self.fleet.speak(self.now(), self.plane) {
            // Each is judged before the next, so that the order is the same each time.
            self.server.settle().await;
            let _ = self.server.feed(&heard);
        }
        if self.server.clients() == 0 {
            // Reconnecting takes real time; without it the virtual clock would run away.
            tokio::time::sleep(Duration::from_millis(2)).await;
        }
        self.server.settle().await;
        if self.daemon.is_finished() {
            return Err(WorldError::Ended);
        }
        Ok(())
    }

    /// A tide table service reports the tide to the server: now, and the turns to come.
    pub fn tell_tide(&self, high: (Metres, Timestamp), low: (Metres, Timestamp)) {
        let facts = [
            Fact::TideNow(Some(self.sea.state().tide)),
            Fact::TideHigh(Some(high.0)),
            Fact::TideTimeHigh(Some(high.1)),
            Fact::TideLow(Some(low.0)),
            Fact::TideTimeLow(Some(low.1)),
        ];
        // Our own table speaks well-formed deltas.
        let _ = self.server.feed(&delta("tide.table", self.now(), &facts));
    }

    /// The crew puts a value at a display.
    pub async fn put(&self, path: &str, value: Value) -> PutOutcome {
        let outcome = self.server.put(path, value).await;
        self.server.settle().await;
        outcome
    }

    /// The crew presses "acknowledge" at a display; returns whether there was something to acknowledge.
    pub async fn acknowledge(&self, path: &str) -> bool {
        let done = self.server.act(path, NoticeAction::Acknowledge).is_ok();
        self.server.settle().await;
        done
    }

    /// Somebody acted on an alert at a display of another server.
    pub async fn display(&self, action: DisplayAction) {
        let path = format!("{NOTIFICATIONS}{}", action.hazard);
        let _ = match action.act {
            DisplayAct::Acknowledged => self.server.act(&path, NoticeAction::Acknowledge),
            DisplayAct::Silenced => self.server.act(&path, NoticeAction::Silence),
            // The alert stands; who shows it corrects that.
            DisplayAct::Cleared => return,
        };
        self.server.settle().await;
    }

    /// What `windrode status` would show.
    pub async fn status(&self) -> Option<StatusReport> {
        self.ask("status").await
    }

    /// The data behind `windrode status --picture` and the picture on phones.
    pub async fn picture(&self) -> Option<PictureInput> {
        self.ask("picture").await
    }

    async fn ask<T: serde::de::DeserializeOwned>(&self, command: &str) -> Option<T> {
        let (asked, answer) = Asked::new(Request {
            command: command.to_owned(),
            value: Value::Null,
        });
        self.control.send(asked).await.ok()?;
        control::parsed(&answer.await.ok()?.data?).ok()
    }

    /// What displays show on a path.
    #[must_use]
    pub fn value(&self, path: &str) -> Option<Value> {
        self.server.value(path)
    }

    /// The server, for everything else that displays see.
    #[must_use]
    pub fn server(&self) -> &EmbeddedServer {
        &self.server
    }

    /// What the watch reported since the last call.
    pub fn outputs(&mut self) -> Vec<Output> {
        std::iter::from_fn(|| self.outputs.try_recv().ok()).collect()
    }

    /// The present moment of the virtual clock.
    #[must_use]
    pub fn now(&self) -> Timestamp {
        self.clock.now().utc
    }

    /// The sea as it is.
    #[must_use]
    pub fn sea(&self) -> &SeaState {
        self.sea.state()
    }

    /// The plane of sea and boat.
    #[must_use]
    pub const fn plane(&self) -> Plane {
        self.plane
    }

    /// The instruments, to make them fail.
    pub fn sensors(&mut self) -> &mut Sensors {
        &mut self.sensors
    }

    /// Stops the daemon as the service manager does.
    pub async fn end(mut self) -> Result<(), WorldError> {
        if let Some(stop) = self.stop.take() {
            let _ = stop.send(());
        }
        match self.daemon.await {
            Ok(result) => result.map_err(WorldError::from),
            Err(_) => Err(WorldError::Ended),
        }
    }
}

/// Does what `windrode chart add` does.
fn add_chart(folder: &Path, name: &str, text: &str) -> Result<(), String> {
    let file = folder.join(format!("{name}.geojson"));
    std::fs::write(&file, text).map_err(|error| format!("`{}`: {error}", file.display()))?;
    let said = Said {
        scale: Some(12_000),
        datum: Some(Datum(23)),
        ..Said::default()
    };
    let room = ChartRoom::of(folder);
    for source in import::sources(&file, &said).map_err(|error| error.to_string())? {
        let (cell, _) = import::read(&source, &said).map_err(|error| error.to_string())?;
        room.add(&cell).map_err(|error| error.to_string())?;
    }
    Ok(())
}

const STEP: Duration = Duration::from_millis(250);
const STEPS_A_SECOND: u32 = 4;
/// Milliseconds that the daemon has to connect.
const PATIENCE: u32 = 5000;

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::alert::hazard::{AlertState, Hazard};
    use crate::rehearse::night::Name;
    use crate::rehearse::sensors::{Condition, Instrument};
    use serde_json::json;

    /// At a drill the crew acts at the boat's own displays, and the night must hear of it.
    #[tokio::test]
    async fn what_is_done_at_another_server_s_display_reaches_the_watch() {
        let folder = tempfile::tempdir().unwrap();
        let settings = Name::Drag.settings(1, folder.path().to_owned());
        let mut world = World::start(settings).await.unwrap();
        for _ in 0..10 {
            world.step().await.unwrap();
        }
        let let_go = world.put("navigation.anchor.watch.letGo", json!({"rode": 40}));
        assert_eq!(let_go.await.status_code, 200);
        world.sensors().set(Instrument::Gnss, Condition::Silent);
        for _ in 0..90 {
            world.step().await.unwrap();
        }
        let mut seen = Vec::new();
        for act in [
            DisplayAct::Cleared,
            DisplayAct::Silenced,
            DisplayAct::Acknowledged,
        ] {
            let hazard = Hazard::Position;
            world.display(DisplayAction { hazard, act }).await;
            world.step().await.unwrap();
            let alerts = world.status().await.unwrap().alerts;
            let alert = alerts.iter().find(|it| it.hazard == hazard);
            seen.push(alert.unwrap().state);
        }
        assert_eq!(
            seen,
            [
                AlertState::ActiveUnacknowledged,
                AlertState::ActiveSilenced,
                AlertState::ActiveAcknowledged,
            ]
        );
        world.end().await.unwrap();
    }
}
