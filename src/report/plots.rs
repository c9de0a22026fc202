//! Plots over time, as SVG. Dashes and names at the right end distinguish the lines, gaps stay open, blind periods
//! are hatched.

use crate::plot::writer::{Point, Rect, Side, Stroke, Svg, number, through};
use crate::time::{Timestamp, Zone};

use super::series::Spread;
use super::words;

/// How a quantity is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Pen {
    /// A solid line, with a band from minimum to maximum.
    Band,
    /// A solid line.
    Line,
    /// A dashed line.
    Dashes,
    /// A dotted line.
    Dots,
    /// A mark for each bucket, for values without an order from low to high.
    Marks,
}

/// A quantity of a plot, in the plot's unit.
#[derive(Clone, Debug)]
pub(super) struct Line {
    pub(super) name: &'static str,
    pub(super) pen: Pen,
    pub(super) values: Vec<Option<Spread>>,
}

/// A plot.
#[derive(Clone, Debug)]
pub(super) struct Plot {
    /// Its name in the page's script.
    pub(super) key: &'static str,
    pub(super) title: &'static str,
    pub(super) text: &'static str,
    pub(super) unit: &'static str,
    pub(super) digits: usize,
    /// Its scale, if that does not follow from the values.
    pub(super) scale: Option<[f64; 2]>,
    pub(super) lines: Vec<Line>,
}

/// The time axis that all plots share.
#[derive(Clone, Debug)]
pub(super) struct Span<'a> {
    pub(super) from: Timestamp,
    pub(super) until: Timestamp,
    /// Milliseconds of a bucket.
    pub(super) every: f64,
    pub(super) zone: &'a Zone,
    pub(super) blind: Vec<(Timestamp, Timestamp)>,
    /// When an alarm was raised.
    pub(super) alarms: Vec<Timestamp>,
}

/// The frame of a plot: its width, and the area of the values.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    pub(super) width: f64,
    pub(super) left: f64,
    pub(super) right: f64,
}

/// Frames for a desk and for a phone.
pub(super) const FRAMES: [(&str, Frame); 2] = [
    (
        "wide",
        Frame {
            width: 720.0,
            left: 46.0,
            right: 636.0,
        },
    ),
    (
        "narrow",
        Frame {
            width: 350.0,
            left: 36.0,
            right: 268.0,
        },
    ),
];

impl Span<'_> {
    fn length(&self) -> f64 {
        (self.until.millis_since(self.from) as f64).max(60_000.0)
    }

    fn x(&self, frame: Frame, time: Timestamp) -> f64 {
        let part = time.millis_since(self.from) as f64 / self.length();
        frame.left + part.clamp(0.0, 1.0) * (frame.right - frame.left)
    }

    fn middle(&self, frame: Frame, bucket: usize) -> f64 {
        let part = (bucket as f64 + 0.5) * self.every / self.length();
        frame.left + part.clamp(0.0, 1.0) * (frame.right - frame.left)
    }
}

impl Plot {
    /// Whether any value is known.
    pub(super) fn is_empty(&self) -> bool {
        self.lines
            .iter()
            .all(|line| line.values.iter().all(Option::is_none))
    }

    pub(super) fn draw(&self, frame: Frame, span: &Span<'_>) -> String {
        let mut svg = Svg::new(frame.width, HEIGHT);
        let (low, high, step) = self.bounds();
        let y = |value: f64| BOTTOM - (value - low) / (high - low) * (BOTTOM - TOP);
        let ticks = ((high - low) / step).round();
        let mut tick = 0.0;
        while tick <= ticks {
            let value = low + tick * step;
            rule(&mut svg, [frame.left, y(value)], [frame.right, y(value)]);
            let at = Point {
                x: frame.left - 6.0,
                y: y(value) + 4.0,
            };
            svg.words(&self.named(value), at, SIZE, Side::End, INK);
            tick += 1.0;
        }
        time_axis(&mut svg, frame, span);
        blind(&mut svg, frame, span);
        for line in &self.lines {
            draw_line(&mut svg, line, |bucket| span.middle(frame, bucket), y);
        }
        for alarm in &span.alarms {
            let x = span.x(frame, *alarm);
            let top = [x, TOP - 2.0];
            let flag = through(&points(&[
                [x - 5.0, TOP - 11.0],
                [x + 5.0, TOP - 11.0],
                top,
            ]));
            svg.path("", &format!("{flag}Z"), ALARM, None);
            let pole = through(&points(&[top, [x, BOTTOM]]));
            svg.path("", &pole, "none", Some(Stroke::of(ALARM, 1.2)));
        }
        self.names(&mut svg, frame, y);
        svg.finish()
    }

