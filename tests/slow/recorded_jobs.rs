//! Whole jobs from recordings alone: a simulated stand writes WAVs, the program makes readings, weights and a verdict of
//! them. Limits by ISO 21940-11 (see `truth::setting`).

use balance_tests::recorded::{Welded, balanced};

/// `BALANCE_SHAFTS` scales the number of shafts; every second one is welded otherwise than advised.
fn shafts() -> u64 {
    std::env::var("BALANCE_SHAFTS").ok().and_then(|count| count.parse().ok()).unwrap_or(40)
}

#[test]
fn shafts_are_in_their_grade_after_one_correction_and_hardly_any_is_met_falsely() {
    let folder = tempfile::tempdir().unwrap();
    let count = shafts();
    let (mut good, mut met, mut near, mut stuck) = (0, 0, [0; 3], Vec::new());
    for seed in 0..count {
        let welded = if seed % 2 == 0 { Welded::AsAdvised } else { Welded::Otherwise };
        let ended = match balanced(&folder.path().join("WP-0611"), 7_000_000 + seed, welded) {
            Ok(ended) => ended,
            Err(said) => {
                stuck.push((seed, said));
                continue;
            }
        };
        let worst = ended.left.iter().copied().fold(0.0, f64::max);
        let meets = ended.verdict == "meets";
        let falsely = meets && worst > 1.0;
        if falsely {
            println!("seed {seed}: meets with {worst:.2} of the limit\n{}", ended.runs);
        }
        match welded {
            Welded::AsAdvised => {
                good += u64::from(worst <= 1.0);
                met += u64::from(meets);
                assert!(!falsely, "a shaft balanced as advised is met falsely");
            }
            Welded::Otherwise => {
                near[0] += 1;
                near[1] += u64::from(worst > 1.0);
                near[2] += u64::from(falsely);
            }
        }
    }
    let advised = count.div_ceil(2);
    println!(
        "{advised} shafts balanced as advised, from recordings alone: {good} in grade after one correction, {met} meet; {} left near \
         the limit, {} above it: {} meet falsely; {} stuck",
        near[0],
        near[1],
        near[2],
        stuck.len()
    );
    for (seed, said) in &stuck {
        println!("stuck: shaft {seed}: {said:?}");
    }
    assert!(good * 100 >= advised * 95, "{good} of {advised}; stuck: {stuck:?}");
    assert!(met * 100 >= advised * 90, "only {met} of {advised} shafts that are good were said to be");
    // At most one in a hundred of all; with few shafts one.
    assert!(near[2] * 100 <= count.max(100), "{} of {count}", near[2]);
}
