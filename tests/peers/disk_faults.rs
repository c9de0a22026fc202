//! A disk that fails under the real process, and what the crew sees.
//! `tests/run faults -- --nocapture` prints the table.

#![expect(
    clippy::expect_used,
    reason = "a test whose boat cannot be set up fails, and says why"
)]

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

use serde_json::{Value, json};

use super::ashore::{Manner, Odd};
use super::fault_table::{Table, timed};
use super::shim::Shim;
use super::tern::{Aboard, Instruments, eventually};
use super::{Mode, SignalK};

pub(super) const LET_GO: [&str; 5] = ["let-go", "--position", "59.8539,23.26", "--rode", "40m"];

pub(super) fn said(aboard: &Aboard, order: &[&str]) -> String {
    let output = aboard.windrode(order);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    String::from_utf8_lossy(&output.stdout).trim().to_owned()
}

fn journal(aboard: &Aboard) -> Option<String> {
    Some(aboard.status()?["journal"].as_str()?.to_owned())
}

pub(super) fn database(aboard: &Aboard) -> PathBuf {
    aboard.folder().join("journal.db")
}

pub(super) fn without_the_files_beside(file: &Path) {
    for rest in ["-wal", "-shm"] {
        let _ = std::fs::remove_file(format!("{}{rest}", file.display()));
    }
}

/// The alarm that a watch may have been lost, in status and on the phone.
pub(super) fn lost(aboard: &Aboard, phone: &Odd) -> String {
    let alert = eventually("a lost watch is an alarm", || {
        aboard
            .alert("watch")
            .filter(|alert| alert["priority"] == "alarm")
    });
    let told = |json: &Value| json["hazard"] == "watch" && json["priority"] == "alarm";
    eventually("the phone is told", || {
        phone
            .posted()
            .into_iter()
            .map(|posted| posted.json())
            .find(told)
    });
    let message = alert["message"].as_str().unwrap_or_default().to_owned();
    assert!(message.contains("a watch may have been lost"), "{message}");
    message
}

/// Ends the fault; returns the time until all orders are on disk.
fn mended(aboard: &Aboard, shim: &Shim, how: &str) -> Duration {
    let (time, ()) = timed(|| {
        shim.is_mended(how);
        eventually("it is on disk", || {
            aboard.status()?["journal"].is_null().then_some(())
        });
    });
    time
}

/// The state after a power cut and restart.
fn after_a_power_cut(aboard: &mut Aboard) -> String {
    aboard.kill();
    aboard.run();
    let status = eventually("it answers", || aboard.status());
    let picture = &status["picture"];
    format!("{} {}", picture["phase"], picture["rodeOut"])
}

#[test]
fn a_disk_that_fails_ends_no_watch_and_hides_no_alarm() {
    let shim = Shim::new();
    let mut table = Table::begin();
    let phone = Odd::start(Manner::Answers("200 OK", String::new()));
    let mut aboard = Aboard::alone(&phone.as_channel("cook"));
    shim.under(&mut aboard);

    // It hangs during the watch.
    aboard.run();
    shim.fails("hang");
    let done = said(&aboard, &LET_GO);
    assert!(done.contains("NOT ON DISK yet"), "{done}");
    eventually("the alarm goes out all the same", || {
        let all = phone.posted().into_iter().map(|posted| posted.json());
        let mut alarms = all.filter(|told| told["priority"] == "alarm");
        alarms.find(|told| told["hazard"] == "dataLink")
    });
    let why = eventually("status says so", || journal(&aboard));
    assert!(why.contains("does not answer"), "{why}");
    let recovered = mended(&aboard, &shim, "hang");
    let left = after_a_power_cut(&mut aboard);
    assert_eq!(left, "\"setting\" 40.0");
    let nothing = "nothing: the alarm was told meanwhile, the mark is kept";
    table.row("disk hangs", done, Some(recovered), nothing);

    // It is full: orders given then are stored as soon as there is room.
    shim.fails("full");
    let done = said(&aboard, &["veer", "31m"]);
    assert!(done.contains("NOT ON DISK yet"), "{done}");
    assert!(done.contains("disk full"), "{done}");
    let recovered = mended(&aboard, &shim, "full");
    let left = after_a_power_cut(&mut aboard);
    assert_eq!(left, "\"setting\" 31.0");
    table.row(
        "disk full: veer 31m",
        done,
        Some(recovered),
        "nothing: 31 m is kept",
    );
    let done = said(&aboard, &["veer", "32m"]);
    assert!(!done.contains("NOT ON DISK"), "{done}");
    shim.fails("full");
    said(&aboard, &["veer", "31m"]);
    mended(&aboard, &shim, "full");
    aboard.kill();

    // It is full at the start: the watch uses what it holds.
    shim.fails("full");
    aboard.run();
    let status = eventually("it answers", || aboard.status());
    assert_eq!(status["picture"]["phase"], "setting", "{status}");
    assert_eq!(status["picture"]["rodeOut"], 31.0, "{status}");
    let why = eventually("status says so", || journal(&aboard));
    // The index of the log cannot be created: SQLite reports only that the disk fails.
    assert!(why.contains("the journal cannot be written"), "{why}");
    let recovered = mended(&aboard, &shim, "full");
    let saw = format!("setting, 31 m; {why}");
    table.row(
        "disk full at the start",
        saw,
        Some(recovered),
        "nothing: 31 m is kept",
    );
    aboard.kill();

    // The journal was deleted.
    let file = database(&aboard);
    std::fs::remove_file(&file).expect("it was there");
    without_the_files_beside(&file);
    aboard.run();
    let told = lost(&aboard, &phone);
    table.row("journal deleted", told, None, "the mark; the crew is asked");
    aboard.kill();

    // The journal is garbage.
    std::fs::write(&file, vec![0x55; 8192]).expect("it is written");
    without_the_files_beside(&file);
    aboard.run();
    let told = lost(&aboard, &phone);
    // Somebody lets go again: the doubt is over, the order is carried out, but not on disk.
    let done = said(&aboard, &LET_GO);
    assert!(done.contains("NOT ON DISK yet"), "{done}");
    let (recovered, ()) = timed(|| {
        eventually("the doubt is over", || {
            let alert = aboard.alert("watch")?;
            let message = alert["message"].as_str()?.to_owned();
            (!message.contains("may have been lost")).then_some(())
        });
    });
    let gone = "the mark; let go again, in memory only";
    table.row("journal damaged", told, Some(recovered), gone);
    aboard.kill();
}

