//! The pairs of a row: a mass with its angle, an amplitude with its phase.

use balance_core::quantity::{Angle, Around, Length, Mass};
use balance_core::run::{Change, PlacedMass, ReadingUncertainty, SensorReading};

use super::columns::{AroundColumn, MassColumns, Scaled, SensorColumns, UncertaintyColumns};
use super::row::{Line, RowReader};
use crate::files::limits;
use crate::files::problem::{Fault, shown};

const BOTH: &str = "both cells, or neither";

impl RowReader<'_> {
    /// A mass and its angle; both empty: no mass.
    pub(super) fn mass(&mut self, line: Line<'_>, columns: &MassColumns) -> Option<PlacedMass> {
        let bead = columns.bead.filter(|bead| !line.cell(bead.at).is_empty());
        if !self.is_filled(line, columns, bead) {
            return None;
        }
        let grams = self.scaled::<Mass>(line, columns.mass);
        let angle = self.angle(line, columns.angle);
        let radius = self.radius(line, columns);
        let bead = self.bead(line, bead);
        let (grams, angle, bead) = (grams?, angle?, bead?);
        // A mass of zero is an empty pair.
        if grams == 0.0 && bead == Mass::ZERO {
            return None;
        }
        let change = if grams < 0.0 { Change::TakenOff } else { Change::Added };
        let mass = self.possible(line, columns.mass.at, Mass::from_grams(grams.abs()).ok())?;
        Some(PlacedMass { plane: columns.plane, change, mass, angle, radius, bead })
    }

    /// A place round the tube: a number in the column's unit, or one with its own unit.
    fn angle(&mut self, line: Line<'_>, column: AroundColumn) -> Option<Angle> {
        let text = line.cell(column.at);
        let around = match self.with_unit(text) {
            Some(text) => text.parse::<Around>().ok(),
            None => None,
        };
        let around = match (around, column.tape) {
            (Some(around), _) => around,
            (None, None) => Around::Angle(Angle::from_degrees(self.number(line, column.at)?).ok()?),
            (None, Some(factor)) => {
                let millimetres = self.mixed(text).or_else(|| self.number(line, column.at))? * factor;
                Around::Tape(self.possible(line, column.at, Length::from_millimetres(millimetres).ok())?)
            }
        };
        let fault = match around.angle(self.columns.once_round) {
            Ok(angle) => return Some(angle),
            Err(fault) => fault,
        };
        let units = self.columns.units;
        let found = format!("found `{}`: {}", shown(text), fault.words(units));
        let fault = Fault::new("out-of-range", found, fault.allowed(units), fault.hint());
        self.note(line.line, Some(column.at), fault);
        None
    }

    /// Whether mass and angle are both present; only one of them is a fault, and so is a bead without them.
    fn is_filled(&mut self, line: Line<'_>, columns: &MassColumns, bead: Option<Scaled>) -> bool {
        let hint = "leave both empty if there is no mass; a mass without an angle cannot be used";
        match (line.cell(columns.mass.at).is_empty(), line.cell(columns.angle.at).is_empty()) {
            (true, true) => {
                if let Some(bead) = bead {
                    let hint = "the bead belongs to a weight: fill in its mass and angle as well";
                    let fault =
                        Fault::new("lonely-cell", "a bead without a mass", "a bead with a mass", hint);
                    self.note(line.line, Some(bead.at), fault);
                }
                false
            }
            (true, false) => {
                let fault = Fault::new("lonely-cell", "an angle without a mass", BOTH, hint);
                self.note(line.line, Some(columns.mass.at), fault);
                false
            }
            (false, true) => {
                let fault = Fault::new("lonely-cell", "a mass without an angle", BOTH, hint);
                self.note(line.line, Some(columns.angle.at), fault);
                false
            }
            (false, false) => true,
        }
    }

    fn bead(&mut self, line: Line<'_>, column: Option<Scaled>) -> Option<Mass> {
        let Some(column) = column else { return Some(Mass::ZERO) };
        let grams = self.scaled::<Mass>(line, column)?;
        self.possible(line, column.at, Mass::from_grams(grams).ok())
    }

    fn radius(&mut self, line: Line<'_>, columns: &MassColumns) -> Option<Length> {
        let filled = |column: &Scaled| !line.cell(column.at).is_empty();
        let column = columns.radius.filter(filled).or(columns.plane_radius.filter(filled))?;
        let millimetres = self.scaled::<Length>(line, column)?;
        let radius = Length::from_millimetres(millimetres).ok().filter(|_| millimetres > 0.0);
        self.possible(line, column.at, radius)
    }

    /// An amplitude and its phase; both empty: not read.
    pub(super) fn reading(&mut self, line: Line<'_>, columns: &SensorColumns) -> SensorReading {
        let phase = columns.phase.map_or("", |at| line.cell(at));
        let amplitude = line.cell(columns.amplitude);
        self.phases.seen |= !phase.is_empty();
        if let Some(limit) = amplitude.strip_prefix('<') {
            let limit = self.below(line, columns, limit.trim());
            return limit.map_or(SensorReading::NotRead, SensorReading::Below);
        }
        match (amplitude.is_empty(), phase.is_empty()) {
            (true, true) => return SensorReading::NotRead,
            (true, false) => {
                let hint = "leave both empty if the sensor was not read";
                let fault = Fault::new("lonely-cell", "a phase without an amplitude", BOTH, hint);
                self.note(line.line, Some(columns.amplitude), fault);
            }
            (false, true) => {
                if let Some(at) = columns.phase {
                    self.phases.missing.push((line.line, at));
                }
                return self
                    .amplitude(line, columns)
                    .map_or(SensorReading::NotRead, SensorReading::Amplitude);
            }
            (false, false) => return self.both(line, columns).unwrap_or(SensorReading::NotRead),
        }
        SensorReading::NotRead
    }

    fn both(&mut self, line: Line<'_>, columns: &SensorColumns) -> Option<SensorReading> {
        let amplitude = self.amplitude(line, columns);
        let phase = self.number(line, columns.phase?).and_then(|degrees| Angle::from_degrees(degrees).ok());
        Some(SensorReading::Shown { amplitude: amplitude?, phase: phase? })
    }

    /// How much: zero or more.
    fn amplitude(&mut self, line: Line<'_>, columns: &SensorColumns) -> Option<f64> {
        let amplitude = self.number(line, columns.amplitude)?;
        if amplitude < 0.0 {
            let found = format!("found `{}`", shown(line.cell(columns.amplitude)));
            let hint = "an amplitude has no sign; add half a turn to the phase instead";
            self.note(
                line.line,
                Some(columns.amplitude),
                Fault::new("negative-amplitude", found, "zero or more", hint),
            );
            return None;
        }
        Some(amplitude)
    }

    /// What a reading says of its own uncertainty; both cells empty: nothing.
    pub(super) fn uncertainty(
        &mut self,
        line: Line<'_>,
        columns: &SensorColumns,
        reading: SensorReading,
    ) -> Option<ReadingUncertainty> {
        let UncertaintyColumns { amplitude, phase } = columns.uncertainty?;
        let lonely = |found: &str| {
            let hint = "both are one sigma, as `balance extract` writes them; empty: the stand's own figure";
            Fault::new("lonely-cell", found, BOTH, hint)
        };
        match (line.cell(amplitude).is_empty(), line.cell(phase).is_empty()) {
            (true, true) => return None,
            (true, false) => {
                self.note(
                    line.line,
                    Some(amplitude),
                    lonely("a phase's uncertainty without the amplitude's"),
                );
                return None;
            }
            (false, true) => {
                self.note(line.line, Some(phase), lonely("an amplitude's uncertainty without the phase's"));
                return None;
            }
            (false, false) => {}
        }
        let is_empty = line.cell(columns.amplitude).is_empty()
            && columns.phase.is_none_or(|phase| line.cell(phase).is_empty());
        if is_empty || matches!(reading, SensorReading::Below(_)) {
            let hint = "leave the uncertainty empty where the sensor was not read, or showed nothing";
            let found = "the uncertainty of a reading that is not there";
            let fault = Fault::new("uncertainty-of-nothing", found, "an amplitude and a phase too", hint);
            self.note(line.line, Some(amplitude), fault);
            return None;
        }
        let of_amplitude = self.one_sigma(line, amplitude, |sigma| sigma > 0.0, "above zero");
        let of_phase = self.one_sigma(line, phase, |sigma| sigma >= 0.0, "zero or more");
        Some(ReadingUncertainty { amplitude: of_amplitude?, phase: Angle::from_degrees(of_phase?).ok()? })
    }

    fn one_sigma(
        &mut self,
        line: Line<'_>,
        at: usize,
        possible: impl Fn(f64) -> bool,
        allowed: &str,
    ) -> Option<f64> {
        let sigma = self.number(line, at)?;
        if possible(sigma) && limits::is_measurable(sigma) {
            return Some(sigma);
        }
        let found = format!("found `{}`", shown(line.cell(at)));
        let hint = "one sigma; leave both cells empty if it is not known";
        self.note(line.line, Some(at), Fault::new("out-of-range", found, allowed, hint));
        None
    }

    fn below(&mut self, line: Line<'_>, columns: &SensorColumns, limit: &str) -> Option<f64> {
        if columns.phase.is_some_and(|phase| !line.cell(phase).is_empty()) {
            let found = "a phase of a reading below what the dial shows";
            let fault = Fault::new("phase-of-nothing", found, "an empty cell", "leave the phase empty");
            self.note(line.line, columns.phase, fault);
        }
        let fault = match self.style.number(limit) {
            Ok(limit) if limit > 0.0 => return Some(limit),
            Ok(_) => {
                let hint = "write the smallest amplitude that the dial shows, for example <0.1";
                let found = format!("found `<{}`", shown(limit));
                Fault::new("out-of-range", found, "`<` and a number above zero", hint)
            }
            Err(fault) => fault,
        };
        self.note(line.line, Some(columns.amplitude), fault);
        None
    }
}
