//! What must survive a power cut, in the form of the journal. The form is that of the first version, so
//! that windrode can be downgraded at sea: the first anchor is the `mark`, and everything else about how
//! she is moored is the `manner`. The watch itself holds a list of anchors, see
//! [`mooring`](super::anchorage::Mooring).

use serde::{Deserialize, Serialize};

use crate::alert::hazard::{AlertView, Hazard};
use crate::geodesy::Position;
use crate::tackle::snubber::Snubber;
use crate::time::Timestamp;
use crate::units::{Bearing, Metres};
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::berth::BerthWishes;
use crate::watch::changed::Changed;
use crate::watch::drag::{Found, Origin};
use crate::watch::instruments::hearing::Instrument;
use crate::watch::neighbours::kept::SavedNeighbour;

/// What must survive a power cut: small, and written as a whole at each change that matters.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Saved {
    /// The phase of the anchor.
    pub phase: AnchorPhase,
    /// Since when, by the clock at that time.
    pub phase_since: Option<Timestamp>,
    /// The mark, while the anchor is down.
    pub mark: Option<SavedMark>,
    /// What else is known about how she lies.
    #[serde(default)]
    pub manner: SavedMooring,
    /// The planned position of the anchor.
    pub berth: Option<Position>,
    /// What was entered with the berth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub berth_wishes: Option<BerthWishes>,
    /// Alerts that are not normal, as they stood.
    pub alerts: Vec<AlertView>,
    /// How bad each was when somebody acknowledged it: if it gets worse, it is reported again.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub measures: Vec<(Hazard, f64)>,
    /// The last raise number given out.
    pub raises: u64,
    /// How somebody changed the watch, until the crew has acknowledged it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub changes: Vec<Changed>,
    /// Smallest sounding minus tide since the anchor was let go.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_sounded: Option<Metres>,
    /// The instruments that were heard at anchor.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub heard: Vec<Instrument>,
    /// The hazard `shoaling` is reported because of the chart: after a restart it stands until the chart has been read
    /// again.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub shoal_by_chart: bool,
    /// The vessels that lie nearby.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub neighbours: Vec<SavedNeighbour>,
    /// Time constants of her last coasts, in seconds, which show how far she carries; see
    /// [`way`](crate::room::approach::way).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub coasts: Vec<f64>,
}

impl Saved {
    /// Does it differ in more than the wording of a standing alert and a hand's breadth of water? The
    /// wording changes every ten seconds during a drag, soundings change all the time; neither is worth
    /// a write to a memory card.
    #[must_use]
    pub fn differs(&self, other: &Self) -> bool {
        // Every member by name: a member that is forgotten here does not compile.
        let Self {
            phase,
            phase_since,
            mark,
            manner,
            berth,
            berth_wishes,
            alerts,
            measures,
            raises,
            changes,
            least_sounded,
            heard,
            shoal_by_chart,
            neighbours,
            coasts,
        } = self;
        let key = |view: &AlertView| (view.hazard, view.priority, view.state, view.raise);
        let sounded_alike = match (least_sounded, other.least_sounded) {
            (Some(least), Some(before)) => (*least - before).get().abs() < SOUNDED_ALIKE,
            (least, before) => least.is_none() && before.is_none(),
        };
        *phase != other.phase
            || *phase_since != other.phase_since
            || *mark != other.mark
            || *manner != other.manner
            || *berth != other.berth
            || *berth_wishes != other.berth_wishes
            || *measures != other.measures
            || *raises != other.raises
            || *changes != other.changes
            || *heard != other.heard
            || *shoal_by_chart != other.shoal_by_chart
            || *neighbours != other.neighbours
            || *coasts != other.coasts
            || !alerts.iter().map(key).eq(other.alerts.iter().map(key))
            || !sounded_alike
    }
}

/// What is known about the anchor since it was let go.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct SavedMark {
    /// Its position.
    pub position: Position,
    /// Where the crew marked it, if the watch has moved the mark since.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub made: Option<Position>,
    /// How well the position was known when it was marked, one standard deviation.
    pub doubt: Metres,
    /// The additional error because heading or antenna were not known then.
    #[serde(default)]
    pub lever: Metres,
    /// What it was marked by. Earlier versions did not save it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub origin: Option<Origin>,
    /// When it was let go.
    pub let_go: Timestamp,
    /// Depth of water at the anchor at that time.
    pub depth: Option<Metres>,
    /// Rode veered, as far as the crew entered it.
    pub rode: Option<Metres>,
    /// The crew's own radius, to the boat's centre.
    pub max_radius: Option<Metres>,
    /// The wind direction when the anchor was set.
    pub wind: Option<Bearing>,
    /// What the watch has found out since about its position.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub found: Option<Found>,
}

