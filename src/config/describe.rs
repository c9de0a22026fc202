//! Describes the configuration in force to people.

use super::keys::keys;
use super::settings::{Config, STANDARD_FILE};

impl Config {
    /// The configuration as understood: the file, then one line per key with its value and its origin.
    /// Secrets are not shown.
    #[must_use]
    pub fn describe(&self) -> String {
        let mut lines = vec![match &self.understood.file {
            Some(file) => format!("configuration: `{}`\n", file.display()),
            None => format!("configuration: no file at `{STANDARD_FILE}`, the defaults hold\n"),
        }];
        keys(&mut self.clone(), |key| {
            let name = key.full();
            let origin = self.understood.origins.get(&name);
            let origin = origin.map_or_else(|| "default".to_owned(), ToString::to_string);
            match key.slot.written() {
                Some(value) => lines.push(format!("{name} = {value} ({origin})\n")),
                // A channel leaves many keys open, and needs only one of the two keys for its address.
                None if key.section.starts_with("push.") => {}
                None => lines.push(format!("{name} is not given\n")),
            }
        });
        lines.concat()
    }
}
