//! Breaking text into lines by the cells that a terminal gives each character.

use crate::report::words;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// Cells that the text takes on a terminal.
pub(super) fn width(text: &str) -> usize {
    text.width()
}

/// Breaks the text at spaces so that no line is wider than `most` cells. A number keeps its unit, a no-break space is kept,
/// and a word wider than a line is cut; `most` of 0 counts as 1.
pub(super) fn wrap(text: &str, most: usize) -> Vec<String> {
    let most = most.max(1);
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in words::bound(text).split_ascii_whitespace() {
        for piece in pieces(&word.replace('\u{a0}', " "), most) {
            let needed = width(&line) + usize::from(!line.is_empty()) + width(&piece);
            if needed > most && !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(&piece);
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// The word itself, or its parts where it is wider than a line.
fn pieces(word: &str, most: usize) -> Vec<String> {
    if width(word) <= most {
        return vec![word.to_owned()];
    }
    let mut pieces = vec![];
    let mut piece = String::new();
    let mut used = 0;
    for c in word.chars() {
        let cells = c.width().unwrap_or(0);
        if used + cells > most && !piece.is_empty() {
            pieces.push(std::mem::take(&mut piece));
            used = 0;
        }
        piece.push(c);
        used += cells;
    }
    pieces.push(piece);
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_within_the_width() {
        let text = "Opens at 87.1 °C (86.1 to 88.1), supercalifragilisticexpialidocious 温度計の読み and done.";
        for most in 1..90 {
            for line in wrap(text, most) {
                // A character two cells wide cannot be cut in half.
                assert!(width(&line) <= most.max(2), "{most}: {line}");
            }
        }
    }

    #[test]
    fn a_number_keeps_its_unit() {
        assert_eq!(wrap("It opens at 87.1 °C.", 17), ["It opens at", "87.1 °C."]);
    }
}
