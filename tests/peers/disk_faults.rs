//! A disk that fails under the real process, and what the crew sees of it then.
//! `tests/run faults -- --nocapture` prints the table.
//!
//! A small library, loaded before the system's own, makes writes and syncs of the journal fail or hang
//! while a file of that name exists: the same calls, with the same error numbers, as a full card.

#![expect(
    clippy::expect_used,
    reason = "a test whose compiler is missing fails, and says so"
)]
#![allow(clippy::print_stderr, reason = "the table is the test's output")]

use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;
use tempfile::TempDir;

use super::ashore::{Manner, Odd};
use super::tern::{Aboard, eventually};

const LET_GO: [&str; 5] = ["let-go", "--position", "59.8539,23.26", "--rode", "40m"];

const DISK: &str = r#"
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>
static int fails(const char *how) {
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", getenv("DISK_FAULTS"), how);
    return access(path, F_OK) == 0;
}
static int journal(int fd) {
    char link[64], path[4096];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = readlink(link, path, sizeof path - 1);
    if (n <= 0) return 0;
    path[n] = 0;
    return strstr(path, "journal.db") != 0;
}
#define REAL(type, name, ...) type (*real)(__VA_ARGS__) = (type (*)(__VA_ARGS__))dlsym(RTLD_NEXT, #name)
#define FULL if (journal(fd) && fails("full")) { errno = ENOSPC; return -1; }
ssize_t write(int fd, const void *b, size_t n) { REAL(ssize_t, write, int, const void *, size_t); FULL return real(fd, b, n); }
ssize_t pwrite(int fd, const void *b, size_t n, off_t o) { REAL(ssize_t, pwrite, int, const void *, size_t, off_t); FULL return real(fd, b, n, o); }
ssize_t pwrite64(int fd, const void *b, size_t n, off64_t o) { REAL(ssize_t, pwrite64, int, const void *, size_t, off64_t); FULL return real(fd, b, n, o); }
static void hang(int fd) { while (journal(fd) && fails("hang")) usleep(20000); }
int fsync(int fd) { REAL(int, fsync, int); hang(fd); return real(fd); }
int fdatasync(int fd) { REAL(int, fdatasync, int); hang(fd); return real(fd); }
"#;

struct Disk {
    folder: TempDir,
    shim: PathBuf,
}

impl Disk {
    fn new() -> Self {
        let folder = TempDir::new().expect("a folder can be had");
        let (source, shim) = (folder.path().join("disk.c"), folder.path().join("disk.so"));
        std::fs::write(&source, DISK).expect("the file is written");
        let built = Command::new("cc")
            .args(["-shared", "-fPIC", "-o"])
            .args([&shim, &source])
            .status()
            .expect("a C compiler is there: Rust links with it");
        assert!(built.success());
        Self { folder, shim }
    }

    fn under(&self, aboard: &mut Aboard) {
        aboard.set("LD_PRELOAD", &self.shim.display().to_string());
        aboard.set("DISK_FAULTS", &self.folder.path().display().to_string());
    }

    fn fails(&self, how: &str) {
        std::fs::write(self.folder.path().join(how), "").expect("the file is written");
    }

    fn is_mended(&self, how: &str) {
        std::fs::remove_file(self.folder.path().join(how)).expect("it failed before");
    }
}

fn said(aboard: &Aboard, order: &[&str]) -> String {
    let output = aboard.windrode(order);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    String::from_utf8_lossy(&output.stdout).trim().to_owned()
}

fn journal(aboard: &Aboard) -> Option<String> {
    Some(aboard.status()?["journal"].as_str()?.to_owned())
}

fn database(aboard: &Aboard) -> PathBuf {
    aboard.folder().join("journal.db")
}

fn without_the_files_beside(file: &Path) {
    for rest in ["-wal", "-shm"] {
        let _ = std::fs::remove_file(format!("{}{rest}", file.display()));
    }
}

