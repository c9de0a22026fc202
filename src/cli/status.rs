//! One screen that says how she lies, read from the top: phase, alerts, anchor, circle, wind.

use std::time::Duration;

use crate::alert::hazard::{AlertState, AlertView, Priority};
use crate::alert::wording::Wording;
use crate::daemon::StatusReport;
use crate::outbox::words::{Health, HealthState};
use crate::time::{ShipClock, Timestamp};
use crate::units::{Metres, spoken};
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::charted::telling::room_words;
use crate::watch::state::{self, WatchState};

/// The screen, 80 columns, as lines. `colour` marks what sounds.
#[must_use]
pub fn screen(report: &StatusReport, colour: bool) -> Vec<String> {
    let picture = &report.picture;
    let mut lines = vec![headline(report)];
    if report.alerts.is_empty() {
        lines.push("no alerts".to_owned());
    }
    for alert in &report.alerts {
        lines.extend(alert_lines(alert, &report.clock, colour));
    }
    lines.push(String::new());
    let row = |name: &str, text: &str| wrapped_to(&format!("{name:<10}"), &" ".repeat(10), text);
    for (name, text) in rows(picture, &Wording::in_unit(report.lengths)) {
        lines.extend(row(name, &text));
    }
    for quiet in &picture.lost {
        lines.extend(row(quiet.instrument.label(), &quiet.words(report.time)));
    }
    for her in &picture.neighbours {
        let words = her.words(&Wording::in_unit(report.lengths));
        lines.extend(row("vessel", &format!("{} {words}", her.name)));
    }
    lines.extend(row("server", &report.link));
    if let Some(journal) = &report.journal {
        lines.extend(row("journal", journal));
    }
    for health in &report.phones {
        lines.extend(phone_lines(WIDTH, health, report.time));
    }
    if !picture.remarks.is_empty() {
        lines.push(String::new());
        for remark in &picture.remarks {
            lines.extend(wrapped("- ", remark));
        }
    }
    lines.push(String::new());
    lines.push(
        "An aid, no substitute for a lookout and an anchor watch. Not for navigation.".to_owned(),
    );
    lines
}

/// A channel to phones, and how it does.
pub(super) fn phone_lines(width: usize, health: &Health, now: Timestamp) -> Vec<String> {
    let state = match health.state {
        HealthState::Untried => "not tried yet".to_owned(),
        HealthState::Working => "works".to_owned(),
        HealthState::Failing => "FAILS".to_owned(),
        HealthState::Refused => "REFUSED".to_owned(),
    };
    let worked = health.worked.map_or(String::new(), |worked| {
        format!(", last worked {} ago", ago(now, worked))
    });
    let waiting = match health.waiting {
        0 => String::new(),
        1 => ", 1 message waits".to_owned(),
        more => format!(", {more} messages wait"),
    };
    let trouble = health
        .trouble
        .as_ref()
        .map_or(String::new(), |why| format!(": {why}"));
    let text = format!("`{}` {state}{worked}{waiting}{trouble}", health.channel);
    wrapped_within(width, &format!("{:<10}", "phone"), &" ".repeat(10), &text)
}

pub(super) fn headline(report: &StatusReport) -> String {
    let phase = report.picture.word().to_uppercase();
    let since = report.picture.phase_since.map_or(String::new(), |since| {
        format!(
            " since {} ({})",
            report.clock.clock(since),
            ago(report.time, since)
        )
    });
    let left = format!("{phase}{since}");
    let (day, time) = report.clock.day_and_time(report.time);
    let right = format!("{day} {time}");
    let gap = WIDTH.saturating_sub(left.chars().count() + right.chars().count());
    format!("{left}{}{right}", " ".repeat(gap.max(1)))
}

