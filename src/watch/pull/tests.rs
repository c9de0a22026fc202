use super::*;

const SIGMA: Metres = Metres::of(2.5);

#[expect(clippy::unnecessary_wraps, reason = "it is handed on as it is")]
fn load(rpm: f64) -> Option<Hertz> {
    Some(Hertz::of(rpm / 60.0))
}

/// A setting boat whose engine pulls from the tenth second on; `distance` depends on the seconds
/// since the pull began. Returns the reading after this many seconds of it.
fn pulled(seconds: u64, rpm: impl Fn(u64) -> f64, distance: impl Fn(u64) -> f64) -> PullTest {
    let mut test = PullTest::default();
    for second in 0..seconds + 10 {
        let now = Tick::from_secs(second);
        let pull = second.saturating_sub(10);
        let rpm = if second < 10 { 800.0 } else { rpm(pull) };
        test.judge(now, load(rpm), true);
        test.take_fix(now, Metres::of(distance(pull)), SIGMA, Metres::ZERO);
    }
    test
}

fn reading(test: &PullTest, seconds: u64) -> PullReading {
    test.reading(Tick::from_secs(seconds + 9)).unwrap()
}

/// She falls back 8 m with a time constant of 12 s.
fn straightening(second: u64) -> f64 {
    30.0 + 8.0 * (1.0 - (-(second as f64) / 12.0).exp())
}

#[test]
fn falling_back_while_the_chain_draws_straight_and_then_standing_still_is_held() {
    let mut test = pulled(120, |_| 1800.0, straightening);
    let reading = reading(&test, 120);
    assert_eq!(reading.verdict, PullVerdict::Held, "{reading:?}");
    assert_eq!(reading.load.map(|l| l.rpm().round()), Some(1800.0));
    assert_eq!(reading.held, 119.0);
    assert!(reading.moved.get().abs() < 1.5 && reading.running);
    let news = test.poll_news().unwrap();
    assert!(
        news.message
            .starts_with("pull test: held: no movement beyond GPS error"),
        "{}",
        news.message
    );
    // Throttled back: the verdict stands, and is reported once.
    test.judge(Tick::from_secs(140), load(800.0), true);
    let last = test.reading(Tick::from_secs(500)).unwrap();
    assert!(last.verdict == PullVerdict::Held && !last.running);
    assert_eq!(test.poll_news(), None);
}

#[test]
fn a_steady_creep_is_yielding() {
    for speed in [0.08, 0.15, 0.5] {
        let mut test = pulled(90, |_| 2000.0, |s| straightening(s) + speed * s as f64);
        let reading = reading(&test, 90);
        assert_eq!(
            reading.verdict,
            PullVerdict::Yielding,
            "{speed}: {reading:?}"
        );
        assert!(
            (reading.moved.get() / 69.0 - speed).abs() < 0.03,
            "{reading:?}"
        );
        let news = test.poll_news().unwrap();
        assert!(
            news.message
                .ends_with("under 2000 rpm; veer more rode and try again, or weigh"),
            "{}",
            news.message
        );
    }
}

/// A slow creep is not noticed in the first minute and is found in the third.
#[test]
fn a_longer_test_finds_a_slow_creep() {
    let creep = |s: u64| straightening(s) + 0.04 * s as f64;
    let early = pulled(61, |_| 1800.0, creep);
    assert_ne!(reading(&early, 61).verdict, PullVerdict::Held);
    let late = pulled(200, |_| 1800.0, creep);
    assert_eq!(reading(&late, 200).verdict, PullVerdict::Yielding);
}

