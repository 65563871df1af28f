//! What a verdict rests on: the terms of its give or take, and what rules it out.

use num_complex::Complex64;

use crate::influence::{GroupInfluence, Influence, Lines, System, Which};
use crate::linear::CMatrix;
use crate::quantity::{Mass, UnbalanceAmount};
use crate::run::RunSet;

use super::budget::{Budget, Combination, RandomTerm, ShrinksWith, SystematicTerm};
use super::mounting::mounting_scatter;
use super::seen::{Seen, Untried};
use super::{MeasuredResidual, PlaneLimit, Transfer};

/// Beyond this share of the limit, what the readings do not show leaves nothing to judge [derived here].
const MOST_UNSEEN: f64 = 0.3;
/// In a mounting other than that of the trials a check run may differ from their forecast by this share of
/// what was put on: re-clamping changes less, a trial mass written as half or double more (simulated here,
/// 2026-11).
const MOST_OFF_IN_ANOTHER_MOUNTING: f64 = 0.3;
/// It may also differ by this many complex rms of what re-clamping changes: one in a hundred differs by more.
const MOST_OFF_BY_CLAMPING: f64 = 2.15;
/// However much re-clamping changes: if less than this share of what was put on shows, nothing is proved.
const MOST_OFF_AT_ALL: f64 = 0.6;
/// From this condition on planes act alike [common practice, no source].
const ALIKE: f64 = 5.0;
/// First-order uncertainty is valid while errors of the coefficients stay below this share of the weakest
/// response (simulated here, 2026-11).
const MOST_LOOSE: f64 = 0.25;

/// Why no verdict can rest on what was measured: neither "meets" nor "exceeds".
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Withheld {
    /// A rigid piece that the runs do not see: one tried plane shows nothing about the other end.
    NotSeen {
        /// The part; `None`: the whole shaft.
        part: Option<String>,
        /// Where a trial run is missing.
        untried: Vec<Untried>,
        /// The tolerance planes (indices) at which nothing is known for this reason.
        ends: Vec<usize>,
    },
    /// A tried or check run does not fit the runs before it.
    CheckDisagrees {
        /// The label of its first run.
        run: String,
    },
    /// The runs scatter more than the stated noise allows.
    ScatterAboveStated {
        /// The sensor.
        sensor: String,
    },
    /// The check run was read in a mounting other than that of the trials and does not read as they forecast:
    /// this may be a slip in a trial or the new mounting.
    OtherMounting {
        /// The correction plane where it is farthest off.
        plane: String,
        /// How far it is off, as a share of what was put on there.
        share: f64,
    },
    /// The mass behind the limit differs by more than four times from the mass of tube and ends.
    MassFarOff {
        /// What was stated.
        stated: Mass,
        /// What a shaft of this tube usually weighs.
        usual: Mass,
    },
    /// The runs fit clearly better if a reading is wrong, and then too much is left.
    ReadingLikelyWrong {
        /// The label of the run.
        run: String,
        /// What the reading would have been, as part of a sentence.
        story: String,
    },
    /// Planes that act so alike that errors of the coefficients are larger than the difference.
    PlanesActAlike {
        /// Condition of the influence matrix.
        condition: f64,
    },
    /// The part of the readings that no plane explains is large compared with the limit.
    Unexplained {
        /// Its size as a share of the smallest limit.
        share: f64,
    },
    /// The limit is below the least unbalance that the stand was proved to reach.
    BelowStand {
        /// Where the limit holds.
        place: String,
        /// What may be left there.
        allowed: UnbalanceAmount,
        /// The least unbalance that the stand can reach.
        reached: UnbalanceAmount,
        /// The day of the test and the number of readings, in words.
        source: String,
    },
}

/// What is needed to say whether a verdict may be given at one speed.
#[derive(Debug, Clone, Copy)]
pub struct Evidence<'a> {
    /// The runs.
    pub set: &'a RunSet,
    /// How the shaft responds.
    pub influence: &'a Influence,
    /// As found, or after the last check run.
    pub which: Which,
    /// What was measured.
    pub residual: &'a MeasuredResidual,
    /// How much of each piece the runs see.
    pub seen: &'a Seen,
    /// Where the limit holds.
    pub limits: &'a [PlaneLimit],
    /// The stated scatter of what is left from one mounting to the next, complex rms.
    pub mounting_scatter: Option<UnbalanceAmount>,
    /// Whether readings that no plane explains are allowed: a disc balanced in one plane on purpose.
    pub couple_not_judged: bool,
}

