use super::*;

/// The mark was made a minute late: it is fifty-five metres off, which is off the chart.
#[test]
fn a_mark_made_very_late_is_seen_through() {
    let mut anchor = Anchor::new(&Belief {
        at: Offset::ZERO,
        sigma: 3.0,
        ring: 0.0,
        bad: 0.25,
        bad_sigma: 13.0,
    });
    let truth = Offset {
        east: -55.0,
        north: 10.0,
    };
    for look in 0..480_u32 {
        let side = (f64::from(look) / 30.0).sin() * 1.2;
        let lies = Offset {
            east: 66.0 * side.cos(),
            north: 66.0 * side.sin(),
        };
        anchor.take(&Look {
            at: truth + lies,
            bound: 67.0,
            short: Some((1.0, 1.0)),
            slack: 30.0,
            trust: 1.0,
            settled: true,
            sigma: 1.5,
            weight: 0.1,
            gone: 30.0,
        });
    }
    let (found, spread) = anchor.estimate();
    let off = (found - truth).length().get();
    assert!(off < 4.0 && spread < 4.0, "{off} {spread}");
    assert!(anchor.taught.len() <= MOST_TAUGHT);
}

/// A mark that is good to this many metres, at this place.
fn mark(at: Offset, sigma: f64) -> Belief {
    Belief {
        at,
        sigma,
        ring: 0.0,
        bad: 0.0,
        bad_sigma: 13.0,
    }
}

fn north(north: f64) -> Offset {
    Offset { east: 0.0, north }
}

/// She lies 50 m north of the mark on a reach of 40 m, and nothing shows how near she may be.
fn far_out() -> Look {
    Look {
        at: north(50.0),
        bound: 40.0,
        short: Some((1.0, 1.0)),
        slack: 30.0,
        trust: 0.0,
        settled: false,
        sigma: 2.0,
        weight: 1.0,
        gone: 0.0,
    }
}

/// The place this many steps east and north of the centre of the chart.
fn place(east: usize, north: usize) -> usize {
    (CELLS / 2 + north) * CELLS + CELLS / 2 + east
}

fn assert_near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 1e-9, "{found}, not {wanted}");
}

/// 60 of 100 lie within 1.354 deviations (Rayleigh's distribution: sqrt(-2 ln 0.4)), which is 4.06 m of 3 m and
/// rounded up to a step. The mark is 60 m from the origin.
#[test]
fn before_she_has_lain_anywhere_the_anchor_lies_where_it_was_marked() {
    let at = Offset {
        east: 36.0,
        north: -48.0,
    };
    let anchor = Anchor::new(&mark(at, 3.0));
    let (mean, spread) = anchor.estimate();
    assert!((mean - at).length().get() < 1e-6);
    // A step of 1.5 m has a deviation of 0.43 m.
    assert!((spread - 3.0_f64.hypot(0.433)).abs() < 0.01, "{spread}");
    assert_near(anchor.most_within, 4.5);
}

/// The roller was 10 m from the antenna in an unknown direction, so the anchor lies on a circle: in each coordinate,
/// the deviation of a circle is its radius over the root of two.
#[test]
fn without_a_heading_the_anchor_lies_on_a_ring_about_the_mark() {
    let ring = Belief {
        ring: 10.0,
        ..mark(Offset::ZERO, 0.5)
    };
    let anchor = Anchor::new(&ring);
    let (mean, spread) = anchor.estimate();
    assert!(mean.length().get() < 1e-6);
    assert!((spread - 10.0 / 2.0_f64.sqrt()).abs() < 1.0, "{spread}");
    // Five metres inside the ring are nearer to it than five metres outside.
    assert!(ring.off(5.0).abs() < 1.0);
    assert_near(ring.off(15.0), 5.0);
}

