//! What is written reads back, what is refused stays refused, and nothing is read without a limit. Each file
//! here covers one numbered finding of an attack; most were seen to fail before they were fixed.
#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "a test stops at what it cannot unwrap")]

mod disk_faults;
mod line_01_hung_up;
mod line_02_backup;
mod line_03_runs_file;
mod line_04_bounded_reads;
mod line_05_only_own_files;
mod line_06_clean_texts;
mod line_07_gate_closed;
mod line_08_limits;
mod line_09_own_file_each;
mod line_10_every_photograph;
mod line_11_rights_and_links;
mod line_12_clock;
mod line_13_small_things;
mod line_14_seals;
mod shim;
mod workshop;
