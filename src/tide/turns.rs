//! High and low water: where the curve turns.
//!
//! # Method
//! The curve and its first three derivatives are computed at the ends of short cells of a fixed grid, by
//! turning each constituent's vector from one end to the next. Between the ends, the curve is the
//! polynomial of seventh degree that matches all eight values. A change of sign of its slope is a turn. The
//! slope's Bernstein coefficients give the number of turns in a cell: their changes of sign bound the
//! number of roots (Descartes' rule). None or one is certain; with more, the cell is halved until it is. So
//! two turns in one cell are found as reliably as none. Neighbouring turns with less than [`LEAST_RANGE`]
//! between them are then removed in pairs, the smallest first.
//!
//! # Assumptions and weakness
//! The cells are so short that the polynomial differs from the curve by at most a hundred-thousandth of the
//! sum of all amplitudes, some hundredths of a millimetre. That shifts a turn by a second or two, more
//! where the curve is nearly flat.
//!
//! # Tests
//! `tide/tests.rs`: alternation, extremes among their neighbours, none missed in a fine sampling, double
//! high waters, the same turns for every window; `tests/tide.rs` against other libraries.

use super::astronomy::{Longitudes, Nodes};
use super::curve::{Curve, DAY_MS, GRID_MS, knot_time, nodes_at, share};
use crate::time::Timestamp;
use crate::units::Metres;
use serde::{Deserialize, Serialize};

/// The stand of the tide at a turn: high or low water.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Stand {
    /// High water.
    High,
    /// Low water.
    Low,
}

/// A high or low water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// The moment.
    pub time: Timestamp,
    /// Height above chart datum.
    pub height: Metres,
    /// High or low water.
    pub kind: Stand,
}

/// A crew does not see a difference of less than this between high and low water: 1 cm (chosen; printed
/// tables leave out less than 3 cm, and some seas have no more than that).
pub const LEAST_RANGE: Metres = Metres::of(0.01);

/// All turns in the window and somewhat beyond it, without the negligible ones.
pub(super) fn find(curve: &Curve, from: Timestamp, to: Timestamp) -> Vec<Turn> {
    let mut found = every(curve, from, to);
    prune(&mut found);
    // A single remaining turn, as in a fortnightly tide, is only a ripple unless the curve falls away from
    // it on both sides.
    if let [turn] = found[..] {
        let stands_out = [
            from.as_millis().saturating_sub(MARGIN_MS),
            to.as_millis().saturating_add(MARGIN_MS),
        ]
        .into_iter()
        .all(|end| {
            let rise = turn.height.get() - curve.height(Timestamp::from_millis(end));
            let rise = if turn.kind == Stand::High {
                rise
            } else {
                -rise
            };
            rise >= LEAST_RANGE.get()
        });
        if !stands_out {
            found.clear();
        }
    }
    found
}

/// All turns in the window and somewhat beyond it, including ripples. The highest of them is the highest
/// water; among the turns that [`find`] keeps, the highest may be a later one.
pub(super) fn every(curve: &Curve, from: Timestamp, to: Timestamp) -> Vec<Turn> {
    let (first, last) = (from.as_millis(), to.as_millis());
    if last <= first || curve.waves.is_empty() {
        return Vec::new();
    }
    // Which turns are removed depends on their neighbours: look beyond the window, so that the result does
    // not depend on it.
    let (first, last) = (
        first.saturating_sub(MARGIN_MS),
        last.saturating_add(MARGIN_MS),
    );
    let mut found = Vec::new();
    let knots = first.div_euclid(GRID_MS)..=last.saturating_sub(1).div_euclid(GRID_MS);
    let mut sweep = Sweep::new(curve);
    for knot in knots {
        if knot_time(knot + 1).as_millis() - knot_time(knot).as_millis() != GRID_MS {
            // The calendar ends here.
            continue;
        }
        sweep.turns(knot, first, last, &mut found);
    }
    found.dedup_by(|later, earlier| {
        // Where two steps of the grid meet, rounding can show one turn as two.
        let same = later.kind == earlier.kind;
        if same && (later.height > earlier.height) == (later.kind == Stand::High) {
            *earlier = *later;
        }
        same
    });
    found
}

