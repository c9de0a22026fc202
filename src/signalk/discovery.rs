//! Which Signal K server on the boat's network is this boat's.
//!
//! In a harbour the servers of other boats may answer on the same wireless network. So a server that was found is
//! joined only if it is the one that this windrode was linked to before, or if there never was one and exactly
//! one server answers. In every other case nothing is joined, and a message to the crew says what was found and what to
//! write in the configuration. The effects (the question on the network, the connection) are the shell's; this
//! module reads what came back and decides.
//!
//! A server announces itself as RFC 6763 says, `_signalk-ws._tcp` or, encrypted, `_signalk-wss._tcp`, and its
//! TXT record has its vessel's id as `self` and her name as `vname` (the Signal K specification, "Discovery and
//! Connection Establishment"; observed on signalk-server 2.32.0). All of it is text of a peer: it is bounded and
//! stripped of control characters here.
//!
//! A server that ran on this computer stays there: no server on the network takes its place, whatever its id.
//!
//! Weakness: over plain `ws` a server proves nothing. While our server, kept at another computer's address, does not
//! answer there, a computer that announces its id and greets with it is taken for it, though it gets no token (see
//! `daemon::joining`); only a certificate that was kept before prevents that.
//! Tests: below, `daemon::joining`, and `peers::discovery` with the real server.

use core::net::{IpAddr, Ipv4Addr};
use std::fmt::{self, Write as _};
use std::time::Duration;

use serde::{Deserialize, Serialize};

use super::shortened;
use crate::speech::faults::LinkFault;
use crate::time::Tick;

/// A vessel's id as its server gives it, without `vessels.`: `urn:mrn:imo:mmsi:230099999`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct ServerId(String);

impl ServerId {
    /// Reads an id with or without `vessels.`; `None` for anything that cannot be one.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let id = text.strip_prefix("vessels.").unwrap_or(text);
        let is_plain = id
            .bytes()
            .all(|byte| byte.is_ascii_graphic() && byte != b'`');
        ((1..=LONGEST_ID).contains(&id.len()) && is_plain).then(|| Self(id.to_owned()))
    }

    /// Is it the same at each start of the server? A server without an MMSI may take a new id each time.
    #[must_use]
    pub fn is_lasting(&self) -> bool {
        self.0.starts_with("urn:mrn:imo:mmsi:")
    }

    /// The text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for ServerId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl From<ServerId> for String {
    fn from(id: ServerId) -> Self {
        id.0
    }
}

impl TryFrom<String> for ServerId {
    type Error = &'static str;
    fn try_from(text: String) -> Result<Self, Self::Error> {
        Self::parse(&text).ok_or("it is no id of a vessel")
    }
}

/// What a server announces, as it came.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Announced {
    /// Its name on the network.
    pub name: String,
    /// The addresses that it lists.
    pub listed: Vec<Ipv4Addr>,
    /// Its port.
    pub port: u16,
    /// It is a service `_signalk-wss._tcp`.
    pub secure: bool,
    /// The TXT record's `self`.
    pub self_id: Option<String>,
    /// The TXT record's `vname`.
    pub vessel: Option<String>,
}

/// A server that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    name: String,
    vessel: Option<String>,
    address: Ipv4Addr,
    listed: Vec<Ipv4Addr>,
    /// The port.
    pub port: u16,
    /// Is it encrypted?
    pub secure: bool,
    /// Who it says it is.
    pub id: Option<ServerId>,
}

impl Offer {
    /// Reads what the computer at `from` announced. The address is the one that answered: a server may list others
    /// that cannot be reached from here. Only an answer that was passed on comes from an address that is not listed.
    #[must_use]
    pub fn new(from: Ipv4Addr, announced: &Announced) -> Option<Self> {
        let listed = announced.listed.iter().take(MOST_ADDRESSES);
        let mut listed: Vec<Ipv4Addr> = listed.copied().collect();
        if listed.is_empty() {
            listed.push(from);
        }
        let address = if listed.contains(&from) {
            from
        } else {
            *listed.first()?
        };
        let vessel = announced.vessel.as_deref().map(in_short);
        (announced.port != 0).then(|| Self {
            name: in_short(&announced.name),
            vessel: vessel.filter(|name| !name.is_empty()),
            address,
            listed,
            port: announced.port,
            secure: announced.secure,
            id: announced.self_id.as_deref().and_then(ServerId::parse),
        })
    }

    /// Its address.
    #[must_use]
    pub const fn address(&self) -> Ipv4Addr {
        self.address
    }

    /// The vessel's name; without one, the server's.
    #[must_use]
    pub fn called(&self) -> &str {
        self.vessel.as_deref().unwrap_or(&self.name)
    }

    /// Its address as `server.url` has it.
    #[must_use]
    pub fn url(&self) -> String {
        let scheme = if self.secure { "wss" } else { "ws" };
        format!("{scheme}://{}:{}", self.address, self.port)
    }

