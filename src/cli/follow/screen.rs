//! The live screen: state in, characters out. Red on black, to keep night vision; without colour if
//! `NO_COLOR` is set. Sounding alerts are inverse, so their priority does not depend on colour.
//!
//! From the top: phase and time; the most serious alert in full and the others in one line each; how she
//! lies, beside the values; at the bottom the caution, the keys and the last answer.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::{Color, Modifier, Style};
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::super::status::{self, wrapped_within};
use super::swing::swing;
use crate::alert::hazard::AlertView;
use crate::daemon::StatusReport;
use crate::speech::Wording;
use crate::speech::status::{Screen as Said, Status};

/// The content of the screen.
#[derive(Clone, Debug)]
pub(super) struct Scene {
    now: Now,
    /// The daemon's answer to the last key.
    answer: Option<String>,
}

/// What is known about the present.
#[derive(Clone, Debug)]
enum Now {
    /// The daemon's report.
    Live(Box<StatusReport>),
    /// The daemon does not answer; `since` is the time of day when that began.
    Lost { since: String, say: Wording },
}

/// The colours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ink {
    /// Red on black.
    Night,
    /// The terminal's own colours.
    Plain,
}

impl Ink {
    fn text(self) -> Style {
        match self {
            Self::Night => Style::new().fg(Color::Red).bg(Color::Black),
            Self::Plain => Style::new(),
        }
    }
}

impl Scene {
    pub(super) fn of(report: StatusReport) -> Self {
        Self {
            now: Now::Live(Box::new(report)),
            answer: None,
        }
    }

    /// The daemon has answered.
    pub(super) fn show(&mut self, report: StatusReport) {
        self.now = Now::Live(Box::new(report));
    }

    /// The daemon has not answered. None of its earlier figures are shown any more.
    pub(super) fn lost(&mut self) {
        let (since, say) = match &self.now {
            Now::Live(report) => {
                self.answer = None;
                (report.clock.clock(report.time), report.wording())
            }
            Now::Lost { since, say } => (since.clone(), say.clone()),
        };
        self.now = Now::Lost { since, say };
    }

    /// The text for an order that the daemon did not answer.
    pub(super) fn not_taken(&self) -> String {
        let say = match &self.now {
            Now::Live(report) => report.wording(),
            Now::Lost { say, .. } => say.clone(),
        };
        Said::IsItRunning.words(&say)
    }

    /// The daemon has answered an order, or not. The line stays, so it shows the time of the answer.
    pub(super) fn answered(&mut self, said: String) {
        self.answer = Some(match &self.now {
            Now::Live(report) => format!("{} {said}", report.clock.clock(report.time)),
            Now::Lost { .. } => said,
        });
    }
}

/// Draws the screen.
pub(super) fn draw(frame: &mut Frame<'_>, scene: &Scene, ink: Ink) {
    let area = frame.area();
    frame.render_widget(Paragraph::new("").style(ink.text()), area);
    let mut page = Page {
        frame,
        ink,
        area,
        next: area.y,
    };
    match &scene.now {
        Now::Live(report) => {
            page.live(report);
            page.foot(scene.answer.as_deref(), &report.wording());
        }
        Now::Lost { since, say } => {
            page.lost(since.clone(), say);
            page.foot(scene.answer.as_deref(), say);
        }
    }
}

struct Page<'a, 'b> {
    frame: &'a mut Frame<'b>,
    ink: Ink,
    area: Rect,
    /// The first free line.
    next: u16,
}

impl Page<'_, '_> {
    fn live(&mut self, report: &StatusReport) {
        self.put(&status::headline(report), Modifier::BOLD);
        if report.alerts.is_empty() {
            self.put(
                &Status::NoAlerts.words(&report.wording()),
                Modifier::empty(),
            );
        }
        for (place, alert) in report.alerts.iter().enumerate() {
            self.alert(alert, report, place == 0);
        }
        self.next += 1;
        let left = Rect {
            x: self.area.x,
            y: self.next,
            width: (self.area.width * 2 / 5).min(40),
            height: self.room(),
        };
        self.swing(report, left);
        let right = Rect {
            x: left.right() + 2,
            width: self.area.width.saturating_sub(left.width + 2),
            ..left
        };
        self.values(report, right);
    }

