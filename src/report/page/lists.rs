//! The lists: alerts, blind spells, channels to the phones, everything that was reported.

use std::time::Duration;

use super::Page;
use crate::plot::writer::escaped;
use crate::report::facts::{Channel, Night, Recorded};
use crate::report::words;
use crate::units::spoken;

impl Page<'_> {
    /// A table that becomes a list on a phone; `cut` says how much of it is missing.
    fn list(
        &mut self,
        title: &str,
        heads: &[&str],
        rows: &[Vec<String>],
        none: &str,
        cut: Option<String>,
    ) {
        self.put(format_args!("<section class=\"long\"><h2>{title}</h2>"));
        if rows.is_empty() {
            self.put(format_args!("<p>{none}</p></section>\n"));
            return;
        }
        if let Some(cut) = cut {
            self.put(format_args!("<p class=\"remarks\">{cut}</p>"));
        }
        self.table(heads, rows, false);
        self.text.push_str("</section>\n");
    }

    /// With `named`, each cell has its column's name on a phone too, where the head is left out.
    fn table(&mut self, heads: &[&str], rows: &[Vec<String>], named: bool) {
        self.text.push_str("<table class=\"list\"><thead><tr>");
        for head in heads {
            self.put(format_args!("<th>{head}</th>"));
        }
        self.text.push_str("</tr></thead><tbody>");
        for row in rows {
            self.text.push_str("<tr>");
            for (number, cell) in row.iter().enumerate() {
                let head = heads.get(number).filter(|_| named && number > 0);
                let head = head.map_or_else(String::new, |head| format!(" data-head=\"{head}\""));
                let class = if number == 0 { " class=\"time\"" } else { "" };
                self.put(format_args!("<td{class}{head}>{}</td>", escaped(cell)));
            }
            self.text.push_str("</tr>");
        }
        self.text.push_str("</tbody></table>");
    }

    pub(super) fn alerts(&mut self, night: &Night) {
        let mut rows = Vec::new();
        for alert in &night.alerts {
            let last = alert.raised.len().saturating_sub(1);
            for (number, raised) in alert.raised.iter().enumerate() {
                let acknowledged: Vec<String> = alert
                    .acknowledged
                    .iter()
                    .map(|it| {
                        let by = it.by.as_deref().unwrap_or(words::WAY_UNKNOWN);
                        format!("{} {by}", self.zone.clock(it.time))
                    })
                    .collect();
                let acknowledged = match acknowledged.as_slice() {
                    _ if number < last => String::new(),
                    [] => words::NOT_ACKNOWLEDGED.to_owned(),
                    some => format!("acknowledged {}", some.join(", ")),
                };
                let gone = match alert.cleared {
                    _ if number < last => words::RAISED_AGAIN.to_owned(),
                    Some(cleared) => format!("ended {}", self.zone.clock(cleared)),
                    None => words::STILL_STOOD.to_owned(),
                };
                rows.push(vec![
                    self.moment(raised.time),
                    raised.priority.capitals(self.say),
                    raised.message.clone(),
                    acknowledged,
                    gone,
                ]);
            }
        }
        let heads = ["raised", "priority", "what", "acknowledged", "ended"];
        let cut = cut(night.alerts.len(), night.counts.alerts, "alerts");
        self.list(words::ALERTS, &heads, &rows, words::NO_ALERTS, cut);
    }

    pub(super) fn blind(&mut self, night: &Night) {
        let rows: Vec<_> = night
            .blind
            .iter()
            .map(|spell| {
                let length = spell.until.millis_since(spell.from).max(0).unsigned_abs();
                vec![
                    self.moment(spell.from),
                    self.moment(spell.until),
                    spoken(Duration::from_millis(length)),
                    words::why(spell.why).to_owned(),
                ]
            })
            .collect();
        let heads = ["from", "until", "how long", "why"];
        let cut = cut(night.blind.len(), night.counts.blind, "blind spells");
        self.list(words::BLIND, &heads, &rows, words::NO_BLIND, cut);
    }

    pub(super) fn phones(&mut self, night: &Night) {
        self.put(format_args!(
            "<section class=\"long\"><h2>{}</h2>",
            words::PHONES
        ));
        let channels = &night.channels;
        match channels.recorded {
            Recorded::Whole => {}
            Recorded::Partly => self.put(format_args!(
                "<p class=\"remarks\">{}</p>",
                words::CHANNELS_PARTLY
            )),
            Recorded::Not => self.put(format_args!("<p>{}</p>", words::CHANNELS_NOT_RECORDED)),
        }
        if !channels.list.is_empty() {
            self.put(format_args!("<p class=\"soft\">{}</p>", words::PHONES_TEXT));
            let rows: Vec<_> = channels.list.iter().map(|it| self.channel(it)).collect();
            let heads = [
                "channel",
                "worked",
                "did not work",
                "delivered",
                "attempts failed",
                "last success",
            ];
            self.table(&heads, &rows, true);
        } else if channels.recorded == Recorded::Whole {
            self.put(format_args!("<p>{}</p>", words::NO_CHANNELS));
        }
        let rows: Vec<_> = night
            .phones
            .iter()
            .map(|stood| {
                vec![
                    self.moment(stood.time),
                    words::phones(stood.state).to_owned(),
                    stood.channels.clone(),
                ]
            })
            .collect();
        if !rows.is_empty() {
            self.put(format_args!("<h3>{}</h3>", words::TOGETHER));
            if let Some(cut) = cut(rows.len(), night.counts.phones, "changes") {
                self.put(format_args!("<p class=\"remarks\">{cut}</p>"));
            }
            self.table(&["since", "state", "channels"], &rows, false);
        }
        self.text.push_str("</section>\n");
    }

    /// The row of a channel.
    fn channel(&self, channel: &Channel) -> Vec<String> {
        let length = |seconds: f64| spoken(Duration::from_secs_f64(seconds.max(0.0)));
        let down: Vec<_> = channel
            .spells
            .iter()
            .filter(|spell| spell.state.is_failure())
            .collect();
        let shown = down.iter().rev().take(MOST_DOWN).rev().map(|spell| {
            let why = spell.fault.map_or("", words::fault);
            let seconds = spell.until.millis_since(spell.from) as f64 / 1000.0;
            format!(
                "{} to {} ({}): {why}",
                self.moment(spell.from),
                self.zone.clock(spell.until),
                length(seconds)
            )
        });
        let mut times: Vec<String> = shown.collect();
        if down.len() > times.len() || channel.spell_count > channel.spells.len() as u64 {
            times.insert(0, format!("{} in all; lately", length(channel.failing)));
        }
        let delivered = match channel.waiting {
            0 => channel.delivered.to_string(),
            waiting => format!("{}; {waiting} waited at the end", channel.delivered),
        };
        vec![
            channel.name.clone(),
            if channel.working > 0.0 {
                length(channel.working)
            } else {
                words::NEVER.to_owned()
            },
            if times.is_empty() {
                words::NEVER.to_owned()
            } else {
                times.join("; ")
            },
            delivered,
            channel.failed.to_string(),
            channel
                .last_success
                .map_or_else(|| "none".to_owned(), |time| self.moment(time)),
        ]
    }

    pub(super) fn events(&mut self, night: &Night) {
        let rows: Vec<_> = night
            .events
            .iter()
            .map(|event| {
                vec![
                    self.moment(event.time),
                    words::kind(event.event).to_owned(),
                    event.message.clone(),
                ]
            })
            .collect();
        let cut = cut(night.events.len(), night.counts.events, "reports");
        self.list(
            words::EVENTS,
            &["time", "kind", "what"],
            &rows,
            words::NO_ALERTS,
            cut,
        );
    }
}

/// What to say of a list that has only the latest.
fn cut(shown: usize, count: u64, what: &str) -> Option<String> {
    (count > shown as u64).then(|| words::cut(shown, count, what))
}

/// Times of failure in the row of a channel.
const MOST_DOWN: usize = 8;