/// The alarm that a watch may have been lost, in status and on the phone.
fn lost(aboard: &Aboard, phone: &Odd) -> String {
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

#[test]
fn a_disk_that_fails_ends_no_watch_and_hides_no_alarm() {
    let disk = Disk::new();
    let phone = Odd::start(Manner::Answers("200 OK", String::new()));
    let config = format!(
        "[push.cook]\nkind = \"webhook\"\nurl = \"{}\"\n",
        phone.url()
    );
    let mut table: Vec<(&str, String)> = Vec::new();

    // It hangs in the middle of the watch.
    let mut aboard = Aboard::alone(&config);
    disk.under(&mut aboard);
    aboard.run();
    disk.fails("hang");
    let done = said(&aboard, &LET_GO);
    assert!(done.contains("NOT ON DISK yet"), "{done}");
    table.push(("hangs: let-go", done));
    let alarm = eventually("the alarm goes out all the same", || {
        let all = phone.posted().into_iter().map(|posted| posted.json());
        let mut alarms = all.filter(|told| told["priority"] == "alarm");
        alarms.find(|told| told["hazard"] == "dataLink")
    });
    table.push((
        "hangs: phone",
        alarm["message"].as_str().unwrap_or_default().to_owned(),
    ));
    let why = eventually("status says so", || journal(&aboard));
    assert!(why.contains("did not answer within 2 s"), "{why}");
    table.push(("hangs: status", why));
    disk.is_mended("hang");
    eventually("it is on disk", || journal(&aboard).is_none().then_some(()));

    // It is full: what is ordered then is on it as soon as there is room.
    disk.fails("full");
    let done = said(&aboard, &["veer", "31m"]);
    assert!(done.contains("NOT ON DISK yet"), "{done}");
    assert!(done.contains("no room is left"), "{done}");
    table.push(("full: veer 31m", done));
    disk.is_mended("full");
    eventually("it is on disk", || journal(&aboard).is_none().then_some(()));
    let done = said(&aboard, &["veer", "32m"]);
    assert!(!done.contains("NOT ON DISK"), "{done}");
    disk.fails("full");
    said(&aboard, &["veer", "31m"]);
    disk.is_mended("full");
    eventually("it is on disk", || journal(&aboard).is_none().then_some(()));
    aboard.kill();

    // It is full at the start: what it holds is watched.
    disk.fails("full");
    aboard.run();
    let status = eventually("it answers", || aboard.status());
    assert_eq!(status["picture"]["phase"], "setting", "{status}");
    assert_eq!(status["picture"]["rodeOut"], 31.0, "{status}");
    let why = eventually("status says so", || journal(&aboard));
    // The index of the log cannot be made: of that SQLite says no more than this.
    assert!(why.contains("disk I/O error"), "{why}");
    table.push(("full at start, anchored", format!("setting, 31 m; {why}")));
    disk.is_mended("full");
    eventually("it is on disk", || journal(&aboard).is_none().then_some(()));
    aboard.kill();

    // It was cleared away.
    let file = database(&aboard);
    std::fs::remove_file(&file).expect("it was there");
    without_the_files_beside(&file);
    aboard.run();
    table.push(("journal gone", lost(&aboard, &phone)));
    aboard.kill();

    // It is rubbish.
    std::fs::write(&file, vec![0x55; 8192]).expect("it is written");
    without_the_files_beside(&file);
    aboard.run();
    table.push(("journal damaged", lost(&aboard, &phone)));
    // Somebody lets go anew: the doubt is over, the order is done, and not on disk.
    let done = said(&aboard, &LET_GO);
    assert!(done.contains("NOT ON DISK yet"), "{done}");
    eventually("the doubt is over", || {
        let alert = aboard.alert("watch")?;
        let message = alert["message"].as_str()?.to_owned();
        (!message.contains("may have been lost")).then_some(())
    });
    aboard.kill();

    eprintln!("{:<28}what the crew sees", "disk");
    for (fault, what) in table {
        eprintln!("{fault:<28}{what}");
    }
}
