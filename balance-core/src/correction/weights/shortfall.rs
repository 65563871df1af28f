//! Why a plane falls short, and what would help: found by asking the same question with one thing changed.

use super::effect::{Piece, effective_unbalance};
use super::problem::{BoxCounts, InTheWay, PlaneChoice, PlaneProblem, sector_obstacle, stock_candidates};
use super::take_off::{Worked, best_by_work};
use super::task::WeightTask;
use crate::quantity::{Mass, UnbalanceAmount};
use crate::shaft::{PlaneId, Weld};

/// What keeps the weights from doing better.
#[derive(Debug, Clone, PartialEq)]
pub enum Cause {
    /// There is nothing to weld on.
    EmptyBox,
    /// Even the largest pieces together are not enough.
    PiecesTooSmall {
        /// The most they can make together.
        reach: UnbalanceAmount,
    },
    /// The pieces are too big, or their sizes too far apart.
    PiecesTooCoarse,
    /// Sectors or weights that stay are in the way.
    NoRoom {
        /// Reasons of the no-weld sectors that a free choice would use.
        sectors: Vec<String>,
        /// Weights on the shaft that a free choice would need the room of: indices into the weights on the shaft.
        welded: Vec<usize>,
    },
    /// The box has too few of the weights it would take.
    BoxRunsOut,
    /// One weight more would be enough.
    TooFewWeights,
    /// The most weights allowed in a plane are already on and stay.
    PlaneFull {
        /// Indices into the weights on the shaft.
        welded: Vec<usize>,
    },
}

/// What would help.
#[derive(Debug, Clone, PartialEq)]
pub enum Help {
    /// A weight of at least this mass (without bead).
    BiggerWeight {
        /// The mass.
        at_least: Mass,
    },
    /// A smaller weight, about this mass, or a bar to cut from.
    SmallerWeight {
        /// The mass.
        about: Mass,
    },
    /// Room in these sectors.
    FreeSector {
        /// Their reasons.
        reasons: Vec<String>,
    },
    /// Weights on the shaft that would have to give way: indices into the weights on the shaft.
    MoveWelded {
        /// The indices.
        welded: Vec<usize>,
    },
    /// More of these weights.
    MoreOf {
        /// Their masses.
        masses: Vec<Mass>,
    },
    /// More weights in the plane.
    MoreWeights {
        /// How many.
        most_per_plane: usize,
    },
    /// Straighten the shaft, or find what is wrong with it, before balancing.
    StraightenFirst,
}

/// How far a plane falls short, why, and what would help.
#[derive(Debug, Clone, PartialEq)]
pub struct Shortfall {
    /// What the best choice leaves.
    pub left: UnbalanceAmount,
    /// What it should have left at most.
    pub limit: UnbalanceAmount,
    /// Why.
    pub causes: Vec<Cause>,
    /// What would help.
    pub helps: Vec<Help>,
}

/// Looks for the reasons, if the plane falls short.
pub(super) fn shortfall(
    task: &WeightTask,
    plane: PlaneId,
    choice: &PlaneChoice,
    counts: &BoxCounts,
) -> Option<Shortfall> {
    let limit = task.short_limit(plane);
    let left = choice.error.norm();
    if left <= limit {
        return None;
    }
    let asked = PlaneProblem::new(task, plane, &choice.off, counts, Some(limit));
    let mut findings = Findings { limit, asked, causes: Vec::new(), helps: Vec::new() };
    findings.look(choice);
    let Findings { causes, helps, .. } = findings;
    let amount = |value| UnbalanceAmount::from_gram_millimetres(value).unwrap_or(UnbalanceAmount::ZERO);
    Some(Shortfall { left: amount(left), limit: amount(limit), causes, helps })
}

struct Findings<'a> {
    limit: f64,
    asked: PlaneProblem<'a>,
    causes: Vec<Cause>,
    helps: Vec<Help>,
}

