//! The possible mistakes.
#![expect(missing_docs, reason = "the fields of a mistake are named by what they are")]

use balance_core::correction::explain::Turned;

/// Index of the check run.
pub const CHECK: usize = 3;

/// The mistake. Degrees are how much further than entered a mass really was.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Mistake {
    /// Nothing.
    Nothing,
    /// Angles counted the other way: of the weights, or of everything.
    OtherWayRound { all: bool },
    /// Trial masses somewhere else.
    TrialTurned { plane: Option<usize>, degrees: i32 },
    /// Weights somewhere else.
    WeightsTurned { plane: Option<usize>, degrees: i32 },
    /// Weights of the two planes swapped.
    PlanesSwapped,
    /// A trial mass still on in the check run.
    TrialLeftOnInCheck { plane: usize },
    /// The first trial mass still on in the second trial run.
    FirstTrialLeftOnInSecond,
    /// Trial masses this many times the entry.
    TrialWas { times: f64, plane: Option<usize> },
    /// Weights this many times the entry.
    WeightsWere { times: f64, plane: Option<usize> },
    /// One of the four weights of the check run.
    OneWeight { weight: usize, was: OfOneWeight },
    /// Two of the four weights in each other's places.
    Exchanged { weights: [usize; 2] },
    /// A trial mass entered as this many times what was on.
    TrialTyped { plane: usize, times: f64 },
    /// One digit of the trial mass's angle not typed.
    DigitOfTrial { plane: usize },
    /// Before a run (1 and 2: the trials, 3: the check), permanently.
    MarkMoved { before: usize, degrees: i32, turned: Turned },
    /// Before a run, permanently.
    SensorsSwapped { before: usize },
    /// In one trial run.
    PhaseOpposite { run: usize },
    /// One reading entered as this many times what was shown.
    ReadingWas { run: usize, sensor: usize, times: f64 },
    /// The readings of the two trial runs entered in each other's lines.
    TrialReadingsSwapped,
    /// A sensor that shows next to nothing in one run.
    SensorDead { run: usize, sensor: usize },
    /// Not on the list: the weights of one plane at any other angle.
    WeightMisplaced,
    /// Not on the list: the weights of one plane anywhere, at any amount.
    WeightAnywhere { plane: usize },
    /// Not on the list: all weights anywhere.
    WeightsAnywhere,
    /// One sensor shows anything in the check run.
    ReadingAnything { sensor: usize },
}

/// What is wrong with one weight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OfOneWeight {
    /// It is not on.
    Missing,
    /// It is this many degrees further than entered.
    Turned(i32),
    /// It is this many times as heavy as entered.
    Times(f64),
    /// This many times its mass was entered.
    Typed(f64),
    /// One digit of its angle was not typed.
    DigitLost,
}

/// The mistakes that the list knew from the beginning, in many forms.
#[must_use]
pub fn listed() -> Vec<Mistake> {
    let mut list = vec![
        Mistake::OtherWayRound { all: false },
        Mistake::OtherWayRound { all: true },
        Mistake::WeightsTurned { plane: None, degrees: 180 },
        Mistake::WeightsTurned { plane: Some(0), degrees: 180 },
        Mistake::PlanesSwapped,
        Mistake::TrialLeftOnInCheck { plane: 0 },
        Mistake::TrialLeftOnInCheck { plane: 1 },
        Mistake::FirstTrialLeftOnInSecond,
        Mistake::OneWeight { weight: 0, was: OfOneWeight::Missing },
        Mistake::OneWeight { weight: 3, was: OfOneWeight::Missing },
        Mistake::SensorsSwapped { before: 1 },
        Mistake::SensorsSwapped { before: 2 },
        Mistake::PhaseOpposite { run: 1 },
        Mistake::PhaseOpposite { run: 2 },
    ];
    for plane in [None, Some(0), Some(1)] {
        for times in [2.0, 0.5] {
            list.push(Mistake::TrialWas { times, plane });
            list.push(Mistake::WeightsWere { times, plane });
        }
    }
    for (before, turned) in [
        (1, Turned::Readings),
        (2, Turned::Readings),
        (1, Turned::Both),
        (2, Turned::Both),
        (3, Turned::Both),
        (3, Turned::Weights),
    ] {
        list.extend([45, -45, 90, -90].map(|degrees| Mistake::MarkMoved { before, degrees, turned }));
    }
    list
}