/// Removes pairs of neighbours that differ by less than the least range, smallest first.
fn prune(turns: &mut Vec<Turn>) {
    let differs = |pair: &[Turn]| (pair[1].height - pair[0].height).get().abs();
    loop {
        let smallest = turns
            .windows(2)
            .map(differs)
            .enumerate()
            .min_by(|a, b| a.1.total_cmp(&b.1));
        match smallest {
            Some((place, range)) if range < LEAST_RANGE.get() => {
                turns.drain(place..place + 2);
            }
            Some(_) | None => break,
        }
    }
}

/// Four constituents side by side: the compiler turns each operation into one or two vector instructions.
#[derive(Clone, Copy, Default)]
struct Lane {
    re: [f64; LANES],
    im: [f64; LANES],
    /// The rotation of a vector over one cell.
    turn_re: [f64; LANES],
    turn_im: [f64; LANES],
    /// Radians per cell.
    speed: [f64; LANES],
}

/// Height above the mean level and its derivatives at the end of a cell; the cell is the unit of time.
#[derive(Clone, Copy)]
struct End {
    height: f64,
    first: f64,
    second: f64,
    third: f64,
}

/// Walks over the grid, cell by cell.
struct Sweep<'a> {
    curve: &'a Curve,
    lanes: Vec<Lane>,
    /// Between two knots.
    cells: i64,
    /// The end of the previous knot, so that a slope of zero there is counted only once.
    reached: Option<(i64, End)>,
    /// The node factors at a knot, shared by two steps of the grid.
    known: Option<(i64, Nodes)>,
}

impl<'a> Sweep<'a> {
    fn new(curve: &'a Curve) -> Self {
        let hours = (GRID_MS / HOUR_MS) as f64;
        let start = Longitudes::at(Timestamp::EPOCH).by_doodson();
        let end = Longitudes::at(Timestamp::from_millis(GRID_MS)).by_doodson();
        // The polynomial's error is at most `h⁽⁸⁾ Δ⁸ / (8! 2⁸)`, and `h⁽⁸⁾` is at most this.
        let eighth: f64 = curve
            .waves
            .iter()
            .map(|wave| {
                let degrees = wave.argument(&end) - wave.argument(&start);
                wave.amplitude.abs() * (degrees.to_radians() / hours).powi(8)
            })
            .sum();
        let bearable = TOLERANCE * curve.amplitudes;
        let hour = (bearable * REMAINDER / eighth)
            .powf(0.125)
            .min(LONGEST_CELL_HOURS);
        #[expect(clippy::cast_possible_truncation, reason = "a few hundred")]
        let cells = (hours / hour).ceil() as i64;
        Self {
            curve,
            lanes: vec![Lane::default(); curve.waves.len().div_ceil(LANES)],
            cells: cells.max(1),
            reached: None,
            known: None,
        }
    }

    /// Appends the turns between this knot and the next, as far as cells touch `first..last`.
    fn turns(&mut self, knot: i64, first: i64, last: i64, found: &mut Vec<Turn>) {
        let start = knot.saturating_mul(GRID_MS);
        let cell_ms = GRID_MS as f64 / self.cells as f64;
        #[expect(clippy::cast_possible_truncation, reason = "clamped to one grid step")]
        let cell_of = |moment: i64| (moment.saturating_sub(start) as f64 / cell_ms).floor() as i64;
        let skip = cell_of(first).clamp(0, self.cells);
        let stop = cell_of(last).saturating_add(1).clamp(0, self.cells);
        self.load(knot, skip);
        let mean = self.curve.mean_level;
        let mut here = match self.reached {
            Some((reached, end)) if reached == knot && skip == 0 => end,
            Some(_) | None => self.end(),
        };
        for cell in skip..stop {
            self.turn();
            let next = self.end();
            let slope = slope(&here, &next);
            if changes(&slope) > 0 {
                roots(slope, 0.0, 1.0, 0, &mut |part, rising| {
                    let at = (cell as f64 + part) * cell_ms;
                    #[expect(clippy::cast_possible_truncation, reason = "within one grid step")]
                    let time = Timestamp::from_millis(start + at.round() as i64);
                    let height = Metres::of(mean + height(&here, &next, part));
                    let kind = if rising { Stand::Low } else { Stand::High };
                    found.push(Turn { time, height, kind });
                });
            }
            here = next;
        }
        self.reached = (stop == self.cells).then_some((knot + 1, here));
    }