/// How far it is dealt with, behind its priority.
pub(super) fn state_words(alert: &AlertView) -> &'static str {
    match alert.state {
        AlertState::ActiveUnacknowledged => ", not acknowledged",
        AlertState::ActiveSilenced => ", silenced, not acknowledged",
        AlertState::ActiveAcknowledged if alert.priority == Priority::Caution => "",
        AlertState::ActiveAcknowledged => ", acknowledged",
        AlertState::RectifiedUnacknowledged => ", cleared, not acknowledged",
        AlertState::Normal => ", cleared",
    }
}

fn alert_lines(alert: &AlertView, clock: &ShipClock, colour: bool) -> Vec<String> {
    let priority = alert.priority.capitals();
    let state = state_words(alert);
    let head = format!("{priority}{state}, since {}", clock.clock(alert.since));
    let mut lines = vec![if colour && alert.state.sounds() {
        format!("\x1b[1;7m{head}\x1b[0m")
    } else {
        head
    }];
    lines.extend(wrapped("  ", &alert.message));
    if matches!(
        alert.state,
        AlertState::ActiveUnacknowledged
            | AlertState::ActiveSilenced
            | AlertState::RectifiedUnacknowledged
    ) && alert.priority != Priority::Caution
    {
        lines.push(format!(
            "  when you have seen it: `windrode acknowledge {}`",
            alert.hazard
        ));
    }
    lines
}

pub(super) fn rows(p: &WatchState, say: &Wording) -> Vec<(&'static str, String)> {
    let mut rows = Vec::new();
    let mark = if p.is_moored() { "mooring" } else { "anchor" };
    if let Some((bearing, distance)) = p.anchor_bearing.zip(p.anchor_distance) {
        rows.push((
            mark,
            format!(
                "bears {bearing} at {} from the {}{}",
                say.length(distance),
                p.measured_from.words(),
                state::ago(p.fix_ago)
            ),
        ));
    }
    if let Some(anchor) = p.anchor {
        let depth = p
            .depth_at_anchor
            .filter(|_| !p.is_moored())
            .map_or(String::new(), |d| format!(", let go in {}", say.length(d)));
        let name = if rows.is_empty() { mark } else { "" };
        rows.push((name, format!("{anchor}{depth}")));
    }
    if let Some(reach) = p.reach.filter(|_| !p.is_moored()) {
        let rode = p.rode_out.map_or("rode not entered".to_owned(), |r| {
            format!("{} of rode out", say.length(r))
        });
        let by = match (p.water_depth, p.depth_ago) {
            (None, _) => " by the depth when it was let go".to_owned(),
            (Some(_), age) => state::ago(age),
        };
        let scope = p
            .scope
            .map_or(String::new(), |s| format!(", scope {s:.1}:1{by}"));
        rows.push(("reach", format!("{} ({rode}{scope})", say.length(reach))));
    }
    if let Some(snubber) = p.snubber {
        rows.push((
            "snubber",
            format!(
                "on at {} of rode, {} long: she lies to {}",
                say.length(snubber.at),
                say.length(snubber.length),
                say.length(snubber.drawn())
            ),
        ));
    }
    if let Some(circle) = p.max_radius {
        let now = p.current_radius.map_or(String::new(), |r| {
            let was = if p.fix_ago.is_some() { "was " } else { "" };
            format!(
                "; boat {was}{} from it{}",
                say.length(r),
                state::ago(p.fix_ago)
            )
        });
        rows.push((
            "circle",
            format!("{} about the {mark}{now}", say.length(circle)),
        ));
    }
    if let Some((probability, moved)) = p.drag_probability.zip(p.anchor_moved) {
        rows.push((
            "dragging",
            format!(
                "{} likely, {}{}",
                // Certain nobody is.
                if probability > 0.99 {
                    "more than 99 %".to_owned()
                } else {
                    format!("{:.0} %", probability * 100.0)
                },
                if moved.get() < 0.5 {
                    "within reach".to_owned()
                } else {
                    format!("{} beyond the reach", say.whole(moved))
                },
                state::ago(p.fix_ago)
            ),
        ));
    }
    if let Some(pull) = &p.pull_test {
        rows.push(("pull test", format!("{}: {}", pull.verdict, pull.why)));
    }
    rows.extend(other_rows(p, say));
    rows
}

