//! Faults that would let the watch look alive but silence it: a disk that hangs while the clock is set
//! and she drags, and a network that accepts nothing. The real process, the real server, a service
//! manager's socket.

#![expect(
    clippy::expect_used,
    reason = "a test whose boat cannot be set up fails, and says why"
)]

use std::os::unix::net::UnixDatagram;
use std::time::{Duration, Instant, SystemTime};

use windrode::journal::Reader;
use windrode::time::Timestamp;

use super::ashore::{Manner, Odd};
use super::fault_table::{Table, timed};
use super::shim::Shim;
use super::tern::{Aboard, Instruments, LONG, eventually, eventually_within};
use super::{Mode, SignalK};

/// The service manager, as far as `sd_notify(3)` goes.
struct Manager {
    socket: UnixDatagram,
}

impl Manager {
    /// It expects a signal within four seconds, so windrode sends one every two.
    fn of(aboard: &mut Aboard) -> Self {
        let path = aboard.folder().join("notify");
        let socket = UnixDatagram::bind(&path).expect("the socket is bound");
        aboard.set("NOTIFY_SOCKET", &path.display().to_string());
        aboard.set("WATCHDOG_USEC", "4000000");
        Self { socket }
    }

    /// Whether a signal arrives within this time.
    fn is_fed_within(&self, limit: Duration) -> bool {
        let begun = Instant::now();
        let mut buffer = [0; 4096];
        while let Some(left) = limit.checked_sub(begun.elapsed()).filter(|l| !l.is_zero()) {
            let set = self.socket.set_read_timeout(Some(left));
            set.expect("a limit can be set");
            let Ok(length) = self.socket.recv(&mut buffer) else {
                return false;
            };
            if buffer[..length].starts_with(b"WATCHDOG=1") {
                return true;
            }
        }
        false
    }

    /// Number of signals since the last call.
    fn fed(&self) -> usize {
        let mut times = 0;
        while self.is_fed_within(Duration::from_millis(1)) {
            times += 1;
        }
        times
    }
}

/// Lets go, falls back and lies to 40 m of rode, 35 m from the anchor.
fn lie(aboard: &Aboard, instruments: &Instruments) {
    aboard.has_fix();
    // Without the heading the mark would lie under the antenna.
    eventually("the heading is heard", || {
        (aboard.status()?["picture"]["measuredFrom"] == "bowRoller").then_some(())
    });
    aboard.order(&["let-go", "--rode", "40m"]);
    instruments.drag(1.5, 35.0);
    eventually("she lies off her anchor", || {
        let status = aboard.status()?;
        status["picture"]["anchorDistance"]
            .as_f64()
            .filter(|d| *d > 33.0)
    });
}

/// A boat with a server of her own.
struct Boat {
    server: SignalK,
    instruments: Instruments,
    phone: Odd,
    aboard: Aboard,
}

impl Boat {
    /// At anchor; `with` is done before windrode starts.
    fn at_anchor(with: impl FnOnce(&mut Aboard)) -> Self {
        let server = SignalK::start(Mode::Open);
        let instruments = Instruments::on(&server);
        let phone = Odd::start(Manner::Answers("200 OK", String::new()));
        let mut aboard = Aboard::with_phones(&server, &phone.as_channel("cook"));
        with(&mut aboard);
        aboard.run();
        lie(&aboard, &instruments);
        Self {
            server,
            instruments,
            phone,
            aboard,
        }
    }

    /// Rides until the watch has learned her receiver; before that it allows a drag more room.
    fn rides(&self) {
        eventually_within(LONG, "the receiver is known", || {
            let status = self.aboard.status()?;
            status["picture"]["fixUncertainty"]
                .as_f64()
                .filter(|doubt| *doubt < KNOWN)
        });
    }

    /// When the phone received the drag alarm, and its text.
    fn told(&self) -> (SystemTime, String) {
        eventually("the phone is told of the drag", || {
            let mut all = self.phone.posted().into_iter();
            let drag = all.find(|posted| {
                posted.json()["hazard"] == "dragging" && posted.json()["priority"] == "alarm"
            })?;
            let message = drag.json()["message"].as_str()?.to_owned();
            Some((drag.at, message))
        })
    }

    /// Her distance when the alarm was raised, by the event in the journal.
    fn distance_told(&self) -> f64 {
        let reader = Reader::open(self.aboard.folder()).expect("the journal is whole");
        let mut events = reader.events(Timestamp::EPOCH).map_while(Result::ok);
        let told = events.find(windrode::watch::messages::Event::is_drag_alarm);
        let told = told.expect("the alarm is on disk");
        told.evidence["anchorDistance"].as_f64().expect("a number")
    }
}

