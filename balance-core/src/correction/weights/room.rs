//! The room a weight on the shaft takes round the tube, even if its width is not stated.

use super::problem::{Candidate, SAME_MASS, stock_candidates};
use crate::quantity::{Length, Mass};
use crate::shaft::{STEEL_KILOGRAMS_PER_CUBIC_METRE, WeldOn, WeldedBefore};

/// Grams in a millimetre of the strip that is assumed where the box states no width: 25 mm × 3 mm of steel
/// [common practice, no source].
const USUAL_STRIP: f64 = 25.0 * 3.0 * STEEL_KILOGRAMS_PER_CUBIC_METRE * 1e-6;

/// How the width of a weight on the shaft is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum WidthFrom {
    /// It is stated.
    Stated,
    /// Assumed: the piece of the box with the same mass, alone or with its bead.
    Box {
        /// Index into the stock.
        stock: usize,
    },
    /// Assumed: as long as a strip of this mass would be.
    Mass,
}

/// The room a weight on the shaft takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// Along the circumference.
    pub width: Length,
    /// Across the tube's wall, if it is known.
    pub thickness: Option<Length>,
    /// How the width is known.
    pub from: WidthFrom,
}

impl Room {
    /// The room of a weight on the shaft, given the box and the bead of one weld.
    ///
    /// # Method
    ///
    /// The stated width is used. Without one, the width of the piece in the box with the same mass (within
    /// 0.05 g); where no bead is stated, also that of a piece whose mass and bead together are that mass; of
    /// several, the widest. Without such a piece the weight counts as a strip with the same mass for each
    /// millimetre as the next lighter or the next heavier piece in the box, whichever makes it wider; without
    /// widths in the box, as a strip of 25 mm × 3 mm steel, 0.589 g for each millimetre [common practice, no
    /// source]. A width worked out from the mass is rounded up to whole millimetres.
    ///
    /// # Example
    ///
    /// ```
    /// use balance_core::correction::weights::{Room, WidthFrom};
    /// use balance_core::quantity::{Angle, Length, Mass};
    /// use balance_core::shaft::{PlaneId, StampedWeight, WeldOn, WeldedBefore};
    /// # fn main() -> Result<(), Box<dyn std::error::Error>> {
    /// let mut fifteen = StampedWeight::new(Mass::from_grams(15.0)?)?;
    /// fifteen.width = Some(Length::from_millimetres(30.0)?);
    /// let stock = [WeldOn::Stamped(fifteen)];
    /// let bead = Mass::from_grams(1.0)?;
    /// // 16 g without a bead of its own: the 15 g piece with its bead of 1 g.
    /// let old = WeldedBefore::new(PlaneId::new(0), Mass::from_grams(16.0)?, Angle::ZERO);
    /// let room = Room::of(&old, &stock, bead);
    /// assert_eq!((room.width.millimetres(), room.from), (30.0, WidthFrom::Box { stock: 0 }));
    /// // 20 g of the same strip: 40 mm.
    /// let old = WeldedBefore::new(PlaneId::new(0), Mass::from_grams(20.0)?, Angle::ZERO);
    /// let room = Room::of(&old, &stock, bead);
    /// assert_eq!((room.width.millimetres(), room.from), (40.0, WidthFrom::Mass));
    /// # Ok(())
    /// # }
    /// ```
    #[must_use]
    pub fn of(old: &WeldedBefore, stock: &[WeldOn], bead: Mass) -> Self {
        if let Some(width) = old.width {
            return Self { width, thickness: old.thickness, from: WidthFrom::Stated };
        }
        let pieces = pieces_with_width(stock);
        of_the_box(old, &pieces, bead).unwrap_or_else(|| by_mass(old, &pieces))
    }
}

/// A piece of the box, as far as its room matters.
#[derive(Clone, Copy)]
struct Sized {
    stock: usize,
    grams: f64,
    width: Length,
    thickness: Option<Length>,
}

fn pieces_with_width(stock: &[WeldOn]) -> Vec<Sized> {
    let of = |(index, item): (usize, &WeldOn)| {
        let sized = move |candidate: Candidate| {
            let piece = candidate.piece;
            let grams = piece.mass.grams();
            Some(Sized { stock: index, grams, width: piece.width?, thickness: piece.thickness })
        };
        stock_candidates(Mass::ZERO, index, item, 1).into_iter().filter_map(sized)
    };
    stock.iter().enumerate().flat_map(of).collect()
}

/// The widest piece of the box with this mass, alone or with the usual bead.
fn of_the_box(old: &WeldedBefore, pieces: &[Sized], bead: Mass) -> Option<Room> {
    let widest = |grams: f64| {
        let same = pieces.iter().filter(|piece| (piece.grams - grams).abs() <= SAME_MASS);
        same.max_by(|one, other| one.width.millimetres().total_cmp(&other.width.millimetres()))
    };
    let alone = widest(old.mass.grams());
    let with_bead = || (old.bead == Mass::ZERO).then(|| widest(old.mass.grams() - bead.grams())).flatten();
    let Sized { stock, width, thickness, .. } = *alone.or_else(with_bead)?;
    Some(Room { width, thickness: old.thickness.or(thickness), from: WidthFrom::Box { stock } })
}

