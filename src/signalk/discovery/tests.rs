use proptest::prelude::*;

use super::*;

const OURS: &str = "urn:mrn:imo:mmsi:230099999";
const THEIRS: &str = "urn:mrn:imo:mmsi:230011111";
const RANDOM: &str = "urn:mrn:signalk:uuid:c0d79334-4e25-4245-8892-54e8ccc8021d";

fn offer(last: u8, id: &str, secure: bool) -> Offer {
    let announced = Announced {
        name: format!("pi{last}"),
        port: 3000,
        secure,
        self_id: Some(id.to_owned()),
        vessel: Some("Tern".to_owned()),
        ..Announced::default()
    };
    Offer::new(Ipv4Addr::new(192, 168, 1, last), &announced).unwrap()
}

fn paired(id: &str, secure: bool) -> Kept {
    Kept::Server(Paired {
        self_id: ServerId::parse(id).unwrap(),
        secure,
        ..ours_at("ws://192.168.1.9:3000")
    })
}

fn ours_at(address: &str) -> Paired {
    Paired {
        self_id: ServerId::parse(OURS).unwrap(),
        address: address.to_owned(),
        secure: address.starts_with("wss"),
    }
}

fn refused(found: &[Offer], kept: &Kept) -> Refusal {
    choose(found.to_vec(), kept).unwrap_err()
}

#[test]
fn at_first_the_only_server_is_joined_and_none_of_several() {
    let (ours, theirs) = (offer(20, OURS, false), offer(30, THEIRS, false));
    assert_eq!(choose(vec![ours.clone()], &Kept::Nothing), Ok(ours.clone()));
    let why = refused(&[theirs, ours], &Kept::Nothing);
    assert_eq!(why.fault(), LinkFault::ServersUnknown);
    assert_eq!(
        why.to_string(),
        "several Signal K servers were found on the network, none of them known, and windrode does not choose, found: `pi20` at `ws://192.168.1.20:3000`, vessel `Tern`, self id `urn:mrn:imo:mmsi:230099999`; `pi30` at `ws://192.168.1.30:3000`, vessel `Tern`, self id `urn:mrn:imo:mmsi:230011111`; if one of them is this boat's, enter it in the configuration, as `server.url = \"ws://192.168.1.20:3000\"`"
    );
    let nobody = refused(&[], &Kept::Nothing);
    assert_eq!(nobody.fault(), LinkFault::ServerNotFound);
    assert!(nobody.to_string().contains("`server.url`"));
}

#[test]
fn the_paired_server_is_followed_to_its_new_address_among_others() {
    let ours = offer(77, OURS, false);
    let all = [
        offer(30, THEIRS, false),
        ours.clone(),
        offer(31, RANDOM, true),
    ];
    assert_eq!(choose(all.to_vec(), &paired(OURS, false)), Ok(ours));
}

/// Another boat's server is alone on the network: ours is off.
#[test]
fn another_server_never_takes_the_place_of_the_paired_one() {
    for other in [
        offer(30, THEIRS, false),
        offer(30, THEIRS, true),
        offer(30, RANDOM, true),
    ] {
        for secure in [false, true] {
            let why = refused(std::slice::from_ref(&other), &paired(OURS, secure));
            assert_eq!(why.fault(), LinkFault::OtherServers);
            assert!(why.to_string().contains(OURS), "{why}");
        }
    }
    // A token or a certificate of an earlier version, which did not note whose it is.
    let why = refused(&[offer(20, OURS, false)], &Kept::Unnamed);
    assert_eq!(why.fault(), LinkFault::ServersUnknown);
    assert!(why.to_string().contains("cannot tell to which"), "{why}");
}

/// Our id is public: AIS sends it. A server on this computer does not move to the network by itself.
#[test]
fn nobody_on_the_network_takes_the_place_of_a_server_on_this_computer() {
    let impostors = [offer(66, OURS, false), offer(66, OURS, true)];
    for address in [
        "ws://localhost:3000",
        "ws://LocalHost.:3000",
        "http://127.0.0.1:3000",
        "ws://127.8.0.1:3000",
        "wss://[::1]:3443",
        "ws://[::ffff:127.0.0.1]:3000",
        "ws://0.0.0.0:3000",
        "ws://tern.localhost:80",
    ] {
        let record = ours_at(address);
        assert!(record.is_here(), "{address}");
        let kept = Kept::Server(record);
        for impostor in &impostors {
            let why = refused(std::slice::from_ref(impostor), &kept);
            assert_eq!(why.fault(), LinkFault::NotAnswering);
            let told = why.to_string();
            assert!(
                told.contains("ran on this computer") && told.contains("`pi66`"),
                "{told}"
            );
            // His address is listed, but not offered for copying.
            assert!(
                told.ends_with("`server.url = \"ws://ADDRESS:PORT\"`"),
                "{told}"
            );
        }
        assert_eq!(refused(&[], &kept).fault(), LinkFault::ServerNotFound);
    }
    for address in [
        "ws://192.168.1.9:3000",
        "ws://localhost.tern.example:3000",
        "ws://[fe80::1]:3000",
        "ws://mylocalhost:3000",
        "",
    ] {
        assert!(!ours_at(address).is_here(), "{address}");
    }
}

