//! One screen that says how she lies, read from the top: phase, alerts, anchor, circle, wind.

use std::time::Duration;

use crate::alert::hazard::{AlertState, AlertView, Priority};
use crate::daemon::StatusReport;
use crate::outbox::words::{Health, HealthState};
use crate::time::{ShipClock, Timestamp};
use crate::units::{Metres, spoken};
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::state::WatchState;

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
    for (name, text) in rows(picture) {
        lines.extend(row(name, &text));
    }
    for quiet in &picture.lost {
        lines.extend(row(quiet.instrument.label(), &quiet.words(report.time)));
    }
    lines.extend(row("server", &report.link));
    if let Some(journal) = &report.journal {
        lines.extend(row("journal", journal));
    }
    for health in &report.phones {
        lines.extend(phone_lines(health, report.time));
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
fn phone_lines(health: &Health, now: Timestamp) -> Vec<String> {
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
    wrapped(&format!("{:<10}", "phone"), &text)
}

fn headline(report: &StatusReport) -> String {
    let phase = report.picture.phase.name().to_uppercase();
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

fn alert_lines(alert: &AlertView, clock: &ShipClock, colour: bool) -> Vec<String> {
    let priority = alert.priority.capitals();
    let state = match alert.state {
        AlertState::ActiveUnacknowledged => ", not acknowledged",
        AlertState::ActiveSilenced => ", silenced, not acknowledged",
        AlertState::ActiveAcknowledged if alert.priority == Priority::Caution => "",
        AlertState::ActiveAcknowledged => ", acknowledged",
        AlertState::RectifiedUnacknowledged => ", over, not acknowledged",
        AlertState::Normal => ", over",
    };
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
            "  `windrode acknowledge {}` when somebody sees to it",
            alert.hazard
        ));
    }
    lines
}

fn rows(p: &WatchState) -> Vec<(&'static str, String)> {
    let mut rows = Vec::new();
    if let Some((bearing, distance)) = p.anchor_bearing.zip(p.anchor_distance) {
        rows.push((
            "anchor",
            format!("bears {bearing} at {distance} from the bow roller"),
        ));
    }
    if let Some(anchor) = p.anchor {
        let depth = p
            .depth_at_anchor
            .map_or(String::new(), |d| format!(", let go in {d}"));
        let name = if rows.is_empty() { "anchor" } else { "" };
        rows.push((name, format!("{anchor}{depth}")));
    }
    if let Some(reach) = p.reach {
        let rode = p
            .rode_out
            .map_or("rode not said".to_owned(), |r| format!("{r} of rode out"));
        let scope = p
            .scope
            .map_or(String::new(), |s| format!(", scope {s:.1}:1"));
        rows.push(("reach", format!("{reach} ({rode}{scope})")));
    }
    if let Some(circle) = p.max_radius {
        let now = p
            .current_radius
            .map_or(String::new(), |r| format!("; her centre is at {r}"));
        rows.push(("circle", format!("{circle} about the anchor{now}")));
    }
    if let Some((probability, moved)) = p.drag_probability.zip(p.anchor_moved) {
        rows.push((
            "dragging",
            format!(
                "{} likely, {} beyond the reach",
                // Certain nobody is.
                if probability > 0.99 {
                    "more than 99 %".to_owned()
                } else {
                    format!("{:.0} %", probability * 100.0)
                },
                in_metres(moved)
            ),
        ));
    }
    if let Some(pull) = &p.pull_test {
        rows.push(("pull test", format!("{}: {}", pull.verdict, pull.why)));
    }
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
        rows.push(("wind", format!("{from} {speed}{gust}{shift}")));
    }
    if let Some(depth) = p.water_depth {
        rows.push(("depth", format!("{depth} of water")));
    }
    if let Some((bearing, distance)) = p.berth_bearing.zip(p.berth_distance) {
        let time = p
            .berth_time
            .and_then(|seconds| Duration::try_from_secs_f64(seconds).ok())
            .map_or(String::new(), |time| format!(", {} away", spoken(time)));
        rows.push(("berth", format!("bears {bearing} at {distance}{time}")));
    }
    if p.phase == AnchorPhase::Aweigh
        && let Some(course) = p.head_to_wind_course
    {
        rows.push(("approach", format!("head to wind is {course}")));
    }
    rows.push((
        "fix",
        match (p.fix_uncertainty, &p.position_source) {
            (Some(doubt), Some(source)) => {
                format!("good to {} (95 %), from `{source}`", in_metres(doubt))
            }
            _ => "NONE: the watch cannot see".to_owned(),
        },
    ));
    rows
}

fn in_metres(m: Metres) -> String {
    format!("{:.0} m", m.get())
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
    let mut lines = Vec::new();
    let mut line = lead.to_owned();
    let mut started = false;
    for word in text.split(' ') {
        if started && line.chars().count() + 1 + word.chars().count() > WIDTH {
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

const WIDTH: usize = 80;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::alert::hazard::Hazard;
    use crate::geodesy::Position;
    use crate::units::{Bearing, Speed};

    fn report() -> StatusReport {
        let time: Timestamp = "2026-06-02T00:19:30Z".parse().unwrap();
        StatusReport {
            time,
            clock: ShipClock::default(),
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
                .any(|l| l == "  `windrode acknowledge dragging` when somebody sees to it")
        );
        assert!(lines.iter().any(|l| l.starts_with("fix       NONE")));
        let phone = "phone     `skipper` FAILS, last worked 10 min ago, 1 message waits: no answer";
        assert!(lines.iter().any(|l| l.starts_with(phone)), "{lines:#?}");
    }

    #[test]
    fn what_sounds_is_marked_on_a_terminal() {
        assert!(screen(&report(), true)[1].starts_with("\x1b[1;7mALARM"));
    }
}
