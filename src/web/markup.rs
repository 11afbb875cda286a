//! The frame of every page, and the few pieces that forms are built of.
//!
//! Everything from a visitor, a log or the archive goes through [`text`] or [`value`]; what else stands in a page is written here.
//! Labels are tied to their fields, hints and errors by `aria-describedby`, errors are listed first with links to their fields.

use crate::report::words;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use std::fmt::Write;

/// Where the key is typed.
pub const ENTER: &str = "/enter";

/// Pages of the navigation, each with its path.
const PLACES: [(&str, &str); 4] = [("/", "Check a drive"), ("/runs", "Kept runs"), ("/plan", "Plan a refill"), ("/try", "Try it out")];

/// A text between tags: escaped, a number bound to its unit.
pub fn text(text: &str) -> String {
    words::escape(text)
}

/// A text in a quoted attribute that comes back as it is: escaped and nothing else, control characters dropped.
pub fn value(text: &str) -> String {
    let kept: String = text.chars().filter(|c| matches!(c, '\n' | '\t') || !c.is_control()).collect();
    words::entities(&kept)
}

/// A text as a value in an address.
pub fn in_address(text: &str) -> String {
    let mut written = String::new();
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-_.~".contains(&byte) {
            written.push(char::from(byte));
        } else {
            let _ = write!(written, "%{byte:02X}");
        }
    }
    written
}

/// A page.
#[derive(Clone, Debug)]
pub struct Page {
    title: String,
    body: String,
    place: &'static str,
    without_ways: bool,
}

impl Page {
    /// A page with this title; `body` is what stands in its main part.
    pub fn new(title: impl Into<String>, body: impl Into<String>) -> Self {
        Self { title: title.into(), body: body.into(), place: "", without_ways: false }
    }

    /// The page at this place of the navigation.
    pub fn at(self, place: &'static str) -> Self {
        Self { place, ..self }
    }

    /// The page without the navigation, for who was not let in yet.
    pub fn outside(self) -> Self {
        Self { without_ways: true, ..self }
    }

    /// The whole page.
    pub fn html(&self) -> String {
        let link = |(path, name): &(&str, &str)| {
            let here = if *path == self.place { " aria-current=\"page\"" } else { "" };
            format!("<li><a href=\"{path}\"{here}>{name}</a></li>\n")
        };
        let places: String = PLACES.iter().map(link).collect();
        let ways = if self.without_ways { String::new() } else { format!("<nav aria-label=\"Pages\">\n<ul>\n{places}</ul>\n</nav>\n") };
        format!(
            "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n\
             <title>{title} – wellbled</title>\n<link rel=\"icon\" href=\"/assets/icon.svg\" type=\"image/svg+xml\">\n\
             <link rel=\"stylesheet\" href=\"/assets/page.css\">\n<script src=\"/assets/page.js\" defer></script>\n</head>\n<body class=\"page\">\n\
             <a class=\"skip\" href=\"#main\">Skip to the content</a>\n\
             <header class=\"site\">\n<p class=\"mark\"><a href=\"/\">wellbled</a></p>\n{ways}</header>\n\
             <main id=\"main\" tabindex=\"-1\">\n{body}</main>\n\
             <footer class=\"site\">\n<p>The vehicle maker's procedure outranks anything shown here. <a href=\"/help\">Help</a></p>\n</footer>\n</body>\n</html>\n",
            title = text(&self.title),
            body = self.body
        )
    }
}

impl IntoResponse for Page {
    fn into_response(self) -> Response {
        ([(header::CONTENT_TYPE, "text/html; charset=utf-8")], self.html()).into_response()
    }
}

/// Links for who has lost the way.
pub fn ways_on() -> String {
    let links: String = PLACES.iter().map(|(path, name)| format!("<li><a href=\"{path}\">{name}</a></li>\n")).collect();
    format!(
        "<section class=\"card\">\n<h2>Where to go from here</h2>\n<ul class=\"ways\">\n{links}<li><a href=\"/help\">Help</a></li>\n</ul>\n</section>\n"
    )
}

