//! Quantities inside finished sentences.
//!
//! ```text
//! quantity  = numbers unit [ "(" number "to" number ")" ]
//! numbers   = number { ( "to" | "and" | "or" | "–" ) number }
//! number    = [ sign ] digits [ "." digits ] | "unknown"
//! ```
//!
//! A number is converted only where a unit follows it, so that counts, shares, years and clock times stay; a unit alone stays too, for
//! it names how a log or a note is written ("read as °C"). What stands in quotation marks or backticks is somebody's own word and stays.
//!
//! An estimate that the report holds elsewhere is known by its words, interval included ([`Known`]), and converted by value. Limits: any
//! other number is converted from its printed digits, so it can differ by one in its last digit from what was rounded.

use super::scale::Scale;

/// Quantities whose words are known, each with what they become.
#[derive(Clone, Debug, Default)]
pub struct Known(Vec<(String, String)>);

impl Known {
    /// Adds one; of several with the same words the first counts.
    pub fn add(&mut self, si: String, customary: String) {
        if self.0.iter().all(|(known, _)| *known != si) {
            self.0.push((si, customary));
        }
    }

    /// What the words at the start of the text become, and how long they are.
    fn at_start(&self, text: &str) -> Option<(String, usize)> {
        let (si, customary) = self.0.iter().find(|(si, _)| text.starts_with(si.as_str()))?;
        Some((customary.clone(), si.len()))
    }
}

/// The sentence with its quantities in US customary units.
pub fn converted(sentence: &str, known: &Known) -> String {
    let mut out = String::with_capacity(sentence.len() + 8);
    let mut rest = sentence;
    let mut before = ' ';
    while let Some(c) = rest.chars().next() {
        let word_begins = !before.is_alphanumeric() && !matches!(before, '.' | ',' | ':' | '/' | '_' | '^' | '-' | '−' | '+');
        let taken = quoted(rest, before).map(|length| (rest.get(..length).unwrap_or("").to_owned(), length));
        let taken = taken.or_else(|| word_begins.then(|| known.at_start(rest).or_else(|| quantity(rest))).flatten());
        match taken {
            Some((text, length)) => {
                before = rest.get(..length).and_then(|text| text.chars().next_back()).unwrap_or(' ');
                out.push_str(&text);
                rest = rest.get(length..).unwrap_or("");
            }
            None => {
                out.push(c);
                before = c;
                rest = rest.get(c.len_utf8()..).unwrap_or("");
            }
        }
    }
    out
}

/// Length of the quotation at the start of the text, marks included.
fn quoted(text: &str, before: char) -> Option<usize> {
    let mark = text.chars().next().filter(|c| matches!(c, '"' | '`'))?;
    // An inch mark stands behind a digit and opens nothing.
    if before.is_alphanumeric() {
        return None;
    }
    let (from, inside) = (mark.len_utf8(), text.get(mark.len_utf8()..)?);
    // A mark closes where no word goes on behind it.
    let closes = |at: usize| inside.get(at + mark.len_utf8()..).is_none_or(|after| !after.starts_with(char::is_alphanumeric));
    let end = inside.match_indices(mark).map(|(at, _)| at).find(|at| closes(*at))?;
    Some(from + end + mark.len_utf8())
}

/// A number as it was written.
struct Written {
    value: f64,
    decimals: usize,
    plus: bool,
    /// What parts its thousands.
    groups: Option<char>,
}

/// One number or several with what joins them.
type Numbers<'a> = Vec<(&'a str, Written)>;

/// The quantity at the start of the text, converted, and how long it was.
fn quantity(text: &str) -> Option<(String, usize)> {
    let (numbers, rest) = numbers(text)?;
    let (space, rest) = rest
        .strip_prefix([' ', '\u{a0}', '\u{202f}'])
        .map_or(("", rest), |after| (rest.get(..rest.len() - after.len()).unwrap_or(""), after));
    let scale = Scale::at_start(rest)?;
    let rest = rest.get(scale.si.len()..)?;
    let (interval, rest) = interval(rest).unwrap_or((Vec::new(), rest));
    let all: Vec<&Written> = numbers.iter().chain(&interval).map(|(_, number)| number).collect();
    let values: Vec<f64> = all.iter().map(|number| number.value).collect();
    let scale = scale.for_size(values.iter().copied().find(|value| value.is_finite()).unwrap_or(0.0));
    let decimals = scale.decimals(&values, all.iter().map(|number| number.decimals).max().unwrap_or(0));
    let written = |numbers: &Numbers| -> String {
        numbers.iter().map(|(joint, number)| format!("{joint}{}", number.as_in(&scale, decimals))).collect()
    };
    let space = if space.is_empty() { " " } else { space };
    let mut converted = format!("{}{space}{}", written(&numbers), scale.customary);
    if !interval.is_empty() {
        converted.push_str(&format!(" ({})", written(&interval)));
    }
    Some((converted, text.len() - rest.len()))
}

