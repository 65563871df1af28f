//! A row counted.

use balance_core::grade::Decision;

use super::ask::{Figure, Program};
use super::job_text::job_text;
use super::setting::{Setting, Stated};
use super::technician::balanced;
use crate::record::record;

/// The number of shafts in a row, unless `BALANCE_SHAFTS` sets another.
const SHAFTS: u64 = 1000;
/// The same for rows where the program looks for the mistake in most shafts, which takes most of the time.
const SLIPS: u64 = 300;

/// Counts of shafts; each shaft counts once, with its last verdict.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Tally {
    /// All shafts.
    pub shafts: usize,
    /// Said to meet.
    pub meets: usize,
    /// In truth above the limit somewhere.
    pub over: usize,
    /// Of those, said to meet.
    pub false_meets: usize,
    /// The largest of those, as a part of the limit.
    pub worst: f64,
    /// In truth at most half the limit everywhere.
    pub good: usize,
    /// Of those, undecided.
    pub good_undecided: usize,
    /// Of those, said to exceed.
    pub good_exceeds: usize,
    /// The seeds of all false meets.
    pub seeds: Vec<u64>,
}

fn share(part: usize, whole: usize) -> f64 {
    if whole == 0 { 0.0 } else { 100.0 * part as f64 / whole as f64 }
}

impl Tally {
    /// All shafts of a row.
    #[must_use]
    pub fn of(setting: &Setting) -> Self {
        let figure = match setting.stated {
            Stated::Known(_) => Figure::Exact,
            Stated::Said(_) | Stated::Nothing => Figure::Technician,
        };
        let mut program = Program::with_job(&job_text(setting), figure);
        let mut tally = Self::default();
        for seed in 0..shafts(setting) {
            let ended = balanced(setting, &mut program, seed);
            tally.count(seed, ended.decision, ended.worst());
        }
        tally.tell(setting.name);
        tally
    }

    fn count(&mut self, seed: u64, decision: Decision, worst: f64) {
        let meets = decision == Decision::Meets;
        self.shafts += 1;
        self.meets += usize::from(meets);
        if worst > 1.0 {
            self.over += 1;
            if meets {
                self.false_meets += 1;
                self.worst = self.worst.max(worst);
                self.seeds.push(seed);
            }
        }
        if worst <= 0.5 {
            self.good += 1;
            self.good_undecided += usize::from(decision == Decision::Undecided);
            self.good_exceeds += usize::from(decision == Decision::Exceeds);
        }
    }

    /// False meets in per cent of the shafts that are above the limit in truth.
    #[must_use]
    pub fn false_meets_of_over(&self) -> f64 {
        share(self.false_meets, self.over)
    }

    /// Whether there are more false meets than a bound in per cent allows; with less than 1000 shafts over the limit two
    /// standard errors of the count are allowed on top.
    #[must_use]
    pub fn false_meets_beyond(&self, bound: f64) -> bool {
        let expected = bound / 100.0 * self.over as f64;
        let slack = if self.over < 1000 { 2.0 * expected.sqrt() } else { 0.0 };
        self.false_meets as f64 > expected + slack
    }

    /// Undecided in per cent of the shafts with at most half the limit left.
    #[must_use]
    pub fn undecided_of_good(&self) -> f64 {
        share(self.good_undecided, self.good)
    }

    #[expect(clippy::print_stdout, reason = "a row's figures are what a test is run for")]
    fn tell(&self, name: &str) {
        let figure = format!(
            "false meets {:.2} % of {} over the limit ({:.2} % of all; worst {:.1} times), \
             good shafts undecided {:.2} %, exceeds {:.2} % of {}; {} shafts, {} meet",
            self.false_meets_of_over(),
            self.over,
            share(self.false_meets, self.shafts),
            self.worst,
            self.undecided_of_good(),
            share(self.good_exceeds, self.good),
            self.good,
            self.shafts,
            self.meets
        );
        println!("{name}: {figure}; seeds {:?}", &self.seeds[..self.seeds.len().min(5)]);
        record(&format!("verdict and truth, {name}"), &figure);
    }
}

fn shafts(setting: &Setting) -> u64 {
    let usual = if setting.hand.slip.is_some() { SLIPS } else { SHAFTS };
    std::env::var("BALANCE_SHAFTS").ok().and_then(|count| count.parse().ok()).unwrap_or(usual)
}
