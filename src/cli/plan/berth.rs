//! `plan --berth`: the charted depth at the berth, and the planned circle compared with the charts.

use serde::Serialize;

use crate::chart::clearance::{Clearance, DepthThere, Needs, Room, SEARCHED_BEYOND};
use crate::chart::sheet::Sheet;
use crate::chartroom::ChartRoom;
use crate::cli::chart;
use crate::cli::out::{Failure, code};
use crate::config::Config;
use crate::geodesy::Position;
use crate::speech::Exact;
use crate::speech::berths::ChartCaution;
use crate::speech::plans::{BerthTold, Plan as Said};
use crate::tackle::plan::{Plan, PlanInputs};
use crate::tackle::water::{Below, Sounding};
use crate::units::Metres;

/// The charts around the berth.
pub(super) struct Berth {
    place: Position,
    sheet: Sheet,
    there: Option<DepthThere>,
}

/// The charts' data about the planned circle.
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Told {
    position: Position,
    /// The depth there; null if no depth area covers it.
    charted: Option<DepthThere>,
    /// Radius of the circle; null if the rode does not reach the bottom.
    clearance: Option<Clearance>,
    /// The rode is sized for the shoalest depth known there; the greatest depth is unknown.
    may_be_deeper: bool,
    #[serde(skip)]
    needs: Needs,
}

impl Berth {
    /// Reads the charts around a place.
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

    /// The depth for sizing the rode: the deeper bound.
    pub(super) fn sounding(&self) -> Option<Sounding> {
        let there = self.there.as_ref()?;
        Some(Sounding {
            depth: there.most.unwrap_or(there.least),
            below: Below::Datum,
        })
    }

    /// Compares the planned circle with the charts. The circle is based on the shoaler bound, as in the
    /// watch.
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
            language: inputs.language,
        };
        let circle = radius.map(|radius| Room::circle(self.place, radius));
        let circle = circle
            .transpose()
            .map_err(|error| Failure::new(code::USAGE, error))?;
        let clearance = circle.map(|circle| {
            let mut answer = self.sheet.clearance(circle, &needs);
            let cautions = &mut answer.cautions;
            if draught.is_none() {
                cautions.push(BerthTold::NoDraught.words(&needs.wording()));
            }
            if tide.is_none() {
                cautions.push(ChartCaution::NoTide.words(&needs.wording()));
            }
            if self.sheet.cells().is_empty() {
                cautions.push(ChartCaution::NoChart.words(&needs.wording()));
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
    /// The report before the plan: the place, and its charted depth.
    pub(super) fn heading(&self) -> String {
        let charted = self.charted.as_ref();
        let depth = charted.map_or(BerthTold::NoChart, |there| {
            let (least, most) = (Exact(there.least), there.most.map(Exact));
            match &there.cell {
                Some(cell) => BerthTold::Charted {
                    least,
                    most,
                    cell: cell.clone(),
                },
                None => BerthTold::Sounded { least, most },
            }
        });
        let by = match charted {
            Some(there) if there.cell.is_none() => "sounding",
            _ => "bound",
        };
        let told = BerthTold::At {
            position: self.position.to_string(),
            depth: depth.into(),
            own: charted.and_then(|there| Some(there.sounded.as_ref()?.told().into())),
            short: self.may_be_deeper.then_some(by),
        };
        told.words(&self.needs.wording())
    }

    /// The charts' data about the circle.
    pub(super) fn page(&self) -> Vec<String> {
        let Some(clearance) = &self.clearance else {
            return vec![Said::NoCircle.words(&self.needs.wording())];
        };
        chart::cleared(clearance, &self.needs)
    }
}

/// Metres: the largest radius of a circle.
const WIDEST: f64 = 2000.0;