    /// The vectors at a cell of this step of the grid.
    fn load(&mut self, knot: i64, cell: i64) {
        let before = match self.known {
            Some((known, nodes)) if known == knot => nodes,
            Some(_) | None => nodes_at(knot),
        };
        let after = nodes_at(knot + 1);
        self.known = Some((knot + 1, after));
        let (start, end) = (
            Longitudes::at(knot_time(knot)).by_doodson(),
            Longitudes::at(knot_time(knot + 1)).by_doodson(),
        );
        let cells = self.cells as f64;
        let shares: Vec<_> = self
            .curve
            .shares
            .iter()
            .map(|place| (share(place, &before), share(place, &after)))
            .collect();
        for (place, wave) in self.curve.waves.iter().enumerate() {
            let ((log0, angle0), (log1, angle1)) =
                shares.get(wave.share).copied().unwrap_or_default();
            let phase = wave.argument(&start) + angle0;
            let speed = ((wave.argument(&end) + angle1 - phase) / cells).to_radians();
            let growth = (log1 - log0) / cells;
            let amplitude = wave.amplitude * (log0 + growth * cell as f64).exp();
            let (sin, cos) = ((phase % 360.0).to_radians() + speed * cell as f64).sin_cos();
            let (turn_sin, turn_cos) = speed.sin_cos();
            let lane = &mut self.lanes[place / LANES];
            let at = place % LANES;
            lane.re[at] = amplitude * cos;
            lane.im[at] = amplitude * sin;
            lane.turn_re[at] = growth.exp() * turn_cos;
            lane.turn_im[at] = growth.exp() * turn_sin;
            lane.speed[at] = speed;
        }
    }

    /// Advances by one cell.
    fn turn(&mut self) {
        for lane in &mut self.lanes {
            for at in 0..LANES {
                let re = lane.re[at] * lane.turn_re[at] - lane.im[at] * lane.turn_im[at];
                lane.im[at] = lane.re[at] * lane.turn_im[at] + lane.im[at] * lane.turn_re[at];
                lane.re[at] = re;
            }
        }
    }

    #[expect(
        clippy::needless_range_loop,
        reason = "one lane's place in all arrays at once"
    )]
    fn end(&self) -> End {
        let mut sums = [[0.0; LANES]; 4];
        for lane in &self.lanes {
            for at in 0..LANES {
                let (speed, re) = (lane.speed[at], lane.re[at]);
                let slope = speed * lane.im[at];
                let square = speed * speed;
                sums[0][at] += re;
                sums[1][at] -= slope;
                sums[2][at] -= square * re;
                sums[3][at] += square * slope;
            }
        }
        let [height, first, second, third] = sums.map(|lanes| lanes.iter().sum());
        End {
            height,
            first,
            second,
            third,
        }
    }
}

/// Coefficients of the slope's Bernstein polynomial.
type Slope = [f64; 7];

/// From the formula `Δʲ b₀ = (n-j)!/n! p⁽ʲ⁾(0)`, and its mirror at the other end. The outer coefficients
/// equal the slopes at the ends to the last bit, so neighbouring cells agree on their signs.
fn slope(a: &End, b: &End) -> Slope {
    [
        a.first,
        a.first + a.second / 6.0,
        a.first + a.second / 3.0 + a.third / 30.0,
        7.0 * (b.height - a.height) - 3.0 * (a.first + b.first) + 0.5 * (b.second - a.second)
            - (a.third + b.third) / 30.0,
        b.first - b.second / 3.0 + b.third / 30.0,
        b.first - b.second / 6.0,
        b.first,
    ]
}

