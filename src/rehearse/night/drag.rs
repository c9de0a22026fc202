//! The first rehearsal: one night with everything that must be reported and everything that must not.
//!
//! Plan a berth, come in head to wind, let go, dig in with a pull test that begins by itself, a quiet
//! spell, a front that turns the wind by 140° (the boat swings right over her anchor: no drag). Then
//! the anchor breaks out in a rising wind.

use std::time::Duration;

use serde_json::json;

use super::stage::{Plot, Stage};
use super::{Audience, Drag, seconds_between};
use crate::alert::hazard::Hazard;
use crate::rehearse::world::WorldError;
use crate::tackle::scope;
use crate::units::{Metres, Speed};
use crate::watch::messages::EventKind;

impl<A: Audience> Stage<'_, A> {
    pub(super) async fn drags(&mut self) -> Result<Option<Drag>, WorldError> {
        self.connect().await?;
        let rode = self.plan().await?;
        self.approach().await?;
        self.let_go(rode).await?;
        self.dig_in().await?;
        self.quiet_spell().await?;
        self.front().await?;
        let drag = self.drag().await?;
        self.acknowledge(Hazard::Dragging).await?;
        self.weigh().await?;
        Ok(drag)
    }

    /// The plan: enough rode for 5:1 at high water, in whole five metres.
    async fn plan(&mut self) -> Result<Metres, WorldError> {
        self.run(Duration::from_secs(30)).await?;
        let now_deep = self.world.sea().depth(crate::geodesy::Offset::ZERO);
        let high = now_deep + (HIGH_WATER - self.world.sea().tide);
        let wanted = scope::rode_for(SCOPE, high, ROLLER_HEIGHT);
        let rode = Metres::of((wanted.get() / 5.0).ceil() * 5.0);
        self.say(&format!(
            "plan: {now_deep:.1} of water at the berth, {high:.1} at high water, roller {ROLLER_HEIGHT:.1} up: {SCOPE}:1 needs {wanted:.0}, veer {rode}"
        ));
        let berth = json!({
            "latitude": self.world.plane().origin().latitude(),
            "longitude": self.world.plane().origin().longitude(),
        });
        let outcome = self.put("berth", berth).await;
        self.demand("the berth is accepted", outcome);
        Ok(rode)
    }

    async fn quiet_spell(&mut self) -> Result<(), WorldError> {
        self.say("a quiet spell: she sheers about in 15 kn, the tide turns");
        let before = self.events.len();
        self.run_to(FRONT).await?;
        let raised = self.raised_since(before);
        self.demand("the quiet spell raises nothing", raised.is_empty());
        Ok(())
    }

    async fn front(&mut self) -> Result<(), WorldError> {
        self.say("a front: in a quarter of an hour the wind veers by 140°");
        let before = self.events.len();
        self.run_to(RISING).await?;
        let raised = self.raised_since(before);
        self.demand(
            "the wind shift is reported, as a warning",
            raised.contains(&Hazard::WindShift),
        );
        self.demand(
            "swinging through 140° is neither dragging nor out of the circle",
            !raised.contains(&Hazard::Dragging) && !raised.contains(&Hazard::SwingExceeded),
        );
        self.say("somebody acknowledges the wind shift at a display");
        let already = self.is_acknowledged(Hazard::WindShift);
        let pressed = self
            .world
            .acknowledge("notifications.navigation.anchor.windShift")
            .await;
        self.collect();
        let heard = self
            .events
            .iter()
            .any(|e| e.event == EventKind::Acknowledged && e.hazard == Some(Hazard::WindShift));
        self.demand(
            "an acknowledgement at a display reaches the watch",
            (pressed || already) && heard,
        );
        Ok(())
    }

    async fn drag(&mut self) -> Result<Option<Drag>, WorldError> {
        self.say("the wind rises to 28 kn");
        let before = self.events.len();
        self.run_to(BREAKS_OUT).await?;
        let raised = self.raised_since(before);
        self.demand(
            "the rising wind is reported, and nothing else",
            raised.contains(&Hazard::WindStrength)
                && raised.iter().all(|hazard| *hazard == Hazard::WindStrength),
        );
        let before = self.events.len();
        self.world.boat.reckon_from_here();
        self.world.boat.drag_at(Speed::of(0.1));
        let began = self.world.now();
        self.say("the anchor breaks out: it drags at 0.1 m/s");
        let mut found = None;
        for _ in 0..900 {
            self.step().await?;
            let alarm = self
                .events
                .get(before..)
                .and_then(|events| events.iter().find(|e| e.is_drag_alarm()));
            if let Some(alarm) = alarm {
                found = Some(Drag {
                    began,
                    alarm: alarm.time,
                    seconds: seconds_between(began, alarm.time),
                    moved: self.world.boat.anchor_moved(),
                    distance: self.metres("anchorDistance"),
                    reach: self.metres("reach"),
                });
                break;
            }
        }
        self.demand("the drag is found", found.is_some());
        let notice = self.world.value("notifications.navigation.anchor.dragging");
        let sounds = notice.as_ref().is_some_and(|n| {
            n.get("state") == Some(&json!("alarm"))
                && n.get("method") == Some(&json!(["visual", "sound"]))
        });
        self.demand("displays show it as an alarm, with sound", sounds);
        self.look().await;
        Ok(found)
    }
}

const SCOPE: f64 = 5.0;
pub(in crate::rehearse) const ROLLER_HEIGHT: Metres = Metres::of(1.3);
/// Height of high water above the mean level, which is chart datum here.
pub(super) const HIGH_WATER: Metres = Metres::of(1.0);
pub(super) const FRONT: Duration = Duration::from_mins(150);
pub(super) const RISING: Duration = Duration::from_mins(210);
const BREAKS_OUT: Duration = Duration::from_mins(235);
/// M2 turns through 28.984° an hour; the night begins 60° before its high water.
pub(super) const PLOT: Plot = Plot {
    length: Duration::from_mins(242),
    high: (HIGH_WATER, Duration::from_secs(7452)),
    low: (Metres::of(-1.0), Duration::from_secs(29_808)),
};
