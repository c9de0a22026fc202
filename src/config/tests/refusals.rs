//! Which values are refused, and with which words.

use super::*;

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
    // Folded into half a turn, it would pass for 40°.
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
        refusal("crew.language = \"it\"\n", &[]),
        "`crew.language` = `it` (line 1 of `tern.toml`): write one of `en`, `de`, `fr`, `es`"
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
fn contradicting_values_are_refused() {
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
