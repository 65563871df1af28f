//! Which run does not fit, and in which run each mass was put on.

use super::hypothesis::{ListedMass, Suspects, Who};
use crate::influence::{Agreement, Influence};
use crate::run::{PlacedMass, RunKind, RunSet};

/// For every mass of every row, which piece it is: where it was first put on.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Origins {
    rows: Vec<Vec<ListedMass>>,
    kinds: Vec<RunKind>,
}

impl Origins {
    /// A mass that the row before (or the last check run) already lists is the same piece. Tried masses come
    /// off again, so their weights are put on anew.
    pub fn of_set(set: &RunSet) -> Self {
        let mut rows: Vec<Vec<ListedMass>> = Vec::new();
        let mut last_check = None;
        for (at, row) in set.rows().iter().enumerate() {
            let before = at.checked_sub(1).filter(|&before| {
                let (earlier, now) = (set.rows()[before].run.kind, row.run.kind);
                earlier == now || earlier != RunKind::Tried
            });
            let mut left: Vec<(usize, usize)> = [before, last_check]
                .into_iter()
                .flatten()
                .flat_map(|row: usize| (0..set.rows()[row].masses.len()).map(move |mass| (row, mass)))
                .collect();
            let origin = |(own, mass): (usize, &PlacedMass)| {
                let same = |&(row, own): &(usize, usize)| set.rows()[row].masses[own].same_as(mass);
                let found = left.iter().position(same).map(|place| left.remove(place));
                found.map_or(ListedMass { row: at, at: own }, |(row, own)| rows[row][own])
            };
            let own = row.masses.iter().enumerate().map(origin).collect();
            rows.push(own);
            if row.run.kind == RunKind::Check {
                last_check = Some(at);
            }
        }
        Self { rows, kinds: set.rows().iter().map(|row| row.run.kind).collect() }
    }

    /// Which piece this mass is.
    pub fn of(&self, row: usize, mass: usize) -> Option<ListedMass> {
        self.rows.get(row)?.get(mass).copied()
    }

    /// The pieces that were put on in a row.
    pub fn new_in(&self, row: usize) -> Vec<ListedMass> {
        self.rows[row].iter().copied().filter(|piece| piece.row == row).collect()
    }

    /// The pieces of the trials, each once.
    pub fn of_trials(&self) -> Vec<ListedMass> {
        let trials = (0..self.rows.len()).filter(|&row| self.kinds[row] == RunKind::Trial);
        trials.flat_map(|row| self.new_in(row)).collect()
    }

    /// Whether this mass is one of those.
    pub fn concerns(&self, row: usize, at: usize, mass: &PlacedMass, suspects: Suspects) -> bool {
        let is = |piece: ListedMass| match suspects.who {
            Who::CameOn { from } => piece.row == from,
            Who::Trials => self.kinds[piece.row] == RunKind::Trial,
            Who::All => true,
            Who::Piece(own) => piece == own,
        };
        suspects.plane.is_none_or(|plane| plane == mass.plane) && self.of(row, at).is_some_and(is)
    }
}

/// The first tried or check run that does not fit the runs before it: its first and last row.
pub(super) fn accused(set: &RunSet, influence: &Influence) -> Option<[usize; 2]> {
    let first = influence
        .groups
        .iter()
        .flat_map(|group| &group.blocks)
        .filter(|block| block.agreement == Agreement::Disagrees)
        .filter_map(|block| block.rows.first().copied())
        .min()?;
    Some(whole_block(set, first))
}

/// The last tried or check run: first and last row. It may be the run that does not fit even if it passed the
/// gate.
pub(super) fn last_block(set: &RunSet, influence: &Influence) -> Option<[usize; 2]> {
    let blocks = influence.groups.iter().flat_map(|group| &group.blocks);
    let last = blocks.filter_map(|block| block.rows.first().copied()).max()?;
    Some(whole_block(set, last))
}

fn whole_block(set: &RunSet, first: usize) -> [usize; 2] {
    let rows = set.rows();
    let same =
        |at: &usize| rows[*at].run.kind == rows[first].run.kind && rows[*at].loads == rows[first].loads;
    // At several speeds the block began at another speed.
    let from = (0..first).rev().take_while(same).last().unwrap_or(first);
    let to = (from..rows.len()).take_while(same).last().unwrap_or(from);
    [from, to]
}
