//! `[push.NAME]`.

use super::*;

/// A kind's variant has its own settings and none of another kind.
#[test]
fn a_channel_is_what_its_kind_says() {
    let config = read(&format!("{SKIPPER}replies = \"back\"\nreply_token_file = \"/t\"\n[push.ashore]\nkind = \"ping\"\nurl_file = \"/u\"\n"), &[]).unwrap();
    let Kind::Topic { topic, replies, .. } = &config.push["skipper"].kind else {
        panic!("{:?}", config.push["skipper"]);
    };
    assert_eq!(topic, "tern");
    let wanted = Replies {
        topic: "back".to_owned(),
        token_file: Some("/t".into()),
    };
    assert_eq!(replies.as_ref(), Some(&wanted));
    assert_eq!(config.push["skipper"].delivery, Some(Delivery::default()));
    assert_eq!(config.push["ashore"].delivery, None);
    assert!(
        config
            .describe()
            .contains("\npush.ashore.url_file = /u (line ")
    );
    assert_eq!(
        refusal("[push.ashore]\nkind = \"ping\"\n", &[]),
        "`push.ashore` (line 1 of `tern.toml`): a channel of kind `ping` needs `url`"
    );
    assert_eq!(
        refusal("[push.ashore]\nkind = \"drum\"\n", &[]),
        "`push.ashore.kind` = `drum` (line 2 of `tern.toml`): write one of `topic`, `webhook`, `mqtt`, `mail`, `program`, `ping`"
    );
}

#[test]
fn channels_are_named_tables_of_the_file_and_the_environment() {
    let text = format!(
        "boat.name = \"Tern\"\n{SKIPPER}quiet = \"22:00-07:30\"\n[push.mate]\nkind = \"program\"\nprogram = \"/bin/siren\"\n"
    );
    let config = read(&text, &[("WINDRODE__PUSH__MATE__AFTER", "5 min")]).unwrap();
    assert_eq!(config.name, "Tern");
    let skipper = &config.push["skipper"];
    assert_eq!(skipper.kind.name(), "topic");
    let quiet = skipper.delivery.as_ref().unwrap().quiet.unwrap();
    assert_eq!((quiet.from, quiet.until), (22 * 60, 7 * 60 + 30));
    let mate = &config.push["mate"];
    assert_eq!(
        mate.kind,
        Kind::Program {
            program: "/bin/siren".into()
        }
    );
    assert_eq!(
        mate.delivery.as_ref().unwrap().after,
        Duration::from_mins(5)
    );
    let text = config.describe();
    assert!(
        text.contains("\npush.skipper.quiet = 22:00-07:30 (line 6 of "),
        "{text}"
    );
    assert!(text.contains("\npush.mate.after = 5 min (variable `WINDRODE__PUSH__MATE__AFTER`)\n"));
    assert!(text.contains("\npush.mate.least = warning (default)\n"));
    let settings = config.outbox_settings("1a2b3c4d".to_owned(), [0; 32]);
    assert_eq!(settings.routes.len(), 2);
    assert!(settings.routes.iter().all(|route| route.least.is_some()));
}

#[test]
fn an_invalid_channel_is_refused_with_its_line() {
    for (text, refused) in [
        (
            "[push.skipper]\n",
            "`push.skipper` (line 1 of `tern.toml`): `kind` is not given; it is one of `topic`, `webhook`, `mqtt`, `mail`, `program`, `ping`",
        ),
        (
            "[push.skipper]\nkind = \"topic\"\nurl = \"https://push.example\"\n",
            "`push.skipper` (line 1 of `tern.toml`): a channel of kind `topic` needs `topic`",
        ),
        (
            &format!("{SKIPPER}from = \"a@b\"\n"),
            "`push.skipper.from` (line 5 of `tern.toml`): a channel of kind `topic` has no use for it",
        ),
        (
            &format!("{SKIPPER}tpoic = \"a\"\n"),
            "`push.skipper.tpoic` (line 5 of `tern.toml`) is no key of `[push.skipper]`; did you mean `topic`?",
        ),
        (
            &format!("{SKIPPER}least = \"high\"\n"),
            "`push.skipper.least` = `high` (line 5 of `tern.toml`): write one of `caution`, `warning`, `alarm`, `emergencyAlarm`",
        ),
        (
            &format!("{SKIPPER}quiet = \"22-7\"\n"),
            "`push.skipper.quiet` = `22-7` (line 5 of `tern.toml`): write two different times of day, such as `22:00-07:00`",
        ),
        (
            &format!("{SKIPPER}url_file = \"/etc/url\"\n"),
            "`push.skipper.url_file` (line 5 of `tern.toml`): the address is given twice, see `url`; take one of them out",
        ),
        (
            &SKIPPER.replace("https", "mqtts"),
            "`push.skipper.url` = `mqtts://push.example` (line 3 of `tern.toml`): it must begin with `https://` or `http://`; write it as `https://push.example/`",
        ),
        (
            &SKIPPER.replace("\"tern\"", "\"a/b\""),
            "`push.skipper.topic` = `a/b` (line 4 of `tern.toml`): write a topic of at most 64 letters, digits, `-` and `_`",
        ),
        (
            &format!("{SKIPPER}reply_token_file = \"/etc/t\"\n"),
            "`push.skipper.reply_token_file` (line 5 of `tern.toml`): without `replies` there are no buttons to give it to",
        ),
        (
            "[push]\nurl = \"https://push.example\"\n",
            "`push.url` (line 2 of `tern.toml`): a channel has a table with its name, of lower-case letters, digits and `_`: `[push.skipper]`",
        ),
        (
            "[push.Skipper]\nkind = \"ping\"\n",
            "`push.Skipper` (line 1 of `tern.toml`): a channel has a table with its name, of lower-case letters, digits and `_`: `[push.skipper]`",
        ),
        (
            "push = 3\n",
            "`push` (line 1 of `tern.toml`): a channel has a table with its name, of lower-case letters, digits and `_`: `[push.skipper]`",
        ),
        (
            "[push.base]\nkind = \"mqtt\"\nurl = \"mqtt://broker\"\nuser = \"tern\"\n",
            "`push.base` (line 1 of `tern.toml`): `user` and `password_file` go together; give both or none",
        ),
    ] {
        assert_eq!(refusal(text, &[]), refused, "{text}");
    }
    // An error about an address repeats its password only inside the written value.
    assert!(
        refusal(&SKIPPER.replace("push.example", "me:pw@push.example"), &[])
            .ends_with("user and password have no place in it; use `user`, `password_file` or `token_file` and write it as `https://push.example/`")
    );
    assert!(
        refusal("", &[("WINDRODE__PUSH__MATE__AFTER", "5 min")]).contains("`kind` is not given")
    );
}

#[test]
fn a_secret_is_shown_neither_in_errors_nor_in_the_description() {
    for text in [
        "[server]\ntoken = \"s3s ame\"\n",
        "[server]\ntoken = s3same\n",
        "[server]\ntoken = 33333\n",
        "[server]\ntokn = \"s3same\"\n",
    ] {
        let refused = refusal(text, &[]);
        assert!(
            !refused.contains("s3s") && !refused.contains("33333"),
            "{refused}"
        );
        assert!(refused.contains("tern.toml"), "{refused}");
    }
    let config = read("", &[("WINDRODE__SERVER__TOKEN", "s3same")]).unwrap();
    assert!(
        config
            .describe()
            .contains("\nserver.token = <secret> (variable `WINDRODE__SERVER__TOKEN`)\n")
    );
    assert!(!format!("{config:?}").contains("s3same"));
}
