//! The shipped font inside a PDF: how words become glyphs, and the objects that carry the font.

use std::collections::BTreeMap;

use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, Str};
use ttf_parser::{Face, GlyphId};

use crate::draw::letters::bytes;
use crate::draw::render::RenderError;
use crate::draw::scene::Weight;

/// The character collection of fonts whose codes are glyphs (ISO 32000-1, 9.7.5.2).
const IDENTITY: SystemInfo<'static> =
    SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };

/// One font and the letters used of it so far.
pub(super) struct Letters {
    face: Face<'static>,
    weight: Weight,
    used: BTreeMap<u16, char>,
}

/// The objects of one font.
#[derive(Clone, Copy)]
pub(super) struct References {
    pub font: Ref,
    glyphs: Ref,
    description: Ref,
    program: Ref,
    unicode: Ref,
}

impl References {
    /// The next five numbers.
    pub(super) fn from(next: &mut i32) -> Self {
        let mut take = || {
            *next += 1;
            Ref::new(*next - 1)
        };
        Self { font: take(), glyphs: take(), description: take(), program: take(), unicode: take() }
    }
}

/// Words as a PDF shows them.
pub(super) struct Shown {
    /// Two bytes a glyph.
    pub codes: Vec<u8>,
    /// In ems.
    pub width: f64,
    /// Whether the font has no shape for a letter: then the words themselves have to stand beside the shapes.
    pub lacking: bool,
}

impl Letters {
    pub(super) fn of(weight: Weight) -> Result<Self, RenderError> {
        let face = Face::parse(bytes(weight), 0);
        let face = face.map_err(|fault| RenderError::Drawing(format!("the font cannot be read: {fault}")))?;
        Ok(Self { face, weight, used: BTreeMap::new() })
    }

    pub(super) fn show(&mut self, words: &str) -> Shown {
        let (mut codes, mut units, mut lacking) = (Vec::with_capacity(2 * words.len()), 0.0, false);
        for letter in words.chars() {
            let glyph = self.face.glyph_index(letter);
            lacking |= glyph.is_none();
            let glyph = glyph.unwrap_or_default();
            if glyph != GlyphId::default() {
                self.used.entry(glyph.0).or_insert(letter);
            }
            codes.extend(glyph.0.to_be_bytes());
            units += f64::from(self.face.glyph_hor_advance(glyph).unwrap_or(0));
        }
        Shown { codes, width: units / f64::from(self.face.units_per_em()), lacking }
    }

    /// The font's objects: the whole font, the width of every glyph, and which letter each used glyph stands for.
    pub(super) fn embed(&self, file: &mut Pdf, references: References) {
        let name = Name(match self.weight {
            Weight::Plain => b"DejaVuSans",
            Weight::Bold => b"DejaVuSans-Bold",
        });
        file.type0_font(references.font)
            .base_font(name)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(references.glyphs)
            .to_unicode(references.unicode);
        let mut glyphs = file.cid_font(references.glyphs);
        glyphs.subtype(CidFontType::Type2).base_font(name).system_info(IDENTITY);
        glyphs.font_descriptor(references.description).cid_to_gid_map_predefined(Name(b"Identity"));
        let widths = (0..self.face.number_of_glyphs()).map(|glyph| {
            self.thousandths(f64::from(self.face.glyph_hor_advance(GlyphId(glyph)).unwrap_or(0)))
        });
        glyphs.widths().consecutive(0, widths);
        glyphs.finish();
        self.describe(file, name, references);
        let font = bytes(self.weight);
        let packed = compress_to_vec_zlib(font, 9);
        let mut program = file.stream(references.program, &packed);
        program.filter(Filter::FlateDecode).pair(Name(b"Length1"), font.len() as i32);
        program.finish();
        let mut unicode = UnicodeCmap::new(Name(b"Letters"), IDENTITY);
        self.used.iter().for_each(|(&glyph, &letter)| unicode.pair(glyph, letter));
        file.stream(references.unicode, unicode.finish().as_slice());
    }

    fn describe(&self, file: &mut Pdf, name: Name<'_>, references: References) {
        let box_of_all = self.face.global_bounding_box();
        let [left, low, right, high] =
            [box_of_all.x_min, box_of_all.y_min, box_of_all.x_max, box_of_all.y_max]
                .map(|side| self.thousandths(f64::from(side)));
        let high_letters = self.face.capital_height().unwrap_or_else(|| self.face.ascender());
        file.font_descriptor(references.description)
            .name(name)
            .flags(FontFlags::SYMBOLIC)
            .bbox(Rect::new(left, low, right, high))
            .italic_angle(0.0)
            .ascent(self.thousandths(f64::from(self.face.ascender())))
            .descent(self.thousandths(f64::from(self.face.descender())))
            .cap_height(self.thousandths(f64::from(high_letters)))
            .stem_v(if self.weight == Weight::Bold { 140.0 } else { 80.0 })
            .font_file2(references.program);
    }

    /// A PDF counts a font's lengths in thousandths of an em.
    fn thousandths(&self, units: f64) -> f32 {
        (units * 1000.0 / f64::from(self.face.units_per_em())) as f32
    }
}
