//! What turns with the fixture is taken off: it is seen with the shaft, and none of the shaft's.

use num_complex::Complex64;

use crate::caution::Caution;
use crate::influence::Which;
use crate::job::{FixtureVector, Proved};
use crate::run::{Row, RunKind, RunSet};
use crate::stand::turned_in_fixture;

/// What is taken off.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct TakenOff {
    /// For each plane what turns with the fixture, counted from the shaft's mark, g·mm.
    pub planes: Vec<Complex64>,
    /// Radius of the 95 % circle of each, g·mm.
    pub give_or_take: f64,
    /// The test behind it: "proved 2026-11-27, 24 readings".
    pub source: String,
}

impl TakenOff {
    /// That it is taken off, and when that holds.
    pub fn caution(&self) -> Caution {
        let amount = self.planes.iter().map(|own| own.norm()).fold(0.0, f64::max);
        Caution::FixtureTakenOff { amount, source: self.source.clone() }
    }
}

/// What turns with the fixture in these runs; `None`: not proved, not for every plane of the shaft, or the runs show
/// no vectors. A shaft that is turned in its fixture (a mounting in degrees) sees the fixture turned back.
pub(super) fn taken_off(set: &RunSet, proved: &Proved, which: Which) -> Option<TakenOff> {
    let figure = proved.fixture_taken_off.as_ref()?;
    let planes = &set.setup().planes;
    if set.without_phase() || planes.iter().any(|plane| plane.radius.is_none()) {
        return None;
    }
    let check = set.last_check_block();
    let rows: Vec<&Row> = if which == Which::Now && !check.is_empty() {
        check.iter().map(|&row| &set.rows()[row]).collect()
    } else {
        set.rows().iter().filter(|row| row.run.kind == RunKind::Initial).collect()
    };
    let turned = |row: &&Row| turned_in_fixture(&row.run.mounting).unwrap_or(0.0).to_radians();
    let back: Complex64 = rows.iter().map(|row| Complex64::cis(-turned(row))).sum();
    let back = if rows.is_empty() { Complex64::ONE } else { back / rows.len() as f64 };
    let of_plane = |plane: &crate::shaft::CorrectionPlane| {
        let own = figure.value.planes.iter().find(|own| own.plane == plane.name)?;
        Some(vector(own) * back)
    };
    Some(TakenOff {
        planes: planes.iter().map(of_plane).collect::<Option<Vec<Complex64>>>()?,
        give_or_take: figure.value.give_or_take.gram_millimetres(),
        source: figure.source(),
    })
}

fn vector(own: &FixtureVector) -> Complex64 {
    own.angle.unit_vector() * own.amount.gram_millimetres()
}
