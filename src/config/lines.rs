//! Finds the line of the file that gives a value.

/// The line, counted from one, on which the TOML gives `path`; for a table, the line of its heading. Reads
/// headings, dotted and quoted keys and inline tables on one line. A multi-line text that looks like a key
/// could mislead it, but none of our keys takes such a text.
pub(super) fn line_of(text: &str, path: &[&str]) -> Option<usize> {
    let mut heading: Vec<String> = Vec::new();
    for (index, line) in text.lines().enumerate() {
        let line = line.trim();
        if let Some(inner) = line.strip_prefix('[') {
            heading = dotted(inner.split(']').next()?);
            if heading == path {
                return Some(index + 1);
            }
            continue;
        }
        let Some((key, rest)) = line.split_once('=').filter(|_| !line.starts_with('#')) else {
            continue;
        };
        let mut full = heading.clone();
        full.extend(dotted(key));
        let inline = || {
            let inside = rest.trim().strip_prefix('{')?;
            let (owner, last) = (path.split_last()?.1, path.last()?);
            let holds = |part: &str| {
                part.split_once('=')
                    .is_some_and(|(name, _)| dotted(name) == [*last])
            };
            (full == owner && inside.split(',').any(holds)).then_some(())
        };
        if full == path || inline().is_some() {
            return Some(index + 1);
        }
    }
    None
}

pub(super) fn dotted(key: &str) -> Vec<String> {
    key.split('.')
        .map(|part| part.trim().trim_matches(['"', '\'']).to_owned())
        .collect()
}
