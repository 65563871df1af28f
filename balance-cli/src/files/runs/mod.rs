//! The runs file: one row per run, many shafts one after the other, read as a stream.

mod accidents;
mod append;
mod cells;
mod change;
mod clock;
mod columns;
mod header;
mod header_line;
mod lines;
mod pairs;
mod reader;
mod row;
mod seen;
mod shaft_runs;
mod titles;

#[cfg(test)]
mod tests;

pub(in crate::files) use cells::NumberStyle;
pub(in crate::files) use lines::Lines;

pub use append::{NewRun, append_run, append_runs, with_runs};
pub use cells::Decimal;
pub use change::{remove_last_run, replace_run};
pub use columns::{AroundColumn, Columns, MassColumns, SensorColumns};
pub use lines::{Layout, header_of};
pub use reader::{RunsReader, ShaftFaults, read_all};
pub use row::RowTexts;
pub use shaft_runs::{NO_INITIAL, ShaftRuns, WaitingRow};
pub use titles::{
    HeaderUnits, can_be_a_dial_unit, explains_columns, header_of_job, set_header_units, with_header_units,
};

/// The runs of a file on the disk.
pub type OpenRuns = RunsReader<std::fs::File>;
