//! What the search reports about a place.

use super::answer::NONE_WITHIN;
use super::{Against, Place, Searcher, WINDS};
use crate::chart::codes::Confidence;
use crate::chart::fetch::Fetch;
use crate::speech::berths::{ChartCaution, Search, SearchAgainst, SearchCaution, SearchReason};
use crate::speech::{Down, Exact, Sentence};
use crate::units::{LengthUnit, Metres};

impl Against {
    /// The introduction for the crew to a number of places.
    #[must_use]
    pub const fn told(self) -> SearchAgainst {
        match self {
            Self::Land => SearchAgainst::Land,
            Self::Shoal => SearchAgainst::Shoal,
            Self::UnknownDanger => SearchAgainst::UnknownDanger,
            Self::NoChart => SearchAgainst::NoChart,
            Self::NoDepth => SearchAgainst::NoDepth,
            Self::Cable => SearchAgainst::Cable,
            Self::Pipe => SearchAgainst::Pipe,
            Self::Restricted => SearchAgainst::Restricted,
            Self::Foul => SearchAgainst::Foul,
            Self::RodeShort => SearchAgainst::RodeShort,
            Self::CircleTooWide => SearchAgainst::CircleTooWide,
            Self::Neighbour => SearchAgainst::Neighbour,
            Self::NoPlan => SearchAgainst::NoPlan,
        }
    }
}

impl Searcher<'_> {
    /// What speaks for a place, and what speaks against it.
    pub(super) fn reasons(&self, place: &Place, fetch: &[Fetch]) -> (Vec<String>, Vec<String>) {
        let say = self.wishes.needs.wording();
        let whole = |length: Metres| Exact(whole(length, say.lengths));
        let (mut good, mut bad) = (Vec::new(), Vec::new());
        let clearance = &place.clearance;
        if let Some(least) = &clearance.least
            && let Some((depth, keel)) = least.depth.zip(least.under_keel)
        {
            good.push(SearchReason::LeastDepth {
                depth: Exact(depth),
                keel: Down(keel),
            });
            if let Some(error) = least.depth_error
                && error > keel
            {
                bad.push(SearchReason::ChartWrong { by: Exact(error) });
            }
        }
        match &clearance.nearest_danger {
            Some(danger) => {
                by_room(place.danger, &mut good, &mut bad).push(SearchReason::Danger {
                    room: whole(place.danger),
                    danger: danger.what.clone(),
                });
            }
            None => good.push(SearchReason::NoDanger {
                within: Exact(NONE_WITHIN),
            }),
        }
        if let Some(gap) = &place.neighbour {
            by_room(gap.between, &mut good, &mut bad).push(SearchReason::Neighbour {
                room: whole(gap.between),
                name: gap.name.clone(),
                bearing: gap.bearing,
            });
        }
        let open: Vec<Search> = WINDS
            .iter()
            .zip(fetch)
            .filter(|(_, fetch)| fetch.distance >= OPEN)
            .map(|((from, _), _)| Search::Wind { from })
            .collect();
        if !open.is_empty() {
            bad.push(SearchReason::OpenWater {
                winds: Sentence::several(open, ", "),
            });
        }
        match place.sounding {
            Some(distance) if distance.get() > FAR => bad.push(SearchReason::SoundingAway {
                distance: whole(distance),
            }),
            None => bad.push(SearchReason::NoSounding),
            Some(_) => {}
        }
        let words = |reasons: Vec<SearchReason>| -> Vec<String> {
            let reasons = reasons.into_iter();
            reasons.map(|reason| reason.words(&say)).collect()
        };
        let (good, mut bad) = (words(good), words(bad));
        match clearance.surveys.first() {
            Some(survey) if survey.category >= Confidence::C => bad.push(survey.words.clone()),
            Some(_) => {}
            None => bad.push(ChartCaution::NoSurvey.words(&say)),
        }
        (good, bad)
    }

    pub(super) fn cautions(&self) -> Vec<Sentence> {
        let mut cautions = vec![
            if self.wishes.neighbours.is_empty() {
                SearchCaution::NoNeighbours.into()
            } else {
                SearchCaution::NoAis.into()
            },
            SearchCaution::NotJudged.into(),
        ];
        if self.sheet.cells().is_empty() {
            cautions.push(ChartCaution::NoChart.into());
        }
        cautions
    }
}

/// Rounded down to a whole metre or foot: a tenth would claim more than any chart gives.
fn whole(length: Metres, unit: LengthUnit) -> Metres {
    match unit {
        LengthUnit::Metres => Metres::new(length.get().floor()).unwrap_or(length),
        LengthUnit::Feet => Metres::from_feet(length.feet().floor()),
    }
}

/// The list that this room belongs to.
fn by_room<'l, T>(room: Metres, good: &'l mut T, bad: &'l mut T) -> &'l mut T {
    if room.get() < LITTLE { bad } else { good }
}

/// Metres of room: less than this is reported as little.
const LITTLE: f64 = 20.0;
/// A nautical mile of open water. Chosen.
const OPEN: Metres = Metres::of(1852.0);
/// Metres to a sounding: beyond this it is far.
const FAR: f64 = 50.0;
