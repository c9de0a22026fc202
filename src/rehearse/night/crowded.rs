//! A crowded anchorage: a chart aboard, four boats at anchor with transponders, and one of them drags down on us.
//!
//! The first berth lies beside a shoal and the chart check warns of it; the second one is clear. She anchors there. The
//! wind veers by 60° and everybody swings, which is no danger. Then the anchor of the boat up-wind breaks out. The
//! watch must report her name, bearing, distance and rate while there is time, raise an alarm before she is alongside,
//! and not blame our own anchor, which holds. Her crew wakes, she motors clear, and the alert ends.

use std::time::Duration;

use serde_json::{Value, json};

use super::bay::DRAGS;
use super::stage::{Plot, Stage, path};
use super::{Audience, Closing, seconds_between};
use crate::alert::hazard::{Hazard, Priority};
use crate::geodesy::Offset;
use crate::rehearse::world::WorldError;
use crate::units::{Bearing, Metres, Speed};
use crate::watch::messages::{Event, EventKind};

impl<A: Audience> Stage<'_, A> {
    pub(super) async fn crowded(&mut self) -> Result<Option<Closing>, WorldError> {
        self.connect().await?;
        self.look_about().await?;
        let rode = self.berth_by_the_chart().await?;
        self.approach().await?;
        self.let_go(rode).await?;
        self.lie_quietly().await?;
        self.all_swing().await?;
        let found = self.neighbour_drags().await?;
        self.neighbour_leaves().await?;
        self.no_blame();
        self.weigh().await?;
        Ok(found)
    }

    async fn look_about(&mut self) -> Result<(), WorldError> {
        self.say("four boats lie here; their transponders report every three minutes");
        self.run(Duration::from_mins(4)).await?;
        let heard = self.world.status().await.map(|it| it.picture.vessels_heard);
        let all = self.world.fleet.vessels().len();
        self.demand("every neighbour is heard", heard == Some(all));
        Ok(())
    }

    /// Tries two berths: the chart check warns of the first. Returns the rode planned for the second, in whole five
    /// metres.
    async fn berth_by_the_chart(&mut self) -> Result<Metres, WorldError> {
        self.say("a berth beside the shoal is tried");
        let first = self.berth(BESIDE_THE_SHOAL).await?;
        self.demand(
            "the chart check warns of a circle that reaches the shoal",
            first.as_ref().is_some_and(|room| !room.clears),
        );
        self.say("a berth in the middle is tried");
        let second = self.berth(Offset::ZERO).await?;
        self.demand(
            "the chart check finds no danger in the circle at the second berth",
            second.as_ref().is_some_and(|room| room.clears),
        );
        let report = self.world.status().await;
        if let Some(report) = &report {
            self.audience.screen(report);
        }
        let planned = report.and_then(|it| it.picture.planned);
        let rode = planned.as_ref().map(|planned| planned.rode.get());
        let radius = planned.and_then(|planned| planned.radius);
        let clear = radius.is_some_and(|radius| {
            self.world.fleet.vessels().iter().all(|her| {
                let settings = her.settings();
                // She lies no farther from her anchor than rode plus length.
                let reaches = settings.rode + settings.boat.length;
                settings.anchor.length() > radius + reaches
            })
        });
        self.demand("no neighbour's circle touches it", clear);
        let rode = Metres::of((rode.unwrap_or(50.0) / 5.0).ceil() * 5.0);
        self.say(&format!("plan: veer {rode}"));
        Ok(rode)
    }

    async fn berth(
        &mut self,
        at: Offset,
    ) -> Result<Option<crate::chart::clearance::RoomTold>, WorldError> {
        let place = self.world.plane().position(at);
        let order = json!({
            "latitude": place.latitude(), "longitude": place.longitude(), "scope": SCOPE,
        });
        let outcome = self.world.put(&path("berth"), order).await;
        self.collect();
        self.say(&format!("windrode answers: {}", outcome.message));
        self.run(Duration::from_secs(5)).await?;
        let report = self.world.status().await;
        Ok(report.and_then(|it| it.picture.planned?.room))
    }

    /// The boats lie to the present wind; what has been learned about them stays right.
    async fn all_swing(&mut self) -> Result<(), WorldError> {
        self.say("the wind veers by 60°, and everybody swings");
        let before = self.events.len();
        self.run_to(RISING).await?;
        let raised = self.raised_since(before);
        self.demand(
            "nothing but the wind shift is reported while everybody swings",
            raised.iter().all(|hazard| *hazard == Hazard::WindShift),
        );
        let Some(report) = self.world.status().await else {
            self.demand("`status` answers", false);
            return Ok(());
        };
        let shown = &report.picture.neighbours;
        let near = shown.iter().all(|her| {
            self.apart_from(&her.name).is_some_and(|truth| {
                (truth.length() - her.distance).get().abs() < NEAR && her.circle.is_some()
            })
        });
        self.demand(
            "the three nearest are shown with their circles, each within 20 m of her true place",
            shown.len() == 3 && near,
        );
        let freshened = self.events.len();
        self.run_to(BREAKS_OUT).await?;
        let raised = self.raised_since(freshened);
        self.demand("the fresher wind raises nothing", raised.is_empty());
        Ok(())
    }

    async fn neighbour_drags(&mut self) -> Result<Option<Closing>, WorldError> {
        let before = self.events.len();
        if let Some(her) = self.world.fleet.vessel_mut(DRAGS) {
            her.boat.drag_at(RATE);
        }
        let began = self.world.now();
        self.say(&format!("the anchor of {DRAGS}, up-wind of us, breaks out"));
        let mut found: Option<Closing> = None;
        let mut seen = before;
        // When she comes within 20 m, her crew must wake.
        while self.distance_of(DRAGS).get() > ALONGSIDE {
            self.step().await?;
            let distance = self.distance_of(DRAGS);
            let fresh: Vec<Event> = self.events.get(seen..).unwrap_or_default().to_vec();
            seen = self.events.len();
            for event in fresh.iter().filter(|event| is_told(event)) {
                let closing = found.get_or_insert_with(|| Closing {
                    name: DRAGS.to_owned(),
                    began,
                    told: event.time,
                    seconds: seconds_between(began, event.time),
                    distance,
                    distance_at_alarm: None,
                });
                if event.priority >= Some(Priority::Alarm) {
                    closing.distance_at_alarm.get_or_insert(distance);
                }
            }
            if found.as_ref().is_some_and(|it| it.told == self.world.now())
                && let Some(first) = fresh.iter().find(|event| is_told(event))
            {
                self.words_are_true(first);
            }
        }
        self.demand(
            "the neighbour is reported while she is still 100 m away",
            found.as_ref().is_some_and(|it| it.distance.get() >= 100.0),
        );
        let alarm = found.as_ref().and_then(|it| it.distance_at_alarm);
        self.demand(
            "it becomes an alarm before she is within 40 m",
            alarm.is_some_and(|distance| distance.get() >= 40.0),
        );
        let notice = self
            .world
            .value("notifications.navigation.anchor.neighbour");
        self.demand("displays show it as an alarm, with sound", sounds(notice));
        self.look().await;
        self.acknowledge(Hazard::Neighbour).await?;
        Ok(found)
    }

    /// Checks name, bearing, distance and rate against the truth.
    fn words_are_true(&mut self, event: &Event) {
        let evidence = |name: &str| event.evidence.get(name).and_then(Value::as_f64);
        let truth = self.apart_from(DRAGS).unwrap_or(Offset::ZERO);
        self.demand(
            "the alert names her, and says what she does",
            event.message.contains(DRAGS) && event.message.contains("has left her place"),
        );
        let bearing = evidence("neighbourBearing").map(Bearing::of);
        let told = bearing.map(|bearing| bearing.to_string());
        self.demand(
            "its bearing is within 15° of the truth",
            bearing.is_some_and(|it| it.since(truth.bearing()).degrees().abs() < 15.0)
                && told.is_some_and(|told| event.message.contains(&told)),
        );
        // From hull to hull: half of each length less.
        let gap = truth.length().get() - 11.0;
        self.demand(
            "its distance is within 30 m of the truth",
            evidence("neighbourGap").is_some_and(|it| (it - gap).abs() < 30.0),
        );
        let rate = RATE.get();
        self.demand(
            "its rate is within half of the truth",
            evidence("neighbourClosing").is_some_and(|it| (it - rate).abs() <= rate * 0.5)
                && event.message.contains("kn"),
        );
    }

    async fn neighbour_leaves(&mut self) -> Result<(), WorldError> {
        self.say(&format!("her crew wakes; {DRAGS} motors clear"));
        if let Some(her) = self.world.fleet.vessel_mut(DRAGS) {
            her.boat.weigh();
            her.boat.steam_to(CLEAR, Speed::from_knots(4.0));
        }
        let over = self
            .until(Duration::from_mins(12), |night| {
                let notice = night
                    .world
                    .value("notifications.navigation.anchor.neighbour");
                notice.is_none_or(|it| it.get("state") == Some(&json!("normal")))
            })
            .await?;
        self.demand("the alert ends when she is clear", over);
        Ok(())
    }

    /// These must hold through the whole night.
    fn no_blame(&mut self) {
        let ours = [Hazard::Dragging, Hazard::SwingExceeded, Hazard::Shoaling];
        let raised = self.raised_since(0);
        let held = self.world.boat.anchor_moved() < Metres::of(1.0);
        self.demand(
            "our own anchor holds, and no drag, circle or shoal is reported",
            held && !raised.iter().any(|hazard| ours.contains(hazard)),
        );
    }

    /// From our centre to hers.
    fn apart_from(&self, name: &str) -> Option<Offset> {
        let her = self.world.fleet.vessel(name)?;
        Some(her.boat.state().centre - self.world.boat.state().centre)
    }

    fn distance_of(&self, name: &str) -> Metres {
        self.apart_from(name).map_or(Metres::ZERO, Offset::length)
    }
}

