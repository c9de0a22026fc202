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

mod channels;
mod refusals;
mod shipped;

const SKIPPER: &str =
    "[push.skipper]\nkind = \"topic\"\nurl = \"https://push.example\"\ntopic = \"tern\"\n";

/// Loads `text` as the configuration, with these variables.
fn read(text: &str, variables: &[(&str, &str)]) -> Result<Config, ConfigError> {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("tern.toml");
    fs::write(&file, text).unwrap();
    Config::load(Some(&file), &surroundings(variables))
}

/// The error for `text`, without the directory of the file.
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

/// The shipped file with every key enabled except `except`.
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

/// All keys with their values.
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
        "server.url is not given".to_owned(),
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