impl Findings<'_> {
    fn look(&mut self, choice: &PlaneChoice) {
        if self.asked.task.stock.is_empty() {
            return self.causes.push(Cause::EmptyBox);
        }
        if self.asked.most == 0 {
            return self.look_at_full_plane();
        }
        self.look_at_sizes(choice);
        self.look_at_room();
        self.look_at_counts();
        self.look_at_number();
        if self.causes.is_empty() {
            self.causes.push(Cause::PiecesTooCoarse);
            self.helps.push(Help::SmallerWeight { about: self.mass_for(choice.error.norm()) });
        }
    }

    /// The mass without bead that makes this unbalance as a point at the plane's radius.
    fn mass_for(&self, unbalance: f64) -> Mass {
        let geometry = self.asked.geometry();
        let unit = Piece::point(Mass::from_grams(1.0).unwrap_or(Mass::ZERO));
        let grams =
            unbalance / effective_unbalance(&unit, &geometry) - self.asked.task.weld.bead_mass.grams();
        Mass::from_grams(grams.max(0.0)).unwrap_or(Mass::ZERO)
    }

    /// Whether the pieces are too small together, or each of them too big.
    fn look_at_sizes(&mut self, choice: &PlaneChoice) {
        let task = self.asked.task;
        let geometry = self.asked.geometry();
        let every = task.stock.iter().enumerate();
        let pieces = every.flat_map(|(stock, item)| stock_candidates(task.weld.bead_mass, stock, item, 1));
        let turned = self.asked.off.iter().map(|index| task.old_piece(*index));
        let pieces = pieces.map(|candidate| candidate.piece).chain(turned);
        let mut sizes: Vec<f64> = pieces.map(|piece| effective_unbalance(&piece, &geometry)).collect();
        sizes.sort_by(f64::total_cmp);
        let (Some(smallest), Some(largest)) = (sizes.first(), sizes.last()) else { return };
        let wanted = self.asked.missing().norm();
        let reach = self.asked.most as f64 * largest;
        if wanted - reach > self.limit {
            let reach_amount = UnbalanceAmount::from_gram_millimetres(reach).unwrap_or(UnbalanceAmount::ZERO);
            self.causes.push(Cause::PiecesTooSmall { reach: reach_amount });
            let at_least = self.mass_for(wanted / self.asked.most as f64);
            self.helps.extend([Help::BiggerWeight { at_least }, Help::StraightenFirst]);
        } else if choice.fitted.is_empty() && *smallest > wanted {
            self.causes.push(Cause::PiecesTooCoarse);
            self.helps.push(Help::SmallerWeight { about: self.mass_for(wanted) });
        }
    }

    /// Whether a free tube would be enough.
    fn look_at_room(&mut self) {
        let free = PlaneProblem { in_the_way: InTheWay::Nothing, ..self.asked }.solve();
        if free.error.norm() > self.limit {
            return;
        }
        let task = self.asked.task;
        let geometry = self.asked.geometry();
        let hit = |obstacle: super::row::Obstacle| {
            let meets = |weight: &super::problem::Fitted| {
                !obstacle.leaves(weight.degrees, geometry.half_width_degrees(weight.piece.width))
            };
            free.fitted.iter().any(meets)
        };
        let sectors = task.no_weld.iter().filter(|no_weld| no_weld.plane == self.asked.plane);
        let sectors: Vec<String> = sectors
            .filter(|no_weld| hit(sector_obstacle(&no_weld.sector)))
            .map(|no_weld| no_weld.reason.clone())
            .collect();
        let staying = task.staying(self.asked.plane, self.asked.off);
        let welded: Vec<usize> = staying.filter(|index| hit(self.asked.old_obstacle(*index))).collect();
        self.note_room(sectors, welded);
    }

    fn note_room(&mut self, sectors: Vec<String>, welded: Vec<usize>) {
        if sectors.is_empty() && welded.is_empty() {
            return;
        }
        if !sectors.is_empty() {
            self.helps.push(Help::FreeSector { reasons: sectors.clone() });
        }
        if !welded.is_empty() {
            self.helps.push(Help::MoveWelded { welded: welded.clone() });
        }
        self.causes.push(Cause::NoRoom { sectors, welded });
    }

    /// Whether a full box would be enough.
    fn look_at_counts(&mut self) {
        let full = BoxCounts::unlimited(&self.asked.task.stock);
        if full == *self.asked.counts {
            return;
        }
        let choice = PlaneProblem { counts: &full, ..self.asked }.solve();
        if choice.error.norm() <= self.limit {
            self.causes.push(Cause::BoxRunsOut);
            let masses = choice.fitted.iter().map(|weight| weight.piece.mass).collect();
            self.helps.push(Help::MoreOf { masses });
        }
    }

    /// Whether one weight more in the plane would be enough.
    fn look_at_number(&mut self) {
        let PlaneProblem { task, plane, counts, .. } = self.asked;
        let staying = task.staying(plane, self.asked.off).count();
        let most_per_plane = task.weld.most_per_plane().max(staying) + 1;
        let Ok(weld) = Weld::new(task.weld.bead_mass, most_per_plane, task.weld.gap) else { return };
        let roomier = WeightTask { weld, ..task.clone() };
        let would_do = |known: &Worked| known.choice.error.norm() <= self.limit;
        if best_by_work(&roomier, plane, counts).iter().any(would_do) {
            self.causes.push(Cause::TooFewWeights);
            self.helps.push(Help::MoreWeights { most_per_plane });
        }
    }

    /// The most weights allowed are on: what would have to come off, or to be allowed.
    fn look_at_full_plane(&mut self) {
        let welded: Vec<usize> = self.asked.task.staying(self.asked.plane, self.asked.off).collect();
        self.causes.push(Cause::PlaneFull { welded: welded.clone() });
        self.helps.push(Help::MoveWelded { welded });
        self.look_at_number();
    }
}