fn is_told(event: &Event) -> bool {
    event.event == EventKind::Raised && event.hazard == Some(Hazard::Neighbour)
}

fn sounds(notice: Option<Value>) -> bool {
    notice.is_some_and(|notice| {
        notice.get("state") == Some(&json!("alarm"))
            && notice.get("method") == Some(&json!(["visual", "sound"]))
    })
}

/// South-east of the berth, 50 m from the shoal.
const BESIDE_THE_SHOAL: Offset = Offset {
    east: 75.0,
    north: -75.0,
};
/// Where the neighbour motors to.
const CLEAR: Offset = Offset {
    east: -200.0,
    north: 700.0,
};
/// There is no room for more.
const SCOPE: f64 = 5.0;
/// Half a knot.
const RATE: Speed = Speed::of(0.25);
/// Metres from centre to centre.
const ALONGSIDE: f64 = 25.0;
const NEAR: f64 = 20.0;
pub(super) const MEAN_LEVEL: Metres = Metres::of(0.5);
/// From low to high water.
pub(super) const RANGE: Metres = Metres::of(0.8);
pub(super) const FRONT: Duration = Duration::from_mins(60);
pub(super) const RISING: Duration = Duration::from_mins(110);
const BREAKS_OUT: Duration = Duration::from_mins(130);
/// M2 turns through 28.984° an hour; the night begins 60° before its high water.
pub(super) const PLOT: Plot = Plot {
    length: Duration::from_mins(155),
    high: (Metres::of(0.9), Duration::from_secs(7452)),
    low: (Metres::of(0.1), Duration::from_secs(29_808)),
};
