//! Which edges are turns: doubled and stray ones are left out, missing ones counted on.

/// Neighbours on each side that tell how long a turn is.
const NEIGHBOURS: usize = 8;
/// An interval is a turn if it is as long as its neighbours' within this share.
const WITHIN: f64 = 0.3;
/// More missing turns than this cannot be counted safely.
const MOST_MISSING: f64 = 3.0;

/// An edge that marks a turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Mark {
    /// In seconds.
    pub time: f64,
    /// Turns since the first mark of its run.
    pub turn: u32,
    /// Which of the edges it is.
    pub edge: usize,
}

/// Turns counted without a break, and what was found on the way.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Counted {
    /// Each begins at turn 0.
    pub runs: Vec<Vec<Mark>>,
    /// Edges between turns that were left out.
    pub extra: usize,
    /// Turns without an edge.
    pub missing: usize,
    /// Edges at which the count had to begin anew.
    pub astray: usize,
}

/// Counts turns.
pub(super) fn count(edges: &[f64]) -> Counted {
    let mut counted = Counted::default();
    let intervals: Vec<f64> = edges.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let Some(&first) = edges.first() else { return counted };
    let mut run = vec![Mark { time: first, turn: 0, edge: 0 }];
    let mut last = run[0];
    for (edge, &time) in edges.iter().enumerate().skip(1) {
        let turn = typical(&intervals, last.edge);
        let passed = (time - last.time) / turn;
        let whole = passed.round();
        if passed < 1.0 - WITHIN {
            counted.extra += 1;
            continue;
        }
        let fits = (passed - whole).abs() <= WITHIN && whole <= 1.0 + MOST_MISSING;
        if fits {
            counted.missing += whole as usize - 1;
            last = Mark { time, turn: last.turn + whole as u32, edge };
        } else {
            counted.astray += 1;
            counted.runs.push(std::mem::take(&mut run));
            last = Mark { time, turn: 0, edge };
        }
        run.push(last);
    }
    counted.runs.push(run);
    counted
}

/// How long a turn is about an edge: the median of the intervals near it, without those far shorter than most.
fn typical(intervals: &[f64], edge: usize) -> f64 {
    let to = intervals.len().min(edge + NEIGHBOURS);
    let from = to.saturating_sub(2 * NEIGHBOURS).min(edge.saturating_sub(NEIGHBOURS));
    let mut near = intervals[from..to].to_vec();
    near.sort_unstable_by(f64::total_cmp);
    let long = near.get(near.len() * 3 / 4).copied().unwrap_or(f64::INFINITY);
    let from = near.partition_point(|interval| *interval < 0.5 * long);
    let whole = &near[from..];
    whole.get(whole.len() / 2).copied().unwrap_or(long)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doubled_missing_and_stray_pulses_are_sorted_out() {
        let mut edges: Vec<f64> = (0..40).map(f64::from).collect();
        edges.remove(25);
        edges.remove(12);
        edges.extend([7.03, 7.05, 30.4]);
        edges.sort_unstable_by(f64::total_cmp);
        let counted = count(&edges);
        assert_eq!((counted.runs.len(), counted.extra, counted.missing, counted.astray), (1, 3, 2, 0));
        assert!(counted.runs[0].iter().all(|mark| f64::from(mark.turn) == mark.time));
    }

    #[test]
    fn a_stop_breaks_the_count() {
        let edges: Vec<f64> = (0..20).map(f64::from).chain((0..20).map(|n| 50.0 + f64::from(n))).collect();
        let counted = count(&edges);
        assert_eq!(counted.runs.iter().map(Vec::len).collect::<Vec<_>>(), [20, 20]);
        assert_eq!(count(&[]).runs.len(), 0);
        assert_eq!(count(&[1.0]).runs.len(), 1);
    }

    #[test]
    fn a_run_up_is_counted() {
        // Speed from 5 to 20 turns a second.
        let edges: Vec<f64> = (0..88)
            .map(|turn| {
                let turn = f64::from(turn);
                (-5.0 + (25.0 + 4.5 * turn).sqrt()) / 2.25
            })
            .collect();
        let counted = count(&edges);
        assert_eq!(counted.runs.len(), 1, "{counted:?}");
        assert_eq!(counted.missing + counted.extra, 0);
    }
}
