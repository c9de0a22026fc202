//! The night in a few lines.

use std::time::Duration;

use super::{KNOTS, Page};
use crate::alert::hazard::{Hazard, Priority};
use crate::report::facts::{Alert, Night};
use crate::report::series::Spread;
use crate::report::words;
use crate::time::Timestamp;
use crate::units::spoken;

impl Page<'_> {
    /// What a skipper asks first.
    pub(super) fn short(&mut self, night: &Night) {
        let alarm = |alert: &&Alert| {
            let grave = alert.raised.iter();
            grave
                .max_by_key(|it| it.priority)
                .is_some_and(|it| it.priority >= Priority::Alarm)
        };
        let first = |alert: &Alert| {
            let grave = alert
                .raised
                .iter()
                .find(|it| it.priority >= Priority::Alarm);
            grave.map(|it| it.time)
        };
        let drag = night.alerts.iter().filter(alarm);
        let drag = drag
            .filter(|it| it.hazard == Hazard::Dragging)
            .find_map(first);
        let dragged = match drag {
            Some(time) => format!("raised {}", self.moment(time)),
            // The list of alerts may be cut.
            None if night.stay.dragged => "raised".to_owned(),
            None => words::NO_DRAG.to_owned(),
        };
        let unseen: usize = night.alerts.iter().map(unseen_alarms).sum();
        let alarms = match (night.stay.alarms, unseen) {
            (0, _) => "none".to_owned(),
            (count, 0) => format!("{count}, each acknowledged"),
            (count, unseen) => {
                format!("{count}; {unseen} ended or stood without an acknowledgement")
            }
        };
        let most = |values: &[Option<Spread>], factor: f64, unit: &str| {
            let most = values
                .iter()
                .flatten()
                .map(|it| it.greatest)
                .reduce(f64::max);
            most.map(|most| format!("{:.0} {unit}", most * factor))
        };
        let unknown = || words::NOT_KNOWN.to_owned();
        let figures = &night.figures;
        let distance = most(&figures.distance, 1.0, "m").map_or_else(unknown, |most| {
            let reach = night.anchor.reach;
            reach.map_or(most.clone(), |reach| {
                format!("{most}; reach at the end {reach:.0} m")
            })
        });
        let wind = most(&figures.wind, KNOTS, "kn").map_or_else(unknown, |mean| {
            let gust = most(&figures.gust, KNOTS, "kn");
            gust.map_or(mean.clone(), |gust| format!("mean {mean}, gusts {gust}"))
        });
        let least = figures.depth.iter().flatten().map(|it| it.least);
        let depth = least.reduce(f64::min);
        let depth = depth.map_or_else(unknown, |depth| format!("{depth:.1} m"));
        let blind: i64 = night
            .blind
            .iter()
            .map(|it| it.until.millis_since(it.from))
            .sum();
        let blind = match night.counts.blind {
            0 => "never for a minute or longer".to_owned(),
            count => {
                let length = spoken(Duration::from_millis(blind.max(0).unsigned_abs()));
                let times = if count == 1 {
                    "once".to_owned()
                } else {
                    format!("{count} times")
                };
                if night.blind.len() as u64 == count {
                    format!("{times}, {length} in all")
                } else {
                    format!("{times}; {length} in the latest {}", night.blind.len())
                }
            }
        };
        let rows = [
            ("drag alarm", dragged),
            ("alarms", alarms),
            ("bow roller, farthest from the anchor", distance),
            ("strongest wind", wind),
            ("least depth sounded", depth),
            ("the watch was blind", blind),
        ];
        self.put(format_args!(
            "<section><h2>{}</h2><table class=\"short\">",
            words::IN_SHORT
        ));
        for (name, value) in rows {
            self.row(&[name, &value]);
        }
        self.text.push_str("</table></section>\n");
    }
}

/// How often this alert was raised as an alarm that nobody acknowledged before it was raised again or ended.
fn unseen_alarms(alert: &Alert) -> usize {
    let next = |at: usize| alert.raised.get(at + 1).map(|it| it.time);
    let alarms = alert.raised.iter().enumerate();
    alarms
        .filter(|(at, raised)| {
            let seen =
                |time: Timestamp| time >= raised.time && next(*at).is_none_or(|next| time < next);
            raised.priority >= Priority::Alarm && !alert.acknowledged.iter().any(|it| seen(it.time))
        })
        .count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::facts::{Acknowledged, Raised};

    fn at(second: u64) -> Timestamp {
        Timestamp::EPOCH.plus(Duration::from_secs(second))
    }

    fn alert(raised: &[(u64, Priority)], acknowledged: &[u64]) -> Alert {
        let raised = raised.iter().map(|(second, priority)| Raised {
            time: at(*second),
            priority: *priority,
            message: String::new(),
        });
        let acknowledged = acknowledged.iter().map(|second| Acknowledged {
            time: at(*second),
            by: None,
        });
        Alert {
            hazard: Hazard::WindShift,
            raised: raised.collect(),
            acknowledged: acknowledged.collect(),
            cleared: Some(at(900)),
        }
    }

    #[test]
    fn an_alarm_counts_as_seen_only_if_it_was_acknowledged_itself() {
        use Priority::{Alarm, Warning};
        let warned = (10, Warning);
        assert_eq!(unseen_alarms(&alert(&[warned], &[])), 0);
        assert_eq!(unseen_alarms(&alert(&[warned, (310, Alarm)], &[20])), 1);
        assert_eq!(unseen_alarms(&alert(&[warned, (310, Alarm)], &[320])), 0);
        let twice = [(10, Alarm), (310, Alarm)];
        assert_eq!(unseen_alarms(&alert(&twice, &[20])), 1);
        assert_eq!(unseen_alarms(&alert(&twice, &[20, 320])), 0);
    }
}
