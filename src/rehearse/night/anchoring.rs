//! How every night begins: she comes to the berth, lets go, digs in.

use std::time::Duration;

use serde_json::{Value, json};

use super::Audience;
use super::stage::{Stage, path};
use crate::geodesy::Position;
use crate::rehearse::boat::EngineOrder;
use crate::rehearse::world::WorldError;
use crate::units::{Angle, Bearing, Hertz, Metres, Speed};

impl<A: Audience> Stage<'_, A> {
    pub(super) async fn approach(&mut self) -> Result<(), WorldError> {
        self.run(Duration::from_secs(10)).await?;
        let course = self.number("headToWindCourse").map(Bearing::of);
        let wind = self.world.sea().mean_direction;
        let close = course.is_some_and(|c| c.since(wind).abs() < Angle::from_degrees(20.0));
        self.demand(
            "the head-to-wind course is within 20° of the true wind",
            close,
        );
        let distance = self.number("berthDistance").map(Metres::of);
        self.say(&format!(
            "approach: head to wind is {}, the berth at {}",
            course.map_or("not known".to_owned(), |c| c.to_string()),
            distance.map_or("an unknown distance".to_owned(), |d| d.to_string()),
        ));
        self.world.boat.engine(EngineOrder::Ahead(Hertz::of(20.0)));
        self.world
            .boat
            .steam_to(crate::geodesy::Offset::ZERO, Speed::from_knots(2.5));
        self.until(Duration::from_mins(15), |night| night.world.boat.arrived())
            .await?;
        let there = self
            .number("berthDistance")
            .is_some_and(|distance| distance < 10.0);
        self.demand("at the berth the distance to it is below 10 m", there);
        Ok(())
    }

    pub(super) async fn let_go(&mut self, rode: Metres) -> Result<(), WorldError> {
        let sea = *self.world.sea();
        self.world.boat.let_go(&sea);
        self.world.boat.veer(rode, Speed::of(0.5));
        self.say("let go: the anchor touches bottom, she falls back while rode is veered");
        let refused = self.world.put(&path("letGo"), json!({ "rode": 3 })).await;
        self.demand(
            "a rode shorter than the depth is refused with a reason",
            refused.status_code == 400 && refused.message.contains("rode` ="),
        );
        let taken = self.put("letGo", json!({ "rode": rode.get() })).await;
        self.demand("the order to let go is accepted", taken);
        let true_anchor = self.world.boat.state().anchor;
        let marked = self.world.value("navigation.anchor.position");
        let off = true_anchor
            .zip(marked.as_ref().and_then(position))
            .map(|(truth, marked)| self.world.plane().position(truth).distance_to(marked));
        self.demand(
            "the mark lies within 8 m of the anchor, not under the antenna",
            off.is_some_and(|off| off < Metres::of(8.0)),
        );
        self.world.boat.engine(EngineOrder::Astern(Hertz::of(14.0)));
        self.run(Duration::from_mins(3)).await
    }

    pub(super) async fn dig_in(&mut self) -> Result<(), WorldError> {
        self.say("dig in: engine astern, first slow, then hard");
        self.world.boat.engine(EngineOrder::Astern(Hertz::of(30.0)));
        self.run(Duration::from_secs(20)).await?;
        self.world.boat.reckon_from_here();
        self.run(Duration::from_secs(100)).await?;
        let moved = self.world.boat.anchor_moved();
        let reading = self.world.value(&path("pullTest")).unwrap_or_default();
        self.say(&format!(
            "a hundred seconds at 1800 rpm: in truth the anchor moved {moved:.1}"
        ));
        self.demand(
            "the pull test says `held`, and the anchor moved less than a metre",
            reading.get("verdict") == Some(&json!("held")) && moved < Metres::of(1.0),
        );
        self.lie_quietly().await
    }

    pub(super) async fn lie_quietly(&mut self) -> Result<(), WorldError> {
        self.world.boat.dig_in();
        self.world.boat.engine(EngineOrder::Stopped);
        self.world.boat.reckon_from_here();
        let set = self
            .until(Duration::from_mins(20), |night| {
                night.world.value(&path("phase")) == Some(json!("set"))
            })
            .await?;
        self.demand("after a quiet time the phase is `set`", set);
        Ok(())
    }
}

fn position(value: &Value) -> Option<Position> {
    serde_json::from_value(value.clone()).ok()
}
