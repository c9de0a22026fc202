//! The files of this repository that are generated from the list of keys.

use super::*;

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

/// Uncommented, the shipped file gives every key; keys with a default have their default value.
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
    // Each key of the channels appears in at least one of them.
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

/// The repository's files match the list of keys.
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

/// Each key documents its meaning and its effect, without outdated phrases.
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
