//! The list of possible mistakes.

use super::accused::Origins;
use super::digits::with_one_digit_more;
use super::hypothesis::{Amount, Hypothesis, ListedMass, MassSlip, ReadingSlip, Suspects, Turned, Who};
use super::score::next_to_nothing;
use crate::run::{RunKind, RunSet, SensorReading};
use crate::shaft::{PlaneId, SensorId};

/// No more stories than this are tried: those about masses first, then those about readings, backwards from
/// the run that does not fit.
pub const MOST_TRIED: usize = 2000;

const MARK_STEPS: [i32; 4] = [45, -45, 90, -90];
/// Half a turn, a quarter, an hour of the clock face.
const PLANE_STEPS: [i32; 5] = [180, 90, -90, 30, -30];
const AMOUNTS: [Amount; 4] = [Amount::Double, Amount::Half, Amount::Tenfold, Amount::Tenth];
const DECIMAL: [Amount; 2] = [Amount::Tenfold, Amount::Tenth];
/// Weights that differ by less look alike to every sensor.
const EXCHANGED_FROM: f64 = 1.1;
/// A weight this much lighter than the heaviest mass in the file may be ten times as heavy as entered.
const LIGHTER_BY: f64 = 3.0;

/// Everything on the list that can apply to these runs.
pub(super) fn hypotheses(set: &RunSet, origins: &Origins, suspect: Option<[usize; 2]>) -> Vec<Hypothesis> {
    let all = Suspects { who: Who::All, plane: None };
    let mut list = List { set, origins, found: vec![Hypothesis::Masses(all, MassSlip::OtherWayRound)] };
    list.of_masses(Who::Trials, &origins.of_trials());
    list.trials_left_on(suspect);
    if let Some([from, _]) = suspect {
        let new = origins.new_in(from);
        list.of_masses(Who::CameOn { from }, &new);
        list.forgotten(from, &new);
        list.exchanged(&new);
    }
    list.runs_swapped();
    if let Some(rows) = suspect {
        list.marks_and_cables(rows);
    }
    list.single_readings(suspect.map_or(set.rows().len() - 1, |[_, to]| to));
    if let Some(rows) = suspect {
        list.misread(rows);
    }
    list.found.truncate(MOST_TRIED);
    list.found
}

struct List<'a> {
    set: &'a RunSet,
    origins: &'a Origins,
    found: Vec<Hypothesis>,
}

