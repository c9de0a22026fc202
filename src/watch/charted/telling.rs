//! What the crew is told about the planned circle and about room to swing.

use serde_json::{Map, Value, json};

use crate::alert::desk::Finding as Told;
use crate::alert::hazard::Priority;
use crate::chart::clearance::{DepthThere, Finding, RoomTold};
use crate::speech::alerts::Alert;
use crate::speech::charts::{Height, Planning, RoomToSwing, Share, Sounded};
use crate::speech::{Depth, Scope, Sentence};
use crate::units::Metres;
use crate::watch::berth::{DepthBy, Planned};
use crate::watch::judgement::{centimetres, finding};

impl Planned {
    /// The planned circle, and what the chart says about it once it has been read.
    #[must_use]
    pub fn told(&self) -> Sentence {
        let room = self.room.as_ref();
        let room = room.map(|room| told_of(room, self.room_least).into());
        let planned = Sentence::from(planned_circle(self));
        Sentence::several([Some(planned), room].into_iter().flatten(), "; ")
    }
}

/// The planned circle in one sentence.
#[must_use]
pub fn planned_circle(planned: &Planned) -> Planning {
    let scope = planned.scope_at_high_water.map(Scope);
    let scope = if planned.wishes.rode.is_some() {
        Planning::ScopeAsAsked { scope }
    } else {
        Planning::Scope {
            scope,
            planned: Scope(planned.scope),
            why: Sentence::verbatim(&planned.scope_because),
        }
    };
    Planning::Circle {
        depth: depth_told(planned).into(),
        rode: planned.rode,
        scope: scope.into(),
        may_be_deeper: planned.may_be_deeper() && planned.wishes.rode.is_none(),
        by_soundings: planned.depth_by == DepthBy::Soundings,
        aboard: planned
            .rode_aboard
            .filter(|_| planned.enough == Some(false)),
        circle: planned.radius,
    }
}

fn depth_told(planned: &Planned) -> Planning {
    let by = match &planned.charted {
        Some(there) if planned.depth_by == DepthBy::Soundings => sounded_before(there).into(),
        Some(there) => charted(there).into(),
        None => Sentence::from(Planning::Sounded),
    };
    let (high, low) = (planned.depth_at_high_water, planned.depth_at_low_water);
    match (planned.until, &planned.charted) {
        (Some(_), _) => Planning::DepthWithTide {
            by,
            high: Depth(high),
            low: Depth(low),
        },
        (None, Some(_)) => Planning::ChartedNoTide { by },
        (None, None) => Planning::SoundedNoTide {
            by,
            depth: Depth(low),
        },
    }
}

/// `sounded there before: 5.2 m or more, the shoalest on 2026-05-03, tide from Föglö; no chart gives the depth`.
fn sounded_before(there: &DepthThere) -> Planning {
    let shoalest = there.sounded.as_ref();
    Planning::SoundedBefore {
        least: Height::of(there.least).into(),
        shoalest: shoalest.map(|own| Sounded::on(own.at, own.tide.told()).into()),
    }
}

/// `charted depth 1.8 m to 3.6 m`.
fn charted(there: &DepthThere) -> Planning {
    let own = there.sounded.as_ref();
    let own = own.map(|own| Sounded::of(own.depth, own.at, own.tide.told()).into());
    let least = Height::of(there.least).into();
    if there.most == Some(there.least) {
        return Planning::ChartedAt { depth: least, own };
    }
    let most = there.most.map(|most| Height::of(most).into());
    Planning::Charted { least, most, own }
}

/// What the chart says about a circle, in one sentence.
#[must_use]
pub fn told_of(room: &RoomTold, least: Option<Metres>) -> RoomToSwing {
    let chart = room.chart.clone();
    if room.clears {
        let own = room.soundings.as_ref().filter(|own| own.governs);
        RoomToSwing::Clear {
            least: least.map(Depth),
            own: own.map(|own| own.told().into()),
            chart,
        }
    } else {
        let reasons = room.reasons.join("; ");
        RoomToSwing::NotClear { reasons, chart }
    }
}

/// She has let go, and the chart does not clear the circle about the anchor.
pub(in crate::watch) fn try_again(room: &RoomTold) -> RoomToSwing {
    RoomToSwing::NotClearHere {
        reasons: room.reasons.join("; "),
        chart: room.chart.clone(),
    }
}

/// The numbers behind the sentence.
pub(in crate::watch) fn evidence(room: &RoomTold) -> Map<String, Value> {
    let mut evidence = Map::new();
    let mut put = |name: &str, value: Value| {
        evidence.insert(name.to_owned(), value);
    };
    put("findings", json!(room.findings));
    put("radius", json!(centimetres(room.radius)));
    put("shareTooShoal", json!(thousandths(room.share_too_shoal)));
    put(
        "shareNotCovered",
        json!(thousandths(room.share_not_covered)),
    );
    let own = room.soundings.as_ref().filter(|own| own.governs);
    let least = room.least.as_ref().and_then(|least| least.depth);
    match (own, least) {
        (Some(own), _) => {
            put("leastSounded", json!(centimetres(own.least)));
            put("soundedAt", json!(own.at));
            put("soundedTide", json!(own.tide));
        }
        (None, Some(depth)) => put("leastCharted", json!(centimetres(depth))),
        (None, None) => {}
    }
    put("chart", json!(room.chart));
    evidence
}

