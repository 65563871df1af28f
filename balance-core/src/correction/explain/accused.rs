//! Which run does not fit, and in which run each mass came on.

use super::hypothesis::Who;
use crate::influence::{Agreement, Influence};
use crate::run::{RunKind, RunSet};

/// For every mass of every row the row in which that piece was put on.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Origins {
    rows: Vec<Vec<usize>>,
    kinds: Vec<RunKind>,
}

impl Origins {
    /// A mass that the row before (or the last check run) lists already is the same piece. What is tried comes off
    /// again: its weights are put on anew.
    pub fn of_set(set: &RunSet) -> Self {
        let mut rows: Vec<Vec<usize>> = Vec::new();
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
            let origin = |mass| {
                let same = |&(row, own): &(usize, usize)| set.rows()[row].masses[own].same_as(mass);
                let found = left.iter().position(same).map(|place| left.remove(place));
                found.map_or(at, |(row, own)| rows[row][own])
            };
            let own = row.masses.iter().map(origin).collect();
            rows.push(own);
            if row.run.kind == RunKind::Check {
                last_check = Some(at);
            }
        }
        Self { rows, kinds: set.rows().iter().map(|row| row.run.kind).collect() }
    }

    /// The row in which this mass was put on.
    pub fn of(&self, row: usize, mass: usize) -> Option<usize> {
        self.rows.get(row)?.get(mass).copied()
    }

    /// Whether this mass is one of those.
    pub fn is(&self, row: usize, mass: usize, who: Who) -> bool {
        self.of(row, mass).is_some_and(|origin| match who {
            Who::CameOn { from } => origin == from,
            Who::Trials => self.kinds[origin] == RunKind::Trial,
            Who::All => true,
        })
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
    let rows = set.rows();
    let same =
        |at: &usize| rows[*at].run.kind == rows[first].run.kind && rows[*at].loads == rows[first].loads;
    // At several speeds the block began at another speed.
    let from = (0..first).rev().take_while(same).last().unwrap_or(first);
    let to = (from..rows.len()).take_while(same).last().unwrap_or(from);
    Some([from, to])
}
