//! What was typed on one line.

/// A line, as far as it can be understood without knowing the question.
#[derive(Debug, Clone, PartialEq)]
pub enum Line {
    /// Enter alone: as proposed.
    Nothing,
    /// `0`: undo, or the value zero where one is asked for.
    Zero,
    /// What can be answered here.
    Help,
    /// Take back the last answer or run.
    Undo,
    /// Read the last run once more.
    Repeat,
    /// Leave this out.
    Skip,
    /// Draw the readings.
    Picture,
    /// How angles are counted.
    Counting,
    /// Everything that is known, not only what to do now.
    All,
    /// To the bench: the inspection of the shaft.
    Bench,
    /// Stop for now.
    Leave,
    /// A note for the last run.
    Note(String),
    /// The run with this label was entered wrongly.
    Mistake(String),
    /// Anything else, without control characters.
    Text(String),
}

/// The longest line that is looked at, in letters.
pub const LONGEST: usize = 500;

/// Reads one line.
#[must_use]
pub fn line(typed: &str) -> Line {
    let clean: String = typed.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect();
    let clean = clean.trim();
    let lower = clean.to_lowercase();
    match lower.as_str() {
        "" => return Line::Nothing,
        "0" => return Line::Zero,
        "?" | "h" | "help" => return Line::Help,
        "u" | "undo" | "back" => return Line::Undo,
        "r" | "repeat" | "again" => return Line::Repeat,
        "s" | "skip" => return Line::Skip,
        "p" | "picture" => return Line::Picture,
        "c" | "counting" => return Line::Counting,
        "all" => return Line::All,
        "b" | "bench" => return Line::Bench,
        "q" | "quit" | "exit" | "leave" => return Line::Leave,
        _ => {}
    }
    let (first, rest) = clean.split_once(char::is_whitespace).unwrap_or((clean, ""));
    match first.to_lowercase().as_str() {
        "n" | "note" => Line::Note(rest.trim().into()),
        "m" | "mistake" => Line::Mistake(run_named(rest)),
        _ if lower.contains("mistake") => Line::Mistake(run_named(clean)),
        _ => Line::Text(clean.into()),
    }
}

/// The last word of "I made a mistake in run 3".
fn run_named(text: &str) -> String {
    let last = text.split_whitespace().last().unwrap_or_default();
    let words = ["mistake", "run", "in", "a"];
    if words.contains(&last.to_lowercase().as_str()) { String::new() } else { last.into() }
}

/// A yes: 1, y, yes, ok.
#[must_use]
pub fn is_yes(text: &str) -> bool {
    matches!(text.to_lowercase().as_str(), "1" | "y" | "yes" | "ok")
}

/// One value as called out at the stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Value {
    /// A number.
    Number(f64),
    /// `<0.1`: less than the dial shows.
    Below(f64),
    /// `-`: not read.
    NotRead,
}

/// Reads numbers with spaces, `@` or semicolons between; a decimal comma is as good as a point; the units named may
/// stand behind a number.
///
/// # Errors
///
/// Words for people about the first piece that is no number.
pub fn values(text: &str, units: &[&str]) -> Result<Vec<Value>, String> {
    let apart: String = text.chars().map(|c| if matches!(c, '@' | ';' | '°') { ' ' } else { c }).collect();
    let pieces = apart.split_whitespace().map(|piece| piece.trim_end_matches(','));
    let pieces = pieces.filter(|piece| !piece.is_empty() && !units.contains(&piece.to_lowercase().as_str()));
    pieces.map(|piece| value(piece, units)).collect()
}

fn value(piece: &str, units: &[&str]) -> Result<Value, String> {
    if matches!(piece, "-" | "x" | "X") {
        return Ok(Value::NotRead);
    }
    if let Some(limit) = piece.strip_prefix('<') {
        return number(limit, piece, units).map(Value::Below);
    }
    number(piece, piece, units).map(Value::Number)
}

fn number(text: &str, piece: &str, units: &[&str]) -> Result<f64, String> {
    let bare = units.iter().filter_map(|unit| text.strip_suffix(unit)).min_by_key(|bare| bare.len());
    let bare = bare.unwrap_or(text);
    let shown = crate::files::shown(piece);
    let commas = bare.matches(',').count();
    if commas > 1 || (commas == 1 && bare.contains('.')) {
        return Err(format!("\"{shown}\": one decimal sign only, and a space between numbers"));
    }
    let plain = bare.replace(',', ".");
    let digits = |letter: char| letter.is_ascii_digit() || matches!(letter, '.' | '-' | '+');
    if !plain.chars().all(digits) {
        return Err(format!("\"{shown}\" is not a number"));
    }
    plain
        .parse::<f64>()
        .ok()
        .filter(|number| number.is_finite())
        .ok_or_else(|| format!("\"{shown}\" is not a number"))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn numbers(text: &str) -> Vec<f64> {
        let number = |value| match value {
            Value::Number(number) => number,
            other => panic!("{other:?}"),
        };
        values(text, &["g", "deg"]).unwrap().into_iter().map(number).collect()
    }

    #[test]
    fn numbers_are_read_as_helpers_call_them() {
        assert_eq!(numbers("1800 5.29 230 3.24 69"), [1800.0, 5.29, 230.0, 3.24, 69.0]);
        assert_eq!(numbers(" 5,29 @ 230; 3,24@69 "), [5.29, 230.0, 3.24, 69.0]);
        assert_eq!(numbers("20 g @ 90°, 15g 10deg"), [20.0, 90.0, 15.0, 10.0]);
        assert_eq!(values("<0,1 - x", &[]), Ok(vec![Value::Below(0.1), Value::NotRead, Value::NotRead]));
        for wrong in ["abc", "1,800.5", "1e9", "nan", "inf", "1.2.3", "5,29,230", "<", "--", "0x10", "٣"] {
            assert!(values(wrong, &[]).is_err(), "{wrong}");
        }
    }

    #[test]
    fn words_are_understood_and_control_characters_fall_out() {
        assert_eq!(line("\u{1b}\u{0}\t"), Line::Nothing);
        assert_eq!(line(" 0\r"), Line::Zero);
        assert_eq!(line("I made a mistake in run 3"), Line::Mistake("3".into()));
        assert_eq!(line("mistake"), Line::Mistake(String::new()));
        assert_eq!(line("note clamp was loose"), Line::Note("clamp was loose".into()));
        assert_eq!(line("HELP"), Line::Help);
        assert_eq!(line("5.29\u{7}230"), Line::Text("5.29 230".into()));
    }

    proptest! {
        #[test]
        fn any_bytes_are_read_without_a_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
            let text = String::from_utf8_lossy(&bytes);
            if let Line::Text(text) | Line::Note(text) | Line::Mistake(text) = line(&text) {
                prop_assert!(!text.chars().any(char::is_control));
                if let Ok(values) = values(&text, &["g"]) {
                    for value in values {
                        if let Value::Number(number) | Value::Below(number) = value {
                            prop_assert!(number.is_finite());
                        }
                    }
                }
            }
        }

        #[test]
        fn numbers_read_back_as_typed(numbers in proptest::collection::vec(-9999.0..9999.0f64, 1..8)) {
            let point: Vec<String> = numbers.iter().map(f64::to_string).collect();
            let comma: Vec<String> = point.iter().map(|text| text.replace('.', ",")).collect();
            let wanted: Vec<Value> = numbers.iter().copied().map(Value::Number).collect();
            prop_assert_eq!(values(&point.join(" "), &[]).unwrap(), wanted.clone());
            prop_assert_eq!(values(&comma.join("@"), &[]).unwrap(), wanted);
        }
    }
}
