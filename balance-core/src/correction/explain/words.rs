//! A finding in plain words.

use super::find::{Explanation, Finding, Outcome};
use super::hypothesis::{Amount, Hypothesis, Suspects, Turned, Who};
use crate::caution::{Caution, LikelyCause};
use crate::quantity::Angle;
use crate::run::RunSet;

impl Explanation {
    /// What fits best and what comes next, one sentence for each line.
    #[must_use]
    pub fn sentences(&self, set: &RunSet) -> Vec<String> {
        match &self.outcome {
            Outcome::NoNoise => vec![
                "Nobody stated how far the readings scatter and no run was repeated, so nothing can be told: state \
                 reading_noise under [stand], or repeat the initial run."
                    .into(),
            ],
            Outcome::NothingToCompare => {
                vec!["There is no run yet that could contradict the others: a check run would.".into()]
            }
            Outcome::NothingWrong => vec!["The runs agree with each other: nothing seems to be wrong.".into()],
            Outcome::NoneOfThese => vec![
                format!(
                    "{} None of {} usual mistakes explains it.",
                    self.which_run(set),
                    self.tried
                ),
                "Look at the mounting, joint play and loose weights, read the dials again, then repeat this run."
                    .into(),
            ],
            Outcome::Fits(findings) => self.fits(set, findings),
        }
    }

    fn which_run(&self, set: &RunSet) -> String {
        match self.accused {
            Some([row, _]) => format!("Run {} does not fit the runs before it.", label(set, row)),
            None => "The runs contradict each other by more than the readings scatter.".into(),
        }
    }

    fn fits(&self, set: &RunSet, findings: &[Finding]) -> Vec<String> {
        let mut lines = vec![self.which_run(set)];
        let Some((best, others)) = findings.split_first() else { return lines };
        lines.push(format!("What fits best: {}.", best.hypothesis.sentence(set)));
        for other in others.iter().filter(|other| other.named_with_the_best()) {
            lines.push(format!("Fits as well: {}.", other.hypothesis.sentence(set)));
        }
        if let Some(next) = others.iter().find(|other| !other.named_with_the_best()) {
            lines.push(format!("Fits less well: {}.", next.hypothesis.sentence(set)));
        }
        lines.push(best.hypothesis.look_at(set));
        lines.push(format!("Entered that way, the next correction would be: {}.", best.corrected(set)));
        if let Some(second) = others.first().filter(|second| second.named_with_the_best()) {
            lines.push(format!("If it was the second instead: {}.", second.corrected(set)));
        }
        lines
    }

    /// The caution that takes the place of the estimator's own: the same with what fits best.
    #[must_use]
    pub fn caution(&self, set: &RunSet) -> Option<Caution> {
        let cause = match &self.outcome {
            Outcome::Fits(findings) => {
                let best = findings.first()?;
                let together = findings.get(1).filter(|second| second.named_with_the_best());
                LikelyCause::FitsBest {
                    story: best.hypothesis.sentence(set),
                    or: together.map(|second| second.hypothesis.sentence(set)),
                }
            }
            Outcome::NoneOfThese => LikelyCause::NoneOfTheUsual,
            Outcome::NoNoise | Outcome::NothingToCompare | Outcome::NothingWrong => return None,
        };
        Some(match self.accused {
            Some([row, _]) => Caution::CheckDisagrees { run: label(set, row).to_owned(), cause: Some(cause) },
            None => Caution::RunsContradict { cause },
        })
    }

