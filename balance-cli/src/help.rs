//! The drawing and the first steps that `--help` shows.

/// Front, rear, mark and counting direction, in letters.
pub const DRAWING: &str = "\
      front joint                                rear joint     seen from the FRONT
   (o)==[#]==================================[#]==(o)                 zero mark
         |              tube                  |                      __ v __
    front plane:                         rear plane:               /    |    \\
    where weights go                     where weights go       270  <--+      90
    |<-- position, from the front joint centre ---|                \\_       _/
                                                                      180
   Angles and tape run from the zero mark in the job's own direction ([convention] mass_angle).";

/// How a job goes.
pub const FIRST_STEPS: &str = "\
How a job goes:
  1  balance new WP-0417           a folder with a job file; fill in what you know
  2  read the stand                initial run, then one trial run for each place; type them into runs.csv
  3  balance correct WP-0417       what to put where; hold it under clamps, read again, then weld
  4  read the check run            add its row to runs.csv
  5  balance verify WP-0417        meets, exceeds, or cannot be told yet

balance stand WP-0417 leads through all of this at the stand, question by question.

Without a number a command works on the folder it stands in. A runs file can be named by itself.
Exit status: 0 done or meets, 1 exceeds, 2 could not be done, 3 undecided.

Guard shut, nobody in line with the weights, never faster than shaft and stand allow. The program cannot
see the shaft: local codes, the vehicle maker's approval and licensed practice come first.";
