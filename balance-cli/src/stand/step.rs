//! What comes next, from what the files say.

use balance_core::grade::Decision;
use balance_core::shaft::PlaneId;

/// The last run in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Last {
    /// There is none.
    Nothing,
    /// An initial run.
    Initial,
    /// A trial at one place (`None`: at several).
    Trial(Option<PlaneId>),
    /// Weights under clamps.
    Tried,
    /// What stays on.
    Check,
}

/// How the weights under clamps did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Try {
    /// The readings are as low as expected.
    AsExpected,
    /// They are not.
    Worse,
}

/// Whether it is known how the stand counts its angles.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Counting {
    /// It is stated, or left open on purpose.
    Known,
    /// It is not stated.
    Open,
    /// It is not stated, but a quarter-turn trial was read.
    Read,
}

/// Without phase: how far the mass of the last trial has been round its plane.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Round {
    /// For every speed whether the mass was read where it is now.
    pub read: Vec<bool>,
    /// Whether it goes to one more place in this plane.
    pub more: bool,
}

/// Everything the next step depends on.
#[derive(Debug, Clone, PartialEq)]
pub struct Situation {
    /// The last run.
    pub last: Last,
    /// Whether somebody said in this session that the last trial mass is off.
    pub trial_off: bool,
    /// For every place and speed whether a trial was read there.
    pub trials: Vec<Vec<bool>>,
    /// Without phase: how far the mass of the last trial has been round; only after one.
    pub round: Option<Round>,
    /// Whether the runs tell a correction.
    pub solved: bool,
    /// Whether a run contradicts the others so that no advice is given.
    pub stopped: bool,
    /// Speeds at which the last tried or check block was not read yet.
    pub unread: Option<usize>,
    /// How the last clamped try did; only after one.
    pub tried: Option<Try>,
    /// Whether there is nothing to put on.
    pub nothing_to_add: bool,
    /// Whether somebody said in this session to weld without a try.
    pub try_skipped: bool,
    /// The verdict after a check run, if there is one.
    pub decision: Option<Decision>,
    /// Whether one more reading is advised before anything is put on.
    pub one_more_run: bool,
    /// Without phase: whether one more trial settles which of several answers is right.
    pub settles: bool,
    /// Whether somebody said in this session to correct further.
    pub go_on: bool,
    /// Whether it is known how the stand counts its angles.
    pub counting: Counting,
    /// Whether sister shafts are known and nobody was asked yet about trial runs.
    pub short_way: bool,
}

/// What to do next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// Read the shaft as found.
    Initial,
    /// A trial at a place and a speed.
    Trial {
        /// Which place.
        plane: PlaneId,
        /// Index of the speed.
        group: usize,
        /// The mass of the last run is still on, for this speed too.
        still_on: bool,
    },
    /// Take the trial mass off.
    TakeOff,
    /// Without phase: the trial that tells which of several answers is right.
    Settle,
    /// The same trial mass a quarter turn further on: it tells how the stand counts its angles.
    QuarterTurn,
    /// Say what the quarter-turn trial told.
    SettleCounting,
    /// Offer to do without trial runs.
    ShortWay,
    /// All places had a trial, and yet the runs do not tell enough.
    MoreTrials,
    /// A run does not fit the others: find out why.
    Explain,
    /// Hold the advised weights under clamps and read.
    TryOn,
    /// Read the weights under clamps at another speed too.
    TryMore {
        /// Index of the speed.
        group: usize,
    },
    /// The clamped try read more than expected.
    TryWorse,
    /// Weld, let cool, read the check run.
    Check,
    /// Read the check run at another speed too.
    CheckMore {
        /// Index of the speed.
        group: usize,
    },
    /// The check run is there, but there is no verdict yet.
    CheckAgain,
    /// Too much is left, and none of the weights in the box makes it less.
    NothingHelps,
    /// The verdict is there.
    Finished,
}

/// What comes next.
#[must_use]
pub fn next_step(now: &Situation) -> Step {
    if now.last == Last::Nothing {
        return Step::Initial;
    }
    if let Last::Trial(plane) = now.last
        && !now.trial_off
    {
        return still_on(now, plane).or_else(|| moved_on(now, plane)).unwrap_or(Step::TakeOff);
    }
    match (now.counting, now.last) {
        (Counting::Read, _) => return Step::SettleCounting,
        (Counting::Open, Last::Trial(Some(_))) => return Step::QuarterTurn,
        _ => {}
    }
    if now.short_way && now.solved && now.last == Last::Initial {
        return Step::ShortWay;
    }
    if !now.solved {
        return missing_trial(now).unwrap_or(Step::MoreTrials);
    }
    if now.stopped {
        return Step::Explain;
    }
    if now.settles && now.last != Last::Check {
        return missing_trial(now).unwrap_or(Step::Settle);
    }
    match now.last {
        Last::Check => after_check(now),
        Last::Tried => after_try(now),
        Last::Nothing | Last::Initial | Last::Trial(_) => correction(now),
    }
}

