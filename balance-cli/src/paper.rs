//! The sheets that records, pictures and strips are printed on.

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, clap::ValueEnum)]
pub enum Paper {
    /// 210 mm × 297 mm (ISO 216)
    #[default]
    A4,
    /// 8½ in × 11 in (ANSI/ASME Y14.1, size A)
    Letter,
}

impl Paper {
    /// Width and height of the upright sheet, mm.
    #[must_use]
    pub fn upright(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }

    /// Width and height of the sheet turned on its side, mm.
    #[must_use]
    pub fn landscape(self) -> (f64, f64) {
        let (width, height) = self.upright();
        (height, width)
    }

    /// Its name in job files and in style sheets.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
        }
    }
}