/// How she lies, apart from the mark.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct SavedMooring {
    /// What the mark is.
    #[serde(default)]
    pub kind: MooringKind,
    /// The circle that was entered with it, to her centre.
    #[serde(default)]
    pub radius: Option<Metres>,
    /// Another anchor.
    #[serde(default)]
    pub second: Option<SavedSecond>,
    /// The wind when the crew last acknowledged a shift.
    #[serde(default)]
    pub wind_seen: Option<Bearing>,
    /// A snubber or bridle in use.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub snubber: Option<Snubber>,
}

/// The second of two anchors.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct SavedSecond {
    /// Its position.
    pub position: Position,
    /// How well the position was known, one standard deviation.
    pub doubt: Metres,
    /// The additional error because heading or antenna were not known.
    pub lever: Metres,
    /// What it was marked by. Earlier versions did not save it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub origin: Option<Origin>,
    /// Depth of water there.
    pub depth: Option<Metres>,
    /// Rode veered to it.
    pub rode: Option<Metres>,
}

/// A change of depth that is not worth a write, in metres.
const SOUNDED_ALIKE: f64 = 0.1;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::alert::hazard::{AlertState, Priority};

    #[test]
    fn a_shallower_spot_is_worth_a_write_and_a_ripple_is_not() {
        let sounded = |metres: Option<f64>| Saved {
            least_sounded: metres.map(Metres::of),
            ..Saved::default()
        };
        let before = sounded(Some(4.0));
        assert!(!sounded(Some(3.95)).differs(&before));
        assert!(sounded(Some(3.8)).differs(&before));
        assert!(sounded(None).differs(&before));
        assert!(before.differs(&sounded(None)));
        let measured = Saved {
            measures: vec![(Hazard::Shoaling, 0.3)],
            ..before.clone()
        };
        assert!(measured.differs(&before));
    }

    fn alert(message: &str, state: AlertState) -> AlertView {
        AlertView {
            hazard: Hazard::Dragging,
            priority: Priority::Alarm,
            state,
            message: message.to_owned(),
            since: Timestamp::EPOCH,
            raise: 3,
            escalation: 0,
            escalated: false,
        }
    }

    #[test]
    fn a_change_of_any_member_is_worth_a_write() {
        type Change = (&'static str, fn(&mut Saved, Position));
        let at = Position::of(59.8539, 23.26);
        let changes: [Change; 14] = [
            ("phase", |saved, _| saved.phase = AnchorPhase::Set),
            ("phase_since", |saved, _| {
                saved.phase_since = Some(Timestamp::EPOCH);
            }),
            ("mark", |saved, position| {
                saved.mark = Some(SavedMark {
                    position,
                    made: None,
                    doubt: Metres::of(2.5),
                    lever: Metres::ZERO,
                    origin: None,
                    let_go: Timestamp::EPOCH,
                    depth: None,
                    rode: None,
                    max_radius: None,
                    wind: None,
                    found: None,
                });
            }),
            ("manner", |saved, _| {
                saved.manner.kind = MooringKind::Mooring;
            }),
            ("berth", |saved, position| saved.berth = Some(position)),
            ("berth_wishes", |saved, _| {
                saved.berth_wishes = Some(BerthWishes::default());
            }),
            ("alerts", |saved, _| {
                saved.alerts = vec![alert("dragging", AlertState::ActiveUnacknowledged)];
            }),
            ("measures", |saved, _| {
                saved.measures = vec![(Hazard::Dragging, 12.0)];
            }),
            ("raises", |saved, _| saved.raises = 1),
            ("least_sounded", |saved, _| {
                saved.least_sounded = Some(Metres::of(4.0));
            }),
            ("heard", |saved, _| saved.heard = vec![Instrument::Wind]),
            ("shoal_by_chart", |saved, _| saved.shoal_by_chart = true),
            ("neighbours", |saved, position| {
                saved.neighbours = vec![SavedNeighbour {
                    context: "vessels.urn:mrn:imo:mmsi:230000001".to_owned(),
                    name: None,
                    length: None,
                    from_bow: None,
                    position,
                    heard: Timestamp::EPOCH,
                    circle: None,
                }];
            }),
            ("coasts", |saved, _| saved.coasts = vec![60.0]),
        ];
        let before = Saved::default();
        assert!(!before.differs(&before));
        for (member, change) in changes {
            let mut after = before.clone();
            change(&mut after, at);
            assert!(after.differs(&before), "{member}");
        }
    }

    #[test]
    fn new_words_of_an_alert_are_not_worth_a_write_and_a_new_state_is() {
        let with = |alert| Saved {
            alerts: vec![alert],
            ..Saved::default()
        };
        let before = with(alert("12 m", AlertState::ActiveUnacknowledged));
        assert!(!with(alert("13 m", AlertState::ActiveUnacknowledged)).differs(&before));
        assert!(with(alert("12 m", AlertState::ActiveAcknowledged)).differs(&before));
    }
}
