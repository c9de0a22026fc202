//! A single screen that shows how she lies, read from the top: phase, alerts, anchor, circle, wind.

use std::time::Duration;

use crate::alert::hazard::{AlertState, AlertView, Priority};
use crate::daemon::StatusReport;
use crate::outbox::words::{Health, HealthState};
use crate::speech::alerts::Turned;
use crate::speech::status::{Row, Status};
use crate::speech::{Ratio, Round, Sentence, Whole, pieces};
use crate::time::Timestamp;
use crate::units::Metres;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::charted::telling::told_of;
use crate::watch::state::{MeasuredFrom, WatchState, age};

/// The screen, 80 columns, as lines. `colour` highlights sounding alerts.
#[must_use]
pub fn screen(report: &StatusReport, colour: bool) -> Vec<String> {
    let say = &report.wording();
    let mut lines = vec![headline(report)];
    if report.alerts.is_empty() {
        lines.push(Status::NoAlerts.words(say));
    }
    for alert in &report.alerts {
        lines.extend(alert_lines(alert, report, colour));
    }
    lines.push(String::new());
    for (name, text) in rows(report) {
        lines.extend(wrapped_to(&lead(&name), &lead(""), &text));
    }
    let remarks = &report.picture.remarks;
    if !remarks.is_empty() {
        lines.push(String::new());
        for remark in remarks {
            lines.extend(wrapped("- ", remark));
        }
    }
    lines.push(String::new());
    lines.push(Status::Caution.words(say));
    lines
}

/// A row's name, padded to the margin.
pub(super) fn lead(name: &str) -> String {
    format!("{name:<10}")
}

/// A channel to phones, and its state.
fn phone(health: &Health, now: Timestamp) -> Status {
    Status::Phone {
        channel: health.channel.clone(),
        state: match health.state {
            HealthState::Untried => "untried",
            HealthState::Working => "working",
            HealthState::Failing => "failing",
            HealthState::Refused => "refused",
        },
        worked: health.worked.map(|worked| since(now, worked)),
        waiting: health.waiting as u64,
        trouble: health.trouble.is_some(),
    }
}

pub(super) fn headline(report: &StatusReport) -> String {
    let say = &report.wording();
    let begun = report.picture.phase_since;
    let left = Status::Headline {
        phase: report.picture.word().words(say).to_uppercase(),
        since: begun.map(|begun| report.clock.clock(begun)),
        ago: begun.map_or(Duration::ZERO, |begun| since(report.time, begun)),
    };
    let left = left.words(say);
    let (day, time) = report.clock.day_and_time(report.time);
    let right = format!("{day} {time}");
    let gap = WIDTH.saturating_sub(left.chars().count() + right.chars().count());
    format!("{left}{}{right}", " ".repeat(gap.max(1)))
}

/// Priority, how far it has been dealt with, and since when.
pub(super) fn alert_head(alert: &AlertView, report: &StatusReport) -> String {
    let say = &report.wording();
    let head = Status::Alert {
        priority: alert.priority.capitals(say),
        state: alert.shown(),
        since: report.clock.clock(alert.since),
    };
    head.words(say)
}

fn alert_lines(alert: &AlertView, report: &StatusReport, colour: bool) -> Vec<String> {
    let head = alert_head(alert, report);
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
        let hazard = alert.hazard.name();
        let seen = Status::WhenSeen { hazard }.words(&report.wording());
        lines.push(format!("  {seen}"));
    }
    lines
}

/// The name and the words of each row.
pub(super) fn rows(report: &StatusReport) -> Vec<(String, String)> {
    let say = &report.wording();
    let p = &report.picture;
    let mut rows: Vec<(Sentence, Sentence)> = Vec::new();
    rows.extend(mark_rows(p));
    rows.extend(anchor_rows(p).into_iter().map(told));
    rows.extend(other_rows(p).into_iter().map(told));
    let advice = p.approach_advice.iter().map(Sentence::verbatim);
    rows.extend(advice.map(|advice| (Sentence::verbatim(""), advice)));
    rows.push(told(fix_row(p)));
    for quiet in &p.lost {
        rows.push((quiet.instrument.label(), quiet.told(report.time).into()));
    }
    for her in &p.neighbours {
        let words = format!("{} {}", her.name, her.told().words(say));
        rows.push((Row::Vessel.into(), Sentence::verbatim(words)));
    }
    rows.push((Row::Server.into(), Sentence::verbatim(&report.server)));
    if let Some(journal) = &report.journal {
        rows.push((Row::Journal.into(), Sentence::verbatim(journal)));
    }
    for health in &report.phones {
        rows.push(told((Row::Phone, phone(health, report.time))));
    }
    let words = |(name, text): (Sentence, Sentence)| (name.words(say), text.words(say));
    rows.into_iter().map(words).collect()
}

