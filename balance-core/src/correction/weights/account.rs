//! The account of weights: what was fitted, what came off, and in which run.

use super::problem::piece_of_mass;
use super::row::around;
use crate::quantity::{Angle, Length, Mass};
use crate::run::{Change, OnTopOf, PlacedMass, Run, RunKind};
use crate::shaft::{HowHeld, PlaneId, WeldOn, WeldedBefore};

/// Two masses count as the same weight if mass (g) and angle (degrees) differ by no more than this.
const SAME: f64 = 1e-9;

/// When something happened to a weight.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum When {
    /// Before the first run.
    BeforeTheJob,
    /// In the check run with this label.
    Run(String),
}

/// What an entry of the account is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum EntryKind {
    /// A weight welded on.
    Weight,
    /// Metal taken off that was no weight of the account.
    MetalTakenOff,
}

/// One weight of the account.
#[derive(Debug, Clone, PartialEq)]
pub struct AccountEntry {
    /// What it is.
    pub kind: EntryKind,
    /// Which correction plane.
    pub plane: PlaneId,
    /// Without bead.
    pub mass: Mass,
    /// Its bead.
    pub bead: Mass,
    /// Where its middle is.
    pub angle: Angle,
    /// Radius of its mass centre, if stated for this weight.
    pub radius: Option<Length>,
    /// When it was fitted (or the metal taken off).
    pub fitted: When,
    /// When it came off again; `None`: it is on the shaft.
    pub removed: Option<When>,
    /// For a weight the shaft came with: index into the list it was read from.
    pub came_with: Option<usize>,
}

/// Every weight that was ever welded on or taken off, oldest first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WeightAccount {
    /// The entries.
    pub entries: Vec<AccountEntry>,
}

/// Why the account cannot be kept.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum AccountFault {
    /// A run is on top of one that does not come before it.
    #[error("run {run} is on top of {found}, which is not a run before it")]
    UnknownBase {
        /// The run.
        run: String,
        /// What it names.
        found: String,
    },
}

impl WeightAccount {
    /// The account after these runs: only check runs weld; trial and tried masses come off again.
    ///
    /// A check run lists everything that is on and was not on in the initial run. What it lists and the check run
    /// before it did not was fitted in it; what it no longer lists was removed in it. A mass taken off that matches a
    /// weight of the account (plane, mass, angle) removes that weight; any other is metal taken off.
    ///
    /// # Errors
    ///
    /// [`AccountFault::UnknownBase`] if a run is on top of one that is not before it.
    pub fn after(came_with: &[WeldedBefore], runs: &[Run]) -> Result<Self, AccountFault> {
        let mut account =
            Self { entries: came_with.iter().enumerate().map(|(at, old)| carried(at, old)).collect() };
        for (at, run) in runs.iter().enumerate().filter(|(_, run)| run.kind == RunKind::Check) {
            let on = everything_on(&runs[..at], run)?;
            account.step(&on, &run.label);
        }
        Ok(account)
    }

    /// What is on the shaft now.
    pub fn on_the_shaft(&self) -> impl Iterator<Item = &AccountEntry> {
        self.entries.iter().filter(|entry| entry.kind == EntryKind::Weight && entry.removed.is_none())
    }

    /// What is on the shaft now, for the next choice of weights. Sizes come from the list it came with, or from the
    /// weight of the box with the same mass.
    #[must_use]
    pub fn welded_now(&self, came_with: &[WeldedBefore], stock: &[WeldOn]) -> Vec<WeldedBefore> {
        let welded = |entry: &AccountEntry| {
            let old = entry.came_with.and_then(|at| came_with.get(at));
            old.cloned().unwrap_or_else(|| as_welded(entry, stock))
        };
        self.on_the_shaft().map(welded).collect()
    }

    /// Brings the account to what a check run lists.
    fn step(&mut self, listed: &[PlacedMass], label: &str) {
        let mut seen = vec![false; self.entries.len()];
        let mut removals = Vec::new();
        for mass in listed {
            match self.matching(mass, &seen) {
                Some(at)
                    if mass.change == Change::Added || self.entries[at].kind == EntryKind::MetalTakenOff =>
                {
                    seen[at] = true;
                }
                Some(at) => {
                    removals.push(at);
                    seen[at] = true;
                }
                None => {
                    self.entries.push(fitted(mass, label));
                    seen.push(true);
                }
            }
        }
        let now = || When::Run(label.into());
        for (entry, seen) in self.entries.iter_mut().zip(&seen) {
            // What the shaft came with is on (or back on) without being listed.
            if !seen && entry.came_with.is_some() {
                entry.removed = None;
            } else if !seen && entry.removed.is_none() {
                entry.removed = Some(now());
            }
        }
        for at in removals {
            let entry = &mut self.entries[at];
            entry.removed = entry.removed.take().or_else(|| Some(now()));
        }
    }