    /// The most serious alert with its whole text, the others in one line each.
    fn alert(&mut self, alert: &AlertView, report: &StatusReport, whole: bool) {
        let width = usize::from(self.area.width);
        let head = status::alert_head(alert, report);
        let loud = alert.state.sounds();
        if whole {
            self.line(&head, loud);
            for line in wrapped_within(width, "  ", "  ", &alert.message) {
                self.line(&line, false);
            }
        } else {
            let text = format!("{head}: {}", alert.message);
            self.line(&cut(&text, width), loud);
        }
    }

    fn swing(&mut self, report: &StatusReport, area: Rect) {
        let (columns, lines) = (usize::from(area.width), usize::from(area.height));
        let (picture, say) = (&report.picture, report.wording());
        let mut rows = swing(picture, columns, lines.saturating_sub(1))
            .unwrap_or_else(|| vec![Said::NoAnchor.words(&say)]);
        if picture.live().centre.is_none() && picture.anchor.is_some() {
            rows.push(Said::NoBoat.words(&say));
        } else if picture.anchor.is_some() {
            rows.push(Said::NorthUp.words(&say));
        }
        self.text(&rows, area);
    }

    fn values(&mut self, report: &StatusReport, area: Rect) {
        let width = usize::from(area.width);
        let row = |(name, text): (String, String)| {
            wrapped_within(width, &status::lead(&name), &status::lead(""), &text)
        };
        let mut rows: Vec<String> = status::rows(report).into_iter().flat_map(row).collect();
        let lines = usize::from(area.height);
        if rows.len() > lines {
            // If the rows do not fit, the last line names the command that shows the rest.
            rows.truncate(lines.saturating_sub(1));
            rows.push(Said::More.words(&report.wording()));
        }
        self.text(&rows, area);
    }

    fn lost(&mut self, since: String, say: &Wording) {
        self.line(&Said::NoAnswer { since }.words(say), true);
        let width = usize::from(self.area.width);
        self.next += 1;
        for text in [
            Said::NotWatched.words(say),
            Said::NoFigures.words(say),
            Said::IsItRunning.words(say),
        ] {
            for line in wrapped_within(width, "", "  ", &text) {
                self.line(&line, false);
            }
        }
    }

    fn foot(&mut self, answer: Option<&str>, say: &Wording) {
        let width = usize::from(self.area.width);
        let texts = [
            answer.unwrap_or_default().to_owned(),
            Status::Caution.words(say),
            Said::Keys.words(say),
        ];
        self.next = self.area.bottom().saturating_sub(FOOT);
        for text in texts {
            self.line(&cut(&text, width), false);
        }
    }

    /// Lines between here and the bottom.
    fn room(&self) -> u16 {
        self.area.bottom().saturating_sub(self.next + FOOT)
    }

    fn line(&mut self, text: &str, loud: bool) {
        let more = if loud {
            Modifier::REVERSED | Modifier::BOLD
        } else {
            Modifier::empty()
        };
        self.put(text, more);
    }

    fn put(&mut self, text: &str, more: Modifier) {
        if self.next < self.area.bottom() {
            let area = Rect {
                y: self.next,
                height: 1,
                ..self.area
            };
            let style = self.ink.text().add_modifier(more);
            self.frame
                .render_widget(Paragraph::new(text).style(style), area);
        }
        self.next += 1;
    }

    fn text(&mut self, rows: &[String], area: Rect) {
        let area = area.intersection(self.area);
        let lines: Vec<Line<'_>> = rows.iter().map(|row| Line::raw(row.as_str())).collect();
        self.frame
            .render_widget(Paragraph::new(lines).style(self.ink.text()), area);
    }
}

/// At most this many characters.
fn cut(text: &str, width: usize) -> String {
    if text.chars().count() <= width {
        return text.to_owned();
    }
    let kept: String = text.chars().take(width.saturating_sub(1)).collect();
    kept + "\u{2026}"
}