/// With one place, `z² = d² - 2 ln 2` for an excess of `d` standard deviations.
#[test]
fn where_the_anchor_is_certain_the_evidence_is_the_excess_in_deviations() {
    let anchor = Anchor::new(&mark(Offset::ZERO, 0.1));
    let at = |distance: f64| Offset {
        east: 0.6 * distance,
        north: -0.8 * distance,
    };
    let (z, mean) = anchor.excess(at(46.0), 40.0, 2.0);
    assert_near(z, (9.0 - 2.0 * 2.0_f64.ln()).sqrt());
    assert_near(mean, 6.0);
    // Nearer than the bound, and just inside it.
    for distance in [20.0, 39.9] {
        let (z, mean) = anchor.excess(at(distance), 40.0, 2.0);
        assert_near(z, 0.0);
        assert_near(mean, distance - 40.0);
        assert!(anchor.explains_half(at(distance), 40.0));
    }
    assert!(!anchor.explains_half(at(40.1), 40.0));
}

/// Each of two equally likely places, 12 m apart, has half of the share: she is 6 m beyond the bound of the one, and
/// within that of the other.
#[test]
fn half_of_the_places_explain_where_she_is() {
    let mut anchor = Anchor::new(&mark(Offset::ZERO, 0.1));
    let half = |at: f64| Place {
        at: north(at),
        share: 0.5,
    };
    anchor.support = vec![half(6.0), half(-6.0)];
    anchor.most_within = 7.5;
    assert!(anchor.explains_half(north(40.0), 40.0));
    assert_near(anchor.excess(north(40.0), 40.0, 2.0).0, 0.0);
    // A metre farther out than the nearer one explains: exp(-1/8) of half, and as good as nothing of the other.
    let (z, mean) = anchor.excess(north(47.0), 40.0, 2.0);
    let explained = 0.5 * ((-0.125_f64).exp() + (-0.125_f64 * 169.0).exp());
    assert_near(z * z, -2.0 * (2.0 * explained).ln());
    assert_near(mean, 7.0);
}

/// Four metres beyond the bound are two deviations of two metres: half of their square.
#[test]
fn lying_beyond_the_bound_counts_against_a_place_up_to_a_limit() {
    let mut anchor = Anchor::new(&mark(Offset::ZERO, 5.0));
    anchor.take(&far_out());
    assert_near(anchor.beyond[place(0, 4)], -2.0);
    assert_near(anchor.beyond[place(0, 0)], -MOST_COST);
    assert_near(anchor.beyond[place(0, 8)], 0.0);
    // 30 m east, and so 50 m from where she lies at 40 m north of it.
    assert_near(anchor.beyond[place(20, 0)], -MOST_COST);
    let looks = |gone: f64| {
        let mut anchor = anchor.clone();
        anchor.take(&Look {
            gone,
            weight: 0.0,
            ..far_out()
        });
        anchor.beyond[place(0, 4)]
    };
    // It is forgotten over four hours.
    assert_near(looks(0.0), -2.0);
    assert_near(looks(4.0 * 3600.0), -2.0 * (-1.0_f64).exp());
    // Half a look counts half.
    let mut half = Anchor::new(&mark(Offset::ZERO, 5.0));
    half.take(&Look {
        weight: 0.5,
        ..far_out()
    });
    assert_near(half.beyond[place(0, 4)], -1.0);
}

/// She most likely lies a metre short of the bound; 4 m short is 3 m off, with a deviation of 2 m and 1 m together.
#[test]
fn lying_oddly_near_counts_against_a_place_as_far_as_the_wind_is_trusted() {
    let taken = |look: Look| {
        let mut anchor = Anchor::new(&mark(Offset::ZERO, 5.0));
        anchor.take(&Look {
            at: north(36.0),
            ..look
        });
        anchor.odd[place(0, 0)]
    };
    let trusted = Look {
        trust: 1.0,
        ..far_out()
    };
    assert_near(taken(trusted), 9.0 / 5.0 / 2.0);
    assert_near(
        taken(Look {
            trust: 0.5,
            ..trusted
        }),
        9.0 / 5.0 / 4.0,
    );
    // Without a wind instrument, lying no nearer than a calm would have her is not odd; 2 m nearer is half of one
    // deviation's square.
    let calm = Look {
        short: None,
        slack: 4.0,
        ..trusted
    };
    assert_near(taken(calm), 0.0);
    assert_near(taken(Look { slack: 2.0, ..calm }), 0.5);
}

