//! What we publish, and when.

use super::*;

#[test]
fn changes_are_published_each_second_and_a_turn_of_phase_at_once() {
    let mut night = Night::linked();
    night.pass(1);
    night.outputs.clear();
    let mut picture = WatchState::default();
    // Ten pictures a second for three seconds.
    for tenth in 0..30 {
        picture.current_radius = Some(Metres::of(20.0 + f64::from(tenth) * 0.1));
        night.session.handle_picture(night.now, &picture);
        night.pass_for(Duration::from_millis(100));
    }
    // The first picture at once, then one each second.
    assert_eq!(night.sent().len(), 4, "{:?}", night.sent());
    night.outputs.clear();
    picture.phase = WatchPhase::Setting;
    night.session.handle_picture(night.now, &picture);
    night.settle();
    let sent = night.sent();
    assert_eq!(sent.len(), 1);
    assert!(sent[0].to_string().contains("setting"));
}

#[test]
fn the_chart_s_drawing_follows_once_the_link_is_proven() {
    let mut night = Night::new(Mood::Good);
    let anchored = WatchState {
        anchor: Position::new(59.8539, 23.26).ok(),
        max_radius: Some(Metres::of(52.0)),
        ..WatchState::default()
    };
    night.session.handle_picture(night.now, &anchored);
    assert_eq!(
        night.session.poll_output(),
        None,
        "nothing is drawn into the blue"
    );
    night.pass(1);
    let writes = |night: &Night| {
        night.found(|o| match o {
            Output::PutResource(write) => Some(write.body.is_some()),
            _ => None,
        })
    };
    assert_eq!(writes(&night), [true, true, false]);
    night
        .session
        .handle_resource_failed(night.now, "status `404`");
    night.pass(299);
    assert_eq!(writes(&night).len(), 3);
    night.pass(1);
    assert_eq!(writes(&night).len(), 6);
}
