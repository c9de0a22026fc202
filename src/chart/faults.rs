//! The faults in what was read: counted by kind, with the first example of each.

use std::collections::BTreeMap;
use std::fmt;

/// A list of faults that cannot grow without bounds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Faults {
    kinds: BTreeMap<String, (u64, String)>,
    others: u64,
}

/// The largest number of kinds. Chosen: a screenful.
const MOST_KINDS: usize = 40;

impl Faults {
    /// Adds a fault of a kind; `example` gives place and value, and is kept for the first fault
    /// only.
    pub fn count(&mut self, kind: impl Into<String>, example: impl fmt::Display) {
        let kind = kind.into();
        if let Some((count, _)) = self.kinds.get_mut(&kind) {
            *count += 1;
        } else if self.kinds.len() < MOST_KINDS {
            self.kinds
                .insert(kind, (1, shortened(&example.to_string())));
        } else {
            self.others += 1;
        }
    }

    /// The number of faults.
    #[must_use]
    pub fn total(&self) -> u64 {
        self.kinds.values().map(|(count, _)| count).sum::<u64>() + self.others
    }

    /// One line for each kind: what, how often, where first.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let mut lines: Vec<String> = self
            .kinds
            .iter()
            .map(|(kind, (count, example))| format!("{kind}: {count}; the first: {example}"))
            .collect();
        if self.others > 0 {
            lines.push(format!("faults of other kinds: {}", self.others));
        }
        lines
    }
}

/// Cut to what fits on a line or two, without control characters.
pub(super) fn shortened(text: &str) -> String {
    let mut kept: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .take(LONGEST)
        .collect();
    if text.chars().nth(LONGEST).is_some() {
        kept.push('…');
    }
    kept
}

const LONGEST: usize = 160;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faults_are_counted_and_never_grow_without_bounds() {
        let mut faults = Faults::default();
        for number in 0..1000 {
            faults.count(format!("kind {}", number % 100), "x\n".repeat(200));
        }
        assert_eq!(faults.total(), 1000);
        let lines = faults.lines();
        assert_eq!(lines.len(), MOST_KINDS + 1);
        assert!(
            lines
                .iter()
                .all(|line| line.len() < 220 && !line.contains('\n'))
        );
        assert_eq!(lines[MOST_KINDS], "faults of other kinds: 600");
    }
}
