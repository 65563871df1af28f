//! What turns with the fixture is taken off: it is seen with the shaft, and none of the shaft's.

use num_complex::Complex64;

use crate::caution::{Caution, FixtureLeftIn};
use crate::influence::Which;
use crate::job::{FixtureVector, Proved};
use crate::run::{Row, RunKind, RunSet};
use crate::shaft::CorrectionPlane;
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

/// What becomes of what turns with the fixture.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum OfFixture {
    /// No test found its vectors.
    NotProved,
    /// It is taken off.
    TakenOff(TakenOff),
    /// Its vectors are known and cannot be taken off these runs: all of it counts.
    LeftIn {
        /// The most that it adds to a plane, g·mm.
        amount: f64,
        /// Why.
        why: FixtureLeftIn,
        /// The test behind it.
        source: String,
    },
}

impl OfFixture {
    /// What is taken off, if it is.
    pub fn taken_off(&self) -> Option<&TakenOff> {
        if let Self::TakenOff(own) = self { Some(own) } else { None }
    }

    /// What has to be told about it.
    pub fn caution(&self) -> Option<Caution> {
        match self {
            Self::NotProved => None,
            Self::TakenOff(own) => Some(own.caution()),
            Self::LeftIn { amount, why, source } => {
                Some(Caution::FixtureLeftIn { amount: *amount, why: why.clone(), source: source.clone() })
            }
        }
    }
}

/// What turns with the fixture in these runs. A shaft that is turned in its fixture (a mounting in degrees) sees the
/// fixture turned back.
pub(super) fn of_fixture(set: &RunSet, proved: &Proved, which: Which) -> OfFixture {
    let Some(figure) = &proved.fixture_taken_off else { return OfFixture::NotProved };
    let give_or_take = figure.value.give_or_take.gram_millimetres();
    let left_in = |why| OfFixture::LeftIn {
        amount: figure.value.planes.iter().map(|own| vector(own).norm()).fold(0.0, f64::max) + give_or_take,
        why,
        source: figure.source(),
    };
    let planes = &set.setup().planes;
    if set.without_phase() {
        return left_in(FixtureLeftIn::WithoutPhase);
    }
    if planes.iter().any(|plane| plane.radius.is_none()) {
        return left_in(FixtureLeftIn::NoRadius);
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
    let of_plane = |plane: &CorrectionPlane| {
        let own = figure.value.planes.iter().find(|own| own.plane == plane.name)?;
        Some(vector(own) * back)
    };
    match planes.iter().map(of_plane).collect::<Option<Vec<Complex64>>>() {
        Some(planes) => OfFixture::TakenOff(TakenOff { planes, give_or_take, source: figure.source() }),
        None => left_in(FixtureLeftIn::OtherPlanes {
            proved: figure.value.planes.iter().map(|own| own.plane.clone()).collect(),
            here: planes.iter().map(|plane| plane.name.clone()).collect(),
        }),
    }
}

fn vector(own: &FixtureVector) -> Complex64 {
    own.angle.unit_vector() * own.amount.gram_millimetres()
}
