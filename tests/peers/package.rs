//! The Debian package in a clean Debian: install, pair with a secure server, let go, drag, upgrade, purge.
//!
//! The package holds the program that these tests are built with; everything else in it is as released. The clean root
//! has no service manager, so the test starts the daemon as the unit's user.

use std::path::Path;
use std::process::{Child, Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

use super::tern::{Instruments, LONG, eventually, eventually_within};
use super::{Mode, SignalK, installed};

/// A copy of the clean Debian, with what runs in it.
struct Root {
    folder: TempDir,
    daemon: Option<Child>,
}

impl Root {
    fn new() -> Self {
        let clean = installed().join("debian");
        assert!(
            clean.join("etc/debian_version").exists(),
            "there is no clean Debian; unpack it with: tests/peers/install"
        );
        let folder = TempDir::new().expect("a folder can be made");
        let copied = Command::new("cp")
            .args(["-a", "--reflink=auto"])
            .arg(clean.join("."))
            .arg(folder.path())
            .output()
            .expect("cp runs");
        // Only the owner may enter the test's folder; the root of a system is open.
        let opened = Command::new("chmod")
            .arg("755")
            .arg(folder.path())
            .status()
            .expect("chmod runs");
        assert!(
            copied.status.success() && opened.success(),
            "the clean Debian is copied as root: {copied:?}"
        );
        Self {
            folder,
            daemon: None,
        }
    }

    fn path(&self, inside: &str) -> std::path::PathBuf {
        self.folder.path().join(inside)
    }

    fn command(&self, user: Option<&str>, command: &[&str]) -> Command {
        let mut chroot = Command::new("chroot");
        if let Some(user) = user {
            chroot.arg(format!("--userspec={user}:{user}"));
        }
        chroot
            .arg(self.folder.path())
            .args(command)
            .env_clear()
            .env("PATH", "/usr/sbin:/usr/bin:/sbin:/bin")
            .env("DEBIAN_FRONTEND", "noninteractive")
            .env("LC_ALL", "C");
        chroot
    }

    /// Runs a command as root, which must succeed.
    fn run(&self, command: &[&str]) -> String {
        let output = self.command(None, command).output().expect("chroot runs");
        assert!(
            output.status.success(),
            "{command:?} as root (these tests need it): {output:?}"
        );
        String::from_utf8_lossy(&output.stdout).into_owned()
    }

    /// `windrode` as a member of the group.
    fn windrode(&self, arguments: &[&str]) -> Output {
        self.command(
            Some("windrode"),
            &[&["/usr/bin/windrode"], arguments].concat(),
        )
        .output()
        .expect("chroot runs")
    }

    fn status(&self) -> Option<Value> {
        let output = self.windrode(&["status", "--json"]);
        serde_json::from_slice(&output.stdout).ok()
    }

    /// Does what the unit does: a folder for the socket, and the daemon as its user.
    fn start(&mut self) {
        self.run(&[
            "install",
            "-d",
            "-o",
            "windrode",
            "-g",
            "windrode",
            "-m",
            "0750",
            "/run/windrode",
        ]);
        let daemon = self
            .command(Some("windrode"), &["/usr/bin/windrode", "run"])
            .stderr(Stdio::inherit())
            .spawn()
            .expect("chroot runs");
        self.daemon = Some(daemon);
        eventually("the daemon in the clean Debian answers", || self.status());
    }

    fn stop(&mut self) {
        let mut daemon = self.daemon.take().expect("it runs");
        let killed = Command::new("kill")
            .args(["-TERM", &daemon.id().to_string()])
            .status();
        assert!(killed.expect("kill runs").success());
        assert_eq!(daemon.wait().expect("it has ended").code(), Some(0));
    }
}

impl Drop for Root {
    fn drop(&mut self) {
        if let Some(mut daemon) = self.daemon.take() {
            let _ = daemon.kill();
            let _ = daemon.wait();
        }
    }
}

/// Packs the program that these tests are built with.
fn pack(into: &Path) {
    let binary = Path::new(env!("CARGO_BIN_EXE_windrode"));
    let target = binary
        .ancestors()
        .nth(2)
        .expect("it lies in a target folder");
    let packed = Command::new(env!("CARGO"))
        .args(["deb", "--quiet", "--locked", "--offline", "--no-build"])
        .args(["--profile", "dev", "--strip", "--fast", "--output"])
        .arg(into)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("CARGO_TARGET_DIR", target)
        .output()
        .expect("cargo runs");
    assert!(
        packed.status.success(),
        "cargo-deb is installed by tests/peers/install: {packed:?}"
    );
}

#[test]
fn installed_paired_let_go_dragging_upgraded_and_purged_in_a_clean_debian() {
    let server = SignalK::start(Mode::Secure);
    let admin = server.rest_as(server.tokens.admin.as_ref());
    let mut root = Root::new();
    pack(&root.path("windrode.deb"));

    root.run(&["dpkg", "--install", "/windrode.deb"]);
    let stat = |path: &str| root.run(&["stat", "-c", "%U %G %a", path]);
    assert_eq!(stat("/etc/windrode/windrode.toml"), "root windrode 640\n");
    assert_eq!(stat("/var/lib/windrode"), "windrode windrode 750\n");
    assert!(
        root.path("etc/systemd/system/multi-user.target.wants/windrode.service")
            .is_symlink(),
        "the unit is enabled"
    );
    for there in [
        "usr/share/man/man1/windrode.1.gz",
        "usr/share/man/man5/windrode.toml.5.gz",
        "usr/share/man/man7/windrode-signalk.7.gz",
        "usr/share/bash-completion/completions/windrode",
        "usr/share/zsh/vendor-completions/_windrode",
        "usr/share/fish/vendor_completions.d/windrode.fish",
        "usr/share/doc/windrode/copyright",
    ] {
        // Debian's minimal roots leave out manuals and documents, by a dpkg rule.
        let listed = root.run(&["dpkg", "--listfiles", "windrode"]);
        assert!(listed.contains(there), "{there} is not in the package");
    }

    // The second command. Access is not approved yet, so there is nothing to check.
    let server_at = format!("ws://127.0.0.1:{}", server.port);
    let setup = ["windrode", "setup", "--yes", "--server", &server_at];
    let figures = ["--roller-height", "1.2 m", "--rode", "60 m", "--offline"];
    root.run(&[&setup[..], &figures].concat());
    assert_eq!(stat("/etc/windrode/windrode.toml"), "root windrode 640\n");
    let conf = root.path("etc/windrode/windrode.toml");
    let text = std::fs::read_to_string(&conf).unwrap();
    assert!(text.contains(&server_at) && text.contains("rode_aboard = \"60 m\""));
    root.start();

    // One approval.
    server.approve();
    eventually("the link is up", || {
        (root.status()?["link"] == "up").then_some(())
    });

    let instruments = Instruments::on(&server);
    eventually("there is a fix", || {
        root.status()?["picture"]["roller"].as_object().map(|_| ())
    });
    let checked = root.run(&setup);
    assert!(checked.contains("stays as it is"), "{checked}");
    let let_go = root.windrode(&["let-go", "--rode", "40m"]);
    assert!(let_go.status.success(), "{let_go:?}");
    instruments.lie_at(30.0);
    instruments.drag(1.0, 120.0);
    let alarm = "/signalk/v1/api/vessels/self/notifications/navigation/anchor/dragging/value/state";
    eventually_within(LONG, "the displays see the drag", || {
        admin.get_json(alarm).filter(|state| state == "alarm")
    });

    // Upgraded during the alarm, which is still active afterwards. The configuration stays, and no question is asked.
    root.stop();
    root.run(&["dpkg", "--install", "/windrode.deb"]);
    assert_eq!(std::fs::read_to_string(&conf).unwrap(), text);
    root.start();
    eventually("the drag is known after the upgrade", || {
        (root.status()?["picture"]["phase"] == "dragging").then_some(())
    });
    let weighed = root.windrode(&["weigh"]);
    assert!(weighed.status.success(), "{weighed:?}");
    root.stop();

    // After a removal the night is still there; after a purge nothing is.
    root.run(&["dpkg", "--remove", "windrode"]);
    let state = |root: &Root| std::fs::read_dir(root.path("var/lib/windrode")).map(Iterator::count);
    assert!(state(&root).unwrap() > 0);
    assert!(conf.exists());
    root.run(&["dpkg", "--purge", "windrode"]);
    let left = root.run(&[
        "find",
        "/etc",
        "/usr",
        "/var",
        "/run",
        "-xdev",
        "-iname",
        "*windrode*",
    ]);
    assert_eq!(left, "/run/windrode\n", "the service manager's, not ours");
    let passwords = std::fs::read_to_string(root.path("etc/passwd")).unwrap();
    assert!(!passwords.contains("windrode"), "{passwords}");
    drop(instruments);
}
