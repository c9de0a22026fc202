//! A journal that an earlier windrode wrote: its contents are restored, and saved in the same form.

use serde_json::Value;

use super::*;

/// One anchor, whose place has been refined since, and a circle of the crew's own.
const ONE_ANCHOR: &str = r#"{"phase":"set","phaseSince":"2026-06-01T23:39:54.144Z","mark":{"position":{"latitude":59.85385319420672,"longitude":23.260124175169608},"doubt":2.508662089558681,"lever":0.0,"letGo":"2026-06-01T23:38:36.976Z","depth":6.973046108026301,"rode":50.26759146253289,"maxRadius":60.135001590274044,"wind":2.2096136145563854,"found":{"position":{"latitude":59.85385319420672,"longitude":23.260124175169608},"doubt":6.7923986331076,"noise":1.804502865022637}},"manner":{"kind":"anchor","radius":null,"second":null,"windSeen":null},"berth":{"latitude":59.8539,"longitude":23.26},"alerts":[{"hazard":"dataLink","priority":"alarm","state":"active-acknowledged","message":"the data server has sent nothing for 57 s; the watch sees nothing, keep a lookout","since":"2026-06-02T04:53:56.123Z","raise":10,"escalation":0,"escalated":false}],"measures":[["dataLink",0.9521]],"raises":10,"leastSounded":6.973046108026301}"#;

/// A second anchor, without a rode.
const TWO_ANCHORS: &str = r#"{"phase":"setting","phaseSince":"2026-07-04T13:18:18.190Z","mark":{"position":{"latitude":59.85336535760481,"longitude":23.260437529978077},"doubt":2.5152156479786147,"lever":0.0,"letGo":"2026-07-04T13:18:04.190Z","depth":15.43961691510389,"rode":50.07512096317372,"maxRadius":null,"wind":null,"found":{"position":{"latitude":59.85336535760481,"longitude":23.260437529978077},"doubt":6.794217845780635,"noise":1.8620087219466201}},"manner":{"kind":"secondAnchor","radius":null,"second":{"position":{"latitude":59.853420945621984,"longitude":23.260360162898735},"doubt":2.514839486287663,"lever":0.0,"depth":15.43961691510389,"rode":null},"windSeen":null},"berth":{"latitude":59.8534621384725,"longitude":23.26011777646402},"alerts":[{"hazard":"windStrength","priority":"alarm","state":"active-acknowledged","message":"strong wind: mean 49 kn, gusts to 49 kn; look at the rode and its chafe, veer if there is room, have the engine ready","since":"2026-07-04T13:18:04.190Z","raise":170,"escalation":1,"escalated":false}],"measures":[["windStrength",0.0]],"raises":172,"leastSounded":15.43961691510389}"#;

/// On a mooring, with the circle that was given at the start and another that was ordered later.
const MOORED: &str = r#"{"phase":"set","phaseSince":"2026-05-20T10:23:11.192Z","mark":{"position":{"latitude":59.85355605253003,"longitude":23.260046700275975},"doubt":2.5116127648717024,"lever":0.0,"letGo":"2026-05-20T10:19:04.651Z","depth":5.916685284864317,"rode":null,"maxRadius":101.57492524398839,"wind":1.8714458413925272},"manner":{"kind":"mooring","radius":86.74292876891394,"second":null,"windSeen":null},"berth":{"latitude":59.85352679013304,"longitude":23.259749999590472},"alerts":[{"hazard":"dataLink","priority":"alarm","state":"active-acknowledged","message":"no data server for 51 s: the network is gone; the watch sees nothing, keep a lookout","since":"2026-05-20T10:18:56.651Z","raise":280,"escalation":0,"escalated":false}],"measures":[["dataLink",0.0]],"raises":280,"leastSounded":2.429065784748892}"#;

/// The watch as it continues from `saved`, a moment later.
fn goes_on(saved: &str) -> Watchkeeper {
    let saved: Saved = serde_json::from_str(saved).unwrap();
    Watchkeeper::new(at(0), settings(), saved)
}

#[test]
fn a_saved_state_is_restored_and_saved_unchanged() {
    for saved in [ONE_ANCHOR, TWO_ANCHORS, MOORED] {
        let written: Value = serde_json::from_str(saved).unwrap();
        let again = serde_json::to_value(goes_on(saved).saved()).unwrap();
        for member in [
            "phase",
            "phaseSince",
            "mark",
            "manner",
            "berth",
            "leastSounded",
        ] {
            assert_eq!(again[member], written[member], "{member}");
            assert!(!written[member].is_null(), "{member}");
        }
        assert_eq!(again["alerts"][0]["hazard"], written["alerts"][0]["hazard"]);
    }
}

#[test]
fn one_anchor_goes_on_with_the_crew_s_own_circle() {
    let picture = goes_on(ONE_ANCHOR).picture(at(0));
    assert_eq!(picture.phase, AnchorPhase::Set);
    assert_eq!(picture.max_radius, Some(Metres::of(60.135_001_590_274_044)));
    assert_eq!(picture.rode_out, Some(Metres::of(50.267_591_462_532_89)));
}

#[test]
fn two_anchors_both_go_on() {
    let picture = goes_on(TWO_ANCHORS).picture(at(0));
    // No rode was given for the second one: all 60 m aboard, stretched, over 15.4 m and the roller
    // height.
    let reach = (61.2_f64.powi(2) - (15.439_616_915_103_89_f64 + 1.2).powi(2)).sqrt();
    let told = format!(", its rode reaches {}", Metres::of(reach));
    assert!(
        picture
            .remarks
            .iter()
            .any(|remark| remark.starts_with("second anchor at") && remark.ends_with(&told)),
        "{:?} {told}",
        picture.remarks
    );
}

#[test]
fn a_moored_boat_continues_in_the_circle_that_counts() {
    let mut keeper = goes_on(MOORED);
    let radius = |keeper: &Watchkeeper| keeper.picture(at(0)).max_radius;
    assert_eq!(radius(&keeper), Some(Metres::of(101.574_925_243_988_39)));
    let id = 1;
    let command = Command::MaxRadius(None);
    keeper.handle(
        at(0),
        Input::Command {
            id,
            command,
            by: By::Terminal,
        },
    );
    assert_eq!(radius(&keeper), Some(Metres::of(86.742_928_768_913_94)));
}