#[cfg(test)]
mod tests {
    use super::super::plan::plan_weights;
    use super::super::task::{PlaneTask, WeightTask};
    use super::*;
    use crate::quantity::{Angle, Length, Unbalance};
    use crate::shaft::{
        CorrectionPlane, FixedPlace, HowHeld, NoWeld, Sector, StampedWeight, WeldOn, WeldedBefore,
    };

    fn degrees(value: f64) -> Angle {
        Angle::from_degrees(value).unwrap()
    }

    fn grams(value: f64) -> Mass {
        Mass::from_grams(value).unwrap()
    }

    /// So many grams missing at 90 degrees on a 50 mm radius, 100 g.mm permitted, a box of one size.
    fn missing(wanted: f64, in_the_box: f64, count: Option<u32>) -> WeightTask {
        let radius = Length::from_millimetres(50.0).ok();
        let plane = CorrectionPlane { radius, ..CorrectionPlane::named("front") };
        let amount = UnbalanceAmount::from_gram_millimetres(wanted * 50.0).unwrap();
        let permissible = UnbalanceAmount::from_gram_millimetres(100.0).ok();
        let target = Unbalance::at(amount, degrees(90.0));
        let mut weight = StampedWeight::new(grams(in_the_box)).unwrap();
        (weight.count, weight.width) = (count, Length::from_millimetres(20.0).ok());
        WeightTask::new(vec![PlaneTask { plane, target, permissible }], vec![WeldOn::Stamped(weight)])
    }

    fn short(task: &WeightTask) -> Shortfall {
        plan_weights(task).unwrap().planes.remove(0).shortfall.unwrap()
    }

    #[test]
    fn small_pieces_ask_for_bigger_ones_and_straightening() {
        let found = short(&missing(60.0, 10.0, None));
        assert!(matches!(found.causes[..], [Cause::PiecesTooSmall { .. }]), "{found:?}");
        // 60 g in two weights: 30 g each, as points.
        assert!(found.helps.iter().any(
            |help| matches!(help, Help::BiggerWeight { at_least } if (at_least.grams() - 30.0).abs() < 1e-9)
        ));
        assert!(found.helps.contains(&Help::StraightenFirst));
    }

