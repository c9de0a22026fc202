//! What would let the watch look alive and tell nobody: a disk that hangs while the clock is set and she
//! drags, and a network that takes nothing. The real process, the real server, a service manager's
//! socket.

#![expect(
    clippy::expect_used,
    reason = "a test whose boat cannot be had fails, and says why"
)]

use std::os::unix::net::UnixDatagram;
use std::time::{Duration, Instant};

use windrode::journal::Reader;
use windrode::time::Timestamp;
use windrode::watch::messages::EventKind;

use super::ashore::{Manner, Odd};
use super::fault_table::{Table, timed};
use super::shim::Shim;
use super::tern::{Aboard, Instruments, eventually};
use super::{Mode, SignalK};

/// The service manager, as far as `sd_notify(3)` goes.
struct Manager {
    socket: UnixDatagram,
}

impl Manager {
    /// It wants to be fed within four seconds, so it is every two.
    fn of(aboard: &mut Aboard) -> Self {
        let path = aboard.folder().join("notify");
        let socket = UnixDatagram::bind(&path).expect("the socket is bound");
        aboard.set("NOTIFY_SOCKET", &path.display().to_string());
        aboard.set("WATCHDOG_USEC", "4000000");
        Self { socket }
    }

    /// Whether it is fed within this time.
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

    /// How often it was fed since it was last looked at.
    fn fed(&self) -> usize {
        let mut times = 0;
        while self.is_fed_within(Duration::from_millis(1)) {
            times += 1;
        }
        times
    }
}

/// At anchor on 40 m of rode, lying 35 m from it.
fn lie(aboard: &Aboard, instruments: &Instruments) {
    aboard.has_fix();
    let output = aboard.windrode(&["let-go", "--rode", "40m"]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    instruments.lie_at(35.0);
    eventually("she lies off her anchor", || {
        let status = aboard.status()?;
        status["picture"]["anchorDistance"]
            .as_f64()
            .filter(|d| *d > 30.0)
    });
}

/// How a drag was told.
struct Told {
    /// From its beginning to the phone.
    delay: Duration,
    /// How far off the mark she was when the alarm was raised.
    distance: f64,
    message: String,
}

/// She falls back at 2 m/s from where the rode is nearly taut.
fn drag(aboard: &Aboard, instruments: &Instruments, phone: &Odd) -> Told {
    let (delay, told) = timed(|| {
        instruments.drag(2.0, 600.0);
        eventually("the phone is told of the drag", || {
            let all = phone.posted().into_iter().map(|posted| posted.json());
            let mut drags = all.filter(|told| told["hazard"] == "dragging");
            drags.find(|told| told["priority"] == "alarm")
        })
    });
    let alert = aboard.alert("dragging").expect("it stands");
    assert_eq!(alert["state"], "active-unacknowledged", "{alert}");
    Told {
        delay,
        distance: f64::NAN,
        message: told["message"].as_str().unwrap_or_default().to_owned(),
    }
}

/// How far off she was, by the event in the journal.
fn distance_told(aboard: &Aboard) -> f64 {
    let reader = Reader::open(aboard.folder()).expect("the journal is whole");
    let mut events = reader.events(Timestamp::EPOCH).map_while(Result::ok);
    let told = events.find(|event| {
        event.event == EventKind::Raised && event.hazard.is_some_and(|h| h.name() == "dragging")
    });
    let told = told.expect("the alarm is on disk");
    told.evidence["anchorDistance"].as_f64().expect("a number")
}

/// The same drag on a computer that is well: what the faults are held against.
fn drag_when_all_is_well() -> Told {
    let server = SignalK::start(Mode::Open);
    let instruments = Instruments::on(&server);
    let phone = Odd::start(Manner::Answers("200 OK", String::new()));
    let mut aboard = Aboard::with_phones(&server, &phone.as_channel("cook"));
    aboard.run();
    lie(&aboard, &instruments);
    let told = drag(&aboard, &instruments, &phone);
    assert_eq!(aboard.stop(), Some(0));
    let distance = distance_told(&aboard);
    Told { distance, ..told }
}

#[test]
fn a_hanging_disk_a_clock_that_is_set_and_a_drag_at_once_are_told_in_time() {
    let mut table = Table::begin();
    let well = drag_when_all_is_well();
    let shim = Shim::new();
    let server = SignalK::start(Mode::Open);
    let instruments = Instruments::on(&server);
    let phone = Odd::start(Manner::Answers("200 OK", String::new()));
    let mut aboard = Aboard::with_phones(&server, &phone.as_channel("cook"));
    shim.under(&mut aboard);
    let manager = Manager::of(&mut aboard);
    aboard.run();
    lie(&aboard, &instruments);
    assert!(manager.fed() > 0, "a watch that is well was not fed");

    shim.fails("hang");
    shim.fails("day ahead");
    let told = drag(&aboard, &instruments, &phone);
    eventually("displays show it", || {
        let path = "/signalk/v1/api/vessels/self/notifications/navigation/anchor/dragging/value";
        let shown = server.rest().get_json(path)?;
        (shown["state"] == "alarm").then_some(())
    });
    let status = eventually("status answers", || aboard.status());
    let journal = status["journal"].as_str().unwrap_or_default();
    assert!(journal.contains("did not answer within 2 s"), "{status}");
    // It hears, judges and tells; only the disk does not answer.
    eventually("the watchdog is fed", || (manager.fed() > 0).then_some(()));

    let (recovered, ()) = timed(|| {
        shim.is_mended("hang");
        eventually("it is on disk", || {
            aboard.status()?["journal"].is_null().then_some(())
        });
    });
    // Power is cut: what was told while the disk hung stands in the journal.
    aboard.kill();
    let distance = distance_told(&aboard);
    let reader = Reader::open(aboard.folder()).expect("the journal is whole");
    assert_eq!(reader.saved().expect("it is read").phase.name(), "dragging");
    let run = reader.last_run().expect("it is read").expect("it ran");
    table.row(
        "fsync hangs, clock a day ahead, drag at 2 m/s",
        format!(
            "told by phone after {:.0} s, {distance:.0} m off; when all is well after {:.0} s, {:.0} m off: {}",
            told.delay.as_secs_f64(),
            well.delay.as_secs_f64(),
            well.distance,
            told.message
        ),
        Some(recovered),
        format!("{} inputs, no event", run.dropped),
    );
    assert_eq!(run.dropped, 0);
    // Metres, not seconds: her instruments go by the same clock as she drags. She has thirty seconds.
    assert!(distance < 35.0 + 2.0 * 30.0, "{distance} m off");
    // The disk is waited for once, two seconds, and a slow machine is no fault.
    assert!(distance < well.distance + 2.0 * 8.0, "{distance} m off");
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
    // The first output that does not leave holds it up: a heartbeat comes every ten seconds.
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

/// As long as the service manager waits, by [`Manager::of`].
const WATCHDOG: Duration = Duration::from_secs(4);