#[test]
fn too_much_noise_no_fix_and_an_unsteady_load_cannot_tell() {
    // A zigzag of 6 m every half minute.
    let noise = |s: u64| {
        if (s / 15).is_multiple_of(2) {
            27.0
        } else {
            33.0
        }
    };
    let noisy = reading(&pulled(100, |_| 1800.0, noise), 100);
    assert_eq!(noisy.verdict, PullVerdict::CannotTell, "{noisy:?}");
    assert!(noisy.why.contains("too uncertain to tell"), "{noisy:?}");

    let mut blind = PullTest::default();
    for second in 0..100 {
        blind.judge(Tick::from_secs(second), load(1800.0), true);
    }
    let reading = blind.reading(Tick::from_secs(99)).unwrap();
    assert_eq!(reading.why, "no usable position while the engine pulled");

    let racing = |s: u64| {
        if (s / 20).is_multiple_of(2) {
            1500.0
        } else {
            2400.0
        }
    };
    let mut unsteady = pulled(200, racing, |_| 38.0);
    unsteady.start(Tick::from_secs(210));
    let last = unsteady.stop(Tick::from_secs(210)).unwrap();
    assert_eq!(last.verdict, PullVerdict::CannotTell);
    assert!(
        last.why.starts_with("the load was not steady, it changed"),
        "{last:?}"
    );
}

#[test]
fn coming_up_to_the_anchor_is_not_a_pull() {
    let ahead = pulled(100, |_| 1800.0, |s| 40.0 - 0.2 * s as f64);
    let reading = reading(&ahead, 100);
    assert_eq!(reading.verdict, PullVerdict::CannotTell);
    assert!(
        reading
            .why
            .ends_with("towards the anchor: the pull is not on the rode")
    );
    assert!(reading.why.contains("ahead in"), "{}", reading.why);
}

#[test]
fn without_revolutions_it_runs_between_the_orders() {
    let mut test = PullTest::default();
    assert_eq!(test.stop(Tick::from_secs(0)), None);
    test.judge(Tick::from_secs(0), None, true);
    assert!(!test.is_running());
    test.start(Tick::from_secs(1));
    for second in 1..120 {
        let now = Tick::from_secs(second);
        test.judge(now, None, false);
        test.take_fix(now, Metres::of(straightening(second)), SIGMA, Metres::ZERO);
    }
    let reading = test.stop(Tick::from_secs(120)).unwrap();
    assert_eq!((reading.verdict, reading.load), (PullVerdict::Held, None));
}

#[test]
fn an_order_waits_for_the_load_but_not_for_ever() {
    let mut test = PullTest::default();
    test.start(Tick::from_secs(0));
    test.judge(Tick::from_secs(1), load(800.0), false);
    let waiting = test.reading(Tick::from_secs(1)).unwrap();
    assert!(waiting.why.starts_with("no load yet"));
    for second in 2..400 {
        test.judge(Tick::from_secs(second), load(800.0), false);
    }
    assert!(!test.is_running());
    assert!(test.poll_news().is_some());
}

/// It need not be checked at the very second at which its patience ends.
#[test]
fn a_forgotten_order_ends_whenever_it_is_checked() {
    let mut test = PullTest::default();
    test.start(Tick::from_secs(0));
    test.judge(Tick::from_secs(1), load(800.0), false);
    assert!(test.is_running());
    test.judge(Tick::from_secs(400), load(800.0), false);
    assert!(!test.is_running());
}

#[test]
fn veering_in_the_middle_is_not_yielding() {
    let mut test = pulled(70, |_| 1800.0, |_| 38.0);
    for second in 80..200 {
        let now = Tick::from_secs(second);
        test.judge(now, load(1800.0), true);
        // Ten metres are veered within ten seconds.
        let veered = (second - 80).min(10) as f64;
        if second <= 90 {
            test.measure_anew(now);
        }
        test.take_fix(now, Metres::of(38.0 + veered), SIGMA, Metres::ZERO);
        let verdict = test.reading(now).unwrap().verdict;
        assert_ne!(verdict, PullVerdict::Yielding, "{second}");
    }
}

