//! Meets, exceeds or undecided.

use crate::chance::{CIRCLE_95, Rice};
use crate::quantity::{Unbalance, UnbalanceAmount};

use super::budget::{Budget, BudgetFault, MoreRuns, ShrinksWith, TermKind};
use super::evidence::Withheld;

/// The risk of a wrong verdict: "meets" holds with at least 95 %, and so does "exceeds".
const RISK: f64 = 0.05;
/// More check runs or mountings than this are not advised.
const MOST_FURTHER: usize = 10;

/// The three answers, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Decision {
    /// What is left is within the limit in every tolerance plane, with at least 95 %.
    Meets,
    /// Neither can be stated.
    Undecided,
    /// What is left is over the limit in some tolerance plane, with at least 95 %.
    Exceeds,
}

impl Decision {
    /// The word printed and stored: `meets`, `undecided`, `exceeds`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Meets => "meets",
            Self::Undecided => "undecided",
            Self::Exceeds => "exceeds",
        }
    }
}

/// The decision that holds for several speeds or shafts together: the worst; `None` of none.
///
/// ```
/// use balance_core::grade::{Decision, worst};
/// assert_eq!(worst([Decision::Meets, Decision::Exceeds, Decision::Undecided]), Some(Decision::Exceeds));
/// assert_eq!(worst([]), None);
/// ```
#[must_use]
pub fn worst(decisions: impl IntoIterator<Item = Decision>) -> Option<Decision> {
    decisions.into_iter().max()
}

/// What was measured in one tolerance plane, and what is allowed there.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgedPlane {
    /// The plane's name.
    pub name: String,
    /// What is left, from readings measured after the correction.
    pub residual: Unbalance,
    /// The permissible residual unbalance.
    pub permissible: UnbalanceAmount,
}

/// Everything a verdict needs.
#[derive(Debug, Clone, Copy)]
pub struct Question<'a> {
    /// The tolerance planes.
    pub planes: &'a [JudgedPlane],
    /// What makes the residuals uncertain; `None` when the noise is neither stated nor estimated.
    pub budget: Option<&'a Budget>,
}

/// Why the decision is as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Reason {
    /// It is decided.
    Decided,
    /// What was measured does not support a verdict: see [`Verdict::withheld`].
    Withheld,
    /// The noise is not known, so nothing is claimed.
    NoiseUnknown,
    /// So uncertain that even a residual of zero could not be accepted in some plane.
    NothingProvable,
    /// What is left is too near the limit for its uncertainty.
    TooNear,
}

/// The answer for one tolerance plane.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaneVerdict {
    /// The plane's name.
    pub name: String,
    /// What is left.
    pub residual: Unbalance,
    /// What is allowed.
    pub permissible: UnbalanceAmount,
    /// Standard uncertainty of each component in g·mm; `None` when unknown.
    pub standard_uncertainty: Option<f64>,
    /// The same, widened for how well it is known; the probabilities rest on it.
    pub widened_uncertainty: Option<f64>,
    /// Complex degrees of freedom behind the standard uncertainty (infinite: exactly known); `None` when unknown.
    pub degrees_of_freedom: Option<f64>,
    /// The combined systematic terms, Δ in g·mm; `None` when unknown.
    pub systematic: Option<f64>,
    /// Probability of being within the limit even if the systematic terms make it worse: P(|u| ≤ T − Δ).
    pub probability: Option<f64>,
    /// Probability of being within the limit if they make it better: P(|u| ≤ T + Δ).
    pub probability_at_best: Option<f64>,
    /// The combined error ΔU of the plain rule: Δ and the radius of the 95 % circle, 2.448·s, in g·mm.
    pub plain_error: Option<f64>,
    /// The plain rule of ISO 21940-14 [from memory, high]: meets if U ≤ T − ΔU, exceeds if U > T + ΔU.
    pub plain_rule: Decision,
}

impl PlaneVerdict {
    fn forget_uncertainty(&mut self) {
        self.standard_uncertainty = None;
        self.widened_uncertainty = None;
        self.degrees_of_freedom = None;
        self.systematic = None;
        self.plain_error = None;
    }
}

impl PlaneVerdict {
    /// Give or take in g·mm: the radius of the 95 % circle, systematic terms added; `None` when unknown.
    #[must_use]
    pub fn give_or_take(&self) -> Option<f64> {
        let systematic = self.systematic.unwrap_or(0.0);
        self.widened_uncertainty.map(|own| CIRCLE_95 * own + systematic)
    }
}