/// The last answer, the caution and the keys.
const FOOT: u16 = 3;

#[cfg(test)]
pub(super) mod tests {
    use std::time::Duration;

    use ratatui::Terminal;
    use ratatui::backend::TestBackend;
    use ratatui::buffer::Buffer;

    use super::*;
    use crate::alert::hazard::{AlertState, Hazard, Priority};
    use crate::geodesy::Position;
    use crate::outbox::words::{Health, HealthState};
    use crate::time::{ShipClock, Timestamp};
    use crate::units::{Angle, Bearing, LengthUnit, Metres, Speed};
    use crate::watch::anchorage::phase::AnchorPhase;
    use crate::watch::state::WatchState;

    const ANCHOR: Position = Position::of(59.8539, 23.26);

    /// Invented: 50 m of rode in 7 m of water, a wind from the north-east.
    pub(in super::super) fn quiet() -> StatusReport {
        let time: Timestamp = "2026-06-02T00:19:30Z".parse().unwrap();
        let away = Bearing::from_degrees(225.0);
        let roller = ANCHOR.moved(away, Metres::of(38.0));
        StatusReport {
            time,
            clock: ShipClock::default(),
            lengths: LengthUnit::Metres,
            language: crate::speech::Language::default(),
            version: "0.1.0".to_owned(),
            link: "up".to_owned(),
            server: "up".to_owned(),
            journal: None,
            phones: vec![Health {
                channel: "skipper".to_owned(),
                state: HealthState::Working,
                worked: Some(time),
                trouble: None,
                waiting: 0,
            }],
            alerts: Vec::new(),
            picture: WatchState {
                phase: AnchorPhase::Set,
                phase_since: Some(time.minus(Duration::from_secs(7200))),
                anchor: Some(ANCHOR),
                depth_at_anchor: Some(Metres::of(7.0)),
                max_radius: Some(Metres::of(62.0)),
                current_radius: Some(Metres::of(43.5)),
                anchor_bearing: Some(Bearing::from_degrees(45.0)),
                anchor_distance: Some(Metres::of(38.0)),
                reach: Some(Metres::of(49.0)),
                rode_out: Some(Metres::of(50.0)),
                scope: Some(6.0),
                water_depth: Some(Metres::of(7.1)),
                wind_direction: Some(Bearing::from_degrees(45.0)),
                wind_speed: Some(Speed::from_knots(12.0)),
                wind_shift: Some(Angle::from_degrees(8.0)),
                drag_probability: Some(0.0),
                anchor_moved: Some(Metres::ZERO),
                fix_uncertainty: Some(Metres::of(4.0)),
                position_source: Some("gps0.GP".to_owned()),
                roller: Some(roller),
                centre: Some(ANCHOR.moved(away, Metres::of(43.5))),
                ..WatchState::default()
            },
        }
    }

    pub(in super::super) fn dragging() -> StatusReport {
        let mut report = quiet();
        let since = report.time.minus(Duration::from_secs(40));
        let away = Bearing::from_degrees(225.0);
        report.alerts = vec![AlertView::drag(
            since,
            "dragging: the anchor has moved 14 m or more; the mark bears 045° at 63 m, the rode reaches 49 m; look outside, start the engine",
        )];
        let picture = &mut report.picture;
        picture.phase = AnchorPhase::Dragging;
        picture.phase_since = Some(since);
        picture.anchor_distance = Some(Metres::of(63.0));
        picture.current_radius = Some(Metres::of(68.5));
        picture.drag_probability = Some(0.999);
        picture.anchor_moved = Some(Metres::of(14.0));
        picture.roller = Some(ANCHOR.moved(away, Metres::of(63.0)));
        picture.centre = Some(ANCHOR.moved(away, Metres::of(68.5)));
        report
    }