impl Evidence<'_> {
    /// Everything that rules out a verdict, the most serious first; empty: nothing does.
    #[must_use]
    pub fn withheld(&self) -> Vec<Withheld> {
        let group = &self.influence.groups[self.residual.group];
        let mut found: Vec<Withheld> = self
            .seen
            .pieces
            .iter()
            .filter(|piece| !piece.untried.is_empty())
            .map(|piece| Withheld::NotSeen {
                part: piece.part.clone(),
                untried: piece.untried.clone(),
                ends: piece.ends.clone(),
            })
            .collect();
        if group.in_doubt() {
            found.extend(self.disagreeing(group));
        }
        found.extend(self.other_mounting());
        let scatter = group.fits().filter(|(_, fit)| fit.above_stated);
        found.extend(scatter.map(|(sensor, _)| Withheld::ScatterAboveStated {
            sensor: self.set.setup().sensors[sensor].name.clone(),
        }));
        // Both may come from something already reported.
        if found.is_empty() {
            found.extend(self.planes_act_alike());
            found.extend(self.unexplained());
        }
        found
    }

    fn disagreeing(&self, group: &GroupInfluence) -> Option<Withheld> {
        let block = group.blocks.iter().rfind(|block| block.disagrees())?;
        Some(Withheld::CheckDisagrees { run: self.set.rows()[*block.rows.first()?].run.label.clone() })
    }

    /// A check run read in other mountings than the trials passes no gate. It must at least agree with the
    /// forecast from the mounting of the trials, within the known effect of re-clamping or a share of what
    /// was put on.
    fn other_mounting(&self) -> Option<Withheld> {
        let forecast = self.residual.earlier_mounting.as_ref()?;
        let last = *self.set.last_check_block().last()?;
        let clamping = mounting_scatter(&self.residual.by_mounting, None, self.mounting_scatter);
        let mountings = self.residual.mountings as f64;
        // Complex rms of the difference between one mounting and the mean of the others.
        let clamping = clamping.map_or(0.0, |own| own.deviation * (2.0 * (1.0 + 1.0 / mountings)).sqrt());
        let share = |(plane, load): (usize, &Complex64)| {
            let off = (self.residual.unbalance.get(plane)? - forecast.get(plane)?).norm();
            let clamped = (MOST_OFF_BY_CLAMPING * clamping).min(MOST_OFF_AT_ALL * load.norm());
            let allowed = clamped.max(MOST_OFF_IN_ANOTHER_MOUNTING * load.norm());
            (off > allowed).then_some((plane, off / load.norm()))
        };
        let off = self.set.rows()[last].loads.iter().enumerate().filter_map(share);
        let (plane, share) = off.max_by(|one, other| one.1.total_cmp(&other.1))?;
        Some(Withheld::OtherMounting { plane: self.set.setup().planes[plane].name.clone(), share })
    }

    fn planes_act_alike(&self) -> Option<Withheld> {
        let group = [self.residual.group];
        let system = System::with(self.set, self.influence, &group, self.which, Lines::Measured);
        let condition = system.condition();
        let loose = system.looseness().filter(|loose| condition >= ALIKE && *loose > MOST_LOOSE)?;
        // What is left is up to 1/(1 − loose) times what it seems: where that is small, nothing is in doubt.
        let more = if loose < 1.0 { loose / (1.0 - loose) } else { f64::INFINITY };
        let left = self.residual.unbalance.iter().map(|own| own.norm()).fold(0.0, f64::max);
        let limit = self.limits.iter().map(|own| own.amount.gram_millimetres()).fold(f64::INFINITY, f64::min);
        (more * left > MOST_UNSEEN * limit).then_some(Withheld::PlanesActAlike { condition })
    }

    fn unexplained(&self) -> Option<Withheld> {
        let size = self.residual.unexplained.filter(|_| !self.couple_not_judged)?.size;
        let share = |limit: &PlaneLimit| size / limit.amount.gram_millimetres().max(f64::MIN_POSITIVE);
        let share = self.limits.iter().map(share).fold(0.0, f64::max);
        (share > MOST_UNSEEN).then_some(Withheld::Unexplained { share })
    }
}

