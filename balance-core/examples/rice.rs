//! Reads lines `mean deviation limit` and prints the probability of being within and beyond, for comparison with
//! other programs: `tests/reference/check_rice.py`.

use std::io::{BufRead, Write};

use balance_core::chance::Rice;

fn main() -> std::io::Result<()> {
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    for line in std::io::stdin().lock().lines() {
        let line = line?;
        let numbers: Vec<f64> = line.split_whitespace().filter_map(|word| word.parse().ok()).collect();
        let law = match numbers[..] {
            [mean, deviation, limit] => {
                Rice::new(mean, deviation).map(|law| (law.within(limit), law.beyond(limit)))
            }
            _ => None,
        };
        match law {
            Some((within, beyond)) => writeln!(out, "{within:e} {beyond:e}")?,
            None => writeln!(out, "no law")?,
        }
    }
    out.flush()
}
