//! A bare parse of a table of numbers with the csv crate, to time reading recordings against
//! (`tests/reference/recording_speed.py`).

use std::error::Error;
use std::io::Write;

fn main() -> Result<(), Box<dyn Error>> {
    let path = std::env::args_os().nth(1).ok_or("name a table")?;
    let mut reader = csv::ReaderBuilder::new().buffer_capacity(1 << 20).from_path(path)?;
    let mut record = csv::ByteRecord::new();
    let mut sums = [0.0; 16];
    while reader.read_byte_record(&mut record)? {
        for (sum, cell) in sums.iter_mut().zip(&record) {
            *sum += std::str::from_utf8(cell)?.parse::<f64>()?;
        }
    }
    writeln!(std::io::stdout(), "{sums:?}")?;
    Ok(())
}
