//! Lines being written, wrapped and perhaps coloured.

use super::wrap::{width, wrap};
use crate::report::words::plain;
use anstyle::Style as Ansi;

/// The text so far.
pub(crate) struct Page {
    text: String,
    color: bool,
    width: usize,
}

impl Page {
    /// An empty page.
    pub(crate) fn new(color: bool, width: usize) -> Self {
        Self { text: String::new(), color, width }
    }

    /// Columns of the page.
    pub(crate) fn width(&self) -> usize {
        self.width
    }

    /// The finished text.
    pub(crate) fn finish(self) -> String {
        self.text
    }

    /// One line as it is; the caller has measured it.
    pub(crate) fn line(&mut self, line: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    /// An empty line between blocks.
    pub(crate) fn gap(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    /// A heading with an empty line above.
    pub(crate) fn heading(&mut self, text: &str, look: Ansi) {
        self.gap();
        for line in wrap(text, self.width) {
            let line = self.dressed(&line, look);
            self.line(&line);
        }
    }

    /// Wrapped text, every line indented.
    pub(crate) fn paragraph(&mut self, indent: usize, text: &str) {
        for line in wrap(&plain(text), self.width.saturating_sub(indent)) {
            self.line(&format!("{:indent$}{line}", ""));
        }
    }

    /// A list item: the sign stands out to the left of the wrapped text.
    pub(crate) fn item(&mut self, indent: usize, sign: &str, text: &str) {
        let hang = indent + width(sign) + 1;
        for (index, line) in wrap(&plain(text), self.width.saturating_sub(hang)).iter().enumerate() {
            match index {
                0 => self.line(&format!("{:indent$}{sign} {line}", "")),
                _ => self.line(&format!("{:hang$}{line}", "")),
            }
        }
    }

    /// A tag in its own look, then text; on separate lines where one does not hold both.
    pub(crate) fn tagged(&mut self, tag: &str, look: Ansi, text: &str) {
        let text = plain(text);
        if width(tag) + 2 + width(&text) <= self.width {
            let tag = self.dressed(tag, look);
            self.line(&format!("{tag}  {text}"));
        } else {
            let tag = self.dressed(tag, look);
            self.line(&tag);
            self.paragraph(0, &text);
        }
    }

    /// `label: word` with the word in its own look.
    pub(crate) fn labelled(&mut self, indent: usize, label: &str, word: &str, look: Ansi) {
        let lines = wrap(&format!("{}: {word}", plain(label)), self.width.saturating_sub(indent));
        for line in lines {
            let line = match line.strip_suffix(word) {
                Some(before) => format!("{before}{}", self.dressed(word, look)),
                None => line,
            };
            self.line(&format!("{:indent$}{line}", ""));
        }
    }

    fn dressed(&self, text: &str, look: Ansi) -> String {
        if self.color && look != Ansi::new() { format!("{look}{text}{look:#}") } else { text.to_owned() }
    }
}