/// Makes the card read-only for the daemon alone: a mount in a namespace of its own. This needs neither
/// root nor a privileged container if the kernel allows such namespaces. Returns whether it does.
fn on_a_read_only_card(aboard: &mut Aboard, card: &Path) -> bool {
    let card = card.display();
    let mount = format!("mount --bind '{card}' '{card}' && mount -o remount,bind,ro '{card}'");
    let may = Command::new("unshare")
        .args(["-rm", "sh", "-c", &mount])
        .output();
    if !may.is_ok_and(|may| may.status.success()) {
        return false;
    }
    let mount = format!("{mount} && exec \"$@\"");
    aboard.within(&["unshare", "-rm", "sh", "-c", &mount, "sh"]);
    true
}

#[test]
fn a_read_only_card_ends_no_watch() {
    let mut table = Table::begin();
    let phone = Odd::start(Manner::Answers("200 OK", String::new()));
    let mut aboard = Aboard::alone(&phone.as_channel("cook"));
    // The socket is elsewhere, as it is under the service manager.
    let card = aboard.folder().join("card");
    std::fs::create_dir(&card).expect("it is made");
    aboard.set("WINDRODE__JOURNAL__DIRECTORY", &card.display().to_string());
    aboard.run();
    said(&aboard, &LET_GO);
    said(&aboard, &["veer", "31m"]);
    aboard.kill();

    let shim = Shim::new();
    let real = on_a_read_only_card(&mut aboard, &card);
    if !real {
        // The same error numbers without the mount.
        shim.under(&mut aboard);
        shim.fails("read-only");
    }
    aboard.run();
    let status = eventually("it answers", || aboard.status());
    assert_eq!(status["picture"]["phase"], "setting", "{status}");
    assert_eq!(status["picture"]["rodeOut"], 31.0, "{status}");
    let why = eventually("status says so", || journal(&aboard));
    assert!(why.contains("the disk is read-only"), "{why}");
    let done = said(&aboard, &["veer", "33m"]);
    assert!(done.contains("NOT ON DISK yet"), "{done}");
    let told = eventually("the phone is told", || {
        let all = phone.posted().into_iter().map(|posted| posted.json());
        let mut alarms = all.filter(|told| told["hazard"] == "watch");
        alarms.find(|told| {
            told["title"]
                .as_str()
                .is_some_and(|title| title.contains("impaired"))
        })
    });
    assert_eq!(told["priority"], "warning", "{told}");
    aboard.kill();
    // Writable again: everything from before the card failed is there.
    aboard.within(&[]);
    aboard.set("LD_PRELOAD", "");
    let (recovered, ()) = timed(|| aboard.run());
    let status = eventually("it answers", || aboard.status());
    assert!(status["journal"].is_null(), "{status}");
    assert_eq!(status["picture"]["rodeOut"], 31.0, "{status}");
    let how = if real { "a mount" } else { "its error numbers" };
    table.row(
        format!("read-only card ({how}) at the start"),
        format!("setting, 31 m; {why}"),
        Some(recovered),
        "`veer 33m` of meanwhile, as its answer said",
    );
    assert_eq!(aboard.stop(), Some(0));
}

/// A token that cannot be read is left to the server to judge: the watch goes on and reports what is wrong.
#[test]
fn a_token_that_cannot_be_read_ends_no_watch() {
    let mut table = Table::begin();
    let server = SignalK::start(Mode::Secure);
    let instruments = Instruments::on(&server);
    let mut aboard = Aboard::with_token(&server, None);
    // Root may read any file.
    std::fs::create_dir(aboard.folder().join("token")).expect("it is made");
    aboard.run();
    aboard.order(&LET_GO);
    let alert = eventually("it is an alarm", || {
        let alert = aboard.alert("dataLink")?;
        let message = alert["message"].as_str()?;
        message.contains("cannot be read").then_some(alert)
    });
    let saw = alert["message"].as_str().unwrap_or_default().to_owned();
    let link = aboard.status().expect("it answers")["link"].clone();
    assert!(
        link.as_str().is_some_and(|l| l.contains("cannot be read")),
        "{link}"
    );
    // The skipper approves the request that it made meanwhile.
    let admin = server.rest_as(server.tokens.admin.as_ref());
    let requests = "/skServer/security/access/requests";
    let client = eventually("the request stands", || {
        let first = admin.get_json(requests)?.as_array()?.first()?.clone();
        Some(first["accessIdentifier"].as_str()?.to_owned())
    });
    let (recovered, ()) = timed(|| {
        let approved = admin.put_json(
            &format!("{requests}/{client}/approved"),
            &json!({ "permissions": "readwrite", "expiration": "1y" }),
        );
        assert_eq!(approved.status, 200, "{approved:?}");
        eventually("the link is up", || {
            (aboard.status()?["link"] == "up").then_some(())
        });
    });
    table.row(
        "stored token unreadable",
        saw,
        Some(recovered),
        "nothing: asked for again",
    );
    drop(instruments);
    assert_eq!(aboard.stop(), Some(0));
}