/// The height at a fraction of the cell.
fn height(a: &End, b: &End, part: f64) -> f64 {
    let mut points = [
        a.height,
        a.height + a.first / 7.0,
        a.height + a.first * 2.0 / 7.0 + a.second / 42.0,
        a.height + a.first * 3.0 / 7.0 + a.second / 14.0 + a.third / 210.0,
        b.height - b.first * 3.0 / 7.0 + b.second / 14.0 - b.third / 210.0,
        b.height - b.first * 2.0 / 7.0 + b.second / 42.0,
        b.height - b.first / 7.0,
        b.height,
    ];
    for round in 1..8 {
        for at in 0..8 - round {
            points[at] += (points[at + 1] - points[at]) * part;
        }
    }
    points[0]
}

/// Number of sign changes; zero counts as positive.
fn changes(slope: &Slope) -> usize {
    let signs = slope.iter().map(|value| *value < 0.0);
    signs
        .clone()
        .zip(signs.skip(1))
        .filter(|(a, b)| a != b)
        .count()
}

/// Reports every root between `from` and `to` in order, and whether the curve rises from there.
fn roots(slope: Slope, from: f64, to: f64, depth: u32, tell: &mut impl FnMut(f64, bool)) {
    match changes(&slope) {
        0 => {}
        1 => tell(from + (to - from) * root(&slope), slope[6] >= 0.0),
        // A root of even order: it does not count.
        _ if depth > MOST_HALVINGS => {}
        _ => {
            let (left, right) = halves(slope);
            let middle = f64::midpoint(from, to);
            roots(left, from, middle, depth + 1, tell);
            roots(right, middle, to, depth + 1, tell);
        }
    }
}

/// Halving by De Casteljau's algorithm.
fn halves(mut points: Slope) -> (Slope, Slope) {
    let (mut left, mut right) = (points, points);
    for round in 0..7 {
        left[round] = points[0];
        right[6 - round] = points[6 - round];
        for at in 0..6 - round {
            points[at] = f64::midpoint(points[at], points[at + 1]);
        }
    }
    (left, right)
}

/// The only root, by Newton's method within shrinking bounds.
fn root(slope: &Slope) -> f64 {
    // Converted to powers: aₖ = C(6,k) Δᵏ d₀.
    let mut differences = *slope;
    for round in 1..7 {
        for at in (round..7).rev() {
            differences[at] -= differences[at - 1];
        }
    }
    let binomials = [1.0, 6.0, 15.0, 20.0, 15.0, 6.0, 1.0];
    let powers: [f64; 7] = std::array::from_fn(|k| binomials[k] * differences[k]);
    let evaluate = |x: f64| {
        powers
            .iter()
            .rev()
            .fold((0.0, 0.0), |(value, slope), power| {
                (value * x + power, slope * x + value)
            })
    };
    let falling = slope[0] >= 0.0;
    let (mut low, mut high) = (0.0, 1.0);
    // The chord is a good first guess.
    let mut x: f64 = (slope[0] / (slope[0] - slope[6])).clamp(0.0, 1.0);
    for _ in 0..MOST_STEPS {
        let (value, rate) = evaluate(x);
        if (value >= 0.0) == falling {
            low = x;
        } else {
            high = x;
        }
        let newton = x - value / rate;
        let next = if newton > low && newton < high {
            newton
        } else {
            f64::midpoint(low, high)
        };
        if (next - x).abs() < CLOSE_ENOUGH {
            return next;
        }
        x = next;
    }
    x
}

const LANES: usize = 4;
const HOUR_MS: i64 = 3_600_000;
/// Margin around the window, so that the removed turns do not depend on where it begins.
const MARGIN_MS: i64 = 2 * DAY_MS;
/// The polynomial's largest error within a cell, as a part of the sum of all amplitudes (chosen; see the
/// module's page).
const TOLERANCE: f64 = 1e-5;
/// `8! 2⁸`
const REMAINDER: f64 = 10_321_920.0;
/// The longest cell, however slow the constituents are.
const LONGEST_CELL_HOURS: f64 = 2.0;
/// The tolerance, in cells: a hundredth of a second.
const CLOSE_ENOUGH: f64 = 2e-6;
const MOST_STEPS: u32 = 40;
const MOST_HALVINGS: u32 = 16;
