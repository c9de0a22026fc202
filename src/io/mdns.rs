//! Asks the network which Signal K servers there are, and does nothing else with it.
//!
//! Formula: one question by multicast DNS on each network interface, sent twice, and [`LISTEN`] to hear the answers
//! (RFC 6762 section 5.1, one-shot queries; section 6.7, responders answer the asking port directly; RFC 6763
//! section 4, services; section 12.1, an answer brings the address and the TXT record along). What an answer
//! leaves out is asked for the second time. No group is joined and port 5353 is not opened: nothing is received
//! except what answers our own number and comes from port 5353.
//!
//! Assumption: IPv4. An address of IPv6's local link needs an interface's name, which no URL can carry.
//! It runs on the watch's thread: a packet is read only if its header shows an answer to our question with few records,
//! no more than [`MOST_PACKETS`] are read, and the watch has its turn after each packet.
//!
//! Weakness: an answer is believed as it is, see [`discovery`](crate::signalk::discovery) for what follows from it. A
//! firewall on this computer that drops answers to a multicast hides all servers.
//! Tests: below, and `peers::discovery` with the real server.

use std::io;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::time::Duration;

use futures_util::future::join_all;
use simple_dns::rdata::RData;
use simple_dns::{CLASS, Name, Packet, QCLASS, QTYPE, Question, ResourceRecord, TYPE};
use tokio::net::UdpSocket;
use tokio::time::timeout;
use tracing::debug;

use crate::signalk::discovery::{Announced, Offer};

/// The servers that answer, in no order; one may be there more than once. Takes [`LISTEN`] twice.
pub async fn look() -> Vec<Offer> {
    let asked = interfaces().into_iter().map(|name| async move {
        let to = SocketAddr::from((GROUP, PORT));
        match ask(Some(&name), to).await {
            Ok(offers) => offers,
            Err(why) => {
                debug!("the interface `{name}` takes no question by multicast: {why}");
                Vec::new()
            }
        }
    });
    join_all(asked).await.into_iter().flatten().collect()
}

/// The interfaces that are up and take multicast, apart from the loopback and lines from point to point.
fn interfaces() -> Vec<String> {
    let Ok(folder) = std::fs::read_dir("/sys/class/net") else {
        return Vec::new();
    };
    let mut names: Vec<String> = folder
        .filter_map(|entry| {
            let entry = entry.ok()?;
            let flags = std::fs::read_to_string(entry.path().join("flags")).ok()?;
            let flags = u32::from_str_radix(flags.trim().trim_start_matches("0x"), 16).ok()?;
            let name = entry.file_name().into_string().ok()?;
            (flags & FLAGS == UP | MULTICAST).then_some(name)
        })
        .collect();
    names.sort();
    names.truncate(MOST_INTERFACES);
    names
}

/// Asks twice and gathers what answers from the same port.
async fn ask(interface: Option<&str>, to: SocketAddr) -> io::Result<Vec<Offer>> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).await?;
    if let Some(interface) = interface {
        // Before Linux 5.7 that is a privilege; then the question goes where the default route leads.
        let _ = socket.bind_device(Some(interface.as_bytes()));
    }
    socket.set_multicast_ttl_v4(255)?;
    let mut heard = Heard::new(number());
    for _ in 0..2 {
        if let Some(question) = heard.question() {
            socket.send_to(&question, to).await?;
        }
        // It ends with the time.
        let _ = timeout(LISTEN, gather(&socket, to.port(), &mut heard)).await;
    }
    Ok(heard.offers())
}

/// A random number: only those who receive the question know it.
#[allow(clippy::disallowed_methods, reason = "it lives for one question")]
fn number() -> u16 {
    let [high, low, ..] = *uuid::Uuid::new_v4().as_bytes();
    u16::from_be_bytes([high, low])
}

