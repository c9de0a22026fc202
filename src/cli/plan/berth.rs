//! `plan --berth`: the depth that the charts aboard give there, and the planned circle held against them.

use serde::Serialize;

use crate::chart::clearance::{Clearance, DepthThere, Needs, Room, SEARCHED_BEYOND};
use crate::chart::sheet::Sheet;
use crate::chartroom::ChartRoom;
use crate::cli::chart;
use crate::cli::out::{Failure, code};
use crate::config::Config;
use crate::geodesy::Position;
use crate::speech::Language;
use crate::tackle::plan::{Plan, PlanInputs};
use crate::tackle::water::{Below, Sounding};
use crate::units::Metres;

/// The charts about the berth.
pub(super) struct Berth {
    place: Position,
    sheet: Sheet,
    there: Option<DepthThere>,
}

/// What the charts say of the planned circle.
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Told {
    position: Position,
    /// The depth there; null where no depth area covers it.
    charted: Option<DepthThere>,
    /// Of the circle; null where the rode does not reach the bottom.
    clearance: Option<Clearance>,
    /// The rode is for the shoalest depth known there; how deep it is at most is not known.
    may_be_deeper: bool,
    #[serde(skip)]
    needs: Needs,
}

impl Berth {
    /// Reads the charts about a place.
    pub(super) fn at(config: &Config, place: Position) -> Result<Self, Failure> {
        let room = ChartRoom::of(&config.journal.directory);
        let within = Metres::of(WIDEST) + SEARCHED_BEYOND;
        let sheet = chart::sheet_about(config, &room, place, within)?;
        let there = sheet.depth_at(place);
        Ok(Self {
            place,
            sheet,
            there,
        })
    }

    /// The depth to size the rode by: the deeper bound.
    pub(super) fn sounding(&self) -> Option<Sounding> {
        let there = self.there.as_ref()?;
        Some(Sounding {
            depth: there.most.unwrap_or(there.least),
            below: Below::Datum,
        })
    }

    /// Holds the planned circle against the charts. The circle is over the shoaler bound, as the watch has it.
    pub(super) fn told(self, plan: &Plan, inputs: &PlanInputs) -> Result<Told, Failure> {
        let tide = inputs.tide.as_ref().filter(|tide| tide.above_datum);
        let lowest = tide.map_or(Metres::ZERO, |tide| tide.lowest);
        let boat = &inputs.boat;
        let low = match &self.there {
            Some(there) if inputs.sounding.below == Below::Datum => there.least + lowest,
            _ => plan.depth.lowest,
        };
        let radius = plan.radius_over(low, boat, inputs.stretch);
        let draught = boat.draught();
        let needs = Needs {
            draught: draught.unwrap_or_default(),
            margin: draught.map_or(Metres::ZERO, |_| inputs.keel_margin),
            lowest,
            now: tide.map(|tide| tide.now),
            say: inputs.say,
            language: Language::default(),
        };
        let circle = radius.map(|radius| Room::circle(self.place, radius));
        let circle = circle
            .transpose()
            .map_err(|error| Failure::new(code::USAGE, error))?;
        let clearance = circle.map(|circle| {
            let mut answer = self.sheet.clearance(circle, &needs);
            let cautions = &mut answer.cautions;
            if draught.is_none() {
                cautions.push(
                    "draught not entered: what is left under the keel is not checked; give it as `--draught`"
                        .to_owned(),
                );
            }
            if tide.is_none() {
                cautions.push(chart::NO_TIDE.to_owned());
            }
            if self.sheet.cells().is_empty() {
                cautions.push(chart::NO_CHART.to_owned());
            }
            answer
        });
        let by_chart = inputs.sounding.below == Below::Datum && inputs.rode_out.is_none();
        Ok(Told {
            position: self.place,
            may_be_deeper: by_chart && self.there.as_ref().is_some_and(DepthThere::is_open),
            charted: self.there,
            clearance,
            needs,
        })
    }
}

impl Told {
    /// What is reported before the plan: where, and how deep by the chart.
    pub(super) fn heading(&self) -> String {
        let say = |depth: Metres| self.needs.say.exact(depth);
        let depth = match &self.charted {
            None => "no chart gives the depth there".to_owned(),
            Some(DepthThere {
                least,
                most,
                cell,
                sounded,
            }) => {
                let most = most.map_or("or more".to_owned(), |most| format!("to {}", say(most)));
                let by = match cell {
                    Some(cell) => format!("charted depth {} {most} (`{cell}`)", say(*least)),
                    None => format!("depth {} {most}, no chart gives it", say(*least)),
                };
                let own = sounded.as_ref().map(|own| {
                    let told = own.told().words(&self.needs.wording());
                    format!("; {told}")
                });
                by + &own.unwrap_or_default()
            }
        };
        let by = match &self.charted {
            Some(there) if there.cell.is_none() => "shoalest sounding",
            _ => "shoal bound",
        };
        let short = if self.may_be_deeper {
            format!(
                "; this rode is for the {by} and may be TOO SHORT, sound the berth before letting go"
            )
        } else {
            String::new()
        };
        format!("berth at {}: {depth}{short}", self.position)
    }

    /// What the charts say of the circle.
    pub(super) fn page(&self) -> Vec<String> {
        let Some(clearance) = &self.clearance else {
            return vec!["the rode does not reach the bottom: there is no circle".to_owned()];
        };
        chart::cleared(clearance, &self.needs)
    }
}

/// Metres: as wide as a circle may be.
const WIDEST: f64 = 2000.0;