    /// The entry a listed mass refers to: the same mass put on before, or the weight that is taken off.
    fn matching(&self, mass: &PlacedMass, seen: &[bool]) -> Option<usize> {
        let same = |entry: &AccountEntry| {
            entry.plane == mass.plane
                && (entry.mass.grams() - mass.mass.grams()).abs() <= SAME
                && around(entry.angle.degrees(), mass.angle.degrees()) <= SAME
        };
        let speaks = |entry: &AccountEntry| match mass.change {
            Change::Added => {
                entry.kind == EntryKind::Weight && entry.came_with.is_none() && entry.removed.is_none()
            }
            // A removal is listed again in every later run: it may have been seen before.
            Change::TakenOff => {
                entry.kind == EntryKind::MetalTakenOff || entry.came_with.is_some() || entry.removed.is_none()
            }
        };
        let fits = |at: &usize| !seen[*at] && same(&self.entries[*at]) && speaks(&self.entries[*at]);
        (0..seen.len()).find(fits)
    }
}

fn carried(at: usize, old: &WeldedBefore) -> AccountEntry {
    let fitted = old.fitted_in.clone().map_or(When::BeforeTheJob, When::Run);
    AccountEntry {
        kind: EntryKind::Weight,
        plane: old.plane,
        mass: old.mass,
        bead: old.bead,
        angle: old.angle,
        radius: old.radius,
        fitted,
        removed: None,
        came_with: Some(at),
    }
}

/// A weight fitted in this job, as one that can come off.
fn as_welded(entry: &AccountEntry, stock: &[WeldOn]) -> WeldedBefore {
    let piece = piece_of_mass(stock, entry.mass, entry.bead);
    let fitted_in = match &entry.fitted {
        When::Run(label) => Some(label.clone()),
        When::BeforeTheJob => None,
    };
    WeldedBefore {
        plane: entry.plane,
        mass: entry.mass,
        bead: entry.bead,
        angle: entry.angle,
        radius: entry.radius,
        width: piece.width,
        thickness: piece.thickness,
        hold: HowHeld::CanComeOff,
        fitted_in,
    }
}

fn fitted(mass: &PlacedMass, label: &str) -> AccountEntry {
    AccountEntry {
        kind: match mass.change {
            Change::Added => EntryKind::Weight,
            Change::TakenOff => EntryKind::MetalTakenOff,
        },
        plane: mass.plane,
        mass: mass.mass,
        bead: mass.bead,
        angle: mass.angle,
        radius: mass.radius,
        fitted: When::Run(label.into()),
        removed: None,
        came_with: None,
    }
}