/// As long as a strip of this mass.
fn by_mass(old: &WeldedBefore, pieces: &[Sized]) -> Room {
    let grams = old.mass.grams();
    let by_size = |one: &&Sized, other: &&Sized| one.grams.total_cmp(&other.grams);
    let lighter = pieces.iter().filter(|piece| piece.grams <= grams).max_by(by_size);
    let heavier = pieces.iter().filter(|piece| piece.grams >= grams).min_by(by_size);
    let lengths =
        lighter.into_iter().chain(heavier).map(|piece| piece.width.millimetres() / piece.grams * grams);
    let length = lengths.reduce(f64::max).unwrap_or(grams / USUAL_STRIP);
    // Slightly less, so that rounding errors do not add a millimetre; a kilometre is longer than the
    // circumference of any tube.
    let whole = (length - 1e-9).ceil().clamp(0.0, 1e6);
    Room {
        width: Length::from_millimetres(whole).expect("a length of at most a kilometre"),
        thickness: old.thickness,
        from: WidthFrom::Mass,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Angle;
    use crate::shaft::PlaneId;
    use crate::shaft::{Bar, BarMass, Section, StampedWeight};

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value).unwrap()
    }

    fn grams(value: f64) -> Mass {
        Mass::from_grams(value).unwrap()
    }

    fn stamped(mass: f64, width: f64) -> WeldOn {
        let mut weight = StampedWeight::new(grams(mass)).unwrap();
        weight.width = Some(mm(width));
        WeldOn::Stamped(weight)
    }

    fn room(mass: f64, bead: f64, stock: &[WeldOn]) -> (f64, WidthFrom) {
        let old = WeldedBefore {
            bead: grams(bead),
            ..WeldedBefore::new(PlaneId::new(0), grams(mass), Angle::ZERO)
        };
        let found = Room::of(&old, stock, grams(1.0));
        (found.width.millimetres(), found.from)
    }

    #[test]
    fn a_stated_width_wins() {
        let old = WeldedBefore {
            width: Some(mm(12.0)),
            ..WeldedBefore::new(PlaneId::new(0), grams(10.0), Angle::ZERO)
        };
        let found = Room::of(&old, &[stamped(10.0, 25.0)], Mass::ZERO);
        assert_eq!((found.width, found.from), (mm(12.0), WidthFrom::Stated));
    }

    #[test]
    fn the_piece_of_the_same_mass_is_taken_with_or_without_its_bead() {
        let stock = [stamped(10.0, 25.0), stamped(10.0, 28.0), stamped(15.0, 30.0)];
        assert_eq!(room(10.04, 1.0, &stock), (28.0, WidthFrom::Box { stock: 1 }));
        assert_eq!(room(16.0, 0.0, &stock), (30.0, WidthFrom::Box { stock: 2 }));
        // A weight with a bead of its own is 16 g without it: as heavy for its length as the 15 g, 2 mm each.
        assert_eq!(room(16.0, 1.0, &stock), (32.0, WidthFrom::Mass));
    }

    #[test]
    fn between_two_pieces_the_wider_answer_counts() {
        // 12 g: 30 mm of the 10 g strip (0.4 g/mm), 24 mm of the 15 g one (0.5 g/mm); by hand.
        assert_eq!(room(12.0, 1.0, &[stamped(10.0, 25.0), stamped(15.0, 30.0)]), (30.0, WidthFrom::Mass));
    }

    #[test]
    fn a_box_without_widths_counts_as_the_usual_strip() {
        // 25 × 3 mm of steel is 0.58875 g/mm (by hand): 10 g are 16.98 mm.
        let bare = WeldOn::Stamped(StampedWeight::new(grams(10.0)).unwrap());
        assert_eq!(room(10.0, 1.0, &[bare]), (17.0, WidthFrom::Mass));
        assert_eq!(room(10.0, 1.0, &[]), (17.0, WidthFrom::Mass));
    }

    #[test]
    fn a_bar_says_how_long_a_weight_is() {
        let section = Section { along_shaft: mm(20.0), thickness: mm(4.0) };
        let bar = Bar::new(section, mm(10.0), mm(60.0), BarMass::GramsPerMillimetre(0.5)).unwrap();
        assert_eq!(room(10.0, 1.0, &[WeldOn::Bar(bar)]), (20.0, WidthFrom::Box { stock: 0 }));
        assert_eq!(room(40.2, 1.0, &[WeldOn::Bar(bar)]), (81.0, WidthFrom::Mass));
    }
}
