//! One search over everything: words in any order, and sizes.

use balance_core::quantity::{Length, parse};

/// A size that tube or length must have: what a tape measure shows for a shaft without a tag.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SizeWord {
    /// The smallest that fits, mm.
    pub least: f64,
    /// The largest that fits, mm.
    pub most: f64,
}

impl SizeWord {
    /// Fits within 0.5 mm and 0.4 % [what a tape measure gives; common practice, no source].
    #[must_use]
    pub fn about(size: Length) -> Self {
        let (size, slack) = (size.millimetres(), 0.5 + 0.004 * size.millimetres());
        Self { least: size - slack, most: size + slack }
    }
}

/// What to look for. A record matches if it has every word (as the beginning of one of its own words) and
/// every size.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Query {
    /// Words in lower or upper case, in any order.
    pub words: Vec<String>,
    /// Sizes: each is the tube's outer diameter, its wall or its length.
    pub sizes: Vec<SizeWord>,
}

impl Query {
    /// From what was typed: a word that reads as a length with its unit (`88.9mm`, `3.5 in`) is a size,
    /// everything else is a word.
    ///
    /// ```
    /// use balance_cli::archive::Query;
    /// let query = Query::of(&["hollin", "88.9mm", "1385 mm"]);
    /// assert_eq!((query.words.len(), query.sizes.len()), (1, 2));
    /// ```
    #[must_use]
    pub fn of<T: AsRef<str>>(typed: &[T]) -> Self {
        let mut query = Self::default();
        for text in typed {
            match parse::<Length>(text.as_ref()) {
                Ok(size) => query.sizes.push(SizeWord::about(size)),
                Err(_) => query.words.extend(text.as_ref().split_whitespace().map(str::to_owned)),
            }
        }
        query
    }

    /// The words as full-text queries, the closest first: as typed, in sequence; all of them as whole words,
    /// in any order; each as the beginning of a word. Empty if there is no word to look for.
    pub(super) fn full_texts(&self) -> Vec<String> {
        let words: Vec<String> = self
            .words
            .iter()
            .filter(|word| word.chars().any(char::is_alphanumeric))
            .map(|word| word.replace(['"', '\0'], " "))
            .collect();
        let each = |ending: &str| {
            words.iter().map(|word| format!("\"{word}\"{ending}")).collect::<Vec<_>>().join(" ")
        };
        match words.len() {
            0 => Vec::new(),
            1 => vec![each(""), each("*")],
            _ => vec![format!("\"{}\"", words.join(" ")), each(""), each("*")],
        }
    }
}
