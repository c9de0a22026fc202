//! Figures from trials: rivals tuned to the same number of false alarms as the watch, then all
//! compared side by side.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::alert::hazard::Hazard;
use crate::measure::classes::{self, Class};
use crate::measure::night::{self, DRAWN, RIVALS, Trial};
use crate::measure::shares::{self, Share};

/// The report in the form of `schemas/measure.schema.json`.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Report {
    /// The seed of the first night; the others follow.
    pub seed: u64,
    /// Nights held.
    pub nights: usize,
    /// Nights in which the anchor held throughout.
    pub quiet_nights: usize,
    /// Nights in which it moved by [`Report::counts_from`] or more.
    pub drags: usize,
    /// Nights in which it moved by less.
    pub small_drags: usize,
    /// A drag must be found from this many metres on.
    pub counts_from: f64,
    /// Hours of each night, unless something ended it.
    pub hours: f64,
    /// Fixes judged.
    pub fixes: u64,
    /// What the watch raised while the anchor held.
    pub raised: Vec<Raised>,
    /// How often the first stage of a drag alarm is shown while the anchor holds.
    pub cautions: Cautions,
    /// The watch first, then its rivals; last the watch's first report, a caution or the alarm.
    pub methods: Vec<Method>,
    /// The watch and the circles by class of night.
    pub classes: Vec<Class>,
    /// What the published probability of a drag is worth.
    pub shares: Vec<Share>,
    /// The nights that went wrong, and those in which the anchor had moved farthest at the alarm.
    pub look_at: Vec<LookAt>,
}

/// A night that is worth repeating by itself.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct LookAt {
    /// Its seed.
    pub seed: u64,
    /// Why it is worth a look.
    pub why: Why,
    /// What was raised; `None` if a drag was missed.
    pub hazard: Option<Hazard>,
    /// Seconds since the night began, or since the anchor began to move.
    pub seconds: Option<f64>,
    /// Metres the anchor had moved.
    pub metres: f64,
}

/// Why a night is worth a look.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Why {
    /// A drag, or a boat outside her circle, was reported while the anchor held.
    FalseAlarm,
    /// A drag was not found.
    Missed,
    /// It was found late.
    Far,
}

/// What was raised while the anchor held.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Raised {
    /// The hazard.
    pub hazard: Hazard,
    /// Number of nights with it.
    pub nights: usize,
    /// The same for each thousand nights.
    pub per_thousand: f64,
    /// Whether it is false by definition because the anchor held.
    pub is_false: bool,
}

/// Cautions of a drag in quiet nights.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Cautions {
    /// Quiet nights with one or more.
    pub nights: usize,
    /// The same for each thousand quiet nights.
    pub per_thousand: f64,
    /// Total number.
    pub count: usize,
}

/// One method's figures.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Method {
    /// Its name.
    pub name: String,
    /// The threshold it was tuned to; metres for circles, standard deviations for oracles.
    pub threshold: Option<f64>,
    /// Nights with an alarm of a drag while the anchor held.
    pub false_alarms: usize,
    /// Drags found.
    pub found: usize,
    /// Drags not found within three hours.
    pub missed: usize,
    /// Small drags that it reported.
    pub small_told: usize,
    /// Metres the anchor had moved at the alarm; a missed drag counts with its full distance.
    pub metres: Spread,
    /// Seconds since it began to move.
    pub seconds: Spread,
    /// Metres at each alarm, in ascending order.
    #[serde(skip)]
    pub each: Vec<f64>,
}

/// A distribution in four figures.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Spread {
    /// Half of the values are less.
    pub median: f64,
    /// Nine of ten are less.
    pub p90: f64,
    /// Nineteen of twenty are less.
    pub p95: f64,
    /// The greatest.
    pub worst: f64,
}

/// A drag this long must be found, metres.
pub const COUNTS_FROM: f64 = 25.0;