    /// The names of the lines at their right ends, moved apart where they would overlap.
    fn names(&self, svg: &mut Svg, frame: Frame, y: impl Fn(f64) -> f64) {
        let mut ends: Vec<(f64, &Line)> = self
            .lines
            .iter()
            .filter_map(|line| {
                let last = line.values.iter().rev().find_map(|value| *value)?;
                Some((y(last.mean), line))
            })
            .collect();
        ends.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mut below = f64::NEG_INFINITY;
        for (place, _) in &mut ends {
            *place = place.max(below + SIZE + 3.0);
            below = *place;
        }
        let over = (below - BOTTOM).max(0.0);
        for (place, line) in ends {
            let middle = place - over;
            let x = frame.right + 4.0;
            if line.pen != Pen::Marks {
                let sample = through(&points(&[[x, middle], [x + 14.0, middle]]));
                svg.path("", &sample, "none", Some(line.pen.stroke()));
            }
            let at = Point {
                x: x + 17.0,
                y: middle + 4.0,
            };
            svg.words(line.name, at, SIZE, Side::Start, INK);
        }
    }

    fn named(&self, value: f64) -> String {
        if self.scale == Some(COMPASS) {
            return match value {
                value if value < 45.0 => "N",
                value if value < 135.0 => "E",
                value if value < 225.0 => "S",
                value if value < 315.0 => "W",
                _ => "N",
            }
            .to_owned();
        }
        format!("{}", (value * 100.0).round() / 100.0)
    }

    /// Where the scale begins and ends, and its step.
    fn bounds(&self) -> (f64, f64, f64) {
        if let Some([low, high]) = self.scale {
            return (low, high, (high - low) / 4.0);
        }
        let spreads = self
            .lines
            .iter()
            .flat_map(|line| line.values.iter().flatten());
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for spread in spreads {
            low = low.min(spread.least);
            high = high.max(spread.greatest);
        }
        if low > high {
            (low, high) = (0.0, 1.0);
        }
        // From zero, unless everything lies far above it.
        if low > 0.0 && low < 0.7 * high {
            low = 0.0;
        }
        // A value that hardly changes is not blown up to the whole height.
        if high - low < 0.02 * high {
            (low, high) = (low * 0.95, high * 1.05);
        }
        let raw = ((high - low) / 4.0).max(0.05);
        let power = 10_f64.powf(raw.log10().floor());
        let step = [1.0, 2.0, 2.5, 5.0, 10.0]
            .into_iter()
            .map(|factor| factor * power)
            .find(|step| *step >= raw * 0.999)
            .unwrap_or(raw);
        let low = (low / step).floor() * step;
        let high = (high / step).ceil() * step;
        (low, if high > low { high } else { low + step }, step)
    }
}

impl Pen {
    fn stroke(self) -> Stroke {
        match self {
            Self::Band | Self::Line | Self::Marks => Stroke::of(LINE, 1.8),
            Self::Dashes => Stroke::dashed(SECOND, 1.8, "6 4"),
            Self::Dots => Stroke::dashed(THIRD, 2.2, "0 5"),
        }
    }
}

fn draw_line(svg: &mut Svg, line: &Line, x: impl Fn(usize) -> f64, y: impl Fn(f64) -> f64) {
    let mut path = String::new();
    let mut bands = String::new();
    for run in runs(&line.values) {
        if line.pen == Pen::Marks {
            for (bucket, spread) in run {
                let at = Point {
                    x: x(bucket),
                    y: y(spread.mean),
                };
                svg.circle("", at, 1.7, LINE, None);
            }
            continue;
        }
        let mut means: Vec<[f64; 2]> = run
            .iter()
            .map(|(bucket, spread)| [x(*bucket), y(spread.mean)])
            .collect();
        if let [only] = means.as_slice() {
            means = vec![[only[0] - 1.0, only[1]], [only[0] + 1.0, only[1]]];
        }
        path += &through(&points(&means));
        if line.pen == Pen::Band && run.len() > 1 {
            let upper = run.iter().map(|(bucket, s)| [x(*bucket), y(s.greatest)]);
            let lower = run.iter().rev().map(|(bucket, s)| [x(*bucket), y(s.least)]);
            let round: Vec<[f64; 2]> = upper.chain(lower).collect();
            bands += &through(&points(&round));
            bands.push('Z');
        }
    }
    if !bands.is_empty() {
        svg.path("", &bands, BAND, None);
    }
    if !path.is_empty() {
        svg.path("", &path, "none", Some(line.pen.stroke()));
    }
}

/// The buckets that have a value, in runs without a gap.
fn runs(values: &[Option<Spread>]) -> Vec<Vec<(usize, Spread)>> {
    let mut runs: Vec<Vec<(usize, Spread)>> = Vec::new();
    let mut open = false;
    for (bucket, value) in values.iter().enumerate() {
        match value {
            Some(spread) => {
                if !open {
                    runs.push(Vec::new());
                }
                if let Some(run) = runs.last_mut() {
                    run.push((bucket, *spread));
                }
                open = true;
            }
            None => open = false,
        }
    }
    runs
}

