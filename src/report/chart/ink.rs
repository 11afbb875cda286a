//! The colours of a plot, each with a meaning.
//!
//! On white every line and every word has a contrast of at least 4.5 to 1 (3 to 1 for lines of context), checked by a test;
//! the page has its own set for dark. Colour never stands alone: everything marked is also named.

use plotters::style::{Color, RGBAColor, RGBColor};

/// What is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ink {
    /// Background.
    Paper,
    /// Titles, names of marks.
    Text,
    /// Numbers and words of the axes.
    Quiet,
    /// Lines of the grid.
    Grid,
    /// Every second phase.
    Shade,
    /// First main curve of a panel.
    First,
    /// Second main curve of a panel.
    Second,
    /// Curves of context.
    Context,
    /// Horizontal bands.
    Band,
    /// The thermostat's opening.
    Opening,
    /// Signs of trapped air.
    Signature,
    /// What is wrong with the log.
    Defect,
}

/// Each ink with its colour on white and the name that a page gives it.
const INKS: [(Ink, (u8, u8, u8), &str); 12] = [
    (Ink::Paper, (0xff, 0xff, 0xff), "paper"),
    (Ink::Text, (0x17, 0x20, 0x2a), "text"),
    (Ink::Quiet, (0x4a, 0x56, 0x63), "quiet"),
    (Ink::Grid, (0xd6, 0xdc, 0xe2), "grid"),
    (Ink::Shade, (0xee, 0xf2, 0xf5), "shade"),
    (Ink::First, (0x0b, 0x52, 0x76), "first"),
    (Ink::Second, (0x86, 0x58, 0x00), "second"),
    (Ink::Context, (0x7b, 0x86, 0x92), "context"),
    (Ink::Band, (0x2a, 0x72, 0x50), "band"),
    (Ink::Opening, (0xae, 0x38, 0x0c), "opening"),
    (Ink::Signature, (0x86, 0x1f, 0x68), "signature"),
    (Ink::Defect, (0x64, 0x68, 0x6e), "defect"),
];

impl Ink {
    /// The colour on white, with its opacity (0 to 1).
    pub(super) fn on_paper(self, opacity: f64) -> RGBAColor {
        let (red, green, blue) = INKS.iter().find(|(ink, ..)| *ink == self).map_or((0, 0, 0), |(_, colour, _)| *colour);
        RGBColor(red, green, blue).mix(opacity)
    }
}

/// Replaces each colour in SVG text by the page's name for it. Quotes inside text are escaped, so that only attributes match.
pub(super) fn named(mut svg: String) -> String {
    for (_, (red, green, blue), name) in INKS {
        svg = svg.replace(&format!("\"#{red:02X}{green:02X}{blue:02X}\""), &format!("\"var(--plot-{name})\""));
    }
    svg
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance, Web Content Accessibility Guidelines 2.2.
    fn luminance((red, green, blue): (u8, u8, u8)) -> f64 {
        let linear = |byte: u8| {
            let c = f64::from(byte) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue)
    }

    /// Colours that the page gives the plot, light first, then dark.
    fn page_colours(ink: &str) -> Vec<(u8, u8, u8)> {
        let style = include_str!("../colours.css");
        let before = format!("--plot-{ink}: #");
        let values = style.split(&before).skip(1).filter_map(|rest| u32::from_str_radix(rest.get(..6)?, 16).ok());
        values.map(|rgb| ((rgb >> 16) as u8, (rgb >> 8) as u8, rgb as u8)).collect()
    }

    #[test]
    fn everything_written_stands_out_from_paper_and_shade() {
        for (ink, colour, name) in INKS {
            assert_eq!(page_colours(name).first(), Some(&colour), "the light page has the colours of paper: {name}");
            let least = match ink {
                Ink::Paper | Ink::Grid | Ink::Shade => continue,
                Ink::Context => 3.0,
                _ => 4.5,
            };
            for theme in 0..2 {
                for ground in ["paper", "shade"] {
                    let (one, other) = (luminance(page_colours(ground)[theme]), luminance(page_colours(name)[theme]));
                    let contrast = (one.max(other) + 0.05) / (one.min(other) + 0.05);
                    assert!(contrast >= least, "{ink:?}, theme {theme}, on {ground}: {contrast:.2}");
                }
            }
        }
    }
}
