//! The state of this moment, for displays and for `status`.

use crate::time::Now;
use crate::units::Metres;
use crate::watch::keeper::Watchkeeper;
use crate::watch::track::Sight;
use crate::watch::words::{Phase, Picture};

impl Watchkeeper {
    /// What is known now.
    #[must_use]
    pub fn picture(&self, now: Now) -> Picture {
        let tick = now.tick;
        let ground = self.ground(tick);
        let here = self.boat_now(tick);
        let depth = self.instruments.water_depth(tick, &self.boat);
        let mark = ground.map(|(mark, _)| mark);
        let evidence = ground.map(|_| self.drag_evidence(tick));
        let anchor = mark.map(|mark| mark.position);
        let to_anchor = here.zip(anchor);
        let to_berth = here.zip(self.berth);
        let rode = mark.and_then(|_| self.rode_out(tick));
        let (scope, scope_at_high_water) = self.scopes(now);
        let (_, under_keel_at_low_water) = self.under_keel(now);
        let direction = self.wind.mean_direction(tick);
        let approaching = self.phase == Phase::Aweigh;
        let speed = self.instruments.speed_over_ground(tick);
        Picture {
            phase: self.phase,
            phase_since: self.phase_since,
            anchor,
            depth_at_anchor: mark.and_then(|mark| mark.depth),
            max_radius: ground.map(|(_, ground)| ground.max_radius),
            current_radius: to_anchor.map(|(here, anchor)| here.centre.distance_to(anchor)),
            anchor_bearing: to_anchor.map(|(here, anchor)| here.roller.bearing_to(anchor)),
            anchor_distance: to_anchor.map(|(here, anchor)| here.distance(anchor)),
            rode_out: rode,
            reach: ground.map(|(_, ground)| ground.reach),
            scope,
            scope_at_high_water,
            drag_probability: evidence.map(|evidence| evidence.probability),
            anchor_moved: evidence.map(|evidence| evidence.moved),
            fix_uncertainty: here.map(|here| {
                let sigma = here.fix.sigma.get().hypot(here.fix.doubt.get());
                Metres::of(TWO_D_95 * sigma) + here.lever_doubt
            }),
            pull_test: mark.and_then(|_| self.pull.reading(tick)),
            wind_shift: mark
                .and_then(|mark| mark.wind)
                .zip(self.wind.reference(tick))
                .map(|(then, now)| now.since(then)),
            wind_direction: direction,
            wind_speed: self.wind.mean_speed(tick),
            wind_gust: self.wind.gust(tick),
            water_depth: depth,
            under_keel_at_low_water,
            head_to_wind_course: direction.filter(|_| approaching),
            berth: self.berth,
            berth_bearing: to_berth
                .filter(|_| approaching)
                .map(|(here, berth)| here.roller.bearing_to(berth)),
            berth_distance: to_berth
                .filter(|_| approaching)
                .map(|(here, berth)| here.distance(berth)),
            berth_time: to_berth
                .filter(|_| approaching)
                .zip(speed.filter(|speed| speed.get() >= LEAST_WAY))
                .map(|((here, berth), speed)| (here.distance(berth).get() / speed.get()).round()),
            position_source: self.intake.source().map(ToString::to_string),
            roller: here.map(|here| here.roller),
            centre: here.map(|here| here.centre),
            remarks: self.remarks(now),
        }
    }

    /// What the eye wants besides: her shape, her heading, the last hour's track.
    #[must_use]
    pub fn sight(&self, now: Now) -> Sight {
        Sight {
            heading: self.instruments.heading(now.tick),
            length: self.boat.length_or_default(),
            beam: self.boat.figures().beam,
            under_keel: self.under_keel(now).0,
            track: self
                .track
                .points(now, self.boat_now(now.tick).map(|here| here.centre)),
        }
    }

    /// What is not judged or only assumed, and why.
    fn remarks(&self, now: Now) -> Vec<String> {
        let tick = now.tick;
        let mut remarks = Vec::new();
        let depth_now = self.instruments.water_depth(tick, &self.boat);
        if let Some((mark, ground)) = self.ground(tick) {
            if let Some(words) = self.manner.kind.not_judged() {
                remarks.push(words.to_owned());
            }
            if let Some((second, about)) = self.second_ground(now) {
                remarks.push(format!(
                    "second anchor at {}, its rode reaches {}",
                    second.position, about.reach
                ));
            }
            if ground.rode_assumed {
                remarks.push(format!(
                    "rode not said: all {} aboard is taken to be out; a drag is found late until `veer` says how much",
                    ground.rode
                ));
            }
            match (self.counter.rode(tick), self.counted(tick)) {
                (Some(_), Some(counted)) => {
                    remarks.push(format!("rode out by the windlass' counter: {counted}"));
                }
                (Some(reading), None) => remarks.push(format!(
                    "the windlass' counter says {reading}, which does not reach the bottom: it is not believed"
                )),
                (None, _) => {}
            }
            match self.outlook(now) {
                Some(outlook) => {
                    let surge = depth_now
                        .and_then(|depth| self.water.surge(depth, outlook.now))
                        .map_or(String::new(), |surge| {
                            let (size, way) = if surge.get() < 0.0 {
                                (-surge.get(), "less")
                            } else {
                                (surge.get(), "more")
                            };
                            format!("; {size:.1} m {way} is sounded than it explains")
                        });
                    remarks.push(format!("tide {}{surge}", outlook.source.words()));
                }
                None => remarks.push(
                    "no tide: scope and keel are judged by the depth now, not by the turns to come"
                        .to_owned(),
                ),
            }
            if self.boat.draught().is_none() {
                remarks.push(
                    "draught not known: the depth under the keel is not judged; set `boat.draught`"
                        .to_owned(),
                );
            }
            if ground.depth_unknown {
                remarks.push(
                    "depth not known: the reach is taken as the whole rode, scope is not judged"
                        .to_owned(),
                );
            }
            if mark.wind.is_none() && self.phase == Phase::Set {
                remarks.push(
                    "no mean wind since the anchor was set: a wind shift is not judged".to_owned(),
                );
            }
        }
        if self.fix.is_some() && self.instruments.heading(tick).is_none() {
            remarks.push(
                "no heading: the bow is not known, the margin is wider by the antenna's distance from it"
                    .to_owned(),
            );
        }
        let doubts = self.intake.doubts(tick);
        if !doubts.is_empty() {
            remarks.push(format!(
                "the fix is doubtful: {}; it counts, with a wider margin",
                doubts.join(", ")
            ));
        }
        if self.boat.figures().antenna_from_bow.is_none() {
            remarks.push(
                "the antenna's place is not known: set `boat.antenna_from_bow`; the margin is wider by half the boat"
                    .to_owned(),
            );
        }
        if self.instruments.has_unusable_soundings(tick, &self.boat) {
            remarks.push(
                "soundings cannot be turned into depth of water: set `boat.transducer_depth` or `boat.draught`"
                    .to_owned(),
            );
        }
        if let Some(here) = self.boat_now(tick)
            && let Some(nearest) = self.neighbours.nearest(tick, here.centre)
        {
            remarks.push(format!(
                "nearest vessel heard: {} bearing {} at {} ({} heard); whether she comes too close is not judged",
                nearest.name, nearest.bearing, nearest.distance, nearest.heard
            ));
        }
        remarks
    }
}

/// 95 % of a circular normal error lie within 2.448 standard deviations of a coordinate
/// (Rayleigh distribution, sqrt(-2 ln 0.05)).
const TWO_D_95: f64 = 2.448;
/// Below this a time to the berth means nothing.
const LEAST_WAY: f64 = 0.2;