/// A common slip, and the forms in which it is simulated.
#[derive(Debug, Clone)]
pub struct Slip {
    pub name: &'static str,
    pub forms: Vec<Mistake>,
}

/// The common slips of a workshop.
#[must_use]
pub fn common_slips() -> Vec<Slip> {
    let planes = [0, 1];
    let each = |of: &dyn Fn(usize) -> Vec<Mistake>, count: usize| (0..count).flat_map(of).collect::<Vec<_>>();
    let trial_by = |degrees: [i32; 2]| {
        each(&|plane| degrees.map(|degrees| Mistake::TrialTurned { plane: Some(plane), degrees }).into(), 2)
    };
    let weights_by = |degrees: [i32; 2]| {
        each(&|plane| degrees.map(|degrees| Mistake::WeightsTurned { plane: Some(plane), degrees }).into(), 2)
    };
    let one = |was: &[OfOneWeight]| {
        each(&|weight| was.iter().map(|&was| Mistake::OneWeight { weight, was }).collect(), 4)
    };
    let trial_was = |times| planes.map(|plane| Mistake::TrialWas { times, plane: Some(plane) }).to_vec();
    let trial_typed = |times| planes.map(|plane| Mistake::TrialTyped { plane, times }).to_vec();
    let weights_were =
        |times| planes.map(|plane| Mistake::WeightsWere { times, plane: Some(plane) }).to_vec();
    let reading = |runs: &[usize], times| -> Vec<Mistake> {
        runs.iter().flat_map(|&run| planes.map(|sensor| Mistake::ReadingWas { run, sensor, times })).collect()
    };
    let dead = |runs: [usize; 2]| {
        runs.into_iter().flat_map(|run| planes.map(|sensor| Mistake::SensorDead { run, sensor }))
    };
    let pairs = |list: &[[usize; 2]]| list.iter().map(|&weights| Mistake::Exchanged { weights }).collect();
    let list: Vec<(&'static str, Vec<Mistake>)> = vec![
        ("trial of one plane 90 deg off", trial_by([90, -90])),
        ("weights of one plane 90 deg off", weights_by([90, -90])),
        ("trial of one plane 30 deg off", trial_by([30, -30])),
        ("weights of one plane 30 deg off", weights_by([30, -30])),
        ("trial mass x 10", trial_was(10.0)),
        ("trial mass / 10", trial_was(0.1)),
        ("trial mass typed x 10", trial_typed(10.0)),
        ("trial mass typed / 10", trial_typed(0.1)),
        ("all trial masses x 10", vec![Mistake::TrialWas { times: 10.0, plane: None }]),
        ("all trial masses / 10", vec![Mistake::TrialWas { times: 0.1, plane: None }]),
        ("weights of one plane x 10", weights_were(10.0)),
        ("weights of one plane / 10", weights_were(0.1)),
        ("one weight / 10", one(&[OfOneWeight::Times(0.1)])),
        ("one weight typed x 10", one(&[OfOneWeight::Typed(10.0)])),
        ("one weight typed / 10", one(&[OfOneWeight::Typed(0.1)])),
        ("one weight half a turn off", one(&[OfOneWeight::Turned(180)])),
        ("one weight 30 deg off", one(&[OfOneWeight::Turned(30), OfOneWeight::Turned(-30)])),
        ("two weights of one plane exchanged", pairs(&[[0, 1], [2, 3]])),
        ("weights of two planes exchanged", pairs(&[[0, 2], [0, 3], [1, 2], [1, 3]])),
        ("a digit of a trial's angle lost", planes.map(|plane| Mistake::DigitOfTrial { plane }).to_vec()),
        ("a digit of a weight's angle lost", one(&[OfOneWeight::DigitLost])),
        ("one reading x 10", reading(&[0, 1, 2, CHECK], 10.0)),
        ("one reading / 10, initial or trial", reading(&[0, 1, 2], 0.1)),
        ("readings of two trials swapped", vec![Mistake::TrialReadingsSwapped]),
        ("sensor dead in a trial", dead([1, 2]).collect()),
    ];
    list.into_iter().map(|(name, forms)| Slip { name, forms }).collect()
}