    /// One server that answered on two of its addresses. Each answer must list both of them: a stranger can name
    /// our server's address, but cannot make our server name his.
    fn is_the_same(&self, other: &Self) -> bool {
        (&self.name, self.port, self.secure, &self.id)
            == (&other.name, other.port, other.secure, &other.id)
            && self.listed.contains(&other.address)
            && other.listed.contains(&self.address)
    }
}

impl fmt::Display for Offer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` at `{}`", self.name, self.url())?;
        if let Some(vessel) = &self.vessel {
            write!(f, ", vessel `{vessel}`")?;
        }
        match &self.id {
            Some(id) if id.is_lasting() => write!(f, ", self id `{id}`"),
            Some(id) => write!(
                f,
                ", self id `{id}`, which may be new at each start because the server has no MMSI"
            ),
            None => f.write_str(", which announces no self id"),
        }
    }
}

/// Each server once, in a fixed order, and no more than [`MOST_OFFERS`]. Those with the `wanted` id come first, so
/// that no crowd of others hides them.
#[must_use]
pub fn sorted(mut offers: Vec<Offer>, wanted: Option<&ServerId>) -> Vec<Offer> {
    let is_other = |offer: &Offer| wanted.is_some() && offer.id.as_ref() != wanted;
    offers.sort_by(|a, b| {
        let key_of_a = (is_other(a), &a.name, a.address, a.port);
        key_of_a.cmp(&(is_other(b), &b.name, b.address, b.port))
    });
    let mut each: Vec<Offer> = Vec::new();
    for offer in offers {
        if each.len() < MOST_OFFERS && !each.iter().any(|it| it.is_the_same(&offer)) {
            each.push(offer);
        }
    }
    each
}

/// The server that this windrode is linked to, as it is kept from run to run.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Paired {
    /// Who it said it was.
    pub self_id: ServerId,
    /// The address at which it was.
    pub address: String,
    /// The connection was encrypted.
    pub secure: bool,
}

impl Paired {
    /// Is it on this computer?
    #[must_use]
    pub fn is_here(&self) -> bool {
        let authority = self.address.split_once("://").map_or("", |(_, rest)| rest);
        let host = authority
            .rsplit_once(':')
            .map_or(authority, |(host, _)| host);
        let is_here = |ip: IpAddr| {
            let ip = ip.to_canonical();
            ip.is_loopback() || ip.is_unspecified()
        };
        let ip = host.trim_start_matches('[').trim_end_matches(']').parse();
        ip.map_or_else(
            |_| {
                // RFC 6761 section 6.3.
                let name = host.trim_end_matches('.').to_ascii_lowercase();
                name == "localhost" || name.ends_with(".localhost")
            },
            is_here,
        )
    }
}

/// What is known about the boat's own server.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kept {
    /// There never was one.
    Nothing,
    /// This is the one.
    Server(Paired),
    /// There is a token, a certificate or a record that cannot be read: nothing tells whose.
    Unnamed,
}

impl Kept {
    /// May the boat's own server be at this address? Yes if it was there last, or if no server is known yet.
    #[must_use]
    pub fn may_be_at(&self, address: &str) -> bool {
        match self {
            Self::Server(paired) => paired.address == address,
            Self::Nothing | Self::Unnamed => true,
        }
    }
}

/// Why no server was joined.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    why: Why,
    found: Vec<Offer>,
    /// The server that was looked for.
    wanted: Option<ServerId>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Why {
    Nobody,
    Here,
    Several,
    NoId,
    Others,
    NotSecure,
    Twice,
    Unnamed,
}

/// Chooses among the servers that were found.
pub fn choose(found: Vec<Offer>, kept: &Kept) -> Result<Offer, Refusal> {
    let wanted = match kept {
        Kept::Server(paired) => Some(paired.self_id.clone()),
        Kept::Nothing | Kept::Unnamed => None,
    };
    let found = sorted(found, wanted.as_ref());
    let picked = match (kept, found.as_slice()) {
        (_, []) => Err(Why::Nobody),
        (Kept::Server(paired), _) if paired.is_here() => Err(Why::Here),
        (Kept::Server(paired), _) => pick(&found, paired),
        (Kept::Unnamed, _) => Err(Why::Unnamed),
        (Kept::Nothing, [one]) if one.id.is_none() => Err(Why::NoId),
        (Kept::Nothing, [one]) => Ok(one.clone()),
        (Kept::Nothing, _) => Err(Why::Several),
    };
    picked.map_err(|why| Refusal { why, found, wanted })
}

/// The paired server among others. Once it was encrypted, nothing else will do.
fn pick(found: &[Offer], paired: &Paired) -> Result<Offer, Why> {
    let ours = found
        .iter()
        .filter(|offer| offer.id.as_ref() == Some(&paired.self_id));
    let (secure, plain): (Vec<&Offer>, Vec<&Offer>) = ours.partition(|offer| offer.secure);
    match (secure.as_slice(), plain.as_slice()) {
        ([], []) => Err(Why::Others),
        ([], _) if paired.secure => Err(Why::NotSecure),
        ([one], _) if paired.secure => Ok((*one).clone()),
        ([one], []) | ([], [one]) => Ok((*one).clone()),
        // One computer that offers both.
        ([one], [other]) if one.address == other.address => Ok((*one).clone()),
        _ => Err(Why::Twice),
    }
}

impl Refusal {
    /// For the crew, in its language.
    #[must_use]
    pub const fn fault(&self) -> LinkFault {
        match self.why {
            Why::Nobody => LinkFault::ServerNotFound,
            Why::Here => LinkFault::NotAnswering,
            Why::Several | Why::NoId | Why::Twice | Why::Unnamed => LinkFault::ServersUnknown,
            Why::Others => LinkFault::OtherServers,
            Why::NotSecure => LinkFault::ServerNotSecure,
        }
    }
}

impl fmt::Display for Refusal {
    /// For the log and `check`: why, what was found, and what to write.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let wanted = self.wanted.as_ref().map_or("", ServerId::as_str);
        match self.why {
            Why::Nobody => {
                return f.write_str(
                    "no Signal K server was found on the network: it must announce itself by mDNS on IPv4; otherwise enter its address as `server.url`",
                );
            }
            Why::Here => write!(
                f,
                "our server `{wanted}` ran on this computer and does not answer here; it is tried again, and no server on the network takes its place, whatever its self id"
            ),
            Why::Several => f.write_str(
                "several Signal K servers were found on the network, none of them known, and windrode does not choose",
            ),
            Why::NoId => f.write_str(
                "a Signal K server was found that announces no self id, so windrode could not know it again",
            ),
            Why::Twice => write!(
                f,
                "more than one computer on the network says that it is our server `{wanted}`, and windrode does not choose"
            ),
            Why::Unnamed => f.write_str(
                "Signal K servers were found on the network, and windrode was linked to one before (a token, a certificate or an unreadable record is kept), but cannot tell to which",
            ),
            Why::Others => write!(f, "our server `{wanted}` was not found on the network, only others"),
            Why::NotSecure => write!(
                f,
                "our server `{wanted}` was found without encryption, but was encrypted before: somebody may pretend to be it, so nothing is sent to it"
            ),
        }?;
        let mut list = String::new();
        for offer in self.found.iter().take(MOST_TOLD) {
            write!(list, "; {offer}")?;
        }
        let more = self.found.len().saturating_sub(MOST_TOLD);
        if more > 0 {
            write!(list, "; and {more} more")?;
        }
        if self.why == Why::Others && self.wanted.as_ref().is_some_and(|id| !id.is_lasting()) {
            list += "; our server has no MMSI, so it may have a new self id since its last start: enter the boat's MMSI in its vessel settings";
        }
        // No address of a server that may pretend to be ours, or is another boat's, is offered for copying.
        let url = match (self.why, self.found.first()) {
            (Why::Several | Why::NoId | Why::Unnamed, Some(first)) => first.url(),
            (Why::NotSecure, _) => "wss://ADDRESS:PORT".to_owned(),
            _ => "ws://ADDRESS:PORT".to_owned(),
        };
        let which = if self.why == Why::Here {
            "if this boat's server runs on another computer now"
        } else {
            "if one of them is this boat's"
        };
        write!(
            f,
            ", found: {}; {which}, enter it in the configuration, as `server.url = \"{url}\"`",
            list.trim_start_matches("; ")
        )
    }
}