/// Somebody announces a hundred servers whose names come before ours.
#[test]
fn a_crowd_of_others_does_not_hide_ours() {
    let mut all: Vec<Offer> = (100..=200).map(|last| offer(last, THEIRS, false)).collect();
    let ours = Offer {
        name: "zz".to_owned(),
        ..offer(20, OURS, false)
    };
    all.push(ours.clone());
    assert_eq!(choose(all.clone(), &paired(OURS, false)), Ok(ours.clone()));
    all.pop();
    assert_eq!(refused(&all, &paired(OURS, false)).found.len(), MOST_OFFERS);
}

#[test]
fn the_address_of_a_server_that_may_pretend_is_not_offered_for_copying() {
    let ends = |found: &[Offer], kept: &Kept| {
        let told = refused(found, kept).to_string();
        told.rsplit_once("server.url = ").unwrap().1.to_owned()
    };
    let (ours, others) = (offer(20, OURS, false), offer(30, THEIRS, false));
    let twice = [ours.clone(), offer(21, OURS, false)];
    assert_eq!(ends(&twice, &paired(OURS, false)), "\"ws://ADDRESS:PORT\"`");
    let clear = [ours.clone()];
    assert_eq!(ends(&clear, &paired(OURS, true)), "\"wss://ADDRESS:PORT\"`");
    let other = [others.clone()];
    assert_eq!(ends(&other, &paired(OURS, false)), "\"ws://ADDRESS:PORT\"`");
    let first = "\"ws://192.168.1.20:3000\"`";
    assert_eq!(ends(&[ours.clone(), others], &Kept::Nothing), first);
    assert_eq!(ends(&[ours], &Kept::Unnamed), first);
}

#[test]
fn what_was_encrypted_once_is_never_joined_in_the_clear() {
    let (plain, secure) = (offer(20, OURS, false), offer(21, OURS, true));
    let why = refused(std::slice::from_ref(&plain), &paired(OURS, true));
    assert_eq!(why.fault(), LinkFault::ServerNotSecure);
    assert!(why.to_string().contains("pretend"), "{why}");
    // Its certificate proves the encrypted one, whatever else is announced.
    let both = vec![plain.clone(), secure.clone()];
    assert_eq!(
        choose(both.clone(), &paired(OURS, true)),
        Ok(secure.clone())
    );
    // Without a certificate to compare, two computers with our id are one too many.
    assert!(
        refused(&both, &paired(OURS, false))
            .to_string()
            .contains("more than one computer")
    );
    let twice = [plain, offer(22, OURS, false)];
    assert!(
        refused(&twice, &paired(OURS, false))
            .to_string()
            .contains("more than one computer")
    );
    // Encryption may be switched on.
    assert_eq!(
        choose(vec![secure.clone()], &paired(OURS, false)),
        Ok(secure)
    );
}

#[test]
fn a_server_without_an_mmsi_is_told_as_one_that_may_change_its_id() {
    let fresh = offer(
        20,
        "urn:mrn:signalk:uuid:00000000-4e25-4245-8892-54e8ccc8021d",
        false,
    );
    let why = refused(&[fresh], &paired(RANDOM, false)).to_string();
    assert!(why.contains("may be new at each start"), "{why}");
    assert!(why.contains("enter the boat's MMSI"), "{why}");
    let nameless = Announced {
        name: "pi".to_owned(),
        port: 3000,
        ..Announced::default()
    };
    let nameless = Offer::new(Ipv4Addr::LOCALHOST, &nameless).unwrap();
    let why = refused(&[nameless], &Kept::Nothing).to_string();
    assert!(why.contains("announces no self id"), "{why}");
}

