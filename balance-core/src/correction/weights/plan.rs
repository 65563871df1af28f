//! From ideal corrections to a plan: which weights go where, which come off, what is left.

use super::cautions::cautions;
use super::effect::{Piece, effective_unbalance, pull_newtons};
use super::fewest::{Chosen, fewest};
use super::given::fitted_from;
use super::problem::{BoxCounts, Fitted, PlaneChoice, PlaneProblem, Source, sum_of};
use super::row::direction;
use super::shortfall::{Shortfall, shortfall};
use super::take_off::{choose_plane, work_of};
use super::tape::{TapeMarks, TapeReading};
use super::task::{GivenWeight, MayWeld, WeightFault, WeightTask};
use crate::caution::Caution;
use crate::quantity::{Angle, Length, Mass, NEWTONS_PER_POUND_FORCE, Unbalance, UnbalanceAmount};
use crate::shaft::{Aim, PlaneId, Weld};

/// A weight of the answer at its place.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedWeight {
    /// Where it comes from; for a bar, how long to cut.
    pub source: Source,
    /// Its mass and the room it takes.
    pub piece: Piece,
    /// Where its middle goes.
    pub angle: Angle,
    /// Radius of its mass centre, if known.
    pub radius: Option<Length>,
    /// Its unbalance, with arc and bead.
    pub unbalance: Unbalance,
    /// Where it goes on the tape; `None`: no tube diameter or radius.
    pub tape: Option<TapeMarks>,
    /// How hard it and its bead pull at service speed, in newtons.
    pub pull_newtons: Option<f64>,
    /// The fixed place it goes to, if the plane has fixed places.
    pub fixed_place: Option<String>,
}

impl PlacedWeight {
    /// How hard it pulls at service speed, in pounds-force.
    #[must_use]
    pub fn pull_pounds_force(&self) -> Option<f64> {
        self.pull_newtons.map(|newtons| newtons / NEWTONS_PER_POUND_FORCE)
    }
}

/// A weight that comes off.
#[derive(Debug, Clone, PartialEq)]
pub struct ComesOff {
    /// Index into the weights that were on the shaft.
    pub welded: usize,
    /// If it is turned: index of its new place in the plane's weights.
    pub turned_to: Option<usize>,
}

/// What to do in one plane.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanePlan {
    /// The plane's name.
    pub name: String,
    /// The ideal unbalance that was to be added.
    pub target: Unbalance,
    /// Weights to weld on, in welding order: the heaviest first.
    pub weights: Vec<PlacedWeight>,
    /// Weights to take off first.
    pub come_off: Vec<ComesOff>,
    /// The unbalance that is left (a heavy spot) if every weight lands exactly where it should.
    pub left_over: Unbalance,
    /// The robust figure in g·mm: what is left with the place error of every weight taken in.
    pub left_with_place_error: f64,
    /// What is left as a share of the permissible, if that is known.
    pub share_of_permissible: Option<f64>,
    /// How far the weights fall short, why, and what would help; `None`: they are sufficient.
    pub shortfall: Option<Shortfall>,
    /// Everything that will be on the plane, old weights and beads included.
    pub total_mass: Mass,
    /// Welds and cuts, in the shop's units.
    pub work: f64,
}

/// Whether the plan may come with welding advice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum WeldingAdvice {
    /// The material can be welded.
    Given,
    /// The material is unknown or cannot be welded: no welding advice.
    Withheld,
}

/// What to do in every plane, in the job's order.
#[derive(Debug, Clone, PartialEq)]
pub struct WeightPlan {
    /// One for each plane.
    pub planes: Vec<PlanePlan>,
    /// Whether the fewest weights were asked for and these are expected to be good enough: an empty plane needs none.
    pub good_enough: bool,
    /// In which order to weld: (plane, weight), the ends taken in turn so that each can cool [common practice, no
    /// source], in each plane the heaviest first.
    pub welding_order: Vec<(PlaneId, usize)>,
    /// What a tape round the tube must read; `None`: no tube diameter.
    pub once_round: Option<TapeReading>,
    /// Whether welding advice may follow.
    pub welding_advice: WeldingAdvice,
    /// Worst first.
    pub cautions: Vec<Caution>,
}