/// Everything that is on in a run, beginning with the masses of the runs it is on top of; what is put on and
/// taken off again within the chain cancels.
fn everything_on(before: &[Run], run: &Run) -> Result<Vec<PlacedMass>, AccountFault> {
    let Some(OnTopOf::Run(base)) = &run.on_top_of else { return Ok(run.masses.clone()) };
    let Some(at) = before.iter().position(|earlier| earlier.label == *base) else {
        return Err(AccountFault::UnknownBase { run: run.label.clone(), found: base.clone() });
    };
    let mut on = everything_on(&before[..at], &before[at])?;
    for mass in &run.masses {
        let undoes = |earlier: &PlacedMass| {
            earlier.change != mass.change
                && earlier.plane == mass.plane
                && (earlier.mass.grams() - mass.mass.grams()).abs() <= SAME
                && around(earlier.angle.degrees(), mass.angle.degrees()) <= SAME
        };
        match on.iter().position(undoes) {
            Some(undone) => drop(on.remove(undone)),
            None => on.push(mass.clone()),
        }
    }
    Ok(on)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mass(grams: f64, degrees: f64, change: Change) -> PlacedMass {
        PlacedMass {
            plane: PlaneId::new(0),
            change,
            mass: Mass::from_grams(grams).unwrap(),
            angle: Angle::from_degrees(degrees).unwrap(),
            radius: None,
            bead: Mass::from_grams(1.0).unwrap(),
        }
    }

    fn run(label: &str, kind: RunKind, on_top_of: Option<&str>, masses: &[PlacedMass]) -> Run {
        Run {
            label: label.into(),
            kind,
            speed: None,
            mounting: String::new(),
            minutes: None,
            on_top_of: on_top_of.map(|label| OnTopOf::from(label.to_owned())),
            masses: masses.to_vec(),
            readings: Vec::new(),
            uncertainties: Vec::new(),
        }
    }

    fn came_with() -> WeldedBefore {
        WeldedBefore {
            plane: PlaneId::new(0),
            mass: Mass::from_grams(8.0).unwrap(),
            bead: Mass::ZERO,
            angle: Angle::from_degrees(100.0).unwrap(),
            radius: None,
            width: None,
            thickness: None,
            hold: HowHeld::CanComeOff,
            fitted_in: None,
        }
    }

    /// (mass, fitted in, removed in), a dash for "before the job" and "still on".
    fn told(account: &WeightAccount) -> Vec<(f64, String, String)> {
        let word = |when: Option<&When>| match when {
            Some(When::Run(label)) => label.clone(),
            Some(When::BeforeTheJob) | None => "-".into(),
        };
        let tell = |entry: &AccountEntry| {
            (entry.mass.grams(), word(Some(&entry.fitted)), word(entry.removed.as_ref()))
        };
        account.entries.iter().map(tell).collect()
    }

    fn row(grams: f64, fitted: &str, removed: &str) -> (f64, String, String) {
        (grams, fitted.into(), removed.into())
    }

    #[test]
    fn fitted_kept_and_removed_in_their_runs() {
        use Change::{Added, TakenOff};
        let runs = [
            run("1", RunKind::Initial, None, &[]),
            run("2", RunKind::Trial, None, &[mass(20.0, 90.0, Added)]),
            run("3", RunKind::Tried, None, &[mass(10.0, 30.0, Added)]),
            run("4", RunKind::Check, None, &[mass(10.0, 30.0, Added), mass(5.0, 60.0, Added)]),
            run("5", RunKind::Check, Some("4"), &[mass(2.0, 200.0, Added)]),
            run("6", RunKind::Check, None, &[mass(10.0, 30.0, Added), mass(8.0, 100.0, TakenOff)]),
        ];
        let account = WeightAccount::after(&[came_with()], &runs).unwrap();
        assert_eq!(
            told(&account),
            [row(8.0, "-", "6"), row(10.0, "4", "-"), row(5.0, "4", "6"), row(2.0, "5", "6")]
        );
        let on: Vec<f64> = account.on_the_shaft().map(|entry| entry.mass.grams()).collect();
        assert_eq!(on, [10.0]);
        assert_eq!(account.welded_now(&[came_with()], &[]).len(), 1);
    }

    #[test]
    fn a_removal_listed_again_is_the_same_removal_and_undone_when_no_longer_listed() {
        use Change::TakenOff;
        let gone = [mass(8.0, 100.0, TakenOff)];
        let mut runs = vec![
            run("1", RunKind::Initial, None, &[]),
            run("2", RunKind::Check, None, &gone),
            run("3", RunKind::Check, None, &gone),
        ];
        let account = WeightAccount::after(&[came_with()], &runs).unwrap();
        assert_eq!(told(&account), [row(8.0, "-", "2")]);
        runs.push(run("4", RunKind::Check, None, &[]));
        let account = WeightAccount::after(&[came_with()], &runs).unwrap();
        assert_eq!(told(&account), [row(8.0, "-", "-")]);
    }

    #[test]
    fn what_was_put_on_is_taken_off_on_top_of_it() {
        use Change::{Added, TakenOff};
        let runs = [
            run("1", RunKind::Initial, None, &[]),
            run("2", RunKind::Check, None, &[mass(10.0, 30.0, Added), mass(5.0, 60.0, Added)]),
            run("3", RunKind::Check, Some("2"), &[mass(5.0, 420.0, TakenOff)]),
        ];
        let account = WeightAccount::after(&[], &runs).unwrap();
        assert_eq!(told(&account), [row(10.0, "2", "-"), row(5.0, "2", "3")]);
    }

    #[test]
    fn metal_taken_off_is_told_apart_from_a_weight() {
        let runs = [
            run("1", RunKind::Initial, None, &[]),
            run("2", RunKind::Check, None, &[mass(3.0, 10.0, Change::TakenOff)]),
        ];
        let account = WeightAccount::after(&[came_with()], &runs).unwrap();
        assert_eq!(account.entries[1].kind, EntryKind::MetalTakenOff);
        assert_eq!(account.on_the_shaft().count(), 1);
    }

    #[test]
    fn an_unknown_base_is_named() {
        let runs = [run("2", RunKind::Check, Some("9"), &[])];
        let fault = WeightAccount::after(&[], &runs).unwrap_err();
        assert_eq!(fault, AccountFault::UnknownBase { run: "2".into(), found: "9".into() });
    }
}
