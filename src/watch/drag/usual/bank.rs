//! The ways of lying, side by side: a drag must be unexplained by each of those that are possible tonight.
//!
//! There are five ways of using the reach (the catenary with `κ` of 0.1 to 1.5 m a (m/s)², and taut), each once
//! with the mark and the rode taken as given, and once with both doubted. Each has a level and learned moments;
//! those whose weight is above [`ALIVE`] count. The evidence `S` is the least among them.

use super::contrast::{AGES, Age, Circumstances, HALF_LIFE, LOOK_EVERY, Learned, Seen, ages};
use super::level::Level;
use super::record::{BY, Record};
use super::{Verdict, WAYS};
use crate::geodesy::Offset;

/// The prior belief about the tackle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Prior {
    /// Deviation of the mark in each coordinate.
    pub(super) mark: f64,
    /// Deviation of the expected distance.
    pub(super) offset: f64,
    /// Both deviations if mark and rode are doubted, and the probability of that.
    pub(super) loose_mark: f64,
    pub(super) loose_offset: f64,
    pub(super) loose: f64,
    /// However near she has lain, she may come out to within this distance of where tackle and depth would have
    /// her, for each way of lying.
    pub(super) slackest: [f64; WAYS],
}

#[derive(Clone, Debug)]
struct Member {
    level: Level,
    learned: Learned,
}

/// See the module documentation.
#[derive(Clone, Debug)]
pub(super) struct Bank {
    members: Vec<Member>,
    ages: [Age; AGES],
    looks: f64,
}

impl Bank {
    pub(super) fn new(prior: &Prior) -> Self {
        let mut members = Vec::with_capacity(2 * WAYS);
        for (mark, offset, share) in [
            (prior.mark, prior.offset, 1.0 - prior.loose),
            (prior.loose_mark, prior.loose_offset, prior.loose),
        ] {
            for (way, slackest) in prior.slackest.into_iter().enumerate() {
                members.push(Member {
                    level: Level::new(
                        way,
                        [offset, mark, mark, CALM],
                        USUAL_NOISE,
                        share.ln(),
                        slackest,
                    ),
                    learned: Learned::new(),
                });
            }
        }
        Self {
            members,
            ages: ages(),
            looks: 0.0,
        }
    }

    fn most(&self) -> f64 {
        self.members
            .iter()
            .map(|member| member.level.weight)
            .fold(f64::NEG_INFINITY, f64::max)
    }

    fn alive(&self) -> impl Iterator<Item = (&Member, f64)> {
        let most = self.most();
        let total: f64 = self
            .members
            .iter()
            .map(|member| (member.level.weight - most).exp())
            .sum();
        self.members
            .iter()
            .map(move |member| (member, (member.level.weight - most).exp() / total))
            .filter(|(_, share)| *share >= ALIVE)
    }

    /// Learns from the minute that ended this many slots ago.
    pub(super) fn learn_level(&mut self, record: &Record, ago: usize) {
        let Some(mean) = record.mean(ago, MINUTE) else {
            return;
        };
        if swings(record, ago) {
            return;
        }
        // In light airs she may lie anywhere.
        let trust = ((1.0 - mean.by[3]) / FRESH).powi(2).clamp(LEAST_TRUST, 1.0);
        for member in &mut self.members {
            member.level.take(&mean, LEVEL_EVERY * trust);
        }
    }

    /// Learns from what the ages saw this many slots ago.
    pub(super) fn learn_moments(&mut self, record: &Record, ago: usize) {
        if swings(record, ago) {
            return;
        }
        let seen = self.look(record, ago);
        let keep = (-LOOK_EVERY / HALF_LIFE * std::f64::consts::LN_2).exp();
        self.looks = self.looks * keep + 1.0;
        for member in &mut self.members {
            member
                .learned
                .take(&self.ages, &seen, &member.level, keep, self.looks);
        }
    }

    fn look(&self, record: &Record, ago: usize) -> [Option<Seen>; AGES] {
        self.ages.map(|age| age.look(record, ago))
    }

    /// The verdict of the living members at this moment: the least evidence among them.
    pub(super) fn judge(&self, record: &Record, worse: f64, doubt: f64) -> Option<Verdict> {
        let seen = self.look(record, 0);
        let circumstances = Circumstances {
            looks: self.looks,
            worse,
            doubt,
        };
        self.alive()
            .filter_map(|(member, _)| {
                member
                    .learned
                    .strongest(&self.ages, &seen, &member.level, &circumstances)
            })
            .min_by(|one, other| one.s.total_cmp(&other.s))
    }

    /// Where the anchor most likely lies, from the origin, with the deviation of that in each coordinate.
    pub(super) fn anchor(&self) -> (Offset, f64) {
        let (mut at, mut variance, mut total) = (Offset::ZERO, 0.0, 0.0);
        for (member, share) in self.alive() {
            let [_, east, north, _] = member.level.theta;
            at = at + Offset { east, north } * share;
            total += share;
        }
        let at = at * (1.0 / f64::max(total, 1e-9));
        for (member, share) in self.alive() {
            let [_, east, north, _] = member.level.theta;
            let cover = &member.level.cover;
            let own = f64::midpoint(cover[1][1], cover[2][2]);
            let off = f64::midpoint((east - at.east).powi(2), (north - at.north).powi(2));
            variance += share / total * (own + off);
        }
        (at, variance.sqrt())
    }

