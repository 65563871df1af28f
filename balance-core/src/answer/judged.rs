//! Whether the shaft meets its limit, speed by speed.

use crate::caution::Caution;
use crate::grade::{
    BalancedIn, Budget, CROSSTALK, Decision, Evidence, JudgedPlane, MeasuredResidual, Question,
    ResidualFault, Seen, SeenQuestion, ShrinksWith, SystematicTerm, Verdict, Withheld, budget_of,
    crosstalk_term, measured_residual,
};
use crate::influence::{Influence, Which};
use crate::quantity::{Speed, Unbalance, UnbalanceAmount};
use crate::run::RunSet;

use super::bow::bow_term;
use super::limits::Limits;
use super::taken_off::{OfFixture, of_fixture};
use crate::job::{Job, Proved, ProvedFigure};

/// Without times in the runs: how long a job takes from the first run to the check, in hours [common practice].
const USUAL_HOURS: f64 = 1.0;

/// The verdict at one stand speed.
#[derive(Debug, Clone)]
pub struct GroupVerdict {
    /// Index of the speed group.
    pub group: usize,
    /// The stand's speed, if the file states it.
    pub stand_speed: Option<Speed>,
    /// What was measured, in the correction planes.
    pub residual: MeasuredResidual,
    /// What makes it uncertain; `None`: no figure for the noise.
    pub budget: Option<Budget>,
    /// The verdict.
    pub verdict: Verdict,
}

/// The verdict on a shaft.
#[derive(Debug, Clone)]
pub struct Judged {
    /// As found, or after the last check run.
    pub which: Which,
    /// The worst of all speeds.
    pub decision: Decision,
    /// Every speed with a check run, in the order of the file.
    pub groups: Vec<GroupVerdict>,
    /// Index into `groups` of the deciding speed.
    pub decides: usize,
    /// Whether the scatter between mountings is stated rather than measured.
    pub scatter_stated: bool,
    /// The cautions.
    pub cautions: Vec<Caution>,
}

impl Judged {
    /// "after the last check run" or "as found".
    #[must_use]
    pub fn state_word(&self) -> &'static str {
        match self.which {
            Which::Now => "after the last check run",
            Which::AsFound => "as found",
        }
    }

    /// Its own cautions and those of the coefficients that bear on a verdict, worst first, without repeats.
    #[must_use]
    pub fn cautions_with(&self, others: &[Caution]) -> Vec<Caution> {
        let mut all = self.cautions.clone();
        all.extend(others.iter().filter(|caution| caution.bears_on_verdict()).cloned());
        all.sort_by_key(Caution::level);
        all.dedup();
        all
    }

    /// The same where its basis is in doubt: then nothing can be said, neither good nor bad.
    #[must_use]
    pub(super) fn withheld(mut self, reasons: &[Withheld]) -> Self {
        self.decision = Decision::Undecided;
        for group in &mut self.groups {
            group.verdict = group.verdict.clone().withhold(reasons.to_vec());
            group.verdict.decision = Decision::Undecided;
            group.verdict.more_check_runs = None;
            group.verdict.more_mountings = None;
        }
        self
    }

    /// The speed that decides.
    #[must_use]
    pub fn deciding(&self) -> &GroupVerdict {
        &self.groups[self.decides]
    }
}

/// What the job states about the stand that no run can show.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stated {
    /// How far what is left scatters from one mounting to the next, complex rms.
    pub mounting_scatter: Option<UnbalanceAmount>,
    /// The most unbalance that a fixture turning with the shaft may simulate.
    pub fixture: Option<UnbalanceAmount>,
    /// What was proved of the stand; it counts where nothing is stated.
    pub proved: Proved,
}

impl Stated {
    /// What a job states.
    #[must_use]
    pub fn of(job: &Job) -> Self {
        let proved = job.proved.clone();
        let scatter = proved.mounting_scatter.as_ref().map(|own| own.value);
        let fixture = proved.fixture.as_ref().map(|own| own.value);
        Self {
            mounting_scatter: job.stand.mounting_scatter.or(scatter),
            fixture: job.stand.fixture.or(fixture),
            proved: Proved {
                // What is stated is not named as proved.
                mounting_scatter: proved.mounting_scatter.filter(|_| job.stand.mounting_scatter.is_none()),
                fixture: proved.fixture.filter(|_| job.stand.fixture.is_none()),
                ..proved
            },
        }
    }