/// A field whose content cannot be used.
#[derive(Clone, Debug, PartialEq)]
pub struct Wrong {
    /// The field's name, which is also its element's `id`.
    pub field: String,
    /// What is wrong.
    pub what: String,
    /// The way out.
    pub hint: String,
}

impl Wrong {
    /// A field with what is wrong.
    pub fn new(field: impl Into<String>, what: impl Into<String>, hint: impl Into<String>) -> Self {
        Self { field: field.into(), what: what.into(), hint: hint.into() }
    }
}

/// A sentence as it is printed: with a capital, and a full stop where it has none. A file's name that it begins with stays as it is.
pub fn sentence(words: &str) -> String {
    let words = words.trim();
    let is_word = words.split([' ', ',', ':']).next().is_some_and(|first| first.chars().all(|c| c.is_alphabetic() || "'-".contains(c)));
    let mut letters = words.chars();
    let begun: String = match letters.next() {
        Some(first) if is_word => first.to_uppercase().chain(letters).collect(),
        _ => words.to_owned(),
    };
    if begun.is_empty() || begun.ends_with(['.', '?', '!', ':']) { begun } else { begun + "." }
}

/// The list of what is wrong, with links to the fields; empty if nothing is. The page is brought to it.
pub fn errors(wrong: &[Wrong], label: &dyn Fn(&str) -> &'static str) -> String {
    if wrong.is_empty() {
        return String::new();
    }
    let called = |one: &Wrong| match label(&one.field) {
        "" => one.what.clone(),
        label => format!("{label}: {}", one.what),
    };
    let items: String =
        wrong.iter().map(|one| format!("<li><a href=\"#{}\">{}</a></li>\n", value(&one.field), text(&called(one)))).collect();
    let title = if wrong.len() == 1 { "One entry has to be changed" } else { "Some entries have to be changed" };
    format!(
        "<section id=\"errors\" class=\"errors\" tabindex=\"-1\" aria-labelledby=\"errors-title\">\n<h2 id=\"errors-title\">{title}</h2>\n<ul>\n{items}</ul>\n</section>\n"
    )
}

/// The fields of a form, as they were filled in, with what is wrong with them.
pub struct Fields<'a> {
    /// What a field holds; empty for none.
    pub filled: &'a dyn Fn(&str) -> String,
    /// What is wrong.
    pub wrong: &'a [Wrong],
}