/// Numbers joined by words that share the unit behind the last.
fn numbers(text: &str) -> Option<(Numbers<'_>, &str)> {
    let (first, mut rest) = number(text)?;
    let mut found = vec![("", first)];
    'more: loop {
        for joint in [" to ", " and ", " or ", "–", " – "] {
            if let Some((next, after)) = rest.strip_prefix(joint).and_then(number) {
                found.push((joint, next));
                rest = after;
                continue 'more;
            }
        }
        return Some((found, rest));
    }
}

/// ` (A to B)` behind a quantity, in its unit.
fn interval(text: &str) -> Option<(Numbers<'_>, &str)> {
    let (low, rest) = number(text.strip_prefix(" (")?)?;
    let (high, rest) = number(rest.strip_prefix(" to ")?)?;
    Some((vec![("", low), (" to ", high)], rest.strip_prefix(')')?))
}

/// A number at the start of the text; not a clock time, a date or the start of a word.
fn number(text: &str) -> Option<(Written, &str)> {
    if let Some(rest) = text.strip_prefix("unknown") {
        return Some((Written { value: f64::NAN, decimals: 0, plus: false, groups: None }, rest));
    }
    let (sign, unsigned) = match text.chars().next()? {
        '−' | '-' => (-1.0, text.get(text.chars().next()?.len_utf8()..)?),
        _ => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    let digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    let length = digits(unsigned);
    let mut whole = unsigned.get(..length).filter(|digits| !digits.is_empty())?.to_owned();
    let mut rest = unsigned.get(length..)?;
    let mut groups = None;
    while let Some(mark) = rest.chars().next().filter(|c| matches!(c, ',' | '\u{a0}' | '\u{202f}') && groups.is_none_or(|mark| mark == *c))
    {
        let after = rest.get(mark.len_utf8()..)?;
        if digits(after) != 3 || (groups.is_none() && length > 3) {
            break;
        }
        groups = Some(mark);
        whole.push_str(after.get(..3)?);
        rest = after.get(3..)?;
    }
    let mut decimals = 0;
    if let Some(after) = rest.strip_prefix('.').filter(|after| digits(after) > 0) {
        decimals = digits(after);
        whole = format!("{whole}.{}", after.get(..decimals)?);
        rest = after.get(decimals..)?;
    }
    let value: f64 = whole.parse().ok()?;
    let goes_on = rest.starts_with(':') && rest.get(1..).is_some_and(|after| digits(after) > 0);
    (!goes_on).then_some((Written { value: sign * value, decimals, plus: text.starts_with('+'), groups }, rest))
}

impl Written {
    /// In the customary unit, with the sign and the groups it had.
    fn as_in(&self, scale: &Scale, decimals: usize) -> String {
        let text = scale.written(self.value, decimals);
        let plus = if self.plus && !text.starts_with('−') { "+" } else { "" };
        let grouped = self.groups.map_or_else(|| text.clone(), |mark| in_groups(&text, mark));
        format!("{plus}{grouped}")
    }
}

/// The number with its thousands parted.
fn in_groups(text: &str, mark: char) -> String {
    let (whole, fraction) = text.split_once('.').map_or((text, None), |(whole, fraction)| (whole, Some(fraction)));
    let count = whole.chars().filter(char::is_ascii_digit).count();
    let mut grouped = String::new();
    let mut left = count;
    for c in whole.chars() {
        if c.is_ascii_digit() {
            if left < count && left.is_multiple_of(3) {
                grouped.push(mark);
            }
            left -= 1;
        }
        grouped.push(c);
    }
    fraction.map_or_else(|| grouped.clone(), |fraction| format!("{grouped}.{fraction}"))
}

#[cfg(test)]
mod tests {
    use super::Known;

    fn converted(sentence: &str) -> String {
        super::converted(sentence, &Known::default())
    }

    /// Exact conversions by hand: °F = 1.8 °C + 32, 1 fl oz = 29.5735 mL, 1 psi = 6.894757 kPa, 1 mi = 1.609344 km, 1 in = 25.4 mm.
    #[test]
    fn every_form_of_a_quantity() {
        for (si, customary) in [
            ("Opened at 89.0 °C (86.4 to 92.7) after 4:18 min.", "Opened at 192.2 °F (187.5 to 198.9) after 4:18 min."),
            ("It should start between 83 and 92 °C. It does.", "It should start between 181 and 198 °F. It does."),
            ("rose by 21 K (20 to 23) above; stops it by 16 K.", "rose by 38 °F (36 to 41) above; stops it by 29 °F."),
            ("1.0 K below the air (−3.5 to +1.5 K)", "1.8 °F below the air (−6.3 to +2.7 °F)"),
            (
                "took 590 mL (529 to 652) over 3 heat cycles: 194 mL, 180 mL",
                "took 20.0 fl oz (17.9 to 22.0) over 3 heat cycles: 6.6 fl oz, 6.1 fl oz",
            ),
            ("air 317 mL (−368 to 1003)", "air 10.7 fl oz (−12.4 to 33.9)"),
            ("0.38 K/min (0.36 to 0.40)", "0.68 °F/min (0.65 to 0.72)"),
            ("went from 110 to 104 kPa in 12 min", "went from 16.0 to 15.1 psi in 12 min"),
            ("stood at 42 mm, air 18 °C", "stood at 1.65 in, air 64 °F"),
            ("a capacity of about 9 L", "a capacity of about 9.5 qt"),
            ("17.0 L", "4.49 gal"),
            ("at 128\u{a0}400 km", "at 79\u{a0}784 mi"),
            ("due at 260,000 km or on 2031-03-02", "due at 161,557 mi or on 2031-03-02"),
            ("read every 1 s in steps of 1 K", "read every 1 s in steps of 1.8 °F"),
            ("40°C, 3 K.", "104 °F, 5.4 °F."),
            ("unknown K (unknown to unknown)", "unknown °F (unknown to unknown)"),
            ("85–90 °C at 60 km/h", "185–194 °F at 37 mph"),
            ("a run at −5 °C", "a run at 23 °F"),
            ("0 K (−4 to 3)", "0.0 °F (−7.2 to 5.4)"),
        ] {
            assert_eq!(converted(si), customary);
        }
    }

    #[test]
    fn an_estimate_that_is_known_is_converted_by_its_value() {
        let mut known = Known::default();
        known.add("7 mL (2 to 12)".to_owned(), "0.25 fl oz (0.08 to 0.42)".to_owned());
        known.add("7 mL (2 to 12)".to_owned(), "another".to_owned());
        let said = super::converted("It took 7 mL (2 to 12), not 17 mL (2 to 12).", &known);
        assert_eq!(said, "It took 0.25 fl oz (0.08 to 0.42), not 0.57 fl oz (0.07 to 0.41).");
    }

    #[test]
    fn what_is_no_quantity_stays() {
        for text in [
            "read as °C, rpm, km/h.",
            "no unit stated; taken as °C: in °F it would start below freezing",
            "the level was read in mm, and no volume of a millimetre is stated",
            "after 4:18 min, 10 % (95 % interval 9 to 11 %), line 640",
            "The notes say: \"about 50 mL under the pump, 40 °C\".",
            "`215 °C` where a number should be",
            "Lerman, P. M. (1980), J. R. Stat. Soc. C 29(1), 77–84",
            "ISO 15031-5 L",
            "2026-07-20 06:20",
            "5 L/100km",
            "",
        ] {
            assert_eq!(converted(text), text);
        }
    }

    #[test]
    fn any_text_passes() {
        for text in [
            "−",
            "+",
            "5",
            "5 ",
            "5 to",
            "5 to ",
            "5 K (",
            "5 K (1 to",
            "\"",
            "`5 K",
            "5\u{a0}",
            "1,5 K",
            "1,234,5 K",
            "٣ K",
            "°C 5",
            "5 K\u{301}",
        ] {
            let _ = converted(text);
        }
        assert_eq!(converted(&format!("{} K", "9".repeat(400))), "unknown °F", "larger than a number can be");
    }
}
