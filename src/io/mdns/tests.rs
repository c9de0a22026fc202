use proptest::prelude::*;
use simple_dns::rdata::{A, PTR, SRV, TXT};

use super::*;

const OURS: &str = "urn:mrn:imo:mmsi:230099999";

fn record<'a>(name: &'a str, data: RData<'a>) -> ResourceRecord<'a> {
    ResourceRecord::new(Name::new_unchecked(name), CLASS::IN, 120, data)
}

fn pointer<'a>(service: &'a str, instance: &'a str) -> ResourceRecord<'a> {
    record(service, RData::PTR(PTR(Name::new_unchecked(instance))))
}

fn place(instance: &str, port: u16) -> ResourceRecord<'_> {
    let target = Name::new_unchecked("Tern.local");
    record(
        instance,
        RData::SRV(SRV {
            priority: 0,
            weight: 0,
            port,
            target,
        }),
    )
}

fn text<'a>(instance: &'a str, parts: &[&'a str]) -> ResourceRecord<'a> {
    let text = parts.iter().fold(TXT::new(), |text, part| {
        text.with_string(part).expect("it is short")
    });
    record(instance, RData::TXT(text))
}

fn address(last: u8) -> ResourceRecord<'static> {
    let address = Ipv4Addr::new(192, 168, 1, last).into();
    record("tern.LOCAL", RData::A(A { address }))
}

fn answer(id: u16, answers: Vec<ResourceRecord<'_>>) -> Vec<u8> {
    let mut packet = Packet::new_reply(id);
    packet.answers = answers;
    packet.build_bytes_vec_compressed().unwrap()
}

fn whole(id: u16) -> Vec<u8> {
    let (service, instance) = ("_signalk-ws._tcp.local", "tern._signalk-ws._tcp.local");
    let (own, vessel) = (format!("self={OURS}"), "VNAME=Tern");
    answer(
        id,
        vec![
            // In an unusual order, with a record of another service.
            text(instance, &["txtvers=1", &own, vessel]),
            address(20),
            place(instance, 3000),
            pointer(service, instance),
            pointer("_http._tcp.local", "tern._http._tcp.local"),
        ],
    )
}

const HERE: Ipv4Addr = Ipv4Addr::new(192, 168, 1, 20);

#[test]
fn a_server_is_read_from_one_answer() {
    let mut heard = Heard::new(7);
    heard.take(HERE, &whole(7));
    let offers = heard.offers();
    assert_eq!(offers.len(), 1);
    assert_eq!(
        offers[0].to_string(),
        "`tern` at `ws://192.168.1.20:3000`, vessel `Tern`, self id `urn:mrn:imo:mmsi:230099999`"
    );
}

#[test]
fn what_answers_another_question_or_is_a_question_is_passed_over() {
    let mut heard = Heard::new(7);
    heard.take(HERE, &whole(8));
    let mut question = whole(7);
    question[2] &= 0x7f;
    heard.take(HERE, &question);
    // One goes, and one never says where it is.
    let mut gone = pointer("_signalk-ws._tcp.local", "gone._signalk-ws._tcp.local");
    gone.ttl = 0;
    let silent = pointer("_signalk-wss._tcp.local", "silent._signalk-wss._tcp.local");
    heard.take(HERE, &answer(7, vec![gone, silent]));
    assert_eq!(heard.offers(), []);
    // Only the second is asked for its parts.
    let question = heard.question().unwrap();
    let question = Packet::parse(&question).unwrap();
    let asked: Vec<String> = question
        .questions
        .iter()
        .map(|it| it.qname.to_string())
        .collect();
    assert_eq!(
        asked,
        [
            "_signalk-ws._tcp.local",
            "_signalk-wss._tcp.local",
            "silent._signalk-wss._tcp.local",
            "silent._signalk-wss._tcp.local",
        ]
    );
}

/// A stranger's records about our server's name do not get into our server's answer.
#[test]
fn nobody_can_add_to_another_s_answer() {
    let mut heard = Heard::new(7);
    heard.take(HERE, &whole(7));
    let instance = "tern._signalk-ws._tcp.local";
    let stranger = Ipv4Addr::new(192, 168, 1, 66);
    let moved = answer(7, vec![place(instance, 6666), address(66)]);
    heard.take(stranger, &moved);
    let urls: Vec<String> = heard.offers().iter().map(Offer::url).collect();
    assert_eq!(urls, ["ws://192.168.1.20:3000"]);
}

