//! `windrode measure`: the figures as a table, as JSON, as a picture; a bar while the nights pass.

use std::io::{self, IsTerminal, Write};
use std::thread;

use super::MeasureOptions;
use super::out::{self, Failure, code};
use crate::measure::tally::{LookAt, Method, Report, Spread, Why};
use crate::measure::{self, picture};

/// Holds the nights and prints what came of them.
pub(super) fn measure(options: &MeasureOptions) -> Result<(), Failure> {
    let threads = options
        .threads
        .or_else(|| thread::available_parallelism().ok());
    let wanted = measure::MeasureOptions {
        nights: options.nights,
        seed: options.seed,
        length: options.length,
        threads: threads.unwrap_or(std::num::NonZeroUsize::MIN),
    };
    let bar = io::stderr().is_terminal() && !options.json;
    let report = measure::measure(&wanted, |done| {
        if bar {
            // Nobody can be told if that fails.
            let _ = write!(
                io::stderr().lock(),
                "\r\x1b[K{done} of {} nights",
                wanted.nights
            );
        }
    });
    if bar {
        let _ = write!(io::stderr().lock(), "\r\x1b[K");
    }
    if let Some(file) = &options.picture {
        std::fs::write(file, picture::svg(&report)).map_err(|error| {
            Failure::new(
                code::IO,
                format!("`{}` cannot be written: {error}", file.display()),
            )
        })?;
    }
    if options.json {
        let text = serde_json::to_string_pretty(&report)
            .map_err(|error| Failure::new(code::SOFTWARE, error))?;
        return out::line(&text);
    }
    for line in table(&report) {
        out::line(&line)?;
    }
    Ok(())
}

fn table(report: &Report) -> Vec<String> {
    let mut lines = vec![
        "Simulated nights, invented boats: figures to compare methods by, no promise.".to_owned(),
        "An aid, no substitute for a lookout and an anchor watch. Not for navigation.".to_owned(),
        String::new(),
        format!(
            "{} nights of {:.1} h from seed {}, {} fixes: {} quiet, {} drags of {:.0} m or more, {} smaller",
            report.nights,
            report.hours,
            report.seed,
            report.fixes,
            report.quiet_nights,
            report.drags,
            report.counts_from,
            report.small_drags,
        ),
        String::new(),
        "Raised while the anchor held".to_owned(),
    ];
    for raised in &report.raised {
        lines.push(format!(
            "  {:<14}{:5} nights {:7.1} of 1000{}",
            raised.hazard.name(),
            raised.nights,
            raised.per_thousand,
            if raised.is_false { "   false" } else { "" }
        ));
    }
    lines.push(String::new());
    lines.push(format!(
        "{:<10}{:>6}{:>7}{:>7}   {:<27} {}",
        "method", "false", "found", "missed", "metres moved at the alarm", "seconds"
    ));
    let heads = "median    90 %   95 %  worst";
    lines.push(format!("{:<33}{heads} {heads}", ""));
    lines.extend(report.methods.iter().map(row));
    lines.extend(by_class(report));
    lines.extend(probabilities(report));
    if !report.look_at.is_empty() {
        lines.push(String::new());
        lines.push("Worth a look, each by itself with `--nights 1 --seed`".to_owned());
        lines.extend(report.look_at.iter().map(look));
    }
    lines
}

fn by_class(report: &Report) -> Vec<String> {
    let names = report.classes.first().map_or(&[][..], |c| &c.methods);
    let heads: Vec<String> = names
        .iter()
        .map(|method| format!("   {:<22}", method.name))
        .collect();
    let heads = heads.concat();
    let figures = "   false missed  half  90 %".repeat(names.len());
    let mut lines = vec![
        String::new(),
        "By class of night, metres moved at the alarm".to_owned(),
        format!("{:<36}{}", "", heads.trim_end()),
        format!("{:<24}{:>6}{:>6}{figures}", "", "nights", "drags"),
    ];
    let mut before = "";
    for class in &report.classes {
        if class.by != before {
            lines.push(class.by.to_owned());
            before = class.by;
        }
        let each: Vec<String> = class
            .methods
            .iter()
            .map(|m| {
                format!(
                    "{:>8}{:>7}{:>6.1}{:>6.1}",
                    m.false_alarms, m.missed, m.metres.median, m.metres.p90
                )
            })
            .collect();
        lines.push(format!(
            "  {:<22}{:>6}{:>6}{}",
            class.name,
            class.nights,
            class.drags,
            each.concat()
        ));
    }
    lines
}

fn probabilities(report: &Report) -> Vec<String> {
    let mut lines = vec![
        String::new(),
        "The published probability of a drag, and how often the anchor had moved then".to_owned(),
    ];
    lines.extend(report.shares.iter().map(|share| {
        let moved = share
            .moved
            .map_or("-".to_owned(), |moved| format!("{:.1} %", moved * 100.0));
        format!(
            "  {:<12}{:>10} s{:>9}",
            format!("{:.1} to {:.1}", share.from, share.to),
            share.seconds,
            moved
        )
    }));
    lines
}

fn look(night: &LookAt) -> String {
    let hazard = night.hazard.map_or("", |hazard| hazard.name());
    let seconds = night.seconds.unwrap_or_default();
    let what = match night.why {
        Why::FalseAlarm => format!("{hazard} after {seconds:.0} s while the anchor held"),
        Why::Missed => format!("missed: the anchor moved {:.1} m", night.metres),
        Why::Far => format!("{hazard} {:.1} m and {seconds:.0} s late", night.metres),
    };
    format!("  {:<12} {what}", night.seed)
}

fn row(method: &Method) -> String {
    let metres = |s: &Spread| format!("{:6.1}{:8.1}{:7.1}{:7.1}", s.median, s.p90, s.p95, s.worst);
    let seconds = |s: &Spread| format!("{:7.0}{:8.0}{:7.0}{:7.0}", s.median, s.p90, s.p95, s.worst);
    format!(
        "{:<10}{:>6}{:>7}{:>7}   {}{}",
        method.name,
        method.false_alarms,
        method.found,
        method.missed,
        metres(&method.metres),
        seconds(&method.seconds)
    )
}
