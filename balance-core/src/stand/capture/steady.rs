//! The part of a run of turns in which the speed is steady.

use super::turns::Mark;

/// Slowest and fastest turn of a steady stretch differ by no more than this factor.
pub(super) const STEADY: f64 = 1.10;
/// Turns over which the speed is taken: the pulses' jitter shall not look like a change.
const OVER: usize = 4;
/// Ends are cut off where they are this far off the middle, as a share, or this many scatters.
const END_OFF: (f64, f64) = (0.01, 4.5);

/// Speeds around each mark in turns a second.
pub(super) fn speeds(marks: &[Mark]) -> Vec<f64> {
    let last = marks.len().saturating_sub(1);
    (0..marks.len())
        .map(|at| {
            let (from, to) = (at.saturating_sub(OVER / 2), last.min(at + OVER / 2));
            f64::from(marks[to].turn - marks[from].turn) / (marks[to].time - marks[from].time)
        })
        .collect()
}

/// The longest part whose speed stays within [`STEADY`]: first and last mark. With ends that settle cut off.
pub(super) fn steady(marks: &[Mark]) -> (usize, usize) {
    let speeds = speeds(marks);
    let mut best = (0, 0);
    let mut from = 0;
    // The marks whose speed may still be the largest or the smallest of the part, in their order.
    let (mut large, mut small) = (std::collections::VecDeque::new(), std::collections::VecDeque::new());
    for to in 0..speeds.len() {
        while large.back().is_some_and(|&last: &usize| speeds[last] <= speeds[to]) {
            large.pop_back();
        }
        while small.back().is_some_and(|&last: &usize| speeds[last] >= speeds[to]) {
            small.pop_back();
        }
        large.push_back(to);
        small.push_back(to);
        while let (Some(&most), Some(&least)) = (large.front(), small.front()) {
            if from == to || speeds[most] <= STEADY * speeds[least] {
                break;
            }
            from += 1;
            if most < from {
                large.pop_front();
            }
            if least < from {
                small.pop_front();
            }
        }
        if to - from > best.1 - best.0 {
            best = (from, to);
        }
    }
    without_settling(&speeds, best)
}

fn without_settling(speeds: &[f64], (mut from, mut to): (usize, usize)) -> (usize, usize) {
    let middle = |values: &mut Vec<f64>| {
        values.sort_unstable_by(f64::total_cmp);
        values.get(values.len() / 2).copied().unwrap_or(0.0)
    };
    let mut part = speeds.get(from..=to).unwrap_or_default().to_vec();
    let centre = middle(&mut part);
    let mut off: Vec<f64> = part.iter().map(|speed| (speed - centre).abs()).collect();
    let allowed = (END_OFF.0 * centre).max(END_OFF.1 * middle(&mut off));
    let is_off = |at: usize| (speeds[at] - centre).abs() > allowed;
    while from < to && is_off(from) {
        from += 1;
    }
    while from < to && is_off(to) {
        to -= 1;
    }
    (from, to)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn run_up_and_coasting_are_left_out() {
        let mut time = 0.0;
        let marks: Vec<Mark> = (0..200_u32)
            .map(|turn| {
                let slow = 1.0
                    + f64::from(40_u32.saturating_sub(turn)) / 20.0
                    + f64::from(turn.saturating_sub(160)) / 20.0;
                time += 0.04 * slow;
                Mark { time, turn, edge: turn as usize }
            })
            .collect();
        let (from, to) = steady(&marks);
        assert!((38..=43).contains(&from) && (157..=162).contains(&to), "{from} {to}");
    }

    /// The middle of these is 1 and their median distance from it 0.004: beyond 4.5 times that, 0.018, an end is cut off.
    #[test]
    fn an_end_that_still_settles_is_cut_off_and_one_that_scatters_is_not() {
        let with_ends = |first: f64, last: f64| -> Vec<f64> {
            let scattering = (0..40).map(|at| [0.996, 1.004, 1.0, 0.996, 1.004][at % 5]);
            [first, first].into_iter().chain(scattering).chain([last]).collect()
        };
        assert_eq!(without_settling(&with_ends(1.016, 0.984), (0, 42)), (0, 42));
        assert_eq!(without_settling(&with_ends(1.02, 0.984), (0, 42)), (2, 42));
        assert_eq!(without_settling(&with_ends(1.016, 0.98), (0, 42)), (0, 41));
        // Where nothing scatters, one per cent is allowed.
        let quiet = |first: f64| [vec![first], vec![1.0; 20]].concat();
        assert_eq!(without_settling(&quiet(1.009), (0, 20)), (0, 20));
        assert_eq!(without_settling(&quiet(1.011), (0, 20)), (1, 20));
    }

    #[test]
    fn a_slow_drift_stays_whole() {
        let marks: Vec<Mark> = (0..100_u32)
            .map(|turn| Mark { time: f64::from(turn) * (1.0 - 2.5e-4 * f64::from(turn)), turn, edge: 0 })
            .collect();
        assert_eq!(steady(&marks), (0, 99));
        assert_eq!(steady(&marks[..1]), (0, 0));
        assert_eq!(steady(&[]), (0, 0));
    }
}
