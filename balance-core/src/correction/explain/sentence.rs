//! A hypothesis in plain words: what went wrong, and what to look at.

use super::hypothesis::{Amount, Hypothesis, ListedMass, MassSlip, ReadingSlip, Suspects, Turned, Who};
use crate::quantity::{Angle, Units, shown};
use crate::run::{RunKind, RunSet, SensorReading};
use crate::shaft::{PlaneId, SensorId};

impl Hypothesis {
    /// What went wrong, as part of a sentence; masses in these units.
    #[must_use]
    pub fn sentence(&self, set: &RunSet, units: Units) -> String {
        match *self {
            Self::Masses(suspects, slip) => of_masses(set, units, suspects, slip),
            Self::PlanesSwapped { who, planes: [first, second] } => format!(
                "the {} of {} and {} were swapped",
                pieces(who),
                plane(set, first),
                plane(set, second)
            ),
            Self::Exchanged([one, other]) => format!(
                "the weights of {} and of {} were put on in each other's places in run {}",
                described(set, units, one),
                described(set, units, other),
                label(set, one.row)
            ),
            Self::TrialLeftOn { trial, from, .. } => {
                format!(
                    "the trial mass of run {} was still on in run {}",
                    label(set, trial),
                    label(set, from)
                )
            }
            Self::MarkMoved { from, degrees, turned, .. } => mark_moved(set, from, degrees, turned),
            Self::SensorsSwapped { rows, sensors: [first, second] } => format!(
                "the sensors {} and {} were swapped {}",
                sensor(set, first),
                sensor(set, second),
                span(set, rows)
            ),
            Self::Reading { rows, sensor, slip } => of_reading(set, rows, sensor, slip),
            Self::RunsSwapped { rows: [one, other] } => format!(
                "the readings of runs {} and {} were entered in each other's lines",
                label(set, one),
                label(set, other)
            ),
        }
    }

    /// What to look at, and which run to repeat.
    #[must_use]
    pub fn look_at(&self, set: &RunSet) -> String {
        match *self {
            Self::Masses(suspects, slip) => look_at_masses(set, suspects, slip),
            Self::PlanesSwapped { who, .. } => {
                format!("Check at which end each of the {} is. {}", pieces(who), again(set, who))
            }
            Self::Exchanged([piece, _]) => {
                format!("Check which weight is where. {}", again(set, Who::CameOn { from: piece.row }))
            }
            Self::TrialLeftOn { from, .. } => {
                format!("Check whether it is still on; with it off, repeat run {}.", label(set, from))
            }
            Self::MarkMoved { from, .. } => format!(
                "Check whether the mark is still where it was; if it moved, put it back and repeat run {}.",
                label(set, from)
            ),
            Self::SensorsSwapped { rows: [from, _], .. } => {
                format!("Follow the cables, then repeat run {}.", label(set, from))
            }
            Self::Reading { rows: [from, _], slip: ReadingSlip::Amount(_), .. } => format!(
                "Check your notes, the decimal point and the range the dial was set to; if they do not \
                 show it, repeat run {}.",
                label(set, from)
            ),
            Self::Reading { rows: [from, _], slip: ReadingSlip::Misread, .. } => {
                format!("Read it once more: repeat run {}.", label(set, from))
            }
            Self::Reading { rows: [from, _], .. } => {
                format!(
                    "Follow that sensor's cable and check its plugs, then repeat run {}.",
                    label(set, from)
                )
            }
            Self::RunsSwapped { rows: [_, other] } => {
                format!("Check your notes; if they do not show it, repeat run {}.", label(set, other))
            }
        }
    }

    /// What turns an angle from the mark as it was into one from the mark that the tape starts from now.
    pub(super) fn turn_to_own_mark(&self) -> num_complex::Complex64 {
        match self {
            Self::MarkMoved { degrees, turned: Turned::Weights | Turned::Both, .. } => {
                num_complex::Complex64::cis(-f64::from(*degrees).to_radians())
            }
            _ => num_complex::Complex64::new(1.0, 0.0),
        }
    }
}

