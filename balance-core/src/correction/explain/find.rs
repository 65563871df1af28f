//! What fits best.

use super::accused::{Origins, accused};
use super::hypothesis::Hypothesis;
use super::list::hypotheses;
use super::score::score;
use crate::correction::{Correction, correct};
use crate::influence::{Influence, InfluenceFault, Options, estimate};
use crate::run::RunSet;

/// Stories whose scores are closer than this are named together: the likelihood ratio is below e^1.5 = 4.5.
pub const NAMED_TOGETHER: f64 = 3.0;
/// So many stories from the top are looked at in full.
const LOOKED_AT: usize = 6;

/// A story that fits the runs.
#[derive(Debug, Clone)]
pub struct Finding {
    /// What may have gone wrong.
    pub hypothesis: Hypothesis,
    /// Minus twice the log likelihood; lower is better.
    pub score: f64,
    /// How much worse it is than the best one.
    pub gap: f64,
    /// The runs as they would have to be entered.
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
    /// Nobody stated how far the readings scatter and no run was repeated: nothing can be told.
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
/// estimator's own gates (p = 0.001) count as fitting.
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
    let list = hypotheses(set, &origins, accused);
    let tried = list.len();
    let mut ranked: Vec<(f64, Hypothesis, RunSet)> = list
        .into_iter()
        .filter_map(|hypothesis| {
            let edited = hypothesis.applied(set, &origins);
            Some((score(&edited, options)?, hypothesis, edited))
        })
        .collect();
    ranked.sort_by(|one, other| one.0.total_cmp(&other.0));
    ranked.truncate(LOOKED_AT);
    let findings = findings(ranked, options);
    let outcome = if findings.is_empty() { Outcome::NoneOfThese } else { Outcome::Fits(findings) };
    Ok(Explanation { accused, outcome, tried })
}

/// Whether no gate shut: no block disagrees and no sensor scatters more than stated.
fn agrees(influence: &Influence) -> bool {
    influence.groups.iter().all(|group| !group.disagrees() && group.fits().all(|(_, fit)| !fit.above_stated))
}

fn findings(ranked: Vec<(f64, Hypothesis, RunSet)>, options: &Options<'_>) -> Vec<Finding> {
    let mut found: Vec<Finding> = Vec::new();
    for (score, hypothesis, set) in ranked {
        let Some(influence) = estimate(&set, options).ok().filter(agrees) else { continue };
        let gap = found.first().map_or(0.0, |best| score - best.score);
        let correction = correct(&set, &influence);
        found.push(Finding { hypothesis, score, gap, set, correction });
    }
    found
}
