//! `windrode measure`: the figures as a table, as JSON or as a picture, with a progress bar while the
//! nights run.

use std::thread;

use super::MeasureOptions;
use super::out::{self, Failure, code};
use super::progress::Progress;
use crate::measure::compare::{self, Comparison};
use crate::measure::deal::{Deal, Fitted};
use crate::measure::noise::{self, Noise};
use crate::measure::tally::{LookAt, Method, Report, Spread, Why};
use crate::measure::{self, picture};

/// Runs the nights and prints the results.
pub(super) fn measure(options: &MeasureOptions) -> Result<(), Failure> {
    let threads = options
        .threads
        .or_else(|| thread::available_parallelism().ok());
    let noise = match &options.noise {
        Some(path) => noise::read(path).map_err(|error| Failure::new(code::DATA, error))?,
        None => Noise::default(),
    };
    let wanted = measure::MeasureOptions {
        nights: options.nights,
        seed: options.seed,
        length: options.length,
        threads: threads.unwrap_or(std::num::NonZeroUsize::MIN),
        deal: Deal {
            sea: options.sea,
            noise: noise.recordings.clone(),
            fitted: options.instruments,
            reports: options.reports,
            kinds: options.kind.clone(),
        },
    };
    let times = if options.compare_instruments { 4 } else { 1 };
    let all = wanted.nights * times;
    let progress = Progress::of(all, "nights");
    if options.compare_instruments {
        let comparison = compare::compare(&wanted, |done| progress.at(done));
        progress.end();
        for line in compared(&comparison) {
            out::line(&line)?;
        }
        return Ok(());
    }
    let report = measure::measure(&wanted, |done| progress.at(done));
    progress.end();
    if let Some(file) = &options.picture {
        std::fs::write(file, picture::svg(&report))
            .map_err(|error| Failure::unwritten(file, &error))?;
    }
    if options.json {
        let text = serde_json::to_string_pretty(&report)
            .map_err(|error| Failure::new(code::SOFTWARE, error))?;
        return out::line(&text);
    }
    for line in table(&report, &laid(&noise)) {
        out::line(&line)?;
    }
    Ok(())
}

fn laid(noise: &Noise) -> Vec<String> {
    let names: Vec<&str> = noise.recordings.iter().map(|r| r.name.as_str()).collect();
    let mut lines = Vec::new();
    if !names.is_empty() {
        lines.push(format!(
            "Noise of {} recordings: {}",
            names.len(),
            names.join(", ")
        ));
    }
    for (name, off) in &noise.left_out {
        lines.push(format!(
            "  left out: {name}, one fix in twenty is off by {off:.0} m or more"
        ));
    }
    lines
}

fn compared(comparison: &Comparison) -> Vec<String> {
    let [first, ..] = &comparison.reports;
    let heads = Fitted::COMPARED.map(|fitted| format!("{:>12}", fitted.name()));
    let mut lines = vec![
        format!(
            "{} nights of {:.1} h from seed {}, held with each set of instruments",
            first.nights, first.hours, first.seed
        ),
        "Median metres moved at the alarm; `later` is how much later more instruments make it, 1 is never".to_owned(),
        String::new(),
        format!("{:<38}{:>6}{}{:>8}", "", "drags", heads.concat(), "later"),
    ];
    let mut before = "";
    for row in comparison.rows() {
        if row.by != before {
            lines.push(row.by.to_owned());
            before = row.by;
        }
        let medians = row.medians.map(|median| format!("{median:>12.1}"));
        lines.push(format!(
            "  {:<36}{:>6}{}{:>8.2}",
            row.name,
            row.drags,
            medians.concat(),
            row.later()
        ));
    }
    let wolf = comparison.reports.each_ref().map(|report| {
        let false_alarms = report.methods.first().map_or(0, |m| m.false_alarms);
        format!("{false_alarms:>12}")
    });
    lines.push(format!("{:<44}{}", "false alarms, nights", wolf.concat()));
    lines
}

fn table(report: &Report, laid: &[String]) -> Vec<String> {
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
    ];
    lines.extend_from_slice(laid);
    lines.extend([String::new(), "Raised while the anchor held".to_owned()]);
    for raised in &report.raised {
        lines.push(format!(
            "  {:<14}{:5} nights {:7.1} of 1000{}",
            raised.hazard.name(),
            raised.nights,
            raised.per_thousand,
            if raised.is_false { "   false" } else { "" }
        ));
    }
    let cautions = &report.cautions;
    lines.push(format!(
        "  a drag likely, as a caution: {} of {} quiet nights, {:.1} of 1000, {} in all",
        cautions.nights, report.quiet_nights, cautions.per_thousand, cautions.count
    ));
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
