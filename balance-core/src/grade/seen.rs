//! Whether the runs can see what is left at all: each rigid piece needs two separated planes that were tried.
//!
//! One plane spans one dimension: with one tried plane the unbalance at the other end reads as exactly zero,
//! whatever is there.

use crate::quantity::Length;
use crate::shaft::{CorrectionPlane, Part, PlaneId, TolerancePlane};

use super::planes_of_part;
use super::transfer::nearest;

/// Planes nearer to each other than this are one place.
const ONE_PLACE_MILLIMETRES: f64 = 1.0;

/// In how many planes a shaft is balanced.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum BalancedIn {
    /// Each rigid piece, in two planes or more.
    #[default]
    TwoPlanes,
    /// A disc (a flange, a coupling), in one plane on purpose: the whole limit holds there, and its couple is
    /// not judged.
    OnePlane,
}

/// What a verdict needs to see, and where.
#[derive(Debug, Clone, Copy)]
pub struct SeenQuestion<'a> {
    /// The correction planes.
    pub planes: &'a [CorrectionPlane],
    /// For each of them whether the runs show how the shaft responds to a mass there.
    pub told: &'a [bool],
    /// Where the limit holds.
    pub tolerance: &'a [TolerancePlane],
    /// The pieces of a shaft of several; empty for one piece.
    pub parts: &'a [Part],
    /// A disc needs one plane only.
    pub balanced_in: BalancedIn,
}

/// A place that was never tried.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum Untried {
    /// A correction plane of the job: a trial run with a mass there.
    Plane {
        /// The plane's name.
        name: String,
    },
    /// An end without a correction plane: one is needed near it.
    End {
        /// The tolerance plane's name.
        name: String,
    },
}

impl Untried {
    /// The place's name.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Plane { name } | Self::End { name } => name,
        }
    }
}

/// How much of one rigid piece the runs see.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeenPiece {
    /// The part's name; `None`: the whole shaft.
    pub part: Option<String>,
    /// Correction planes on it whose response the runs show.
    pub told: Vec<PlaneId>,
    /// Where a trial run is missing; empty: it is seen.
    pub untried: Vec<Untried>,
    /// The tolerance planes on it (indices).
    pub ends: Vec<usize>,
}

/// How much of each rigid piece the runs see.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seen {
    /// The whole shaft, or each of its parts.
    pub pieces: Vec<SeenPiece>,
}

impl Seen {
    /// Examines each piece.
    ///
    /// # Method
    ///
    /// A piece is seen if two correction planes on it, at least a millimetre apart, have known coefficients
    /// (a disc: one). At a bearing that two pieces share, a tried plane of the neighbour within a tenth of
    /// its length counts as well. Otherwise the untried planes of the job on that piece are named, the
    /// farthest from what was tried first; where there are none, the ends that are farthest from it.
    ///
    /// ```
    /// use balance_core::grade::{BalancedIn, Seen, SeenQuestion, Untried};
    /// use balance_core::quantity::Length;
    /// use balance_core::shaft::{CorrectionPlane, TolerancePlane};
    /// let at = |mm| Length::from_millimetres(mm).unwrap();
    /// let planes = [CorrectionPlane { position: Some(at(95.0)), ..CorrectionPlane::named("p") }];
    /// let ends = [("front joint", 0.0), ("rear joint", 1385.0)]
    ///     .map(|(name, mm)| TolerancePlane { name: name.into(), position: at(mm) });
    /// let question = SeenQuestion {
    ///     planes: &planes, told: &[true], tolerance: &ends, parts: &[], balanced_in: BalancedIn::TwoPlanes,
    /// };
    /// assert_eq!(Seen::of(&question).pieces[0].untried, [Untried::End { name: "rear joint".into() }]);
    /// let disc = SeenQuestion { balanced_in: BalancedIn::OnePlane, ..question };
    /// assert!(Seen::of(&disc).whole());
    /// ```
    #[must_use]
    pub fn of(question: &SeenQuestion<'_>) -> Self {
        let pieces = if question.parts.is_empty() {
            vec![Piece::whole(question).seen(question, None)]
        } else {
            let one = |(at, part): (usize, &Part)| {
                Piece::of_part(question, at, part).seen(question, Some(part.name.clone()))
            };
            question.parts.iter().enumerate().map(one).collect()
        };
        Self { pieces }
    }

    /// Whether every piece is seen.
    #[must_use]
    pub fn whole(&self) -> bool {
        self.pieces.iter().all(|piece| piece.untried.is_empty())
    }
}

/// The planes of one piece; tolerance planes as indices.
struct Piece {
    correction: Vec<PlaneId>,
    tolerance: Vec<usize>,
    /// Supports shared with a neighbour.
    shared: Vec<Shared>,
}