/// A boat that has fallen back to her rode and never came nearer to the bound than 10 m: that is 8 m, or 8/3
/// deviations, beyond the two metres within which every boat lies at times.
#[test]
fn a_place_from_which_she_never_lay_taut_is_less_likely() {
    let log = |settled: bool| {
        let mut anchor = Anchor::new(&mark(Offset::ZERO, 5.0));
        anchor.take(&Look {
            at: Offset {
                east: -18.0,
                north: -24.0,
            },
            settled,
            ..far_out()
        });
        anchor.logs[place(0, 0)] - anchor.prior[place(0, 0)]
    };
    assert_near(log(false), 0.0);
    let square = (8.0_f64 / 3.0).powi(2) / 2.0;
    assert_near(log(true), -square * NEVER_TAUT / (NEVER_TAUT + square));
}

/// The tautest distance is forgotten by a metre an hour.
#[test]
fn how_taut_she_lay_once_counts_for_hours() {
    let mut anchor = Anchor::new(&mark(Offset::ZERO, 5.0));
    for (at, gone) in [(39.0, 30.0), (20.0, 2.0 * 3600.0)] {
        anchor.take(&Look {
            at: north(at),
            settled: true,
            gone,
            ..far_out()
        });
    }
    assert_near(anchor.farthest[place(0, 0)], -3.0);
}

/// Looks in light airs may all share one mistake, such as a stream: without a wind instrument all of them together
/// count no more than [`LEAST_SURE`], with one they do.
#[test]
fn without_a_wind_instrument_many_looks_do_not_make_a_place_impossible() {
    let odds = |short: Option<(f64, f64)>| {
        let mut anchor = Anchor::new(&mark(Offset::ZERO, 5.0));
        for _ in 0..100 {
            anchor.take(&Look {
                at: north(30.0),
                short,
                slack: 0.0,
                trust: 1.0,
                ..far_out()
            });
        }
        // The best place lies at the bound, the centre is 10 m nearer.
        let cost = |at: usize| anchor.prior[at] + anchor.beyond[at] - anchor.logs[at];
        (anchor.windless, cost(place(0, 0)))
    };
    let (windless, cost) = odds(None);
    assert!(windless > 0.99 && cost < LEAST_SURE && cost > 0.8 * LEAST_SURE);
    let (windless, cost) = odds(Some((0.0, 0.0)));
    assert!(windless == 0.0 && cost > 100.0, "{windless} {cost}");
}

/// A look of 30 s is a tenth of an independent one, and half an hour of them are sixty.
#[test]
fn it_takes_half_an_hour_to_notice_that_the_wind_instrument_is_gone() {
    let mut anchor = Anchor::new(&mark(Offset::ZERO, 5.0));
    for _ in 0..60 {
        anchor.take(&Look {
            short: None,
            weight: 0.1,
            gone: 30.0,
            ..far_out()
        });
    }
    let wanted = 1.0 - (-1.0_f64).exp();
    assert!(
        (anchor.windless - wanted).abs() < 0.01,
        "{}",
        anchor.windless
    );
}

/// She lay at anchor 30 m from the mark, near the edge of the chart; the next look is about the same place.
#[test]
fn a_redrawn_chart_stays_where_it_is() {
    let mut anchor = Anchor::new(&Belief {
        bad: 0.25,
        ..mark(Offset::ZERO, 3.0)
    });
    let looks = (0..80_u32).map(|step| {
        let way = f64::from(step).to_radians() * 9.0;
        Look {
            at: Offset {
                east: 34.0 + 39.0 * way.cos(),
                north: 39.0 * way.sin(),
            },
            trust: 1.0,
            settled: true,
            ..far_out()
        }
    });
    let mut middles: Vec<f64> = looks
        .map(|look| {
            anchor.take(&look);
            anchor.middle.east
        })
        .collect();
    middles.dedup();
    assert!(middles.len() == 1 && middles[0] > 27.0, "{middles:?}");
    let (found, _) = anchor.estimate();
    assert!((found.east - 34.0).abs() < 1.0 && found.north.abs() < 1.0);
}