/// The same trial at a speed at which it was not read yet.
fn still_on(now: &Situation, plane: Option<PlaneId>) -> Option<Step> {
    let plane = plane?;
    let read = match &now.round {
        Some(round) => &round.read,
        None => now.trials.get(plane.index())?,
    };
    let group = read.iter().position(|read| !*read)?;
    Some(Step::Trial { plane, group, still_on: true })
}

/// Without phase: the same mass at the next place of its plane.
fn moved_on(now: &Situation, plane: Option<PlaneId>) -> Option<Step> {
    let plane = plane?;
    now.round.as_ref().is_some_and(|round| round.more).then_some(Step::Trial {
        plane,
        group: 0,
        still_on: false,
    })
}

fn missing_trial(now: &Situation) -> Option<Step> {
    PlaneId::numbered(&now.trials).find_map(|(plane, groups)| {
        let group = groups.iter().position(|read| !*read)?;
        Some(Step::Trial { plane, group, still_on: false })
    })
}

fn after_check(now: &Situation) -> Step {
    if let Some(group) = now.unread {
        return Step::CheckMore { group };
    }
    let further = now.go_on || now.decision == Some(Decision::Exceeds);
    match now.decision {
        _ if further && now.nothing_to_add => Step::NothingHelps,
        _ if further => correction(now),
        Some(Decision::Undecided) if now.one_more_run || now.nothing_to_add => Step::CheckAgain,
        Some(Decision::Undecided) => correction(now),
        Some(Decision::Meets | Decision::Exceeds) | None => Step::Finished,
    }
}

fn after_try(now: &Situation) -> Step {
    match (now.unread, now.tried) {
        (Some(group), _) => Step::TryMore { group },
        (None, Some(Try::Worse)) => Step::TryWorse,
        (None, _) => Step::Check,
    }
}