async fn gather(socket: &UdpSocket, port: u16, heard: &mut Heard) -> io::Result<()> {
    // One byte more shows that a packet was cut.
    let mut packet = [0; LONGEST_PACKET + 1];
    loop {
        let (length, from) = socket.recv_from(&mut packet).await?;
        if let IpAddr::V4(address) = from.ip()
            && from.port() == port
            && let Some(bytes) = packet.get(..length)
        {
            heard.take(address, bytes);
        }
        // In a flood the watch has its turn after each packet, and then the time is looked at.
        tokio::task::yield_now().await;
    }
}

/// What was heard, by sender: a sender cannot add to another's answer.
struct Heard {
    id: u16,
    /// Packets that were read.
    packets: usize,
    senders: Vec<Sender>,
}

/// The records of one sender.
struct Sender {
    address: Ipv4Addr,
    services: Vec<Service>,
    hosts: Vec<(String, Ipv4Addr)>,
}

/// One instance of a service.
struct Service {
    /// Its full name in lower case, by which its records are known.
    key: String,
    full: Name<'static>,
    secure: bool,
    place: Option<(String, u16)>,
    text: Option<[Option<String>; 2]>,
}

impl Heard {
    const fn new(id: u16) -> Self {
        Self {
            id,
            packets: 0,
            senders: Vec::new(),
        }
    }

    /// Which servers there are, and the parts that are still missing of those that answered.
    fn question(&self) -> Option<Vec<u8>> {
        let mut packet = Packet::new_query(self.id);
        let mut add = |name: Name<'static>, kind: TYPE| {
            let (kind, class) = (QTYPE::TYPE(kind), QCLASS::CLASS(CLASS::IN));
            packet
                .questions
                .push(Question::new(name, kind, class, false));
        };
        for (service, _) in SERVICES {
            add(Name::new_unchecked(service), TYPE::PTR);
        }
        let services = self.senders.iter().flat_map(|sender| &sender.services);
        for service in services.take(MOST_SERVICES) {
            if service.place.is_none() {
                add(service.full.clone(), TYPE::SRV);
            }
            if service.text.is_none() {
                add(service.full.clone(), TYPE::TXT);
            }
        }
        packet.build_bytes_vec().ok()
    }

    /// Takes an answer to our question; anything else is passed over.
    fn take(&mut self, from: Ipv4Addr, bytes: &[u8]) {
        if !self.is_answer(bytes) || self.packets >= MOST_PACKETS {
            return;
        }
        self.packets += 1;
        let Ok(packet) = Packet::parse(bytes) else {
            return;
        };
        let index = match self.senders.iter().position(|it| it.address == from) {
            Some(index) => index,
            None if self.senders.len() < MOST_SENDERS => {
                self.senders.push(Sender {
                    address: from,
                    services: Vec::new(),
                    hosts: Vec::new(),
                });
                self.senders.len() - 1
            }
            None => return,
        };
        if let Some(sender) = self.senders.get_mut(index) {
            let records = || packet.answers.iter().chain(&packet.additional_records);
            // Names first: the other records belong to them, in whatever order they come.
            records().for_each(|record| sender.take_name(record));
            records().for_each(|record| sender.take_part(record));
        }
    }

    /// Is it an answer to our question, and small? Its header says so (RFC 1035 section 4.1.1). It is read on the thread
    /// of the watch, where a name that points to a name that points on and on takes its time in each record.
    fn is_answer(&self, bytes: &[u8]) -> bool {
        let Some([high, low, flags, _, counts @ ..]) = bytes.first_chunk::<12>() else {
            return false;
        };
        let counts = counts.as_chunks::<2>().0.iter();
        let records: usize = counts.map(|it| usize::from(u16::from_be_bytes(*it))).sum();
        bytes.len() <= LONGEST_PACKET
            && u16::from_be_bytes([*high, *low]) == self.id
            && flags & 0x80 != 0
            && records <= MOST_RECORDS
    }

    fn offers(&self) -> Vec<Offer> {
        let all = |sender: &Sender| -> Vec<Offer> {
            let whole = sender
                .services
                .iter()
                .filter_map(|it| it.announced(&sender.hosts));
            whole
                .filter_map(|announced| Offer::new(sender.address, &announced))
                .collect()
        };
        self.senders.iter().flat_map(all).collect()
    }
}

