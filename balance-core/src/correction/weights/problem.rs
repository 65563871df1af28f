//! One plane as a row and its question: what pieces there are, what is in the way, what is missing.

use num_complex::Complex64;

use super::choose::{Choice, Question, by_number};
use super::effect::{Piece, RowGeometry, effective_unbalance};
use super::row::{Obstacle, Row, SizeWanted, direction};
use super::task::{Grid, WeightTask};
use crate::quantity::{Length, Mass};
use crate::shaft::{PlaneId, WeldOn};

/// A third weight in a plane is tried only where the criterion charges for misplacing it at least this much (radians):
/// otherwise two weights leave too little for a third to matter, and trying every three would take seconds.
const LEAST_PLACE_ERROR_FOR_THREE: f64 = 0.01;

/// Where a weight of the answer comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Source {
    /// A ready weight: index into the stock.
    Box {
        /// Index into the stock.
        stock: usize,
    },
    /// Cut from a bar, this long.
    Bar {
        /// Index into the stock.
        stock: usize,
        /// Length to cut, along the circumference.
        cut: Length,
    },
    /// Taken off the shaft and welded on again elsewhere.
    Turned {
        /// Index into the weights that were on the shaft.
        welded: usize,
    },
    /// Stated by the user.
    Given,
}

/// A piece that could be used in a plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Candidate {
    pub source: Source,
    pub piece: Piece,
    /// The width kept free for it; it differs from the piece's own where that is not stated and a width is
    /// assumed.
    pub room: Option<Length>,
    pub count: u32,
}

/// How many of each stock entry are still in the box; `u32::MAX`: no limit.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) struct BoxCounts(Vec<u32>);

impl BoxCounts {
    pub(super) fn of(stock: &[WeldOn]) -> Self {
        let count = |item: &WeldOn| match item {
            WeldOn::Stamped(weight) => weight.count.unwrap_or(u32::MAX),
            WeldOn::Bar(_) => u32::MAX,
        };
        Self(stock.iter().map(count).collect())
    }

    /// The same, where counts that this many pieces cannot exhaust are taken as no limit.
    pub(super) fn for_at_most(self, pieces: usize) -> Self {
        let open = |left: u32| if left as usize >= pieces { u32::MAX } else { left };
        Self(self.0.into_iter().map(open).collect())
    }

    pub(super) fn unlimited(stock: &[WeldOn]) -> Self {
        Self(vec![u32::MAX; stock.len()])
    }

    /// Takes one out, for a source that is a ready weight.
    pub(super) fn take(&mut self, source: Source) {
        if let Source::Box { stock } = source
            && let Some(left) = self.0.get_mut(stock).filter(|left| **left != u32::MAX)
        {
            *left = left.saturating_sub(1);
        }
    }

    fn left(&self, stock: usize) -> u32 {
        self.0.get(stock).copied().unwrap_or(0)
    }
}

/// What stands in the way in a plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum InTheWay {
    /// No-weld sectors and the weights that stay.
    Everything,
    /// Nothing: to see what a free tube would allow.
    Nothing,
}

/// One plane's question, with the weights that come off.
#[derive(Debug, Clone, Copy)]
pub(super) struct PlaneProblem<'a> {
    pub task: &'a WeightTask,
    pub plane: PlaneId,
    /// Indices into the weights on the shaft that come off.
    pub off: &'a [usize],
    pub counts: &'a BoxCounts,
    pub in_the_way: InTheWay,
    /// At most so many weights to weld.
    pub most: usize,
    /// What is enough, g·mm; `None`: only the best will do.
    pub enough: Option<f64>,
}

/// A weight of the answer before its details are added.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fitted {
    pub source: Source,
    pub piece: Piece,
    pub degrees: f64,
}

/// The answer for one plane and one set of weights that come off.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PlaneChoice {
    pub off: Vec<usize>,
    pub fitted: Vec<Fitted>,
    /// Still to add, g·mm.
    pub error: Complex64,
    /// The criterion, g·mm.
    pub cost: f64,
}

