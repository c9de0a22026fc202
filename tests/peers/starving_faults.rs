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

/// At anchor on 40 m of rode, lying 20 m from it.
fn lie(aboard: &Aboard, instruments: &Instruments) {
    aboard.has_fix();
    let output = aboard.windrode(&["let-go", "--rode", "40m"]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    instruments.lie_at(20.0);
    eventually("she lies off her anchor", || {
        let status = aboard.status()?;
        status["picture"]["anchorDistance"]
            .as_f64()
            .filter(|d| *d > 15.0)
    });
}

#[test]
fn a_hanging_disk_a_clock_that_is_set_and_a_drag_at_once_are_told_in_time() {
    let shim = Shim::new();
    let mut table = Table::begin();
    let server = SignalK::start(Mode::Open);
    let instruments = Instruments::on(&server);
    let phone = Odd::start(Manner::Answers("200 OK", String::new()));
    let mut aboard = Aboard::with_phones(&server, &phone.as_channel("cook"));
    shim.under(&mut aboard);
    let manager = Manager::of(&mut aboard);
    aboard.run();
    lie(&aboard, &instruments);
    let before = manager.fed();
    assert!(before > 0, "a watch that is well was not fed");

    shim.fails("hang");
    shim.fails("day ahead");
    instruments.drag(2.0, 600.0);
    let (delay, told) = timed(|| {
        eventually("the phone is told of the drag", || {
            let all = phone.posted().into_iter().map(|posted| posted.json());
            let mut drags = all.filter(|told| told["hazard"] == "dragging");
            drags.find(|told| told["priority"] == "alarm")
        })
    });
    let shown = eventually("displays show it", || {
        let path = "/signalk/v1/api/vessels/self/notifications/navigation/anchor/dragging/value";
        server
            .rest()
            .get_json(path)
            .filter(|notice| notice["state"] == "alarm")
    });
    let status = eventually("status answers", || aboard.status());
    let alert = aboard.alert("dragging").expect("it stands");
    assert_eq!(alert["state"], "active-unacknowledged", "{alert}");
    let journal = status["journal"].as_str().unwrap_or_default();
    assert!(journal.contains("did not answer within 2 s"), "{status}");
    // She fell back at 2 m/s, by the same clock as her instruments speak: half a minute of it.
    let saw = told["message"].as_str().unwrap_or_default().to_owned();
    let far = status["picture"]["anchorDistance"]
        .as_f64()
        .expect("a number");
    assert!(far < 20.0 + 2.0 * 30.0, "{far} m off: {saw}");
    assert!(
        shown["message"]
            .as_str()
            .is_some_and(|m| m.starts_with("dragging")),
        "{shown}"
    );
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
    let reader = Reader::open(aboard.folder()).expect("the journal is whole");
    assert_eq!(reader.saved().expect("it is read").phase.name(), "dragging");
    let mut events = reader.events(Timestamp::EPOCH).map_while(Result::ok);
    assert!(events.any(|event| {
        event.event == EventKind::Raised && event.hazard.is_some_and(|h| h.name() == "dragging")
    }));
    let run = reader.last_run().expect("it is read").expect("it ran");
    table.row(
        "fsync hangs, clock a day ahead, drag at 2 m/s",
        format!(
            "phone after {:.0} s, display and status: {saw}",
            delay.as_secs_f64()
        ),
        Some(recovered),
        format!("{} inputs, no event", run.dropped),
    );
    assert_eq!(run.dropped, 0);
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
