//! The page an answer is written on: how wide it is, and whether it can show bold. Long lines are broken
//! here.

use std::io::IsTerminal;

use textwrap::{Options, WordSeparator, WordSplitter};

/// A space at which no line is broken: "balance verify" stays together.
pub const TOGETHER: char = '\u{a0}';

/// The default width: a stand's small screen.
const USUAL: usize = 80;
const NARROWEST: usize = 50;
const WIDEST: usize = 120;

/// What begins and ends bold on a terminal (ECMA-48, SGR 1 and 0).
pub const BOLD_MARKS: [&str; 2] = ["\u{1b}[1m", "\u{1b}[0m"];

/// How text that must stand out is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Emphasis {
    /// Like the rest: for pipes, files, and if `NO_COLOR` is set.
    #[default]
    Plain,
    /// Bold, as terminals show it.
    Bold,
}

/// Whether progress of longer work is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Progress {
    /// Not shown.
    #[default]
    Silent,
    /// On one line of the terminal, a dot for each piece of work done.
    Shown,
}

/// A page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Page {
    width: usize,
    emphasis: Emphasis,
    progress: Progress,
    on_terminal: bool,
}

impl Default for Page {
    /// 80 letters wide, plain, without progress.
    fn default() -> Self {
        Self::new(USUAL, Emphasis::Plain)
    }
}

impl Page {
    /// A page with this many letters per line, limited to 50 to 120.
    #[must_use]
    pub fn new(width: usize, emphasis: Emphasis) -> Self {
        let width = width.clamp(NARROWEST, WIDEST);
        Self { width, emphasis, progress: Progress::Silent, on_terminal: false }
    }

    /// The same page on a terminal, which obeys some letters instead of showing them.
    #[must_use]
    pub fn of_terminal(self) -> Self {
        Self { on_terminal: true, ..self }
    }

    /// The page of this process: as wide as the terminal, otherwise as stated by `COLUMNS`, otherwise 80
    /// letters; bold on a terminal, unless `NO_COLOR` is set or the terminal is a dumb one.
    #[must_use]
    pub fn of_process() -> Self {
        let said = |name: &str| std::env::var(name).ok().filter(|value| !value.is_empty());
        let (answer, talk) = (std::io::stdout(), std::io::stderr());
        let clever = said("TERM").is_none_or(|term| term != "dumb");
        let wide = answer.is_terminal().then(|| terminal_size::terminal_size_of(&answer)).flatten();
        let width = wide
            .map(|(terminal_size::Width(letters), _)| usize::from(letters))
            .or_else(|| said("COLUMNS")?.parse().ok())
            .filter(|letters| *letters > 0);
        // The old console of Windows shows the marks of bold as letters; the newer one says that it is there.
        let obeys = !cfg!(windows) || said("WT_SESSION").is_some();
        let bold = answer.is_terminal() && clever && obeys && said("NO_COLOR").is_none();
        let emphasis = if bold { Emphasis::Bold } else { Emphasis::Plain };
        let progress = if talk.is_terminal() && clever { Progress::Shown } else { Progress::Silent };
        let on_terminal = answer.is_terminal();
        Self { progress, on_terminal, ..Self::new(width.unwrap_or(USUAL), emphasis) }
    }

    /// Letters per line.
    #[must_use]
    pub fn width(self) -> usize {
        self.width
    }

    /// Whether it goes to a terminal, not into a file or another program.
    #[must_use]
    pub fn is_terminal(self) -> bool {
        self.on_terminal
    }

    /// Whether progress of longer work is shown.
    #[must_use]
    pub fn progress(self) -> Progress {
        self.progress
    }

    /// Whether it shows bold.
    #[must_use]
    pub fn shows_bold(self) -> bool {
        self.emphasis == Emphasis::Bold
    }

    /// Text that must stand out.
    #[must_use]
    pub fn bold(self, text: &str) -> String {
        match self.emphasis {
            Emphasis::Plain => text.to_owned(),
            Emphasis::Bold => format!("{}{text}{}", BOLD_MARKS[0], BOLD_MARKS[1]),
        }
    }

    /// Breaks a text into lines; the first begins with `first`, the others with `rest`. A word longer than a line
    /// stays whole. Spaces inside the text stay as they are.
    #[must_use]
    pub fn wrapped(self, first: &str, rest: &str, text: &str) -> String {
        let options = Options::new(self.width)
            .initial_indent(first)
            .subsequent_indent(rest)
            .break_words(false)
            .word_separator(WordSeparator::AsciiSpace)
            .word_splitter(WordSplitter::NoHyphenation)
            .wrap_algorithm(textwrap::WrapAlgorithm::FirstFit);
        let one_line = text.replace('\n', " ");
        let lines = textwrap::wrap(one_line.trim(), options);
        if lines.is_empty() {
            return format!("{}\n", first.trim_end());
        }
        lines.iter().map(|line| format!("{}\n", line.trim_end())).collect::<String>().replace(TOGETHER, " ")
    }

    /// Words at the left and at the right edge of one line; if they do not fit side by side, one below the
    /// other.
    #[must_use]
    pub fn edges(self, left: &str, right: &str) -> String {
        let [wide, end] = [left, right].map(textwrap::core::display_width);
        if right.is_empty() {
            self.wrapped("", "  ", left)
        } else if wide + 2 + end <= self.width {
            format!("{left}{}{right}\n", " ".repeat(self.width - wide - end)).replace(TOGETHER, " ")
        } else {
            self.wrapped("", "  ", left) + &self.wrapped("  ", "  ", right)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_to_the_width_and_words_stay_whole() {
        let page = Page::new(50, Emphasis::Plain);
        let words = "Guard shut, nobody in line with the weights, then balance\u{a0}verify and Schneefräsenwellenlängenmessgerätehalterungsschraube";
        let text = page.wrapped("1  ", "   ", words);
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[0], "1  Guard shut, nobody in line with the weights,");
        assert_eq!(lines[1], "   then balance verify and");
        assert_eq!(lines[2], "   Schneefräsenwellenlängenmessgerätehalterungsschraube");
    }

    #[test]
    fn bold_letters_take_no_room_and_widths_are_held() {
        let (plain, bold) = (Page::new(50, Emphasis::Plain), Page::new(50, Emphasis::Bold));
        let text =
            |page: Page| format!("{} above 5.29 (front) or 3.24 (rear), and nothing", page.bold("Stop"));
        let [one, other] = [plain, bold].map(|page| page.wrapped("   ", "   ", &text(page)).lines().count());
        assert_eq!((one, other), (2, 2));
        assert_eq!([10, 80, 500].map(|width| Page::new(width, Emphasis::Plain).width()), [50, 80, 120]);
    }

    #[test]
    fn edges_stand_beside_each_other_where_they_fit() {
        let page = Page::new(50, Emphasis::Plain);
        assert_eq!(page.edges("WP-0417", "G16"), format!("WP-0417{}G16\n", " ".repeat(40)));
        assert_eq!(page.edges(&"x".repeat(49), "G16"), format!("{}\n  G16\n", "x".repeat(49)));
    }
}