    /// The origin moves to this point; what was learned keeps its place.
    pub(super) fn origin_moved(&mut self, to: Offset) {
        for member in &mut self.members {
            member.level.origin_moved(to);
        }
    }

    /// All observations may have shifted by this much, metres.
    pub(super) fn widen(&mut self, doubt: f64) {
        for member in &mut self.members {
            member.level.widen(doubt);
        }
    }

    /// Deviation of the scatter about the level of the likeliest member.
    pub(super) fn noise(&self) -> f64 {
        self.alive()
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .map_or(USUAL_NOISE, |(member, _)| member.level.variance().sqrt())
    }

    /// How far beyond the expected taut distance she usually lies, in the direction of the latest record.
    pub(super) fn usual_beyond_taut(&self, by: &[f64; BY], expected: &[f32; WAYS]) -> f64 {
        let (mut sum, mut total) = (0.0, 0.0);
        let taut = f64::from(expected[WAYS - 1]);
        for (member, share) in self.alive() {
            let way = f64::from(expected[member.level.way]);
            sum += share * (member.level.at(by) + way - taut);
            total += share;
        }
        sum / f64::max(total, 1e-9)
    }
}

/// She falls back or sails over her anchor: she is not lying to her rode, and nothing can be learned.
fn swings(record: &Record, ago: usize) -> bool {
    let third = MINUTE / 3;
    let first = record.mean(ago + 2 * third, third);
    let last = record.mean(ago, third);
    first
        .zip(last)
        .is_none_or(|(first, last)| (last.beyond[0] - first.beyond[0]).abs() > SWINGS)
}

/// Members less likely than this do not count.
const ALIVE: f64 = 0.03;
/// The weight of a look in a dead calm.
const LEAST_TRUST: f64 = 0.02;
/// One minus the calm, in a wind that shows how she lies.
const FRESH: f64 = 0.64;
/// The prior deviation of the effect of a calm, metres.
const CALM: f64 = 4.0;
/// The prior deviation of the scatter, metres.
const USUAL_NOISE: f64 = 2.0;
/// How often the level learns from the mean of a minute, seconds.
pub(super) const LEVEL_EVERY: f64 = 30.0;
const MINUTE: usize = 30;
/// A change of distance within a minute that counts as swinging, metres.
const SWINGS: f64 = 6.0;

#[cfg(test)]
mod tests {
    use super::super::record::Slot;
    use super::*;

    /// A minute in which the distance grows steadily by this much, then a minute at rest.
    fn record(grows: f64) -> Record {
        let mut record = Record::about(Offset::ZERO);
        for slot in 0..2 * MINUTE {
            let share = (slot as f64 / MINUTE as f64).min(1.0);
            record.push(Slot {
                at: Offset {
                    east: 0.0,
                    north: 20.0 + grows * share,
                },
                arm: 0.0,
                expected: [38.0; WAYS],
                calm: 0.0,
            });
        }
        record
    }

    /// The last third of a minute is compared with the first: two thirds of the change lie between them.
    #[test]
    fn she_swings_if_her_distance_changes_by_six_metres_within_a_minute() {
        assert!(swings(&record(10.0), MINUTE));
        assert!(swings(&record(-10.0), MINUTE));
        assert!(!swings(&record(8.0), MINUTE));
        // At rest again.
        assert!(!swings(&record(10.0), 0));
        // Less than a minute is recorded.
        assert!(swings(&record(0.0), MINUTE + 1));
    }

    fn bank() -> Bank {
        Bank::new(&Prior {
            mark: 2.0,
            offset: 1.0,
            loose_mark: 15.0,
            loose_offset: 10.0,
            loose: 0.25,
            slackest: [5.0; WAYS],
        })
    }

    /// Two living members: one is three times as likely as the other; the rest are dead.
    #[test]
    fn the_anchor_lies_at_the_mean_of_the_living_members_by_their_likelihood() {
        let mut bank = bank();
        for (index, member) in bank.members.iter_mut().enumerate() {
            member.level.theta = [7.0, 4.0 * index as f64, -8.0, 7.0];
            member.level.cover = [[0.0; BY]; BY];
            member.level.weight = match index {
                0 => 3.0_f64.ln(),
                1 => 0.0,
                _ => -4.0,
            };
        }
        let (at, spread) = bank.anchor();
        assert!(
            (at.east - 1.0).abs() < 1e-9 && (at.north + 8.0).abs() < 1e-9,
            "{at:?}"
        );
        // Of one coordinate: half of `(3 · 1² + 3²) / 4`.
        assert!((spread - 1.5_f64.sqrt()).abs() < 1e-9, "{spread}");
    }

