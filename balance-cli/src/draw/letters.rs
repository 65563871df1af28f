//! The letters: a font that comes with the program, and how wide words are in it.

use super::scene::Weight;
use plotters::style::{FontDesc, FontFamily, FontStyle, register_font};
use std::sync::Once;

/// The family named in an SVG: ours first, then fonts of the same width that browsers have.
const FAMILY: &str = "DejaVu Sans, Verdana, Geneva, sans-serif";

static PLAIN: &[u8] = include_bytes!("../../../data/fonts/DejaVuSans-subset.ttf");
static BOLD: &[u8] = include_bytes!("../../../data/fonts/DejaVuSans-Bold-subset.ttf");
static REGISTERED: Once = Once::new();

/// Ascent plus descent of the font over its em (its `hhea` table: (1901 + 483) / 2048): the bitmap backend takes this
/// height for the size.
pub(super) const HEIGHT: f64 = 1.1640625;

/// The font's own file.
pub(super) fn bytes(weight: Weight) -> &'static [u8] {
    match weight {
        Weight::Plain => PLAIN,
        Weight::Bold => BOLD,
    }
}

/// The font at a plotters size.
pub(super) fn font(size: f64, weight: Weight) -> FontDesc<'static> {
    REGISTERED.call_once(|| {
        // A font that could not be read shows as an error of the rendering, which names it.
        let _ = register_font(FAMILY, FontStyle::Normal, bytes(Weight::Plain));
        let _ = register_font(FAMILY, FontStyle::Bold, bytes(Weight::Bold));
    });
    let style = match weight {
        Weight::Plain => FontStyle::Normal,
        Weight::Bold => FontStyle::Bold,
    };
    FontDesc::new(FontFamily::Name(FAMILY), size, style)
}

/// How wide words are, in points, at a letter size in points.
pub(super) fn width(words: &str, size: f64, weight: Weight) -> f64 {
    const EM: f64 = 1000.0;
    let letters = font(EM * HEIGHT, weight);
    letters.layout_box(words).map_or(0.0, |((from, _), (to, _))| f64::from(to - from) / EM * size)
}

/// The words, cut with "…" so that they are no wider than `most` points.
pub(super) fn shorten(words: &str, size: f64, weight: Weight, most: f64) -> String {
    if width(words, size, weight) <= most {
        return words.to_owned();
    }
    let letters: Vec<char> = words.chars().collect();
    let fits = |count: &usize| width(&with_dots(&letters, *count), size, weight) <= most;
    let count = (0..letters.len().min(400)).rev().find(fits).unwrap_or(0);
    with_dots(&letters, count)
}

fn with_dots(letters: &[char], count: usize) -> String {
    let kept: String = letters.iter().take(count).collect();
    format!("{}…", kept.trim_end())
}

/// The words in lines of at most `most` points; a word wider than that stands alone, cut.
pub(super) fn wrap(words: &str, size: f64, weight: Weight, most: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        let word = shorten(word, size, weight, most);
        match lines.last_mut() {
            Some(line) if width(&format!("{line} {word}"), size, weight) <= most => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Advance widths summed with fontTools from the Debian package's font files, of 2048 units an em.
    #[test]
    fn widths_are_those_of_the_font() {
        let cases = [
            ("279 mm", Weight::Plain, 8550.0),
            ("287°", Weight::Plain, 4933.0),
            ("15 g", Weight::Bold, 5029.0),
        ];
        for (words, weight, units) in cases {
            let (got, wanted) = (width(words, 10.0, weight), units / 2048.0 * 10.0);
            assert!((got - wanted).abs() < 0.02, "{words}: wanted {wanted}, got {got}");
        }
    }

    #[test]
    fn words_are_cut_to_fit() {
        let cut = shorten("gearbox flange nearside", 7.0, Weight::Plain, 50.0);
        assert!(cut.ends_with('…') && width(&cut, 7.0, Weight::Plain) <= 50.0, "{cut}");
        assert_eq!(shorten("front", 7.0, Weight::Plain, 50.0), "front");
    }

    #[test]
    fn lines_are_no_wider_than_asked() {
        let lines =
            wrap("the paint line on the front yoke ear of the gearbox side", 7.0, Weight::Plain, 60.0);
        assert!(
            lines.len() > 2 && lines.iter().all(|line| width(line, 7.0, Weight::Plain) <= 60.0),
            "{lines:?}"
        );
    }
}