fn told((row, status): (Row, Status)) -> (Sentence, Sentence) {
    (row.into(), status.into())
}

/// The position of the anchor or mooring: seen from her, and on the chart.
fn mark_rows(p: &WatchState) -> Vec<(Sentence, Sentence)> {
    let mooring = p.is_moored();
    let mark = Sentence::from(if mooring { Row::Mooring } else { Row::Anchor });
    let bears = p.anchor_bearing.zip(p.anchor_distance);
    let bears = bears.map(|(bearing, distance)| Status::AnchorBears {
        bearing,
        distance,
        antenna: p.measured_from == MeasuredFrom::Antenna,
        ago: age(p.fix_ago),
    });
    let at = p.anchor.map(|position| Status::AnchorAt {
        position,
        depth: p.depth_at_anchor.filter(|_| !mooring),
    });
    let names = [mark, Sentence::verbatim("")];
    let told = bears.into_iter().chain(at).map(Into::into);
    names.into_iter().zip(told).collect()
}

fn anchor_rows(p: &WatchState) -> Vec<(Row, Status)> {
    let mut rows = Vec::new();
    let mooring = p.is_moored();
    let ago = age(p.fix_ago);
    if let Some(reach) = p.reach.filter(|_| !mooring) {
        let reach = Status::Reach {
            reach,
            rode: p.rode_out,
            scope: p.scope.map(Ratio),
            let_go: p.water_depth.is_none(),
            ago: age(p.depth_ago),
        };
        rows.push((Row::Reach, reach));
    }
    if let Some(snubber) = p.snubber {
        let (at, length, drawn) = (snubber.at, snubber.length, snubber.drawn());
        rows.push((Row::Snubber, Status::Snubber { at, length, drawn }));
    }
    if let Some(circle) = p.max_radius {
        let circle = Status::Circle {
            circle,
            mooring,
            radius: p.current_radius,
            ago,
        };
        rows.push((Row::Circle, circle));
    }
    if let Some((probability, moved)) = p.drag_probability.zip(p.anchor_moved) {
        let drag = Status::Drag {
            // Nothing is known for certain.
            percent: (probability <= 0.99).then_some(Round(probability * 100.0)),
            beyond: (moved.get() >= 0.5).then_some(Whole(moved)),
            ago,
        };
        rows.push((Row::Dragging, drag));
    }
    if let Some(pull) = &p.pull_test {
        let pull = Status::PullTest {
            verdict: pull.verdict.word(),
            why: pull.why.clone(),
        };
        rows.push((Row::PullTest, pull));
    }
    rows
}

/// Wind, depth and berth.
fn other_rows(p: &WatchState) -> Vec<(Row, Status)> {
    let mut rows = Vec::new();
    let fix_ago = age(p.fix_ago);
    if let Some((from, speed)) = p.wind_direction.zip(p.wind_speed) {
        let wind = Status::Wind {
            from,
            speed,
            gust: p.wind_gust.filter(|gust| gust.get() >= speed.get() + 1.0),
            shift: p.wind_shift.map(Turned::by),
            ago: age(p.wind_ago),
        };
        rows.push((Row::Wind, wind));
    }
    if let Some(depth) = p.water_depth {
        let ago = age(p.depth_ago);
        rows.push((Row::Depth, Status::Depth { depth, ago }));
    }
    if let Some((bearing, distance)) = p.berth_bearing.zip(p.berth_distance) {
        let berth = if p.phase == AnchorPhase::Aweigh {
            Status::Berth {
                bearing,
                distance,
                time: age(p.berth_time),
                ago: fix_ago,
            }
        } else {
            Status::BerthFromAnchor { bearing, distance }
        };
        rows.push((Row::Berth, berth));
    }
    let aweigh = p.phase == AnchorPhase::Aweigh;
    if let Some(planned) = p.planned.as_ref().filter(|_| aweigh) {
        let told = planned.told();
        rows.push((Row::Plan, Status::Chart { told }));
    }
    if let Some(room) = &p.room {
        let told = told_of(room, p.room_least).into();
        rows.push((Row::Room, Status::Chart { told }));
    }
    if let Some(course) = p.head_to_wind_course.filter(|_| aweigh) {
        let off = p.berth_cross_track;
        let approach = Status::Approach {
            course,
            ago: age(p.wind_ago),
            off: off.map(|off| Metres::of(off.get().abs())),
            port: off.is_some_and(|off| off.get() < 0.0),
        };
        rows.push((Row::Approach, approach));
    }
    if let Some((carries, by)) = p.overshoot.zip(p.way_by.clone()) {
        rows.push((Row::Way, Status::Way { carries, by }));
    }
    rows
}

