//! Many shafts as a CSV sheet, one row each: always in g, degrees and g·mm, with the shortest digits that read back
//! as the same number. An empty cell is not known.

use std::fmt::Write as _;

use balance_core::answer::{Answer, Judged};
use balance_core::caution::Caution;
use balance_core::correction::weights::PlanePlan;
use balance_core::grade::PlaneLimit;
use balance_core::quantity::{Angle, Mass, Units};
use balance_core::shaft::{CorrectionPlane, WeldedBefore};

use crate::clean::{no_formula, one_line};

/// Rows of a sheet, written one after the other.
#[derive(Debug)]
pub struct Rows {
    csv: csv::Writer<Vec<u8>>,
    /// A number on its way into a cell.
    number: String,
}

impl Default for Rows {
    fn default() -> Self {
        Self { csv: csv::Writer::from_writer(Vec::new()), number: String::new() }
    }
}

impl Rows {
    fn text(&mut self, text: &str) {
        self.csv.write_field(no_formula(&one_line(text)).as_bytes()).expect("memory takes every cell");
    }

    fn number(&mut self, number: Option<f64>) {
        self.number.clear();
        if let Some(number) = number {
            write!(self.number, "{number}").expect("memory takes every number");
        }
        self.csv.write_field(self.number.as_bytes()).expect("memory takes every cell");
    }

    fn end(&mut self) {
        self.csv.write_record(None::<&[u8]>).expect("memory takes every row");
    }

    /// The rows so far.
    #[must_use]
    pub fn bytes(self) -> Vec<u8> {
        self.csv.into_inner().expect("memory takes every row")
    }
}

/// The columns of the corrections of a file: the places of its masses, and where its limit holds.
#[derive(Debug, Clone, Copy)]
pub struct CorrectionColumns<'a> {
    /// The planes.
    pub planes: &'a [CorrectionPlane],
    /// The limits; empty: there are none.
    pub limits: &'a [PlaneLimit],
    /// The shop's units, for cautions.
    pub units: Units,
}

impl CorrectionColumns<'_> {
    /// The header line.
    pub fn head(&self, rows: &mut Rows) {
        rows.text("shaft");
        for plane in self.planes {
            for what in ["mass [g]", "angle [deg]", "mass uncertainty [g]", "weights"] {
                rows.text(&format!("{} {what}", plane.name));
            }
        }
        for limit in self.limits {
            rows.text(&format!("{} left after [g.mm]", limit.name));
        }
        for what in ["chance after", "advice", "verdict", "caution"] {
            rows.text(what);
        }
        rows.end();
    }

    /// One shaft: ideal masses, the weights of the box that come nearest, what they should leave.
    pub fn row(&self, rows: &mut Rows, answer: &Answer) {
        let advice = answer.advice();
        rows.text(&answer.shaft);
        let plan = advice.plan();
        for (at, plane) in self.planes.iter().enumerate() {
            let ideal = advice.ideal().and_then(|ideal| ideal.correction.planes.get(at));
            let lever = plane.lever();
            rows.number(ideal.map(|own| own.add.gram_millimetres() / lever));
            rows.number(ideal.map(|own| own.add.angle().degrees_in_turn()));
            rows.number(ideal.and_then(|own| own.give_or_take).map(|own| own / lever));
            rows.text(
                &plan
                    .and_then(|plan| plan.planes.get(at))
                    .map(|plan| weights(plan, &answer.welded_before))
                    .unwrap_or_default(),
            );
        }
        let ahead = advice.ahead();
        let left = ahead.and_then(|ahead| ahead.left_after.as_ref());
        for at in 0..self.limits.len() {
            rows.number(left.and_then(|left| left.get(at)).map(|left| left.amount));
        }
        rows.number(ahead.and_then(|ahead| ahead.chance));
        rows.text(advice.word());
        rows.text(answer.judged.as_ref().map(|judged| judged.decision.word()).unwrap_or_default());
        rows.text(&worst(&answer.cautions, self.units));
        rows.end();
    }

    /// A shaft without an answer, and the reason.
    pub fn fault(&self, rows: &mut Rows, shaft: &str, reason: &str) {
        empty_row(rows, shaft, 4 * self.planes.len() + self.limits.len() + 3, reason);
    }
}

/// The columns of the verdicts on the shafts of a file.
#[derive(Debug, Clone, Copy)]
pub struct VerdictColumns<'a> {
    /// The limits.
    pub limits: &'a [PlaneLimit],
    /// The shop's units, for cautions.
    pub units: Units,
}

impl VerdictColumns<'_> {
    /// The header line.
    pub fn head(&self, rows: &mut Rows) {
        for what in ["shaft", "verdict", "probability"] {
            rows.text(what);
        }
        for limit in self.limits {
            for what in ["left [g.mm]", "allowed [g.mm]"] {
                rows.text(&format!("{} {what}", limit.name));
            }
        }
        rows.text("caution");
        rows.end();
    }

    /// One shaft's verdict.
    pub fn row(&self, rows: &mut Rows, answer: &Answer, judged: &Judged) {
        let deciding = &judged.deciding().verdict;
        rows.text(&answer.shaft);
        rows.text(judged.decision.word());
        rows.number(deciding.probability);
        for at in 0..self.limits.len() {
            let plane = deciding.planes.get(at);
            rows.number(plane.map(|plane| plane.residual.gram_millimetres()));
            rows.number(plane.map(|plane| plane.permissible.gram_millimetres()));
        }
        rows.text(&worst(&judged.cautions_with(&answer.cautions), self.units));
        rows.end();
    }

    /// A shaft whose verdict is open because it was never read as found, and the reason.
    pub fn open(&self, rows: &mut Rows, shaft: &str, verdict: &str, reason: &str) {
        rows.text(shaft);
        rows.text(verdict);
        rest_empty(rows, 1 + 2 * self.limits.len(), reason);
    }

    /// A shaft without a verdict, and the reason.
    pub fn fault(&self, rows: &mut Rows, shaft: &str, reason: &str) {
        empty_row(rows, shaft, 2 + 2 * self.limits.len(), reason);
    }
}

fn empty_row(rows: &mut Rows, shaft: &str, cells: usize, reason: &str) {
    rows.text(shaft);
    rest_empty(rows, cells, reason);
}

fn rest_empty(rows: &mut Rows, cells: usize, reason: &str) {
    for _ in 0..cells {
        rows.number(None);
    }
    rows.text(reason);
    rows.end();
}

/// The most important caution.
fn worst(cautions: &[Caution], units: Units) -> String {
    cautions.first().map(|caution| caution.words(units)).unwrap_or_default()
}

/// "15@333 10@277 off 10@20": grams at degrees, what goes on, then what comes off first.
fn weights(plan: &PlanePlan, welded: &[WeldedBefore]) -> String {
    let weight = |mass: Mass, angle: Angle| format!("{}@{}", mass.grams(), angle.degrees_in_turn());
    let mut words: Vec<String> = plan.weights.iter().map(|on| weight(on.piece.mass, on.angle)).collect();
    let off: Vec<String> = plan
        .come_off
        .iter()
        .filter_map(|off| welded.get(off.welded))
        .map(|before| weight(before.mass, before.angle))
        .collect();
    if !off.is_empty() {
        words.push("off".into());
        words.extend(off);
    }
    words.join(" ")
}