/// The term that keeps a verdict from being decided.
#[derive(Debug, Clone, PartialEq)]
pub struct InTheWay {
    /// The term's name.
    pub name: String,
    /// Random or systematic.
    pub kind: TermKind,
    /// True if the verdict would be decided without this one term (after ten further check runs).
    pub alone: bool,
    /// What would make it smaller.
    pub shrinks: ShrinksWith,
}

/// A verdict of three values, with its probability.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// Meets, undecided or exceeds.
    pub decision: Decision,
    /// Why.
    pub reason: Reason,
    /// At least this probability of meeting the limit in all planes: 1 − Σ(1 − P_i), never below 0. It holds
    /// however the planes are correlated. `None` when the noise is unknown.
    pub probability: Option<f64>,
    /// Each tolerance plane.
    pub planes: Vec<PlaneVerdict>,
    /// Fewest further check runs in the same mounting that would decide if they read the same; 0 when
    /// decided, `None` if ten are not enough.
    pub more_check_runs: Option<usize>,
    /// Fewest further mountings with a check run each that would decide if they read the same; 0 when
    /// decided, `None` if ten are not enough.
    pub more_mountings: Option<usize>,
    /// What prevents a decision when undecided.
    pub in_the_way: Option<InTheWay>,
    /// Why no verdict can rest on what was measured; empty: it can.
    pub withheld: Vec<Withheld>,
}

impl Verdict {
    /// The same figures without a verdict, where what was measured does not support one: undecided, no
    /// probability, and no further run that would decide. At the ends of a piece that is not seen there is no
    /// uncertainty either: anything may be left there. Without a reason nothing changes.
    #[must_use]
    pub fn withhold(mut self, reasons: Vec<Withheld>) -> Self {
        if reasons.is_empty() {
            return self;
        }
        for plane in &mut self.planes {
            plane.probability = None;
            plane.probability_at_best = None;
            plane.plain_rule = Decision::Undecided;
        }
        let unseen = reasons.iter().filter_map(|reason| match reason {
            Withheld::NotSeen { ends, .. } => Some(ends),
            _ => None,
        });
        for &end in unseen.flatten() {
            if let Some(plane) = self.planes.get_mut(end) {
                plane.forget_uncertainty();
            }
        }
        self.withheld.extend(reasons);
        Self {
            decision: Decision::Undecided,
            reason: Reason::Withheld,
            probability: None,
            more_check_runs: None,
            more_mountings: None,
            in_the_way: None,
            ..self
        }
    }
}

