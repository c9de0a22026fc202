//! When something is learned, and how certain the verdict is before that.

use super::*;

fn far_out(s: f64) -> Verdict {
    Verdict {
        s,
        beyond: 7.0,
        deviation: 1.2,
        lasted: 6.0,
    }
}

/// When it next learns, second by second from here on; `holds`: the anchor seems to hold.
fn learns(usual: &mut Usual, from: u64, holds: bool) -> Option<u64> {
    (from..from + 8000).find(|second| {
        let now = Tick::from_secs(*second);
        usual.learn(now, holds);
        usual.looked == now
    })
}

/// What raises the evidence may be a drag. The watch learns with a delay: ten minutes in the first hour, a quarter of
/// an hour after it. So nothing is learned for that long.
#[test]
fn while_she_lies_unusually_far_out_nothing_is_learned() {
    for (from, lag) in [(2000, 600), (4000, 900)] {
        for (s, waits) in [(3.9, 0), (4.1, lag + 1)] {
            let mut usual = usual(Some(8.0));
            usual.verdict = Some(far_out(s));
            usual.learn(Tick::from_secs(from), true);
            usual.verdict = Some(far_out(0.0));
            let learns = if usual.looked == Tick::from_secs(from) {
                Some(from)
            } else {
                learns(&mut usual, from + 1, true)
            };
            assert_eq!(learns, Some(from + waits), "{s} at {from}");
        }
    }
}

#[test]
fn after_an_hour_of_unusual_lying_it_is_learned() {
    let mut usual = usual(Some(8.0));
    usual.verdict = Some(far_out(5.0));
    assert_eq!(learns(&mut usual, 4000, true), Some(4000 + 3600));
}

#[test]
fn while_she_drags_nothing_is_learned() {
    let mut usual = usual(Some(8.0));
    assert_eq!(learns(&mut usual, 4000, false), None);
    assert_eq!(learns(&mut usual, 4000, true), Some(4000));
    // Every ten seconds.
    assert_eq!(learns(&mut usual, 4001, true), Some(4010));
}

/// A boat that was found at anchor has fallen back already.
#[test]
fn after_a_restart_learning_begins_two_minutes_sooner() {
    let begins = |found: Option<(&Found, Offset)>| {
        let seen = Sighting::in_wind(Some(8.0));
        let mut usual = Usual::new(Tick::START, &mark(), found, &seen);
        learns(&mut usual, 1, true)
    };
    assert_eq!(begins(None), Some(600 + 120 + 60));
    assert_eq!(begins(Some((&found(1.0), Offset::ZERO))), Some(600 + 60));
}

fn found(doubt: f64) -> Found {
    Found {
        position: Position::of(59.8539, 23.26),
        doubt: Metres::of(doubt),
        noise: Metres::of(1.0),
    }
}

/// The first verdict about a boat that lies farther out than her rode allows, after a restart.
fn first(doubt: f64, seen: &Sighting) -> Verdict {
    let mut usual = Usual::new(
        Tick::START,
        &mark(),
        Some((&found(doubt), Offset::ZERO)),
        seen,
    );
    let place = there(north(50.0));
    usual.take(Tick::START, &place, seen, 1.0, 0.0, true);
    usual.verdict.unwrap()
}

/// Each doubt adds its variance. Without a depth it is three hundredths of the rode; without the antenna's side a
/// quarter of what that may be; without a wind instrument two and a half metres, but not the effect of a calm, which is
/// a fifth of four metres in 8 m/s.
#[test]
fn what_is_not_known_makes_the_verdict_less_certain() {
    let sure = Sighting::in_wind(Some(8.0));
    let variance = |doubt: f64, seen: &Sighting| first(doubt, seen).deviation.powi(2);
    let base = variance(1.0, &sure);
    let adds = |doubt: f64, seen: &Sighting, wanted: f64| {
        let added = variance(doubt, seen) - base;
        assert!((added - wanted).abs() < 1e-6, "{added}, not {wanted}");
    };
    adds(3.0, &sure, 8.0);
    adds(0.2, &sure, 0.0);
    let no_depth = Sighting {
        height: None,
        ..sure
    };
    adds(1.0, &no_depth, 1.2 * 1.2);
    let no_side = Sighting {
        lever_doubt: Metres::of(6.0),
        ..sure
    };
    adds(1.0, &no_side, 1.5 * 1.5);
    adds(1.0, &Sighting::in_wind(None), 2.5 * 2.5 - 0.8 * 0.8);
    assert!((first(1.0, &sure).beyond - (50.0 - straight())).abs() < 1e-3);
    assert!((first(1.0, &no_side).beyond - (44.0 - straight())).abs() < 1e-3);
}