/// How long the server on this computer has been silent: it may only be starting, so the network is not asked at once.
#[derive(Clone, Debug, Default)]
pub struct Patience {
    silent_since: Option<Tick>,
}

impl Patience {
    /// Nothing answers on this computer.
    pub fn silent(&mut self, now: Tick) {
        self.silent_since.get_or_insert(now);
    }

    /// A server answered.
    pub const fn answered(&mut self) {
        self.silent_since = None;
    }

    /// Is it time to look on the network? At once for a server that was not on this computer, whose address is
    /// `local`; else after this long without an answer.
    #[must_use]
    pub fn is_over(&self, now: Tick, kept: &Kept, local: &str, after: Duration) -> bool {
        !kept.may_be_at(local)
            || self
                .silent_since
                .is_some_and(|since| now.since(since) >= after)
    }
}

/// A peer's name.
fn in_short(name: &str) -> String {
    shortened(&name.replace('`', "'"), 40).trim().to_owned()
}

/// Servers use 26 to 60 characters.
const LONGEST_ID: usize = 120;
const MOST_ADDRESSES: usize = 16;
/// More than a full harbour has.
const MOST_OFFERS: usize = 64;
/// In one line of the log.
const MOST_TOLD: usize = 6;

#[cfg(test)]
mod tests;
