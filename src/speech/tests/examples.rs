//! Every alert and every message to a phone, with the figures of an ordinary night, in every language. The
//! figures are invented.

mod charts;
mod pages;

use std::time::Duration;

use charts::of_the_chart;
use pages::of_the_pages;

use crate::alert::hazard::{Hazard, Priority};
use crate::chart::class::Class;
use crate::chart::codes::Restriction;
use crate::geodesy::Position;
use crate::observation::FixMethod;
use crate::speech::alerts::{Alert, Changed, Health, Loss, NoFix, Turned, Vessel, When};
use crate::speech::charts::{
    Against, Charted, Height, Place, Planning, ReducedBy, RoomToSwing, ScopeWhy, Share, Sheet,
    Sounded,
};
use crate::speech::faults::{JournalFault, LinkFault, LostWatch};
use crate::speech::pushes::Push;
use crate::speech::status::Screen;
use crate::speech::{
    Day, Depth, Down, Exact, Language, Ratio, Round, Scope, Sentence, Whole, Wording,
};
use crate::time::Timestamp;
use crate::units::{Angle, Bearing, Metres, Speed, Volts};
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::health::headline;
use crate::watch::instruments::hearing::Instrument;
use crate::watch::messages::By;

#[test]
fn every_alert_in_every_language() {
    let told: Vec<String> = alerts().iter().map(in_all).collect();
    insta::assert_snapshot!(told.join("\n\n"));
}

#[test]
fn what_a_chart_says_in_every_language() {
    let told: Vec<String> = of_the_chart().iter().map(in_all).collect();
    insta::assert_snapshot!(told.join("\n\n"));
}

#[test]
fn every_message_to_a_phone_in_every_language() {
    let told: Vec<String> = pushes().iter().map(in_all).collect();
    insta::assert_snapshot!(told.join("\n\n"));
}

/// Displays and phones cut long text: a translation may be 1.6 times as long as its English, or a title of
/// 40 letters (chosen: a lock screen's line).
#[test]
fn no_translation_is_much_longer_than_its_english() {
    let names = Hazard::ALL.map(Hazard::words);
    let names = names.into_iter().chain(Hazard::ALL.map(Hazard::cleared));
    for sentence in alerts()
        .into_iter()
        .chain(of_the_chart())
        .chain(of_the_pages())
        .chain(pushes())
        .chain(names)
    {
        let letters = |language| said(&sentence, language).chars().count();
        let english = letters(Language::English);
        for language in Language::ALL {
            let most = (english * 8 / 5).max(40);
            let told = said(&sentence, language);
            assert!(letters(language) <= most, "{language:?}: {told}");
        }
    }
}

/// Short names for the picture and lists, where space is short.
#[test]
fn short_names_are_short_and_tell_the_hazards_apart() {
    for language in Language::ALL {
        let mut names = Hazard::ALL.map(|hazard| said(&hazard.short(), language));
        for name in &names {
            assert!(name.chars().count() <= 16, "{language:?}: {name}");
        }
        names.sort();
        assert!(names.windows(2).all(|pair| pair[0] != pair[1]), "{names:?}");
        let mut grades = Priority::ALL.map(|priority| said(&priority.word(), language));
        grades.sort();
        assert!(grades.windows(2).all(|pair| pair[0] != pair[1]));
    }
}

/// They must fit beside the swing picture of the live screen, 32 columns of 80; the rows of the status have nine
/// letters.
#[test]
fn what_stands_in_a_column_fits_it() {
    for language in Language::ALL {
        for narrow in [Screen::NoAnchor, Screen::NoBoat, Screen::NorthUp] {
            let told = narrow.words(&Wording::in_language(language));
            assert!(told.chars().count() <= 32, "{language:?}: {told}");
        }
        for wide in [Screen::Keys, Screen::NotWatched, Screen::NoFigures] {
            let told = wide.words(&Wording::in_language(language));
            assert!(told.chars().count() <= 80, "{language:?}: {told}");
        }
    }
}

#[test]
fn the_title_of_a_changed_watch_says_what_was_changed() {
    for (language, expected) in [
        (
            Language::English,
            "the watch was ended over the data server",
        ),
        (
            Language::German,
            "die Wache wurde über den Datenserver beendet",
        ),
        (
            Language::French,
            "la veille a été arrêtée par le serveur de données",
        ),
        (
            Language::Spanish,
            "la guardia se terminó por el servidor de datos",
        ),
    ] {
        let say = Wording::in_language(language);
        let told = changed(ended()).words(&say);
        assert_eq!(headline(&told, &say), expected);
    }
}

