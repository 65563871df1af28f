//! A finding in plain words.

use super::find::{Explanation, Finding, Outcome};
use super::sentence::{label, whole_degrees};
use crate::caution::{Caution, LikelyCause};
use crate::quantity::{Angle, Units, shown};
use crate::run::RunSet;

impl Explanation {
    /// What fits best and what comes next, one sentence on each line.
    #[must_use]
    pub fn sentences(&self, set: &RunSet, units: Units) -> Vec<String> {
        match &self.outcome {
            Outcome::NoNoise => vec![
                "The scatter of the readings is not stated and no run was repeated, so no explanation is \
                 possible: state reading_noise under [stand], or repeat the initial run."
                    .into(),
            ],
            Outcome::NothingToCompare => {
                vec!["There is no run yet that could contradict the others: make a check run.".into()]
            }
            Outcome::NothingWrong => {
                vec!["The runs agree with each other: nothing seems to be wrong.".into()]
            }
            Outcome::NoneOfThese => vec![
                format!("{} None of {} usual mistakes explains it.", self.which_run(set), self.tried),
                "Check the mounting, joint play and loose weights, read the dials again, then repeat this \
                run."
                    .into(),
            ],
            Outcome::Fits(findings) => self.fits(set, units, findings),
        }
    }

    fn which_run(&self, set: &RunSet) -> String {
        match self.accused {
            Some([row, _]) => format!("Run {} does not fit the runs before it.", label(set, row)),
            None => "The runs contradict each other by more than the readings scatter.".into(),
        }
    }

    fn fits(&self, set: &RunSet, units: Units, findings: &[Finding]) -> Vec<String> {
        let mut lines = vec![self.which_run(set)];
        let Some((best, others)) = findings.split_first() else { return lines };
        lines.push(format!("What fits best: {}.", best.hypothesis.sentence(set, units)));
        for other in others.iter().filter(|other| other.named_with_the_best()) {
            lines.push(format!("Fits as well: {}.", other.hypothesis.sentence(set, units)));
        }
        if let Some(next) = others.iter().find(|other| !other.named_with_the_best()) {
            lines.push(format!("Fits less well: {}.", next.hypothesis.sentence(set, units)));
        }
        lines.push(best.hypothesis.look_at(set));
        lines.extend(corrections(set, units, findings));
        lines
    }

    /// The caution that replaces the estimator's own: the same, with what fits best.
    #[must_use]
    pub fn caution(&self, set: &RunSet, units: Units) -> Option<Caution> {
        let cause = match &self.outcome {
            Outcome::Fits(findings) => {
                let named = findings.iter().filter(|finding| finding.named_with_the_best());
                let mut told = named.map(|finding| finding.hypothesis.sentence(set, units));
                let (story, second) = (told.next()?, told.next());
                let or = second.map(|second| match told.count() {
                    0 => second,
                    more => format!("{second}, or {more} more"),
                });
                LikelyCause::FitsBest { story, or }
            }
            Outcome::NoneOfThese => LikelyCause::NoneOfTheUsual,
            Outcome::NoNoise | Outcome::NothingToCompare | Outcome::NothingWrong => return None,
        };
        Some(match self.accused {
            Some([row, _]) => Caution::CheckDisagrees { run: label(set, row).to_owned(), cause: Some(cause) },
            None => Caution::RunsContradict { cause },
        })
    }

    /// Replaces the estimator's caution with this explanation's, so that there is only one.
    pub fn put_into(&self, set: &RunSet, units: Units, cautions: &mut Vec<Caution>) {
        if let Some(own) = self.caution(set, units) {
            let accuses = self.accused.is_some();
            cautions.retain(|caution| match caution {
                Caution::CheckDisagrees { .. } => !accuses,
                Caution::ScatterAboveStated { .. } | Caution::RunsContradict { .. } => accuses,
                _ => true,
            });
            cautions.insert(0, own);
        }
    }
}

impl Finding {
    /// The correction if the file were entered according to this finding: "front 12 g at 210 deg, rear ...".
    /// `None`: a reading of the last check run is left out, so it has to be read again first.
    #[must_use]
    pub fn corrected(&self, set: &RunSet, units: Units) -> Option<String> {
        if set.last_check_block().iter().any(|&row| self.hypothesis.leaves_out(row)) {
            return None;
        }
        let planes = self.correction.planes.iter().zip(&set.setup().planes);
        let of_one =
            |(correction, plane): (&crate::correction::PlaneCorrection, &crate::shaft::CorrectionPlane)| {
                let grams = correction.add.gram_millimetres() / plane.lever();
                let angle = Angle::of(correction.add.vector() * self.hypothesis.turn_to_own_mark());
                format!("{} {} at {:.0} deg", plane.name, amount(units, grams), whole_degrees(angle))
            };
        Some(planes.map(of_one).collect::<Vec<_>>().join(", "))
    }
}

/// A mass as it is read; a small one keeps its two digits.
fn amount(units: Units, grams: f64) -> String {
    if grams < 2.0 { shown::weighed(units, grams) } else { shown::mass(units, grams) }
}

/// What would come next with each of the stories that are named together; each correction once.
fn corrections(set: &RunSet, units: Units, findings: &[Finding]) -> Vec<String> {
    let mut lines = Vec::new();
    let mut seen = Vec::new();
    let named = findings.iter().take_while(|finding| finding.named_with_the_best());
    for (at, finding) in named.enumerate() {
        let Some(corrected) = finding.corrected(set, units) else { continue };
        if seen.contains(&corrected) {
            continue;
        }
        let instead = ["second", "third", "fourth", "fifth"].get(at.wrapping_sub(1));
        match (at, instead) {
            (0, _) => {
                lines.push(format!("Entered that way, the next correction would be: {corrected}."));
            }
            (_, Some(which)) => lines.push(format!("If it was the {which} instead: {corrected}.")),
            (_, None) => {}
        }
        seen.push(corrected);
    }
    lines
}
