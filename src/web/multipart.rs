//! The parts of a form's body: `multipart/form-data`, taken apart in place.
//!
//! The body is already whole and bounded ([`super::body`]), so a part is a slice of it and nothing is copied. The reader takes what
//! browsers write and nothing else: headings of at most 2 kB, names in quotation marks, no encoding, no nesting.
//!
//! # References
//!
//! - RFC 7578 (forms), RFC 2046, section 5.1.1 (boundaries); how browsers quote names: the HTML Living Standard, "multipart form data".

use super::refusal::Refusal;
use axum::body::Bytes;
use axum::http::StatusCode;

/// Most parts of a form: the largest of ours has about fifty.
pub const MOST_PARTS: usize = 96;
/// Most bytes of a part's heading.
const MOST_HEADING: usize = 2048;
/// Most letters of a field's name.
const MOST_NAME: usize = 64;

/// One part.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Name of the field.
    pub name: String,
    /// Name of the file, for a field that holds one. It is shown and never used as a path.
    pub file: Option<String>,
    /// What is in it.
    pub bytes: Bytes,
}

/// The boundary that a content type names.
///
/// # Errors
///
/// [`Refusal`] (415) if the type is another one.
pub fn boundary(content_type: &str) -> Result<String, Refusal> {
    let other = || {
        Refusal::new(
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            "Not a form",
            "What was sent is no form of this program.",
            "Send it from the page itself.",
        )
    };
    let mut parts = content_type.split(';').map(str::trim);
    if !parts.next().is_some_and(|kind| kind.eq_ignore_ascii_case("multipart/form-data")) {
        return Err(other());
    }
    let named = parts.find_map(|part| part.split_once('=').filter(|(name, _)| name.eq_ignore_ascii_case("boundary")));
    let boundary = named.map(|(_, value)| value.trim_matches('"')).filter(|value| (1..=70).contains(&value.len()) && value.is_ascii());
    boundary.map(str::to_owned).ok_or_else(other)
}

/// Takes a body apart.
///
/// # Errors
///
/// [`Refusal`] (400, 413) if it is not written as forms are, or has too many parts.
pub fn parts(body: &Bytes, boundary: &str) -> Result<Vec<Part>, Refusal> {
    let broken = |what: &str| Refusal::malformed(format!("The form that was sent is not whole: {what}."));
    let line = format!("--{boundary}").into_bytes();
    let between = [b"\r\n", line.as_slice()].concat();
    if !body.starts_with(&line) {
        return Err(broken("it does not begin with its boundary"));
    }
    let mut at = line.len();
    let mut parts = Vec::new();
    loop {
        let rest = body.get(at..).unwrap_or_default();
        if rest.starts_with(b"--") {
            return Ok(parts);
        }
        let Some(rest) = rest.strip_prefix(b"\r\n") else { return Err(broken("a boundary does not end its line")) };
        if parts.len() == MOST_PARTS {
            return Err(Refusal::new(
                StatusCode::PAYLOAD_TOO_LARGE,
                "Too much",
                format!("The form has more than {MOST_PARTS} parts."),
                "Send it from the page itself.",
            ));
        }
        let head_at = at + 2;
        let heading = find(rest.get(..rest.len().min(MOST_HEADING)).unwrap_or_default(), b"\r\n\r\n")
            .ok_or_else(|| broken("a part has no heading"))?;
        let from = head_at + heading + 4;
        let content = body.get(from..).unwrap_or_default();
        // A part without content ends at the boundary at once.
        let length = if content.starts_with(&line) {
            None
        } else {
            Some(find(content, &between).ok_or_else(|| broken("its last part has no end"))?)
        };
        let (name, file) = named(rest.get(..heading).unwrap_or_default()).map_err(&broken)?;
        let end = from + length.unwrap_or(0);
        parts.push(Part { name, file, bytes: body.slice(from..end) });
        at = if length.is_some() { end + between.len() } else { end + line.len() };
    }
}

/// Where a sequence begins.
fn find(text: &[u8], sought: &[u8]) -> Option<usize> {
    let first = *sought.first()?;
    let mut at = 0;
    loop {
        at += text.get(at..)?.iter().position(|&byte| byte == first)?;
        if text.get(at..)?.starts_with(sought) {
            return Some(at);
        }
        at += 1;
    }
}

