//! What `setup`, `check`, `chart` and `tide` say besides the pages that have golden files of their own.

use super::*;
use crate::speech::Tabled;
use crate::speech::charts::ChartsKept;
use crate::speech::checks::{Check, Right, TokenEnd};
use crate::speech::setup::{Ask, Setup};
use crate::speech::tides::{TideCaution, TideDatum, TidePage, TideZone};

fn setup() -> Vec<Sentence> {
    let file = || "windrode.toml".to_owned();
    let asks = [
        Ask::Language,
        Ask::Server,
        Ask::Name,
        Ask::Length,
        Ask::Draught,
        Ask::Roller,
        Ask::Antenna,
        Ask::Rode,
        Ask::Chain,
        Ask::Topic,
    ];
    let questions = asks.map(|ask| {
        let now = Setup::NoneYet {
            example: "1.9 m".to_owned(),
        };
        let now = now.into();
        Setup::Question { ask, now }.into()
    });
    let rest = [
        Setup::Enter,
        Setup::AnswersGo { file: file() },
        Setup::FromServer {
            value: "11.2 m".to_owned(),
        },
        Setup::Unchanged { file: file() },
        Setup::Written { file: file() },
        Setup::Sending,
        Setup::AtNextStart,
        Setup::Restarted,
        Setup::NotRestarted,
    ];
    questions.into_iter().chain(rest.map(Into::into)).collect()
}

fn check() -> Vec<Sentence> {
    let channel = || "skipper".to_owned();
    let why = || Some("status 403".to_owned());
    let at = || "2026-06-12 10:00 UTC".to_owned();
    let words = || "jwt expired".to_owned();
    let checks = [
        Check::Ready,
        Check::ReadyWithLimits { count: 1 },
        Check::NotReady { count: 1 },
        Check::NoGreeting,
        Check::Greeting {
            name: "signalk-server".to_owned(),
            version: "2.32.0".to_owned(),
            own: "vessels.self-1".to_owned(),
        },
        Check::MayNotWrite {
            why: LinkFault::ReadOnly.into(),
        },
        Check::PhoneFails {
            channel: channel(),
            why: None,
        },
        Check::CannotWork,
        Check::NoServer {
            url: "ws://localhost:3000".to_owned(),
            why: LinkFault::NotAnswering.into(),
        },
        Check::Sent { channel: channel() },
        Check::NotNow {
            channel: channel(),
            why: why(),
        },
        Check::Refuses {
            channel: channel(),
            why: None,
        },
    ];
    let rights = [
        Right::Open,
        Right::Granted {
            level: "readwrite".to_owned(),
        },
        Right::Refused { words: words() },
        Right::NotKnown { why: words() },
    ];
    let ends = [TokenEnd::Ended { at: at() }, TokenEnd::Ends { at: at() }];
    let all = checks.map(Sentence::from).into_iter();
    all.chain(rights.map(Into::into))
        .chain(ends.map(Into::into))
        .collect()
}

fn tide() -> Vec<Sentence> {
    let zone = |zone: Option<&str>| TideZone::Boats {
        zone: zone.map(str::to_owned),
        offset: "UTC+02:00".to_owned(),
    };
    let above = |short: &str, zone| TidePage::Above {
        datum: TideDatum::of(short),
        short: short.to_owned(),
        zone,
    };
    let shorts = ["LAT", "MLWS", "LLWLT", "NLLW", "TLT", "MSL", "CD", "IGLD"];
    let [first, rest @ ..] = shorts;
    let pages = [
        TidePage::NoTurns,
        above(first, zone(Some("Europe/Paris"))),
        TidePage::Now {
            clock: "12:40".to_owned(),
            height: Tabled(metres(-0.13)),
            rising: true,
            next: "19:04".to_owned(),
            wait: minutes(384),
            range: Tabled(metres(2.46)),
        },
    ];
    let datums = rest.map(|short| above(short, TideZone::BoatsUtc));
    let pages = pages.into_iter().chain(datums).map(Sentence::from);
    pages.chain([TideCaution::MeanSeaLevel.into()]).collect()
}

fn chart() -> Vec<Sentence> {
    let forgotten = |count| ChartsKept::Forgotten { count };
    let all = [
        ChartsKept::SomeAdded { added: 3, all: 12 },
        forgotten(0),
        forgotten(1),
        forgotten(812),
        ChartsKept::Reading {
            done: "3",
            all: "12",
            left: "40s",
        },
    ];
    all.map(Into::into).into()
}

/// The page's other sentences, with invented figures.
pub(super) fn of_the_pages() -> Vec<Sentence> {
    [setup(), check(), tide(), chart()].concat()
}

#[test]
fn what_setup_check_tide_and_chart_say_besides_in_every_language() {
    let told: Vec<String> = of_the_pages().iter().map(in_all).collect();
    insta::assert_snapshot!(told.join("\n\n"));
}