/// Hazard `shoaling` by the chart: it is too shoal somewhere in her circle at the coming low water. `slack` is the
/// depth above the margin that is needed to end a hazard that is already reported.
pub(super) fn shoaling(
    room: &RoomTold,
    draught: Option<Metres>,
    lowest: Metres,
    margin: Metres,
    slack: Metres,
) -> Option<Told<Sentence>> {
    let draught = draught?;
    let least = room.least.as_ref();
    let left = least
        .and_then(|least| least.depth)
        .map(|depth| depth + lowest - draught);
    let short = left.filter(|left| *left < margin + slack);
    let solid = room.found(Finding::Solid);
    let unknown = room.found(Finding::UnknownDanger);
    if short.is_none() && !solid && !unknown {
        return None;
    }
    let severity = if solid || unknown {
        draught + margin
    } else {
        (margin - short?).max(Metres::ZERO)
    };
    let share = room.share_too_shoal;
    let named = room
        .findings
        .iter()
        .zip(&room.reasons)
        .filter(|(finding, _)| is_shoal(**finding))
        .map(|(_, reason)| reason.as_str());
    let named: Vec<&str> = named.collect();
    let told = Alert::ShoalingCharted {
        share: (share > 0.0).then(|| Share::of(share).into()),
        // Already reported, and now a little more than the margin.
        reasons: (!named.is_empty()).then(|| named.join("; ")),
        chart: room.chart.clone(),
    };
    Some(finding(
        Priority::Warning,
        severity.get(),
        told,
        Value::Object(evidence(room)),
    ))
}

/// Does the finding mean too little water?
pub(super) const fn is_shoal(finding: Finding) -> bool {
    matches!(
        finding,
        Finding::Solid
            | Finding::Grounds
            | Finding::GroundsAtLowWater
            | Finding::MarginShort
            | Finding::UnknownDanger
    )
}

fn thousandths(share: f64) -> f64 {
    (share * 1000.0).round() / 1000.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::clearance::LeastTold;
    use crate::units::Bearing;

    const DRAUGHT: Metres = Metres::of(1.9);
    const MARGIN: Metres = Metres::of(1.0);

    /// The least depth by the chart is this, at a lowest water of half a metre.
    fn severity(findings: &[Finding], least: Option<f64>, slack: f64) -> Option<f64> {
        let room = RoomTold {
            findings: findings.to_vec(),
            least: least.map(|depth| LeastTold {
                depth: Metres::new(depth),
                what: "depth area".to_owned(),
                distance: Metres::of(20.0),
                bearing: Bearing::default(),
            }),
            ..RoomTold::default()
        };
        let low = Metres::of(0.5);
        let told = shoaling(&room, Some(DRAUGHT), low, MARGIN, Metres::of(slack))?;
        Some(told.severity)
    }

    fn assert_near(found: Option<f64>, wanted: f64) {
        assert!(
            found.is_some_and(|found| (found - wanted).abs() < 1e-9),
            "{found:?}, not {wanted}"
        );
    }

    /// 2 m and half a metre of tide leave 0.6 m under the keel, where a metre should be.
    #[test]
    fn a_shoal_is_as_grave_as_what_is_missing_under_the_keel() {
        assert_near(severity(&[], Some(2.0), 0.0), 0.4);
        assert_eq!(severity(&[], Some(2.5), 0.0), None);
        // Once it is reported, a little more than the margin is needed; that lacks nothing.
        assert_near(severity(&[], Some(2.5), 0.2), 0.0);
        assert_eq!(severity(&[], Some(2.7), 0.2), None);
        assert_eq!(severity(&[Finding::NotCovered], None, 0.0), None);
    }

    #[test]
    fn the_evidence_has_shares_in_thousandths() {
        let room = RoomTold {
            share_too_shoal: 0.123_45,
            share_not_covered: 0.000_4,
            ..RoomTold::default()
        };
        let evidence = evidence(&room);
        assert_eq!(evidence["shareTooShoal"], json!(0.123));
        assert_eq!(evidence["shareNotCovered"], json!(0.0));
    }

    /// Nothing is left under the keel, and the keel itself is in the way: 2.9 m.
    #[test]
    fn land_and_rocks_of_unknown_depth_are_graver_than_any_shoal() {
        for finding in [Finding::Solid, Finding::UnknownDanger] {
            assert_near(severity(&[finding], Some(2.0), 0.0), 2.9);
            assert_near(severity(&[finding], None, 0.0), 2.9);
        }
    }
}
