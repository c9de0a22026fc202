//! All keys: each with the field it fills, its range, its meaning and its effect.
//!
//! The defaults are those of the types that the fields belong to. Everything else about a key is written
//! only here: `check`, the errors, the JSON Schema, the default file and the manual are made from it. The
//! ranges are deliberately wide. They catch a wrong unit or a misplaced decimal point; they do not teach
//! seamanship.

use super::bounds;
use super::key::Field::{Given, Open};
use super::key::{Key, Walk};
use super::push::channel_keys;
use super::settings::Config;
use super::sort::{
    address, angle, boat_name, endpoint, label, length, mass, measure, number, parsed, path,
    secret, speed, station, time, volts, word, zone,
};
use crate::observation::Label;
use crate::speech::Language;
use crate::units::LengthUnit;

/// Visits all keys in the order in which they are shown.
pub(super) fn keys(config: &mut Config, mut each: impl FnMut(Key<'_>)) {
    let mut walk = Walk::new(&mut each);
    server(&mut walk, config);
    boat(&mut walk, config);
    tackle(&mut walk, config);
    position(&mut walk, config);
    wind(&mut walk, config);
    rest(&mut walk, config);
    for (name, channel) in &mut config.push {
        channel_keys(&mut walk, name, channel);
    }
}

#[rustfmt::skip]
fn server(walk: &mut Walk<'_>, config: &mut Config) {
    let server = &mut config.server;
    walk.section("server", "The Signal K server.");
    walk.key("url", Open(&mut server.url, "ws://localhost:3000"), address(),
        "Scheme, host and port of the server.",
        "Without it, windrode uses the server on this computer, `ws://localhost:3000`. If none answers there, it looks for servers on the network (mDNS). It joins the server that it joined before, also at a new address, but there it sends its token only if it knows the certificate. It does not look on the network for a server that ran on this computer. If it never joined one, it joins the only server that it finds, after `link.lost_after`; if there are several, it joins none. `windrode check` lists the servers that were found. In a harbour, enter the address. The schemes are `ws`, `wss`, `http` and `https`; enter nothing after host and port. If the server made its certificate itself, windrode trusts it from the first connection on and refuses a different one later; see `server.ca`.");
    walk.key("token_file", Open(&mut server.token_file, "/etc/windrode/token"), path(),
        "A file that holds the token for the server and nothing else, mode 0640 or tighter.",
        "A file with a looser mode is refused. A credential that systemd loads for the service is `/run/credentials/windrode.service/NAME`. Without this and `server.token`, windrode asks the server for access, and a person must approve it there.");
    walk.key("token", Open(&mut server.token, "eyJhbGciOiJIUzI1NiJ9.example"), secret(),
        "The token for the server itself.",
        "A file is safer, see `server.token_file`; enter only one of the two. With the token in it, the configuration needs mode 0640.");
    walk.key("ca", Open(&mut server.ca, "/etc/windrode/ca.pem"), path(),
        "A file with the certificates of the authorities that may vouch for the server, in PEM form.",
        "With it, no other authority is trusted for the server and nothing is trusted on first use. Without it, the system's authorities are trusted, or else the first certificate that the server shows; its fingerprint is kept in the state folder as `trusted-server`.");
    walk.key("source", Given(&mut server.source), parsed("a label of at most 64 letters, digits, `-`, `_` and `.`", "^[A-Za-z0-9._-]{1,64}$"),
        "The source label of what windrode publishes.",
        "Displays that show a source show this one. Change it when two watches publish to one server.");
}

#[rustfmt::skip]
fn boat(walk: &mut Walk<'_>, config: &mut Config) {
    let boat = &mut config.watch.boat;
    walk.section("boat", "The boat's figures. A figure that is entered here wins over the server's; the others are taken from the server.");
    walk.key("name", Given(&mut config.name), boat_name(),
        "The boat's name in messages to phones.",
        "It is also a level in the topics on a broker.");
    walk.key("length", Open(&mut boat.length, "11.2 m"), measure(bounds::LENGTH_OVER_ALL),
        "Length over all.",
        "A longer boat has a wider circle. 11 m is assumed when neither you nor the server enters it.");
    walk.key("beam", Open(&mut boat.beam, "3.6 m"), measure(bounds::BEAM),
        "Greatest beam.",
        "A wider boat has more wind load in the plan. It is estimated from the length when it is not entered.");
    walk.key("draught", Open(&mut boat.draught, "1.9 m"), measure(bounds::DRAUGHT),
        "Greatest draught, from the surface to the lowest point of the keel.",
        "A deeper draught warns of shoaling sooner. Without it the depth under the keel may be unknown.");
    walk.key("roller_height", Open(&mut boat.roller_height, "1.2 m"), measure(bounds::ROLLER_HEIGHT),
        "Height of the bow roller above the water.",
        "A higher roller needs more rode for the same scope and shortens the reach. 1 m is assumed when it is not entered.");
    walk.key("roller_ahead", Open(&mut boat.roller_ahead, "0.4 m"), length("a roller's reach ahead", -2.0, 5.0),
        "How far the bow roller is ahead of the stem.",
        "It moves the mark and widens the circle by as much. The stem is assumed when it is not entered.");
    walk.key("antenna_from_bow", Open(&mut boat.antenna_from_bow, "9.1 m"), length("an antenna's distance from the bow", -5.0, 150.0),
        "Distance of the positioning antenna aft of the stem.",
        "A wrong figure moves the mark by the error. Without it the mark is uncertain by half the boat's length, and dragging is noticed later.");
    walk.key("antenna_from_centre", Open(&mut boat.antenna_from_centre, "0.3 m"), length("an antenna's distance from the centreline", -20.0, 20.0),
        "Distance of the positioning antenna to port of the centreline; starboard is negative.",
        "A wrong figure moves the mark by the error. The centreline is assumed when it is not entered.");
    walk.key("transducer_depth", Open(&mut boat.transducer_depth, "0.5 m"), measure(bounds::TRANSDUCER_DEPTH),
        "Depth of the sounder's transducer below the surface.",
        "It is added to soundings that are measured from the transducer. Too low a figure shows less water and more scope than there is.");
    walk.key("transducer_to_keel", Open(&mut boat.transducer_to_keel, "1.4 m"), length("a keel's depth below the transducer", -5.0, 15.0),
        "Depth of the lowest point of the keel below the transducer.",
        "It is taken off soundings that are measured from the transducer. A higher figure warns of shoaling sooner.");
    walk.key("way", Open(&mut boat.way, "22 m"), length("a way carried", 1.0, 500.0),
        "How far the boat still runs from 2 kn after the engine is stopped, head to wind.",
        "A higher figure has her turn up into the wind farther beyond the berth and stop the engine sooner. Without it, it is learned from her track where the engine's revolutions are heard; until then two boat lengths are assumed (common practice).");
    walk.key("freeboard", Open(&mut boat.freeboard, "1.1 m"), measure(bounds::FREEBOARD),
        "Height of the deck above the water amidships, for the wind load in the plan.",
        "More freeboard has more wind load. A tenth of the length is assumed when it is not entered.");
    walk.key("mast_height", Open(&mut boat.mast_height, "15.5 m"), measure(bounds::MAST_HEIGHT),
        "Height of the masthead above the water, for the wind load in the plan.",
        "A higher mast has more wind load. 1.4 times the length is assumed when it is not entered.");
}

#[rustfmt::skip]
fn tackle(walk: &mut Walk<'_>, config: &mut Config) {
    let (watch, tackle) = (&mut config.watch, &mut config.tackle);
    let scope = || number("a scope", bounds::SCOPE[0], bounds::SCOPE[1]);
    let rope = || parsed("thickness and material of a rope, such as `14 mm nylon`", ROPE);
    walk.section("tackle", "The ground tackle.");
    walk.key("rode_aboard", Open(&mut watch.boat.rode_aboard, "60 m"), measure(bounds::RODE),
        "All the rode aboard, chain and rope together.",
        "It bounds the circle while the rode out is not entered: a higher figure makes the circle wider, and dragging is noticed later. 60 m is assumed when it is not entered.");
    walk.key("stretch", Given(&mut watch.stretch), number("a stretch", 0.0, 0.4),
        "How much longer the rode gets under load, as a fraction of its length.",
        "About 0.02 suits chain with a snubber, 0.1 and more suits nylon. Too low, and a gale looks like dragging; too high, and dragging is noticed later.");
    walk.key("scope", Given(&mut watch.scope), scope(),
        "The scope for ordinary conditions: rode divided by depth plus height of the roller.",
        "A higher scope plans more rode and a wider circle, and raises the hazard `scopeShort` sooner.");
    walk.key("scope_strong", Given(&mut watch.scope_strong), scope(),
        "The scope for strong wind, see `wind.strong`.",
        "A higher scope asks for more rode in strong wind and raises the hazard `scopeShort` sooner.");
    walk.key("scope_storm", Given(&mut config.scope_storm), scope(),
        "The scope to plan with in a storm, see `wind.storm`.",
        "A higher scope plans more rode and a wider circle for a storm.");
    walk.key("chain", Open(&mut tackle.chain, "8 mm G40"), parsed("size and grade of a chain, such as `8 mm G40`", CHAIN),
        "The chain at the anchor, by size and grade.",
        "The plan knows 6 to 16 mm in G30 or G40, and 1/4 to 3/4 in in G30, G43 or G70. Without the grade, the weakest of its size is taken.");
    walk.key("chain_length", Open(&mut tackle.chain_length, "45 m"), measure(bounds::CHAIN_LENGTH),
        "How much of the rode is chain, where there is rope too.",
        "More chain makes the rode heavier, and the anchor is lifted later. With `tackle.chain` and `tackle.rope` it must be entered.");
    walk.key("rope", Open(&mut tackle.rope, "14 mm nylon"), rope(),
        "The rope above the chain, by thickness and material: nylon or polyester, 6 to 60 mm.",
        "Leave it out where the rode is all chain.");
    walk.key("snubber", Open(&mut tackle.snubber, "12 mm nylon"), rope(),
        "The rope that takes the pull off an all-chain rode at the bow, by thickness and material.",
        "The plan compares its strength with the load. Without it the plan counts on no snubber.");
    walk.key("snubber_length", Open(&mut tackle.snubber_length, "6 m"), measure(bounds::SNUBBER_LENGTH),
        "Length of the snubber from the bow to its hook on the chain.",
        "A longer snubber takes up more of a gust.");
    walk.key("marks", Open(&mut tackle.marks, "5 m"), measure(bounds::MARKS),
        "Distance between two marks on the rode.",
        "The plan rounds the length to veer up to the next mark. Without it nothing is rounded.");
    walk.key("anchor", Open(&mut tackle.anchor, "20 kg"), mass("an anchor's mass", bounds::ANCHOR[0], bounds::ANCHOR[1]),
        "Mass of the anchor.",
        "The plan compares it with the mass that is usual for the boat's length. Without it the plan makes no such comparison.");
    walk.key("counter", Open(&mut config.paths.counter, "sensors.windlass.rodeOut"), name(),
        "The path of the windlass counter that gives the rode out in metres, where the boat has one.",
        "The counter then wins over the length that the crew enters.");
}

#[rustfmt::skip]
fn position(walk: &mut Walk<'_>, config: &mut Config) {
    let watch = &mut config.watch;
    walk.section("fix", "The position fix.");
    walk.key("source", Open(&mut watch.preferred_source, "gps0.GP"), label(Label::new, |label| label.as_str().to_owned()),
        "The source of positions to prefer, as the server names it.",
        "Without it, the first source with a usable fix is kept.");
    walk.key("max_age", Given(&mut watch.max_age), time(1, 600),
        "How old a fix may be to mark the anchor, and how old the first value of a source may be.",
        "Higher takes a cached position for a live one more easily. Lower refuses fixes that arrive late. It must not exceed `fix.lost_after`.");
    walk.key("lost_after", Given(&mut watch.lost_after), time(5, HOUR),
        "Time without a usable fix after which the position is lost, the hazard `position`.",
        "Higher leaves the boat unwatched for longer. Lower wakes the crew for short gaps.");
    walk.key("failover_after", Given(&mut watch.failover_after), time(1, HOUR),
        "Time without a usable fix from the source in use after which another source takes over.",
        "Higher waits longer for the better receiver. Lower changes receivers more often, and each change may move the position by metres. It must not exceed `fix.lost_after`.");
    walk.key("accuracy", Given(&mut watch.accuracy), length("a fix's standard deviation", 0.01, 100.0),
        "One standard deviation of a fix in each coordinate, until the watch has measured the receiver's own.",
        "Higher gives fewer false alarms early in the watch and notices dragging later. Poor geometry and a noisy receiver widen it by themselves.");

    walk.section("swing", "The swinging circle.");
    walk.key("margin", Given(&mut watch.swing_margin), length("a margin", 0.0, 500.0),
        "Distance that is added to the circle that rode and boat make.",
        "Higher alarms later. Lower alarms sooner and more often.");
    walk.key("hold", Given(&mut watch.swing_hold), time(0, 600),
        "How long the boat must be outside the circle before the alarm.",
        "Higher alarms later. Lower lets a single bad fix raise the alarm. For the calculated circle it is at least twice `drag.hold`.");

    walk.section("drag", "Dragging.");
    walk.key("margin", Given(&mut watch.drag_margin), length("a margin", 0.5, 500.0),
        "The least movement of the anchor that counts as dragging.",
        "Higher alarms later. Lower alarms sooner and more often. The watch uses more where the fix or the mark is uncertain.");
    walk.key("hold", Given(&mut watch.drag_hold), time(0, 1800),
        "How long evidence of dragging that is only just enough must last.",
        "Higher alarms later, with fewer false alarms. Stronger evidence needs less time, and overwhelming evidence needs none.");
    walk.key("settle", Given(&mut watch.settle), time(0, 2 * HOUR),
        "How long the boat must lie quietly after letting go before the anchor counts as set.",
        "The time starts again at any sign of movement of the anchor and when the fix is lost. Higher leaves the phase `setting` later, lower sooner. After dragging, half this time of lying quietly makes her `set` again.");
}

#[rustfmt::skip]
fn wind(walk: &mut Walk<'_>, config: &mut Config) {
    let watch = &mut config.watch;
    walk.section("wind", "Wind shifts and wind strength.");
    walk.key("shift", Given(&mut watch.wind_shift), angle("a wind shift", 5.0, 175.0),
        "The shift of the mean wind since the anchor was set that raises the hazard `windShift`.",
        "Higher warns of large shifts only. Lower warns more often.");
    walk.key("window", Given(&mut watch.wind_window), time(10, HOUR),
        "The time over which the wind direction is averaged.",
        "Higher smooths out gusts and notices a shift later. Lower follows every puff. The speed is averaged over half of it.");
    walk.key("hold", Given(&mut watch.wind_hold), time(0, HOUR),
        "How long the shift must last before the warning.",
        "Higher warns later. Lower warns of shifts that do not last.");
    walk.key("least", Given(&mut watch.wind_least), speed(0.0, 30.0),
        "The mean speed below which the direction is ignored.",
        "Higher ignores shifts in light wind. Lower takes the direction of light airs seriously.");
    walk.key("mean", Given(&mut watch.wind_mean), speed(10.0, 80.0),
        "The mean speed that raises the hazard `windStrength`.",
        "Higher warns later. Keep it below `wind.strong`, so that there is time to veer. The alert ends at nine tenths of it.");
    walk.key("gust", Given(&mut watch.wind_gust), speed(10.0, 120.0),
        "The gust, as a mean over three seconds, that raises the hazard `windStrength`.",
        "Higher warns later, lower warns more often. The alert ends at nine tenths of it.");
    walk.key("strength_hold", Given(&mut watch.wind_strength_hold), time(0, HOUR),
        "How long the mean must stay at `wind.mean` before the warning.",
        "Higher warns later. Lower warns of squalls that do not last.");
    walk.key("strong", Given(&mut watch.strong_wind), speed(10.0, 80.0),
        "The mean speed from which `tackle.scope_strong` applies.",
        "Higher asks for more rode later. Lower asks for it sooner.");
    walk.key("storm", Given(&mut config.storm_wind), speed(20.0, 100.0),
        "The wind speed from which the plan uses `tackle.scope_storm`.",
        "Higher plans the rode for a storm later. Lower plans it sooner.");
}

#[rustfmt::skip]
fn rest(walk: &mut Walk<'_>, config: &mut Config) {
    let watch = &mut config.watch;
    walk.section("water", "Tide and depth.");
    walk.key("keel_margin", Given(&mut watch.keel_margin), measure(bounds::KEEL_MARGIN),
        "The least depth under the keel, now and at low water.",
        "Less depth raises the hazard `shoaling`. Higher warns sooner and plans deeper berths.");
    walk.key("station", Open(&mut watch.forecast, "kartverket/OSL"), station(),
        "The tide station for predictions; find it with `windrode tide --near LAT,LON`.",
        "Without it the server's tide is used, which knows the next turns only.");
    walk.key("stay", Open(&mut watch.stay, "2 d"), time(HOUR, 30 * DAY),
        "How long the boat stays, which decides how many turns of the tide count.",
        "Higher covers more turns, so that the scope allows for the highest of them. Without it the stay ends at noon tomorrow by the ship's clock.");

    walk.section("reminder", "The reminder that no anchor is marked.");
    walk.key("unmarked_after", Given(&mut watch.unmarked_after), time(60, 7 * DAY),
        "Time of lying still in anchoring depth with the engine off and no anchor marked, after which the crew is reminded.",
        "Higher reminds later, and `7 d` almost never. Lower reminds at short stops too. The caution is under the hazard `watch`.");

    walk.section("neighbour", "Other vessels, by AIS.");
    walk.key("watch", Given(&mut watch.neighbours), word(vec![true, false], |on| (if *on { "on" } else { "off" }).to_owned()),
        "Whether the hazard `neighbour` is judged while she is at anchor.",
        "With `off` there are no alerts about other vessels; `windrode status` still shows them.");
    walk.key("distance", Given(&mut watch.neighbour_distance), length("a distance from a vessel", 5.0, 200.0),
        "How close to her hull another vessel may pass or come to lie.",
        "Higher warns sooner and, in a crowded anchorage, of boats that only pass. Lower warns later. AIS places are good to about 10 m.");

    walk.section("link", "The link to the server.");
    walk.key("lost_after", Given(&mut watch.link_lost_after), time(5, HOUR),
        "Time of silence from the server after which the link is lost, the hazard `dataLink`.",
        "Higher leaves the boat unwatched for longer. Lower alarms when the server restarts.");

    walk.section("alerts", "Alerts that are not acknowledged.");
    walk.key("repeat", Given(&mut watch.desk.repeat), time(30, 300),
        "How often an alert that sounds is repeated.",
        "Higher leaves longer pauses. Lower sounds more often.");
    walk.key("answer_within", Given(&mut watch.desk.answer_within), time(60, 300),
        "How long a warning may stay unacknowledged before it becomes an alarm.",
        "Higher gives the crew more time. Lower wakes others sooner.");

    walk.section("power", "The power that the watch runs on.");
    walk.key("battery", Open(&mut config.paths.battery, "electrical.batteries.house.voltage"), name(),
        "The path of the house battery's voltage.",
        "Without it the battery is not watched.");
    walk.key("least", Given(&mut watch.least_voltage), volts("a voltage", 5.0, 100.0),
        "The least voltage of the house battery.",
        "A lower voltage for one minute raises the hazard `watch`, because every alarm aboard fails with the battery. Higher warns sooner; too low leaves no time to charge.");

    walk.section("crew", "How messages to the crew are written.");
    walk.key("lengths", Given(&mut watch.wording.lengths), word(vec![LengthUnit::Metres, LengthUnit::Feet], |unit| unit.symbol().to_owned()),
        "The unit of lengths in all that the crew reads: alerts, answers, the terminal, pictures and the chart.",
        "Published values stay in metres; with feet their metadata asks displays to show feet.");
    walk.key("language", Given(&mut watch.wording.language), word(Language::ALL.to_vec(), |language| language.code().to_owned()),
        "The language of all that the crew reads or hears: English, German, French or Spanish, by its ISO 639-1 code.",
        "Errors of the configuration, the log, `check`, `tide`, the pages of `chart` other than `clear`, the report, the help and the manuals are English.");
    walk.key("zone", Open(&mut config.zone, "Europe/Helsinki"), zone(),
        "The zone of the ship's clock, by its name in the tz database or as an offset such as `+02:00`.",
        "Without it the zone of this computer is used.");

    walk.section("displays", "Displays without Signal K that read the alert sentences of IEC 61162-1 (ALF, ALC, HBT). Nothing is opened unless an address is entered.");
    walk.key("listen", Open(&mut config.displays.listen, "192.168.1.5:10110"), endpoint(),
        "Address and TCP port at which such displays may connect, receive alerts and acknowledge them.",
        "Anyone who can reach this port can acknowledge and silence alerts: use an address of the boat's own network.");
    walk.key("send", Open(&mut config.displays.send, "192.168.1.255:10110"), endpoint(),
        "Address and UDP port to which alerts are sent: one display or the network's broadcast address.",
        "Nothing is received from there.");

    walk.section("journal", "What is kept on disk.");
    walk.key("directory", Given(&mut config.journal.directory), path(),
        "The directory of the journal and the granted token.",
        "Without it the directory that the service manager gives is used. After a move without its files the watch starts empty.");
    walk.key("keep", Given(&mut config.journal.keep), time(DAY, 400 * DAY),
        "How long the track is kept.",
        "Higher needs more space on disk. Lower loses old nights sooner.");
    walk.key("batch", Given(&mut config.journal.batch), time(1, 600),
        "How much of the track a power cut may cost.",
        "Higher writes to the disk less often. Lower writes more often. The anchor's position and the alerts are always written at once.");
    walk.key("record", Given(&mut config.journal.record), word(vec![true, false], |on| (if *on { "on" } else { "off" }).to_owned()),
        "Whether the server's messages are recorded as they come, for `windrode replay`.",
        "With `on` they are kept in `recordings` beside the journal, at most 256 MiB of them, the oldest removed first; the journal always keeps the values that were read from them.");

    walk.section("control", "How the local command line reaches the daemon.");
    walk.key("socket", Given(&mut config.control.socket), path(),
        "The Unix socket.",
        "Without it the socket is in the runtime directory that the service manager gives.");

    walk.section("phones", "All channels to phones together.");
    walk.key("lost_after", Given(&mut config.phones_lost_after), time(30, DAY),
        "Time without any channel that works after which the hazard `watch` is raised aboard.",
        "Higher allows longer gaps in the boat's internet. Lower warns sooner and more often.");
}

/// A path of the server.
fn name() -> super::sort::Sort<String> {
    label(str::to_owned, String::clone)
}

const CHAIN: &str = "^\\s*[0-9./]+\\s*(mm|inch|in|\"|″)\\s*([Gg] ?[0-9]{2}\\s*)?$";
const ROPE: &str = "^\\s*[0-9./]+\\s*(mm|inch|in|\"|″)\\s*(nylon|polyamide|polyester)\\s*$";
const HOUR: u64 = 3600;
const DAY: u64 = 24 * HOUR;