impl<'a> PlaneProblem<'a> {
    /// A plane as it is, with as many new weights as allowed beside those that stay.
    pub(super) fn new(
        task: &'a WeightTask,
        plane: PlaneId,
        off: &'a [usize],
        counts: &'a BoxCounts,
        enough: Option<f64>,
    ) -> Self {
        let most = task.most_new(plane, off);
        Self { task, plane, off, counts, in_the_way: InTheWay::Everything, most, enough }
    }
}

impl PlaneProblem<'_> {
    pub(super) fn geometry(&self) -> RowGeometry {
        self.task.geometry(self.plane)
    }

    /// The fewest weights whose best choice leaves no more than `enough`, otherwise the best of at most `most`.
    pub(super) fn solve(&self) -> PlaneChoice {
        self.solve_by_number().pop().expect("there is always the choice of none")
    }

    /// The best choice of none, of at most one, of at most two … weights, up to the first that leaves no more than
    /// `enough`.
    pub(super) fn solve_by_number(&self) -> Vec<PlaneChoice> {
        let candidates = self.candidates();
        let wanted: Vec<SizeWanted> =
            candidates.iter().enumerate().map(|(tag, candidate)| self.size_of(candidate, tag)).collect();
        let row = Row::new(self.places(), &self.obstacles(), self.gap_degrees(), &wanted);
        let mut found = Vec::new();
        for choice in by_number(&row, self.question()) {
            found.push(self.dress(&choice, &row, &candidates));
            if self.enough.is_some_and(|enough| choice.error.norm() <= enough) {
                break;
            }
        }
        found
    }

    fn size_of(&self, candidate: &Candidate, tag: usize) -> SizeWanted {
        let geometry = self.geometry();
        SizeWanted {
            unbalance: effective_unbalance(&candidate.piece, &geometry),
            half_width: geometry.half_width_degrees(candidate.room),
            count: candidate.count,
            tag,
        }
    }

    fn question(&self) -> Question {
        let place_variance = self.task.place_variance(self.plane);
        let target = self.missing();
        let fixed_cost = self.removed().map(|gone| place_variance * gone.norm_sqr()).sum();
        let robust_enough = place_variance >= LEAST_PLACE_ERROR_FOR_THREE * LEAST_PLACE_ERROR_FOR_THREE;
        let most = if robust_enough { self.most } else { self.most.min(2) };
        Question { target, fixed_cost, place_variance, most }
    }

    /// The unbalance that new weights have to make, g·mm: what is missing, plus that of the weights that come
    /// off.
    pub(super) fn missing(&self) -> Complex64 {
        self.task.planes[self.plane].target.vector() + self.removed().sum::<Complex64>()
    }

    fn removed(&self) -> impl Iterator<Item = Complex64> {
        self.off.iter().map(|index| self.old_unbalance(*index))
    }

    /// The effect of a weight on the shaft now.
    fn old_unbalance(&self, index: usize) -> Complex64 {
        let amount = effective_unbalance(&self.task.old_piece(index), &self.geometry());
        self.task.welded_before[index].angle.unit_vector() * amount
    }

    fn dress(&self, choice: &Choice, row: &Row, candidates: &[Candidate]) -> PlaneChoice {
        let fitted = choice.picks.iter().map(|pick| {
            let Candidate { source, piece, .. } = candidates[row.sizes()[pick.size].tag];
            Fitted { source, piece, degrees: row.degrees(pick.place) }
        });
        let fitted = fitted.collect();
        PlaneChoice { off: self.off.to_vec(), fitted, error: choice.error, cost: choice.cost.sqrt() }
    }

    /// Weights that come off first, then the box, then the bars.
    fn candidates(&self) -> Vec<Candidate> {
        let turned = self.off.iter().map(|index| Candidate {
            source: Source::Turned { welded: *index },
            piece: Piece { bead: self.task.weld.bead_mass, ..self.task.old_piece(*index) },
            room: Some(self.task.old_room(*index).width),
            count: 1,
        });
        let stock = self.task.stock.iter().enumerate().flat_map(|(stock, item)| {
            stock_candidates(self.task.weld.bead_mass, stock, item, self.counts.left(stock))
        });
        turned.chain(stock).filter(|candidate| candidate.count > 0).collect()
    }

    /// The possible middles of a weight, in degrees.
    fn places(&self) -> Vec<f64> {
        let fixed = self.task.fixed_places.iter().filter(|place| place.plane == self.plane);
        let fixed: Vec<f64> = fixed.map(|place| place.angle.degrees_in_turn()).collect();
        if !fixed.is_empty() {
            return fixed;
        }
        match (self.task.settings.grid, self.geometry().surface_radius()) {
            (Grid::WholeMillimetres, Some(radius)) => {
                let last = (std::f64::consts::TAU * radius).ceil() as u32;
                let degrees = |millimetre| (f64::from(millimetre) / radius).to_degrees();
                (0..last).map(degrees).filter(|at| *at < 360.0).collect()
            }
            _ => (0..360).map(f64::from).collect(),
        }
    }

    pub(super) fn gap_degrees(&self) -> f64 {
        let gap = self.task.weld.gap.millimetres();
        self.geometry().surface_radius().map_or(0.0, |radius| (gap / radius).to_degrees())
    }

    /// What new pieces have to stay clear of.
    fn obstacles(&self) -> Vec<Obstacle> {
        if self.in_the_way == InTheWay::Nothing {
            return Vec::new();
        }
        let sectors = self.task.no_weld.iter().filter(|sector| sector.plane == self.plane);
        let sectors = sectors.map(|no_weld| sector_obstacle(&no_weld.sector));
        let stay = self.task.staying(self.plane, self.off).map(|index| self.old_obstacle(index));
        sectors.chain(stay).collect()
    }

    /// The room an old weight takes, stated or assumed.
    pub(super) fn old_obstacle(&self, index: usize) -> Obstacle {
        let half_width = self.geometry().half_width_degrees(Some(self.task.old_room(index).width));
        let middle = self.task.welded_before[index].angle.degrees_in_turn();
        Obstacle { middle, half_width: half_width + self.gap_degrees() }
    }
}

