//! The real data server announces itself on a network of its own, and windrode finds it there.

#![expect(
    clippy::expect_used,
    reason = "a test that lacks its network fails, and says why"
)]

use std::process::Command;

use super::SignalK;
use super::tern::{Aboard, eventually};

const OURS: &str = "230099999";
const THEIRS: &str = "230011111";

/// Two network namespaces joined by one cable: the servers' and windrode's. Both are removed at the end.
struct Harbour {
    servers: String,
    boat: String,
    cable: String,
}

impl Harbour {
    fn new() -> Self {
        let number = std::process::id() % 100_000;
        let harbour = Self {
            servers: format!("windrode-s{number}"),
            boat: format!("windrode-b{number}"),
            cable: format!("wrs{number}"),
        };
        let (servers, boat, cable) = (&harbour.servers, &harbour.boat, &harbour.cable);
        let end = format!("wrb{number}");
        ip(&format!("netns add {servers}"));
        ip(&format!("netns add {boat}"));
        ip(&format!(
            "link add {cable} netns {servers} type veth peer name {end} netns {boat}"
        ));
        ip(&format!("-n {boat} addr add 10.213.78.1/24 dev {end}"));
        for (namespace, interface) in [(servers, cable), (boat, &end)] {
            ip(&format!("-n {namespace} link set lo up"));
            ip(&format!("-n {namespace} link set {interface} up"));
        }
        harbour.moves_to("10.213.78.2");
        harbour
    }

    /// The router gives the servers' computer another address.
    fn moves_to(&self, address: &str) {
        let (servers, cable) = (&self.servers, &self.cable);
        ip(&format!("-n {servers} addr flush dev {cable}"));
        ip(&format!("-n {servers} addr add {address}/24 dev {cable}"));
        // The server announces itself on the interface of the default route.
        ip(&format!("-n {servers} route add default via 10.213.78.1"));
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
        for namespace in [&self.servers, &self.boat] {
            let _ = Command::new("ip")
                .args(["netns", "del", namespace])
                .status();
        }
    }
}

fn ip(arguments: &str) {
    let output = Command::new("ip").args(arguments.split(' ')).output();
    let output = output.expect("`ip` is missing; install it with: tests/peers/install");
    assert!(
        output.status.success(),
        "a network namespace is made as root, with CAP_NET_ADMIN; run this with: sudo tests/run discovery; ip {arguments}: {output:?}"
    );
}

fn link_is(aboard: &Aboard, what: &str, words: &str) {
    eventually(what, || {
        let link = aboard.status()?["link"].as_str()?.to_owned();
        link.contains(words).then_some(())
    });
}

/// The only server is joined at first, then it alone: not the one beside it, not the one that is left when it is off; and it
/// is found again at its new address.
#[test]
fn the_boat_s_own_server_is_found_among_others_and_followed_to_its_new_address() {
    let harbour = Harbour::new();
    let mut ours = SignalK::start_announced(&harbour.servers, OURS);
    let mut aboard = Aboard::alone("");
    let file = aboard.folder().join("windrode.toml");
    let text = std::fs::read_to_string(&file).expect("it was written");
    let lines = text.lines().filter(|line| !line.starts_with("url = "));
    let text = lines.collect::<Vec<_>>().join("\n");
    std::fs::write(&file, text).expect("it is written");
    aboard.within(&["ip", "netns", "exec", &harbour.boat]);
    aboard.run();
    link_is(&aboard, "the only server is joined", "up");
    let record = aboard.folder().join("paired-server");
    let kept = std::fs::read_to_string(&record).expect("it is kept");
    assert!(
        kept.contains(OURS) && kept.contains("10.213.78.2"),
        "{kept}"
    );

    let _theirs = SignalK::start_announced(&harbour.servers, THEIRS);
    let told = harbour.check(&aboard);
    assert!(
        told.contains(&format!("`ws://10.213.78.2:{}`", ours.port)),
        "{told}"
    );
    for mmsi in [OURS, THEIRS] {
        let one = format!("self id `urn:mrn:imo:mmsi:{mmsi}`");
        assert!(told.contains(&one), "{told}");
    }
    assert_eq!(aboard.stop(), Some(0));
    // With nothing kept, it would not choose between the two.
    std::fs::remove_file(&record).expect("it is there");
    let told = harbour.check(&aboard);
    assert!(told.contains("windrode does not choose"), "{told}");
    assert!(told.contains("server.url = \"ws://10.213.78.2:"), "{told}");
    std::fs::write(&record, &kept).expect("it is written");

    ours.kill();
    aboard.run();
    link_is(&aboard, "the other server is not joined", "only others");
    assert!(aboard.log().contains(THEIRS), "{}", aboard.log());
    harbour.moves_to("10.213.78.7");
    ours.start_again();
    link_is(&aboard, "it is found again", "up");
    let kept = std::fs::read_to_string(&record).expect("it is kept");
    assert!(
        kept.contains(OURS) && kept.contains("10.213.78.7"),
        "{kept}"
    );
    assert_eq!(aboard.stop(), Some(0));
}
