//! Which story matches what was done, and which one is the same in other words.

use balance_core::correction::explain::{
    Amount, Hypothesis, ListedMass, MassSlip, ReadingSlip, Suspects, Turned, Who,
};
use balance_core::shaft::{PlaneId, SensorId};

use super::kind::{CHECK, Mistake, OfOneWeight};

/// Whether a story matches what was done.
#[must_use]
pub fn says(hypothesis: &Hypothesis, mistake: Mistake) -> bool {
    let came_on = Who::CameOn { from: CHECK };
    let masses = |who, plane: Option<usize>, slip| {
        *hypothesis == Hypothesis::Masses(Suspects { who, plane: plane.map(PlaneId::new) }, slip)
    };
    match mistake {
        Mistake::OtherWayRound { all } => {
            masses(if all { Who::All } else { came_on }, None, MassSlip::OtherWayRound)
        }
        Mistake::TrialTurned { plane, degrees } => masses(Who::Trials, plane, MassSlip::Turned(degrees)),
        Mistake::WeightsTurned { plane, degrees } => masses(came_on, plane, MassSlip::Turned(degrees)),
        Mistake::TrialWas { times, plane } => masses(Who::Trials, plane, MassSlip::Amount(amount(times))),
        Mistake::TrialTyped { plane, times } => {
            masses(Who::Trials, Some(plane), MassSlip::Amount(amount(1.0 / times)))
        }
        Mistake::WeightsWere { times, plane } => masses(came_on, plane, MassSlip::Amount(amount(times))),
        Mistake::OneWeight { weight, was } => {
            says_of_one(hypothesis, ListedMass { row: CHECK, at: weight }, was)
        }
        Mistake::DigitOfTrial { plane } => {
            says_of_one(hypothesis, ListedMass { row: plane + 1, at: 0 }, OfOneWeight::DigitLost)
        }
        Mistake::Exchanged { weights } => {
            *hypothesis == Hypothesis::Exchanged(weights.map(|at| ListedMass { row: CHECK, at }))
        }
        Mistake::PlanesSwapped => {
            matches!(hypothesis, Hypothesis::PlanesSwapped { who, .. } if *who == came_on)
        }
        Mistake::TrialLeftOnInCheck { plane } => {
            *hypothesis == Hypothesis::TrialLeftOn { trial: plane + 1, from: CHECK, to: CHECK }
        }
        Mistake::FirstTrialLeftOnInSecond => {
            *hypothesis == Hypothesis::TrialLeftOn { trial: 1, from: 2, to: 2 }
        }
        Mistake::MarkMoved { before, degrees, turned } => {
            *hypothesis == Hypothesis::MarkMoved { from: before, to: CHECK, degrees, turned }
        }
        Mistake::SensorsSwapped { before } => {
            *hypothesis
                == Hypothesis::SensorsSwapped { rows: [before, CHECK], sensors: [0, 1].map(SensorId::new) }
        }
        Mistake::PhaseOpposite { run } => says_of_reading(hypothesis, run, 0, ReadingSlip::PhaseOpposite),
        Mistake::ReadingAnything { sensor } => {
            says_of_reading(hypothesis, CHECK, sensor, ReadingSlip::Misread)
        }
        Mistake::ReadingWas { run, sensor, times } => {
            says_of_reading(hypothesis, run, sensor, ReadingSlip::Amount(amount(1.0 / times)))
                || (run == CHECK && says_of_reading(hypothesis, run, sensor, ReadingSlip::Misread))
        }
        Mistake::TrialReadingsSwapped => *hypothesis == Hypothesis::RunsSwapped { rows: [1, 2] },
        Mistake::SensorDead { run, sensor } => says_of_reading(hypothesis, run, sensor, ReadingSlip::Dead),
        Mistake::Nothing | Mistake::WeightMisplaced | Mistake::WeightsAnywhere => false,
        Mistake::WeightAnywhere { plane } => is_about(hypothesis, plane),
    }
}

/// Whether a story is the exact twin of what was done: no run of this plan can tell the two apart. The trial masses of
/// a plane multiplied by c are its weights divided by c, in angle and amount; the trials' planes swapped are the
/// weights' planes swapped (derived here: only the product of coefficient and mass shows).
#[must_use]
pub fn says_the_same(hypothesis: &Hypothesis, mistake: Mistake) -> bool {
    let twin = match mistake {
        Mistake::TrialTurned { plane, degrees } => Mistake::WeightsTurned { plane, degrees: back(degrees) },
        Mistake::WeightsTurned { plane, degrees } => Mistake::TrialTurned { plane, degrees: back(degrees) },
        Mistake::TrialWas { times, plane } => Mistake::WeightsWere { times: 1.0 / times, plane },
        Mistake::TrialTyped { plane, times } => Mistake::WeightsWere { times, plane: Some(plane) },
        Mistake::WeightsWere { times, plane } => Mistake::TrialWas { times: 1.0 / times, plane },
        Mistake::MarkMoved { before: CHECK, degrees, turned: Turned::Weights } => {
            Mistake::TrialTurned { plane: None, degrees: back(degrees) }
        }
        Mistake::PlanesSwapped => {
            return matches!(hypothesis, Hypothesis::PlanesSwapped { who: Who::Trials, .. });
        }
        _ => return false,
    };
    says(hypothesis, twin)
}

/// Whether a story is about masses of this plane only, so that people look in the right place.
fn is_about(hypothesis: &Hypothesis, plane: usize) -> bool {
    // The check run lists two weights of each plane, front first; run 2 has the front trial, run 3 the rear one.
    let of_piece = |piece: ListedMass| if piece.row == CHECK { piece.at / 2 } else { piece.row - 1 };
    match hypothesis {
        Hypothesis::Masses(Suspects { who: Who::Piece(piece), .. }, _) => of_piece(*piece) == plane,
        Hypothesis::Masses(Suspects { plane: Some(own), .. }, _) => own.index() == plane,
        Hypothesis::Exchanged(pieces) => pieces.iter().all(|piece| of_piece(*piece) == plane),
        Hypothesis::TrialLeftOn { trial, .. } => trial - 1 == plane,
        _ => false,
    }
}

fn says_of_one(hypothesis: &Hypothesis, piece: ListedMass, was: OfOneWeight) -> bool {
    let suspects = Suspects { who: Who::Piece(piece), plane: None };
    let slip = match was {
        OfOneWeight::Missing => MassSlip::NotOn,
        OfOneWeight::Turned(degrees) => MassSlip::Turned(degrees),
        OfOneWeight::Times(times) => MassSlip::Amount(amount(times)),
        OfOneWeight::Typed(times) => MassSlip::Amount(amount(1.0 / times)),
        OfOneWeight::DigitLost => {
            return matches!(hypothesis, Hypothesis::Masses(own, MassSlip::DigitLost { .. }) if *own == suspects);
        }
    };
    *hypothesis == Hypothesis::Masses(suspects, slip)
}

fn says_of_reading(hypothesis: &Hypothesis, run: usize, sensor: usize, slip: ReadingSlip) -> bool {
    *hypothesis == Hypothesis::Reading { rows: [run, run], sensor: SensorId::new(sensor), slip }
}

fn amount(times: f64) -> Amount {
    match times {
        _ if times > 5.0 => Amount::Tenfold,
        _ if times > 1.0 => Amount::Double,
        _ if times > 0.2 => Amount::Half,
        _ => Amount::Tenth,
    }
}

fn back(degrees: i32) -> i32 {
    if degrees == 180 { 180 } else { -degrees }
}