/// A support that a piece shares with a neighbour. A trial on the neighbour close to it acts on the bearing
/// as a mass of this piece would, so it counts as a place of this piece if the piece's own plane is
/// elsewhere.
struct Shared {
    /// Where this piece ends there, in mm.
    at: f64,
    /// How far from it is still beside it, in mm.
    reach: f64,
    /// The neighbour's planes beside it.
    planes: Vec<PlaneId>,
}

impl Shared {
    fn has_beside(&self, millimetres: f64) -> bool {
        (millimetres - self.at).abs() <= self.reach
    }

    /// The supports of a part that another part reaches as well.
    fn of(question: &SeenQuestion<'_>, at: usize) -> Vec<Self> {
        let own = &question.parts[at];
        let neighbours = question.parts.iter().enumerate().filter(|(other, _)| *other != at);
        let meeting = |(other, neighbour): (usize, &Part)| {
            let (front, rear) = own.ends();
            let end = [front, rear].into_iter().find(|end| neighbour.off(*end) <= own.reach_millimetres())?;
            let beside = |plane: &PlaneId| {
                let position = question.planes[*plane].position.map_or(f64::NAN, Length::millimetres);
                nearest(question.parts, position) == other && neighbour.near_end(position, end)
            };
            let planes = PlaneId::all(question.planes.len()).filter(beside).collect();
            Some(Self { at: end, reach: own.reach_millimetres(), planes })
        };
        neighbours.filter_map(meeting).collect()
    }
}

impl Piece {
    fn whole(question: &SeenQuestion<'_>) -> Self {
        Self {
            correction: PlaneId::all(question.planes.len()).collect(),
            tolerance: (0..question.tolerance.len()).collect(),
            shared: Vec::new(),
        }
    }

    fn of_part(question: &SeenQuestion<'_>, at: usize, part: &Part) -> Self {
        let on = |plane: &PlaneId| {
            question.planes[*plane]
                .position
                .is_some_and(|position| nearest(question.parts, position.millimetres()) == at)
        };
        Self {
            correction: PlaneId::all(question.planes.len()).filter(on).collect(),
            tolerance: planes_of_part(part, question.tolerance),
            shared: Shared::of(question, at),
        }
    }

    fn seen(&self, question: &SeenQuestion<'_>, part: Option<String>) -> SeenPiece {
        let is_told = |plane: &PlaneId| question.told.get(plane.index()).copied().unwrap_or(false);
        let told: Vec<PlaneId> = self.correction.iter().copied().filter(is_told).collect();
        let mut places = places(told.iter().map(|&plane| question.planes[plane].position));
        if let [own] = places[..] {
            let tried_beside =
                |support: &Shared| !support.has_beside(own) && support.planes.iter().any(is_told);
            places.extend(self.shared.iter().find(|support| tried_beside(support)).map(|support| support.at));
        }
        let needed = match question.balanced_in {
            BalancedIn::TwoPlanes => 2,
            BalancedIn::OnePlane => 1,
        };
        let missing = needed - places.len().min(needed);
        SeenPiece {
            part,
            untried: self.untried(question, &places, missing),
            told,
            ends: self.tolerance.clone(),
        }
    }

    /// This many places to try, untried planes of the job before ends without a plane.
    fn untried(&self, question: &SeenQuestion<'_>, tried: &[f64], missing: usize) -> Vec<Untried> {
        let is_told = |plane: PlaneId| question.told.get(plane.index()).copied().unwrap_or(false);
        let planes = self.correction.iter().filter(|&&plane| !is_told(plane)).map(|&plane| {
            let own = &question.planes[plane];
            (position(own.position), Untried::Plane { name: own.name.clone() })
        });
        let ends = self.tolerance.iter().map(|&end| {
            let own = &question.tolerance[end];
            (own.position.millimetres(), Untried::End { name: own.name.clone() })
        });
        let mut tried = tried.to_vec();
        let mut found = Vec::new();
        let mut left: [Vec<(f64, Untried)>; 2] = [planes.collect(), ends.collect()];
        for candidates in &mut left {
            while found.len() < missing
                && let Some(at) = farthest(candidates, &tried)
            {
                let (position, place) = candidates.swap_remove(at);
                tried.push(position);
                found.push(place);
            }
        }
        found
    }
}

fn position(of: Option<Length>) -> f64 {
    of.map_or(0.0, Length::millimetres)
}

