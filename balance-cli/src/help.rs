//! The drawing and the first steps shown by `--help`.

/// Front, rear, mark and counting direction, in letters.
pub const DRAWING: &str = "\
 FRONT                                                              REAR
   (o)=[#]====================================================[#]=(o)
        |  front: where weights go          rear: where weights go |
        |<- position: from the front joint centre

   Seen from the FRONT, a shaft that turns clockwise:

            0  zero mark                      0  zero mark
         .--v--.                           .--v--.
    90 <(       )                         (       )> 90
         '-----'                           '-----'
    counted against rotation          counted with rotation
    (goes with phase \"lag\")           (goes with phase \"lead\")

   Degrees and tape run this way from the mark ([convention] mass_angle).";

/// How a job goes.
pub const FIRST_STEPS: &str = "\
How a job goes (balance stand guides you through all of it):
  1  balance new WP-0417       a folder with a job file; fill in what you know
  2  read the stand            initial run, one trial run for each place;
                               type them into runs.csv
  3  balance correct WP-0417   what to put where: hold it under clamps, read
                               again, then weld
  4  read the check run        add its row to runs.csv
  5  balance verify WP-0417    meets, exceeds, or cannot be told yet

Shafts built alike: give them one type in job.toml ([job] type). Once three are
in the archive (balance archive add), the next ones need no trial runs.

Without a folder a command uses the current one. A runs file can be named on
its own. --all prints everything, --json is for programs.
Exit status: 0 done or meets, 1 exceeds, 2 could not be done, 3 undecided.

Guard shut, nobody in line with the weights, never faster than shaft and stand
allow. The program cannot see the shaft: local codes, the vehicle maker's
approval and licensed practice come first.";