fn said(sentence: &Sentence, language: Language) -> String {
    sentence.words(&Wording::in_language(language))
}

fn in_all(sentence: &Sentence) -> String {
    Language::ALL
        .map(|language| format!("{} {}", language.code(), said(sentence, language)))
        .join("\n")
}

fn metres(metres: f64) -> Metres {
    Metres::of(metres)
}

fn knots(knots: f64) -> Speed {
    Speed::from_knots(knots)
}

fn since() -> Timestamp {
    "2026-06-01T21:30:00Z".parse().unwrap()
}

fn minutes(minutes: u64) -> Duration {
    Duration::from_mins(minutes)
}

fn mark() -> Position {
    Position::new(59.8539, 23.26).unwrap()
}

fn ended() -> Changed {
    Changed::Ended {
        by: By::Server,
        mark: mark(),
    }
}

fn changed(how: Changed) -> Sentence {
    let changes = how.into();
    Health::Changed { changes }.into()
}

fn impaired(why: impl Into<Sentence>) -> Sentence {
    let causes = why.into();
    Health::Impaired { causes }.into()
}

fn blind(why: NoFix) -> Sentence {
    Alert::NoPosition {
        since: since(),
        why: why.into(),
        anchored: true,
    }
    .into()
}

fn lost(what: Loss, instrument: Instrument) -> Sentence {
    Alert::InstrumentLost {
        what: what.into(),
        costs: instrument.cost(),
    }
    .into()
}

fn alerts() -> Vec<Sentence> {
    let mut all = at_anchor();
    all.extend(without_sensors());
    all.extend(of_other_vessels());
    all.extend(of_the_watch());
    all
}

/// What is reported of a boat at anchor: the drag, the circle, the water, the wind and the scope.
pub(crate) fn at_anchor() -> Vec<Sentence> {
    let dragging = |kind, reach, unseen, under_way| Alert::Dragging {
        kind,
        moved: metres(14.2),
        bearing: Bearing::from_degrees(45.0),
        distance: metres(53.0),
        reach,
        antenna: under_way,
        unseen,
        under_way,
    };
    let veered = |degrees| Turned::Veered {
        turn: Angle::from_degrees(degrees),
    };
    let backed = Turned::Backed {
        turn: Angle::from_degrees(75.0),
    };
    let from = Some(Bearing::from_degrees(150.0));
    let scope = |when| Alert::ScopeShort {
        scope: Ratio(4.44),
        when,
        wanted: Round(5.0),
    };
    let (depth, least) = (Depth(metres(0.3)), Depth(metres(0.5)));
    let alerts = [
        Alert::MayDrag {
            kind: MooringKind::Anchor,
            percent: Round(62.0),
            bearing: Bearing::from_degrees(45.0),
            distance: metres(38.0),
        },
        dragging(MooringKind::Anchor, Some(metres(39.0)), None, false),
        dragging(MooringKind::Mooring, None, Some(since()), true),
        Alert::OutsideCircle {
            radius: metres(61.0),
            limit: metres(52.0),
            unseen: None,
            under_way: true,
        },
        Alert::OutsideLastCircle {
            radius: metres(91.0),
            limit: metres(82.0),
            unseen: Some(since()),
            under_way: false,
        },
        Alert::NoWater {
            short: Depth(metres(0.2)),
            sounded: Some(since()),
        },
        Alert::Shoaling {
            depth,
            least,
            sounded: None,
        },
        Alert::ShoalingAtLowWater { depth, least },
        Alert::WindShift {
            set: backed.clone(),
            from,
        },
        Alert::WindShiftAgain {
            seen: veered(65.0),
            set: backed,
            from: None,
        },
        Alert::StrongWind {
            mean: knots(27.2),
            gust: Some(knots(38.0)),
        },
        Alert::StrongWind {
            mean: knots(27.2),
            gust: None,
        },
        Alert::StrongGusts {
            gust: knots(38.0),
            mean: knots(9.5),
        },
        scope(When::Now),
        scope(When::AtHighWater),
        scope(When::InThisWind),
        scope(When::InTheLastWind),
    ];
    alerts.into_iter().map(Into::into).collect()
}

