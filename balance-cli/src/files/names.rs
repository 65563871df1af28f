//! File names from people's words: whatever a shaft is called, its files stay in their folder, open on every
//! system, and never replace those of another shaft.

use std::collections::HashMap;

use super::hidden::hidden_in_name;

/// Names that Windows reserves for devices, whatever the ending (Microsoft, "Naming Files, Paths, and
/// Namespaces").
const DEVICES: [&str; 22] = [
    "CON", "PRN", "AUX", "NUL", "COM1", "COM2", "COM3", "COM4", "COM5", "COM6", "COM7", "COM8", "COM9",
    "LPT1", "LPT2", "LPT3", "LPT4", "LPT5", "LPT6", "LPT7", "LPT8", "LPT9",
];

/// A file name from a shaft's or sensor's name. Characters that file systems do not accept become dashes, and
/// the replaced characters are added at the end in hexadecimal (`A/1` becomes `A-1~2f`), so that two names
/// never give the same file name.
#[must_use]
pub fn file_name(name: &str) -> String {
    let last = name.chars().count().saturating_sub(1);
    let kept = |(at, letter): (usize, char)| {
        let dot_inside = letter == '.' && at > 0 && at < last;
        if letter.is_alphanumeric() || "-_".contains(letter) || dot_inside { letter } else { '-' }
    };
    let plain: String = name.chars().enumerate().map(kept).collect();
    if plain == name && !plain.is_empty() && !is_device(&plain) {
        return plain;
    }
    let dashes = name.chars().zip(plain.chars()).filter(|(_, kept)| *kept == '-');
    let codes: Vec<String> = dashes.map(|(letter, _)| format!("{:x}", u32::from(letter))).collect();
    format!("{plain}~{}", codes.join("~"))
}

/// Whether a name is a file name and nothing more, on every system: no folder, no drive, no device, nothing hidden, nothing
/// that a system drops or reads in a way of its own.
#[must_use]
pub fn is_plain_file_name(name: &str) -> bool {
    const MOST_BYTES: usize = 200;
    let sign = |letter: char| letter.is_control() || "/\\:<>\"|?*".contains(letter);
    let ends_well = !name.starts_with([' ', '.']) && !name.ends_with([' ', '.']);
    let length = (1..=MOST_BYTES).contains(&name.len());
    length && ends_well && !name.contains(sign) && hidden_in_name(name).is_none() && !is_device(name)
}

/// Whether a name is reserved by Windows.
#[must_use]
pub fn is_device(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or_default().trim_end();
    DEVICES.iter().any(|device| device.eq_ignore_ascii_case(stem))
}

/// The file names given so far: many systems treat `a1` and `A1` as the same file.
#[derive(Debug, Default)]
pub struct FileNames {
    given: HashMap<String, String>,
}

impl FileNames {
    /// The name for this text; the same text gets the same name again.
    pub fn of(&mut self, text: &str) -> String {
        let mut name = file_name(text);
        while self.given.entry(name.to_lowercase()).or_insert_with(|| text.to_owned()) != text {
            name.push('~');
        }
        name
    }
}

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use super::*;

    #[test]
    fn usual_names_stay_and_no_two_names_become_one() {
        for usual in ["WP-0417", "s1", "front_2", "räumer3", "v1.2"] {
            assert_eq!(file_name(usual), usual);
        }
        assert_eq!(file_name("A/1"), "A-1~2f");
        assert_eq!(file_name("CON"), "CON~");
        let letters = ["A", "/", "-", "~", ".", " ", "\u{1b}", "\u{202e}", "2", "f", "\0", ""];
        let (mut names, mut all) = (HashSet::new(), HashSet::new());
        for one in letters {
            for two in letters {
                for three in letters {
                    for four in letters {
                        let text = [one, two, three, four].concat();
                        let name = file_name(&text);
                        assert!(
                            !name.starts_with('.') && !name.contains(['/', '\\', '\0', '\u{1b}', ' ']),
                            "{name}"
                        );
                        names.insert(name);
                        all.insert(text);
                    }
                }
            }
        }
        assert_eq!(names.len(), all.len());
    }

    #[test]
    fn a_plain_name_names_a_file_and_nothing_else() {
        for plain in ["job.toml", "runs.csv", "Räumer 3, vorn.jpg", "IMG_0417 (2).png", "a~1"] {
            assert!(is_plain_file_name(plain), "{plain}");
        }
        let long = "a".repeat(201);
        let not = [
            "",
            ".",
            "..",
            "../job.toml",
            "/etc/passwd",
            "photos/a.jpg",
            "..\\a",
            "C:a",
            "C:\\a",
            "a:b",
            "NUL",
            "con.toml",
            "COM1.csv",
            ".balance-x",
            "job.toml ",
            "job.toml.",
            " a",
            "a\nb",
            "a\0b",
            "a\u{202e}gpj.exe",
            "a?",
            "a*",
            "a|b",
            "a\"b",
            "<a>",
            &long,
        ];
        for name in not {
            assert!(!is_plain_file_name(name), "{name:?}");
        }
    }

    #[test]
    fn names_that_differ_in_case_only_get_files_of_their_own() {
        let mut names = FileNames::default();
        assert_eq!(["a1", "A1", "a1", "b"].map(|text| names.of(text)), ["a1", "A1~", "a1", "b"]);
    }
}