impl Question<'_> {
    /// The verdict.
    ///
    /// # Method
    ///
    /// The amount of a vector with circular noise follows the law of Rice. With P_i = P(|u_i| ≤ T_i − Δ_i):
    /// meets if Σ(1 − P_i) ≤ 0.05. With P_i = P(|u_i| ≤ T_i + Δ_i): exceeds if the least P_i ≤ 0.05. Else
    /// undecided. Without any figure for the noise it is undecided.
    ///
    /// # Source
    ///
    /// Three values after ISO 21940-14 (accept if U ≤ U_per − ΔU, reject if U > U_per + ΔU); probabilities derived
    /// here. In a simulation of 1.2 million shafts 0.1 to 0.8 % of the accepted were over the limit, where the plain
    /// comparison U ≤ U_per gives 2 to 11 % (`tests/slow/verdict_statistics.rs`).
    ///
    /// # Errors
    ///
    /// Every [`BudgetFault`] found.
    pub fn verdict(&self) -> Result<Verdict, Vec<BudgetFault>> {
        let faults = self.faults();
        if !faults.is_empty() {
            return Err(faults);
        }
        let Some(budget) = self.budget else {
            return Ok(self.unknown());
        };
        let judged = judge(self.planes, budget, MoreRuns::default());
        let undecided = judged.decision == Decision::Undecided;
        Ok(Verdict {
            decision: judged.decision,
            reason: if undecided { self.reason(budget) } else { Reason::Decided },
            probability: Some((1.0 - judged.risk).max(0.0)),
            more_check_runs: self.fewest(&judged, budget, |check_runs| MoreRuns { check_runs, mountings: 0 }),
            more_mountings: self.fewest(&judged, budget, |mountings| MoreRuns { check_runs: 0, mountings }),
            in_the_way: if undecided { self.in_the_way(budget) } else { None },
            planes: judged.planes,
            withheld: Vec::new(),
        })
    }

    /// The decision alone, for many shafts.
    ///
    /// # Errors
    ///
    /// As [`Question::verdict`].
    pub fn decision(&self) -> Result<Decision, Vec<BudgetFault>> {
        let faults = self.faults();
        if !faults.is_empty() {
            return Err(faults);
        }
        let judged = |budget| judge(self.planes, budget, MoreRuns::default()).decision;
        Ok(self.budget.map_or(Decision::Undecided, judged))
    }

    fn faults(&self) -> Vec<BudgetFault> {
        let mut faults = Vec::new();
        if self.planes.is_empty() {
            faults.push(BudgetFault::NoPlane);
        }
        let bad = self.planes.iter().filter(|plane| !plane.residual.gram_millimetres().is_finite());
        faults.extend(bad.map(|plane| BudgetFault::Residual { plane: plane.name.clone() }));
        faults.extend(self.budget.iter().flat_map(|budget| budget.faults(self.planes.len())));
        faults
    }

    fn unknown(&self) -> Verdict {
        let blank = |plane: &JudgedPlane| PlaneVerdict {
            name: plane.name.clone(),
            residual: plane.residual,
            permissible: plane.permissible,
            standard_uncertainty: None,
            widened_uncertainty: None,
            degrees_of_freedom: None,
            systematic: None,
            probability: None,
            probability_at_best: None,
            plain_error: None,
            plain_rule: Decision::Undecided,
        };
        Verdict {
            decision: Decision::Undecided,
            reason: Reason::NoiseUnknown,
            probability: None,
            planes: self.planes.iter().map(blank).collect(),
            more_check_runs: None,
            more_mountings: None,
            in_the_way: None,
            withheld: Vec::new(),
        }
    }

    /// How much further work would decide.
    fn fewest(&self, now: &Judged, budget: &Budget, more: impl Fn(usize) -> MoreRuns) -> Option<usize> {
        let decides =
            |further: usize| judge(self.planes, budget, more(further)).decision != Decision::Undecided;
        match now.decision {
            Decision::Undecided => (1..=MOST_FURTHER).find(|&further| decides(further)),
            _ => Some(0),
        }
    }

    /// Too uncertain for any verdict, or only too near the limit?
    fn reason(&self, budget: &Budget) -> Reason {
        let at_zero: Vec<JudgedPlane> = self
            .planes
            .iter()
            .map(|plane| JudgedPlane { residual: Unbalance::ZERO, ..plane.clone() })
            .collect();
        match judge(&at_zero, budget, MoreRuns::default()).decision {
            Decision::Meets => Reason::TooNear,
            _ => Reason::NothingProvable,
        }
    }

    /// The largest term without which ten further check runs would decide; if there is none, the largest.
    fn in_the_way(&self, budget: &Budget) -> Option<InTheWay> {
        let more = MoreRuns { check_runs: MOST_FURTHER, mountings: 0 };
        let mut terms: Vec<(f64, InTheWay)> = without_each(budget)
            .map(|(name, kind, shrinks, rest)| {
                let alone = judge(self.planes, &rest, more).decision != Decision::Undecided;
                (self.weight_of(budget, &rest, more), InTheWay { name, kind, alone, shrinks })
            })
            .collect();
        terms.sort_by(|one, other| other.0.total_cmp(&one.0));
        let first = terms.iter().position(|(_, term)| term.alone).unwrap_or(0);
        (first < terms.len()).then(|| terms.swap_remove(first).1)
    }

    /// How much a budget shrinks without a term, relative to the limit, for the plane where it shrinks most.
    fn weight_of(&self, budget: &Budget, rest: &Budget, more: MoreRuns) -> f64 {
        let error = |budget: &Budget, plane| {
            budget.systematic_bound(plane) + CIRCLE_95 * budget.widened_uncertainty(plane, more)
        };
        let lost = |(plane, judged): (usize, &JudgedPlane)| {
            (error(budget, plane) - error(rest, plane))
                / judged.permissible.gram_millimetres().max(f64::MIN_POSITIVE)
        };
        self.planes.iter().enumerate().map(lost).fold(0.0, f64::max)
    }
}

