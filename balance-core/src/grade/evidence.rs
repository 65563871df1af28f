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

#[cfg(test)]
mod tests {
    use super::super::measured_residual;
    use super::*;
    use crate::influence::{Options, estimate};
    use crate::quantity::Length;
    use crate::run::RunKind;
    use crate::run::by_hand::{ByHand, exactly, real};

    fn amount(gram_millimetres: f64) -> UnbalanceAmount {
        UnbalanceAmount::from_gram_millimetres(gram_millimetres).unwrap()
    }

    /// What withholds a verdict on these runs, all planes seen, with this limit at each place.
    fn withheld(runs: ByHand, which: Which, limit: f64, scatter: Option<f64>) -> Vec<Withheld> {
        asked(runs, which, limit, scatter, false)
    }

    fn asked(runs: ByHand, which: Which, limit: f64, scatter: Option<f64>, disc: bool) -> Vec<Withheld> {
        let set = runs.set();
        let influence = estimate(&set, &Options::default()).unwrap();
        let residual = measured_residual(&set, &influence, 0, which).unwrap();
        let limits = [PlaneLimit {
            name: "joint".into(),
            position: Length::from_millimetres(0.0).unwrap(),
            amount: amount(limit),
            part: None,
        }];
        Evidence {
            set: &set,
            influence: &influence,
            which,
            residual: &residual,
            seen: &Seen { pieces: Vec::new() },
            limits: &limits,
            mounting_scatter: scatter.map(amount),
            couple_not_judged: disc,
        }
        .withheld()
    }

    /// One unit a gram: initial 100, a trial of 10 in mounting `trials`; then 90 come off, which should leave 10, and each
    /// mounting reads `off` more.
    fn clamped_again(off: f64, mountings: &[&str]) -> ByHand {
        let trials = ByHand::new(1, 1, exactly(0.001))
            .run(RunKind::Initial, &[], &[real(100.0)])
            .in_mounting("trials")
            .run(RunKind::Trial, &[real(10.0)], &[real(110.0)])
            .in_mounting("trials");
        mountings.iter().fold(trials, |runs, name| {
            runs.run(RunKind::Check, &[real(-90.0)], &[Complex64::new(10.0, off)]).in_mounting(name)
        })
    }

    fn off_in_other_mountings(off: f64, mountings: &[&str], scatter: Option<f64>) -> bool {
        let found = withheld(clamped_again(off, mountings), Which::Now, 1e6, scatter);
        match found[..] {
            [] => false,
            [Withheld::OtherMounting { ref plane, share }] => {
                assert!(plane == "plane 1" && (share - off / 90.0).abs() < 1e-9, "{plane} {share}");
                true
            }
            _ => panic!("{found:?}"),
        }
    }

    // Three tenths of 90 always; six tenths however much re-clamping changes.
    #[test]
    fn a_check_in_another_mounting_may_differ_by_a_share_of_what_was_put_on() {
        assert!(!off_in_other_mountings(26.9, &["b"], None));
        assert!(off_in_other_mountings(27.1, &["b"], None));
        assert!(!off_in_other_mountings(53.9, &["b"], Some(500.0)));
        assert!(off_in_other_mountings(54.1, &["b"], Some(500.0)));
        // In the mounting of the trials the gate tells.
        let found = withheld(clamped_again(80.0, &["trials"]), Which::Now, 1e6, None);
        assert_eq!(found, [Withheld::CheckDisagrees { run: "3".into() }]);
    }

    // Between the two, 2.15 complex rms of the difference between one mounting and the mean of n: s·√(1 + 1/n). One mounting
    // tells nothing of the stated scatter of 16; two that agree pool it to 16·√(10/11).
    #[test]
    fn a_check_in_another_mounting_may_differ_by_what_clamping_changes() {
        for (mountings, scatter) in [(&["b"][..], 16.0), (&["b", "c"], 16.0 * (10.0_f64 / 11.0).sqrt())] {
            let limit = 2.15 * scatter * (1.0 + 1.0 / mountings.len() as f64).sqrt();
            assert!(!off_in_other_mountings(0.999 * limit, mountings, Some(16.0)), "{mountings:?}");
            assert!(off_in_other_mountings(1.001 * limit, mountings, Some(16.0)), "{mountings:?}");
        }
    }

    /// Two sensors on two planes, each answers 1 to its own plane and `other` to the other; initial readings of 7 at the
    /// first plane, trials of 10 in each.
    fn alike(other: f64, deviation: f64) -> ByHand {
        let readings = |first: f64, second: f64| [first + other * second, other * first + second].map(real);
        ByHand::new(2, 2, exactly(deviation))
            .run(RunKind::Initial, &[], &readings(7.0, 0.0))
            .run(RunKind::Trial, &[real(10.0), real(0.0)], &readings(17.0, 0.0))
            .run(RunKind::Trial, &[real(0.0), real(10.0)], &readings(7.0, 10.0))
    }