    /// The first member is three times as likely as the second; the rest are dead.
    fn two_living(one: &Level, other: &Level) -> Bank {
        let mut bank = bank();
        for (index, member) in bank.members.iter_mut().enumerate() {
            member.level = match index {
                0 => one.clone(),
                1 => other.clone(),
                _ => Level::new(2, [90.0; BY], 9.0, -4.0, 5.0),
            };
        }
        bank
    }

    fn level(way: usize, noise: f64, weight: f64) -> Level {
        Level::new(way, [1.0; BY], noise, weight, 5.0)
    }

    #[test]
    fn the_scatter_is_that_of_the_likeliest_member() {
        let (likely, less) = (level(0, 1.5, 3.0_f64.ln()), level(1, 2.5, 0.0));
        assert!((two_living(&likely, &less).noise() - 1.5).abs() < 1e-9);
        let (less, likely) = (level(0, 1.5, 0.0), level(1, 2.5, 3.0_f64.ln()));
        assert!((two_living(&less, &likely).noise() - 2.5).abs() < 1e-9);
    }

    /// By the first member she lies two metres beyond 30 m, by the second one metre short of 38 m. Taut, that would be
    /// 39 m.
    #[test]
    fn where_she_usually_lies_is_the_mean_of_the_living_members() {
        let (mut one, mut other) = (level(0, 1.0, 3.0_f64.ln()), level(1, 1.0, 0.0));
        one.theta = [2.0, 0.0, 0.0, 0.0];
        other.theta = [-1.0, 0.0, 0.0, 0.0];
        let bank = two_living(&one, &other);
        let expected = [30.0, 38.0, 12.0, 13.0, 39.0];
        let beyond = bank.usual_beyond_taut(&[1.0, 0.0, 1.0, 0.0], &expected);
        let wanted = (3.0 * 32.0 + 37.0) / 4.0 - 39.0;
        assert!((beyond - wanted).abs() < 1e-6, "{beyond}, not {wanted}");
    }

    /// A drag must be unexplained by each living member: the one that expects her farther out decides.
    #[test]
    fn the_least_evidence_of_the_living_members_counts() {
        let (one, mut other) = (level(0, 1.0, 3.0_f64.ln()), level(0, 1.0, 0.0));
        other.theta = [4.0, 0.0, 0.0, 0.0];
        let bank = two_living(&one, &other);
        let mut record = Record::about(Offset::ZERO);
        record.push(Slot {
            at: Offset {
                east: 0.0,
                north: 50.0,
            },
            arm: 0.0,
            expected: [38.0; WAYS],
            calm: 0.0,
        });
        let verdict = bank.judge(&record, 1.0, 0.0).unwrap();
        assert!((verdict.beyond - 8.0).abs() < 1e-6, "{verdict:?}");
    }

    /// A minute at rest, as calm as this.
    fn calm(calm: f32) -> Record {
        let mut record = Record::about(Offset::ZERO);
        for _ in 0..MINUTE {
            record.push(Slot {
                at: Offset {
                    east: 0.0,
                    north: 42.0,
                },
                arm: 0.0,
                expected: [38.0; WAYS],
                calm,
            });
        }
        record
    }

    /// In a wind, a look counts for the half minute since the last one. In light airs she may lie anywhere, so it counts
    /// for less.
    #[test]
    fn light_airs_teach_little() {
        for (calmness, seconds) in [
            (0.0, 30.0),
            (0.36, 30.0),
            (0.68, 7.5),
            (0.84, 1.875),
            (1.0, 0.6),
        ] {
            let record = calm(calmness);
            let mut bank = bank();
            let mut wanted = bank.members[0].level.clone();
            wanted.take(&record.mean(0, MINUTE).unwrap(), seconds);
            bank.learn_level(&record, 0);
            let learned = bank.members[0].level.theta[0];
            assert!(learned > 0.0);
            let off = (learned / wanted.theta[0] - 1.0).abs();
            assert!(off < 1e-3, "{calmness}: {learned}, not {:?}", wanted.theta);
        }
    }

    #[test]
    fn a_swing_teaches_nothing() {
        let (mut bank, swing) = (bank(), record(10.0));
        bank.learn_level(&swing, MINUTE);
        bank.learn_moments(&swing, MINUTE);
        assert_eq!(bank.members[0].level.theta, [0.0; BY]);
        assert_eq!(bank.looks.to_bits(), 0.0_f64.to_bits());
        // Nor does a minute that is not recorded.
        bank.learn_level(&swing, MINUTE + 1);
        assert_eq!(bank.members[0].level.theta, [0.0; BY]);
    }

    /// Looks are ten seconds apart.
    #[test]
    fn what_was_learned_two_hours_ago_counts_for_half() {
        let (mut bank, record) = (bank(), calm(0.0));
        let mut count = |looks: usize| {
            for _ in 0..looks {
                bank.learn_moments(&record, 0);
            }
            bank.looks
        };
        let (first, later) = (count(720), count(720));
        assert!((later - 1.5 * first).abs() < 1e-6, "{first}, then {later}");
        assert!(((count(1) - 1.0) / later - 0.5_f64.powf(1.0 / 720.0)).abs() < 1e-9);
    }
}
