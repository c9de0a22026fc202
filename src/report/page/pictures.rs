//! The pictures without a time axis, with their figures beside them.

use super::Page;
use crate::report::facts::{Charted, Night};
use crate::report::{picture, words};
use crate::units::{Bearing, Metres};

impl Page<'_> {
    pub(super) fn pictures(&mut self, night: &Night, ground: Option<&str>) {
        self.put(format_args!(
            "<section><h2>{}</h2><p class=\"soft\">{}</p>",
            words::OVER_GROUND,
            words::OVER_GROUND_TEXT
        ));
        match ground {
            Some(svg) => {
                self.put(format_args!(
                    "<figure><div id=\"ground\" class=\"picture\" role=\"img\" aria-label=\"{}\">{svg}</div>",
                    words::OVER_GROUND
                ));
                self.text.push_str("<div class=\"beside\"><table>");
                let lain = night.lain().map(|lain| format!("{lain:.1} m"));
                self.row(&[words::LAIN, lain.as_deref().unwrap_or(words::NOT_KNOWN)]);
                if let Some(charted) = &night.charted {
                    self.charted(charted);
                }
                self.text.push_str("</table>");
                if night.charted.is_some() {
                    self.put(format_args!(
                        "<p class=\"soft\">{}</p>{}",
                        words::CHARTED_TEXT,
                        picture::key()
                    ));
                }
                self.text.push_str("</div></figure></section>\n");
            }
            None => self.put(format_args!("<p>{}</p></section>\n", words::NO_FIGURES)),
        }
        self.put(format_args!(
            "<section><h2>{}</h2><p class=\"soft\">{}</p>",
            words::SWING,
            words::SWING_TEXT
        ));
        let Some(svg) = picture::swing(night) else {
            self.put(format_args!("<p>{}</p></section>\n", words::NO_FIGURES));
            return;
        };
        self.put(format_args!(
            "<figure><div id=\"swing\" class=\"picture\" role=\"img\" aria-label=\"{}\">{svg}</div>",
            words::SWING
        ));
        self.text.push_str(
            "<table class=\"beside\"><tr><th>direction</th><th>of the time</th><th>farthest</th></tr>",
        );
        let total: f64 = night.swing.iter().map(|sector| sector.seconds).sum();
        let mut sectors: Vec<_> = night.swing.iter().enumerate().collect();
        sectors.sort_by(|(_, one), (_, other)| other.seconds.total_cmp(&one.seconds));
        for (number, sector) in sectors.into_iter().take(6) {
            if sector.seconds > 0.0 {
                self.row(&[
                    &format!("{:03}°", number * 360 / night.swing.len().max(1)),
                    &format!("{:.0} %", sector.seconds / total * 100.0),
                    &format!("{:.1} m", sector.farthest),
                ]);
            }
        }
        self.text.push_str("</table></figure></section>\n");
    }

    /// What the charts say, as figures.
    fn charted(&mut self, charted: &Charted) {
        let there = |depth: Option<Metres>, none: &str, distance: Metres, bearing: Bearing| {
            let depth =
                depth.map_or_else(|| none.to_owned(), |depth| format!("{:.1} m", depth.get()));
            if distance.get() < 0.5 {
                return format!("{depth}, at the anchor");
            }
            let degrees = bearing.degrees().round() % 360.0;
            format!("{depth}, {:.0} m away on {degrees:03.0}°", distance.get())
        };
        let least = charted.least.as_ref();
        let least = least.map(|it| there(it.depth, words::LAND, it.distance, it.bearing));
        let danger = charted.nearest_danger.as_ref();
        let danger = danger.map(|it| there(it.depth, words::NO_DEPTH, it.distance, it.bearing));
        let share = |share: f64| format!("{:.0} %", share * 100.0);
        let needed = format!("{:.1} m", charted.needed.get());
        let needed = charted.assumed_draught.map_or(needed.clone(), |draught| {
            format!("{needed}, with a draught of {:.1} m assumed", draught.get())
        });
        self.row(&[words::DEPTH_NEEDED, &needed]);
        self.row(&[
            words::LEAST_DEPTH,
            least.as_deref().unwrap_or(words::NOT_KNOWN),
        ]);
        self.row(&[
            words::NEAREST_DANGER,
            danger.as_deref().unwrap_or(words::NO_DANGER),
        ]);
        self.row(&[words::TOO_SHOAL, &share(charted.share_too_shoal)]);
        if charted.share_unknown > 0.0 {
            self.row(&[words::NO_DEPTH_CHARTED, &share(charted.share_unknown)]);
        }
        if let Some(chart) = &charted.chart {
            self.row(&[words::CHART, chart]);
        }
    }
}
