//! The pages of `plan`, `plan --search` and `chart` in the four languages of the crew, and the language that a command is
//! asked for; `check` and `tide` have their pages beside their code.

use std::fs;
use std::path::Path;

use super::chart::{self, with_bay};
use super::search;

const LANGUAGES: [&str; 4] = ["en", "de", "fr", "es"];

/// The boat and tackle of the invented "Tern".
fn speaks(dir: &Path, language: &str) {
    let toml = format!(
        "[crew]\nlanguage = \"{language}\"\n[boat]\ndraught = \"1.9 m\"\nroller_height = \"1.3 m\"\n\
         [tackle]\nrode_aboard = \"60 m\"\nchain = \"8 mm G40\"\nsnubber = \"12 mm nylon\"\nmarks = \"5 m\"\n\
         anchor = \"10 kg\"\n"
    );
    fs::write(dir.join("tern.toml"), toml).unwrap();
}

fn page(output: &std::process::Output) -> String {
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let text = String::from_utf8(output.stdout.clone()).unwrap();
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    text
}

fn in_every_language(write: impl Fn(&Path) -> String) -> String {
    let dir = with_bay();
    let pages = LANGUAGES.map(|language| {
        speaks(dir.path(), language);
        format!("== {language}\n{}", write(dir.path()))
    });
    pages.join("\n")
}

#[test]
fn the_plan() {
    let strong = "--depth 6.2m --below transducer --transducer 0.5m --rise 2m --fall 3m --wind 35kn --rode-out 30m";
    let plain = "--depth 2m --holding poor";
    let berth = "--berth 59.85,23.256 --scope 5";
    insta::assert_snapshot!(in_every_language(|dir| {
        let pages = [strong, plain, berth].map(|arguments| {
            let arguments: Vec<&str> = arguments.split(' ').collect();
            page(&search::run(dir, &arguments))
        });
        pages.join("\n--\n")
    }));
}

#[test]
fn the_search_for_a_berth() {
    let arguments = "--search 59.85,23.256 --within 300m --scope 5 --holding=good";
    let arguments: Vec<&str> = arguments.split(' ').collect();
    insta::assert_snapshot!(in_every_language(|dir| page(&search::run(dir, &arguments))));
}

#[test]
fn the_room_to_swing() {
    let clear = "clear 59.85,23.2438 --radius 100m";
    let not_clear = "clear 59.85,23.2601 --radius 500m";
    insta::assert_snapshot!(in_every_language(|dir| {
        let pages = [clear, not_clear].map(|arguments| {
            let arguments: Vec<&str> = arguments.split(' ').collect();
            page(&chart::run(dir, &arguments))
        });
        pages.join("\n--\n")
    }));
}

#[test]
fn the_charts_aboard() {
    insta::assert_snapshot!(in_every_language(|dir| {
        let orders = [
            "remove TERNBAY",
            "list",
            "add TERNBAY.geojson --scale 12000 --datum LAT",
            "list",
        ];
        let pages = orders.map(|arguments| {
            let arguments: Vec<&str> = arguments.split(' ').collect();
            page(&chart::run(dir, &arguments))
        });
        pages.join("--\n")
    }));
}

/// `--language` does what `crew.language` does, and wins over it.
#[test]
fn a_command_speaks_the_language_that_it_is_asked_for() {
    let dir = with_bay();
    let commands = [
        "plan --depth 2m",
        "chart clear 59.85,23.2438 --radius 100m",
        "chart list",
        "tide --station noaa/8444012 --from 2026-06-01 --to 2026-06-01 --utc",
        "check",
    ];
    let said = |command: &str| {
        let output = super::command(dir.path())
            .env("STATE_DIRECTORY", dir.path().join("state"))
            .args(command.split(' '))
            .output()
            .unwrap();
        String::from_utf8([output.stdout, output.stderr].concat()).unwrap()
    };
    let configured = |language: &str| {
        speaks(dir.path(), language);
        // Nothing listens on port 1 of loopback.
        let file = dir.path().join("tern.toml");
        let text = fs::read_to_string(&file).unwrap();
        fs::write(&file, text + "[server]\nurl = \"ws://127.0.0.1:1\"\n").unwrap();
    };
    let of = |option: &str| commands.map(|command| said(&format!("{command}{option}")));
    configured("de");
    let german = of("");
    assert!(german[3].contains("Niedrigwasser"), "{}", german[3]);
    assert!(
        german[4].contains("läuft der Datenserver?"),
        "{}",
        german[4]
    );
    configured("es");
    assert_eq!(of(" --language de"), german);
    let spanish = of("");
    assert!(spanish.iter().zip(&german).all(|(one, other)| one != other));
}

/// Data for programs is the same in every language of the crew.
#[test]
fn data_for_programs_is_in_english() {
    let dir = with_bay();
    let plan = ["--depth", "6.2m", "--wind", "35kn", "--json"];
    let said = LANGUAGES.map(|language| {
        speaks(dir.path(), language);
        let swing = ["clear", "59.85,23.2601", "--radius", "500m", "--json"];
        let tide = [
            "tide",
            "--station",
            "noaa/8444012",
            "--from",
            "2026-06-01",
            "--json",
        ];
        let tide = super::command(dir.path()).args(tide).output().unwrap();
        page_of_data(&search::run(dir.path(), &plan))
            + &page_of_data(&chart::run(dir.path(), &swing))
            + &page_of_data(&chart::run(dir.path(), &["list", "--json"]))
            + &page_of_data(&tide)
    });
    assert!(said.iter().all(|text| *text == said[0]), "{said:?}");
    assert!(said[0].contains("not entered"), "{}", said[0]);
}

fn page_of_data(output: &std::process::Output) -> String {
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    String::from_utf8(output.stdout.clone()).unwrap()
}