impl List<'_> {
    fn plane_of(&self, piece: ListedMass) -> PlaneId {
        self.set.rows()[piece.row].masses[piece.at].plane
    }

    fn in_plane(&self, pieces: &[ListedMass], plane: PlaneId) -> usize {
        pieces.iter().filter(|piece| self.plane_of(**piece) == plane).count()
    }

    /// All of them, those of each plane, each by itself.
    fn of_masses(&mut self, who: Who, pieces: &[ListedMass]) {
        let mut planes: Vec<PlaneId> = pieces.iter().map(|piece| self.plane_of(*piece)).collect();
        planes.sort_unstable();
        planes.dedup();
        if planes.is_empty() {
            return;
        }
        let everywhere = Suspects { who, plane: None };
        self.add(everywhere, [MassSlip::OtherWayRound]);
        self.add(everywhere, AMOUNTS.map(MassSlip::Amount));
        // Weights of the accused run that are 45 or 90 degrees off belong to the story of a moved mark.
        let steps: &[i32] =
            if who == Who::Trials { &[180, 30, -30, 45, -45, 90, -90] } else { &[180, 30, -30] };
        self.add(everywhere, steps.iter().map(|&degrees| MassSlip::Turned(degrees)));
        if planes.len() > 1 {
            for &plane in &planes {
                let suspects = Suspects { who, plane: Some(plane) };
                self.add(suspects, PLANE_STEPS.map(MassSlip::Turned));
                self.add(suspects, AMOUNTS.map(MassSlip::Amount));
            }
        }
        for (at, &first) in planes.iter().enumerate() {
            let others = planes[at + 1..].iter();
            self.found
                .extend(others.map(|&second| Hypothesis::PlanesSwapped { who, planes: [first, second] }));
        }
        self.of_each(pieces);
    }

    fn of_each(&mut self, pieces: &[ListedMass]) {
        for &piece in pieces {
            let suspects = Suspects { who: Who::Piece(piece), plane: None };
            if self.in_plane(pieces, self.plane_of(piece)) > 1 {
                self.add(suspects, [180, 30, -30].map(MassSlip::Turned));
                self.add(suspects, [MassSlip::Amount(Amount::Tenth)]);
                if self.may_be_ten_times_as_heavy(piece) {
                    self.add(suspects, [MassSlip::Amount(Amount::Tenfold)]);
                }
            }
            let angle = self.set.rows()[piece.row].masses[piece.at].angle;
            let longer = with_one_digit_more(angle).into_iter();
            self.add(suspects, longer.map(|degrees| MassSlip::DigitLost { degrees }));
        }
    }

    /// Nobody takes a single weight that is ten times as heavy as all others; a small one may be a digit short.
    fn may_be_ten_times_as_heavy(&self, piece: ListedMass) -> bool {
        let masses = self.set.rows().iter().flat_map(|row| &row.masses);
        let heaviest = masses.map(|mass| mass.mass.grams()).fold(0.0, f64::max);
        self.grams(piece) * LIGHTER_BY <= heaviest
    }

    fn grams(&self, piece: ListedMass) -> f64 {
        self.set.rows()[piece.row].masses[piece.at].mass.grams()
    }

    fn add(&mut self, suspects: Suspects, slips: impl IntoIterator<Item = MassSlip>) {
        self.found.extend(slips.into_iter().map(|slip| Hypothesis::Masses(suspects, slip)));
    }

    fn forgotten(&mut self, from: usize, new: &[ListedMass]) {
        for &piece in new {
            self.add(Suspects { who: Who::Piece(piece), plane: None }, [MassSlip::NotOn]);
        }
        if new.len() > 1 {
            self.add(Suspects { who: Who::CameOn { from }, plane: None }, [MassSlip::NotOn]);
        }
    }

    fn exchanged(&mut self, new: &[ListedMass]) {
        for (at, &one) in new.iter().enumerate() {
            for &other in &new[at + 1..] {
                let (lighter, heavier) =
                    (self.grams(one).min(self.grams(other)), self.grams(one).max(self.grams(other)));
                if heavier >= EXCHANGED_FROM * lighter {
                    self.found.push(Hypothesis::Exchanged([one, other]));
                }
            }
        }
    }

    /// Each trial in the trial after it, and in the run that does not fit.
    fn trials_left_on(&mut self, suspect: Option<[usize; 2]>) {
        let rows = self.set.rows();
        let still_listed = |trial: usize, row: usize| {
            (0..rows[row].masses.len())
                .any(|at| self.origins.of(row, at).is_some_and(|piece| piece.row == trial))
        };
        let trials: Vec<usize> = (0..rows.len())
            .filter(|&row| rows[row].run.kind == RunKind::Trial && !self.origins.new_in(row).is_empty())
            .collect();
        for pair in trials.windows(2).filter(|pair| !still_listed(pair[0], pair[1])) {
            self.found.push(Hypothesis::TrialLeftOn { trial: pair[0], from: pair[1], to: pair[1] });
        }
        if let Some([from, to]) = suspect {
            for &trial in trials.iter().filter(|&&trial| trial < from && !still_listed(trial, from)) {
                self.found.push(Hypothesis::TrialLeftOn { trial, from, to });
            }
        }
    }

    /// Two trials at one speed whose readings were entered in each other's lines.
    fn runs_swapped(&mut self) {
        let rows = self.set.rows();
        let trials: Vec<usize> =
            (0..rows.len()).filter(|&row| rows[row].run.kind == RunKind::Trial).collect();
        for (at, &one) in trials.iter().enumerate() {
            for &other in &trials[at + 1..] {
                if rows[one].group == rows[other].group && rows[one].loads != rows[other].loads {
                    self.found.push(Hypothesis::RunsSwapped { rows: [one, other] });
                }
            }
        }
    }

    /// What a moved mark, or swapped or reversed cables, do to readings: from some run on, or in one run
    /// only.
    fn marks_and_cables(&mut self, [suspect, to]: [usize; 2]) {
        let sensors = self.set.setup().sensors.len();
        let kind = |row: usize| self.set.rows()[row].run.kind;
        let starts: Vec<usize> =
            (1..=suspect).rev().filter(|&row| row == suspect || kind(row) == RunKind::Trial).collect();
        for from in starts {
            for turned in [Turned::Readings, Turned::Weights, Turned::Both] {
                let told = turned == Turned::Readings || !self.origins.new_in(from).is_empty();
                if told && (from == suspect || turned != Turned::Weights) {
                    self.found.extend(MARK_STEPS.map(|degrees| Hypothesis::MarkMoved {
                        from,
                        to,
                        degrees,
                        turned,
                    }));
                }
            }
            let spans: &[[usize; 2]] =
                if from == suspect { &[[from, to]] } else { &[[from, to], [from, from]] };
            for &rows in spans {
                for sensor in SensorId::all(sensors) {
                    let others = SensorId::all(sensors).filter(|other| *other > sensor);
                    self.found.extend(
                        others.map(|other| Hypothesis::SensorsSwapped { rows, sensors: [sensor, other] }),
                    );
                    let slip = ReadingSlip::PhaseOpposite;
                    self.found.push(Hypothesis::Reading { rows, sensor, slip });
                }
            }
        }
    }

    /// One reading with its decimal point elsewhere, or of a dead sensor.
    fn single_readings(&mut self, last: usize) {
        for row in (0..=last).rev() {
            for sensor in self.set.setup().sensor_ids() {
                let mut slips = Vec::new();
                if let Some(SensorReading::Shown { .. }) =
                    self.set.rows()[row].run.readings.get(sensor.index())
                {
                    slips.extend(DECIMAL.map(ReadingSlip::Amount));
                }
                if next_to_nothing(self.set, row, sensor) && self.others_read([row, row], sensor) {
                    slips.push(ReadingSlip::Dead);
                }
                let rows = [row, row];
                self.found.extend(slips.into_iter().map(|slip| Hypothesis::Reading { rows, sensor, slip }));
            }
        }
    }

    /// All that can be said when only one sensor disagrees.
    fn misread(&mut self, rows: [usize; 2]) {
        for sensor in self.set.setup().sensor_ids() {
            if self.others_read(rows, sensor) {
                self.found.push(Hypothesis::Reading { rows, sensor, slip: ReadingSlip::Misread });
            }
        }
    }

    /// Whether another sensor can confirm that only this one was wrong.
    fn others_read(&self, [from, to]: [usize; 2], sensor: SensorId) -> bool {
        self.set.rows()[from..=to].iter().all(|row| {
            let mut others = SensorId::numbered(&row.run.readings).filter(|(at, _)| *at != sensor);
            others.any(|(_, reading)| *reading != SensorReading::NotRead)
        })
    }
}
