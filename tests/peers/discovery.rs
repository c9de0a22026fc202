//! The real data server announces itself on a network of its own, and windrode finds it there.

#![expect(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that lacks its network fails, and says why"
)]

use std::process::Command;

use serde_json::json;

use super::SignalK;
use super::tern::{Aboard, eventually, ip};

const OURS: &str = "230099999";
const THEIRS: &str = "230011111";

/// A network with three computers, each a network namespace: two servers' and windrode's. Removed at the end.
struct Harbour {
    boat: String,
    servers: [String; 2],
}

impl Harbour {
    fn new() -> Self {
        let number = std::process::id() % 100_000;
        let harbour = Self {
            boat: format!("windrode-b{number}"),
            servers: [1, 2].map(|server| format!("windrode-{server}s{number}")),
        };
        let boat = &harbour.boat;
        ip(&format!("netns add {boat}"));
        ip(&format!("-n {boat} link set lo up"));
        ip(&format!("-n {boat} link add wr0 type bridge"));
        ip(&format!("-n {boat} addr add 10.213.78.1/24 dev wr0"));
        ip(&format!("-n {boat} link set wr0 up"));
        for (server, last) in harbour.servers.iter().zip([2, 3]) {
            let near = format!("wr{last}");
            ip(&format!("netns add {server}"));
            ip(&format!("-n {server} link set lo up"));
            ip(&format!(
                "link add wr0 netns {server} type veth peer name {near} netns {boat}"
            ));
            ip(&format!("-n {boat} link set {near} master wr0"));
            ip(&format!("-n {boat} link set {near} up"));
            ip(&format!("-n {server} addr add 10.213.78.{last}/24 dev wr0"));
            ip(&format!("-n {server} link set wr0 up"));
            // The server announces itself on the interface of the default route.
            ip(&format!("-n {server} route add default via 10.213.78.1"));
        }
        harbour
    }

    /// `windrode check` aboard: all that it prints.
    fn check(&self, aboard: &Aboard) -> String {
        let output = Command::new("ip")
            .args(["netns", "exec", &self.boat, env!("CARGO_BIN_EXE_windrode")])
            .arg("--config")
            .arg(aboard.folder().join("windrode.toml"))
            .args(["check", "--listen", "1"])
            .output()
            .expect("the binary runs");
        String::from_utf8([output.stdout, output.stderr].concat())
            .expect("it prints text")
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
    }
}

impl Drop for Harbour {
    fn drop(&mut self) {
        for namespace in self.servers.iter().chain([&self.boat]) {
            let _ = Command::new("ip")
                .args(["netns", "del", namespace])
                .status();
        }
    }
}

fn link_is(aboard: &Aboard, what: &str, words: &str) {
    eventually(what, || {
        let link = aboard.status()?["link"].as_str()?.to_owned();
        link.contains(words).then_some(())
    });
}

/// windrode knows its server, which has another address now, and there is another boat's beside it. Then ours is off.
#[test]
fn the_boat_s_own_server_is_found_among_others_and_followed_to_its_new_address() {
    let harbour = Harbour::new();
    let (mut ours, mut theirs) = std::thread::scope(|scope| {
        let [first, second] = &harbour.servers;
        let theirs = scope.spawn(|| SignalK::start_announced(second, THEIRS));
        let ours = SignalK::start_announced(first, OURS);
        (ours, theirs.join().expect("it starts"))
    });
    let mut aboard = Aboard::alone("");
    let file = aboard.folder().join("windrode.toml");
    let text = std::fs::read_to_string(&file).expect("it was written");
    let lines = text.lines().filter(|line| !line.starts_with("url = "));
    let text = lines.collect::<Vec<_>>().join("\n");
    std::fs::write(&file, text).expect("it is written");
    let record = aboard.folder().join("paired-server");
    let before =
        json!({ "selfId": urn(OURS), "address": "ws://10.213.78.9:3000", "secure": false });
    std::fs::write(&record, before.to_string()).expect("it is written");

    announces(&harbour, &aboard, &mut theirs, THEIRS);
    announces(&harbour, &aboard, &mut ours, OURS);

    aboard.within(&["ip", "netns", "exec", &harbour.boat]);
    aboard.run();
    link_is(&aboard, "our server is joined", "up");
    let now = format!("ws://10.213.78.2:{}", ours.port);
    let kept = std::fs::read_to_string(&record).expect("it is kept");
    assert!(kept.contains(&urn(OURS)) && kept.contains(&now), "{kept}");
    let told = harbour.check(&aboard);
    assert!(
        told.contains(&format!(
            "works server (signalk-server 2.32.0, own vessel `vessels.{}`, `{now}`)",
            urn(OURS)
        )),
        "{told}"
    );
    assert!(
        told.contains(&format!("self id `{}`", urn(THEIRS))),
        "{told}"
    );
    // With nothing kept, it would not choose between the two.
    std::fs::remove_file(&record).expect("it is there");
    let told = harbour.check(&aboard);
    assert!(told.contains("windrode does not choose"), "{told}");
    assert!(
        told.contains("as `server.url = \"ws://10.213.78."),
        "{told}"
    );

    ours.kill();
    link_is(&aboard, "the other server is not joined", "only others");
    assert!(aboard.log().contains(THEIRS), "{}", aboard.log());
    // A boat that never had a server takes the only one.
    let told = harbour.check(&aboard);
    assert!(
        told.contains(&format!(
            "own vessel `vessels.{}`, `ws://10.213.78.3:",
            urn(THEIRS)
        )),
        "{told}"
    );
    assert_eq!(aboard.stop(), Some(0));
}

/// Waits until `windrode check` finds this server. The server gives up announcing itself if it does not hear its own
/// question within half a second, as on a busy computer, and reports that only in its log. Then it is started again.
fn announces(harbour: &Harbour, aboard: &Aboard, server: &mut SignalK, mmsi: &str) {
    let own = format!("self id `{}`", urn(mmsi));
    for _ in 0..4 {
        for _ in 0..6 {
            if harbour.check(aboard).contains(&own) {
                return;
            }
        }
        server.restart();
    }
    panic!(
        "the server never announces itself: {}",
        harbour.check(aboard)
    );
}

fn urn(mmsi: &str) -> String {
    format!("urn:mrn:imo:mmsi:{mmsi}")
}
