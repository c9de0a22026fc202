#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use super::keys::keys;
use super::settings::Understood;
use super::*;
use crate::boat::BoatFigures;
use crate::io::push::settings::{Channel, Delivery, Kind, Replies};
use crate::units::{Metres, Speed};
use crate::watch::settings::WatchSettings;

/// Reads `text` as the configuration, with these variables.
fn read(text: &str, variables: &[(&str, &str)]) -> Result<Config, ConfigError> {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("tern.toml");
    fs::write(&file, text).unwrap();
    Config::load(Some(&file), &surroundings(variables))
}

/// The refusal of `text`, the directory of the file left out.
fn refusal(text: &str, variables: &[(&str, &str)]) -> String {
    let text = read(text, variables).unwrap_err().to_string();
    let mut short = String::new();
    for part in text.split_inclusive('`') {
        short.push_str(
            part.rsplit_once("/tern.toml")
                .map_or(part, |_| "tern.toml`"),
        );
    }
    short
}

fn surroundings(variables: &[(&str, &str)]) -> Surroundings {
    Surroundings {
        variables: variables
            .iter()
            .map(|(name, value)| ((*name).to_owned(), (*value).to_owned()))
            .collect(),
        ..Surroundings::default()
    }
}

/// The path of a file of this repository.
fn shipped(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// The shipped file with every key in force but `except`.
fn uncommented(except: &str) -> String {
    let is_key = |line: &str| {
        line.strip_prefix('#')
            .and_then(|rest| rest.split_once(" = "))
            .is_some_and(|(key, _)| key.bytes().all(|b| b.is_ascii_lowercase() || b == b'_'))
    };
    fs::read_to_string(shipped("deploy/windrode.toml"))
        .unwrap()
        .lines()
        .filter(|line| !line.starts_with(&format!("#{except} = ")))
        .map(|line| {
            let on = is_key(line) || line.starts_with("#[push.");
            if on { &line[1..] } else { line }
        })
        .collect::<Vec<_>>()
        .join("\n")
}

/// All keys with what they hold.
fn values(config: &Config) -> Vec<(String, Option<String>)> {
    let mut values = Vec::new();
    keys(&mut config.clone(), |key| {
        values.push((key.full(), key.slot.written()));
    });
    values
}

#[test]
fn file_and_environment_lie_over_the_defaults_in_people_s_units() {
    let config = read(
        "[boat]\ndraught = \"7 ft\"\nlength = '11.2m'\n[drag]\nmargin = \"8 m\"\nhold = \"1min\"\n\
         [tackle]\nscope = 6\nrode_aboard = \"22 fathoms\"\n[wind]\nshift = \"45°\"\nleast = \"3 m/s\"\n",
        &[
            ("WINDRODE__DRAG__MARGIN", "12 m"),
            ("WINDRODE__TACKLE__STRETCH", "0.1"),
            ("WINDRODE__SERVER__TOKEN", "007"),
        ],
    )
    .unwrap();
    let (watch, boat) = (&config.watch, &config.watch.boat);
    assert!((boat.draught.unwrap().get() - 2.1336).abs() < 1e-9);
    assert_eq!(boat.length, Some(Metres::of(11.2)));
    assert!((boat.rode_aboard.unwrap().get() - 40.2336).abs() < 1e-9);
    assert_eq!(watch.drag_margin, Metres::of(12.0));
    assert_eq!(watch.drag_hold, Duration::from_mins(1));
    assert_eq!(watch.settle, WatchSettings::default().settle);
    assert_eq!((watch.scope, watch.stretch), (6.0, 0.1));
    assert!((watch.wind_shift.degrees() - 45.0).abs() < 1e-9);
    assert_eq!(watch.wind_least, Speed::of(3.0));
    assert_eq!(config.server.token.unwrap().reveal(), "007");
}

#[test]
fn only_double_underscore_variables_count() {
    let config = read(
        "",
        &[
            ("WINDRODE_CONFIG", "/etc/other.toml"),
            ("WINDRODE_LOG", "debug"),
            ("WINDRODE_BOAT__DRAUGHT", "2 m"),
            ("WINDRODE", "x"),
            ("PATH", "/bin"),
        ],
    )
    .unwrap();
    assert_eq!(config.watch.boat, BoatFigures::default());
}

#[test]
fn the_service_manager_s_directories_are_the_defaults_and_yield_to_the_file() {
    let surroundings = Surroundings {
        state_directory: Some("/srv/state".into()),
        runtime_directory: Some("/srv/run".into()),
        ..Surroundings::default()
    };
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("tern.toml");
    fs::write(&file, "").unwrap();
    let config = Config::load(Some(&file), &surroundings).unwrap();
    assert_eq!(config.journal.directory, Path::new("/srv/state"));
    assert_eq!(config.control.socket, Path::new("/srv/run/windrode.sock"));
    fs::write(&file, "journal.directory = \"/data\"").unwrap();
    let config = Config::load(Some(&file), &surroundings).unwrap();
    assert_eq!(config.journal.directory, Path::new("/data"));
}

#[test]
fn a_misspelt_name_is_refused_with_its_place_and_the_nearest_one() {
    assert_eq!(
        refusal("\n[tackle]\nrode_abord = \"60 m\"\n", &[]),
        "`tackle.rode_abord` (line 3 of `tern.toml`) is no key of `[tackle]`; did you mean `rode_aboard`?"
    );
    assert_eq!(
        refusal("[boat]\nrode_aboard = \"60 m\"\n", &[]),
        "`boat.rode_aboard` (line 2 of `tern.toml`) is no key of `[boat]`; did you mean `tackle.rode_aboard`?"
    );
    assert_eq!(
        refusal("[swing]\nzzzzzzzzz = 1\n", &[]),
        "`swing.zzzzzzzzz` (line 2 of `tern.toml`) is no key of `[swing]`; known are `margin`, `hold`"
    );
    assert_eq!(
        refusal("[winds]\nshift = \"50 deg\"\n", &[]),
        "`winds.shift` (line 2 of `tern.toml`) is no key, there is no section `[winds]`; did you mean `wind`?"
    );
    assert_eq!(
        refusal("# notes\n[baot]\n", &[]),
        "`baot` (line 2 of `tern.toml`) is no key, there is no section `[baot]`; did you mean `boat`?"
    );
    assert_eq!(
        refusal("draught = \"2 m\"\n", &[]),
        "`draught` (line 1 of `tern.toml`) is no section; did you mean `draught` under `[boat]`?"
    );
    assert_eq!(
        refusal("", &[("WINDRODE__BOAT__DRAFT", "2 m")]),
        "`boat.draft` (variable `WINDRODE__BOAT__DRAFT`) is no key of `[boat]`; did you mean `draught`?"
    );
    assert_eq!(
        refusal("", &[("WINDRODE__BOTE__BEAM", "2 m")]),
        "`bote.beam` (variable `WINDRODE__BOTE__BEAM`) is no key, there is no section `[bote]`; did you mean `boat`?"
    );
    // TOML keys are case-sensitive.
    assert_eq!(
        refusal("[boat]\nDraught = \"2 m\"\n", &[]),
        "`boat.Draught` (line 2 of `tern.toml`) is no key of `[boat]`; did you mean `draught`?"
    );
}

#[test]
fn odd_names_are_refused_and_lead_nowhere() {
    for name in [
        "WINDRODE__",
        "WINDRODE__BOAT.BEAM",
        "WINDRODE__A[99999]",
        "WINDRODE__BÔTE__X",
    ] {
        assert_eq!(
            refusal("", &[(name, "1 m")]),
            format!(
                "`{name}` (variable `{name}`) is no key; write it like `WINDRODE__BOAT__DRAUGHT`"
            )
        );
    }
    for name in [
        "WINDRODE____",
        "WINDRODE__BOAT",
        "WINDRODE__BOAT__",
        "WINDRODE____BEAM",
    ] {
        assert!(
            refusal("", &[(name, "1 m")]).contains("(variable `WINDRODE__"),
            "{name}"
        );
    }
    for text in [
        "\"boat[3]\" = 1",
        "\"\" = 1",
        "[\"\"]",
        "[boat]\n\"\" = 1",
        "[[boat]]",
        "boat = []",
    ] {
        assert!(refusal(text, &[]).contains("tern.toml"), "{text}");
    }
}

#[test]
fn an_impossible_value_is_refused_with_its_place_and_the_bounds() {
    assert_eq!(
        refusal("[server]\n[boat]\n  draught = \"40 m\" # deep\n", &[]),
        "`boat.draught` = `40 m` (line 3 of `tern.toml`): a draught lies between `0.1 m` and `15 m`; correct it, or take it out to have the server's figure"
    );
    assert_eq!(
        refusal("", &[("WINDRODE__DRAG__MARGIN", "6 nm")]),
        "`drag.margin` = `6 nm` (variable `WINDRODE__DRAG__MARGIN`): a margin lies between `0.5 m` and `500 m`; correct it, or take it out to have `3 m`"
    );
    assert_eq!(
        refusal("tackle = { scope = 7, stretch = 2.5 }\n", &[]),
        "`tackle.stretch` = `2.5` (line 1 of `tern.toml`): a stretch lies between `0` and `0.4`; correct it, or take it out to have `0.02`"
    );
    // Folded into half a turn it would pass for 40°.
    assert_eq!(
        refusal("wind.shift = \"400deg\"\n", &[]),
        "`wind.shift` = `400deg` (line 1 of `tern.toml`): a wind shift lies between `5 deg` and `175 deg`; correct it, or take it out to have `60 deg`"
    );
    assert!(refusal("wind.shift = \"-60deg\"\n", &[]).contains("lies between"));
    assert!(refusal("wind.shift = \"180deg\"\n", &[]).contains("lies between"));
}

#[test]
fn a_value_of_the_wrong_sort_is_refused_with_what_to_write() {
    assert_eq!(
        refusal("[swing]\nmargin = 10\n", &[]),
        "`swing.margin` = `10` (line 2 of `tern.toml`): `10` has no unit; write `10m` or use one of `m`, `ft`, `feet`, `fathoms`, `nm`, `km`, `cm`, `mm`"
    );
    assert_eq!(
        refusal("[fix]\n\"max_age\" = \"soon\"\n", &[]),
        "`fix.max_age` = `soon` (line 2 of `tern.toml`): `soon` does not start with a number; write a number and a unit, such as `5min`"
    );
    assert_eq!(
        refusal("tackle.scope = \"5:1\"\n", &[]),
        "`tackle.scope` = `5:1` (line 1 of `tern.toml`): write a plain number without a unit"
    );
    assert_eq!(
        refusal("[fix]\nsource = \"gps 0\"\n", &[]),
        "`fix.source` = `gps 0` (line 2 of `tern.toml`): write a label of at most 100 letters, digits, `-`, `_` and `.`"
    );
    assert_eq!(
        refusal("[journal]\ndirectory = \"state\"\n", &[]),
        "`journal.directory` = `state` (line 2 of `tern.toml`): write a path from the root, such as `/var/lib/windrode`"
    );
    assert!(refusal("[server]\nsource = 5\n", &[]).ends_with("write text in quotes: `\"5\"`"));
    assert!(refusal("boat.beam = [1, 2]\n", &[]).contains("write a single value in quotes"));
    assert!(refusal("boat.beam = true\n", &[]).contains("`true` does not start with a number"));
    assert!(refusal("tackle.scope = nan\n", &[]).contains("a plain number"));
    assert!(refusal("", &[("WINDRODE__BOAT__BEAM", "")]).contains("does not start with a number"));
    assert!(refusal("", &[("WINDRODE__BOAT__BEAM__X", "1 m")]).contains("write a single value"));
    assert!(
        refusal("[server]\nurl = \"boat\"\n", &[]).contains("write it as `ws://localhost:3000`")
    );
}

#[test]
fn what_cannot_hold_together_is_refused() {
    assert_eq!(
        refusal("[server]\ntoken = \"abc\"\ntoken_file = \"/etc/t\"\n", &[]),
        "`server.token` = `<secret>` and `server.token_file` = `/etc/t` do not go together: the token is given twice; take one of them out"
    );
    assert_eq!(
        refusal("fix.lost_after = \"8 s\"\n", &[]),
        "`fix.max_age` = `10 s` and `fix.lost_after` = `8 s` do not go together: a fix would be lost before it is too old; make the first the shorter"
    );
    assert!(refusal("fix.failover_after = \"61 s\"\n", &[]).contains("another source"));
    assert!(
        refusal(
            "[boat]\nlength = \"10 m\"\nantenna_from_bow = \"11 m\"\n",
            &[]
        )
        .contains("astern")
    );
    assert!(refusal("[boat]\nlength = \"10 m\"\nbeam = \"11 m\"\n", &[]).contains("wider"));
}

#[test]
fn what_an_error_quotes_has_a_sane_length() {
    let long = "ä".repeat(1_000_000);
    for text in [
        format!("boat.name = \"{long}\"\n"),
        format!("boat.beam = \"{}\"\n", "1".repeat(1_000_000)),
        format!("boat.beam = \"{} m\"\n", "x".repeat(4000)),
        format!("tackle.chain = \"{}\"\n", "x".repeat(4000)),
        format!("water.station = \"{}\"\n", "x".repeat(4000)),
        format!("server.url = \"{}\"\n", "x".repeat(4000)),
        format!("boat.beam = [\"{long}\"]\n"),
        format!("boat.\"{long}\" = 3\n"),
        format!("[\"{long}\"]\nbeam = 3\n"),
        format!("\"{long}\" = 3\n"),
        format!("push.\"{long}\" = 3\n"),
        format!("boat.name = \"{long}\n"),
        format!("{SKIPPER}\"{long}\" = 3\n"),
    ] {
        let error = read(&text, &[]).unwrap_err().to_string();
        let start: String = text.chars().take(40).collect();
        assert!(error.chars().count() < 1500, "{start}: {}", error.len());
        assert!(
            error.contains('…') && error.contains("tern.toml"),
            "{start}: {error}"
        );
    }
    let variable = format!("WINDRODE__{}", "X".repeat(100_000));
    assert!(refusal("", &[(&variable, "1")]).len() < 1500);
    assert!(
        refusal(&format!("boat.name = \"{}\"", "Tern ".repeat(20)), &[])
            .starts_with(&format!("`boat.name` = `{}` (line 1", "Tern ".repeat(20)))
    );
}

#[test]
fn a_variable_that_is_not_text_is_refused() {
    use std::ffi::OsString;
    use std::os::unix::ffi::OsStringExt;
    let variables = [
        ("WINDRODE__BOAT__NAME", &b"T\xe4rna"[..]),
        ("WINDRODE__BOAT__BEAM", b"3 m"),
        ("STATE_DIRECTORY", b"/srv/state:/srv/other"),
        ("LATIN", b"\xe4"),
    ];
    let surroundings = Surroundings::of(
        variables
            .into_iter()
            .map(|(name, value)| (name.into(), OsString::from_vec(value.to_vec()))),
    );
    assert_eq!(surroundings.variables["WINDRODE__BOAT__BEAM"], "3 m");
    assert_eq!(surroundings.state_directory, Some("/srv/state".into()));
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("tern.toml");
    fs::write(&file, "").unwrap();
    assert_eq!(
        Config::load(Some(&file), &surroundings)
            .unwrap_err()
            .to_string(),
        "the variable `WINDRODE__BOAT__NAME` is not UTF-8 text; set it again, or take it out"
    );
}

/// What a kind needs is in its variant, and nothing of another kind.
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

const SKIPPER: &str =
    "[push.skipper]\nkind = \"topic\"\nurl = \"https://push.example\"\ntopic = \"tern\"\n";

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
fn a_channel_that_cannot_be_is_refused_with_its_line() {
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
    // Where an address is wrong, its password is not repeated but in the value that was written.
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

#[test]
fn a_token_in_a_file_that_others_may_read_is_pointed_out() {
    use std::os::unix::fs::PermissionsExt;
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("tern.toml");
    for (text, mode, count) in [
        ("server.token = \"x\"", 0o644, 1),
        ("server.token = \"x\"", 0o640, 0),
        ("boat.beam = \"3 m\"", 0o644, 0),
    ] {
        fs::write(&file, text).unwrap();
        fs::set_permissions(&file, fs::Permissions::from_mode(mode)).unwrap();
        let config = Config::load(Some(&file), &Surroundings::default()).unwrap();
        assert_eq!(config.warnings().len(), count, "{text} {mode:o}");
    }
}

#[test]
fn a_file_that_cannot_be_read_stops_the_start() {
    let missing = Path::new("/nonexistent/windrode.toml");
    assert_eq!(
        Config::load(Some(missing), &Surroundings::default()).unwrap_err(),
        ConfigError::Unreadable {
            file: missing.to_owned(),
            reason: "No such file or directory (os error 2)".to_owned(),
        }
    );
    let directory = shipped("deploy");
    assert!(matches!(
        Config::load(Some(&directory), &Surroundings::default()),
        Err(ConfigError::Unreadable { .. })
    ));
    let text = refusal("[boat\ndraught = \"2 m\"\n", &[]);
    assert!(
        text.starts_with("the configuration `tern.toml` is not TOML: "),
        "{text}"
    );
    assert!(text.contains("line 1"), "{text}");
    let twice = refusal("[boat]\nbeam = \"3 m\"\nbeam = \"4 m\"\n", &[]);
    assert!(
        twice.contains("line 3") && twice.contains("duplicate key"),
        "{twice}"
    );
}

#[test]
fn the_description_says_every_value_and_where_it_comes_from() {
    let config = read(
        "[drag]\n\nmargin = \"26 ft\"\n",
        &[("WINDRODE__WIND__SHIFT", "0.8727 rad")],
    )
    .unwrap();
    let text = config.describe();
    let file = config.understood.file.as_ref().unwrap().display();
    for line in [
        format!("configuration: `{file}`"),
        format!("drag.margin = 7.9248 m (line 3 of `{file}`)"),
        "wind.shift = 50.002 deg (variable `WINDRODE__WIND__SHIFT`)".to_owned(),
        "server.url = ws://localhost:3000 (default)".to_owned(),
        "journal.keep = 7 d (default)".to_owned(),
        "wind.least = 5 kn (default)".to_owned(),
        "boat.beam is not given".to_owned(),
    ] {
        assert!(text.lines().any(|l| l == line), "{line} is not in\n{text}");
    }
    assert_eq!(text.lines().count(), 1 + values(&Config::default()).len());
    assert!(Config::default().describe().starts_with(
        "configuration: no file at `/etc/windrode/windrode.toml`, the defaults hold\n"
    ));
}

#[test]
fn the_shipped_file_changes_nothing() {
    let mut config = Config::load(
        Some(&shipped("deploy/windrode.toml")),
        &Surroundings::default(),
    )
    .unwrap();
    config.understood = Understood::default();
    assert_eq!(config, Config::default());
}

/// Uncommented, the shipped file gives every key, those with a default at their default.
#[test]
fn the_shipped_file_has_every_key_at_its_default() {
    let mut given = Vec::new();
    for except in ["token", "token_file"] {
        let config = read(&uncommented(except), &[]).unwrap();
        given.extend(config.understood.origins.keys().cloned());
        for ((key, value), (_, default)) in values(&config).iter().zip(values(&Config::default())) {
            assert!(default.is_none() || *value == default, "{key}");
        }
    }
    // Of the channels, each key is shown in one at least.
    let nameless = |key: String| match key.strip_prefix("push.").and_then(|k| k.split_once('.')) {
        Some((_, key)) => format!("push.NAME.{key}"),
        None => key,
    };
    let given: BTreeSet<String> = given.into_iter().map(nameless).collect();
    let mut all: BTreeSet<String> = values(&Config::default())
        .into_iter()
        .map(|(key, _)| key)
        .collect();
    for blank in Channel::blanks() {
        let mut config = Config::default();
        config.push.insert("NAME".to_owned(), blank);
        all.extend(values(&config).into_iter().map(|(key, _)| key));
    }
    assert_eq!(given, all);
}

/// The files of the repository are those that the list of keys makes.
#[test]
fn schema_default_file_and_manual_are_generated() {
    for (path, text) in [
        (
            "schemas/config.schema.json",
            format!("{:#}\n", documents::schema()),
        ),
        ("deploy/windrode.toml", documents::default_file()),
        ("deploy/man/windrode.toml.5", documents::manual()),
    ] {
        let file = shipped(path);
        if std::env::var_os("WINDRODE_REBUILD_DOCS").is_some() {
            fs::write(&file, &text).unwrap();
        }
        let written = fs::read_to_string(file).unwrap();
        let differs = written
            .lines()
            .zip(text.lines())
            .find(|(is, should)| is != should);
        assert!(
            written == text,
            "`{path}` is not what the keys make; `WINDRODE_REBUILD_DOCS=1 cargo test --lib are_generated` writes it: {differs:?}"
        );
    }
}

/// Each key says what it means and what changes with it, in words that are alive.
#[test]
fn every_key_says_what_it_means_and_what_it_changes() {
    let mut config = Config::default();
    for blank in Channel::blanks() {
        config.push.insert(blank.kind.name().to_owned(), blank);
    }
    keys(&mut config, |key| {
        let name = key.full();
        assert!(
            key.about.ends_with('.') && key.effect.ends_with('.'),
            "{name}"
        );
        let shape = key.slot.shape();
        assert!(
            !shape.told.is_empty() && (shape.is_text() || !shape.noun.is_empty()),
            "{name}"
        );
        for stale in ["nobody", "is told", "lets go of"] {
            assert!(
                !key.about.contains(stale) && !key.effect.contains(stale),
                "{name}"
            );
        }
        assert!(
            key.default().is_some() || key.slot.example().is_some(),
            "{name}"
        );
    });
}

#[test]
fn the_schema_takes_the_shipped_file_and_refuses_what_the_code_refuses() {
    let validator = jsonschema::draft202012::new(&documents::schema()).unwrap();
    let json = |text: &str| -> serde_json::Value {
        ::config::Config::builder()
            .add_source(::config::File::from_str(text, ::config::FileFormat::Toml))
            .build()
            .unwrap()
            .try_deserialize()
            .unwrap()
    };
    let shipped = json(&uncommented("token"));
    assert!(
        validator.is_valid(&shipped),
        "{:?}",
        validator.iter_errors(&shipped).next()
    );
    for (text, fine) in [
        ("boat.beam = \"12 ft\"", true),
        ("boat.antenna_from_centre = \"-.3m\"", true),
        ("journal.keep = \"14 d\"", true),
        ("wind.shift = \"1e2 °\"", true),
        ("boat.beam = 3", false),
        ("boat.beam = \"3\"", false),
        ("boat.beam = \"3 kn\"", false),
        ("boat.baem = \"3 m\"", false),
        ("tackle.stretch = 0.5", false),
        ("fix.source = \"a b\"", false),
        ("server.url = \"localhost\"", false),
        ("journal.directory = \"here\"", false),
        ("sea = \"rough\"", false),
        ("boat.name = \"Tern\"", true),
        ("boat.name = \"a/b\"", false),
        (
            "push.siren = { kind = \"program\", program = \"/bin/siren\" }",
            true,
        ),
        ("push.siren = { program = \"/bin/siren\" }", false),
        (
            "push.Siren = { kind = \"program\", program = \"/bin/siren\" }",
            false,
        ),
        (
            "push.siren = { kind = \"drum\", program = \"/bin/siren\" }",
            false,
        ),
        (
            "push.siren = { kind = \"program\", program = \"siren\" }",
            false,
        ),
        (
            "push.owner = { kind = \"mail\", url = \"smtp://m\", from = \"a@b\", to = \"c@d\" }",
            true,
        ),
        (
            "push.owner = { kind = \"mail\", url = \"smtp://m\", from = \"a@b\", to = \"c d\" }",
            false,
        ),
        (
            "push.owner = { kind = \"mail\", url = \"file:///m\", from = \"a@b\", to = \"c@d\" }",
            false,
        ),
    ] {
        assert_eq!(validator.is_valid(&json(text)), fine, "schema: {text}");
        assert_eq!(read(text, &[]).is_ok(), fine, "code: {text}");
    }
}

#[test]
fn the_unit_gives_the_directories_that_are_the_defaults() {
    let unit = fs::read_to_string(shipped("deploy/windrode.service")).unwrap();
    let value = |key: &str| {
        unit.lines()
            .find_map(|line| line.strip_prefix(key))
            .unwrap()
    };
    let state = Path::new("/var/lib").join(value("StateDirectory="));
    assert_eq!(state, Config::default().journal.directory);
    let run = Path::new("/run").join(value("RuntimeDirectory="));
    assert_eq!(
        Some(run.as_path()),
        Config::default().control.socket.parent()
    );
}

#[test]
fn chain_rope_and_masses_are_read_as_people_write_them() {
    let config = read(
        "[tackle]\nchain = \"8mm G40\"\nchain_length = \"30 m\"\nrope = \"14 mm nylon\"\nrode_aboard = \"80 m\"\n\
         snubber = \"1/2 in nylon\"\nmarks = \"10 ft\"\nanchor = \"44 lb\"\n",
        &[],
    )
    .unwrap();
    let tackle = config.ground_tackle();
    assert_eq!(tackle.chain.unwrap().to_string(), "8 mm G40");
    assert_eq!(tackle.rope.unwrap().to_string(), "14 mm nylon");
    assert_eq!(tackle.aboard, Some(Metres::of(80.0)));
    assert_eq!(tackle.snubber_length, Some(Metres::of(6.0)));
    assert!((tackle.anchor.unwrap().get() - 19.958).abs() < 1e-3);
    assert_eq!(
        refusal("tackle.chain = \"9 mm\"\n", &[]),
        "`tackle.chain` = `9 mm` (line 1 of `tern.toml`): no table has a chain of `9 mm`; known are `6 mm`, `7 mm`, `8 mm`, `10 mm`, `12 mm`, `13 mm`, `14 mm`, `16 mm`"
    );
    assert_eq!(
        refusal(
            "tackle.chain = \"8 mm\"\ntackle.rope = \"14 mm nylon\"\n",
            &[]
        ),
        "`tackle.chain` = `8 mm` and `tackle.rope` = `14 mm nylon` do not go together: where the chain ends is not known; give `tackle.chain_length`"
    );
    assert_eq!(
        refusal(
            "tackle.chain_length = \"80 m\"\ntackle.rode_aboard = \"60 m\"\n",
            &[]
        ),
        "`tackle.chain_length` = `80 m` and `tackle.rode_aboard` = `60 m` do not go together: there would be more chain than rode; the rode is chain and rope together"
    );
    assert_eq!(
        refusal("tackle.anchor = \"5000 kg\"\n", &[]),
        "`tackle.anchor` = `5000 kg` (line 1 of `tern.toml`): an anchor's mass lies between `1 kg` and `2000 kg`; correct it, or take it out"
    );
}
