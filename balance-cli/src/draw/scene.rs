//! A small scene: marks on a sheet, in points (1/72 inch), y downward. Pictures build it; `render` draws it.

/// A place on the sheet.
///
/// # Units
/// Points, from the upper left corner, y downward.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Towards the right edge.
    pub x: f64,
    /// Towards the lower edge.
    pub y: f64,
}

impl Point {
    /// The point (x, y).
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The point `radius` away at `clock_degrees`, counted clockwise from straight up.
    #[must_use]
    pub fn around(self, radius: f64, clock_degrees: f64) -> Self {
        let (sin, cos) = clock_degrees.to_radians().sin_cos();
        Self::new(self.x + radius * sin, self.y - radius * cos)
    }

    /// Moved by (dx, dy).
    #[must_use]
    pub fn shifted(self, dx: f64, dy: f64) -> Self {
        Self::new(self.x + dx, self.y + dy)
    }

    /// Distance to another point.
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }

    /// The point at `share` of the way to another.
    #[must_use]
    pub fn towards(self, other: Self, share: f64) -> Self {
        Self::new(self.x + (other.x - self.x) * share, self.y + (other.y - self.y) * share)
    }
}

/// Black and white first: what a line or an area is printed in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// Full black.
    Black,
    /// Dark enough for thin lines and small words.
    Grey,
    /// A tint for areas and rings behind everything else.
    Pale,
    /// The paper.
    White,
}

/// How a line runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dash {
    /// Without a gap.
    Solid,
    /// Long strokes.
    Dashed,
    /// Points.
    Dotted,
    /// Long stroke, point.
    DashDot,
}

/// A line's width and kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Points.
    pub width: f64,
    /// Solid, dashed, dotted.
    pub dash: Dash,
    /// Printed in.
    pub ink: Ink,
}

impl Stroke {
    /// A solid black line of this width in points.
    #[must_use]
    pub const fn solid(width: f64) -> Self {
        Self { width, dash: Dash::Solid, ink: Ink::Black }
    }

    /// The same line with other dashes.
    #[must_use]
    pub const fn dash(self, dash: Dash) -> Self {
        Self { dash, ..self }
    }

    /// The same line in another ink.
    #[must_use]
    pub const fn ink(self, ink: Ink) -> Self {
        Self { ink, ..self }
    }
}

/// Which end of the words stands at the given place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// The first letter.
    Start,
    /// The middle.
    Middle,
    /// The last letter.
    End,
}

/// Plain or bold letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// For most words.
    Plain,
    /// For names and what matters.
    Bold,
}

/// Level words, or words that read upward.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// Level.
    Level,
    /// From below to above.
    Upward,
}

/// Words on the sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// The words.
    pub words: String,
    /// Where the anchor stands, on the base line of the letters.
    pub at: Point,
    /// Letter size (em) in points.
    pub size: f64,
    /// Plain or bold.
    pub weight: Weight,
    /// Start, middle or end at the place.
    pub anchor: Anchor,
    /// Printed in.
    pub ink: Ink,
    /// Level or upward.
    pub turn: Turn,
}

impl Text {
    /// Plain black level words that start at `at`. Control characters, which no picture can show, become spaces.
    #[must_use]
    pub fn new(words: &str, at: Point, size: f64) -> Self {
        let words = words.chars().map(|letter| if unprintable(letter) { ' ' } else { letter }).collect();
        Self {
            words,
            at,
            size,
            weight: Weight::Plain,
            anchor: Anchor::Start,
            ink: Ink::Black,
            turn: Turn::Level,
        }
    }

    /// In bold letters.
    #[must_use]
    pub fn bold(self) -> Self {
        Self { weight: Weight::Bold, ..self }
    }

    /// With its middle at the place.
    #[must_use]
    pub fn middle(self) -> Self {
        Self { anchor: Anchor::Middle, ..self }
    }

    /// With its end at the place.
    #[must_use]
    pub fn end(self) -> Self {
        Self { anchor: Anchor::End, ..self }
    }

    /// In another ink.
    #[must_use]
    pub fn ink(self, ink: Ink) -> Self {
        Self { ink, ..self }
    }

    /// Reading upward.
    #[must_use]
    pub fn upward(self) -> Self {
        Self { turn: Turn::Upward, ..self }
    }
}

/// Characters that XML forbids or that have no shape.
fn unprintable(letter: char) -> bool {
    letter.is_control() || matches!(letter, '\u{FFFE}' | '\u{FFFF}')
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A line through points; a closed one ends where it began.
    Line {
        /// Its corners.
        points: Vec<Point>,
        /// Its stroke.
        stroke: Stroke,
    },
    /// A filled area.
    Area {
        /// Its corners.
        points: Vec<Point>,
        /// Printed in.
        ink: Ink,
    },
    /// Words.
    Text(Text),
}

/// Marks that belong together, with a name that a program reading the SVG can find.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Group {
    /// The `id` in the SVG; empty for none.
    pub id: String,
    /// `data-…` attributes of the SVG group: name without `data-`, value.
    pub data: Vec<(&'static str, String)>,
    /// What is drawn, first to last.
    pub marks: Vec<Mark>,
}

/// A picture before it is rendered.
#[derive(Debug, Clone, PartialEq)]
pub struct Scene {
    /// Points.
    pub width: f64,
    /// Points.
    pub height: f64,
    /// Short name, read out by screen readers.
    pub title: String,
    /// What the picture shows, in words, for who cannot see it.
    pub description: String,
    /// Groups, first to last.
    pub groups: Vec<Group>,
}

impl Scene {
    /// An empty sheet of this size in points.
    #[must_use]
    pub fn new(width: f64, height: f64, title: &str) -> Self {
        let (title, description) = (title.to_owned(), String::new());
        Self { width, height, title, description, groups: vec![Group::default()] }
    }

    /// Begins a named group: what is drawn from here on belongs to it.
    pub fn begin(&mut self, id: &str, data: Vec<(&'static str, String)>) {
        self.groups.push(Group { id: id.to_owned(), data, marks: Vec::new() });
    }

    /// Ends a named group.
    pub fn end(&mut self) {
        self.groups.push(Group::default());
    }

    /// Draws a mark on top of everything before it.
    pub fn push(&mut self, mark: Mark) {
        if self.groups.is_empty() {
            self.groups.push(Group::default());
        }
        if let Some(group) = self.groups.last_mut() {
            group.marks.push(mark);
        }
    }

    /// Every mark, first to last.
    pub fn marks(&self) -> impl Iterator<Item = &Mark> {
        self.groups.iter().flat_map(|group| &group.marks)
    }
}