/// Works out which weights go where: the entry point of this room.
///
/// # Method
///
/// Planes are taken in order of need: first the one with the most to correct relative to its permissible
/// (without permissibles: the most to correct), so that it has the first choice when the box is limited. In
/// each plane the choice among the places of the grid is exactly the best by the criterion for the weights
/// then left in the box; with bars, over every whole millimetre of length. Together with the weights that
/// stay there are at most `most_per_plane`. Weights that may come off are taken off or turned where that
/// helps ([`TakeOff`](super::TakeOff)).
///
/// *Fewest weights* ([`Aim::FewestWeights`]): every combination of numbers of weights in the planes, each
/// plane with its best choice of that number, is judged by the forecast
/// ([`Forecasting`](super::Forecasting)). Taken are the fewest weights over all planes (with weights that
/// come off: the least work) with which all limits are met with at least 99 % and at most half of the limit
/// is left at each place; of these the least criterion. Where no forecast can be made, a quarter of the
/// permissible left in each plane will do instead. If nothing is good enough: the fewest weights whose
/// criterion, the uncertainty from the readings included, is within 10 % of the least. An empty plane is
/// allowed. From three times the limit, with a box of 5 to 30 g, this takes 2.1 weights [derived from
/// simulated shafts].
///
/// *Least left* ([`Aim::LeastLeft`]): each plane by itself is corrected as well as the box allows, with fewer
/// weights where they leave no more than `enough_share` of its permissible.
///
/// # Errors
///
/// Every [`WeightFault`] of the task.
///
/// # Example
///
/// ```
/// use balance_core::correction::weights::{PlaneTask, WeightTask, plan_weights};
/// use balance_core::quantity::{Angle, Length, Mass, Unbalance, UnbalanceAmount, parse};
/// use balance_core::shaft::{CorrectionPlane, StampedWeight, Tube, WeldOn};
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// let mm = Length::from_millimetres;
/// let target = Unbalance::at(parse("1142.8 g.mm")?, Angle::from_degrees(312.0)?);
/// let front = PlaneTask { plane: CorrectionPlane::named("front"), target, permissible: Some(parse("417 g.mm")?) };
/// let mut stock = Vec::new();
/// for grams in [5.0, 10.0, 15.0] {
///     let mut weight = StampedWeight::new(Mass::from_grams(grams)?)?;
///     (weight.width, weight.thickness) = (Some(mm(20.0)?), Some(mm(3.0)?));
///     stock.push(WeldOn::Stamped(weight));
/// }
/// let mut task = WeightTask::new(vec![front], stock);
/// task.tube = Some(Tube { outer_diameter: mm(88.9)?, wall: mm(2.4)?, length: mm(1385.0)? });
/// let plan = plan_weights(&task).map_err(|faults| faults[0].clone())?;
/// let weights = &plan.planes[0].weights;
/// assert_eq!(weights.len(), 2);
/// assert!(plan.planes[0].left_over.gram_millimetres() < 60.0);
/// assert_eq!(plan.once_round.map(|tape| tape.whole_millimetres()), Some(279));
/// # Ok(())
/// # }
/// ```
pub fn plan_weights(task: &WeightTask) -> Result<WeightPlan, Vec<WeightFault>> {
    task.check()?;
    let order = in_order_of_need(task);
    let most_together = order.len() * Weld::MOST_NEW_PER_PLANE;
    let mut counts = BoxCounts::of(&task.stock).for_at_most(most_together);
    let chosen = match task.weld.aim {
        Aim::FewestWeights => fewest(task, &order, &counts),
        Aim::LeastLeft => each_in_turn(task, &order, counts.clone()),
    };
    let mut plans: Vec<(PlaneId, PlanePlan)> = Vec::new();
    for (plane, choice) in order.into_iter().zip(chosen.choices) {
        let short = if chosen.good_enough { None } else { shortfall(task, plane, &choice, &counts) };
        choice.fitted.iter().for_each(|weight| counts.take(weight.source));
        plans.push((plane, dress(task, plane, choice, short)));
    }
    plans.sort_by_key(|(plane, _)| *plane);
    let plans = plans.into_iter().map(|(_, plan)| plan).collect();
    Ok(finish(task, plans, chosen.good_enough, Vec::new()))
}

/// The best choice of each plane by itself, for the weights that the planes before it leave in the box.
fn each_in_turn(task: &WeightTask, order: &[PlaneId], mut counts: BoxCounts) -> Chosen {
    let choose = |plane: &PlaneId| {
        let choice = choose_plane(task, *plane, &counts);
        choice.fitted.iter().for_each(|weight| counts.take(weight.source));
        choice
    };
    Chosen { choices: order.iter().map(choose).collect(), good_enough: false }
}