    // Singular values 1.9 and 0.1. Each of the four coefficients is off by 4σ²/10² (both components), all together by 0.4·σ, so
    // by 4σ of the weakest response: with σ = 0.075 0.3, and what is left may be 7·0.3/0.7 = 3 more. Three tenths of 10 are 3.
    #[test]
    fn planes_that_act_alike_withhold_a_verdict_near_the_limit() {
        let found = withheld(alike(0.9, 0.075), Which::AsFound, 9.9, None);
        assert!(
            matches!(found[..], [Withheld::PlanesActAlike { condition }] if (condition - 19.0).abs() < 1e-9),
            "{found:?}"
        );
        assert!(withheld(alike(0.9, 0.075), Which::AsFound, 10.1, None).is_empty());
    }

    // The same at 0.248; with 0.6 the condition is 1.6/0.4 = 4; errors as large as the response leave nothing to judge.
    #[test]
    fn planes_are_in_no_doubt_where_their_coefficients_are_good_enough() {
        assert!(withheld(alike(0.9, 0.062), Which::AsFound, 1.0, None).is_empty());
        assert!(withheld(alike(0.6, 0.4), Which::AsFound, 1.0, None).is_empty());
        assert_eq!(withheld(alike(0.9, 0.3), Which::AsFound, 1e6, None).len(), 1);
    }

    // Coefficients 3 and 4 on one plane, readings 6 and 3: 1.2 g·mm explain all but 2.4 and −1.8, so 0.8 and 0.45 g·mm.
    #[test]
    fn readings_that_no_plane_explains_withhold_a_verdict() {
        let runs = || {
            ByHand::new(1, 2, exactly(0.001)).run(RunKind::Initial, &[], &[real(6.0), real(3.0)]).run(
                RunKind::Trial,
                &[real(2.0)],
                &[real(12.0), real(11.0)],
            )
        };
        let found = withheld(runs(), Which::AsFound, 2.6, None);
        assert!(
            matches!(found[..], [Withheld::Unexplained { share }] if (share - 0.8 / 2.6).abs() < 1e-9),
            "{found:?}"
        );
        assert!(withheld(runs(), Which::AsFound, 2.7, None).is_empty());
        assert!(asked(runs(), Which::AsFound, 2.6, None, true).is_empty(), "a disc's couple is not judged");
    }

    #[test]
    fn a_check_that_does_not_fit_and_scatter_above_the_stated_withhold_a_verdict() {
        let trials = || {
            ByHand::new(1, 1, exactly(0.1)).run(RunKind::Initial, &[], &[real(10.0)]).run(
                RunKind::Trial,
                &[real(2.0)],
                &[real(16.0)],
            )
        };
        let found =
            withheld(trials().run(RunKind::Check, &[real(-3.0)], &[real(4.0)]), Which::Now, 1e6, None);
        assert_eq!(found, [Withheld::CheckDisagrees { run: "3".into() }]);
        let found = withheld(trials().run(RunKind::Initial, &[], &[real(11.0)]), Which::AsFound, 1e6, None);
        assert_eq!(found, [Withheld::ScatterAboveStated { sensor: "sensor 1".into() }]);
    }

    // u = 2r₀/(r₁ − r₀) with r₀ = 10, r₁ = 16: ∂u/∂r₀ = 2r₁/6² = 32/36, ∂u/∂r₁ = −20/36, of which the reading as it is makes
    // 1/3. A transfer to where the reading acts one to one.
    #[test]
    fn a_budget_parts_the_check_from_the_coefficients() {
        let set = ByHand::new(1, 1, exactly(0.1))
            .run(RunKind::Initial, &[], &[real(10.0)])
            .run(RunKind::Trial, &[real(2.0)], &[real(16.0)])
            .set();
        let influence = estimate(&set, &Options::default()).unwrap();
        let residual = measured_residual(&set, &influence, 0, Which::AsFound).unwrap();
        assert!((residual.unbalance[0] - 10.0 / 3.0).norm() < 1e-12);
        let at = |millimetres: f64| Length::from_millimetres(millimetres).unwrap();
        let ends = [("front", 0.0), ("rear", 1000.0)].map(|(name, position)| crate::shaft::TolerancePlane {
            name: name.into(),
            position: at(position),
        });
        let transfer = Transfer::new(&[at(0.0)], &ends, &[]).unwrap();
        let budget = budget_of(&residual, &transfer, Some(amount(5.0)), false).unwrap();
        let whole = 0.01 * ((32.0 / 36.0_f64).powi(2) + (20.0 / 36.0_f64).powi(2));
        let reading: f64 = 0.01 / 9.0;
        let wanted = [
            ("reading noise", reading.sqrt(), ShrinksWith::CheckRuns),
            ("how the shaft responds (trial readings)", (whole - reading).sqrt(), ShrinksWith::LargerTrial),
            ("placing and weighing the trial masses", 0.0, ShrinksWith::LargerTrial),
            // Complex rms, so 5/√2 in each component, everywhere.
            ("mounting", 5.0 / 2f64.sqrt(), ShrinksWith::Mountings),
        ];
        assert_eq!(budget.random.len(), wanted.len());
        for (term, (name, size, shrinks)) in budget.random.iter().zip(wanted) {
            assert_eq!((&*term.name, term.shrinks), (name, shrinks));
            assert!((term.sizes[0] - size).abs() < 1e-12, "{term:?}");
            assert!(term.sizes[1] == if name == "mounting" { term.sizes[0] } else { 0.0 }, "{term:?}");
        }
        assert!(budget.systematic.is_empty());
    }
}
