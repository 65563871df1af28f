//! Moving what is left from the correction planes to the tolerance planes.

use num_complex::Complex64;

use crate::caution::Caution;
use crate::linear::{CMatrix, RMatrix};
use crate::quantity::Length;
use crate::shaft::{Part, TolerancePlane};

use super::planes_of_part;

/// The map from unbalances in correction planes to equivalent unbalances in tolerance planes.
///
/// # Method
///
/// Statics: the equivalent unbalances have the same sum and the same moment. A piece with two tolerance planes takes
/// all its correction planes by u_A = Σ u_j·(z_B − z_j)/(z_B − z_A) and likewise u_B, also those outside the two
/// (negative levers). With one tolerance plane the sum is taken. With more, each unbalance goes by the lever rule to
/// its two neighbouring tolerance planes only, as a beam on several supports is not determined by statics. In a
/// shaft of parts an unbalance stays in its own part; at a plane that two parts share the vectors add.
///
/// # Source
///
/// Statics of parallel forces; ISO 21940-11:2016 on tolerance and correction planes [from memory].
///
/// # Example
///
/// ```
/// use balance_core::{Complex64, grade::Transfer, quantity::Length, shaft::TolerancePlane};
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// let plane = |name: &str, mm| Length::from_millimetres(mm).map(|position| TolerancePlane { name: name.into(), position });
/// let ends = [plane("front joint", 0.0)?, plane("rear joint", 1300.0)?];
/// let from = [Length::from_millimetres(100.0)?, Length::from_millimetres(1100.0)?];
/// let moved = Transfer::new(&from, &ends, &[])?
///     .moved(&[Complex64::from_polar(200.0, 10f64.to_radians()), Complex64::from_polar(150.0, 200f64.to_radians())]);
/// assert!((moved[0].norm() - 161.939).abs() < 5e-4);
/// # Ok(())
/// # }
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Transfer {
    matrix: RMatrix,
    cautions: Vec<Caution>,
}

/// Why nothing can be moved.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TransferFault {
    /// There is no plane to move to.
    #[error("there is no tolerance plane")]
    NoTolerancePlane,
    /// Two tolerance planes at one place.
    #[error("tolerance planes `{first}` and `{second}` are at one place")]
    SamePosition {
        /// Name of the first.
        first: String,
        /// Name of the second.
        second: String,
    },
    /// A part with correction planes but no tolerance plane.
    #[error("part `{part}` has correction planes but no tolerance plane")]
    PartWithoutPlane {
        /// The part's name.
        part: String,
    },
}

impl Transfer {
    /// From the positions of the correction planes, the tolerance planes (in any order) and the parts (none for a
    /// shaft of one piece). A correction plane outside every part belongs to the nearest.
    ///
    /// # Errors
    ///
    /// [`TransferFault`].
    pub fn new(from: &[Length], to: &[TolerancePlane], parts: &[Part]) -> Result<Self, TransferFault> {
        refuse_same_place(to)?;
        let pieces = pieces(to, parts)?;
        let mut matrix = RMatrix::zeros(to.len(), from.len());
        let mut carried = vec![0_usize; pieces.len()];
        for (column, position) in from.iter().enumerate() {
            let index = nearest(parts, position.millimetres());
            let piece = &pieces[index];
            if piece.is_empty() {
                return Err(TransferFault::PartWithoutPlane { part: parts[index].name.clone() });
            }
            carried[index] += 1;
            for (row, lever) in levers(piece, position.millimetres()) {
                matrix[(row, column)] = lever;
            }
        }
        let cautions = if carried.iter().any(|&planes| planes >= 3) {
            vec![Caution::BendingNotJudged]
        } else {
            Vec::new()
        };
        Ok(Self { matrix, cautions })
    }

    /// For each tolerance plane the levers of the correction planes: how much of an unbalance there acts here.
    #[must_use]
    pub fn levers(&self) -> Vec<Vec<f64>> {
        self.matrix.row_iter().map(|row| row.iter().copied().collect()).collect()
    }

    /// A row for each tolerance plane, a column for each correction plane.
    pub(super) fn matrix(&self) -> &RMatrix {
        &self.matrix
    }

    /// `bending-not-judged` where three or more correction planes sit on one piece.
    #[must_use]
    pub fn cautions(&self) -> &[Caution] {
        &self.cautions
    }