/// What these weights would leave: nothing is chosen, nothing comes off, and the number in the box does not
/// matter.
///
/// # Errors
///
/// Every [`WeightFault`] of the task and of the weights.
pub fn plan_with(task: &WeightTask, given: &[GivenWeight]) -> Result<WeightPlan, Vec<WeightFault>> {
    let planes = task.planes.len();
    let mut faults = task.check().err().unwrap_or_default();
    let wrong = given.iter().filter(|weight| weight.plane.index() >= planes);
    faults.extend(wrong.map(|weight| {
        let what = "a given weight";
        WeightFault::NoSuchPlane { what, found: weight.plane, planes }
    }));
    if !faults.is_empty() {
        return Err(faults);
    }
    let counts = BoxCounts::unlimited(&task.stock);
    let mut notes = Vec::new();
    let mut plans = Vec::new();
    for plane in PlaneId::all(planes) {
        let problem = PlaneProblem::new(task, plane, &[], &counts, None);
        let (fitted, found) = fitted_from(&problem, given);
        notes.extend(found);
        let geometry = problem.geometry();
        let error = task.planes[plane].target.vector() - sum_of(&fitted, &geometry);
        let squares: f64 =
            fitted.iter().map(|weight| effective_unbalance(&weight.piece, &geometry).powi(2)).sum();
        let cost = (error.norm_sqr() + task.place_variance(plane) * squares).sqrt();
        plans.push(dress(task, plane, PlaneChoice { off: Vec::new(), fitted, error, cost }, None));
    }
    Ok(finish(task, plans, false, notes))
}

/// Planes by what they have to correct relative to what may be left, largest first; in the job's order
/// between equals.
fn in_order_of_need(task: &WeightTask) -> Vec<PlaneId> {
    let limited = task.planes.iter().all(|plane| plane.permissible.is_some());
    let need = |plane: &PlaneId| {
        let asked = &task.planes[*plane];
        let limit = asked.permissible.filter(|_| limited).map_or(1.0, UnbalanceAmount::gram_millimetres);
        asked.target.gram_millimetres() / limit.max(f64::MIN_POSITIVE)
    };
    let mut order: Vec<PlaneId> = PlaneId::all(task.planes.len()).collect();
    order.sort_by(|a, b| need(b).total_cmp(&need(a)));
    order
}

/// A choice with everything that people and programs need to know about it.
fn dress(
    task: &WeightTask,
    plane: PlaneId,
    mut choice: PlaneChoice,
    shortfall: Option<Shortfall>,
) -> PlanePlan {
    let weight_of = |fitted: &Fitted| fitted.piece.mass.grams();
    choice.fitted.sort_by(|a, b| weight_of(b).total_cmp(&weight_of(a)).then(a.degrees.total_cmp(&b.degrees)));
    let asked = &task.planes[plane];
    let weights: Vec<PlacedWeight> = choice.fitted.iter().map(|fitted| placed(task, plane, fitted)).collect();
    let moved = |welded: usize| weights.iter().position(|weight| weight.source == Source::Turned { welded });
    let come_off = choice.off.iter().map(|welded| ComesOff { welded: *welded, turned_to: moved(*welded) });
    let come_off = come_off.collect();
    let left = choice.error.norm();
    PlanePlan {
        name: asked.plane.name.clone(),
        target: asked.target,
        come_off,
        left_over: Unbalance::from_vector(-choice.error),
        left_with_place_error: choice.cost,
        share_of_permissible: asked
            .permissible
            .map(UnbalanceAmount::gram_millimetres)
            .filter(|limit| *limit > 0.0)
            .map(|limit| left / limit),
        shortfall,
        total_mass: total_mass(task, plane, &choice),
        work: work_of(task, weights.len(), choice.off.len()),
        weights,
    }
}

fn placed(task: &WeightTask, plane: PlaneId, fitted: &Fitted) -> PlacedWeight {
    let geometry = task.geometry(plane);
    let piece = fitted.piece;
    let angle = Angle::from_degrees(fitted.degrees).unwrap_or(Angle::ZERO);
    let once_round = geometry.surface_radius().map(|radius| radius * std::f64::consts::TAU);
    let width = match fitted.source {
        Source::Turned { welded } => Some(task.old_room(welded).width),
        Source::Box { .. } | Source::Bar { .. } | Source::Given => piece.width,
    };
    let half_width = geometry.half_width_degrees(width);
    let fixed = task
        .fixed_places
        .iter()
        .find(|place| place.plane == plane && place.angle.degrees_in_turn() == angle.degrees_in_turn());
    PlacedWeight {
        source: fitted.source,
        piece,
        angle,
        radius: geometry.mass_radius(&piece).and_then(|radius| Length::from_millimetres(radius).ok()),
        unbalance: Unbalance::from_vector(direction(fitted.degrees) * effective_unbalance(&piece, &geometry)),
        tape: once_round.map(|once_round| TapeMarks::new(angle, half_width, once_round)),
        pull_newtons: task.service_speed.and_then(|speed| pull_newtons(&piece, &geometry, speed)),
        fixed_place: fixed.map(|place| place.name.clone()),
    }
}