/// Sums up the trials.
#[must_use]
pub fn tally(seed: u64, hours: f64, trials: &[Trial]) -> Report {
    let drags: Vec<&Trial> = trials.iter().filter(|t| t.moved >= COUNTS_FROM).collect();
    let small: Vec<&Trial> = trials
        .iter()
        .filter(|t| t.plan.drag.is_some() && t.moved < COUNTS_FROM)
        .collect();
    let false_alarms = trials.iter().filter(|t| cries_wolf(t)).count();
    // Oracles have the noise of the first sea, and no other.
    let known = trials
        .iter()
        .all(|t| t.plan.stirred.is_none() && t.plan.recorded.is_none() && t.plan.reports.is_none());
    let rivals = RIVALS
        .iter()
        .enumerate()
        .filter(|(_, name)| known || !ORACLES.contains(name));
    let mut methods = vec![method(
        "watch",
        None,
        false_alarms,
        &drags,
        &small,
        |trial| trial.alarm,
    )];
    for (number, name) in rivals {
        let quiet: Vec<f64> = trials
            .iter()
            .filter_map(|t| t.rivals.get(number))
            .map(|ladder| ladder.quiet)
            .collect();
        // The circle a crew draws by hand is not tuned.
        let threshold = if *name == DRAWN {
            0.0
        } else {
            threshold_for(quiet.clone(), false_alarms)
        };
        let wolf = quiet.iter().filter(|peak| **peak >= threshold).count();
        methods.push(method(
            name,
            Some(threshold),
            wolf,
            &drags,
            &small,
            |trial| trial.rivals.get(number)?.passed(threshold),
        ));
    }
    let circles: Vec<classes::Circle> = RIVALS
        .iter()
        .enumerate()
        .filter(|(_, name)| ["circle", DRAWN].contains(name))
        .filter_map(|(number, name)| Some((*name, number, methods.get(number + 1)?.threshold?)))
        .collect();
    let told = |trial: &&Trial| {
        cries_wolf(trial) || trial.raised.iter().any(night::Raised::is_drag_caution)
    };
    methods.push(method(
        FIRST_WORD,
        None,
        trials.iter().filter(told).count(),
        &drags,
        &small,
        |trial| trial.first,
    ));
    Report {
        seed,
        nights: trials.len(),
        quiet_nights: trials.iter().filter(|t| t.plan.drag.is_none()).count(),
        drags: drags.len(),
        small_drags: small.len(),
        counts_from: COUNTS_FROM,
        hours,
        fixes: trials.iter().map(|t| t.fixes).sum(),
        raised: raised(trials),
        cautions: cautions(trials),
        classes: classes::classes(trials, &circles),
        shares: shares::shares(trials),
        methods,
        look_at: look_at(trials),
    }
}

fn look_at(trials: &[Trial]) -> Vec<LookAt> {
    let look = |trial: &Trial, why, hazard, seconds, metres| LookAt {
        seed: trial.plan.seed,
        why,
        hazard,
        seconds,
        metres,
    };
    let drags = || trials.iter().filter(|trial| trial.moved >= COUNTS_FROM);
    let wolf = trials.iter().filter_map(|trial| {
        let raised = trial.raised.iter().find(|raised| raised.is_drag_alarm())?;
        let (hazard, at) = (Some(raised.hazard), Some(raised.at));
        Some(look(trial, Why::FalseAlarm, hazard, at, 0.0))
    });
    let missed = drags()
        .filter(|trial| trial.alarm.is_none())
        .map(|trial| look(trial, Why::Missed, None, None, trial.moved));
    let mut far: Vec<LookAt> = drags()
        .filter_map(|trial| {
            let (seconds, metres) = trial.alarm?;
            Some(look(trial, Why::Far, trial.hazard, Some(seconds), metres))
        })
        .collect();
    far.sort_by(|a, b| b.metres.total_cmp(&a.metres));
    far.truncate(FAR);
    wolf.chain(missed).chain(far).collect()
}

/// The watch's first report: its caution, or its alarm if that came first.
pub const FIRST_WORD: &str = "firstWord";
const ORACLES: [&str; 2] = ["oracle", "limit"];
/// At most this many late drags are listed.
const FAR: usize = 5;