    /// T·u: the unbalances in the tolerance planes, in the unit of those in the correction planes. What is
    /// missing in `unbalances` counts as zero.
    #[must_use]
    pub fn moved(&self, unbalances: &[Complex64]) -> Vec<Complex64> {
        self.matrix
            .row_iter()
            .map(|row| row.iter().zip(unbalances).map(|(lever, unbalance)| unbalance * *lever).sum())
            .collect()
    }

    /// T·C·Tᴴ: the covariance in the tolerance planes from the full one in the correction planes; `None` if C has
    /// another size.
    pub(crate) fn covariance(&self, covariance: &CMatrix) -> Option<CMatrix> {
        let planes = self.matrix.ncols();
        if covariance.shape() != (planes, planes) {
            return None;
        }
        let complex = self.matrix.map(|lever| Complex64::new(lever, 0.0));
        Some(&complex * covariance * complex.adjoint())
    }

    /// T·M for a matrix with a row for each correction plane, such as the pseudo-inverse of the influence
    /// coefficients; `None` if M has another number of rows.
    pub(crate) fn times(&self, matrix: &CMatrix) -> Option<CMatrix> {
        (matrix.nrows() == self.matrix.ncols())
            .then(|| self.matrix.map(|lever| Complex64::new(lever, 0.0)) * matrix)
    }
}

/// A piece's tolerance planes: row and position, front to rear.
type Piece = Vec<(usize, f64)>;

fn refuse_same_place(planes: &[TolerancePlane]) -> Result<(), TransferFault> {
    if planes.is_empty() {
        return Err(TransferFault::NoTolerancePlane);
    }
    for (index, first) in planes.iter().enumerate() {
        if let Some(second) = planes[index + 1..].iter().find(|second| second.position == first.position) {
            return Err(TransferFault::SamePosition {
                first: first.name.clone(),
                second: second.name.clone(),
            });
        }
    }
    Ok(())
}

fn pieces(planes: &[TolerancePlane], parts: &[Part]) -> Result<Vec<Piece>, TransferFault> {
    let sorted = |rows: Vec<usize>| {
        let mut piece: Piece =
            rows.into_iter().map(|row| (row, planes[row].position.millimetres())).collect();
        piece.sort_by(|one, other| one.1.total_cmp(&other.1));
        piece
    };
    if parts.is_empty() {
        return Ok(vec![sorted((0..planes.len()).collect())]);
    }
    Ok(parts.iter().map(|part| sorted(planes_of_part(part, planes))).collect())
}

/// Index of the part that holds a position, or of the one nearest to it; 0 without parts.
pub(super) fn nearest(parts: &[Part], position: f64) -> usize {
    let off = |part: &Part| part.off(position);
    let best = parts.iter().enumerate().min_by(|one, other| off(one.1).total_cmp(&off(other.1)));
    best.map_or(0, |(index, _)| index)
}

