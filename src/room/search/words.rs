//! Every sentence of the search.

use super::answer::NONE_WITHIN;
use super::{Against, Place, Searcher, WINDS};
use crate::chart::codes::Confidence;
use crate::chart::fetch::Fetch;
use crate::units::{LengthUnit, Metres};

impl Against {
    /// In words, after a number of places.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Land => "land in reach",
            Self::Shoal => "too shoal at low water",
            Self::UnknownDanger => "a danger of unknown depth in reach",
            Self::NoChart => "not all on a chart",
            Self::NoDepth => "no depth on the chart",
            Self::Cable => "over a cable",
            Self::Pipe => "over a pipe",
            Self::Restricted => "anchoring prohibited or restricted",
            Self::Foul => "foul ground, wreck or obstruction in reach",
            Self::RodeShort => "the rode aboard is too short for the depth",
            Self::CircleTooWide => "the circle is too wide",
            Self::Neighbour => "in another vessel's circle",
            Self::NoPlan => "no plan can be made",
        }
    }
}

impl Searcher<'_> {
    /// What speaks for a place, and what against it.
    pub(super) fn reasons(&self, place: &Place, fetch: &[Fetch]) -> (Vec<String>, Vec<String>) {
        let say = |length: Metres| self.wishes.needs.say.exact(length);
        let (mut good, mut bad) = (Vec::new(), Vec::new());
        let clearance = &place.clearance;
        if let Some(least) = &clearance.least
            && let Some((depth, keel)) = least.depth.zip(least.under_keel)
        {
            good.push(format!(
                "least depth in the circle {} on the chart, {} under the keel at low water",
                say(depth),
                self.wishes.needs.say.down(keel)
            ));
            if let Some(error) = least.depth_error
                && error > keel
            {
                bad.push(format!(
                    "the chart's depths may be wrong by {}, more than is left under the keel",
                    say(error)
                ));
            }
        }
        match &clearance.nearest_danger {
            Some(danger) => {
                let room = format!(
                    "{} from the circle to the nearest danger: {}",
                    say(whole(place.danger, self.wishes.needs.say)),
                    danger.what
                );
                if place.danger.get() < LITTLE {
                    bad.push(room);
                } else {
                    good.push(room);
                }
            }
            None => good.push(format!(
                "no danger within {} of the circle",
                say(NONE_WITHIN)
            )),
        }
        if let Some(gap) = &place.neighbour {
            let whose = gap
                .name
                .as_ref()
                .map_or("the nearest vessel's".to_owned(), |name| {
                    format!("that of {name}, the nearest vessel's")
                });
            let room = format!(
                "{} from the circle to {whose}, bearing {}, each at the near edge of its circle",
                say(whole(gap.between, self.wishes.needs.say)),
                gap.bearing
            );
            if gap.between.get() < LITTLE {
                bad.push(room);
            } else {
                good.push(room);
            }
        }
        let open: Vec<&str> = WINDS
            .iter()
            .zip(fetch)
            .filter(|(_, fetch)| fetch.distance >= OPEN)
            .map(|((wind, _), _)| *wind)
            .collect();
        if !open.is_empty() {
            bad.push(format!(
                "a nautical mile or more of open water: {}",
                open.join(", ")
            ));
        }
        match place.sounding {
            Some(distance) if distance.get() > FAR => bad.push(format!(
                "the depth is taken from a sounding {} away; sound the berth",
                say(whole(distance, self.wishes.needs.say))
            )),
            None => bad.push(
                "no sounding near; the depth is that of the depth area, sound the berth".to_owned(),
            ),
            Some(_) => {}
        }
        match clearance.surveys.first() {
            Some(survey) if survey.category >= Confidence::C => bad.push(survey.words.clone()),
            Some(_) => {}
            None => bad.push("survey quality: not stated".to_owned()),
        }
        (good, bad)
    }

    pub(super) fn cautions(&self) -> Vec<String> {
        let mut cautions = Vec::new();
        if self.wishes.neighbours.is_empty() {
            cautions.push("no neighbours known: look around".to_owned());
        } else {
            cautions.push("who has no AIS is not known: look around".to_owned());
        }
        cautions.push(
            "holding and shelter: not judged; a fetch is the distance to the land on the chart"
                .to_owned(),
        );
        if self.sheet.cells().is_empty() {
            cautions.push(
                "there is no chart of this place; add one with: windrode chart add PATH".to_owned(),
            );
        }
        cautions
    }
}

/// Down to a whole metre or foot: a tenth would claim what no chart gives.
fn whole(length: Metres, unit: LengthUnit) -> Metres {
    match unit {
        LengthUnit::Metres => Metres::new(length.get().floor()).unwrap_or(length),
        LengthUnit::Feet => Metres::from_feet(length.feet().floor()),
    }
}

/// Metres of room: less is reported as little.
const LITTLE: f64 = 20.0;
/// A nautical mile of open water. Chosen.
const OPEN: Metres = Metres::of(1852.0);
/// Metres to a sounding.
const FAR: f64 = 50.0;
