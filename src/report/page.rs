//! The page: one self-contained HTML document.
//!
//! Its policy forbids it to fetch anything. Without scripts only the values under the pointer are missing.

mod lists;
mod pictures;
mod summary;

use std::fmt::Write as _;
use std::time::Duration;

use serde_json::{Value, json};

use super::facts::{Alert, Night};
use super::picture;
use super::plots::{COMPASS, FRAMES, Line, Pen, Plot, Span, attributes};
use super::series::Spread;
use super::words;
use crate::alert::hazard::Priority;
use crate::geodesy::Position;
use crate::plot::writer::escaped;
use crate::speech::Wording;
use crate::time::{Timestamp, Zone};
use crate::units::{Metres, spoken};

/// The stay as a page; times by the ship's clock and in UTC.
#[must_use]
pub fn html(night: &Night, say: &Wording) -> String {
    let zone = &say.zone;
    let from = night.figures.from;
    let alarm = |alert: &Alert| {
        let mut raised = alert.raised.iter();
        let first = raised.find(|raised| raised.priority >= Priority::Alarm)?;
        Some(first.time)
    };
    let span = Span {
        from,
        until: night.until,
        every: night.figures.every * 1000.0,
        zone,
        blind: night.blind.iter().map(|it| (it.from, it.until)).collect(),
        alarms: night.alerts.iter().filter_map(alarm).collect(),
    };
    let plots = plots(night);
    let ground = picture::ground(night, from);
    let mut page = Page {
        text: String::new(),
        zone,
        say,
    };
    page.head(night);
    page.short(night);
    page.anchored(night);
    page.pictures(night, ground.as_ref().map(|(svg, _)| svg.as_str()));
    let first = plots.iter().position(|plot| !plot.is_empty());
    for (number, plot) in plots.iter().enumerate() {
        let hint = if Some(number) == first {
            words::HINT
        } else {
            ""
        };
        page.plot(plot, &span, hint);
    }
    page.alerts(night);
    page.blind(night);
    page.phones(night);
    page.events(night);
    let ship = zone.ship_clock(from);
    let data = json!({
        "from": from.as_millis() as f64 / 1000.0,
        "until": night.until.as_millis() as f64 / 1000.0,
        "every": night.figures.every,
        "ahead": ship.ahead,
        "zone": ship.name,
        "plots": plots.iter().map(|plot| (plot.key.to_owned(), series(plot))).collect::<serde_json::Map<_, _>>(),
        "track": ground.map_or_else(Vec::new, |(_, drawn)| drawn.iter().map(|piece| picture::polyline(piece)).collect()),
    });
    page.foot(&data);
    page.text
}

/// The plots over time, in the units of the displays.
fn plots(night: &Night) -> Vec<Plot> {
    let figures = &night.figures;
    let line = |name, pen, values: &[Option<Spread>], factor: f64| Line {
        name,
        pen,
        values: values
            .iter()
            .map(|it| it.map(|it| it.times(factor)))
            .collect(),
    };
    let degrees: Vec<Option<Spread>> = figures
        .wind_from
        .iter()
        .map(|it| it.map(|radians| Spread::of(radians.to_degrees())))
        .collect();
    let plot = |key, title, text, unit, digits, lines| Plot {
        key,
        title,
        text,
        unit,
        digits,
        scale: None,
        lines,
    };
    vec![
        plot(
            "distance",
            words::DISTANCE,
            words::DISTANCE_TEXT,
            " m",
            1,
            vec![
                line("lay", Pen::Band, &figures.distance, 1.0),
                line("expected", Pen::Dashes, &figures.expected, 1.0),
                line("reach", Pen::Dots, &figures.reach, 1.0),
            ],
        ),
        Plot {
            scale: Some([0.0, 100.0]),
            ..plot(
                "probability",
                words::PROBABILITY,
                words::PROBABILITY_TEXT,
                " %",
                0,
                vec![line("moved", Pen::Band, &figures.probability, 100.0)],
            )
        },
        plot(
            "wind",
            words::WIND,
            words::BAND,
            " kn",
            0,
            vec![
                line("mean", Pen::Band, &figures.wind, KNOTS),
                line("gusts", Pen::Dashes, &figures.gust, KNOTS),
            ],
        ),
        Plot {
            scale: Some(COMPASS),
            ..plot(
                "direction",
                words::WIND_FROM,
                words::WIND_FROM_TEXT,
                "°",
                0,
                vec![line("from", Pen::Marks, &degrees, 1.0)],
            )
        },
        plot(
            "depth",
            words::DEPTH,
            words::DEPTH_TEXT,
            " m",
            1,
            vec![
                line("sounded", Pen::Band, &figures.depth, 1.0),
                line("by tide", Pen::Dashes, &figures.tide_depth, 1.0),
            ],
        ),
        plot(
            "rode",
            words::RODE,
            "",
            " m",
            0,
            vec![line("rode", Pen::Line, &figures.rode, 1.0)],
        ),
        plot(
            "scope",
            words::SCOPE,
            "",
            "",
            1,
            vec![line("scope", Pen::Line, &figures.scope, 1.0)],
        ),
    ]
}

