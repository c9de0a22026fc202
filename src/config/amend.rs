//! Changing a key in the text of a configuration file; every other line and comment stays as it is.

use super::ConfigError;
use super::keys::keys;
use super::lines::dotted;
use super::settings::Config;
use super::sort::Misfit;

/// A question about one key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// The key's section.
    pub section: &'static str,
    /// Its name in the section.
    pub name: &'static str,
    /// What it means, in one sentence.
    pub about: &'static str,
    /// The form of the value, with its limits: "a length from 0.1 m to 15 m".
    pub told: String,
    /// An example of a value, such as `1.9 m`.
    pub example: Option<&'static str>,
    /// The value in force, as it would be written.
    pub now: Option<String>,
}

impl Question {
    /// The question about a key of `config`; `None` if there is no such key.
    #[must_use]
    pub fn of(config: &Config, section: &'static str, name: &'static str) -> Option<Self> {
        let mut found = None;
        keys(&mut config.clone(), |key| {
            if key.section == section && key.name == name {
                found = Some(Self {
                    section,
                    name,
                    about: key.about,
                    told: key.slot.shape().told.clone(),
                    example: key.slot.example(),
                    now: key.slot.written(),
                });
            }
        });
        found
    }

    /// Checks whether `text` is a valid answer; otherwise returns what is wrong with it.
    pub fn try_answer(&self, text: &str) -> Result<(), String> {
        let mut result = Ok(());
        keys(&mut Config::default(), |mut key| {
            if key.section == self.section && key.name == self.name {
                result = key.slot.read(text);
            }
        });
        result.map_err(|misfit| match misfit {
            Misfit::Unreadable(reason) => format!("`{text}`: {reason}"),
            Misfit::OutOfRange => format!("`{text}` is out of range; write {}", self.told),
        })
    }
}

impl Config {
    /// Parses this text as if it were in the file, without the environment.
    pub fn of_text(text: &str, file: &std::path::Path) -> Result<Self, ConfigError> {
        Self::read(
            Some((file.to_owned(), text.to_owned())),
            &super::Surroundings::default(),
        )
    }
}

/// The text with `section.name = "value"`.
///
/// Replaces the line that gives the key, or else the commented line of the default file. Otherwise the line
/// is added below the section's heading, and the section is added at the end if it is missing.
#[must_use]
pub fn amended(text: &str, section: &str, name: &str, value: &str) -> String {
    // A JSON string is also a TOML string; Rust's own format has escapes that TOML does not have.
    let line = format!("{name} = {}", serde_json::Value::from(value));
    let mut lines: Vec<&str> = text.lines().collect();
    let heading = lines.iter().position(|line| is_heading(line, section));
    let Some(heading) = heading else {
        let gap = if text.is_empty() || text.ends_with("\n\n") {
            ""
        } else {
            "\n"
        };
        return format!("{}{gap}[{section}]\n{line}\n", ended(text));
    };
    let end = lines[heading + 1..]
        .iter()
        .position(|line| line.trim_start().starts_with('['))
        .map_or(lines.len(), |at| heading + 1 + at);
    let gives = |line: &str| {
        let key = line.split_once('=').map(|(key, _)| dotted(key));
        key.is_some_and(|key| key == [name])
    };
    // A blank after the `#` marks a sentence by the owner.
    let is_key = |line: &str| !line.starts_with(' ') && gives(line);
    let inside = heading + 1..end;
    let given = inside.clone().find(|at| gives(lines[*at].trim()));
    let commented = || {
        inside
            .clone()
            .find(|at| lines[*at].strip_prefix('#').is_some_and(is_key))
    };
    match given.or_else(commented) {
        Some(at) => lines[at] = &line,
        None => lines.insert(heading + 1, &line),
    }
    lines.join("\n") + "\n"
}

fn is_heading(line: &str, section: &str) -> bool {
    let inner = line
        .trim()
        .strip_prefix('[')
        .and_then(|rest| rest.split_once(']'));
    inner.is_some_and(|(inner, _)| dotted(inner).join(".") == section)
}

fn ended(text: &str) -> String {
    if text.is_empty() || text.ends_with('\n') {
        text.to_owned()
    } else {
        format!("{text}\n")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::config::documents::default_file;

    #[test]
    fn a_key_of_the_default_file_takes_the_place_of_its_comment_and_is_read_back() {
        let text = amended(&default_file(), "boat", "draught", "2.1 m");
        let config = Config::of_text(&text, "windrode.toml".as_ref()).unwrap();
        assert_eq!(config.watch.boat.draught.unwrap().get(), 2.1);
        assert_eq!(text.lines().count(), default_file().lines().count());
        assert!(text.contains("\ndraught = \"2.1 m\"\n"), "{text}");
        // And again, with another value.
        let text = amended(&text, "boat", "draught", "1.8 m");
        assert!(
            text.contains("\ndraught = \"1.8 m\"\n") && !text.contains("\ndraught = \"2.1 m\"")
        );
    }

    #[test]
    fn the_owner_s_lines_stay() {
        let own =
            "# ours\n[boat]   # the yacht\nname = \"Tern\"\n\n[push.skipper]\nkind = \"topic\"";
        let text = amended(own, "boat", "draught", "2 m");
        assert_eq!(
            text,
            "# ours\n[boat]   # the yacht\ndraught = \"2 m\"\nname = \"Tern\"\n\n[push.skipper]\nkind = \"topic\"\n"
        );
        let text = amended(own, "tackle", "chain", "8 mm \"G40\"");
        assert!(
            text.ends_with("\n[tackle]\nchain = \"8 mm \\\"G40\\\"\"\n"),
            "{text}"
        );
        assert_eq!(
            amended("", "boat", "name", "Tern"),
            "[boat]\nname = \"Tern\"\n"
        );
    }

    /// Letters that Rust would escape differently, and a sentence that looks like a key.
    #[test]
    fn a_name_with_accents_of_its_own_is_read_back() {
        let name = "\u{69}\u{308} \u{2693}\u{fe0f} \"Tern\"";
        let own = "[boat]\n# name = the boat's own\n";
        let text = amended(own, "boat", "name", name);
        assert!(text.contains("# name = the boat's own\n"), "{text}");
        let config = Config::of_text(&text, "windrode.toml".as_ref()).unwrap();
        assert_eq!(config.name, name);
    }

    /// A key of the same name in another section is another key.
    #[test]
    fn a_key_is_changed_in_its_own_section_only() {
        let own = "[server]\nsource = \"a\"\n[control]\nsource = \"b\"\n";
        assert_eq!(
            amended(own, "control", "source", "c"),
            "[server]\nsource = \"a\"\n[control]\nsource = \"c\"\n"
        );
    }

    #[test]
    fn an_answer_out_of_range_says_what_to_write() {
        let question = Question::of(&Config::default(), "boat", "draught").unwrap();
        assert_eq!(question.try_answer("1.9 m"), Ok(()));
        assert_eq!(question.try_answer("6ft"), Ok(()));
        let wrong = question.try_answer("19 m").unwrap_err();
        assert!(wrong.contains("from 0.1 m to 15 m"), "{wrong}");
        assert!(question.try_answer("1.9").is_err(), "a bare number");
        assert_eq!(Question::of(&Config::default(), "boat", "keel"), None);
    }
}
