//! A small library, loaded before the system's own, that makes calls of the real process fail or hang
//! while a file with the fault's name exists: the same calls, with the same error numbers, as with a
//! full or read-only card, a disk that hangs, a network that accepts nothing, a clock that is set.

#![expect(
    clippy::expect_used,
    reason = "a test whose compiler is missing fails, and says so"
)]

use std::path::PathBuf;
use std::process::Command;

use tempfile::TempDir;

use super::tern::Aboard;

const SOURCE: &str = r#"
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <linux/futex.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/epoll.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/types.h>
#include <sys/uio.h>
#include <time.h>
#include <unistd.h>
static int fails(const char *how) {
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", getenv("FAULTS"), how);
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
static int network(int fd) {
    int domain = 0;
    socklen_t size = sizeof domain;
    return getsockopt(fd, SOL_SOCKET, SO_DOMAIN, &domain, &size) == 0 && (domain == AF_INET || domain == AF_INET6);
}
#define REAL(type, name, ...) type (*real)(__VA_ARGS__) = (type (*)(__VA_ARGS__))dlsym(RTLD_NEXT, #name)
#define FULL if (journal(fd) && fails("full")) { errno = ENOSPC; return -1; }
#define MUTE while (network(fd) && fails("mute")) usleep(20000);
ssize_t write(int fd, const void *b, size_t n) { REAL(ssize_t, write, int, const void *, size_t); FULL MUTE return real(fd, b, n); }
ssize_t pwrite(int fd, const void *b, size_t n, off_t o) { REAL(ssize_t, pwrite, int, const void *, size_t, off_t); FULL return real(fd, b, n, o); }
ssize_t pwrite64(int fd, const void *b, size_t n, off64_t o) { REAL(ssize_t, pwrite64, int, const void *, size_t, off64_t); FULL return real(fd, b, n, o); }
ssize_t writev(int fd, const struct iovec *v, int n) { REAL(ssize_t, writev, int, const struct iovec *, int); MUTE return real(fd, v, n); }
ssize_t send(int fd, const void *b, size_t n, int f) { REAL(ssize_t, send, int, const void *, size_t, int); MUTE return real(fd, b, n, f); }
static void hang(int fd) { while (journal(fd) && fails("hang")) usleep(20000); }
int fsync(int fd) { REAL(int, fsync, int); hang(fd); return real(fd); }
int fdatasync(int fd) { REAL(int, fdatasync, int); hang(fd); return real(fd); }
static int read_only(const char *path, int flags) {
    return (flags & (O_WRONLY | O_RDWR | O_CREAT)) && strstr(path, "/card/") && fails("read-only");
}
#define OPEN(name) int name(const char *path, int flags, ...) { \
    REAL(int, name, const char *, int, ...); \
    va_list more; va_start(more, flags); mode_t mode = va_arg(more, mode_t); va_end(more); \
    if (read_only(path, flags)) { errno = EROFS; return -1; } \
    return real(path, flags, mode); }
OPEN(open)
OPEN(open64)
static long quick(void) {
    static long times = 0;
    if (times == 0) times = getenv("QUICK") ? atol(getenv("QUICK")) : 1;
    return times;
}
static long long began[2];
static long long nanos(const struct timespec *t) { return t->tv_sec * 1000000000LL + t->tv_nsec; }
static void set(struct timespec *t, long long n) { t->tv_sec = n / 1000000000LL; t->tv_nsec = n % 1000000000LL; }
int clock_gettime(clockid_t id, struct timespec *t) {
    REAL(int, clock_gettime, clockid_t, struct timespec *);
    int done = real(id, t);
    if (done != 0 || (id != CLOCK_REALTIME && id != CLOCK_MONOTONIC)) return done;
    if (quick() > 1) {
        long long *from = &began[id == CLOCK_MONOTONIC];
        if (*from == 0) *from = nanos(t);
        set(t, *from + (nanos(t) - *from) * quick());
    }
    if (id != CLOCK_REALTIME) return done;
    if (fails("day ahead")) t->tv_sec += 86400;
    if (fails("year back")) t->tv_sec -= 31536000;
    /* The first day of 1970 and what went by since this one began. */
    if (fails("1970")) t->tv_sec %= 86400;
    return done;
}
/* A wait by a fast clock is shorter. */
#define SHORTER(ms) ((ms) > 0 ? ((ms) + quick() - 1) / quick() : (ms))
int epoll_wait(int fd, struct epoll_event *e, int n, int ms) { REAL(int, epoll_wait, int, struct epoll_event *, int, int); return real(fd, e, n, SHORTER(ms)); }
long syscall(long number, ...) {
    REAL(long, syscall, long, ...);
    long a[6];
    va_list more; va_start(more, number);
    for (int i = 0; i < 6; i++) a[i] = va_arg(more, long);
    va_end(more);
    struct timespec until;
    if (number == SYS_futex && (a[1] & 0x7f) == FUTEX_WAIT_BITSET && a[3] != 0 && quick() > 1 && began[1] != 0) {
        set(&until, began[1] + (nanos((struct timespec *)a[3]) - began[1]) / quick());
        a[3] = (long)&until;
    }
    return real(number, a[0], a[1], a[2], a[3], a[4], a[5]);
}
"#;

/// Faults of one boat's computer, switched on and off at will.
pub(crate) struct Shim {
    folder: TempDir,
    object: PathBuf,
}

impl Shim {
    pub(crate) fn new() -> Self {
        let folder = TempDir::new().expect("a folder can be made");
        let source = folder.path().join("faults.c");
        let object = folder.path().join("faults.so");
        std::fs::write(&source, SOURCE).expect("the file is written");
        let built = Command::new("cc")
            .args(["-shared", "-fPIC", "-o"])
            .args([&object, &source])
            .status()
            .expect("a C compiler is there: Rust links with it");
        assert!(built.success());
        Self { folder, object }
    }

    /// Runs this boat's process on such a computer.
    pub(crate) fn under(&self, aboard: &mut Aboard) {
        aboard.set("LD_PRELOAD", &self.object.display().to_string());
        aboard.set("FAULTS", &self.folder.path().display().to_string());
    }

    /// All clocks of this boat's process run this many times as fast, and waits by them are shorter.
    pub(crate) fn quickens(aboard: &mut Aboard, times: u32) {
        aboard.set("QUICK", &times.to_string());
    }

    /// `full`, `hang`: the disk; `read-only`: a folder `card`; `mute`: the network; `day ahead`, `year back`,
    /// `1970`: the clock.
    pub(crate) fn fails(&self, how: &str) {
        std::fs::write(self.folder.path().join(how), "").expect("the file is written");
    }

    pub(crate) fn is_mended(&self, how: &str) {
        std::fs::remove_file(self.folder.path().join(how)).expect("it failed before");
    }
}