/// Receivers wander: first-order Gauss-Markov errors (τ 150 s, 1.5 m) with 0.3 m of white noise on
/// a boat that stands still. Of 300 tests of two minutes at most one in fifteen may say "yielding"
/// at any second. With a creep of 0.2 m/s at least nineteen in twenty must say it.
#[test]
fn a_wandering_receiver_is_seldom_called_yielding() {
    let mut dice = 7_u64;
    let mut normal = move || {
        let mut uniform = || {
            // SplitMix64 (Steele, Lea, Flood 2014).
            dice = dice.wrapping_add(0x9e37_79b9_7f4a_7c15);
            let mixed = (dice ^ (dice >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
            (((mixed ^ (mixed >> 31)) >> 11) as f64 + 0.5) / 9_007_199_254_740_992.0
        };
        (-2.0 * uniform().ln()).sqrt() * (std::f64::consts::TAU * uniform()).cos()
    };
    let fade = (-1.0_f64 / 150.0).exp();
    let mut count = |speed: f64| {
        let (mut yielding, mut held) = (0, 0);
        for _ in 0..300 {
            let mut wander = 1.5 * normal();
            let mut test = PullTest::default();
            let mut ever = [false, false];
            for second in 0..120 {
                let now = Tick::from_secs(second);
                wander = fade * wander + 1.5 * (1.0 - fade * fade).sqrt() * normal();
                let d = straightening(second) + speed * second as f64 + wander + 0.3 * normal();
                test.judge(now, load(1800.0), true);
                test.take_fix(now, Metres::of(d), SIGMA, Metres::ZERO);
                match test.reading(now).unwrap().verdict {
                    PullVerdict::Yielding => ever[0] = true,
                    PullVerdict::Held => ever[1] = true,
                    PullVerdict::CannotTell => {}
                }
            }
            yielding += u32::from(ever[0]);
            held += u32::from(ever[1]);
        }
        (yielding, held)
    };
    let (yielding, held) = count(0.0);
    assert!(
        yielding <= 20,
        "{yielding} of 300 tests of an anchor that holds"
    );
    assert!(held >= 200, "only {held} of 300 held");
    let (yielding, held) = count(0.2);
    assert!(
        yielding >= 285,
        "only {yielding} of 300 found a creep of 0.2 m/s"
    );
    assert!(held <= 3, "{held} of 300 called a creep of 0.2 m/s held");
}

/// The rode still draws straight, ever more slowly: neither held nor yielding.
#[test]
fn a_boat_that_still_falls_back_is_told_to_hold_the_load() {
    let test = pulled(62, |_| 1800.0, |s| 50.0 - 20.0 * (-(s as f64) / 20.0).exp());
    let reading = reading(&test, 62);
    assert_eq!(reading.verdict, PullVerdict::CannotTell);
    assert!(
        reading.why.ends_with("and still falls back; hold the load"),
        "{}",
        reading.why
    );
}

#[test]
fn a_burst_of_the_engine_is_not_a_test() {
    let after = |seconds: u64| {
        let mut test = pulled(seconds, |_| 1800.0, |_| 38.0);
        let over = Tick::from_secs(seconds + 10);
        test.judge(over, load(800.0), true);
        assert!(!test.is_running());
        (test.poll_news().is_some(), test.reading(over).is_some())
    };
    assert_eq!(after(20), (false, false));
    assert_eq!(after(40), (true, true));
}

/// Held by 1800 rpm for two minutes, then half a minute at another throttle setting.
#[test]
fn more_load_makes_it_another_test_and_less_load_does_not() {
    let after = |rpm: f64| {
        let load_then = |s: u64| if s < 120 { 1800.0 } else { rpm };
        let mut test = pulled(150, load_then, straightening);
        test.judge(Tick::from_secs(160), load(800.0), true);
        test.reading(Tick::from_secs(160)).unwrap().verdict
    };
    assert_eq!(after(2400.0), PullVerdict::CannotTell);
    assert_eq!(after(1300.0), PullVerdict::Held);
}