impl Sender {
    fn take_name(&mut self, record: &ResourceRecord<'_>) {
        let RData::PTR(full) = &record.rdata else {
            return;
        };
        let kind = key(&record.name);
        let Some((_, secure)) = SERVICES.into_iter().find(|(name, _)| *name == kind) else {
            return;
        };
        let key = key(&full.0);
        let is_new = self.services.iter().all(|service| service.key != key);
        // A server that leaves says so with no time to live.
        if record.ttl > 0 && is_new && self.services.len() < MOST_SERVICES {
            self.services.push(Service {
                key,
                full: full.0.clone().into_owned(),
                secure,
                place: None,
                text: None,
            });
        }
    }

    fn take_part(&mut self, record: &ResourceRecord<'_>) {
        let name = key(&record.name);
        let service = self.services.iter_mut().find(|service| service.key == name);
        match (&record.rdata, service) {
            (RData::SRV(place), Some(service)) => {
                service.place = Some((key(&place.target), place.port));
            }
            (RData::TXT(text), Some(service)) => {
                service.text = Some(["self", "vname"].map(|wanted| {
                    let mut all = text.iter_raw();
                    let value = all.find(|(name, _)| name.eq_ignore_ascii_case(wanted.as_bytes()));
                    Some(String::from_utf8_lossy(value?.1?).into_owned())
                }));
            }
            (RData::A(address), _) if self.hosts.len() < MOST_HOSTS => {
                self.hosts.push((name, address.address.into()));
            }
            _ => {}
        }
    }
}

impl Service {
    /// A server without a port or without a TXT record is not announced yet.
    fn announced(&self, hosts: &[(String, Ipv4Addr)]) -> Option<Announced> {
        let (host, port) = self.place.as_ref()?;
        let [self_id, vessel] = self.text.clone()?;
        let listed = hosts.iter().filter(|(name, _)| name == host);
        let name = self.full.as_bytes().next().map(String::from_utf8_lossy);
        Some(Announced {
            name: name?.into_owned(),
            listed: listed.map(|(_, address)| *address).collect(),
            port: *port,
            secure: self.secure,
            self_id,
            vessel,
        })
    }
}

/// Names are the same in capitals and small letters (RFC 6762 section 16).
fn key(name: &Name<'_>) -> String {
    name.to_string().to_ascii_lowercase()
}

/// The services, and whether they are encrypted.
const SERVICES: [(&str, bool); 2] = [
    ("_signalk-ws._tcp.local", false),
    ("_signalk-wss._tcp.local", true),
];
const GROUP: Ipv4Addr = Ipv4Addr::new(224, 0, 0, 251);
const PORT: u16 = 5353;
/// Answers come within milliseconds; a wireless network holds multicasts back for up to half a second.
const LISTEN: Duration = Duration::from_millis(1000);
// The kernel's `net/if.h`.
const UP: u32 = 0x1;
const MULTICAST: u32 = 0x1000;
/// Those that count: up, loopback, point to point, multicast.
const FLAGS: u32 = UP | 0x8 | 0x10 | MULTICAST;
/// The answer of a server with sixteen addresses takes about 1 kB; RFC 6762 section 17 permits 9000.
const LONGEST_PACKET: usize = 4096;
/// In one packet: one such server has about forty.
const MOST_RECORDS: usize = 64;
const MOST_INTERFACES: usize = 16;
/// Per interface. Only answers to our question count.
const MOST_PACKETS: usize = 64;
const MOST_SENDERS: usize = 64;
const MOST_SERVICES: usize = 16;
const MOST_HOSTS: usize = 64;

#[cfg(test)]
mod tests;