    /// What the fixture may add: what is not known of it where it is taken off, else all of it.
    fn fixture_term(&self, planes: usize, fixture: &OfFixture) -> Option<SystematicTerm> {
        let (name, size) = match (fixture, self.fixture) {
            (OfFixture::TakenOff(own), _) => {
                (format!("fixture, taken off ({})", own.source), own.give_or_take)
            }
            (_, Some(size)) => (self.named("fixture", self.proved.fixture.as_ref()), size.gram_millimetres()),
            (OfFixture::LeftIn { amount, source, .. }, None) => (format!("fixture ({source})"), *amount),
            (OfFixture::NotProved, None) => return None,
        };
        Some(SystematicTerm { name, sizes: vec![size; planes], shrinks: ShrinksWith::ProvedFixture })
    }

    /// The name of a term, with the test behind it.
    fn named(&self, name: &str, proved: Option<&ProvedFigure<UnbalanceAmount>>) -> String {
        proved.map_or_else(|| name.to_owned(), |own| format!("{name} ({})", own.source()))
    }

    /// What the stand may have drifted since the first run, where these runs do not measure it.
    fn drift_term(&self, set: &RunSet, residual: &MeasuredResidual, planes: usize) -> Option<SystematicTerm> {
        let proved = self.proved.drift.as_ref().filter(|_| !residual.drift_measured)?;
        let minutes = |row: &crate::run::Row| row.run.minutes;
        let first = set.rows().first().and_then(minutes);
        let hours = first
            .zip(set.rows().last().and_then(minutes))
            .map_or(USUAL_HOURS, |(from, to)| (to - from) / 60.0);
        let size = proved.value.gram_millimetres() * hours.max(0.0);
        let name = self.named("drift of the stand", Some(proved));
        Some(SystematicTerm { name, sizes: vec![size; planes], shrinks: ShrinksWith::Nothing })
    }

    /// The terms of a budget that rest on a proved figure say so.
    fn name_proved(&self, set: &RunSet, budget: &mut Budget) {
        if let Some(noise) = &self.proved.noise {
            for term in budget.random.iter_mut().filter(|term| term.name == "reading noise") {
                term.name = format!("{} ({})", term.name, noise.source());
            }
        }
        if let Some(source) = self.step_source(set) {
            for term in budget.random.iter_mut().filter(|term| term.shrinks == ShrinksWith::FinerDial) {
                term.name = format!("{} ({source})", term.name);
            }
        }
        if let Some(own) = &self.proved.crosstalk {
            for term in budget.systematic.iter_mut().filter(|term| term.name == CROSSTALK) {
                term.name = format!("{} ({})", term.name, own.source());
            }
        }
        if self.proved.mounting_scatter.is_some() {
            for term in budget.random.iter_mut().filter(|term| term.shrinks == ShrinksWith::Mountings) {
                term.name = self.named(&term.name, self.proved.mounting_scatter.as_ref());
            }
        }
    }

    /// The test behind the dials' step, where a proved step is used.
    fn step_source(&self, set: &RunSet) -> Option<String> {
        let stated = &set.setup().noise.step;
        let amplitude = self.proved.amplitude_step.as_ref().filter(|own| {
            stated.amplitude.is_none()
                && set.steps().iter().any(|step| step.amplitude == Some(own.value.step))
        });
        let phase = self.proved.phase_step.as_ref().filter(|own| {
            stated.phase.is_none() && set.steps().iter().any(|step| step.phase == Some(own.value))
        });
        amplitude.map(ProvedFigure::source).or_else(|| phase.map(ProvedFigure::source))
    }

    /// Where the limit is below what the stand can reach.
    fn below_stand(&self, planes: &[JudgedPlane]) -> Option<Withheld> {
        let proved = self.proved.least_unbalance.as_ref()?;
        let plane = planes.iter().find(|plane| plane.permissible < proved.value)?;
        Some(Withheld::BelowStand {
            place: plane.name.clone(),
            allowed: plane.permissible,
            reached: proved.value,
            source: proved.source(),
        })
    }
}