    #[test]
    fn a_piece_too_big_asks_for_a_smaller_one() {
        // At one fixed place: two 10 g weights spread apart would make 3 g.
        let mut task = missing(3.0, 10.0, None);
        task.fixed_places =
            vec![FixedPlace { plane: PlaneId::new(0), angle: degrees(90.0), name: "ear".into() }];
        let found = short(&task);
        assert_eq!(found.causes, [Cause::PiecesTooCoarse]);
        assert!(
            matches!(found.helps[..], [Help::SmallerWeight { about }] if (about.grams() - 3.0).abs() < 1e-9)
        );
        assert!((found.left.gram_millimetres() - 150.0).abs() < 1e-9);
        assert!((found.limit.gram_millimetres() - 50.0).abs() < 1e-9);
    }

    /// One 10 g weight is too much for 3 g; two of them, 81 degrees to each side, would make it.
    #[test]
    fn a_piece_too_big_alone_asks_for_a_smaller_one_or_for_two() {
        let mut task = missing(3.0, 10.0, None);
        task.weld = Weld::new(Mass::ZERO, 1, task.weld.gap).unwrap();
        let found = short(&task);
        assert_eq!(found.causes, [Cause::PiecesTooCoarse, Cause::TooFewWeights]);
        assert!(
            matches!(found.helps[..], [Help::SmallerWeight { about }, Help::MoreWeights { most_per_plane: 2 }]
                if (about.grams() - 3.0).abs() < 1e-9),
            "{found:?}"
        );
    }

    #[test]
    fn small_pieces_that_find_no_room_are_not_called_too_big() {
        let mut task = missing(10.0, 5.0, None);
        let sector = Sector::new(degrees(0.0), degrees(360.0)).unwrap();
        task.no_weld = vec![NoWeld { plane: PlaneId::new(0), sector, reason: "painted".into() }];
        let found = short(&task);
        let sectors = vec!["painted".to_owned()];
        assert_eq!(found.causes, [Cause::NoRoom { sectors: sectors.clone(), welded: Vec::new() }]);
        assert_eq!(found.helps, [Help::FreeSector { reasons: sectors }]);
    }

    #[test]
    fn a_sector_in_the_way_is_named() {
        let mut task = missing(10.0, 10.0, None);
        let sector = Sector::new(degrees(20.0), degrees(160.0)).unwrap();
        task.no_weld = vec![NoWeld { plane: PlaneId::new(0), sector, reason: "tube seam".into() }];
        let found = short(&task);
        let sectors = vec!["tube seam".to_owned()];
        assert_eq!(found.causes, [Cause::NoRoom { sectors, welded: Vec::new() }]);
        assert_eq!(found.helps, [Help::FreeSector { reasons: vec!["tube seam".into()] }]);
    }

    #[test]
    fn a_box_that_runs_out_says_what_it_lacks() {
        let found = short(&missing(18.0, 10.0, Some(1)));
        assert_eq!(found.causes, [Cause::BoxRunsOut]);
        assert_eq!(found.helps, [Help::MoreOf { masses: vec![grams(10.0), grams(10.0)] }]);
    }

    #[test]
    fn one_weight_more_is_advised_where_it_does() {
        let mut task = missing(18.0, 10.0, None);
        task.weld = Weld::new(Mass::ZERO, 1, task.weld.gap).unwrap();
        let found = short(&task);
        assert!(found.helps.contains(&Help::MoreWeights { most_per_plane: 2 }), "{found:?}");
    }

    #[test]
    fn a_full_plane_is_said_with_what_would_do() {
        let mut task = missing(10.0, 10.0, None);
        let stays = |at| WeldedBefore {
            hold: HowHeld::Stays,
            ..WeldedBefore::new(PlaneId::new(0), grams(10.0), degrees(at))
        };
        task.welded_before = vec![stays(180.0), stays(300.0)];
        let found = short(&task);
        assert_eq!(found.causes, [Cause::PlaneFull { welded: vec![0, 1] }, Cause::TooFewWeights]);
        assert_eq!(
            found.helps,
            [Help::MoveWelded { welded: vec![0, 1] }, Help::MoreWeights { most_per_plane: 3 }]
        );
    }

    #[test]
    fn an_empty_box_is_said() {
        let mut task = missing(10.0, 10.0, None);
        task.stock.clear();
        assert_eq!(short(&task).causes, [Cause::EmptyBox]);
    }
}