/// Positions that are really apart.
fn places(positions: impl Iterator<Item = Option<Length>>) -> Vec<f64> {
    let mut found: Vec<f64> = Vec::new();
    for position in positions.map(position) {
        if found.iter().all(|other| (other - position).abs() >= ONE_PLACE_MILLIMETRES) {
            found.push(position);
        }
    }
    found
}

/// The candidate farthest from everything tried, if it is a place of its own; the first one if nothing was tried.
fn farthest(candidates: &[(f64, Untried)], tried: &[f64]) -> Option<usize> {
    let distance =
        |position: f64| tried.iter().map(|own| (own - position).abs()).fold(f64::INFINITY, f64::min);
    let apart = |at: &usize| distance(candidates[*at].0) >= ONE_PLACE_MILLIMETRES;
    // The first of equals, so that the front is named before the rear.
    (0..candidates.len())
        .rev()
        .filter(apart)
        .max_by(|&one, &other| distance(candidates[one].0).total_cmp(&distance(candidates[other].0)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Mass;

    fn at(millimetres: f64) -> Length {
        Length::from_millimetres(millimetres).unwrap()
    }

    fn planes(positions: &[(&str, f64)]) -> Vec<CorrectionPlane> {
        let plane = |&(name, mm): &(&str, f64)| CorrectionPlane {
            position: Some(at(mm)),
            ..CorrectionPlane::named(name)
        };
        positions.iter().map(plane).collect()
    }

    fn ends(positions: &[(&str, f64)]) -> Vec<TolerancePlane> {
        positions.iter().map(|&(name, mm)| TolerancePlane { name: name.into(), position: at(mm) }).collect()
    }

    fn untried(
        planes: &[CorrectionPlane],
        told: &[bool],
        ends: &[TolerancePlane],
        parts: &[Part],
    ) -> Vec<String> {
        let question =
            SeenQuestion { planes, told, tolerance: ends, parts, balanced_in: BalancedIn::TwoPlanes };
        let seen = Seen::of(&question);
        seen.pieces.iter().flat_map(|piece| &piece.untried).map(|place| place.name().to_owned()).collect()
    }

    #[test]
    fn two_separated_planes_see_a_shaft() {
        let ends = ends(&[("front joint", 0.0), ("rear joint", 1385.0)]);
        assert!(untried(&planes(&[("p", 95.0), ("q", 1290.0)]), &[true; 2], &ends, &[]).is_empty());
        let same = planes(&[("p", 95.0), ("q", 95.2)]);
        assert_eq!(untried(&same, &[true; 2], &ends, &[]), ["rear joint"]);
    }

    #[test]
    fn an_untried_plane_of_the_job_is_named_before_an_end() {
        let ends = ends(&[("front joint", 0.0), ("rear joint", 1385.0)]);
        let planes = planes(&[("p", 95.0), ("m", 600.0), ("q", 1290.0)]);
        assert_eq!(untried(&planes, &[true, false, false], &ends, &[]), ["q"]);
        assert_eq!(untried(&planes, &[false, false, false], &ends, &[]), ["p", "q"]);
        assert_eq!(untried(&planes[2..], &[true], &ends, &[]), ["front joint"]);
    }

    #[test]
    fn every_piece_needs_its_own_two_planes() {
        let ends = ends(&[("front", 0.0), ("steady", 610.0), ("rear", 1385.0)]);
        let part = |name: &str, from: f64, to: f64| Part {
            name: name.into(),
            mass: Mass::from_grams(1.0).unwrap(),
            from: at(from),
            to: at(to),
        };
        let parts = [part("f", 0.0, 610.0), part("r", 610.0, 1385.0)];
        let front_only = planes(&[("p", 95.0), ("q", 540.0)]);
        assert_eq!(untried(&front_only, &[true; 2], &ends, &parts), ["steady", "rear"]);
        let three = planes(&[("p", 95.0), ("q", 540.0), ("s", 1290.0)]);
        assert_eq!(untried(&three, &[true; 3], &ends, &parts), ["steady"]);
        // Beside the bearing a mass on either piece acts on it.
        let beside = planes(&[("p", 95.0), ("q", 560.0), ("s", 1290.0)]);
        assert!(untried(&beside, &[true; 3], &ends, &parts).is_empty());
        assert_eq!(untried(&beside, &[true, false, true], &ends, &parts), ["q", "steady"]);
        let crowded = planes(&[("p", 95.0), ("q", 560.0), ("s", 650.0)]);
        assert_eq!(untried(&crowded, &[true; 3], &ends, &parts), ["rear"]);
        let four = planes(&[("p", 95.0), ("q", 540.0), ("r", 700.0), ("s", 1290.0)]);
        assert!(untried(&four, &[true; 4], &ends, &parts).is_empty());
    }
}