impl Fields<'_> {
    /// The error of a field, as an element and as a reference to it.
    fn error(&self, name: &str) -> (String, bool) {
        let Some(wrong) = self.wrong.iter().find(|wrong| wrong.field == name) else { return (String::new(), false) };
        let hint = if wrong.hint.is_empty() {
            String::new()
        } else {
            format!(" Way out: {}.", wrong.hint.trim_end_matches('.').replace('\n', "; "))
        };
        (
            format!(
                "<p class=\"error\" id=\"{name}-error\"><strong>Change this:</strong> {}.{}</p>\n",
                text(wrong.what.trim_end_matches('.')),
                text(&hint)
            ),
            true,
        )
    }

    /// Attributes that tie a field to its hint and error.
    fn described(&self, name: &str, hint: &str) -> (String, String) {
        let (error, is_wrong) = self.error(name);
        let mut by = Vec::new();
        by.extend((!hint.is_empty()).then(|| format!("{name}-hint")));
        by.extend(is_wrong.then(|| format!("{name}-error")));
        let by = if by.is_empty() { String::new() } else { format!(" aria-describedby=\"{}\"", by.join(" ")) };
        let invalid = if is_wrong { " aria-invalid=\"true\"" } else { "" };
        let hint = if hint.is_empty() { String::new() } else { format!("<p class=\"hint\" id=\"{name}-hint\">{hint}</p>\n") };
        (format!("{by}{invalid}"), format!("{hint}{error}"))
    }

    /// A line of text. `more` are further attributes.
    pub fn line(&self, name: &str, label: &str, hint: &str, more: &str) -> String {
        let (tied, below) = self.described(name, hint);
        format!(
            "<div class=\"field\">\n<label for=\"{name}\">{label}</label>\n{below}<input type=\"text\" id=\"{name}\" name=\"{name}\" value=\"{}\" \
             autocomplete=\"off\" autocapitalize=\"off\" spellcheck=\"false\"{tied}{more}>\n</div>\n",
            value(&(self.filled)(name))
        )
    }

    /// A choice of one; `choices` are values with their words.
    pub fn choice(&self, name: &str, label: &str, hint: &str, choices: &[(String, String)]) -> String {
        let (tied, below) = self.described(name, hint);
        let chosen = (self.filled)(name);
        let options: String = choices
            .iter()
            .map(|(one, words)| {
                let selected = if *one == chosen { " selected" } else { "" };
                format!("<option value=\"{}\"{selected}>{}</option>\n", value(one), text(words))
            })
            .collect();
        format!(
            "<div class=\"field\">\n<label for=\"{name}\">{label}</label>\n{below}<select id=\"{name}\" name=\"{name}\"{tied}>\n{options}</select>\n</div>\n"
        )
    }

    /// A choice between words that are values too; the first is for none.
    pub fn words(&self, name: &str, label: &str, hint: &str, none: &str, words: &[&str]) -> String {
        let choices: Vec<(String, String)> = std::iter::once((String::new(), none.to_owned()))
            .chain(words.iter().map(|word| ((*word).to_owned(), (*word).to_owned())))
            .collect();
        self.choice(name, label, hint, &choices)
    }

    /// A file.
    pub fn file(&self, name: &str, label: &str, hint: &str, accept: &str) -> String {
        let (tied, below) = self.described(name, hint);
        format!(
            "<div class=\"field file\">\n<label for=\"{name}\">{label}</label>\n{below}<input type=\"file\" id=\"{name}\" name=\"{name}\" accept=\"{accept}\"{tied}>\n</div>\n"
        )
    }

    /// A box to be ticked.
    pub fn tick(&self, name: &str, label: &str, hint: &str) -> String {
        let (tied, below) = self.described(name, hint);
        let checked = if (self.filled)(name).is_empty() { "" } else { " checked" };
        format!(
            "<div class=\"field tick\">\n<input type=\"checkbox\" id=\"{name}\" name=\"{name}\" value=\"yes\"{checked}{tied}>\n<label for=\"{name}\">{label}</label>\n{below}</div>\n"
        )
    }

    /// One of several, as large buttons in a row.
    pub fn radios(&self, name: &str, legend: &str, hint: &str, choices: &[(String, String)]) -> String {
        let (tied, below) = self.described(name, hint);
        let chosen = (self.filled)(name);
        let buttons: String = choices
            .iter()
            .enumerate()
            .map(|(index, (one, words))| {
                // A link to the field leads to its first button.
                let id = if index == 0 { name.to_owned() } else { format!("{name}-{index}") };
                let checked = if *one == chosen { " checked" } else { "" };
                format!("<label class=\"radio\" for=\"{id}\"><input type=\"radio\" id=\"{id}\" name=\"{name}\" value=\"{}\"{checked}> <span>{}</span></label>\n", value(one), words)
            })
            .collect();
        format!("<fieldset class=\"radios\"{tied}>\n<legend>{legend}</legend>\n{below}<div class=\"row\">\n{buttons}</div>\n</fieldset>\n")
    }
}

/// A form that is sent; `token` is the session's.
pub fn form(id: &str, action: &str, token: &str, inside: &str) -> String {
    format!(
        "<form id=\"{id}\" method=\"post\" action=\"{action}\" enctype=\"multipart/form-data\">\n\
         <input type=\"hidden\" name=\"form\" value=\"{}\">\n{inside}</form>\n",
        value(token)
    )
}
