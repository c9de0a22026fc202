//! What errors quote from the written text, and suggestions for a misspelt name.

/// The part that an error quotes, at a readable length.
pub(super) fn cut(text: &str) -> String {
    match text.char_indices().nth(LONGEST_QUOTE) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

/// The name that was probably meant, or all names.
pub(super) fn hint(wrong: &str, known: &[&str]) -> String {
    let wrong = cut(wrong).to_lowercase();
    // If more than three letters in five, or more than four in all, differ, the nearest name is not what
    // was meant.
    let allowed = (wrong.chars().count() * 3 / 5).min(4);
    let nearest = known.iter().min_by_key(|name| distance(&wrong, name));
    if let Some(name) = nearest.filter(|name| distance(&wrong, name) <= allowed) {
        return format!("did you mean `{name}`?");
    }
    let all: Vec<String> = known.iter().map(|name| format!("`{name}`")).collect();
    format!("known are {}", all.join(", "))
}

/// Letters to insert, delete or replace between two words (Levenshtein 1966), row by row.
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.chars().enumerate() {
        let mut next = vec![i + 1];
        for (&y, above) in b.iter().zip(row.windows(2)) {
            let (diagonal, straight) = (above.first().unwrap_or(&0), above.last().unwrap_or(&0));
            let left = next.last().unwrap_or(&0);
            next.push(
                (diagonal + usize::from(x != y))
                    .min(straight + 1)
                    .min(left + 1),
            );
        }
        row = next;
    }
    row.last().copied().unwrap_or_default()
}

/// Letters of a value that an error quotes.
pub(super) const LONGEST_QUOTE: usize = 200;