fn of_masses(set: &RunSet, units: Units, suspects: Suspects, slip: MassSlip) -> String {
    let were = were(set, units, suspects);
    match (slip, suspects.who) {
        (MassSlip::NotOn, Who::CameOn { from }) => {
            format!("none of the new weights was on in run {}", label(set, from))
        }
        (MassSlip::NotOn, Who::Piece(piece)) => {
            format!(
                "the weight of {} was not on in run {}",
                described(set, units, piece),
                label(set, piece.row)
            )
        }
        (MassSlip::NotOn, _) => format!("{were} not on"),
        (MassSlip::DigitLost { degrees }, Who::Piece(piece)) => {
            let entered = whole_degrees(set.rows()[piece.row].masses[piece.at].angle);
            format!("{were} at {degrees} deg, not {entered:.0}: a digit was left out")
        }
        (MassSlip::DigitLost { degrees }, _) => format!("{were} at {degrees} deg: a digit was left out"),
        (MassSlip::OtherWayRound, _) => format!("{were} counted the other way round"),
        (MassSlip::Turned(180), _) => format!("{were} on the opposite side (half a turn off)"),
        (MassSlip::Turned(degrees), _) => {
            format!("{were} about {} deg further {} than entered", degrees.abs(), way(degrees))
        }
        (MassSlip::Amount(Amount::Double), _) => format!("{were} twice as heavy as entered"),
        (MassSlip::Amount(Amount::Half), _) => format!("{were} half as heavy as entered"),
        (MassSlip::Amount(Amount::Tenfold), _) => format!("{were} ten times as heavy as entered"),
        (MassSlip::Amount(Amount::Tenth), _) => format!("{were} a tenth as heavy as entered"),
    }
}

fn look_at_masses(set: &RunSet, suspects: Suspects, slip: MassSlip) -> String {
    let who = suspects.who;
    let (what, sit, their) = match who {
        Who::Piece(piece) => (one_of(set, piece), "sits", "its"),
        Who::CameOn { .. } | Who::Trials | Who::All => (pieces(who), "sit", "their"),
    };
    let first = match slip {
        MassSlip::NotOn => {
            let from = match who {
                Who::CameOn { from } => from,
                Who::Piece(piece) => piece.row,
                Who::Trials | Who::All => 0,
            };
            return format!(
                "Count the weights on the shaft; with all of them on, repeat run {}.",
                label(set, from)
            );
        }
        MassSlip::OtherWayRound => {
            "Check which way the tape runs from the mark, seen from the front at both ends.".into()
        }
        MassSlip::Turned(_) | MassSlip::DigitLost { .. } => {
            format!("Check where the {what} {sit} from the mark, and {their} angle in the file.")
        }
        MassSlip::Amount(_) => {
            format!("Weigh the {what} again, and check the decimal point and the unit in the file.")
        }
    };
    format!("{first} {}", again(set, who))
}

fn again(set: &RunSet, who: Who) -> String {
    match who {
        Who::CameOn { from } => {
            format!("If so, correct the entry of run {}; no run needs repeating.", label(set, from))
        }
        Who::Piece(piece) if set.rows()[piece.row].run.kind != RunKind::Trial => {
            again(set, Who::CameOn { from: piece.row })
        }
        Who::Piece(piece) => {
            format!("If you can no longer tell, repeat trial run {}.", label(set, piece.row))
        }
        Who::Trials => "If you can no longer tell, repeat that trial run.".into(),
        Who::All => "If you cannot tell, make one more trial a quarter turn from the first.".into(),
    }
}

fn mark_moved(set: &RunSet, from: usize, degrees: i32, turned: Turned) -> String {
    let what = match turned {
        Turned::Readings => "the stand's mark sat",
        Turned::Weights => "the weights were measured from a mark that sits",
        Turned::Both => "the zero mark, for weights and readings, sat",
    };
    format!("{what} {} deg further {} from run {} on", degrees.abs(), way(degrees), label(set, from))
}

