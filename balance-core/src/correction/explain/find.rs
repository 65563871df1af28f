//! What fits best.

use super::accused::{Origins, accused, last_block};
use super::hypothesis::Hypothesis;
use super::list::hypotheses;
use super::score::score;
use crate::correction::{Correction, correct};
use crate::influence::{Influence, InfluenceFault, Options, estimate};
use crate::run::RunSet;

/// Stories whose scores are closer than this are named together: the likelihood ratio is below e^2.5 = 12.
pub const NAMED_TOGETHER: f64 = 5.0;
/// This many of the best stories are examined in full, until one of them is clearly worse than the best.
const LOOKED_AT: usize = 24;

/// A story that fits the runs.
#[derive(Debug, Clone)]
pub struct Finding {
    /// What may have gone wrong.
    pub hypothesis: Hypothesis,
    /// Minus twice the log likelihood; lower is better.
    pub score: f64,
    /// How much worse it is than the best one.
    pub gap: f64,
    /// The runs as they should have been entered.
    pub set: RunSet,
    /// The correction from those.
    pub correction: Correction,
}

impl Finding {
    /// Whether it is as good as the best one: the two are named together.
    #[must_use]
    pub fn named_with_the_best(&self) -> bool {
        self.gap <= NAMED_TOGETHER
    }
}

/// What the runs say about what went wrong.
#[derive(Debug, Clone)]
pub enum Outcome {
    /// The scatter of the readings is not stated and no run was repeated: no explanation is possible.
    NoNoise,
    /// There is no run that could contradict the others.
    NothingToCompare,
    /// The runs agree with each other as entered.
    NothingWrong,
    /// These fit, best first.
    Fits(Vec<Finding>),
    /// The runs disagree, and nothing on the list explains it.
    NoneOfThese,
}

/// What went wrong.
#[derive(Debug, Clone)]
pub struct Explanation {
    /// First and last row of the run that does not fit the runs before it, if one does not.
    pub accused: Option<[usize; 2]>,
    /// What the runs say.
    pub outcome: Outcome,
    /// How many stories were tried.
    pub tried: usize,
}

/// Looks for what may have gone wrong.
///
/// # Method
///
/// If the runs agree as entered, nothing is accused. Otherwise every story of a list is an edit of what the file says
/// (in all rows that repeat it); each is fitted with the same estimator and scored. Only stories that pass the
/// estimator's own gates (p = 0.001) count as fitting. At most [`MOST_TRIED`](super::MOST_TRIED) stories are fitted.
///
/// # Errors
///
/// The faults of [`estimate`] for the runs as entered.
pub fn explain(set: &RunSet, options: &Options<'_>) -> Result<Explanation, Vec<InfluenceFault>> {
    let influence = estimate(set, options)?;
    let accused = accused(set, &influence);
    let plain = |outcome| Explanation { accused, outcome, tried: 0 };
    if influence.degrees_of_freedom().is_none() {
        return Ok(plain(Outcome::NoNoise));
    }
    if agrees(&influence) {
        let compared = influence
            .groups
            .iter()
            .any(|group| !group.blocks.is_empty() || group.fits().any(|(_, fit)| fit.redundant()));
        return Ok(plain(if compared { Outcome::NothingWrong } else { Outcome::NothingToCompare }));
    }
    let origins = Origins::of_set(set);
    let list = hypotheses(set, &origins, accused.or_else(|| last_block(set, &influence)));
    let tried = list.len();
    let findings = findings(ranked(set, &origins, list, options), options);
    let outcome = if findings.is_empty() { Outcome::NoneOfThese } else { Outcome::Fits(findings) };
    Ok(Explanation { accused, outcome, tried })
}

/// Whether all gates were passed: no block disagrees and no sensor scatters more than stated.
pub(super) fn agrees(influence: &Influence) -> bool {
    influence.groups.iter().all(|group| !group.disagrees() && group.fits().all(|(_, fit)| !fit.above_stated))
}

struct Told {
    hypothesis: Hypothesis,
    set: RunSet,
    score: f64,
}

/// The best stories, best first; exact twins in the order of the list.
fn ranked(set: &RunSet, origins: &Origins, list: Vec<Hypothesis>, options: &Options<'_>) -> Vec<Told> {
    let told = |hypothesis: Hypothesis| {
        let story = hypothesis.applied(set, origins);
        Some(Told { score: score(Some(&hypothesis), set, &story, options)?, hypothesis, set: story })
    };
    let mut ranked: Vec<Told> = list.into_iter().filter_map(told).collect();
    // Rounded, so that rounding errors do not decide which of two twins is named first.
    ranked.sort_by(|one, other| (one.score * 1e6).round().total_cmp(&(other.score * 1e6).round()));
    let mut ranked = one_digit_for_each_mass(ranked);
    ranked.truncate(LOOKED_AT);
    ranked
}