/// The budget without each of its terms in turn.
fn without_each(budget: &Budget) -> impl Iterator<Item = (String, TermKind, ShrinksWith, Budget)> {
    let random = budget.random.iter().enumerate().map(|(index, term)| {
        let mut rest = budget.clone();
        rest.random.remove(index);
        (term.name.clone(), TermKind::Random, term.shrinks, rest)
    });
    let systematic = budget.systematic.iter().enumerate().map(|(index, term)| {
        let mut rest = budget.clone();
        rest.systematic.remove(index);
        (term.name.clone(), TermKind::Systematic, term.shrinks, rest)
    });
    random.chain(systematic)
}

struct Judged {
    decision: Decision,
    risk: f64,
    planes: Vec<PlaneVerdict>,
}

fn judge(planes: &[JudgedPlane], budget: &Budget, more: MoreRuns) -> Judged {
    let mut risk = 0.0;
    let mut at_best: f64 = 1.0;
    let mut verdicts = Vec::with_capacity(planes.len());
    for (index, plane) in planes.iter().enumerate() {
        let chances = Chances::of(plane, budget, index, more);
        risk += chances.beyond;
        at_best = at_best.min(chances.at_best);
        verdicts.push(chances.verdict(plane, budget, index));
    }
    let decision = if risk <= RISK {
        Decision::Meets
    } else if at_best <= RISK {
        Decision::Exceeds
    } else {
        Decision::Undecided
    };
    Judged { decision, risk, planes: verdicts }
}

/// What can be said of one plane.
struct Chances {
    uncertainty: f64,
    systematic: f64,
    within: f64,
    beyond: f64,
    at_best: f64,
}

impl Chances {
    fn of(plane: &JudgedPlane, budget: &Budget, index: usize, more: MoreRuns) -> Self {
        let (uncertainty, systematic) =
            (budget.widened_uncertainty(index, more), budget.systematic_bound(index));
        let limit = plane.permissible.gram_millimetres();
        let nothing = Self { uncertainty, systematic, within: 0.0, beyond: 1.0, at_best: 1.0 };
        // Sizes whose squares overflow give no probability law: then nothing is known.
        Rice::new(plane.residual.gram_millimetres(), uncertainty).map_or(nothing, |law| {
            let (within, beyond) = law.sides(limit - systematic);
            let at_best = law.within(limit + systematic);
            Self { uncertainty, systematic, within, beyond, at_best }
        })
    }