/// The terms of the give or take of a residual, moved to where the limit holds; `None` without a figure for
/// the noise. The caller adds the systematic terms that no run shows (a bow between speeds, a fixture).
///
/// * `scatter`: the stated scatter of what is left from one mounting to the next, complex rms.
/// * `couple_not_judged`: leaves out what no plane explains (a disc balanced in one plane on purpose).
#[must_use]
pub fn budget_of(
    residual: &MeasuredResidual,
    transfer: &Transfer,
    scatter: Option<UnbalanceAmount>,
    couple_not_judged: bool,
) -> Option<Budget> {
    let moved = |covariance: &Option<CMatrix>| deviations(transfer, covariance.as_ref()?);
    let degrees = residual.degrees_of_freedom;
    let term = |name: &str, sizes, degrees_of_freedom, shrinks| RandomTerm {
        name: name.into(),
        sizes,
        degrees_of_freedom,
        shrinks,
    };
    // Below the scale another reading shows nothing new.
    let again = if residual.below.in_state { ShrinksWith::FinerDial } else { ShrinksWith::CheckRuns };
    let trial = ShrinksWith::LargerTrial;
    let reading =
        if residual.from_recordings { "reading noise, as the recordings show it" } else { "reading noise" };
    let mut random = vec![
        term(reading, moved(&residual.reading)?, degrees, again),
        term("how the shaft responds (trial readings)", moved(&residual.coefficients)?, degrees, trial),
        term("placing and weighing the trial masses", moved(&residual.placement)?, degrees, trial),
    ];
    let steps = moved(&residual.steps)?;
    if steps.iter().any(|size| *size > 0.0) {
        random.push(term("steps of the dial", steps, f64::INFINITY, ShrinksWith::FinerDial));
    }
    random.extend(mounting_term(residual, transfer, scatter));
    Some(Budget {
        check_runs: residual.runs,
        mountings: residual.mountings,
        random,
        systematic: systematic(residual, transfer, couple_not_judged),
        combination: Combination::PlainSum,
    })
}

/// The effect of re-mounting the shaft on the mean over the mountings there are.
fn mounting_term(
    residual: &MeasuredResidual,
    transfer: &Transfer,
    stated: Option<UnbalanceAmount>,
) -> Option<RandomTerm> {
    let moved: Vec<_> = residual.by_mounting.iter().map(|own| transfer.moved(own)).collect();
    let forecast = residual.earlier_mounting.as_ref().map(|own| transfer.moved(own));
    let scatter = mounting_scatter(&moved, forecast.as_deref(), stated)?;
    let size = scatter.deviation / (residual.mountings as f64).sqrt();
    Some(RandomTerm {
        name: "mounting".into(),
        sizes: vec![size; transfer.matrix().nrows()],
        degrees_of_freedom: scatter.degrees_of_freedom,
        shrinks: ShrinksWith::Mountings,
    })
}

/// Bounds that the readings themselves show.
fn systematic(
    residual: &MeasuredResidual,
    transfer: &Transfer,
    couple_not_judged: bool,
) -> Vec<SystematicTerm> {
    let below = SystematicTerm {
        name: "readings below the dial's scale".into(),
        sizes: residual.below.bound(transfer),
        shrinks: ShrinksWith::FinerDial,
    };
    let strange = residual.unexplained.filter(|_| !couple_not_judged).map_or(0.0, |own| own.size);
    let strange = SystematicTerm {
        name: "readings that no plane explains".into(),
        sizes: vec![strange; transfer.matrix().nrows()],
        shrinks: ShrinksWith::OtherPlane,
    };
    [below, strange].into_iter().filter(|term| term.sizes.iter().any(|size| *size > 0.0)).collect()
}

/// Standard uncertainty per component in each tolerance plane.
fn deviations(transfer: &Transfer, covariance: &CMatrix) -> Option<Vec<f64>> {
    let moved = transfer.covariance(covariance)?;
    Some((0..moved.nrows()).map(|plane| moved[(plane, plane)].re.max(0.0).sqrt()).collect())
}