/// Whether the watch reported a drag, or a boat outside her circle, while the anchor held.
pub(super) fn cries_wolf(trial: &Trial) -> bool {
    trial.raised.iter().any(night::Raised::is_drag_alarm)
}

fn cautions(trials: &[Trial]) -> Cautions {
    let quiet: Vec<usize> = trials
        .iter()
        .filter(|trial| trial.plan.drag.is_none())
        .map(|trial| trial.raised.iter().filter(|r| r.is_drag_caution()).count())
        .collect();
    let nights = quiet.iter().filter(|count| **count > 0).count();
    Cautions {
        nights,
        per_thousand: nights as f64 * 1000.0 / quiet.len().max(1) as f64,
        count: quiet.iter().sum(),
    }
}

const fn is_drag(hazard: Hazard) -> bool {
    matches!(hazard, Hazard::Dragging | Hazard::SwingExceeded)
}

fn raised(trials: &[Trial]) -> Vec<Raised> {
    let mut nights: BTreeMap<&str, (Hazard, usize)> = Hazard::ALL
        .map(|hazard| (hazard.name(), (hazard, 0)))
        .into();
    for trial in trials {
        for hazard in Hazard::ALL {
            let is_it =
                |raised: &night::Raised| raised.hazard == hazard && !raised.is_drag_caution();
            if trial.raised.iter().any(is_it)
                && let Some((_, count)) = nights.get_mut(hazard.name())
            {
                *count += 1;
            }
        }
    }
    Hazard::ALL
        .iter()
        .filter_map(|hazard| nights.get(hazard.name()))
        .map(|(hazard, count)| Raised {
            hazard: *hazard,
            nights: *count,
            per_thousand: *count as f64 * 1000.0 / trials.len().max(1) as f64,
            is_false: is_drag(*hazard),
        })
        .collect()
}

/// The lowest threshold that at most `allowed` of the quiet peaks reach.
fn threshold_for(mut quiet: Vec<f64>, allowed: usize) -> f64 {
    quiet.sort_by(|a, b| b.total_cmp(a));
    let highest = quiet.get(allowed).copied().unwrap_or(0.0);
    highest + HAIR
}

/// Above the peak itself: an alarm is raised where a number reaches the threshold.
const HAIR: f64 = 1e-6;

fn method(
    name: &str,
    threshold: Option<f64>,
    false_alarms: usize,
    drags: &[&Trial],
    small: &[&Trial],
    alarm: impl Fn(&Trial) -> Option<(f64, f64)>,
) -> Method {
    let alarms: Vec<Option<(f64, f64)>> = drags.iter().map(|trial| alarm(trial)).collect();
    let found = alarms.iter().flatten().count();
    let mut each: Vec<f64> = drags
        .iter()
        .zip(&alarms)
        .map(|(trial, alarm)| alarm.map_or(trial.moved, |(_, metres)| metres))
        .collect();
    each.sort_by(f64::total_cmp);
    let mut seconds: Vec<f64> = alarms
        .iter()
        .flatten()
        .map(|(seconds, _)| *seconds)
        .collect();
    seconds.sort_by(f64::total_cmp);
    Method {
        name: name.to_owned(),
        threshold,
        false_alarms,
        found,
        missed: drags.len() - found,
        small_told: small.iter().filter(|trial| alarm(trial).is_some()).count(),
        metres: spread(&each),
        seconds: spread(&seconds),
        each,
    }
}

pub(super) fn spread(sorted: &[f64]) -> Spread {
    let at = |share| quantile(sorted, share);
    Spread {
        median: at(0.5),
        p90: at(0.9),
        p95: at(0.95),
        worst: at(1.0),
    }
}

/// The value that a share of the values, from 0 to 1, is less than; zero for no values.
pub(super) fn quantile(sorted: &[f64], share: f64) -> f64 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a share of a length"
    )]
    let index = (sorted.len() as f64 * share) as usize;
    sorted.get(index).or(sorted.last()).copied().unwrap_or(0.0)
}