/// Judges what was measured.
///
/// # Errors
///
/// [`ResidualFault`] of the highest speed: without its check run there is no verdict.
pub fn judge(
    set: &RunSet,
    influence: &Influence,
    limits: &Limits,
    stated: &Stated,
    which: Which,
) -> Result<Judged, ResidualFault> {
    let judge = Judge { set, influence, limits, stated, which };
    let highest = highest_group(set);
    let mut groups = Vec::new();
    for group in 0..set.groups().len() {
        match measured_residual(set, influence, group, which) {
            Ok(residual) => groups.push(judge.group(residual)),
            Err(fault) if group == highest => return Err(fault),
            Err(_) => {}
        }
    }
    let decides = (0..groups.len())
        .max_by(|&one, &other| {
            let rank =
                |at: usize| (groups[at].verdict.decision, -groups[at].verdict.probability.unwrap_or(0.0));
            rank(one).partial_cmp(&rank(other)).unwrap_or(std::cmp::Ordering::Equal)
        })
        .unwrap_or(0);
    let mut cautions = cautions(set, limits, &groups, stated.mounting_scatter);
    if stated.proved.drift.is_some() {
        // It is counted by what the stand was proved to drift.
        cautions.retain(|caution| *caution != Caution::DriftNotMeasured);
    }
    Ok(Judged {
        which,
        decision: groups[decides].verdict.decision,
        groups,
        decides,
        cautions,
        scatter_stated: stated.mounting_scatter.is_some(),
    })
}

fn highest_group(set: &RunSet) -> usize {
    let rpm = |group: usize| set.groups()[group].speed.map_or(0.0, Speed::rpm);
    (0..set.groups().len()).max_by(|&one, &other| rpm(one).total_cmp(&rpm(other))).unwrap_or(0)
}

/// What all speeds are judged against.
struct Judge<'a> {
    set: &'a RunSet,
    influence: &'a Influence,
    limits: &'a Limits,
    stated: &'a Stated,
    which: Which,
}

impl Judge<'_> {
    fn group(&self, mut residual: MeasuredResidual) -> GroupVerdict {
        let (set, limits, which) = (self.set, self.limits, self.which);
        let fixture = of_fixture(set, &self.stated.proved, which);
        if let Some(off) = fixture.taken_off() {
            residual.unbalance.iter_mut().zip(&off.planes).for_each(|(own, fixture)| *own -= fixture);
        }
        let moved = limits.transfer.moved(&residual.unbalance);
        let planes: Vec<JudgedPlane> = limits
            .planes
            .iter()
            .zip(moved)
            .map(|(limit, vector)| JudgedPlane {
                name: limit.name.clone(),
                residual: Unbalance::from_vector(vector),
                permissible: limit.amount,
            })
            .collect();
        let stand_speed = set.groups()[residual.group].speed;
        let bow = bow_term(set, limits, stand_speed, which);
        let disc = limits.balanced_in == BalancedIn::OnePlane;
        let crosstalk = crosstalk_term(set, &residual, &limits.transfer);
        let places = limits.planes.len();
        let stand = self.stated.fixture_term(places, &fixture).into_iter();
        let stand = stand.chain(self.stated.drift_term(set, &residual, places));
        let elsewhere = bow.into_iter().chain(stand).chain(crosstalk);
        let budget =
            budget_of(&residual, &limits.transfer, self.stated.mounting_scatter, disc).map(|mut budget| {
                budget.systematic.extend(elsewhere);
                self.stated.name_proved(set, &mut budget);
                if set.without_phase() && which == Which::Now {
                    as_bounds(&mut budget);
                }
                budget
            });
        let seen = Seen::of(&SeenQuestion {
            planes: &set.setup().planes,
            told: &residual.told,
            tolerance: &limits.tolerance,
            parts: &limits.parts,
            balanced_in: limits.balanced_in,
        });
        let evidence = Evidence {
            set,
            influence: self.influence,
            which,
            residual: &residual,
            seen: &seen,
            limits: &limits.planes,
            mounting_scatter: self.stated.mounting_scatter,
            couple_not_judged: disc,
        };
        let verdict = Question { planes: &planes, budget: budget.as_ref() }
            .verdict()
            .expect("a budget made for these planes fits them")
            .withhold(evidence.withheld());
        let too_small = self.stated.below_stand(&planes).filter(|_| verdict.decision != Decision::Exceeds);
        let verdict = verdict.withhold(too_small.into_iter().collect());
        GroupVerdict { group: residual.group, stand_speed, residual, budget, verdict }
    }
}