/// Of the angles that a lost digit allows for one mass, the roundest one that fits about as well as the best.
fn one_digit_for_each_mass(ranked: Vec<Told>) -> Vec<Told> {
    let mut kept: Vec<Told> = Vec::new();
    for told in ranked {
        let same = |own: &&mut Told| own.hypothesis.same_but_for_the_digit(&told.hypothesis);
        match kept.iter_mut().find(same) {
            Some(own) if told.score - own.score <= NAMED_TOGETHER => {
                if told.hypothesis.roundness() > own.hypothesis.roundness() {
                    *own = Told { score: own.score, ..told };
                }
            }
            Some(_) => {}
            None => kept.push(told),
        }
    }
    kept
}

/// The stories that pass the gates: those named together, and the one after them.
fn findings(ranked: Vec<Told>, options: &Options<'_>) -> Vec<Finding> {
    let mut found: Vec<Finding> = Vec::new();
    for Told { hypothesis, set, score } in ranked {
        if found.last().is_some_and(|last| !last.named_with_the_best()) {
            break;
        }
        let Some(influence) = estimate(&set, options).ok().filter(agrees) else { continue };
        let gap = found.first().map_or(0.0, |best| score - best.score);
        let correction = correct(&set, &influence);
        found.push(Finding { hypothesis, score, gap, set, correction });
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::hypothesis::{ListedMass, MassSlip, Suspects, Who};
    use super::*;
    use crate::quantity::Angle;
    use crate::run::{Convention, Noise, Run, RunKind, SensorReading, Setup};
    use crate::shaft::{CorrectionPlane, Sensor};

    /// The story that the mass of a row was really at so many degrees.
    fn told(row: usize, degrees: i32, score: f64) -> Told {
        let setup = Setup {
            planes: vec![CorrectionPlane::named("front")],
            sensors: vec![Sensor::vibration("front", "mm/s")],
            convention: Convention::unstated(),
            noise: Noise::not_stated(),
        };
        let shown = SensorReading::Shown { amplitude: 5.0, phase: Angle::ZERO };
        let set = RunSet::new(setup, vec![Run::new("1", RunKind::Initial, vec![], vec![shown])]).unwrap();
        let who = Who::Piece(ListedMass { row, at: 0 });
        let slip = MassSlip::DigitLost { degrees };
        Told { hypothesis: Hypothesis::Masses(Suspects { who, plane: None }, slip), set, score }
    }

    /// What is kept of these, best first: row, degrees and score.
    fn kept(stories: &[(usize, i32, f64)]) -> Vec<(usize, i32, f64)> {
        let stories = stories.iter().map(|&(row, degrees, score)| told(row, degrees, score)).collect();
        let of = |own: Told| match own.hypothesis {
            Hypothesis::Masses(Suspects { who: Who::Piece(mass), .. }, MassSlip::DigitLost { degrees }) => {
                (mass.row, degrees, own.score)
            }
            other => panic!("{other:?}"),
        };
        one_digit_for_each_mass(stories).into_iter().map(of).collect()
    }

    /// People prefer tens, then fives; among equally round angles the one that fits best is named.
    #[test]
    fn the_roundest_angle_that_fits_about_as_well_is_named_for_each_mass() {
        assert_eq!(kept(&[(1, 136, 10.0), (1, 236, 10.5), (1, 316, 11.0)]), [(1, 136, 10.0)]);
        assert_eq!(kept(&[(1, 170, 10.0), (1, 270, 10.5)]), [(1, 170, 10.0)]);
        assert_eq!(kept(&[(1, 136, 10.0), (1, 135, 11.0), (1, 130, 14.0)]), [(1, 130, 10.0)]);
        assert_eq!(kept(&[(1, 130, 10.0), (1, 135, 11.0)]), [(1, 130, 10.0)]);
        // More than 5 worse is too much for the best, however round.
        assert_eq!(kept(&[(1, 136, 10.0), (1, 130, 15.5)]), [(1, 136, 10.0)]);
        // Each mass has its own.
        assert_eq!(
            kept(&[(1, 136, 10.0), (2, 236, 10.5), (1, 130, 11.0), (2, 237, 12.0)]),
            [(1, 130, 10.0), (2, 236, 10.5)]
        );
    }
}