/// The names of field and file in a part's heading.
fn named(heading: &[u8]) -> Result<(String, Option<String>), &'static str> {
    let heading = std::str::from_utf8(heading).map_err(|_| "a heading is no text")?;
    let disposition = heading.lines().find_map(|line| {
        let (name, value) = line.split_once(':')?;
        name.trim().eq_ignore_ascii_case("content-disposition").then_some(value)
    });
    let disposition = disposition.ok_or("a part has no name")?;
    let name = quoted(disposition, "name").ok_or("a part has no name")?;
    let plain =
        !name.is_empty() && name.len() <= MOST_NAME && name.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"_-".contains(&byte));
    if !plain {
        return Err("a field has a name that no field of ours has");
    }
    Ok((name, quoted(disposition, "filename")))
}

/// The value of a parameter in quotation marks; browsers write `"` as `%22` and line ends as `%0D%0A`.
fn quoted(disposition: &str, parameter: &str) -> Option<String> {
    let mut rest = disposition;
    loop {
        let at = rest.find(parameter)?;
        let before = rest.get(..at)?;
        let after = rest.get(at + parameter.len()..)?;
        let whole = before.ends_with([' ', ';']) && after.starts_with("=\"");
        if whole {
            let value = after.get(2..)?;
            let value = value.get(..value.find('"')?)?;
            return Some(value.replace("%22", "\"").replace("%0D%0A", " "));
        }
        rest = after;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(body: &[u8]) -> Result<Vec<Part>, u16> {
        parts(&Bytes::copy_from_slice(body), "x").map_err(|refusal| refusal.status.as_u16())
    }

    fn part(name: &str, file: Option<&str>, bytes: &[u8]) -> Part {
        Part { name: name.to_owned(), file: file.map(str::to_owned), bytes: Bytes::copy_from_slice(bytes) }
    }

    #[test]
    fn a_browser_s_form_comes_apart() {
        let body = b"--x\r\nContent-Disposition: form-data; name=\"form\"\r\n\r\nabc\r\n--x\r\ncontent-disposition: form-data; name=\"log\"; \
            filename=\"a %22b%22.csv\"\r\nContent-Type: text/csv\r\n\r\n1,2\r\n--y\r\n3\r\n--x\r\nContent-Disposition: form-data; name=\"e\"\r\n\r\n\r\n--x--\r\n";
        let expected = [part("form", None, b"abc"), part("log", Some("a \"b\".csv"), b"1,2\r\n--y\r\n3"), part("e", None, b"")];
        assert_eq!(read(body), Ok(expected.to_vec()));
        assert_eq!(read(b"--x--"), Ok(Vec::new()));
    }

    #[test]
    fn what_is_no_form_is_refused() {
        let whole = b"--x\r\nContent-Disposition: form-data; name=\"a\"\r\n\r\n1\r\n--x--\r\n";
        assert!(read(whole).is_ok());
        // Cut anywhere before the closing boundary it is refused, and nothing is read past its end.
        for end in 0..whole.len() - 4 {
            assert_eq!(read(&whole[..end]), Err(400), "cut after {end} bytes");
        }
        for name in ["", "a b", "../a", "a\0b", "ä", &"a".repeat(65)] {
            let body = format!("--x\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n1\r\n--x--");
            assert_eq!(read(body.as_bytes()), Err(400), "{name:?}");
        }
        let many = "--x\r\nContent-Disposition: form-data; name=\"a\"\r\n\r\n1\r\n".repeat(MOST_PARTS + 1) + "--x--";
        assert_eq!(read(many.as_bytes()), Err(413));
        let long = format!("--x\r\nContent-Disposition: form-data; name=\"a\"\r\nX: {}\r\n\r\n1\r\n--x--", "y".repeat(MOST_HEADING));
        assert_eq!(read(long.as_bytes()), Err(400));
    }

    #[test]
    fn only_forms_have_a_boundary() {
        assert_eq!(boundary("multipart/form-data; boundary=x").ok().as_deref(), Some("x"));
        assert_eq!(boundary("Multipart/Form-Data; charset=utf-8; Boundary=\"x y\"").ok().as_deref(), Some("x y"));
        for other in [
            "",
            "text/csv",
            "application/x-www-form-urlencoded",
            "multipart/form-data",
            "multipart/form-data; boundary=",
            "multipart/mixed; boundary=x",
        ] {
            assert_eq!(boundary(other).map_err(|refusal| refusal.status.as_u16()), Err(415), "{other}");
        }
    }
}
