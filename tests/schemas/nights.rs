//! The nights of the library, as TOML, against their schema.

use windrode::rehearse::library::NIGHTS;

use super::*;

#[test]
fn every_night_of_the_library_is_as_the_schema_says() {
    let validator = validator("night");
    for (name, text) in NIGHTS {
        let night: Value = toml::from_str(text).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(faults(&validator, &night), "", "{name}");
        if name == "neighbour" {
            rebuild("night", &night);
        }
    }
}

/// `--json` of a night of the library.
#[test]
fn what_a_night_of_the_library_gives_is_as_the_schema_says() {
    let output = cli::Windrode::new(&["rehearse", "mud", "--json"]).output();
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(faults(&validator("rehearsal"), &report), "");
    assert_eq!(report["night"], "mud");
    assert!(report["drag"]["moved"].as_f64().unwrap() < 30.0);
}