    /// The last fix is 48 s old.
    fn blind() -> StatusReport {
        let mut report = quiet();
        report.picture.fix_ago = Some(48.0);
        report.picture.fix_uncertainty = None;
        report.alerts = vec![
            AlertView {
                hazard: Hazard::Position,
                priority: Priority::Alarm,
                message: "no position: no data from the GPS for 1 min; drag cannot be detected; keep a lookout".to_owned(),
                ..dragging().alerts[0].clone()
            },
            AlertView {
                hazard: Hazard::WindStrength,
                priority: Priority::Warning,
                state: AlertState::ActiveAcknowledged,
                message: "strong wind: mean 26 kn, gusts to 33 kn; check the rode for chafe, veer if there is room".to_owned(),
                ..dragging().alerts[0].clone()
            },
        ];
        report
    }

    fn drawn(scene: &Scene, ink: Ink) -> Buffer {
        let mut terminal = Terminal::new(TestBackend::new(80, 24)).unwrap();
        terminal.draw(|frame| draw(frame, scene, ink)).unwrap();
        terminal.backend().buffer().clone()
    }

    fn text(scene: &Scene) -> String {
        let buffer = drawn(scene, Ink::Night);
        let row = |y: u16| -> String {
            let cells = (0..80).map(|x| buffer.cell((x, y)).unwrap().symbol());
            cells.collect::<String>().trim_end().to_owned()
        };
        (0..24).map(row).collect::<Vec<_>>().join("\n")
    }

    #[test]
    fn a_quiet_night() {
        insta::assert_snapshot!(text(&Scene::of(quiet())));
    }

    #[test]
    fn a_drag() {
        let mut scene = Scene::of(dragging());
        scene.answer = Some("acknowledged: dragging".to_owned());
        insta::assert_snapshot!(text(&scene));
    }

    /// The boat is not drawn, and each figure based on the old fix shows its age.
    #[test]
    fn without_a_fix_nothing_old_is_shown_as_live() {
        let text = text(&Scene::of(blind()));
        let boats = ['↑', '↗', '→', '↘', '↓', '↙', '←', '↖', 'o'];
        let left: String = text
            .lines()
            .skip(6)
            .take(14)
            .flat_map(|line| line.chars().take(32))
            .collect();
        let picture: String = left.split("no fix").next().unwrap().to_owned();
        assert!(!picture.contains(boats), "{text}");
        for line in text.lines().filter(|line| line.contains("bears")) {
            assert!(text.contains("48 s ago"), "{line}\n{text}");
        }
        insta::assert_snapshot!(text);
    }

    #[test]
    fn a_daemon_that_is_gone_leaves_no_figure_behind() {
        let mut scene = Scene::of(quiet());
        scene.answered("set a circle of 62 m".to_owned());
        scene.lost();
        scene.lost();
        let text = text(&scene);
        for old in ["bears", " kn", "62 m", "SET"] {
            assert!(!text.contains(old), "{old}\n{text}");
        }
        insta::assert_snapshot!(text);
    }

    #[test]
    fn it_is_red_on_black_or_without_colour_and_an_alarm_is_inverse() {
        let scene = Scene::of(dragging());
        let night = drawn(&scene, Ink::Night);
        assert!(
            night
                .content()
                .iter()
                .all(|cell| (cell.fg, cell.bg) == (Color::Red, Color::Black))
        );
        let plain = drawn(&scene, Ink::Plain);
        assert!(
            plain
                .content()
                .iter()
                .all(|cell| (cell.fg, cell.bg) == (Color::Reset, Color::Reset))
        );
        for buffer in [night, plain] {
            assert!(
                buffer
                    .cell((0, 1))
                    .unwrap()
                    .modifier
                    .contains(Modifier::REVERSED)
            );
            assert!(
                !buffer
                    .cell((0, 2))
                    .unwrap()
                    .modifier
                    .contains(Modifier::REVERSED)
            );
        }
    }

    /// A telephone's terminal, and a very small one.
    #[test]
    fn it_fits_any_terminal_without_a_panic() {
        for (width, height) in [(1, 1), (20, 5), (40, 12), (132, 50)] {
            let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
            let mut scene = Scene::of(blind());
            terminal
                .draw(|frame| draw(frame, &scene, Ink::Night))
                .unwrap();
            scene.lost();
            terminal
                .draw(|frame| draw(frame, &scene, Ink::Plain))
                .unwrap();
        }
    }
}