fn of_other_vessels() -> Vec<Sentence> {
    let name = || "Skua".to_owned();
    let (off, bearing) = (Whole(metres(38.0)), Bearing::from_degrees(45.0));
    let (after, closing) = (Duration::from_secs(50), knots(1.5));
    let told = |first: Vessel, danger, unseen| {
        let also = Vessel::Also {
            name: "Dunlin".to_owned(),
            off,
            bearing,
        };
        let alert = Alert::Neighbours {
            first: first.into(),
            also: Sentence::several([also], ""),
            more: 2,
            unseen,
            danger,
        };
        Sentence::from(alert)
    };
    let leaves = |least, heard| Vessel::Leaves {
        name: name(),
        off,
        bearing,
        after: Some(after),
        closing,
        least,
        heard,
    };
    let passes = |least| Vessel::Passes {
        name: name(),
        off,
        bearing,
        after,
        closing,
        least,
        heard: None,
    };
    let lies = Vessel::LiesCloser {
        name: name(),
        off,
        bearing,
        heard: Some(minutes(3)),
    };
    vec![
        told(leaves(None, None), "leaves", Some(since())),
        told(
            leaves(Some(Whole(metres(15.0))), Some(minutes(2))),
            "leaves",
            None,
        ),
        told(passes(None), "passes", None),
        told(passes(Some(Whole(metres(15.0)))), "passes", None),
        told(lies, "liesCloser", None),
    ]
}

fn without_sensors() -> Vec<Sentence> {
    let method = |method| blind(NoFix::Method { method });
    let by = metres(8.3);
    let time = minutes(3);
    let instrument = Instrument::Sounder.called();
    let since = since();
    let mut all = vec![
        blind(NoFix::NoData),
        blind(NoFix::Empty),
        blind(NoFix::NullIsland),
        method(FixMethod::NoFix),
        method(FixMethod::Satellite),
        method(FixMethod::DeadReckoning),
        method(FixMethod::Manual),
        method(FixMethod::Simulator),
        method(FixMethod::Error),
        blind(NoFix::Unsaid),
        blind(NoFix::Unsafe),
        blind(NoFix::Frozen),
        blind(NoFix::Jump { by }),
        blind(NoFix::Wanders { by }),
        Alert::PositionInDoubt {
            since,
            why: NoFix::Disagrees { by }.into(),
        }
        .into(),
        Alert::PositionJumped {
            by: metres(40.0),
            held: Duration::from_secs(45),
        }
        .into(),
        Alert::PositionJumps {
            count: 3,
            within: minutes(10),
        }
        .into(),
        Alert::ServerSilent { since }.into(),
    ];
    let faults = link_faults().into_iter();
    all.extend(faults.map(|why| Alert::ServerLost { since, why }.into()));
    let why = LinkFault::AlarmsNotShown {
        path: "notifications.navigation.anchor.dragging".to_owned(),
        count: 3,
    };
    all.push(Alert::DisplaysBlind { why }.into());
    for loss in [
        |instrument, time| Loss::Flickers { instrument, time },
        |instrument, time| Loss::NotHeard { instrument, time },
        |instrument, time| Loss::NoBottom { instrument, time },
        |instrument, time| Loss::NoValue { instrument, time },
        |instrument, time| Loss::Impossible { instrument, time },
        |instrument, _| Loss::Frozen { instrument },
    ] {
        all.push(lost(loss(instrument.clone(), time), Instrument::Sounder));
    }
    for which in Instrument::ALL {
        let instrument = which.called();
        all.push(lost(Loss::Silent { instrument, time }, which));
    }
    all
}

fn link_faults() -> Vec<LinkFault> {
    vec![
        LinkFault::NotConnectedYet,
        LinkFault::NotAnswering,
        LinkFault::NoConnection,
        LinkFault::ServerClosed,
        LinkFault::Status { status: 503 },
        LinkFault::NoHello,
        LinkFault::NoPong,
        LinkFault::Silent,
        LinkFault::Reconnecting,
        LinkFault::TokenRefused,
        LinkFault::TokenUnreadable,
        LinkFault::CertificateChanged,
        LinkFault::TrustUnreadable,
        LinkFault::TokenExpired,
        LinkFault::GivenTokenExpired,
        LinkFault::ServerNotFound,
        LinkFault::ServersUnknown,
        LinkFault::OtherServers,
        LinkFault::ServerNotSecure,
        LinkFault::ServerReticent {
            url: "ws://192.168.1.20:3000".to_owned(),
        },
        LinkFault::AccessDenied,
        LinkFault::ReadOnly,
        LinkFault::Unknown,
        LinkFault::NothingComesBack {
            label: "windrode".to_owned(),
        },
    ]
}