/// Rows and levers for a unit unbalance at a position.
fn levers(piece: &Piece, position: f64) -> Vec<(usize, f64)> {
    let pair = piece
        .windows(2)
        .find(|pair| position <= pair[1].1)
        .or_else(|| piece.len().checked_sub(2).map(|start| &piece[start..]));
    match pair {
        Some([front, rear]) => {
            let between = rear.1 - front.1;
            vec![(front.0, (rear.1 - position) / between), (rear.0, (position - front.1) / between)]
        }
        _ => piece.iter().map(|only| (only.0, 1.0)).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::caution::Level;
    use crate::quantity::Mass;

    fn at(millimetres: f64) -> Length {
        Length::from_millimetres(millimetres).unwrap()
    }

    fn planes(positions: &[f64]) -> Vec<TolerancePlane> {
        positions.iter().map(|&mm| TolerancePlane { name: format!("at {mm}"), position: at(mm) }).collect()
    }

    fn part(name: &str, from: f64, to: f64) -> Part {
        Part { name: name.into(), mass: Mass::from_grams(1.0).unwrap(), from: at(from), to: at(to) }
    }

    fn real(values: &[f64]) -> Vec<Complex64> {
        values.iter().map(|&value| Complex64::new(value, 0.0)).collect()
    }

    // Recomputed with NumPy from sum and moment.
    #[test]
    fn two_planes_take_sum_and_moment() {
        let transfer = Transfer::new(&[at(100.0), at(1100.0)], &planes(&[0.0, 1300.0]), &[]).unwrap();
        let polar = |amount: f64, degrees: f64| Complex64::from_polar(amount, degrees.to_radians());
        let moved = transfer.moved(&[polar(200.0, 10.0), polar(150.0, 200.0)]);
        for (moved, amount, degrees) in [(moved[0], 161.939, 8.582), (moved[1], 111.804, 201.369)] {
            assert!((moved.norm() - amount).abs() < 5e-4, "{moved}");
            assert!((moved.arg().to_degrees().rem_euclid(360.0) - degrees).abs() < 5e-4, "{moved}");
        }
        assert!(transfer.cautions().is_empty());
    }

    // A bow of 500/−900/500 g·mm on three supports is not the 50/50 g·mm its sum would make at the two ends.
    #[test]
    fn several_supports_keep_what_bends_between_them() {
        let from = [at(100.0), at(600.0), at(1100.0)];
        let bow = real(&[500.0, -900.0, 500.0]);
        let kept = Transfer::new(&from, &planes(&[0.0, 600.0, 1200.0]), &[]).unwrap().moved(&bow);
        let wanted = [500.0 * 5.0 / 6.0, -900.0 + 2.0 * 500.0 / 6.0, 500.0 * 5.0 / 6.0];
        for (kept, wanted) in kept.iter().zip(wanted) {
            assert!((kept - wanted).norm() < 1e-9, "{kept}, wanted {wanted}");
        }
        let ends = Transfer::new(&from, &planes(&[0.0, 1200.0]), &[]).unwrap();
        assert!(ends.moved(&bow).iter().all(|end| (end - 50.0).norm() < 1e-9));
        assert_eq!(ends.cautions(), [Caution::BendingNotJudged]);
        assert_eq!(ends.cautions()[0].level(), Level::TakeCare);
    }

    #[test]
    fn at_a_shared_bearing_the_vectors_add() {
        let to = planes(&[0.0, 600.0, 1000.0]);
        let parts = [part("front half", 0.0, 600.0), part("rear half", 600.0, 1000.0)];
        let transfer = Transfer::new(&[at(300.0), at(800.0), at(1100.0)], &to, &parts).unwrap();
        // 100 halved; 100 halved; 40 overhung by a quarter of the rear half's length: −10 and 50.
        let moved = transfer.moved(&real(&[100.0, 100.0, 40.0]));
        for (moved, wanted) in moved.iter().zip([50.0, 90.0, 100.0]) {
            assert!((moved - wanted).norm() < 1e-12, "{moved}, wanted {wanted}");
        }
    }

    #[test]
    fn one_tolerance_plane_takes_the_sum() {
        let transfer = Transfer::new(&[at(10.0), at(90.0)], &planes(&[50.0]), &[]).unwrap();
        assert_eq!(transfer.moved(&real(&[3.0, 4.0])), real(&[7.0]));
    }

    // Statistics of linear maps; one source of error seen by both planes must not be counted as two.
    #[test]
    fn covariance_moves_in_full() {
        let transfer = Transfer::new(&[at(0.0), at(100.0)], &planes(&[50.0, 150.0]), &[]).unwrap();
        let cross = Complex64::new(0.0, 2.0);
        let own = Complex64::new(4.0, 0.0);
        let covariance = CMatrix::from_row_slice(2, 2, &[own, cross, cross.conj(), own]);
        let moved = transfer.covariance(&covariance).unwrap();
        // Rows of T: (1.5, 0.5) and (−0.5, 0.5); the imaginary cross term cancels in the variances.
        assert!((moved[(0, 0)] - 10.0).norm() < 1e-12 && (moved[(1, 1)] - 2.0).norm() < 1e-12, "{moved}");
        assert!((moved[(0, 1)] - Complex64::new(-2.0, 2.0)).norm() < 1e-12, "{moved}");
        assert_eq!(transfer.covariance(&CMatrix::zeros(3, 3)), None);
        assert_eq!(transfer.times(&CMatrix::zeros(3, 1)), None);
        assert_eq!(transfer.times(&CMatrix::zeros(2, 3)).unwrap().shape(), (2, 3));
    }

    #[test]
    fn faults_are_named() {
        let none = Transfer::new(&[at(0.0)], &[], &[]);
        assert_eq!(none, Err(TransferFault::NoTolerancePlane));
        let same = Transfer::new(&[at(0.0)], &planes(&[5.0, 5.0]), &[]);
        assert!(matches!(same, Err(TransferFault::SamePosition { .. })));
        let bare = Transfer::new(&[at(0.0)], &planes(&[500.0]), &[part("front", 0.0, 100.0)]);
        assert_eq!(bare, Err(TransferFault::PartWithoutPlane { part: "front".into() }));
    }
}