    /// Puts this explanation's caution in the place of the estimator's, so that there is one and not two.
    pub fn put_into(&self, set: &RunSet, cautions: &mut Vec<Caution>) {
        if let Some(own) = self.caution(set) {
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
    /// The correction if the file were entered the way this finding has it: "front 12 g at 210 deg, rear ...".
    #[must_use]
    pub fn corrected(&self, set: &RunSet) -> String {
        let planes = self.correction.planes.iter().zip(&set.setup().planes);
        let of_one =
            |(correction, plane): (&crate::correction::PlaneCorrection, &crate::shaft::CorrectionPlane)| {
                let grams = correction.add.gram_millimetres() / plane.lever();
                let angle = Angle::of(correction.add.vector() * self.hypothesis.turn_to_own_mark());
                format!("{} {} g at {:.0} deg", plane.name, half_grams(grams), whole_degrees(angle))
            };
        planes.map(of_one).collect::<Vec<_>>().join(", ")
    }
}

impl Hypothesis {
    /// What went wrong, as part of a sentence.
    #[must_use]
    pub fn sentence(&self, set: &RunSet) -> String {
        match self {
            Self::OtherWayRound(own) => format!("{} counted the other way round", were(set, *own)),
            Self::OppositeSide(own) => format!("{} on the opposite side (half a turn off)", were(set, *own)),
            Self::WrongAmount(own, Amount::Double) => {
                format!("{} twice as heavy as entered", were(set, *own))
            }
            Self::WrongAmount(own, Amount::Half) => format!("{} half as heavy as entered", were(set, *own)),
            Self::PlanesSwapped { who, planes: [first, second] } => format!(
                "the {} of {} and {} were swapped",
                pieces(*who),
                plane(set, *first),
                plane(set, *second)
            ),
            Self::TrialLeftOn { trial, from, .. } => {
                format!(
                    "the trial mass of run {} was still on in run {}",
                    label(set, *trial),
                    label(set, *from)
                )
            }
            Self::WeightForgotten { from, mass } => format!(
                "the weight of {} g at {:.0} deg, {}, was not on in run {}",
                half_grams(mass.mass.grams()),
                whole_degrees(mass.angle),
                plane(set, mass.plane),
                label(set, *from)
            ),
            Self::NothingOn { from } => {
                format!("none of the new weights was on in run {}", label(set, *from))
            }
            Self::MarkMoved { from, degrees, turned, .. } => mark_moved(set, *from, *degrees, *turned),
            Self::SensorsSwapped { rows, sensors: [first, second] } => format!(
                "the sensors {} and {} were swapped {}",
                sensor(set, *first),
                sensor(set, *second),
                span(set, *rows)
            ),
            Self::PhaseOpposite { rows, sensor: own } => {
                format!("the phase at sensor {} was half a turn off {}", sensor(set, *own), span(set, *rows))
            }
        }
    }

    /// What to look at, and which run to repeat.
    #[must_use]
    pub fn look_at(&self, set: &RunSet) -> String {
        let again = |who: &Who| match who {
            Who::CameOn { from } => format!(
                "If it is so, correct the entry of run {}; no run needs repeating.",
                label(set, *from)
            ),
            Who::Trials => "If you cannot tell any more, repeat that trial run.".into(),
            Who::All => "If you cannot tell, make one more trial a quarter turn from the first.".into(),
        };
        match self {
            Self::OtherWayRound(own) => format!(
                "Look which way the tape runs from the mark, seen from the front at both ends. {}",
                again(&own.who)
            ),
            Self::OppositeSide(own) => {
                format!("Look where the {} sit from the mark. {}", pieces(own.who), again(&own.who))
            }
            Self::WrongAmount(own, _) => format!("Weigh the {} again. {}", pieces(own.who), again(&own.who)),
            Self::PlanesSwapped { who, .. } => {
                format!("Look at which end each of the {} sits. {}", pieces(*who), again(who))
            }
            Self::TrialLeftOn { from, .. } => {
                format!("Look whether it is still on; with it off, repeat run {}.", label(set, *from))
            }
            Self::WeightForgotten { from, .. } | Self::NothingOn { from } => {
                format!(
                    "Count the weights on the shaft; with all of them on, repeat run {}.",
                    label(set, *from)
                )
            }
            Self::MarkMoved { from, .. } => format!(
                "Look whether the mark sits where it did; if it moved, put it back and repeat run {}.",
                label(set, *from)
            ),
            Self::SensorsSwapped { rows: [from, _], .. } | Self::PhaseOpposite { rows: [from, _], .. } => {
                format!("Follow the cables, then repeat run {}.", label(set, *from))
            }
        }
    }

    /// What turns an angle from the mark as it was into one from the mark that the tape starts from now.
    fn turn_to_own_mark(&self) -> num_complex::Complex64 {
        match self {
            Self::MarkMoved { degrees, turned: Turned::Weights | Turned::Both, .. } => {
                num_complex::Complex64::cis(-f64::from(*degrees).to_radians())
            }
            _ => num_complex::Complex64::new(1.0, 0.0),
        }
    }
}

fn mark_moved(set: &RunSet, from: usize, degrees: i32, turned: Turned) -> String {
    let way = if degrees > 0 { "in the counting direction" } else { "against the counting direction" };
    let what = match turned {
        Turned::Readings => "the stand's mark sat",
        Turned::Weights => "the weights were measured from a mark that sits",
        Turned::Both => "the zero mark, for weights and readings, sat",
    };
    format!("{what} {} deg further {way} from run {} on", degrees.abs(), label(set, from))
}

fn pieces(who: Who) -> &'static str {
    match who {
        Who::CameOn { .. } => "weights",
        Who::Trials => "trial masses",
        Who::All => "masses of all runs",
    }
}

/// "the weights of run 4 at the rear were".
fn were(set: &RunSet, suspects: Suspects) -> String {
    let run = match suspects.who {
        Who::CameOn { from } => format!(" of run {}", label(set, from)),
        Who::Trials | Who::All => String::new(),
    };
    let place = suspects.plane.map_or(String::new(), |own| format!(" at {}", plane(set, own)));
    format!("the {}{run}{place} were", pieces(suspects.who))
}

fn span(set: &RunSet, [from, to]: [usize; 2]) -> String {
    if from == to {
        return format!("in run {}", label(set, from));
    }
    format!("from run {} on", label(set, from))
}

fn label(set: &RunSet, row: usize) -> &str {
    set.rows().get(row).map_or("", |row| row.run.label.as_str())
}

fn plane(set: &RunSet, at: usize) -> &str {
    set.setup().planes.get(at).map_or("", |plane| plane.name.as_str())
}

fn sensor(set: &RunSet, at: usize) -> &str {
    set.setup().sensors.get(at).map_or("", |sensor| sensor.name.as_str())
}

fn whole_degrees(angle: Angle) -> f64 {
    angle.degrees_in_turn().round() % 360.0
}

/// Half grams as people write them; small amounts keep two digits.
fn half_grams(grams: f64) -> String {
    if grams < 2.0 { format!("{grams:.2}") } else { format!("{}", (grams * 2.0).round() / 2.0) }
}