fn fix_row(p: &WatchState) -> (Row, Status) {
    let fix = match p.fix_uncertainty.zip(p.position_source.clone()) {
        Some((doubt, source)) => Status::Fix {
            doubt: Whole(doubt),
            source,
        },
        None => Status::NoFix {
            ago: age(p.fix_ago),
        },
    };
    (Row::Fix, fix)
}

fn since(now: Timestamp, then: Timestamp) -> Duration {
    Duration::from_millis(now.millis_since(then).max(0).unsigned_abs())
}

/// Breaks a sentence at spaces, with `lead` before the first line and the others indented equally.
fn wrapped(lead: &str, text: &str) -> Vec<String> {
    wrapped_to(lead, &" ".repeat(lead.chars().count()), text)
}

/// Breaks a sentence at spaces so that each line fits the screen.
#[must_use]
pub fn wrapped_to(lead: &str, indent: &str, text: &str) -> Vec<String> {
    wrapped_within(WIDTH, lead, indent, text)
}

/// The same for this many columns.
pub(super) fn wrapped_within(width: usize, lead: &str, indent: &str, text: &str) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = lead.to_owned();
    let mut started = false;
    for word in pieces(text) {
        if started && line.chars().count() + 1 + word.chars().count() > width {
            lines.push(std::mem::replace(&mut line, indent.to_owned()));
        } else if started {
            line.push(' ');
        }
        line.push_str(&word);
        started = true;
    }
    lines.push(line);
    lines
}

pub(super) const WIDTH: usize = 80;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::clearance::RoomTold;
    use crate::geodesy::Position;
    use crate::speech::Language;
    use crate::speech::faults::{Link, LinkFault};
    use crate::units::{Bearing, LengthUnit, Speed};
    use crate::watch::anchorage::kind::MooringKind;

    fn report() -> StatusReport {
        let time: Timestamp = "2026-06-02T00:19:30Z".parse().unwrap();
        StatusReport {
            time,
            clock: crate::time::ShipClock::default(),
            lengths: LengthUnit::Metres,
            language: Language::default(),
            version: "0.1.0".to_owned(),
            link: "down: Signal K server not answering".to_owned(),
            server: "down: Signal K server not answering".to_owned(),
            journal: None,
            phones: vec![Health {
                channel: "skipper".to_owned(),
                state: HealthState::Failing,
                worked: Some(time.minus(Duration::from_secs(600))),
                trouble: Some("no answer in time".to_owned()),
                waiting: 1,
            }],
            alerts: vec![AlertView::drag(
                time.minus(Duration::from_secs(40)),
                "dragging: the anchor has moved 14 m or more; the mark bears 045° at 53 m, the rode reaches 39 m; look outside, start the engine",
            )],
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

    /// The figures are invented.
    #[test]
    fn the_screen_in_every_language() {
        let mut report = report();
        report.picture.current_radius = Some(Metres::of(48.0));
        report.picture.max_radius = Some(Metres::of(45.0));
        report.picture.drag_probability = Some(0.995);
        report.picture.anchor_moved = Some(Metres::of(14.0));
        report.picture.fix_ago = Some(48.0);
        report.picture.scope = Some(4.44);
        report.picture.water_depth = Some(Metres::of(6.5));
        report.picture.wind_gust = Some(Speed::from_knots(24.0));
        report.picture.wind_shift = Some(crate::units::Angle::from_degrees(-75.0));
        let dragging = crate::speech::tests::examples::at_anchor().swap_remove(1);
        let screens = Language::ALL.map(|language| {
            report.language = language;
            let why = LinkFault::NotAnswering.into();
            report.server = Link::Down { why }.words(&report.wording());
            report.alerts[0].message = dragging.words(&report.wording());
            let lines = screen(&report, false);
            for line in &lines {
                assert!(line.chars().count() <= WIDTH, "{language:?}: {line}");
            }
            let named = rows(&report).into_iter().map(|(name, _)| name);
            for name in named {
                assert!(name.chars().count() < 10, "{language:?}: {name}");
            }
            lines.join("\n")
        });
        insta::assert_snapshot!(screens.join("\n\n"));
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
        let phone = "phone     `skipper` FAILS, last worked 10 min ago, 1 message waits;";
        assert!(lines.iter().any(|l| l.starts_with(phone)), "{lines:#?}");
    }

    /// Forty-eight seconds after the server's last message.
    #[test]
    fn values_based_on_an_old_report_show_their_age() {
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
    fn sounding_alerts_are_highlighted_on_a_terminal() {
        assert!(screen(&report(), true)[1].starts_with("\x1b[1;7mALARM"));
    }
}