    fn verdict(&self, plane: &JudgedPlane, budget: &Budget, index: usize) -> PlaneVerdict {
        let error = self.systematic + CIRCLE_95 * self.uncertainty;
        let (found, limit) = (plane.residual.gram_millimetres(), plane.permissible.gram_millimetres());
        let plain_rule = if found <= limit - error {
            Decision::Meets
        } else if found > limit + error {
            Decision::Exceeds
        } else {
            Decision::Undecided
        };
        PlaneVerdict {
            name: plane.name.clone(),
            residual: plane.residual,
            permissible: plane.permissible,
            standard_uncertainty: Some(budget.standard_uncertainty(index)),
            widened_uncertainty: Some(self.uncertainty),
            degrees_of_freedom: Some(budget.degrees_of_freedom(index)),
            systematic: Some(self.systematic),
            probability: Some(self.within),
            probability_at_best: Some(self.at_best),
            plain_error: Some(error),
            plain_rule,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::budget::{RandomTerm, ShrinksWith, SystematicTerm};
    use super::super::next_step::NextStep;
    use super::super::seen::Untried;
    use super::*;
    use crate::quantity::Angle;

    fn plane(residual: f64, permissible: f64) -> JudgedPlane {
        let amount = |value| UnbalanceAmount::from_gram_millimetres(value).unwrap();
        JudgedPlane {
            name: "front joint".into(),
            residual: Unbalance::at(amount(residual), Angle::from_degrees(201.0).unwrap()),
            permissible: amount(permissible),
        }
    }

    fn term(name: &str, size: f64, shrinks: ShrinksWith, planes: usize) -> RandomTerm {
        RandomTerm {
            name: name.into(),
            sizes: vec![size; planes],
            degrees_of_freedom: f64::INFINITY,
            shrinks,
        }
    }

    fn noisy(size: f64, planes: usize) -> Budget {
        Budget {
            random: vec![term("reading noise", size, ShrinksWith::CheckRuns, planes)],
            ..Budget::exact()
        }
    }

    fn decide(planes: &[JudgedPlane], budget: &Budget) -> Verdict {
        Question { planes, budget: Some(budget) }.verdict().unwrap()
    }

    // Accept limits recomputed with SciPy (brentq on ncx2): 0.83002 for one plane, 0.79841 for each of two.
    #[test]
    fn it_meets_up_to_the_accept_limit() {
        for (count, limit) in [(1, 0.830_02), (2, 0.798_41)] {
            let decision =
                |share: f64| decide(&vec![plane(share * 400.0, 400.0); count], &noisy(40.0, count)).decision;
            assert_eq!(decision(limit - 2e-5), Decision::Meets, "{count}");
            assert_eq!(decision(limit + 2e-5), Decision::Undecided, "{count}");
        }
    }

    // SciPy: ncx2.cdf(100, 2, a²) = 0.05 at a = 11.5997…: one plane over the limit is enough.
    #[test]
    fn it_exceeds_from_the_reject_limit_in_any_plane() {
        let decision =
            |residual: f64| decide(&[plane(10.0, 400.0), plane(residual, 400.0)], &noisy(40.0, 2)).decision;
        assert_eq!(decision(463.0), Decision::Undecided);
        assert_eq!(decision(470.0), Decision::Exceeds);
    }

    #[test]
    fn without_uncertainty_it_is_a_plain_comparison() {
        let exact = Budget::exact();
        assert_eq!(decide(&[plane(400.0, 400.0)], &exact).decision, Decision::Meets);
        assert_eq!(decide(&[plane(400.1, 400.0)], &exact).decision, Decision::Exceeds);
    }

    // A bound may act against the limit or for it: what counts is the worse, and to exceed, the better.
    #[test]
    fn a_systematic_bound_moves_the_limit_both_ways() {
        let with = |residual: f64, permissible: f64, bound: f64| {
            let bow =
                SystematicTerm { name: "bow".into(), sizes: vec![bound], shrinks: ShrinksWith::ServiceSpeed };
            let budget = Budget { systematic: vec![bow], ..noisy(40.0, 1) };
            decide(&[plane(residual, permissible)], &budget)
        };
        for residual in [250.0, 390.0, 440.0] {
            let own = with(residual, 400.0, 30.0).planes[0].clone();
            let (less, more) = (with(residual, 370.0, 0.0), with(residual, 430.0, 0.0));
            assert_eq!(own.probability, less.planes[0].probability);
            assert_eq!(own.probability_at_best, more.planes[0].probability_at_best);
            assert_eq!(less.planes[0].probability, less.planes[0].probability_at_best);
        }
        // 466 exceeds 400 (see above), not with 30 either way; 496 does.
        assert_eq!(with(466.0, 400.0, 0.0).decision, Decision::Exceeds);
        assert_eq!(with(466.0, 400.0, 30.0).decision, Decision::Undecided);
        assert_eq!(with(496.0, 400.0, 30.0).decision, Decision::Exceeds);
    }

    #[test]
    fn unknown_noise_claims_nothing() {
        let planes = [plane(0.0, 400.0)];
        let verdict = Question { planes: &planes, budget: None }.verdict().unwrap();
        assert_eq!((verdict.decision, verdict.reason), (Decision::Undecided, Reason::NoiseUnknown));
        assert_eq!((verdict.probability, verdict.more_check_runs), (None, None));
        assert_eq!(verdict.planes[0].probability, None);
    }

    // 350 of 400 with s = 40 is undecided; the accept limit at s/T = 0.0707 is 0.882 (SciPy): one further run decides.
    #[test]
    fn undecided_says_how_many_check_runs_would_decide() {
        let verdict = decide(&[plane(350.0, 400.0)], &noisy(40.0, 1));
        assert_eq!((verdict.decision, verdict.reason), (Decision::Undecided, Reason::TooNear));
        assert_eq!(verdict.more_check_runs, Some(1));
        assert_eq!(decide(&[plane(100.0, 400.0)], &noisy(40.0, 1)).more_check_runs, Some(0));
    }

    #[test]
    fn undecided_says_which_term_stands_in_the_way() {
        let mut budget = noisy(40.0, 1);
        budget.random.push(term("mounting scatter", 60.0, ShrinksWith::Mountings, 1));
        let verdict = decide(&[plane(320.0, 400.0)], &budget);
        assert_eq!(verdict.more_check_runs, None);
        assert!(verdict.more_mountings.is_some_and(|mountings| mountings > 0));
        let wanted = InTheWay {
            name: "mounting scatter".into(),
            kind: TermKind::Random,
            alone: true,
            shrinks: ShrinksWith::Mountings,
        };
        assert_eq!(verdict.in_the_way, Some(wanted));
        let shrinks = ShrinksWith::ServiceSpeed;
        budget.systematic.push(SystematicTerm { name: "bow".into(), sizes: vec![100.0], shrinks });
        budget.random.remove(1);
        let verdict = decide(&[plane(320.0, 400.0)], &budget);
        assert_eq!((verdict.more_check_runs, verdict.more_mountings), (None, None));
        let wanted = InTheWay { name: "bow".into(), kind: TermKind::Systematic, alone: true, shrinks };
        assert_eq!(verdict.in_the_way, Some(wanted));
    }

    #[test]
    fn above_the_ceiling_nothing_can_be_proved() {
        let verdict = decide(&[plane(0.0, 400.0)], &noisy(0.41 * 400.0, 1));
        assert_eq!((verdict.decision, verdict.reason), (Decision::Undecided, Reason::NothingProvable));
    }

    #[test]
    fn the_plain_rule_stands_beside() {
        let rule = |residual: f64| decide(&[plane(residual, 400.0)], &noisy(40.0, 1)).planes[0].plain_rule;
        assert_eq!(rule(302.0), Decision::Meets);
        assert_eq!(rule(303.0), Decision::Undecided);
        assert_eq!(rule(497.0), Decision::Undecided);
        assert_eq!(rule(498.0), Decision::Exceeds);
    }

    #[test]
    fn a_withheld_verdict_claims_nothing() {
        let planes = [plane(10.0, 400.0), plane(900.0, 400.0)];
        let verdict = decide(&planes, &noisy(10.0, 2));
        assert_eq!(verdict.decision, Decision::Exceeds);
        assert_eq!(verdict.clone().withhold(vec![]), verdict);
        let doubted = verdict.clone().withhold(vec![Withheld::CheckDisagrees { run: "4".into() }]);
        assert_eq!((doubted.decision, doubted.reason), (Decision::Undecided, Reason::Withheld));
        assert_eq!((doubted.probability, doubted.more_check_runs), (None, None));
        assert_eq!(doubted.planes[1].standard_uncertainty, Some(10.0));
        assert_eq!(doubted.next_step(), NextStep::FindCause);
        let untried = vec![Untried::End { name: "rear joint".into() }];
        let unseen =
            verdict.withhold(vec![Withheld::NotSeen { part: None, untried: untried.clone(), ends: vec![1] }]);
        assert_eq!(unseen.planes[1].standard_uncertainty, None);
        assert_eq!(unseen.next_step().sentence(), "rear joint was never tried: one trial run there.");
        assert_eq!(unseen.next_steps(), [NextStep::Try(untried)]);
    }

    // An open verdict always has something to do, and "nothing" goes only with "meets".
    #[test]
    fn there_is_always_a_next_step() {
        for residual in 0..60 {
            for share in [0.01, 0.1, 0.3, 0.39, 0.5] {
                let verdict = decide(&[plane(10.0 * f64::from(residual), 400.0)], &noisy(share * 400.0, 1));
                let nothing = verdict.next_step() == NextStep::Nothing;
                assert_eq!(nothing, verdict.decision == Decision::Meets, "{residual} {share}");
            }
        }
        let mut trials = noisy(1.0, 1);
        trials.random[0] = term("trials", 170.0, ShrinksWith::LargerTrial, 1);
        assert_eq!(decide(&[plane(0.0, 400.0)], &trials).next_step(), NextStep::LargerTrial);
        trials.random[0] = term("trials", 60.0, ShrinksWith::LargerTrial, 1);
        assert_eq!(decide(&[plane(390.0, 400.0)], &trials).next_step(), NextStep::CorrectFurther);
    }

    #[test]
    fn faults_are_all_told() {
        let mut bad = plane(1.0, 1.0);
        bad.residual = Unbalance::from_vector(num_complex::Complex64::new(f64::NAN, 0.0));
        let budget = noisy(1.0, 3);
        let faults = Question { planes: &[bad], budget: Some(&budget) }.verdict().unwrap_err();
        assert!(
            matches!(faults[..], [BudgetFault::Residual { .. }, BudgetFault::TermLength { .. }]),
            "{faults:?}"
        );
        let faults = Question { planes: &[], budget: None }.verdict().unwrap_err();
        assert_eq!(faults, [BudgetFault::NoPlane]);
    }
}