/// A plot's data for the script.
fn series(plot: &Plot) -> Value {
    let hundredth = |value: f64| (value * 100.0).round() / 100.0;
    let lines = plot.lines.iter().map(|line| {
        let values: Vec<_> = line
            .values
            .iter()
            .map(|it| it.map(|it| [it.least, it.mean, it.greatest].map(hundredth)))
            .collect();
        json!({
            "name": line.name,
            "unit": plot.unit,
            "digits": plot.digits,
            "compass": plot.scale == Some(COMPASS),
            "values": values,
        })
    });
    Value::Array(lines.collect())
}

struct Page<'a> {
    text: String,
    zone: &'a Zone,
    say: &'a Wording,
}

impl Page<'_> {
    fn put(&mut self, markup: std::fmt::Arguments<'_>) {
        // Writing to a string cannot fail.
        let written = self.text.write_fmt(markup);
        debug_assert!(written.is_ok());
    }

    /// Day and time, and UTC if the ship's clock differs.
    fn moment(&self, time: Timestamp) -> String {
        let local = format!("{} {}", self.zone.day(time), self.zone.clock(time));
        if local.ends_with(" UTC") {
            return local;
        }
        format!("{local} ({} UTC)", time.clock())
    }

    fn head(&mut self, night: &Night) {
        let name = night.boat.name.as_deref().map(|name| format!(", {name}"));
        let title = escaped(&format!(
            "{}{} {}",
            words::TITLE,
            name.unwrap_or_default(),
            self.zone.day(night.stay.let_go)
        ));
        self.put(format_args!(
            "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
             <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'\">\n\
             <title>{title}</title>\n<style>\n{}</style>\n</head>\n<body>\n<h1>{title}</h1>\n",
            include_str!("page.css")
        ));
        let place = night
            .place()
            .map_or_else(|| "place not known".to_owned(), shown);
        let length = night.until.millis_since(night.stay.let_go).max(0);
        let length = spoken(Duration::from_millis(length.unsigned_abs()));
        let end = night.stay.weighed.map_or_else(
            || format!("record to {}", self.moment(night.until)),
            |weighed| format!("weighed {}", self.moment(weighed)),
        );
        self.put(format_args!(
            "<p>{place}; let go {}, {end}; {length}.</p>\n",
            self.moment(night.stay.let_go)
        ));
        self.put(format_args!(
            "<section class=\"caution\" aria-label=\"{}\">",
            words::CAUTION
        ));
        for caution in &night.cautions {
            self.put(format_args!("<p>{}</p>", escaped(caution)));
        }
        self.text.push_str("</section>\n");
        if !night.remarks.is_empty() {
            self.put(format_args!(
                "<section class=\"remarks\"><h2>{}</h2>",
                words::RECORD
            ));
            for remark in &night.remarks {
                self.put(format_args!("<p>{}</p>", escaped(remark)));
            }
            self.text.push_str("</section>\n");
        }
    }

    fn anchored(&mut self, night: &Night) {
        let (anchor, boat) = (&night.anchor, &night.boat.figures);
        let entered = |known: Option<String>| known.unwrap_or_else(|| words::NOT_KNOWN.into());
        let metres = |length: Option<f64>| entered(length.map(|length| format!("{length:.1} m")));
        let length = |length: Option<Metres>| metres(length.map(Metres::get));
        let mut rows = vec![
            (
                "made fast to",
                entered(anchor.kind.map(|kind| kind.to_string())),
            ),
            ("marked at", entered(anchor.mark.map(shown))),
            ("most likely lay at", entered(anchor.estimate.map(shown))),
            ("95 % uncertainty", metres(anchor.uncertainty)),
            ("depth when let go", metres(anchor.depth)),
            ("rode out at the end", metres(anchor.rode)),
            ("reach at the end", metres(anchor.reach)),
            ("swinging circle", metres(anchor.circle)),
        ];
        if let Some(snubber) = &anchor.snubber {
            rows.push(("snubber", length(Some(snubber.length))));
        }
        rows.extend(anchor.tackle.iter().cloned());
        let hers = [
            ("length", boat.length),
            ("beam", boat.beam),
            ("draught", boat.draught),
            ("bow roller above water", boat.roller_height),
            ("antenna aft of the stem", boat.antenna_from_bow),
            ("rode aboard", boat.rode_aboard),
        ];
        self.put(format_args!(
            "<section><h2>{}</h2><div class=\"two\"><table>",
            words::AT_ANCHOR
        ));
        for (name, value) in rows {
            self.row(&[name, &value]);
        }
        self.text.push_str("</table><table>");
        for (name, value) in hers {
            self.row(&[name, &length(value)]);
        }
        self.text.push_str("</table></div></section>\n");
    }

    fn row(&mut self, cells: &[&str]) {
        self.text.push_str("<tr>");
        for (number, cell) in cells.iter().enumerate() {
            let tag = if number == 0 {
                "th scope=\"row\""
            } else {
                "td"
            };
            let end = if number == 0 { "th" } else { "td" };
            self.put(format_args!("<{tag}>{}</{end}>", escaped(cell)));
        }
        self.text.push_str("</tr>");
    }

    fn plot(&mut self, plot: &Plot, span: &Span<'_>, hint: &str) {
        self.put(format_args!(
            "<section><h2>{}</h2><p class=\"soft\">{}</p>",
            plot.title, plot.text
        ));
        if plot.is_empty() {
            self.put(format_args!("<p>{}</p></section>\n", words::NO_FIGURES));
            return;
        }
        self.text.push_str("<figure>");
        for (name, frame) in FRAMES {
            self.put(format_args!(
                "<div class=\"plot {name}\" tabindex=\"0\" role=\"img\" aria-label=\"{}\" data-key=\"{}\" {}>{}</div>",
                plot.title,
                plot.key,
                attributes(frame),
                plot.draw(frame, span)
            ));
        }
        self.put(format_args!(
            "<output data-key=\"{}\">{}</output><table class=\"beside\"><tr><th></th><th>least</th><th>mean</th><th>greatest</th></tr>",
            plot.key,
            hint
        ));
        for line in &plot.lines {
            let known: Vec<Spread> = line.values.iter().flatten().copied().collect();
            let shown = |value: f64| format!("{value:.*}{}", plot.digits, plot.unit);
            let Some(all) = Spread::over(&known) else {
                self.row(&[line.name, "not known", "", ""]);
                continue;
            };
            if line.pen == Pen::Marks {
                let (sin, cos) = known.iter().fold((0.0, 0.0), |(sin, cos), it| {
                    let (s, c) = it.mean.to_radians().sin_cos();
                    (sin + s, cos + c)
                });
                let mean = f64::atan2(sin, cos).to_degrees().rem_euclid(360.0);
                self.row(&[line.name, "", &format!("{mean:03.0}°"), ""]);
                continue;
            }
            self.row(&[
                line.name,
                &shown(all.least),
                &shown(all.mean),
                &shown(all.greatest),
            ]);
        }
        self.text.push_str("</table></figure></section>\n");
    }

    fn foot(&mut self, data: &Value) {
        // No text in the data may close the script element.
        let data = data.to_string().replace('<', "\\u003c");
        self.put(format_args!(
            "<p class=\"soft\">windrode {}</p>\n<script type=\"application/json\" id=\"figures\">{data}</script>\n<script>\n{}</script>\n</body>\n</html>\n",
            env!("CARGO_PKG_VERSION"),
            include_str!("page.js")
        ));
    }
}

impl Spread {
    fn of(value: f64) -> Self {
        Self {
            least: value,
            mean: value,
            greatest: value,
        }
    }

    fn times(self, factor: f64) -> Self {
        Self {
            least: self.least * factor,
            mean: self.mean * factor,
            greatest: self.greatest * factor,
        }
    }

    /// The mean over all of them, with equal weights.
    fn over(all: &[Self]) -> Option<Self> {
        let first = all.first()?;
        let sum: f64 = all.iter().map(|it| it.mean).sum();
        Some(all.iter().fold(
            Self {
                mean: sum / all.len() as f64,
                ..*first
            },
            |so_far, it| Self {
                least: so_far.least.min(it.least),
                mean: so_far.mean,
                greatest: so_far.greatest.max(it.greatest),
            },
        ))
    }
}

fn shown(position: Position) -> String {
    position.to_string()
}

/// Rounded to a metre a second.
const KNOTS: f64 = 3600.0 / 1852.0;
