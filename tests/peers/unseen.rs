//! A server whose access control lets windrode write everything but notifications: its values are
//! shown, its alarms are not. Only the missing echo of the notifications reveals this.

use serde_json::{Value, json};

use super::ashore::{Manner, Odd};
use super::tern::{Aboard, Instruments, eventually};
use super::{Mode, SignalK};

/// Leaves `notifications.*` to the administrator. The lists and their meaning are the server's
/// (`tokensecurity.js`): the first rule whose path fits decides.
fn hide_notifications(server: &mut SignalK) {
    let file = server.dir.join("security.json");
    let mut security: Value =
        serde_json::from_str(&std::fs::read_to_string(&file).unwrap()).unwrap();
    let all = |subject: &str| {
        json!([
            {"subject": subject, "permission": "write"},
            {"subject": subject, "permission": "put"},
        ])
    };
    security["acls"] = json!([{"context": "*", "resources": [
        {"paths": ["notifications.*"], "permissions": all("admin")},
        {"paths": ["*"], "permissions": all("any")},
    ]}]);
    std::fs::write(&file, security.to_string()).unwrap();
    server.restart();
}

#[test]
fn alarms_that_no_display_shows_are_told_by_phone_and_status() {
    let mut server = SignalK::start(Mode::Secure);
    hide_notifications(&mut server);
    let instruments = Instruments::on(&server);
    let phone = Odd::start(Manner::Answers("200 OK", String::new()));
    let mut aboard = Aboard::with_phones(&server, &phone.as_channel("cook"));
    aboard.run();
    eventually("the daemon has a fix", || {
        aboard.status()?["picture"]["waterDepth"].as_f64()
    });
    aboard.order(&["let-go", "--rode", "40m"]);
    instruments.lie_at(20.0);
    let link = eventually("the link is impaired", || {
        let link = aboard.status()?["link"].as_str()?.to_owned();
        link.starts_with("impaired").then_some(link)
    });
    assert!(
        link.contains("the server does not show our alarms: `notifications.navigation.anchor."),
        "{link}"
    );
    let alert = eventually("it is an alarm", || aboard.alert("dataLink"));
    assert_eq!(alert["priority"], "alarm", "{alert}");
    assert_eq!(alert["state"], "active-unacknowledged", "{alert}");
    let told = eventually("the phone is told", || {
        let all = phone.posted().into_iter().map(|posted| posted.json());
        let mut alerts = all.filter(|told| told["hazard"] == "dataLink");
        alerts.find(|told| told["priority"] == "alarm")
    });
    assert!(
        told["message"]
            .as_str()
            .unwrap_or_default()
            .contains("displays may show nothing"),
        "{told}"
    );
    // The report is correct: the server has no notification of ours.
    let shown = server
        .rest_as(server.tokens.admin.as_ref())
        .get_json("/signalk/v1/api/vessels/self/notifications/navigation/anchor/dataLink");
    assert_eq!(shown, None);
    assert_eq!(aboard.stop(), Some(0));
}