/// The distance from bow to antenna may be unknown when the mark is made.
#[test]
fn a_mark_made_without_a_heading_is_less_certain() {
    let spread = |lever: f64| {
        let mark = Marked {
            lever: Metres::of(lever),
            ..mark()
        };
        Usual::new(Tick::START, &mark, None, &Sighting::in_wind(Some(8.0)))
            .anchor()
            .1
    };
    assert_doubted_by(f64::hypot(1.5, 4.0), spread(4.0));
}

/// With another receiver all fixes may be shifted by eight metres. That counts once. It makes the verdict less certain,
/// and less so as time goes on.
#[test]
fn a_new_receiver_makes_the_anchor_s_place_less_certain() {
    let mut usual = usual(Some(8.0));
    let place = there(north(36.0));
    let mut spread = |second: u64, doubt: f64| {
        let seen = Sighting {
            doubt: Metres::of(doubt),
            ..Sighting::in_wind(Some(8.0))
        };
        usual.take(Tick::from_secs(second), &place, &seen, 1.0, 0.0, true);
        (usual.anchor().1, usual.doubt.left(Tick::from_secs(second)))
    };
    let (before, none) = spread(0, 0.0);
    assert!(none.abs() < 1e-9);
    for (second, doubt, wanted) in [
        (100, 8.0, 64.0),
        (101, 8.0, 64.0),
        (102, 6.0, 64.0),
        (103, 7.0, 64.0 + 49.0),
    ] {
        let (spread, left) = spread(second, doubt);
        let added = spread * spread - before * before;
        assert!((added - wanted).abs() < 1e-6, "{second}: {added}");
        // It began at 100 s, and again at 103 s.
        let age = if second == 103 {
            0.0
        } else {
            second as f64 - 100.0
        };
        assert!((left - doubt * (-age / 1800.0).exp()).abs() < 1e-9);
    }
}

/// A gap may have shifted the fix. Without a velocity to trust there is no verdict at all.
#[test]
fn after_a_gap_the_verdict_is_less_certain() {
    let seen = Sighting::in_wind(Some(8.0));
    let verdict = |shifted: f64, trusted: bool| {
        let mut usual = usual(Some(8.0));
        let place = Place {
            trusted,
            ..there(north(60.0))
        };
        assert!(usual.take(Tick::START, &place, &seen, 1.0, shifted, true));
        usual.verdict
    };
    let (sure, unsure) = (verdict(0.0, true).unwrap(), verdict(6.0, true).unwrap());
    let added = unsure.deviation.powi(2) - sure.deviation.powi(2);
    assert!((added - 36.0).abs() < 1e-6, "{added}");
    assert_eq!(verdict(0.0, false), None);
}

/// The mark is ten metres off. The wind goes all round within three hours, and she lies to her rode.
#[test]
fn the_anchor_is_found_where_she_lies_around_it() {
    let mut usual = usual(Some(8.0));
    let seen = Sighting::in_wind(Some(8.0));
    let anchor = Offset {
        east: 8.0,
        north: -6.0,
    };
    for second in 0..3 * 3600_u64 {
        let turn = second as f64 / 1800.0 * std::f64::consts::PI / 3.0;
        let out = Offset {
            east: turn.sin(),
            north: turn.cos(),
        };
        let place = there(anchor + out * (straight() - 2.0));
        usual.take(Tick::from_secs(second), &place, &seen, 1.0, 0.0, true);
    }
    let (at, spread) = usual.anchor();
    let off = (at - anchor).length().get();
    assert!(off < 1.0 && spread < 2.0, "{off} ± {spread}");
    // The record begins again from there, so that what she does is measured from the anchor.
    let origin = (usual.record.origin() - anchor).length().get();
    assert!(origin < 2.0, "{origin}");
    let usually = usual.usually_lies().unwrap();
    assert!((usually - (straight() - 2.0)).abs() < 1.0, "{usually}");
}