fn correction(now: &Situation) -> Step {
    if now.nothing_to_add || now.try_skipped { Step::Check } else { Step::TryOn }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fresh() -> Situation {
        Situation {
            last: Last::Nothing,
            trial_off: false,
            trials: vec![vec![false], vec![false]],
            round: None,
            solved: false,
            stopped: false,
            unread: None,
            tried: None,
            nothing_to_add: false,
            try_skipped: false,
            decision: None,
            one_more_run: false,
            settles: false,
            go_on: false,
            counting: Counting::Known,
            short_way: false,
        }
    }

    #[test]
    fn an_open_counting_is_settled_before_the_next_trial() {
        let trial =
            Situation { last: Last::Trial(Some(PlaneId::new(0))), counting: Counting::Open, ..fresh() };
        let off = Situation { trial_off: true, trials: vec![vec![true], vec![false]], ..trial.clone() };
        assert_eq!(next_step(&Situation { trials: off.trials.clone(), ..trial }), Step::TakeOff);
        assert_eq!(next_step(&off), Step::QuarterTurn);
        let read = Situation { counting: Counting::Read, ..off.clone() };
        assert_eq!(next_step(&read), Step::SettleCounting);
        let second = Step::Trial { plane: PlaneId::new(1), group: 0, still_on: false };
        assert_eq!(next_step(&Situation { counting: Counting::Known, ..off }), second);
    }

    #[test]
    fn known_sisters_offer_the_short_way_once() {
        let now = Situation { last: Last::Initial, solved: true, short_way: true, ..fresh() };
        assert_eq!(next_step(&now), Step::ShortWay);
        assert_eq!(next_step(&Situation { short_way: false, ..now.clone() }), Step::TryOn);
        let declined = Situation { short_way: false, solved: false, ..now };
        assert_eq!(next_step(&declined), Step::Trial { plane: PlaneId::new(0), group: 0, still_on: false });
    }

    #[test]
    fn a_job_goes_from_the_initial_run_to_the_verdict() {
        let mut now = fresh();
        assert_eq!(next_step(&now), Step::Initial);
        now.last = Last::Initial;
        assert_eq!(next_step(&now), Step::Trial { plane: PlaneId::new(0), group: 0, still_on: false });
        now.last = Last::Trial(Some(PlaneId::new(0)));
        now.trials[0][0] = true;
        assert_eq!(next_step(&now), Step::TakeOff);
        now.trial_off = true;
        assert_eq!(next_step(&now), Step::Trial { plane: PlaneId::new(1), group: 0, still_on: false });
        now = Situation { last: Last::Trial(Some(PlaneId::new(1))), trial_off: false, solved: true, ..now };
        now.trials[1][0] = true;
        assert_eq!(next_step(&now), Step::TakeOff, "nothing goes on before the trial mass is off");
        now.trial_off = true;
        assert_eq!(next_step(&now), Step::TryOn);
        now = Situation { last: Last::Tried, tried: Some(Try::AsExpected), ..now };
        assert_eq!(next_step(&now), Step::Check);
        now = Situation { last: Last::Check, tried: None, decision: Some(Decision::Meets), ..now };
        assert_eq!(next_step(&now), Step::Finished);
    }

    #[test]
    fn nothing_is_welded_while_a_run_contradicts_or_a_try_is_worse() {
        let base = Situation { solved: true, last: Last::Tried, tried: Some(Try::Worse), ..fresh() };
        assert_eq!(next_step(&base), Step::TryWorse);
        for last in [Last::Initial, Last::Tried, Last::Check] {
            let stopped = Situation { stopped: true, last, try_skipped: true, ..base.clone() };
            assert_eq!(next_step(&stopped), Step::Explain);
        }
    }

    #[test]
    fn after_a_check_run_the_verdict_leads() {
        let checked = Situation { solved: true, last: Last::Check, ..fresh() };
        let with = |decision| Situation { decision, ..checked.clone() };
        assert_eq!(next_step(&with(None)), Step::Finished);
        let undecided = with(Some(Decision::Undecided));
        assert_eq!(next_step(&Situation { one_more_run: true, ..undecided.clone() }), Step::CheckAgain);
        assert_eq!(next_step(&Situation { nothing_to_add: true, ..undecided.clone() }), Step::CheckAgain);
        assert_eq!(next_step(&undecided), Step::TryOn, "no further run decides: correct further");
        assert_eq!(next_step(&with(Some(Decision::Exceeds))), Step::TryOn);
        let helpless = Situation { nothing_to_add: true, ..with(Some(Decision::Exceeds)) };
        assert_eq!(next_step(&helpless), Step::NothingHelps, "the same check run for ever tells nothing new");
        let helpless = Situation { nothing_to_add: true, go_on: true, ..undecided.clone() };
        assert_eq!(next_step(&helpless), Step::NothingHelps);
        let more = Situation { go_on: true, ..with(Some(Decision::Meets)) };
        assert_eq!(next_step(&more), Step::TryOn);
        let second_speed = Situation { unread: Some(1), ..with(Some(Decision::Meets)) };
        assert_eq!(next_step(&second_speed), Step::CheckMore { group: 1 });
    }

    #[test]
    fn two_speeds_are_read_with_one_mass_on() {
        let mut now = Situation { last: Last::Trial(Some(PlaneId::new(0))), ..fresh() };
        now.trials = vec![vec![true, false], vec![false, false]];
        assert_eq!(next_step(&now), Step::Trial { plane: PlaneId::new(0), group: 1, still_on: true });
        now.trials[0][1] = true;
        assert_eq!(next_step(&now), Step::TakeOff);
    }

    #[test]
    fn without_phase_the_mass_goes_round_before_it_comes_off() {
        let plane = PlaneId::new(0);
        let round = |read: &[bool], more| Some(Round { read: read.to_vec(), more });
        let now = Situation { last: Last::Trial(Some(plane)), round: round(&[true], true), ..fresh() };
        assert_eq!(next_step(&now), Step::Trial { plane, group: 0, still_on: false });
        let second_speed = Situation { round: round(&[true, false], true), ..now.clone() };
        assert_eq!(next_step(&second_speed), Step::Trial { plane, group: 1, still_on: true });
        let all = Situation { round: round(&[true], false), trials: vec![vec![true], vec![false]], ..now };
        assert_eq!(next_step(&all), Step::TakeOff);
        let off = Situation { trial_off: true, ..all };
        assert_eq!(next_step(&off), Step::Trial { plane: PlaneId::new(1), group: 0, still_on: false });
        let mirrored = Situation { solved: true, settles: true, trials: vec![vec![true]; 2], ..off };
        assert_eq!(next_step(&mirrored), Step::Settle);
        assert_eq!(next_step(&Situation { settles: false, ..mirrored }), Step::TryOn);
    }

    #[test]
    fn trials_that_do_not_tell_ask_for_more() {
        let now = Situation { last: Last::Initial, trials: vec![vec![true]], ..fresh() };
        assert_eq!(next_step(&now), Step::MoreTrials);
    }
}
