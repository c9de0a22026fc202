//! The repository's documents about the program, generated from the code: `windrode(1)`,
//! `windrode-signalk(7)` and the shell completions.
//! `WINDRODE_REBUILD_DOCS=1 cargo test --lib are_generated` writes them.
//!
//! The pages are written by hand (`documents/*.in`), with marks such as `@COMMANDS@` on lines of their own.
//! Text generated from the code replaces each mark.

mod signalk;

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use clap::Command;
use clap_complete::Shell;
use clap_mangen::Man;

use super::Windrode;
use clap::CommandFactory;

#[test]
fn manuals_and_completions_are_generated() {
    let completions = [Shell::Bash, Shell::Zsh, Shell::Fish].map(|shell| {
        let mut text = Vec::new();
        clap_complete::generate(shell, &mut command(), "windrode", &mut text);
        let name = match shell {
            Shell::Zsh => "_windrode".to_owned(),
            other => format!("windrode.{other}"),
        };
        (format!("completions/{name}"), text)
    });
    let pages = [
        ("man/windrode.1".to_owned(), program().into_bytes()),
        (
            "man/windrode-signalk.7".to_owned(),
            signalk::page().into_bytes(),
        ),
    ];
    for (path, text) in pages.into_iter().chain(completions) {
        let file = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("deploy")
            .join(&path);
        if std::env::var_os("WINDRODE_REBUILD_DOCS").is_some() {
            fs::create_dir_all(file.parent().unwrap()).unwrap();
            fs::write(&file, &text).unwrap();
        }
        let written = fs::read(&file).unwrap_or_default();
        assert!(
            written == text,
            "`deploy/{path}` is not what the code makes; `WINDRODE_REBUILD_DOCS=1 cargo test --lib are_generated` writes it"
        );
    }
}

/// Every command and every option has a help text.
#[test]
fn every_command_and_option_has_its_help() {
    let mut command = command();
    command.build();
    let mut options = 0;
    for sub in command.get_subcommands() {
        assert!(sub.get_about().is_some(), "{}", sub.get_name());
        for arg in sub.get_arguments() {
            let help = arg.get_help().map(ToString::to_string).unwrap_or_default();
            assert!(help.len() > 5, "{} {}", sub.get_name(), arg.get_id());
            options += 1;
        }
    }
    assert!(options > 60, "{options}");
}

/// Not the one of `super::command`, which reads this machine's variables.
fn command() -> Command {
    Windrode::command().disable_help_subcommand(true)
}

fn program() -> String {
    let mut command = command();
    command.build();
    let mut commands = String::new();
    for sub in command.get_subcommands() {
        let sub = sub.clone().mut_args(|arg| {
            let hidden = arg.is_global_set() || arg.get_id() == "help";
            arg.hide(hidden)
        });
        let man = Man::new(sub.clone());
        _ = writeln!(commands, ".SS {}", sub.get_name());
        let usage = sub.clone().render_usage().to_string();
        let usage = usage.trim_start_matches("Usage: ").replace('-', "\\-");
        _ = write!(commands, "\\fB{usage}\\fR\n.PP\n");
        commands += &body(|text| man.render_description_section(text));
        commands += &body(|text| man.render_options_section(text));
    }
    let man = Man::new(command.mut_subcommands(|sub| sub.hide(true)));
    let options = body(|text| man.render_options_section(text));
    filled(
        include_str!("documents/windrode.1.in"),
        &[("@COMMANDS@", &commands), ("@OPTIONS@", &options)],
    )
}

/// A section without its heading.
fn body(render: impl FnOnce(&mut dyn std::io::Write) -> std::io::Result<()>) -> String {
    let mut text = Vec::new();
    render(&mut text).unwrap();
    let text = String::from_utf8(text).unwrap();
    let lines = text.lines().filter(|line| {
        !line.starts_with(".SH ") && !line.starts_with(".ie ") && !line.starts_with(".el ")
    });
    let text: String = lines.map(|line| line.to_owned() + "\n").collect();
    // `mandoc` complains about these, and the string is defined in its own preamble.
    text.replace("\n.br\n\n.br\n", "\n.sp\n")
        .replace("\\*(Aq", "\\(aq")
}

/// The page with each mark replaced; each mark occurs once.
fn filled(page: &str, marks: &[(&str, &str)]) -> String {
    marks.iter().fold(page.to_owned(), |page, (mark, text)| {
        let line = format!("{mark}\n");
        assert_eq!(page.matches(&line).count(), 1, "{mark}");
        page.replace(&line, text)
    })
}