/// Two boats drag at once: one on a computer with all the faults, one on a healthy computer.
#[test]
fn a_hanging_disk_a_clock_that_is_set_and_a_drag_at_once_are_told_in_time() {
    let mut table = Table::begin();
    let shim = Shim::new();
    let mut well = Boat::at_anchor(|_| ());
    let mut manager = None;
    let mut boat = Boat::at_anchor(|aboard| {
        shim.under(aboard);
        manager = Some(Manager::of(aboard));
    });
    let manager = manager.expect("it was made");
    well.rides();
    boat.rides();
    assert!(manager.fed() > 0, "a watch that is well was not fed");

    shim.fails("hang");
    shim.fails("day ahead");
    let began = SystemTime::now();
    well.instruments.drag(2.0, 600.0);
    boat.instruments.drag(2.0, 600.0);
    let (at, message) = boat.told();
    let (well_at, _) = well.told();
    eventually("displays show it", || {
        let path = "/signalk/v1/api/vessels/self/notifications/navigation/anchor/dragging/value";
        let shown = boat.server.rest().get_json(path)?;
        (shown["state"] == "alarm").then_some(())
    });
    let alert = boat.aboard.alert("dragging").expect("it stands");
    assert_eq!(alert["state"], "active-unacknowledged", "{alert}");
    let status = eventually("status answers", || boat.aboard.status());
    let journal = status["journal"].as_str().unwrap_or_default();
    assert!(journal.contains("does not answer"), "{status}");
    // The watch receives, judges and reports; only the disk does not answer.
    eventually("the watchdog is fed", || (manager.fed() > 0).then_some(()));

    let (recovered, ()) = timed(|| {
        shim.is_mended("hang");
        eventually("it is on disk", || {
            boat.aboard.status()?["journal"].is_null().then_some(())
        });
    });
    // Power is cut: events from while the disk hung are in the journal.
    boat.aboard.kill();
    well.aboard.kill();
    let (distance, well_distance) = (boat.distance_told(), well.distance_told());
    let reader = Reader::open(boat.aboard.folder()).expect("the journal is whole");
    assert_eq!(reader.saved().expect("it is read").phase.name(), "dragging");
    let run = reader.last_run().expect("it is read").expect("it ran");
    let after = |at: SystemTime| at.duration_since(began).map_or(0.0, |d| d.as_secs_f64());
    table.row(
        "fsync hangs, clock a day ahead, drag at 2 m/s",
        format!(
            "told by phone after {:.0} s, {distance:.0} m off; a boat beside her without the faults after {:.0} s, {well_distance:.0} m off: {message}",
            after(at),
            after(well_at),
        ),
        Some(recovered),
        format!("{} inputs, no event", run.dropped),
    );
    assert_eq!(run.dropped, 0);
    // Metres, not seconds: her instruments go by the same clock as she drags. The drag test itself needs
    // half a minute at this speed, from 5 m within the reach.
    assert!(distance < 35.0 + 2.0 * 45.0, "{distance} m off");
    // The watch waits for the disk once, two seconds; a busy machine is not a fault.
    assert!(
        distance < well_distance + 2.0 * 8.0,
        "{distance} m off, {well_distance} m without the faults"
    );
}

#[test]
fn a_watch_whose_outputs_do_not_leave_does_not_feed_the_watchdog() {
    let shim = Shim::new();
    let mut table = Table::begin();
    let server = SignalK::start(Mode::Open);
    let instruments = Instruments::on(&server);
    let mut aboard = Aboard::of(&server);
    shim.under(&mut aboard);
    let manager = Manager::of(&mut aboard);
    aboard.run();
    lie(&aboard, &instruments);
    for _ in 0..3 {
        assert!(
            manager.is_fed_within(Duration::from_secs(60)),
            "while all is well"
        );
    }
    shim.fails("mute");
    // The first output that cannot leave blocks it: a heartbeat comes every ten seconds.
    let mut fed = 0;
    while manager.is_fed_within(3 * WATCHDOG) {
        fed += 1;
        assert!(fed < 20, "it is fed, and nothing leaves");
    }
    let (recovered, ()) = timed(|| {
        shim.is_mended("mute");
        eventually("it is fed again", || {
            manager.is_fed_within(WATCHDOG).then_some(())
        });
    });
    eventually("the link is up", || {
        (aboard.status()?["link"] == "up").then_some(())
    });
    let phase = aboard.status().expect("it answers")["picture"]["phase"].clone();
    table.row(
        "network writes hang",
        format!(
            "the watchdog is fed {fed} times and then no more: the service manager restarts it"
        ),
        Some(recovered),
        format!("nothing: {}", phase.as_str().unwrap_or_default()),
    );
    assert_eq!(aboard.stop(), Some(0));
}

/// As long as the service manager waits, see [`Manager::of`].
const WATCHDOG: Duration = Duration::from_secs(4);
/// Metres: an ordinary receiver's, which this one is better than.
const KNOWN: f64 = 15.0;