/// Everything that will be on a plane: old weights that stay and new ones, with their beads.
fn total_mass(task: &WeightTask, plane: PlaneId, choice: &PlaneChoice) -> Mass {
    let stays = task.staying(plane, &choice.off);
    let old: f64 = stays.map(|index| task.old_piece(index).total_grams()).sum();
    let new: f64 = choice.fitted.iter().map(|fitted| fitted.piece.total_grams()).sum();
    Mass::from_grams(old + new).unwrap_or(Mass::ZERO)
}

fn finish(task: &WeightTask, planes: Vec<PlanePlan>, good_enough: bool, notes: Vec<Caution>) -> WeightPlan {
    let mut all = notes;
    all.extend(cautions(task, &planes));
    all.sort_by_key(Caution::level);
    let once_round = task.tube.as_ref().map(|tube| TapeReading::length(tube.circumference_millimetres()));
    let welding_advice = match task.weldability {
        MayWeld::Weldable => WeldingAdvice::Given,
        MayWeld::NotWeldable | MayWeld::Unknown => WeldingAdvice::Withheld,
    };
    let welding_order = welding_order(&planes);
    WeightPlan { planes, good_enough, welding_order, once_round, welding_advice, cautions: all }
}

/// The first weight of every plane, then the second of every plane, and so on.
fn welding_order(planes: &[PlanePlan]) -> Vec<(PlaneId, usize)> {
    let longest = planes.iter().map(|plane| plane.weights.len()).max().unwrap_or(0);
    let round = |weight: usize| {
        let have = move |(_, plan): &(PlaneId, &PlanePlan)| weight < plan.weights.len();
        PlaneId::numbered(planes).filter(have).map(move |(plane, _)| (plane, weight))
    };
    (0..longest).flat_map(round).collect()
}