#[test]
fn one_server_on_two_cables_is_one_and_a_stranger_with_its_name_another() {
    let at = |last, listed: &[u8]| Offer {
        listed: listed
            .iter()
            .map(|it| Ipv4Addr::new(192, 168, 1, *it))
            .collect(),
        name: "pi".to_owned(),
        ..offer(last, OURS, false)
    };
    let both = vec![at(20, &[20, 21]), at(21, &[20, 21])];
    assert_eq!(sorted(both.clone(), None).len(), 1);
    assert!(choose(both, &paired(OURS, false)).is_ok());
    let stranger = vec![at(19, &[19, 20, 21]), at(20, &[20, 21])];
    assert_eq!(sorted(stranger.clone(), None).len(), 2);
    assert!(choose(stranger, &paired(OURS, false)).is_err());
}

#[test]
fn the_address_is_the_one_that_answered_unless_the_answer_was_passed_on() {
    let at = |from: [u8; 4], listed: &[[u8; 4]]| {
        let announced = Announced {
            listed: listed.iter().map(|it| Ipv4Addr::from(*it)).collect(),
            port: 3000,
            ..Announced::default()
        };
        Offer::new(from.into(), &announced).unwrap().url()
    };
    // The first is a bridge for containers on the server's computer.
    let listed = [[172, 17, 0, 1], [192, 168, 1, 20]];
    assert_eq!(at([192, 168, 1, 20], &listed), "ws://192.168.1.20:3000");
    assert_eq!(
        at([192, 168, 1, 1], &[[192, 168, 2, 5]]),
        "ws://192.168.2.5:3000"
    );
    assert_eq!(at([192, 168, 1, 20], &[]), "ws://192.168.1.20:3000");
    let no_port = Announced::default();
    assert_eq!(Offer::new(Ipv4Addr::LOCALHOST, &no_port), None);
}

/// A server on this computer takes up to half a minute to start; meanwhile another boat's may be the only one that answers.
#[test]
fn the_network_is_asked_only_when_this_computer_has_been_silent_for_a_while() {
    let (second, after) = (Tick::from_secs, Duration::from_secs(60));
    let local = "ws://localhost:3000";
    let mut patience = Patience::default();
    assert!(!patience.is_over(second(5), &Kept::Nothing, local, after));
    patience.silent(second(5));
    patience.silent(second(40));
    assert!(!patience.is_over(second(64), &Kept::Nothing, local, after));
    assert!(patience.is_over(second(65), &Kept::Nothing, local, after));
    patience.answered();
    patience.silent(second(70));
    assert!(!patience.is_over(second(71), &Kept::Nothing, local, after));
    // Ours is known to be elsewhere.
    assert!(patience.is_over(second(71), &paired(OURS, false), local, after));
}

#[test]
fn an_id_is_short_plain_text() {
    let id = ServerId::parse("vessels.urn:mrn:imo:mmsi:230099999").unwrap();
    assert_eq!(id.as_str(), OURS);
    assert!(id.is_lasting() && !ServerId::parse(RANDOM).unwrap().is_lasting());
    for none in [
        "",
        "vessels.",
        "two words",
        "a\nb",
        "`",
        "ö",
        &"x".repeat(121),
    ] {
        assert_eq!(ServerId::parse(none), None, "{none}");
    }
    let kept =
        r#"{"selfId":"urn:mrn:imo:mmsi:230099999","address":"ws://localhost:3000","secure":false}"#;
    let read: Paired = serde_json::from_str(kept).unwrap();
    assert_eq!(serde_json::to_string(&read).unwrap(), kept);
    assert!(serde_json::from_str::<Paired>(&kept.replace("urn:mrn", "urn mrn")).is_err());
}

proptest! {
    /// Whatever is announced: one line of bounded length, without control characters, and no decision that breaks a rule.
    #[test]
    fn what_peers_announce_stays_short_and_joins_no_stranger(
        names in proptest::collection::vec((".{0,300}", proptest::option::of(".{0,300}"), any::<u16>(), any::<bool>()), 0..100)
    ) {
        let offers: Vec<Offer> = names.iter().enumerate().filter_map(|(number, (name, id, port, secure))| {
            Offer::new(Ipv4Addr::from(u32::try_from(number).unwrap()), &Announced {
                name: name.clone(), port: *port, secure: *secure, self_id: id.clone(), vessel: Some(name.clone()),
                listed: Vec::new(),
            })
        }).collect();
        for kept in [Kept::Nothing, Kept::Unnamed, paired(OURS, true)] {
            match choose(offers.clone(), &kept) {
                Ok(_) => prop_assert!(kept == Kept::Nothing && offers.len() == 1),
                Err(why) => {
                    let told = why.to_string();
                    prop_assert!(told.chars().count() < 3500, "{}", told.chars().count());
                    prop_assert!(!told.chars().any(char::is_control));
                }
            }
        }
    }
}
