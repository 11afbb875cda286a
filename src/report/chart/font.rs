//! The one font that every picture is measured with, and PNG lettered with.
//!
//! A subset of DejaVu Sans (Latin letters and the signs that reports use) is embedded, so that a picture looks the same on a
//! machine without fonts; its licence stands beside it. SVG names only "sans-serif": a browser letters it with its own font,
//! which is seldom wider than this one.

use super::ChartError;
use ab_glyph::{Font, FontRef, PxScaleFont, ScaleFont};
use std::sync::OnceLock;

static BYTES: &[u8] = include_bytes!("../fonts/DejaVuSans-subset.ttf");

/// The font, read once.
pub(super) fn font() -> Result<&'static FontRef<'static>, ChartError> {
    static FONT: OnceLock<Option<FontRef<'static>>> = OnceLock::new();
    FONT.get_or_init(|| FontRef::try_from_slice(BYTES).ok()).as_ref().ok_or(ChartError::Font)
}

/// The font with an em of `em` pixels. The library scales by the font's height (ascent and descent), which differs from its em.
pub(super) fn sized(font: &'static FontRef<'static>, em: f64) -> PxScaleFont<&'static FontRef<'static>> {
    let per_em = font.units_per_em().map_or(1.0, |units| font.height_unscaled() / units);
    font.into_scaled(em as f32 * per_em)
}

/// Width of a line of text in units of its em.
pub(super) fn width_in_ems(text: &str) -> Result<f64, ChartError> {
    let font = sized(font()?, 1000.0);
    let width: f32 = text.chars().map(|c| font.h_advance(font.glyph_id(c))).sum();
    Ok(f64::from(width) / 1000.0)
}