#[cfg(test)]
mod tests {
    use super::super::task::{Grid, PlaneTask};
    use super::*;
    use crate::quantity::parse;
    use crate::shaft::{Bar, BarMass, CorrectionPlane, Section, StampedWeight, Tube, WeldOn};

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value).unwrap()
    }

    fn plane(name: &str, target: f64, degrees: f64) -> PlaneTask {
        let amount = UnbalanceAmount::from_gram_millimetres(target).unwrap();
        let target = Unbalance::at(amount, Angle::from_degrees(degrees).unwrap());
        let permissible = UnbalanceAmount::from_gram_millimetres(100.0).ok();
        PlaneTask { plane: CorrectionPlane::named(name), target, permissible }
    }

    fn on_the_tube(planes: Vec<PlaneTask>, stock: Vec<WeldOn>) -> WeightTask {
        let mut task = WeightTask::new(planes, stock);
        task.tube = Some(Tube { outer_diameter: mm(88.9), wall: mm(2.4), length: mm(1385.0) });
        task
    }

    fn stamped(grams: f64, count: Option<u32>) -> WeldOn {
        let mut weight = StampedWeight::new(Mass::from_grams(grams).unwrap()).unwrap();
        (weight.width, weight.thickness, weight.count) = (Some(mm(20.0)), Some(mm(3.0)), count);
        WeldOn::Stamped(weight)
    }

    #[test]
    fn the_plane_in_need_takes_the_last_weight() {
        let task = on_the_tube(
            vec![plane("front", 450.0, 10.0), plane("rear", 460.0, 200.0)],
            vec![stamped(10.0, Some(1))],
        );
        let plan = plan_weights(&task).unwrap();
        assert!(plan.planes[0].weights.is_empty());
        assert_eq!(plan.planes[1].weights.len(), 1);
        assert!(plan.planes[0].shortfall.is_some());
    }

    #[test]
    fn one_weight_is_enough_where_it_leaves_a_quarter_of_the_permissible() {
        // 10 g, 20 mm wide, at 45.95 mm: 459.5 g.mm less 0.8 % of arc; 15 g.mm missing is under 25.
        let mut task =
            on_the_tube(vec![plane("front", 470.0, 10.0)], vec![stamped(10.0, None), stamped(1.0, None)]);
        task.place_error = None;
        assert_eq!(plan_weights(&task).unwrap().planes[0].weights.len(), 1);
        task.settings.enough_share = 0.05;
        assert_eq!(plan_weights(&task).unwrap().planes[0].weights.len(), 2);
    }

    #[test]
    fn a_bar_is_cut_to_whole_millimetres_and_placed_on_whole_millimetres() {
        let section = Section { along_shaft: mm(25.0), thickness: mm(3.0) };
        let bar = Bar::new(section, mm(10.0), mm(60.0), BarMass::steel()).unwrap();
        let mut task = on_the_tube(vec![plane("front", 700.0, 33.3)], vec![WeldOn::Bar(bar)]);
        task.settings.grid = Grid::WholeMillimetres;
        let plan = plan_weights(&task).unwrap();
        let weight = &plan.planes[0].weights[0];
        let Source::Bar { cut, .. } = weight.source else { panic!("cut from the bar: {weight:?}") };
        assert_eq!(cut.millimetres(), cut.millimetres().round());
        let middle = weight.tape.unwrap().middle.millimetres();
        assert!((middle - middle.round()).abs() < 1e-9, "{middle}");
        assert!(plan.planes[0].left_over.gram_millimetres() < 25.0);
    }

    #[test]
    fn given_weights_leave_what_they_leave_and_crowding_is_said() {
        let task = on_the_tube(vec![plane("front", 900.0, 10.0)], vec![stamped(10.0, None)]);
        let weight = |degrees| GivenWeight {
            plane: PlaneId::new(0),
            mass: Mass::from_grams(10.0).unwrap(),
            angle: Angle::from_degrees(degrees).unwrap(),
            radius: None,
        };
        let plan = plan_with(&task, &[weight(0.0), weight(20.0)]).unwrap();
        // Two vectors of 459.5 g.mm × sin β/β (β = 10/45.95) at 0 and 20 degrees: along 10 degrees 2·cos 10°.
        let beta: f64 = 10.0 / 45.95;
        let along = 2.0 * 459.5 * beta.sin() / beta * 10.0_f64.to_radians().cos();
        assert!((plan.planes[0].left_over.gram_millimetres() - (900.0 - along).abs()).abs() < 1e-9);
        assert!(plan.cautions.iter().any(|caution| matches!(caution, Caution::WeightsOverlap { .. })));
        let apart = plan_with(&task, &[weight(0.0), weight(40.0)]).unwrap();
        assert!(!apart.cautions.iter().any(|caution| matches!(caution, Caution::WeightsOverlap { .. })));
    }

    #[test]
    fn ends_are_welded_in_turn() {
        let planes = vec![plane("front", 1150.0, 10.0), plane("rear", 1150.0, 200.0)];
        let plan = plan_weights(&on_the_tube(planes, vec![stamped(15.0, None)])).unwrap();
        assert_eq!(
            plan.welding_order,
            [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(plane, weight)| (PlaneId::new(plane), weight))
        );
        assert_eq!(plan.welding_advice, WeldingAdvice::Withheld);
    }

    #[test]
    fn the_heaviest_weight_comes_first_and_pulls_most() {
        let box_of_two = vec![stamped(10.0, Some(1)), stamped(15.0, Some(1))];
        let mut task = on_the_tube(vec![plane("front", 1120.0, 10.0)], box_of_two);
        task.service_speed = parse("3000 rpm").ok();
        let plan = plan_weights(&task).unwrap();
        let pulls: Vec<f64> =
            plan.planes[0].weights.iter().filter_map(|weight| weight.pull_newtons).collect();
        // m·r·Ω² with 45.95 mm and 314.16 rad/s, by hand: 68.03 and 45.35 N.
        assert!((pulls[0] - 68.03).abs() < 0.005 && (pulls[1] - 45.35).abs() < 0.005, "{pulls:?}");
    }

    #[test]
    fn every_fault_of_a_task_is_told() {
        let mut task = WeightTask::new(vec![plane("front", 450.0, 10.0)], vec![stamped(10.0, None)]);
        task.settings.grid = Grid::WholeMillimetres;
        task.planes[0].target = Unbalance::from_vector(num_complex::Complex64::new(f64::NAN, 0.0));
        task.fixed_places.push(crate::shaft::FixedPlace {
            plane: PlaneId::new(3),
            angle: Angle::ZERO,
            name: "ear".into(),
        });
        let faults = plan_weights(&task).unwrap_err();
        assert!(matches!(
            faults[..],
            [
                WeightFault::NoSuchPlane { planes: 1, .. },
                WeightFault::TargetNotFinite { .. },
                WeightFault::TapeWithoutRadius { .. }
            ]
        ));
    }
}