/// Wind, depth, berth and the fix itself.
fn other_rows(p: &WatchState, say: &Wording) -> Vec<(&'static str, String)> {
    let mut rows = Vec::new();
    if let Some((from, speed)) = p.wind_direction.zip(p.wind_speed) {
        let shift = p.wind_shift.map_or(String::new(), |shift| {
            let way = if shift.get() >= 0.0 {
                "veered"
            } else {
                "backed"
            };
            format!(", {way} {} since set", shift.abs())
        });
        let gust = p
            .wind_gust
            .filter(|gust| gust.get() >= speed.get() + 1.0)
            .map_or(String::new(), |gust| format!(", gusts to {gust}"));
        rows.push((
            "wind",
            format!("{from} {speed}{gust}{shift}{}", state::ago(p.wind_ago)),
        ));
    }
    if let Some(depth) = p.water_depth {
        rows.push((
            "depth",
            format!("{} of water{}", say.length(depth), state::ago(p.depth_ago)),
        ));
    }
    if let Some((bearing, distance)) = p.berth_bearing.zip(p.berth_distance) {
        let time = p
            .berth_time
            .and_then(|seconds| Duration::try_from_secs_f64(seconds).ok())
            .map_or(String::new(), |time| format!(", {} away", spoken(time)));
        let ago = state::ago(p.fix_ago);
        rows.push((
            "berth",
            if p.phase == AnchorPhase::Aweigh {
                format!("bears {bearing} at {}{time}{ago}", say.length(distance))
            } else {
                format!(
                    "{} from where the anchor lies, bearing {bearing} from it",
                    say.length(distance)
                )
            },
        ));
    }
    if let Some(planned) = p
        .planned
        .as_ref()
        .filter(|_| p.phase == AnchorPhase::Aweigh)
    {
        rows.push(("plan", planned.words(say)));
    }
    if let Some(room) = &p.room {
        rows.push(("room", room_words(room, p.room_least, say)));
    }
    if p.phase == AnchorPhase::Aweigh
        && let Some(course) = p.head_to_wind_course
    {
        let line = p.berth_cross_track.map_or(String::new(), |off| {
            let side = if off.get() < 0.0 { "port" } else { "starboard" };
            let off = say.length(Metres::of(off.get().abs()));
            format!(", {off} to {side} of the line to the berth")
        });
        let ago = state::ago(p.wind_ago);
        rows.push(("approach", format!("head to wind is {course}{ago}{line}")));
    }
    if let Some((carries, by)) = p.overshoot.zip(p.way_by.as_ref()) {
        let carries = say.length(carries);
        rows.push((
            "way",
            format!(
                "carries {carries} with the engine stopped, {by}; turn up as far beyond the berth"
            ),
        ));
    }
    rows.extend(p.approach_advice.clone().map(|advice| ("", advice)));
    rows.push((
        "fix",
        if let Some((doubt, source)) = p.fix_uncertainty.zip(p.position_source.as_ref()) {
            format!("good to {} (95 %), from `{source}`", say.whole(doubt))
        } else {
            let last = state::ago(p.fix_ago).replacen(", ", "; the last was ", 1);
            format!("NO FIX: drag cannot be detected{last}")
        },
    ));
    rows
}

fn ago(now: Timestamp, then: Timestamp) -> String {
    let millis = now.millis_since(then).max(0).unsigned_abs();
    spoken(Duration::from_millis(millis))
}

/// Breaks a sentence at spaces, the first line led by `lead`, the others indented alike.
fn wrapped(lead: &str, text: &str) -> Vec<String> {
    wrapped_to(lead, &" ".repeat(lead.chars().count()), text)
}