/// A no-weld sector as an obstacle; one all round leaves no place.
pub(super) fn sector_obstacle(sector: &crate::shaft::Sector) -> Obstacle {
    let half = sector.width_degrees() / 2.0;
    let half_width = if sector.width_degrees() >= 360.0 { f64::INFINITY } else { half };
    Obstacle { middle: sector.from_degrees() + half, half_width }
}

/// What one entry of the stock offers.
pub(super) fn stock_candidates(bead: Mass, stock: usize, item: &WeldOn, count: u32) -> Vec<Candidate> {
    match item {
        WeldOn::Stamped(weight) => {
            let (width, thickness) = (weight.width, weight.thickness);
            let piece = Piece { mass: weight.mass(), bead, width, thickness, radius: None };
            vec![Candidate { source: Source::Box { stock }, piece, room: width, count }]
        }
        WeldOn::Bar(bar) => {
            let cut = |cut: Length| Candidate {
                source: Source::Bar { stock, cut },
                piece: Piece {
                    mass: bar.mass_of(cut),
                    bead,
                    width: Some(cut),
                    thickness: Some(bar.section().thickness),
                    radius: None,
                },
                room: Some(cut),
                count,
            };
            bar.lengths().map(cut).collect()
        }
    }
}

/// People write masses to a tenth of a gram: within half of that, a mass counts as one of the stock.
pub(super) const SAME_MASS: f64 = 0.05;

/// The piece of the stock with this mass, if there is one, with this bead; otherwise a point of this mass.
pub(super) fn piece_of_mass(stock: &[WeldOn], mass: Mass, bead: Mass) -> Piece {
    let off = |candidate: &Candidate| (candidate.piece.mass.grams() - mass.grams()).abs();
    stock
        .iter()
        .enumerate()
        .flat_map(|(index, item)| stock_candidates(bead, index, item, 1))
        .filter(|candidate| off(candidate) <= SAME_MASS)
        .min_by(|a, b| off(a).total_cmp(&off(b)))
        .map_or(Piece { bead, ..Piece::point(mass) }, |candidate| Piece { mass, ..candidate.piece })
}

/// The summed effect of weights in a plane.
pub(super) fn sum_of(fitted: &[Fitted], geometry: &RowGeometry) -> Complex64 {
    fitted.iter().map(|weight| direction(weight.degrees) * effective_unbalance(&weight.piece, geometry)).sum()
}