fn time_axis(svg: &mut Svg, frame: Frame, span: &Span<'_>) {
    const MINUTE: i64 = 60_000;
    let most = (frame.right - frame.left) / 46.0;
    let steps = [5, 10, 15, 30, 60, 120, 180, 360, 720, 1440, 2880, 10_080];
    let step = steps
        .into_iter()
        .map(|minutes| minutes * MINUTE)
        .find(|step| span.length() / *step as f64 <= most)
        .unwrap_or(30 * 1440 * MINUTE);
    let ahead = i64::from(span.zone.ahead_of_utc(span.from)) * 1000;
    let first = (span.from.as_millis() + ahead).div_euclid(step) * step - ahead;
    for number in 0..40 {
        let time = Timestamp::from_millis(first + number * step);
        if time < span.from || time > span.until {
            continue;
        }
        let x = span.x(frame, time);
        rule(svg, [x, TOP], [x, BOTTOM]);
        let clock: String = span.zone.clock(time).chars().take(5).collect();
        let midnight = clock == "00:00" && step >= 60 * MINUTE;
        let shown = if midnight {
            span.zone.day(time).chars().skip(5).collect()
        } else {
            clock
        };
        let at = Point {
            x,
            y: BOTTOM + 16.0,
        };
        svg.words(&shown, at, SIZE, Side::Middle, INK);
    }
}

fn blind(svg: &mut Svg, frame: Frame, span: &Span<'_>) {
    for (from, until) in &span.blind {
        let (begin, end) = (span.x(frame, *from), span.x(frame, *until));
        let mut hatch = String::new();
        let mut x = begin;
        while x <= end {
            hatch += &through(&points(&[[x, TOP], [x, BOTTOM]]));
            x += 4.0;
        }
        svg.path("", &hatch, "none", Some(Stroke::of(FAINT, 1.0)));
        if end - begin > 34.0 {
            let middle = Point {
                x: f64::midpoint(begin, end),
                y: TOP + 14.0,
            };
            let back = Rect {
                x: middle.x - 17.0,
                y: TOP + 3.0,
                width: 34.0,
                height: 15.0,
            };
            svg.rect(back, PAPER, None);
            svg.words(words::NOT_SEEN, middle, SIZE, Side::Middle, INK);
        }
    }
}

fn rule(svg: &mut Svg, from: [f64; 2], to: [f64; 2]) {
    let line = through(&points(&[from, to]));
    svg.path("", &line, "none", Some(Stroke::of(RULE, 1.0)));
}

pub(super) fn points(places: &[[f64; 2]]) -> Vec<Point> {
    places.iter().map(|&[x, y]| Point { x, y }).collect()
}

/// The data of a frame for the page's script.
pub(super) fn attributes(frame: Frame) -> String {
    format!(
        "data-width=\"{}\" data-left=\"{}\" data-right=\"{}\" data-top=\"{}\" data-bottom=\"{}\"",
        number(frame.width),
        number(frame.left),
        number(frame.right),
        number(TOP),
        number(BOTTOM)
    )
}

/// The scale of a plot of directions, degrees.
pub(super) const COMPASS: [f64; 2] = [0.0, 360.0];
const HEIGHT: f64 = 216.0;
const TOP: f64 = 16.0;
const BOTTOM: f64 = 190.0;
pub(super) const SIZE: f64 = 12.0;
// The page's style sets the colours, for light and for dark.
pub(super) const INK: &str = "var(--ink)";
pub(super) const PAPER: &str = "var(--paper)";
pub(super) const RULE: &str = "var(--rule)";
pub(super) const FAINT: &str = "var(--faint)";
pub(super) const LINE: &str = "var(--line)";
pub(super) const SECOND: &str = "var(--second)";
pub(super) const THIRD: &str = "var(--third)";
const BAND: &str = "var(--band)";
pub(super) const ALARM: &str = "var(--alarm)";

#[cfg(test)]
mod tests {
    use super::*;

    fn flat(value: f64) -> Spread {
        Spread {
            least: value,
            mean: value,
            greatest: value,
        }
    }

    #[test]
    fn no_line_is_drawn_across_a_gap() {
        let known = |value: f64| Some(flat(value));
        let values = [
            known(1.0),
            known(2.0),
            None,
            known(3.0),
            None,
            None,
            known(4.0),
        ];
        let lengths: Vec<usize> = runs(&values).iter().map(Vec::len).collect();
        assert_eq!(lengths, [2, 1, 1]);
    }

    #[test]
    fn a_scale_has_round_steps_and_holds_every_value() {
        for (least, greatest, expected) in [
            (12.0, 38.0, (0.0, 40.0, 10.0)),
            (5.8, 6.4, (5.8, 6.4, 0.2)),
            (0.0, 0.0, (0.0, 0.05, 0.05)),
            (50.0, 50.0, (46.0, 54.0, 2.0)),
        ] {
            let plot = Plot {
                key: "depth",
                title: "",
                text: "",
                unit: "m",
                digits: 1,
                scale: None,
                lines: vec![Line {
                    name: "sounded",
                    pen: Pen::Band,
                    values: vec![Some(Spread {
                        least,
                        mean: least,
                        greatest,
                    })],
                }],
            };
            let (low, high, step) = plot.bounds();
            assert!(low <= least && high >= greatest, "{low} {high}");
            assert!(
                (high - expected.1).abs() <= step && (step - expected.2).abs() < 0.05,
                "{low} {high} {step}"
            );
        }
    }
}