/// Breaks a sentence at spaces so that each line fits the screen.
#[must_use]
pub fn wrapped_to(lead: &str, indent: &str, text: &str) -> Vec<String> {
    wrapped_within(WIDTH, lead, indent, text)
}

/// The same within so many columns.
pub(super) fn wrapped_within(width: usize, lead: &str, indent: &str, text: &str) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = lead.to_owned();
    let mut started = false;
    for word in text.split(' ') {
        if started && line.chars().count() + 1 + word.chars().count() > width {
            lines.push(std::mem::replace(&mut line, indent.to_owned()));
        } else if started {
            line.push(' ');
        }
        line.push_str(word);
        started = true;
    }
    lines.push(line);
    lines
}

pub(super) const WIDTH: usize = 80;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::alert::hazard::Hazard;
    use crate::chart::clearance::RoomTold;
    use crate::geodesy::Position;
    use crate::units::{Bearing, LengthUnit, Metres, Speed};
    use crate::watch::anchorage::kind::MooringKind;
    use crate::watch::state::MeasuredFrom;

    fn report() -> StatusReport {
        let time: Timestamp = "2026-06-02T00:19:30Z".parse().unwrap();
        StatusReport {
            time,
            clock: ShipClock::default(),
            lengths: LengthUnit::Metres,
            version: "0.1.0".to_owned(),
            link: "not connected: the server at ws://127.0.0.1:3000 refused the connection; is it running?".to_owned(),
            journal: None,
            phones: vec![Health {
                channel: "skipper".to_owned(),
                state: HealthState::Failing,
                worked: Some(time.minus(Duration::from_secs(600))),
                trouble: Some("no answer in time".to_owned()),
                waiting: 1,
            }],
            alerts: vec![AlertView {
                hazard: Hazard::Dragging,
                priority: Priority::Alarm,
                state: AlertState::ActiveUnacknowledged,
                message: "dragging: the anchor has moved 14 m or more; the mark bears 045° at 53 m, the rode reaches 39 m; look outside, start the engine".to_owned(),
                since: time.minus(Duration::from_secs(40)),
                raise: 1,
                escalation: 0,
                escalated: false,
            }],
            picture: WatchState {
                phase: AnchorPhase::Dragging,
                phase_since: Some(time.minus(Duration::from_secs(40))),
                anchor: Position::new(59.8539, 23.26).ok(),
                anchor_bearing: Some(Bearing::from_degrees(45.0)),
                anchor_distance: Some(Metres::of(53.0)),
                reach: Some(Metres::of(39.0)),
                rode_out: Some(Metres::of(40.0)),
                wind_direction: Some(Bearing::from_degrees(45.0)),
                wind_speed: Some(Speed::from_knots(18.0)),
                ..WatchState::default()
            },
        }
    }

    #[test]
    fn on_a_mooring_nothing_is_set_let_go_or_reached() {
        let mut report = report();
        report.picture.kind = Some(MooringKind::Mooring);
        report.picture.phase = AnchorPhase::Set;
        report.picture.anchor = Some(Position::new(59.8539, 23.26).unwrap());
        report.picture.depth_at_anchor = Some(Metres::of(6.5));
        report.picture.reach = Some(Metres::of(9.0));
        report.picture.rode_out = None;
        let screen = screen(&report, false).join("\n");
        assert!(screen.starts_with("MOORED "), "{screen}");
        assert!(screen.contains("\nmooring   "), "{screen}");
        for wrong in ["let go in", "reach  ", "SET", "anchor  "] {
            assert!(!screen.contains(wrong), "{wrong}: {screen}");
        }
    }

    #[test]
    fn the_screen_fits_80_columns_and_the_alert_stands_on_top() {
        let lines = screen(&report(), false);
        for line in &lines {
            assert!(line.chars().count() <= 80, "{line}");
        }
        assert_eq!(
            lines[0],
            "DRAGGING since 00:18 UTC (40 s)                          2026-06-02 00:19:30 UTC"
        );
        assert_eq!(lines[1], "ALARM, not acknowledged, since 00:18 UTC");
        assert!(
            lines
                .iter()
                .any(|l| l == "  when you have seen it: `windrode acknowledge dragging`")
        );
        assert!(lines.iter().any(|l| l.starts_with("fix       NO FIX")));
        let phone = "phone     `skipper` FAILS, last worked 10 min ago, 1 message waits: no answer";
        assert!(lines.iter().any(|l| l.starts_with(phone)), "{lines:#?}");
    }

    /// Forty-eight seconds after the last word of the server.
    #[test]
    fn what_rests_on_an_old_value_says_its_age() {
        let mut old = report();
        old.picture.fix_ago = Some(48.0);
        old.picture.wind_ago = Some(40.0);
        old.picture.current_radius = Some(Metres::of(58.0));
        old.picture.max_radius = Some(Metres::of(55.0));
        old.picture.drag_probability = Some(0.0);
        old.picture.anchor_moved = Some(Metres::ZERO);
        old.picture.position_source = Some("boat.1".to_owned());
        let said = screen(&old, false).join("\n");
        for wanted in [
            "anchor    bears 045° at 53 m from the bow roller, 48 s ago",
            "boat was 58 m from it, 48 s ago",
            "0 % likely, within reach, 48 s ago",
            "045° 18 kn, 40 s ago",
            "fix       NO FIX: drag cannot be detected; the last was 48 s ago",
        ] {
            assert!(said.contains(wanted), "{wanted}\n{said}");
        }
        assert!(!said.contains("good to"), "{said}");
    }

    #[test]
    fn every_length_is_in_the_crew_s_unit() {
        let mut feet = report();
        feet.lengths = LengthUnit::Feet;
        feet.alerts.clear();
        feet.picture.depth_at_anchor = Some(Metres::of(7.0));
        feet.picture.max_radius = Some(Metres::of(55.0));
        feet.picture.current_radius = Some(Metres::of(58.0));
        feet.picture.anchor_moved = Some(Metres::of(14.0));
        feet.picture.drag_probability = Some(0.5);
        feet.picture.water_depth = Some(Metres::of(7.2));
        feet.picture.fix_uncertainty = Some(Metres::of(5.0));
        feet.picture.position_source = Some("boat.1".to_owned());
        feet.picture.berth_bearing = Some(Bearing::from_degrees(45.0));
        feet.picture.berth_distance = Some(Metres::of(93.0));
        feet.picture.room_least = Some(Metres::of(4.2));
        feet.picture.room = Some(RoomTold {
            clears: true,
            ..RoomTold::default()
        });
        let said = screen(&feet, false).join("\n");
        for wanted in [
            "at 174 ft from",
            "let go in 23 ft",
            "128 ft (131 ft of rode",
            "180 ft about",
            "boat 190 ft from it",
            "46 ft beyond",
            "24 ft of water",
            "good to 16 ft",
            "305 ft from where the anchor lies",
            "least depth 14.0 ft at low water",
        ] {
            assert!(said.contains(wanted), "{wanted}\n{said}");
        }
        assert!(!said.contains(" m "), "{said}");
        assert!(!said.contains(" m\n"), "{said}");
    }

    #[test]
    fn without_a_heading_the_distance_is_the_antenna_s() {
        let mut blunt = report();
        blunt.picture.measured_from = MeasuredFrom::Antenna;
        let said = screen(&blunt, false).join("\n");
        assert!(said.contains("at 53 m from the GPS antenna"), "{said}");
    }

    #[test]
    fn what_sounds_is_marked_on_a_terminal() {
        assert!(screen(&report(), true)[1].starts_with("\x1b[1;7mALARM"));
    }
}