fn of_reading(set: &RunSet, rows: [usize; 2], at: SensorId, slip: ReadingSlip) -> String {
    let name = sensor(set, at);
    let span = span(set, rows);
    let (entered, phase) = match set.rows().get(rows[0]).and_then(|row| row.run.readings.get(at.index())) {
        Some(SensorReading::Shown { amplitude, phase }) => (*amplitude, *phase),
        _ => (0.0, Angle::ZERO),
    };
    match slip {
        ReadingSlip::PhaseOpposite => format!("the phase at sensor {name} was half a turn off {span}"),
        ReadingSlip::Amount(amount) => {
            let unit = set.setup().sensors.get(at.index()).map_or("", |own| own.unit.as_str());
            let why = match amount {
                Amount::Tenfold | Amount::Tenth => "the decimal point is wrong",
                Amount::Double | Amount::Half => "peak was taken for peak to peak, or the range was wrong",
            };
            format!(
                "the reading at sensor {name} {span} was {} {unit}, not {} {unit}: {why}",
                three_digits(entered * amount.factor()),
                three_digits(entered)
            )
        }
        ReadingSlip::Turned(degrees) => format!(
            "the phase at sensor {name} {span} was {:.0} deg, not {:.0}: a quarter turn off",
            whole_degrees(Angle::from_degrees(phase.degrees() + f64::from(degrees)).unwrap_or(phase)),
            whole_degrees(phase)
        ),
        ReadingSlip::Dead => format!("sensor {name} was dead {span}"),
        ReadingSlip::Misread => {
            format!("only sensor {name} disagrees: its reading {span} is wrong, or an earlier one",)
        }
    }
}

fn way(degrees: i32) -> &'static str {
    if degrees > 0 { "in the counting direction" } else { "against the counting direction" }
}

fn pieces(who: Who) -> &'static str {
    match who {
        Who::CameOn { .. } => "weights",
        Who::Trials => "trial masses",
        Who::All => "masses of all runs",
        Who::Piece(_) => "weight",
    }
}

fn one_of(set: &RunSet, piece: ListedMass) -> &'static str {
    match set.rows().get(piece.row).map(|row| row.run.kind) {
        Some(RunKind::Trial) => "trial mass",
        _ => "weight",
    }
}

/// "the weights of run 4 at rear were".
fn were(set: &RunSet, units: Units, suspects: Suspects) -> String {
    let run = match suspects.who {
        Who::CameOn { from } => format!(" of run {}", label(set, from)),
        Who::Trials | Who::All => String::new(),
        Who::Piece(piece) => {
            return format!(
                "the {} of {} in run {} was",
                one_of(set, piece),
                described(set, units, piece),
                label(set, piece.row)
            );
        }
    };
    let place = suspects.plane.map_or(String::new(), |own| format!(" at {}", plane(set, own)));
    format!("the {}{run}{place} were", pieces(suspects.who))
}

/// "16 g at 255 deg (front)".
fn described(set: &RunSet, units: Units, piece: ListedMass) -> String {
    let Some(mass) = set.rows().get(piece.row).and_then(|row| row.masses.get(piece.at)) else {
        return String::new();
    };
    format!(
        "{} at {:.0} deg ({})",
        shown::weighed(units, mass.mass.grams()),
        whole_degrees(mass.angle),
        plane(set, mass.plane)
    )
}

fn span(set: &RunSet, [from, to]: [usize; 2]) -> String {
    if from == to {
        return format!("in run {}", label(set, from));
    }
    format!("from run {} on", label(set, from))
}

pub(super) fn label(set: &RunSet, row: usize) -> &str {
    set.rows().get(row).map_or("", |row| row.run.label.as_str())
}

fn plane(set: &RunSet, at: PlaneId) -> &str {
    set.setup().planes.get(at.index()).map_or("", |plane| plane.name.as_str())
}

fn sensor(set: &RunSet, at: SensorId) -> &str {
    set.setup().sensors.get(at.index()).map_or("", |sensor| sensor.name.as_str())
}

pub(super) fn whole_degrees(angle: Angle) -> f64 {
    angle.degrees_in_turn().round() % 360.0
}

/// A reading with no more digits than can be read off a dial.
fn three_digits(value: f64) -> String {
    if value <= 0.0 {
        return "0".into();
    }
    let decimals = (2.0 - value.log10().floor()).clamp(0.0, 6.0) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').into() } else { text }
}