/// Amplitudes without phase are bounds, and no finer dial and no repeat makes them smaller.
fn as_bounds(budget: &mut Budget) {
    let random = budget.random.iter_mut().map(|term| &mut term.shrinks);
    for shrinks in random.filter(|own| **own == ShrinksWith::FinerDial) {
        *shrinks = ShrinksWith::Nothing;
    }
    for term in budget.systematic.iter_mut().filter(|term| term.shrinks == ShrinksWith::FinerDial) {
        term.shrinks = ShrinksWith::Nothing;
        term.name = "amplitudes without phase".into();
    }
}

fn cautions(
    set: &RunSet,
    limits: &Limits,
    groups: &[GroupVerdict],
    mounting_scatter: Option<UnbalanceAmount>,
) -> Vec<Caution> {
    let mut found: Vec<Caution> = limits.transfer.cautions().to_vec();
    if groups.iter().any(|group| group.residual.mountings < 2) && mounting_scatter.is_none() {
        found.push(Caution::OneMounting);
    }
    if groups.iter().any(|group| !group.residual.drift_measured) {
        found.push(Caution::DriftNotMeasured);
    }
    if groups
        .iter()
        .any(|group| group.residual.unexplained.is_some_and(|own| own.beyond_chance == Some(true)))
    {
        found.push(Caution::ReadingsUnexplained);
    }
    if limits.balanced_in == BalancedIn::OnePlane {
        found.push(Caution::CoupleNotJudged);
    }
    let below = |group: &&GroupVerdict| {
        let stand = group.stand_speed.map(Speed::rpm);
        stand.zip(limits.service_speed.map(Speed::rpm)).is_some_and(|(stand, service)| stand < 0.95 * service)
    };
    if let Some(group) = groups.iter().rfind(below)
        && groups.iter().all(|other| below(&other))
    {
        found.push(Caution::StandBelowService {
            stand_rpm: group.stand_speed.map_or(0.0, Speed::rpm),
            service_rpm: limits.service_speed.map_or(0.0, Speed::rpm),
            bow_counted: limits.critical_speed.is_some(),
        });
    }
    if groups.len() < set.groups().len() {
        found.push(Caution::SpeedWithoutCheck);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grade::{Combination, RandomTerm};
    use crate::influence::{Drift, Options, estimate};
    use crate::run::RunKind;
    use crate::run::by_hand::{ByHand, exactly, real};

    fn figure<T>(value: T, readings: usize) -> Option<ProvedFigure<T>> {
        Some(ProvedFigure { value, readings, day: "2031-04-02".into() })
    }

    fn amount(gram_millimetres: f64) -> UnbalanceAmount {
        UnbalanceAmount::from_gram_millimetres(gram_millimetres).unwrap()
    }

    /// Initial run, trial, initial run again and a check at these minutes.
    fn runs(minutes: Option<[f64; 4]>) -> RunSet {
        let all = [
            (RunKind::Initial, vec![], 10.0),
            (RunKind::Trial, vec![real(2.0)], 16.0),
            (RunKind::Initial, vec![], 10.0),
            (RunKind::Check, vec![real(-3.0)], 1.0),
        ];
        let one = |runs: ByHand, (at, (kind, loads, reading)): (usize, (RunKind, Vec<_>, f64))| {
            let runs = runs.run(kind, &loads, &[real(reading)]);
            match minutes {
                Some(minutes) => runs.at_minute(minutes[at]),
                None => runs,
            }
        };
        all.into_iter().enumerate().fold(ByHand::new(1, 1, exactly(0.1)), one).set()
    }

    fn drift_term(set: &RunSet, drift: Drift) -> Option<SystematicTerm> {
        let influence = estimate(set, &Options { drift, prior: None }).unwrap();
        let residual = measured_residual(set, &influence, 0, Which::Now).unwrap();
        let stated = Stated {
            proved: Proved { drift: figure(amount(20.0), 6), ..Proved::default() },
            ..Stated::default()
        };
        stated.drift_term(set, &residual, 2)
    }

    // 20 g·mm an hour: from minute 30 to minute 120 an hour and a half; an hour where no times are written.
    #[test]
    fn proved_drift_counts_from_the_first_run_to_the_last() {
        let timed = runs(Some([30.0, 50.0, 70.0, 120.0]));
        let term = drift_term(&timed, Drift::Ignored).unwrap();
        assert_eq!(term.sizes, [30.0, 30.0]);
        assert_eq!(term.name, "drift of the stand (proved 2031-04-02, 6 readings)");
        assert_eq!(term.shrinks, ShrinksWith::Nothing);
        assert_eq!(drift_term(&runs(None), Drift::Ignored).unwrap().sizes, [20.0, 20.0]);
        assert_eq!(drift_term(&timed, Drift::Fitted), None, "these runs measure it");
    }

    fn random(name: &str, shrinks: ShrinksWith) -> RandomTerm {
        RandomTerm { name: name.into(), sizes: vec![1.0], degrees_of_freedom: 5.0, shrinks }
    }

    fn systematic(name: &str) -> SystematicTerm {
        SystematicTerm { name: name.into(), sizes: vec![1.0], shrinks: ShrinksWith::Nothing }
    }

    fn named(proved: Proved) -> Vec<String> {
        let mut budget = Budget {
            check_runs: 1,
            mountings: 1,
            random: vec![
                random("reading noise", ShrinksWith::CheckRuns),
                random("how the shaft responds (trial readings)", ShrinksWith::LargerTrial),
                random("mounting", ShrinksWith::Mountings),
            ],
            systematic: vec![systematic(CROSSTALK), systematic("bow")],
            combination: Combination::PlainSum,
        };
        Stated { proved, ..Stated::default() }.name_proved(&runs(None), &mut budget);
        let random = budget.random.into_iter().map(|term| term.name);
        random.chain(budget.systematic.into_iter().map(|term| term.name)).collect()
    }

    #[test]
    fn a_term_that_rests_on_a_proof_names_it_and_no_other_does() {
        let plain =
            ["reading noise", "how the shaft responds (trial readings)", "mounting", CROSSTALK, "bow"];
        assert_eq!(named(Proved::default()), plain);
        let proofs = [
            (0, Proved { noise: figure(0.02, 12), ..Proved::default() }, "12 readings"),
            (2, Proved { mounting_scatter: figure(amount(9.0), 1), ..Proved::default() }, "1 reading"),
            (3, Proved { crosstalk: figure(0.1, 4), ..Proved::default() }, "4 readings"),
        ];
        for (at, proved, readings) in proofs {
            let mut wanted = plain.map(str::to_owned);
            wanted[at] = format!("{} (proved 2031-04-02, {readings})", plain[at]);
            assert_eq!(named(proved), wanted);
        }
    }

    #[test]
    fn what_is_stated_is_not_named_as_proved() {
        let mut job = Job::default();
        job.proved.mounting_scatter = figure(amount(9.0), 3);
        job.proved.fixture = figure(amount(4.0), 3);
        let proved = Stated::of(&job);
        assert_eq!((proved.mounting_scatter, proved.fixture), (Some(amount(9.0)), Some(amount(4.0))));
        assert!(proved.proved.mounting_scatter.is_some() && proved.proved.fixture.is_some());
        let term = proved.fixture_term(2, &OfFixture::NotProved).unwrap();
        assert_eq!((&*term.name, term.sizes), ("fixture (proved 2031-04-02, 3 readings)", vec![4.0, 4.0]));
        job.stand.mounting_scatter = Some(amount(7.0));
        job.stand.fixture = Some(amount(6.0));
        let stated = Stated::of(&job);
        assert_eq!((stated.mounting_scatter, stated.fixture), (Some(amount(7.0)), Some(amount(6.0))));
        assert!(stated.proved.mounting_scatter.is_none() && stated.proved.fixture.is_none());
        let term = stated.fixture_term(1, &OfFixture::NotProved).unwrap();
        assert_eq!((&*term.name, term.sizes), ("fixture", vec![6.0]));
        assert_eq!(Stated::default().fixture_term(1, &OfFixture::NotProved), None);
    }

    #[test]
    fn a_limit_below_what_the_stand_can_reach_is_named() {
        let least = |value: f64| Stated {
            proved: Proved { least_unbalance: figure(amount(value), 10), ..Proved::default() },
            ..Stated::default()
        };
        let place = |name: &str, limit: f64| JudgedPlane {
            name: name.into(),
            residual: Unbalance::ZERO,
            permissible: amount(limit),
        };
        let places = [place("front", 30.0), place("rear", 20.0)];
        assert_eq!(least(20.0).below_stand(&places), None);
        let wanted = Withheld::BelowStand {
            place: "rear".into(),
            allowed: amount(20.0),
            reached: amount(21.0),
            source: "proved 2031-04-02, 10 readings".into(),
        };
        assert_eq!(least(21.0).below_stand(&places), Some(wanted));
    }
}