fn of_the_watch() -> Vec<Sentence> {
    let (by, mark) = (By::Phone, mark());
    let moved = metres(18.0);
    let watch = |said: Health| Sentence::from(said);
    let clock = |back| Health::ClockSet {
        back,
        by: minutes(60),
        ago: minutes(2),
    };
    let token = |over| Health::TokenEnds {
        over,
        day: Day("2026-06-14T12:00:00Z".parse().unwrap()),
    };
    let unmarked = |from_track| Health::Unmarked {
        lain: minutes(12),
        depth: metres(6.2),
        from_track,
    };
    vec![
        impaired(Health::Stopped),
        impaired(Health::MayBeLost {
            why: LostWatch::JournalGone,
        }),
        impaired(Health::MayBeLost {
            why: LostWatch::StateGone,
        }),
        impaired(Health::MayBeLost {
            why: LostWatch::Unreadable,
        }),
        impaired(JournalFault::DiskFull),
        impaired(JournalFault::ReadOnly),
        impaired(JournalFault::Damaged),
        impaired(JournalFault::DiskSlow),
        impaired(JournalFault::Unusable),
        impaired(JournalFault::InUse),
        impaired(JournalFault::Newer),
        impaired(JournalFault::NotWritten),
        impaired(Health::NoPhone {
            channels: "`skipper`, `mate`".to_owned(),
        }),
        impaired(Health::BatteryLow {
            volts: Volts::of(11.4),
            least: Volts::of(11.8),
        }),
        watch(clock(true)),
        watch(clock(false)),
        watch(token(false)),
        watch(token(true)),
        watch(Health::FoundServer {
            name: "Tern".to_owned(),
            url: "ws://192.168.1.20:3000".to_owned(),
        }),
        watch(unmarked(None)),
        watch(unmarked(Some(metres(34.0)))),
        watch(Health::WeighedAndHere { gone: minutes(11) }),
        watch(Health::WeighedAndDrifted {
            gone: minutes(11),
            moved: metres(140.0),
        }),
        changed(ended()),
        changed(Changed::SecondMarked {
            by: By::Display,
            moved,
        }),
        changed(Changed::Marked { by, moved, mark }),
        changed(Changed::MarkMoved {
            by: By::Terminal,
            moved,
            mark,
        }),
        changed(Changed::CircleWidened {
            by,
            old: metres(45.0),
            new: metres(90.0),
        }),
        changed(Changed::Snubber { by }),
        changed(Changed::RodeSet {
            by,
            rode: metres(280.0),
        }),
    ]
}

fn pushes() -> Vec<Sentence> {
    let boat = || "Tern".to_owned();
    let alert = String::new;
    let since = since();
    let hazard = || Hazard::Dragging.words();
    let missed = |count, anchored| Push::MissedTitle {
        boat: boat(),
        count,
        anchored,
    };
    let clock = || "21:30 UTC".to_owned();
    let mut all: Vec<Push> = vec![
        Push::NotAcknowledged {
            alert: alert(),
            since,
        },
        Push::Stands {
            alert: alert(),
            since,
        },
        Push::AcknowledgedTitle {
            boat: boat(),
            hazard: hazard(),
        },
        Push::GoneTitle {
            boat: boat(),
            hazard: hazard(),
        },
        Push::Cleared {
            priority: Priority::Alarm.word(),
        },
        Push::ClearedUnwatched {
            priority: Priority::Alarm.word(),
        },
        Push::WeighedTitle { boat: boat() },
        Push::Weighed { hazard: hazard() },
        missed(1, true),
        missed(3, false),
        Push::Missed {
            hazards: Sentence::several([hazard(), Hazard::WindShift.words()], ", "),
            since: clock(),
            until: clock(),
        },
        Push::DarkTitle { boat: boat() },
        Push::Dark { after: minutes(30) },
        Push::TestTitle { boat: boat() },
        Push::Test {
            channel: "skipper".to_owned(),
            clock: "21:30".to_owned(),
        },
    ];
    for hazard in Hazard::ALL {
        all.push(Push::AlertTitle {
            boat: boat(),
            priority: Priority::Alarm.word(),
            hazard: hazard.words(),
        });
        all.push(Push::ClearedTitle {
            boat: boat(),
            cleared: hazard.cleared(),
        });
    }
    all.into_iter().map(Into::into).collect()
}
