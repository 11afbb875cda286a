//! The beginning of a text, for messages: what a file or a person wrote may be longer than a screen, and need not be printable.

/// The beginning of a text, at most `most` characters, control characters shown as dots.
pub fn shorten(text: &str, most: usize) -> String {
    let mut short: String = text.chars().take(most).map(|c| if c.is_control() { '·' } else { c }).collect();
    if text.chars().nth(most).is_some() {
        short.push('…');
    }
    short
}
