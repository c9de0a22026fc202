//! `windrode setup`: what it asks, what it writes, and what it leaves unchanged.

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::process::Output;

use tempfile::TempDir;

use super::command;

/// Nothing listens on port 1 of loopback, so the server knows nothing of the boat.
const NO_SERVER: &str = "ws://127.0.0.1:1";

/// Runs it on a configuration with this text, or on none; the answers come on standard input.
fn setup(before: Option<&str>, options: &[&str], answers: &str) -> (TempDir, Output) {
    let dir = TempDir::new().unwrap();
    if let Some(text) = before {
        fs::write(dir.path().join("tern.toml"), text).unwrap();
    }
    let output = command(dir.path())
        .args(["setup", "--offline", "--server", NO_SERVER])
        .args(options)
        .write_stdin(answers)
        .output()
        .unwrap();
    (dir, output)
}

fn written(dir: &TempDir) -> String {
    fs::read_to_string(dir.path().join("tern.toml")).unwrap()
}

#[test]
fn options_answer_the_questions_and_the_rest_keeps_its_comment() {
    let options = [
        "--yes",
        "--name",
        "Tern",
        "--draught",
        "6ft",
        "--rode",
        "60m",
        "--chain",
        "8 mm G40",
        "--phone",
        "https://push.example/tern-8f2k51x7",
    ];
    let (dir, output) = setup(None, &options, "");
    assert!(output.status.success(), "{output:?}");
    let text = written(&dir);
    for line in [
        "url = \"ws://127.0.0.1:1\"",
        "name = \"Tern\"",
        "draught = \"6ft\"",
        "#roller_height = \"1.2 m\"",
        "rode_aboard = \"60m\"",
        "chain = \"8 mm G40\"",
    ] {
        assert!(text.lines().any(|l| l == line), "{line} is not in\n{text}");
    }
    let phone = "[push.skipper]\nkind = \"topic\"\nurl = \"https://push.example\"\ntopic = \"tern-8f2k51x7\"\n";
    assert!(
        text.replace("https://push.example/\"", "https://push.example\"")
            .ends_with(phone),
        "{text}"
    );
    let mode = fs::metadata(dir.path().join("tern.toml"))
        .unwrap()
        .permissions();
    assert_eq!(mode.mode() & 0o777, 0o640, "the topic is a secret");
    let read = command(dir.path())
        .args(["check", "--offline"])
        .output()
        .unwrap();
    let told = String::from_utf8(read.stdout).unwrap();
    assert!(
        read.status.success() && told.contains("boat.draught = 1.8288 m (line"),
        "{told}"
    );
}

/// A wrong answer is explained and asked for again; Enter keeps the value; the end of the input ends the questions.
#[test]
fn questions_are_asked_until_the_answer_fits() {
    // Language, name, length, draught wrong and right, then nothing more.
    let (dir, output) = setup(None, &[], "\nTern\n\n19 m\n1.9 m\n");
    assert!(output.status.success(), "{output:?}");
    let told = String::from_utf8(output.stdout).unwrap();
    assert!(
        told.contains("The boat's name in messages to phones. [the boat]: "),
        "{told}"
    );
    assert!(
        told.contains("`19 m` is out of range; write a length from 0.1 m to 15 m"),
        "{told}"
    );
    let text = written(&dir);
    assert!(text.contains("\nname = \"Tern\"\n") && text.contains("\ndraught = \"1.9 m\"\n"));
    assert!(
        text.contains("\n#length = \"11.2 m\"\n") && !text.contains("\n[push."),
        "{text}"
    );
}

#[test]
fn it_speaks_the_language_that_is_chosen_first() {
    let (dir, output) = setup(None, &[], "de\nTern\n");
    assert!(output.status.success(), "{output:?}");
    let told = String::from_utf8(output.stdout).unwrap();
    for german in [
        "Der Schiffsname in Nachrichten an Telefone. [the boat]: ",
        "Länge über alles. [nichts, zum Beispiel 11.2 m]: ",
        "\ngeschrieben: `",
    ] {
        assert!(told.contains(german), "{german} is not in\n{told}");
    }
    assert!(written(&dir).contains("\nlanguage = \"de\"\n"));
    let (dir, output) = setup(None, &["--yes", "--language", "es"], "");
    let told = String::from_utf8(output.stdout).unwrap();
    assert!(told.starts_with("escrito: `"), "{told}");
    assert!(written(&dir).contains("\nlanguage = \"es\"\n"));
    let (_, output) = setup(None, &["--yes", "--language", "it"], "");
    assert_eq!(output.status.code(), Some(64), "{output:?}");
}

/// It can be run again: the owner's text stays, to the byte.
#[test]
fn a_second_run_changes_what_it_is_told_and_nothing_else() {
    let own = "# ours\n[server]\nurl = \"ws://127.0.0.1:1\"\n\n[boat]\ndraught = \"2 m\" # with fuel\nname = \"Tern\"\n";
    let (dir, output) = setup(Some(own), &["--yes"], "");
    assert!(output.status.success(), "{output:?}");
    assert_eq!(written(&dir), own);
    let (dir, _) = setup(Some(own), &["--yes", "--rode", "50 m"], "");
    assert_eq!(
        written(&dir),
        format!("{own}\n[tackle]\nrode_aboard = \"50 m\"\n")
    );
}

#[test]
fn what_does_not_fit_is_refused_and_nothing_is_written() {
    for (options, why) in [
        (["--draught", "1.9"], "windrode: `boat.draught`: `1.9`:"),
        (
            ["--phone", "ftp://push.example/x"],
            "windrode: `ftp://push.example/x`:",
        ),
    ] {
        let (dir, output) = setup(None, &[&["--yes"], &options[..]].concat(), "");
        let told = String::from_utf8(output.stderr).unwrap();
        assert!(told.starts_with(why), "{told}");
        assert_eq!(output.status.code(), Some(64));
        assert!(!dir.path().join("tern.toml").exists());
    }
    let (_, output) = setup(Some("[boat]\nkeel = 3\n"), &["--yes"], "");
    assert_eq!(output.status.code(), Some(78), "{output:?}");
}

/// A key in a form that it does not recognise is not written twice, and a link keeps its target.
#[test]
fn a_file_of_another_form_is_left_alone_and_a_link_stays_a_link() {
    let own = "boat.draught = \"2 m\"\n";
    let (dir, output) = setup(
        Some(&format!("{own}server.url = \"{NO_SERVER}\"\n")),
        &["--yes", "--draught", "1.9 m"],
        "",
    );
    assert_eq!(output.status.code(), Some(64), "{output:?}");
    assert!(written(&dir).starts_with(own));

    let dir = TempDir::new().unwrap();
    let real = dir.path().join("real.toml");
    fs::write(&real, "[server]\nurl = \"ws://127.0.0.1:1\"\n").unwrap();
    std::os::unix::fs::symlink(&real, dir.path().join("tern.toml")).unwrap();
    let output = command(dir.path())
        .args(["setup", "--yes", "--offline", "--rode", "50 m"])
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
    assert!(dir.path().join("tern.toml").is_symlink());
    let text = fs::read_to_string(real).unwrap();
    assert!(
        text.ends_with("[tackle]\nrode_aboard = \"50 m\"\n"),
        "{text}"
    );
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 2);
}