/// A name that points to itself would keep a careless parser busy without end.
#[test]
fn a_name_that_points_to_itself_ends() {
    let mut packet = answer(7, Vec::new());
    packet[7] = 1;
    packet.extend([0xc0, 0x0c, 0, 12, 0, 1, 0, 0, 0, 120, 0, 2, 0xc0, 0x0c]);
    let mut heard = Heard::new(7);
    heard.take(HERE, &packet);
    assert_eq!(heard.offers(), []);
}

#[test]
fn no_flood_makes_it_grow() {
    let mut heard = Heard::new(7);
    for number in 0..30_u32 {
        let names: Vec<String> = (0..40)
            .map(|it| format!("s{it}-{number}._signalk-ws._tcp.local"))
            .collect();
        let records = names
            .iter()
            .map(|name| pointer("_signalk-ws._tcp.local", name));
        heard.take(Ipv4Addr::from(number), &answer(7, records.collect()));
        heard.take(
            Ipv4Addr::from(number),
            &answer(7, (0..60).map(address).collect()),
        );
    }
    assert!(
        heard
            .senders
            .iter()
            .all(|it| it.services.len() == MOST_SERVICES)
    );
    // One sender sends on and on: the number of packets is the bound.
    for number in 0..600_u32 {
        heard.take(HERE, &answer(7, (0..60).map(address).collect()));
        heard.take(Ipv4Addr::from(1000 + number), &whole(7));
    }
    assert_eq!(heard.packets, MOST_PACKETS);
    assert_eq!(heard.senders.len(), 33);
    assert!(heard.senders.iter().all(|it| it.hosts.len() <= MOST_HOSTS));
    let question = heard.question().unwrap();
    assert!(question.len() < 1400, "{} bytes", question.len());
    // A header that promises more records than a packet can hold.
    let mut header = answer(7, Vec::new());
    header[6..12].fill(0xff);
    heard.take(HERE, &header);
}

/// Junk is known by its header: it is not read, and does not use up the room for answers.
#[test]
fn junk_is_not_read_and_does_not_count() {
    let mut heard = Heard::new(7);
    let many = answer(7, (0..65).map(address).collect());
    let mut long = whole(7);
    long.resize(LONGEST_PACKET + 1, 0);
    let mut question = whole(7);
    question[2] &= 0x7f;
    for _ in 0..1000 {
        for junk in [&whole(8), &many, &long, &question, &whole(7)[..11].to_vec()] {
            heard.take(HERE, junk);
        }
    }
    assert_eq!((heard.packets, heard.senders.len()), (0, 0));
    heard.take(HERE, &whole(7));
    assert_eq!(heard.offers().len(), 1);
}

proptest! {
    #[test]
    fn damaged_answers_never_break_it(
        damage in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..12),
        cut in any::<prop::sample::Index>(),
    ) {
        let mut packet = whole(7);
        for (at, byte) in damage {
            let at = at.index(packet.len());
            packet[at] = byte;
        }
        let mut heard = Heard::new(7);
        heard.take(HERE, &packet);
        packet.truncate(cut.index(packet.len()));
        heard.take(HERE, &packet);
        prop_assert!(heard.offers().len() <= 2);
    }
}

/// A responder that answers with a name alone is asked again for the rest.
#[tokio::test]
async fn the_parts_that_are_missing_are_asked_for() {
    let responder = UdpSocket::bind("127.0.0.1:0").await.unwrap();
    let to = responder.local_addr().unwrap();
    let serve = async {
        let mut asked = Vec::new();
        let instance = "tern._signalk-wss._tcp.local";
        loop {
            let mut packet = [0; 1500];
            let (length, from) = responder.recv_from(&mut packet).await.unwrap();
            let question = Packet::parse(&packet[..length]).unwrap();
            asked.push(question.questions.len());
            let records = if asked.len() == 1 {
                vec![pointer("_signalk-wss._tcp.local", instance)]
            } else {
                let own = "self=urn:mrn:imo:mmsi:230099999";
                vec![place(instance, 3443), text(instance, &[own])]
            };
            let answer = answer(question.id(), records);
            responder.send_to(&answer, from).await.unwrap();
            if asked.len() == 2 {
                return asked;
            }
        }
    };
    let (asked, offers) = tokio::join!(serve, ask(None, to));
    assert_eq!(asked, [2, 4]);
    let urls: Vec<String> = offers.unwrap().iter().map(Offer::url).collect();
    assert_eq!(urls, ["wss://127.0.0.1:3443"]);
}
